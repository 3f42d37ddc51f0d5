//! The known word that a misspelt one most likely stands for.

/// Words longer than this are no misspelling of a key.
const LONGEST: usize = 40;

/// More edits than this make another word: "anticlockwise" is four from "clockwise", and its opposite.
const MOST_EDITS: usize = 3;

/// The nearest of `known`, when it is near enough to be a slip of the pen.
pub(super) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    if word.len() > LONGEST {
        return None;
    }
    let folded = |word: &str| word.trim().to_lowercase().replace(['-', ' '], "_");
    let word = folded(word);
    let allowed = (word.chars().count() / 3).clamp(1, MOST_EDITS);
    let near = known
        .iter()
        .filter(|candidate| candidate.len().abs_diff(word.len()) <= allowed)
        .map(|candidate| (edits(&word, &folded(candidate)), *candidate))
        .filter(|(edits, candidate)| *edits <= allowed && *edits < candidate.chars().count().max(1))
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate);
    near.or_else(|| known.iter().copied().find(|candidate| word.len() >= 3 && candidate.starts_with(&word)))
}

/// Letters to insert, drop, replace or swap with their neighbour to turn `a` into `b`.
fn edits(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before_last = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let replaced = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = replaced.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before_last[j - 2] + 1);
            }
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        let known = ["throw", "closest", "toward_close", "at", "readings_file"];
        for (slip, meant) in [
            ("trow", "throw"),
            ("thorw", "throw"),
            ("Throw", "throw"),
            ("toward-close", "toward_close"),
            ("ad", "at"),
            ("readings", "readings_file"),
        ] {
            assert_eq!(nearest(slip, &known), Some(meant), "{slip}");
        }
        for stranger in ["colour", "anticlosest", "x", "zz", "", &"throw".repeat(20)] {
            assert_eq!(nearest(stranger, &known), None, "{stranger}");
        }
    }

    #[test]
    fn edits_count_a_swap_of_neighbours_as_one() {
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("abc", ""), 3);
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("ab", "ba"), 1);
    }
}
