//! What the application sheet says of one process: implemented beside the steps of each, told apart in one place.

use super::Part;
use super::cautions::Caution;
use super::present::Present;
use crate::process::Process;
use crate::units::Length;

/// What the sheet has to know and to say of a process with its settings.
pub(super) trait Craft {
    /// One sentence on how the pieces were made.
    fn made(&self) -> &'static str;

    /// Its own cautions, beside those that hold for every process.
    fn cautions(&self) -> &'static [Caution];

    /// Whether the ring itself is worked on, so that it comes off the lens and has no seam.
    fn works_on_the_ring(&self) -> bool {
        false
    }

    /// Whether paint has to dry at the end.
    fn painted(&self) -> bool {
        false
    }

    /// Whether strips and discs have transfer guides.
    fn has_guides(&self) -> bool {
        false
    }

    /// Whether the files of rings are in degrees of a rotary axis.
    fn rotary(&self) -> bool {
        false
    }

    /// Length of the tab at the end of a strip that goes once round; zero for none.
    fn tab(&self) -> Length {
        Length::ZERO
    }

    /// How to look at a scale that reads right from one side only, after "Check that no scale is mirrored".
    fn look_through(&self) -> &'static str {
        ""
    }

    /// What to measure and to compare before anything else.
    fn before(&self, present: &Present) -> Vec<String>;

    /// What is done to the sheets first.
    fn prepare(&self, _present: &Present) -> Option<Part> {
        None
    }

    /// How the scales come onto their rings.
    fn put_on(&self, present: &Present) -> Part;

    /// What is done to plates and discs: "place".
    fn verb(&self) -> &'static str {
        "place"
    }

    /// How long to leave the lens alone.
    fn wait(&self) -> &'static [&'static str];
}

/// The process as the sheet sees it.
pub(super) fn craft(process: &Process) -> &dyn Craft {
    match process {
        Process::Film(film) => film,
        Process::Vinyl(vinyl) => vinyl,
        Process::Engrave(engrave) => engrave,
    }
}
