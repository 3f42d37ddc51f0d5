//! One lens of a set becomes laws, marks and strips.
//!
//! Takes a lens and the lettering; calibrates, chooses the marks, computes the error of each, and lays the strips out.
//! An error comes back as a fault at its place in the file, a warning as a sentence beside the result. No files are
//! written here.
//!
//! ```
//! use std::path::Path;
//!
//! use ringwright::assembly::{Assembly, lettering};
//! use ringwright::model::{Piece, Set};
//! use ringwright::set::TEMPLATE;
//!
//! let set = Set::parse("quarry.toml", TEMPLATE, Path::new("")).unwrap();
//! let lettering = lettering(&set).unwrap();
//! let assembly = Assembly::new(&set, &set.lenses[0], &lettering).unwrap();
//! let strips = assembly.strips().unwrap();
//! assert_eq!(strips[0].0, Piece::Focus);
//! ```

mod budget;
mod checks;
mod depth_marks;
mod ride;
mod rings;
mod turning;
mod under_index;
mod wishes;

pub use budget::{Budget, SMALLEST_STOP, Uncertainty, next_third};
pub use checks::{JudgedScale, WithChecks, with_checks};
pub use depth_marks::{DepthPair, hyperfocal_marks};
pub use ride::Ride;
use rings::RingBuilder;
pub use turning::{NumberedMark, Shape, TurningRing};
pub use under_index::{Evidence, StopUnderIndex, UnderIndex};

use crate::artwork::{self, DiscFace, IndexPlate, LayoutError, Look, MarkValue, Strip};
use crate::calibration::{FocusCalibration, IrisCalibration, LightCalibration};
use crate::lettering::{Face, Lettering};
use crate::model::{
    Disc, DistanceUnit, Focus, Iris, Lens, Piece, Refusal, Refusals, RingKind, Set, Style, Subject, Typeface,
};
use crate::optics::ThinLens;
use crate::process::Tolerance;
use crate::scale::{Band, BandUnit, Feet, Figures, Inches};
use crate::surface::Surface;
use crate::units::{Angle, Distance, Length, Stop};

/// Every character that a number can hold as these figures write it.
fn figure_characters(figures: Figures) -> String {
    let feet = match figures.feet {
        Feet::Primes => "",
        Feet::Dash => "-",
        Feet::Decimal => "",
        Feet::Words => "ftin",
    };
    let inches = match figures.inches {
        Inches::Fractions => "⅛¼⅜½⅝¾⅞",
        Inches::Decimal => "",
    };
    format!("0123456789.∞′″{inches}{feet}mftT")
}

/// Every character of the set's labels; the H of hyperfocal marks only where there are any, for not every font of numerals
/// has it.
fn characters(set: &Set) -> String {
    let hyperfocal = set.lenses.iter().flat_map(|lens| &lens.focus).any(|focus| !focus.hyperfocal.is_empty());
    let focus = set.lenses.iter().flat_map(|lens| &lens.focus).map(|focus| &focus.scale);
    let bands = focus.chain([&set.choices.scale]).flat_map(|scale| DistanceUnit::ALL.map(|unit| scale.of(unit)));
    let mut all = figure_characters(set.style.figures);
    all.extend(hyperfocal.then_some('H'));
    all.extend(bands.flat_map(|band| band.texts()).flat_map(str::chars));
    let irises = set.lenses.iter().flat_map(|lens| &lens.iris);
    all.extend(irises.flat_map(|iris| iris.scale.texts()).flat_map(str::chars));
    let mut once = String::new();
    all.chars().filter(|c| *c != ' ').for_each(|c| {
        if !once.contains(c) {
            once.push(c);
        }
    });
    once
}

