//! What exposures say of an iris ring, as text and for programs.

use super::cell;
use super::documents::fit::{ExposureResidual, Light, Transmittance, WideOpen};
use super::documents::law::Mechanism;
use super::documents::values::Number;
use super::table::table;
use super::words::{plain, signed};
use crate::assembly::IrisRing;
use crate::calibration::{Exposure, ExposureUse, LightCalibration};

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

/// The same for programs; nothing without exposures.
pub(super) fn light(ring: &IrisRing) -> Option<Light> {
    let light = ring.light.as_ref()?;
    let law = &ring.calibration.law;
    let exposure = |(exposure, off, used): &(Exposure, Option<f64>, ExposureUse)| {
        let per_stop = law.stop(exposure.at).and_then(|stop| law.degrees_per_stop(stop));
        let on_the_law = off.filter(|_| *used == ExposureUse::Law);
        let degrees = on_the_law.zip(per_stop).map(|(off, per_stop)| off * per_stop);
        ExposureResidual {
            at_deg: exposure.at.into(),
            stops: exposure.stops.into(),
            error_stops: off.map(Number::from),
            used: *used,
            error_deg: degrees.map(Number::from),
            error_mm: degrees.map(|degrees| Number::from(degrees * ring.mm_per_degree)),
        }
    };
    Some(Light {
        exposures: light.exposures.iter().map(exposure).collect(),
        transmittance: light.transmittance.map(|tau| Transmittance {
            value: tau.value().into(),
            sigma: tau.sigma().into(),
            stops: tau.stops.into(),
            sigma_stops: tau.sigma_stops.into(),
        }),
        mechanism: light.t_law.as_ref().map(|t_law| Mechanism(t_law.mechanism)),
        widest_t_stop: light.t_law.as_ref().map(|t_law| t_law.widest.number().into()),
        wide_open: light
            .wide_open
            .map(|open| WideOpen { short_stops: open.short.into(), sigma_stops: open.sigma.into() }),
    })
}
