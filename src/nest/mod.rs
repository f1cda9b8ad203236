//! Placing parts on sheets: fewest sheets, then the least waste, then the best remnant.
//!
//! 1. `no_fit_table`: each part in each orientation it may take, split into convex pieces (`convex`, `simplify`, `form`), and for
//!    each pair the no-fit region as a list of convex sums (`nofit`), grown by the distance that the pair must keep.
//! 2. A first valid layout, bottom-left, in several orders; for upright rectangles the best of many, decoded on a skyline
//!    (`upright`, `skyline`, `order_search`).
//! 3. Relaxed packing (`search`): sheets are dropped and the last one is compacted; parts may overlap meanwhile, and a guided local
//!    search removes the overlap (`worker`, `team`).
//! 4. Where tabs found no clamped stock to land on, the layout again with a web round their parts (`webbed`).
//!
//! Distances are exact for the outlines as given: pieces and grown sums err towards more distance,
//! and straight edges meet at exactly the gap.

mod budget;
#[cfg(test)]
mod by_hand;
mod construct;
mod nest_task;
mod no_fit;
mod placing;
mod separate;
mod shapes;
mod sheets;

pub use nest_task::{
    Budget, Control, Ended, NestPart, NestTask, Nested, NestedSheet, NotPlaced, PinFault, Placed,
    Progress, Reason,
};
pub use no_fit::no_fit_table::least_width;
pub use sheets::group_nest::{First, Improved, Nest};
pub use sheets::remnant::{remnant_clear_of, worth_keeping};
pub use sheets::webbed::{CopyOf, TabRoom, Webbed};

/// The best layout found within the budget.
///
/// Relaxed packing with guided local search on exact no-fit regions (Egeblad, Nielsen & Odgaard, EJOR 183, 2007). Lengths are mm.
/// Every placement keeps the gap, the margins and the landings' room to about 1e-10 of the sheet's extent. The same problem gives
/// the same answer at any number of threads unless the time limit ended it. Nothing is lost: each required copy is either placed or
/// listed with the reason. It never fails, and runs until the budget is used up or `control` stops it.
pub fn nest(problem: &NestTask, control: &Control<'_>) -> Nested {
    let nest = Nest::new(problem);
    nest.improve(nest.first(), problem.budget, control)
}
