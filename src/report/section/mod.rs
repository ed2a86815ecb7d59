//! A vessel in section, drawn as SVG: its layers at their levels, what is embedded, the fill and the brim.
//!
//! Readable without colour: every layer has its line, its number and its levels, every item its name.

mod bodies;
mod labels;
mod outline;
pub(super) mod path;
mod scale;
pub(super) mod spread;
#[cfg(test)]
mod tests;
mod words;

use crate::pour::{Item, Vessel};
use bodies::bodies;
use labels::Side;
use maud::{Markup, html};
use outline::wall;
use path::{closed, line, open, units};
use scale::Sizing;

/// How pages colour the drawing; the variables in it are the page's.
pub const STYLE: &str = include_str!("section.css");

const WIDTH: f64 = 700.0;
const MARGIN: f64 = 12.0;
/// Where the vessel's axis stands: in the middle between the labels.
const AXIS: f64 = 380.0;

/// One layer in the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    pub number: u32,
    pub from_mm: f64,
    pub to_mm: f64,
}

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Drawing<'a> {
    pub title: &'a str,
    pub vessel: &'a Vessel,
    pub items: &'a [Item],
    pub fill_mm: f64,
    /// From the floor up.
    pub bands: &'a [Band],
}

/// The drawing as a figure with its caption.
pub fn section(drawing: &Drawing<'_>) -> Markup {
    let Drawing { vessel, items, fill_mm, bands, .. } = drawing;
    let inside = wall(vessel, 0.0, vessel.height_mm());
    let half_mm = inside.iter().map(|point| point.half_width_mm).fold(0.0, f64::max);
    // Items may stand out of the vessel.
    let top_mm = items.iter().map(Item::to_mm).fold(vessel.height_mm(), f64::max);
    let sizing = Sizing::new(half_mm, top_mm);
    let bodies = bodies(vessel, items);
    let sides = |floor_y| {
        let scale = sizing.placed(AXIS, floor_y);
        (scale, Side::left(drawing, &bodies, &scale), Side::right(drawing, &scale))
    };
    let drawn = sizing.height(top_mm);
    let (_, left, right) = sides(drawn);
    let content = drawn.max(left.height()).max(right.height());
    let (scale, left, right) = sides(MARGIN + f64::midpoint(content, drawn));
    let [(left_leaders, left), (right_leaders, right)] =
        [left, right].map(|side| side.placed(MARGIN, MARGIN + content));
    let fill_half_mm = vessel.half_width_mm(*fill_mm);
    html! {
        figure {
            svg class="section" viewBox=(format!("0 0 {WIDTH} {}", units(content + 2.0 * MARGIN))) role="img" {
                title { (drawing.title) }
                desc { (words::description(drawing)) }
                @for (band, odd) in bands.iter().zip([true, false].into_iter().cycle()) {
                    path class=(if odd { "layer odd" } else { "layer" })
                        d=(closed(&scale, 0.0, &wall(vessel, band.from_mm, band.to_mm))) {}
                }
                (left_leaders) (right_leaders)
                @for body in &bodies {
                    path class="item" d=(closed(&scale, body.axis_mm, &body.outline)) {}
                }
                path class="wall" d=(open(&scale, &inside)) {}
                path class="fill" d=(line([-1.0, 1.0].map(|side| (scale.x(side * fill_half_mm), scale.y(*fill_mm))))) {}
                (left) (right)
            }
            figcaption { (words::caption(drawing, sizing.stretch())) }
        }
    }
}
