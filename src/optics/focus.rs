//! Focus laws: the turn of the ring that a distance needs, and back.

use super::Monotone;
use crate::units::{Angle, Distance, Length};

/// The law of a lens, or a group of it, that travels in proportion to the ring.
///
/// ```text
/// D = A/t + C + K t                       t = angle - infinity, in degrees
/// t = 2 A / (B + sqrt(B^2 - 4 A K))       B = D - C
///
/// D   distance from the image plane to the subject, mm
/// A   mm deg;  F^2/p for a lens or front group of focal length F moved p mm per degree
/// C   mm;      2 F + HH' for a whole lens, HH' the signed gap of its principal planes
/// K   mm/deg;  how far the lens's front goes toward the subject per degree
/// ```
///
/// Source: the conjugate equation 1/F = 1/u + 1/v with u = F + F^2/x, v = F + x, x = p t (OpenStax University
/// Physics vol. 3, section 2.4), summed to D = u + v + HH'. Valid in paraxial optics; for groups that float in
/// a fixed ratio it holds to about 0.01 degree with constants that do not follow from the name ring. A cam does not follow it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TravelLaw {
    /// The ring's position at infinity.
    pub infinity: Angle,
    /// A, in mm·deg; greater than zero.
    pub a_mm_deg: f64,
    /// C, in mm.
    pub c_mm: f64,
    /// K, in mm per degree, of either sign.
    pub k_mm_per_deg: f64,
}

impl TravelLaw {
    /// The law of a whole lens or of a front group, from its focal length, its travel per full turn of the ring and C.
    pub fn from_lead(infinity: Angle, focal_length: Length, lead: Length, c: Length) -> Self {
        let per_degree = lead.to_mm() / 360.0;
        let f = focal_length.to_mm();
        TravelLaw { infinity, a_mm_deg: f * f / per_degree, c_mm: c.to_mm(), k_mm_per_deg: per_degree }
    }

    /// Turn from infinity in degrees for `d` millimetres; `None` where the law does not reach.
    pub(crate) fn turn(&self, d: f64) -> Option<f64> {
        let b = d - self.c_mm;
        let inner = b * b - 4.0 * self.a_mm_deg * self.k_mm_per_deg;
        if inner.is_nan() || inner < 0.0 {
            return None;
        }
        let below = b + inner.sqrt();
        let turn = 2.0 * self.a_mm_deg / below;
        (below > 0.0 && turn.is_finite()).then_some(turn)
    }

    /// The ring's position for a distance. `None` nearer than the law reaches: for K > 0 that is where
    /// B = 2 sqrt(A K), unit magnification for a whole lens.
    pub fn angle(&self, distance: Distance) -> Option<Angle> {
        match distance {
            Distance::Infinity => Some(self.infinity),
            Distance::Finite(length) => Angle::try_deg(self.infinity.to_deg() + self.turn(length.to_mm())?),
        }
    }

    /// The distance in focus at a ring position; infinity at and before the infinity position. `None` beyond
    /// unit magnification, where the distance would grow again.
    pub fn distance(&self, angle: Angle) -> Option<Distance> {
        let t = angle.to_deg() - self.infinity.to_deg();
        if t <= 0.0 {
            return Some(Distance::Infinity);
        }
        if self.slope(t) >= 0.0 {
            return None;
        }
        let d = self.a_mm_deg / t + self.c_mm + self.k_mm_per_deg * t;
        match Length::try_mm(d) {
            Some(length) if d > 0.0 => Some(Distance::Finite(length)),
            Some(_) => None,
            None => Some(Distance::Infinity),
        }
    }

    /// dD/dt in mm per degree at a turn of `t` degrees.
    ///
    /// ```text
    /// dD/dt = K - A/t^2
    /// ```
    pub(crate) fn slope(&self, t: f64) -> f64 {
        self.k_mm_per_deg - self.a_mm_deg / (t * t)
    }
}

/// Monotone cubic interpolation between readings, in the variable in which a helicoid would be a straight line.
///
/// ```text
/// angle = monotone cubic in u,   u = 1/(D - C0),   u = 0 at infinity
/// ```
///
/// Undefined beyond the readings; it contains infinity only where infinity was read.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveLaw {
    offset_mm: f64,
    curve: Monotone,
}

impl CurveLaw {
    /// The curve through `readings` of strictly falling distance and growing angle. `None` with fewer than two, or
    /// when `offset` is not nearer than every reading.
    pub fn through(offset: Length, readings: &[(Distance, Angle)]) -> Option<Self> {
        let offset_mm = offset.to_mm();
        let mut points = Vec::with_capacity(readings.len());
        for (distance, angle) in readings {
            points.push((inverse(offset_mm, *distance)?, angle.to_deg()));
        }
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Some(CurveLaw { offset_mm, curve: Monotone::through(&points)? })
    }

