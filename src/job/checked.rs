//! A checked job.

use super::bed::MachineBed;
use super::bit::Bit;
use super::feature_bit::FeatureBit;
use super::holding::Holding;
use super::issue::Issue;
use super::material::Material;
use super::part::Part;
use super::refused_part::RefusedPart;
use super::stock::Stock;
use crate::drawing::Reach;
use crate::layout::Assumed;
use crate::units::Units;

/// A checked job: every length is mm, every name known, every number in range.
#[derive(Debug, Clone)]
pub struct Job {
    /// The title at the head of the page.
    pub title: String,
    /// The units of the output.
    pub units: Units,
    /// Seed of every random choice.
    pub seed: u64,
    /// Stock to leave between two kerfs, mm; `None` lets kerfs coincide.
    pub web: Option<f64>,
    /// What the machine takes; `None` if the job does not say.
    pub bed: Option<MachineBed>,
    /// The parts, in the order of the drawings.
    pub parts: Vec<Part>,
    /// One material and thickness each; groups never share a sheet.
    pub groups: Vec<Group>,
    /// How tabs are planned.
    pub holding: Holding,
    /// What could not be used, and is left out: faults of drawings and parts that no bit on hand cuts. The rest is as asked.
    pub left_out: Vec<Issue>,
    /// The parts that this costs.
    pub refused: Vec<RefusedPart>,
    /// Values that the job leaves open, each with the usual one taken, whether or not it is used.
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
    /// Thickness, mm.
    pub thickness: f64,
    /// The bit that cuts the group's outlines.
    pub bit: Bit,
    /// Indices into [`Job::parts`].
    pub parts: Vec<usize>,
    /// The stock it may use, in the order of preference (stock on hand before stock for sale).
    pub stock: Vec<Stock>,
    /// Whether the job has stock of this material and thickness that is larger than the machine's bed.
    pub off_bed: bool,
    /// Of a group without stock: the thickness nearest to its own of the stock of its material, mm.
    pub nearest_thickness: Option<f64>,
    /// The part that keeps a wider bit from cutting the group, if any does.
    pub tightest: Option<Tightest>,
    /// Pockets and holes to drill that its bit is too wide for.
    pub feature_bits: Vec<FeatureBit>,
}

/// The part for which a group is cut with a finer bit than the rest of it needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Tightest {
    /// Its name.
    pub part: String,
    /// What limits its bit.
    pub reach: Reach,
    /// How many parts of the group need the bit chosen, this one among them.
    pub parts: usize,
    /// The next wider bit on hand, which would cut the others, mm.
    pub wider: f64,
}

impl Group {
    /// Least distance between parts: the bit's diameter, or twice that plus the web.
    pub fn gap(&self, web: Option<f64>) -> f64 {
        web.map_or(self.bit.diameter, |web| 2.0 * self.bit.diameter + web)
    }
}
