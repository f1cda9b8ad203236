//! The layout file, laid out for reading: one line for each field down to the parts, geometry on one line each.

use crate::layout::Layout;
use serde::Serialize;
use serde_json::ser::{CompactFormatter, Formatter, Serializer};
use std::io::{self, Write};

/// Lists whose items stand on lines of their own; items of the first two are spread further.
const LISTS: [&str; 6] = ["sheets", "parts", "unplaced", "warnings", "notes", "drop_outs"];

/// The layout file's text, with every digit of its numbers.
///
/// # Errors
/// When serialising fails; a number that is not finite becomes `null`, which no reader accepts.
pub fn layout_json(layout: &Layout) -> Result<String, serde_json::Error> {
    let mut bytes = vec![];
    layout.serialize(&mut Serializer::with_formatter(&mut bytes, LineBreaker::default()))?;
    bytes.push(b'\n');
    String::from_utf8(bytes).map_err(|e| serde::ser::Error::custom(e.to_string()))
}

/// How the list or object being written is laid out.
#[derive(Clone, Copy, PartialEq)]
enum Style {
    /// Items on lines of their own, objects among them spread too.
    Spread,
    /// Items on lines of their own, each compact.
    Rows,
    /// All on one line.
    Compact,
}

/// Breaks the outer levels into lines and leaves the inner ones compact.
#[derive(Default)]
struct LineBreaker {
    open: Vec<Style>,
    in_key: bool,
    key: String,
    empty: bool,
}

impl LineBreaker {
    fn begin<W: ?Sized + Write>(
        &mut self,
        out: &mut W,
        bracket: &[u8],
        style: Style,
    ) -> io::Result<()> {
        self.open.push(style);
        self.empty = true;
        out.write_all(bracket)
    }

    fn end<W: ?Sized + Write>(&mut self, out: &mut W, bracket: &[u8]) -> io::Result<()> {
        let style = self.open.pop();
        if style != Some(Style::Compact) && !self.empty {
            self.new_line(out)?;
        }
        self.empty = false;
        out.write_all(bracket)
    }

    fn item<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        let compact = self.open.last() == Some(&Style::Compact);
        self.empty = false;
        match (first, compact) {
            (true, true) => Ok(()),
            (false, true) => out.write_all(b", "),
            (true, false) => self.new_line(out),
            (false, false) => out.write_all(b",").and_then(|()| self.new_line(out)),
        }
    }

    fn new_line<W: ?Sized + Write>(&self, out: &mut W) -> io::Result<()> {
        out.write_all(b"\n")?;
        (0..self.open.len()).try_for_each(|_| out.write_all(b"  "))
    }
}

impl Formatter for LineBreaker {
    fn begin_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        let outer = self.open.last() == Some(&Style::Spread);
        let style = match LISTS.iter().position(|l| *l == self.key) {
            Some(0 | 1) if outer => Style::Spread,
            Some(_) if outer => Style::Rows,
            _ => Style::Compact,
        };
        self.begin(out, b"[", style)
    }

    fn end_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.end(out, b"]")
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.item(out, first)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        // The file itself and the items of spread lists; an object that is a field stays on its line.
        let item = self.open.is_empty() || LISTS.contains(&self.key.as_str());
        let outer = self.open.last().is_none_or(|s| *s == Style::Spread);
        self.begin(out, b"{", if item && outer { Style::Spread } else { Style::Compact })
    }

    fn end_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        // What follows is an item of the list again, whatever fields this object had.
        self.key.clear();
        self.key.push_str(LISTS[0]);
        self.end(out, b"}")
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        self.item(out, first)?;
        self.in_key = true;
        self.key.clear();
        Ok(())
    }

    fn end_object_key<W: ?Sized + Write>(&mut self, _: &mut W) -> io::Result<()> {
        self.in_key = false;
        Ok(())
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b": ")
    }

    fn write_string_fragment<W: ?Sized + Write>(
        &mut self,
        out: &mut W,
        text: &str,
    ) -> io::Result<()> {
        if self.in_key {
            self.key.push_str(text);
        }
        out.write_all(text.as_bytes())
    }

    fn write_f64<W: ?Sized + Write>(&mut self, out: &mut W, value: f64) -> io::Result<()> {
        // -0 and 0 are one place: one spelling keeps files comparable.
        CompactFormatter.write_f64(out, if value == 0.0 { 0.0 } else { value })
    }
}
