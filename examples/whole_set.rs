//! A set file becomes every file that `ringwright draw` would write, listed with its size.

use std::path::Path;

use ringwright::assembly::{assembled, lettering};
use ringwright::export::{Job, finish, on_sheets};
use ringwright::process::ProcessKind;
use ringwright::set::SetFile;
use ringwright::write::{BitDepth, Raster};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).unwrap_or_else(|| "samples/SET.toml".to_string());
    let file = SetFile::read(Path::new(&path))?;
    let set = file.set.made_by(ProcessKind::Vinyl);
    let lettering = lettering(&set).map_err(|refused| file.faults(&refused))?;
    let lenses = assembled(&set, set.lenses.iter(), &lettering).map_err(|refused| file.faults(&refused))?;
    let made = finish(&set, &lenses)?;
    let sheets = on_sheets(&set, &made, None)?;
    let raster = Raster { dpi: 600.0, depth: BitDepth::Grey8 };
    let job = Job::new(&set, &made, &sheets, set.process.kind().usual_formats(), raster, false);
    for listed in job.files() {
        println!("{} {} bytes", listed.name, job.bytes(listed)?.len());
    }
    Ok(())
}
