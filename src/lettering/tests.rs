//! Tests of texts set in a face.

use std::collections::BTreeSet;

use kurbo::{ParamCurve, PathEl, PathSeg, Point};

use super::*;

#[test]
fn a_width_is_that_of_the_line_whenever_it_is_asked_for() {
    let plain = Lettering::new(Face::plain(), Length::mm(2.4)).unwrap();
    let bridged = plain.clone().with_bridges(Length::mm(0.4), "0123456789").unwrap();
    for lettering in [plain, bridged, Lettering::lines(Length::mm(2.4), Length::mm(0.2)).unwrap()] {
        for text in ["0.45", "1′6″", "∞", "", "0.45"] {
            assert_eq!(lettering.width(text).unwrap(), lettering.line(text).unwrap().width, "{text}");
        }
    }
    assert!(Lettering::new(Face::plain(), Length::mm(2.4)).unwrap().width("\u{3042}").is_err());
}
use crate::check::assert_close;

/// The characters of labels.
const LABEL_CHARACTERS: &str = "0123456789.∞′″⅛¼⅜½⅝¾⅞mftTH";

fn faces() -> [Face; 4] {
    let file = |name: &str, bytes: &[u8]| Face::from_bytes(name, bytes.to_vec()).unwrap();
    [
        Face::plain(),
        Face::stencil(),
        file("tabular", include_bytes!("../../tests/fonts/tabular-kern.ttf")),
        file("cubic", include_bytes!("../../tests/fonts/digits-cubic.otf")),
    ]
}

fn set(face: Face, height: f64) -> Lettering {
    Lettering::new(face, Length::mm(height)).unwrap()
}

fn outlines(lettering: &Lettering) -> &Outlines {
    match &lettering.form {
        Form::Outlines(outlines) => outlines,
        Form::Lines(_) => panic!("a face of lines has no outlines"),
    }
}

fn refused(result: Result<impl Sized, LetteringError>) -> String {
    result.map(|_| ()).unwrap_err().to_string()
}

/// The contours of a path, each with its signed area.
fn contours(path: &BezPath) -> Vec<(BezPath, f64)> {
    let mut found: Vec<BezPath> = Vec::new();
    for element in path.elements() {
        match (element, found.last_mut()) {
            (PathEl::MoveTo(_), _) => found.push(BezPath::from_vec(vec![*element])),
            (_, Some(contour)) => contour.push(*element),
            (_, None) => panic!("a contour begins without a move"),
        }
    }
    found.into_iter().map(|contour| (contour.clone(), contour.area())).collect()
}

/// Islands of ink and holes in it after the ink has lost `shrink` mm all round, on a grid of 0.01 mm.
///
/// The stroke is as wide as twice the smallest shrink that changes either number: then a neck breaks or a part
/// vanishes. Ends that taper only get shorter and do not count. Strokes come out true to a cell.
pub(super) fn islands_and_holes(line: &Line, shrink: f64) -> (usize, usize) {
    const CELL: f64 = 0.01;
    let bounds = line.outline.bounding_box().inflate(5.0 * CELL, 5.0 * CELL);
    let (columns, rows) = ((bounds.width() / CELL) as usize, (bounds.height() / CELL) as usize);
    let x_of = |column: usize| bounds.x0 + (column as f64 + 0.5) * CELL;
    let mut ink = vec![false; columns * rows];
    for row in 0..rows {
        let runs = measure::runs(&line.outline, bounds.y0 + (row as f64 + 0.5) * CELL);
        for column in 0..columns {
            ink[row * columns + column] = runs.iter().any(|(from, to)| (*from..*to).contains(&x_of(column)));
        }
    }
    let reach = (shrink / CELL).floor() as isize;
    let disc: Vec<(isize, isize)> = (-reach..=reach)
        .flat_map(|dy| (-reach..=reach).map(move |dx| (dx, dy)))
        .filter(|(dx, dy)| ((dx * dx + dy * dy) as f64) * CELL * CELL <= shrink * shrink)
        .collect();
    let at = |cells: &[bool], index: usize, (dx, dy): (isize, isize)| {
        let (x, y) = ((index % columns) as isize + dx, (index / columns) as isize + dy);
        let inside = (0..columns as isize).contains(&x) && (0..rows as isize).contains(&y);
        inside.then(|| y as usize * columns + x as usize).map(|index| (index, cells[index]))
    };
    let shrunk: Vec<bool> = (0..ink.len())
        .map(|index| ink[index] && disc.iter().all(|step| at(&ink, index, *step).is_some_and(|(_, ink)| ink)))
        .collect();

    let count = |value: bool, steps: &[(isize, isize)]| {
        let mut seen = vec![false; shrunk.len()];
        let mut parts = 0;
        for start in 0..shrunk.len() {
            if seen[start] || shrunk[start] != value {
                continue;
            }
            parts += 1;
            seen[start] = true;
            let mut open = vec![start];
            while let Some(index) = open.pop() {
                for (next, cell) in steps.iter().filter_map(|step| at(&shrunk, index, *step)) {
                    if cell == value && !seen[next] {
                        seen[next] = true;
                        open.push(next);
                    }
                }
            }
        }
        parts
    };
    let straight = [(1, 0), (-1, 0), (0, 1), (0, -1)];
    let all = [(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)];
    (count(true, &all), count(false, &straight) - 1)
}

