//! What an iris ring that rides on the focusing group asks of a motor.

use super::documents::fit::Riding;
use super::documents::values::Number;
use crate::assembly::Assembly;

/// The sentences of the calibration report; nothing where the iris ring stays.
pub(super) fn lines(assembly: &Assembly) -> Vec<String> {
    let Some(ride) = assembly.ride() else { return Vec::new() };
    let deg = |angle: crate::units::Angle| format!("{:.0}°", angle.to_deg());
    let mut lines = vec![format!(
        "it turns along when focusing: {} of its own and {} with the focus ring, {} in all",
        deg(ride.own),
        deg(ride.along),
        deg(ride.sweep())
    )];
    lines.push(if ride.motor_reaches() {
        format!("a motor fixed to the rods that turns it {} reaches all of it", deg(ride.motor_sweep))
    } else {
        format!(
            "a motor fixed to the rods that turns it {} does not reach all of it, {} are missing: let the motor ride along, or gear it \
             otherwise",
            deg(ride.motor_sweep),
            deg(ride.sweep() - ride.motor_sweep)
        )
    });
    if let Some(drift) = ride.drift_stops() {
        lines.push(format!(
            "a motor that only holds it lets the aperture drift by {drift:.1} stops from infinity to the closest distance"
        ));
    }
    match (ride.index_at, ride.wanted_at) {
        (Some(at), Some(wanted)) if (at - wanted).to_deg().abs() > 0.1 => lines.push(format!(
            "its index stands on the focus ring at {:.1}°, the free place nearest to {:.1}°",
            at.to_deg(),
            wanted.to_deg()
        )),
        (Some(at), _) => lines.push(format!("its index stands on the focus ring at {:.1}°", at.to_deg())),
        (None, _) => {}
    }
    lines
}

/// The same for programs; nothing where the iris ring stays.
pub(super) fn riding(assembly: &Assembly) -> Option<Riding> {
    let ride = assembly.ride()?;
    Some(Riding {
        own_turn_deg: ride.own.into(),
        focus_turn_deg: ride.along.into(),
        sweep_deg: ride.sweep().into(),
        motor_sweep_deg: ride.motor_sweep.into(),
        motor_reaches: ride.motor_reaches(),
        drift_stops: ride.drift_stops().map(Number::from),
        index_at_deg: ride.index_at.map(Number::from),
    })
}
