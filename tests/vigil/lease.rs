//! Of several processes one sounds; when it goes, or hangs, another one does.

use crate::home::Home;
use crate::watch::Vigil;
use rustix::process::Signal;
use std::time::Duration;

#[test]
fn only_one_sounds_and_when_it_is_killed_the_other_takes_over() {
    let home = Home::new();
    home.settle(&home.ring_into_file());
    let first = Vigil::start(&home);
    let second = Vigil::start(&home);
    second.see("alarms sound in another nightpour (vigil, process");
    home.mix_due();
    home.see_rung(1);
    second.see("due, sounds elsewhere: five-minute-epoxy");
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!(home.rung().len(), 1, "both have sounded");
    first.signal(Signal::KILL);
    let took = second.see("alarms sound here now");
    println!("figure: the second took over {took:?} after the first was killed");
    assert!(took < Duration::from_secs(10));
    second.see("▲ five-minute-epoxy");
    home.see_rung(2);
    // And so does the next.
    let third = Vigil::start(&home);
    third.see("alarms sound in another nightpour (vigil, process");
    home.run(&["ack"]);
    third.see("silent: five-minute-epoxy");
}

#[test]
fn a_process_that_hangs_is_stood_in_for() {
    let home = Home::new();
    home.settle(&home.ring_into_file());
    let first = Vigil::start(&home);
    let second = Vigil::start(&home);
    second.see("alarms sound in another nightpour (vigil, process");
    first.signal(Signal::STOP);
    home.mix_due_in(2000);
    let took = second.see("the other nightpour does not sound what is due");
    println!("figure: the second stood in {took:?} after it saw what was due");
    assert!(took < Duration::from_secs(12), "{took:?}");
    home.see_rung(1);
    // Alive again it sounds as before, and the stand-in steps back.
    first.signal(Signal::CONT);
    first.see("▲ five-minute-epoxy");
}

#[test]
fn the_end_is_asked_for_and_comes() {
    let home = Home::new();
    home.settle("");
    for signal in [Signal::TERM, Signal::INT, Signal::HUP] {
        let vigil = Vigil::start(&home);
        vigil.signal(signal);
        vigil.ends_well();
    }
}
