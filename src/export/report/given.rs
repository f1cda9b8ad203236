//! What the page is made from.

use crate::export::drop_outs::on_sheet;
use crate::export::lines::SheetCut;
use crate::layout::{DropOut, Fault, Layout};
use crate::units::Units;

/// The content of the page.
#[derive(Debug, Clone, Copy)]
pub struct Report<'a> {
    /// The job, placed.
    pub layout: &'a Layout,
    /// The cut of each sheet, in the order of [`Layout::sheets`]; a sheet without one is drawn without it.
    pub cuts: &'a [SheetCut],
    /// The units of the page.
    pub units: Units,
    /// The price of each sheet, in the order of [`Layout::sheets`], where the job gives one.
    pub prices: &'a [Option<f64>],
    /// Further facts about the whole job: an assumed scale, a bit that was passed over.
    pub notes: &'a [String],
}

impl Report<'_> {
    /// The faults of sheet `i`.
    pub(super) fn faults(&self, i: usize) -> impl Iterator<Item = &Fault> {
        let of_sheet = move |f: &&Fault| f.sheet == self.layout.sheets[i].id;
        self.layout.faults.iter().filter(of_sheet)
    }

    /// The waste that comes loose on sheet `i`, in the order of its numbers there.
    pub(super) fn drop_outs(&self, i: usize) -> impl Iterator<Item = &DropOut> {
        on_sheet(self.layout, &self.layout.sheets[i].id)
    }

    /// The cut of sheet `i`; an empty one where there is none.
    pub(super) fn cut(&self, i: usize) -> SheetCut {
        self.cuts.get(i).cloned().unwrap_or_default()
    }
}
