//! Every check of a set that a program has built.

use super::focus::{Expected, focus_readings};
use super::iris::{blades_need_a_stop, iris_readings, smallest_stop, stops_enough, widest_read};
use super::law::{enough_for_a_law, reachable};
use super::light::{Given, exposures_order, light_given, light_given_twice};
use super::rings::{cone, hole, ticks_apart};
use crate::model::{Focus, Iris, Lens, Refusal, Refusals, RingKind, Set, Subject};
use crate::process::ProcessKind;
use crate::units::Distance;

impl Set {
    /// Whether the values of the set go together, as they do in every set that was read from a file.
    ///
    /// # Errors
    /// Everything that does not, in the order of the lenses.
    pub fn check(&self) -> Result<(), Refusals> {
        let tick = self.processes.of(ProcessKind::Film).settings().tick_width(self.choices.tick_width);
        let mut refused: Vec<Refusal> =
            self.choices.smallest_gap.and_then(|gap| ticks_apart(gap, tick)).into_iter().collect();
        for lens in &self.lenses {
            refused.extend(lens.focus.iter().flat_map(|focus| of_focus(lens, focus)));
            refused.extend(lens.iris.iter().flat_map(|iris| of_iris(lens, iris)));
            refused.extend(lens.disc.iter().filter_map(|disc| hole(&lens.name, disc.diameter, disc.hole)));
        }
        Refusals::new(refused).map_or(Ok(()), Err)
    }
}

fn of_focus(lens: &Lens, focus: &Focus) -> Vec<Refusal> {
    let (name, known) = (lens.name.as_str(), &focus.known);
    let face = cone(Subject::Ring(lens.name.clone(), RingKind::Focus), &focus.ring);
    let written = Distance::Finite(focus.closest).to_string();
    let near = reachable(name, focus.closest, &written, lens.focal_length, known.principal_gap, known.moves);
    let expected = Expected {
        focal_length: Some(lens.focal_length),
        lead: known.lead,
        throw: known.throw,
        closest: Some(focus.closest),
        error: focus.reading_error,
    };
    let stated = known.lead.is_some() || known.throw.is_some();
    let enough = enough_for_a_law(name, focus.law, &focus.readings, stated);
    let alone = [face, near, enough].into_iter().flatten();
    alone.chain(focus_readings(name, &focus.readings, &expected)).collect()
}

fn of_iris(lens: &Lens, iris: &Iris) -> Vec<Refusal> {
    let (name, readings) = (lens.name.as_str(), iris.readings.as_slice());
    let alone = iris.exposures.is_some() && readings.is_empty();
    let t_readings = iris.t_scale && iris.transmittance.is_none() && iris.exposures.is_none();
    let mut refused: Vec<Refusal> = [
        cone(Subject::Ring(lens.name.clone(), RingKind::Iris), &iris.ring),
        blades_need_a_stop(name, iris.law, lens.widest_stop.is_some()),
        stops_enough(name, iris.law, readings).filter(|_| !alone),
        smallest_stop(name, iris.smallest_stop, iris.law, readings),
        lens.widest_stop.filter(|_| !t_readings).and_then(|widest| widest_read(name, widest, readings)),
    ]
    .into_iter()
    .flatten()
    .collect();
    refused.extend(iris_readings(name, readings, iris.reading_error, t_readings));
    if let Some(exposures) = &iris.exposures {
        let (t_scale, reference) = (iris.t_scale, exposures.reference.is_some());
        let transmittance = iris.transmittance.is_some();
        let given = Given { alone, t_scale, reference, transmittance, complete: true };
        refused.extend(light_given_twice(name, transmittance, reference));
        refused.extend(light_given(name, exposures, &given));
        refused.extend(exposures_order(name, exposures, iris.reading_error));
    }
    refused
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::set::TEMPLATE;
    use crate::units::{Angle, Length};

    fn set() -> Set {
        Set::parse("set.toml", TEMPLATE, Path::new("")).unwrap()
    }

    fn found(change: impl Fn(&mut Set)) -> Vec<String> {
        let mut set = set();
        change(&mut set);
        set.check().err().map_or(Vec::new(), |refused| refused.as_slice().iter().map(ToString::to_string).collect())
    }

    fn focus(set: &mut Set) -> &mut Focus {
        set.lenses[0].focus.as_mut().unwrap()
    }

    fn iris(set: &mut Set) -> &mut Iris {
        set.lenses[0].iris.as_mut().unwrap()
    }

    #[test]
    fn a_set_that_was_read_passes() {
        assert_eq!(found(|_| ()), [""; 0]);
    }

    #[test]
    fn everything_that_does_not_go_together_is_told_at_once() {
        let faulty = found(|set| {
            set.choices.smallest_gap = Some(Length::mm(0.3));
            focus(set).ring.front_diameter = Length::mm(20.0);
            focus(set).closest = Length::mm(100.0);
            focus(set).readings[3].at = Angle::deg(-20.0);
            iris(set).smallest_stop = iris(set).readings[0].stop;
            iris(set).readings.swap(0, 2);
            let at = iris(set).readings[0].at;
            iris(set).readings[0].at = iris(set).readings[2].at;
            iris(set).readings[2].at = at;
        });
        insta::assert_snapshot!(faulty.join("\n"), @r"
        smallest_gap: ticks 0.2 mm wide and 0.3 mm apart would run together
        Granite 50, focus: no cone 11 mm wide has diameters 64.0 mm apart
        Granite 50, focus: a 50 mm lens cannot focus at 0.1 m
        Granite 50, focus, reading 3 and 4: these readings run backwards
        Granite 50, iris: `smallest_stop` 2 leaves no stop to mark
        Granite 50, iris, reading 3 and 1: these readings run backwards
        ");
    }
}
