//! The strips of a lens, as the application sheet speaks of them.

use super::{AppliedLens, AppliedPiece, IndexAt, OnRing, Piece};
use crate::artwork::Strip;
use crate::assembly::Assembly;
use crate::set::Disc;
use crate::surface::{Edge, Ring};
use crate::units::Length;

/// What goes onto a lens: its strips with the endings of their files' names, out of the `files` that were made.
pub fn applied<'s>(
    assembly: &Assembly,
    strips: impl Iterator<Item = (&'s str, &'s Strip)>,
    copies: usize,
    files: &[String],
) -> AppliedLens {
    let lens = assembly.lens;
    let mut pieces = Vec::new();
    for (ending, strip) in strips {
        let stem = format!("{}-{ending}", lens.file_stem());
        let own = |file: &&String| file.strip_prefix(&stem).is_some_and(|rest| rest.starts_with(['.', '-']));
        let drawing = &strip.drawing;
        let what = match (ending, &lens.focus, &lens.iris, &lens.disc, &strip.flat) {
            ("focus", Some(focus), _, _, Some(flat)) => {
                let (on, length) = OnRing::of(flat, focus.ring, focus.toward_close, focus.read_from);
                (Piece::Focus(on), length, focus.ring.width)
            }
            ("iris", _, Some(iris), _, Some(flat)) => {
                let (on, length) = OnRing::of(flat, iris.ring, iris.toward_closed, iris.read_from);
                (Piece::Iris(on), length, iris.ring.width)
            }
            ("disc", _, _, Some(disc), _) => (Piece::Disc(on_disc(disc)), drawing.width, drawing.height),
            _ => (Piece::Index(plates(assembly)), drawing.width, drawing.height),
        };
        let (what, length, height) = what;
        pieces.push(AppliedPiece { what, length, height, copies, files: files.iter().filter(own).cloned().collect() });
    }
    AppliedLens { name: lens.name.clone(), pieces }
}

fn on_disc(disc: &Disc) -> OnRing {
    OnRing {
        ring: Ring {
            rear_diameter: disc.hole,
            front_diameter: disc.diameter,
            width: (disc.diameter - disc.hole) * 0.5,
        },
        sense: disc.toward_close,
        index: Edge::Front,
        read_from: Edge::Rear,
        closed: true,
        zeros: vec![Length::ZERO],
    }
}

/// The index plates in the order in which they are drawn.
fn plates(assembly: &Assembly) -> Vec<IndexAt> {
    assembly
        .plates()
        .flat_map(|(iris, plate)| std::iter::repeat_n(IndexAt { iris, edge: plate.index }, plate.copies))
        .collect()
}
