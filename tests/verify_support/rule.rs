//! A table of rules: each with a change that breaks it alone by a little, and one that just does not.

use super::everything::everything;
use tabwright::export::problem_line;
use tabwright::geometry::{Point, Segment};
use tabwright::layout::Layout;
use tabwright::units::Units;
use tabwright::verify::{CopyName, Problem, Rules, What, verify};

/// One rule, and what `verify` must say where it is broken.
pub struct Rule {
    pub name: &'static str,
    /// Changes the good layout; breaks the rule with `bad`, keeps it with `good`.
    pub change: fn(&mut Layout, f64),
    pub bad: f64,
    pub good: f64,
    pub what: What,
    /// `frame 2`, with the word spare for spares; empty for none.
    pub part: &'static str,
    pub other: &'static str,
    /// A stretch on which the place must lie, to 0.011 mm.
    pub place: Option<[[f64; 2]; 2]>,
    pub amount: Option<f64>,
    pub limit: Option<f64>,
    /// Words of the message.
    pub says: &'static str,
}

/// A rule that is broken by 0.01 and kept by 0.01.
pub const BY: Rule = Rule {
    name: "",
    change: |_, _| {},
    bad: 0.01,
    good: -0.01,
    what: What::Record,
    part: "",
    other: "",
    place: None,
    amount: None,
    limit: None,
    says: "",
};

/// As `check` says it.
pub fn said(problem: &Problem) -> String {
    problem_line(problem, Units::Mm)
}

fn named(copy: &Option<CopyName>) -> String {
    let spare = |c: &CopyName| if c.spare { "spare " } else { "" };
    copy.as_ref().map_or(String::new(), |c| format!("{} {}{}", c.part, spare(c), c.copy))
}

fn same(found: Option<f64>, expected: Option<f64>) -> bool {
    match (found, expected) {
        (Some(a), Some(b)) => (a - b).abs() <= 2e-5 * b.abs().max(1.0),
        (None, None) => true,
        _ => false,
    }
}

/// Everything about the one problem that must be reported.
fn judge(rule: &Rule, found: &[Problem], wrong: &mut Vec<String>) {
    let [problem] = found else {
        let said: Vec<String> = found.iter().map(said).collect();
        wrong.push(format!("{}: one problem expected, found {said:#?}", rule.name));
        return;
    };
    let at = problem.at.map(Point::from);
    let placed = match (rule.place, at) {
        (None, _) => true,
        (Some(_), None) => false,
        (Some([a, b]), Some(p)) => {
            Segment::new(Point::from(a), Point::from(b)).distance_to_point(p) <= 0.011
        }
    };
    if problem.what != rule.what
        || named(&problem.part) != rule.part
        || named(&problem.other) != rule.other
        || !placed
        || !same(problem.amount, rule.amount)
        || !same(problem.limit, rule.limit)
        || !said(problem).contains(rule.says)
        // A job in inches hears of no millimetre; names of the sheet and keys of the file are not words.
        || problem_line(problem, Units::In).contains(" mm")
    {
        wrong.push(format!("{}: {problem:#?}", rule.name));
    }
}

/// Every rule of the table, broken alone and just kept.
pub fn hold_to(rules: &Rules, table: &[Rule]) {
    assert_eq!(verify(&everything(), rules), vec![], "the sheet by hand is good");
    let mut wrong = vec![];
    for rule in table {
        let changed = |by: f64| {
            let mut layout = everything();
            (rule.change)(&mut layout, by);
            verify(&layout, rules)
        };
        judge(rule, &changed(rule.bad), &mut wrong);
        if let Some(problem) = changed(rule.good).first() {
            wrong.push(format!("{}: just kept, yet {}", rule.name, said(problem)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
