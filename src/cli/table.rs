//! The table of the layers in columns of text.

use super::page::WIDTH;
use crate::report::{Column, Table};
use unicode_width::UnicodeWidthStr;

/// Between neighbouring columns, and in place of it where one group ends and another begins.
#[derive(Clone, Copy)]
struct Gaps {
    within: &'static str,
    between: &'static str,
}

const WIDE: Gaps = Gaps { within: "  ", between: "  | " };
const NARROW: Gaps = Gaps { within: " ", between: " | " };

/// The lines of `table`, at most 80 columns wide: first with wide gaps, then with narrow ones, and where even these do not
/// fit in several tables below each other, each with the numbers of the layers.
pub(super) fn lines(table: &Table) -> Vec<String> {
    let columns: Vec<&Column> = table.columns.iter().collect();
    if total(&columns, WIDE) <= WIDTH {
        return one(&columns, WIDE);
    }
    let mut lines: Vec<String> = Vec::new();
    let Some((number, mut rest)) = columns.split_first() else { return lines };
    while !rest.is_empty() {
        let with_number = |taken: usize| [&[*number], &rest[..taken]].concat();
        let fits = (1..=rest.len()).rev().find(|taken| total(&with_number(*taken), NARROW) <= WIDTH).unwrap_or(1);
        if !lines.is_empty() {
            lines.push(String::new());
        }
        lines.extend(one(&with_number(fits), NARROW));
        rest = &rest[fits..];
    }
    lines
}

fn one(columns: &[&Column], gaps: Gaps) -> Vec<String> {
    let rows = columns.first().map_or(0, |column| column.cells.len());
    let mut lines = vec![groups(columns, gaps)];
    lines.push(row(columns, gaps, |column| column.head));
    lines.push(row(columns, gaps, |column| column.unit));
    lines.extend((0..rows).map(|at| row(columns, gaps, |column| column.cells.get(at).map_or("", String::as_str))));
    lines.retain(|line| !line.trim().is_empty());
    lines
}

fn row<'c>(columns: &[&'c Column], gaps: Gaps, cell: impl Fn(&'c Column) -> &'c str) -> String {
    let mut line = String::new();
    for (place, column) in columns.iter().enumerate() {
        line.push_str(gap(columns, place, gaps));
        let cell = cell(column);
        line.push_str(&" ".repeat(width(column).saturating_sub(cell.width())));
        line.push_str(cell);
    }
    line
}

/// The names of the groups, each over the first of its columns.
fn groups(columns: &[&Column], gaps: Gaps) -> String {
    let mut line = String::new();
    let mut at = 0;
    for (place, column) in columns.iter().enumerate() {
        let gap = gap(columns, place, gaps);
        let begins = place == 0 || columns[place - 1].group != column.group;
        if begins && !column.group.is_empty() {
            line.push_str(&" ".repeat(at.max(line.width()) - line.width()));
            line.push_str(gap);
            line.push_str(column.group);
        }
        at += gap.width() + width(column);
    }
    line
}

fn gap(columns: &[&Column], place: usize, gaps: Gaps) -> &'static str {
    match place.checked_sub(1).map(|before| columns[before].group == columns[place].group) {
        None => "",
        Some(true) => gaps.within,
        Some(false) => gaps.between,
    }
}

fn width(column: &Column) -> usize {
    [column.head, column.unit]
        .into_iter()
        .chain(column.cells.iter().map(String::as_str))
        .map(str::width)
        .max()
        .unwrap_or(0)
}

fn total(columns: &[&Column], gaps: Gaps) -> usize {
    (0..columns.len()).map(|place| gap(columns, place, gaps).width() + width(columns[place])).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(group: &'static str, head: &'static str, unit: &'static str, cells: [&str; 2]) -> Column {
        Column { group, head, unit, cells: cells.map(str::to_owned).to_vec() }
    }

    #[test]
    fn groups_stand_apart_and_figures_are_aligned() {
        let columns = vec![
            column("", "layer", "", ["1", "2"]),
            column("by weight", "A", "g", ["100.5", "9.0"]),
            column("by weight", "B", "g", ["97.2", "8.7"]),
            column("by volume", "A", "mL", ["86.0", "7.7"]),
        ];
        insta::assert_snapshot!(lines(&Table { columns }).join("\n"), @r"
               | by weight    | by volume
        layer  |     A     B  |    A
               |     g     g  |   mL
            1  | 100.5  97.2  | 86.0
            2  |   9.0   8.7  |  7.7
        ");
    }

    #[test]
    fn a_table_too_wide_for_the_page_goes_on_below_itself() {
        let wide = "1234567.1234";
        let columns = std::iter::once(column("", "layer", "", ["1", "2"]))
            .chain(std::iter::repeat_n(column("", "weigh", "g", [wide, wide]), 9))
            .collect();
        let lines = lines(&Table { columns });
        assert!(lines.iter().all(|line| line.width() <= WIDTH), "{lines:?}");
        assert_eq!(lines.iter().map(|line| line.matches(wide).count()).sum::<usize>(), 18);
        assert_eq!(lines.iter().filter(|line| line.contains("layer")).count(), 2);
    }
}
