//! Ladders: the customary steps of a unit, how round a value is, and which values people ask for first.
//!
//! Takes and gives whole counts, so that what divides what is integer arithmetic. A further unit is one more [`Ladder`]
//! below, and nothing else.
//!
//! Sources: steps of 1, 2 or 5 times a power of ten (EN 837-1; MIL-HDBK-759B, 5.2.2.3.1.4.1); inches in halves, quarters
//! and eighths, and which values are customary, are common practice, no source.

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
    /// Rungs of 1, 2 and 5 times a power of ten from here on may stand alone beyond the farthest numeral.
    pub whole: Count,
    /// Steps of 5 times a power of ten: a single tick may halve them though their half is no rung.
    halved: &'static [Count],
    /// Numerals stand at multiples of this.
    pub numbered: Count,
    /// A value whose label is as wide as labels usually are.
    pub usual: Count,
    label: fn(Count) -> String,
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
    whole: 96,
    halved: &[480, 4_800, 48_000],
    // eighths are ticks: the faces have no numerals for them
    numbered: 2,
    usual: 240,
    label: foot_label,
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
    pub fn label(&self, value: Count) -> String {
        (self.label)(value)
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

/// Metres with as many decimals as the value has: `0.45`, `1.5`, `10`.
fn metre_label(value: Count) -> String {
    let (whole, rest) = (value / 1000, value % 1000);
    let text = format!("{whole}.{rest:03}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Feet and inches with primes: `2′6″`, `3′`, `11½″`.
fn foot_label(value: Count) -> String {
    let (feet, rest) = (value / 96, value % 96);
    let fraction = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"][(rest % 8) as usize];
    let inches = match (rest / 8, fraction) {
        (0, "") => String::new(),
        (0, fraction) => format!("{fraction}″"),
        (whole, fraction) => format!("{whole}{fraction}″"),
    };
    if feet == 0 { inches } else { format!("{feet}′{inches}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_carry_primes_and_fractions_of_an_inch() {
        let labels = [(240, "2′6″"), (288, "3′"), (284, "2′11½″"), (90, "11¼″"), (4, "½″"), (960, "10′"), (97, "1′⅛″")];
        for (value, label) in labels {
            assert_eq!(FOOT.label(value), label);
        }
    }

    #[test]
    fn metres_show_no_idle_zeros() {
        for (value, label) in [(900, "0.9"), (1000, "1"), (875, "0.875"), (10_000, "10"), (20_500, "20.5")] {
            assert_eq!(METRE.label(value), label);
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
            assert_eq!(rounded(&FOOT, value), bits, "{}", FOOT.label(value));
        }
    }

    #[test]
    fn every_rung_divides_a_coarser_one_and_has_no_length() {
        for ladder in [&METRE, &FOOT] {
            assert!(ladder.rungs.windows(2).all(|pair| pair[0] < pair[1]));
            assert!(ladder.rungs.iter().all(|rung| ladder.bits(*rung) == 0.0));
            assert!(ladder.lone().all(|value| ladder.demand(value) >= 0.1));
        }
    }
}
