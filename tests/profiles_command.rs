//! `nightpour profiles` through its own arguments, with a folder of its own.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

use clap::Parser;
use nightpour::cli::Finish;
use nightpour::cli::problems::Drawing;
use nightpour::cli::profiles::{ProfilesArgs, ProfilesError, run};
use nightpour::folders::Folders;
use serde_json::Value;
use std::path::PathBuf;
use tempfile::TempDir;

#[derive(Debug, Parser)]
struct Wrapper {
    #[command(flatten)]
    args: ProfilesArgs,
}

struct Bench {
    home: TempDir,
    folders: Folders,
}

impl Bench {
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        let folders = Folders::at(home.path().join("config"), home.path().join("notebook.sqlite"));
        Self { home, folders }
    }

    fn write(&self, name: &str, content: &str) -> PathBuf {
        let path = self.folders.profiles().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, content).unwrap();
        path
    }

    fn run(&self, line: &[&str]) -> Result<(String, Finish), ProfilesError> {
        let args = Wrapper::try_parse_from([&["profiles"], line].concat()).unwrap().args;
        let mut out = Vec::new();
        let finish = run(&args, &self.folders, Drawing::Ascii, &mut out)?;
        Ok((String::from_utf8(out).unwrap(), finish))
    }

    fn text(&self, line: &[&str]) -> String {
        self.run(line).unwrap().0
    }

    fn json(&self, line: &[&str]) -> Value {
        serde_json::from_str(&self.text(&[line, &["--json"]].concat())).unwrap()
    }
}

#[test]
fn nothing_said_means_list() {
    let bench = Bench::new();
    let text = bench.text(&[]);
    assert_eq!(text, bench.text(&["list"]));
    assert_eq!(text.lines().count(), 13);
    assert!(text.contains("clear-polyester      catalyst dose  built in   Clear polyester casting resin"));
}

#[test]
fn every_page_fits_80_columns() {
    let bench = Bench::new();
    for material in bench.json(&["list"])["materials"].as_array().unwrap() {
        for line in bench.text(&["show", material["id"].as_str().unwrap()]).lines() {
            assert!(unicode_width::UnicodeWidthStr::width(line) <= 80, "{line}");
        }
    }
}

#[test]
fn show_gives_every_figure_its_unit_and_its_origin() {
    let text = Bench::new().text(&["show", "clear polyester"]);
    assert!(text.contains("  density                   1.13 g/mL             common practice"), "{text}");
    assert!(text.contains("  next layer opens          55 min       ×1.4     common practice"), "{text}");
    assert!(text.contains("sand before the next layer"), "{text}");
    assert!(text.contains("  dose at 6 mm deep         1.6 %                 common practice"), "{text}");
    assert!(text.contains("  on 3 warm layers or more  ×0.4 on the dose      common practice"), "{text}");
    assert!(text.contains("  - Peroxide catalyst burns eyes badly"), "{text}");
}

#[test]
fn show_and_json_tell_of_the_heat_of_cure() {
    let bench = Bench::new();
    let text = bench.text(&["show", "coating-epoxy"]);
    assert!(text.contains("  hottest after             31 min                common practice"), "{text}");
    assert!(text.contains("  faster per 10 °C (q10)    ×2                    common practice"), "{text}");
    assert!(text.contains("  more for each °C above    0.005 per °C          common practice"), "{text}");
    assert!(text.contains("      not before a share of 0.85 has reacted (common practice)"), "{text}");
    assert!(!bench.text(&["show", "tin-silicone"]).contains("HEAT"));
    let json = bench.json(&["show", "coating-epoxy"]);
    assert_eq!(json["heat"]["gel_h"], serde_json::json!({ "value": 0.5, "from": "common-practice" }));
    assert_eq!((&json["heat"]["cup_dose_percent"], &json["heat"]["stops_at"]["value"]), (&Value::Null, &0.88.into()));
    assert_eq!(json["cure"]["stages"][6]["needs_conversion"]["value"], 0.85);
    assert_eq!(json["cure"]["stages"][5]["needs_conversion"], Value::Null);
    assert_eq!(bench.json(&["show", "uv-resin"])["heat"], Value::Null);
}

#[test]
fn uv_resin_is_said_to_have_no_clock() {
    assert!(Bench::new().text(&["show", "uv-resin"]).contains("no temperature clock: light sets it"));
}

