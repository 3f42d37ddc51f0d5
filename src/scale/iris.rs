//! The marks of an iris band: every full stop numbered where that can be done at all, fractions where they can be told.
//!
//! Where full stops draw together the labels' gap shrinks first, then the numerals of the whole band; fractions go stop by
//! stop, and toward where stops draw together there are only ever fewer. Two ticks between full stops are thirds, a
//! single one is the half. That full stops are numbered first is common practice, no source.

use super::graduation::{EndMark, TickClass, too_near};
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
    /// What the user fixes.
    pub wishes: &'a IrisWishes,
    /// How far a label reaches from its tick at the style's height.
    pub sides: &'a dyn Fn(&str) -> Sides,
}

/// What the user fixes of an iris band, in the stops that it shows; the default leaves everything open.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct IrisWishes {
    /// Numerals: exactly these.
    pub only: Option<Vec<Stop>>,
    /// Numerals: these in any case.
    pub also: Vec<Stop>,
    /// Stops that bear a tick at most.
    pub never: Vec<Stop>,
    /// Texts instead of numbers; an empty one takes the number away and leaves its tick.
    pub text: Vec<(Stop, String)>,
    /// What stands at the closed end.
    pub end_mark: EndMark,
    /// What is written there instead of a number.
    pub end_text: Option<String>,
}

/// Why wishes for an iris cannot be met.
#[derive(Clone, Debug, PartialEq)]
pub enum IrisWishFault {
    /// The ring does not reach the stop.
    OffScale(Stop),
    /// A stop is asked for and forbidden.
    AlsoAndNever(Stop),
    /// Two labels that were asked for stand too near.
    TooNear {
        /// The wider one.
        one: Stop,
        /// The other.
        other: Stop,
        /// Their clear distance with the smallest numerals, mm; negative where they overlap.
        clear: f64,
        /// What it should be at least, mm.
        least: f64,
    },
}

impl std::fmt::Display for IrisWishFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            IrisWishFault::OffScale(stop) => write!(f, "{} lies off this scale", stop.label()),
            IrisWishFault::AlsoAndNever(stop) => write!(f, "{} is asked for and forbidden at once", stop.label()),
            IrisWishFault::TooNear { one, other, clear, least } => {
                let (one, other) = (one.label(), other.label());
                write!(f, "{one} and {other} would {}", too_near(*clear, *least))
            }
        }
    }
}

impl IrisWishes {
    /// Every stop that is asked for by name.
    pub fn asked(&self) -> impl Iterator<Item = Stop> + '_ {
        self.only.as_ref().unwrap_or(&self.also).iter().copied()
    }

    fn asks_for(&self, stop: Stop) -> bool {
        self.asked().any(|asked| same(asked, stop))
    }

    /// Whether a stop should have a numeral that would have one by itself or not.
    fn wants(&self, stop: Stop, by_itself: bool) -> bool {
        let never = self.never.iter().any(|never| same(*never, stop));
        !never && (self.asks_for(stop) || by_itself && self.only.is_none())
    }

    fn text_at(&self, stop: Stop) -> Option<&String> {
        self.text.iter().find(|(at, _)| same(*at, stop)).map(|(_, text)| text)
    }
}

