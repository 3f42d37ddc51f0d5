//! Tests of letters of single lines.

use kurbo::{Stroke, StrokeOpts};
use proptest::prelude::*;

use super::super::Lettering;
use super::*;
use crate::check::assert_close;
use crate::units::Length;

const LABEL_CHARACTERS: &str = "0123456789.∞′″⅛¼⅜½⅝¾⅞mftTH";
const OTHERS: &str = "/-°inABCDEFGIJKLMNOPQRSUVWXYZ";

/// The widest tool, in numeral heights, that shall fill nothing in.
const EIGHTH: f64 = 0.125;

/// Between the middles of two grooves: land of half the tool, below which it crumbles, is left between them.
const APART: f64 = 1.5 * EIGHTH;

fn lines(height: f64, tool: f64) -> Lettering {
    Lettering::lines(Length::mm(height), Length::mm(tool)).unwrap()
}

/// What a tool leaves that follows the lines.
fn inked(path: &BezPath, tool: f64) -> BezPath {
    let style = Stroke::new(tool).with_caps(kurbo::Cap::Round).with_join(kurbo::Join::Round);
    let mut ink = BezPath::new();
    for element in kurbo::stroke(path.iter(), &style, &StrokeOpts::default(), 1e-5) {
        // the stroke of an open line comes back to its beginning but for a rounding
        if matches!(element, PathEl::MoveTo(_)) && !ink.is_empty() {
            ink.close_path();
        }
        ink.push(element);
    }
    ink.close_path();
    ink
}

/// Places along the lines, at most 0.03 apart.
fn places(elements: &[PathEl]) -> Vec<Point> {
    let mut found = Vec::new();
    let mut last = Point::ZERO;
    kurbo::flatten(elements.iter().copied(), 1e-4, |element| {
        let Some(end) = element.end_point() else { return };
        if let PathEl::LineTo(_) = element {
            let steps = (last.distance(end) / 0.03).ceil();
            found.extend((0..steps as usize).map(|k| last.lerp(end, k as f64 / steps)));
        }
        found.push(end);
        last = end;
    });
    found
}

#[test]
fn labels_are_open_lines_of_few_strokes() {
    for character in LABEL_CHARACTERS.chars().chain(OTHERS.chars()) {
        let drawn = text(&character.to_string(), 0.1).unwrap();
        let starts = drawn.elements().iter().filter(|element| matches!(element, PathEl::MoveTo(_))).count();
        assert!(!drawn.elements().contains(&PathEl::ClosePath), "{character}");
        let most = match character {
            '4' | '″' | 'm' | 'f' | 't' | 'T' | 'i' | 'A' | 'E' | 'F' | 'Q' | 'R' | 'X' | 'Y' => 2,
            '½' | '⅛' | '⅜' | '⅝' | '⅞' | 'H' | 'K' | 'N' => 3,
            '¼' | '¾' => 4,
            _ => 1,
        };
        assert_eq!(starts, most, "{character}");
    }
}

#[test]
fn a_tool_that_follows_the_lines_leaves_ink_of_the_stated_size() {
    for (height, tool) in [(1.2, 0.05), (2.0, 0.2), (2.0, 0.5), (5.0, 0.2)] {
        let lettering = lines(height, tool);
        for character in LABEL_CHARACTERS.chars().chain(OTHERS.chars()) {
            let line = lettering.line(&character.to_string()).unwrap();
            let ink = inked(&line.outline, tool).bounding_box();
            assert_close(ink.x0, 0.0, 1e-4);
            assert_close(ink.x1, line.width.to_mm(), 1e-4);
            assert_close(-ink.y0, line.ascent.to_mm(), 1e-4);
            assert_close(ink.y1, line.descent.to_mm(), 1e-4);
            if character.is_ascii_digit() || "¼½¾T".contains(character) {
                assert_close(line.ascent.to_mm(), height, 1e-4);
                assert_close(line.descent.to_mm(), 0.0, 1e-4);
            }
        }
    }
}

