//! `nightpour plan` as text and as JSON, on the pieces of the demonstration and on stranger ones.

use crate::home::Home;
use crate::pieces::{COLUMN, POND, one_part, stack};
use serde_json::Value;
use unicode_width::UnicodeWidthStr;

const WIDTH: usize = 80;

#[track_caller]
fn fits(text: &str) {
    let wide: Vec<&str> = text.lines().filter(|line| line.width() > WIDTH).collect();
    assert!(wide.is_empty(), "wider than {WIDTH}: {wide:#?}");
}

#[test]
fn a_catalysed_piece_in_text() {
    let text = Home::new().run(&["plan", COLUMN]);
    fits(&text);
    insta::assert_snapshot!("column", text);
}

#[test]
fn the_readme_shows_the_very_plan() {
    let text = Home::new().run(&["plan", COLUMN]);
    let table =
        text.split("  Layer 5 is the topping").next().and_then(|head| head.find("LAYERS").map(|at| &head[at..]));
    assert!(include_str!("../../README.md").contains(table.unwrap()), "update the plan in README.md");
}

#[test]
fn a_two_part_piece_in_text() {
    let text = Home::new().run(&["plan", POND]);
    fits(&text);
    insta::assert_snapshot!("pond", text);
}

#[test]
fn a_one_part_piece_has_no_dose_and_no_parts() {
    let home = Home::new();
    let piece = home.write("varnish.toml", &one_part());
    let text = home.run(&["plan", &piece]);
    fits(&text);
    let layers = text.split("LAYERS").nth(1).and_then(|rest| rest.split("MASTER BATCH").next()).unwrap();
    assert!(layers.contains("amount"), "{text}");
    for absent in ["catalyst", "by weight", "by volume", "WHY THESE DOSES", "part A"] {
        assert!(!layers.contains(absent), "{absent}: {text}");
    }
}

#[test]
fn sixty_layers_and_long_names_stay_within_the_page() {
    let home = Home::new();
    let name = "a name without a single blank ".replace(' ', "-").repeat(12);
    let piece = home.write("stack.toml", &stack(60, &name));
    let text = home.run(&["plan", &piece]);
    fits(&text);
    let rows =
        text.lines().filter(|line| line.trim_start().starts_with(|c: char| c.is_ascii_digit()) && line.contains('|'));
    assert_eq!(rows.count(), 60);
}

#[test]
fn what_is_alike_for_many_layers_is_said_once() {
    let home = Home::new();
    let piece = home.write("stack.toml", &stack(60, "stack"));
    let text = home.run(&["plan", &piece]);
    let warnings = text.split("WARNINGS").nth(1).and_then(|rest| rest.split("ORDER OF WORK").next()).unwrap();
    let json = home.json(&["plan", &piece, "--json"]);
    let all = json["warnings"].as_array().unwrap();
    let codes: std::collections::BTreeSet<&str> = all.iter().map(|w| w["code"].as_str().unwrap()).collect();
    assert!(all.len() > codes.len() && warnings.matches("  ! ").count() <= codes.len(), "{warnings}");
}

#[test]
fn a_fine_scale_is_not_said_to_have_no_last_digit() {
    let home = Home::new();
    let block = "name = 'block'\nmaterial = 'clear-polyester'\nfill_mm = 10\n\
                 [vessel]\nshape = 'box'\nlength_mm = 400\nwidth_mm = 300\nheight_mm = 12\n\
                 [scale]\ncatalyst_digit_g = 0.001\n";
    let text = home.run(&["plan", &home.write("block.toml", block)]);
    assert!(text.contains("0.001 g, is under 0.1 % of the catalyst"), "{text}");
}

