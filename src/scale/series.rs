//! Customary values: which distances people number, how round each is, and which steps a reader can count.
//!
//! Sources: graduation in 1, 2 or 5 times a power of ten (MIL-HDBK-759B, 5.2.2.3.1; ASME B40.100); at most nine plain
//! marks between numbered ones (same). Which distances stand on old lenses, the inches and quarter feet near, whole
//! feet far, is common practice, no source.

use super::BandUnit;
use crate::units::{DistanceUnit, Stop};

/// A customary distance.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Customary {
    pub mm: f64,
    pub label: String,
    /// What a numeral here is worth; 10 for the roundest.
    pub weight: f64,
    /// The stop whose hyperfocal setting this is: asked for, and no distance of the series.
    pub hyperfocal: Option<Stop>,
}

/// Customary distances from `nearest` mm outward, in falling order.
pub(super) fn distances(unit: BandUnit, nearest: f64, focal_length: f64) -> Vec<Customary> {
    // Old scales number up to about 10 m for 50 mm and 20 m for 135 mm (common practice, no source): beyond 200 F a
    // numeral is worth half, beyond 2000 F nothing.
    let far = 200.0 * focal_length;
    let mut values = match unit {
        BandUnit::Distance(DistanceUnit::Metre) => metres(nearest, 10.0 * far),
        _ => feet(nearest, 10.0 * far),
    };
    for value in &mut values {
        if value.mm > far * 1.001 {
            value.weight *= 0.5;
        }
    }
    values.sort_by(|a, b| b.mm.total_cmp(&a.mm));
    values
}

/// (hundredths of the decade, weight)
const METRIC: &[(u32, f64)] = &[
    (100, 10.0),
    (105, 0.6),
    (110, 3.0),
    (115, 0.6),
    (120, 5.0),
    (125, 0.6),
    (130, 3.0),
    (135, 0.6),
    (140, 3.0),
    (145, 0.6),
    (150, 7.0),
    (160, 3.0),
    (170, 3.0),
    (180, 3.5),
    (190, 2.5),
    (200, 10.0),
    (220, 2.0),
    (240, 1.5),
    (250, 6.0),
    (260, 1.5),
    (280, 1.5),
    (300, 8.0),
    (350, 4.0),
    (400, 7.5),
    (450, 4.0),
    (500, 10.0),
    (550, 2.5),
    (600, 6.0),
    (650, 2.0),
    (700, 6.5),
    (750, 2.0),
    (800, 6.0),
    (850, 2.0),
    (900, 5.0),
    (950, 2.0),
];

fn metres(nearest: f64, farthest: f64) -> Vec<Customary> {
    let mut values = Vec::new();
    for power in 1..=5 {
        let decade = 10f64.powi(power);
        for (hundredths, weight) in METRIC {
            values.push((decade * f64::from(*hundredths) / 100.0, *weight));
        }
        // single steps near the close end of a long throw: 0.31, 0.32 ...
        for tenths in 30..100 {
            if tenths % 5 != 0 {
                values.push((decade * f64::from(tenths) / 10.0, 0.8));
            }
        }
    }
    let in_reach = values.into_iter().filter(|(mm, _)| *mm >= nearest && *mm <= farthest);
    in_reach.map(|(mm, weight)| Customary { mm, label: metre_label(mm), weight, hyperfocal: None }).collect()
}

