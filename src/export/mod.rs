//! Out: one SVG a sheet, the page, the text summary.
