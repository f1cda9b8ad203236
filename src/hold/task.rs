//! The inputs for planning the hold of a part.

use super::model::cache::BodyCache;
use super::part::grained_sheet::GrainedSheet;
use super::part::pockets::weakened;
use super::part::sections::{Chord, chords};
use crate::geometry::{Contour, Ring, Shape};
use crate::job::{Bit, HoldBy, Holding, Material};
use crate::layout::{Feature, Tab};

/// A part to hold.
pub struct HoldTask<'a> {
    /// The part in its own frame.
    pub shape: &'a Shape,
    /// Thickness of the sheet, mm.
    pub thickness: f64,
    /// Its material, with the cutting force to be used.
    pub material: &'a Material,
    /// Directions in the part's frame that the grain may take, radians; the plan holds at each. Empty where there is no grain (or
    /// it is not known: then both along and across are judged).
    pub grain: &'a [f64],
    /// The bit that cuts the outline.
    pub bit: &'a Bit,
    /// The job's wishes.
    pub holding: &'a Holding,
    /// What is to hold it.
    pub by: HoldBy,
    /// Features drawn in the part, in its frame: pockets and holes weaken it.
    pub features: &'a [Feature],
    /// Lines that stay clear of tabs.
    pub tab_free: &'a [Ring],
    /// Its narrow sections by [`chords`], where they are known already.
    pub chords: Option<&'a [Chord]>,
    /// After the nest: whether a tab (in the part's frame) lands on stock that stays; `None` before.
    pub landing_ok: Option<&'a (dyn Fn(&Tab) -> bool + Sync)>,
    /// Cache of its elastic bodies, for the next plan of this part.
    pub bodies: Option<&'a BodyCache>,
}

impl HoldTask<'_> {
    /// The sheet with its grain in that direction.
    pub(super) fn sheet(&self, grain: Option<f64>) -> GrainedSheet<'_> {
        GrainedSheet { thickness: self.thickness, material: self.material, grain }
    }

    /// The part's narrow sections with their net sections at pockets and holes, by the `contours` of its rings.
    pub(super) fn sections(&self, contours: &[Contour]) -> Vec<Chord> {
        let found = self.chords.map_or_else(|| chords(self.shape, contours), <[_]>::to_vec);
        let part = (self.shape, contours);
        weakened(found, part, self.thickness, self.features, self.bit.diameter)
    }
}
