//! Addresses of the pages, and the checks every request passes.

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};

use crate::pages::{
    book, calculators, enter, field, fields, growing, inputs, plan, saved, set_up, spray, start, today,
    trouble, weather,
};
use crate::state::Desk;

/// A form is small; a page of somebody else's making is not taken in.
const FORM_LIMIT: usize = 512 * 1024;
/// Thirty years of hours are about 20 MB.
const FILE_LIMIT: usize = 64 * 1024 * 1024;

/// Nothing from outside, nothing inline, in no frame.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; font-src 'self'; img-src 'self'; \
                      form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Every page.
pub fn router(desk: Arc<Desk>) -> Router {
    Router::new()
        .route("/", get(today::show))
        .route("/plan", get(plan::show))
        .route("/fields", get(fields::show))
        .route("/field/{id}", get(field::show))
        .route("/field/{id}/rain", get(growing::rain))
        .route("/book", get(book::show))
        .route("/take-back/{id}", get(saved::ask).post(saved::take_back))
        .route("/enter", get(enter::list))
        .route("/enter/{kind}", get(enter::show).post(enter::save))
        .route("/saved/{id}", get(saved::show))
        .route("/calculators", get(calculators::list))
        .route("/calculators/{name}", get(calculators::show))
        .route("/setup", get(set_up::show))
        .route("/setup/new", get(start::show).post(start::save))
        .route("/setup/backup", get(set_up::backup))
        .route("/setup/weather", get(weather::show))
        .route("/setup/weather/file", post(weather::upload).layer(DefaultBodyLimit::max(FILE_LIMIT)))
        .route("/setup/weather/{token}", get(weather::preview).post(weather::bring_in))
        .merge(crate::pages::harvest::routes())
        .merge(crate::pages::buy::routes())
        .merge(spray::routes())
        .merge(crate::pages::air::routes())
        .merge(inputs::routes())
        .merge(crate::pages::barn::routes())
        .merge(crate::pages::bins::routes())
        .merge(crate::pages::money::routes())
        .merge(crate::pages::task_data::routes())
        .route("/web/{stamp}/{name}", get(asset))
        .fallback(|| async { trouble::page(StatusCode::NOT_FOUND, "There is no such page.") })
        .layer(DefaultBodyLimit::max(FORM_LIMIT))
        .layer(middleware::from_fn_with_state(Arc::clone(&desk), guard))
        .with_state(desk)
}

async fn asset(Path((_, name)): Path<(String, String)>) -> Response {
    crate::assets::file(&name)
        .unwrap_or_else(|| trouble::page(StatusCode::NOT_FOUND, "There is no such file."))
}

/// Refuses what did not come from this machine's own pages, and sends every answer with the same strict headers.
async fn guard(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    let device =
        crate::pages::air::is_from_a_device(request.method(), request.uri().path(), request.headers());
    // A device comes from no page: only its host is looked at here, and its word where the readings are taken in.
    let method = if device { Method::GET } else { request.method().clone() };
    let mut response = match refuse(&method, request.headers(), desk.bound.port()) {
        Some(why) => trouble::page(StatusCode::FORBIDDEN, why),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (header::X_FRAME_OPTIONS, "DENY"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// Why a request is not answered, if it is not.
fn refuse(method: &Method, headers: &HeaderMap, port: u16) -> Option<&'static str> {
    let text = |name: header::HeaderName| headers.get(name).and_then(|v| v.to_str().ok());
    // A name that another site has pointed at this machine must not reach the book.
    let host = text(header::HOST).unwrap_or("");
    let ours = |authority: &str| {
        let name = authority.strip_suffix(&format!(":{port}")).or((port == 80).then_some(authority));
        matches!(name, Some("localhost" | "127.0.0.1" | "[::1]"))
    };
    if !ours(host) {
        return Some("The desk answers to localhost only; open the address it printed.");
    }
    if matches!(*method, Method::GET | Method::HEAD) {
        return None;
    }
    let same = match headers.get("sec-fetch-site").map(HeaderValue::as_bytes) {
        Some(site) => matches!(site, b"same-origin" | b"none"),
        None => text(header::ORIGIN).and_then(|o| o.strip_prefix("http://")) == Some(host),
    };
    if same {
        None
    } else {
        Some("This was sent from another page than the desk's own, so nothing was written.")
    }
}

/// Runs work that waits for the disk or the processor beside the server's own threads.
pub async fn beside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Response> {
    tokio::task::spawn_blocking(work).await.map_err(|_| {
        trouble::page(
            StatusCode::INTERNAL_SERVER_ERROR,
            "Something went wrong in the reckoning; what was written is safe in the book.",
        )
        .into_response()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        pairs.iter().map(|(k, v)| (k.parse().unwrap(), HeaderValue::from_static(v))).collect()
    }

    #[test]
    fn only_our_own_pages_may_write() {
        let ours = ("host", "127.0.0.1:7345");
        let post = |more: &[(&'static str, &'static str)]| {
            let mut all = vec![ours];
            all.extend_from_slice(more);
            refuse(&Method::POST, &headers(&all), 7345)
        };
        assert_eq!(post(&[("sec-fetch-site", "same-origin")]), None);
        assert_eq!(post(&[("origin", "http://127.0.0.1:7345")]), None);
        assert!(post(&[]).is_some());
        assert!(post(&[("sec-fetch-site", "cross-site")]).is_some());
        assert!(post(&[("sec-fetch-site", "same-site")]).is_some());
        assert!(post(&[("origin", "http://elsewhere.example")]).is_some());
        assert!(post(&[("origin", "null")]).is_some());
        assert!(post(&[("sec-fetch-site", "cross-site"), ("origin", "http://127.0.0.1:7345")]).is_some());
    }

    #[test]
    fn other_names_for_this_machine_are_refused() {
        let get = |host| refuse(&Method::GET, &headers(&[("host", host)]), 7345);
        for good in ["127.0.0.1:7345", "localhost:7345", "[::1]:7345"] {
            assert_eq!(get(good), None, "{good}");
        }
        for bad in
            ["elsewhere.example:7345", "127.0.0.1:80", "localhost", "localhost.elsewhere.example:7345", ""]
        {
            assert!(get(bad).is_some(), "{bad}");
        }
    }
}
