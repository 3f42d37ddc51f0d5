//! Lettering: a text becomes filled outlines, or lines for a tool, in millimetres, at a stated height of the digits.
//!
//! A [`Face`] comes with the program or from a font file. A [`Lettering`] is a face at one numeral height, that of
//! the flat digits (1, 4, 7), so that round ones overshoot as drawn; or it is the single-line face for one tool, whose
//! digits are all as high as the ink that the tool leaves. A [`Line`] has its baseline at y = 0, y running
//! down as in the artwork, and its ink begins at x = 0; its width is that of the ink, without side bearings.
//! Contours are filled with the non-zero rule and may overlap. Signs that a face lacks (∞ ′ ″) and all fractions are drawn.
//! A label stands over its tick with the optical middle of its digits; primes and units hang beyond them ([`Reach`]).
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
mod spacing;

pub use error::LetteringError;
pub use face::{Face, FaceFineness, Fineness};

use face::{Glyph, OpenFace};
use measure::Measures;
use spacing::{Class, Profile, Rhythm};

/// Numeral heights in mm. Lower ones could not be read; higher ones fit no ring and come from a mistaken unit.
const NUMERAL_HEIGHTS_MM: std::ops::RangeInclusive<f64> = 0.1..=100.0;

/// Room between words for a face without a space, in digit heights.
const WORD_SPACE: f64 = 0.3;

/// Room added between a whole number and its fraction, in digit heights: without it 1½ reads as 11⁄2.
const BEFORE_FRACTION: f64 = 0.1;

/// What hangs beyond the last digit: it says what is counted and takes no part in where a numeral stands. "2′6″" stands with the
/// middle of 2′6 over its tick: the digits on both sides of the first prime are what is read.
const HANGING: [&str; 10] = ["′", "″", "'", "\"", "°", "m", "cm", "mm", "ft", "in"];

/// Breaks of a stencil's strokes, in digit heights: wider than the 0.06 of the shipped face, whose breaks are the first thing to
/// close.
const STENCIL_BREAK: f64 = 0.09;

/// The widest tool, in numeral heights: a wider one fills the bowls of the digits.
const WIDEST_TOOL: f64 = 0.25;

/// A face at one numeral height.
#[derive(Clone, Debug)]
pub struct Lettering {
    numeral_height: Length,
    form: Form,
    /// Texts that were set before: choosing marks measures the same few hundred labels many times.
    known: Arc<Mutex<HashMap<String, Measured>>>,
}

/// Width of a text's ink, and its optical middle from where it begins.
#[derive(Clone, Copy, Debug)]
struct Measured {
    width: Length,
    middle: Length,
}

/// How far the ink of a label reaches to both sides of what it belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// To the left of it, the text upright.
    pub left: Length,
    /// To the right.
    pub right: Length,
}

