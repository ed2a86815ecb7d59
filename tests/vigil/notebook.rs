//! A notebook that cannot be written: what is due sounds all the same.

use crate::home::Home;
use crate::watch::Vigil;
use jiff::Timestamp;
use rusqlite::Connection;
use std::process::Command;
use std::time::Duration;

#[test]
fn what_falls_due_while_another_program_holds_the_notebook_sounds_in_time() {
    let home = Home::new();
    home.settle(&home.ring_into_file());
    let due = home.mix_due_in(3000);
    let vigil = Vigil::start(&home);
    let other = Connection::open(home.store()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    home.see_rung(1);
    let late = Timestamp::now().duration_since(due);
    println!("figure: rang {late:?} after it was due, the notebook locked");
    assert!(late.unsigned_abs() < Duration::from_secs(3), "{late:?}");
    vigil.see("▲ five-minute-epoxy");
    other.execute_batch("ROLLBACK").unwrap();
    home.run(&["ack"]);
    vigil.see("silent: five-minute-epoxy");
}

#[test]
fn a_full_disk_silences_nothing_and_nothing_acknowledged_is_lost() {
    let home = Home::new();
    home.settle(&home.ring_into_file());
    home.run(&["temp", "20"]);
    let program = home.command(&["vigil"]);
    let mut command = Command::new("sh");
    // The signal of the limit is ignored, so that writes fail as on a full disk.
    command.args(["-c", "trap '' XFSZ; exec \"$0\" vigil", env!("CARGO_BIN_EXE_nightpour")]);
    command.env_clear().envs(environment(&program));
    let vigil = Vigil::of(command);
    vigil.fill_its_disk();
    home.mix_due();
    vigil.see("▲ five-minute-epoxy");
    home.see_rung(1);
    vigil.see("! the disk");
    home.run(&["ack"]);
    vigil.see("silent: five-minute-epoxy");
    drop(vigil);
    let again = Vigil::start(&home);
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!(again.count("▲"), 0, "{:?}", again.lines());
}

fn environment(command: &Command) -> Vec<(String, String)> {
    let text = |text: &std::ffi::OsStr| text.to_str().unwrap().to_owned();
    let own = command.get_envs().filter_map(|(name, value)| Some((text(name), text(value?))));
    own.collect()
}
