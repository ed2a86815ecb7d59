//! What a night is planned from: a file or the bench, the forecast, and how somebody wants to pour.

use super::{NightArgs, NightError, WishArgs};
use crate::bench::{Bench, Command, Event, NightGround, PieceId, PlannedPour, bench_ahead, bench_held};
use crate::cli::piece_file::PieceFile;
use crate::cli::shared::{Desk, Failure, Written, piece_named};
use crate::cure::{Knot, Outlook, RoomSpread, TemperatureCurve};
use crate::night::{
    BenchAhead, DosesForWaking, NightAsk, NightPlan, NightRules, NoNight, Planner, doses_for_waking, on_the_grid,
};
use crate::pour::{Progress, usual_bench};
use crate::sense::logger_file::LoggerFile;
use crate::text::PlainText;
use crate::when::{parse_ahead, parse_day_ahead};
use jiff::Timestamp;
use std::path::Path;
use std::sync::Arc;

/// Where the bench's temperature comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BenchFrom {
    Asked,
    File,
    Readings,
    /// The piece's own figure, or its material's reference.
    Piece,
}

pub(super) struct Asked {
    pub ground: NightGround,
    pub bench_from: BenchFrom,
    /// Of a piece on the bench.
    pub on_bench: Option<PieceId>,
    /// Whose sleep it is: the settings' or what was typed.
    pub sleep_typed: bool,
}

impl Asked {
    pub fn read(args: &NightArgs, desk: &Desk) -> Result<Self, NightError> {
        let from = match &args.from {
            Some(text) => parse_ahead(text, desk.now, &desk.zone).map_err(Failure::from)?,
            None => desk.now,
        };
        let from = on_the_grid(from);
        let rules = rules(&args.wishes, desk, from)?;
        let on_bench = args.piece.as_deref().is_none_or(names_a_number);
        let mut asked =
            if on_bench { Self::of_bench(args, desk, from, &rules)? } else { Self::of_file(args, desk, from, rules)? };
        if let Some(file) = &args.forecast {
            asked.ground = asked.ground.on(from_file(file, from, desk)?);
            asked.bench_from = BenchFrom::File;
        } else if let Some(celsius) = args.bench_c {
            asked.ground = asked.ground.on(bench_held(celsius, true));
            asked.bench_from = BenchFrom::Asked;
        }
        Ok(asked)
    }

    fn of_file(args: &NightArgs, desk: &Desk, from: Timestamp, rules: NightRules) -> Result<Self, NightError> {
        if args.accept {
            return Err(NightError::NotOnBench);
        }
        let path = args.piece.as_deref().unwrap_or(Path::new(""));
        let file = PieceFile::read(path, desk)?;
        let profile = file.material()?.profile.clone();
        // The notebook is only asked for the room's temperature: without one there is nothing to say of it.
        let log = if desk.store.exists() {
            Some(crate::bench::Log::replay(desk.entries().map_err(Failure::from)?))
        } else {
            None
        };
        let (bench, bench_from) = match log.as_ref().and_then(|log| bench_ahead(log, desk.now, from)) {
            Some(bench) => (bench, BenchFrom::Readings),
            None => (bench_held(usual_bench(&file.piece, &profile), file.piece.bench.is_some()), BenchFrom::Piece),
        };
        let ground = NightGround {
            piece: Arc::new(file.piece),
            profile,
            progress: Progress::default(),
            bench,
            below: None,
            taken: Vec::new(),
            from,
            zone: desk.zone.clone(),
            rules,
        };
        Ok(Self { ground, bench_from, on_bench: None, sleep_typed: !args.wishes.sleep.is_empty() })
    }

    fn of_bench(args: &NightArgs, desk: &Desk, from: Timestamp, rules: &NightRules) -> Result<Self, NightError> {
        let mut bench = Bench::new(desk.catalogue(), desk.zone.clone(), desk.now);
        bench.handle(Event::Entries(desk.entries().map_err(Failure::from)?), desk.now);
        let given = args.piece.as_deref().map(|given| given.to_string_lossy().into_owned());
        let id = piece_named(bench.log(), given.as_deref())?.id;
        let ground = bench.night_ground(id, from, rules, desk.now).ok_or(NoNight::NothingLeft)?;
        let measured = bench_ahead(bench.log(), desk.now, from).is_some();
        let bench_from = if measured { BenchFrom::Readings } else { BenchFrom::Piece };
        Ok(Self { ground, bench_from, on_bench: Some(id), sleep_typed: !args.wishes.sleep.is_empty() })
    }