#[test]
fn the_bench_is_the_one_asked_for() {
    let home = Home::new();
    let bench = |more: &[&str]| home.json(&[&["plan", COLUMN, "--json"], more].concat())["bench_c"].clone();
    assert_eq!(bench(&[]), 18.0);
    assert_eq!(bench(&["--bench-c", "23.5"]), 23.5);
    let text = home.run(&["plan", COLUMN, "--bench-c", "23.5"]);
    assert!(text.contains("23.5 °C, as asked for"), "{text}");
}

#[track_caller]
fn keys(value: &Value, expected: &[&str]) {
    let there = value.as_object().unwrap();
    let missing: Vec<_> = expected.iter().filter(|key| !there.contains_key(**key)).collect();
    assert!(missing.is_empty(), "missing: {missing:?} in {value}");
}

#[test]
fn the_json_has_its_keys_and_null_where_they_do_not_apply() {
    let home = Home::new();
    let layer_keys = [
        "layer",
        "from_mm",
        "to_mm",
        "depth_mm",
        "volume_ml",
        "resin_g",
        "tint_g",
        "catalyst_g",
        "catalyst_ml",
        "catalyst_drops",
        "dose_percent",
        "cup_loss_g",
        "part_a_g",
        "part_b_g",
        "part_a_ml",
        "part_b_ml",
        "cups",
        "dose_reasons",
        "digit_percent",
        "bedded",
        "kind",
    ];
    let totals = ["volume_ml", "displaced_ml", "resin_g", "tint_g", "catalyst_g", "part_a_g", "part_b_g", "cost"];
    for piece in [COLUMN, POND] {
        let json = home.json(&["plan", piece, "--json"]);
        keys(
            &json,
            &[
                "piece",
                "material",
                "bench_c",
                "layers",
                "totals",
                "warnings",
                "master_batch",
                "opacity",
                "steps",
                "currency",
            ],
        );
        let layers = json["layers"].as_array().unwrap();
        assert!(!layers.is_empty());
        for layer in layers {
            keys(layer, &layer_keys);
        }
        keys(&json["totals"], &totals);
        for warning in json["warnings"].as_array().unwrap() {
            keys(warning, &["code", "layer", "text"]);
        }
        for step in json["steps"].as_array().unwrap() {
            keys(step, &["step", "what", "caution"]);
        }
    }
    let column = home.json(&["plan", COLUMN, "--json"]);
    let first = &column["layers"][0];
    assert!(first["catalyst_drops"].is_u64() && first["part_a_g"].is_null() && column["totals"]["part_a_g"].is_null());
    let pond = home.json(&["plan", POND, "--json"]);
    let first = &pond["layers"][0];
    assert!(first["part_b_g"].is_f64());
    for key in ["catalyst_g", "catalyst_ml", "catalyst_drops", "dose_percent"] {
        assert!(first[key].is_null(), "{key}");
    }
}

#[test]
fn the_sums_are_the_sums_of_the_layers() {
    let home = Home::new();
    for piece in [COLUMN, POND] {
        let json = home.json(&["plan", piece, "--json"]);
        for key in ["volume_ml", "resin_g", "tint_g"] {
            let sum: f64 = json["layers"].as_array().unwrap().iter().map(|layer| layer[key].as_f64().unwrap()).sum();
            assert!((sum - json["totals"][key].as_f64().unwrap()).abs() < 1e-9, "{piece}: {key}");
        }
    }
}

#[test]
fn a_bad_piece_is_refused_and_nothing_is_written() {
    let home = Home::new();
    let piece = home.write("bad.toml", "name = 3\n");
    let sheet = home.path("bad.html");
    let said = home.say(&["plan", &piece, "--html", &sheet]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    assert!(said.err.contains("bad.toml:1:8"), "{}", said.err);
    assert!(!std::path::Path::new(&sheet).exists() && !home.store().exists());
    let said = home.say(&["plan", &home.path("none.toml")]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("none.toml"), "{}", said.err);
}

#[test]
fn planning_leaves_no_notebook_behind() {
    let home = Home::new();
    home.run(&["plan", COLUMN]);
    assert!(!home.store().exists());
}
