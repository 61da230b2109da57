//! What every page is set in: head, masthead, places, foot.

use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};

use crate::assets::STAMP;
use crate::state::{Desk, Known};

/// The places, with their addresses.
const PLACES: [(&str, &str); 6] = [
    ("/", "Today"),
    ("/fields", "Fields"),
    ("/enter", "Write"),
    ("/book", "Book"),
    ("/calculators", "Calculators"),
    ("/setup", "Set-up"),
];

/// A whole page. `here` is the address of its place.
pub fn page(known: Option<&Known>, here: &str, title: &str, body: &Markup) -> Markup {
    let farm = known.and_then(|k| k.farm.set_up.as_ref()).map_or("Stook", |f| f.is.name.as_str());
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " - " (farm) }
                link rel="icon" href="data:,";
                link rel="stylesheet" href={ "/assets/" (STAMP) "/style.css" };
                script type="module" src={ "/assets/" (STAMP) "/desk.js" } {}
            }
            body {
                a.skip href="#main" { "To the page" }
                header.top {
                    span.farm { (farm) }
                    @if let Some(k) = known { span.when { (k.as_of.strftime("%A %-d %B %Y").to_string()) } }
                    nav.places aria-label="Places" {
                        @for (address, name) in PLACES {
                            a href=(address) aria-current=[(address == here).then_some("page")] { (name) }
                        }
                    }
                }
                main id="main" { (body) }
                footer.foot {
                    p { "Labels, local law, the insurer's papers, the veterinarian and the nutritionist rule. Stook reckons; you decide." }
                }
            }
        }
    }
}

/// A page that says what went wrong.
pub fn problem(status: StatusCode, what: &str, mend: &str) -> Response {
    let body = html! { h1 { (what) } p { (mend) } p { a href="/" { "To Today" } } };
    (status, Html(page(None, "", what, &body).into_string())).into_response()
}

/// Runs `make` off the network threads with what is known, and answers with its page.
pub async fn answer(
    desk: Arc<Desk>,
    make: impl FnOnce(&Desk, &Known) -> Response + Send + 'static,
) -> Response {
    let done = tokio::task::spawn_blocking(move || match desk.known() {
        Ok(known) => make(&desk, &known),
        Err(e) => {
            problem(StatusCode::INTERNAL_SERVER_ERROR, "The farm's file cannot be read.", &e.to_string())
        }
    })
    .await;
    done.unwrap_or_else(|_| {
        problem(
            StatusCode::INTERNAL_SERVER_ERROR,
            "Something went wrong while reckoning this page.",
            "Nothing is lost. Try again; if it comes back, run stook verify.",
        )
    })
}

/// A page as a response.
pub fn ok(known: &Known, here: &str, title: &str, body: &Markup) -> Response {
    Html(page(Some(known), here, title, body).into_string()).into_response()
}
