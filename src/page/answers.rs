//! What the page is told of lenses: the rings with their artwork, the fit, the value under an index, strips, plots.
//!
//! Everything is computed by the functions that the commands call; here it is only put into words for the page.

use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

use super::documents::{
    FitRow, FitWords, FlatStrip, LensDrawn, LensShown, NextWords, Numerals, Plot, Ring, Rounded, Shape, Strips, Under,
};
use crate::artwork::{Ink, LayerKind, Wrapped};
use crate::assembly::{self, Assembly, FocusRing, TurningRing, UnderIndex};
use crate::calibration::Residual;
use crate::lettering::Lettering;
use crate::model::{DistanceUnit, Lens, Refusal, Refusals, RingKind, Set, Style, Typeface};
use crate::optics::{DIM_LIGHT_ACUITY, readable_to, stroke_blur};
use crate::process::{Process, ProcessKind};
use crate::report::{self, Planned};
use crate::set::Faults;
use crate::surface::Edge;
use crate::units::{Angle, Distance, Length};
use crate::write;

/// A set as one process makes it, in its own units or all in one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct View {
    pub(super) process: ProcessKind,
    pub(super) unit: Option<DistanceUnit>,
}

/// Where a ring stands.
#[derive(Clone, Debug)]
pub(super) enum Stand {
    /// As read on the ring.
    Angle(f64),
    /// Focused at a distance, as typed.
    Distance(String),
}

/// Why a question has no answer, in words, and whether what was asked for is missing.
pub(super) struct NoAnswer {
    pub(super) missing: bool,
    pub(super) words: String,
}

impl NoAnswer {
    fn new(words: impl Into<String>) -> Self {
        NoAnswer { missing: false, words: words.into() }
    }

    fn missing(words: impl Into<String>) -> Self {
        NoAnswer { missing: true, words: words.into() }
    }
}

type Answer<T> = Result<T, NoAnswer>;

/// A set with its lettering, in one view.
pub(super) struct Prepared {
    set: Set,
    lettering: Result<Lettering, Refusals>,
}

/// Letterings of earlier versions: most keystrokes change neither face nor height, and the widths of labels stay known.
#[derive(Default)]
pub(super) struct Letterings(RefCell<HashMap<View, (String, Lettering)>>);

impl Letterings {
    fn of(&self, view: View, set: &Set) -> Result<Lettering, Refusals> {
        // a font file may have changed on disk
        if matches!(set.style.typeface, Typeface::File(_)) {
            return assembly::lettering(set);
        }
        let hyperfocal = set.lenses.iter().flat_map(|lens| &lens.focus).any(|focus| !focus.hyperfocal.is_empty());
        let Style { typeface, numeral_height, .. } = &set.style;
        let key = format!("{typeface:?} {numeral_height:?} {:?} {hyperfocal}", set.process);
        if let Some((known, lettering)) = self.0.borrow().get(&view)
            && *known == key
        {
            return Ok(lettering.clone());
        }
        let lettering = assembly::lettering(set)?;
        self.0.borrow_mut().insert(view, (key, lettering.clone()));
        Ok(lettering)
    }
}

/// Room for every view of one version of the set.
#[derive(Default)]
pub(super) struct Views {
    /// By process, and in the set's own units or in one.
    cells: [[OnceCell<Prepared>; DistanceUnit::ALL.len() + 1]; ProcessKind::ALL.len()],
}

impl Views {
    fn of(&self, view: View) -> &OnceCell<Prepared> {
        &self.cells[view.process as usize][view.unit.map_or(0, |unit| 1 + unit as usize)]
    }
}

/// One version of the open set, with everything that was computed for it so far.
pub(super) struct Shown<'v> {
    set: Option<&'v Set>,
    views: &'v Views,
    letterings: &'v Letterings,
    lenses: RefCell<HashMap<(View, usize), Rc<Assembled<'v>>>>,
}

