//! Sheets and blocks for the unit tests.

use crate::geometry::{Ring, point};
use crate::layout::{BitUsed, Cut, Hold, HoldDown, Method, PlacedPart, Sheet, Tab};

/// An empty sheet of walnut, 6 mm, for a bit of 3.175 mm.
pub(super) fn sheet(width: f64, height: f64) -> Sheet {
    Sheet {
        id: "s".into(),
        stock: "s".into(),
        material: "walnut".into(),
        called: String::new(),
        thickness: 6.0,
        outline: Ring::rectangle(width, height),
        keep_clear: vec![],
        clamps: vec![],
        hold_down: HoldDown::Clamps,
        margin: 0.0,
        grain_deg: 0.0,
        open_length: false,
        bit: BitUsed { name: "1/8 in".into(), diameter: 3.175, allowance: 0.05 },
        gap: 3.175,
        cut: Cut {
            last_pass: 0.4,
            feed_per_tooth: 0.04,
            flutes: 2,
            helix_deg: 0.0,
            kc: 25.0,
            ke: 2.5,
            factor: 3.0,
        },
        material_constants: None,
        holding: None,
        sheet_area: 0.0,
        part_area: 0.0,
        waste_percent: 0.0,
        remnants: vec![],
        cleared: vec![],
        parts: vec![],
    }
}

/// A rectangle at (x, y) with a tab of 4 mm in the middle of its upper side.
pub(super) fn block(x: f64, y: f64, width: f64, height: f64) -> PlacedPart {
    let (at, out) = (point(x + width / 2.0, y), point(0.0, -1.0));
    PlacedPart {
        part: "block".into(),
        copy: 1,
        spare: false,
        x,
        y,
        rotation_deg: 0.0,
        mirrored: false,
        grain: None,
        outline: Ring::rectangle(width, height).moved(point(x, y)),
        openings: vec![],
        features: vec![],
        hold: Hold {
            method: Method::Tabs,
            why: String::new(),
            reason: None,
            limited_by: None,
            governs: String::new(),
            case: "staged".into(),
            load_n: 5.0,
            last_pass: 0.4,
            safety: 2.0,
            movement_mm: 0.02,
            skin_mm: None,
            figures: None,
            tabs: vec![Tab { at, out, width: 4.0, height: 1.2, ring: 0, waste: false }],
        },
    }
}
