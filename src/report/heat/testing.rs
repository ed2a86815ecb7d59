//! Invented layers for the tests of this room.

use crate::heat::{LayerHeat, StageHeat, TracePoint};
use crate::material::Stage;
use crate::pour::{PieceHeat, PlainStage, PouredLayer, Waited};
use crate::units::Celsius;

/// A layer on a bench of 20 °C that is hottest an hour after its pour and gels half an hour after it.
pub fn layer(number: u32, depth_mm: f64, peak_c: f64, below_mm: f64) -> PouredLayer {
    let poured_h = f64::from(number - 1);
    let (from_m, to_m) = (0.0, depth_mm / 1000.0);
    let moment = |after_h: f64, share: f64| TracePoint {
        at_h: poured_h + after_h,
        bench_c: 20.0,
        hottest_c: 20.0 + share * (peak_c - 20.0),
        top_c: 20.0 + 0.5 * share * (peak_c - 20.0),
    };
    let heat = LayerHeat {
        from_m,
        to_m,
        poured_h,
        peak_c,
        peak_at_h: poured_h + 1.0,
        peak_level_m: to_m - below_mm / 1000.0,
        stages: vec![StageHeat { stage: Stage::Gel, at_h: Some(poured_h + 0.5) }],
        resolved: true,
        trace: vec![moment(0.0, 0.0), moment(0.5, 0.4), moment(1.0, 1.0), moment(2.0, 0.5), moment(8.0, 0.0)],
    };
    PouredLayer {
        number,
        depth_mm,
        dose: None,
        start_c: 20.0,
        waited: if number == 1 { Waited::Begun } else { Waited::Window },
        heat,
        plain: vec![PlainStage { stage: Stage::Gel, after_h: None }],
        items: Vec::new(),
    }
}

/// These layers, with a limit of 90 °C.
pub fn piece_heat(layers: Vec<PouredLayer>) -> PieceHeat {
    PieceHeat { bench_c: 20.0, limit: Celsius::new(90.0).unwrap(), layers }
}
