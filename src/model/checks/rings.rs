//! Faces, discs and ticks that cannot be made.

use crate::model::{Refusal, Subject, may_stand_apart};
use crate::surface::Ring;
use crate::units::Length;

/// A cone whose edges differ by more than its face allows.
///
/// ```text
/// |D_rear - D_front| <= 2 w        w: width along the slope
/// ```
///
/// Source: a slope is never shorter than its rise.
pub fn cone(subject: Subject, ring: &Ring) -> Option<Refusal> {
    let difference = (ring.rear_diameter.to_mm() - ring.front_diameter.to_mm()).abs();
    let width = ring.width.to_mm();
    if difference <= 2.0 * width * (1.0 + 1e-9) {
        return None;
    }
    let message = format!("no cone {} wide has diameters {difference:.1} mm apart", ring.width);
    let label = format!("they can differ by twice the width, {}, at most", ring.width * 2.0);
    let refusal = Refusal::new(subject, message, label);
    Some(refusal.way_out("check both diameters, and measure the width along the slope of the face"))
}

/// A hole that leaves nothing of its disc.
pub fn hole(lens: &str, diameter: Length, hole: Length) -> Option<Refusal> {
    (hole >= diameter).then(|| {
        Refusal::new(
            Subject::Disc(lens.to_string()),
            format!("a disc {diameter} across has no hole of {hole}"),
            "less than `diameter`; 0 mm for a disc without a hole",
        )
    })
}

/// A stated gap at which ticks of a width run together.
pub fn ticks_apart(gap: Length, tick_width: Length) -> Option<Refusal> {
    (!may_stand_apart(gap, tick_width)).then(|| {
        Refusal::new(
            Subject::Gap,
            format!("ticks {tick_width} wide and {gap} apart would run together"),
            format!("at least {}, twice `tick_width`", tick_width * 2.0),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(rear: f64, front: f64, width: f64) -> Ring {
        let [rear_diameter, front_diameter, width] = [rear, front, width].map(Length::mm);
        Ring { rear_diameter, front_diameter, width }
    }

    #[test]
    fn a_slope_is_never_shorter_than_its_rise() {
        assert_eq!(cone(Subject::Gap, &ring(84.0, 62.0, 11.0)), None);
        assert_eq!(cone(Subject::Gap, &ring(62.0, 84.0, 11.0)), None);
        let refused = cone(Subject::Gap, &ring(84.0, 61.9, 11.0)).unwrap();
        assert_eq!(refused.message, "no cone 11 mm wide has diameters 22.1 mm apart");
    }

    #[test]
    fn a_hole_is_smaller_than_its_disc() {
        assert_eq!(hole("A", Length::mm(60.0), Length::mm(59.9)), None);
        assert!(hole("A", Length::mm(60.0), Length::mm(60.0)).is_some());
    }

    #[test]
    fn ticks_leave_as_much_ground_as_ink() {
        assert_eq!(ticks_apart(Length::mm(0.6), Length::mm(0.3)), None);
        assert!(ticks_apart(Length::mm(0.59), Length::mm(0.3)).is_some());
    }
}