/// The most texts that are kept; a whole set of labels is a tenth of it.
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
    rhythm: Rhythm,
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
    /// From the beginning of the ink to the optical middle of its digits, without the primes or the unit that hang beyond them:
    /// what stands over a tick.
    pub middle: Length,
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
        let outlines = Outlines::new(face, numeral_height)?;
        Ok(Lettering { numeral_height, form: Form::Outlines(outlines), known: Arc::default() })
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
            Ok(Lettering { numeral_height, form: Form::Lines(tool), known: Arc::default() })
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
                let outline = outlines.part(&open, character)?.outline.clone();
                // as it is cut: in mm, upright with y down
                let (as_cut, scale) = (Affine::scale_non_uniform(outlines.scale, -outlines.scale), outlines.scale);
                if let Ok(bridged) = region::bridged(&(as_cut * outline), width) {
                    all.insert(character, Affine::scale_non_uniform(1.0 / scale, -1.0 / scale) * bridged);
                }
            }
            outlines.bridged = all;
            self.known = Arc::default();
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

    /// Sets a text in one line, with the face's own pair kerning, else by how far the outlines look apart. A text without ink
    /// gives an empty outline.
    ///
    /// # Errors
    /// When neither the face nor our own signs have a character, or a glyph is damaged.
    pub fn line(&self, text: &str) -> Result<Line, LetteringError> {
        let (drawn, scale, tool) = self.drawn(text)?;
        if drawn.is_empty() {
            let none = Length::ZERO;
            return Ok(Line { outline: drawn, width: none, middle: none, ascent: none, descent: none });
        }
        let inked = |path: &BezPath| path.bounding_box().inflate(0.5 * tool, 0.5 * tool);
        let ink_box = inked(&drawn);
        // what hangs comes last, so that the rest stands as it does alone
        let standing = match standing(text) {
            whole if whole.len() == text.len() => drawn.clone(),
            standing => self.drawn(standing)?.0,
        };
        let heights = inked(&standing);
        let middle = spacing::optical_middle(&standing, (heights.y0, heights.y1), tool);
        let middle = middle.unwrap_or(ink_box.center().x) - ink_box.x0;
        Ok(Line {
            outline: Affine::new([scale, 0.0, 0.0, -scale, -ink_box.x0 * scale, 0.0]) * drawn,
            width: Length::mm(ink_box.width() * scale),
            middle: Length::mm(middle.clamp(0.0, ink_box.width()) * scale),
            ascent: Length::mm(ink_box.y1 * scale),
            descent: Length::mm(-ink_box.y0 * scale),
        })
    }

    /// A text y up in a unit of so many millimetres, and the width of the tool that follows it in that unit.
    fn drawn(&self, text: &str) -> Result<(BezPath, f64, f64), LetteringError> {
        match &self.form {
            Form::Outlines(outlines) => Ok((outlines.text(text)?, outlines.scale, 0.0)),
            Form::Lines(tool) => {
                let tool = *tool / self.numeral_height;
                Ok((single_line::text(text, tool)?, self.numeral_height.to_mm(), tool))
            }
        }
    }
}

/// A text without the primes or the unit that hang beyond its last digit.
fn standing(text: &str) -> &str {
    let counts = |character: &char| character.is_ascii_digit() || signs::fraction_digits(*character).is_some();
    let last = text.char_indices().rfind(|(_, character)| counts(character));
    let Some((standing, hanging)) = last.and_then(|(at, character)| text.split_at_checked(at + character.len_utf8()))
    else {
        return text;
    };
    if HANGING.contains(&hanging.trim()) { standing } else { text }
}

impl Lettering {
    /// The width of a text's ink, as [`Lettering::line`] sets it.
    ///
    /// # Errors
    /// As for [`Lettering::line`].
    pub fn width(&self, text: &str) -> Result<Length, LetteringError> {
        Ok(self.measured(text)?.width)
    }

    /// How far a label reaches to both sides of its tick, where its optical middle stands over it.
    ///
    /// # Errors
    /// As for [`Lettering::line`].
    pub fn reach(&self, text: &str) -> Result<Reach, LetteringError> {
        let Measured { width, middle } = self.measured(text)?;
        Ok(Reach { left: middle, right: width - middle })
    }

    fn measured(&self, text: &str) -> Result<Measured, LetteringError> {
        if let Some(known) = locked(&self.known).get(text) {
            return Ok(*known);
        }
        let Line { width, middle, .. } = self.line(text)?;
        let measured = Measured { width, middle };
        let mut known = locked(&self.known);
        if known.len() >= REMEMBERED {
            known.clear();
        }
        known.insert(text.to_string(), measured);
        Ok(measured)
    }
}

