//! Rulers: two small ones on every sheet that tell whether it was printed at true size, and a sheet of two long ones
//! from which a printer's length error is found.

use kurbo::{Affine, BezPath, Point, Vec2};

use super::ground::{BAND, FOOTER_GAP, FOOTER_LINE, Ground, footer};
use super::words::{TEXT, Words};
use super::{Page, Paper, SheetError};
use crate::artwork::{Drawing, Group, Ink, Layer, LayerKind};
use crate::lettering::Lettering;
use crate::units::Length;

/// True length of the ruler sheet's line along the paper's long side.
pub const RULER_LONG: Length = Length::mm(240.0);
/// True length of the ruler sheet's line along the paper's short side. Both lines fit A4 and Letter alike.
pub const RULER_SHORT: Length = Length::mm(180.0);

/// Width of all lines, mm: on a wider one half a division of a caliper's vernier could not be read.
const LINE: f64 = 0.15;

/// The rulers and the footer of sheet `number` of `count`, at true size.
pub(super) fn control(ground: &Ground, page: &Page, words: &Words, (number, count): (usize, usize)) -> [Layer; 2] {
    let room = ground.room;
    let mut ink = Marking::default();
    let aside = 1.8;
    let across = Rule { length: ground.rulers.0, end: (0.0, 3.0), ten: 1.4, fifty: 2.0 };
    let corner = Point::new(room.x0, room.y1 + aside);
    across.draw(&mut ink.lines, corner, Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
    let label = |length: f64| words.set(&format!("{length:.0} mm"), TEXT);
    let baseline = 2.0 + 0.8 + TEXT;
    ink.text(label(across.length).at(corner.x + 0.5 * across.length, corner.y + baseline, 0.5));

    let down = Rule { length: ground.rulers.1, ..across };
    let corner = Point::new(room.x0 - aside, room.y1);
    down.draw(&mut ink.lines, corner, Vec2::new(0.0, -1.0), Vec2::new(-1.0, 0.0));
    let upward = Affine::translate((corner.x - 2.8, corner.y - 0.5 * down.length)) * UPWARD;
    ink.text(upward * label(down.length).at(0.0, 0.0, 0.5));

    let text = words.set(&footer(page, (number, count)), TEXT);
    let below = if ground.footer_below { BAND + FOOTER_LINE } else { BAND };
    let left = if ground.footer_below { room.x0 } else { room.x0 + across.length + FOOTER_GAP };
    // a title longer than the sheet is set smaller
    let fits = ((room.x1 - left) / text.width.max(1e-9)).min(1.0);
    ink.text(Affine::translate((left, room.y1 + below - 0.9)) * Affine::scale(fits) * text.outline);
    ink.layers()
}

/// A sheet with two long lines, for finding a printer's length error on each axis.
///
/// The long line lies along the paper's long side; on square paper and on a roll, from left to right.
///
/// # Errors
/// When the paper has no room for them.
pub fn ruler(paper: Paper, lettering: &Lettering) -> Result<Drawing, SheetError> {
    let (long, short) = (RULER_LONG.to_mm(), RULER_SHORT.to_mm());
    let (size, across, down) = match (paper.sides(), paper) {
        (Some((a, b)), _) if a == b => ((b.to_mm(), a.to_mm()), long, short),
        (Some((a, b)), _) => ((a.to_mm(), b.to_mm()), short, long),
        (None, Paper::Roll { width }) => ((long + 30.0, width.to_mm()), long, short),
        (None, _) => ((0.0, 0.0), long, short),
    };
    // below the line across stand its ticks and numbers
    let (between, foot, margin) = (8.0, 9.0, 6.0);
    if size.0 < across + 2.0 * margin || size.1 < down + between + foot + 2.0 * margin {
        return Err(SheetError::PaperTooSmall { room: (size.0 - 2.0 * margin, size.1 - 2.0 * margin) });
    }
    let words = Words::new(lettering);
    let mut ink = Marking::default();
    let corner = Point::new(0.5 * (size.0 - across), 0.5 * (size.1 + down - between - foot));
    let rule = |length| Rule { length, end: (2.0, 6.0), ten: 2.5, fifty: 4.0 };
    rule(down).draw(&mut ink.lines, corner, Vec2::new(0.0, -1.0), Vec2::new(1.0, 0.0));
    let bottom = corner + Vec2::new(0.0, between);
    rule(across).draw(&mut ink.lines, bottom, Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
    let numbers = |length: f64| (1..).map(|k| 50.0 * f64::from(k)).take_while(move |&at| at < length - 20.0);
    for at in numbers(across).chain([across]) {
        ink.text(words.set(&format!("{at:.0}"), TEXT).at(bottom.x + at, bottom.y + 6.0 + TEXT, 0.5));
    }
    for at in numbers(down).chain([down]) {
        ink.text(words.set(&format!("{at:.0}"), TEXT).at(corner.x + 7.0, corner.y - at + 0.5 * TEXT, 0.0));
    }

    let left = corner.x + 24.0;
    let mut y = corner.y - down + 26.0;
    let mut line = |text: &str, height: f64, inward: f64, after: f64| {
        ink.text(words.set(text, height).at(left + inward, y, 0.0));
        y += after;
    };
    line("Ruler", 7.0, 0.0, 13.0);
    line("1. Print this sheet at 100 %, with no fitting to the page.", 3.2, 0.0, 8.0);
    line("2. Measure both lines from end tick to end tick, to 0.1 mm.", 3.2, 0.0, 8.0);
    line("3. Write both lengths into the set file, as in this example:", 3.2, 0.0, 10.0);
    line("[process.film]", 3.2, 6.0, 6.5);
    line("ruler_long = \"239.2 mm\"", 3.2, 6.0, 6.5);
    line("ruler_short = \"180.4 mm\"", 3.2, 6.0, 14.0);
    line(&format!("The long line is truly {long:.0} mm, the short one {short:.0} mm."), 2.8, 0.0, 5.5);
    line("Use the film, the tray and the print settings that the scales will have.", 2.8, 0.0, 0.0);

    let (width, height) = (Length::mm(size.0), Length::mm(size.1));
    Ok(Drawing { title: "ruler".to_string(), width, height, layers: ink.layers().to_vec() })
}

/// Text that is read upward; exact, where a rotation would round.
const UPWARD: Affine = Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]);

