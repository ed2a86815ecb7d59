//! What is weighed and tinted once, and whether there is enough of it.

use super::conditions::Progress;
use super::ground::Ground;
use super::outcome::{LayerPlan, MasterBatch, Short};
use super::warning::{Warning, WarningCode};
use super::words::{percent, weighed};
use crate::pour::TintKind;
use crate::units::Percent;

/// Nearer than this in proportion, what is there does: rounding.
const ROUNDING: f64 = 1e-6;

/// The resin of all `layers` and the reserve; of a two-part system part A alone, with the tint of both parts in it.
pub(super) fn batch(ground: &Ground<'_>, layers: &[LayerPlan], warnings: &mut Vec<Warning>) -> MasterBatch {
    let reserve = ground.piece.supplies.reserve.get() / 100.0;
    let dished_g: f64 = layers.iter().map(LayerPlan::dished_g).sum();
    let tint_g: f64 = layers.iter().map(|layer| layer.tint_g).sum();
    check_tint(ground, warnings);
    let short = short(ground, layers, reserve);
    if let Some(short) = short {
        say_short(ground, layers, short, warnings);
    }
    used_up(ground, layers, warnings);
    MasterBatch {
        resin_g: dished_g * (1.0 + reserve),
        tint_g: tint_g * (1.0 + reserve),
        reserve_g: dished_g * reserve,
        short,
    }
}

fn short(ground: &Ground<'_>, layers: &[LayerPlan], reserve: f64) -> Option<Short> {
    let on_hand_g = (ground.piece.supplies.resin_on_hand?.get() - ground.progress.used_g).max(0.0);
    let needed_g = all_g(layers) * (1.0 + reserve);
    let mut used_g = 0.0;
    let does = layers.iter().take_while(|layer| {
        used_g += layer.resin_g;
        used_g <= on_hand_g
    });
    let reaches = does.last().map(|layer| layer.number);
    (on_hand_g < needed_g).then_some(Short { on_hand_g, needed_g, reaches })
}

fn say_short(ground: &Ground<'_>, layers: &[LayerPlan], short: Short, warnings: &mut Vec<Warning>) {
    let resin = |grams| weighed(grams, ground.piece.scales.resin, 1);
    let last = layers.last().map(|layer| layer.number);
    let does = match short.reaches {
        reaches if reaches == last => "it does for every layer, but not for the reserve".to_owned(),
        Some(reaches) => format!("it does up to layer {reaches} of {}", last.unwrap_or(reaches)),
        None => "it does not do for a single layer".to_owned(),
    };
    let text = format!(
        "{} of resin at hand, {} needed with the reserve: {does}; get more before you begin, or cast less",
        resin(short.on_hand_g),
        resin(short.needed_g)
    );
    warnings.push(Warning::of_piece(WarningCode::ResinShort, &text));
    if ground.piece.tint.is_some() && short.reaches != last {
        let text = "a second tinting never quite matches the first: it will show as a line; get the resin for all layers \
                    and tint it at once, or cast less";
        warnings.push(Warning::of_piece(WarningCode::SecondTint, text));
    }
}

/// Says where what was tinted at the beginning, with its reserve, does not do for the layers that are left.
fn used_up(ground: &Ground<'_>, layers: &[LayerPlan], warnings: &mut Vec<Warning>) {
    let said = warnings.iter().any(|warning| warning.code == WarningCode::SecondTint);
    if said || ground.piece.tint.is_none() || ground.progress.poured == 0 {
        return;
    }
    let needed_g = all_g(layers);
    let left_g = (tinted_g(ground) - ground.progress.poured_g).max(0.0);
    if needed_g > left_g * (1.0 + ROUNDING) {
        let resin = |grams| weighed(grams, ground.piece.scales.resin, 1);
        let text = format!(
            "about {} of resin were tinted more than is poured, and the layers that are left take {}: a second tinting \
             never quite matches the first and will show as a line; fill less high, or match the shade on scrap first",
            resin(left_g),
            resin(needed_g)
        );
        warnings.push(Warning::of_piece(WarningCode::SecondTint, &text));
    }
}

/// The resin that was tinted before anything was poured, the reserve included; of a two-part system both parts together.
fn tinted_g(ground: &Ground<'_>) -> f64 {
    let progress = Progress::default();
    let start = Ground { progress: &progress, ..*ground };
    let layers = super::weighed(&start, super::layers::cuts(&start), None, &mut Vec::new());
    all_g(&layers) * (1.0 + ground.piece.supplies.reserve.get() / 100.0)
}

fn all_g(layers: &[LayerPlan]) -> f64 {
    layers.iter().map(|layer| layer.resin_g).sum()
}

/// How much of it a resin usually takes, percent by mass (common practice).
fn usual_percent(kind: TintKind) -> f64 {
    match kind {
        TintKind::Dye => 3.0,
        TintKind::Paste => 10.0,
        TintKind::Powder => 5.0,
    }
}

