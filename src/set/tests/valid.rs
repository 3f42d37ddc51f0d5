//! Tests: sets that are read, with their defaults.

use crate::artwork::Extent;
use crate::calibration::{IrisChoice, LawChoice, Moves};
use crate::model::{DistanceUnit, Typeface};
use crate::model::{RingKind, Subject};
use crate::set::{SetFile, TEMPLATE};
use crate::surface::{Edge, Sense};
use crate::units::{Angle, Distance, Division, Length};

use super::{Path, changed, read, refusals};
use crate::model::Set;

fn close(actual: f64, expected: f64) {
    assert!((actual - expected).abs() < 1e-8, "{actual} is not {expected}");
}

/// What two bands on the sample's face of 11 mm leave for a numeral: 11 mm / (2 x 2.25 + 0.55 + 0.2), in twentieths.
const FITTING: f64 = 2.05;

#[test]
fn what_is_not_said_has_its_default() {
    let set = read(super::SAMPLE);
    assert_eq!(set.name, "quarry");
    close(set.process.settings().thickness().to_mm(), 0.1);
    assert_eq!(set.style.typeface, Typeface::Plain);
    assert_eq!(set.style.extent, Extent::Used);
    let style = [
        (set.style.numeral_height, FITTING),
        (set.style.tick_width, 0.2),
        (set.style.numbered_tick, 0.95 * FITTING),
        (set.style.plain_tick, 0.475 * FITTING),
        (set.style.smallest_gap, 0.8),
        (set.style.label_gap, 0.8 * FITTING),
    ];
    style.into_iter().for_each(|(length, expected)| close(length.to_mm(), expected));

    let lens = &set.lenses[0];
    assert_eq!(lens.units, [DistanceUnit::Metre, DistanceUnit::Foot]);
    assert_eq!(lens.widest_stop.unwrap().sixths(), Some(12));
    close(lens.circle_of_confusion.to_mm(), 0.025);
    let focus = lens.focus.as_ref().unwrap();
    assert_eq!(focus.ring.front_diameter, focus.ring.rear_diameter);
    assert_eq!((focus.toward_close, focus.law, focus.known.moves), (Sense::Clockwise, LawChoice::Auto, Moves::Whole));
    assert_eq!((focus.index, focus.read_from, focus.repeat), (Edge::Rear, Edge::Rear, false));
    assert_eq!((focus.known.lead, focus.known.principal_gap), (None, None));
    assert_eq!(focus.known.throw, Some(Angle::deg(90.0)));
    assert_eq!(focus.known.closest, Some(Length::mm(600.0)));
    assert_eq!(focus.readings[0].distance, Distance::Infinity);
    close(focus.reading_error.distance.to_mm(), 5.0);
    close(focus.reading_error.share, 0.003);
    close(focus.reading_error.at.to_deg(), 0.5);
    let iris = lens.iris.as_ref().unwrap();
    assert_eq!((iris.law, iris.t_scale, iris.transmittance), (IrisChoice::Auto, false, None));
    assert_eq!((iris.division, iris.smallest_stop.label()), (Division::Full, "16".to_string()));
    close(iris.reading_error.to_deg(), 0.5);
}

