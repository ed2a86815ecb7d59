use super::outcome::items_of;
use super::*;
use crate::heat::{ItemPeak, ItemWatch, LayerHeat};
use crate::material::{Catalogue, Item as Material};
use crate::pour::{Conditions, Progress, Sources, plan, read_piece};
use crate::strict::Mistake;
use crate::units::{Celsius, Millimetres};

fn material() -> Material {
    Catalogue::embedded().find("clear-polyester").unwrap().clone()
}

/// An invented column 40 mm deep with two shells in it; `more` are lines of its file.
fn piece(height_mm: f64, more: &str) -> Piece {
    let source = format!(
        "name = 'column'\nmaterial = 'clear-polyester'\nfill_mm = 40\nbench_c = 20\n\
         [vessel]\nshape = 'cylinder'\ndiameter_mm = 90\nheight_mm = {height_mm}\n\
         [[item]]\nname = 'low shell'\nvolume_ml = 2\nfrom_mm = 2\nto_mm = 8\nlimit_c = 60\n\
         [[item]]\nname = 'tall shell'\nvolume_ml = 3\nfrom_mm = 12\nto_mm = 28\n\
         [layers]\nmax_mm = 10\n{more}"
    );
    let id = material().profile.id;
    let no_mesh = Mistake { what: "no mesh".to_owned(), remedy: "none".to_owned() };
    let sources = Sources { material: &|_| Ok(id.clone()), mesh: &|_| Err(no_mesh.clone()) };
    read_piece(&source, sources).unwrap().value
}

fn planned(piece: &Piece) -> Plan {
    plan(piece, &material().profile, &Conditions { bench: None, progress: Progress::default() })
}

fn poured(from_m: f64, to_m: f64, poured_h: f64) -> LayerHeat {
    LayerHeat {
        from_m,
        to_m,
        poured_h,
        peak_c: 40.0,
        peak_at_h: poured_h,
        peak_level_m: to_m,
        stages: Vec::new(),
        resolved: true,
        trace: Vec::new(),
    }
}

#[test]
fn an_item_belongs_to_the_layer_that_made_it_hottest() {
    let piece = piece(60.0, "");
    let heats = [poured(0.0, 0.01, 0.0), poured(0.01, 0.02, 1.0), poured(0.02, 0.03, 2.0), poured(0.03, 0.04, 3.0)];
    let watches = [ItemWatch { from_m: 0.002, to_m: 0.008 }, ItemWatch { from_m: 0.012, to_m: 0.028 }];
    let of = |low_h: f64, tall_h: f64| {
        let peak = |at_h| Some(ItemPeak { peak_c: 44.0, at_h });
        let seen = items_of(&piece, &watches, &[peak(low_h), peak(tall_h)], &heats);
        seen.into_iter().map(|(place, item)| (place, item.name.to_string(), item.peak_h)).collect::<Vec<_>>()
    };
    let (low, tall) = ("low shell".to_owned(), "tall shell".to_owned());
    assert_eq!(of(0.5, 1.5), [(0, low.clone(), 0.5), (1, tall.clone(), 0.5)]);
    assert_eq!(of(3.5, 2.25), [(0, low, 3.5), (2, tall, 0.25)], "of the layers it lies in");
    assert!(items_of(&piece, &watches, &[None, None], &heats).is_empty(), "nothing reached them");
}

#[test]
fn every_layer_is_poured_when_the_one_below_is_ready() {
    let (material, piece) = (material(), piece(60.0, "cold_after = [2]\n"));
    let heat = MaterialHeat::of(&material.profile).unwrap();
    let plan = planned(&piece);
    let bench = TemperatureCurve::constant(plan.bench);
    let piece_heat = heat_of(&piece, &material.profile, &plan, &heat, &bench).unwrap();
    let waits: Vec<Waited> = piece_heat.layers.iter().map(|layer| layer.waited).collect();
    assert_eq!(waits, [Waited::Begun, Waited::Window, Waited::Cold, Waited::Window]);
    for [below, above] in piece_heat.layers.array_windows() {
        let stage = if above.waited == Waited::Cold { Stage::Demould } else { Stage::NextLayerOpens };
        let stage_h = below.stage_h(stage).unwrap();
        let ready_h = below.heat.poured_h + if above.waited == Waited::Cold { stage_h.max(12.0) } else { stage_h };
        assert!((above.heat.poured_h - ready_h).abs() < 0.05, "{} after {ready_h}", above.heat.poured_h);
    }
    for layer in &piece_heat.layers {
        assert!(layer.heat.peak_c >= layer.start_c - 0.1 && layer.peak_h() >= 0.0, "{layer:?}");
        assert!((0.0..=layer.depth_mm + 1e-6).contains(&layer.peak_below_top_mm()), "{layer:?}");
    }
    let items: Vec<&str> =
        piece_heat.layers.iter().flat_map(|layer| &layer.items).map(|item| item.name.as_str()).collect();
    assert_eq!(items.len(), 2, "{items:?}");
}

#[test]
fn a_layer_by_itself_is_that_of_the_model() {
    let material = material();
    let heat = MaterialHeat::of(&material.profile).unwrap();
    let start = Celsius::new(20.0).unwrap();
    let ask = LayerAsk { depth: Millimetres::new(10.0).unwrap(), dose: None, start };
    let alone = heat_of_layer(&material.profile, &heat, &ask);
    assert_eq!(alone.layers[0].heat, heat.layer(&ask, &TemperatureCurve::constant(start)));
    // The layer, dose and bench for which the profile's times hold.
    assert_eq!(alone.layers[0].plain_h(Stage::Gel), Some(0.5));
    assert!((alone.layers[0].stage_h(Stage::Gel).unwrap() - 0.5).abs() < 0.05);
}
