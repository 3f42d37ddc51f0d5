//! Lettering: a text becomes filled outlines, or lines for a tool, in millimetres, at a stated height of the digits.
//!
//! A [`Face`] comes with the program or from a font file. A [`Lettering`] is a face at one numeral height, that of
//! the flat digits (1, 4, 7), so that round ones overshoot as drawn; or it is the single-line face for one tool, whose
//! digits are all as high as the ink that the tool leaves. A [`Line`] has its baseline at y = 0, y running
//! down as in the artwork, and its ink begins at x = 0; its width is that of the ink, without side bearings.
//! Contours are filled with the non-zero rule and may overlap. Signs that a face lacks (∞ ′ ″ ½ ¼ ¾) are drawn.
//! Not done here: breaking lines, joining contours, setting text on an arc.
//!
//! ```
//! use ringwright::lettering::{Face, Lettering};
//! use ringwright::units::Length;
//!
//! let numerals = Lettering::new(Face::plain(), Length::mm(2.4)).unwrap();
//! assert!(numerals.width("11").unwrap() < numerals.width("0.45").unwrap());
//! ```

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use kurbo::{Affine, BezPath, Shape};

use crate::region;
use crate::units::Length;

mod error;
mod face;
mod measure;
mod signs;
mod single_line;

pub use error::LetteringError;
pub use face::{Face, FaceFineness, Fineness};

use face::{Glyph, OpenFace};
use measure::Measures;

/// Numeral heights in mm. Lower ones could not be read; higher ones fit no ring and come from a mistaken unit.
const NUMERAL_HEIGHTS_MM: std::ops::RangeInclusive<f64> = 0.1..=100.0;

/// Room between words for a face without a space, in digit heights.
const WORD_SPACE: f64 = 0.3;

/// Room added between a whole number and its fraction, in digit heights: without it 1½ reads as 11⁄2.
const BEFORE_FRACTION: f64 = 0.06;

/// The widest tool, in numeral heights: a wider one fills the bowls of the digits.
const WIDEST_TOOL: f64 = 0.25;

/// A face at one numeral height.
#[derive(Clone, Debug)]
pub struct Lettering {
    numeral_height: Length,
    form: Form,
    /// Widths of texts that were set before: choosing marks measures the same few hundred labels many times.
    widths: Arc<Mutex<HashMap<String, Length>>>,
}

/// The most widths that are kept; a whole set of labels is a tenth of it.
const REMEMBERED: usize = 10_000;

#[derive(Clone, Debug)]
enum Form {
    /// Filled outlines of a font.
    Outlines(Outlines),
    /// Lines for a tool of this width.
    Lines(Length),
}

#[derive(Clone, Debug)]
struct Outlines {
    face: Face,
    measures: Measures,
    /// Millimetres to the font unit.
    scale: f64,
    /// Outlines with bridges, of the characters that have them.
    bridged: HashMap<char, BezPath>,
}

/// A text as one outline to be filled, or as lines to be followed.
#[derive(Clone, Debug)]
pub struct Line {
    /// In mm, y down, baseline at y = 0, ink beginning at x = 0. Closed contours of the ink where a font is set; open
    /// lines along its middle where [`Lettering::tool`] says how wide the tool is that follows them.
    pub outline: BezPath,
    /// Width of the ink.
    pub width: Length,
    /// How far the ink reaches above the baseline.
    pub ascent: Length,
    /// How far the ink reaches below the baseline; negative when it ends above.
    pub descent: Length,
}

