//! The application sheet: what to have beside you while finished strips go onto their rings.
//!
//! Takes what was made (an [`Application`]: lenses, pieces, and the process with its settings); gives the work as plain
//! data in the order in which it is done ([`contents`]), as A4 pages ([`pages`](pages())) and as one HTML file
//! ([`html`](html())). Both say the same. Lengths in mm; left and right are those of a strip whose outer face is toward
//! the reader and whose front edge is up. Nothing is computed here but what a strip's own frame tells.

mod cautions;
mod craft;
mod diagram;
mod facts;
mod html;
mod pages;
mod pieces;
mod present;
mod steps;
#[cfg(test)]
mod tests;
mod typeset;

pub use cautions::Caution;
pub use html::html;
pub use pages::{PAGE, pages};
pub use pieces::applied;

use crate::artwork::Flat;
use crate::process::Process;
use crate::surface::{Edge, Ring, Sense};
use crate::units::Length;

/// What is to be applied.
#[derive(Clone, Debug)]
pub struct Application {
    /// The set's name.
    pub set: String,
    /// How the pieces were made.
    pub process: Process,
    /// In the set's order.
    pub lenses: Vec<AppliedLens>,
    /// Names of the files in which all pieces lie on sheets.
    pub sheets: Vec<String>,
    /// Names of the files in which all transfer guides lie on paper.
    pub guides: Vec<String>,
}

/// One lens and what goes onto it.
#[derive(Clone, Debug)]
pub struct AppliedLens {
    /// The lens's name.
    pub name: String,
    /// Whether its iris ring turns along when focusing.
    pub iris_rides: bool,
    /// In the order of work.
    pub pieces: Vec<AppliedPiece>,
}

/// One piece of a lens.
#[derive(Clone, Debug)]
pub struct AppliedPiece {
    /// What it is, and where it goes.
    pub what: Applied,
    /// Length of the flat piece, along the index edge, without a tab.
    pub length: Length,
    /// Height of the flat piece, from its front edge to its rear edge.
    pub height: Length,
    /// How many are made.
    pub copies: usize,
    /// In how many parts it lies on the sheets, 1 where it is whole.
    pub parts: usize,
    /// In how many parts its transfer guide lies on paper.
    pub guide_parts: usize,
    /// Names of the files that hold it.
    pub files: Vec<String>,
}

/// What a piece is, and where it goes.
#[derive(Clone, Debug)]
pub enum Applied {
    /// A focus scale round a ring.
    Focus(OnRing),
    /// An iris scale round a ring.
    Iris(OnRing),
    /// A focus scale on a flat disc beside the ring.
    Disc(OnDisc),
    /// Plates with index lines, in a row from the left.
    Index(Vec<IndexAt>),
}

/// How a scale lies on a follow focus's disc.
#[derive(Clone, Copy, Debug)]
pub struct OnDisc {
    /// Across the rim.
    pub diameter: Length,
    /// Across the hole, zero for none.
    pub hole: Length,
    /// Whether the pointer turns over a fixed disc; otherwise the disc turns under a fixed index.
    pub pointer_turns: bool,
    /// How what turns turns toward close focus, as you face the disc.
    pub sense: Sense,
}

/// How a scale lies on its ring.
#[derive(Clone, Debug)]
pub struct OnRing {
    /// The face that carries it.
    pub ring: Ring,
    /// How the ring turns toward close (toward closed).
    pub sense: Sense,
    /// At which edge the index stands.
    pub index: Edge,
    /// From which side the numerals are upright.
    pub read_from: Edge,
    /// Whether it goes once round, so that its ends meet.
    pub closed: bool,
    /// Where the infinity marks (those of the widest stop) lie, from the left end along the index edge; one for every
    /// time that the scale stands on the ring.
    pub zeros: Vec<Length>,
}

/// Where an index plate goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct IndexAt {
    /// Whether it serves the iris ring; otherwise the focus ring.
    pub iris: bool,
    /// The edge of the ring at which it stands.
    pub edge: Edge,
    /// Whether marks of depth of field stand beside its line.
    pub depth: bool,
}

impl OnRing {
    /// What a strip's own frame tells, and the strip's length along its index edge.
    pub fn of(flat: &Flat, ring: Ring, sense: Sense, read_from: Edge) -> (OnRing, Length) {
        let degree = flat.mm_per_degree(flat.index());
        let (left, right) = flat.ends();
        let zeros = flat.zeros().iter().map(|turn| Length::mm((turn - left) * degree)).collect();
        let on = OnRing { ring, sense, index: flat.index(), read_from, closed: flat.closed(), zeros };
        (on, Length::mm((right - left) * degree))
    }
}

/// The sheet as plain data.
#[derive(Clone, Debug, PartialEq)]
pub struct Contents {
    /// The heading.
    pub title: String,
    /// What the sheet is for, one sentence each.
    pub lead: Vec<String>,
    /// Those of the process, and those of every process.
    pub cautions: Vec<Caution>,
    /// The work, in order.
    pub parts: Vec<Part>,
    /// The table of every lens.
    pub lenses: Vec<LensTable>,
}

/// One part of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The heading.
    pub heading: String,
    /// In order; each can be ticked off.
    pub steps: Vec<String>,
}

/// What goes where on one lens.
#[derive(Clone, Debug, PartialEq)]
pub struct LensTable {
    /// The lens's name.
    pub name: String,
    /// One for every piece, in the lens's order.
    pub rows: Vec<PieceRow>,
}

/// One piece of a lens's table.
#[derive(Clone, Debug, PartialEq)]
pub struct PieceRow {
    /// What it is.
    pub heading: String,
    /// Name and value, in order.
    pub facts: Vec<(&'static str, String)>,
}

/// The sheet's contents.
pub fn contents(application: &Application) -> Contents {
    let process = &application.process;
    let lenses = application.lenses.iter().map(|lens| LensTable {
        name: lens.name.clone(),
        rows: lens.pieces.iter().map(|piece| facts::row(piece, process)).collect(),
    });
    Contents {
        title: format!("Applying the scales: {}", application.set),
        lead: [
            Some(craft::craft(process).made().to_string()),
            facts::together(application),
            Some(facts::SIDES.to_string()),
        ]
        .into_iter()
        .flatten()
        .collect(),
        cautions: cautions::ALWAYS.iter().chain(craft::craft(process).cautions()).copied().collect(),
        parts: steps::of(application),
        lenses: lenses.collect(),
    }
}
