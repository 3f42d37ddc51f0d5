//! What can be said on the command line; nothing is done here.

use std::path::PathBuf;

use clap::builder::PossibleValue;
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::export::Format;
use crate::process::ProcessKind;
use crate::sheet::Paper;
use crate::units::Length;
use crate::write::DPI;

/// Focus and iris scales for re-housed lenses: from a few measured readings to true-size strips.
#[derive(Parser)]
#[command(name = "ringwright", version, after_help = CAUTIONS)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

const CAUTIONS: &str = "\
Reports go to standard output, messages to standard error. Exit: 0 done, 1 the check found something, 2 bad input.
Cautions: print on film rated for laser printers only; never put PVC vinyl into a laser cutter;
knives slip; mark a multi-start helicoid before parting it; do not grind old glass, some is mildly
radioactive; never look at the Sun through a lens. The application sheet that draw writes says more.";

#[derive(Subcommand)]
pub(super) enum Command {
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
        /// Print the lines of a set file that would fix today's choice of marks instead
        #[arg(long, conflicts_with = "format")]
        as_keys: bool,
        /// All columns: also what causes most of each error. Needs up to 150 columns
        #[arg(long, conflicts_with = "as_keys")]
        wide: bool,
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
    /// Print the JSON Schema, draft 2020-12, of a set file, or of what a command writes with --format json
    Schema {
        /// What is described
        #[arg(value_enum, default_value = "set")]
        document: Described,
    },
}

#[derive(Args)]
pub(super) struct DrawArguments {
    /// The set file
    pub(super) set: PathBuf,
    /// The folder to write into; made if it is missing
    #[arg(long, value_name = "DIR")]
    pub(super) out: PathBuf,
    #[command(flatten)]
    pub(super) making: Making,
    /// File formats, separated by commas; PDF has one page a sheet. For film svg, png and pdf unless told, else svg, dxf
    /// and pdf
    #[arg(long, value_enum, value_delimiter = ',')]
    pub(super) format: Vec<Format>,
    /// Lay everything out on this: A4, Letter, A3, mat (12 in square), "roll 300 mm" or two sides; in every format
    #[arg(long, value_name = "PAPER")]
    pub(super) sheet: Option<Paper>,
    /// Resolution of PNG files, 50 to 9600 dots per inch
    #[arg(long, value_name = "N", default_value = "600", value_parser = dpi)]
    pub(super) dpi: f64,
    /// Bits to a pixel of PNG files: 8 for grey, 1 for black and white
    #[arg(long, value_enum, default_value = "8")]
    pub(super) bits: Bits,
    #[command(flatten)]
    pub(super) chosen: Chosen,
}

#[derive(Args)]
pub(super) struct CheckArguments {
    /// The set file
    pub(super) set: PathBuf,
    #[command(flatten)]
    pub(super) making: Making,
    /// Also draw each place that is found, in red, and beside it how it will come out, into this folder
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    /// Text for people, JSON for programs
    #[arg(long, value_enum, default_value = "text")]
    pub(super) format: CheckReport,
    #[command(flatten)]
    pub(super) chosen: Chosen,
}

#[derive(Args)]
pub(super) struct Making {
    /// How the strips are made; it decides their thickness on the ring and what is too fine
    #[arg(long, value_enum, default_value = "film")]
    pub(super) process: ProcessKind,
}

#[derive(Args)]
pub(super) struct Chosen {
    /// Only this lens, by its name or a part of it; may be given several times
    #[arg(long, value_name = "NAME")]
    pub(super) lens: Vec<String>,
    /// Let the checks of the finished scale, [[lens.focus.checks]], join the readings. They belong to the scale as the readings
    /// in the file draw it: measure again after every new strip
    #[arg(long)]
    pub(super) with_checks: bool,
}

