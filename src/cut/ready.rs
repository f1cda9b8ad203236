//! A sheet made ready to plan: what every step of the plan needs.

use super::cut_fault::CutFault;
use super::detail::Details;
use super::hosts::{Opening, hosts};
use super::usable::usable;
use crate::layout::{PlacedPart, Sheet};
use rayon::prelude::*;

/// The sheet, with the opening that each part lies in and each part's narrow details.
pub(super) struct Ready<'a> {
    pub sheet: &'a Sheet,
    /// By part: whether its numbers describe a shape.
    pub usable: Vec<bool>,
    /// By part: the opening it lies in.
    pub hosts: Vec<Option<Opening>>,
    /// By part: its details that are no wider than the bit.
    pub details: Vec<Details>,
}

impl<'a> Ready<'a> {
    /// The sheet, with a fault for each part that is not usable.
    pub fn new(sheet: &'a Sheet, faults: &mut Vec<CutFault>) -> Self {
        let usable = usable(sheet, faults);
        Ready::of(sheet, usable)
    }

    /// The sheet with the parts that are `usable`.
    pub fn of(sheet: &'a Sheet, usable: Vec<bool>) -> Self {
        let details = |(part, usable): (&PlacedPart, &bool)| {
            if *usable { Details::of(part, &sheet.bit) } else { Details::default() }
        };
        let details = sheet.parts.par_iter().zip(&usable).map(details).collect();
        Ready { sheet, hosts: hosts(sheet, &usable), details, usable }
    }

    /// The usable parts.
    pub fn parts(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.usable.len()).filter(|&i| self.usable[i])
    }
}
