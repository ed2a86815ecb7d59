//! Stages must come in the order in which they really happen.

use super::stages::Timed;
use crate::material::Stage;
use crate::strict::{Problem, Table, typed_duration};
use crate::units::Hours;

/// Reports every stage that is there twice, and each that comes before one it follows from. `stages` are sorted.
pub(super) fn check(table: &Table<'_>, stages: &[Timed]) {
    for [first, second] in stages.array_windows() {
        let stage = second.time.stage;
        if first.time.stage == stage {
            let what = format!("the stage '{stage}' is there twice");
            let remedy = "keep one of the two [[cure.stage]] tables";
            table.report(Problem::new(second.name_span.clone(), &what, Some(stage.key()), remedy));
        }
    }
    for later in stages {
        let too_late = stages
            .iter()
            .filter(|earlier| comes_after(later, earlier))
            .max_by(|a, b| a.time.after.value.get().total_cmp(&b.time.after.value.get()));
        if let Some(earlier) = too_late {
            report(table, later, earlier);
        }
    }
}

/// Whether `earlier` must come first and does not. A window must have a length; other stages may coincide.
fn comes_after(later: &Timed, earlier: &Timed) -> bool {
    let window = later.time.stage == Stage::NextLayerCloses && earlier.time.stage == Stage::NextLayerOpens;
    let (at, before) = (later.time.after.value, earlier.time.after.value);
    later.time.stage.implies(earlier.time.stage) && (at < before || window && at <= before)
}

fn report(table: &Table<'_>, later: &Timed, earlier: &Timed) {
    let (stage, first) = (later.time.stage, earlier.time.stage);
    let at = words(earlier.time.after.value);
    let what = if stage == Stage::NextLayerCloses && first == Stage::NextLayerOpens {
        format!("the next-layer window closes before it opens, at {at}")
    } else {
        format!("'{stage}' cannot come before '{first}', at {at}")
    };
    let remedy = format!("write after = a duration above {at}, or an earlier one for '{first}'");
    let value = words(later.time.after.value);
    table.report(Problem::new(later.after_span.clone(), &what, Some(&value), &remedy));
}

/// The duration as it would be typed in the file.
pub(super) fn words(hours: Hours) -> String {
    let whole = std::time::Duration::from_secs_f64(hours.seconds().round());
    typed_duration(whole)
}
