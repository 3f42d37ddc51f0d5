//! Tests of the application sheet.

use std::path::Path;

use kurbo::{Point, Shape};
use roxmltree::{Document, ParsingOptions};

use super::diagram::diagram;
use super::typeset::Type;
use super::*;
use crate::artwork::LayerKind;
use crate::assembly::{Assembly, lettering, mark_distance};
use crate::check::assert_close;
use crate::model::Set;
use crate::process::{Cut, Engrave, Film, Vinyl};

fn on(sense: Sense, front: f64) -> OnRing {
    OnRing {
        ring: Ring { rear_diameter: Length::mm(84.0), front_diameter: Length::mm(front), width: Length::mm(11.0) },
        sense,
        index: Edge::Rear,
        read_from: Edge::Rear,
        closed: true,
        zeros: vec![Length::mm(200.0)],
    }
}

fn disc(pointer_turns: bool) -> OnDisc {
    let (diameter, hole) = (Length::mm(84.0), Length::mm(40.0));
    OnDisc { diameter, hole, pointer_turns, sense: Sense::Clockwise }
}

fn piece(what: Applied) -> AppliedPiece {
    let (length, height) = (Length::mm(264.2), Length::mm(11.0));
    AppliedPiece { what, length, height, copies: 1, parts: 1, guide_parts: 1, files: vec!["piece.svg".into()] }
}

/// Every process, each with the settings that change the sheet.
pub(super) fn processes() -> [Process; 6] {
    let (film, vinyl, engrave) = (Film::default(), Vinyl::default(), Engrave::default());
    [
        Process::Film(film),
        Process::Film(Film { mirrored: true, reversed: true, overlap: Length::ZERO, ..film }),
        Process::Vinyl(vinyl),
        Process::Vinyl(Vinyl { cut: Cut::Mask, bridge: Some(Length::mm(0.4)), ..vinyl }),
        Process::Engrave(engrave),
        Process::Engrave(Engrave { rotary: true, ..engrave }),
    ]
}

/// Lenses with every kind of piece.
pub(super) fn application(process: Process, lenses: usize) -> Application {
    let lens = |at: usize| {
        let mut twice = on(Sense::Counterclockwise, 90.0);
        twice.zeros.push(Length::mm(68.0));
        let iris = OnRing { index: Edge::Front, read_from: Edge::Front, closed: false, ..on(Sense::Clockwise, 84.0) };
        let plate = |iris, edge| IndexAt { iris, edge, depth: false };
        let mut pieces = vec![
            piece(Applied::Focus(if at.is_multiple_of(2) { on(Sense::Clockwise, 84.0) } else { twice })),
            piece(Applied::Iris(iris)),
            piece(Applied::Index(vec![plate(false, Edge::Rear), plate(false, Edge::Rear), plate(true, Edge::Front)])),
        ];
        if at.is_multiple_of(3) {
            pieces.push(piece(Applied::Disc(disc(false))));
        }
        AppliedLens { name: format!("Quarry {}", 20 + at), iris_rides: false, pieces }
    };
    let lenses = (0..lenses).map(lens).collect();
    Application { set: "Quarry".into(), process, lenses, sheets: vec![], guides: vec![] }
}

fn words(contents: &Contents) -> String {
    let steps = contents.parts.iter().flat_map(|part| &part.steps);
    steps.cloned().collect::<Vec<_>>().join("\n")
}

fn read(html: &str) -> Document<'_> {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    Document::parse_with_options(html, options).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn each_process_has_exactly_its_cautions() {
    use Caution::*;
    let general = [AskFirst, Solvents, OpeningALens, OldGlass, Sun];
    let own: [&[Caution]; 6] = [
        &[Knives, LaserPrinter],
        &[Knives, LaserPrinter],
        &[Knives, PvcAndLasers],
        &[Knives, PvcAndLasers, Paint],
        &[PvcAndLasers, Paint, Engraving],
        &[PvcAndLasers, Paint, Engraving],
    ];
    for (process, own) in processes().into_iter().zip(own) {
        let expected: Vec<Caution> = general.iter().chain(own).copied().collect();
        let application = application(process, 1);
        assert_eq!(contents(&application).cautions, expected, "{process:?}");
        let html = html(&application).unwrap();
        for caution in Caution::ALL {
            let said = read(&html).descendants().any(|node| node.is_text() && node.text() == Some(caution.text()));
            assert_eq!(said, expected.contains(&caution), "{caution:?} in {process:?}");
        }
    }
    assert!(PvcAndLasers.text().contains("hydrogen chloride"));
    assert!(OldGlass.text().contains("never grind"));
    assert!(OpeningALens.text().contains("mark both where they part"));
}

