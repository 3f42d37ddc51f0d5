//! An SVG read back as boxes and paths, in millimetres.

use kurbo::{BezPath, Rect, Shape};
use roxmltree::{Document, Node};

/// A tick or a numeral.
#[derive(Clone, Debug)]
pub struct Shown {
    /// `data-unit`; empty for a unit sign.
    pub unit: String,
    /// `data-value` as written; empty for a unit sign.
    pub value: String,
    /// `data-angle`.
    pub angle: f64,
    /// `data-label`; empty for a plain mark and for a unit sign.
    pub label: String,
    /// The outline.
    pub path: BezPath,
    /// The outline's box.
    pub bounds: Rect,
}

/// A drawing.
pub struct Drawing {
    /// The numbers of `width`, `height` and `viewBox` as written.
    pub size: (String, String, String),
    /// The outline's box.
    pub outline: Rect,
    /// In the file's order.
    pub ticks: Vec<Shown>,
    /// Numerals and unit signs in the file's order.
    pub numerals: Vec<Shown>,
}

impl Drawing {
    /// Width and height in mm.
    pub fn width_height(&self) -> (f64, f64) {
        let number = |text: &str| text.strip_suffix("mm").and_then(|n| n.parse().ok()).expect("a size in mm");
        (number(&self.size.0), number(&self.size.1))
    }

    /// The ticks of one unit.
    pub fn ticks_of(&self, unit: &str) -> Vec<&Shown> {
        self.ticks.iter().filter(|tick| tick.unit == unit).collect()
    }
}

/// Reads an SVG as the writer promises it: layers by class, marks with their attributes.
pub fn read(svg: &str) -> Drawing {
    let document = Document::parse(svg).expect("an SVG is XML");
    let root = document.root_element();
    let layer = |class: &str| -> Vec<Shown> {
        let layers = root.children().filter(|node| node.is_element() && node.attribute("class") == Some(class));
        layers.flat_map(|layer| layer.children().filter(Node::is_element)).map(shown).collect()
    };
    let ticks = layer("ticks");
    assert!(!ticks.is_empty(), "a scale has ticks");
    let size = |key| root.attribute(key).unwrap_or_default().to_string();
    Drawing {
        size: (size("width"), size("height"), size("viewBox")),
        outline: layer("outline")[0].bounds,
        ticks,
        numerals: layer("numerals"),
    }
}

fn shown(group: Node<'_, '_>) -> Shown {
    let text = |key| group.attribute(key).unwrap_or_default().to_string();
    let data = group.children().find(|node| node.tag_name().name() == "path");
    let path = BezPath::from_svg(data.and_then(|path| path.attribute("d")).expect("a path")).expect("path data");
    Shown {
        unit: text("data-unit"),
        value: text("data-value"),
        angle: text("data-angle").parse().unwrap_or(f64::NAN),
        label: text("data-label"),
        bounds: path.bounding_box(),
        path,
    }
}
