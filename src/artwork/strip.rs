//! Layout of one ring's strip: where every tick, numeral and unit sign goes.
//!
//! A band is a row of ticks that grow from its base away from the index, and a row of numerals beyond them. The first
//! band's base is the edge at which the index stands; a second band stands beyond the first. Close marks lie to
//! the left of infinity on a ring that turns clockwise toward close: the ring carries them under the index.

use std::fmt;

use kurbo::{Affine, BezPath, Rect, Shape};

use super::{Drawing, Flat, Group, Ink, Layer, LayerKind, MarkTag, Strip};
use crate::lettering::{Lettering, LetteringError, Reach};
use crate::scale::{Band, Mark, Sides, TickClass, UnitSign};
use crate::surface::{Edge, Sense, Surface};
use crate::units::{Angle, Length};

/// How much of the ring a strip covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Extent {
    /// Trimmed to the marks; once round where what would be left is less than two label gaps.
    Used,
    /// Once round the ring, the seam in the unused arc.
    FullTurn,
}

/// Sizes that every strip of a set shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Width of every tick that is filled.
    pub tick_width: Length,
    /// Width of the tool that follows the ticks and the index as lines; `None` where they are filled.
    pub tool: Option<Length>,
    /// Length of a numbered mark's tick.
    pub numbered_tick: Length,
    /// Whether that follows the numerals' height; a stated length stays when they are made smaller.
    pub tick_follows: bool,
    /// Length of a tick between the two.
    pub medium_tick: Length,
    /// Length of a plain mark's tick.
    pub plain_tick: Length,
    /// Where the sign of the unit stands.
    pub sign: UnitSign,
    /// Smallest clear distance between labels.
    pub label_gap: Length,
    /// How much of the ring a strip covers.
    pub extent: Extent,
}

/// How much of the way from a plain tick to a numbered one a medium tick goes: 0.72 of the numbered one where the plain
/// one is half of it. Three lengths that are told apart at a glance; more cannot be (MIL-HDBK-759B, 5.2.2.3.1.4.1).
const MEDIUM: f64 = 0.44;

/// Length of a tick that is told from numbered and plain ones of these lengths.
pub fn medium_tick(numbered: Length, plain: Length) -> Length {
    plain + (numbered - plain) * MEDIUM
}

impl Look {
    /// Width of a tick, filled or left by the tool.
    pub fn tick(&self) -> Length {
        self.tool.unwrap_or(self.tick_width)
    }

    /// How ticks and the index are drawn.
    pub(super) fn ink(&self) -> Ink {
        self.tool.map_or(Ink::Black, Ink::Line)
    }

    /// A tick upright on its base, toward y < 0 where `away` is -1: its outline, or the line along its middle, which
    /// stops short of its end by what the tool's round point adds.
    pub(super) fn upright_tick(&self, length: Length, away: f64) -> BezPath {
        let length = length.to_mm();
        match self.tool {
            Some(tool) => {
                let end = (length - 0.5 * tool.to_mm()).max(0.0);
                kurbo::Line::new((0.0, 0.0), (0.0, away * end)).to_path(1e-3)
            }
            None => {
                let half = 0.5 * self.tick_width.to_mm();
                Rect::new(-half, 0.0, half, away * length).abs().to_path(1e-3)
            }
        }
    }
}

/// One ring's face and how it is read.
#[derive(Clone, Copy, Debug)]
pub struct ScaleFace {
    /// The flat pattern.
    pub surface: Surface,
    /// How the ring turns toward close (toward closed).
    pub sense: Sense,
    /// At which edge the index stands.
    pub index: Edge,
    /// From which side the numerals are upright.
    pub read_from: Edge,
    /// Whether the scale is drawn again at the opposite side.
    pub repeat: bool,
}