#[test]
fn what_is_said_is_read() {
    let text = r#"
        lens = [{ name = "A", focal_length = "2 in", widest_stop = "f/1.4", units = ["ft"], circle_of_confusion = "0.03 mm",
            focus = { ring = { rear_diameter = "84 mm", front_diameter = "80 mm", width = "11 mm" }, index = "front",
                toward_close = "counterclockwise", closest = "4'6\"", lead = "24 mm", principal_gap = "-4 mm", law = "travel",
                moves = "front", throw = "180 deg", repeat = 2, reading_error = { distance = "0.5 %", at = "1°" } },
            iris = { ring = { diameter = "70 mm", width = "8 mm" }, toward_closed = "clockwise", law = "blades", scale = "T",
                transmittance = 0.9, steps = 3, smallest_stop = 22, read_from = "front", reading_error = { at = "0.6 mm" },
                read_on = "60 mm", readings = [{ stop = 16, at = "31.4 mm" }, { stop = "f/1.4", at = "0 mm" }] } }]
        set = { name = "quarry", units = ["ft", "m"] }
        style = { typeface = "stencil", numeral_height = "4 mm", tick_width = "0.5 mm", extent = "full turn" }
        process.film.thickness = "0 mm"
    "#;
    let set = read(text);
    assert_eq!((set.style.typeface, set.style.extent), (Typeface::Stencil, Extent::FullTurn));
    close(set.style.label_gap.to_mm(), 3.2);
    close(set.style.smallest_gap.to_mm(), 1.0);
    close(set.process.settings().thickness().to_mm(), 0.0);
    let lens = &set.lenses[0];
    assert_eq!(lens.units, [DistanceUnit::Foot]);
    close(lens.focal_length.to_mm(), 50.8);
    assert_eq!(lens.widest_stop.unwrap().label(), "1.4");
    let focus = lens.focus.as_ref().unwrap();
    close(focus.ring.rear_diameter.to_mm(), 84.0);
    close(focus.ring.front_diameter.to_mm(), 80.0);
    close(focus.closest.to_mm(), 1371.6);
    assert_eq!((focus.toward_close, focus.known.moves), (Sense::Counterclockwise, Moves::Front));
    assert_eq!((focus.index, focus.read_from, focus.repeat), (Edge::Front, Edge::Front, true));
    assert_eq!((focus.known.lead, focus.known.principal_gap), (Some(Length::mm(24.0)), Some(Length::mm(-4.0))));
    close(focus.reading_error.distance.to_mm(), 0.0);
    close(focus.reading_error.share, 0.005);
    close(focus.reading_error.at.to_deg(), 1.0);
    let iris = lens.iris.as_ref().unwrap();
    assert_eq!((iris.t_scale, iris.transmittance, iris.division), (true, Some(0.9), Division::Third));
    assert_eq!((iris.index, iris.read_from, iris.smallest_stop.label()), (Edge::Rear, Edge::Front, "22".to_string()));
    // 31.4 mm on a ring of 60 mm: 360 x 31.4 / (60 pi)
    close(iris.readings[0].at.to_deg(), 59.969_582_557);
    close(iris.reading_error.to_deg(), 1.145_915_590_261_6);
}

