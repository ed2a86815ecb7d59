//! A piece on the bench: its section, its page, and the forms that pour into it.

use super::{Night, rows, styles};
use crate::bench::{BatchId, Bench, Command, Event, NewPiece, NewPour, Part, PieceId, Poured, Seen, Trust};
use crate::material::{Catalogue, MaterialId, Stage};
use crate::night::{NightRules, Rest, night};
use crate::notebook::Notebook;
use crate::pour::StepId;
use crate::rehearsal::demo;
use crate::session::Session;
use crate::text::PlainText;
use crate::tui::nights::NightDone;
use crate::tui::theme::Palette;
use crate::tui::ui::Ui;
use crate::units::{Celsius, Grams};
use jiff::SignedDuration;
use std::sync::Arc;

const COLUMN: &str = include_str!("../../../demo-data/column.toml");

/// A bowl on a foot, invented, in a two-part epoxy.
const BOWL: &str = r#"
name = "Bowl on a foot"
material = "deep-pour-epoxy"
fill_mm = 48
[[vessel.section]]
shape = "cylinder"
diameter_mm = 60
height_mm = 8
[[vessel.section]]
shape = "sphere-part"
from_mm = 8
diameter_mm = 120
height_mm = 42
[[item]]
name = "shell"
volume_ml = 2
from_mm = 20
to_mm = 28
[layers]
max_mm = 24
"#;

impl Night {
    /// A bench at 18 °C on an evening, with nothing on it.
    pub(super) fn bare() -> Self {
        let script = demo();
        let folder = tempfile::tempdir().unwrap();
        let notebook = Notebook::open(&folder.path().join("piece.sqlite")).unwrap();
        let bench = Bench::new(Catalogue::embedded(), script.zone.clone(), script.starts);
        let (session, _) = Session::open(bench, notebook, script.starts).unwrap();
        let mut night = Self { session, ui: Ui::default(), now: script.starts, _folder: folder };
        let (celsius, at, source) = (Celsius::new(18.0).unwrap(), night.now, PlainText::new("bench"));
        night.tell(Command::Read { celsius, humidity: None, at, source });
        night
    }

    pub(super) fn tell(&mut self, command: Command) -> &mut Self {
        let last = self.session.bench().log().last();
        let effects = self.session.handle(Event::Command(command), self.now);
        assert!(self.session.bench().log().last() > last, "refused: {effects:?}");
        self
    }

    pub(super) fn start(&mut self, material: &str, toml: &str) -> &mut Self {
        let material = MaterialId::new(material).unwrap();
        let (toml, at) = (toml.to_owned(), self.now);
        let name = PlainText::new("a piece");
        self.tell(Command::Start(NewPiece { name, material, toml, meshes: Vec::new(), at }))
    }

    pub(super) fn pour(&mut self, weighed_g: Option<f64>) -> &mut Self {
        let weighed = weighed_g.map(|grams| Grams::new(grams).unwrap());
        let poured = Poured { weighed, catalyst: None, at: self.now };
        self.tell(Command::Pour(NewPour { piece: None, layer: None, poured }))
    }

    pub(super) fn wait(&mut self, minutes: i64) -> &mut Self {
        self.now += SignedDuration::from_mins(minutes);
        self.session.handle(Event::Tick, self.now);
        self
    }

    /// The column with what comes before its first pour ticked.
    pub(super) fn column() -> Self {
        let mut night = Self::bare();
        night.start("clear-polyester", COLUMN);
        for step in [StepId::DryFit, StepId::Seal, StepId::WaterTest10, StepId::WaterTest30] {
            night.tell(Command::Tick { piece: None, step });
        }
        night
    }

    /// Two of its layers poured, the second short of what was planned; the first has gelled.
    pub(super) fn two_layers() -> Self {
        let mut night = Self::column();
        night.pour(None).wait(80).pour(Some(70.0)).wait(20);
        night
    }

    fn piece_layers(&self) -> usize {
        self.session.bench().pieces().next().and_then(|(_, standing)| standing).unwrap().laid.len()
    }
}

const SIZES: [(u16, u16); 3] = [(120, 40), (80, 24), (40, 12)];

#[test]
fn the_bench_with_a_piece() {
    let night = Night::two_layers();
    for (width, height) in SIZES {
        insta::assert_snapshot!(format!("bench_{width}x{height}"), night.text(width, height));
    }
}

