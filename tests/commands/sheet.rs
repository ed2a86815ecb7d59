//! The bench sheet: one harmless file of well-formed HTML with every layer in it.

use crate::home::Home;
use crate::pieces::{COLUMN, POND, one_part, stack};
use roxmltree::{Document, Node, ParsingOptions};
use std::fs;

/// Writes the sheet of a piece and reads it back.
fn sheet_of(home: &Home, piece: &str) -> String {
    let sheet = home.path("sheet.html");
    home.run(&["plan", piece, "--html", &sheet]);
    fs::read_to_string(sheet).unwrap()
}

/// `html` as XML: of the elements that HTML leaves open the sheet has `meta` alone.
fn well_formed(html: &str) -> String {
    let parts = html.split("<meta ").map(ToOwned::to_owned);
    let closed: Vec<String> =
        parts.enumerate().map(|(at, part)| if at == 0 { part } else { part.replacen('>', "/>", 1) }).collect();
    closed.join("<meta ")
}

/// Runs `check` on the parsed sheet.
#[track_caller]
fn parsed(html: &str, check: impl FnOnce(&Document<'_>)) {
    let xml = well_formed(html);
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    check(&Document::parse_with_options(&xml, options).unwrap());
}

fn elements<'a, 'i: 'a>(document: &'a Document<'i>, name: &'a str) -> impl Iterator<Item = Node<'a, 'i>> {
    document.descendants().filter(move |node| node.has_tag_name(name))
}

fn text_of(node: Node<'_, '_>) -> String {
    node.descendants().filter_map(|node| node.text().filter(|_| node.is_text())).collect()
}

/// No script, and nothing from anywhere else.
#[track_caller]
fn keeps_to_itself(html: &str) {
    let folded = html.to_lowercase();
    for word in ["<script", "http", "src=", "href", "@import", "url(", "<link", "<iframe", "javascript:"] {
        assert!(!folded.contains(word), "{word}");
    }
    parsed(html, |document| {
        let handlers =
            document.descendants().flat_map(|node| node.attributes().map(|a| a.name().to_owned()).collect::<Vec<_>>());
        let handlers: Vec<String> = handlers.filter(|name| name.starts_with("on")).collect();
        assert!(handlers.is_empty(), "{handlers:?}");
    });
}

#[test]
fn the_sheet_is_well_formed_and_keeps_to_itself() {
    let home = Home::new();
    let pieces = [COLUMN.to_owned(), POND.to_owned(), home.write("fern.toml", &one_part())];
    for piece in &pieces {
        let html = sheet_of(&home, piece);
        keeps_to_itself(&html);
        parsed(&html, |document| {
            assert_eq!(document.root_element().attribute("lang"), Some("en"));
            let drawing = elements(document, "svg").next().unwrap();
            for name in ["title", "desc"] {
                let child = drawing.children().find(|node| node.has_tag_name(name)).unwrap();
                assert!(!text_of(child).is_empty(), "{name}");
            }
            for table in elements(document, "table") {
                assert!(table.children().any(|node| node.has_tag_name("caption")));
            }
        });
    }
}

#[test]
fn every_layer_has_a_row_with_room_to_write_and_its_place_in_the_drawing() {
    let home = Home::new();
    let stack = home.write("stack.toml", &stack(60, "Stack"));
    for piece in [COLUMN, POND, &stack] {
        let json = home.json(&["plan", piece, "--json"]);
        let layers: Vec<String> =
            json["layers"].as_array().unwrap().iter().map(|layer| layer["layer"].to_string()).collect();
        parsed(&sheet_of(&home, piece), |document| {
            let rows: Vec<Node<'_, '_>> = elements(document, "table")
                .find(|table| table.attribute("class") == Some("record"))
                .unwrap()
                .descendants()
                .filter(|node| {
                    node.has_tag_name("tr") && node.children().any(|cell| cell.attribute("scope") == Some("row"))
                })
                .collect();
            let numbers: Vec<String> = rows.iter().map(|row| text_of(row.first_element_child().unwrap())).collect();
            assert_eq!(numbers, layers);
            for row in rows {
                let blank = row.children().filter(|cell| cell.attribute("class") == Some("hand"));
                assert!(blank.filter(|cell| text_of(*cell).is_empty()).count() >= 2);
            }
            let drawn: Vec<String> = elements(document, "tspan")
                .filter(|node| node.attribute("class") == Some("number"))
                .map(text_of)
                .collect();
            assert_eq!(drawn.iter().rev().cloned().collect::<Vec<_>>(), layers);
        });
    }
}

