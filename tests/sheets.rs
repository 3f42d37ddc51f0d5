//! Strips on sheets: nothing overlaps, nothing is lost, every length stays true, and what is too long is laid on the
//! diagonal or divided between its marks. Measured on the finished pages.

use kurbo::{BezPath, ParamCurve, Point, Rect, Shape};
use proptest::prelude::*;
use ringwright::artwork::{self, Drawing, Extent, Group, Ink, Layer, LayerKind, Look, MarkTag, Strip};
use ringwright::lettering::{Face, Lettering};
use ringwright::scale::{Band, BandUnit, Grounds, Mark, MarkValue, TickClass};
use ringwright::sheet::{Item, Page, Paper, Placed, RULER_LONG, RULER_SHORT, Sheet, SheetError, Sheets, ruler, sheets};
use ringwright::surface::{Edge, Ring, Sense, Surface};
use ringwright::units::{Angle, Length};
use ringwright::write::svg;

const MARGIN: f64 = 6.0;
const GAP: f64 = 3.0;

fn lettering() -> Lettering {
    Lettering::new(Face::plain(), Length::mm(2.5)).unwrap()
}

fn lay_out(items: &[Item], paper: Paper) -> Sheets {
    sheets(items, &Page { title: "Quarry".into(), ..Page::new(paper) }, &lettering()).unwrap_or_else(|e| panic!("{e}"))
}

/// Something that does not go round a ring.
fn plate(name: &str, width: f64, height: f64, copies: usize) -> Item {
    let outline = Group::new(None, Rect::new(0.0, 0.0, width, height).to_path(1e-3));
    let drawing = Drawing {
        title: name.into(),
        width: Length::mm(width),
        height: Length::mm(height),
        layers: vec![Layer::new(LayerKind::Outline, vec![outline])],
    };
    Item { name: name.into(), strip: Strip { drawing, flat: None, round: None }, copies }
}

/// A strip once round a ring with a numbered mark every `step` degrees and plain marks at its quarters.
fn round(rear: f64, front: f64, step: f64, name: &str) -> Item {
    let length = Length::mm;
    let ring = Ring { rear_diameter: length(rear), front_diameter: length(front), width: length(12.0) };
    let face = artwork::ScaleFace {
        surface: Surface::new(&ring, length(0.1)),
        sense: Sense::Clockwise,
        index: Edge::Rear,
        read_from: Edge::Rear,
        repeat: false,
    };
    let look = Look {
        tool: None,
        tick_width: length(0.2),
        numbered_tick: length(2.4),
        tick_follows: true,
        medium_tick: ringwright::artwork::medium_tick(length(2.4), length(1.5)),
        plain_tick: length(1.5),
        sign: ringwright::scale::UnitSign::Start,
        label_gap: length(0.5),
        extent: Extent::FullTurn,
    };
    let mark = |k: usize| {
        let angle = Angle::deg(0.25 * step * k as f64);
        let value = MarkValue::Stop(1.0 + k as f64);
        let label = if k.is_multiple_of(4) { format!("{}", 10 + k / 4) } else { String::new() };
        let arc = length(face.surface.mm_per_degree(Edge::Rear) * angle.to_deg());
        Mark {
            value,
            tick: TickClass::beneath(&label),
            label,
            angle,
            arc,
            numeral_shift: Length::ZERO,
            short: false,
            hyperfocal: None,
        }
    };
    let marks = (0..(4.0 * 330.0 / step) as usize).map(mark).collect();
    let band = Band { unit: BandUnit::F, marks, left_out: vec![], grounds: Grounds::default() };
    let strip = artwork::strip(name, &face, &look, &lettering(), &[band]).unwrap_or_else(|e| panic!("{e}"));
    Item { name: name.into(), strip, copies: 1 }
}

fn points(path: &BezPath) -> Vec<Point> {
    path.segments().flat_map(|segment| [segment.start(), segment.eval(0.5), segment.end()]).collect()
}

