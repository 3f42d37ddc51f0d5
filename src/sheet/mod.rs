//! Strips are laid out on pages: packed, named, with control rulers, at a length that comes out true.
//!
//! Takes finished strips and what they are printed or cut on; gives one drawing a sheet, in mm, with where each strip
//! lies on it. Whatever is added (names, rulers, letters at a cut) stands outside the strips, as guides. A strip
//! longer than the sheet lies on its diagonal, or is divided between its marks.
//!
//! Everything is laid out at true size; at the end the page is drawn shorter or longer by what the printer adds or
//! takes on each of its axes. The page keeps the paper's size, so the margin is measured on the page as drawn.
//!
//! Boxes are packed by the guillotine method (J. Jylänki, "A Thousand Ways to Pack the Bin", 2010), which leaves cuts
//! that go right across: those of a paper trimmer.
//!
//! ```
//! use ringwright::sheet::Paper;
//!
//! let a4: Paper = "A4".parse().unwrap();
//! assert_eq!(a4.sides().map(|(short, long)| (short.to_mm(), long.to_mm())), Some((210.0, 297.0)));
//! assert!("roll 300 mm".parse::<Paper>().is_ok());
//! ```

mod diagonal;
mod divide;
mod ground;
mod pack;
mod paper;
mod piece;
mod ruler;
mod words;

pub use paper::{Paper, PaperError};
pub use ruler::{RULER_LONG, RULER_SHORT, ruler};

use std::fmt;

use kurbo::{Affine, Point, Rect};

use crate::artwork::{Drawing, Group, Layer, Strip};
use crate::lettering::Lettering;
use crate::units::Length;

use ground::Ground;
use piece::SheetPiece;
use words::Words;

/// One strip, disc or row of plates, and how often it is wanted.
#[derive(Clone, Debug)]
pub struct Item {
    /// What is written beside it: `Granite 50, focus`.
    pub name: String,
    /// What is laid out.
    pub strip: Strip,
    /// How many of it.
    pub copies: usize,
}

/// What strips are laid out on, and how.
#[derive(Clone, Debug)]
pub struct Page {
    /// The sheet.
    pub paper: Paper,
    /// Width along the paper's edges that stays empty. Office printers do not print to the edge; 6 mm is common
    /// practice, no source.
    pub margin: Length,
    /// Clear width between two items.
    pub gap: Length,
    /// What a printed length measures as a share of its true length, along the paper's long and its short side. Along
    /// a roll is its long side; on square paper, from left to right.
    pub printed: (f64, f64),
    /// What the footer begins with: the set's name.
    pub title: String,
    /// What the footer ends with.
    pub advice: String,
}

impl Page {
    /// The usual settings on a paper.
    pub fn new(paper: Paper) -> Self {
        Page {
            paper,
            margin: Length::mm(6.0),
            gap: Length::mm(3.0),
            printed: (1.0, 1.0),
            title: String::new(),
            advice: "print at 100 %".to_string(),
        }
    }
}

/// Where one copy of an item, or one part of it, lies.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The item's place in the list that was laid out.
    pub item: usize,
    /// Which of its copies, from 0.
    pub copy: usize,
    /// Which of how many parts, from 0; `None` when it is whole.
    pub part: Option<(usize, usize)>,
    /// The item's own drawing → the sheet as drawn.
    pub place: Affine,
    /// The box round it, name and all (a bent strip on the diagonal lies inside the sheet, its box need not), before [`turn`](Self::turn) and what the printer is allowed for.
    pub bounds: Rect,
    /// The box's own axes → the sheet as drawn.
    pub turn: Affine,
}

impl Placed {
    /// The corners of its box on the sheet as drawn.
    pub fn corners(&self) -> [Point; 4] {
        let Rect { x0, y0, x1, y1 } = self.bounds;
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|corner| self.turn * Point::from(corner))
    }
}

/// One page.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// What is drawn, of the paper's size.
    pub drawing: Drawing,
    /// What lies on it.
    pub placed: Vec<Placed>,
    /// Share of the room for items that no item's box covers, on the diagonal no item's convex hull.
    pub waste: f64,
}

