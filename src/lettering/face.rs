//! Faces: a font file becomes glyph outlines, advances and pair kerning in font units, y up.
//!
//! The only file that knows the font reader. Static outlines alone are read: a variable font gives its default
//! instance, bitmap and colour glyphs are not seen. Features applied: `kern`, and on digits `lnum` and `pnum`
//! (lining and proportional figures) where the face has them.
//!
//! Source: OpenType specification 1.9, chapters GPOS (lookup type 2, pair adjustment), GSUB (lookup type 1, single
//! substitution) and kern; order of lookups and subtables from "OpenType Layout common table formats".

use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};
use std::sync::{Arc, LazyLock, Mutex};

use kurbo::{BezPath, PathEl, Point};
use ttf_parser::gpos::{PairAdjustment, PositioningSubtable};
use ttf_parser::gsub::{SingleSubstitution, SubstitutionSubtable};
use ttf_parser::opentype_layout::{LayoutTable, Lookup};
use ttf_parser::{FaceParsingError, GlyphId, OutlineBuilder, Tag};

use super::signs::fraction_digits;
use super::{LetteringError, Part};

/// How far from the origin an outline may reach, in em. Sound text faces stay below 4; damaged ones, with
/// transforms nested in each other, reach thousands. Chosen with room on both sides.
const FARTHEST_EM: f64 = 16.0;

/// Segments that one glyph may have. A digit has some 30, an ornament a few thousand; nested components of a damaged
/// file make millions.
const MOST_SEGMENTS: usize = 50_000;

/// How fine some characters of a face are, in numeral heights, as a check measures them; a test holds them to the outlines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fineness {
    /// The thinnest stroke.
    pub stroke: f64,
    /// The narrowest opening.
    pub gap: f64,
    /// The longer side of the smallest piece.
    pub dot: f64,
    /// The smallest hole.
    pub counter: f64,
}

/// How fine the characters of a shipped face are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaceFineness {
    /// The point and the digits of full stops: 1, 2, 4, 5, 6 and 8.
    pub stops: Fineness,
    /// All digits, point, infinity, primes, and the f and T of an iris.
    pub numbers: Fineness,
    /// The signs m and ft.
    pub signs: Fineness,
    /// Halves and quarters of an inch.
    pub fractions: Fineness,
}

const fn fineness(stroke: f64, gap: f64, dot: f64, counter: f64) -> Fineness {
    Fineness { stroke, gap, dot, counter }
}

impl FaceFineness {
    /// Of the plain face.
    pub const PLAIN: FaceFineness = FaceFineness {
        stops: fineness(0.0875, 0.0965, 0.174, 0.24),
        numbers: fineness(0.0825, 0.095, 0.174, 0.24),
        signs: fineness(0.0765, 0.077, 0.5, 0.6),
        fractions: fineness(0.0744, 0.073, 0.27, 0.27),
    };
    /// Of the bold face.
    pub const BOLD: FaceFineness = FaceFineness {
        stops: fineness(0.13, 0.0614, 0.214, 0.188),
        numbers: fineness(0.13, 0.0614, 0.214, 0.188),
        signs: fineness(0.105, 0.058, 0.5, 0.6),
        fractions: fineness(0.11, 0.0476, 0.27, 0.27),
    };
    /// Of the stencil face.
    pub const STENCIL: FaceFineness = FaceFineness {
        stops: fineness(0.13, 0.057, 0.277, 0.6),
        numbers: fineness(0.13, 0.0515, 0.277, 0.6),
        signs: fineness(0.12, 0.047, 0.45, 0.6),
        fractions: fineness(0.11, 0.0395, 0.24, 0.27),
    };
}

/// A typeface, ready to be set.
#[derive(Clone, Debug)]
pub struct Face {
    name: String,
    bytes: Cow<'static, [u8]>,
    /// Signs of the face that ours replace.
    redrawn: &'static str,
    /// Whether its counters are open, and ours have to be.
    stencil: bool,
    /// Characters that were drawn before, in font units: the same at every height, and fractions take a millisecond each.
    drawn: Arc<Mutex<HashMap<char, Arc<Part>>>>,
}

