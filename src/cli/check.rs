//! `check`: what the process cannot make, with pictures, and the smallest change that it can.

use super::arguments::{CheckArguments, CheckReport};
use super::{Failure, failed, print, save, say, seen, with_lenses};
use crate::artwork::Strip;
use crate::export::{self, ExportError};
use crate::model::Lens;
use crate::parallel;
use crate::process::{self, Checker, Finding};
use crate::report::{self, Checked};
use crate::suggestion::suggestion;
use crate::write::{self, BitDepth, Raster};

pub(super) fn check(arguments: &CheckArguments) -> Result<(), Failure> {
    with_lenses(&arguments.set, arguments.making.process, &arguments.chosen, |set, lenses, _| {
        if let Some(folder) = &arguments.out {
            write::try_folder(folder).map_err(|error| failed(folder, "written into", &error))?;
        }
        let mut checked = Vec::new();
        let mut laid_out_whole = true;
        let mut checker = Checker::new(&set.process);
        let lettering = export::small_lettering()?;
        let mut shown: Vec<(String, Strip, Vec<Finding>)> = Vec::new();
        let raster = Raster { dpi: 600.0, depth: BitDepth::Colour };
        for assembly in lenses {
            let laid_out = assembly.laid_out();
            let strips: Vec<&Strip> = laid_out.strips.iter().map(|(_, strip)| strip).collect();
            let found = checker.check_all(&strips);
            for ((piece, strip), findings) in laid_out.strips.into_iter().zip(found) {
                if arguments.out.is_some() && !findings.is_empty() {
                    let stem = format!("{}-{piece}-check", assembly.lens.file_stem());
                    shown.push((stem, strip.clone(), findings.clone()));
                }
                let cut = set.process.settings().cut_report(&strip).map(|cut| (cut, checker.smallest(&strip)));
                let unfit = process::finished(&strip, &set.process).err().map(|error| error.to_string());
                checked.push(Checked { assembly, piece, findings, unfit, cut });
            }
            laid_out_whole &= laid_out.unfit.is_empty();
            checked.extend(laid_out.unfit.into_iter().map(|unfit| Checked {
                assembly,
                piece: unfit.piece,
                findings: Vec::new(),
                unfit: Some(unfit.error.to_string()),
                cut: None,
            }));
        }
        let fits = checked.iter().all(|strip| strip.unfit.is_none());
        // the sheets that draw would make, too
        let off_sheet = match export::finish(set, lenses).and_then(|made| export::on_sheets(set, &made, None)) {
            Err(ExportError::Other(message, _)) if fits => Some(message),
            _ => None,
        };
        // what a change of style can correct
        let too_fine = !laid_out_whole || checked.iter().any(|strip| !strip.findings.is_empty());
        let faulty = too_fine || !fits || off_sheet.is_some();
        let wanted = |lens: &Lens| lenses.iter().any(|chosen| chosen.lens.name == lens.name);
        let found: Vec<Finding> = checked.iter().flat_map(|strip| strip.findings.clone()).collect();
        let suggestion = too_fine.then(|| suggestion(set, &wanted, laid_out_whole.then_some(&found), &mut checker));
        if let Some(folder) = &arguments.out {
            let drawn = parallel::each(&shown, |(stem, strip, findings)| {
                let picture = report::findings_picture(strip, &set.process, findings, &lettering);
                seen(stem, &picture.map_err(export::unlettered)?, &raster)
            });
            let files = drawn.into_iter().collect::<Result<Vec<_>, _>>()?.concat();
            save(folder, &files)?;
            say(format_args!("wrote {} pictures into {}", files.len(), folder.display()));
        }
        print(&match arguments.format {
            CheckReport::Text => report::check_text(&set.process, &checked, off_sheet.as_deref(), suggestion.as_ref()),
            CheckReport::Json => {
                report::check_json(&set.name, &set.process, &checked, off_sheet.as_deref(), suggestion.as_ref())
            }
        })?;
        if faulty { Err(Failure::Found) } else { Ok(()) }
    })
}
