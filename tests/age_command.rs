//! `nightpour age` from its arguments to its words. Where a figure comes from outside, the source stands beside it.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use clap::Parser;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use nightpour::cli::age::{AgeArgs, AgeError, run, run_in};
use serde_json::Value;

/// The cool night, invented, in hours since the first reading.
const COOL_NIGHT: &str = include_str!("reference/cool-night.csv");
const COOL_NIGHT_PATH: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/cool-night.csv");
const Q10: [&str; 4] = ["--q10", "2", "--reference-c", "25"];
/// Activation energy at which the rate doubles from 25 to 35 °C (textbook statement, 52.95).
const ARRHENIUS: [&str; 4] = ["--activation-kj", "52.948862", "--reference-c", "25"];

#[derive(Parser)]
struct Line {
    #[command(flatten)]
    age: AgeArgs,
}

fn arguments(file: &str, rule: &[&str], more: &[&str]) -> Result<AgeArgs, clap::Error> {
    let words = ["age", file].into_iter().chain(rule.iter().copied()).chain(more.iter().copied());
    Line::try_parse_from(words).map(|line| line.age)
}

/// Central European time, without asking for a zone database.
fn berlin() -> TimeZone {
    TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap()
}

fn age_of(log: &[u8], rule: &[&str], more: &[&str]) -> Result<String, AgeError> {
    let mut out = Vec::new();
    let args = arguments("-", rule, more).unwrap();
    run_in(&berlin(), &args, &mut &*log, &mut out)?;
    Ok(String::from_utf8(out).unwrap())
}

fn words(log: &str, rule: &[&str], more: &[&str]) -> String {
    age_of(log.as_bytes(), rule, more).unwrap()
}

fn json(log: &str, rule: &[&str], more: &[&str]) -> Value {
    let more = [&["--json"], more].concat();
    serde_json::from_str(&words(log, rule, &more)).unwrap()
}

fn error(log: &str, more: &[&str]) -> String {
    age_of(log.as_bytes(), &Q10, more).unwrap_err().to_string()
}

#[track_caller]
fn close(got: &Value, want: f64) {
    let got = got.as_f64().unwrap();
    assert!((got - want).abs() <= 1e-6, "got {got}, want {want}");
}

/// The cool night with its hours written by `time`, the whole parted by `delimiter`.
fn cool_night(delimiter: char, time: impl Fn(f64) -> String) -> String {
    let knots = COOL_NIGHT.lines().skip(2).map(|line| line.split_once(',').unwrap());
    let lines = knots.map(|(h, c)| {
        let c = if delimiter == ';' { c.replace('.', ",") } else { c.to_owned() };
        format!("{}{delimiter}{c}\n", time(h.parse().unwrap()))
    });
    format!("time{delimiter}c\n{}", lines.collect::<String>())
}

fn hours(h: f64) -> SignedDuration {
    SignedDuration::from_secs_f64(h * 3600.0)
}

/// The cool night in every way of writing times.
fn every_style() -> Vec<(&'static str, String)> {
    let first: Timestamp = "2026-03-02T21:00:00Z".parse().unwrap();
    let local = |h: f64| -> DateTime { first.to_zoned_datetime(berlin()).datetime() + hours(h) };
    vec![
        ("hours", cool_night(',', |h| h.to_string())),
        ("hours from another start", cool_night(',', |h| format!("{}", h + 7.5))),
        ("clock", cool_night(',', |h| local(h).strftime("%H:%M").to_string())),
        ("clock with seconds", cool_night(';', |h| local(h).strftime("%H:%M:%S").to_string())),
        ("local", cool_night(',', |h| local(h).strftime("%Y-%m-%d %H:%M").to_string())),
        ("local with T and seconds", cool_night(';', |h| local(h).strftime("%Y-%m-%dT%H:%M:%S").to_string())),
        ("RFC 3339, UTC", cool_night(',', |h| (first + hours(h)).to_string())),
        ("RFC 3339, offset", cool_night(';', |h| local(h).strftime("%Y-%m-%dT%H:%M:%S+01:00").to_string())),
        ("Windows line ends and a byte order mark", format!("\u{feff}{}", COOL_NIGHT.replace('\n', "\r\n"))),
        ("hours, decimal commas", cool_night(';', |h| format!("{h:.1}").replace('.', ","))),
        ("tabs", cool_night('\t', |h| h.to_string())),
    ]
}