fn all_points(drawing: &Drawing) -> impl Iterator<Item = Point> + '_ {
    drawing.layers.iter().flat_map(|layer| &layer.groups).flat_map(|group| points(&group.path))
}

fn size(drawing: &Drawing) -> (f64, f64) {
    (drawing.width.to_mm(), drawing.height.to_mm())
}

fn inside_margins(drawing: &Drawing) {
    let (width, height) = size(drawing);
    let inside = Rect::new(MARGIN, MARGIN, width - MARGIN, height - MARGIN).inset(1e-6);
    for point in all_points(drawing) {
        assert!(inside.winding(point) != 0, "{point:?} on {width} x {height}");
    }
}

fn bounds(placed: &Placed) -> Rect {
    let corners = placed.corners();
    corners.iter().fold(Rect::from_points(corners[0], corners[2]), |all, corner| all.union_pt(*corner))
}

/// The control rulers' lines on a page, from point to point; the longest are the rulers themselves.
fn ruler_lines(drawing: &Drawing) -> Vec<(Point, Point)> {
    let is_line = |layer: &&Layer| layer.kind == LayerKind::Guide && layer.ink == Ink::Line(Length::mm(0.15));
    let layer = drawing.layers.iter().find(is_line).expect("a page has rulers");
    layer.groups.last().unwrap().path.segments().map(|line| (line.start(), line.end())).collect()
}

/// Lengths of the longest line from left to right and of the longest upright one.
fn ruler_lengths(drawing: &Drawing) -> (f64, f64) {
    let lines = ruler_lines(drawing);
    let longest = |of: fn(&(Point, Point)) -> f64| lines.iter().map(of).fold(0.0, f64::max);
    (longest(|(a, b)| (a.x - b.x).abs()), longest(|(a, b)| (a.y - b.y).abs()))
}

fn check_sheet(sheet: &Sheet, gap: f64) {
    inside_margins(&sheet.drawing);
    assert!((0.0..1.0).contains(&sheet.waste), "{}", sheet.waste);
    let boxes: Vec<Rect> = sheet.placed.iter().map(bounds).collect();
    for (at, one) in boxes.iter().enumerate() {
        for other in &boxes[at + 1..] {
            let apart = (one.x0 - other.x1).max(other.x0 - one.x1).max(one.y0 - other.y1).max(other.y0 - one.y1);
            assert!(apart >= gap - 1e-6, "{one:?} and {other:?}");
        }
        for (from, to) in ruler_lines(&sheet.drawing) {
            let line = Rect::from_points(from, to).inset(0.5);
            assert!(one.intersect(line).area() == 0.0, "{one:?} covers the ruler at {from:?}");
        }
    }
}

fn every_copy_once(items: &[Item], sheets: &[Sheet]) {
    let mut placed: Vec<(usize, usize)> = sheets.iter().flat_map(|s| &s.placed).map(|p| (p.item, p.copy)).collect();
    placed.sort_unstable();
    let wanted: Vec<(usize, usize)> =
        items.iter().enumerate().flat_map(|(at, item)| (0..item.copies).map(move |copy| (at, copy))).collect();
    assert_eq!(placed, wanted);
}

const ROLL: Paper = Paper::Roll { width: Length::mm(250.0) };

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn boxes_never_overlap_lie_inside_the_margins_and_are_all_there(
        plates in prop::collection::vec((3.0..265.0, 2.0..60.0, 0usize..4), 1..25),
        paper in 0usize..6,
        printed in (0.97..1.03, 0.97..1.03),
    ) {
        let custom = Paper::Custom { width: Length::mm(290.0), height: Length::mm(120.0) };
        let paper = [Paper::A4, Paper::A3, Paper::Letter, Paper::Mat, ROLL, custom][paper];
        let items: Vec<Item> = plates
            .iter()
            .map(|&(w, h, copies)| plate("L", if paper == Paper::Letter || paper == custom { 0.9 * w } else { w }, h, copies))
            .collect();
        let page = Page { printed, ..Page::new(paper) };
        let laid = sheets(&items, &page, &lettering()).unwrap();
        prop_assert!(laid.notes.is_empty(), "{:?}", laid.notes);
        every_copy_once(&items, &laid.sheets);
        for sheet in &laid.sheets {
            check_sheet(sheet, GAP / 1.03);
            prop_assert!(!sheet.placed.is_empty());
        }
    }
}

