//! A chosen way along the scale becomes its ticks, its sections, and the reasons for what is missing.

use super::super::ladder::{Count, Custom};
use super::ends::outward;
use super::search::{Fill, Goal, Path, beside_infinity};
use super::table::{SQUEEZED, Table, label};
use super::{Choice, EndMark, Graduation, Tick, TickClass};

/// A stretch of one step, from numeral to numeral.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Section {
    /// The far numeral.
    pub from: Count,
    /// The near numeral; `None` where the section runs to the end of the ring.
    pub to: Option<Count>,
    /// From numeral to numeral.
    pub numbered: Option<Count>,
    /// From medium tick to medium tick.
    pub medium: Option<Count>,
    /// From tick to tick; `None` without ticks.
    pub fine: Option<Count>,
}

/// What stands in a numeral's way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InTheWay {
    /// The numeral of a value.
    Numeral(Count),
    /// Infinity.
    Infinity,
    /// Nothing that touches: it would crowd its neighbours.
    Crowd,
}

/// A customary value without a numeral.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Untold {
    /// The value.
    pub value: Count,
    /// What stands in its way.
    pub by: InTheWay,
}

/// Why no tick stands in a gap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// The next finer step has no room there.
    NoRoom {
        /// The step.
        step: Count,
        /// How near its ticks would stand, mm.
        apart: f64,
    },
    /// A finer step would be one more to learn.
    ChangeSaved {
        /// The step.
        step: Count,
    },
    /// The user said so.
    Wished,
}

/// A gap of more than 4 mm between neighbouring ticks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// The far tick; `None` is infinity or the end of the scale.
    pub from: Option<Count>,
    /// The near tick; `None` is the end of the ring.
    pub to: Option<Count>,
    /// How wide, mm.
    pub wide: f64,
    /// Why.
    pub reason: Reason,
}

/// Gaps wider than this, mm, are accounted for.
const WIDE: f64 = 4.0;

pub(super) fn choice(scale: &Graduation, table: &Table, path: &Path) -> Choice {
    let ladder = scale.ladder;
    let mut ticks: Vec<Tick> = Vec::new();
    let plain = |count: Count, class: TickClass| {
        let mm = ladder.mm(count);
        let arc = (scale.arc)(mm).unwrap_or(0.0);
        Tick { value: Some(count), mm, arc, class, label: String::new(), shift: 0.0, end: false }
    };
    let end = |mm: f64, arc: f64| {
        let value = ladder.nearest(mm).filter(|count| (ladder.mm(*count) - mm).abs() < 1e-6);
        Tick { value, mm, arc, class: TickClass::Numbered, label: String::new(), shift: 0.0, end: true }
    };
    let first = path.steps.first().map(|step| (table.values[step.place], step.fill));
    match (table.start, scale.farthest, first) {
        (Some((at, _)), Some(mm), Some((value, fill))) => {
            if value.arc - at >= scale.tick_gap {
                ticks.push(end(mm, at));
            }
            let filled: Vec<Count> = outward(scale, table, fill.fine, value.count, at).map(|tick| tick.count).collect();
            ticks.extend(filled.into_iter().rev().map(|count| plain(count, TickClass::Fine)));
        }
        (Some((at, _)), Some(mm), None) => ticks.push(end(mm, at)),
        _ => {
            let (count, arc) = first.map_or((None, table.end), |(value, _)| (Some(value.count), value.arc));
            let mut alone: Vec<Count> = table.alone(scale, count, arc).map(|(count, _)| count).collect();
            alone.reverse();
            ticks.extend(alone.into_iter().map(|count| plain(count, TickClass::Fine)));
        }
    }
    let between = |far: Count, near: Option<Count>, fill: Fill| -> Vec<Tick> {
        let counts = (1..).map(|k| far - k * fill.fine).take_while(|count| match near {
            Some(near) => *count > near,
            None => *count > 0 && (scale.arc)(ladder.mm(*count)).is_some_and(|arc| table.end - arc >= end_gap(scale)),
        });
        let class = |count: Count| {
            if fill.medium > 0 && (far - count) % fill.medium == 0 { TickClass::Medium } else { TickClass::Fine }
        };
        if fill.fine == 0 { Vec::new() } else { counts.map(|count| plain(count, class(count))).collect() }
    };
    let mut sections: Vec<Section> = Vec::new();
    let mut add = |section: Section| match sections.last_mut() {
        Some(last) if (last.numbered, last.medium, last.fine) == (section.numbered, section.medium, section.fine) => {
            last.to = section.to
        }
        _ => sections.push(section),
    };
    let step = |step: Count| (step > 0).then_some(step);
    for (i, part) in path.steps.iter().enumerate() {
        let value = table.values[part.place];
        if let Some(far) = i.checked_sub(1).map(|i| table.values[path.steps[i].place].count) {
            ticks.extend(between(far, Some(value.count), part.fill));
            let numbered = far - value.count;
            add(Section {
                from: far,
                to: Some(value.count),
                numbered: Some(numbered),
                medium: step(part.fill.medium),
                fine: step(part.fill.fine),
            });
        }
        ticks.push(Tick {
            label: label(scale, value.count),
            shift: value.shift,
            end: path.goal == Goal::Numbered && i + 1 == path.steps.len(),
            ..plain(value.count, TickClass::Numbered)
        });
    }
    if path.goal == Goal::Plain {
        let last = path.steps.last().map(|step| table.values[step.place]);
        if let Some(last) = last {
            ticks.extend(between(last.count, None, path.last));
            if path.last.fine > 0 {
                add(Section {
                    from: last.count,
                    to: None,
                    numbered: None,
                    medium: step(path.last.medium),
                    fine: step(path.last.fine),
                });
            }
        }
        let room = last.is_none_or(|last| table.end - last.arc >= scale.tick_gap);
        if room && scale.wishes.end_mark != EndMark::Nothing {
            ticks.push(end(scale.closest, table.end));
        }
    }
    if let (Some(text), Some(last)) = (&scale.wishes.end_text, ticks.last_mut())
        && last.end
    {
        last.label.clone_from(text);
    }
    let untold = untold(scale, table, path);
    let gaps = gaps(scale, table, path, &ticks);
    Choice { ticks, sections, bits: path.bits(), untold, gaps, infinity_shift: table.infinity_shift }
}

