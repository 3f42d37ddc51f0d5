//! Faces of rings: a turn and a height on the face become a place on flat artwork.
//!
//! Takes the face's diameters, its width and the thickness of what is wrapped round it; gives places in mm, x to the
//! right (clockwise as seen from behind the camera), y down from the front edge. A strip's neutral layer lies at
//! mid-thickness, so a strip of thickness t is as long as the circumference at D + t.
//!
//! Sources: mean diameter of a rolled plate (TAFE NSW, "What is meant by mean diameter"); the flat pattern of a cone is
//! a sector of the slant radius whose angle is the turn times the sine of the half angle ("Cones", anvilfire.com).
//!
//! ```
//! use ringwright::surface::{arc, turn};
//! use ringwright::units::{Angle, Length};
//!
//! // a quarter of a ring 84 mm across, film 0.1 mm thick
//! let along = arc(Length::mm(84.0), Length::mm(0.1), Angle::deg(90.0));
//! assert!((along.to_mm() - 66.05).abs() < 0.01);
//! // and an old mark 38.3 mm along a bare ring of 61 mm
//! assert!((turn(Length::mm(61.0), Length::mm(38.3)).to_deg() - 71.9).abs() < 0.1);
//! ```

use kurbo::{Affine, Point, Vec2};

use crate::units::{Angle, Length};

/// The face of a ring that carries a strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Diameter at the rear edge of the face.
    pub rear_diameter: Length,
    /// Diameter at the front edge; equal to the rear one on a cylinder.
    pub front_diameter: Length,
    /// Width of the face, measured along it.
    pub width: Length,
}

impl Ring {
    /// A ring of one diameter.
    pub fn cylinder(diameter: Length, width: Length) -> Ring {
        Ring { rear_diameter: diameter, front_diameter: diameter, width }
    }
}

/// A sense of rotation as seen from behind the camera.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// With the hands of a clock.
    Clockwise,
    /// Against them.
    Counterclockwise,
}

impl Sense {
    /// Sign of a turn in this sense along a strip's x, which runs to the right, clockwise as seen from behind the camera:
    /// +1 for clockwise, -1 for counterclockwise.
    pub const fn sign(self) -> f64 {
        match self {
            Sense::Clockwise => 1.0,
            Sense::Counterclockwise => -1.0,
        }
    }

    /// Sign of x at the close marks, seen from infinity, of a ring that turns in this sense toward close focus: -1 (to the
    /// LEFT of infinity) for clockwise, +1 (to the right) for counterclockwise.
    ///
    /// The index is fixed and the ring turns under it, so a mark lies on the side that the ring turns away from. The same
    /// holds for the closed marks of an iris ring that turns in this sense toward closed.
    pub const fn close_marks_sign(self) -> f64 {
        -self.sign()
    }

    /// The side of [`close_marks_sign`](Self::close_marks_sign) in a word: `left` for clockwise, `right` for
    /// counterclockwise.
    pub const fn close_marks_side(self) -> &'static str {
        match self {
            Sense::Clockwise => "left",
            Sense::Counterclockwise => "right",
        }
    }

    /// The other sense.
    pub const fn opposite(self) -> Sense {
        match self {
            Sense::Clockwise => Sense::Counterclockwise,
            Sense::Counterclockwise => Sense::Clockwise,
        }
    }

    /// The sense in a word: `clockwise` or `counterclockwise`.
    pub const fn word(self) -> &'static str {
        match self {
            Sense::Clockwise => "clockwise",
            Sense::Counterclockwise => "counterclockwise",
        }
    }
}

/// An edge of a ring's face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Toward the camera.
    Rear,
    /// Toward the subject.
    Front,
}

/// Length along a strip of `thickness` round a `diameter` for a turn.
///
/// ```text
/// s = pi (D + t) angle / 360
/// ```
pub fn arc(diameter: Length, thickness: Length, angle: Angle) -> Length {
    Length::mm(std::f64::consts::PI * (diameter + thickness).to_mm() * angle.to_deg() / 360.0)
}

/// Turn for a length along a ring's bare circumference, for an old scale that was copied with a paper strip.
pub fn turn(diameter: Length, along: Length) -> Angle {
    Angle::deg(360.0 * along.to_mm() / (std::f64::consts::PI * diameter.to_mm()))
}

/// The flat pattern of a strip on a ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surface {
    rear: f64,
    front: f64,
    width: f64,
}

/// A cone this near to a cylinder is one: its slant radius is over 50 m and a strip's bend under a micrometre.
const CYLINDER_SINE: f64 = 1e-6;

impl Surface {
    /// The flat pattern for a strip of `thickness`.
    pub fn new(ring: &Ring, thickness: Length) -> Self {
        Surface {
            rear: (ring.rear_diameter + thickness).to_mm(),
            front: (ring.front_diameter + thickness).to_mm(),
            width: ring.width.to_mm(),
        }
    }

