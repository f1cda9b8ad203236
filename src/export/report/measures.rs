//! Round a sheet's picture: its measures, the direction of the grain, a scale; drawn as on a workshop drawing.
//!
//! Sizes of lettering and ticks are pixels of the large picture; `unit` is mm a pixel.

use crate::export::words;
use crate::geometry::{Point, Vector, point};
use crate::layout::Sheet;
use crate::units::Units;

/// Height of lettering, pixels.
const LETTER: f64 = 11.0;

/// The part of a sheet that a picture shows: from and to along x, mm; `whole` when it is all of it.
#[derive(Debug, Clone, Copy)]
pub struct Window {
    pub from: f64,
    pub to: f64,
    pub whole: bool,
}

/// Everything round the picture.
pub fn surround(units: Units, sheet: &Sheet, window: Window, unit: f64) -> String {
    let mut marks = Marks { lines: vec![], words: String::new(), unit };
    measures(&mut marks, units, sheet, window);
    if words::has_grain(sheet) {
        grain(&mut marks, sheet, window);
    }
    scale(&mut marks, units, sheet, window);
    let data: String =
        marks.lines.iter().map(|(a, b)| format!("M{}L{}", place(*a), place(*b))).collect();
    format!(
        "<g class=\"measure\" font-size=\"{:.3}\" stroke-width=\"{:.3}\"><path d=\"{data}\"/>{}</g>\n",
        LETTER * unit,
        0.8 * unit,
        marks.words
    )
}

/// The lines and words drawn so far.
struct Marks {
    lines: Vec<(Point, Point)>,
    words: String,
    unit: f64,
}

impl Marks {
    /// A line from `a` to `b` with a tick across each end.
    fn ticked(&mut self, a: Point, b: Point) {
        let tick = (b - a).unit().unwrap_or(point(1.0, 0.0)).perp() * (4.0 * self.unit);
        self.lines.extend([(a, b), (a - tick, a + tick), (b - tick, b + tick)]);
    }

    /// Words whose middle height is at `at`; `anchor` is SVG's.
    fn word(&mut self, at: Point, anchor: &str, text: &str) {
        let at = place(at + point(0.0, 0.35 * LETTER * self.unit));
        let (x, y) = at.split_once(' ').unwrap_or(("0", "0"));
        self.words
            .push_str(&format!("<text x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\">{text}</text>"));
    }
}

/// Length above the sheet, width on its left.
fn measures(marks: &mut Marks, units: Units, sheet: &Sheet, window: Window) {
    let (b, unit) = (sheet.outline.bounds(), marks.unit);
    let length = words::length(units, window.to - window.from);
    let along = if window.whole {
        length
    } else {
        words::span(units, window.from - b.min.x, window.to - b.min.x)
    };
    let y = b.min.y - 12.0 * unit;
    let middle = (window.from + window.to) / 2.0;
    let gap = point(0.32 * LETTER * unit * along.chars().count() as f64, 0.0);
    let at = point(middle, y);
    marks.ticked(point(window.from, y), point(window.to, y));
    // The line breaks round its measure.
    if let Some(first) = marks.lines.first_mut() {
        *first = (first.0, at - gap);
        marks.lines.push((at + gap, point(window.to, y)));
    }
    marks.word(at, "middle", &along);
    let x = window.from - 12.0 * unit;
    marks.ticked(point(x, b.min.y), point(x, b.max.y));
    marks.words.push_str(&format!(
        "<text transform=\"translate({}) rotate(-90)\" text-anchor=\"middle\">{}</text>",
        place(point(x - 6.0 * unit, (b.min.y + b.max.y) / 2.0)),
        words::length(units, b.height()),
    ));
}

/// A double-headed arrow along the grain, below the sheet on the left.
fn grain(marks: &mut Marks, sheet: &Sheet, window: Window) {
    let unit = marks.unit;
    let way = point(1.0, 0.0).turned(sheet.grain_deg.to_radians());
    // Shorter when it stands up, so that it stays between sheet and edge.
    let half = (22.0 * way.x.abs()).max(11.0) * unit;
    let middle = point(window.from + 22.0 * unit, sheet.outline.bounds().max.y + 16.0 * unit);
    let tip = way * half;
    marks.lines.push((middle - tip, middle + tip));
    for (end, back) in [(middle + tip, -1.0), (middle - tip, 1.0)] {
        let barb = way * (back * 5.0 * unit);
        let side = way.perp() * (3.0 * unit);
        marks.lines.extend([(end, end + barb + side), (end, end + barb - side)]);
    }
    marks.word(middle + point(30.0 * unit, 0.0), "start", "grain");
}

/// A bar of known length, below the sheet on the right.
fn scale(marks: &mut Marks, units: Units, sheet: &Sheet, window: Window) {
    let (bar, text) = match units {
        Units::Mm => (50.0, "50 mm"),
        Units::In => (2.0 * units.mm(), "2 in"),
    };
    let end = point(window.to, sheet.outline.bounds().max.y + 16.0 * marks.unit);
    let start = end - point(bar, 0.0);
    marks.ticked(start, end);
    marks.word(start - point(6.0 * marks.unit, 0.0), "end", text);
}

fn place(p: Point) -> String {
    format!("{:.3} {:.3}", p.x, p.y)
}
