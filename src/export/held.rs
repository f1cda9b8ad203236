//! How every part of a job is held, one row each: our places compared with as many tabs spaced evenly.

use super::columns::{Align, columns};
use super::why::limit_words;
use super::why::most_by;
use super::words;
use crate::layout::{Hold, Method};
use crate::units::Units;

/// A part's hold, and what as many evenly spaced tabs would give.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldRow {
    /// The part's name.
    pub part: String,
    /// Its hold.
    pub hold: Hold,
    /// Thickness of its sheet, mm.
    pub thickness: f64,
    /// Least margin and movement, mm, of the best places found for as many tabs, before any is made narrower;
    /// `None` if the part is not held by tabs.
    pub best: Option<(f64, f64)>,
    /// The same for as many tabs spaced evenly, same size and last pass; `None` if they do not fit.
    pub even: Option<(f64, f64)>,
}

/// The rows as a table in `units`; margins are value over requirement, 1.0 or more passes.
///
/// A plan's tabs may be narrower than the search's, so only `best places` and `even places` compare like with like.
pub fn held_table(rows: &[HeldRow], units: Units) -> String {
    let heads = [
        "part",
        "held by",
        "last pass",
        "load",
        "safety",
        "margin",
        "moves",
        "best places",
        "moves",
        "even places",
        "moves",
        "limited by",
        "most sensitive to",
    ];
    let mut cells = vec![heads.map(String::from).to_vec()];
    for row in rows {
        let h = &row.hold;
        let margin = h.figures.as_ref().map_or("-".into(), |f| ratio(f.least_margin));
        let pair = |of: Option<(f64, f64)>| match of {
            Some((margin, moves)) => [ratio(margin), movement(units, moves)],
            None => ["-".to_string(), "-".to_string()],
        };
        let ([best, best_moves], [even, even_moves]) = (pair(row.best), pair(row.even));
        let held = h.method != Method::None;
        cells.push(vec![
            row.part.clone(),
            words::held(units, h, row.thickness),
            if held { words::fine(units, h.last_pass) } else { "-".into() },
            units.force(h.load_n),
            if held { ratio(h.safety) } else { "-".into() },
            margin,
            if held { movement(units, h.movement_mm) } else { "-".into() },
            best,
            best_moves,
            even,
            even_moves,
            limit_words(h, units),
            most_by(h).unwrap_or_else(|| "-".into()),
        ]);
    }
    use Align::{Left, Right};
    let mut sides = [Right; 13];
    (sides[0], sides[1], sides[11], sides[12]) = (Left, Left, Left, Left);
    columns(&sides, &cells)
}

/// One digit more than elsewhere, since these are compared.
fn movement(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{mm:.3} mm"),
        Units::In => format!("{:.4} in", mm / units.mm()),
    }
}

/// Two digits, no false precision above a hundred.
fn ratio(v: f64) -> String {
    if v < 100.0 { format!("{v:.2}") } else { "> 100".into() }
}
