//! Doses that stay cool, held against the heat of the planned piece as `heat_of` has it.

use super::AHEAD;
use crate::cure::TemperatureCurve;
use crate::heat::MaterialHeat;
use crate::material::{Profile, Stage};
use crate::pour::plan::testing::{
    after, at, block, celsius, close, cut, fresh, hot_polyester, level, mm, polyester, profile, shell, warning,
    warnings,
};
use crate::pour::plan::{Chosen, CupParts, Laid, Plan, WarningCode, plan};
use crate::pour::{Division, Item, Piece, PieceHeat, heat_of};
use crate::text::PlainText;
use crate::units::{DosePercent, Hours};
use proptest::prelude::*;

/// The test block cut into so many layers of this depth.
fn layers(count: u32, depth_mm: f64) -> Piece {
    let mut piece = cut(block(), Division::Count(count));
    piece.fill = level(f64::from(count) * depth_mm);
    (piece.layers.min, piece.layers.max) = (Some(mm(1.0)), Some(mm(60.0)));
    piece
}

fn chosen(plan: &Plan, place: usize) -> &Chosen {
    match &plan.layers[place].parts {
        CupParts::Catalysed { chosen, .. } => chosen,
        other => panic!("{other:?}"),
    }
}

fn dose(plan: &Plan, place: usize) -> f64 {
    chosen(plan, place).dose.get()
}

fn reasons(plan: &Plan, place: usize) -> String {
    chosen(plan, place).reasons.iter().map(PlainText::as_str).collect::<Vec<_>>().join("; ")
}

fn heat(piece: &Piece, profile: &Profile, plan: &Plan) -> PieceHeat {
    let bench = TemperatureCurve::constant(plan.bench);
    heat_of(piece, profile, plan, &MaterialHeat::of(profile).unwrap(), &bench).unwrap()
}

fn wanting(mut piece: Piece, hours: f64) -> Piece {
    piece.layers.next_layer_after = Some(Hours::new(hours).unwrap());
    piece
}

#[test]
fn a_deep_layer_gets_as_much_as_keeps_it_just_under_the_limit() {
    let (piece, profile) = (layers(1, 17.0), hot_polyester());
    let by_rule = fresh(&piece, &polyester());
    let plan = fresh(&piece, &profile);
    assert!(dose(&plan, 0) < dose(&by_rule, 0) && dose(&plan, 0) > 0.5, "{}", dose(&plan, 0));
    let peak_c = heat(&piece, &profile, &plan).layers[0].heat.peak_c;
    assert!((64.0..65.5).contains(&peak_c), "{peak_c}");
    close(plan.layers[0].peak_c.unwrap(), peak_c);
    let last = chosen(&plan, 0).reasons.last().unwrap().as_str();
    assert!(last.starts_with("stays under 65 °C instead of about ") && last.contains(" °C: ×0."), "{last}");
    assert!(warnings(&plan, WarningCode::LayerTooHot).is_empty());
}

#[test]
fn without_heat_nothing_changes_and_what_is_cool_stays_as_it_was() {
    let thin = layers(2, 5.0);
    let [ruled, followed] = [polyester(), hot_polyester()].map(|profile| fresh(&thin, &profile));
    for place in 0..2 {
        assert_eq!(chosen(&ruled, place), chosen(&followed, place));
        assert!(ruled.layers[place].peak_c.is_none() && followed.layers[place].peak_c.is_some());
    }
    assert_eq!(ruled.warnings, followed.warnings);
    let deep = fresh(&layers(1, 30.0), &polyester());
    close(dose(&deep, 0), 0.8);
}

#[test]
fn an_item_that_must_stay_cooler_lowers_the_dose_of_the_layer_that_heats_it() {
    let mut piece = layers(1, 12.0);
    piece.items = vec![Item { heat_limit: Some(celsius(50.0)), ..shell(0.0) }];
    let profile = hot_polyester();
    let plan = fresh(&piece, &profile);
    assert!(reasons(&plan, 0).contains("; shell stays under 50 °C instead of about "), "{}", reasons(&plan, 0));
    let seen = heat(&piece, &profile, &plan);
    let shell_c = seen.layers.iter().flat_map(|layer| &layer.items).next().unwrap().peak_c;
    assert!((47.0..50.5).contains(&shell_c), "{shell_c}");
    assert!(warnings(&plan, WarningCode::ItemTooHot).is_empty());
}

