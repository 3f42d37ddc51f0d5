//! Bridges: cuts through the ink round counters that keep a mask in one piece.
//!
//! In a mask for painting, a closed counter is a separate island. Bars across the stroke
//! above and below it join it to the ground, as in stencil lettering. Where two strokes cross between counters, as in ∞, one
//! of them is interrupted on both sides of the other instead, as if it ran beneath: cut above and below, ∞ reads as (×).

use std::fmt;

use kurbo::{Affine, BezPath, Point, Rect};

use super::{Island, Region, bounds, edges};
use crate::units::Length;

/// Places tried across a counter, besides its middle.
const TRIED: usize = 9;

/// A bar is put beside the middle of the counter only where it crosses less than this share of the ink there: a bar out of
/// the middle looks like a mistake.
const WORTH_MOVING: f64 = 0.7;

/// By how much bars are cut larger all round, in mm, so that rounding leaves no thin line of ink at their ends.
const CLEAN: f64 = 0.0005;

/// A counter that no bridge of the asked width can open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unbridged {
    /// The middle of the counter.
    pub place: Point,
    /// The smaller side of the counter.
    pub counter: Length,
    /// The bridge asked for.
    pub bridge: Length,
}

impl fmt::Display for Unbridged {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (counter, bridge) = (self.counter.to_mm(), self.bridge.to_mm());
        write!(f, "a counter of {counter:.2} mm has no room for bridges of {bridge:.2} mm")
    }
}

impl std::error::Error for Unbridged {}

/// An upright outline whose counters are all open: bars of a width cut through the ink just above and just below each,
/// or beside it where that does not serve. They end where they reach other ground.
///
/// # Errors
/// When a counter is too small for the bridge.
pub fn bridged(outline: &BezPath, bridge: Length) -> Result<BezPath, Unbridged> {
    let whole = Region::new(outline);
    if whole.hole_count() == 0 {
        return Ok(outline.clone());
    }
    let width = bridge.to_mm();
    let mut cut = whole.clone();
    for island in whole.islands() {
        if let Some(bars) = bars_at_crossing(&cut, island, width) {
            cut = cut.difference(&bars);
            continue;
        }
        let shared = shared_middle(&island.holes, width);
        for hole in &island.holes {
            let bars = bars(&cut, hole, shared, width).filter(|bars| !still_closed(&cut, bars, hole));
            let bars = bars.or_else(|| turned_bars(&cut, hole, width)).ok_or_else(|| unbridged(hole, bridge))?;
            cut = cut.difference(&bars);
        }
    }
    match cut.islands().iter().flat_map(|island| &island.holes).next() {
        Some(hole) => Err(unbridged(hole, bridge)),
        None => Ok(cut.with_curves(std::slice::from_ref(outline)).iter().flat_map(BezPath::iter).collect()),
    }
}

fn unbridged(hole: &[Point], bridge: Length) -> Unbridged {
    let bounds = bounds(hole);
    Unbridged { place: bounds.center(), counter: Length::mm(bounds.width().min(bounds.height())), bridge }
}

/// The x at which one bar serves counters above each other, if all have room there.
fn shared_middle(holes: &[Vec<Point>], width: f64) -> Option<f64> {
    let spans = holes.iter().map(|hole| bounds(hole)).map(|bounds| (bounds.x0, bounds.x1));
    let (from, to) = spans.reduce(|a, b| (a.0.max(b.0), a.1.min(b.1)))?;
    (holes.len() > 1 && to - from >= width).then_some(0.5 * (from + to))
}

/// Whether a counter would remain one after cutting.
fn still_closed(ink: &Region, bars: &Region, hole: &[Point]) -> bool {
    let Some(inside) = inner_place(hole) else { return true };
    let cut = ink.difference(bars);
    let holes = cut.islands().iter().flat_map(|island| &island.holes);
    holes.into_iter().any(|hole| super::winds_round(hole, inside))
}

/// A place inside a contour: the middle of the widest span at half its height.
fn inner_place(contour: &[Point]) -> Option<Point> {
    let y = bounds(contour).center().y;
    let turned: Vec<Point> = contour.iter().map(|p| Point::new(p.y, p.x)).collect();
    let spans = spans(&turned, y).into_iter();
    let widest = spans.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    Some(Point::new(0.5 * (widest.0 + widest.1), y))
}

