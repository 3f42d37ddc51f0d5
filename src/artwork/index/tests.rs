//! Tests of index plates.

use super::*;
use crate::artwork::sample::look;
use crate::check::assert_close;
use crate::lettering::Face;

fn depth(label: &str, near: f64, far: f64) -> DepthMark {
    let stop = Stop::from_sixths(36);
    let (near_arc, far_arc) = (Length::mm(near), Length::mm(far));
    DepthMark { stop, label: label.into(), near: Angle::deg(near), far: Angle::deg(far), near_arc, far_arc }
}

fn plate(index: Edge, sense: Sense, read_from: Edge, depth: Vec<DepthMark>) -> Strip {
    let lettering = Lettering::new(Face::plain(), Length::mm(2.0)).unwrap();
    let plate = IndexPlate { index, copies: 1, sense, read_from, depth };
    index_plates("Sample", &look(None), &lettering, &[plate]).unwrap()
}

fn groups(strip: &Strip, kind: LayerKind) -> &[Group] {
    strip.drawing.layers.iter().find(|layer| layer.kind == kind).map_or(&[], |layer| &layer.groups)
}

#[test]
fn nearer_lies_to_the_left_of_the_index_on_a_ring_that_turns_clockwise_toward_close() {
    for (sense, near_side) in [(Sense::Clockwise, -1.0), (Sense::Counterclockwise, 1.0)] {
        for index in [Edge::Rear, Edge::Front] {
            let strip = plate(index, sense, Edge::Rear, vec![depth("8", 5.0, 3.5)]);
            let line = groups(&strip, LayerKind::Index)[0].path.bounding_box().center().x;
            for tick in groups(&strip, LayerKind::Ticks) {
                let at = tick.path.bounding_box().center().x - line;
                // the near side's angle on the ring grows toward close
                let near = tick.tag.as_ref().unwrap().angle.to_deg() > 0.0;
                assert_close(at, if near { 5.0 * near_side } else { -3.5 * near_side }, 1e-9);
            }
            assert_eq!(groups(&strip, LayerKind::Ticks).len(), 2);
        }
    }
}

#[test]
fn numerals_stand_beyond_their_ticks_within_the_plate_whichever_way_up() {
    for index in [Edge::Rear, Edge::Front] {
        for read_from in [Edge::Rear, Edge::Front] {
            let strip = plate(index, Sense::Clockwise, read_from, vec![depth("8", 5.0, 3.5)]);
            let drawing = &strip.drawing;
            let page = Rect::new(0.0, 0.0, drawing.width.to_mm(), drawing.height.to_mm());
            for (tick, numeral) in groups(&strip, LayerKind::Ticks).iter().zip(groups(&strip, LayerKind::Numerals)) {
                let (tick, ink) = (tick.path.bounding_box(), numeral.path.bounding_box());
                assert_close(tick.center().x, ink.center().x, 0.03);
                let between = if index == Edge::Rear { ink.y0 - tick.y1 } else { tick.y0 - ink.y1 };
                // 0.3 numeral heights, less what a round figure overshoots
                assert_close(between, 0.6, 0.06);
                assert!(page.contains_rect(ink) && page.contains_rect(tick.inflate(-1e-9, -1e-9)), "{ink:?}");
                let up = numeral.frame.as_coeffs()[3];
                assert_close(up, if read_from == Edge::Rear { 1.0 } else { -1.0 }, 1e-9);
            }
        }
    }
}

#[test]
fn a_plate_grows_with_its_marks_and_one_without_stays_as_it_was() {
    let bare = plate(Edge::Rear, Sense::Clockwise, Edge::Rear, vec![]);
    assert_eq!((bare.drawing.width.to_mm(), bare.drawing.height.to_mm()), (8.0, 5.0));
    let wide = plate(Edge::Rear, Sense::Clockwise, Edge::Rear, vec![depth("8", 5.0, 3.5), depth("11", 7.0, 5.5)]);
    assert!(wide.drawing.width.to_mm() > 2.0 * (7.0 + 1.2) && wide.drawing.width.to_mm() < 2.0 * (7.0 + 1.2 + 2.0));
    let line = groups(&wide, LayerKind::Index)[0].path.bounding_box();
    assert_close(line.center().x, 0.5 * wide.drawing.width.to_mm(), 1e-9);
}

#[test]
fn a_tool_follows_the_middle_of_every_tick_and_numeral() {
    let lettering = Lettering::lines(Length::mm(2.0), Length::mm(0.2)).unwrap();
    let marks = vec![depth("11", 5.0, 3.5)];
    let plate =
        IndexPlate { index: Edge::Rear, copies: 2, sense: Sense::Clockwise, read_from: Edge::Rear, depth: marks };
    let strip = index_plates("Sample", &look(Some(0.2)), &lettering, &[plate]).unwrap();
    for kind in [LayerKind::Ticks, LayerKind::Numerals, LayerKind::Index] {
        let layer = strip.drawing.layers.iter().find(|layer| layer.kind == kind).unwrap();
        assert_eq!(layer.ink, Ink::Line(Length::mm(0.2)));
    }
    assert_eq!(groups(&strip, LayerKind::Ticks).len(), 4);
}
