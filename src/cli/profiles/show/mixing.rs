//! How a material is made ready, as a table.

use super::{line, row};
use crate::cli::words;
use crate::material::{DepthDose, DoseRule, Equivalents, Figure, Mixing, Ratio, WarmStack};
use std::io::{self, Write};

pub(super) fn text(mixing: &Mixing, out: &mut impl Write) -> io::Result<()> {
    match mixing {
        Mixing::Catalysed { min, usual, max, catalyst_density, dose_rule } => {
            writeln!(out, "\nMIXING by a dose of catalyst, in percent of the resin by mass")?;
            row(out, "least dose", min)?;
            row(out, "usual dose", usual)?;
            row(out, "largest dose", max)?;
            row(out, "density of the catalyst", catalyst_density)?;
            dose_rule.as_ref().map_or(Ok(()), |rule| doses(rule, out))
        }
        Mixing::TwoPart { by_weight, by_volume, density_a, density_b, equivalents } => {
            writeln!(out, "\nMIXING of two parts, A to B; the ratio never changes the speed")?;
            row(out, "by weight", &ratio(*by_weight))?;
            row(out, "by volume", &ratio(*by_volume))?;
            row(out, "density of A", density_a)?;
            row(out, "density of B", density_b)?;
            equivalents.map_or(Ok(()), |Equivalents { epoxide, hydrogen }| {
                row(out, "epoxide equivalent of A", &epoxide)?;
                row(out, "hydrogen equivalent of B", &hydrogen)
            })
        }
        Mixing::OnePart => writeln!(out, "\nMIXING none: used as it comes"),
    }
}

fn doses(rule: &DoseRule, out: &mut impl Write) -> io::Result<()> {
    for DepthDose { depth, dose } in &rule.by_depth {
        row(out, &format!("dose at {} deep", depth.value), dose)?;
    }
    let Some(WarmStack { factors, warm_for }) = &rule.warm_stack else { return Ok(()) };
    for (place, factor) in factors.iter().enumerate() {
        let below = place + 1;
        let layers = if below == 1 { "layer" } else { "layers" };
        let more = if below == factors.len() { " or more" } else { "" };
        let label = format!("on {below} warm {layers}{more}");
        line(out, &label, &format!("×{} on the dose", factor.value), factor.from.words())?;
    }
    line(out, "a layer stays warm for", &words::duration(warm_for.value), warm_for.from.words())
}

fn ratio(figure: Figure<Ratio>) -> Figure<String> {
    let Ratio { a, b } = figure.value;
    // A ratio worked out from the densities has many decimals; three places are more than any scale shows.
    let part = |part: f64| ((part * 1000.0).round() / 1000.0).to_string();
    Figure { value: format!("{}:{}", part(a), part(b)), from: figure.from }
}
