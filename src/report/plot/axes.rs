//! Where distances and angles stand on the plot, and the values written along its axes.

use kurbo::{Point, Rect, Shape};

use super::panel::{Page, Sort, line};
use crate::lettering::LetteringError;
use crate::scale::closest_label;
use crate::units::{Distance, DistanceUnit, Length};

/// Room between the panel's edge and the ends of the distance axis, mm.
const INSET: f64 = 5.0;
/// Half of the room that each value of the distance axis takes, mm.
const APART: f64 = 4.5;

/// The distance axis: linear in 1/D, infinity at the left, near at the right.
#[derive(Clone, Copy, Debug)]
pub(super) struct Along {
    pub nearest: f64,
    pub x0: f64,
    pub x1: f64,
}

impl Along {
    pub(super) fn x(&self, distance: Distance) -> f64 {
        let share = distance.to_mm().map_or(0.0, |mm| self.nearest / mm);
        self.x0 + INSET + (self.x1 - self.x0 - 2.0 * INSET) * share
    }

    /// Distances that share the axis evenly, from infinity to the nearest.
    pub(super) fn even(&self, count: u32) -> impl Iterator<Item = Distance> + use<> {
        let nearest = self.nearest;
        (0..=count).map(move |i| match i {
            0 => Distance::Infinity,
            i => Distance::mm(nearest * f64::from(count) / f64::from(i)),
        })
    }

    /// Values of one unit along the line `y`, and the places of those that found room.
    pub(super) fn values(&self, page: &mut Page, unit: DistanceUnit, y: f64) -> Result<Vec<f64>, LetteringError> {
        let mut places: Vec<f64> = Vec::new();
        for distance in round_distances(unit) {
            let x = self.x(distance);
            if x > self.x1 - INSET + 1e-6 || places.iter().any(|other| (x - other).abs() < 2.0 * APART) {
                continue;
            }
            let text = match (distance, unit) {
                (Distance::Infinity, _) => "∞".to_string(),
                (Distance::Finite(length), DistanceUnit::Metre) => format!("{} m", closest_label(unit.into(), length)),
                (Distance::Finite(length), DistanceUnit::Foot) => closest_label(unit.into(), length),
            };
            page.text(&text, Point::new(x, y), 0.5, 1.0, 2.0 * APART - 1.0)?;
            places.push(x);
        }
        Ok(places)
    }
}

/// Infinity and round distances of a unit, the roundest first.
fn round_distances(unit: DistanceUnit) -> Vec<Distance> {
    let mut all = vec![Distance::Infinity];
    for digit in [1.0, 2.0, 5.0, 3.0, 1.5, 4.0, 7.0, 2.5, 6.0, 8.0, 1.2, 9.0, 3.5, 4.5] {
        for decade in [1000.0, 10_000.0, 100.0, 10.0, 100_000.0] {
            let value: f64 = digit * decade;
            match unit {
                DistanceUnit::Metre => all.push(Distance::mm(value)),
                // whole feet, or halves below ten
                DistanceUnit::Foot if value >= 1000.0 && (value / 500.0).fract() == 0.0 => {
                    all.push(Distance::mm(value * 0.3048));
                }
                DistanceUnit::Foot => {}
            }
        }
    }
    match unit {
        DistanceUnit::Metre => {}
        DistanceUnit::Foot => all.extend([6.0, 8.0, 10.0, 4.0, 3.0, 2.0].map(|inches| Distance::mm(25.4 * inches))),
    }
    all
}

/// A panel with degrees going up.
#[derive(Clone, Copy, Debug)]
pub(super) struct Panel {
    pub frame: Rect,
    pub low: f64,
    pub high: f64,
}

impl Panel {
    /// As far below zero as above.
    pub(super) fn about_zero(frame: Rect, reach: f64) -> Self {
        Panel { frame, low: -reach, high: reach }
    }

    pub(super) fn y(&self, degrees: f64) -> f64 {
        self.frame.y1 - self.frame.height() * (degrees - self.low) / (self.high - self.low)
    }

    pub(super) fn y_within(&self, degrees: f64) -> f64 {
        self.y(degrees.clamp(self.low, self.high))
    }

    /// Frame and degrees at the left; where `mm_per_degree` is given, millimetres on the ring at the right.
    pub(super) fn draw(&self, page: &mut Page, count: f64, mm_per_degree: Option<f64>) -> Result<(), LetteringError> {
        let Rect { x0, x1, .. } = self.frame;
        page.add(Sort::Frame, None, self.frame.to_path(0.01));
        for value in steps(self.low, self.high, count) {
            let y = self.y(value);
            page.add(Sort::Grid, None, line(x0, y, x1, y));
            page.text(&format!("{}°", round(value)), Point::new(x0 - 1.5, y + 0.9), 1.0, 1.0, x0 - 3.0)?;
        }
        let Some(scale) = mm_per_degree.filter(|scale| scale.is_finite() && *scale > 0.0) else { return Ok(()) };
        for value in steps(self.low * scale, self.high * scale, count) {
            let y = self.y(value / scale);
            page.add(Sort::Frame, None, line(x1, y, x1 + 1.0, y));
            page.text(&format!("{} mm", round(value)), Point::new(x1 + 2.0, y + 0.9), 0.0, 1.0, 14.0)?;
        }
        Ok(())
    }
}

/// A value without the digits of a sum in binary.
fn round(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

/// Round values between two, about `count` of them.
fn steps(low: f64, high: f64, count: f64) -> Vec<f64> {
    let rough = (high - low) / count;
    let decade = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().find(|m| m * decade >= rough).unwrap_or(10.0) * decade;
    let first = (low / step).ceil();
    (0..32).map(|k| (first + f64::from(k)) * step).take_while(|value| *value <= high).collect()
}

/// A distance longer by a length; `None` where nothing is left of it.
pub(super) fn tape(distance: Distance, by: Length) -> Option<Distance> {
    let mm = distance.to_mm()? + by.to_mm();
    if mm > 0.0 { Length::try_mm(mm).map(Distance::Finite) } else { None }
}
