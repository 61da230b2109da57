//! A file that was sent and waits to be brought in: the answers to its questions, and whether it is still held.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::Multipart;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use uuid::Uuid;

use super::Trouble;
use crate::forms::Values;
use crate::state::{Desk, Upload};

/// Answers to a file's questions are typed under this.
pub const ANSWER: &str = "answer.";

/// The answers typed, by the question's key; a blank one is none.
pub fn answers(typed: &Values) -> BTreeMap<String, String> {
    let answer =
        |(k, v): (&String, &String)| Some((k.strip_prefix(ANSWER)?.to_string(), v.trim().to_string()));
    typed.iter().filter_map(answer).filter(|(_, v)| !v.is_empty()).collect()
}

/// What a form with a file sent: the file, and its other answers by name.
#[derive(Debug, Default)]
pub struct Sent {
    /// The file's name.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
    /// The rest of the form.
    pub said: Values,
}

/// Takes in a form with a file.
///
/// # Errors
/// When it did not arrive whole, or is over `most_mb`.
pub async fn receive(mut parts: Multipart, most_mb: usize) -> Result<Sent, Trouble> {
    let bad = |_| {
        let why = format!("The file did not arrive whole, or is over {most_mb} MB; send it again.");
        Trouble::Say(StatusCode::BAD_REQUEST, why)
    };
    let mut sent = Sent::default();
    while let Some(part) = parts.next_field().await.map_err(bad)? {
        match part.name().map(str::to_string).as_deref() {
            Some("file") => {
                sent.name = part.file_name().unwrap_or("").to_string();
                sent.bytes = part.bytes().await.map_err(bad)?.to_vec();
            }
            Some(name) => {
                let name = name.to_string();
                sent.said.insert(name, part.text().await.map_err(bad)?);
            }
            None => {}
        }
    }
    Ok(sent)
}

/// Said when no file was chosen.
pub const EMPTY: &str = "Choose a file first; this one is empty.";

/// Holds a file until it is brought in, and leads to the page `under` that shows what was understood.
pub fn hold(desk: &Desk, under: &str, name: String, bytes: Vec<u8>, forecast: bool) -> Response {
    let token = Uuid::now_v7().to_string();
    desk.keep_upload(Upload { token: token.clone(), name, forecast, bytes });
    Redirect::to(&format!("{under}/{token}")).into_response()
}

/// The file of a token; `page` is where to choose it again.
///
/// # Errors
/// When it is no longer held.
pub fn kept(desk: &Desk, token: &str, page: &str) -> Result<Arc<Upload>, Trouble> {
    desk.upload(token).ok_or_else(|| {
        Trouble::missing(format!("That file is no longer held here; go to {page}, and choose it again."))
    })
}
