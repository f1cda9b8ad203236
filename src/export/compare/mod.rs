//! Stock sizes side by side: what each costs, wastes and leaves, in what order, and why the first is first.

mod order;
mod page;
mod row;
mod table;
mod verdict;

pub use order::{By, placed_in_order};
pub use page::compare_page;
pub use row::{CompareRow, GroupTable, PiecesOf, SmallSheet};
pub use table::compare_table;
pub use verdict::COMPARE_INTERRUPTED;
