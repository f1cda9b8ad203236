//! The stock that a group may be cut from, as choices to compare.

use crate::geometry::Ring;
use crate::job::{Group, Job, Stock};
use crate::layout::Sheet;
use std::f64::consts::FRAC_PI_2;

/// A choice of stock for a group: one kind, or several together.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// The stock, in the order in which sheets are opened.
    pub stock: Vec<Stock>,
}

/// A size of stock to try beside the job's own.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
    /// As it was written: `12x24in`.
    pub name: String,
    /// Length along the grain, and width, mm.
    pub size: [f64; 2],
    /// Price of one sheet.
    pub price: Option<f64>,
}

/// What a group may be cut from: each of its stocks alone, each size that it does not have yet, and all of its stocks together (in
/// the job's order, and largest first).
pub fn offers(job: &Job, group: &Group, sizes: &[Size]) -> Vec<Offer> {
    let mut all = group.stock.clone();
    for size in sizes {
        let mut sheet = sheet_of(group, size);
        // Sheets are counted by the name of their stock.
        if let Some(price) = size.price.filter(|_| all.iter().any(|s| s.name == sheet.name)) {
            sheet.name = format!("{}@{price}", sheet.name);
        }
        let known = |s: &Stock| is_same(s, &sheet);
        if !all.iter().any(known) && job.bed.is_none_or(|bed| bed.takes(&sheet).is_some()) {
            all.push(sheet);
        }
    }
    let mut offers: Vec<Offer> = all.iter().map(|s| Offer { stock: vec![s.clone()] }).collect();
    if group.stock.len() > 1 {
        let mut largest_first = group.stock.clone();
        largest_first.sort_by(|a, b| b.outline.area().total_cmp(&a.outline.area()));
        for stock in [group.stock.clone(), largest_first] {
            let offer = Offer { stock };
            if !offers.contains(&offer) {
                offers.push(offer);
            }
        }
    }
    offers
}

/// A sheet of that size, its grain along its length, with the margin of the group's first stock.
fn sheet_of(group: &Group, size: &Size) -> Stock {
    let outline = Ring::rectangle(size.size[0], size.size[1]);
    let plain = Stock::plain(&group.label, group.thickness, outline);
    let margin = group.stock.first().map_or(plain.margin, |s| s.margin);
    Stock { name: size.name.clone(), price: size.price, margin, ..plain }
}

/// Whether a size adds nothing to a stock: as large with the grain along the same side, and at the same price or without one.
fn is_same(stock: &Stock, size: &Stock) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 0.1;
    let (a, b) = (stock.outline.bounds(), size.outline.bounds());
    let turned = near(stock.grain.rem_euclid(2.0 * FRAC_PI_2), FRAC_PI_2);
    let [length, width] = if turned { [a.height(), a.width()] } else { [a.width(), a.height()] };
    let whole = near(stock.outline.area(), a.width() * a.height()) && stock.keep_clear.is_empty();
    let priced = size.price.is_none() || size.price == stock.price;
    let unlimited = stock.quantity.is_none() && !stock.open_length;
    whole && unlimited && priced && near(length, b.width()) && near(width, b.height())
}

/// The price of a sheet of a stock; a board of open length is priced by the metre used. `None` without a price.
pub fn price(stock: &Stock, sheet: &Sheet) -> Option<f64> {
    let metres = || sheet.outline.bounds().width() / 1000.0;
    stock.price.map(|p| if stock.open_length { p * metres() } else { p })
}
