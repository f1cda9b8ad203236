//! Where tabs can land on a nested sheet, so that the holding can be planned again with real anchors.

use super::clamped::clamped;
use super::hosts::{Opening, Openings, depths, hosts, outermost_first};
use super::kept_waste::{KeptWaste, around, kept_waste};
use super::landing::{Landing, landing_place};
use super::region::{ConnectedPiece, Region, interior};
use super::stock_gap::{StockGap, stock_gaps};
use super::sweep::{THINNEST_WEB, firm};
use super::usable::usable;
use crate::geometry::{
    Bounds, Contour, EdgeIndex, Point, Ring, Segment, Shape, Vector, ring_distance,
};
use crate::layout::{Hold, LANDING_DEPTH, Method, Sheet, Tab};

/// A landing is a rectangle, but the kerf behind it follows the edge: a corner may lose this share of the bit's diameter to the
/// kerf of its own part (the holding plan and `verify` allow the same).
const OWN_KERF: f64 = 0.1;
/// A tenth of `verify`'s slack, mm, for figures that carry several roundings.
const SLACK: f64 = 1e-6;

/// No landing fits on a piece smaller than this, mm²: half a millimetre is the narrowest tab, and at its ends the piece is a
/// quarter shorter than a landing is deep.
const CRUMB: f64 = 0.5 * (LANDING_DEPTH - THINNEST_WEB);

/// The stock that stays when all kerfs are cut, independent of the tabs.
pub struct Skeleton {
    bit: f64,
    sheet: Ring,
    keep_clear: Vec<Ring>,
    parts: Vec<Edges>,
    stock: Region,
    /// Whether each piece is clamped.
    held: Vec<bool>,
    /// The opening that each piece lies in, for pieces that are not clamped.
    opening: Vec<Option<Opening>>,
    /// The opening that each part lies in.
    hosts: Vec<Option<Opening>>,
    /// What a tab on each piece lands on.
    landing: Vec<Landing>,
    /// The parts that keep each piece between parts.
    kept_by: Vec<Vec<usize>>,
    usable: Vec<bool>,
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
/// Pieces that only slivers between kerfs connect are not connected. The rule of `cut/clamped.rs` says which stock is clamped.
/// Waste in an opening counts when the sheet's present plan ties it to its part by tabs, skin or tape, and what holds that part is
/// an anchor itself. It is built once per sheet; each query then costs a few tree look-ups.
pub fn landing_on_skeleton(sheet: &Sheet) -> Skeleton {
    let usable = usable(sheet, &mut vec![]);
    let none = !usable.contains(&true);
    let parts = (0..sheet.parts.len())
        .filter(|&i| usable[i])
        .map(|part| {
            let shape = sheet.parts[part].shape();
            Edges { part, bounds: shape.bounds(), edges: EdgeIndex::new(&shape), shape }
        })
        .collect();
    let stock = if none { Region::new(vec![]) } else { firm(sheet, &usable) };
    let held = clamped(sheet, &stock);
    let openings = Openings::new(sheet, &usable);
    let around = |piece: &ConnectedPiece| openings.around(interior(&piece.shape)?, None);
    let of_piece =
        |(piece, held): (&ConnectedPiece, &bool)| if *held { None } else { around(piece) };
    let mut skeleton = Skeleton {
        bit: if none { 0.0 } else { sheet.bit.diameter },
        sheet: if none { Ring::default() } else { sheet.outline.clone() },
        keep_clear: sheet.keep_clear.clone(),
        parts,
        opening: stock.pieces.iter().zip(&held).map(of_piece).collect(),
        hosts: hosts(sheet, &usable),
        landing: vec![],
        kept_by: vec![],
        usable,
        held,
        stock,
    };
    skeleton.tie(sheet);
    skeleton
}

impl Skeleton {
    /// Finds what waste is tied to, in openings and where parts keep it, from the present holds of the sheet's parts. Their poses
    /// must be unchanged, and for waste that is kept they stand in the order of cut.
    pub fn tie(&mut self, sheet: &Sheet) {
        let plain = |held: &bool| if *held { Landing::Clamped } else { Landing::Waste };
        self.landing = self.held.iter().map(plain).collect();
        self.keep(sheet);
        for part in outermost_first(&self.hosts) {
            let Some(placed) = sheet.parts.get(part) else { continue };
            if !self.opening.iter().flatten().any(|o| o.part == part)
                || !self.anchors(part, &placed.hold)
            {
                continue;
            }
            for piece in 0..self.landing.len() {
                let ring = self.opening[piece].filter(|o| o.part == part).map(|o| o.ring);
                if ring.is_some_and(|ring| self.is_tied(piece, ring, &placed.hold)) {
                    self.landing[piece] = Landing::Opening;
                }
            }
        }
    }

