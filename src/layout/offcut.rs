//! What is left of a sheet and worth keeping, as stock for another job.

use crate::geometry::{Ring, Shape};

/// A piece of a sheet that is left over.
#[derive(Debug, Clone, PartialEq)]
pub struct Offcut {
    /// Its name, as stock: `desk-toy-walnut-6mm-1-left-1`.
    pub name: String,
    /// The material as the job calls it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Direction of the grain, degrees from +x towards +y.
    pub grain_deg: f64,
    /// Margin of the sheet that it comes from, mm.
    pub margin: f64,
    /// The true free outline, the top left of its bounds at the origin.
    pub outline: Shape,
    /// The largest upright rectangle in it, in the same frame.
    pub rectangle: Ring,
}
