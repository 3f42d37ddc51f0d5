//! Depth of field and hyperfocal distance, exact for a thin lens whose principal planes are a gap apart.
//!
//! Sources: the conjugate equation (OpenStax University Physics vol. 3, section 2.4) and the depth-of-field relations
//! of the encyclopedia article "Hyperfocal distance"; the exact form with (H - f) and (H + u - 2 f) follows from
//! them for a blur disc of diameter c in the image plane. Always with the f-number, never with a T-stop.

use crate::units::{Distance, Length, Stop};

/// A lens as depth of field needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThinLens {
    /// Focal length.
    pub focal_length: Length,
    /// Signed gap of the principal planes.
    pub principal_gap: Length,
}

/// Nearest and farthest distance that still look sharp, from the image plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DepthOfField {
    /// Near limit.
    pub near: Distance,
    /// Far limit.
    pub far: Distance,
}

impl ThinLens {
    /// From the image plane to the front principal plane when a subject at `d` mm is in focus, and the subject's
    /// distance from that plane.
    ///
    /// ```text
    /// S = D - HH' = u + v,   u v = f S   =>   u = (S + sqrt(S^2 - 4 f S)) / 2
    /// ```
    fn subject_side(&self, d: f64) -> Option<(f64, f64)> {
        let f = self.focal_length.to_mm();
        let s = d - self.principal_gap.to_mm();
        let inner = s * (s - 4.0 * f);
        (s > 0.0 && inner >= 0.0).then(|| {
            let u = 0.5 * (s + inner.sqrt());
            (d - u, u)
        })
    }

    /// Hyperfocal distance from the front principal plane.
    ///
    /// ```text
    /// H = f^2 / (N c) + f
    /// ```
    pub fn hyperfocal(&self, stop: Stop, circle_of_confusion: Length) -> Length {
        let f = self.focal_length.to_mm();
        Length::mm(f * f / (stop.number() * circle_of_confusion.to_mm()) + f)
    }

    /// The distance to focus at, from the image plane, so that infinity is just sharp.
    ///
    /// ```text
    /// D = H + f H / (H - f) + HH'      u = H, and the image distance that belongs to it
    /// ```
    pub fn hyperfocal_setting(&self, stop: Stop, circle_of_confusion: Length) -> Length {
        let f = self.focal_length.to_mm();
        let h = self.hyperfocal(stop, circle_of_confusion).to_mm();
        Length::mm(h + f * h / (h - f) + self.principal_gap.to_mm())
    }

    /// Limits of sharpness around `distance`.
    ///
    /// ```text
    /// near = u (H - f) / (H + u - 2 f)     far = u (H - f) / (H - u), infinite for u >= H
    /// at infinity:  near = H - f
    /// ```
    ///
    /// both from the front principal plane, given back from the image plane; at infinity that plane stands
    /// f + HH' before the image plane. `None` where a thin lens cannot focus so near.
    pub fn depth_of_field(&self, distance: Distance, stop: Stop, circle_of_confusion: Length) -> Option<DepthOfField> {
        let f = self.focal_length.to_mm();
        let h = self.hyperfocal(stop, circle_of_confusion).to_mm();
        let Distance::Finite(length) = distance else {
            let near = h - f + f + self.principal_gap.to_mm();
            return Some(DepthOfField { near: finite(near)?, far: Distance::Infinity });
        };
        let (plane, u) = self.subject_side(length.to_mm())?;
        let near = plane + u * (h - f) / (h + u - 2.0 * f);
        let far = if u >= h { Distance::Infinity } else { finite(plane + u * (h - f) / (h - u))? };
        Some(DepthOfField { near: finite(near)?, far })
    }