#[derive(Args)]
#[command(after_long_help = HOW_TO_CHECK, after_help = HOW_TO_CHECK)]
pub(super) struct VerifyArguments {
    /// The set file
    pub(super) set: PathBuf,
    /// Only this lens, by its name or a part of it; may be given several times
    #[arg(long, value_name = "NAME")]
    pub(super) lens: Vec<String>,
    #[command(flatten)]
    pub(super) making: Making,
    /// Text for people, JSON and CSV for programs
    #[arg(long, value_enum, default_value = "text")]
    pub(super) format: Report,
}

#[cfg(feature = "page")]
#[derive(Args)]
pub(super) struct PageArguments {
    /// The set file; every change on the page is written into it at once
    pub(super) set: PathBuf,
    /// The port to listen on; one that is free unless told
    #[arg(long, value_name = "N", default_value = "0", hide_default_value = true)]
    pub(super) port: u16,
    /// Do not open a browser: the first line on standard output is the address
    #[arg(long)]
    pub(super) no_open: bool,
}

#[derive(Args)]
pub(super) struct PlanArguments {
    #[command(flatten)]
    pub(super) report: ReportArguments,
    /// How many distances to plan, 1 to 20; as many as are worth it unless told
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=20))]
    pub(super) readings: Option<u8>,
    /// How far away a target can be set up, like "6 m" or "20 ft"; the set's own room unless told
    #[arg(long, value_name = "LENGTH", value_parser = room)]
    pub(super) room: Option<Length>,
}

#[derive(Args)]
pub(super) struct ReportArguments {
    /// The set file
    pub(super) set: PathBuf,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    #[command(flatten)]
    pub(super) making: Making,
    /// Text for people, JSON and CSV for programs
    #[arg(long, value_enum, default_value = "text")]
    pub(super) format: Report,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub(super) enum Report {
    Text,
    Json,
    Csv,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
pub(super) enum CheckReport {
    Text,
    Json,
}

impl ValueEnum for ProcessKind {
    fn value_variants<'a>() -> &'a [Self] {
        &ProcessKind::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.word()).help(self.in_words()))
    }
}

/// What has a schema.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum Described {
    /// A set file: editors that know TOML complete and check it with this
    Set,
    Fit,
    Marks,
    Compare,
    Plan,
    Verify,
    Check,
}

impl ValueEnum for Format {
    fn value_variants<'a>() -> &'a [Self] {
        &Format::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.ending()))
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub(super) enum Bits {
    #[value(name = "8")]
    Eight,
    #[value(name = "1")]
    One,
}

/// A resolution that can be rendered, so that a wrong one is refused before the first file.
fn dpi(text: &str) -> Result<f64, String> {
    let dpi: f64 = text.parse().map_err(|_| "a plain number is due, like 600".to_string())?;
    if DPI.contains(&dpi) { Ok(dpi) } else { Err(format!("{} to {} dpi can be drawn", DPI.start(), DPI.end())) }
}

/// How checks are made and where they are written down.
pub(super) const HOW_TO_CHECK: &str = "\
How to check a finished scale: put the lens on the camera, lens wide open. Set up a target at three distances or more over the
whole scale, the closest and something far among them. Tape each from the image plane (or from where the readings were
taped), focus coming from one side always, and read what stands under the index, between two marks by eye. Write into the
lens of the set file:

  [[lens.focus.checks]]
  distance = \"1.2 m\"        # by tape
  reads = \"1.25 m\"          # under the index

Checks belong to the scale as the readings in the file draw it: measure again after every new strip.";

/// A room that a set may state too.
fn room(text: &str) -> Result<Length, String> {
    if text.trim().parse::<f64>().is_ok() {
        return Err(format!("a length needs a unit; did you mean \"{} m\"?", text.trim()));
    }
    let room: Length = text.parse().map_err(|error| format!("{error}"))?;
    if (300.0..=1e6).contains(&room.to_mm()) { Ok(room) } else { Err("0.3 m to 1000 m can be planned for".to_string()) }
}
