//! Everything about a value that does not depend on its neighbours, measured once: arcs, labels, roundness, and the
//! multiples of each step as places in one array.

use super::super::Sides;
use super::super::ladder::{Count, Custom};
use super::{EndMark, Graduation, WishFault, cost};

/// A numeral stands at its value to this, mm along the strip: a third of the thinnest stroke that is made.
pub(super) const EXACT: f64 = 0.03;
/// The least clear distance of two labels, in label gaps.
pub(super) const SQUEEZED: f64 = 0.7;
/// Ticks that stand alone beyond the farthest numeral keep so many tick gaps.
const ALONE: f64 = 1.25;
/// A numeral at the end of the ring in the unit that the user did not write is worth it only from this demand on: 3′ for
/// 0.9144 m, but no 17¾″ for 0.45 m.
const FOREIGN_END: f64 = 1.0 / 24.0;
/// Values that are asked for as often as this are missed where they have no numeral.
pub(super) const MISSED: f64 = 0.1;

/// A value that may bear a mark.
#[derive(Clone, Copy, Debug)]
pub(super) struct Value {
    pub count: Count,
    pub arc: f64,
    /// How far its label reaches from the tick toward far and toward close.
    pub before: f64,
    pub after: f64,
    /// How far it is moved aside of its tick, toward close.
    pub shift: f64,
    pub bits: f64,
    pub demand: f64,
    pub custom: Custom,
    /// Binary logarithm of the spacing of ticks, mm, that is aimed at on the near side of this value.
    pub log_aim: f64,
    /// Whether a numeral may stand here.
    pub numeral: bool,
    /// Whether a numeral has to.
    pub asked: bool,
    /// Whether it is round enough to stand without ticks beside its neighbour.
    pub chain: bool,
    /// Whether no tick may stand here, for something else does.
    pub blocked: bool,
}

impl Value {
    pub fn width(&self) -> f64 {
        self.before + self.after
    }

    /// Clear distance from this label to one nearer to close.
    pub fn clear_to(&self, next: &Value) -> f64 {
        (next.arc - next.before) - (self.arc + self.after)
    }
}

/// The multiples of one rung that keep the tick gap, from close outward.
#[derive(Debug)]
pub(super) struct Grid {
    pub rung: Count,
    /// The first multiple.
    pub first: Count,
    /// Place of each multiple in the array of values.
    pub at: Vec<u16>,
    /// From each multiple out to the next: mm, and mm times the binary logarithm.
    pub gap: Vec<(f64, f64)>,
}

impl Grid {
    /// Where a value stands among the multiples.
    pub fn place(&self, count: Count) -> Option<usize> {
        let place = usize::try_from(count / self.rung - self.first).ok()?;
        (count % self.rung == 0 && place < self.at.len()).then_some(place)
    }
}

/// The measured candidates of a scale.
pub(super) struct Table {
    /// From far to close.
    pub values: Vec<Value>,
    pub grids: Vec<Grid>,
    /// Places of values that are missed without a numeral.
    pub missed: Vec<u16>,
    /// How far infinity's label reaches from its tick toward far and toward close; `None` without infinity.
    pub infinity: Option<(f64, f64)>,
    /// How far it is moved aside, toward close.
    pub infinity_shift: f64,
    /// Round values beyond the numerals, with their arcs, from close outward.
    pub far: Vec<(Count, f64)>,
    /// Arc of the ring's end.
    pub end: f64,
    /// Place of the value there, if a numeral may stand for it.
    pub end_numeral: Option<usize>,
    /// Whether a numeral there is missed.
    pub end_missed: bool,
    /// Arc of the farthest distance, and the place of the value there if a numeral may stand for it.
    pub start: Option<(f64, Option<usize>)>,
    /// Weight of a length: one comfortable numeral.
    pub pitch: f64,
    /// From this gap on a place is bare, mm.
    pub bare: f64,
    /// Whether a step's ticks draw together again somewhere toward close, as on some cams: a step may grow only there.
    pub draws_together: bool,
}

