//! The order of cut.
//!
//! Features first (one kind after the other, so that bits change least), then openings, then outlines. A part inside an opening is
//! finished before the opening, and that before the outline round it. Small before large, and from the middle to the edge, so that
//! the stock left stays tied to the clamps; within these rules, the shortest travel. Common practice, no source. A part that keeps
//! waste comes after all others round that waste.

use super::hosts::Opening;
use super::kept_waste::kept_waste;
use super::path::{PartPaths, Path};
use super::ready::Ready;
use super::sweep::firm;
use super::tour::{Stop, tour};
use crate::geometry::{Point, Vector, point};
use crate::layout::{FeatureKind, Sheet};

/// One step of the work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Operation {
    /// Index into [`Sheet::parts`].
    pub part: usize,
    /// What is cut.
    pub work: Work,
    /// Where the bit enters.
    pub at: Point,
}

/// What a step cuts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    /// A feature, by its index in the part's list.
    Feature(usize),
    /// An edge with all its passes: 0 the outline, openings from 1.
    Ring(usize),
}

/// The order, and the travel between its steps in mm. Closed paths are rotated to start where the bit comes from.
pub(super) fn plan(ready: &Ready, paths: &mut [PartPaths]) -> (Vec<Operation>, f64) {
    let (sheet, hosts) = (ready.sheet, &ready.hosts[..]);
    let parts: Vec<usize> = ready.parts().collect();
    let after = keepers_after(ready);
    let at = point(0.0, 0.0);
    let mut planner = Sequencer { sheet, hosts, paths, after, steps: vec![], at };
    let kinds = FeatureKind::ALL.iter().filter(|k| **k != FeatureKind::TabFree);
    for &kind in kinds {
        planner.features(kind, &parts);
    }
    let free: Vec<usize> = parts.iter().copied().filter(|&i| hosts[i].is_none()).collect();
    planner.openings(&free);
    planner.outlines(&free);
    let steps = planner.steps;
    enter(sheet, steps, paths)
}

/// By part: the parts that are cut after it, since they keep the waste beside it; empty where no part keeps any.
fn keepers_after(ready: &Ready) -> Vec<Vec<usize>> {
    let sheet = ready.sheet;
    if !sheet.parts.iter().flat_map(|p| &p.hold.tabs).any(|t| t.waste) {
        return vec![];
    }
    let mut after = vec![vec![]; sheet.parts.len()];
    for kept in kept_waste(sheet, &ready.usable, &firm(sheet, &ready.usable)) {
        for part in kept.around.into_iter().filter(|p| *p != kept.keeper) {
            after[part].push(kept.keeper);
        }
    }
    after
}

/// The outlines of a tour (part and ring), each moved behind all outlines that must be cut before it. Where these demands form a
/// cycle, the next outline of the tour is taken.
fn put_off(tour: Vec<(usize, usize)>, after: &[Vec<usize>]) -> Vec<(usize, usize)> {
    let mut left = tour;
    let mut order = Vec::with_capacity(left.len());
    // How many of those left each part waits for.
    let mut waits = vec![0usize; after.len()];
    left.iter().flat_map(|&(part, _)| &after[part]).for_each(|&part| waits[part] += 1);
    while !left.is_empty() {
        let next = left.iter().position(|&(part, _)| waits[part] == 0).unwrap_or(0);
        let stop = left.remove(next);
        after[stop.0].iter().for_each(|&part| waits[part] = waits[part].saturating_sub(1));
        order.push(stop);
    }
    order
}

struct Sequencer<'a> {
    sheet: &'a Sheet,
    hosts: &'a [Option<Opening>],
    paths: &'a [PartPaths],
    /// By part: what is cut after it; empty where nothing has to be.
    after: Vec<Vec<usize>>,
    steps: Vec<(usize, Work)>,
    at: Point,
}

