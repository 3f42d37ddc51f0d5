//! The rings of a lens as they turn: their artwork, and where it stands under the index marks.
//!
//! Takes an assembled lens and its laid-out strips; gives each ring's measures, its shapes in turns from the index, and
//! the plate beside it. A view has only to turn them and to project: a ring that is read at θ is drawn turned clockwise, as
//! seen from behind the camera, by
//!
//! ```text
//! s (θ - zero)            s: +1 where the ring turns clockwise toward close (toward closed), -1 where it does not
//! ```
//!
//! An iris ring that rides on the focus ring has its index there, so it is drawn turned further by `s (θ - riding_index)`,
//! with the focus ring's s and θ.

use super::{Assembly, FocusRing, IrisRing, LaidOut, look, mark_distance};
use crate::artwork::{MarkValue, Wrapped, wrapped, wrapped_plate};
use crate::model::{Lens, Piece, RingKind};
use crate::scale::{Band, BandUnit, Mark};
use crate::surface::{Edge, Ring, Sense};
use crate::units::{Angle, DistanceUnit, Length};

/// A ring as it turns under its index.
#[derive(Clone, Debug)]
pub struct TurningRing {
    /// Which ring.
    pub kind: RingKind,
    /// How it turns toward close (toward closed).
    pub sense: Sense,
    /// The position at which the infinity mark (the widest stop) stands under the index.
    pub zero: Angle,
    /// The position of the first mark.
    pub from: Angle,
    /// The position of the last mark.
    pub to: Angle,
    /// Diameter at the rear edge.
    pub rear_diameter: Length,
    /// Diameter at the front edge.
    pub front_diameter: Length,
    /// Width along the slope.
    pub width: Length,
    /// At which edge the index stands.
    pub index: Edge,
    /// Whether it turns along when focusing.
    pub rides: bool,
    /// Where its index stands on the focus ring, in the focus ring's own readings; for a ring that rides.
    pub riding_index: Option<Angle>,
    /// The numbered marks of the first band, in order.
    pub marks: Vec<NumberedMark>,
    /// The artwork with the ring at `zero`, turns counted from the index.
    pub shapes: Vec<Shape>,
    /// The fixed part beside the ring, turns counted from the index line, heights away from the ring; empty where the
    /// index is on another ring.
    pub plate: Vec<Wrapped>,
    /// How often the plate is there: twice, half a turn apart, where the scale is repeated.
    pub index_copies: usize,
}

/// A mark that people turn to.
#[derive(Clone, Debug, PartialEq)]
pub struct NumberedMark {
    /// The ring's position.
    pub at: Angle,
    /// With its unit: `0.9 m`, `∞`, `T2.8`.
    pub label: String,
}

/// A shape on a ring.
#[derive(Clone, Debug)]
pub struct Shape {
    /// What is drawn.
    pub drawn: Wrapped,
    /// Whether it belongs to a focus mark that is not true at the stop that the set asks for, or wide open.
    pub doubtful: bool,
}