#[test]
fn the_work_follows_the_process() {
    let all = processes().map(|process| contents(&application(process, 2)));
    let headings: Vec<Vec<&str>> =
        all.iter().map(|contents| contents.parts.iter().map(|part| part.heading.as_str()).collect()).collect();
    let (start, clean, set) = ("Before you start", "Clean the ring", "Set the ring and mark the index");
    let (beside, check) = ("Beside the ring", "Check on the camera");
    assert_eq!(headings[0], [start, "Cut out and try on", clean, set, "Put the film on", beside, check, "Let it rest"]);
    assert_eq!(headings[2], [start, clean, set, "Put the vinyl marks on", beside, check, "Let it rest"]);
    assert_eq!(headings[3], [start, clean, set, "Mask and paint", beside, "Let it dry", check]);
    assert_eq!(headings[4], [start, set, clean, "Engrave and fill", beside, "Let it dry", check]);
    let said = all.each_ref().map(words);
    for (phrase, expected) in [
        ("The print is on the inner face", [false, true, false, false, false, false]),
        ("The print is on the outer face", [true, false, false, false, false, false]),
        ("the marks are clear in black", [false, true, false, false, false, false]),
        ("Leave the tab of 5 mm", [true, false, false, false, false, false]),
        ("meet without overlap", [false, true, false, false, false, false]),
        ("transfer tape", [false, false, true, true, false, false]),
        ("hang on their bridges", [false, false, false, true, false, false]),
        ("Leave the gaps of the bridges", [false, false, false, true, false, false]),
        ("mm along the ring's circumference", [false, false, false, false, true, false]),
        ("degrees of the rotary axis", [false, false, false, false, false, true]),
        ("24 hours (common practice, no source)", [true; 6]),
        ("the close marks lie to the left of infinity", [true; 6]),
    ] {
        assert_eq!(said.each_ref().map(|words| words.contains(phrase)), expected, "{phrase}");
    }
}

#[test]
fn nothing_is_said_of_what_no_lens_has() {
    for process in processes() {
        let mut application = application(process, 1);
        application.lenses[0].pieces.truncate(1);
        let said = words(&contents(&application));
        for absent in ["ris ring", "Discs", "Index plates", "pointer", "conical", "stands twice"] {
            assert!(!said.contains(absent), "{absent}: {said}");
        }
        application.lenses[0].pieces[0] = piece(Applied::Iris(on(Sense::Clockwise, 90.0)));
        let said = words(&contents(&application));
        assert!(!said.contains("focus ring") && !said.contains("Two distances"), "{said}");
        assert!(said.contains("iris ring"));
    }
}

#[test]
fn a_rotary_axis_is_told_degrees() {
    let rotary = Process::Engrave(Engrave { rotary: true, ..Engrave::default() });
    let contents = contents(&application(rotary, 1));
    let facts = &contents.lenses[0].rows[0].facts;
    let infinity = facts.iter().find(|(name, _)| *name == "Infinity").map(|(_, value)| value.clone()).unwrap();
    // 200 mm round 84 mm: 200 x 360 / (84 pi) = 272.84 degrees
    assert!(infinity.starts_with("272.84° from the left end"), "{infinity}");
}