impl Face {
    /// A face from the bytes of a TrueType or OpenType file, or the first face of a collection; `name` is for
    /// messages.
    ///
    /// # Errors
    /// When the bytes are no such file, or its digits have no usable outlines.
    pub fn from_bytes(name: &str, bytes: Vec<u8>) -> Result<Face, LetteringError> {
        let face = Face::unmeasured(name, bytes);
        Measures::of(&face.open()?)?;
        Ok(face)
    }
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
        Ok(Lettering {
            numeral_height,
            form: Form::Outlines(Outlines { face, measures, scale, bridged: HashMap::new() }),
            widths: Arc::default(),
        })
    }

    /// The single-line face for a tool that leaves lines of the width `tool`; the ink of its digits is
    /// `numeral_height` high.
    ///
    /// # Errors
    /// When the height is none that can be read, or the tool is wider than a quarter of it.
    pub fn lines(numeral_height: Length, tool: Length) -> Result<Lettering, LetteringError> {
        if !NUMERAL_HEIGHTS_MM.contains(&numeral_height.to_mm()) {
            return Err(LetteringError::NumeralHeight { height: numeral_height });
        }
        let share = tool / numeral_height;
        if share > 0.0 && share <= WIDEST_TOOL + 1e-9 {
            Ok(Lettering { numeral_height, form: Form::Lines(tool), widths: Arc::default() })
        } else {
            Err(LetteringError::Tool { tool, height: numeral_height, widest: numeral_height * WIDEST_TOOL })
        }
    }

    /// The same lettering with bridges of a width in those of `characters` whose counters take them, so that no counter
    /// is a separate island. Lettering of lines has no counters.
    ///
    /// # Errors
    /// When the face lacks one of the characters.
    pub fn with_bridges(mut self, width: Length, characters: &str) -> Result<Lettering, LetteringError> {
        if let Form::Outlines(outlines) = &mut self.form {
            let open = outlines.face.open()?;
            let mut all = HashMap::new();
            for character in characters.chars() {
                let outline = outlines.piece(&open, character)?.outline;
                // as it is cut: in mm, upright with y down
                let (as_cut, scale) = (Affine::scale_non_uniform(outlines.scale, -outlines.scale), outlines.scale);
                if let Ok(bridged) = region::bridged(&(as_cut * outline), width) {
                    all.insert(character, Affine::scale_non_uniform(1.0 / scale, -1.0 / scale) * bridged);
                }
            }
            outlines.bridged = all;
            self.widths = Arc::default();
        }
        Ok(self)
    }

    /// Width of the tool that follows the lines; `None` where outlines are filled.
    pub fn tool(&self) -> Option<Length> {
        match self.form {
            Form::Outlines(_) => None,
            Form::Lines(tool) => Some(tool),
        }
    }

    /// The height of the flat digits.
    pub fn numeral_height(&self) -> Length {
        self.numeral_height
    }

    /// Sets a text in one line, with the face's own pair kerning. A text without ink gives an empty outline.
    ///
    /// # Errors
    /// When neither the face nor our own signs have a character, or a glyph is damaged.
    pub fn line(&self, text: &str) -> Result<Line, LetteringError> {
        let (drawn, scale, tool) = match &self.form {
            Form::Outlines(outlines) => (outlines.text(text)?, outlines.scale, 0.0),
            Form::Lines(tool) => {
                let height = self.numeral_height.to_mm();
                let tool = *tool / self.numeral_height;
                (single_line::text(text, tool)?, height, tool)
            }
        };
        if drawn.is_empty() {
            return Ok(Line { outline: drawn, width: Length::ZERO, ascent: Length::ZERO, descent: Length::ZERO });
        }
        let ink_box = drawn.bounding_box().inflate(0.5 * tool, 0.5 * tool);
        Ok(Line {
            outline: Affine::new([scale, 0.0, 0.0, -scale, -ink_box.x0 * scale, 0.0]) * drawn,
            width: Length::mm(ink_box.width() * scale),
            ascent: Length::mm(ink_box.y1 * scale),
            descent: Length::mm(-ink_box.y0 * scale),
        })
    }
}

impl Lettering {
    /// The width of a text's ink, as [`Lettering::line`] sets it.
    ///
    /// # Errors
    /// As for [`Lettering::line`].
    pub fn width(&self, text: &str) -> Result<Length, LetteringError> {
        // a panic of another thread cannot leave the widths half changed
        let widths = || self.widths.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(width) = widths().get(text) {
            return Ok(*width);
        }
        let width = self.line(text)?.width;
        let mut widths = widths();
        if widths.len() >= REMEMBERED {
            widths.clear();
        }
        widths.insert(text.to_string(), width);
        Ok(width)
    }
}

impl Outlines {
    /// A text in font units, y up.
    fn text(&self, text: &str) -> Result<BezPath, LetteringError> {
        let face = self.face.open()?;
        let mut ink = BezPath::new();
        let mut x = 0.0;
        let mut previous: Option<Glyph> = None;
        let mut after_digit = false;
        for character in text.chars() {
            let mut piece = self.piece(&face, character)?;
            if let Some(bridged) = self.bridged.get(&character) {
                piece.outline = bridged.clone();
            }
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
        Ok(ink)
    }

    fn piece(&self, face: &OpenFace, character: char) -> Result<Part, LetteringError> {
        let missing = |character| LetteringError::MissingGlyph { face: face.name().into(), character };
        if let Some(glyph) = face.glyph(character) {
            let (outline, advance) = (face.outline(glyph, character)?, face.advance(glyph));
            return Ok(Part { glyph: Some(glyph), outline, advance });
        }
        if character == ' ' {
            let advance = WORD_SPACE * self.measures.digit_height;
            return Ok(Part { glyph: None, outline: BezPath::new(), advance });
        }
        let digit = |digit| face.outline(face.glyph(digit).ok_or_else(|| missing(digit))?, digit);
        let sign = signs::draw(character, &self.measures, digit)?.ok_or_else(|| missing(character))?;
        Ok(Part { glyph: None, outline: sign.outline, advance: sign.advance })
    }
}

/// One character's ink in font units, y up.
struct Part {
    /// `None` for a sign that is not of the face: it is not kerned.
    glyph: Option<Glyph>,
    outline: BezPath,
    advance: f64,
}

#[cfg(test)]
mod tests;
