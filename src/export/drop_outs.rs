//! Loose waste in words: which pieces, and what to do.

use super::lines::SheetCut;
use super::words;
use crate::layout::{CLEARED_GROUP, DropOut, Layout, Sheet};
use crate::units::Units;

/// What to do about waste that comes loose.
pub const WHAT_TO_DO: &str = "put double-sided tape under each piece before you cut, or stop before the last pass frees it and lift it \
out; or clear an opening as a pocket, or leave more stock between parts (`web` in a job file) to tie waste to the sheet";

/// The pieces on a sheet, numbered w1, w2, ... in this order on its picture.
pub fn on_sheet<'a>(layout: &'a Layout, sheet: &'a str) -> impl Iterator<Item = &'a DropOut> {
    layout.drop_outs.iter().filter(move |d| d.sheet == sheet)
}

/// `33.7 × 23.7 mm, in opening 1 of base 2`.
pub fn drop_out_words(piece: &DropOut, units: Units) -> String {
    let [width, height] = piece.size_mm;
    let place = match (&piece.part, piece.copy, piece.opening) {
        (Some(part), Some(copy), Some(opening)) => format!("in opening {opening} of {part} {copy}"),
        _ => "between parts".to_string(),
    };
    format!("{}, {place}", words::size(units, width, height))
}

/// What to do about the waste that a sheet's pockets clear; `None` where there are none.
pub fn cleared_words(sheet: &Sheet) -> Option<String> {
    let pieces = words::count(sheet.cleared.len(), "small piece");
    let told = format!(
        "clear {pieces} of waste first, as pockets through the sheet ({CLEARED_GROUP} in its drawing)"
    );
    (!sheet.cleared.is_empty()).then_some(told)
}

/// One line for each sheet in the summary; empty if no such waste comes loose.
pub fn drop_out_lines(layout: &Layout, units: Units) -> Vec<String> {
    let of = |sheet: &Sheet| {
        let pieces: Vec<&DropOut> = on_sheet(layout, &sheet.id).collect();
        let area = |d: &DropOut| d.size_mm[0] * d.size_mm[1];
        let largest = pieces.iter().max_by(|a, b| area(a).total_cmp(&area(b)))?;
        let numbered = match pieces.len() {
            1 => "w1".to_string(),
            2 => "w1 and w2".to_string(),
            n => format!("w1 to w{n}"),
        };
        Some(format!(
            "{}: {} ({numbered} on its picture), the largest {}",
            sheet.id,
            words::count(pieces.len(), "piece"),
            drop_out_words(largest, units)
        ))
    };
    layout.sheets.iter().filter_map(of).collect()
}

/// How many pieces of waste come loose on a sheet beside the `numbered` ones, which are at least as wide as the bit.
pub fn smaller_pieces(cut: &SheetCut, numbered: usize) -> usize {
    cut.loose.iter().filter(|p| p.comes_loose).count().saturating_sub(numbered)
}

/// One line for all sheets: the smaller pieces that come loose, and what to do; `None` where there are none.
pub fn smaller_line(layout: &Layout, cuts: &[SheetCut]) -> Option<String> {
    let on = |(sheet, cut): (&Sheet, &SheetCut)| {
        let pieces = smaller_pieces(cut, on_sheet(layout, &sheet.id).count());
        (pieces > 0).then(|| (pieces, sheet.id.clone()))
    };
    let found: Vec<(usize, String)> = layout.sheets.iter().zip(cuts).filter_map(on).collect();
    let all: usize = found.iter().map(|f| f.0).sum();
    let ids: Vec<String> = found.into_iter().map(|f| f.1).collect();
    (all > 0).then(|| {
        format!(
            "{} of waste {} loose (tinted red on the page; {}): clear {} away before the next part is cut",
            words::count(all, "smaller piece"),
            if all == 1 { "comes" } else { "come" },
            words::few(&ids),
            if all == 1 { "it" } else { "them" }
        )
    })
}