    /// A flat disc seen from its marked face: its rim is the front edge, and heights grow toward its centre. The cone
    /// whose half angle is 90 degrees.
    pub fn disc(rim: Length, depth: Length) -> Self {
        Surface { rear: (rim - depth * 2.0).to_mm(), front: rim.to_mm(), width: depth.to_mm() }
    }

    /// Sine of the cone's half angle, positive where the front is the wider end.
    ///
    /// ```text
    /// sin(half angle) = (R_front - R_rear) / face width
    /// ```
    pub fn sine(&self) -> f64 {
        (self.front - self.rear) / (2.0 * self.width)
    }

    /// Width of the face.
    pub fn width(&self) -> Length {
        Length::mm(self.width)
    }

    /// Millimetres along the strip to a degree of the ring, at one edge.
    pub fn mm_per_degree(&self, edge: Edge) -> f64 {
        std::f64::consts::PI * self.diameter(edge) / 360.0
    }

    /// How much shorter an arc is at the narrower edge than at this one: 1 or less.
    pub fn narrowing(&self, edge: Edge) -> f64 {
        self.rear.min(self.front) / self.diameter(edge)
    }

    fn diameter(&self, edge: Edge) -> f64 {
        match edge {
            Edge::Rear => self.rear,
            Edge::Front => self.front,
        }
    }

    /// The frame at a turn (degrees to the right of the strip's middle) and a height (mm below the front edge): its
    /// origin is the place, its x runs along the strip, its y toward the rear.
    pub fn frame(&self, turn_deg: f64, height: f64) -> Affine {
        let sine = self.sine();
        if self.straight() {
            let x = std::f64::consts::PI * 0.5 * (self.rear + self.front) * turn_deg / 360.0;
            return Affine::translate((x, height));
        }
        // signed slant radius from the apex: negative where the apex lies in front
        let slant = self.front / (2.0 * sine) - height;
        let bend = (turn_deg * sine).to_radians();
        let apex = Point::new(0.0, self.front / (2.0 * sine));
        let place = apex + Vec2::new(slant * bend.sin(), -slant * bend.cos());
        Affine::translate(place.to_vec2()) * Affine::rotate(bend)
    }

    /// Whether the face is a cylinder, or so near to one that its strip is straight.
    pub fn straight(&self) -> bool {
        self.sine().abs() < CYLINDER_SINE
    }

    /// The turn and the height at a place: the inverse of [`frame`](Self::frame).
    ///
    /// On a cone it is unique only within half a turn of the flat pattern from its middle.
    pub fn turn_and_height(&self, place: Point) -> (f64, f64) {
        if self.straight() {
            return (place.x * 360.0 / (std::f64::consts::PI * 0.5 * (self.rear + self.front)), place.y);
        }
        let sine = self.sine();
        let apex = self.front / (2.0 * sine);
        let from_apex = place - Point::new(0.0, apex);
        let slant = from_apex.hypot() * apex.signum();
        let bend = (from_apex.x / slant).atan2(-from_apex.y / slant);
        (bend.to_degrees() / sine, apex - slant)
    }