    /// Goes by `plan` from here on.
    pub fn accept(&self, plan: &NightPlan, desk: &Desk) -> Result<Written, NightError> {
        let piece = self.on_bench.ok_or(NightError::NotOnBench)?;
        let pours = PlannedPour::of(plan);
        Ok(desk.write(&desk.shelf().catalogue, |_| Ok(Command::AcceptNight { piece: Some(piece), pours }))?)
    }

    /// The doses of the next layer whose window is open at `wake`.
    pub fn doses_for_waking(&self, wake: &str, ask: &NightAsk<'_>) -> Result<DosesForWaking, NightError> {
        let plan = Planner::new(*ask)?.best()?;
        let first = plan.first().ok_or(NoNight::NothingLeft)?;
        let wake = parse_day_ahead(wake, first.at, ask.zone).map_err(Failure::from)?;
        doses_for_waking(*ask, &plan, wake).ok_or_else(|| {
            let name = &self.ground.profile.name;
            NightError::NoDoses(format!(
                "no dose decides that: layer {} is the last one, its material ({name}) has no dose, or the time is too far ahead",
                first.layer
            ))
        })
    }
}

/// Whether somebody gave the number of a piece on the bench rather than a file.
fn names_a_number(given: &Path) -> bool {
    let text = given.to_string_lossy();
    let digits = text.trim_start_matches('#');
    !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit()) && !given.exists()
}

fn rules(args: &WishArgs, desk: &Desk, from: Timestamp) -> Result<NightRules, NightError> {
    let mut rules = desk.settings_or_fail()?.night;
    if !args.sleep.is_empty() {
        rules.rest.sleep = args.sleep.iter().map(|text| text.parse()).collect::<Result<_, _>>()?;
    }
    for text in &args.busy {
        rules.rest.appointments.push(text.parse()?);
    }
    if let Some(by) = &args.by {
        let at = parse_day_ahead(by, from, &desk.zone).map_err(Failure::from)?;
        if at <= from {
            return Err(NightError::DeadlinePast { by: PlainText::new(by) });
        }
        rules.demoulded_by = Some(at);
    }
    let within = |what, given: f64, least, most| {
        if (least..=most).contains(&given) {
            Ok(given)
        } else {
            Err(NightError::OutOfRange { what, given, least, most })
        }
    };
    if let Some(percent) = args.risk_percent {
        rules.risk = within("a risk in percent", percent, 0.1, 50.0)? / 100.0;
    }
    if let Some(price) = args.after_closing {
        rules.sanding = Some(within("a price in wake-ups", price, 0.0, 10.0)?);
    }
    rules.doses &= !args.planned_doses;
    Ok(rules)
}

/// The temperatures of a logger's file as a forecast: at their dates, else from the start on.
fn from_file(path: &Path, from: Timestamp, desk: &Desk) -> Result<BenchAhead, NightError> {
    let file = PlainText::new(&path.to_string_lossy());
    let bytes = std::fs::read(path).map_err(|source| NightError::NoForecast { file: file.clone(), source })?;
    let log = LoggerFile::from_bytes(&bytes, &desk.zone)
        .map_err(|error| NightError::BadForecast { file: file.clone(), error })?;
    let first = log.readings().first().and_then(|reading| reading.at);
    let later_h = first.map_or(0.0, |first| crate::bench::hours_between(from, first));
    let knots = log.curve().knots().iter().map(|knot| Knot { at_h: knot.at_h + later_h, celsius: knot.celsius });
    let knots: Vec<Knot> = knots.collect();
    if knots.last().is_none_or(|last| last.at_h < 0.0) {
        return Err(NightError::OldForecast { file });
    }
    let curve = TemperatureCurve::new(knots).map_err(|_| NightError::OldForecast { file })?;
    Ok(BenchAhead { curve, outlook: Outlook { measured_until_h: Some(0.0), now_h: 0.0, spread: RoomSpread::FORETOLD } })
}
