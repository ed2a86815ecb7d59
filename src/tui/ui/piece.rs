//! What the keys do to a piece: choose it, open its page, go through its order of work, pour and measure.

use super::{MAX_SCROLL, Overlay, Reaction, Ui};
use crate::bench::{Bench, BenchPiece, Command, PieceId, Refusal, Standing};
use crate::pour::{LayerPlan, Step, StepId};
use crate::tui::forms::{Form, LevelForm, PourForm};
use crate::tui::keys::Action;
use jiff::Timestamp;

/// Lines a page key moves what a step says; as many are in sight on the smallest screen.
const SCROLL: isize = 3;

/// A piece with where it stands, if that could be worked out.
type Placed<'a> = (&'a BenchPiece, Option<&'a Standing>);

/// The piece's page.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Page {
    /// The step the keys act on; without one, the next to do.
    step: Option<StepId>,
    /// Lines of what that step says scrolled out at the top.
    scroll: usize,
}

impl Page {
    /// The place of its step in the order of work.
    fn place(self, standing: &Standing) -> usize {
        let steps = &standing.plan.steps;
        let chosen = self.step.and_then(|id| steps.iter().position(|step| step.id == id));
        let open = |step: &Step| !standing.is_done(step.id);
        // With resin in the vessel, what should have come before it is past.
        let of_pour = |step: &Step| matches!(step.id, StepId::Bed(_) | StepId::Pour(_) | StepId::Cover);
        let poured = !standing.laid.is_empty();
        let next = steps.iter().position(|step| open(step) && (of_pour(step) || !poured));
        chosen.or(next).or_else(|| steps.iter().position(open)).unwrap_or(0)
    }

    fn at(standing: &Standing, place: usize) -> Self {
        Self { step: standing.plan.steps.get(place).map(|step| step.id), scroll: 0 }
    }

    /// On the next step after the one at `place` that is not done.
    fn after(standing: &Standing, place: usize) -> Self {
        let mut later = standing.plan.steps.iter().skip(place + 1);
        Self { step: later.find(|step| !standing.is_done(step.id)).map(|step| step.id), scroll: 0 }
    }

    fn scrolled(self, by: isize) -> Self {
        Self { scroll: moved(self.scroll, by, MAX_SCROLL), ..self }
    }
}