    /// The stop at which a subject at `subject` blurs to exactly the circle of confusion while the lens is focused at
    /// `focused`: the number above which it looks sharp. `None` where no stop is defined (nearer than the lens focuses).
    ///
    /// ```text
    /// N = f^2 |u' - u| / (c u' (u - f))        u' subject, u focus, from the front principal plane
    /// at infinity focus:  N = f^2 / (c u')     subject at infinity:  N = f^2 / (c (u - f))
    /// ```
    pub fn stop_for_blur(&self, focused: Distance, subject: Distance, circle_of_confusion: Length) -> Option<f64> {
        let (f, c) = (self.focal_length.to_mm(), circle_of_confusion.to_mm());
        let number = match (focused, subject) {
            (Distance::Infinity, Distance::Infinity) => 0.0,
            (Distance::Infinity, Distance::Finite(s)) => {
                let u = s.to_mm() - f - self.principal_gap.to_mm();
                (u > 0.0).then(|| f * f / (c * u))?
            }
            (Distance::Finite(s), Distance::Infinity) => f * f / (c * (self.subject_side(s.to_mm())?.1 - f)),
            (Distance::Finite(s), Distance::Finite(other)) => {
                let (plane, u) = self.subject_side(s.to_mm())?;
                let seen = other.to_mm() - plane;
                (seen > 0.0).then(|| f * f * (seen - u).abs() / (c * seen * (u - f)))?
            }
        };
        number.is_finite().then_some(number)
    }
}

