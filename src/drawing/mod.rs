//! Reads drawings: SVG text becomes parts in mm, with every fault named and placed.
//!
//! ```text
//! XML -> page -> walk (style, element, curve) -> join -> rings -> assemble -> copies
//!        scale   lines in mm, what is left out   chains  checked  parts       counted
//! ```
//!
//! SVG is read here from the XML tree (crate `roxmltree`), with path data, transforms and lengths parsed
//! by `svgtypes` and style sheets by `simplecss`, all in f64. The renderer's tree of crate `usvg` is
//! not used: it keeps f32, and turns arcs into cubics with a tolerance of 0.1 user units, which is
//! 0.03 mm on a circle of 200 mm; it serves as the second opinion in the tests.

mod affine;
mod assemble;
mod border;
mod clip;
mod curve;
mod drawing_fault;
mod element;
mod feature_reach;
mod gap;
mod grid;
mod inspect;
mod join;
mod joint;
mod limit;
mod lost;
mod meaning;
mod names;
mod neck;
mod options;
mod own_sheet;
mod pinch;
mod reach;
mod read;
mod repeats;
mod ring_check;
mod seen;
mod sheet_file;
mod style;
mod unreached;
mod viewport;
mod walk;

pub use assemble::DrawnPart;
pub use drawing_fault::{DrawingError, DrawingFault, Flaw, Meeting, Severity, Unseen};
pub use feature_reach::feature_reach;
pub use inspect::{BitReport, Inspection, LeftReport, inspect};
pub use joint::{JOINT_FIT, JointEnd, finger_ends, joint_ends};
pub use limit::{DETAIL, Limit, Reach};
pub use neck::{Neck, thinnest_neck};
pub use options::{MarkRule, MarkedBy, ReadOptions};
pub use reach::{largest_bit, limits};
pub use read::{Drawing, read, stated_units};
pub use seen::SeenMark;
pub use sheet_file::read_sheet_file;
pub use unreached::{Corner, Unreached, corners, unreached};
pub use viewport::ScaleSource;
