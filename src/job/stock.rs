//! Stock: what is bought, or on hand.

use crate::geometry::Ring;

/// A kind of sheet or board that a group may use.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Its name in the job.
    pub name: String,
    /// The material's name.
    pub material: String,
    /// mm.
    pub thickness: f64,
    /// Its edge, top left of its bounds at the origin. An open-length board is as long along x as it is sold.
    pub outline: Ring,
    /// Sold by length along x: only the length used counts.
    pub open_length: bool,
    /// How many there are; `None` for as many as needed.
    pub quantity: Option<usize>,
    /// Price of one, or of a metre of an open-length board; `None` when unknown or on hand.
    pub price: Option<f64>,
    /// Least distance from a part to the edge, mm.
    pub margin: f64,
    /// Clamps, screws, knots.
    pub keep_clear: Vec<Ring>,
    /// Direction of the grain, radians from +x towards +y.
    pub grain: f64,
}
