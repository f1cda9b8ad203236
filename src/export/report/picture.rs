//! The picture of a sheet: drawn once as a group, shown small and large by reference.

use super::Report;
use super::tone::{grain_pattern, tone};
use crate::export::lines::SheetCut;
use crate::geometry::{Point, Ring};
use crate::layout::{Feature, FeatureKind, PlacedPart, Sheet};
use std::fmt::Write;

/// Hidden definitions: patterns shared by the page, and the group `s1`, `s2`... of every sheet.
pub fn definitions(report: &Report) -> String {
    let mut out = String::from(
        "<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\" focusable=\"false\"><defs>\n\
         <pattern id=\"keep\" patternUnits=\"userSpaceOnUse\" width=\"5\" height=\"5\" patternTransform=\"rotate(45)\">\
         <path d=\"M0 2.5h5\" stroke=\"#7a6f5f\" stroke-width=\"0.9\"/></pattern>\n\
         <pattern id=\"clear\" patternUnits=\"userSpaceOnUse\" width=\"3\" height=\"3\" patternTransform=\"rotate(45)\">\
         <path d=\"M0 1.5h3M1.5 0v3\" stroke=\"#55493c\" stroke-width=\"0.5\"/></pattern>\n",
    );
    for (i, sheet) in report.layout.sheets.iter().enumerate() {
        let _ = writeln!(out, "{}", grain_pattern(sheet, &format!("g{}", i + 1)));
        let _ =
            writeln!(out, "<g id=\"s{}\">{}</g>", i + 1, sheet_group(sheet, &report.cut(i), i + 1));
    }
    out.push_str("</defs></svg>\n");
    out
}

/// Everything of a sheet that needs no lettering.
fn sheet_group(sheet: &Sheet, cut: &SheetCut, number: usize) -> String {
    let tone = tone(sheet);
    let mut out = String::new();
    let edge = data(std::iter::once(&sheet.outline));
    let _ = write!(
        out,
        "\n<path d=\"{edge}\" fill=\"{}\"/><path d=\"{edge}\" fill=\"url(#g{number})\" stroke=\"#55493c\" stroke-width=\"0.8\"/>",
        tone.stock
    );
    for remnant in &sheet.remnants {
        let d = data(std::iter::once(&remnant.outline));
        let _ = write!(
            out,
            "\n<path d=\"{d}\" fill=\"url(#keep)\" fill-opacity=\"0.35\" stroke=\"#7a6f5f\" stroke-width=\"0.6\" stroke-dasharray=\"6 2 1.5 2\"/>"
        );
    }
    for ring in &sheet.keep_clear {
        let d = data(std::iter::once(ring));
        let _ = write!(
            out,
            "\n<path d=\"{d}\" fill=\"url(#clear)\" stroke=\"#55493c\" stroke-width=\"0.6\"/>"
        );
    }
    // The kerf is a stroke two diameters wide whose inner half the part covers.
    let _ = write!(
        out,
        "\n<g fill=\"none\" stroke=\"#fdfbf6\" stroke-width=\"{:.3}\" stroke-linejoin=\"round\">",
        2.0 * sheet.bit.diameter
    );
    let kerfs: Vec<String> =
        (0..sheet.parts.len()).map(|i| format!("<use href=\"#s{number}p{i}\"/>")).collect();
    // The first use of each part's outline is its definition.
    for (i, part) in sheet.parts.iter().enumerate() {
        let d = data(std::iter::once(&part.outline).chain(&part.openings));
        let _ = write!(out, "\n<path id=\"s{number}p{i}\" d=\"{d}\"/>");
    }
    let uses = kerfs.concat();
    let _ = write!(
        out,
        "</g>\n<g fill=\"{}\" fill-rule=\"evenodd\">{uses}</g>\n<g fill=\"url(#g{number})\" fill-rule=\"evenodd\" \
         stroke=\"#2b2622\" stroke-width=\"0.4\" stroke-linejoin=\"round\">{uses}</g>",
        tone.part,
    );
    for part in &sheet.parts {
        part.features.iter().for_each(|f| feature(&mut out, f));
    }
    loose(&mut out, cut);
    tabs(&mut out, sheet);
    out
}

