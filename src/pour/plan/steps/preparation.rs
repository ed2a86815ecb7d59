//! Before anything is weighed: fit, seal, fill with water, dry, try on scrap.

use super::step;
use crate::pour::Item;
use crate::pour::plan::ground::Ground;
use crate::pour::plan::outcome::{LayerKind, LayerPlan, Step};
use crate::pour::plan::step::StepId;
use crate::pour::plan::words::{listed, mm};

pub(super) fn steps(ground: &Ground<'_>, layers: &[LayerPlan]) -> Vec<Step> {
    let porous = ground.piece.items.iter().filter(|item| item.porous).map(Item::counted).collect::<Vec<_>>();
    let mut steps = vec![dry_fit(ground, layers)];
    if !porous.is_empty() {
        let what = format!("Seal the open pores of {} all over, and let the sealer dry.", listed(&porous));
        steps.push(step(StepId::Seal, &what, "Open pores breathe bubbles into the resin for hours."));
    }
    steps.extend(water_test(ground, &porous));
    steps.push(step(
        StepId::Dry,
        "Dry vessel and items fully: wipe, then leave them in a warm, airy place for a day.",
        "Water left in the vessel clouds or ruins the casting.",
    ));
    steps.push(scrap(ground));
    steps
}

fn dry_fit(ground: &Ground<'_>, layers: &[LayerPlan]) -> Step {
    let casts = layers.iter().filter(|layer| layer.kind == LayerKind::Cast);
    let levels: Vec<String> = casts.map(|layer| mm(layer.cast.to_mm)).collect();
    let marks = if levels.is_empty() { String::new() } else { format!("; mark the levels on it: {}", listed(&levels)) };
    let items: Vec<String> = ground.piece.items.iter().map(Item::counted).collect();
    let (what, caution) = if items.is_empty() {
        ("Set the empty vessel level".to_owned(), "A vessel that leans makes every layer a wedge.")
    } else {
        (format!("Fit into the dry vessel: {}", listed(&items)), "What does not fit dry will not fit wet.")
    };
    step(StepId::DryFit, &format!("{what}{marks}."), caution)
}

fn water_test(ground: &Ground<'_>, porous: &[String]) -> [Step; 3] {
    let fill = format!(
        "Fill the vessel with water to {}; after 10 minutes look at every seam and underneath.",
        mm(ground.fill_mm())
    );
    let caution = if porous.is_empty() {
        "Resin finds every gap that water finds.".to_owned()
    } else {
        format!("Not with unsealed pores in the water: {} would drink it.", listed(porous))
    };
    [
        step(StepId::WaterTest10, &fill, &caution),
        step(
            StepId::WaterTest30,
            "After 30 minutes look again: seams, underside, level.",
            "Mend a leak now, and begin the test anew.",
        ),
        step(
            StepId::WaterTest120,
            "After 2 hours look once more, then pour the water out.",
            "A leak too slow to see empties a layer overnight.",
        ),
    ]
}

fn scrap(ground: &Ground<'_>) -> Step {
    let touching: Vec<String> = ground.piece.touching.iter().map(ToString::to_string).collect();
    let what = if touching.is_empty() {
        "Try the resin on a scrap of whatever it will touch: vessel, sealer, items.".to_owned()
    } else {
        format!("Try the resin on scrap that carries what it will touch: {}.", listed(&touching))
    };
    step(
        StepId::Scrap,
        &what,
        "Some paints and glues dissolve in resin, some keep it from setting, some let it creep under.",
    )
}
