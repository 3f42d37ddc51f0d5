//! A drawing becomes DXF, release 12 in plain text: contours as polylines, one layer for each role.
//!
//! Lengths are mm and y runs up from the drawing's lower edge, so that the scale reads right in a drawing program.
//! A filled shape is its closed contours, an opening being one inside of another; a layer of lines gives the lines'
//! middles, and their width is the tool's own. Straight edges stay straight; curves are circular arcs within 0.0005 mm,
//! before their ends are rounded to 4 decimals.
//! Red shapes only show places and are not made, so they are left out.
//!
//! Release 12 has no unit that every reader observes: `$INSUNITS` 4 stands for millimetres, and a reader that does not
//! know it takes the numbers as they are.
//!
//! Source: AutoCAD Release 12 Customization Manual, chapter 11, "Drawing Interchange File Formats", from memory; unit
//! numbers: the documentation of the Python package `ezdxf`, "DXF Units".

use kurbo::{Affine, BezPath, CubicBez, PathEl, Point, QuadBez, Rect};

use super::arcs::{self, Arc};
use super::layers::drawn;
use super::number::{FINE, push};
use crate::artwork::{Drawing, Ink, LayerKind};

/// Decimals of a bulge. Half a millionth moves the middle of an arc with a chord of 400 mm by 0.0001 mm.
const BULGE: usize = 6;

/// Name and plain colour number of each layer.
const LAYERS: [(LayerKind, &str, u8); 6] = [
    (LayerKind::Ticks, "TICKS", 7),
    (LayerKind::Numerals, "NUMERALS", 4),
    (LayerKind::Index, "INDEX", 3),
    (LayerKind::Outline, "OUTLINE", 5),
    (LayerKind::Guide, "GUIDE", 2),
    (LayerKind::Cut, "CUT", 6),
];

/// The drawing as the text of a DXF file.
///
/// Layers of one kind and ink are written together, as in SVG. What has no extent is left out: a contour of a single
/// point, or a filled one that runs along a line and back.
///
/// # Panics
/// When a coordinate of a path is NaN or infinite.
pub fn dxf(drawing: &Drawing) -> String {
    let height = drawing.height.to_mm();
    let up = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, height]);
    let mut contours: Vec<(LayerKind, Contour)> = Vec::new();
    for layer in drawn(drawing).iter().filter(|layer| layer.ink != Ink::Red) {
        let filled = !matches!(layer.ink, Ink::Line(_));
        for group in &layer.groups {
            contours.extend(outline(&(up * &group.path), filled).into_iter().map(|contour| (layer.kind, contour)));
        }
    }
    let extent = contours.iter().flat_map(|(_, contour)| contour.pieces()).map(|piece| piece.bounds());
    let sheet = drawing.bounds();
    let extent = extent.reduce(|all, one| all.union(one)).unwrap_or(sheet);

    let mut file = Codes::default();
    header(&mut file, extent, sheet);
    tables(&mut file);
    file.text(0, "SECTION").text(2, "ENTITIES");
    for (kind, contour) in &contours {
        polyline(&mut file, name(*kind), contour);
    }
    file.text(0, "ENDSEC").text(0, "EOF");
    file.0
}

fn header(file: &mut Codes, extent: Rect, sheet: Rect) {
    file.text(0, "SECTION").text(2, "HEADER");
    file.text(9, "$ACADVER").text(1, "AC1009");
    file.text(9, "$INSUNITS").text(70, "4");
    file.text(9, "$MEASUREMENT").text(70, "1");
    file.text(9, "$EXTMIN").place(Point::new(extent.x0, extent.y0)).text(30, "0");
    file.text(9, "$EXTMAX").place(Point::new(extent.x1, extent.y1)).text(30, "0");
    file.text(9, "$LIMMIN").place(Point::new(sheet.x0, sheet.y0));
    file.text(9, "$LIMMAX").place(Point::new(sheet.x1, sheet.y1));
    file.text(0, "ENDSEC");
}

