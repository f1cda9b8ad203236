//! What to buy, in words and as a table for a spreadsheet.

use super::words::{count, fine, length, size};
use crate::layout::{Purchase, PurchaseKind};
use crate::units::Units;

/// The heads of the list.
pub const BUYING_HEADS: [&str; 6] = ["item", "what", "size", "count", "price", "for"];

/// One row of texts for each line of the list.
pub fn buying_rows(list: &[Purchase], units: Units) -> Vec<[String; 6]> {
    list.iter().map(|line| row(line, units)).collect()
}

fn row(line: &Purchase, units: Units) -> [String; 6] {
    let price = line.price.map_or(String::new(), |p| format!("{p:.2}"));
    let (what, measure, used) = match &line.what {
        PurchaseKind::Sheets { material, thickness_mm, size_mm: [w, h] } => {
            let what = format!("{material}, {}", fine(units, *thickness_mm));
            (what, size(units, *w, *h), String::new())
        }
        PurchaseKind::Board { material, thickness_mm, width_mm, length_mm } => {
            let what = format!("{material}, {}, sold by length", fine(units, *thickness_mm));
            let all = if line.count > 1 { " in all" } else { "" };
            let measure =
                format!("{} wide, {}{all}", length(units, *width_mm), length(units, *length_mm));
            (what, measure, String::new())
        }
        PurchaseKind::Bit { diameter_mm, cuts } => {
            let cuts: Vec<String> =
                cuts.iter().map(|(m, t)| format!("{m}, {}", fine(units, *t))).collect();
            ("bit".into(), fine(units, *diameter_mm), cuts.join("; "))
        }
    };
    [line.name.clone(), what, measure, line.count.to_string(), price, used]
}

/// What all of it costs; says how many kinds of stock have no price. `None` where none has.
pub fn buying_total(list: &[Purchase]) -> Option<String> {
    let stock = || list.iter().filter(|p| !matches!(p.what, PurchaseKind::Bit { .. }));
    let known: Vec<f64> = stock().filter_map(|p| p.price).collect();
    let open = stock().count() - known.len();
    let without = match open {
        0 => String::new(),
        n => format!(", and {} of stock without a price", count(n, "kind")),
    };
    (!known.is_empty()).then(|| format!("{:.2}{without}", known.iter().sum::<f64>()))
}

/// The list as a CSV file (RFC 4180): heads, then one record a line. `None` if it cannot be written, which no list causes.
pub fn buying_csv(list: &[Purchase], units: Units) -> Option<String> {
    let mut writer = csv::Writer::from_writer(vec![]);
    writer.write_record(BUYING_HEADS).ok()?;
    for row in buying_rows(list, units) {
        writer.write_record(row).ok()?;
    }
    String::from_utf8(writer.into_inner().ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_a_table_in_the_jobs_units() {
        let list = [
            Purchase {
                name: "panel, \"best\"".into(),
                what: PurchaseKind::Sheets {
                    material: "walnut".into(),
                    thickness_mm: 6.35,
                    size_mm: [609.6, 304.8],
                },
                count: 2,
                price: Some(28.0),
            },
            Purchase {
                name: "board".into(),
                what: PurchaseKind::Board {
                    material: "maple".into(),
                    thickness_mm: 3.175,
                    width_mm: 152.4,
                    length_mm: 381.0,
                },
                count: 2,
                price: None,
            },
            Purchase {
                name: "1/8 in".into(),
                what: PurchaseKind::Bit {
                    diameter_mm: 3.175,
                    cuts: vec![("walnut".into(), 6.35), ("maple".into(), 3.175)],
                },
                count: 1,
                price: None,
            },
        ];
        // Quotation marks are doubled, and what has commas stands in them (RFC 4180).
        let expected = "\
item,what,size,count,price,for
\"panel, \"\"best\"\"\",\"walnut, 1/4 in\",24 × 12 in,2,28.00,
board,\"maple, 1/8 in, sold by length\",\"6 in wide, 15 in in all\",2,,
1/8 in,bit,1/8 in,1,,\"walnut, 1/4 in; maple, 1/8 in\"
";
        assert_eq!(buying_csv(&list, Units::In).as_deref(), Some(expected));
        assert_eq!(
            buying_total(&list).as_deref(),
            Some("28.00, and 1 kind of stock without a price")
        );
        assert_eq!(buying_total(&list[1..]), None);
        let read = |text: &str| -> Vec<Vec<String>> {
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            reader
                .records()
                .map(|r| r.expect("a record").iter().map(String::from).collect())
                .collect()
        };
        assert_eq!(read(expected)[0][0], "panel, \"best\"");
    }
}
