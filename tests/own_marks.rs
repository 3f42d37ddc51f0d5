//! The user's last word on numerals and ticks: what a set file says comes out, what cannot be is refused in its line, and
//! what was chosen can be taken over.

use std::fmt::Write;
use std::path::Path;

use ringwright::assembly::{assembled, lettering};
use ringwright::report::{marks_as_keys, marks_csv};
use ringwright::set::SetFile;

/// The marks as CSV and the keys that fix them, or the faults.
fn marks(text: &str, folder: &Path) -> Result<(String, String), String> {
    let file = SetFile::parse("quarry.toml", text, folder).map_err(|faults| faults.to_string())?;
    let lettering = lettering(&file.set).map_err(|refused| file.faults(&refused).to_string())?;
    let lenses = assembled(&file.set, file.set.lenses.iter(), &lettering);
    let lenses = lenses.map_err(|refused| file.faults(&refused).to_string())?;
    Ok((marks_csv(&lenses), marks_as_keys(&lenses)))
}

fn lens(keys: &str) -> String {
    lens_with("units = [\"m\", \"ft\"]", "", keys)
}

fn lens_with(set: &str, style: &str, keys: &str) -> String {
    format!(
        "[set]\nname = \"quarry\"\n{set}\n[style]\n{style}\n[[lens]]\nname = \"Granite 50\"\nfocal_length = \"50 mm\"\nwidest_stop = 2\n\
         [lens.focus]\nring = {{ diameter = \"84 mm\", width = \"11 mm\" }}\ntoward_close = \"clockwise\"\n\
         closest = \"0.45 m\"\nlead = \"9.7 mm\"\n\
         [lens.iris]\nring = {{ diameter = \"78 mm\", width = \"9 mm\" }}\ntoward_closed = \"clockwise\"\n\
         readings = [{{ stop = 2, at = \"0 deg\" }}, {{ stop = 16, at = \"70 deg\" }}]\n{keys}\n"
    )
}

/// The labels of one band, from far to close.
fn labels(csv: &str, unit: &str) -> String {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let rows = reader.records().map(|row| row.unwrap());
    let of_unit = rows.filter(|row| &row[2] == unit && !row[3].is_empty()).map(|row| row[3].to_string());
    of_unit.collect::<Vec<String>>().join(" ")
}

fn of(keys: &str, unit: &str) -> String {
    let (csv, _) = marks(&lens(keys), Path::new("")).unwrap_or_else(|refused| panic!("{refused}"));
    labels(&csv, unit)
}

fn refused(keys: &str) -> String {
    marks(&lens(keys), Path::new("")).err().unwrap_or_default()
}

#[test]
fn values_go_to_the_scale_of_their_unit() {
    let keys = "[lens.focus.marks]\nonly = [\"10 ft\", \"5 ft 8 in\", \"3 ft\", \"2 m\", \"70 cm\"]";
    assert_eq!(of(keys, "ft"), "∞ 10′ 5′8″ 3′");
    assert_eq!(of(keys, "m"), "∞ 2 0.7");
    // a band's own table goes before
    let keys = format!("{keys}\n[lens.focus.marks.ft]\nonly = [\"4 ft\"]");
    assert_eq!((of(&keys, "ft").as_str(), of(&keys, "m").as_str()), ("∞ 4′", "∞ 2 0.7"));
}

#[test]
fn an_empty_list_asks_for_nothing_whatever_the_set_says() {
    assert_eq!(of("[lens.focus.marks.ft]\nonly = []", "ft"), "∞");
    let style = "marks = { only = [\"2 m\"] }";
    let (csv, _) = marks(&lens_with("", style, "[lens.focus.marks]\nonly = []"), Path::new("")).unwrap();
    assert_eq!((labels(&csv, "m").as_str(), labels(&csv, "ft").as_str()), ("∞", "∞"));
}

#[test]
fn texts_stand_in_place_of_numbers() {
    let keys = "[lens.focus.marks]\ntext = { \"5 ft\" = \"A\", \"1 m\" = \"\" }\nend_text = \"MIN\"";
    let feet = of(keys, "ft");
    assert!(feet.contains(" A ") && !feet.contains(" 5′ ") && feet.ends_with(" MIN"), "{feet}");
    let metres = of(keys, "m");
    assert!(!metres.contains(" 1 ") && metres.ends_with(" MIN"), "{metres}");
    let keys = "[lens.iris.marks]\ntext = { \"5.6\" = \"B\" }\nalso = [3.2]\nnever = [11]\nend_text = \"C\"";
    assert_eq!(of(keys, "f"), "2 3.2 4 B 8 C");
    assert_eq!(of("[lens.iris.marks]\nonly = [2.8, 8]", "f"), "2.8 8");
}

