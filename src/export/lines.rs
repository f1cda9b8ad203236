//! The cut of a sheet, as far as drawings show it: plain data, so that drawing it needs no planning.

use crate::geometry::{Point, Ring};

/// The part of a sheet's cut that the drawings show.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SheetCut {
    /// Centre-lines of the bit, in the order of cut.
    pub lines: Vec<CutLine>,
    /// Indices into [`Sheet::parts`](crate::layout::Sheet::parts) in the order their outlines are cut;
    /// missing parts follow, in the layout's order.
    pub order: Vec<usize>,
    /// Waste that stock of full depth does not tie to the clamped skeleton.
    pub loose: Vec<LooseWaste>,
    /// Where tape goes under the sheet: strips round the landings that give way under the cut.
    pub soft: Vec<Ring>,
    /// Where a clamp has room at the sheet's edge: centres of discs of 20 mm.
    pub rooms: Vec<Point>,
}

/// A line that the bit's centre follows.
#[derive(Debug, Clone, PartialEq)]
pub struct CutLine {
    /// Index into [`Sheet::parts`](crate::layout::Sheet::parts).
    pub part: usize,
    /// Its ring: 0 for the outline, openings from 1.
    pub ring: usize,
    /// What the pass does.
    pub kind: LineKind,
    /// Its depth, mm from the sheet's top.
    pub depth: f64,
    /// Its points; of a closed line the first is not repeated. A single point is a plunge.
    pub points: Vec<Point>,
    /// Whether the bit returns to the first point.
    pub closed: bool,
}

/// What a pass does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineKind {
    /// Down to the top of the tabs.
    Upper,
    /// Through the sheet, open at the tabs.
    Through,
    /// Down to the skin.
    Skin,
}

/// A piece of waste that comes free of the skeleton, or hangs on tabs.
#[derive(Debug, Clone, PartialEq)]
pub struct LooseWaste {
    /// Its edge.
    pub outline: Ring,
    /// Whether nothing holds it.
    pub comes_loose: bool,
}

impl SheetCut {
    /// Every part's index once, in the order of cut, for a sheet of `parts` parts.
    pub fn order_of(&self, parts: usize) -> Vec<usize> {
        let mut seen = vec![false; parts];
        let all = self.order.iter().copied().chain(0..parts);
        all.filter(|&i| i < parts && !std::mem::replace(&mut seen[i], true)).collect()
    }
}