impl Face {
    /// The condensed technical sans that ships with the program; reads well from 2 mm upward.
    pub fn plain() -> Face {
        static FACE: LazyLock<Face> = LazyLock::new(|| Face {
            name: "Barlow Semi Condensed Medium".into(),
            bytes: Cow::Borrowed(include_bytes!("../../fonts/BarlowSemiCondensed-Medium.ttf")),
            // Its ∞ is small and light beside the digits, and its ′ has the advance of a word space.
            redrawn: "∞′″",
            stencil: false,
            drawn: Arc::default(),
        });
        FACE.clone()
    }

    /// The bold weight of the plain face, which ships with the program too; for what can be made only with stout strokes.
    pub fn bold() -> Face {
        static FACE: LazyLock<Face> = LazyLock::new(|| Face {
            name: "Barlow Semi Condensed Bold".into(),
            bytes: Cow::Borrowed(include_bytes!("../../fonts/BarlowSemiCondensed-Bold.ttf")),
            // as in the plain face
            redrawn: "∞′″",
            stencil: false,
            drawn: Arc::default(),
        });
        FACE.clone()
    }

    /// The stencil face that ships with the program; for large numerals that are cut.
    pub fn stencil() -> Face {
        static FACE: LazyLock<Face> = LazyLock::new(|| Face {
            name: "Saira Stencil One".into(),
            bytes: Cow::Borrowed(include_bytes!("../../fonts/SairaStencilOne-Regular.ttf")),
            // Its ″ runs into the digit before it. Its ∞ is half as stout as its digits, low, and open to both sides like "oc".
            redrawn: "∞′″",
            stencil: true,
            drawn: Arc::default(),
        });
        FACE.clone()
    }

    /// A face whose digits nobody has measured yet.
    pub(super) fn unmeasured(name: &str, bytes: Vec<u8>) -> Face {
        Face { name: name.into(), bytes: Cow::Owned(bytes), redrawn: "", stencil: false, drawn: Arc::default() }
    }

    /// The name of the face.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Whether it is a stencil: its counters are open.
    pub(super) fn is_stencil(&self) -> bool {
        self.stencil
    }

    /// Characters that were drawn before.
    pub(super) fn drawn(&self) -> &Mutex<HashMap<char, Arc<Part>>> {
        &self.drawn
    }

    /// Opens the face: finds its tables.
    pub(super) fn open(&self) -> Result<OpenFace<'_>, LetteringError> {
        let not_a_font = |reason: String| LetteringError::NotAFont { face: self.name.clone(), reason };
        if self.bytes.starts_with(b"wOF") {
            return Err(not_a_font("it is compressed for the web".into()));
        }
        let face = ttf_parser::Face::parse(&self.bytes, 0).map_err(|error| match error {
            FaceParsingError::UnknownMagic => not_a_font("it does not begin as a font file does".into()),
            _ => not_a_font(error.to_string()),
        })?;
        let kern = face.tables().gpos.map(|gpos| lookups(&gpos, b"kern")).unwrap_or_default();
        Ok(OpenFace { name: &self.name, redrawn: self.redrawn, face, kern })
    }
}

/// A glyph of an open face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Glyph(GlyphId);

/// A face whose tables have been found.
pub(super) struct OpenFace<'a> {
    name: &'a str,
    redrawn: &'static str,
    face: ttf_parser::Face<'a>,
    /// Pair adjustment lookups, in the order in which they apply.
    kern: Vec<Lookup<'a>>,
}

