//! A temperature over time, drawn in characters.

use crate::cli::problems::Drawing;
use crate::report::{degree_ticks, hour_ticks, hours_words};

/// Of the picture inside its axes, in characters.
const COLUMNS: usize = 64;
const ROWS: usize = 12;
/// Of the figures on the left.
const LABELS: usize = 6;
/// Dots of one character across and down; without Unicode a character is one dot.
const BRAILLE: [usize; 2] = [2, 4];
/// First of the braille characters; each dot is one bit (Unicode block U+2800).
const NO_DOTS: u32 = 0x2800;
const DOT_BITS: [[u32; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
/// A line further than this above the picture, as a share of its height, does not have it stretched.
const NEAR: f64 = 0.5;

/// A curve with a line that it should not cross.
pub(super) struct Chart<'a> {
    /// Hours and °C; the hours rise.
    pub points: &'a [(f64, f64)],
    pub limit_c: f64,
}

/// What the axes show.
struct Axes {
    end_h: f64,
    low_c: f64,
    high_c: f64,
}

impl Chart<'_> {
    /// The picture, line by line; nothing where there is no curve.
    pub fn lines(&self, drawing: Drawing) -> Vec<String> {
        let Some(axes) = self.axes() else { return Vec::new() };
        let mut rows = self.limit(&axes, drawing);
        let dots = match drawing {
            Drawing::Unicode => BRAILLE,
            Drawing::Ascii => [1, 1],
        };
        for (row, shown) in self.plotted(&axes, dots).into_iter().zip(&mut rows) {
            for (bits, cell) in row.into_iter().zip(shown) {
                match drawing {
                    Drawing::Unicode if bits > 0 => *cell = char::from_u32(NO_DOTS + bits).unwrap_or('*'),
                    Drawing::Ascii if bits > 0 => *cell = '*',
                    Drawing::Unicode | Drawing::Ascii => {}
                }
            }
        }
        let labels = axes.row_labels();
        let edge = if drawing == Drawing::Unicode { '│' } else { '|' };
        let body = rows.iter().zip(&labels).map(|(row, label)| {
            let cells: String = row.iter().collect();
            format!("{label:>LABELS$} {edge}{cells}").trim_end().to_owned()
        });
        body.chain(axes.below(drawing)).collect()
    }

    fn axes(&self) -> Option<Axes> {
        let (&(_, first_c), &(last_h, _)) = (self.points.first()?, self.points.last()?);
        let fold = |f: fn(f64, f64) -> f64| self.points.iter().map(|point| point.1).fold(first_c, f);
        let (coldest, hottest) = (fold(f64::min), fold(f64::max));
        let top = if self.limit_c < hottest + NEAR * (hottest - coldest) { hottest.max(self.limit_c) } else { hottest };
        let low_c = (coldest / 10.0).floor() * 10.0;
        let high_c = ((top / 10.0).floor() * 10.0 + 10.0).max(low_c + 20.0);
        (last_h > 0.0).then_some(Axes { end_h: last_h, low_c, high_c })
    }

    /// Empty rows with the limit drawn in, where it lies in the picture.
    fn limit(&self, axes: &Axes, drawing: Drawing) -> Vec<Vec<char>> {
        let mut rows = vec![vec![' '; COLUMNS]; ROWS];
        let dash = if drawing == Drawing::Unicode { '╌' } else { '-' };
        if let Some(row) = axes.dot(self.limit_c, ROWS).and_then(|row| rows.get_mut(row)) {
            row.fill(dash);
        }
        rows
    }

    /// The dots that the curve takes in each character, as bits.
    fn plotted(&self, axes: &Axes, [across, down]: [usize; 2]) -> Vec<Vec<u32>> {
        let mut bits = vec![vec![0; COLUMNS]; ROWS];
        let width = COLUMNS * across;
        let mut before = None;
        for column in 0..width {
            let at_h = axes.end_h * (column as f64 + 0.5) / width as f64;
            let Some(dot) = axes.dot(self.at(at_h), ROWS * down) else { continue };
            // From the column before straight up or down, so that the curve has no gaps.
            let from = before
                .map_or(dot, |before: usize| if before < dot { before + 1 } else { before.saturating_sub(1).max(dot) });
            for dot in from.min(dot)..=from.max(dot) {
                bits[dot / down][column / across] |= DOT_BITS[column % across][dot % down];
            }
            before = Some(dot);
        }
        bits
    }

    /// Straight between the points.
    fn at(&self, at_h: f64) -> f64 {
        let after = self.points.partition_point(|point| point.0 <= at_h).clamp(1, self.points.len().max(2) - 1);
        match (self.points.get(after - 1), self.points.get(after)) {
            (Some(a), Some(b)) if b.0 > a.0 => a.1 + (b.1 - a.1) * ((at_h - a.0) / (b.0 - a.0)).clamp(0.0, 1.0),
            (Some(a), _) => a.1,
            (None, _) => f64::NAN,
        }
    }
}

