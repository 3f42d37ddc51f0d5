//! Cubic interpolation that never overshoots its points.
//!
//! Source: F. N. Fritsch and J. Butland, "A method for constructing local monotone piecewise cubic interpolants",
//! SIAM J. Sci. Stat. Comput. 5 (1984) 300-304: the slope at an inner point is the weighted harmonic mean of the
//! neighbouring chords; ends take the three-point formula, limited so that the first interval stays monotone
//! (the form of the SciPy class PchipInterpolator).

/// A monotone piecewise cubic through points of strictly growing abscissa.
#[derive(Clone, Debug, PartialEq)]
pub struct Monotone {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Monotone {
    /// The curve through `points`; `None` with fewer than two, or when an abscissa does not grow or a number is not
    /// finite.
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        let finite = points.iter().all(|(x, y)| x.is_finite() && y.is_finite());
        let growing = points.windows(2).all(|pair| pair[0].0 < pair[1].0);
        if points.len() < 2 || !finite || !growing {
            return None;
        }
        let (x, y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        let step: Vec<f64> = x.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let chord: Vec<f64> = y.windows(2).zip(&step).map(|(pair, h)| (pair[1] - pair[0]) / h).collect();
        let last = x.len() - 1;
        let slope = (0..x.len())
            .map(|i| match i {
                _ if last == 1 => chord[0],
                0 => end_slope(step[0], step[1], chord[0], chord[1]),
                _ if i == last => end_slope(step[last - 1], step[last - 2], chord[last - 1], chord[last - 2]),
                _ => inner_slope(step[i - 1], step[i], chord[i - 1], chord[i]),
            })
            .collect();
        Some(Monotone { x, y, slope })
    }

    /// The least abscissa.
    pub fn first(&self) -> f64 {
        self.x[0]
    }

    /// The value at `x`; `None` outside the points.
    pub fn value(&self, x: f64) -> Option<f64> {
        let last = self.x.len() - 1;
        // an end computed in another way may differ from the knot by rounding
        let slack = 1e-12 * (self.x[last] - self.x[0]);
        if !(x >= self.x[0] - slack && x <= self.x[last] + slack) {
            return None;
        }
        let x = x.clamp(self.x[0], self.x[last]);
        let i = self.x.partition_point(|knot| *knot <= x).clamp(1, last) - 1;
        Some(self.piece(i, x))
    }

    /// The value at `x` between the points `i` and `i + 1`.
    fn piece(&self, i: usize, x: f64) -> f64 {
        let h = self.x[i + 1] - self.x[i];
        let s = (x - self.x[i]) / h;
        // Hermite basis
        let (s2, s3) = (s * s, s * s * s);
        self.y[i] * (2.0 * s3 - 3.0 * s2 + 1.0)
            + self.y[i + 1] * (3.0 * s2 - 2.0 * s3)
            + h * (self.slope[i] * (s3 - 2.0 * s2 + s) + self.slope[i + 1] * (s3 - s2))
    }

    /// An abscissa at which the curve takes `value`, by bisection between the points around it; `None` outside its
    /// range.
    pub fn inverse(&self, value: f64) -> Option<f64> {
        let last = self.x.len() - 1;
        let (first, end) = (self.y[0], self.y[last]);
        let rising = end >= first;
        let (low, high) = if rising { (first, end) } else { (end, first) };
        if !(value >= low && value <= high) {
            return None;
        }
        // the piece ends at the first point that is not below the value
        let end = self.y.partition_point(|y| (*y < value) == rising && *y != value).clamp(1, last);
        let (mut a, mut b) = (self.x[end - 1], self.x[end]);
        // 200 halvings end at neighbouring floats for any interval
        for _ in 0..200 {
            let middle = 0.5 * (a + b);
            if middle <= a || middle >= b {
                break;
            }
            if (self.piece(end - 1, middle) < value) == rising {
                a = middle;
            } else {
                b = middle;
            }
        }
        Some(if self.value(a)? == value { a } else { b })
    }
}

fn inner_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    if d0 * d1 <= 0.0 {
        return 0.0;
    }
    let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
    (w0 + w1) / (w0 / d0 + w1 / d1)
}

