//! Tests: exposures of a card and what they need beside them.

use super::{SAMPLE, changed, read, refusals, refused};
use crate::check::assert_close;
use crate::model::Set;

const READINGS: &str = r#"readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "60 deg" }]
"#;
const LIST: &str = r#"exposures = [{ at = "0 deg", stops = 0 }, { at = "60 deg", stops = -6.1 }]"#;

/// The sample with these lines in place of `steps`.
fn with(lines: &str) -> String {
    changed("steps = 1", lines)
}

#[test]
fn stops_and_linear_values_say_the_same() {
    let stops = r#"exposures = [{ at = "0 deg", stops = 12 }, { at = "31.4 mm", read_on = "60 mm", stops = 10 }]
exposure_reference = { T = 4, stops = 11 }"#;
    let linear = r#"exposures = [{ at = "0 deg", value = 4096 }, { at = "31.4 mm", read_on = "60 mm", value = 1024.0 }]
exposure_reference = { T = "T4", value = 2048 }"#;
    let card = |lines: &str| read(&with(lines)).lenses[0].iris.clone().unwrap().exposures.unwrap();
    assert_eq!(card(stops), card(linear));
    let card = card(stops);
    // 31.4 mm on a ring of 60 mm: 360 x 31.4 / (60 pi)
    assert_close(card.list[1].at.to_deg(), 59.969_582_557, 1e-8);
    assert_eq!((card.reference.unwrap().t.label(), card.error), ("4".to_string(), 0.1));
}

#[test]
fn a_file_names_the_column_that_it_holds() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/set-exposures");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, text) in
        [("stops.csv", "at,stops\n0 deg,0\n14 deg,-1\n"), ("values.csv", "value;at\n4096;0 deg\n2048;14 deg\n")]
    {
        std::fs::write(folder.join(name), text).unwrap();
        let text = with(&format!("exposures_file = \"{name}\"\nexposure_error = 0.2"));
        let set = Set::parse("quarry.toml", &text, &folder).unwrap_or_else(|faults| panic!("{faults}"));
        let card = set.lenses[0].iris.clone().unwrap().exposures.unwrap();
        assert_close(card.list[0].stops - card.list[1].stops, 1.0, 1e-12);
        assert_eq!((card.list[1].at.to_deg(), card.error), (14.0, 0.2));
    }
    std::fs::write(folder.join("wrong.csv"), "at,value\n0 deg,none\n14 deg,-3\n").unwrap();
    let faults = Set::parse("quarry.toml", &with("exposures_file = \"wrong.csv\""), &folder).unwrap_err();
    let messages: Vec<&str> = faults.as_slice().iter().map(|fault| fault.message()).collect();
    assert_eq!(messages, ["`none` is not a number", "`value` cannot be -3"]);
    std::fs::write(folder.join("wrong.csv"), "at;stops\n0 deg;0\n14 deg;-1,05\n").unwrap();
    let faults = Set::parse("quarry.toml", &with("exposures_file = \"wrong.csv\""), &folder).unwrap_err();
    assert_eq!(faults.as_slice()[0].marks()[0].1, "did you mean -1.05?");
}

#[test]
fn exposures_with_a_reference_need_no_readings() {
    let text = SAMPLE.replace(READINGS, "scale = \"T\"\n");
    let text = text.replace("steps = 1", &format!("{LIST}\nexposure_reference = {{ T = 4, stops = -1.7 }}"));
    let iris = read(&text).lenses[0].iris.clone().unwrap();
    assert!(iris.readings.is_empty());
    // 4 stops from T1 and 4.4 stops darker than the reference
    assert_close(iris.smallest_stop.in_stops(), 8.4, 1e-9);
}