/// To which sides of its tick a label reaches along a scale that turns and is read so: the text's right lies toward close where
/// close marks lie to the right and the numerals are upright from the rear, or where neither is so.
pub fn sides(reach: Reach, sense: Sense, read_from: Edge) -> Sides {
    let (left, right) = (reach.left.to_mm(), reach.right.to_mm());
    if (sense.close_marks_sign() > 0.0) == (read_from == Edge::Rear) {
        Sides { before: left, after: right }
    } else {
        Sides { before: right, after: left }
    }
}

/// Clear height between a tick and its numeral, in numeral heights: closer, they merge on film; farther, they look unrelated.
pub(super) const TICK_TO_NUMERAL: f64 = 0.3;
/// Clear height between two bands, in numeral heights; wider than the gap above, so that a numeral is read with its tick.
pub(super) const BETWEEN_BANDS: f64 = 0.55;
/// Clear height between the last numerals and the far edge, in numeral heights.
const EDGE_MARGIN: f64 = 0.2;
/// Width of the line that shows the strip's edge: just visible in print, removed by a cut along it.
pub(super) const OUTLINE_MM: f64 = 0.1;

/// Length of the tick of a doubtful mark, as a share of the usual one: a shorter one looks like dirt, a longer one like a plain mark.
const SHORT_TICK: f64 = 0.45;

/// The lowest numerals that a style may ask for: lower ones are neither read at arm's length nor weeded.
pub const SMALLEST_NUMERAL_MM: f64 = 1.2;

/// Why a strip cannot be laid out.
#[derive(Debug)]
pub enum LayoutError {
    /// The bands are higher than the face.
    TooHigh {
        /// Height that they need.
        needs: Length,
        /// Width of the face.
        face: Length,
        /// Bands on the ring.
        bands: usize,
        /// The numeral height that would fit.
        fits: Length,
        /// The tick that is stated, and stays; `None` where ticks follow the numerals.
        stated_tick: Option<Length>,
    },
    /// The marks do not fit once round the ring.
    TooLong {
        /// Length that they need.
        needs: Length,
        /// The circumference.
        circumference: Length,
    },
    /// The rows of a scale are deeper than a disc is from rim to hole.
    TooDeep {
        /// Depth that they need.
        needs: Length,
        /// From rim to hole.
        has: Length,
        /// Turns of the disc from infinity to the closest distance.
        turns: f64,
    },
    /// The index of an iris ring that rides along finds no free place on the focus ring.
    NoPlaceForIndex,
    /// The face cannot set a label.
    Lettering(LetteringError),
}

