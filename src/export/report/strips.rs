//! The large picture of a sheet with its measures, numbers, grain and scale; long boards in strips.

use super::given::Report;
use super::legend::legend;
use super::marks::{TAPED, WASTE};
use super::measures::{Window, surround};
use crate::export::label::label_spot;
use crate::export::markup::escape;
use crate::export::words;
use crate::geometry::{Point, Vector, point};
use crate::layout::{PlacedPart, Sheet};
use crate::units::trimmed;
use std::fmt::Write;

/// Greatest ratio of length to width drawn in one piece.
const LONGEST: f64 = 4.5;
/// Width of a picture on a screen, pixels; lettering is sized for it.
const PAGE: f64 = 1000.0;
/// The same on a phone.
const PHONE: f64 = 330.0;
/// Most pixels per mm: small sheets are not enlarged beyond it.
const LARGEST: f64 = 3.5;

/// The picture of sheet `i`: one figure, in several strips if the board is long; for a phone once more in strips of its width.
pub fn figure(report: &Report, i: usize) -> String {
    let sheet = &report.layout.sheets[i];
    let b = sheet.outline.bounds();
    let (length, width) = (b.width().max(1.0), b.height().max(1.0));
    let narrow = ((length / width).ceil() as usize).clamp(1, 12);
    let wide = (strips(sheet), unit(sheet), "wide");
    let mut out = String::from("<figure>\n");
    for (strips, unit, class) in [wide, (narrow, length / narrow as f64 / PHONE, "narrow")] {
        let each = length / strips as f64;
        for strip in 0..strips {
            let from = b.min.x + each * strip as f64;
            out.push_str(&strip_svg(report, i, (from, from + each), unit, (class, strips > 1)));
        }
    }
    out.push_str(&legend(report, i));
    out.push_str("</figure>\n");
    out
}

/// The number of strips in the sheet's picture.
fn strips(sheet: &Sheet) -> usize {
    let b = sheet.outline.bounds();
    let (length, width) = (b.width().max(1.0), b.height().max(1.0));
    if length / width > LONGEST { ((length / (3.6 * width)).ceil() as usize).min(12) } else { 1 }
}

/// mm per pixel of the sheet's picture, so that it fits the page's width or a screen's height.
pub fn unit(sheet: &Sheet) -> f64 {
    let b = sheet.outline.bounds();
    let each = b.width().max(1.0) / strips(sheet) as f64;
    (each / PAGE).max(b.height().max(1.0) / 820.0).max(1.0 / LARGEST)
}

/// One window on the sheet, from one x to another; `unit` is mm a pixel.
fn strip_svg(
    report: &Report,
    i: usize,
    (from, to): (f64, f64),
    unit: f64,
    (class, part_of): (&str, bool),
) -> String {
    let sheet = &report.layout.sheets[i];
    let (units, n) = (report.units, i + 1);
    let b = sheet.outline.bounds();
    let (left, top, right, bottom) = (30.0 * unit, 26.0 * unit, 8.0 * unit, 30.0 * unit);
    let (w, h) = (to - from + left + right, b.height() + top + bottom);
    let mut what = format!("Sheet {n}, {}: {}", sheet.id, words::count(sheet.parts.len(), "part"));
    if part_of {
        let _ = write!(what, ", from {}", words::span(units, from - b.min.x, to - b.min.x));
    }
    let mut out = format!(
        "<svg class=\"sheet {class}\" style=\"max-width:{:.0}px\" viewBox=\"{:.3} {:.3} {w:.3} {h:.3}\" role=\"img\" aria-label=\"{what}\">\n\
         <title>{what}</title>\n<svg x=\"{from:.3}\" y=\"{:.3}\" width=\"{:.3}\" height=\"{:.3}\" viewBox=\"{from:.3} {:.3} {:.3} {:.3}\">\
         <use href=\"#s{n}\"/></svg>\n",
        w / unit,
        from - left,
        b.min.y - top,
        b.min.y - unit,
        to - from,
        b.height() + 2.0 * unit,
        b.min.y - unit,
        to - from,
        b.height() + 2.0 * unit,
        what = escape(&what),
    );
    out.push_str(&numbers(report, i, from, to, unit));
    out.push_str(&fault_marks(report, i, (from, to), unit));
    out.push_str(&loose_marks(report, i, (from, to), unit));
    out.push_str(&tape_marks(report, i, (from, to), unit));
    let window = Window { from, to, whole: !part_of };
    out.push_str(&surround(units, sheet, window, unit));
    out.push_str("</svg>\n");
    out
}

