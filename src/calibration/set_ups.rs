//! Round distances, which are easily set by tape.

use crate::units::{DistanceUnit, Length};

/// Round steps in mm, each up to a distance in mm (common practice, no source).
const METRES: [(f64, f64); 3] = [(1000.0, 10.0), (3000.0, 50.0), (f64::INFINITY, 100.0)];
const FEET: [(f64, f64); 3] = [(914.4, 12.7), (3048.0, 25.4), (f64::INFINITY, 76.2)];

/// Round distances in mm up to the end of the room, from near to far: centimetres below 1 m, 5 cm to 3 m, 10 cm beyond; or
/// half inches below 3 ft, inches to 10 ft, 3 inches beyond.
pub(super) fn round_distances(tape: DistanceUnit, room: Length) -> Vec<f64> {
    let steps = match tape {
        DistanceUnit::Metre => METRES,
        DistanceUnit::Foot => FEET,
    };
    let mut all = Vec::new();
    let mut from = 0.0;
    for (to, step) in steps {
        let mut count = 1;
        while from + step * f64::from(count) <= f64::min(to, room.to_mm()) + 1e-6 {
            all.push(from + step * f64::from(count));
            count += 1;
        }
        from = to;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn steps_grow_with_the_distance_and_end_with_the_room() {
        let metres = round_distances(DistanceUnit::Metre, Length::mm(3250.0));
        assert_eq!(metres.len(), 100 + 40 + 2);
        assert_eq!(
            [metres[0], metres[99], metres[100], metres[139], metres[141]],
            [10.0, 1000.0, 1050.0, 3000.0, 3200.0]
        );
        let feet = round_distances(DistanceUnit::Foot, Length::mm(12.0 * 304.8));
        assert_eq!(feet.len(), 72 + 84 + 8);
        for (i, feet_and_inches) in [(71, 3.0), (72, 3.0 + 1.0 / 12.0), (155, 10.0), (163, 12.0)] {
            assert_close(feet[i], feet_and_inches * 304.8, 1e-9);
        }
    }
}
