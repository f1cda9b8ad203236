//! Tape under the face.

use crate::geometry::{Moments, Shape, Vector};
use crate::hold::check::planner::Planner;

/// Shear strength of double-sided tape, MPa (common practice, no source; makers' data are from 0.1 to 0.3).
const TAPE_SHEAR: f64 = 0.10;
/// Its strength in tension and peel, MPa (common practice, no source).
const TAPE_PULL: f64 = 0.05;
/// Required ratio of the tape's strength to its stress.
const SAFETY_TAPE: f64 = 3.0;

/// Tape under the whole face.
#[derive(Debug, Clone, PartialEq)]
pub struct Tape {
    /// Area it holds, mm^2.
    pub area: f64,
    /// Depth of the last pass, mm.
    pub depth: f64,
    /// Worst load, N.
    pub load: f64,
    /// Ratio of its strength to its stress at the worst load.
    pub safety: f64,
}

/// Tape under the part's whole face at the deepest last pass (0.2 mm or more) at which it holds.
///
/// Shear F/A + F r r_max/J, and tension from the lift F_z/A (1 + r r_max A / I) with the least second moment, each against the
/// tape's own strength; the two utilisations add.
pub fn tape(planner: &Planner, shape: &Shape, depths: &[f64]) -> Option<Tape> {
    let area = shape.net_area();
    let (centre, moments) = Moments::of_area(shape)?;
    let [least, _] = moments.principal();
    if least <= 0.0 {
        return None;
    }
    let reach = shape.outline.0.iter().map(|p| p.distance(centre)).fold(0.0, f64::max);
    let shear = 1.0 / area + reach * reach / moments.polar();
    let pull = planner.load.lift * (1.0 / area + reach * reach / least);
    let used = shear / TAPE_SHEAR + pull / TAPE_PULL;
    depths.iter().copied().find_map(|depth| {
        let load = planner.load.worst(depth);
        let safety = 1.0 / (load * used);
        (safety >= SAFETY_TAPE).then_some(Tape { area, depth, load, safety })
    })
}