/// The set's lettering.
///
/// # Errors
/// A font file that cannot be read, is no font, or lacks a character of the labels.
pub fn lettering(set: &Set) -> Result<Lettering, Refusals> {
    let fault = |message: String| Refusals::from(Refusal::new(Subject::Typeface, message, "this typeface"));
    let settings = set.process.settings();
    let characters = characters(set);
    if let Some(line) = settings.numeral_line() {
        let lettering = Lettering::lines(set.style.numeral_height, line).map_err(|error| fault(error.to_string()))?;
        lettering.line(&characters).map_err(|error| {
            Refusals::from(
                Refusal::new(Subject::Typeface, error.to_string(), "this typeface").way_out(
                    "engrave the numerals along their outlines, lettering = \"outline\", or choose another text",
                ),
            )
        })?;
        return Ok(lettering);
    }
    let face = match &set.style.typeface {
        Typeface::Plain => Face::plain(),
        Typeface::Bold => Face::bold(),
        Typeface::Stencil => Face::stencil(),
        Typeface::File(path) => {
            let name =
                path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
            let bytes = std::fs::read(path).map_err(|error| fault(format!("{name} cannot be read: {error}")))?;
            Face::from_bytes(&name, bytes).map_err(|error| fault(error.to_string()))?
        }
    };
    let lettering = Lettering::new(face, set.style.numeral_height).map_err(|error| fault(error.to_string()))?;
    lettering.line(&characters).map_err(|error| fault(error.to_string()))?;
    match settings.bridge() {
        Some(bridge) => lettering.with_bridges(bridge, &characters).map_err(|error| fault(error.to_string())),
        None => Ok(lettering),
    }
}

/// The lenses of a set, each with everything computed.
///
/// # Errors
/// All refusals of all lenses.
pub fn assembled<'a>(
    set: &'a Set,
    lenses: impl Iterator<Item = &'a Lens>,
    lettering: &'a Lettering,
) -> Result<Vec<Assembly<'a>>, Refusals> {
    let (mut all, mut refused) = (Vec::new(), Vec::new());
    for lens in lenses {
        match Assembly::new(set, lens, lettering) {
            Ok(assembly) => all.push(assembly),
            Err(found) => refused.extend(found.as_slice().to_vec()),
        }
    }
    match Refusals::new(refused) {
        Some(refused) => Err(refused),
        None => Ok(all),
    }
}

/// A lens with everything computed.
pub struct Assembly<'a> {
    /// What the file says.
    pub lens: &'a Lens,
    /// The focus ring, where the lens has one.
    pub focus: Option<FocusRing<'a>>,
    /// The iris ring, where the lens has one.
    pub iris: Option<IrisRing<'a>>,
    /// The marking disc, where the lens has one.
    pub disc: Option<DiscScale<'a>>,
    set: &'a Set,
    lettering: &'a Lettering,
}

/// A focus ring with its law and marks.
#[derive(Clone)]
pub struct FocusRing<'a> {
    /// What the file says.
    pub focus: &'a Focus,
    /// The law and its errors.
    pub calibration: FocusCalibration,
    /// One for each unit, in the file's order.
    pub bands: Vec<Band>,
    /// mm along the strip to a degree of the ring.
    pub mm_per_degree: f64,
    /// Warnings beyond those of the calibration.
    pub warnings: Vec<String>,
    /// Marks of depth of field beside the index, from the nearest pair on.
    pub depth: Vec<DepthPair>,
    /// Depth and hyperfocal marks that were asked for and have no room, one sentence each.
    pub left_out: Vec<String>,
    surface: Surface,
    tolerance: Tolerance,
    repeat: bool,
}

/// An iris ring with its law and marks.
pub struct IrisRing<'a> {
    /// What the file says.
    pub iris: &'a Iris,
    /// The law and its errors; over T-stops where exposures place the marks.
    pub calibration: IrisCalibration,
    /// The result of the exposures, where there are any.
    pub light: Option<LightCalibration>,
    /// The marks.
    pub band: Band,
    /// mm along the strip to a degree of the ring.
    pub mm_per_degree: f64,
    surface: Surface,
    tolerance: Tolerance,
}

/// A marking disc with its marks.
pub struct DiscScale<'a> {
    /// What the file says.
    pub disc: &'a Disc,
    /// One for each unit, in the file's order.
    pub bands: Vec<Band>,
    /// How the scale lies on the disc.
    pub face: DiscFace,
}

/// Everything that is made for a lens.
pub struct LaidOut {
    /// What fits.
    pub strips: Vec<(Piece, Strip)>,
    /// What does not.
    pub unfit: Vec<Unfit>,
    /// Where the index of an iris ring that rides along stands on the focus ring.
    pub riding_index: Option<Angle>,
}

