use super::*;
use crate::material::Catalogue;

/// An invented layer that gets 2 °C hotter for each mm and each per cent of its dose, and gels in 1 h at 1 %.
fn invented(ask: LayerAsk) -> SweepCell {
    let dose = ask.dose.map_or(1.0, DosePercent::get);
    let peak_c = ask.start.get() + 2.0 * ask.depth.get() * dose;
    SweepCell { ask, peak_c, peak_h: 1.2 / dose, gel_h: Some(1.0 / dose), resolved: true }
}

fn suggested(material: &str, depth_mm: f64, limit_c: f64, gel_within_h: f64) -> Suggestion {
    let catalogue = Catalogue::embedded();
    let profile = &catalogue.find(material).unwrap().profile;
    let wish = SuggestAsk {
        layer: LayerAsk { depth: Millimetres::new(depth_mm).unwrap(), dose: None, start: Celsius::ROOM },
        limit: Celsius::new(limit_c).unwrap(),
        gel_within: Hours::new(gel_within_h).unwrap(),
    };
    let model = Model { profile, wish: &wish, cell: &invented };
    Suggestion { deepest: model.deepest(), doses: model.doses(), ways: model.ways(), limit: wish.limit }
}

fn dose(cell: SweepCell) -> f64 {
    cell.ask.dose.unwrap().get()
}

#[test]
fn the_deepest_layer_is_the_last_tenth_within_the_limit() {
    // 20 °C + 2 °C/mm: 50.3 °C at 15.15 mm.
    let deepest = suggested("clear-polyester", 10.0, 50.3, 4.0).deepest.unwrap();
    assert!(!deepest.held && (deepest.cell.ask.depth.get() - 15.1).abs() < 1e-9, "{deepest:?}");
    let held = suggested("clear-polyester", 10.0, 150.0, 4.0).deepest.unwrap();
    assert!(held.held && (held.cell.ask.depth.get() - 20.0).abs() < 1e-9, "never deeper than the profile's");
    assert_eq!(suggested("clear-polyester", 10.0, 25.0, 4.0).deepest, None, "even the thinnest is too hot");
}

#[test]
fn doses_run_from_the_weakest_in_time_to_the_strongest_within_the_limit() {
    // Gel within 1.5 h from 0.667 % on; 10 mm stay under 50.5 °C up to 1.525 %.
    let [weakest, strongest] = suggested("clear-polyester", 10.0, 50.5, 1.5).doses.unwrap().range().unwrap();
    assert!((dose(weakest) - 0.67).abs() < 1e-9 && (dose(strongest) - 1.52).abs() < 1e-9, "{weakest:?} {strongest:?}");
}

#[test]
fn where_no_dose_does_both_it_says_so() {
    let crossed = suggested("clear-polyester", 10.0, 32.0, 1.0).doses.unwrap();
    assert!(
        (dose(crossed.weakest.unwrap()) - 1.0).abs() < 1e-9 && (dose(crossed.strongest.unwrap()) - 0.6).abs() < 1e-9
    );
    assert_eq!(crossed.range(), None);
    let late = suggested("clear-polyester", 10.0, 90.0, 0.25).doses.unwrap();
    assert!(late.weakest.is_none() && late.strongest.is_some() && late.range().is_none());
}

#[test]
fn the_coolest_way_is_the_one_in_the_thinnest_layers_here() {
    let suggestion = suggested("clear-polyester", 12.0, 60.0, 1.0);
    let layers: Vec<u32> = suggestion.ways.iter().map(|way| way.layers).collect();
    assert_eq!(layers, [1, 2, 3, 4], "no layer under the profile's 3 mm");
    let coolest = suggestion.coolest().unwrap();
    assert!(coolest.layers == 4 && (coolest.cell.peak_c - 26.0).abs() < 1e-9, "{coolest:?}");
    // 12 mm with 1 % get 44 °C, 6 mm 32 °C.
    assert_eq!(suggested("clear-polyester", 12.0, 40.0, 1.0).fewest().map(|way| way.layers), Some(2));
}

#[test]
fn there_is_no_way_where_nothing_gels_in_time_or_all_is_too_hot() {
    assert!(suggested("clear-polyester", 12.0, 60.0, 0.1).ways.is_empty());
    let hot = suggested("clear-polyester", 12.0, 21.0, 1.0);
    assert!(!hot.ways.is_empty() && hot.coolest().is_none() && hot.fewest().is_none());
}

#[test]
fn without_a_dose_there_is_only_the_depth() {
    let suggestion = suggested("deep-pour-epoxy", 40.0, 80.0, 2.0);
    assert_eq!(suggestion.doses, None);
    assert!((suggestion.deepest.unwrap().cell.ask.depth.get() - 30.0).abs() < 1e-9);
    assert!(suggestion.ways.iter().all(|way| way.cell.ask.dose.is_none()));
}

#[test]
fn bisection_finds_the_last_good_step_from_either_side() {
    let cell = |step: f64| {
        let depth = Millimetres::new(step).unwrap();
        invented(LayerAsk { depth, dose: None, start: Celsius::ROOM })
    };
    for edge in 1..30 {
        let edge = f64::from(edge);
        let up = furthest(1.0, 30.0, |step| (step <= edge).then(|| cell(step))).unwrap();
        let down = furthest(30.0, 1.0, |step| (step >= edge).then(|| cell(step))).unwrap();
        assert!((up.0.ask.depth.get() - edge).abs() < 1e-9 && (down.0.ask.depth.get() - edge).abs() < 1e-9);
        assert_eq!((up.1, down.1), (false, edge < 1.5), "{edge}");
    }
}
