//! What `verify` found, as values: `export` makes the words, in the user's units.
//!
//! Lengths are mm, angles degrees. Tabs, openings, areas and remnants are numbered from 1; ring 0 is the outline, a higher
//! ring the opening of that number. The measured value and the limit are in the [`Problem`](super::Problem).

mod drawing_findings;
mod hold_findings;
mod job_findings;
mod layout_findings;
mod part_findings;

pub use drawing_findings::{DrawingFinding, PathFinding, Shown};
pub use hold_findings::{ClaimFinding, Safety, TabFinding, TabFlaw};
pub use job_findings::JobFinding;
pub use layout_findings::{LayoutFinding, Record};
pub use part_findings::{Difference, Edge, Figure, PartFinding, Reference, RingFlaw, SheetFinding};

use serde::Serialize;

/// What was found, with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Finding {
    /// What is wrong with the layout as a whole.
    Layout(LayoutFinding),
    /// What is wrong with a part where it lies, or with one of the edges of a sheet.
    Part(PartFinding),
    /// What is wrong with a sheet or with the stock left of it.
    Sheet(SheetFinding),
    /// What differs from the job.
    Job(JobFinding),
    /// What is wrong with a tab, or with what a part hangs on.
    Tab(TabFinding),
    /// What is wrong with the figures of a hold, or with the figures they are based on.
    Claim(ClaimFinding),
    /// How a drawing differs from its layout.
    Drawing(DrawingFinding),
    /// What is wrong with the cuts of a drawing's paths and the stock they leave.
    Path(PathFinding),
}

impl From<LayoutFinding> for Finding {
    fn from(found: LayoutFinding) -> Finding {
        Finding::Layout(found)
    }
}

impl From<PartFinding> for Finding {
    fn from(found: PartFinding) -> Finding {
        Finding::Part(found)
    }
}

impl From<SheetFinding> for Finding {
    fn from(found: SheetFinding) -> Finding {
        Finding::Sheet(found)
    }
}

impl From<JobFinding> for Finding {
    fn from(found: JobFinding) -> Finding {
        Finding::Job(found)
    }
}

impl From<TabFinding> for Finding {
    fn from(found: TabFinding) -> Finding {
        Finding::Tab(found)
    }
}

impl From<ClaimFinding> for Finding {
    fn from(found: ClaimFinding) -> Finding {
        Finding::Claim(found)
    }
}

impl From<DrawingFinding> for Finding {
    fn from(found: DrawingFinding) -> Finding {
        Finding::Drawing(found)
    }
}

impl From<PathFinding> for Finding {
    fn from(found: PathFinding) -> Finding {
        Finding::Path(found)
    }
}
