//! Distances as people write and say them.

use crate::scale::Band;
use crate::units::{Distance, DistanceUnit};

/// `0.9 m`, `1.25 m`, `infinity`.
pub(super) fn metres(distance: Distance) -> String {
    match distance.to_mm() {
        None => "infinity".to_string(),
        Some(mm) => {
            let decimals = if mm < 10_000.0 { 3 } else { 2 };
            let text = format!("{:.decimals$}", mm / 1000.0);
            format!("{} m", text.trim_end_matches('0').trim_end_matches('.'))
        }
    }
}

/// A number of things: `1 reading`, `9 readings`.
pub(super) fn amount(count: usize, thing: &str) -> String {
    format!("{count} {thing}{}", if count == 1 { "" } else { "s" })
}

/// Names, the last two joined by `and`; of many files only the first and the last.
pub(super) fn listed(names: &[String]) -> String {
    match names {
        [first, .., last] if names.len() > 3 => format!("{first} to {last}"),
        [some @ .., last] if !some.is_empty() => format!("{} and {last}", some.join(", ")),
        some => some.concat(),
    }
}

/// With its sign, `+0.25` or `-0.25`; what rounds to zero has none.
pub(super) fn signed(value: f64, decimals: usize) -> String {
    let text = format!("{value:+.decimals$}");
    if text.bytes().any(|b| b.is_ascii_digit() && b != b'0') { text } else { text[1..].to_string() }
}

/// With a sign only where it is less than nothing: `0.25`, `-0.25`, and never `-0.00`.
pub(super) fn plain(value: f64, decimals: usize) -> String {
    let text = signed(value, decimals);
    text.strip_prefix('+').map(str::to_string).unwrap_or(text)
}

/// The unit in which a focus band's distances are said; those of an iris have none, and metres stand in.
pub(super) fn unit_of(band: &Band) -> DistanceUnit {
    band.unit.distance().unwrap_or(DistanceUnit::Metre)
}

/// In the unit of a band, metres to the millimetre or feet and inches to the tenth, and so even in a column.
pub(super) fn in_unit(distance: Distance, unit: DistanceUnit) -> String {
    match (distance.to_mm(), unit) {
        (None, _) => "infinity".to_string(),
        (Some(mm), DistanceUnit::Metre) if mm >= 10_000.0 => format!("{:.2} m", mm / 1000.0),
        (Some(mm), DistanceUnit::Metre | DistanceUnit::Foot) => exact(mm, unit),
    }
}

/// The same in few columns: metres alike, feet with primes and inches to the tenth, whole feet from 100 on.
pub(super) fn narrow(distance: Distance, unit: DistanceUnit) -> String {
    match (distance.to_mm(), unit) {
        (Some(mm), DistanceUnit::Foot) if mm >= 30_480.0 => format!("{:.0}′", mm / 304.8),
        (Some(mm), DistanceUnit::Foot) => {
            let tenths = (mm / 2.54).round() as i64;
            let inches = format!("{}.{}″", tenths % 120 / 10, tenths % 10);
            if tenths < 120 { inches } else { format!("{}′{inches}", tenths / 120) }
        }
        (_, DistanceUnit::Metre) | (None, DistanceUnit::Foot) => in_unit(distance, unit),
    }
}

/// A sentence in lines of at most `width` columns, each behind `indent`, those after the first two columns further in.
pub(super) fn wrapped(sentence: &str, indent: &str, width: usize) -> String {
    let (mut out, mut line) = (String::new(), indent.to_string());
    let mut is_empty = true;
    for word in sentence.split(' ') {
        let needed = line.chars().count() + usize::from(!is_empty) + word.chars().count();
        if needed > width && !is_empty {
            out.push_str(line.trim_end());
            out.push('\n');
            line = format!("{indent}  ");
            is_empty = true;
        }
        if !is_empty {
            line.push(' ');
        }
        line.push_str(word);
        is_empty = false;
    }
    format!("{out}{}\n", line.trim_end())
}

/// The value of a mark, which is round in its own unit: `0.9 m`, `4 ft 6 in`.
pub(super) fn round_in_unit(distance: Distance, unit: DistanceUnit) -> String {
    match (distance.to_mm(), unit) {
        (Some(_), DistanceUnit::Foot) => unit.say(distance),
        (_, DistanceUnit::Metre) | (None, DistanceUnit::Foot) => metres(distance),
    }
}

/// Exact in the other unit: metres with millimetres, feet with inches to the tenth.
pub(super) fn exact(mm: f64, unit: DistanceUnit) -> String {
    match unit {
        DistanceUnit::Metre => format!("{:.3} m", mm / 1000.0),
        DistanceUnit::Foot => {
            let tenths = (mm / 2.54).round() as i64;
            let inches = format!("{}.{} in", tenths % 120 / 10, tenths % 10);
            if tenths < 120 { inches } else { format!("{} ft {inches}", tenths / 120) }
        }
    }
}

/// Half of an interval of distance, to a millimetre or a tenth of an inch, tenths of a metre beyond one.
pub(super) fn half_interval(mm: f64, unit: DistanceUnit) -> String {
    match unit {
        DistanceUnit::Foot => exact(mm, unit),
        DistanceUnit::Metre if mm < 1000.0 => format!("{mm:.0} mm"),
        DistanceUnit::Metre => format!("{:.1} m", mm / 1000.0),
    }
}

