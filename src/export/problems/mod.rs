//! What `verify` found, in words: where, what, and what it must be.

mod drawing;
mod hold;
mod job;
mod layout;
mod part;
mod told;

use crate::units::{Units, trimmed};
use crate::verify::{Finding, Problem};
use told::{Told, copy};

/// One line: the sheet, what breaks which rule and by how much, and where.
pub fn problem_line(problem: &Problem, units: Units) -> String {
    let sheet = match problem.sheet.as_str() {
        "" => String::new(),
        id => format!("{id}: "),
    };
    let place = problem.at.map_or(String::new(), |at| format!(", at {}", place(units, at)));
    format!("{sheet}{}{place}", words(problem, units))
}

/// The problem without its sheet and place.
fn words(problem: &Problem, units: Units) -> String {
    let who = match (&problem.part, &problem.other) {
        (Some(a), Some(b)) => format!("{} and {}", copy(a), copy(b)),
        (Some(a), None) => copy(a),
        _ => String::new(),
    };
    let (amount, limit) = (problem.amount.unwrap_or(f64::NAN), problem.limit.unwrap_or(f64::NAN));
    let told = Told { who, amount, limit, units, problem };
    match &problem.found {
        Finding::Layout(found) => layout::words(&told, found),
        Finding::Part(found) => part::words(&told, found),
        Finding::Sheet(found) => part::of_sheet(&told, found),
        Finding::Job(found) => job::words(&told, found),
        Finding::Tab(found) => hold::of_tab(&told, found),
        Finding::Claim(found) => hold::of_claim(&told, found),
        Finding::Drawing(found) => drawing::words(&told, found),
        Finding::Path(found) => drawing::of_path(&told, found),
    }
}

/// `x 12.34, y 5 mm`, from the sheet's top left.
fn place(units: Units, [x, y]: [f64; 2]) -> String {
    let (unit, digits) = if units == Units::In { ("in", 3) } else { ("mm", 2) };
    let show = |mm: f64| trimmed(mm / units.mm(), digits);
    format!("x {}, y {} {unit}", show(x), show(y))
}
