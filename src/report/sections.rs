//! How a scale is divided: in words, and as the very lines of a set file that would fix it.

use crate::assembly::Assembly;
use crate::scale::graduation::Section;
use crate::scale::ladder::{Count, Ladder};
use crate::scale::{Band, BandUnit, Feet, Figures, Inches, UnitSign, ladder_of};
use crate::units::DistanceUnit;

/// The sections of a focus band, one line each: "5′ to 3′: a numeral every 1′, a tick every 3″".
pub(super) fn section_lines(band: &Band, figures: Figures) -> Vec<String> {
    let figures = Figures { sign: UnitSign::Start, ..figures };
    let ladder = ladder_of(band.unit, figures);
    let sign = match (band.unit, figures.feet) {
        (BandUnit::Distance(DistanceUnit::Foot), Feet::Primes | Feet::Words) => "",
        (unit, _) => &format!(" {}", unit.sign()),
    };
    let value = |count: Count| format!("{}{sign}", ladder.label(count, figures));
    let line = |section: &Section| {
        let to = section.to.map_or("the end".to_string(), value);
        let numerals = section.numbered.map(|step| format!("a numeral every {}", value(step)));
        let medium = section.medium.map(|step| format!("a longer tick every {}", value(step)));
        let fine = section.fine.map_or("no ticks".to_string(), |step| format!("a tick every {}", value(step)));
        let parts: Vec<String> = numerals.into_iter().chain(medium).chain([fine]).collect();
        format!("{} to {to}: {}", value(section.from), parts.join(", "))
    };
    band.grounds.sections.iter().map(line).collect()
}

/// The lines of a set file that fix what was chosen of every scale, lens by lens.
pub fn marks_as_keys(lenses: &[Assembly]) -> String {
    let mut out = String::new();
    for assembly in lenses {
        out.push_str(&format!("# {}: below its [[lens]]\n", assembly.lens.name));
        for band in assembly.focus.iter().flat_map(|ring| &ring.bands) {
            out.push_str(&format!("[lens.focus.marks.{}]\n", band.unit.sign()));
            out.push_str(&focus_keys(band, assembly.style().figures));
        }
        if let Some(ring) = &assembly.iris {
            let numbers: Vec<&str> = ring
                .band
                .marks
                .iter()
                .map(|mark| mark.label.as_str())
                .filter(|label| label.parse::<f64>().is_ok())
                .collect();
            out.push_str(&format!("[lens.iris.marks]\nonly = [{}]\n", numbers.join(", ")));
        }
        out.push('\n');
    }
    out
}

fn focus_keys(band: &Band, figures: Figures) -> String {
    let ladder = ladder_of(band.unit, figures);
    let written = |count: Count| format!("\"{}\"", written(ladder, figures, count));
    let numerals: Vec<String> = band.grounds.numerals.iter().map(|count| written(*count)).collect();
    let mut out = format!("only = [{}]\n", numerals.join(", "));
    // sections that differ in their numerals alone are one: the numerals are named above
    let mut sections: Vec<Section> = Vec::new();
    for section in &band.grounds.sections {
        match sections.last_mut() {
            Some(last) if (last.medium, last.fine) == (section.medium, section.fine) => last.to = section.to,
            _ => sections.push(*section),
        }
    }
    let lines: Vec<String> = sections
        .iter()
        .map(|section| {
            let part = |key: &str, count: Option<Count>| count.map(|count| format!("{key} = {}", written(count)));
            let parts = [part("to", section.to), part("medium", section.medium), part("fine", section.fine)];
            parts.into_iter().flatten().collect::<Vec<String>>().join(", ")
        })
        .filter(|parts| !parts.is_empty())
        .map(|parts| format!("    {{ {parts} }},\n"))
        .collect();
    if !lines.is_empty() {
        out.push_str(&format!("steps = [\n{}]\n", lines.concat()));
    }
    out
}

/// A value as the set file writes it.
fn written(ladder: &Ladder, figures: Figures, count: Count) -> String {
    let feet = if figures.feet == Feet::Decimal { Feet::Decimal } else { Feet::Words };
    ladder.label(count, Figures { feet, inches: Inches::Decimal, sign: UnitSign::Each })
}
