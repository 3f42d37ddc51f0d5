//! Small texts on a sheet, in the set's face where it has the letters.

use kurbo::{Affine, BezPath};

use crate::lettering::{Face, Lettering, Line};
use crate::units::Length;

/// Height of the digits and, nearly, of the capitals, mm.
pub(super) const TEXT: f64 = 2.4;

/// Sets texts.
pub(super) struct Words<'a> {
    lettering: &'a Lettering,
    plain: Option<Lettering>,
}

impl<'a> Words<'a> {
    pub(super) fn new(lettering: &'a Lettering) -> Self {
        Words { lettering, plain: Lettering::new(Face::plain(), Length::mm(TEXT)).ok() }
    }

    /// A text of this height. A face of numerals only is replaced by the plain one, and a character that this lacks by a
    /// question mark, so that a lens's name never prevents printing.
    pub(super) fn set(&self, text: &str, height: f64) -> Text {
        let scaled = |line: Line, lettering: &Lettering| {
            let scale = height / lettering.numeral_height().to_mm();
            Text {
                outline: Affine::scale(scale) * line.outline,
                width: scale * line.width.to_mm(),
                ascent: scale * line.ascent.to_mm(),
                descent: scale * line.descent.to_mm(),
            }
        };
        if let Ok(line) = self.lettering.line(text) {
            return scaled(line, self.lettering);
        }
        let Some(plain) = &self.plain else { return Text::default() };
        let known = |c: char| if plain.line(c.encode_utf8(&mut [0; 4])).is_ok() { c } else { '?' };
        plain
            .line(&text.chars().map(known).collect::<String>())
            .map_or_else(|_| Text::default(), |line| scaled(line, plain))
    }
}

/// A text in mm: baseline at y = 0, ink from x = 0.
#[derive(Default)]
pub(super) struct Text {
    pub(super) outline: BezPath,
    pub(super) width: f64,
    pub(super) ascent: f64,
    pub(super) descent: f64,
}

impl Text {
    /// The outline with its anchor at a point: 0 the left end, 0.5 the middle, 1 the right end.
    pub(super) fn at(&self, x: f64, y: f64, anchor: f64) -> BezPath {
        Affine::translate((x - anchor * self.width, y)) * &self.outline
    }
}
