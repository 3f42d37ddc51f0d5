//! Tests of regions.

use std::f64::consts::PI;

use kurbo::{Affine, BezPath, Circle, Point, Rect, Shape};
use proptest::prelude::*;

use super::*;
use crate::check::assert_close;
use crate::lettering::{Face, Lettering};

fn mm(length: f64) -> Length {
    Length::mm(length)
}

fn square(x: f64, y: f64, side: f64) -> BezPath {
    Rect::new(x, y, x + side, y + side).to_path(1e-6)
}

fn disc(x: f64, y: f64, radius: f64) -> BezPath {
    Circle::new((x, y), radius).to_path(1e-7)
}

fn joined(paths: &[BezPath]) -> BezPath {
    paths.iter().flat_map(BezPath::iter).collect()
}

fn label(text: &str) -> BezPath {
    Lettering::new(Face::plain(), mm(2.0)).unwrap().line(text).unwrap().outline
}

/// What a disc may lose when its edge, its corners on the circle, runs up to `t` inside it.
fn lost(radius: f64, t: f64) -> f64 {
    2.0 * PI * radius * t
}

#[test]
fn overlapping_squares_share_what_both_cover() {
    let (a, b) = (Region::new(&square(0.0, 0.0, 2.0)), Region::new(&square(1.0, 1.0, 2.0)));
    assert_close(a.union(&b).area(), 7.0, 1e-9);
    assert_close(a.intersection(&b).area(), 1.0, 1e-9);
    assert_close(a.difference(&b).area(), 3.0, 1e-9);
    assert_eq!(a.union(&b).islands().len(), 1);
}

#[test]
fn two_discs_unite_to_the_published_lens_formula() {
    // area common to two discs of radius R at distance d (mathworld, circle-circle intersection, from memory):
    // 2 R² acos(d/2R) - d/2 sqrt(4R² - d²)
    let (radius, d) = (1.0_f64, 1.2);
    let lens = 2.0 * radius * radius * (d / 2.0 / radius).acos() - d / 2.0 * (4.0 * radius * radius - d * d).sqrt();
    let both = Region::new(&joined(&[disc(0.0, 0.0, radius), disc(d, 0.0, radius)]));
    assert_close(both.area(), 2.0 * PI - lens, 2.0 * lost(1.0, FLATTENING));
}

#[test]
fn holes_and_islands_are_told_apart() {
    let ring = joined(&[square(0.0, 0.0, 5.0), square(1.0, 1.0, 3.0).reverse_subpaths(), square(2.0, 2.0, 1.0)]);
    for ring in [ring.clone(), ring.reverse_subpaths()] {
        let region = Region::new(&ring);
        assert_eq!((region.islands().len(), region.hole_count()), (2, 1));
        assert_close(region.area(), 25.0 - 9.0 + 1.0, 1e-9);
        assert!(region.contains(Point::new(0.5, 0.5)) && region.contains(Point::new(2.5, 2.5)));
        assert!(!region.contains(Point::new(1.5, 1.5)) && !region.contains(Point::new(-0.5, 2.0)));
        assert_close(region.to_path().area(), 17.0, 1e-9);
        assert_close(Region::new(&region.to_path()).area(), 17.0, 1e-9);
        assert_eq!(region.bounds(), Rect::new(0.0, 0.0, 5.0, 5.0));
    }
}

#[test]
fn the_same_digit_is_the_same_at_every_place() {
    let digit = label("8");
    let here = Region::new(&digit);
    for (x, y) in [(1999.0, -1999.0), (-2000.0, 13.0), (250.5, 0.25)] {
        let there = Region::new(&(Affine::translate((x, y)) * digit.clone()));
        assert_close(there.area(), here.area(), 1e-6);
        let corners = |region: &Region| region.contours().map(<[Point]>::len).sum::<usize>();
        assert!(corners(&there).abs_diff(corners(&here)) <= 2);
        let (grown, far) = (here.offset(mm(0.1)), there.offset(mm(0.1)));
        assert_close(far.area(), grown.area(), 1e-4);
    }
}

#[test]
fn a_grown_square_has_round_corners() {
    let grown = Region::new(&square(0.0, 0.0, 3.0)).offset(mm(0.5));
    assert_close(grown.area(), 9.0 + 4.0 * 3.0 * 0.5 + PI * 0.25, lost(0.5, 0.0005));
    assert_close(Region::new(&square(0.0, 0.0, 3.0)).offset(mm(-0.5)).area(), 4.0, 1e-9);
}

#[test]
fn an_opened_square_loses_its_corners() {
    for (side, r) in [(2.0, 0.3), (1.0, 0.5), (5.0, 0.05)] {
        let opened = Region::new(&square(7.0, -3.0, side)).opened(mm(r - 1e-5));
        assert_close(opened.area(), side * side - (4.0 - PI) * r * r, lost(r, 0.0005) + 1e-4);
    }
}