#[test]
fn flat_digits_are_exactly_as_high_as_asked() {
    for face in faces() {
        for height in [2.0, 3.5, 12.0] {
            let lettering = set(face.clone(), height);
            for digit in ["1", "4", "7"] {
                let line = lettering.line(digit).unwrap();
                let ink = line.outline.bounding_box();
                assert_close(ink.height(), height, 0.001);
                assert_close(ink.y1, 0.0, 0.001);
                assert_close(line.ascent.to_mm(), height, 0.001);
            }
            let round = lettering.line("0").unwrap().outline.bounding_box().height();
            assert!(round > height && round < 1.05 * height, "a 0 of {round} beside digits of {height}");
        }
    }
}

#[test]
fn the_width_is_that_of_the_ink() {
    for face in [Face::plain(), Face::bold(), Face::stencil()] {
        let lettering = set(face, 2.5);
        for text in ["1", "0.9", "10 ∞ m", "2′11½″", "T5.6", " 7 ", "f", "j", "″", "½"] {
            let line = lettering.line(text).unwrap();
            // Independent of the bounding box: every curve sampled densely.
            let points: Vec<Point> =
                line.outline.segments().flat_map(|s| (0..=200).map(move |i| s.eval(f64::from(i) / 200.0))).collect();
            let least = |of: fn(&Point) -> f64| points.iter().map(of).fold(f64::INFINITY, f64::min);
            assert_close(least(|p| p.x), 0.0, 1e-4);
            assert_close(-least(|p| -p.x), line.width.to_mm(), 1e-4);
            assert_close(-least(|p| p.y), line.ascent.to_mm(), 1e-4);
            assert_close(-least(|p| -p.y), line.descent.to_mm(), 1e-4);
        }
    }
}

#[test]
fn kerning_draws_a_known_pair_together() {
    // Units of an em of 1000, read with fontTools 4.68: 4 begins at 31 and has an advance of 505, the pair 4 1 is
    // kerned by -71, 1 ends at 244; flat digits are 700 high.
    let width = set(Face::plain(), 2.0).line("41").unwrap().width.to_mm();
    assert_close(width, (505.0 - 71.0 + 244.0 - 31.0) / 700.0 * 2.0, 1e-9);
    // Likewise 7 from 31, advance 576, 7 and point -127, the point ends at 266; flat digits are 688 high.
    let width = set(Face::stencil(), 2.0).line("7.").unwrap().width.to_mm();
    assert_close(width, (576.0 - 127.0 + 266.0 - 31.0) / 688.0 * 2.0, 1e-9);
}

#[test]
fn ink_above_the_baseline_has_a_negative_descent() {
    let lettering = set(Face::plain(), 2.0);
    let prime = lettering.line("′").unwrap();
    assert_close(prime.ascent.to_mm(), 2.0, 1e-9);
    assert!(prime.descent.to_mm() < -1.2, "a prime that ends at {}", prime.descent);
    assert!(lettering.line("j").unwrap().descent.to_mm() > 0.2);
}

