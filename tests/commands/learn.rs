//! `learn` on a notebook of an invented shop whose resin is half as slow again as the label.

use crate::home::Home;

/// Clock time on an invented evening, so many minutes after 20:00.
fn clock(day: u32, minute: i64) -> String {
    format!("2020-03-{day:02} {:02}:{:02}", 20 + minute / 60, minute % 60)
}

/// Without the breaks of the lines.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A layer at `celsius`, gelled after `gel` minutes, give or take two.
fn layer(home: &Home, day: u32, celsius: &str, gel: i64) {
    let at = |minute| clock(day, minute);
    let batch = (day).to_string();
    home.run(&["temp", celsius, "--at", &at(0)]);
    home.run(&["mix", "clear-polyester", "--dose-percent", "1", "--label", &format!("layer {day}"), "--at", &at(1)]);
    home.run(&["seen", "gel", "--batch", &batch, "--not-yet", "--at", &at(1 + gel - 2)]);
    home.run(&["seen", "gel", "--batch", &batch, "--by", &at(1 + gel + 2)]);
    home.run(&["done", &batch]);
}

/// 45 minutes at 20 °C, 36 at 24 °C where a rate that doubles says 34.
fn shop() -> Home {
    let home = Home::new();
    for (day, celsius, gel) in
        [(1, "20", 45), (2, "20", 47), (3, "20", 43), (4, "24", 36), (5, "24", 34), (6, "20", 45)]
    {
        layer(&home, day, celsius, gel);
    }
    home
}

#[test]
fn nothing_seen_is_nothing_learned() {
    let home = Home::new();
    assert!(home.run(&["learn"]).contains("Nothing has been seen yet"));
    let told = flat(&home.run(&["learn", "clear-polyester"]));
    assert!(told.contains("0 looks at 0 batches") && told.contains("still the label's"), "{told}");
    let said = home.say(&["learn", "clear-polyester", "--apply"]);
    assert!(said.code != 0 && said.err.contains("nothing has been seen of it yet"), "{}", said.err);
    assert!(home.say(&["learn", "uv-resin"]).err.contains("set by light alone"));
    assert!(home.say(&["learn", "clear-polyster"]).err.contains("did you mean 'clear-polyester'?"));
    assert!(home.say(&["learn", "clear-polyester", "--back"]).err.contains("nothing to go back to"));
}

#[test]
fn the_shops_times_stand_beside_the_labels() {
    let home = shop();
    let told = home.json(&["learn", "clear-polyester", "--json"]);
    assert_eq!((&told["observations"], &told["batches"]), (&6.into(), &6.into()));
    let gel = &told["stages"][1];
    assert_eq!((gel["stage"].as_str(), gel["verdict"].as_str()), (Some("gel"), Some("learned")));
    let factor = gel["shop_factor"].as_f64().unwrap();
    assert!((factor - 1.5).abs() < 0.06, "{factor}");
    // Nobody looked for the others: they go along.
    assert_eq!(told["stages"][4]["verdict"], "goes-along");
    assert!(told["stages"][4]["shop_factor"].as_f64().unwrap() > 1.2);
    assert_eq!(told["dose_exponent"]["verdict"], "cannot-tell");
    assert_eq!(told["looks"].as_array().unwrap().len(), 6);
    assert!(told["best_trial"]["celsius"].as_f64().unwrap() > 24.0, "{}", told["best_trial"]);
    let words = home.run(&["learn", "clear-polyester"]);
    for part in [
        "GEL OVER THE BENCH'S TEMPERATURE",
        "cannot tell yet: log one with a clearly different dose",
        "THOSE THAT PULL MOST FIRST",
    ] {
        assert!(flat(&words).contains(part), "{part}: {words}");
    }
    assert!(words.lines().all(|line| line.chars().count() <= 80), "{words}");
    assert!(home.run(&["learn"]).contains("6 looks at 6 batches: gel ×1.5"));
}

