//! The temperature rule of a material or of one stage.

use super::figure::Origin;
use crate::cure::RateLaw;
use crate::material::Figure;
use crate::strict::{Key, Problem, Reported, Table};
use crate::units::{KjPerMol, Q10};

pub(super) const Q10_KEY: Key = Key::new("q10", "2");
const Q10_WAS: Key = Key::new("q10_was", "2");
const ACTIVATION_WAS: Key = Key::new("activation_kj_per_mol_was", "53");
pub(super) const ACTIVATION: Key = Key::new("activation_kj_per_mol", "53");

/// The rule given in `table`, if one is: by q10 or by activation energy, never both.
pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Option<Figure<RateLaw>>, Reported> {
    let q10 = table.optional(Q10_KEY, |field| origin.quantity(field, Q10::new));
    let activation = table.optional(ACTIVATION, |field| origin.quantity(field, KjPerMol::new));
    match (q10?, activation?) {
        (Some(_), Some(activation)) => {
            let value = activation.get_ref().value.get().to_string();
            let what = "'q10' and 'activation_kj_per_mol' are two rules for one thing";
            let remedy = "keep the one your label gives and take the other out";
            Err(table.report(Problem::new(activation.span(), what, Some(&value), remedy)))
        }
        (Some(q10), None) => Ok(Some(carry(q10.into_inner(), RateLaw::Q10))),
        (None, Some(energy)) => Ok(Some(carry(energy.into_inner(), RateLaw::Arrhenius))),
        (None, None) => Ok(None),
    }
}

/// The rule as it was before it was learned.
pub(super) fn was(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Option<Figure<RateLaw>>, Reported> {
    let q10 = table.optional(Q10_WAS, |field| origin.quantity(field, Q10::new));
    let activation = table.optional(ACTIVATION_WAS, |field| origin.quantity(field, KjPerMol::new));
    Ok(match (q10?, activation?) {
        (Some(q10), _) => Some(carry(q10.into_inner(), RateLaw::Q10)),
        (None, Some(energy)) => Some(carry(energy.into_inner(), RateLaw::Arrhenius)),
        (None, None) => None,
    })
}

fn carry<T>(figure: Figure<T>, law: impl FnOnce(T) -> RateLaw) -> Figure<RateLaw> {
    Figure { value: law(figure.value), from: figure.from }
}
