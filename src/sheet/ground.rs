//! The room that a page has for items, and where its rulers and footer stand.

use kurbo::{Affine, Rect};

use super::words::{TEXT, Words};
use super::{Page, SheetError};

/// Width of the bands in which the rulers stand, at the left and at the bottom.
pub(super) const BAND: f64 = 7.5;
/// Height of a line for the footer where it has no room beside the ruler.
pub(super) const FOOTER_LINE: f64 = 4.0;
/// Clear width between the ruler and the footer.
pub(super) const FOOTER_GAP: f64 = 8.0;
/// Length of a control ruler where the paper has room for it.
const RULER: f64 = 100.0;
/// Least room for items, mm: a smaller one comes from a wrong number.
const LEAST_ROOM: f64 = 10.0;
/// Shares outside come from a wrong number or a wrong print setting, not from a printer's error.
const PRINTED: std::ops::RangeInclusive<f64> = 0.9..=1.1;

/// A page in one orientation. Places are what a true ruler measures on the print, from the page's corner.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    /// The page as drawn, across and down.
    pub(super) size: (f64, f64),
    /// Printed length as a share of the drawn one, across and down.
    factors: (f64, f64),
    /// Where items go.
    pub(super) room: Rect,
    /// The rulers' lengths, across and down.
    pub(super) rulers: (f64, f64),
    /// Whether the footer stands below the ruler instead of beside it.
    pub(super) footer_below: bool,
    /// Whether the page is as long as it needs to be.
    pub(super) roll: bool,
    margin: f64,
}

impl Ground {
    /// The orientations that a paper has, the better one for long strips first.
    pub(super) fn all(page: &Page, words: &Words) -> Result<Vec<Ground>, SheetError> {
        for printed in [page.printed.0, page.printed.1] {
            if !PRINTED.contains(&printed) {
                return Err(SheetError::NoScale { printed });
            }
        }
        let (long, short) = page.printed;
        let grounds = match (page.paper.sides(), page.paper) {
            (Some((a, b)), _) if a == b => vec![((b.to_mm(), a.to_mm()), (long, short))],
            (Some((a, b)), _) => {
                let (a, b) = (a.to_mm(), b.to_mm());
                vec![((b, a), (long, short)), ((a, b), (short, long))]
            }
            (None, super::Paper::Roll { width }) => vec![((f64::INFINITY, width.to_mm()), (long, short))],
            (None, _) => vec![],
        };
        grounds.into_iter().map(|(size, factors)| Ground::new(size, factors, page, words)).collect()
    }

    fn new(size: (f64, f64), factors: (f64, f64), page: &Page, words: &Words) -> Result<Ground, SheetError> {
        let margin = page.margin.to_mm();
        let (right, bottom) = ((size.0 - margin) * factors.0, (size.1 - margin) * factors.1);
        let (left, top) = (margin * factors.0 + BAND, margin * factors.1);
        let room = Rect::new(left, top, right, bottom - BAND);
        if !(room.width() >= LEAST_ROOM && room.height() >= LEAST_ROOM) {
            return Err(SheetError::PaperTooSmall { room: (room.width(), room.height()) });
        }
        let footer = words.set(&footer(page, (88, 88)), TEXT).width;
        let across = ruler_length(room.width());
        let roll = size.0.is_infinite();
        let footer_below = roll || across + FOOTER_GAP + footer > room.width();
        let room = if footer_below { Rect { y1: room.y1 - FOOTER_LINE, ..room } } else { room };
        if room.height() < LEAST_ROOM {
            return Err(SheetError::PaperTooSmall { room: (room.width(), room.height()) });
        }
        let rulers = (across, ruler_length(room.height()));
        Ok(Ground { size, factors, room, rulers, footer_below, roll, margin })
    }

    /// Cuts a roll off behind the last item, in whole millimetres.
    pub(super) fn cut_off(&mut self, length: f64) {
        let needed = length.max(self.rulers.0);
        self.size.0 = ((self.room.x0 + needed) / self.factors.0 + self.margin).ceil();
        self.room.x1 = (self.size.0 - self.margin) * self.factors.0;
    }

    /// Whether a box fits the room as it is or turned by a quarter.
    pub(super) fn takes(&self, bounds: Rect) -> bool {
        let (a, b) = (bounds.width(), bounds.height());
        let (w, h) = (self.room.width(), self.room.height());
        (a <= w && b <= h) || (b <= w && a <= h)
    }

    /// True places → the page as drawn, about the page's corner.
    pub(super) fn to_page(&self) -> Affine {
        Affine::scale_non_uniform(1.0 / self.factors.0, 1.0 / self.factors.1)
    }
}

/// 100 mm, or as many tens as there is room for.
fn ruler_length(room: f64) -> f64 {
    RULER.min((0.1 * room).floor() * 10.0)
}

/// What stands at the foot of a sheet.
pub(super) fn footer(page: &Page, (number, count): (usize, usize)) -> String {
    let sheet = format!("sheet {number} of {count}");
    let parts = [page.title.as_str(), &sheet, page.advice.as_str()];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}
