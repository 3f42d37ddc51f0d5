//! A face of single lines for a tool that follows them: a text becomes open centrelines, y up, baseline at y = 0.
//!
//! Takes a text and the tool's width; all measures are in numeral heights, from the foot of the ink to its top. A
//! glyph's skeleton is lower than the ink by the tool's width, and the white between glyphs, which is measured from ink to
//! ink, does not change with the tool.
//!
//! Drawn for engraving: straight lines and arcs, few lifts, one weight, an open 4, no counter that a tool of an eighth
//! of the height would fill in; of ⅝ alone it leaves less than half its width open. A bowl's line ends where it began; none is closed.
//!
//! It follows ISO 3098 type B (from memory) in proportions only: lower-case letters some two thirds of the height, about
//! 0.2 heights between upright lines. Shapes and spacing are by eye, chosen on enlarged renderings of 2 mm, 3 mm and 5 mm numerals.

mod letters;

use kurbo::{Affine, Arc, BezPath, PathEl, Point, Shape, Vec2};

use super::signs::fraction_digits;
use super::{BEFORE_FRACTION, LetteringError, WORD_SPACE};

/// What messages call the face.
pub(super) const NAME: &str = "the single-line face";

/// White beside an upright line, beside a bowl, and beside an open side, in numeral heights. Chosen so that their sums
/// between two glyphs look like one distance.
const UPRIGHT: f64 = 0.11;
const BOWL: f64 = 0.085;
const OPEN: f64 = 0.06;
/// White beside the decimal point: two numbers must not read as one.
const POINT: f64 = 0.1;

/// Height of a fraction's digits: smaller ones fill in, larger ones make the fraction as wide as three digits.
const SMALL: f64 = 0.6;

/// How much wider than a numeral's a fraction's digits are in proportion, so that the tool does not fill their bowls.
const SMALL_WIDENED: f64 = 1.2;

/// Clear white between the strokes of a fraction or a double prime: narrower lands between two grooves crumble.
const CLEAR: f64 = 0.11;

/// Top of the lower-case letters and of the crossbars of f and t.
const X_HEIGHT: f64 = 0.68;

/// Distances from arc to curve, in skeleton heights: 0.00005 mm at 5 mm. Larger ones would show as flats on a bright groove.
const ARC_TOLERANCE: f64 = 1e-5;

/// Strokes of one character with the white beside them.
struct Glyph {
    strokes: BezPath,
    left: f64,
    right: f64,
}

/// Sets a text for a tool, both in numeral heights.
pub(super) fn text(text: &str, tool: f64) -> Result<BezPath, LetteringError> {
    let mut lines = BezPath::new();
    let mut x = 0.0;
    let mut previous = None;
    for character in text.chars() {
        if character == ' ' {
            x += WORD_SPACE;
            previous = None;
            continue;
        }
        let missing = LetteringError::MissingGlyph { face: NAME.into(), character };
        let glyph = glyph(character, tool).ok_or(missing)?;
        x += previous.map_or(0.0, |left| kerning(left, character));
        let ink = glyph.strokes.bounding_box();
        x += glyph.left;
        lines.extend(Affine::translate((x + 0.5 * tool - ink.x0, 0.0)) * glyph.strokes);
        x += ink.width() + tool + glyph.right;
        previous = Some(character);
    }
    Ok(lines)
}

/// What is added to the white between two characters, in numeral heights.
fn kerning(left: char, right: char) -> f64 {
    match (left, right) {
        (digit, fraction) if digit.is_ascii_digit() && fraction_digits(fraction).is_some() => BEFORE_FRACTION,
        ('7', '4') => -0.1,
        ('7', '.') => -0.12,
        ('7', '6' | '8' | '9' | '0' | '2' | '3' | '5') => -0.03,
        ('.', '4' | '7' | '1') => -0.03,
        ('4', '7' | '1') | ('f', 't') => -0.05,
        _ => 0.0,
    }
}

fn glyph(character: char, tool: f64) -> Option<Glyph> {
    if let Some((numerator, denominator)) = fraction_digits(character) {
        return Some(fraction(skeleton(numerator)?.strokes, skeleton(denominator)?.strokes, tool));
    }
    match character {
        '″' => {
            let one = glyph('′', tool)?;
            let mut strokes = one.strokes.clone();
            strokes.extend(Affine::translate((tool + CLEAR, 0.0)) * one.strokes);
            Some(Glyph { strokes, ..one })
        }
        _ => {
            let drawn = skeleton(character)?;
            let strokes = fitted(tool, 1.0) * drawn.strokes;
            Some(Glyph { strokes, ..drawn })
        }
    }
}

