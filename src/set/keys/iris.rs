//! The tables of an iris ring and of what was measured on it.

use super::focus::{AT_ERROR, ERROR_READ_ON};
use super::key::Kind::{File, Number, OneOf, Position, Stop, Table as Inner, Tables, Truth, Turn, Word};
use super::key::Need::{Always, Default, Follows, Sometimes};
use super::key::{Key, Kind, Need, Table, key};
use super::marks::IRIS_MARKS;
use super::ring::{INDEX, READ_FROM, READ_ON, RING_KEY, sense};
use crate::calibration::IrisChoice;
use crate::model::{StopScale, words};

/// Stops that are believed: from the limit of any lens in air, f/0.5, to a pinhole.
const STOPS: Kind = Stop(0.5, 256.0);

/// `[lens.iris]`
pub static IRIS: Table = Table {
    what: "an iris ring",
    written: "[lens.iris] and its keys below it",
    list: "",
    help: "An iris ring and what was measured on it.",
    keys: &[
        RING_KEY,
        sense(
            "toward_closed",
            "toward_closed = \"clockwise\" or \"counterclockwise\", as seen from behind the camera",
            "How the ring turns toward closed, as seen from behind the camera; a wrong answer mirrors the scale.",
        )
        .hint("seen from behind the camera"),
        key(
            "law",
            Word(words::<IrisChoice>),
            Default("\"auto\""),
            "\"auto\"",
            "\"even\" turns as much for every stop, \"diameter\" and \"blades\" follow the opening, \"curve\" follows the readings; \"auto\" decides.",
        ),
        key("scale", Word(words::<StopScale>), Default("\"f\""), "\"f\"", "\"f\" for f-stops, \"T\" for T-stops.")
            .hint("f-stops or T-stops"),
        key(
            "transmittance",
            Number(0.05, 1.0),
            Follows("Readings of a T scale are T-stops from a light meter."),
            "0.9",
            "Share of the light that the glass lets through: T-stops are then computed from f-stop readings.",
        )
        .hint("between 0 and 1, like 0.9"),
        key("steps", OneOf(&[1, 2, 3]), Default("1"), "2", "Marks to the stop.").hint("1, 2 or 3"),
        key(
            "marks",
            Inner(&IRIS_MARKS),
            Follows("Every full stop, as far as there is room."),
            "{ never = [16] }",
            "The user's own choice of numerals.",
        ),
        key("smallest_stop", STOPS, Follows("The smallest one read."), "22", "The last stop to mark.").hint("like 22"),
        key(
            "readings",
            Tables(&STOP_READING),
            Follows("Exposures alone place T-stops."),
            "[{ stop = 2, at = \"0 deg\" }, { stop = 16, at = \"60 deg\" }]",
            "Stops and the ring's position at each, two stops or more; angles grow toward closed, from any zero.",
        ),
        key(
            "readings_file",
            File,
            Follows("The list stands in the set file."),
            "\"taped.csv\"",
            "The readings in a file of their own, with a line \"stop,at\" on top, in place of the list.",
        ),
        READ_ON,
        key(
            "reading_error",
            Inner(&POSITION_ERROR),
            Default("{ at = \"0.5 deg\" }"),
            "{ at = \"0.5 deg\" }",
            "How far the ring's position may be off, standard error.",
        ),
        key(
            "exposures",
            Tables(&EXPOSURE),
            Follows("None."),
            "[{ at = \"0 deg\", stops = 0 }, { at = \"60 deg\", stops = -6.1 }]",
            "A grey card in steady light, photographed at several positions of the ring with one shutter: how bright it came out.",
        ),
        key(
            "exposures_file",
            File,
            Follows("The list stands in the set file."),
            "\"card.csv\"",
            "The exposures in a file of their own, with a line \"at,stops\" or \"at,value\" on top, in place of the list.",
        ),
        key(
            "exposure_reference",
            Inner(&REFERENCE),
            Follows("The exposures are relative."),
            REFERENCE_EXAMPLE,
            "The same card through a lens of known T-stop: measures the transmittance.",
        ),
        key(
            "exposure_error",
            Number(0.001, 2.0),
            Default("0.1"),
            "0.1",
            "How far one exposure may be off, in stops, standard error.",
        ),
        INDEX,
        READ_FROM,
        key(
            "rides_on_focus",
            Truth,
            Default("false"),
            "true",
            "The iris ring turns along when focusing: its index is drawn on the focus ring.",
        ),
        key(
            "index_at",
            Position,
            Follows("Where there is room on the focus ring."),
            "\"30 deg\"",
            "The focus ring's position at which the riding ring's index stands.",
        ),
        key(
            "motor_sweep",
            Turn(3600.0),
            Default("\"360 deg\""),
            "\"300 deg\"",
            "How far a motor that is fixed to the rods can turn the riding ring.",
        ),
    ],
};

