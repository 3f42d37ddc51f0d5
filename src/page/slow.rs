//! What takes longer than a keystroke: checks, suggestions, sheets, files. One at a time, on a thread of its own.

use std::path::PathBuf;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;

use super::answers::{fault_words, refusal_words};
use super::documents::{Checked, Files, Found, Put, Sheet, Sheets, StripChecked, Suggested};
use super::replies::{House, Name, Named, answer, bad, busy, process, refusal, saved, unanswered};
use super::worker::Unanswered;
use crate::artwork::Strip;
use crate::assembly::{self, Assembly};
use crate::export::{self, ExportError, Format, Job};
use crate::model::Set;
use crate::process::{Checker, Finding, ProcessKind};
use crate::report;
use crate::suggestion::{Suggestion, suggestion as find_suggestion};
use crate::write::{self, BitDepth, Raster};

/// The resolution of pictures in dots per inch, that of `draw` unless told.
const DPI: f64 = 600.0;

/// The way out where the set itself is at fault.
const MEND: &str = "mend what is listed above";

/// Runs a question about the set as it stands now.
async fn run<T: Send + 'static>(
    house: &House,
    kind: ProcessKind,
    question: impl FnOnce(&Set, PathBuf) -> Result<T, ExportError> + Send + 'static,
) -> Result<T, Box<Response>> {
    let Ok(_turn) = Arc::clone(&house.slow).acquire_owned().await else { return Err(Box::new(busy())) };
    let snapshot = house.worker.snapshot().await.map_err(|why| Box::new(unanswered(&why)))?;
    let answered = tokio::task::spawn_blocking(move || match snapshot.set {
        Ok(set) => question(&set.made_by(kind), snapshot.path),
        Err(faults) => Err(ExportError::Other(fault_words(&faults).join("; "), Some(MEND.to_string()))),
    });
    match answered.await {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(reason)) => Err(Box::new(not_made(&reason))),
        Err(_) => Err(Box::new(unanswered(&Unanswered::Lost))),
    }
}

fn not_made(reason: &ExportError) -> Response {
    match reason {
        ExportError::Refused(refused) => {
            refusal(StatusCode::UNPROCESSABLE_ENTITY, &refusal_words(refused).join("; "), Some(MEND))
        }
        ExportError::Other(words, way_out) => refusal(StatusCode::UNPROCESSABLE_ENTITY, words, way_out.as_deref()),
    }
}

/// Every lens assembled, and handed on.
fn with_lenses<T>(set: &Set, use_them: impl FnOnce(&[Assembly]) -> Result<T, ExportError>) -> Result<T, ExportError> {
    let lettering = assembly::lettering(set)?;
    use_them(&assembly::assembled(set, set.lenses.iter(), &lettering)?)
}

/// Every file, with and without sheets of their own: what the command writes with all formats.
fn with_job<T>(set: &Set, use_it: impl FnOnce(&Job) -> Result<T, ExportError>) -> Result<T, ExportError> {
    with_lenses(set, |lenses| {
        let made = export::finish(set, lenses)?;
        let sheets = export::on_sheets(set, &made, None)?;
        let raster = Raster { dpi: DPI, depth: BitDepth::Grey8 };
        use_it(&Job::new(set, &made, &sheets, &Format::ALL, raster, false))
    })
}

fn or_refusal(answered: Result<impl Serialize, Box<Response>>) -> Response {
    answered.map_or_else(|refusal| *refusal, |value| answer(&value))
}

/// What the process cannot make, place by place.
pub(super) async fn check(State(house): State<House>, Query(named): Query<Named>) -> Response {
    let kind = match process(&named) {
        Ok(kind) => kind,
        Err(refusal) => return *refusal,
    };
    or_refusal(run(&house, kind, |set, _| with_lenses(set, |lenses| Ok(checked(set, lenses)))).await)
}

fn checked(set: &Set, lenses: &[Assembly]) -> Checked {
    let mut checker = Checker::new(&set.process);
    let mut strips = Vec::new();
    let mut places = 0;
    for (number, assembly) in lenses.iter().enumerate() {
        let laid_out = assembly.laid_out();
        let bare: Vec<&Strip> = laid_out.strips.iter().map(|(_, strip)| strip).collect();
        for ((piece, strip), findings) in laid_out.strips.iter().zip(checker.check_all(&bare)) {
            places += findings.len();
            if let Some(worst) = report::worst_line(&findings) {
                strips.push(StripChecked {
                    lens: number,
                    piece: *piece,
                    worst: Some(worst),
                    unfit: None,
                    findings: findings.iter().map(|finding| found(strip, finding)).collect(),
                });
            }
        }
        for unfit in &laid_out.unfit {
            strips.push(StripChecked {
                lens: number,
                piece: unfit.piece,
                worst: None,
                unfit: Some(unfit.error.to_string()),
                findings: Vec::new(),
            });
        }
    }
    Checked { places, strips }
}

