//! The marks of an iris band: every full stop numbered where that can be done at all, fractions where they can be told.
//!
//! Where full stops draw together the labels' gap shrinks first, then the numerals of the whole band; fractions go stop by
//! stop, and toward where stops draw together there are only ever fewer. Two ticks between full stops are thirds, a
//! single one is the half. That full stops are numbered first is common practice, no source.

use super::graduation::TickClass;
use super::{Band, BandUnit, Grounds, LeftOut, Mark, MarkValue, Sides, Spacing};
use crate::optics::IrisLaw;
use crate::units::{Angle, Division, Length, Stop, TStop};

/// Everything an iris band is chosen from.
pub struct IrisScale<'a> {
    /// From f-number to ring angle.
    pub law: &'a IrisLaw,
    /// The widest stop, an f-number.
    pub widest: Stop,
    /// The last stop that is marked, an f-number.
    pub smallest: Stop,
    /// Full, half or third stops.
    pub division: Division,
    /// Transmittance where T-stops are marked; 1 where the readings are T-stops already.
    pub transmittance: Option<f64>,
    /// Gaps and scale of the strip.
    pub spacing: Spacing,
    /// Height of the style's numerals.
    pub numeral_height: Length,
    /// How far numerals may shrink so that full stops keep theirs.
    pub smallest_numeral: Length,
    /// How far a label reaches from its tick at the style's height.
    pub sides: &'a dyn Fn(&str) -> Sides,
}

/// The least clear distance of labels, in numeral heights: nearer, two numbers are read as one.
const LEAST_GAP: f64 = 0.55;
/// Numerals shrink in steps of the caliper's vernier, mm.
const SHRINKS_BY: f64 = 0.05;
/// Nearer than this to an end of the scale, in stops, a stop of the series only blurs the end's mark, and is its name.
const SAME: f64 = 1.0 / 12.0;
/// A full stop so near the widest one, in stops, may go without its numeral.
const BESIDE_WIDEST: f64 = 0.5;

/// A full stop or an end of the scale.
struct Post {
    stop: Stop,
    arc: f64,
    label: String,
    /// How far the label reaches at the style's height.
    sides: Sides,
    /// Whether it should have a numeral.
    wanted: bool,
}

/// How a stop is divided, by the number of its ticks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Fractions {
    None,
    Half,
    Thirds,
}

impl Fractions {
    /// From tick to tick in sixths of a stop; the whole stop for none.
    fn sixths(self) -> i32 {
        match self {
            Fractions::None => 6,
            Fractions::Half => 3,
            Fractions::Thirds => 2,
        }
    }

    /// The finest of a division, and what may stand in for it.
    fn of(division: Division) -> &'static [Fractions] {
        match division {
            Division::Full => &[Fractions::None],
            Division::Half => &[Fractions::Half, Fractions::None],
            Division::Third => &[Fractions::Thirds, Fractions::Half, Fractions::None],
        }
    }
}

