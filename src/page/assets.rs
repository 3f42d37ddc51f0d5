//! The page's own files, inside the program: it works without a net and without a folder of its own.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::replies::refusal;

const PAGE: &str = include_str!("assets/index.html");

/// Name, kind and bytes of each file.
const FILES: &[(&str, &str, &[u8])] = &[
    ("page.css", "text/css; charset=utf-8", include_bytes!("assets/page.css")),
    ("main.js", SCRIPT, include_bytes!("assets/main.js")),
    ("dom.js", SCRIPT, include_bytes!("assets/dom.js")),
    ("server.js", SCRIPT, include_bytes!("assets/server.js")),
    ("lens.js", SCRIPT, include_bytes!("assets/lens.js")),
    ("stage.js", SCRIPT, include_bytes!("assets/stage.js")),
    ("readings.js", SCRIPT, include_bytes!("assets/readings.js")),
    ("choices.js", SCRIPT, include_bytes!("assets/choices.js")),
    ("making.js", SCRIPT, include_bytes!("assets/making.js")),
    ("face.ttf", "font/ttf", include_bytes!("../../fonts/BarlowSemiCondensed-Medium.ttf")),
    ("icon.svg", "image/svg+xml", include_bytes!("assets/icon.svg")),
];

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// The page.
pub(super) async fn page() -> Response {
    ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], PAGE).into_response()
}

/// One of its files.
pub(super) async fn asset(Path(name): Path<String>) -> Response {
    match FILES.iter().find(|(known, ..)| *known == name) {
        Some((_, kind, bytes)) => ([(header::CONTENT_TYPE, *kind)], *bytes).into_response(),
        None => refusal(StatusCode::NOT_FOUND, "there is nothing here", None),
    }
}
