//! Tests of what is said to stand under the index.

use super::*;
use crate::assembly::{Budget, Uncertainty};
use crate::check::assert_close;
use crate::optics::ThinLens;
use crate::units::{Angle, Length, TStop};

/// A 50 mm lens at f/2, set to a distance that is known to `sigma` mm.
fn under(mm: f64, sigma: f64, needs: f64) -> UnderIndex {
    let distance = |mm: f64| if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity };
    let lens = ThinLens { focal_length: Length::mm(50.0), principal_gap: Length::ZERO };
    let widest = Stop::from_sixths(12);
    UnderIndex {
        at: Angle::deg(40.0),
        distance: distance(mm),
        widest: Some(widest),
        sharp: lens.depth_of_field(distance(mm), widest, Length::mm(0.025)),
        budget: Uncertainty {
            sigma: Angle::deg(0.4),
            parts: Budget::default(),
            arc: Length::mm(0.31),
            distance: distance(sigma),
            sharp_from: Some(Stop::exact(needs)),
        },
        evidence: Evidence::BetweenReadings,
    }
}

fn words(under: &UnderIndex, unit: DistanceUnit) -> String {
    let UnderIndexWords { distance, other, sharp, budget } = under_index_words(under, unit);
    format!("{distance} = {other} | {} | {budget}", sharp.unwrap_or_default())
}

#[test]
fn a_position_is_said_with_as_many_digits_as_can_be_trusted() {
    let inf = f64::INFINITY;
    let all = [
        words(&under(1523.4, 12.0, 2.8), DistanceUnit::Metre),
        words(&under(1523.4, 12.0, 2.8), DistanceUnit::Foot),
        words(&under(1523.4, 2.0, 2.0), DistanceUnit::Metre),
        words(&under(1523.4, 0.4, 2.0), DistanceUnit::Foot),
        words(&under(450.0, 40.0, 11.0), DistanceUnit::Metre),
        words(&under(15_000.0, 4000.0, 4.0), DistanceUnit::Metre),
        words(&under(42_000.0, 70_000.0, 8.0), DistanceUnit::Foot),
        words(&under(42_000.0, inf, 100.0), DistanceUnit::Metre),
        words(&under(94e6, inf, 100.0), DistanceUnit::Metre),
        words(&under(inf, inf, 1.4), DistanceUnit::Metre),
        words(&UnderIndex { evidence: Evidence::BeyondReadings, ..under(600.0, 9.0, 4.0) }, DistanceUnit::Metre),
        words(&UnderIndex { evidence: Evidence::Theory, widest: None, ..under(600.0, 9.0, 4.0) }, DistanceUnit::Metre),
    ];
    insta::assert_snapshot!(all.join("\n"), @r#"
1.52 m = 5 ft 0.0 in | 1.48 m to 1.57 m at f/2 | ± 12 mm, ± 0.31 mm on the ring; true from f/2.8
5 ft 0.0 in = 1.52 m | 4 ft 10.4 in to 5 ft 1.7 in at f/2 | ± 0.47 in, ± 0.31 mm on the ring; true from f/2.8
1.523 m = 5 ft 0.0 in | 1.483 m to 1.566 m at f/2 | ± 2.0 mm, ± 0.31 mm on the ring; true wide open
5 ft 0.0 in = 1.523 m | 4 ft 10.4 in to 5 ft 1.7 in at f/2 | ± 0.02 in, ± 0.31 mm on the ring; true wide open
0.45 m = 1 ft 5.5 in | 2.7 mm nearer to 2.7 mm farther at f/2 | ± 40 mm, ± 0.31 mm on the ring; true from f/11
15 m = 50 ft | 12 m to about 20 m at f/2 | ± 4.0 m, ± 0.31 mm on the ring; true from f/4
about 140 ft = about 40 m | about 80 ft to about 800 ft at f/2 | ± 230 ft, ± 0.31 mm on the ring; true from f/8
about 40 m = about 140 ft | about 20 m to about 300 m at f/2 | may be infinity, ± 0.31 mm on the ring; true at no stop
near infinity = near infinity | about 50 m to infinity at f/2 | may be infinity, ± 0.31 mm on the ring; true at no stop
infinity = infinity | about 50 m to infinity at f/2 | ± 0.31 mm on the ring; true wide open
0.60 m = 1 ft 11.6 in | 0.59 m to 0.61 m at f/2 | ± 9.0 mm, ± 0.31 mm on the ring; true from f/4; beyond the readings
0.60 m = 1 ft 11.6 in |  | ± 9.0 mm, ± 0.31 mm on the ring; true from f/4; no readings, from theory alone
"#);
}

#[test]
fn the_last_digit_is_worth_a_fifth_of_the_error_or_more_and_is_true_within_it() {
    // read back from the text
    for mm in (300..20_000).step_by(37).map(f64::from) {
        for sigma in [0.5f64, 3.1, 12.0, 45.0, 170.0] {
            let under = under(mm, sigma.min(0.2 * mm), 4.0);
            let sigma = under.budget.distance.to_mm().unwrap();
            let text = said(&under, under.distance, DistanceUnit::Metre);
            let text = text.trim_start_matches("about ").trim_end_matches(" m");
            let decimals = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            let step = 1000.0 / 10f64.powi(decimals as i32);
            assert!(decimals <= 3 && step >= 0.2 * sigma, "{text} ± {sigma}");
            assert_close(text.parse::<f64>().unwrap() * 1000.0, mm, sigma.max(0.5) + 1e-6);
        }
    }
}

#[test]
fn both_units_say_the_same_place() {
    // 1 ft = 304.8 mm, 1 in = 25.4 mm exactly
    for mm in (300..9000).step_by(41).map(f64::from) {
        for sigma in [0.5, 6.0, 30.0] {
            let under = under(mm, sigma, 4.0);
            let text = said(&under, under.distance, DistanceUnit::Foot);
            let back: Length = text.parse().unwrap_or_else(|_| panic!("{text}"));
            assert_close(back.to_mm(), mm, sigma.max(1.3));
        }
    }
}

#[test]
fn stops_are_said_as_light_meters_say_them() {
    let stop = |stops: f64| Stop::exact((0.5 * stops).exp2());
    let said = |stops: f64, error: Option<f64>, transmittance: Option<f64>| {
        stop_under_index_words(&StopUnderIndex {
            at: Angle::ZERO,
            stop: Some(stop(stops)),
            t_stop: transmittance.map(|tau| TStop::of(stop(stops), tau)),
            error_stops: error,
        })
    };
    let all = [
        said(3.0, Some(0.04), None),
        said(3.31, Some(0.12), Some(0.84)),
        said(3.98, Some(0.12), None),
        said(3.31, Some(0.6), None),
        said(5.2, Some(2.0), None),
        said(-0.5, None, None),
    ];
    insta::assert_snapshot!(all.join("\n"), @r#"
f/2.8, ± 0.1 stop
T2.8 and 6 tenths, f/2.8 and 3 tenths, ± 0.1 stop
f/4, ± 0.1 stop
f/2.8 and a half, ± 0.6 stop
f/5.6, ± 2.0 stop
f/0.7 and 5 tenths
"#);
}
