//! What can be wrong with a face or a text.

use std::fmt;

use crate::units::Length;

/// Why a text cannot be set.
#[derive(Clone, Debug, PartialEq)]
pub enum LetteringError {
    /// The bytes are no font that can be read.
    NotAFont {
        /// The name the face was given.
        face: String,
        /// What the reader found wrong.
        reason: String,
    },
    /// The digits cannot serve as numerals.
    UnusableDigits {
        /// The name of the face.
        face: String,
        /// What is wrong with them.
        reason: String,
    },
    /// The outline of one glyph is damaged.
    DamagedGlyph {
        /// The name of the face.
        face: String,
        /// The character that stands for the glyph.
        character: char,
    },
    /// The face has no glyph for a character.
    MissingGlyph {
        /// The name of the face.
        face: String,
        /// The character.
        character: char,
    },
    /// No numerals can be made at this height.
    NumeralHeight {
        /// The height that was asked for.
        height: Length,
    },
    /// A tool cannot write numerals of this height.
    Tool {
        /// Width of the tool.
        tool: Length,
        /// The height that was asked for.
        height: Length,
        /// Width of the widest tool that can.
        widest: Length,
    },
}

impl fmt::Display for LetteringError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LetteringError::NotAFont { face, reason } => {
                write!(f, "{face} cannot be read as a font: {reason} (choose a .ttf, .otf or .ttc file)")
            }
            LetteringError::UnusableDigits { face, reason } => {
                write!(f, "the digits of {face} cannot serve as numerals: {reason} (choose another font file)")
            }
            LetteringError::DamagedGlyph { face, character } => {
                write!(f, "the outline of {} in {face} is damaged (choose another font file)", Named(*character))
            }
            LetteringError::MissingGlyph { face, character } => {
                write!(f, "{face} has no glyph for {} (choose a font file that has it)", Named(*character))
            }
            LetteringError::NumeralHeight { height } => {
                write!(f, "numerals cannot be {height} high (heights from 0.1 mm to 100 mm are allowed)")
            }
            LetteringError::Tool { tool, height, widest } => write!(
                f,
                "a tool {tool} wide cannot write numerals {height} high (it has to be wider than nothing and at most \
                 {widest}; choose a finer tool or higher numerals)"
            ),
        }
    }
}

impl std::error::Error for LetteringError {}

/// A character as people and programs name it; an invisible one only by its number.
struct Named(char);

impl fmt::Display for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = u32::from(self.0);
        if self.0.is_control() || self.0.is_whitespace() {
            write!(f, "U+{number:04X}")
        } else {
            write!(f, "`{}` (U+{number:04X})", self.0)
        }
    }
}
