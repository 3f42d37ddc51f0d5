//! How far marks can be trusted, from a set file to the drawing.

use std::path::Path;

use ringwright::assembly::{self, Assembly, FocusRing};
use ringwright::model::Set;
use ringwright::units::Distance;

fn assert_close(actual: f64, expected: f64, tolerance: f64) {
    assert!((actual - expected).abs() <= tolerance, "{actual} is not {expected} to {tolerance}");
}

fn set(style: &str, more: &str) -> String {
    format!(
        r#"[set]
name = "quarry"
units = ["m"]
[style]
{style}
{more}
[[lens]]
name = "Basalt 58"
focal_length = "58 mm"
widest_stop = 2
  [lens.focus]
  ring = {{ diameter = "84 mm", width = "11 mm", error = "0.05 mm", off_centre = "0 mm" }}
  toward_close = "clockwise"
  closest = "0.6 m"
  lead = "18 mm"
  readings = [
    {{ distance = "inf", at = "0 deg" }},
    {{ distance = "3 m", at = "23.4 deg" }},
    {{ distance = "1 m", at = "78.2 deg" }},
    {{ distance = "0.6 m", at = "148.5 deg" }},
  ]
"#
    )
}

fn with_ring<T>(text: &str, look: impl FnOnce(&Assembly, &FocusRing) -> T) -> T {
    let set = Set::parse("quarry.toml", text, Path::new("")).unwrap();
    let lettering = assembly::lettering(&set).unwrap();
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering).unwrap();
    look(&assembly, assembly.focus.as_ref().unwrap())
}

#[test]
fn a_printer_that_was_measured_is_trusted_more() {
    let at = |more: &str| {
        with_ring(&set("", more), |assembly, ring| ring.budget(assembly.lens, Distance::mm(600.0)).unwrap())
    };
    let guessed = at("");
    let measured = at("[process.film]\nruler_long = \"239.2 mm\"\nruler_short = \"180.4 mm\"");
    // 0.3 % and 0.06 % of the turn
    assert_close(guessed.parts.process.to_deg() / measured.parts.process.to_deg(), 5.0, 1e-9);
    assert_close(guessed.parts.process.to_deg(), 0.003 * 148.8, 0.01);
    assert!(guessed.sigma.to_deg() > measured.sigma.to_deg());
    // 0.05 mm of 84.1 mm
    assert_close(guessed.parts.diameter.to_deg(), 0.05 / 84.1 * 148.8, 1e-3);
}

#[test]
fn two_standard_errors_stay_inside_the_depth_of_field_at_the_stop_that_is_named_and_not_at_the_next_wider() {
    with_ring(&set("", ""), |assembly, ring| {
        let lens = assembly.lens;
        let mut looked_at = 0;
        for mark in &ring.bands[0].marks {
            let distance = assembly::mark_distance(mark.value).unwrap();
            let trust = ring.budget(lens, distance).unwrap();
            let (Some(stop), Some(_)) = (trust.sharp_from, distance.to_mm()) else { continue };
            let thin = assembly::thin_lens(lens);
            let law = &ring.calibration.law;
            let at = law.angle(distance).unwrap();
            let inside = |stop| {
                let depth = thin.depth_of_field(distance, stop, lens.circle_of_confusion).unwrap();
                let limits = (depth.near.to_mm().unwrap(), depth.far.to_mm().unwrap_or(f64::INFINITY));
                [-2.0, 2.0].iter().all(|sigmas| {
                    let off = ringwright::units::Angle::deg(sigmas * trust.sigma.to_deg());
                    let seen = law.distance(at + off).unwrap().to_mm().unwrap_or(f64::INFINITY);
                    (limits.0..=limits.1).contains(&seen)
                })
            };
            // f/0.5 is as wide as any lens opens: there nothing narrower is looked for
            if stop.number() > 0.51 {
                assert!(inside(stop), "{distance} at {stop}");
                let wider = ringwright::units::Stop::exact(stop.number() / 2f64.powf(1.0 / 6.0));
                assert!(!inside(wider), "{distance} at {wider}");
                looked_at += 1;
            }
        }
        assert!(looked_at > 20);
    });
}

#[test]
fn doubtful_marks_are_shortened_or_left_out_and_the_ends_always_stay() {
    let marks =
        |style: &str| with_ring(&set(style, ""), |_, ring| (ring.bands[0].marks.clone(), ring.warnings.clone()));
    let (drawn, _) = marks("");
    assert!(drawn.iter().all(|mark| !mark.short));
    let (short, told) = marks("doubtful = \"short\"");
    assert_eq!((short.len(), told.len()), (drawn.len(), 0));
    let doubtful = short.iter().filter(|mark| mark.short).count();
    assert!(doubtful > 3 && doubtful < drawn.len() - 3, "{doubtful} of {}", drawn.len());
    let (left, told) = marks("doubtful = \"left out\"");
    let closest = left.last().unwrap();
    assert_eq!((closest.label.as_str(), closest.short), ("0.6", true));
    assert_eq!(left.len(), drawn.len() - doubtful + left.iter().filter(|mark| mark.short).count());
    assert!(told[0].starts_with("left out as not true at f/2: "), "{told:?}");
    // stopped down the same marks are true
    let (all, told) = marks("doubtful = \"left out\"\ntrust_stop = 16");
    assert_eq!((all.len(), told.len()), (drawn.len(), 0));
}

#[test]
fn play_joins_the_error_of_every_mark() {
    let both = r#"
    { distance = "1 m", at = "78.9 deg", turned = "toward close" }, { distance = "1 m", at = "77.5 deg", turned = "toward infinity" },
    { distance = "0.6 m", at = "149.2 deg", turned = "toward close" }, { distance = "0.6 m", at = "147.8 deg", turned = "toward infinity" },
    { distance = "3 m", at = "24.1 deg", turned = "toward close" }, { distance = "3 m", at = "22.7 deg", turned = "toward infinity" },
    { distance = "1 m", at = "78.2 deg" },"#;
    let text = set("", "").replace("    { distance = \"1 m\", at = \"78.2 deg\" },", both);
    with_ring(&text, |assembly, ring| {
        let play = ring.calibration.play.unwrap();
        assert_close(play.value.to_deg(), 1.4, 0.05);
        let trust = ring.budget(assembly.lens, Distance::mm(1000.0)).unwrap();
        assert_close(trust.parts.play.to_deg(), 0.7, 0.05);
    });
}
