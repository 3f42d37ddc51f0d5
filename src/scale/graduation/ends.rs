//! Beyond the outermost numerals: round ticks toward infinity, fine ticks down to where the ring stops.

use super::super::ladder::Count;
use super::search::{Fill, SEEN, beside_infinity, counted, medium};
use super::table::{SQUEEZED, Table, Value};
use super::{EndMark, Graduation, cost};

/// From infinity (from the farthest distance) to the farthest numeral: its fills with their costs in bits and ticks.
pub(super) fn first_stretches(scale: &Graduation, table: &Table, place: usize) -> Vec<(Fill, f64, u32)> {
    let value = table.values[place];
    let Some((_, after)) = table.infinity else { return from_farthest(scale, table, place) };
    let clear = beside_infinity(table, &value);
    if clear < SQUEEZED * scale.label_gap {
        return Vec::new();
    }
    let mut ticks: Vec<f64> = table.alone(scale, Some(value.count), value.arc).map(|(_, at)| at).collect();
    let many = ticks.len() as u32;
    let alone: Vec<_> = table.alone(scale, Some(value.count), value.arc).map(|(count, _)| count).collect();
    ticks.push(0.0);
    let mut near = value.arc;
    let mut bits = cost::squeezed(clear, scale.label_gap);
    for at in ticks {
        let h = near - at;
        bits += table.spacing(h, h * h.log2(), &value);
        near = at;
    }
    let (before, _) = table.infinity.unwrap_or_default();
    bits += cost::numeral_pitch(value.arc, before + after + value.width(), scale.label_gap, table.pitch);
    for missed in table.missed.iter().map(|x| usize::from(*x)).take_while(|x| *x < place) {
        let missed = &table.values[missed];
        if beside_infinity(table, missed) >= scale.label_gap {
            bits += cost::missed(missed, alone.contains(&missed.count).then_some(1));
        }
    }
    vec![(Fill::default(), bits, many)]
}

/// A scale that does not reach infinity: ticks of one step from its end mark to the farthest numeral, or none.
fn from_farthest(scale: &Graduation, table: &Table, place: usize) -> Vec<(Fill, f64, u32)> {
    let value = table.values[place];
    let Some((start, _)) = table.start else { return Vec::new() };
    let length = value.arc - start;
    let skipped = |fill: Fill| -> f64 {
        let outer = table.missed.iter().map(|x| &table.values[usize::from(*x)]).filter(|x| x.count > value.count);
        outer.map(|x| cost::missed(x, counted(value.count, 0, 2 * value.count - x.count, fill))).sum()
    };
    let mut stretches = Vec::new();
    if length < scale.tick_gap {
        stretches.push((Fill::default(), cost::NO_END_MARK, 0));
        return stretches;
    }
    let bare = pitch_of_the_end(scale, table, place, length) + skipped(Fill::default());
    stretches.push((Fill::default(), bare + table.spacing(length, length * length.log2(), &value), 0));
    for grid in table.grids.iter().filter(|grid| scale.wishes.allows_step(grid.rung)) {
        let arcs: Vec<f64> = outward(scale, table, grid.rung, value.count, start).map(|tick| tick.arc).collect();
        if arcs.is_empty() || arcs.len() >= SEEN || arcs.iter().any(|arc| near_obstacle(scale, *arc)) {
            continue;
        }
        let fill = Fill { fine: grid.rung, medium: 0 };
        let mut bits = pitch_of_the_end(scale, table, place, length) + skipped(fill);
        let mut near = value.arc;
        for at in arcs.iter().copied().chain([start]) {
            bits += table.spacing(near - at, (near - at) * (near - at).log2(), &value);
            near = at;
        }
        stretches.push((fill, bits, arcs.len() as u32));
    }
    stretches
}

