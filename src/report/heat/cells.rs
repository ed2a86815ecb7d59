//! The table of the layers with their heat.

use super::verdict::{PeakBand, Verdict};
use crate::material::Stage;
use crate::pour::{PieceHeat, PouredLayer};
use crate::report::figures::{fixed, short};
use crate::report::{Column, Table};

/// The stages that are shown with and without the heat of the cure, and the group they stand under.
const STAGES: [(Stage, &str); 4] = [
    (Stage::Gel, "gel"),
    (Stage::NextLayerOpens, "opens"),
    (Stage::NextLayerCloses, "closes"),
    (Stage::Demould, "demould"),
];

/// A place this near to the top, the middle or the bottom is called so, as a share of the depth.
const NEAR: f64 = 0.07;

/// Every layer with its peak and its limit; hours and minutes from its own pour.
pub fn peak_table(heat: &PieceHeat) -> Table {
    let cells = |of: &dyn Fn(&PouredLayer) -> String| heat.layers.iter().map(of).collect::<Vec<_>>();
    let column = |group, head, unit, cells| Column { group, head, unit, cells };
    let limit_c = heat.limit.get();
    of_layers(
        heat,
        vec![
            column("", "deep", "mm", cells(&|layer| fixed(layer.depth_mm, 1))),
            column("", "dose", "%", cells(&|layer| layer.dose.map(|dose| fixed(dose.get(), 2)).unwrap_or_default())),
            column("peak", "likely", "°C", cells(&|layer| fixed(layer.heat.peak_c, 0))),
            column(
                "peak",
                "±",
                "°C",
                cells(&|layer| fixed(PeakBand::of(layer.heat.peak_c, layer.start_c).either_c, 0)),
            ),
            column("peak", "after", "h:min", cells(&|layer| hours_words(layer.peak_h()))),
            column("peak", "where", "", cells(&|layer| place_words(layer))),
            column("limit", "at", "°C", cells(&|_| fixed(limit_c, 0))),
            column("limit", "left", "°C", cells(&|layer| fixed(limit_c - layer.heat.peak_c, 0))),
            column("limit", "", "", cells(&|layer| verdict(layer, limit_c).word().to_owned())),
        ],
    )
}

/// Every layer with its times, with and without the heat of the cure: hours and minutes from its own pour.
pub fn stage_table(heat: &PieceHeat) -> Table {
    let columns = STAGES.into_iter().flat_map(|(stage, group)| {
        let cells = |of: fn(&PouredLayer, Stage) -> String| heat.layers.iter().map(|layer| of(layer, stage)).collect();
        let column = |head, cells| Column { group, head, unit: "h:min", cells };
        [column("heated", cells(heated)), column("plain", cells(plain))]
    });
    of_layers(heat, columns.collect())
}

/// The columns in which there is something, behind the numbers of the layers.
fn of_layers(heat: &PieceHeat, mut columns: Vec<Column>) -> Table {
    columns.retain(|column| column.cells.iter().any(|cell| !cell.is_empty()));
    let numbers = heat.layers.iter().map(|layer| layer.number.to_string()).collect();
    columns.insert(0, Column { group: "", head: "layer", unit: "", cells: numbers });
    Table { columns }
}

fn verdict(layer: &PouredLayer, limit_c: f64) -> Verdict {
    Verdict::of(layer.heat.peak_c, layer.start_c, limit_c)
}

fn heated(layer: &PouredLayer, stage: Stage) -> String {
    let known = layer.heat.stages.iter().any(|of| of.stage == stage);
    reached(known, layer.stage_h(stage))
}

fn plain(layer: &PouredLayer, stage: Stage) -> String {
    let known = layer.plain.iter().any(|of| of.stage == stage);
    reached(known, layer.plain_h(stage))
}

/// Nothing where the profile does not know the stage.
fn reached(known: bool, after_h: Option<f64>) -> String {
    match (known, after_h) {
        (false, _) => String::new(),
        (true, None) => "never".to_owned(),
        (true, Some(after_h)) => hours_words(after_h),
    }
}

/// Hours and minutes: "1:05".
pub fn hours_words(hours: f64) -> String {
    let minutes = (hours * 60.0).round().max(0.0);
    format!("{:.0}:{:02.0}", (minutes / 60.0).floor(), minutes % 60.0)
}

/// Where in the layer its hottest place lies: "top", "middle", "bottom", "4 mm down".
pub fn place_words(layer: &PouredLayer) -> String {
    let below_mm = layer.peak_below_top_mm().clamp(0.0, layer.depth_mm);
    let near = |share: f64| (below_mm - share * layer.depth_mm).abs() <= NEAR * layer.depth_mm;
    let names = [(0.0, "top"), (0.5, "middle"), (1.0, "bottom")];
    match names.into_iter().find(|(share, _)| near(*share)) {
        Some((_, name)) => name.to_owned(),
        None => format!("{} mm down", short(below_mm, usize::from(layer.depth_mm < 10.0))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::heat::testing::{layer, piece_heat};

    #[test]
    fn hours_are_said_as_on_a_clock() {
        assert_eq!([0.0, 0.25, 1.0, 1.999, 30.5].map(hours_words), ["0:00", "0:15", "1:00", "2:00", "30:30"]);
    }

    #[test]
    fn the_hottest_place_is_named_or_measured_from_the_top() {
        let at = |below_mm: f64| place_words(&layer(1, 20.0, 60.0, below_mm));
        assert_eq!([0.5, 10.2, 19.5, 4.0].map(at), ["top", "middle", "bottom", "4 mm down"]);
    }

    #[test]
    fn a_hot_layer_is_told_by_a_word_and_a_missing_stage_by_no_column() {
        let heat = piece_heat(vec![layer(1, 10.0, 60.0, 5.0), layer(2, 10.0, 85.0, 5.0), layer(3, 10.0, 95.0, 5.0)]);
        let table = peak_table(&heat);
        let words = table.columns.iter().find(|column| column.cells.iter().any(|cell| cell == "OVER")).unwrap();
        assert_eq!(words.cells, ["", "close", "OVER"]);
        assert!(table.columns.iter().all(|column| column.head != "dose"), "no dose, no column");
        let table = stage_table(&heat);
        let gel: Vec<_> = table.columns.iter().filter(|column| column.group == "gel").collect();
        assert_eq!(gel.len(), 2);
        assert_eq!((gel[0].cells[0].as_str(), gel[1].cells[0].as_str()), ("0:30", "never"));
        assert!(table.columns.iter().all(|column| column.group != "demould"));
    }
}
