//! A law and a style become marks: which values are numbered, which are plain, and what was left out and why.
//!
//! Positions here are arcs along the strip from the infinity mark toward close focus (from the widest stop toward
//! closed), in mm. How far a text reaches comes from the caller; nothing here knows a typeface, a file or a drawing.
//!
//! ```
//! use ringwright::optics::{FocusLaw, TravelLaw};
//! use ringwright::scale::{Figures, FocusScale, Sides, Spacing, Wishes};
//! use ringwright::units::{Angle, DistanceUnit, Length};
//!
//! // 50 mm, moved as a whole by 9.7 mm to the full turn, on a ring 84 mm across
//! let law = TravelLaw::from_lead(Angle::ZERO, Length::mm(50.0), Length::mm(9.7), Length::mm(100.0));
//! let round = std::f64::consts::PI * 84.0;
//! let scale = FocusScale {
//!     law: &FocusLaw::Travel(law),
//!     closest: Length::mm(450.0),
//!     farthest: None,
//!     focal_length: Length::mm(50.0),
//!     hyperfocal: &[],
//!     half_depth: &|_| None,
//!     closest_unit: DistanceUnit::Metre.into(),
//!     figures: Figures::default(),
//!     wishes: &Wishes::default(),
//!     spacing: Spacing {
//!         mm_per_degree: round / 360.0,
//!         period: Length::mm(round),
//!         smallest_gap: Length::mm(0.93),
//!         label_gap: Length::mm(2.0),
//!         tick_width: Length::mm(0.2),
//!     },
//!     sides: &|text| Sides::even(1.4 * text.chars().count() as f64),
//! };
//! let band = scale.band(DistanceUnit::Metre.into()).unwrap();
//! let numerals: Vec<&str> = band.marks.iter().map(|mark| mark.label.as_str()).filter(|text| !text.is_empty()).collect();
//! assert_eq!(numerals[..4], ["∞", "10", "5", "4"]);
//! ```

mod choose;
mod depth;
mod figures;
mod focus;
pub mod graduation;
mod iris;
pub mod ladder;

use std::fmt;

use crate::units::{Angle, Distance, DistanceUnit, Length, Stop};
use graduation::{Gap, Section};
use ladder::Count;

pub use choose::{Candidate, best};
pub use depth::{Pair, Reach, Sharpness, legible};
pub use figures::{Feet, Figures, Inches, UnitSign};
pub use focus::{FocusScale, closest_label, ladder_of};
pub use graduation::{EndMark, Steps, TickClass, WishFault, Wishes};
pub use iris::{IrisScale, IrisWishFault, IrisWishes};

/// The unit of a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[non_exhaustive]
pub enum BandUnit {
    /// f-stops.
    #[serde(rename = "f")]
    F,
    /// T-stops.
    T,
    /// Distances in this unit.
    #[serde(untagged)]
    Distance(DistanceUnit),
}

impl From<DistanceUnit> for BandUnit {
    fn from(unit: DistanceUnit) -> Self {
        BandUnit::Distance(unit)
    }
}

impl BandUnit {
    /// The unit of distance, where the band is one of distances.
    pub fn distance(self) -> Option<DistanceUnit> {
        match self {
            BandUnit::Distance(unit) => Some(unit),
            BandUnit::F | BandUnit::T => None,
        }
    }

    /// What is engraved once and written in files.
    pub fn sign(self) -> &'static str {
        match self {
            BandUnit::Distance(unit) => unit.word(),
            BandUnit::F => "f",
            BandUnit::T => "T",
        }
    }
}

/// What the choice of marks needs to know of the strip's style.
#[derive(Clone, Copy, Debug)]
pub struct Spacing {
    /// Millimetres along the strip to a degree of the ring.
    pub mm_per_degree: f64,
    /// Arc after which the scale meets itself: once round the ring, or half round where it is repeated.
    pub period: Length,
    /// Smallest distance between the centres of neighbouring ticks.
    pub smallest_gap: Length,
    /// Smallest clear distance between neighbouring labels.
    pub label_gap: Length,
    /// Width of a tick.
    pub tick_width: Length,
}

/// How far the ink of a label reaches from its tick, mm along the strip. The tick is under the middle of the digits, so a
/// prime or a unit makes one side longer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sides {
    /// Toward infinity (toward open).
    pub before: f64,
    /// Toward close (toward closed).
    pub after: f64,
}

impl Sides {
    /// As far to both sides.
    pub fn even(width: f64) -> Sides {
        Sides { before: 0.5 * width, after: 0.5 * width }
    }

    /// Both together.
    pub fn width(self) -> f64 {
        self.before + self.after
    }

    /// The longer one: enough room to both sides whichever way the label lies.
    pub fn longer(self) -> f64 {
        self.before.max(self.after)
    }
}

/// The value that a mark stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MarkValue {
    /// A focus mark.
    Distance(Distance),
    /// An iris mark: the exact number, f or T.
    Stop(f64),
}

/// One value on a scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The value, exact.
    pub value: MarkValue,
    /// What is engraved; empty for a plain mark.
    pub label: String,
    /// How long its tick is drawn.
    pub tick: TickClass,
    /// The ring angle with the readings' zero and sense.
    pub angle: Angle,
    /// Arc from the infinity mark (from the widest stop).
    pub arc: Length,
    /// How far the numeral is moved aside of its tick, toward close (toward closed).
    pub numeral_shift: Length,
    /// Whether its tick is drawn shorter, to show that it is uncertain.
    pub short: bool,
    /// The stop at which sharpness just reaches infinity from here: a mark in addition to the scale's own.
    pub hyperfocal: Option<Stop>,
}

impl Mark {
    /// Whether the mark carries a numeral.
    pub fn numbered(&self) -> bool {
        !self.label.is_empty()
    }
}

/// The marks of one unit along one ring, in ring order.
#[derive(Clone, Debug)]
pub struct Band {
    /// The unit.
    pub unit: BandUnit,
    /// From infinity (open) to closest (closed).
    pub marks: Vec<Mark>,
    /// Customary values without a numeral.
    pub left_out: Vec<LeftOut>,
    /// How the marks came about.
    pub grounds: Grounds,
}

/// How a band's marks came about.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grounds {
    /// Stretches of one step, from far to close; none on an iris.
    pub sections: Vec<Section>,
    /// Gaps of more than 4 mm without a tick, with the reason.
    pub gaps: Vec<Gap>,
    /// The numerals in counts of the unit, from far to close.
    pub numerals: Vec<Count>,
    /// Height of this band's numerals, where it is not the style's.
    pub numeral_height: Option<Length>,
}

/// A customary value that got no numeral, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// Its label.
    pub label: String,
    /// The unit.
    pub unit: BandUnit,
    /// The chosen neighbour it would touch, if that is the reason.
    pub touches: Option<String>,
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.unit.sign();
        match &self.touches {
            Some(other) => write!(f, "{} {unit} would touch {other}; left out", self.label),
            None => write!(f, "{} {unit} would crowd its neighbours; left out", self.label),
        }
    }
}
