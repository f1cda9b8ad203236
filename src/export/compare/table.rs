//! The rows as a table for a terminal.

use super::order::{By, placed_in_order};
use super::row::{CompareRow, GroupTable};
use super::verdict::verdict;
use crate::export::columns::{Align, columns, wrap};
use crate::export::words::{count, percent, range_of_time};
use crate::units::Units;

/// Letters in a bar.
const BAR: f64 = 20.0;

/// One table for each group, its rows in the order asked for, and below it which is best and why.
pub fn compare_table(tables: &[GroupTable], by: By, units: Units) -> String {
    let mut tables = tables.to_vec();
    placed_in_order(&mut tables, by);
    let text: Vec<String> = tables.iter().map(|t| group_table(t, by, units)).collect();
    text.join("\n")
}

fn group_table(table: &GroupTable, by: By, units: Units) -> String {
    let heads = [
        "",
        "stock",
        "sheets",
        "waste",
        "after remnants",
        "cost",
        "a part",
        "time to cut",
        "left over",
        "parts #, remnants =, lost .",
    ];
    let mut cells = vec![heads.map(String::from).to_vec()];
    let ties = |row: &CompareRow| table.rows.iter().filter(|r| r.place == row.place).count() > 1;
    let money = |price: Option<f64>| price.map_or("-".into(), |p| format!("{p:.2}"));
    for row in &table.rows {
        cells.push(vec![
            row.place.map_or("-".into(), |p| format!("{p}{}", if ties(row) { " =" } else { "" })),
            row.stock.clone(),
            format!("{}{}", if row.made { "" } else { "~" }, row.sheets),
            percent(row.waste_percent),
            percent(row.waste_after_remnants),
            money(row.price),
            money(row.price_per_part),
            row.time.map_or("-".into(), range_of_time),
            left_over(row),
            bar(row),
        ]);
    }
    use Align::{Left, Right};
    let sides = [Left, Left, Right, Right, Right, Right, Right, Right, Left, Left];
    let mut out = format!("{}: {}\n", table.group, count(table.parts, "part"));
    out += &columns(&sides, &cells);
    for line in verdict(table, by, units) {
        wrap(&line, 110, [2, 4]).into_iter().for_each(|l| out += &(l + "\n"));
    }
    out
}

fn left_over(row: &CompareRow) -> String {
    let part = |n: usize, what: &str| (n > 0).then(|| count(n, what));
    let all: Vec<String> =
        [part(row.unplaced, "part"), part(row.faults, "fault")].into_iter().flatten().collect();
    if all.is_empty() { "-".into() } else { all.join(", ") }
}

