//! A label that would do harm wherever it is not taken as text.

use crate::home::Home;
use crate::post::listen;
use crate::watch::{PATIENCE, Vigil};

#[test]
fn a_hostile_label_stays_text_on_every_way_out() {
    let home = Home::new();
    let (address, requests) = listen("127.0.0.1:0".parse().unwrap(), "200 OK");
    let mark = home.path("owned");
    let label = format!("a\r\nX-Injected: yes\r\n\r\n$(touch '{mark}') `touch '{mark}'`; \x1b]0;owned\x07<b>&amp;'\"");
    home.settle(&format!("{}[channel.post]\nurl = \"http://{address}/\"\nas = \"text\"\n", home.ring_into_file()));
    home.run(&["mix", "five-minute-epoxy", "--label", &label, "--at", "4m ago"]);
    let vigil = Vigil::start(&home);
    let request = requests.recv_timeout(PATIENCE).unwrap();
    assert!(!request.head.iter().any(|line| line.to_lowercase().starts_with("x-injected")), "{request:?}");
    home.see_rung(1);
    let lines = home.rung();
    let plain = nightpour::text::PlainText::new(&label);
    assert_eq!(lines, [format!("{plain} · pot life ends")], "one line, as data");
    assert!(!std::path::Path::new(&mark).exists(), "the shell took it as an order");
    assert!(request.body.starts_with(&lines[0]), "{request:?}");
    vigil.see(&format!("▲ {plain}"));
    assert!(vigil.lines().iter().all(|line| !line.chars().any(nightpour::text::is_hostile)), "{:?}", vigil.lines());
}
