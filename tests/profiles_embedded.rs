//! The profiles in the program: complete, cautious, and as the trade has them.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]
#![allow(clippy::float_cmp, reason = "figures as they are typed in the files, not computed")]

use nightpour::cure::RateLaw;
use nightpour::material::{Catalogue, Item, Mixing, Origin, Provenance, ReferenceAmount, Stage};

fn hours(item: &Item, stage: Stage) -> f64 {
    item.profile.thermal().unwrap().stage(stage).unwrap().after.value.get()
}

#[test]
fn every_profile_file_is_embedded_word_for_word() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/profiles");
    let mut files: Vec<String> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    files.sort();
    let catalogue = Catalogue::embedded();
    let embedded: Vec<String> = catalogue.iter().map(|item| format!("{}.toml", item.profile.id)).collect();
    assert_eq!(files, embedded);
    for item in catalogue.iter() {
        let file = std::fs::read_to_string(format!("{folder}/{}.toml", item.profile.id)).unwrap();
        assert_eq!((item.source.as_ref(), &item.origin), (file.as_str(), &Origin::Embedded));
    }
}

#[test]
fn every_profile_puts_the_label_first_and_claims_common_practice_only() {
    for item in Catalogue::embedded().iter() {
        let profile = &item.profile;
        assert!(profile.cautions[0].as_str().contains("label"), "{}", profile.id);
        assert!(profile.cautions.len() >= 3, "{}", profile.id);
        assert_eq!(profile.density.from, Provenance::CommonPractice);
        assert!(!item.source.contains("from = \"label\"") && !item.source.contains("from = \"learned\""));
    }
}

#[test]
fn the_usual_dangers_are_named() {
    for (material, words) in [
        ("clear-polyester", ["burns eyes", "promoter", "Styrene", "overheat"].as_slice()),
        ("coating-epoxy", &["sensitise", "run away"]),
        ("deep-pour-epoxy", &["sensitise", "run away"]),
        ("fast-urethane", &["Isocyanates"]),
        ("uv-resin", &["sensitise", "eyes"]),
        ("solvent-spray-paint", &["Flammable aerosol"]),
        ("spray-varnish", &["Flammable aerosol"]),
    ] {
        let catalogue = Catalogue::embedded();
        let cautions = &catalogue.find(material).unwrap().profile.cautions;
        for word in words {
            assert!(cautions.iter().any(|caution| caution.as_str().contains(word)), "{material}: {word}");
        }
    }
}

#[test]
fn clear_polyester_takes_about_one_10_mm_layer_an_hour() {
    let catalogue = Catalogue::embedded();
    let polyester = catalogue.find("clear-polyester").unwrap();
    let cure = polyester.profile.thermal().unwrap();
    // Common practice: at 20 °C, 10 mm and 1 %.
    assert_eq!((cure.reference_temperature.value.get(), cure.reference_dose.unwrap().value.get()), (20.0, 1.0));
    assert!(matches!(cure.reference_amount, ReferenceAmount::Depth(depth) if depth.value.get() == 10.0));
    assert!((0.8..=1.05).contains(&hours(polyester, Stage::NextLayerOpens)));
    assert!(hours(polyester, Stage::NextLayerCloses) > 8.0);
    assert!(cure.stage(Stage::TackFree).is_none(), "an open face stays tacky in air");
}

#[test]
fn the_common_epoxy_and_urethane_ratios_hold() {
    // Common practice: 1:1 by volume is 100:83 by weight for one epoxy, 100:90 for one urethane.
    let catalogue = Catalogue::embedded();
    for (material, parts) in [("coating-epoxy", 83.0), ("fast-urethane", 90.0), ("tin-silicone", 10.0)] {
        let Mixing::TwoPart { by_weight, by_volume, density_a, density_b, .. } =
            catalogue.find(material).unwrap().profile.mixing
        else {
            panic!("{material} has two parts")
        };
        let ratio = 100.0 * by_weight.value.b / by_weight.value.a;
        assert!((ratio - parts).abs() < 0.05, "{material}: {ratio}");
        let computed = by_volume.value.b * density_b.value.get() / (by_volume.value.a * density_a.value.get()) * 100.0;
        assert!((computed / parts - 1.0).abs() < 0.005, "{material}: {computed}");
    }
}

#[test]
fn films_follow_the_cold_less_than_cups() {
    let catalogue = Catalogue::embedded();
    let coating = catalogue.find("coating-epoxy").unwrap().profile.thermal().unwrap();
    let q10 = |law: RateLaw| match law {
        RateLaw::Q10(q10) => q10.get(),
        RateLaw::Arrhenius(_) => panic!("by q10"),
    };
    assert_eq!(q10(coating.law.value), 1.3);
    assert_eq!(q10(coating.stage(Stage::PotLife).unwrap().law.unwrap().value), 2.0);
}

#[test]
fn a_cup_gels_no_later_than_the_stage_says_at_its_temperature_and_dose() {
    let mut told = Vec::new();
    for item in Catalogue::embedded().iter() {
        let Some((cure, heat)) = item.profile.thermal().and_then(|cure| Some((cure, cure.heat.as_ref()?))) else {
            continue;
        };
        // A cup heats itself, so it is earlier than a layer; the rule of its reaction is the trade's, twice for 10 °C.
        let rate = 2f64.powf((heat.cup_start.value.get() - cure.reference_temperature.value.get()) / 10.0);
        let expected = hours(item, Stage::Gel) / rate;
        assert_eq!(heat.cup_dose.map(|dose| dose.value), cure.reference_dose.map(|dose| dose.value));
        let gel = heat.gel.value.get();
        assert!(gel <= expected * (1.0 + 1e-9), "{}: {gel} h, {expected} h", item.profile.id);
        told.push(item.profile.id.as_str().to_owned());
    }
    let liquid =
        ["clear-polyester", "coating-epoxy", "deep-pour-epoxy", "fast-urethane", "five-minute-epoxy", "slow-epoxy"];
    assert_eq!(told, liquid);
}

#[test]
fn in_the_cold_an_epoxy_stops_short_of_full_cure() {
    for (material, degrees) in [("coating-epoxy", 17.0), ("deep-pour-epoxy", 17.0), ("slow-epoxy", 15.0)] {
        let catalogue = Catalogue::embedded();
        let cure = catalogue.find(material).unwrap().profile.thermal().unwrap();
        let full = cure.stage(Stage::FullCure).unwrap();
        assert_eq!(cure.warmth_for(full), Some(degrees), "{material}");
    }
}

#[test]
fn light_cure_has_no_clock() {
    assert!(Catalogue::embedded().find("uv-resin").unwrap().profile.thermal().is_none());
}
