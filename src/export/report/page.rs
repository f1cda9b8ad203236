//! Puts the page together.

use super::given::Report;
use super::{buying, front, picture, sheet_section, tenths};
use crate::export::markup::escape;
use crate::export::words;
use crate::units::Units;

/// The page as HTML, the same bytes for the same report.
///
/// Drawings are inline SVG with titles; nothing is fetched and no script runs. Measures are in
/// `report.units`, inches as fractions.
pub fn report_html(report: &Report) -> String {
    let title =
        escape(if report.layout.title.is_empty() { "Layout" } else { &report.layout.title });
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}: sheets to cut</title>\n<style>\n{}</style>\n</head>\n<body>\n",
        include_str!("page.css"),
    );
    out.push_str(&picture::definitions(report));
    out.push_str(&tenths::definitions(report));
    out.push_str(&front::header(report, &title));
    out.push_str("<main>\n");
    out.push_str(&front::glance(report));
    out.push_str(&front::attention(report));
    out.push_str(&buying::section(report));
    out.push_str(&cautions(report.units));
    for i in 0..report.layout.sheets.len() {
        out.push_str(&sheet_section::section(report, i));
    }
    out.push_str("</main>\n");
    out.push_str(&front::footer(report));
    out.push_str("</body>\n</html>\n");
    out
}

/// The usual cautions of the trade. Sources: HSE Woodworking Information Sheets 22 and 23, WorkSafe New
/// Zealand "Woodworking CNC machines", OSHA 3157; restated in our own words.
fn cautions(units: Units) -> String {
    let deeper = words::hair(units, 0.1);
    format!(
        "<section class=\"cautions\" aria-labelledby=\"cautions\">
<h2 id=\"cautions\">Before you cut</h2>
<ul>
<li><b>An estimate, not a guarantee.</b> Forces, safety and movement are computed from handbook means for clear, \
dry, straight-grained stock. Knots, wild grain, a worn bit or a loose clamp change them. Cut one part on scrap \
of the same stock first. ‘Safety’ is mean strength over stress at the worst load; ‘least margin’ is the strength of a hold, or a \
limit, divided by what is required, with what limits it: 1.0 or more passes. ‘Most sensitive to’ names the two inputs whose error lowers a part’s least margin most: \
chip or edge force at the high end of its range, the last pass {deeper} too deep, \
tabs too low by that much or too narrow by twice that much, the grain 10° off, the stock weaker or softer by the spread of its kind.</li>
<li><b>Eyes and ears.</b> Wear eye and hearing protection. A part, or waste, that comes free can be thrown.</li>
<li><b>Stay clear of the cutter.</b> Nobody reaches in while the spindle turns; stop it before you clear a piece.</li>
<li><b>Hold the sheet flat,</b> all over, by its skeleton and never by a part. Screws and clamps go where the \
picture says keep clear, and nowhere near a kerf.</li>
<li><b>Dust and fumes.</b> Wood dust harms the lungs, and acrylic that melts gives off vapour: extract at the bit, \
wear a mask made for it, keep chips from smouldering.</li>
<li><b>Manuals and law come first.</b> Follow the manuals of machine and bit and the codes that apply where you work; where a licensed trade or a supervisor is required, ask them.</li>
</ul>
</section>
"
    )
}
