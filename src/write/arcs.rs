//! Béziers become circular arcs, for formats that know no other curve: from each end an arc along the curve's own
//! tangent, the two meeting in one direction, halved until they lie on the curve.
//!
//! Lengths are mm and y runs up, so that an arc that turns left turns anticlockwise. An arc is held by its bulge, the
//! tangent of a quarter of the angle that it turns through, positive to the left and 0 when straight.
//!
//! Source: K. M. Bolton, "Biarc curves", Computer-Aided Design 7 (1975) 89-92, from memory; the formulas are derived
//! anew at [`pair`].

use kurbo::{CubicBez, ParamCurve, Point, Rect, Vec2};

/// How far arcs may lie from the curve at the points that are compared, in mm. The limit is set by the area of small
/// shapes: at 0.001 mm a decimal point of half a millimetre would lose 0.3 % of its area. A tenth of this would double
/// the number of arcs.
const TOLERANCE: f64 = 2e-4;

/// A curve whose control points lie this close to its chord is a straight line, in mm: the last decimal written.
const STRAIGHT: f64 = 1e-4;

/// Beyond this size in mm, a thousand kilometres, every curve is a straight line; nothing so large is made.
const LARGEST: f64 = 1e9;

/// No arc turns through more than this bulge, 106 degrees: shorter arcs keep to the side on which the curve lies.
const MOST_BULGE: f64 = 0.5;

/// Two half angles that differ by less make one arc: 0.001 radian off the tangent at either end.
const ONE_ARC: f64 = 5e-4;

/// Halvings after which a piece is a straight line. Any 16-millionth part of a curve of a kilometre is within tolerance of
/// its chord.
const HALVINGS: u32 = 24;

/// Parameters of the curve at which its distance from the arcs is measured.
const LOOKS: u32 = 16;

/// A piece of a contour, straight when its bulge is 0.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arc {
    pub(super) from: Point,
    pub(super) to: Point,
    pub(super) bulge: f64,
}

impl Arc {
    /// The centre and the radius of an arc that is not straight. The centre lies left of the chord for a small turn to
    /// the left, at (1 - b²)/4b of the chord's length from its middle.
    fn circle(&self) -> (Point, f64) {
        let chord = self.to - self.from;
        let left = Vec2::new(-chord.y, chord.x);
        let centre = self.from.midpoint(self.to) + left * ((1.0 - self.bulge * self.bulge) / (4.0 * self.bulge));
        (centre, centre.distance(self.from))
    }

    /// Whether a place on the circle lies on the arc: a turn to the left runs to the right of its chord.
    fn covers(&self, place: Point) -> bool {
        (self.to - self.from).cross(place - self.from) * self.bulge <= 0.0
    }

    fn distance(&self, place: Point) -> f64 {
        let ends = place.distance(self.from).min(place.distance(self.to));
        if self.bulge == 0.0 {
            return to_chord(self.from, self.to, place);
        }
        let (centre, radius) = self.circle();
        let out = place - centre;
        let on = centre + out * (radius / out.hypot());
        if self.covers(on) { (out.hypot() - radius).abs() } else { ends }
    }

    /// The smallest box around the piece.
    pub(super) fn bounds(&self) -> Rect {
        let mut bounds = Rect::from_points(self.from, self.to);
        if self.bulge != 0.0 {
            let (centre, radius) = self.circle();
            let farthest =
                [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)].map(|to| centre + Vec2::from(to) * radius);
            for place in farthest.into_iter().filter(|place| self.covers(*place)) {
                bounds = bounds.union_pt(place);
            }
        }
        bounds
    }
}

/// Appends pieces that run from the curve's start to its end, within 0.0005 mm of it, or within a hundred-millionth of
/// its coordinates where that is more.
pub(super) fn along(curve: CubicBez, pieces: &mut Vec<Arc>) {
    let points = [curve.p0, curve.p1, curve.p2, curve.p3];
    let size = points.iter().fold(0.0_f64, |most, point| most.max(point.x.abs()).max(point.y.abs()));
    if size < LARGEST {
        // beyond 20 m the tolerance is limited by the rounding of the coordinates
        halve(curve, (size * 1e-8).max(TOLERANCE) / TOLERANCE, HALVINGS, pieces);
    } else {
        pieces.push(Arc { from: curve.p0, to: curve.p3, bulge: 0.0 });
    }
}

