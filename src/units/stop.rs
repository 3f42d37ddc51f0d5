//! Stops: what is engraved is a rounding, what is computed with is a power of two.
//!
//! A stop of the standard series is held as sixths of a stop from f/1, N = 2^(s/12): full stops are every
//! sixth step, half stops every third, third stops every second. A number outside the series is held as it is.
//!
//! Sources: the relation N = 2^(i/2) and the nominal full, half and third stops are the common photographic
//! series (encyclopedia article "F-number"; f-stop tables of the APEX system). Labels below f/1 and above f/128
//! continue the same rounding, from memory.

use std::fmt;

/// Into how many steps a stop is divided on a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Division {
    /// Full stops.
    Full,
    /// Half stops.
    Half,
    /// Third stops.
    Third,
}

impl Division {
    /// Sixths of a stop from one mark to the next.
    pub fn sixths(self) -> i32 {
        match self {
            Division::Full => 6,
            Division::Half => 3,
            Division::Third => 2,
        }
    }

    /// The division with `steps` to the stop; 1, 2 and 3 exist.
    pub fn from_steps(steps: i64) -> Option<Self> {
        Some(match steps {
            1 => Division::Full,
            2 => Division::Half,
            3 => Division::Third,
            _ => return None,
        })
    }
}

/// A relative aperture, focal length over entrance-pupil diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop(Kind);

#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Sixths(i32),
    Exact(f64),
}

/// (sixths, label) between f/1 and f/2 for every step of the three series; others follow by doubling, but for
/// the customary roundings in [`SPECIAL`].
const SPECIAL: &[(i32, &str)] = &[
    (-12, "0.5"),
    (-10, "0.56"),
    (-9, "0.6"),
    (-8, "0.63"),
    (-6, "0.7"),
    (-4, "0.8"),
    (-3, "0.8"),
    (-2, "0.9"),
    (0, "1"),
    (2, "1.1"),
    (3, "1.2"),
    (4, "1.2"),
    (6, "1.4"),
    (8, "1.6"),
    (9, "1.7"),
    (10, "1.8"),
    (12, "2"),
    (14, "2.2"),
    (15, "2.4"),
    (16, "2.5"),
    (18, "2.8"),
    (20, "3.2"),
    (21, "3.3"),
    (22, "3.5"),
    (24, "4"),
    (26, "4.5"),
    (27, "4.8"),
    (28, "5"),
    (30, "5.6"),
    (32, "6.3"),
    (33, "6.7"),
    (34, "7.1"),
    (36, "8"),
    (38, "9"),
    (39, "9.5"),
    (40, "10"),
    (42, "11"),
    (44, "13"),
    (45, "13"),
    (46, "14"),
    (48, "16"),
    (50, "18"),
    (51, "19"),
    (52, "20"),
    (54, "22"),
    (56, "25"),
    (57, "27"),
    (58, "29"),
    (60, "32"),
    (62, "36"),
    (63, "38"),
    (64, "40"),
    (66, "45"),
    (68, "51"),
    (69, "54"),
    (70, "57"),
    (72, "64"),
    (74, "72"),
    (75, "76"),
    (76, "80"),
    (78, "90"),
    (80, "102"),
    (81, "107"),
    (82, "114"),
    (84, "128"),
];

impl Stop {
    /// The stop `sixths` sixths of a stop slower than f/1.
    pub fn from_sixths(sixths: i32) -> Self {
        Stop(Kind::Sixths(sixths))
    }

    /// The stop whose number is exactly `number`, whatever the series says.
    ///
    /// # Panics
    /// When `number` is not a finite number greater than zero.
    pub fn exact(number: f64) -> Self {
        assert!(number.is_finite() && number > 0.0, "a stop is a finite number above zero");
        Stop(Kind::Exact(number))
    }

    /// The stop that a person means by an engraved `number`.
    ///
    /// A nominal number stands for a step of the series: of `division` if that series has it, else of the series in
    /// which the exact value lies nearest (so 1.2 alone is the half stop 2^(1/4)). Any other number is
    /// taken as it stands. `None` when the number is not finite and above zero.
    pub fn nominal(number: f64, division: Division) -> Option<Self> {
        if !(number.is_finite() && number > 0.0) {
            return None;
        }
        let named = SPECIAL.iter().filter(|(_, label)| label.parse::<f64>().is_ok_and(|n| (n - number).abs() < 1e-9));
        let nearest = named.min_by(|(a, _), (b, _)| {
            let off_series = |s: i32| i32::from(s % division.sixths() != 0);
            let error = |s: i32| (Stop::from_sixths(s).number() / number).ln().abs();
            (off_series(*a)).cmp(&off_series(*b)).then(error(*a).total_cmp(&error(*b)))
        });
        Some(nearest.map_or(Stop(Kind::Exact(number)), |(sixths, _)| Stop::from_sixths(*sixths)))
    }

