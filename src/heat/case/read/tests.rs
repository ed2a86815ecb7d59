use super::*;

const CASE: &str = "density_kg_m3 = 1130\nspecific_heat_j_kgk = 1800\nconductivity_w_mk = 0.17\nheat_j_kg = 250000\n\
                    k1_per_s = 1e-5\nk2_per_s = 1e-3\nactivation_energy_j_mol = 50000\nthickness_mm = 20\n\
                    h_top_w_m2k = 10\nh_bottom_w_m2k = 0\nambient_c = 20\nstart_c = 22\n";

fn told(source: &str) -> Vec<(String, String)> {
    read_case(source).unwrap_err().into_iter().map(|problem| (problem.what, problem.remedy)).collect()
}

fn close(got: f64, want: f64) {
    assert!((got / want - 1.0).abs() < 1e-9, "got {got}, want {want}");
}

#[test]
fn a_case_is_read_with_its_units() {
    let Case { resin, thickness, h_top_w_per_m2k, h_bottom_w_per_m2k, ambient, start, .. } =
        read_case(CASE).unwrap().value;
    let close_to = |got: [f64; 5], want: [f64; 5]| got.iter().zip(want).all(|(got, want)| (got - want).abs() < 1e-12);
    let read = [thickness.get(), h_top_w_per_m2k, h_bottom_w_per_m2k, ambient.get(), start.get()];
    assert!(close_to(read, [20.0, 10.0, 0.0, 20.0, 22.0]), "{read:?}");
    assert_eq!(resin.kinetics.law, RateLaw::Arrhenius(KjPerMol::new(50.0).unwrap()));
    assert_eq!(resin.kinetics.reference, Celsius::new(25.0).unwrap());
    assert_eq!((resin.density_kg_per_m3, resin.kinetics.k2_per_s), (1130.0, 1e-3));
}

#[test]
fn what_is_given_goes_before_what_is_usual() {
    let case = read_case(&format!("{CASE}reference_c = 60\nuntil_s = 1200\n")).unwrap().value;
    assert_eq!((case.resin.kinetics.reference, case.until_s), (Celsius::new(60.0).unwrap(), 1200.0));
}

#[test]
fn without_a_reaction_it_is_followed_until_it_is_as_warm_as_the_room() {
    let still = CASE.replace("250000", "0").replace("1e-5", "0").replace("1e-3", "0").replace("50000", "0");
    let case = read_case(&still).unwrap().value;
    assert_eq!(case.resin.kinetics.law, RateLaw::Q10(Q10::new(1.0).unwrap()));
    // ρ c L = 40680 J/m²K: 2 · 40680 · 0.02 / 0.17 + 5 · 40680 / 10.
    close(case.until_s, 2.0 * 40_680.0 * 0.02 / 0.17 + 5.0 * 4068.0);
}

#[test]
fn a_reaction_is_given_the_time_it_takes_at_the_start() {
    let alone = CASE.replace("h_top_w_m2k = 10", "h_top_w_m2k = 0").replace("start_c = 22", "start_c = 25");
    let conduction_s = 2.0 * 40_680.0 * 0.02 / 0.17;
    close(read_case(&alone).unwrap().value.until_s, conduction_s + (101f64.ln() + 10.0) / 1.01e-3);
}

#[test]
fn every_impossible_figure_is_told_with_what_to_write() {
    let bad = CASE
        .replace("= 1130", "= 0")
        .replace("= 50000", "= -1")
        .replace("= 0.17", "= \"0.17 W/mK\"")
        .replace("thickness_mm = 20\n", "");
    let told = told(&bad);
    assert_eq!(told.len(), 4, "{told:?}");
    assert!(told[0].0.contains("'thickness_mm' is missing"), "{told:?}");
    assert!(told[1].1.contains("write a density in kg/m³ from 1 to 30000, as in density_kg_m3 = 1130"), "{told:?}");
    assert!(told[3].0.contains("an activation energy in J/mol, 0 to 1000000"), "{told:?}");
}

#[test]
fn a_slip_of_the_finger_is_corrected() {
    let told = told(&CASE.replace("thickness_mm", "thicknes_mm"));
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].1, "write thickness_mm = 20");
}
