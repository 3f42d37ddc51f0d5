//! Readings repeated at one distance show how accurately the ring is read.

use super::chi_square::exceeding;
use super::{Means, Reading};
use crate::units::Angle;

/// Level of significance: a scatter that happens by chance once in a hundred sets is accepted as real (common practice, no source).
const SIGNIFICANCE: f64 = 0.01;

/// The scatter of repeats, and the error that was stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Repeats {
    /// Standard deviation of the repeats.
    pub found: Angle,
    /// The error of the ring's position that was stated for them.
    pub stated: Angle,
}

/// The readings with their errors widened where repeats scatter more than stated, and the scatter that was found then.
///
/// ```text
/// s^2 = sum (at - mean)^2 / sum (n - 1)        over the readings at one distance turned one way
/// ```
///
/// Source: the pooled variance of any handbook of statistics.
pub(super) fn widened(readings: &[Reading]) -> (Vec<Reading>, Option<Repeats>) {
    let mut sorted: Vec<&Reading> = readings.iter().filter(|r| r.by == Means::Tape).collect();
    let far = |r: &Reading| r.distance.to_mm().unwrap_or(f64::INFINITY);
    let way = |r: &Reading| r.turned.map(|turned| turned as u8);
    sorted.sort_by(|a, b| far(a).total_cmp(&far(b)).then(way(a).cmp(&way(b))));
    let (mut squares, mut weighted, mut freedom) = (0.0, 0.0, 0);
    for group in sorted.chunk_by(|a, b| a.distance == b.distance && a.turned == b.turned) {
        let mean = group.iter().map(|r| r.at.to_deg()).sum::<f64>() / group.len() as f64;
        squares += group.iter().map(|r| (r.at.to_deg() - mean).powi(2)).sum::<f64>();
        weighted += group.iter().map(|r| ((r.at.to_deg() - mean) / r.error.at.to_deg()).powi(2)).sum::<f64>();
        freedom += group.len() - 1;
    }
    if freedom == 0 || exceeding(weighted, freedom) >= SIGNIFICANCE {
        return (readings.to_vec(), None);
    }
    let ratio = (weighted / freedom as f64).sqrt();
    let found = (squares / freedom as f64).sqrt();
    let wider = |r: &Reading| {
        let mut wider = *r;
        if r.by == Means::Tape {
            wider.error.at = r.error.at * ratio;
        }
        wider
    };
    let repeats = Repeats { found: Angle::deg(found), stated: Angle::deg(found / ratio) };
    (readings.iter().map(wider).collect(), Some(repeats))
}

#[cfg(test)]
mod tests {
    use super::super::ReadingError;
    use super::*;
    use crate::check::assert_close;
    use crate::units::{Distance, Length};

    fn reading(mm: f64, at: f64, by: Means) -> Reading {
        let error = ReadingError { distance: Length::mm(2.0), share: 0.0, at: Angle::deg(0.3) };
        Reading { by, ..Reading::taped(Distance::mm(mm), Angle::deg(at), error) }
    }

    #[test]
    fn tapes_that_scatter_widen_the_errors_of_tapes_and_not_those_of_old_marks() {
        let tape = |mm, at| reading(mm, at, Means::Tape);
        let mut readings = vec![tape(1000.0, 29.0), tape(1000.0, 31.0), tape(600.0, 71.0), tape(600.0, 69.0)];
        readings.push(reading(2000.0, 12.0, Means::Engraving));
        let (wider, found) = widened(&readings);
        // by hand: four deviations of 1 degree over two degrees of freedom
        let scatter = 2f64.sqrt();
        assert_close(found.unwrap().found.to_deg(), scatter, 1e-12);
        assert_close(found.unwrap().stated.to_deg(), 0.3, 1e-12);
        for (was, is) in readings.iter().zip(&wider) {
            let expected = if was.by == Means::Tape { scatter } else { 0.3 };
            assert_close(is.error.at.to_deg(), expected, 1e-12);
        }
    }

    #[test]
    fn the_same_two_distances_read_once_each_say_nothing_of_scatter() {
        let readings = [reading(1000.0, 29.0, Means::Tape), reading(600.0, 71.0, Means::Tape)];
        assert_eq!(widened(&readings), (readings.to_vec(), None));
    }
}
