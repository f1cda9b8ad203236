//! Which choice of stock is best, and why.

use super::order::By;
use super::row::{CompareRow, GroupTable};
use crate::export::faults::fault_words;
use crate::export::words::{count, percent, range_of_time};
use crate::units::Units;

/// What stands before the tables of a comparison that was stopped.
pub const COMPARE_INTERRUPTED: &str = "Interrupted: the choices marked ~ are first layouts, not worked out, and the order may change. Run it again to the end before you \
     buy.";

/// Sentences about a group whose rows are in order.
pub(super) fn verdict(table: &GroupTable, by: By, units: Units) -> Vec<String> {
    let mut lines = vec![best(table, by)];
    lines.extend(table.rows.iter().filter_map(|r| wrong(r, units)));
    let least = table.rows.iter().filter(|r| r.is_whole()).filter_map(|r| r.price);
    let least = least.fold(f64::INFINITY, f64::min);
    if let Some(bound) = table.least_cost.filter(|_| least.is_finite()) {
        lines.push(if least <= bound + 0.005 {
            format!("Proven: no sheets of these sizes, alone or mixed, cost less than {bound:.2}.")
        } else {
            format!(
                "No sheets of these sizes, alone or mixed, cost less than {bound:.2}: proven by the areas and extents of the parts. \
                 Whether {bound:.2} can be reached is not known."
            )
        });
    }
    if table.mixes_cut_short {
        lines.push(
            "The search for the cheapest mix reached its limit: there may be a cheaper one.".into(),
        );
    }
    let unsure = table.rows.iter().filter(|r| !r.made).count();
    if unsure > 0 {
        lines.push(
            "~: tabs and cut of this choice are not planned, because another choice is already better or the search was stopped; \
             tabs may need more stock."
                .into(),
        );
    }
    lines
}

fn best(table: &GroupTable, by: By) -> String {
    let whole: Vec<&CompareRow> = table.rows.iter().filter(|r| r.is_whole()).collect();
    let first: Vec<&CompareRow> =
        whole.iter().copied().filter(|r| r.place == whole[0].place).collect();
    match (&first[..], whole.get(first.len())) {
        ([], _) if table.rows.is_empty() => "There is no stock for this group.".into(),
        ([], _) => "No choice of stock makes all parts without a fault.".into(),
        ([only], None) if table.rows.len() > 1 => {
            format!("Only {} makes all parts without a fault.", only.stock)
        }
        ([only], None) => format!("{} is the only stock. {}", only.stock, other_sizes()),
        ([best], Some(next)) => against(best, next, by, table.parts) + &times(best, next),
        (tied, _) => tie(tied, by) + &times_of_tied(tied),
    }
}

/// Times to cut that differ by less than this share are the same for a choice of stock (set by hand: the estimate is no finer).
const SAME_TIME: f64 = 0.1;

/// The middle of a row's time to cut, minutes.
fn minutes(row: &CompareRow) -> Option<f64> {
    row.time.map(|t| (t.least_min + t.most_min) / 2.0)
}

/// A sentence on how long the best takes to cut, if the next takes much longer or shorter; otherwise empty.
fn times(best: &CompareRow, next: &CompareRow) -> String {
    let (Some(a), Some(b), Some(best_time), Some(next_time)) =
        (minutes(best), minutes(next), best.time, next.time)
    else {
        return String::new();
    };
    if (a - b).abs() <= SAME_TIME * a.min(b) {
        return String::new();
    }
    let said = if a > b { "But it takes longer" } else { "It also takes less time" };
    format!(" {said} to cut: {} instead of {}.", range_of_time(best_time), range_of_time(next_time))
}

/// A sentence on which of the tied rows is cut soonest, if the slowest takes much longer; otherwise empty.
fn times_of_tied(tied: &[&CompareRow]) -> String {
    let timed = || tied.iter().filter_map(|r| Some((minutes(r)?, r.time?, r)));
    let soonest = timed().min_by(|a, b| a.0.total_cmp(&b.0));
    let latest = timed().max_by(|a, b| a.0.total_cmp(&b.0));
    match (soonest, latest) {
        (Some((a, low, row)), Some((b, high, slow))) if b - a > SAME_TIME * a => format!(
            " {} takes the least time to cut: {}; {} takes {}.",
            row.stock,
            range_of_time(low),
            slow.stock,
            range_of_time(high)
        ),
        _ => String::new(),
    }
}

