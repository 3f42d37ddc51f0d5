//! How far signs look apart, and where the middle of a text looks to be: both from the outlines, in digit heights.
//!
//! A [`Profile`] is where ink begins and ends at evenly spaced heights. Two signs look as far apart as their nearer parts
//! make them: the gaps of all heights are averaged with a weight that falls with the square of the gap. Where the face says
//! nothing of a pair, that average is brought toward the usual one of the face's own digits.
//!
//! Source: none for the average; its power and its limits are by eye, on enlarged renderings of the shipped faces, whose own
//! kerned pairs come out within 0.13 to 0.22 of a median of 0.18 by it.

use kurbo::{BezPath, PathEl, Point};

/// Heights of a profile: more change no gap by a hundredth of a digit height.
const HEIGHTS: usize = 48;

/// How many heights up and down ink is still felt: a corner is near to what lies just above it.
const FELT: usize = 3;

/// Wider gaps look alike, in digit heights.
const WIDEST: f64 = 0.35;

/// Narrower ones too: they touch.
const NARROWEST: f64 = 0.03;

/// The most that a pair is drawn together or apart, in digit heights.
const MOST: f64 = 0.1;

/// What a face's own signs may differ from its usual gap before they are moved, in digit heights: its designer has looked at
/// them. Half of all pairs of the shipped faces differ by less than half of this.
const LEFT_ALONE: f64 = 0.05;

/// The least way that is left between what is drawn together, in digit heights.
const LEAST: f64 = 0.08;

/// How much wider the gap before a fraction is than the usual one, in digit heights: at the gap of two digits, 12¼ would read
/// as 121⁄4.
const BEFORE_FRACTION: f64 = 0.16;

/// Where the ink of a sign begins and ends at each of [`HEIGHTS`] heights from the foot of the digits to their top, x from its
/// origin in digit heights.
#[derive(Clone, Debug)]
pub(super) struct Profile([Option<(f64, f64)>; HEIGHTS]);

impl Profile {
    /// Of an outline in font units.
    pub(super) fn of(outline: &BezPath, digit_height: f64) -> Profile {
        let ends = ends(outline, (0.0, digit_height), HEIGHTS, 0.0);
        let in_heights = |(from, to): (f64, f64)| (from / digit_height, to / digit_height);
        let felt = |i: usize| {
            let near = &ends[i.saturating_sub(FELT)..(i + FELT + 1).min(HEIGHTS)];
            near.iter().flatten().copied().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        };
        Profile(std::array::from_fn(|i| felt(i).map(in_heights)))
    }

    /// How far two signs look apart whose origins are `advance` apart, and the least way between them.
    ///
    /// ```text
    /// (mean of g⁻²)^(-1/2) over the heights, g the way along x, 0.03 to 0.35
    /// ```
    pub(super) fn gap(&self, next: &Profile, advance: f64) -> (f64, f64) {
        let ways = self.0.iter().zip(&next.0).map(|(left, right)| match (left, right) {
            (Some((_, end)), Some((begin, _))) => advance + begin - end,
            _ => WIDEST,
        });
        let (sum, least) = ways.fold((0.0, f64::INFINITY), |(sum, least), way| {
            (sum + way.clamp(NARROWEST, WIDEST).powi(-2), f64::min(least, way))
        });
        ((sum / HEIGHTS as f64).powf(-0.5), least)
    }
}

/// What stands beside what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Class {
    /// A digit.
    Digit,
    /// The decimal point.
    Point,
    /// A vulgar fraction.
    Fraction,
    /// Infinity and primes.
    Sign,
    /// Letters and whatever else the face spaces alone.
    Other,
}

impl Class {
    /// Of a character.
    pub(super) fn of(character: char) -> Class {
        match character {
            '0'..='9' => Class::Digit,
            '.' => Class::Point,
            '½' | '¼' | '¾' | '⅛' | '⅜' | '⅝' | '⅞' => Class::Fraction,
            '∞' | '′' | '″' => Class::Sign,
            _ => Class::Other,
        }
    }
}

/// The usual gaps of a face, in digit heights.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rhythm {
    /// Between two digits.
    digits: f64,
    /// From a digit to the point, and from the point to a digit.
    point: (f64, f64),
}