#[test]
fn the_cool_night_in_every_style_and_both_rules() {
    // Solved independently with scipy: closed form and Radau agree within 3e-10 h.
    for (style, log) in every_style() {
        close(&json(&log, &Q10, &[])["cure_age_h"], 15.594_459_470);
        close(&json(&log, &ARRHENIUS, &[])["cure_age_h"], 15.214_024_205);
        for (age, by_q10, by_arrhenius) in [
            ("1h", 1.272_308_566, 1.286_918_616),
            ("2h", 2.641_935_001, 2.680_907_894),
            ("4h", 5.931_534_585, 6.095_807_292),
            ("8h", 14.647_806_191, 15.209_201_833),
        ] {
            println!("{style}, {age}");
            close(&json(&log, &Q10, &["--reach", age])["reached_at_h"], by_q10);
            close(&json(&log, &ARRHENIUS, &["--reach", age])["reached_at_h"], by_arrhenius);
        }
    }
}

#[test]
fn beyond_the_readings_only_when_the_last_value_is_held() {
    // Solved independently with scipy, the last value held.
    for (rule, reached) in [(Q10, 24.499_278_958), (ARRHENIUS, 24.976_553_108)] {
        assert_eq!(json(COOL_NIGHT, &rule, &["--reach", "16h"])["reached_at_h"], Value::Null);
        close(&json(COOL_NIGHT, &rule, &["--reach", "16h", "--hold"])["reached_at_h"], reached);
    }
}

#[test]
fn the_file_named_on_the_line_is_read() {
    let mut out = Vec::new();
    run(&arguments(COOL_NIGHT_PATH, &Q10, &["--reach", "8h", "--json"]).unwrap(), &mut out).unwrap();
    let facts: Value = serde_json::from_slice(&out).unwrap();
    // Solved independently with scipy.
    close(&facts["cure_age_h"], 15.594_459_470);
    close(&facts["reached_at_h"], 14.647_806_191);
    assert_eq!(facts["reached_at"], Value::Null, "hours have no date");
    let missing = run(&arguments("no-such-night.csv", &Q10, &[]).unwrap(), &mut Vec::new()).unwrap_err().to_string();
    assert!(missing.starts_with("'no-such-night.csv' cannot be read: "), "{missing}");
    assert!(missing.ends_with("Check the name, or give - to read standard input"), "{missing}");
}

#[test]
fn json_says_what_it_was_asked_and_what_was_measured() {
    let local = every_style().into_iter().find(|(style, _)| *style == "local").unwrap().1;
    let facts = json(&local, &Q10, &["--reach", "8h"]);
    // 14.647806191 h (solved independently with scipy) after 22:00.
    assert_eq!(facts["reached_at"], "2026-03-03T12:38:52+01:00");
    assert_eq!((&facts["rule"], &facts["q10"], &facts["reference_c"]), (&"q10".into(), &2.0.into(), &25.0.into()));
    assert_eq!((&facts["hours"], &facts["readings"]), (&24.0.into(), &11.into()));
    assert_eq!((&facts["min_c"], &facts["max_c"], &facts["last_c"]), (&12.0.into(), &24.0.into(), &22.0.into()));
    assert_eq!((&facts["floor_c"], &facts["wanted_age_h"], &facts["from_h"]), (&Value::Null, &8.0.into(), &0.0.into()));
    // Trapezoids over the knots, by hand: 42.5+38.5+49.5+41.25+24.5+27+54+67.5+47.5+45.5 = 437.75 °C·h in 24 h.
    close(&facts["mean_c"], 437.75 / 24.0);
    let unasked = json(&local, &ARRHENIUS, &[]);
    assert_eq!((&unasked["reached_at_h"], &unasked["reached_at"]), (&Value::Null, &Value::Null));
    assert_eq!(unasked["rule"], "activation_energy");
    assert!(unasked.as_object().unwrap().contains_key("reached_at_h"));
}

