//! Marks of depth of field beside the index, and hyperfocal marks, as tables and for programs.

use super::documents::marks::DepthPair;
use super::table::table;
use super::words::{in_unit, plain, unit_of};
use crate::assembly::{FocusRing, hyperfocal_marks};

/// The pairs for programs.
pub(super) fn depth_pairs(ring: &FocusRing) -> Vec<DepthPair> {
    let pair = |depth: &crate::assembly::DepthPair| {
        let mark = &depth.mark;
        DepthPair {
            stop: mark.stop.number().into(),
            label: mark.label.clone(),
            near_deg: mark.near.into(),
            far_deg: mark.far.into(),
            near_mm: mark.near_arc.into(),
            far_mm: mark.far_arc.into(),
            most_cautious: depth.reach.most_cautious.into(),
        }
    };
    ring.depth.iter().map(pair).collect()
}

/// The pairs as a table, and where each hyperfocal mark stands; nothing where there are none.
pub(super) fn depth_text(ring: &FocusRing) -> String {
    let mut out = String::new();
    if !ring.depth.is_empty() {
        out.push_str("\n  focus, depth of field beside the index\n");
        let row = |depth: &crate::assembly::DepthPair| {
            let mark = &depth.mark;
            vec![
                mark.label.clone(),
                format!("{}°", plain(mark.near.to_deg(), 2)),
                format!("{:.2} mm", mark.near_arc.to_mm()),
                format!("{}°", plain(mark.far.to_deg(), 2)),
                format!("{:.2} mm", mark.far_arc.to_mm()),
                format!("{:.0} %", 100.0 * depth.reach.most_cautious),
            ]
        };
        let rows: Vec<Vec<String>> = ring.depth.iter().map(row).collect();
        out.push_str(&table(&["f/", "near", "arc", "far", "arc", "truly more, at most"], &rows, 1));
    }
    for band in &ring.bands {
        for (stop, mark) in hyperfocal_marks(band) {
            let Some(distance) = crate::assembly::mark_distance(mark.value) else { continue };
            let (label, at) = (&mark.label, in_unit(distance, unit_of(band)));
            out.push_str(&format!("  {label} is the hyperfocal setting of f/{}, {at}\n", stop.label()));
        }
    }
    out
}