/// A scale that does not fit its ring or disc.
#[derive(Debug)]
pub struct Unfit {
    /// What it is.
    pub piece: Piece,
    /// Why it does not fit.
    pub error: LayoutError,
}

impl<'a> Assembly<'a> {
    /// How its strips look.
    pub fn style(&self) -> &Style {
        &self.set.style
    }

    /// How near ticks may stand to each other, centre to centre.
    pub fn tick_gap(&self) -> Length {
        RingBuilder { set: self.set, lens: self.lens, lettering: self.lettering }.tick_gap()
    }

    /// Computes everything about `lens`.
    ///
    /// # Errors
    /// When no law can be fitted, or the scale does not fit the ring.
    pub fn new(set: &'a Set, lens: &'a Lens, lettering: &'a Lettering) -> Result<Self, Refusals> {
        let rings = RingBuilder { set, lens, lettering };
        let focus = lens.focus.as_ref().map(|focus| rings.focus(focus)).transpose();
        let iris = lens.iris.as_ref().map(|iris| rings.iris(iris)).transpose();
        match (focus, iris) {
            (Ok(focus), Ok(iris)) => {
                let disc = lens.disc.as_ref().zip(focus.as_ref()).map(|(disc, ring)| rings.disc(disc, ring));
                let disc = disc.transpose()?;
                Ok(Assembly { lens, focus, iris, disc, set, lettering })
            }
            (focus, iris) => {
                let refused = [focus.err(), iris.err()].into_iter().flatten();
                let refused: Vec<Refusal> = refused.flat_map(|refused| refused.as_slice().to_vec()).collect();
                let lens = Subject::Lens(lens.name.clone());
                Err(Refusals::new(refused)
                    .unwrap_or_else(|| Refusal::new(lens, "this lens cannot be drawn", "this lens").into()))
            }
        }
    }

    /// The strips, the disc and the index plates.
    ///
    /// # Errors
    /// When a scale does not fit its ring.
    pub fn strips(&self) -> Result<Vec<(Piece, Strip)>, Refusals> {
        let LaidOut { strips, unfit, .. } = self.laid_out();
        match Refusals::new(unfit.iter().map(|unfit| self.refused(unfit)).collect()) {
            Some(refused) => Err(refused),
            None => Ok(strips),
        }
    }

    /// The same, with what does not fit as values beside what does.
    pub fn laid_out(&self) -> LaidOut {
        let look = look(self.set);
        let name = &self.lens.name;
        let mut pieces = Vec::new();
        if let Some(ring) = &self.focus {
            let focus = ring.focus;
            let face = artwork::ScaleFace {
                surface: ring.surface,
                sense: focus.toward_close,
                index: focus.index,
                read_from: focus.read_from,
                repeat: ring.repeat,
            };
            let strip = artwork::strip(&format!("{name}, focus"), &face, &look, self.lettering, &ring.bands);
            pieces.push((Piece::Focus, strip));
        }
        if let Some(ring) = &self.iris {
            let iris = ring.iris;
            let face = artwork::ScaleFace {
                surface: ring.surface,
                sense: iris.toward_closed,
                index: iris.index,
                read_from: iris.read_from,
                repeat: false,
            };
            let bands = std::slice::from_ref(&ring.band);
            let strip = artwork::strip(&format!("{name}, iris"), &face, &look, self.lettering, bands);
            pieces.push((Piece::Iris, strip));
        }
        if let Some(scale) = &self.disc {
            let disc = artwork::disc(&format!("{name}, disc"), &scale.face, &look, self.lettering, &scale.bands);
            pieces.push((Piece::Disc, disc));
        }
        let (mut strips, mut unfit, mut riding_index) = (Vec::new(), Vec::new(), None);
        for (piece, strip) in pieces {
            match strip {
                Ok(mut strip) => {
                    if piece == Piece::Focus && self.iris.as_ref().is_some_and(|ring| ring.iris.rides.is_some()) {
                        riding_index = self.draw_riding_index(&mut strip);
                        if riding_index.is_none() {
                            unfit.push(Unfit { piece, error: LayoutError::NoPlaceForIndex });
                        }
                    }
                    strips.push((piece, strip));
                }
                Err(error) => unfit.push(Unfit { piece, error }),
            }
        }
        let plates: Vec<IndexPlate> = self.plates().map(|(_, plate)| plate).collect();
        match artwork::index_plates(&format!("{name}, index marks"), &look, self.lettering, &plates) {
            Ok(strip) => strips.push((Piece::Index, strip)),
            Err(error) => unfit.push(Unfit { piece: Piece::Index, error }),
        }
        LaidOut { strips, unfit, riding_index }
    }

