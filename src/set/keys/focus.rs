//! The tables of a focus ring and of what was measured on it.

use super::key::Kind::{
    Distance, DistanceError, File, Length, OneOf, Position, PositionError, Stops, Table as Inner, Tables, Turn, Word,
};
use super::key::Need::{Always, Default, Follows};
use super::key::{Key, Need, Table, key};
use super::marks::FOCUS_MARKS;
use super::ring::{INDEX, READ_FROM, READ_ON, RING_KEY, sense};
use crate::calibration::{LawChoice, Moves, Turned};
use crate::model::{TapedPoint, words};

/// `[lens.focus]`
pub static FOCUS: Table = Table {
    what: "a focus ring",
    written: "[lens.focus] and its keys below it",
    list: "",
    help: "A focus ring and what was measured on it.",
    keys: &[
        RING_KEY,
        sense(
            "toward_close",
            "toward_close = \"clockwise\" or \"counterclockwise\", as seen from behind the camera",
            "How the ring turns toward close focus, as seen from behind the camera; a wrong answer mirrors the scale.",
        )
        .hint("seen from behind the camera"),
        key(
            "throw",
            Turn(360.0),
            Follows("As the readings or the lead tell."),
            "\"90 deg\"",
            "The turn of the ring from stop to stop.",
        )
        .hint("from stop to stop, like 90 deg"),
        key(
            "closest",
            Length(1.0, 1e6),
            Always("closest = \"0.9 m\", the nearest distance that comes into focus"),
            "\"0.9 m\"",
            "The nearest distance that comes into focus; every distance counts from the image plane.",
        )
        .hint("from the image plane, like 0.6 m"),
        key(
            "law",
            Word(words::<LawChoice>),
            Default("\"auto\""),
            "\"auto\"",
            "\"auto\" decides between \"travel\", for a plain thread, and \"curve\", for a cam.",
        )
        .hint("travel for a thread, curve for a cam"),
        key(
            "lead",
            Length(0.1, 400.0),
            Follows("As the readings tell."),
            "\"24 mm\"",
            "The travel of the lens along its axis in one full turn, from a caliper's depth rod.",
        )
        .hint("travel in one turn, like 24 mm"),
        key(
            "principal_gap",
            Length(-24000.0, 24000.0),
            Follows("Unknown, and allowed for."),
            "\"-4 mm\"",
            "How far the rear principal plane lies behind the front one, up to twelve focal lengths; leave it out unless a data sheet tells.",
        )
        .hint("from a data sheet"),
        key(
            "moves",
            Word(words::<Moves>),
            Default("\"whole\""),
            "\"whole\"",
            "What travels when the ring turns: the \"whole\" lens, its \"front\" group alone, a group \"inside\", or a \"floating\" lens, whose groups travel each by its own share.",
        )
        .hint("when the ring turns"),
        key(
            "readings",
            Tables(&READING),
            Follows("The scale is computed from lead, throw or engraved marks."),
            "[{ distance = \"0.9 m\", at = \"84 deg\" }]",
            "Distances and the ring's position at each; angles grow toward close focus, from any zero.",
        ),
        key(
            "readings_file",
            File,
            Follows("The list stands in the set file."),
            "\"taped.csv\"",
            "The readings in a file of their own, with a line \"distance,at\" on top, in place of the list.",
        ),
        READ_ON,
        key(
            "reading_error",
            Inner(&READING_ERROR),
            Default("{ distance = \"5 mm + 0.3 %\", at = \"0.5 deg\" }"),
            "{ distance = \"5 mm + 0.3 %\", at = \"0.5 deg\" }",
            "How far a reading may be off: the tape, and the ring; standard errors.",
        ),
        key(
            "measured_from",
            Inner(&MEASURED_FROM),
            Follows("The image plane."),
            "{ point = \"front rim\", ahead = \"62 mm\" }",
            "Where the tape was held, when not at the image plane.",
        ),
        key(
            "infinity_stop",
            Position,
            Follows("Unknown."),
            "\"0 deg\"",
            "Where the ring stands hard against its infinity stop: tells what shim a mis-seated adapter needs.",
        ),
        key(
            "engraved",
            Tables(&ENGRAVED),
            Follows("None."),
            "[{ distance = \"2 m\", at = \"20 deg\" }]",
            "Marks copied from the old engraved scale, beside readings or in their place.",
        ),
        key(
            "engraved_error",
            Inner(&READING_ERROR),
            Default("{ distance = \"1 %\", at = \"0.5 deg\" }"),
            "{ distance = \"1 %\", at = \"0.5 deg\" }",
            "How far an engraved mark may be off; it stands for a whole class of lenses.",
        ),
        key(
            "checks",
            Tables(&CHECK),
            Follows("None."),
            "[{ distance = \"1 m\", reads = \"1 m\" }]",
            "The finished scale on the camera: distances set by tape, and what then stood under the index.",
        ),
        INDEX,
        READ_FROM,
        key(
            "repeat",
            OneOf(&[1, 2]),
            Default("1"),
            "2",
            "2 draws the scale again on the opposite side, where the throw leaves room.",
        )
        .hint("2: again on the opposite side"),
        key(
            "marks",
            Inner(&FOCUS_MARKS),
            Follows("Chosen by the room and the depth of field."),
            "{ also = [\"1.7 m\"] }",
            "The user's own choice of numerals and ticks.",
        ),
        key(
            "depth_marks",
            Stops(0.5, 256.0),
            Follows("None."),
            "[5.6, 11]",
            "f-stops whose depth of field is marked to both sides of the index.",
        )
        .hint("stops like 5.6, 11"),
        key(
            "hyperfocal",
            Stops(0.5, 256.0),
            Follows("None."),
            "[5.6, 11]",
            "f-stops at whose hyperfocal setting a mark stands: everything from half that distance to infinity is sharp.",
        )
        .hint("stops like 8, 11"),
    ],
};