/// Why a row has no place.
fn wrong(row: &CompareRow, units: Units) -> Option<String> {
    let mut said = vec![];
    if !row.left_over.is_empty() {
        said.push(format!(
            "left over: {} ({})",
            count(row.unplaced, "part"),
            row.left_over.join(", ")
        ));
    }
    if let Some(fault) = &row.first_fault {
        said.push(fault_words(fault, units));
    }
    if row.faults > 1 {
        said.push(format!("{} more", count(row.faults - 1, "fault")));
    }
    (!said.is_empty()).then(|| format!("{}: {}.", row.stock, said.join("; ")))
}

fn other_sizes() -> &'static str {
    "To compare it with others: --sizes 12x12in@8,12x24in@14"
}

/// Why one row comes before the next.
fn against(best: &CompareRow, next: &CompareRow, by: By, parts: usize) -> String {
    let (name, other) = (&best.stock, &next.stock);
    let costs = |r: &CompareRow| r.price.map_or("an unknown price".into(), |p| format!("{p:.2}"));
    let [a, b] = [by.key(best).1, by.key(next).1];
    let (waste, after) = (percent(best.waste_percent), percent(best.waste_after_remnants));
    let less = format!(
        "wastes less after remnants: {after} instead of {}.",
        percent(next.waste_after_remnants)
    );
    match by {
        By::Cost if a[0] < b[0] => {
            let more = match (best.price, next.price) {
                (Some(p), Some(q)) => format!("{:.2} more", q - p),
                _ => "without a price".into(),
            };
            let parts = count(parts, "part");
            format!("Best by cost: {name}, {} for {parts}. Next is {other}, {more}.", costs(best))
        }
        By::Cost if a[1] < b[1] => {
            format!("Best by cost: {name}. It costs {}, as {other} does, and {less}", costs(best))
        }
        By::Cost => format!(
            "Best by cost: {name}. It costs {} and wastes {after} after remnants, as {other} does, and has less waste if remnants \
            are not counted as kept: {waste} instead of {}.",
            costs(best),
            percent(next.waste_percent)
        ),
        By::Waste if a[0] < b[0] => {
            format!(
                "Best by waste: {name}, {waste}. Next is {other}, {}.",
                percent(next.waste_percent)
            )
        }
        By::Waste if a[1] < b[1] => {
            format!("Best by waste: {name}. It wastes {waste}, as {other} does, and {less}")
        }
        By::Waste => format!(
            "Best by waste: {name}. It wastes {waste}, {after} after remnants, as {other} does, and costs {} instead of {}.",
            costs(best),
            costs(next)
        ),
        By::Sheets if a[0] < b[0] => {
            format!("Fewest sheets: {name}, {}. Next is {other}, {}.", best.sheets, next.sheets)
        }
        By::Sheets if a[1] < b[1] => format!(
            "Fewest sheets: {name}. It needs {}, as {other} does, and costs {} instead of {}.",
            count(best.sheets, "sheet"),
            costs(best),
            costs(next)
        ),
        By::Sheets => format!(
            "Fewest sheets: {name}. It needs {}, as {other} does, and {less}",
            count(best.sheets, "sheet")
        ),
    }
}

/// What rows have in common that tie, and what else tells them apart.
fn tie(tied: &[&CompareRow], by: By) -> String {
    let names: Vec<&str> = tied.iter().map(|r| r.stock.as_str()).collect();
    let names = match &names[..] {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => names.join(", "),
    };
    let Some(first) = tied.first() else { return String::new() };
    let after = percent(first.waste_after_remnants);
    let what = match (by, first.price) {
        (By::Sheets, _) => {
            format!("{}, and {after} waste after remnants", count(first.sheets, "sheet"))
        }
        (By::Cost, Some(p)) => format!("{p:.2}, and {after} waste after remnants"),
        _ => format!("{} waste, {after} after remnants", percent(first.waste_percent)),
    };
    let least = tied.iter().map(|r| r.sheets).min().unwrap_or(0);
    let apart: Vec<&&CompareRow> = tied.iter().filter(|r| r.sheets == least).collect();
    let apart = match &apart[..] {
        [one] => format!(" Of these, {} has the fewest sheets ({least}).", one.stock),
        _ => " Choose by what is easier to buy.".into(),
    };
    format!("{names} tie: {what}.{apart}")
}