/// A line with end ticks and a tick every 10 mm.
#[derive(Clone, Copy)]
struct Rule {
    length: f64,
    /// How far the end ticks reach beyond the line and to the ticks' side.
    end: (f64, f64),
    ten: f64,
    fifty: f64,
}

impl Rule {
    /// Draws it from its zero `along` one way, with its ticks to the `side`.
    fn draw(&self, lines: &mut BezPath, zero: Point, along: Vec2, side: Vec2) {
        let mut draw = |from: Point, to: Point| {
            lines.move_to(from);
            lines.line_to(to);
        };
        draw(zero, zero + along * self.length);
        let tens = (0.1 * self.length).round() as usize;
        for k in 0..=tens {
            let at = zero + along * (10.0 * k as f64);
            let (beyond, length) = match k {
                _ if k == 0 || k == tens => self.end,
                _ if k % 5 == 0 => (0.0, self.fifty),
                _ => (0.0, self.ten),
            };
            draw(at - side * beyond, at + side * length);
        }
    }
}

/// Lines and texts of a page, a layer each.
#[derive(Default)]
struct Marking {
    lines: BezPath,
    texts: Vec<Group>,
}

impl Marking {
    fn text(&mut self, outline: BezPath) {
        self.texts.push(Group::new(None, outline));
    }

    fn layers(self) -> [Layer; 2] {
        let lines = vec![Group::new(None, self.lines)];
        [
            Layer::new(LayerKind::Guide, lines).with_ink(Ink::Line(Length::mm(LINE))),
            Layer::new(LayerKind::Guide, self.texts),
        ]
    }
}