fn finite(mm: f64) -> Option<Distance> {
    Length::try_mm(mm).map(Distance::Finite)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    const C: f64 = 0.025;

    fn lens(f: f64, gap: f64) -> ThinLens {
        ThinLens { focal_length: Length::mm(f), principal_gap: Length::mm(gap) }
    }

    #[test]
    fn beyond_the_hyperfocal_distance_sharpness_reaches_infinity() {
        let lens = lens(50.0, 3.0);
        let stop = Stop::from_sixths(24);
        let h = lens.hyperfocal(stop, Length::mm(C)).to_mm();
        let from_image_plane = h + 50.0 * h / (h - 50.0) + 3.0;
        let just_under = lens.depth_of_field(Distance::mm(from_image_plane * 0.999), stop, Length::mm(C)).unwrap();
        assert!(!just_under.far.is_infinite());
        let just_over = lens.depth_of_field(Distance::mm(from_image_plane * 1.001), stop, Length::mm(C)).unwrap();
        assert!(just_over.far.is_infinite());
    }

    #[test]
    fn the_limits_blur_to_exactly_the_circle_of_confusion() {
        // independent: trace the cone of light from the limit through a thin lens onto the image plane
        let (f, gap, n, d) = (83.0, -8.0, 2.0f64.powf(1.5), 5540.0);
        let lens = lens(f, gap);
        let limits = lens.depth_of_field(Distance::mm(d), Stop::from_sixths(18), Length::mm(C)).unwrap();
        let (plane, u) = lens.subject_side(d).unwrap();
        let v = f * u / (u - f);
        for limit in [limits.near, limits.far] {
            let object = limit.to_mm().unwrap() - plane;
            let image = f * object / (object - f);
            assert_close((f / n) * (image - v).abs() / image, C, 1e-12);
            assert_close(lens.stop_for_blur(Distance::mm(d), limit, Length::mm(C)).unwrap(), n, 1e-9);
        }
    }

    #[test]
    fn the_hyperfocal_setting_is_where_infinity_blurs_to_exactly_the_circle() {
        for (f, gap) in [(50.0, 0.0), (50.0, -12.0), (135.0, 9.0)] {
            let lens = lens(f, gap);
            let stop = Stop::from_sixths(36);
            let setting = Distance::Finite(lens.hyperfocal_setting(stop, Length::mm(C)));
            let needed = lens.stop_for_blur(setting, Distance::Infinity, Length::mm(C)).unwrap();
            assert_close(needed, 8.0, 1e-9);
        }
    }

    #[test]
    fn the_hyperfocal_setting_is_sharp_from_half_of_it() {
        // encyclopedia article "Hyperfocal distance": 50 mm, f/8, c = 0.03 mm: H = 10 467 mm; set there, 5 233 mm to
        // infinity, counted from the front principal plane
        let (lens, stop, c) = (lens(50.0, 0.0), Stop::from_sixths(36), Length::mm(0.03));
        let setting = lens.hyperfocal_setting(stop, c);
        let plane = lens.subject_side(setting.to_mm()).unwrap().0;
        assert_close(setting.to_mm() - plane, 10_467.0, 0.5);
        let near = lens.depth_of_field(Distance::Finite(setting), stop, c).unwrap().near;
        assert_close(near.to_mm().unwrap() - plane, 5_233.0, 0.5);
    }

    #[test]
    fn the_wider_the_stop_the_farther_the_hyperfocal_setting_and_none_is_nearer_than_the_closest_image() {
        let lens = lens(50.0, 5.0);
        let at = |sixths| lens.hyperfocal_setting(Stop::from_sixths(sixths), Length::mm(C)).to_mm();
        assert!((6..60).all(|sixths| at(sixths) > at(sixths + 1)));
        // H grows without bound; then the image stands at f, so D - H tends to f + HH'
        let (far, h) = (at(-60), lens.hyperfocal(Stop::from_sixths(-60), Length::mm(C)).to_mm());
        assert_close(far - h, 55.0, 1e-2);
    }

    #[test]
    fn focused_at_infinity_a_near_subject_blurs_as_the_cone_of_light_shows() {
        // independent: the image plane stands f behind the rear principal plane, the front one f + HH' before the image
        // plane; the cone of light from the subject through a pupil of f/N, cut by the image plane
        for (f, gap) in [(50.0, 0.0), (28.0, 22.0), (135.0, -40.0)] {
            let lens = lens(f, gap);
            for subject in [400.0, 1000.0, 7000.0] {
                let n = lens.stop_for_blur(Distance::Infinity, Distance::mm(subject), Length::mm(C)).unwrap();
                let object = subject - (f + gap);
                let image = 1.0 / (1.0 / f - 1.0 / object);
                assert_close((f / n) * (image - f) / image, C, 1e-12);
            }
            // and the near limit of a lens at infinity is the subject that just looks sharp
            let near = lens.depth_of_field(Distance::Infinity, Stop::from_sixths(24), Length::mm(C)).unwrap().near;
            assert_close(lens.stop_for_blur(Distance::Infinity, near, Length::mm(C)).unwrap(), 4.0, 1e-9);
        }
    }

    #[test]
    fn a_subject_at_infinity_blurs_like_one_very_far_away() {
        let lens = lens(50.0, 0.0);
        let at = |subject| lens.stop_for_blur(Distance::mm(3000.0), subject, Length::mm(C)).unwrap();
        assert_close(at(Distance::Infinity) / at(Distance::mm(1e9)), 1.0, 1e-4);
    }

    #[test]
    fn nothing_nearer_than_unit_magnification_is_in_focus_or_blurred_by_a_known_amount() {
        // the least distance of subject and image is 4 f, and the principal planes stand HH' apart (elementary)
        let (lens, stop, c) = (lens(50.0, 30.0), Stop::from_sixths(24), Length::mm(C));
        assert!(lens.depth_of_field(Distance::mm(230.01), stop, c).is_some());
        for d in [229.9, 100.0, 20.0] {
            assert_eq!(lens.depth_of_field(Distance::mm(d), stop, c), None, "{d}");
            for subject in [Distance::mm(d), Distance::mm(1000.0), Distance::Infinity] {
                assert_eq!(lens.stop_for_blur(Distance::mm(d), subject, c), None, "{d}");
            }
        }
        // a subject behind the front principal plane, which stands 80 mm before the image plane at infinity
        assert_eq!(lens.stop_for_blur(Distance::Infinity, Distance::mm(79.0), c), None);
        assert_eq!(lens.stop_for_blur(Distance::mm(1000.0), Distance::mm(79.0), c), None);
    }
}
