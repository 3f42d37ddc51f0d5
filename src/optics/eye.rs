//! What an eye can read: how far off a numeral, and how fine a stroke.
//!
//! Takes heights and distances from the eye, not of a lens or a ring. A letter is five strokes high, and an eye of
//! decimal acuity V tells strokes of 1/V minutes of arc apart.
//!
//! Sources: H. Snellen, Probebuchstaben zur Bestimmung der Sehschärfe (1862), five minutes to a letter and one to a stroke;
//! decimal acuity as in ISO 8596 (both from memory).

use crate::units::Length;

/// Strokes to the height of a letter.
const STROKES: f64 = 5.0;

/// Decimal acuity of a practised eye in dim light, at some 0.1 candela per square metre: beside a lit set, not in it.
///
/// K. Ikeda, K. Noda and S. Yamaguchi fitted acuities for Landolt rings with
/// V = L / (1.6293 C^-0.3234 (0.8034 C^-0.1876 + L^(1/4))^4), L in candela per square metre, C the contrast in percent:
/// 0.41 for black on white ("Visual acuity as a function of luminance contrast of Landolt rings and adaptation luminance", as
/// quoted at saecanet.com; that C is in percent is our conclusion, from V = 1.8 in good light). S. Shlaer, "The relation
/// between visual acuity and illumination", J. Gen. Physiol. 21 (1937) 165, has about 0.5 there (from memory). With a larger
/// figure numerals come out too small to be read, with a smaller one few fit the ring.
pub const DIM_LIGHT_ACUITY: f64 = 0.4;

/// One minute of arc over the acuity, radians.
fn stroke_angle(acuity: f64) -> f64 {
    (1.0 / (60.0 * acuity)).to_radians()
}

/// The largest distance from which an eye of decimal `acuity` reads numerals of a height, held square to its line of sight.
///
/// ```text
/// d = h / (2 tan(5 a / 2)),   a = 1/V minutes of arc        d distance, h height, V decimal acuity
/// ```
///
/// Source: see the module. Valid for black on white. Numerals with thinner strokes or closer spacing than the letters of a
/// chart must be higher; we have no source for how much.
pub fn readable_to(numeral_height: Length, acuity: f64) -> Length {
    numeral_height * (0.5 / (0.5 * STROKES * stroke_angle(acuity)).tan())
}

/// The finest stroke that an eye of decimal `acuity` still tells apart at a distance: what is finer runs together.
///
/// ```text
/// b = 2 d tan(a / 2),   a = 1/V minutes of arc        b stroke, d distance, V decimal acuity
/// ```
///
/// Source: see the module.
pub fn stroke_blur(distance: Length, acuity: f64) -> Length {
    distance * (2.0 * (0.5 * stroke_angle(acuity)).tan())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn the_letter_of_the_six_metre_line_is_8_7_mm_high() {
        // common tables: 8.73 mm at 6 m for 6/6, 8.87 mm at 20 ft for 20/20
        assert_close(readable_to(Length::mm(8.727), 1.0).to_mm(), 6000.0, 1.0);
        assert_close(readable_to(Length::mm(8.87), 1.0).to_mm(), 20.0 * 304.8, 5.0);
        // 6/12 is decimal 0.5: the same letter from half as far
        assert_close(readable_to(Length::mm(8.727), 0.5).to_mm(), 3000.0, 1.0);
    }

    #[test]
    fn a_letter_at_its_limit_is_five_blurs_high() {
        // independent: small angles, so the sum of five strokes' angles is the letter's
        for (height, acuity) in [(2.0, 0.4), (2.8, 1.0), (1.2, 1.5)] {
            let far = readable_to(Length::mm(height), acuity);
            assert_close(stroke_blur(far, acuity).to_mm() * 5.0 / height, 1.0, 1e-5);
        }
    }

    #[test]
    fn nothing_is_read_from_no_distance_and_a_letter_of_no_height_from_nowhere() {
        assert_eq!(readable_to(Length::ZERO, 1.0), Length::ZERO);
        assert_eq!(stroke_blur(Length::ZERO, 1.0), Length::ZERO);
    }

    #[test]
    fn the_acuity_in_dim_light_is_that_of_the_published_curve() {
        // see DIM_LIGHT_ACUITY; black on white, contrast 100 %
        let acuity = |l: f64| {
            let c = 100f64;
            l / (1.6293 * c.powf(-0.3234) * (0.8034 * c.powf(-0.1876) + l.powf(0.25)).powi(4))
        };
        assert_close(acuity(100.0), 1.8, 0.05);
        assert_close(DIM_LIGHT_ACUITY / acuity(0.1), 1.0, 0.05);
    }
}
