//! Worked cases (tests/data/worked-optics.json: 12 digits, computed in 30-digit arithmetic from the formula beside each).

use ringwright::calibration::StopReading;
use ringwright::optics::{GearRatio, IrisLaw, IrisShape, ThinLens, ToothSize, TravelLaw};
use ringwright::surface::{Edge, Ring, Surface, arc};
use ringwright::units::{Angle, Distance, Division, Length, Stop, TStop};
use serde_json::Value;

struct Case(Value);

impl Case {
    fn given(&self, key: &str) -> f64 {
        self.0["given"][key].as_f64().unwrap_or_else(|| panic!("{key} in {}", self.0))
    }

    fn length(&self, key: &str) -> Length {
        Length::mm(self.given(key))
    }

    /// Checks one figure to `digits` significant digits.
    fn want(&self, key: &str, actual: f64, digits: i32) {
        let expected = self.0["want"][key].as_f64().unwrap_or_else(|| panic!("{key} in {}", self.0));
        let off = (actual / expected - 1.0).abs();
        assert!(off < 10f64.powi(1 - digits), "{key}: {actual}, expected {expected} in {}", self.0);
    }

    fn lens(&self) -> ThinLens {
        ThinLens { focal_length: self.length("focal_length_mm"), principal_gap: self.length("principal_gap_mm") }
    }
}

#[test]
fn every_worked_case_comes_out() {
    let data: Value = serde_json::from_str(include_str!("data/worked-optics.json")).unwrap();
    let cases = data["cases"].as_array().unwrap();
    for case in cases {
        let case = Case(case.clone());
        match case.0["kind"].as_str().unwrap() {
            "travel" => travel(&case),
            "depth of field" => depth_of_field(&case),
            "stop" => stop(&case),
            "t-stop" => {
                let stop = Stop::from_sixths(case.given("full_stop_index") as i32 * 6);
                case.want("t_stop", TStop::of(stop, case.given("transmittance")).number(), 12);
            }
            "arc" => {
                let turn = Angle::deg(case.given("angle_deg"));
                case.want("arc_mm", arc(case.length("diameter_mm"), case.length("thickness_mm"), turn).to_mm(), 12);
            }
            "cone" => cone(&case),
            "gear" => {
                let (ring, wheel) = (case.given("ring_teeth") as u32, case.given("wheel_teeth") as u32);
                case.want(
                    "wheel_deg",
                    GearRatio::teeth(ring, wheel).wheel_turn(Angle::deg(case.given("ring_deg"))).to_deg(),
                    12,
                );
                case.want("ring_pitch_diameter_mm", ToothSize::FOLLOW_FOCUS.pitch_diameter(ring).to_mm(), 12);
            }
            "iris even" => iris(&case, IrisShape::Even),
            "iris diameter" => iris(&case, IrisShape::Diameter),
            "iris blades" => iris(&case, IrisShape::Blades),
            other => panic!("a case of unknown kind {other}"),
        }
    }
    assert_eq!(cases.len(), 50);
}

/// A lead of 360 mm makes a degree a millimetre.
fn travel(case: &Case) {
    let f = case.length("focal_length_mm");
    let c = f * 2.0 + case.length("principal_gap_mm");
    let law = TravelLaw::from_lead(Angle::ZERO, f, Length::mm(360.0), c);
    let travel = law.angle(Distance::Finite(case.length("distance_mm"))).unwrap().to_deg();
    case.want("travel_mm", travel, 11);
    // m = x / f
    case.want("magnification", travel / f.to_mm(), 11);
}

fn depth_of_field(case: &Case) {
    let stop = Stop::nominal(case.given("nominal_stop"), Division::Full).unwrap();
    let blur = case.length("circle_of_confusion_mm");
    let lens = case.lens();
    let limits = lens.depth_of_field(Distance::Finite(case.length("distance_mm")), stop, blur).unwrap();
    case.want("near_mm", limits.near.to_mm().unwrap(), 11);
    match case.0["want"]["far_mm"].as_f64() {
        Some(_) => case.want("far_mm", limits.far.to_mm().unwrap(), 11),
        None => assert!(limits.far.is_infinite()),
    }
    case.want("hyperfocal_mm", lens.hyperfocal(stop, blur).to_mm(), 11);
}

fn stop(case: &Case) {
    let sixths = match case.0["given"]["full_stop_index"].as_i64() {
        Some(k) => 6 * k,
        None => 2 * case.given("third_stop_index") as i64,
    };
    case.want("f_number", Stop::from_sixths(sixths as i32).number(), 11);
}

fn cone(case: &Case) {
    let ring = Ring {
        rear_diameter: case.length("rear_diameter_mm"),
        front_diameter: case.length("front_diameter_mm"),
        width: case.length("face_width_mm"),
    };
    let surface = Surface::new(&ring, Length::ZERO);
    case.want("sector_deg", case.given("angle_deg") * surface.sine().abs(), 11);
    case.want("rear_slant_radius_mm", ring.rear_diameter.to_mm() / (2.0 * surface.sine().abs()), 12);
    case.want("front_slant_radius_mm", ring.front_diameter.to_mm() / (2.0 * surface.sine().abs()), 12);
    // and in the drawing: three points of the rear edge lie on a circle of the slant radius
    let at = |turn: f64| surface.frame(turn, ring.width.to_mm()) * kurbo::Point::ZERO;
    let (a, b, c) = (at(-40.0), at(0.0), at(40.0));
    let area = 0.5 * (b - a).cross(c - a).abs();
    case.want("rear_slant_radius_mm", a.distance(b) * b.distance(c) * c.distance(a) / (4.0 * area), 8);
    assert!(
        (surface.mm_per_degree(Edge::Rear) * 360.0 / ring.rear_diameter.to_mm() - std::f64::consts::PI).abs() < 1e-12
    );
}

fn iris(case: &Case, shape: IrisShape) {
    let stop = |index: f64| Stop::from_sixths(6 * index as i32);
    let widest = stop(case.given("widest_index"));
    let last = stop(case.given("widest_index") + case.given("stops"));
    let span = Angle::deg(case.given("span_deg"));
    // through the calibration, from readings at both ends
    let readings = [StopReading { stop: widest, at: Angle::ZERO }, StopReading { stop: last, at: span }];
    let choice = match shape {
        IrisShape::Even => ringwright::calibration::IrisChoice::Even,
        IrisShape::Diameter => ringwright::calibration::IrisChoice::Diameter,
        IrisShape::Blades => ringwright::calibration::IrisChoice::Blades,
    };
    let fit = ringwright::calibration::IrisCalibration::new(choice, None, &readings, Angle::deg(0.5)).unwrap();
    assert!(matches!(&fit.law, IrisLaw::Shaped { shape: fitted, .. } if *fitted == shape));
    case.want("angle_deg", fit.law.angle(stop(case.given("index"))).unwrap().to_deg(), 11);
}
