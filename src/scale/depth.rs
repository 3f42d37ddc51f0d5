//! How far from the index sharpness reaches, in ring angle: what depth-of-field marks on a fixed plate may promise.
//!
//! Takes the focus law, the thin lens and its circle of confusion; gives for each stop the turn of the ring from the set
//! distance to the near limit and from the far limit to the set distance. Both grow toward close focus, and with a cam
//! in any way; one fixed mark is right at one distance only. So the smallest turn over the whole scale is taken, and
//! the most by which the true depth exceeds it is given beside it.
//!
//! ```text
//! near = min over s of  angle(near limit at s) - angle(s)
//! far  = min over s of  angle(s) - angle(far limit at s)        s up to the hyperfocal setting, that one exactly
//! ```
//!
//! Source: the limits of [`ThinLens::depth_of_field`]; the rest is the definition of such a mark. Valid as far as these
//! limits are: for a lens that behaves as a thin one between its principal planes.

use super::Sides;
use super::choose::{Candidate, best};
use crate::optics::{FocusLaw, ThinLens};
use crate::units::{Angle, Distance, Length, Stop};

/// What the turns of sharpness are computed from.
pub struct Sharpness<'a> {
    /// From distance to ring angle.
    pub law: &'a FocusLaw,
    /// The lens.
    pub lens: ThinLens,
    /// The largest blur that still counts as sharp.
    pub circle_of_confusion: Length,
    /// The closest distance on the scale.
    pub closest: Length,
    /// The farthest one.
    pub farthest: Distance,
}

/// The turns that a pair of depth marks may promise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// From the index to the mark of the near limit.
    pub near: Angle,
    /// From the mark of the far limit to the index.
    pub far: Angle,
    /// By which share the true depth is greater than marked, at the most.
    pub most_cautious: f64,
    /// At which distance.
    pub cautious_at: Distance,
}

/// Settings over which the smallest turn is sought: on a ring that turns once, a quarter of a degree apart or less.
const SETTINGS: u32 = 1440;

impl Sharpness<'_> {
    /// The turns at `stop`; `None` where either limit lies on the scale at no setting.
    pub fn reach(&self, stop: Stop) -> Option<Reach> {
        let settings = self.settings()?;
        let turns: Vec<(Distance, Option<f64>, Option<f64>)> = settings
            .into_iter()
            .map(|(distance, at)| {
                let limits = self.lens.depth_of_field(distance, stop, self.circle_of_confusion);
                let near = limits.and_then(|limits| self.law.angle(limits.near)).map(|near| near.to_deg() - at);
                let far =
                    limits.filter(|limits| !limits.far.is_infinite()).and_then(|limits| self.law.angle(limits.far));
                (distance, near, far.map(|far| at - far.to_deg()))
            })
            .chain(self.hyperfocal(stop))
            .collect();
        let near = turns.iter().filter_map(|turn| turn.1).reduce(f64::min).filter(|turn| *turn > 0.0)?;
        let far = turns.iter().filter_map(|turn| turn.2).reduce(f64::min).filter(|turn| *turn > 0.0)?;
        let more = turns.iter().map(|(distance, n, f)| {
            (*distance, n.map_or(0.0, |n| n / near - 1.0).max(f.map_or(0.0, |f| f / far - 1.0)))
        });
        let (cautious_at, most_cautious) = more.max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Reach { near: Angle::try_deg(near)?, far: Angle::try_deg(far)?, most_cautious, cautious_at })
    }

    /// Where the ring stands for a distance at which sharpness just reaches infinity, if that is on the scale.
    pub fn hyperfocal_angle(&self, stop: Stop) -> Option<(Distance, Angle)> {
        let setting = self.lens.hyperfocal_setting(stop, self.circle_of_confusion);
        let inside =
            setting >= self.closest && self.farthest.to_mm().is_none_or(|farthest| setting.to_mm() <= farthest);
        let distance = Distance::Finite(setting);
        inside.then(|| Some((distance, self.law.angle(distance)?))).flatten()
    }

    /// At the hyperfocal setting: to its near limit, and back to infinity.
    fn hyperfocal(&self, stop: Stop) -> Option<(Distance, Option<f64>, Option<f64>)> {
        let (distance, at) = self.hyperfocal_angle(stop)?;
        let near = self.lens.depth_of_field(distance, stop, self.circle_of_confusion)?.near;
        let turn = |from: Option<Angle>, to: Option<Angle>| Some(to?.to_deg() - from?.to_deg());
        Some((distance, turn(Some(at), self.law.angle(near)), turn(self.law.angle(Distance::Infinity), Some(at))))
    }

    /// Distances evenly spread over the ring, each with its angle in degrees; the ends exactly.
    fn settings(&self) -> Option<Vec<(Distance, f64)>> {
        let closest = Distance::Finite(self.closest);
        let (from, to) = (self.law.angle(self.farthest)?.to_deg(), self.law.angle(closest)?.to_deg());
        let inner = (1..SETTINGS).filter_map(|k| {
            let at = from + (to - from) * f64::from(k) / f64::from(SETTINGS);
            Some((self.law.distance(Angle::try_deg(at)?)?, at))
        });
        Some([(self.farthest, from)].into_iter().chain(inner).chain([(closest, to)]).collect())
    }
}

