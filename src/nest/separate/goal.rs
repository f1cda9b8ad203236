//! What the search makes shorter.

use crate::nest::placing::sheet_axis::Axis;
use crate::nest::placing::state::FieldId;

/// The quantity to minimise: the length used of the last field along an axis.
#[derive(Debug, Clone, Copy)]
pub struct Goal {
    pub field: FieldId,
    pub axis: Axis,
    /// Lower bound on the length of any layout, mm.
    pub bound: f64,
}