#[test]
fn before_the_first_pour_the_next_step_is_told() {
    let night = Night::column();
    insta::assert_snapshot!("before_the_pour_80x24", night.text(80, 24));
    insta::assert_snapshot!("before_the_pour_40x12", night.text(40, 12));
}

#[test]
fn the_page_of_a_piece() {
    let mut night = Night::two_layers();
    night.press("p");
    for (width, height) in SIZES {
        insta::assert_snapshot!(format!("page_{width}x{height}"), night.text(width, height));
    }
    night.press("f");
    insta::assert_snapshot!("page_finish_40x12", night.text(40, 12));
}

#[test]
fn the_forms_of_a_piece() {
    let mut night = Night::two_layers();
    for (name, keys) in [("pour", "l"), ("pour_typed", "l60"), ("level", "e22,5"), ("mix", "m")] {
        night.press(keys);
        for (width, height) in [(80, 24), (40, 12)] {
            insta::assert_snapshot!(format!("form_{name}_{width}x{height}"), night.text(width, height));
        }
        night.press("⎋");
    }
}

#[test]
fn every_palette_draws_the_same_section_in_its_own_styles() {
    let night = Night::two_layers();
    let plain = night.text(80, 24);
    for (name, palette) in [("light", Palette::Light), ("sixteen", Palette::Sixteen), ("plain", Palette::Plain)] {
        let buffer = night.draw(80, 24, palette);
        assert_eq!(rows(&buffer).join("\n"), plain);
        insta::assert_snapshot!(format!("styles_{name}"), styles(&buffer));
    }
}

#[test]
fn the_walls_follow_the_vessel_and_layers_change_as_they_set() {
    let mut night = Night::bare();
    night.start("deep-pour-epoxy", BOWL).pour(None);
    // The sign of each state stands in the explanation as well, but only between walls is it a layer.
    let walled = |night: &Night, sign: char| {
        let text = night.text(120, 40);
        let in_section = |row: &str| row.chars().skip(96).collect::<String>();
        text.lines().map(in_section).any(|row| row.contains('│') && row.contains(sign))
    };
    assert!(walled(&night, '~') && !walled(&night, '▒'));
    insta::assert_snapshot!("bowl_120x40", night.text(120, 40));
    night.wait(24 * 60);
    assert!(walled(&night, '▒') && !walled(&night, '~'));
    let seen = Seen::NotYet { at: night.now };
    night.tell(Command::Observe { batch: None, stage: Stage::Gel, seen, test: None, trust: Trust::Sure, within: None });
    assert!(walled(&night, '~') && !walled(&night, '▒'), "held back");
    night.tell(Command::Finish { batch: BatchId(1) });
    assert!(walled(&night, '█') && !walled(&night, '~'), "what is finished has set");
}

#[test]
fn no_size_makes_a_piece_panic() {
    let mut night = Night::two_layers();
    night.start("deep-pour-epoxy", BOWL);
    for keys in ["", "p", "l", "⎋e", "⎋f", "⎋p←", "p"] {
        night.press(keys);
        for width in (1..=130).step_by(7) {
            for height in [1, 2, 3, 5, 8, 11, 12, 13, 18, 24, 28, 41] {
                night.draw(width, height, Palette::Dark);
            }
        }
    }
}

#[test]
fn a_layer_is_poured_through_the_form_as_it_was_weighed() {
    let mut night = Night::column();
    night.press("l");
    assert!(night.text(80, 24).contains("pour layer 1 · piece 1"), "{}", night.text(80, 24));
    night.press("80⇥1,2↵");
    assert_eq!(night.piece_layers(), 1);
    let batch = night.session.bench().log().batch(BatchId(1)).unwrap();
    let dose = batch.mix.dose.unwrap().get();
    // The 80 g hold 0.5 % of tint on the resin: the dose is that of the resin alone.
    assert!((dose - 1.2 / (80.0 / 1.005) * 100.0).abs() < 1e-6, "{dose}");
    assert_eq!(batch.mix.part, Some(Part::Layer { piece: PieceId(1), layer: 1 }));
}

#[test]
fn the_catalyst_follows_the_resin_that_was_typed() {
    let mut night = Night::column();
    let hint = |night: &Night| {
        let text = night.text(80, 24);
        text.lines().find(|row| row.contains("catalyst  ")).unwrap().trim().to_owned()
    };
    let planned = hint(night.press("l"));
    let half = hint(night.press("42,5"));
    assert!(
        planned.contains("empty: 1.31 g") && half.contains("empty: 0.84 g"),
        "half as deep takes more for its resin: {planned} {half}"
    );
}

