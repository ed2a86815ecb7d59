//! What the screen remembers of the night: the newest plan, what was held on to, and the hour of waking that is tried.

use super::{Reaction, Ui};
use crate::bench::{Bench, BenchPiece, Command, PieceId, PlannedPour, clock_words, span_words};
use crate::night::{DosesForWaking, NightPlan, doses_for_waking};
use crate::tui::keys::Action;
use crate::tui::nights::NightDone;
use jiff::{SignedDuration, Timestamp};

/// A pour that has moved by less than this has not changed.
const SAME: SignedDuration = SignedDuration::from_mins(10);
/// Doses nearer than this are one, as ln.
const SAME_DOSE: f64 = 0.1;
/// How far a key moves the hour of waking.
const STEP: SignedDuration = SignedDuration::from_mins(15);

/// The night's page and what it shows.
#[derive(Debug, Clone, Default)]
pub(in crate::tui) struct NightView {
    open: bool,
    done: Option<NightDone>,
    /// The plan that was not wanted in place of the accepted one.
    held: Option<(PieceId, Vec<PlannedPour>)>,
    waking: Option<DosesForWaking>,
    /// Layers scrolled out at the top.
    scroll: usize,
}

/// How a plan differs from what was accepted.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::tui) struct Change {
    pub words: String,
    pub worse: bool,
}

impl NightView {
    pub fn is_open(&self) -> bool {
        self.open
    }

    pub fn done(&self, piece: PieceId) -> Option<&NightDone> {
        self.done.as_ref().filter(|done| done.piece == piece)
    }

    pub fn plan(&self, piece: PieceId) -> Option<&NightPlan> {
        self.done(piece)?.night.as_ref().ok().map(|night| &night.best)
    }

    pub fn waking(&self) -> Option<&DosesForWaking> {
        self.waking.as_ref()
    }

    pub fn scroll(&self) -> usize {
        self.scroll
    }

    /// What has changed against the accepted plan, where that is still to be decided.
    pub fn change(&self, piece: &BenchPiece, bench: &Bench) -> Option<Change> {
        let accepted = piece.planned();
        if accepted.is_empty() {
            return None;
        }
        let plan = match &self.done(piece.id)?.night {
            Ok(night) => &night.best,
            Err(why) => {
                return Some(Change { words: format!("the times you go by no longer fit: {why}"), worse: true });
            }
        };
        let new = PlannedPour::of(plan);
        if self.held.as_ref().is_some_and(|(of, held)| *of == piece.id && differ(held, &new).is_none()) {
            return None;
        }
        let (before, after) = differ(accepted, &new)?;
        let wakes = match plan.wakeups() {
            0 => String::new(),
            n => format!("; {n} to get up for"),
        };
        let words = format!("layer {} {}{wakes}", after.layer, difference(before, after, bench));
        Some(Change { words, worse: plan.wakeups() > 0 })
    }
}

/// The first pour in which two plans differ: what it was, and what it is. A layer that was poured is no difference.
fn differ<'a>(
    before: &'a [PlannedPour],
    after: &'a [PlannedPour],
) -> Option<(Option<&'a PlannedPour>, &'a PlannedPour)> {
    after.iter().find_map(|new| {
        let old = before.iter().find(|old| old.layer == new.layer);
        let same = old.is_some_and(|old| {
            old.at.duration_since(new.at).abs() < SAME && !doses_differ(old, new) && old.sanded == new.sanded
        });
        (!same).then_some((old, new))
    })
}

/// More than the scale tells, and than the bench's temperature moves it from hour to hour.
fn doses_differ(a: &PlannedPour, b: &PlannedPour) -> bool {
    a.dose.zip(b.dose).is_some_and(|(a, b)| (a.get() / b.get()).ln().abs() > SAME_DOSE)
}

fn difference(before: Option<&PlannedPour>, after: &PlannedPour, bench: &Bench) -> String {
    let clock = |pour: &PlannedPour| clock_words(pour.at, bench.zone());
    let Some(before) = before else { return format!("at {}, which had no time", clock(after)) };
    let later = after.at.duration_since(before.at);
    if later.abs() >= SAME {
        let way = if later.is_negative() { "sooner" } else { "later" };
        return format!("{} → {}, {} {way}", clock(before), clock(after), span_words(later));
    }
    let percent = |pour: &PlannedPour| pour.dose.map_or("-".to_owned(), |dose| format!("{:.2} %", dose.get()));
    format!("at {}: {} → {}", clock(after), percent(before), percent(after))
}

impl Ui {
    pub fn night(&self) -> &NightView {
        &self.night
    }

