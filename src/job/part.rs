//! A part to make.

use super::holding::HoldBy;
use crate::geometry::{Pose, Ring, Shape};
use crate::layout::Feature;
use std::f64::consts::PI;

/// A kind of part, with how many are made of it and how it may lie.
#[derive(Debug, Clone)]
pub struct Part {
    /// Unique in the job.
    pub name: String,
    /// The drawing it comes from.
    pub drawing: String,
    /// Outline and openings in mm, top left of the bounds at the origin.
    pub shape: Shape,
    /// Pockets, drill holes, engravings and marks, in the shape's frame.
    pub features: Vec<Feature>,
    /// Copies to make.
    pub quantity: usize,
    /// Extra copies, placed when there is room.
    pub spares: usize,
    /// Whether another copy is welcome where it costs nothing, should the part be fragile.
    pub spare_if_free: bool,
    /// Which of its own directions runs with the grain.
    pub grain: Grain,
    /// Greatest angle between that direction and the grain, radians.
    pub grain_tolerance: f64,
    /// Whether it may be flipped.
    pub mirror: bool,
    /// Poses that the user pinned, each with the number of the group's sheet (from 0).
    pub pins: Vec<(usize, Pose)>,
    /// Whether its inside corners may keep the bit's radius, including those of joints and sharp clefts.
    pub rounded: bool,
    /// What is to hold it.
    pub hold_by: HoldBy,
    /// Lines (open or closed) along edges that stay clear of tabs.
    pub tab_free: Vec<Ring>,
}

/// Which way a part's grain should run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grain {
    /// The way that makes the part strongest; the holding stage finds it.
    Strong,
    /// This direction of the part, radians from +x towards +y.
    Along(f64),
    /// Whichever direction packs best.
    Any,
}

/// One orientation of a part: flipped first, then rotated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Orientation {
    /// Radians from +x towards +y, on a sheet whose grain runs along +x.
    pub rotation: f64,
    /// Flipped (x becomes -x) first.
    pub mirrored: bool,
}

/// The orientations that a part may have on a sheet whose grain runs along +x; other sheets add their own grain angle.
#[derive(Debug, Clone, PartialEq)]
pub struct Turns {
    /// The preferred orientations.
    pub orientations: Vec<Orientation>,
    /// How far a rotation may be off each of them, radians; [`Turns::ANY`] for any angle.
    pub tolerance: f64,
}

impl Turns {
    /// The tolerance that means any angle.
    pub const ANY: f64 = PI;

    /// The two orientations that lay a part's direction `grain` along the sheet's grain; flipped ones too
    /// where `mirror` allows them.
    ///
    /// A flip takes the direction `g` to `pi - g`, so a flipped part is rotated by `g`, not `-g`.
    pub fn along(grain: f64, tolerance: f64, mirror: bool) -> Self {
        let mut orientations = vec![];
        for half in [0.0, PI] {
            orientations.push(Orientation { rotation: half - grain, mirrored: false });
            if mirror {
                orientations.push(Orientation { rotation: half + grain, mirrored: true });
            }
        }
        Turns { orientations, tolerance: tolerance.min(Self::ANY) }
    }

    /// Any angle, flipped too where `mirror` allows it.
    pub fn free(mirror: bool) -> Self {
        let both = [false, true].into_iter().filter(|&m| mirror || !m);
        let orientations = both.map(|mirrored| Orientation { rotation: 0.0, mirrored }).collect();
        Turns { orientations, tolerance: Self::ANY }
    }

    /// Exactly the given rotations in degrees, no flip.
    pub fn steps_deg(degrees: &[f64]) -> Self {
        let orientations = degrees
            .iter()
            .map(|d| Orientation { rotation: d.to_radians(), mirrored: false })
            .collect();
        Turns { orientations, tolerance: 0.0 }
    }

    /// Whether every angle is allowed.
    pub fn any(&self) -> bool {
        self.tolerance >= Self::ANY
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Vector, point};

    #[test]
    fn every_orientation_lays_the_grain_along_x() {
        let grain = 0.4;
        for o in Turns::along(grain, 0.0, true).orientations {
            let pose = Pose { rotation: o.rotation, mirrored: o.mirrored, ..Pose::default() };
            let laid = pose.apply_vector(point(1.0, 0.0).turned(grain));
            assert!(laid.y.abs() < 1e-12, "{o:?}: {laid:?}");
        }
    }
}
