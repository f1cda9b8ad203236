//! What a layout is checked against besides its own geometry.
//!
//! The job's demands come as plain values, so that this stage need not know the job's types.

use crate::geometry::{Pose, Ring, Shape};
use crate::layout::{Drawn, Feature, HoldDown, PartGrain};

/// What a layout is checked against besides its own geometry.
#[derive(Debug, Clone, Copy)]
pub struct Rules<'a> {
    /// How far a distance may fall short, mm. Figures that carry several roundings (a copy's pose and
    /// points, a tab's place) may be off by ten times this.
    pub tolerance: f64,
    /// The job's copies of each part, spares not counted; `None` when the job is not at hand.
    pub counts: Option<&'a [(String, usize)]>,
    /// The job's shapes, in the parts' own frames; `None` when the job is not at hand.
    pub shapes: Option<&'a [(String, Shape)]>,
    /// The drawings beside the layout, one a sheet; `None` when only the layout is at hand.
    pub drawings: Option<&'a [Drawn]>,
    /// Whether the layout must be all that a maker needs: every part placed and held, every figure there to be checked.
    pub complete: bool,
    /// What the job requires of parts and stock; `None` when the job is not at hand.
    pub asked: Option<&'a Asked>,
}

impl Default for Rules<'_> {
    fn default() -> Self {
        Rules {
            tolerance: 1e-6,
            counts: None,
            shapes: None,
            asked: None,
            drawings: None,
            complete: false,
        }
    }
}

impl Rules<'_> {
    /// Tolerance of figures that carry several roundings, mm.
    pub(super) fn slack(&self) -> f64 {
        10.0 * self.tolerance
    }
}

/// What a job requires.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// Its parts.
    pub parts: Vec<AskedPart>,
    /// The stock it may use.
    pub stock: Vec<AskedStock>,
    /// What holds the sheets down, if the job says.
    pub hold_down: Option<HoldDown>,
}

/// A part as the job requires it.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedPart {
    /// Its name in the job.
    pub name: String,
    /// The material's name, as sheets have it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Copies to make; they are numbered from 1.
    pub copies: usize,
    /// Extra copies that may be placed; their numbers continue.
    pub spares: usize,
    /// Whether it may be flipped.
    pub mirror: bool,
    /// The direction along the grain; `None` if any will do.
    pub grain: Option<PartGrain>,
    /// Where the first copies must lie: number of the sheet among those of the material and thickness (from 0; an empty
    /// sheet before it is not cut, so the copy may lie on an earlier number), and pose.
    pub pins: Vec<(usize, Pose)>,
    /// The features drawn in it, in its own frame.
    pub features: Vec<Feature>,
    /// Whether its inside corners may keep the bit's radius, however sharp they are, including those of joints.
    pub rounded: bool,
}

/// Stock as the job describes it, with the bit and the gap of the parts it serves.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedStock {
    /// Its name in the job.
    pub name: String,
    /// Its material's name, as sheets have it.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// How many there are; `None` for as many as needed.
    pub quantity: Option<usize>,
    /// Its edge, mm.
    pub outline: Ring,
    /// Whether it is sold by length along x: a sheet may be shorter.
    pub open_length: bool,
    /// Least distance from a part to the edge, mm.
    pub margin: f64,
    /// Areas to keep clear: clamps, screws, knots.
    pub keep_clear: Vec<Ring>,
    /// Those that hold the sheet down.
    pub clamps: Vec<Ring>,
    /// Direction of the grain, degrees.
    pub grain_deg: f64,
    /// Diameter of the bit, mm.
    pub bit: f64,
    /// Least distance between parts, mm.
    pub gap: f64,
}