    /// Notes which pieces between parts are kept: the last part round a piece is its keeper, and the parts that keep it must hang
    /// on other stock.
    fn keep(&mut self, sheet: &Sheet) {
        self.kept_by = vec![vec![]; self.landing.len()];
        let mut left = kept_waste(sheet, &self.usable, &self.stock);
        left.retain(|k| self.opening[k.piece].is_none() && !self.held[k.piece] && k.is_last(Some));
        // What keeps one piece may hang on another, which must be found to be kept first.
        loop {
            let anchored = |k: &KeptWaste| {
                k.kept_by().into_iter().all(|p| self.anchors(p, &sheet.parts[p].hold))
            };
            let (kept, rest): (Vec<KeptWaste>, Vec<KeptWaste>) =
                left.into_iter().partition(anchored);
            if kept.is_empty() {
                return;
            }
            for k in kept {
                self.landing[k.piece] = Landing::Kept(k.keeper);
                self.kept_by[k.piece] = k.kept_by();
            }
            left = rest;
        }
    }

    /// Whether a part is among those that keep the piece that its tab lands on.
    fn keeps(&self, part: usize, tab: &Tab) -> bool {
        let piece = self.stock.locate(landing_place(tab, self.bit));
        piece.is_some_and(|i| self.kept_by[i].contains(&part))
    }

    /// The pieces between parts that no clamp reaches: islands, and strips that end between kerfs.
    pub fn islands(&self) -> Vec<usize> {
        let pieces = 0..self.stock.pieces.len();
        let large = |i: &usize| self.stock.pieces[*i].area >= CRUMB;
        pieces.filter(|&i| !self.held[i] && self.opening[i].is_none()).filter(large).collect()
    }

    /// Whether each piece is clamped.
    pub fn clamped_pieces(&self) -> &[bool] {
        &self.held
    }

    /// The parts round a piece, by index into the sheet's parts.
    pub fn around(&self, sheet: &Sheet, piece: usize) -> Vec<usize> {
        around(sheet, &self.usable, &self.stock.pieces[piece])
    }

    /// The gaps between pieces of stock: for each two pieces near each other, the shortest way that runs through kerfs only.
    pub fn gaps(&self) -> Vec<StockGap> {
        // A straight way cuts a corner where two kerfs meet round one; what it goes deeper into is a part.
        let deep = 0.25 * self.bit;
        let in_kerf = |way: Segment| {
            let around = Bounds::of(&[way.a, way.b]);
            let near: Vec<&Edges> =
                self.parts.iter().filter(|p| p.bounds.touches(around)).collect();
            let steps = (way.length() / deep).ceil().max(1.0) as usize;
            let mut along = (0..=steps).map(|i| way.a.lerp(way.b, i as f64 / steps as f64));
            let is_in = |e: &Edges, p: Point| {
                e.shape.contains(p) && e.edges.nearest(p).is_some_and(|n| n.distance > deep)
            };
            along.all(|p| !near.iter().any(|e| is_in(e, p)))
        };
        let beside = |p: Point| {
            let here = Bounds::of(&[p]).grown(2.0 * self.bit);
            let near = self.parts.iter().filter(|e| e.bounds.touches(here));
            let distance = |e: &Edges| e.edges.nearest(p).map_or(f64::INFINITY, |n| n.distance);
            near.map(|e| (distance(e), e.part)).min_by(|a, b| a.0.total_cmp(&b.0)).map(|e| e.1)
        };
        stock_gaps(&self.stock, self.bit, &in_kerf, &beside)
    }

    /// The piece that a tab (sheet frame) lands on, if its whole landing lies on stock that no kerf takes.
    pub fn piece_under(&self, tab: &Tab) -> Option<usize> {
        match self.landing(tab) {
            Landing::Nothing | Landing::Part(_) => None,
            _ => self.stock.locate(landing_place(tab, self.bit)),
        }
    }

