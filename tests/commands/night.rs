//! `nightpour night`: the plan in words and figures, the calendar, the reverse, and what it refuses. That it is the best one is
//! tested in the library, and by `benches/night_beside_cpsat.py`.

use crate::home::Home;
use crate::pieces::{COLUMN, POND};
use ical::IcalParser;
use serde_json::Value;
use std::collections::BTreeSet;
use unicode_width::UnicodeWidthStr;

/// Three layers, invented.
const BLOCK: &str = "name = 'Three shells, one; night'\nmaterial = 'clear-polyester'\nbench_c = 18\nfill_mm = 30\n\
                     [vessel]\nshape = 'cylinder'\ndiameter_mm = 60\nheight_mm = 40\n[layers]\ncount = 3\n";

/// A night of ours, in UTC as all these tests.
const EVENING: [&str; 4] = ["--from", "2026-02-20 21:00", "--sleep", "23:00-06:30"];

fn block(home: &Home) -> String {
    home.write("block.toml", BLOCK)
}

fn night<'a>(piece: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["night", piece], EVENING.as_slice(), more].concat()
}

#[track_caller]
fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no figure '{key}' in {value:#}"))
}

#[test]
fn the_plan_in_json_has_its_keys_and_keeps_its_word() {
    let home = Home::new();
    let json = home.json(&night(&block(&home), &["--json"]));
    let pours = json["pours"].as_array().unwrap();
    assert_eq!(pours.iter().map(|pour| number(pour, "layer")).collect::<Vec<_>>(), [1.0, 2.0, 3.0]);
    assert!(pours[0]["window_opens"].is_null());
    let mut wakes = 0;
    for pour in pours {
        let at = pour["at"].as_str().unwrap();
        // Ten minutes before and five after, so asleep between 22:55 and 06:40.
        let clock = &at[11..16];
        let asleep = ("22:56"..="23:59").contains(&clock) || clock < "06:40";
        assert_eq!(pour["wake"], asleep, "{at}");
        wakes += u32::from(asleep);
        assert!(number(pour, "dose_percent") > 0.0 && number(pour, "miss_probability") <= 0.1);
        if let Some(opens) = pour["window_opens"].as_str() {
            // Likely open: to the grid of five minutes never before the likely time.
            assert!(at >= opens && at < pour["window_closes"].as_str().unwrap(), "{pour:#}");
            assert!(number(pour, "not_open_probability") <= 0.5);
        }
        assert!(number(pour, "peak_c") <= 65.5, "the profile's limit");
    }
    assert_eq!((number(&json, "wakeups"), number(&json, "cost")), (f64::from(wakes), f64::from(wakes)));
    assert!(json["finish"].as_str() > pours[2]["at"].as_str() && json["finish_stage"] == "demould");
    assert!(number(&json, "any_miss_at_most") <= 0.3);
    let answer = &json["answer"];
    assert!(answer["verdict"] == "now" && !answer["reason"].as_array().unwrap().is_empty());
    assert!(answer["now"]["finish"].as_str() <= answer["morning"]["finish"].as_str());
}

/// The demo's cool night, as README has it.
#[test]
fn the_schedule_in_the_readme_is_real() {
    let home = Home::new();
    let file = |name: &str| format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"));
    let (piece, forecast) = (file("tall-column.toml"), file("bench-night.csv"));
    let asked = ["night", &piece, "--from", "2026-02-20 19:30", "--sleep", "23:00-06:30", "--forecast", &forecast];
    let text = home.run(&asked);
    let readme = include_str!("../../README.md");
    let shown: Vec<&str> = text.lines().take_while(|line| !line.contains("+ and -")).collect();
    assert!(shown[0].starts_with("Tall shell column: 12 layers") && shown.len() > 20, "{text}");
    for line in shown {
        assert!(readme.contains(line), "not in README.md:\n{line}\n\n{text}");
    }
}

#[test]
fn the_words_fit_and_say_what_is_asked() {
    let home = Home::new();
    let text = home.run(&night(&block(&home), &["--what-if", "--planned-doses"]));
    for part in [
        "NOW OR IN THE MORNING?",
        "Now, before bed: layer 1 at Fri 21:00",
        "POUR TIMES",
        "THE SAME PLAN, IF",
        "3 °C colder",
        "doses -20 %",
        "a layer less",
        "left out",
        "estimates, not promises",
    ] {
        assert!(text.contains(part), "no '{part}' in\n{text}");
    }
    let wide: Vec<&str> = text.lines().filter(|line| line.width() > 80).collect();
    assert!(wide.is_empty(), "wider than 80: {wide:#?}");
}

#[test]
fn a_deadline_is_kept_or_refused_with_what_is_possible() {
    let home = Home::new();
    let piece = block(&home);
    let json = home.json(&night(&piece, &["--json", "--by", "2026-02-22 10:00"]));
    assert!(json["finish_late"].as_str().unwrap() <= "2026-02-22T10:00:00+00:00");
    let tight = home.json(&night(&piece, &["--json", "--by", "2026-02-21 12:00"]));
    assert!(number(&tight, "wakeups") >= number(&json, "wakeups"));
    let said = home.say(&night(&piece, &["--by", "2026-02-20 23:30"]));
    assert!(said.code != 0 && said.err.contains("cannot be kept with 90 %: the earliest"), "{}", said.err);
}

#[test]
fn appointments_and_other_sleep_are_kept_clear() {
    let home = Home::new();
    let busy = ["--json", "--busy", "2026-02-20 21:00-22:30 concert"];
    let json = home.json(&night(&block(&home), &busy));
    let first = json["pours"][0]["at"].as_str().unwrap();
    assert!(first >= "2026-02-20T22:40:00+00:00", "{first}");
}