impl Table {
    pub fn new(scale: &Graduation) -> Result<Table, WishFault> {
        let ladder = scale.ladder;
        let arc = |count: Count| (scale.arc)(ladder.mm(count));
        let end = (scale.arc)(scale.closest).unwrap_or(0.0);
        let farthest = scale.farthest.unwrap_or(f64::INFINITY).min(scale.reach.max(2.0 * scale.closest));
        let exactly = |mm: f64, at: f64| {
            let count = ladder.nearest(mm)?;
            let numbered = count % ladder.numbered == 0 || scale.wishes.asks_for(count);
            (numbered && arc(count).is_some_and(|arc| (arc - at).abs() <= EXACT)).then_some(count)
        };
        // a value that an end holds to the last hundredths stands at the end
        let end_count = exactly(scale.closest, end);
        let start_arc = scale.farthest.and_then(scale.arc);
        let start_count = scale.farthest.zip(start_arc).and_then(|(mm, at)| exactly(mm, at));
        let lowest = end_count.unwrap_or((scale.closest / ladder.count_mm + 1e-9).floor() as Count + 1);
        let highest = start_count.unwrap_or((farthest / ladder.count_mm - 1e-9).ceil().min(1e9) as Count - 1);
        // a value that is asked for may stand farther out than any other numeral
        let highest = scale.wishes.asked().fold(highest.max(lowest), Count::max);

        let mut grids = Vec::new();
        let mut counts: Vec<Count> = Vec::new();
        for rung in ladder.rungs {
            let first = (lowest + rung - 1) / rung;
            let mut gap = Vec::new();
            let Some(mut here) = (first <= highest / rung).then(|| arc(first * rung)).flatten() else { continue };
            let from = counts.len();
            counts.push(first * rung);
            while (first + gap.len() as Count + 1) <= highest / rung {
                let next = (first + gap.len() as Count + 1) * rung;
                let Some(there) = arc(next) else { break };
                let mm = here - there;
                if mm < scale.tick_gap {
                    break;
                }
                gap.push((mm, mm * mm.log2()));
                counts.push(next);
                here = there;
            }
            let many = counts.len() - from;
            grids.push(Grid { rung: *rung, first, at: vec![0; many], gap });
        }
        let inside = |count: &Count| (lowest..=highest).contains(count);
        counts.extend(ladder.lone().filter(|count| inside(count) && arc(*count).is_some()));
        let fixed = scale.wishes.steps.iter().filter_map(|steps| steps.to);
        counts.extend(scale.wishes.asked().chain(fixed).filter(inside));
        counts.extend(end_count);
        counts.extend(start_count);
        counts.sort_unstable_by(|a, b| b.cmp(a));
        counts.dedup();

        let sides = (scale.sides)(scale.infinity);
        let infinity = scale.farthest.is_none().then_some((sides.before, sides.after));
        let mut values: Vec<Value> =
            counts.iter().map(|count| measure(scale, *count, arc(*count).unwrap_or(0.0))).collect();
        let infinity = aside_of_the_seam(scale, infinity, &mut values);
        let infinity_shift = infinity.map_or(0.0, |(_, after)| after - sides.after);
        for grid in &mut grids {
            // both fall from far to close, so one walk finds every multiple
            let mut place = values.len();
            for (i, at) in grid.at.iter_mut().enumerate() {
                let count = (grid.first + i as Count) * grid.rung;
                while place > 0 && values[place - 1].count < count {
                    place -= 1;
                }
                *at = place.saturating_sub(1) as u16;
            }
        }
        let place_of = |count: Count| values.iter().position(|value| value.count == count);
        let end_numeral = end_count.filter(|count| {
            let wanted = scale.wishes.asks_for(*count) || scale.wishes.end_mark == EndMark::Numeral;
            let wanted = wanted || scale.wishes.end_text.is_some();
            let worth = scale.own_unit || ladder.demand(*count) >= FOREIGN_END;
            let plain = matches!(scale.wishes.end_mark, EndMark::Tick | EndMark::Nothing);
            scale.wishes.allows(*count) && !plain && (worth || wanted)
        });
        let start = start_arc.map(|at| {
            let count = start_count.filter(|count| {
                scale.wishes.allows(*count) && (scale.own_unit || ladder.demand(*count) >= FOREIGN_END)
            });
            (at, count.and_then(place_of))
        });
        let end_numeral = end_numeral.and_then(place_of);
        let end_sides = scale.wishes.end_text.as_deref().map(|text| (scale.sides)(text));
        if let (Some(sides), Some(place)) = (end_sides, end_numeral) {
            (values[place].before, values[place].after, values[place].shift) = (sides.before, sides.after, 0.0);
        }
        let missed = (0..values.len())
            .filter(|i| values[*i].demand >= MISSED || values[*i].custom != Custom::None)
            .map(|i| i as u16)
            .collect();
        let far = ladder
            .rungs
            .iter()
            .filter(|rung| **rung >= ladder.whole && scale.wishes.allows_step(**rung))
            .filter_map(|rung| Some((*rung, arc(*rung).filter(|at| *at <= end)?)))
            .collect();
        let pitch = (scale.sides)(&ladder.label(ladder.usual, scale.figures)).width() + 3.0 * scale.label_gap;
        let together = |grid: &Grid| grid.gap.windows(2).any(|pair| pair[0].0 < pair[1].0 - 1e-9);
        let draws_together = grids.iter().any(together);
        let mut table = Table {
            values,
            grids,
            missed,
            infinity,
            infinity_shift,
            far,
            end,
            end_numeral,
            end_missed: end_numeral.is_some(),
            start,
            pitch,
            bare: scale.comfort.bare,
            draws_together,
        };
        table.clear_the_way(scale, end_sides)?;
        Ok(table)
    }

    /// Cost of the gap `h` between neighbouring ticks, `log` = h log2 h, after the numeral `far`.
    pub fn spacing(&self, h: f64, log: f64, far: &Value) -> f64 {
        cost::spacing(h, log, far, self.bare, self.pitch)
    }