/// Whether two numbers name the same stop on a scale.
fn same(one: Stop, other: Stop) -> bool {
    (one.in_stops() - other.in_stops()).abs() <= SAME
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
    /// Whether the user asked for it.
    asked: bool,
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
    ///
    /// # Errors
    /// When wishes contradict each other or the ring; never without wishes.
    pub fn band(&self) -> Result<Band, IrisWishFault> {
        let unit = if self.transmittance.is_some() { BandUnit::T } else { BandUnit::F };
        let posts = self.posts(unit)?;
        let (height, numbered) = self.numerals(&posts);
        let mut marks: Vec<Mark> = Vec::new();
        let fractions = self.fractions(&posts);
        for (i, post) in posts.iter().enumerate() {
            // where the ring stops between two stops, too: a long tick without a text looks like a numeral that was forgotten
            let class = if numbered.contains(&i) { TickClass::Numbered } else { TickClass::Medium };
            let label = if numbered.contains(&i) { post.label.clone() } else { String::new() };
            marks.extend(self.mark(post.stop, label, class));
            let inner = fractions.get(i).into_iter().flatten();
            marks.extend(inner.filter_map(|stop| self.mark(*stop, String::new(), TickClass::Fine)));
        }
        let left_out = self.left_out(unit, &posts, &numbered, height);
        let shrunk = height < self.numeral_height.to_mm() - 1e-9;
        let grounds = Grounds { numeral_height: shrunk.then(|| Length::mm(height)), ..Grounds::default() };
        Ok(Band { unit, marks, left_out, grounds })
    }

    /// The ends, every full stop between them and what was asked for, from the widest.
    fn posts(&self, unit: BandUnit) -> Result<Vec<Post>, IrisWishFault> {
        let wishes = self.wishes;
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
        let mut places: Vec<(Stop, String, bool)> = places.collect();
        for stop in wishes.asked() {
            if wishes.never.iter().any(|never| same(*never, stop)) {
                return Err(IrisWishFault::AlsoAndNever(stop));
            }
            if stop.in_stops() < from - SAME || stop.in_stops() > to.max(from) + SAME {
                return Err(IrisWishFault::OffScale(stop));
            }
            if !places.iter().any(|(other, ..)| same(*other, stop)) {
                let at = places.partition_point(|(other, ..)| other.in_stops() < stop.in_stops());
                places.insert(at, (stop, stop.label(), true));
            }
        }
        let last = places.len() - 1;
        let posts = places.into_iter().enumerate().filter_map(|(i, (stop, label, by_itself))| {
            let end_text = wishes.end_text.as_ref().filter(|_| i == last && i > 0);
            let label = end_text.or(wishes.text_at(stop)).cloned().unwrap_or(label);
            let sides = (self.sides)(&label);
            let wanted = match wishes.end_mark {
                _ if i < last || i == 0 => wishes.wants(stop, by_itself),
                EndMark::Numeral => true,
                EndMark::Auto => end_text.is_some() || wishes.wants(stop, by_itself),
                EndMark::Tick | EndMark::Nothing => false,
            };
            let (wanted, asked) = (wanted && !label.is_empty(), wishes.asks_for(stop));
            Some(Post { stop, arc: self.arc(stop)?, label, sides, wanted, asked })
        });
        let mut posts: Vec<Post> = posts.collect();
        if let [_, .., end] = &posts[..]
            && wishes.end_mark == EndMark::Nothing
            && !is_full(end.stop)
        {
            posts.pop();
        }
        // an end mark nearer than ticks may stand is left out: the numeral's tick stands for it
        if let [.., last, end] = &posts[..]
            && !end.wanted
            && end.arc - last.arc < self.spacing.smallest_gap.to_mm()
        {
            posts.pop();
        }
        let least = self.least_height();
        for pair in posts.iter().filter(|post| post.asked && post.wanted).collect::<Vec<_>>().windows(2) {
            let clear = self.clear(pair[0], pair[1], least);
            if clear < self.squeezed(least) - 1e-9 {
                let (one, other) = (pair[0].stop, pair[1].stop);
                return Err(IrisWishFault::TooNear { one, other, clear, least: self.squeezed(least) });
            }
        }
        Ok(posts)
    }

    /// How low the numerals may become, mm.
    fn least_height(&self) -> f64 {
        self.smallest_numeral.to_mm().min(self.numeral_height.to_mm())
    }

    /// The clear distance that labels of a height keep where it is tight, mm.
    fn squeezed(&self, height: f64) -> f64 {
        (LEAST_GAP * height).min(self.spacing.label_gap.to_mm())
    }

    /// Clear distance of two labels of a height, mm.
    fn clear(&self, one: &Post, other: &Post, height: f64) -> f64 {
        let (far, near) = if one.arc <= other.arc { (one, other) } else { (other, one) };
        near.arc - far.arc - (far.sides.after + near.sides.before) * height / self.numeral_height.to_mm()
    }

    /// The numerals' height, mm, and the places of the numbered posts.
    fn numerals(&self, posts: &[Post]) -> (f64, Vec<usize>) {
        let full = self.numeral_height.to_mm();
        let least = self.least_height();
        let squeezed = |height: f64| self.squeezed(height);
        let clear = |i: usize, j: usize, height: f64| self.clear(&posts[i], &posts[j], height);
        let mut wanted: Vec<usize> = (0..posts.len()).filter(|i| posts[*i].wanted).collect();
        // what was asked for clears its way
        let asked: Vec<usize> = wanted.iter().copied().filter(|i| posts[*i].asked).collect();
        wanted.retain(|i| posts[*i].asked || asked.iter().all(|j| clear(*i, *j, least) >= squeezed(least)));
        // the full stop beside the widest gives way to it where they touch however small they are
        if let [first, second, ..] = wanted[..]
            && second + 1 < posts.len()
            && !posts[second].asked
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