/// All pages, with notes for the user.
#[derive(Clone, Debug)]
pub struct Sheets {
    /// The pages in order.
    pub sheets: Vec<Sheet>,
    /// One sentence for every strip that does not lie on its sheet as it is.
    pub notes: Vec<String>,
}

/// Why items cannot be laid out.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetError {
    /// Between its margins and rulers the paper has no room.
    PaperTooSmall {
        /// What is left for items, across and down, mm.
        room: (f64, f64),
    },
    /// A length error that no printer has.
    NoScale {
        /// What was given.
        printed: f64,
    },
    /// Something without marks that go round a ring, which cannot be divided.
    TooLarge {
        /// The item's name.
        name: String,
        /// Its box, across and down, mm.
        size: (f64, f64),
        /// What the sheet has room for, mm.
        room: (f64, f64),
    },
    /// A strip whose marks leave no place to divide it so that its parts fit.
    NoGap {
        /// The item's name.
        name: String,
        /// Where on the strip a cut is needed: mm from its left end, from and to.
        between: (f64, f64),
    },
}

impl fmt::Display for SheetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SheetError::PaperTooSmall { room: (across, down) } => {
                let side = |mm: f64| if mm.is_finite() { format!("{:.0} mm", mm.max(0.0)) } else { "any".to_string() };
                let (across, down) = (side(*across), side(*down));
                write!(f, "between margins and rulers the paper has {across} x {down} left, too little")
            }
            SheetError::NoScale { printed } => {
                write!(f, "a printed length is {printed} of its true length; a printer's is between 0.9 and 1.1")
            }
            SheetError::TooLarge { name, size, room } => write!(
                f,
                "{name} is {:.1} mm x {:.1} mm and cannot be divided; the sheet has room for {:.1} mm x {:.1} mm, \
                 so take larger paper",
                size.0, size.1, room.0, room.1
            ),
            SheetError::NoGap { name, between } => write!(
                f,
                "{name} is longer than the sheet, and no gap between its marks from {:.0} mm to {:.0} mm is wide \
                 enough to divide it there; take larger paper",
                between.0, between.1
            ),
        }
    }
}

impl std::error::Error for SheetError {}

/// Lays items out on as few sheets as the packing finds, in the paper's better orientation.
///
/// Items should come from one process, so that their layers stand in one order.
///
/// # Errors
/// When the paper has no room, or an item neither fits a sheet nor can be divided.
pub fn sheets(items: &[Item], page: &Page, lettering: &Lettering) -> Result<Sheets, SheetError> {
    let words = Words::new(lettering);
    let wholes: Vec<SheetPiece> =
        items.iter().enumerate().map(|(at, item)| SheetPiece::whole(at, item, false, &words)).collect();
    let mut best: Option<(Score, Layout)> = None;
    for ground in Ground::all(page, &words)? {
        let layout = lay_out(items, &wholes, ground, page, &words)?;
        let score = layout.score();
        if best.as_ref().is_none_or(|(least, _)| score < *least) {
            best = Some((score, layout));
        }
    }
    let Some((_, layout)) = best else { return Ok(Sheets { sheets: vec![], notes: vec![] }) };
    let count = layout.sheets.len();
    let sheets = (0..count).map(|at| layout.draw(at, page, &words)).collect();
    Ok(Sheets { sheets, notes: layout.notes })
}

/// Parts, items on the diagonal, sheets, length of a roll in hundredths of a millimetre, turned boxes: fewest is best.
type Score = (usize, usize, usize, i64, usize);

/// Where every piece lies, not yet drawn.
struct Layout {
    ground: Ground,
    pieces: Vec<SheetPiece>,
    sheets: Vec<Vec<Spot>>,
    notes: Vec<String>,
    diagonals: usize,
}

/// A piece on a sheet.
struct Spot {
    piece: usize,
    copy: usize,
    /// Its upright axes → the sheet at true size.
    turn: Affine,
    turned: bool,
}

