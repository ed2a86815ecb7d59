//! How dark the block gets.

use super::Report;
use super::figures::short;
use super::groups::{gathered, layers_words};

/// How dark layers lie that look the same from above.
#[derive(Debug, Clone, PartialEq)]
pub struct Shade {
    pub layers: String,
    /// Light that comes up from there, percent; of several layers from the lowest one.
    pub light_percent: f64,
    /// The same in figures, with its sign.
    pub words: String,
}

/// What the picture shows, and the layers of the block from its surface down; `None` without a test cup.
pub fn opacity(report: &Report<'_>) -> Option<(String, Vec<Shade>)> {
    let Report { piece, plan, .. } = report;
    let opacity = plan.opacity.as_ref()?;
    let tint = piece.tint.as_ref()?;
    let cup = tint.test_cup?;
    let words = format!(
        "The finished block seen from above: light that comes up from the floor of each layer. Computed from your own test \
         cup of {}: {} mm deep, loaded {} %, let {} % through. The law of Beer and Lambert; it knows no haze.",
        tint.name,
        short(cup.depth.get(), 1),
        short(cup.loading.get(), 4),
        short(cup.light.get(), 1),
    );
    let from_above = plan.layers.iter().zip(&opacity.light_percent).rev();
    let shades = gathered(from_above, |(_, light)| light_words(**light)).into_iter().map(|(words, alike)| {
        let mut numbers: Vec<u32> = alike.iter().map(|(layer, _)| layer.number).collect();
        numbers.sort_unstable();
        let light_percent = alike.iter().map(|(_, light)| **light).fold(100.0, f64::min);
        Shade { layers: layers_words(&numbers), light_percent, words }
    });
    Some((words, shades.collect()))
}

/// Two digits are more than an eye tells apart.
fn light_words(percent: f64) -> String {
    match percent {
        percent if percent < 0.1 => "under 0.1 %".to_owned(),
        percent if percent < 10.0 => format!("{percent:.1} %"),
        percent => format!("{percent:.0} %"),
    }
}
