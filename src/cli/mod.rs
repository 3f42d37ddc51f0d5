//! The program: arguments in, calls, files and messages out.

use std::fmt;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand, ValueEnum};

mod check;
mod draw;
#[cfg(feature = "page")]
mod page;
mod plan;
mod verify;

use crate::artwork::Drawing;
use crate::assembly::{self, Assembly};
use crate::lettering::Lettering;
use crate::making::{self, Format, NotMade};
use crate::process::ProcessKind;
use crate::report;
use crate::set::{Faults, Set, TEMPLATE};
use crate::sheet::{self, Paper};
use crate::units::Length;
use crate::write::{self, DPI, Depth, Raster};

/// Focus and iris scales for re-housed lenses: from a few measured readings to true-size strips.
#[derive(Parser)]
#[command(name = "ringwright", version, after_help = CAUTIONS)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const CAUTIONS: &str = "\
Reports go to standard output, messages to standard error. Exit: 0 done, 1 the check found something, 2 bad input.
Cautions: print on film rated for laser printers only; never put PVC vinyl into a laser cutter;
knives slip; mark a multi-start helicoid before parting it; do not grind old glass, some is mildly
radioactive; never look at the Sun through a lens. The application sheet that draw writes says more.";

#[derive(Subcommand)]
enum Command {
    /// Write a commented set file to start from; never overwrites
    New {
        /// The file to write
        file: PathBuf,
    },
    /// Say which distances to set up and how true the marks will be; later, which reading to take next
    Plan(PlanArguments),
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
    /// Draw strips, discs and index marks at true size, and lay them out on sheets
    Draw(DrawArguments),
    /// Find what the process cannot make; exit 1 when there is something
    Check(CheckArguments),
    /// Judge a finished scale on the camera by its checks; exit 1 when something is to be done
    Verify(VerifyArguments),
    /// Open a page in the browser, on this machine only: turn the lens, type readings, see every change at once
    #[cfg(feature = "page")]
    Page(PageArguments),
    /// Write a sheet with two long lines, to measure a printer's length error
    Ruler {
        /// The PDF file to write; never overwrites
        #[arg(long, value_name = "FILE", default_value = "ruler.pdf")]
        out: PathBuf,
        /// A4, Letter, A3 or two sides like "200 mm x 250 mm"
        #[arg(long, value_name = "PAPER", default_value = "A4")]
        sheet: Paper,
    },
}

#[derive(Args)]
struct DrawArguments {
    /// The set file
    set: PathBuf,
    /// The folder to write into; made if it is missing
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    #[command(flatten)]
    making: Making,
    /// File formats, separated by commas; PDF has one page a sheet. For film svg, png and pdf unless told, else svg, dxf
    /// and pdf
    #[arg(long, value_enum, value_delimiter = ',')]
    format: Vec<Picture>,
    /// Lay everything out on this: A4, Letter, A3, mat (12 in square), "roll 300 mm" or two sides; in every format
    #[arg(long, value_name = "PAPER")]
    sheet: Option<Paper>,
    /// Resolution of PNG files, 50 to 9600 dots per inch
    #[arg(long, value_name = "N", default_value = "600", value_parser = dpi)]
    dpi: f64,
    /// Bits to a pixel of PNG files: 8 for grey, 1 for black and white
    #[arg(long, value_enum, default_value = "8")]
    bits: Bits,
    #[command(flatten)]
    chosen: Chosen,
}

#[derive(Args)]
struct CheckArguments {
    /// The set file
    set: PathBuf,
    #[command(flatten)]
    making: Making,
    /// Also draw each place that is found, in red, and beside it how it will come out, into this folder
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Text for people, JSON for programs
    #[arg(long, value_enum, default_value = "text")]
    format: CheckReport,
    #[command(flatten)]
    chosen: Chosen,
}

#[derive(Args)]
struct Making {
    /// How the strips are made; it decides their thickness on the ring and what is too fine
    #[arg(long, value_enum, default_value = "film")]
    process: Process,
}

#[derive(Args)]
struct Chosen {
    /// Only this lens; may be given several times
    #[arg(long, value_name = "NAME")]
    lens: Vec<String>,
    /// Let the checks of the finished scale, [[lens.focus.checks]], join the readings. They belong to the scale as the readings
    /// in the file draw it: measure again after every new strip
    #[arg(long)]
    with_checks: bool,
}

