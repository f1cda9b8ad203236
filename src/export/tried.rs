//! The counts tried as a table: why this part gets these tabs.

use super::columns::{Align, columns};
use super::warnings;
use super::why::{bears_words, depth, governs_words, input_words, why_words};
use super::words::{count, fine, precise};
use crate::hold::{HoldPlan, HoldTask, Tried, turn_gain};
use crate::layout::InputOff;
use crate::mechanics::Load;
use crate::units::{N_PER_LBF, Units};
use std::fmt::Write;

/// The caution that stands under every plan.
pub const CAUTION: &str = "An estimate from handbook means, not a guarantee: test on scrap first. Wear eye and hearing protection, \
keep clear of the cutter, follow the machine's manual and your local codes.";

/// The name of the stock in a layout of the sets that were tried.
pub const TRIED_STOCK: &str = "large enough for all sets side by side";

/// The title of a layout of the sets that were tried for a part of a job.
pub fn tried_title(job: &str, part: &str) -> String {
    format!("{job}: tabs tried for {part}")
}

/// Heads of the table's columns.
pub const HEADS: [&str; 11] = [
    "tabs",
    "width",
    "height",
    "last pass",
    "tabs",
    "part",
    "movement",
    "one lost",
    "repeated",
    "even",
    "limited by",
];

/// The plan in words and figures for a terminal: the method and why, one row for each count tried, the load, the effect of the
/// cutting force's range, warnings and the caution. With `why` also the reason each count was refused and the inputs
/// that matter most.
pub fn tried_table(task: &HoldTask, plan: &HoldPlan, units: Units, why: bool) -> String {
    let h = &plan.hold;
    let mut out = format!("{}: {}\n", h.method.name(), why_words(h, units));
    let rows = tried_rows(plan, units);
    if !rows.is_empty() {
        let rows: Vec<Vec<String>> =
            std::iter::once(HEADS.map(String::from)).chain(rows).map(Vec::from).collect();
        let _ = write!(out, "\n{}", columns(&[Align::Left; HEADS.len()], &rows));
        out.push_str(
            "Margins are strength, or a limit, divided by what is required: 1.0 or more passes. 'even': the same number of tabs, spaced evenly.\n",
        );
    }
    let _ = writeln!(out, "{}", load_words(&plan.load, h.load_n, h.last_pass, units));
    if let (Some(f), Some(force)) = (&plan.figures, h.reason.as_ref().and_then(|r| r.force)) {
        let bears = f.bears();
        let _ = writeln!(
            out,
            "The hold {}: it bears {bears:.2} times the load; at the high end of the force it is {:.1} times the load.",
            bears_words(force.borne(bears)),
            force.high
        );
    }
    if let Some(f) = &plan.figures {
        let _ = writeln!(
            out,
            "If the pass is repeated: safety {:.2}, movement {}. Best place to end the last pass: tab 1.",
            f.free_safety,
            precise(units, f.free_movement)
        );
    }
    if let Some(gain) = turn_gain(task).filter(|g| g.times > 1.05) {
        let _ = writeln!(
            out,
            "With the grain at {:.0} degrees in the part, its weakest neck would be {:.1} times as strong.",
            gain.grain.to_degrees(),
            gain.times
        );
    }
    if why {
        explain(&mut out, plan, units);
    }
    for w in &plan.warnings {
        let _ = writeln!(out, "Warning: {}", warnings::kind_words(w, units));
    }
    let _ = writeln!(out, "{CAUTION}");
    out
}

/// The worst load, and its terms.
fn load_words(load: &Load, worst: f64, last_pass: f64, units: Units) -> String {
    let (unit, per) = match units {
        Units::Mm => ("N/mm", 1.0),
        Units::In => ("lbf/in", units.mm() / N_PER_LBF),
    };
    format!(
        "Load: {} at worst (last pass {}, {:.2} {unit} nominal, x {} for grain and wear; range {:.2} to {:.2} \
         {unit}; {:.0} % of it independent of feed).",
        units.force(worst),
        fine(units, last_pass),
        load.nominal * per,
        load.factor,
        load.low * per,
        load.high * per,
        100.0 * load.edge_share
    )
}

/// `2 tabs`, `1 holding bridge`.
fn name(tried: &Tried) -> String {
    count(tried.count, if tried.figures.bridged { "holding bridge" } else { "tab" })
}

fn explain(out: &mut String, plan: &HoldPlan, units: Units) {
    for t in &plan.tried {
        let f = &t.figures;
        let least = f.least();
        let verdict = match (t.count, t.deepest) {
            (1, Some(_)) => "holds",
            (1, None) => "does not hold",
            (_, Some(_)) => "hold",
            (_, None) => "do not hold",
        };
        let _ = writeln!(
            out,
            "{} {verdict} at a last pass of {}: least margin {:.2}, {}; the part moves {} while it is cut.",
            name(t),
            depth(units, f.depth),
            least.value,
            governs_words(&least.what, units),
            precise(units, f.movement)
        );
    }
    let inputs = plan.hold.figures.iter().flat_map(|f| &f.inputs);
    let rows: Vec<Vec<String>> = inputs.map(|i| input_row(i, units)).collect();
    if !rows.is_empty() {
        out.push_str(
            "Sensitivity (change of the least margin if one input is off by this much):\n",
        );
        out.push_str(&columns(&[Align::Left, Align::Left, Align::Right], &rows));
    }
}

fn input_row(input: &InputOff, units: Units) -> Vec<String> {
    let (name, off) = input_words(input, units);
    vec![name, off, format!("{:+.0} %", 100.0 * input.change + 0.0)]
}

/// One row for each count tried: sizes and depth in `units`, margins as value over requirement (1.0 or more passes).
///
/// The movement's column gives the movement itself. "even" is the least margin of as many tabs of the same
/// height spaced evenly, at the same depth. A count that holds at no depth is shown at its shallowest.
pub fn tried_rows(plan: &HoldPlan, units: Units) -> Vec<[String; 11]> {
    plan.tried
        .iter()
        .map(|t| {
            let f = &t.figures;
            let widths: Vec<String> = t.widths.iter().map(|w| units.show(*w)).collect();
            let same = widths.windows(2).all(|w| w[0] == w[1]);
            let ratio = |v: f64| if v < 100.0 { format!("{v:.2}") } else { "> 100".into() };
            let depth = match t.deepest {
                Some(d) => units.show(d),
                None => format!("none holds ({})", units.show(f.depth)),
            };
            [
                if f.bridged { name(t) } else { t.count.to_string() },
                if same { widths.first().cloned().unwrap_or_default() } else { widths.join(" + ") },
                units.show(t.height),
                depth,
                ratio(f.tabs.value),
                ratio(f.part.value),
                precise(units, f.movement),
                ratio(f.gone.value),
                ratio(f.repeat.value),
                t.even.as_ref().map_or("no room".into(), |e| ratio(e.least().value)),
                governs_words(&f.least().what, units),
            ]
        })
        .collect()
}