fn found(strip: &Strip, finding: &Finding) -> Found {
    let (x, y) = (finding.place.x, finding.place.y);
    // where it lies on the ring, from the first mark at the index
    let on_ring = strip.flat.as_ref().map(|flat| {
        let (turn, height) = flat.turn_and_height(finding.place);
        (turn - flat.zeros().first().copied().unwrap_or(0.0), height)
    });
    Found {
        words: report::finding_line(finding),
        x: x / strip.drawing.width.to_mm(),
        y: y / strip.drawing.height.to_mm(),
        on_ring,
    }
}

/// The smallest change with which everything can be made.
pub(super) async fn suggestion(State(house): State<House>, Query(named): Query<Named>) -> Response {
    let kind = match process(&named) {
        Ok(kind) => kind,
        Err(refusal) => return *refusal,
    };
    let found = run(&house, kind, |set, _| {
        let mut checker = Checker::new(&set.process);
        Ok(match find_suggestion(set, &|_| true, None, &mut checker) {
            Suggestion::Change(lines) => {
                let edits = lines.iter().filter_map(|line| as_edit(line)).collect();
                Suggested::Change { lines, edits }
            }
            Suggestion::Nothing(Some(width)) => Suggested::Nothing {
                nothing: format!("no change of style is enough; a face {width} wide would carry it"),
            },
            Suggestion::Nothing(None) => Suggested::Nothing { nothing: "no change of style is enough".to_string() },
        })
    });
    or_refusal(found.await)
}

/// A line of the set file, `[style] numeral_height = "2.4 mm"`, as the change that the page sends back.
fn as_edit(line: &str) -> Option<Put> {
    let (table, rest) = line.strip_prefix('[')?.split_once("] ")?;
    let (key, value) = rest.split_once(" = ")?;
    let text: String = value.chars().filter(|c| !matches!(c, '"' | '[' | ']')).collect();
    Some(Put { kind: "put", table: table.to_string(), key: key.to_string(), text })
}

/// The sheets that would be printed, cut or proofed.
pub(super) async fn sheets(State(house): State<House>, Query(named): Query<Named>) -> Response {
    let kind = match process(&named) {
        Ok(kind) => kind,
        Err(refusal) => return *refusal,
    };
    let laid = run(&house, kind, |set, _| {
        with_lenses(set, |lenses| {
            let made = export::finish(set, lenses)?;
            let sheets = export::on_sheets(set, &made, None)?;
            let pages = sheets.iter().flat_map(|on| on.laid.sheets.iter().map(move |sheet| (on, sheet)));
            let pages = pages.map(|(on, sheet)| Sheet {
                what: on.kind.word(),
                paper: on.page.paper.to_string(),
                svg: write::svg(&sheet.drawing),
            });
            let notes = sheets.iter().flat_map(|on| on.laid.notes.iter().cloned()).collect();
            Ok(Sheets { sheets: pages.collect(), notes })
        })
    });
    or_refusal(laid.await)
}

/// The names of all files, and the command that writes the same.
pub(super) async fn files(State(house): State<House>, Query(named): Query<Named>) -> Response {
    let kind = match process(&named) {
        Ok(kind) => kind,
        Err(refusal) => return *refusal,
    };
    let listed = run(&house, kind, move |set, path| {
        with_job(set, |job| {
            let files = job.files().iter().map(|file| file.name.clone()).collect();
            let path = path.display();
            let formats = Format::ALL.map(Format::ending).join(",");
            let command = format!("ringwright draw {path} --out strips --process {kind} --format {formats}");
            Ok(Files { files, command })
        })
    });
    or_refusal(listed.await)
}

/// One file, the same bytes that the command writes.
pub(super) async fn file(State(house): State<House>, Path(name): Name, Query(named): Query<Named>) -> Response {
    let kind = match process(&named) {
        Ok(kind) => kind,
        Err(refusal) => return *refusal,
    };
    if name.contains(['/', '\\']) || name.starts_with('.') {
        return bad("a file is asked for by its name alone");
    }
    let asked = name.clone();
    let made = run(&house, kind, move |set, _| {
        with_job(set, |job| match job.files().iter().find(|file| file.name == asked) {
            Some(file) => job.bytes(file).map(Some),
            None => Ok(None),
        })
    });
    match made.await {
        Ok(Some(bytes)) => saved(&name, bytes),
        Ok(None) => {
            refusal(StatusCode::NOT_FOUND, "no such file is made of this set", Some("the list names all of them"))
        }
        Err(refusal) => *refusal,
    }
}