/// A panic of another thread cannot leave such a map half changed.
fn locked<T>(map: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    map.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

impl Outlines {
    fn new(face: Face, numeral_height: Length) -> Result<Outlines, LetteringError> {
        let open = face.open()?;
        let measures = Measures::of(&open)?;
        let spaced = |character: char| -> Result<Option<(Profile, f64)>, LetteringError> {
            let Some(glyph) = open.glyph(character) else { return Ok(None) };
            let profile = Profile::of(&open.outline(glyph, character)?, measures.digit_height);
            Ok(Some((profile, open.advance(glyph) / measures.digit_height)))
        };
        let digits: Vec<_> = ('0'..='9').map(spaced).collect::<Result<_, _>>()?;
        let digits: Vec<_> = digits.into_iter().flatten().collect();
        // a damaged point is told when a text needs it
        let rhythm = Rhythm::of(&digits, spaced('.').ok().flatten().as_ref());
        drop(open);
        let scale = numeral_height.to_mm() / measures.digit_height;
        Ok(Outlines { face, measures, rhythm, scale, bridged: HashMap::new() })
    }

    /// A text in font units, y up.
    fn text(&self, text: &str) -> Result<BezPath, LetteringError> {
        let face = self.face.open()?;
        let mut ink = BezPath::new();
        let mut x = 0.0;
        let mut previous: Option<Arc<Part>> = None;
        let height = self.measures.digit_height;
        for character in text.chars() {
            let part = self.part(&face, character)?;
            if let Some(left) = &previous {
                let fraction = (left.class, part.class) == (Class::Digit, Class::Fraction);
                let room = if fraction { BEFORE_FRACTION * height } else { 0.0 };
                let known = left.glyph.zip(part.glyph).and_then(|(left, right)| face.kerning(left, right));
                x += room
                    + known.unwrap_or_else(|| {
                        let apart = (left.advance + room) / height;
                        height * self.rhythm.kerning((left.class, &left.profile), (part.class, &part.profile), apart)
                    });
            }
            let outline = self.bridged.get(&character).unwrap_or(&part.outline);
            ink.extend(Affine::translate((x, 0.0)) * outline.clone());
            x += part.advance;
            previous = Some(part);
        }
        Ok(ink)
    }

    fn part(&self, face: &OpenFace, character: char) -> Result<Arc<Part>, LetteringError> {
        if let Some(part) = locked(self.face.drawn()).get(&character) {
            return Ok(part.clone());
        }
        let (glyph, outline, advance) = self.piece(face, character)?;
        let profile = Profile::of(&outline, self.measures.digit_height);
        let part = Arc::new(Part { glyph, outline, advance, class: Class::of(character), profile });
        locked(self.face.drawn()).insert(character, part.clone());
        Ok(part)
    }

    /// Glyph, outline and advance of a character: the face's, or drawn by us.
    fn piece(&self, face: &OpenFace, character: char) -> Result<(Option<Glyph>, BezPath, f64), LetteringError> {
        let missing = |character| LetteringError::MissingGlyph { face: face.name().into(), character };
        if let Some(glyph) = face.glyph(character) {
            return Ok((Some(glyph), face.outline(glyph, character)?, face.advance(glyph)));
        }
        if character == ' ' {
            return Ok((None, BezPath::new(), WORD_SPACE * self.measures.digit_height));
        }
        let digit = |digit| face.outline(face.glyph(digit).ok_or_else(|| missing(digit))?, digit);
        let sign = signs::draw(character, &self.measures, digit)?.ok_or_else(|| missing(character))?;
        let outline = if self.face.is_stencil() { self.stencilled(sign.outline) } else { sign.outline };
        Ok((None, outline, sign.advance))
    }
}

impl Outlines {
    /// A sign of ours with the breaks of a stencil, where it has counters.
    fn stencilled(&self, outline: BezPath) -> BezPath {
        /// The sign's height in mm when it is cut, which the micrometres of a region suit.
        const CUT_AT: f64 = 10.0;
        let scale = CUT_AT / self.measures.digit_height;
        let upright = Affine::scale_non_uniform(scale, -scale);
        match region::bridged(&(upright * outline.clone()), Length::mm(STENCIL_BREAK * CUT_AT)) {
            Ok(cut) => upright.inverse() * cut,
            Err(_) => outline,
        }
    }
}

/// One character in font units, y up.
#[derive(Debug)]
struct Part {
    /// `None` for a sign that is not of the face: the face's kerning does not know it.
    glyph: Option<Glyph>,
    outline: BezPath,
    advance: f64,
    class: Class,
    profile: Profile,
}

#[cfg(test)]
mod tests;
