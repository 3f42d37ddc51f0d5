//! A picture of a calibration: the law with its readings, how far each mark can be trusted beside what still looks
//! sharp, and what the readings miss the law by. Black on white.

mod axes;
mod panel;

use kurbo::{Circle, Point, Rect, Shape};

use super::fit_line;
use super::words::{amount, unit_of};
use crate::artwork::{Drawing, MarkTag, MarkValue};
use crate::assembly::{Assembly, FocusRing, thin_lens};
use crate::calibration::Residual;
use crate::lettering::LetteringError;
use crate::model::Lens;
use crate::scale::Mark;
use crate::units::{Distance, DistanceUnit};
use axes::{Along, Panel, tape};
use panel::{Page, Sort, capped, hatching, joined, line};

/// The page, mm.
const PAGE: (f64, f64) = (190.0, 176.0);
const LEFT: f64 = 18.0;
const RIGHT: f64 = 172.0;
/// Top and bottom of the panels, mm; without readings the second takes the third's place too.
const LAW: (f64, f64) = (28.0, 90.0);
const TRUST: (f64, f64) = (98.0, 128.0);
const MISS: (f64, f64) = (136.0, 166.0);
/// Radius of a reading's dot, mm.
const DOT: f64 = 0.85;
/// Room for the ticks and numerals of the marks at the foot of the upper panel, mm.
const FOOT: f64 = 8.0;
/// Bars nearer to each other than this would run together, mm.
const BARS_APART: f64 = 2.0;
/// A band far wider than the errors is cut at so many times the largest of them, so that the errors can be seen.
const BAND_SHOWN: f64 = 2.5;

/// Draws the focus calibration of a lens; `None` where it has no focus ring.
///
/// # Errors
/// When the plain face is damaged.
pub fn plot(assembly: &Assembly) -> Result<Option<Drawing>, LetteringError> {
    let Some(ring) = &assembly.focus else { return Ok(None) };
    let bench = PlotBuilder::of(assembly.lens, ring);
    let mut page = Page::new()?;
    let widest = PAGE.0 - 2.0 * LEFT + 10.0;
    page.text(&assembly.lens.name, Point::new(LEFT, 8.0), 0.0, 1.4, widest)?;
    page.text(&fit_line(ring), Point::new(LEFT, 13.5), 0.0, 1.0, widest)?;
    bench.axes(&mut page)?;
    bench.law(&mut page)?;
    bench.budget(&mut page)?;
    bench.misses(&mut page)?;
    Ok(Some(page.finish(format!("{}: {}", assembly.lens.name, fit_line(ring)), PAGE)))
}

/// Angles off the law, in degrees, between which a subject looks sharp; `None` where the law does not reach.
#[derive(Clone, Copy, Debug)]
struct Sharp {
    below: Option<f64>,
    above: Option<f64>,
    /// Sharpness reaches infinity: a ring turned farther than `below` blurs no subject that could be nearer.
    to_infinity: bool,
}

impl Sharp {
    fn holds(&self, off: f64) -> bool {
        self.above.is_none_or(|above| off <= above) && (self.to_infinity || self.below.is_none_or(|below| off >= below))
    }

    /// Both limits, the lower first.
    fn limits(&self) -> Option<(f64, f64)> {
        self.below.zip(self.above)
    }
}

struct PlotBuilder<'a> {
    lens: &'a Lens,
    ring: &'a FocusRing<'a>,
    along: Along,
    law: Panel,
    budget: Panel,
    /// Where there are readings.
    miss: Option<Panel>,
}

impl<'a> PlotBuilder<'a> {
    fn of(lens: &'a Lens, ring: &'a FocusRing<'a>) -> Self {
        let residuals = &ring.calibration.residuals;
        let taped = residuals.iter().filter_map(|r| r.subject.to_mm());
        let nearest = taped.fold(ring.focus.closest.to_mm(), f64::min);
        let along = Along { nearest, x0: LEFT, x1: RIGHT };
        let frame = |(top, bottom)| Rect::new(LEFT, top, RIGHT, bottom);

        let at_error = ring.focus.reading_error.at.to_deg();
        let marks = marks(ring).map(|(_, mark)| mark.angle.to_deg());
        let read = residuals.iter().map(|r| r.reading.at.to_deg()).flat_map(|at| [at - at_error, at + at_error]);
        let span = marks.chain(read).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
        let (low, high) = if span.0.is_finite() { span } else { (0.0, 1.0) };
        let height = LAW.1 - LAW.0;
        let scale = (high - low).max(0.5) / (height - FOOT - 5.0);
        let law = Panel { frame: frame(LAW), low: low - FOOT * scale, high: low + (height - FOOT) * scale };

        let mut bench =
            PlotBuilder { lens, ring, along, law, budget: Panel::about_zero(frame(TRUST), 1.0), miss: None };
        let bars = bench.bars().map(|(_, _, bar)| bar).fold(0.02, f64::max);
        let band = along.even(60).filter_map(|d| bench.sharp(d)?.limits());
        let band = band.map(|(below, above)| above.max(-below)).fold(0.0, f64::max);
        let reach = bars.max(band.min(BAND_SHOWN * bars)) * 1.15;
        let place = if residuals.is_empty() { (TRUST.0, MISS.1) } else { TRUST };
        bench.budget = Panel::about_zero(frame(place), reach);
        if !residuals.is_empty() {
            let reach = |r: &Residual| r.error.to_deg().abs() + r.expected.to_deg();
            let off = residuals.iter().map(reach).fold(0.02, f64::max);
            bench.miss = Some(Panel::about_zero(frame(MISS), off.max(band.min(BAND_SHOWN * off)) * 1.2));
        }
        bench
    }