impl OpenFace<'_> {
    /// The name of the face.
    pub(super) fn name(&self) -> &str {
        self.name
    }

    /// Font units to the em.
    pub(super) fn em(&self) -> f64 {
        f64::from(self.face.units_per_em())
    }

    /// The glyph for a character, a digit as a lining, proportional figure. `None` when the face has none, or a sign
    /// that ours replaces.
    pub(super) fn glyph(&self, character: char) -> Option<Glyph> {
        if self.redrawn.contains(character) || fraction_digits(character).is_some() {
            return None;
        }
        let glyph = self.face.glyph_index(character).filter(|id| id.0 != 0).map(Glyph)?;
        if !character.is_ascii_digit() {
            return Some(glyph);
        }
        Some([b"lnum", b"pnum"].iter().fold(glyph, |glyph, feature| self.substitute(feature, glyph)))
    }

    /// The glyph that a single-substitution feature puts in place of another.
    fn substitute(&self, feature: &[u8; 4], glyph: Glyph) -> Glyph {
        let Some(gsub) = self.face.tables().gsub else { return glyph };
        lookups(&gsub, feature).iter().fold(glyph, |glyph, lookup| {
            let mut subtables = lookup.subtables.into_iter::<SubstitutionSubtable>();
            let found = subtables.find_map(|subtable| match subtable {
                SubstitutionSubtable::Single(SingleSubstitution::Format1 { coverage, delta }) => {
                    coverage.get(glyph.0).map(|_| GlyphId(glyph.0.0.wrapping_add_signed(delta)))
                }
                SubstitutionSubtable::Single(SingleSubstitution::Format2 { coverage, substitutes }) => {
                    coverage.get(glyph.0).and_then(|index| substitutes.get(index))
                }
                _ => None,
            });
            found.map_or(glyph, Glyph)
        })
    }

    /// From the glyph's origin to that of the next, without kerning.
    pub(super) fn advance(&self, glyph: Glyph) -> f64 {
        f64::from(self.face.glyph_hor_advance(glyph.0).unwrap_or(0))
    }

    /// The closed contours of a glyph, empty only for white space. `character` is for the message.
    pub(super) fn outline(&self, glyph: Glyph, character: char) -> Result<BezPath, LetteringError> {
        let mut pen = Pen { reach: FARTHEST_EM * self.em(), ..Pen::default() };
        let whole = self.face.outline_glyph(glyph.0, &mut pen).is_some();
        pen.end_contour();
        if pen.damaged || pen.elements.is_empty() == whole || pen.elements.is_empty() != character.is_whitespace() {
            return Err(LetteringError::DamagedGlyph { face: self.name.into(), character });
        }
        Ok(BezPath::from_vec(pen.elements))
    }

    /// What is added to the advance of `left` when `right` follows, mostly negative; `None` where the face says nothing of
    /// the pair.
    ///
    /// Every lookup adds its value; in a lookup the first subtable that holds the pair counts. The `kern` table is
    /// asked only when GPOS has no kerning.
    pub(super) fn kerning(&self, left: Glyph, right: Glyph) -> Option<f64> {
        let sum = |sum: Option<f64>, value: i16| Some(sum.unwrap_or(0.0) + f64::from(value));
        if !self.kern.is_empty() {
            return self.kern.iter().filter_map(|lookup| pair_value(lookup, left.0, right.0)).fold(None, sum);
        }
        let kern = self.face.tables().kern?;
        let usable = kern.subtables.into_iter().filter(|t| t.horizontal && !t.has_cross_stream && !t.variable);
        usable.filter_map(|t| t.glyphs_kerning(left.0, right.0)).fold(None, sum)
    }
}

/// The lookups of a feature for Latin text, else of the default script, each once and in the table's order.
fn lookups<'a>(table: &LayoutTable<'a>, feature: &[u8; 4]) -> Vec<Lookup<'a>> {
    let scripts = [b"latn", b"DFLT"].into_iter().find_map(|tag| table.scripts.find(Tag::from_bytes(tag)));
    let Some(language) = scripts.or(table.scripts.get(0)).and_then(|script| script.default_language) else {
        return Vec::new();
    };
    let features = language.feature_indices.into_iter().filter_map(|index| table.features.get(index));
    let wanted = features.filter(|found| found.tag == Tag::from_bytes(feature));
    let indices: BTreeSet<u16> = wanted.flat_map(|found| found.lookup_indices).collect();
    indices.into_iter().filter_map(|index| table.lookups.get(index)).collect()
}

/// The change of `left`'s advance in the first subtable that holds the pair. Class 0 is what no class names: a zero there
/// says nothing.
fn pair_value(lookup: &Lookup, left: GlyphId, right: GlyphId) -> Option<i16> {
    let found = lookup.subtables.into_iter::<PositioningSubtable>().find_map(|subtable| {
        let PositioningSubtable::Pair(pair) = subtable else { return None };
        let index = pair.coverage().get(left)?;
        match pair {
            PairAdjustment::Format1 { sets, .. } => Some(Some(sets.get(index)?.get(right)?.0.x_advance)),
            PairAdjustment::Format2 { classes, matrix, .. } => {
                let class = classes.1.get(right);
                let value = matrix.get((classes.0.get(left), class))?.0.x_advance;
                Some((class != 0 || value != 0).then_some(value))
            }
        }
    });
    found.flatten()
}

