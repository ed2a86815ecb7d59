//! `nightpour heat --cup-g`: what stands mixed in its cup.

use super::HeatError;
use super::asked::Asked;
use super::chart::Chart;
use crate::cli::json::print_json;
use crate::cli::look::Look;
use crate::cli::page::Page;
use crate::heat::{CupCourse, TOO_HOT_TO_HOLD_C};
use crate::material::{MaterialId, Profile, Stage};
use crate::report::{ESTIMATE, PeakBand, Said, hours_words};
use crate::units::{DosePercent, Grams};
use serde::Serialize;
use std::io::{self, Write};

/// What to do with what is left in a cup (common practice).
const LEFTOVERS: &str = "Read the label first. A full cup can smoke, crack and burn: pour it out, do not hold it. Spread \
                         leftovers thin on foil or scrap, outdoors on bare ground, until they are hard and cold; never put \
                         a cup that still reacts into a bin.";

/// Hours are from first contact; null for what does not happen.
#[derive(Serialize)]
struct CupJson<'a> {
    material: &'a MaterialId,
    mass_g: f64,
    dose_percent: Option<f64>,
    bench_c: f64,
    gel_h: Option<f64>,
    peak_c: f64,
    peak_low_c: f64,
    peak_high_c: f64,
    peak_at_h: f64,
    too_hot_to_hold_h: Option<f64>,
    /// With the heat of this cup.
    pot_life_h: Option<f64>,
    /// By the temperature of the bench alone.
    plain_pot_life_h: Option<f64>,
}

pub(super) fn run(asked: &Asked, mass: Grams, json: bool, look: Look, out: &mut impl Write) -> Result<(), HeatError> {
    let (bench, dose) = (asked.bench(), asked.layer.dose);
    let course = asked.material.cup(mass.get(), dose, &bench);
    let cup = Cup {
        asked,
        mass,
        pot_life_h: asked.material.pot_life_h(mass.get(), dose, &bench),
        plain_pot_life_h: plain_h(&asked.profile, asked),
        course,
    };
    if json {
        return Ok(print_json(&cup.facts(), out)?);
    }
    Ok(cup.print(look, out)?)
}

/// The pot life of the profile on this bench.
fn plain_h(profile: &Profile, asked: &Asked) -> Option<f64> {
    let cure = profile.thermal()?;
    cure.after_h(cure.stage(Stage::PotLife)?, asked.layer.dose, &asked.bench(), 0.0)
}

struct Cup<'a> {
    asked: &'a Asked,
    mass: Grams,
    course: CupCourse,
    pot_life_h: Option<f64>,
    plain_pot_life_h: Option<f64>,
}

impl<'a> Cup<'a> {
    fn band(&self) -> PeakBand {
        PeakBand::of(self.course.peak_c, self.asked.layer.start.get())
    }

    fn facts(&self) -> CupJson<'a> {
        let CupCourse { gel_h, peak_c, peak_h, too_hot_to_hold_h, .. } = &self.course;
        let band = self.band();
        CupJson {
            material: &self.asked.profile.id,
            mass_g: self.mass.get(),
            dose_percent: self.asked.layer.dose.map(DosePercent::get),
            bench_c: self.asked.layer.start.get(),
            gel_h: *gel_h,
            peak_c: *peak_c,
            peak_low_c: band.low_c,
            peak_high_c: band.high_c,
            peak_at_h: *peak_h,
            too_hot_to_hold_h: *too_hot_to_hold_h,
            pot_life_h: self.pot_life_h,
            plain_pot_life_h: self.plain_pot_life_h,
        }
    }

    fn print(&self, look: Look, out: &mut impl Write) -> io::Result<()> {
        let Asked { profile, layer, .. } = self.asked;
        let mut page = Page::default();
        let dose = layer.dose.map(|dose| format!(" with {dose} of catalyst")).unwrap_or_default();
        page.words("", &format!("{:.0} of {}{dose}, left in its cup", self.mass, profile.name));
        page.said(&self.said());
        for remark in self.asked.remarks() {
            page.words("  ! ", &remark);
        }
        page.title("over time");
        let points: Vec<(f64, f64)> = self.course.trace().collect();
        page.words("  ", &format!("Hours from first contact; dashed, {TOO_HOT_TO_HOLD_C:.0} °C."));
        for line in (Chart { points: &points, limit_c: TOO_HOT_TO_HOLD_C }).lines(look.drawing) {
            page.line(&line);
        }
        page.title("cautions");
        for caution in std::iter::once(LEFTOVERS).chain(profile.cautions.iter().map(crate::text::PlainText::as_str)) {
            page.words("  - ", caution);
        }
        page.line("");
        page.words("", ESTIMATE);
        out.write_all(page.finished().as_bytes())
    }

    fn said(&self) -> Vec<Said> {
        let CupCourse { gel_h, peak_c, peak_h, too_hot_to_hold_h, .. } = &self.course;
        let said = |about: &str, words: String| Said { about: about.to_owned(), words };
        let after = |hours: Option<f64>, never: &str| {
            hours.map_or_else(|| never.to_owned(), |hours| format!("{} h after first contact", hours_words(hours)))
        };
        let PeakBand { low_c, high_c, .. } = self.band();
        let mut lines = vec![
            said("bench", format!("{:.1}, and the resin as warm", self.asked.layer.start)),
            said("gel", after(*gel_h, "never at this temperature")),
            said("peak", format!("about {peak_c:.0} °C ({low_c:.0} to {high_c:.0} °C), {}", after(Some(*peak_h), ""))),
            said(
                "too hot to hold",
                format!("{}, over {TOO_HOT_TO_HOLD_C:.0} °C", after(*too_hot_to_hold_h, "never: it does not get")),
            ),
        ];
        if let Some(pot_life_h) = self.pot_life_h {
            let plain = self.plain_pot_life_h.map(|plain_h| {
                let mass_g = self.asked.material.pot_life_mass_g();
                format!("; by the profile, for {mass_g:.0} g, {} h", hours_words(plain_h))
            });
            lines.push(said("pot life", format!("{} h{}", hours_words(pot_life_h), plain.unwrap_or_default())));
        }
        lines
    }
}
