//! The order in which every format draws: layers of one kind and ink together, where the first of them stands.

use crate::artwork::{Drawing, Group, Ink, LayerKind};

/// Everything of one kind and ink.
pub(super) struct Drawn<'a> {
    pub(super) kind: LayerKind,
    pub(super) ink: Ink,
    pub(super) groups: Vec<&'a Group>,
}

/// The layers that hold anything, from the bottom up.
pub(super) fn drawn(drawing: &Drawing) -> Vec<Drawn<'_>> {
    let mut all: Vec<Drawn<'_>> = Vec::new();
    for layer in drawing.layers.iter().filter(|layer| !layer.groups.is_empty()) {
        match all.iter_mut().find(|known| (known.kind, known.ink) == (layer.kind, layer.ink)) {
            Some(known) => known.groups.extend(&layer.groups),
            None => all.push(Drawn { kind: layer.kind, ink: layer.ink, groups: layer.groups.iter().collect() }),
        }
    }
    all
}
