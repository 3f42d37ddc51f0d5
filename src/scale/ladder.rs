//! Ladders: the customary steps of a unit, how round a value is, and which values people ask for first.
//!
//! Takes and gives whole counts, so that what divides what is integer arithmetic. A further unit is one more [`Ladder`]
//! below, and nothing else.
//!
//! Sources: steps of 1, 2 or 5 times a power of ten (EN 837-1; MIL-HDBK-759B, 5.2.2.3.1.4.1); inches in halves, quarters
//! and eighths, and which values are customary, are common practice, no source.

use super::figures::{Feet, Figures, Inches};

/// A value in counts of its ladder.
pub type Count = i32;

/// The customary steps of a unit.
#[derive(Debug)]
pub struct Ladder {
    /// One count, mm.
    pub count_mm: f64,
    /// The customary steps from the finest up.
    pub rungs: &'static [Count],
    /// Values of the first class: a scale without one of these looks faulty.
    first: &'static [Count],
    /// Values of the second class.
    second: &'static [Count],
    /// Values that are not customary but may be the farthest numeral.
    also_lone: &'static [Count],
    /// No customary value beyond this is missed on a scale.
    pub missed_to: Count,
    /// Rungs of 1, 2 and 5 times a power of ten from here on may stand alone beyond the farthest numeral.
    pub whole: Count,
    /// Steps of 5 times a power of ten: a single tick may halve them though their half is no rung.
    halved: &'static [Count],
    /// Numerals stand at multiples of this.
    pub numbered: Count,
    /// A value whose label is as wide as labels usually are.
    pub usual: Count,
    label: fn(Count, Figures) -> String,
}

/// Metres in counts of a millimetre.
pub static METRE: Ladder = Ladder {
    count_mm: 1.0,
    rungs: &[
        1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000, 200_000, 500_000,
        1_000_000,
    ],
    first: &[100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000, 200_000, 500_000],
    second: &[150, 300, 1_500, 3_000, 15_000, 30_000, 150_000, 300_000],
    also_lone: &[],
    missed_to: 50_000,
    whole: 1_000,
    halved: &[50, 500, 5_000, 50_000, 500_000],
    numbered: 1,
    usual: 500,
    label: metre_label,
};

/// Feet and inches in counts of an eighth of an inch.
pub static FOOT: Ladder = Ladder {
    count_mm: 3.175,
    rungs: &[1, 2, 4, 8, 16, 24, 48, 96, 192, 480, 960, 1_920, 4_800, 9_600, 19_200, 48_000, 96_000, 192_000],
    first: &[96, 192, 288, 480, 960, 1_920, 4_800, 9_600, 19_200, 48_000],
    second: &[48, 144, 384, 576, 1_440, 2_880],
    also_lone: &[3_840],
    missed_to: 9_600,
    whole: 96,
    halved: &[480, 4_800, 48_000],
    // eighths are ticks: the faces have no numerals for them
    numbered: 2,
    usual: 240,
    label: foot_label,
};

/// Feet in counts of a hundredth of a foot, for numbers without inches.
pub static DECIMAL_FOOT: Ladder = Ladder {
    count_mm: 3.048,
    rungs: &[1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000, 100_000, 200_000],
    first: &[50, 100, 200, 300, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000],
    second: &[150, 400, 600, 1_500, 3_000],
    also_lone: &[4_000],
    missed_to: 10_000,
    whole: 100,
    halved: &[50, 500, 5_000, 50_000],
    numbered: 1,
    usual: 250,
    label: decimal_foot_label,
};

/// How much a value is missed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Custom {
    /// Rarely looked for.
    None,
    /// Customary where there is room.
    Second,
    /// Customary on every scale.
    First,
}

impl Ladder {
    /// The largest rung that divides a value: G(v).
    pub fn largest_rung(&self, value: Count) -> Count {
        self.rungs.iter().copied().rev().find(|rung| value % rung == 0).unwrap_or(1)
    }