#[test]
fn what_is_applied_is_used_from_the_next_batch_on_and_taken_back() {
    let home = shop();
    home.run(&["temp", "20", "--at", "5m ago"]);
    home.run(&["mix", "clear-polyester", "--label", "before"]);
    let minutes = |batch: usize| {
        let clocks = home.json(&["clocks", "--json"]);
        let gel = &clocks[batch]["stages"][1];
        (
            gel["seconds_left"].as_f64().unwrap() / 60.0,
            gel["from"].as_str().unwrap().to_owned(),
            gel["from_observations"].clone(),
        )
    };
    let applied = home.run(&["learn", "clear-polyester", "--apply"]);
    assert!(applied.contains("1 batch that runs keeps the figures"), "{applied}");
    home.run(&["mix", "clear-polyester", "--label", "after"]);
    let ((old, from, none), (new, learned, looks)) = (minutes(0), minutes(1));
    assert!((29.0..31.0).contains(&old) && (43.0..47.0).contains(&new), "{old} {new}");
    assert_eq!(
        (from.as_str(), learned.as_str(), none.is_null(), looks),
        ("common practice", "learned", true, 6.into())
    );
    assert!(home.run(&["profiles", "show", "clear-polyester"]).contains("learned from 6 of your own; it was 30 min"));
    // The same again is no new version; the batch that runs is moved when that is asked for.
    let moved = home.json(&["learn", "clear-polyester", "--apply", "--running", "--json"]);
    assert_eq!(moved["running_batches_moved"], serde_json::json!([7]));
    assert!(minutes(0).0 > 42.0);
    home.run(&["undo"]);
    assert!(minutes(0).0 < 31.0, "the former figures again");
    let back = home.run(&["learn", "clear-polyester", "--back"]);
    assert!(back.contains("The built-in figures of clear-polyester are in use again"), "{back}");
    assert!(home.run(&["profiles", "show", "clear-polyester"]).contains("built in"));
    assert!(home.say(&["learn", "clear-polyester", "--back"]).err.contains("nothing to go back to"));
}

#[test]
fn a_profile_of_ones_own_comes_back_as_it_was() {
    let home = shop();
    home.run(&["profiles", "copy", "clear-polyester"]);
    let file = home.path("config/profiles/clear-polyester.toml");
    let mine = std::fs::read_to_string(&file)
        .unwrap()
        .replace("after = \"30m\" ", "after = { value = \"40m\", from = \"label\" } ");
    home.write_profile("clear-polyester.toml", &mine);
    home.run(&["learn", "clear-polyester", "--apply"]);
    let learned = std::fs::read_to_string(&file).unwrap();
    assert!(learned.contains("after_was = { value = \"40m\", from = \"label\" }"), "{learned}");
    assert!(home.run(&["profiles", "check", &file]).contains("fine"));
    // Learned once more it is still held against the label.
    let again = home.json(&["learn", "clear-polyester", "--json"]);
    assert!((again["stages"][1]["label_after_h"].as_f64().unwrap() - 40.0 / 60.0).abs() < 1e-9);
    home.run(&["learn", "clear-polyester", "--back"]);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), mine);
}

#[test]
fn what_contradicts_is_shown_and_not_used() {
    let home = Home::new();
    home.run(&["temp", "20", "--at", &clock(1, 0)]);
    home.run(&["mix", "clear-polyester", "--at", &clock(1, 1)]);
    home.run(&["seen", "gel", "--by", &clock(1, 30)]);
    home.run(&["seen", "gel", "--not-yet", "--at", &clock(1, 40)]);
    let told = flat(&home.run(&["learn", "clear-polyester"]));
    assert!(
        told.contains("SET ASIDE") && told.contains("gel is said to be there by 1 Mar 20:30 and not yet at 20:40"),
        "{told}"
    );
    let json = home.json(&["learn", "clear-polyester", "--json"]);
    assert_eq!((json["observations"].as_u64(), json["set_aside"].as_array().unwrap().len()), (Some(0), 2));
}

