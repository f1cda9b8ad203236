//! Findings about tabs, what they land on, and what a hold claims.

use crate::layout::Method;
use serde::Serialize;

/// What is wrong with a tab, or with what a part hangs on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum TabFinding {
    /// A part held by tabs has none on its outline.
    NoTabOnOutline,
    /// A skin's thickness is not between 0 and the sheet's.
    SkinThickness,
    /// A tab breaks a rule for tabs.
    BadTab {
        /// Number of the tab, from 1.
        tab: usize,
        /// What is wrong with it.
        flaw: TabFlaw,
    },
    /// The bit does not fit between two tabs.
    TabsTooNear {
        /// Number of the tab, from 1.
        tab: usize,
        /// Index of the other part in the sheet's list.
        next: usize,
    },
    /// A tab lands in the kerf of another part.
    LandsInKerf {
        /// Number of the tab, from 1.
        tab: usize,
        /// How deep.
        depth_mm: f64,
    },
    /// A tab lands in the kerf of its own part.
    LandsInOwnKerf {
        /// Number of the tab, from 1.
        tab: usize,
        /// How deep.
        depth_mm: f64,
    },
    /// A tab lands off the sheet.
    LandsOffSheet {
        /// Number of the tab, from 1.
        tab: usize,
    },
    /// A tab lands on a keep-clear area.
    LandsOnKeepClear {
        /// Number of the tab, from 1.
        tab: usize,
        /// The area.
        area: usize,
    },
    /// The sheet is to be held by clamps, but no piece of it carries a clamp or has room for one.
    NoRoomForClamp,
    /// The paths as drawn cut the part off from all stock that stays.
    CutOff,
    /// All that the part hangs on comes loose.
    HangsLoose,
    /// Every tab of the part's outline lands on a strip of stock that bends away under the cut.
    NoFirmLanding {
        /// How far the firmest of them gives, mm.
        gives_mm: f64,
    },
    /// A tab lands on no stock that stays.
    TabUnanchored {
        /// Number of the tab, from 1.
        tab: usize,
        /// Its ring.
        ring: usize,
        /// Whether there is stock that comes loose; `false` where there is no stock.
        stock: bool,
    },
}

/// What is wrong with the figures of a hold, or with the figures they are based on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum ClaimFinding {
    /// A figure of the hold is not finite or below 0.
    HoldNotFinite,
    /// The sheet does not state what its holds are checked against.
    NoConstants,
    /// A constant of the cutting force is outside the material's range.
    ForceConstant {
        /// `kc` or `ke`.
        constant: &'static str,
        /// Lowest value of the range.
        low: f64,
        /// Highest value of the range.
        high: f64,
    },
    /// The factor of the load is not that of the material.
    LoadFactor,
    /// The sheet requires too little of its holds.
    RequiresTooLittle {
        /// The requirement, as the file names it.
        requirement: &'static str,
    },
    /// The sheet lets its parts move too far.
    AllowsTooMuch,
    /// The sheet's last pass is deeper than a part on it is held for.
    LastPassTooDeep,
    /// Nothing holds the part.
    NotHeld,
    /// The load of a hold is not that of its cut, N.
    Load,
    /// The last pass of a hold is not between 0 and the sheet's thickness.
    LastPass,
    /// A tab is narrower than the job allows.
    TabTooNarrow {
        /// Number of the tab, from 1.
        tab: usize,
    },
    /// A tab is lower than the last pass, which cuts it away.
    TabTooLow {
        /// Number of the tab, from 1.
        tab: usize,
    },
    /// The part hangs on a single tab.
    SingleTab,
    /// A claimed safety is higher than that of a rigid part on its springs allows.
    Claimed {
        /// Which safety.
        safety: Safety,
        /// What the rigid model gives.
        rigid: f64,
        /// The factor by which a claim may exceed that.
        factor: f64,
    },
    /// A claimed movement is smaller than that of a rigid part on its springs.
    MovesMore {
        /// Whether all cuts are done already and the pass is repeated.
        repeated: bool,
    },
    /// The safety is not the least of its figures.
    SafetyOfFigures,
    /// The least margin is below 1, so the part is not held.
    DoesNotHold,
    /// The least margin is above that of one of its figures.
    MarginOfFigures {
        /// The figure, as the file names it.
        figure: &'static str,
    },
    /// An edge is farther from its nearest tab than the figures say.
    Overhang,
    /// The tabs by which the part keeps an island of waste bear less than they must.
    KeepsTooWeakly,
    /// More reaches the part through its tabs for an island of waste than its own tabs are planned for, N.
    HelpsTooMuch,
    /// A skin or tape holds with too low a safety.
    SafetyTooLow {
        /// Skin or tape.
        method: Method,
    },
}

/// What is wrong with a tab.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TabFlaw {
    /// One of its numbers is not finite.
    NotFinite,
    /// The part has no such ring.
    NoSuchRing(usize),
    /// Its width is not above 0.
    Width(f64),
    /// Its height is not above 0, or above the sheet's thickness.
    Height {
        /// The height.
        height_mm: f64,
        /// The sheet's thickness.
        thickness_mm: f64,
    },
    /// It is lower than the sheet by so little that the upper pass only skims it.
    Skimmed(f64),
    /// The length of its direction `out` is not 1.
    OutLength(f64),
    /// It is off its ring.
    OffEdge {
        /// The ring.
        ring: usize,
        /// How far off.
        by_mm: f64,
    },
    /// Its direction points into the part.
    PointsInward,
    /// Its direction is not square to the edge; degrees off.
    NotSquare(f64),
    /// It sits across a corner; its angle, degrees.
    AcrossCorner(f64),
    /// The edge bends away from its root.
    Bends {
        /// How far.
        by_mm: f64,
        /// The tab's width.
        width_mm: f64,
    },
    /// It sits on an edge that the job keeps clear of tabs.
    OnTabFreeEdge,
}

/// A safety that a hold claims.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Safety {
    /// Of the tabs in the last pass.
    Tabs,
    /// Of the tabs when all cuts are done and the pass is repeated.
    TabsRepeated,
    /// Of a skin.
    Skin,
    /// Of tape.
    Tape,
}
