//! One long life: everything that happens to a screen in a night, one after the other, in one process.

use crate::home::Home;
use crate::pty::Size;
use rustix::process::Signal;

#[test]
fn a_whole_night_in_one_process() {
    let home = Home::new();
    let mut screen = home.open();
    screen.keys("t20,5\t48\r");
    screen.see("48 % humidity");
    screen.keys("mc\tfirst layer\t80\t\t10\t\t\u{8}\u{8}\u{8}20 min ago\r");
    screen.see("▲ first layer");
    screen.resize(Size(120, 40), "mixed clear-polyester for first layer");
    screen.signal(Signal::TSTP);
    screen.stops();
    // Somebody measures and mixes while the screen is stopped.
    home.run(&["temp", "17.25"]);
    home.run(&["mix", "slow-epoxy", "--label", "hull"]);
    screen.wipe();
    screen.signal(Signal::CONT);
    screen.see("hull");
    screen.see("bench 17.");
    screen.settle();
    screen.keys("a");
    screen.wait_for("silence", |seen| seen.title() == "nightpour");
    // The chosen batch is the newest; the one above it is the layer.
    screen.keys("\x1b[A");
    screen.see("▸1 first layer");
    screen.keys("o1");
    screen.see("pot life ends already there");
    screen.keys("uu");
    screen.see("× 1 first layer: pot life ends already");
    screen.signal(Signal::STOP);
    screen.wait_until_doing("stopped", |now| now.state == 'T');
    screen.wipe();
    screen.signal(Signal::CONT);
    screen.see("× 1 first layer: pot life ends already");
    screen.settle();
    screen.resize(Size(30, 8), "30×8.");
    screen.resize(Size(80, 24), "▸1 first layer");
    screen.keys("ff");
    screen.see("1 clock ");
    screen.keys("?");
    screen.see("any other key closes");
    screen.keys("?");
    screen.see_gone("any other key closes");
    screen.signal(Signal::TERM);
    let ended = screen.end();
    assert_eq!((ended.code, ended.signal), (0, None));
    screen.assert_given_back();
    assert_eq!(screen.seen().ear().bells, 1);
    let labels: Vec<_> = home.clocks().iter().map(|clock| clock["label"].clone()).collect();
    assert_eq!(labels, ["hull"]);
}
