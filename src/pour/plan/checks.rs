//! What is odd about the piece as a whole: bench, brim, shrinkage.

use super::ground::Ground;
use super::layers::sunk_to_mm;
use super::warning::{Warning, WarningCode};
use super::words::{mm, percent};

/// Nearer to the brim than this a fill bulges over it, mm (common practice).
const BRIM_MM: f64 = 1.0;

pub(super) fn check(ground: &Ground<'_>, warnings: &mut Vec<Warning>) {
    bench(ground, warnings);
    brim(ground, warnings);
    shrinkage(ground, warnings);
}

fn bench(ground: &Ground<'_>, warnings: &mut Vec<Warning>) {
    let Some(cure) = ground.profile.thermal() else { return };
    let (floor, ceiling) = (cure.floor.value, cure.ceiling.value);
    let bench = format!("{:.1}", ground.bench);
    if ground.bench < floor {
        let text = format!("the bench is at {bench}; below {floor} nothing sets: warm the room before you mix");
        warnings.push(Warning::of_piece(WarningCode::BenchTooCold, &text));
    } else if ground.bench > ceiling {
        let text = format!(
            "the bench is at {bench}; above {ceiling} cups and layers overheat: wait for a cooler hour, or pour thinner"
        );
        warnings.push(Warning::of_piece(WarningCode::BenchTooWarm, &text));
    }
}

fn brim(ground: &Ground<'_>, warnings: &mut Vec<Warning>) {
    let left = ground.piece.vessel.height_mm() - ground.fill_mm();
    if left < BRIM_MM {
        let text = format!(
            "the fill ends {} under the brim: the resin stands up at the edge and runs over; stop {} lower, and put a \
             tray underneath",
            mm(left.max(0.0)),
            mm(BRIM_MM)
        );
        warnings.push(Warning::of_piece(WarningCode::Brim, &text));
    }
}

fn shrinkage(ground: &Ground<'_>, warnings: &mut Vec<Warning>) {
    if ground.piece.layers.topping {
        return;
    }
    let sinks = ground.fill_mm() - sunk_to_mm(ground);
    let share = ground.profile.shrinkage.value.get();
    if share > 0.0 && sinks > 0.0 {
        let text = format!(
            "the resin shrinks by about {} as it cures: the top ends up to {} low; ask for a topping, or fill higher",
            percent(share),
            mm(sinks)
        );
        warnings.push(Warning::of_piece(WarningCode::Shrinkage, &text));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::plan::plan;
    use crate::pour::plan::testing::{at, block, fresh, level, polyester, profile, warning, warnings};

    #[test]
    fn a_bench_outside_the_profiles_range_is_told() {
        let told = |celsius| plan(&block(), &polyester(), &at(Some(celsius)));
        assert_eq!(
            warning(&told(12.4), WarningCode::BenchTooCold),
            "the bench is at 12.4 °C; below 13 °C nothing sets: warm the room before you mix"
        );
        assert!(warning(&told(33.0), WarningCode::BenchTooWarm).contains("above 32 °C"));
        for fine in [13.0, 32.0] {
            let codes: Vec<WarningCode> = told(fine).warnings.iter().map(|told| told.code).collect();
            assert!(!codes.contains(&WarningCode::BenchTooCold) && !codes.contains(&WarningCode::BenchTooWarm));
        }
        let light = plan(&block(), &profile("uv-resin"), &at(Some(-5.0)));
        assert!(warnings(&light, WarningCode::BenchTooCold).is_empty(), "light does not mind");
    }

    #[test]
    fn the_bench_given_goes_before_the_pieces_and_the_profiles() {
        let mut piece = block();
        let bench = |piece: &crate::pour::Piece, celsius| plan(piece, &polyester(), &at(celsius)).bench.get();
        assert!((bench(&piece, None) - 20.0).abs() < 1e-12);
        piece.bench = crate::units::Celsius::new(18.0).ok();
        assert!((bench(&piece, None) - 18.0).abs() < 1e-12 && (bench(&piece, Some(16.0)) - 16.0).abs() < 1e-12);
    }

    #[test]
    fn a_fill_at_the_brim_is_told() {
        let mut piece = block();
        piece.fill = level(69.5);
        assert!(warning(&fresh(&piece, &polyester()), WarningCode::Brim).starts_with("the fill ends 0.5 mm under"));
        piece.fill = level(69.0);
        assert!(warnings(&fresh(&piece, &polyester()), WarningCode::Brim).is_empty());
    }

    #[test]
    fn without_a_topping_it_is_said_how_far_the_top_sinks() {
        assert!(warning(&fresh(&block(), &polyester()), WarningCode::Shrinkage).contains("ends up to 4.2 mm low"));
        let mut rigid = polyester();
        rigid.shrinkage.value = crate::units::Percent::new(0.0).unwrap();
        assert!(warnings(&fresh(&block(), &rigid), WarningCode::Shrinkage).is_empty());
    }
}