/// Bars above and below a hole: where asked, in the middle, or where the least ink is in the way. `None` when they find
/// no room.
fn bars(ink: &Region, hole: &[Point], shared: Option<f64>, width: f64) -> Option<Region> {
    let around = bounds(hole);
    let middle = shared.unwrap_or(around.center().x);
    let tries = (0..TRIED).map(|k| around.x0 + width / 2.0 + (around.width() - width) * k as f64 / (TRIED - 1) as f64);
    let chosen = bars_at(ink, hole, middle, width);
    let crossed = |bars: &Region| bars.islands().iter().map(|bar| bar.bounds().height()).sum::<f64>();
    let others = tries.filter_map(|x| bars_at(ink, hole, x, width));
    let least = others.min_by(|a, b| crossed(a).total_cmp(&crossed(b)));
    match (chosen, least) {
        (Some(chosen), Some(least)) if crossed(&least) < WORTH_MOVING * crossed(&chosen) => Some(least),
        (Some(chosen), _) => Some(chosen),
        (None, least) => least,
    }
}

/// How deep the ground has to reach in above and below a crossing, as a share of the height: so it is told from a stem between
/// two bowls.
const NOTCH: f64 = 0.15;

/// Bars across one of two strokes that cross between two counters beside each other, on both sides of the other stroke.
/// `None` where nothing crosses, or where that would not open both counters.
///
/// The counters' corners that face each other and the ground's corners above and below are the corners of the crossing; each
/// bar has two of them on its edge, so that the upper stroke keeps its width.
fn bars_at_crossing(ink: &Region, island: &Island, width: f64) -> Option<Region> {
    let [one, other] = &island.holes[..] else { return None };
    let (left, right) = if bounds(one).x0 < bounds(other).x0 { (one, other) } else { (other, one) };
    if bounds(left).x1 >= bounds(right).x0 {
        return None;
    }
    let facing = Region::from_contour(left).nearest(&Region::from_contour(right))?;
    let middle = facing.middle();
    let column = spans(&island.outer, middle.x);
    let (top, bottom) = column.into_iter().find(|(top, bottom)| (*top..=*bottom).contains(&middle.y))?;
    let (around, notch) = (island.bounds(), NOTCH * island.bounds().height());
    if top - around.y0 < notch || around.y1 - bottom < notch {
        return None;
    }
    let (above, below) = (Point::new(middle.x, top), Point::new(middle.x, bottom));
    let bar = |from: Point, to: Point| -> Option<Region> {
        let along = (to - from).normalize();
        // away from the crossing
        let out =
            if along.turn_90().dot(from.midpoint(to) - middle) > 0.0 { along.turn_90() } else { -along.turn_90() };
        let (from, to, out) = (from - width * along, to + width * along, width * out);
        let strip = ink.intersection(&Region::from_contour(&[from, to, to + out, from + out]));
        let arm = from.midpoint(to) + 0.5 * out;
        // the strip may meet the stroke again where that bends round the counter
        strip.pieces().find(|piece| piece.contains(arm))
    };
    let bars = Region::union_of(&[bar(facing.from, above)?, bar(facing.to, below)?]).offset(Length::mm(CLEAN));
    let closed = island.holes.iter().any(|hole| still_closed(ink, &bars, hole));
    (!closed && ink.difference(&bars).islands().len() == ink.islands().len()).then_some(bars)
}

