//! Measures of a face: how high its digits are and how wide their stems, in font units.

use kurbo::{BezPath, PathEl, Point, Shape};

use super::LetteringError;
use super::face::OpenFace;

/// Digits without overshoot: flat at the top, and the 1 and 4 at the foot as well.
const FLAT_DIGITS: [char; 3] = ['1', '4', '7'];

/// Digit heights, in em, between which a face can be set; those of text faces lie between 0.5 and 0.8.
const DIGIT_HEIGHT_EM: std::ops::RangeInclusive<f64> = 0.1..=4.0;

/// Stem width of a face whose stems cannot be measured, in digit heights: that of a medium weight.
const USUAL_STEM: f64 = 1.0 / 8.0;

/// The measures to which our own signs are drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Measures {
    /// Height of the flat digits.
    pub(super) digit_height: f64,
    /// Width of the stem of the 1.
    pub(super) stem: f64,
}

impl Measures {
    /// Measures the outlines.
    pub(super) fn of(face: &OpenFace) -> Result<Measures, LetteringError> {
        let unusable = |reason: String| LetteringError::UnusableDigits { face: face.name().into(), reason };
        for digit in '0'..='9' {
            let glyph = face.glyph(digit).ok_or_else(|| unusable(format!("{digit} is missing")))?;
            face.outline(glyph, digit)?;
        }
        let mut heights = [0.0; 3];
        for (height, digit) in heights.iter_mut().zip(FLAT_DIGITS) {
            if let Some(glyph) = face.glyph(digit) {
                *height = face.outline(glyph, digit)?.bounding_box().height();
            }
        }
        heights.sort_by(f64::total_cmp);
        let digit_height = heights[1];
        if !DIGIT_HEIGHT_EM.contains(&(digit_height / face.em())) {
            return Err(unusable(format!("they are {digit_height} units high in an em of {}", face.em())));
        }
        let stem = match face.glyph('1') {
            Some(one) => stem_width(&face.outline(one, '1')?, digit_height),
            None => None,
        };
        Ok(Measures { digit_height, stem: stem.unwrap_or(digit_height * USUAL_STEM) })
    }
}

/// The width of an upright stem: the widest run of ink across it, the median of nine heights in the middle half of
/// the glyph, so that a flag, a foot or a bridge has no effect. `None` when that is no stem.
fn stem_width(outline: &BezPath, height: f64) -> Option<f64> {
    let bottom = outline.bounding_box().y0;
    let mut widths: Vec<f64> =
        (0..9).map(|i| bottom + height * (0.26 + 0.05 * f64::from(i))).map(|y| widest_run(outline, y)).collect();
    widths.sort_by(f64::total_cmp);
    let width = widths[4];
    (0.02..=0.5).contains(&(width / height)).then_some(width)
}

/// The widest run of ink on the horizontal at `y`.
fn widest_run(outline: &BezPath, y: f64) -> f64 {
    runs(outline, y).into_iter().map(|(from, to)| to - from).fold(0.0, f64::max)
}

/// Where ink (non-zero winding) begins and ends on the horizontal at `y`, from the left.
pub(super) fn runs(outline: &BezPath, y: f64) -> Vec<(f64, f64)> {
    let box_ = outline.bounding_box();
    let tolerance = 1e-3 * box_.height().max(f64::MIN_POSITIVE);
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(outline, tolerance, |element| {
        let next = match element {
            PathEl::MoveTo(point) => {
                (start, last) = (point, point);
                return;
            }
            PathEl::LineTo(point) => point,
            _ => start,
        };
        if (last.y <= y) != (next.y <= y) {
            let x = last.x + (y - last.y) / (next.y - last.y) * (next.x - last.x);
            crossings.push((x, if next.y > last.y { 1 } else { -1 }));
        }
        last = next;
    });
    crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found = Vec::new();
    let (mut winding, mut from) = (0, 0.0);
    for (x, turn) in crossings {
        if winding == 0 {
            from = x;
        }
        winding += turn;
        if winding == 0 && x > from {
            found.push((from, x));
        }
    }
    found
}
