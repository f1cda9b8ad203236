//! What is wrong with a file's text, as a value: the parser's message, its place, and the known key that was meant.

use super::issue::{Issue, IssueKind, ValueKind};
use super::near_word::nearest;

/// What the parser says that a mark must be.
pub(super) const ONE_MARK: &str = "one mark";

/// A file's text as its tables.
pub(super) fn parsed<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, Issue> {
    toml::from_str(text).map_err(|e| {
        let at = e.span().map(|s| s.start);
        if let Some((at, table)) = at.and_then(|at| one_bracket(text, at)) {
            return Issue {
                place: line_and_column(text, at),
                kind: IssueKind::OneBracket { table },
            };
        }
        let place = at.map_or_else(String::new, |at| line_and_column(text, at));
        Issue { place, kind: toml_fault(e.message(), text, at.unwrap_or(0)) }
    })
}

/// `line 3, column 7` of a byte offset.
fn line_and_column(text: &str, offset: usize) -> String {
    let before = text.get(..offset).unwrap_or(text);
    let n = before.matches('\n').count() + 1;
    let k = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
    format!("line {n}, column {k}")
}

/// Tables of which a file may have several: they have two brackets.
const LISTED: [&str; 6] = ["material", "cutting-force", "bit", "stock", "drawing", "part"];

/// The name in a line such as `[stock]` or `[[stock]]`, with the number of brackets.
fn header(line: &str) -> Option<(&str, usize)> {
    let line = line.split('#').next()?.trim();
    let name = line.trim_start_matches('[');
    let brackets = line.len() - name.len();
    let name = name.strip_suffix(&"]".repeat(brackets))?.trim();
    ((1..=2).contains(&brackets) && LISTED.contains(&name)).then_some((name, brackets))
}

/// A table's line with one bracket too few, and its name, where the fault at `at` is in the head of a table of that name.
fn one_bracket(text: &str, at: usize) -> Option<(usize, String)> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
    let (name, brackets) = header(text.get(start..)?.lines().next()?)?;
    if brackets == 1 {
        return Some((start, name.into()));
    }
    // Where the other tables of that name came first, the parser refuses this one.
    let mut from = 0;
    for line in text.get(..start)?.split_inclusive('\n') {
        if header(line) == Some((name, 1)) {
            return Some((from, name.into()));
        }
        from += line.len();
    }
    None
}

/// The parser's message as a value; `at` is where it stands in the text.
fn toml_fault(message: &str, text: &str, at: usize) -> IssueKind {
    let quoted = |text: &str| -> Vec<String> {
        text.split('`').skip(1).step_by(2).map(String::from).collect()
    };
    let before = text.get(..at).unwrap_or("").trim_end();
    // The parser points at the table where it refuses a list in it.
    let key = before.strip_suffix('=').map_or("", |b| last_word(b.trim_end())).to_string();
    if let Some((key, rest)) =
        message.strip_prefix("unknown field `").and_then(|rest| rest.split_once('`'))
    {
        let known = quoted(rest);
        let near = nearest(key, known.iter().map(String::as_str)).map(String::from);
        return IssueKind::UnknownKey { key: key.into(), near, known };
    }
    if let Some(rest) = message.strip_prefix("missing field `") {
        return IssueKind::MissingKey { key: rest.trim_end_matches('`').into() };
    }
    if let Some((found, words)) =
        message.strip_prefix("unknown variant ").and_then(|m| m.split_once(", expected "))
    {
        let (found, wanted) = (found.replace('`', "\""), ValueKind::Word(quoted(words)));
        return IssueKind::WrongKind { key, found, wanted };
    }
    let invalid =
        message.strip_prefix("invalid type: ").or(message.strip_prefix("invalid value: "));
    if let Some((found, wanted)) = invalid.and_then(|m| m.split_once(", expected ")) {
        if (found, wanted) == ("sequence", ONE_MARK) {
            return IssueKind::SeveralMarks;
        }
        return IssueKind::WrongKind { key, found: found.into(), wanted: wanted_by(wanted) };
    }
    match unquoted(text, at) {
        Some((key, written)) => IssueKind::Unquoted { key, written },
        None => IssueKind::Toml(message.into()),
    }
}

/// The word at the end of a text.
fn last_word(text: &str) -> &str {
    let part = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
    text.rsplit(|c: char| !part(c)).next().unwrap_or("")
}

/// What a value of one of the program's own types is called in a file.
fn wanted_by(kind: &str) -> ValueKind {
    match kind {
        "usize" | "u8" | "u16" | "u32" | "u64" | "u128" => ValueKind::Count,
        "f64" | "f32" | "i64" => ValueKind::Number,
        "a string" => ValueKind::Text,
        "a boolean" => ValueKind::YesNo,
        "a sequence" => ValueKind::List,
        "a map" | ONE_MARK => ValueKind::Table,
        other if other.starts_with("struct ") => ValueKind::Table,
        other => ValueKind::Other(other.into()),
    }
}

/// Key and value of the line at `at`, if the value is a text without quotation marks, such as `1/8in`.
fn unquoted(text: &str, at: usize) -> Option<(String, String)> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
    let line = text.get(start..)?.lines().next()?;
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    let plain = |c: char| c.is_alphanumeric() || " ./-\"″".contains(c);
    let begins = value.chars().next().is_some_and(|c| c.is_alphanumeric() || c == '.');
    let written = value.trim_end_matches(['"', '″']);
    let good = begins && value.chars().all(plain) && written.parse::<f64>().is_err();
    good.then(|| (last_word(key.trim_end()).into(), value.into()))
}
