//! A stage's looks and times over the temperature as SVG: a file of its own, readable without colour.

use crate::learn::{Mark, Picture};
use crate::report::figures::fixed;
use crate::report::heat::degree_ticks;
use crate::report::section::path::{line, units};
use maud::{Markup, PreEscaped, html};

const WIDTH: f64 = 700.0;
/// Of one picture, and inside its axes.
const HEIGHT: f64 = 306.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 670.0;
const TOP: f64 = 34.0;
const BOTTOM: f64 = 270.0;
/// Above the first picture.
const HEAD: f64 = 34.0;
/// Below the last one.
const FOOT: f64 = 44.0;
const LEGEND: [&str; 2] = [
    "Line: this shop, with its band from early to late. Dotted: the label.",
    "Bars: looks, from not yet to there; arrows: one end is open; dashed: likely a slip.",
];
/// Less trust than this marks a look as a likely slip.
const DOUBTED: f64 = 0.5;
const STYLE: &str = "svg{background:#fff;color:#1c2126}text{font:12px system-ui,sans-serif;fill:#1c2126}.head{font-size:15px;font-weight:600}\
.axis{stroke:#8a939c;stroke-width:.8;fill:none}.shop{stroke:#1c2126;stroke-width:2;fill:none}.band{fill:#1c2126;fill-opacity:.1}\
.label{stroke:#6b747d;stroke-width:1.4;stroke-dasharray:2 4;fill:none}.look{stroke:#1c2126;stroke-width:1.6;fill:none}\
.slip{stroke-dasharray:3 3}.tick{text-anchor:end}.below{text-anchor:middle}\
@media(prefers-color-scheme:dark){svg{background:#15181b}text{fill:#e6e9ec}.shop,.look{stroke:#e6e9ec}.band{fill:#e6e9ec}.label,.axis{stroke:#9aa4ad}}";

/// A picture with the name of its stage.
#[derive(Debug, Clone, Copy)]
pub struct LearnedPicture<'a> {
    pub name: &'a str,
    pub picture: &'a Picture,
}

/// Where °C and ln of hours lie.
struct Scale {
    low_c: f64,
    high_c: f64,
    low_ln: f64,
    high_ln: f64,
}

impl Scale {
    fn of(picture: &Picture) -> Self {
        let points = &picture.points;
        let hours = points.iter().flat_map(|point| [point.label_h, point.early_h, point.late_h]);
        let hours = hours.chain(picture.marks.iter().flat_map(|mark| [mark.after_h, mark.by_h]).flatten());
        let lns: Vec<f64> = hours.filter(|hours| *hours > 0.0).map(f64::ln).collect();
        let fold = |f: fn(f64, f64) -> f64, from| lns.iter().copied().fold(from, f);
        Self {
            low_c: points.first().map_or(0.0, |point| point.celsius),
            high_c: points.last().map_or(1.0, |point| point.celsius),
            low_ln: fold(f64::min, f64::INFINITY) - 0.1,
            high_ln: fold(f64::max, f64::NEG_INFINITY) + 0.1,
        }
    }

    fn x(&self, celsius: f64) -> f64 {
        LEFT + (RIGHT - LEFT) * (celsius - self.low_c) / (self.high_c - self.low_c)
    }

    fn y(&self, hours: f64) -> f64 {
        BOTTOM - (BOTTOM - TOP) * (hours.ln() - self.low_ln) / (self.high_ln - self.low_ln)
    }

    /// Round hours within the picture.
    fn hours(&self) -> Vec<f64> {
        let round = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
        round.into_iter().filter(|hours: &f64| (self.low_ln..=self.high_ln).contains(&hours.ln())).collect()
    }
}

/// All pictures below each other, as one SVG document.
pub fn learned_pictures(title: &str, pictures: &[LearnedPicture<'_>]) -> Markup {
    let below = HEAD + HEIGHT * pictures.len() as f64;
    let height = below + FOOT;
    html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {WIDTH} {height}")) role="img" {
            title { (title) }
            style { (PreEscaped(STYLE)) }
            text class="head" x="14" y="24" { (title) }
            @for (place, named) in pictures.iter().enumerate() {
                g transform=(format!("translate(0 {})", HEAD + HEIGHT * place as f64)) { (one(named)) }
            }
            @for (place, words) in LEGEND.iter().enumerate() {
                text x="14" y=(units(below + 16.0 * (place as f64 + 1.0))) { (words) }
            }
        }
    }
}

fn one(named: &LearnedPicture<'_>) -> Markup {
    let scale = Scale::of(named.picture);
    let points = &named.picture.points;
    let curve = |of: fn(&crate::learn::Point) -> f64| {
        line(points.iter().map(|point| (scale.x(point.celsius), scale.y(of(point)))))
    };
    let upper = points.iter().map(|point| (scale.x(point.celsius), scale.y(point.late_h)));
    let lower = points.iter().rev().map(|point| (scale.x(point.celsius), scale.y(point.early_h)));
    html! {
        text class="head" x="14" y="18" { (named.name) ", hours over °C at the reference dose" }
        path class="axis" d=(line([(LEFT, TOP), (LEFT, BOTTOM), (RIGHT, BOTTOM)])) {}
        @for hours in scale.hours() {
            path class="axis" d=(line([(LEFT - 4.0, scale.y(hours)), (LEFT, scale.y(hours))])) {}
            text class="tick" x=(units(LEFT - 8.0)) y=(units(scale.y(hours) + 4.0)) { (fixed(hours, if hours < 1.0 { 2 } else { 0 })) " h" }
        }
        @for celsius in degree_ticks(scale.low_c, scale.high_c) {
            path class="axis" d=(line([(scale.x(celsius), BOTTOM), (scale.x(celsius), BOTTOM + 4.0)])) {}
            text class="below" x=(units(scale.x(celsius))) y=(units(BOTTOM + 18.0)) { (fixed(celsius, 0)) }
        }
        path class="band" d=(line(upper.chain(lower)) + "Z") {}
        path class="label" d=(curve(|point| point.label_h)) {}
        path class="shop" d=(curve(|point| point.likely_h)) {}
        @for mark in &named.picture.marks { (look(&scale, mark)) }
    }
}

/// A bar from not yet to there; an open end has an arrow.
fn look(scale: &Scale, mark: &Mark) -> Markup {
    const ARROW: f64 = 12.0;
    let x = scale.x(mark.celsius);
    let class = if mark.trust < DOUBTED { "look slip" } else { "look" };
    let (bottom, top) = (mark.after_h.map(|hours| scale.y(hours)), mark.by_h.map(|hours| scale.y(hours)));
    let cap = |y: f64| line([(x - 3.0, y), (x + 3.0, y)]);
    let arrow = |from: f64, to: f64| {
        let back = if to < from { 4.0 } else { -4.0 };
        line([(x, from), (x, to)]) + &line([(x - 3.0, to + back), (x, to), (x + 3.0, to + back)])
    };
    let d = match (bottom, top) {
        (Some(bottom), Some(top)) => line([(x, bottom), (x, top)]) + &cap(bottom) + &cap(top),
        (Some(bottom), None) => cap(bottom) + &arrow(bottom, bottom - ARROW),
        (None, Some(top)) => cap(top) + &arrow(top, top + ARROW),
        (None, None) => String::new(),
    };
    html! { path class=(class) d=(d) {} }
}
