//! What a night costs: twenty layers over ten days in steps of five minutes with five doses each, from the windows to the plan;
//! the search alone; and the doses and their heat, which a screen works out once.
#![expect(clippy::expect_used, reason = "a bench that cannot set itself up has nothing to measure")]

use divan::{Bencher, black_box};
use jiff::{Timestamp, tz::TimeZone};
use nightpour::cure::{Knot, Outlook, RoomSpread, TemperatureCurve};
use nightpour::material::{Catalogue, Profile};
use nightpour::night::{BenchAhead, Hours, NightAsk, NightRules, Planner, PourOptions, Rest, night};
use nightpour::pour::{Piece, Progress, Sources, read_piece};
use nightpour::units::Celsius;

fn main() {
    divan::main();
}

const DAYS: usize = 10;

/// Twenty layers of 10 mm, invented.
const TWENTY: &str = "name = 'Twenty layers'\nmaterial = 'clear-polyester'\nfill_mm = 200\n[vessel]\nshape = 'cylinder'\n\
                      diameter_mm = 60\nheight_mm = 210\n[layers]\ncount = 20\n";

/// What a plan is made from.
struct Ground {
    piece: Piece,
    profile: Profile,
    bench: BenchAhead,
    rules: NightRules,
    progress: Progress,
    from: Timestamp,
}

impl Ground {
    fn new() -> Self {
        let no_mesh = |_: nightpour::pour::MeshAsk<'_>| unreachable!("the piece has none");
        let piece = read_piece(TWENTY, Sources::with_meshes(&no_mesh)).expect("a piece").value;
        let profile = Catalogue::embedded().find("clear-polyester").expect("an embedded material").profile.clone();
        // Every night down from 20 °C to 15, every day up again.
        let knot = |half_day: i32| Knot {
            at_h: f64::from(half_day) * 12.0,
            celsius: Celsius::new(if half_day % 2 == 0 { 20.0 } else { 15.0 }).expect("a temperature"),
        };
        let curve = TemperatureCurve::new((0..=20).map(knot).collect()).expect("a curve");
        let spread = RoomSpread::Wandering { share: 0.25, from_start_c: 0.5 };
        let outlook = Outlook { measured_until_h: Some(0.0), now_h: 0.0, spread };
        let sleep: Hours = "23:00-06:30".parse().expect("hours");
        Self {
            piece,
            profile,
            bench: BenchAhead { curve, outlook },
            rules: NightRules { rest: Rest { sleep: vec![sleep], ..Rest::default() }, ..NightRules::default() },
            progress: Progress::default(),
            from: "2026-03-02T19:30:00Z".parse().expect("a time"),
        }
    }

    fn options(&self) -> PourOptions {
        PourOptions::of(&self.piece, &self.profile, &self.progress, &self.bench.curve, &self.rules)
    }

    fn ask<'a>(&'a self, options: &'a PourOptions) -> NightAsk<'a> {
        NightAsk {
            piece: &self.piece,
            profile: &self.profile,
            progress: &self.progress,
            options,
            bench: &self.bench,
            below: None,
            from: self.from,
            zone: const { &TimeZone::UTC },
            rules: &self.rules,
            taken: &[],
        }
    }
}

/// Windows, search, the heat of what was found.
#[divan::bench]
fn twenty_layers_ten_days_five_doses(bencher: Bencher<'_, '_>) {
    let ground = Ground::new();
    let options = ground.options();
    bencher.bench_local(|| Planner::over_days(black_box(ground.ask(&options)), DAYS).expect("a problem").best());
}

/// With everything beside the plan: alternatives, now or in the morning, a warmer bench.
#[divan::bench]
fn the_whole_answer(bencher: Bencher<'_, '_>) {
    let ground = Ground::new();
    let options = ground.options();
    bencher.bench_local(|| night(black_box(ground.ask(&options))));
}

/// What the doses stand on: how hot each gets, and when its stages come with its own heat.
#[divan::bench]
fn doses_and_their_heat(bencher: Bencher<'_, '_>) {
    let ground = Ground::new();
    bencher.bench_local(|| black_box(&ground).options());
}
