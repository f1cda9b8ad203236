//! The two directions of a sheet.

use crate::geometry::{Point, point};

/// The direction along which a sheet is filled and later compacted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Axis {
    X,
    Y,
}

impl Axis {
    pub fn of(self, p: Point) -> f64 {
        match self {
            Axis::X => p.x,
            Axis::Y => p.y,
        }
    }

    pub fn across(self) -> Axis {
        match self {
            Axis::X => Axis::Y,
            Axis::Y => Axis::X,
        }
    }

    pub fn point(self, along: f64, across: f64) -> Point {
        match self {
            Axis::X => point(along, across),
            Axis::Y => point(across, along),
        }
    }

    pub fn unit(self) -> Point {
        self.point(1.0, 0.0)
    }
}
