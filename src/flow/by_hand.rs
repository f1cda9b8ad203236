//! Nests of the unit tests: plain rectangles on priced panels, mm.

use crate::geometry::{Ring, Shape};
use crate::job::{Stock, Turns};
use crate::nest::{Budget, NestPart, NestTask};

/// Rectangles (width, height, copies) that may not be rotated, on panels (width, height, price) without a margin.
pub(super) fn task(parts: &[(f64, f64, usize)], sheets: &[(f64, f64, f64)], gap: f64) -> NestTask {
    let part = |&(width, height, copies): &(f64, f64, usize)| NestPart {
        name: format!("{width} x {height}"),
        shape: Shape::new(Ring::rectangle(width, height), vec![]),
        copies,
        spares: 0,
        turns: Turns::steps_deg(&[0.0]),
        holds: vec![],
        pins: vec![],
    };
    let sheet = |&(width, height, price): &(f64, f64, f64)| Stock {
        price: Some(price),
        margin: 0.0,
        ..Stock::plain("walnut", 6.0, Ring::rectangle(width, height))
    };
    NestTask {
        parts: parts.iter().map(part).collect(),
        sheets: sheets.iter().map(sheet).collect(),
        kerf: gap,
        gap,
        seed: 1,
        budget: Budget::default(),
        threads: 1,
    }
}
