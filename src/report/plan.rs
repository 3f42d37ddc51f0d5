//! The plan as a person reads it: how many, where, how true, a form to fill in, and how to measure.

use std::fmt;

use super::budget::true_from;
use super::csv;
use super::documents::plan::{FocusPlan, LensPlan, MarkPlanned, NumberOfSetUps, WorstMark};
use super::documents::values::{Millimetres, Number, Version};
use super::documents::{self, text};
use super::table::table;
use super::words::{amount, narrow, plain, round_in_unit, spoken};
use crate::assembly::{Assembly, FocusRing, Uncertainty, mark_distance};
use crate::calibration::{Gain, Next, Origin, Plan, PlanError, Planner, SetUp, Worst};
use crate::model::{DistanceUnit, Set};
use crate::units::{Angle, Distance, Length};

/// A lens with its plan.
pub struct Planned<'a> {
    /// The lens.
    pub assembly: &'a Assembly<'a>,
    /// Its focus ring.
    pub ring: &'a FocusRing<'a>,
    /// What to set up.
    pub plan: Plan,
    /// What one more reading would bring, where there are readings.
    pub next: Option<Next>,
    /// The distance from which a target serves as infinity.
    pub infinity_from: Option<Distance>,
    /// The farthest distance that can be taped.
    pub room: Length,
    /// Whether the room was stated; otherwise it is assumed.
    pub room_told: bool,
    /// The marks of the scale.
    pub marks: Vec<Distance>,
    /// What the tape is divided in.
    pub tape: DistanceUnit,
    /// Whether a number of set-ups was asked for.
    pub wanted: bool,
}

/// Where nothing is said of the room: a long one (common practice, no source).
const ROOM_MM: f64 = 10_000.0;

/// Why nothing can be planned, and within which room.
#[derive(Debug)]
pub struct NotPlanned {
    /// What is in the way.
    pub error: PlanError,
    room: Length,
}

impl fmt::Display for NotPlanned {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let room = Distance::Finite(self.room);
        match self.error {
            PlanError::RoomTooSmall { nearest } => {
                let nearest = Distance::Finite(nearest);
                write!(f, "nothing can be set up within {room}; its nearest distance to set up is {nearest}")
            }
            PlanError::OutOfReach => write!(f, "by what is known the ring reaches no distance within {room}"),
        }
    }
}

impl<'a> Planned<'a> {
    /// Plans the readings of a lens, as many as `readings` says or as are worth it; `None` without a focus ring.
    ///
    /// # Errors
    /// When nothing can be set up in the room: `room`, else the set's, else a long one.
    pub fn new(
        set: &Set,
        assembly: &'a Assembly<'a>,
        room: Option<Length>,
        readings: Option<usize>,
    ) -> Result<Option<Self>, NotPlanned> {
        let Some(ring) = &assembly.focus else { return Ok(None) };
        let focus = ring.focus;
        let unit = assembly.lens.units.first().copied().unwrap_or(DistanceUnit::Metre);
        let mut marks: Vec<Distance> =
            ring.bands.iter().flat_map(|b| &b.marks).filter_map(|m| mark_distance(m.value)).collect();
        marks.sort_by(|a, b| a.to_mm().unwrap_or(f64::MAX).total_cmp(&b.to_mm().unwrap_or(f64::MAX)));
        marks.dedup();
        let stated = room.or(set.room);
        let room = stated.unwrap_or(Length::mm(ROOM_MM));
        let tape = unit;
        let planner = Planner {
            known: &focus.known,
            calibration: &ring.calibration,
            readings: &focus.readings,
            error: focus.reading_error,
            from: focus.measured_from,
            room,
            far_target: set.far_target,
            tape,
            marks: marks.clone(),
        };
        let refused = |error: PlanError| NotPlanned { error, room };
        let plan = planner.plan(readings).map_err(refused)?;
        let next = planner.next().map_err(refused)?;
        let infinity_from = planner.infinity_from().filter(|_| set.far_target);
        let room_told = stated.is_some();
        let wanted = readings.is_some();
        Ok(Some(Planned { assembly, ring, plan, next, infinity_from, room, room_told, marks, tape, wanted }))
    }
}

