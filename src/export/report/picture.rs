//! The picture of a sheet: drawn once as a group, shown small and large by reference to it.

use super::given::Report;
use super::marks::{CLEARED, SPARE, TAPE, clamp_look, feature_look};
use super::strips;
use super::tone::{hatches, patterns, tone};
use crate::export::lines::SheetCut;
use crate::export::markup::{cross, number};
use crate::geometry::{Point, Ring};
use crate::layout::{Feature, FeatureKind, PlacedPart, Sheet};
use std::fmt::Write;

/// Hidden definitions: patterns shared by the page, and the group `s1`, `s2`... of every sheet.
pub fn definitions(report: &Report) -> String {
    let mut out = String::from(
        "<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\" focusable=\"false\"><defs>\n",
    );
    out.push_str(&hatches("keep", "clear", 0.6));
    for (i, sheet) in report.layout.sheets.iter().enumerate() {
        let (n, unit) = (i + 1, strips::unit(sheet));
        let _ = write!(out, "\n{}", patterns(sheet, n, unit));
        let group = sheet_group(sheet, &report.cut(i), n, unit);
        let _ = write!(out, "\n<g id=\"s{n}\">{group}</g>");
    }
    out.push_str("\n</defs></svg>\n");
    out
}

/// Everything on sheet `n` that needs no lettering; lines are `unit` mm wide for each pixel, the kerf is to scale.
fn sheet_group(sheet: &Sheet, cut: &SheetCut, n: usize, unit: f64) -> String {
    let tone = tone(sheet);
    let mut out = String::new();
    stock(&mut out, sheet, n, unit);
    // The kerf is a stroke two diameters wide whose inner half the part covers; each part's first
    // drawing is its definition.
    let kerf = number(2.0 * sheet.bit.diameter);
    let _ = write!(
        out,
        "\n<g fill=\"none\" stroke=\"#fdfbf6\" stroke-width=\"{kerf}\" stroke-linejoin=\"round\">"
    );
    for (i, part) in sheet.parts.iter().enumerate() {
        let d = data(std::iter::once(&part.outline).chain(&part.openings));
        let _ = write!(out, "\n<path id=\"s{n}p{i}\" d=\"{d}\"/>");
    }
    let uses: String =
        (0..sheet.parts.len()).map(|i| format!("<use href=\"#s{n}p{i}\"/>")).collect();
    let _ = write!(
        out,
        "</g>\n<g fill=\"{}\" fill-rule=\"evenodd\">{uses}</g>\n<g fill=\"url(#g{n})\" fill-rule=\"evenodd\" \
         stroke=\"#2b2622\" stroke-width=\"{}\" stroke-linejoin=\"round\">{uses}</g>",
        tone.part,
        number(0.8 * unit),
    );
    // A spare is paler, in broken lines.
    for part in sheet.parts.iter().filter(|p| p.spare) {
        let d = data(std::iter::once(&part.outline).chain(&part.openings));
        let lines = stroke("#fdfbf6", 1.2, &[4.0, 3.0], unit);
        let _ = write!(out, "\n<path d=\"{d}\" fill-rule=\"evenodd\" {SPARE} {lines}/>");
    }
    for part in &sheet.parts {
        part.features.iter().for_each(|f| feature(&mut out, part, f, unit));
    }
    for piece in cut.loose.iter().filter(|p| p.comes_loose) {
        let d = data([&piece.outline]);
        let lines = stroke("#c0392b", 1.0, &[3.0, 3.0], unit);
        let _ = write!(out, "\n<path d=\"{d}\" fill=\"#c0392b\" fill-opacity=\"0.2\" {lines}/>");
    }
    if !sheet.cleared.is_empty() {
        let lines = stroke("#2f6f8f", 1.0, &[2.0, 2.0], unit);
        let _ = write!(out, "\n<path d=\"{}\" {CLEARED} {lines}/>", data(&sheet.cleared));
    }
    if !cut.soft.is_empty() {
        let lines = stroke("#2b2622", 0.8, &[], unit);
        let _ = write!(out, "\n<path d=\"{}\" fill=\"{TAPE}\" {lines}/>", data(&cut.soft));
    }
    clamps(&mut out, sheet, cut, unit);
    tabs(&mut out, sheet, unit);
    out
}

/// Radius of the disc that a clamp or a screw needs, mm (the rule in `cut`).
const CLAMP: f64 = 10.0;

/// The clamps that the job names, and places with room for others.
fn clamps(out: &mut String, sheet: &Sheet, cut: &SheetCut, unit: f64) {
    if !sheet.clamps.is_empty() {
        let _ = write!(out, "\n<path d=\"{}\" {}/>", data(&sheet.clamps), clamp_look(true));
    }
    for at in &cut.rooms {
        let lines = stroke("#1f5f4a", 1.4, &[4.0, 3.0], unit);
        let (x, y, r) = (number(at.x), number(at.y), number(CLAMP));
        let _ = write!(out, "\n<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"none\" {lines}/>");
    }
}

