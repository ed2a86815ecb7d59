//! What is embedded, as it is drawn: heights are true, widths those of a round body of the same volume.

use super::outline::WallPoint;
use crate::pour::{Item, Vessel};
use std::f64::consts::PI;

/// Slices an item is looked at in.
const SLICES: u32 = 24;
/// More of one kind are not drawn; the label says how many there are.
const MOST_DRAWN: u32 = 7;
/// How much of the inner width the bodies beside each other take at most, and the gap between them in widths.
const SHARE: f64 = 0.9;
const GAP: f64 = 0.25;

/// One drawn body: its outline on one side, and where its axis stands.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Body {
    /// Its place among the items.
    pub item: usize,
    /// From the vessel's axis.
    pub axis_mm: f64,
    pub outline: Vec<WallPoint>,
}

impl Body {
    pub fn half_width_mm(&self) -> f64 {
        widest(&self.outline)
    }
}

/// Every body, those at the same height beside each other.
pub(super) fn bodies(vessel: &Vessel, items: &[Item]) -> Vec<Body> {
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by(|&a, &b| items[a].from.get().total_cmp(&items[b].from.get()));
    let mut bodies = Vec::new();
    let mut group: Vec<usize> = Vec::new();
    let mut top_mm = f64::NEG_INFINITY;
    for item in order {
        if items[item].from.get() >= top_mm {
            bodies.extend(beside_each_other(vessel, items, &group));
            group.clear();
        }
        top_mm = top_mm.max(items[item].to_mm());
        group.push(item);
    }
    bodies.extend(beside_each_other(vessel, items, &group));
    bodies
}

fn beside_each_other(vessel: &Vessel, items: &[Item], group: &[usize]) -> Vec<Body> {
    let drawn = group.iter().flat_map(|&item| (0..items[item].count.min(MOST_DRAWN)).map(move |_| item));
    let mut bodies: Vec<Body> = drawn.map(|item| Body { item, axis_mm: 0.0, outline: outline(&items[item]) }).collect();
    let room_mm = group
        .iter()
        .map(|&item| 2.0 * vessel.half_width_mm(f64::midpoint(items[item].from.get(), items[item].to_mm())))
        .fold(f64::INFINITY, f64::min);
    let wanted_mm: f64 = bodies.iter().map(|body| 2.0 * body.half_width_mm() * (1.0 + GAP)).sum();
    let shrink = (SHARE * room_mm / wanted_mm).min(1.0);
    let mut left_mm = -wanted_mm * shrink / 2.0;
    for body in &mut bodies {
        for point in &mut body.outline {
            point.half_width_mm *= shrink;
        }
        let width_mm = 2.0 * body.half_width_mm() * (1.0 + GAP);
        body.axis_mm = left_mm + width_mm / 2.0;
        left_mm += width_mm;
    }
    bodies
}

/// The outline of one body of `item`: area = dV/dh, half width = √(area / π).
fn outline(item: &Item) -> Vec<WallPoint> {
    let (from_mm, height_mm) = (item.from.get(), item.solid.height_mm());
    let slice_mm = height_mm / f64::from(SLICES);
    let below: Vec<f64> = (0..=SLICES).map(|slice| item.solid.volume_below_ml(f64::from(slice) * slice_mm)).collect();
    let slices = below.array_windows().zip(0..SLICES).map(|([low, high], slice)| {
        let area_mm2 = (high - low).max(0.0) * 1000.0 / slice_mm;
        WallPoint { level_mm: from_mm + (f64::from(slice) + 0.5) * slice_mm, half_width_mm: (area_mm2 / PI).sqrt() }
    });
    let mut points: Vec<WallPoint> = slices.collect();
    if let (Some(&first), Some(&last)) = (points.first(), points.last()) {
        points.insert(0, WallPoint { level_mm: from_mm, ..first });
        points.push(WallPoint { level_mm: from_mm + height_mm, ..last });
    }
    points
}

fn widest(outline: &[WallPoint]) -> f64 {
    outline.iter().map(|point| point.half_width_mm).fold(0.0, f64::max)
}