    /// The first band's marks with two standard errors of each, degrees.
    fn bars(&self) -> impl Iterator<Item = (Distance, &Mark, f64)> {
        let error =
            |(distance, mark)| Some((distance, mark, 2.0 * self.ring.budget(self.lens, distance)?.sigma.to_deg()));
        marks(self.ring).filter_map(error)
    }

    /// What looks sharp wide open with the ring at a distance; `None` without a widest stop.
    fn sharp(&self, distance: Distance) -> Option<Sharp> {
        let (lens, law) = (self.lens, &self.ring.calibration.law);
        let limits = thin_lens(lens).depth_of_field(distance, lens.widest_stop?, lens.circle_of_confusion)?;
        let at = law.angle(distance)?.to_deg();
        Some(Sharp {
            below: law.angle(limits.far).map(|far| far.to_deg() - at),
            above: law.angle(limits.near).map(|near| near.to_deg() - at),
            to_infinity: limits.far.is_infinite(),
        })
    }

    fn axes(&self, page: &mut Page) -> Result<(), LetteringError> {
        let units: Vec<DistanceUnit> = self.ring.bands.iter().map(unit_of).collect();
        let (below, above) = match units.as_slice() {
            [] => (DistanceUnit::Metre, None),
            [only] => (*only, None),
            // metres below, the other unit above
            [first, second, ..] if *second == DistanceUnit::Metre => (*second, Some(*first)),
            [first, second, ..] => (*first, Some(*second)),
        };
        let foot = self.miss.as_ref().unwrap_or(&self.budget).frame.y1;
        let places = self.along.values(page, below, foot + 5.0)?;
        let mut panels = vec![self.law, self.budget];
        panels.extend(self.miss);
        for (x, panel) in places.iter().flat_map(|x| panels.iter().map(move |panel| (*x, panel))) {
            page.add(Sort::Grid, None, line(x, panel.frame.y0, x, panel.frame.y1));
        }
        if let Some(above) = above {
            for x in self.along.values(page, above, LAW.0 - 2.2)? {
                page.add(Sort::Frame, None, line(x, LAW.0 - 1.2, x, LAW.0));
            }
        }
        self.law.draw(page, 8.0, None)?;
        for panel in &panels[1..] {
            panel.draw(page, 5.0, Some(self.ring.mm_per_degree))?;
            let zero = panel.y(0.0);
            page.add(Sort::Frame, None, line(LEFT, zero, RIGHT, zero));
            self.band(page, panel);
        }
        Ok(())
    }

    fn band(&self, page: &mut Page, panel: &Panel) {
        // hatched only where the law reaches both limits
        let limits = |distance| self.sharp(distance).and_then(|sharp| sharp.limits());
        let samples: Vec<(f64, Option<(f64, f64)>)> =
            self.along.even(720).map(|distance| (self.along.x(distance), limits(distance))).collect();
        let step = samples[1].0 - samples[0].0;
        let between = |x: f64| {
            let place = (x - samples[0].0) / step;
            let limits = if place < -0.5 { None } else { samples.get(place.round() as usize)?.1 };
            limits.map(|(below, above)| (panel.y_within(above), panel.y_within(below)))
        };
        let hatch = hatching(panel.frame, between);
        if hatch.elements().is_empty() {
            return;
        }
        page.add(Sort::Hatch, None, hatch);
        // an edge beyond the panel is not drawn: the hatching then runs on
        for edge in [|limits: (f64, f64)| limits.1, |limits: (f64, f64)| limits.0] {
            let seen = |limits: &(f64, f64)| (panel.low..=panel.high).contains(&edge(*limits));
            for run in samples.chunk_by(|a, b| a.1.filter(seen).is_some() == b.1.filter(seen).is_some()) {
                let point = |(x, limits): &(f64, Option<(f64, f64)>)| {
                    limits.filter(seen).map(|limits| Point::new(*x, panel.y(edge(limits))))
                };
                let points: Vec<Point> = run.iter().filter_map(point).collect();
                if points.len() > 1 {
                    page.add(Sort::Hatch, None, joined(&points));
                }
            }
        }
    }