fn lay_out(
    items: &[Item],
    wholes: &[SheetPiece],
    mut ground: Ground,
    page: &Page,
    words: &Words,
) -> Result<Layout, SheetError> {
    let (mut pieces, mut notes) = (Vec::new(), Vec::new());
    let (mut straight, mut diagonal) = (Vec::new(), Vec::new());
    for (at, item) in items.iter().enumerate().filter(|(_, item)| item.copies > 0) {
        let copies = || 0..item.copies;
        let whole = &wholes[at];
        if ground.takes(whole.bounds) {
            straight.extend(copies().map(|copy| (pieces.len(), copy)));
            pieces.push(whole.clone());
            continue;
        }
        let slanted = SheetPiece::whole(at, item, true, words);
        if !ground.roll && diagonal::fits(&[&slanted], &ground, page.gap).is_some() {
            notes.push(format!("{} is longer than the sheet and lies on the diagonal", item.name));
            diagonal.extend(copies().map(|copy| (pieces.len(), copy)));
            pieces.push(slanted);
            continue;
        }
        let parts = divide::parts(at, item, &ground, words)?;
        let cuts = parts.len() - 1;
        notes.push(format!("{} is divided at {cuts} place{}", item.name, if cuts == 1 { "" } else { "s" }));
        for copy in copies() {
            straight.extend((0..parts.len()).map(|part| (pieces.len() + part, copy)));
        }
        pieces.extend(parts);
    }
    let mut sheets = pack::pack(&pieces, &straight, &mut ground, page.gap);
    let diagonals = diagonal.len();
    sheets.extend(diagonal::bundle(&pieces, diagonal, &ground, page.gap));
    Ok(Layout { ground, pieces, sheets, notes, diagonals })
}

impl Layout {
    fn score(&self) -> Score {
        let parts = self.pieces.iter().filter(|piece| piece.part.is_some()).count();
        let turned = self.sheets.iter().flatten().filter(|spot| spot.turned).count();
        let length = if self.ground.roll { (100.0 * self.ground.size.0) as i64 } else { 0 };
        (parts, self.diagonals, self.sheets.len(), length, turned)
    }

    fn draw(&self, at: usize, page: &Page, words: &Words) -> Sheet {
        let (ground, count) = (&self.ground, self.sheets.len());
        let to_page = ground.to_page();
        let mut layers: Vec<Layer> = Vec::new();
        let mut placed = Vec::new();
        let mut covered = 0.0;
        for spot in &self.sheets[at] {
            let piece = &self.pieces[spot.piece];
            let turn = to_page * spot.turn;
            let place = turn * piece.upright;
            for layer in &piece.layers {
                let moved = layer.groups.iter().map(|group| {
                    let mut group = group.clone();
                    group.apply_affine(place);
                    group
                });
                add(&mut layers, layer, moved);
            }
            covered += piece.area();
            let (item, part) = (piece.item, piece.part);
            placed.push(Placed { item, copy: spot.copy, part, place, bounds: piece.bounds, turn });
        }
        for layer in ruler::control(ground, page, words, (at + 1, count)) {
            let moved: Vec<Group> = layer.groups.iter().map(|group| Group::new(None, to_page * &group.path)).collect();
            add(&mut layers, &layer, moved.into_iter());
        }
        let number = if count > 1 { format!(", sheet {} of {count}", at + 1) } else { String::new() };
        let drawing = Drawing {
            title: format!("{}{number}", page.title),
            width: Length::mm(ground.size.0),
            height: Length::mm(ground.size.1),
            layers,
        };
        Sheet { drawing, placed, waste: 1.0 - covered / ground.room.area() }
    }
}

/// Adds groups to the layer of the same kind and ink, which is made where there is none.
fn add(layers: &mut Vec<Layer>, like: &Layer, groups: impl Iterator<Item = Group>) {
    match layers.iter_mut().find(|layer| (layer.kind, layer.ink) == (like.kind, like.ink)) {
        Some(layer) => layer.groups.extend(groups),
        None => layers.push(Layer { kind: like.kind, ink: like.ink, groups: groups.collect() }),
    }
}
