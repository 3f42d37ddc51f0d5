//! Tests: how readings were come by: the way the ring was turned, the point measured from, the old scale, checks.

use super::{changed, read, refused};
use crate::calibration::{Means, Origin, Turned};
use crate::check::assert_close;
use crate::model::Focus;
use crate::units::{Angle, Distance, Length};

const THROW: &str = "throw = \"90 deg\"";

fn focus_with(lines: &str) -> Focus {
    read(&changed(THROW, lines)).lenses[0].focus.clone().unwrap()
}

#[test]
fn a_reading_says_which_way_the_ring_was_turned_and_how_sure_it_is() {
    let text = changed(
        r#"{ distance = "1 m", at = "41.6 deg" }"#,
        r#"{ distance = "1 m", at = "41.6 deg", turned = "toward close", error = { distance = "9 mm", at = "1 deg" } }"#,
    );
    let readings = read(&text).lenses[0].focus.clone().unwrap().readings;
    assert_eq!([readings[0].turned, readings[1].turned], [None, Some(Turned::TowardClose)]);
    assert_eq!((readings[1].error.at, readings[1].error.distance), (Angle::deg(1.0), Length::mm(9.0)));
    assert_eq!(readings[0].error.at, Angle::deg(0.5));
    insta::assert_snapshot!(refused(r#"at = "41.6 deg" }"#, r#"at = "41.6 deg", turned = "left" }"#), @r#"
error: `turned` cannot be "left"
  --> quarry.toml:17:51
   |
17 |     { distance = "1 m", at = "41.6 deg", turned = "left" },
   |                                                   ^^^^^^ allowed are "toward close" and "toward infinity"
"#);
}

#[test]
fn distances_may_be_taped_from_another_point() {
    let focus = focus_with(r#"measured_from = { point = "front rim", ahead = "62 mm" }"#);
    let rim = Origin::Ahead { by: Length::mm(62.0), error: Length::mm(1.0), travels: true };
    assert!(focus.readings.iter().all(|reading| reading.from == rim));
    let focus = focus_with(r#"measured_from = { point = "fixed point", ahead = "-10 mm", error = "0.2 mm" }"#);
    let fixed = Origin::Ahead { by: Length::mm(-10.0), error: Length::mm(0.2), travels: false };
    assert_eq!(focus.measured_from, fixed);
    insta::assert_snapshot!(refused(THROW, r#"measured_from = { point = "front rim" }"#), @r#"
error: the point measured from needs `ahead`
  --> quarry.toml:20:17
   |
20 | measured_from = { point = "front rim" }
   |                 ^^^^^^^^^^^^^^^^^^^^^^^ add ahead = "62 mm", how far it lies before the image plane with the ring at infinity
"#);
    insta::assert_snapshot!(refused(THROW, r#"measured_from = { point = "mount", ahead = "0 mm" }"#), @r#"
error: `point` cannot be "mount"
  --> quarry.toml:20:27
   |
20 | measured_from = { point = "mount", ahead = "0 mm" }
   |                           ^^^^^^^ allowed are "front rim" and "fixed point"
"#);
}

#[test]
fn marks_of_the_old_scale_join_the_readings_and_count_from_the_image_plane() {
    let focus = focus_with(
        "measured_from = { point = \"front rim\", ahead = \"62 mm\" }\nread_on = \"62 mm\"\n\
         engraved = [{ distance = \"2 m\", at = \"10.8 mm\" }]\nengraved_error = { at = \"0.3 mm\" }",
    );
    let old = focus.readings.last().unwrap();
    assert_eq!((old.by, old.from, old.distance), (Means::Engraving, Origin::ImagePlane, Distance::mm(2000.0)));
    // 10.8 mm and 0.3 mm along a ring of 62 mm
    assert_close(old.at.to_deg(), 19.961, 1e-3);
    assert_close(old.error.at.to_deg(), 0.5545, 1e-3);
    assert_close(old.error.share, 0.01, 1e-12);
}

#[test]
fn the_stop_is_a_position_of_the_ring() {
    assert_eq!(focus_with(r#"infinity_stop = "-1.5 deg""#).infinity_stop, Some(Angle::deg(-1.5)));
    assert_eq!(focus_with("").infinity_stop, None);
}

#[test]
fn checks_of_the_finished_scale_are_listed_or_stand_in_tables() {
    let focus = focus_with("checks = [{ distance = \"1 m\", reads = \"1.03 m\" }]");
    assert_eq!(focus.checks[0].reads, Distance::mm(1030.0));
    // 0.3 mm along a ring of 84 mm
    assert_close(focus.checks[0].error.at.to_deg(), 0.4093, 1e-3);
    let tables = "[[lens.focus.checks]]\ndistance = \"inf\"\nreads = \"20 m\"\n[[lens.focus.checks]]\ndistance = \"1 m\"\n\
                  reads = \"1 m\"\nerror = { at = \"1 deg\" }";
    let checks = focus_with(tables).checks;
    assert_eq!((checks.len(), checks[0].distance, checks[1].error.at), (2, Distance::Infinity, Angle::deg(1.0)));
    insta::assert_snapshot!(refused(THROW, "checks = [{ distance = \"1 m\" }]"), @r#"
error: a check of the focus scale needs `reads`
  --> quarry.toml:20:11
   |
20 | checks = [{ distance = "1 m" }]
   |           ^^^^^^^^^^^^^^^^^^^^ add { distance = "1.2 m", reads = "1.25 m" }
"#);
}

#[test]
fn a_ring_says_how_true_it_is() {
    let focus =
        read(&changed("width = \"11 mm\" }", "width = \"11 mm\", error = \"0.2 mm\", off_centre = \"0.1 mm\" }"));
    let trueness = focus.lenses[0].focus.clone().unwrap().trueness;
    assert_eq!((trueness.diameter, trueness.off_centre), (Length::mm(0.2), Length::mm(0.1)));
    assert_eq!(focus.lenses[0].iris.clone().unwrap().trueness.diameter, Length::mm(0.05));
}

#[test]
fn a_room_and_its_view_are_told_once_for_the_set() {
    let set = read(&changed("name = \"quarry\"", "name = \"quarry\"\nroom = \"6 m\"\nfar_target = false"));
    assert_eq!((set.room, set.far_target), (Some(Length::mm(6000.0)), false));
    insta::assert_snapshot!(refused("name = \"quarry\"", "name = \"quarry\"\nroom = 6"), @r#"
error: a length needs a unit
 --> quarry.toml:3:8
  |
3 | room = 6
  |        ^ did you mean "6 m"?
"#);
}

#[test]
fn one_wild_reading_among_enough_is_left_to_the_fit() {
    let with = |last: &str| {
        let rest = "{ distance = \"3 m\", at = \"13.1 deg\" }, { distance = \"2 m\", at = \"20 deg\" }, \
                    { distance = \"0.8 m\", at = \"53.5 deg\" },";
        changed("{ distance = \"0.6 m\", at = \"75.9 deg\" },", &format!("{rest} {last}"))
    };
    assert_eq!(
        read(&with("{ distance = \"0.6 m\", at = \"7.59 deg\" }")).lenses[0].focus.clone().unwrap().readings.len(),
        6
    );
    // two of them are a mistake of another kind
    let text = with("{ distance = \"0.7 m\", at = \"6.3 deg\" }, { distance = \"0.6 m\", at = \"7.59 deg\" }");
    assert!(super::refusals(&text).contains("these readings run backwards"));
}

#[test]
fn readings_from_the_rim_are_held_against_the_closest_distance_from_the_image_plane() {
    let from = "measured_from = { point = \"front rim\", ahead = \"70 mm\" }\nlead = \"18 mm\"";
    let text = changed("distance = \"0.6 m\", at = \"75.9 deg\"", "distance = \"0.527 m\", at = \"75.9 deg\"");
    read(&text.replace(THROW, from));
    let nearer = text.replace("0.527 m", "0.47 m").replace(THROW, from);
    assert!(super::refusals(&nearer).contains("a reading is nearer than `closest`"));
}