    fn law(&self, page: &mut Page) -> Result<(), LetteringError> {
        let read = match self.miss {
            Some(_) => "readings with one standard error of ring and tape (dots), ",
            None => "",
        };
        let caption = format!("ring angle: the law (line), {read}marks (ticks)");
        self.caption(page, &caption, if self.ring.bands.len() > 1 { LAW.0 - 7.5 } else { LAW.0 - 2.2 })?;
        let point = |distance| {
            let angle = self.ring.calibration.law.angle(distance)?.to_deg();
            (self.law.low..=self.law.high)
                .contains(&angle)
                .then(|| Point::new(self.along.x(distance), self.law.y(angle)))
        };
        let points: Vec<Point> = self.along.even(400).filter_map(point).collect();
        points.iter().for_each(|at| page.take(Rect::from_center_size(*at, (0.6, 0.6))));
        page.add(Sort::Law, None, joined(&points));
        let (floor, frame) = (LAW.1, self.law.frame);
        for (distance, mark) in marks(self.ring) {
            let (x, long) = (self.along.x(distance), if mark.numbered() { 2.6 } else { 1.4 });
            page.add(Sort::MarkTick, Some(self.tag(mark)), line(x, floor, x, floor - long));
            page.take(Rect::new(x - 0.1, floor - long, x + 0.1, floor));
        }
        // ends first: they are the marks that every scale has
        let mut numbered: Vec<_> = marks(self.ring).filter(|(_, mark)| mark.numbered()).collect();
        let last = numbered.len().min(1);
        numbered.rotate_right(last);
        for (distance, mark) in numbered {
            page.text_if_free(&mark.label, Point::new(self.along.x(distance), floor - 3.3), 0.5, frame)?;
        }
        let error = self.ring.focus.reading_error;
        let mut dots = Vec::new();
        for (i, r) in self.readings() {
            let (at, distance) = (r.reading.at.to_deg(), r.subject);
            let dot = Point::new(self.along.x(distance), self.law.y(at));
            let half = self.law.y(at) - self.law.y(at + error.at.to_deg());
            page.add(Sort::ReadingBar, tag(r, i), line(dot.x, dot.y - half, dot.x, dot.y + half));
            if let Distance::Finite(length) = distance {
                let tape_error = error.tape_error(length);
                let far = self.along.x(tape(distance, tape_error).unwrap_or(distance));
                let near = self.along.x(tape(distance, tape_error * -1.0).unwrap_or(distance)).min(RIGHT);
                page.add(Sort::ReadingBar, tag(r, i), line(far, dot.y, near, dot.y));
                page.take(Rect::new(far, dot.y - 0.1, near, dot.y + 0.1));
            }
            self.dot(page, i, r, dot);
            page.take(Rect::new(dot.x - 0.1, dot.y - half, dot.x + 0.1, dot.y + half));
            dots.push((i, dot, half.min(3.0)));
        }
        numbers(page, &dots, frame)
    }

    fn budget(&self, page: &mut Page) -> Result<(), LetteringError> {
        let (mut leave, mut count) = (0, 0);
        let mut shown: Vec<f64> = Vec::new();
        // numbered marks first; plain ones fill the room between them
        let (numbered, plain): (Vec<_>, Vec<_>) = self.bars().partition(|(_, mark, _)| mark.numbered());
        for (distance, mark, bar) in numbered.into_iter().chain(plain) {
            let outside = self.sharp(distance).is_some_and(|sharp| !sharp.holds(bar) || !sharp.holds(-bar));
            leave += usize::from(outside);
            count += 1;
            let x = self.along.x(distance);
            if shown.iter().any(|other| (x - other).abs() < BARS_APART) {
                continue;
            }
            shown.push(x);
            let sort = if outside { Sort::WideBar } else { Sort::Bar };
            page.add(sort, Some(self.tag(mark)), capped(x, self.budget.y(bar), self.budget.y(-bar), 0.55));
        }
        let mut caption = "off the law: two standard errors of marks (bars)".to_string();
        match self.lens.widest_stop {
            Some(stop) => caption.push_str(&format!(", what looks sharp at f/{} (hatched)", stop.label())),
            None => caption.push_str("; no depth of field, for no widest_stop is given"),
        }
        if leave > 0 {
            caption.push_str(&format!("; beyond it (heavy) {leave} of {}", amount(count, "mark")));
        }
        self.caption(page, &caption, self.budget.frame.y0 - 2.2)
    }

