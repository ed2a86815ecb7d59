//! What everybody who casts knows. Common practice, without a source.

use crate::support::{c, mm};
use nightpour::cure::TemperatureCurve;
use nightpour::heat::{LayerAsk, LayerHeat, MaterialHeat};
use nightpour::material::{Catalogue, Stage};
use nightpour::units::DosePercent;

fn heat(material: &str) -> MaterialHeat {
    MaterialHeat::of(&Catalogue::embedded().find(material).unwrap().profile).unwrap()
}

fn layer(heat: &MaterialHeat, depth_mm: f64, dose_percent: f64) -> LayerHeat {
    let dose = Some(DosePercent::new(dose_percent).unwrap());
    heat.layer(&LayerAsk { depth: mm(depth_mm), dose, start: c(20.0) }, &TemperatureCurve::constant(c(20.0)))
}

#[test]
fn ten_millimetres_of_polyester_stay_cool_when_dosed_as_usual() {
    let heat = heat("clear-polyester");
    let limit = heat.peak_limit().get();
    let usual = layer(&heat, 10.0, 1.0);
    let strong = layer(&heat, 10.0, 2.0);
    let deep = layer(&heat, 30.0, 1.0);
    println!("limit {limit}: 10 mm at 1 % {:.1}, at 2 % {:.1}, 30 mm {:.1}", usual.peak_c, strong.peak_c, deep.peak_c);
    assert!(usual.peak_c < limit);
    assert!(strong.peak_c > limit);
    assert!(deep.peak_c > limit);
    assert!(usual.resolved && strong.resolved && deep.resolved);
}

#[test]
fn a_cup_sets_many_times_sooner_than_a_film_of_the_same_mix() {
    let bench = TemperatureCurve::constant(c(23.0));
    for material in ["coating-epoxy", "clear-polyester"] {
        let heat = heat(material);
        // A cup that is past its peak is hard.
        let in_the_cup = heat.cup(140.0, None, &bench).peak_h;
        let ask = LayerAsk { depth: mm(1.0), dose: None, start: c(23.0) };
        let as_a_film = heat.layer(&ask, &bench).stage_h(Stage::Demould).unwrap();
        println!("{material}: 140 g in a cup {in_the_cup:.2} h, a film of 1 mm {as_a_film:.2} h");
        assert!(as_a_film > 5.0 * in_the_cup, "{material}: {in_the_cup} and {as_a_film}");
    }
}
