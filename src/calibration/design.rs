//! Optimal design: which of many possible readings make the greatest error of a mark least.
//!
//! ```text
//! M = M0 + sum w s s'        information: of what is known, and of each reading, w = 1/sigma^2 along its slope s
//! C = 1/M                    covariance of the unknowns
//! v(m) = m' C m              variance of a mark whose angle has the slope m
//! find the readings that make the greatest v(m) least
//! ```
//!
//! A further reading needs no new inverse (J. Sherman and W. J. Morrison, Ann. Math. Stat. 21, 1950, 124):
//!
//! ```text
//! v(m) falls by w (m'C s)^2 / (1 + w s'C s)
//! ```
//!
//! Sources: J. Kiefer and J. Wolfowitz, "The equivalence of two extremum problems", Can. J. Math. 12 (1960) 363, for the
//! aim (G-optimality); V. V. Fedorov, Theory of Optimal Experiments, Academic Press 1972, for the exchange of points
//! (both from memory). Exchange may miss the best design; the tests try all subsets of small cases.

use super::least_squares::{inverse, quadratic, times};
use super::unknowns::{Matrix, N, Vector};

/// A reading that could be taken.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    /// Slope of its angle along the unknowns.
    pub slope: Vector,
    /// One over its variance in square degrees.
    pub weight: f64,
    /// The ring's position at it, degrees.
    pub at: f64,
}

/// The readings to choose from, and what is known before.
#[derive(Clone, Copy, Debug)]
pub(super) struct Design<'a> {
    /// Information before any of these readings.
    pub before: Matrix,
    /// The readings to choose from.
    pub candidates: &'a [Candidate],
    /// Slopes of the marks' angles.
    pub marks: &'a [Vector],
    /// No two chosen readings are nearer to each other on the ring, degrees.
    pub apart: f64,
}

/// Rounds of exchange at most: each lowers the greatest error; three or four usually suffice.
const ROUNDS: usize = 20;
/// Number of readings, spread evenly, that are tried in pairs: the work grows with the square.
const PAIRED: usize = 24;
/// Number of neighbours of each chosen reading that are tried as well.
const NEIGHBOURS: [isize; 9] = [-64, -16, -4, -1, 0, 1, 4, 16, 64];
/// Relative gain below which an exchange is not made.
const WORTH: f64 = 1e-9;

