//! The work in order, as a careful lens technician does it. Waiting times and habits without a named source are common
//! practice, and say so where they are figures.

use super::facts::size;
use super::{Application, OnRing, Part, Piece};
use crate::process::{Cut, Engrave, Film, Process, Vinyl};

/// What occurs on the lenses, so that no step speaks of what nobody has.
struct Present {
    focus: bool,
    iris: bool,
    disc: bool,
    index: bool,
    closed: bool,
    cone: bool,
    repeated: bool,
}

impl Present {
    fn of(application: &Application) -> Present {
        let pieces = || application.lenses.iter().flat_map(|lens| &lens.pieces).map(|piece| &piece.what);
        let strips = || pieces().filter_map(strip);
        Present {
            focus: pieces().any(|what| matches!(what, Piece::Focus(_))),
            iris: pieces().any(|what| matches!(what, Piece::Iris(_))),
            disc: pieces().any(|what| matches!(what, Piece::Disc(_))),
            index: pieces().any(|what| matches!(what, Piece::Index(plates) if !plates.is_empty())),
            closed: strips().any(|on| on.closed),
            cone: strips().any(|on| on.ring.rear_diameter != on.ring.front_diameter),
            repeated: strips().any(|on| on.zeros.len() > 1),
        }
    }

    /// Steps for placing a strip that every process shares.
    fn placing(&self, steps: &mut Vec<String>) {
        if self.cone {
            steps.push(
                "A strip for a conical ring is bent. Its longer edge goes to the larger diameter; it lies flat only \
                 there, so do not pull it straight."
                    .into(),
            );
        }
        if self.repeated {
            steps.push(
                "Where the scale stands twice on a ring, place it by one infinity mark and check the other at the \
                 opposite side: half the way round, both ways."
                    .into(),
            );
        }
    }
}

fn strip(what: &Piece) -> Option<&OnRing> {
    match what {
        Piece::Focus(on) | Piece::Iris(on) => Some(on),
        Piece::Disc(_) | Piece::Index(_) => None,
    }
}

/// The parts of the work.
pub(super) fn of(application: &Application) -> Vec<Part> {
    let present = Present::of(application);
    let process = &application.process;
    let (clean, align) = (clean(process), align(process, &present));
    let mut parts = vec![before(process, &present)];
    // a ring is marked on the lens before it comes off to be engraved
    parts.extend(if engraved(process) { [align, clean] } else { [clean, align] });
    parts.push(match process {
        Process::Film(film) => put_film_on(film, &present),
        Process::Vinyl(vinyl) => match vinyl.cut {
            Cut::Marks => put_marks_on(&present),
            Cut::Mask => put_mask_on(vinyl, &present),
        },
        Process::Engrave(engrave) => cut_grooves(engrave, &present),
    });
    parts.extend(beside_the_ring(process, &present));
    // wet paint is not turned under the camera; a strip can still be lifted before it has set
    let (check, wait) = (check(process, &present), wait(process));
    parts.extend(if painted(process) { [wait, check] } else { [check, wait] });
    parts
}

fn engraved(process: &Process) -> bool {
    matches!(process, Process::Engrave(_))
}

fn painted(process: &Process) -> bool {
    engraved(process) || matches!(process, Process::Vinyl(Vinyl { cut: Cut::Mask, .. }))
}

fn part(heading: &str, steps: Vec<String>) -> Part {
    Part { heading: heading.to_string(), steps }
}

fn lines(steps: &[&str]) -> Vec<String> {
    steps.iter().map(|step| step.to_string()).collect()
}

fn before(process: &Process, present: &Present) -> Part {
    let mut steps = Vec::new();
    match process {
        Process::Film(_) => steps.push(
            "Measure the 100 mm control lines of every printed sheet, along and across the paper, with a caliper or \
             a steel rule. 0.1 mm off is 0.25 mm on a strip of 250 mm: correct the printer's length error in the \
             set file and print again.",
        ),
        Process::Vinyl(_) => steps.push(
            "Measure the 100 mm control lines of the sheet (of a test cut, where the sheet has none), along and \
             across, with a caliper or a steel rule. 0.1 mm off is 0.25 mm on a strip of 250 mm: correct the \
             stretch in the set file and cut again.",
        ),
        Process::Engrave(_) => steps.push(
            "Scratch a line of 100 mm along each axis of the machine into scrap and measure both. Correct the \
             machine, not the drawing.",
        ),
    }
    match process {
        Process::Engrave(_) => steps.push(
            "Measure each ring's diameter and face on the ring itself and compare with the lens's table. Wrap a \
             paper print of the drawing round it: the marks must lie where you want them.",
        ),
        _ => steps.push(
            "Wrap each strip dry round its ring, before any backing comes off, and compare with the lens's table. \
             The ends of a strip that goes once round must just meet; its height must not stand over the ring's \
             edges.",
        ),
    }
    if present.focus || present.disc {
        steps.push(
            "Check that no scale is mirrored. Front edge up: on a ring that turns clockwise toward close focus, \
             seen from behind the camera, the close marks lie to the left of infinity; on a ring that turns the \
             other way they lie to the right.",
        );
    }
    if present.iris {
        steps.push(
            "Check the iris scales likewise: on a ring that closes clockwise, seen from behind the camera, the \
             small openings (the large numbers) lie to the left of the widest.",
        );
    }
    part("Before you start", lines(&steps))
}