#[derive(Args)]
#[command(after_long_help = verify::HOW_TO_CHECK, after_help = verify::HOW_TO_CHECK)]
struct VerifyArguments {
    /// The set file
    set: PathBuf,
    /// Only this lens; may be given several times
    #[arg(long, value_name = "NAME")]
    lens: Vec<String>,
    #[command(flatten)]
    making: Making,
    /// Text for people, JSON and CSV for programs
    #[arg(long, value_enum, default_value = "text")]
    format: Report,
}

#[cfg(feature = "page")]
#[derive(Args)]
struct PageArguments {
    /// The set file; every change on the page is written into it at once
    set: PathBuf,
    /// The port to listen on; one that is free unless told
    #[arg(long, value_name = "N", default_value = "0", hide_default_value = true)]
    port: u16,
    /// Do not open a browser: the first line on standard output is the address
    #[arg(long)]
    no_open: bool,
}

#[derive(Args)]
struct PlanArguments {
    #[command(flatten)]
    report: ReportArguments,
    /// How many distances to plan, 1 to 20; as many as are worth it unless told
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=20))]
    readings: Option<u8>,
    /// How far away a target can be set up, like "6 m" or "20 ft"; the set's own room unless told
    #[arg(long, value_name = "LENGTH", value_parser = plan::room)]
    room: Option<Length>,
}

#[derive(Args)]
struct ReportArguments {
    /// The set file
    set: PathBuf,
    #[command(flatten)]
    chosen: Chosen,
    #[command(flatten)]
    making: Making,
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
enum CheckReport {
    Text,
    Json,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum Picture {
    Svg,
    Png,
    Pdf,
    Dxf,
}

#[derive(Clone, Copy, ValueEnum)]
enum Process {
    /// Printed on film
    Film,
    /// Cut from adhesive vinyl
    Vinyl,
    /// Engraved into the ring
    Engrave,
}

impl Process {
    fn kind(self) -> ProcessKind {
        match self {
            Process::Film => ProcessKind::Film,
            Process::Vinyl => ProcessKind::Vinyl,
            Process::Engrave => ProcessKind::Engrave,
        }
    }
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
    /// The check found something; the report is written.
    Found,
    /// Faults of the input, with their places.
    Input(Faults),
    /// Anything else, as a message and a way out.
    Other(String, Option<String>),
    /// Whoever read the output has gone; no error.
    ClosedPipe,
}

impl Picture {
    fn format(self) -> Format {
        match self {
            Picture::Svg => Format::Svg,
            Picture::Png => Format::Png,
            Picture::Pdf => Format::Pdf,
            Picture::Dxf => Format::Dxf,
        }
    }
}

impl From<NotMade> for Failure {
    fn from(reason: NotMade) -> Self {
        match reason {
            NotMade::Faults(faults) => Failure::Input(faults),
            NotMade::Other(message, way_out) => Failure::Other(message, way_out),
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
        Err(Failure::Found) => ExitCode::from(1),
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
        Command::Plan(arguments) => plan::plan(&arguments),
        Command::Fit { report, plot } => fit(&report, plot.as_deref()),
        Command::Marks { report } => tell(&report, [report::marks_text, report::marks_csv], report::marks_json),
        Command::Compare { report } => tell(&report, [report::compare_text, report::compare_csv], report::compare_json),
        Command::Draw(arguments) => draw::draw(&arguments),
        Command::Check(arguments) => check::check(&arguments),
        Command::Verify(arguments) => verify::verify(&arguments),
        #[cfg(feature = "page")]
        Command::Page(arguments) => page::page(&arguments),
        Command::Ruler { out, sheet } => ruler(&out, sheet),
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
    let lettering = making::small_lettering()?;
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
    let set = Set::from_file(path)?.made_by(process);
    for name in &chosen.lens {
        if !set.lenses.iter().any(|lens| lens.name == *name) {
            let names: Vec<String> = set.lenses.iter().map(|lens| format!("\"{}\"", lens.name)).collect();
            return Err(Failure::Other(
                format!("no lens of {} is named \"{name}\"", path.display()),
                Some(format!("its lenses: {}", names.join(", "))),
            ));
        }
    }
    let set = if chosen.with_checks { verify::joined(&set, path, &chosen.lens)? } else { set };
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
    with_lenses(&arguments.set, arguments.making.process.kind(), &arguments.chosen, |set, lenses, _| {
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
    with_lenses(&arguments.set, arguments.making.process.kind(), &arguments.chosen, |_, lenses, _| {
        write::try_folder(folder).map_err(|error| failed(folder, "written into", &error))?;
        let raster = Raster { dpi: 200.0, depth: Depth::Grey8 };
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
        let bytes = making::picture(&name, drawing, format, raster)?;
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
