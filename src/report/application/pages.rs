//! The sheet as A4 pages: every text an outline, every step with a box to tick off.
//!
//! Blocks (a heading, a step, a piece's row) are set one by one and flow down the page; a heading never ends one, and a
//! lens's table stays on one page, or says on the next page which lens it is.

use kurbo::{Affine, BezPath, Line, ParamCurveNearest, PathEl, Point, QuadBez, Rect, Shape};

use super::diagram::{self, diagram};
use super::typeset::{STRONG, Type, outline, rule};
use super::{Application, Contents, contents};
use crate::artwork::{Drawing, Group, Ink, Layer, LayerKind};
use crate::lettering::LetteringError;
use crate::units::Length;

/// Width and height of a page, mm (ISO 216, A4).
pub const PAGE: (f64, f64) = (210.0, 297.0);

/// Where text stands: a wide left margin for the punch.
const FIELD: Rect = Rect::new(22.0, 18.0, 195.0, 280.0);
/// Digit heights: 16, 11.5, 10 and 9 pt of type.
const TITLE: f64 = 3.9;
const HEADING: f64 = 2.85;
const BODY: f64 = 2.45;
const SMALL: f64 = 2.2;
/// From baseline to baseline, in digit heights.
const LEADING: f64 = 1.9;

/// Room that the heading above the first lens's table may take.
const ABOVE_TABLES: f64 = 20.0;

/// The sheet's pages.
///
/// # Errors
/// When the shipped face cannot set a text.
pub fn pages(application: &Application) -> Result<Vec<Drawing>, LetteringError> {
    let contents = contents(application);
    let mut setter = Type::new()?;
    let blocks = blocks(&mut setter, &contents, application)?;
    let flowed = flow(&blocks);
    let count = flowed.len();
    flowed.into_iter().enumerate().map(|(at, page)| finish(&mut setter, &contents, page, at + 1, count)).collect()
}

/// Something that stays in one piece, its top left corner at the origin.
struct Block {
    height: f64,
    /// White above it where it does not begin a page.
    above: f64,
    /// Whether the next block has to follow on the same page.
    keeps: bool,
    /// Shown above it where it begins a page.
    again: Option<Box<Block>>,
    ink: Vec<BezPath>,
    /// Outlines along which a line is drawn, and its width.
    strong: Vec<(BezPath, f64)>,
}

impl Block {
    fn new(above: f64, keeps: bool) -> Block {
        Block { height: 0.0, above, keeps, again: None, ink: Vec::new(), strong: Vec::new() }
    }

    /// Sets lines below each other from `x`, the first one's digits with their top at `top`; gives the foot.
    fn text(
        &mut self,
        setter: &mut Type,
        lines: &[String],
        size: f64,
        (x, top): (f64, f64),
        strong: bool,
    ) -> Result<f64, LetteringError> {
        let mut ink = BezPath::new();
        for (at, line) in lines.iter().enumerate() {
            setter.put(&mut ink, line, size, Point::new(x, top + size + LEADING * size * at as f64), 0.0)?;
        }
        if strong {
            self.strong.push((ink.clone(), STRONG * size));
        }
        self.ink.push(ink);
        // the last line's descenders take a third of its digits' height
        let foot = top + size * (LEADING * lines.len().saturating_sub(1) as f64 + 1.33);
        self.height = self.height.max(foot);
        Ok(foot)
    }
}

