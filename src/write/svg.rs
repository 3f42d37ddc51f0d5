//! A drawing becomes SVG: one user unit is one millimetre, one group a layer, every shape a filled path or a line.
//!
//! Ticks and numerals that belong to a mark carry it in their attributes, so that a drawing can be read back:
//!
//! ```text
//! <g class="mark" data-angle="84.1" data-label="0.9" data-unit="m" data-value="900"><path d="..."/></g>
//! ```
//!
//! `data-value` is in millimetres (`inf` for infinity) or the exact number of a stop, `data-angle` in degrees,
//! `data-label` what is engraved, absent at a plain mark. A numeral has the class `numeral` and the same attributes,
//! so that the class `mark` occurs once for every mark. Shapes of the other layers are plain groups.
//!
//! Source: Scalable Vector Graphics (SVG) 1.1 (Second Edition), W3C, 2011: "The viewBox attribute", "Path data".

use kurbo::{BezPath, PathEl, Point};
use svg::node::element::{Group as SvgGroup, Path as SvgPath, Title};

use super::layers::drawn;
use super::number::{FINE, STOP, decimal, push};
use crate::artwork::{Drawing, Group, Ink, LayerKind, MarkTag, MarkValue};

/// The strip as the text of an SVG file.
///
/// Layers without shapes are left out, and layers of one kind and ink become one group, where the first of them stands.
///
/// # Panics
/// When a coordinate of a path is NaN or infinite.
pub fn svg(drawing: &Drawing) -> String {
    let width = decimal(drawing.width.to_mm(), FINE);
    let height = decimal(drawing.height.to_mm(), FINE);
    let mut document = svg::Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .add(Title::new(xml_text(&drawing.title)));

    for layer in drawn(drawing) {
        let mut node = inked(SvgGroup::new().set("class", class(layer.kind)), layer.ink);
        for group in layer.groups {
            node = node.add(shapes(group, layer.kind));
        }
        document = document.add(node);
    }
    let mut text = document.to_string();
    text.push('\n');
    text
}

fn inked(group: SvgGroup, ink: Ink) -> SvgGroup {
    let filled = |colour| group.clone().set("fill", colour).set("fill-rule", "nonzero");
    match ink {
        Ink::Black => filled("#000"),
        Ink::Clear => filled("#fff"),
        Ink::Red => filled("#d00"),
        Ink::Line(width) => group
            .set("fill", "none")
            .set("stroke", "#000")
            .set("stroke-width", decimal(width.to_mm(), FINE))
            .set("stroke-linecap", "round")
            .set("stroke-linejoin", "round"),
    }
}

fn class(kind: LayerKind) -> &'static str {
    match kind {
        LayerKind::Ticks => "ticks",
        LayerKind::Numerals => "numerals",
        LayerKind::Index => "index",
        LayerKind::Outline => "outline",
        LayerKind::Guide => "guide",
        LayerKind::Cut => "cut",
    }
}

fn shapes(group: &Group, kind: LayerKind) -> SvgGroup {
    let mut drawn = SvgGroup::new();
    let class = match kind {
        LayerKind::Ticks => Some("mark"),
        LayerKind::Numerals => Some("numeral"),
        _ => None,
    };
    if let (Some(class), Some(tag)) = (class, &group.tag) {
        drawn = tagged(drawn.set("class", class), tag);
    }
    if !group.path.elements().is_empty() {
        drawn = drawn.add(SvgPath::new().set("d", path_data(&group.path)));
    }
    drawn
}

fn tagged(drawn: SvgGroup, tag: &MarkTag) -> SvgGroup {
    let value = match tag.value {
        MarkValue::Distance(distance) => match distance.to_mm() {
            Some(mm) => decimal(mm, FINE),
            None => "inf".to_string(),
        },
        MarkValue::Stop(number) => decimal(number, STOP),
    };
    let drawn = drawn
        .set("data-unit", xml_text(&tag.unit))
        .set("data-value", value)
        .set("data-angle", decimal(tag.angle.to_deg(), FINE));
    if tag.label.is_empty() { drawn } else { drawn.set("data-label", xml_text(&tag.label)) }
}

