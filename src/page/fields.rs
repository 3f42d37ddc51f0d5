//! The fields that the page offers, out of everything that a set file can say: the few choices that matter.
//!
//! Only these can be changed from the page, and the readings; no field names a file.

use crate::set::edit::Written;

/// What can be typed or chosen in a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sort {
    /// A text with its unit, as in the file.
    Text,
    /// A bare number.
    Bare,
    /// One of these words.
    Words(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// One unit or two: metres, feet.
    Units,
    /// Several stops.
    Stops,
}

impl Sort {
    /// What the page calls it.
    pub(super) fn name(self) -> &'static str {
        match self {
            Sort::Text => "text",
            Sort::Bare => "bare",
            Sort::Words(_) => "words",
            Sort::Flag => "flag",
            Sort::Units => "units",
            Sort::Stops => "stops",
        }
    }

    /// What was typed, as it is written into the file; nothing takes the key out.
    ///
    /// # Errors
    /// A choice that is not offered: what can only be chosen cannot name a file either.
    pub(super) fn written(self, typed: &str) -> Result<Option<Written>, String> {
        let typed = typed.trim();
        let list = || typed.split(',').map(|word| word.trim().to_string()).filter(|word| !word.is_empty()).collect();
        let written = match self {
            _ if typed.is_empty() => return Ok(None),
            Sort::Words(words) if !words.contains(&typed) => {
                return Err(format!("the page offers {} here; write anything else into the file", words.join(", ")));
            }
            Sort::Text | Sort::Words(_) => Written::Text(typed.to_string()),
            Sort::Bare => Written::Bare(typed.to_string()),
            Sort::Flag => match typed {
                "true" => Written::Flag(true),
                "false" => Written::Flag(false),
                _ => return Err("the page offers true and false here".to_string()),
            },
            Sort::Units => Written::Words(list()),
            Sort::Stops => Written::Stops(list()),
        };
        Ok(Some(written))
    }
}

/// One field.
pub(super) struct Field {
    /// The table: `set`, `style`, `process.film`; `lens`, `lens.focus` and `lens.iris` for every lens.
    pub(super) table: &'static str,
    /// The key, with dots where it lies deeper.
    pub(super) key: &'static str,
    /// What it is called.
    pub(super) label: &'static str,
    /// What to type, or what it means.
    pub(super) hint: &'static str,
    pub(super) sort: Sort,
    /// Whether few lenses need it: shown when it is asked for.
    pub(super) rare: bool,
}

const SENSES: Sort = Sort::Words(&["clockwise", "counterclockwise"]);
const EDGES: Sort = Sort::Words(&["rear", "front"]);

const fn field(table: &'static str, key: &'static str, label: &'static str, hint: &'static str, sort: Sort) -> Field {
    Field { table, key, label, hint, sort, rare: false }
}

const fn rare(table: &'static str, key: &'static str, label: &'static str, hint: &'static str, sort: Sort) -> Field {
    Field { rare: true, ..field(table, key, label, hint, sort) }
}

