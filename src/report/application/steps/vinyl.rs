//! Vinyl: transfer guides, weeding, marks and masks.

use super::{PAINT_HARDENS, lines, part};
use crate::process::{Cut, Vinyl};
use crate::report::application::Part;
use crate::report::application::cautions::Caution;
use crate::report::application::craft::Craft;
use crate::report::application::present::Present;

impl Craft for Vinyl {
    fn made(&self) -> &'static str {
        match self.cut {
            Cut::Marks => "For scales whose marks are cut from adhesive vinyl.",
            Cut::Mask => "For scales painted through a mask cut from adhesive vinyl.",
        }
    }

    fn cautions(&self) -> &'static [Caution] {
        match self.cut {
            Cut::Marks => &[Caution::Knives, Caution::PvcAndLasers],
            Cut::Mask => &[Caution::Knives, Caution::PvcAndLasers, Caution::Paint],
        }
    }

    fn painted(&self) -> bool {
        self.cut == Cut::Mask
    }

    fn has_guides(&self) -> bool {
        true
    }

    fn before(&self, present: &Present) -> Vec<String> {
        before(self, present)
    }

    fn put_on(&self, present: &Present) -> Part {
        match self.cut {
            Cut::Marks => put_marks_on(self, present),
            Cut::Mask => put_mask_on(self, present),
        }
    }

    fn verb(&self) -> &'static str {
        match self.cut {
            Cut::Marks => "place",
            Cut::Mask => "mask and paint",
        }
    }

    fn wait(&self) -> &'static [&'static str] {
        match self.cut {
            Cut::Marks => &[
                "Leave the lens at room temperature for as long as the vinyl's data sheet says; where it says nothing, \
                 24 hours (common practice, no source). No solvent and no follow focus until then.",
                "A clear coat over the marks keeps edges down; try first on waste whether the two agree.",
            ],
            Cut::Mask => &[PAINT_HARDENS],
        }
    }
}

fn before(vinyl: &Vinyl, present: &Present) -> Vec<String> {
    let mut steps = lines(&[
        "Measure the 100 mm control lines of the sheet (of a test cut, where the sheet has none), along and across, \
         with a caliper or a steel rule. 0.1 mm off is 0.25 mm on a strip of 250 mm: correct the stretch in the set \
         file and cut again.",
    ]);
    if !present.strips() {
        return steps;
    }
    let rulers = if present.guides.is_empty() {
        "measure one against the lens's table (the guide reaches 8 mm beyond the strip on every side)"
    } else {
        "check the 100 mm rulers on every page"
    };
    steps.push(format!(
        "Print the transfer guides {} on paper at 100 % and {rulers}. A guide's outer line is the carrier, to which \
         the transfer tape is cut; two lines all along are the ring's edges; the line across with an arrowhead is \
         the infinity line (that of the widest stop); the fine lines show the pieces.",
        present.named_guides()
    ));
    if present.guide_parts {
        steps.push(
            "Guides in parts: cut them at the short lines and tape them edge to edge, letter to letter, both edge \
             lines straight through (bent, on a cone's guide)."
                .into(),
        );
    }
    let ends = if present.closed {
        " Where the strip goes once round, short lines beyond the edge lines show its ends: they must just meet."
    } else {
        ""
    };
    let edges = match vinyl.cut {
        Cut::Marks => "the edge lines must lie on the ring's edges",
        Cut::Mask => "the edge lines must lie on the ring's edges, beyond which the mask reaches 3 mm",
    };
    steps.push(format!(
        "Wrap each paper guide round its ring, infinity line at the index, and compare with the lens's table: {edges}.\
         {ends}"
    ));
    steps
}

/// Transfer tape, and how it comes onto the ring.
fn transfer(steps: &mut Vec<String>, present: &Present) {
    if !present.strips() {
        return;
    }
    steps.extend(lines(&[
        "Lay clear transfer tape over the transfer guide, trace the edge lines and the infinity line with a fine pen, \
         and cut the tape along the guide's outer line.",
        "Lay it over the cut piece from one end, the traced edge line along the feet of the ticks, the infinity line on \
         the infinity mark (the widest stop). Rub it down, and lift tape and vinyl off the backing together, slowly \
         and flat.",
    ]));
    if present.parts {
        steps.push(
            "Pieces in parts: place part by part, beginning with the one that has infinity (the widest stop), and \
             cut the tape where the vinyl is cut. The ends with the same letter must butt exactly, without gap or \
             overlap."
                .into(),
        );
    }
    steps.extend(lines(&[
        "Hold it over the ring: the edge line on the edge of the ring, the infinity line (that of the widest stop) \
         exactly on the index line. Touch it down at that line only.",
        "Work outward from the line to both sides, the edge line on the ring's edge all along. Rub it down with a \
         squeegee or a card wrapped in cloth.",
    ]));
    present.placing(steps);
    steps.push(
        "Peel the tape back flat on itself, slowly. Where a piece lifts with it, lay it back, rub it down again and \
         wait a minute."
            .into(),
    );
}

fn put_marks_on(vinyl: &Vinyl, present: &Present) -> Part {
    let inside = if vinyl.bridge.is_some() {
        "their bridges leave the numerals open, so that nothing is left inside"
    } else {
        "pick the insides of the numerals out with fine tweezers"
    };
    let mut steps = vec![format!(
        "Weed: lift everything that is not a mark, from a corner, pulling flat and slowly; {inside}. Compare with the \
         drawing: no mark may be missing."
    )];
    transfer(&mut steps, present);
    if present.closed {
        steps.push(
            "Where the strip goes once round, the tape's ends overlap in the unused arc and its last 8 mm lie on the \
             other end; no mark may lie across the seam."
                .into(),
        );
    }
    part("Put the vinyl marks on", steps)
}

fn put_mask_on(vinyl: &Vinyl, present: &Present) -> Part {
    let mut steps = vec![if vinyl.bridge.is_some() {
        "Weed: pick the marks out with fine tweezers. The islands inside the numerals hang on their bridges; leave \
         those whole."
            .to_string()
    } else {
        "Weed: pick the marks out with fine tweezers. The islands inside the numerals stay where they are; the \
         transfer tape carries them."
            .to_string()
    }];
    transfer(&mut steps, present);
    steps.extend(lines(&[
        "A strip's mask reaches 3 mm beyond the face on both sides: rub what is beyond down over the ring's edges. \
         Close every seam and cover everything else: gears, gaps beside the ring, both ends of the lens.",
        "Paint in several thin coats, each dry to the touch as the paint's data sheet says before the next; a thick \
         coat runs under the mask.",
        "Take the mask off while the paint is still slightly soft, as its data sheet says, pulling it back on \
         itself.",
    ]));
    steps.push(if vinyl.bridge.is_some() {
        "Leave the gaps of the bridges, or close them with a fine brush once the paint is dry.".into()
    } else {
        "Lift the islands out of the numerals last, with the tip of a needle.".into()
    });
    part("Mask and paint", steps)
}