#[test]
fn a_text_without_ink_is_empty() {
    for text in ["", " ", "   "] {
        let line = set(Face::plain(), 2.0).line(text).unwrap();
        assert!(line.outline.is_empty());
        assert_eq!(line.width, Length::ZERO);
    }
}

#[test]
fn every_contour_of_every_label_character_is_closed() {
    for face in [Face::plain(), Face::bold(), Face::stencil()] {
        let lettering = set(face, 2.0);
        for character in LABEL_CHARACTERS.chars() {
            let line = lettering.line(&character.to_string()).unwrap();
            let contours = contours(&line.outline);
            assert!(!contours.is_empty());
            for (contour, area) in contours {
                assert_eq!(contour.elements().last(), Some(&PathEl::ClosePath), "{character}");
                assert!(area.abs() > 1e-3, "{character} has a contour of {area} mm²");
            }
        }
    }
}

#[test]
fn counters_run_against_the_contour_round_the_ink() {
    for face in [&faces()[0], &faces()[2], &faces()[3]] {
        let lettering = set(face.clone(), 2.0);
        for (text, counters) in [("1", 0), ("7", 0), ("0", 1), ("4", 0), ("6", 1), ("9", 1), ("8", 2), ("∞", 2)] {
            let line = lettering.line(text).unwrap();
            let contours = contours(&line.outline);
            let outer = contours.iter().map(|(_, area)| *area).max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap();
            let against = contours.iter().filter(|(_, area)| area * outer < 0.0).count();
            assert_eq!((against, contours.len()), (counters, counters + 1), "{text} in {}", face.name());
            assert_eq!(islands_and_holes(&line, 0.0), (1, counters), "{text} in {}", face.name());
        }
    }
}

#[test]
fn a_stencil_digit_has_no_loose_islands() {
    let lettering = set(Face::stencil(), 6.0);
    for digit in ["0", "4", "6", "8", "9"] {
        let (_, holes) = islands_and_holes(&lettering.line(digit).unwrap(), 0.0);
        assert_eq!(holes, 0, "{digit}");
    }
}

#[test]
fn the_ink_of_a_zero_is_a_stroke_of_the_stem_round_its_hole() {
    let lettering = set(Face::plain(), 2.0);
    let zero = lettering.line("0").unwrap().outline;
    let stem = outlines(&lettering).measures.stem * outlines(&lettering).scale;
    let around: f64 = contours(&zero).iter().map(|(contour, _)| contour.perimeter(1e-4)).sum();
    // Centreline by stroke, which is a little lighter at the top and foot than at the sides.
    assert_close(zero.area().abs() / (around / 2.0 * stem), 0.97, 0.05);
    let bounds = zero.bounding_box();
    assert!(zero.area().abs() < 0.7 * bounds.area());
    assert_eq!(zero.winding(bounds.center()), 0);
}

#[test]
fn infinity_is_symmetric_and_sits_half_way_up_the_digits() {
    for face in [&faces()[0], &faces()[2]] {
        let lettering = set(face.clone(), 3.0);
        let line = lettering.line("∞").unwrap();
        let bounds = line.outline.bounding_box();
        assert_close(bounds.center().y, -1.5, 1e-9);
        assert_close(bounds.height(), 0.62 * 3.0, 1e-9);
        assert_close(bounds.width(), 1.9 * 0.62 * 3.0, 1e-9);
        let (mut inked, mut sampled) = (0, 0);
        for i in 0..97 {
            for j in 0..53 {
                let x = bounds.x0 + bounds.width() * (f64::from(i) + 0.37) / 97.0;
                let y = bounds.y0 + bounds.height() * (f64::from(j) + 0.41) / 53.0;
                let (mirror_x, mirror_y) = (bounds.x0 + bounds.x1 - x, bounds.y0 + bounds.y1 - y);
                let ink = |x, y| line.outline.winding(Point::new(x, y)) != 0;
                assert_eq!(ink(x, y), ink(mirror_x, y));
                assert_eq!(ink(x, y), ink(x, mirror_y));
                sampled += 1;
                inked += i32::from(ink(x, y));
            }
        }
        let share = f64::from(inked) / f64::from(sampled);
        assert!((0.3..0.6).contains(&share), "{share} of its box is ink");
    }
}

