//! A small text setter: words of the shipped plain face become outlines, and lines break by measured widths.
//!
//! Sizes are heights of the digits in mm: 2.5 mm is about 10 pt of type. Words are set with their own kerning and one
//! width of space between them, so that a line is as long as its words say.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, Line as Segment, Point, Shape, Stroke, StrokeOpts};

use crate::lettering::{Face, Lettering, LetteringError};
use crate::units::Length;

/// Clear width between two words, in digit heights: the face's own space with the bearings at its sides, by eye.
const WORD_SPACE: f64 = 0.45;

/// Width of the line along the outlines of bold type, in digit heights; by eye, and counters stay open.
pub(super) const STRONG: f64 = 0.05;

/// Words as outlines, at digits 1 mm high.
pub(super) struct Type {
    lettering: Lettering,
    words: BTreeMap<String, (BezPath, f64)>,
}

impl Type {
    /// The shipped plain face.
    pub(super) fn new() -> Result<Type, LetteringError> {
        Ok(Type { lettering: Lettering::new(Face::plain(), Length::mm(1.0))?, words: BTreeMap::new() })
    }

    /// The text with what the face has: letters without the accents that it lacks, `?` for what is left.
    pub(super) fn printable(&self, text: &str) -> String {
        let mut out = String::new();
        for character in text.chars() {
            match character {
                ' '..='~' => out.push(character),
                space if space.is_whitespace() || space.is_control() => out.push(' '),
                known if self.lettering.line(known.encode_utf8(&mut [0; 4])).is_ok() => out.push(known),
                other => out.push_str(stand_in(other)),
            }
        }
        out
    }

    fn word(&mut self, word: &str) -> Result<&(BezPath, f64), LetteringError> {
        if !self.words.contains_key(word) {
            let line = self.lettering.line(&self.printable(word))?;
            self.words.insert(word.to_string(), (line.outline, line.width.to_mm()));
        }
        Ok(&self.words[word])
    }

    /// Width of a text in one line.
    pub(super) fn width(&mut self, text: &str, size: f64) -> Result<f64, LetteringError> {
        let mut width = 0.0;
        for (at, word) in text.split_whitespace().enumerate() {
            width += self.word(word)?.1 + if at > 0 { WORD_SPACE } else { 0.0 };
        }
        Ok(width * size)
    }

    /// Sets a text in one line on a baseline; `anchor` 0 for its left end, 0.5 for its middle, 1 for its right end.
    pub(super) fn put(
        &mut self,
        ink: &mut BezPath,
        text: &str,
        size: f64,
        at: Point,
        anchor: f64,
    ) -> Result<(), LetteringError> {
        let mut x = at.x - anchor * self.width(text, size)?;
        for word in text.split_whitespace() {
            let (outline, width) = self.word(word)?;
            ink.extend(Affine::translate((x, at.y)) * Affine::scale(size) * outline.clone());
            x += (width + WORD_SPACE) * size;
        }
        Ok(())
    }

    /// The text in lines no longer than `width`; what is longer than a line is broken anywhere.
    pub(super) fn lines(&mut self, text: &str, size: f64, width: f64) -> Result<Vec<String>, LetteringError> {
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in self.printable(text).split_whitespace() {
            let longer = if line.is_empty() { word.to_string() } else { format!("{line} {word}") };
            if self.width(&longer, size)? <= width {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for character in word.chars() {
                line.push(character);
                if line.chars().count() > 1 && self.width(&line, size)? > width {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, character.to_string()));
                }
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        Ok(lines)
    }

    /// As [`lines`](Self::lines), cut off with dots after so many lines.
    pub(super) fn lines_up_to(
        &mut self,
        most: usize,
        text: &str,
        size: f64,
        width: f64,
    ) -> Result<Vec<String>, LetteringError> {
        // no line holds more characters than this: beyond it nothing would be seen, and a long text costs time
        let beyond = most * (width / (0.1 * size)) as usize;
        let shown: String = text.chars().take(beyond).collect();
        let mut lines = self.lines(&shown, size, width)?;
        if lines.len() > most || shown.len() < text.len() {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                while !last.is_empty() && self.width(&format!("{last}..."), size)? > width {
                    last.pop();
                }
                last.push_str("...");
            }
        }
        Ok(lines)
    }
}

/// Adds a straight line of a width.
pub(super) fn rule(ink: &mut BezPath, from: (f64, f64), to: (f64, f64), width: f64) {
    outline(ink, &Segment::new(from, to).to_path(0.01), width);
}

