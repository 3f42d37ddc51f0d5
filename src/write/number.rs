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
/// When `value` is NaN or infinite: no quantity or coordinate can be, and an incomplete drawing must not be written.
pub(super) fn push(out: &mut String, value: f64, places: usize) {
    assert!(value.is_finite(), "a number in a drawing is finite");
    if !push_whole(out, value, places) {
        push_formatted(out, value, places);
    }
}

/// Powers of ten.
const TENS: [f64; 10] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];

/// A smaller value is at most 6e-8 off after it was multiplied by a power of ten.
const SURE: f64 = 1e9;

/// So near to a half, all digits are needed to round correctly.
const HALF: f64 = 1e-6;

/// Appends the value as a whole number of its last decimals, several times as fast as formatting; gives whether it is
/// certain that the digits are the same.
fn push_whole(out: &mut String, value: f64, places: usize) -> bool {
    let Some(tens) = TENS.get(places) else { return false };
    let scaled = value.abs() * tens;
    if scaled >= SURE || (scaled.fract() - 0.5).abs() < HALF {
        return false;
    }
    let (mut left, mut decimals) = (scaled.round() as u32, places);
    if left == 0 {
        out.push('0');
        return true;
    }
    if value < 0.0 {
        out.push('-');
    }
    while decimals > 0 && left.is_multiple_of(10) {
        left /= 10;
        decimals -= 1;
    }
    // from the last digit to the first: ten of a number and nine of zeros at its head, and the point
    let (mut text, mut start, mut written) = ([b'0'; 20], 20, 0);
    while left > 0 || written <= decimals {
        if written == decimals && decimals > 0 {
            start -= 1;
            text[start] = b'.';
        }
        start -= 1;
        text[start] = b'0' + (left % 10) as u8;
        left /= 10;
        written += 1;
    }
    out.push_str(std::str::from_utf8(&text[start..]).expect("digits are text"));
    true
}

/// Appends the value from all its digits, rounded to even where it is a half.
fn push_formatted(out: &mut String, value: f64, places: usize) {
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
        fn the_fast_way_writes_the_same_digits(
            coordinate in -1e4..1e4f64,
            nothing in -1e-3..1e-3f64,
            halves in -20_000_000..20_000_000i32,
            nudge in -3e-6..3e-6f64,
            any in f64::NORMAL | f64::SUBNORMAL | f64::ZERO | f64::POSITIVE | f64::NEGATIVE,
            places in 0usize..11,
        ) {
            let half = f64::from(halves) * 0.5 / 10f64.powi(places as i32);
            for value in [coordinate, nothing, half, half * (1.0 + nudge), half.next_up(), half.next_down(), any] {
                let (mut fast, mut slow) = (String::new(), String::new());
                push_formatted(&mut slow, value, places);
                if push_whole(&mut fast, value, places) {
                    proptest::prop_assert_eq!(fast, slow, "{:?} to {} places", value, places);
                } else {
                    proptest::prop_assert!(fast.is_empty());
                }
            }
            // numbers of drawings take the fast way, except halves
            let scaled = (coordinate * 1e4).abs().fract();
            proptest::prop_assert_eq!(push_whole(&mut String::new(), coordinate, FINE), (scaled - 0.5).abs() >= HALF);
        }

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