/// Collects contours: each begins with a move, ends closed, has no empty closing line, and stays within `reach`.
#[derive(Default)]
struct Pen {
    elements: Vec<PathEl>,
    start: Option<Point>,
    reach: f64,
    damaged: bool,
}

impl Pen {
    fn point(&mut self, x: f32, y: f32) -> Point {
        let point = Point::new(f64::from(x), f64::from(y));
        // A NaN is not within reach either.
        self.damaged |= !(point.x.abs() <= self.reach && point.y.abs() <= self.reach);
        point
    }

    fn push(&mut self, element: PathEl) {
        self.damaged |= self.start.is_none() || self.elements.len() >= MOST_SEGMENTS;
        if !self.damaged {
            self.elements.push(element);
        }
    }

    fn end_contour(&mut self) {
        let Some(start) = self.start.take() else { return };
        while self.elements.last() == Some(&PathEl::LineTo(start)) {
            self.elements.pop();
        }
        match self.elements.last() {
            Some(PathEl::MoveTo(_)) => {
                self.elements.pop();
            }
            Some(_) => self.elements.push(PathEl::ClosePath),
            None => {}
        }
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.end_contour();
        let point = self.point(x, y);
        self.start = Some(point);
        self.push(PathEl::MoveTo(point));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let point = self.point(x, y);
        self.push(PathEl::LineTo(point));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (control, point) = (self.point(x1, y1), self.point(x, y));
        self.push(PathEl::QuadTo(control, point));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (first, second, point) = (self.point(x1, y1), self.point(x2, y2), self.point(x, y));
        self.push(PathEl::CurveTo(first, second, point));
    }

