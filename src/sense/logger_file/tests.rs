//! What a logger file may look like, beside the cool night of `tests/age_command.rs`.

use super::*;
use proptest::prelude::*;
use std::fmt::Write;

/// Central European time, without asking for a zone database.
fn berlin() -> TimeZone {
    TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap()
}

#[track_caller]
fn read(text: &str) -> LoggerFile {
    LoggerFile::parse(text, &berlin()).unwrap()
}

fn elapsed(file: &LoggerFile) -> Vec<f64> {
    file.readings().iter().map(|r| r.elapsed_h).collect()
}

#[track_caller]
fn elapse(text: &str, want: &[f64]) {
    let got = elapsed(&read(text));
    let near = got.len() == want.len() && got.iter().zip(want).all(|(got, want)| (got - want).abs() <= 1e-9);
    assert!(near, "got {got:?}, want {want:?}");
}

#[test]
fn columns_come_in_any_order_and_unknown_ones_are_passed_over() {
    let file = read("Battery, Humidity_Percent ,C,time\nlow,55,21.5,22:00\n,,21,22:10\n");
    let [first, second] = file.readings() else { panic!("two readings") };
    assert_eq!((first.celsius, first.humidity), (Celsius::new(21.5).unwrap(), Percent::new(55.0).ok()));
    assert_eq!((second.celsius, second.humidity), (Celsius::new(21.0).unwrap(), None));
    assert_eq!(file.origin(), Origin::Clock(jiff::civil::time(22, 0, 0, 0)));
}

#[test]
fn quotes_spaces_blank_lines_comments_and_empty_cells_do_no_harm() {
    elapse("\n# logged by hand\n\"time\",\"c\"\n\"0\",\"20\"\n\n  # pause\n1,21,\n , \n2,22\n", &[0.0, 1.0, 2.0]);
}

#[test]
fn decimal_commas_are_read_where_they_do_not_part_columns() {
    let file = read("time;c;humidity_percent\n0,25;20,5;48,2\n1.75;21.5;50\n");
    assert_eq!(elapsed(&file), [0.0, 1.5]);
    assert_eq!(file.origin(), Origin::Hours(0.25));
    assert_eq!(file.readings()[0].humidity, Percent::new(48.2).ok());
    assert_eq!(file.curve().knots()[1].celsius, Celsius::new(21.5).unwrap());
}

#[test]
fn a_clock_that_runs_backwards_is_past_midnight() {
    elapse("time,c\n22:00,20\n23:59:30,20\n00:00,20\n06:30,20\n", &[0.0, 1.991_666_666_667, 2.0, 8.5]);
    elapse("time,c\n22:00,20\n10:00,20\n22:00,20\n9:00,20\n", &[0.0, 12.0, 24.0, 35.0]);
}

#[test]
fn an_hour_that_comes_twice_is_told_by_the_line_before() {
    // Europe/Berlin, 2026-10-25: at 03:00 summer time the clocks go back to 02:00.
    let log = "time,c\n2026-10-25 01:30,20\n2026-10-25 02:00,20\n2026-10-25 02:30,20\n2026-10-25 02:00,20\n\
               2026-10-25 02:30,20\n2026-10-25 03:00,20\n";
    elapse(log, &[0.0, 0.5, 1.0, 1.5, 2.0, 2.5]);
    elapse("time,c\n2026-10-24 22:00,20\n2026-10-25 06:00,20\n", &[0.0, 9.0]);
    elapse("time,c\n2026-03-28 22:00,20\n2026-03-29 06:00,20\n", &[0.0, 7.0]);
    let twice = LoggerFile::parse(&log.replace("25 03:00", "25 02:30"), &berlin()).unwrap_err();
    assert!(matches!(twice.problem(), Problem::NotRising { .. }), "{twice}");
    let bare = LoggerFile::parse("time,c\n02:50,20\n02:00,20\n", &berlin()).unwrap_err();
    assert_eq!(bare.line(), Some(3));
    assert!(matches!(bare.problem(), Problem::ClockBack { .. }), "not 23 h later: {bare}");
}

#[test]
fn dated_readings_know_their_moment() {
    let first = Some("2026-03-02T21:00:00Z".parse().unwrap());
    for log in ["time,c\n2026-03-02 22:00,20\n", "time,c\n2026-03-02T22:00:00+01:00,20\n"] {
        assert_eq!(read(log).readings()[0].at, first);
    }
    assert_eq!(read("time,c\n22:00,20\n").readings()[0].at, None);
    elapse("time,c\n22:00,20\n", &[0.0]);
}

proptest! {
    #[test]
    fn hours_are_exact_to_a_billionth(
        start in 0i64..4_000_000_000, steps in prop::collection::vec(1u32..40_000_000, 1..40), milli in 0i16..1000,
    ) {
        let (mut log, mut sum, mut want) = (String::from("time,c\n"), 0i64, Vec::new());
        for step in steps {
            let at = Timestamp::from_millisecond((start + sum) * 1000 + i64::from(milli)).unwrap();
            writeln!(log, "{at},20").unwrap();
            want.push(sum);
            sum += i64::from(step);
        }
        for (got, want) in elapsed(&read(&log)).into_iter().zip(want) {
            prop_assert!((got - want as f64 / 3600.0).abs() <= 1e-9, "{got} {want}");
        }
    }

    #[test]
    fn all_styles_tell_the_same_hours(minutes in prop::collection::vec(1i64..1000, 1..30)) {
        let first: Timestamp = "2026-01-10T20:00:00Z".parse().unwrap();
        let mut logs = ["time,c\n"; 4].map(String::from);
        let mut sum = 0;
        for step in minutes {
            let at = first + jiff::SignedDuration::from_mins(sum);
            let local = at.to_zoned_datetime(berlin()).datetime();
            writeln!(logs[0], "{at},20").unwrap();
            writeln!(logs[1], "{},20", local.strftime("%Y-%m-%d %H:%M")).unwrap();
            writeln!(logs[2], "{},20", local.strftime("%H:%M")).unwrap();
            writeln!(logs[3], "{},20", 3.7 + sum as f64 / 60.0).unwrap();
            sum += step;
        }
        let [want, rest @ ..] = logs.map(|log| elapsed(&read(&log)));
        for got in rest {
            prop_assert_eq!(got.len(), want.len());
            prop_assert!(got.iter().zip(&want).all(|(a, b)| (a - b).abs() <= 1e-9), "{:?} {:?}", got, want);
        }
    }

    #[test]
    fn no_file_is_too_strange(bytes in prop::collection::vec(any::<u8>(), 0..200), lines in "(time[,;]c\n)?[0-9:,;.#\" \n-]{0,60}") {
        for bytes in [bytes.as_slice(), lines.as_bytes()] {
            match LoggerFile::from_bytes(bytes, &berlin()) {
                Ok(file) => prop_assert!(file.curve().knots().len() == file.readings().len()),
                Err(error) => prop_assert!(!error.to_string().chars().any(crate::text::is_hostile)),
            }
        }
    }
}
