//! Settings as they are written.

use super::*;
use crate::bench::{AtNight, Place};
use crate::material::Stage;
use jiff::SignedDuration;
use jiff::civil::time;
use std::time::Duration;

fn settings(source: &str) -> Settings {
    read_settings(source).unwrap().value
}

/// The first problem: where, and the remedy.
fn bad(source: &str) -> String {
    let problems = read_settings(source).unwrap_err();
    let first = &problems[0];
    let line = source[..first.span.start].matches('\n').count() + 1;
    format!("{line}: {} → {}", first.what, first.remedy)
}

#[test]
fn the_example_says_what_holds_without_it_and_reads_when_it_is_taken_out_of_its_comments() {
    assert_eq!(settings(EXAMPLE), Settings::default());
    let is_setting = |line: &&str| line.starts_with("# ") && (line.contains(" = ") || line.starts_with("# ["));
    let taken: Vec<&str> = EXAMPLE.lines().filter(is_setting).map(|line| &line[2..]).collect();
    let all = settings(&taken.join("\n"));
    assert_eq!(all.sources.iter().map(|s| s.name.as_str()).collect::<Vec<_>>(), ["bench", "outdoors", "resin"]);
    assert_eq!(all.rules.quiet.map(|quiet| (quiet.from, quiet.until)), Some((time(22, 30, 0, 0), time(6, 30, 0, 0))));
    assert_eq!(all.rules.stages[0].at_night, Some(AtNight::Wake));
    assert_eq!(all.channels.command.map(|c| c.reach.after), Some(Duration::from_mins(3)));
    let silent = |place| all.rules.silent_after.get(&place).copied();
    assert_eq!(silent(Place::Bench), Some(SignedDuration::from_mins(20)));
    assert_eq!(silent(Place::Resin), Some(SignedDuration::from_mins(90)));
    assert_eq!(all.rules.stages[0].stage, Stage::Gel);
}

#[test]
fn channels_are_switched_off_one_by_one() {
    let off = settings("[channel.sound]\non = false\n[channel.bell]\nafter = \"2m\"\n").channels;
    assert_eq!((off.sound, off.desktop), (None, Some(Reach::default())));
    assert_eq!(off.bell, Some(Reach { after: Duration::from_mins(2) }));
}

#[test]
fn mistakes_are_told_with_their_remedy() {
    for (source, words) in [
        ("[quiet]\nfrom = \"half past ten\"\nuntil = \"06:30\"\n", ["2: that is no clock time", "from = \"22:30\""]),
        ("[channel.post]\nurl = \"alarms.example\"\n", ["2: that is no web address", "https://"]),
        ("[channel.post]\nurl = \"https://u:p@x.example/a\"\n", ["no place in the address", "token_file"]),
        ("[channel.command]\nrun = [\"a\"]\nafter = 3\n", ["3: 'after'", "\"3m\""]),
        ("[[source]]\nname = \"b\"\nfile = \"x.txt\"\n", ["is not a whole path", "/"]),
        (
            "[[source]]\nname = \"b\"\nfile = \"/x\"\n[[source]]\nname = \"b\"\nfile = \"/y\"\n",
            ["two sources", "another name"],
        ),
        ("[channel.mqtt]\ntopic = \"bench/alarms\"\n", ["nothing says where it is", "[broker]"]),
        ("[channel.mqtt]\ntopic = \"bench/#\"\n[broker]\nhost = \"a\"\n", ["wildcards", "bench/alarms"]),
        ("[[source]]\nname = \"bench\"\n", ["where its readings come from", "file, run or topic"]),
        ("[[source]]\nname = \"b\"\nfile = \"/x\"\nas = \"json\"\n", ["temperature", "/temperature"]),
        ("[[source]]\nname = \"b\"\nfile = \"/x\"\nrun = [\"y\"]\n", ["one origin", "[[source]]"]),
        (
            "[[source]]\nname = \"b\"\nfile = \"/x\"\nleast_c = 5\nmost_c = 4\n",
            ["no reading could ever pass", "least_c"],
        ),
        (
            "[[source]]\nname = \"b\"\nfile = \"/x\"\nsilent_after = \"3m\"\n",
            ["shorter than a source may be quiet", "write 6m"],
        ),
        ("[broker]\nhost = \"a\"\nuser = \"koi\"\n", ["password_file", "password_file"]),
        ("[[stage]]\nstage = \"kicked\"\n", ["2: that is no stage", "pot-life, gel"]),
        ("lead = \"0m\"\n", ["lead", "lead"]),
    ] {
        let told = bad(source);
        assert!(words.iter().all(|word| told.contains(word)), "{source}: {told}");
    }
    assert_eq!(settings("lead = \"none\"\n").rules.lead, SignedDuration::ZERO);
}

#[test]
fn without_a_file_the_usual_holds_and_a_bad_one_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("config.toml");
    assert_eq!(load(&path).unwrap(), Settings::default());
    std::fs::write(&path, "lead = 15\n").unwrap();
    let bad = load(&path).unwrap_err();
    assert!(bad.words().contains("are not used: it has 1 problem") && bad.problems().len() == 1, "{}", bad.words());
}
