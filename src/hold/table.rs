//! The counts tried as a table: why this part gets these tabs.

use super::HoldPlan;
use crate::units::{Units, trimmed};

/// Heads of the table's columns.
pub const HEADS: [&str; 11] = [
    "tabs",
    "wide",
    "high",
    "last pass",
    "tabs' margin",
    "part's",
    "movement",
    "one gone",
    "repeated",
    "evenly spaced",
    "what decides",
];

/// One row for each count tried: sizes and depth in `units`, margins as value over requirement (1 and up holds).
///
/// The movement's column gives the movement itself. "evenly spaced" is the least margin of as many tabs of the same
/// height spaced evenly, at the same depth. A count that holds at no depth shows its shallowest.
pub fn table(plan: &HoldPlan, units: Units) -> Vec<[String; 11]> {
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
                t.count.to_string(),
                if same { widths.first().cloned().unwrap_or_default() } else { widths.join(" + ") },
                units.show(t.height),
                depth,
                ratio(f.tabs.value),
                ratio(f.part.value),
                format!("{} {}", trimmed(f.movement / units.mm(), 4), unit_name(units)),
                ratio(f.gone.value),
                ratio(f.repeat.value),
                t.even.as_ref().map_or("no room".into(), |e| ratio(e.least().value)),
                f.least().what.clone(),
            ]
        })
        .collect()
}

/// `mm` or `in`.
pub fn unit_name(units: Units) -> &'static str {
    match units {
        Units::Mm => "mm",
        Units::In => "in",
    }
}