    /// The ring's position for a distance; `None` outside the readings.
    pub fn angle(&self, distance: Distance) -> Option<Angle> {
        Angle::try_deg(self.curve.value(inverse(self.offset_mm, distance)?)?)
    }

    /// The distance in focus at a ring position; `None` outside the readings.
    pub fn distance(&self, angle: Angle) -> Option<Distance> {
        let u = self.curve.inverse(angle.to_deg())?;
        if u <= 0.0 {
            return Some(Distance::Infinity);
        }
        Length::try_mm(1.0 / u + self.offset_mm).map(Distance::Finite)
    }

    /// C0 of the variable u.
    pub fn offset(&self) -> Length {
        Length::mm(self.offset_mm)
    }
}

fn inverse(offset_mm: f64, distance: Distance) -> Option<f64> {
    match distance {
        Distance::Infinity => Some(0.0),
        Distance::Finite(length) => {
            let beyond = length.to_mm() - offset_mm;
            (beyond > 0.0).then(|| 1.0 / beyond)
        }
    }
}

/// A function from distance to ring angle.
#[derive(Clone, Debug, PartialEq)]
pub enum FocusLaw {
    /// Travel in proportion to the ring.
    Travel(TravelLaw),
    /// Interpolation between readings.
    Curve(CurveLaw),
}

impl FocusLaw {
    /// The ring's position for a distance; `None` where the law does not reach.
    pub fn angle(&self, distance: Distance) -> Option<Angle> {
        match self {
            FocusLaw::Travel(law) => law.angle(distance),
            FocusLaw::Curve(law) => law.angle(distance),
        }
    }

    /// The distance in focus at a ring position; `None` where the law does not reach.
    pub fn distance(&self, angle: Angle) -> Option<Distance> {
        match self {
            FocusLaw::Travel(law) => law.distance(angle),
            FocusLaw::Curve(law) => law.distance(angle),
        }
    }