fn blocks(setter: &mut Type, contents: &Contents, application: &Application) -> Result<Vec<Block>, LetteringError> {
    let width = FIELD.width();
    let mut blocks = Vec::new();
    let mut title = Block::new(0.0, true);
    let lines = setter.lines_up_to(2, &contents.title, TITLE, width)?;
    title.text(setter, &lines, TITLE, (0.0, 0.0), true)?;
    blocks.push(title);
    for sentence in &contents.lead {
        let mut lead = Block::new(1.6, true);
        let lines = setter.lines(sentence, BODY, width)?;
        lead.text(setter, &lines, BODY, (0.0, 0.0), false)?;
        blocks.push(lead);
    }
    blocks.push(heading(setter, "Cautions")?);
    for (at, caution) in contents.cautions.iter().enumerate() {
        let mut block = Block::new(if at == 0 { 2.0 } else { 1.5 }, at == 0);
        block.text(setter, &[caution.heading().to_string()], BODY, (3.5, 0.0), true)?;
        let lines = setter.lines(caution.text(), BODY, width - 35.0)?;
        block.text(setter, &lines, BODY, (35.0, 0.0), false)?;
        let mut bar = BezPath::new();
        rule(&mut bar, (0.6, -0.4), (0.6, block.height), 1.2);
        block.ink.push(bar);
        blocks.push(block);
    }
    let mut number = 0;
    for part in &contents.parts {
        blocks.push(heading(setter, &part.heading)?);
        for (at, step) in part.steps.iter().enumerate() {
            number += 1;
            let mut block = Block::new(2.0, at == 0 && part.steps.len() > 1);
            let mut tick = BezPath::new();
            outline(&mut tick, &Rect::new(0.2, -0.5, 3.6, 2.9).to_path(0.01), 0.25);
            setter.put(&mut tick, &number.to_string(), BODY, Point::new(10.0, BODY), 1.0)?;
            block.ink.push(tick);
            let lines = setter.lines(step, BODY, width - 13.0)?;
            block.text(setter, &lines, BODY, (13.0, 0.0), false)?;
            blocks.push(block);
        }
    }
    if !contents.lenses.is_empty() {
        blocks.push(heading(setter, "What goes where")?);
    }
    for (lens, table) in application.lenses.iter().zip(&contents.lenses) {
        let first = blocks.len();
        blocks.push(lens_heading(setter, &table.name, "")?);
        for (piece, row) in lens.pieces.iter().zip(&table.rows) {
            let picture = diagram(setter, piece, &application.process, "")?;
            let mut block = row_block(setter, row, picture)?;
            block.again = Some(Box::new(lens_heading(setter, &table.name, " (continued)")?));
            blocks.push(block);
        }
        // one page a lens where it fits: it is pinned up while the lens is on the bench
        let height: f64 = blocks[first..].iter().map(|block| block.above + block.height).sum();
        if height < FIELD.height() - ABOVE_TABLES {
            blocks[first..].iter_mut().for_each(|block| block.keeps = true);
        }
        if let Some(last) = blocks.last_mut() {
            last.keeps = false;
        }
    }
    Ok(blocks)
}

fn heading(setter: &mut Type, text: &str) -> Result<Block, LetteringError> {
    let mut block = Block::new(6.0, true);
    block.text(setter, &[text.to_string()], HEADING, (0.0, 0.0), true)?;
    let mut line = BezPath::new();
    rule(&mut line, (0.0, block.height + 0.6), (FIELD.width(), block.height + 0.6), 0.3);
    block.height += 0.9;
    block.ink.push(line);
    Ok(block)
}

fn lens_heading(setter: &mut Type, name: &str, after: &str) -> Result<Block, LetteringError> {
    let mut block = Block::new(4.5, true);
    let room = FIELD.width() - setter.width(after, HEADING)? - 2.0;
    let mut lines = setter.lines_up_to(2, name, HEADING, room)?;
    if let Some(last) = lines.last_mut() {
        last.push_str(after);
    }
    block.text(setter, &lines, HEADING, (0.0, 0.0), true)?;
    Ok(block)
}

/// A piece of a lens: its picture, a box to tick off, its name, and the facts.
fn row_block(setter: &mut Type, row: &super::PieceRow, picture: Drawing) -> Result<Block, LetteringError> {
    let left = diagram::WIDTH + 5.0;
    let (values, right) = (left + 25.0, FIELD.width());
    let mut block = Block::new(1.6, false);
    let mut frame = BezPath::new();
    rule(&mut frame, (0.0, 0.0), (right, 0.0), 0.15);
    outline(&mut frame, &Rect::new(left + 0.2, 2.0, left + 3.6, 5.4).to_path(0.01), 0.25);
    block.ink.push(frame);
    block.text(setter, std::slice::from_ref(&row.heading), BODY, (left + 6.0, 2.5), true)?;
    let mut top = 2.5 + 2.1 * BODY;
    for (name, value) in &row.facts {
        block.text(setter, &[name.to_string()], SMALL, (left, top), true)?;
        let lines = setter.lines_up_to(5, value, SMALL, right - values)?;
        top = block.text(setter, &lines, SMALL, (values, top), false)? + 0.55 * SMALL;
    }
    let place = Affine::translate((0.0, 2.0));
    for group in picture.layers.into_iter().flat_map(|layer| layer.groups) {
        block.ink.push(place * group.path);
    }
    block.height = block.height.max(2.0 + picture.height.to_mm()) + 1.0;
    Ok(block)
}

