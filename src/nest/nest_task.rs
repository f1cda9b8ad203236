//! The input of the nest, and its result.

use crate::geometry::{Point, Pose, Ring, Shape};
use crate::job::{Stock, Turns};
use std::sync::atomic::AtomicBool;
use std::time::Duration;

/// Parts of one material and thickness, and the stock they may be cut from.
#[derive(Debug, Clone)]
pub struct NestTask {
    /// The kinds of part.
    pub parts: Vec<NestPart>,
    /// The stock, in the order of preference.
    pub sheets: Vec<Stock>,
    /// Diameter of the bit, mm: landings keep this far from other parts' edges.
    pub kerf: f64,
    /// Least distance between parts, mm; 0 for benchmark data.
    pub gap: f64,
    /// Seed of every random choice.
    pub seed: u64,
    /// When to stop.
    pub budget: Budget,
    /// Threads to use; the result does not depend on it while the budget counts moves.
    pub threads: usize,
}

/// When the search stops: at whichever limit comes first; without limits, after a number of moves that grows with the number of
/// parts.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Budget {
    /// Moves tried (in a move a part is taken up and put down at its best place).
    pub moves: Option<u64>,
    /// Wall time; a result that it ended may differ from run to run.
    pub time: Option<Duration>,
}

/// A kind of part to place.
#[derive(Debug, Clone)]
pub struct NestPart {
    /// Its name.
    pub name: String,
    /// Outline and openings, mm.
    pub shape: Shape,
    /// Copies that must be placed.
    pub copies: usize,
    /// Extra copies, placed where the sheets in use have room.
    pub spares: usize,
    /// The orientations it may take on a sheet whose grain runs along +x.
    pub turns: Turns,
    /// Alternative holds, any of which will do: for each, the stock that must stay beyond the kerf, in the part's frame (convex
    /// rings: where its tabs land). Empty where no stock need stay.
    pub holds: Vec<Vec<Ring>>,
    /// Poses the user pinned: number of the sheet (from 0) and pose, for copies 1, 2, ...
    pub pins: Vec<(usize, Pose)>,
}

/// How the caller stops the search and follows its progress.
#[derive(Clone, Copy)]
pub struct Control<'a> {
    /// Set to end the search with the best valid layout so far.
    pub stop: &'a AtomicBool,
    /// Called at each improvement, from any thread.
    pub progress: Option<&'a (dyn Fn(Progress) + Sync)>,
}

/// Progress of the search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Moves tried so far.
    pub moves: u64,
    /// The move budget, if there is one.
    pub of: Option<u64>,
    /// Sheets in use in the best valid layout.
    pub sheets: usize,
    /// Length used of its last sheet, mm, along the direction of compaction.
    pub length: f64,
}

/// The layout found.
#[derive(Debug, Clone, PartialEq)]
pub struct Nested {
    /// The sheets used.
    pub sheets: Vec<NestedSheet>,
    /// Copies without a place.
    pub unplaced: Vec<NotPlaced>,
    /// What ended the search.
    pub ended: Ended,
    /// Moves tried.
    pub moves: u64,
    /// Evaluations of a part's overlap at a place, summed over all workers.
    pub evaluations: u64,
}

/// One sheet with its parts.
#[derive(Debug, Clone, PartialEq)]
pub struct NestedSheet {
    /// Index into [`NestTask::sheets`].
    pub stock: usize,
    /// For stock of open length, the length used, trim included, mm.
    pub length: Option<f64>,
    /// The parts.
    pub placed: Vec<Placed>,
    /// Rectangles left over that are worth keeping, largest first, sheet coordinates.
    pub remnants: Vec<Ring>,
}

/// A copy where it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Index into [`NestTask::parts`].
    pub part: usize,
    /// Which copy, from 1; spares follow.
    pub copy: usize,
    /// Whether it is an extra copy.
    pub spare: bool,
    /// Where it lies.
    pub pose: Pose,
    /// Index into [`NestPart::holds`]; 0 where there are none.
    pub hold: usize,
}

/// A copy without a place.
#[derive(Debug, Clone, PartialEq)]
pub struct NotPlaced {
    /// Index into [`NestTask::parts`].
    pub part: usize,
    /// Which copy, from 1.
    pub copy: usize,
    /// Why.
    pub reason: Reason,
}

/// Why a copy has no place.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// It fits on no stock even alone: its least extents in the orientations it may take, mm.
    TooBig {
        /// Extent along x, mm.
        width: f64,
        /// Extent along y, mm.
        height: f64,
    },
    /// There is no stock of the group's material and thickness.
    NoStock,
    /// It would fit, but the stock is used up.
    StockUsedUp,
    /// Its outline encloses no area or is not finite.
    NoArea,
    /// A pin puts it outside the sheet, onto keep-clear or too near another pinned part.
    PinInTheWay {
        /// What is in the way.
        fault: PinFault,
    },
}

/// The reason why a pin cannot be used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PinFault {
    /// It names a sheet that does not exist.
    NoSheet {
        /// The sheet, from 0.
        sheet: usize,
    },
    /// Its place is not finite.
    NotFinite,
    /// Its place is off the sheet or in the margin.
    OffSheet {
        /// The place, mm.
        at: Point,
    },
    /// It is too near to a keep-clear area or to the sheet's edge.
    NearEdge,
    /// It is too near to another part.
    NearPart {
        /// Index into [`NestTask::parts`].
        part: usize,
        /// Which copy of it.
        copy: usize,
    },
}

/// What ended the search; of several reasons, the greatest is reported.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ended {
    /// The move budget, or no further improvement was possible.
    Budget,
    /// The time limit.
    TimeLimit,
    /// The caller's stop.
    Interrupted,
}

impl Ended {
    /// The name used in layout files.
    pub fn name(self) -> &'static str {
        match self {
            Ended::Budget => "budget",
            Ended::TimeLimit => "time-limit",
            Ended::Interrupted => "interrupted",
        }
    }
}
