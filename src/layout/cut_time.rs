//! How long a cut takes.

use serde::{Deserialize, Serialize};
use std::ops::Add;

/// An estimate of the time to cut, minutes: from a machine that keeps its feed to one that slows at every corner.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct CutTime {
    /// The least.
    pub least_min: f64,
    /// The most.
    pub most_min: f64,
}

impl Add for CutTime {
    type Output = CutTime;
    fn add(self, other: CutTime) -> CutTime {
        CutTime {
            least_min: self.least_min + other.least_min,
            most_min: self.most_min + other.most_min,
        }
    }
}

/// The time of one sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SheetTime {
    /// The sheet's id.
    pub sheet: String,
    /// Its time.
    #[serde(flatten)]
    pub time: CutTime,
}