/// The ink in an upright column that adjoins the hole from above and from below. `None` when the column is wider than
/// the hole, so that ink runs past it.
fn bars_at(ink: &Region, hole: &[Point], x: f64, width: f64) -> Option<Region> {
    let spans = spans(hole, x);
    let (top, bottom) = (spans.first()?.0, spans.last()?.1);
    let (all, around) = (ink.bounds(), bounds(hole));
    let column = Rect::new(x - width / 2.0, all.y0 - 1.0, x + width / 2.0, all.y1 + 1.0);
    // a round hole is narrower than the column at its ends; in between it must be as wide
    let opening = Region::from_contour(hole).intersection(&Region::rectangle(column));
    if around.width() < width || opening.bounds().width() < width - 2.0 * CLEAN {
        return None;
    }
    let pieces = ink.intersection(&Region::rectangle(column));
    let place = |y: f64| Point::new(x, y);
    let bars: Vec<Region> = pieces
        .pieces()
        .filter(|piece| piece.contains(place(top - 2.0 * CLEAN)) || piece.contains(place(bottom + 2.0 * CLEAN)))
        .collect();
    let past = |bar: &Region| bar.bounds().y0 < top && bar.bounds().y1 > bottom;
    if bars.is_empty() || bars.iter().any(past) {
        return None;
    }
    Some(Region::union_of(&bars).offset(Length::mm(CLEAN)))
}

/// Bars to the left and right of a hole.
fn turned_bars(ink: &Region, hole: &[Point], width: f64) -> Option<Region> {
    let swap = Affine::new([0.0, 1.0, 1.0, 0.0, 0.0, 0.0]);
    let turned: Vec<Point> = hole.iter().map(|place| swap * *place).collect();
    let over = |region: &Region| Region::new(&(swap * region.to_path()));
    let bars = over(&bars(&over(ink), &turned, None, width)?);
    (!still_closed(ink, &bars, hole)).then_some(bars)
}