#[test]
fn the_table_says_which_edge_which_side_and_where() {
    let contents = contents(&application(Process::Film(Film::default()), 2));
    let fact = |lens: usize, row: usize, name: &str| {
        let facts = &contents.lenses[lens].rows[row].facts;
        facts.iter().find(|(known, _)| *known == name).map(|(_, value)| value.clone()).unwrap()
    };
    assert_eq!(fact(0, 0, "Ring"), "diameter 84 mm, face 11 mm wide");
    assert_eq!(fact(0, 0, "Strip"), "264.2 × 11.0 mm, once round, and a tab of 5 mm");
    assert_eq!(fact(0, 0, "To the camera"), "the edge at the foot of the numerals");
    assert!(fact(0, 0, "Order").starts_with("close marks to the left of infinity; the ring turns clockwise toward"));
    assert_eq!(fact(0, 0, "Infinity"), "200.0 mm from the left end; on the index line with the ring at infinity");
    assert!(fact(1, 0, "Order").starts_with("close marks to the right of infinity; the ring turns counterclockwise"));
    assert!(fact(1, 0, "Strip").ends_with("bent, its longer edge is the front one"));
    assert!(fact(1, 0, "Infinity").starts_with("200.0 mm and 68.0 mm from the left end"));
    assert_eq!(fact(0, 1, "To the camera"), "the edge at the head of the numerals");
    assert!(fact(0, 1, "Index").starts_with("at the front edge"));
    assert!(fact(0, 1, "Order").starts_with("small openings to the left of the widest stop; the ring turns clockwise"));
    assert!(fact(0, 1, "Seam").starts_with("none"));
    assert!(fact(0, 2, "Placing").contains("Focus ring: behind it, the line up to its rear edge (2 plates"));
    assert_eq!(fact(0, 3, "Disc"), "rim 84 mm across, hole 40 mm across");
}

#[test]
fn the_picture_has_the_close_marks_at_the_side_that_the_words_name() {
    let mut setter = Type::new().unwrap();
    for (sense, close, other) in [(Sense::Clockwise, 6.0, 32.0), (Sense::Counterclockwise, 32.0, 6.0)] {
        let drawing = diagram(&mut setter, &piece(Applied::Focus(on(sense, 84.0))), &processes()[0], "").unwrap();
        let inked = |x: f64, y: f64| {
            let mut groups = drawing.layers.iter().flat_map(|layer| &layer.groups);
            groups.any(|group| group.path.winding(Point::new(x, y)) != 0)
        };
        // just above the ring's rear edge, where the ticks begin
        assert!(inked(close, 15.0) && !inked(other, 15.0), "{sense:?}");
        assert!(inked(19.0, 15.0), "infinity is at the index");
    }
}