    /// How long a number is in its own ladder, bits.
    ///
    /// ```text
    /// bits(v) = log2(v / G(v))        G(v) the largest rung that divides v
    /// ```
    pub fn bits(&self, value: Count) -> f64 {
        -self.demand(value).log2()
    }

    /// How often a value is asked for, against the roundest.
    ///
    /// ```text
    /// demand(v) = G(v) / v = 2^-bits(v)
    /// ```
    pub fn demand(&self, value: Count) -> f64 {
        f64::from(self.largest_rung(value)) / f64::from(value)
    }

    /// The longest number that a scale can hold, bits: the farthest value over the finest step.
    pub fn bits_at_most(&self) -> f64 {
        let ends = self.rungs.last().zip(self.rungs.first());
        ends.map_or(0.0, |(far, fine)| (f64::from(*far) / f64::from(*fine)).log2())
    }

    /// How much a value is missed.
    pub fn custom(&self, value: Count) -> Custom {
        if self.first.contains(&value) {
            Custom::First
        } else if self.second.contains(&value) {
            Custom::Second
        } else {
            Custom::None
        }
    }

    /// Values so round that they may be the farthest numeral, or stand beside each other without ticks between them.
    pub fn lone(&self) -> impl Iterator<Item = Count> + '_ {
        self.first.iter().chain(self.second).chain(self.also_lone).copied()
    }

    /// Whether a single tick may halve an interval of this step.
    pub fn may_be_halved(&self, step: Count) -> bool {
        self.halved.contains(&step)
    }

    /// Whether a step is customary.
    pub fn is_rung(&self, step: Count) -> bool {
        self.rungs.binary_search(&step).is_ok()
    }

    /// The number as it is engraved.
    pub fn label(&self, value: Count, figures: Figures) -> String {
        (self.label)(value, figures)
    }

    /// The distance, mm.
    pub fn mm(&self, value: Count) -> f64 {
        f64::from(value) * self.count_mm
    }

    /// The value nearest to a distance in mm, if a count holds it.
    pub fn nearest(&self, mm: f64) -> Option<Count> {
        let counts = (mm / self.count_mm).round();
        (counts >= 1.0 && counts <= f64::from(Count::MAX / 2)).then_some(counts as Count)
    }
}

