//! The best readable set of labels, exactly.
//!
//! Labels are intervals on the strip; the set of greatest total weight in which neighbours keep their distance is a
//! weighted independent set of intervals, found by dynamic programming over the sorted labels (the classic
//! weighted interval scheduling). A second term for each pair of neighbours (evenness, countable steps)
//! keeps the optimum exact and makes the search quadratic in the number of candidates, which are some hundred.

/// A label that might be placed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Its tick, mm along the strip.
    pub at: f64,
    /// How far the label reaches from the tick backwards.
    pub before: f64,
    /// How far it reaches forwards.
    pub after: f64,
    /// What the label is worth.
    pub weight: f64,
    /// Whether it must be placed.
    pub required: bool,
}

impl Candidate {
    /// Clear distance between two labels, negative where they overlap.
    pub fn clear_of(&self, other: &Candidate) -> f64 {
        let (first, second) = if self.at <= other.at { (self, other) } else { (other, self) };
        (second.at - second.before) - (first.at + first.after)
    }
}

/// The places of the candidates (sorted by `at`) that make the best set: all required ones, neighbours at least `gap`
/// apart, greatest sum of weights and of `pair` over neighbours. `None` when the required ones do not fit.
pub fn best(candidates: &[Candidate], gap: f64, pair: impl Fn(usize, usize) -> f64) -> Option<Vec<usize>> {
    // score[j]: the best chain that ends with j; from[j]: its link before j
    let mut score = vec![f64::NEG_INFINITY; candidates.len()];
    let mut from: Vec<Option<usize>> = vec![None; candidates.len()];
    let mut first_required_seen = false;
    for j in 0..candidates.len() {
        if !first_required_seen {
            score[j] = candidates[j].weight;
        }
        for i in (0..j).rev() {
            if candidates[i].clear_of(&candidates[j]) >= gap && score[i] > f64::NEG_INFINITY {
                let linked = score[i] + candidates[j].weight + pair(i, j);
                if linked > score[j] {
                    score[j] = linked;
                    from[j] = Some(i);
                }
            }
            if candidates[i].required {
                break;
            }
        }
        first_required_seen |= candidates[j].required;
    }
    let last_required = candidates.iter().rposition(|c| c.required).unwrap_or(0);
    let end = (last_required..candidates.len()).max_by(|a, b| score[*a].total_cmp(&score[*b]))?;
    (score[end] > f64::NEG_INFINITY).then(|| {
        let mut chosen = vec![end];
        while let Some(before) = from[*chosen.last().unwrap_or(&end)] {
            chosen.push(before);
        }
        chosen.reverse();
        chosen
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn candidate(at: f64, width: f64, weight: f64, required: bool) -> Candidate {
        Candidate { at, before: width / 2.0, after: width / 2.0, weight, required }
    }

    #[test]
    fn two_light_labels_beat_one_heavy_one_between_them() {
        let row = [candidate(0.0, 2.0, 3.0, false), candidate(2.0, 3.0, 5.0, false), candidate(4.0, 2.0, 3.0, false)];
        assert_eq!(best(&row, 0.5, |_, _| 0.0), Some(vec![0, 2]));
    }

    #[test]
    fn required_labels_win_over_any_weight() {
        let row = [candidate(0.0, 2.0, 1.0, true), candidate(1.0, 2.0, 99.0, false), candidate(9.0, 2.0, 1.0, true)];
        assert_eq!(best(&row, 0.5, |_, _| 0.0), Some(vec![0, 2]));
    }

    #[test]
    fn required_labels_that_collide_have_no_solution() {
        let row = [candidate(0.0, 2.0, 1.0, true), candidate(1.0, 2.0, 1.0, true)];
        assert_eq!(best(&row, 0.5, |_, _| 0.0), None);
        assert_eq!(best(&[], 0.5, |_, _| 0.0), None);
    }

    fn total(row: &[Candidate], set: &[usize], pair: impl Fn(usize, usize) -> f64) -> f64 {
        set.iter().map(|i| row[*i].weight).sum::<f64>() + set.windows(2).map(|w| pair(w[0], w[1])).sum::<f64>()
    }

    proptest! {
        #[test]
        fn no_other_set_is_better(
            raw in prop::collection::vec((0.0..30.0f64, 0.5..6.0f64, 0.1..10.0f64), 1..10),
            first in any::<bool>(),
            last in any::<bool>(),
        ) {
            let mut row: Vec<Candidate> = raw.into_iter().map(|(at, width, weight)| candidate(at, width, weight, false)).collect();
            row.sort_by(|a, b| a.at.total_cmp(&b.at));
            let n = row.len();
            row[0].required = first;
            row[n - 1].required |= last;
            let pair = |i: usize, j: usize| -(1.0 / (0.1 + row[j].at - row[i].at)).min(3.0);
            let mut greatest: Option<f64> = None;
            for mask in 1u32..(1 << n) {
                let set: Vec<usize> = (0..n).filter(|i| mask >> i & 1 == 1).collect();
                let spaced = set.windows(2).all(|w| row[w[0]].clear_of(&row[w[1]]) >= 0.7);
                if spaced && (0..n).all(|i| !row[i].required || set.contains(&i)) {
                    let sum = total(&row, &set, pair);
                    greatest = Some(greatest.map_or(sum, |g: f64| g.max(sum)));
                }
            }
            let found = best(&row, 0.7, pair);
            match (found, greatest) {
                (Some(set), Some(greatest)) => {
                    prop_assert!(set.windows(2).all(|w| row[w[0]].clear_of(&row[w[1]]) >= 0.7));
                    prop_assert!((total(&row, &set, pair) - greatest).abs() < 1e-9);
                }
                (None, None) => {}
                (found, greatest) => prop_assert!(false, "found {:?}, exhaustive {:?}", found, greatest),
            }
        }
    }
}
