//! What exposures say of an iris ring, as text, JSON and rows of a CSV.

use serde_json::{Value, json};

use super::table::table;
use super::words::{plain, signed};
use super::{cell, number};
use crate::assembly::IrisRing;
use crate::calibration::{Exposure, ExposureUse, LightCalibration, Transmittance};

fn use_words(used: ExposureUse) -> &'static str {
    match used {
        ExposureUse::Law => "",
        ExposureUse::Itself => "by itself",
        ExposureUse::LeftOut => "left out",
    }
}

/// The section of the calibration report; nothing without exposures.
pub(super) fn text(ring: &IrisRing) -> String {
    let Some(light) = &ring.light else { return String::new() };
    let rows: Vec<Vec<String>> = light
        .exposures
        .iter()
        .enumerate()
        .map(|(i, (exposure, off, used))| {
            vec![
                (i + 1).to_string(),
                format!("{}°", plain(exposure.at.to_deg(), 2)),
                format!("{} stop", signed(exposure.stops, 2)),
                cell(off.map(|off| format!("{} stop", signed(off, 2)))),
                use_words(*used).to_string(),
            ]
        })
        .collect();
    let mut out = table(&["exposure", "read at", "brightness", "off the law", ""], &rows, 0);
    out.push_str(&format!("    {}\n", transmittance(ring, light)));
    if let Some(open) = light.wide_open {
        let (less, by) = (open.short >= 0.0, open.short.abs());
        out.push_str(&format!(
            "    wide open {by:.2} ± {:.2} stop {} than the stopped-down exposures promise\n",
            open.sigma,
            if less { "darker" } else { "brighter" }
        ));
    }
    out
}

fn transmittance(ring: &IrisRing, light: &LightCalibration) -> String {
    match light.transmittance {
        Some(tau) => format!(
            "transmittance {:.2} ± {:.2}, {:.2} stop {}",
            tau.value(),
            tau.sigma(),
            tau.stops.abs(),
            if tau.stops > 0.0 { "gained" } else { "lost" }
        ),
        None if ring.iris.readings.is_empty() => {
            "transmittance unknown: no reading tells the f-stops; the T-stops come from the light alone".into()
        }
        None => {
            let stated = ring.iris.transmittance.filter(|_| ring.iris.t_scale);
            let anchor = stated.map_or(String::new(), |tau| format!("; the T scale takes the stated {tau}"));
            format!(
                "transmittance not measured: that takes the same card through a lens of known T-stop, `exposure_reference`{anchor}"
            )
        }
    }
}

/// Adds `light` to the ring's JSON, where exposures were taken.
pub(super) fn add_json(ring: &IrisRing, value: &mut Value) {
    let (Some(light), Some(object)) = (&ring.light, value.as_object_mut()) else { return };
    let exposures: Vec<Value> = light
        .exposures
        .iter()
        .map(|(exposure, off, used)| {
            json!({
                "at_deg": number(exposure.at.to_deg(), 6),
                "stops": number(exposure.stops, 6),
                "error_stops": off.map(|off| number(off, 6)),
                "use": match used {
                    ExposureUse::Law => "law",
                    ExposureUse::Itself => "itself",
                    ExposureUse::LeftOut => "left out",
                },
            })
        })
        .collect();
    let tau = |tau: Transmittance| {
        json!({
            "value": number(tau.value(), 6),
            "sigma": number(tau.sigma(), 6),
            "stops": number(tau.stops, 6),
            "sigma_stops": number(tau.sigma_stops, 6),
        })
    };
    let light = json!({
        "exposures": exposures,
        "transmittance": light.transmittance.map(tau),
        "mechanism": light.t_law.as_ref().map(|t_law| t_law.mechanism),
        "widest_t_stop": light.t_law.as_ref().map(|t_law| number(t_law.widest.number(), 6)),
        "wide_open": light.wide_open.map(|open| {
            json!({ "short_stops": number(open.short, 6), "sigma_stops": number(open.sigma, 6) })
        }),
    });
    object.insert("light".into(), light);
}

/// One row an exposure, in the columns of the readings: the value is the brightness in stops.
pub(super) fn csv_rows(lens: &str, ring: &IrisRing) -> Vec<Vec<String>> {
    let Some(light) = &ring.light else { return Vec::new() };
    let row = |(i, (exposure, off, used)): (usize, &(Exposure, Option<f64>, ExposureUse))| {
        let law = &ring.calibration.law;
        let per_stop = law.stop(exposure.at).and_then(|stop| law.degrees_per_stop(stop));
        let on_the_law = off.filter(|_| *used == ExposureUse::Law);
        let degrees = on_the_law.zip(per_stop).map(|(off, per_stop)| off * per_stop);
        vec![
            lens.to_string(),
            "iris light".into(),
            (i + 1).to_string(),
            number(exposure.stops, 6).to_string(),
            number(exposure.at.to_deg(), 4).to_string(),
            cell(degrees.map(|degrees| number(degrees, 4))),
            cell(degrees.map(|degrees| number(degrees * ring.mm_per_degree, 4))),
            String::new(),
            String::new(),
        ]
    };
    light.exposures.iter().enumerate().map(row).collect()
}
