//! `draw`: every strip of a set as its process is handed it, on sheets, with the sheet that tells how to apply them.

use std::fs;
use std::path::Path;

use super::arguments::{Bits, DrawArguments};
use super::{Failure, failed, save, say, with_lenses};
use crate::artwork::Strip;
use crate::export::{self, Finished, FinishedStrip, Format, Job, OnSheets};
use crate::model::{Piece, Set};
use crate::process::Checker;
use crate::report;
use crate::write::{self, BitDepth, Raster};

pub(super) fn draw(arguments: &DrawArguments) -> Result<(), Failure> {
    let depth = match arguments.bits {
        Bits::Eight => BitDepth::Grey8,
        Bits::One => BitDepth::Bilevel,
    };
    let raster = Raster { dpi: arguments.dpi, depth };
    let kind = arguments.making.process;
    let formats = if arguments.format.is_empty() { kind.usual_formats().to_vec() } else { arguments.format.clone() };
    with_lenses(&arguments.set, kind, &arguments.chosen, |set, lenses, _| {
        let process = export::as_coarse_as(set.process, arguments.dpi, &formats);
        let made = export::finish(set, lenses)?;
        let wanted = formats.contains(&Format::Pdf) || arguments.sheet.is_some();
        let sheets = if wanted { export::on_sheets(set, &made, arguments.sheet)? } else { Vec::new() };
        write::try_folder(&arguments.out).map_err(|error| failed(&arguments.out, "written into", &error))?;
        let job = Job::new(set, &made, &sheets, &formats, raster, arguments.sheet.is_some());
        let mut checker = Checker::new(&process);
        made.iter().for_each(|lens| describe(set, lens, &mut checker));
        sheets.iter().for_each(tell);
        let mut files = Vec::new();
        for file in job.files() {
            files.push((file.name.clone(), job.bytes(file)?));
        }
        save(&arguments.out, &files)?;
        warn(set, &made, &arguments.set, &mut checker);
        tell_left_over(set, &arguments.out);
        say(format_args!(
            "wrote {} files into {} {}",
            files.len(),
            arguments.out.display(),
            set.process.settings().parting_words()
        ));
        Ok(())
    })
}

fn tell(sheets: &OnSheets) {
    let (what, count) = (sheets.kind.word(), sheets.laid.sheets.len());
    let waste = sheets.laid.sheets.iter().map(|sheet| sheet.waste).sum::<f64>() / count.max(1) as f64;
    let number = if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") };
    say(format_args!("{number}: {}, {:.0} % of their room unused", sheets.page.paper, 100.0 * waste));
    for note in &sheets.laid.notes {
        say(format_args!("  note:  {note}"));
    }
}

/// Strips that are of no lens of this set: whoever renames a lens would else print the old ones too.
fn tell_left_over(set: &Set, folder: &Path) {
    let files =
        fs::read_dir(folder).into_iter().flatten().filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let files: Vec<String> = files.collect();
    let stems: Vec<String> = export::left_over(set, files.iter().map(String::as_str)).into_iter().collect();
    if stems.is_empty() {
        return;
    }
    let what = if stems.len() == 1 { "no lens of this set" } else { "no lenses of this set" };
    say(format_args!(
        "left over in {}: strips of {}, {what} (renamed?); nothing was deleted",
        folder.display(),
        stems.join(", ")
    ));
}

/// What was made of a lens, how well it fitted, and what to look at.
fn describe(set: &Set, lens: &Finished, checker: &mut Checker) {
    let assembly = lens.assembly;
    say(&assembly.lens.name);
    let size = |piece: Piece| {
        let strip = lens.strips.iter().find(|strip| strip.piece == piece).map(|strip| &strip.bare.drawing);
        strip.map_or(String::new(), |strip| format!("; {:.1} x {:.1} mm", strip.width.to_mm(), strip.height.to_mm()))
    };
    if let Some(ring) = &assembly.focus {
        say(format_args!("  focus: {}{}", report::fit_line(ring), size(Piece::Focus)));
    }
    if let Some(ring) = &assembly.iris {
        say(format_args!("  iris:  {}{}", report::iris_line(ring), size(Piece::Iris)));
    }
    if let Some(scale) = &assembly.disc {
        let rows = if scale.face.winds() { ", wound inward" } else { "" };
        say(format_args!("  disc:  {:.2} turns{rows}{}", scale.face.turns, size(Piece::Disc)));
    }
    for FinishedStrip { piece, bare, .. } in &lens.strips {
        if let Some(cut) = set.process.settings().cut_report(bare) {
            say(format_args!("  cut:   {piece}: {}", report::cut_line(&cut, checker.smallest(bare))));
        }
    }
    let focus = assembly.focus.iter().flat_map(|ring| ring.warnings());
    let iris = assembly.iris.iter().flat_map(|ring| ring.warnings());
    for warning in focus.chain(iris) {
        say(format_args!("  look:  {warning}"));
    }
    for line in report::left_out_lines(assembly) {
        say(format_args!("  note:  {line}"));
    }
}

/// What the process cannot make, in one line for each strip.
fn warn(set: &Set, made: &[Finished], file: &Path, checker: &mut Checker) {
    let mut found = 0;
    let bare: Vec<&Strip> = made.iter().flat_map(|lens| lens.strips.iter().map(|strip| &strip.bare)).collect();
    let mut checked = checker.check_all(&bare).into_iter();
    for lens in made {
        for (FinishedStrip { piece, .. }, findings) in lens.strips.iter().zip(checked.by_ref()) {
            if let Some(worst) = report::worst_line(&findings) {
                found += findings.len();
                say(format_args!("  fine:  {}, {piece}: {worst}", lens.assembly.lens.name));
            }
        }
    }
    if found > 0 {
        let kind = set.process.kind();
        let places = if found == 1 { "place is" } else { "places are" };
        say(format_args!(
            "{found} {places} too fine to be made; see them with  ringwright check {} --process {kind}",
            file.display()
        ));
    }
}
