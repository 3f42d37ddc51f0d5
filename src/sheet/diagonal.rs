//! Strips longer than a sheet lie side by side on its diagonal.

use kurbo::{Affine, Point, Rect, Vec2};

use super::Spot;
use super::ground::Ground;
use super::piece::{SheetPiece, hull};
use crate::units::Length;

/// Steps in which the angle is sought, degrees: a sheet's room for a strip changes by under 1.5 mm from one to the next.
const STEP: f64 = 0.25;
/// Halvings of the step afterwards: to a thousandth of a degree.
const HALVINGS: usize = 8;

/// Where pieces lie side by side on the diagonal, their own axes → the sheet; `None` where they do not fit.
pub(super) fn fits(pieces: &[&SheetPiece], ground: &Ground, gap: Length) -> Option<Vec<Affine>> {
    let stacked = stack(pieces, gap.to_mm());
    let corners = stacked.iter().zip(pieces).flat_map(|(&by, piece)| piece.hull.iter().map(move |&corner| corner + by));
    let corners = hull(corners.collect());
    let room = ground.room;
    let slack = |degrees: f64| {
        let bounds = turned(&corners, degrees);
        (room.width() - bounds.width()).min(room.height() - bounds.height())
    };
    // upward to the right, so that names are easily read
    let coarse = (0..=(90.0 / STEP) as usize).map(|k| -STEP * k as f64);
    let mut best = coarse.map(|at| (slack(at), at)).max_by(|a, b| a.0.total_cmp(&b.0))?;
    let mut step = STEP;
    for _ in 0..HALVINGS {
        step *= 0.5;
        for at in [best.1 - step, best.1 + step] {
            let found = slack(at);
            if found > best.0 {
                best = (found, at);
            }
        }
    }
    if best.0 < 0.0 {
        return None;
    }
    let to_middle = room.center() - turned(&corners, best.1).center();
    let turn = Affine::translate(to_middle) * Affine::rotate(best.1.to_radians());
    Some(stacked.into_iter().map(|by| turn * Affine::translate(by)).collect())
}

fn turned(corners: &[Point], degrees: f64) -> Rect {
    let turn = Affine::rotate(degrees.to_radians());
    let mut all = corners.iter().map(|&corner| turn * corner);
    let first = all.next().unwrap_or(Point::ZERO);
    all.fold(Rect::from_points(first, first), |bounds, corner| bounds.union_pt(corner))
}

/// How far each box moves so that they lie below each other, middles in line, the first ones innermost: there the
/// sheet is longest.
fn stack(pieces: &[&SheetPiece], gap: f64) -> Vec<Vec2> {
    let (mut above, mut below) = (0.0, 0.0);
    let place = |(at, piece): (usize, &&SheetPiece)| {
        let bounds = piece.bounds;
        let top = if at == 0 {
            (above, below) = (-gap, bounds.height() + gap);
            0.0
        } else if at % 2 == 1 {
            let top = below;
            below += bounds.height() + gap;
            top
        } else {
            above -= bounds.height();
            let top = above;
            above -= gap;
            top
        };
        Vec2::new(-bounds.center().x, top - bounds.y0)
    };
    pieces.iter().enumerate().map(place).collect()
}

/// Sheets of strips on the diagonal, (piece, copy): on each as many side by side as fit, longest first.
pub(super) fn bundle(
    pieces: &[SheetPiece],
    mut copies: Vec<(usize, usize)>,
    ground: &Ground,
    gap: Length,
) -> Vec<Vec<Spot>> {
    copies.sort_by(|a, b| pieces[b.0].bounds.width().total_cmp(&pieces[a.0].bounds.width()));
    let mut sheets = Vec::new();
    while !copies.is_empty() {
        let (mut sheet, mut left) = (Vec::new(), Vec::new());
        let mut turns = Vec::new();
        for copy in copies {
            let mut stacked: Vec<&SheetPiece> =
                sheet.iter().map(|&(piece, _): &(usize, usize)| &pieces[piece]).collect();
            stacked.push(&pieces[copy.0]);
            match fits(&stacked, ground, gap) {
                Some(found) => {
                    turns = found;
                    sheet.push(copy);
                }
                None => left.push(copy),
            }
        }
        if sheet.is_empty() {
            break;
        }
        let spot = |(&(piece, copy), &turn)| Spot { piece, copy, turn, turned: false };
        sheets.push(sheet.iter().zip(&turns).map(spot).collect());
        copies = left;
    }
    sheets
}
