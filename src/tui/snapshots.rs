//! Whole screens, drawn on a test terminal from the demo night and held against what was looked at and found good.

mod piece;
mod small;

use super::panes::{self, View};
use super::theme::Palette;
use super::ui::{Reaction, Ui};
use crate::bench::{Bench, Event};
use crate::cure::Doubt;
use crate::material::{Catalogue, Changes, Stage, StageChange, rewrite};
use crate::notebook::Notebook;
use crate::rehearsal::demo;
use crate::session::Session;
use crate::text::PlainText;
use crate::units::{Hours, SpreadFactor};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use jiff::{SignedDuration, Timestamp};
use ratatui::{Terminal, backend::TestBackend, buffer::Buffer, style::Style};

/// The demo night, stopped at a moment.
struct Night {
    session: Session,
    ui: Ui,
    now: Timestamp,
    _folder: tempfile::TempDir,
}

impl Night {
    /// `hours` after its start, with everything done that the script does by then.
    fn after(hours: f64) -> Self {
        Self::with(Catalogue::embedded(), hours)
    }

    /// The same with the materials of `catalogue`.
    fn with(catalogue: Catalogue, hours: f64) -> Self {
        let mut script = demo();
        let now = script.starts + SignedDuration::from_secs_f64(hours * 3600.0);
        let folder = tempfile::tempdir().unwrap();
        let notebook = Notebook::open(&folder.path().join("night.sqlite")).unwrap();
        let bench = Bench::new(catalogue, script.zone.clone(), script.starts);
        let (mut session, _) = Session::open(bench, notebook, script.starts).unwrap();
        while let Some((at, command)) = script.take_due(now) {
            session.handle(Event::Command(command), at);
            session.handle(Event::Tick, at);
        }
        session.handle(Event::Tick, now);
        Self { session, ui: Ui::default(), now, _folder: folder }
    }

    fn press(&mut self, keys: &str) -> &mut Self {
        for c in keys.chars() {
            let code = match c {
                '↵' => KeyCode::Enter,
                '⇥' => KeyCode::Tab,
                '⎋' => KeyCode::Esc,
                '↑' => KeyCode::Up,
                '↓' => KeyCode::Down,
                '←' => KeyCode::Left,
                '→' => KeyCode::Right,
                '⌫' => KeyCode::Backspace,
                '⇟' => KeyCode::PageDown,
                c => KeyCode::Char(c),
            };
            let key = KeyEvent::new(code, KeyModifiers::NONE);
            if let Reaction::Do(command) = self.ui.key(key, self.session.bench(), self.now) {
                self.session.handle(Event::Command(command), self.now);
            }
        }
        self
    }

    fn draw(&self, width: u16, height: u16, palette: Palette) -> Buffer {
        let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
        let view = View { bench: self.session.bench(), ui: &self.ui, now: self.now, palette };
        terminal.draw(|frame| panes::draw(frame, view)).unwrap();
        terminal.backend().buffer().clone()
    }

    fn text(&self, width: u16, height: u16) -> String {
        rows(&self.draw(width, height, Palette::Plain)).join("\n")
    }
}

fn rows(buffer: &Buffer) -> Vec<String> {
    let row = |y| (0..buffer.area.width).map(|x| buffer[(x, y)].symbol()).collect::<String>();
    (0..buffer.area.height).map(|y| row(y).trim_end().to_owned()).collect()
}

/// Which style each cell has: a letter for each, explained below.
fn styles(buffer: &Buffer) -> String {
    let mut known: Vec<Style> = Vec::new();
    let mut letter = |style: Style| {
        let place = known.iter().position(|s| *s == style).unwrap_or_else(|| {
            known.push(style);
            known.len() - 1
        });
        char::from(b'a' + u8::try_from(place).unwrap())
    };
    let grid: Vec<String> = (0..buffer.area.height)
        .map(|y| (0..buffer.area.width).map(|x| letter(buffer[(x, y)].style())).collect())
        .collect();
    let legend = known.iter().zip('a'..).map(|(s, c)| format!("{c}: fg {:?}, {:?}", s.fg, s.add_modifier));
    format!("{}\n{}", grid.join("\n"), legend.collect::<Vec<_>>().join("\n"))
}

#[test]
fn an_empty_bench_says_how_to_begin() {
    insta::assert_snapshot!(Night::after(0.0).text(80, 24));
}

#[test]
fn the_night_at_its_busiest() {
    let mut night = Night::after(4.0);
    for (width, height) in [(120, 40), (80, 24), (40, 12), (30, 8)] {
        insta::assert_snapshot!(format!("busiest_{width}x{height}"), night.text(width, height));
    }
    insta::assert_snapshot!("busiest_help_80x24", night.press("?").text(80, 24));
    insta::assert_snapshot!("busiest_quit_40x12", night.press("xq").text(40, 12));
}