impl IrisScale<'_> {
    /// Chooses the marks.
    pub fn band(&self) -> Band {
        let unit = if self.transmittance.is_some() { BandUnit::T } else { BandUnit::F };
        let posts = self.posts(unit);
        let (height, numbered) = self.numerals(&posts);
        let mut marks: Vec<Mark> = Vec::new();
        let fractions = self.fractions(&posts);
        for (i, post) in posts.iter().enumerate() {
            let closed = i > 0 && i + 1 == posts.len() && !is_full(post.stop);
            let class = match numbered.contains(&i) {
                true => TickClass::Numbered,
                // where the ring stops
                false if closed => TickClass::Numbered,
                false => TickClass::Medium,
            };
            let label = if numbered.contains(&i) { post.label.clone() } else { String::new() };
            marks.extend(self.mark(post.stop, label, class));
            let inner = fractions.get(i).into_iter().flatten();
            marks.extend(inner.filter_map(|stop| self.mark(*stop, String::new(), TickClass::Fine)));
        }
        let left_out = self.left_out(unit, &posts, &numbered, height);
        let shrunk = height < self.numeral_height.to_mm() - 1e-9;
        let grounds = Grounds { numeral_height: shrunk.then(|| Length::mm(height)), ..Grounds::default() };
        Band { unit, marks, left_out, grounds }
    }

    /// The ends and every full stop between them, from the widest.
    fn posts(&self, unit: BandUnit) -> Vec<Post> {
        let scaled = |stop: Stop| match self.transmittance {
            Some(tau) if tau < 1.0 => Stop::exact(TStop::of(stop, tau).number()),
            _ => stop,
        };
        let (widest, smallest) = (scaled(self.widest), scaled(self.smallest));
        let named = |stop: Stop| if unit == BandUnit::T { t_label(stop) } else { stop.label() };
        let (from, to) = (widest.in_stops(), smallest.in_stops());
        // what the user wrote is numbered; what follows from it by the light lost is an end of the ring
        let own = unit == BandUnit::F || smallest.sixths().is_some() || (to - to.round()).abs() <= SAME;
        let first = (widest, named(widest), true);
        let full = (from.floor() as i32..=to.ceil() as i32).map(|stops| Stop::from_sixths(6 * stops));
        let full = full.filter(|stop| stop.in_stops() > from + SAME && stop.in_stops() < to - SAME);
        let closed = (to > from).then(|| (smallest, named(smallest), own));
        let places = [first].into_iter().chain(full.map(|stop| (stop, stop.label(), true))).chain(closed);
        let posts = places.filter_map(|(stop, label, wanted)| {
            let sides = (self.sides)(&label);
            Some(Post { stop, arc: self.arc(stop)?, label, sides, wanted })
        });
        let mut posts: Vec<Post> = posts.collect();
        // an end mark nearer than ticks may stand is left out: the numeral's tick stands for it
        if let [.., last, end] = &posts[..]
            && !end.wanted
            && end.arc - last.arc < self.spacing.smallest_gap.to_mm()
        {
            posts.pop();
        }
        posts
    }

    /// The numerals' height, mm, and the places of the numbered posts.
    fn numerals(&self, posts: &[Post]) -> (f64, Vec<usize>) {
        let full = self.numeral_height.to_mm();
        let least = self.smallest_numeral.to_mm().min(full);
        let squeezed = |height: f64| (LEAST_GAP * height).min(self.spacing.label_gap.to_mm());
        let clear = |i: usize, j: usize, height: f64| {
            posts[j].arc - posts[i].arc - (posts[i].sides.after + posts[j].sides.before) * height / full
        };
        let mut wanted: Vec<usize> = (0..posts.len()).filter(|i| posts[*i].wanted).collect();
        // the full stop beside the widest gives way to it where they touch however small they are
        if let [first, second, ..] = wanted[..]
            && second + 1 < posts.len()
            && posts[second].stop.in_stops() - posts[first].stop.in_stops() < BESIDE_WIDEST
            && clear(first, second, least) < squeezed(least)
        {
            wanted.remove(1);
        }
        let fits = |height: f64, gap: f64| wanted.windows(2).all(|pair| clear(pair[0], pair[1], height) >= gap);
        if fits(full, self.spacing.label_gap.to_mm()) {
            return (full, wanted);
        }
        let heights = || {
            let steps = ((full - least) / SHRINKS_BY + 1e-9).floor() as i32;
            (0..=steps).map(move |step| full - SHRINKS_BY * f64::from(step)).chain([least])
        };
        if let Some(height) = heights().find(|height| fits(*height, squeezed(*height))) {
            return (height, wanted);
        }
        // the most numerals, from the widest on, that pass over `run` posts at most in one place
        let most = |height: f64, run: usize| -> Vec<usize> {
            let mut best: Vec<Option<(usize, usize)>> = vec![None; wanted.len()];
            if let Some(first) = best.first_mut() {
                *first = Some((1, 0));
            }
            for j in 1..wanted.len() {
                for i in j.saturating_sub(run + 1)..j {
                    let reached = best[i].filter(|_| clear(wanted[i], wanted[j], height) >= squeezed(height));
                    if let Some((many, _)) = reached
                        && best[j].is_none_or(|(most, _)| many + 1 > most)
                    {
                        best[j] = Some((many + 1, i));
                    }
                }
            }
            let ends = (0..wanted.len()).filter(|j| best[*j].is_some() && wanted.len() - 1 - j <= run);
            let Some(mut at) = ends.max_by_key(|j| (best[*j].map(|(many, _)| many), *j)) else { return Vec::new() };
            let mut chain = vec![wanted[at]];
            while let Some((many, before)) = best[at]
                && many > 1
            {
                chain.push(wanted[before]);
                at = before;
            }
            chain.reverse();
            chain
        };
        let count = most(least, posts.len()).len();
        let height = heights().find(|height| most(*height, posts.len()).len() == count).unwrap_or(least);
        let even = (0..=posts.len()).map(|run| most(height, run)).find(|chain| chain.len() == count);
        (height, even.unwrap_or_default())
    }

    /// Stops with a tick between each post and the next.
    fn fractions(&self, posts: &[Post]) -> Vec<Vec<Stop>> {
        let gap = self.spacing.smallest_gap.to_mm();
        let inner = |i: usize, kind: Fractions| -> Vec<Stop> {
            let (from, to) = (posts[i].stop.in_stops(), posts[i + 1].stop.in_stops());
            let step = kind.sixths();
            let first = (from * 6.0 / f64::from(step)).floor() as i32;
            let stops = (first..).map(|k| Stop::from_sixths(k * step)).take_while(|stop| stop.in_stops() < to - SAME);
            stops.filter(|stop| stop.in_stops() > from + SAME && !is_full(*stop)).collect()
        };
        let spaced = |i: usize, stops: &[Stop]| {
            let mut arcs = vec![posts[i].arc];
            arcs.extend(stops.iter().filter_map(|stop| self.arc(*stop)));
            arcs.push(posts[i + 1].arc);
            arcs.windows(2).all(|pair| pair[1] - pair[0] >= gap)
        };
        let whole = |i: usize| (posts[i + 1].stop.in_stops() - posts[i].stop.in_stops() - 1.0).abs() < 1e-6;
        let stretches = posts.len().saturating_sub(1);
        let kinds = Fractions::of(self.division);
        let finest =
            |i: usize| kinds.iter().copied().find(|kind| spaced(i, &inner(i, *kind))).unwrap_or(Fractions::None);
        let mut kind: Vec<Option<Fractions>> = (0..stretches).map(|i| whole(i).then(|| finest(i))).collect();
        let long = |i: usize| posts[i + 1].arc - posts[i].arc;
        let wholes: Vec<usize> = (0..stretches).filter(|i| whole(*i)).collect();
        let toward_closed = wholes.first().zip(wholes.last()).is_none_or(|(first, last)| long(*last) <= long(*first));
        let order: Vec<usize> = if toward_closed { wholes.clone() } else { wholes.iter().rev().copied().collect() };
        let mut least = Fractions::Thirds;
        for i in order {
            least = least.min(kind[i].unwrap_or(least));
            kind[i] = Some(least);
        }
        // a piece of a stop is divided as the whole one beside it, with as many ticks as have room
        let beside = |i: usize| wholes.iter().min_by_key(|other| other.abs_diff(i)).and_then(|other| kind[*other]);
        (0..stretches)
            .map(|i| match kind[i] {
                Some(kind) => inner(i, kind),
                None => {
                    let stops = inner(i, beside(i).unwrap_or(kinds[0]));
                    let mut kept: Vec<(Stop, f64)> = Vec::new();
                    // from the full stop's side: the other one is the end that cuts the stop off
                    let outward: Vec<Stop> = if i == 0 { stops.into_iter().rev().collect() } else { stops };
                    for stop in outward {
                        let Some(arc) = self.arc(stop) else { continue };
                        let others = kept.iter().map(|(_, arc)| *arc).chain([posts[i].arc, posts[i + 1].arc]);
                        if others.into_iter().all(|other| (other - arc).abs() >= gap) {
                            kept.push((stop, arc));
                        }
                    }
                    kept.sort_by(|a, b| a.1.total_cmp(&b.1));
                    kept.into_iter().map(|(stop, _)| stop).collect()
                }
            })
            .collect()
    }

    fn left_out(&self, unit: BandUnit, posts: &[Post], numbered: &[usize], height: f64) -> Vec<LeftOut> {
        let scale = height / self.numeral_height.to_mm();
        let missing = (0..posts.len()).filter(|i| posts[*i].wanted && !numbered.contains(i));
        let told = missing.map(|i| {
            let clear = |j: &&usize| {
                let (open, closed) = (&posts[i.min(**j)], &posts[i.max(**j)]);
                closed.arc - open.arc - (open.sides.after + closed.sides.before) * scale
            };
            let nearest = numbered.iter().min_by(|a, b| clear(a).total_cmp(&clear(b)));
            let touching = nearest.filter(|j| clear(j) < LEAST_GAP * height);
            LeftOut { label: posts[i].label.clone(), unit, touches: touching.map(|j| posts[*j].label.clone()) }
        });
        told.collect()
    }

    fn angle(&self, stop: Stop) -> Option<Angle> {
        self.law.angle(match self.transmittance {
            Some(tau) if tau < 1.0 => TStop::new(stop).to_stop(tau),
            _ => stop,
        })
    }

    fn arc(&self, stop: Stop) -> Option<f64> {
        let open = self.law.angle(self.widest)?;
        Some((self.angle(stop)?.to_deg() - open.to_deg()) * self.spacing.mm_per_degree)
    }

    fn mark(&self, stop: Stop, label: String, tick: TickClass) -> Option<Mark> {
        Some(Mark {
            value: MarkValue::Stop(stop.number()),
            label,
            tick,
            angle: self.angle(stop)?,
            arc: Length::try_mm(self.arc(stop)?)?,
            numeral_shift: Length::ZERO,
            short: false,
            hyperfocal: None,
        })
    }
}

