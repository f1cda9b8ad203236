//! The plan of a part that nothing holds.

use super::words;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::layout::{Hold, Method};
use crate::mechanics::Load;

/// No hold, for this `reason`.
pub fn nothing(load: Load, reason: &str) -> HoldPlan {
    HoldPlan {
        hold: Hold {
            method: Method::None,
            why: format!("no tabs: {reason}; {}", words::CARRIER),
            governs: reason.into(),
            case: "staged".into(),
            load_n: 0.0,
            last_pass: 0.0,
            safety: 0.0,
            movement_mm: 0.0,
            skin_mm: None,
            figures: None,
            tabs: vec![],
        },
        figures: None,
        tried: vec![],
        load,
        range: None,
        influences: vec![],
        necks: vec![],
        warnings: vec![],
    }
}
