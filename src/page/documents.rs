//! What the page is sent, one struct an answer. The page and the program are one; these names may change at any time.
//!
//! Lengths are millimetres, turns degrees, unless a field says otherwise.

use std::collections::BTreeMap;

use serde::{Serialize, Serializer};

use crate::model::Piece;

/// An answer as it is sent.
pub(super) fn text(answer: &impl Serialize) -> String {
    serde_json::to_string(answer).unwrap_or_default()
}

/// A micrometre on the ring, a thousandth of a degree.
#[derive(Clone, Copy)]
pub(super) struct Rounded(pub(super) f64);

impl Serialize for Rounded {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // -0 is 0
        serializer.serialize_f64((self.0 * 1000.0).round() / 1000.0 + 0.0)
    }
}

/// What cannot be answered or done.
#[derive(Serialize)]
pub(super) struct Refusal<'a> {
    pub(super) error: &'a str,
    pub(super) way_out: Option<&'a str>,
}

/// What was to be changed is not as it was.
#[derive(Serialize)]
pub(super) struct Overtaken<'a> {
    pub(super) error: &'a str,
    pub(super) state: &'a State,
}

/// How often something was new.
#[derive(Serialize)]
pub(super) struct News {
    pub(super) news: u64,
}

/// A field that the page offers.
#[derive(Serialize)]
pub(super) struct OfferedField {
    pub(super) table: &'static str,
    pub(super) key: &'static str,
    pub(super) label: &'static str,
    pub(super) hint: &'static str,
    pub(super) sort: Option<&'static str>,
    pub(super) words: Vec<&'static str>,
    pub(super) rare: bool,
}

/// The open set as it stands in its files.
#[derive(Serialize)]
pub(super) struct State {
    pub(super) version: u64,
    /// How often something was new.
    pub(super) news: u64,
    pub(super) file: String,
    pub(super) path: String,
    /// The set's name, where it can be read.
    pub(super) set: Option<String>,
    /// What would be undone and done again.
    pub(super) undo: Option<String>,
    pub(super) redo: Option<String>,
    /// Why the last change is not on disk.
    pub(super) not_saved: Option<String>,
    pub(super) elsewhere: Option<ElsewhereWords>,
    pub(super) faults: Vec<FaultWords>,
    pub(super) lenses: Vec<LensFields>,
    /// The fields that stand in the file, by their places.
    pub(super) values: BTreeMap<String, String>,
    pub(super) defaults: Option<Defaults>,
}

/// What became of the file on disk.
#[derive(Serialize)]
pub(super) struct ElsewhereWords {
    pub(super) gone: bool,
    pub(super) words: String,
}

/// A fault of the set.
#[derive(Serialize)]
pub(super) struct FaultWords {
    pub(super) message: String,
    pub(super) label: Option<String>,
    pub(super) help: Vec<String>,
    /// As the command prints it.
    pub(super) whole: String,
    /// From 1.
    pub(super) line: Option<usize>,
    /// The field that it is about.
    pub(super) place: Option<String>,
}

/// A lens as it stands in the file.
#[derive(Serialize)]
pub(super) struct LensFields {
    pub(super) name: String,
    pub(super) units: Option<Vec<&'static str>>,
    pub(super) has_focus: bool,
    pub(super) has_iris: bool,
    pub(super) focus: Vec<Row>,
    pub(super) iris: Vec<Row>,
}

/// A row of readings.
#[derive(Serialize)]
pub(super) struct Row {
    pub(super) cells: BTreeMap<String, String>,
    /// The readings file that holds it; none for the set file.
    pub(super) file: Option<String>,
}

/// What holds where nothing is stated, with units.
#[derive(Serialize)]
pub(super) struct Defaults {
    #[serde(rename = "style.numeral_height")]
    pub(super) numeral_height: String,
    #[serde(rename = "style.tick_width")]
    pub(super) tick_width: String,
    #[serde(rename = "style.smallest_gap")]
    pub(super) smallest_gap: String,
    #[serde(rename = "style.label_gap")]
    pub(super) label_gap: String,
}

/// The set after a change, with the lens that is looked at.
#[derive(Serialize)]
pub(super) struct Changed {
    pub(super) state: State,
    pub(super) lens: Option<LensShown>,
}

/// A lens on its rings.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum LensShown {
    /// As it is drawn.
    Drawn(Box<LensDrawn>),
    /// It cannot be assembled.
    Unfit { name: String, rings: [Ring; 0], unfit: Vec<String> },
    /// There is no such lens, or no set.
    Missing { unfit: [String; 1] },
}

/// A lens as it is drawn.
#[derive(Serialize)]
pub(super) struct LensDrawn {
    pub(super) name: String,
    pub(super) rings: Vec<Ring>,
    pub(super) unfit: Vec<String>,
    pub(super) fit: Option<FitWords>,
    pub(super) iris: Option<String>,
    pub(super) doubts: Vec<String>,
    pub(super) notes: Vec<String>,
    pub(super) numerals: Numerals,
}