fn tables(file: &mut Codes) {
    file.text(0, "SECTION").text(2, "TABLES");
    file.text(0, "TABLE").text(2, "LTYPE").text(70, "1");
    file.text(0, "LTYPE").text(2, "CONTINUOUS").text(70, "0").text(3, "Solid line").text(72, "65");
    file.text(73, "0").text(40, "0").text(0, "ENDTAB");
    // layer 0 is in every drawing
    file.text(0, "TABLE").text(2, "LAYER").text(70, &(LAYERS.len() + 1).to_string());
    for (name, colour) in std::iter::once(("0", 7)).chain(LAYERS.map(|(_, name, colour)| (name, colour))) {
        file.text(0, "LAYER").text(2, name).text(70, "0").text(62, &colour.to_string()).text(6, "CONTINUOUS");
    }
    file.text(0, "ENDTAB").text(0, "ENDSEC");
}

fn name(kind: LayerKind) -> &'static str {
    LAYERS.iter().find(|layer| layer.0 == kind).map_or("0", |layer| layer.1)
}

fn polyline(file: &mut Codes, layer: &str, contour: &Contour) {
    file.text(0, "POLYLINE").text(8, layer).text(66, "1").text(70, if contour.closed { "1" } else { "0" });
    file.place(Point::ZERO).text(30, "0");
    for corner in &contour.corners {
        file.text(0, "VERTEX").text(8, layer).place(corner.at).text(30, "0");
        if rounded(corner.bulge, BULGE) != 0.0 {
            file.number(42, corner.bulge, BULGE);
        }
    }
    file.text(0, "SEQEND").text(8, layer);
}

/// Pairs of a group code and its value, each on a line of its own.
#[derive(Default)]
struct Codes(String);

impl Codes {
    fn text(&mut self, code: u8, value: &str) -> &mut Self {
        self.code(code);
        self.0.push_str(value);
        self.0.push('\n');
        self
    }

    fn number(&mut self, code: u8, value: f64, places: usize) -> &mut Self {
        self.code(code);
        push(&mut self.0, value, places);
        self.0.push('\n');
        self
    }

    fn place(&mut self, place: Point) -> &mut Self {
        self.number(10, place.x, FINE).number(20, place.y, FINE)
    }

    /// Codes stand to the right in three columns, for readers that count columns.
    fn code(&mut self, code: u8) {
        self.0.push_str(&format!("{code:>3}\n"));
    }
}

/// A corner, and how the piece from it to the next one bends.
#[derive(Clone, Copy)]
struct Corner {
    at: Point,
    bulge: f64,
}

/// One polyline. Its corners are rounded as they are written, so that no two neighbours are written alike.
struct Contour {
    corners: Vec<Corner>,
    closed: bool,
}

impl Contour {
    fn new(start: Point) -> Self {
        Contour { corners: vec![Corner { at: written(start), bulge: 0.0 }], closed: false }
    }

    /// Adds a corner at a place, unless the last one is there.
    fn to(&mut self, to: Point, bulge: f64) {
        let at = written(to);
        if let Some(last) = self.corners.last_mut().filter(|last| last.at != at) {
            last.bulge = bulge;
            self.corners.push(Corner { at, bulge: 0.0 });
        }
    }

    /// The contour as it is written: closed without its first corner again at the end; `None` if nothing is left.
    fn finish(mut self, close: bool, filled: bool) -> Option<Self> {
        let returned = self.corners.len() > 1 && self.corners[0].at == self.corners[self.corners.len() - 1].at;
        if returned {
            self.corners.pop();
        }
        self.closed = close || filled || returned;
        let bent = self.corners.iter().any(|corner| rounded(corner.bulge, BULGE) != 0.0);
        let least = if filled && !bent { 3 } else { 2 };
        (self.corners.len() >= least).then_some(self)
    }

