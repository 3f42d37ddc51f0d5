//! Two readings whose positions were written down in each other's place, from the file to the message.

use std::path::Path;

use ringwright::assembly::{assembled, lettering};
use ringwright::set::SetFile;

/// A 50 mm lens moved as a whole by 22 mm to the full turn, principal planes 4 mm crossed: D = A/t + C + K t by hand.
const SET: &str = r#"[set]
name = "quarry"
units = ["ft"]
[[lens]]
name = "Granite 50"
focal_length = "50 mm"
widest_stop = 2
[lens.focus]
ring = { diameter = "84 mm", width = "14 mm" }
toward_close = "clockwise"
closest = "2 ft"
readings = [
  { distance = "inf", at = "0 deg" },
  { distance = "20 ft", at = "6.8 deg" },
  { distance = "10 ft", at = "13.9 deg" },
  { distance = "6 ft", at = "23.8 deg" },
  { distance = "4 ft", at = "36.8 deg" },
  { distance = "3 ft", at = "50.6 deg" },
  { distance = "2 ft", at = "82.2 deg" },
]
"#;

fn told(text: &str) -> String {
    let file = SetFile::parse("quarry.toml", text, Path::new("")).map_err(|faults| faults.to_string());
    let file = match file {
        Ok(file) => file,
        Err(told) => return told,
    };
    let lettering = lettering(&file.set).unwrap();
    let lenses = assembled(&file.set, file.set.lenses.iter(), &lettering);
    lenses.err().map_or(String::new(), |refused| file.faults(&refused).to_string())
}

#[test]
fn exchanged_positions_are_named_with_the_exchange() {
    assert_eq!(told(SET), "");
    let exchanged = SET.replace("36.8", "X").replace("50.6", "36.8").replace("X", "50.6");
    let said = told(&exchanged);
    assert!(said.contains("exchange"), "{said}");
    assert!(said.contains("4 ft") && said.contains("3 ft"), "{said}");
}
