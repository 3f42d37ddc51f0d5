//! Tests of what is too small.

use std::f64::consts::PI;

use kurbo::{Affine, BezPath, Circle, Shape};

use super::*;
use crate::check::assert_close;
use crate::lettering::{Face, Lettering};

fn mm(length: f64) -> Length {
    Length::mm(length)
}

fn limits(stroke: f64, gap: f64, dot: f64, counter: f64) -> Limits {
    Limits { stroke: mm(stroke), gap: mm(gap), dot: mm(dot), counter: mm(counter) }
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Region {
    Region::rectangle(Rect::new(x, y, x + width, y + height))
}

fn disc(radius: f64) -> Region {
    Region::new(&Circle::new((0.0, 0.0), radius).to_path(1e-6))
}

fn label(text: &str, height: f64) -> Region {
    Region::new(&Lettering::new(Face::plain(), mm(height)).unwrap().line(text).unwrap().outline)
}

fn features(shape: &Region, limits: &Limits) -> Vec<Feature> {
    flaws(shape, limits).iter().map(|found| found.feature).collect()
}

/// The one finding.
fn only(shape: &Region, limits: &Limits) -> Flaw {
    let mut found = flaws(shape, limits);
    assert_eq!(found.len(), 1, "{found:?}");
    found.remove(0)
}

#[test]
fn a_stroke_as_wide_as_its_limit_passes_and_a_thinner_one_is_measured() {
    let limits = limits(0.45, 0.25, 0.0, 0.0);
    for turn in [0.0, 0.3, 1.2] {
        let turned = |width: f64| Region::new(&(Affine::rotate(turn) * Rect::new(0.0, 0.0, width, 3.0).to_path(1e-6)));
        assert!(flaws(&turned(0.45), &limits).is_empty());
        let found = only(&turned(0.40), &limits);
        assert_eq!(found.feature, Feature::Stroke);
        assert_close(found.width.to_mm(), 0.40, 0.004);
        assert!(turned(0.40).contains(found.place));
    }
}

#[test]
fn corners_round_ends_and_blunt_points_do_not_count() {
    let limits = limits(0.45, 0.25, 0.0, 0.0);
    let outlines = [
        "M0 0H2V2H0Z",                          // square
        "M0 0H3V.5H.5V3H0Z",                    // an angle of strokes just wide enough
        "M0 0L3 0L1.5 3Z",                      // pointed, 53 degrees at the top
        "M0 0H2V1A1 1 0 0 1 0 1Z",              // round end
        "M0 0H3V3H2V1.3A.2.2 0 0 0 1 1.3V3H0Z", // inner round
    ];
    for outline in outlines {
        let shape = Region::new(&BezPath::from_svg(outline).unwrap());
        assert!(flaws(&shape, &limits).is_empty(), "{outline}: {:?}", flaws(&shape, &limits));
    }
}

#[test]
fn a_narrow_way_into_a_shape_is_a_gap_however_thin_the_strokes_beside_it_are() {
    for stroke in [0.3, 0.5, 0.8, 2.0] {
        // two teeth on a base, 0.45 mm apart
        let (a, b, c) = (stroke, stroke + 0.45, 2.0 * stroke + 0.45);
        let comb = format!("M0 0H{a}V4H{b}V0H{c}V6H0Z");
        let shape = Region::new(&BezPath::from_svg(&comb).unwrap());
        let found = only(&shape, &limits(0.25, 0.5, 0.0, 0.0));
        assert_eq!(found.feature, Feature::Gap);
        assert_close(found.width.to_mm(), 0.45, 0.01);
        assert!(found.place.x > a && found.place.x < b && found.place.y < 4.0, "{:?}", found.place);
        assert!(flaws(&shape, &limits(0.25, 0.44, 0.0, 0.0)).is_empty());
    }
}

#[test]
fn a_long_spike_counts_and_a_short_one_does_not() {
    let limits = limits(0.45, 0.0, 0.0, 0.0);
    // half angle whose sine is 1/4: the tip is three radii from the opened ink
    for (height, count) in [(2.8, 0), (6.0, 1)] {
        let path = BezPath::from_svg(&format!("M-.75 0 H.75 L0 {height} Z")).unwrap();
        assert_eq!(flaws(&Region::new(&path), &limits).len(), count, "{height}");
    }
}

#[test]
fn a_bridge_between_two_blocks_is_found_with_its_width_and_place() {
    for width in [0.1, 0.2, 0.3, 0.4] {
        let blocks = rectangle(0.0, 0.0, 1.0, 1.0).union(&rectangle(1.3, 0.0, 1.0, 1.0));
        let shape = blocks.union(&rectangle(0.9, 0.5 - width / 2.0, 0.5, width));
        let found = only(&shape, &limits(0.45, 0.25, 0.0, 0.0));
        assert_eq!(found.feature, Feature::Stroke);
        assert_close(found.width.to_mm(), width, 0.01);
        assert!(found.place.distance(Point::new(1.15, 0.5)) < 0.3, "{:?}", found.place);
    }
}

#[test]
fn a_smooth_waist_is_found_where_the_discs_meet() {
    // two large round notches leave a waist of 0.4: discs from both sides meet in it at an angle
    let notch = |y: f64| Region::new(&Circle::new((0.0, y), 0.5).to_path(1e-6));
    let shape = rectangle(-2.0, -1.0, 4.0, 2.0).difference(&notch(0.7)).difference(&notch(-0.7));
    let found = flaws(&shape, &limits(0.45, 0.0, 0.0, 0.0));
    assert!(!found.is_empty() && found.iter().all(|found| found.feature == Feature::Stroke));
}

#[test]
fn a_width_is_the_one_that_halving_finds() {
    let (mut compared, mut agree) = (0, 0);
    for text in ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "½", "¾", "″"] {
        for height in [1.4, 2.0, 2.6] {
            let shape = label(text, height);
            let ceiling = if height < 2.0 { 0.3 } else { 0.45 };
            // points that stand out are halved anyway
            let exact = |residue: &Residue| residue.rims != 1;
            for residue in shape.pieces().flat_map(|piece| residues(&piece, ceiling)).filter(exact) {
                let (width, place) = least_width(&shape, &residue, ceiling);
                let left = |width: f64| residues(&shape, width + 2.0 * SLACK).iter().any(|left| left.touches(&residue));
                let (halved, _) = bisected(&shape, &residue, ceiling);
                // a point can be under three radii long to a disc and over them to a smaller one, which halving passes by
                let same = (width - halved).abs() < 0.02 * halved;
                assert!(
                    same || width < halved && left(1.02 * width),
                    "{text} at {height}: {width}, by halving {halved}"
                );
                agree += usize::from(same);
                assert!(shape.contains(place), "{text} at {height}: {place:?}");
                compared += 1;
            }
        }
    }
    assert!(compared > 30 && 20 * agree > 19 * compared, "{agree} of {compared}");
}