fn clean(process: &Process) -> Part {
    let mut steps = lines(&[
        "Cap both ends of the lens. Air the room, put out every flame, put on gloves without powder.",
        "Wipe the ring's face with isopropanol on a lint-free cloth, one way round, with a fresh part of the cloth \
         until it stays clean. Keep the solvent out of the gap beside the ring: it carries grease into the iris.",
        "Let it dry for five minutes (common practice, no source), and do not touch the face again with bare \
         fingers.",
    ]);
    if engraved(process) {
        steps[0] = "Take the ring off the lens, or have it taken off, and cap the lens. Air the room, put out every \
                    flame, put on gloves without powder; take them off before the tool runs."
            .into();
        steps[1] = "Wipe the ring's face with isopropanol on a lint-free cloth until the cloth stays clean.".into();
    }
    part("Clean the ring", steps)
}

fn align(process: &Process, present: &Present) -> Part {
    let mut steps = Vec::new();
    if present.focus || present.disc {
        steps.push(
            "Turn the focus ring to infinity: the very position that was read as infinity when the lens was \
             measured, be it the stop or where the horizon is sharp. A stop may lie beyond it.",
        );
    }
    if present.iris {
        steps.push("Turn the iris ring to its widest stop.");
    }
    steps.push(
        "Put masking tape on the fixed barrel beside the ring and draw the index line on it, up to the ring, with a \
         fine pencil: where the reader is to look, in line with the old index or where the new one shall stand.",
    );
    steps.push(if engraved(process) {
        "Carry the line onto the ring's edge with a light scratch, which cleaning does not take away."
    } else {
        "Hold the ring there with a strip of tape while you work, and check the line before every piece."
    });
    part("Set the ring and mark the index", lines(&steps))
}

fn put_film_on(film: &Film, present: &Present) -> Part {
    let mut steps = lines(&[
        "Cut each strip out along the outer side of its frame line, blade against a steel rule, in several light \
         strokes.",
    ]);
    if present.closed && film.overlap.to_mm() > 0.0 {
        let tab = size(film.overlap);
        steps[0].push_str(&format!(" Leave the tab of {tab} mm at the end of a strip that goes once round."));
    }
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
        "The marks are clear in black: what lies behind them shows. On a dark ring put a white ground behind the \
         film."
            .into()
    } else {
        "The marks are black on clear film: on a dark ring put a white ground behind the film.".into()
    });
    steps.push(
        "Fix it with thin double-sided adhesive film or as the film's maker says. Every 0.05 mm of adhesive beneath \
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
            "At the seam the tab goes down first; lay the other end on it, edge to the line where the tab begins. \
             The seam belongs in the unused arc, away from the marks."
                .into()
        } else {
            "At the seam the two ends meet without overlap, in the unused arc, away from the marks.".into()
        });
    }
    present.placing(&mut steps);
    part("Put the film on", steps)
}

