//! The tables of the processes.

use super::key::Kind::{Count, Length, Number, Sheet, Table as Inner, Truth, Word};
use super::key::Need::{Default, Follows};
use super::key::{Key, Table, key};
use crate::model::{Lettered, words};
use crate::process::Cut;

/// `[process]`
pub static PROCESS: Table = Table {
    what: "the table of processes",
    written: "[process.film] and its keys below it",
    list: "",
    help: "What film, vinyl and engraver can do, and what test sheets measured.",
    keys: &[
        key("film", Inner(&FILM), Follows("Every key at its default."), "{}", "Printed on clear film."),
        key("vinyl", Inner(&VINYL), Follows("Every key at its default."), "{}", "Cut from adhesive vinyl."),
        key("engrave", Inner(&ENGRAVE), Follows("Every key at its default."), "{}", "Engraved with a tool."),
    ],
};

const THICKNESS_ERROR: Key =
    key("thickness_error", Length(0.0, 0.5), Default("\"0.01 mm\""), "\"0.01 mm\"", "Standard error of the thickness.");
const SHEET: Key = key(
    "sheet",
    Sheet,
    Follows("Each strip in a file of its own only."),
    "\"A4\"",
    "What everything is laid out on: A4, Letter, A3, mat (12 in square), \"roll 300 mm\", or \"200 mm x 250 mm\".",
);
const SPARES: Key =
    key("spares", Count(0.0, 20.0), Default("0"), "1", "Spare copies of each strip.").hint("of each strip");

/// `[process.film]`
pub static FILM: Table = Table {
    what: "the film",
    written: "[process.film] and thickness = \"0.1 mm\" below it",
    list: "",
    help: "Printed on clear film.",
    keys: &[
        key(
            "thickness",
            Length(0.0, 1.0),
            Default("\"0.1 mm\""),
            "\"0.1 mm\"",
            "Thickness of the film, by a caliper, ten layers at once; it lies outside the ring, so its marks have to be longer.",
        )
        .hint("like 0.1 mm; ten layers at once"),
        THICKNESS_ERROR,
        key(
            "dpi",
            Number(50.0, 9600.0),
            Default("600"),
            "600",
            "The printer's own resolution; strokes and gaps of less than three dots are found by the check.",
        )
        .hint("like 600"),
        key("mirrored", Truth, Default("false"), "true", "Print on the inner face, so that the film protects the marks.")
            .hint("the drawing is mirrored"),
        key("reversed", Truth, Default("false"), "true", "Clear marks in black, for a ring that is light below.")
            .hint("for a ring that is light below"),
        key(
            "guides",
            Truth,
            Default("true"),
            "true",
            "Guides outside the strip for its edges, the seam and infinity.",
        )
        .hint("for edges, seam and infinity"),
        key(
            "overlap",
            Length(0.0, 30.0),
            Default("\"5 mm\""),
            "\"5 mm\"",
            "The tab for the other end of a closed strip.",
        ),
        key(
            "ruler_long",
            Length(216.0, 264.0),
            Follows("The printer is taken for true."),
            "\"239.2 mm\"",
            "What the long line of a printed ruler sheet measures.",
        )
        .hint("from the printed ruler, like 239.2 mm"),
        key(
            "ruler_short",
            Length(162.0, 198.0),
            Follows("The printer is taken for true."),
            "\"180.4 mm\"",
            "What the short line of a printed ruler sheet measures.",
        )
        .hint("from the printed ruler, like 180.4 mm"),
        SHEET.hint("A4, Letter, A3 or two sides"),
        SPARES,
    ],
};

/// `[process.vinyl]`
pub static VINYL: Table = Table {
    what: "the vinyl",
    written: "[process.vinyl] and stroke = \"0.5 mm\" below it",
    list: "",
    help: "Cut from adhesive vinyl.",
    keys: &[
        key(
            "thickness",
            Length(0.0, 1.0),
            Default("\"0.07 mm\""),
            "\"0.07 mm\"",
            "Thickness of the vinyl and its adhesive on the ring.",
        )
        .hint("like 0.07 mm"),
        THICKNESS_ERROR,
        key(
            "cut",
            Word(words::<Cut>),
            Default("\"marks\""),
            "\"marks\"",
            "\"marks\" to stay on the ring, or a \"mask\" to paint through.",
        )
        .hint("marks that stay, or a mask to paint through"),
        key(
            "stroke",
            Length(0.05, 10.0),
            Default("\"0.45 mm\""),
            "\"0.5 mm\"",
            "The thinnest stroke that your knife and fingers can do.",
        )
        .hint("that your knife can do, like 0.45 mm"),
        key(
            "gap",
            Length(0.05, 10.0),
            Default("\"0.25 mm\""),
            "\"0.5 mm\"",
            "The narrowest gap that your knife and fingers can do.",
        )
        .hint("like 0.25 mm"),
        key("dot", Length(0.05, 10.0), Default("\"0.6 mm\""), "\"0.5 mm\"", "The smallest piece that stays."),
        key(
            "counter",
            Length(0.05, 10.0),
            Default("\"0.5 mm\""),
            "\"0.5 mm\"",
            "The smallest hole that can be picked out.",
        ),
        key(
            "bridge",
            Length(0.0, 5.0),
            Follows("None in marks; as wide as the thinnest stroke in a mask."),
            "\"0.4 mm\"",
            "Bridges of this width join what would fall out of a mask, and leave no hole in a numeral to pick out.",
        )
        .hint("their width, like 0.4 mm; none unless told"),
        key(
            "knife_offset",
            Length(0.0, 2.0),
            Default("\"0 mm\""),
            "\"0.25 mm\"",
            "What of the blade's offset your cutter does not make up for itself.",
        ),
        key(
            "stretch_along",
            Number(0.9, 1.1),
            Follows("1, without a test cut."),
            "1.001",
            "What a test cut has to be stretched by along the strip to come out true.",
        ),
        key(
            "stretch_across",
            Number(0.9, 1.1),
            Default("1"),
            "0.9985",
            "What a test cut has to be stretched by across the strip to come out true.",
        ),
        key(
            "weed_box",
            Truth,
            Default("true"),
            "true",
            "A box cut round every strip, so that the waste comes off in one piece.",
        )
        .hint("the waste comes off in one piece"),
        key(
            "cut_per_second",
            Length(1.0, 1000.0),
            Default("\"20 mm\""),
            "\"20 mm\"",
            "How fast the knife goes in a second; only for the time that a job is said to take.",
        ),
        SHEET.hint("A4, mat, roll 300 mm or two sides"),
        SPARES,
    ],
};

/// `[process.engrave]`
pub static ENGRAVE: Table = Table {
    what: "the engraving",
    written: "[process.engrave] and tool = \"0.2 mm\" below it",
    list: "",
    help: "Engraved with a tool.",
    keys: &[
        key("tool", Length(0.02, 2.0), Default("\"0.2 mm\""), "\"0.2 mm\"", "Width of the line that the tool leaves.")
            .hint("the line that it leaves, like 0.2 mm"),
        key(
            "lettering",
            Word(words::<Lettered>),
            Default("\"centreline\""),
            "\"centreline\"",
            "Numerals as single lines (\"centreline\"), or along the typeface's edges (\"outline\").",
        )
        .hint("single lines, or the face's edges"),
        key(
            "rotary",
            Truth,
            Default("false"),
            "true",
            "The ring turns in a rotary axis: x in degrees of turn instead of millimetres.",
        )
        .hint("x in degrees of turn"),
        SHEET,
        SPARES,
    ],
};