#[test]
fn the_night_at_dawn() {
    let night = Night::after(11.25);
    insta::assert_snapshot!("dawn_120x40", night.text(120, 40));
    insta::assert_snapshot!("dawn_40x12", night.text(40, 12));
}

#[test]
fn a_window_that_rings_can_wait() {
    let mut night = Night::after(4.08);
    insta::assert_snapshot!("rings_40x12", night.text(40, 12));
    insta::assert_snapshot!("rings_snooze_80x24", night.press("z").text(80, 24));
}

#[test]
fn the_forms() {
    let mut night = Night::after(4.0);
    for (name, keys) in [("mix", "m"), ("observe", "o"), ("temperature", "t")] {
        night.press(keys);
        for (width, height) in [(120, 40), (80, 24), (40, 12)] {
            insta::assert_snapshot!(format!("form_{name}_{width}x{height}"), night.text(width, height));
        }
        night.press("⎋");
    }
}

#[test]
fn a_form_says_what_is_wrong_and_writes_nothing() {
    let mut night = Night::after(4.0);
    let before = night.session.bench().log().last();
    night.press("t900↵");
    insta::assert_snapshot!(night.text(80, 24));
    insta::assert_snapshot!("a_form_says_what_is_wrong_40x12", night.text(40, 12));
    assert_eq!(night.session.bench().log().last(), before);
}

/// The built-in materials, the casting resin of the demo night with one stage learned and another gone along.
fn partly_learned() -> Catalogue {
    let mut catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let stage = |stage, observations, minutes: f64| StageChange {
        stage,
        observations,
        after: Hours::new(minutes / 60.0).unwrap(),
        spread: SpreadFactor::new(1.2).unwrap(),
        law: None,
        doubt: Doubt::new([0.002, 0.0, 0.0, 0.01, 0.0, 0.01], (-0.5, 0.5)).unwrap(),
        seen: None,
    };
    let changes = Changes {
        on: PlainText::new("2026-02-20"),
        observations: 8,
        batches: 4,
        law: None,
        exponent: None,
        cup: None,
        stages: vec![stage(Stage::Gel, 0, 32.0), stage(Stage::NextLayerOpens, 8, 58.0)],
    };
    let (id, source) = (item.profile.id.clone(), rewrite(&item.source, &item.profile, &changes).unwrap());
    catalogue.put_file(id, "clear-polyester.toml", source).unwrap();
    catalogue
}

#[test]
fn learned_times_say_from_how_much() {
    let night = Night::with(partly_learned(), 4.0);
    insta::assert_snapshot!("learned_120x40", night.text(120, 40));
    insta::assert_snapshot!("learned_80x24", night.text(80, 24));
}

#[test]
fn a_silent_source_and_a_standing_clock_are_told() {
    let mut night = Night::after(12.5);
    night.press("t12↵");
    night.now += SignedDuration::from_hours(2);
    night.session.handle(Event::Tick, night.now);
    insta::assert_snapshot!(night.text(120, 40));
}

#[test]
fn every_palette_tells_the_same_with_its_own_styles() {
    let night = Night::after(4.0);
    let plain = night.text(80, 24);
    for (name, palette) in
        [("dark", Palette::Dark), ("light", Palette::Light), ("sixteen", Palette::Sixteen), ("plain", Palette::Plain)]
    {
        let buffer = night.draw(80, 24, palette);
        assert_eq!(rows(&buffer).join("\n"), plain);
        insta::assert_snapshot!(format!("styles_{name}"), styles(&buffer));
    }
}

#[test]
fn no_size_makes_it_panic() {
    let mut night = Night::after(4.0);
    for keys in ["", "m", "⎋o", "⎋?", "xq"] {
        night.press(keys);
        for width in (1..=130).step_by(7) {
            for height in [1, 2, 3, 5, 8, 11, 12, 13, 18, 24, 28, 41] {
                night.draw(width, height, Palette::Dark);
            }
        }
    }
}

#[test]
fn a_hostile_label_stays_in_its_place() {
    let mut night = Night::after(4.0);
    night.press("m⇥\u{1b}[2J\u{202e}shell\u{7}↵");
    let screen = night.text(120, 40);
    assert!(screen.contains("[2Jshell"), "{screen}");
    assert!(!screen.contains('\u{1b}') && !screen.contains('\u{202e}'));
}

#[test]
fn two_keys_write_an_observation() {
    let mut night = Night::after(4.0);
    let observed = |night: &Night| night.session.bench().log().running().map(|b| b.observations.len()).sum::<usize>();
    let before = observed(&night);
    night.press("o3");
    assert_eq!(observed(&night), before + 1);
}

#[test]
fn the_pictures_in_the_readme_are_real() {
    let readme = include_str!("../../README.md");
    assert!(readme.contains(&Night::after(4.0).text(80, 24)), "update the first picture in README.md");
    assert!(readme.contains(&Night::after(4.08).text(40, 12)), "update the second picture in README.md");
}
