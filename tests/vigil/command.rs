//! The user's own command: in time, as data, and no harm where it fails or hangs.

use crate::home::Home;
use crate::watch::Vigil;
use jiff::Timestamp;
use std::time::Duration;

/// After it could first be known.
const LATE: Duration = Duration::from_secs(2);

#[test]
fn an_alarm_reaches_the_command_in_time_and_an_acknowledged_one_no_more() {
    let home = Home::new();
    home.settle(&home.ring_into_file());
    let vigil = Vigil::start(&home);
    let due = home.mix_due_in(4000);
    home.see_rung(1);
    let late = Timestamp::now().duration_since(due);
    println!("figure: the command ran {late:?} after the alarm was due");
    // Times are shown to the second.
    assert!(late.unsigned_abs() < LATE + Duration::from_secs(1), "{late:?} after it was due");
    assert!(home.rung()[0].contains("pot life ends"), "{:?}", home.rung());
    let answered = home.run(&["ack"]);
    assert!(answered.contains("acknowledged"), "{answered}");
    vigil.see("silent: five-minute-epoxy");
    assert_eq!(home.run(&["ack"]), "nothing rings\n");
    // Neither goes on in this process, nor begins in the next.
    drop(vigil);
    let again = Vigil::start(&home);
    std::thread::sleep(Duration::from_millis(800));
    assert_eq!((again.count("▲"), home.rung().len()), (0, 1), "{:?}", again.lines());
}

#[test]
fn a_command_that_hangs_or_fails_holds_nothing_up() {
    let home = Home::new();
    let hangs = "[channel.command]\nrun = [\"sleep\", \"600\"]\nwithin = \"2s\"\n";
    home.settle(hangs);
    let vigil = Vigil::start(&home);
    home.mix_due();
    vigil.see("▲ five-minute-epoxy");
    home.run(&["mix", "five-minute-epoxy", "--label", "second", "--at", "5m ago"]);
    let second = vigil.see("▲ second");
    assert!(second < LATE, "the second alarm waited {second:?} for a command that hangs");
    vigil.see("✗ command: 'sleep' did not end within 2 s and was stopped");
    drop(vigil);
    home.settle("[channel.command]\nrun = [\"sh\", \"-c\", \"echo no koi here >&2; exit 7\"]\n");
    let vigil = Vigil::start(&home);
    vigil.see("✗ command: 'sh' failed with exit status: 7: no koi here");
}
