//! One iris ring becomes a strip at true size, as SVG on standard output.

use ringwright::assembly::{Assembly, lettering};
use ringwright::calibration::StopReading;
use ringwright::model::{Iris, Lens, Set};
use ringwright::process::{ProcessKind, finished};
use ringwright::surface::{Ring, Sense};
use ringwright::units::{Angle, Division, Length, Stop};
use ringwright::write::svg;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let read =
        |number: f64, at: f64| Some(StopReading { stop: Stop::nominal(number, Division::Full)?, at: Angle::deg(at) });
    let readings = [read(2.0, 0.0), read(5.6, 30.0), read(16.0, 60.0)].into_iter().flatten().collect();
    let mut lens = Lens::new("Sandstone 58", Length::mm(58.0));
    lens.iris = Some(Iris::new(Ring::cylinder(Length::mm(78.0), Length::mm(9.0)), Sense::Clockwise, readings));
    let set = Set::new("Quarry", vec![lens]).made_by(ProcessKind::Film);
    let lettering = lettering(&set)?;
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering)?;
    let (_, strip) = assembly.strips()?.remove(0);
    print!("{}", svg(&finished(&strip, &set.process)?.drawing));
    Ok(())
}