/// Parts, what is kept and what is lost, as shares of the stock.
fn bar(row: &CompareRow) -> String {
    let letters = |percent: f64| (percent / 100.0 * BAR).round().clamp(0.0, BAR) as usize;
    let (parts, lost) = (letters(100.0 - row.waste_percent), letters(row.waste_after_remnants));
    let all = BAR as usize;
    let kept = all.saturating_sub(parts + lost);
    if row.sheets == 0 {
        return String::new();
    }
    format!("{}{}{}", "#".repeat(parts), "=".repeat(kept), ".".repeat(all - parts - kept))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::compare::row::PiecesOf;
    use crate::layout::CutTime;

    fn row(
        stock: &str,
        sheets: usize,
        waste: f64,
        price: Option<f64>,
        unplaced: usize,
    ) -> CompareRow {
        CompareRow {
            place: None,
            stock: stock.into(),
            pieces: vec![PiecesOf { stock: stock.into(), count: sheets }],
            sheets,
            waste_percent: waste,
            waste_after_remnants: waste / 2.0,
            price,
            price_per_part: price.map(|p| p / 8.0),
            time: Some(CutTime { least_min: 61.0, most_min: 90.4 }),
            unplaced,
            left_over: vec![],
            faults: 0,
            first_fault: None,
            made: true,
            drawn: vec![],
        }
    }

    fn table(rows: Vec<CompareRow>) -> Vec<GroupTable> {
        vec![GroupTable {
            group: "walnut-6mm".into(),
            parts: 8,
            rows,
            least_cost: None,
            mixes_cut_short: false,
        }]
    }

    #[test]
    fn the_best_row_that_leaves_nothing_over_is_first_and_says_why() {
        let tables = table(vec![
            row("600x300", 2, 31.25, Some(64.0), 0),
            row("1200x300", 1, 40.0, Some(60.0), 0),
            row("300x200", 1, 10.0, Some(9.0), 7),
        ]);
        let expected = "\
walnut-6mm: 8 parts
       stock     sheets   waste  after remnants   cost  a part    time to cut  left over  parts #, remnants =, lost .
  1    1200x300       1  40.0 %          20.0 %  60.00    7.50  61 to 91 min  -          ############====....
  2    600x300        2  31.2 %          15.6 %  64.00    8.00  61 to 91 min  -          ##############===...
  -    300x200        1  10.0 %           5.0 %   9.00    1.12  61 to 91 min  7 parts    ##################=.
  Best by cost: 1200x300, 60.00 for 8 parts. Next is 600x300, 4.00 more.
";
        let squeezed = |text: &str| -> Vec<String> {
            text.lines().map(|l| l.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
        };
        assert_eq!(squeezed(&compare_table(&tables, By::Cost, Units::Mm)), squeezed(expected));
        let by_waste = compare_table(&tables, By::Waste, Units::Mm);
        assert!(
            by_waste.contains("Best by waste: 600x300, 31.2 %. Next is 1200x300, 40.0 %."),
            "{by_waste}"
        );
        assert_eq!(compare_table(&[], By::Waste, Units::Mm), "");
    }

    /// By hand: the middles are 125 and 50 minutes, 2.5 times as long; 100 and 109 differ by less than a tenth.
    #[test]
    fn a_time_to_cut_that_differs_by_more_than_a_tenth_is_said() {
        let timed = |stock: &str, waste: f64, (least_min, most_min): (f64, f64)| CompareRow {
            time: Some(CutTime { least_min, most_min }),
            ..row(stock, 1, waste, Some(60.0), 0)
        };
        let said = |a: CompareRow, b: CompareRow| {
            let all = compare_table(&table(vec![a, b]), By::Cost, Units::Mm);
            all.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        let (fine, coarse) =
            (|w| timed("fine", w, (100.0, 150.0)), |w| timed("coarse", w, (40.0, 60.0)));
        let slow = said(fine(30.0), coarse(35.2));
        let why = "15.0 % instead of 17.6 %. But it takes longer to cut: 1.7 to 2.5 h instead of 40 to 60 min.";
        assert!(slow.contains(why), "{slow}");
        let fast = said(fine(35.2), coarse(30.0));
        let why = "It also takes less time to cut: 40 to 60 min instead of 1.7 to 2.5 h.";
        assert!(fast.contains(why), "{fast}");
        let tied = said(fine(30.0), coarse(30.0));
        let why = "coarse takes the least time to cut: 40 to 60 min; fine takes 1.7 to 2.5 h.";
        assert!(tied.contains(why), "{tied}");
        let alike = said(timed("a", 30.0, (90.0, 110.0)), timed("b", 35.2, (99.0, 119.0)));
        assert!(!alike.contains("to cut:"), "{alike}");
    }

    #[test]
    fn ties_are_said() {
        let tie = compare_table(
            &table(vec![row("a", 2, 40.0, Some(60.0), 0), row("b", 1, 40.0, Some(60.0), 0)]),
            By::Cost,
            Units::Mm,
        );
        assert!(tie.contains("1 =  a") && tie.contains("1 =  b"), "{tie}");
        assert!(tie.contains("a and b tie: 60.00, and 20.0 % waste after remnants. Of these, b has the fewest sheets (1)."), "{tie}");
        let close = compare_table(
            &table(vec![row("a", 2, 40.0, Some(60.0), 0), row("b", 1, 30.0, Some(60.0), 0)]),
            By::Cost,
            Units::Mm,
        );
        let why = "Best by cost: b. It costs 60.00, as a does, and wastes less after remnants: 15.0 % instead of 20.0 %.";
        assert!(close.contains(why), "{close}");
    }
}