/// Where the upright line at x runs inside a contour, from the top.
fn spans(contour: &[Point], x: f64) -> Vec<(f64, f64)> {
    let crossing =
        |(a, b): (Point, Point)| ((a.x <= x) != (b.x <= x)).then(|| a.y + (x - a.x) / (b.x - a.x) * (b.y - a.y));
    let mut crossings: Vec<f64> = edges(contour).filter_map(crossing).collect();
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

#[cfg(test)]
mod tests {
    use kurbo::Shape;

    use super::*;
    use crate::check::assert_close;
    use crate::lettering::{Face, Lettering};

    fn outline(face: Face, text: &str) -> BezPath {
        Lettering::new(face, Length::mm(6.0)).unwrap().line(text).unwrap().outline
    }

    #[test]
    fn no_counter_of_the_shipped_faces_stays_closed() {
        for (face, name) in [(Face::plain(), "plain"), (Face::bold(), "bold"), (Face::stencil(), "stencil")] {
            for text in
                ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "∞", "½", "⅜", "⅞", "ft", "m", "10.85", "4′6″"]
            {
                let before = outline(face.clone(), text);
                // the small digits of fractions hold narrow bridges only
                let width = if "½⅜⅞".contains(text) { 0.12 } else { 0.35 };
                let after =
                    bridged(&before, Length::mm(width)).unwrap_or_else(|error| panic!("{name} {text}: {error}"));
                let (ink, cut) = (Region::new(&before), Region::new(&after));
                assert_eq!(cut.hole_count(), 0, "{name} {text}");
                assert!(cut.difference(&ink).offset(Length::mm(-0.002)).is_empty(), "{name} {text} gained ink");
                if ink.hole_count() == 0 {
                    assert_eq!(before, after, "{name} {text}");
                }
                // bars cross a stroke or two each, no more
                let stem = 1.0;
                let most = 2.0 * ink.hole_count() as f64 * (width + 0.01) * 2.2 * stem;
                assert!(ink.area() - cut.area() <= most, "{name} {text} lost {}", ink.area() - cut.area());
            }
        }
    }

    #[test]
    fn infinity_is_cut_where_its_strokes_cross_and_keeps_its_loops() {
        for face in [Face::plain(), Face::bold()] {
            for width in [0.2, 0.35, 0.6] {
                let before = Region::new(&outline(face.clone(), "∞"));
                let after = Region::new(&bridged(&outline(face.clone(), "∞"), Length::mm(width)).unwrap());
                // one line from end to end, which the eye follows
                assert_eq!((after.islands().len(), after.hole_count()), (1, 0));
                assert_eq!(after.bounds(), before.bounds());
                let (middle, reach) = (before.bounds().center(), 0.2 * before.bounds().width() + width);
                let cut = before.difference(&after);
                let taken: Vec<Region> = cut.pieces().filter(|piece| piece.area() > 1e-3).collect();
                assert_eq!(taken.len(), 2);
                for piece in &taken {
                    let bounds = piece.bounds();
                    assert!((bounds.center() - middle).hypot() < reach, "{bounds:?} about {middle:?}");
                    // as wide as asked across the gap that it leaves: a round tool just passes
                    assert!(!piece.offset(Length::mm(-0.46 * width)).is_empty(), "{width}");
                }
                // each on its side of the other stroke
                let sides: Vec<bool> = taken.iter().map(|piece| piece.bounds().center().x < middle.x).collect();
                assert_ne!(sides[0], sides[1]);
            }
        }
    }

    #[test]
    fn a_stem_between_two_counters_is_no_crossing() {
        // two bowls with a stem between them, flat at the top and at the foot
        let bowls = BezPath::from_svg("M0 0H9V6H0Z M1 1V5H4V1Z M5 1V5H8V1Z").unwrap();
        let cut = Region::new(&bridged(&bowls, Length::mm(0.5)).unwrap());
        assert_eq!(cut.hole_count(), 0);
        assert_close(54.0 - 24.0 - cut.area(), 4.0 * 0.5, 0.02);
    }

    #[test]
    fn bars_of_a_ring_are_as_wide_as_asked() {
        let ring = BezPath::from_svg("M0 0H6V8H0Z M1 1V7H5V1Z").unwrap();
        let cut = Region::new(&bridged(&ring, Length::mm(0.5)).unwrap());
        assert_eq!((cut.islands().len(), cut.hole_count()), (2, 0));
        assert_close(cut.area(), 48.0 - 24.0 - 2.0 * 0.5, 0.01);
        let halves: Vec<Region> = cut.pieces().collect();
        assert_close(halves[0].nearest(&halves[1]).unwrap().distance.to_mm(), 0.5, 0.002);
    }

    #[test]
    fn counters_above_each_other_share_their_bars() {
        let eight = Region::new(&bridged(&outline(Face::plain(), "8"), Length::mm(0.35)).unwrap());
        assert_eq!(eight.islands().len(), 2, "left and right half");
        assert_close(
            eight.pieces().map(|half| half.area()).fold(0.0, f64::max),
            eight.area() / 2.0,
            0.1 * eight.area(),
        );
    }

    #[test]
    fn strokes_beyond_open_ground_are_not_cut() {
        // a counter under an overhanging arm, as in a 6
        let six = BezPath::from_svg("M0 0H5V1H1V4H5V9H0Z M1 5V8H4V5Z").unwrap();
        let cut = Region::new(&bridged(&six, Length::mm(0.5)).unwrap());
        assert_eq!(cut.hole_count(), 0);
        let arm = Region::rectangle(Rect::new(0.0, 0.0, 5.0, 1.0));
        assert_close(cut.intersection(&arm).area(), 5.0, 1e-3);
    }

    #[test]
    fn a_counter_narrower_than_the_bridge_is_refused() {
        let before = outline(Face::plain(), "8");
        let refused = bridged(&before, Length::mm(3.0)).unwrap_err();
        assert!(Region::new(&before).bounds().contains(refused.place));
        let ring = BezPath::from_svg("M0 0H6V8H0Z M2.8 1V7H3.2V1Z").unwrap();
        let refused = bridged(&ring, Length::mm(7.0)).unwrap_err();
        assert_eq!(refused.to_string(), "a counter of 0.40 mm has no room for bridges of 7.00 mm");
        // a tall one is cut from the side instead
        let cut = Region::new(&bridged(&ring, Length::mm(0.5)).unwrap());
        assert_eq!((cut.islands().len(), cut.hole_count()), (2, 0));
        assert_close(cut.bounds().height(), ring.bounding_box().height(), 1e-6);
    }

    #[test]
    fn what_has_no_counter_keeps_its_curves() {
        let label = outline(Face::plain(), "10");
        let after = bridged(&label, Length::mm(0.3)).unwrap();
        let one = outline(Face::plain(), "1");
        let first: BezPath = after.subpaths().next().unwrap().iter().copied().collect();
        assert_close(first.area(), one.area().abs(), 1e-9);
        assert_eq!(first.segments().count(), one.segments().count());
    }
}
