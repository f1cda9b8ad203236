//! What `verify` found, in words: where, what, and what it must be.

mod drawing;
mod hold;
mod job;
mod layout;
mod part;
mod told;

use super::words::count;
use crate::layout::Layout;
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

/// The last line of a check: whether the layout is good, and how much was held against the rules. `drawings` is how many
/// drawings lay beside it.
pub fn verdict_line(layout: &Layout, drawings: usize, problems: usize) -> String {
    if problems > 0 {
        return format!("bad: {} broken", count(problems, "rule"));
    }
    let parts = layout.sheets.iter().map(|s| s.parts.len()).sum();
    let (parts, sheets) = (count(parts, "part"), count(layout.sheets.len(), "sheet"));
    let paths = match drawings {
        0 => "; no drawing lies beside the layout, so no path was checked".to_string(),
        n => format!(", and in the paths of {}", count(n, "drawing")),
    };
    format!("good: every rule is kept by {parts} on {sheets}{paths}")
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_verdict_counts_what_was_checked() {
        let layout = Layout::new("empty", 1);
        let line = |drawings, problems| verdict_line(&layout, drawings, problems);
        assert_eq!(
            line(1, 0),
            "good: every rule is kept by 0 parts on 0 sheets, and in the paths of 1 drawing"
        );
        assert!(line(0, 0).ends_with("no drawing lies beside the layout, so no path was checked"));
        assert_eq!([line(2, 1), line(0, 3)], ["bad: 1 rule broken", "bad: 3 rules broken"]);
    }
}