/// A number of thousandths with as many decimals as it has.
fn decimal(thousandths: Count) -> String {
    let text = format!("{}.{:03}", thousandths / 1000, thousandths % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Metres: `0.45`, `1.5`, `10`.
fn metre_label(value: Count, figures: Figures) -> String {
    figures.signed(decimal(value), "m")
}

/// Feet without inches: `2.5`, `10`.
fn decimal_foot_label(value: Count, figures: Figures) -> String {
    let text = format!("{}.{:02}", value / 100, value % 100);
    figures.signed(text.trim_end_matches('0').trim_end_matches('.').to_string(), "ft")
}

/// Feet and inches: `2′6″`, `3′`, `11½″`, or as the figures say.
fn foot_label(value: Count, figures: Figures) -> String {
    let (feet, rest) = (value / 96, value % 96);
    let inches = match figures.inches {
        Inches::Decimal => decimal(rest * 125),
        Inches::Fractions => {
            let fraction = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"][(rest % 8) as usize];
            match rest / 8 {
                0 if !fraction.is_empty() => fraction.to_string(),
                whole => format!("{whole}{fraction}"),
            }
        }
    };
    match (figures.feet, feet, rest) {
        (Feet::Primes, _, 0) => format!("{feet}′"),
        (Feet::Primes, 0, _) => format!("{inches}″"),
        (Feet::Primes, ..) => format!("{feet}′{inches}″"),
        (Feet::Words, _, 0) => format!("{feet} ft"),
        (Feet::Words, 0, _) => format!("{inches} in"),
        (Feet::Words, ..) => format!("{feet} ft {inches} in"),
        (Feet::Dash | Feet::Decimal, _, 0) => figures.signed(feet.to_string(), "ft"),
        (Feet::Dash | Feet::Decimal, ..) => figures.signed(format!("{feet}-{inches}"), "ft"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scale::UnitSign;

    #[test]
    fn feet_carry_primes_and_fractions_of_an_inch() {
        let labels = [(240, "2′6″"), (288, "3′"), (284, "2′11½″"), (90, "11¼″"), (4, "½″"), (960, "10′"), (97, "1′⅛″")];
        for (value, label) in labels {
            assert_eq!(FOOT.label(value, Figures::default()), label);
        }
    }

    #[test]
    fn feet_are_written_as_the_user_likes() {
        let written = |value: Count, feet: Feet, inches: Inches| {
            FOOT.label(value, Figures { feet, inches, ..Figures::default() })
        };
        let all = |feet, inches| [288, 240, 284, 76, 4].map(|value| written(value, feet, inches)).join(" | ");
        assert_eq!(all(Feet::Primes, Inches::Decimal), "3′ | 2′6″ | 2′11.5″ | 9.5″ | 0.5″");
        assert_eq!(all(Feet::Dash, Inches::Fractions), "3 | 2-6 | 2-11½ | 0-9½ | 0-½");
        assert_eq!(all(Feet::Words, Inches::Decimal), "3 ft | 2 ft 6 in | 2 ft 11.5 in | 9.5 in | 0.5 in");
        let signed = Figures { feet: Feet::Decimal, sign: UnitSign::Each, ..Figures::default() };
        assert_eq!(
            [250, 300, 25].map(|value| DECIMAL_FOOT.label(value, signed)).join(" | "),
            "2.5 ft | 3 ft | 0.25 ft"
        );
        assert_eq!(METRE.label(450, signed), "0.45 m");
    }

    #[test]
    fn metres_show_no_idle_zeros() {
        for (value, label) in [(900, "0.9"), (1000, "1"), (875, "0.875"), (10_000, "10"), (20_500, "20.5")] {
            assert_eq!(METRE.label(value, Figures::default()), label);
        }
    }

    #[test]
    fn a_number_is_as_long_as_its_significant_part() {
        let rounded = |ladder: &Ladder, value| (ladder.bits(value) * 10.0).round() / 10.0;
        let metres = [(1000, 0.0), (2000, 0.0), (500, 0.0), (4000, 1.0), (1500, 1.6), (3000, 1.6), (6000, 1.6)];
        let more = [(8000, 2.0), (2500, 2.3), (1200, 2.6), (450, 3.2), (1100, 3.5), (1300, 3.7)];
        for (value, bits) in metres.into_iter().chain(more) {
            assert_eq!(rounded(&METRE, value), bits, "{value} mm");
        }
        let feet = [(480, 0.0), (960, 0.0), (288, 1.6), (144, 1.6), (240, 2.3), (120, 2.3), (160, 3.3), (184, 4.5)];
        for (value, bits) in feet {
            assert_eq!(rounded(&FOOT, value), bits, "{}", FOOT.label(value, Figures::default()));
        }
    }

    #[test]
    fn values_that_are_looked_for_are_customary() {
        let metre = |mm| METRE.custom(mm) != Custom::None;
        assert!(
            [100, 150, 200, 300, 500, 1_000, 1_500, 2_000, 3_000, 5_000, 10_000, 15_000, 30_000].into_iter().all(metre)
        );
        assert!(![400, 450, 700, 1_200, 4_000, 7_000, 25_000].into_iter().any(metre));
        let foot = |feet: f64| FOOT.custom((feet * 96.0) as Count) != Custom::None;
        assert!([0.5, 1.0, 1.5, 4.0, 6.0, 15.0, 30.0, 100.0].into_iter().all(foot));
        assert!(![2.5, 7.0, 8.0].into_iter().any(foot));
    }

    #[test]
    fn every_rung_divides_a_coarser_one_and_has_no_length() {
        for ladder in [&METRE, &FOOT, &DECIMAL_FOOT] {
            assert!(ladder.rungs.windows(2).all(|pair| pair[0] < pair[1]));
            assert!(ladder.rungs.iter().all(|rung| ladder.bits(*rung) == 0.0));
            assert!(ladder.lone().all(|value| ladder.demand(value) >= 0.1));
        }
    }
}
