//! The server's routes: which requests are accepted, what they can ask, and how large they may be.
//!
//! Only this machine's own address is answered, by the names it was opened under: a foreign `Host` (a name that
//! resolves to this machine) and a foreign `Origin` (another site's page) are refused, and so is every path but those below.
//! Nothing in a request names a file on disk.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{DefaultBodyLimit, Query, Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::Response;
use axum::routing::{get, post};
use serde_json::Value;
use tokio::sync::Semaphore;

use super::answers::{Stand, View};
use super::documents::{self, OfferedField, Overtaken, text};
use super::edits::one_edit;
use super::fields::{FIELDS, Sort};
use super::open_set::Refused;
use super::replies::{House, Named, answer, bad, busy, process, refusal, sent, unanswered};
use super::worker::{Command, Question, Reply, Unanswered, Worker};
use super::{assets, slow};
use crate::model::{DistanceUnit, RingKind};
use crate::set::edit::Edit;

/// The longest request, in bytes: a spreadsheet of readings is a hundredth of it.
const LARGEST: usize = 1 << 20;

/// Changes in one request. Each is spliced into the text anew, so that thousands would hold up every other question for
/// seconds; a pasted table of readings is a few dozen rows of three cells.
const MOST_EDITS: usize = 2000;

/// The longest name of a change, in characters; it is kept as long as the change can be undone.
const LONGEST_NAME: usize = 200;

/// How long the body of a request may take to arrive. Until then it counts among the requests at once.
const COMING: Duration = Duration::from_secs(5);

/// Requests at once; a browser sends six.
const AT_ONCE: usize = 32;

/// Pages that wait for news at once.
const LISTENERS: usize = 16;

/// How long a page waits for news before it asks again.
const PATIENCE: Duration = Duration::from_secs(20);

/// Scripts, styles and pictures of our own only; no other site may frame the page.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; \
                      font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Every route.
pub(super) fn doors(worker: Worker, address: SocketAddr) -> Router {
    let house = House {
        worker,
        address,
        at_once: Arc::new(Semaphore::new(AT_ONCE)),
        listeners: Arc::new(Semaphore::new(LISTENERS)),
        slow: Arc::new(Semaphore::new(1)),
    };
    Router::new()
        .route("/", get(assets::page))
        .route("/assets/{name}", get(assets::asset))
        .route("/fields", get(all_fields))
        .route("/state", get(state))
        .route("/lens", get(lens))
        .route("/at", get(at))
        .route("/strips", get(strips))
        .route("/plot", get(plot))
        .route("/next", get(next))
        .route("/news", get(news))
        .route("/edit", post(edit))
        .route("/undo", post(undo))
        .route("/redo", post(redo))
        .route("/settle", post(settle))
        .route("/check", get(slow::check))
        .route("/suggestion", get(slow::suggestion))
        .route("/sheets", get(slow::sheets))
        .route("/files", get(slow::files))
        .route("/files/{name}", get(slow::file))
        .fallback(|| async { refusal(StatusCode::NOT_FOUND, "there is nothing here", None) })
        .method_not_allowed_fallback(|| async { refusal(StatusCode::METHOD_NOT_ALLOWED, "not in this way", None) })
        .layer(DefaultBodyLimit::max(LARGEST))
        .layer(middleware::from_fn_with_state(house.clone(), guarded))
        .with_state(house)
}