#[test]
fn what_cannot_be_planned_is_refused_in_words() {
    let home = Home::new();
    let piece = block(&home);
    let refused = |more: &[&str], words: &str| {
        let said = home.say(&night(&piece, more));
        assert!(said.code == 1 && said.err.contains(words), "{more:?}: {}", said.err);
    };
    refused(&["--sleep", "late"], "'late' are no hours; write them as in 23:00-06:30");
    refused(&["--busy", "19:00-21:00"], "'19:00-21:00' says no day; write one");
    refused(&["--risk-percent", "80"], "a risk in percent of 80 is out of range; give a figure from 0.1 to 50");
    refused(&["--ics", "pours.txt"], "'pours.txt' is no name for a calendar, and nothing is written");
    refused(&["--accept"], "only a piece on the bench has alarms");
    refused(&["--bench-c", "10"], "the bench is too cold");
    refused(&["--forecast", "nowhere.csv"], "the forecast 'nowhere.csv' cannot be read");
    let none = home.say(&["night"]);
    assert!(none.code == 1 && none.err.contains("no piece is on the bench"), "{}", none.err);
}

#[test]
fn the_calendar_reads_back_and_a_later_one_has_the_same_names() {
    let home = Home::new();
    let piece = block(&home);
    let read = |from: &str| {
        let file = home.path("pours.ics");
        let asked =
            ["night", &piece, "--from", from, "--planned-doses", "--sleep", "23:00-06:30", "--ics", &file, "--json"];
        let json = home.json(&asked);
        (std::fs::read(&file).unwrap(), json)
    };
    let (bytes, json) = read("2026-02-20 21:00");
    assert!(bytes.ends_with(b"END:VCALENDAR\r\n"));
    // RFC 5545, 3.1: lines of 75 octets at the most, ended by CR LF.
    let text = String::from_utf8(bytes.clone()).unwrap();
    assert!(text.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')));
    let events = |bytes: &[u8]| IcalParser::new(bytes).next().unwrap().unwrap().events;
    let property = |event: &ical::parser::ical::component::IcalEvent, name: &str| {
        let found = event.properties.iter().find(|property| property.name == name);
        found.and_then(|property| property.value.clone()).unwrap_or_else(|| panic!("no {name}"))
    };
    let first = events(&bytes);
    let pours = json["pours"].as_array().unwrap();
    assert_eq!(first.len(), pours.len() + 1, "every pour, and the finish");
    for (event, pour) in first.iter().zip(pours) {
        let start = pour["at"].as_str().unwrap().replace(['-', ':'], "");
        assert_eq!(property(event, "DTSTART"), format!("{}Z", &start[..15]), "UTC, as the offset here is none");
        assert_eq!(event.alarms.len(), 2);
        assert!(event.alarms.iter().all(|alarm| alarm.properties.iter().any(|property| property.name == "TRIGGER")));
        // The name's comma and semicolon are escaped (RFC 5545, 3.3.11).
        assert!(property(event, "SUMMARY").contains("Three shells\\, one\\; night"));
    }
    let (later, _) = read("2026-02-20 21:40");
    let names = |bytes: &[u8]| events(bytes).iter().map(|event| property(event, "UID")).collect::<BTreeSet<_>>();
    assert_eq!(names(&bytes), names(&later));
    assert_ne!(property(&first[0], "DTSTART"), property(&events(&later)[0], "DTSTART"));
    assert_eq!(names(&bytes).len(), first.len());
}

#[test]
fn a_time_to_get_up_has_its_doses() {
    let home = Home::new();
    let json = home.json(&night(&block(&home), &["--wake-at", "06:40", "--risk-percent", "40", "--json"]));
    let [least, most, best] = ["weakest_percent", "strongest_percent", "best_percent"].map(|key| number(&json, key));
    assert!(least <= best && best <= most, "{json:#}");
    assert!(number(&json, "miss_probability") <= 0.4 && number(&json, "not_open_probability") <= 0.4);
    assert!(json["window_opens"].as_str() < json["wake"].as_str());
    let text = home.run(&night(&block(&home), &["--wake-at", "06:40"]));
    assert!(text.contains("none, with at most 10 % risk") && text.contains("layer 1 poured"), "{text}");
}

#[test]
fn a_piece_on_the_bench_goes_on_from_where_it_stands_and_its_plan_is_kept() {
    let home = Home::new();
    home.run(&["temp", "18"]);
    home.run(&["start", COLUMN]);
    home.run(&["pour"]);
    let json = home.json(&["night", "--json", "--accept", "--planned-doses"]);
    let first = &json["pours"][0];
    assert_eq!(first["layer"], 2);
    assert!(first["window_opens"].is_string() && json["bench_from"] == "readings");
    let notebook = home.run(&["notebook"]);
    assert!(notebook.contains("pour times accepted, layer 2 at"), "{notebook}");
    // The window is the one that the clocks show.
    let clocks = home.json(&["clocks", "--json"]);
    let stages = clocks[0]["stages"].as_array().unwrap();
    let opens = stages.iter().find(|stage| stage["stage"] == "next-layer-opens").unwrap();
    assert_eq!(opens["likely"].as_str().unwrap()[..16], first["window_opens"].as_str().unwrap()[..16]);
}

#[test]
fn a_two_part_resin_has_no_dose_and_all_the_same_its_times() {
    let home = Home::new();
    let json = home.json(&["night", POND, "--from", "2026-02-20 19:00", "--json"]);
    let pours = json["pours"].as_array().unwrap();
    assert!(pours.len() >= 2 && pours.iter().all(|pour| pour["dose_percent"].is_null()));
}