/// Scales and moves a skeleton of height 1 so that its ink is `height` high and stands on the baseline.
fn fitted(tool: f64, height: f64) -> Affine {
    Affine::translate((0.0, 0.5 * tool)) * Affine::scale(height - tool)
}

/// Small digits at the top and at the foot of a sloping bar.
fn fraction(numerator: BezPath, denominator: BezPath, tool: f64) -> Glyph {
    let small = fitted(tool, SMALL) * Affine::scale_non_uniform(SMALL_WIDENED, 1.0);
    let numerator = Affine::translate((0.0, 1.0 - SMALL)) * small * numerator;
    let denominator = small * denominator;
    let lean = Vec2::new(0.42, 1.0 - tool);
    let foot = Point::new(0.0, 0.5 * tool);
    // how far points lie to the right of the bar
    let beyond_bar = |path: &BezPath| -> Vec<f64> {
        let mut found = Vec::new();
        kurbo::flatten(path, ARC_TOLERANCE, |element| {
            if let PathEl::MoveTo(point) | PathEl::LineTo(point) = element {
                found.push(point.x - lean.x * (point.y - foot.y) / lean.y);
            }
        });
        found
    };
    // measured along x, a bar that leans is farther away
    let apart = (tool + CLEAR) * lean.hypot() / lean.y;
    let bar = beyond_bar(&numerator).into_iter().fold(f64::NEG_INFINITY, f64::max) + apart;
    let after = bar + apart - beyond_bar(&denominator).into_iter().fold(f64::INFINITY, f64::min);
    let mut strokes = numerator;
    strokes.move_to(foot + Vec2::new(bar, 0.0));
    strokes.line_to(foot + Vec2::new(bar, 0.0) + lean);
    strokes.extend(Affine::translate((after, 0.0)) * denominator);
    Glyph { strokes, left: BOWL, right: BOWL }
}