    fn close(&mut self) {
        self.end_contour();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    /// Digits of the plain face, tabular by default with a `pnum` feature, and a legacy `kern` table.
    fn tabular() -> Face {
        Face::from_bytes("tabular", include_bytes!("../../tests/fonts/tabular-kern.ttf").to_vec()).unwrap()
    }

    fn kerning(face: &Face, pair: [char; 2]) -> f64 {
        let open = face.open().unwrap();
        let [left, right] = pair.map(|character| open.glyph(character).unwrap());
        open.kerning(left, right).unwrap_or(0.0)
    }

    #[test]
    fn pair_kerning_is_what_other_readers_find() {
        // Read from the subset files with fontTools 4.68 (sum over lookups, first subtable that holds the pair), and
        // the same from shaping with HarfBuzz through uharfbuzz.
        let (plain, stencil) = (Face::plain(), Face::stencil());
        for (face, pair, expected) in [
            (&plain, ['4', '1'], -71.0), // format 1
            (&plain, ['4', '7'], -47.0), // format 1
            (&plain, ['7', '.'], -52.0), // format 2
            (&plain, ['A', 'V'], -50.0), // format 2 of the second lookup
            (&plain, ['.', '0'], -35.0), // in both lookups
            (&plain, ['T', '5'], 0.0),
            (&stencil, ['7', '.'], -127.0), // format 1
            (&stencil, ['T', 'o'], -30.0),  // format 1 of the second lookup
            (&stencil, ['A', 'V'], -40.0),  // format 2
            (&stencil, ['4', '1'], 0.0),
        ] {
            assert_eq!(kerning(face, pair), expected, "{pair:?} in {}", face.name());
        }
    }

    #[test]
    fn damaged_kerning_never_panics() {
        let whole = Face::plain().bytes.into_owned();
        let number = |at: usize| u32::from_be_bytes(whole[at..at + 4].try_into().unwrap()) as usize;
        let entry = (12..).step_by(16).find(|at| &whole[*at..at + 4] == b"GPOS").unwrap();
        let (start, length) = (number(entry + 8), number(entry + 12));
        let mut changed = 0;
        for at in start..start + length {
            for flip in [0x40, 0xFF] {
                let mut bytes = whole.clone();
                bytes[at] ^= flip;
                let face = Face {
                    name: "damaged".into(),
                    bytes: Cow::Owned(bytes),
                    redrawn: "",
                    stencil: false,
                    drawn: Arc::default(),
                };
                let open = face.open().expect("kerning is no reason to refuse a face");
                let glyphs = "0147.fT".chars().map(|character| open.glyph(character).unwrap());
                let glyphs: Vec<Glyph> = glyphs.collect();
                let pairs = glyphs.iter().flat_map(|left| glyphs.iter().map(move |right| (*left, *right)));
                let sum: f64 = pairs.filter_map(|(left, right)| open.kerning(left, right)).sum();
                // -366 is the sum over these pairs in the whole file, read with fontTools 4.68.
                changed += usize::from(sum != -366.0);
            }
        }
        assert!(changed > 100, "only {changed} changes were seen");
    }

    #[test]
    fn a_kern_table_serves_where_gpos_has_no_kerning() {
        assert_eq!(kerning(&tabular(), ['7', '.']), -61.0);
        assert_eq!(kerning(&tabular(), ['4', '1']), 0.0);
    }

    #[test]
    fn digits_are_proportional_in_a_face_that_has_tabular_ones_by_default() {
        let (plain, tabular) = (Face::plain(), tabular());
        let (plain, tabular) = (plain.open().unwrap(), tabular.open().unwrap());
        for digit in '0'..='9' {
            let (expected, found) = (plain.glyph(digit).unwrap(), tabular.glyph(digit).unwrap());
            assert_eq!(tabular.advance(found), plain.advance(expected), "{digit}");
        }
        let advance = |feature| {
            let digits = ['0', '1', '4'].map(|digit| plain.substitute(feature, plain.glyph(digit).unwrap()));
            digits.map(|glyph| plain.advance(glyph))
        };
        let [zero, one, four] = advance(b"tnum");
        assert!(zero == one && one == four, "tabular digits of {zero}, {one} and {four}");
        let [zero, one, four] = advance(b"none");
        assert!(zero > four && four > one, "proportional digits of {zero}, {one} and {four}");
    }

    #[test]
    fn cubics_are_kept() {
        let cubic = include_bytes!("../../tests/fonts/digits-cubic.otf").to_vec();
        let (cubic, plain) = (Face::from_bytes("cubic", cubic).unwrap(), Face::plain());
        let outline = |face: &Face| {
            let open = face.open().unwrap();
            open.outline(open.glyph('0').unwrap(), '0').unwrap()
        };
        let (cubic, plain) = (outline(&cubic), outline(&plain));
        let has = |path: &BezPath, kind: fn(&PathEl) -> bool| path.elements().iter().any(kind);
        assert!(has(&cubic, |element| matches!(element, PathEl::CurveTo(..))));
        assert!(has(&plain, |element| matches!(element, PathEl::QuadTo(..))));
        assert!(!has(&plain, |element| matches!(element, PathEl::CurveTo(..))));
        // The cubic file is the plain face converted with an error of at most half a unit, points rounded to units.
        use kurbo::Shape;
        let (cubic, plain) = (cubic.bounding_box(), plain.bounding_box());
        for (actual, expected) in
            [(cubic.x0, plain.x0), (cubic.y0, plain.y0), (cubic.x1, plain.x1), (cubic.y1, plain.y1)]
        {
            assert_close(actual, expected, 1.0);
        }
    }

    #[test]
    fn an_outline_out_of_reach_is_damage_and_a_contour_without_area_is_dropped() {
        let mut pen = Pen { reach: 100.0, ..Pen::default() };
        pen.move_to(1.0, 1.0);
        pen.line_to(1.0, 1.0);
        pen.close();
        pen.move_to(0.0, 0.0);
        pen.line_to(10.0, 0.0);
        pen.line_to(10.0, 10.0);
        pen.line_to(0.0, 0.0);
        pen.close();
        assert!(!pen.damaged);
        assert_eq!(BezPath::from_vec(pen.elements).to_svg(), "M0,0 L10,0 L10,10 Z");
        for wild in [101.0, -101.0, f32::NAN, f32::INFINITY] {
            let mut pen = Pen { reach: 100.0, ..Pen::default() };
            pen.move_to(0.0, 0.0);
            pen.line_to(wild, 0.0);
            assert!(pen.damaged, "{wild}");
        }
        let mut pen = Pen { reach: 100.0, ..Pen::default() };
        pen.line_to(1.0, 1.0);
        assert!(pen.damaged);
    }
}
