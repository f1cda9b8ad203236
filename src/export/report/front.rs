//! The page's head and foot: the totals, all sheets at one scale, what to mind, the word list.

use super::given::Report;
use crate::export::assumed::{assumed_keys, unmet_line};
use crate::export::glossary::{GLOSSARY, Term};
use crate::export::markup::{escape, prose};
use crate::export::notes::{DECIDE, told_notes};
use crate::export::summary::{not_ready, time_of};
use crate::export::unplaced::{gathered, unplaced_words};
use crate::export::warned::warned;
use crate::export::words;
use crate::layout::{Layout, Note, waste_percent};
use std::fmt::Write;

/// Pixels per mm in the row of all sheets, and the greatest width of a sheet there.
const GLANCE: f64 = 0.27;

/// The title block.
pub fn header(report: &Report, title: &str) -> String {
    let layout = report.layout;
    let tabs: usize = layout.sheets.iter().flat_map(|s| &s.parts).map(|p| p.hold.tabs.len()).sum();
    let mut facts = vec![
        ("parts", layout.parts_placed.to_string()),
        ("sheets", layout.sheets.len().to_string()),
        ("tabs", tabs.to_string()),
        ("waste", words::percent(layout.waste_percent)),
    ];
    if layout.sheets.iter().any(|s| !s.remnants.is_empty()) {
        facts.push(("waste after remnants", words::percent(after_remnants(layout))));
    }
    if let Some(price) = price(report) {
        facts.push(("stock price", price));
    }
    let time = time_of(layout, &layout.sheets).filter(|_| !layout.sheets.is_empty());
    if let Some(time) = time {
        facts.push(("time to cut", words::range_of_time(time)));
    }
    if !layout.unplaced.is_empty() {
        facts.push(("left over", layout.unplaced.len().to_string()));
    }
    let cells: String = facts
        .iter()
        .map(|(name, value)| format!("<div><dt>{name}</dt><dd>{value}</dd></div>"))
        .collect();
    format!("<header>\n<h1>{title}</h1>\n<dl class=\"facts\">{cells}</dl>\n</header>\n")
}

/// Waste of the whole job if each sheet's largest remnant is kept, percent.
fn after_remnants(layout: &Layout) -> f64 {
    let sums = layout.sheets.iter().map(words::kept_and_area);
    let (kept, area) = sums.fold((0.0, 0.0), |(k, a), (kept, area)| (k + kept, a + area));
    waste_percent(kept, area)
}

/// The total price of the sheets with a price; says so when some have none.
fn price(report: &Report) -> Option<String> {
    let known: Vec<f64> = report.prices.iter().flatten().copied().collect();
    let unknown = match report.layout.sheets.len().saturating_sub(known.len()) {
        0 => String::new(),
        n => format!("<small>, {} without a price</small>", words::count(n, "sheet")),
    };
    (!known.is_empty()).then(|| format!("{:.2}{unknown}", known.iter().sum::<f64>()))
}

/// Every sheet, drawn at one scale, with the shares of its area.
pub fn glance(report: &Report) -> String {
    if report.layout.sheets.is_empty() {
        return "<p class=\"empty\">No sheet is used: nothing was placed.</p>\n".into();
    }
    let mut out = String::from("<nav class=\"glance\" aria-label=\"All sheets, at one scale\">\n");
    for (i, sheet) in report.layout.sheets.iter().enumerate() {
        let b = sheet.outline.bounds();
        let waste = words::percent(sheet.waste_percent);
        let _ = writeln!(
            out,
            "<a href=\"#sheet-{n}\"><svg class=\"thumb\" style=\"width:{:.0}px\" viewBox=\"{:.2} {:.2} {:.2} {:.2}\" \
             role=\"img\" aria-label=\"Sheet {n}, {}\"><use href=\"#s{n}\"/></svg>{}\
             <span class=\"cap\"><b>{n}</b> {} <i>{waste} waste</i></span></a>",
            (b.width() * GLANCE).max(40.0),
            b.min.x - 1.0,
            b.min.y - 1.0,
            b.width() + 2.0,
            b.height() + 2.0,
            escape(&sheet.id),
            share_bar(sheet),
            escape(&words::material(report.units, sheet)),
            n = i + 1,
        );
    }
    out.push_str("</nav>\n");
    out
}

