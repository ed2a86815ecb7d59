//! Items that would not stay where they are put.

use super::ground::{Ground, SAME_MM};
use super::outcome::LayerPlan;
use super::warning::{Warning, WarningCode};
use crate::pour::{Fixing, Item};

/// An item that is lighter than the resin.
#[derive(Debug, Clone)]
pub(super) struct Floater<'p> {
    pub item: &'p Item,
    /// Grams each of them pulls upwards once it is covered.
    pub pull_g: f64,
    /// The first layer that is left to pour and touches it.
    pub layer: u32,
}

/// The items that are lighter than the resin and that no layer which has set holds yet, held or loose.
///
/// Upward pull of an item that is covered = (ρ resin − ρ item) · volume (Archimedes), in grams as a scale would show it.
/// One that stands out of the resin pulls less, but may tip over and float lying down.
pub(super) fn floaters<'p>(ground: &Ground<'p>, layers: &[LayerPlan]) -> Vec<Floater<'p>> {
    let floater = |(place, item): (usize, &'p Item)| {
        let lighter = ground.resin_density() - item.density?.get();
        let layer = first_to_touch(item, place, layers)?;
        (lighter > 0.0).then(|| Floater { item, pull_g: lighter * item.solid.volume_ml(), layer })
    };
    ground.piece.items.iter().enumerate().filter_map(floater).collect()
}

/// `None` where resin that has been poured holds it already.
fn first_to_touch(item: &Item, place: usize, layers: &[LayerPlan]) -> Option<u32> {
    let from = item.from.get();
    let first = layers.first()?;
    let laid = layers.iter().find(|layer| layer.bedded.contains(&place));
    let reached = layers.iter().find(|layer| layer.cast.to_mm > from + SAME_MM);
    laid.or(reached.filter(|_| from >= first.cast.from_mm - SAME_MM)).map(|layer| layer.number)
}

pub(super) fn check(floaters: &[Floater<'_>], warnings: &mut Vec<Warning>) {
    for Floater { item, pull_g, layer } in floaters.iter().filter(|floater| floater.item.fixing == Fixing::Loose) {
        let each = if item.count > 1 { format!(" each of the {}", item.count) } else { String::new() };
        let text = format!(
            "'{}' is lighter than the resin and pulls up with {pull_g:.1} g{each} once it is covered, from layer {layer} \
             on: pin it, weigh it down, or pour half its height, let that gel, then go on",
            item.name
        );
        warnings.push(Warning::of_layer(WarningCode::ItemFloats, *layer, &text));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::plan::testing::{after, block, fresh, polyester, shell, warning, warnings};
    use crate::pour::plan::{StepId, plan};
    use crate::units::GramsPerMl;

    fn seedhead(from_mm: f64) -> Item {
        Item { name: crate::text::PlainText::new("seedhead"), density: GramsPerMl::new(0.63).ok(), ..shell(from_mm) }
    }

    #[test]
    fn what_is_lighter_than_the_resin_floats() {
        let mut piece = block();
        piece.items = vec![shell(20.0), Item { count: 3, ..seedhead(20.0) }];
        // (1.13 − 0.63) g/mL · 20 mL.
        let told = fresh(&piece, &polyester());
        let text = warning(&told, WarningCode::ItemFloats);
        assert!(
            text.starts_with(
                "'seedhead' is lighter than the resin and pulls up with 10.0 g each of the 3 once it is covered, from layer 2 on"
            )
        );
        piece.items = vec![Item { density: None, ..seedhead(20.0) }];
        assert!(warnings(&fresh(&piece, &polyester()), WarningCode::ItemFloats).is_empty());
    }

    #[test]
    fn what_is_held_gets_a_caution_only() {
        let mut piece = block();
        piece.items = vec![Item { fixing: Fixing::Held, bedded: false, ..seedhead(25.0) }];
        let plan = fresh(&piece, &polyester());
        assert!(warnings(&plan, WarningCode::ItemFloats).is_empty());
        let pour = plan.steps.iter().find(|step| step.id == StepId::Pour(2)).unwrap();
        assert!(pour.caution.as_ref().unwrap().as_str().starts_with("seedhead would float: see that it is held."));
    }

    #[test]
    fn resin_that_has_set_holds_it() {
        let mut piece = block();
        piece.items = vec![Item { bedded: false, ..seedhead(15.0) }, seedhead(20.0)];
        let told = |poured, level_mm| {
            let plan = plan(&piece, &polyester(), &after(poured, level_mm));
            warnings(&plan, WarningCode::ItemFloats).iter().map(|told| told.layer).collect::<Vec<_>>()
        };
        assert_eq!(told(0, 0.0), [Some(1), Some(2)]);
        assert_eq!(told(1, 20.0), [Some(2)]);
        assert_eq!(told(2, 40.0), []);
    }
}
