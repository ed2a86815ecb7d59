//! `nightpour heat`: layers, pieces, sweeps, suggestions, cups and bare cases. What the figures are worth is tested in the
//! library; here is what the command makes of them.

use crate::home::Home;
use crate::pieces::{COLUMN, POND, one_part, stack};
use serde_json::Value;
use std::fs;
use unicode_width::UnicodeWidthStr;

/// An invented slab that is insulated on both sides: no more than H / c hotter.
const SLAB: &str = "density_kg_m3 = 1100\nspecific_heat_j_kgk = 2000\nconductivity_w_mk = 0.2\nheat_j_kg = 100000\n\
                    k1_per_s = 1e-4\nk2_per_s = 1e-3\nactivation_energy_j_mol = 50000\nthickness_mm = 10\n\
                    h_top_w_m2k = 0\nh_bottom_w_m2k = 0\nambient_c = 25\nstart_c = 25\n";

const LAYER: [&str; 5] = ["heat", "--material", "clear-polyester", "--depth-mm", "10"];

fn with<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [LAYER.as_slice(), more].concat()
}

#[track_caller]
fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no figure '{key}' in {value:#}"))
}

#[track_caller]
fn fits(text: &str) {
    let wide: Vec<&str> = text.lines().filter(|line| line.width() > 80).collect();
    assert!(wide.is_empty(), "wider than 80: {wide:#?}");
    assert!(!text.contains('\u{1b}'), "no colours into a pipe");
}

#[test]
fn one_layer_in_json_has_its_keys() {
    let json = Home::new().json(&with(&["--json"]));
    assert_eq!(json["material"], "clear-polyester");
    assert!(json["piece"].is_null());
    let layers = json["layers"].as_array().unwrap();
    assert_eq!(layers.len(), 1);
    let layer = &layers[0];
    assert_eq!((number(layer, "layer"), number(layer, "depth_mm"), number(layer, "dose_percent")), (1.0, 10.0, 1.0));
    let [low, peak, high] = ["peak_low_c", "peak_c", "peak_high_c"].map(|key| number(layer, key));
    let bench = number(&json, "bench_c");
    assert!(bench < low && low < peak && peak < high, "{layer:#}");
    assert!((high - peak - 0.15 * (peak - bench)).abs() < 1e-9 && (high - peak - (peak - low)).abs() < 1e-9);
    assert!((number(layer, "limit_c") - peak - number(layer, "margin_c")).abs() < 1e-9);
    assert!((0.0..=10.0).contains(&number(layer, "peak_depth_mm")) && number(layer, "peak_at_h") > 0.0);
    // The layer, dose and bench for which the profile's times hold: 30 and 55 minutes.
    assert!((number(layer, "plain_gel_h") - 0.5).abs() < 1e-9);
    assert!((number(layer, "plain_next_layer_opens_h") - 55.0 / 60.0).abs() < 1e-9);
    assert!((number(layer, "gel_h") - 0.5).abs() < 0.02, "{layer:#}");
    for key in ["next_layer_opens_h", "next_layer_closes_h", "plain_next_layer_closes_h", "demould_h"] {
        assert!(number(layer, key) > 0.0, "{key}");
    }
    assert_eq!((&layer["resolved"], &layer["item_peaks"]), (&Value::Bool(true), &Value::Array(Vec::new())));
}

#[test]
fn deeper_stronger_and_warmer_are_hotter() {
    let home = Home::new();
    let peak = |more: &[&str]| {
        let all = [&["heat", "--material", "clear-polyester", "--json"], more].concat();
        number(&home.json(&all)["layers"][0], "peak_c")
    };
    let plain = peak(&["--depth-mm", "8"]);
    assert!(peak(&["--depth-mm", "16"]) > plain + 2.0);
    assert!(peak(&["--depth-mm", "8", "--dose-percent", "2"]) > plain + 2.0);
    assert!(peak(&["--depth-mm", "8", "--bench-c", "26"]) > plain + 2.0);
}

