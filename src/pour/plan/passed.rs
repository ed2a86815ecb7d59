//! Items whose bed the last pour went over: they are laid in where the resin really stands.

use super::conditions::Progress;
use super::division::Planned;
use super::ground::{Ground, SAME_MM};
use super::warning::{Warning, WarningCode};
use super::words::mm;
use crate::pour::{Item, Piece};
use crate::units::Level;

/// The piece with every such item raised to the level of the resin; `None` where there is none.
pub(super) fn raised(ground: &Ground<'_>, warnings: &mut Vec<Warning>) -> Option<Piece> {
    let level = Level::new(ground.progress.level_mm).ok()?;
    let planned = Planned::new(ground);
    let mut piece = None;
    for (place, item) in
        ground.piece.items.iter().enumerate().filter(|(_, item)| passed(ground.progress, &planned, item))
    {
        let text = format!(
            "'{}' was to be laid in at {}, but the resin went over that and stands at {}: lay it in there, it ends \
             higher by as much",
            item.name,
            mm(item.from.get()),
            mm(level.get())
        );
        warnings.push(Warning::of_layer(WarningCode::BedPassed, ground.progress.poured + 1, &text));
        piece.get_or_insert_with(|| ground.piece.clone()).items[place].from = level;
    }
    piece
}

/// Whether the last pour began below the item's bed, so that the item was not in the vessel yet, and ended too far above
/// it for the bed to count as just missed.
fn passed(progress: &Progress, planned: &Planned<'_>, item: &Item) -> bool {
    let (bed, level) = (item.from.get(), progress.level_mm);
    let Some(began) = progress.last_from_mm.filter(|_| item.bedded && !progress.topped) else { return false };
    began + SAME_MM < bed && bed < level - SAME_MM && !planned.begins_at(bed, began) && !planned.begins_at(bed, level)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::plan::testing::{after, all_close, block, close, polyester, shell, tops, warning, warnings};
    use crate::pour::plan::{Conditions, StepId, plan};

    fn poured(from_mm: f64, level_mm: f64) -> Conditions {
        let mut conditions = after(2, level_mm);
        conditions.progress.last_from_mm = Some(from_mm);
        conditions
    }

    #[test]
    fn what_was_to_lie_below_the_resin_is_laid_onto_it() {
        let mut piece = block();
        piece.items = vec![shell(30.0)];
        let over = plan(&piece, &polyester(), &poured(15.0, 36.0));
        assert_eq!(over.layers[0].bedded, [0]);
        assert!(warning(&over, WarningCode::BedPassed).starts_with("'shell' was to be laid in at 30.0 mm, but"));
        let bed = over.steps.iter().find(|step| step.id == StepId::Bed(3)).unwrap();
        assert!(bed.what.as_str().contains("the resin at 36.0 mm"), "{bed:?}");
        all_close(&tops(&over), &[48.0, 60.0]);
        close(over.totals.volume_ml, 240.0 - 20.0);
    }

    #[test]
    fn what_lies_in_its_bed_already_is_left_there() {
        let mut piece = block();
        piece.items = vec![shell(30.0)];
        for (from_mm, level_mm) in [(15.0, 30.0), (15.0, 31.0), (29.0, 45.0), (30.0, 45.0), (31.0, 45.0), (45.0, 60.0)]
        {
            let plan = plan(&piece, &polyester(), &poured(from_mm, level_mm));
            assert!(warnings(&plan, WarningCode::BedPassed).is_empty(), "{from_mm} {level_mm}");
        }
    }
}