const fn distance(add: &'static str, example: &'static str, help: &'static str) -> Key {
    key("distance", Distance, Always(add), example, help)
}

const fn at(add: &'static str) -> Key {
    key("at", Position, Always(add), "\"84 deg\"", "The ring's position: an angle, or a length along the ring.")
}

const OWN_READ_ON: Key = key(
    "read_on",
    Length(10.0, 400.0),
    Follows("As in the ring's own table."),
    "\"62 mm\"",
    "The diameter of the ring along which this position was read.",
);
const OWN_ERROR: Key = key(
    "error",
    Inner(&READING_ERROR),
    Follows("As for the other readings of the ring."),
    "{ at = \"1 deg\" }",
    "How far this one may be off.",
);

const READING_EXAMPLE: &str = "{ distance = \"0.9 m\", at = \"84 deg\" }";

/// `readings = [{ ... }]`
pub static READING: Table = Table {
    what: "a reading of a focus ring",
    written: READING_EXAMPLE,
    list: "[ { distance = \"0.9 m\", at = \"84 deg\" } ]",
    help: "A distance, and where the ring stood at it.",
    keys: &[
        distance(READING_EXAMPLE, "\"0.9 m\"", "The distance from the image plane, or \"inf\"."),
        at(READING_EXAMPLE),
        OWN_READ_ON,
        key(
            "turned",
            Word(words::<Turned>),
            Follows("Unknown, and the ring's play allowed for."),
            "\"toward close\"",
            "Which way the ring was turned last: both ways show its play.",
        ),
        OWN_ERROR,
    ],
};

const ENGRAVED_EXAMPLE: &str = "{ distance = \"0.9 m\", at = \"61.3 mm\" }";

