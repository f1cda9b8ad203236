//! The cost of sheets, for ranking layouts, where a group has several stocks.

use crate::job::Stock;
use crate::layout::Sheet;

/// The price of a sheet of each stock; `None` where there is only one stock, a stock is sold by length, or only some have a price.
///
/// Beside free remnants stock without a price costs its area, so that as little of it is taken as can be.
pub(super) fn sheet_prices(stock: &[Stock]) -> Option<Vec<f64>> {
    if stock.len() < 2 || stock.iter().any(|s| s.open_length) {
        return None;
    }
    let free = stock.iter().any(|s| s.price == Some(0.0));
    let paid = stock.iter().any(|s| s.price.is_some_and(|p| p > 0.0));
    let area = |s: &Stock| (free && !paid).then(|| s.outline.area());
    stock.iter().map(|s| s.price.or_else(|| area(s))).collect()
}

/// The sum for these sheets, in hundredths; 0 where the prices are not known.
pub(super) fn paid_for<'a>(stock: &[Stock], sheets: impl Iterator<Item = &'a Sheet>) -> u64 {
    let Some(prices) = sheet_prices(stock) else { return 0 };
    let place = |sheet: &Sheet| stock.iter().position(|s| s.name == sheet.stock);
    let sum: f64 = sheets.filter_map(|sheet| Some(prices[place(sheet)?])).sum();
    (sum * 100.0).round() as u64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Ring;

    #[test]
    fn stock_without_a_price_costs_its_area_beside_free_remnants_alone() {
        let stock = |price: Option<f64>| Stock {
            price,
            ..Stock::plain("walnut", 6.0, Ring::rectangle(200.0, 100.0))
        };
        let of = |prices: &[Option<f64>]| {
            sheet_prices(&prices.iter().map(|p| stock(*p)).collect::<Vec<_>>())
        };
        assert_eq!(of(&[Some(0.0), None]), Some(vec![0.0, 20_000.0]));
        assert_eq!(of(&[Some(0.0), Some(7.5)]), Some(vec![0.0, 7.5]));
        assert_eq!(of(&[Some(0.0), Some(7.5), None]), None);
        assert_eq!((of(&[None, None]), of(&[Some(3.0)])), (None, None));
    }
}
