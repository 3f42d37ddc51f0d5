//! A picture of a calibration: the law with its readings above, what they miss it by below.

use kurbo::{Affine, BezPath, Circle, Line, PathEl, Point, Rect, Shape, Stroke, StrokeOpts};

use super::words::metres;
use crate::artwork::{Drawing, Group, Layer, LayerKind};
use crate::assembly::{Assembly, FocusRing};
use crate::lettering::{Lettering, LetteringError};
use crate::units::{Distance, Length};

/// The page and its two panels, mm.
const PAGE: (f64, f64) = (180.0, 126.0);
const LAW: Rect = Rect::new(20.0, 16.0, 172.0, 82.0);
const MISS: Rect = Rect::new(20.0, 92.0, 172.0, 116.0);

/// Draws the focus calibration of a lens; `None` where it has no focus ring or no finite distance.
///
/// # Errors
/// When the face lacks a letter.
pub fn plot(assembly: &Assembly, lettering: &Lettering) -> Result<Option<Drawing>, LetteringError> {
    let Some(ring) = &assembly.focus else { return Ok(None) };
    let bench = Bench::of(ring, lettering);
    let title = format!("{}: {}", assembly.lens.name, super::fit_line(ring));
    let mut ink = BezPath::new();
    bench.text(&mut ink, &title, Point::new(LAW.x0, 9.0), 0.0)?;
    bench.axes(&mut ink)?;
    let mut curve = BezPath::new();
    bench.law(&mut curve);
    let mut dots = BezPath::new();
    bench.readings(&mut dots, &mut ink)?;
    let layer = |kind, path| Layer::new(kind, vec![Group::new(None, path)]);
    Ok(Some(Drawing {
        title,
        width: Length::mm(PAGE.0),
        height: Length::mm(PAGE.1),
        layers: vec![layer(LayerKind::Guide, ink), layer(LayerKind::Ticks, curve), layer(LayerKind::Index, dots)],
    }))
}

struct Bench<'a> {
    ring: &'a FocusRing<'a>,
    lettering: &'a Lettering,
    /// The nearest distance drawn: the axis is linear in its share of 1/D.
    nearest: f64,
    /// Angles from bottom to top.
    angles: (f64, f64),
    /// Misses from zero to the panel's edge, degrees.
    miss: f64,
}

impl<'a> Bench<'a> {
    fn of(ring: &'a FocusRing<'a>, lettering: &'a Lettering) -> Self {
        let residuals = &ring.calibration.residuals;
        let taped = residuals.iter().filter_map(|r| r.reading.distance.to_mm());
        let nearest = taped.fold(ring.focus.closest.to_mm(), f64::min);
        let marks = ring.bands.iter().flat_map(|band| &band.marks).map(|mark| mark.angle.to_deg());
        let read = residuals.iter().map(|r| r.reading.at.to_deg());
        let (low, high) = marks.chain(read).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
        let room = 0.04 * (high - low).max(1.0);
        let reach = |r: &crate::calibration::Residual| (r.error.to_deg().abs() + r.expected.to_deg()).max(0.2);
        let miss = residuals.iter().map(reach).fold(0.5, f64::max) * 1.15;
        Bench { ring, lettering, nearest, angles: (low - room, high + 3.0 * room), miss }
    }

    /// Infinity at the left, near to the right.
    fn x(&self, distance: Distance) -> f64 {
        let share = distance.to_mm().map_or(0.0, |mm| self.nearest / mm);
        LAW.x0 + 4.0 + (LAW.width() - 8.0) * share
    }

    fn y(&self, degrees: f64) -> f64 {
        LAW.y1 - LAW.height() * (degrees - self.angles.0) / (self.angles.1 - self.angles.0)
    }

    fn y_miss(&self, degrees: f64) -> f64 {
        MISS.center().y - 0.5 * MISS.height() * degrees / self.miss
    }

    /// Text at a point, `anchor` 0 for its left end, 0.5 for its middle, 1 for its right end.
    fn text(&self, ink: &mut BezPath, text: &str, at: Point, anchor: f64) -> Result<(), LetteringError> {
        let line = self.lettering.line(text)?;
        let scale = 2.4 / self.lettering.numeral_height().to_mm();
        let left = -anchor * line.width.to_mm() * scale;
        let place = Affine::translate((at.x + left, at.y)) * Affine::scale(scale);
        ink.extend(place * line.outline);
        Ok(())
    }

