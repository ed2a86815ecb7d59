//! What share must have reacted before a stage is reached: `needs_conversion` of `[[cure.stage]]`.

use super::figure::Origin;
use super::stages::Timed;
use crate::material::{Figure, HeatFigures};
use crate::strict::{Key, Reported, Spanned, Table, typed};
use crate::units::Conversion;

const NEEDS: Key = Key::new("needs_conversion", "0.8");

/// The need of one stage, if it has one.
pub(super) fn read(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
) -> Result<Option<Spanned<Figure<Conversion>>>, Reported> {
    table.optional(NEEDS, |field| origin.quantity(field, Conversion::new))
}

/// Reports a stage that needs less than one it follows from: the later would come and the earlier never.
pub(super) fn rising(table: &Table<'_>, stages: &[Timed]) {
    for later in stages {
        let need = |timed: &Timed| timed.time.conversion.map(|need| need.value);
        let before = stages.iter().filter(|earlier| later.time.stage.implies(earlier.time.stage));
        let most = before.filter(|earlier| need(earlier) > need(later)).max_by(|a, b| {
            let share = |timed| need(timed).map_or(0.0, Conversion::get);
            share(a).total_cmp(&share(b))
        });
        let Some((first, least)) = most.and_then(|most| Some((most.time.stage, need(most)?.get()))) else { continue };
        let (stage, least) = (later.time.stage, typed(least));
        let what = format!("'{stage}' needs less than '{first}', which needs {least} and comes first");
        let remedy = format!("write needs_conversion = {least} or more for '{stage}'");
        table.fault(later.need_span.clone().unwrap_or_else(|| later.name_span.clone()), &what, &remedy);
    }
}

/// Holds the needs against where the reaction stops. `heat` is `None` where there is no `[heat]` table.
pub(super) fn check(top: &Table<'_>, stages: &[Timed], heat: Option<&HeatFigures>) {
    let stop = heat.and_then(|heat| heat.stops).map(|stops| stops.at_reference.value);
    for timed in stages {
        let (Some(need), Some(span)) = (timed.time.conversion, timed.need_span.clone()) else { continue };
        match stop {
            None => {
                let what = "'needs_conversion' says nothing where no 'stops_at' says how far the reaction goes";
                let remedy = "add stops_at and stops_rise_per_c to [heat], or take it out";
                top.fault(span, what, remedy);
            }
            Some(stop) if need.value >= stop => {
                let stop = typed(stop.get());
                let what = format!(
                    "'{}' would never be reached at 'reference_c': there the reaction stops at {stop}",
                    timed.time.stage
                );
                let remedy = format!("write needs_conversion = a share below {stop}, or raise 'stops_at' of [heat]");
                top.fault(span, &what, &remedy);
            }
            Some(_) => {}
        }
    }
}
