//! The search against every scale there is, on small instances: cost and rules written out a second time, in floats, from
//! the definitions alone.

use proptest::prelude::*;

use super::sample::{Gaps, Lens, USUAL};
use super::*;
use crate::scale::ladder::Custom;

/// One numeral after another, from far to close, each with the step of the ticks before it (zero for none).
#[derive(Clone)]
struct Built {
    last: Count,
    fine: Count,
    numbered: Count,
    bits: f64,
}

struct Every {
    lens: Lens,
    ladder: &'static Ladder,
    gaps: Gaps,
    own: bool,
    best: f64,
    tried: usize,
}

impl Every {
    fn arc(&self, value: Count) -> f64 {
        self.lens.arc(self.ladder.mm(value)).unwrap()
    }

    fn end(&self) -> f64 {
        self.lens.arc(self.lens.closest).unwrap()
    }

    fn width(&self, value: Count) -> f64 {
        self.gaps.character * self.ladder.label(value, Figures::default()).chars().count() as f64
    }

    fn pitch(&self) -> f64 {
        self.width(self.ladder.usual) + 3.0 * self.gaps.label
    }

    fn spacing(&self, h: f64, far: Count) -> f64 {
        let aim = (5.0 * self.lens.half_depth(self.ladder.mm(far))).clamp(1.4, 2.2);
        let off = (h / aim).log2();
        h / self.pitch() * off.abs() * if off < 0.0 { 1.5 } else { 1.0 } + 6.0 * (h - 3.0).max(0.0) / self.pitch()
    }

    fn numerals(&self, l: f64, widths: f64) -> f64 {
        l / self.pitch() * (l / (0.5 * widths + 3.0 * self.gaps.label)).log2().abs()
    }

    fn squeezed(&self, clear: f64) -> f64 {
        let gap = self.gaps.label;
        if clear >= gap { 0.0 } else { 1.0 + 5.0 * (gap - clear) / (0.3 * gap) }
    }

    fn customary(&self, value: Count) -> f64 {
        match self.ladder.custom(value) {
            Custom::None => 0.0,
            Custom::Second => 6.0,
            Custom::First => 12.0,
        }
    }

    /// The value at the ring's end, where a numeral may tell it.
    fn told_end(&self) -> Option<Count> {
        let value = (self.lens.closest / self.ladder.count_mm).round() as Count;
        (value % self.ladder.numbered == 0 && (self.arc(value) - self.end()).abs() <= 0.03).then_some(value)
    }

    /// Whether its numeral is missed where there is none.
    fn worth(&self) -> bool {
        self.told_end().is_some_and(|end| self.own || self.ladder.demand(end) >= 1.0 / 24.0)
    }

    fn lowest(&self) -> Count {
        self.told_end().unwrap_or((self.lens.closest / self.ladder.count_mm + 1e-9).floor() as Count + 1)
    }

    /// Values that may bear a numeral, as the definition has them.
    fn values(&self) -> Vec<Count> {
        let mut values: Vec<Count> = Vec::new();
        for rung in self.ladder.rungs {
            let mut value = (self.lowest() + rung - 1) / rung * rung;
            while self.ladder.mm(value) < 2000.0 * self.lens.focal {
                values.push(value);
                if self.arc(value) - self.arc(value + rung) < self.gaps.tick {
                    break;
                }
                value += rung;
            }
        }
        let inside = |value: &Count| *value >= self.lowest() && self.ladder.mm(*value) < 2000.0 * self.lens.focal;
        values.extend(self.ladder.lone().filter(inside));
        values.sort_by(|a, b| b.cmp(a));
        values.dedup();
        values
    }

    /// What is missed between two values, of which `ticks` have ticks and those in `medium` longer ones.
    fn missed(&self, values: &[Count], far: Count, near: Count, fine: Count, medium: Count) -> f64 {
        let inside = values.iter().filter(|value| **value < far && **value > near);
        let longer = |at: Count| medium > 0 && at % medium == 0;
        inside
            .map(|value| {
                let demand = self.ladder.demand(*value);
                let count = if fine > 0 && (far - value) % fine == 0 {
                    let step = if longer(*value) { medium } else { fine };
                    let stops =
                        |at: Count| at >= far || (near > 0 && at <= near) || (step == fine && longer(at)) || at < 0;
                    let up = (1..).find(|k| stops(value + k * step)).unwrap();
                    let down = (1..200).find(|k| stops(value - k * step)).unwrap_or(200);
                    2.0 + f64::from(up.min(down))
                } else {
                    6.0
                };
                self.customary(*value) + if demand >= 0.1 { 2.0 * demand * count } else { 0.0 }
            })
            .sum()
    }

