//! Values that the job left open, and requests that could not be met.

use super::Method;
use crate::units::Units;
use serde::{Deserialize, Serialize};

/// A value that the job does not give, and that the program took instead.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assumed {
    /// Whose value it is.
    pub of: Subject,
    /// What was taken.
    #[serde(flatten)]
    pub value: AssumedValue,
}

/// What an assumed value belongs to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind", content = "name")]
pub enum Subject {
    /// The job as a whole.
    Job,
    /// A bit, by its name.
    Bit(String),
    /// A stock, by its name.
    Stock(String),
    /// A drawing, by its file.
    Drawing(String),
    /// A part, by its name.
    Part(String),
    /// A material, by its name in the job.
    Material(String),
}

/// What was taken, with its unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "what", content = "value")]
pub enum AssumedValue {
    /// The unit of bare numbers.
    Units(Units),
    /// The material.
    Material(String),
    /// Bending strength of a material of the job's own, MPa.
    Strength(f64),
    /// Young's modulus of a material of the job's own, MPa.
    Stiffness(f64),
    /// Cutting force of a material of the job's own, as a multiple of that of the material that it is like.
    CuttingForce(f64),
    /// The known material that supplies the figures which a material of the job's own does not give.
    Like(String),
    /// Which way the flutes wind.
    Spiral(Winding),
    /// Helix angle, degrees, never negative.
    HelixDeg(f64),
    /// Cutting edges.
    Flutes(u32),
    /// Greatest depth of a pass, mm.
    PassDepth(f64),
    /// Feed, mm/min.
    Feed(f64),
    /// Spindle speed, turns a minute.
    Rpm(f64),
    /// Margin kept from the sheet's edge, mm.
    Margin(f64),
    /// Direction of the grain, degrees from +x towards +y.
    GrainDeg(f64),
    /// Pixels per inch of a drawing that states no physical size.
    Dpi(f64),
}

/// Which way a bit's flutes wind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Winding {
    /// Lifts chips, and the part.
    Up,
    /// Presses the part down.
    Down,
    /// Neither.
    Straight,
}

/// A request of the job that the layout does not meet; what could not be placed at all is [`super::Unplaced`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "wish")]
pub enum Unmet {
    /// Extra copies that found no room.
    Spares {
        /// The part's name.
        part: String,
        /// How many were asked for.
        wanted: usize,
        /// How many were placed.
        placed: usize,
    },
    /// Tabs on end grain though long grain, which cleans up better, is preferred: the load leaves no choice.
    CleanTabs {
        /// The part's name.
        part: String,
        /// Outline tabs of all its copies that stand on end grain.
        on_end_grain: usize,
        /// Outline tabs of all its copies.
        tabs: usize,
    },
    /// What is to hold a part does not hold it.
    HoldBy {
        /// The part's name.
        part: String,
        /// What the job asks for.
        wanted: Method,
        /// What holds it, or some of its copies.
        got: Method,
    },
    /// A grain direction for a part whose material has none.
    NoGrain {
        /// The part's name.
        part: String,
        /// Its material.
        material: String,
    },
    /// A pinned copy lies on another sheet than its pin names, since empty sheets before it are not cut.
    PinnedSheet {
        /// The part's name.
        part: String,
        /// Which copy, from 1.
        copy: usize,
        /// The sheet that the pin names, from 1 within its material and thickness.
        wanted: usize,
        /// The sheet that the copy lies on.
        sheet: String,
    },
    /// A pin lays a copy with its grain in another direction than the part asks for.
    GrainPinned {
        /// The part's name.
        part: String,
        /// Which copy, from 1.
        copy: usize,
        /// How far off it is, degrees.
        off_deg: f64,
        /// How far off the job allows, degrees.
        tolerance_deg: f64,
    },
}