#[test]
fn waste_is_what_the_boxes_leave_of_the_room() {
    let laid = lay_out(&[plate("", 100.0, 50.0, 4)], Paper::Mat);
    // room: the mat without margins and without the rulers' bands of 7.5 mm
    let room = (304.8 - 12.0 - 7.5) * (304.8 - 12.0 - 7.5);
    assert!((laid.sheets[0].waste - (1.0 - 4.0 * 5000.0 / room)).abs() < 1e-9, "{}", laid.sheets[0].waste);
}

/// Ticks in drawing order.
fn ticks(drawing: &Drawing) -> Vec<&Group> {
    drawing.layers.iter().filter(|l| l.kind == LayerKind::Ticks).flat_map(|l| &l.groups).collect()
}

#[test]
fn a_placed_strip_keeps_every_distance_between_its_ticks() {
    let items = [round(84.0, 84.0, 20.0, "Slate 28, focus"), round(70.0, 66.0, 15.0, "Flint 100, focus")];
    // on the mat as it is, on the roll turned by a quarter
    for (paper, quarter) in [(Paper::Mat, false), (Paper::Roll { width: Length::mm(300.0) }, true)] {
        let laid = lay_out(&items, paper);
        assert_eq!(laid.sheets.len(), 1);
        let drawn = ticks(&laid.sheets[0].drawing);
        let mut from = 0;
        for placed in &laid.sheets[0].placed {
            assert_eq!(placed.place.as_coeffs()[0] == 0.0, quarter);
            let original = ticks(&items[placed.item].strip.drawing);
            let drawn = &drawn[from..from + original.len()];
            from += original.len();
            let start = |group: &Group| points(&group.path)[0];
            for (a, b) in original.iter().zip(drawn) {
                assert_eq!(a.tag, b.tag);
                let was = start(original[0]).distance(start(a));
                let is = start(drawn[0]).distance(start(b));
                assert!((was - is).abs() < 1e-9, "{was} became {is}");
                assert!((placed.place * start(a)).distance(start(b)) < 1e-9);
                // its own axes go with it, and nothing is mirrored
                assert!((b.frame.determinant() - a.frame.determinant()).abs() < 1e-9);
            }
        }
        assert_eq!(from, drawn.len());
    }
}

#[test]
fn names_stand_outside_the_artwork() {
    let items = [round(84.0, 84.0, 20.0, "Slate 28, focus"), round(70.0, 66.0, 15.0, "Flint 100, focus")];
    let laid = lay_out(&items, Paper::Mat);
    let sheet = &laid.sheets[0];
    for placed in &sheet.placed {
        let flat = items[placed.item].strip.flat.as_ref().unwrap();
        let back = placed.place.inverse();
        let guides = sheet.drawing.layers.iter().filter(|layer| layer.kind == LayerKind::Guide);
        for point in guides.flat_map(|layer| &layer.groups).flat_map(|group| points(&group.path)) {
            let (turn, height) = flat.turn_and_height(back * point);
            let on_face = turn.abs() < 180.0 && height > -0.5 && height < flat.width() + 0.5;
            assert!(!on_face, "a guide at {turn}°, {height} mm");
        }
    }
}

#[test]
fn a_page_is_wide_where_strips_are_long_and_upright_where_that_needs_fewer_sheets() {
    let wide = |items: &[Item]| {
        let (width, height) = size(&lay_out(items, Paper::A4).sheets[0].drawing);
        width > height
    };
    assert!(wide(&[plate("long", 270.0, 14.0, 3)]));
    // two columns of five fill it; wide, ten would have to be turned
    assert!(!wide(&[plate("short", 90.0, 45.0, 10)]));
}

