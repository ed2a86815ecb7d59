//! Answering alarms from the command line.

use crate::home::Home;

#[test]
fn what_rings_is_answered_by_batch_by_stage_or_all_at_once() {
    let home = Home::new();
    assert_eq!(home.run(&["ack"]), "nothing rings\n");
    home.run(&["mix", "five-minute-epoxy", "--label", "shell", "--at", "4m ago"]);
    home.run(&["mix", "five-minute-epoxy", "--label", "seedhead", "--at", "4m ago"]);
    let other = home.say(&["ack", "1:demould"]);
    assert_eq!((other.code, other.err.contains("these do: 1:pot-life, 2:pot-life")), (1, true), "{}", other.err);
    assert!(home.say(&["ack", "9"]).err.contains("there is no batch 9"));
    assert!(home.say(&["ack", "pond"]).err.contains("'pond' is no alarm here"));
    assert!(home.run(&["ack", "1"]).contains("acknowledged 1 shell: pot life ends"));
    assert!(home.run(&["ack", "2:pot-life", "--snooze", "10m"]).contains("snoozed 2 seedhead: pot life ends until "));
    assert_eq!(home.run(&["ack"]), "nothing rings\n");
    assert!(home.say(&["ack", "--snooze", "40d"]).err.contains("rests for 12h at most"));
}

#[test]
fn an_answer_does_not_hang_on_a_slip_in_the_settings() {
    let home = Home::new();
    home.run(&["mix", "five-minute-epoxy", "--at", "4m ago"]);
    std::fs::create_dir_all(home.path("config")).unwrap();
    home.write("config/config.toml", "leed = \"20m\"\n");
    let said = home.say(&["ack", "--json"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("write lead = ") && said.err.contains("the usual ones hold"), "{}", said.err);
    let answered: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!((&answered[0]["batch"], &answered[0]["stage"]), (&1.into(), &"pot-life".into()));
}

#[test]
fn the_check_before_bed_says_no_where_nobody_keeps_watch() {
    let home = Home::new();
    std::fs::create_dir_all(home.path("config")).unwrap();
    let off = "[channel.desktop]\non = false\n[channel.sound]\non = false\n";
    home.write("config/config.toml", &format!("{off}[channel.command]\nrun = [\"true\"]\n"));
    home.run(&["temp", "19"]);
    let said = home.say(&["alarm-check", "--json"]);
    assert_eq!(said.code, 1, "{}", said.err);
    let facts: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(facts["woken"], false);
    let finding = |what: &str| {
        let all = facts["findings"].as_array().unwrap();
        all.iter().find(|finding| finding["what"] == what).unwrap()["sign"].clone()
    };
    assert_eq!(
        (finding("command"), finding("watch"), finding("bench")),
        ("good".into(), "fatal".into(), "good".into())
    );
    assert!(facts["verdict"].as_str().unwrap().contains("no nightpour is running"), "{facts}");
}

#[test]
#[allow(clippy::disallowed_methods, reason = "times to come are counted from the real present")]
fn tonight_is_typed_held_or_taken_from_past_nights() {
    let home = Home::new();
    home.run(&["temp", "19"]);
    assert!(home.run(&["tonight"]).contains("the last reading, held"));
    let ahead = |minutes: i64| {
        let at = jiff::Timestamp::now() + jiff::SignedDuration::from_mins(minutes);
        at.to_string()
    };
    home.run(&["tonight", &format!("{}=15,5", ahead(60)), &format!("{}=12", ahead(600))]);
    let facts = home.json(&["tonight", "--json"]);
    assert_eq!(facts["by"], "typed");
    let at = |hour: usize| facts["hours"][hour]["bench_c"].as_f64().unwrap();
    assert!((at(1) - 15.5).abs() < 0.1 && at(10) < 12.1, "{facts}");
    assert!(facts["hours"][10]["mean_sd_c"].as_f64() > facts["hours"][0]["mean_sd_c"].as_f64());
    home.run(&["tonight", "--hold"]);
    assert_eq!(home.json(&["tonight", "--json"])["by"], "held");
    assert!(home.say(&["tonight", "06:30=cold"]).err.contains("as in 23:00=17.5"));
    assert!(home.say(&["tonight", &format!("{}=15", ahead(60 * 50))]).err.contains("a day and a half"));
}

#[test]
fn the_settings_say_where_they_are_and_what_is_wrong() {
    let home = Home::new();
    assert!(home.run(&["settings"]).contains("not there, so the usual holds"));
    std::fs::create_dir_all(home.path("config")).unwrap();
    home.write("config/config.toml", &home.run(&["settings", "--example"]));
    assert!(home.run(&["settings"]).contains("channels: desktop, sound, bell, terminal"));
    home.write(
        "config/config.toml",
        "[[stage]]\nstage = \"gel\"\nmaterial = \"clear-polyestr\"\nat_night = \"wake\"\n",
    );
    assert!(home.run(&["settings"]).contains("! [[stage]] speaks of 'clear-polyestr'"));
    home.write("config/config.toml", "[quiet]\nfrom = \"22:30\"\n");
    let bad = home.say(&["settings"]);
    assert!(bad.code == 1 && bad.err.contains("config.toml:1:1") && bad.err.contains("until"), "{}", bad.err);
}
