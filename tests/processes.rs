//! The three processes as people run them: what is drawn for film, vinyl and engraving, what `check` finds, and that
//! what it proposes passes.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use kurbo::{BezPath, Shape};
use roxmltree::Document;
use serde_json::Value;
use snapbox::cmd::{Command, cargo_bin};

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("processes-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(cargo_bin!("ringwright")).current_dir(folder).args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

#[track_caller]
fn ends_with(output: &Output, code: i32) -> String {
    assert_eq!(output.status.code(), Some(code), "{}{}", text(&output.stdout), text(&output.stderr));
    text(&output.stdout).to_string()
}

/// One lens with one band, on faces of a width; `style` and `process` add keys.
fn set(width: &str, style: &str, process: &str) -> String {
    format!(
        "[set]\nname = \"Chalk\"\nunits = [\"m\"]\n[style]\n{style}\n{process}\n[[lens]]\nname = \"Chalk 58\"\n\
         focal_length = \"58 mm\"\nwidest_stop = 2\n[lens.focus]\nring = {{ diameter = \"84 mm\", width = \"{width}\" }}\n\
         toward_close = \"clockwise\"\nclosest = \"0.6 m\"\nlead = \"18 mm\"\nreadings = [\n\
         {{ distance = \"inf\", at = \"0 deg\" }},\n{{ distance = \"1 m\", at = \"75.8 deg\" }},\n]\n"
    )
}

fn drawn(name: &str, set: &str, arguments: &[&str]) -> PathBuf {
    let folder = folder(name);
    fs::write(folder.join("set.toml"), set).unwrap();
    let mut all = vec!["draw", "set.toml", "--out", "out"];
    all.extend(arguments);
    ends_with(&run(&folder, &all), 0);
    folder.join("out")
}

/// The paths of a layer, with whether they are stroked.
fn paths(svg: &str, class: &str) -> Vec<(BezPath, bool)> {
    let document = Document::parse(svg).unwrap();
    let layers = document.root_element().children().filter(|node| node.attribute("class") == Some(class));
    let mut all = Vec::new();
    for layer in layers {
        let stroked = layer.attribute("stroke").is_some();
        for node in layer.descendants().filter(|node| node.tag_name().name() == "path") {
            all.push((BezPath::from_svg(node.attribute("d").unwrap()).unwrap(), stroked));
        }
    }
    all
}

fn size(svg: &str) -> (f64, f64) {
    let document = Document::parse(svg).unwrap();
    let side = |key| document.root_element().attribute(key).unwrap().strip_suffix("mm").unwrap().parse().unwrap();
    (side("width"), side("height"))
}

fn contours(path: &BezPath) -> Vec<BezPath> {
    let mut all: Vec<BezPath> = Vec::new();
    for element in path.elements() {
        if matches!(element, kurbo::PathEl::MoveTo(_)) {
            all.push(BezPath::new());
        }
        all.last_mut().unwrap().push(*element);
    }
    all
}

const LARGE: &str = "numeral_height = \"6 mm\"";

#[test]
fn vinyl_is_closed_contours_without_strokes_holes_before_what_they_lie_in() {
    let out = drawn("contours", &set("18 mm", LARGE, ""), &["--process", "vinyl", "--format", "svg"]);
    let svg = fs::read_to_string(out.join("chalk-58-focus.svg")).unwrap();
    let cut = paths(&svg, "cut");
    let (boxes, pieces): (Vec<_>, Vec<_>) = cut.iter().partition(|(_, stroked)| *stroked);
    assert_eq!(boxes.len(), 1, "one weeding box");
    assert!(pieces.len() > 40);
    let mut holes = 0;
    for (piece, _) in &pieces {
        let contours = contours(piece);
        for (i, contour) in contours.iter().enumerate() {
            assert!(matches!(contour.elements().last(), Some(kurbo::PathEl::ClosePath)), "an open contour");
            let outer = i + 1 == contours.len();
            assert_eq!(contour.area() > 0.0, outer, "the edge of a piece comes last and runs the other way");
            holes += usize::from(!outer);
        }
        assert!(boxes[0].0.bounding_box().contains_rect(piece.bounding_box()));
    }
    // 0.65, 0.6, 0.8, 0.9 and their like have counters
    assert!(holes > 5, "{holes}");
    // nothing is cut twice: the pieces' areas add up to what is black
    let all: f64 = pieces.iter().map(|(piece, _)| piece.area()).sum();
    let mut whole = BezPath::new();
    pieces.iter().for_each(|(piece, _)| whole.extend(piece.clone()));
    let black = ringwright::region::Region::new(&whole).area();
    assert!((all - black).abs() < 1e-3 * black, "{all} mm² of pieces, {black} mm² of vinyl");
}

#[test]
fn cut_pieces_cover_what_film_prints() {
    // four tick widths apart, which cut ticks keep in any case: so both have the same ones
    let style = format!(
        "{LARGE}\ntypeface = \"plain\"\ntick_width = \"0.5 mm\"\nsmallest_gap = \"2 mm\"\nextent = \"full turn\""
    );
    // as thick as the vinyl, so that both are as long
    let film = set("18 mm", &style, "[process.film]\nthickness = \"0.07 mm\"\nguides = false");
    let film = drawn("film-area", &film, &["--format", "svg"]);
    let vinyl = set("18 mm", &style, "[process.vinyl]\nweed_box = false");
    let vinyl = drawn("vinyl-area", &vinyl, &["--process", "vinyl", "--format", "svg"]);
    let film = fs::read_to_string(film.join("chalk-58-focus.svg")).unwrap();
    let vinyl = fs::read_to_string(vinyl.join("chalk-58-focus.svg")).unwrap();
    assert_eq!(size(&film), size(&vinyl));
    let region = |paths: Vec<(BezPath, bool)>| {
        let regions: Vec<_> = paths.iter().map(|(path, _)| ringwright::region::Region::new(path)).collect();
        ringwright::region::Region::union_of(&regions)
    };
    let printed = region([paths(&film, "ticks"), paths(&film, "numerals")].concat());
    let cut = region(paths(&vinyl, "cut"));
    let different = printed.difference(&cut).area() + cut.difference(&printed).area();
    assert!(different < 1e-3 * printed.area(), "{different} mm² of {}", printed.area());
}

#[test]
fn bridges_leave_no_hole_in_marks_and_no_loose_island_in_a_mask() {
    let bridged = set("18 mm", LARGE, "[process.vinyl]\nbridge = \"0.4 mm\"\nweed_box = false");
    let out = drawn("bridged", &bridged, &["--process", "vinyl", "--format", "svg"]);
    for (path, _) in paths(&fs::read_to_string(out.join("chalk-58-focus.svg")).unwrap(), "cut") {
        assert_eq!(contours(&path).len(), 1, "a hole to pick out");
    }
    let mask = set("18 mm", LARGE, "[process.vinyl]\ncut = \"mask\"");
    let out = drawn("mask", &mask, &["--process", "vinyl", "--format", "svg"]);
    let pieces = paths(&fs::read_to_string(out.join("chalk-58-focus.svg")).unwrap(), "cut");
    assert_eq!(pieces.len(), 1, "a mask hangs together");
    // the ticks are openings like the numerals: the mask reaches beyond the edge at which they begin
    let openings = contours(&pieces[0].0).len() - 1;
    assert!(openings > 40, "{openings} openings");

    let plain = format!("{LARGE}\ntypeface = \"plain\"");
    let loose = set("18 mm", &plain, "[process.vinyl]\ncut = \"mask\"\nbridge = \"0 mm\"");
    let folder = folder("loose");
    fs::write(folder.join("set.toml"), loose).unwrap();
    let said = ends_with(&run(&folder, &["check", "set.toml", "--process", "vinyl"]), 1);
    assert!(said.contains("islands that fall out of the mask: "), "{said}");
    assert!(said.contains("[process.vinyl] bridge = \"0.45 mm\""), "{said}");
}

#[test]
fn what_check_proposes_passes_when_it_is_written_into_the_file() {
    for (name, process, width, style) in [
        ("ticks", "vinyl", "20 mm", "numeral_height = \"6.5 mm\"\ntick_width = \"0.3 mm\""),
        ("numerals", "vinyl", "20 mm", "numeral_height = \"3 mm\""),
        ("dots", "film", "14 mm", "numeral_height = \"1.2 mm\"\ntick_width = \"0.1 mm\""),
    ] {
        let folder = folder(&format!("proposes-{name}"));
        let dots = if process == "film" { "[process.film]\ndpi = 300" } else { "" };
        fs::write(folder.join("set.toml"), set(width, style, dots)).unwrap();
        let found = ends_with(&run(&folder, &["check", "set.toml", "--process", process]), 1);
        let lines: Vec<&str> = found.lines().filter_map(|line| line.strip_prefix("  [style] ")).collect();
        assert!(!lines.is_empty(), "{name}: nothing is proposed\n{found}");
        let keys: Vec<&str> = lines.iter().map(|line| line.split(' ').next().unwrap()).collect();
        let kept = style.lines().filter(|line| !keys.iter().any(|key| line.starts_with(key)));
        let mended: Vec<&str> = kept.chain(lines.iter().copied()).collect();
        fs::write(folder.join("set.toml"), set(width, &mended.join("\n"), dots)).unwrap();
        let passes = ends_with(&run(&folder, &["check", "set.toml", "--process", process]), 0);
        assert!(passes.ends_with(&format!("Everything can be made ({process}).\n")), "{name}: {passes}");
    }
}

#[test]
fn the_samples_and_the_set_of_new_pass_for_every_process_without_a_line_of_style() {
    let samples = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/SET.toml")).unwrap();
    let stated = samples.split("[style]\n").nth(1).unwrap().lines().take_while(|line| !line.starts_with('['));
    assert!(stated.into_iter().all(|line| line.is_empty() || line.starts_with('#')), "the samples state no style");
    let folder = folder("defaults");
    ends_with(&run(&folder, &["new", "new.toml"]), 0);
    fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/marble-85.csv"), folder.join("marble-85.csv"))
        .unwrap();
    fs::write(folder.join("samples.toml"), samples).unwrap();
    for set in ["new.toml", "samples.toml"] {
        for process in ["film", "vinyl", "engrave"] {
            let output = run(&folder, &["check", set, "--process", process]);
            let told = String::from_utf8(output.stderr.clone()).unwrap();
            let said = ends_with(&output, 0);
            assert!(said.ends_with(&format!("Everything can be made ({process}).\n")), "{set} {process}: {said}");
            // what could not be had is one sentence
            let notes = told.lines().filter(|line| line.starts_with("note: ")).count();
            assert_eq!(notes, usize::from(process == "vinyl"), "{set} {process}: {told}");
            assert_eq!(told.contains("metres alone are drawn"), process == "vinyl", "{told}");
        }
    }
}

#[test]
fn check_tells_what_where_and_how_much() {
    let folder = folder("tells");
    let style = "numeral_height = \"5.5 mm\"\ntick_width = \"0.3 mm\"\nextent = \"used\"";
    fs::write(folder.join("set.toml"), set("20 mm", style, "")).unwrap();
    let said = ends_with(&run(&folder, &["check", "set.toml", "--process", "vinyl", "--out", "places"]), 1);
    insta::assert_snapshot!(said, @r###"
    Chalk 58, focus
      strokes too thin: 0.30 mm at the worst, 0.45 mm can be made: the tick of 0.6 m, a plain tick in m at 133.9°, a plain tick in m at 128.6°, a plain tick in m at 123.8° and 39 more
      58 pieces, 7 holes to pick out, 605 mm of cut, 176 corners, smallest feature 0.30 mm, about a minute
    Chalk 58, index
      nothing too fine
      1 piece, no hole to pick out, 17 mm of cut, 4 corners, smallest feature 0.45 mm, about a minute

    43 places cannot be made (vinyl).
    The smallest change that was found to pass, all of it together:
      [style] tick_width = "0.45 mm"
      [style] smallest_gap = "0.9 mm"
    "###);
    let json = ends_with(&run(&folder, &["check", "set.toml", "--process", "vinyl", "--format", "json"]), 1);
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!((&json["set"], &json["process"], &json["passes"]), (&"Chalk".into(), &"vinyl".into(), &false.into()));
    assert_eq!(json["limits"]["stroke_mm"], 0.45);
    let focus = &json["lenses"][0]["pieces"][0];
    assert_eq!(focus["piece"], "focus");
    let findings = focus["findings"].as_array().unwrap();
    let ticks: Vec<_> = findings.iter().filter(|finding| finding["kind"] == "stroke").collect();
    assert!(ticks.len() > 20);
    for finding in ticks {
        if finding["marks"][0]["mark"].as_str().unwrap().contains("tick") {
            assert!((finding["measured_mm"].as_f64().unwrap() - 0.3).abs() < 0.01, "{finding}");
        }
        assert!(finding["x_mm"].is_f64() && finding["y_mm"].is_f64(), "{finding}");
    }
    assert!(focus["cut"]["cut_mm"].as_f64().unwrap() > 100.0);
    // the picture has the places in red
    let svg = fs::read_to_string(folder.join("places/chalk-58-focus-check.svg")).unwrap();
    assert!(svg.contains("fill=\"#d00\""));
    assert!(folder.join("places/chalk-58-focus-check.png").exists());
}

#[test]
fn a_scale_wider_than_its_face_is_found_not_only_refused() {
    let folder = folder("unfit");
    fs::write(folder.join("set.toml"), set("7 mm", "numeral_height = \"4 mm\"", "")).unwrap();
    let said = ends_with(&run(&folder, &["check", "set.toml"]), 1);
    insta::assert_snapshot!(said, @r#"
Chalk 58, index
  nothing too fine
Chalk 58, focus
  does not fit: 1 band of this style needs 9.8 mm of the ring's face, which is 7.0 mm wide; a numeral_height of 2.85 mm with ticks in proportion would fit

One place cannot be made (film).
The smallest change that was found to pass:
  [style] numeral_height = "2.85 mm"
"#);
    ends_with(&run(&folder, &["draw", "set.toml", "--out", "out"]), 2);
}

#[test]
fn a_numeral_height_that_does_not_fit_is_brought_down_to_one_that_does() {
    let folder = folder("shrinks");
    let large = "numeral_height = \"8 mm\"";
    let wheel = "[lens.disc]\ndiameter = \"80 mm\"\nring_teeth = 110\nwheel_teeth = 40\ntoward_close = \"clockwise\"\n";
    fs::write(folder.join("set.toml"), set("14 mm", large, "") + wheel).unwrap();
    let said = ends_with(&run(&folder, &["check", "set.toml"]), 1);
    // what does fit is checked beside what does not
    for piece in ["Chalk 58, focus\n  does not fit: ", "Chalk 58, index\n  nothing too fine"] {
        assert!(said.contains(piece), "{said}");
    }
    let proposed = said.lines().find_map(|line| line.strip_prefix("  [style] ")).expect("a height is proposed");
    fs::write(folder.join("set.toml"), set("14 mm", proposed, "") + wheel).unwrap();
    ends_with(&run(&folder, &["check", "set.toml"]), 0);
    ends_with(&run(&folder, &["draw", "set.toml", "--out", "out", "--format", "svg"]), 0);
}

#[test]
fn what_check_passes_is_drawn() {
    let cone = set("14 mm", "", "[process.engrave]\nrotary = true")
        .replace("diameter = \"84 mm\"", "rear_diameter = \"84 mm\", front_diameter = \"80 mm\"");
    let small = set("14 mm", "", "[process.film]\nsheet = \"60 mm x 50 mm\"");
    for (name, set, process, why) in
        [("cone", cone, "engrave", "the ring's face is a cone"), ("small-sheet", small, "film", "Sheets: ")]
    {
        let folder = folder(name);
        fs::write(folder.join("set.toml"), set).unwrap();
        let said = ends_with(&run(&folder, &["check", "set.toml", "--process", process]), 1);
        assert!(said.contains(why), "{said}");
        assert!(!said.contains("change"), "no change of style mends this: {said}");
        let refused = run(&folder, &["draw", "set.toml", "--process", process, "--out", "out"]);
        ends_with(&refused, 2);
        assert!(!folder.join("out").exists(), "nothing is written");
    }
}

#[test]
fn long_vinyl_and_nearly_full_rotary_turns_are_drawn_on_a4() {
    let long = set("18 mm", &format!("{LARGE}\nextent = \"full turn\""), "").replace("84 mm", "120 mm");
    let out = drawn("long-vinyl", &long, &["--process", "vinyl", "--sheet", "roll 300 mm"]);
    assert!(out.join("chalk-transfers.pdf").exists());
    let rotary = set("18 mm", "extent = \"full turn\"", "[process.engrave]\nrotary = true");
    let out = drawn("full-rotary", &rotary, &["--process", "engrave"]);
    let info = std::process::Command::new("pdfinfo").arg(out.join("chalk-sheets.pdf")).output().expect("pdfinfo");
    assert!(text(&info.stdout).contains("Pages:           1"), "{}", text(&info.stdout));
}

#[test]
fn a_printers_error_is_taken_out_of_every_axis() {
    let true_size = drawn("true", &set("14 mm", "", "[process.film]\nguides = false"), &["--format", "svg"]);
    let film = "[process.film]\nguides = false\nruler_long = \"238.8 mm\"\nruler_short = \"180.9 mm\"";
    let corrected = drawn("corrected", &set("14 mm", "", film), &["--format", "svg"]);
    let read = |out: PathBuf| size(&fs::read_to_string(out.join("chalk-58-focus.svg")).unwrap());
    let (true_size, corrected) = (read(true_size), read(corrected));
    assert!((corrected.0 * 238.8 / 240.0 - true_size.0).abs() < 1e-3);
    assert!((corrected.1 * 180.9 / 180.0 - true_size.1).abs() < 1e-3);
}

#[test]
fn reversed_film_is_black_with_clear_marks() {
    let set = set("14 mm", "", "[process.film]\nguides = false\nreversed = true");
    let out = drawn("reversed", &set, &["--dpi", "300", "--format", "png,svg"]);
    let bytes = fs::read(out.join("chalk-58-focus.png")).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut data = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut data).unwrap();
    let black = data.iter().filter(|grey| **grey < 128).count() as f64 / data.len() as f64;
    assert!(black > 0.8, "only {black} is black");
    let svg = fs::read_to_string(out.join("chalk-58-focus.svg")).unwrap();
    assert!(svg.contains("<g class=\"ticks\" fill=\"#fff\""));
}

#[test]
fn a_ring_of_130_mm_is_divided_on_a4_and_whole_on_a_roll() {
    let large = set("14 mm", "extent = \"full turn\"", "[process.film]\nspares = 1").replace("84 mm", "130 mm");
    let folder = folder("large");
    fs::write(folder.join("set.toml"), large).unwrap();
    let draw = |out: &str, paper: &str| {
        let output = run(&folder, &["draw", "set.toml", "--out", out, "--sheet", paper, "--format", "svg,pdf"]);
        ends_with(&output, 0);
        text(&output.stderr).to_string()
    };
    let said = draw("a4", "A4");
    assert!(said.contains("Chalk 58, focus is divided"), "{said}");
    let said = draw("roll", "roll 300 mm");
    assert!(!said.contains("divided") && !said.contains("diagonal"), "{said}");
    let refused = run(&folder, &["draw", "set.toml", "--out", "no", "--sheet", "A7"]);
    ends_with(&refused, 2);
    assert!(text(&refused.stderr).contains("A4, A3, Letter, mat"), "{}", text(&refused.stderr));
}

#[test]
fn the_ruler_is_a_page_of_its_paper_and_is_never_overwritten() {
    let folder = folder("ruler");
    for (paper, points) in [("A4", "595.276 x 841.89"), ("Letter", "612 x 792")] {
        let file = format!("{paper}.pdf");
        ends_with(&run(&folder, &["ruler", "--out", &file, "--sheet", paper]), 0);
        let info =
            std::process::Command::new("pdfinfo").arg(folder.join(&file)).output().expect("pdfinfo of poppler-utils");
        assert!(text(&info.stdout).contains(points), "{}", text(&info.stdout));
    }
    let again = run(&folder, &["ruler", "--out", "A4.pdf"]);
    ends_with(&again, 2);
    insta::assert_snapshot!(text(&again.stderr), @r#"
error: A4.pdf is there already and is not overwritten
  choose another name, or delete the file first
"#);
}

#[test]
fn engraving_follows_lines_and_turns_a_rotary_axis_in_degrees() {
    let flat = drawn("engrave", &set("14 mm", "", ""), &["--process", "engrave", "--format", "svg,dxf"]);
    let svg = fs::read_to_string(flat.join("chalk-58-focus.svg")).unwrap();
    for class in ["ticks", "numerals"] {
        assert!(!paths(&svg, class).is_empty() && paths(&svg, class).iter().all(|(_, stroked)| *stroked), "{class}");
    }
    assert!(fs::read_to_string(flat.join("chalk-58-focus.dxf")).unwrap().trim_start().starts_with("0\nSECTION"));
    let rotary = set("14 mm", "", "[process.engrave]\nrotary = true");
    let rotary = drawn("rotary", &rotary, &["--process", "engrave", "--format", "svg"]);
    let turned = size(&fs::read_to_string(rotary.join("chalk-58-focus.svg")).unwrap());
    // engraved into the ring itself: nothing lies round it
    let degrees = size(&svg).0 / (std::f64::consts::PI * 84.0) * 360.0;
    assert!((turned.0 - degrees).abs() < 1e-3, "{} is not {degrees}", turned.0);
}
