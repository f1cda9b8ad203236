//! The sheet that a part is cut from, as mechanics sees it.

use crate::job::Material;

/// A sheet with its grain in a direction of the part's frame.
#[derive(Clone, Copy)]
pub struct GrainedSheet<'a> {
    /// mm.
    pub thickness: f64,
    pub material: &'a Material,
    /// Direction of the grain, radians; `None` where there is none, or it is not known.
    pub grain: Option<f64>,
}
