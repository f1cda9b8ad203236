//! Details of a part that are no wider than the bit: which are cut along a centre line, and which are refused.

use super::centre_line::Room;
use super::path::Path;
use crate::drawing::{Reach, largest_bit, limits};
use crate::geometry::{EdgeIndex, Point, Ring, Vector};
use crate::layout::{BitUsed, PlacedPart, Tab};

/// A detail up to this much wider than the bit is also cut along its middle, mm: the lines of its two sides would be nearer to each
/// other than offsets are exact.
const AS_WIDE: f64 = 0.02;

/// Smallest difference of width that is reported, mm: a tenth of what a desktop router repeats to (common practice, no source).
const SAID: f64 = 0.005;

/// Step along a line that a tab interrupts, mm.
const STEP: f64 = 0.1;

/// A slot, hole or gap drawn narrower than the bit and cut at the bit's width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Widened {
    /// Index of the part in its sheet's list.
    pub part: usize,
    /// Its edge: 0 the outline, openings from 1.
    pub ring: usize,
    /// The narrowest place of the detail, mm in the sheet.
    pub at: Point,
    /// Its width there as drawn, mm.
    pub drawn: f64,
    /// How much wider it is cut, mm.
    pub wider: f64,
}

/// The details of one part.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Details {
    /// The lines that cut the details as wide as the bit, with their ring: open, or a single point.
    pub lines: Vec<(usize, Path)>,
    /// Where those details are.
    fit: Vec<Reach>,
    /// The details that are too narrow, with the ring of each.
    pub refused: Vec<(usize, Reach)>,
}

impl Details {
    /// The details of a part for a bit; none for most parts, at the cost of [`largest_bit`].
    pub fn of(placed: &PlacedPart, bit: &BitUsed) -> Details {
        let shape = placed.shape();
        if largest_bit(&shape).diameter >= bit.diameter + AS_WIDE {
            return Details::default();
        }
        let (fit, refused): (Vec<Reach>, Vec<Reach>) = limits(&shape, bit.diameter + AS_WIDE)
            .into_iter()
            .partition(|r| r.passes(bit.diameter, bit.allowance));
        let edges = EdgeIndex::new(&shape);
        let ring_of = |r: &Reach| edges.nearest(r.at).map_or(0, |n| n.ring);
        let lines = shape.rings().enumerate().flat_map(|(ring, edge)| {
            let own: Vec<Reach> = fit.iter().filter(|r| ring_of(r) == ring).copied().collect();
            let (radius, allowance) = (bit.diameter / 2.0, bit.allowance);
            let room = Room { ring, edge, radius, allowance };
            let lines = if own.is_empty() { vec![] } else { room.centre_lines(&own) };
            lines.into_iter().map(move |l| (ring, l))
        });
        Details {
            lines: lines.collect(),
            fit: fit.clone(),
            refused: refused.into_iter().map(|r| (ring_of(&r), r)).collect(),
        }
    }

    /// Whether any detail of the ring is cut along its middle.
    pub fn any(&self, ring: usize) -> bool {
        self.lines.iter().any(|l| l.0 == ring)
    }

    /// The narrowest place of a ring that the bit cannot enter.
    pub fn narrowest(&self, ring: usize) -> Option<&Reach> {
        let refused = self.refused.iter().filter(|r| r.0 == ring).map(|r| &r.1);
        refused.min_by(|a, b| a.diameter.total_cmp(&b.diameter))
    }

    /// The lines of one ring.
    pub fn of_ring(&self, ring: usize) -> impl Iterator<Item = &Path> {
        self.lines.iter().filter(move |l| l.0 == ring).map(|l| &l.1)
    }

    /// Whether the bit's path from `a` to `b` lies on a line along the middle of a detail.
    pub fn hold(&self, a: Point, b: Point, slack: f64) -> bool {
        let on =
            |path: &Path, p: Point| path.segments().iter().any(|s| s.distance_to_point(p) <= slack);
        self.lines.iter().any(|(_, path)| on(path, a) && on(path, b))
    }

    /// The details that are cut wider than drawn by enough to report.
    pub fn widened(&self, part: usize, bit: &BitUsed) -> Vec<Widened> {
        if self.lines.is_empty() {
            return vec![];
        }
        // The width as drawn: chords of a curve are no narrowness.
        let narrowest = |(ring, path): &(usize, Path)| {
            let on = path.segments();
            let near =
                |r: &&Reach| on.iter().any(|s| s.distance_to_point(r.centre) <= bit.diameter / 2.0);
            let least = self.fit.iter().filter(near);
            let least = least.min_by(|a, b| a.diameter.total_cmp(&b.diameter))?;
            let (at, drawn, wider) = (least.centre, least.diameter, bit.diameter - least.diameter);
            (wider >= SAID).then_some(Widened { part, ring: *ring, at, drawn, wider })
        };
        self.lines.iter().filter_map(narrowest).collect()
    }
}

/// A line along the middle of a detail, less the stretches that would cut into a tab that stands in this pass.
pub(super) fn clear_of(path: &Path, tabs: &[(usize, &Tab)], diameter: f64) -> Vec<Path> {
    let bridges: Vec<_> = tabs.iter().map(|(_, t)| t.bridge(diameter)).collect();
    let free = |p: Point| {
        let meets = |b: &Ring| b.contains(p) || b.edge_distance(p) < diameter / 2.0 - 1e-3;
        !bridges.iter().any(meets)
    };
    let fine = divided(&path.points);
    if fine.iter().all(|p| free(*p)) {
        return vec![path.clone()];
    }
    let runs = fine.chunk_by(|a, b| free(*a) == free(*b)).filter(|run| free(run[0]));
    runs.filter(|run| run.len() > 1)
        .map(|run| Path { points: run.to_vec(), closed: false })
        .collect()
}

fn divided(points: &[Point]) -> Vec<Point> {
    let mut all = vec![points[0]];
    for w in points.windows(2) {
        let n = (w[0].distance(w[1]) / STEP).ceil().clamp(1.0, 1e5) as usize;
        all.extend((1..=n).map(|k| w[0].lerp(w[1], k as f64 / n as f64)));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    /// By hand: a bit of 3 mm along the x axis keeps 1.5 mm from a tab that is 4 mm wide and stands across the kerf from (10, 3) to
    /// (10, 0): it is clear up to 6.5 and from 13.5 on.
    #[test]
    fn a_line_keeps_off_a_tab() {
        let line = Path { points: vec![point(0.0, 0.0), point(20.0, 0.0)], closed: false };
        let tab = |y: f64| Tab {
            at: point(10.0, y),
            out: point(0.0, -1.0),
            width: 4.0,
            height: 1.0,
            ring: 0,
            waste: false,
        };
        let clear = clear_of(&line, &[(0, &tab(3.0))], 3.0);
        let ends: Vec<[f64; 2]> = clear.iter().map(|p| [p.start().x, p.end().x]).collect();
        let by_hand = [[0.0, 6.5], [13.5, 20.0]];
        assert_eq!(ends.len(), 2, "{ends:?}");
        for (found, expected) in ends.iter().flatten().zip(by_hand.iter().flatten()) {
            assert!((found - expected).abs() < 1e-9, "{ends:?}");
        }
        assert_eq!(clear_of(&line, &[(0, &tab(4.5))], 3.0), [line]);
    }
}
