//! Where tabs can land once a sheet is nested: for planning the holding again with real anchors.

use super::anchor::{Landing, landing_place};
use super::clamped::clamped;
use super::hosts::Openings;
use super::region::{Region, interior};
use super::sweep::firm;
use crate::geometry::{Bounds, EdgeIndex, Point, Ring, Shape, Vector, ring_distance};
use crate::layout::{Method, Sheet, Tab};

/// A landing is a rectangle, the kerf behind it follows the edge: a corner may lose this share of the
/// bit's diameter to the kerf of its own part (as the holding plan and `verify` have it).
const OWN_KERF: f64 = 0.1;
/// A tenth of the slack of `verify` for figures that carry several roundings, mm.
const SLACK: f64 = 1e-6;

/// What stays of a sheet when all kerfs are cut, whatever the tabs.
pub struct Skeleton {
    bit: f64,
    sheet: Ring,
    keep_clear: Vec<Ring>,
    parts: Vec<Edges>,
    stock: Region,
    /// What a tab finds on each piece.
    landing: Vec<Landing>,
}

/// A part's edges.
struct Edges {
    part: usize,
    shape: Shape,
    bounds: Bounds,
    edges: EdgeIndex,
}

/// The skeleton of a nested sheet: see [`Skeleton::landing`] and [`Skeleton::accepts`].
///
/// What slivers between kerfs connect is not connected. Which stock is clamped is the rule of `cut/clamped.rs`. Waste in an opening counts when the sheet's present plan ties it to its part by
/// tabs, skin or tape, and that part is not itself loose. Built once a sheet; then each question costs a
/// few tree look-ups.
pub fn landing_on_skeleton(sheet: &Sheet) -> Skeleton {
    let usable = super::usable(sheet, &mut vec![]);
    if !usable.contains(&true) {
        let (sheet, keep_clear) = (Ring::default(), vec![]);
        let stock = Region::new(vec![]);
        return Skeleton { bit: 0.0, sheet, keep_clear, parts: vec![], stock, landing: vec![] };
    }
    let bit = sheet.bit.diameter;
    let parts = (0..sheet.parts.len())
        .filter(|&i| usable[i])
        .map(|part| {
            let shape = sheet.parts[part].shape();
            Edges { part, bounds: shape.bounds(), edges: EdgeIndex::new(&shape), shape }
        })
        .collect();
    let stock = firm(sheet, &usable);
    let held = clamped(sheet, &stock);
    let openings = Openings::new(sheet, &usable);
    let landing = stock
        .pieces
        .iter()
        .zip(&held)
        .map(|(piece, &held)| match interior(&piece.shape).and_then(|p| openings.around(p, None)) {
            _ if held => Landing::Clamped,
            Some(o) => {
                let hold = &sheet.parts[o.part].hold;
                let tabs = hold.tabs.iter().filter(|t| t.ring == o.ring);
                let by_tab = tabs.map(|t| landing_place(t, bit)).any(|p| piece.contains(p));
                let by_floor = matches!(hold.method, Method::Skin | Method::Tape)
                    && !hold.tabs.iter().any(|t| t.ring == o.ring);
                if by_tab || by_floor { Landing::Opening } else { Landing::Waste }
            }
            None => Landing::Waste,
        })
        .collect();
    let (outline, keep_clear) = (sheet.outline.clone(), sheet.keep_clear.clone());
    Skeleton { bit, sheet: outline, keep_clear, parts, stock, landing }
}

impl Skeleton {
    /// What a tab (sheet frame) would land on; `Nothing` where a kerf takes any of its landing, or where
    /// that leaves the sheet or meets a keep-clear area.
    ///
    /// Exact distances, by the rule that `verify` checks: a bit's diameter from every other part, and
    /// from the tab's own part (the one whose edge it sits on) a tenth less.
    pub fn landing(&self, tab: &Tab) -> Landing {
        let landing = tab.landing(self.bit);
        if !landing.0.iter().all(|p| p.finite()) {
            return Landing::Nothing;
        }
        let off = |p: &Point| !self.sheet.contains(*p) && self.sheet.edge_distance(*p) > SLACK;
        let middle = landing.0[0].lerp(landing.0[2], 0.5);
        let blocked = |area: &Ring| {
            area.contains(middle)
                || area.0.first().is_some_and(|p| landing.contains(*p))
                || ring_distance(area, &landing, 1.0) == 0.0
        };
        if landing.0.iter().any(off) || self.keep_clear.iter().any(blocked) {
            return Landing::Nothing;
        }
        let own = self.part_at(tab.at);
        let reach = landing.bounds().grown(self.bit);
        for near in self.parts.iter().filter(|p| p.bounds.touches(reach)) {
            if near.shape.contains(middle) {
                return Landing::Part(near.part);
            }
            let share = if own == Some(near.part) { 1.0 - OWN_KERF } else { 1.0 };
            let least = self.bit * share - SLACK;
            if landing.segments().any(|s| near.edges.segment_distance(s, least) < least) {
                return Landing::Nothing;
            }
        }
        let place = landing_place(tab, self.bit);
        self.stock.locate(place).map_or(Landing::Nothing, |piece| self.landing[piece])
    }

    /// The part on whose edge a place lies.
    fn part_at(&self, p: Point) -> Option<usize> {
        let here = Bounds::of(&[p]).grown(0.01);
        let distance = |e: &Edges| e.edges.nearest(p).map_or(f64::INFINITY, |n| n.distance);
        self.parts
            .iter()
            .filter(|e| e.bounds.touches(here))
            .map(|e| (distance(e), e.part))
            .filter(|e| e.0 < 0.01)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|e| e.1)
    }

    /// Whether a tab on an outline (sheet frame) lands on an anchor; for a tab of an opening, whether
    /// it lands on that opening's waste at all, since it is the anchor.
    pub fn accepts(&self, tab: &Tab) -> bool {
        match self.landing(tab) {
            Landing::Clamped | Landing::Opening => true,
            Landing::Waste => tab.ring > 0,
            Landing::Part(_) | Landing::Nothing => false,
        }
    }
}
