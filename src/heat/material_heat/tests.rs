use super::*;
use crate::cure::Knot;
use crate::material::Catalogue;

fn profile(id: &str) -> Profile {
    Catalogue::embedded().find(id).unwrap().profile.clone()
}

fn heat(id: &str) -> MaterialHeat {
    MaterialHeat::of(&profile(id)).unwrap()
}

fn bench(c: f64) -> TemperatureCurve {
    TemperatureCurve::constant(Celsius::new(c).unwrap())
}

fn ask(mm: f64, dose: Option<f64>, c: f64) -> LayerAsk {
    LayerAsk {
        depth: Millimetres::new(mm).unwrap(),
        dose: dose.map(|percent| DosePercent::new(percent).unwrap()),
        start: Celsius::new(c).unwrap(),
    }
}

#[test]
fn the_reference_layer_keeps_the_times_of_its_profile() {
    for id in ["clear-polyester", "coating-epoxy", "deep-pour-epoxy"] {
        let (profile, heat) = (profile(id), heat(id));
        let cure = profile.thermal().unwrap();
        let ReferenceAmount::Depth(depth) = cure.reference_amount else { panic!("{id} has a reference depth") };
        let reference = cure.reference_temperature.value;
        let layer = heat.layer(&ask(depth.value.get(), None, reference.get()), &bench(reference.get()));
        for time in cure.stages.iter().filter(|time| time.stage != Stage::PotLife) {
            let (got, want) = (layer.stage_h(time.stage).unwrap(), time.after.value.get());
            assert!((got / want - 1.0).abs() < 0.01, "{id} {:?}: {got} instead of {want} h", time.stage);
        }
    }
}

#[test]
fn the_pot_life_of_the_own_cup_is_that_of_the_profile_and_that_of_a_larger_one_shorter() {
    for id in ["clear-polyester", "fast-urethane", "slow-epoxy"] {
        let (profile, heat) = (profile(id), heat(id));
        let cure = profile.thermal().unwrap();
        let room = bench(cure.reference_temperature.value.get());
        let own_g = heat.pot_life_mass_g();
        let [own, more] = [own_g, own_g * 5.0].map(|mass_g| heat.pot_life_h(mass_g, None, &room).unwrap());
        let want = cure.stage(Stage::PotLife).unwrap().after.value.get();
        assert!((own / want - 1.0).abs() < 1e-3, "{id}: {own} {want}");
        assert!(more < own, "{id}");
    }
}

#[test]
fn a_thin_layer_takes_longer_than_the_reference_and_a_deep_one_less() {
    let heat = heat("clear-polyester");
    let gel = |mm| heat.layer(&ask(mm, Some(1.0), 20.0), &bench(20.0)).stage_h(Stage::Gel).unwrap();
    assert!(gel(1.0) > gel(10.0) && gel(10.0) > gel(30.0));
    assert!((gel(10.0) - 0.5).abs() < 0.005, "the profile's own gel, of its own layer");
}

#[test]
fn the_dose_moves_speed_and_needs_together() {
    let heat = heat("clear-polyester");
    let (one, two) = (heat.resin(None), heat.resin(DosePercent::new(2.0).ok()));
    let faster = two.kinetics.k2_per_s / one.kinetics.k2_per_s;
    assert!((faster - 2f64.powf(0.9)).abs() < 1e-9);
    let (slow, fast) = (heat.clocks(None)[0], heat.clocks(DosePercent::new(2.0).ok())[0]);
    assert!((slow.age_h / fast.age_h - faster).abs() < 1e-9);
}

#[test]
fn the_peak_alone_is_that_of_the_whole_run() {
    for (id, mm, dose) in
        [("clear-polyester", 12.0, Some(1.3)), ("coating-epoxy", 6.0, None), ("deep-pour-epoxy", 40.0, None)]
    {
        let heat = heat(id);
        let ask = ask(mm, dose, 22.0);
        let (peak_c, resolved) = heat.layer_peak(&ask, &bench(22.0));
        assert!((peak_c - heat.layer(&ask, &bench(22.0)).peak_c).abs() < 1e-9 && resolved, "{id}");
    }
}

#[test]
fn a_stage_that_needs_more_than_the_cold_gives_never_comes_and_comes_once_it_is_warm() {
    let heat = heat("deep-pour-epoxy");
    assert!(heat.layer(&ask(10.0, None, 23.0), &bench(23.0)).stage_h(Stage::FullCure).is_some());
    assert_eq!(heat.layer(&ask(10.0, None, 9.0), &bench(9.0)).stage_h(Stage::FullCure), None);
    let knots =
        [(0.0, 16.0), (200.0, 16.0), (210.0, 28.0)].map(|(at_h, c)| Knot { at_h, celsius: Celsius::new(c).unwrap() });
    let warmed = TemperatureCurve::new(knots.to_vec()).unwrap();
    assert!(heat.layer(&ask(10.0, None, 16.0), &warmed).stage_h(Stage::FullCure).is_some());
}

#[test]
fn what_has_no_figures_says_so() {
    assert_eq!(MaterialHeat::of(&profile("uv-resin")).unwrap_err(), NoHeat::Light);
    assert_eq!(MaterialHeat::of(&profile("tin-silicone")).unwrap_err(), NoHeat::NoFigures);
}

#[test]
fn a_q10_becomes_the_activation_energy_of_the_same_ten_degrees() {
    // Q10 = 2 over 298.15 to 308.15 K is 52.95 kJ/mol (textbook statement; 52.948862 computed).
    let law = RateLaw::Q10(crate::units::Q10::new(2.0).unwrap());
    let RateLaw::Arrhenius(energy) = reaction_law(law, Celsius::new(25.0).unwrap()) else { panic!() };
    assert!((energy.get() - 52.948_862).abs() < 1e-6, "{energy}");
}
