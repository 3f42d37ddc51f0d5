//! Signs of our own: ∞, ′, ″ and the vulgar fractions, in font units, y up. For faces that lack them, and in place of
//! those that a shipped face draws poorly.
//!
//! Proportions are by eye, chosen on enlarged renderings of 2 mm numerals beside the digits of the shipped faces.
//! Contours run as in TrueType: clockwise round ink, counterclockwise round a counter.

use kurbo::{Affine, BezPath, CubicBez, ParamCurve, ParamCurveDeriv, PathSeg, Point, Shape, Vec2};

use super::measure::Measures;

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
        '½' => ('1', '2'),
        '¼' => ('1', '4'),
        '¾' => ('3', '4'),
        _ => return Ok(None),
    };
    Ok(Some(fraction(measures, &digit(numerator)?, &digit(denominator)?)))
}

/// Two loops that cross. The stroke is modulated so that it looks even: full at the sides, lighter at the
/// top and foot of a loop, lightest where the strokes cross and their ink adds up.
pub(super) fn infinity(measures: &Measures) -> Sign {
    let height = 0.62 * measures.digit_height;
    let width = 1.9 * height;
    // A stroke of more than a quarter of the height closes the counters.
    let side = measures.stem.min(0.25 * height);
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
    let width = measures.stem.min(0.16 * top);
    let (foot_width, lean, pitch) = (0.62 * width, 0.2 * length, 1.75 * width);
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

/// Small digits at the top and at the foot of a sloping bar.
fn fraction(measures: &Measures, numerator: &BezPath, denominator: &BezPath) -> Sign {
    const SMALL: f64 = 0.56;
    let height = measures.digit_height;
    let gap = 0.06 * height;
    let bar_width = 0.75 * measures.stem.min(0.16 * height);
    let bar_lean = 0.42 * height;

    let placed = |digit: &BezPath, x: f64, y: f64| {
        let ink = digit.bounding_box();
        Affine::new([SMALL, 0.0, 0.0, SMALL, x - SMALL * ink.x0, y]) * digit.clone()
    };
    let mut outline = placed(numerator, 0.0, (1.0 - SMALL) * height);
    // The bar clears the numerator's right edge at its foot and the denominator's left edge at its top.
    let lean_to = |y: f64| bar_lean * y / height;
    let bar = outline.bounding_box().x1 + gap - lean_to((1.0 - SMALL) * height);
    outline.move_to((bar, 0.0));
    outline.line_to((bar + bar_lean, height));
    outline.line_to((bar + bar_lean + bar_width, height));
    outline.line_to((bar + bar_width, 0.0));
    outline.close_path();
    let denominator = placed(denominator, bar + bar_width + lean_to(SMALL * height) + gap, 0.0);
    outline.extend(denominator);
    Sign::with_bearing(outline, 0.07 * height)
}
