//! A grid of cells over segments: finds the segments near each other in time that grows with their number.

use crate::geometry::{Bounds, Point, Segment, point};

/// Segments sorted into square cells; a segment lies in every cell it passes through.
pub(super) struct SegmentGrid {
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    /// Where each cell's items start; one entry more than there are cells.
    starts: Vec<u32>,
    items: Vec<u32>,
}

impl SegmentGrid {
    /// A grid over `segments`, about two cells a segment.
    pub(super) fn new(segments: &[Segment]) -> Self {
        let bounds = segments.iter().fold(Bounds::EMPTY, |b, s| b.with(s.a).with(s.b));
        let (w, h) =
            if segments.is_empty() { (1.0, 1.0) } else { (bounds.width(), bounds.height()) };
        let origin = if segments.is_empty() { point(0.0, 0.0) } else { bounds.min };
        let most = (2 * segments.len() + 16) as f64;
        let longest_side = w.max(h).max(1e-6);
        // Area per cell, but never so thin that one row has more cells than all are allowed.
        let cell = ((w * h) / most).sqrt().max(longest_side / most).max(1e-9);
        let columns = (w / cell).floor() as usize + 1;
        let rows = (h / cell).floor() as usize + 1;
        let mut grid = SegmentGrid { origin, cell, columns, rows, starts: vec![0], items: vec![] };
        let mut counts = vec![0u32; columns * rows + 1];
        for s in segments {
            grid.pass(*s, |c| counts[c + 1] += 1);
        }
        for c in 1..counts.len() {
            counts[c] += counts[c - 1];
        }
        let mut next = counts.clone();
        let mut items = vec![0; counts[columns * rows] as usize];
        for (i, s) in segments.iter().enumerate() {
            grid.pass(*s, |c| {
                items[next[c] as usize] = i as u32;
                next[c] += 1;
            });
        }
        (grid.starts, grid.items) = (counts, items);
        grid
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.origin.x) / self.cell).max(0.0) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.origin.y) / self.cell).max(0.0) as usize).min(self.rows - 1)
    }

    /// Calls `f` with every cell that the segment passes through, row by row, with a small margin.
    fn pass(&self, s: Segment, mut f: impl FnMut(usize)) {
        let (low, high) = if s.a.y <= s.b.y { (s.a, s.b) } else { (s.b, s.a) };
        let hair = 1e-6 * self.cell;
        for row in self.row(low.y - hair)..=self.row(high.y + hair) {
            let top = self.origin.y + row as f64 * self.cell - hair;
            let bottom = top + self.cell + 2.0 * hair;
            let x_at = |y: f64| {
                if high.y - low.y > 1e-300 {
                    low.x + (high.x - low.x) * ((y - low.y) / (high.y - low.y)).clamp(0.0, 1.0)
                } else {
                    low.x
                }
            };
            let (mut from, mut to) = (x_at(top), x_at(bottom));
            if high.y - low.y <= 2.0 * hair {
                (from, to) = (low.x, high.x);
            }
            if from > to {
                (from, to) = (to, from);
            }
            for column in self.column(from - hair)..=self.column(to + hair) {
                f(row * self.columns + column);
            }
        }
    }

    fn cell_items(&self, cell: usize) -> &[u32] {
        &self.items[self.starts[cell] as usize..self.starts[cell + 1] as usize]
    }

    /// Calls `f` with every pair of segments that share a cell; a pair may come more than once.
    pub(super) fn pairs(&self, mut f: impl FnMut(usize, usize)) {
        for cell in 0..self.columns * self.rows {
            let items = self.cell_items(cell);
            for (k, &i) in items.iter().enumerate() {
                for &j in &items[k + 1..] {
                    f(i.min(j) as usize, i.max(j) as usize);
                }
            }
        }
    }

    /// Calls `f` with every segment in cells that touch `bounds` until it returns false; a segment may come
    /// more than once.
    pub(super) fn near(&self, bounds: Bounds, mut f: impl FnMut(usize) -> bool) {
        for row in self.row(bounds.min.y)..=self.row(bounds.max.y) {
            for column in self.column(bounds.min.x)..=self.column(bounds.max.x) {
                for &i in self.cell_items(row * self.columns + column) {
                    if !f(i as usize) {
                        return;
                    }
                }
            }
        }
    }

    /// A cell's side, mm.
    pub(super) fn cell(&self) -> f64 {
        self.cell
    }

    /// The bounds of all cells.
    pub(super) fn bounds(&self) -> Bounds {
        let size = point(self.columns as f64 * self.cell, self.rows as f64 * self.cell);
        Bounds { min: self.origin, max: self.origin + size }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::proper_crossing;
    use rand::rngs::Xoshiro256PlusPlus;
    use rand::{RngExt, SeedableRng};

    #[test]
    fn crossing_pairs_are_those_of_the_naive_method() {
        for seed in 0..40 {
            let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
            let mut coordinate = |flat: bool| {
                let v: f64 = rng.random_range(-50.0..50.0);
                // Every other seed on a lattice: upright, level and touching segments.
                if flat { (v / 10.0).round() * 10.0 } else { v }
            };
            let flat = seed % 2 == 0;
            let mut p = || point(coordinate(flat), coordinate(flat));
            let segments: Vec<_> = (0..120).map(|_| Segment::new(p(), p())).collect();
            let mut naive = Vec::new();
            for i in 0..segments.len() {
                for j in i + 1..segments.len() {
                    if segments[i].distance(segments[j]) == 0.0 {
                        naive.push((i, j));
                    }
                }
            }
            let mut found = Vec::new();
            SegmentGrid::new(&segments).pairs(|i, j| {
                if segments[i].distance(segments[j]) == 0.0 {
                    found.push((i, j));
                }
            });
            found.sort_unstable();
            found.dedup();
            assert_eq!(found, naive, "seed {seed}");
            assert!(flat || naive.iter().any(|&(i, j)| proper_crossing(segments[i], segments[j])));
        }
    }
}