fn check_tint(ground: &Ground<'_>, warnings: &mut Vec<Warning>) {
    let Some(tint) = &ground.piece.tint else { return };
    let resin = ground.profile.tint_max.filter(|_| tint.kind != TintKind::Dye).map(|most| most.value);
    let limits = [
        (tint.max.map(Percent::get), "its label allows"),
        (resin.map(Percent::get), "the resin takes"),
        (Some(usual_percent(tint.kind)), "a resin usually takes of its kind"),
    ];
    let least = limits.into_iter().filter_map(|(most, whose)| Some((most?, whose))).min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((most, whose)) = least.filter(|(most, _)| tint.loading.get() > *most) else { return };
    let text = format!(
        "{} of {} is over the {} {whose}: the cast may stay soft or tacky; tint weaker, or choose a stronger tint",
        percent(tint.loading.get()),
        tint.name,
        percent(most)
    );
    warnings.push(Warning::of_piece(WarningCode::TintTooStrong, &text));
}

#[cfg(test)]
mod tests {
    use crate::pour::plan::testing::{
        after, block, close, dye, fresh, grams, label, losing, percent, polyester, profile, warning, warnings,
    };
    use crate::pour::plan::{WarningCode, plan};
    use crate::pour::{Piece, Tint, TintKind};

    fn tinted(loading: f64) -> Piece {
        let mut piece = losing(block(), 4.0);
        piece.tint = Some(dye(loading));
        piece.supplies.reserve = percent(10.0);
        piece
    }

    #[test]
    fn the_master_batch_is_all_resin_and_its_reserve() {
        let plan = fresh(&tinted(0.05), &polyester());
        let resin = 600.0 * 1.13 + 12.0;
        close(plan.master.resin_g, resin * 1.1);
        close(plan.master.reserve_g, resin * 0.1);
        close(plan.master.tint_g, resin * 1.1 * 0.0005);
        assert_eq!(plan.master.short, None);
    }

    #[test]
    fn of_two_parts_the_tint_of_both_goes_into_part_a() {
        let plan = fresh(&tinted(0.05), &profile("deep-pour-epoxy"));
        close(plan.master.resin_g, plan.totals.part_a_g * 1.1);
        close(plan.master.tint_g, (plan.totals.part_a_g + plan.totals.part_b_g) * 1.1 * 0.0005);
    }

    #[test]
    fn too_little_resin_says_how_far_it_goes() {
        // 230 g a layer, 759 g with the reserve.
        let short = |on_hand: f64, tint: bool| {
            let mut piece = tinted(0.05);
            piece.tint = piece.tint.filter(|_| tint);
            piece.supplies.resin_on_hand = Some(grams(on_hand));
            fresh(&piece, &polyester())
        };
        assert_eq!(short(760.0, true).master.short, None);
        for (on_hand, reaches) in
            [(758.0, Some(3)), (689.0, Some(2)), (460.0, Some(2)), (459.0, Some(1)), (229.0, None)]
        {
            assert_eq!(short(on_hand, true).master.short.unwrap().reaches, reaches, "{on_hand}");
        }
        close(short(500.0, true).master.short.unwrap().needed_g, 759.0);
        assert!(warning(&short(500.0, true), WarningCode::ResinShort).contains("it does up to layer 2 of 3"));
        assert!(warning(&short(500.0, true), WarningCode::SecondTint).contains("will show as a line"));
        assert!(warnings(&short(500.0, false), WarningCode::SecondTint).is_empty());
        assert!(warnings(&short(758.0, true), WarningCode::SecondTint).is_empty(), "the reserve alone is short");
    }

    #[test]
    fn a_second_tinting_is_told_once_the_master_batch_does_not_do() {
        // 690 g and 10 % were tinted; 230 g a layer.
        let told = |tint: bool, poured_g: f64, level_mm: f64| {
            let mut piece = tinted(0.05);
            piece.tint = piece.tint.filter(|_| tint);
            let mut conditions = after(1, level_mm);
            conditions.progress.poured_g = poured_g;
            let plan = plan(&piece, &polyester(), &conditions);
            warnings(&plan, WarningCode::SecondTint).first().map(|told| told.text.to_string())
        };
        assert_eq!(told(true, 230.0, 20.0), None);
        assert_eq!(told(true, 299.0, 20.0), None, "the reserve makes it good");
        // 20 mm leaked away down to 4: 56 mm are left, 632.8 g in three cups.
        let text = told(true, 230.0, 4.0).unwrap();
        assert!(text.starts_with("about 529.0 g of resin were tinted more than is poured"), "{text}");
        assert!(text.contains("take 644.8 g") && text.contains("will show as a line"), "{text}");
        assert_eq!(told(false, 230.0, 4.0), None, "clear resin shows no line");
    }

    #[test]
    fn the_lowest_of_three_limits_holds_for_a_tint() {
        let told = |kind: TintKind, loading: f64, max: Option<f64>| {
            let mut piece = block();
            piece.tint = Some(Tint { kind, max: max.map(percent), ..dye(loading) });
            let mut profile = polyester();
            profile.tint_max = Some(label(percent(8.0)));
            let plan = fresh(&piece, &profile);
            warnings(&plan, WarningCode::TintTooStrong).first().map(|told| told.text.as_str().to_owned())
        };
        assert_eq!(told(TintKind::Dye, 3.0, None), None);
        assert!(told(TintKind::Dye, 3.1, None).unwrap().contains("over the 3 % a resin usually takes of its kind"));
        assert!(told(TintKind::Paste, 8.1, None).unwrap().contains("over the 8 % the resin takes"));
        assert!(told(TintKind::Powder, 5.1, None).unwrap().contains("over the 5 %"));
        assert!(told(TintKind::Paste, 2.1, Some(2.0)).unwrap().contains("over the 2 % its label allows"));
    }
}