#[test]
fn a_roll_is_as_long_as_it_needs_to_be() {
    let laid = lay_out(&[plate("", 200.0, 27.0, 8)], ROLL);
    assert_eq!(laid.sheets.len(), 1);
    let (width, height) = size(&laid.sheets[0].drawing);
    assert_eq!(height, 250.0);
    // upright, eight boxes of 27 mm with seven gaps; margins and the ruler's band
    assert!((width - (8.0 * 27.0 + 7.0 * GAP + 12.0 + 7.5)).abs() < 3.0, "{width}");
}

#[test]
fn strips_longer_than_the_sheet_lie_side_by_side_on_its_diagonal() {
    // 305 mm round the ring
    let items = [Item { copies: 3, ..round(97.0, 97.0, 20.0, "Granite 50, focus") }, plate("plate", 30.0, 10.0, 1)];
    let laid = lay_out(&items, Paper::A4);
    assert_eq!(laid.notes, ["Granite 50, focus is longer than the sheet and lies on the diagonal"]);
    every_copy_once(&items, &laid.sheets);
    let mut on_one = 0;
    for sheet in &laid.sheets {
        inside_margins(&sheet.drawing);
        let long: Vec<&Placed> = sheet.placed.iter().filter(|placed| placed.item == 0).collect();
        on_one = on_one.max(long.len());
        for (at, one) in long.iter().enumerate() {
            let slope = one.place.as_coeffs()[1].atan2(one.place.as_coeffs()[0]).to_degrees();
            assert!((-60.0..-20.0).contains(&slope), "{slope}");
            for other in &long[at + 1..] {
                // in the axes of one, the other lies wholly above or below
                let back = other.corners().map(|corner| one.turn.inverse() * corner);
                let (top, bottom) =
                    back.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.y), b.max(p.y)));
                let apart = (one.bounds.y0 - bottom).max(top - one.bounds.y1);
                assert!(apart >= GAP - 1e-6, "{apart}");
            }
        }
        for (from, to) in ruler_lines(&sheet.drawing) {
            for placed in &long {
                let inside = |point: Point| placed.bounds.contains(placed.turn.inverse() * point);
                assert!(!inside(from) && !inside(to), "a strip lies on the ruler");
            }
        }
    }
    assert!(on_one >= 2, "{on_one} on one sheet");
}

#[test]
fn a_bent_strip_is_slanted_when_that_keeps_it_whole() {
    let laid = lay_out(&[round(120.0, 110.0, 20.0, "Flint 100, focus")], Paper::A4);
    assert_eq!(laid.notes, ["Flint 100, focus is longer than the sheet and lies on the diagonal"]);
    inside_margins(&laid.sheets[0].drawing);
    // the strip itself is under its hull, the hull under the room of 277.5 mm by 190.5 mm
    let strip = std::f64::consts::PI * 115.1 * 12.0;
    let waste = laid.sheets[0].waste;
    assert!(waste > 0.0 && waste < 1.0 - strip / (277.5 * 190.5), "{waste}");
}

/// What of a layer lies in a part's box, in the part's own axes.
fn of_part(sheet: &Sheet, placed: &Placed, kind: LayerKind) -> Vec<Group> {
    let back = placed.turn.inverse();
    let room = placed.bounds.inset(1e-6);
    let layers = sheet.drawing.layers.iter().filter(|layer| layer.kind == kind);
    let mut found = Vec::new();
    for group in layers.flat_map(|layer| &layer.groups) {
        let mut group = group.clone();
        group.apply_affine(back);
        if points(&group.path).iter().all(|&point| room.contains(point)) {
            found.push(group);
        }
    }
    found
}

fn parts(laid: &Sheets) -> Vec<(&Sheet, &Placed)> {
    let mut parts: Vec<_> = laid.sheets.iter().flat_map(|s| s.placed.iter().map(move |p| (s, p))).collect();
    parts.retain(|(_, placed)| placed.part.is_some());
    parts.sort_by_key(|(_, placed)| placed.part);
    parts
}