/// Adds the line along a path.
pub(super) fn outline(ink: &mut BezPath, path: &BezPath, width: f64) {
    let stroke = Stroke::new(width).with_caps(kurbo::Cap::Butt).with_join(kurbo::Join::Miter);
    ink.extend(kurbo::stroke(path, &stroke, &StrokeOpts::default(), 0.005));
}

/// For a character that the face lacks: the letter without its accent, or `?`.
fn stand_in(character: char) -> &'static str {
    match character {
        'À'..='Å' | 'Ā' | 'Ă' | 'Ą' => "A",
        'Æ' => "AE",
        'Ç' | 'Ć' | 'Č' => "C",
        'Ď' | 'Đ' | 'Ð' => "D",
        'È'..='Ë' | 'Ē' | 'Ė' | 'Ę' | 'Ě' => "E",
        'Ğ' => "G",
        'Ì'..='Ï' | 'Ī' | 'İ' => "I",
        'Ł' => "L",
        'Ñ' | 'Ń' | 'Ň' => "N",
        'Ò'..='Ö' | 'Ø' | 'Ō' | 'Ő' => "O",
        'Œ' => "OE",
        'Ř' => "R",
        'Ś' | 'Ş' | 'Š' | 'Ș' => "S",
        'Ť' | 'Ț' => "T",
        'Ù'..='Ü' | 'Ū' | 'Ů' | 'Ű' => "U",
        'Ý' | 'Ÿ' => "Y",
        'Ź' | 'Ż' | 'Ž' => "Z",
        'à'..='å' | 'ā' | 'ă' | 'ą' => "a",
        'æ' => "ae",
        'ç' | 'ć' | 'č' => "c",
        'ď' | 'đ' | 'ð' => "d",
        'è'..='ë' | 'ē' | 'ė' | 'ę' | 'ě' => "e",
        'ğ' => "g",
        'ì'..='ï' | 'ī' | 'ı' => "i",
        'ł' => "l",
        'ñ' | 'ń' | 'ň' => "n",
        'ò'..='ö' | 'ø' | 'ō' | 'ő' => "o",
        'œ' => "oe",
        'ř' => "r",
        'ß' => "ss",
        'ś' | 'ş' | 'š' | 'ș' => "s",
        'ť' | 'ț' => "t",
        'ù'..='ü' | 'ū' | 'ů' | 'ű' => "u",
        'ý' | 'ÿ' => "y",
        'ź' | 'ż' | 'ž' => "z",
        '‘' | '’' => "'",
        '“' | '”' | '„' => "\"",
        '…' => "...",
        '‐' | '‑' | '−' => "-",
        '·' | '•' => ".",
        _ => "?",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_longer_than_its_width_and_no_word_is_lost() {
        let mut setter = Type::new().unwrap();
        let text = "Begin at infinity: lay that mark exactly on the index line, 264.2 × 11.0 mm, at 4′6″ and 20°.";
        for width in [200.0, 60.0, 25.0] {
            let lines = setter.lines(text, 2.5, width).unwrap();
            assert_eq!(lines.join(" "), text, "{width}");
            for line in &lines {
                let mut ink = BezPath::new();
                setter.put(&mut ink, line, 2.5, Point::ZERO, 0.0).unwrap();
                let box_ = ink.bounding_box();
                assert!(box_.x0 >= -1e-6 && box_.x1 <= width + 1e-6, "{line} is {} wide of {width}", box_.x1);
            }
        }
        assert!(setter.lines(text, 2.5, 25.0).unwrap().len() >= 5);
    }

    #[test]
    fn a_word_without_end_is_broken_and_a_text_without_end_cut_off() {
        let mut setter = Type::new().unwrap();
        let word = "W".repeat(100);
        let lines = setter.lines(&word, 2.5, 30.0).unwrap();
        assert_eq!(lines.concat(), word);
        let lines = setter.lines_up_to(2, &"ab cd ".repeat(100_000), 2.5, 30.0).unwrap();
        assert_eq!(lines.len(), 2);
        assert!(lines[1].ends_with("..."), "{lines:?}");
        assert!(setter.width(&lines[1], 2.5).unwrap() <= 30.0);
        assert_eq!(setter.lines_up_to(2, "short", 2.5, 30.0).unwrap(), ["short"]);
    }

    #[test]
    fn what_the_face_lacks_is_stood_in_for() {
        let setter = Type::new().unwrap();
        assert_eq!(setter.printable("Čř’s “Øé” 50\u{a0}mm – 4′6″ ∞ ½"), "Cr's \"Oe\" 50 mm – 4′6″ ∞ ½");
        assert_eq!(setter.printable("日\u{202e}\0\n"), "??  ");
    }
}
