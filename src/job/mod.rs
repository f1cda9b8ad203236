//! The job: what to make, from what, with which bits. Checked once here, trusted afterwards.

mod bit;
mod build;
mod depth;
mod doubt;
mod file;
mod group;
mod length;
mod material;
mod part;
mod stock;

pub use bit::{Bit, Spiral};
pub use build::{Drawings, build, read_options};
pub use doubt::{Doubt, Grade, Odd, Quantity, question};
pub use file::{BitTable, DrawingTable, JobFile, StockTable, nearest};
pub use length::{Length, Size};
pub use material::{Kind, Material, Range, find_material, materials};
pub use part::{Grain, Orientation, Part, Turns};
pub use stock::Stock;

use crate::layout::{Assumed, HoldDown};
use crate::units::Units;

/// Something wrong, or worth knowing, in a job: where and what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Issue {
    /// `line 3, column 7`, `stock 'walnut'`, `part 'minute-hand'`.
    pub place: String,
    /// What, and what to try.
    pub message: String,
}

impl std::fmt::Display for Issue {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        match self.place.as_str() {
            "" => f.write_str(&self.message),
            place => write!(f, "{place}: {}", self.message),
        }
    }
}

/// Everything wrong with a job, at once.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(Issue::to_string).collect::<Vec<_>>().join("\n"))]
pub struct Issues(pub Vec<Issue>);

/// A checked job: every length is mm, every name known, every number in range.
#[derive(Debug, Clone)]
pub struct Job {
    /// For the page's head.
    pub title: String,
    /// What the output speaks.
    pub units: Units,
    /// Seed of every random choice.
    pub seed: u64,
    /// Stock to leave between two kerfs, mm; `None` lets kerfs coincide.
    pub web: Option<f64>,
    /// The parts, in the order of the drawings.
    pub parts: Vec<Part>,
    /// One material and thickness each; groups never share a sheet.
    pub groups: Vec<Group>,
    /// How tabs are planned.
    pub holding: Holding,
    /// What the job leaves open and was taken as usual, whether or not it is used.
    pub assumed: Vec<Assumed>,
}

/// Parts of one material and thickness, with the bit and the stock they get.
#[derive(Debug, Clone)]
pub struct Group {
    /// `walnut-6mm`: material and thickness, unique in the job.
    pub name: String,
    /// The material as the job calls it.
    pub label: String,
    /// The material, with the job's own cutting force where it gives one.
    pub material: Material,
    /// mm.
    pub thickness: f64,
    /// The bit that cuts the group's outlines.
    pub bit: Bit,
    /// Indices into [`Job::parts`].
    pub parts: Vec<usize>,
    /// The stock it may use, in the order of preference (on hand before for sale).
    pub stock: Vec<Stock>,
}

impl Group {
    /// Least distance between parts: a bit's diameter, or two and the web.
    pub fn gap(&self, web: Option<f64>) -> f64 {
        web.map_or(self.bit.diameter, |web| 2.0 * self.bit.diameter + web)
    }
}

/// How tabs are planned, for the whole job.
#[derive(Debug, Clone, PartialEq)]
pub struct Holding {
    /// How parts are freed afterwards.
    pub freeing: Freeing,
    /// Which sites are preferred where both hold.
    pub prefer: Prefer,
    /// Depth of the last pass, mm; `None` leaves it to the plan.
    pub last_pass: Option<f64>,
    /// Narrowest tab, mm.
    pub min_width: f64,
    /// Widest tab, mm.
    pub max_width: f64,
    /// Greatest distance of a point of the outline from its nearest tab, mm.
    pub max_overhang: f64,
    /// What holds the sheets down; `None` for clamps where there is room, tape where not.
    pub hold_down: Option<HoldDown>,
}

impl Default for Holding {
    fn default() -> Self {
        // Widths: 1-3 mm for tiny parts, up to 12 mm for large (common practice, no source).
        Holding {
            freeing: Freeing::Saw,
            prefer: Prefer::Strong,
            last_pass: None,
            min_width: 1.0,
            max_width: 8.0,
            // A tab every 300 mm of edge (common practice, no source).
            max_overhang: 150.0,
            hold_down: None,
        }
    }
}

/// How parts are freed from their tabs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Freeing {
    /// Sawn or cut with a knife.
    Saw,
    /// Snapped off by hand.
    Snap,
}

/// Which tab sites are preferred.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prefer {
    /// End-grain edges: strong tabs, rougher to clean.
    Strong,
    /// Long-grain edges: weak tabs, clean to sand.
    Clean,
}