#[test]
fn infinity_has_the_weight_of_the_digits_all_along() {
    let lettering = set(Face::plain(), 2.0);
    let stem = outlines(&lettering).measures.stem * outlines(&lettering).scale;
    let line = lettering.line("∞").unwrap();
    let sides = measure::runs(&line.outline, -1.0);
    assert_eq!(sides.len(), 3, "two sides and the crossing");
    assert_close(sides[0].1 - sides[0].0, stem, 1e-3);
    assert_close(sides[2].1 - sides[2].0, stem, 1e-3);
    // Along one edge, the other edge is nowhere nearer than 0.82 and nowhere farther than 1.02 of a stem: a ray from
    // the outer contour straight into the ink, away from the crossing, where two strokes meet.
    let (outer, _) = contours(&line.outline).into_iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())).unwrap();
    let middle = line.width.to_mm() / 2.0;
    let mut checked = 0;
    for segment in outer.segments() {
        for i in 0..40 {
            let t = (f64::from(i) + 0.5) / 40.0;
            let at = segment.eval(t);
            if (at.x - middle).abs() < 1.2 * stem {
                continue;
            }
            let ahead = segment.eval(t + 1e-5) - segment.eval(t - 1e-5);
            let mut inward = ahead.normalize().turn_90();
            if line.outline.winding(at + 0.01 * inward) == 0 {
                inward = -inward;
            }
            assert_ne!(line.outline.winding(at + 0.5 * stem * inward), 0, "at {at:?}");
            let beyond = (0..100).map(|i| 0.5 * stem + f64::from(i) * 0.002);
            let width = beyond.into_iter().find(|w| line.outline.winding(at + *w * inward) == 0);
            let width = width.expect("the stroke has another edge") / stem;
            assert!((0.82..1.02).contains(&width), "{width} stems at {at:?}");
            checked += 1;
        }
    }
    assert!(checked > 150);
}

#[test]
fn the_plain_face_at_2_mm_has_no_stroke_under_0_15_mm() {
    let lettering = set(Face::plain(), 2.0);
    let mut broken_at_0_20 = BTreeSet::new();
    for character in "0123456789.∞′″mftTH".chars() {
        let line = lettering.line(&character.to_string()).unwrap();
        let whole = islands_and_holes(&line, 0.0);
        assert_eq!(islands_and_holes(&line, 0.15 / 2.0), whole, "{character}");
        if islands_and_holes(&line, 0.20 / 2.0) != whole {
            broken_at_0_20.insert(character);
        }
    }
    // The measure sees necks: at 0.20 mm, some characters fall apart.
    assert!(!broken_at_0_20.is_empty());
}

#[test]
fn the_stem_is_that_of_the_one() {
    // Read from the subset files with fontTools 4.68: the edges of the stem of the 1.
    let stem = |face: Face| outlines(&set(face, 2.0)).measures.stem;
    assert_close(stem(Face::plain()), 244.0 - 148.0, 1e-6);
    assert_close(stem(Face::bold()), 273.0 - 132.0, 1e-6);
    assert_close(stem(Face::stencil()), 337.0 - 137.0, 1e-6);
}

#[test]
fn signs_that_a_face_lacks_are_drawn() {
    let [_, _, lacking, _] = faces();
    let lettering = set(lacking, 2.0);
    for (text, islands) in [("∞", 1), ("′", 1), ("″", 2), ("½", 3), ("¼", 3), ("¾", 3)] {
        let line = lettering.line(text).unwrap();
        assert_eq!(islands_and_holes(&line, 0.0).0, islands, "{text}");
        assert_close(line.ascent.to_mm(), if text == "∞" { 1.62 } else { 2.0 }, 0.02);
    }
    // A word space too, though its width is ours.
    let [apart, together] = ["1 1", "11"].map(|text| lettering.line(text).unwrap().width.to_mm());
    assert_close(apart - together, WORD_SPACE * 2.0, 1e-9);
}

