use crate::cure::TemperatureCurve;
use crate::heat::testing::{celsius, resin};
use crate::heat::{Face, Hollow, LayerPour, Pile, Surroundings};
use crate::units::Millimetres;

#[test]
fn the_rate_at_a_level_is_that_of_its_own_cell_however_the_cells_are_cut() {
    let room = celsius(25.0);
    let face = Face { convection_w_per_m2k: 10.0, emissivity: 0.0 };
    let around = Surroundings { top: face, below: face, base: None, side: face, side_wall: None };
    let slab = Hollow::slab(Millimetres::new(20.0).unwrap());
    let mut pile = Pile::new(slab, around, TemperatureCurve::constant(room), 0.0, Vec::new());
    pile.pour(LayerPour { to_m: 0.02, resin: resin(2e-4, 300e3), start_c: 25.0, clocks: Vec::new() });
    // Between two steps the conversion at a level moves by the rate there. Now and then a cut moves it as well.
    let levels_m = [0.001, 0.003, 0.005, 0.007, 0.009, 0.011, 0.013, 0.015, 0.017, 0.019];
    let (mut near, mut far) = (0, 0);
    while pile.now_h() < 2.0 {
        let (from_h, before) = (pile.now_h(), levels_m.map(|level_m| pile.at_level(level_m)));
        pile.advance(2.0);
        let seconds = (pile.now_h() - from_h) * 3600.0;
        for (level_m, before) in levels_m.into_iter().zip(before) {
            let after = pile.at_level(level_m);
            let moved = (after.0 - before.0) / seconds;
            if moved > 1e-3 {
                let mean = f64::midpoint(before.1, after.1);
                if (moved / mean - 1.0).abs() < 0.3 { near += 1 } else { far += 1 }
            }
        }
    }
    assert!(near > 200 && far < near / 10, "{near} near, {far} far");
}
