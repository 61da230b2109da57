//! Files that come in several at once, and the originals that are kept.

use std::sync::Arc;

use axum::extract::{Multipart, Path, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use stook_taskdata::Folder;
use uuid::Uuid;

use crate::pages::{Reply, Trouble, sentence};
use crate::server::beside;
use crate::state::{Desk, Upload};

/// Every file of a form by its name.
pub async fn sent(mut parts: Multipart) -> Result<Vec<(String, Vec<u8>)>, Trouble> {
    let bad = |_| {
        Trouble::Say(
            StatusCode::BAD_REQUEST,
            "The files did not arrive whole, or are over 96 MB together; send one field at a time.".into(),
        )
    };
    let mut out = Vec::new();
    while let Some(part) = parts.next_field().await.map_err(bad)? {
        let name = part.file_name().unwrap_or("").to_string();
        let bytes = part.bytes().await.map_err(bad)?.to_vec();
        if !bytes.is_empty() {
            out.push((name, bytes));
        }
    }
    Ok(out)
}

/// Holds the files as one archive until they are brought in; gives the token. An archive that was sent stays as it is.
pub fn hold(desk: &Desk, mut files: Vec<(String, Vec<u8>)>) -> Result<String, Trouble> {
    let token = Uuid::now_v7().to_string();
    let (name, bytes) = if files.len() == 1 {
        files.remove(0)
    } else {
        let first = files[0].0.clone();
        let folder = Folder::of(files).map_err(|e| said(&e))?;
        (
            format!("{}.zip", first.rsplit_once('.').map_or(first.as_str(), |n| n.0)),
            folder.pack().map_err(|e| said(&e))?,
        )
    };
    desk.keep_upload(Upload { token: token.clone(), name, forecast: false, bytes });
    Ok(token)
}

/// The files of an upload.
pub fn folder(file: &Upload) -> Result<Folder, Trouble> {
    Folder::of([(file.name.clone(), file.bytes.clone())]).map_err(|e| said(&e))
}

/// What is wrong with a file.
pub fn said(e: &dyn std::fmt::Display) -> Trouble {
    Trouble::Say(StatusCode::UNPROCESSABLE_ENTITY, sentence(e))
}

/// `/kept/{id}`: an original as it was sent.
pub async fn kept(State(desk): State<Arc<Desk>>, Path(id): Path<Uuid>) -> Reply {
    beside(move || {
        let (name, bytes) = desk
            .store()?
            .kept_file(id)?
            .ok_or_else(|| Trouble::missing("There is no such file in the book."))?;
        Ok(download(&name, bytes))
    })
    .await?
}

/// A file to save.
pub fn download(name: &str, bytes: Vec<u8>) -> axum::response::Response {
    let plain: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() || ".-_".contains(c) { c } else { '-' }).collect();
    let headers = [
        (header::CONTENT_TYPE, "application/octet-stream".to_string()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{plain}\"")),
    ];
    (headers, bytes).into_response()
}