impl Assembly<'_> {
    /// The rings whose strips fit them, as they turn.
    pub fn turning(&self) -> Vec<TurningRing> {
        self.turning_of(&self.laid_out())
    }

    /// The same, of strips that have been laid out already.
    pub fn turning_of(&self, laid_out: &LaidOut) -> Vec<TurningRing> {
        let focus = self.focus.as_ref().and_then(|ring| self.focus_turning(ring, laid_out));
        let iris = self.iris.as_ref().and_then(|ring| self.iris_turning(ring, laid_out));
        focus.into_iter().chain(iris).collect()
    }

    fn focus_turning(&self, ring: &FocusRing, laid_out: &LaidOut) -> Option<TurningRing> {
        let shapes = shapes(laid_out, Piece::Focus, &self.doubtful(ring))?;
        Some(TurningRing {
            sense: ring.focus.toward_close,
            index: ring.focus.index,
            plate: self.plate_beside(false, ring.mm_per_degree),
            index_copies: if ring.repeat { 2 } else { 1 },
            ..turning(RingKind::Focus, &ring.focus.ring, &ring.bands, ring.mm_per_degree, shapes)?
        })
    }

    fn iris_turning(&self, ring: &IrisRing, laid_out: &LaidOut) -> Option<TurningRing> {
        let shapes = shapes(laid_out, Piece::Iris, &[])?;
        let bands = std::slice::from_ref(&ring.band);
        let rides = ring.iris.rides.is_some();
        Some(TurningRing {
            sense: ring.iris.toward_closed,
            index: ring.iris.index,
            plate: self.plate_beside(true, ring.mm_per_degree),
            rides,
            riding_index: laid_out.riding_index.filter(|_| rides),
            ..turning(RingKind::Iris, &ring.iris.ring, bands, ring.mm_per_degree, shapes)?
        })
    }

    fn plate_beside(&self, iris: bool, mm_per_degree: f64) -> Vec<Wrapped> {
        let plate = self.plates().find(|(is_iris, _)| *is_iris == iris);
        // a plate that cannot be set is reported where strips are laid out
        plate
            .and_then(|(_, plate)| wrapped_plate(&plate, &look(self.set), self.lettering, mm_per_degree).ok())
            .unwrap_or_default()
    }

    /// Values of the focus marks that are not true at the stop that the set asks for, or wide open.
    fn doubtful(&self, ring: &FocusRing) -> Vec<MarkValue> {
        let lens: &Lens = self.lens;
        let Some(stop) = self.set.style.doubtful.stop.or(lens.widest_stop) else { return Vec::new() };
        let doubtful = |value: &MarkValue| {
            mark_distance(*value).and_then(|distance| ring.is_true_at(lens, distance, stop)) == Some(false)
        };
        ring.bands.iter().flat_map(|band| &band.marks).map(|mark| mark.value).filter(doubtful).collect()
    }
}

/// A ring without its index.
fn turning(kind: RingKind, ring: &Ring, bands: &[Band], mm_per_degree: f64, shapes: Vec<Shape>) -> Option<TurningRing> {
    let first = bands.first()?.marks.first()?;
    let angles = || bands.iter().flat_map(|band| &band.marks).map(|mark| mark.angle);
    Some(TurningRing {
        kind,
        sense: Sense::Clockwise,
        zero: first.angle - Angle::deg(first.arc.to_mm() / mm_per_degree),
        from: angles().reduce(Angle::min)?,
        to: angles().reduce(Angle::max)?,
        rear_diameter: ring.rear_diameter,
        front_diameter: ring.front_diameter,
        width: ring.width,
        index: Edge::Rear,
        rides: false,
        riding_index: None,
        marks: numbered(bands.first()?),
        shapes,
        plate: Vec::new(),
        index_copies: 1,
    })
}

fn numbered(band: &Band) -> Vec<NumberedMark> {
    let mark = |mark: &Mark| NumberedMark { at: mark.angle, label: with_unit(mark, band.unit) };
    band.marks.iter().filter(|mark| mark.numbered()).map(mark).collect()
}

/// A mark's label with its unit; feet and hyperfocal marks have their sign already.
fn with_unit(mark: &Mark, unit: BandUnit) -> String {
    let label = &mark.label;
    match unit {
        BandUnit::F => format!("f/{label}"),
        BandUnit::T => format!("T{label}"),
        BandUnit::Distance(DistanceUnit::Metre) if mark.hyperfocal.is_none() && label != "∞" => format!("{label} m"),
        BandUnit::Distance(DistanceUnit::Metre) | BandUnit::Distance(DistanceUnit::Foot) => label.clone(),
    }
}

/// A strip's shapes, turns counted from its first infinity mark (widest stop).
fn shapes(laid_out: &LaidOut, piece: Piece, doubtful: &[MarkValue]) -> Option<Vec<Shape>> {
    let (_, strip) = laid_out.strips.iter().find(|(name, _)| *name == piece)?;
    let zero = *strip.flat.as_ref()?.zeros().first()?;
    let shape = |mut drawn: Wrapped| {
        drawn.lines.iter_mut().flatten().for_each(|point| point.0 -= zero);
        let doubtful = drawn.tag.as_ref().is_some_and(|tag| doubtful.contains(&tag.value));
        Shape { drawn, doubtful }
    };
    Some(wrapped(strip)?.into_iter().map(shape).collect())
}

#[cfg(test)]
mod tests;
