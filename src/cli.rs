//! The program: arguments in, calls, files and messages out.

use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::artwork::{Drawing, Strip};
use crate::assembly::{self, Assembly};
use crate::report;
use crate::set::{Faults, Set, TEMPLATE};
use crate::units::Length;
use crate::write::{self, DPI, Depth, PngError, Raster};

/// Focus and iris scales for re-housed lenses: from a few measured readings to true-size strips.
#[derive(Parser)]
#[command(name = "ringwright", version, after_help = CAUTIONS)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const CAUTIONS: &str = "\
Reports go to standard output, messages to standard error. Exit: 0 done, 2 bad input.
Cautions: print on film rated for laser printers only; never put PVC vinyl into a laser cutter;
mark a multi-start helicoid before parting it; do not grind old glass, some is mildly radioactive;
never look at the Sun through a lens.";

#[derive(Subcommand)]
enum Command {
    /// Write a commented set file to start from; never overwrites
    New {
        /// The file to write
        file: PathBuf,
    },
    /// Report how well the laws fit the readings
    Fit {
        #[command(flatten)]
        report: ReportArguments,
        /// Also draw each lens's law and readings as SVG and PNG into this folder
        #[arg(long, value_name = "DIR")]
        plot: Option<PathBuf>,
    },
    /// List every mark: value, label, angle, arc, error
    Marks {
        #[command(flatten)]
        report: ReportArguments,
    },
    /// Put metric and imperial marks beside each other
    Compare {
        #[command(flatten)]
        report: ReportArguments,
    },
    /// Draw strips and index marks at true size
    Draw {
        /// The set file
        set: PathBuf,
        /// The folder to write into; made if it is missing
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
        /// How the strips are made; it decides their thickness on the ring
        #[arg(long, value_enum, default_value = "film")]
        process: Process,
        /// File formats, separated by commas
        #[arg(long, value_enum, value_delimiter = ',', default_value = "svg,png")]
        format: Vec<Picture>,
        /// Resolution of PNG files, 50 to 9600 dots per inch
        #[arg(long, value_name = "N", default_value = "600", value_parser = dpi)]
        dpi: f64,
        /// Bits to a pixel of PNG files: 8 for grey, 1 for black and white
        #[arg(long, value_enum, default_value = "8")]
        bits: Bits,
        #[command(flatten)]
        chosen: Chosen,
    },
}

#[derive(Args)]
struct Chosen {
    /// Only this lens; may be given several times
    #[arg(long, value_name = "NAME")]
    lens: Vec<String>,
}