impl Design<'_> {
    /// The covariance with the chosen readings.
    pub fn covariance(&self, chosen: &[usize]) -> Option<Matrix> {
        let mut information = self.before;
        for i in chosen {
            add(&mut information, &self.candidates[*i]);
        }
        inverse(&information)
    }

    /// The greatest variance of a mark, and which it is.
    pub fn worst(&self, covariance: &Matrix) -> (usize, f64) {
        let each = self.marks.iter().map(|mark| quadratic(covariance, mark)).enumerate();
        each.fold((0, 0.0), |worst, mark| if mark.1 > worst.1 { mark } else { worst })
    }

    /// The best of some readings to add to others, and the greatest variance then; `None` where none brings it below `enough`.
    fn with_each(
        &self,
        covariance: &Matrix,
        some: impl Iterator<Item = usize>,
        others: &[usize],
        enough: f64,
    ) -> Option<(usize, f64)> {
        let mut marks: Vec<(f64, &Vector)> = self.marks.iter().map(|m| (quadratic(covariance, m), m)).collect();
        // the greatest variances first, so that `with_one` gives up early
        marks.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best: Option<(usize, f64)> = None;
        for i in some.filter(|i| self.far_enough(*i, others)) {
            let enough = best.map_or(enough, |best| best.1);
            let worst = with_one(covariance, &self.candidates[i], &marks, enough);
            if worst < enough {
                best = Some((i, worst));
            }
        }
        best
    }

    /// The greatest variance with one more reading, for each of them.
    pub fn one_more(&self, covariance: &Matrix) -> Vec<f64> {
        let marks: Vec<(f64, &Vector)> = self.marks.iter().map(|m| (quadratic(covariance, m), m)).collect();
        self.candidates.iter().map(|one| with_one(covariance, one, &marks, f64::INFINITY)).collect()
    }

    fn far_enough(&self, i: usize, from: &[usize]) -> bool {
        from.iter().all(|j| *j != i && (self.candidates[*j].at - self.candidates[i].at).abs() >= self.apart)
    }

    /// `count` readings, fewer where there is no room for them, and the greatest variance with them.
    pub fn best(&self, count: usize) -> Option<(Vec<usize>, f64)> {
        let starts = [self.by_volume(count), self.greedy(count), self.evenly(count)];
        let tried = starts.into_iter().flatten().filter_map(|start| self.exchanged(start));
        // a design with more readings is preferred to a better one with fewer
        tried.min_by(|a, b| b.0.len().cmp(&a.0.len()).then(a.1.total_cmp(&b.1)))
    }

    fn greedy(&self, count: usize) -> Option<Vec<usize>> {
        let mut chosen = Vec::new();
        while chosen.len() < count {
            let covariance = self.covariance(&chosen)?;
            let all = 0..self.candidates.len();
            let Some((next, _)) = self.with_each(&covariance, all, &chosen, f64::INFINITY) else { break };
            chosen.push(next);
        }
        Some(chosen)
    }

    /// The readings that make the determinant of the covariance least (D-optimality), each exchanged until none does better.
    /// Without bounds and for many readings it is the same design (Kiefer and Wolfowitz's theorem), and the criterion is smooth.
    fn by_volume(&self, count: usize) -> Option<Vec<usize>> {
        let mut chosen: Vec<usize> = Vec::new();
        let fullest = |others: &[usize]| {
            let covariance = self.covariance(others)?;
            // the determinant shrinks by the factor 1 + w s'C s
            let gain = |i: &usize| self.candidates[*i].weight * quadratic(&covariance, &self.candidates[*i].slope);
            let free = (0..self.candidates.len()).filter(|i| self.far_enough(*i, others));
            free.max_by(|a, b| gain(a).total_cmp(&gain(b)))
        };
        while chosen.len() < count {
            let Some(next) = fullest(&chosen) else { break };
            chosen.push(next);
        }
        for _ in 0..ROUNDS {
            let before = chosen.clone();
            for place in 0..chosen.len() {
                let mut others = chosen.clone();
                others.remove(place);
                chosen[place] = fullest(&others)?;
            }
            if chosen == before {
                break;
            }
        }
        Some(chosen)
    }

    /// Readings evenly over the ring: another start, for where the greedy one ends in a local optimum.
    fn evenly(&self, count: usize) -> Option<Vec<usize>> {
        let at = || self.candidates.iter().map(|one| one.at);
        let (first, last) = (at().fold(f64::INFINITY, f64::min), at().fold(f64::NEG_INFINITY, f64::max));
        let mut chosen: Vec<usize> = Vec::new();
        for step in 0..count {
            let aim = first + (last - first) * step as f64 / (count - 1).max(1) as f64;
            let off = |i: &usize| (self.candidates[*i].at - aim).abs();
            let free = (0..self.candidates.len()).filter(|i| self.far_enough(*i, &chosen));
            let Some(next) = free.min_by(|a, b| off(a).total_cmp(&off(b))) else { break };
            chosen.push(next);
        }
        Some(chosen)
    }

    /// Readings replaced by better ones, singly while that gains, in pairs where it does not.
    fn exchanged(&self, chosen: Vec<usize>) -> Option<(Vec<usize>, f64)> {
        let mut found = self.singly(chosen)?;
        for _ in 0..ROUNDS {
            let Some(better) = self.in_pairs(&found) else { break };
            found = self.singly(better)?;
        }
        Some(found)
    }

    /// Two readings replaced by two of some others, evenly over all and beside those chosen: where the worst mark changes sides, one alone can only
    /// make it worse.
    fn in_pairs(&self, (chosen, worst): &(Vec<usize>, f64)) -> Option<Vec<usize>> {
        let count = self.candidates.len();
        let beside = |i: &usize| NEIGHBOURS.map(|by| i.saturating_add_signed(by).min(count - 1));
        let mut some: Vec<usize> = (0..count).step_by(count.div_ceil(PAIRED).max(1)).collect();
        some.extend(chosen.iter().flat_map(beside));
        some.sort_unstable();
        some.dedup();
        let mut best: Option<(Vec<usize>, f64)> = None;
        for second in 1..chosen.len() {
            for first in 0..second {
                let keep = |(place, i): (usize, &usize)| (place != first && place != second).then_some(*i);
                let others: Vec<usize> = chosen.iter().enumerate().filter_map(keep).collect();
                for one in some.iter().filter(|i| self.far_enough(**i, &others)) {
                    let with_one: Vec<usize> = others.iter().copied().chain([*one]).collect();
                    let covariance = self.covariance(&with_one)?;
                    let enough = best.as_ref().map_or(*worst * (1.0 - WORTH), |best| best.1);
                    let found = self.with_each(&covariance, some.iter().copied(), &with_one, enough);
                    if let Some((two, variance)) = found {
                        best = Some((with_one.into_iter().chain([two]).collect(), variance));
                    }
                }
            }
        }
        best.map(|best| best.0)
    }

    /// Each reading replaced by the one that serves best in its place, until nothing is gained.
    fn singly(&self, mut chosen: Vec<usize>) -> Option<(Vec<usize>, f64)> {
        let mut worst = self.worst(&self.covariance(&chosen)?).1;
        for _ in 0..ROUNDS {
            let mut gained = false;
            for place in 0..chosen.len() {
                let mut others = chosen.clone();
                others.remove(place);
                let covariance = self.covariance(&others)?;
                let enough = worst * (1.0 - WORTH);
                if let Some((better, variance)) = self.with_each(&covariance, 0..self.candidates.len(), &others, enough)
                {
                    chosen[place] = better;
                    worst = variance;
                    gained = true;
                }
            }
            if !gained {
                break;
            }
        }
        Some((chosen, worst))
    }
}

