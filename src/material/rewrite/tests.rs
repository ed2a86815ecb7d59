use super::*;
use crate::material::Catalogue;
use crate::units::{KjPerMol, Q10};

/// Everything of `cure` a fifth slower, its rules and spread another.
fn slower(cure: &ThermalCure) -> Changes {
    let law = |law: RateLaw| match law {
        RateLaw::Q10(q) => RateLaw::Q10(Q10::new(q.get() * 1.1).unwrap()),
        RateLaw::Arrhenius(e) => RateLaw::Arrhenius(KjPerMol::new(e.get() * 1.1).unwrap()),
    };
    let stage = |time: &StageTime| StageChange {
        stage: time.stage,
        observations: 4,
        after: Hours::new(time.after.value.get() * 1.2).unwrap(),
        spread: SpreadFactor::new(1.234).unwrap(),
        law: time.law.map(|own| law(own.value)),
        doubt: Doubt::new([0.002, 0.001, 0.0, 0.04, 0.0, 0.09], (-0.5, 0.5)).unwrap(),
        seen: Celsius::new(15.0).ok().zip(Celsius::new(25.0).ok()),
    };
    Changes {
        on: PlainText::new("2026-11-27"),
        observations: 14,
        batches: 6,
        law: Some(law(cure.law.value)),
        exponent: cure.dose_exponent.map(|n| n.value * 0.9),
        cup: cure.heat.as_ref().map(|_| 1.2),
        stages: cure.stages.iter().map(stage).collect(),
    }
}

fn read(profile: &Profile, text: &str) -> Profile {
    read_profile(profile.id.clone(), text).unwrap_or_else(|problems| panic!("{problems:?}\n{text}")).value
}

#[test]
fn every_profile_is_rewritten_and_comes_back() {
    for item in Catalogue::embedded().iter() {
        let Some(cure) = item.profile.thermal() else { continue };
        let changes = slower(cure);
        let text = rewrite(&item.source, &item.profile, &changes).unwrap();
        let learned = read(&item.profile, &text);
        assert_eq!(learned.as_labelled(), item.profile, "{}", item.profile.id);
        let now = learned.thermal().unwrap();
        for time in &now.stages {
            let before = cure.stage(time.stage).unwrap().after.value.get();
            assert!((time.after.value.get() / before / 1.2 - 1.0).abs() < 0.01, "{} {}", item.profile.id, time.stage);
            assert_eq!((time.after.from, now.learned_of(time.stage).unwrap().observations), (Provenance::Learned, 4));
        }
        // Once more: what they were is still the label's.
        let again = rewrite(&text, &learned, &changes).unwrap();
        assert_eq!(again, text, "{}", item.profile.id);
    }
}

#[test]
fn comments_and_everything_else_stay() {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let text = rewrite(&item.source, &item.profile, &slower(item.profile.thermal().unwrap())).unwrap();
    assert!(
        text.contains("q10 = { value = 2.2, from = \"learned\" }                           # reports run"),
        "{text}"
    );
    assert!(
        text.contains("after = { value = \"36m\", from = \"learned\" }                     # 25 to 30 minutes"),
        "{text}"
    );
    let untouched =
        |text: &str| text.lines().filter(|line| line.starts_with('#')).map(str::to_owned).collect::<Vec<_>>();
    assert!(untouched(&item.source).iter().all(|line| text.contains(line)));
}

#[test]
fn a_figure_put_in_by_hand_since_stays() {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let text = rewrite(&item.source, &item.profile, &slower(item.profile.thermal().unwrap())).unwrap();
    let text = text
        .replace("after = { value = \"36m\", from = \"learned\" }", "after = { value = \"40m\", from = \"label\" }");
    let label = read(&item.profile, &text).as_labelled();
    let gel = label.thermal().unwrap().stage(Stage::Gel).unwrap().after;
    assert_eq!((gel.value.get() * 60.0, gel.from), (40.0, Provenance::Label));
}

#[test]
fn braces_and_dotted_keys_are_files_too() {
    let source = r#"name = "Glue"
summary = "A glue"
from = "label"
density_g_per_ml = 1.1
shrinkage_percent = 3
cautions = ["The label wins."]
mixing = { rule = "one-part" }
cure.by = "time and temperature"
cure.reference_c = 20
cure.reference_mass_g = 10
cure.floor_c = 5
cure.ceiling_c = 40
cure.stage = [
    { stage = "gel", after = "10m", test = "it strings" }, # first
    { stage = "demould", after = "50m", spread_factor = 1.3, test = "it holds" },
]
"#;
    let id = crate::material::MaterialId::new("glue").unwrap();
    let profile = read_profile(id, source).unwrap().value;
    let text = rewrite(source, &profile, &slower(profile.thermal().unwrap())).unwrap();
    let learned = read(&profile, &text);
    assert!((learned.thermal().unwrap().stage(Stage::Demould).unwrap().after.value.get() - 1.0).abs() < 1e-9, "{text}");
    assert_eq!(learned.as_labelled().thermal().unwrap().stages, profile.thermal().unwrap().stages);
}

#[test]
fn what_makes_no_profile_is_refused_in_words() {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let mut changes = slower(item.profile.thermal().unwrap());
    changes.stages.retain(|change| change.stage == Stage::Gel);
    changes.stages[0].after = Hours::new(30.0).unwrap();
    let refused = rewrite(&item.source, &item.profile, &changes).unwrap_err().to_string();
    assert!(refused.contains("cannot come before 'gel'"), "{refused}");
}

#[test]
fn what_is_not_learned_any_more_goes_back() {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let all = slower(item.profile.thermal().unwrap());
    let text = rewrite(&item.source, &item.profile, &all).unwrap();
    let learned = read(&item.profile, &text);
    let fewer = Changes { law: None, exponent: None, cup: None, ..all };
    let fewer =
        Changes { stages: fewer.stages.iter().map(|change| StageChange { law: None, ..*change }).collect(), ..fewer };
    let again = read(&item.profile, &rewrite(&text, &learned, &fewer).unwrap());
    let (now, label) = (again.thermal().unwrap(), item.profile.thermal().unwrap());
    assert_eq!((now.law, now.dose_exponent, &now.heat), (label.law, label.dose_exponent, &label.heat));
    assert_eq!(now.stage(Stage::NextLayerCloses).unwrap().law, label.stage(Stage::NextLayerCloses).unwrap().law);
    assert_eq!(again.as_labelled(), item.profile);
}

#[test]
fn lines_end_as_they_did() {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let source = item.source.replace('\n', "\r\n");
    let text = rewrite(&source, &item.profile, &slower(item.profile.thermal().unwrap())).unwrap();
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
}

#[test]
fn a_month_is_written_in_days() {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let mut changes = slower(item.profile.thermal().unwrap());
    let last = changes.stages.len() - 1;
    changes.stages[last].after = Hours::new(40.0 * 24.0).unwrap();
    assert!(rewrite(&item.source, &item.profile, &changes).unwrap().contains("\"40d\""));
}
