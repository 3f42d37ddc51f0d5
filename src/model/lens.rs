//! One lens as plain data: its rings, its disc, and what was measured on them.

use super::{DistanceUnit, FocusScaleChoices, IrisScaleChoices};
use crate::calibration::{Exposures, IrisChoice, Known, LawChoice, Origin, Reading, ReadingError, StopReading};
use crate::optics::GearRatio;
use crate::surface::{Edge, Ring, Sense};
use crate::units::{Angle, Distance, Division, Length, Stop};

/// One lens of the set; it has a focus ring, an iris ring or both.
#[derive(Clone, Debug)]
#[non_exhaustive]
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
    /// The largest blur that still counts as sharp, unless another is chosen: about a fifteen-hundredth of the diagonal of a
    /// frame of 24 by 36 mm, held tighter for a large picture (common practice, no source).
    pub const CIRCLE_OF_CONFUSION: Length = Length::mm(0.025);

    /// A lens in metres and feet, without any ring yet.
    pub fn new(name: &str, focal_length: Length) -> Lens {
        Lens {
            name: name.to_string(),
            focal_length,
            widest_stop: None,
            circle_of_confusion: Lens::CIRCLE_OF_CONFUSION,
            units: DistanceUnit::ALL.to_vec(),
            focus: None,
            iris: None,
            disc: None,
        }
    }

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

impl Default for Trueness {
    /// A caliper's reading of a diameter and a shell turned on a lathe are both good to about half a tenth (common practice,
    /// no source; makers of pi tapes state 0.03 mm).
    fn default() -> Self {
        Trueness { diameter: Length::mm(0.05), off_centre: Length::mm(0.05) }
    }
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
#[non_exhaustive]
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
    /// What was chosen of its numerals and ticks.
    pub scale: FocusScaleChoices,
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

impl Focus {
    /// A ring of a lens that moves as a whole, without readings yet; the index at the rear edge.
    pub fn new(focal_length: Length, ring: Ring, toward_close: Sense, closest: Length) -> Focus {
        Focus {
            ring,
            trueness: Trueness::default(),
            toward_close,
            closest,
            known: Known { closest: Some(closest), ..Known::of(focal_length) },
            law: LawChoice::Auto,
            readings: Vec::new(),
            reading_error: ReadingError::TAPED,
            measured_from: Origin::ImagePlane,
            infinity_stop: None,
            checks: Vec::new(),
            index: Edge::Rear,
            read_from: Edge::Rear,
            repeat: false,
            depth_marks: Vec::new(),
            hyperfocal: Vec::new(),
            scale: FocusScaleChoices::default(),
        }
    }

    /// A taped reading of this ring, with the ring's own error.
    pub fn taped(&self, distance: Distance, at: Angle) -> Reading {
        Reading { from: self.measured_from, ..Reading::taped(distance, at, self.reading_error) }
    }
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
#[non_exhaustive]
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
    /// What was chosen of its numerals.
    pub scale: IrisScaleChoices,
}

impl Iris {
    /// The standard error of a reading of an iris ring, unless another is stated (common practice, no source).
    pub const READING_ERROR: Angle = Angle::deg(0.5);

    /// A ring with f-stops, whole stops marked down to the smallest one read; the index at the rear edge.
    pub fn new(ring: Ring, toward_closed: Sense, readings: Vec<StopReading>) -> Iris {
        let smallest = readings.iter().map(|reading| reading.stop).max_by(|a, b| a.number().total_cmp(&b.number()));
        Iris {
            ring,
            trueness: Trueness::default(),
            toward_closed,
            law: IrisChoice::Auto,
            t_scale: false,
            transmittance: None,
            division: Division::Full,
            smallest_stop: smallest.unwrap_or(Stop::from_sixths(6 * 8)),
            readings,
            exposures: None,
            reading_error: Iris::READING_ERROR,
            index: Edge::Rear,
            read_from: Edge::Rear,
            rides: None,
            scale: IrisScaleChoices::default(),
        }
    }
}
