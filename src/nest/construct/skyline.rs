//! Upright boxes on strips, one after the other: the lowest stretch of the front gets the box that fits it best.
//!
//! Best fit on the skyline (Burke, Kendall & Whitwell, *A new placement heuristic for the orthogonal stock-cutting problem*,
//! Operations Research 52, 2004; cited from memory); among boxes that fit equally the order decides.

/// A box, mm: its size along the strip and across it, and the stock that must stay beyond its low end and its high end; two boxes
/// that face each other may share that stock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoxSize {
    pub along: f64,
    pub across: f64,
    pub low: f64,
    pub high: f64,
}

/// Where a box lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laid {
    /// Number of the strip.
    pub strip: usize,
    /// Index among the sizes that its class may have.
    pub choice: usize,
    /// Its low corner.
    pub along: f64,
    pub across: f64,
}

/// A stretch of the front.
#[derive(Debug, Clone, Copy)]
struct FrontStretch {
    across: f64,
    width: f64,
    front: f64,
    /// Stock that must stay beyond the front; negative where that much is already there.
    stays: f64,
}

impl FrontStretch {
    /// Distance of a box from the front.
    fn gap(&self, size: &BoxSize) -> f64 {
        if self.stays < 0.0 { (size.low + self.stays).max(0.0) } else { size.low.max(self.stays) }
    }
}

/// Strips of one size, in any number, and the boxes that go on them.
pub struct Skyline {
    /// The room of a strip along and across, and the stock beyond its ends.
    pub strip: (f64, f64),
    pub beyond: f64,
    /// By class, the alternative sizes of a box.
    pub sizes: Vec<Vec<BoxSize>>,
    /// The class of each box.
    pub classes: Vec<usize>,
    /// Differences below this count as zero, mm.
    pub eps: f64,
    front: Vec<FrontStretch>,
    /// The boxes not yet placed, as a linked list: the next box of each, and the first one's number last.
    next: Vec<usize>,
    /// The step at which a class was last considered.
    seen: Vec<usize>,
    pub laid: Vec<Laid>,
}

/// How full the strips are.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Filled {
    pub strips: usize,
    /// How far the last one is used, mm.
    pub used: f64,
    /// Excess over the bound on the last strip, averaged over its breadth, mm.
    pub over: f64,
}

impl Filled {
    /// The cost by which orders are compared.
    pub fn cost(&self) -> (usize, f64) {
        (self.strips, self.used + self.over)
    }
}

impl Skyline {
    pub fn new(
        (strip, beyond): ((f64, f64), f64),
        sizes: Vec<Vec<BoxSize>>,
        classes: Vec<usize>,
        eps: f64,
    ) -> Skyline {
        let nowhere = Laid { strip: 0, choice: 0, along: 0.0, across: 0.0 };
        let (seen, next) = (vec![0; sizes.len()], vec![0; classes.len() + 1]);
        let laid = vec![nowhere; classes.len()];
        Skyline { strip, beyond, sizes, classes, eps, front: vec![], next, seen, laid }
    }

    /// Places the boxes; of boxes that fit equally, those earlier in the order first. `bound` is the least length used of the last
    /// strip. `None` where a box fits on no strip.
    pub fn lay(&mut self, order: &[usize], bound: f64) -> Option<Filled> {
        let end = order.len();
        let links = std::iter::once(end).chain(order.iter().copied());
        links.zip(order.iter().copied().chain([end])).for_each(|(a, b)| self.next[a] = b);
        self.seen.fill(0);
        let (mut strip, mut step, mut fresh) = (0, 0, true);
        self.begin();
        while self.next[end] != end {
            step += 1;
            let lowest = self.lowest();
            match self.best(lowest, step, end) {
                Some((before, choice)) => {
                    let item = self.next[before];
                    self.next[before] = self.next[item];
                    self.put(item, lowest, choice, strip);
                    fresh = false;
                }
                None if self.front.len() > 1 => self.raise(lowest),
                None if fresh => return None,
                None => {
                    strip += 1;
                    fresh = true;
                    self.begin();
                }
            }
        }
        let used = self.front.iter().map(|s| s.front).fold(0.0, f64::max);
        let over = self.front.iter().map(|s| s.width * (s.front - bound).max(0.0)).sum::<f64>();
        Some(Filled { strips: strip + 1, used, over: over / self.strip.1 })
    }