#[test]
fn a_strip_tells_where_its_infinity_mark_is_as_it_is_drawn() {
    for (sense, repeat) in [("clockwise", 1), ("counterclockwise", 1), ("counterclockwise", 2)] {
        let text = format!(
            "[set]\nname = \"Quarry\"\nunits = [\"m\"]\n[[lens]]\nname = \"A\"\nfocal_length = \"50 mm\"\n\
             [lens.focus]\nring = {{ diameter = \"84 mm\", width = \"12 mm\" }}\ntoward_close = \"{sense}\"\n\
             closest = \"0.9 m\"\nlead = \"12 mm\"\nrepeat = {repeat}\n"
        );
        let set = Set::parse("set.toml", &text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"));
        let lettering = lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
        let assembly = Assembly::new(&set, &set.lenses[0], &lettering).unwrap_or_else(|faults| panic!("{faults}"));
        let focus = &assembly.focus.as_ref().unwrap().focus;
        let strips = assembly.strips().unwrap_or_else(|faults| panic!("{faults}"));
        let strip = &strips[0].1;
        let flat = strip.flat.as_ref().unwrap();
        let (on, length) = OnRing::of(flat, focus.ring, focus.toward_close, focus.read_from);
        assert_close(length.to_mm(), strip.drawing.width.to_mm(), 1e-6);
        let ticks = strip.drawing.layers.iter().find(|layer| layer.kind == LayerKind::Ticks).unwrap();
        let at_infinity = |value| mark_distance(value).is_some_and(|distance| distance.is_infinite());
        let infinite = ticks.groups.iter().filter(|group| at_infinity(group.tag.as_ref().unwrap().value));
        let drawn: Vec<f64> = infinite.map(|group| group.path.bounding_box().center().x).collect();
        assert_eq!((drawn.len(), on.zeros.len()), (repeat, repeat));
        for (drawn, said) in drawn.iter().zip(&on.zeros) {
            assert_close(said.to_mm(), *drawn, 1e-6);
        }
    }
}

#[test]
fn the_html_is_xml_says_all_that_the_pages_say_and_needs_nothing_from_outside() {
    for process in processes() {
        let application = application(process, 3);
        let text = html(&application).unwrap();
        let document = read(&text);
        assert_eq!(document.root_element().attribute("lang"), Some("en"));
        for node in document.descendants().filter(|node| node.is_element()) {
            let name = node.tag_name().name();
            assert!(!["script", "link", "img", "iframe", "object", "image", "use"].contains(&name), "{name}");
            let calls = |name: &str| name.starts_with("on") || name == "href" || name == "src";
            assert!(!node.attributes().any(|attribute| calls(attribute.name())), "{name}");
        }
        assert!(!text.contains("url(") && !text.contains("@import"));
        let texts: Vec<&str> = document.descendants().filter(|n| n.is_text()).filter_map(|n| n.text()).collect();
        let has = |wanted: &str| texts.contains(&wanted);
        let contents = contents(&application);
        assert!(has(&contents.title) && contents.lead.iter().all(|sentence| has(sentence)));
        let elements = |name: &'static str| document.descendants().filter(move |n| n.tag_name().name() == name);
        let starts: Vec<&str> = elements("ol").filter_map(|node| node.attribute("start")).collect();
        assert_eq!(starts.len(), contents.parts.len());
        let mut next = 1;
        for (part, start) in contents.parts.iter().zip(starts) {
            assert_eq!(start, next.to_string());
            next += part.steps.len();
            assert!(has(&part.heading) && part.steps.iter().all(|step| has(step)), "{}", part.heading);
        }
        for table in &contents.lenses {
            assert!(has(&table.name));
            let facts = table.rows.iter().flat_map(|row| &row.facts);
            facts.for_each(|(name, value)| assert!(has(name) && has(value), "{name}: {value}"));
        }
        assert_eq!(elements("svg").count(), contents.lenses.iter().map(|table| table.rows.len()).sum::<usize>());
    }
}

#[test]
fn hostile_names_stay_text() {
    let hostile = "</title><script>alert('x')</script>&amp; \" ]]> <!-- \u{1b}\0";
    let mut application = application(Process::Vinyl(Vinyl::default()), 1);
    application.set = hostile.into();
    application.lenses[0].name = hostile.into();
    application.lenses[0].pieces[0].files = vec![hostile.into()];
    let text = html(&application).unwrap();
    let document = read(&text);
    let shown = hostile.replace(['\u{1b}', '\0'], "\u{fffd}");
    let of = |name: &str| {
        let node = document.descendants().find(|node| node.tag_name().name() == name).unwrap();
        node.descendants().filter(|node| node.is_text()).find_map(|node| node.text()).unwrap().to_string()
    };
    assert_eq!(of("h3"), shown);
    assert_eq!(of("title"), format!("Applying the scales: {shown}"));
    let files = document.descendants().filter(|node| node.is_text() && node.text() == Some(&shown));
    assert_eq!(files.count(), 2, "the lens's name and the file's");
    assert!(!text.contains("<script"));
}

#[test]
fn a_set_without_lenses_and_a_lens_without_pieces_make_a_sheet() {
    for process in processes() {
        for mut application in [application(process, 0), application(process, 1)] {
            application.lenses.iter_mut().for_each(|lens| lens.pieces.clear());
            assert!(!pages(&application).unwrap().is_empty());
            assert!(html(&application).unwrap().ends_with("</html>\n"));
        }
    }
}

#[test]
fn the_same_input_gives_the_same_sheet() {
    let application = application(Process::Engrave(Engrave::default()), 2);
    let drawn = || pages(&application).unwrap().iter().map(crate::write::svg).collect::<String>();
    assert_eq!(drawn(), drawn());
    assert_eq!(html(&application).unwrap(), html(&application).unwrap());
}

#[test]
fn a_rotary_drawing_is_degrees_wide_and_flat_pieces_stay_in_mm() {
    let rotary = Process::Engrave(Engrave { rotary: true, ..Engrave::default() });
    let contents = contents(&application(rotary, 1));
    let facts = |row: usize| contents.lenses[0].rows[row].facts.iter().find(|(name, _)| *name == "Drawing").unwrap();
    // 264.2 mm round 84 mm: 264.2 x 360 / (84 pi) = 360.42 degrees
    assert!(facts(0).1.starts_with("360.42° × 11.0 mm"), "{}", facts(0).1);
    assert!(facts(2).1.starts_with("in mm") && facts(3).1.starts_with("in mm"));
    let said = words(&contents);
    assert!(said.contains("Discs and index plates stay in mm") && said.contains("tool lifted"));
    assert!(said.contains("layer `outline`") && !said.contains("paper print"));
}

#[test]
fn a_turning_pointer_leaves_its_disc_fixed() {
    let mut application = application(Process::Film(Film::default()), 1);
    application.lenses[0].pieces = vec![piece(Applied::Disc(OnDisc { hole: Length::ZERO, ..disc(true) }))];
    let contents = contents(&application);
    let facts = &contents.lenses[0].rows[0].facts;
    let fact = |name: &str| facts.iter().find(|(known, _)| *known == name).unwrap().1.clone();
    assert!(fact("Disc").ends_with("no hole") && fact("Placing").contains("does not turn"));
    assert!(fact("Order").starts_with("close marks clockwise from infinity; the pointer turns clockwise"));
    assert!(words(&contents).contains("Discs under a pointer") && !words(&contents).contains("Discs that turn"));
}

#[test]
fn film_is_cut_as_it_is_printed_and_tried_on_after_that() {
    let said = processes().map(|process| words(&contents(&application(process, 2))));
    assert!(said[1].contains("along the edge of the black") && said[1].contains("from the unprinted side"));
    assert!(said[0].contains("its frame line") && !said[0].contains("unprinted side"));
    assert!(said[0].contains("reach the line at which the tab begins") && said[1].contains("ends must just meet"));
    assert!(said[0].find("Cut each strip out") < said[0].find("Wrap each strip dry"));
    let film = Film { printed: (0.995, 1.0), ..Film::default() };
    assert!(words(&contents(&application(Process::Film(film), 1))).contains("long side: print them that way only"));
    assert!(!said[0].contains("are stretched for your printer"));
}

#[test]
fn parts_guides_and_sheets_are_named_where_they_are() {
    let mut application = application(Process::Vinyl(Vinyl { bridge: Some(Length::mm(0.4)), ..Vinyl::default() }), 2);
    application.guides = vec!["quarry-transfers.pdf".into()];
    application.sheets = vec!["quarry-sheets.pdf".into()];
    assert!(!words(&contents(&application)).contains("in parts"));
    application.lenses[0].pieces[0].parts = 2;
    let contents = contents(&application);
    assert!(contents.lenses[0].rows[0].facts[1].1.ends_with("in 2 parts, the ends lettered A meet"));
    assert_eq!(
        contents.lead[1],
        "All pieces lie together in quarry-sheets.pdf. All transfer guides lie together in quarry-transfers.pdf."
    );
    let said = words(&contents);
    for phrase in ["(quarry-transfers.pdf)", "must butt exactly", "nothing is left inside", "have no transfer guide"] {
        assert!(said.contains(phrase), "{phrase}");
    }
    assert!(!said.contains("tweezers"));
}

#[test]
fn a_cone_is_engraved_flat_or_mapped() {
    for (front, bent) in [(84.0, false), (90.0, true)] {
        let mut application = application(Process::Engrave(Engrave::default()), 1);
        application.lenses[0].pieces = vec![piece(Applied::Focus(on(Sense::Clockwise, front)))];
        let said = words(&contents(&application));
        assert_eq!(said.contains("developed (flat) face"), bent);
        assert_eq!(said.contains("mm along the ring's circumference"), !bent);
    }
}