/// A short way in distance with its sign: `+12 mm`, or `-0.5 in`.
pub(super) fn signed_in_unit(mm: f64, unit: DistanceUnit) -> String {
    match unit {
        DistanceUnit::Metre => format!("{} mm", signed(mm, 0)),
        DistanceUnit::Foot => format!("{} in", signed(mm / 25.4, 1)),
    }
}

/// As an assistant would call it: to the half inch or centimetre near, to the inch or 5 cm from 10 ft or 3 m on, to the
/// foot or half metre from 30 ft or 10 m on.
pub(super) fn spoken(mm: f64, unit: DistanceUnit) -> String {
    match unit {
        DistanceUnit::Metre => {
            let step = match mm {
                near if near < 3000.0 => 10.0,
                middle if middle < 10_000.0 => 50.0,
                _ => 500.0,
            };
            let text = format!("{:.2}", (mm / step).round() * step / 1000.0);
            format!("{} m", text.trim_end_matches('0').trim_end_matches('.'))
        }
        DistanceUnit::Foot => {
            let step = match mm / 304.8 {
                near if near < 10.0 => 0.5,
                middle if middle < 30.0 => 1.0,
                _ => 12.0,
            };
            let halves = ((mm / 25.4 / step).round() * step * 2.0) as i64;
            let (feet, inches, half) = (halves / 24, halves % 24 / 2, halves % 2 == 1);
            let mut words = Vec::new();
            if feet > 0 {
                words.push(format!("{feet} ft"));
            }
            match (inches, half) {
                (0, false) => {}
                (0, true) => words.push("½ in".into()),
                (inches, half) => words.push(format!("{inches}{} in", if half { "½" } else { "" })),
            }
            words.join(" ")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_other_unit_is_exact_or_as_it_is_called() {
        // 1 ft = 304.8 mm and 1 in = 25.4 mm exactly; 0.7 m = 2 ft 3.56 in (as found in print)
        assert_eq!(exact(700.0, DistanceUnit::Foot), "2 ft 3.6 in");
        assert_eq!(spoken(700.0, DistanceUnit::Foot), "2 ft 3½ in");
        assert_eq!(exact(914.4, DistanceUnit::Metre), "0.914 m");
        assert_eq!(exact(300.0, DistanceUnit::Foot), "11.8 in");
        let round = |mm| round_in_unit(Distance::mm(mm), DistanceUnit::Foot);
        assert_eq!([3048.0, 1371.6, 254.0, 600.0].map(round), ["10 ft", "4 ft 6 in", "10 in", "1 ft 11.6 in"]);
        assert_eq!(spoken(914.4, DistanceUnit::Metre), "0.91 m");
        assert_eq!(spoken(10_000.0, DistanceUnit::Foot), "33 ft");
        assert_eq!(spoken(3048.0, DistanceUnit::Metre), "3.05 m");
        assert_eq!(spoken(3657.6, DistanceUnit::Foot), "12 ft");
    }

    #[test]
    fn a_long_sentence_is_broken_between_words_and_loses_none() {
        let sentence = "the least sure mark is 0.45 m, ± 0.78 mm on the ring,  ringwright plan  says where";
        let lines = wrapped(sentence, "  ", 30);
        assert!(lines.lines().all(|line| line.chars().count() <= 30), "{lines}");
        assert_eq!(lines.split_whitespace().collect::<Vec<_>>(), sentence.split_whitespace().collect::<Vec<_>>());
        assert_eq!(wrapped("short", "  ", 30), "  short\n");
        // a word that has no room anywhere is still said
        assert_eq!(wrapped("a longer-than-that", "", 5), "a\n  longer-than-that\n");
    }

    #[test]
    fn depth_of_field_in_feet_takes_few_columns() {
        let feet = |mm: f64| narrow(Distance::mm(mm), DistanceUnit::Foot);
        assert_eq!([600.0, 304.8, 90.0, 30_480.0].map(feet), ["1′11.6″", "1′0.0″", "3.5″", "100′"]);
        assert_eq!(narrow(Distance::mm(600.0), DistanceUnit::Metre), "0.600 m");
    }

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!(["-0.004", "0.004"].map(|v| signed(v.parse().unwrap(), 2)), ["0.00", "0.00"]);
        assert_eq!([-0.006, 0.006].map(|v| signed(v, 2)), ["-0.01", "+0.01"]);
        assert_eq!([-0.4, -0.6].map(|v| signed(v, 0)), ["0", "-1"]);
        assert_eq!([-0.004, -0.006, 0.006].map(|v| plain(v, 2)), ["0.00", "-0.01", "0.01"]);
        assert_eq!([amount(1, "reading"), amount(2, "reading")], ["1 reading", "2 readings"]);
    }

    #[test]
    fn inches_never_reach_twelve() {
        for tenth in 2000..40_000 {
            let mm = f64::from(tenth) / 10.0;
            assert!(
                !exact(mm, DistanceUnit::Foot).contains(" 12.") && !spoken(mm, DistanceUnit::Foot).contains(" 12 in"),
                "{mm}"
            );
        }
    }
}
