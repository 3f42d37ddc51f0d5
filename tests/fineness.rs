//! How fine the shipped faces are: what the house keeps of them against their outlines as a check measures them.

use ringwright::artwork::Ink;
use ringwright::lettering::{Face, Lettering};
use ringwright::process::{Limits, filled, flaws};
use ringwright::units::Length;

/// Large, so that flattening does not show.
const HEIGHT: f64 = 10.0;

/// The smallest stroke, gap, dot and counter of some texts, in numeral heights.
fn measured(lettering: &Lettering, texts: &[&str]) -> [f64; 4] {
    let none = Limits { stroke: Length::ZERO, gap: Length::ZERO, dot: Length::ZERO, counter: Length::ZERO };
    let regions: Vec<_> = texts.iter().map(|text| filled(&lettering.line(text).unwrap().outline, Ink::Black)).collect();
    let least = |limits: &dyn Fn(Length) -> Limits| {
        let passes = |limit: f64| regions.iter().all(|region| flaws(region, &limits(Length::mm(limit))).is_empty());
        let (mut low, mut high) = (0.0, 0.6 * HEIGHT);
        while high - low > 0.005 {
            let middle = 0.5 * (low + high);
            if passes(middle) { low = middle } else { high = middle }
        }
        low / HEIGHT
    };
    [
        least(&|stroke| Limits { stroke, ..none }),
        least(&|gap| Limits { gap, ..none }),
        least(&|dot| Limits { dot, ..none }),
        least(&|counter| Limits { counter, ..none }),
    ]
}

#[test]
fn faces_are_as_fine_as_the_house_takes_them_for() {
    let numbers = ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "1.1", "∞", "1′", "1″", "m", "ft", "f", "T"];
    let fractions = ["½", "¼", "¾"];
    for (name, face) in [("plain", Face::plain()), ("bold", Face::bold()), ("stencil", Face::stencil())] {
        let lettering = Lettering::new(face, Length::mm(HEIGHT)).unwrap();
        println!("{name} {:?} {:?}", measured(&lettering, &numbers), measured(&lettering, &fractions));
        for text in numbers.iter().chain(&fractions) {
            println!("{name} {text} {:?}", measured(&lettering, &[text]));
        }
    }
}