fn end_gap(scale: &Graduation) -> f64 {
    if scale.wishes.end_mark == EndMark::Nothing { 0.0 } else { scale.tick_gap }
}

/// Customary values between infinity and the end that have no numeral, each with the neighbour in its way.
fn untold(scale: &Graduation, table: &Table, path: &Path) -> Vec<Untold> {
    let numbered = |place: usize| path.steps.iter().any(|step| step.place == place);
    let least = SQUEEZED * scale.label_gap;
    let missing = table.values.iter().enumerate().filter(|(place, value)| {
        let chosen = scale.wishes.only.is_none() && !scale.wishes.never.contains(&value.count);
        value.custom != Custom::None && chosen && !numbered(*place)
    });
    let untold = missing.map(|(_, value)| {
        let touching = path.steps.iter().map(|step| &table.values[step.place]).find(|other| {
            let (far, near) = if other.arc <= value.arc { (*other, value) } else { (value, *other) };
            far.clear_to(near) < least
        });
        let by = match touching {
            _ if table.infinity.is_some() && beside_infinity(table, value) < least => InTheWay::Infinity,
            Some(other) => InTheWay::Numeral(other.count),
            None => InTheWay::Crowd,
        };
        Untold { value: value.count, by }
    });
    untold.collect()
}

/// Wide gaps, each with what would have filled it.
fn gaps(scale: &Graduation, table: &Table, path: &Path, ticks: &[Tick]) -> Vec<Gap> {
    let infinity = table.infinity.map(|_| (None, 0.0));
    let places: Vec<(Option<Count>, f64)> =
        infinity.into_iter().chain(ticks.iter().map(|tick| (tick.value, tick.arc))).collect();
    let numerals: Vec<Count> = path.steps.iter().map(|step| table.values[step.place].count).collect();
    let wide = places.windows(2).filter(|pair| pair[1].1 - pair[0].1 > WIDE);
    wide.map(|pair| {
        let ((from, far), (to, near)) = (pair[0], pair[1]);
        let reason = reason(scale, &numerals, (from, far), (to, near));
        Gap { from, to, wide: near - far, reason }
    })
    .collect()
}

fn reason(
    scale: &Graduation,
    numerals: &[Count],
    (from, far): (Option<Count>, f64),
    (to, near): (Option<Count>, f64),
) -> Reason {
    let ladder = scale.ladder;
    // the coarsest step with a tick inside the gap that the numeral before would allow
    let before = from.and_then(|from| numerals.iter().copied().rfind(|numeral| *numeral >= from));
    let inside = |step: Count| {
        let top = from.unwrap_or(Count::MAX);
        let low = to.map_or_else(|| scale.closest / ladder.count_mm, f64::from);
        let first = ((low / f64::from(step)).floor() as Count + 1) * step;
        first < top
    };
    let step = ladder
        .rungs
        .iter()
        .copied()
        .rev()
        .find(|step| before.is_none_or(|numeral| numeral % step == 0) && inside(*step));
    let step = step.unwrap_or(ladder.rungs[0]);
    if !scale.wishes.allows_step(step) {
        return Reason::Wished;
    }
    let low = to.map_or_else(|| scale.closest / ladder.count_mm, f64::from);
    let first = ((low / f64::from(step)).floor() as Count + 1) * step;
    let at = (scale.arc)(ladder.mm(first)).unwrap_or(far);
    let next = (scale.arc)(ladder.mm(first + step)).unwrap_or(far).max(far);
    let apart = (near - at).min(at - next);
    if apart < scale.tick_gap { Reason::NoRoom { step, apart } } else { Reason::ChangeSaved { step } }
}
