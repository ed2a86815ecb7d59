//! The plan as a whole: what holds for any piece, and the order of work.

use super::testing::{
    after, block, close, cut, dye, fresh, grams, label, level, losing, mm, polyester, profile, shell, tops, warnings,
};
use super::{CupParts, Plan, StepId, WarningCode, plan};
use crate::pour::{Division, Item, Piece, Shape, Space, Vessel};
use crate::units::{Level, Millilitres, Percent};
use proptest::prelude::*;

fn words(plan: &Plan) -> Vec<String> {
    plan.steps.iter().map(|step| step.id.to_string()).collect()
}

fn what(plan: &Plan, id: StepId) -> &str {
    plan.steps.iter().find(|step| step.id == id).map_or("", |step| step.what.as_str())
}

#[test]
fn the_order_of_work() {
    let mut piece = losing(block(), 4.0);
    piece.items = vec![Item { porous: true, ..shell(20.0) }];
    piece.tint = Some(dye(0.05));
    piece.touching = vec![crate::text::PlainText::new("acrylic paint")];
    let plan = fresh(&piece, &polyester());
    assert_eq!(
        words(&plan),
        [
            "dry-fit",
            "seal",
            "water-test-10",
            "water-test-30",
            "water-test-120",
            "dry",
            "scrap",
            "trial-cup",
            "tint",
            "divide",
            "pour-1",
            "bed-2",
            "pour-2",
            "pour-3",
            "cover"
        ]
    );
    assert!(plan.steps.iter().all(|step| step.caution.is_some()));
    assert_eq!(
        what(&plan, StepId::Tint),
        "Weigh 667.4 g of resin, stir in 0.33 g of blue-green dye (0.05 % of the resin); let the bubbles rise."
    );
    assert_eq!(
        what(&plan, StepId::Divide),
        "Weigh tinted resin into cups numbered by layer: 1: 230.1 g, 2: 207.5 g, 3: 230.1 g."
    );
    assert_eq!(
        what(&plan, StepId::Pour(2)),
        "Stir 1.60 g of catalyst (0.77 %; 1.45 mL) into cup 2, 207.5 g of tinted resin; pour 180.0 mL from 20.0 up to 40.0 mm."
    );
    assert!(what(&plan, StepId::Scrap).contains("acrylic paint"));
}

#[test]
fn several_cups_of_a_layer_are_mixed_one_by_one() {
    let mut small = polyester();
    small.batch_mass.max = Some(label(grams(100.0)));
    let plan = fresh(&losing(block(), 4.0), &small);
    assert_eq!(
        what(&plan, StepId::Pour(1)),
        "Stir 0.76 g of catalyst (0.96 %; 0.69 mL) into each of the 3 cups of layer 1, one after another, 79.3 g of \
         resin in each; pour 200.0 mL from 0.0 up to 20.0 mm."
    );
    assert!(what(&plan, StepId::Divide).ends_with("1 to 3: 3 cups of 79.3 g each."), "{}", what(&plan, StepId::Divide));
}

#[test]
fn what_is_poured_is_no_step_any_more() {
    let plan = plan(&block(), &polyester(), &after(2, 40.0));
    let pours: Vec<String> = words(&plan).into_iter().filter(|word| word.starts_with("pour")).collect();
    assert_eq!(pours, ["pour-3"]);
    assert_eq!(words(&plan)[0], "dry-fit");
}

#[test]
fn a_one_part_resin_is_neither_dosed_nor_divided() {
    let mut piece = block();
    piece.layers.max = Some(mm(60.0));
    let plan = fresh(&piece, &profile("uv-resin"));
    assert!(!words(&plan).contains(&"divide".to_owned()));
    let pour = plan.steps.iter().find(|step| step.id == StepId::Pour(1)).unwrap();
    assert!(pour.caution.as_ref().unwrap().as_str().starts_with("Light 1 to 2 mm at a time"), "{pour:?}");
}

#[test]
fn volumes_are_offered_only_where_they_are_of_the_bare_parts() {
    let mut piece = block();
    let epoxy = profile("deep-pour-epoxy");
    assert!(what(&fresh(&piece, &epoxy), StepId::Pour(1)).contains("or by volume alone"));
    piece.tint = Some(dye(0.1));
    assert!(!what(&fresh(&piece, &epoxy), StepId::Pour(1)).contains("by volume"));
}

