//! Findings about differences between the layout and its job.

use super::part_findings::{Difference, Figure};
use crate::layout::HoldDown;
use serde::Serialize;

/// What differs from the job.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum JobFinding {
    /// Its inside corners are noted as accepted, but the job does not accept them.
    CornersNotAccepted {
        /// The part's name.
        part: String,
    },
    /// The copy is flipped, which the job does not allow.
    Flipped,
    /// The copy has a number that the job does not ask for.
    NotAskedFor {
        /// Copies that the job asks for.
        copies: usize,
        /// Spares that it allows.
        spares: usize,
    },
    /// The part lies on another material or thickness than the job asks for.
    OnOtherStock {
        /// The sheet's material.
        material: String,
        /// The job's.
        asked: String,
    },
    /// A pinned copy lies on a later sheet.
    PinnedOnOtherSheet {
        /// The sheet it lies on, from 1.
        number: usize,
        /// The sheet of the pin, from 1.
        pin: usize,
    },
    /// A pinned copy is flipped where its pin is not, or the reverse.
    PinnedFlipped,
    /// A pinned copy lies beside its pin; the amount is the distance.
    PinnedApart,
    /// A pinned copy is rotated from its pin.
    PinnedRotated {
        /// By how much.
        deg: f64,
    },
    /// The sheet is not held down as the job says.
    HeldDown {
        /// What holds it down.
        by: HoldDown,
        /// What the job requires.
        asked: HoldDown,
    },
    /// More sheets are cut from a stock than the job has; amount and limit are the two counts.
    StockUsedUp {
        /// The stock.
        stock: String,
    },
    /// The job has no stock of that name.
    NoSuchStock {
        /// The name.
        stock: String,
    },
    /// The sheet is not of its stock's material.
    StockMaterial {
        /// The stock.
        stock: String,
        /// The sheet's material.
        material: String,
        /// The stock's, by the job.
        asked: String,
    },
    /// A figure of the sheet differs from that of its stock; amount and limit are the two.
    StockFigure {
        /// The stock.
        stock: String,
        /// The figure.
        figure: Figure,
    },
    /// The sheet's outline is not the outline of its stock.
    StockOutline {
        /// The stock.
        stock: String,
        /// How they differ.
        differ: Difference,
    },
    /// The sheet has a clamp that its stock does not have.
    StrangeClamp {
        /// The stock.
        stock: String,
    },
    /// The sheet lacks a keep-clear area of its stock.
    KeepClearMissing {
        /// The stock.
        stock: String,
    },
}
