//! The elastic part on its tabs, the last pass swept from its end backwards.
//!
//! The model is condensed to the places that matter: with the tabs as springs the free compliance becomes that of the held part by
//! one small solve (Woodbury, with the rigid motions as extra unknowns). Then the floor of the last pass is added back station by
//! station, each spring a rank-one update (Sherman-Morrison).
//!
//! `seat` holds what depends on a tab's place and width alone, `condensed_compliance` what depends on the places of the bit alone:
//! both are made once and serve all tab sets.

mod condensed;
mod condensed_compliance;
mod on_springs;
mod places;
mod seat;

pub use condensed_compliance::CondensedCompliance;

use super::staged::{Body, Case, ChordForces, FloorTie, Held, Station, TabSet, travel};
use crate::geometry::{Contour, Point, point};
use crate::hold::fem::compliance::ElasticPart;
use crate::mechanics::{Stiffness, TabForces};
use condensed::Condensed;
use on_springs::OnSprings;
use seat::Seat;
use std::rc::Rc;

/// An elastic part with the places of the bit on it.
pub struct ElasticBody<'a> {
    /// The part.
    pub part: &'a ElasticPart,
    /// Its outline.
    pub contour: &'a Contour,
    /// Places of the bit.
    pub stations: &'a [Station],
    /// The compliance between the stations, and the sections watched.
    pub condensed: &'a CondensedCompliance,
    /// Ratio of lift to in-plane force.
    pub lift: f64,
    /// At which places of the bit the bed under the part is modelled.
    pub bed: Bed,
}

/// Whether the bed stops the part from going down elsewhere while the bit lifts it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Bed {
    /// The bed is left out: the bit lifts more.
    Absent,
    /// With the bit at every place.
    Everywhere,
    /// Only where the part without the bed would move farther than anywhere before in the pass: a quick look.
    WhereFarthest,
}

impl Body for ElasticBody<'_> {
    fn hold<'b>(&'b self, set: &'b TabSet) -> Option<Box<dyn Held + 'b>> {
        let seats: Vec<Rc<Seat>> = set
            .beams
            .iter()
            .zip(&set.s)
            .map(|(b, &s)| self.condensed.seat(self.part, self.contour, b, s))
            .collect();
        let stiffness = |f: fn(&Stiffness) -> [f64; 3]| {
            set.beams.iter().flat_map(|b| f(&b.stiffness)).collect::<Vec<f64>>()
        };
        let plane = OnSprings::new(
            &self.condensed.plane,
            seats.iter().flat_map(|s| s.plane.clone()).collect(),
            &stiffness(|k| [k.axial, k.shear, k.bend]),
        )?;
        let out = if self.lift > 0.0 {
            Some(OnSprings::new(
                &self.condensed.out,
                seats.iter().flat_map(|s| s.out.clone()).collect(),
                &stiffness(|k| [k.lift, k.bend_out, k.twist]),
            )?)
        } else {
            None
        };
        Some(Box::new(ElasticOnTabs { body: self, set, plane, out }))
    }
}

/// The elastic part on its tabs.
struct ElasticOnTabs<'b> {
    body: &'b ElasticBody<'b>,
    set: &'b TabSet,
    plane: OnSprings<'b>,
    /// Present where the bit lifts.
    out: Option<OnSprings<'b>>,
}

impl Held for ElasticOnTabs<'_> {
    fn sweep(&self, start: f64, pass: FloorTie, visit: &mut dyn FnMut(&Case) -> bool) {
        let body = self.body;
        let order = travel(body.contour, body.stations, self.set, start, pass);
        if pass == FloorTie::Free && (body.bed == Bed::Absent || self.out.is_none()) {
            self.sweep_free(&order, visit);
        } else {
            self.sweep_staged(&order, pass, visit);
        }
    }
}

