//! The cheapest scale, exactly: dynamic programming over numerals from far to close.
//!
//! A state is a numeral, the fine step that was seen last and the numbered step before it: what a next interval costs
//! depends on nothing else. What does not depend on the state is computed once for each move. Costs are whole
//! millionths of a bit, so that sums do not depend on their order and ties are ties.

use super::super::ladder::{Count, Custom};
use super::table::{SQUEEZED, Table, Value};
use super::{Graduation, Steps, WishFault, cost, ends};

/// Parts between two numerals: nine ticks at most (MIL-HDBK-759B, 5.2.2.3.1.4.1), in numbers that are counted at a glance.
pub(super) const PARTS: [usize; 7] = [2, 3, 4, 5, 6, 8, 10];
/// So many equal parts are seen without a medium tick among them: four ticks are not counted, five are.
pub(super) const SEEN: usize = 5;

/// How an interval is filled: ticks at multiples of `fine`, those at multiples of `medium` longer; zero for none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Fill {
    pub fine: Count,
    pub medium: Count,
}

impl Fill {
    /// As a section was given.
    pub fn given(steps: &Steps) -> Fill {
        let medium = steps.medium.filter(|_| steps.fine.is_some());
        Fill { fine: steps.fine.or(steps.medium).unwrap_or(0), medium: medium.unwrap_or(0) }
    }
}

/// What the scale ends with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Goal {
    /// A numeral at the closest distance.
    Numbered,
    /// An end mark without numeral, or none.
    Plain,
}

/// One numeral with the fill on its far side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    pub place: usize,
    pub fill: Fill,
}

/// A whole scale.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Path {
    /// From far to close.
    pub steps: Vec<Step>,
    /// The fill between the last numeral and the end.
    pub last: Fill,
    /// What it ends with.
    pub goal: Goal,
    /// Millionths of a bit.
    pub cost: i64,
}

impl Path {
    pub fn bits(&self) -> f64 {
        self.cost as f64 / MICRO
    }
}

const MICRO: f64 = 1e6;

pub(super) fn micro(bits: f64) -> i64 {
    (bits * MICRO).round() as i64
}

#[derive(Clone, Copy, Debug)]
struct State {
    /// The fine step last seen; zero for none yet.
    fine: Count,
    /// The numbered step before; zero for none yet.
    numbered: Count,
    cost: i64,
    ticks: u32,
    fill: Fill,
    from: (u16, u16),
}

/// A way that reaches an end.
#[derive(Clone, Copy)]
struct Found {
    cost: i64,
    ticks: u32,
    /// Place and state of the last numeral.
    at: Option<(usize, usize)>,
    last: Fill,
}

const START: u16 = u16::MAX;

struct Search<'s, 'a> {
    scale: &'s Graduation<'a>,
    table: &'s Table,
    /// Whether numerals that are asked for keep every rule that others keep; else they may stand squeezed, and without ticks
    /// beside any numeral, so that there is a way to each of them.
    strict: bool,
    states: Vec<Vec<State>>,
    /// Place after which no numeral that is asked for has been passed over, for each place.
    asked: Vec<bool>,
    missed_from: Vec<u16>,
}

pub(super) fn search(scale: &Graduation, table: &Table, goal: Goal) -> Option<Path> {
    let strict = scale.wishes.only.is_none();
    let path = strict.then(|| run(scale, table, goal, true)).flatten();
    let free = || !strict || table.values.iter().any(|value| value.asked);
    path.or_else(|| free().then(|| run(scale, table, goal, false)).flatten())
}

fn run(scale: &Graduation, table: &Table, goal: Goal, strict: bool) -> Option<Path> {
    let count = table.values.len();
    let asked = table.values.iter().map(|value| value.asked);
    let mut missed_from = Vec::with_capacity(count + 1);
    let mut next = 0;
    for place in 0..=count {
        while next < table.missed.len() && usize::from(table.missed[next]) < place {
            next += 1;
        }
        missed_from.push(next as u16);
    }
    let asked = asked.collect();
    let mut search = Search { scale, table, strict, states: vec![Vec::new(); count], asked, missed_from };
    search.run(goal)
}

