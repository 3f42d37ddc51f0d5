//! What strips are laid out on.

use std::fmt;
use std::str::FromStr;

use crate::units::Length;

/// A sheet or a roll. Sizes: ISO 216 (A series), US Letter 8.5 in by 11 in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Paper {
    /// 210 mm by 297 mm.
    A4,
    /// 297 mm by 420 mm.
    A3,
    /// 8.5 in by 11 in.
    Letter,
    /// A cutting mat of 12 in by 12 in.
    Mat,
    /// As long as it needs to be.
    Roll {
        /// Across the roll.
        width: Length,
    },
    /// A sheet of any other size.
    Custom {
        /// One side.
        width: Length,
        /// The other.
        height: Length,
    },
}

impl Paper {
    /// The short and the long side; `None` for a roll.
    pub fn sides(self) -> Option<(Length, Length)> {
        let (a, b) = match self {
            Paper::A4 => (210.0, 297.0),
            Paper::A3 => (297.0, 420.0),
            Paper::Letter => (215.9, 279.4),
            Paper::Mat => (304.8, 304.8),
            Paper::Roll { .. } => return None,
            Paper::Custom { width, height } => (width.to_mm().min(height.to_mm()), width.to_mm().max(height.to_mm())),
        };
        Some((Length::mm(a), Length::mm(b)))
    }
}

impl fmt::Display for Paper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Paper::A4 => f.write_str("A4"),
            Paper::A3 => f.write_str("A3"),
            Paper::Letter => f.write_str("Letter"),
            Paper::Mat => f.write_str("mat"),
            Paper::Roll { width } => write!(f, "roll {width}"),
            Paper::Custom { width, height } => write!(f, "{width} x {height}"),
        }
    }
}

/// A text that names no paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperError {
    text: String,
}

impl fmt::Display for PaperError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "\"{}\" is no paper; A4, A3, Letter, mat, a roll (\"roll 300 mm\") or two sides (\"200 mm x 250 mm\") are",
            self.text
        )
    }
}

impl std::error::Error for PaperError {}

impl FromStr for Paper {
    type Err = PaperError;

    /// Reads `A4`, `A3`, `Letter`, `mat`, `roll 300 mm` or `200 mm x 250 mm`.
    fn from_str(text: &str) -> Result<Self, PaperError> {
        let refused = || PaperError { text: text.to_string() };
        let side = |text: &str| {
            let length: Length = text.trim().parse().map_err(|_| refused())?;
            if length.to_mm() > 0.0 { Ok(length) } else { Err(refused()) }
        };
        let lower = text.trim().to_lowercase();
        match lower.as_str() {
            "a4" => return Ok(Paper::A4),
            "a3" => return Ok(Paper::A3),
            "letter" => return Ok(Paper::Letter),
            "mat" => return Ok(Paper::Mat),
            _ => {}
        }
        if let Some(width) = lower.strip_prefix("roll ") {
            return Ok(Paper::Roll { width: side(width)? });
        }
        let (width, height) = lower.split_once(['x', '×']).ok_or_else(refused)?;
        Ok(Paper::Custom { width: side(width)?, height: side(height)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paper_is_read_as_it_is_written() {
        let custom = Paper::Custom { width: Length::mm(200.0), height: Length::mm(250.5) };
        for paper in [Paper::A4, Paper::A3, Paper::Letter, Paper::Mat, Paper::Roll { width: Length::mm(300.0) }, custom]
        {
            assert_eq!(paper.to_string().parse(), Ok(paper));
        }
        assert_eq!("10 in × 20 in".parse::<Paper>().unwrap().to_string(), "254 mm x 508 mm");
    }

    #[test]
    fn what_is_no_paper_is_refused() {
        for text in ["A9", "roll", "roll 0 mm", "200 x 300", "-1 mm x 20 mm"] {
            assert!(text.parse::<Paper>().is_err(), "{text}");
        }
        insta::assert_snapshot!("A9".parse::<Paper>().unwrap_err(), @r#""A9" is no paper; A4, A3, Letter, mat, a roll ("roll 300 mm") or two sides ("200 mm x 250 mm") are"#);
    }
}