    /// Round values that stand alone between infinity and a numeral at `arc`, from close outward.
    pub fn alone<'t>(
        &'t self,
        scale: &Graduation,
        count: Option<Count>,
        arc: f64,
    ) -> impl Iterator<Item = (Count, f64)> + 't {
        let least = ALONE * scale.tick_gap;
        // a lone tick beneath another mark's label would be read as that mark's own
        let gap = scale.tick_gap;
        let blocked: Vec<(f64, f64)> =
            scale.obstacles.iter().map(|obstacle| (obstacle.arc, obstacle.sides.longer().max(gap))).collect();
        let mut last = arc;
        let beyond = count.unwrap_or(0);
        self.far.iter().copied().filter(move |(value, at)| {
            let free = blocked.iter().all(|(other, half)| (other - at).abs() >= *half);
            let stands = *value > beyond && last - at >= least && *at >= least && free;
            if stands {
                last = *at;
            }
            stands
        })
    }

    /// Takes out the labels that touch what was asked for, and refuses what cannot stand together.
    fn clear_the_way(&mut self, scale: &Graduation, end_text: Option<Sides>) -> Result<(), WishFault> {
        let least = SQUEEZED * scale.label_gap;
        let asked: Vec<Value> = self.values.iter().filter(|value| value.asked).copied().collect();
        for pair in asked.windows(2) {
            let clear = pair[0].clear_to(&pair[1]);
            if clear < least - 1e-9 {
                return Err(WishFault::TooNear { one: Some(pair[0].count), other: pair[1].count, clear, least });
            }
        }
        if let (Some(first), Some((_, after))) = (asked.first(), self.infinity) {
            let clear = first.arc - first.before - after;
            if clear < least - 1e-9 {
                return Err(WishFault::TooNear { one: None, other: first.count, clear, least });
            }
        }
        let touches = |value: &Value| {
            asked.iter().any(|other| {
                let (far, near) = if other.arc <= value.arc { (other, value) } else { (value, other) };
                far.clear_to(near) < least
            })
        };
        for (i, value) in self.values.iter_mut().enumerate() {
            let (from, to) = (value.arc - value.before, value.arc + value.after);
            let beside = scale.obstacles.iter().any(|obstacle| {
                let Sides { before, after } = obstacle.sides;
                let clear = if obstacle.arc <= value.arc {
                    from - (obstacle.arc + after)
                } else {
                    (obstacle.arc - before) - to
                };
                clear < scale.label_gap
            });
            value.blocked = scale.obstacles.iter().any(|obstacle| (obstacle.arc - value.arc).abs() < scale.tick_gap);
            // what the user writes at an end that no numeral holds
            let under_end =
                end_text.is_some_and(|text| self.end - text.before - to < least && self.end_numeral != Some(i));
            value.numeral &= value.asked || !(beside || value.blocked || touches(value) || under_end);
            if !value.numeral && self.end_numeral == Some(i) {
                self.end_numeral = None;
            }
            if !value.numeral && self.start.is_some_and(|(_, place)| place == Some(i)) {
                self.start = self.start.map(|(arc, _)| (arc, None));
            }
        }
        Ok(())
    }
}

fn measure(scale: &Graduation, count: Count, arc: f64) -> Value {
    let ladder = scale.ladder;
    let wishes = scale.wishes;
    let sides = (scale.sides)(&label(scale, count));
    let log_aim =
        (5.0 * (scale.half_depth)(ladder.mm(count))).clamp(scale.comfort.narrowest, scale.comfort.widest).log2();
    let asked = wishes.asks_for(count);
    Value {
        count,
        arc,
        before: sides.before,
        after: sides.after,
        shift: 0.0,
        bits: ladder.bits(count),
        demand: ladder.demand(count),
        custom: ladder.custom(count),
        log_aim,
        numeral: wishes.allows(count) && (asked || count % ladder.numbered == 0),
        asked,
        chain: ladder.lone().any(|lone| lone == count),
        blocked: false,
    }
}

/// What stands at a value's numeral.
pub(super) fn label(scale: &Graduation, count: Count) -> String {
    let text = scale.wishes.text.iter().find(|(value, _)| *value == count);
    text.map_or_else(|| scale.ladder.label(count, scale.figures), |(_, text)| text.clone())
}

/// Where the scale nearly meets itself round the ring, numerals move aside of their ticks; where that is not enough,
/// infinity's does too.
fn aside_of_the_seam(scale: &Graduation, infinity: Option<(f64, f64)>, values: &mut [Value]) -> Option<(f64, f64)> {
    let half_tick = 0.5 * scale.tick_width;
    let (mut before, mut after) = infinity.unwrap_or((0.0, 0.0));
    let first = before;
    for value in values.iter_mut() {
        let room = scale.period - value.arc - first - scale.label_gap;
        let near = value.after.min(room.max(half_tick));
        value.before += value.after - near;
        value.shift = near - value.after;
        value.after = near;
        let far = before.min((first + room - near).max(half_tick));
        after += before - far;
        before = far;
    }
    infinity.map(|_| (before, after))
}