/// Adds a reading to the information.
pub(super) fn add(information: &mut Matrix, one: &Candidate) {
    for (row, a) in information.iter_mut().zip(&one.slope) {
        for (cell, b) in row.iter_mut().zip(&one.slope) {
            *cell += one.weight * a * b;
        }
    }
}

/// The greatest variance with one more reading; given up once it exceeds `enough`. Marks come with their variance.
fn with_one(covariance: &Matrix, one: &Candidate, marks: &[(f64, &Vector)], enough: f64) -> f64 {
    let along = times(covariance, &one.slope);
    let dot = |a: &Vector| (0..N).map(|i| a[i] * along[i]).sum::<f64>();
    let share = one.weight / (1.0 + one.weight * dot(&one.slope));
    let mut worst: f64 = 0.0;
    for (variance, mark) in marks {
        worst = worst.max(variance - share * dot(mark).powi(2));
        if worst > enough {
            break;
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    /// Unknowns beyond the first few are known exactly.
    fn pinned(free: usize, loose: f64) -> Matrix {
        std::array::from_fn(|i| {
            std::array::from_fn(|j| match (i == j, i < free) {
                (true, true) => loose,
                (true, false) => 1e6,
                _ => 0.0,
            })
        })
    }

    fn polynomial(degree: usize, u: f64) -> Vector {
        std::array::from_fn(|i| if i <= degree { u.powi(i as i32) } else { 0.0 })
    }

    fn row(degree: usize, count: usize, weight: f64) -> Vec<Candidate> {
        let u = |i: usize| -1.0 + 2.0 * i as f64 / (count - 1) as f64;
        (0..count).map(|i| Candidate { slope: polynomial(degree, u(i)), weight, at: u(i) }).collect()
    }

    #[test]
    fn a_straight_line_is_read_at_both_ends() {
        // the textbook's G-optimal design of a + b u on [-1, 1]: half of the readings at either end, and the variance at the
        // worst mark is unknowns/readings (Kiefer and Wolfowitz 1960, from memory)
        let candidates = row(1, 21, 1.0);
        let marks: Vec<Vector> = candidates.iter().map(|one| one.slope).collect();
        let both: Vec<Candidate> = candidates.iter().flat_map(|one| [*one; 3]).collect();
        let design = Design { before: pinned(2, 1e-9), candidates: &both, marks: &marks, apart: 0.0 };
        for count in [2, 4, 6] {
            let (chosen, worst) = design.best(count).unwrap();
            let at: Vec<f64> = chosen.iter().map(|i| both[*i].at).collect();
            assert!(at.iter().all(|u| u.abs() == 1.0), "{at:?}");
            assert_close(at.iter().sum::<f64>(), 0.0, 1e-12);
            assert_close(worst, 2.0 / count as f64, 1e-6);
        }
    }

    #[test]
    fn a_parabola_and_a_cubic_are_read_where_the_textbook_reads_them() {
        // ends and middle; ends and +-1/sqrt(5): the zeros of (1 - u^2) P'(u) (Guest, Ann. Math. Stat. 29, 1958, 294, and
        // Hoel 1958, from memory)
        for (degree, inner) in [(2, vec![0.0]), (3, vec![-(0.2f64.sqrt()), 0.2f64.sqrt()])] {
            let candidates = row(degree, 401, 1.0);
            let marks: Vec<Vector> = candidates.iter().map(|one| one.slope).collect();
            let design =
                Design { before: pinned(degree + 1, 1e-9), candidates: &candidates, marks: &marks, apart: 0.01 };
            let (chosen, worst) = design.best(degree + 1).unwrap();
            let mut at: Vec<f64> = chosen.iter().map(|i| candidates[*i].at).collect();
            at.sort_by(f64::total_cmp);
            let expected: Vec<f64> = std::iter::once(-1.0).chain(inner).chain([1.0]).collect();
            at.iter().zip(&expected).for_each(|(found, expected)| assert_close(*found, *expected, 5e-3));
            assert_close(worst, 1.0, 1e-2);
        }
    }

    #[test]
    fn readings_stay_apart_and_only_as_many_as_there_is_room_for_are_chosen() {
        let candidates = row(1, 21, 1.0);
        let marks: Vec<Vector> = candidates.iter().map(|one| one.slope).collect();
        let design = Design { before: pinned(2, 1e-3), candidates: &candidates, marks: &marks, apart: 0.499 };
        let (chosen, _) = design.best(9).unwrap();
        assert_eq!(chosen.len(), 5);
        for (i, a) in chosen.iter().enumerate() {
            assert!(chosen[..i].iter().all(|b| (candidates[*a].at - candidates[*b].at).abs() > 0.4));
        }
    }
}
