//! Markup: escaped text, numbers, path data, unique ids.

use crate::geometry::{Point, Ring};
use crate::units::trimmed;
use std::collections::BTreeSet;
use std::fmt::Write;

/// Text that is safe inside XML and HTML, in content and in quoted attributes.
///
/// Characters that XML 1.0 (section 2.2) allows nowhere become spaces.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// A sentence, escaped, for HTML: what stands between backticks, as on a terminal, is set as code.
pub fn prose(text: &str) -> String {
    let pieces: Vec<&str> = text.split('`').collect();
    if pieces.len().is_multiple_of(2) {
        return escape(text);
    }
    let one = |(i, piece): (usize, &&str)| match i % 2 {
        1 => format!("<code>{}</code>", escape(piece)),
        _ => escape(piece),
    };
    pieces.iter().enumerate().map(one).collect()
}

/// A length or coordinate in mm, to 0.1 µm; 0 if it is not a finite number.
pub fn number(mm: f64) -> String {
    if mm.is_finite() { trimmed(mm, 4) } else { "0".into() }
}

/// Path data of a closed ring.
pub fn ring_data(ring: &Ring) -> String {
    line_data(ring.points(), true)
}

/// Path data of a line through points; `closed` returns to the first.
pub fn line_data(points: &[Point], closed: bool) -> String {
    let mut d = String::with_capacity(points.len() * 16);
    for (i, p) in points.iter().enumerate() {
        let command = match i {
            0 => "M",
            1 => " L",
            _ => " ",
        };
        let _ = write!(d, "{command}{} {}", number(p.x), number(p.y));
    }
    if closed && !points.is_empty() {
        d.push_str(" Z");
    }
    d
}

/// Path data of the two diagonals of a rectangle; empty for a ring that does not have four corners.
pub fn cross(ring: &Ring) -> String {
    match ring.points() {
        &[a, b, c, d] => format!("{}{}", line_data(&[a, c], false), line_data(&[b, d], false)),
        _ => String::new(),
    }
}

/// Hands out ids that are valid in XML and never the same twice.
#[derive(Debug, Default)]
pub struct Ids {
    used: BTreeSet<String>,
}

impl Ids {
    /// `wanted` as an id: characters other than letters, digits, `.`, `_` and `-` become `-`, a first
    /// character that is not a letter gets a `p` before it, and a repeat gets a number.
    pub fn take(&mut self, wanted: &str) -> String {
        let sound = |c: char| c.is_alphabetic() || c.is_ascii_digit() || ".-_".contains(c);
        let keep = |c: char| if sound(c) { c } else { '-' };
        let mut id: String = wanted.chars().map(keep).collect();
        if !id.chars().next().is_some_and(char::is_alphabetic) {
            id.insert(0, 'p');
        }
        let mut unique = id.clone();
        let mut n = 1;
        while !self.used.insert(unique.clone()) {
            n += 1;
            unique = format!("{id}-{n}");
        }
        unique
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_valid_and_unique() {
        let mut ids = Ids::default();
        assert_eq!(ids.take("minute-hand.1.outline"), "minute-hand.1.outline");
        assert_eq!(ids.take("minute-hand.1.outline"), "minute-hand.1.outline-2");
        assert_eq!(ids.take("60 teeth/big"), "p60-teeth-big");
        assert_eq!(ids.take(""), "p");
    }

    #[test]
    fn what_stands_between_backticks_is_code() {
        assert_eq!(prose("set `web` in <job>"), "set <code>web</code> in &lt;job&gt;");
        assert_eq!(prose("a name with a ` in it"), "a name with a ` in it");
    }

    #[test]
    fn hostile_text_stays_text() {
        assert_eq!(escape("<b a=\"1\">&\u{0}\n"), "&lt;b a=&quot;1&quot;&gt;&amp;  ");
        assert_eq!(number(f64::NAN), "0");
        assert_eq!(number(-0.00001), "0");
    }
}
