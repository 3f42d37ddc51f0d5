//! Chi-square: the probability that a sum of squares is so large by chance.
//!
//! Source: the closed forms of the chi-square distribution for whole degrees of freedom (Abramowitz and Stegun,
//! Handbook of Mathematical Functions, 26.4.4 and 26.4.5).

/// Probability that chi-square with `freedom` degrees of freedom exceeds `value`; 1 where there is no freedom.
///
/// ```text
/// even:  exp(-x/2) sum_{k=0}^{n/2-1} (x/2)^k / k!
/// odd:   erfc(sqrt(x/2)) + sqrt(2 x/pi) exp(-x/2) sum_{k=0}^{(n-3)/2} x^k / (1 3 5 ... (2k+1))
/// ```
pub(super) fn exceeding(value: f64, freedom: usize) -> f64 {
    if freedom == 0 {
        return 1.0;
    }
    let x = value.max(0.0);
    if freedom.is_multiple_of(2) {
        let mut term = (-x / 2.0).exp();
        let mut sum = 0.0;
        for k in 0..freedom / 2 {
            sum += term;
            term *= x / 2.0 / (k as f64 + 1.0);
        }
        sum
    } else {
        let mut term = (2.0 * x / std::f64::consts::PI).sqrt() * (-x / 2.0).exp();
        let mut sum = libm::erfc((x / 2.0).sqrt());
        for k in 0..freedom / 2 {
            sum += term;
            term *= x / (2.0 * k as f64 + 3.0);
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn upper_critical_values_are_the_handbooks() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, upper-tail critical values, from memory
        for (freedom, critical) in
            [(1, 6.635), (2, 9.210), (3, 11.345), (4, 13.277), (5, 15.086), (10, 23.209), (21, 38.932)]
        {
            assert_close(exceeding(critical, freedom), 0.01, 2e-5);
        }
        for (freedom, critical) in [(1, 3.841), (6, 12.592), (15, 24.996)] {
            assert_close(exceeding(critical, freedom), 0.05, 2e-5);
        }
    }

    #[test]
    fn nothing_is_exceeded_for_certain_and_no_freedom_never_refutes() {
        for freedom in 1..12 {
            assert_close(exceeding(0.0, freedom), 1.0, 1e-12);
        }
        assert_eq!(exceeding(1e9, 0), 1.0);
    }
}
