//! The labels of the drawing: on the left the brim, the fill and the items, on the right the layers.

use super::bodies::Body;
use super::path::{line, units};
use super::scale::Scale;
use super::spread::{Label, spread};
use super::{Band, Drawing};
use crate::fit::clipped;
use maud::{Markup, html};

/// Where the labels on the left end, and those on the right begin.
const LEFT_X: f64 = 196.0;
const RIGHT_X: f64 = 566.0;
/// Height of a line, and where its letters stand below its middle.
pub(super) const LINE: f64 = 12.0;
const BASE: f64 = 3.5;
/// Columns of an item's name; longer ones are cut, and told in full in the drawing's description.
const NAME_COLUMNS: usize = 30;
/// More layers than this are not all labelled.
const MOST_LAYERS: usize = 80;

/// A label, and what it points at.
#[derive(Debug, Clone)]
pub(super) struct Pointer {
    /// What it is of: a class of the page's style.
    class: &'static str,
    strong: String,
    plain: String,
    /// Whether the plain part has a line of its own.
    stacked: bool,
    x: f64,
    y: f64,
}

/// One side's labels, from the top down.
pub(super) struct Side {
    pointers: Vec<Pointer>,
    left: bool,
}

impl Side {
    /// The brim, the fill and the items.
    pub fn left(drawing: &Drawing<'_>, bodies: &[Body], scale: &Scale) -> Self {
        let Drawing { vessel, items, fill_mm, .. } = drawing;
        let at_wall = |class, strong: &str, plain: &str, level_mm: f64| Pointer {
            class,
            strong: strong.to_owned(),
            plain: format!("{plain}{level_mm:.1} mm"),
            stacked: false,
            x: scale.x(-vessel.half_width_mm(level_mm)),
            y: scale.y(level_mm),
        };
        let mut pointers =
            vec![at_wall("brim", "", "brim ", vessel.height_mm()), at_wall("filled", "fill", " ", *fill_mm)];
        pointers.extend(items.iter().enumerate().filter_map(|(place, item)| {
            let body = bodies.iter().find(|body| body.item == place)?;
            let middle = body.outline.get(body.outline.len() / 2)?;
            let (from_mm, to_mm) = (item.from.get(), item.to_mm());
            Some(Pointer {
                class: "name",
                strong: clipped(&item.counted(), NAME_COLUMNS),
                plain: format!("{from_mm:.1} to {to_mm:.1} mm"),
                stacked: true,
                x: scale.x(body.axis_mm - middle.half_width_mm),
                y: scale.y(f64::midpoint(from_mm, to_mm)),
            })
        }));
        pointers.sort_by(|a, b| a.y.total_cmp(&b.y));
        Self { pointers, left: true }
    }

    /// The layers: all of them, or every so many and the topmost.
    pub fn right(drawing: &Drawing<'_>, scale: &Scale) -> Self {
        let bands = drawing.bands;
        let each = bands.len().div_ceil(MOST_LAYERS).max(1);
        let last = bands.len().saturating_sub(1);
        let kept = bands.iter().enumerate().filter(|(place, _)| place % each == 0 || *place == last);
        let pointers = kept.rev().map(|(_, Band { number, from_mm, to_mm })| {
            let middle_mm = f64::midpoint(*from_mm, *to_mm);
            Pointer {
                class: "number",
                strong: number.to_string(),
                plain: format!(" {from_mm:.1} to {to_mm:.1} mm"),
                stacked: false,
                x: scale.x(drawing.vessel.half_width_mm(middle_mm)),
                y: scale.y(middle_mm),
            }
        });
        Self { pointers: pointers.collect(), left: false }
    }

    /// Height that all of them take without overlapping.
    pub fn height(&self) -> f64 {
        self.pointers.iter().map(Pointer::height).sum()
    }

    /// The labels between `top` and `bottom` with the lines to what they point at.
    pub fn placed(&self, top: f64, bottom: f64) -> (Markup, Markup) {
        let wishes: Vec<Label> =
            self.pointers.iter().map(|pointer| Label { middle: pointer.y, height: pointer.height() }).collect();
        let middles = spread(&wishes, top, bottom);
        let x = if self.left { LEFT_X } else { RIGHT_X };
        let toward = if self.left { 4.0 } else { -4.0 };
        let leaders = html! {
            @for (pointer, middle) in self.pointers.iter().zip(&middles) {
                path class="leader" d=(line([(x + toward, *middle), (pointer.x, pointer.y)])) {}
            }
        };
        let texts = html! {
            @for (pointer, middle) in self.pointers.iter().zip(&middles) { (self.text(pointer, x, *middle)) }
        };
        (leaders, texts)
    }

    fn text(&self, pointer: &Pointer, x: f64, middle: f64) -> Markup {
        let Pointer { class, strong, plain, stacked, .. } = pointer;
        let anchor = self.left.then_some("end");
        let first = if *stacked { middle - LINE / 2.0 } else { middle };
        html! {
            text text-anchor=[anchor] x=(units(x)) y=(units(first + BASE)) {
                tspan class=(class) { (strong) }
                @if !stacked { (plain) }
            }
            @if *stacked {
                text text-anchor=[anchor] x=(units(x)) y=(units(first + LINE + BASE)) { (plain) }
            }
        }
    }
}

impl Pointer {
    fn height(&self) -> f64 {
        if self.stacked { 2.0 * LINE } else { LINE }
    }
}