type Assembled<'v> = Result<Assembly<'v>, Refusals>;

impl<'v> Shown<'v> {
    /// Answers about `set`; `None` where no version could be read yet.
    pub(super) fn new(set: Option<&'v Set>, views: &'v Views, letterings: &'v Letterings) -> Self {
        Shown { set, views, letterings, lenses: RefCell::new(HashMap::new()) }
    }

    fn prepared(&self, view: View) -> Result<&'v Prepared, NoAnswer> {
        let set = self.set.ok_or_else(|| NoAnswer::new("the set cannot be read yet; its faults are listed"))?;
        Ok(self.views.of(view).get_or_init(|| {
            let made = set.made_by(view.process);
            let set = match view.unit {
                Some(unit) => made.in_unit(unit),
                None => made,
            };
            let lettering = self.letterings.of(view, &set);
            Prepared { set, lettering }
        }))
    }

    fn assembled(&self, view: View, lens: usize) -> Result<Rc<Assembled<'v>>, NoAnswer> {
        if let Some(found) = self.lenses.borrow().get(&(view, lens)) {
            return Ok(Rc::clone(found));
        }
        let prepared = self.prepared(view)?;
        let of = prepared.set.lenses.get(lens).ok_or_else(|| NoAnswer::missing("the set has no such lens"))?;
        let assembled = match &prepared.lettering {
            Ok(lettering) => Assembly::new(&prepared.set, of, lettering),
            Err(refused) => Err(refused.clone()),
        };
        let assembled = Rc::new(assembled);
        self.lenses.borrow_mut().insert((view, lens), Rc::clone(&assembled));
        Ok(assembled)
    }

    /// A lens on its rings: the artwork, the fit in words, what each reading is off by.
    pub(super) fn lens(&self, view: View, lens: usize) -> Answer<LensShown> {
        let prepared = self.prepared(view)?;
        let of = prepared.set.lenses.get(lens).ok_or_else(|| NoAnswer::missing("the set has no such lens"))?;
        let assembled = self.assembled(view, lens)?;
        let assembly = match assembled.as_ref() {
            Ok(assembly) => assembly,
            Err(refused) => {
                return Ok(LensShown::Unfit { name: of.name.clone(), rings: [], unfit: refusal_words(refused) });
            }
        };
        let laid_out = assembly.laid_out();
        let unfit: Vec<String> =
            laid_out.unfit.iter().map(|unfit| format!("{}: {}", unfit.piece, unfit.error)).collect();
        let dark = match &prepared.set.process {
            Process::Film(film) => film.reversed,
            Process::Vinyl(_) | Process::Engrave(_) => true,
        };
        let rings = assembly.turning_of(&laid_out).iter().map(|turning| ring(turning, dark)).collect();
        let height = prepared.set.style.numeral_height;
        Ok(LensShown::Drawn(Box::new(LensDrawn {
            name: of.name.clone(),
            rings,
            unfit,
            fit: assembly.focus.as_ref().map(|ring| fit(assembly, ring)),
            iris: assembly.iris.as_ref().map(report::iris_line),
            doubts: warnings(assembly),
            notes: report::left_out_lines(assembly),
            numerals: Numerals {
                height_mm: Rounded(height.to_mm()),
                readable_to_mm: Rounded(readable_to(height, DIM_LIGHT_ACUITY).to_mm()),
                blur_mm_per_m: Rounded(stroke_blur(Length::mm(1000.0), DIM_LIGHT_ACUITY).to_mm()),
            },
        })))
    }

    /// The value under the index of a ring.
    pub(super) fn at(&self, view: View, lens: usize, kind: RingKind, stand: &Stand) -> Answer<Under> {
        let assembled = self.assembled(view, lens)?;
        let assembly =
            assembled.as_ref().as_ref().map_err(|refused| NoAnswer::new(refusal_words(refused).join("; ")))?;
        let nothing = || NoAnswer::missing("the lens has no such ring");
        match kind {
            RingKind::Focus => {
                let ring = assembly.focus.as_ref().ok_or_else(nothing)?;
                let under = match stand {
                    Stand::Angle(deg) => Angle::try_deg(*deg).and_then(|at| ring.under_index(assembly.lens, at)),
                    Stand::Distance(text) => {
                        let distance: Distance = text.parse().map_err(|error| NoAnswer::new(format!("{error}")))?;
                        ring.set_to(assembly.lens, distance)
                    }
                };
                let under = under.ok_or_else(|| NoAnswer::new("the ring does not reach that"))?;
                let set = &self.prepared(view)?.set;
                Ok(focus_under(set, assembly.lens, ring, &under))
            }
            RingKind::Iris => {
                let ring = assembly.iris.as_ref().ok_or_else(nothing)?;
                let Stand::Angle(deg) = stand else { return Err(NoAnswer::new("an iris ring has no distances")) };
                let under = Angle::try_deg(*deg).and_then(|at| ring.under_index(at));
                let under = under.ok_or_else(|| NoAnswer::new("the ring does not reach that"))?;
                let words = report::stop_under_index_words(&under);
                let (value, rest) = words.split_once(", ").unwrap_or((&words, ""));
                Ok(Under::Iris { deg: Rounded(*deg), value: value.to_string(), trust: rest.to_string() })
            }
        }
    }

    /// The flat strips of a lens.
    pub(super) fn strips(&self, view: View, lens: usize) -> Answer<Strips> {
        let assembled = self.assembled(view, lens)?;
        let (strips, unfit) = match assembled.as_ref() {
            Ok(assembly) => {
                let laid_out = assembly.laid_out();
                let strips = laid_out.strips.iter().map(|(piece, strip)| FlatStrip {
                    piece: *piece,
                    width_mm: Rounded(strip.drawing.width.to_mm()),
                    height_mm: Rounded(strip.drawing.height.to_mm()),
                    svg: write::svg(&strip.drawing),
                });
                let unfit = laid_out.unfit.iter().map(|unfit| format!("{}: {}", unfit.piece, unfit.error));
                (strips.collect::<Vec<_>>(), unfit.collect::<Vec<_>>())
            }
            Err(refused) => (Vec::new(), refusal_words(refused)),
        };
        Ok(Strips { strips, unfit })
    }

    /// The plot of a fit.
    pub(super) fn plot(&self, view: View, lens: usize) -> Answer<Plot> {
        let assembled = self.assembled(view, lens)?;
        let assembly =
            assembled.as_ref().as_ref().map_err(|refused| NoAnswer::new(refusal_words(refused).join("; ")))?;
        let drawn =
            report::plot(assembly).map_err(|error| NoAnswer::new(format!("the plot cannot be set: {error}")))?;
        Ok(Plot { svg: drawn.map(|drawing| write::svg(&drawing)) })
    }

    /// Which reading to take next.
    pub(super) fn next(&self, view: View, lens: usize) -> Answer<NextWords> {
        let prepared = self.prepared(view)?;
        let assembled = self.assembled(view, lens)?;
        let assembly =
            assembled.as_ref().as_ref().map_err(|refused| NoAnswer::new(refusal_words(refused).join("; ")))?;
        match Planned::new(&prepared.set, assembly, None, None) {
            Ok(Some(planned)) => {
                let next = report::next_reading(&planned);
                Ok(NextWords { words: next.words, distance: next.distance })
            }
            Ok(None) => Err(NoAnswer::missing("the lens has no focus ring")),
            Err(refused) => Err(NoAnswer::new(refused.to_string())),
        }
    }
}

