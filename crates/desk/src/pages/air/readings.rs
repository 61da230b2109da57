//! Readings that devices in bins send: the door for them, and the password they must send.

use std::sync::Arc;

use axum::body::Bytes;
use axum::extract::State;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;
use serde_json::json;
use stook_book::sensor;

use crate::pages::{Frame, Place, Reply, enter, page, send};
use crate::server::beside;
use crate::state::Desk;

/// Name of the password in the file.
const TOKEN: &str = "readings";

/// Whether a request is a device's: it comes from no page, so it is let in by its password and not by its origin.
pub fn is_from_a_device(method: &Method, path: &str, headers: &HeaderMap) -> bool {
    *method == Method::POST
        && path == "/readings"
        && !headers.contains_key(header::ORIGIN)
        && !headers.contains_key("sec-fetch-site")
}

fn no(status: StatusCode, why: &str) -> Response {
    answer(status, &json!({"ok": false, "error": why}))
}

fn answer(status: StatusCode, says: &serde_json::Value) -> Response {
    (status, [(header::CONTENT_TYPE, "application/json")], says.to_string()).into_response()
}

/// As long to find wrong as to find right.
fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |d, (x, y)| d | (x ^ y)) == 0
}

/// `POST /readings`: one reading or a list, in JSON.
pub async fn take(State(desk): State<Arc<Desk>>, headers: HeaderMap, body: Bytes) -> Response {
    let said = headers
        .get(header::AUTHORIZATION)
        .and_then(|h| h.to_str().ok())
        .and_then(|h| h.strip_prefix("Bearer "))
        .unwrap_or("")
        .to_string();
    let done = beside(move || {
        let Ok(mut store) = desk.store() else {
            return no(StatusCode::INTERNAL_SERVER_ERROR, "the book cannot be opened");
        };
        match store.secret(TOKEN) {
            Ok(Some(word)) if same(&word, &said) => {}
            Ok(_) => {
                return no(
                    StatusCode::UNAUTHORIZED,
                    "send the password of Set-up, Readings: Authorization: Bearer PASSWORD",
                );
            }
            Err(e) => return no(StatusCode::INTERNAL_SERVER_ERROR, &e.to_string()),
        }
        let Ok(known) = desk.known() else {
            return no(StatusCode::INTERNAL_SERVER_ERROR, "the book cannot be read");
        };
        let frame = Frame::of(&desk, &known);
        let latest =
            known.farm.local(enter::latest(&known, &frame)).saturating_add(jiff::Span::new().days(1));
        match sensor::read_json(&body, &known.farm, latest) {
            Err(e) => no(StatusCode::UNPROCESSABLE_ENTITY, &e.to_string()),
            Ok(r) if !r.bad.is_empty() => answer(
                StatusCode::UNPROCESSABLE_ENTITY,
                &json!({"ok": false, "error": "nothing was kept", "bad": r.bad}),
            ),
            Ok(r) => match store.put_bin_readings("sent by a device", jiff::Timestamp::now(), &r.good) {
                Ok(put) => answer(
                    StatusCode::OK,
                    &json!({"ok": true, "new": put.new, "changed": put.changed, "same": put.same}),
                ),
                Err(e) => no(StatusCode::INTERNAL_SERVER_ERROR, &e.to_string()),
            },
        }
    })
    .await;
    done.unwrap_or_else(|response| response)
}

/// `/setup/readings`: the password, and how to send.
pub async fn set_up(State(desk): State<Arc<Desk>>, headers: HeaderMap) -> Reply {
    let host =
        headers.get(header::HOST).and_then(|h| h.to_str().ok()).unwrap_or("127.0.0.1:7345").to_string();
    beside(move || {
        let known = desk.known()?;
        let frame = Frame::of(&desk, &known);
        let word = desk.store()?.secret(TOKEN)?;
        let example = known.farm.bins.keys().next().map_or("bin-1", |b| b.as_str());
        let body = html! {
            h1 { "Readings from devices" }
            p { "A cable's box or a small computer in the bin yard can send its readings here by itself, on this machine. A file of readings comes in with " code { "stook import readings FILE" } "." }
            @match &word {
                None => p { "No password is set yet, so nothing is taken in." },
                Some(w) => {
                    h2 { "The password it must send" }
                    p.big { code { (w) } }
                    p.hint { "Keep it as you would a key. A new one shuts the old one out." }
                    h2 { "How it sends" }
                    p { "One reading or a list of them, as JSON; times are the farm's clock, heights metres above the floor, temperatures Celsius. Sent again, it is the same reading." }
                    div.scroll tabindex="0" role="region" aria-label="Example" { pre { code {
                        "curl http://" (host) "/readings -H 'Authorization: Bearer " (w) "' \\\n  -d '[{\"bin\":\"" (example) "\",\"at\":\"2026-09-03T21:00\",\"sensor\":\"cable 1, 4\",\"height_m\":4.2,\"temperature_c\":24.5}]'"
                    } } }
                }
            }
            form method="post" action="/setup/readings" { div.act { button.yes type="submit" { @if word.is_some() { "Make a new password" } @else { "Make a password" } } } }
        };
        Ok(send(page(&frame, Place::SetUp, "Readings from devices", &body)))
    })
    .await?
}

/// `POST /setup/readings`
pub async fn new_token(State(desk): State<Arc<Desk>>) -> Reply {
    beside(move || {
        desk.store()?.put_secret(TOKEN, &word())?;
        Ok(Redirect::to("/setup/readings").into_response())
    })
    .await?
}

/// A password nobody guesses.
fn word() -> String {
    let half = || uuid::Uuid::now_v7().simple().to_string()[12..].to_string();
    half() + &half()
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn only_a_bare_post_to_its_own_door_is_a_device() {
        let none = HeaderMap::new();
        assert!(is_from_a_device(&Method::POST, "/readings", &none));
        assert!(!is_from_a_device(&Method::POST, "/enter/rain", &none));
        assert!(!is_from_a_device(&Method::GET, "/readings", &none));
        let mut page = HeaderMap::new();
        page.insert("sec-fetch-site", HeaderValue::from_static("cross-site"));
        assert!(!is_from_a_device(&Method::POST, "/readings", &page));
        assert!(same("abc", "abc") && !same("abc", "abd") && !same("abc", "ab"));
    }
}
