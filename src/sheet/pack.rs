//! Boxes are packed on sheets, or along a roll.

use guillotiere::{AllocatorOptions, SimpleAtlasAllocator, Size};
use kurbo::{Affine, Rect};

use super::Spot;
use super::ground::Ground;
use super::piece::SheetPiece;
use crate::units::Length;

/// Packing counts in hundredths of a millimetre; boxes are rounded up, rooms down.
const UNIT: f64 = 100.0;
/// By how much a roll grows until everything fits.
const ROLL_STEP: f64 = 1.02;
/// A longer roll is drawn as several lengths, in units: PDF 1.7 (ISO 32000-1, annex C) ends at 14400 points, 5.08 m.
const ROLL_END: f64 = 5000.0 * UNIT;
/// A quarter turn against the clock, so that a name reads upward; exact, where a rotation would round.
const QUARTER: Affine = Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]);

/// What is packed first: the greatest.
type Order = fn(&(i32, i32)) -> (i64, i64);

/// Orders of packing; all are tried.
const ORDERS: [Order; 3] = [
    |&(w, h)| (i64::from(h), i64::from(w)),
    |&(w, h)| (i64::from(w), i64::from(h)),
    |&(w, h)| (i64::from(w) * i64::from(h), i64::from(w)),
];

/// When a box is turned by a quarter.
#[derive(Clone, Copy, PartialEq)]
enum Turns {
    /// Where it does not fit otherwise.
    Never,
    /// Where the sheet has no place for it otherwise.
    Last,
    /// Wherever it can be.
    First,
}

const TURNS: [Turns; 3] = [Turns::Never, Turns::Last, Turns::First];

/// Where boxes were put: one list a sheet of (place in the order given, left, top, turned).
type Packing = Vec<Vec<(usize, i32, i32, bool)>>;

/// Packs copies of pieces, (piece, copy), each of which fits the ground; a roll is cut to length.
pub(super) fn pack(
    pieces: &[SheetPiece],
    copies: &[(usize, usize)],
    ground: &mut Ground,
    gap: Length,
) -> Vec<Vec<Spot>> {
    let gap = gap.to_mm();
    // the gap is added to every box at the right and below, and to the room
    let up = |mm: f64| ((mm + gap) * UNIT - 1e-6).ceil().max(1.0) as i32;
    let down = |mm: f64| ((mm + gap) * UNIT + 1e-6).floor() as i32;
    let boxes: Vec<(i32, i32)> = copies
        .iter()
        .map(|&(piece, _)| (up(pieces[piece].bounds.width()), up(pieces[piece].bounds.height())))
        .collect();
    if boxes.is_empty() {
        return vec![];
    }
    let packing = if ground.roll {
        let packing = roll(&boxes, down(ground.room.height()));
        let ends = packing
            .iter()
            .flatten()
            .map(|&(at, left, _, turned)| left + if turned { boxes[at].1 } else { boxes[at].0 });
        ground.cut_off(f64::from(ends.max().unwrap_or(0)) / UNIT - gap);
        packing
    } else {
        let tries = ORDERS.iter().flat_map(|order| TURNS.map(|turns| (order, turns)));
        let room = (down(ground.room.width()), down(ground.room.height()));
        let all = tries.map(|(order, turns)| fill(&boxes, room, order, turns, usize::MAX));
        let turned = |packing: &Packing| packing.iter().flatten().filter(|spot| spot.3).count();
        all.flatten().min_by_key(|packing| (packing.len(), turned(packing))).unwrap_or_default()
    };
    let corner = ground.room.origin();
    let spot = |(at, left, top, turned): (usize, i32, i32, bool)| {
        let (piece, copy) = copies[at];
        let Rect { x0, y0, x1, .. } = pieces[piece].bounds;
        let to_corner = if turned { Affine::translate((-y0, x1)) * QUARTER } else { Affine::translate((-x0, -y0)) };
        let place = corner.to_vec2() + kurbo::Vec2::new(f64::from(left), f64::from(top)) / UNIT;
        Spot { piece, copy, turn: Affine::translate(place) * to_corner, turned }
    };
    packing.into_iter().map(|sheet| sheet.into_iter().map(spot).collect()).collect()
}

/// Fills sheets in order, each box on the first that has room; `None` when more than `most` are needed.
///
/// A box that fits a sheet one way only is laid that way.
fn fill(boxes: &[(i32, i32)], room: (i32, i32), order: &Order, turns: Turns, most: usize) -> Option<Packing> {
    let all = i32::MAX;
    // all free places in one list: the best fit is taken, not the largest
    let options =
        AllocatorOptions { small_size_threshold: all, large_size_threshold: all, ..guillotiere::DEFAULT_OPTIONS };
    let mut sequence: Vec<usize> = (0..boxes.len()).collect();
    sequence.sort_by_key(|&at| std::cmp::Reverse(order(&boxes[at])));
    let mut sheets: Vec<SimpleAtlasAllocator> = Vec::new();
    let mut packing: Packing = Vec::new();
    for at in sequence {
        let (w, h) = boxes[at];
        let (upright, turned) = ((w, h, false), (h, w, true));
        let takes = |w: i32, h: i32| w <= room.0 && h <= room.1;
        let ways = match (takes(w, h), takes(h, w), turns) {
            (true, false, _) | (true, true, Turns::Never) => vec![upright],
            (false, true, _) => vec![turned],
            (true, true, Turns::Last) => vec![upright, turned],
            (true, true, Turns::First) => vec![turned, upright],
            (false, false, _) => return None,
        };
        let mut place = None;
        for number in 0.. {
            if number == sheets.len() {
                if number == most {
                    return None;
                }
                sheets.push(SimpleAtlasAllocator::with_options(Size::new(room.0, room.1), &options));
                packing.push(Vec::new());
            }
            let mut found = ways.iter().filter_map(|&(w, h, turned)| {
                sheets[number].allocate(Size::new(w, h)).map(|spot| (at, spot.min.x, spot.min.y, turned))
            });
            if let Some(spot) = found.next() {
                place = Some((number, spot));
                break;
            }
        }
        let (number, spot) = place?;
        packing[number].push(spot);
    }
    Some(packing)
}

/// The shortest roll found, from the length without waste upward.
fn roll(boxes: &[(i32, i32)], height: i32) -> Packing {
    let area: f64 = boxes.iter().map(|&(w, h)| f64::from(w) * f64::from(h)).sum();
    let longest = boxes.iter().map(|&(w, h)| if h <= height { w.min(if w <= height { h } else { w }) } else { h });
    // the narrower side along the roll, where the other fits across it
    let mut length = (area / f64::from(height)).max(f64::from(longest.max().unwrap_or(0)));
    while length < ROLL_END {
        let tries = ORDERS.iter().flat_map(|order| TURNS.map(|turns| (order, turns)));
        let mut found = tries.filter_map(|(order, turns)| fill(boxes, (length as i32 + 1, height), order, turns, 1));
        if let Some(packing) = found.next() {
            return packing;
        }
        length *= ROLL_STEP;
    }
    fill(boxes, (ROLL_END as i32, height), &ORDERS[0], Turns::Last, usize::MAX).unwrap_or_default()
}