impl Sequencer<'_> {
    fn features(&mut self, kind: FeatureKind, parts: &[usize]) {
        let found: Vec<(usize, usize, Point)> = parts
            .iter()
            .flat_map(|&part| {
                let features = self.sheet.parts[part].features.iter().enumerate();
                let of_kind = features.filter(|(_, f)| f.kind == kind);
                let places = of_kind.filter_map(|(i, f)| {
                    let p = f.rings.iter().chain(&f.lines).find_map(|r| r.0.first().copied())?;
                    p.finite().then_some((i, p))
                });
                places.map(move |(i, p)| (part, i, p)).collect::<Vec<_>>()
            })
            .collect();
        // Features do not free anything: size does not matter.
        let stops: Vec<Stop> = found.iter().map(|f| self.stop(f.2, 1.0)).collect();
        for i in tour(&stops, self.at) {
            self.steps.push((found[i].0, Work::Feature(found[i].1)));
            self.at = found[i].2;
        }
    }

    /// Cuts all openings of some parts, each after the parts that lie in it.
    fn openings(&mut self, parts: &[usize]) {
        let found: Vec<(usize, usize)> = parts
            .iter()
            .flat_map(|&p| (1..=self.sheet.parts[p].openings.len()).map(move |r| (p, r)))
            .collect();
        let sheet = self.sheet;
        self.visit(
            &found,
            |(part, ring)| sheet.parts[*part].openings[ring - 1].area(),
            |me, &(part, ring)| {
                let hosted = |i: &usize| me.hosts[*i] == Some(Opening { part, ring });
                let inner: Vec<usize> = (0..me.hosts.len()).filter(hosted).collect();
                me.openings(&inner);
                me.outlines(&inner);
                me.step(part, ring);
            },
        );
    }

    fn outlines(&mut self, parts: &[usize]) {
        let sheet = self.sheet;
        let found: Vec<(usize, usize)> = parts.iter().map(|&p| (p, 0)).collect();
        self.visit(
            &found,
            |(part, _)| sheet.parts[*part].outline.area(),
            |me, &(part, ring)| {
                me.step(part, ring);
            },
        );
    }

    /// Does `work` for each edge in the order of a tour, small ones first.
    fn visit(
        &mut self,
        edges: &[(usize, usize)],
        area: impl Fn(&(usize, usize)) -> f64,
        mut work: impl FnMut(&mut Self, &(usize, usize)),
    ) {
        let stops: Vec<Stop> =
            edges.iter().map(|e| self.stop(self.entry(e.0, e.1), area(e))).collect();
        let mut order: Vec<(usize, usize)> =
            tour(&stops, self.at).into_iter().map(|i| edges[i]).collect();
        if !self.after.is_empty() && order.iter().all(|(_, ring)| *ring == 0) {
            order = put_off(order, &self.after);
        }
        for edge in &order {
            work(self, edge);
        }
    }

    fn step(&mut self, part: usize, ring: usize) {
        self.steps.push((part, Work::Ring(ring)));
        self.at = self.entry(part, ring);
    }

    fn stop(&self, at: Point, area: f64) -> Stop {
        Stop { at, area, edge: self.sheet.outline.edge_distance(at) }
    }

    /// Where the last pass round an edge starts; it ends beside it.
    fn entry(&self, part: usize, ring: usize) -> Point {
        let passes = self.paths[part].passes.iter().rev();
        let last = passes.filter(|p| p.ring == ring).find_map(|p| p.paths.first());
        let placed = &self.sheet.parts[part];
        let edge = if ring == 0 { &placed.outline } else { &placed.openings[ring - 1] };
        last.map_or(edge.0[0], Path::start)
    }
}

/// Rotates closed paths to start nearest to where the bit comes from, and measures the travel.
fn enter(
    sheet: &Sheet,
    steps: Vec<(usize, Work)>,
    paths: &mut [PartPaths],
) -> (Vec<Operation>, f64) {
    let mut from = point(0.0, 0.0);
    let mut travel = 0.0;
    let operations = steps
        .into_iter()
        .filter_map(|(part, work)| {
            let (at, leave) = match work {
                Work::Feature(i) => {
                    let feature = &sheet.parts[part].features[i];
                    let p = feature.rings.iter().chain(&feature.lines).find_map(|r| r.0.first());
                    (*p?, *p?)
                }
                Work::Ring(ring) => {
                    let mut passes: Vec<_> =
                        paths[part].passes.iter_mut().filter(|p| p.ring == ring).collect();
                    let open = passes.iter().flat_map(|p| &p.paths).find(|p| !p.closed);
                    let entry = open.map_or(from, Path::start);
                    for path in passes.iter_mut().flat_map(|p| &mut p.paths).filter(|p| p.closed) {
                        start_near(path, entry);
                    }
                    let first = passes.first()?.paths.first()?.start();
                    let last = passes.last()?.paths.last()?.end();
                    (first, last)
                }
            };
            travel += from.distance(at);
            from = leave;
            Some(Operation { part, work, at })
        })
        .collect();
    (operations, travel)
}

fn start_near(path: &mut Path, p: Point) {
    let distances = path.points.iter().map(|q| q.distance(p)).enumerate();
    let nearest =
        distances.fold((0, f64::INFINITY), |best, new| if new.1 < best.1 { new } else { best });
    path.points.rotate_left(nearest.0);
}
