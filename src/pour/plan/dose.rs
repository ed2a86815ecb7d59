//! How much catalyst a layer takes by rule: by its depth, by what lies below it, by the bench, within the profile's limits.

use super::ground::Ground;
use super::words::{mm, percent, short};
use crate::cure::dose_for_rate;
use crate::material::{Mixing, ThermalCure};
use crate::units::{Celsius, DosePercent};

/// A factor nearer to 1 than this changes no dose that can be weighed.
const IDLE: f64 = 0.005;

/// A dose is taken to hundredths of a per cent.
const TO_THE_PERCENT: f64 = 100.0;

/// Where a layer lies.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub number: u32,
    pub depth_mm: f64,
    /// Layers below it that are still warm.
    pub warm_below: u32,
    /// Whether another one is poured onto it while it is warm.
    pub followed: bool,
}

/// What a profile allows.
#[derive(Debug, Clone, Copy)]
pub(super) struct Doses {
    pub least: DosePercent,
    pub most: DosePercent,
}

/// A dose by rule, and why.
#[derive(Debug, Clone)]
pub(super) struct Ruled {
    /// Before the profile's limits, to a hundredth of a per cent.
    pub wanted: f64,
    pub dose: DosePercent,
    pub reasons: Vec<String>,
    pub limit: Option<AtLimit>,
}

/// Which limit held a dose.
#[derive(Debug, Clone)]
pub(super) struct AtLimit {
    pub at: String,
    /// What that does.
    pub so: String,
}

/// The profile's doses; `None` for a material that has none.
pub(super) fn doses(ground: &Ground<'_>) -> Option<Doses> {
    let Mixing::Catalysed { min, max, .. } = &ground.profile.mixing else { return None };
    Some(Doses { least: min.value, most: max.value })
}

/// The whole hundredths of a per cent nearest to `percent`.
pub(super) fn hundredths(percent: f64) -> f64 {
    (percent * TO_THE_PERCENT).round()
}

/// A dose of so many hundredths of a per cent.
pub(super) fn of_hundredths(hundredths: f64) -> Option<DosePercent> {
    DosePercent::new(hundredths / TO_THE_PERCENT).ok()
}

/// The dose of one layer; `None` for a material that has none.
///
/// dose = dose(depth) · factor(stack) · rate(bench)^(−1/n), taken to a hundredth of a per cent, so that what is printed
/// is what is weighed, and then into the profile's limits. The last factor keeps the stage times of the reference
/// temperature (see [`dose_for_rate`]).
pub(super) fn ruled(ground: &Ground<'_>, place: Place) -> Option<Ruled> {
    let Mixing::Catalysed { min, usual, max, dose_rule, .. } = &ground.profile.mixing else { return None };
    let mut reasons = Vec::new();
    let mut dose = usual.value.get();
    if let Some(rule) = dose_rule {
        dose = rule.percent_at(place.depth_mm);
        reasons.push(format!("{} deep: {}", mm(place.depth_mm), percent(dose)));
        let factor = rule.warm_stack.as_ref().map_or(1.0, |stack| stack.factor(place.warm_below));
        if (factor - 1.0).abs() >= IDLE {
            reasons.push(format!("onto {}: ×{}", warm(place.warm_below), short(factor)));
        }
        dose *= factor;
    } else {
        reasons.push(format!("the usual dose: {}", percent(dose)));
    }
    let cure = ground.profile.thermal();
    if let Some((factor, reason)) = cure.and_then(|cure| at_bench(cure, ground.bench)) {
        dose *= factor;
        reasons.push(reason);
    }
    let wanted = hundredths(dose).max(1.0) / TO_THE_PERCENT;
    let dose = wanted.clamp(min.value.get(), max.value.get());
    let dose = DosePercent::new(dose).unwrap_or(usual.value);
    Some(Ruled { wanted, dose, reasons, limit: at_limit(cure, wanted, dose) })
}

fn warm(layers: u32) -> String {
    if layers == 1 { "a warm layer".to_owned() } else { format!("{layers} warm layers") }
}

