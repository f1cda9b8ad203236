//! The large picture of a sheet with its measures, numbers, grain and scale; long boards in strips.

use super::given::Report;
use super::marks::{TAPE, clamp_look};
use super::measures::{Window, surround};
use crate::export::label::label_spot;
use crate::export::lines::SheetCut;
use crate::export::markup::escape;
use crate::export::words;
use crate::geometry::{Point, point};
use crate::layout::{PlacedPart, Sheet};
use std::fmt::Write;

/// Greatest ratio of length to width drawn in one piece.
const LONGEST: f64 = 4.5;
/// Width of a picture on a screen, pixels; lettering is sized for it.
const PAGE: f64 = 1000.0;
/// Most pixels per mm: small sheets are not enlarged beyond it.
const LARGEST: f64 = 3.5;

/// The picture of sheet `i`: one figure, in several strips if the board is long.
pub fn figure(report: &Report, i: usize) -> String {
    let sheet = &report.layout.sheets[i];
    let b = sheet.outline.bounds();
    let (strips, unit) = (strips(sheet), unit(sheet));
    let each = b.width().max(1.0) / strips as f64;
    let mut out = String::from("<figure>\n");
    for strip in 0..strips {
        let from = b.min.x + each * strip as f64;
        out.push_str(&strip_svg(report, i, from, from + each, unit, strips > 1));
    }
    let counts = (report.faults(i).count(), report.drop_outs(i).count());
    out.push_str(&legend(sheet, &report.cut(i), counts));
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

/// One window on the sheet, from `from` to `to` along x; `unit` is mm a pixel.
fn strip_svg(report: &Report, i: usize, from: f64, to: f64, unit: f64, part_of: bool) -> String {
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
        "<svg class=\"sheet\" style=\"max-width:{:.0}px\" viewBox=\"{:.3} {:.3} {w:.3} {h:.3}\" role=\"img\" aria-label=\"{what}\">\n\
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

/// The number of each part in the order of cut, on the part; only parts whose label lies in the window.
fn numbers(report: &Report, i: usize, from: f64, to: f64, unit: f64) -> String {
    let sheet = &report.layout.sheets[i];
    let mut out =
        format!("<g class=\"numbers\" stroke-width=\"{:.3}\" text-anchor=\"middle\">", 3.2 * unit);
    for (k, part) in report.cut(i).order_of(sheet.parts.len()).into_iter().enumerate() {
        out.push_str(&number(&sheet.parts[part], k + 1, (from, to), unit).unwrap_or_default());
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

/// Colour of the marks on loose waste.
const WASTE: &str = "#8a5a00";

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

/// A part's number, and its name below where there is room for both.
fn number(part: &PlacedPart, number: usize, window: (f64, f64), unit: f64) -> Option<String> {
    let shape = part.shape();
    let text = number.to_string();
    // A digit is about 0.6 em wide, a letter of a name half an em.
    let aspect = 0.6 * text.len() as f64 + 0.3;
    let block = 0.5 * NAME * part.part.chars().count() as f64 / BLOCK;
    let named = label_spot(&shape, block.max(aspect)).filter(|s| s.height > BLOCK * unit);
    let spot = named.or_else(|| label_spot(&shape, aspect))?;
    if !(window.0..window.1).contains(&spot.at.x) {
        return None;
    }
    let size = (0.8 * spot.height).clamp(NUMBER.0 * unit, NUMBER.1 * unit);
    let rise = if named.is_some() { 0.35 * NAME * unit } else { -0.35 * size };
    let (x, y) = (spot.at.x, spot.at.y - rise);
    let mut out = format!("<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size:.2}\">{text}</text>");
    if named.is_some() {
        let (y, size) = (y + 1.15 * NAME * unit, NAME * unit);
        let name = escape(&part.part);
        let _ = write!(
            out,
            "<text class=\"name\" x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size:.2}\">{name}</text>"
        );
    }
    Some(out)
}

/// The meaning of the marks that occur.
fn legend(sheet: &Sheet, cut: &SheetCut, (faults, loose): (usize, usize)) -> String {
    let mut marks = vec![("1 2 3", "order of cut", "num")];
    if sheet.parts.iter().any(|p| !p.hold.tabs.is_empty()) {
        marks.push(("", "tab", "tab"));
        if words::bridged(sheet).next().is_some() {
            marks.push(("", "holding bridge: full thickness, to be sawn off", "bridge"));
        }
        if words::in_order(sheet) {
            marks.push((
                "",
                "waste tab: keeps the waste beyond it, and what hangs on that",
                "wastetab",
            ));
        }
        marks.push(("", "the last pass starts just beyond this tab and ends at it", "end"));
    }
    if !cut.soft.is_empty() {
        marks.push(("", "soft landing: tape under the strip here", "soft"));
    }
    if faults > 0 {
        marks.push(("1", "fault: see below", "fault"));
    }
    if loose > 0 {
        marks.push(("w1", "waste that comes loose: see below", "waste"));
    }
    if !cut.rooms.is_empty() {
        marks.push(("", "room for a clamp or a screw", "room"));
    }
    if !sheet.clamps.is_empty() {
        marks.push(("", "clamp or screw of the job", "clamp"));
    }
    if !sheet.remnants.is_empty() {
        marks.push(("", "remnant worth keeping", "keep"));
    }
    if !sheet.keep_clear.is_empty() {
        marks.push(("", "keep clear", "clear"));
    }
    let cells: String = marks
        .iter()
        .map(|(text, name, class)| match *class {
            "keep" | "clear" => format!(
                "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\"><rect width=\"18\" height=\"10\" fill=\"url(#{class})\" stroke=\"#55493c\"/></svg>{name}</span>"
            ),
            "soft" => format!(
                "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\"><rect x=\"1\" y=\"2\" width=\"16\" height=\"6\" fill=\"{TAPE}\" stroke=\"#2b2622\"/></svg>{name}</span>"
            ),
            "wastetab" => format!(
                "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\"><rect x=\"5\" y=\"2\" width=\"8\" height=\"6\" fill=\"#fff\" stroke=\"#c0392b\"/></svg>{name}</span>"
            ),
            "bridge" => format!(
                "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\"><rect x=\"2\" y=\"1\" width=\"14\" height=\"8\" fill=\"#c0392b\"/>\
                 <path d=\"M2 1L16 9M2 9L16 1\" stroke=\"#fff\"/></svg>{name}</span>"
            ),
            "end" => format!(
                "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\"><rect x=\"6\" y=\"3\" width=\"6\" height=\"4\" fill=\"#c0392b\"/>\
                 <circle cx=\"9\" cy=\"5\" r=\"4.4\" fill=\"none\" stroke=\"#c0392b\"/></svg>{name}</span>"
            ),
 "fault" | "waste" => format!(
                "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\"><circle cx=\"9\" cy=\"5\" r=\"4.8\" fill=\"{}\"/>\
                 <text x=\"9\" y=\"8\" font-size=\"8\" fill=\"#fff\" text-anchor=\"middle\">{text}</text></svg>{name}</span>",
                if *class == "waste" { WASTE } else { "#c0392b" }
            ),
            "room" | "clamp" => format!(
                "<span><svg class=\"key\" viewBox=\"0 0 18 10\" aria-hidden=\"true\"><circle cx=\"9\" cy=\"5\" r=\"4.4\" {}/></svg>{name}</span>",
                clamp_look(*class == "clamp")
            ),
            _ => format!("<span><i class=\"key {class}\">{text}</i>{name}</span>"),
        })
        .collect();
    format!("<figcaption>{cells}</figcaption>\n")
}
