//! One lens as plain data: its rings, its disc, and what was measured on them.

use super::DistanceUnit;
use crate::calibration::{Exposures, IrisChoice, Known, LawChoice, Origin, Reading, ReadingError, StopReading};
use crate::optics::GearRatio;
use crate::surface::{Edge, Ring, Sense};
use crate::units::{Angle, Distance, Division, Length, Stop};

/// One lens of the set; it has a focus ring, an iris ring or both.
#[derive(Clone, Debug)]
pub struct Lens {
    /// The lens's name, unique in the set.
    pub name: String,
    /// The name ring's focal length.
    pub focal_length: Length,
    /// The widest stop.
    pub widest_stop: Option<Stop>,
    /// The largest blur that still counts as sharp.
    pub circle_of_confusion: Length,
    /// One or two focus bands.
    pub units: Vec<DistanceUnit>,
    /// The focus ring.
    pub focus: Option<Focus>,
    /// The iris ring.
    pub iris: Option<Iris>,
    /// The marking disc of a follow focus.
    pub disc: Option<Disc>,
}

impl Lens {
    /// The lens's name as the beginning of file names: lower case, everything but letters and digits one `-`.
    ///
    /// At most 100 bytes, so that endings fit behind it; different lenses of a set have different stems.
    pub fn file_stem(&self) -> String {
        file_stem(&self.name)
    }
}

/// A name as the beginning of file names; see [`Lens::file_stem`].
pub fn file_stem(name: &str) -> String {
    let mut stem = String::new();
    for c in name.to_lowercase().chars() {
        if stem.len() + c.len_utf8() > 100 {
            break;
        }
        if c.is_alphanumeric() {
            stem.push(c);
        } else if !stem.is_empty() && !stem.ends_with('-') {
            stem.push('-');
        }
    }
    stem.trim_end_matches('-').to_string()
}

/// How true a ring is, standard errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trueness {
    /// Of its diameter as measured.
    pub diameter: Length,
    /// How far it sits off the lens's axis, on either side.
    pub off_centre: Length,
}

/// Which ring of a lens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RingKind {
    /// The focus ring.
    Focus,
    /// The iris ring.
    Iris,
}

impl RingKind {
    /// Its key in a lens.
    pub fn key(self) -> &'static str {
        match self {
            RingKind::Focus => "focus",
            RingKind::Iris => "iris",
        }
    }
}

/// A focus ring and what was measured on it.
#[derive(Clone, Debug)]
pub struct Focus {
    /// The face that carries the strip.
    pub ring: Ring,
    /// How true the ring is.
    pub trueness: Trueness,
    /// How the ring turns toward close focus.
    pub toward_close: Sense,
    /// The closest distance.
    pub closest: Length,
    /// What is known before any reading.
    pub known: Known,
    /// Which law is asked for.
    pub law: LawChoice,
    /// In the file's order.
    pub readings: Vec<Reading>,
    /// The standard errors of a reading that states none of its own.
    pub reading_error: ReadingError,
    /// Where distances were taped from.
    pub measured_from: Origin,
    /// The ring's position at its infinity stop, where it was read.
    pub infinity_stop: Option<Angle>,
    /// What the finished strip showed.
    pub checks: Vec<FocusCheck>,
    /// At which edge the index stands.
    pub index: Edge,
    /// From which side the numerals are upright.
    pub read_from: Edge,
    /// Whether the scale is repeated at the opposite side.
    pub repeat: bool,
    /// Stops whose depth of field is marked beside the index, from the widest on.
    pub depth_marks: Vec<Stop>,
    /// Stops whose hyperfocal setting is marked on the scale, from the widest on.
    pub hyperfocal: Vec<Stop>,
}

/// A distance set by tape, and what the finished strip showed under its index.
#[derive(Clone, Debug)]
pub struct FocusCheck {
    /// From the point `from`.
    pub distance: Distance,
    /// What was read off the strip.
    pub reads: Distance,
    /// How far either may be off.
    pub error: ReadingError,
    /// Where the distance counts from.
    pub from: Origin,
}

/// A follow focus's marking disc, seen from its marked face.
#[derive(Clone, Debug)]
pub struct Disc {
    /// Across the rim.
    pub diameter: Length,
    /// Across the hole, zero for none.
    pub hole: Length,
    /// How far the disc turns with the ring.
    pub ratio: GearRatio,
    /// Whether the pointer turns over a fixed disc.
    pub pointer_turns: bool,
    /// How what turns turns toward close focus.
    pub toward_close: Sense,
    /// One or two bands.
    pub units: Vec<DistanceUnit>,
}

/// How an iris ring rides on the focusing group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rides {
    /// The focus ring's position at which the index shall stand; the middle of the throw unless told.
    pub index_at: Option<Angle>,
    /// How far a motor that is fixed to the rods can turn the iris ring.
    pub motor_sweep: Angle,
}

/// An iris ring and what was measured on it.
#[derive(Clone, Debug)]
pub struct Iris {
    /// The face that carries the strip.
    pub ring: Ring,
    /// How true the ring is.
    pub trueness: Trueness,
    /// How the ring turns toward closed.
    pub toward_closed: Sense,
    /// Which law is asked for.
    pub law: IrisChoice,
    /// Whether T-stops are marked instead of f-stops.
    pub t_scale: bool,
    /// Light let through, 0 to 1; `None` where the readings are T-stops themselves.
    pub transmittance: Option<f64>,
    /// Full, half or third stops.
    pub division: Division,
    /// The last stop that is marked.
    pub smallest_stop: Stop,
    /// In the file's order; at least two, or none where exposures stand alone.
    pub readings: Vec<StopReading>,
    /// A card's exposures, where they were taken.
    pub exposures: Option<Exposures>,
    /// The standard error of the ring's position.
    pub reading_error: Angle,
    /// At which edge the index stands.
    pub index: Edge,
    /// From which side the numerals are upright.
    pub read_from: Edge,
    /// How it turns along when focusing; `None` where it stays.
    pub rides: Option<Rides>,
}
