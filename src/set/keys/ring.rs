//! The table of a ring's face, and keys that focus rings and iris rings share.

use super::key::Kind::{Length, Table as Inner, Word};
use super::key::Need::{Always, Default, Follows, Sometimes};
use super::key::{Key, Table, key};
use crate::model::words;
use crate::surface::{Edge, Sense};

/// The face of a ring.
pub(super) const RING_KEY: Key = key(
    "ring",
    Inner(&RING),
    Always("ring = { diameter = \"84 mm\", width = \"11 mm\" }"),
    "{ diameter = \"84 mm\", width = \"11 mm\" }",
    "The face that carries the strip, measured with a caliper where it is round and clean.",
);

const fn diameter(name: &'static str, add: &'static str, when: &'static str, help: &'static str) -> Key {
    key(name, Length(10.0, 400.0), Sometimes(add, when), "\"84 mm\"", help)
}

/// `ring = { ... }`
pub static RING: Table = Table {
    what: "a ring",
    written: "ring = { diameter = \"84 mm\", width = \"11 mm\" }",
    list: "",
    help: "The face that carries the strip: a cylinder, or a cone.",
    keys: &[
        diameter(
            "diameter",
            "diameter = \"84 mm\", or rear_diameter and front_diameter of a cone",
            "on a cylinder",
            "Diameter of a cylinder.",
        )
        .hint("by caliper, like 84 mm"),
        diameter(
            "rear_diameter",
            "rear_diameter = \"84 mm\", at the edge toward the camera",
            "on a cone",
            "Diameter of a cone at its edge toward the camera.",
        )
        .hint("of a cone"),
        diameter(
            "front_diameter",
            "front_diameter = \"80 mm\", at the edge toward the subject",
            "on a cone",
            "Diameter of a cone at its edge toward the subject.",
        )
        .hint("of a cone"),
        key(
            "width",
            Length(2.0, 120.0),
            Always("width = \"11 mm\", measured along the face"),
            "\"11 mm\"",
            "Width of the face, on a cone along the slope.",
        )
        .hint("of the face, along the slope"),
        key("error", Length(0.0, 5.0), Default("\"0.05 mm\""), "\"0.05 mm\"", "Standard error of the diameter."),
        key(
            "off_centre",
            Length(0.0, 5.0),
            Default("\"0.05 mm\""),
            "\"0.05 mm\"",
            "How far the ring sits beside the lens's axis, standard error.",
        ),
    ],
};

/// How a ring or a disc turns.
pub(super) const fn sense(name: &'static str, add: &'static str, help: &'static str) -> Key {
    key(name, Word(words::<Sense>), Always(add), "\"clockwise\"", help)
}

/// The ring along which lengths were read.
pub(super) const READ_ON: Key = key(
    "read_on",
    Length(10.0, 400.0),
    Follows("Positions are angles."),
    "\"62 mm\"",
    "Where positions are lengths along a ring, the diameter of the ring they were read on.",
);
pub(super) const INDEX: Key = key(
    "index",
    Word(words::<Edge>),
    Default("\"rear\""),
    "\"rear\"",
    "The edge of the ring at which the fixed index line stands.",
)
.hint("edge of the ring");
pub(super) const READ_FROM: Key = key(
    "read_from",
    Word(words::<Edge>),
    Follows("The side of the index."),
    "\"rear\"",
    "The side from which numerals are upright.",
)
.hint("side of the reader");
