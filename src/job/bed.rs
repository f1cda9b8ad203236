//! The machine's bed: which stock it takes.

use super::checker::Checker;
use super::file::JobFile;
use super::issue::IssueKind;
use super::stock::Stock;
use crate::geometry::Ring;

/// The size of stock that the machine takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MachineBed {
    /// Length and width, mm.
    pub size: [f64; 2],
}

/// Stock that is larger than the bed by at most this still fits, mm: a saw's cut (set by hand).
const SLACK: f64 = 0.5;

impl MachineBed {
    /// The bed that a text such as `24x16in` describes.
    pub(super) fn new(size: (f64, f64)) -> Option<Self> {
        (size.0 > 0.0 && size.1 > 0.0).then_some(MachineBed { size: [size.0, size.1] })
    }

    /// The stock, if it fits on the bed, also rotated by 90 degrees; for a longer board sold by length, pieces that fit.
    pub fn takes(&self, stock: &Stock) -> Option<Stock> {
        let bounds = stock.outline.bounds();
        let (length, width) = (bounds.width(), bounds.height());
        let [most, least] = [self.size[0].max(self.size[1]), self.size[0].min(self.size[1])];
        let fits = |l: f64, w: f64| l.max(w) <= most + SLACK && l.min(w) <= least + SLACK;
        if fits(length, width) {
            return Some(stock.clone());
        }
        let piece = if width <= least + SLACK { most } else { least };
        let is_board = stock.open_length && width <= most + SLACK && length > piece;
        is_board.then(|| Stock {
            outline: Ring::rectangle(piece, width),
            quantity: stock.quantity.map(|n| n * (length / piece) as usize),
            ..stock.clone()
        })
    }
}

impl Checker {
    /// The bed, if the job names one.
    pub(super) fn bed(&mut self, file: &JobFile) -> Option<MachineBed> {
        let size = file.bed.as_ref()?;
        if size.is_bare() {
            self.bare_number("job", "bed", size.0.clone());
        }
        match size.mm(self.units).map(MachineBed::new) {
            Ok(Some(bed)) => return Some(bed),
            Ok(None) => self.fault("job: bed", IssueKind::SizeNotPositive),
            Err(e) => self.fault("job: bed", IssueKind::NotSize { written: e.text }),
        }
        None
    }
}

/// The stock that fits on the bed; the rest is reported.
pub(super) fn within_bed<T>(
    check: &mut Checker,
    stock: Vec<(Stock, T)>,
    bed: Option<MachineBed>,
) -> Vec<(Stock, T)> {
    let Some(bed) = bed else { return stock };
    let mut taken = vec![];
    for (made, table) in stock {
        let place = format!("stock '{}'", made.name);
        let bounds = made.outline.bounds();
        match bed.takes(&made) {
            Some(same) if same == made => taken.push((same, table)),
            Some(pieces) => {
                let piece = pieces.outline.bounds().width();
                check.warn(&place, IssueKind::LongerThanBed { piece });
                taken.push((pieces, table));
            }
            None => {
                let size = [bounds.width(), bounds.height()];
                check.warn(&place, IssueKind::LargerThanBed { stock: size, bed: bed.size });
            }
        }
    }
    taken
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bed of 600 x 400 mm takes 400 x 600 turned, not 610 x 100; a board of 2000 x 90 as three pieces of 600, one of
    /// 2000 x 450 as five of 400, one of 2000 x 610 not at all.
    #[test]
    fn stock_lies_on_the_bed_either_way_round() {
        let bed = MachineBed::new((600.0, 400.0)).expect("a bed");
        let stock = |length: f64, width: f64, open_length: bool| Stock {
            name: "s".into(),
            material: "walnut".into(),
            thickness: 6.0,
            outline: Ring::rectangle(length, width),
            open_length,
            quantity: Some(1),
            price: None,
            margin: 6.0,
            keep_clear: vec![],
            clamps: vec![],
            grain: 0.0,
        };
        for (length, width, open, takes) in [
            (600.0, 400.0, false, Some((600.0, 1))),
            (400.0, 600.0, false, Some((400.0, 1))),
            (600.4, 100.0, false, Some((600.4, 1))),
            (610.0, 100.0, false, None),
            (450.0, 450.0, false, None),
            (2000.0, 90.0, true, Some((600.0, 3))),
            (2000.0, 450.0, true, Some((400.0, 5))),
            (2000.0, 610.0, true, None),
        ] {
            let found = bed.takes(&stock(length, width, open));
            let found = found.map(|s| (s.outline.bounds().width(), s.quantity.unwrap_or(0)));
            assert_eq!(found, takes, "{length} x {width}");
        }
        assert_eq!(MachineBed::new((600.0, 0.0)), None);
    }
}
