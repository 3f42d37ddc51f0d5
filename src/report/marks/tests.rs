//! Tests: what the tables of marks and of the fit show, in which unit, in how many columns.

use std::path::Path;

use super::*;
use crate::assembly::{assembled, lettering};
use crate::model::Set;
use crate::report::{fit_csv, fit_json, fit_text};
use crate::set::TEMPLATE;

/// The template's lens with its scales in these units.
fn with_units<T>(units: &str, look: impl FnOnce(&[Assembly]) -> T) -> T {
    let text = TEMPLATE.replacen("[set]\n", &format!("[set]\nunits = {units}\n"), 1);
    let set = Set::parse("quarry.toml", &text, Path::new("")).unwrap_or_else(|faults| panic!("{faults}"));
    let lettering = lettering(&set).unwrap();
    look(&assembled(&set, set.lenses.iter(), &lettering).unwrap())
}

/// Numbers with a unit of distance, where a report says any.
fn says(report: &str, unit: &str) -> bool {
    let words: Vec<&str> = report.split_whitespace().map(|word| word.trim_end_matches([',', ';', ':', ')'])).collect();
    words.windows(2).any(|pair| pair[0].ends_with(|c: char| c.is_ascii_digit()) && pair[1] == unit)
}

#[test]
fn the_fit_of_a_lens_in_feet_says_no_distance_in_metres() {
    let metres = with_units("[\"m\", \"ft\"]", fit_text);
    let feet = with_units("[\"ft\", \"m\"]", fit_text);
    assert!(says(&metres, "m") && !says(&metres, "ft"), "{metres}");
    assert!(says(&feet, "ft") && !says(&feet, "m"), "{feet}");
    // programs read the same from both, but for sentences
    let numbers = |csv: &str| csv.lines().map(str::to_string).collect::<Vec<_>>();
    let csv = |units| with_units(units, |lenses| numbers(&fit_csv(lenses)));
    assert_eq!(csv("[\"m\", \"ft\"]"), csv("[\"ft\", \"m\"]"));
    let keys = |units| {
        let json = with_units(units, |lenses| fit_json("Quarry", lenses));
        json.lines().filter(|line| line.contains("_mm\"")).map(str::to_string).collect::<Vec<_>>()
    };
    assert_eq!(keys("[\"m\", \"ft\"]"), keys("[\"ft\", \"m\"]"));
}

#[test]
fn a_warning_names_its_reading_in_the_unit_of_the_lens() {
    use crate::calibration::Warning;
    let warning = Warning::CurveWithoutInfinity { farthest: Distance::mm(3048.0) };
    assert!(warning.told_in(DistanceUnit::Foot).contains("no marks beyond 10 ft;"));
    assert!(warning.told_in(DistanceUnit::Metre).contains("no marks beyond 3.048 m;"));
    assert_eq!(warning.told_in(DistanceUnit::Metre), warning.to_string());
}

#[test]
fn marks_fit_a_hundred_columns_unless_all_are_asked_for() {
    for units in ["[\"m\", \"ft\"]", "[\"ft\"]"] {
        with_units(units, |lenses| {
            let (compact, wide) = (marks_text(lenses), marks_text_wide(lenses));
            for line in compact.lines() {
                assert!(line.chars().count() <= WIDTH, "{} columns: {line}", line.chars().count());
            }
            let compact_head = compact.lines().find(|line| line.contains("mark")).unwrap();
            assert!(!compact_head.contains("mostly") && compact_head.contains("± distance"), "{compact_head}");
            let head =
                ["mark", "distance", "angle", "arc", "± ring", "mostly", "± distance", "sharp wide open", "true from"];
            let wide_head = wide.lines().find(|line| line.contains("mark")).unwrap();
            assert!(head.iter().all(|word| wide_head.contains(word)), "{wide_head}");
            // a row for each mark in either
            let rows = |text: &str| text.lines().filter(|line| line.contains('°')).count();
            assert_eq!(rows(&compact), rows(&wide));
        });
    }
}

#[test]
fn each_band_tells_in_one_line_what_found_no_room() {
    with_units("[\"m\", \"ft\"]", |lenses| {
        let text = marks_text(lenses);
        for unit in ["m", "ft"] {
            let lines = text.matches(&format!("no room in {unit} for ")).count();
            assert!(lines <= 1, "{lines} lines for {unit}: {text}");
        }
        assert!(text.contains("no room in m for "), "{text}");
    });
}