#[test]
fn a_disc_stays_or_vanishes_with_the_tool() {
    let small = Region::new(&disc(0.0, 0.0, 0.5));
    assert!(small.opened(mm(0.501)).is_empty());
    assert_close(small.opened(mm(0.49)).area(), PI * 0.25, lost(0.5, 0.002));
}

#[test]
fn a_narrow_slit_closes_and_a_wide_one_stays() {
    let plate = Region::new(&square(0.0, 0.0, 4.0));
    let slit = |width: f64| Region::rectangle(Rect::new(1.0, 1.0, 3.0, 1.0 + width));
    // exact except for the grid's rounding along 16 mm of edges
    assert_close(plate.difference(&slit(0.19)).closed(mm(0.1)).area(), 16.0, 1e-4);
    // a wide slit keeps all but its corners
    let kept = 16.0 - plate.difference(&slit(0.5)).closed(mm(0.1)).area();
    assert_close(kept, 2.0 * 0.5 - (4.0 - PI) * 0.01, lost(0.1, 0.0005));
}

#[test]
fn the_nearest_way_is_exact_and_says_where() {
    let a = Region::new(&square(0.0, 0.0, 1.0));
    let b = Region::new(&square(4.0, 5.0, 1.0));
    let way = a.nearest(&b).unwrap();
    assert_close(way.distance.to_mm(), 5.0, 1e-9);
    assert_eq!((way.from, way.to), (Point::new(1.0, 1.0), Point::new(4.0, 5.0)));
    assert_eq!(way.middle(), Point::new(2.5, 3.0));
    let discs = Region::new(&disc(0.0, 0.0, 1.0)).nearest(&Region::new(&disc(3.0, 0.0, 0.7))).unwrap();
    assert_close(discs.distance.to_mm(), 1.3, 2.0 * FLATTENING);
    let inside = Region::new(&square(0.2, 0.2, 0.1));
    for (a, b) in [(&a, &inside), (&inside, &a), (&a, &a)] {
        assert_eq!(a.nearest(b).unwrap().distance, Length::ZERO);
    }
    assert!(a.nearest(&Region::default()).is_none());
}

#[test]
fn a_hole_is_as_far_from_what_stands_in_it_as_its_edge() {
    let ring = Region::new(&joined(&[square(0.0, 0.0, 5.0), square(1.0, 1.0, 3.0).reverse_subpaths()]));
    let way = ring.nearest(&Region::new(&square(1.25, 2.0, 1.0))).unwrap();
    assert_close(way.distance.to_mm(), 0.25, 1e-9);
}

#[test]
fn what_nothing_overlaps_keeps_its_curves() {
    let label = label("4.85");
    let tick = square(30.0, 0.0, 0.4);
    for sense in [label.clone(), label.reverse_subpaths()] {
        let found = united(&[sense, tick.clone()]);
        let curves = |path: &BezPath| path.iter().filter(|e| matches!(e, PathEl::QuadTo(..))).count();
        let (before, after) = (curves(&label), found.iter().map(curves).sum::<usize>());
        assert_eq!(after, before);
        assert_eq!(found.len(), 5, "4, point, 8, 5 and the tick");
        assert_close(found.iter().map(BezPath::area).sum(), label.area().abs() + 0.16, 1e-9);
        // every island's first contour is positive, the others negative
        for island in &found {
            let areas: Vec<f64> = island.subpaths().map(|c| c.iter().copied().collect::<BezPath>().area()).collect();
            assert!(areas[0] > 0.0 && areas[1..].iter().all(|area| *area < 0.0), "{areas:?}");
        }
    }
}

#[test]
fn only_what_overlaps_becomes_polygons() {
    let label = label("85");
    let bounds = label.bounding_box();
    // across the 5 alone
    let tick = Rect::new(bounds.x1 - 0.3, bounds.y0 - 1.0, bounds.x1 - 0.1, bounds.y1 + 1.0).to_path(1e-6);
    let found = united(&[label.clone(), tick.clone()]);
    assert_eq!(found.len(), 2);
    assert!(found[0].iter().any(|element| matches!(element, PathEl::QuadTo(..))));
    assert!(found[1].iter().all(|element| !matches!(element, PathEl::QuadTo(..))));
    let expected = Region::new(&joined(&[label, tick]));
    assert_close(found.iter().map(BezPath::area).sum(), expected.area(), 0.01);
}

#[test]
fn hidden_doubled_and_empty_contours_are_gone() {
    let outer = disc(0.0, 0.0, 2.0);
    let flat = BezPath::from_svg("M0 0 L5 0 L2 0 Z M1 1 Z").unwrap();
    let found = united(&[outer.clone(), outer.clone(), disc(0.2, 0.0, 1.0).reverse_subpaths(), flat]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].subpaths().count(), 1);
    assert_eq!(found[0].elements().len(), outer.elements().len());
}