impl Search<'_, '_> {
    fn run(&mut self, goal: Goal) -> Option<Path> {
        let table = self.table;
        self.start();
        let mut best: Option<Found> = None;
        let mut offer = |found: Found| {
            if best.is_none_or(|best| (found.cost, found.ticks) < (best.cost, best.ticks)) {
                best = Some(found);
            }
        };
        let last = if goal == Goal::Numbered { table.end_numeral? } else { table.values.len().saturating_sub(1) };
        for place in 0..table.values.len() {
            if self.states[place].is_empty() {
                continue;
            }
            self.prune(place);
            if goal == Goal::Numbered && place == last {
                for (i, state) in self.states[place].iter().enumerate() {
                    offer(Found { cost: state.cost, ticks: state.ticks, at: Some((place, i)), last: Fill::default() });
                }
                break;
            }
            let sections_done =
                self.scale.wishes.steps_from(table.values[place].count).is_none_or(|steps| steps.to.is_none());
            if goal == Goal::Plain && sections_done && !self.asked[place + 1..].contains(&true) {
                for (i, state) in self.states[place].iter().enumerate() {
                    let stretches = ends::last_stretches(self.scale, table, place, state.numbered, |from, to, fill| {
                        self.missed(from, to, 0, fill)
                    });
                    for (fill, bits, ticks) in &stretches {
                        if fill.fine > state.fine && state.fine > 0 && self.scale.wishes.steps.is_empty() {
                            continue;
                        }
                        let change = fill.fine > 0 && state.fine > 0 && fill.fine != state.fine;
                        let change = if change { cost::fine_change(table.values[place].bits, false) } else { 0.0 };
                        let cost = state.cost + micro(bits + change);
                        offer(Found { cost, ticks: state.ticks + ticks, at: Some((place, i)), last: *fill });
                    }
                }
            }
            self.moves(place, goal);
        }
        // without any numeral, where none has room
        let open = goal == Goal::Plain && !self.asked.contains(&true) && self.scale.wishes.steps.is_empty();
        let nothing = open.then_some(Found { cost: 0, ticks: 0, at: None, last: Fill::default() });
        let end = if goal == Goal::Plain && table.end_missed { cost::END_NUMERAL } else { 0.0 };
        best.or(nothing).map(|found| self.path(found, micro(end), goal))
    }

    fn path(&self, found: Found, missing: i64, goal: Goal) -> Path {
        let mut steps = Vec::new();
        let mut at = found.at;
        while let Some((place, state)) = at {
            let state = &self.states[place][state];
            steps.push(Step { place, fill: state.fill });
            at = (state.from.0 != START).then(|| (usize::from(state.from.0), usize::from(state.from.1)));
        }
        steps.reverse();
        Path { steps, last: found.last, goal, cost: found.cost + missing }
    }

    /// Drops states that cannot lead to the cheapest scale: whatever follows, the cheapest one does it for the price of every change at most.
    fn prune(&mut self, place: usize) {
        let states = &mut self.states[place];
        let least = states.iter().map(|state| state.cost).min().unwrap_or(0);
        // a change of the fine step is paid at a later numeral perhaps, the roundness of which is bounded by its length
        let margin = micro(cost::fine_change(self.scale.ladder.bits_at_most(), true) + cost::numbered_change(true));
        // kept in place: links point at places of earlier states alone
        states.retain(|state| state.cost <= least + margin);
    }

    fn may_bear_numeral(&self, place: usize, goal: Goal) -> bool {
        let value = &self.table.values[place];
        let is_end = self.table.end_numeral == Some(place) || place + 1 == self.table.values.len();
        let ends = is_end && self.table.end - value.arc < super::table::EXACT;
        if ends { goal == Goal::Numbered } else { value.numeral }
    }

    /// Numerals that may be the farthest.
    fn start(&mut self) {
        let table = self.table;
        if let Some((_, Some(place))) = table.start {
            let state = State { fine: 0, numbered: 0, cost: 0, ticks: 0, fill: Fill::default(), from: (START, 0) };
            self.states[place].push(state);
            return;
        }
        for place in 0..table.values.len() {
            let value = &table.values[place];
            let first = self.scale.wishes.steps.first().is_none_or(|steps| steps.reaches_from(value.count));
            let may = table.start.is_some()
                || value.chain
                || (!self.strict && self.asked[place])
                || table.end_numeral == Some(place)
                || !self.scale.wishes.steps.is_empty();
            if first && may && (value.numeral || table.end_numeral == Some(place)) {
                for (fill, bits, ticks) in ends::first_stretches(self.scale, table, place) {
                    let cost = micro(bits + cost::long_number(value.bits));
                    let state = State { fine: fill.fine, numbered: 0, cost, ticks, fill, from: (START, 0) };
                    self.relax(place, state);
                }
            }
            if self.asked[place] {
                break;
            }
        }
    }