#[derive(Args)]
struct ReportArguments {
    /// The set file
    set: PathBuf,
    #[command(flatten)]
    chosen: Chosen,
    /// Text for people, JSON and CSV for programs
    #[arg(long, value_enum, default_value = "text")]
    format: Report,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum Report {
    Text,
    Json,
    Csv,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum Picture {
    Svg,
    Png,
}

#[derive(Clone, Copy, ValueEnum)]
enum Process {
    /// Printed on film of the set's thickness
    Film,
}

#[derive(Clone, Copy, ValueEnum)]
enum Bits {
    #[value(name = "8")]
    Eight,
    #[value(name = "1")]
    One,
}

/// Why the program ends without having done its work.
enum Failure {
    /// Faults of the input, with their places.
    Input(Faults),
    /// Anything else, as a message and a way out.
    Other(String, Option<String>),
    /// Whoever read the output has gone; no error.
    ClosedPipe,
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

/// A resolution that can be rendered, so that a wrong one is refused before the first file.
fn dpi(text: &str) -> Result<f64, String> {
    let dpi: f64 = text.parse().map_err(|_| "a plain number is due, like 600".to_string())?;
    if DPI.contains(&dpi) { Ok(dpi) } else { Err(format!("{} to {} dpi can be drawn", DPI.start(), DPI.end())) }
}

/// Runs the program with the process's own arguments.
pub fn run() -> ExitCode {
    let arguments = Arguments::parse();
    match execute(arguments.command) {
        Ok(()) | Err(Failure::ClosedPipe) => ExitCode::SUCCESS,
        Err(Failure::Input(faults)) => {
            let styled = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
            say(faults.render(styled).trim_end());
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

/// A line on standard error; one that nobody reads is no error.
fn say(line: impl fmt::Display) {
    let _ = writeln!(io::stderr(), "{line}");
}

fn execute(command: Command) -> Result<(), Failure> {
    match command {
        Command::New { file } => new(&file),
        Command::Fit { report, plot } => fit(&report, plot.as_deref()),
        Command::Marks { report } => tell(&report, [report::marks_text, report::marks_csv], report::marks_json),
        Command::Compare { report } => tell(&report, [report::compare_text, report::compare_csv], report::compare_json),
        Command::Draw { set, out, process, format, dpi, bits, chosen } => {
            // the only process so far; its thickness is in the set
            let Process::Film = process;
            let depth = match bits {
                Bits::Eight => Depth::Grey8,
                Bits::One => Depth::Bilevel,
            };
            draw(&set, &out, &format, &Raster { dpi, depth }, &chosen)
        }
    }
}

fn new(file: &Path) -> Result<(), Failure> {
    if file.symlink_metadata().is_ok() {
        let way_out = "choose another name, or delete the file first".to_string();
        return Err(Failure::Other(
            format!("{} is there already and is not overwritten", file.display()),
            Some(way_out),
        ));
    }
    write::whole(file, |out| out.write_all(TEMPLATE.as_bytes())).map_err(|error| failed(file, "written", &error))?;
    say(format_args!("wrote {}: put your own figures in, then run  ringwright fit {}", file.display(), file.display()));
    Ok(())
}

/// Reads a set, assembles the chosen lenses, hands them on.
fn with_lenses(
    path: &Path,
    chosen: &Chosen,
    use_them: impl FnOnce(&Set, &[Assembly], &crate::lettering::Lettering) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let set = Set::from_file(path)?;
    for name in &chosen.lens {
        if !set.lenses.iter().any(|lens| lens.name == *name) {
            let names: Vec<String> = set.lenses.iter().map(|lens| format!("\"{}\"", lens.name)).collect();
            return Err(Failure::Other(
                format!("no lens of {} is named \"{name}\"", path.display()),
                Some(format!("its lenses: {}", names.join(", "))),
            ));
        }
    }
    let lettering = assembly::lettering(&set)?;
    let wanted = set.lenses.iter().filter(|lens| chosen.lens.is_empty() || chosen.lens.contains(&lens.name));
    let mut lenses = Vec::new();
    let mut faults = Vec::new();
    for lens in wanted {
        match Assembly::new(&set, lens, &lettering) {
            Ok(assembly) => lenses.push(assembly),
            Err(found) => faults.extend(found.as_slice().to_vec()),
        }
    }
    match Faults::new(faults) {
        Some(faults) => Err(faults.into()),
        None => use_them(&set, &lenses, &lettering),
    }
}

fn tell(
    arguments: &ReportArguments,
    [text, csv]: [fn(&[Assembly]) -> String; 2],
    json: fn(&str, &[Assembly]) -> String,
) -> Result<(), Failure> {
    with_lenses(&arguments.set, &arguments.chosen, |set, lenses, _| {
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
    with_lenses(&arguments.set, &arguments.chosen, |_, lenses, lettering| {
        write::try_folder(folder).map_err(|error| failed(folder, "written into", &error))?;
        let raster = Raster { dpi: 200.0, depth: Depth::Grey8 };
        let mut files = Vec::new();
        for assembly in lenses {
            let drawn = report::plot(assembly, lettering);
            let drawn = drawn.map_err(|error| Failure::Other(format!("the plot cannot be lettered: {error}"), None))?;
            if let Some(picture) = drawn {
                let stem = format!("{}-fit", assembly.lens.file_stem());
                files.extend(pictures(&stem, &picture, &[Picture::Svg, Picture::Png], &raster)?);
            }
        }
        save(folder, &files)?;
        say(format_args!("wrote {} files into {}", files.len(), folder.display()));
        Ok(())
    })
}

fn draw(set: &Path, out: &Path, formats: &[Picture], raster: &Raster, chosen: &Chosen) -> Result<(), Failure> {
    with_lenses(set, chosen, |set, lenses, _| {
        // everything is laid out and rendered before the first file, so that a fault leaves the folder as it was
        let mut drawn = Vec::new();
        let mut faults = Vec::new();
        for assembly in lenses {
            match assembly.strips() {
                Ok(strips) => drawn.push((assembly, strips)),
                Err(found) => faults.extend(found.as_slice().to_vec()),
            }
        }
        if let Some(faults) = Faults::new(faults) {
            return Err(faults.into());
        }
        write::try_folder(out).map_err(|error| failed(out, "written into", &error))?;
        let mut files = Vec::new();
        for (assembly, strips) in &drawn {
            describe(assembly, strips);
            for (ending, strip) in strips {
                let stem = format!("{}-{ending}", assembly.lens.file_stem());
                files.extend(pictures(&stem, &strip.drawing, formats, raster)?);
            }
        }
        save(out, &files)?;
        let thickness = set.process.thickness().to_mm();
        say(format_args!(
            "wrote {} files into {} for film {thickness} mm thick; print at 100 %, measure a strip before cutting",
            files.len(),
            out.display()
        ));
        Ok(())
    })
}

/// What was made of a lens, how well it fitted, and what to look at.
fn describe(assembly: &Assembly, strips: &[(&str, Strip)]) {
    say(&assembly.lens.name);
    let size = |ending: &str| {
        let millimetres = |length: Length| format!("{:.1}", length.to_mm());
        let strip = strips.iter().find(|(e, _)| *e == ending).map(|(_, strip)| &strip.drawing);
        strip
            .map_or(String::new(), |strip| format!("; {} x {} mm", millimetres(strip.width), millimetres(strip.height)))
    };
    if let Some(ring) = &assembly.focus {
        say(format_args!("  focus: {}{}", report::fit_line(ring), size("focus")));
    }
    if let Some(ring) = &assembly.iris {
        say(format_args!("  iris:  {}{}", report::iris_line(ring), size("iris")));
    }
    let focus = assembly
        .focus
        .iter()
        .flat_map(|ring| ring.calibration.doubts.iter().map(ToString::to_string).chain(ring.doubts.iter().cloned()));
    let iris = assembly.iris.iter().flat_map(|ring| ring.calibration.doubts.iter().map(ToString::to_string));
    for doubt in focus.chain(iris) {
        say(format_args!("  look:  {doubt}"));
    }
    for line in report::left_out_lines(assembly) {
        say(format_args!("  note:  {line}"));
    }
}

/// One drawing in each format, with the names of the files.
fn pictures(
    stem: &str,
    drawing: &Drawing,
    formats: &[Picture],
    raster: &Raster,
) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let svg = write::svg(drawing);
    let mut files = Vec::new();
    if formats.contains(&Picture::Png) {
        let mut bytes = Vec::new();
        write::png(&svg, raster, &mut bytes).map_err(|error| {
            let way_out = matches!(error, PngError::Side { .. }).then(|| "or draw SVG alone, --format svg".to_string());
            Failure::Other(format!("{stem}.png: {error}"), way_out)
        })?;
        files.push((format!("{stem}.png"), bytes));
    }
    if formats.contains(&Picture::Svg) {
        files.push((format!("{stem}.svg"), svg.into_bytes()));
    }
    Ok(files)
}

fn save(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    for (name, bytes) in files {
        let path = folder.join(name);
        write::whole(&path, |out| out.write_all(bytes)).map_err(|error| failed(&path, "written", &error))?;
    }
    Ok(())
}