#[test]
fn stops_and_linear_values_are_never_mixed() {
    insta::assert_snapshot!(refusals(&with(r#"exposures = [{ at = "0 deg", stops = 0 }, { at = "60 deg", value = 64 }]"#)), @r#"
error: stops and linear values are mixed in one ring
  --> quarry.toml:26:43
   |
26 | exposures = [{ at = "0 deg", stops = 0 }, { at = "60 deg", value = 64 }]
   |              ---------------------------  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ this one is in `value`
   |              |
   |              the first is in `stops`
"#);
    insta::assert_snapshot!(refusals(&with(r#"exposures = [{ at = "0 deg", stops = 0, value = 1 }, { at = "60 deg", stops = -6 }]"#)), @r#"
error: an exposure is given in stops or as a linear value, not as both
  --> quarry.toml:26:14
   |
26 | exposures = [{ at = "0 deg", stops = 0, value = 1 }, { at = "60 deg", stops = -6 }]
   |              ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ leave out one of them
"#);
    insta::assert_snapshot!(refusals(&with(&format!("{LIST}\nexposure_reference = {{ T = 4, value = 900 }}"))), @r#"
error: the exposures are in `stops`, and the reference is in `value`
  --> quarry.toml:27:22
   |
27 | exposure_reference = { T = 4, value = 900 }
   |                      ^^^^^^^^^^^^^^^^^^^^^^ write it like { T = 4, stops = -1.7 }
"#);
}

#[test]
fn exposures_alone_need_a_reference_and_a_t_scale() {
    let text = SAMPLE.replace(READINGS, "").replace("steps = 1", LIST);
    insta::assert_snapshot!(refusals(&text), @r#"
error: exposures alone place T-stops, and this is an f scale
  --> quarry.toml:25:1
   |
25 | exposures = [{ at = "0 deg", stops = 0 }, { at = "60 deg", stops = -6.1 }]
   | ^^^^^^^^^ no reading tells the f-stops
   |
   = help: write scale = "T", or add the f-stops that were read on the ring as `readings`
"#);
    let text = SAMPLE.replace(READINGS, "").replace("steps = 1", &format!("scale = \"T\"\n{LIST}"));
    insta::assert_snapshot!(refusals(&text), @r#"
error: exposures alone tell how the light falls off, not how much there is
  --> quarry.toml:26:1
   |
26 | exposures = [{ at = "0 deg", stops = 0 }, { at = "60 deg", stops = -6.1 }]
   | ^^^^^^^^^ these are relative
   |
   = help: add exposure_reference = { T = 4, stops = -1.7 }, the same card through a lens of known T-stop
"#);
}

#[test]
fn relative_exposures_make_no_t_scale() {
    insta::assert_snapshot!(refusals(&with(&format!("scale = \"T\"\n{LIST}"))), @r#"
error: relative exposures cannot tell the transmittance that a T scale needs
  --> quarry.toml:27:1
   |
27 | exposures = [{ at = "0 deg", stops = 0 }, { at = "60 deg", stops = -6.1 }]
   | ^^^^^^^^^ these are relative
   |
   = help: add exposure_reference = { T = 4, stops = -1.7 }, the same card through a lens of known T-stop, or state a transmittance
"#);
    let stated = read(&with(&format!("scale = \"T\"\ntransmittance = 0.8\n{LIST}")));
    assert!(stated.lenses[0].iris.as_ref().unwrap().exposures.is_some());
}

#[test]
fn a_transmittance_is_stated_or_measured() {
    let lines = format!("transmittance = 0.8\n{LIST}\nexposure_reference = {{ T = 4, stops = -1.7 }}");
    insta::assert_snapshot!(refusals(&with(&lines)), @r#"
error: the transmittance is stated, and the exposures measure it
  --> quarry.toml:26:1
   |
26 | transmittance = 0.8
   | ^^^^^^^^^^^^^ leave this out, or leave out `exposure_reference`
"#);
}

#[test]
fn a_reference_needs_exposures() {
    insta::assert_snapshot!(refused("steps = 1", "exposure_reference = { T = 4, stops = -1.7 }"), @r#"
error: an exposure through another lens says nothing without exposures of this one
  --> quarry.toml:26:1
   |
26 | exposure_reference = { T = 4, stops = -1.7 }
   | ^^^^^^^^^^^^^^^^^^ add exposures = [ { at = "14 deg", stops = -1.05 }, ... ]
"#);
}

#[test]
fn one_position_is_too_few() {
    insta::assert_snapshot!(refusals(&with(r#"exposures = [{ at = "0 deg", stops = 0 }]"#)), @r#"
error: exposures are needed at two positions of the ring at least
  --> quarry.toml:26:1
   |
26 | exposures = [{ at = "0 deg", stops = 0 }]
   | ^^^^^^^^^ add further ones
   |
   = help: expose the card wide open, clearly stopped down, and at the smallest stop
"#);
}

#[test]
fn exposures_that_run_backwards_are_named() {
    insta::assert_snapshot!(refusals(&with(r#"exposures = [{ at = "0 deg", stops = -6 }, { at = "60 deg", stops = 0 }]"#)), @r#"
error: these exposures run backwards
  --> quarry.toml:26:44
   |
26 | exposures = [{ at = "0 deg", stops = -6 }, { at = "60 deg", stops = 0 }]
   |              ----------------------------  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^ +0.00 stop at 60.0 deg
   |              |
   |              -6.00 stop at 0.0 deg
   |
   = note: the card must come out darker from open toward closed
   = help: brighter is more; check in which sense the ring was read and where its zero was
"#);
}

#[test]
fn an_exposure_has_a_position_with_a_unit_and_a_brightness() {
    insta::assert_snapshot!(refusals(&with(r#"exposures = [{ at = 0, stops = 0 }, { at = "60 deg" }, { at = "60 deg", value = 0 }]"#)), @r#"
error: a position on the ring needs a unit
  --> quarry.toml:26:21
   |
26 | exposures = [{ at = 0, stops = 0 }, { at = "60 deg" }, { at = "60 deg", value = 0 }]
   |                     ^ did you mean "0 deg"?

error: an exposure needs `stops`
  --> quarry.toml:26:37
   |
26 | exposures = [{ at = 0, stops = 0 }, { at = "60 deg" }, { at = "60 deg", value = 0 }]
   |                                     ^^^^^^^^^^^^^^^^^ add { at = "14 deg", stops = -1.05 }

error: `value` cannot be 0
  --> quarry.toml:26:81
   |
26 | exposures = [{ at = 0, stops = 0 }, { at = "60 deg" }, { at = "60 deg", value = 0 }]
   |                                                                                 ^ allowed are 0.000001 to 20000000
"#);
}