    /// Degrees between points of a curved edge drawn as a polygon, so that it strays less than a micrometre.
    pub fn chord_deg(&self) -> f64 {
        let sine = self.sine().abs();
        if sine < CYLINDER_SINE {
            return 360.0;
        }
        let radius = self.rear.max(self.front) / (2.0 * sine);
        ((8.0 * 0.001 / radius).sqrt().to_degrees() / sine).min(5.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    fn cone(rear: f64, front: f64, width: f64) -> Surface {
        let ring =
            Ring { rear_diameter: Length::mm(rear), front_diameter: Length::mm(front), width: Length::mm(width) };
        Surface::new(&ring, Length::ZERO)
    }

    #[test]
    fn a_strip_that_closes_is_as_long_as_the_mean_circumference() {
        // TAFE NSW, mean diameter: plate 10 mm, outside 650 mm, mean 640 mm, length 2010.62 mm
        let length = arc(Length::mm(630.0), Length::mm(10.0), Angle::deg(360.0));
        assert_close(length.to_mm(), 2010.62, 0.005);
    }

    #[test]
    fn a_cone_of_ninety_degrees_unrolls_to_254_6_degrees() {
        // anvilfire.com, cones: 0.7071 x 360 = 254.6
        let width = 10.0 * 2f64.sqrt();
        let cone = cone(40.0, 60.0, width);
        assert_close(360.0 * cone.sine(), 254.56, 0.01);
    }

    #[test]
    fn any_way_over_a_cone_is_as_long_on_its_flat_pattern() {
        // integrated in space, on r = R_front - (R_front - R_rear) s / w at depth z = s cos(half angle); the pattern knows
        // nothing of space
        for (rear, front, width) in [(82.0, 84.5, 20.0), (95.0, 80.0, 20.0), (60.0, 20.0, 25.0), (80.0, 80.0, 14.0)] {
            let cone = cone(rear, front, width);
            let (sine, steps) = ((front - rear) / (2.0 * width), 20_000_u32);
            let way = |k: usize| {
                let at = k as f64 / f64::from(steps);
                // a wave that climbs while it turns
                (-120.0 + 240.0 * at, width * (0.5 + 0.45 * (7.0 * at).sin()))
            };
            let in_space = |(turn, height): (f64, f64)| {
                let radius = 0.5 * front - sine * height;
                let (sin, cos) = turn.to_radians().sin_cos();
                [radius * cos, radius * sin, height * (1.0 - sine * sine).sqrt()]
            };
            let (mut space, mut flat) = (0.0, 0.0);
            for k in 0..steps as usize {
                let (a, b) = (in_space(way(k)), in_space(way(k + 1)));
                space += a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt();
                let place = |(turn, height): (f64, f64)| cone.frame(turn, height) * Point::ZERO;
                flat += place(way(k)).distance(place(way(k + 1)));
            }
            assert_close(flat, space, 1e-5 * space);
        }
    }

    #[test]
    fn a_disc_is_the_cone_of_ninety_degrees_and_its_marks_lie_on_circles() {
        let disc = Surface::disc(Length::mm(60.0), Length::mm(20.0));
        assert_close(disc.sine(), 1.0, 1e-12);
        for turn in [-170.0, -90.0, 0.0, 45.0, 180.0] {
            let (rim, inner) = (disc.frame(turn, 0.0) * Point::ZERO, disc.frame(turn, 12.0) * Point::ZERO);
            let centre = Point::new(0.0, 30.0);
            assert_close(rim.distance(centre), 30.0, 1e-9);
            assert_close(inner.distance(centre), 18.0, 1e-9);
            // clockwise from the top, as a clock's hand
            let from_top = (rim.x - centre.x).atan2(centre.y - rim.y).to_degrees();
            assert_close((from_top - turn).rem_euclid(360.0).min((turn - from_top).rem_euclid(360.0)), 0.0, 1e-9);
        }
        assert_close(disc.mm_per_degree(Edge::Front) * 360.0, std::f64::consts::PI * 60.0, 1e-9);
    }

    #[test]
    fn a_nearly_straight_cone_is_the_cylinder() {
        let (flat, bent) = (cone(80.0, 80.0, 12.0), cone(80.0, 80.000_1, 12.0));
        for turn in [-150.0, 0.0, 90.0] {
            let (a, b) = (flat.frame(turn, 3.0) * Point::ZERO, bent.frame(turn, 3.0) * Point::ZERO);
            assert_close(a.x, b.x, 1e-3);
            assert_close(a.y, b.y, 1e-2);
        }
    }

    #[test]
    fn arcs_drawn_on_a_cone_are_as_long_as_on_the_ring() {
        // measured along the drawing, both ways round, and on a ring that tapers by three hundredths of a millimetre
        for (rear, front) in [(82.0, 84.5), (95.0, 80.0), (84.0, 84.03)] {
            let cone = cone(rear, front, 20.0);
            for (height, diameter) in [(0.0, front), (20.0, rear)] {
                let mut length = 0.0;
                for i in 0..2000 {
                    let at = |k: i32| cone.frame(-100.0 + f64::from(k) * 0.1, height) * Point::ZERO;
                    length += at(i).distance(at(i + 1));
                }
                assert_close(length, std::f64::consts::PI * diameter * 200.0 / 360.0, 1e-3);
            }
            let across = (cone.frame(33.0, 0.0) * Point::ZERO).distance(cone.frame(33.0, 20.0) * Point::ZERO);
            assert_close(across, 20.0, 1e-9);
        }
    }

    #[test]
    fn a_ring_that_turns_clockwise_toward_close_carries_its_close_marks_to_the_left_of_infinity() {
        for (sense, word, side) in
            [(Sense::Clockwise, "clockwise", "left"), (Sense::Counterclockwise, "counterclockwise", "right")]
        {
            assert_eq!((sense.word(), sense.close_marks_side()), (word, side));
            // x grows to the right
            assert_eq!(sense.close_marks_sign() < 0.0, side == "left", "{word}");
        }
    }

    #[test]
    fn a_close_mark_comes_under_the_index_when_its_ring_is_turned_to_it() {
        let cylinder = cone(80.0, 80.0, 14.0);
        for sense in [Sense::Clockwise, Sense::Counterclockwise] {
            // infinity at the index, x = 0; the close mark 30 degrees from it
            let mark = sense.close_marks_sign() * 30.0;
            // to the right is clockwise as seen from behind the camera, so a clockwise turn moves every mark to the right
            let turned = mark + sense.sign() * 30.0;
            assert!((cylinder.frame(mark, 0.0) * Point::ZERO).x.abs() > 20.0);
            assert_close((cylinder.frame(turned, 0.0) * Point::ZERO).x, 0.0, 1e-12);
        }
        assert!((cylinder.frame(Sense::Clockwise.sign(), 0.0) * Point::ZERO).x > 0.0);
    }

    #[test]
    fn the_opposite_sense_turns_back() {
        for sense in [Sense::Clockwise, Sense::Counterclockwise] {
            assert_eq!(sense.opposite().opposite(), sense);
            assert_close(sense.sign() + sense.opposite().sign(), 0.0, 0.0);
            assert_ne!(sense.word(), sense.opposite().word());
        }
    }

    #[test]
    fn places_lead_back_to_their_turn_and_height() {
        for (rear, front) in [(80.0, 80.0), (82.0, 84.5), (95.0, 80.0), (60.0, 20.0)] {
            let cone = cone(rear, front, 20.0);
            for (turn, height) in [(-140.0, 0.0), (0.0, 20.0), (77.7, 3.3), (150.0, 19.0)] {
                let (back, down) = cone.turn_and_height(cone.frame(turn, height) * Point::ZERO);
                assert_close(back, turn, 1e-9);
                assert_close(down, height, 1e-9);
            }
        }
    }

    #[test]
    fn the_front_edge_is_at_the_top_and_right_is_right() {
        for (rear, front) in [(80.0, 80.0), (82.0, 84.5), (95.0, 80.0)] {
            let cone = cone(rear, front, 20.0);
            assert!((cone.frame(0.0, 0.0) * Point::ZERO).y < (cone.frame(0.0, 20.0) * Point::ZERO).y);
            assert!((cone.frame(10.0, 5.0) * Point::ZERO).x > 1.0);
        }
    }

    #[test]
    fn a_length_along_an_old_ring_is_the_turn_that_it_covers() {
        // a paper strip once round: pi D is a whole turn; independent: the way of a point on the circle, in small steps
        let radius = 31.0;
        let way = |turn: f64| {
            let at = |k: u32| {
                let (sin, cos) = (turn * f64::from(k) / 1e4).to_radians().sin_cos();
                Point::new(radius * cos, radius * sin)
            };
            (0..10_000).map(|k| at(k).distance(at(k + 1))).sum::<f64>()
        };
        for degrees in [5.0, 113.4, 360.0] {
            assert_close(turn(Length::mm(62.0), Length::mm(way(degrees))).to_deg(), degrees, 1e-5);
        }
    }

    #[test]
    fn a_thicker_strip_is_longer_by_pi_times_its_thickness_and_a_face_is_narrowed_toward_its_thin_end() {
        let ring = |front: f64, thickness: f64| {
            let (rear_diameter, front_diameter) = (Length::mm(84.0), Length::mm(front));
            Surface::new(&Ring { rear_diameter, front_diameter, width: Length::mm(11.0) }, Length::mm(thickness))
        };
        for edge in [Edge::Rear, Edge::Front] {
            let longer = (ring(78.0, 0.3).mm_per_degree(edge) - ring(78.0, 0.0).mm_per_degree(edge)) * 360.0;
            assert_close(longer, std::f64::consts::PI * 0.3, 1e-9);
        }
        for (front, narrow) in [(78.0, Edge::Front), (90.0, Edge::Rear)] {
            let face = ring(front, 0.0);
            assert_close(face.width().to_mm(), 11.0, 0.0);
            let arc = |edge| face.mm_per_degree(edge);
            for edge in [Edge::Rear, Edge::Front] {
                assert_close(face.narrowing(edge), arc(narrow) / arc(edge), 1e-12);
            }
        }
    }

    #[test]
    fn a_curved_edge_drawn_in_chords_strays_by_a_micrometre_at_most() {
        for (rear, front) in [(95.0, 80.0), (60.0, 20.0), (70.0, 76.0)] {
            let cone = cone(rear, front, 20.0);
            // the wider edge bends the farthest out; measured from the middle of a chord to the edge
            let height = if rear > front { 20.0 } else { 0.0 };
            let at = |turn: f64| cone.frame(turn, height) * Point::ZERO;
            let chord = cone.chord_deg();
            let strays = at(0.0).midpoint(at(chord)).distance(at(0.5 * chord));
            assert!(strays < 0.001 + 1e-6, "{strays}");
            // and no more chords are drawn than that needs
            assert!(strays > 0.0009, "{strays} at {chord} degrees");
        }
        assert_close(cone(80.0, 80.0, 20.0).chord_deg(), 360.0, 0.0);
    }
}