/// Lettering of the numbers on parts, pixels: the least that can be read, and the largest that is needed.
const NUMBER: (f64, f64) = (10.0, 22.0);
/// Lettering of names, and the height of a number with a name below it, pixels.
const NAME: f64 = 12.0;
const BLOCK: f64 = 38.0;
/// Least height of number and name on one line, pixels.
const LINE: f64 = 11.0;

/// The number of each part in the order of cut, on the part; only parts whose label lies in the window.
fn numbers(report: &Report, i: usize, from: f64, to: f64, unit: f64) -> String {
    let sheet = &report.layout.sheets[i];
    let mut out =
        format!("<g class=\"numbers\" stroke-width=\"{:.3}\" text-anchor=\"middle\">", 3.2 * unit);
    for (k, part) in report.cut(i).order_of(sheet.parts.len()).into_iter().enumerate() {
        let part = &sheet.parts[part];
        let all = report.layout.sheets.iter().flat_map(|s| &s.parts);
        let copies = all.filter(|p| p.part == part.part).nth(1).is_some();
        out.push_str(&number(part, k + 1, copies, (from, to), unit).unwrap_or_default());
    }
    out.push_str("</g>\n");
    out
}

/// A red spot with the fault's number at its place, or on its part.
fn fault_marks(report: &Report, i: usize, window: (f64, f64), unit: f64) -> String {
    let sheet = &report.layout.sheets[i];
    let mut out = String::new();
    for (k, fault) in report.faults(i).enumerate() {
        let is_part = |p: &&PlacedPart| {
            Some(p.part.as_str()) == fault.part.as_deref() && Some(p.copy) == fault.copy
        };
        let of_part = || sheet.parts.iter().find(is_part).map(|p| p.outline.bounds().centre());
        let at = fault.at.map(|[x, y]| point(x, y)).or_else(of_part);
        let at = at.unwrap_or(sheet.outline.bounds().centre());
        if !(window.0..window.1).contains(&at.x) {
            continue;
        }
        out.push_str(&spot("fault", "#c0392b", &(k + 1).to_string(), at, unit));
    }
    out
}

/// A mark `w1` on each piece of waste that comes loose and is at least as wide as the bit.
fn loose_marks(report: &Report, i: usize, window: (f64, f64), unit: f64) -> String {
    let here = report.drop_outs(i).enumerate().map(|(k, d)| (k, point(d.at[0], d.at[1])));
    let here = here.filter(|(_, at)| (window.0..window.1).contains(&at.x));
    here.map(|(k, at)| spot("loose", WASTE, &format!("w{}", k + 1), at, unit)).collect()
}

/// A mark `t1` on each strip under which tape goes.
fn tape_marks(report: &Report, i: usize, window: (f64, f64), unit: f64) -> String {
    let cut = report.cut(i);
    let here = cut.soft.iter().map(|r| r.bounds().centre()).enumerate();
    let here = here.filter(|(_, at)| (window.0..window.1).contains(&at.x));
    here.map(|(k, at)| spot("tape", TAPED, &format!("t{}", k + 1), at, unit)).collect()
}