    fn begin(&mut self) {
        self.front.clear();
        let (width, stays) = (self.strip.1, -self.beyond);
        self.front.push(FrontStretch { across: 0.0, width, front: 0.0, stays });
    }

    fn lowest(&self) -> usize {
        let front = self.front.iter().enumerate();
        front.min_by(|a, b| a.1.front.total_cmp(&b.1.front)).map_or(0, |s| s.0)
    }

    /// Fronts on both sides of a stretch; infinite at the strip's edges.
    fn walls(&self, k: usize) -> [f64; 2] {
        let front = |s: Option<&FrontStretch>| s.map_or(f64::INFINITY, |s| s.front);
        [front(k.checked_sub(1).and_then(|k| self.front.get(k))), front(self.front.get(k + 1))]
    }

    /// The box that fits the stretch best, by its predecessor in the list, and the index of its size.
    fn best(&mut self, k: usize, step: usize, end: usize) -> Option<(usize, usize)> {
        let (stretch, walls, eps) = (self.front[k], self.walls(k), self.eps);
        let mut best: Option<((u32, f64, f64), usize, usize)> = None;
        let mut before = end;
        loop {
            let item = self.next[before];
            if item == end {
                break;
            }
            let class = self.classes[item];
            if std::mem::replace(&mut self.seen[class], step) != step {
                for (choice, size) in self.sizes[class].iter().enumerate() {
                    let gap = stretch.gap(size);
                    let top = stretch.front + gap + size.along;
                    let end = top + (size.high - self.beyond).max(0.0);
                    if size.across > stretch.width + eps || end > self.strip.0 + eps {
                        continue;
                    }
                    let level = |wall: f64| u32::from((top - wall).abs() <= eps);
                    let walls = level(walls[0]) + level(walls[1]);
                    let whole = stretch.width - size.across <= eps;
                    let fit = if whole { 2 + walls } else { walls.min(1) };
                    // Of one box's sizes what leaves more, and next to stock that stays what shares it.
                    let key = (fit, -gap, -size.high);
                    let better = |b: &((u32, f64, f64), usize, usize)| {
                        if b.1 == before { key > b.0 } else { fit > b.0.0 }
                    };
                    if best.as_ref().is_none_or(better) {
                        best = Some((key, before, choice));
                    }
                }
            }
            before = item;
        }
        best.map(|b| (b.1, b.2))
    }

    /// Places a box on the stretch, beside the neighbour that it is level with, else the higher one.
    fn put(&mut self, item: usize, k: usize, choice: usize, strip: usize) {
        let size = self.sizes[self.classes[item]][choice];
        let (stretch, [low, high]) = (self.front[k], self.walls(k));
        let along = stretch.front + stretch.gap(&size);
        let top = along + size.along;
        let level = |wall: f64| (top - wall).abs() <= self.eps;
        let at_low = level(low) || (!level(high) && low >= high);
        let rest = stretch.width - size.across;
        let across = if at_low { stretch.across } else { stretch.across + rest };
        self.laid[item] = Laid { strip, choice, along, across };
        let width = size.across.min(stretch.width);
        let laid = FrontStretch { across, width, front: top, stays: size.high };
        if rest <= self.eps {
            self.front[k] = FrontStretch { width: stretch.width, ..laid };
        } else {
            let free = if at_low { across + size.across } else { stretch.across };
            self.front[k] = FrontStretch { across: free, width: rest, ..stretch };
            self.front.insert(if at_low { k } else { k + 1 }, laid);
        }
        self.join();
    }