#[test]
fn every_past_batch_is_foretold_from_those_before_it() {
    let home = shop();
    let told = home.json(&["learn", "--backtest", "--json"]);
    let (learned, label) = (&told[0]["learned"], &told[0]["label"]);
    assert_eq!(learned["timed"], 6);
    let percent = |score: &serde_json::Value| score["median_error_percent"].as_f64().unwrap();
    assert!(percent(learned) < 10.0 && percent(label) > 28.0, "{learned} {label}");
    let first = &told[0]["predictions"][0];
    assert_eq!((first["from_observations"].as_u64(), &first["learned"]), (Some(0), &first["label"]));
    assert_eq!(told[0]["predictions"][5]["from_observations"], 5);
    assert!(home.run(&["learn", "--backtest"]).contains("off by"));
}

#[test]
fn an_older_table_is_taken_in_once() {
    let home = Home::new();
    let table = "Room;What;Set from;Set by\n20;gel;0,7;0,8\n24;gel;0,5;0,6\n";
    let file = home.write("old.csv", table);
    let ask = |more: &[&'static str]| {
        let mut arguments = vec!["learn", "clear-polyester", "--import", &file];
        arguments.extend([
            "--column",
            "c=Room",
            "--column",
            "stage=What",
            "--column",
            "after_h=Set from",
            "--column",
            "by_h=Set by",
        ]);
        arguments.extend(more);
        home.run(&arguments)
    };
    let dry = ask(&["--dry-run"]);
    assert!(dry.contains("recalled clear-polyester: gel between 0.7 and 0.8 h at 20.0 °C (old.csv line 2)"), "{dry}");
    assert!(dry.contains("2 observations would be written; nothing is") && !home.store().exists(), "{dry}");
    assert!(ask(&[]).contains("2 observations written"));
    assert!(ask(&[]).contains("0 observations written.\n2 are in the notebook already and left out"));
    let told = home.json(&["learn", "clear-polyester", "--json"]);
    assert_eq!((&told["observations"], &told["looks"][0]["batch"]), (&2.into(), &serde_json::Value::Null));
    let bad = home.write("bad.csv", "stage,c,after_h,by_h\ngel,warm,1,2\n");
    let said = home.say(&["learn", "clear-polyester", "--import", &bad]);
    assert!(said.code != 0 && said.err.contains("line 2, column 'c', 'warm' is not a temperature"), "{}", said.err);
}

#[test]
fn a_table_is_fitted_by_itself() {
    let home = Home::new();
    // Invented: 2 h at 20 °C, doubling every 10 °C, seen to within two per cent.
    let rows: Vec<String> = [10.0f64, 15.0, 20.0, 25.0, 30.0]
        .iter()
        .flat_map(|c| {
            let hours = 2.0 * 2f64.powf((20.0 - c) / 10.0);
            [0.96, 1.04].map(|off| format!("gel,{c},,{:.4},{:.4}", hours * off * 0.99, hours * off * 1.01))
        })
        .collect();
    let file = home.write("table.csv", &format!("stage,c,dose_percent,after_h,by_h\n{}\n", rows.join("\n")));
    let fit = home.json(&["learn", "--from", &file, "--no-prior", "--rule", "q10", "--reference-c", "20", "--json"]);
    assert!((fit["temperature"]["q10"].as_f64().unwrap() - 2.0).abs() < 0.02, "{fit}");
    assert!((fit["b0"].as_f64().unwrap() - 2f64.ln()).abs() < 0.02 && fit["dose_exponent"].is_null(), "{fit}");
    assert!(home.run(&["learn", "--from", &file]).contains("activation energy"));
    assert!(!home.store().exists());
}

#[test]
fn the_pictures_are_one_svg_file() {
    let home = shop();
    let file = home.path("gel.svg");
    home.run(&["learn", "clear-polyester", "--svg", &file]);
    let svg = std::fs::read_to_string(&file).unwrap();
    let document = roxmltree::Document::parse(&svg).unwrap();
    let of_class = |class: &str| document.descendants().filter(|node| node.attribute("class") == Some(class)).count();
    assert_eq!((of_class("look"), of_class("shop"), of_class("label")), (6, 1, 1));
    assert!(home.say(&["learn", "clear-polyester", "--svg", "gel.png"]).err.contains("ends in .svg"));
}