const READING_EXAMPLE: &str = "{ stop = 5.6, at = \"22 deg\" }";

/// `readings = [{ ... }]`
pub static STOP_READING: Table = Table {
    what: "a reading of an iris ring",
    written: READING_EXAMPLE,
    list: "[ { stop = 5.6, at = \"22 deg\" } ]",
    help: "A stop, and where the ring stood at it.",
    keys: &[
        key("stop", STOPS, Always(READING_EXAMPLE), "5.6", "The stop."),
        key(
            "at",
            Position,
            Always(READING_EXAMPLE),
            "\"84 deg\"",
            "The ring's position: an angle, or a length along the ring.",
        ),
        OWN_READ_ON,
    ],
};

const OWN_READ_ON: Key = key(
    "read_on",
    Kind::Length(10.0, 400.0),
    Follows("As in the ring's own table."),
    "\"62 mm\"",
    "The diameter of the ring along which this position was read.",
);

/// `reading_error = { ... }`
pub static POSITION_ERROR: Table = Table {
    what: "an error of reading",
    written: "{ at = \"0.5 deg\" }",
    list: "",
    help: "How far the ring's position may be off, standard error.",
    keys: &[AT_ERROR, ERROR_READ_ON],
};

const EXPOSURE_EXAMPLE: &str = "{ at = \"14 deg\", stops = -1.05 }";
const REFERENCE_EXAMPLE: &str = "{ T = 4, stops = -1.7 }";

/// Stops of brightness that are believed, and linear values: shares of full scale, up to 24 bits.
const BRIGHTNESS: (Kind, Kind) = (Number(-40.0, 40.0), Number(1e-6, 2e7));

const fn stops(add: &'static str) -> Key {
    let need = Need::Sometimes(add, "where no `value` is given");
    key("stops", BRIGHTNESS.0, need, "-1.05", "How bright it came out, in stops from any zero; brighter is more.")
}

const VALUE: Key = key(
    "value",
    BRIGHTNESS.1,
    Sometimes("value = 1200", "where no `stops` are given"),
    "1200",
    "How bright it came out, as the sensor's linear value.",
);

/// `exposures = [{ ... }]`
pub static EXPOSURE: Table = Table {
    what: "an exposure",
    written: EXPOSURE_EXAMPLE,
    list: "[ { at = \"14 deg\", stops = -1.05 }, ... ]",
    help: "How bright a grey card came out at a position of the ring.",
    keys: &[
        key("at", Position, Always(EXPOSURE_EXAMPLE), "\"14 deg\"", "The ring's position."),
        stops(EXPOSURE_EXAMPLE),
        VALUE,
        OWN_READ_ON,
    ],
};

/// `exposure_reference = { ... }`
pub static REFERENCE: Table = Table {
    what: "an exposure through a known lens",
    written: REFERENCE_EXAMPLE,
    list: "",
    help: "The card's exposure through a lens of known T-stop.",
    keys: &[
        key("T", STOPS, Always(REFERENCE_EXAMPLE), "4", "The known lens's T-stop."),
        stops(REFERENCE_EXAMPLE),
        VALUE,
    ],
};
