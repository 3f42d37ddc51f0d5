//! `draw`: every strip of a set as its process is handed it, on sheets, with the sheet that tells how to apply them.

use std::path::Path;

use super::{Bits, DrawArguments, Failure, Picture, failed, pictures, save, say, unlettered, with_lenses};
use crate::artwork::Strip;
use crate::assembly::Assembly;
use crate::lettering::{Face, Lettering};
use crate::process::{self, Checker, Engrave, Film, Process, ProcessKind};
use crate::report::{self, application};
use crate::set::{Faults, Set, file_stem};
use crate::sheet::{Item, Page, Paper, SheetError, Sheets, sheets};
use crate::units::Length;
use crate::write::{self, Depth, Raster};

/// Files that are written together at the end, so that a fault leaves the folder as it was.
type Files = Vec<(String, Vec<u8>)>;

/// One lens with its strips as laid out and as its process is handed them.
pub(super) struct Drawn<'a> {
    assembly: &'a Assembly<'a>,
    /// (ending of the file's name, bare strip, finished strip)
    strips: Vec<(&'static str, Strip, Strip)>,
}

pub(super) fn draw(arguments: &DrawArguments) -> Result<(), Failure> {
    let depth = match arguments.bits {
        Bits::Eight => Depth::Grey8,
        Bits::One => Depth::Bilevel,
    };
    let raster = Raster { dpi: arguments.dpi, depth };
    let kind = arguments.making.process.kind();
    let formats = if !arguments.format.is_empty() {
        arguments.format.clone()
    } else if kind == ProcessKind::Film {
        vec![Picture::Svg, Picture::Png, Picture::Pdf]
    } else {
        vec![Picture::Svg, Picture::Dxf, Picture::Pdf]
    };
    with_lenses(&arguments.set, kind, &arguments.chosen, |set, lenses, _| {
        let process = as_coarse_as(set.process, arguments.dpi, &formats);
        let drawn = lay_out(set, lenses)?;
        let wanted = formats.contains(&Picture::Pdf) || arguments.sheet.is_some();
        let laid = if wanted { lay_on_sheets(set, &drawn, arguments.sheet)? } else { Vec::new() };
        write::try_folder(&arguments.out).map_err(|error| failed(&arguments.out, "written into", &error))?;
        let stem = group_stem(set, &drawn);
        let mut files = Files::new();
        let mut checker = Checker::new(&process);
        for lens in &drawn {
            describe(set, lens, &mut checker);
            for (ending, bare, finished) in &lens.strips {
                let stem = format!("{}-{ending}", lens.assembly.lens.file_stem());
                let drawing = match &set.process {
                    Process::Film(film) => process::corrected(&finished.drawing, film),
                    _ => finished.drawing.clone(),
                };
                files.extend(pictures(&stem, &drawing, &formats, &raster)?);
                if kind == ProcessKind::Vinyl
                    && let Some(guide) = process::transfer_guide(bare)
                {
                    files.extend(pictures(&format!("{stem}-transfer"), &guide.drawing, &formats, &raster)?);
                }
            }
        }
        for laid in &laid {
            laid.tell();
            files.extend(laid.files(set, &stem, arguments.sheet.is_some(), &formats, &raster)?);
        }
        files.extend(application_sheet(set, &stem, &drawn, &laid, &files, &formats)?);
        save(&arguments.out, &files)?;
        warn(set, &drawn, &arguments.set, &mut checker);
        say(format_args!("wrote {} files into {}{}", files.len(), arguments.out.display(), parting_words(set)));
        Ok(())
    })
}

/// The process with which the drawing is checked: a picture of fewer dots than the printer has is what is printed.
fn as_coarse_as(process: Process, dpi: f64, formats: &[Picture]) -> Process {
    match process {
        Process::Film(film) if formats.contains(&Picture::Png) => {
            Process::Film(Film { dpi: film.dpi.min(dpi), ..film })
        }
        other => other,
    }
}

/// The face of names and footers, which is never engraved or cut.
fn small_lettering() -> Result<Lettering, Failure> {
    Lettering::new(Face::plain(), Length::mm(2.4)).map_err(unlettered)
}

fn parting_words(set: &Set) -> String {
    match &set.process {
        Process::Film(film) => {
            format!(" for film {} mm thick; print at 100 %, measure a strip before cutting", film.thickness.to_mm())
        }
        Process::Vinyl(vinyl) => {
            format!(" for vinyl {} mm thick; cut one strip and measure it before the others", vinyl.thickness.to_mm())
        }
        Process::Engrave(engrave) => {
            format!(" for a tool {} mm wide; run it over tape or scrap first", engrave.tool.to_mm())
        }
    }
}

/// The beginning of the names of files that hold several lenses: the set's name, with what was chosen of it.
fn group_stem(set: &Set, drawn: &[Drawn]) -> String {
    match drawn {
        [one] if set.lenses.len() > 1 => one.assembly.lens.file_stem(),
        some if some.len() < set.lenses.len() => format!("{}-{}-lenses", file_stem(&set.name), some.len()),
        _ => file_stem(&set.name),
    }
}

