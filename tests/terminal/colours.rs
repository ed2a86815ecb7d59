//! Colours as asked for, and none where none are wanted.

use crate::home::{Home, PROGRAM, USUAL};
use crate::pty::Screen;
use std::collections::BTreeSet;

/// What a night with a late batch, a warning and a form looks like: every colour change the program has sent.
fn colours(arguments: &[&str], environment: &[(&str, &str)]) -> BTreeSet<String> {
    let home = Home::new();
    home.run(&["temp", "20"]);
    home.run(&["mix", "clear-polyester", "--label", "pond", "--at", "20m ago"]);
    home.run(&["mix", "slow-epoxy", "--label", "hull"]);
    let mut command = home.command(&[&[PROGRAM], arguments].concat());
    for (name, value) in environment {
        command.env(name, value);
    }
    let mut screen = Screen::start(command, USUAL);
    screen.see("▲ pond");
    screen.keys("to\r");
    screen.see("! 'o' is not a number");
    screen.keys("\x1b");
    screen.see_gone("is not a number");
    screen.keys("qq");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
    let colours = colours_of(&String::from_utf8_lossy(&screen.seen().raw));
    println!("{arguments:?} {environment:?}: {colours:?}");
    colours
}

/// The colours that `output` sets, by their SGR parameters (ECMA-48, 8.3.117, and the usual extensions).
fn colours_of(output: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for part in output.split("\x1b[").skip(1) {
        let Some(end) = part.find(|c: char| c.is_ascii_alphabetic()) else { continue };
        if !part[end..].starts_with('m') {
            continue;
        }
        let mut codes = part[..end].split([';', ':']);
        while let Some(code) = codes.next() {
            // Ways of giving a colour that is not one of the first sixteen: 2 and three parts of light, or 5 and a number.
            let more = |kind: &str| if kind == "2" { 3 } else { 1 };
            let colour = match code.parse().unwrap_or(0) {
                38 | 48 | 58 => {
                    let kind = codes.next().unwrap();
                    let rest: Vec<&str> = codes.by_ref().take(more(kind)).collect();
                    format!("{code};{kind};{}", rest.join(";"))
                }
                30..=37 | 40..=47 | 90..=97 | 100..=107 => code.to_owned(),
                _ => continue,
            };
            found.insert(colour);
        }
    }
    found
}

#[test]
fn every_theme_has_its_own_colours_and_plain_has_none() {
    let dark = colours(&["--theme", "dark"], &[]);
    let light = colours(&["--theme", "light"], &[]);
    let sixteen = colours(&["--theme", "16"], &[]);
    assert!(dark.len() >= 4 && light.len() >= 4 && sixteen.len() >= 4);
    assert!(dark.is_disjoint(&light) && dark.is_disjoint(&sixteen) && light.is_disjoint(&sixteen));
    // The terminal's own sixteen, whatever way they are written: 38;5;0 to 38;5;15 are the same as 30 to 97.
    let own = |code: &String| !code.starts_with("38;2") && !code.starts_with("48;2");
    assert!(sixteen.iter().all(own), "{sixteen:?}");
    assert_eq!(colours(&["--theme", "plain"], &[]), BTreeSet::new());
}

#[test]
fn the_terminal_and_its_user_decide_where_nothing_is_asked_for() {
    let none = BTreeSet::new();
    assert_eq!(colours(&[], &[("NO_COLOR", "1")]), none);
    assert_eq!(colours(&[], &[("TERM", "dumb")]), none);
    let dark = colours(&[], &[]);
    assert!(!dark.is_empty());
    let light = colours(&[], &[("COLORFGBG", "0;15")]);
    assert!(!light.is_empty() && light.is_disjoint(&dark));
}
