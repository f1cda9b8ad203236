//! Freeing a part by hand: whether its tabs can be snapped or sawn without breaking it.

use super::figures::SAFETY_PART;
use crate::geometry::{Contour, Vector};
use crate::hold::part::sections::Chord;
use crate::job::Freeing;
use crate::layout::is_full;
use crate::mechanics::Beam;

/// Side load of a fine saw or knife on a tab, N (common practice, no source).
const SAW_LOAD: f64 = 5.0;
/// Greatest distance from the saw to where the part is gripped, mm (common practice, no source).
const GRIP: f64 = 10.0;
/// How much stronger the part must be than a tab that is snapped off: hands are not exact (estimate).
const SNAP_RESERVE: f64 = 1.5;

/// A part's sections as they bear the freeing of a tab.
pub struct ByHand<'a> {
    /// The sections.
    pub necks: &'a [Chord],
    /// Their mean bending strengths, MPa.
    pub strengths: &'a [f64],
    /// Thickness of the sheet, mm.
    pub thickness: f64,
    /// The ring that the tabs are on.
    pub contour: &'a Contour,
    /// How tabs are freed; a holding bridge is always sawn off.
    pub freeing: Freeing,
}

impl ByHand<'_> {
    /// The least ratio of what a section bears to what freeing the tab at `s` asks of it, and the section; infinite where none
    /// bends.
    ///
    /// Only sections with the tab on the side with the shorter edge bend: the hand holds the larger side. Snapped: the section's
    /// bending strength out of the plane over 1.5 times the tab's own, sigma w h^2/6. Sawn: a side load of 5 N at the tab on its
    /// lever to the section (up to 10 mm, where fingers hold), in the plane and out of it, safety 2.
    pub fn margin(&self, s: f64, beam: &Beam) -> (f64, usize) {
        let mut least = (f64::INFINITY, 0);
        for (k, c) in self.necks.iter().enumerate() {
            if !c.shorter_side(self.contour, s) {
                continue;
            }
            let (b, t) = (c.width, self.thickness);
            let strength = c.share_left() * self.strengths[k];
            let value = if self.freeing == Freeing::Saw || is_full(beam.height, t) {
                let lever = beam.root.distance(c.middle()).clamp(1.0, GRIP);
                strength * (t * b * b).min(b * t * t) / 6.0 / (SAFETY_PART * SAW_LOAD * lever)
            } else {
                let breaks = beam.strength.normal * beam.width * beam.height.powi(2) / 6.0;
                strength * b * t * t / 6.0 / (SNAP_RESERVE * breaks)
            };
            if value < least.0 {
                least = (value, k);
            }
        }
        least
    }
}
