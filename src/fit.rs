//! Text fitted to a terminal's columns; wide characters count as two.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// `text` in lines of at most `width` columns, broken between words; a longer word keeps its own line.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.width() + 1 + word.width() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// `text` in lines of at most `width` columns behind `lead`, which the further lines replace by blanks; a word that is
/// wider than a line is broken.
pub fn hanging(lead: &str, text: &str, width: usize) -> Vec<String> {
    let room = width.saturating_sub(lead.width()).max(1);
    let lines = wrapped(text, room).into_iter().flat_map(|line| broken(&line, room));
    let blanks = " ".repeat(lead.width());
    lines.enumerate().map(|(place, line)| format!("{}{line}", if place == 0 { lead } else { &blanks })).collect()
}

/// `line` in pieces of at most `width` columns; a character that is wider keeps its own piece.
fn broken(line: &str, width: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for c in line.chars() {
        match pieces.last_mut() {
            Some(piece) if piece.is_empty() || piece.width() + c.width().unwrap_or(0) <= width => piece.push(c),
            _ => pieces.push(c.into()),
        }
    }
    pieces
}

/// `text` filled with blanks to `width` columns; wide characters count as two.
pub fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}

/// `text` cut to `width` columns, with a mark where something is missing.
pub fn clipped(text: &str, width: usize) -> String {
    if text.width() <= width {
        return text.to_owned();
    }
    if width == 0 {
        return String::new();
    }
    let mut room = width.saturating_sub(1);
    let kept = text.chars().take_while(|c| {
        let fits = c.width().unwrap_or(0) <= room;
        room = room.saturating_sub(c.width().unwrap_or(0));
        fits
    });
    kept.chain(['…']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_fit_and_nothing_is_lost() {
        let lines = wrapped("one two  three fourteen", 9);
        assert_eq!(lines, ["one two", "three", "fourteen"]);
        assert!(wrapped("", 10).is_empty());
    }

    #[test]
    fn clipping_counts_columns() {
        assert_eq!(clipped("pond", 4), "pond");
        assert_eq!(clipped("ponds", 4), "pon…");
        assert_eq!(clipped("樹脂樹脂", 4), "樹…");
    }

    #[test]
    fn further_lines_hang_behind_the_first_and_long_words_are_broken() {
        assert_eq!(hanging("- ", "one two three", 7), ["- one", "  two", "  three"]);
        assert_eq!(hanging("- ", "dry seedheads", 8), ["- dry", "  seedhe", "  ads"]);
        assert!(hanging("- ", "", 8).is_empty());
    }

    proptest::proptest! {
        #[test]
        fn never_wider_than_asked(text in "\\PC*", width in 0usize..30) {
            proptest::prop_assert!(clipped(&text, width).width() <= width);
            proptest::prop_assert!(hanging("! ", &text, width + 4).iter().all(|line| line.width() <= width + 4));
        }
    }

    #[test]
    fn padding_counts_columns() {
        assert_eq!(padded("°C", 4), "°C  ");
        assert_eq!(padded("樹脂", 5), "樹脂 ");
    }
}
