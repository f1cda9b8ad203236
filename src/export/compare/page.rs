//! The comparison as a page: each choice with its figures, a bar of its shares, and its sheets drawn small.

use super::order::{By, placed_in_order};
use super::row::{CompareRow, GroupTable, SmallSheet};
use super::verdict::verdict;
use crate::export::markup::{escape, ring_data};
use crate::export::words::{count, percent, range_of_time};
use crate::units::Units;
use std::fmt::Write;

/// Width of the widest sheet of a group, pixels.
const WIDEST: f64 = 250.0;

/// Fills: parts, what is worth keeping, what is lost.
const PARTS: &str = "#6b5a48";
const KEPT: &str = "#b9cba0";
const LOST: &str = "#fdfbf6";

/// The comparison of a job as HTML: one file, no scripts, the same bytes for the same tables.
pub fn compare_page(title: &str, tables: &[GroupTable], by: By, units: Units) -> String {
    let mut tables = tables.to_vec();
    placed_in_order(&mut tables, by);
    let title = escape(if title.is_empty() { "Job" } else { title });
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}: which stock to buy</title>\n<style>\n{}</style>\n</head>\n<body>\n\
         <header>\n<h1>{title}: which stock to buy</h1>\n</header>\n<main>\n",
        include_str!("../report/page.css"),
    );
    for table in &tables {
        group(&mut out, table, by, units);
    }
    out.push_str("</main>\n</body>\n</html>\n");
    out
}

fn group(out: &mut String, table: &GroupTable, by: By, units: Units) {
    let parts = count(table.parts, "part");
    let _ = writeln!(
        out,
        "<section class=\"quiet\">\n<h2>{} <small>{parts}</small></h2>",
        escape(&table.group)
    );
    for line in verdict(table, by, units) {
        let _ = writeln!(out, "<p>{}</p>", escape(&line));
    }
    let _ = writeln!(
        out,
        "<p>{} parts {} remnants worth keeping {} lost</p>",
        key(PARTS),
        key(KEPT),
        key(LOST)
    );
    let widths = table.rows.iter().flat_map(|r| &r.drawn).map(|s| s.outline.bounds().width());
    let widest = widths.fold(0.0, f64::max);
    let scale = if widest > 0.0 { WIDEST / widest } else { 1.0 };
    for row in &table.rows {
        choice(out, row, scale);
    }
    out.push_str("</section>\n");
}

fn key(fill: &str) -> String {
    format!("<i class=\"key\" style=\"background:{fill};border:1px solid #6b6257\"></i>")
}

fn choice(out: &mut String, row: &CompareRow, scale: f64) {
    let place = row.place.map_or("–".into(), |p| p.to_string());
    let money = |p: Option<f64>| p.map_or("–".into(), |p| format!("{p:.2}"));
    let left = match (row.unplaced, row.faults) {
        (0, 0) => "–".into(),
        (n, 0) => count(n, "part"),
        (0, n) => count(n, "fault"),
        (n, f) => format!("{}, {}", count(n, "part"), count(f, "fault")),
    };
    let facts = [
        ("sheets", format!("{}{}", if row.made { "" } else { "~" }, row.sheets)),
        ("waste", percent(row.waste_percent)),
        ("after remnants", percent(row.waste_after_remnants)),
        ("cost", money(row.price)),
        ("a part", money(row.price_per_part)),
        ("time to cut", row.time.map_or("–".into(), range_of_time)),
        ("left over", left),
    ];
    let cells: String =
        facts.iter().map(|(k, v)| format!("<div><dt>{k}</dt><dd>{v}</dd></div>")).collect();
    let _ = writeln!(
        out,
        "<div class=\"sheet-page\">\n<h2><span class=\"no\">{place}</span> {}</h2>\n<dl class=\"sheet-facts\">{cells}</dl>{}",
        escape(&row.stock),
        bar(row)
    );
    out.push_str("<div class=\"glance\">\n");
    row.drawn.iter().for_each(|sheet| drawn(out, sheet, scale));
    out.push_str("</div>\n</div>\n");
}

fn bar(row: &CompareRow) -> String {
    if row.sheets == 0 {
        return String::new();
    }
    let parts = (100.0 - row.waste_percent).clamp(0.0, 100.0);
    let kept = (row.waste_percent - row.waste_after_remnants).clamp(0.0, 100.0 - parts);
    format!(
        "<svg class=\"bar\" viewBox=\"0 0 100 4\" preserveAspectRatio=\"none\" role=\"img\" aria-label=\"{parts:.0} % parts, \
         {kept:.0} % remnants worth keeping, the rest lost\"><rect width=\"100\" height=\"4\" fill=\"{LOST}\"/>\
         <rect width=\"{parts:.1}\" height=\"4\" fill=\"{PARTS}\"/>\
         <rect x=\"{parts:.1}\" width=\"{kept:.1}\" height=\"4\" fill=\"{KEPT}\"/></svg>"
    )
}

fn drawn(out: &mut String, sheet: &SmallSheet, scale: f64) {
    let b = sheet.outline.bounds();
    let line = 0.7 / scale;
    let _ = write!(
        out,
        "<svg class=\"thumb\" style=\"width:{:.0}px\" viewBox=\"{:.2} {:.2} {:.2} {:.2}\" role=\"img\" aria-label=\"{}\">\
         <path d=\"{}\" fill=\"{LOST}\" stroke=\"#2b2622\" stroke-width=\"{line:.3}\"/>",
        b.width() * scale,
        b.min.x - line,
        b.min.y - line,
        b.width() + 2.0 * line,
        b.height() + 2.0 * line,
        escape(&sheet.stock),
        ring_data(&sheet.outline)
    );
    for remnant in &sheet.remnants {
        let _ = write!(out, "<path d=\"{}\" fill=\"{KEPT}\"/>", ring_data(remnant));
    }
    let rings: String =
        sheet.parts.iter().flat_map(|p| p.rings()).map(ring_data).collect::<Vec<_>>().join(" ");
    let _ = writeln!(out, "<path d=\"{rings}\" fill=\"{PARTS}\" fill-rule=\"evenodd\"/></svg>");
}