impl Ui {
    /// The piece that is shown: the chosen one, or the newest when that has gone.
    pub fn piece<'a>(&self, bench: &'a Bench) -> Option<Placed<'a>> {
        let chosen = bench.pieces().find(|(piece, _)| Some(piece.id) == self.piece);
        chosen.or_else(|| bench.pieces().next_back())
    }

    /// Whether the piece's page is open: it closes with the last piece.
    pub fn page_is_open(&self, bench: &Bench) -> bool {
        self.page.is_some() && bench.pieces().next().is_some()
    }

    /// The place of the chosen step in the order of work of the piece shown.
    pub fn step_place(&self, standing: &Standing) -> usize {
        self.page.unwrap_or_default().place(standing)
    }

    /// Lines of what the chosen step says that are scrolled out at the top.
    pub fn page_scroll(&self) -> usize {
        self.page.map_or(0, |page| page.scroll)
    }

    /// Does what `action` means to a piece; `None` where it is about something else.
    pub(super) fn act_on_piece(&mut self, action: Action, bench: &Bench, now: Timestamp) -> Option<Reaction> {
        if !self.page_is_open(bench) {
            self.page = None;
        }
        let on_page = self.page.is_some();
        Some(match action {
            Action::Piece | Action::Back | Action::Quit if on_page => self.turn_to(None),
            Action::Piece if self.piece(bench).is_none() => self.refuse(&Refusal::NoPiece),
            Action::Piece => {
                self.close_night();
                self.turn_to(Some(Page::default()))
            }
            Action::PieceBefore => self.other_piece(bench, -1),
            Action::PieceAfter => self.other_piece(bench, 1),
            Action::Pour => self.pour(bench, now),
            Action::Level => self.measure(bench),
            Action::Tick if on_page => self.tick(bench, now),
            Action::Finish if on_page => {
                let (piece, _) = self.piece(bench)?;
                self.lay_over(Overlay::FinishPiece(piece.id))
            }
            Action::SelectUp if on_page => self.move_step(bench, -1),
            Action::SelectDown if on_page => self.move_step(bench, 1),
            Action::ScrollUp if on_page => self.turn_to(self.page.map(|page| page.scrolled(-SCROLL))),
            Action::ScrollDown if on_page => self.turn_to(self.page.map(|page| page.scrolled(SCROLL))),
            _ => return None,
        })
    }

    fn turn_to(&mut self, page: Option<Page>) -> Reaction {
        self.page = page;
        Reaction::Stay
    }

    fn refuse(&mut self, refusal: &Refusal) -> Reaction {
        self.complain(&refusal.to_string())
    }

    fn other_piece(&mut self, bench: &Bench, by: isize) -> Reaction {
        let ids: Vec<PieceId> = bench.pieces().map(|(piece, _)| piece.id).collect();
        let shown = self.piece(bench).map(|(piece, _)| piece.id);
        let at = ids.iter().position(|id| Some(*id) == shown).unwrap_or(0);
        self.piece = ids.get(moved(at, by, ids.len())).copied();
        self.turn_to(self.page.map(|_| Page::default()))
    }

    fn move_step(&mut self, bench: &Bench, by: isize) -> Reaction {
        if let (Some(page), Some((_, Some(standing)))) = (self.page, self.piece(bench)) {
            let place = moved(page.place(standing), by, standing.plan.steps.len());
            self.page = Some(Page::at(standing, place));
        }
        Reaction::Stay
    }

    /// Ticks the chosen step; a pour is no tick, and opens its form.
    fn tick(&mut self, bench: &Bench, now: Timestamp) -> Reaction {
        let Some((piece, Some(standing))) = self.piece(bench) else { return Reaction::Stay };
        let place = self.step_place(standing);
        let Some(step) = standing.plan.steps.get(place).map(|step| step.id) else { return Reaction::Stay };
        match (step, standing.next_layer()) {
            (StepId::Pour(layer), Some(next)) if next.number == layer => self.open_pour(piece, next, bench, now),
            (StepId::Pour(layer), Some(next)) if next.number < layer => {
                self.refuse(&Refusal::NotTheNextLayer { layer, next: next.number })
            }
            (StepId::Pour(layer), _) => self.refuse(&Refusal::PouredAlready { layer }),
            (step, _) => {
                if !standing.is_done(step) {
                    self.page = Some(Page::after(standing, place));
                }
                Reaction::Do(Command::Tick { piece: Some(piece.id), step })
            }
        }
    }

    fn pour(&mut self, bench: &Bench, now: Timestamp) -> Reaction {
        match self.piece_to_pour(bench) {
            None => self.refuse(&Refusal::NoPiece),
            Some((piece, None)) => self.refuse(&Refusal::NoPlan(piece.id)),
            Some((piece, Some(standing))) => match standing.next_layer() {
                Some(layer) => self.open_pour(piece, layer, bench, now),
                None if self.page.is_some() => {
                    self.complain(&format!("piece {} is full; f finishes with it", piece.id))
                }
                None => self.complain(&format!("piece {} is full; p shows it, f there finishes with it", piece.id)),
            },
        }
    }

    fn open_pour(&mut self, piece: &BenchPiece, layer: &LayerPlan, bench: &Bench, now: Timestamp) -> Reaction {
        self.open(Form::Pour(PourForm::new(piece, layer, bench, now)))
    }

    /// The piece that waits for the layer of the alarm in big digits, else the one shown.
    fn piece_to_pour<'a>(&self, bench: &'a Bench) -> Option<Placed<'a>> {
        let alarm = bench.next_alarm().filter(|alarm| alarm.id.is_next_layer() && self.page.is_none());
        let on_top = |standing: &Standing| standing.laid.last().map(|top| top.batch);
        let waits = |batch| bench.pieces().find(|(_, standing)| standing.and_then(on_top) == Some(batch));
        alarm.and_then(|alarm| waits(alarm.id.batch()?)).or_else(|| self.piece(bench))
    }

    fn measure(&mut self, bench: &Bench) -> Reaction {
        match self.piece(bench) {
            None => self.refuse(&Refusal::NoPiece),
            Some((piece, Some(standing))) if standing.laid.is_empty() => self.refuse(&Refusal::NothingPoured(piece.id)),
            Some((piece, _)) => self.open(Form::Level(LevelForm::new(piece))),
        }
    }
}

/// `at`, moved by `by` and kept among `count`.
fn moved(at: usize, by: isize, count: usize) -> usize {
    at.saturating_add_signed(by).min(count.saturating_sub(1))
}
