//! Signs of our own: ∞, ′, ″ and the vulgar fractions, in font units, y up. For faces that lack them, and in place of
//! those that a shipped face draws poorly. Fractions are always ours: those of text faces are as thin as their size, and
//! few faces have eighths.
//!
//! Proportions are by eye, chosen on enlarged renderings of 2 mm numerals beside the digits of the shipped faces.
//! Contours run as in TrueType: clockwise round ink, counterclockwise round a counter.

use kurbo::{Affine, BezPath, CubicBez, ParamCurve, ParamCurveDeriv, PathEl, PathSeg, Point, Shape, Vec2};

use super::measure::Measures;
use crate::region::Region;
use crate::units::Length;

/// A sign and the room it takes.
pub(super) struct Sign {
    /// Closed contours.
    pub(super) outline: BezPath,
    /// From its origin to that of the next glyph.
    pub(super) advance: f64,
}

impl Sign {
    /// Centres the sign in its advance.
    fn with_bearing(outline: BezPath, bearing: f64) -> Sign {
        let ink = outline.bounding_box();
        let outline = Affine::translate((bearing - ink.x0, 0.0)) * outline;
        Sign { outline, advance: ink.width() + 2.0 * bearing }
    }
}

/// The digits of a vulgar fraction: halves, quarters and eighths.
pub(super) fn fraction_digits(character: char) -> Option<(char, char)> {
    match character {
        '½' => Some(('1', '2')),
        '¼' => Some(('1', '4')),
        '¾' => Some(('3', '4')),
        '⅛' => Some(('1', '8')),
        '⅜' => Some(('3', '8')),
        '⅝' => Some(('5', '8')),
        '⅞' => Some(('7', '8')),
        _ => None,
    }
}

/// Our own sign for a character, where there is one; `digit` gives the outlines of the face's digits.
pub(super) fn draw<E>(
    character: char,
    measures: &Measures,
    digit: impl Fn(char) -> Result<BezPath, E>,
) -> Result<Option<Sign>, E> {
    let (numerator, denominator) = match character {
        '∞' => return Ok(Some(infinity(measures))),
        '′' => return Ok(Some(primes(measures, 1))),
        '″' => return Ok(Some(primes(measures, 2))),
        _ => match fraction_digits(character) {
            Some(digits) => digits,
            None => return Ok(None),
        },
    };
    Ok(Some(fraction(measures, &digit(numerator)?, &digit(denominator)?)))
}

