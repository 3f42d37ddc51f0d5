//! Settings of engraving.

use super::{Limits, Settings, Tolerance};
use crate::artwork::Strip;
use crate::process::{Process, ProcessError, ProcessKind, engraved};
use crate::units::Length;

/// Engraving with a tool that follows lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engrave {
    /// Width of the line that the tool leaves.
    pub tool: Length,
    /// Whether numerals are single lines; otherwise outlines of the set's face are cut round.
    pub centreline: bool,
    /// Whether x is the turn of a rotary axis in degrees instead of a length.
    pub rotary: bool,
}

impl Default for Engrave {
    fn default() -> Self {
        Engrave { tool: Length::mm(0.2), centreline: true, rotary: false }
    }
}

impl Engrave {
    /// Lands between grooves narrower than half the tool crumble; common practice, no source.
    pub fn limits(&self) -> Limits {
        let none = Length::ZERO;
        Limits { stroke: none, gap: self.tool * 0.5, dot: none, counter: self.tool * 0.5 }
    }
}

impl Settings for Engrave {
    fn kind(&self) -> ProcessKind {
        ProcessKind::Engrave
    }

    fn thickness(&self) -> Length {
        Length::ZERO
    }

    fn tolerance(&self) -> Tolerance {
        // lead screws and rotary axes (common practice, no source)
        Tolerance { thickness: Length::ZERO, length: 0.0005 }
    }

    fn limits(&self) -> Limits {
        Engrave::limits(self)
    }

    fn tool_radius(&self) -> Length {
        self.tool * 0.5
    }

    /// The tool leaves its own width, whatever was chosen.
    fn tick_width(&self, _chosen: Option<Length>) -> Length {
        self.tool
    }

    fn line(&self) -> Option<Length> {
        Some(self.tool)
    }

    fn numeral_line(&self) -> Option<Length> {
        self.centreline.then_some(self.tool)
    }

    fn finished(&self, strip: &Strip) -> Result<Strip, ProcessError> {
        let drawing = engraved(strip, self).map_err(ProcessError::Engrave)?;
        // in degrees of turn, nothing but the rotary axis knows where it lies
        let flat = if self.rotary { None } else { strip.flat.clone() };
        Ok(Strip { drawing, flat, round: strip.round })
    }

    fn on_sheets(&self) -> Option<Process> {
        // a rotary axis's degrees are no paper's millimetres, so the ring's face is shown flat
        self.rotary.then_some(Process::Engrave(Engrave { rotary: false, ..*self }))
    }

    fn sheet_advice(&self) -> &'static str {
        "a proof: print at 100 %"
    }

    fn parting_words(&self) -> String {
        format!("for a tool {} wide; run it over tape or scrap first", self.tool)
    }
}