#[test]
fn words_name_the_clock_time() {
    let styles = every_style();
    let of = |wanted: &str| &styles.iter().find(|(style, _)| *style == wanted).unwrap().1;
    let said = words(of("local"), &Q10, &["--reach", "8h"]);
    assert_eq!(
        said,
        "Cure age 15 h 36 min (15.594 h) at 25 °C after 24 h, by q10 2.\n\
         Bench: 11 readings, 12.0 to 24.0 °C, mean 18.2 °C.\n\
         Cure age 8 h is reached at 12:39 on Tuesday 3 March 2026, 14 h 39 min after the first reading.\n"
    );
    let said = words(of("clock"), &ARRHENIUS, &["--reach", "8h"]);
    assert!(said.contains("by an activation energy of 52.948862 kJ/mol."), "{said}");
    assert!(said.ends_with("is reached at 13:13, 15 h 13 min after the first reading.\n"), "{said}");
    let said = words(of("hours from another start"), &Q10, &["--reach", "8h"]);
    assert!(said.contains("is reached at 22.148 h, 14 h 39 min after"), "on the file's own scale: {said}");
    let said = words(of("hours"), &Q10, &["--reach", "16h"]);
    assert!(said.contains("not reached within the readings; 24 min of it (0.406 h) is missing"), "{said}");
    assert!(said.ends_with("Add --hold to go on at 22.0 °C.\n"), "{said}");
    let said = words(of("hours"), &Q10, &["--reach", "16h", "--hold"]);
    assert!(said.ends_with("24 h 30 min after the first reading, if the bench stays at 22.0 °C.\n"), "{said}");
}

#[test]
fn below_the_floor_the_clock_stands_and_says_so() {
    let log = "time,c\n0,20\n1,20\n3,10\n5,10\n";
    let rule = ["--q10", "2", "--reference-c", "20", "--floor-c", "15"];
    let facts = json(log, &rule, &["--reach", "3h", "--hold"]);
    assert_eq!(facts["reached_at_h"], Value::Null);
    close(&facts["standing_h"], 3.0);
    // One hour at 20 °C and one falling to 15 °C: the logarithmic mean of the rates 1 and 2^−0.5.
    let falling = (1.0 - 0.5f64.sqrt()) / (1.0 / 0.5f64.sqrt()).ln();
    close(&facts["cure_age_h"], 1.0 + falling);
    let said = words(log, &rule, &["--reach", "3h", "--hold"]);
    assert!(said.contains("The clock stood for 3 h, below the floor of 15 °C."), "{said}");
    assert!(
        said.ends_with("never reached at 10.0 °C, the last temperature: below 15 °C the clock stands.\n"),
        "{said}"
    );
    let warm = words("time,c\n0,20\n1,21\n", &rule, &[]);
    assert!(warm.contains("It was never below the floor of 15 °C."), "{warm}");
}

#[test]
fn the_count_can_start_later() {
    // At the reference temperature a clock hour is an hour of cure age.
    let from = |log: &str, start: &str| json(log, &Q10, &["--from", start, "--reach", "2h"]);
    let constant = "time,c\n22:00,25\n01:00,25\n08:00,25\n";
    for (log, start) in [
        (constant, "23:30"),
        ("time,c\n-1,25\n9,25\n", "0.5"),
        ("time,c\n2026-03-02 22:00,25\n2026-03-03 08:00,25\n", "23:30"),
        ("time,c\n2026-03-02 22:00,25\n2026-03-03 08:00,25\n", "2026-03-02T22:30:00Z"),
        ("time,c\n2026-03-02 22:00,25\n2026-03-03 08:00,25\n", "8h 30m ago"),
    ] {
        let facts = from(log, start);
        close(&facts["from_h"], 1.5);
        close(&facts["cure_age_h"], 8.5);
        close(&facts["hours"], 8.5);
        close(&facts["reached_at_h"], 3.5);
    }
    close(&from(constant, "08:00")["cure_age_h"], 0.0);
    // Over 24 h, a clock time is the last such one.
    let long = "time,c\n22:00,25\n10:00,25\n22:20,25\n";
    close(&from(long, "22:20")["from_h"], 24.0 + 1.0 / 3.0);
    close(&from(long, "22:10")["from_h"], 24.0 + 1.0 / 6.0);
    close(&from(long, "22:21")["from_h"], 21.0 / 60.0);
}

