//! A file that was sent and waits to be brought in: the answers to its questions, and whether it is still held.

use std::collections::BTreeMap;
use std::sync::Arc;

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

/// The file of a token; `page` is where to choose it again.
///
/// # Errors
/// When it is no longer held.
pub fn kept(desk: &Desk, token: &str, page: &str) -> Result<Arc<Upload>, Trouble> {
    desk.upload(token).ok_or_else(|| {
        Trouble::missing(format!("That file is no longer held here; go to {page}, and choose it again."))
    })
}
