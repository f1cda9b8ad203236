//! Stock sizes side by side.

use super::columns::{Align, columns};
use super::words::percent;

/// The job on one candidate stock.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct CompareRow {
    /// The group: `walnut-6mm`.
    pub group: String,
    /// The stock's name; for several together `1 x panel + 2 x strip`.
    pub stock: String,
    /// Sheets or boards used.
    pub sheets: usize,
    /// 100 (1 - parts / sheets).
    pub waste_percent: f64,
    /// The same with the largest remnant of each sheet counted as kept.
    pub waste_after_remnants: f64,
    /// What the sheets cost; `None` where the stock has no price.
    pub price: Option<f64>,
    /// Copies that found no place.
    pub unplaced: usize,
}

/// The rows as a table, grouped, in the order given; the row with the least waste of each group that
/// leaves nothing over is marked `least waste`, the cheapest one `cheapest`.
pub fn compare_table(rows: &[CompareRow]) -> String {
    let mut out = String::new();
    let mut from = 0;
    while from < rows.len() {
        let group = &rows[from].group;
        let until =
            rows[from..].iter().position(|r| r.group != *group).map_or(rows.len(), |n| from + n);
        if from > 0 {
            out.push('\n');
        }
        out.push_str(group);
        out.push('\n');
        out.push_str(&group_table(&rows[from..until]));
        from = until;
    }
    out
}

fn group_table(rows: &[CompareRow]) -> String {
    let heads = ["stock", "sheets", "waste", "after remnants", "price", "left over", ""];
    let mut cells = vec![heads.map(String::from).to_vec()];
    let least = |of: fn(&CompareRow) -> f64| {
        let whole = rows.iter().filter(|r| r.unplaced == 0).map(of);
        whole.fold(f64::INFINITY, f64::min)
    };
    let (waste, price) = (least(|r| r.waste_percent), least(cost));
    for row in rows {
        let whole = row.unplaced == 0 && rows.len() > 1;
        let mut marks = vec![];
        if whole && row.waste_percent <= waste {
            marks.push("least waste");
        }
        if whole && price.is_finite() && cost(row) <= price {
            marks.push("cheapest");
        }
        cells.push(vec![
            row.stock.clone(),
            row.sheets.to_string(),
            percent(row.waste_percent),
            percent(row.waste_after_remnants),
            row.price.map_or("-".into(), |p| format!("{p:.2}")),
            if row.unplaced == 0 { "-".into() } else { row.unplaced.to_string() },
            marks.join(", "),
        ]);
    }
    use Align::{Left, Right};
    columns(&[Left, Right, Right, Right, Right, Right, Left], &cells)
}

fn cost(row: &CompareRow) -> f64 {
    row.price.unwrap_or(f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_row_that_leaves_nothing_over_is_marked() {
        let row = |stock: &str, sheets, waste, price, unplaced| CompareRow {
            group: "walnut-6mm".into(),
            stock: stock.into(),
            sheets,
            waste_percent: waste,
            waste_after_remnants: waste / 2.0,
            price,
            unplaced,
        };
        let table = compare_table(&[
            row("600x300", 2, 31.25, Some(64.0), 0),
            row("1200x300", 1, 40.0, Some(60.0), 0),
            row("300x200", 1, 10.0, Some(9.0), 7),
            row("offcut", 1, 35.0, None, 0),
        ]);
        let expected = "\
walnut-6mm
  stock     sheets   waste  after remnants  price  left over
  600x300        2  31.2 %          15.6 %  64.00          -  least waste
  1200x300       1  40.0 %          20.0 %  60.00          -  cheapest
  300x200        1  10.0 %           5.0 %   9.00          7
  offcut         1  35.0 %          17.5 %      -          -
";
        assert_eq!(table, expected);
        assert_eq!(compare_table(&[]), "");
    }
}