impl Planned<'_> {
    /// Whether there is anything to set up: not where the readings are enough and no more was asked for.
    fn goes_on(&self) -> bool {
        self.wanted || !self.next.as_ref().is_some_and(Next::enough)
    }

    fn said(&self, distance: Distance) -> String {
        round_in_unit(distance, self.tape)
    }

    fn on_ring(&self, sigma: Angle) -> String {
        format!("± {:.2} mm", sigma.to_deg() * self.ring.mm_per_degree)
    }

    /// How true the marks will be.
    fn expected(&self) -> FocusRing<'_> {
        let mut ring = self.ring.clone();
        ring.calibration = self.plan.expected.clone();
        ring
    }

    /// `the worst mark, 0.65 m, will be good to ± 0.35 mm on the ring (± 8 mm in distance)`.
    fn promise(&self, ring: &FocusRing, worst: Worst, verb: &str) -> String {
        let budget = ring.budget(self.assembly.lens, worst.distance);
        // of the readings alone, as on the ring
        let half = budget.and_then(|t| Some(t.distance.to_mm()? * worst.sigma.to_deg() / t.sigma.to_deg().max(1e-12)));
        let far = half.map(|mm| match mm {
            mm if self.tape == DistanceUnit::Foot => {
                format!(" (± {} in distance)", narrow(Distance::mm(mm), self.tape))
            }
            mm if mm < 1000.0 => format!(" (± {mm:.0} mm in distance)"),
            mm => format!(" (± {:.1} m in distance)", mm / 1000.0),
        });
        let distance = self.said(worst.distance);
        let on_ring = self.on_ring(worst.sigma);
        format!(
            "the worst mark, {distance}, {verb} good to {on_ring} on the ring by the readings alone{}",
            far.unwrap_or_default()
        )
    }

    /// From which distance or stop on the marks are true, in the words of the calibration report.
    fn truth(&self, ring: &FocusRing) -> Option<String> {
        let lens = self.assembly.lens;
        let budget = |mark: &Distance| Some((*mark, ring.budget(lens, *mark)?));
        // from far to near
        let marks: Vec<(Distance, Uncertainty)> = self.marks.iter().rev().filter_map(budget).collect();
        let unit = self.tape;
        true_from(&marks, lens.widest_stop?, unit)
    }
}

fn degrees(at: Option<Angle>) -> String {
    at.map_or_else(|| "-".to_string(), |at| format!("{}°", plain(at.to_deg(), 0)))
}

/// The plans as text: each lens, then how to measure.
pub fn plan_text(planned: &[Planned]) -> String {
    let mut out = String::new();
    for one in planned {
        out.push_str(&format!("{}\n\n", one.assembly.lens.name));
        if let Some(next) = &one.next {
            out.push_str(&so_far(one, next));
        } else {
            out.push_str("  nothing read yet: planned from what is known of the lens\n");
        }
        if one.goes_on() {
            out.push_str(&form(one));
        }
        out.push('\n');
    }
    if planned.iter().any(Planned::goes_on) {
        out.push_str(&how_to_measure(planned));
    }
    out
}

fn so_far(one: &Planned, next: &Next) -> String {
    let count = one.ring.focus.readings.len();
    let mut out = format!("  after {}: {}", amount(count, "reading"), one.promise(one.ring, next.now, "is"));
    out.push_str(&one.truth(one.ring).map_or("\n".to_string(), |truth| format!(";\n  {truth}\n")));
    if !next.unread.is_empty() {
        let names: Vec<String> = next.unread.iter().map(|one_more| one.said(one_more.taped)).collect();
        out.push_str(&format!("  the curve ends before {}: read that first\n", names.join(" and ")));
    }
    let row = |gain: &Gain, what: String| {
        let share = 100.0 * (1.0 - gain.after.sigma.to_deg() / next.now.sigma.to_deg());
        vec![
            what,
            degrees(gain.set_up.at),
            format!("{} x", gain.set_up.repeats),
            one.on_ring(gain.after.sigma),
            one.said(gain.after.distance),
            format!("{} %", plain(share, 0)),
        ]
    };
    let mut rows: Vec<Vec<String>> = next.best.iter().map(|gain| row(gain, one.said(gain.set_up.taped))).collect();
    rows.extend(next.repeat.as_ref().map(|gain| row(gain, format!("{} once more", one.said(gain.set_up.taped)))));
    if !rows.is_empty() {
        out.push_str("\n  one more set-up, and the worst mark then:\n");
        out.push_str(&table(&["set up", "ring about", "read", "± ring", "at", "gain"], &rows, 1));
    }
    if next.enough() {
        out.push_str(&format!(
            "  enough: another reading, wherever, tells less than a twentieth of the ± {:.2} mm that is left\n",
            next.now.sigma.to_deg() * one.ring.mm_per_degree
        ));
    } else if let (Some(best), Some(repeat)) = (next.best.first(), &next.repeat)
        && repeat.after.sigma.to_deg() <= best.after.sigma.to_deg() * 1.02
    {
        let again = one.said(repeat.set_up.taped);
        out.push_str(&format!("  reading {again} once more helps as much: nothing new has to be set up\n"));
    }
    out
}

/// The reading to take next, for people.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NextReading {
    /// What it would bring, in a sentence or two.
    pub words: String,
    /// The distance to set up, as it is written in a set file; `None` where nothing is worth it.
    pub distance: Option<String>,
}

