//! Tests of what stands under the index.

use std::path::Path;

use super::*;
use crate::artwork::MarkValue;
use crate::assembly::{Assembly, law_stop, lettering, mark_distance};
use crate::check::assert_close;
use crate::model::Set;
use crate::units::Length;

fn with_lenses(look: impl Fn(&Assembly)) {
    let text = include_str!("../../../samples/SET.toml");
    let set = Set::parse("SET.toml", text, Path::new("samples")).unwrap_or_else(|faults| panic!("{faults}"));
    let lettering = lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
    for lens in &set.lenses {
        look(&Assembly::new(&set, lens, &lettering).unwrap_or_else(|faults| panic!("{faults}")));
    }
}

#[test]
fn at_a_marks_angle_its_distance_and_its_trust_stand_under_the_index() {
    with_lenses(|assembly| {
        let ring = assembly.focus.as_ref().unwrap();
        for mark in &ring.bands[0].marks {
            let distance = mark_distance(mark.value).unwrap();
            let under = ring.under_index(assembly.lens, mark.angle).unwrap();
            match (under.distance.to_mm(), distance.to_mm()) {
                (Some(seen), Some(marked)) => assert_close(seen, marked, 1e-6 * marked),
                (seen, marked) => assert_eq!(seen, marked),
            }
            let budget = ring.budget(assembly.lens, distance).unwrap();
            assert_close(under.budget.sigma.to_deg(), budget.sigma.to_deg(), 1e-6);
            assert_close(ring.set_to(assembly.lens, distance).unwrap().at.to_deg(), mark.angle.to_deg(), 1e-9);
        }
    });
}

#[test]
fn depth_of_field_lies_round_the_distance_and_needs_a_widest_stop() {
    with_lenses(|assembly| {
        let ring = assembly.focus.as_ref().unwrap();
        let under = ring.set_to(assembly.lens, Distance::mm(1500.0)).unwrap();
        let sharp = under.sharp.unwrap();
        assert!(sharp.near.to_mm().unwrap() < 1500.0 && sharp.far.to_mm().is_none_or(|far| far > 1500.0));
        let blind = Lens { widest_stop: None, ..assembly.lens.clone() };
        assert_eq!(ring.set_to(&blind, Distance::mm(1500.0)).unwrap().sharp, None);
    });
}

#[test]
fn nothing_is_in_focus_beyond_infinity_and_beyond_the_law() {
    with_lenses(|assembly| {
        let ring = assembly.focus.as_ref().unwrap();
        let infinity = ring.calibration.law.angle(Distance::Infinity).unwrap();
        let under = |deg: f64| ring.under_index(assembly.lens, infinity + Angle::deg(deg));
        assert!(under(0.0).unwrap().distance.is_infinite());
        assert!(under(-0.01).is_none());
        assert!(under(3000.0).is_none());
        // a page's rounding
        assert!(under(-1e-9).unwrap().distance.is_infinite());
    });
}

#[test]
fn a_distance_rests_on_readings_where_there_are_some_to_both_sides() {
    with_lenses(|assembly| {
        let ring = assembly.focus.as_ref().unwrap();
        let evidence = |distance: f64| ring.set_to(assembly.lens, Distance::mm(distance)).map(|under| under.evidence);
        match assembly.lens.name.as_str() {
            "Slate 28" => assert_eq!(evidence(700.0), Some(Evidence::Theory)),
            "Granite 50" => {
                assert_eq!(evidence(700.0), Some(Evidence::BetweenReadings));
                assert_eq!(evidence(450.0), Some(Evidence::BetweenReadings));
                assert_eq!(evidence(350.0), Some(Evidence::BeyondReadings));
            }
            _ => assert_eq!(evidence(1000.0), Some(Evidence::BetweenReadings)),
        }
    });
}

#[test]
fn at_an_iris_marks_angle_its_stop_stands_under_the_index() {
    with_lenses(|assembly| {
        let ring = assembly.iris.as_ref().unwrap();
        for mark in &ring.band.marks {
            let under = ring.under_index(mark.angle).unwrap();
            let MarkValue::Stop(number) = mark.value else { panic!("an iris mark") };
            assert_close(under.stop.unwrap().number() / law_stop(ring, mark).unwrap().number(), 1.0, 1e-9);
            assert_close(under.error_stops.unwrap(), ring.mark_error_stops(mark).unwrap(), 1e-9);
            match under.t_stop {
                // 0.84 of the light of the sample's third lens
                Some(t) => {
                    assert_close(t.number() / number, 1.0, 1e-9);
                    assert_close(t.number() / under.stop.unwrap().number(), 1.0 / 0.84f64.sqrt(), 1e-9);
                }
                None => assert_close(under.stop.unwrap().number() / number, 1.0, 1e-9),
            }
        }
        assert_eq!(ring.under_index(Angle::ZERO).unwrap().t_stop.is_some(), assembly.lens.name == "Marble 85");
    });
}

#[test]
fn the_error_of_a_distance_is_that_of_the_ring_times_the_laws_slope() {
    // independent: a difference quotient through under_index itself
    with_lenses(|assembly| {
        let ring = assembly.focus.as_ref().unwrap();
        let under = ring.set_to(assembly.lens, Distance::Finite(Length::mm(1200.0))).unwrap();
        let depth_marks = |deg: f64| {
            let under = ring.under_index(assembly.lens, under.at + Angle::deg(deg)).unwrap();
            under.distance.to_mm().unwrap()
        };
        let slope = (depth_marks(-0.01) - depth_marks(0.01)) / 0.02;
        let error = under.budget.distance.to_mm().unwrap();
        assert_close(error / (slope * under.budget.sigma.to_deg()), 1.0, 0.1);
    });
}