impl fmt::Display for LayoutError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LayoutError::TooHigh { needs, face, bands, fits, stated_tick } => {
                let need = if *bands == 1 { " of this style needs" } else { "s of this style need" };
                let (needs, face, fits) = (needs.to_mm(), face.to_mm(), fits.to_mm());
                write!(f, "{bands} band{need} {needs:.1} mm of the ring's face, which is {face:.1} mm wide; ")?;
                if fits < SMALLEST_NUMERAL_MM {
                    return write!(f, "even the smallest numerals, {SMALLEST_NUMERAL_MM:.1} mm high, would not fit");
                }
                let ticks = match stated_tick {
                    Some(tick) => format!("beside ticks of {tick}"),
                    None => "with ticks in proportion".to_string(),
                };
                write!(f, "a numeral_height of {fits:.2} mm {ticks} would fit")
            }
            LayoutError::TooLong { needs, circumference } => write!(
                f,
                "the marks need {:.1} mm, more than the {:.1} mm once round the ring; a smaller label_gap or \
                 numeral_height needs less",
                needs.to_mm(),
                circumference.to_mm()
            ),
            LayoutError::TooDeep { needs, has, turns } => write!(
                f,
                "the scale turns {turns:.1} times and needs {:.1} mm from the disc's rim inward, which has {:.1} mm; a \
                 larger disc, one unit or a smaller numeral_height would fit",
                needs.to_mm(),
                has.to_mm()
            ),
            LayoutError::NoPlaceForIndex => f.write_str(
                "the iris ring's index finds no free place on the focus ring that carries it; extent = \"full turn\", one unit or a \
                 smaller numeral_height makes room",
            ),
            LayoutError::Lettering(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for LayoutError {}

impl From<LetteringError> for LayoutError {
    fn from(error: LetteringError) -> Self {
        LayoutError::Lettering(error)
    }
}

/// Height of `bands` bands in mm.
pub(super) fn height(look: &Look, numeral: f64, bands: usize) -> f64 {
    let band = look.numbered_tick.to_mm() + (TICK_TO_NUMERAL + 1.0) * numeral;
    band * bands as f64 + BETWEEN_BANDS * numeral * (bands.max(1) - 1) as f64 + EDGE_MARGIN * numeral
}

/// Length of a numbered tick in numeral heights, unless one is stated: a little less, so that the numeral leads.
pub const NUMBERED_TICK: f64 = 0.95;

/// The numeral height with which `bands` bands fill a face, ticks as long as stated or else in proportion; not above zero
/// where the stated ticks alone fill it.
pub fn filling_numeral_height(face_width: Length, bands: usize, stated_tick: Option<Length>) -> Length {
    let n = bands.max(1) as f64;
    let (ticks, in_heights) = stated_tick.map_or((0.0, NUMBERED_TICK), |tick| (n * tick.to_mm(), 0.0));
    let heights = n * (in_heights + TICK_TO_NUMERAL + 1.0) + (n - 1.0) * BETWEEN_BANDS + EDGE_MARGIN;
    Length::mm((face_width.to_mm() - ticks) / heights)
}

/// The width of the face that `bands` bands of numerals of this height fill, ticks in proportion.
pub fn filling_width(numeral_height: Length, bands: usize) -> Length {
    let n = bands.max(1) as f64;
    numeral_height * (n * (NUMBERED_TICK + TICK_TO_NUMERAL + 1.0) + (n - 1.0) * BETWEEN_BANDS + EDGE_MARGIN)
}

/// Lays a ring's bands out on its strip.
///
/// Ticks are lines where the look has a tool, numerals where the lettering has one; the edge stays a filled frame.
///
/// # Errors
/// When the bands do not fit the face, or a label cannot be set.
pub fn strip(
    title: &str,
    face: &ScaleFace,
    look: &Look,
    lettering: &Lettering,
    bands: &[Band],
) -> Result<Strip, LayoutError> {
    let numeral = lettering.numeral_height().to_mm();
    let (needs, width) = (height(look, numeral, bands.len()), face.surface.width().to_mm());
    if needs > width + 1e-9 {
        // rounded down to a caliper's vernier, so that the proposed height fits
        let stated = (!look.tick_follows).then_some(look.numbered_tick);
        let filling = filling_numeral_height(face.surface.width(), bands.len(), stated).to_mm();
        let fits = Length::mm((filling * 20.0 + 1e-9).floor() / 20.0);
        return Err(LayoutError::TooHigh {
            needs: Length::mm(needs),
            face: face.surface.width(),
            bands: bands.len(),
            fits,
            stated_tick: stated,
        });
    }
    let layout = BandLayout { face, look, lettering, degree: face.surface.mm_per_degree(face.index), pitch: 0.0 };
    let rows: Vec<BandRow> = bands.iter().enumerate().map(|(i, band)| layout.row(i, band)).collect::<Result<_, _>>()?;
    let (from, to) = rows.iter().fold((0.0, 0.0), |(a, b): (f64, f64), row| (a.min(row.from), b.max(row.to)));
    let circumference = 360.0 * layout.degree;
    let copies: &[f64] = if face.repeat { &[0.0, 0.5] } else { &[0.0] };
    let room = circumference / copies.len() as f64;
    let margin = look.label_gap.to_mm().min(0.5 * (room - (to - from)).max(0.0));
    // a strip whose ends nearly meet is closed, with a seam
    let gap = look.label_gap.to_mm() / face.surface.narrowing(face.index);
    let unused = circumference - (to - from + 2.0 * margin);
    let meets = to - from <= circumference + 1e-6 && unused <= 2.0 * gap;
    let full = look.extent == Extent::FullTurn || face.repeat || meets;
    let (start, end) = if full {
        let middle = 0.5 * (from + to) + if face.repeat { 0.25 * circumference } else { 0.0 };
        (middle - 0.5 * circumference, middle + 0.5 * circumference)
    } else {
        (from - margin, to + margin)
    };
    if end - start > circumference + 1e-6 {
        return Err(LayoutError::TooLong { needs: Length::mm(end - start), circumference: Length::mm(circumference) });
    }
    if let Some(row) = rows.iter().find(|row| row.labels + gap > room + 1e-6) {
        return Err(LayoutError::TooLong { needs: Length::mm(row.labels + gap), circumference: Length::mm(room) });
    }
    let mut ticks = Vec::new();
    let mut numerals = Vec::new();
    let middle = 0.5 * (start + end);
    for copy in copies {
        for row in &rows {
            layout.draw(row, copy * circumference - middle, &mut ticks, &mut numerals);
        }
    }
    let flat = Flat {
        surface: face.surface,
        placed: Affine::IDENTITY,
        half_turn: 0.5 * (end - start) / layout.degree,
        closed: full,
        zeros: copies.iter().map(|copy| layout.x(copy * circumference - middle) / layout.degree).collect(),
        index: face.index,
    };
    let outline = outline(&flat, layout.degree);
    let bounds = outline.bounding_box();
    let layers = vec![
        Layer::new(LayerKind::Outline, vec![Group::new(None, outline)]),
        Layer::new(LayerKind::Ticks, ticks).with_ink(look.ink()),
        Layer::new(LayerKind::Numerals, numerals).with_ink(lettering.tool().map_or(Ink::Black, Ink::Line)),
    ];
    let drawing = Drawing {
        title: title.to_string(),
        width: Length::mm(bounds.width()),
        height: Length::mm(bounds.height()),
        layers,
    };
    let mut strip = Strip { drawing, flat: Some(flat), round: None };
    strip.apply_affine(Affine::translate((-bounds.x0, -bounds.y0)));
    Ok(strip)
}

/// One band with its texts set.
pub(super) struct BandRow<'a> {
    band: &'a Band,
    /// Height of the band's base above the index edge.
    base: f64,
    /// (arc over which the text's middle stands, outline from there, mark or none for the unit sign)
    texts: Vec<(f64, BezPath, Option<&'a Mark>)>,
    /// Arcs that the band covers.
    from: f64,
    to: f64,
    /// Length from the first label's beginning to the last one's end.
    labels: f64,
}

pub(super) struct BandLayout<'a> {
    pub(super) face: &'a ScaleFace,
    pub(super) look: &'a Look,
    pub(super) lettering: &'a Lettering,
    /// mm along the index edge to a degree.
    pub(super) degree: f64,
    /// How much farther from the index a scale of several turns lies after each of them, mm; zero for one turn.
    pub(super) pitch: f64,
}

