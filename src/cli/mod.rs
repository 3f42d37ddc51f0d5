//! The program: arguments in, calls, files and messages out.

use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;

use clap::Parser;

mod arguments;
mod check;
mod chosen;
mod draw;
#[cfg(feature = "page")]
mod page;
mod plan;
mod schema;
mod verify;

use arguments::{Arguments, Chosen, Command, Report, ReportArguments};

use crate::artwork::Drawing;
use crate::assembly::{self, Assembly};
use crate::export::{self, ExportError, Format};
use crate::lettering::Lettering;
use crate::model::{Refusals, Set};
use crate::process::ProcessKind;
use crate::report;
use crate::set::{Faults, SetFile, TEMPLATE};
use crate::sheet::{self, Paper};
use crate::write::{self, BitDepth, Raster};

/// Why the program ends without having done its work.
enum Failure {
    /// The check found something; the report is written.
    Found,
    /// Faults of the input, with their places.
    Input(Faults),
    /// What was refused of a set, before its places in the file are known.
    Refused(Refusals),
    /// Anything else, as a message and a way out.
    Other(String, Option<String>),
    /// The reader of the output has closed it; no error.
    ClosedPipe,
}

impl From<ExportError> for Failure {
    fn from(reason: ExportError) -> Self {
        match reason {
            ExportError::Refused(refused) => Failure::Refused(refused),
            ExportError::Other(message, way_out) => Failure::Other(message, way_out),
        }
    }
}

impl From<Faults> for Failure {
    fn from(faults: Faults) -> Self {
        Failure::Input(faults)
    }
}

fn failed(path: &Path, doing: &str, error: &io::Error) -> Failure {
    let (why, way_out) = match error.kind() {
        io::ErrorKind::PermissionDenied => (plainly(error), "choose a folder you may write into"),
        io::ErrorKind::StorageFull => (plainly(error), "make room on the disk; nothing half written was left behind"),
        io::ErrorKind::AlreadyExists | io::ErrorKind::NotADirectory => {
            ("there is a file where the folder should be".to_string(), "choose another folder, or move the file away")
        }
        io::ErrorKind::NotFound => {
            ("its folder is not there".to_string(), "make the folder first, or check the spelling")
        }
        _ => (plainly(error), ""),
    };
    let way_out = (!way_out.is_empty()).then(|| way_out.to_string());
    Failure::Other(format!("{} cannot be {doing}: {why}", path.display()), way_out)
}

/// What the system says, without its number for it.
fn plainly(error: &io::Error) -> String {
    let text = error.to_string();
    let words = text.split(" (os error").next().unwrap_or_default();
    let mut characters = words.chars();
    characters.next().map_or(text.clone(), |first| first.to_lowercase().chain(characters).collect())
}

/// Runs the program with the process's own arguments.
pub fn run() -> ExitCode {
    let arguments = Arguments::parse();
    match execute(arguments.command) {
        Ok(()) | Err(Failure::ClosedPipe) => ExitCode::SUCCESS,
        Err(Failure::Found) => ExitCode::from(1),
        Err(Failure::Input(faults)) => {
            let styled = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
            say(faults.render(styled).trim_end());
            ExitCode::from(2)
        }
        Err(Failure::Refused(refused)) => {
            say(format_args!("error: {refused}"));
            ExitCode::from(2)
        }
        Err(Failure::Other(message, way_out)) => {
            say(format_args!("error: {message}"));
            if let Some(way_out) = way_out {
                say(format_args!("  {way_out}"));
            }
            ExitCode::from(2)
        }
    }
}

/// A line on standard error; a closed stream is no error.
fn say(line: impl fmt::Display) {
    let _ = writeln!(io::stderr(), "{line}");
}

fn execute(command: Command) -> Result<(), Failure> {
    match command {
        Command::New { file } => new(&file),
        Command::Plan(arguments) => plan::plan(&arguments),
        Command::Fit { report, plot } => fit(&report, plot.as_deref()),
        Command::Marks { report, as_keys, wide } => {
            let text = match (as_keys, wide) {
                (true, _) => report::marks_as_keys,
                (false, true) => report::marks_text_wide,
                (false, false) => report::marks_text,
            };
            tell(&report, [text, report::marks_csv], report::marks_json)
        }
        Command::Compare { report } => tell(&report, [report::compare_text, report::compare_csv], report::compare_json),
        Command::Draw(arguments) => draw::draw(&arguments),
        Command::Check(arguments) => check::check(&arguments),
        Command::Verify(arguments) => verify::verify(&arguments),
        #[cfg(feature = "page")]
        Command::Page(arguments) => page::page(&arguments),
        Command::Ruler { out, sheet } => ruler(&out, sheet),
        Command::Schema { document } => schema::schema(document),
    }
}