#[test]
fn a_fraction_keeps_clear_of_the_whole_number_before_it() {
    for face in [&faces()[0], &faces()[1], &faces()[2]] {
        let lettering = set(face.clone(), 2.0);
        let gap = |text: &str| {
            let boxes: Vec<_> = contours(&lettering.line(text).unwrap().outline);
            let boxes: Vec<_> = boxes.iter().map(|(contour, _)| contour.bounding_box()).collect();
            boxes[1..].iter().map(|rest| rest.x0).fold(f64::INFINITY, f64::min) - boxes[0].x1
        };
        // half as wide again as between digits at least, in digit heights 0.1 more
        assert!(gap("1½") > 1.5 * gap("11").max(0.2), "{} in {}", gap("1½"), face.name());
    }
}

#[test]
fn primes_keep_clear_of_the_digits_beside_them() {
    for face in [&faces()[0], &faces()[1], &faces()[2]] {
        let lettering = set(face.clone(), 2.0);
        let whole = |text: &str| islands_and_holes(&lettering.line(text).unwrap(), 0.0).0;
        for digit in '0'..='9' {
            let alone = whole(&digit.to_string());
            assert_eq!(whole(&format!("{digit}′{digit}″")), 2 * alone + 3, "{digit} in {}", face.name());
        }
    }
}

#[test]
fn what_cannot_be_set_is_refused_with_a_way_out() {
    let plain = set(Face::plain(), 2.0);
    insta::assert_snapshot!(refused(plain.line("4 ж")), @"Barlow Semi Condensed Medium has no glyph for `ж` (U+0436) (choose a font file that has it)");
    insta::assert_snapshot!(refused(plain.line("4\u{9}m")), @"Barlow Semi Condensed Medium has no glyph for U+0009 (choose a font file that has it)");
    insta::assert_snapshot!(refused(Lettering::new(Face::plain(), Length::mm(-2.0))), @"numerals cannot be -2 mm high (heights from 0.1 mm to 100 mm are allowed)");
    insta::assert_snapshot!(refused(Lettering::new(Face::plain(), Length::mm(2000.0))), @"numerals cannot be 2000 mm high (heights from 0.1 mm to 100 mm are allowed)");
    assert!(Lettering::new(Face::plain(), Length::mm(1e300)).is_err());
    insta::assert_snapshot!(refused(Face::from_bytes("notes.txt", b"not a font".to_vec())), @"notes.txt cannot be read as a font: it does not begin as a font file does (choose a .ttf, .otf or .ttc file)");
    insta::assert_snapshot!(refused(Face::from_bytes("face.woff2", b"wOF2....".to_vec())), @"face.woff2 cannot be read as a font: it is compressed for the web (choose a .ttf, .otf or .ttc file)");
    insta::assert_snapshot!(refused(Face::from_bytes("empty.ttf", Vec::new())), @"empty.ttf cannot be read as a font: it does not begin as a font file does (choose a .ttf, .otf or .ttc file)");
    let [.., cubic] = faces();
    insta::assert_snapshot!(refused(set(cubic, 2.0).line("f 2")), @"cubic has no glyph for `f` (U+0066) (choose a font file that has it)");
}

fn plain_bytes() -> Vec<u8> {
    include_bytes!("../../fonts/BarlowSemiCondensed-Medium.ttf").to_vec()
}

/// Sets all characters of labels; the result is an error, or a line of finite size.
fn try_everything(bytes: Vec<u8>) -> Result<(), LetteringError> {
    let lettering = Lettering::new(Face::from_bytes("damaged", bytes)?, Length::mm(2.0))?;
    let line = lettering.line("0.9 1.2 47. 3 5 10 ∞ m 2′6½″ 41¼ ¾ 8 ft f T5")?;
    for (size, most) in [(line.width, 1e5), (line.ascent, 1e3), (line.descent, 1e3)] {
        assert!(size.to_mm().abs() < most, "{size}");
    }
    assert!(line.outline.segments().all(|segment| match segment {
        PathSeg::Line(line) => line.is_finite(),
        PathSeg::Quad(quad) => quad.is_finite(),
        PathSeg::Cubic(cubic) => cubic.is_finite(),
    }));
    Ok(())
}

#[test]
fn a_whole_font_is_set_and_a_truncated_one_never_panics() {
    assert_eq!(try_everything(plain_bytes()), Ok(()));
    let whole = plain_bytes();
    let refused = (0..whole.len()).step_by(61).filter(|length| try_everything(whole[..*length].to_vec()).is_err());
    assert!(refused.count() > 200);
}