pub(super) fn refusal_words(refused: &Refusals) -> Vec<String> {
    let words = |refusal: &Refusal| match refusal.ways_out.first() {
        Some(way_out) => format!("{}: {way_out}", refusal.message),
        None => refusal.message.clone(),
    };
    refused.as_slice().iter().map(words).collect()
}

pub(super) fn fault_words(faults: &Faults) -> Vec<String> {
    faults
        .as_slice()
        .iter()
        .map(|fault| match fault.ways_out().first() {
            Some(way_out) => format!("{}: {way_out}", fault.message()),
            None => fault.message().to_string(),
        })
        .collect()
}

fn fit(assembly: &Assembly, ring: &FocusRing) -> FitWords {
    let calibration = &ring.calibration;
    let row = |residual: &Residual| FitRow {
        number: residual.number(),
        words: report::residual_words(ring, residual),
        odd: calibration.is_outlier(residual),
    };
    FitWords {
        line: report::fit_line(ring),
        lines: report::trust_lines(assembly, ring),
        rows: calibration.residuals.iter().map(row).collect(),
    }
}

fn warnings(assembly: &Assembly) -> Vec<String> {
    let focus = assembly.focus.iter().flat_map(|ring| ring.warnings());
    let iris = assembly.iris.iter().flat_map(|ring| ring.warnings());
    focus.chain(iris).collect()
}