/// Which reading to take next, and what it would bring.
pub fn next_reading(planned: &Planned) -> NextReading {
    let written = |taped: Distance| if taped.is_infinite() { "inf".to_string() } else { planned.said(taped) };
    let Some(next) = &planned.next else {
        let first = planned.plan.set_ups.first().map(|set_up| set_up.taped);
        let set_ups: Vec<String> = planned.plan.set_ups.iter().map(|set_up| planned.said(set_up.taped)).collect();
        let promise = planned.promise(&planned.expected(), planned.plan.worst, "would be");
        let words = format!("Nothing is read yet. Set up {}; with these {promise}.", set_ups.join(", "));
        return NextReading { words, distance: first.map(written) };
    };
    let now = planned.promise(planned.ring, next.now, "is");
    if let Some(first) = next.unread.first() {
        let words = format!("The curve ends before {}: read that first. Now {now}.", planned.said(first.taped));
        return NextReading { words, distance: Some(written(first.taped)) };
    }
    match next.best.first() {
        Some(best) if !next.enough() => {
            let after = planned.on_ring(best.after.sigma);
            let words =
                format!("Now {now}. With a reading at {} that becomes {after}.", planned.said(best.set_up.taped));
            NextReading { words, distance: Some(written(best.set_up.taped)) }
        }
        _ => NextReading {
            words: format!("Now {now}. That is enough: another reading tells less than a twentieth of it."),
            distance: None,
        },
    }
}

/// The errors to expect from the set-ups, and blanks for the readings.
fn form(one: &Planned) -> String {
    let ring = one.expected();
    let count = one.plan.set_ups.len();
    let condition = match (count, &one.next) {
        (1, Some(_)) => "with this set-up more".to_string(),
        (_, Some(_)) => format!("with these {count} set-ups more"),
        _ => format!("with these {}", amount(count, "set-up")),
    };
    let mut out = format!("\n  {condition} {}", one.promise(&ring, one.plan.worst, "will be"));
    out.push_str(&one.truth(&ring).map_or("\n".to_string(), |truth| format!(";\n  {truth}\n")));
    let others: Vec<String> = one
        .plan
        .numbers
        .iter()
        .filter(|(number, _)| *number != count)
        .map(|(number, sigma)| format!("{number} would leave {}", one.on_ring(*sigma)))
        .collect();
    if !others.is_empty() {
        out.push_str(&format!("  {}\n", others.join(", ")));
    }
    let most = one.plan.set_ups.iter().map(|set_up| set_up.repeats).max().unwrap_or(1);
    const BLANK: &str = "________";
    let row = |set_up: &SetUp| {
        let mut row = vec![one.said(set_up.taped), degrees(set_up.at), format!("{} x", set_up.repeats)];
        row.extend((0..most).map(|i| if i < set_up.repeats { BLANK.to_string() } else { String::new() }));
        row.push(BLANK.to_string());
        row
    };
    let rows: Vec<Vec<String>> = one.plan.set_ups.iter().map(row).collect();
    let numbers: Vec<String> = (1..=most).map(|i| i.to_string()).collect();
    let mut head = vec!["set up", "ring about", "read"];
    head.extend(numbers.iter().map(String::as_str));
    head.push("way back");
    out.push('\n');
    out.push_str(&table(&head, &rows, 1));
    out.push('\n');
    if let Origin::Ahead { by, travels, .. } = one.ring.focus.measured_from {
        let point = if travels { "front rim of the lens" } else { "fixed point" };
        out.push_str(&format!(
            "  distances are taped from the {point}, {} ahead of the image plane with the ring at infinity\n",
            by
        ));
    }
    if one.plan.set_ups.iter().any(|set_up| set_up.taped.is_infinite())
        && let Some(from) = one.infinity_from
    {
        let about = one.said(Distance::mm((from.to_mm().unwrap_or(0.0) / 10_000.0).ceil() * 10_000.0));
        let about = if one.tape == DistanceUnit::Foot {
            format!("{:.0} ft", from.to_mm().unwrap_or(0.0) / 304.8)
        } else {
            about
        };
        out.push_str(&format!(
            "  infinity: anything farther than {about} (the ring cannot be read finely enough to tell)\n"
        ));
    }
    if let Some(amid) = &one.plan.amid {
        out.push_str(&format!(
            "  no set-up lies near {}: where you suspect a cam and not a plain thread, read there as well\n",
            one.said(amid.taped)
        ));
    }
    if !one.room_told {
        let room = spoken(one.room.to_mm(), one.tape);
        let example = if one.tape == DistanceUnit::Foot { "20 ft" } else { "6 m" };
        out.push_str(&format!(
            "  within {room}, as no room is told: room = \"{example}\" in [set], or --room, says otherwise\n"
        ));
    }
    out
}

