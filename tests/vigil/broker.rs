//! A real MQTT broker: readings in, alarms out, the broker killed and started again. Needs 'mosquitto' and its clients;
//! .ci/real-alarms installs them.

use crate::home::Home;
use crate::sources::see_reading;
use crate::watch::{PATIENCE, Vigil, wait_for};
use std::io::{BufRead, BufReader};
use std::net::{TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

struct Broker {
    child: Child,
    port: u16,
}

impl Broker {
    fn start(home: &Home, port: u16) -> Self {
        let conf =
            home.write("broker.conf", &format!("listener {port} 127.0.0.1\nallow_anonymous true\npersistence false\n"));
        let mut command = Command::new("mosquitto");
        command.args(["-c", &conf]).stdout(Stdio::null()).stderr(Stdio::null());
        let child = command.spawn().expect("mosquitto is installed");
        wait_for("the broker", || TcpStream::connect(("127.0.0.1", port)).is_ok(), String::new);
        Self { child, port }
    }

    /// Every message on the topic from now on.
    fn listen(&self, topic: &str) -> (Child, Receiver<String>) {
        let mut child = Command::new("mosquitto_sub")
            .args(["-p", &self.port.to_string(), "-t", topic, "-q", "1"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (sender, lines) = channel();
        let out = child.stdout.take().unwrap();
        thread::spawn(move || {
            for line in BufReader::new(out).lines().map_while(Result::ok) {
                if sender.send(line).is_err() {
                    return;
                }
            }
        });
        // Its subscription takes a moment, and nothing tells when it is there.
        thread::sleep(Duration::from_millis(500));
        (child, lines)
    }

    fn publish(&self, topic: &str, message: &str) {
        let status = Command::new("mosquitto_pub")
            .args(["-p", &self.port.to_string(), "-t", topic, "-m", message, "-q", "1"])
            .status();
        assert!(status.unwrap().success());
    }
}

impl Drop for Broker {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn settle(home: &Home, port: u16) {
    home.settle(&format!(
        "[broker]\nhost = \"127.0.0.1\"\nport = {port}\nkeep_alive = \"5s\"\n[channel.mqtt]\ntopic = \"bench/alarms\"\n\
         [[source]]\nname = \"bench\"\ntopic = \"shed/+/air\"\nas = \"json\"\ntemperature = \"/t/0\"\nhumidity = \"/rh\"\n"
    ));
}

fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

#[test]
#[ignore = "needs an MQTT broker: run .ci/real-alarms"]
fn readings_come_in_and_alarms_go_out_and_a_broker_that_was_away_gets_what_it_missed() {
    let home = Home::new();
    let port = free_port();
    settle(&home, port);
    let broker = Broker::start(&home, port);
    let (mut listener, heard) = broker.listen("bench/alarms");
    let vigil = Vigil::start(&home);
    vigil.see("✓ mqtt: published on 'bench/alarms'");
    thread::sleep(Duration::from_millis(500));
    broker.publish("shed/one/air", r#"{"t":[18.75],"rh":61.5}"#);
    see_reading(&home, "bench", 18.75);
    broker.publish("shed/one/air", "\u{1b}]0;owned\u{7} no koi");
    vigil.see("! bench: that is no JSON");
    home.mix_due();
    let message: serde_json::Value = serde_json::from_str(&heard.recv_timeout(PATIENCE).unwrap()).unwrap();
    assert_eq!(message["headline"], "five-minute-epoxy · pot life ends");
    vigil.see("✓ mqtt: taken by the broker");

    let _ = listener.kill();
    drop(broker);
    vigil.see("✗ mqtt: no line to the broker");
    home.run(&["mix", "five-minute-epoxy", "--label", "while it was away", "--at", "5m ago"]);
    home.run(&["mix", "five-minute-epoxy", "--label", "answered meanwhile", "--at", "5m ago"]);
    vigil.see("▲ answered meanwhile");
    home.run(&["ack", "4"]);
    vigil.see("silent: answered meanwhile");
    let broker = Broker::start(&home, port);
    let (mut listener, heard) = broker.listen("bench/alarms");
    let missed = heard.recv_timeout(PATIENCE).unwrap();
    assert!(missed.contains("while it was away"), "{missed}");
    let more: Vec<String> = std::iter::from_fn(|| heard.recv_timeout(Duration::from_secs(2)).ok()).collect();
    assert!(!more.iter().any(|line| line.contains("answered meanwhile")), "{more:?}");
    thread::sleep(Duration::from_millis(500));
    broker.publish("shed/two/air", r#"{"t":["17.5"]}"#);
    see_reading(&home, "bench", 17.5);
    let _ = listener.kill();
}
