//! Engraving: the axes, the zero, the groove, and the paint in it.

use super::super::facts::size;
use super::{PAINT_HARDENS, lines, part};
use crate::process::Engrave;
use crate::report::application::Part;
use crate::report::application::cautions::Caution;
use crate::report::application::craft::Craft;
use crate::report::application::present::Present;

impl Craft for Engrave {
    fn made(&self) -> &'static str {
        "For scales engraved into the ring and filled with paint."
    }

    /// An engraver may be a laser.
    fn cautions(&self) -> &'static [Caution] {
        &[Caution::PvcAndLasers, Caution::Paint, Caution::Engraving]
    }

    fn works_on_the_ring(&self) -> bool {
        true
    }

    fn painted(&self) -> bool {
        true
    }

    fn rotary(&self) -> bool {
        self.rotary
    }

    fn before(&self, present: &Present) -> Vec<String> {
        before(self, present)
    }

    fn put_on(&self, present: &Present) -> Part {
        cut(self, present)
    }

    fn verb(&self) -> &'static str {
        "engrave and fill"
    }

    fn wait(&self) -> &'static [&'static str] {
        &[PAINT_HARDENS]
    }
}

fn before(engrave: &Engrave, present: &Present) -> Vec<String> {
    let mut steps = lines(&[
        "Scratch a line of 100 mm along each axis of the machine into scrap and measure both. Correct the machine, \
         not the drawing.",
    ]);
    let proof = |what: &str| {
        let from = if present.sheets.is_empty() {
            "a paper print of the drawing".to_string()
        } else {
            format!("the paper proof ({}, printed at 100 %)", present.sheets)
        };
        format!(" {what} {from} round it: the marks must lie where you want them.")
    };
    let wrapped = match (engrave.rotary && present.cylinder, present.sheets.is_empty()) {
        (false, _) => proof("Wrap"),
        // the sheets show the face flat, in mm
        (true, false) => proof("The files for the rotary axis are in degrees and cannot be wrapped; wrap"),
        (true, true) => " The files for the rotary axis are in degrees: check them on the turned ring with the tool \
                         lifted."
            .to_string(),
    };
    steps.push(format!(
        "Measure each ring's diameter and face on the ring itself and compare with the lens's table.{wrapped}"
    ));
    steps.push(
        "The files hold the edge of each face in the layer `outline`, for setting up. Leave that layer out of the \
         program: it is no mark."
            .into(),
    );
    steps
}

fn cut(engrave: &Engrave, present: &Present) -> Part {
    let tool = size(engrave.tool);
    let mut steps = lines(&[
        "Clamp the ring without bending it, on a mandrel or in soft jaws, its front toward the side that the \
         drawing has up. Turn it once by hand past an indicator: what it wobbles, the depth varies.",
    ]);
    if present.cylinder && engrave.rotary {
        steps.push(
            "The drawing's x is degrees of the rotary axis. Move 90° without the tool running: a quarter of the ring \
             must pass, and +x must turn it so that the drawing, outer face toward you, comes out unmirrored."
                .into(),
        );
        if let Some(what) = present.flat_pieces() {
            steps.push(format!("{what} stay in mm: engrave them flat, not on the rotary axis."));
        }
    } else if present.cylinder {
        steps.push(
            "The drawing's x is mm along the ring's circumference. Move a quarter of the circumference without the \
             tool running: a quarter of the ring must pass, and +x must go the way that leaves the drawing unmirrored."
                .into(),
        );
    }
    if present.cone {
        steps.push(
            "A conical ring's drawing is bent: it is the developed (flat) face, in mm. Engrave it on a flat strip, or \
             on a machine that maps it onto the cone; a rotary axis cannot run it."
                .into(),
        );
    }
    steps.push(
        "Set zero: the tool over the scratch that stood at the index line at infinity (at the widest stop), while \
         the program stands at that mark; across, at the ring's front edge."
            .into(),
    );
    steps.push(format!(
        "Test on scrap of the same metal and coat: the groove must be {tool} mm wide, as the drawing reckons, and \
         its edges clean. Then run the whole program with the tool lifted over the turning ring, and see that every \
         mark falls on the face and infinity under the scratch."
    ));
    steps.extend(lines(&[
        "Engrave. Take chips off by suction and a soft brush; do not blow. Do not unclamp before you have compared \
         every mark with the drawing.",
        "Degrease the grooves with isopropanol and let them dry. Press the paint in, then wipe it off flat across \
         the grooves with a hard pad, barely damp; fill a second time where it has sunk.",
        "Clean the ring of every chip, inside and threads first, and put it back onto the lens by the marks made when \
         it came off.",
    ]));
    if present.repeated {
        steps.push(
            "Where the scale stands twice, the second infinity mark must lie at the opposite side: half the way \
             round, both ways."
                .into(),
        );
    }
    part("Engrave and fill", steps)
}