    fn medium(&self, fine: Count, parts: Count, far: Count) -> Option<Count> {
        if ![4, 6, 8, 10].contains(&parts) {
            return Some(0);
        }
        let near = far - parts * fine;
        let good = |m: &&Count| {
            **m > fine && **m <= 5 * fine && **m < far - near && *m % fine == 0 && far % *m == 0 && near % *m == 0
        };
        self.ladder.rungs.iter().rev().find(good).copied().or((parts == 4).then_some(0))
    }

    fn run(&mut self, numbered_end: bool) {
        let values = self.values();
        let half = (1.0 - self.gaps.lean) * self.gaps.character;
        let ends_at = values.last().copied().filter(|value| (self.arc(*value) - self.end()).abs() <= 0.03);
        if numbered_end && !self.worth() {
            return;
        }
        for first in &values {
            let at_end = ends_at == Some(*first);
            if at_end != numbered_end && at_end {
                continue;
            }
            if !(self.ladder.lone().any(|lone| lone == *first) || at_end) || first % self.ladder.numbered != 0 {
                continue;
            }
            let clear = self.arc(*first) - self.gaps.lean * self.width(*first) - half;
            if clear < 0.7 * self.gaps.label {
                continue;
            }
            let mut near = self.arc(*first);
            let mut bits = self.squeezed(clear) + self.numerals(near, self.width(*first) + self.gaps.character);
            let mut alone = Vec::new();
            for rung in self.ladder.rungs.iter().filter(|rung| **rung >= self.ladder.whole && **rung > *first) {
                let at = self.arc(*rung);
                if near - at >= 1.25 * self.gaps.tick && at >= 1.25 * self.gaps.tick {
                    bits += self.spacing(near - at, *first);
                    alone.push(*rung);
                    near = at;
                }
            }
            bits += self.spacing(near, *first);
            for value in values.iter().filter(|value| **value > *first) {
                if self.arc(*value) - self.gaps.lean * self.width(*value) - half >= self.gaps.label {
                    let demand = self.ladder.demand(*value);
                    bits += self.customary(*value);
                    bits +=
                        if demand >= 0.1 { 2.0 * demand * if alone.contains(value) { 3.0 } else { 6.0 } } else { 0.0 };
                }
            }
            bits += (self.ladder.bits(*first) - 4.6).max(0.0);
            self.follow(&values, &Built { last: *first, fine: 0, numbered: 0, bits }, ends_at, numbered_end);
        }
    }

    fn follow(&mut self, values: &[Count], built: &Built, ends_at: Option<Count>, numbered_end: bool) {
        let from = built.last;
        if numbered_end && ends_at == Some(from) {
            self.tried += 1;
            self.best = self.best.min(built.bits);
            return;
        }
        if !numbered_end {
            self.finish(values, built, ends_at);
        }
        for to in values.iter().copied().filter(|value| *value < from && value % self.ladder.numbered == 0) {
            let is_end = ends_at == Some(to);
            if is_end && !numbered_end {
                continue;
            }
            let (after, before) = ((1.0 - self.gaps.lean) * self.width(from), self.gaps.lean * self.width(to));
            let clear = self.arc(to) - self.arc(from) - after - before;
            let squeezes = is_end || self.customary(to) > 0.0 || self.customary(from) > 0.0;
            if clear < self.gaps.label * if squeezes { 0.7 } else { 1.0 } {
                continue;
            }
            let numbered = from - to;
            let mut fills: Vec<(Count, Count)> = Vec::new();
            let lone = |value: Count| self.ladder.lone().any(|lone| lone == value);
            if (lone(from) && lone(to)) || (self.ladder.is_rung(numbered) && from % numbered == 0) {
                fills.push((0, 0));
            }
            if self.ladder.may_be_halved(numbered) && from % numbered == 0 {
                fills.push((numbered / 2, 0));
            }
            for rung in self.ladder.rungs {
                let parts = numbered / rung;
                if from % rung == 0
                    && to % rung == 0
                    && [2, 3, 4, 5, 6, 8, 10].contains(&parts)
                    && let Some(medium) = self.medium(*rung, parts, from)
                {
                    fills.push((*rung, medium));
                }
            }
            for (fine, medium) in fills {
                let parts = if fine > 0 { numbered / fine } else { 1 };
                let step = numbered / parts;
                let arcs: Vec<f64> = (0..=parts).map(|k| self.arc(from - k * step)).collect();
                if arcs.windows(2).any(|pair| pair[1] - pair[0] < self.gaps.tick) {
                    continue;
                }
                let mut bits =
                    built.bits + arcs.windows(2).map(|pair| self.spacing(pair[1] - pair[0], from)).sum::<f64>();
                bits += self.numerals(arcs[parts as usize] - arcs[0], self.width(from) + self.width(to));
                bits += self.squeezed(clear)
                    + self.missed(values, from, to, fine, medium)
                    + (self.ladder.bits(to) - 4.6).max(0.0);
                let next = if fine > 0 { fine } else { built.fine };
                if built.fine > 0 && next != built.fine {
                    let halving = !self.ladder.is_rung(fine);
                    bits += if halving {
                        1.0
                    } else {
                        1.0 + 0.3 * self.ladder.bits(from) + if next > built.fine { 2.0 } else { 0.0 }
                    };
                }
                if built.numbered > 0 && built.numbered != numbered {
                    bits += 1.0 + if self.ladder.is_rung(numbered) && from % numbered == 0 { 0.0 } else { 2.0 };
                }
                self.follow(values, &Built { last: to, fine: next, numbered, bits }, ends_at, numbered_end);
            }
        }
    }