#[test]
fn a_cold_night_and_a_topping_are_waited_for() {
    let mut piece = block();
    piece.layers.cold_after = vec![1];
    piece.layers.topping = true;
    let plan = fresh(&piece, &polyester());
    assert!(what(&plan, StepId::Pour(2)).starts_with("Once layer 1 has set cold, sanded if its window has closed: "));
    assert!(what(&plan, StepId::Pour(4)).starts_with("Topping, once the casting has cured and sunk"));
}

#[test]
fn two_hundred_cups_are_not_listed() {
    let mut piece = block();
    piece.items = (1..=30).map(|n| Item { count: n, ..shell(f64::from(n) * 1.9) }).collect();
    piece.items.iter_mut().for_each(|item| {
        item.solid = crate::pour::Solid::Even { volume: Millilitres::new(1.0).unwrap(), height: mm(2.0) }
    });
    piece.layers.min = Some(mm(0.1));
    let plan = fresh(&piece, &polyester());
    assert!(what(&plan, StepId::Divide).ends_with("as the layers say."), "{}", what(&plan, StepId::Divide));
}

#[test]
fn ten_thin_layers_take_eight_more_cups_than_two_thick_ones() {
    let resin = |count| fresh(&cut(losing(block(), 4.0), Division::Count(count)), &polyester()).totals.resin_g;
    close(resin(10) - resin(2), 8.0 * 4.0);
}

#[test]
fn warnings_come_in_the_order_of_their_codes() {
    let mut piece = cut(block(), Division::Count(60));
    piece.scales.catalyst = grams(1.0);
    let plan = fresh(&piece, &polyester());
    assert!(plan.warnings.is_sorted_by_key(|told| (told.code, told.layer)));
    assert_eq!(warnings(&plan, WarningCode::LayerTooThin).len(), 60);
}

fn any_vessel() -> impl Strategy<Value = Vessel> {
    let side = || (20.0f64..300.0).prop_map(mm);
    let shape = prop_oneof![
        (side(), side(), side()).prop_map(|(length, width, height)| Shape::Box { length, width, height }),
        (side(), side()).prop_map(|(diameter, height)| Shape::Cylinder { diameter, height }),
    ];
    prop::collection::vec(shape, 1..3).prop_map(|shapes| Vessel::stack(shapes).unwrap())
}

/// Any piece whose items fit: small against their vessel and below its fill.
fn any_piece() -> impl Strategy<Value = Piece> {
    let division = prop_oneof![
        Just(Division::Fewest),
        (1u32..12).prop_map(Division::Count),
        prop::collection::vec(0.05f64..1.0, 1..8).prop_map(|shares| {
            // Shares of the fill; made depths below.
            Division::Depths(shares.into_iter().map(mm).collect())
        }),
    ];
    let item = (0.0f64..0.8, 0.05f64..0.2, 0.1f64..20.0, any::<bool>());
    let wishes = (prop::collection::vec(0.02f64..0.98, 0..3), 4.0f64..60.0, any::<bool>(), 0.0f64..9.0);
    (any_vessel(), 0.3f64..1.0, division, prop::collection::vec(item, 0..4), wishes)
        .prop_map(|(vessel, share, division, items, (levels, max, topping, loss))| {
            let fill = vessel.height_mm() * share;
            let division = match division {
                Division::Depths(shares) => {
                    let whole: f64 = shares.iter().map(|share| share.get()).sum();
                    Division::Depths(shares.iter().map(|share| mm(share.get() / whole * fill)).collect())
                }
                other => other,
            };
            let mut piece = losing(block(), loss);
            piece.vessel = vessel;
            piece.fill = level(fill);
            piece.items = items
                .into_iter()
                .map(|(from, height, ml, bedded)| Item {
                    bedded,
                    solid: crate::pour::Solid::Even {
                        volume: Millilitres::new(ml / 10.0).unwrap(),
                        height: mm(height * fill),
                    },
                    ..shell(from * fill)
                })
                .collect();
            piece.layers.levels = levels.into_iter().map(|share| level(share * fill)).collect();
            (piece.layers.max, piece.layers.topping) = (Some(mm(max)), topping);
            piece.layers.division = division;
            piece
        })
        .prop_filter("items with more in them than the vessel has room for are refused when a piece is read", |piece| {
            let items: f64 = piece.items.iter().map(|item| item.solid.volume_ml()).sum();
            items < 0.9 * piece.vessel.volume_below_ml(piece.fill.get())
        })
}