    fn pieces(&self) -> impl Iterator<Item = Arc> {
        let next = self.corners.iter().skip(1).chain(self.corners.first().filter(|_| self.closed));
        self.corners.iter().zip(next).map(|(corner, next)| Arc { from: corner.at, to: next.at, bulge: corner.bulge })
    }
}

/// The contours of a path. Filled ones are closed, even where the path does not close them.
fn outline(path: &BezPath, filled: bool) -> Vec<Contour> {
    let mut all = Vec::new();
    let mut current: Option<Contour> = None;
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    let mut pieces: Vec<Arc> = Vec::new();
    for element in path.elements() {
        pieces.clear();
        match *element {
            PathEl::MoveTo(to) => {
                all.extend(current.take().and_then(|contour| contour.finish(false, filled)));
                (start, last) = (to, to);
                continue;
            }
            PathEl::ClosePath => {
                all.extend(current.take().and_then(|contour| contour.finish(true, filled)));
                last = start;
                continue;
            }
            PathEl::LineTo(to) => pieces.push(Arc { from: last, to, bulge: 0.0 }),
            PathEl::QuadTo(control, to) => arcs::along(QuadBez::new(last, control, to).raise(), &mut pieces),
            PathEl::CurveTo(first, second, to) => arcs::along(CubicBez::new(last, first, second, to), &mut pieces),
        }
        let contour = current.get_or_insert_with(|| Contour::new(last));
        for piece in &pieces {
            contour.to(piece.to, piece.bulge);
            last = piece.to;
        }
    }
    all.extend(current.and_then(|contour| contour.finish(false, filled)));
    all
}

/// A place rounded to the decimals that are written.
fn written(place: Point) -> Point {
    Point::new(rounded(place.x, FINE), rounded(place.y, FINE))
}

fn rounded(value: f64, places: usize) -> f64 {
    let scale = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6][places.min(6)];
    let scaled = (value * scale).round() / scale;
    if scaled.is_finite() { scaled } else { value }
}

#[cfg(test)]
mod tests {
    use kurbo::{Circle, Shape};

    use super::*;
    use crate::artwork::{Group, Layer};
    use crate::units::Length;

    fn drawing(layers: Vec<Layer>) -> Drawing {
        Drawing { title: "A & B".into(), width: Length::mm(30.0), height: Length::mm(4.0), layers }
    }

    fn layer(kind: LayerKind, path: BezPath) -> Layer {
        Layer::new(kind, vec![Group::new(None, path)])
    }

    fn data(text: &str) -> BezPath {
        BezPath::from_svg(text).unwrap()
    }