fn tags<'a>(groups: impl IntoIterator<Item = &'a Group>) -> Vec<MarkTag> {
    let mut tags: Vec<MarkTag> = groups.into_iter().filter_map(|group| group.tag.clone()).collect();
    tags.sort_by(|a, b| a.angle.to_deg().total_cmp(&b.angle.to_deg()));
    tags
}

#[test]
fn the_parts_of_a_divided_strip_add_up_to_the_whole() {
    let items = [round(125.0, 125.0, 20.0, "Granite 50, focus")];
    let laid = lay_out(&items, Paper::A4);
    assert_eq!(laid.notes, ["Granite 50, focus is divided at 1 place"]);
    let widths: Vec<f64> = parts(&laid)
        .iter()
        .map(|(sheet, placed)| {
            let outline = of_part(sheet, placed, LayerKind::Outline);
            assert_eq!(outline.len(), 1);
            outline[0].path.bounding_box().width()
        })
        .collect();
    assert_eq!(widths.len(), 2);
    let whole = std::f64::consts::PI * 125.1;
    assert!((widths.iter().sum::<f64>() - whole).abs() < 1e-6, "{widths:?}");
    assert!(widths.iter().all(|width| (width / whole - 0.5).abs() < 0.05), "{widths:?}");
}

#[test]
fn each_mark_lies_in_one_part_and_away_from_its_cuts() {
    for (rear, front) in [(125.0, 125.0), (260.0, 260.0), (125.0, 119.0), (140.0, 152.0)] {
        let items = [round(rear, front, 20.0, "Granite 50, focus")];
        let laid = lay_out(&items, Paper::A4);
        laid.sheets.iter().for_each(|sheet| check_sheet(sheet, GAP));
        let flat = items[0].strip.flat.as_ref().unwrap();
        let mut turn = flat.ends().0;
        for kind in [LayerKind::Ticks, LayerKind::Numerals] {
            let drawn: Vec<Group> = parts(&laid).iter().flat_map(|(s, p)| of_part(s, p, kind)).collect();
            let wanted = items[0].strip.drawing.layers.iter().filter(|l| l.kind == kind).flat_map(|l| &l.groups);
            assert_eq!(tags(&drawn), tags(wanted.clone()), "{rear} {front}");
            assert_eq!(drawn.len(), wanted.count());
        }
        let all = parts(&laid);
        for (at, (sheet, placed)) in all.iter().enumerate() {
            assert_eq!(placed.part, Some((at, all.len())));
            // the part's own axes → the item's
            let back = placed.place.inverse() * placed.turn;
            let turns = |group: &Group| -> Vec<f64> {
                points(&group.path).iter().map(|&point| flat.turn_and_height(back * point).0).collect()
            };
            let outline = turns(&of_part(sheet, placed, LayerKind::Outline)[0]);
            let (from, to) = outline.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), &t| (a.min(t), b.max(t)));
            // each part begins where the one before it ends
            assert!((from - turn).abs() < 1e-6, "{from} after {turn}");
            turn = to;
            let clear = 0.5 / flat.mm_per_degree(Edge::Front).max(flat.mm_per_degree(Edge::Rear)) - 1e-6;
            for kind in [LayerKind::Ticks, LayerKind::Numerals] {
                for mark in of_part(sheet, placed, kind) {
                    let inside = |t: &f64| *t > from + clear && *t < to - clear;
                    assert!(turns(&mark).iter().all(inside), "{:?} in {from}..{to}", mark.tag);
                }
            }
        }
        assert!((turn - flat.ends().1).abs() < 1e-6);
    }
}