#[test]
fn the_largest_disc_is_exact() {
    for (shape, width) in [
        (rectangle(0.0, 0.0, 0.2, 3.0), 0.2),
        (rectangle(0.0, 0.0, 1.0, 1.0), 1.0),
        (disc(0.3), 0.6),
        (disc(0.5).difference(&disc(0.3)), 0.2),
        // a right triangle of 3, 4, 5 has an incircle of radius 1
        (Region::new(&BezPath::from_svg("M0 0H3L0 4Z").unwrap()), 2.0),
    ] {
        let (found, place) = largest_disc(&shape);
        assert_close(found, width, 0.003);
        assert!(shape.contains(place));
    }
}

#[test]
fn a_narrow_slit_is_a_gap_and_a_wide_one_is_not() {
    let plate = rectangle(0.0, 0.0, 4.0, 3.0);
    let limits = limits(0.45, 0.25, 0.0, 0.0);
    let slit = |width: f64| plate.difference(&rectangle(2.0, 1.0, width, 3.0));
    assert!(flaws(&slit(0.25), &limits).is_empty());
    let found = only(&slit(0.2), &limits);
    assert_eq!(found.feature, Feature::Gap);
    assert_close(found.width.to_mm(), 0.2, 0.003);
    assert!(!slit(0.2).contains(found.place));
}

#[test]
fn a_hole_too_small_is_a_counter_and_only_that() {
    let limits = limits(0.45, 0.25, 0.6, 0.5);
    let plate = |hole: f64| rectangle(-2.0, -2.0, 4.0, 4.0).difference(&disc(hole / 2.0));
    assert!(flaws(&plate(0.52), &limits).is_empty());
    for hole in [0.1, 0.3, 0.45] {
        let found = only(&plate(hole), &limits);
        assert_eq!(found.feature, Feature::Counter);
        assert_close(found.width.to_mm(), hole, 0.006);
        assert!(found.place.to_vec2().hypot() < 0.02);
    }
    // where counters may be small, a large gap limit does not name them
    assert!(flaws(&plate(0.3), &Limits { gap: mm(0.4), counter: mm(0.2), ..limits }).is_empty());
}

#[test]
fn a_dot_is_small_both_ways_whichever_way_it_lies() {
    let limits = limits(0.3, 0.25, 0.6, 0.5);
    for turn in [0.0, 0.5, 0.8] {
        let piece = |width: f64, height: f64| {
            Region::new(&(Affine::rotate(turn) * Rect::new(0.0, 0.0, width, height).to_path(1e-6)))
        };
        let found = only(&piece(0.55, 0.4), &limits);
        assert_eq!(found.feature, Feature::Dot);
        assert_close(found.width.to_mm(), 0.55, 1e-5);
        assert!(flaws(&piece(0.61, 0.4), &limits).is_empty());
        // a small thin piece is named once
        assert_eq!(features(&piece(0.2, 0.4), &limits), [Feature::Dot]);
    }
}