/// A character's strokes at height 1, its ink beginning anywhere.
fn skeleton(character: char) -> Option<Glyph> {
    let mut pen = Pen::default();
    let (left, right) = match character {
        '0' => {
            let (r, width) = (0.27, 0.54);
            pen.start(0.0, 0.5).line(0.0, 1.0 - r).arc(r, 1.0 - r, r, r, 180.0, 0.0);
            pen.line(width, r).arc(r, r, r, r, 0.0, -180.0).line(0.0, 0.5);
            (BOWL, BOWL)
        }
        '1' => {
            pen.start(0.0, 0.82).line(0.19, 1.0).line(0.19, 0.0);
            (OPEN, UPRIGHT)
        }
        '2' => {
            let r = 0.26;
            let centre = Point::new(r, 1.0 - r);
            // the slope's direction: tangent to the bowl, from the foot
            let slope = centre.to_vec2().atan2() - (r / centre.to_vec2().hypot()).asin();
            pen.arc(centre.x, centre.y, r, r, 168.0, slope.to_degrees() - 90.0);
            pen.line(0.0, 0.0).line(0.52, 0.0);
            (OPEN, BOWL)
        }
        '3' => {
            let (upper, lower) = (0.24, 0.27);
            pen.arc(0.0, 1.0 - upper, upper, upper, 160.0, -90.0);
            pen.arc(0.0, lower, lower, lower, 90.0, -160.0);
            (OPEN, BOWL)
        }
        '4' => {
            pen.start(0.22, 1.0).line(0.0, 0.27).line(0.58, 0.27);
            pen.start(0.45, 0.56).line(0.45, 0.0);
            (OPEN, OPEN)
        }
        '5' => {
            let r = 0.29;
            pen.start(0.48, 1.0).line(0.05, 1.0);
            pen.arc(0.24, r, r, r, 131.0, -150.0);
            (BOWL, BOWL)
        }
        '6' | '9' => {
            let r = 0.27;
            pen.arc(0.45, r, 0.45, 1.0 - r, 90.0, 180.0).arc(r, r, r, r, 180.0, 540.0);
            if character == '9' {
                pen.turn_round(0.5);
            }
            (BOWL, BOWL)
        }
        '7' => {
            pen.start(0.0, 1.0).line(0.5, 1.0).line(0.15, 0.0);
            (BOWL, OPEN)
        }
        '8' => {
            let (upper, lower) = (0.23, 0.27);
            pen.arc(0.0, 1.0 - upper, upper, upper, -90.0, 270.0);
            pen.arc(0.0, lower, lower, lower, 90.0, -270.0);
            (BOWL, BOWL)
        }
        '.' => {
            // larger than a dot of the tool: that of a fine tool would be too small beside large numerals
            pen.start(0.0, 0.0).line(0.0, 0.06);
            (POINT, POINT)
        }
        '∞' => {
            let (r, aside): (f64, f64) = (0.25, 0.355);
            // half the opening of the crossing: its lines are tangent to both loops
            let cross = (r / aside).asin().to_degrees();
            pen.start(0.0, 0.5).arc(aside, 0.5, r, r, 90.0 + cross, -90.0 - cross);
            pen.arc(-aside, 0.5, r, r, 90.0 - cross, 270.0 + cross).line(0.0, 0.5);
            (BOWL, BOWL)
        }
        '′' => {
            pen.start(0.08, 1.0).line(0.0, 0.68);
            (BOWL, BOWL)
        }
        '°' => {
            pen.arc(0.0, 0.86, 0.14, 0.14, 90.0, -270.0);
            (BOWL, BOWL)
        }
        '/' => {
            pen.start(0.0, 0.0).line(0.42, 1.0);
            (OPEN, OPEN)
        }
        '-' => {
            pen.start(0.0, 0.45).line(0.36, 0.45);
            (BOWL, BOWL)
        }
        'm' => {
            let r = 0.16;
            let spring = X_HEIGHT - r;
            pen.start(0.0, 0.0).line(0.0, spring).arc(r, spring, r, r, 180.0, 0.0).line(2.0 * r, 0.0);
            pen.start(2.0 * r, spring).arc(3.0 * r, spring, r, r, 180.0, 0.0).line(4.0 * r, 0.0);
            (UPRIGHT, UPRIGHT)
        }
        'f' => {
            let r = 0.2;
            pen.start(0.13, 0.0).line(0.13, 1.0 - r).arc(0.13 + r, 1.0 - r, r, r, 180.0, 90.0);
            pen.start(0.0, X_HEIGHT).line(0.32, X_HEIGHT);
            (OPEN, OPEN)
        }
        't' => {
            let r = 0.2;
            pen.start(0.13, 0.95).line(0.13, r).arc(0.13 + r, r, r, r, 180.0, 270.0);
            pen.start(0.0, X_HEIGHT).line(0.33, X_HEIGHT);
            (OPEN, OPEN)
        }
        'H' => {
            pen.start(0.0, 0.0).line(0.0, 1.0);
            pen.start(0.0, 0.52).line(0.5, 0.52);
            pen.start(0.5, 1.0).line(0.5, 0.0);
            (UPRIGHT, UPRIGHT)
        }
        'T' => {
            pen.start(0.0, 1.0).line(0.58, 1.0);
            pen.start(0.29, 1.0).line(0.29, 0.0);
            (OPEN, OPEN)
        }
        _ => letters::letter(character, &mut pen)?,
    };
    Some(Glyph { strokes: pen.strokes, left, right })
}

/// Draws strokes.
#[derive(Default)]
struct Pen {
    strokes: BezPath,
}

impl Pen {
    fn start(&mut self, x: f64, y: f64) -> &mut Pen {
        self.strokes.move_to((x, y));
        self
    }

    fn line(&mut self, x: f64, y: f64) -> &mut Pen {
        self.strokes.line_to((x, y));
        self
    }

    /// An arc of an upright ellipse between two directions as seen from its centre, in degrees from +x toward +y; a
    /// line leads to its beginning, or it begins the stroke.
    fn arc(&mut self, x: f64, y: f64, rx: f64, ry: f64, from: f64, to: f64) -> &mut Pen {
        let arc = Arc::new((x, y), (rx, ry), from.to_radians(), (to - from).to_radians(), 0.0);
        let (sin, cos) = from.to_radians().sin_cos();
        let begin = Point::new(x + rx * cos, y + ry * sin);
        match self.strokes.elements().last().and_then(PathEl::end_point) {
            None => self.strokes.move_to(begin),
            Some(last) if last.distance(begin) > 1e-9 => self.strokes.line_to(begin),
            Some(_) => {}
        }
        self.strokes.extend(arc.append_iter(ARC_TOLERANCE));
        self
    }

    /// Turns everything by half a turn about a point of the middle height.
    fn turn_round(&mut self, y: f64) {
        self.strokes.apply_affine(Affine::rotate_about(std::f64::consts::PI, (0.0, y)));
    }
}

#[cfg(test)]
mod tests;
