//! The words of the closed vocabularies: what each of the choices is called in files and on the page.
//!
//! Takes the types from where they are used; a variant without a word does not compile.

use super::Treatment;
use crate::artwork::Extent;
use crate::calibration::{IrisChoice, LawChoice, Moves, Turned};
use crate::process::Cut;
use crate::scale::{EndMark, Feet, Inches, UnitSign};
use crate::surface::{Edge, Sense};
use crate::units::DistanceUnit;

/// A choice among a few, each with its word.
pub trait Choice: Copy + 'static {
    /// Every one, in the order in which they are offered.
    const ALL: &'static [Self];

    /// What it is called.
    fn word(self) -> &'static str;
}

/// The words of a choice, in the order in which they are offered.
pub fn words<T: Choice>() -> Vec<&'static str> {
    T::ALL.iter().map(|one| one.word()).collect()
}

/// Which stops an iris scale shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StopScale {
    /// f-stops, of the opening.
    F,
    /// T-stops, of the light.
    T,
}

/// What turns at a marking disc.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiscTurns {
    /// The disc with its scale.
    Scale,
    /// The pointer.
    Pointer,
}

/// A point from which distances are taped, other than the image plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TapedPoint {
    /// The lens's front rim, which travels as the lens is focused.
    FrontRim,
    /// A point of the camera.
    FixedPoint,
}

/// How numerals are engraved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lettered {
    /// As single lines.
    Centreline,
    /// Along the typeface's edges.
    Outline,
}

impl Choice for StopScale {
    const ALL: &'static [Self] = &[StopScale::F, StopScale::T];

    fn word(self) -> &'static str {
        match self {
            StopScale::F => "f",
            StopScale::T => "T",
        }
    }
}

impl Choice for DiscTurns {
    const ALL: &'static [Self] = &[DiscTurns::Scale, DiscTurns::Pointer];

    fn word(self) -> &'static str {
        match self {
            DiscTurns::Scale => "scale",
            DiscTurns::Pointer => "pointer",
        }
    }
}

impl Choice for TapedPoint {
    const ALL: &'static [Self] = &[TapedPoint::FrontRim, TapedPoint::FixedPoint];

    fn word(self) -> &'static str {
        match self {
            TapedPoint::FrontRim => "front rim",
            TapedPoint::FixedPoint => "fixed point",
        }
    }
}

impl Choice for Lettered {
    const ALL: &'static [Self] = &[Lettered::Centreline, Lettered::Outline];

    fn word(self) -> &'static str {
        match self {
            Lettered::Centreline => "centreline",
            Lettered::Outline => "outline",
        }
    }
}

impl Choice for Sense {
    const ALL: &'static [Self] = &[Sense::Clockwise, Sense::Counterclockwise];

    fn word(self) -> &'static str {
        match self {
            Sense::Clockwise => "clockwise",
            Sense::Counterclockwise => "counterclockwise",
        }
    }
}

impl Choice for Edge {
    const ALL: &'static [Self] = &[Edge::Rear, Edge::Front];

    fn word(self) -> &'static str {
        match self {
            Edge::Rear => "rear",
            Edge::Front => "front",
        }
    }
}

impl Choice for Extent {
    const ALL: &'static [Self] = &[Extent::Used, Extent::FullTurn];

    fn word(self) -> &'static str {
        match self {
            Extent::Used => "used",
            Extent::FullTurn => "full turn",
        }
    }
}

impl Choice for Treatment {
    const ALL: &'static [Self] = &[Treatment::Drawn, Treatment::Short, Treatment::LeftOut];

    fn word(self) -> &'static str {
        match self {
            Treatment::Drawn => "drawn",
            Treatment::Short => "short",
            Treatment::LeftOut => "left out",
        }
    }
}

impl Choice for EndMark {
    const ALL: &'static [Self] = &[EndMark::Auto, EndMark::Numeral, EndMark::Tick, EndMark::Nothing];

    fn word(self) -> &'static str {
        match self {
            EndMark::Auto => "auto",
            EndMark::Numeral => "numeral",
            EndMark::Tick => "tick",
            EndMark::Nothing => "none",
        }
    }
}

impl Choice for Feet {
    const ALL: &'static [Self] = &[Feet::Primes, Feet::Dash, Feet::Decimal, Feet::Words];

    fn word(self) -> &'static str {
        match self {
            Feet::Primes => "primes",
            Feet::Dash => "dash",
            Feet::Decimal => "decimal",
            Feet::Words => "words",
        }
    }
}

impl Choice for Inches {
    const ALL: &'static [Self] = &[Inches::Fractions, Inches::Decimal];

    fn word(self) -> &'static str {
        match self {
            Inches::Fractions => "fractions",
            Inches::Decimal => "decimal",
        }
    }
}

impl Choice for UnitSign {
    const ALL: &'static [Self] = &[UnitSign::Start, UnitSign::Infinity, UnitSign::Each, UnitSign::Nowhere];

    fn word(self) -> &'static str {
        match self {
            UnitSign::Start => "start",
            UnitSign::Infinity => "infinity",
            UnitSign::Each => "each",
            UnitSign::Nowhere => "none",
        }
    }
}

impl Choice for Cut {
    const ALL: &'static [Self] = &[Cut::Marks, Cut::Mask];

    fn word(self) -> &'static str {
        match self {
            Cut::Marks => "marks",
            Cut::Mask => "mask",
        }
    }
}

impl Choice for DistanceUnit {
    const ALL: &'static [Self] = &DistanceUnit::ALL;

    fn word(self) -> &'static str {
        DistanceUnit::word(self)
    }
}

impl Choice for LawChoice {
    const ALL: &'static [Self] = &[LawChoice::Auto, LawChoice::Travel, LawChoice::Curve];

    fn word(self) -> &'static str {
        match self {
            LawChoice::Auto => "auto",
            LawChoice::Travel => "travel",
            LawChoice::Curve => "curve",
        }
    }
}

impl Choice for IrisChoice {
    const ALL: &'static [Self] =
        &[IrisChoice::Auto, IrisChoice::Even, IrisChoice::Diameter, IrisChoice::Blades, IrisChoice::Curve];

    fn word(self) -> &'static str {
        match self {
            IrisChoice::Auto => "auto",
            IrisChoice::Even => "even",
            IrisChoice::Diameter => "diameter",
            IrisChoice::Blades => "blades",
            IrisChoice::Curve => "curve",
        }
    }
}

impl Choice for Moves {
    const ALL: &'static [Self] = &[Moves::Whole, Moves::Front, Moves::Inside, Moves::Floating];

    fn word(self) -> &'static str {
        match self {
            Moves::Whole => "whole",
            Moves::Front => "front",
            Moves::Inside => "inside",
            Moves::Floating => "floating",
        }
    }
}

impl Choice for Turned {
    const ALL: &'static [Self] = &[Turned::TowardClose, Turned::TowardInfinity];

    fn word(self) -> &'static str {
        match self {
            Turned::TowardClose => "toward close",
            Turned::TowardInfinity => "toward infinity",
        }
    }
}
