//! What stands at the top: what is made, of what, in what, at what temperature.

use super::{BenchFrom, Report, Said};
use crate::pour::LayerKind;

/// The piece in a few lines.
pub fn head(report: &Report<'_>) -> Vec<Said> {
    let Report { piece, profile, plan, .. } = report;
    let vessel = format!(
        "{:.1} mm high inside, filled to {:.1} mm: {}",
        piece.vessel.height_mm(),
        piece.fill.get(),
        layers_words(report)
    );
    vec![
        Said::new("material", format!("{} ({})", profile.name, profile.id)),
        Said::new("vessel", vessel),
        Said::new("bench", format!("{:.1}, {}", plan.bench, bench_from(report.bench_from))),
    ]
}

/// "6 layers and a topping".
pub(super) fn layers_words(report: &Report<'_>) -> String {
    let casts = report.plan.layers.iter().filter(|layer| layer.kind == LayerKind::Cast).count();
    let topping = report.plan.layers.iter().any(|layer| layer.kind == LayerKind::Topping);
    let layers = if casts == 1 { "1 layer".to_owned() } else { format!("{casts} layers") };
    if topping { format!("{layers} and a topping") } else { layers }
}

fn bench_from(from: BenchFrom) -> &'static str {
    match from {
        BenchFrom::Asked => "as asked for",
        BenchFrom::Piece => "from the piece file",
        BenchFrom::Profile => "the profile's reference, for want of another",
        BenchFrom::Room => "an ordinary room, for want of another",
    }
}