#[test]
fn the_whole_set_can_be_told_and_each_lens_takes_what_it_reaches() {
    let style = "marks = { only = [\"3 m\", \"1 m\", \"0.3 m\", \"10 ft\"], finest = \"none\" }";
    let (csv, _) = marks(&lens_with("", style, ""), Path::new("")).unwrap();
    assert_eq!((labels(&csv, "m").as_str(), labels(&csv, "ft").as_str()), ("∞ 3 1", "∞ 10′"));
    let ticks = csv.lines().filter(|line| line.contains(",focus,m,")).count();
    assert_eq!(ticks, 4, "infinity, two numerals and the end: {csv}");
}

#[test]
fn feet_and_the_sign_of_the_unit_are_written_as_the_style_says() {
    let with = |style: &str, unit: &str| {
        let (csv, _) = marks(&lens_with("", style, ""), Path::new("")).unwrap();
        labels(&csv, unit).split(' ').take(4).collect::<Vec<&str>>().join(" ")
    };
    let first = |style: &str| with(style, "ft");
    assert!(first("feet = \"words\"").starts_with("∞ "), "{}", first("feet = \"words\""));
    assert!(with("feet = \"words\"", "ft").contains("ft"));
    assert!(!with("feet = \"dash\"", "ft").contains('′'));
    assert!(with("unit_sign = \"infinity\"", "m").starts_with("∞ m "));
    assert!(with("unit_sign = \"each\"", "m").contains(" m "));
    // decimal feet: tenths, and every label exact
    let (csv, _) = marks(&lens_with("", "feet = \"decimal\"", ""), Path::new("")).unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let mut count = 0;
    for row in reader.records().map(|row| row.unwrap()).filter(|row| &row[2] == "ft") {
        if let Ok(feet) = row[3].parse::<f64>() {
            assert!((feet * 304.8 - row[5].parse::<f64>().unwrap()).abs() < 1e-6, "{row:?}");
            count += 1;
        }
    }
    assert!(count >= 8, "{csv}");
}

