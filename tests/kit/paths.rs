//! Paths of every kind, for tests that any drawing can be written.

use kurbo::{BezPath, Point};
use proptest::prelude::*;
use ringwright::artwork::{Drawing, Group, Ink, Layer, LayerKind};
use ringwright::units::Length;

/// A drawing with some layers in every ink, whose paths do whatever paths can: stand still, turn back, cross.
pub fn any_drawing() -> impl Strategy<Value = Drawing> {
    let kinds = prop_oneof![
        Just(LayerKind::Ticks),
        Just(LayerKind::Numerals),
        Just(LayerKind::Index),
        Just(LayerKind::Outline),
        Just(LayerKind::Guide),
        Just(LayerKind::Cut),
    ];
    let inks = prop_oneof![
        Just(Ink::Black),
        Just(Ink::Clear),
        Just(Ink::Red),
        (0.0..3.0).prop_map(|width| Ink::Line(Length::mm(width))),
    ];
    let groups = prop::collection::vec(any_path().prop_map(|path| Group::new(None, path)), 0..4);
    let layer = (kinds, inks, groups).prop_map(|(kind, ink, groups)| Layer::new(kind, groups).with_ink(ink));
    ("\\PC{0,8}", 0.1..500.0, 0.1..500.0, prop::collection::vec(layer, 0..4)).prop_map(
        |(title, width, height, layers)| Drawing {
            title,
            width: Length::mm(width),
            height: Length::mm(height),
            layers,
        },
    )
}

/// A path of up to a dozen elements: mostly within a sheet, sometimes a kilometre away, often on a coarse grid, so that
/// points coincide.
fn any_path() -> impl Strategy<Value = BezPath> {
    let coordinate = || {
        prop_oneof![
            4 => -500.0..500.0,
            4 => (-3..4i32).prop_map(f64::from),
            1 => (-3..4i32).prop_map(|steps| f64::from(steps) * 3e-5),
            1 => -1e6..1e6,
        ]
    };
    let point = move || (coordinate(), coordinate()).prop_map(Point::from);
    let element = (0..8u8, point(), point(), point());
    (point(), prop::collection::vec(element, 0..12)).prop_map(|(start, elements)| {
        let mut path = BezPath::new();
        path.move_to(start);
        for (kind, a, b, c) in elements {
            match kind {
                0 => path.move_to(a),
                1 | 2 => path.line_to(a),
                3 | 4 => path.quad_to(a, b),
                5 | 6 => path.curve_to(a, b, c),
                _ => path.close_path(),
            }
        }
        path
    })
}