impl Axes {
    /// The row of dots for a temperature, from the top; `None` outside the picture.
    fn dot(&self, c: f64, dots: usize) -> Option<usize> {
        let down = (self.high_c - c) / (self.high_c - self.low_c) * dots as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be a row")]
        (0.0..dots as f64).contains(&down).then_some(down as usize)
    }

    /// Round temperatures beside the rows they lie in, the unit beside the first.
    fn row_labels(&self) -> Vec<String> {
        let mut labels = vec![String::new(); ROWS];
        for c in degree_ticks(self.low_c, self.high_c) {
            if let Some(label) = self.dot(c, ROWS).and_then(|row| labels.get_mut(row)) {
                *label = format!("{c:.0}");
            }
        }
        if let Some(first) = labels.first_mut() {
            format!("{first} °C").trim().clone_into(first);
        }
        labels
    }

    /// The time axis with its hours.
    fn below(&self, drawing: Drawing) -> Vec<String> {
        let (corner, line, tick) = if drawing == Drawing::Unicode { ('└', '─', '┴') } else { ('+', '-', '+') };
        let mut axis = vec![line; COLUMNS];
        let mut words = String::new();
        for at_h in hour_ticks(self.end_h, 6.0) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the width")]
            let column = (at_h / self.end_h * (COLUMNS as f64 - 1.0)).round() as usize;
            axis[column.min(COLUMNS - 1)] = tick;
            let label = hours_words(at_h);
            if column + label.len() <= COLUMNS && (column > words.len() || words.is_empty()) {
                words = format!("{words:<column$}{label}");
            }
        }
        let axis: String = axis.into_iter().collect();
        vec![format!("{:LABELS$} {corner}{axis}", ""), format!("{:LABELS$}  {words} h", "")]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use unicode_width::UnicodeWidthStr;

    const HUMP: [(f64, f64); 5] = [(0.0, 20.0), (0.5, 30.0), (1.0, 78.0), (2.0, 45.0), (6.0, 21.0)];

    #[test]
    fn without_unicode_it_is_drawn_in_ascii() {
        let lines = Chart { points: &HUMP, limit_c: 90.0 }.lines(Drawing::Ascii);
        assert!(lines.iter().all(|line| line.replace("°C", "C").is_ascii()), "{lines:#?}");
        insta::assert_snapshot!(lines.join("\n"));
    }

    #[test]
    fn with_unicode_it_is_drawn_in_braille() {
        insta::assert_snapshot!(Chart { points: &HUMP, limit_c: 200.0 }.lines(Drawing::Unicode).join("\n"));
    }

    #[test]
    fn it_fits_the_page_and_every_column_has_its_dot() {
        for limit_c in [30.0, 78.0, 79.0, 500.0] {
            for drawing in [Drawing::Ascii, Drawing::Unicode] {
                let lines = Chart { points: &HUMP, limit_c }.lines(drawing);
                assert!(lines.iter().all(|line| line.width() <= 80), "{lines:#?}");
                assert_eq!(lines.len(), ROWS + 2);
            }
        }
        let axes = Chart { points: &HUMP, limit_c: 90.0 }.axes().unwrap();
        let plotted = Chart { points: &HUMP, limit_c: 90.0 }.plotted(&axes, BRAILLE);
        assert!((0..COLUMNS).all(|column| plotted.iter().any(|row| row[column] > 0)));
    }

    #[test]
    fn without_a_curve_there_is_no_picture() {
        assert!(Chart { points: &[], limit_c: 90.0 }.lines(Drawing::Ascii).is_empty());
        assert!(Chart { points: &[(0.0, 20.0)], limit_c: 90.0 }.lines(Drawing::Unicode).is_empty());
    }
}