#[test]
fn what_cannot_be_is_refused_in_its_line() {
    let keys = [
        "[lens.focus.marks]\nalso = [\"0.3 m\"]",
        "[lens.focus.marks]\nalso = [\"1 m\"]\nnever = [\"1 m\"]",
        "[lens.focus.marks.ft]\nalso = [\"3 ft\", \"3 ft 1/4 in\"]",
        "[lens.focus.marks.m]\nsteps = [{ to = \"1 m\", numbered = \"30 cm\" }]",
        "[lens.focus.marks.m]\nsteps = [{ to = \"1 m\", fine = \"10 cm\" }]",
        "[lens.focus.marks.m]\nsteps = [{ to = \"0.5 m\", numbered = \"0.1 mm\" }]",
        "[lens.focus.marks.m]\nalso = [\"5 ft\"]",
        "[lens.focus.marks.ft]\nalso = [\"5.3 in\"]",
        "[lens.iris.marks]\nalso = [22]",
        "[lens.focus.marks]\nend_text = \"the closest one\"",
        "[lens.focus.marks]\nend_text = \"Ω\"",
    ];
    let mut all: Vec<String> = keys.iter().map(|keys| refused(keys)).collect();
    let metres = lens_with("units = [\"m\"]", "", "[lens.focus.marks]\nalso = [\"5 ft\"]");
    let every = lens_with("", "marks = { also = [\"1 m\", \"1.01 m\"] }", "");
    all.extend([metres, every].iter().map(|text| marks(text, Path::new("")).unwrap_err()));
    insta::assert_snapshot!(all.join("\n"), @r###"
    error: 0.3 m lies off this scale
      --> quarry.toml:20:8
       |
    20 | also = ["0.3 m"]
       |        ^^^^^^^^^ the scale does not reach this
    error: 1 m is asked for and forbidden at once
      --> quarry.toml:21:9
       |
    21 | never = ["1 m"]
       |         ^^^^^^^ take it out here or there
    error: 3′¼″ and 3′ would overlap by 2.30 mm; at least 1.15 mm between them are needed
      --> quarry.toml:20:8
       |
    20 | also = ["3 ft", "3 ft 1/4 in"]
       |        ^^^^^^^^^^^^^^^^^^^^^^^ leave one of them out
    error: 0.3 m does not divide 1 m
      --> quarry.toml:20:9
       |
    20 | steps = [{ to = "1 m", numbered = "30 cm" }]
       |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ this section
    error: the section down to 1 m needs `numbered`, unless `only` names the numerals
      --> quarry.toml:20:9
       |
    20 | steps = [{ to = "1 m", fine = "10 cm" }]
       |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ this section
    error: 0.1 mm is no multiple of 0.001 m
      --> quarry.toml:20:9
       |
    20 | steps = [{ to = "0.5 m", numbered = "0.1 mm" }]
       |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ no mark can stand here
    error: this scale is in m
      --> quarry.toml:20:9
       |
    20 | also = ["5 ft"]
       |         ^^^^^^ write it in m, or move it to [….marks.ft]
    error: 134.62 mm is no multiple of ⅛″; the nearest is 5¼″
      --> quarry.toml:20:8
       |
    20 | also = ["5.3 in"]
       |        ^^^^^^^^^^ no mark can stand here
    error: 22 lies off this scale
      --> quarry.toml:20:8
       |
    20 | also = [22]
       |        ^^^^ the scale does not reach this
    error: "the closest one" is too long for a scale
      --> quarry.toml:20:12
       |
    20 | end_text = "the closest one"
       |            ^^^^^^^^^^^^^^^^^ up to 12 characters have room
    error: Barlow Semi Condensed Medium has no glyph for `Ω` (U+03A9) (choose a font file that has it)
    --> quarry.toml
    error: this lens has no scale in ft
      --> quarry.toml:20:9
       |
    20 | also = ["5 ft"]
       |         ^^^^^^ add "ft" to its units, or leave this out
    error: 1.01 m and 1 m would overlap by 1.27 mm; at least 1.15 mm between them are needed
     --> quarry.toml:5:18
      |
    5 | marks = { also = ["1 m", "1.01 m"] }
      |                  ^^^^^^^^^^^^^^^^^ leave one of them out
    "###);
}

/// The set file with the keys of each lens below it.
fn taken_over(text: &str, keys: &str) -> String {
    let mut lenses = text.split("[[lens]]");
    let mut all = lenses.next().unwrap().to_string();
    let keys: Vec<&str> = keys.split("# ").skip(1).collect();
    for (lens, keys) in lenses.zip(keys) {
        let keys = keys.split_once('\n').unwrap().1;
        write!(all, "[[lens]]{lens}\n{keys}\n").unwrap();
    }
    all
}

/// Fixes what was chosen and compares.
fn same_when_taken_over(name: &str, text: &str, folder: &Path) {
    let (before, keys) = marks(text, folder).unwrap_or_else(|refused| panic!("{name}: {refused}"));
    let fixed = taken_over(text, &keys);
    let (after, again) = marks(&fixed, folder).unwrap_or_else(|refused| panic!("{name}: {refused}\n{keys}"));
    assert_eq!(before, after, "{name}\n{keys}");
    assert_eq!(keys, again, "{name}");
}

#[test]
fn what_was_chosen_can_be_taken_over_key_by_key() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folders = ["samples", "tests/golden"].map(|folder| root.join(folder));
    let mut count = 0;
    for folder in &folders {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "toml") {
                same_when_taken_over(&path.display().to_string(), &std::fs::read_to_string(&path).unwrap(), folder);
                count += 1;
            }
        }
    }
    assert!(count > 15, "{count}");
    // rings of many sizes, throws and closest distances
    for i in 0..40 {
        let share = |prime: u32| f64::from(i * prime % 41) / 41.0;
        let (ring, lead) = (35.0 + 100.0 * share(7), 10.0 + 20.0 * share(11));
        let closest = 0.4 + (200.0 * share(17)).round() / 100.0;
        let text = lens("")
            .replace("84 mm", &format!("{ring:.1} mm"))
            .replace("9.7 mm", &format!("{lead:.2} mm"))
            .replace("0.45 m", &format!("{closest:.2} m"));
        same_when_taken_over(&format!("{ring:.1} {lead:.2} {closest:.2}"), &text, Path::new(""));
    }
}
