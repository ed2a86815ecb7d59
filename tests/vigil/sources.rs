//! Thermometers, read by the real program.

use crate::home::Home;
use crate::watch::{Vigil, wait_for};
use std::time::Duration;

pub fn readings(home: &Home) -> Vec<(String, f64)> {
    let table = home.run(&["notebook", "--csv"]);
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let heads = reader.headers().unwrap().clone();
    let place = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let (celsius, source) = (place("celsius"), place("source"));
    let rows = reader.records().map(Result::unwrap);
    rows.filter_map(|row| Some((row[source].to_owned(), row[celsius].parse().ok()?))).collect()
}

#[track_caller]
pub fn see_reading(home: &Home, source: &str, celsius: f64) {
    let there = || readings(home).iter().any(|(name, c)| name == source && (c - celsius).abs() < 1e-9);
    wait_for(source, there, || format!("{:?}", readings(home)));
}

/// The scratchpad at 23.125 °C with its right sum, from memory of the kernel's documentation.
fn one_wire(yes: &str, milli: i64) -> String {
    let bytes = "72 01 4b 46 7f ff 0e 10 57";
    format!("{bytes} : crc=57 {yes}\n{bytes} t={milli}\n")
}

#[test]
fn several_sources_are_read_and_what_lies_is_refused() {
    let home = Home::new();
    let wire = home.write("wire", &one_wire("YES", 23_125));
    let milli = home.write("temp1_input", "21562\n");
    home.settle(&format!(
        "[[source]]\nname = \"bench\"\nfile = \"{wire}\"\nas = \"one-wire\"\nevery = \"1s\"\n\
         [[source]]\nname = \"shelf\"\nfile = \"{milli}\"\nas = \"thousandths\"\nevery = \"1s\"\n\
         [[source]]\nname = \"outdoors\"\nrun = [\"sh\", \"-c\", \"echo 4.5 C, 71 %\"]\nevery = \"1s\"\n"
    ));
    let vigil = Vigil::start(&home);
    see_reading(&home, "bench", 23.125);
    see_reading(&home, "shelf", 21.562);
    see_reading(&home, "outdoors", 4.5);
    home.write("wire", &one_wire("YES", 85_000));
    vigil.see("! bench: 85.000 °C is what the thermometer shows before it has measured");
    home.write("wire", &one_wire("YES", 22_125));
    see_reading(&home, "bench", 22.125);
    home.write("wire", &one_wire("NO", 22_187));
    vigil.see("! bench: the thermometer's check failed (CRC)");
    std::fs::remove_file(home.path("temp1_input")).unwrap();
    vigil.see("! shelf: '");
    assert!(readings(&home).iter().all(|(_, c)| *c < 84.0), "{:?}", readings(&home));
    // Only what is new is written down.
    assert!(readings(&home).iter().filter(|(name, _)| name == "outdoors").count() == 1, "{:?}", readings(&home));
}

#[test]
fn a_thermometer_that_hangs_holds_nothing_up() {
    let home = Home::new();
    home.settle(&format!(
        "{}[[source]]\nname = \"bench\"\nrun = [\"sleep\", \"600\"]\nevery = \"1s\"\nwithin = \"1s\"\n",
        home.ring_into_file()
    ));
    let vigil = Vigil::start(&home);
    vigil.see("! bench: 'sleep' did not end within 1 s and was stopped");
    home.mix_due();
    let took = vigil.see("▲ five-minute-epoxy");
    assert!(took < Duration::from_secs(2), "{took:?}");
}