/// The ticks of a step beyond the farthest numeral, from there outward, as far as they keep their gap from each other and from
/// the far end at `start`.
pub(super) fn outward<'t>(
    scale: &Graduation,
    table: &'t Table,
    fine: Count,
    numeral: Count,
    start: f64,
) -> impl Iterator<Item = &'t Value> {
    let gap = scale.tick_gap;
    let grid = table.grids.iter().find(|grid| grid.rung == fine);
    let ticks = grid.and_then(|grid| Some(&grid.at[grid.place(numeral)? + 1..])).unwrap_or_default();
    ticks.iter().map(|x| &table.values[usize::from(*x)]).take_while(move |tick| tick.arc - start >= gap)
}

fn near_obstacle(scale: &Graduation, arc: f64) -> bool {
    scale.obstacles.iter().any(|obstacle| (obstacle.arc - arc).abs() < scale.tick_gap)
}

/// A last stretch without numeral costs only for what is longer than a numeral and its clear space.
fn pitch_of_the_end(scale: &Graduation, table: &Table, place: usize, length: f64) -> f64 {
    let value = table.values[place];
    if length <= table.pitch + value.width() {
        return 0.0;
    }
    cost::numeral_pitch(length, 2.0 * value.width(), scale.label_gap, table.pitch)
}

/// From a numeral to the ring's end without a numeral: fills with their costs in bits and ticks.
pub(super) fn last_stretches(
    scale: &Graduation,
    table: &Table,
    place: usize,
    numbered: i32,
    missed: impl Fn(usize, usize, Fill) -> f64,
) -> Vec<(Fill, f64, u32)> {
    let value = table.values[place];
    let length = table.end - value.arc;
    if length < scale.tick_gap {
        return vec![(Fill::default(), cost::NO_END_MARK, 0)];
    }
    // the end itself is no value that is missed
    let ends_at_a_value = table.values.last().is_some_and(|last| table.end - last.arc < super::table::EXACT);
    let to = table.values.len() - usize::from(ends_at_a_value);
    let to = to.max(place + 1);
    let base = pitch_of_the_end(scale, table, place, length);
    if let Some(steps) = scale.wishes.steps_from(value.count) {
        return vec![(Fill::given(steps), base + missed(place, to, Fill::given(steps)), 0)];
    }
    let mut stretches = Vec::new();
    let bare = table.spacing(length, length * length.log2(), &value);
    stretches.push((Fill::default(), base + bare + missed(place, to, Fill::default()), 0));
    for grid in table.grids.iter().filter(|grid| scale.wishes.allows_step(grid.rung)) {
        let Some(at) = grid.place(value.count) else { continue };
        let ticks = grid.at[..at].iter().rev().map(|x| &table.values[usize::from(*x)]);
        let ticks: Vec<_> = ticks.take_while(|tick| table.end - tick.arc >= end_gap(scale)).collect();
        let many = ticks.len();
        if many == 0 || many > 9 || ticks.iter().any(|tick| tick.blocked) {
            continue;
        }
        let Some(medium) = medium_of_the_end(scale, grid.rung, many, value.count, numbered) else { continue };
        let fill = Fill { fine: grid.rung, medium };
        let mut bits = base + missed(place, to, fill);
        let mut far = value.arc;
        for arc in ticks.iter().map(|tick| tick.arc).chain([table.end]) {
            bits += table.spacing(arc - far, (arc - far) * (arc - far).log2(), &value);
            far = arc;
        }
        stretches.push((fill, bits, many as u32));
    }
    stretches
}

/// How far the last tick keeps from the end mark, if there is one.
fn end_gap(scale: &Graduation) -> f64 {
    match scale.wishes.end_mark {
        EndMark::Nothing => 0.0,
        EndMark::Auto | EndMark::Numeral | EndMark::Tick => scale.tick_gap,
    }
}

/// The medium step of the last stretch: that of the section before, of which the ring's end cuts some off, or as in an
/// interval of ten parts.
fn medium_of_the_end(scale: &Graduation, fine: i32, ticks: usize, from: i32, numbered: i32) -> Option<i32> {
    let parts = usize::try_from(numbered / fine).unwrap_or(0);
    let parts = if numbered % fine == 0 && matches!(parts, 6 | 8 | 10) { parts } else { 10 };
    let step = medium(scale.ladder, fine, parts, from);
    step.or((ticks < SEEN).then_some(0))
}