    fn refused(&self, unfit: &Unfit) -> Refusal {
        let name = self.lens.name.clone();
        let subject = match unfit.piece {
            Piece::Focus => Subject::Ring(name, RingKind::Focus),
            Piece::Iris => Subject::Ring(name, RingKind::Iris),
            Piece::Disc => Subject::Disc(name),
            Piece::Index => Subject::Lens(name),
        };
        layout_refusal(subject, &unfit.error)
    }

    /// The index plates, from the left; `true` with those of the iris ring.
    pub fn plates(&self) -> impl Iterator<Item = (bool, IndexPlate)> + use<'_> {
        let focus = self.focus.iter().map(|ring| {
            let Focus { index, toward_close: sense, read_from, .. } = *ring.focus;
            let depth = ring.depth.iter().map(|depth| depth.mark.clone()).collect();
            (false, IndexPlate { index, copies: if ring.repeat { 2 } else { 1 }, sense, read_from, depth })
        });
        // an iris ring that turns along has its index on the focus ring
        let stays = |ring: &&IrisRing| ring.iris.rides.is_none();
        let iris = self.iris.iter().filter(stays).map(|ring| (true, IndexPlate::bare(ring.iris.index, 1)));
        focus.chain(iris)
    }

    /// The focus marks of `unit`, whether or not the set asks for them.
    pub fn focus_band(&self, unit: BandUnit) -> Option<Band> {
        let ring = self.focus.as_ref()?;
        let rings = RingBuilder { set: self.set, lens: self.lens, lettering: self.lettering };
        Some(rings.band(ring.focus, &ring.calibration, &ring.surface, unit).ok()?.0)
    }
}

/// The lens for depth of field.
pub fn thin_lens(lens: &Lens) -> ThinLens {
    let gap = lens.focus.as_ref().and_then(|focus| focus.known.principal_gap).unwrap_or(Length::ZERO);
    ThinLens { focal_length: lens.focal_length, principal_gap: gap }
}

/// Lettering of lines goes with ticks of lines, by the same tool.
fn look(set: &Set) -> Look {
    let style = &set.style;
    Look {
        tick_width: style.tick_width,
        tool: set.process.settings().line(),
        numbered_tick: style.numbered_tick,
        tick_follows: set.choices.numbered_tick.is_none(),
        medium_tick: style.medium_tick,
        plain_tick: style.plain_tick,
        sign: style.figures.sign,
        label_gap: style.label_gap,
        extent: style.extent,
    }
}

fn layout_refusal(subject: Subject, error: &LayoutError) -> Refusal {
    let label = match error {
        LayoutError::TooHigh { .. } => "this face is too narrow",
        LayoutError::TooLong { .. } => "this ring is too small",
        LayoutError::TooDeep { .. } => "this disc is too small",
        LayoutError::NoPlaceForIndex => "no free place here",
        LayoutError::Lettering(_) => "for this ring",
    };
    let refusal = Refusal::new(subject, error.to_string(), label);
    if matches!(error, LayoutError::TooHigh { bands: 2, .. }) {
        return refusal.way_out("or give one unit, units = [\"m\"]");
    }
    refusal
}

/// For marks of either scale: the exact stop of an iris mark on the law's own scale.
pub fn law_stop(ring: &IrisRing, mark: &crate::scale::Mark) -> Option<Stop> {
    let MarkValue::Stop(number) = mark.value else { return None };
    let over_t = ring.light.as_ref().is_some_and(|light| light.t_law.is_some());
    let tau = ring.iris.transmittance.filter(|_| ring.iris.t_scale && !over_t).unwrap_or(1.0);
    Some(Stop::exact(number * tau.sqrt()))
}

/// The value of a focus mark.
pub fn mark_distance(value: MarkValue) -> Option<Distance> {
    match value {
        MarkValue::Distance(distance) => Some(distance),
        MarkValue::Stop(_) => None,
    }
}
