//! The drawing in words.

use super::Drawing;
use crate::report::figures::short;
use std::fmt::Write;

/// For who does not see it: the vessel, and everything in it with its levels.
pub(super) fn description(drawing: &Drawing<'_>) -> String {
    let Drawing { vessel, items, fill_mm, bands, .. } = drawing;
    let layers = bands.len();
    let mut words = format!(
        "A vessel {:.1} mm high in section, filled to {fill_mm:.1} mm in {layers} {}.",
        vessel.height_mm(),
        if layers == 1 { "layer" } else { "layers" }
    );
    for item in *items {
        let name = item.counted();
        // A String takes everything.
        let _ = write!(words, " {name} from {:.1} to {:.1} mm.", item.from.get(), item.to_mm());
    }
    words
}

/// How far it can be trusted; `stretch` is how much larger heights are drawn than widths.
pub(super) fn caption(drawing: &Drawing<'_>, stretch: f64) -> String {
    let mut words = "Levels are true; mm above the inside of the floor.".to_owned();
    if !drawing.items.is_empty() {
        words += " Items stand at their true heights; they are drawn round, with their volume.";
    }
    words
        + &match stretch {
            more if more > 1.05 => format!(" Heights are drawn {} times as large as widths.", short(more, 1)),
            less if less < 0.95 => format!(" Widths are drawn {} times as large as heights.", short(1.0 / less, 1)),
            _ => String::new(),
        }
}
