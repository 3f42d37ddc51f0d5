//! The set file: TOML keys become the inputs of the other modules, or errors that show the line.
//!
//! Everything that is wrong with a file is reported at once, in the order of the file; when the TOML itself is
//! broken, only that is. Lengths leave here in mm, angles in degrees, positions of a ring always as angles. Nothing
//! is computed beyond what a check needs: the laws are fitted elsewhere.
//!
//! Source of the grammar: the TOML specification 1.1.

mod checks;
mod csv;
mod disc;
pub mod edit;
mod exposures;
mod fault;
mod file;
mod focus;
mod focus_readings;
mod iris;
mod lens;
mod near;
mod process;
mod quantity;
mod read;
mod readings;
mod style;
mod template;
#[cfg(test)]
mod tests;
mod toml_file;

use std::path::PathBuf;

pub use fault::{Fault, Faults, Place, Source};
use process::Laying;
pub use template::TEMPLATE;
pub use toml_file::text_of;

use crate::artwork::Extent;
use crate::calibration::{Exposures, IrisChoice, Known, LawChoice, Origin, Reading, ReadingError, StopReading};
use crate::optics::GearRatio;
use crate::process::{Process, ProcessKind, Vinyl};
use crate::sheet::Paper;
use crate::surface::{Edge, Ring, Sense};
use crate::units::{Angle, Distance, Division, Length, Stop};

/// A style and the lenses that belong together.
#[derive(Clone, Debug)]
pub struct Set {
    /// The set's name.
    pub name: String,
    /// How every strip of the set looks.
    pub style: Style,
    /// How the strips are made.
    pub process: Process,
    /// What they are laid out on, where the file says it.
    pub paper: Option<Paper>,
    /// How many more of each strip than are needed.
    pub spares: usize,
    /// The farthest distance that can be set up, where it is told.
    pub room: Option<Length>,
    /// Whether something very far away can be seen for a reading of infinity.
    pub far_target: bool,
    /// In the file's order.
    pub lenses: Vec<Lens>,
    /// Where the typeface is named, when it is a file.
    pub typeface_place: Option<Place>,
    stated: style::Stated,
    processes: process::Processes,
}

impl Set {
    /// The same set made in another way: its own settings, and a style that it can make.
    pub fn made_by(&self, kind: ProcessKind) -> Set {
        let Laying { paper, spares } = self.processes.laying(kind);
        Set { paper, spares, ..self.with_process(self.processes.of(kind)) }
    }

    /// The same set made with other settings than the file's.
    pub fn with_process(&self, process: Process) -> Set {
        let style = self.stated.complete(&self.lenses, &process);
        Set { style, process, ..self.clone() }
    }

    /// The same set with every focus scale in one unit.
    pub fn in_unit(&self, unit: DistanceUnit) -> Set {
        let mut set = self.clone();
        for lens in &mut set.lenses {
            lens.units = vec![unit];
            lens.disc.iter_mut().for_each(|disc| disc.units = vec![unit]);
        }
        set.with_process(set.process)
    }

    /// The same set with a few words of its style or its units changed: what a check proposes.
    pub fn with(&self, change: &Change) -> Set {
        let mut set = self.clone();
        set.stated.change(change);
        if change.one_unit {
            for lens in &mut set.lenses {
                lens.units.truncate(1);
                lens.disc.iter_mut().for_each(|disc| disc.units.truncate(1));
            }
        }
        let process = match (set.process, change.bridge) {
            (Process::Vinyl(vinyl), Some(bridge)) => Process::Vinyl(Vinyl { bridge: Some(bridge), ..vinyl }),
            (process, _) => process,
        };
        set.with_process(process)
    }
}

/// A change of a set's words; what is `None` stays as it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// Height of the digits.
    pub numeral_height: Option<Length>,
    /// Width of every tick.
    pub tick_width: Option<Length>,
    /// Smallest distance between the centres of neighbouring ticks.
    pub smallest_gap: Option<Length>,
    /// Smallest clear distance between neighbouring labels.
    pub label_gap: Option<Length>,
    /// The face of the numerals.
    pub typeface: Option<Typeface>,
    /// Whether every lens keeps its first unit only.
    pub one_unit: bool,
    /// Width of the bridges in cut numerals.
    pub bridge: Option<Length>,
}

/// Which face the numerals are set in.
#[derive(Clone, Debug, PartialEq)]
pub enum Typeface {
    /// The condensed technical sans that ships with the program.
    Plain,
    /// The stencil face that ships with the program.
    Stencil,
    /// A font file of the user's.
    File(PathBuf),
}

/// How every strip of the set looks.
#[derive(Clone, Debug)]
pub struct Style {
    /// The face of the numerals.
    pub typeface: Typeface,
    /// Height of the digits.
    pub numeral_height: Length,
    /// Width of every tick.
    pub tick_width: Length,
    /// Length of a numbered mark's tick.
    pub numbered_tick: Length,
    /// Length of a plain mark's tick.
    pub plain_tick: Length,
    /// Smallest distance between the centres of neighbouring ticks.
    pub smallest_gap: Length,
    /// Smallest clear distance between neighbouring labels.
    pub label_gap: Length,
    /// How much of the ring a strip covers.
    pub extent: Extent,
    /// What becomes of focus marks that are not to be trusted.
    pub doubtful: Doubtful,
}

/// What becomes of focus marks that are not to be trusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubtful {
    /// What is done about them.
    pub treatment: Treatment,
    /// The stop at which two standard errors have to stay inside the depth of field; a lens's widest unless told.
    pub stop: Option<Stop>,
}

/// What is done about a doubtful mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Treatment {
    /// Drawn like the others.
    Drawn,
    /// Its tick is drawn shorter.
    Short,
    /// Left out; infinity and the closest distance are drawn shorter.
    LeftOut,
}

/// A unit that a focus band can be marked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DistanceUnit {
    /// Metres.
    Metre,
    /// Feet and inches.
    Foot,
}

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
    /// Where the lens is named.
    pub place: Place,
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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    /// Where the ring is described.
    pub ring_place: Place,
    /// Where each reading stands.
    pub reading_places: Vec<Place>,
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
    /// Where the check stands.
    pub place: Place,
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
    /// Where the disc is described.
    pub place: Place,
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
    /// Where the ring is described.
    pub ring_place: Place,
    /// Where each reading stands.
    pub reading_places: Vec<Place>,
}
