//! A strip for the tests of the processes.

use crate::artwork::{Extent, Look, ScaleFace, Strip, strip};
use crate::lettering::{self, Lettering};
use crate::scale::{Band, BandUnit, Grounds, Mark, MarkValue, TickClass};
use crate::surface::{Edge, Ring, Sense, Surface};
use crate::units::{Angle, Distance, DistanceUnit, Length};

/// A clockwise ring's strip with ∞, 2 m and 1 m.
pub fn ring_strip(rear: f64, front: f64, extent: Extent) -> Strip {
    ring_strip_at(Edge::Rear, rear, front, extent)
}

/// The same with the index at an edge.
pub fn ring_strip_at(index: Edge, rear: f64, front: f64, extent: Extent) -> Strip {
    let ring = Ring { rear_diameter: Length::mm(rear), front_diameter: Length::mm(front), width: Length::mm(12.0) };
    let face = ScaleFace {
        surface: Surface::new(&ring, Length::ZERO),
        sense: Sense::Clockwise,
        index,
        read_from: Edge::Rear,
        repeat: false,
    };
    let look = Look {
        tick_width: Length::mm(0.4),
        tool: None,
        numbered_tick: Length::mm(2.0),
        tick_follows: true,
        medium_tick: crate::artwork::medium_tick(Length::mm(2.0), Length::mm(1.2)),
        plain_tick: Length::mm(1.2),
        sign: crate::scale::UnitSign::Start,
        label_gap: Length::mm(2.0),
        extent,
    };
    let mark = |label: &str, mm: Option<f64>, arc: f64| Mark {
        value: MarkValue::Distance(mm.map_or(Distance::Infinity, Distance::mm)),
        label: label.into(),
        angle: Angle::deg(arc),
        arc: Length::mm(arc),
        tick: TickClass::beneath(label),
        numeral_shift: Length::ZERO,
        short: false,
        hyperfocal: None,
    };
    let marks = vec![mark("∞", None, 0.0), mark("2", Some(2000.0), 30.0), mark("1", Some(1000.0), 70.0)];
    let band =
        Band { unit: BandUnit::Distance(DistanceUnit::Metre), marks, left_out: vec![], grounds: Grounds::default() };
    let lettering = Lettering::new(lettering::Face::plain(), Length::mm(3.0)).unwrap();
    strip("L, focus", &face, &look, &lettering, &[band]).unwrap()
}