#[test]
fn opposite_senses_do_not_cancel_between_outlines() {
    let found = united(&[square(0.0, 0.0, 2.0), square(1.0, 0.0, 2.0).reverse_subpaths()]);
    assert_close(found.iter().map(BezPath::area).sum(), 6.0, 1e-9);
}

#[test]
fn damaged_outlines_give_nothing_or_something_finite() {
    let endless = BezPath::from_vec(vec![
        PathEl::MoveTo(Point::new(f64::NAN, 0.0)),
        PathEl::LineTo(Point::new(1.0, 0.0)),
        PathEl::LineTo(Point::new(1.0, 1.0)),
    ]);
    assert!(Region::new(&endless).is_empty());
    let far = BezPath::from_svg("M0 0 C1e300 0 0 -1e300 1e12 1e12 L-1e9 3 Z").unwrap();
    let region = Region::new(&far);
    assert!(region.area().is_finite() && region.offset(mm(1e12)).area().is_finite());
    assert!(united(&[BezPath::new()]).is_empty());
    assert!(Region::default().opened(mm(1.0)).is_empty());
}

/// Contours of few corners on a coarse lattice: they share corners and edges, double back and vanish.
fn wild() -> impl Strategy<Value = BezPath> {
    let corner = (-4i32..5, -4i32..5).prop_map(|(x, y)| Point::new(f64::from(x), f64::from(y)));
    let contour = (proptest::collection::vec(corner, 1..8), any::<bool>(), 0..3u8);
    proptest::collection::vec(contour, 0..6).prop_map(|contours| {
        let mut path = BezPath::new();
        for (corners, curved, shift) in contours {
            let moved = |p: Point| p + kurbo::Vec2::new([0.0, 1e-7, 3e-4][usize::from(shift)], 0.0);
            path.move_to(moved(corners[0]));
            for pair in corners[1..].chunks(2) {
                match (pair, curved) {
                    ([a, b], true) => path.quad_to(moved(*a), moved(*b)),
                    _ => pair.iter().for_each(|p| path.line_to(moved(*p))),
                }
            }
            path.close_path();
        }
        path
    })
}

/// Discs along every edge: what shrinking takes away and growing adds, by unions alone.
fn swept(region: &Region, radius: f64) -> Region {
    let mut swept = BezPath::new();
    for (a, b) in region.contours().flat_map(edges) {
        swept.extend(Circle::new(a, radius).to_path(1e-5));
        let across = (b - a).turn_90().normalize() * radius;
        if across.is_finite() {
            swept.move_to(a + across);
            [a - across, b - across, b + across].iter().for_each(|p| swept.line_to(*p));
            swept.close_path();
        }
    }
    let pieces: Vec<Region> =
        swept.subpaths().map(|piece| Region::new(&piece.iter().copied().collect::<BezPath>())).collect();
    Region::union_of(&pieces)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn areas_of_wild_shapes_add_up(a in wild(), b in wild()) {
        let (a, b) = (Region::new(&a), Region::new(&b));
        let (union, common) = (a.union(&b), a.intersection(&b));
        prop_assert!((union.area() + common.area() - a.area() - b.area()).abs() < 1e-3);
        prop_assert!((a.difference(&b).area() + common.area() - a.area()).abs() < 1e-3);
        prop_assert!(union.contours().all(|contour| signed_area(contour).abs() > 0.0));
        let distance = a.nearest(&b).map(|way| way.distance);
        if common.area() > 1e-3 {
            prop_assert_eq!(distance, Some(Length::ZERO));
        }
    }

    #[test]
    fn united_outlines_cover_the_same_and_do_not_overlap(a in wild(), b in wild()) {
        let expected = Region::new(&a).union(&Region::new(&b));
        let found = united(&[a, b]);
        let sum: f64 = found.iter().map(BezPath::area).sum();
        // the sum of the islands' own areas is that of their union: nothing is covered twice
        prop_assert!((sum - expected.area()).abs() < 0.01 * (1.0 + expected.area()));
        let again = Region::new(&joined(&found));
        let missed = expected.difference(&again).offset(mm(-0.01)).area() + again.difference(&expected).offset(mm(-0.01)).area();
        prop_assert!(missed == 0.0);
    }

    #[test]
    fn offsets_agree_with_discs_swept_along_the_edge(path in wild(), radius in 0.05..1.5f64) {
        let region = Region::new(&path);
        let rim = swept(&region, radius);
        let within = 0.003;
        let both = [(region.union(&rim), region.offset(mm(radius))), (region.difference(&rim), region.offset(mm(-radius)))];
        for (expected, found) in both {
            for rest in [expected.difference(&found), found.difference(&expected)] {
                prop_assert!(rest.offset(mm(-within)).is_empty(), "off by more than {within}: {}", rest.area());
            }
        }
    }
}
