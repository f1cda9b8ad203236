//! The buying list of a finished job.

use super::offer::price;
use crate::job::Job;
use crate::layout::{Layout, Purchase, PurchaseKind, Sheet};

/// The stock of all sheets, by kind in the order of the sheets, then the bits that cut them.
pub(super) fn purchases(job: &Job, layout: &Layout) -> Vec<Purchase> {
    let mut list: Vec<Purchase> = vec![];
    for sheet in &layout.sheets {
        let price = price_of(job, sheet);
        let known = list.iter_mut().find(|p| p.name == sheet.stock && is_of(sheet, &p.what));
        match known {
            Some(line) => {
                line.count += 1;
                line.price = line.price.zip(price).map(|(a, b)| a + b);
                if let PurchaseKind::Board { length_mm, .. } = &mut line.what {
                    *length_mm += sheet.outline.bounds().width();
                }
            }
            None => list.push(Purchase {
                name: sheet.stock.clone(),
                what: kind_of(sheet),
                count: 1,
                price,
            }),
        }
    }
    list.extend(bits(job, layout));
    list
}

fn price_of(job: &Job, sheet: &Sheet) -> Option<f64> {
    let mut stock = job.groups.iter().flat_map(|g| &g.stock);
    price(stock.find(|s| s.name == sheet.stock)?, sheet)
}

fn kind_of(sheet: &Sheet) -> PurchaseKind {
    let (material, thickness_mm) = (called(sheet), sheet.thickness);
    let b = sheet.outline.bounds();
    if sheet.open_length {
        let (width_mm, length_mm) = (b.height(), b.width());
        PurchaseKind::Board { material, thickness_mm, width_mm, length_mm }
    } else {
        PurchaseKind::Sheets { material, thickness_mm, size_mm: [b.width(), b.height()] }
    }
}

fn called(sheet: &Sheet) -> String {
    if sheet.called.is_empty() { sheet.material.clone() } else { sheet.called.clone() }
}

/// Whether a sheet belongs to a line of the list: two stocks may have one name.
fn is_of(sheet: &Sheet, kind: &PurchaseKind) -> bool {
    match (kind, kind_of(sheet)) {
        (
            PurchaseKind::Board { material: m, thickness_mm: t, width_mm: w, .. },
            PurchaseKind::Board { material, thickness_mm, width_mm, .. },
        ) => (m, t, w) == (&material, &thickness_mm, &width_mm),
        (kind, other) => *kind == other,
    }
}

/// Each bit once, with what it cuts: outlines, or pockets and holes that the bit of the outlines does not enter.
fn bits(job: &Job, layout: &Layout) -> Vec<Purchase> {
    let mut list: Vec<Purchase> = vec![];
    let of_outlines = layout.sheets.iter().map(|s| (s, &s.bit.name, s.bit.diameter));
    let features = |sheet: &Sheet| {
        let of_part = |part: &str| sheet.parts.iter().any(|p| p.part == part);
        let needed = job.groups.iter().flat_map(|g| &g.feature_bits);
        needed.filter(|f| f.enters && of_part(&f.part)).collect::<Vec<_>>()
    };
    let of_features = layout
        .sheets
        .iter()
        .flat_map(|s| features(s).into_iter().map(move |f| (s, &f.bit.name, f.bit.diameter)));
    for (sheet, bit, diameter_mm) in of_outlines.chain(of_features) {
        let cut = (called(sheet), sheet.thickness);
        match list.iter_mut().find(|p| p.name == *bit) {
            Some(Purchase { what: PurchaseKind::Bit { cuts, .. }, .. }) => {
                if !cuts.contains(&cut) {
                    cuts.push(cut);
                }
            }
            _ => {
                let name = bit.clone();
                let what = PurchaseKind::Bit { diameter_mm, cuts: vec![cut] };
                list.push(Purchase { name, what, count: 1, price: None });
            }
        }
    }
    list
}

#[cfg(test)]
mod tests {
    use super::super::small_job;
    use super::*;

    /// Two panels of 200 x 120 mm at 12.50 are one line of 25.00; two pieces of a board, 300 and 200 mm at 20 a metre, one of 500
    /// mm at 10.00; a sheet without a price leaves the sum open.
    #[test]
    fn sheets_of_one_stock_are_one_line() {
        let mut job = small_job::job();
        let mut layout = small_job::made().layout;
        job.groups[0].stock[0].price = Some(12.5);
        let panel = layout.sheets[0].clone();
        layout.sheets.push(panel.clone());
        let list = purchases(&job, &layout);
        assert_eq!(list.len(), 2);
        assert_eq!((list[0].count, list[0].price), (2, Some(25.0)));
        let size = PurchaseKind::Sheets {
            material: "walnut".into(),
            thickness_mm: 6.0,
            size_mm: [200.0, 120.0],
        };
        assert_eq!(list[0].what, size);
        let cuts = vec![("walnut".to_string(), 6.0)];
        assert_eq!(list[1].what, PurchaseKind::Bit { diameter_mm: 3.175, cuts });
        (job.groups[0].stock[0].price, job.groups[0].stock[0].open_length) = (Some(20.0), true);
        for (sheet, length) in layout.sheets.iter_mut().zip([300.0, 200.0]) {
            sheet.open_length = true;
            sheet.outline = crate::geometry::Ring::rectangle(length, 120.0);
        }
        let list = purchases(&job, &layout);
        let PurchaseKind::Board { width_mm, length_mm, .. } = list[0].what else {
            panic!("{list:?}")
        };
        assert_eq!((list[0].count, width_mm, length_mm), (2, 120.0, 500.0));
        assert!((list[0].price.expect("a price") - 10.0).abs() < 1e-9);
        job.groups[0].stock[0].price = None;
        assert_eq!(purchases(&job, &layout)[0].price, None);
    }
}
