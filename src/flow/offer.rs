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
    /// Both sides, mm; the grain runs along the longer one.
    pub size: [f64; 2],
    /// Price of one sheet.
    pub price: Option<f64>,
}

/// What a group may be cut from: each of its stocks alone, each size that it does not have yet, and all of its stocks together (in
/// the job's order, and largest first).
pub fn offers(job: &Job, group: &Group, sizes: &[Size]) -> Vec<Offer> {
    let mut all = group.stock.clone();
    let own = all.len();
    for size in sizes {
        let mut sheet = sheet_of(group, size);
        // Of a stock whose price the job does not say, the size says it.
        let unpriced = |s: &&mut Stock| s.price.is_none() && is_same(s, &sheet, false);
        if let Some(stock) = all.iter_mut().find(unpriced).filter(|_| sheet.price.is_some()) {
            stock.price = sheet.price;
            continue;
        }
        // Sheets are counted by the name of their stock.
        if let Some(price) = size.price.filter(|_| all.iter().any(|s| s.name == sheet.name)) {
            sheet.name = format!("{}@{price}", sheet.name);
        }
        let known = |s: &Stock| is_same(s, &sheet, true);
        if !all.iter().any(known) && job.bed.is_none_or(|bed| bed.takes(&sheet).is_some()) {
            all.push(sheet);
        }
    }
    let mut offers: Vec<Offer> = all.iter().map(|s| Offer { stock: vec![s.clone()] }).collect();
    if own > 1 {
        let on_hand = all[..own].to_vec();
        let mut largest_first = on_hand.clone();
        largest_first.sort_by(|a, b| b.outline.area().total_cmp(&a.outline.area()));
        for stock in [on_hand, largest_first] {
            let offer = Offer { stock };
            if !offers.contains(&offer) {
                offers.push(offer);
            }
        }
    }
    offers
}

/// A sheet of that size, its longer side along x and the grain along it, with the margin of the group's first stock.
fn sheet_of(group: &Group, size: &Size) -> Stock {
    let [a, b] = size.size;
    let plain = Stock::plain(&group.label, group.thickness, Ring::rectangle(a.max(b), a.min(b)));
    let margin = group.stock.first().map_or(plain.margin, |s| s.margin);
    Stock { name: size.name.clone(), price: size.price, margin, ..plain }
}

/// Whether a stock is a whole sheet in unlimited number, as large as a size and with the grain along the same side; if `priced`, at
/// its price too, or the size has none.
fn is_same(stock: &Stock, size: &Stock, priced: bool) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() < 0.1;
    let (a, b) = (stock.outline.bounds(), size.outline.bounds());
    let turned = near(stock.grain.rem_euclid(2.0 * FRAC_PI_2), FRAC_PI_2);
    let [length, width] = if turned { [a.height(), a.width()] } else { [a.width(), a.height()] };
    let whole = near(stock.outline.area(), a.width() * a.height()) && stock.keep_clear.is_empty();
    let priced = !priced || size.price.is_none() || size.price == stock.price;
    let unlimited = stock.quantity.is_none() && !stock.open_length;
    whole && unlimited && priced && near(length, b.width()) && near(width, b.height())
}

/// The price of a sheet of a stock; a board of open length is priced by the metre used. `None` without a price.
pub fn price(stock: &Stock, sheet: &Sheet) -> Option<f64> {
    let metres = || sheet.outline.bounds().width() / 1000.0;
    stock.price.map(|p| if stock.open_length { p * metres() } else { p })
}

#[cfg(test)]
mod tests {
    use super::super::small_job;
    use super::*;

    /// A sheet of 12 x 24 in is one of 24 x 12 in: the grain runs along its 24 inches, and it lies with them along x.
    #[test]
    fn a_size_is_the_same_sheet_either_way_round_and_prices_the_stock_that_it_is() {
        let job = small_job::job();
        let size = |name: &str, size: [f64; 2], price| Size { name: name.into(), size, price };
        let mut group = job.groups[0].clone();
        group.stock = vec![Stock::plain("walnut", 6.0, Ring::rectangle(609.6, 304.8))];
        let both = [
            size("12x24in", [304.8, 609.6], Some(11.0)),
            size("24x12in", [609.6, 304.8], Some(11.0)),
            size("12x12in", [304.8, 304.8], None),
        ];
        let found = offers(&job, &group, &both);
        let told: Vec<(&str, Option<f64>)> =
            found.iter().map(|o| (o.stock[0].name.as_str(), o.stock[0].price)).collect();
        assert_eq!(told, [("", Some(11.0)), ("12x12in", None)]);
        // At another price it is another offer.
        group.stock[0].price = Some(9.0);
        let found = offers(&job, &group, &both);
        assert_eq!(found.len(), 3);
        let bounds = found[1].stock[0].outline.bounds();
        assert_eq!((bounds.width(), bounds.height()), (609.6, 304.8));
        assert_eq!(found[1].stock[0].grain, 0.0);
        // With the grain along its short side it is another sheet, too.
        group.stock[0].grain = FRAC_PI_2;
        assert_eq!(offers(&job, &group, &[size("24x12in", [609.6, 304.8], None)]).len(), 2);
    }
}