/// Metres with as many decimals as the value has, three at most.
pub(super) fn metre_label(mm: f64) -> String {
    let text = format!("{:.3}", mm / 1000.0);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn feet(nearest: f64, farthest: f64) -> Vec<Customary> {
    let mut values = Vec::new();
    let mut push = |inches: f64, weight: f64| {
        let mm = inches * 25.4;
        if mm >= nearest && mm <= farthest {
            values.push(Customary { mm, label: foot_label(inches), weight, hyperfocal: None });
        }
    };
    for feet in 1..=20 {
        let weight = match feet {
            5 | 10 => 12.0,
            1 | 2 | 3 | 20 => 10.0,
            4 | 6 | 8 | 15 => 6.5,
            7 | 12 => 5.0,
            9 => 4.0,
            _ => 3.0,
        };
        push(f64::from(feet) * 12.0, weight);
    }
    for (feet, weight) in [
        (25, 5.0),
        (30, 8.0),
        (40, 6.0),
        (50, 9.0),
        (60, 5.0),
        (70, 3.0),
        (80, 4.0),
        (100, 10.0),
        (150, 5.0),
        (200, 8.0),
        (300, 6.0),
        (500, 6.0),
    ] {
        push(f64::from(feet) * 12.0, weight);
    }
    for half_inches in 8u32..240 {
        let inches = f64::from(half_inches) / 2.0;
        let weight = match half_inches {
            h if h % 24 == 0 => continue,
            h if h % 12 == 0 => 5.0,
            h if h % 6 == 0 && inches < 72.0 => 3.0,
            h if h % 4 == 0 && inches < 48.0 => 2.0,
            h if h % 2 == 0 && inches < 48.0 => 1.2,
            _ if inches < 24.0 => 0.6,
            _ => continue,
        };
        push(inches, weight);
    }
    values
}

/// Feet and inches with primes, inches in quarters: `2′6″`, `3′`, `11½″`.
pub(super) fn foot_label(inches: f64) -> String {
    let quarters = (inches * 4.0).round() as i64;
    let (feet, rest) = (quarters / 48, quarters % 48);
    let fraction = ["", "¼", "½", "¾"][(rest % 4) as usize];
    let whole = rest / 4;
    let inch_part = match (whole, fraction) {
        (0, "") => String::new(),
        (0, fraction) => format!("{fraction}″"),
        (whole, fraction) => format!("{whole}{fraction}″"),
    };
    if feet == 0 { inch_part } else { format!("{feet}′{inch_part}") }
}

/// Whether a reader can count in steps of so many mm: 1, 2, 2.5 or 5 times a power of ten, or customary inches.
pub(super) fn countable(unit: BandUnit, step_mm: f64) -> bool {
    match unit {
        BandUnit::Distance(DistanceUnit::Metre) => {
            let mantissa = step_mm / 10f64.powf(step_mm.log10().floor());
            [1.0, 2.0, 2.5, 5.0, 10.0].iter().any(|round| (mantissa / round - 1.0).abs() < 1e-6)
        }
        _ => {
            let inches = step_mm / 25.4;
            [0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 60.0, 120.0, 240.0, 300.0, 600.0]
                .iter()
                .any(|round| (inches / round - 1.0).abs() < 1e-6)
        }
    }
}

/// Into how many equal steps of value the stretch between two numbered marks may be divided.
pub(super) const DIVISIONS: [u32; 4] = [10, 5, 4, 2];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_carry_primes_and_quarter_inches() {
        for (inches, label) in
            [(30.0, "2′6″"), (36.0, "3′"), (35.5, "2′11½″"), (11.25, "11¼″"), (0.5, "½″"), (120.0, "10′")]
        {
            assert_eq!(foot_label(inches), label);
        }
    }

    #[test]
    fn metres_show_no_idle_zeros() {
        for (mm, label) in [(900.0, "0.9"), (1000.0, "1"), (875.0, "0.875"), (10000.0, "10")] {
            assert_eq!(metre_label(mm), label);
        }
    }

    #[test]
    fn no_value_is_listed_twice_and_all_lie_in_reach() {
        for unit in [BandUnit::Distance(DistanceUnit::Metre), BandUnit::Distance(DistanceUnit::Foot)] {
            let values = distances(unit, 300.0, 50.0);
            assert!(values.len() > 60);
            assert!(values.windows(2).all(|pair| pair[0].mm - pair[1].mm > 0.1), "{unit:?}");
            assert!(values.iter().all(|value| value.mm >= 300.0 && value.mm <= 100_000.0));
        }
    }

    #[test]
    fn steps_of_three_or_seven_tenths_cannot_be_counted() {
        assert!(
            countable(BandUnit::Distance(DistanceUnit::Metre), 200.0)
                && countable(BandUnit::Distance(DistanceUnit::Metre), 25.0)
        );
        assert!(
            !countable(BandUnit::Distance(DistanceUnit::Metre), 300.0)
                && !countable(BandUnit::Distance(DistanceUnit::Metre), 70.0)
        );
        assert!(
            countable(BandUnit::Distance(DistanceUnit::Foot), 3.0 * 25.4)
                && !countable(BandUnit::Distance(DistanceUnit::Foot), 2.4 * 25.4)
        );
    }
}