fn end_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    let slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if slope * d0 <= 0.0 {
        0.0
    } else if d0 * d1 <= 0.0 && slope.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn a_straight_line_stays_straight() {
        let line = Monotone::through(&[(0.0, 1.0), (0.3, 1.6), (2.0, 5.0)]).unwrap();
        assert_close(line.value(1.1).unwrap(), 3.2, 1e-12);
    }

    #[test]
    fn a_step_does_not_overshoot() {
        let step = Monotone::through(&[(0.0, 0.0), (1.0, 0.0), (2.0, 1.0), (3.0, 1.0)]).unwrap();
        for i in 0..=300 {
            let y = step.value(f64::from(i) / 100.0).unwrap();
            assert!((0.0..=1.0).contains(&y), "{y}");
        }
    }

    #[test]
    fn it_agrees_with_scipy() {
        // scipy 1.17 PchipInterpolator([0, 1, 2.5, 4, 7], [0, 2, 3, 7, 8]) at the abscissas listed
        let curve = Monotone::through(&[(0.0, 0.0), (1.0, 2.0), (2.5, 3.0), (4.0, 7.0), (7.0, 8.0)]).unwrap();
        for (x, expected) in SCIPY {
            assert_close(curve.value(*x).unwrap(), *expected, 1e-12);
        }
    }

    const SCIPY: &[(f64, f64)] = &[
        (0.2, 0.4991632183908047),
        (0.5, 1.1873563218390806),
        (0.9, 1.883006896551724),
        (1.3, 2.251420689655172),
        (2.0, 2.618646232439336),
        (2.7, 3.3396164164164164),
        (3.5, 5.937337337337337),
        (4.5, 7.2992992992992995),
        (6.0, 7.884884884884885),
        (6.9, 7.9988308308308325),
    ];

    #[test]
    fn the_inverse_finds_the_abscissa_again() {
        let curve = Monotone::through(&[(0.0, 0.0), (1.0, 2.0), (2.5, 3.0), (4.0, 7.0)]).unwrap();
        for i in 0..=40 {
            let x = f64::from(i) / 10.0;
            assert_close(curve.inverse(curve.value(x).unwrap()).unwrap(), x, 1e-9);
        }
        assert_eq!(curve.inverse(7.1), None);
    }

    #[test]
    fn at_an_end_the_slope_is_the_three_point_one_unless_that_would_overshoot() {
        // by hand: points 0, 1, 2 with chords d0 and d1 of opposite sense have the slope (3 d0 - d1)/2 at the left end,
        // at most 3 d0, and 0 in the middle; halfway up the first piece that is d0/2 + slope/8
        for (last, slope) in [(5.0, 17.5), (-5.0, 22.5), (-9.0, 24.5), (-40.0, 30.0)] {
            let curve = Monotone::through(&[(0.0, 0.0), (1.0, 10.0), (2.0, last)]).unwrap();
            assert_close(curve.value(0.5).unwrap(), 5.0 + slope / 8.0, 1e-12);
            // mirrored, the same at the right end, and upside down as well
            let mirrored = Monotone::through(&[(0.0, last), (1.0, 10.0), (2.0, 0.0)]).unwrap();
            assert_close(mirrored.value(1.5).unwrap(), 5.0 + slope / 8.0, 1e-12);
            let falling = Monotone::through(&[(0.0, 0.0), (1.0, -10.0), (2.0, -last)]).unwrap();
            assert_close(falling.value(0.5).unwrap(), -5.0 - slope / 8.0, 1e-12);
        }
    }

    #[test]
    fn no_curve_goes_through_points_that_stand_still_or_are_no_numbers() {
        assert!(Monotone::through(&[(0.0, 0.0), (1.0, 2.0)]).is_some());
        let point = [(0.0, 0.0)];
        let upright = [(0.0, 0.0), (1.0, 1.0), (1.0, 2.0)];
        let back = [(0.0, 0.0), (2.0, 1.0), (1.0, 2.0)];
        let nowhere = [(0.0, 0.0), (1.0, f64::NAN)];
        let endless = [(0.0, 0.0), (f64::INFINITY, 1.0)];
        for points in [&point[..], &upright, &back, &nowhere, &endless] {
            assert_eq!(Monotone::through(points), None, "{points:?}");
        }
    }

    #[test]
    fn an_end_missed_by_a_rounding_is_the_end_and_nothing_farther_out_is() {
        let curve = Monotone::through(&[(100.0, 1.0), (102.0, 3.0), (104.0, 7.0)]).unwrap();
        assert_close(curve.first(), 100.0, 0.0);
        // numbers near 100 are 1.4e-14 apart
        for (x, end) in [(100.0 - 1e-12, 1.0), (104.0 + 1e-12, 7.0)] {
            assert_close(curve.value(x).unwrap(), end, 1e-9);
        }
        assert_eq!((curve.value(100.0 - 1e-10), curve.value(104.0 + 1e-10)), (None, None));
    }
}
