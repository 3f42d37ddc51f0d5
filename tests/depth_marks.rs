//! What stands beside a focus scale: hyperfocal marks among the distances, depth marks beside the index.

use std::path::Path;

use ringwright::assembly::{Assembly, hyperfocal_marks, lettering};
use ringwright::model::Set;
use ringwright::report;

/// A lens of a focal length on a 90 mm ring, in one unit, with some lines more.
fn set(focal: f64, c: f64, lead: f64, more: &str) -> Set {
    let text = format!(
        "[set]\nname = \"S\"\nunits = [\"m\"]\n[style]\nnumeral_height = \"1.6 mm\"\nsmallest_gap = \"1.6 mm\"\n[[lens]]\nname = \"L\"\n\
         focal_length = \"{focal} mm\"\nwidest_stop = 2\ncircle_of_confusion = \"{c} mm\"\n[lens.focus]\n\
         ring = {{ diameter = \"90 mm\", width = \"10 mm\" }}\ntoward_close = \"clockwise\"\nclosest = \"0.6 m\"\n\
         lead = \"{lead} mm\"\n{more}\n"
    );
    Set::parse("s.toml", &text, Path::new("")).unwrap_or_else(|faults| panic!("{faults}"))
}

fn with<T>(set: &Set, look: impl FnOnce(&Assembly) -> T) -> T {
    let lettering = lettering(set).unwrap_or_else(|faults| panic!("{faults}"));
    look(&Assembly::new(set, &set.lenses[0], &lettering).unwrap_or_else(|faults| panic!("{faults}")))
}

#[test]
fn a_hyperfocal_mark_keeps_off_every_tick_and_label_or_is_left_out_and_told() {
    let (mut placed, mut left_out, mut beyond) = (0, 0, 0);
    for focal in [18.0, 24.0, 35.0, 50.0] {
        for c in [0.02, 0.025, 0.03, 0.04] {
            for throw in [90.0, 150.0, 220.0, 300.0] {
                // Newton: x = f^2 / (u - f), and u - f is about the closest distance less 2 f
                let lead = focal * focal / (600.0 - 2.0 * focal) * 360.0 / throw;
                let set = set(focal, c, lead, "hyperfocal = [4, 5.6, 8, 11, 16]");
                with(&set, |assembly| {
                    let ring = assembly.focus.as_ref().unwrap();
                    let lettering = lettering(&set).unwrap();
                    // on a ring that closes clockwise, close marks lie to the left
                    let sides = |label: &str| lettering.reach(label).map(|reach| (reach.right, reach.left)).unwrap();
                    let half = |label: &str| sides(label).0.max(sides(label).1).to_mm();
                    let marks = &ring.bands[0].marks;
                    let (tick_gap, label_gap) = (set.style.smallest_gap.to_mm(), set.style.label_gap.to_mm());
                    for (_, mark) in hyperfocal_marks(&ring.bands[0]) {
                        placed += 1;
                        for other in marks.iter().filter(|other| *other != mark) {
                            let away = (other.arc - mark.arc).to_mm().abs();
                            assert!(away >= tick_gap - 1e-9, "{} at {away} mm from {}", mark.label, other.label);
                            let (far, near) = if other.arc < mark.arc { (other, mark) } else { (mark, other) };
                            let clear = away - (sides(&far.label).1 + sides(&near.label).0).to_mm();
                            assert!(!other.numbered() || clear >= label_gap - 1e-9, "{} {}", mark.label, other.label);
                        }
                    }
                    // a far tick beneath its label would be taken for its own
                    let far = marks.iter().filter(|mark| mark.hyperfocal.is_none() && mark.numbered()).nth(1).unwrap();
                    for other in marks.iter().filter(|other| !other.numbered() && other.arc < far.arc) {
                        beyond += 1;
                        for (_, mark) in hyperfocal_marks(&ring.bands[0]) {
                            let away = (other.arc - mark.arc).to_mm().abs();
                            assert!(away >= half(&mark.label) - 1e-9, "{} at {away} mm from a tick", mark.label);
                        }
                    }
                    let shown = hyperfocal_marks(&ring.bands[0]).count();
                    assert_eq!(shown + ring.left_out.len(), 5, "{:?}", ring.left_out);
                    left_out += ring.left_out.len();
                    // the row is still in ring order
                    assert!(marks.windows(2).all(|pair| pair[0].arc < pair[1].arc));
                });
            }
        }
    }
    assert!(placed >= 100 && left_out >= 5, "{placed} placed, {left_out} left out");
    assert!(beyond >= 20, "{beyond} ticks beyond the numerals");
}

#[test]
fn depth_marks_are_told_with_their_turn_and_their_caution() {
    let set = set(50.0, 0.03, 12.0, "depth_marks = [5.6, 11, 22]");
    let json = with(&set, |assembly| report::marks_json("S", std::slice::from_ref(assembly)));
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let marks = json["lenses"][0]["focus"]["depth_marks"].as_array().unwrap();
    assert!(!marks.is_empty());
    for mark in marks {
        // on a helicoid the far side is N c along the axis: the disc of confusion times the f-number
        let turn = mark["stop"].as_f64().unwrap() * 0.03 * 360.0 / 12.0;
        assert!((mark["far_deg"].as_f64().unwrap() - turn).abs() < 1e-4, "{mark}");
        assert!(mark["near_deg"].as_f64() > mark["far_deg"].as_f64());
        let arc = mark["far_deg"].as_f64().unwrap() * std::f64::consts::PI * 90.1 / 360.0;
        assert!((mark["far_mm"].as_f64().unwrap() - arc).abs() < 1e-4, "{mark}");
    }
}

#[test]
fn close_focus_makes_depth_marks_cautious_and_it_is_said() {
    let near = set(85.0, 0.03, 24.0, "depth_marks = [11]");
    let warnings = with(&near, |assembly| assembly.focus.as_ref().unwrap().warnings.join("\n"));
    assert!(warnings.contains("the depth marks are cautious: at 0.6 m the true depth is "), "{warnings}");
    let far = set(35.0, 0.03, 24.0, "depth_marks = [11]");
    let warnings = with(&far, |assembly| assembly.focus.as_ref().unwrap().warnings.join("\n"));
    assert!(!warnings.contains("cautious"), "{warnings}");
}
