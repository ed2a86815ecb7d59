//! `profiles show`

mod heat;
mod mixing;

use super::json::ProfileJson;
use super::{ProfilesError, stand_in};
use crate::cli::json::print_json;
use crate::cli::words;
use crate::cure::RateLaw;
use crate::fit::{hanging, padded};
use crate::folders::Shelf;
use crate::material::{
    AfterClosing, Cure, Figure, Item, LearnedStage, Origin, Profile, ReferenceAmount, StageTime, ThermalCure,
};
use std::fmt::Display;
use std::io::{self, Write};

const SCREEN: usize = 80;
const LABEL: usize = 26;
const VALUE: usize = 20;

pub(super) fn run(shelf: &Shelf, material: &str, json: bool, out: &mut impl Write) -> Result<(), ProfilesError> {
    let item = shelf.catalogue.find(material)?;
    if json {
        print_json(&ProfileJson::new(item), out)?;
    } else {
        text(shelf, item, out)?;
    }
    Ok(())
}

fn text(shelf: &Shelf, item: &Item, out: &mut impl Write) -> io::Result<()> {
    let profile = &item.profile;
    head(shelf, item, out)?;
    writeln!(out)?;
    row(out, "density", &profile.density)?;
    row(out, "shrinkage, by volume", &profile.shrinkage)?;
    mixing::text(&profile.mixing, out)?;
    match &profile.cure {
        Cure::Thermal(cure) => {
            thermal(cure, profile.after_closing, out)?;
            let reference = cure.reference_temperature.value;
            cure.heat.as_ref().map_or(Ok(()), |heat| heat::text(heat, reference, out))?;
        }
        Cure::Light { advice } => {
            writeln!(out, "\nCURE by light")?;
            let words = format!("It has no temperature clock: light sets it, and no time or warmth will. {advice}");
            lines(out, "  ", &words)?;
        }
    }
    limits(profile, out)?;
    writeln!(out, "\nCAUTIONS")?;
    for caution in &profile.cautions {
        lines(out, "  - ", caution.as_str())?;
    }
    Ok(())
}

fn head(shelf: &Shelf, item: &Item, out: &mut impl Write) -> io::Result<()> {
    let profile = &item.profile;
    lines(out, "", &format!("{}: {}", profile.id, profile.name))?;
    lines(out, "", profile.summary.as_str())?;
    match &item.origin {
        Origin::Embedded => writeln!(out, "built in; your label wins over every figure here")?,
        Origin::File(path) => writeln!(out, "from your file {path}")?,
    }
    if let Some(bad) = shelf.bad_file_of(profile.id.as_str()) {
        lines(out, "! ", &format!("{} is not used: {}; {}", bad.path, bad.trouble, stand_in(shelf, bad)))?;
    }
    Ok(())
}

fn thermal(cure: &ThermalCure, after_closing: Option<AfterClosing>, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "\nCURE by time and temperature")?;
    row(out, "times hold at", &cure.reference_temperature)?;
    match cure.reference_amount {
        ReferenceAmount::Depth(depth) => row(out, "for a layer of", &depth)?,
        ReferenceAmount::Mass(mass) => row(out, "for a batch of", &mass)?,
    }
    if let Some(dose) = cure.reference_dose {
        row(out, "with a dose of", &dose)?;
    }
    if let Some(exponent) = cure.dose_exponent {
        row(out, "dose exponent", &exponent)?;
    }
    row(out, law_words(cure.law.value), &law(cure.law))?;
    row(out, "clock stands below", &cure.floor)?;
    row(out, "times not good above", &cure.ceiling)?;
    writeln!(out, "\nSTAGES from first contact of the parts; late is 'after' times the factor")?;
    for time in &cure.stages {
        stage(time, cure.learned_of(time.stage), out)?;
    }
    match after_closing {
        Some(AfterClosing::Sand) => {
            writeln!(out, "  Once the next-layer window has closed: sand before the next layer.")
        }
        Some(AfterClosing::Wash) => {
            writeln!(out, "  Once the next-layer window has closed: wash before the next layer.")
        }
        Some(AfterClosing::Wait) => {
            lines(out, "  ", "Once the next-layer window has closed: wait for full cure. A coat in between wrinkles.")
        }
        Some(AfterClosing::Nothing) => writeln!(out, "  A next layer may follow at any time after the window opens."),
        None => writeln!(out, "  No next layer is foreseen."),
    }
}

