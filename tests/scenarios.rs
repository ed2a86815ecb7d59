//! Nights at the bench, each a file of tests/scenarios: what happens, and what must hold. Invented throughout; wanted
//! times are our own arithmetic from the common-practice figures of the profiles, shown in each file.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

#[path = "support/desk.rs"]
mod desk;
mod scenario;

use scenario::{failures, read_scenario};
use std::path::{Path, PathBuf};

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/scenarios");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

fn failures_of(name: &str, source: &str) -> Vec<String> {
    let found = match read_scenario(source) {
        Ok(scenario) => failures(scenario),
        Err(problems) => vec![problems],
    };
    found.into_iter().map(|words| format!("{name}: {words}")).collect()
}

#[test]
fn every_scenario_holds() {
    let files = files();
    assert!(files.len() >= 25, "only {} scenarios found", files.len());
    let all = files.iter().flat_map(|file| {
        let name = file.file_name().unwrap().to_string_lossy();
        failures_of(&name, &std::fs::read_to_string(file).unwrap())
    });
    let failures: Vec<String> = all.collect();
    assert!(failures.is_empty(), "\n{}\n", failures.join("\n"));
}

const NIGHT: &str = r#"title = "A pond"
starts = "2026-03-02T20:00:00+01:00"
ends = "23:00"

[[step]]
at = "20:00"
do = "mix"
material = "clear-polyester"
"#;

fn failures_with(more: &str) -> Vec<String> {
    failures_of("pond.toml", &format!("{NIGHT}{more}"))
}

#[test]
fn a_failure_names_file_expectation_and_what_was_found() {
    let wrong = r#"
[[expect]]
at = "20:40"
stage = "gel"
likely = "20:31"
status = "seen"
alarm = "none"
rings = 9
bench_c = 25.0
"#;
    let line = "pond.toml: line 10, expect at 20:40, batch 1: ";
    let wanted = [
        "gel: status: wanted Seen, found Near",
        "gel: Likely: wanted 2026-03-02 20:31:00, found 2026-03-02 20:30:00",
        "gel: alarm: wanted \"none\", found \"sounding\"",
        "gel: rings: wanted 9, found 6",
        "bench_c: wanted 25, found 20",
    ];
    assert_eq!(failures_with(wrong), wanted.map(|words| format!("{line}{words}")));
}

#[test]
fn a_refusal_nobody_expects_is_a_failure() {
    let refused = r#"
[[step]]
at = "20:05"
do = "finish"
batch = 2

[[expect]]
at = "20:06"
running = "yes"
"#;
    let found = failures_with(refused);
    assert!(matches!(found.as_slice(), [only] if only.contains("was refused: there is no batch 2")), "{found:?}");
    let and_none_where_one_is_wanted = "\n[[expect]]\nat = \"20:06\"\nrefused = \"no batch\"\n";
    let found = failures_with(and_none_where_one_is_wanted);
    assert!(matches!(found.as_slice(), [only] if only.contains("refused: wanted 'no batch', found ''")), "{found:?}");
}

#[test]
fn a_step_while_nobody_is_there_is_a_failure() {
    let away = r#"
[[away]]
from = "20:10"
to = "21:00"
how = "asleep"

[[step]]
at = "20:30"
do = "finish"
batch = 1

[[expect]]
at = "21:00"
running = "yes"
"#;
    let found = failures_with(away);
    assert!(matches!(found.as_slice(), [only] if only.contains("while nobody is there")), "{found:?}");
}

#[test]
fn a_mistyped_scenario_is_no_scenario() {
    let words = |more: &str| failures_with(more).join("\n");
    let misspelt = words("\n[[expect]]\nat = \"20:40\"\nstage = \"gel\"\nlikly = \"20:30\"\nrings = 1\n");
    assert!(misspelt.contains("line 13: unknown key in [[expect]]; write likely = "), "{misspelt}");
    let no_stage = words("\n[[expect]]\nat = \"20:40\"\nrings = 1\n");
    assert!(no_stage.contains("'stage' is missing in [[expect]]"), "{no_stage}");
    let nothing = words("\n[[expect]]\nat = \"20:40\"\nstage = \"gel\"\n");
    assert!(nothing.contains("'status' is missing"), "{nothing}");
    let disorder = "\n[[expect]]\nat = \"20:40\"\nrunning = \"yes\"\n[[expect]]\nat = \"20:30\"\nrunning = \"yes\"\n";
    assert!(words(disorder).contains("after the script's end"), "{}", words(disorder));
    assert!(words("").contains("'expect' is missing"));
}
