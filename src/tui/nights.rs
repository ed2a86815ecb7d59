//! Pour times worked out beside the screen, on a thread of their own: planning never holds a frame back.

use crate::bench::{Bench, EntryId, NightGround, PieceId};
use crate::night::{Night, NightRules, NoNight, PourOptions, night};
use jiff::{SignedDuration, Timestamp};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

/// A pour this much later than planned is late, and so is every plan after as long again.
const LATE: SignedDuration = SignedDuration::from_mins(5);
/// A plan is good for so long where nothing happens.
const GOOD_FOR: SignedDuration = SignedDuration::from_mins(30);
/// A bench that has become so much warmer or colder asks for another plan, °C.
const MOVED_C: f64 = 0.5;

/// What is to be planned.
struct Request {
    piece: PieceId,
    ground: NightGround,
}

/// A plan that has come.
#[derive(Debug, Clone)]
pub(super) struct NightDone {
    pub piece: PieceId,
    pub ground: Arc<NightGround>,
    pub options: Arc<PourOptions>,
    pub night: Result<Arc<Night>, NoNight>,
}

/// What a plan was asked for.
#[derive(Debug, Clone, PartialEq)]
struct Occasion {
    piece: PieceId,
    rules: NightRules,
    /// The newest entry that is not a reading.
    entry: EntryId,
    bench_c: Option<f64>,
    at: Timestamp,
}

/// Asks for plans when there is a reason to.
pub(super) struct Nights {
    worker: Sender<Request>,
    asked: Option<Occasion>,
}

impl Nights {
    /// Starts the thread; plans go to `deliver`, which says whether anybody still waits.
    pub fn start(deliver: impl Fn(NightDone) -> bool + Send + 'static) -> Self {
        let (worker, requests) = channel();
        // Without a thread there are no plans, and everything else goes on.
        let _ = std::thread::Builder::new().name("nights".to_owned()).spawn(move || work(&requests, &deliver));
        Self { worker, asked: None }
    }

    /// Asks for a plan of `piece` where something has happened since the last one.
    pub fn mind(
        &mut self,
        bench: &Bench,
        piece: PieceId,
        rules: &NightRules,
        first: Option<Timestamp>,
        now: Timestamp,
    ) {
        let bench_c = bench.log().readings().last().map(|last| last.celsius.get());
        let occasion = Occasion { piece, rules: rules.clone(), entry: bench.log().last_deed(), bench_c, at: now };
        if self.asked.as_ref().is_some_and(|asked| !asked.is_outdated(&occasion, first)) {
            return;
        }
        self.asked = Some(occasion);
        if let Some(ground) = bench.night_ground(piece, now, rules, now) {
            // Where the thread has gone there is nobody to plan.
            let _ = self.worker.send(Request { piece, ground });
        }
    }

    /// The next plan is asked for whatever has happened.
    pub fn forget(&mut self) {
        self.asked = None;
    }
}

impl Occasion {
    /// `first`: when the first pour of the plan is, which has not been poured.
    fn is_outdated(&self, now: &Occasion, first: Option<Timestamp>) -> bool {
        let age = now.at.duration_since(self.at);
        let late = first.is_some_and(|first| now.at >= first + LATE) && age >= LATE;
        let moved = match (self.bench_c, now.bench_c) {
            (Some(then), Some(now)) => (then - now).abs() >= MOVED_C,
            (then, now) => then.is_some() != now.is_some(),
        };
        (self.piece, self.entry) != (now.piece, now.entry)
            || self.rules != now.rules
            || late
            || moved
            || age >= GOOD_FOR
            || age.is_negative()
    }
}

/// Plans the newest request, again and again; what its doses stand on is kept from one to the next.
fn work(requests: &Receiver<Request>, deliver: &impl Fn(NightDone) -> bool) {
    let mut kept: Option<(PieceId, Arc<NightGround>, Arc<PourOptions>)> = None;
    while let Ok(first) = requests.recv() {
        let Request { piece, ground } = requests.try_iter().last().unwrap_or(first);
        let ground = Arc::new(ground);
        let same = kept.take().filter(|(of, before, _)| {
            *of == piece && before.heat_key() == ground.heat_key() && before.profile == ground.profile
        });
        let options = same.map_or_else(|| Arc::new(ground.options()), |(_, _, options)| options);
        let night = night(ground.ask(&options)).map(Arc::new);
        let done = NightDone { piece, ground: Arc::clone(&ground), options: Arc::clone(&options), night };
        kept = Some((piece, ground, options));
        if !deliver(done) {
            return;
        }
    }
}