#[test]
fn the_labels_of_the_drawing_never_lie_on_each_other() {
    let home = Home::new();
    for layers in [4, 60, 200] {
        let piece = home.write("stack.toml", &stack(layers, "Stack"));
        parsed(&sheet_of(&home, &piece), |document| {
            let drawing = elements(document, "svg").find(|svg| svg.attribute("class") == Some("section")).unwrap();
            for anchor in [None, Some("end")] {
                let texts = drawing.descendants().filter(|node| node.has_tag_name("text"));
                let labels = texts.filter(|text| text.attribute("text-anchor") == anchor);
                let mut heights: Vec<f64> = labels.map(|text| text.attribute("y").unwrap().parse().unwrap()).collect();
                assert!(heights.len() >= 4);
                heights.sort_by(f64::total_cmp);
                assert!(heights.array_windows().all(|[above, below]| below - above > 10.0), "{heights:?}");
            }
        });
    }
}

#[test]
fn nothing_of_a_piece_or_its_material_gets_through_unescaped() {
    const EVIL: &str = "</title></style></svg><script>alert(\"1\")</script>'&amp;\"><img onload=x>";
    let home = Home::new();
    let builtin = home.run(&["profiles", "show", "clear-polyester", "--json"]);
    assert!(builtin.contains("clear-polyester"));
    let profile = include_str!("../../profiles/clear-polyester.toml");
    let evil_basic = EVIL.replace('"', "\\\"");
    let mine: String = profile
        .lines()
        .map(|line| match line.split_once(" = ") {
            Some((key @ ("name" | "summary"), _)) => format!("{key} = \"{evil_basic}\"\n"),
            _ if line.trim_start().starts_with('"') => format!("\"{evil_basic}\",\n"),
            _ => format!("{line}\n"),
        })
        .collect();
    home.write_profile("clear-polyester.toml", &mine);
    let piece = home.write(
        "evil.toml",
        &stack(6, "NAME").replace("'NAME'", &format!("\"{evil_basic}\"")).replace("'EUR'", "\"<b>&\""),
    );
    let html = sheet_of(&home, &piece);
    assert!(!html.contains("<script") && !html.contains("<img") && !html.contains("<b>"));
    assert_eq!(html.matches("</title>").count(), 4, "the page's and the three drawings'");
    assert_eq!(html.matches("</style>").count(), 1);
    parsed(&html, |document| {
        let names = document.descendants().map(|node| node.tag_name().name());
        assert!(names.filter(|name| matches!(*name, "script" | "img" | "b")).count() == 0);
        let attributes =
            document.descendants().flat_map(|node| node.attributes().map(|a| a.value().to_owned()).collect::<Vec<_>>());
        assert!(attributes.filter(|value| value.contains("alert")).count() == 0, "no text of a file is an attribute");
        assert_eq!(text_of(elements(document, "h1").next().unwrap()), EVIL, "the text itself is kept");
        let cautions = elements(document, "section").find(|node| node.attribute("class") == Some("cautions")).unwrap();
        assert!(text_of(cautions).contains(EVIL));
    });
}

#[test]
fn a_sheet_says_where_it_is_and_what_is_odd_and_replaces_an_older_one() {
    let home = Home::new();
    let sheet = home.path("sheet.HTM");
    fs::write(&sheet, "an older sheet").unwrap();
    let said = home.say(&["plan", COLUMN, "--html", &sheet]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.lines().next().unwrap().contains(&sheet), "{}", said.out);
    assert!(fs::read_to_string(&sheet).unwrap().starts_with("<!DOCTYPE html>"));
    let json = home.json(&["plan", COLUMN, "--json"]);
    assert_eq!(said.out.contains("WARNINGS"), !json["warnings"].as_array().unwrap().is_empty());
    assert_eq!(fs::read_dir(std::path::Path::new(&sheet).parent().unwrap()).unwrap().count(), 1, "nothing left over");
}

#[test]
fn with_json_the_json_alone_is_printed_and_the_sheet_is_written_too() {
    let home = Home::new();
    let sheet = home.path("sheet.html");
    let json = home.json(&["plan", COLUMN, "--json", "--html", &sheet]);
    assert!(json["layers"].is_array() && fs::metadata(sheet).unwrap().is_file());
}

#[test]
fn a_sheet_goes_only_where_one_may() {
    let home = Home::new();
    let piece = home.write("piece.html", &stack(3, "Stack"));
    fs::create_dir(home.path("folder.html")).unwrap();
    let refusals = [
        (home.path("sheet.txt"), "ends in .html or .htm"),
        (home.path("sheet"), "ends in .html or .htm"),
        (home.path("missing/sheet.html"), "there is no folder '"),
        (home.path("folder.html"), "is a folder"),
        (piece.clone(), "is the piece file itself"),
    ];
    for (path, words) in refusals {
        let said = home.say(&["plan", &piece, "--html", &path]);
        assert_eq!((said.code, said.out.as_str()), (1, ""), "{path}");
        assert!(said.err.contains(words), "{path}: {}", said.err);
    }
    assert!(fs::read_to_string(&piece).unwrap().starts_with("name"), "the piece stays as it was");
}