/// The sheet, its remnants and the areas to keep clear.
fn stock(out: &mut String, sheet: &Sheet, n: usize, unit: f64) {
    let edge = data([&sheet.outline]);
    let lines = stroke("#55493c", 1.4, &[], unit);
    let fill = tone(sheet).stock;
    let _ = write!(
        out,
        "\n<path d=\"{edge}\" fill=\"{fill}\"/><path d=\"{edge}\" fill=\"url(#g{n})\" {lines}/>"
    );
    for remnant in &sheet.remnants {
        let d = data([&remnant.outline]);
        let lines = stroke("#7a6f5f", 1.0, &[10.0, 3.0, 2.0, 3.0], unit);
        let _ =
            write!(out, "\n<path d=\"{d}\" fill=\"url(#k{n})\" fill-opacity=\"0.35\" {lines}/>");
    }
    for ring in &sheet.keep_clear {
        let lines = stroke("#55493c", 1.0, &[], unit);
        let _ = write!(out, "\n<path d=\"{}\" fill=\"url(#c{n})\" {lines}/>", data([ring]));
    }
}

/// Bridges across the kerf, outlined so that the narrowest stays visible; a ring marks the one at which the last pass ends.
fn tabs(out: &mut String, sheet: &Sheet, unit: f64) {
    let tabs = || sheet.parts.iter().flat_map(|p| &p.hold.tabs);
    let of_waste: Vec<Ring> =
        tabs().filter(|t| t.waste).map(|t| t.bridge(sheet.bit.diameter)).collect();
    if !of_waste.is_empty() {
        let lines = stroke("#c0392b", 1.4, &[], unit);
        let _ = write!(out, "\n<path d=\"{}\" fill=\"#fff\" {lines}/>", data(&of_waste));
    }
    let bridges: Vec<Ring> =
        tabs().filter(|t| !t.waste).map(|t| t.bridge(sheet.bit.diameter)).collect();
    if !bridges.is_empty() {
        let lines = stroke("#c0392b", 1.4, &[], unit);
        let _ = write!(
            out,
            "\n<path d=\"{}\" fill=\"#c0392b\" stroke-linejoin=\"round\" {lines}/>",
            data(&bridges)
        );
    }
    // Holding bridges are crossed: a light cross on the dark tab, legible in grey.
    let full = tabs().filter(|t| t.is_holding_bridge(sheet.thickness));
    let crosses: String = full.map(|t| cross(&t.bridge(sheet.bit.diameter))).collect();
    if !crosses.is_empty() {
        let lines = stroke("#fff", 1.2, &[], unit);
        let _ = write!(out, "\n<path d=\"{crosses}\" fill=\"none\" {lines}/>");
    }
    let ends = sheet.parts.iter().filter_map(|p| p.hold.tabs.iter().find(|t| t.holds()));
    for tab in ends {
        let at = tab.at + tab.out * (sheet.bit.diameter / 2.0);
        let radius = (0.7 * tab.width.max(sheet.bit.diameter)).max(5.0 * unit);
        let _ = write!(
            out,
            "\n<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\" {}/>",
            number(at.x),
            number(at.y),
            number(radius),
            stroke("#c0392b", 1.0, &[], unit)
        );
    }
}

/// A feature of a part; a pocket is not drawn over the openings inside it.
fn feature(out: &mut String, part: &PlacedPart, feature: &Feature, unit: f64) {
    let look = feature_look(feature.kind);
    let mut d = data(&feature.rings);
    let covers = |o: &&Ring| {
        feature.kind == FeatureKind::Pocket
            && o.0.first().is_some_and(|&p| feature.rings.iter().any(|r| r.contains(p)))
    };
    d.push_str(&data(part.openings.iter().filter(covers)));
    feature.lines.iter().for_each(|line| d.push_str(&path(line.points(), false)));
    if !d.is_empty() {
        let lines = stroke(look.line, look.width, look.dash, unit);
        let (fill, opacity) = (look.fill, look.opacity);
        let opacity =
            if opacity < 1.0 { format!(" fill-opacity=\"{opacity}\"") } else { String::new() };
        let _ = write!(
            out,
            "\n<path d=\"{d}\" fill-rule=\"evenodd\" fill=\"{fill}\"{opacity} {lines}/>"
        );
    }
}

/// Presentation attributes of a line, widths and dashes in pixels of the large picture.
fn stroke(colour: &str, width: f64, dash: &[f64], unit: f64) -> String {
    let mut out = format!("stroke=\"{colour}\" stroke-width=\"{}\"", number(width * unit));
    if !dash.is_empty() {
        let dash: Vec<String> = dash.iter().map(|d| number(d * unit)).collect();
        let _ = write!(out, " stroke-dasharray=\"{}\"", dash.join(" "));
    }
    out
}

/// Path data to 0.01 mm, in steps from point to point: a page is for looking at, not for cutting from.
pub fn data<'a>(rings: impl IntoIterator<Item = &'a Ring>) -> String {
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