/// The factor for the bench's temperature, and the reason.
///
/// Below the floor no dose makes the resin set: more catalyst would only wait there to overheat once somebody warms the
/// room, so the dose stays that of the reference temperature.
fn at_bench(cure: &ThermalCure, bench: Celsius) -> Option<(f64, String)> {
    let (reference, floor) = (cure.reference_temperature.value, cure.floor.value);
    let (bench_c, reference_c) = (short(bench.get()), short(reference.get()));
    if bench < floor {
        let reason = format!(
            "bench {bench_c} °C: no dose makes up for less than {} °C; dosed as for {reference_c} °C",
            short(floor.get())
        );
        return Some((1.0, reason));
    }
    let factor = dose_for_rate(cure.law.value.rate(bench.get(), reference), cure.dose_exponent?.value);
    ((factor - 1.0).abs() >= IDLE)
        .then(|| (factor, format!("bench {bench_c} °C instead of {reference_c} °C: ×{}", short(factor))))
}

/// Which limit held the dose, and what that does to the times: (wanted/dose)^n, where the profile knows n.
fn at_limit(cure: Option<&ThermalCure>, wanted: f64, dose: DosePercent) -> Option<AtLimit> {
    if (wanted - dose.get()).abs() < 0.5 / TO_THE_PERCENT {
        return None;
    }
    let longer = cure.and_then(|cure| cure.dose_exponent).map(|exponent| (wanted / dose.get()).powf(exponent.value));
    let about = |share: f64| format!(" by about {:.0} %", share * 100.0);
    let most = percent(dose.get());
    Some(if wanted > dose.get() {
        let slower = longer.map(|longer| about(longer - 1.0)).unwrap_or_default();
        AtLimit { at: format!("at the profile's largest, {most}"), so: format!("it will be slower{slower}") }
    } else {
        let faster = longer.map(|longer| about(1.0 - longer)).unwrap_or_default();
        AtLimit { at: format!("at the profile's least, {most}"), so: format!("it will be faster{faster}, and hotter") }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::Profile;
    use crate::pour::plan::outcome::Chosen;
    use crate::pour::plan::testing::{all_close, at, block, close, cut, mm as depth, polyester, profile, warnings};
    use crate::pour::plan::warning::WarningCode;
    use crate::pour::plan::{Conditions, CupParts, Plan, plan};
    use crate::pour::{Division, Piece};
    use crate::text::PlainText;

    fn chosen(plan: &Plan) -> Vec<Chosen> {
        let chosen = plan.layers.iter().map(|layer| match &layer.parts {
            CupParts::Catalysed { chosen, .. } => chosen.clone(),
            other => panic!("{other:?}"),
        });
        chosen.collect()
    }

    fn doses(piece: &Piece, profile: &Profile, conditions: &Conditions) -> Vec<f64> {
        chosen(&plan(piece, profile, conditions)).iter().map(|chosen| chosen.dose.get()).collect()
    }

    fn reasons(chosen: &Chosen) -> Vec<&str> {
        chosen.reasons.iter().map(PlainText::as_str).collect()
    }

    fn six() -> Piece {
        cut(block(), Division::Count(6))
    }

    #[test]
    fn each_warm_layer_below_takes_something_off() {
        // 10 mm: 1.6 · (10/6)^(ln(1.2/1.6)/ln(13/6)) = 1.323 %; then 0.8, 0.6 and 0.4 of it, not under 0.5.
        let plan = plan(&six(), &polyester(), &at(None));
        let all = chosen(&plan);
        let doses: Vec<f64> = all.iter().map(|chosen| chosen.dose.get()).collect();
        all_close(&doses, &[1.32, 1.06, 0.79, 0.53, 0.53, 0.53]);
        assert_eq!(reasons(&all[0]), ["10.0 mm deep: 1.32 %"]);
        assert_eq!(reasons(&all[1]), ["10.0 mm deep: 1.32 %", "onto a warm layer: ×0.8"]);
        assert_eq!(reasons(&all[5]), ["10.0 mm deep: 1.32 %", "onto 5 warm layers: ×0.4"]);
    }

    #[test]
    fn a_layer_that_has_set_cold_makes_the_next_one_a_first_one() {
        let mut piece = six();
        piece.layers.cold_after = vec![2];
        all_close(&doses(&piece, &polyester(), &at(None))[..4], &[1.32, 1.06, 1.32, 1.06]);
        piece.layers.topping = true;
        let topping = *doses(&piece, &polyester(), &at(None)).last().unwrap();
        close(topping, 1.79); // 4.2 mm, cold: 2 · (4.2/3)^(ln(1.6/2)/ln 2)
    }

    #[test]
    fn after_a_pour_the_bench_says_how_many_layers_are_warm() {
        let after = |warm_layers| {
            let mut conditions = crate::pour::plan::testing::after(2, 20.0);
            conditions.progress.warm_layers = warm_layers;
            doses(&six(), &polyester(), &conditions)[0]
        };
        all_close(&[after(0), after(1), after(2)], &[1.32, 1.06, 0.79]);
    }

    #[test]
    fn a_cooler_bench_takes_more() {
        // q10 2, n 0.9: 2^(0.3/0.9) at 17 °C.
        let plan = plan(&six(), &polyester(), &at(Some(17.0)));
        let first = &chosen(&plan)[0];
        close(first.dose.get(), 1.67);
        assert_eq!(reasons(first), ["10.0 mm deep: 1.32 %", "bench 17 °C instead of 20 °C: ×1.26"]);
        assert!(warnings(&plan, WarningCode::DoseAtLimit).is_empty());
    }

    #[test]
    fn the_profiles_limits_hold_and_it_is_said_what_that_does() {
        let cool = plan(&cut(block(), Division::Count(12)), &polyester(), &at(Some(14.0)));
        // 5 mm at 14 °C would take 2.69 %: (2.69/2)^0.9 = 1.31 times as long.
        let first = &chosen(&cool)[0];
        close(first.dose.get(), 2.0);
        assert_eq!(reasons(first)[2], "at the profile's largest, 2 %: it will be slower by about 31 %");
        assert_eq!(warnings(&cool, WarningCode::DoseAtLimit)[0].layer, Some(1));
        let warm = plan(&six(), &polyester(), &at(Some(27.0)));
        let last = chosen(&warm).pop().unwrap();
        close(last.dose.get(), 0.5);
        assert!(reasons(&last)[3].starts_with("at the profile's least, 0.5 %: it will be faster by about"), "{last:?}");
    }

    #[test]
    fn a_limit_is_told_also_where_nobody_knows_what_it_does_to_the_times() {
        let mut profile = polyester();
        if let crate::material::Cure::Thermal(cure) = &mut profile.cure {
            cure.dose_exponent = None;
        }
        if let Mixing::Catalysed { min, .. } = &mut profile.mixing {
            min.value = DosePercent::new(0.8).unwrap();
        }
        let plan = plan(&six(), &profile, &at(None));
        let told = warnings(&plan, WarningCode::DoseAtLimit);
        assert_eq!(told[0].text.as_str(), "layer 3: at the profile's least, 0.8 %: it will be faster, and hotter");
    }

    #[test]
    fn no_dose_makes_up_for_a_bench_below_the_floor() {
        let plan = plan(&six(), &polyester(), &at(Some(9.0)));
        let first = &chosen(&plan)[0];
        close(first.dose.get(), 1.32);
        assert_eq!(reasons(first)[1], "bench 9 °C: no dose makes up for less than 13 °C; dosed as for 20 °C");
    }

    #[test]
    fn without_a_rule_the_usual_dose_holds_for_every_layer() {
        let mut plain = polyester();
        if let Mixing::Catalysed { dose_rule, .. } = &mut plain.mixing {
            *dose_rule = None;
        }
        let plan = plan(&six(), &plain, &at(None));
        assert!(chosen(&plan).iter().all(|chosen| reasons(chosen) == ["the usual dose: 1 %"]));
    }

    #[test]
    fn only_catalyst_is_dosed() {
        let mut piece = block();
        piece.layers.max = Some(depth(30.0));
        let plan = plan(&piece, &profile("deep-pour-epoxy"), &at(Some(17.0)));
        assert!(plan.layers.iter().all(|layer| matches!(layer.parts, CupParts::TwoPart { .. })));
    }
}