#[test]
fn where_not_even_the_least_dose_stays_cool_it_is_told() {
    let mut piece = layers(2, 34.0);
    piece.items = vec![Item { heat_limit: Some(celsius(40.0)), ..shell(0.0) }];
    let plan = fresh(&piece, &hot_polyester());
    close(dose(&plan, 0), 0.5);
    let told = warnings(&plan, WarningCode::LayerTooHot);
    let first = told[0].text.as_str();
    assert!(first.starts_with("layer 1 gets to about ") && first.contains("at 0.5 %, over the 65 °C its"), "{first}");
    assert!(told.iter().any(|told| told.text.as_str().contains("let what lies below set cold first")), "{told:?}");
    assert!(reasons(&plan, 1).ends_with("over 65 °C even at the profile's least, 0.5 %"), "{}", reasons(&plan, 1));
    let item = warning(&plan, WarningCode::ItemTooHot);
    assert!(item.starts_with("'shell' gets to about ") && item.contains("by layer 1, over its 40 °C"), "{item}");
}

#[test]
fn how_deep_it_could_be_is_told_once() {
    let plan = fresh(&layers(1, 30.0), &hot_polyester());
    let told = warning(&plan, WarningCode::LayerTooHot);
    let deepest: f64 = told.split_once("here up to about ").unwrap().1.split_once(" mm").unwrap().0.parse().unwrap();
    assert!((10.0..29.0).contains(&deepest) && told.ends_with("pour it in 2 thinner layers"), "{told}");
    assert!(warnings(&fresh(&layers(1, deepest - 1.0), &hot_polyester()), WarningCode::LayerTooHot).is_empty());
}

#[test]
fn a_material_without_a_dose_only_warns() {
    let plan = fresh(&layers(1, 40.0), &profile("coating-epoxy"));
    assert!(matches!(plan.layers[0].parts, CupParts::TwoPart { .. }));
    let told = warning(&plan, WarningCode::LayerTooHot);
    assert!(told.starts_with("layer 1 gets to about ") && told.contains("here up to about "), "{told}");
    assert!(warnings(&fresh(&layers(1, 3.0), &profile("coating-epoxy")), WarningCode::LayerTooHot).is_empty());
}

#[test]
fn the_next_layer_follows_when_it_is_wanted() {
    let profile = hot_polyester();
    for wanted_h in [0.8, 1.0] {
        let piece = wanting(layers(3, 6.0), wanted_h);
        let plan = fresh(&piece, &profile);
        assert!(warnings(&plan, WarningCode::NextLayerMissed).is_empty(), "{:?}", plan.warnings);
        let seen = heat(&piece, &profile, &plan);
        for layer in &seen.layers[..2] {
            let opens_h = layer.stage_h(Stage::NextLayerOpens).unwrap();
            assert!((opens_h / wanted_h - 1.0).abs() < 0.02, "{opens_h} for {wanted_h}");
        }
        assert!(reasons(&plan, 0).starts_with("for the next layer after "), "{}", reasons(&plan, 0));
        assert!(reasons(&plan, 2).starts_with("6.0 mm deep"), "nothing follows the last: {}", reasons(&plan, 2));
    }
}

#[test]
fn a_time_that_no_dose_keeps_is_told() {
    let soon = fresh(&wanting(layers(2, 5.0), 0.2), &hot_polyester());
    close(dose(&soon, 0), 2.0);
    let told = warning(&soon, WarningCode::NextLayerMissed);
    assert!(
        told.starts_with(
            "layer 1: the next layer is wanted after 12 min, but at the profile's largest dose, 2 %, it can"
        ),
        "{told}"
    );
    let late = fresh(&wanting(layers(2, 5.0), 48.0), &hot_polyester());
    close(dose(&late, 0), 0.5);
    assert!(
        warning(&late, WarningCode::NextLayerMissed).contains("the profile's least dose, 0.5 %, it can follow after")
    );
}

