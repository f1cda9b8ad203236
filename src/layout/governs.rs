//! The demand on a hold that comes nearest to failing, as values.

use serde::{Deserialize, Serialize};

/// A demand on a hold. Tabs are numbered from 1 in the order of the hold's list.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Governs {
    /// A tab's strength.
    Tab {
        /// Which tab it is.
        #[serde(flatten)]
        tab: TabNumber,
        /// The stress that comes nearest to its strength.
        stress: TabStress,
    },
    /// The strength of the part's own section.
    Section(SectionAt),
    /// The strength of a part that has no narrow section.
    NoSection,
    /// Movement at the bit.
    Movement,
    /// Strength of the tabs that are left when this one is lost.
    OneLost(TabNumber),
    /// Strength of a single holding bridge when half of its width is lost.
    HalfLost,
    /// Strength and movement with everything severed and the last pass repeated.
    PassRepeated,
    /// Distance of the outline's farthest point from its nearest tab.
    Overhang {
        /// That distance, mm.
        far_mm: f64,
    },
    /// Freeing the part by hand without breaking it.
    Freeing {
        /// Sawn or snapped; absent where no section of the part bends under the hand.
        #[serde(default, flatten, skip_serializing_if = "Option::is_none")]
        of: Option<Freed>,
    },
    /// The skin in its weakest direction.
    Skin,
    /// The tape under the part.
    Tape,
}

/// A tab or a holding bridge by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct TabNumber {
    /// Its number, from 1.
    pub tab: usize,
    /// Whether it is a holding bridge: as high as the sheet is thick.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bridge: bool,
}

/// The stress of a tab that decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TabStress {
    /// Shear.
    Shear,
    /// Bending and tension in a material without grain.
    Bending,
    /// Bending and tension, the tab's span within 30 degrees of the grain.
    Along,
    /// The same, from 30 to 60 degrees off the grain.
    Oblique,
    /// The same, more than 60 degrees off the grain.
    Across,
}

/// A narrow section of a part.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SectionAt {
    /// Its width, mm.
    pub width_mm: f64,
    /// Its middle, mm in the part as it is drawn: from its left and top.
    pub at: [f64; 2],
    /// What weakens it, where something does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weakened: Option<Weakened>,
    /// Whether the grain crosses it: its length runs more than 45 degrees off the grain.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub short_grain: bool,
}

/// What weakens a section.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
pub enum Weakened {
    /// A hole through it.
    Drilled,
    /// A pocket, a groove or a blind hole.
    Pocket {
        /// The least height that stands under it, mm.
        leaves_mm: f64,
    },
}

/// A tab that is freed by hand, and the section that bears it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Freed {
    /// How.
    pub how: FreedBy,
    /// Which tab it is.
    #[serde(flatten)]
    pub tab: TabNumber,
    /// The section.
    pub section: SectionAt,
}

/// How a tab is freed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FreedBy {
    /// With a fine saw or a knife.
    Sawing,
    /// Snapped off by hand.
    Snapping,
}
