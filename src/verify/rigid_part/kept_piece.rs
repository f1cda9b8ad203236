//! A piece of waste between parts as a rigid body on the tabs that keep it, while the last of the parts round it is cut.
//!
//! The bit pushes on the piece at the far edge of the kerf, wherever that runs along it. Behind the bit nothing but the tabs holds
//! it; those of parts that were cut before count as if their parts were firm. Waste may move, so its movement is not judged.

use super::{MeasuredOutline, MotionAtBit, StiffnessSum, StockNumbers, dot};
use crate::geometry::{Point, Vector};
use crate::layout::Tab;
use std::collections::BTreeMap;

/// Number of the bit's places round the part: two a diameter, within this range, since a piece lies beside a stretch of it only.
const PLACES: (f64, f64) = (24.0, 800.0);

/// A piece that tabs keep.
pub(in crate::verify) struct KeptPiece<'a> {
    /// The outline of the part that is cut last.
    pub edge: MeasuredOutline<'a>,
    /// Where its last pass starts and ends.
    pub start: Point,
    /// The tabs for the piece, each with the number of its part; the part that is cut last has the last of them.
    pub tabs: Vec<(usize, &'a Tab)>,
    /// Whether the piece borders on the kerf beside a place of the outline, given the way out of it.
    pub borders: &'a dyn Fn((Point, Point)) -> bool,
}

/// The worst over all places of the bit.
pub(in crate::verify) struct KeptLoads {
    /// Least ratio of strength to stress over the tabs.
    pub ratio: f64,
    /// The greatest force, N, that reaches each part through its tabs.
    pub reach: BTreeMap<usize, f64>,
}

impl KeptPiece<'_> {
    /// The worst under `load` N at the bit, both ways round, the last pass `depth` mm deep.
    pub fn under(&self, stock: &StockNumbers, depth: f64, load: f64) -> KeptLoads {
        let (edge, span, about) = (&self.edge, stock.span, self.edge.middle);
        let keeper = self.tabs.last().map(|t| t.0);
        let own: Vec<&Tab> =
            self.tabs.iter().filter(|t| Some(t.0) == keeper).map(|t| t.1).collect();
        let (places, share) = edge.places_from(edge.nearest(self.start), span / 2.0, PLACES, &own);
        let far = |&s: &f64| {
            let (at, out) = (edge.place(s), edge.out(s, span / 4.0));
            (self.borders)((at, out)).then(|| (at + out * span - about, out))
        };
        let beside: Vec<(Point, Point)> = places.iter().filter_map(far).collect();
        let springs: Vec<_> = self.tabs.iter().map(|t| stock.tab(t.1, about)).collect();
        let mut standing = [StiffnessSum::default(); 2];
        for [flat, up] in &springs {
            standing[0].join(flat);
            standing[1].join(up);
        }
        let mut worst = KeptLoads { ratio: f64::INFINITY, reach: BTreeMap::new() };
        let mut round = |order: &mut dyn Iterator<Item = &(Point, Point)>| {
            let mut held = standing;
            for &(at, out) in order {
                let bit = MotionAtBit::at(&held, at, stock.lift);
                let mut reach: BTreeMap<usize, f64> = BTreeMap::new();
                for (&(part, tab), [flat, up]) in self.tabs.iter().zip(&springs) {
                    let inside = flat.map(|s| bit.stretch(&s) * s.0);
                    let lifted = up.map(|(k, r)| k * dot(&r, &bit.up));
                    worst.ratio = worst.ratio.min(stock.tab_ratio(tab, inside, lifted) / load);
                    let force = inside[0].norm().hypot(inside[1].norm()).hypot(lifted[0]);
                    *reach.entry(part).or_default() += force * load;
                }
                for (part, force) in reach {
                    let most = worst.reach.entry(part).or_default();
                    *most = most.max(force);
                }
                let floor = stock.floor(at, out, share, depth);
                held[0].join(&floor[0]);
                held[1].join(&floor[1]);
            }
        };
        // From the end of the pass backwards: what lies ahead of the bit holds.
        round(&mut beside.iter().rev());
        round(&mut beside.iter());
        worst
    }
}
