//! The large picture of a sheet with its measures, numbers, grain and scale; long boards in strips.

use super::Report;
use crate::export::label::label_spot;
use crate::export::markup::escape;
use crate::export::words;
use crate::layout::Sheet;
use crate::units::Units;
use std::fmt::Write;

/// Longest shape drawn in one piece: length over width.
const LONGEST: f64 = 3.4;
/// Pixels that a picture is wide on a screen; lettering is sized for it.
const PAGE: f64 = 1000.0;

/// The picture of sheet `i`, one figure, several strips when the board is long.
pub fn figure(report: &Report, i: usize) -> String {
    let sheet = &report.layout.sheets[i];
    let b = sheet.outline.bounds();
    let (length, width) = (b.width().max(1.0), b.height().max(1.0));
    let strips =
        if length / width > LONGEST { (length / (2.8 * width)).ceil() as usize } else { 1 };
    let strips = strips.min(12);
    let each = length / strips as f64;
    // Tall sheets are shown no larger than a screen: the width of the page then belongs to more mm.
    let unit = (each / PAGE).max(width / 820.0);
    let mut out = String::from("<figure>\n");
    for strip in 0..strips {
        let from = b.min.x + each * strip as f64;
        out.push_str(&strip_svg(report, i, from, from + each, unit, strips > 1));
    }
    out.push_str(&legend(sheet));
    out.push_str("</figure>\n");
    out
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
        let _ = write!(
            what,
            ", from {} to {}",
            words::length(units, from - b.min.x),
            words::length(units, to - b.min.x)
        );
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
    out.push_str(&measures(units, sheet, from, to, unit, part_of));
    out.push_str(&grain_and_scale(units, sheet, from, to, unit));
    out.push_str("</svg>\n");
    out
}

/// The number of each part in the order of cut, on the part; only parts whose label lies in the window.
fn numbers(report: &Report, i: usize, from: f64, to: f64, unit: f64) -> String {
    let sheet = &report.layout.sheets[i];
    let mut out = format!(
        "<g class=\"numbers\" font-size=\"{:.3}\" stroke-width=\"{:.3}\" text-anchor=\"middle\">",
        10.5 * unit,
        2.6 * unit
    );
    for (k, part) in report.cut(i).order_of(sheet.parts.len()).into_iter().enumerate() {
        let part = &sheet.parts[part];
        let Some((at, room)) = label_spot(&part.shape()) else { continue };
        if at.x < from || at.x >= to {
            continue;
        }
        let text = (k + 1).to_string();
        let large = 15.0 * unit;
        let size = if room > 0.62 * large * (text.len() + 2) as f64
            && part.shape().net_area() > 2500.0 * unit * unit
        {
            format!(" font-size=\"{large:.3}\"")
        } else {
            String::new()
        };
        let drop = 0.35 * if size.is_empty() { 10.5 * unit } else { large };
        let _ = write!(out, "<text x=\"{:.2}\" y=\"{:.2}\"{size}>{text}</text>", at.x, at.y + drop);
    }
    out.push_str("</g>\n");
    out
}

/// Measures along the top and the left, drawn as on a workshop drawing.
fn measures(units: Units, sheet: &Sheet, from: f64, to: f64, unit: f64, part_of: bool) -> String {
    let b = sheet.outline.bounds();
    let (y, x) = (b.min.y - 12.0 * unit, from - 12.0 * unit);
    let tick = 4.0 * unit;
    let along = if part_of {
        let start = crate::units::trimmed(((from - b.min.x) / units.mm() * 10.0).round() / 10.0, 1);
        format!("{start} to {}", words::length(units, to - b.min.x))
    } else {
        words::length(units, to - from)
    };
    let (mx, my) = ((from + to) / 2.0, (b.min.y + b.max.y) / 2.0);
    let gap = 0.32 * 11.0 * unit * along.len() as f64;
    let mut out = format!(
        "<g class=\"measure\" font-size=\"{:.3}\" stroke-width=\"{:.3}\" text-anchor=\"middle\">",
        11.0 * unit,
        0.8 * unit
    );
    let _ = write!(
        out,
        "<path d=\"M{from:.3} {:.3}v{:.3}M{to:.3} {:.3}v{:.3}M{from:.3} {y:.3}H{:.3}M{:.3} {y:.3}H{to:.3}\"/>\
         <text x=\"{mx:.3}\" y=\"{:.3}\">{along}</text>",
        y - tick,
        2.0 * tick,
        y - tick,
        2.0 * tick,
        mx - gap,
        mx + gap,
        y + 4.0 * unit,
    );
    let _ = write!(
        out,
        "<path d=\"M{:.3} {:.3}h{:.3}M{:.3} {:.3}h{:.3}M{x:.3} {:.3}V{:.3}\"/>\
         <text transform=\"translate({:.3} {my:.3}) rotate(-90)\">{}</text></g>\n",
        x - tick,
        b.min.y,
        2.0 * tick,
        x - tick,
        b.max.y,
        2.0 * tick,
        b.min.y,
        b.max.y,
        x - 6.0 * unit,
        words::length(units, b.height()),
    );
    out
}

/// Below the sheet: an arrow along the grain on the left, a bar of known length on the right.
fn grain_and_scale(units: Units, sheet: &Sheet, from: f64, to: f64, unit: f64) -> String {
    let y = sheet.outline.bounds().max.y + 16.0 * unit;
    let mut out = format!(
        "<g class=\"measure\" font-size=\"{:.3}\" stroke-width=\"{:.3}\">",
        11.0 * unit,
        0.9 * unit
    );
    if words::has_grain(sheet) {
        // The arrow turns about its middle; its word stands clear of it.
        let (half, head) = (22.0 * unit, 5.0 * unit);
        let _ = write!(
            out,
            "<g transform=\"translate({:.3} {y:.3}) rotate({:.2})\"><path d=\"M{:.3} 0H{half:.3}M{:.3} {:.3}L{half:.3} 0L{:.3} {:.3}\
             M{:.3} {:.3}L{:.3} 0L{:.3} {:.3}\"/></g><text x=\"{:.3}\" y=\"{:.3}\">grain</text>",
            from + half,
            sheet.grain_deg.rem_euclid(180.0),
            -half,
            half - head,
            -head * 0.6,
            half - head,
            head * 0.6,
            head - half,
            -head * 0.6,
            -half,
            head - half,
            head * 0.6,
            from + 2.0 * half + 8.0 * unit,
            y + 4.0 * unit,
        );
    }
    let (bar, text) = match units {
        Units::Mm => (50.0, "50 mm"),
        Units::In => (2.0 * units.mm(), "2 in"),
    };
    let _ = write!(
        out,
        "<path d=\"M{:.3} {y:.3}h{bar:.3}M{:.3} {:.3}v{:.3}M{to:.3} {:.3}v{:.3}\"/><text x=\"{:.3}\" y=\"{:.3}\" \
         text-anchor=\"end\">{text}</text></g>\n",
        to - bar,
        to - bar,
        y - 3.0 * unit,
        6.0 * unit,
        y - 3.0 * unit,
        6.0 * unit,
        to - bar - 6.0 * unit,
        y + 4.0 * unit,
    );
    out
}

/// What the marks mean, those that occur.
fn legend(sheet: &Sheet) -> String {
    let mut marks = vec![("1 2 3", "order of cut", "num")];
    if sheet.parts.iter().any(|p| !p.hold.tabs.is_empty()) {
        marks.push(("", "tab", "tab"));
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
            _ => format!("<span><i class=\"key {class}\">{text}</i>{name}</span>"),
        })
        .collect();
    format!("<figcaption>{cells}</figcaption>\n")
}
