//! Differences between a layout and its job, in words.

use super::part::{difference, figure_name};
use super::told::Told;
use crate::layout::HoldDown;
use crate::units::trimmed;
use crate::verify::{Figure, JobFinding};

pub(super) fn words(told: &Told, found: &JobFinding) -> String {
    let who = &told.who;
    let (amount, limit) = (told.mm(told.amount), told.mm(told.limit));
    match found {
        JobFinding::CornersNotAccepted { part } => {
            format!(
                "the layout notes the inside corners of {part} as accepted; the job does not accept them"
            )
        }
        JobFinding::Flipped => format!("{who} is flipped; the job does not allow it"),
        JobFinding::NotAskedFor { copies, spares } => {
            format!("{who} is not one of the job's {copies} copies and {spares} spares")
        }
        JobFinding::OnOtherStock { material, asked } => {
            format!("{who} lies on {material} of {amount}; the job asks for {asked} of {limit}")
        }
        JobFinding::PinnedOnOtherSheet { number, pin } => {
            format!("{who} lies on sheet {number}; its pin puts it on sheet {pin}")
        }
        JobFinding::PinnedFlipped => format!("{who} and its pin differ: one is flipped"),
        JobFinding::PinnedApart => format!("{who} lies {amount} from its pin"),
        JobFinding::PinnedRotated { deg } => {
            format!("{who} is rotated by {} degrees from its pin", trimmed(*deg, 4))
        }
        JobFinding::HeldDown { by, asked } => {
            format!("the sheet is held down by {}; the job asks for {}", held(*by), held(*asked))
        }
        JobFinding::StockUsedUp { stock } => format!(
            "{stock}: {} sheets are cut from it; the job has {}",
            trimmed(told.amount, 0),
            trimmed(told.limit, 0)
        ),
        JobFinding::NoSuchStock { stock } => {
            format!("the sheet is cut from '{stock}'; the job has no such stock")
        }
        JobFinding::StockMaterial { stock, material, asked } => {
            format!("the sheet is of {material}; in the job '{stock}' is {asked}")
        }
        JobFinding::StockFigure { stock, figure: Figure::GrainDeg } => format!(
            "the sheet's grain lies at {} degrees; the job gives '{stock}' a grain at {}",
            trimmed(told.amount, 3),
            trimmed(told.limit, 3)
        ),
        JobFinding::StockFigure { stock, figure } => {
            let figure = figure_name(*figure);
            format!("the {figure} is {amount}; the job gives '{stock}' {limit}")
        }
        JobFinding::StockOutline { stock, differ } => {
            let differ = difference(told, *differ);
            format!("the sheet's outline is not that of '{stock}': {differ}")
        }
        JobFinding::StrangeClamp { stock } => {
            format!("the sheet has a clamp that '{stock}' does not have in the job")
        }
        JobFinding::KeepClearMissing { stock } => {
            format!("the sheet lacks a keep-clear area that '{stock}' has in the job")
        }
    }
}

fn held(by: HoldDown) -> &'static str {
    match by {
        HoldDown::Clamps => "clamps",
        HoldDown::Tape => "tape",
    }
}
