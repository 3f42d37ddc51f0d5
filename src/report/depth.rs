//! Marks of depth of field beside the index, and hyperfocal marks, as tables and JSON.

use serde_json::{Value, json};

use super::number;
use super::table::table;
use super::words::{in_unit, plain};
use crate::assembly::{FocusRing, hyperfocal_marks};
use crate::scale::Mark;

/// One object for each pair of marks.
pub(super) fn depth_json(ring: &FocusRing) -> Vec<Value> {
    let pair = |depth: &crate::assembly::DepthPair| {
        let mark = &depth.mark;
        json!({
            "stop": number(mark.stop.number(), 6),
            "label": mark.label,
            "near_deg": number(mark.near.to_deg(), 6),
            "far_deg": number(mark.far.to_deg(), 6),
            "near_mm": number(mark.near_arc.to_mm(), 6),
            "far_mm": number(mark.far_arc.to_mm(), 6),
            "most_cautious": number(depth.reach.most_cautious, 6),
        })
    };
    ring.depth.iter().map(pair).collect()
}

/// What a hyperfocal mark's object says besides.
pub(super) fn with_hyperfocal(mut object: Value, mark: &Mark) -> Value {
    if let (Some(stop), Some(fields)) = (mark.hyperfocal, object.as_object_mut()) {
        fields.insert("hyperfocal_stop".into(), number(stop.number(), 6));
    }
    object
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
            let (label, at) = (&mark.label, in_unit(distance, band.unit));
            out.push_str(&format!("  {label} is the hyperfocal setting of f/{}, {at}\n", stop.label()));
        }
    }
    out
}
