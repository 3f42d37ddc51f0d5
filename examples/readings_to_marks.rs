//! Four taped readings become the marks of a focus ring, each with its place on the strip and its error.

use ringwright::assembly::{Assembly, lettering, mark_distance};
use ringwright::model::{Focus, Lens, Set};
use ringwright::surface::{Ring, Sense};
use ringwright::units::{Angle, Distance, Length, Stop};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut lens = Lens::new("Sandstone 58", Length::mm(58.0));
    lens.widest_stop = Some(Stop::from_sixths(12));
    let ring = Ring::cylinder(Length::mm(84.0), Length::mm(14.0));
    let mut focus = Focus::new(lens.focal_length, ring, Sense::Clockwise, Length::mm(600.0));
    for (distance, at) in [("inf", 0.0), ("3 m", 28.5), ("1 m", 96.0), ("2 ft", 181.0)] {
        focus.readings.push(focus.taped(distance.parse::<Distance>()?, Angle::deg(at)));
    }
    lens.focus = Some(focus);
    let set = Set::new("Quarry", vec![lens]);
    let lettering = lettering(&set)?;
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering)?;
    let ring = assembly.focus.as_ref().ok_or("the lens has a focus ring")?;
    for band in &ring.bands {
        for mark in band.marks.iter().filter(|mark| mark.numbered()) {
            let error = mark_distance(mark.value).and_then(|distance| ring.budget(assembly.lens, distance));
            let error = error.map_or(String::new(), |error| format!(" ± {:.2} mm", error.arc.to_mm()));
            println!("{:>5} {:2} at {:6.2} mm{error}", mark.label, band.unit.sign(), mark.arc.to_mm());
        }
    }
    Ok(())
}
