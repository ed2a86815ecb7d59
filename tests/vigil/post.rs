//! A message by HTTP to a real listener, also one that is late, slow or rude.

use crate::home::Home;
use crate::watch::{PATIENCE, Vigil};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

/// A request as it came in.
#[derive(Debug)]
pub struct Request {
    pub head: Vec<String>,
    pub body: String,
}

/// Answers every request with `status`, and hands it over.
pub fn listen(address: SocketAddr, status: &'static str) -> (SocketAddr, Receiver<Request>) {
    let listener = TcpListener::bind(address).unwrap();
    let bound = listener.local_addr().unwrap();
    let (sender, requests) = channel();
    thread::spawn(move || {
        for stream in listener.incoming() {
            let mut stream = stream.unwrap();
            let request = read(&stream);
            write!(stream, "HTTP/1.1 {status}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n").unwrap();
            if sender.send(request).is_err() {
                return;
            }
        }
    });
    (bound, requests)
}

fn read(stream: &TcpStream) -> Request {
    let mut reader = BufReader::new(stream);
    let mut head = Vec::new();
    loop {
        let mut line = String::new();
        reader.read_line(&mut line).unwrap();
        if line.trim_end().is_empty() {
            break;
        }
        head.push(line.trim_end().to_owned());
    }
    let length = head.iter().find_map(|line| line.to_lowercase().strip_prefix("content-length: ").map(str::to_owned));
    let mut body = vec![0; length.map_or(0, |length| length.parse().unwrap())];
    reader.read_exact(&mut body).unwrap();
    Request { head, body: String::from_utf8(body).unwrap() }
}

const ANY: &str = "127.0.0.1:0";

fn settings(address: SocketAddr, more: &str) -> String {
    format!("[channel.post]\nurl = \"http://{address}/alarms\"\n{more}")
}

#[test]
fn a_message_arrives_with_its_token() {
    let home = Home::new();
    let (address, requests) = listen(ANY.parse().unwrap(), "204 No Content");
    let token = home.write("token", "koi-7\n");
    home.settle(&settings(address, &format!("token_file = \"{token}\"\n")));
    home.mix_due();
    let vigil = Vigil::start(&home);
    let request = requests.recv_timeout(PATIENCE).unwrap();
    assert_eq!(request.head[0], "POST /alarms HTTP/1.1");
    assert!(request.head.iter().any(|line| line.eq_ignore_ascii_case("authorization: Bearer koi-7")), "{request:?}");
    let body: serde_json::Value = serde_json::from_str(&request.body).unwrap();
    assert_eq!((&body["batch"], &body["stage"], &body["urgency"]), (&2.into(), &"pot-life".into(), &"normal".into()));
    assert_eq!(body["headline"], "five-minute-epoxy · pot life ends");
    vigil.see("✓ post: message taken by your address");
}

#[test]
fn an_address_that_is_down_gets_it_when_it_is_back() {
    let home = Home::new();
    // A port that was free a moment ago.
    let address = TcpListener::bind(ANY).unwrap().local_addr().unwrap();
    home.settle(&settings(address, ""));
    home.mix_due();
    let vigil = Vigil::start(&home);
    vigil.see("✗ post: the address cannot be reached");
    let (_, requests) = listen(address, "200 OK");
    assert!(requests.recv_timeout(PATIENCE).unwrap().body.contains("pot life ends"));
    vigil.see("✓ post");
}

#[test]
fn what_was_acknowledged_while_the_address_was_down_is_not_sent_any_more() {
    let home = Home::new();
    let address = TcpListener::bind(ANY).unwrap().local_addr().unwrap();
    home.settle(&settings(address, ""));
    home.mix_due();
    let vigil = Vigil::start(&home);
    vigil.see("✗ post");
    home.run(&["ack"]);
    vigil.see("silent: five-minute-epoxy");
    let (_, requests) = listen(address, "200 OK");
    assert!(requests.recv_timeout(Duration::from_secs(4)).is_err());
}

#[test]
fn an_address_that_refuses_or_never_answers_is_told_and_holds_nothing_up() {
    let home = Home::new();
    let (address, _requests) = listen(ANY.parse().unwrap(), "403 Forbidden");
    home.settle(&settings(address, ""));
    home.mix_due();
    let vigil = Vigil::start(&home);
    vigil.see("✗ post: the address answers with status 403; 1 alarm waits");
    drop(vigil);
    // It takes the line and says nothing.
    let silent = TcpListener::bind(ANY).unwrap();
    home.settle(&settings(silent.local_addr().unwrap(), ""));
    let vigil = Vigil::start(&home);
    home.run(&["mix", "five-minute-epoxy", "--label", "second", "--at", "5m ago"]);
    let second = vigil.see("▲ second");
    assert!(second < Duration::from_secs(2), "the second alarm waited {second:?}");
    vigil.see("✗ post: no answer within 15 s");
}
