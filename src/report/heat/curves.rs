//! The temperature of every layer over time, drawn as SVG.
//!
//! Readable without colour: each layer has a line of its own kind and a label with its number and peak.

use super::cells::hours_words;
use crate::pour::{PieceHeat, PouredLayer};
use crate::report::figures::fixed;
use crate::report::groups::layers_words;
use crate::report::section::path::{line, units};
use crate::report::section::spread::{Label, spread};
use maud::{Markup, html};

const WIDTH: f64 = 700.0;
const HEIGHT: f64 = 300.0;
/// The picture inside its axes.
const LEFT: f64 = 44.0;
const RIGHT: f64 = 560.0;
const TOP: f64 = 24.0;
const BOTTOM: f64 = 262.0;
/// Height of a label, and where its letters stand below its middle.
const LINE: f64 = 13.0;
const BASE: f64 = 3.5;
/// More layers than this are not all labelled: the hottest are.
const MOST_LABELS: usize = 16;
/// Kinds of lines there are in the style.
const KINDS: usize = 4;
/// Where hours and °C lie in the drawing.
struct Scale {
    end_h: f64,
    low_c: f64,
    high_c: f64,
}

impl Scale {
    fn of(heat: &PieceHeat) -> Self {
        let points = || heat.layers.iter().flat_map(|layer| &layer.heat.trace);
        let busy = heat.layers.iter().filter_map(|layer| layer.course().last().map(|point| point.at_h));
        let coldest = points().map(|point| point.bench_c.min(point.hottest_c)).fold(heat.bench_c, f64::min);
        let hottest = heat.layers.iter().map(|layer| layer.heat.peak_c).fold(heat.limit.get(), f64::max);
        Self {
            end_h: busy.fold(0.5, f64::max) * 1.02,
            low_c: (coldest / 10.0).floor() * 10.0,
            high_c: (hottest / 10.0).floor() * 10.0 + 10.0,
        }
    }

    fn x(&self, at_h: f64) -> f64 {
        LEFT + (RIGHT - LEFT) * (at_h / self.end_h).clamp(0.0, 1.0)
    }

    fn y(&self, c: f64) -> f64 {
        BOTTOM - (BOTTOM - TOP) * (c - self.low_c) / (self.high_c - self.low_c)
    }
}

/// The drawing as a figure with its caption.
pub fn curves(heat: &PieceHeat, title: &str) -> Markup {
    let scale = Scale::of(heat);
    let limit_y = scale.y(heat.limit.get());
    html! {
        figure {
            svg class="heat-curves" viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) role="img" {
                title { (title) }
                desc { (description(heat)) }
                (axes(&scale))
                path class="limit" d=(line([(LEFT, limit_y), (RIGHT, limit_y)])) {}
                text text-anchor="start" x=(units(LEFT + 4.0)) y=(units(limit_y - 4.0)) {
                    "limit " (fixed(heat.limit.get(), 0)) " °C"
                }
                @for (place, layer) in heat.layers.iter().enumerate() {
                    path class=(format!("curve k{}", place % KINDS)) d=(curve(&scale, layer)) {}
                }
                (labels(heat, &scale))
            }
            figcaption {
                "The hottest place of each layer over the hours from the first pour; dashed, the limit of the profile."
            }
        }
    }
}

/// Of the points that share a unit of the width only the hottest is drawn.
fn curve(scale: &Scale, layer: &PouredLayer) -> String {
    let within = layer.heat.trace.iter().filter(|point| point.at_h <= scale.end_h);
    let mut drawn: Vec<(f64, f64)> = Vec::new();
    for (x, y) in within.map(|point| (scale.x(point.at_h), scale.y(point.hottest_c))) {
        match drawn.last_mut() {
            Some(last) if x.floor() <= last.0.floor() => last.1 = last.1.min(y),
            _ => drawn.push((x, y)),
        }
    }
    line(drawn)
}

fn axes(scale: &Scale) -> Markup {
    let (low, high) = (scale.low_c, scale.high_c);
    html! {
        path class="axis" d=(line([(LEFT, TOP), (LEFT, BOTTOM), (RIGHT, BOTTOM)])) {}
        @for c in degree_ticks(low, high) {
            @let y = scale.y(c);
            path class="axis" d=(line([(LEFT - 4.0, y), (LEFT, y)])) {}
            text class="tick left" x=(units(LEFT - 7.0)) y=(units(y + BASE)) { (fixed(c, 0)) }
        }
        @for at_h in hour_ticks(scale.end_h, 8.0) {
            @let x = scale.x(at_h);
            path class="axis" d=(line([(x, BOTTOM), (x, BOTTOM + 4.0)])) {}
            text class="tick below" x=(units(x)) y=(units(BOTTOM + 16.0)) { (hours_words(at_h)) }
        }
        text class="tick below" x=(units(f64::midpoint(LEFT, RIGHT))) y=(units(HEIGHT - 6.0)) { "hours" }
        text class="tick left" x=(units(LEFT - 7.0)) y="12" { "°C" }
    }
}

