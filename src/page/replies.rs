//! Responses: answers, refusals and files, and what every handler needs.

use std::net::SocketAddr;
use std::sync::Arc;

use axum::body::Body;
use axum::extract::Path;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use tokio::sync::Semaphore;

use super::documents::{Refusal, text};
use super::worker::{Unanswered, Worker};
use crate::process::ProcessKind;

/// What every handler needs.
#[derive(Clone)]
pub(super) struct House {
    pub(super) worker: Worker,
    pub(super) address: SocketAddr,
    pub(super) at_once: Arc<Semaphore>,
    pub(super) listeners: Arc<Semaphore>,
    /// One slow task at a time: each uses all cores.
    pub(super) slow: Arc<Semaphore>,
}

/// A refusal in words, for people and for the page.
pub(super) fn refusal(status: StatusCode, words: &str, way_out: Option<&str>) -> Response {
    sent(status, text(&Refusal { error: words, way_out }))
}

pub(super) fn busy() -> Response {
    let words = "too much is asked at once";
    let mut response = refusal(StatusCode::SERVICE_UNAVAILABLE, words, Some("ask again in a moment"));
    response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static("1"));
    response
}

/// Why the set's own thread did not answer.
pub(super) fn unanswered(why: &Unanswered) -> Response {
    match why {
        Unanswered::Busy => busy(),
        Unanswered::Lost => {
            let words = "this could not be computed; the set is saved";
            refusal(StatusCode::INTERNAL_SERVER_ERROR, words, Some("change something and try again"))
        }
    }
}

pub(super) fn answer(value: &impl Serialize) -> Response {
    sent(StatusCode::OK, text(value))
}

pub(super) fn sent(status: StatusCode, body: String) -> Response {
    (status, [(header::CONTENT_TYPE, "application/json")], body).into_response()
}

pub(super) fn process(named: &Named) -> Result<ProcessKind, Box<Response>> {
    let [usual, ..] = ProcessKind::ALL;
    named.get("process").map_or(Ok(usual), |word| word.parse()).map_err(|error| Box::new(bad(&error.to_string())))
}

/// What stands behind the question mark of an address.
pub(super) type Named = std::collections::HashMap<String, String>;

pub(super) fn bad(words: &str) -> Response {
    refusal(StatusCode::BAD_REQUEST, words, None)
}

/// A file to be saved by the browser.
pub(super) fn saved(name: &str, bytes: Vec<u8>) -> Response {
    let kind = match name.rsplit('.').next() {
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("pdf") => "application/pdf",
        Some("html") => "text/html; charset=utf-8",
        _ => "application/octet-stream",
    };
    // names are letters, digits and hyphens, but letters of any language
    let encoded: String = name
        .bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() || b"-._".contains(&b) { (b as char).to_string() } else { format!("%{b:02X}") }
        })
        .collect();
    let disposition = format!("attachment; filename*=UTF-8''{encoded}");
    ([(header::CONTENT_TYPE, kind.to_string()), (header::CONTENT_DISPOSITION, disposition)], Body::from(bytes))
        .into_response()
}

/// The one part of a path that names a file.
pub(super) type Name = Path<String>;
