//! The machine held awake through a real system bus, with a stand-in for logind on it: what is asked for, and that it is let
//! go again. .ci/desktop-alarm runs it; elsewhere it is listed as ignored.

use crate::home::Home;
use crate::watch::{PATIENCE, Vigil};
use std::io::Read;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

/// The part of logind that is asked for inhibitor locks (freedesktop.org, "Inhibitor Locks").
struct Manager {
    asked: Sender<(Vec<String>, std::io::PipeReader)>,
}

#[zbus::interface(name = "org.freedesktop.login1.Manager")]
impl Manager {
    fn inhibit(&self, what: String, who: String, why: String, mode: String) -> zbus::OwnedFd {
        let (reader, writer) = std::io::pipe().unwrap();
        self.asked.send((vec![what, who, why, mode], reader)).unwrap();
        zbus::OwnedFd::from(std::os::fd::OwnedFd::from(writer))
    }
}

fn logind() -> (zbus::Connection, Receiver<(Vec<String>, std::io::PipeReader)>) {
    let (asked, asks) = channel();
    let connection = zbus::block_on(async {
        zbus::connection::Builder::system()
            .name("org.freedesktop.login1")
            .serve_at("/org/freedesktop/login1", Manager { asked })
            .build()
            .await
            .unwrap()
    });
    (connection, asks)
}

#[test]
#[ignore = "needs a bus: run .ci/desktop-alarm"]
fn the_machine_is_held_awake_while_something_may_wake_and_no_longer() {
    let bus = std::env::var("DBUS_SYSTEM_BUS_ADDRESS").expect("a bus of its own, as .ci/desktop-alarm starts it");
    let (_connection, asks) = logind();
    let home = Home::new();
    home.settle("");
    let mut command = home.command(&["vigil"]);
    command.env("DBUS_SYSTEM_BUS_ADDRESS", &bus);
    let vigil = Vigil::of(command);
    assert!(asks.recv_timeout(Duration::from_millis(500)).is_err(), "nothing runs yet");
    home.run(&["mix", "clear-polyester"]);
    let (asked, mut lock) = asks.recv_timeout(PATIENCE).unwrap();
    assert_eq!(asked, ["sleep:idle:handle-lid-switch", "Nightpour", "a pour is setting", "block"]);
    home.run(&["done", "1"]);
    // The end of the pipe is the end of the lock.
    let (sender, released) = channel();
    std::thread::spawn(move || sender.send(lock.read_to_end(&mut Vec::new()).is_ok()));
    assert!(released.recv_timeout(PATIENCE).unwrap());
    drop(vigil);
}