    /// The ring ends without a numeral.
    fn finish(&mut self, values: &[Count], built: &Built, ends_at: Option<Count>) {
        let from = built.last;
        let (at, end) = (self.arc(from), self.end());
        let length = end - at;
        self.tried += 1;
        if length < self.gaps.tick {
            self.best = self.best.min(built.bits + 2.0);
            return;
        }
        let air = self.pitch() + self.width(from);
        let base = built.bits + if length > air { self.numerals(length, 2.0 * self.width(from)) } else { 0.0 };
        let inside: Vec<Count> = values.iter().copied().filter(|value| Some(*value) != ends_at).collect();
        let bare = base + self.spacing(length, from) + self.missed(&inside, from, 0, 0, 0);
        self.best = self.best.min(bare);
        for rung in self
            .ladder
            .rungs
            .iter()
            .copied()
            .filter(|rung| from % rung == 0 && (built.fine == 0 || *rung <= built.fine))
        {
            let ticks: Vec<f64> = (1..)
                .map(|k| from - k * rung)
                .take_while(|value| {
                    *value > 0 && self.lens.arc(self.ladder.mm(*value)).is_some_and(|arc| end - arc >= self.gaps.tick)
                })
                .map(|value| self.arc(value))
                .collect();
            let arcs: Vec<f64> = [at].into_iter().chain(ticks.iter().copied()).chain([end]).collect();
            if ticks.is_empty() || ticks.len() > 9 || arcs.windows(2).any(|pair| pair[1] - pair[0] < self.gaps.tick) {
                continue;
            }
            let parts = if built.numbered % rung == 0 && [6, 8, 10].contains(&(built.numbered / rung)) {
                built.numbered / rung
            } else {
                10
            };
            let medium = self.medium(rung, parts, from);
            if medium.is_none() && ticks.len() > 4 {
                continue;
            }
            let mut bits = base + arcs.windows(2).map(|pair| self.spacing(pair[1] - pair[0], from)).sum::<f64>();
            bits += self.missed(&inside, from, 0, rung, medium.unwrap_or(0));
            if built.fine > 0 && rung != built.fine {
                bits += 1.0 + 0.3 * self.ladder.bits(from);
            }
            self.best = self.best.min(bits);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn no_other_scale_is_cheaper(ring in 20.0..45.0f64, throw in 30.0..75.0f64, cm in 50..250i32, feet: bool, own: bool, lean in 0.3..0.7f64) {
        let lens = Lens::with_throw(ring, throw, 10.0 * f64::from(cm));
        let ladder = lens.ladder(feet);
        let gaps = Gaps { lean, ..USUAL };
        let mut every = Every { lens, ladder, gaps, own, best: f64::INFINITY, tried: 0 };
        prop_assume!(every.values().iter().filter(|value| every.arc(**value) > 2.0).count() <= 22);
        every.run(true);
        let with = every.best;
        every.best = f64::INFINITY;
        every.run(false);
        let without = every.best;
        prop_assume!(with.is_finite() || without.is_finite());
        let worth = every.worth();
        let best = with.min(without + if worth { 9.0 } else { 0.0 });
        let found = lens.scale(feet, own, &Wishes::default(), gaps, |scale| scale.choose()).unwrap().bits;
        prop_assert!((found - best).abs() < 1e-3, "found {found}, of {} the best {best}", every.tried);
    }
}
