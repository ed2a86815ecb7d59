//! The warnings of a plan, those of one kind together.

use super::groups::{gathered, layers_words, without_figures};
use crate::pour::{Plan, Warning};

/// The words of every warning; one for all layers that have the same but for their figures.
pub fn warnings(plan: &Plan) -> Vec<String> {
    grouped(&plan.warnings)
}

fn grouped(warnings: &[Warning]) -> Vec<String> {
    let kinds =
        gathered(warnings, |warning| (warning.code, warning.layer.is_some(), without_figures(warning.text.as_str())));
    let words = |((_, of_layers, _), alike): (_, Vec<&Warning>)| {
        if of_layers {
            vec![of_layers_words(&alike)]
        } else {
            alike.iter().map(|warning| warning.text.to_string()).collect()
        }
    };
    kinds.into_iter().flat_map(words).collect()
}

fn of_layers_words(alike: &[&Warning]) -> String {
    let mut layers: Vec<u32> = alike.iter().filter_map(|warning| warning.layer).collect();
    layers.sort_unstable();
    layers.dedup();
    let of = layers_words(&layers);
    let text = alike.first().map_or("", |first| first.text.as_str());
    let one_text = alike.iter().all(|warning| warning.text.as_str() == text);
    match layers.as_slice() {
        // The usual case: the words name their layer.
        [_] if one_text && text.contains(&of) => text.to_owned(),
        _ if one_text => format!("{of}: {text}"),
        // The figures are those of the first.
        _ => format!("{of} alike; {text}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::WarningCode;
    use crate::text::PlainText;

    fn warning(code: WarningCode, layer: Option<u32>, text: &str) -> Warning {
        Warning { code, layer, text: PlainText::new(text) }
    }

    #[test]
    fn one_kind_over_several_layers_is_one_line() {
        let thin = |layer| warning(WarningCode::LayerTooThin, Some(layer), &format!("layer {layer} is thin"));
        assert_eq!(grouped(&[thin(2)]), ["layer 2 is thin"]);
        assert_eq!(grouped(&[thin(2), thin(3), thin(4)]), ["layers 2 to 4 alike; layer 2 is thin"]);
        let floats = |layer| warning(WarningCode::ItemFloats, Some(layer), "the shells float");
        assert_eq!(grouped(&[floats(3)]), ["layer 3: the shells float"]);
        assert_eq!(grouped(&[floats(3), floats(4)]), ["layers 3 and 4: the shells float"]);
    }

    #[test]
    fn what_differs_in_more_than_its_figures_stays_apart() {
        let at =
            |layer, limit: &str| warning(WarningCode::DoseAtLimit, Some(layer), &format!("layer {layer}: {limit}"));
        let all = [at(1, "at the largest"), at(2, "at the least"), at(3, "at the least")];
        assert_eq!(grouped(&all), ["layer 1: at the largest", "layers 2 and 3 alike; layer 2: at the least"]);
        let of_piece = |text| warning(WarningCode::ItemFloats, None, text);
        assert_eq!(
            grouped(&[of_piece("a floats by 1"), of_piece("a floats by 2")]),
            ["a floats by 1", "a floats by 2"]
        );
    }
}
