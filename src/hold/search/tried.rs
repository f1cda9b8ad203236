//! The counts of tabs that were tried for a plan.

use crate::hold::check::figures::Figures;
use crate::layout::Tab;

/// One count of tabs that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// How many tabs.
    pub count: usize,
    /// Their widths, mm.
    pub widths: Vec<f64>,
    /// Their height, mm.
    pub height: f64,
    /// Deepest last pass at which the best set holds; `None` where it holds at none.
    pub deepest: Option<f64>,
    /// Figures of the best set, at that depth or at the shallowest.
    pub figures: Figures,
    /// The best set, in the order of its last pass.
    pub tabs: Vec<Tab>,
    /// Figures of the same number of evenly spaced tabs, of the same size and depth, where they fit; made for
    /// [`crate::hold::plan_compared`].
    pub even: Option<Figures>,
    /// Those tabs; empty where they do not fit.
    pub even_tabs: Vec<Tab>,
}
