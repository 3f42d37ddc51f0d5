//! The program as people run it: every command on the sample set, and what it says when something is wrong.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use serde_json::Value;
use snapbox::cmd::{Command, cargo_bin};

const LENSES: [&str; 4] = ["Slate 28", "Granite 50", "Marble 85", "Flint 100"];
const STEMS: [&str; 4] = ["slate-28", "granite-50", "marble-85", "flint-100"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sample() -> String {
    root().join("samples/SET.toml").to_str().unwrap().to_string()
}

/// An empty folder of a test's own, under the build's.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("cli-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn names(folder: &Path) -> BTreeSet<String> {
    fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(cargo_bin!("ringwright")).current_dir(folder).args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

/// Exit 0; standard output.
fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
    text(&output.stdout).to_string()
}

/// Exit 2 with an empty standard output; the message.
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", text(&output.stdout));
    assert_eq!(text(&output.stdout), "");
    text(&output.stderr).to_string()
}

fn json(folder: &Path, arguments: &[&str]) -> Value {
    serde_json::from_str(&done(folder, arguments)).unwrap()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

fn float(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

fn keys(value: &Value) -> BTreeSet<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

fn assert_close(actual: f64, expected: f64, tolerance: f64) {
    assert!((actual - expected).abs() <= tolerance, "{actual} is not {expected} to {tolerance}");
}

fn csv_rows(text: &str) -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(text.as_bytes()).records().map(Result::unwrap).collect()
}

// reports

#[test]
fn every_report_names_every_lens_on_standard_output_and_says_nothing_else() {
    for command in ["fit", "marks", "compare"] {
        for format in ["text", "json", "csv"] {
            let output = run(root(), &[command, &sample(), "--format", format]);
            assert_eq!(output.status.code(), Some(0));
            assert_eq!(text(&output.stderr), "");
            for lens in LENSES {
                assert!(text(&output.stdout).contains(lens), "{command} {format} without {lens}");
            }
        }
    }
}

#[test]
fn no_report_says_minus_nothing_or_one_of_many() {
    for command in ["fit", "marks", "compare"] {
        let report = done(root(), &[command, &sample()]);
        for word in report.split_whitespace() {
            let number = word.trim_end_matches(['°', ',']);
            if let Some(size) = number.strip_prefix(['-', '+']) {
                assert!(size.is_empty() || size.parse::<f64>() != Ok(0.0), "{command}: {word}");
            }
        }
        for wrong in [" 1 readings", " 1 degrees", " 1 numerals", " 1 ticks", " 0 ft", "″ ft", "′ ft"] {
            assert!(!report.contains(wrong), "{command}: {wrong}");
        }
    }
}

#[test]
fn marks_fit_a_hundred_columns_and_every_column_can_be_had() {
    let compact = done(root(), &["marks", &sample()]);
    let widest = |text: &str| text.lines().map(|line| line.chars().count()).max().unwrap();
    assert!(widest(&compact) <= 100, "{}", widest(&compact));
    let wide = done(root(), &["marks", &sample(), "--wide"]);
    assert!(wide.contains("mostly") && !compact.lines().any(|line| line.contains("± ring") && line.contains("mostly")));
    // a line for each band at most, and none for values that nobody looks for
    let bands = compact.matches("\n  focus, ").count() + compact.matches("\n  iris, ").count();
    let told: Vec<&str> = compact.lines().filter(|line| line.contains("no room in ")).collect();
    assert!(!told.is_empty() && told.len() <= bands, "{told:#?}");
    insta::assert_snapshot!(told[1].trim(), @"no room in ft for 100′, 50′, 30′ and 20′ beside ∞, 15′ beside 10′, 6′ beside 5′");
}

#[test]
fn the_json_of_marks_has_the_promised_fields() {
    let report = json(root(), &["marks", &sample(), "--format", "json"]);
    assert_eq!(keys(&report), BTreeSet::from(["version", "set", "lenses"]));
    assert_eq!(report["version"], 1);
    assert_eq!(report["set"], "Quarry");
    assert_eq!(list(&report["lenses"]).iter().map(|lens| lens["name"].as_str().unwrap()).collect::<Vec<_>>(), LENSES);
    let travel = BTreeSet::from(["kind", "infinity_deg", "a_mm_deg", "c_mm", "k_mm_per_deg", "effective"]);
    let mark_keys = ["label", "numbered", "distance_mm", "angle_deg", "arc_mm", "sigma_deg", "near_mm", "far_mm"];
    for lens in list(&report["lenses"]) {
        assert_eq!(keys(lens), BTreeSet::from(["name", "focus", "iris"]));
        let focus = &lens["focus"];
        assert_eq!(keys(focus), BTreeSet::from(["law", "residuals", "bands", "depth_marks"]));
        match focus["law"]["kind"].as_str().unwrap() {
            "travel" => {
                assert_eq!(keys(&focus["law"]), travel);
                assert!(focus["law"]["effective"].is_boolean());
            }
            kind => assert_eq!((kind, &lens["name"]), ("curve", &Value::from("Flint 100"))),
        }
        for residual in list(&focus["residuals"]) {
            for key in ["distance_mm", "at_deg", "error_deg", "error_mm"] {
                assert!(keys(residual).contains(key), "{key}");
            }
            for key in ["at_deg", "error_deg", "error_mm"] {
                float(&residual[key]);
            }
        }
        assert_eq!(focus["bands"][0]["unit"], "m");
        assert_eq!(focus["bands"][1]["unit"], "ft");
        for band in list(&focus["bands"]) {
            assert_eq!(keys(band), BTreeSet::from(["unit", "marks"]));
            for mark in list(&band["marks"]) {
                assert!(keys(mark).is_superset(&BTreeSet::from(mark_keys)));
                assert_eq!(mark["numbered"], !mark["label"].as_str().unwrap().is_empty(), "{mark}");
                float(&mark["sigma_deg"]);
            }
        }
        assert!(keys(&lens["iris"]).is_superset(&BTreeSet::from(["law", "bands"])));
        assert!(lens["iris"]["law"]["kind"].is_string());
        assert_eq!(lens["iris"]["bands"][0]["unit"], if lens["name"] == "Marble 85" { "T" } else { "f" });
        for mark in list(&lens["iris"]["bands"][0]["marks"]) {
            let promised = BTreeSet::from(["label", "numbered", "stop", "angle_deg", "arc_mm"]);
            assert!(keys(mark).is_superset(&promised));
        }
    }
}

#[test]
fn marks_start_at_infinity_and_their_arcs_grow_toward_close_as_far_as_the_ring_turns() {
    let report = json(root(), &["marks", &sample(), "--format", "json"]);
    for lens in list(&report["lenses"]) {
        // the film is 0.1 mm thick, its neutral layer 0.05 mm outside the ring; the index is at the rear edge
        let mm_per_degree = std::f64::consts::PI * 84.1 / 360.0;
        for band in list(&lens["focus"]["bands"]) {
            let marks = list(&band["marks"]);
            let first = &marks[0];
            assert_eq!(first["label"], "∞");
            assert!(first["distance_mm"].is_null() && first["far_mm"].is_null(), "{first}");
            assert_eq!(first["arc_mm"], 0.0);
            for (before, after) in marks.iter().zip(&marks[1..]) {
                assert!(float(&before["arc_mm"]) < float(&after["arc_mm"]));
                assert!(before["distance_mm"].as_f64().unwrap_or(f64::INFINITY) > float(&after["distance_mm"]));
            }
            for mark in marks {
                let turned = float(&mark["angle_deg"]) - float(&first["angle_deg"]);
                assert_close(float(&mark["arc_mm"]), mm_per_degree * turned, 0.001);
            }
        }
        for pair in list(&lens["iris"]["bands"][0]["marks"]).windows(2) {
            assert!(float(&pair[0]["arc_mm"]) < float(&pair[1]["arc_mm"]));
            assert!(float(&pair[0]["stop"]) < float(&pair[1]["stop"]));
        }
        assert_eq!(lens["iris"]["bands"][0]["marks"][0]["arc_mm"], 0.0);
    }
}

#[test]
fn angles_keep_the_zero_of_the_readings() {
    let set = fs::read_to_string(sample()).unwrap();
    let reading = r#"{ distance = "inf",    at = "3.0 deg" }"#;
    assert!(set.contains(reading));
    let report = json(root(), &["marks", &sample(), "--lens", "Granite 50", "--format", "json"]);
    let focus = &report["lenses"][0]["focus"];
    assert_close(float(&focus["law"]["infinity_deg"]), 3.0, 0.1);
    assert_eq!(focus["bands"][0]["marks"][0]["angle_deg"], focus["law"]["infinity_deg"]);
    assert_eq!(focus["residuals"][8]["distance_mm"], 450.0);
    assert_eq!(focus["residuals"][8]["at_deg"], 118.3);
    assert!(focus["residuals"][0]["distance_mm"].is_null());
    // a mark's angle follows from the law's constants alone: t = 2A / (B + √(B² − 4AK)), B = D − C
    let law = |key: &str| float(&focus["law"][key]);
    for mark in &list(&focus["bands"][0]["marks"])[1..] {
        let b = float(&mark["distance_mm"]) - law("c_mm");
        let (a, k) = (law("a_mm_deg"), law("k_mm_per_deg"));
        let turn = 2.0 * a / (b + (b * b - 4.0 * a * k).sqrt());
        assert_close(float(&mark["angle_deg"]), law("infinity_deg") + turn, 0.0001);
    }
}

#[test]
fn near_and_far_are_those_of_the_widest_stop() {
    let report = json(root(), &["marks", &sample(), "--lens", "Granite 50", "--format", "json"]);
    let marks = list(&report["lenses"][0]["focus"]["bands"][0]["marks"]);
    // A thin lens of 50 mm at f/2 with blur circles of 0.025 mm, 1 m in front of the image plane: it stands
    // s = 500 + √(500² − 50·1000) = 947.214 mm from the subject. N c / F² = 2·0.025/2500 = 2e-5 per mm, and the limits
    // s / (1 ± 2e-5 (s − 50)) are 930.51 and 964.53 mm, to which 52.786 mm come.
    let metre = marks.iter().find(|mark| mark["label"] == "1").unwrap();
    assert_close(float(&metre["near_mm"]), 930.51 + 52.786, 0.1);
    assert_close(float(&metre["far_mm"]), 964.53 + 52.786, 0.1);
    // at infinity the near limit is F²/(N c) = 50 000 mm in front of the lens, which stands 50 mm from the image plane
    assert_close(float(&marks[0]["near_mm"]), 50_050.0, 0.1);
}

#[test]
fn csv_has_a_row_for_every_mark_of_the_json() {
    let report = json(root(), &["marks", &sample(), "--format", "json"]);
    let rows = csv_rows(&done(root(), &["marks", &sample(), "--format", "csv"]));
    let mut marks = Vec::new();
    for lens in list(&report["lenses"]) {
        for ring in ["focus", "iris"] {
            for band in list(&lens[ring]["bands"]) {
                marks.extend(list(&band["marks"]).iter().map(|mark| (lens, ring, band, mark)));
            }
        }
    }
    assert_eq!(rows.len(), marks.len());
    assert!(rows.len() > 400, "{}", rows.len());
    for (row, (lens, ring, band, mark)) in rows.iter().zip(marks) {
        assert_eq!(
            [&row[0], &row[1], &row[2], &row[3]],
            [&lens["name"], &Value::from(ring), &band["unit"], &mark["label"]]
        );
        assert_close(row[6].parse().unwrap(), float(&mark["angle_deg"]), 6e-5);
        assert_close(row[7].parse().unwrap(), float(&mark["arc_mm"]), 6e-5);
    }
}

#[test]
fn csv_and_json_agree_in_the_other_reports_too() {
    let report = json(root(), &["compare", &sample(), "--format", "json"]);
    let marks: usize = list(&report["lenses"]).iter().map(|lens| list(&lens["marks"]).len()).sum();
    assert_eq!(csv_rows(&done(root(), &["compare", &sample(), "--format", "csv"])).len(), marks);
    let report = json(root(), &["fit", &sample(), "--format", "json"]);
    let rings = list(&report["lenses"]).iter().flat_map(|lens| [&lens["focus"], &lens["iris"]]);
    let residuals: usize = rings.map(|ring| list(&ring["residuals"]).len()).sum();
    assert_eq!(csv_rows(&done(root(), &["fit", &sample(), "--format", "csv"])).len(), residuals);
    // 0, 9, 11 and 14 taped distances, 3, 3, 3 and 2 stops
    assert_eq!(residuals, 34 + 11);
}

#[test]
fn compare_converts_says_and_pairs_as_one_would_by_hand() {
    let report = json(root(), &["compare", &sample(), "--lens", "Granite 50", "--format", "json"]);
    let marks = list(&report["lenses"][0]["marks"]);
    let found = |unit: &str, label: &str| {
        let mark = marks.iter().find(|mark| mark["unit"] == unit && mark["label"] == label);
        let mark = mark.unwrap_or_else(|| panic!("{label} {unit}"));
        ["exact", "spoken", "coincides"].map(|key| mark[key].as_str().unwrap_or("none"))
    };
    assert_eq!(found("m", "∞"), ["none", "none", "∞ ft"]);
    assert_eq!(found("ft", "∞"), ["none", "none", "∞ m"]);
    // 1000 / 25.4 = 39.370 in; 450 / 25.4 = 17.717 in; 1.5 x 304.8 = 457.2 mm; 3 x 304.8 = 914.4 mm; 10 x 304.8 = 3048 mm
    assert_eq!(found("m", "1"), ["3 ft 3.4 in", "3 ft 3½ in", "none"]);
    assert_eq!(found("ft", "3′"), ["0.914 m", "0.91 m", "none"]);
    assert_eq!(found("ft", "10′"), ["3.048 m", "3.05 m", "none"]);
    assert_eq!(found("m", "0.45"), ["1 ft 5.7 in", "1 ft 5½ in", "none"]);
    // no quarter inches are told where 0.45 m is meant: a foot numeral stands at its own value
    assert_eq!(found("ft", "1′6″"), ["0.457 m", "0.46 m", "none"]);
    let arcs: Vec<f64> = marks.iter().map(|mark| float(&mark["arc_mm"])).collect();
    assert!(arcs.is_sorted());
    // and no others coincide than those that stand within 0.1 mm of each other
    for mark in marks {
        let beside = marks.iter().filter(|other| other["unit"] != mark["unit"]);
        let nearest = beside.map(|other| (float(&other["arc_mm"]) - float(&mark["arc_mm"])).abs());
        let nearest = nearest.fold(f64::INFINITY, f64::min);
        assert_eq!(nearest <= 0.1, mark["coincides"].is_string(), "{mark}");
    }
}

#[test]
fn a_lens_can_be_named_and_an_unknown_name_lists_the_lenses() {
    let report = done(root(), &["marks", &sample(), "--lens", "Marble 85", "--lens", "Slate 28"]);
    for (lens, wanted) in LENSES.into_iter().zip([true, false, true, false]) {
        assert_eq!(report.contains(lens), wanted, "{lens}");
    }
    let message = refused(&root().join("samples"), &["marks", "SET.toml", "--lens", "gravel"]);
    insta::assert_snapshot!(message, @r#"
    error: no lens of SET.toml is named "gravel"
      its lenses: "Slate 28", "Granite 50", "Marble 85", "Flint 100"
    "#);
}

#[test]
fn a_part_of_a_name_in_any_case_is_enough_where_no_other_lens_has_it() {
    let whole = done(root(), &["fit", &sample(), "--lens", "Granite 50"]);
    for part in ["granite", "GRANITE 50", "granite-50", "nite"] {
        assert_eq!(done(root(), &["fit", &sample(), "--lens", part]), whole, "{part}");
    }
    let message = refused(&root().join("samples"), &["fit", "SET.toml", "--lens", "8"]);
    insta::assert_snapshot!(message, @r#"
    error: "8" can mean several lenses of SET.toml
      say more of the name: "Slate 28", "Marble 85"
    "#);
    // a whole name is not a part of a longer one
    let folder = folder("part");
    done(&folder, &["new", "one.toml"]);
    let one = fs::read_to_string(folder.join("one.toml")).unwrap();
    let lens = &one[one.find("[[lens]]").unwrap()..];
    fs::write(folder.join("two.toml"), format!("{one}\n{}", lens.replace("Granite 50", "Granite 500"))).unwrap();
    let report = done(&folder, &["fit", "two.toml", "--lens", "granite 50"]);
    assert!(report.starts_with("Granite 50\n") && !report.contains("Granite 500"), "{report}");
    // what a part of a name chooses, it chooses everywhere
    let output = run(&folder, &["check", "two.toml", "--lens", "500", "--format", "json"]);
    assert!(!text(&output.stdout).contains("\"Granite 50\""), "{}", text(&output.stdout));
}

// drawings

#[test]
fn draw_makes_three_drawings_of_every_lens_its_sheets_and_what_to_do_with_them() {
    let folder = folder("draw");
    let output = run(&folder, &["draw", &sample(), "--out", "deep/strips", "--dpi", "300"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(text(&output.stdout), "");
    assert!(text(&output.stderr).contains("wrote 29 files into deep/strips"), "{}", text(&output.stderr));
    let expected = STEMS.iter().flat_map(|stem| {
        ["focus", "iris", "index"]
            .into_iter()
            .flat_map(move |what| ["svg", "png"].map(|format| format!("{stem}-{what}.{format}")))
    });
    let whole = [
        "granite-50-disc.svg",
        "granite-50-disc.png",
        "quarry-sheets.pdf",
        "quarry-application.pdf",
        "quarry-application.html",
    ]
    .map(str::to_string);
    assert_eq!(names(&folder.join("deep/strips")), expected.chain(whole).collect());
    for name in names(&folder.join("deep/strips")) {
        let bytes = fs::read(folder.join("deep/strips").join(&name)).unwrap();
        if name.ends_with("svg") {
            let document = roxmltree::Document::parse(text(&bytes)).unwrap();
            assert!(document.root_element().attribute("width").unwrap().ends_with("mm"));
        } else if name.ends_with("html") {
            assert!(text(&bytes).contains("Granite 50"));
        } else if name.ends_with("pdf") {
            assert!(bytes.starts_with(b"%PDF-1.7"));
        } else {
            picture(&bytes);
        }
    }
    // the same again gives the same bytes, in the same place
    let before: Vec<Vec<u8>> = read_all(&folder.join("deep/strips"));
    done(&folder, &["draw", &sample(), "--out", "deep/strips", "--dpi", "300"]);
    assert!(read_all(&folder.join("deep/strips")) == before, "bytes change from run to run");
}

#[test]
fn strips_of_lenses_that_were_renamed_are_named_and_kept() {
    let folder = folder("renamed");
    done(&folder, &["new", "mine.toml"]);
    let draw = ["draw", "mine.toml", "--out", "strips", "--format", "svg"];
    let told = |arguments: &[&str]| {
        let output = run(&folder, arguments);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let told: Vec<String> =
            text(&output.stderr).lines().filter(|line| line.contains("left over")).map(str::to_string).collect();
        told.join("\n")
    };
    assert_eq!(told(&draw), "");
    // drawn again, nothing is left over
    assert_eq!(told(&draw), "");
    let old = names(&folder.join("strips"));
    let set = fs::read_to_string(folder.join("mine.toml")).unwrap();
    fs::write(folder.join("mine.toml"), set.replace("Granite 50", "Basalt 50")).unwrap();
    insta::assert_snapshot!(told(&draw), @"left over in strips: strips of granite-50, no lens of this set (renamed?); nothing was deleted");
    fs::write(folder.join("mine.toml"), set.replace("Granite 50", "Gneiss 50")).unwrap();
    insta::assert_snapshot!(told(&draw), @"left over in strips: strips of basalt-50, granite-50, no lenses of this set (renamed?); nothing was deleted");
    assert!(names(&folder.join("strips")).is_superset(&old));
}

fn read_all(folder: &Path) -> Vec<Vec<u8>> {
    names(folder).iter().map(|name| fs::read(folder.join(name)).unwrap()).collect()
}

/// Width, height and bits of a PNG that decodes to its end.
fn picture(bytes: &[u8]) -> (u32, u32, u8) {
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut data = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut data).unwrap();
    let info = reader.info();
    (info.width, info.height, info.bit_depth as u8)
}

#[test]
fn the_format_the_resolution_and_the_bits_can_be_chosen() {
    let folder = folder("choose");
    let one = ["--lens", "Granite 50", "--out"];
    let draw = |out: &str, rest: &[&str]| {
        let mut arguments = vec!["draw", "SET.toml"];
        arguments.extend(one);
        arguments.push(out);
        arguments.extend(rest);
        done(&folder, &arguments);
    };
    // without guides a drawing is as large as its strip
    let bare = fs::read_to_string(sample()).unwrap().replace("[process.film]", "[process.film]\nguides = false");
    fs::write(folder.join("SET.toml"), bare).unwrap();
    fs::copy(root().join("samples/marble-85.csv"), folder.join("marble-85.csv")).unwrap();
    draw("svg", &["--format", "svg"]);
    assert_eq!(
        names(&folder.join("svg")),
        ["disc.svg", "focus.svg", "iris.svg", "index.svg"]
            .map(|what| format!("granite-50-{what}"))
            .into_iter()
            .chain(["granite-50-application.html".to_string()])
            .collect()
    );
    draw("coarse", &["--dpi", "150", "--format", "png"]);
    draw("fine", &["--dpi", "300", "--format", "png"]);
    draw("bits", &["--dpi", "300", "--format", "png", "--bits", "1"]);
    let size = |out: &str| picture(&fs::read(folder.join(out).join("granite-50-focus.png")).unwrap());
    // once round the ring: π (84 + 0.1) mm by 14 mm
    let pixels = |mm: f64, dpi: f64| (mm * dpi / 25.4).ceil() as u32;
    let round = std::f64::consts::PI * 84.1;
    assert_eq!(size("coarse"), (pixels(round, 150.0), pixels(14.0, 150.0), 8));
    assert_eq!(size("fine"), (pixels(round, 300.0), pixels(14.0, 300.0), 8));
    assert_eq!(size("bits"), (pixels(round, 300.0), pixels(14.0, 300.0), 1));
}

#[test]
fn a_plot_of_every_fit_is_written_and_can_be_read() {
    let folder = folder("plot");
    let output = run(&folder, &["fit", &sample(), "--plot", "plots"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert_eq!(text(&output.stdout), done(&folder, &["fit", &sample()]));
    let expected = STEMS.iter().flat_map(|stem| ["svg", "png"].map(|format| format!("{stem}-fit.{format}")));
    assert_eq!(names(&folder.join("plots")), expected.collect());
    for stem in STEMS {
        let drawn = fs::read(folder.join(format!("plots/{stem}-fit.svg"))).unwrap();
        roxmltree::Document::parse(text(&drawn)).unwrap();
        let (width, height, _) = picture(&fs::read(folder.join(format!("plots/{stem}-fit.png"))).unwrap());
        // 190 x 176 mm at 200 dpi
        assert_eq!((width, height), (1497, 1386));
    }
}

// a file to start from

#[test]
fn what_new_writes_can_be_fitted_listed_compared_and_drawn_and_is_never_overwritten() {
    let folder = folder("new");
    assert_eq!(done(&folder, &["new", "mine.toml"]), "");
    for command in ["fit", "marks", "compare"] {
        assert!(done(&folder, &[command, "mine.toml"]).starts_with("Granite 50\n"));
    }
    done(&folder, &["draw", "mine.toml", "--out", "strips", "--dpi", "150"]);
    assert_eq!(names(&folder.join("strips")).len(), 9);
    fs::write(folder.join("mine.toml"), "kept").unwrap();
    insta::assert_snapshot!(refused(&folder, &["new", "mine.toml"]), @r"
    error: mine.toml is there already and is not overwritten
      choose another name, or delete the file first
    ");
    assert_eq!(fs::read_to_string(folder.join("mine.toml")).unwrap(), "kept");
    insta::assert_snapshot!(refused(&folder, &["new", "nowhere/mine.toml"]), @r"
    error: nowhere/mine.toml cannot be written: its folder is not there
      make the folder first, or check the spelling
    ");
    assert_eq!(names(&folder), BTreeSet::from(["mine.toml".to_string(), "strips".to_string()]));
}

// what is told

#[test]
fn a_gap_that_a_process_cannot_keep_is_told_with_what_holds_instead() {
    let folder = folder("gap");
    done(&folder, &["new", "near.toml"]);
    let template = fs::read_to_string(folder.join("near.toml")).unwrap();
    fs::write(folder.join("near.toml"), template.replacen("[style]", "[style]\nsmallest_gap = \"0.6 mm\"", 1)).unwrap();
    let told = |process: &str| {
        let output = run(&folder, &["marks", "near.toml", "--process", process]);
        assert!(output.status.success());
        text(&output.stderr).to_string()
    };
    // 0.6 mm is three printed ticks of 0.2 mm, and less than two cut ones of 0.45 mm
    assert_eq!(told("film"), "");
    let vinyl = told("vinyl");
    assert!(vinyl.contains("\nnote: `smallest_gap`, 0.6 mm, does not hold here"), "{vinyl}");
    assert!(vinyl.contains("ticks 0.45 mm wide") && vinyl.contains("0.9 mm holds"), "{vinyl}");
}

// what is refused

/// One lens with bands in metres and feet.
fn set(style: &str, focus: &str) -> String {
    format!(
        "[set]\nname = \"Test\"\n[style]\n{style}\n[[lens]]\nname = \"Chalk 58\"\nfocal_length = \"58 mm\"\n\
         [lens.focus]\ntoward_close = \"clockwise\"\n{focus}\n"
    )
}

const READINGS: &str = "closest = \"0.6 m\"\nreadings = [ { distance = \"inf\", at = \"0 deg\" }, { distance = \"1 m\", at = \"40 deg\" } ]";

/// Draws a set file that has to be refused without leaving anything; the message.
fn fault(name: &str, set: &str) -> String {
    let folder = folder(name);
    fs::write(folder.join("set.toml"), set).unwrap();
    let before = names(&folder);
    let message = refused(&folder, &["draw", "set.toml", "--out", "strips"]);
    assert_eq!(names(&folder), before, "something was written");
    message
}

#[test]
fn a_bad_set_shows_the_line_and_leaves_nothing() {
    let focus = format!("ring = {{ diameter = 84, width = \"11 mm\" }}\n{READINGS}");
    insta::assert_snapshot!(fault("bad-set", &set("", &focus)), @r#"
    error: a length needs a unit
      --> set.toml:10:21
       |
    10 | ring = { diameter = 84, width = "11 mm" }
       |                     ^^ did you mean "84 mm"?
    "#);
}

#[test]
fn a_set_without_a_file_says_so() {
    insta::assert_snapshot!(refused(&folder("no-set"), &["fit", "nosuch.toml"]), @r"
    error: there is no such file
    --> nosuch.toml
     = help: check the spelling and the folder
    ");
}

#[test]
fn numerals_too_high_for_the_face_are_told_a_height_that_fits() {
    let focus = |width: &str| format!("ring = {{ diameter = \"84 mm\", width = \"{width}\" }}\n{READINGS}");
    insta::assert_snapshot!(fault("too-high", &set("numeral_height = \"4 mm\"", &focus("8 mm"))), @r#"
    error: 2 bands of this style need 21.0 mm of the ring's face, which is 8.0 mm wide; a numeral_height of 1.50 mm with ticks in proportion would fit
      --> set.toml:10:8
       |
    10 | ring = { diameter = "84 mm", width = "8 mm" }
       |        ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ this face is too narrow
       |
       = help: or give one unit, units = ["m"]
    "#);
    for tenths in (68..=140).step_by(3) {
        let width = format!("{}.{} mm", tenths / 10, tenths % 10);
        let message = fault("too-high-each", &set("numeral_height = \"6 mm\"", &focus(&width)));
        let named = message.split("numeral_height of ").nth(1).unwrap().split(" mm").next().unwrap();
        let folder = folder("told");
        let fits = set(&format!("numeral_height = \"{named} mm\""), &focus(&width));
        fs::write(folder.join("set.toml"), fits).unwrap();
        done(&folder, &["draw", "set.toml", "--out", "strips", "--format", "svg"]);
        // and a tenth more does not
        let more = format!("numeral_height = \"{:.2} mm\"", named.parse::<f64>().unwrap() + 0.1);
        fault("not-more", &set(&more, &focus(&width)));
    }
    // without a height one unit is drawn where two have no room, and that is told
    let folder = folder("one-unit");
    fs::write(folder.join("set.toml"), set("", &focus("5 mm"))).unwrap();
    let output = run(&folder, &["draw", "set.toml", "--out", "strips", "--format", "svg"]);
    assert!(output.status.success());
    let said = text(&output.stderr);
    assert!(
        said.contains("note: two units do not fit a face 5 mm wide in film: metres alone are drawn; give one unit, or a face 8.4 mm wide"),
        "{said}"
    );
    insta::assert_snapshot!(fault("too-narrow", &set("", &focus("2.5 mm"))), @r#"
    error: 1 band of this style needs 3.4 mm of the ring's face, which is 2.5 mm wide; even the smallest numerals, 1.2 mm high, would not fit
      --> set.toml:10:8
       |
    10 | ring = { diameter = "84 mm", width = "2.5 mm" }
       |        ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ this face is too narrow
    "#);
}

#[test]
fn more_than_one_turn_is_refused() {
    let focus = "ring = { diameter = \"84 mm\", width = \"14 mm\" }\nclosest = \"0.4 m\"\nlead = \"4 mm\"";
    insta::assert_snapshot!(fault("turn", &set("", focus)), @r#"
    error: the law needs 1115° from infinity to 0.4 m, more than one turn: such a scale fits no single row
     --> set.toml:6:8
      |
    6 | name = "Chalk 58"
      |        ^^^^^^^^^^ this lens
      |
      = help: check the lead, the closest distance and the nearest readings
      = help: a ring that does turn more than once can be marked for one turn only: give a closest distance farther away
    "#);
}

#[test]
fn a_curve_needs_three_readings() {
    let focus = format!("ring = {{ diameter = \"84 mm\", width = \"14 mm\" }}\nlaw = \"curve\"\n{READINGS}");
    insta::assert_snapshot!(fault("few", &set("", &focus)), @r#"
    error: there are too few readings for a curve
     --> set.toml:8:1
      |
    8 | [lens.focus]
      | ^^^^^^^^^^^^ a curve needs readings at three distances, of which infinity may be one
      |
      = note: found here: two distances
      = help: or leave out law = "curve"
    "#);
}

/// The same with a typeface, whose file is copied beside the set.
fn typeface_fault(name: &str, bytes: &[u8]) -> String {
    let folder = folder(&format!("face-{}", name.replace('.', "-")));
    fs::write(folder.join(name), bytes).unwrap();
    let focus = format!("ring = {{ diameter = \"84 mm\", width = \"14 mm\" }}\n{READINGS}");
    fs::write(folder.join("set.toml"), set(&format!("typeface = \"{name}\""), &focus)).unwrap();
    let message = refused(&folder, &["draw", "set.toml", "--out", "strips"]);
    assert_eq!(names(&folder).len(), 2);
    message
}

#[test]
fn a_face_without_a_glyph_is_refused() {
    let bytes = fs::read(root().join("tests/fonts/digits-cubic.otf")).unwrap();
    insta::assert_snapshot!(typeface_fault("digits.otf", &bytes), @r#"
    error: digits.otf has no glyph for `.` (U+002E) (choose a font file that has it)
     --> set.toml:4:12
      |
    4 | typeface = "digits.otf"
      |            ^^^^^^^^^^^^ this typeface
    "#);
}

#[test]
fn a_face_that_is_no_font_is_refused() {
    insta::assert_snapshot!(typeface_fault("letter.ttf", b"Dear workshop, here are the numerals."), @r#"
    error: letter.ttf cannot be read as a font: it does not begin as a font file does (choose a .ttf, .otf or .ttc file)
     --> set.toml:4:12
      |
    4 | typeface = "letter.ttf"
      |            ^^^^^^^^^^^^ this typeface
    "#);
}

#[test]
fn a_folder_that_is_a_file_is_refused_and_left_alone() {
    let folder = folder("is-a-file");
    fs::write(folder.join("strips"), "kept").unwrap();
    insta::assert_snapshot!(refused(&folder, &["fit", &sample(), "--plot", "strips"]), @r"
    error: strips cannot be written into: there is a file where the folder should be
      choose another folder, or move the file away
    ");
    insta::assert_snapshot!(refused(&folder, &["fit", &sample(), "--plot", "strips/plots"]), @r"
    error: strips/plots cannot be written into: there is a file where the folder should be
      choose another folder, or move the file away
    ");
    let message = refused(&folder, &["draw", &sample(), "--out", "strips", "--dpi", "50"]);
    assert!(message.contains("strips cannot be written into"), "{message}");
    assert_eq!(fs::read_to_string(folder.join("strips")).unwrap(), "kept");
    assert_eq!(names(&folder).len(), 1);
}

#[test]
fn a_resolution_that_cannot_be_drawn_is_refused_before_anything_is_written() {
    let folder = folder("dpi");
    for (dpi, why) in [("5", "50 to 9600 dpi can be drawn"), ("many", "a plain number is due"), ("NaN", "50 to 9600")] {
        let message = refused(&folder, &["draw", &sample(), "--out", "strips", "--dpi", dpi]);
        assert!(message.contains(why), "{message}");
    }
    assert!(names(&folder).is_empty());
}

#[test]
fn a_command_line_that_means_nothing_ends_with_2() {
    for arguments in [&["polish"][..], &["fit"], &["draw", "set.toml"], &["marks", "set.toml", "--format", "xml"]] {
        refused(root(), arguments);
    }
    assert!(done(root(), &["--help"]).contains("never look at the Sun"));
}

// where the report goes

#[cfg(unix)]
#[test]
fn a_reader_that_has_gone_is_no_error() {
    // far more than a pipe holds is written after its reader has gone
    let script = "{ \"$1\" marks \"$2\" --format json; echo \"exit $?\" >&2; } | head -n 1";
    let output =
        Command::new("sh").args(["-c", script, "sh"]).arg(cargo_bin!("ringwright")).arg(sample()).output().unwrap();
    assert_eq!(text(&output.stdout), "{\n");
    assert_eq!(text(&output.stderr), "exit 0\n");
}

#[cfg(target_os = "linux")]
#[test]
fn a_report_that_cannot_be_written_is_an_error() {
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let mut command = std::process::Command::new(cargo_bin!("ringwright"));
    let output = command.args(["marks", &sample()]).stdout(full).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    insta::assert_snapshot!(text(&output.stderr), @"error: the report cannot be written: no space left on device");
}
