//! Styles, script and font, built in `web/` and held in the binary.

use axum::http::header;
use axum::response::{IntoResponse, Response};

const STYLE: &[u8] = include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../web/dist/style.css"));
const SCRIPT: &[u8] = include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../web/dist/desk.js"));
const REGULAR: &[u8] =
    include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../web/dist/hyperlegible-400.woff2"));
const BOLD: &[u8] =
    include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../web/dist/hyperlegible-700.woff2"));

/// Changes with every build of the pages' files, so that a browser never shows an old one.
pub const STAMP: &str = env!("STOOK_WEB_STAMP");

/// A file by name.
pub fn file(name: &str) -> Option<Response> {
    let (kind, bytes) = match name {
        "style.css" => ("text/css; charset=utf-8", STYLE),
        "desk.js" => ("text/javascript; charset=utf-8", SCRIPT),
        "hyperlegible-400.woff2" => ("font/woff2", REGULAR),
        "hyperlegible-700.woff2" => ("font/woff2", BOLD),
        _ => return None,
    };
    let headers =
        [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "public, max-age=31536000, immutable")];
    Some((headers, bytes).into_response())
}
