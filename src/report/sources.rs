//! Where the figures come from that the plan stands on.

use super::figures::short;
use super::groups::gathered;
use super::{Report, Said};
use crate::material::{Figure, Mixing, Origin, Profile, Provenance};
use std::fmt::Display;

/// The piece's own figures, and the material's by where they come from.
pub fn sources(report: &Report<'_>) -> Vec<Said> {
    let mut said = vec![Said::new("piece file", own(report))];
    let of = match report.origin {
        Origin::Embedded => format!("profile {}, built in", report.profile.id),
        Origin::File(path) => format!("your profile {path}"),
    };
    let groups = gathered(used(report), |(from, _)| *from);
    said.extend(groups.into_iter().map(|(from, figures)| {
        let figures: Vec<String> = figures.into_iter().map(|(_, words)| words).collect();
        Said::new(from.words(), format!("{} ({of})", figures.join(", ")))
    }));
    said
}

fn own(report: &Report<'_>) -> String {
    let wishes = &report.piece.layers;
    let mut words =
        vec!["vessel, fill, items".to_owned(), "cup loss, reserve and scales (or the usual ones)".to_owned()];
    words.extend(wishes.max.map(|max| format!("deepest layer {max}")));
    words.extend(wishes.min.map(|min| format!("thinnest layer {min}")));
    words.extend(report.piece.tint.as_ref().map(|tint| format!("tint at {} %", short(tint.loading.get(), 4))));
    words.join(", ")
}

/// The material's figures that the plan uses, each with its origin.
fn used(report: &Report<'_>) -> Vec<(Provenance, String)> {
    let Profile { density, shrinkage, mixing, layer_depth, batch_mass, .. } = report.profile;
    let wishes = &report.piece.layers;
    let mut used = vec![named("density", density), named("shrinkage", shrinkage)];
    match mixing {
        Mixing::Catalysed { min, usual, max, catalyst_density, dose_rule } => {
            used.extend([named("least dose", min), named("usual dose", usual), named("largest dose", max)]);
            used.extend(
                dose_rule
                    .iter()
                    .flat_map(|rule| &rule.by_depth)
                    .take(1)
                    .map(|at| (at.dose.from, "dose by depth".to_owned())),
            );
            let warm = dose_rule.iter().filter_map(|rule| rule.warm_stack.as_ref());
            used.extend(warm.map(|stack| (stack.warm_for.from, "less on warm layers".to_owned())));
            used.push(named("catalyst density", catalyst_density));
        }
        Mixing::TwoPart { by_weight, by_volume, .. } => {
            let ratio = |name: &str, figure: &Figure<crate::material::Ratio>| {
                (figure.from, format!("{name} {}:{}", short(figure.value.a, 3), short(figure.value.b, 3)))
            };
            used.extend([ratio("A to B by weight", by_weight), ratio("by volume", by_volume)]);
        }
        Mixing::OnePart => {}
    }
    used.extend(layer_depth.max.filter(|_| wishes.max.is_none()).map(|figure| named("deepest layer", &figure)));
    used.extend(layer_depth.min.filter(|_| wishes.min.is_none()).map(|figure| named("thinnest layer", &figure)));
    used.extend(batch_mass.min.map(|figure| named("smallest batch", &figure)));
    used.extend(batch_mass.max.map(|figure| named("largest batch", &figure)));
    used
}

fn named<T: Display>(name: &str, figure: &Figure<T>) -> (Provenance, String) {
    (figure.from, format!("{name} {}", figure.value))
}
