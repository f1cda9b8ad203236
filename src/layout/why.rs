//! Why a part is held as it is, as values: what decided the method, the count of tabs and the depth of the last pass.
//!
//! What the hold itself carries (its method, tabs, last pass, margin and what governs it) is not repeated here.

use super::Governs;
use serde::{Deserialize, Serialize};

/// Why this hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Why {
    /// What decided.
    #[serde(flatten)]
    pub because: Because,
    /// Whether its tabs are holding bridges.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bridges: bool,
    /// Whether a skin was judged too and does not hold it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub no_skin: bool,
    /// Whether all tabs were wanted on one side, so that rows of copies lie closer.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub one_side: bool,
    /// How far the cutting force may be off; absent where the hold was not judged as tabs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub force: Option<ForceRange>,
    /// Force that breaks a skin out, N per mm of edge, where it is weakest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub break_out_n_per_mm: Option<f64>,
    /// Area of the face that tape holds, or is too weak to hold, mm².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tape_mm2: Option<f64>,
}

/// What decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "because", rename_all = "kebab-case")]
pub enum Because {
    /// Two tabs hold, and fewer are never planned: losing one still leaves one.
    Minimum,
    /// Fewer tabs hold it only at a shallower last pass.
    FewerAreShallow {
        /// Number of tabs.
        count: usize,
        /// The deepest last pass at which they hold, mm.
        last_pass_mm: f64,
    },
    /// Fewer tabs hold it as well, but only where they stand close together.
    FewerStandClose {
        /// Number of tabs.
        count: usize,
    },
    /// Fewer tabs do not hold it.
    FewerFail {
        /// Number of tabs.
        count: usize,
        /// What fails.
        #[serde(flatten)]
        fails: Shortfall,
    },
    /// The job was stopped before a better plan was found.
    Stopped,
    /// The part, its thickness or the bit has no size.
    NoSize,
    /// No straight run of the outline is long enough for a tab with stock to land on.
    NoSite,
    /// There is room for fewer than two tabs.
    NoRoom,
    /// The cut overloads the part's own section whatever its tabs.
    Overloaded(Shortfall),
    /// No count of tabs holds it.
    TabsFail {
        /// The count that comes nearest.
        count: usize,
        /// Whether these are holding bridges.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        of_bridges: bool,
        /// What fails.
        #[serde(flatten)]
        fails: Shortfall,
    },
    /// The job asks for it.
    Asked,
    /// Where the part lies, the stock it would hang on comes loose.
    ComesLoose,
    /// One of the sets of tabs that were judged, listed to be recomputed.
    Tried {
        /// Whether they are spaced evenly; else the best set found.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        even: bool,
    },
}

/// What fails with a set of tabs, and at what depth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Shortfall {
    /// The demand that is missed by the most.
    pub governs: Governs,
    /// Its margin: value over requirement, under 1.
    pub margin: f64,
    /// The movement at the bit, mm.
    pub movement_mm: f64,
    /// The depth of the last pass, mm.
    pub last_pass_mm: f64,
}

/// The range of the cutting force, as factors on the nominal force.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ForceRange {
    /// The low end of K_c and K_e.
    pub low: f64,
    /// The high end.
    pub high: f64,
    /// The factor at which the first demand that grows with the force has no margin left; absent in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears: Option<f64>,
}

/// How much of the cutting force's range a hold bears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bears {
    /// All of it.
    High,
    /// The nominal force, not the high end.
    Nominal,
    /// The low end, not the nominal force.
    Low,
    /// It does not bear even the low end.
    Nothing,
}

impl ForceRange {
    /// How much of the range the hold bears; for older files it follows from the least margin.
    pub fn borne(&self, least_margin: f64) -> Bears {
        match self.bears.unwrap_or(least_margin) {
            m if m >= self.high => Bears::High,
            m if m >= 1.0 => Bears::Nominal,
            m if m >= self.low => Bears::Low,
            _ => Bears::Nothing,
        }
    }
}

impl Why {
    /// A reason with nothing but what decided.
    pub fn because(because: Because) -> Why {
        Why {
            because,
            bridges: false,
            no_skin: false,
            one_side: false,
            force: None,
            break_out_n_per_mm: None,
            tape_mm2: None,
        }
    }
}
