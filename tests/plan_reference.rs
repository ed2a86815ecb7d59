//! The planner against figures from outside the project. The source stands beside each check.

#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use nightpour::cure::{
    AgeCurve, CureRule, Outlook, RateLaw, RoomSpread, StageModel, TemperatureCurve, dose_factor, dose_for_rate,
};
use nightpour::material::{
    Catalogue, Cure, Equivalents, Figure, MaterialId, Mixing, Profile, Provenance, Stage, read_profile,
};
use nightpour::pour::{
    Conditions, CupParts, Division, LayerWishes, Piece, Plan, Prices, Progress, Scales, Shape, Supplies, TestCup, Tint,
    TintKind, Vessel, plan,
};
use nightpour::text::PlainText;
use nightpour::units::{
    Celsius, CupLoss, DosePercent, Grams, GramsPerEq, Hours, KjPerMol, Level, Millimetres, Percent, Q10,
};

fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

fn percent(value: f64) -> Percent {
    Percent::new(value).unwrap()
}

fn celsius(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want} ± {tolerance}");
}

fn embedded(id: &str) -> Profile {
    Catalogue::embedded().find(id).unwrap().profile.clone()
}

/// A two-part resin whose label gives `ratio` and the densities; everything else is invented.
fn two_part(ratio: &str, density_a: f64, density_b: f64) -> Profile {
    let source = format!(
        r#"
name = "Invented epoxy"
summary = "For these checks"
from = "label"
density_g_per_ml = 1.06
shrinkage_percent = 3
cautions = ["Read the label."]
[mixing]
rule = "two-part"
{ratio}
density_a_g_per_ml = {density_a}
density_b_g_per_ml = {density_b}
[cure]
by = "time and temperature"
reference_c = 23
reference_mass_g = 100
floor_c = 13
ceiling_c = 30
[[cure.stage]]
stage = "gel"
after = "6h"
test = "no string"
"#
    );
    read_profile(MaterialId::new("invented").unwrap(), &source).unwrap().value
}

/// 40 mm of resin in a box of 100 by 100 mm, cut as `division` says; nothing is lost.
fn slab(division: Division) -> Piece {
    let shape = Shape::Box { length: mm(100.0), width: mm(100.0), height: mm(50.0) };
    Piece {
        name: PlainText::new("slab"),
        material: MaterialId::new("invented").unwrap(),
        vessel: Vessel::stack([shape]).unwrap(),
        walls: None,
        fill: Level::new(40.0).unwrap(),
        items: Vec::new(),
        layers: LayerWishes {
            min: None,
            max: None,
            division,
            levels: Vec::new(),
            cold_after: Vec::new(),
            topping: false,
            next_layer_after: None,
        },
        tint: None,
        supplies: Supplies {
            resin_on_hand: None,
            reserve: percent(0.0),
            cup_loss: CupLoss::new(0.0).unwrap(),
            bottle: None,
            prices: Prices { currency: PlainText::new("pounds"), resin: None, catalyst: None, tint: None },
        },
        scales: Scales { resin: Grams::new(0.1).unwrap(), catalyst: Grams::new(0.01).unwrap() },
        bench: None,
        touching: Vec::new(),
    }
}

fn planned(piece: &Piece, profile: &Profile, bench: Option<Celsius>) -> Plan {
    plan(piece, profile, &Conditions { bench, progress: Progress::default() })
}

/// Parts of B to 100 parts of A in the first layer: by weight, by volume.
fn parts_of_b(profile: &Profile) -> [f64; 2] {
    let plan = planned(&slab(Division::Fewest), profile, None);
    let CupParts::TwoPart { a_g, b_g, a_ml, b_ml } = plan.layers[0].parts else { panic!("two parts") };
    [b_g / a_g, b_ml / a_ml].map(|share| share * 100.0)
}

#[test]
fn parts_per_hundred_of_an_amine_hardener() {
    // Textbook stoichiometry of epoxy and amine: phr = AHEW · 100 / EEW; 20.6 g/eq on 200 g/eq is 10.3.
    let figure = |value| Figure { value: GramsPerEq::new(value).unwrap(), from: Provenance::Label };
    let ratio = Equivalents { epoxide: figure(200.0), hydrogen: figure(20.6) }.by_weight();
    close(100.0 * ratio.b / ratio.a, 10.3, 1e-12);
    let profile = two_part("epoxide_equivalent_g = 200\nhydrogen_equivalent_g = 20.6", 1.16, 0.98);
    close(parts_of_b(&profile)[0], 10.3, 1e-9);
}

#[test]
fn by_weight_from_by_volume() {
    // wA/wB = (vA ρA)/(vB ρB). Worked by hand: 0.963/1.16 = 0.8302; 1.0/(2 · 1.13) = 0.4425.
    for (ratio, a, b, by_weight, by_volume) in [("1:1", 1.16, 0.963, 83.0, 100.0), ("2:1", 1.13, 1.0, 44.2, 50.0)] {
        let [weight, volume] = parts_of_b(&two_part(&format!("by_volume = \"{ratio}\""), a, b));
        close(weight, by_weight, 0.05);
        close(volume, by_volume, 1e-9);
    }
}