fn halve(curve: CubicBez, coarseness: f64, halvings: u32, pieces: &mut Vec<Arc>) {
    let CubicBez { p0, p1, p2, p3 } = curve;
    let flat = |point| to_chord(p0, p3, point) <= STRAIGHT * coarseness;
    if halvings == 0 || (flat(p1) && flat(p2)) {
        pieces.push(Arc { from: p0, to: p3, bulge: 0.0 });
        return;
    }
    if let Some((first, second)) = pair(&curve) {
        let off = |place| first.distance(place).min(second.map_or(f64::INFINITY, |second| second.distance(place)));
        let looks = (1..LOOKS).map(|k| curve.eval(f64::from(k) / f64::from(LOOKS)));
        if looks.map(off).all(|off| off <= TOLERANCE * coarseness) {
            pieces.push(first);
            pieces.extend(second);
            return;
        }
    }
    let (before, after) = curve.subdivide();
    halve(before, coarseness, halvings - 1, pieces);
    halve(after, coarseness, halvings - 1, pieces);
}

/// One arc, or two that meet in one direction, with the curve's ends and its tangents there; `None` where none would
/// follow the curve.
///
/// With v the chord, t₀ and t₁ the unit tangents, and d the length of the tangents from each end to where they meet the
/// common one, the joint is (p₀ + p₃ + d (t₀ - t₁))/2, and that the common tangent has the length 2d says
///
/// ```text
/// 2 (1 - t₀·t₁) d² + 2 v·(t₀ + t₁) d - v·v = 0
/// ```
fn pair(curve: &CubicBez) -> Option<(Arc, Option<Arc>)> {
    let CubicBez { p0, p1, p2, p3 } = *curve;
    let start = [p1, p2, p3].into_iter().find_map(|to| direction(to - p0))?;
    let end = [p2, p1, p0].into_iter().find_map(|from| direction(p3 - from))?;
    let chord = direction(p3 - p0)?;

    let (left, right) = (bulge(start, chord), bulge(chord, end));
    if (left - right).abs() <= ONE_ARC && left.abs().max(right.abs()) <= MOST_BULGE {
        return Some((Arc { from: p0, to: p3, bulge: (left + right) / 2.0 }, None));
    }
    let v = p3 - p0;
    let along = v.dot(start + end);
    // the root of the quadratic, written so that nothing cancels when the tangents are nearly parallel
    let d = v.hypot2() / (along + (along * along + 2.0 * (1.0 - start.dot(end)) * v.hypot2()).max(0.0).sqrt());
    let joint = p0.midpoint(p3) + (start - end) * (d / 2.0);
    let first = Arc { from: p0, to: joint, bulge: bulge(start, direction(joint - p0)?) };
    let second = Arc { from: joint, to: p3, bulge: bulge(direction(p3 - joint)?, end) };
    (first.bulge.abs().max(second.bulge.abs()) <= MOST_BULGE).then_some((first, Some(second)))
}

/// The bulge of an arc between whose tangent and chord this angle lies: tan(α/2) = sin α / (1 + cos α).
fn bulge(from: Vec2, to: Vec2) -> f64 {
    from.cross(to) / (1.0 + from.dot(to))
}

/// The unit vector; `None` for what is too short to have a direction, or for no number.
fn direction(v: Vec2) -> Option<Vec2> {
    let length = v.hypot();
    (length > 1e-9 && length.is_finite()).then(|| v / length)
}

