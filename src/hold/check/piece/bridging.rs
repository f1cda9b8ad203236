//! Other sites than those of ordinary tabs.

use super::{Planner, sites};

impl Planner<'_> {
    /// Takes sites for tabs of these widths, mm, ascending; `beside` as for `Rules::sites`.
    pub fn bridging(&mut self, widths: &[f64], beside: f64) {
        self.widths = widths.to_vec();
        self.sites = sites(self.task, &self.contour, self.ring, widths, beside);
        self.beams.take();
    }
}
