//! Settings of cutting adhesive vinyl.

use super::{Limits, Settings, THICKNESS_ERROR_MM, Tolerance};
use crate::artwork::Strip;
use crate::process::{CutReport, Process, ProcessError, ProcessKind, cut, cut_report, transfer_guide};
use crate::units::Length;

/// What is cut from vinyl.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// The marks themselves, which stay on the ring.
    Marks,
    /// A mask round the marks, through which they are painted.
    Mask,
}

/// Cutting adhesive vinyl with a drag knife.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vinyl {
    /// Thickness of the vinyl on the ring.
    pub thickness: Length,
    /// What is cut.
    pub cut: Cut,
    /// The smallest shapes that can be cut and weeded.
    pub limits: Limits,
    /// Width of the bridges that join islands to what surrounds them; `None` for no bridges.
    pub bridge: Option<Length>,
    /// The part of the blade's offset that the cutter does not correct; corners come out rounded by it.
    pub knife_offset: Length,
    /// By how much the drawing is stretched along and across, as shares: the correction from a test cut.
    pub stretch: (f64, f64),
    /// Whether there was a test cut at all.
    pub measured: bool,
    /// Standard error of the thickness.
    pub thickness_error: Length,
    /// Whether a box is cut round every strip, so that the waste comes off in one piece.
    pub weed_box: bool,
    /// How fast the knife moves while it cuts, mm/s.
    pub speed: f64,
}

impl Default for Vinyl {
    fn default() -> Self {
        Vinyl {
            // cast film of 2 mil (signs trade, several makers' pages) and 0.02 mm of adhesive (from memory)
            thickness: Length::mm(0.07),
            cut: Cut::Marks,
            limits: Limits {
                // strokes of 0.46 mm are barely possible, each piece placed with tweezers (tapeworks.com, 2016)
                stroke: Length::mm(0.45),
                // desktop cutters hold lands of half a 0.5 mm pitch in thin film (an open stencil cutter's notes)
                gap: Length::mm(0.25),
                // smaller pieces lift with the waste; common practice, no source
                dot: Length::mm(0.6),
                // smaller holes cannot be picked out; common practice, no source
                counter: Length::mm(0.5),
            },
            bridge: None,
            knife_offset: Length::ZERO,
            stretch: (1.0, 1.0),
            measured: false,
            thickness_error: Length::mm(THICKNESS_ERROR_MM),
            weed_box: true,
            // slow, as small lettering needs; common practice, no source
            speed: 20.0,
        }
    }
}

impl Vinyl {
    /// The smallest marks that can be made. In a mask they are the openings, which may be as narrow as a gap, while what
    /// stands between them has to hold like a stroke, and what is left inside them like a piece.
    pub fn mark_limits(&self) -> Limits {
        let Limits { stroke, gap, dot, counter } = self.limits;
        match self.cut {
            Cut::Marks => Limits { stroke, gap, dot, counter },
            Cut::Mask => Limits { stroke: gap, gap: stroke, dot: gap, counter: dot },
        }
    }
}

/// Centres of cut ticks keep so many tick widths: nearer, the strip between them is lifted with them. EN 837-1 asks for five.
const TICK_GAP: f64 = 4.0;

impl Settings for Vinyl {
    fn kind(&self) -> ProcessKind {
        ProcessKind::Vinyl
    }

    fn thickness(&self) -> Length {
        self.thickness
    }

    fn tolerance(&self) -> Tolerance {
        // 2 mm to the metre are allowed in the trade (a print firm's tolerance), half of that is taken for one sigma
        let length = if self.measured { Tolerance::MEASURED } else { 0.001 };
        Tolerance { thickness: self.thickness_error, length }
    }

    fn limits(&self) -> Limits {
        self.mark_limits()
    }

    /// Half the narrowest gap, and no less than the blade swings out at a corner.
    fn tool_radius(&self) -> Length {
        (self.limits.gap * 0.5).max(self.knife_offset)
    }

    fn tick_width(&self, chosen: Option<Length>) -> Length {
        chosen.unwrap_or(self.mark_limits().stroke)
    }

    fn tick_gap(&self, tick: Length) -> Length {
        tick * TICK_GAP
    }

    /// What stands inside a numeral of a mask falls out.
    fn holds_islands(&self) -> bool {
        self.cut == Cut::Marks || self.bridge.is_some()
    }

    fn bridge(&self) -> Option<Length> {
        self.bridge
    }

    fn missing_bridge(&self) -> Option<Length> {
        self.bridge.is_none().then(|| self.mark_limits().gap)
    }

    fn with_bridge(&self, width: Length) -> Option<Process> {
        Some(Process::Vinyl(Vinyl { bridge: Some(width), ..*self }))
    }

    fn finished(&self, strip: &Strip) -> Result<Strip, ProcessError> {
        Ok(cut(strip, self))
    }

    fn sheet_advice(&self) -> &'static str {
        "cut at 100 %"
    }

    fn parting_words(&self) -> String {
        format!("for vinyl {} thick; cut one strip and measure it before the others", self.thickness)
    }

    fn transfer_guide(&self, strip: &Strip) -> Option<Strip> {
        transfer_guide(strip)
    }

    fn cut_report(&self, strip: &Strip) -> Option<CutReport> {
        Some(cut_report(strip, self))
    }
}
