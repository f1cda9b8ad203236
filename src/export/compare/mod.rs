//! Stock sizes side by side: what each costs, wastes and leaves, in what order, and why the first is first.

mod order;
mod row;
mod table;
mod verdict;

pub use order::{By, placed_in_order};
pub use row::{CompareRow, GroupTable, PiecesOf};
pub use table::compare_table;