#[test]
fn a_pour_that_misses_its_level_or_runs_over_is_told_before_it_is_made() {
    let mut night = Night::two_layers();
    let told = |night: &mut Night, typed: &str| {
        let text = night.press("l").press(typed).text(80, 24);
        night.press("⎋");
        text
    };
    let fits = told(&mut night, "");
    assert!(!fits.contains("the planned") && !fits.contains("brim"), "{fits}");
    assert!(told(&mut night, "30").contains("under the planned"));
    assert!(told(&mut night, "120").contains("over the planned"));
    assert!(told(&mut night, "400").contains("to its brim at 48.0 mm, or runs over"));
}

#[test]
fn part_b_is_worked_out_and_not_typed() {
    let mut night = Night::bare();
    night.start("deep-pour-epoxy", BOWL).press("l50⇥");
    let text = night.text(80, 24);
    assert!(text.contains("part B") && text.contains("by the fixed ratio") && text.contains("▸when"), "{text}");
}

#[test]
fn the_page_ticks_pours_and_takes_back() {
    let mut night = Night::column();
    let ticked = |night: &Night, step| {
        let (_, standing) = night.session.bench().pieces().next().unwrap();
        standing.unwrap().is_done(step)
    };
    assert!(!ticked(&night, StepId::WaterTest120));
    night.press("p↵");
    assert!(ticked(&night, StepId::WaterTest120) && !ticked(&night, StepId::Dry));
    night.press(" ");
    assert!(ticked(&night, StepId::Dry));
    night.press("uu");
    assert!(!ticked(&night, StepId::Dry) && night.text(80, 24).contains("order of work"));
    while !night.text(80, 24).contains("▸· pour layer 1") {
        night.press("↓");
    }
    night.press("↵↵");
    assert_eq!(night.piece_layers(), 1);
    night.press("⎋");
    assert!(!night.text(80, 24).contains("order of work"));
}

#[test]
fn a_pour_out_of_its_turn_and_a_full_piece_are_refused_in_words() {
    let mut night = Night::column();
    night.press("p");
    while !night.text(80, 24).contains("▸· pour layer 2") {
        night.press("↓");
    }
    assert!(night.press("↵").text(80, 24).contains("layer 2 is not the next one; layer 1 is"));
    night.press("⎋");
    for _ in 0..5 {
        night.pour(None).wait(90);
    }
    assert!(night.press("l").text(80, 24).contains("is full; p shows it, f there finishes with it"));
    night.press("pff");
    assert!(night.session.bench().pieces().next().is_none());
    assert!(night.press("l").text(80, 24).contains("no piece is on the bench"));
    assert!(night.press("e").text(80, 24).contains("no piece is on the bench"));
    assert!(night.press("p").text(80, 24).contains("no piece is on the bench"));
}

#[test]
fn a_measured_level_moves_what_is_left() {
    let mut night = Night::two_layers();
    let before = night.text(120, 40);
    night.press("e15↵");
    let after = night.text(120, 40);
    assert!(before.contains("level 18") && after.contains("level 15 of 40 mm"), "{after}");
    night.press("e99↵");
    assert!(night.text(120, 40).contains("over the brim"));
}

#[test]
fn of_several_pieces_the_arrows_choose_one() {
    let mut night = Night::column();
    night.start("deep-pour-epoxy", BOWL).press("p");
    assert!(night.text(80, 24).contains("piece 2 · Bowl on a foot"));
    assert!(night.press("←").text(80, 24).contains("piece 1 · Shell"));
    assert!(night.press("←").text(80, 24).contains("1 of 2: ← → another"));
    night.press("→");
    assert!(night.text(40, 12).contains("2/2 ← →"));
}

#[test]
fn a_trial_cup_is_marked_and_stands_for_its_piece() {
    let mut night = Night::column();
    night.press("m⇥⇥⇥⇥⇥⇥⇥");
    assert!(night.text(80, 24).contains("▸for"), "{}", night.text(80, 24));
    night.press("tt");
    assert!(night.text(80, 24).contains("‹ trial cup of piece 1"), "{}", night.text(80, 24));
    night.press("↵");
    let bench = night.session.bench();
    let parts: Vec<_> = bench.log().batches().map(|batch| batch.mix.part).collect();
    assert_eq!(parts, [Some(Part::Trial { piece: Some(PieceId(1)) })]);
    assert!(bench.pieces().next().and_then(|(_, standing)| standing).unwrap().is_done(StepId::TrialCup));
    for (width, height) in SIZES {
        assert!(night.text(width, height).contains("trial: clear-poly"), "{}", night.text(width, height));
    }
}