/// `engraved = [{ ... }]`
pub static ENGRAVED: Table = Table {
    what: "a mark of the old scale",
    written: ENGRAVED_EXAMPLE,
    list: "[ { distance = \"0.9 m\", at = \"61.3 mm\" } ]",
    help: "A mark of the old engraved scale.",
    keys: &[
        distance(ENGRAVED_EXAMPLE, "\"0.9 m\"", "The distance that the mark stands for, or \"inf\"."),
        at(ENGRAVED_EXAMPLE),
        OWN_READ_ON,
        OWN_ERROR,
    ],
};

const fn distance_error(help: &'static str) -> Key {
    let follows = Need::Follows("As for the other readings.");
    key("distance", DistanceError, follows, "\"5 mm\"", help)
}

pub(super) const AT_ERROR: Key = key(
    "at",
    PositionError,
    Follows("As for the other readings."),
    "\"0.5 deg\"",
    "Standard error of the ring's position: an angle, or a length along the ring.",
);
pub(super) const ERROR_READ_ON: Key = key(
    "read_on",
    Length(10.0, 400.0),
    Follows("As in the ring's own table."),
    "\"62 mm\"",
    "The diameter of the ring along which the error is a length.",
);

/// `reading_error = { ... }`
pub static READING_ERROR: Table = Table {
    what: "an error of reading",
    written: "{ distance = \"5 mm\", at = \"0.5 deg\" }",
    list: "",
    help: "How far a reading may be off, standard errors.",
    keys: &[
        distance_error("Standard error of the distance: a length, a share in %, or both, as \"5 mm + 0.3 %\"."),
        AT_ERROR,
        ERROR_READ_ON,
    ],
};

/// `error = { ... }` of a check.
pub static CHECK_ERROR: Table = Table {
    what: "an error of checking",
    written: "{ at = \"0.4 deg\" }",
    list: "",
    help: "How far a check may be off, standard errors.",
    keys: &[
        distance_error("Standard error of the distance: a length, a share in %, or both, as \"5 mm + 0.3 %\"."),
        AT_ERROR,
        ERROR_READ_ON,
    ],
};

/// `measured_from = { ... }`
pub static MEASURED_FROM: Table = Table {
    what: "the point measured from",
    written: "{ point = \"front rim\", ahead = \"62 mm\" }",
    list: "",
    help: "Where the tape was held, when not at the image plane.",
    keys: &[
        key(
            "point",
            Word(words::<TapedPoint>),
            Always("point = \"front rim\" or \"fixed point\""),
            "\"front rim\"",
            "The \"front rim\", which travels as the lens is focused, or a \"fixed point\" of the camera.",
        ),
        key(
            "ahead",
            Length(-500.0, 1000.0),
            Always("ahead = \"62 mm\", how far it lies before the image plane with the ring at infinity"),
            "\"62 mm\"",
            "How far it lies ahead of the image plane with the ring at infinity.",
        ),
        key("error", Length(0.0, 50.0), Default("\"1 mm\""), "\"1 mm\"", "Standard error of that."),
    ],
};

const CHECK_EXAMPLE: &str = "{ distance = \"1.2 m\", reads = \"1.25 m\" }";

/// `checks = [{ ... }]`
pub static CHECK: Table = Table {
    what: "a check of the focus scale",
    written: CHECK_EXAMPLE,
    list: "[[lens.focus.checks]] with { distance = \"1.2 m\", reads = \"1.25 m\" }",
    help: "A distance set by tape, and what the finished strip showed under its index.",
    keys: &[
        distance(CHECK_EXAMPLE, "\"1.2 m\"", "The distance that was set by tape, or \"inf\"."),
        key("reads", Distance, Always(CHECK_EXAMPLE), "\"1.2 m\"", "What then stood under the index."),
        key(
            "error",
            Inner(&CHECK_ERROR),
            Follows("The tape as for readings, the strip by eye."),
            "{ at = \"0.4 deg\" }",
            "How far this check may be off.",
        ),
    ],
};