#[test]
fn a_start_that_does_not_fit_is_refused() {
    let clock = "time,c\n22:00,25\n08:00,25\n";
    assert_eq!(
        error(clock, &["--from", "9:30"]),
        "--from '9:30' is not within the readings, which go from 22:00 to 08:00. Write a time between these"
    );
    assert!(
        error(clock, &["--from", "2026-03-02 23:00"]).contains("clock times only. Write a clock time, such as 23:40")
    );
    assert!(error(COOL_NIGHT, &["--from", "23:40"]).contains("hours only. Write the hours as in its column 'time'"));
    assert!(error(COOL_NIGHT, &["--from", "-1"]).contains("go from 0.000 h to 24.000 h"));
    assert!(error(clock, &["--from", "25:00"]).starts_with("--from '25:00' is not on the clock"));
    let dated = "time,c\n2026-03-02 22:00,25\n2026-03-03 08:00,25\n";
    assert!(error(dated, &["--from", "2026-03-01 22:00"]).contains("from 22:00 on Monday 2 March 2026 to 08:00 on"));
}

#[test]
fn one_rule_and_sensible_figures_are_asked_for() {
    let refused = |rule: &[&str]| arguments("-", rule, &[]).unwrap_err().to_string();
    assert!(refused(&["--reference-c", "25"]).contains("--q10 <Q>|--activation-kj <E>"));
    assert!(refused(&["--q10", "2", "--activation-kj", "50", "--reference-c", "25"]).contains("cannot be used with"));
    assert!(refused(&["--q10", "2"]).contains("--reference-c <C>"));
    assert!(refused(&["--q10", "two", "--reference-c", "25"]).contains("write a q10 from 1 to 20"));
    assert!(refused(&["--q10", "NaN", "--reference-c", "25"]).contains("write a q10 from 1 to 20"));
    assert!(refused(&["--q10", "2", "--reference-c", "900"]).contains("between -60 and 400"));
    assert!(refused(&["--q10", "2", "--reference-c", "25", "--reach", "4"]).contains("such as 4h or '1h 30m'"));
    assert!(arguments("-", &["--q10", "2", "--reference-c", "-5", "--floor-c", "-10"], &[]).is_ok());
}