/// Which block stands how far below the field's top, page by page.
fn flow(blocks: &[Block]) -> Vec<Vec<(f64, &Block)>> {
    let mut pages: Vec<Vec<(f64, &Block)>> = vec![Vec::new()];
    let mut y = 0.0;
    let mut at = 0;
    while at < blocks.len() {
        let kept = blocks[at..].iter().take_while(|block| block.keeps).count();
        let run = &blocks[at..(at + kept + 1).min(blocks.len())];
        let height: f64 = run.iter().map(|block| block.above + block.height).sum();
        if y > 0.0 && y + height > FIELD.height() {
            pages.push(Vec::new());
            y = 0.0;
        }
        for block in run {
            let page = pages.last_mut().map(|page| (page.is_empty(), page));
            let Some((fresh, page)) = page else { continue };
            if let (true, Some(again)) = (fresh, &block.again) {
                page.push((y, again));
                y += again.height + block.above;
            } else if !fresh {
                y += block.above;
            }
            page.push((y, block));
            y += block.height;
        }
        at += run.len();
    }
    pages
}

fn finish(
    setter: &mut Type,
    contents: &Contents,
    page: Vec<(f64, &Block)>,
    number: usize,
    count: usize,
) -> Result<Drawing, LetteringError> {
    let place = |top: f64| Affine::translate((FIELD.x0, FIELD.y0 + top));
    let mut groups = Vec::new();
    let mut layers: Vec<Layer> = Vec::new();
    for (top, block) in page {
        groups.extend(block.ink.iter().map(|ink| Group::new(None, rounded(place(top) * ink.clone()))));
        for (path, width) in &block.strong {
            let (ink, group) = (Ink::Line(Length::mm(*width)), Group::new(None, rounded(place(top) * path.clone())));
            match layers.iter_mut().find(|layer| layer.ink == ink) {
                Some(layer) => layer.groups.push(group),
                None => layers.push(Layer::new(LayerKind::Guide, vec![group]).with_ink(ink)),
            }
        }
    }
    let mut foot = BezPath::new();
    let y = PAGE.1 - 10.0;
    rule(&mut foot, (FIELD.x0, y - 4.5), (FIELD.x1, y - 4.5), 0.15);
    let name = setter.lines_up_to(1, &contents.title, SMALL, FIELD.width() - 40.0)?.concat();
    setter.put(&mut foot, &name, SMALL, Point::new(FIELD.x0, y), 0.0)?;
    setter.put(&mut foot, &format!("page {number} of {count}"), SMALL, Point::new(FIELD.x1, y), 1.0)?;
    groups.push(Group::new(None, rounded(foot)));
    layers.insert(0, Layer::new(LayerKind::Guide, groups));
    Ok(Drawing {
        title: format!("{}, page {number} of {count}", contents.title),
        width: Length::mm(PAGE.0),
        height: Length::mm(PAGE.1),
        layers,
    })
}