    /// The number to compute with.
    ///
    /// ```text
    /// N = 2^(s/12)        s: sixths of a stop from f/1
    /// ```
    pub fn number(self) -> f64 {
        match self.0 {
            Kind::Sixths(s) => (f64::from(s) / 12.0).exp2(),
            Kind::Exact(number) => number,
        }
    }

    /// Stops slower than f/1: the aperture value of the APEX system, 2 log2 N.
    pub fn in_stops(self) -> f64 {
        match self.0 {
            Kind::Sixths(s) => f64::from(s) / 6.0,
            Kind::Exact(number) => 2.0 * number.log2(),
        }
    }

    /// The step of the series in sixths of a stop, when the stop is one.
    pub fn sixths(self) -> Option<i32> {
        match self.0 {
            Kind::Sixths(s) => Some(s),
            Kind::Exact(_) => None,
        }
    }

    /// What is engraved.
    pub fn label(self) -> String {
        let listed = self.sixths().and_then(|s| SPECIAL.iter().find(|(listed, _)| *listed == s));
        match listed {
            Some((_, label)) => (*label).to_string(),
            None => {
                let number = self.number();
                let digits = if number >= 10.0 { 0 } else { 1 };
                let text = format!("{number:.digits$}");
                match text.strip_suffix(".0") {
                    Some(whole) => whole.to_string(),
                    None => text,
                }
            }
        }
    }
}

impl fmt::Display for Stop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "f/{}", self.label())
    }
}

/// A photometric stop: the f-number of a lens without losses that lets the same light through. Not for geometry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TStop(Stop);

impl TStop {
    /// A T-stop of the series or of an exact value.
    pub fn new(stop: Stop) -> Self {
        TStop(stop)
    }

    /// The T-stop of a lens set to `stop`.
    ///
    /// ```text
    /// T = N / sqrt(tau)        tau: transmittance, 0 < tau <= 1
    /// ```
    ///
    /// Source: encyclopedia article "F-number", section on T-stops.
    ///
    /// # Panics
    /// When `transmittance` is not in (0, 1].
    pub fn of(stop: Stop, transmittance: f64) -> Self {
        assert!(transmittance > 0.0 && transmittance <= 1.0, "a transmittance lies in (0, 1]");
        TStop(Stop::exact(stop.number() / transmittance.sqrt()))
    }

    /// The f-number to which a lens of this transmittance is set for the T-stop.
    ///
    /// # Panics
    /// When `transmittance` is not in (0, 1].
    pub fn to_stop(self, transmittance: f64) -> Stop {
        assert!(transmittance > 0.0 && transmittance <= 1.0, "a transmittance lies in (0, 1]");
        Stop::exact(self.0.number() * transmittance.sqrt())
    }

    /// The photometric number to compute with.
    pub fn number(self) -> f64 {
        self.0.number()
    }

    /// What is engraved.
    pub fn label(self) -> String {
        self.0.label()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nominal_number_stands_for_its_exact_stop() {
        let five_six = Stop::nominal(5.6, Division::Full).unwrap();
        assert_eq!(five_six.label(), "5.6");
        assert!((five_six.number() - 5.656_854_249).abs() < 1e-9);
    }

    #[test]
    fn an_ambiguous_number_follows_the_division_of_the_scale() {
        assert_eq!(Stop::nominal(13.0, Division::Half).unwrap().sixths(), Some(45));
        assert_eq!(Stop::nominal(13.0, Division::Third).unwrap().sixths(), Some(44));
        assert_eq!(Stop::nominal(1.2, Division::Full).unwrap().sixths(), Some(3));
        assert_eq!(Stop::nominal(1.2, Division::Third).unwrap().sixths(), Some(4));
    }

    #[test]
    fn a_number_outside_the_series_is_kept() {
        let stop = Stop::nominal(1.9, Division::Full).unwrap();
        assert_eq!(stop.sixths(), None);
        assert_eq!(stop.number(), 1.9);
        assert_eq!(stop.label(), "1.9");
        assert_eq!(Stop::nominal(f64::NAN, Division::Full), None);
        assert_eq!(Stop::nominal(-2.0, Division::Full), None);
    }

    #[test]
    fn a_t_stop_goes_back_to_its_f_number() {
        let t = TStop::of(Stop::from_sixths(12), 0.75);
        assert_eq!(t.label(), "2.3");
        assert!((t.to_stop(0.75).number() - 2.0).abs() < 1e-12);
    }
}