#[test]
fn no_limits_find_nothing() {
    assert!(flaws(&label("0.45", 1.0), &limits(0.0, 0.0, 0.0, 0.0)).is_empty());
    assert!(flaws(&Region::default(), &limits(1.0, 1.0, 1.0, 1.0)).is_empty());
}

#[test]
fn large_numerals_pass_and_small_ones_are_caught() {
    let vinyl = super::super::Vinyl::default().limits;
    let film = super::super::Film::default().limits();
    assert!(flaws(&label("0.9", 8.0), &vinyl).is_empty());
    let small = features(&label("0.9", 2.0), &vinyl);
    // the point, both strokes, and the gaps at the point's sides
    assert_eq!(small, [Feature::Dot, Feature::Stroke, Feature::Stroke, Feature::Gap, Feature::Gap]);
    assert!(features(&label("0.9", 1.4), &vinyl).contains(&Feature::Counter));
    for digit in ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9"] {
        assert!(flaws(&label(digit, 2.0), &film).is_empty(), "{digit}: {:?}", flaws(&label(digit, 2.0), &film));
    }
}

#[test]
fn the_thinnest_and_narrowest_are_measured() {
    let ring = rectangle(0.0, 0.0, 3.0, 3.0).difference(&rectangle(0.3, 0.5, 2.2, 2.0));
    let found = smallest(&ring, mm(1.0));
    assert_close(found.stroke.unwrap().0.to_mm(), 0.3, 0.004);
    assert!(found.stroke.unwrap().1.x < 0.5);
    assert!(found.gap.is_none());
    let found = smallest(&ring, mm(2.5));
    assert_close(found.gap.unwrap().0.to_mm(), 2.0, 0.02);
    assert!(smallest(&ring, mm(0.25)).stroke.is_none());
}

#[test]
fn a_digits_stem_is_measured_as_drawn() {
    // the stem of the plain face's 1, cut by a horizontal line at half height
    let one = label("1", 10.0);
    let bounds = one.bounds();
    let line = rectangle(bounds.x0 - 1.0, bounds.center().y, bounds.width() + 2.0, 0.01);
    let stem = one.intersection(&line).bounds().width();
    assert_close(smallest(&one, mm(3.0)).stroke.unwrap().0.to_mm(), stem, 0.02 * stem);
}

#[test]
fn near_pairs_are_exact_and_complete() {
    // every pair of a field of discs and squares, against trying all
    let mut shapes: Vec<Region> = Vec::new();
    for k in 0..40_i32 {
        let (x, y) = (f64::from(k * 37 % 101) * 0.11, f64::from(k * 53 % 89) * 0.07);
        let path = match k % 2 {
            0 => Circle::new((x, y), 0.3).to_path(1e-6),
            _ => Rect::new(x, y, x + 0.5, y + 0.4).to_path(1e-6),
        };
        shapes.push(Region::new(&path));
    }
    shapes.push(Region::default());
    let found = near(&shapes, mm(0.6));
    let mut expected = Vec::new();
    for a in 0..shapes.len() {
        for b in a + 1..shapes.len() {
            match shapes[a].nearest(&shapes[b]) {
                Some(way) if way.distance.to_mm() < 0.6 => expected.push(Near { pair: (a, b), way }),
                _ => (),
            }
        }
    }
    assert!(expected.len() > 5);
    assert_eq!(found, expected);
}

#[test]
fn a_tool_rounds_what_it_cannot_enter() {
    let r = 0.2;
    // a square hole keeps its corners' fillets, the square its own
    let plate = rectangle(0.0, 0.0, 5.0, 5.0).difference(&rectangle(2.0, 2.0, 1.0, 1.0));
    let corners = (4.0 - PI) * r * r;
    // joins lose up to 0.5 µm along the arcs, two circles in all
    assert_close(simulated(&plate, mm(r)).area(), 24.0 - corners + corners, 2.0 * 2.0 * PI * r * 0.0005 + 1e-4);
    let hole = Region::from_contour(&simulated(&plate, mm(r)).islands()[0].holes[0]);
    assert_close(hole.area(), 1.0 - corners, 2.0 * PI * r * 0.0005 + 1e-4);
    assert!(simulated(&disc(0.19), mm(r)).is_empty());
    assert_close(simulated(&disc(1.0), mm(r)).area(), PI, 2.0 * PI * 0.003);
}
