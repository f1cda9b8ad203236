//! What hangs on what once every through pass is cut: the sheet less the kerfs (geo's buffer and difference).

use super::Faults;
use super::reading::{Placed, Sheet};
use super::svg::Passes;
use geo::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{
    Area, BooleanOps, Buffer, Contains, Distance, Euclidean, InteriorPoint, MultiLineString,
    MultiPolygon, Polygon,
};

/// How much wider than the bit a kerf is taken, mm, so that no film of rounding stands between two kerfs that coincide.
const FILM: f64 = 0.004;

/// Least piece of stock that tape under the whole sheet holds, mm2.
const TAPED: f64 = 1000.0;

pub fn check(sheet: &Sheet, passes: &Passes, faults: &mut Faults) {
    held(sheet, &pieces(sheet, passes), "at the end", faults);
    // Where parts hang on waste that others keep, after every single pass too: nothing ever hangs in the air.
    if sheet.parts.iter().flat_map(|p| &p.tabs).any(|t| t.waste) {
        let mut left = MultiPolygon::new(vec![sheet.outline.clone()]);
        for pass in &passes.through {
            let kerf = MultiLineString::new(vec![pass.line.clone()]);
            left = left.difference(&kerf.buffer_with_style(kerf_style(sheet)));
            held(sheet, &left, &pass.id, faults);
        }
    }
}

fn held(sheet: &Sheet, pieces: &MultiPolygon, when: &str, faults: &mut Faults) {
    for part in sheet.parts.iter().filter(|p| p.method == "tabs") {
        let Some(piece) = pieces.iter().find(|p| carries(p, part)) else {
            faults.add("vanished", format!("{}: {} is in no piece", sheet.id, part.name));
            continue;
        };
        let taped = |p: &&Placed| matches!(p.method.as_str(), "tape" | "skin") && carries(piece, p);
        let edge = Euclidean.distance(piece.exterior(), sheet.outline.exterior());
        // On a taped sheet a piece of stock holds from 1000 mm2 on (the rule stands in `cut/clamped.rs`), an island too.
        let parts = sheet.parts.iter().filter(|p| carries(piece, p));
        let stock = piece.unsigned_area() - parts.map(|p| p.shape.unsigned_area()).sum::<f64>();
        let by_tape = sheet.taped && stock >= 0.99 * TAPED;
        let held = edge < 1e-3 || by_tape || sheet.parts.iter().any(|p| taped(&p));
        faults.unless(held, "hangs on nothing", || {
            format!("{}: {} is tied to nothing at the sheet's edge, {when}", sheet.id, part.name)
        });
        // Tied to more than itself: the piece is larger than the part.
        let more = piece.unsigned_area() - part.shape.unsigned_area();
        faults.unless(more > 1.0, "free", || format!("{}: {} is cut free", sheet.id, part.name));
    }
}

fn carries(piece: &Polygon, part: &Placed) -> bool {
    part.shape.interior_point().is_some_and(|p| piece.contains(&p))
}

/// What is left of the sheet, piece by piece.
pub fn pieces(sheet: &Sheet, passes: &Passes) -> MultiPolygon {
    let lines = MultiLineString::new(passes.through.iter().map(|p| p.line.clone()).collect());
    sheet.outline.difference(&lines.buffer_with_style(kerf_style(sheet)))
}

fn kerf_style(sheet: &Sheet) -> BufferStyle<f64> {
    let r = sheet.diameter / 2.0 + FILM;
    BufferStyle::new(r).line_cap(LineCap::Round(0.05)).line_join(LineJoin::Round(0.05))
}