    fn relax(&mut self, place: usize, state: State) {
        let states = &mut self.states[place];
        match states.iter_mut().find(|old| old.fine == state.fine && old.numbered == state.numbered) {
            Some(old) if (state.cost, state.ticks) < (old.cost, old.ticks) => *old = state,
            Some(_) => {}
            None => states.push(state),
        }
    }

    /// Every interval that may follow a numeral.
    fn moves(&mut self, place: usize, goal: Goal) {
        let (scale, table) = (self.scale, self.table);
        let from = table.values[place];
        if let Some(steps) = scale.wishes.steps_from(from.count) {
            let fill = Fill::given(steps);
            let to = match steps.numbered {
                Some(numbered) => table.values.iter().position(|value| value.count == from.count - numbered),
                None => (place + 1..table.values.len()).find(|to| self.asked[*to]),
            };
            if let Some(to) = to {
                self.interval(place, to, fill, goal, true);
            }
            return;
        }
        let reached =
            self.asked[place + 1..].iter().position(|asked| *asked).map_or(usize::MAX, |next| place + 1 + next);
        for grid in &table.grids {
            let Some(at) = grid.place(from.count) else { continue };
            if at == 0 {
                continue;
            }
            let to = usize::from(grid.at[at - 1]);
            if to <= reached {
                self.interval(place, to, Fill::default(), goal, false);
                if scale.ladder.may_be_halved(grid.rung) && scale.wishes.allows_step(grid.rung / 2) {
                    self.interval(place, to, Fill { fine: grid.rung / 2, medium: 0 }, goal, false);
                }
            }
            if !scale.wishes.allows_step(grid.rung) {
                continue;
            }
            for parts in PARTS {
                if parts > at {
                    break;
                }
                let to = usize::from(grid.at[at - parts]);
                if to > reached {
                    break;
                }
                let Some(medium) = medium(scale.ladder, grid.rung, parts, from.count) else { continue };
                self.interval(place, to, Fill { fine: grid.rung, medium }, goal, false);
            }
        }
        for to in place + 1..table.values.len() {
            let value = &table.values[to];
            let either = !self.strict && (self.asked[place] || self.asked[to]);
            if either || (from.chain && value.chain) {
                self.interval(place, to, Fill::default(), goal, false);
            }
            if to >= reached {
                break;
            }
        }
    }

    /// One interval, from every state of its far numeral.
    fn interval(&mut self, place: usize, to: usize, fill: Fill, goal: Goal, given: bool) {
        let (scale, table) = (self.scale, self.table);
        let (from, value) = (table.values[place], table.values[to]);
        if !self.may_bear_numeral(to, goal) && !given {
            return;
        }
        let clear = from.clear_to(&value);
        // labels are squeezed only for a value that is customary or asked for
        let worth = |value: &Value, place: usize| value.custom != Custom::None || (!self.strict && self.asked[place]);
        let ends = goal == Goal::Numbered && table.end_numeral == Some(to);
        let squeezed = worth(&from, place) || worth(&value, to) || ends || given;
        if clear < scale.label_gap * if squeezed { SQUEEZED } else { 1.0 } {
            return;
        }
        let Some((gaps, ticks)) = self.gaps(place, to, fill) else { return };
        let length = value.arc - from.arc;
        let numbered = from.count - value.count;
        let base = gaps
            + cost::numeral_pitch(length, from.width() + value.width(), scale.label_gap, table.pitch)
            + cost::squeezed(clear, scale.label_gap)
            + self.missed(place, to, value.count, fill)
            + cost::long_number(value.bits);
        let halving = fill.fine > 0 && !scale.ladder.is_rung(fill.fine);
        let base = micro(base);
        let odd = !scale.ladder.is_rung(numbered) || from.count % numbered != 0;
        let renumbered = micro(cost::numbered_change(odd));
        let changed = micro(if halving { cost::halving() } else { cost::fine_change(from.bits, false) });
        let grown = if halving { changed } else { micro(cost::fine_change(from.bits, true)) };
        for i in 0..self.states[place].len() {
            let old = self.states[place][i];
            let fine = if fill.fine == 0 { old.fine } else { fill.fine };
            let change = match old.fine {
                0 => 0,
                same if same == fine => 0,
                coarser if coarser > fine => changed,
                _ if table.draws_together || given => grown,
                _ => continue,
            };
            let renumber = if old.numbered == 0 || old.numbered == numbered { 0 } else { renumbered };
            let cost = old.cost + base + change + renumber;
            let state = State { fine, numbered, cost, ticks: old.ticks + ticks, fill, from: (place as u16, i as u16) };
            self.relax(to, state);
        }
    }