#[test]
fn the_layers_of_a_piece_are_poured_one_after_another() {
    let home = Home::new();
    let json = home.json(&["heat", COLUMN, "--json"]);
    let plan = home.json(&["plan", COLUMN, "--json"]);
    assert_eq!(json["bench_c"], plan["bench_c"]);
    let (layers, planned) = (json["layers"].as_array().unwrap(), plan["layers"].as_array().unwrap());
    assert_eq!(layers.len(), planned.len());
    for (layer, planned) in layers.iter().zip(planned) {
        for key in ["layer", "depth_mm", "dose_percent"] {
            assert_eq!(layer[key], planned[key], "{key}");
        }
    }
    let after: Vec<&str> = layers.iter().map(|layer| layer["poured_after"].as_str().unwrap()).collect();
    assert_eq!(after, ["first", "window", "window", "window", "cold"]);
    for [below, above] in layers.array_windows().take(3) {
        let opens = number(below, "poured_at_h") + number(below, "next_layer_opens_h");
        assert!((number(above, "poured_at_h") - opens).abs() < 0.01, "{above:#}");
    }
    assert!(number(&layers[4], "poured_at_h") >= number(&layers[3], "poured_at_h") + 12.0, "overnight");
}

#[test]
fn every_item_is_held_against_its_own_limit() {
    let json = Home::new().json(&["heat", COLUMN, "--json"]);
    let layers = json["layers"].as_array().unwrap();
    let items: Vec<&Value> = layers.iter().flat_map(|layer| layer["item_peaks"].as_array().unwrap()).collect();
    assert_eq!(items.len(), 4, "{items:#?}");
    let seedhead = items.iter().find(|item| item["item"].as_str().unwrap().ends_with("seedhead")).unwrap();
    assert_eq!(seedhead["limit_c"], 60.0);
    assert!(items.iter().filter(|item| item["limit_c"].is_null()).count() == 3);
    for item in &items {
        assert!(number(item, "peak_c") > 18.0 && number(item, "at_h") >= 0.0, "{item:#}");
    }
}