async fn guarded(State(house): State<House>, request: Request, next: Next) -> Response {
    let mut response = match refused(&house, &request) {
        Some(refusal) => refusal,
        None if request.uri().path() == "/news" => next.run(request).await,
        None => match Arc::clone(&house.at_once).try_acquire_owned() {
            Ok(_permit) => match whole(request).await {
                Ok(request) => next.run(request).await,
                Err(refusal) => *refusal,
            },
            Err(_) => busy(),
        },
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// The request with all of its body, or why it was not read.
async fn whole(request: Request) -> Result<Request, Box<Response>> {
    let (head, body) = request.into_parts();
    match tokio::time::timeout(COMING, to_bytes(body, LARGEST)).await {
        Ok(Ok(bytes)) => Ok(Request::from_parts(head, Body::from(bytes))),
        Ok(Err(_)) => Err(Box::new(too_large())),
        Err(_) => {
            Err(Box::new(closing(refusal(StatusCode::REQUEST_TIMEOUT, "the request did not come to its end", None))))
        }
    }
}

/// A request refused before its end was read closes its connection: what follows on it would be read as a new request.
fn closing(mut response: Response) -> Response {
    response.headers_mut().insert(header::CONNECTION, HeaderValue::from_static("close"));
    response
}

fn too_large() -> Response {
    let words = "the request is too large, or was broken off: a megabyte is read at most";
    closing(refusal(StatusCode::PAYLOAD_TOO_LARGE, words, None))
}

/// Why a request is refused unread.
fn refused(house: &House, request: &Request) -> Option<Response> {
    let headers = request.headers();
    let forbidden =
        |words: &str| Some(refusal(StatusCode::FORBIDDEN, words, Some("open the address that was printed")));
    let names = own_names(house.address);
    let mut hosts = headers.get_all(header::HOST).iter();
    let host = hosts.next().and_then(|host| host.to_str().ok());
    if hosts.next().is_some() || !host.is_some_and(|host| names.iter().any(|name| host.eq_ignore_ascii_case(name))) {
        return forbidden("this page is answered on this machine's own address only");
    }
    // a whole address as the target stands above the header
    let target = request.uri().authority().map(|named| named.as_str());
    if target.is_some_and(|target| !names.iter().any(|name| target.eq_ignore_ascii_case(name))) {
        return forbidden("this page is answered on this machine's own address only");
    }
    let from_here = |origin: &HeaderValue| {
        origin
            .to_str()
            .is_ok_and(|origin| names.iter().any(|name| origin.eq_ignore_ascii_case(&format!("http://{name}"))))
    };
    if !headers.get_all(header::ORIGIN).iter().all(from_here) {
        return forbidden("another site's page may not use this one");
    }
    let foreign = |site: &HeaderValue| site == "cross-site" || site == "same-site";
    if headers.get("sec-fetch-site").is_some_and(foreign) {
        return forbidden("another site's page may not use this one");
    }
    let length = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse::<u64>().ok());
    length.is_some_and(|length| length > LARGEST as u64).then(too_large)
}

/// The names by which the page is opened.
fn own_names(address: SocketAddr) -> [String; 2] {
    [address.to_string(), format!("localhost:{}", address.port())]
}

fn view(named: &Named) -> Result<View, Box<Response>> {
    let unit = match named.get("unit").map(String::as_str) {
        None | Some("") => None,
        Some(word) => match DistanceUnit::of_word(word) {
            Some(unit) => Some(unit),
            None => {
                let words = DistanceUnit::ALL.map(DistanceUnit::word).join(" or ");
                return Err(Box::new(bad(&format!("the unit is {words}"))));
            }
        },
    };
    Ok(View { process: process(named)?, unit })
}

pub(super) fn lens_number(named: &Named) -> Result<usize, Box<Response>> {
    named.get("lens").and_then(|text| text.parse().ok()).ok_or_else(|| Box::new(bad("which lens? its number is due")))
}

fn told(reply: Result<Reply, Unanswered>) -> Response {
    match reply {
        Ok(Reply::Answer(body)) => sent(StatusCode::OK, body),
        Ok(Reply::NoAnswer(none)) => {
            let status = if none.missing { StatusCode::NOT_FOUND } else { StatusCode::UNPROCESSABLE_ENTITY };
            refusal(status, &none.words, None)
        }
        Ok(Reply::Refused(refused, state)) => {
            let (status, words) = match refused {
                Refused::Stale => (StatusCode::CONFLICT, "the set was changed elsewhere meanwhile".to_string()),
                Refused::Elsewhere => (
                    StatusCode::CONFLICT,
                    "the file was changed on disk; decide first which version stands".to_string(),
                ),
                Refused::Impossible(words) => (StatusCode::UNPROCESSABLE_ENTITY, words),
            };
            sent(status, text(&Overtaken { error: &words, state: &state }))
        }
        Err(why) => unanswered(&why),
    }
}

async fn all_fields() -> Response {
    let fields: Vec<OfferedField> = FIELDS
        .iter()
        .map(|field| {
            let sort = field.sort();
            let words = match &sort {
                Some(Sort::Words(words)) => words.clone(),
                _ => Vec::new(),
            };
            OfferedField {
                table: field.table,
                key: field.key,
                label: field.label,
                hint: field.shown_hint(),
                sort: sort.as_ref().map(Sort::name),
                words,
                rare: field.rare,
            }
        })
        .collect();
    answer(&fields)
}

async fn ask(house: &House, question: Result<Question, Box<Response>>) -> Response {
    match question {
        Ok(question) => told(house.worker.ask(question).await),
        Err(refusal) => *refusal,
    }
}

async fn state(State(house): State<House>, Query(named): Query<Named>) -> Response {
    ask(&house, process(&named).map(Question::State)).await
}

async fn lens(State(house): State<House>, Query(named): Query<Named>) -> Response {
    ask(&house, view(&named).and_then(|view| Ok(Question::Lens(view, lens_number(&named)?)))).await
}

async fn strips(State(house): State<House>, Query(named): Query<Named>) -> Response {
    ask(&house, view(&named).and_then(|view| Ok(Question::Strips(view, lens_number(&named)?)))).await
}

async fn plot(State(house): State<House>, Query(named): Query<Named>) -> Response {
    ask(&house, view(&named).and_then(|view| Ok(Question::Plot(view, lens_number(&named)?)))).await
}

async fn next(State(house): State<House>, Query(named): Query<Named>) -> Response {
    ask(&house, view(&named).and_then(|view| Ok(Question::Next(view, lens_number(&named)?)))).await
}

async fn at(State(house): State<House>, Query(named): Query<Named>) -> Response {
    let question = || {
        let ring = match named.get("ring").map(String::as_str) {
            Some("focus") => RingKind::Focus,
            Some("iris") => RingKind::Iris,
            _ => return Err(Box::new(bad("the ring is focus or iris"))),
        };
        let stand = match (named.get("deg").and_then(|text| text.parse().ok()), named.get("distance")) {
            (Some(deg), None) => Stand::Angle(deg),
            (None, Some(distance)) => Stand::Distance(distance.clone()),
            _ => return Err(Box::new(bad("either deg or distance is due"))),
        };
        Ok(Question::At(view(&named)?, lens_number(&named)?, ring, stand))
    };
    ask(&house, question()).await
}

/// Waits until something is new, or for a while.
async fn news(State(house): State<House>, Query(named): Query<Named>) -> Response {
    let Ok(_listening) = Arc::clone(&house.listeners).try_acquire_owned() else { return busy() };
    let since: u64 = named.get("since").and_then(|text| text.parse().ok()).unwrap_or(0);
    let mut news = house.worker.news();
    let waited = tokio::time::timeout(PATIENCE, news.wait_for(|now| *now != since)).await;
    let now = match waited {
        Ok(Ok(now)) => *now,
        _ => since,
    };
    answer(&documents::News { news: now })
}

/// A change as the page sends it.
async fn edit(State(house): State<House>, headers: HeaderMap, body: Bytes) -> Response {
    let asked = match asked(&headers, &body) {
        Ok(asked) => asked,
        Err(refusal) => return *refusal,
    };
    let Some(edits) = asked.body["edits"].as_array() else { return bad("edits is a list") };
    let edits: Result<Vec<Vec<Edit>>, String> = edits.iter().map(one_edit).collect();
    match edits {
        Ok(edits) => {
            let edits = edits.concat();
            if edits.len() > MOST_EDITS {
                let words = format!("these are {} changes at once; {MOST_EDITS} are made at most", edits.len());
                return refusal(StatusCode::UNPROCESSABLE_ENTITY, &words, Some("make them in several steps"));
            }
            let text = |key: &str| asked.body[key].as_str().unwrap_or_default().chars().take(LONGEST_NAME).collect();
            let command = Command::Edit { base: asked.base, edits, what: text("what"), mark: text("mark") };
            told(house.worker.act(command, asked.view, asked.lens).await)
        }
        Err(words) => refusal(StatusCode::UNPROCESSABLE_ENTITY, &words, None),
    }
}

async fn undo(State(house): State<House>, headers: HeaderMap, body: Bytes) -> Response {
    match asked(&headers, &body) {
        Ok(asked) => told(house.worker.act(Command::Undo(asked.base), asked.view, asked.lens).await),
        Err(refusal) => *refusal,
    }
}

async fn redo(State(house): State<House>, headers: HeaderMap, body: Bytes) -> Response {
    match asked(&headers, &body) {
        Ok(asked) => told(house.worker.act(Command::Redo(asked.base), asked.view, asked.lens).await),
        Err(refusal) => *refusal,
    }
}

async fn settle(State(house): State<House>, headers: HeaderMap, body: Bytes) -> Response {
    match asked(&headers, &body) {
        Ok(asked) => {
            let Some(theirs) = asked.body["theirs"].as_bool() else { return bad("theirs is true or false") };
            told(house.worker.act(Command::Settle { theirs }, asked.view, asked.lens).await)
        }
        Err(refusal) => *refusal,
    }
}

struct Asked {
    body: Value,
    base: u64,
    view: View,
    lens: Option<usize>,
}

/// The body of a command. It has to be declared as JSON, which no form of another site can do.
fn asked(headers: &HeaderMap, body: &Bytes) -> Result<Asked, Box<Response>> {
    let json = |kind: &HeaderValue| kind.to_str().is_ok_and(|kind| kind.starts_with("application/json"));
    if !headers.get(header::CONTENT_TYPE).is_some_and(json) {
        return Err(Box::new(refusal(StatusCode::UNSUPPORTED_MEDIA_TYPE, "JSON is due", None)));
    }
    let body: Value = serde_json::from_slice(body).map_err(|_| Box::new(bad("this is no JSON")))?;
    let text = |key: &str| body[key].as_str().map(|text| (key.to_string(), text.to_string()));
    let named: Named = ["process", "unit"].into_iter().filter_map(text).collect();
    let view = view(&named)?;
    let base = body["base"].as_u64().unwrap_or(0);
    let lens = body["lens"].as_u64().and_then(|lens| usize::try_from(lens).ok());
    Ok(Asked { base, view, lens, body })
}
