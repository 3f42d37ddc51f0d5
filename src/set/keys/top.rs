//! The tables of a set as a whole: its name, its units, its style.

use super::key::Kind::{Length, Name, Stop, Table as Inner, Tables, Truth, Word, WordOrFile, Words};
use super::key::Need::{Always, Default, Follows};
use super::key::{Table, key};
use super::lens::LENS;
use super::marks::FOCUS_MARKS;
use super::process::PROCESS;
use crate::artwork::{Extent, SMALLEST_NUMERAL_MM};
use crate::model::{Treatment, Typeface, words};
use crate::scale::{Feet, Inches, UnitSign};
use crate::units::DistanceUnit;

/// The whole file.
pub static SET_FILE: Table = Table {
    what: "a set file",
    written: "[set] and its keys below it",
    list: "",
    help: "A set of lenses and how their scales are drawn and made.",
    keys: &[
        key("set", Inner(&SET), Always("[set] and name = \"quarry\""), "{ name = \"quarry\" }", "The set as a whole."),
        key("style", Inner(&STYLE), Follows("Every key at its default."), "{}", "How every strip of the set looks."),
        key(
            "process",
            Inner(&PROCESS),
            Follows("Every key at its default."),
            "{}",
            "What film, vinyl and engraver can do, and what test sheets measured.",
        ),
        key("lens", Tables(&LENS), Always("[[lens]]"), "[]", "The lenses, in the order in which they are drawn."),
    ],
};

/// `[set]`
pub static SET: Table = Table {
    what: "the set",
    written: "[set] and its keys below it",
    list: "",
    help: "The set as a whole.",
    keys: &[
        key("name", Name, Always("name = \"quarry\""), "\"quarry\"", "The set's name."),
        key(
            "units",
            Words(words::<DistanceUnit>),
            Default("[\"m\", \"ft\"]"),
            "[\"m\", \"ft\"]",
            "One or two focus scales for every lens: metres, feet, or both.",
        )
        .hint("for every lens that names none of its own"),
        key(
            "room",
            Length(300.0, 1e6),
            Follows("Any distance can be set up."),
            "\"6 m\"",
            "How far away a target can be set up; for the plan of what to measure next.",
        ),
        key(
            "far_target",
            Truth,
            Default("true"),
            "false",
            "Whether something beyond 500 m can be seen; for the plan of what to measure next.",
        ),
    ],
};

/// `[style]`
pub static STYLE: Table = Table {
    what: "the style",
    written: "[style] and its keys below it",
    list: "",
    help: "How every strip of the set looks.",
    keys: &[
        key(
            "typeface",
            WordOrFile(Typeface::WORDS),
            Follows("\"plain\", or the first that the process can make at the height that the rings allow."),
            "\"plain\"",
            "The face of the numerals: \"plain\", \"bold\", \"stencil\" or a font file beside the set.",
        )
        .hint("the face they are set in"),
        key(
            "numeral_height",
            Length(SMALLEST_NUMERAL_MM, 8.0),
            Follows("As high as the narrowest ring allows, up to 2.8 mm or what the process needs."),
            "\"2.5 mm\"",
            "Height of the digits; under 2 mm they are hard to read from the side of a camera.",
        )
        .hint("like 2.4 mm"),
        key(
            "tick_width",
            Length(0.05, 1.0),
            Follows("0.2 mm on film, the thinnest stroke in vinyl; the tool's width where it is engraved."),
            "\"0.2 mm\"",
            "Width of every tick.",
        )
        .hint("like 0.2 mm"),
        key(
            "numbered_tick",
            Length(0.2, 20.0),
            Follows("A little less than the numeral's height."),
            "\"2.6 mm\"",
            "Length of a tick with a numeral.",
        ),
        key(
            "medium_tick",
            Length(0.2, 20.0),
            Follows("Between the two, 0.72 of the numbered tick."),
            "\"1.9 mm\"",
            "Length of a tick that halves a row of plain ones.",
        ),
        key(
            "plain_tick",
            Length(0.2, 20.0),
            Follows("A little more than half the numeral's height."),
            "\"1.5 mm\"",
            "Length of a tick without a numeral.",
        ),
        key(
            "smallest_gap",
            Length(0.1, 20.0),
            Follows("0.8 mm, or what the ticks' width and the process ask for."),
            "\"0.8 mm\"",
            "Ticks are never nearer to each other than this, centre to centre.",
        )
        .hint("centre to centre, like 0.8 mm"),
        key(
            "label_gap",
            Length(0.1, 20.0),
            Follows("Four fifths of the numeral's height."),
            "\"2 mm\"",
            "Labels are never nearer to each other than this, clear width.",
        )
        .hint("clear width, like 1.6 mm"),
        key(
            "smallest_numeral",
            Length(SMALLEST_NUMERAL_MM, 8.0),
            Follows("1.4 mm, or what the process can make."),
            "\"1.6 mm\"",
            "How far the numerals of an iris may shrink so that every full stop has one.",
        ),
        key(
            "feet",
            Word(words::<Feet>),
            Default("\"primes\""),
            "\"words\"",
            "Feet with \"primes\", 2′6″, a \"dash\", 2-6, as \"decimal\" feet, 2.5, or in \"words\", 2 ft 6 in.",
        )
        .hint("2′6″, 2-6, 2.5 or 2 ft 6 in"),
        key(
            "inches",
            Word(words::<Inches>),
            Follows("\"fractions\", unless they are too fine for the process."),
            "\"decimal\"",
            "Parts of an inch as \"fractions\", 9½″, or \"decimal\", 9.5″.",
        )
        .hint("9½″ or 9.5″"),
        key(
            "unit_sign",
            Word(words::<UnitSign>),
            Follows("\"start\", or \"none\" where it would be too fine for the process."),
            "\"infinity\"",
            "Where the unit stands: at the \"start\" of a scale, behind \"infinity\", behind \"each\" number, or \"none\".",
        )
        .hint("at the start, or elsewhere"),
        key(
            "marks",
            Inner(&FOCUS_MARKS),
            Follows("Chosen by the room and the depth of field."),
            "{ finest = \"none\" }",
            "The user's own choice of numerals and ticks for every focus scale.",
        ),
        key(
            "extent",
            Word(words::<Extent>),
            Default("\"used\""),
            "\"used\"",
            "\"used\" trims the strip to its marks, \"full turn\" goes once round the ring.",
        )
        .hint("its marks, or the whole ring"),
        key(
            "doubtful",
            Word(words::<Treatment>),
            Default("\"drawn\""),
            "\"short\"",
            "Focus marks whose error may leave the depth of field: \"drawn\" like the others, with a \"short\" tick, or \"left out\".",
        )
        .hint("focus marks that are not true at the stop below"),
        key(
            "trust_stop",
            Stop(0.5, 64.0),
            Follows("The lens's widest stop."),
            "4",
            "The stop at whose depth of field marks are judged.",
        )
        .hint("a stop like 4; the widest one unless told"),
    ],
};
