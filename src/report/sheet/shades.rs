//! How dark the block gets, as a strip of greys with their figures.

use crate::report::{Report, Shade, opacity};
use maud::{Markup, html};

const WIDTH: f64 = 300.0;
const HEIGHT: f64 = 14.0;

/// A row for each shade: the grey itself, and a bar as long as the light is much, for who sees or prints no greys.
pub(super) fn shades(report: &Report<'_>) -> Markup {
    let Some((words, shades)) = opacity(report) else { return Markup::default() };
    html! {
        section class="shades" {
            h2 { "How dark it gets" }
            p { (words) }
            table {
                caption { "Light that comes up, from the surface down." }
                thead { tr { th scope="col" { "from" } th scope="col" { "shade" } th scope="col" { "light" } th scope="col" { "as a bar" } } }
                tbody { @for shade in &shades { (row(shade)) } }
            }
        }
    }
}

fn row(shade: &Shade) -> Markup {
    let light = (shade.light_percent / 100.0).clamp(0.0, 1.0);
    let grey = grey(light);
    html! {
        tr {
            th scope="row" { (shade.layers) }
            td { svg class="shade" viewBox="0 0 40 14" aria-hidden="true" {
                rect width="40" height="14" fill=(format!("rgb({grey},{grey},{grey})")) {}
            } }
            td { (shade.words) }
            td { svg class="bar" viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) aria-hidden="true" {
                rect class="whole" x="0.5" y="0.5" width=(WIDTH - 1.0) height=(HEIGHT - 1.0) {}
                rect class="light" x="0.5" y="0.5" width=(format!("{:.1}", light * (WIDTH - 1.0))) height=(HEIGHT - 1.0) {}
            } }
        }
    }
}

/// The grey, 0 to 255, that sends out this share of white's light (sRGB transfer function, IEC 61966-2-1).
fn grey(light: f64) -> u8 {
    let encoded = if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
    return (encoded * 255.0).round().clamp(0.0, 255.0) as u8;
}

#[cfg(test)]
mod tests {
    use super::grey;

    #[test]
    fn greys_are_those_of_srgb() {
        // IEC 61966-2-1: half of the light is 188 of 255, a fifth 124.
        assert_eq!([0.0, 0.2, 0.5, 1.0].map(grey), [0, 124, 188, 255]);
    }
}