/// A bar: parts solid, the largest remnant hatched, waste empty.
pub fn share_bar(sheet: &crate::layout::Sheet) -> String {
    let (kept, area) = words::kept_and_area(sheet);
    let share = |mm2: f64| if area > 0.0 { (100.0 * mm2 / area).clamp(0.0, 100.0) } else { 0.0 };
    let (parts, remnant) = (share(sheet.part_area), share(kept - sheet.part_area));
    format!(
        "<svg class=\"bar\" viewBox=\"0 0 100 4\" preserveAspectRatio=\"none\" role=\"img\" aria-label=\"{parts:.0} % parts, \
         {remnant:.0} % remnant worth keeping, the rest waste\"><rect width=\"100\" height=\"4\" class=\"waste\"/>\
         <rect width=\"{parts:.1}\" height=\"4\" class=\"used\"/>\
         <rect x=\"{parts:.1}\" width=\"{remnant:.1}\" height=\"4\" fill=\"url(#keep)\"/></svg>"
    )
}

/// Parts left over, warnings, requests not met and assumptions; empty when there are none.
pub fn attention(report: &Report) -> String {
    let layout = report.layout;
    let mut items = vec![];
    if let Some(not_ready) = not_ready(layout) {
        let where_to = match layout.faults.is_empty() {
            true => "",
            false => ": numbered on the pictures and explained below them",
        };
        items.push(format!("<li><b>{not_ready}</b>{where_to}</li>"));
    }
    for (unplaced, n) in gathered(layout) {
        items.push(format!(
            "<li><b>{n} × {} not placed:</b> {}</li>",
            escape(&unplaced.part),
            prose(&unplaced_words(unplaced, report.units))
        ));
    }
    if let Some(ended) = match layout.ended.as_str() {
        "time-limit" => {
            Some("The search stopped at its time limit: another run may give another layout.")
        }
        "interrupted" => Some("The search was interrupted: this is the best layout so far."),
        _ => None,
    } {
        items.push(format!("<li>{ended}</li>"));
    }
    items.extend(report.notes.iter().map(|n| format!("<li>{}</li>", prose(n))));
    for warned in warned(layout, report.units) {
        let what = prose(&warned.what);
        items.push(match warned.who.as_slice() {
            [] => format!("<li>{what}</li>"),
            [one] => format!("<li><b>{}:</b> {what}</li>", escape(one)),
            _ => format!("<li>{what}<br><small>{}</small></li>", prose(&warned.who())),
        });
    }
    let undecided = layout.notes.iter().any(Note::undecided);
    items.extend(
        undecided.then(|| format!("<li><b>Joints to decide on:</b> {}.</li>", prose(DECIDE))),
    );
    let told = told_notes(&layout.notes, report.units).into_iter();
    items.extend(told.map(|n| format!("<li><b>{}:</b> {}</li>", escape(&n.head), prose(&n.what))));
    items.extend(layout.unmet.iter().map(|u| format!("<li>{}</li>", prose(&unmet_line(u)))));
    items.extend(assumed(report));
    if items.is_empty() {
        return String::new();
    }
    let bad = undecided || not_ready(layout).is_some() || !layout.warnings.is_empty();
    let class = if bad { "attention" } else { "quiet" };
    format!(
        "<section class=\"{class}\" aria-labelledby=\"notes\">\n<h2 id=\"notes\">Notes and warnings</h2>\n<ul>\n{}\n</ul>\n</section>\n",
        items.join("\n")
    )
}

/// What was assumed, as one item: each key of the job file with the value taken.
fn assumed(report: &Report) -> Option<String> {
    let keys = assumed_keys(&report.layout.assumed, report.units);
    let row = |(key, value): &(String, String)| {
        format!("<dt>{}</dt><dd>{}</dd>", escape(key), escape(value))
    };
    let rows: String = keys.iter().map(row).collect();
    (!rows.is_empty()).then(|| {
        format!(
            "<li><b>Assumed, because the job does not say</b> (the key of the job file that sets it, and the value used)\
             <dl class=\"assumed\">{rows}</dl></li>"
        )
    })
}

/// How the page was made, and the meaning of its words.
pub fn footer(report: &Report) -> String {
    let l = report.layout;
    format!(
        "<footer><p>Made by Tabwright {}, seed {}: the same job, seed and version give the same sheets.</p>\n{}</footer>\n",
        escape(&l.program),
        l.seed,
        glossary()
    )
}

/// The word list.
fn glossary() -> String {
    let mut out = String::from("<h2>Words</h2>\n<dl class=\"words\">\n");
    for Term { word, means, also } in GLOSSARY {
        let also = if also.is_empty() { String::new() } else { format!(" <i>Also: {also}.</i>") };
        let _ = writeln!(out, "<div><dt>{word}</dt><dd>{means}.{also}</dd></div>");
    }
    out.push_str("</dl>\n");
    out
}