/// Hours from 0 to `end_h` as one counts them, about `most` of them at most.
pub fn hour_ticks(end_h: f64, most: f64) -> Vec<f64> {
    ticks(0.0, end_h, most, &[1.0 / 60.0, 1.0 / 12.0, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 96.0, 192.0])
}

/// Round temperatures between two, about six of them at most.
pub fn degree_ticks(low_c: f64, high_c: f64) -> Vec<f64> {
    ticks(low_c, high_c, 6.0, &[5.0, 10.0, 20.0, 50.0, 100.0])
}

fn ticks(from: f64, to: f64, most: f64, steps: &[f64]) -> Vec<f64> {
    let step = steps.iter().copied().find(|step| (to - from) / step <= most).unwrap_or(to - from);
    let mut ticks = Vec::new();
    let mut at = (from / step).ceil() * step;
    while at <= to + 1e-9 && step > 0.0 {
        ticks.push(at);
        at += step;
    }
    ticks
}

/// The layers at the right, each with a line to its peak.
fn labels(heat: &PieceHeat, scale: &Scale) -> Markup {
    let mut hottest: Vec<&PouredLayer> = heat.layers.iter().collect();
    hottest.sort_by(|a, b| b.heat.peak_c.total_cmp(&a.heat.peak_c));
    hottest.truncate(MOST_LABELS);
    let wishes: Vec<Label> =
        hottest.iter().map(|layer| Label { middle: scale.y(layer.heat.peak_c), height: LINE }).collect();
    let middles = spread(&wishes, TOP, BOTTOM);
    let x = RIGHT + 18.0;
    html! {
        @for (layer, middle) in hottest.iter().zip(&middles) {
            path class="leader"
                d=(line([(x - 4.0, *middle), (scale.x(layer.heat.peak_at_h), scale.y(layer.heat.peak_c))])) {}
            text text-anchor="start" x=(units(x)) y=(units(middle + BASE)) {
                "layer " (layer.number) ", " (fixed(layer.heat.peak_c, 0)) " °C"
            }
        }
    }
}

/// For who does not see it.
fn description(heat: &PieceHeat) -> String {
    let peaks = heat.layers.iter().map(|layer| {
        let PouredLayer { number, heat, .. } = layer;
        format!(
            "{}: {} °C at its hottest, {} h after its pour.",
            layers_words(&[*number]),
            fixed(heat.peak_c, 0),
            hours_words(layer.peak_h())
        )
    });
    peaks.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::heat::testing::{layer, piece_heat};

    fn drawn(layers: u32) -> String {
        let layers = (1..=layers).map(|number| layer(number, 10.0, 50.0 + f64::from(number % 40), 5.0)).collect();
        curves(&piece_heat(layers), "How hot it gets").into_string()
    }

    #[test]
    fn every_layer_has_its_line_its_label_and_its_words() {
        let svg = drawn(3);
        assert_eq!(svg.matches("class=\"curve").count(), 3);
        for words in ["layer 1, 51 °C", "layer 3, 53 °C", "limit 90 °C", "layer 2: 52 °C at its hottest, 1:00 h"] {
            assert!(svg.contains(words), "{words}: {svg}");
        }
    }

    #[test]
    fn of_very_many_layers_the_hottest_are_labelled_and_all_are_drawn() {
        let svg = drawn(100);
        assert_eq!(svg.matches("class=\"curve").count(), 100);
        assert_eq!(svg.matches("class=\"leader").count(), MOST_LABELS);
    }

    #[test]
    fn ticks_are_round_and_not_too_many() {
        assert_eq!(hour_ticks(3.9, 8.0), [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5]);
        assert_eq!(degree_ticks(10.0, 100.0), [20.0, 40.0, 60.0, 80.0, 100.0]);
        assert_eq!(degree_ticks(10.0, 220.0), [50.0, 100.0, 150.0, 200.0]);
        assert!((1..900).all(|to| hour_ticks(f64::from(to), 8.0).len() <= 9));
    }
}