impl Rhythm {
    /// The medians over a face's digits and its point, each with the way to the next one's origin in digit heights, kerning
    /// left out.
    pub(super) fn of(digits: &[(Profile, f64)], point: Option<&(Profile, f64)>) -> Rhythm {
        let pairs = |left: &[&(Profile, f64)], right: &[&(Profile, f64)]| {
            let gaps = left.iter().flat_map(|a| right.iter().map(|b| a.0.gap(&b.0, a.1).0));
            let mut gaps: Vec<f64> = gaps.collect();
            gaps.sort_by(f64::total_cmp);
            gaps.get(gaps.len() / 2).copied().unwrap_or(WIDEST)
        };
        let digits: Vec<&(Profile, f64)> = digits.iter().collect();
        let point: Vec<&(Profile, f64)> = point.into_iter().collect();
        Rhythm { digits: pairs(&digits, &digits), point: (pairs(&digits, &point), pairs(&point, &digits)) }
    }

    /// What is added to the advance of a sign before the next, in digit heights, where the face says nothing of the pair.
    pub(super) fn kerning(&self, left: (Class, &Profile), right: (Class, &Profile), advance: f64) -> f64 {
        let (wanted, left_alone) = match (left.0, right.0) {
            (Class::Other, _) | (_, Class::Other) => return 0.0,
            (Class::Digit, Class::Digit) => (self.digits, LEFT_ALONE),
            (_, Class::Point) => (self.point.0, LEFT_ALONE),
            (Class::Point, _) => (self.point.1, LEFT_ALONE),
            (_, Class::Fraction) => (self.digits + BEFORE_FRACTION, 0.0),
            (Class::Fraction, Class::Digit | Class::Sign) => (self.digits, 0.0),
            (Class::Sign, Class::Digit | Class::Sign) | (Class::Digit, Class::Sign) => (self.digits, 0.0),
        };
        let (gap, least) = left.1.gap(right.1, advance);
        let off = wanted - gap;
        let move_by = off.signum() * (off.abs() - left_alone).max(0.0);
        move_by.clamp(-MOST, MOST).max((LEAST - least).min(0.0))
    }
}

/// Where the middle of a drawn text looks to be: the mean over its height of the middle between its first and last ink, so
/// that the flag of a 1 and the foot of a 7 count as little as they are high. `None` without ink.
///
/// `tool` is the width of the line that follows the outline, zero where it is filled. Same unit for all.
pub(super) fn optical_middle(outline: &BezPath, (from, to): (f64, f64), tool: f64) -> Option<f64> {
    let ends = ends(outline, (from, to), 2 * HEIGHTS, 0.5 * tool);
    let middles: Vec<f64> = ends.into_iter().flatten().map(|(from, to)| 0.5 * (from + to)).collect();
    (!middles.is_empty()).then(|| middles.iter().sum::<f64>() / middles.len() as f64)
}

/// Where ink begins and ends at the middles of `many` equal parts of a height; lines reach `half` to both sides.
fn ends(outline: &BezPath, (from, to): (f64, f64), many: usize, half: f64) -> Vec<Option<(f64, f64)>> {
    let mut found: Vec<Option<(f64, f64)>> = vec![None; many];
    let part = (to - from) / many as f64;
    let mut add = |x: (f64, f64), place: usize| {
        let wider = found[place].map_or(x, |(a, b)| (a.min(x.0), b.max(x.1)));
        found[place] = Some(wider);
    };
    let heights = |low: f64, high: f64| {
        let first = ((low - from) / part - 0.5).ceil().clamp(0.0, many as f64) as usize;
        let last = ((high - from) / part - 0.5).floor().clamp(-1.0, many as f64 - 1.0);
        (first..(last + 1.0) as usize).map(move |place| (place, from + (place as f64 + 0.5) * part))
    };
    let mut edge = |a: Point, b: Point| {
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        for (place, y) in heights(low - half, high + half) {
            // the strip along the edge, and the round ends of a line
            let mut span: Option<(f64, f64)> = None;
            let mut reach = |x: f64| span = Some(span.map_or((x, x), |(from, to)| (from.min(x), to.max(x))));
            let along = b - a;
            if along.y != 0.0 {
                let side = half * along.normalize().turn_90();
                for side in [side, -side] {
                    let t = (y - a.y - side.y) / along.y;
                    if (0.0..=1.0).contains(&t) {
                        reach(a.x + side.x + t * along.x);
                    }
                }
            }
            for end in [a, b] {
                let aside = half * half - (y - end.y).powi(2);
                if aside >= 0.0 {
                    reach(end.x - aside.sqrt());
                    reach(end.x + aside.sqrt());
                }
            }
            if let Some(span) = span {
                add(span, place);
            }
        }
    };
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(outline, 1e-3 * (to - from).abs().max(f64::MIN_POSITIVE), |element| {
        let next = match element {
            PathEl::MoveTo(point) => {
                (start, last) = (point, point);
                return;
            }
            PathEl::LineTo(point) => point,
            _ => start,
        };
        edge(last, next);
        last = next;
    });
    found
}