#[test]
fn the_pour_key_takes_the_piece_whose_layer_is_due() {
    let mut night = Night::column();
    night.pour(None);
    night.start("deep-pour-epoxy", BOWL);
    assert!(night.press("l").text(80, 24).contains("pour layer 1 · piece 2"), "the newest");
    night.press("⎋").wait(70);
    let alarm = night.session.bench().next_alarm().unwrap();
    assert!(alarm.id.is_next_layer() || alarm.is_sounding());
    for alarm in night.session.bench().alarms().to_vec() {
        if alarm.is_sounding() && !alarm.id.is_next_layer() {
            night.tell(Command::Acknowledge { alarm: alarm.id });
        }
    }
    assert!(night.press("l").text(80, 24).contains("pour layer 2 · piece 1"), "{}", night.text(80, 24));
}

/// A mould filled 20 mm deep, whose heat shows, invented.
const DEEP: &str = "name = 'pond block'\nmaterial = 'clear-polyester'\nfill_mm = 40\n\
                    [vessel]\nshape = 'box'\nlength_mm = 120\nwidth_mm = 90\nheight_mm = 50\n[layers]\nmax_mm = 20\n";

impl Night {
    fn deep_layer(minutes: i64) -> Self {
        let mut night = Self::bare();
        night.start("clear-polyester", DEEP).pour(None).wait(minutes);
        night
    }

    fn probe(&mut self, celsius: f64) -> &mut Self {
        let (celsius, at, source) = (Celsius::new(celsius).unwrap(), self.now, PlainText::new("resin"));
        self.tell(Command::Read { celsius, humidity: None, at, source })
    }
}

#[test]
fn the_heat_of_a_deep_layer_is_told_before_it_comes() {
    let night = Night::deep_layer(30);
    for (width, height) in SIZES {
        insta::assert_snapshot!(format!("deep_{width}x{height}"), night.text(width, height));
    }
}

#[test]
fn what_a_probe_in_the_resin_shows_is_held_against_what_was_predicted() {
    let mut night = Night::deep_layer(40);
    night.probe(24.5).wait(30);
    night.probe(31.5);
    for (width, height) in SIZES {
        insta::assert_snapshot!(format!("probe_{width}x{height}"), night.text(width, height));
    }
    night.wait(12);
    assert!(night.text(80, 24).contains("resin 31.5 °C 12 min ago, about "), "{}", night.text(80, 24));
    night.probe(95.0);
    assert!(night.text(80, 24).contains("! resin 95.0 °C measured, about "), "{}", night.text(80, 24));
}

impl Night {
    /// Plans the night of its piece as the thread beside the screen does.
    pub(super) fn planned(&mut self) -> &mut Self {
        let bench = self.session.bench();
        let sleep = "23:00-06:30".parse().unwrap();
        let rules = NightRules { rest: Rest { sleep: vec![sleep], ..Rest::default() }, ..NightRules::default() };
        let ground = Arc::new(bench.night_ground(PieceId(1), self.now, &rules, self.now).unwrap());
        let options = Arc::new(ground.options());
        let night = night(ground.ask(&options)).map(Arc::new);
        self.ui.take_night(NightDone { piece: PieceId(1), ground, options, night }, self.session.bench());
        self
    }
}

#[test]
fn the_night_of_a_piece_its_waking_and_what_has_changed() {
    let mut night = Night::two_layers();
    night.press("n");
    insta::assert_snapshot!("night_working_80x24", night.text(80, 24));
    night.planned();
    for (width, height) in SIZES {
        insta::assert_snapshot!(format!("night_{width}x{height}"), night.text(width, height));
    }
    insta::assert_snapshot!("night_styles_light", styles(&night.draw(80, 24, Palette::Light)));
    night.press("→");
    insta::assert_snapshot!("night_waking_120x40", night.text(120, 40));
    night.press("g");
    assert!(night.session.bench().pieces().next().unwrap().0.planned().len() >= 2);
    // An hour and a half later nothing was poured: the plan is another.
    night.wait(90).planned();
    insta::assert_snapshot!("night_changed_120x40", night.text(120, 40));
    assert!(night.text(120, 40).contains("! changed: layer"));
    night.press("h");
    assert!(!night.text(120, 40).contains("! changed: layer"), "held on to");
}
