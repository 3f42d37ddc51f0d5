//! Film: measured on the sheet, cut out, tried on dry, put on.

use super::super::facts::size;
use super::part;
use crate::process::Film;
use crate::report::application::Part;
use crate::report::application::cautions::Caution;
use crate::report::application::craft::Craft;
use crate::report::application::present::Present;
use crate::units::Length;

impl Craft for Film {
    fn made(&self) -> &'static str {
        if self.mirrored {
            "For scales printed on the inner face of clear film."
        } else {
            "For scales printed on the outer face of clear film."
        }
    }

    fn cautions(&self) -> &'static [Caution] {
        &[Caution::Knives, Caution::LaserPrinter]
    }

    fn tab(&self) -> Length {
        self.overlap
    }

    fn look_through(&self) -> &'static str {
        if self.mirrored {
            "; look through the film from the unprinted side, there it must read right, and on the printed side the \
             wrong way round"
        } else {
            ""
        }
    }

    fn before(&self, present: &Present) -> Vec<String> {
        before(self, present)
    }

    fn prepare(&self, present: &Present) -> Option<Part> {
        Some(cut_out(self, present))
    }

    fn put_on(&self, present: &Present) -> Part {
        put_on(self, present)
    }

    fn wait(&self) -> &'static [&'static str] {
        &["Leave the lens at room temperature for as long as the data sheet of the adhesive says; where it says \
         nothing, 24 hours (common practice, no source). No solvent and no follow focus until then."]
    }
}

fn before(film: &Film, present: &Present) -> Vec<String> {
    let mut steps = vec![
        "Measure the 100 mm control lines of every printed sheet, along and across the paper, with a caliper or a \
         steel rule. 0.1 mm off is 0.25 mm on a strip of 250 mm: correct the printer's length error in the set file \
         and print again."
            .to_string(),
    ];
    if film.printed != (1.0, 1.0) {
        let instead = if present.sheets.is_empty() {
            ", or draw sheets (--sheet A4), which are right as they lie".to_string()
        } else {
            format!(", or print {}, which is right as it lies", present.sheets)
        };
        steps.push(format!(
            "The drawings of single pieces are stretched for your printer as if their length lay along the paper's \
             long side: print them that way only{instead}."
        ));
    }
    if present.closed {
        let (what, tab) = (frame(film), if film.overlap.to_mm() > 0.0 { "without the tab, " } else { "" });
        let cone = if present.cone { " On a bent strip it is the length along the index edge." } else { "" };
        steps.push(format!(
            "Measure the length of {what} of each strip that goes once round on the sheet, {tab}and compare it with \
             the lens's table: it must be π × (D + {} mm), D the ring's diameter as your caliper shows it.{cone}",
            size(film.thickness)
        ));
    }
    if present.open {
        steps.push(format!(
            "Measure the length of {} of each {} on the sheet and compare it with the lens's table.",
            frame(film),
            if present.closed { "other strip" } else { "strip" }
        ));
    }
    steps
}

/// What bounds a strip.
fn frame(film: &Film) -> &'static str {
    if film.reversed { "the black ground" } else { "the frame" }
}

fn cut_out(film: &Film, present: &Present) -> Part {
    let tab = film.overlap.to_mm() > 0.0;
    let mut steps = Vec::new();
    if present.strips() {
        let along = if film.reversed { "the edge of the black" } else { "the outer side of its frame line" };
        let leave = if present.closed && tab {
            format!(" Leave the tab of {} mm at the end of a strip that goes once round.", size(film.overlap))
        } else {
            String::new()
        };
        steps.push(format!(
            "Cut each strip out along {along}, blade against a steel rule, in several light strokes.{leave}"
        ));
    }
    if let Some(what) = present.flat_pieces() {
        let along = if film.reversed { "the edge of the black" } else { "the outer side of their frame line" };
        steps.push(format!("{what}: cut along {along}."));
    }
    if present.parts {
        steps.push(
            "Strips in parts: note the letter of each cut end on its back before the waste comes off, and cut between \
             the two short lines. Butt the ends with the same letter exactly, without gap or overlap, both edges in \
             line. Tape them edge to edge on a flat surface with thin clear tape, or place part by part, beginning \
             with the one that has infinity (the widest stop)."
                .into(),
        );
    }
    if present.closed {
        steps.push(if tab {
            "Wrap each strip dry round its ring, any backing still on. Where it goes once round, its end must just \
             reach the line at which the tab begins; its height must not stand over the ring's edges."
                .into()
        } else {
            "Wrap each strip dry round its ring, any backing still on. Where it goes once round, its ends must just \
             meet; its height must not stand over the ring's edges."
                .into()
        });
    } else if present.open {
        steps.push(
            "Lay each strip dry round its ring, any backing still on: its height must not stand over the ring's edges."
                .into(),
        );
    }
    part("Cut out and try on", steps)
}

fn put_on(film: &Film, present: &Present) -> Part {
    let mut steps = Vec::new();
    steps.push(if film.mirrored {
        "The print is on the inner face: the printed side goes toward the ring, and the scale reads right through \
         the film."
            .into()
    } else {
        "The print is on the outer face: the printed side stays outside. Keep fingers and solvent off it, for \
         isopropanol can lift toner; try on waste."
            .into()
    });
    steps.push(if film.reversed {
        let flat = present.flat_pieces().map_or_else(String::new, |what| format!(" {what} stay black on clear film."));
        format!(
            "On strips the marks are clear in black: what lies behind them shows. On a dark ring put a white ground \
             behind the film.{flat}"
        )
    } else {
        "The marks are black on clear film: on a dark ring put a white ground behind the film.".into()
    });
    steps.push(
        "Fix it with thin double-sided adhesive film or as the film's maker says; a backing comes off only now. Every 0.05 mm of adhesive beneath \
         the film makes the way round 0.3 mm longer; if the dry wrap shows that gap, give film plus twice the \
         adhesive as the thickness and print again."
            .into(),
    );
    steps.push(
        "Begin at infinity (at the widest stop): lay that mark exactly on the index line, the strip's edge flush \
         with the ring's edge all along. Press it down there."
            .into(),
    );
    steps.push(
        "Work outward from the mark to both sides, smoothing with a soft card so that no air stays beneath. Watch \
         the edge: if it creeps off, lift and begin again."
            .into(),
    );
    if present.closed {
        steps.push(if film.overlap.to_mm() > 0.0 {
            "At the seam the tab goes down first; lay the other end on it, just up to the line where the tab begins. \
             The seam belongs in the unused arc, away from the marks."
                .into()
        } else {
            "At the seam the two ends meet without overlap, in the unused arc, away from the marks.".into()
        });
    }
    present.placing(&mut steps);
    part("Put the film on", steps)
}
