//! Inputs of the unit tests: plain rectangles on plain panels, mm.

use super::nest_task::NestPart;
use crate::geometry::{Ring, Shape};
use crate::job::{Stock, Turns};

/// A rectangle that may not be rotated, without tabs.
pub(super) fn rectangle(width: f64, height: f64, copies: usize) -> NestPart {
    NestPart {
        name: "rectangle".into(),
        shape: Shape::new(Ring::rectangle(width, height), vec![]),
        copies,
        spares: 0,
        turns: Turns::steps_deg(&[0.0]),
        holds: vec![],
        pins: vec![],
    }
}

/// A panel, in any number.
pub(super) fn panel(width: f64, height: f64, margin: f64) -> Stock {
    Stock {
        name: "panel".into(),
        material: "walnut".into(),
        thickness: 6.0,
        outline: Ring::rectangle(width, height),
        open_length: false,
        quantity: None,
        price: None,
        margin,
        keep_clear: vec![],
        clamps: vec![],
        grain: 0.0,
    }
}
