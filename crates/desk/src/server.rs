//! The routes, and what every request must pass: our own host, our own origin, safe headers.

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, Request, State};
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};

use crate::assets;
use crate::pages::{book, calculators, enter, field, fields, layout, plan, setup, today, weather};
use crate::state::Desk;

/// Largest upload: thirty years of hours.
const LARGEST: usize = 64 * 1024 * 1024;

/// Every address of the desk.
pub fn router(desk: Arc<Desk>) -> Router {
    Router::new()
        .route("/", get(today::show))
        .route("/plan", get(plan::show))
        .route("/fields", get(fields::show))
        .route("/field/{id}", get(field::show))
        .route("/book", get(book::show))
        .route("/enter", get(enter::list))
        .route("/enter/{kind}", get(enter::show).post(enter::save))
        .route("/saved/{id}", get(enter::saved))
        .route("/undo/{id}", post(enter::undo))
        .route("/calculators", get(calculators::list))
        .route("/calculators/{name}", get(calculators::show))
        .route("/setup", get(setup::show))
        .route("/setup/new", post(setup::start))
        .route("/setup/weather", get(weather::show).post(weather::upload))
        .route("/setup/weather/bring-in", post(weather::bring_in))
        .route("/backup", get(setup::backup))
        .route("/assets/{stamp}/{name}", get(asset))
        .fallback(missing)
        .layer(DefaultBodyLimit::max(LARGEST))
        .layer(middleware::from_fn_with_state(Arc::clone(&desk), guard))
        .with_state(desk)
}

async fn asset(Path((_, name)): Path<(String, String)>) -> Response {
    assets::file(&name).unwrap_or_else(|| StatusCode::NOT_FOUND.into_response())
}

async fn missing() -> Response {
    layout::problem(StatusCode::NOT_FOUND, "There is no such page.", "The places above are all there are.")
}

/// Why a request is refused, if it is: another host's name, or sent from another page than our own.
fn refusal(desk: &Desk, request: &Request) -> Option<&'static str> {
    let text = |name: &str| request.headers().get(name).and_then(|v| v.to_str().ok());
    let host = text("host").unwrap_or_default();
    let port = desk.bound.port();
    if !["localhost", "127.0.0.1", "[::1]"].iter().any(|h| host == format!("{h}:{port}")) {
        return Some("This desk answers only to its own address on this machine.");
    }
    if request.method() == Method::GET || request.method() == Method::HEAD {
        return None;
    }
    let ours = match (text("sec-fetch-site"), text("origin")) {
        (Some(site), _) => site == "same-origin" || site == "none",
        (None, Some(origin)) => origin == format!("http://{host}"),
        (None, None) => true,
    };
    (!ours).then_some("This was sent from another page than the desk's own; nothing was written.")
}

/// Refuses what does not come from this desk's own pages, and sets the headers of every answer.
async fn guard(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    if let Some(sentence) = refusal(&desk, &request) {
        return (StatusCode::FORBIDDEN, sentence).into_response();
    }
    let is_asset = request.uri().path().starts_with("/assets/");
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    headers.insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(
            "default-src 'none'; style-src 'self'; script-src 'self'; font-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
        ),
    );
    headers.insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    if !is_asset {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}