    /// Takes a plan that has come; says what has changed against the accepted one, where the page is not open to show it.
    pub fn take_night(&mut self, done: NightDone, bench: &Bench) -> Option<Change> {
        let piece = done.piece;
        // The hour that is tried stays; its doses follow the new plan.
        let wake = self.night.waking.take().map(|waking| waking.wake);
        self.night.waking = wake.and_then(|wake| {
            let plan = &done.night.as_ref().ok()?.best;
            doses_for_waking(done.ground.ask(&done.options), plan, wake)
        });
        self.night.done = Some(done);
        let (piece, _) = bench.pieces().find(|(on_bench, _)| on_bench.id == piece)?;
        self.night.change(piece, bench).filter(|_| !self.night.open)
    }

    /// Whether the night's page is open: it closes with the last piece.
    pub fn night_is_open(&self, bench: &Bench) -> bool {
        self.night.open && bench.pieces().next().is_some()
    }

    /// Does what `action` means to the night; `None` where it is about something else.
    pub(super) fn act_on_night(&mut self, action: Action, bench: &Bench, now: Timestamp) -> Option<Reaction> {
        if !self.night_is_open(bench) {
            self.night.open = false;
        }
        let piece = self.piece(bench).map(|(piece, _)| piece);
        Some(match (action, piece) {
            (Action::Night | Action::Back | Action::Quit, _) if self.night.open => {
                self.night.open = false;
                Reaction::Stay
            }
            (Action::Night, None) => {
                self.complain("no piece is on the bench; 'nightpour start PIECE.toml' puts one there")
            }
            (Action::Night, Some(_)) => {
                (self.night.open, self.page, self.night.scroll) = (true, None, 0);
                Reaction::Stay
            }
            _ if !self.night.open => return None,
            (Action::GoBy, Some(piece)) => self.go_by(piece, bench),
            (Action::Hold, Some(piece)) => self.hold(piece, bench),
            (Action::PieceBefore, Some(piece)) => self.try_waking(piece.id, -STEP, now),
            (Action::PieceAfter, Some(piece)) => self.try_waking(piece.id, STEP, now),
            (Action::SelectUp | Action::ScrollUp, _) => {
                self.night.scroll = self.night.scroll.saturating_sub(1);
                Reaction::Stay
            }
            (Action::SelectDown | Action::ScrollDown, Some(piece)) => {
                let layers = self.night.plan(piece.id).map_or(0, |plan| plan.pours.len());
                self.night.scroll = (self.night.scroll + 1).min(layers.saturating_sub(1));
                Reaction::Stay
            }
            _ => return None,
        })
    }

    /// The piece's page takes its place.
    pub(super) fn close_night(&mut self) {
        self.night.open = false;
    }

    fn go_by(&mut self, piece: &BenchPiece, bench: &Bench) -> Reaction {
        let Some(plan) = self.night.plan(piece.id) else { return self.complain("there is no plan to go by yet") };
        let standing = bench.pieces().find(|(on_bench, _)| on_bench.id == piece.id).and_then(|(_, standing)| standing);
        let next = standing.and_then(|standing| standing.next_layer()).map(|next| next.number);
        if plan.first().map(|pour| pour.layer) != next {
            return self.complain("something was poured since: it is being planned anew");
        }
        let pours = PlannedPour::of(plan);
        if piece.planned() == pours {
            return self.complain("these are the times you go by already");
        }
        self.night.held = None;
        Reaction::Do(Command::AcceptNight { piece: Some(piece.id), pours })
    }

    fn hold(&mut self, piece: &BenchPiece, bench: &Bench) -> Reaction {
        match self.night.change(piece, bench) {
            Some(_) => {
                self.night.held = self.night.plan(piece.id).map(|plan| (piece.id, PlannedPour::of(plan)));
                Reaction::Stay
            }
            None if piece.planned().is_empty() => self.complain("no times were accepted yet; g goes by these"),
            None => self.complain("nothing has changed"),
        }
    }

    /// Moves the hour at which somebody would get up, and looks which dose of the next layer has its window open then.
    fn try_waking(&mut self, piece: PieceId, by: SignedDuration, now: Timestamp) -> Reaction {
        let Some((done, plan)) = self.night.done(piece).zip(self.night.plan(piece)) else { return Reaction::Stay };
        let next = plan.pours.get(1).map(|pour| pour.at);
        let waking_at = self.night.waking.as_ref().map(|waking| waking.wake);
        let end_of_sleep = plan.next_sleep(now).map(|sleep| sleep.until);
        let wake = waking_at.map(|at| at + by).or(end_of_sleep).or(next);
        let found = wake.and_then(|wake| doses_for_waking(done.ground.ask(&done.options), plan, wake));
        match found {
            Some(found) => {
                self.night.waking = Some(found);
                Reaction::Stay
            }
            None => self.complain("no dose decides that: nothing follows the next layer, or its material has no dose"),
        }
    }
}
