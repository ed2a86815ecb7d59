//! How dark the block gets.

use super::ground::Ground;
use super::outcome::{LayerPlan, Opacity};

/// Light through the finished piece from the floor of each layer, from the test cup's light.
///
/// Law of Beer and Lambert with the decadic absorbance of the IUPAC Gold Book: A = −lg(light) = a · loading · depth, so
/// that light = 10^(−A/mm · depth). Holds for a clear dye; paste and powder scatter as well, and let more light through
/// sideways than this.
pub(super) fn opacity(ground: &Ground<'_>, layers: &[LayerPlan]) -> Option<Opacity> {
    let tint = ground.piece.tint.as_ref()?;
    let cup = tint.test_cup?;
    let strength = tint.loading.get() / cup.loading.get();
    let absorbance_per_mm = -(cup.light.get() / 100.0).log10() / cup.depth.get() * strength;
    absorbance_per_mm.is_finite().then(|| {
        let through = |depth_mm: f64| 100.0 * 10f64.powf(-absorbance_per_mm * depth_mm);
        let light = layers.iter().map(|layer| through(ground.fill_mm() - layer.cast.from_mm));
        Opacity { absorbance_per_mm, light_percent: light.collect() }
    })
}

#[cfg(test)]
mod tests {
    use crate::pour::TestCup;
    use crate::pour::plan::testing::{all_close, block, close, dye, fresh, mm, percent, polyester};

    #[test]
    fn light_falls_by_the_same_share_every_millimetre() {
        let mut piece = block();
        let cup = TestCup { depth: mm(10.0), light: percent(50.0), loading: percent(0.1) };
        piece.tint = Some(crate::pour::Tint { test_cup: Some(cup), ..dye(0.05) });
        let opacity = fresh(&piece, &polyester()).opacity.unwrap();
        // Half the cup's loading: 20 mm halve the light.
        close(opacity.absorbance_per_mm, 2f64.log10() / 20.0);
        all_close(&opacity.light_percent, &[12.5, 25.0, 50.0]);
    }

    #[test]
    fn without_a_test_cup_nothing_is_known() {
        let mut piece = block();
        piece.tint = Some(dye(0.05));
        assert_eq!(fresh(&piece, &polyester()).opacity, None);
    }
}
