//! Findings about the drawings beside a layout and about what their paths cut.

use super::super::copy_name::CopyName;
use crate::layout::{DrawnFlaw, DrawnKind, FeatureKind};
use serde::Serialize;

/// How a drawing differs from its layout.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum DrawingFinding {
    /// The sheet has no drawing beside the layout.
    NoDrawing,
    /// The sheet's drawing cannot be used.
    DrawingUnreadable {
        /// Why.
        flaw: DrawnFlaw,
    },
    /// The drawing has a group that is not a pass.
    StrangeGroup {
        /// Its id.
        group: String,
    },
    /// The drawing is larger or smaller than the sheet; the amount is the factor.
    Scaled,
    /// The drawing does not show an edge where it lies.
    NotShown {
        /// What is not shown.
        item: Shown,
    },
    /// The drawing shows a line that the layout does not have.
    StrangeLine {
        /// Its id.
        line: String,
    },
    /// A path belongs to no pass of a part on the sheet.
    StrangePath {
        /// Its id.
        path: String,
        /// The id of its group.
        group: String,
    },
    /// A plunge among the lines, or a line among the plunges.
    WrongGroup {
        /// Its id.
        path: String,
        /// The id of its group.
        group: String,
    },
    /// A plunge is drawn with a diameter other than the bit's.
    PlungeDiameter {
        /// Its id.
        path: String,
    },
    /// A ring has a pass that its hold does not require.
    StrangePass {
        /// What the pass does.
        pass: DrawnKind,
        /// Its depth.
        depth_mm: f64,
        /// The ring it goes round.
        ring: usize,
    },
    /// A ring lacks a pass that its hold requires.
    PassMissing {
        /// What the pass does.
        pass: DrawnKind,
        /// Its depth.
        depth_mm: f64,
        /// The ring it goes round.
        ring: usize,
    },
}

/// What is wrong with the cuts of a drawing's paths and the stock they leave.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum PathFinding {
    /// A path cuts into the part.
    Gouged {
        /// Its id.
        path: String,
        /// How deep.
        depth_mm: f64,
    },
    /// A path has a gap where no holding bridge stands.
    PathOpen {
        /// Its id.
        path: String,
    },
    /// A path runs back along itself.
    PathDoublesBack {
        /// Its id.
        path: String,
    },
    /// A path leaves the edge that it follows.
    PathAstray {
        /// Its id.
        path: String,
        /// How far it strays.
        by_mm: f64,
    },
    /// An edge is not cut to a depth.
    NotCut {
        /// Which ring.
        ring: usize,
        /// The depth.
        depth_mm: f64,
        /// Whether no place of the edge is cut to it.
        anywhere: bool,
    },
    /// More stock is left in a corner than the bit's radius leaves; the amounts are mm².
    StockLeft {
        /// Which ring.
        ring: usize,
    },
    /// A path runs across a tab.
    TabCutThrough {
        /// Number of the tab, from 1.
        tab: usize,
    },
    /// The paths leave a tab with another width than planned.
    TabWidth {
        /// Number of the tab, from 1.
        tab: usize,
    },
    /// No path frees a tab at one of its sides.
    TabNotFreed {
        /// Number of the tab, from 1.
        tab: usize,
    },
    /// Deeper passes cut away part of a skin.
    SkinCut {
        /// The fraction that is left, from 0 to 1.
        left: f64,
    },
}

/// An edge that a drawing must show.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shown {
    /// The sheet's edge.
    Sheet,
    /// A keep-clear area.
    KeepClear,
    /// A remnant.
    Remnant,
    /// Waste to be cleared.
    Cleared,
    /// A copy's outline.
    Outline(CopyName),
    /// An opening of a copy.
    Opening(CopyName),
    /// A tab of a copy.
    Tab(CopyName),
    /// A feature of a copy.
    Feature(FeatureKind, CopyName),
}