#[test]
fn a_reading_along_another_ring_has_its_own_diameter() {
    let text = changed(r#"at = "41.6 deg""#, r#"at = "30.5 mm", read_on = "84 mm""#)
        .replace("throw =", "read_on = \"20 mm\"\nthrow =");
    let set = read(&text);
    // 360 x 30.5 / (84 pi)
    close(set.lenses[0].focus.as_ref().unwrap().readings[1].at.to_deg(), 41.607_649_408_3);
}

#[test]
fn places_of_readings_show_them() {
    let file = SetFile::parse("quarry.toml", super::SAMPLE, std::path::Path::new("")).unwrap();
    let place = file.place(&Subject::Reading(file.set.lenses[0].name.clone(), RingKind::Focus, 1)).unwrap();
    assert_eq!(&super::SAMPLE[place.span()], r#"{ distance = "1 m", at = "41.6 deg" }"#);
    assert_eq!(place.fault("", "").line_and_column(), Some((17, 5)));
}

#[test]
fn t_stops_without_a_transmittance_are_readings_themselves() {
    let text = changed("stop = 16", "stop = \"T16\"").replace("steps = 1", "scale = \"T\"");
    let set = read(&text);
    let iris = set.lenses[0].iris.as_ref().unwrap();
    assert!(iris.t_scale && iris.transmittance.is_none());
    assert_eq!(iris.readings[1].stop.label(), "16");
}

#[test]
fn noise_is_no_fault() {
    // An inversion of 1.5 deg, a repeated distance 3 deg off, two far distances at one angle.
    for (from, to) in [
        (r#"at = "41.6 deg""#, r#"at = "77.4 deg""#),
        (r#"{ distance = "1 m""#, r#"{ distance = "1 m", at = "38.6 deg" }, { distance = "1 m""#),
        (
            r#"{ distance = "1 m""#,
            r#"{ distance = "30 m", at = "1 deg" }, { distance = "40 m", at = "1 deg" }, { distance = "1 m""#,
        ),
        (r#"closest = "0.6 m""#, r#"closest = "0.63 m""#),
        (r#"throw = "90 deg""#, r#"throw = "73 deg""#),
        (r#"closest = "0.6 m""#, r#"closest = "200 mm""#),
    ] {
        read(&changed(from, to));
    }
}

#[test]
fn a_file_stem_keeps_letters_and_digits() {
    let mut lens = read(super::SAMPLE).lenses.remove(0);
    for (name, stem) in [
        ("Granite 50", "granite-50"),
        ("  75 mm / T1.5 ", "75-mm-t1-5"),
        ("Öre 35", "öre-35"),
        ("--a--", "a"),
        ("..", ""),
        (&"é".repeat(60), &"é".repeat(50)),
    ] {
        lens.name = name.to_string();
        assert_eq!(lens.file_stem(), stem);
    }
}

#[test]
fn the_template_is_read_as_it_stands() {
    let set = read(TEMPLATE);
    assert_eq!(set.lenses.len(), 1);
    assert!(set.lenses[0].focus.is_some() && set.lenses[0].iris.is_some());
}

#[test]
fn every_optional_line_of_the_template_is_read_alone() {
    let is_key = |line: &str| line.starts_with('#') && line[1..].starts_with(|c: char| c.is_ascii_lowercase());
    let mut count = 0;
    for line in TEMPLATE.lines().filter(|line| is_key(line)) {
        count += 1;
        for (at, _) in TEMPLATE.match_indices(&format!("\n{line}\n")) {
            let text = format!("{}{}", &TEMPLATE[..=at], &TEMPLATE[at + 2..]);
            match Set::parse("quarry.toml", &text, Path::new("")) {
                Ok(_) => assert!(
                    !["#readings_file", "#exposures_file", "#exposure_reference"]
                        .iter()
                        .any(|key| line.starts_with(key)),
                    "{line}"
                ),
                // An exposure of the reference says nothing without the lens's own.
                Err(faults) if line.starts_with("#exposure_reference") => {
                    let messages: Vec<_> = faults.as_slice().iter().map(|fault| fault.message()).collect();
                    assert_eq!(
                        messages,
                        ["an exposure through another lens says nothing without exposures of this one"]
                    );
                }
                Err(faults) if line.starts_with("#exposures_file") => {
                    let messages: Vec<_> = faults.as_slice().iter().map(|fault| fault.message()).collect();
                    assert!(messages.len() == 1 && messages[0].ends_with("was not read: there is no such file"));
                }
                // Beside the list, a file of readings is one source too many; and it is not there.
                Err(faults) => {
                    assert!(line.starts_with("#readings_file"), "{line}: {faults}");
                    let messages: Vec<_> = faults.as_slice().iter().map(|fault| fault.message()).collect();
                    assert_eq!(messages[0], "readings come from a list or from a file, not from both");
                    assert!(messages.len() == 2 && messages[1].ends_with("was not read: there is no such file"));
                }
            }
        }
    }
    assert_eq!(count, 89);
}

#[test]
fn many_faults_come_at_once_in_the_order_of_the_file() {
    let text = r#"[set]
name = 7
[style]
numeral_height = 2.5
[process.engrave]
tool = true
[[lens]]
name = "Granite 50"
focal_length = "50"
[lens.focus]
ring = { diameter = 84, width = "11 mm" }
closest = "0.6 metre"
trow = "90 deg"
readings = [
    { distance = "inf", at = "0 deg" },
    { distance = "1 m", at = 41.6 },
]
[lens.iris]
ring = { width = "8 mm" }
toward_closed = "anticlockwise"
readings = [{ stop = "2", at = "0 deg" }, { stop = [16], at = "60 deg" }]
"#;
    insta::assert_snapshot!(refusals(text), @r#"
error: `name` must be a text, not a bare number
 --> quarry.toml:2:8
  |
2 | name = 7
  |        ^ did you mean "7"?

error: a length needs a unit
 --> quarry.toml:4:18
  |
4 | numeral_height = 2.5
  |                  ^^^ did you mean "2.5 mm"?

error: `tool` must be a length, not true or false
 --> quarry.toml:6:8
  |
6 | tool = true
  |        ^^^^ write it like "0.2 mm"

error: a length needs a unit
 --> quarry.toml:9:17
  |
9 | focal_length = "50"
  |                 ^^ did you mean "50 mm"?

error: a focus ring needs `toward_close`
  --> quarry.toml:10:1
   |
10 | [lens.focus]
   | ^^^^^^^^^^^^ add toward_close = "clockwise" or "counterclockwise", as seen from behind the camera

error: a length needs a unit
  --> quarry.toml:11:21
   |
11 | ring = { diameter = 84, width = "11 mm" }
   |                     ^^ did you mean "84 mm"?

error: a focus ring has no key `trow`
  --> quarry.toml:13:1
   |
13 | trow = "90 deg"
   | ^^^^ did you mean `throw`?

error: a position on the ring needs a unit
  --> quarry.toml:16:30
   |
16 |     { distance = "1 m", at = 41.6 },
   |                              ^^^^ did you mean "41.6 deg"?

error: a ring needs `diameter`
  --> quarry.toml:19:8
   |
19 | ring = { width = "8 mm" }
   |        ^^^^^^^^^^^^^^^^^^ add diameter = "84 mm", or rear_diameter and front_diameter of a cone

error: `toward_closed` cannot be "anticlockwise"
  --> quarry.toml:20:17
   |
20 | toward_closed = "anticlockwise"
   |                 ^^^^^^^^^^^^^^^ did you mean "counterclockwise"?

error: `stop` must be a stop, not a list
  --> quarry.toml:21:52
   |
21 | readings = [{ stop = "2", at = "0 deg" }, { stop = [16], at = "60 deg" }]
   |                                                    ^^^^ write it like 2.8 or "f/2.8"
"#);
}