#[test]
fn a_tool_of_an_eighth_of_the_height_leaves_half_its_width_inside_every_character() {
    // ink of one and a half tools neither fills a bowl, closes an opening nor joins two strokes
    let lettering = lines(4.0, 4.0 * EIGHTH);
    let grown = |text: &str| {
        let line = lettering.line(text).unwrap();
        let outline = inked(&line.outline, 4.0 * APART);
        super::super::tests::islands_and_holes(&super::super::Line { outline, ..line }, 0.0)
    };
    for (characters, islands, holes) in [
        ("123457./-′mftTH", 1, 0),
        ("nCEFGIJKLMNSUVWXYZ", 1, 0),
        ("″i", 2, 0),
        ("069°", 1, 1),
        ("ADOPQR", 1, 1),
        ("8∞B", 1, 2),
        ("½¼¾", 3, 0),
        ("⅛⅜⅞", 3, 2),
    ] {
        for character in characters.chars() {
            assert_eq!(grown(&character.to_string()), (islands, holes), "{character}");
        }
    }
}

#[test]
fn a_tool_of_an_eighth_of_the_height_leaves_half_its_width_between_any_two_characters() {
    let alone = |character: char| text(&character.to_string(), EIGHTH).unwrap().elements().len();
    for left in LABEL_CHARACTERS.chars() {
        for right in LABEL_CHARACTERS.chars() {
            let both = text(&format!("{left}{right}"), EIGHTH).unwrap();
            let (left_lines, right_lines) = both.elements().split_at(alone(left));
            let (left_places, right_places) = (places(left_lines), places(right_lines));
            for from in &left_places {
                for to in &right_places {
                    assert!(from.distance(*to) >= APART, "{left}{right}: {}", from.distance(*to));
                }
            }
        }
    }
}

#[test]
fn the_white_between_two_ones_does_not_change_with_the_tool() {
    for tool in [0.02, 0.1, 0.25] {
        let (one, two) = (text("1", tool).unwrap().bounding_box(), text("11", tool).unwrap().bounding_box());
        let white = two.width() + tool - 2.0 * (one.width() + tool);
        assert_close(white, OPEN + UPRIGHT, 1e-9);
    }
}

#[test]
fn what_the_single_lines_cannot_write_is_refused_with_a_way_out() {
    let refused = |tool: f64| Lettering::lines(Length::mm(2.0), Length::mm(tool)).map(|_| ()).unwrap_err().to_string();
    insta::assert_snapshot!(refused(0.6), @"a tool 0.6 mm wide cannot write numerals 2 mm high (it has to be wider than nothing and at most 0.5 mm; choose a finer tool or higher numerals)");
    assert!(Lettering::lines(Length::mm(2.0), Length::ZERO).is_err());
    assert!(Lettering::lines(Length::mm(2.0), Length::mm(-0.1)).is_err());
    assert!(Lettering::lines(Length::mm(0.0), Length::mm(0.1)).is_err());
    insta::assert_snapshot!(lines(2.0, 0.2).line("4x").map(|_| ()).unwrap_err().to_string(), @"the single-line face has no glyph for `x` (U+0078) (choose a font file that has it)");
}

#[test]
fn the_upright_line_of_a_digit_is_upright() {
    for digit in ["1", "4"] {
        let drawn = text(digit, 0.1).unwrap();
        let Some([PathEl::MoveTo(from) | PathEl::LineTo(from), PathEl::LineTo(to)]) = drawn.elements().last_chunk()
        else {
            panic!("{digit} ends in a line");
        };
        assert_close(from.x, to.x, 1e-12);
    }
}

#[test]
fn a_text_without_ink_is_an_empty_line() {
    for text in ["", " "] {
        let line = lines(2.0, 0.2).line(text).unwrap();
        assert!(line.outline.is_empty() && line.width == Length::ZERO, "{text:?}");
    }
}

proptest! {
    #[test]
    fn every_label_has_lines_of_finite_size(
        label in "[0-9.∞′″¼½¾mftTH]{1,8}",
        height in 1.2..8.0f64,
        share in 0.001..=0.25f64,
    ) {
        let tool = share * height;
        let line = lines(height, tool).line(&label).unwrap();
        prop_assert!(line.outline.is_finite());
        prop_assert!(line.outline.segments().count() >= label.chars().count());
        prop_assert!(line.width.to_mm() >= tool - 1e-9 && line.width.to_mm() <= 2.0 * height * label.chars().count() as f64);
        prop_assert!(line.ascent.to_mm() <= height + 1e-4 && line.descent.to_mm() <= 1e-4);
        prop_assert!((line.outline.bounding_box().x0 - 0.5 * tool).abs() < 1e-9);
    }
}
