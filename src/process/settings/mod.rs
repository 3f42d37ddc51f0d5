//! The settings of a process, and everything that a process says of itself: one file each.

mod engrave;
mod film;
mod vinyl;

pub use engrave::Engrave;
pub use film::Film;
pub use vinyl::{Cut, Vinyl};

use super::{CutReport, Process, ProcessError, ProcessKind};
use crate::artwork::{Drawing, Strip};
use crate::lettering::Fineness;
use crate::units::Length;

/// The smallest shapes that can be made; zero where a process has no such limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Width of a stroke.
    pub stroke: Length,
    /// Clear width between two shapes, or of an opening in one.
    pub gap: Length,
    /// Both sides of a piece that stands alone.
    pub dot: Length,
    /// Clear width of a hole that ink surrounds.
    pub counter: Length,
}

impl Limits {
    /// The height from which on nothing of some characters is finer than these limits.
    pub fn lowest(&self, fine: &Fineness) -> Length {
        let pairs =
            [(self.stroke, fine.stroke), (self.gap, fine.gap), (self.dot, fine.dot), (self.counter, fine.counter)];
        Length::mm(pairs.iter().map(|(limit, share)| (limit.to_mm() - LET_PASS_MM) / share).fold(0.0, f64::max))
    }
}

/// So much finer than its limit a shape may be and is not found: what flattening and rounding take away in a check.
const LET_PASS_MM: f64 = 0.008;

/// Film is sold as 0.100 to 0.110 mm (a laser printer's handbook), and so is vinyl within a hundredth (common practice, no
/// source).
const THICKNESS_ERROR_MM: f64 = 0.01;

/// Accuracy of a process, standard errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Of the thickness of what goes round the ring.
    pub thickness: Length,
    /// Of lengths along the strip, as a share.
    pub length: f64,
}

impl Tolerance {
    /// The share of a length after a test line was measured: two ends of 240 mm read to 0.1 mm each.
    const MEASURED: f64 = 0.0006;
}

/// What a process with its settings says of itself.
pub trait Settings {
    /// Which process it is.
    fn kind(&self) -> ProcessKind;

    /// Thickness of what goes round the ring.
    fn thickness(&self) -> Length;

    /// Its accuracy.
    fn tolerance(&self) -> Tolerance;

    /// The smallest shapes that can be made.
    fn limits(&self) -> Limits;

    /// Radius of what draws: half the finest stroke.
    fn tool_radius(&self) -> Length;

    /// Width of a tick, where a style chose one or not.
    fn tick_width(&self, chosen: Option<Length>) -> Length;

    /// The least distance between the centres of ticks of this width, where the process itself asks for one.
    fn tick_gap(&self, _tick: Length) -> Length {
        Length::ZERO
    }

    /// Width of the line of a tool that follows lines; `None` where shapes are filled.
    fn line(&self) -> Option<Length> {
        None
    }

    /// Width of that line where numerals are single lines too.
    fn numeral_line(&self) -> Option<Length> {
        None
    }

    /// Whether what a numeral surrounds stays where it is by itself.
    fn holds_islands(&self) -> bool {
        true
    }

    /// Width of the bridges that hold what a numeral surrounds.
    fn bridge(&self) -> Option<Length> {
        None
    }

    /// Width of bridges that would help where there are none.
    fn missing_bridge(&self) -> Option<Length> {
        None
    }

    /// The same process with bridges, where it can have them.
    fn with_bridge(&self, _width: Length) -> Option<Process> {
        None
    }

    /// The strip as the machine is handed it.
    ///
    /// # Errors
    /// When the process cannot work on such a strip.
    fn finished(&self, strip: &Strip) -> Result<Strip, ProcessError>;

    /// A finished drawing as a file of its own, corrected for the machine.
    fn single(&self, finished: &Drawing) -> Drawing {
        finished.clone()
    }

    /// The process that draws what lies on sheets, where it is not this one.
    fn on_sheets(&self) -> Option<Process> {
        None
    }

    /// What a printed ruler's lines measured along the paper's long and its short side, as shares of their true lengths.
    fn printed(&self) -> (f64, f64) {
        (1.0, 1.0)
    }

    /// What stands at the foot of a sheet.
    fn sheet_advice(&self) -> &'static str;

    /// What to see to before anything is made, after "wrote 12 files".
    fn parting_words(&self) -> String;

    /// What is laid under the tape while a strip is transferred, where one is.
    fn transfer_guide(&self, _strip: &Strip) -> Option<Strip> {
        None
    }

    /// The work of cutting a strip, where a knife does it.
    fn cut_report(&self, _strip: &Strip) -> Option<CutReport> {
        None
    }

    /// The same process at the resolution of a picture, where that decides what can be made.
    fn seen_at(&self, _dpi: f64) -> Option<Process> {
        None
    }
}
