//! Lettering: a text becomes filled outlines in millimetres, at a stated height of the digits.
//!
//! A [`Face`] comes with the program or from a font file. A [`Lettering`] is a face at one numeral height, that of
//! the flat digits (1, 4, 7), so that round ones overshoot as drawn. A [`Line`] has its baseline at y = 0, y running
//! down as in the artwork, and its ink begins at x = 0; its width is that of the ink, without side bearings.
//! Contours are filled with the non-zero rule and may overlap. Signs that a face lacks (∞ ′ ″ ½ ¼ ¾) are drawn.
//! Not done here: breaking lines, joining contours, setting text on an arc.

use kurbo::{Affine, BezPath, Shape};

use crate::units::Length;

mod error;
mod face;
mod measure;
mod signs;

pub use error::LetteringError;
pub use face::Face;

use face::{Glyph, OpenFace};
use measure::Measures;

/// Numeral heights in mm. Below, nothing could be read; above, no ring is wide enough and a unit was mistaken.
const NUMERAL_HEIGHTS_MM: std::ops::RangeInclusive<f64> = 0.1..=100.0;

/// Room between words for a face without a space, in digit heights.
const WORD_SPACE: f64 = 0.3;

/// Room added between a whole number and its fraction, in digit heights: without it 1½ reads as 11⁄2.
const BEFORE_FRACTION: f64 = 0.06;

/// A face at one numeral height.
#[derive(Clone, Debug)]
pub struct Lettering {
    face: Face,
    measures: Measures,
    numeral_height: Length,
    /// Millimetres to the font unit.
    scale: f64,
}

/// A text as one filled outline.
#[derive(Clone, Debug)]
pub struct Line {
    /// Closed contours in mm, y down, baseline at y = 0, ink beginning at x = 0.
    pub outline: BezPath,
    /// Width of the ink.
    pub width: Length,
    /// How far the ink reaches above the baseline.
    pub ascent: Length,
    /// How far the ink reaches below the baseline; negative when it ends above.
    pub descent: Length,
}

impl Lettering {
    /// Sets `face` so that its flat digits are `numeral_height` high.
    ///
    /// # Errors
    /// When the height is none that can be read, or the face's digits have no usable outlines.
    pub fn new(face: Face, numeral_height: Length) -> Result<Lettering, LetteringError> {
        if !NUMERAL_HEIGHTS_MM.contains(&numeral_height.to_mm()) {
            return Err(LetteringError::NumeralHeight { height: numeral_height });
        }
        let measures = Measures::of(&face.open()?)?;
        let scale = numeral_height.to_mm() / measures.digit_height;
        Ok(Lettering { face, measures, numeral_height, scale })
    }

    /// The face.
    pub fn face(&self) -> &Face {
        &self.face
    }

    /// The height of the flat digits.
    pub fn numeral_height(&self) -> Length {
        self.numeral_height
    }

    /// Sets a text in one line, with the face's own pair kerning. A text without ink gives an empty outline.
    ///
    /// # Errors
    /// When the face lacks a character that is not drawn here either, or one of its glyphs is damaged.
    pub fn line(&self, text: &str) -> Result<Line, LetteringError> {
        let face = self.face.open()?;
        let mut ink = BezPath::new();
        let mut x = 0.0;
        let mut previous: Option<Glyph> = None;
        let mut after_digit = false;
        for character in text.chars() {
            let piece = self.piece(&face, character)?;
            if let (Some(left), Some(right)) = (previous, piece.glyph) {
                x += face.kerning(left, right);
            }
            if after_digit && matches!(character, '½' | '¼' | '¾') {
                x += BEFORE_FRACTION * self.measures.digit_height;
            }
            after_digit = character.is_ascii_digit();
            ink.extend(Affine::translate((x, 0.0)) * piece.outline);
            x += piece.advance;
            previous = piece.glyph;
        }
        if ink.is_empty() {
            return Ok(Line { outline: ink, width: Length::ZERO, ascent: Length::ZERO, descent: Length::ZERO });
        }
        let (ink_box, scale) = (ink.bounding_box(), self.scale);
        Ok(Line {
            outline: Affine::new([scale, 0.0, 0.0, -scale, -ink_box.x0 * scale, 0.0]) * ink,
            width: Length::mm(ink_box.width() * scale),
            ascent: Length::mm(ink_box.y1 * scale),
            descent: Length::mm(-ink_box.y0 * scale),
        })
    }

    fn piece(&self, face: &OpenFace, character: char) -> Result<Piece, LetteringError> {
        let missing = |character| LetteringError::MissingGlyph { face: face.name().into(), character };
        if let Some(glyph) = face.glyph(character) {
            let (outline, advance) = (face.outline(glyph, character)?, face.advance(glyph));
            return Ok(Piece { glyph: Some(glyph), outline, advance });
        }
        if character == ' ' {
            let advance = WORD_SPACE * self.measures.digit_height;
            return Ok(Piece { glyph: None, outline: BezPath::new(), advance });
        }
        let digit = |digit| face.outline(face.glyph(digit).ok_or_else(|| missing(digit))?, digit);
        let sign = signs::draw(character, &self.measures, digit)?.ok_or_else(|| missing(character))?;
        Ok(Piece { glyph: None, outline: sign.outline, advance: sign.advance })
    }
}

/// One character's ink in font units, y up.
struct Piece {
    /// `None` for what the face does not have: it is not kerned.
    glyph: Option<Glyph>,
    outline: BezPath,
    advance: f64,
}

#[cfg(test)]
mod tests;