/// Distance of a place from the straight line between two points.
fn to_chord(from: Point, to: Point, place: Point) -> f64 {
    let chord = to - from;
    let at = if chord.hypot2() > 0.0 { ((place - from).dot(chord) / chord.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
    place.distance(from + chord * at)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use kurbo::{ParamCurveNearest, PathSeg, Shape};
    use proptest::prelude::*;

    use super::*;
    use crate::check::assert_close;

    fn arcs(curve: CubicBez) -> Vec<Arc> {
        let mut pieces = Vec::new();
        along(curve, &mut pieces);
        pieces
    }

    /// A place on a piece, by turning round its centre.
    fn on(arc: &Arc, part: f64) -> Point {
        if arc.bulge == 0.0 {
            return arc.from.lerp(arc.to, part);
        }
        let (centre, _) = arc.circle();
        let turn = 4.0 * arc.bulge.atan() * part;
        kurbo::Affine::rotate_about(turn, centre) * arc.from
    }

    fn check(curve: CubicBez) -> Vec<Arc> {
        let pieces = arcs(curve);
        assert_eq!(pieces[0].from, curve.p0);
        assert_eq!(pieces[pieces.len() - 1].to, curve.p3);
        for pair in pieces.windows(2) {
            assert_eq!(pair[0].to, pair[1].from);
        }
        for k in 0..=200 {
            let place = curve.eval(f64::from(k) / 200.0);
            let off = pieces.iter().map(|arc| arc.distance(place)).fold(f64::INFINITY, f64::min);
            assert!(off <= 0.0005, "the curve is {off} mm off the arcs at {place:?}");
        }
        for place in pieces.iter().flat_map(|arc| (0..=10).map(|k| on(arc, f64::from(k) / 10.0))) {
            let off = PathSeg::Cubic(curve).nearest(place, 1e-7).distance_sq.sqrt();
            assert!(off <= 0.0005, "the arcs are {off} mm off the curve at {place:?}");
        }
        pieces
    }

    #[test]
    fn a_quarter_of_a_small_circle_is_one_arc_of_that_circle() {
        let circle = kurbo::Circle::new((3.0, 4.0), 1.0).to_path(1e-3);
        let quarter = circle.get_seg(1).map(|seg| seg.to_cubic()).unwrap();
        let pieces = check(quarter);
        assert_eq!(pieces.len(), 1);
        assert_close(pieces[0].bulge, (PI / 8.0).tan(), 1e-3);
        assert_close(pieces[0].circle().1, 1.0, 1e-3);
        assert!(pieces[0].circle().0.distance((3.0, 4.0).into()) < 1e-3);
    }

    #[test]
    fn a_bulge_of_one_is_half_a_circle_turned_to_the_left() {
        let arc = Arc { from: (1.0, 0.0).into(), to: (-1.0, 0.0).into(), bulge: 1.0 };
        assert!(arc.bounds().center().distance((0.0, 0.5).into()) < 1e-12);
        assert_close(arc.bounds().height(), 1.0, 1e-12);
        let other = Arc { bulge: -1.0, ..arc };
        assert_close(other.bounds().y0, -1.0, 1e-12);
    }

    #[test]
    fn a_straight_cubic_is_one_straight_piece() {
        let line = CubicBez::new((0.0, 0.0), (1.0, 2.0), (2.0, 4.0), (3.0, 6.0));
        let pieces = check(line);
        assert_eq!((pieces.len(), pieces[0].bulge), (1, 0.0));
    }

    #[test]
    fn loops_cusps_and_curves_that_stand_still_are_followed() {
        // a curve that arcs never approximate is halved into 2 to the 24 pieces, or into thousands round one place
        for points in [
            [(0.0, 0.0), (10.0, 10.0), (-10.0, 10.0), (0.0, 0.0)],
            [(0.0, 0.0), (10.0, 10.0), (0.0, 10.0), (10.0, 0.0)],
            [(0.0, 0.0), (0.0, 0.0), (5.0, 0.0), (5.0, 8.0)],
            [(0.0, 0.0), (40.0, 0.0), (-30.0, 0.0), (10.0, 0.0)],
            [(0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0)],
        ] {
            let pieces = check(CubicBez::new(points[0], points[1], points[2], points[3]));
            assert!((2..200).contains(&pieces.len()), "{} pieces for {points:?}", pieces.len());
        }
        for straight in [[(0.0, 0.0), (0.0, 0.0), (10.0, 10.0), (10.0, 10.0)], [(1.0, 1.0); 4]] {
            let [a, b, c, d] = straight;
            assert_eq!(check(CubicBez::new(a, b, c, d)).len(), 1);
        }
    }

    #[test]
    fn smooth_curves_stay_smooth() {
        let pieces = check(CubicBez::new((0.0, 0.0), (3.0, 8.0), (9.0, -6.0), (12.0, 1.0)));
        assert!(pieces.len() > 4);
        for pair in pieces.windows(2) {
            let angle = |arc: &Arc| (arc.to - arc.from).atan2();
            let (before, after) = (&pair[0], &pair[1]);
            let turn = (angle(after) - 2.0 * after.bulge.atan()) - (angle(before) + 2.0 * before.bulge.atan());
            assert_close((turn + PI).rem_euclid(2.0 * PI) - PI, 0.0, 0.003);
        }
    }

    #[test]
    fn what_is_too_large_to_be_made_is_straight() {
        assert_eq!(arcs(CubicBez::new((0.0, 0.0), (1e300, 1e300), (0.0, 1e300), (5.0, 5.0))).len(), 1);
    }

    proptest! {
        #[test]
        fn any_curve_is_followed(numbers in prop::array::uniform8(-300.0..300.0)) {
            let [a, b, c, d, e, f, g, h] = numbers;
            check(CubicBez::new((a, b), (c, d), (e, f), (g, h)));
        }

        #[test]
        fn any_small_curve_is_followed(numbers in prop::array::uniform8(-0.5..0.5)) {
            let [a, b, c, d, e, f, g, h] = numbers;
            check(CubicBez::new((a, b), (c, d), (e, f), (g, h)));
        }
    }
}
