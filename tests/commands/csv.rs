//! `nightpour notebook --csv`.

use crate::home::Home;

/// The cells of every line, the names of the columns first.
fn table(home: &Home, arguments: &[&str]) -> Vec<Vec<String>> {
    let printed = home.run(&[&["notebook", "--csv"], arguments].concat());
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(printed.as_bytes());
    reader.records().map(|record| record.unwrap().iter().map(str::to_owned).collect()).collect()
}

#[test]
fn every_fact_has_a_column_of_its_own_with_its_unit() {
    let home = Home::new();
    home.run(&["temp", "-4.5", "--humidity", "55"]);
    let mix = ["mix", "clear-polyester", "--resin-g", "80.5", "--dose-percent", "1.25", "--depth-mm", "10"];
    home.run(&[&mix[..], &["--label", "layer 1"]].concat());
    home.run(&["undo"]);
    home.run(&["mix", "uv-resin"]);
    home.run(&["mix", "clear-polyester"]);
    home.run(&["seen", "gel", "--batch", "3", "--not-yet"]);
    home.run(&["done", "2"]);
    let table = table(&home, &[]);
    assert_eq!(table[0][..5], ["entry", "happened", "written", "undone", "kind"]);
    assert_eq!((table[0].len(), table[0][25].as_str()), (26, "words"));
    assert_eq!(table[0][20..25], ["after", "by", "within_h", "trust", "test"]);
    let seen = table.iter().find(|cells| cells[4] == "observed").unwrap();
    assert_eq!((seen[20].is_empty(), &seen[21..25]), (false, &["", "", "sure", ""].map(str::to_owned)[..]));
    let undone: Vec<&str> = table[1..].iter().map(|cells| cells[3].as_str()).collect();
    assert_eq!(undone.iter().position(|undone| *undone == "true"), Some(2));
    let facts: Vec<String> = table.iter().map(|cells| cells[4..20].join(",")).collect();
    let expected = [
        "kind,batch,stage,celsius,humidity_percent,source,material,label,resin_g,dose_percent,depth_mm,\
         piece,layer,trial,step,level_mm",
        "reading,,,-4.5,55,bench,,,,,,,,,,",
        "profile,,,,,,clear-polyester,,,,,,,,,",
        "mixed,1,,,,,clear-polyester,layer 1,80.5,1.25,10,,,,,",
        "undone,,,,,,,,,,,,,,,",
        "profile,,,,,,uv-resin,,,,,,,,,",
        "mixed,2,,,,,uv-resin,,,,,,,,,",
        "mixed,3,,,,,clear-polyester,,,1,,,,,,",
        "observed,3,gel,,,,,,,,,,,,,",
        "done,2,,,,,,,,,,,,,,",
    ];
    assert_eq!(facts, expected);
}

#[test]
fn what_happens_to_a_piece_has_columns_too() {
    let home = Home::new();
    home.run(&["start", concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/column.toml")]);
    home.run(&["tick", "dry-fit"]);
    home.run(&["mix", "clear-polyester", "--trial", "--resin-g", "30"]);
    home.run(&["seen", "gel", "--not-yet"]);
    home.run(&["pour", "1", "--resin-g", "80"]);
    home.run(&["level", "9.5"]);
    home.run(&["done", "--piece", "1"]);
    let table = table(&home, &[]);
    let kept = table[1..].iter().filter(|cells| cells[4] != "profile");
    let facts: Vec<String> = kept.map(|cells| format!("{} {}", cells[4], cells[15..20].join(","))).collect();
    let expected = [
        "piece-started 1,,,,",
        "ticked 1,,,dry-fit,",
        "mixed 1,,true,,",
        "observed ,,true,,",
        "mixed 1,1,,,",
        "levelled 1,,,,9.5",
        "piece-done 1,,,,",
    ];
    assert_eq!(facts, expected);
}

#[test]
fn no_text_becomes_a_formula_and_figures_stay_figures() {
    let home = Home::new();
    for label in ["=1+2", "+1", "-1", "@sum", "a=1"] {
        home.run(&["mix", "uv-resin", &format!("--label={label}")]);
    }
    home.run(&["temp", "-4.5", "--source", "=shelf"]);
    let table = table(&home, &["--last", "6"]);
    let labels: Vec<&str> = table[1..6].iter().map(|cells| cells[11].as_str()).collect();
    assert_eq!(labels, ["'=1+2", "'+1", "'-1", "'@sum", "a=1"]);
    assert_eq!(
        (table[6][7].as_str(), table[6][9].as_str(), table[6][25].as_str()),
        ("-4.5", "'=shelf", "'=shelf -4.5 °C")
    );
}

#[test]
fn an_empty_notebook_has_its_columns_all_the_same() {
    assert!(Home::new().run(&["notebook", "--csv"]).ends_with("step,level_mm,after,by,within_h,trust,test,words\n"));
}
