//! What the page is made from.

use crate::export::drop_outs::on_sheet;
use crate::export::lines::SheetCut;
use crate::layout::{DropOut, Fault, Layout};
use crate::units::Units;

/// What the page tells.
#[derive(Debug, Clone, Copy)]
pub struct Report<'a> {
    /// The job, placed.
    pub layout: &'a Layout,
    /// The cut of each sheet, in the order of [`Layout::sheets`]; what is missing is drawn without.
    pub cuts: &'a [SheetCut],
    /// What the page speaks.
    pub units: Units,
    /// The price of each sheet, in the order of [`Layout::sheets`], where the job gives one.
    pub prices: &'a [Option<f64>],
    /// What else the reader must know of the whole job: an assumed scale, a bit that was passed over.
    pub notes: &'a [String],
}

impl Report<'_> {
    /// The faults of sheet `i`.
    pub(super) fn faults(&self, i: usize) -> impl Iterator<Item = &Fault> {
        let of_sheet = move |f: &&Fault| f.sheet == self.layout.sheets[i].id;
        self.layout.faults.iter().filter(of_sheet)
    }

    /// The waste that comes loose on sheet `i`, as it is numbered there.
    pub(super) fn drop_outs(&self, i: usize) -> impl Iterator<Item = &DropOut> {
        on_sheet(self.layout, &self.layout.sheets[i].id)
    }

    /// The cut of sheet `i`; an empty one where there is none.
    pub(super) fn cut(&self, i: usize) -> SheetCut {
        self.cuts.get(i).cloned().unwrap_or_default()
    }
}
