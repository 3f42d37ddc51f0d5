//! `check`: what the process cannot make, with pictures, and the smallest change that it can.

use super::{
    CheckArguments, CheckReport, Failure, Picture, failed, pictures, print, save, say, unlettered, with_lenses,
};
use crate::artwork::Strip;
use crate::lettering::{Face, Lettering};
use crate::parallel;
use crate::process::{self, Checker, Finding, Process};
use crate::remedy::remedy;
use crate::report::{self, Checked};
use crate::set::Lens;
use crate::units::Length;
use crate::write::{self, Depth, Raster};

pub(super) fn check(arguments: &CheckArguments) -> Result<(), Failure> {
    with_lenses(&arguments.set, arguments.making.process.kind(), &arguments.chosen, |set, lenses, _| {
        if let Some(folder) = &arguments.out {
            write::try_folder(folder).map_err(|error| failed(folder, "written into", &error))?;
        }
        let mut checked = Vec::new();
        let mut checker = Checker::new(&set.process);
        let lettering = Lettering::new(Face::plain(), Length::mm(2.4)).map_err(unlettered)?;
        let mut shown: Vec<(String, Strip, Vec<Finding>)> = Vec::new();
        let raster = Raster { dpi: 600.0, depth: Depth::Colour };
        for assembly in lenses {
            match assembly.laid_out() {
                Ok(strips) => {
                    for (piece, strip) in strips {
                        let findings = checker.check(&strip);
                        if arguments.out.is_some() && !findings.is_empty() {
                            let stem = format!("{}-{piece}-check", assembly.lens.file_stem());
                            shown.push((stem, strip.clone(), findings.clone()));
                        }
                        let cut = match &set.process {
                            Process::Vinyl(vinyl) => {
                                Some((process::cut_report(&strip, vinyl), checker.smallest(&strip)))
                            }
                            _ => None,
                        };
                        checked.push(Checked { assembly, piece, findings, unfit: None, cut });
                    }
                }
                Err(unfit) => checked.extend(unfit.into_iter().map(|unfit| Checked {
                    assembly,
                    piece: unfit.piece,
                    findings: Vec::new(),
                    unfit: Some(unfit.error.to_string()),
                    cut: None,
                })),
            }
        }
        let faulty = checked.iter().any(|strip| !strip.findings.is_empty() || strip.unfit.is_some());
        let chosen = &arguments.chosen.lens;
        let wanted = |lens: &Lens| chosen.is_empty() || chosen.contains(&lens.name);
        let found: Vec<Finding> = checked.iter().flat_map(|strip| strip.findings.clone()).collect();
        let fits = checked.iter().all(|strip| strip.unfit.is_none());
        let remedy = faulty.then(|| remedy(set, &wanted, fits.then_some(&found), &mut checker));
        if let Some(folder) = &arguments.out {
            let drawn = parallel::each(&shown, |(stem, strip, findings)| {
                let picture = report::findings_picture(strip, &set.process, findings, &lettering);
                pictures(stem, &picture.map_err(unlettered)?, &[Picture::Svg, Picture::Png], &raster)
            });
            let files = drawn.into_iter().collect::<Result<Vec<_>, _>>()?.concat();
            save(folder, &files)?;
            say(format_args!("wrote {} pictures into {}", files.len(), folder.display()));
        }
        print(&match arguments.format {
            CheckReport::Text => report::check_text(&set.process, &checked, remedy.as_ref()),
            CheckReport::Json => report::check_json(&set.name, &set.process, &checked, remedy.as_ref()),
        })?;
        if faulty { Err(Failure::Found) } else { Ok(()) }
    })
}
