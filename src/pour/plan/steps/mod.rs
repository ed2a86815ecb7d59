//! The order of work: what is tried dry and with water, what is weighed and tinted, what is poured.

mod batch;
mod pouring;
mod preparation;

use super::ground::Ground;
use super::items::Floater;
use super::outcome::{LayerPlan, MasterBatch, Step};
use super::step::StepId;
use crate::text::PlainText;

/// All steps before the pour, then those of the layers that are left.
pub(super) fn steps(
    ground: &Ground<'_>,
    layers: &[LayerPlan],
    master: &MasterBatch,
    floaters: &[Floater<'_>],
) -> Vec<Step> {
    let mut steps = preparation::steps(ground, layers);
    steps.extend(batch::steps(ground, layers, master));
    steps.extend(pouring::steps(ground, layers, floaters));
    steps
}

fn step(id: StepId, what: &str, caution: &str) -> Step {
    Step {
        id,
        what: PlainText::new(what),
        caution: Some(PlainText::new(caution)).filter(|caution| !caution.is_empty()),
    }
}