/// Two loops that cross. The stroke is modulated so that it looks even: full at the sides, lighter at the
/// top and foot of a loop, lightest where the strokes cross and their ink adds up.
pub(super) fn infinity(measures: &Measures) -> Sign {
    // A stroke of more than this share of the height closes the counters: beside a bold face the sign is higher instead.
    const STOUTEST: f64 = 0.29;
    let height = (measures.stem / STOUTEST).clamp(0.62 * measures.digit_height, 0.8 * measures.digit_height);
    let width = 1.9 * height;
    let side = measures.stem.min(STOUTEST * height);
    let (top, crossing) = (0.9 * side, 0.86 * side);
    let slope = 50_f64.to_radians();
    let along = Vec2::from_angle(slope);

    // The centreline of the upper right quarter: straight through the crossing, over the top, down to the right end.
    let straight = 0.6 * crossing * slope.tan();
    let leaves = (straight * along).to_point();
    let peak = Point::new(0.272 * width, (height - top) / 2.0);
    let end = Point::new((width - side) / 2.0, 0.0);
    let rise = CubicBez::new(
        leaves,
        leaves + 0.42 * (peak.y - leaves.y) / slope.sin() * along,
        peak - Vec2::new(0.46 * (peak.x - leaves.x), 0.0),
        peak,
    );
    const ROUND: f64 = 0.5523; // quarter of an ellipse by one cubic
    let fall = CubicBez::new(
        peak,
        peak + Vec2::new(ROUND * (end.x - peak.x), 0.0),
        end + Vec2::new(0.0, ROUND * (peak.y - end.y)),
        end,
    );

    let quarter = |edge: f64, first: Point| {
        let rise = beside(rise, edge * crossing / 2.0, edge * top / 2.0);
        let fall = beside(fall, edge * top / 2.0, edge * side / 2.0);
        [PathSeg::Line(kurbo::Line::new(first, rise.p0)), PathSeg::Cubic(rise), PathSeg::Cubic(fall)]
    };
    // Where the edges of the two strokes meet: above the crossing, and beside it.
    let notch = Point::new(0.0, crossing / 2.0 / slope.cos());
    let corner = Point::new(crossing / 2.0 / slope.sin(), 0.0);
    let outer = quarter(1.0, notch);
    let inner = quarter(-1.0, corner);

    let (right_foot, left_top, left_foot) = ((1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0));
    let mut outline = BezPath::new();
    let lobe = outer.into_iter().chain(mirrored(&outer, right_foot, true));
    close(&mut outline, lobe.chain(mirrored(&outer, left_foot, false)).chain(mirrored(&outer, left_top, true)));
    close(&mut outline, mirrored(&inner, right_foot, false).chain(mirrored(&inner, (1.0, 1.0), true)));
    close(&mut outline, mirrored(&inner, left_top, false).chain(mirrored(&inner, left_foot, true)));
    let centred = Affine::translate((0.0, measures.digit_height / 2.0)) * outline;
    Sign::with_bearing(centred, 0.06 * measures.digit_height)
}

/// A cubic beside another, to the left of its sense by a distance that goes smoothly from `at_start` to `at_end`:
/// same end tangents, and it passes the right point at half way.
fn beside(centre: CubicBez, at_start: f64, at_end: f64) -> CubicBez {
    let derivative = centre.deriv();
    let shifted = |t: f64, distance: f64| {
        let tangent = derivative.eval(t).to_vec2().normalize();
        (centre.eval(t) + distance * tangent.turn_90(), tangent)
    };
    let (start, out) = shifted(0.0, at_start);
    let (middle, _) = shifted(0.5, (at_start + at_end) / 2.0);
    let (end, into) = shifted(1.0, at_end);
    // B(1/2) = (start + end)/2 + 3/8 (a out - b into), solved for the handle lengths a and b.
    let wanted = (middle - start.midpoint(end)) * (8.0 / 3.0);
    let a = wanted.cross(into) / out.cross(into);
    let b = wanted.cross(out) / out.cross(into);
    CubicBez::new(start, start + a * out, end - b * into, end)
}

/// Segments mirrored at the axes, backwards if asked.
fn mirrored(segments: &[PathSeg; 3], (x, y): (f64, f64), backwards: bool) -> impl Iterator<Item = PathSeg> {
    let mut found = segments.map(|segment| Affine::scale_non_uniform(x, y) * segment);
    if backwards {
        found.reverse();
        found = found.map(|segment| segment.reverse());
    }
    found.into_iter()
}

/// Adds the segments as one closed contour.
fn close(outline: &mut BezPath, segments: impl Iterator<Item = PathSeg>) {
    for (index, segment) in segments.enumerate() {
        if index == 0 {
            outline.move_to(segment.start());
        }
        outline.push(segment.as_path_el());
    }
    outline.close_path();
}

/// One or two slim strokes below the top of the digits, tapered toward the foot, leaning to the right.
fn primes(measures: &Measures, count: u32) -> Sign {
    let top = measures.digit_height;
    let length = 0.34 * top;
    // The prime of a heavy face is lighter, so that the two strokes of ″ stay apart.
    let width = measures.stem.min(0.18 * top);
    let (foot_width, lean, pitch) = (0.62 * width, 0.2 * length, width + 0.105 * top);
    let mut outline = BezPath::new();
    for index in 0..count {
        let x = f64::from(index) * pitch;
        outline.move_to((x, top - length));
        outline.line_to((x + lean, top));
        outline.line_to((x + lean + width, top));
        outline.line_to((x + foot_width, top - length));
        outline.close_path();
    }
    Sign::with_bearing(outline, 0.06 * top)
}