#[test]
fn digits_without_height_and_outlines_out_of_reach_are_refused() {
    let whole = plain_bytes();
    let head = (12..).step_by(16).find(|at| &whole[*at..at + 4] == b"head").unwrap();
    let em = u32::from_be_bytes(whole[head + 8..head + 12].try_into().unwrap()) as usize + 18;
    let with_em = |em_units: u16| {
        let mut bytes = whole.clone();
        bytes[em..em + 2].copy_from_slice(&em_units.to_be_bytes());
        refused(Face::from_bytes("damaged.ttf", bytes))
    };
    insta::assert_snapshot!(with_em(0), @"damaged.ttf cannot be read as a font: the head table is missing or malformed (choose a .ttf, .otf or .ttc file)");
    insta::assert_snapshot!(with_em(16), @"the outline of `0` (U+0030) in damaged.ttf is damaged (choose another font file)");
    insta::assert_snapshot!(with_em(16_000), @"the digits of damaged.ttf cannot serve as numerals: they are 700 units high in an em of 16000 (choose another font file)");
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(1000))]

    #[test]
    fn corrupted_fonts_never_panic(
        hits in proptest::collection::vec((0..19_184_usize, proptest::num::u8::ANY), 1..12),
        in_header in proptest::collection::vec((0..300_usize, proptest::num::u8::ANY), 0..2),
    ) {
        let mut bytes = plain_bytes();
        for (at, value) in hits.into_iter().chain(in_header) {
            let last = bytes.len() - 1;
            bytes[at.min(last)] = value;
        }
        let _ = try_everything(bytes);
    }
}

#[test]
fn primes_and_units_hang_beyond_the_digits_that_stand_over_the_tick() {
    let lettered = |face| set(face, 3.0);
    let lines = Lettering::lines(Length::mm(3.0), Length::mm(0.25)).unwrap();
    for lettering in [lettered(Face::plain()), lettered(Face::bold()), lettered(Face::stencil()), lines] {
        let reach = |text: &str| lettering.reach(text).unwrap();
        for (label, standing) in
            [("5′", "5"), ("11″", "11"), ("2′6″", "2′6"), ("7½″", "7½"), ("10 m", "10"), ("5 ft", "5"), ("0.9m", "0.9")]
        {
            assert_eq!(reach(label).left, reach(standing).left, "{label}");
            assert!(reach(label).right > reach(standing).right + Length::mm(0.3), "{label}");
            let both = reach(label).left + reach(label).right;
            assert_close(both.to_mm(), lettering.width(label).unwrap().to_mm(), 1e-9);
        }
        // what is no unit is read with the figure, and what comes before it as well
        for whole in ["T2.8", "H8", "5 T", "m", "∞"] {
            let reach = reach(whole);
            assert!((reach.left - reach.right).abs() < lettering.width(whole).unwrap() * 0.3, "{whole} {reach:?}");
        }
    }
}

#[test]
fn the_stem_of_a_1_stands_over_its_tick_and_round_digits_stand_with_their_middle() {
    for face in [Face::plain(), Face::bold(), Face::stencil()] {
        let lettering = set(face.clone(), 1.0);
        let line = |text: &str| lettering.line(text).unwrap();
        let one = line("1");
        let stem = measure::runs(&one.outline, -0.4)[0];
        let off = |middle: f64| middle - 0.5 * (stem.0 + stem.1);
        assert!(off(one.middle.to_mm()).abs() < 0.025, "{} in {}", off(one.middle.to_mm()), face.name());
        // the middle of its box does not: the flag is as wide as the stem
        assert!(off(0.5 * one.width.to_mm()) < -0.05, "{} in {}", off(0.5 * one.width.to_mm()), face.name());
        for round in ["0", "8", "∞"] {
            assert_close(line(round).middle / line(round).width, 0.5, 0.005);
        }
        // both stems, and the point between them: the flag of the first alone is left out
        for text in ["11", "1.1"] {
            let stems = measure::runs(&line(text).outline, -0.4);
            let middle = 0.5 * (stems[0].0 + stems[stems.len() - 1].1);
            assert_close(line(text).middle.to_mm(), middle, 0.025);
        }
        for digit in ["2", "3", "4", "5", "6", "7", "9"] {
            let off = line(digit).middle - line(digit).width * 0.5;
            assert!(off.abs() < Length::mm(0.08), "{digit} is {off} aside in {}", face.name());
        }
    }
}