/// Once for all lenses.
fn how_to_measure(planned: &[Planned]) -> String {
    let infinity = planned.iter().any(|one| one.infinity_from.is_some());
    // Ray-traced lenses of US patents 1,998,704, 2,854,889, 3,583,791 and 4,359,272, moved as a whole: the focus of least rms
    // spot over the whole pupil against the paraxial one, counted from infinity, is at worst 0.90 to 9.10 degrees of ring
    // off wide open and 0.09 to 3.22 two stops down.
    let mut out = String::from(
        "How to measure
  Tape from the image plane mark of the camera to the chart, unless a line above says otherwise.
  Work down the form: the ring is then always turned toward close, and its play stays on one side. Read again on the way
  back if the ring has play, and put those down with turned = \"toward infinity\".
  Read the turn of the ring in degrees from any zero, growing toward close; or put a strip of paper round it and mark it
  under the index: turn = 360 deg x length to the mark / length of the strip once round.
  Read as often as the form says, turning the ring away and back each time: times = (error of the ring / error of the tape
  in degrees of ring) squared, 1 to 5. More would not help: every repeat shares the error of the tape.
  Focus at the stop that will be used. Old lenses shift their focus as they are stopped down: ray-traced old designs, moved
  as a whole, come out up to 9.1° of ring off wide open, and up to 3.2° two stops down.
",
    );
    if infinity {
        out.push_str("  The target for infinity is never the Sun: through a lens it burns eyes and sets fire.\n");
    }
    out
}

/// A readings file with empty cells, for one lens.
pub fn plan_csv(planned: &[Planned]) -> String {
    let mut out = String::new();
    for one in planned {
        let rows: Vec<Vec<String>> = one
            .plan
            .set_ups
            .iter()
            .filter(|_| one.goes_on())
            .flat_map(|set_up| {
                let distance = if set_up.taped.is_infinite() { "inf".to_string() } else { one.said(set_up.taped) };
                vec![vec![distance, String::new(), "toward close".to_string()]; set_up.repeats]
            })
            .collect();
        out.push_str(&format!(
            "# {}: fill in the ring's turn, like 41.5 deg, growing toward close focus\n",
            one_line(one)
        ));
        out.push_str(&csv(&["distance", "at", "turned"], &rows));
    }
    out
}

fn one_line(one: &Planned) -> String {
    one.assembly.lens.name.replace(['\n', '\r'], " ")
}

/// The plans for programs.
pub fn plan_document(set: &str, planned: &[Planned]) -> documents::plan::Plan {
    let lens = |one: &Planned| LensPlan { name: one.assembly.lens.name.clone(), focus: focus_plan(one) };
    documents::plan::Plan { version: Version, set: set.to_string(), lenses: planned.iter().map(lens).collect() }
}

fn focus_plan(one: &Planned) -> FocusPlan {
    let set_up = |set_up: &SetUp| documents::plan::SetUp {
        distance_mm: set_up.taped.into(),
        from_image_plane_mm: set_up.subject.into(),
        at_deg: set_up.at.map(Number::from),
        repeats: set_up.repeats,
    };
    let worst = |worst: Worst| WorstMark {
        distance_mm: worst.distance.into(),
        sigma_deg: worst.sigma.into(),
        sigma_mm: (worst.sigma.to_deg() * one.ring.mm_per_degree).into(),
    };
    let gain = |gain: &Gain| documents::plan::Gain { set_up: set_up(&gain.set_up), worst_mark: worst(gain.after) };
    let ring = one.expected();
    let mark = |distance: &Distance| {
        let budget = ring.budget(one.assembly.lens, *distance);
        MarkPlanned {
            distance_mm: (*distance).into(),
            sigma_deg: budget.map(|budget| budget.sigma.into()),
            sharp_from_stop: budget.and_then(|budget| budget.sharp_from).map(|stop| stop.number().into()),
        }
    };
    let number = |(set_ups, sigma): &(usize, Angle)| NumberOfSetUps { set_ups: *set_ups, sigma_deg: (*sigma).into() };
    FocusPlan {
        readings: one.ring.focus.readings.len(),
        room_mm: one.room.into(),
        infinity_from_mm: one.infinity_from.map(Millimetres),
        set_ups: one.plan.set_ups.iter().map(set_up).collect(),
        worst_mark: worst(one.plan.worst),
        marks: one.marks.iter().map(mark).collect(),
        numbers: one.plan.numbers.iter().map(number).collect(),
        next: one.next.as_ref().map(|next| documents::plan::Next {
            worst_mark_now: worst(next.now),
            best: next.best.iter().map(gain).collect(),
            repeat: next.repeat.as_ref().map(gain),
            unread: next.unread.iter().map(set_up).collect(),
            enough: next.enough(),
        }),
    }
}

/// The plans as JSON.
pub fn plan_json(set: &str, planned: &[Planned]) -> String {
    text(&plan_document(set, planned))
}
