//! Strips and transfer guides of several lenses, laid on sheets.

use super::{ExportError, Finished, FinishedStrip, small_lettering};
use crate::artwork::Strip;
use crate::model::Set;
use crate::process::{self, Process};
use crate::sheet::{Item, Page, Paper, SheetError, Sheets, sheets};

/// What can lie together on sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum SheetKind {
    /// The strips, on what they are made from.
    Strips,
    /// What is laid under the tape while a strip is transferred, on paper.
    TransferGuides,
}

impl SheetKind {
    /// The word for one such sheet: in messages, and in the names of its files.
    pub fn word(self) -> &'static str {
        match self {
            SheetKind::Strips => "sheet",
            SheetKind::TransferGuides => "transfer",
        }
    }
}

/// What lies together on sheets.
pub struct OnSheets {
    /// Strips or guides.
    pub kind: SheetKind,
    /// What it lies on.
    pub page: Page,
    /// How it lies.
    pub laid: Sheets,
}

/// Everything on sheets: the strips on what they are made from, transfer guides on paper of their own.
///
/// # Errors
/// When a strip is too large for the paper.
pub fn on_sheets(set: &Set, made: &[Finished], paper: Option<Paper>) -> Result<Vec<OnSheets>, ExportError> {
    let lettering = small_lettering()?;
    let (mut items, mut guides) = (Vec::new(), Vec::new());
    for lens in made {
        for strip in &lens.strips {
            let name = format!("{}, {}", lens.assembly.lens.name, strip.piece);
            if let Some(guide) = set.process.settings().transfer_guide(&strip.bare) {
                guides.push(Item { name: format!("{name}, transfer guide"), strip: guide, copies: 1 });
            }
            items.push(Item { name, strip: on_paper(strip, &set.process)?, copies: 1 + set.spares });
        }
    }
    let settings = set.process.settings();
    let page = Page {
        printed: settings.printed(),
        title: set.name.clone(),
        advice: settings.sheet_advice().to_string(),
        ..Page::new(paper.or(set.paper).unwrap_or(Paper::A4))
    };
    // what is laid under the tape is printed on paper, whatever the vinyl lies on
    let under_tape = Page { paper: Paper::A4, advice: "print at 100 %".to_string(), ..page.clone() };
    let mut all = Vec::new();
    for (kind, items, page) in [(SheetKind::Strips, items, page), (SheetKind::TransferGuides, guides, under_tape)] {
        if !items.is_empty() {
            let laid = sheets(&items, &page, &lettering).map_err(too_large)?;
            all.push(OnSheets { kind, page, laid });
        }
    }
    Ok(all)
}

/// What lies on a sheet.
fn on_paper(strip: &FinishedStrip, process: &Process) -> Result<Strip, ExportError> {
    match process.settings().on_sheets() {
        Some(instead) => process::finished(&strip.bare, &instead)
            .map_err(|error| ExportError::Other(error.to_string(), error.way_out().map(str::to_string))),
        None => Ok(strip.finished.clone()),
    }
}

fn too_large(error: SheetError) -> ExportError {
    let way_out = "name larger paper, like --sheet A3 or --sheet \"roll 300 mm\", or draw strips alone, --format svg";
    ExportError::Other(error.to_string(), Some(way_out.to_string()))
}