#[test]
fn a_part_has_an_edge_of_even_thickness_all_round() {
    let laid = lay_out(&[round(125.0, 125.0, 20.0, "Granite 50, focus")], Paper::A4);
    let all = parts(&laid);
    // 393 mm round the ring, and 285 mm of a page between its margins
    assert_eq!(all.len(), 2);
    for (sheet, placed) in all {
        let outlines = of_part(sheet, placed, LayerKind::Outline);
        assert_eq!(outlines.len(), 1);
        let path = &outlines[0].path;
        let outer = path.bounding_box();
        // the frame's area by its nominal thickness of 0.1 mm
        let frame = outer.area() - (outer.width() - 0.2) * (outer.height() - 0.2);
        assert!((path.area().abs() - frame).abs() < 1e-6, "{} {frame}", path.area());
    }
}

#[test]
fn guides_go_with_their_part_and_long_ones_are_cut() {
    let mut item = round(125.0, 125.0, 20.0, "Granite 50, focus");
    let length = item.strip.drawing.width.to_mm();
    let line = |x0: f64, x1: f64, y: f64| {
        let mut path = BezPath::new();
        path.move_to((x0, y));
        path.line_to((x1, y));
        Group::new(None, path)
    };
    let groups = vec![line(0.0, length, -1.0), line(20.0, 24.0, -2.0), line(length - 24.0, length - 20.0, -2.0)];
    let ink = Ink::Line(Length::mm(0.2));
    item.strip.drawing.layers.push(Layer::new(LayerKind::Guide, groups).with_ink(ink));
    let laid = lay_out(&[item], Paper::A4);
    let mut lines = Vec::new();
    for (sheet, _) in parts(&laid) {
        let layer = sheet.drawing.layers.iter().find(|layer| layer.ink == ink).unwrap();
        let lengths = layer.groups.iter().flat_map(|group| group.path.segments().map(|s| s.start().distance(s.end())));
        lines = lengths.collect();
    }
    assert_eq!(lines.len(), 4, "{lines:?}");
    assert_eq!(lines.iter().filter(|&&one| (one - 4.0).abs() < 1e-9).count(), 2);
    assert!((lines.iter().sum::<f64>() - 8.0 - length).abs() < 1e-6, "{lines:?}");
}

#[test]
fn both_sides_of_a_cut_carry_its_line_at_its_very_place() {
    let items = [round(125.0, 125.0, 20.0, "Granite 50, focus")];
    let laid = lay_out(&items, Paper::A4);
    let all = parts(&laid);
    let flat = items[0].strip.flat.as_ref().unwrap();
    // upright guide lines of 3 mm in a part's box, as turns
    let cuts = |(sheet, placed): &(&Sheet, &Placed)| -> Vec<f64> {
        let back = placed.place.inverse() * placed.turn;
        let lines = of_part(sheet, placed, LayerKind::Guide);
        let lines = lines.iter().flat_map(|group| group.path.segments().collect::<Vec<_>>());
        let upright = lines.filter(|line| line.start().x == line.end().x && (line.arclen_at() - 3.0).abs() < 1e-9);
        upright.map(|line| flat.turn_and_height(back * line.start()).0).collect()
    };
    let (left, right) = (cuts(&all[0]), cuts(&all[1]));
    assert_eq!((left.len(), right.len()), (2, 2), "one line in front of the face and one behind it");
    for turn in left.iter().chain(&right) {
        assert!((turn - left[0]).abs() < 1e-9);
    }
}

trait ArcLength {
    fn arclen_at(&self) -> f64;
}

impl ArcLength for kurbo::PathSeg {
    fn arclen_at(&self) -> f64 {
        self.start().distance(self.end())
    }
}