    /// What the ticks of an interval cost, and how many they are; `None` where they have no room.
    fn gaps(&self, place: usize, to: usize, fill: Fill) -> Option<(f64, u32)> {
        let (scale, table) = (self.scale, self.table);
        let (from, value) = (table.values[place], table.values[to]);
        if fill.fine == 0 {
            let length = value.arc - from.arc;
            return (length >= scale.tick_gap).then(|| (table.spacing(length, length * length.log2(), &from), 0));
        }
        let parts = ((from.count - value.count) / fill.fine) as usize;
        let grid = table.grids.iter().find(|grid| grid.rung == fill.fine);
        if let Some((grid, at)) = grid.and_then(|grid| Some((grid, grid.place(from.count)?)))
            && at >= parts
        {
            if grid.at[at - parts + 1..at].iter().any(|tick| table.values[usize::from(*tick)].blocked) {
                return None;
            }
            let gaps = grid.gap[at - parts..at].iter().rev();
            return Some((gaps.map(|(h, log)| table.spacing(*h, *log, &from)).sum(), parts as u32 - 1));
        }
        let arcs: Option<Vec<f64>> =
            (0..=parts).map(|k| (scale.arc)(scale.ladder.mm(from.count - k as Count * fill.fine))).collect();
        let arcs = arcs?;
        let blocked = |at: &f64| scale.obstacles.iter().any(|other| (other.arc - at).abs() < scale.tick_gap);
        if arcs[1..parts].iter().any(blocked) {
            return None;
        }
        let mut sum = 0.0;
        for pair in arcs.windows(2) {
            let h = pair[1] - pair[0];
            if h < scale.tick_gap {
                return None;
            }
            sum += table.spacing(h, h * h.log2(), &from);
        }
        Some((sum, parts as u32 - 1))
    }

    /// Values between two places that are missed; `near` is the near numeral, zero where the ring ends without one.
    fn missed(&self, place: usize, to: usize, near: Count, fill: Fill) -> f64 {
        let table = self.table;
        let from = table.values[place].count;
        let inside = usize::from(self.missed_from[place + 1])..usize::from(self.missed_from[to]);
        table.missed[inside]
            .iter()
            .map(|x| {
                let value = &table.values[usize::from(*x)];
                cost::missed(value, counted(from, near, value.count, fill))
            })
            .sum()
    }
}

/// Ticks to count to a value from the nearest longer mark; `None` where it has no tick. `near` is zero at the open end.
pub(super) fn counted(from: Count, near: Count, value: Count, fill: Fill) -> Option<usize> {
    let Fill { fine, medium } = fill;
    if fine == 0 || (from - value) % fine != 0 {
        return None;
    }
    let far = |step: Count| (from - value) / step;
    let close = |step: Count| if near == 0 { Count::MAX } else { (value - near) / step };
    let n = if medium == 0 {
        far(fine).min(close(fine))
    } else if (from - value) % medium == 0 {
        far(medium).min(close(medium))
    } else {
        let past = (from - value) % medium / fine;
        past.min(medium / fine - past)
    };
    Some(n as usize)
}

/// The step of the medium ticks; zero for none, `None` where so many parts need one and have none.
pub(super) fn medium(ladder: &super::Ladder, fine: Count, parts: usize, from: Count) -> Option<Count> {
    if !matches!(parts, 4 | 6 | 8 | 10) {
        return Some(0);
    }
    let length = parts as Count * fine;
    let fits =
        |m: &Count| *m <= 5 * fine && *m > fine && *m < length && m % fine == 0 && from % m == 0 && length % m == 0;
    let medium = ladder.rungs.iter().copied().rev().find(fits);
    medium.or((parts <= SEEN).then_some(0))
}

/// Clear distance for labels beside infinity.
pub(super) fn beside_infinity(table: &Table, value: &Value) -> f64 {
    value.arc - value.before - table.infinity.map_or(0.0, |(_, after)| after)
}

/// Why there is no scale at all.
pub(super) fn no_room(scale: &Graduation) -> WishFault {
    WishFault::StepsTooTight { first: scale.wishes.steps.first().copied() }
}
