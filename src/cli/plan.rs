//! `plan`: which distances to set up, and what each further reading would bring.

use super::{Failure, PlanArguments, Report, print, with_lenses};
use crate::assembly::{Assembly, mark_distance};
use crate::calibration::{PlanError, Planner, Tape};
use crate::report::{self, Planned};
use crate::set::{DistanceUnit, Set};
use crate::units::{Distance, Length};

/// Where nothing is said of the room: a long one (common practice, no source).
const ROOM_MM: f64 = 10_000.0;

/// A room that a set may state too.
pub(super) fn room(text: &str) -> Result<Length, String> {
    if text.trim().parse::<f64>().is_ok() {
        return Err(format!("a length needs a unit; did you mean \"{} m\"?", text.trim()));
    }
    let room: Length = text.parse().map_err(|error| format!("{error}"))?;
    if (300.0..=1e6).contains(&room.to_mm()) { Ok(room) } else { Err("0.3 m to 1000 m can be planned for".to_string()) }
}

pub(super) fn plan(arguments: &PlanArguments) -> Result<(), Failure> {
    let told = &arguments.report;
    with_lenses(&told.set, told.making.process.kind(), &told.chosen, |set, lenses, _| {
        let planned = lenses.iter().map(|assembly| planned(set, assembly, arguments)).collect::<Result<Vec<_>, _>>()?;
        let planned: Vec<Planned> = planned.into_iter().flatten().collect();
        if planned.is_empty() {
            return Err(Failure::Other("none of these lenses has a focus ring to plan for".to_string(), None));
        }
        if told.format == Report::Csv && planned.len() > 1 {
            let names: Vec<String> = planned.iter().map(|one| format!("\"{}\"", one.assembly.lens.name)).collect();
            let way_out = format!("say which one: --lens {}", names.join(" or --lens "));
            return Err(Failure::Other("a readings file is for one lens".to_string(), Some(way_out)));
        }
        print(&match told.format {
            Report::Text => report::plan_text(&planned),
            Report::Csv => report::plan_csv(&planned),
            Report::Json => report::plan_json(&set.name, &planned),
        })
    })
}

fn planned<'a>(set: &Set, assembly: &'a Assembly, told: &PlanArguments) -> Result<Option<Planned<'a>>, Failure> {
    let Some(ring) = &assembly.focus else { return Ok(None) };
    let focus = ring.focus;
    let unit = assembly.lens.units.first().copied().unwrap_or(DistanceUnit::Metre);
    let mut marks: Vec<Distance> =
        ring.bands.iter().flat_map(|b| &b.marks).filter_map(|m| mark_distance(m.value)).collect();
    marks.sort_by(|a, b| a.to_mm().unwrap_or(f64::MAX).total_cmp(&b.to_mm().unwrap_or(f64::MAX)));
    marks.dedup();
    let stated = told.room.or(set.room);
    let room = stated.unwrap_or(Length::mm(ROOM_MM));
    let tape = if unit == DistanceUnit::Foot { Tape::Feet } else { Tape::Metres };
    let planner = Planner {
        known: &focus.known,
        calibration: &ring.calibration,
        readings: &focus.readings,
        error: focus.reading_error,
        from: focus.measured_from,
        room,
        far_target: set.far_target,
        tape,
        marks: marks.clone(),
    };
    let name = &assembly.lens.name;
    let refused = |error: PlanError| match error {
        PlanError::RoomTooSmall { nearest } => Failure::Other(
            format!(
                "{name}: nothing can be set up within {}; its nearest distance to set up is {}",
                Distance::Finite(room),
                Distance::Finite(nearest)
            ),
            Some("give more room, --room, or room = \"...\" in [set]".to_string()),
        ),
        PlanError::OutOfReach => Failure::Other(
            format!("{name}: by what is known the ring reaches no distance within {}", Distance::Finite(room)),
            Some("check the lead, the closest distance and the readings with  ringwright fit".to_string()),
        ),
    };
    let plan = planner.plan(told.readings.map(usize::from)).map_err(refused)?;
    let next = planner.next().map_err(refused)?;
    let infinity_from = planner.infinity_from().filter(|_| set.far_target);
    let wanted = told.readings.is_some();
    Ok(Some(Planned {
        assembly,
        ring,
        plan,
        next,
        infinity_from,
        room,
        room_told: stated.is_some(),
        marks,
        tape,
        wanted,
    }))
}
