//! What the commands on the notebook share: where it is, what time it is, and how a command becomes entries.

use super::problems::{Weight, tell};
use crate::bench::{BatchId, BenchPiece, Command, HeatBook, Log, PieceId, Refusal, Stored, decide, entry_words};
use crate::clock::{Clock, SystemClock};
use crate::folders::{Folders, NoHome, Shelf, Trouble, shelf};
use crate::material::{Catalogue, UnknownMaterial, UnknownStage};
use crate::notebook::{BEFORE_FIRST, Notebook, NotebookError, TransactError};
use crate::pour::BadStep;
use crate::settings::{BadSettings, Settings, load};
use crate::strict::typed_duration;
use crate::text::{PlainText, printable};
use crate::vigil::headless::VigilError;
use crate::when::{BadTime, parse_when};
use jiff::{Timestamp, tz::TimeZone};
use std::io::{self, Write};
use std::path::PathBuf;
use std::time::Duration;

/// Why a command could not do its work.
#[derive(Debug, thiserror::Error)]
pub(super) enum Failure {
    #[error(transparent)]
    NoHome(#[from] NoHome),
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    #[error(transparent)]
    Refused(#[from] Refusal),
    #[error(transparent)]
    Time(#[from] BadTime),
    #[error(transparent)]
    Stage(#[from] UnknownStage),
    #[error(transparent)]
    Material(#[from] UnknownMaterial),
    #[error(
        "nothing was worked out or started: your file '{path}' cannot be used ({trouble}). Mend it ('nightpour profiles check' says \
         where), or move it away"
    )]
    BadProfile { path: String, trouble: String },
    #[error("the piece file '{file}' cannot be used: {trouble}")]
    NoPieceFile { file: String, trouble: Trouble },
    #[error("'{file}' is not planned and nothing is written: {trouble}, shown above")]
    BadPiece { file: String, trouble: Trouble },
    #[error("your settings '{file}' cannot be used: {trouble}")]
    BadSettings { file: String, trouble: Trouble },
    #[error("'{0}' is no alarm here: give a batch's number, or number:stage as in '3:gel', or 'silence'")]
    NoAlarm(PlainText),
    #[error("'{0}' is no time with a temperature; write a time and °C, as in 23:00=17.5")]
    NoKnot(PlainText),
    #[error(
        "'{0}' would be more than a day and a half ahead: times follow each other, and past midnight the next day begins"
    )]
    KnotTooFar(PlainText),
    #[error("an alarm rests for {} at most; acknowledge it instead", typed_duration(*.0))]
    RestsTooLong(Duration),
    #[error("nothing of that rings; these do: {0}")]
    OthersRing(String),
    #[error(transparent)]
    Step(#[from] BadStep),
    #[error("'{0}' is no piece here; give its number, as the screen shows it")]
    NoPiece(PlainText),
    #[error("'{0}' is no batch here; give its number or its label as 'nightpour clocks' shows them")]
    NoBatch(PlainText),
    #[error(transparent)]
    Vigil(#[from] VigilError),
    #[error(transparent)]
    Screen(#[from] crate::tui::ScreenError),
    #[error(transparent)]
    Speed(#[from] crate::clock::BadSpeed),
    #[error("the output cannot be written ({0})")]
    Out(#[from] io::Error),
}

/// What every command on the notebook works with.
pub(super) struct Desk {
    pub folders: Folders,
    pub store: PathBuf,
    pub zone: TimeZone,
    pub now: Timestamp,
}

/// What a command has written, and the notebook with it.
pub(super) struct Written {
    pub log: Log,
    pub entries: Vec<Stored>,
    pub remarks: Vec<PlainText>,
}

impl Written {
    /// Says what was written, and what is odd about it.
    pub fn tell(&self, zone: &TimeZone, out: &mut impl Write) -> io::Result<()> {
        for stored in &self.entries {
            writeln!(out, "{}", entry_words(&stored.entry, &self.log, zone))?;
        }
        self.tell_remarks(out)
    }

    pub fn tell_remarks(&self, out: &mut impl Write) -> io::Result<()> {
        self.remarks.iter().try_for_each(|remark| writeln!(out, "! {remark}"))
    }
}

impl Desk {
    /// The desk of this process; `store` names another notebook than the usual one.
    pub fn open(store: Option<PathBuf>) -> Result<Self, NoHome> {
        let folders = Folders::from_environment()?;
        let store = store.unwrap_or_else(|| folders.notebook().to_owned());
        Ok(Self { folders, store, zone: TimeZone::system(), now: SystemClock.now() })
    }

    /// All materials, and the files of the user's that could not be used.
    pub fn shelf(&self) -> Shelf {
        shelf(&self.folders.profiles())
    }

    /// All materials; files that could not be used are told on standard error.
    pub fn catalogue(&self) -> Catalogue {
        tell_bad_files(self.shelf())
    }

    /// All materials, for a batch of the one somebody typed: that one is not taken from anywhere else where the user's
    /// own file of it is bad.
    pub fn catalogue_for(&self, typed: &str) -> Result<Catalogue, Failure> {
        let shelf = self.shelf();
        match shelf.bad_file_of(typed) {
            Some(bad) => Err(Failure::BadProfile { path: bad.path.clone(), trouble: bad.trouble.to_string() }),
            None => Ok(tell_bad_files(shelf)),
        }
    }

    /// The notebook, told how the machine's clock stands.
    pub fn notebook(&self) -> Result<Notebook, NotebookError> {
        let mut notebook = Notebook::open(&self.store)?;
        if let Some(shown) = SystemClock.uptime() {
            // Both read now: what was done since the program began has taken its time.
            notebook.settle_clock(SystemClock.now(), &shown)?;
        }
        Ok(notebook)
    }

    /// The user's settings.
    pub fn settings(&self) -> Result<Settings, BadSettings> {
        load(&self.folders.settings())
    }

    /// The same, or the usual ones where they cannot be used: what is wrong is shown on standard error.
    pub fn settings_or_usual(&self) -> Settings {
        self.settings_or_fail().unwrap_or_else(|failure| {
            eprintln!("nightpour: {failure}; the usual ones hold");
            Settings::default()
        })
    }

    /// The same, where there is no going on without them: what is wrong is shown on standard error.
    pub fn settings_or_fail(&self) -> Result<Settings, Failure> {
        self.settings().map_err(|bad| {
            tell(&bad.file, &bad.source, bad.problems(), Weight::Problem);
            Failure::BadSettings { file: bad.file, trouble: bad.trouble }
        })
    }

    /// Every entry of the notebook in its place; what cannot be read is passed over, and told on standard error.
    ///
    /// Looking makes no notebook: where there is none, that is told, and there are no entries.
    pub fn entries(&self) -> Result<Vec<Stored>, NotebookError> {
        if !self.store.exists() {
            let store = printable(&self.store.display().to_string());
            eprintln!("nightpour: there is no notebook at '{store}' yet; the first entry makes it");
            return Ok(Vec::new());
        }
        let replay = self.notebook()?.read_after(BEFORE_FIRST)?;
        for unreadable in &replay.unreadable {
            eprintln!("nightpour: {unreadable}");
        }
        Ok(replay.in_order())
    }

    /// The moment a user gave, or now.
    pub fn time(&self, given: Option<&str>) -> Result<Timestamp, BadTime> {
        given.map_or(Ok(self.now), |text| parse_when(text, self.now, &self.zone))
    }

    /// Decides on a command against the newest state of the notebook, and writes it, all in one step: nobody else can
    /// write in between, and nothing is written when it is refused.
    pub fn write(
        &self,
        catalogue: &Catalogue,
        command: impl FnOnce(&Log) -> Result<Command, Failure>,
    ) -> Result<Written, Failure> {
        let mut notebook = self.notebook()?;
        let mut remarks = Vec::new();
        let done = notebook.transact(BEFORE_FIRST, self.now, |news| {
            let log = Log::replay(news.clone().in_order());
            let decision = decide(&log, catalogue, &HeatBook::default(), command(&log)?, self.now)?;
            remarks = decision.remarks;
            Ok::<_, Failure>(decision.entries)
        });
        let done = match done {
            Ok(done) => done,
            Err(TransactError::Notebook(error)) => return Err(error.into()),
            Err(TransactError::Refused(failure)) => return Err(failure),
        };
        let mut log = Log::replay(done.news.in_order());
        for stored in &done.written {
            log.apply(stored.clone());
        }
        Ok(Written { log, entries: done.written, remarks })
    }
}

fn tell_bad_files(shelf: Shelf) -> Catalogue {
    for bad in &shelf.bad {
        eprintln!("nightpour: {}", bad.words());
    }
    shelf.catalogue
}

/// The batch a user means: `3`, `#3`, or the label of one that runs.
pub(super) fn batch_named(log: &Log, given: &str) -> Result<BatchId, Failure> {
    let given = given.trim();
    if let Ok(number) = given.trim_start_matches('#').parse() {
        return Ok(BatchId(number));
    }
    if given.is_empty() {
        return Err(Failure::NoBatch(PlainText::default()));
    }
    let mut named = log.running().filter(|batch| batch.mix.label.as_str().eq_ignore_ascii_case(given));
    match (named.next(), named.next()) {
        (Some(only), None) => Ok(only.id),
        (Some(first), Some(second)) => Err(Refusal::WhichBatch(vec![first.id, second.id]).into()),
        (None, _) => Err(Failure::NoBatch(PlainText::new(given))),
    }
}

/// The piece a user means: `2`, `#2`, or without a name the only one on the bench.
pub(super) fn piece_named<'l>(log: &'l Log, given: Option<&str>) -> Result<&'l BenchPiece, Failure> {
    let number = given.map(|given| {
        let number = given.trim().trim_start_matches('#').parse().map(PieceId);
        number.map_err(|_| Failure::NoPiece(PlainText::new(given)))
    });
    Ok(log.piece_on_bench(number.transpose()?)?)
}