/// The path with all its places in whole hundredths of a millimetre, and what is straight to a hundredth as a line:
/// too fine to be seen, and the file is smaller by a third.
fn rounded(path: BezPath) -> BezPath {
    let near = |place: Point| Point::new((place.x * 100.0).round() / 100.0, (place.y * 100.0).round() / 100.0);
    let mut out = BezPath::new();
    let (mut last, mut start) = (Point::ORIGIN, Point::ORIGIN);
    for element in path {
        let element = match element {
            PathEl::QuadTo(control, to) => {
                let cubic = QuadBez::new(last, control, to).raise();
                PathEl::CurveTo(cubic.p1, cubic.p2, to)
            }
            other => other,
        };
        let to = element.end_point().unwrap_or(start);
        let chord = Line::new(last, to);
        let straight = |place: Point| chord.nearest(place, 1e-6).distance_sq < 1e-4;
        match element {
            PathEl::MoveTo(to) => {
                start = to;
                out.move_to(near(to));
            }
            PathEl::CurveTo(first, second, to) if !(straight(first) && straight(second)) => {
                out.curve_to(near(first), near(second), near(to));
            }
            PathEl::ClosePath => out.close_path(),
            _ if near(last) == near(to) => {}
            _ => out.line_to(near(to)),
        }
        last = to;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::tests::{application, processes};
    use super::*;

    fn ink(block: &Block) -> Rect {
        let filled = block.ink.iter().map(|path| path.bounding_box());
        let lines = block.strong.iter().map(|(path, width)| path.bounding_box().inset(0.5 * width));
        filled.chain(lines).reduce(|a, b| a.union(b)).unwrap()
    }

    #[test]
    fn forty_lenses_flow_without_overlap_and_no_heading_ends_a_page() {
        let [printed, .., engraved] = processes();
        for (process, long) in [(printed, false), (engraved, true)] {
            let mut application = application(process, 40);
            if long {
                let pieces = application.lenses[7].pieces.clone();
                (0..3).for_each(|_| application.lenses[7].pieces.extend(pieces.clone()));
            }
            let mut setter = Type::new().unwrap();
            let contents = contents(&application);
            let blocks = blocks(&mut setter, &contents, &application).unwrap();
            for block in &blocks {
                let ink = ink(block);
                assert!(ink.x0 >= -0.1 && ink.x1 <= FIELD.width() + 0.1, "{ink:?}");
                assert!(ink.y0 >= -0.7 && ink.y1 <= block.height + 0.1, "{ink:?} of {}", block.height);
            }
            let pages = flow(&blocks);
            assert!(pages.len() > 20, "{} pages", pages.len());
            for page in &pages {
                let (top, last) = page.last().unwrap();
                assert!(!last.keeps, "a heading ends a page");
                assert!(top + last.height <= FIELD.height() + 1e-9);
                for pair in page.windows(2) {
                    let (foot, next) = (pair[0].0 + pair[0].1.height, pair[1].0);
                    assert!(foot + 0.8 < next, "{foot} and {next}");
                }
            }
            let known = |shown: &Block| blocks.iter().any(|block| std::ptr::eq(block, shown));
            let shown = pages.iter().flatten().filter(|(_, block)| known(block)).count();
            assert_eq!(shown, blocks.len(), "every block is shown once");
            let continued = pages.iter().flatten().filter(|(_, block)| !known(block)).count();
            assert_eq!(continued > 0, long, "only a table longer than a page goes over, {continued} times");
        }
    }

    #[test]
    fn every_page_keeps_its_margins_whatever_the_names() {
        let [printed, .., engraved] = processes();
        for process in [printed, engraved] {
            let mut application = application(process, 2);
            application.set = "W".repeat(5000);
            application.lenses[0].name = "word ".repeat(2000);
            application.lenses[1].name = "\u{202e}日本\0é<b>&".repeat(300);
            application.lenses[1].pieces[0].files = vec!["file-".repeat(400); 3];
            let pages = pages(&application).unwrap();
            for page in &pages {
                assert_eq!((page.width.to_mm(), page.height.to_mm()), PAGE);
                for group in page.layers.iter().flat_map(|layer| &layer.groups) {
                    let ink = group.path.bounding_box();
                    assert!(ink.x0 >= 15.0 && ink.x1 <= PAGE.0 - 14.5, "{ink:?}");
                    assert!(ink.y0 >= 15.0 && ink.y1 <= PAGE.1 - 8.0, "{ink:?}");
                }
            }
            assert!(pages[0].title.ends_with(&format!("page 1 of {}", pages.len())));
        }
    }
}