impl BandLayout<'_> {
    pub(super) fn row<'a>(&self, place: usize, band: &'a Band) -> Result<BandRow<'a>, LayoutError> {
        let numeral = self.lettering.numeral_height().to_mm();
        let band_height = self.look.numbered_tick.to_mm() + (TICK_TO_NUMERAL + 1.0 + BETWEEN_BANDS) * numeral;
        let half_tick = 0.5 * self.look.tick().to_mm();
        let narrowing = self.face.surface.narrowing(self.face.index);
        let mut row =
            BandRow { band, base: place as f64 * band_height, texts: Vec::new(), from: 0.0, to: 0.0, labels: 0.0 };
        // what each label covers at the index edge, where a cone may be wider than under the label
        let mut spans: Vec<(f64, f64)> = Vec::new();
        for mark in &band.marks {
            let arc = mark.arc.to_mm();
            (row.from, row.to) = (row.from.min(arc - half_tick), row.to.max(arc + half_tick));
            if mark.numbered() {
                let middle = arc + mark.numeral_shift.to_mm();
                let (outline, reach) = self.text(band, &mark.label)?;
                let sides = sides(reach, self.face.sense, self.face.read_from);
                let (from, to) = (middle - sides.before / narrowing, middle + sides.after / narrowing);
                (row.from, row.to) = (row.from.min(from), row.to.max(to));
                spans.push((from, to));
                row.texts.push((middle, outline, Some(mark)));
            }
        }
        row.labels = spans.first().zip(spans.last()).map_or(0.0, |(first, last)| last.1 - first.0);
        let (outline, reach) = self.text(band, band.unit.sign())?;
        // the sign belongs to no tick: it stands in the middle of its room
        let half = 0.5 * (reach.left + reach.right).to_mm();
        let outline = Affine::translate((reach.left.to_mm() - half, 0.0)) * outline;
        let alone = match self.look.sign {
            UnitSign::Start => true,
            // an iris has no infinity, and numbers that are no lengths
            UnitSign::Infinity | UnitSign::Each => band.unit.distance().is_none(),
            UnitSign::Nowhere => false,
        };
        if alone && let Some(middle) = self.sign_place(&band.marks, &spans, half / narrowing) {
            row.from = row.from.min(middle - half / narrowing);
            row.texts.push((middle, outline, None));
        }
        Ok(row)
    }

    /// Height of a band's numerals, mm.
    fn numeral(&self, band: &Band) -> f64 {
        band.grounds.numeral_height.unwrap_or(self.lettering.numeral_height()).to_mm()
    }

    /// A text whose optical middle is at x = 0, and how far it reaches from there.
    fn text(&self, band: &Band, text: &str) -> Result<(BezPath, Reach), LayoutError> {
        let line = self.lettering.line(text)?;
        let size = self.numeral(band) / self.lettering.numeral_height().to_mm();
        let reach = Reach { left: line.middle * size, right: (line.width - line.middle) * size };
        Ok((Affine::translate((-reach.left.to_mm(), 0.0)) * Affine::scale(size) * line.outline, reach))
    }

    /// Where the unit sign goes: outside infinity (the widest stop) where the ring has room, else in the widest free
    /// place between two labels, and nowhere when none is wide enough.
    ///
    /// A sign above a tick is read as that tick's label. Outside infinity no tick stands below it. Between labels no
    /// numbered mark's tick stands nearer to its ink than one numeral height, no plain one nearer than half of that.
    fn sign_place(&self, marks: &[Mark], spans: &[(f64, f64)], half: f64) -> Option<f64> {
        let narrowing = self.face.surface.narrowing(self.face.index);
        let gap = self.look.label_gap.to_mm() / narrowing;
        let (first, last) = (spans.first()?, spans.last()?);
        let outside = first.0 - 1.5 * gap - half;
        if self.pitch > 0.0 {
            // on a disc that winds inward, it stands in the outermost row, which is narrowed less than the innermost
            let row = height(self.look, self.lettering.numeral_height().to_mm(), 1) / self.degree.to_degrees();
            return Some(outside * (narrowing / (1.0 - row)).min(1.0));
        }
        let period = 360.0 * self.degree / if self.face.repeat { 2.0 } else { 1.0 };
        let below = |mark: &Mark| (mark.arc.to_mm() - outside + 0.5 * period).rem_euclid(period) - 0.5 * period;
        let free = || marks.iter().all(|mark| below(mark).abs() >= half + 0.5 * gap);
        if first.0 + period - last.1 >= 2.0 * half + 2.5 * gap && free() {
            return Some(outside);
        }
        let numeral = self.lettering.numeral_height().to_mm() / narrowing;
        let ticks = marks.iter().map(|mark| {
            let aside = if mark.numbered() { numeral } else { 0.5 * numeral };
            (mark.arc.to_mm() - aside, mark.arc.to_mm() + aside)
        });
        let mut taken: Vec<(f64, f64)> = spans.iter().map(|(from, to)| (from - gap, to + gap)).chain(ticks).collect();
        taken.retain(|span| span.1 >= first.0 && span.0 <= last.1);
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut reached = taken.first()?.1;
        let mut widest = (0.0, 0.0);
        for (from, to) in taken {
            if from - reached > widest.1 - widest.0 {
                widest = (reached, from);
            }
            reached = reached.max(to);
        }
        (widest.1 - widest.0 >= 2.0 * half).then_some(0.5 * (widest.0 + widest.1))
    }

    fn x(&self, arc: f64) -> f64 {
        self.face.sense.close_marks_sign() * arc
    }

    /// The frame at an arc and a height above the index edge; its y runs toward the rear.
    fn frame(&self, arc: f64, above: f64) -> Affine {
        let width = self.face.surface.width().to_mm();
        let above = above + self.pitch * arc.max(0.0) / (360.0 * self.degree);
        let height = match self.face.index {
            Edge::Rear => width - above,
            Edge::Front => above,
        };
        self.face.surface.frame(self.x(arc) / self.degree, height)
    }

    pub(super) fn draw(&self, row: &BandRow<'_>, shift: f64, ticks: &mut Vec<Group>, numerals: &mut Vec<Group>) {
        let look = self.look;
        let away = if self.face.index == Edge::Rear { -1.0 } else { 1.0 };
        let tag = |mark: &Mark| MarkTag {
            unit: row.band.unit.sign().to_string(),
            value: mark.value,
            angle: mark.angle,
            label: mark.label.clone(),
        };
        for mark in &row.band.marks {
            // a hyperfocal mark is no distance of the scale and stands back behind those that are
            let full = match mark.tick {
                TickClass::Numbered if mark.hyperfocal.is_none() => look.numbered_tick,
                TickClass::Medium => look.medium_tick,
                TickClass::Numbered | TickClass::Fine => look.plain_tick,
            };
            let length = if mark.short { full * SHORT_TICK } else { full };
            let frame = self.frame(mark.arc.to_mm() + shift, row.base);
            ticks.push(Group { tag: Some(tag(mark)), frame, path: frame * look.upright_tick(length, away) });
        }
        let near = row.base + look.numbered_tick.to_mm() + TICK_TO_NUMERAL * self.lettering.numeral_height().to_mm();
        let numeral = self.numeral(row.band);
        // the baseline is nearer to the index when the numerals are read from the index's side
        let baseline = if self.face.read_from == self.face.index { near } else { near + numeral };
        let upright =
            if self.face.read_from == Edge::Rear { Affine::IDENTITY } else { Affine::rotate(std::f64::consts::PI) };
        for (middle, outline, mark) in &row.texts {
            let frame = self.frame(middle + shift, baseline) * upright;
            numerals.push(Group { tag: mark.map(tag), frame, path: frame * outline.clone() });
        }
    }
}

/// A thin frame along the strip's edge, inside it.
fn outline(flat: &Flat, degree: f64) -> BezPath {
    let (from, to) = flat.ends();
    let aside = OUTLINE_MM / degree;
    let mut path = flat.edge();
    let inner = flat.patch((from + aside, to - aside), (OUTLINE_MM, flat.width() - OUTLINE_MM));
    path.extend(inner.reverse_subpaths());
    path
}

/// The turn that a band covers on the ring, for telling whether a repeat has room.
pub fn covered(bands: &[Band]) -> Angle {
    let angles = || bands.iter().flat_map(|band| &band.marks).map(|mark| mark.angle);
    let ends = angles().reduce(Angle::min).zip(angles().reduce(Angle::max));
    ends.map_or(Angle::ZERO, |(first, last)| last - first)
}

#[cfg(test)]
mod tests;