#[test]
fn bad_files_are_refused_at_their_line_in_words() {
    for (log, want) in [
        ("", "the file is empty. Its first line names the columns, 'time,c'"),
        ("# nothing\n\n   \n", "the file is empty"),
        (
            "time,c\n# no more\n",
            "the file names columns but has no readings. Add a line for each, such as '22:00,21.5'",
        ),
        ("22:00,21.5\n", "line 1, no column is called 'time'; found '22:00', '21.5'. The first line names the columns"),
        ("# x\ntime,temp\n0,20\n", "line 2, no column is called 'c'; found 'time', 'temp'."),
        ("time,c,C\n0,20,21\n", "line 1, column 'c', two columns have this name. Rename or remove one"),
        (
            "time,c\n0,20\n\n1,warm\n",
            "line 4, column 'c', 'warm' is not a temperature in °C between -60 and 400. Write a number such as 21.5",
        ),
        ("time,c\n0,NaN\n", "line 2, column 'c', 'NaN' is not a temperature"),
        ("time,c\n0,-300\n", "line 2, column 'c', '-300' is not a temperature"),
        ("time,c\n0,850\n", "line 2, column 'c', '850' is not a temperature"),
        ("time,c\n0,inf\n", "line 2, column 'c', 'inf' is not a temperature"),
        ("time,c\n0,\n", "line 2, column 'c', nothing is written. Write the value, or remove the line"),
        ("time,c\n,20\n", "line 2, column 'time', nothing is written."),
        ("time,c\n0\n", "line 2, values: 1, but columns named in the first line: 2. Write a value for each column"),
        (
            "time,c\n0,20,5\n",
            "line 2, values: 3, but columns named in the first line: 2. If the numbers have decimal commas, write 21.5 for 21,5",
        ),
        ("time,c\n0,\"20,5\"\n", "line 2, column 'c', '20,5' is not a temperature"),
        ("time;c\n0;1.234,5\n", "line 2, column 'c', '1.234,5' is not a temperature"),
        (
            "time,c\nsoon,20\n",
            "line 2, column 'time', 'soon' is not a time. Write 2026-03-02T23:40:00+01:00, 2026-03-02 23:40, 23:40, or hours",
        ),
        ("time,c\nNaN,20\n", "line 2, column 'time', 'NaN' is not a time."),
        ("time,c\n1772490000,20\n", "line 2, column 'time', '1772490000' is not a time."),
        ("time,c\n02.03.2026 23:40,20\n", "line 2, column 'time', '02.03.2026 23:40' is not a time."),
        ("time,c\n22:00,20\n24:10,20\n", "line 3, column 'time', '24:10' is not on the clock: hours go from 00 to 23"),
        ("time,c\n2026-02-30 22:00,20\n", "line 2, column 'time', '2026-02-30 22:00' is not in the calendar."),
        (
            "time,c\n22:00,20\n1.5,20\n",
            "line 3, column 'time', '1.5' is a number of hours, but the file began with a clock time, '22:00'. Write all its times in one way",
        ),
        (
            "time,c\n2026-03-02 22:00,20\n2026-03-02T22:00:00Z,20\n",
            "line 3, column 'time', '2026-03-02T22:00:00Z' is a time with its offset, but the file began with a local date and time",
        ),
        (
            "time,c\n0,20\n2,20\n1,20\n",
            "line 4, column 'time', '1' is not later than '2' above it. Times must rise from line to line",
        ),
        ("time,c\n22:00,20\n22:00,20\n", "line 3, column 'time', '22:00' is not later than '22:00' above it."),
        (
            "time,c\n22:10,20\n22:00,20\n",
            "line 3, column 'time', '22:00' after '22:10' would mean that most of a day has passed.",
        ),
        (
            "time,c\n2026-03-29 01:50,20\n2026-03-29 02:10,20\n",
            "line 3, column 'time', '2026-03-29 02:10' was never on the clocks here",
        ),
        (
            "time,c,humidity_percent\n0,20,130\n",
            "line 2, column 'humidity_percent', '130' is not a percentage from 0 to 100. Write a number such as 55",
        ),
        (
            "time,c\n# x\n\n0,\"20\n1,21\n2,22\n",
            "line 4, a quote (\") is opened and not closed before the line ends. Close it, or remove it",
        ),
        ("time,c\r\n\r\n# x\r\n0,20\r\n\r\n1,warm\r\n", "line 6, column 'c', 'warm'"),
        ("time,c\n0,\u{1b}[31m20\n", "line 2, column 'c', '[31m20' is not a temperature"),
    ] {
        let said = error(log, &[]);
        let place = format!("'-', {want}");
        assert!(said.starts_with(&place), "{log:?}\n said: {said}\nwants: {place}");
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_at_their_line() {
    let said = |log: &[u8]| age_of(log, &Q10, &[]).unwrap_err().to_string();
    assert_eq!(said(b"# \xb0C\n"), "'-', line 1, not readable as text. Save the file as CSV in UTF-8");
    assert!(said(b"time,c\n0,20\n1,2\xff\n").starts_with("'-', line 3, not readable"));
}