#[test]
fn what_overheats_for_the_next_layers_time_is_held_back() {
    let piece = wanting(layers(2, 15.0), 0.7);
    let plan = fresh(&piece, &hot_polyester());
    let told = warnings(&plan, WarningCode::NextLayerMissed)[0].text.as_str();
    assert!(
        told.contains("layer 1: the next layer is wanted after 42 min, but at ") && told.contains("heats less"),
        "{told}"
    );
    assert!(reasons(&plan, 0).contains("for the next layer after 42 min"), "{}", reasons(&plan, 0));
    assert!(heat(&piece, &hot_polyester(), &plan).layers[0].heat.peak_c < 65.5);
}

#[test]
fn without_heat_the_next_layers_time_is_that_of_the_clock() {
    // 55 min at 1 %, t = 55 min · (1 %/d)^0.9: 2 h 0 min at 0.42, so 0.5 is the least; 1 h at 0.91.
    let plan = fresh(&wanting(layers(2, 5.0), 1.0), &polyester());
    close(dose(&plan, 0), 0.91);
    assert!(!warning(&fresh(&wanting(layers(2, 5.0), 2.0), &polyester()), WarningCode::NextLayerMissed).is_empty());
}

#[test]
fn where_no_dose_can_move_the_next_layer_it_is_said_once() {
    let told =
        |profile| warning(&fresh(&wanting(layers(3, 5.0), 1.0), &profile), WarningCode::NextLayerMissed).to_owned();
    assert!(told(profile("deep-pour-epoxy")).contains("this material has no dose to choose"));
    let mut silent = polyester();
    if let crate::material::Cure::Thermal(cure) = &mut silent.cure {
        cure.stages.retain(|time| time.stage != Stage::NextLayerOpens);
    }
    assert!(told(silent).contains("its profile does not say when"));
}

#[test]
fn what_lies_higher_than_is_followed_takes_what_the_last_like_it_took() {
    let piece = layers(30, 2.0);
    let plan = fresh(&wanting(piece, 1.0), &hot_polyester());
    let last = AHEAD - 1;
    assert!(plan.layers[last].peak_c.is_some() && plan.layers[last + 1].peak_c.is_none());
    for place in AHEAD..29 {
        close(dose(&plan, place), dose(&plan, last));
        assert!(
            reasons(&plan, place)
                .ends_with(&format!("as layer {AHEAD}, the last such one that was followed: {} %", dose(&plan, last)))
        );
    }
}

#[test]
fn what_was_poured_lately_is_reckoned_with() {
    let (piece, profile) = (layers(2, 12.0), hot_polyester());
    let second = |ago_h: Option<f64>| {
        let mut conditions = after(1, 12.0);
        let laid = |ago_h| Laid { to_mm: 12.0, dose: DosePercent::new(1.2).ok(), ago_h };
        conditions.progress.laid = ago_h.map(laid).into_iter().collect();
        conditions.progress.warm_layers = 0;
        plan(&piece, &profile, &conditions)
    };
    let (hot, cold, unknown) = (second(Some(0.9)), second(Some(40.0)), second(None));
    assert!(dose(&hot, 0) < dose(&cold, 0), "{} on a hot layer, {} on a cold one", dose(&hot, 0), dose(&cold, 0));
    assert!((dose(&unknown, 0) - dose(&cold, 0)).abs() < 0.03, "{} {}", dose(&unknown, 0), dose(&cold, 0));
    close(dose(&second(Some(100.0)), 0), dose(&unknown, 0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn no_layer_above_the_least_dose_is_over_the_limit(
        count in 1u32..5, depth_mm in 4.0f64..16.0, bench_c in 14.0f64..28.0, topping: bool, wish in prop::option::of(0.6f64..3.0)
    ) {
        let mut piece = layers(count, depth_mm);
        piece.layers.topping = topping;
        piece.layers.next_layer_after = wish.map(|hours| Hours::new(hours).unwrap());
        piece.fill = level(piece.fill.get().min(69.0));
        let profile = hot_polyester();
        let plan = plan(&piece, &profile, &at(Some(bench_c)));
        for (place, layer) in heat(&piece, &profile, &plan).layers.iter().enumerate() {
            prop_assert!((plan.layers[place].peak_c.unwrap() - layer.heat.peak_c).abs() < 1e-6);
            let least = dose(&plan, place) < 0.505;
            prop_assert!(least || layer.heat.peak_c < 65.5, "layer {} at {}: {}", layer.number, dose(&plan, place), layer.heat.peak_c);
        }
    }
}
