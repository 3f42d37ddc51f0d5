//! How fine the shipped faces are: what the house keeps of them, against their outlines as a check measures them.

use ringwright::artwork::Ink;
use ringwright::lettering::{Face, FaceFineness, Lettering};
use ringwright::process::{Cut, Film, Limits, Vinyl, filled, flaws};
use ringwright::units::Length;

const NUMBERS: [&str; 16] = ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "1.1", "∞", "1′", "1″", "f", "T"];
const STOPS: [&str; 7] = ["1", "2", "4", "5", "6", "8", "1.1"];
const SIGNS: [&str; 2] = ["m", "ft"];
const FRACTIONS: [&str; 3] = ["½", "¼", "¾"];

/// The texts that have a flaw in a face at a height, each with its first one.
fn flawed(face: &Face, height: Length, texts: &[&str], limits: &Limits) -> Vec<String> {
    let lettering = Lettering::new(face.clone(), height).unwrap();
    let found = texts.iter().filter_map(|text| {
        let region = filled(&lettering.line(text).unwrap().outline, Ink::Black);
        let first = flaws(&region, limits).into_iter().next()?;
        Some(format!("{text}: {:?} {:.3}", first.feature, first.width.to_mm()))
    });
    found.collect()
}

#[test]
fn faces_can_be_made_from_the_height_on_that_the_house_takes_for_the_lowest() {
    let faces = [
        ("plain", Face::plain(), FaceFineness::PLAIN),
        ("bold", Face::bold(), FaceFineness::BOLD),
        ("stencil", Face::stencil(), FaceFineness::STENCIL),
    ];
    // what each process can make unless told
    let limits =
        [Vinyl::default().limits, Vinyl { cut: Cut::Mask, ..Vinyl::default() }.mark_limits(), Film::default().limits()];
    let mut flawed_at_all: Vec<String> = Vec::new();
    for (name, face, fine) in faces {
        let groups = [
            (&STOPS[..], fine.stops),
            (&NUMBERS[..], fine.numbers),
            (&SIGNS[..], fine.signs),
            (&FRACTIONS[..], fine.fractions),
        ];
        for (texts, fine) in groups {
            let mut tight = 0;
            for limits in &limits {
                let lowest = limits.lowest(&fine);
                for larger in [1.0, 1.03] {
                    let found = flawed(&face, lowest * larger, texts, limits);
                    flawed_at_all.extend(
                        found.iter().map(|found| format!("{name} at {:.2} mm: {found}", (lowest * larger).to_mm())),
                    );
                }
                tight += flawed(&face, lowest * 0.9, texts, limits).len();
            }
            assert!(tight > 0, "{name} {texts:?} could be lower");
        }
    }
    assert!(flawed_at_all.is_empty(), "{flawed_at_all:#?}");
}

#[test]
fn full_stops_in_single_lines_stand_clear_from_seven_widths_of_their_tool_on() {
    single_lines(7.0, &STOPS);
}

#[test]
fn single_lines_stand_clear_from_eight_widths_of_their_tool_on() {
    let texts = ["MIN", "MAX", "ABCD", "2 ft 6 in", "2-6"];
    single_lines(8.0, &[&NUMBERS[..], &SIGNS, &FRACTIONS, &texts].concat());
}

fn single_lines(widths: f64, texts: &[&str]) {
    for tool in [0.1, 0.2, 0.3] {
        let tool = Length::mm(tool);
        let lettering = Lettering::lines(tool * widths, tool).unwrap();
        let limits = Limits { stroke: Length::ZERO, gap: tool * 0.5, dot: Length::ZERO, counter: tool * 0.5 };
        for text in texts {
            let region = filled(&lettering.line(text).unwrap().outline, Ink::Line(tool));
            assert_eq!(flaws(&region, &limits).len(), 0, "{text} {tool:?}");
        }
    }
}