fn new(file: &Path) -> Result<(), Failure> {
    write_new(file, TEMPLATE.as_bytes())?;
    say(format_args!("wrote {}: put your own figures in, then run  ringwright fit {}", file.display(), file.display()));
    Ok(())
}

/// Writes a file where there is none.
fn write_new(file: &Path, bytes: &[u8]) -> Result<(), Failure> {
    if file.symlink_metadata().is_ok() {
        let way_out = "choose another name, or delete the file first".to_string();
        return Err(Failure::Other(
            format!("{} is there already and is not overwritten", file.display()),
            Some(way_out),
        ));
    }
    write::whole(file, |out| out.write_all(bytes)).map_err(|error| failed(file, "written", &error))
}

fn ruler(file: &Path, paper: Paper) -> Result<(), Failure> {
    let lettering = export::small_lettering()?;
    let drawing = sheet::ruler(paper, &lettering)
        .map_err(|error| Failure::Other(error.to_string(), Some("take A4 or Letter paper".to_string())))?;
    write_new(file, &write::pdf(&drawing.title, std::slice::from_ref(&drawing)))?;
    say(format_args!(
        "wrote {}: print it at 100 %, measure both lines to 0.1 mm, and put them into [process.film] of your set as \
         ruler_long and ruler_short",
        file.display()
    ));
    Ok(())
}

/// Reads a set, assembles the chosen lenses, hands them on.
fn with_lenses(
    path: &Path,
    process: ProcessKind,
    chosen: &Chosen,
    use_them: impl FnOnce(&Set, &[Assembly], &Lettering) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let file = SetFile::read(path)?;
    let set = file.set.made_by(process);
    let names: Vec<String> = chosen::chosen(&set, path, &chosen.lens)?.iter().map(|lens| lens.name.clone()).collect();
    for note in &set.style.notes {
        say(format_args!("note: {note}"));
    }
    let set = if chosen.with_checks { verify::joined(&set, path, &names)? } else { set };
    let lettering = assembly::lettering(&set).map_err(|refused| file.faults(&refused))?;
    let wanted = set.lenses.iter().filter(|lens| names.contains(&lens.name));
    let lenses = assembly::assembled(&set, wanted, &lettering).map_err(|refused| file.faults(&refused))?;
    use_them(&set, &lenses, &lettering).map_err(|failure| match failure {
        Failure::Refused(refused) => Failure::Input(file.faults(&refused)),
        other => other,
    })
}

fn tell(
    arguments: &ReportArguments,
    [text, csv]: [fn(&[Assembly]) -> String; 2],
    json: fn(&str, &[Assembly]) -> String,
) -> Result<(), Failure> {
    with_lenses(&arguments.set, arguments.making.process, &arguments.chosen, |set, lenses, _| {
        print(&match arguments.format {
            Report::Text => text(lenses),
            Report::Csv => csv(lenses),
            Report::Json => json(&set.name, lenses),
        })
    })
}

fn print(report: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(report.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Err(Failure::ClosedPipe),
        Err(error) => Err(Failure::Other(format!("the report cannot be written: {}", plainly(&error)), None)),
    }
}

fn fit(arguments: &ReportArguments, plot: Option<&Path>) -> Result<(), Failure> {
    if let Some(folder) = plot {
        plots(arguments, folder)?;
    }
    tell(arguments, [report::fit_text, report::fit_csv], report::fit_json)
}

fn plots(arguments: &ReportArguments, folder: &Path) -> Result<(), Failure> {
    with_lenses(&arguments.set, arguments.making.process, &arguments.chosen, |_, lenses, _| {
        write::try_folder(folder).map_err(|error| failed(folder, "written into", &error))?;
        let raster = Raster { dpi: 200.0, depth: BitDepth::Grey8 };
        let mut files = Vec::new();
        for assembly in lenses {
            let drawn = report::plot(assembly);
            let drawn = drawn.map_err(|error| Failure::Other(format!("the plot cannot be lettered: {error}"), None))?;
            if let Some(picture) = drawn {
                let stem = format!("{}-fit", assembly.lens.file_stem());
                files.extend(seen(&stem, &picture, &raster)?);
            }
        }
        save(folder, &files)?;
        say(format_args!("wrote {} files into {}", files.len(), folder.display()));
        Ok(())
    })
}

/// One drawing as SVG and as PNG, with the names of the files.
fn seen(stem: &str, drawing: &Drawing, raster: &Raster) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let file = |format: Format| {
        let name = format!("{stem}.{}", format.ending());
        let bytes = export::picture(&name, drawing, format, raster)?;
        Ok((name, bytes))
    };
    [Format::Png, Format::Svg].into_iter().map(file).collect()
}

fn save(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    for (name, bytes) in files {
        let path = folder.join(name);
        write::whole(&path, |out| out.write_all(bytes)).map_err(|error| failed(&path, "written", &error))?;
    }
    Ok(())
}
