//! A part to make.

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
    /// The part's own direction, radians, that runs with the grain; `None` for material without grain.
    pub grain: Option<f64>,
    /// How it may lie on a sheet whose grain runs along +x.
    pub turns: Turns,
    /// Poses the user pinned, on the group's sheet of that number (from 0).
    pub pins: Vec<(usize, Pose)>,
    /// Lines (open or closed) along edges that stay clear of tabs.
    pub tab_free: Vec<Ring>,
}

/// One way a part may lie: turn first flips, then rotates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Orientation {
    /// Radians from +x towards +y, on a sheet whose grain runs along +x.
    pub rotation: f64,
    /// Flipped (x becomes -x) first.
    pub mirrored: bool,
}

/// The ways a part may lie on a sheet whose grain runs along +x; other sheets add their own grain angle.
#[derive(Debug, Clone, PartialEq)]
pub struct Turns {
    /// The preferred orientations.
    pub orientations: Vec<Orientation>,
    /// How far a turn may leave each of them, radians; [`Turns::ANY`] for any angle.
    pub tolerance: f64,
}

impl Turns {
    /// The tolerance that means any angle.
    pub const ANY: f64 = PI;

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
