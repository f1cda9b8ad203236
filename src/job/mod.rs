//! The job: what to make, of which material, with which bits. Checked here once, trusted afterwards.

mod bed;
mod bit;
mod build;
mod checked;
mod checker;
mod depth;
mod doubt;
mod file;
mod group;
mod holding;
mod issue;
mod length;
mod material;
mod material_table;
mod own_material;
mod part;
mod parts;
mod refused_part;
mod stock;

pub use bed::MachineBed;
pub use bit::{Bit, Spiral};
pub use build::{build, read_options};
pub use checked::{Group, Job};
pub use checker::Drawings;
pub use doubt::{Doubt, Grade, INCHES_OF_BIT, Odd, Quantity, question};
pub use file::{BitTable, DrawingTable, JobFile, StockList, StockTable, nearest};
pub use holding::{Freeing, Hang, HoldBy, Holding, Prefer};
pub use issue::{Issue, IssueKind, Issues, ValueKind};
pub use length::{Length, SizeText};
pub use material::{Material, MaterialKind, Range, find_material, materials, stand_in};
pub use material_table::MaterialTable;
pub use part::{Grain, Orientation, Part, Turns};
pub use refused_part::{Refusal, RefusedPart};
pub use stock::Stock;