    /// Share of a part's skin that the through passes of others leave: of the line of its own pass, what is not within a bit's
    /// radius of theirs. `through` says which parts are cut through.
    pub fn skin_left(&self, part: usize, through: &dyn Fn(usize) -> bool) -> f64 {
        let Some(own) = self.parts.iter().find(|p| p.part == part) else { return 1.0 };
        let Some(contour) = Contour::new(&own.shape.outline) else { return 1.0 };
        let near = own.bounds.grown(2.0 * self.bit);
        let others: Vec<&Edges> = self
            .parts
            .iter()
            .filter(|p| p.part != part && through(p.part) && p.bounds.touches(near))
            .collect();
        let line = contour.spaced(self.bit / 4.0, 48, 2000);
        let cut = |s: &&f64| {
            let centre = contour.point(**s) + contour.out(**s, self.bit / 4.0) * (self.bit / 2.0);
            let is_near =
                |e: &&Edges| e.edges.nearest(centre).is_some_and(|n| n.distance < self.bit);
            others.iter().any(is_near)
        };
        1.0 - line.iter().filter(cut).count() as f64 / line.len().max(1) as f64
    }

    /// Whether a place lies on a piece, or within half a millimetre of it.
    pub fn is_on(&self, piece: usize, p: Point) -> bool {
        let piece = &self.stock.pieces[piece];
        piece.bounds.grown(THINNEST_WEB).touches(Bounds::of(&[p]))
            && (piece.contains(p)
                || piece.edges.nearest(p).is_some_and(|n| n.distance <= THINNEST_WEB))
    }

    /// Whether what holds a part is an anchor, or the part is not cut out at all.
    fn anchors(&self, part: usize, hold: &Hold) -> bool {
        let mut outline = hold.tabs.iter().filter(|t| t.holds());
        match hold.method {
            Method::Tape => true,
            Method::Skin => self.skin_anchors(part),
            // One that is not cut out has no tabs, and stays.
            Method::Tabs | Method::None => outline.all(|t| self.accepts(t)),
        }
    }

    /// Whether stock that stays lies anywhere round a part, so that a skin under its kerf ties it.
    pub fn skin_anchors(&self, part: usize) -> bool {
        let Some(edges) = self.parts.iter().find(|p| p.part == part) else { return false };
        let outline = edges.shape.outline.clone().positive();
        let beyond = |s: Segment| {
            // Away from a ring of positive area, past the kerf and the sliver beside it.
            Some(s.a.lerp(s.b, 0.5) - s.direction()?.perp() * (self.bit + 0.6))
        };
        let stays = |p: Point| match self.stock.locate(p).map(|i| self.landing[i]) {
            Some(landing) => {
                matches!(landing, Landing::Clamped | Landing::Opening | Landing::Kept(_))
            }
            None => false,
        };
        outline.segments().filter_map(beyond).any(stays)
    }

    /// Whether a hold ties a piece of waste in opening `ring` of its part.
    fn is_tied(&self, piece: usize, ring: usize, hold: &Hold) -> bool {
        let mut tabs = hold.tabs.iter().filter(|t| t.ring == ring).peekable();
        if tabs.peek().is_none() {
            return matches!(hold.method, Method::Skin | Method::Tape);
        }
        tabs.any(|t| self.stock.pieces[piece].contains(landing_place(t, self.bit)))
    }

    /// The parts in whose openings a part lies, the innermost first.
    pub fn hosts_of(&self, part: usize) -> Vec<usize> {
        let mut found: Vec<usize> = vec![];
        let mut at = part;
        while let Some(host) = self.hosts.get(at).copied().flatten() {
            if found.contains(&host.part) {
                break; // overlapping parts can host each other
            }
            found.push(host.part);
            at = host.part;
        }
        found
    }

    /// How many openings of other parts each part lies in: 0 on the sheet itself.
    pub fn depths(&self) -> Vec<usize> {
        depths(&self.hosts)
    }

    /// What a tab (sheet frame) would land on; `Nothing` where a kerf takes any of its landing, or where the landing leaves the
    /// sheet or meets a keep-clear area.
    ///
    /// Distances are exact, by the rule that `verify` checks: a bit's diameter from every other part, and a tenth less from the
    /// tab's own part (the one on whose edge it sits).
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

    /// The part on whose edge a point lies.
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

    /// Whether a tab on an outline (sheet frame) lands on an anchor; for a tab of an opening, whether it lands on that opening's
    /// waste at all, since there the part is the anchor.
    pub fn accepts(&self, tab: &Tab) -> bool {
        match self.landing(tab) {
            Landing::Clamped | Landing::Opening => true,
            Landing::Kept(_) => {
                self.part_at(tab.at).is_some_and(|part| self.keeps(part, tab)) == tab.waste
            }
            Landing::Waste => tab.ring > 0,
            Landing::Part(_) | Landing::Nothing => false,
        }
    }
}
