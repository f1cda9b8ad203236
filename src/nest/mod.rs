//! Placing parts on sheets: fewest sheets, then the least waste, then the best remnant.
//!
//! 1. Each part in each orientation it may take is split into convex pieces (`shapes`); for each pair the no-fit region is a list
//!    of convex sums, grown by the distance that the pair must keep (`no_fit`). A layout in the making is a `placing::state`.
//! 2. `construct` makes valid layouts at once: bottom-left in several orders, in rows and in lattices; of upright rectangles the
//!    best of many, decoded on a skyline.
//! 3. `separate` packs on: the last sheet is compacted; parts may overlap meanwhile, and a guided local search removes the overlap.
//! 4. `sheets` leads: first layouts, sheets dropped and emptied, the search within its `budget`, remnants. Where tabs found no
//!    clamped stock to land on, it makes the layout again with passages or webs beside their parts.
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
pub use shapes::least_width::least_width;
pub use sheets::group_nest::{First, Improved, Nest};
pub use sheets::remnant::{remnant_clear_of, worth_keeping};
pub use sheets::rooms::{CopyOf, Passage, Rooms, TabRoom};
pub use sheets::webbed::Webbed;

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