#[test]
fn text_fits_a_page_names_its_figures_and_ends_with_the_label() {
    let home = Home::new();
    for arguments in [vec!["heat", COLUMN], vec!["heat", POND], with(&[]), with(&["--sweep"]), with(&["--suggest"])] {
        let text = home.run(&arguments);
        fits(&text);
        assert!(text.ends_with("Every figure here is an estimate. The label and a trial cup come first.\n"), "{text}");
    }
    let text = home.run(&["heat", COLUMN]);
    for words in
        ["HOW HOT IT GETS", "Hottest: layer", "limit", "WHAT IS EMBEDDED", "5 × seedhead", "OVER TIME", "±: 15 %"]
    {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(text.lines().any(|line| line.contains('|') && line.contains('*')), "a chart in plain characters: {text}");
    assert!(!text.chars().any(|c| ('\u{2800}'..'\u{2900}').contains(&c)), "no braille into a pipe");
}

#[test]
fn the_readme_shows_the_very_peaks() {
    let text = Home::new().run(&["heat", COLUMN]);
    let peaks = text.split("WHEN IT GELS").next().and_then(|head| head.find("HOW HOT").map(|at| head[at..].trim_end()));
    assert!(include_str!("../../README.md").contains(peaks.unwrap()), "update 'How hot it gets' in README.md");
}

#[test]
fn a_material_without_figures_or_clock_is_told_so() {
    let home = Home::new();
    for (material, words) in [("uv-resin", "light sets it"), ("acrylic-paint", "no [heat] table")] {
        let said = home.say(&["heat", "--material", material, "--depth-mm", "2"]);
        assert_eq!((said.code, said.out.as_str()), (1, ""));
        assert!(said.err.contains(material) && said.err.contains(words), "{}", said.err);
    }
    let said = home.say(&["heat", "--material", "deep-pour-epoxy", "--depth-mm", "20", "--dose-percent", "1"]);
    assert!(said.code == 1 && said.err.contains("no dose to choose"), "{}", said.err);
    let piece = home.write("fern.toml", &one_part());
    assert_eq!(home.say(&["heat", &piece]).code, 1);
}

#[test]
fn what_does_not_go_together_is_refused() {
    let home = Home::new();
    for arguments in [
        vec!["heat"],
        vec!["heat", "--material", "clear-polyester"],
        vec!["heat", COLUMN, "--material", "clear-polyester"],
        vec!["heat", COLUMN, "--depth-mm", "3"],
        with(&["--sweep", "--suggest"]),
        with(&["--steps", "5"]),
        with(&["--sweep", "--steps", "1"]),
        with(&["--limit-c", "60"]),
        with(&["--dose-percent", "0"]),
        with(&["--suggest", "--gel-within", "90"]),
    ] {
        assert_eq!(home.say(&arguments).code, 2, "{arguments:?}");
    }
}

#[test]
fn a_dose_outside_the_profile_is_worked_out_and_remarked() {
    let json = Home::new().json(&with(&["--dose-percent", "3.5", "--json"]));
    assert!(json["remarks"][0].as_str().unwrap().contains("outside the profile's doses"), "{json:#}");
}

#[test]
fn a_sweep_has_every_point_and_marks_the_hot_ones() {
    let home = Home::new();
    let points = home.json(&with(&["--sweep", "--steps", "6", "--json"]));
    let points = points.as_array().unwrap();
    assert_eq!(points.len(), 36);
    for row in points.chunks(6) {
        assert!(row.array_windows().all(|[weak, strong]| number(weak, "peak_c") <= number(strong, "peak_c") + 0.05));
        assert!(
            row.array_windows().all(|[weak, strong]| number(weak, "dose_percent") < number(strong, "dose_percent"))
        );
        assert!(row.array_windows().all(|[a, b]| a["depth_mm"] == b["depth_mm"]));
    }
    for point in points {
        assert_eq!(point["over_limit"], number(point, "peak_c") > number(point, "limit_c"));
        assert!(number(point, "gel_h") > 0.0 && number(point, "peak_at_h") >= 0.0);
    }
    let over = points.iter().filter(|point| point["over_limit"] == true).count();
    let text = home.run(&with(&["--sweep", "--steps", "6"]));
    let letters = text.lines().take_while(|line| !line.contains("H: over")).flat_map(|line| line.split_whitespace());
    let marked = letters.filter(|word| word.ends_with('H') && word.len() > 1 && word.as_bytes()[0].is_ascii_digit());
    assert_eq!(marked.count(), over, "{text}");
    assert!(over > 0 && over < 36, "the sweep reaches over the limit");
}

#[test]
fn the_default_sweep_is_twenty_by_twenty() {
    assert_eq!(Home::new().json(&with(&["--sweep", "--json"])).as_array().unwrap().len(), 400);
}

#[test]
fn a_material_without_a_dose_is_swept_over_the_bench() {
    let home = Home::new();
    let points = home.json(&["heat", POND, "--sweep", "--steps", "4", "--json"]);
    let points = points.as_array().unwrap();
    assert!(points.iter().all(|point| point["dose_percent"].is_null()));
    let benches: Vec<f64> = points[..4].iter().map(|point| number(point, "bench_c")).collect();
    assert!(benches.is_sorted() && benches[0] < benches[3], "{benches:?}");
}

#[test]
fn what_is_suggested_keeps_what_was_asked() {
    let home = Home::new();
    let json = home.json(&with(&["--suggest", "--limit-c", "50", "--gel-within", "50m", "--json"]));
    assert_eq!((number(&json, "limit_c"), number(&json, "depth_mm")), (50.0, 10.0));
    assert!((number(&json, "gel_within_h") - 50.0 / 60.0).abs() < 1e-12);
    let deepest = &json["deepest"];
    assert!(number(deepest, "peak_c") <= 50.0 && number(deepest, "depth_mm") <= 20.0);
    // Half a millimetre more is too hot, or more than the profile allows.
    if deepest["held"] == false {
        let depth = format!("{:.1}", number(deepest, "depth_mm") + 0.5);
        let more = home.json(&["heat", "--material", "clear-polyester", "--depth-mm", &depth, "--json"]);
        assert!(number(&more["layers"][0], "peak_c") > 50.0);
    }
    let ways = json["ways"].as_array().unwrap();
    assert!(!ways.is_empty() && ways.iter().all(|way| number(way, "gel_h") <= 50.0 / 60.0 + 1e-9));
    let coolest = number(&json["coolest"], "peak_c");
    assert!(coolest <= 50.0 && ways.iter().all(|way| number(way, "peak_c") >= coolest));
}

#[test]
fn where_nothing_does_it_is_said_so() {
    let home = Home::new();
    let json = home.json(&with(&["--suggest", "--limit-c", "20.5", "--gel-within", "1m", "--json"]));
    for key in ["deepest", "weakest_dose", "coolest", "fewest"] {
        assert!(json[key].is_null(), "{key}: {json:#}");
    }
    assert_eq!(json["any_dose"], false);
    let text = home.run(&with(&["--suggest", "--limit-c", "20.5", "--gel-within", "1m"]));
    assert!(text.matches("None").count() >= 3, "{text}");
}

#[test]
fn a_cup_gets_hotter_the_fuller_it_is() {
    let home = Home::new();
    let cup = |grams: &str| home.json(&["heat", "--material", "clear-polyester", "--cup-g", grams, "--json"]);
    let (small, large) = (cup("20"), cup("300"));
    assert!(number(&large, "peak_c") > number(&small, "peak_c"));
    assert!(number(&large, "too_hot_to_hold_h") < number(&large, "peak_at_h"));
    assert!(number(&large, "pot_life_h") <= number(&small, "pot_life_h"));
    let text = home.run(&["heat", "--material", "clear-polyester", "--cup-g", "300"]);
    fits(&text);
    for words in ["too hot to hold", "leftovers thin", "outdoors", "never put", "Read the label first", "pot life"] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

#[test]
fn a_case_gives_its_figures_and_no_others() {
    let home = Home::new();
    let json = home.json(&["heat", "--case", &home.write("slab.toml", SLAB), "--json"]);
    let mut keys: Vec<&str> = json.as_object().unwrap().keys().map(String::as_str).collect();
    keys.sort_unstable();
    let expected = [
        "centre_peak_c",
        "centre_peak_s",
        "energy_error",
        "grid_error_c",
        "resolved",
        "t_half_centre_s",
        "top_face_peak_c",
    ];
    assert_eq!(keys, expected);
    // Nothing leaves it: 25 °C + H / c = 75 °C all through.
    for key in ["centre_peak_c", "top_face_peak_c"] {
        assert!((number(&json, key) - 75.0).abs() < 0.1, "{json:#}");
    }
    assert_eq!(json["resolved"], true);
    let text = home.run(&["heat", "--case", &home.path("slab.toml")]);
    assert!(text.contains("centre") && text.contains("half reacted"), "{text}");
}

#[test]
fn a_case_of_bare_conduction_only_cools() {
    let home = Home::new();
    let still = SLAB
        .replace("= 100000", "= 0")
        .replace("= 1e-4", "= 0")
        .replace("= 1e-3", "= 0")
        .replace("h_top_w_m2k = 0", "h_top_w_m2k = 20")
        .replace("start_c = 25", "start_c = 60");
    let json = home.json(&["heat", "--case", &home.write("still.toml", &still), "--json"]);
    assert!((number(&json, "centre_peak_c") - 60.0).abs() < 1e-6, "{json:#}");
    assert!(json["t_half_centre_s"].is_null(), "nothing reacts");
}

#[test]
fn a_bad_case_is_told_with_its_place() {
    let home = Home::new();
    let file = home.write("bad.toml", &SLAB.replace("= 1100", "= -1").replace("start_c = 25\n", ""));
    let said = home.say(&["heat", "--case", &file]);
    assert_eq!((said.code, said.out.as_str()), (1, ""));
    for words in ["bad.toml:1:17", "a density in kg/m³", "'start_c' is missing", "2 problems"] {
        assert!(said.err.contains(words), "{words}: {}", said.err);
    }
}

#[test]
fn the_bench_sheet_says_how_hot_it_gets() {
    let home = Home::new();
    let sheet = home.path("sheet.html");
    home.run(&["plan", COLUMN, "--html", &sheet]);
    let html = fs::read_to_string(&sheet).unwrap();
    for words in ["How hot it gets", "class=\"heat-curves\"", "class=\"heat-grid\"", "Hottest: layer"] {
        assert!(html.contains(words), "{words}");
    }
    home.run(&["plan", POND, "--html", &sheet]);
    let html = fs::read_to_string(&sheet).unwrap();
    assert!(html.contains("class=\"heat-curves\"") && !html.contains("class=\"heat-grid\""), "no dose, no chart of it");
    let fern = home.write("fern.toml", &one_part());
    home.run(&["plan", &fern, "--html", &sheet]);
    assert!(fs::read_to_string(&sheet).unwrap().contains("No figures: nothing can be said of the heat of 'uv-resin'"));
}

#[test]
fn sixty_layers_stay_within_the_page() {
    let home = Home::new();
    let piece = home.write("stack.toml", &stack(60, "a stack with a rather long name of its own"));
    fits(&home.run(&["heat", &piece]));
}
