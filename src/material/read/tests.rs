use super::read_profile;
use crate::cure::RateLaw;
use crate::material::{AfterClosing, Figure, MaterialId, Mixing, Profile, Provenance, Stage};
use crate::units::{Q10, SpreadFactor};

const COAT: &str = r#"
name = "Invented coat"
summary = "For these tests"
from = "common practice"
density_g_per_ml = 1
shrinkage_percent = { value = 50, from = "label" }
cautions = ["Read the label."]

[mixing]
rule = "two-part"
from = "label"
by_volume = "1:1"
density_a_g_per_ml = 1.16
density_b_g_per_ml = 0.963

[cure]
by = "time and temperature"
reference_c = 20
reference_depth_mm = 1
floor_c = 5
ceiling_c = 35

[[cure.stage]]
stage = "next-layer-opens"
after = "10m"
test = "matt"

[[cure.stage]]
stage = "gel"
after = "1h"
from = "learned"
spread_factor = { value = 1.2, from = "label" }
test = "no string"
activation_kj_per_mol = 53

[next_layer]
after_closing = "nothing"
"#;

fn profile(source: &str) -> Profile {
    read_profile(MaterialId::new("coat").unwrap(), source).unwrap_or_else(|problems| panic!("{problems:#?}")).value
}

#[test]
fn one_to_one_by_volume_is_100_to_83_by_weight() {
    // Common practice: an epoxy of 1.16 and 0.963 g/mL mixed 1:1 by volume is mixed 100:83 by weight.
    let Mixing::TwoPart { by_weight, .. } = profile(COAT).mixing else { panic!("two parts") };
    assert!((100.0 * by_weight.value.b / by_weight.value.a - 83.0).abs() < 0.05, "{by_weight:?}");
    assert_eq!(by_weight.from, Provenance::Label);
}

#[test]
fn a_ratio_by_weight_alone_gives_the_one_by_volume() {
    let source = COAT.replace("by_volume = \"1:1\"", "by_weight = \"100:83\"");
    let Mixing::TwoPart { by_volume, .. } = profile(&source).mixing else { panic!("two parts") };
    assert!((by_volume.value.b / by_volume.value.a - 1.0).abs() < 0.001, "{by_volume:?}");
}

#[test]
fn a_ratio_follows_from_the_equivalent_weights() {
    // Textbook stoichiometry, AHEW · 100 / EEW: 20.6 g/eq of hardener to 200 g/eq of resin is 10.3 parts to 100.
    let equivalents = "epoxide_equivalent_g = 200\nhydrogen_equivalent_g = { value = 20.6, from = \"learned\" }";
    let source = COAT.replace("by_volume = \"1:1\"", equivalents);
    let Mixing::TwoPart { by_weight, equivalents, .. } = profile(&source).mixing else { panic!("two parts") };
    assert!((100.0 * by_weight.value.b / by_weight.value.a - 10.3).abs() < 1e-12, "{by_weight:?}");
    assert_eq!((by_weight.from, equivalents.unwrap().epoxide.from), (Provenance::Learned, Provenance::Label));
    let both = COAT.replace("by_volume", "epoxide_equivalent_g = 200\nhydrogen_equivalent_g = 166\nby_volume");
    let Mixing::TwoPart { by_weight, by_volume, .. } = profile(&both).mixing else { panic!("two parts") };
    assert!((by_weight.value.b - 83.0).abs() < 1e-12, "{by_weight:?}");
    assert!((by_volume.value.b - 1.0).abs() < 1e-12, "as it is written: {by_volume:?}");
}

#[test]
fn a_ratio_may_be_off_by_rounding_but_not_by_more() {
    let with = |weight: &str| COAT.replace("by_volume", &format!("by_weight = \"{weight}\"\nby_volume"));
    profile(&with("100:81"));
    profile(&with("100:85"));
    for weight in ["100:80", "100:86", "83:100"] {
        assert!(read_profile(MaterialId::new("coat").unwrap(), &with(weight)).is_err(), "{weight}");
    }
}

#[test]
fn an_origin_is_the_figures_own_then_its_tables_then_the_files() {
    let profile = profile(COAT);
    let gel = profile.thermal().unwrap().stage(Stage::Gel).unwrap().clone();
    assert_eq!(profile.density.from, Provenance::CommonPractice);
    assert_eq!(profile.shrinkage.from, Provenance::Label);
    assert_eq!((gel.after.from, gel.spread.from), (Provenance::Learned, Provenance::Label));
    let Some(Figure { value: RateLaw::Arrhenius(energy), from: Provenance::Learned }) = gel.law else {
        panic!("{:?}", gel.law)
    };
    assert!((energy.get() - 53.0).abs() < f64::EPSILON);
}

#[test]
fn what_may_be_left_out_is_common_practice() {
    let profile = profile(COAT);
    let cure = profile.thermal().unwrap();
    let doubling = RateLaw::Q10(Q10::new(2.0).unwrap());
    assert_eq!(cure.law, Figure { value: doubling, from: Provenance::CommonPractice });
    let opens = cure.stage(Stage::NextLayerOpens).unwrap();
    let usual = SpreadFactor::new(1.5).unwrap();
    assert_eq!(opens.spread, Figure { value: usual, from: Provenance::CommonPractice });
    assert!(profile.layer_depth.max.is_none() && profile.humidity_limit.is_none());
}

#[test]
fn a_wet_recoat_may_open_before_gel_and_never_close() {
    let profile = profile(COAT);
    let stages: Vec<Stage> = profile.thermal().unwrap().stages.iter().map(|time| time.stage).collect();
    assert_eq!(stages, [Stage::Gel, Stage::NextLayerOpens], "in the order of the screen");
    assert_eq!(profile.after_closing, Some(AfterClosing::Nothing));
}

#[test]
fn one_missing_origin_is_told_once_for_the_whole_file() {
    let source = COAT.replace("from = \"common practice\"\n", "");
    let problems = read_profile(MaterialId::new("coat").unwrap(), &source).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:#?}");
}

#[test]
fn a_broken_mixing_table_does_not_hide_a_broken_cure() {
    let source = COAT.replace("\"two-part\"", "\"three-part\"").replace("floor_c = 5", "floor_c = \"5\"");
    let problems = read_profile(MaterialId::new("coat").unwrap(), &source).unwrap_err();
    assert_eq!(problems.len(), 2, "{problems:#?}");
}
