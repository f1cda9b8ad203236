//! The plan of a part that nothing holds.

use crate::hold::methods::hold_plan::HoldPlan;
use crate::layout::{Because, Hold, Method, Why};
use crate::mechanics::Load;

/// No hold, and why.
pub fn nothing(load: Load, because: Because) -> HoldPlan {
    HoldPlan {
        hold: Hold {
            method: Method::None,
            why: String::new(),
            governs: String::new(),
            reason: Some(Why::because(because)),
            limited_by: None,
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
        necks: vec![],
        warnings: vec![],
    }
}