/// Waste that comes loose, marked by a cross-hatch.
fn loose(out: &mut String, cut: &SheetCut) {
    for piece in cut.loose.iter().filter(|p| p.comes_loose) {
        let d = data(std::iter::once(&piece.outline));
        let _ = write!(
            out,
            "\n<path d=\"{d}\" fill=\"#c0392b\" fill-opacity=\"0.14\" stroke=\"#c0392b\" stroke-width=\"0.4\" stroke-dasharray=\"1.5 1.5\"/>"
        );
    }
}

/// Bridges across the kerf, large enough to be seen.
fn tabs(out: &mut String, sheet: &Sheet) {
    let bridges: Vec<Ring> = sheet
        .parts
        .iter()
        .flat_map(|p: &PlacedPart| &p.hold.tabs)
        .map(|t| t.bridge(sheet.bit.diameter))
        .collect();
    if !bridges.is_empty() {
        let d = data(&bridges);
        let _ = write!(
            out,
            "\n<path class=\"tabs\" d=\"{d}\" fill=\"#c0392b\" stroke=\"#c0392b\" stroke-width=\"0.8\" stroke-linejoin=\"round\"/>"
        );
    }
}

fn feature(out: &mut String, feature: &Feature) {
    let style = match feature.kind {
        FeatureKind::Pocket => {
            "fill=\"#2f6f8f\" fill-opacity=\"0.22\" stroke=\"#2f6f8f\" stroke-width=\"0.5\" stroke-dasharray=\"3 1\""
        }
        FeatureKind::Drill => {
            "fill=\"#2b2622\" fill-opacity=\"0.55\" stroke=\"#2b2622\" stroke-width=\"0.5\""
        }
        FeatureKind::Engraving => "fill=\"none\" stroke=\"#4f632c\" stroke-width=\"0.5\"",
        FeatureKind::Mark => {
            "fill=\"none\" stroke=\"#6a4881\" stroke-width=\"0.5\" stroke-dasharray=\"0.8 0.8\""
        }
        FeatureKind::TabFree => {
            "fill=\"none\" stroke=\"#8c6d1f\" stroke-width=\"0.8\" stroke-dasharray=\"1.6 0.8 0.4 0.8\""
        }
    };
    let mut d = data(&feature.rings);
    for line in &feature.lines {
        d.push_str(&path(line.points(), false));
    }
    if !d.is_empty() {
        let _ = write!(out, "\n<path d=\"{d}\" fill-rule=\"evenodd\" {style}/>");
    }
}

/// Path data to 0.01 mm, in steps from point to point: a page is looked at, not cut from.
fn data<'a>(rings: impl IntoIterator<Item = &'a Ring>) -> String {
    rings.into_iter().map(|r| path(r.points(), true)).collect()
}

fn path(points: &[Point], closed: bool) -> String {
    let hundredths = |p: &Point| ((p.x * 100.0).round() as i64, (p.y * 100.0).round() as i64);
    let mut d = String::new();
    let mut last = (0, 0);
    for (i, p) in points.iter().map(hundredths).enumerate() {
        let (dx, dy) = (p.0 - last.0, p.1 - last.1);
        if i == 0 {
            let _ = write!(d, "M{} {}l", short(dx), short(dy));
        } else if (dx, dy) != (0, 0) {
            let gap = if dy < 0 { "" } else { " " };
            let lead = if i == 1 || dx < 0 { "" } else { " " };
            let _ = write!(d, "{lead}{}{gap}{}", short(dx), short(dy));
        }
        last = p;
    }
    if d.ends_with('l') {
        d.push_str("0 0");
    }
    if closed && !d.is_empty() {
        d.push('z');
    }
    d
}

/// Hundredths as a decimal without trailing zeros or a leading one.
fn short(hundredths: i64) -> String {
    let sign = if hundredths < 0 { "-" } else { "" };
    let (whole, part) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    match (whole, part) {
        (w, 0) => format!("{sign}{w}"),
        (0, p) if p % 10 == 0 => format!("{sign}.{}", p / 10),
        (0, p) => format!("{sign}.{p:02}"),
        (w, p) if p % 10 == 0 => format!("{sign}{w}.{}", p / 10),
        (w, p) => format!("{sign}{w}.{p:02}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    #[test]
    fn steps_between_points_add_up() {
        let ring = [point(1.0, 2.0), point(3.5, 2.0), point(3.5, 1.25), point(0.95, 1.2)];
        assert_eq!(path(&ring, true), "M1 2l2.5 0 0-.75-2.55-.05z");
        assert_eq!(path(&[], true), "");
    }
}