#[test]
fn the_optical_middle_turns_and_grows_with_what_is_drawn() {
    let middle = |path: &BezPath, tool| {
        let bounds = path.bounding_box().inflate(0.5 * tool, 0.5 * tool);
        spacing::optical_middle(path, (bounds.y0, bounds.y1), tool).unwrap()
    };
    for text in ["1", "4", "7", "1.4", "2′6"] {
        let outline = set(Face::plain(), 3.0).line(text).unwrap().outline;
        let mirrored = Affine::scale_non_uniform(-1.0, 1.0) * outline.clone();
        assert_close(middle(&mirrored, 0.0), -middle(&outline, 0.0), 1e-6);
        let turned = Affine::rotate(std::f64::consts::PI) * outline.clone();
        assert_close(middle(&turned, 0.0), -middle(&outline, 0.0), 1e-6);
        assert_close(middle(&(Affine::scale(2.5) * outline.clone()), 0.0), 2.5 * middle(&outline, 0.0), 1e-3);
    }
    // a line of a tool against the same ink as an outline
    let seven = BezPath::from_svg("M0 0H2L0.6 4").unwrap();
    let style = kurbo::Stroke::new(0.5).with_caps(kurbo::Cap::Round).with_join(kurbo::Join::Round);
    let filled = kurbo::stroke(&seven, &style, &kurbo::StrokeOpts::default(), 1e-4);
    assert_close(middle(&seven, 0.5), middle(&filled, 0.0), 2e-3);
}

/// The width of the thinnest stroke: twice what takes a neck or a part away.
fn thinnest(lettering: &Lettering, text: &str) -> f64 {
    let whole = region::Region::new(&lettering.line(text).unwrap().outline);
    let shape = |region: &region::Region| (region.islands().len(), region.hole_count());
    let step = 0.002 * lettering.numeral_height().to_mm();
    let broken = (1..).find(|k| shape(&whole.offset(Length::mm(-step * f64::from(*k)))) != shape(&whole));
    2.0 * step * f64::from(broken.unwrap())
}

#[test]
fn fractions_are_as_stout_as_digits() {
    let heavy = Face::from_bytes("heavy", include_bytes!("../../fonts/BarlowSemiCondensed-Bold.ttf").to_vec()).unwrap();
    for face in [Face::plain(), Face::bold(), heavy, faces()[2].clone()] {
        let lettering = set(face.clone(), 10.0);
        let digits = "0123456789".chars().map(|digit| thinnest(&lettering, &digit.to_string()));
        let digits = digits.fold(f64::INFINITY, f64::min);
        for fraction in "⅛¼⅜½⅝¾⅞".chars() {
            let found = thinnest(&lettering, &fraction.to_string()) / digits;
            assert!(found >= 0.8, "{fraction} has {found} of the digits' stroke in {}", face.name());
            let counters = region::Region::new(&lettering.line(&fraction.to_string()).unwrap().outline).hole_count();
            let eighths = "⅛⅜⅝⅞".contains(fraction);
            assert_eq!(counters, if eighths { 2 } else { 0 }, "{fraction} in {}", face.name());
        }
    }
    // a stencil's breaks stay open: its small digits are not grown, and still stouter than those of the bold face
    let stencil = set(Face::stencil(), 10.0);
    for fraction in "⅛¼⅜½⅝¾⅞".chars() {
        let outline = stencil.line(&fraction.to_string()).unwrap().outline;
        assert_eq!(region::Region::new(&outline).hole_count(), 0, "{fraction}");
    }
}

#[test]
fn infinity_is_as_stout_as_the_stems_beside_it() {
    for face in [Face::plain(), Face::bold(), Face::stencil(), faces()[2].clone()] {
        let lettering = set(face.clone(), 10.0);
        let stem = outlines(&lettering).measures.stem * outlines(&lettering).scale;
        let runs = measure::runs(&lettering.line("∞").unwrap().outline, -5.0);
        for (from, to) in [runs[0], runs[runs.len() - 1]] {
            let found = (to - from) / stem;
            assert!((0.79..1.01).contains(&found), "{found} stems in {}", face.name());
        }
    }
}