fn is_full(stop: Stop) -> bool {
    stop.sixths().is_some_and(|s| s % 6 == 0)
}

/// The name of a T-stop that lies where it lies: of the series where that is within a twelfth of a stop, else two digits.
fn t_label(stop: Stop) -> String {
    if stop.sixths().is_some() {
        return stop.label();
    }
    let sixths = (stop.in_stops() * 6.0).round() as i32;
    let near = [0, -1, 1, -2, 2].map(|aside| Stop::from_sixths(sixths + aside));
    // full stops first, then thirds and halves
    let grade = |near: &Stop| near.sixths().map_or(3, |s| if s % 6 == 0 { 0 } else { 1 });
    let away = |near: &Stop| (near.in_stops() - stop.in_stops()).abs();
    let in_series = |near: &&Stop| near.sixths().is_some_and(|s| s % 2 == 0 || s % 3 == 0);
    let named = near.iter().filter(in_series).filter(|near| away(near) <= SAME);
    let named = named.min_by(|a, b| grade(a).cmp(&grade(b)).then(away(a).total_cmp(&away(b))));
    named.map_or_else(
        || {
            let scale = if stop.number() < 10.0 { 10.0 } else { 1.0 };
            let text = format!("{:.1}", (stop.number() * scale).round() / scale);
            text.strip_suffix(".0").unwrap_or(&text).to_string()
        },
        |near| near.label(),
    )
}

#[cfg(test)]
mod tests;
