//! Numbers as every text format takes them: fixed decimals, trailing zeros trimmed, no exponent, never `-0`.

use std::fmt::Write;

/// Decimals of a millimetre or a degree. 0.0001 mm is a thousandth of what a ring can be cut to; fewer would show in
/// the joints of curves, more only make the files larger.
pub(super) const FINE: usize = 4;

/// Decimals of an exact stop number, which has no unit and is compared with a power of two.
pub(super) const STOP: usize = 6;

/// Appends `value`, rounded to at most `places` decimals.
///
/// # Panics
/// When `value` is NaN or infinite: no quantity or coordinate can be, and a drawing with a hole in it must not be made.
pub(super) fn push(out: &mut String, value: f64, places: usize) {
    assert!(value.is_finite(), "a number in a drawing is finite");
    let start = out.len();
    write!(out, "{value:.places$}").expect("a string takes every text");
    if out[start..].contains('.') {
        let kept = out[start..].trim_end_matches('0').trim_end_matches('.').len();
        out.truncate(start + kept);
    }
    if &out[start..] == "-0" {
        out.replace_range(start.., "0");
    }
}

/// `value` as a text of its own, rounded to at most `places` decimals.
///
/// # Panics
/// As [`push`].
pub(super) fn decimal(value: f64, places: usize) -> String {
    let mut text = String::new();
    push(&mut text, value, places);
    text
}

#[cfg(test)]
mod tests {
    use proptest::num::f64;

    use super::*;

    #[test]
    fn zeros_that_say_nothing_are_left_out() {
        for (value, text) in [
            (900.0, "900"),
            (84.1, "84.1"),
            (0.12345, "0.1235"),
            (-0.5, "-0.5"),
            (1e-5, "0"),
            (-1e-5, "0"),
            (-0.0, "0"),
            (0.000_05, "0.0001"),
            (99.999_99, "100"),
            (1e15, "1000000000000000"),
        ] {
            assert_eq!(decimal(value, FINE), text, "{value:?}");
        }
        assert_eq!(decimal(2f64.powf(2.5), STOP), "5.656854");
        assert_eq!(decimal(100.0, 0), "100");
    }

    #[test]
    #[should_panic(expected = "a number in a drawing is finite")]
    fn a_number_that_is_none_is_never_written() {
        decimal(f64::NAN, FINE);
    }

    proptest::proptest! {
        #[test]
        fn every_float_is_plain_and_reads_back_to_half_a_unit_of_the_last_decimal(
            value in f64::NORMAL | f64::SUBNORMAL | f64::ZERO | f64::POSITIVE | f64::NEGATIVE,
            coordinate in -1e4..1e4f64,
            places in 0usize..7,
            nothing in -1e-4..1e-4f64,
        ) {
            for value in [value, coordinate, nothing] {
                let text = decimal(value, places);
                let digits = text.strip_prefix('-').unwrap_or(&text);
                proptest::prop_assert!(digits.chars().all(|c| c.is_ascii_digit() || c == '.'), "{}", text);
                proptest::prop_assert_ne!(&text, "-0");
                proptest::prop_assert!(!digits.contains('.') || !digits.ends_with(['0', '.']), "{}", text);
                proptest::prop_assert!(digits.split_once('.').is_none_or(|(_, tail)| tail.len() <= places), "{}", text);
                let error = (text.parse::<f64>().unwrap() - value).abs();
                let half = 0.5 * 10f64.powi(-(places as i32));
                let rounding = half * 1e-9 + value.abs() * 2.3e-16;
                proptest::prop_assert!(error <= half + rounding, "{} from {}", text, value);
            }
        }
    }
}