/// How well a focus law fits.
#[derive(Serialize)]
pub(super) struct FitWords {
    pub(super) line: String,
    pub(super) lines: Vec<String>,
    pub(super) rows: Vec<FitRow>,
}

/// How far a reading is off.
#[derive(Serialize)]
pub(super) struct FitRow {
    /// From 1.
    pub(super) number: usize,
    pub(super) words: String,
    /// Whether it was set aside as an outlier.
    pub(super) odd: bool,
}

/// How well numerals can be read.
#[derive(Serialize)]
pub(super) struct Numerals {
    pub(super) height_mm: Rounded,
    pub(super) readable_to_mm: Rounded,
    /// Blur of a stroke to a metre of distance.
    pub(super) blur_mm_per_m: Rounded,
}

/// A ring as it turns under its index.
#[derive(Serialize)]
pub(super) struct Ring {
    pub(super) kind: &'static str,
    pub(super) title: &'static str,
    /// 1 where it turns clockwise toward close, -1 where it does not.
    pub(super) sense: i8,
    pub(super) zero_deg: f64,
    pub(super) from_deg: f64,
    pub(super) to_deg: f64,
    pub(super) rear_diameter: Rounded,
    pub(super) front_diameter: Rounded,
    pub(super) width: Rounded,
    pub(super) index: &'static str,
    pub(super) index_copies: usize,
    pub(super) rides: bool,
    pub(super) riding_index_deg: Option<Rounded>,
    pub(super) ground: &'static str,
    /// Position in degrees and label.
    pub(super) marks: Vec<(f64, String)>,
    pub(super) shapes: Vec<Shape>,
    pub(super) plate: Vec<Shape>,
}

/// Artwork on a ring.
#[derive(Serialize)]
pub(super) struct Shape {
    pub(super) layer: &'static str,
    /// The width of a line; none where it is filled.
    pub(super) line: Option<Rounded>,
    pub(super) doubtful: bool,
    /// Turn and height of each point, one after the other.
    pub(super) lines: Vec<Vec<Rounded>>,
}

/// What stands under an index.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum Under {
    Focus {
        deg: f64,
        /// As it is written into a set file.
        distance: String,
        value: String,
        also: Option<String>,
        depth: Option<String>,
        trust: String,
        doubtful: bool,
    },
    Iris {
        deg: Rounded,
        value: String,
        trust: String,
    },
}

/// The flat strips of a lens.
#[derive(Serialize)]
pub(super) struct Strips {
    pub(super) strips: Vec<FlatStrip>,
    pub(super) unfit: Vec<String>,
}

/// A flat strip.
#[derive(Serialize)]
pub(super) struct FlatStrip {
    pub(super) piece: Piece,
    pub(super) width_mm: Rounded,
    pub(super) height_mm: Rounded,
    pub(super) svg: String,
}

/// The plot of a fit; none without readings.
#[derive(Serialize)]
pub(super) struct Plot {
    pub(super) svg: Option<String>,
}

/// Which reading to take next.
#[derive(Serialize)]
pub(super) struct NextWords {
    pub(super) words: String,
    pub(super) distance: Option<String>,
}

/// What the process cannot make.
#[derive(Serialize)]
pub(super) struct Checked {
    pub(super) places: usize,
    pub(super) strips: Vec<StripChecked>,
}

/// What cannot be made of a strip.
#[derive(Serialize)]
pub(super) struct StripChecked {
    /// The lens's place in the set, from 0.
    pub(super) lens: usize,
    pub(super) piece: Piece,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) worst: Option<String>,
    /// Why it does not fit what is to carry it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) unfit: Option<String>,
    pub(super) findings: Vec<Found>,
}

/// A place that cannot be made.
#[derive(Serialize)]
pub(super) struct Found {
    pub(super) words: String,
    /// As a share of the drawing's width.
    pub(super) x: f64,
    /// As a share of its height.
    pub(super) y: f64,
    /// Turn in degrees from the first mark at the index, and height in mm.
    pub(super) on_ring: Option<(f64, f64)>,
}

/// The smallest change with which everything can be made.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum Suggested {
    Change {
        /// Lines of the set file.
        lines: Vec<String>,
        /// The same as changes that the page sends back.
        edits: Vec<Put>,
    },
    Nothing {
        nothing: String,
    },
}

/// A change of a field, as the page sends it back.
#[derive(Serialize)]
pub(super) struct Put {
    pub(super) kind: &'static str,
    pub(super) table: String,
    pub(super) key: String,
    pub(super) text: String,
}

/// The sheets that would be printed, cut or proofed.
#[derive(Serialize)]
pub(super) struct Sheets {
    pub(super) sheets: Vec<Sheet>,
    pub(super) notes: Vec<String>,
}

/// A sheet.
#[derive(Serialize)]
pub(super) struct Sheet {
    pub(super) what: &'static str,
    pub(super) paper: String,
    pub(super) svg: String,
}

/// The names of all files, and the command that writes the same.
#[derive(Serialize)]
pub(super) struct Files {
    pub(super) files: Vec<String>,
    pub(super) command: String,
}