    /// Each code beside its value, from one line to another.
    fn pairs(text: &str, from: &str, to: &str) -> String {
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len() % 2, 0);
        let all: Vec<String> = lines
            .chunks(2)
            .map(|pair| {
                assert_eq!(pair[0].len(), 3);
                format!("{} {}", pair[0].trim().parse::<u8>().unwrap(), pair[1])
            })
            .collect();
        let at = |line: &str| all.iter().position(|pair| pair == line).unwrap();
        all[at(from)..=at(to)].join("\n")
    }

    #[test]
    fn the_head_names_units_size_and_layers() {
        let text = dxf(&drawing(vec![layer(LayerKind::Ticks, data("M1 0H1.2V3H1Z"))]));
        insta::assert_snapshot!(pairs(&text, "2 HEADER", "2 LAYER"), @r"
        2 HEADER
        9 $ACADVER
        1 AC1009
        9 $INSUNITS
        70 4
        9 $MEASUREMENT
        70 1
        9 $EXTMIN
        10 1
        20 1
        30 0
        9 $EXTMAX
        10 1.2
        20 4
        30 0
        9 $LIMMIN
        10 0
        20 0
        9 $LIMMAX
        10 30
        20 4
        0 ENDSEC
        0 SECTION
        2 TABLES
        0 TABLE
        2 LTYPE
        70 1
        0 LTYPE
        2 CONTINUOUS
        70 0
        3 Solid line
        72 65
        73 0
        40 0
        0 ENDTAB
        0 TABLE
        2 LAYER
        ");
        let layers = pairs(&text, "2 LAYER", "2 ENTITIES");
        for (_, name, colour) in LAYERS {
            assert!(layers.contains(&format!("0 LAYER\n2 {name}\n70 0\n62 {colour}\n6 CONTINUOUS")), "{name}");
        }
    }

    #[test]
    fn contours_are_closed_lines_open_and_red_is_left_out() {
        let text = dxf(&drawing(vec![
            layer(LayerKind::Ticks, data("M1 0H1.2V3H1L1 0Z")),
            layer(LayerKind::Index, data("M5 0H6V1Z")).with_ink(Ink::Red),
            layer(LayerKind::Cut, data("M2 1L3 1L3.00001 1L3 2.5")).with_ink(Ink::Line(Length::mm(0.2))),
        ]));
        insta::assert_snapshot!(pairs(&text, "2 ENTITIES", "0 EOF"), @r"
        2 ENTITIES
        0 POLYLINE
        8 TICKS
        66 1
        70 1
        10 0
        20 0
        30 0
        0 VERTEX
        8 TICKS
        10 1
        20 4
        30 0
        0 VERTEX
        8 TICKS
        10 1.2
        20 4
        30 0
        0 VERTEX
        8 TICKS
        10 1.2
        20 1
        30 0
        0 VERTEX
        8 TICKS
        10 1
        20 1
        30 0
        0 SEQEND
        8 TICKS
        0 POLYLINE
        8 CUT
        66 1
        70 0
        10 0
        20 0
        30 0
        0 VERTEX
        8 CUT
        10 2
        20 3
        30 0
        0 VERTEX
        8 CUT
        10 3
        20 3
        30 0
        0 VERTEX
        8 CUT
        10 3
        20 1.5
        30 0
        0 SEQEND
        8 CUT
        0 ENDSEC
        0 EOF
        ");
    }

    #[test]
    fn a_circle_is_four_arcs() {
        let circle = Circle::new((3.0, 2.0), 1.0).to_path(1e-3);
        let contours = outline(&circle, true);
        assert_eq!(contours.len(), 1);
        assert_eq!(contours[0].corners.len(), 4);
        assert!(contours[0].corners.iter().all(|corner| (corner.bulge.abs() - 0.4142).abs() < 1e-3));
        let bounds = contours[0].pieces().map(|piece| piece.bounds()).reduce(|all, one| all.union(one)).unwrap();
        crate::check::assert_close(bounds.width(), 2.0, 1e-3);
    }

    #[test]
    fn what_has_no_extent_is_left_out() {
        for nothing in ["M1 1", "M1 1Z", "M1 1L1 1.00001L1 1Z", "M1 1L2 2L1 1Z", "M1 1L2 2"] {
            assert_eq!(outline(&data(nothing), true).len(), 0, "{nothing}");
        }
        assert_eq!(outline(&data("M1 1L1 1.00001"), false).len(), 0);
        assert_eq!(outline(&data("M1 1L2 2"), false).len(), 1);
    }

    #[test]
    fn a_contour_goes_on_from_its_start_after_it_was_closed() {
        let contours = outline(&data("M1 1L2 1L2 2ZL0 1L0 0Z"), true);
        let starts: Vec<Point> = contours.iter().map(|contour| contour.corners[0].at).collect();
        assert_eq!(starts, [Point::new(1.0, 1.0); 2]);
    }

    #[test]
    fn an_empty_drawing_extends_over_its_sheet() {
        assert!(pairs(&dxf(&drawing(vec![])), "9 $EXTMAX", "9 $LIMMIN").contains("10 30\n20 4"));
    }
}