impl ElasticOnTabs<'_> {
    /// All severed, no bed: each place of the bit separately.
    fn sweep_free(&self, order: &[usize], visit: &mut dyn FnMut(&Case) -> bool) {
        let mut seen = Seen::new(self);
        for &i in order.iter().rev() {
            let at = |row: usize, column: usize| self.plane.moved(row, column);
            seen.moves = [0, 1].map(|d| point(at(2 * i, 2 * i + d), at(2 * i + 1, 2 * i + d)));
            let out = self.out.as_ref();
            seen.rise = out.map_or(0.0, |o| self.body.lift * o.moved(i, i));
            seen.fill(
                |row| point(self.plane.carried(row, 2 * i), self.plane.carried(row, 2 * i + 1)),
                |row| out.map_or(0.0, |o| self.body.lift * o.carried(row, i)),
            );
            if !visit(&seen.case(i)) {
                return;
            }
        }
    }

    fn sweep_staged(&self, order: &[usize], pass: FloorTie, visit: &mut dyn FnMut(&Case) -> bool) {
        let (body, lift) = (self.body, self.body.lift);
        let mut plane = self.plane.condensed(order);
        let out = self.out.as_ref().map(|o| o.condensed(order));
        let mut out = if body.bed == Bed::Absent { out } else { out.map(Condensed::whole) };
        let (mut seen, mut touches, mut farthest) = (Seen::new(self), vec![], 0.0);
        for (k, &i) in order.iter().enumerate().rev() {
            seen.moves =
                [0, 1].map(|d| point(plane.at(2 * k, 2 * k + d), plane.at(2 * k + 1, 2 * k + d)));
            seen.rise = out.as_ref().map_or(0.0, |o| lift * o.at(k, k));
            let asked = match body.bed {
                Bed::Absent => false,
                Bed::Everywhere => true,
                Bed::WhereFarthest => seen.case(i).movement() > farthest,
            };
            let lies = out.as_ref().filter(|_| asked);
            let bed = lies.map_or(vec![], |o| o.bed(k, &mut touches));
            // What the lift does, and what the bed pushes back.
            let up = |read: &dyn Fn(&Condensed, usize) -> f64| {
                let Some(o) = &out else { return 0.0 };
                lift * (read(o, k) + bed.iter().map(|&(j, p)| p * read(o, j)).sum::<f64>())
            };
            seen.rise = up(&|o, j| o.at(k, j));
            seen.fill(
                |row| point(plane.carried(row, 2 * k), plane.carried(row, 2 * k + 1)),
                |row| up(&|o, j| o.carried(row, j)),
            );
            farthest = seen.case(i).movement().max(farthest);
            if !visit(&seen.case(i)) {
                return;
            }
            if pass != FloorTie::Free {
                let floor = body.stations[i].floor;
                plane.add_floor(k, &floor[..2]);
                match &mut out {
                    Some(out) if body.bed != Bed::Absent => out.add_spring(k, floor[2]),
                    Some(out) => out.add_floor(k, &floor[2..]),
                    None => {}
                }
            }
        }
    }
}

/// Displacements and forces with the bit at one place; the buffers are reused.
struct Seen {
    moves: [Point; 2],
    rise: f64,
    tabs: Vec<TabForces>,
    chords: Vec<ChordForces>,
}

impl Seen {
    fn new(held: &ElasticOnTabs) -> Seen {
        Seen {
            moves: [point(0.0, 0.0); 2],
            rise: 0.0,
            tabs: vec![TabForces::default(); held.set.beams.len()],
            chords: vec![ChordForces::default(); held.body.condensed.chords.len()],
        }
    }

    /// Fills the forces by rows: three per tab, then three per section.
    fn fill(&mut self, plane: impl Fn(usize) -> Point, out: impl Fn(usize) -> f64) {
        for (i, t) in self.tabs.iter_mut().enumerate() {
            let row = 3 * i;
            *t = TabForces {
                axial: plane(row),
                shear: plane(row + 1),
                bend: plane(row + 2),
                lift: out(row),
                bend_out: out(row + 1),
                twist: out(row + 2),
            };
        }
        let first = 3 * self.tabs.len();
        for (i, c) in self.chords.iter_mut().enumerate() {
            let row = first + 3 * i;
            *c = ChordForces {
                normal: plane(row),
                shear: plane(row + 1),
                bend: plane(row + 2),
                lift: out(row),
                bend_out: out(row + 1),
            };
        }
    }

    fn case(&self, station: usize) -> Case<'_> {
        Case {
            station,
            move_x: self.moves[0],
            move_y: self.moves[1],
            rise: self.rise,
            tabs: &self.tabs,
            chords: &self.chords,
        }
    }
}

#[cfg(test)]
mod tests;
