//! When a page cannot be shown: one plain sentence and a way back.

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use maud::{DOCTYPE, html};

use crate::assets::STAMP;

/// The page.
pub fn page(status: StatusCode, sentence: &str) -> Response {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Not shown · Stook" }
                link rel="stylesheet" href={ "/web/" (STAMP) "/style.css" };
            }
            body {
                main {
                    h1 { (sentence) }
                    p { a.btn href="/" { "Back to Today" } }
                }
            }
        }
    };
    (status, Html(markup.into_string())).into_response()
}
