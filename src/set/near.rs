//! The known word that a misspelt one most likely stands for.
//!
//! An edit is a letter inserted, dropped, replaced or swapped with its neighbour: the optimal string alignment distance.

use strsim::osa_distance;

/// Words longer than this are no misspelling of a key.
const LONGEST: usize = 40;

/// More edits than this make another word: "anticlockwise" is four from "clockwise", and its opposite.
const MOST_EDITS: usize = 3;

/// What people write in short, or in another word, for a word of a set file. Who turns a ring the wrong way round prints a mirrored
/// scale, so the sense is never left to the likeness of letters.
const ALSO_CALLED: &[(&str, &str)] = &[
    ("cw", "clockwise"),
    ("ccw", "counterclockwise"),
    ("acw", "counterclockwise"),
    ("anticlockwise", "counterclockwise"),
    ("anti_clockwise", "counterclockwise"),
    ("metre", "m"),
    ("metres", "m"),
    ("meter", "m"),
    ("meters", "m"),
    ("metric", "m"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("imperial", "ft"),
];

/// The nearest of `known`, where it is near enough to be a misspelling.
pub(super) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    if word.len() > LONGEST {
        return None;
    }
    let folded = |word: &str| word.trim().to_lowercase().replace(['-', ' '], "_").replace('.', "");
    let word = folded(word);
    let also = ALSO_CALLED.iter().find(|(other, _)| *other == word).map(|(_, called)| *called);
    if let Some(called) = known.iter().find(|candidate| Some(**candidate) == also) {
        return Some(called);
    }
    let allowed = (word.chars().count() / 3).clamp(1, MOST_EDITS);
    let near = known
        .iter()
        .filter(|candidate| candidate.len().abs_diff(word.len()) <= allowed)
        .map(|candidate| (osa_distance(&word, &folded(candidate)), *candidate))
        .filter(|(edits, candidate)| *edits <= allowed && *edits < candidate.chars().count().max(1))
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate);
    near.or_else(|| known.iter().copied().find(|candidate| word.len() >= 3 && candidate.starts_with(&word)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        let known = ["throw", "closest", "toward_close", "at", "readings_file"];
        for (slip, meant) in [
            ("trow", "throw"),
            // two swapped neighbours are one edit, not two
            ("thorw", "throw"),
            ("ta", "at"),
            ("Throw", "throw"),
            ("toward-close", "toward_close"),
            ("ad", "at"),
            ("readings", "readings_file"),
        ] {
            assert_eq!(nearest(slip, &known), Some(meant), "{slip}");
        }
        let senses = ["clockwise", "counterclockwise"];
        for (short, meant) in [("cw", 0), ("C.W.", 0), ("ccw", 1), ("acw", 1), ("anti-clockwise", 1)] {
            assert_eq!(nearest(short, &senses), Some(senses[meant]), "{short}");
        }
        assert_eq!(["feet", "metres", "miles"].map(|word| nearest(word, &["m", "ft"])), [Some("ft"), Some("m"), None]);
        for stranger in ["colour", "anticlosest", "x", "zz", "", &"throw".repeat(20)] {
            assert_eq!(nearest(stranger, &known), None, "{stranger}");
        }
    }
}
