//! The program: arguments in, calls, files and messages out.

use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::artwork::Strip;
use crate::assembly::{self, Assembly};
use crate::report;
use crate::set::{Faults, Set, TEMPLATE};
use crate::units::Length;
use crate::write::{self, Depth, PngError, Raster};

/// Focus and iris scales for re-housed lenses: from a few measured readings to true-size strips.
#[derive(Parser)]
#[command(name = "ringwright", version, after_help = CAUTIONS)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const CAUTIONS: &str = "\
Reports go to standard output, messages to standard error. Exit: 0 done, 2 bad input.
Cautions: print on film rated for laser printers only; never put PVC vinyl into a laser cutter; mark a multi-start
helicoid before parting it; do not grind old glass, some is mildly radioactive; never look at the Sun through a lens.";

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
        #[arg(long, value_name = "N", default_value_t = 600.0)]
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
    let way_out = match error.kind() {
        io::ErrorKind::PermissionDenied => Some("choose a folder you may write into".to_string()),
        io::ErrorKind::StorageFull => Some("make room on the disk; nothing half written was left behind".to_string()),
        _ => None,
    };
    Failure::Other(format!("{} cannot be {doing}: {error}", path.display()), way_out)
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
        let report = match arguments.format {
            Report::Text => text(lenses),
            Report::Csv => csv(lenses),
            Report::Json => json(&set.name, lenses),
        };
        print(&report)
    })
}

fn print(report: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(report.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Err(Failure::ClosedPipe),
        Err(error) => Err(Failure::Other(format!("the report cannot be written: {error}"), None)),
    }
}

fn fit(arguments: &ReportArguments, plot: Option<&Path>) -> Result<(), Failure> {
    tell(arguments, [report::fit_text, report::fit_csv], report::fit_json)?;
    let Some(folder) = plot else { return Ok(()) };
    write::try_folder(folder).map_err(|error| failed(folder, "written into", &error))?;
    with_lenses(&arguments.set, &arguments.chosen, |_, lenses, lettering| {
        let raster = Raster { dpi: 200.0, depth: Depth::Grey8 };
        for assembly in lenses {
            let drawn = report::plot(assembly, lettering);
            let drawn = drawn.map_err(|error| Failure::Other(format!("the plot cannot be lettered: {error}"), None))?;
            if let Some(picture) = drawn {
                let stem = format!("{}-fit", assembly.lens.file_stem());
                pictures(folder, &stem, &picture, &[Picture::Svg, Picture::Png], &raster)?;
            }
        }
        Ok(())
    })
}

fn draw(set: &Path, out: &Path, formats: &[Picture], raster: &Raster, chosen: &Chosen) -> Result<(), Failure> {
    with_lenses(set, chosen, |set, lenses, _| {
        // everything is laid out before the first file, so that a fault leaves the folder as it was
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
        let mut count = 0;
        for (assembly, strips) in &drawn {
            describe(assembly, strips);
            for (ending, strip) in strips {
                let stem = format!("{}-{ending}", assembly.lens.file_stem());
                count += pictures(out, &stem, strip, formats, raster)?;
            }
        }
        let thickness = set.film_thickness.to_mm();
        say(format_args!(
            "wrote {count} files into {} for film {thickness} mm thick; print at 100 %, measure a strip before cutting",
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
        let strip = strips.iter().find(|(e, _)| *e == ending).map(|(_, strip)| strip);
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

/// Writes one drawing in each format; the number of files.
fn pictures(folder: &Path, stem: &str, strip: &Strip, formats: &[Picture], raster: &Raster) -> Result<usize, Failure> {
    let svg = write::svg(strip);
    let mut count = 0;
    if formats.contains(&Picture::Svg) {
        let path = folder.join(format!("{stem}.svg"));
        write::whole(&path, |out| out.write_all(svg.as_bytes())).map_err(|error| failed(&path, "written", &error))?;
        count += 1;
    }
    if formats.contains(&Picture::Png) {
        let path = folder.join(format!("{stem}.png"));
        let mut refused = None;
        let written = write::whole(&path, |out| {
            write::png(&svg, raster, out).map(|_| ()).map_err(|error| match error {
                PngError::Write(error) => error,
                other => {
                    let message = other.to_string();
                    refused = Some(message.clone());
                    io::Error::other(message)
                }
            })
        });
        match (written, refused) {
            (Ok(()), _) => count += 1,
            (Err(_), Some(message)) => return Err(Failure::Other(message, None)),
            (Err(error), None) => return Err(failed(&path, "written", &error)),
        }
    }
    Ok(count)
}