    fn axes(&self, ink: &mut BezPath) -> Result<(), LetteringError> {
        for panel in [LAW, MISS] {
            stroke(ink, &panel.to_path(0.01), 0.2);
        }
        let step = round_step(self.angles.1 - self.angles.0, 8.0);
        let mut k = (self.angles.0 / step).ceil();
        while k * step <= self.angles.1 {
            let y = self.y(k * step);
            stroke(ink, &line(LAW.x0, y, LAW.x1, y), 0.05);
            self.text(ink, &degrees(k * step), Point::new(LAW.x0 - 1.5, y + 1.0), 1.0)?;
            k += 1.0;
        }
        let step = round_step(2.0 * self.miss, 4.0);
        for k in -4..=4 {
            let at = f64::from(k) * step;
            if at.abs() <= self.miss {
                let y = self.y_miss(at);
                stroke(ink, &line(MISS.x0, y, MISS.x1, y), if k == 0 { 0.2 } else { 0.05 });
                self.text(ink, &degrees(at), Point::new(MISS.x0 - 1.5, y + 1.0), 1.0)?;
            }
        }
        let mut written = f64::NEG_INFINITY;
        let metres_at = [
            0.0, 20.0, 10.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.2, 1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.45, 0.4, 0.35, 0.3,
            0.25, 0.2,
        ];
        for value in metres_at {
            let distance = if value == 0.0 { Distance::Infinity } else { Distance::mm(1000.0 * value) };
            let x = self.x(distance);
            if x > LAW.x1 || x - written < 9.0 {
                continue;
            }
            written = x;
            for panel in [LAW, MISS] {
                stroke(ink, &line(x, panel.y0, x, panel.y1), 0.05);
            }
            let label = if value == 0.0 { "∞".to_string() } else { metres(distance) };
            self.text(ink, &label, Point::new(x, MISS.y1 + 4.5), 0.5)?;
        }
        self.text(ink, "ring angle by the law, and the readings", Point::new(LAW.x0, LAW.y0 - 1.5), 0.0)?;
        self.text(ink, "reading minus law, with the error that was expected", Point::new(MISS.x0, MISS.y0 - 1.5), 0.0)
    }

    fn law(&self, ink: &mut BezPath) {
        let mut points = Vec::new();
        for i in 0..=400 {
            let share = f64::from(i) / 400.0;
            let distance = if i == 0 { Distance::Infinity } else { Distance::mm(self.nearest / share) };
            if let Some(angle) = self.ring.calibration.law.angle(distance) {
                points.push(Point::new(self.x(distance), self.y(angle.to_deg())));
            }
        }
        let mut path = BezPath::new();
        for (i, point) in points.into_iter().enumerate() {
            path.push(if i == 0 { PathEl::MoveTo(point) } else { PathEl::LineTo(point) });
        }
        stroke(ink, &path, 0.35);
    }

    fn readings(&self, dots: &mut BezPath, ink: &mut BezPath) -> Result<(), LetteringError> {
        for (i, r) in self.ring.calibration.residuals.iter().enumerate() {
            let x = self.x(r.reading.distance);
            let at = Point::new(x, self.y(r.reading.at.to_deg()));
            dots.extend(Circle::new(at, 0.9).to_path(0.01));
            self.text(ink, &(i + 1).to_string(), Point::new(x - 1.6, at.y - 1.6), 1.0)?;
            let (error, sigma) = (r.error.to_deg(), r.expected.to_deg());
            dots.extend(Circle::new(Point::new(x, self.y_miss(error)), 0.9).to_path(0.01));
            stroke(dots, &line(x, self.y_miss(error - sigma), x, self.y_miss(error + sigma)), 0.2);
        }
        Ok(())
    }
}

fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> BezPath {
    Line::new((x0, y0), (x1, y1)).to_path(0.01)
}

fn stroke(ink: &mut BezPath, path: &BezPath, width: f64) {
    ink.extend(kurbo::stroke(path, &Stroke::new(width), &StrokeOpts::default(), 0.005));
}

/// A gridline's angle: `-0.6°`, without the digits of a sum in binary.
fn degrees(value: f64) -> String {
    format!("{}°", (value * 1e6).round() / 1e6 + 0.0)
}

/// 1, 2 or 5 times a power of ten, so that `span` has about `count` steps.
fn round_step(span: f64, count: f64) -> f64 {
    let rough = span / count;
    let decade = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().find(|m| m * decade >= rough).unwrap_or(10.0);
    step * decade
}
