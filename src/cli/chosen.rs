//! Which lenses of a set are meant: by their names, or by a part of one that no other has.

use std::path::Path;

use super::Failure;
use crate::model::{Lens, Set, file_stem};

/// The lenses that `wanted` names, in the order of the set; all of them where nothing is wanted.
///
/// A name in any case comes before a part of one, so that "Granite 50" can be had beside "Granite 500".
///
/// # Errors
/// A word that is in no name, or in several.
pub(super) fn chosen<'s>(set: &'s Set, file: &Path, wanted: &[String]) -> Result<Vec<&'s Lens>, Failure> {
    let mut chosen: Vec<&Lens> = Vec::new();
    for word in wanted {
        let found = named(set, word);
        let [one] = found[..] else {
            return Err(unclear(set, file, word, &found));
        };
        chosen.push(one);
    }
    let is_chosen = |lens: &&Lens| wanted.is_empty() || chosen.iter().any(|one| one.name == lens.name);
    Ok(set.lenses.iter().filter(is_chosen).collect())
}

/// The lenses that a word can mean.
fn named<'s>(set: &'s Set, word: &str) -> Vec<&'s Lens> {
    let word = file_stem(word);
    let called = |test: &dyn Fn(&str) -> bool| set.lenses.iter().filter(|lens| test(&lens.file_stem())).collect();
    let exact: Vec<&Lens> = called(&|stem| stem == word);
    if exact.is_empty() && !word.is_empty() { called(&|stem| stem.contains(&word)) } else { exact }
}

fn unclear(set: &Set, file: &Path, word: &str, found: &[&Lens]) -> Failure {
    let listed = |lenses: &mut dyn Iterator<Item = &Lens>| -> String {
        let names: Vec<String> = lenses.map(|lens| format!("\"{}\"", lens.name)).collect();
        names.join(", ")
    };
    let (file, all) = (file.display(), listed(&mut set.lenses.iter()));
    let (message, way_out) = match found {
        [] => (format!("no lens of {file} is named \"{word}\""), format!("its lenses: {all}")),
        some => (
            format!("\"{word}\" can mean several lenses of {file}"),
            format!("say more of the name: {}", listed(&mut some.iter().copied())),
        ),
    };
    Failure::Other(message, Some(way_out))
}
