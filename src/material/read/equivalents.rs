//! The ratio of an epoxy by the equivalent weights of its parts.

use super::figure::Origin;
use super::ratio::Way;
use crate::material::{Equivalents, Figure};
use crate::strict::{Key, Reported, Spanned, Table};
use crate::units::GramsPerEq;

pub(super) const EPOXIDE: Key = Key::new("epoxide_equivalent_g", "190");
pub(super) const HYDROGEN: Key = Key::new("hydrogen_equivalent_g", "50");

/// Both equivalents or neither; they stand at the place of the hardener's.
pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Option<Spanned<Equivalents>>, Reported> {
    let mut weight = |key| table.optional(key, |field| origin.quantity(field, GramsPerEq::new));
    let (epoxide, hydrogen) = (weight(EPOXIDE), weight(HYDROGEN));
    match (epoxide?, hydrogen?) {
        (Some(epoxide), Some(hydrogen)) => {
            let span = hydrogen.span();
            let equivalents = Equivalents { epoxide: epoxide.into_inner(), hydrogen: hydrogen.into_inner() };
            Ok(Some(Spanned::new(span, equivalents)))
        }
        (Some(_), None) => Err(table.missing(HYDROGEN)),
        (None, Some(_)) => Err(table.missing(EPOXIDE)),
        (None, None) => Ok(None),
    }
}

/// The ratio by weight they make; its origin is the hardener's.
pub(super) fn way(equivalents: &Spanned<Equivalents>) -> Way {
    let Equivalents { epoxide, hydrogen } = equivalents.get_ref();
    Way {
        by_weight: Figure { value: equivalents.get_ref().by_weight(), from: hydrogen.from },
        span: equivalents.span(),
        value: hydrogen.value.get().to_string(),
        because: format!("{} g/eq of hardener to {} g/eq of resin", hydrogen.value.get(), epoxide.value.get()),
        remedy: |_| "correct the equivalents".to_owned(),
    }
}
