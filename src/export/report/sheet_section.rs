//! A sheet's section of the page.

use super::given::Report;
use super::{front, strips, table, tenths};
use crate::export::drop_outs::{WHAT_TO_DO, cleared_words, drop_out_words, smaller_pieces};
use crate::export::faults::fault_words;
use crate::export::lines::SheetCut;
use crate::export::markup::{escape, prose};
use crate::export::words;
use crate::geometry::Ring;
use crate::layout::{DropOut, HoldDown, Sheet};

/// Heading, facts, picture, table and notes of sheet `i`.
pub fn section(report: &Report, i: usize) -> String {
    let sheet = &report.layout.sheets[i];
    let cut = report.cut(i);
    let n = i + 1;
    let mut out = format!(
        "<section class=\"sheet-page\" id=\"sheet-{n}\" aria-labelledby=\"sheet-{n}-title\">\n\
         <div class=\"sheet-head\">\n<h2 id=\"sheet-{n}-title\"><span class=\"no\">{n}</span> {} <small>{}</small></h2>\n{}\n",
        escape(&words::material(report.units, sheet)),
        escape(&sheet.stock),
        facts(report, i),
    );
    out.push_str(&strips::figure(report, i));
    out.push_str("</div>\n");
    out.push_str(&faults(report, i));
    out.push_str(&tape(report, i));
    out.push_str(&cleared(sheet));
    out.push_str(&drop_outs(report, i));
    out.push_str(&smaller_waste(&cut, report.drop_outs(i).count()));
    out.push_str(&tenths::pictures(report, i));
    out.push_str(&table::parts(report.units, sheet, &cut));
    out.push_str("</section>\n");
    out
}

fn facts(report: &Report, i: usize) -> String {
    let (sheet, units) = (&report.layout.sheets[i], report.units);
    let cut = &sheet.cut;
    let bit = format!(
        "{} ({}, {})",
        escape(&sheet.bit.name),
        words::fine(units, sheet.bit.diameter),
        words::count(cut.flutes as usize, "flute")
    );
    let size = words::sheet_size(units, sheet);
    let size = if sheet.open_length { format!("{size} of a board sold by length") } else { size };
    let mut facts = vec![
        ("size", size),
        ("bit", bit),
        ("least gap", words::fine(units, sheet.gap)),
        ("margin of the sheet", words::fine(units, sheet.margin)),
        ("last pass", words::fine(units, cut.last_pass)),
        ("held down by", held_down(sheet).into()),
        ("waste", waste(sheet)),
    ];
    if let Some(price) = report.prices.get(i).copied().flatten() {
        facts.push(("price", format!("{price:.2}")));
    }
    if let Some(time) = report.layout.time_of(&sheet.id) {
        facts.push(("time to cut, about", words::range_of_time(time)));
    }
    let cells: String =
        facts.iter().map(|(k, v)| format!("<div><dt>{k}</dt><dd>{v}</dd></div>")).collect();
    format!("<dl class=\"sheet-facts\">{cells}</dl>{}", front::share_bar(sheet))
}

/// What holds the skeleton to the bed.
fn held_down(sheet: &Sheet) -> &'static str {
    match (sheet.hold_down, sheet.clamps.is_empty()) {
        (HoldDown::Tape, _) => "double-sided tape under the whole sheet",
        (HoldDown::Clamps, false) => "the clamps or screws as drawn",
        (HoldDown::Clamps, true) => "clamps or screws where circles are drawn",
    }
}

/// The faults of sheet `i`, numbered as on its picture.
fn faults(report: &Report, i: usize) -> String {
    let here: String = report
        .faults(i)
        .map(|f| format!("<li>{}</li>", prose(&fault_words(f, report.units))))
        .collect();
    if here.is_empty() {
        return String::new();
    }
    format!("<p class=\"not-ready\">Not ready to cut:</p>\n<ol class=\"faults\">{here}</ol>\n")
}