#[test]
fn json_has_units_in_its_keys_and_an_origin_with_every_figure() {
    let json = Bench::new().json(&["show", "clear-polyester"]);
    assert_eq!(json["mixing"]["dose_usual_percent"], serde_json::json!({ "value": 1.0, "from": "common-practice" }));
    assert_eq!(json["cure"]["stages"][1]["stage"], "gel");
    assert_eq!(json["cure"]["stages"][1]["after_h"]["value"], 0.5);
    assert_eq!(json["cure"]["reference_mass_g"], Value::Null);
    assert_eq!(json["after_closing"], "sand");
    let rule = &json["mixing"]["dose_rule"];
    let first = &rule["by_depth"][0];
    assert_eq!((&first["depth_mm"]["value"], &first["dose_percent"]["value"]), (&3.0.into(), &2.0.into()));
    assert_eq!((&rule["on_warm_layer"][2]["value"], &rule["warm_for_h"]["value"]), (&0.4.into(), &3.0.into()));
    assert_eq!(json["limits"]["tint_max_percent"]["value"], 10.0);
}

#[test]
fn copy_edit_and_see_the_edit() {
    let bench = Bench::new();
    let path = PathBuf::from(bench.json(&["copy", "Clear-Polyester"])["file"].as_str().unwrap());
    let source = std::fs::read_to_string(&path).unwrap();
    bench.write("clear-polyester.toml", &source.replace("\"30m\"", "{ value = \"40m\", from = \"label\" }"));
    let text = bench.text(&["show", "clear-polyester"]);
    assert!(text.contains("40 min       ×1.4     label; factor: common practice"), "{text}");
    assert!(text.contains(&format!("from your file {}", path.display())), "{text}");
    assert!(bench.text(&["list"]).contains("your file"));
}

#[test]
fn copy_never_overwrites() {
    let bench = Bench::new();
    let path = bench.write("uv-resin.toml", "mine");
    let error = bench.run(&["copy", "uv-resin"]).unwrap_err();
    assert!(matches!(error, ProfilesError::Exists(_)), "{error}");
    assert_eq!(std::fs::read_to_string(path).unwrap(), "mine");
    assert_eq!(std::fs::read_dir(bench.folders.profiles()).unwrap().count(), 1, "nothing is left lying about");
}

#[test]
fn a_broken_file_is_told_of_and_the_built_in_profile_used() {
    let bench = Bench::new();
    bench.write("uv-resin.toml", "name = 3");
    bench.write("new-stuff.toml", "name = 3");
    let list = bench.text(&["list"]);
    assert!(list.contains("7 problems; the built-in profile is used"), "{list}");
    assert!(list.contains("7 problems; the material is left out"), "{list}");
    assert!(bench.text(&["show", "uv-resin"]).contains("is not used: it has 7 problems"));
    assert_eq!(bench.json(&["list"])["unused_files"].as_array().unwrap().len(), 2);
}

#[test]
fn check_finishes_with_problems_and_says_where() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["check"]).unwrap().1, Finish::Fine);
    let bad = "name = \"x\"\nfloor_c = 55F\n";
    let path = bench.write("pond-resin.toml", bad);
    let (text, finish) = bench.run(&["check"]).unwrap();
    assert_eq!(finish, Finish::Problems);
    assert!(text.contains(&format!("{}:2:11: ", path.display())), "{text}");
    assert!(text.ends_with("14 files checked, 1 with problems\n"), "{text}");
    let json = bench.json(&["check", path.to_str().unwrap()]);
    let problem = &json["files"][0]["problems"][0];
    assert_eq!((problem["line"].as_u64(), problem["column"].as_u64()), (Some(2), Some(11)));
    assert_eq!(problem["remedy"], "write floor_c = 12.78");
}

#[test]
fn check_of_a_file_that_is_not_there_is_a_problem() {
    let bench = Bench::new();
    let missing = bench.home.path().join("not-here.toml");
    let (text, finish) = bench.run(&["check", missing.to_str().unwrap()]).unwrap();
    assert_eq!(finish, Finish::Problems);
    assert!(text.contains("not-here.toml: it cannot be read"), "{text}");
}

#[test]
fn an_unknown_material_is_met_with_a_near_one() {
    let error = Bench::new().run(&["show", "clear-polister"]).unwrap_err().to_string();
    assert!(error.contains("did you mean 'clear-polyester'?"), "{error}");
}