/// A round mark with a few letters.
fn spot(class: &str, colour: &str, text: &str, at: Point, unit: f64) -> String {
    let (x, y, r, size) = (at.x, at.y, 9.0 * unit, if text.len() > 2 { 9.0 } else { 12.0 } * unit);
    format!(
        "<g class=\"{class}\" text-anchor=\"middle\"><circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{r:.2}\" fill=\"{colour}\" \
         stroke=\"#fff\" stroke-width=\"{:.2}\"/><text x=\"{x:.2}\" y=\"{:.2}\" font-size=\"{size:.2}\" fill=\"#fff\">{text}</text></g>\n",
        1.5 * unit,
        y + 0.35 * size,
    )
}

/// A part's number, with its name where there is room: below it or behind it, along the sheet, up it, or turned with the part.
/// `copies` says that there are others of that name.
fn number(
    part: &PlacedPart,
    number: usize,
    copies: bool,
    window: (f64, f64),
    unit: f64,
) -> Option<String> {
    let name = if copies { format!("{} {}", part.part, part.copy) } else { part.part.clone() };
    let letters = |text: &str| 0.5 * text.chars().count() as f64;
    // A digit is about 0.6 em wide, a letter of a name half an em.
    let aspect = 0.6 * number.to_string().len() as f64 + 0.3;
    let block = (letters(&name) * NAME / BLOCK).max(aspect);
    let line = letters(&format!("{number}  {name} "));
    let shape = part.shape();
    let room = |turn: f64, aspect: f64, least: f64| {
        let spot = label_spot(&shape.map(|p| p.turned(-turn.to_radians())), aspect)?;
        (spot.height > least * unit).then_some((spot, turn))
    };
    let named = |turn: f64| {
        let under = room(turn, block, BLOCK).map(|r| (NameAt::Under, r));
        under.or_else(|| room(turn, line, LINE).map(|r| (NameAt::Behind, r)))
    };
    let alone = || room(0.0, aspect, 0.0).map(|r| (NameAt::Alone, r));
    let (form, (spot, turn)) = turns(part).into_iter().find_map(named).or_else(alone)?;
    let at = spot.at.turned(turn.to_radians());
    let (x, middle) = (at.x, at.y);
    if !(window.0..window.1).contains(&x) {
        return None;
    }
    let turn = match turn {
        0.0 => String::new(),
        turn => format!(" transform=\"rotate({} {x:.2} {middle:.2})\"", trimmed(turn, 1)),
    };
    let name = escape(&name);
    let text = |class: &str, y: f64, size: f64, text: &str| {
        format!(
            "<text{class} x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size:.2}\"{turn}>{text}</text>"
        )
    };
    let size = (0.8 * spot.height).clamp(NUMBER.0 * unit, NUMBER.1 * unit);
    Some(match form {
        NameAt::Alone => text("", middle + 0.35 * size, size, &number.to_string()),
        NameAt::Under => {
            let y = middle - 0.35 * NAME * unit;
            let below = text(" class=\"name\"", y + 1.15 * NAME * unit, NAME * unit, &name);
            text("", y, size, &number.to_string()) + &below
        }
        NameAt::Behind => {
            let size = size.min(NAME * unit);
            let both = format!("{number} <tspan class=\"name\">{name}</tspan>");
            text("", middle + 0.35 * size, size, &both)
        }
    })
}

/// The directions in which a label may run, degrees: along the sheet, up it, and with a part that is turned otherwise.
fn turns(part: &PlacedPart) -> Vec<f64> {
    let mut turns = vec![0.0, -90.0];
    for own in [part.rotation_deg, part.rotation_deg + 90.0] {
        let own = (own + 90.0).rem_euclid(180.0) - 90.0;
        if own.is_finite() && own.abs() > 1.0 && own.abs() < 89.0 {
            turns.push(own);
        }
    }
    turns
}

/// Where a part's name is.
enum NameAt {
    /// Nowhere: there is the number alone.
    Alone,
    /// Below the number.
    Under,
    /// Behind the number.
    Behind,
}
