//! Which files of a folder are strips of lenses that a set does not have.

use std::collections::BTreeSet;

use super::Format;
use crate::model::{Piece, Set, file_stem};

/// The beginnings of the names of strips in `files` that belong to no lens of the set: those of lenses that were renamed or taken
/// out, or of another set. What [`Job`](super::Job) would not name so is none.
pub fn left_over<'f>(set: &Set, files: impl Iterator<Item = &'f str>) -> BTreeSet<String> {
    let own: BTreeSet<String> = set.lenses.iter().map(|lens| lens.file_stem()).collect();
    files.filter_map(stem_of_strip).filter(|stem| !own.contains(*stem)).map(str::to_string).collect()
}

/// The lens's part of a strip's file name.
fn stem_of_strip(file: &str) -> Option<&str> {
    let (name, ending) = file.rsplit_once('.')?;
    let drawn = Format::ALL.into_iter().any(|format| format != Format::Pdf && format.ending() == ending);
    let name = name.strip_suffix("-transfer").unwrap_or(name);
    let (stem, piece) = name.rsplit_once('-')?;
    let pieces = [Piece::Focus, Piece::Iris, Piece::Disc, Piece::Index];
    let is_piece = pieces.into_iter().any(|one| one.word() == piece);
    (drawn && is_piece && !stem.is_empty() && file_stem(stem) == stem).then_some(stem)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_named_as_a_strip_of_another_lens_is_left_over() {
        let set = Set::parse("quarry.toml", crate::set::TEMPLATE, std::path::Path::new("")).unwrap();
        let files = [
            "granite-50-focus.svg",
            "granite-58-focus.svg",
            "granite-58-index.dxf",
            "old-iris-transfer.png",
            "quarry-sheets.pdf",
            "quarry-application.html",
            "me-in-focus.jpg",
            "Me-focus.png",
            "-focus.svg",
            "focus.svg",
            "marble-85.csv",
        ];
        let found = left_over(&set, files.into_iter());
        assert_eq!(found, BTreeSet::from(["granite-58".to_string(), "old".to_string()]));
    }
}