proptest! {
    #[test]
    fn the_layers_fill_what_the_items_leave(piece in any_piece()) {
        let plan = fresh(&piece, &polyester());
        let casts: Vec<_> = plan.layers.iter().filter(|layer| layer.kind == super::LayerKind::Cast).collect();
        let poured: f64 = casts.iter().map(|layer| layer.cast.volume_ml).sum();
        let room = piece.vessel.volume_below_ml(piece.fill.get()) - plan.totals.displaced_ml;
        prop_assert!((poured - room).abs() <= 1e-9 * room, "{poured} {room}");
        let mut level = 0.0;
        for (number, layer) in (1..).zip(&casts) {
            prop_assert_eq!(layer.number, number);
            prop_assert!((layer.cast.from_mm - level).abs() < 1e-12 && layer.cast.to_mm > layer.cast.from_mm);
            level = layer.cast.to_mm;
        }
        prop_assert!((level - piece.fill.get()).abs() < 1e-12);
    }

    #[test]
    fn every_given_level_is_a_boundary_and_no_layer_too_deep(piece in any_piece()) {
        let plan = fresh(&piece, &polyester());
        let tops = tops(&plan);
        let beds = piece.items.iter().filter(|item| item.bedded && item.from.get() > 0.01).map(|item| item.from);
        for wanted in piece.layers.levels.iter().copied().chain(beds).map(Level::get) {
            prop_assert!(tops.iter().any(|top| (top - wanted).abs() <= 0.01), "{wanted} {tops:?}");
        }
        if piece.layers.division == Division::Fewest {
            let max = piece.layers.max.unwrap().get();
            let casts = plan.layers.iter().filter(|layer| layer.kind == super::LayerKind::Cast);
            prop_assert!(casts.map(|layer| layer.cast.depth_mm()).all(|depth| depth <= max + 1e-4));
        }
        let laid: usize = plan.layers.iter().map(|layer| layer.bedded.len()).sum();
        prop_assert_eq!(laid, piece.items.len(), "everything is laid in, and once");
    }

    #[test]
    fn what_is_left_after_any_layer_is_the_rest_of_the_plan(piece in any_piece(), stop: prop::sample::Index) {
        let whole = fresh(&piece, &polyester());
        let casts = whole.layers.iter().filter(|layer| layer.kind == super::LayerKind::Cast).count();
        let poured = stop.index(casts);
        let level = whole.layers[..poured].last().map_or(0.0, |layer| layer.cast.to_mm);
        let rest = plan(&piece, &polyester(), &after(u32::try_from(poured).unwrap(), level));
        prop_assert_eq!(rest.layers.len(), whole.layers.len() - poured);
        for (left, planned) in rest.layers.iter().zip(&whole.layers[poured..]) {
            prop_assert_eq!((left.number, left.kind, &left.bedded), (planned.number, planned.kind, &planned.bedded));
            prop_assert!((left.cast.to_mm - planned.cast.to_mm).abs() < 1e-9, "{left:?} {planned:?}");
        }
    }

    #[test]
    fn totals_are_sums_and_the_topping_is_what_shrinks(piece in any_piece(), shrinks in 0.5f64..9.0) {
        let mut profile = polyester();
        profile.shrinkage.value = Percent::new(shrinks).unwrap();
        let plan = fresh(&piece, &profile);
        let sum: f64 = plan.layers.iter().map(|layer| layer.resin_g).sum();
        prop_assert!((sum - plan.totals.resin_g).abs() <= 1e-9 * sum);
        let catalyst = |layer: &super::LayerPlan| match layer.parts {
            CupParts::Catalysed { catalyst_g, .. } => catalyst_g,
            _ => f64::NAN,
        };
        let catalyst: f64 = plan.layers.iter().map(catalyst).sum();
        prop_assert!((catalyst - plan.totals.catalyst_g).abs() <= 1e-9 * catalyst);
        if let Some(topping) = plan.layers.iter().find(|layer| layer.kind == super::LayerKind::Topping) {
            let room = Space::new(&piece.vessel, &piece.items).volume_below_ml(piece.fill.get());
            prop_assert!((topping.cast.volume_ml - room * shrinks / 100.0).abs() <= 1e-6 * room);
        }
    }
}
