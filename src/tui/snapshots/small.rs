//! What has to be in sight where rows and columns are few.

use super::Night;
use crate::bench::{Command, Dose, NewMix};
use crate::material::MaterialId;
use crate::text::PlainText;
use crate::units::Celsius;

const SMALL: (u16, u16) = (40, 12);

#[test]
fn a_question_keeps_its_answers_however_long_its_words() {
    let mut night = Night::column();
    night.pour(Some(83.4)).press("u");
    let text = night.text(SMALL.0, SMALL.1);
    assert!(text.contains("entry too.") && text.contains("u undo   Esc leave it"), "{text}");
    let name = "a name that goes on and on ".repeat(4);
    night.press("⎋").start_named(&name);
    night.press("pf");
    let text = night.text(SMALL.0, SMALL.1);
    assert!(text.contains("1 layer is not") && text.contains("f finish   Esc go on"), "{text}");
}

#[test]
fn what_is_wrong_is_in_sight_after_scrolling() {
    let mut night = Night::column();
    night.press("l⇟⇟nan↵");
    let text = night.text(SMALL.0, SMALL.1);
    assert!(text.contains("! 'nan' is not a mass in grams above"), "{text}");
}

#[test]
fn what_is_odd_about_a_pour_is_in_sight_without_scrolling() {
    let mut night = Night::two_layers();
    night.press("l⇥2");
    let text = night.text(SMALL.0, SMALL.1);
    assert!(text.contains("! dose 3.84 % is over"), "{text}");
}

#[test]
fn a_caution_that_does_not_fit_is_not_cut_unseen() {
    let mut night = Night::column();
    night.start_named("a piece");
    let text = night.text(SMALL.0, SMALL.1);
    let pane: Vec<&str> = text.lines().skip(1).take(5).collect();
    assert!(pane.iter().any(|row| row.starts_with("! ")) || pane[4].ends_with('…'), "{text}");
}

#[test]
fn words_without_blanks_are_broken_and_not_lost() {
    let mut night = Night::column();
    let name = "貝殻".repeat(30);
    night.start_with(&format!(
        "name = \"a piece\"\n{BARE}[[item]]\nname = \"{name}\"\nvolume_ml = 1\nfrom_mm = 1\nto_mm = 9\n"
    ));
    let text = night.press("p").text(120, 40);
    let halves = text.chars().filter(|c| *c == '殻').count();
    assert!(halves >= 30, "{halves}\n{text}");
}

#[test]
fn a_wide_title_leaves_the_note_its_place() {
    let mut night = Night::column();
    night.start_named(&"貝".repeat(60)).press("p");
    assert!(night.text(80, 24).contains("← →"), "{}", night.text(80, 24));
}

#[test]
fn the_resin_s_level_is_marked_where_layers_share_a_row() {
    let mut night = Night::column();
    night.pour(Some(40.0)).wait(80).pour(Some(10.0)).press("p");
    let text = night.text(SMALL.0, SMALL.1);
    assert!(text.contains("◂2"), "{text}");
}

#[test]
fn an_open_form_proposes_what_the_bench_wants_now() {
    let mut night = Night::column();
    night.press("l");
    let proposed = |night: &mut Night| {
        night.ui.refresh(night.session.bench(), night.now);
        let text = night.text(80, 24);
        let row = |label: &str| text.lines().find(|row| row.contains(label)).unwrap().trim().to_owned();
        (row("▸resin"), row("catalyst  "))
    };
    let cool = proposed(&mut night);
    let (celsius, at, source) = (Celsius::new(25.0).unwrap(), night.now, PlainText::new("bench"));
    night.tell(Command::Read { celsius, humidity: None, at, source });
    let warm = proposed(&mut night);
    assert!(cool.0 == warm.0 && cool.1 != warm.1, "{cool:?} {warm:?}");
}

#[test]
fn a_stage_the_cure_stops_short_of_shows_the_warmth_it_needs() {
    let mut night = Night::bare();
    let (celsius, at, source) = (Celsius::new(15.0).unwrap(), night.now, PlainText::new("bench"));
    night.tell(Command::Read { celsius, humidity: None, at, source });
    night.tell(Command::Mix(NewMix {
        material: MaterialId::new("coating-epoxy").unwrap(),
        label: PlainText::default(),
        resin: None,
        dose: Dose::Usual,
        depth: None,
        onto: None,
        part: None,
        at,
    }));
    let text = night.text(80, 24);
    let rows: Vec<&str> = text.lines().collect();
    let times = rows.iter().position(|row| row.ends_with("never")).unwrap();
    assert!(rows[times - 1].ends_with("full cure") && rows[times + 1].ends_with("≥ 17 °C"), "{text}");
}

/// A piece of one layer in a box.
const BARE: &str = r#"
material = "clear-polyester"
fill_mm = 10
[[vessel.section]]
shape = "box"
length_mm = 60
width_mm = 60
height_mm = 20
"#;

impl Night {
    fn start_with(&mut self, toml: &str) -> &mut Self {
        self.start("clear-polyester", toml)
    }

    fn start_named(&mut self, name: &str) -> &mut Self {
        self.start_with(&format!("name = \"{}\"\n{BARE}", name.trim()))
    }
}
