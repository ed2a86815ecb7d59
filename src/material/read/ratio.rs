//! A ratio of two parts as it is written, and two ways to one ratio held against each other.

use crate::material::{Figure, Ratio};
use crate::strict::{Field, Key, Mistake, Problem, Reported, Spanned, Table};
use std::ops::Range;

/// How far two ways to the ratio by weight may be from each other: labels round.
const TOLERANCE: f64 = 0.03;

/// One way in which a file says how the parts are weighed.
pub(super) struct Way {
    pub by_weight: Figure<Ratio>,
    pub span: Range<usize>,
    /// As written.
    pub value: String,
    /// What it is worked out from, in words.
    pub because: String,
    /// What would be written to change it.
    pub remedy: fn(&str) -> String,
}

impl Way {
    /// The label's own ratio.
    pub fn by_weight(ratio: Spanned<Figure<Ratio>>) -> Self {
        let span = ratio.span();
        let by_weight = ratio.into_inner();
        let value = format!("{}:{}", by_weight.value.a, by_weight.value.b);
        let remedy = |follows: &str| format!("write by_weight = \"{follows}\"");
        Self { by_weight, span, because: "'by_weight'".to_owned(), value, remedy }
    }

    /// Reports that this ratio is not the one `computed` from other figures: those of one bottle cannot differ by more
    /// than the label's rounding. `because` says in words what was computed, `figures` which ones may be wrong.
    pub fn hold_against(&self, table: &Table<'_>, computed: Ratio, because: &str, figures: &str) {
        let weight = self.by_weight.value;
        let off = (weight.b / weight.a) / (computed.b / computed.a) - 1.0;
        if off.abs() > TOLERANCE {
            let follows = format!("{}:{:.1}", weight.a, weight.a * computed.b / computed.a);
            let what = format!("{} disagrees with another ratio: {because} is {follows} by weight", self.because);
            let remedy = format!("{}, or correct {figures} from the label", (self.remedy)(&follows));
            table.report(Problem::new(self.span.clone(), &what, Some(&self.value), &remedy));
        }
    }
}

/// Reads `"100:83"`.
pub(super) fn read(field: Field<'_>, key: Key) -> Result<Spanned<Ratio>, Reported> {
    field.parsed(|text| {
        let part = |text: &str| text.trim().parse().ok().filter(|part: &f64| part.is_finite() && *part > 0.0);
        match text.split_once(':').map(|(a, b)| (part(a), part(b))) {
            Some((Some(a), Some(b))) => Ok(Ratio { a, b }),
            _ => Err(Mistake {
                what: format!("'{}' is no ratio of two figures above zero", key.name),
                remedy: format!("write parts of A and parts of B with a colon between, as in {key}"),
            }),
        }
    })
}
