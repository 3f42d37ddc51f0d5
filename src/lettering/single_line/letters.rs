//! Letters of texts that stand in place of numbers: capitals, and what words of units need.
//!
//! Lines meet at 38 degrees or more where that can be: in narrower corners the land crumbles. W and Z have narrower ones.

use super::{BOWL, OPEN, Pen, UPRIGHT, X_HEIGHT};

/// The strokes of a letter at height 1, and the white beside it; `None` for what is no letter here.
pub(super) fn letter(character: char, pen: &mut Pen) -> Option<(f64, f64)> {
    let r = 0.27;
    Some(match character {
        'A' => {
            pen.start(0.0, 0.0).line(0.29, 1.0).line(0.58, 0.0);
            pen.start(0.1, 0.34).line(0.48, 0.34);
            (OPEN, OPEN)
        }
        'B' => {
            pen.start(0.0, 0.52)
                .line(0.0, 1.0)
                .line(0.26, 1.0)
                .arc(0.26, 0.76, 0.24, 0.24, 90.0, -90.0)
                .line(0.0, 0.52);
            pen.line(0.0, 0.0).line(0.27, 0.0).arc(0.27, 0.26, 0.26, 0.26, -90.0, 90.0);
            (UPRIGHT, BOWL)
        }
        'C' => {
            pen.arc(r, 1.0 - r, r, r, 20.0, 180.0).line(0.0, r).arc(r, r, r, r, 180.0, 340.0);
            (BOWL, OPEN)
        }
        'D' => {
            let r = 0.3;
            pen.start(0.0, 0.0).line(0.0, 1.0).line(0.24, 1.0).arc(0.24, 1.0 - r, r, r, 90.0, 0.0);
            pen.line(0.24 + r, r).arc(0.24, r, r, r, 0.0, -90.0).line(0.0, 0.0);
            (UPRIGHT, BOWL)
        }
        'E' => {
            pen.start(0.46, 1.0).line(0.0, 1.0).line(0.0, 0.0).line(0.46, 0.0);
            pen.start(0.0, 0.52).line(0.38, 0.52);
            (UPRIGHT, OPEN)
        }
        'F' => {
            pen.start(0.46, 1.0).line(0.0, 1.0).line(0.0, 0.0);
            pen.start(0.0, 0.52).line(0.38, 0.52);
            (UPRIGHT, OPEN)
        }
        'G' => {
            pen.arc(r, 1.0 - r, r, r, 20.0, 180.0).line(0.0, r).arc(r, r, r, r, 180.0, 360.0);
            pen.line(2.0 * r, 0.46).line(0.32, 0.46);
            (BOWL, UPRIGHT)
        }
        'I' => {
            pen.start(0.0, 0.0).line(0.0, 1.0);
            (UPRIGHT, UPRIGHT)
        }
        'J' => {
            let r = 0.21;
            pen.start(2.0 * r, 1.0).line(2.0 * r, r).arc(r, r, r, r, 0.0, -165.0);
            (OPEN, UPRIGHT)
        }
        'K' => {
            pen.start(0.0, 0.0).line(0.0, 1.0);
            pen.start(0.5, 1.0).line(0.0, 0.42);
            pen.start(0.17, 0.617).line(0.52, 0.0);
            (UPRIGHT, OPEN)
        }
        'L' => {
            pen.start(0.0, 1.0).line(0.0, 0.0).line(0.44, 0.0);
            (UPRIGHT, OPEN)
        }
        'M' => {
            pen.start(0.0, 0.0).line(0.0, 1.0).line(0.37, 0.54).line(0.74, 1.0).line(0.74, 0.0);
            (UPRIGHT, UPRIGHT)
        }
        'N' => {
            pen.start(0.0, 0.0).line(0.0, 1.0);
            pen.start(0.0, 0.87).line(0.58, 0.13);
            pen.start(0.58, 1.0).line(0.58, 0.0);
            (UPRIGHT, UPRIGHT)
        }
        'O' | 'Q' => {
            let (r, width) = (0.29, 0.58);
            pen.start(0.0, 0.5).line(0.0, 1.0 - r).arc(r, 1.0 - r, r, r, 180.0, 0.0);
            pen.line(width, r).arc(r, r, r, r, 0.0, -180.0).line(0.0, 0.5);
            if character == 'Q' {
                pen.start(0.34, 0.24).line(0.6, 0.0);
            }
            (BOWL, BOWL)
        }
        'P' | 'R' => {
            let r = 0.26;
            pen.start(0.0, 0.0).line(0.0, 1.0).line(0.26, 1.0).arc(0.26, 1.0 - r, r, r, 90.0, -90.0);
            pen.line(0.0, 1.0 - 2.0 * r);
            if character == 'R' {
                pen.start(0.24, 1.0 - 2.0 * r).line(0.53, 0.0);
            }
            (UPRIGHT, BOWL)
        }
        'S' => {
            let r = 0.25;
            pen.arc(r, 1.0 - r, r, r, 25.0, 270.0).arc(r, r, r, r, 90.0, -155.0);
            (BOWL, BOWL)
        }
        'U' => {
            pen.start(0.0, 1.0).line(0.0, r).arc(r, r, r, r, 180.0, 360.0).line(2.0 * r, 1.0);
            (UPRIGHT, UPRIGHT)
        }
        'V' => {
            pen.start(0.0, 1.0).line(0.36, 0.0).line(0.72, 1.0);
            (OPEN, OPEN)
        }
        'W' => {
            pen.start(0.0, 1.0).line(0.21, 0.0).line(0.42, 0.7).line(0.63, 0.0).line(0.84, 1.0);
            (OPEN, OPEN)
        }
        'X' => {
            pen.start(0.0, 0.0).line(0.54, 1.0);
            pen.start(0.0, 1.0).line(0.54, 0.0);
            (OPEN, OPEN)
        }
        'Y' => {
            pen.start(0.0, 1.0).line(0.28, 0.48).line(0.56, 1.0);
            pen.start(0.28, 0.48).line(0.28, 0.0);
            (OPEN, OPEN)
        }
        'Z' => {
            pen.start(0.0, 1.0).line(0.52, 1.0).line(0.0, 0.0).line(0.54, 0.0);
            (OPEN, OPEN)
        }
        'i' => {
            pen.start(0.0, 0.0).line(0.0, X_HEIGHT);
            pen.start(0.0, 0.94).line(0.0, 1.0);
            (UPRIGHT, UPRIGHT)
        }
        'n' => {
            let r = 0.19;
            pen.start(0.0, 0.0).line(0.0, X_HEIGHT - r).arc(r, X_HEIGHT - r, r, r, 180.0, 0.0).line(2.0 * r, 0.0);
            (UPRIGHT, UPRIGHT)
        }
        _ => return None,
    })
}