/// Transfer tape, and how it comes onto the ring.
fn transfer(steps: &mut Vec<String>, present: &Present) {
    steps.extend(lines(&[
        "Cut transfer tape to the carrier outline, lay it over the cut piece from one end, rub it down, and lift \
         tape and vinyl off the backing together, slowly and flat.",
        "Hold it over the ring: the carrier's edge line on the edge of the ring, its infinity line (that of the \
         widest stop) exactly on the index line. Touch it down at that line only.",
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

fn put_marks_on(present: &Present) -> Part {
    let mut steps = lines(&[
        "Weed: lift everything that is not a mark, from a corner, pulling flat and slowly; pick the insides of the \
         numerals out with fine tweezers. Compare with the drawing: no mark may be missing.",
    ]);
    transfer(&mut steps, present);
    if present.closed {
        steps.push(
            "Where the carrier goes once round, its ends meet at the seam in the unused arc; no mark may lie across \
             it."
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
        "The mask reaches 3 mm beyond the face on both sides: rub what is beyond down over the ring's edges. Close the \
         seam and cover everything else: gears, gaps beside the ring, both ends of the lens.",
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

fn cut_grooves(engrave: &Engrave, present: &Present) -> Part {
    let tool = size(engrave.tool);
    let mut steps = lines(&[
        "Clamp the ring without bending it, on a mandrel or in soft jaws, its front toward the side that the \
         drawing has up. Turn it once by hand past an indicator: what it wobbles, the depth varies.",
    ]);
    steps.push(if engrave.rotary {
        "The drawing's x is degrees of the rotary axis. Move 90° without the tool running: a quarter of the ring \
         must pass, and +x must turn it so that the drawing, outer face toward you, comes out unmirrored."
            .into()
    } else {
        "The drawing's x is mm along the ring's circumference. Move a quarter of the circumference without the tool \
         running: a quarter of the ring must pass, and +x must go the way that leaves the drawing unmirrored."
            .into()
    });
    steps.push(
        "Set zero: the tool over the scratch that stood at the index line at infinity (at the widest stop), while \
         the program stands at that mark; across, at the ring's front edge."
            .into(),
    );
    steps.push(format!(
        "Test on scrap of the same metal and coat: the groove must be {tool} mm wide, as the drawing reckons, and \
         its edges clean. Then run the whole program in the air over the ring."
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

fn beside_the_ring(process: &Process, present: &Present) -> Option<Part> {
    let made = match process {
        Process::Engrave(_) => "engrave and fill",
        Process::Vinyl(Vinyl { cut: Cut::Mask, .. }) => "mask and paint",
        _ => "place",
    };
    let mut steps = Vec::new();
    if present.index {
        steps.push(format!(
            "Index plates: take the masking tape off; {made} them on the fixed part, at the edge of the ring that the \
             table names. With the ring at infinity (at the widest stop) the plate's line continues that mark."
        ));
    }
    if present.disc {
        steps.push(format!(
            "Discs: {made} the scale flat on the wheel's face, centred on its axle. With the lens at infinity and the \
             gears in mesh, infinity must stand at the wheel's index. A wheel in direct mesh turns the other way \
             from the ring: the marks must come to the index in order."
        ));
    }
    (!steps.is_empty()).then(|| part("Beside the ring", steps))
}

fn check(process: &Process, present: &Present) -> Part {
    let mut steps = Vec::new();
    steps.push("Turn the ring from stop to stop: nothing may rub, lift or stop it, the seam least of all.");
    if present.focus || present.disc {
        steps.push(
            "Infinity: on the camera, widest stop, picture magnified, focus on the horizon (never the Sun). The \
             infinity mark must stand at the index.",
        );
        steps.push(
            "Two distances: tape one near the closest mark and one in the middle of the scale, from the image plane \
             to a chart. Focus each by eye three times, read the ring, and compare.",
        );
        steps.push(if painted(process) {
            "Where every mark is off by the same way, move the index. Where the error changes from mark to mark, note \
             distance and position as new readings and draw the scale anew."
        } else {
            "Where every mark is off by the same way, the piece has slipped: place it again, or move the index. Where \
             the error changes from mark to mark, note distance and position as new readings and draw it anew."
        });
    }
    if present.iris {
        steps.push(
            "Iris: with the ring at its widest stop the smallest number stands at the index, and the openings become \
             smaller as the numbers grow.",
        );
    }
    steps.push("Note on this sheet what was off, and keep it with the lens.");
    part("Check on the camera", lines(&steps))
}

fn wait(process: &Process) -> Part {
    let steps = lines(match process {
        Process::Film(_) => {
            &["Leave the lens at room temperature for as long as the data sheet of the adhesive says; where it says \
             nothing, 24 hours (common practice, no source). No solvent and no follow focus until then."]
        }
        Process::Vinyl(Vinyl { cut: Cut::Marks, .. }) => &[
            "Leave the lens at room temperature for as long as the vinyl's data sheet says; where it says nothing, \
             24 hours (common practice, no source). No solvent and no follow focus until then.",
            "A clear coat over the marks keeps edges down; try first on waste whether the two agree.",
        ],
        Process::Vinyl(_) | Process::Engrave(_) => {
            &["Let the paint harden for as long as its data sheet says; where it says nothing, 24 hours (common \
             practice, no source). No solvent and no follow focus until then."]
        }
    });
    part(if painted(process) { "Let it dry" } else { "Let it rest" }, steps)
}