/// The `d` attribute of a path, in absolute coordinates.
///
/// Built here because the path data of the `svg` crate holds `f32`.
fn path_data(path: &BezPath) -> String {
    let mut data = String::new();
    for element in path.elements() {
        match element {
            PathEl::MoveTo(to) => command(&mut data, 'M', &[*to]),
            PathEl::LineTo(to) => command(&mut data, 'L', &[*to]),
            PathEl::QuadTo(control, to) => command(&mut data, 'Q', &[*control, *to]),
            PathEl::CurveTo(first, second, to) => command(&mut data, 'C', &[*first, *second, *to]),
            PathEl::ClosePath => command(&mut data, 'Z', &[]),
        }
    }
    data
}

fn command(data: &mut String, letter: char, points: &[Point]) {
    data.push(letter);
    for (at, point) in points.iter().enumerate() {
        if at > 0 {
            data.push(' ');
        }
        push(data, point.x, FINE);
        data.push(' ');
        push(data, point.y, FINE);
    }
}

/// The text with U+FFFD where XML 1.0 (section 2.2) allows no character, however it is escaped.
fn xml_text(text: &str) -> String {
    let allowed = |c: char| !matches!(c, '\0'..='\x08' | '\x0b' | '\x0c' | '\x0e'..='\x1f' | '\u{fffe}' | '\u{ffff}');
    text.chars().map(|c| if allowed(c) { c } else { char::REPLACEMENT_CHARACTER }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artwork::Layer;
    use crate::units::{Angle, Distance, Length};

    #[test]
    fn a_small_strip_is_written_like_this() {
        let tag = |value, label: &str| {
            Some(MarkTag { unit: "m".into(), value, angle: Angle::deg(84.1), label: label.into() })
        };
        let path = |data| BezPath::from_svg(data).unwrap();
        let strip = Drawing {
            title: "A & B <front>".into(),
            width: Length::mm(30.0),
            height: Length::mm(4.123_45),
            layers: vec![
                Layer::new(
                    LayerKind::Ticks,
                    vec![
                        Group::new(tag(MarkValue::Distance(Distance::mm(900.0)), "0.9"), path("M1 0H1.2V3H1Z")),
                        Group::new(tag(MarkValue::Distance(Distance::Infinity), "∞"), path("M5 0H5.2V3H5Z")),
                    ],
                ),
                Layer::new(LayerKind::Guide, vec![]),
                Layer::new(
                    LayerKind::Numerals,
                    vec![Group::new(
                        tag(MarkValue::Stop(2f64.powf(2.5)), "\"5.6'"),
                        path("M1 3Q-0.00001 3.5 1 4C1 4 2 4 2 3.33333Z"),
                    )],
                ),
                Layer::new(
                    LayerKind::Index,
                    vec![
                        Group::new(None, path("M9 0L10 0L9.5 1Z")),
                        Group::new(tag(MarkValue::Stop(8.0), "8"), path("M9 2L10 2L9.5 3Z")),
                    ],
                ),
                Layer::new(
                    LayerKind::Ticks,
                    vec![Group::new(tag(MarkValue::Distance(Distance::mm(304.8)), ""), BezPath::new())],
                ),
            ],
        };
        insta::assert_snapshot!(svg(&strip), @r##"
        <svg height="4.1235mm" viewBox="0 0 30 4.1235" width="30mm" xmlns="http://www.w3.org/2000/svg">
        <title>A &amp; B &lt;front&gt;</title>
        <g class="ticks" fill="#000" fill-rule="nonzero">
        <g class="mark" data-angle="84.1" data-label="0.9" data-unit="m" data-value="900">
        <path d="M1 0L1.2 0L1.2 3L1 3Z"/>
        </g>
        <g class="mark" data-angle="84.1" data-label="∞" data-unit="m" data-value="inf">
        <path d="M5 0L5.2 0L5.2 3L5 3Z"/>
        </g>
        <g class="mark" data-angle="84.1" data-unit="m" data-value="304.8"/>
        </g>
        <g class="numerals" fill="#000" fill-rule="nonzero">
        <g class="numeral" data-angle="84.1" data-label="&quot;5.6&apos;" data-unit="m" data-value="5.656854">
        <path d="M1 3Q0 3.5 1 4C1 4 2 4 2 3.3333Z"/>
        </g>
        </g>
        <g class="index" fill="#000" fill-rule="nonzero">
        <g>
        <path d="M9 0L10 0L9.5 1Z"/>
        </g>
        <g>
        <path d="M9 2L10 2L9.5 3Z"/>
        </g>
        </g>
        </svg>
        "##);
    }

    #[test]
    fn what_xml_cannot_hold_is_replaced() {
        assert_eq!(xml_text("a\0b\u{1b}\tc"), "a\u{fffd}b\u{fffd}\tc");
    }
}
