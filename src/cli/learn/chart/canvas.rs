//! Hours over °C in characters: the hours on a logarithmic scale, on which a rule of temperature is nearly a straight line.

use crate::cli::problems::Drawing;
use crate::report::degree_ticks;

const COLUMNS: usize = 62;
const ROWS: usize = 13;
/// Of the hours on the left.
const LABELS: usize = 8;
/// Hours beyond these many rows' worth are cut off.
const AIR: f64 = 0.06;

/// What a curve is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Line {
    /// The early or the late edge of the band.
    Edge,
    Label,
    Shop,
}

pub(super) struct Canvas {
    cells: Vec<Vec<char>>,
    low_c: f64,
    high_c: f64,
    low_ln: f64,
    high_ln: f64,
    drawing: Drawing,
}

/// What the characters mean.
pub(super) const fn legend(drawing: Drawing) -> &'static str {
    match drawing {
        Drawing::Unicode => {
            "━ this shop, ┄ early and late, · the label; ┃ a look: not there yet below, there above (▲ not yet: later than \
             this, ▼ there: sooner than this, × likely a slip); all as if at the reference dose"
        }
        Drawing::Ascii => {
            "# this shop, - early and late, . the label; | a look: not there yet below, there above (^ not yet: later than \
             this, v there: sooner than this, x likely a slip); all as if at the reference dose"
        }
    }
}

impl Canvas {
    /// An empty one on which all of `celsius` and `hours` have their place.
    pub fn over(
        celsius: impl Iterator<Item = f64>,
        hours: impl Iterator<Item = f64>,
        drawing: Drawing,
    ) -> Option<Self> {
        let range = |values: &mut dyn Iterator<Item = f64>| {
            values.filter(|v| v.is_finite()).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
        };
        let (low_c, high_c) = range(&mut celsius.into_iter());
        let (low_ln, high_ln) = range(&mut hours.filter(|hours| *hours > 0.0).map(f64::ln));
        let air = AIR * (high_ln - low_ln).max(0.2);
        let cells = vec![vec![' '; COLUMNS]; ROWS];
        (low_c < high_c && low_ln <= high_ln).then_some(Self {
            cells,
            low_c,
            high_c,
            low_ln: low_ln - air,
            high_ln: high_ln + air,
            drawing,
        })
    }

    pub fn curve(&mut self, points: impl Iterator<Item = (f64, f64)>, line: Line) {
        let points: Vec<(f64, f64)> = points.collect();
        let sign = self.line(line);
        for column in 0..COLUMNS {
            let celsius = self.low_c + (self.high_c - self.low_c) * (column as f64 + 0.5) / COLUMNS as f64;
            let Some([a, b]) = points.array_windows().find(|[a, b]| (a.0..=b.0).contains(&celsius)) else { continue };
            let share = (celsius - a.0) / (b.0 - a.0);
            let ln = a.1.ln() + share * (b.1.ln() - a.1.ln());
            if let Some(row) = self.row(ln) {
                self.cells[row][column] = sign;
            }
        }
    }

    /// A look from where it was not there yet to where it was.
    pub fn span(&mut self, celsius: f64, after_h: Option<f64>, by_h: Option<f64>, slip: bool) {
        let share = (celsius - self.low_c) / (self.high_c - self.low_c);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the columns")]
        let column = (share * COLUMNS as f64).clamp(0.0, COLUMNS as f64 - 1.0) as usize;
        let row = |hours: f64| self.row(hours.ln());
        let (bar, up, down, wrong) =
            if self.drawing == Drawing::Unicode { ('┃', '▲', '▼', '×') } else { ('|', '^', 'v', 'x') };
        let (from, to, sign) = match (after_h.and_then(row), by_h.and_then(row)) {
            (Some(after), Some(by)) => (by.min(after), by.max(after), bar),
            (Some(after), None) => (after, after, up),
            (None, Some(by)) => (by, by, down),
            (None, None) => return,
        };
        for cells in &mut self.cells[from..=to] {
            cells[column] = if slip { wrong } else { sign };
        }
    }

    /// The picture with its axes.
    pub fn lines(self, hours_words: fn(f64) -> String) -> Vec<String> {
        let unicode = self.drawing == Drawing::Unicode;
        let (edge, corner, flat, tick) = if unicode { ('│', '└', '─', '┴') } else { ('|', '+', '-', '+') };
        let mut lines = Vec::new();
        for (row, cells) in self.cells.iter().enumerate() {
            let label = if row % 3 == 0 { hours_words(self.ln_at(row).exp()) } else { String::new() };
            let cells: String = cells.iter().collect();
            lines.push(format!("{label:>LABELS$} {edge}{}", cells.trim_end()));
        }
        let (mut axis, mut below) = (vec![flat; COLUMNS], String::new());
        for celsius in degree_ticks(self.low_c, self.high_c) {
            let share = (celsius - self.low_c) / (self.high_c - self.low_c);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of the columns")]
            let column = (share * (COLUMNS as f64 - 1.0)) as usize;
            axis[column.min(COLUMNS - 1)] = tick;
            below = format!("{below:<column$}{celsius:.0}");
        }
        lines.push(format!("{:LABELS$} {corner}{}", "", axis.into_iter().collect::<String>()));
        lines.push(format!("{:LABELS$}  {below} °C", ""));
        lines
    }

    fn line(&self, line: Line) -> char {
        match (line, self.drawing) {
            (Line::Edge, Drawing::Unicode) => '┄',
            (Line::Label, Drawing::Unicode) => '·',
            (Line::Shop, Drawing::Unicode) => '━',
            (Line::Edge, Drawing::Ascii) => '-',
            (Line::Label, Drawing::Ascii) => '.',
            (Line::Shop, Drawing::Ascii) => '#',
        }
    }

    fn ln_at(&self, row: usize) -> f64 {
        self.high_ln - (self.high_ln - self.low_ln) * (row as f64 + 0.5) / ROWS as f64
    }

    fn row(&self, ln: f64) -> Option<usize> {
        let down = (self.high_ln - ln) / (self.high_ln - self.low_ln) * ROWS as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be a row")]
        (0.0..ROWS as f64).contains(&down).then_some(down as usize)
    }
}