    fn misses(&self, page: &mut Page) -> Result<(), LetteringError> {
        let Some(panel) = self.miss else { return Ok(()) };
        let mut caption = "off the law: each reading, and the standard error expected of it".to_string();
        if let Some(outlier) = self.ring.calibration.outlier_number() {
            caption.push_str(&format!("; reading {outlier} (diamond) does not belong"));
        }
        self.caption(page, &caption, panel.frame.y0 - 2.2)?;
        let mut dots = Vec::new();
        for (i, r) in self.readings() {
            let (x, error, sigma) = (self.along.x(r.subject), r.error.to_deg(), r.expected.to_deg());
            let (top, bottom) = (panel.y(error + sigma), panel.y(error - sigma));
            page.add(Sort::ReadingBar, tag(r, i), capped(x, top, bottom, 0.5));
            page.take(Rect::new(x - 0.5, top, x + 0.5, bottom));
            let dot = Point::new(x, panel.y(error));
            self.dot(page, i, r, dot);
            dots.push((i, dot, 0.5 * (bottom - top)));
        }
        numbers(page, &dots, panel.frame)
    }

    /// The readings with their places in the order given, the outlier first: its number must not give way.
    fn readings(&self) -> impl Iterator<Item = (usize, &Residual)> {
        let calibration = &self.ring.calibration;
        let all = || calibration.residuals.iter().map(|r| (r.index, r));
        let outlier = move |i: usize| calibration.outlier == Some(i);
        all().filter(move |(i, _)| outlier(*i)).chain(all().filter(move |(i, _)| !outlier(*i)))
    }

    fn dot(&self, page: &mut Page, i: usize, r: &Residual, at: Point) {
        if self.ring.calibration.outlier == Some(i) {
            let diamond = |radius: f64| {
                let corners = [(0.0, -radius), (radius, 0.0), (0.0, radius), (-radius, 0.0)];
                let mut path = joined(&corners.map(|(x, y)| at + (x, y)));
                path.close_path();
                path
            };
            // the inner contour runs the other way round, and so is a hole
            let mut path = diamond(2.0 * DOT);
            path.extend(diamond(1.3 * DOT).reverse_subpaths());
            page.add(Sort::Dot, tag(r, i), path);
            page.take(Rect::from_center_size(at, (4.0 * DOT, 4.0 * DOT)));
        } else {
            page.add(Sort::Dot, tag(r, i), Circle::new(at, DOT).to_path(0.01));
            page.take(Rect::from_center_size(at, (2.0 * DOT, 2.0 * DOT)));
        }
    }

    fn tag(&self, mark: &Mark) -> MarkTag {
        let unit = self.ring.bands.first().map_or("", |band| band.unit.sign());
        MarkTag { unit: unit.to_string(), value: mark.value, angle: mark.angle, label: mark.label.clone() }
    }

    fn caption(&self, page: &mut Page, text: &str, y: f64) -> Result<(), LetteringError> {
        page.text(text, Point::new(LEFT, y), 0.0, 1.0, RIGHT - LEFT)
    }
}

fn tag(r: &Residual, i: usize) -> Option<MarkTag> {
    let value = MarkValue::Distance(r.subject);
    Some(MarkTag { unit: "reading".to_string(), value, angle: r.reading.at, label: (i + 1).to_string() })
}

/// Marks of the first band with their distances.
fn marks<'a>(ring: &'a FocusRing) -> impl Iterator<Item = (Distance, &'a Mark)> {
    ring.bands.iter().take(1).flat_map(|band| &band.marks).filter_map(|mark| match mark.value {
        MarkValue::Distance(distance) => Some((distance, mark)),
        MarkValue::Stop(_) => None,
    })
}

/// Numbers beside the dots where there is room.
fn numbers(page: &mut Page, dots: &[(usize, Point, f64)], room: Rect) -> Result<(), LetteringError> {
    for (i, dot, half) in dots {
        let text = (i + 1).to_string();
        let places = [
            ((-1.7, -1.4), 1.0),
            ((1.7, 3.0), 0.0),
            ((1.7, -1.4), 0.0),
            ((-1.7, 3.0), 1.0),
            ((0.0, -half - 1.6), 0.5),
            ((0.0, half + 3.9), 0.5),
            ((-2.4, -1.6), 1.0),
            ((2.4, 3.4), 0.0),
            ((0.0, -2.6), 0.5),
            ((0.0, 5.0), 0.5),
        ];
        for (away, anchor) in places {
            if page.text_if_free(&text, *dot + away, anchor, room)? {
                break;
            }
        }
    }
    Ok(())
}
