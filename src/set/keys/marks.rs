//! The tables in which the user has the last word on numerals and ticks.

use super::key::Kind::{Length, LengthOr, Lengths, Stops, Table as Inner, Tables, Text, Texts, Word};
use super::key::Need::Follows;
use super::key::{Key, Need, Table, key};
use crate::model::words;
use crate::scale::EndMark;

const OPEN: Need = Follows("Chosen by the room and the depth of field.");
const NONE: Need = Follows("None.");
/// Distances that a scale may show, mm.
const NEAR: f64 = 1.0;
const FAR: f64 = 1e6;

/// How the same keys look in one unit or the other.
struct Examples {
    only: &'static str,
    also: &'static str,
    never: &'static str,
    text: &'static str,
    steps: &'static str,
    finest: &'static str,
}

const FEET: Examples = Examples {
    only: "[\"10 ft\", \"6 ft\", \"4 ft\", \"3 ft\"]",
    also: "[\"5 ft 8 in\"]",
    never: "[\"9 ft\"]",
    text: "{ \"5 ft\" = \"A\" }",
    steps: "[{ to = \"5 ft\", numbered = \"1 ft\", fine = \"3 in\" }]",
    finest: "\"1 in\"",
};
const METRES: Examples = Examples {
    only: "[\"3 m\", \"2 m\", \"1.5 m\", \"1 m\"]",
    also: "[\"1.7 m\"]",
    never: "[\"4 m\"]",
    text: "{ \"1.5 m\" = \"A\" }",
    steps: "[{ to = \"1 m\", numbered = \"50 cm\", fine = \"10 cm\" }]",
    finest: "\"5 cm\"",
};

const fn only(example: &'static str) -> Key {
    key("only", Lengths(NEAR, FAR), OPEN, example, "Numerals: exactly these, and infinity.")
}

const fn also(example: &'static str) -> Key {
    key("also", Lengths(NEAR, FAR), NONE, example, "Numerals: these in any case.")
}

const fn never(example: &'static str) -> Key {
    key("never", Lengths(NEAR, FAR), NONE, example, "Values that bear a tick at most.")
}

const fn text(example: &'static str) -> Key {
    key("text", Texts, NONE, example, "Texts instead of numbers; \"\" takes the number away and leaves its tick.")
}

const fn steps(example: &'static str) -> Key {
    key(
        "steps",
        Tables(&STEPS),
        OPEN,
        example,
        "Sections from far to close: down to which value, and the steps of numerals and ticks in it.",
    )
}

const fn finest(example: &'static str) -> Key {
    key(
        "finest",
        LengthOr(0.1, 1e5, &["none"]),
        OPEN,
        example,
        "No step between ticks is finer than this; \"none\" leaves numerals alone.",
    )
}

const END_MARK: Key = key(
    "end_mark",
    Word(words::<EndMark>),
    Follows("\"auto\"."),
    "\"tick\"",
    "What stands where the ring stops: a \"numeral\", a \"tick\", or \"none\"; \"auto\" numbers a round value.",
);
const END_TEXT: Key =
    key("end_text", Text, Follows("The number, or nothing."), "\"MIN\"", "What is written where the ring stops.");

const fn band(examples: &Examples) -> [Key; 8] {
    [
        only(examples.only),
        also(examples.also),
        never(examples.never),
        text(examples.text),
        steps(examples.steps),
        finest(examples.finest),
        END_MARK,
        END_TEXT,
    ]
}

/// `[lens.focus.marks]` and, for every lens, `[style.marks]`
pub static FOCUS_MARKS: Table = Table {
    what: "the choice of marks",
    written: "[lens.focus.marks] and its keys below it",
    list: "",
    help: "The user's own choice of numerals and ticks; each value holds for the scale of its unit.",
    keys: &[
        only(FEET.only),
        also(FEET.also),
        never(FEET.never),
        text(FEET.text),
        steps(FEET.steps),
        finest(FEET.finest),
        END_MARK,
        END_TEXT,
        key("m", Inner(&METRE_MARKS), OPEN, "{ also = [\"1.7 m\"] }", "The same for the scale in metres alone."),
        key("ft", Inner(&FOOT_MARKS), OPEN, "{ also = [\"5 ft 8 in\"] }", "The same for the scale in feet alone."),
    ],
};

/// `[lens.focus.marks.m]`
pub static METRE_MARKS: Table = Table {
    what: "the choice of marks in metres",
    written: "[lens.focus.marks.m] and its keys below it",
    list: "",
    help: "The user's own choice of numerals and ticks in metres.",
    keys: &band(&METRES),
};

/// `[lens.focus.marks.ft]`
pub static FOOT_MARKS: Table = Table {
    what: "the choice of marks in feet",
    written: "[lens.focus.marks.ft] and its keys below it",
    list: "",
    help: "The user's own choice of numerals and ticks in feet.",
    keys: &band(&FEET),
};

/// One of `steps`
pub static STEPS: Table = Table {
    what: "a section",
    written: "{ to = \"5 ft\", numbered = \"1 ft\", fine = \"3 in\" }",
    list: "steps = [{ to = \"5 ft\", numbered = \"1 ft\", fine = \"3 in\" }]",
    help: "A stretch of the scale with one step.",
    keys: &[
        key(
            "to",
            Length(NEAR, FAR),
            Follows("The end of the ring."),
            "\"5 ft\"",
            "The value down to which the section goes.",
        ),
        key(
            "numbered",
            Length(0.1, 1e5),
            Follows("The numerals of `only`."),
            "\"1 ft\"",
            "From numeral to numeral; it divides the section's end.",
        ),
        key("medium", Length(0.1, 1e5), NONE, "\"6 in\"", "From one tick of middle length to the next."),
        key("fine", Length(0.1, 1e5), NONE, "\"3 in\"", "From tick to tick."),
    ],
};

/// `[lens.iris.marks]`
pub static IRIS_MARKS: Table = Table {
    what: "the choice of stops",
    written: "[lens.iris.marks] and its keys below it",
    list: "",
    help: "The user's own choice of numerals on an iris.",
    keys: &[
        key("only", STOPS, OPEN, "[2.8, 5.6, 11]", "Numerals: exactly these."),
        key("also", STOPS, NONE, "[3.2]", "Numerals: these in any case."),
        key("never", STOPS, NONE, "[16]", "Stops that bear a tick at most."),
        text("{ \"5.6\" = \"A\" }"),
        END_MARK,
        END_TEXT,
    ],
};

const STOPS: super::key::Kind = Stops(0.5, 256.0);
