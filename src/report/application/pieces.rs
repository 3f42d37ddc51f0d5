//! The strips of a lens, as the application sheet speaks of them.

use super::{Application, Applied, AppliedLens, AppliedPiece, IndexAt, OnDisc, OnRing};
use crate::artwork::Strip;
use crate::assembly::Assembly;
use crate::model::Piece;
use crate::sheet::Sheets;

/// What goes onto a lens: its strips, out of the `files` that were made.
pub fn applied<'s>(
    assembly: &Assembly,
    strips: impl Iterator<Item = (Piece, &'s Strip)>,
    copies: usize,
    files: &[String],
) -> AppliedLens {
    let lens = assembly.lens;
    let mut pieces = Vec::new();
    for (piece, strip) in strips {
        let stem = format!("{}-{piece}", lens.file_stem());
        let own = |file: &&String| file.strip_prefix(&stem).is_some_and(|rest| rest.starts_with(['.', '-']));
        let drawing = &strip.drawing;
        let what = match (piece, &lens.focus, &lens.iris, &lens.disc, &strip.flat) {
            (Piece::Focus, Some(focus), _, _, Some(flat)) => {
                let (on, length) = OnRing::of(flat, focus.ring, focus.toward_close, focus.read_from);
                (Applied::Focus(on), length, focus.ring.width)
            }
            (Piece::Iris, _, Some(iris), _, Some(flat)) => {
                let (on, length) = OnRing::of(flat, iris.ring, iris.toward_closed, iris.read_from);
                (Applied::Iris(on), length, iris.ring.width)
            }
            (Piece::Disc, _, _, Some(disc), _) => {
                let (pointer_turns, sense) = (disc.pointer_turns, disc.toward_close);
                let on = OnDisc { diameter: disc.diameter, hole: disc.hole, pointer_turns, sense };
                (Applied::Disc(on), drawing.width, drawing.height)
            }
            (Piece::Focus | Piece::Iris | Piece::Disc | Piece::Index, ..) => {
                (Applied::Index(plates(assembly)), drawing.width, drawing.height)
            }
        };
        let (what, length, height) = what;
        let files = files.iter().filter(own).cloned().collect();
        pieces.push(AppliedPiece { what, length, height, copies, parts: 1, guide_parts: 1, files });
    }
    AppliedLens {
        name: lens.name.clone(),
        iris_rides: lens.iris.as_ref().is_some_and(|iris| iris.rides.is_some()),
        pieces,
    }
}

impl Application {
    /// Takes over how the sheets divide the pieces; their items are the pieces of all lenses in order.
    pub fn lie_on(&mut self, sheets: &Sheets, files: Vec<String>) {
        self.sheets = files;
        let pieces = self.lenses.iter_mut().flat_map(|lens| &mut lens.pieces);
        pieces.enumerate().for_each(|(item, piece)| piece.parts = parts(sheets, item));
    }

    /// The same for transfer guides, which only strips have.
    pub fn have_guides(&mut self, sheets: &Sheets, files: Vec<String>) {
        self.guides = files;
        let pieces = self.lenses.iter_mut().flat_map(|lens| &mut lens.pieces);
        let strips = pieces.filter(|piece| matches!(piece.what, Applied::Focus(_) | Applied::Iris(_)));
        strips.enumerate().for_each(|(item, piece)| piece.guide_parts = parts(sheets, item));
    }
}

fn parts(sheets: &Sheets, item: usize) -> usize {
    let placed = sheets.sheets.iter().flat_map(|sheet| &sheet.placed);
    placed.filter(|placed| placed.item == item).find_map(|placed| placed.part).map_or(1, |(_, count)| count)
}

/// The index plates in the order in which they are drawn.
fn plates(assembly: &Assembly) -> Vec<IndexAt> {
    assembly
        .plates()
        .flat_map(|(iris, plate)| {
            let depth = !plate.depth.is_empty();
            std::iter::repeat_n(IndexAt { iris, edge: plate.index, depth }, plate.copies)
        })
        .collect()
}
