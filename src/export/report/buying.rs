//! The buying list on the page.

use super::given::Report;
use crate::export::buying_list::{BUYING_HEADS, buying_rows, buying_total};
use crate::export::markup::escape;
use std::fmt::Write;

/// The section; empty if the layout has no list, as in older files.
pub fn section(report: &Report) -> String {
    let list = &report.layout.to_buy;
    if list.is_empty() {
        return String::new();
    }
    let head = |h: &str| format!("<th scope=\"col\">{h}</th>");
    let heads: String = BUYING_HEADS.iter().map(|h| head(h)).collect();
    let mut out = format!(
        "<section aria-labelledby=\"buy\">\n<h2 id=\"buy\">What you need</h2>\n<table class=\"list\">\n<thead><tr>{heads}</tr></thead>\n<tbody>\n"
    );
    for [item, rest @ ..] in buying_rows(list, report.units) {
        let cells: String = rest.iter().map(|c| format!("<td>{}</td>", escape(c))).collect();
        let _ = writeln!(out, "<tr><th scope=\"row\">{}</th>{cells}</tr>", escape(&item));
    }
    out.push_str("</tbody>\n</table>\n");
    if let Some(total) = buying_total(list) {
        let _ = writeln!(out, "<p>Stock, total: {}.</p>", escape(&total));
    }
    out.push_str("</section>\n");
    out
}