/// Every field, in the order in which it is shown.
pub(super) const FIELDS: &[Field] = &[
    field("set", "units", "Scales in", "for every lens that names none of its own", Sort::Units),
    field("style", "typeface", "Numerals", "the face they are set in", Sort::Words(&["plain", "stencil"])),
    field("style", "numeral_height", "Numeral height", "like 2.4 mm", Sort::Text),
    field("style", "tick_width", "Tick width", "like 0.2 mm", Sort::Text),
    rare("style", "smallest_gap", "Ticks no nearer than", "centre to centre, like 0.8 mm", Sort::Text),
    rare("style", "label_gap", "Labels no nearer than", "clear width, like 1.6 mm", Sort::Text),
    field("style", "extent", "Strip covers", "its marks, or the whole ring", Sort::Words(&["used", "full turn"])),
    field(
        "style",
        "doubtful",
        "Doubtful marks",
        "focus marks that are not true at the stop below",
        Sort::Words(&["drawn", "short", "left out"]),
    ),
    rare("style", "trust_stop", "Doubtful from", "a stop like 4; the widest one unless told", Sort::Bare),
    field("process.film", "thickness", "Film thickness", "like 0.1 mm; ten layers at once", Sort::Text),
    field("process.film", "dpi", "Printer's dots per inch", "like 600", Sort::Bare),
    field("process.film", "mirrored", "Printed on the inner face", "the drawing is mirrored", Sort::Flag),
    field("process.film", "reversed", "Clear marks in black", "for a ring that is light below", Sort::Flag),
    rare("process.film", "guides", "Guides outside the strip", "for edges, seam and infinity", Sort::Flag),
    rare("process.film", "ruler_long", "Long ruler line measures", "from the printed ruler, like 239.2 mm", Sort::Text),
    rare(
        "process.film",
        "ruler_short",
        "Short ruler line measures",
        "from the printed ruler, like 180.4 mm",
        Sort::Text,
    ),
    field("process.film", "sheet", "Printed on", "A4, Letter, A3 or two sides", Sort::Text),
    rare("process.film", "spares", "Spare copies", "of each strip", Sort::Bare),
    field("process.vinyl", "thickness", "Vinyl thickness", "like 0.07 mm", Sort::Text),
    field(
        "process.vinyl",
        "cut",
        "Cut",
        "marks that stay, or a mask to paint through",
        Sort::Words(&["marks", "mask"]),
    ),
    rare("process.vinyl", "stroke", "Thinnest stroke", "that your knife can do, like 0.45 mm", Sort::Text),
    rare("process.vinyl", "gap", "Narrowest gap", "like 0.25 mm", Sort::Text),
    field("process.vinyl", "bridge", "Bridges", "their width, like 0.4 mm; none unless told", Sort::Text),
    field("process.vinyl", "weed_box", "Weed box", "the waste comes off in one piece", Sort::Flag),
    field("process.vinyl", "sheet", "Cut from", "A4, mat, roll 300 mm or two sides", Sort::Text),
    rare("process.vinyl", "spares", "Spare copies", "of each strip", Sort::Bare),
    field("process.engrave", "tool", "Tool width", "the line that it leaves, like 0.2 mm", Sort::Text),
    field(
        "process.engrave",
        "lettering",
        "Numerals as",
        "single lines, or the face's edges",
        Sort::Words(&["centreline", "outline"]),
    ),
    field("process.engrave", "rotary", "Rotary axis", "x in degrees of turn", Sort::Flag),
    field("lens", "focal_length", "Focal length", "from the name ring, like 50 mm", Sort::Text),
    field("lens", "widest_stop", "Widest stop", "like 2.8", Sort::Bare),
    rare("lens", "units", "Its own scales", "when they differ from the set's", Sort::Units),
    field("lens.focus", "ring.diameter", "Ring diameter", "by caliper, like 84 mm", Sort::Text),
    rare("lens.focus", "ring.rear_diameter", "Diameter at the rear", "of a cone", Sort::Text),
    rare("lens.focus", "ring.front_diameter", "Diameter at the front", "of a cone", Sort::Text),
    field("lens.focus", "ring.width", "Ring width", "of the face, along the slope", Sort::Text),
    field("lens.focus", "toward_close", "Turns toward close", "seen from behind the camera", SENSES),
    field("lens.focus", "closest", "Closest distance", "from the image plane, like 0.6 m", Sort::Text),
    rare("lens.focus", "throw", "Throw", "from stop to stop, like 90 deg", Sort::Text),
    field("lens.focus", "lead", "Lead", "travel in one turn, like 24 mm", Sort::Text),
    rare("lens.focus", "principal_gap", "Gap of the principal planes", "from a data sheet", Sort::Text),
    field(
        "lens.focus",
        "moves",
        "What travels",
        "when the ring turns",
        Sort::Words(&["whole", "front", "inside", "floating"]),
    ),
    rare("lens.focus", "law", "Law", "travel for a thread, curve for a cam", Sort::Words(&["auto", "travel", "curve"])),
    rare("lens.focus", "index", "Index at the", "edge of the ring", EDGES),
    rare("lens.focus", "read_from", "Upright from the", "side of the reader", EDGES),
    field("lens.focus", "repeat", "Scales round the ring", "2: again on the opposite side", Sort::Bare),
    field("lens.focus", "depth_marks", "Depth of field at", "stops like 5.6, 11", Sort::Stops),
    rare("lens.focus", "hyperfocal", "Hyperfocal marks for", "stops like 8, 11", Sort::Stops),
    field("lens.iris", "ring.diameter", "Ring diameter", "by caliper, like 78 mm", Sort::Text),
    rare("lens.iris", "ring.rear_diameter", "Diameter at the rear", "of a cone", Sort::Text),
    rare("lens.iris", "ring.front_diameter", "Diameter at the front", "of a cone", Sort::Text),
    field("lens.iris", "ring.width", "Ring width", "of the face", Sort::Text),
    field("lens.iris", "toward_closed", "Turns toward closed", "seen from behind the camera", SENSES),
    rare("lens.iris", "law", "Law", "", Sort::Words(&["auto", "even", "diameter", "blades", "curve"])),
    field("lens.iris", "scale", "Marks", "f-stops or T-stops", Sort::Words(&["f", "T"])),
    rare("lens.iris", "transmittance", "Transmittance", "between 0 and 1, like 0.9", Sort::Bare),
    field("lens.iris", "steps", "Marks to the stop", "1, 2 or 3", Sort::Bare),
    rare("lens.iris", "smallest_stop", "Last stop marked", "like 22", Sort::Bare),
];

/// The field at a table and a key.
pub(super) fn at(table: &str, key: &str) -> Option<&'static Field> {
    FIELDS.iter().find(|field| field.table == table && field.key == key)
}
