//! Cutting: the order, the compensated paths, and a simulated cut that shows the stock left of the sheet.
//!
//! Paths are centre-lines of the bit, half its diameter outside each outline and inside each opening: an *upper pass*, closed, down
//! to the tabs' height, and a *through pass*, open at the tabs. Holding bridges, tabs of the sheet's full thickness, open both. The
//! simulated cut sweeps the bit's disc along them at both depths and checks the result: every part whole, every tab as wide as
//! planned, every part hanging on skeleton that is clamped.
//!
//! Slots, holes and gaps as wide as the bit are cut along their middle, or by a plunge.
//!
//! Uses `geometry`, `layout`, the material table of `job` and `drawing`'s rule for the reach of a bit; does not depend on how the
//! sheet was nested.

mod anchor;
mod axis;
#[cfg(test)]
mod by_hand;
mod centre_line;
mod clamped;
mod cut_fault;
mod cut_plan;
mod detail;
mod hosts;
mod kept_waste;
mod landing;
mod order;
mod passes;
mod path;
mod ready;
mod region;
mod skeleton;
mod standing;
mod stock_gap;
mod sweep;
mod time_to_cut;
mod tour;
mod upper;
mod usable;
mod waste_pocket;
mod web;
mod whole;

pub use anchor::{PartTie, SKIN_LEFT, TabTie, Tie, WastePiece};
pub use clamped::{any_clamped, clamp_rooms, main_clamped};
pub use cut_fault::CutFault;
pub use cut_plan::{CutPlan, faults_of, part_order, plan_cut};
pub use detail::Widened;
pub use kept_waste::last_of;
pub use landing::Landing;
pub use order::{Operation, Work};
pub use path::{PartPaths, Pass, PassKind, Path};
pub use skeleton::{Skeleton, landing_on_skeleton};
pub use standing::Standing;
pub use stock_gap::StockGap;
pub use time_to_cut::time_to_cut;
pub use waste_pocket::pockets;
pub use web::Web;