/// A pair of marks that might stand beside an index line, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// From the line to the near side's tick.
    pub near: f64,
    /// From the line to the far side's tick.
    pub far: f64,
    /// How far the numeral reaches from the near side's tick; `before` is toward the line there, and away from it at the far
    /// side's, where the same numeral stands.
    pub sides: Sides,
}

/// The pairs, by their places, that can be read together: as many as possible of `pairs`, which lie farther and farther
/// out, beside a line `half_line` mm to either side of its middle. On each side ticks keep the smallest gap from each
/// other and from the line, numerals the label gap from each other and half of it from the line, between two numerals.
pub fn legible(pairs: &[Pair], half_line: f64, smallest_gap: f64, label_gap: f64) -> Vec<usize> {
    // the near side is the row of candidates; what the far side and the ticks forbid is worth nothing at all. Of as many
    // the wider stops are taken: theirs is the smallest depth
    let beside_line = half_line - 0.5 * label_gap;
    let line = Candidate { at: 0.0, before: beside_line, after: beside_line, weight: 0.0, required: true };
    let pair = |(place, pair): (usize, &Pair)| {
        let weight = 1.0 - 1e-3 * place as f64;
        Candidate { at: pair.near, before: pair.sides.before, after: pair.sides.after, weight, required: false }
    };
    let row: Vec<Candidate> = [line].into_iter().chain(pairs.iter().enumerate().map(pair)).collect();
    let far = |place: usize| match place.checked_sub(1) {
        Some(at) => {
            let Pair { far, sides, .. } = pairs[at];
            Candidate { at: far, before: sides.after, after: sides.before, ..row[place] }
        }
        None => line,
    };
    let together = |i: usize, j: usize| {
        let ticks = (row[j].at - row[i].at).min(far(j).at - far(i).at);
        let good = ticks >= smallest_gap && far(i).clear_of(&far(j)) >= label_gap;
        if good { 0.0 } else { f64::NEG_INFINITY }
    };
    let chosen = best(&row, label_gap, together).unwrap_or_default();
    chosen.into_iter().filter_map(|place| place.checked_sub(1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;
    use crate::optics::{CurveLaw, TravelLaw};

    const F: f64 = 50.0;
    const LEAD: f64 = 12.0;
    const C: f64 = 0.03;

    fn thin() -> ThinLens {
        ThinLens { focal_length: Length::mm(F), principal_gap: Length::ZERO }
    }

    fn travel() -> FocusLaw {
        let lead = Length::mm(LEAD);
        FocusLaw::Travel(TravelLaw::from_lead(Angle::deg(4.0), Length::mm(F), lead, Length::mm(2.0 * F)))
    }

    fn sharpness(law: &FocusLaw, closest: f64) -> Sharpness<'_> {
        let (circle_of_confusion, closest) = (Length::mm(C), Length::mm(closest));
        Sharpness { law, lens: thin(), circle_of_confusion, closest, farthest: Distance::Infinity }
    }

    fn f8() -> Stop {
        Stop::from_sixths(36)
    }

    #[test]
    fn a_helicoid_reaches_as_far_as_the_cone_of_light_allows() {
        // independent, on the image side: a subject whose image lies q v before or behind the plane blurs to c, with
        // q = N c / f. Farthest out v = f for the near side, and for the far side the v whose subject is at infinity
        let law = travel();
        let reach = sharpness(&law, 600.0).reach(f8()).unwrap();
        let (q, per_mm) = (8.0 * C / F, 360.0 / LEAD);
        // the image distance when the lens itself has moved to focus at d from the image plane
        let v = |d: f64| 0.5 * (d - (d * d - 4.0 * F * d).sqrt());
        // a limit's place from the image plane while the lens stands v before it
        let limit = |v: f64, side: f64| v + 1.0 / (1.0 / F - (1.0 + side * q) / v);
        let near = v(limit(F, -1.0)) - F;
        assert_close(reach.near.to_deg(), near * per_mm, 1e-9);
        assert_close(reach.far.to_deg(), F * q * per_mm, 1e-9);
        // at the closest distance both sides are wider, by nearly the image distance there, 1 + m
        let closest = v(600.0);
        let more = (v(limit(closest, -1.0)) - closest) / near - 1.0;
        let more_far = (closest - v(limit(closest, 1.0))) / (F * q) - 1.0;
        assert_close(reach.most_cautious, more.max(more_far), 1e-9);
        assert_close(reach.most_cautious, closest / F - 1.0, 0.02);
        assert_eq!(reach.cautious_at, Distance::mm(600.0));
    }

    #[test]
    fn at_the_hyperfocal_setting_the_far_mark_stands_on_infinity() {
        let law = travel();
        let sharpness = sharpness(&law, 600.0);
        let (distance, at) = sharpness.hyperfocal_angle(f8()).unwrap();
        assert_close((at - sharpness.reach(f8()).unwrap().far).to_deg(), 4.0, 1e-9);
        // encyclopedia article "Hyperfocal distance": 50 mm, f/8, c = 0.03 mm, 10 467 mm from the principal plane
        assert_close(distance.to_mm().unwrap() - F * (1.0 + 8.0 * C / F), 10_467.0, 0.5);
    }

    #[test]
    fn consecutive_depths_meet_at_the_marks() {
        // the same article: set at H/2, sharp from H/3 to H: 3 489 mm to 10 467 mm. A mark may fall short of them, by
        // the growth of the image distance, and never reach beyond
        let law = travel();
        let reach = sharpness(&law, 600.0).reach(f8()).unwrap();
        let u: f64 = 0.5 * 10_466.7;
        let at = law.angle(Distance::mm(u + F * u / (u - F))).unwrap();
        let seen = |angle| law.distance(angle).unwrap().to_mm().unwrap() - F * 1.012;
        let (near, far) = (seen(at + reach.near), seen(at - reach.far));
        assert!((3_486.0..3_489.0 * 1.02).contains(&near), "{near}");
        assert!((10_467.0 * 0.98..10_470.0).contains(&far), "{far}");
    }

    #[test]
    fn with_a_cam_no_mark_promises_sharpness_that_is_not_there() {
        let readings = [(f64::INFINITY, 0.0), (5000.0, 14.0), (2000.0, 70.0), (1000.0, 95.0), (600.0, 170.0)];
        let readings = readings.map(|(mm, deg): (f64, f64)| {
            (if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity }, Angle::deg(deg))
        });
        let law = FocusLaw::Curve(CurveLaw::through(Length::mm(100.0), &readings).unwrap());
        for stop in [18, 30, 36, 42].map(Stop::from_sixths) {
            let reach = sharpness(&law, 600.0).reach(stop).unwrap();
            let mut tried = 0;
            for k in 1..997 {
                let at = Angle::deg(170.0 * f64::from(k) / 997.0);
                let set = law.distance(at).unwrap();
                let limits = thin().depth_of_field(set, stop, Length::mm(C)).unwrap();
                if let Some(near) = law.angle(limits.near) {
                    assert!((at + reach.near).to_deg() <= near.to_deg() + 1e-3, "{stop} near at {set}");
                    tried += 1;
                }
                if !limits.far.is_infinite() {
                    let far = law.angle(limits.far).unwrap();
                    assert!((at - reach.far).to_deg() >= far.to_deg() - 1e-3, "{stop} far at {set}");
                    tried += 1;
                }
            }
            assert!(tried > 900, "{tried}");
            assert!(reach.most_cautious > 0.5, "a cam this uneven cannot be marked well: {}", reach.most_cautious);
        }
    }

    #[test]
    fn a_scale_wholly_beyond_the_hyperfocal_setting_has_no_far_side() {
        let law = travel();
        assert_eq!(sharpness(&law, 12_000.0).reach(f8()), None);
        assert_eq!(sharpness(&law, 12_000.0).hyperfocal_angle(f8()), None);
    }

    #[test]
    fn what_cannot_be_read_on_either_side_stands_on_neither() {
        let pair = |near, far| Pair { near, far, sides: Sides::even(2.0) };
        let read = |pairs: &[Pair]| legible(pairs, 0.2, 0.8, 1.6);
        assert_eq!(read(&[pair(4.0, 4.0), pair(8.0, 8.0)]), [0, 1]);
        // the far side of the second is too near to the first
        assert_eq!(read(&[pair(4.0, 4.0), pair(8.0, 7.5), pair(12.0, 12.0)]), [0, 2]);
        // half a label gap and half the line beside the numeral
        assert_eq!(read(&[pair(2.01, 2.01)]), [0]);
        assert_eq!(read(&[pair(2.01, 1.99)]), [] as [usize; 0]);
        // as many as possible: the middle one would cost both others
        assert_eq!(read(&[pair(3.0, 3.0), pair(5.0, 5.0), pair(7.0, 7.0)]), [0, 2]);
        assert_eq!(read(&[]), [] as [usize; 0]);
    }

    proptest::proptest! {
        #[test]
        fn marks_beside_a_line_keep_their_gaps(
            steps in proptest::collection::vec((0.05..4.0f64, 0.05..4.0f64, 0.4..2.0f64, 0.4..2.0f64), 1..7),
        ) {
            let (mut near, mut far) = (0.0, 0.0);
            let pairs: Vec<Pair> = steps.iter().map(|(a, b, before, after)| {
                (near, far) = (near + a, far + b);
                Pair { near, far, sides: Sides { before: *before, after: *after } }
            }).collect();
            let (line, tick_gap, gap) = (0.2, 0.8, 1.6);
            // tick, and how far the numeral reaches toward the line and away from it
            let near = |p: &Pair| (p.near, p.sides.before, p.sides.after);
            let far = |p: &Pair| (p.far, p.sides.after, p.sides.before);
            let good = |set: &[usize]| [near, far].iter().all(|side| {
                let free = |(at, inward, _): (f64, f64, f64)| at >= tick_gap && at - inward - line >= 0.5 * gap;
                set.iter().all(|i| free(side(&pairs[*i])))
                    && set.windows(2).all(|w| {
                        let (a, b) = (side(&pairs[w[0]]), side(&pairs[w[1]]));
                        b.0 - a.0 >= tick_gap && (b.0 - b.1) - (a.0 + a.2) >= gap
                    })
            });
            let found = legible(&pairs, line, tick_gap, gap);
            proptest::prop_assert!(good(&found), "{found:?}");
            // and no other set is larger
            for mask in 0u32..(1 << pairs.len()) {
                let set: Vec<usize> = (0..pairs.len()).filter(|i| mask >> i & 1 == 1).collect();
                proptest::prop_assert!(set.len() <= found.len() || !good(&set), "{set:?} beats {found:?}");
            }
        }
    }
}