    /// Gives up a stretch that no box fits: it stays empty as far as its lower neighbour.
    fn raise(&mut self, k: usize) {
        let [low, high] = self.walls(k);
        let stretch = &mut self.front[k];
        let front = low.min(high);
        stretch.stays = (stretch.stays + stretch.front - front).max(0.0);
        stretch.front = front;
        self.join();
    }

    /// Joins neighbouring stretches that are level.
    fn join(&mut self) {
        let eps = self.eps;
        self.front.dedup_by(|next, s| {
            let same = (next.front - s.front).abs() <= eps;
            if same {
                s.width += next.width;
                s.front = s.front.max(next.front);
                s.stays = s.stays.max(next.stays);
            }
            same
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BARE: BoxSize = BoxSize { along: 0.0, across: 0.0, low: 0.0, high: 0.0 };

    fn laid(skyline: &Skyline) -> Vec<(usize, f64, f64)> {
        skyline.laid.iter().map(|l| (l.strip, l.along, l.across)).collect()
    }

    /// By hand, on strips of 10 by 6: the 4 x 6 fills the breadth, so it goes before the first of the order; then the 3 x 3, and
    /// beside it the 3 x 2, which is level with it; the stretch of 1 is given up, and the 5 x 5 opens a strip.
    #[test]
    fn what_fits_best_goes_first() {
        let size = |along, across| vec![BoxSize { along, across, ..BARE }];
        let sizes = vec![size(3.0, 3.0), size(4.0, 6.0), size(5.0, 5.0), size(3.0, 2.0)];
        let mut skyline = Skyline::new(((10.0, 6.0), 0.0), sizes, vec![0, 1, 2, 3], 1e-9);
        let filled = skyline.lay(&[1, 0, 3, 2], 0.0).unwrap();
        let expected = [(0, 4.0, 0.0), (0, 0.0, 0.0), (1, 0.0, 0.0), (0, 4.0, 3.0)];
        assert_eq!(laid(&skyline), expected);
        assert_eq!((filled.strips, filled.used), (2, 5.0));
        // Over a bound of 2 mm stand 3 mm on 5 of 6.
        let over = skyline.lay(&[1, 0, 3, 2], 2.0).unwrap().over;
        assert!((over - 2.5).abs() < 1e-12);
        // Nothing is laid of what is too broad for any strip.
        let mut skyline = Skyline::new(((10.0, 6.0), 0.0), vec![size(1.0, 7.0)], vec![0], 1e-9);
        assert_eq!(skyline.lay(&[0], 0.0), None);
    }

    /// By hand: three bars with 2 mm of stock at one end each; the margin of 3 has room for it at the first one's low end. The next
    /// two turn those ends to each other and share the stock: 5 + 5 + 2 + 5.
    #[test]
    fn boxes_that_face_each_other_share_the_stock_between() {
        let bar = |low, high| BoxSize { along: 5.0, across: 6.0, low, high };
        let either = vec![bar(2.0, 0.0), bar(0.0, 2.0)];
        let mut skyline =
            Skyline::new(((40.0, 6.0), 3.0), vec![either.clone()], vec![0, 0, 0], 1e-9);
        let filled = skyline.lay(&[0, 1, 2], 0.0).unwrap();
        assert_eq!(filled.used, 17.0);
        assert_eq!(laid(&skyline), [(0, 0.0, 0.0), (0, 5.0, 0.0), (0, 12.0, 0.0)]);
        assert_eq!(skyline.laid.iter().map(|l| l.choice).collect::<Vec<_>>(), [0, 1, 0]);
        // With no margin the first one's stock wants room of its own, so it is turned up and shared by the second.
        let mut skyline = Skyline::new(((40.0, 6.0), 0.0), vec![either], vec![0, 0, 0], 1e-9);
        skyline.lay(&[0, 1, 2], 0.0).unwrap();
        assert_eq!(laid(&skyline), [(0, 0.0, 0.0), (0, 7.0, 0.0), (0, 12.0, 0.0)]);
    }
}