/// Height of a fraction's digits, in digit heights: lower ones fill in, higher ones make the fraction as wide as three digits.
const SMALL: f64 = 0.62;

/// How much wider than a digit's a fraction's digits are in proportion, so that their stout strokes leave the counters open.
const SMALL_WIDENED: f64 = 1.15;

/// Stem of a fraction's digits, as a share of the digits' own. Digits that are only scaled down have 0.62 of it: they break up
/// first, and look like another face.
const SMALL_STEM: f64 = 0.87;

/// The widest stem of a fraction's digits, in digit heights: a wider one closes the counters of a small 8, and the breaks of
/// a stencil face.
const WIDEST_SMALL_STEM: f64 = 0.165;

/// White between the strokes of a fraction, in digit heights: less runs together, more falls apart.
const SMALL_GAP: f64 = 0.08;

/// A digit made small: lower, and grown all round so that its stem is as stout as beside digits of full size it has to be.
///
/// ```text
/// h s + 2d = SMALL h,  W s stem + 2d = t;  s the scale, W SMALL_WIDENED, d what the outline grows by, t the stem
/// ```
fn small(measures: &Measures, digit: &BezPath) -> BezPath {
    /// Digits are grown at this height in mm, so that the micrometres of a region are fine enough.
    const GROWN_AT: f64 = 10.0;
    let (height, stem) = (measures.digit_height, measures.stem);
    let wanted = (SMALL_STEM * stem).min(WIDEST_SMALL_STEM * height);
    let scale = ((SMALL * height - wanted) / (height - SMALL_WIDENED * stem)).clamp(0.3, SMALL);
    let grown = 0.5 * (SMALL - scale) * height;
    let lower = Affine::scale_non_uniform(SMALL_WIDENED * scale, scale) * digit.clone();
    if grown < 1e-3 * height {
        return lower;
    }
    let to_mm = GROWN_AT / height;
    let stout = Region::new(&(Affine::scale(to_mm) * lower)).offset(Length::mm(grown * to_mm));
    Affine::translate((0.0, grown)) * Affine::scale(1.0 / to_mm) * stout.to_path().reverse_subpaths()
}

/// Small digits at the top and at the foot of a sloping bar.
fn fraction(measures: &Measures, numerator: &BezPath, denominator: &BezPath) -> Sign {
    let height = measures.digit_height;
    let lean = Vec2::new(0.42 * height, height);
    // across the bar and along x
    let along = lean.hypot() / height;
    let bar = along * (0.8 * measures.stem).min(0.14 * height);
    let gap = along * SMALL_GAP * height;
    // how far points lie to the right of the bar's left edge
    let beyond = |path: &BezPath| -> (f64, f64) {
        let mut ends = (f64::INFINITY, f64::NEG_INFINITY);
        kurbo::flatten(path, 1e-3 * height, |element| {
            if let PathEl::MoveTo(point) | PathEl::LineTo(point) = element {
                let x = point.x - lean.x * point.y / lean.y;
                ends = (ends.0.min(x), ends.1.max(x));
            }
        });
        ends
    };
    let mut outline = Affine::translate((0.0, (1.0 - SMALL) * height)) * small(measures, numerator);
    let left = beyond(&outline).1 + gap;
    let denominator = small(measures, denominator);
    let after = left + bar + gap - beyond(&denominator).0;
    // clockwise, as contours round ink run
    outline.move_to((left, 0.0));
    outline.line_to((left + lean.x, height));
    outline.line_to((left + lean.x + bar, height));
    outline.line_to((left + bar, 0.0));
    outline.close_path();
    outline.extend(Affine::translate((after, 0.0)) * denominator);
    Sign::with_bearing(outline, 0.07 * height)
}