    /// The law's name in the set file.
    pub fn kind(&self) -> &'static str {
        match self {
            FocusLaw::Travel(_) => "travel",
            FocusLaw::Curve(_) => "curve",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    fn whole(f: f64, gap: f64, lead: f64) -> TravelLaw {
        TravelLaw::from_lead(Angle::deg(3.0), Length::mm(f), Length::mm(lead), Length::mm(2.0 * f + gap))
    }

    #[test]
    fn infinity_lies_at_the_infinity_position_and_far_subjects_approach_it() {
        let law = whole(50.0, -15.0, 9.6);
        assert_eq!(law.angle(Distance::Infinity), Some(Angle::deg(3.0)));
        assert_close(law.angle(Distance::mm(1e9)).unwrap().to_deg(), 3.0, 1e-3);
    }

    #[test]
    fn nothing_is_lost_at_ten_kilometres() {
        let law = whole(50.0, -15.0, 9.6);
        let turn = law.angle(Distance::mm(1e7)).unwrap().to_deg() - 3.0;
        // x = F^2/(u - F) with u - F = D - C - x, iterated in the other form
        let mut x = 0.0;
        for _ in 0..50 {
            x = 2500.0 / (1e7 - 85.0 - x);
        }
        assert_close(turn, x * 360.0 / 9.6, 1e-12);
    }

    #[test]
    fn a_subject_nearer_than_unit_magnification_has_no_place_on_the_ring() {
        let law = whole(50.0, 0.0, 9.6);
        assert!(law.angle(Distance::mm(200.001)).is_some());
        assert_eq!(law.angle(Distance::mm(199.99)), None);
        assert_eq!(law.angle(Distance::mm(20.0)), None);
    }

    #[test]
    fn no_subject_lies_behind_the_image_plane_and_none_between_the_principal_planes_is_focused() {
        // an inner group whose front goes back: by the law's own terms 500/t + 100 - t falls below zero at 104.8 degrees
        let law = TravelLaw { infinity: Angle::ZERO, a_mm_deg: 500.0, c_mm: 100.0, k_mm_per_deg: -1.0 };
        assert!(law.distance(Angle::deg(104.7)).is_some_and(|distance| distance.to_mm().is_some_and(|mm| mm < 0.2)));
        assert_eq!(law.distance(Angle::deg(104.9)), None);
        // far behind the nearest subject the equation has solutions again, before the infinity position: no lens goes there
        assert_eq!(whole(50.0, 80.0, 9.6).angle(Distance::mm(20.0)), None);
    }

    #[test]
    fn an_inner_group_needs_no_front_travel() {
        for k in [0.0, -0.09] {
            let law = TravelLaw { infinity: Angle::ZERO, a_mm_deg: 52378.2, c_mm: 295.438, k_mm_per_deg: k };
            let angle = law.angle(Distance::mm(500.0)).unwrap();
            assert_close(law.distance(angle).unwrap().to_mm().unwrap(), 500.0, 1e-9);
        }
    }

    proptest::proptest! {
        #[test]
        fn law_and_inverse_agree(f in 8.0..400.0f64, gap in -0.4..1.2f64, lead in 2.0..60.0f64, share in 1.02..3000.0f64) {
            let law = whole(f, gap * f, lead);
            let distance = (4.0 + gap) * f * share;
            let angle = law.angle(Distance::mm(distance)).unwrap();
            let back = law.distance(angle).unwrap().to_mm().unwrap();
            proptest::prop_assert!((back / distance - 1.0).abs() < 1e-9, "{distance} came back as {back}");
        }

        #[test]
        fn nearer_subjects_need_more_turn(f in 8.0..400.0f64, gap in -0.4..1.2f64, near in 1.05..100.0f64, step in 1.001..3.0f64) {
            let law = whole(f, gap * f, 12.0);
            let near = (4.0 + gap) * f * near;
            let (near, far) = (law.angle(Distance::mm(near)).unwrap(), law.angle(Distance::mm(near * step)).unwrap());
            proptest::prop_assert!(near > far);
        }
    }

    #[test]
    fn the_curve_passes_through_its_readings_and_stops_there() {
        let readings = [
            (Distance::Infinity, Angle::deg(0.0)),
            (Distance::mm(3000.0), Angle::deg(20.0)),
            (Distance::mm(1000.0), Angle::deg(75.0)),
        ];
        let law = CurveLaw::through(Length::mm(100.0), &readings).unwrap();
        for (distance, angle) in readings {
            assert_close(law.angle(distance).unwrap().to_deg(), angle.to_deg(), 1e-12);
        }
        assert_eq!(law.angle(Distance::mm(999.0)), None);
        let middle = law.angle(Distance::mm(1500.0)).unwrap();
        assert_close(law.distance(middle).unwrap().to_mm().unwrap(), 1500.0, 1e-6);
        // 1/(D - C0) has to grow toward close over every reading
        assert_eq!(CurveLaw::through(Length::mm(1200.0), &readings), None);
        assert_eq!(CurveLaw::through(Length::mm(1000.0), &readings), None);
        let without_infinity = CurveLaw::through(Length::mm(100.0), &readings[1..]).unwrap();
        assert_eq!(without_infinity.angle(Distance::mm(3500.0)), None);
        assert_eq!(without_infinity.angle(Distance::Infinity), None);
    }

    #[test]
    fn the_slope_is_how_fast_the_distance_falls_and_the_law_ends_where_it_turns_back() {
        let law = whole(50.0, -15.0, 9.6);
        let at = |turn: f64| law.distance(Angle::deg(3.0 + turn)).map(|distance| distance.to_mm().unwrap());
        for turn in [2.0, 40.0, 300.0] {
            // independent: a chord over a thousandth of a degree
            let chord = (at(turn + 5e-4).unwrap() - at(turn - 5e-4).unwrap()) / 1e-3;
            assert_close(law.slope(turn) / chord, 1.0, 1e-6);
        }
        // unit magnification after a travel of the focal length, 4 f + HH' from the image plane
        let unity = 360.0 * 50.0 / 9.6;
        assert_close(at(unity - 0.01).unwrap(), 200.0 - 15.0, 1e-6);
        assert_eq!(at(unity + 0.01), None);
    }

    #[test]
    fn both_laws_lead_from_a_distance_to_the_ring_and_back_and_a_curve_as_far_as_infinity() {
        let travel = whole(50.0, -15.0, 9.6);
        let distances = [Distance::Infinity, Distance::mm(4000.0), Distance::mm(1200.0), Distance::mm(700.0)];
        let readings = distances.map(|distance| (distance, travel.angle(distance).unwrap()));
        let curve = CurveLaw::through(Length::mm(85.0), &readings).unwrap();
        assert_close(curve.offset().to_mm(), 85.0, 0.0);
        for law in [FocusLaw::Travel(travel), FocusLaw::Curve(curve)] {
            for (distance, at) in readings {
                assert_close(law.angle(distance).unwrap().to_deg(), at.to_deg(), 1e-9);
                match (law.distance(at).unwrap(), distance) {
                    (Distance::Finite(back), Distance::Finite(length)) => {
                        assert_close(back.to_mm() / length.to_mm(), 1.0, 1e-6)
                    }
                    (back, distance) => assert_eq!(back, distance, "{}", law.kind()),
                }
            }
        }
    }
}