#[test]
fn a_column_of_volumes_weighs_what_the_layer_takes() {
    // Conservation of mass: 100 mL of A at 1.16 and 100 mL of B at 0.963 weigh 212.3 g.
    let profile = two_part("by_volume = \"1:1\"", 1.16, 0.963);
    let plan = planned(&slab(Division::Fewest), &profile, None);
    let CupParts::TwoPart { a_ml, b_ml, .. } = plan.layers[0].parts else { panic!("two parts") };
    close(a_ml, plan.layers[0].resin_g / 2.123, 1e-9);
    close(b_ml, a_ml, 1e-12);
}

#[test]
fn light_through_tinted_resin() {
    // Law of Beer and Lambert (IUPAC Gold Book, decadic absorbance A = −lg T, proportional to path and concentration):
    // half the light through 10 mm is a sixteenth, 6.25 %, through 40 mm.
    let cup = TestCup { depth: mm(10.0), light: percent(50.0), loading: percent(0.05) };
    let mut piece = slab(Division::Count(4));
    piece.tint = Some(Tint {
        name: PlainText::new("invented dye"),
        kind: TintKind::Dye,
        loading: percent(0.05),
        max: None,
        test_cup: Some(cup),
    });
    let opacity = planned(&piece, &embedded("clear-polyester"), None).opacity.unwrap();
    close(opacity.absorbance_per_mm, 0.030_103, 1e-6);
    for (light, want) in opacity.light_percent.iter().zip([6.25, 12.5, 25.0, 50.0]) {
        close(*light, want, 1e-9);
    }
}

/// When a stage of `hours` at the reference dose is reached at a steady temperature, by the cure model itself.
fn reached(law: RateLaw, reference: Celsius, bench: Celsius, hours: f64, factor: f64) -> f64 {
    let rule = CureRule { law, reference, floor: None };
    let ages = AgeCurve::new(&TemperatureCurve::constant(bench), rule, 0.0);
    let spread = nightpour::units::SpreadFactor::new(1.4).unwrap();
    let model = StageModel { age: Hours::new(hours * factor).unwrap(), spread, least_c: None, doubt: None };
    model
        .predict(&ages, &Outlook { measured_until_h: Some(0.0), now_h: 0.0, spread: RoomSpread::Unwatched }, None)
        .likely
        .unwrap()
}

#[test]
fn a_dose_that_makes_up_for_the_bench_keeps_the_time() {
    // The cure model of this program: t = D (d_ref/d)^n / rate(T), solved for the d that leaves t as it is.
    let reference = celsius(20.0);
    let usual = DosePercent::new(1.0).unwrap();
    let laws = [RateLaw::Q10(Q10::new(2.0).unwrap()), RateLaw::Arrhenius(KjPerMol::new(53.0).unwrap())];
    for law in laws {
        for (bench, exponent) in [(14.0, 0.9), (17.0, 0.9), (23.0, 0.5), (31.0, 1.2)] {
            let bench = celsius(bench);
            let dose = DosePercent::new(dose_for_rate(law.rate(bench.get(), reference), exponent)).unwrap();
            let at_bench = reached(law, reference, bench, 0.5, dose_factor(usual, dose, exponent));
            let at_reference = reached(law, reference, reference, 0.5, 1.0);
            close(at_bench, at_reference, 1e-9);
        }
    }
}

#[test]
fn the_planned_dose_gels_a_layer_when_the_reference_dose_would() {
    // The same identity through the whole planner, to what a dose of two decimals allows: a hundredth of a per cent. It is
    // the rule's alone: what is known of the heat would lower the dose of a warm bench.
    let mut profile = embedded("clear-polyester");
    if let Cure::Thermal(cure) = &mut profile.cure {
        cure.heat = None;
    }
    let cure = profile.thermal().unwrap();
    let gel = cure.stage(Stage::Gel).unwrap().after.value.get();
    let (reference, exponent) = (cure.reference_temperature.value, cure.dose_exponent.unwrap().value);
    let dose = |bench: f64| {
        let plan = planned(&slab(Division::Count(4)), &profile, Some(celsius(bench)));
        let CupParts::Catalysed { ref chosen, .. } = plan.layers[0].parts else { panic!("catalysed") };
        chosen.dose
    };
    let at_reference = reached(cure.law.value, reference, reference, gel, 1.0);
    for bench in [17.0, 18.5, 22.0, 26.0] {
        let factor = dose_factor(dose(20.0), dose(bench), exponent);
        let at_bench = reached(cure.law.value, reference, celsius(bench), gel, factor);
        close(at_bench / at_reference, 1.0, 0.01);
    }
}

#[test]
fn single_layers_take_the_doses_of_the_trade() {
    // Common practice: 2, 1.6, 1.2, 1 and 0.8 % for single layers of 3, 6, 13, 19 and 25 mm; four drops on the second
    // layer where the first took five, then three, then two.
    let profile = embedded("clear-polyester");
    let Mixing::Catalysed { dose_rule: Some(rule), .. } = &profile.mixing else { panic!("a dose rule") };
    for (depth_mm, dose) in [(3.0, 2.0), (6.0, 1.6), (13.0, 1.2), (19.0, 1.0), (25.0, 0.8)] {
        close(rule.percent_at(depth_mm), dose, 1e-12);
    }
    let stack = rule.warm_stack.as_ref().unwrap();
    for (warm_below, drops) in [(0, 5.0), (1, 4.0), (2, 3.0), (3, 2.0), (7, 2.0)] {
        close(5.0 * stack.factor(warm_below), drops, 1e-12);
    }
}
