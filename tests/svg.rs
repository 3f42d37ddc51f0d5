//! The SVG read back by two parsers that know nothing of the writer.

use kurbo::{BezPath, Rect, Shape};
use ringwright::artwork::{Drawing, LayerKind, MarkValue};
use ringwright::write::svg;

use crate::kit::strips;

fn sample() -> Drawing {
    strips::strip(263.8938, 20.0, 400, 60)
}

fn assert_same_box(found: Rect, drawn: Rect, tolerance: f64, what: &str) {
    for (found, drawn) in [(found.x0, drawn.x0), (found.y0, drawn.y0), (found.x1, drawn.x1), (found.y1, drawn.y1)] {
        assert!((found - drawn).abs() <= tolerance, "{what}: {found} mm where {drawn} mm was drawn");
    }
}

fn class_of(kind: LayerKind) -> &'static str {
    match kind {
        LayerKind::Ticks => "ticks",
        LayerKind::Numerals => "numerals",
        LayerKind::Index => "index",
        LayerKind::Outline => "outline",
        LayerKind::Guide => "guide",
        LayerKind::Cut => "cut",
    }
}

#[test]
fn every_shape_lies_where_the_artwork_has_it_to_half_a_micrometre() {
    fn boxes(group: &usvg::Group, found: &mut Vec<Rect>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(group) => boxes(group, found),
                usvg::Node::Path(path) => {
                    let b = path.abs_bounding_box();
                    found.push(Rect::new(b.left().into(), b.top().into(), b.right().into(), b.bottom().into()));
                }
                other => panic!("neither a group nor a path: {other:?}"),
            }
        }
    }
    let strip = sample();
    // At 25.4 dpi a unit of the tree is a millimetre.
    let options = usvg::Options { dpi: 25.4, ..usvg::Options::default() };
    let tree = usvg::Tree::from_str(&svg(&strip), &options).unwrap();
    assert!((f64::from(tree.size().width()) - strip.width.to_mm()).abs() < 5e-5);
    assert!((f64::from(tree.size().height()) - strip.height.to_mm()).abs() < 5e-5);
    let mut found = Vec::new();
    boxes(tree.root(), &mut found);
    let drawn: Vec<_> = strip.layers.iter().flat_map(|layer| &layer.groups).collect();
    assert_eq!(found.len(), drawn.len());
    for (at, (found, drawn)) in found.into_iter().zip(drawn).enumerate() {
        assert_same_box(found, drawn.path.bounding_box(), 5e-4, &format!("shape {at}"));
    }
}

#[test]
fn every_layer_is_one_group_that_holds_its_shapes_and_their_marks() {
    let strip = sample();
    let text = svg(&strip);
    let document = roxmltree::Document::parse(&text).unwrap();
    let root = document.root_element();
    assert_eq!(root.attribute("width"), Some("263.8938mm"));
    assert_eq!(root.attribute("height"), Some("20mm"));
    assert_eq!(root.attribute("viewBox"), Some("0 0 263.8938 20"));
    let groups: Vec<_> = root.children().filter(|node| node.has_tag_name("g")).collect();
    let classes: Vec<_> = groups.iter().map(|group| group.attribute("class").unwrap()).collect();
    assert_eq!(classes, ["outline", "ticks", "numerals", "index", "guide"]);

    for (layer, drawn) in strip.layers.iter().zip(groups) {
        assert_eq!(drawn.attribute("class"), Some(class_of(layer.kind)));
        assert_eq!((drawn.attribute("fill"), drawn.attribute("fill-rule")), (Some("#000"), Some("nonzero")));
        let shapes: Vec<_> = drawn.children().filter(|node| node.has_tag_name("g")).collect();
        assert_eq!(shapes.len(), layer.groups.len());
        for (group, shape) in layer.groups.iter().zip(shapes) {
            let data = shape.first_element_child().and_then(|path| path.attribute("d")).unwrap();
            // Half a unit of the last decimal at each end of a curve; its box moves no further.
            assert_same_box(BezPath::from_svg(data).unwrap().bounding_box(), group.path.bounding_box(), 5.1e-5, data);
            let Some(tag) = &group.tag else {
                assert_eq!(shape.attributes().len(), 0, "a shape of no mark says nothing");
                continue;
            };
            let class = if layer.kind == LayerKind::Ticks { "mark" } else { "numeral" };
            assert_eq!(shape.attribute("class"), Some(class));
            assert_eq!(shape.attribute("data-unit"), Some(tag.unit.as_str()));
            assert_eq!(shape.attribute("data-label"), Some(tag.label.as_str()).filter(|label| !label.is_empty()));
            let number = |name| shape.attribute(name).unwrap().parse::<f64>().unwrap();
            assert!((number("data-angle") - tag.angle.to_deg()).abs() < 5.1e-5);
            match tag.value {
                MarkValue::Stop(stop) => assert!((number("data-value") - stop).abs() < 5.1e-7),
                MarkValue::Distance(distance) => match distance.to_mm() {
                    Some(mm) => assert!((number("data-value") - mm).abs() < 5.1e-5),
                    None => assert_eq!(shape.attribute("data-value"), Some("inf")),
                },
            }
        }
    }
    assert_eq!(text.matches("class=\"mark\"").count(), 400);
    assert_eq!(text.matches("class=\"numeral\"").count(), 60);
}

#[test]
fn nothing_is_stroked_or_written_as_text() {
    let text = svg(&sample());
    let document = roxmltree::Document::parse(&text).unwrap();
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        assert!(["svg", "title", "g", "path"].contains(&node.tag_name().name()), "{node:?}");
        assert!(node.attributes().all(|attribute| !attribute.name().contains("stroke")), "{node:?}");
    }
}

#[test]
fn the_title_reads_back_as_it_was() {
    let text = svg(&sample());
    let document = roxmltree::Document::parse(&text).unwrap();
    let title = document.descendants().find(|node| node.has_tag_name("title")).unwrap();
    assert_eq!(title.text(), Some("sample & test <strip>"));
}

#[test]
fn the_same_strip_gives_the_same_bytes() {
    assert_eq!(svg(&sample()), svg(&sample()));
}