/// Every strip, laid out and finished, before the first file is written.
pub(super) fn lay_out<'a>(set: &Set, lenses: &'a [Assembly<'a>]) -> Result<Vec<Drawn<'a>>, Failure> {
    let mut drawn = Vec::new();
    let mut faults = Vec::new();
    for assembly in lenses {
        match assembly.strips() {
            Ok(strips) => {
                let bare: Vec<&Strip> = strips.iter().map(|(_, strip)| strip).collect();
                let made = process::finished_all(&bare, &set.process).into_iter().collect::<Result<Vec<_>, _>>();
                let made =
                    made.map_err(|error| Failure::Other(error.to_string(), error.way_out().map(str::to_string)))?;
                let finished =
                    strips.into_iter().zip(made).map(|((ending, strip), made)| (ending, strip, made)).collect();
                drawn.push(Drawn { assembly, strips: finished });
            }
            Err(found) => faults.extend(found.as_slice().to_vec()),
        }
    }
    match Faults::new(faults) {
        Some(faults) => Err(faults.into()),
        None => Ok(drawn),
    }
}

/// What lies together on sheets.
pub(super) struct Laid {
    /// `sheet`, or `transfer` for what is laid under the tape.
    what: &'static str,
    page: Page,
    laid: Sheets,
}

/// Everything on sheets: the strips on what they are made from, transfer guides on paper of their own.
pub(super) fn lay_on_sheets(set: &Set, drawn: &[Drawn], paper: Option<Paper>) -> Result<Vec<Laid>, Failure> {
    let lettering = small_lettering()?;
    let (mut items, mut guides) = (Vec::new(), Vec::new());
    for lens in drawn {
        for (ending, bare, finished) in &lens.strips {
            let name = format!("{}, {ending}", lens.assembly.lens.name);
            if let (ProcessKind::Vinyl, Some(guide)) = (set.process.kind(), process::transfer_guide(bare)) {
                guides.push(Item { name: format!("{name}, transfer guide"), strip: guide, copies: 1 });
            }
            let strip = on_paper(bare, finished, &set.process)?;
            items.push(Item { name, strip, copies: 1 + set.spares });
        }
    }
    let (printed, advice) = match &set.process {
        Process::Film(film) => (film.printed, "print at 100 %"),
        Process::Vinyl(_) => ((1.0, 1.0), "cut at 100 %"),
        Process::Engrave(_) => ((1.0, 1.0), "a proof: print at 100 %"),
    };
    let page = Page {
        printed,
        title: set.name.clone(),
        advice: advice.to_string(),
        ..Page::new(paper.or(set.paper).unwrap_or(Paper::A4))
    };
    // what is laid under the tape is printed on paper, whatever the vinyl lies on
    let under_tape = Page { paper: Paper::A4, advice: "print at 100 %".to_string(), ..page.clone() };
    let mut all = Vec::new();
    for (what, items, page) in [("sheet", items, page), ("transfer", guides, under_tape)] {
        if !items.is_empty() {
            let laid = sheets(&items, &page, &lettering).map_err(too_large)?;
            all.push(Laid { what, page, laid });
        }
    }
    Ok(all)
}

/// What lies on a sheet: a rotary axis's degrees are no paper's millimetres, so the ring's face is shown flat.
fn on_paper(bare: &Strip, finished: &Strip, process: &Process) -> Result<Strip, Failure> {
    match process {
        Process::Engrave(engrave) if engrave.rotary => {
            process::finished(bare, &Process::Engrave(Engrave { rotary: false, ..*engrave }))
                .map_err(|error| Failure::Other(error.to_string(), error.way_out().map(str::to_string)))
        }
        _ => Ok(finished.clone()),
    }
}

fn too_large(error: SheetError) -> Failure {
    let way_out = "name larger paper, like --sheet A3 or --sheet \"roll 300 mm\", or draw strips alone, --format svg";
    Failure::Other(error.to_string(), Some(way_out.to_string()))
}

impl Laid {
    fn tell(&self) {
        let (what, count) = (self.what, self.laid.sheets.len());
        let waste = self.laid.sheets.iter().map(|sheet| sheet.waste).sum::<f64>() / count.max(1) as f64;
        let sheets = if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") };
        say(format_args!("{sheets}: {}, {:.0} % of their room unused", self.page.paper, 100.0 * waste));
        for note in &self.laid.notes {
            say(format_args!("  note:  {note}"));
        }
    }

    /// A PDF of all pages, and where paper was named every other format too.
    fn files(
        &self,
        set: &Set,
        stem: &str,
        named: bool,
        formats: &[Picture],
        raster: &Raster,
    ) -> Result<Files, Failure> {
        let what = self.what;
        let mut files = Files::new();
        if formats.contains(&Picture::Pdf) {
            let drawings: Vec<_> = self.laid.sheets.iter().map(|sheet| sheet.drawing.clone()).collect();
            files.push((format!("{stem}-{what}s.pdf"), write::pdf(&format!("{}, {what}s", set.name), &drawings)));
        }
        if named && what == "sheet" {
            for (i, sheet) in self.laid.sheets.iter().enumerate() {
                files.extend(pictures(&format!("{stem}-sheet-{}", i + 1), &sheet.drawing, formats, raster)?);
            }
        }
        Ok(files)
    }
}

/// The sheet to have beside one while applying: HTML always, and PDF of its own pages.
fn application_sheet(
    set: &Set,
    stem: &str,
    drawn: &[Drawn],
    laid: &[Laid],
    files: &Files,
    formats: &[Picture],
) -> Result<Files, Failure> {
    let names: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
    let lenses = drawn.iter().map(|lens| {
        let strips = lens.strips.iter().map(|(ending, bare, _)| (*ending, bare));
        application::applied(lens.assembly, strips, 1 + set.spares, &names)
    });
    let (name, lenses) = (set.name.clone(), lenses.collect());
    let mut sheet =
        application::Application { set: name, process: set.process, lenses, sheets: vec![], guides: vec![] };
    for Laid { what, laid, .. } in laid {
        let own = |name: &&String| name.strip_prefix(stem).is_some_and(|rest| rest.starts_with(&format!("-{what}")));
        let own = names.iter().filter(own).cloned().collect();
        if *what == "sheet" { sheet.lie_on(laid, own) } else { sheet.have_guides(laid, own) }
    }
    let html = application::html(&sheet).map_err(unlettered)?;
    let mut files = vec![(format!("{stem}-application.html"), html.into_bytes())];
    if formats.contains(&Picture::Pdf) {
        let pages = application::pages(&sheet).map_err(unlettered)?;
        let title = format!("{}, application sheet", set.name);
        files.push((format!("{stem}-application.pdf"), write::pdf(&title, &pages)));
    }
    Ok(files)
}

/// What was made of a lens, how well it fitted, and what to look at.
fn describe(set: &Set, lens: &Drawn, checker: &mut Checker) {
    let assembly = lens.assembly;
    say(&assembly.lens.name);
    let size = |ending: &str| {
        let strip = lens.strips.iter().find(|(e, ..)| *e == ending).map(|(_, strip, _)| &strip.drawing);
        strip.map_or(String::new(), |strip| format!("; {:.1} x {:.1} mm", strip.width.to_mm(), strip.height.to_mm()))
    };
    if let Some(ring) = &assembly.focus {
        say(format_args!("  focus: {}{}", report::fit_line(ring), size("focus")));
    }
    if let Some(ring) = &assembly.iris {
        say(format_args!("  iris:  {}{}", report::iris_line(ring), size("iris")));
    }
    if let Some(scale) = &assembly.disc {
        let rows = if scale.face.winds() { ", wound inward" } else { "" };
        say(format_args!("  disc:  {:.2} turns{rows}{}", scale.face.turns, size("disc")));
    }
    if let Process::Vinyl(vinyl) = &set.process {
        for (ending, strip, _) in &lens.strips {
            let cut = process::cut_report(strip, vinyl);
            say(format_args!("  cut:   {ending}: {}", report::cut_line(&cut, checker.smallest(strip))));
        }
    }
    let focus = assembly
        .focus
        .iter()
        .flat_map(|ring| ring.calibration.doubts.iter().map(ToString::to_string).chain(ring.doubts.iter().cloned()));
    let iris = assembly.iris.iter().flat_map(|ring| ring.doubts());
    for doubt in focus.chain(iris) {
        say(format_args!("  look:  {doubt}"));
    }
    for line in report::left_out_lines(assembly) {
        say(format_args!("  note:  {line}"));
    }
}

/// What the process cannot make, in one line for each strip.
fn warn(set: &Set, drawn: &[Drawn], file: &Path, checker: &mut Checker) {
    let mut found = 0;
    let bare: Vec<&Strip> = drawn.iter().flat_map(|lens| lens.strips.iter().map(|(_, bare, _)| bare)).collect();
    let mut checked = checker.check_all(&bare).into_iter();
    for lens in drawn {
        for ((ending, ..), findings) in lens.strips.iter().zip(checked.by_ref()) {
            if let Some(worst) = report::worst_line(&findings) {
                found += findings.len();
                say(format_args!("  fine:  {}, {ending}: {worst}", lens.assembly.lens.name));
            }
        }
    }
    if found > 0 {
        let kind = match set.process.kind() {
            ProcessKind::Film => "film",
            ProcessKind::Vinyl => "vinyl",
            ProcessKind::Engrave => "engrave",
        };
        let places = if found == 1 { "place is" } else { "places are" };
        say(format_args!(
            "{found} {places} too fine to be made; see them with  ringwright check {} --process {kind}",
            file.display()
        ));
    }
}
