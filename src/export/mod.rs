//! Lenses of a set become the files that are made of them: strips as their process is handed them, sheets, the sheet
//! that tells how to apply them.
//!
//! Takes assembled lenses; gives a list of files, each by name, and any of them as bytes. Writes nothing to disk, so
//! that whoever shows a file and whoever saves it hand out the same bytes.
//!
//! ```
//! use ringwright::export::Format;
//!
//! assert_eq!(Format::ALL.map(Format::ending), ["svg", "png", "pdf", "dxf"]);
//! ```

mod left_over;
mod sheets;

pub use left_over::left_over;
pub use sheets::{OnSheets, SheetKind, on_sheets};

use crate::artwork::{Drawing, Strip};
use crate::assembly::Assembly;
use crate::lettering::{Face, Lettering, LetteringError};
use crate::model::{Piece, Refusals, Set, file_stem};
use crate::process::{self, Process};
use crate::report::application;
use crate::units::Length;
use crate::write::{self, PngError, Raster};

pub use crate::write::Format;

/// Why something cannot be made.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub enum ExportError {
    /// What the set itself is at fault for.
    Refused(Refusals),
    /// Anything else, as a message and a way out.
    Other(String, Option<String>),
}

impl std::fmt::Display for ExportError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ExportError::Refused(refused) => refused.fmt(f),
            ExportError::Other(message, _) => f.write_str(message),
        }
    }
}

impl std::error::Error for ExportError {}

impl From<Refusals> for ExportError {
    fn from(refused: Refusals) -> Self {
        ExportError::Refused(refused)
    }
}

pub(crate) fn unlettered(error: LetteringError) -> ExportError {
    ExportError::Other(format!("the text cannot be set: {error}"), None)
}

/// The face of names and footers, which is never engraved or cut.
///
/// # Errors
/// When the face cannot be read.
pub(crate) fn small_lettering() -> Result<Lettering, ExportError> {
    Lettering::new(Face::plain(), Length::mm(2.4)).map_err(unlettered)
}

/// One lens with its strips as laid out and as its process is handed them.
pub struct Finished<'a> {
    /// The lens.
    pub assembly: &'a Assembly<'a>,
    /// Its strips.
    pub strips: Vec<FinishedStrip>,
}

/// One strip, before and after its process.
pub struct FinishedStrip {
    /// What it is.
    pub piece: Piece,
    /// As it was laid out.
    pub bare: Strip,
    /// As its process is handed it.
    pub finished: Strip,
}

/// Every strip, laid out and finished.
///
/// # Errors
/// When a scale does not fit its ring, or a process cannot take it.
pub fn finish<'a>(set: &Set, lenses: &'a [Assembly<'a>]) -> Result<Vec<Finished<'a>>, ExportError> {
    let mut all = Vec::new();
    let mut refused = Vec::new();
    for assembly in lenses {
        match assembly.strips() {
            Ok(strips) => {
                let bare: Vec<&Strip> = strips.iter().map(|(_, strip)| strip).collect();
                let finished = process::finished_all(&bare, &set.process).into_iter().collect::<Result<Vec<_>, _>>();
                let finished = finished
                    .map_err(|error| ExportError::Other(error.to_string(), error.way_out().map(str::to_string)))?;
                let strips = strips
                    .into_iter()
                    .zip(finished)
                    .map(|((piece, bare), finished)| FinishedStrip { piece, bare, finished })
                    .collect();
                all.push(Finished { assembly, strips });
            }
            Err(found) => refused.extend(found.as_slice().to_vec()),
        }
    }
    match Refusals::new(refused) {
        Some(refused) => Err(refused.into()),
        None => Ok(all),
    }
}

/// The process with which a drawing is checked: a picture of fewer dots than the printer has is what is printed.
pub(crate) fn as_coarse_as(process: Process, dpi: f64, formats: &[Format]) -> Process {
    let as_picture = process.settings().seen_at(dpi).filter(|_| formats.contains(&Format::Png));
    as_picture.unwrap_or(process)
}

/// One file that can be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    /// Its name.
    pub name: String,
    what: What,
}

#[derive(Clone, Debug, PartialEq)]
enum What {
    Strip { lens: usize, strip: usize, format: Format },
    Transfer { lens: usize, strip: usize, format: Format },
    Sheets { of: usize },
    Sheet { of: usize, page: usize, format: Format },
    ApplicationHtml,
    ApplicationPdf,
}

/// Everything that is made of some lenses of a set, each file to be had by its name.
pub struct Job<'a> {
    set: &'a Set,
    made: &'a [Finished<'a>],
    sheets: &'a [OnSheets],
    raster: Raster,
    stem: String,
    files: Vec<Listed>,
}