#[test]
fn what_cannot_be_laid_out_is_refused_by_name() {
    let page = Page::new(Paper::A4);
    let refuse = |items: &[Item], page: &Page| sheets(items, page, &lettering()).unwrap_err();
    // a numeral every 2.8 degrees leaves no gap
    let crowded = refuse(&[round(125.0, 125.0, 2.8, "Granite 50, focus")], &page);
    assert!(matches!(crowded, SheetError::NoGap { .. }));
    insta::assert_snapshot!(crowded, @"Granite 50, focus is longer than the sheet, and no gap between its marks from 15 mm to 292 mm is wide enough to divide it there; take larger paper");
    insta::assert_snapshot!(refuse(&[plate("A disc", 250.0, 240.0, 1)], &page), @"A disc is 250.0 mm x 243.5 mm and cannot be divided; the sheet has room for 277.5 mm x 190.5 mm, so take larger paper");
    let small = Page::new(Paper::Custom { width: Length::mm(20.0), height: Length::mm(90.0) });
    insta::assert_snapshot!(refuse(&[], &small), @"between margins and rulers the paper has 70 mm x 0 mm left, too little");
    insta::assert_snapshot!(refuse(&[], &Page { printed: (0.5, 1.0), ..page }), @"a printed length is 0.5 of its true length; a printer's is between 0.9 and 1.1");
}

#[test]
fn a_printer_that_shortens_is_handed_longer_lines() {
    let items = [plate("plate", 250.0, 20.0, 1)];
    let page = Page { printed: (0.99, 1.02), ..Page::new(Paper::A4) };
    let laid = sheets(&items, &page, &lettering()).unwrap();
    let drawing = &laid.sheets[0].drawing;
    assert_eq!(size(drawing), (297.0, 210.0));
    let (across, down) = ruler_lengths(drawing);
    assert!((across * 0.99 - 100.0).abs() < 1e-9 && (down * 1.02 - 100.0).abs() < 1e-9);
    let plate = drawing.layers.iter().find(|l| l.kind == LayerKind::Outline).unwrap().groups[0].path.bounding_box();
    assert!((plate.width() * 0.99 - 250.0).abs() < 1e-9 && (plate.height() * 1.02 - 20.0).abs() < 1e-9);
    inside_margins(drawing);
}

#[test]
fn every_sheet_has_rulers_of_100_mm() {
    for paper in [Paper::A4, Paper::Letter, Paper::A3, Paper::Mat, ROLL] {
        let laid = lay_out(&[plate("plate", 150.0, 60.0, 9)], paper);
        for sheet in &laid.sheets {
            let (across, down) = ruler_lengths(&sheet.drawing);
            assert!((across - 100.0).abs() < 1e-9 && (down - 100.0).abs() < 1e-9, "{paper}");
        }
    }
}

#[test]
fn the_ruler_sheet_has_lines_of_exactly_240_and_180_mm() {
    assert_eq!((RULER_LONG.to_mm(), RULER_SHORT.to_mm()), (240.0, 180.0));
    for (paper, upright) in
        [(Paper::A4, true), (Paper::Letter, true), (Paper::A3, true), (Paper::Mat, false), (ROLL, false)]
    {
        let drawing = ruler(paper, &lettering()).unwrap();
        let (across, down) = ruler_lengths(&drawing);
        let (long, short) = if upright { (down, across) } else { (across, down) };
        assert!((long - 240.0).abs() < 1e-9 && (short - 180.0).abs() < 1e-9, "{paper}: {across} {down}");
        inside_margins(&drawing);
        // a tick at every 10 mm, and the two lines themselves
        assert_eq!(ruler_lines(&drawing).len(), 25 + 19 + 2);
    }
    let small = Paper::Custom { width: Length::mm(148.0), height: Length::mm(210.0) };
    assert!(matches!(ruler(small, &lettering()), Err(SheetError::PaperTooSmall { .. })));
}

#[test]
fn the_same_items_give_the_same_bytes() {
    let items = || [round(84.0, 84.0, 20.0, "Slate 28, focus"), plate("b", 40.0, 9.0, 7), plate("a", 40.0, 9.0, 7)];
    let bytes = || lay_out(&items(), Paper::A4).sheets.iter().map(|sheet| svg(&sheet.drawing)).collect::<String>();
    assert_eq!(bytes(), bytes());
}

#[test]
fn a_name_that_the_face_cannot_set_keeps_nobody_from_printing() {
    let laid = lay_out(&[plate("Größe 東", 40.0, 9.0, 1)], Paper::A4);
    check_sheet(&laid.sheets[0], GAP);
}
