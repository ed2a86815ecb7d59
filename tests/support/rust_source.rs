//! Just enough of Rust's grammar to tell its code from its comments, texts and tests.

/// The code of `source`: comments and the insides of texts gone, `#[cfg(test)]` items gone, `use` trees written out.
pub fn code_of(source: &str) -> String {
    with_uses_written_out(&without_tests(&without_comments_and_texts(source)))
}

fn without_comments_and_texts(source: &str) -> String {
    let mut code = String::with_capacity(source.len());
    let mut rest = source;
    while let Some(first) = rest.chars().next() {
        let skipped = comment(rest).or_else(|| text(rest, code.chars().next_back())).or_else(|| character(rest));
        code.push(if skipped.is_some() { ' ' } else { first });
        rest = &rest[skipped.unwrap_or(first.len_utf8())..];
    }
    code
}

/// The length of the comment `rest` begins with.
fn comment(rest: &str) -> Option<usize> {
    if rest.starts_with("//") {
        return Some(rest.find('\n').unwrap_or(rest.len()));
    }
    if !rest.starts_with("/*") {
        return None;
    }
    let (mut depth, mut at) = (0, 0);
    while at < rest.len() {
        let here = &rest[at..];
        if here.starts_with("/*") {
            (depth, at) = (depth + 1, at + 2);
        } else if here.starts_with("*/") {
            (depth, at) = (depth - 1, at + 2);
            if depth == 0 {
                return Some(at);
            }
        } else {
            at += here.chars().next().map_or(1, char::len_utf8);
        }
    }
    Some(rest.len())
}

/// The length of the text, raw or not, `rest` begins with.
fn text(rest: &str, before: Option<char>) -> Option<usize> {
    if rest.starts_with('"') {
        return Some(escaped(rest, '"'));
    }
    if before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
        return None;
    }
    let hashes = rest.strip_prefix('r')?.bytes().take_while(|b| *b == b'#').count();
    let open = 1 + hashes;
    if !rest[open..].starts_with('"') {
        return None;
    }
    let end = format!("\"{}", "#".repeat(hashes));
    Some(rest[open + 1..].find(&end).map_or(rest.len(), |at| open + 1 + at + end.len()))
}

/// The length of the character `rest` begins with; a lifetime is none.
fn character(rest: &str) -> Option<usize> {
    let inside = rest.strip_prefix('\'')?;
    if inside.starts_with('\\') {
        return Some(escaped(rest, '\''));
    }
    let length = 1 + inside.chars().next()?.len_utf8();
    rest[length..].starts_with('\'').then_some(length + 1)
}

/// The length up to the closing `quote`, the opening one included.
fn escaped(rest: &str, quote: char) -> usize {
    let mut after_backslash = false;
    for (at, c) in rest.char_indices().skip(1) {
        if c == quote && !after_backslash {
            return at + c.len_utf8();
        }
        after_backslash = c == '\\' && !after_backslash;
    }
    rest.len()
}

/// Cuts each item under `#[cfg(test)]`: to its semicolon, or to the brace that closes it.
fn without_tests(code: &str) -> String {
    const MARK: &str = "#[cfg(test)]";
    let mut kept = String::with_capacity(code.len());
    let mut rest = code;
    while let Some(at) = rest.find(MARK) {
        kept.push_str(&rest[..at]);
        let item = &rest[at + MARK.len()..];
        rest = &item[item_length(item)..];
    }
    kept + rest
}

fn item_length(item: &str) -> usize {
    let mut depth = 0;
    for (at, c) in item.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 1 => return at + 1,
            '}' => depth -= 1,
            ';' if depth == 0 => return at + 1,
            _ => {}
        }
    }
    item.len()
}

/// Adds, for each `use a::{b, c::{d, e}};`, the lines `a::b`, `a::c::d` and `a::c::e`.
fn with_uses_written_out(code: &str) -> String {
    let mut paths = Vec::new();
    for (at, _) in code.match_indices("use ") {
        if let Some(end) = code[at..].find(';') {
            write_out("", code[at + 4..at + end].trim(), &mut paths);
        }
    }
    format!("{code}\n{}\n", paths.join("\n"))
}

fn write_out(prefix: &str, tree: &str, paths: &mut Vec<String>) {
    match tree.find('{') {
        Some(open) if tree.ends_with('}') => {
            let prefix = format!("{prefix}{}", tree[..open].trim());
            for branch in branches(&tree[open + 1..tree.len() - 1]) {
                write_out(&prefix, branch.trim(), paths);
            }
        }
        _ => paths.push(format!("{prefix}{tree}")),
    }
}

/// Splits at the commas that are in no braces.
fn branches(list: &str) -> Vec<&str> {
    let mut depth = 0;
    list.split(|c| {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        c == ',' && depth == 0
    })
    .collect()
}