#[test]
fn pairs_without_kerning_come_out_evenly_and_never_touch() {
    // the cubic face has digits and a point, and no kerning at all
    let [.., cubic] = faces();
    for face in [Face::plain(), Face::bold(), Face::stencil(), cubic] {
        let lettering = set(face.clone(), 1.0);
        let outlines = outlines(&lettering);
        let open = outlines.face.open().unwrap();
        let part = |character| outlines.part(&open, character).unwrap();
        let height = outlines.measures.digit_height;
        let (mut before, mut after) = (Vec::new(), Vec::new());
        for left in "0123456789".chars() {
            for right in "0123456789".chars() {
                let (one, other) = (part(left), part(right));
                let known = one.glyph.zip(other.glyph).and_then(|(left, right)| open.kerning(left, right));
                let kerned = outlines.rhythm.kerning(
                    (one.class, &one.profile),
                    (other.class, &other.profile),
                    one.advance / height,
                );
                assert!(kerned.abs() <= 0.1, "{left}{right} moves by {kerned} in {}", face.name());
                let set_at = one.advance / height + known.map_or(kerned, |known| known / height);
                before.push(one.profile.gap(&other.profile, one.advance / height).0);
                after.push(one.profile.gap(&other.profile, set_at).0);
                // what is set is what was computed
                let width = lettering.width(&format!("{left}{right}")).unwrap().to_mm();
                let boxes = [&one, &other].map(|part| part.outline.bounding_box());
                assert_close(width, set_at + (boxes[1].x1 - boxes[0].x0) / height, 1e-9);
            }
        }
        let spread = |gaps: &[f64]| {
            let ends = gaps.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), gap| (a.min(*gap), b.max(*gap)));
            ends.1 - ends.0
        };
        assert!(spread(&after) < 0.85 * spread(&before), "{} {}", spread(&before), spread(&after));
        // signs of ours beside digits of every shape, and fractions after them
        for left in "0123456789".chars() {
            for right in "′″½⅜".chars() {
                let both = region::Region::new(&lettering.line(&format!("{left}{right}")).unwrap().outline);
                let alone = region::Region::new(&lettering.line(&left.to_string()).unwrap().outline).islands().len();
                let mut islands: Vec<_> = both.pieces().collect();
                islands.sort_by(|a, b| a.bounds().x1.total_cmp(&b.bounds().x1));
                let (first, rest) = islands.split_at(alone);
                let (first, rest) = (region::Region::union_of(first), region::Region::union_of(rest));
                let apart = first.nearest(&rest).unwrap().distance.to_mm();
                assert!(apart > 0.06, "{left}{right} are {apart} apart in {}", face.name());
            }
        }
    }
}

#[test]
fn a_whole_number_and_its_fraction_never_read_as_one_number() {
    for face in [Face::plain(), Face::bold(), Face::stencil()] {
        let lettering = set(face.clone(), 1.0);
        let runs = |text: &str| {
            // gaps between islands along x, whatever their heights
            let pieces = region::Region::new(&lettering.line(text).unwrap().outline);
            let mut spans: Vec<(f64, f64)> =
                pieces.pieces().map(|piece| (piece.bounds().x0, piece.bounds().x1)).collect();
            spans.sort_by(|a, b| a.0.total_cmp(&b.0));
            spans
        };
        let (twelve, label) = (lettering.width("12").unwrap().to_mm(), runs("12¼"));
        let fraction = label.iter().find(|span| span.0 > twelve).expect("the fraction stands apart");
        let apart = fraction.0 - twelve;
        let digits = runs("11")[1].0 - runs("1")[0].1;
        assert!(apart > digits + 0.08 && apart > 0.17, "{apart} beside {digits} in {}", face.name());
        // and the fraction holds together: its digits stand nearer to the bar than the whole number to it
        let own = lettering.width("¼").unwrap().to_mm();
        assert_close(own, lettering.width("12¼").unwrap().to_mm() - fraction.0, 1e-5);
    }
}