fn focus_under(set: &Set, lens: &Lens, ring: &FocusRing, under: &UnderIndex) -> Under {
    let unit = lens.units.first().copied().unwrap_or(DistanceUnit::Metre);
    let words = report::under_index_words(under, unit);
    let stop = set.style.doubtful.stop.or(lens.widest_stop);
    let is_true = stop.and_then(|stop| ring.is_true_at(lens, under.distance, stop));
    Under::Focus {
        deg: under.at.to_deg(),
        distance: under.distance.to_mm().map_or("inf".to_string(), |mm| format!("{mm:.3} mm")),
        also: (words.other != words.distance).then_some(words.other),
        value: words.distance,
        depth: words.sharp,
        trust: words.budget,
        doubtful: is_true == Some(false),
    }
}

fn ring(turning: &TurningRing, dark: bool) -> Ring {
    let (kind, title) = match turning.kind {
        RingKind::Focus => ("focus", "Focus ring"),
        RingKind::Iris => ("iris", "Iris ring"),
    };
    Ring {
        kind,
        title,
        sense: turning.sense.sign() as i8,
        zero_deg: turning.zero.to_deg(),
        from_deg: turning.from.to_deg(),
        to_deg: turning.to.to_deg(),
        rear_diameter: Rounded(turning.rear_diameter.to_mm()),
        front_diameter: Rounded(turning.front_diameter.to_mm()),
        width: Rounded(turning.width.to_mm()),
        index: match turning.index {
            Edge::Rear => "rear",
            Edge::Front => "front",
        },
        index_copies: turning.index_copies,
        rides: turning.rides,
        riding_index_deg: turning.riding_index.map(|at| Rounded(at.to_deg())),
        ground: if dark { "dark" } else { "light" },
        marks: turning.marks.iter().map(|mark| (mark.at.to_deg(), mark.label.clone())).collect(),
        shapes: turning.shapes.iter().map(|shape| drawn(&shape.drawn, shape.doubtful)).collect(),
        plate: turning.plate.iter().map(|shape| drawn(shape, false)).collect(),
    }
}

fn drawn(shape: &Wrapped, doubtful: bool) -> Shape {
    let layer = match shape.layer {
        LayerKind::Ticks => "ticks",
        LayerKind::Numerals => "numerals",
        LayerKind::Index => "index",
        LayerKind::Outline | LayerKind::Guide | LayerKind::Cut => "guide",
    };
    let line = match shape.ink {
        Ink::Line(width) => Some(Rounded(width.to_mm())),
        _ => None,
    };
    let point = |(turn, height): &(f64, f64)| [Rounded(*turn), Rounded(*height)];
    let lines = shape.lines.iter().map(|line| line.iter().flat_map(point).collect()).collect();
    Shape { layer, line, doubtful, lines }
}
