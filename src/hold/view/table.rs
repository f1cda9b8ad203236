//! The counts tried as a table: why this part gets these tabs.

use crate::hold::check::sensitivity::Influence;
use crate::hold::check::turn::turn_gain;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::methods::words::CAUTION;
use crate::hold::task::HoldTask;
use crate::units::{Units, trimmed};
use std::fmt::Write;

/// Heads of the table's columns.
pub const HEADS: [&str; 11] = [
    "tabs",
    "wide",
    "high",
    "last pass",
    "tabs",
    "part",
    "movement",
    "one gone",
    "repeated",
    "even",
    "what decides",
];

/// The plan in words and figures for a terminal: the method and why, one row for each count tried, the load, what the
/// cutting force's range leaves, warnings and the caution. With `why` also what refused each count and which inputs
/// matter most.
pub fn table(task: &HoldTask, plan: &HoldPlan, units: Units, why: bool) -> String {
    let h = &plan.hold;
    let mut out = format!("{}: {}\n", h.method.name(), h.why);
    let rows = rows(plan, units);
    if !rows.is_empty() {
        out.push('\n');
        out.push_str(&aligned(&rows));
        out.push_str(
            "Margins are strength (or limit) over what is required, 1 and up holds; 'even' is as many tabs spaced evenly.\n",
        );
    }
    let load = &plan.load;
    let _ = writeln!(
        out,
        "Load: {:.1} N at the worst ({} mm last pass, {:.2} N/mm nominal, x {} for grain and wear; range {:.2} to {:.2} N/mm; {:.0} % of it whatever the feed).",
        h.load_n,
        trimmed(h.last_pass, 3),
        load.nominal,
        load.factor,
        load.low,
        load.high,
        100.0 * load.edge_share
    );
    if let Some(range) = &plan.range {
        let _ = writeln!(
            out,
            "It {}: it bears {:.2} times the load, the high end is {:.1} times.",
            range.words(),
            range.bears,
            range.high
        );
    }
    if let Some(f) = &plan.figures {
        let _ = writeln!(
            out,
            "If the pass is repeated: safety {:.2}, movement {}. Best place to end the last pass: tab 1.",
            f.free_safety,
            length(f.free_movement, units)
        );
    }
    if let Some(gain) = turn_gain(task).filter(|g| g.times > 1.05) {
        let _ = writeln!(
            out,
            "Turned so that the grain runs at {:.0} degrees in the part, its weakest neck is {:.1} times as strong.",
            gain.grain.to_degrees(),
            gain.times
        );
    }
    if why {
        explain(&mut out, plan);
    }
    for w in &plan.warnings {
        let _ = writeln!(out, "Warning: {w}");
    }
    let _ = writeln!(out, "{CAUTION}");
    out
}

fn explain(out: &mut String, plan: &HoldPlan) {
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
            "{} {verdict} at a last pass of {:.2} mm: least margin {:.2}, {}; the part moves {:.3} mm while it is cut.",
            t.name(),
            f.depth,
            least.value,
            least.what,
            f.movement
        );
    }
    if !plan.influences.is_empty() {
        out.push_str("What matters most (change of the least margin where an input is as far off as it may be):\n");
        for Influence { name, off, change } in &plan.influences {
            let _ = writeln!(out, "  {name:12} {off:26} {:+.0} %", 100.0 * change + 0.0);
        }
    }
}

/// One row for each count tried: sizes and depth in `units`, margins as value over requirement (1 and up holds).
///
/// The movement's column gives the movement itself. "even" is the least margin of as many tabs of the same
/// height spaced evenly, at the same depth. A count that holds at no depth shows its shallowest.
pub fn rows(plan: &HoldPlan, units: Units) -> Vec<[String; 11]> {
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
                if f.bridged { t.name() } else { t.count.to_string() },
                if same { widths.first().cloned().unwrap_or_default() } else { widths.join(" + ") },
                units.show(t.height),
                depth,
                ratio(f.tabs.value),
                ratio(f.part.value),
                length(f.movement, units),
                ratio(f.gone.value),
                ratio(f.repeat.value),
                t.even.as_ref().map_or("no room".into(), |e| ratio(e.least().value)),
                f.least().what.clone(),
            ]
        })
        .collect()
}

/// A small length with enough digits to tell.
fn length(mm: f64, units: Units) -> String {
    let digits = if units == Units::In { 5 } else { 3 };
    format!("{} {}", trimmed(mm / units.mm(), digits), unit_name(units))
}

fn aligned(rows: &[[String; 11]]) -> String {
    let heads = HEADS.map(String::from);
    let width =
        |i: usize| rows.iter().chain([&heads]).map(|r| r[i].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..11).map(width).collect();
    let mut out = String::new();
    for row in [&heads].into_iter().chain(rows) {
        let cells: Vec<String> = row.iter().zip(&widths).map(|(c, w)| format!("{c:<w$}")).collect();
        let _ = writeln!(out, "{}", cells.join("  ").trim_end());
    }
    out
}

/// `mm` or `in`.
pub fn unit_name(units: Units) -> &'static str {
    match units {
        Units::Mm => "mm",
        Units::In => "in",
    }
}