/// Where tape goes under the sheet, numbered as on the picture: the place, and the part beside it.
fn tape(report: &Report, i: usize) -> String {
    let (sheet, cut) = (&report.layout.sheets[i], report.cut(i));
    let order = cut.order_of(sheet.parts.len());
    let corner = sheet.outline.bounds().min;
    let line = |(k, strip): (usize, &Ring)| {
        let at = strip.bounds().centre();
        let far = |n: &usize| sheet.parts[*n].outline.edge_distance(at);
        let nearest = (0..sheet.parts.len()).min_by(|a, b| far(a).total_cmp(&far(b)));
        let beside = nearest.map_or(String::new(), |n| {
            let number = order.iter().position(|o| *o == n).map_or(0, |k| k + 1);
            format!(", beside part {number}, {}", escape(&sheet.parts[n].part))
        });
        let place = words::pair_of(report.units, [at.x - corner.x, at.y - corner.y]);
        format!("<li><b>t{}</b> at {place}{beside}</li>", k + 1)
    };
    let here: String = cut.soft.iter().enumerate().map(line).collect();
    if here.is_empty() {
        return String::new();
    }
    format!(
        "<p class=\"notes\"><b>Put double-sided tape under the sheet</b> before you cut, where a tab lands on a strip that gives \
         way (places from the sheet’s top left corner):</p>\n<ul class=\"places\">{here}</ul>\n"
    )
}

fn waste(sheet: &Sheet) -> String {
    let waste = words::percent(sheet.waste_percent);
    if sheet.remnants.is_empty() {
        waste
    } else {
        format!(
            "{waste}, or {} after remnants: the largest rectangle left over counts as kept",
            words::percent(words::waste_after_remnants(sheet))
        )
    }
}

/// The waste to be cleared first.
fn cleared(sheet: &Sheet) -> String {
    let told = cleared_words(sheet)
        .map(|w| format!("<p class=\"notes\"><b>Before the parts:</b> {}.</p>\n", prose(&w)));
    told.unwrap_or_default()
}

/// The waste that the bit can throw, numbered as on the picture, and what to do.
fn drop_outs(report: &Report, i: usize) -> String {
    let words = |(k, d): (usize, &DropOut)| {
        format!("<li><b>w{}</b> {}</li>", k + 1, prose(&drop_out_words(d, report.units)))
    };
    let here: String = report.drop_outs(i).enumerate().map(words).collect();
    if here.is_empty() {
        return String::new();
    }
    format!(
        "<p class=\"notes\"><b>Loose waste at least as wide as the bit</b>: {}.</p>\n<ul class=\"places loose\">{here}</ul>\n",
        prose(WHAT_TO_DO)
    )
}

/// The waste that comes loose beside the `numbered` pieces that are at least as wide as the bit.
fn smaller_waste(cut: &SheetCut, numbered: usize) -> String {
    match smaller_pieces(cut, numbered) {
        0 => String::new(),
        n => format!(
            "<ul class=\"notes\"><li><b>{} of waste {} loose</b> (tinted red): clear {} away before the next part is cut.</li></ul>\n",
            words::count(n, "smaller piece"),
            if n == 1 { "comes" } else { "come" },
            if n == 1 { "it" } else { "them" }
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::LooseWaste;

    /// Pieces that have a number are told with it; only the others are counted here.
    #[test]
    fn waste_is_counted_once() {
        let piece = |comes_loose| LooseWaste { outline: Ring::rectangle(2.0, 2.0), comes_loose };
        let cut =
            SheetCut { loose: vec![piece(true), piece(false), piece(true)], ..SheetCut::default() };
        assert!(smaller_waste(&cut, 0).contains("<b>2 smaller pieces of waste come loose</b>"));
        assert!(smaller_waste(&cut, 1).contains("<b>1 smaller piece of waste comes loose</b>"));
        assert_eq!(smaller_waste(&cut, 2), "");
    }
}