fn stage(time: &StageTime, learned: Option<&LearnedStage>, out: &mut impl Write) -> io::Result<()> {
    let spread = format!("{}  ×{}", padded(&words::duration(time.after.value), 11), time.spread.value.get());
    let from = if time.after.from == time.spread.from {
        time.after.from.words().to_owned()
    } else {
        format!("{}; factor: {}", time.after.from.words(), time.spread.from.words())
    };
    line(out, time.stage.words(), &spread, &from)?;
    if let Some(learned) = learned {
        let was = words::duration(learned.after_was.value);
        let how = match learned.observations {
            0 => "along with the others".to_owned(),
            observations => format!("from {observations} of your own"),
        };
        lines(out, "      ", &format!("learned {how}; it was {was} ({})", learned.after_was.from.words()))?;
    }
    lines(out, "      ", &format!("test: {}", time.test))?;
    if let Some(need) = time.conversion {
        let words = format!("not before a share of {} has reacted ({})", need.value.get(), need.from.words());
        lines(out, "      ", &words)?;
    }
    match time.law {
        Some(own) => {
            let rule = law(own);
            lines(out, "      ", &format!("{} of its own: {} ({})", law_words(own.value), rule.value, own.from.words()))
        }
        None => Ok(()),
    }
}

fn limits(profile: &Profile, out: &mut impl Write) -> io::Result<()> {
    let (layer, batch) = (profile.layer_depth, profile.batch_mass);
    let rows = [
        layer.min.map(|figure| ("thinnest layer", shown(&figure))),
        layer.max.map(|figure| ("deepest layer", shown(&figure))),
        batch.min.map(|figure| ("smallest batch", shown(&figure))),
        batch.max.map(|figure| ("largest batch", shown(&figure))),
        profile.humidity_limit.map(|figure| ("most humidity of the air", shown(&figure))),
        profile.tint_max.map(|figure| ("most paste or powder", shown(&figure))),
    ];
    if rows.iter().any(Option::is_some) {
        writeln!(out, "\nLIMITS")?;
    }
    rows.into_iter().flatten().try_for_each(|(label, figure)| row(out, label, &figure))
}

fn law_words(law: RateLaw) -> &'static str {
    match law {
        RateLaw::Q10(_) => "faster per 10 °C (q10)",
        RateLaw::Arrhenius(_) => "activation energy",
    }
}

fn law(law: Figure<RateLaw>) -> Figure<String> {
    let value = match law.value {
        RateLaw::Q10(q10) => format!("×{}", q10.get()),
        RateLaw::Arrhenius(energy) => energy.to_string(),
    };
    Figure { value, from: law.from }
}

fn shown<T: Display>(figure: &Figure<T>) -> Figure<String> {
    Figure { value: figure.value.to_string(), from: figure.from }
}

fn row<T: Display>(out: &mut impl Write, label: &str, figure: &Figure<T>) -> io::Result<()> {
    line(out, label, &figure.value.to_string(), figure.from.words())
}

fn line(out: &mut impl Write, label: &str, value: &str, from: &str) -> io::Result<()> {
    writeln!(out, "  {}{}  {from}", padded(label, LABEL), padded(value, VALUE))
}

/// `text` wrapped behind `first`, which the further lines replace by blanks.
fn lines(out: &mut impl Write, first: &str, text: &str) -> io::Result<()> {
    for line in hanging(first, text, SCREEN) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}