impl<'a> Job<'a> {
    /// The files of `made` in `formats`; with `every_sheet` each sheet is a file of its own in every format too.
    pub fn new(
        set: &'a Set,
        made: &'a [Finished<'a>],
        sheets: &'a [OnSheets],
        formats: &[Format],
        raster: Raster,
        every_sheet: bool,
    ) -> Self {
        let stem = group_stem(set, made);
        let mut job = Job { set, made, sheets, raster, stem, files: Vec::new() };
        job.list(formats, every_sheet);
        job
    }

    /// Every file, in the order in which they are written.
    pub fn files(&self) -> &[Listed] {
        &self.files
    }

    fn list(&mut self, formats: &[Format], every_sheet: bool) {
        let pictures: Vec<Format> =
            Format::WRITTEN.into_iter().filter(|format| *format != Format::Pdf && formats.contains(format)).collect();
        let mut add = |name: String, what: What| self.files.push(Listed { name, what });
        for (lens, made) in self.made.iter().enumerate() {
            for (strip, one) in made.strips.iter().enumerate() {
                let stem = format!("{}-{}", made.assembly.lens.file_stem(), one.piece);
                for format in &pictures {
                    let format = *format;
                    add(format!("{stem}.{}", format.ending()), What::Strip { lens, strip, format });
                }
                if self.set.process.settings().transfer_guide(&one.bare).is_some() {
                    for format in &pictures {
                        let format = *format;
                        add(format!("{stem}-transfer.{}", format.ending()), What::Transfer { lens, strip, format });
                    }
                }
            }
        }
        for (of, sheets) in self.sheets.iter().enumerate() {
            if formats.contains(&Format::Pdf) {
                add(format!("{}-{}s.pdf", self.stem, sheets.kind.word()), What::Sheets { of });
            }
            if every_sheet && sheets.kind == SheetKind::Strips {
                for page in 0..sheets.laid.sheets.len() {
                    for format in &pictures {
                        let name = format!("{}-sheet-{}.{}", self.stem, page + 1, format.ending());
                        add(name, What::Sheet { of, page, format: *format });
                    }
                }
            }
        }
        add(format!("{}-application.html", self.stem), What::ApplicationHtml);
        if formats.contains(&Format::Pdf) {
            add(format!("{}-application.pdf", self.stem), What::ApplicationPdf);
        }
    }

    /// The bytes of a file.
    ///
    /// # Errors
    /// A picture that is too large for its resolution, or a text that cannot be set.
    pub fn bytes(&self, file: &Listed) -> Result<Vec<u8>, ExportError> {
        let set = self.set;
        match file.what {
            What::Strip { lens, strip, format } => {
                let finished = &self.made[lens].strips[strip].finished.drawing;
                picture(&file.name, &set.process.settings().single(finished), format, &self.raster)
            }
            What::Transfer { lens, strip, format } => {
                match set.process.settings().transfer_guide(&self.made[lens].strips[strip].bare) {
                    Some(guide) => picture(&file.name, &guide.drawing, format, &self.raster),
                    None => Ok(Vec::new()),
                }
            }
            What::Sheets { of } => {
                let sheets = &self.sheets[of];
                let drawings: Vec<_> = sheets.laid.sheets.iter().map(|sheet| sheet.drawing.clone()).collect();
                Ok(write::pdf(&format!("{}, {}s", set.name, sheets.kind.word()), &drawings))
            }
            What::Sheet { of, page, format } => {
                picture(&file.name, &self.sheets[of].laid.sheets[page].drawing, format, &self.raster)
            }
            What::ApplicationHtml => application::html(&self.application()).map(String::into_bytes).map_err(unlettered),
            What::ApplicationPdf => {
                let pages = application::pages(&self.application()).map_err(unlettered)?;
                Ok(write::pdf(&format!("{}, application sheet", set.name), &pages))
            }
        }
    }

    /// What the application sheet tells of.
    fn application(&self) -> application::Application {
        let set = self.set;
        let is_application = |file: &&Listed| !matches!(file.what, What::ApplicationHtml | What::ApplicationPdf);
        let names: Vec<String> = self.files.iter().filter(is_application).map(|file| file.name.clone()).collect();
        let lenses = self.made.iter().map(|made| {
            let strips = made.strips.iter().map(|strip| (strip.piece, &strip.bare));
            application::applied(made.assembly, strips, 1 + set.spares, &names)
        });
        let (name, lenses) = (set.name.clone(), lenses.collect());
        let mut sheet =
            application::Application { set: name, process: set.process, lenses, sheets: vec![], guides: vec![] };
        for OnSheets { kind, laid, .. } in self.sheets {
            let own = |name: &&String| {
                name.strip_prefix(&self.stem).is_some_and(|rest| rest.starts_with(&format!("-{}", kind.word())))
            };
            let own = names.iter().filter(own).cloned().collect();
            match kind {
                SheetKind::Strips => sheet.lie_on(laid, own),
                SheetKind::TransferGuides => sheet.have_guides(laid, own),
            }
        }
        sheet
    }
}

/// The beginning of the names of files that hold several lenses: the set's name, with what was chosen of it.
fn group_stem(set: &Set, made: &[Finished]) -> String {
    match made {
        [one] if set.lenses.len() > 1 => one.assembly.lens.file_stem(),
        some if some.len() < set.lenses.len() => format!("{}-{}-lenses", file_stem(&set.name), some.len()),
        _ => file_stem(&set.name),
    }
}

/// A drawing in a format; `name` is the file's, for messages.
///
/// # Errors
/// A picture that is too large for its resolution.
pub(crate) fn picture(name: &str, drawing: &Drawing, format: Format, raster: &Raster) -> Result<Vec<u8>, ExportError> {
    match format {
        Format::Svg => Ok(write::svg(drawing).into_bytes()),
        Format::Dxf => Ok(write::dxf(drawing).into_bytes()),
        Format::Pdf => Ok(write::pdf(&drawing.title, std::slice::from_ref(drawing))),
        Format::Png => {
            let mut bytes = Vec::new();
            write::png(&write::svg(drawing), raster, &mut bytes).map_err(|error| {
                let way_out =
                    matches!(error, PngError::Side { .. }).then(|| "or draw SVG alone, --format svg".to_string());
                ExportError::Other(format!("{name}: {error}"), way_out)
            })?;
            Ok(bytes)
        }
    }
}
