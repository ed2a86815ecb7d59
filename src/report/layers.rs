//! The table of the layers: a column only where there is something in it.

use super::figures::{fixed, places, places_of_scale};
use super::{Cup, Report};
use crate::material::Mixing;
use crate::pour::{CupParts, LayerPlan};

/// The layers, a row each; at least the column of their numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    pub columns: Vec<Column>,
}

/// One column of the table, a cell for each layer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// What it belongs to together with its neighbours; may be empty.
    pub group: &'static str,
    pub head: &'static str,
    /// May be empty.
    pub unit: &'static str,
    pub cells: Vec<String>,
}

/// How a column is filled.
struct Filling {
    group: &'static str,
    head: &'static str,
    unit: &'static str,
    /// Decimal places it has at least; `None` for what is counted.
    least: Option<usize>,
    of: fn(&LayerPlan) -> Option<f64>,
}

/// The layers of the plan with what is weighed for each: grams first, volumes apart from them.
pub fn table(report: &Report<'_>) -> Table {
    let layers = &report.plan.layers;
    let cells = |of: fn(&LayerPlan) -> String| layers.iter().map(of).collect();
    let number = cells(|layer| layer.number.to_string());
    let levels = cells(|layer| format!("{:.1}-{:.1}", layer.cast.from_mm, layer.cast.to_mm));
    let mut columns = vec![
        Column { group: "", head: "layer", unit: "", cells: number },
        Column { group: "", head: "from-to", unit: "mm", cells: levels },
    ];
    columns.extend(fillings(report).into_iter().filter_map(|filling| filling.column(layers)));
    Table { columns }
}

fn fillings(report: &Report<'_>) -> Vec<Filling> {
    let resin = places_of_scale(report.piece.scales.resin.get(), 1);
    let [catalyst, part_b] = [2, 1].map(|least| places_of_scale(report.piece.scales.catalyst.get(), least));
    let filling = |group, head, unit, least, of| Filling { group, head, unit, least, of };
    let two_part = matches!(report.profile.mixing, Mixing::TwoPart { .. });
    let tint_group = if two_part { "by weight" } else { "" };
    let tint: fn(&LayerPlan) -> Option<f64> = |layer| Some(layer.tint_g).filter(|tint_g| *tint_g > 0.0);
    vec![
        filling("", "deep", "mm", Some(1), |layer| Some(layer.cast.depth_mm())),
        filling("", "volume", "mL", Some(1), |layer| Some(layer.cast.volume_ml)),
        filling("", "cups", "", None, |layer| (layer.cups > 1).then_some(f64::from(layer.cups))),
        filling("", "resin", "g", Some(resin), |layer| {
            matches!(layer.parts, CupParts::Catalysed { .. }).then_some(layer.resin_g)
        }),
        filling("", "amount", "g", Some(resin), |layer| {
            matches!(layer.parts, CupParts::OnePart).then_some(layer.resin_g)
        }),
        filling("by weight", "A", "g", Some(resin), |layer| Cup::of(layer).a_g),
        filling("by weight", "B", "g", Some(part_b), |layer| Cup::of(layer).b_g),
        filling(tint_group, "tint", "g", Some(2), tint),
        // What stands on the scale: the cup is filled from the tinted batch.
        filling(tint_group, "master", "g", Some(resin), |layer| (layer.tint_g > 0.0).then(|| layer.from_master_g())),
        filling("catalyst", "dose", "%", Some(2), |layer| Cup::of(layer).dose_percent),
        filling("catalyst", "weigh", "g", Some(catalyst), |layer| Cup::of(layer).catalyst_g),
        filling("catalyst", "or", "mL", Some(2), |layer| Cup::of(layer).catalyst_ml),
        filling("catalyst", "or", "drops", None, |layer| Cup::of(layer).drops.map(f64::from)),
        filling("by volume", "A", "mL", Some(1), |layer| Cup::of(layer).a_ml),
        filling("by volume", "B", "mL", Some(1), |layer| Cup::of(layer).b_ml),
    ]
}

impl Filling {
    /// `None` where there is nothing in it.
    fn column(self, layers: &[LayerPlan]) -> Option<Column> {
        let figures: Vec<_> = layers.iter().map(self.of).collect();
        if figures.iter().all(Option::is_none) {
            return None;
        }
        let places = self.least.map_or(0, |least| places(figures.iter().copied().flatten(), least));
        let cells =
            figures.iter().map(|figure| figure.map(|figure| fixed(figure, places)).unwrap_or_default()).collect();
        Some(Column { group: self.group, head: self.head, unit: self.unit, cells })
    }
}
