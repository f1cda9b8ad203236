//! Room beside copies: stock for their tabs, and passages that join pieces of stock.

use crate::geometry::{Point, Ring, Shape, Vector, grow_ring, intersection, sweep_path};
use crate::nest::nest_task::NestTask;
use crate::nest::shapes::convex::pieces;
use crate::nest::shapes::simplify::outward;
use std::collections::{BTreeMap, BTreeSet};

/// The thinnest web that counts as stock, mm: it crumbles as it is cut if it is thinner (common practice, no source).
const THIN: f64 = 0.5;

/// A copy of a part: the part's index and the copy's number.
pub type CopyOf = (usize, usize);

/// Stock to leave beside a copy where its kerf met another's: it joins two pieces of stock. In the frame of the copy's part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// From one piece to the other, mm.
    pub ends: [Point; 2],
}

impl Passage {
    /// Its length, mm.
    pub fn length(&self) -> f64 {
        self.ends[0].distance(self.ends[1])
    }

    /// Whether another is at the same place, to a millimetre: half of what a passage is wide, so it claims much the same stock.
    pub fn is_at(&self, other: &Passage) -> bool {
        let [a, b] = self.ends;
        let [c, d] = other.ends;
        let along = a.distance(c).max(b.distance(d));
        along.min(a.distance(d).max(b.distance(c))) < 1.0
    }
}

/// The room that copies get.
#[derive(Debug, Default, Clone)]
pub struct Rooms {
    /// For their tabs.
    pub tabs: BTreeMap<CopyOf, TabRoom>,
    /// Passages beside them; a web all round takes their place.
    pub passages: BTreeMap<CopyOf, Vec<Passage>>,
}

impl Rooms {
    /// Whether no copy gets any.
    pub fn is_empty(&self) -> bool {
        self.tabs.is_empty() && self.passages.is_empty()
    }

    /// Gives copies more room; for their tabs the last entry counts.
    pub fn add(&mut self, more: Rooms) {
        self.tabs.extend(more.tabs);
        for (copy, passages) in more.passages {
            self.passages.entry(copy).or_default().extend(passages);
        }
    }

    /// What a copy gets; `None` if nothing.
    pub fn of(&self, copy: CopyOf) -> Option<CopyRoom> {
        let tabs = self.tabs.get(&copy).copied().unwrap_or(TabRoom::None);
        let passages = tabs != TabRoom::Web && self.passages.contains_key(&copy);
        let room = CopyRoom { part: copy.0, tabs, copy: passages.then_some(copy.1) };
        (passages || tabs != TabRoom::None).then_some(room)
    }

    /// The stock that a kind of room claims beside a copy with this outline, in convex pieces; webs and passages are `depth` mm
    /// wide beyond the kerf.
    pub fn claim(&self, room: &CopyRoom, outline: &Ring, kerf: f64, depth: f64) -> Vec<Ring> {
        let mut stock: Vec<Shape> = match room.tabs {
            TabRoom::None | TabRoom::Landings => vec![],
            TabRoom::Kerf => grow_ring(outline, kerf + THIN),
            TabRoom::Web => grow_ring(outline, kerf + depth),
        };
        stock.iter_mut().for_each(|s| s.openings.clear());
        for passage in room.copy.iter().flat_map(|&copy| &self.passages[&(room.part, copy)]) {
            stock.extend(stock_of(passage, outline, kerf, depth));
        }
        stock.iter().flat_map(|s| pieces(&outward(s, depth / 8.0, 0.0))).map(Ring).collect()
    }

    /// How long the stock of a kind of room is, mm: all round the copy, or its passages alone.
    pub fn length(&self, room: &CopyRoom, problem: &NestTask) -> f64 {
        match (room.tabs, room.copy) {
            (TabRoom::None, Some(copy)) => {
                self.passages[&(room.part, copy)].iter().map(Passage::length).sum()
            }
            _ => problem.parts[room.part].shape.outline.perimeter(),
        }
    }

    /// Every kind of room that copies get, once each, in order.
    pub fn kinds(&self) -> Vec<CopyRoom> {
        let copies = self.tabs.keys().chain(self.passages.keys());
        let rooms: BTreeSet<CopyRoom> = copies.filter_map(|&copy| self.of(copy)).collect();
        rooms.into_iter().collect()
    }
}

/// A kind of room: that of a part's copies, or of one copy with passages of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct CopyRoom {
    /// The part.
    pub part: usize,
    /// For its tabs.
    pub tabs: TabRoom,
    /// The copy, if it has passages.
    pub copy: Option<usize>,
}

/// The stock that a copy gets for its tabs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TabRoom {
    /// None.
    None,
    /// What its planned tabs land on.
    Landings,
    /// The thinnest web all round it: it shares its kerf with none.
    Kerf,
    /// A web all round it.
    Web,
}

/// The stock of a passage: `depth` mm wide beyond the kerf of the copy beside it, and as far past either end as that is from the
/// copy, so that it reaches into what it joins.
fn stock_of(passage: &Passage, outline: &Ring, kerf: f64, depth: f64) -> Vec<Shape> {
    let reach = kerf + depth;
    let mut beside = grow_ring(outline, reach);
    beside.iter_mut().for_each(|s| s.openings.clear());
    intersection(&beside, &sweep_path(&passage.ends, false, reach))
}
