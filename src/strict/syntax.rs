//! Where the file is no TOML at all.

use super::amount;
use super::problem::Problem;

/// A file with more errors is no TOML at all, and the rest would only say so again.
const MOST_ERRORS: usize = 100;

/// One problem for each line the parser could not make sense of, in the order of the file, and `hidden` among them.
pub(super) fn problems(source: &str, errors: &[toml::de::Error], hidden: Vec<Problem>) -> Vec<Problem> {
    let mut errors: Vec<&toml::de::Error> = errors.iter().collect();
    errors.sort_by_key(|error| error.span().map_or(0, |span| span.start));
    only_the_first_swallowed(&mut errors);
    errors.truncate(MOST_ERRORS);
    let hidden = hidden.into_iter().map(|problem| (lines_before(source, problem.span.start), problem));
    let mut found: Vec<_> = hidden.chain(errors.into_iter().map(|error| problem(source, error))).collect();
    found.sort_by_key(|(line, _)| *line);
    // The parser recovers and stumbles again over the same line, or stumbled over what is hidden there: the first word
    // on each line is the true one.
    found.dedup_by_key(|(line, _)| *line);
    found.into_iter().map(|(_, problem)| problem).collect()
}

/// A list that is never closed takes all the lines below it for its values: only the first of them says where it is.
fn only_the_first_swallowed(errors: &mut Vec<&toml::de::Error>) {
    let unclosed = |message: &str| {
        message.starts_with("unclosed inline table")
            || message.starts_with("unclosed array") && !message.starts_with("unclosed array table")
    };
    if errors.iter().any(|error| unclosed(error.message()))
        && let Some(first) = errors.iter().position(|error| error.message().starts_with("missing comma between"))
    {
        errors.truncate(first + 1);
    }
}

fn problem(source: &str, error: &toml::de::Error) -> (usize, Problem) {
    let span = error.span().unwrap_or(0..0);
    let before = source.get(..span.start).unwrap_or(source);
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let line = source.get(line_start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    let value = line.trim();
    let value = source.get(span.clone()).filter(|slice| !slice.trim().is_empty()).unwrap_or(value);
    let (what, remedy) = words(error.message(), line, value);
    (lines_before(source, span.start), Problem::new(span, &what, Some(value), &remedy))
}

fn lines_before(source: &str, at: usize) -> usize {
    source.get(..at).unwrap_or(source).matches('\n').count()
}

fn words(message: &str, line: &str, value: &str) -> (String, String) {
    let key = line.split('=').next().unwrap_or_default().trim();
    if message.contains("duplicate key") {
        let remedy = if line.trim_start().starts_with('[') {
            format!("keep one of the two; where several may stand, each has double brackets, as in [[{value}]]")
        } else {
            "keep one of the two and take the other out".to_owned()
        };
        return (format!("'{value}' is written twice"), remedy);
    }
    if let Some(truth) = truth(value) {
        let remedy = format!("write {key} = {truth}, or {key} = \"{value}\" where it is a text");
        return ("this is neither true nor false, nor text in double quotes".to_owned(), remedy);
    }
    if message.contains("must be quoted") {
        return unquoted(key, line, value);
    }
    if line.split_once('=').is_some_and(|(_, figure)| decimal_comma(figure)) {
        let remedy = format!("write a point: {}", line.trim().replace(',', "."));
        return ("the figure has a decimal comma".to_owned(), remedy);
    }
    let remedy = if message.contains("expected `=`") {
        "write the line as key = value"
    } else if message.contains("string") {
        "close the text with the same quote it begins with, on the same line"
    } else if message.contains("unclosed") || message.contains("array") || message.contains("table") {
        "close every bracket and brace, and put commas between the values"
    } else {
        "write one key = value on a line; text in double quotes, figures bare"
    };
    (format!("this line is no TOML ({message})"), remedy.to_owned())
}

/// `after = 45m`, `floor_c = 55F`, `from = label`, or nothing at all behind the `=`.
fn unquoted(key: &str, line: &str, value: &str) -> (String, String) {
    if value.contains('=') || line.trim_end().ends_with('=') {
        return (format!("'{key}' has no value"), format!("write a value behind the =, or take '{key}' out"));
    }
    let meant = amount::of_key(key).zip(amount::split(value)).and_then(|(unit, (figure, word))| {
        Some((unit.symbol, amount::typed(amount::convert_word(figure, &word, unit)?)))
    });
    match meant {
        Some((symbol, figure)) => {
            (format!("'{key}' takes a bare figure: the key already says {symbol}"), format!("write {key} = {figure}"))
        }
        None => ("text stands in double quotes".to_owned(), format!("write {key} = \"{value}\"")),
    }
}

/// What a word means that people write for true and false.
fn truth(word: &str) -> Option<bool> {
    match word.to_lowercase().as_str() {
        "yes" | "on" | "true" => Some(true),
        "no" | "off" | "false" => Some(false),
        _ => None,
    }
}

fn decimal_comma(figure: &str) -> bool {
    let figure = figure.trim();
    figure.split_once(',').is_some_and(|(whole, rest)| {
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        digits(whole.trim_start_matches('-')) && digits(rest)
    })
}
