//! Problems of the layout as a whole, in words.

use super::told::Told;
use crate::export::faults::fault_words;
use crate::export::unplaced::unplaced_words;
use crate::layout::{FORMAT, VERSION};
use crate::units::trimmed;
use crate::verify::{LayoutFinding, Record};

pub(super) fn words(told: &Told, found: &LayoutFinding) -> String {
    match found {
        LayoutFinding::Format { format, version } => format!(
            "the file is {format} version {version}; this program reads {FORMAT} version {VERSION}"
        ),
        LayoutFinding::NotPlaced { unplaced } => {
            let (part, copy) = (&unplaced.part, unplaced.copy);
            format!("{part} {copy} is not placed: {}", unplaced_words(unplaced, told.units))
        }
        LayoutFinding::NamedFault { fault } => fault_words(fault, told.units),
        LayoutFinding::JointUndecided { part } => format!(
            "{part}: the bit leaves the inside corners of a joint round: relieve them, or accept them with `corners = \"rounded\"`"
        ),
        LayoutFinding::Recorded { figure } => recorded(told, *figure),
        LayoutFinding::PlacedAndLeft { name, number } => {
            format!("{name} {number} is placed, but also listed as not placed")
        }
        LayoutFinding::LeftTwice { name, number } => {
            format!("{name} {number} is listed twice as not placed")
        }
        LayoutFinding::WrongCount { name, asked, placed, left } => format!(
            "{name}: the job asks for {asked}; {placed} are placed and {left} listed as not placed"
        ),
        LayoutFinding::NoSuchPart { name } => format!("{name}: the job has no such part"),
    }
}

fn recorded(told: &Told, figure: Record) -> String {
    let both = |key: &str, show: &dyn Fn(f64) -> String| {
        format!("{key} is recorded as {}; it is {}", show(told.amount), show(told.limit))
    };
    match figure {
        Record::SheetArea => both("sheet_area", &|v| told.area(v)),
        Record::PartArea => both("part_area", &|v| told.area(v)),
        Record::WastePercent => both("waste_percent", &|v| trimmed(v, 3)),
        Record::PartsPlaced => both("parts_placed", &|v| trimmed(v, 0)),
    }
}
