//! `verify`: the finished scale on the camera, judged by what was read under its index; and checks that join the readings.

use std::path::Path;

use super::arguments::{Chosen, HOW_TO_CHECK, Report, VerifyArguments};
use super::{Failure, print, say, with_lenses};
use crate::assembly;
use crate::calibration::Verdict;
use crate::model::{Lens, Set};
use crate::report::{self, Verified};

pub(super) fn verify(arguments: &VerifyArguments) -> Result<(), Failure> {
    let chosen = Chosen { lens: arguments.lens.clone(), with_checks: false };
    with_lenses(&arguments.set, arguments.making.process, &chosen, |set, lenses, _| {
        let verified: Vec<Verified> = lenses.iter().filter_map(Verified::new).collect();
        if verified.is_empty() {
            return Err(no_checks(&arguments.set));
        }
        let checked = |lens: &Lens| lens.focus.as_ref().is_some_and(|focus| !focus.checks.is_empty());
        let unchecked: Vec<&str> =
            lenses.iter().map(|a| a.lens).filter(|lens| !checked(lens)).map(|lens| lens.name.as_str()).collect();
        if !unchecked.is_empty() {
            say(format_args!("without checks: {}", unchecked.join(", ")));
        }
        print(&match arguments.format {
            Report::Text => report::verify_text(&arguments.set.display().to_string(), &verified),
            Report::Json => report::verify_json(&set.name, &verified),
            Report::Csv => report::verify_csv(&verified),
        })?;
        let to_be_done = |lens: &Verified| lens.verdict() != Verdict::Keep;
        if verified.iter().any(to_be_done) { Err(Failure::Found) } else { Ok(()) }
    })
}

fn no_checks(file: &Path) -> Failure {
    let message = format!("{} has no checks of a finished scale to judge", file.display());
    Failure::Other(message, Some(HOW_TO_CHECK.replace('\n', "\n  ")))
}

/// The set with the checks of its lenses among their readings; prints which joined.
pub(super) fn joined(set: &Set, file: &Path, chosen: &[String]) -> Result<Set, Failure> {
    let wanted = |lens: &&Lens| chosen.contains(&lens.name);
    let checked = |lens: &Lens| lens.focus.as_ref().is_some_and(|focus| !focus.checks.is_empty());
    if !set.lenses.iter().filter(wanted).any(checked) {
        return Err(no_checks(file));
    }
    let joined = assembly::with_checks(set, &wanted);
    for note in &joined.notes {
        say(note);
    }
    say("checks belong to the scale as the readings in this file draw it; measure again after every new strip");
    Ok(joined.set)
}
