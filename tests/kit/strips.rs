//! Strips that look like finished ones, for tests and benches of the writers.

use kurbo::{Affine, BezPath, Circle, Ellipse, Rect, Shape, Vec2};
use ringwright::artwork::{Drawing, Group, Layer, LayerKind, MarkTag, MarkValue};
use ringwright::units::{Angle, Distance, Length};

/// Widths of the ticks in turn: a hairline of little more than a pixel at 600 dpi up to a bold one, in mm.
const TICK_WIDTHS: [f64; 4] = [0.05, 0.12, 0.3, 0.0787];

/// A strip with ticks, upright and slanted, outlines like those of digits with one or two holes, an index, an edge
/// and guides. Positions are odd fractions of a pixel at every resolution.
pub fn strip(width: f64, height: f64, ticks: usize, glyphs: usize) -> Drawing {
    let along = |at: usize, of: usize| 1.5 + (width - 3.0) * (at as f64 + 0.381_966) / of as f64;
    let tag = |unit: &str, value, at: usize, label: String| {
        Some(MarkTag { unit: unit.into(), value, angle: Angle::deg(at as f64 * 0.7316 - 3.0), label })
    };
    let ticks = (0..ticks).map(|at| {
        let (thick, long) = (TICK_WIDTHS[at % TICK_WIDTHS.len()], [1.2, 2.0, 3.017][at % 3]);
        let x = along(at, ticks);
        let mut path = Rect::new(x - thick / 2.0, 0.2, x + thick / 2.0, 0.2 + long).to_path(1e-4);
        if at % 5 == 4 {
            path.apply_affine(Affine::rotate_about(0.15, (x, 0.2 + long / 2.0)));
        }
        let value = match at {
            0 => MarkValue::Distance(Distance::Infinity),
            _ => MarkValue::Distance(Distance::mm(9000.0 / at as f64)),
        };
        Group::new(tag("m", value, at, if at % 3 == 2 { format!("{at}") } else { String::new() }), path)
    });
    let numerals = (0..glyphs).map(|at| {
        let place = Vec2::new(along(at, glyphs), 0.25 * height + 1.813 + 0.37 * (at % 7) as f64);
        let mut path = if at % 2 == 0 { ring_digit() } else { double_digit() };
        path.apply_affine(Affine::translate(place));
        let value = MarkValue::Stop(2f64.powf(at as f64 / 12.0));
        Group::new(tag("T", value, at, format!("{at}")), path)
    });
    let plain = |path| Group::new(None, path);
    let mut index = BezPath::new();
    index.move_to((width / 2.0, height - 2.0));
    index.line_to((width / 2.0 + 0.8, height - 0.5));
    index.line_to((width / 2.0 - 0.8, height - 0.5));
    index.close_path();
    let frame = hollow(Rect::new(0.0, 0.0, width, height), Rect::new(0.1, 0.1, width - 0.1, height - 0.1));
    let cross = Circle::new((3.3, height - 1.7), 0.7331).to_path(1e-4);
    let layer = |kind, groups: Vec<Group>| Layer::new(kind, groups);
    Drawing {
        title: "sample & test <strip>".into(),
        width: Length::mm(width),
        height: Length::mm(height),
        layers: vec![
            layer(LayerKind::Outline, vec![plain(frame)]),
            layer(LayerKind::Ticks, ticks.collect()),
            layer(LayerKind::Numerals, numerals.collect()),
            layer(LayerKind::Index, vec![plain(index)]),
            layer(LayerKind::Guide, vec![plain(cross)]),
        ],
    }
}

fn hollow(outer: impl Shape, inner: impl Shape) -> BezPath {
    let mut path = outer.to_path(1e-4);
    path.extend(inner.to_path(1e-4).reverse_subpaths());
    path
}

/// Like a 0: cubics, one hole, 1.1 mm wide and 2 mm high.
fn ring_digit() -> BezPath {
    hollow(Ellipse::new((0.0, 0.0), (0.55, 1.0), 0.0), Ellipse::new((0.0, 0.0), (0.3713, 0.82), 0.0))
}

/// Like an 8 with a serif: quadratics with two holes.
fn double_digit() -> BezPath {
    let mut path = quadratic_loop(0.0, 0.0, 0.6, 1.0);
    path.extend(quadratic_loop(0.0, -0.45, 0.33, 0.3).reverse_subpaths());
    path.extend(quadratic_loop(0.0, 0.45, 0.37, 0.34).reverse_subpaths());
    path
}

fn quadratic_loop(x: f64, y: f64, rx: f64, ry: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to((x + rx, y));
    for (cx, cy, tx, ty) in [(rx, ry, 0.0, ry), (-rx, ry, -rx, 0.0), (-rx, -ry, 0.0, -ry), (rx, -ry, rx, 0.0)] {
        path.quad_to((x + cx, y + cy), (x + tx, y + ty));
    }
    path.close_path();
    path
}
