//! `plan`: which distances to set up, and what each further reading would bring.

use super::arguments::{PlanArguments, Report};
use super::{Failure, print, with_lenses};
use crate::assembly::Assembly;
use crate::calibration::PlanError;
use crate::model::Set;
use crate::report::{self, Planned};

pub(super) fn plan(arguments: &PlanArguments) -> Result<(), Failure> {
    let options = &arguments.report;
    with_lenses(&options.set, options.making.process, &options.chosen, |set, lenses, _| {
        let planned = lenses.iter().map(|assembly| planned(set, assembly, arguments)).collect::<Result<Vec<_>, _>>()?;
        let planned: Vec<Planned> = planned.into_iter().flatten().collect();
        if planned.is_empty() {
            return Err(Failure::Other("none of these lenses has a focus ring to plan for".to_string(), None));
        }
        if options.format == Report::Csv && planned.len() > 1 {
            let names: Vec<String> = planned.iter().map(|one| format!("\"{}\"", one.assembly.lens.name)).collect();
            let way_out = format!("say which one: --lens {}", names.join(" or --lens "));
            return Err(Failure::Other("a readings file is for one lens".to_string(), Some(way_out)));
        }
        print(&match options.format {
            Report::Text => report::plan_text(&planned),
            Report::Csv => report::plan_csv(&planned),
            Report::Json => report::plan_json(&set.name, &planned),
        })
    })
}

fn planned<'a>(set: &Set, assembly: &'a Assembly, arguments: &PlanArguments) -> Result<Option<Planned<'a>>, Failure> {
    Planned::new(set, assembly, arguments.room, arguments.readings.map(usize::from)).map_err(|refused| {
        let way_out = match refused.error {
            PlanError::RoomTooSmall { .. } => "give more room, --room, or room = \"...\" in [set]",
            PlanError::OutOfReach => "check the lead, the closest distance and the readings with  ringwright fit",
        };
        Failure::Other(format!("{}: {refused}", assembly.lens.name), Some(way_out.to_string()))
    })
}
