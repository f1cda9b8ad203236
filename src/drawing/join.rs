//! Loose lines joined into chains: ends that meet become one point, doubled lines are dropped.
//!
//! Ends are matched twice: those that coincide first, so that pieces shorter than the tolerance do not
//! collapse, then those still free, within the tolerance. Three ends at one place are a branch; a
//! loop that starts and ends at a branch is closed before the rest is looked at.

use super::drawing_fault::{DrawingFault, Flaw};
use super::walk::{SourceElement, SourceLine};
use crate::geometry::{Bounds, Point, Segment, Vector};
use std::collections::HashMap;

/// Points nearer than this are the same point, mm: ten times what a file with four decimals rounds to.
pub(super) const SAME_POINT: f64 = 1e-4;

/// Ends nearer than this meet exactly, mm: the rounding of files with three decimals of a mm.
const EXACT: f64 = 1e-3;

/// Most ends at one place among which loops are still looked for.
const CROWD: usize = 32;

/// A line of one or more pieces.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    pub(super) points: Vec<Point>,
    /// Ids of the drawn elements, in order, each once.
    pub(super) sources: Vec<usize>,
    /// Whether an end lies at a branch, which is reported there.
    pub(super) at_branch: bool,
}

/// Closed and open chains.
#[derive(Debug, Default)]
pub(super) struct Joined {
    pub(super) closed: Vec<Chain>,
    pub(super) open: Vec<Chain>,
    pub(super) faults: Vec<DrawingFault>,
}

/// Joins pieces end to end within `tolerance` mm; a joint lies in the middle of its gap.
pub(super) fn join(pieces: Vec<SourceLine>, sources: &[SourceElement], tolerance: f64) -> Joined {
    let mut joined = Joined::default();
    let mut loose = Vec::new();
    for mut piece in pieces {
        tidy(&mut piece);
        let (Some(&first), Some(&last)) = (piece.points.first(), piece.points.last()) else {
            continue;
        };
        let enough = if piece.closed { 3 } else { 2 };
        if piece.points.len() < enough {
            let element = &sources[piece.source].element;
            joined.faults.push(DrawingFault::warning(element, first, Flaw::NoLength));
        } else if piece.closed {
            joined.closed.push(chain_of(piece));
        } else if first.distance(last) <= tolerance && length(&piece.points) > 4.0 * tolerance {
            piece.points.pop();
            piece.points[0] = first.lerp(last, 0.5);
            joined.closed.push(chain_of(piece));
        } else {
            loose.push(piece);
        }
    }
    drop_doubled(&mut loose, sources, tolerance, &mut joined.faults);
    let mut linker = Linker::new(&loose);
    for reach in [EXACT.min(tolerance), tolerance] {
        linker.link(reach);
    }
    linker.report(sources, &mut joined.faults);
    linker.chains(&mut joined);
    joined
}

fn chain_of(piece: SourceLine) -> Chain {
    Chain { points: piece.points, sources: vec![piece.source], at_branch: false }
}

/// Drops repeated points, and the repeated first point of a closed piece; ends stay where they are.
fn tidy(piece: &mut SourceLine) {
    let last = piece.points.last().copied();
    piece.points.dedup_by(|b, a| a.distance(*b) < SAME_POINT);
    let n = piece.points.len();
    if piece.closed {
        while piece.points.len() > 1
            && piece.points[0].distance(piece.points[piece.points.len() - 1]) < SAME_POINT
        {
            piece.points.pop();
        }
    } else if n > 1
        && let Some(last) = last
    {
        piece.points[n - 1] = last;
    }
}

fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

/// Removes pieces that run along an earlier one from end to end.
fn drop_doubled(
    pieces: &mut Vec<SourceLine>,
    sources: &[SourceElement],
    tolerance: f64,
    faults: &mut Vec<DrawingFault>,
) {
    let lines: Vec<&[Point]> = pieces.iter().map(|p| p.points.as_slice()).collect();
    let doubles = doubled(&lines, tolerance);
    for &(first, again) in &doubles {
        let (of, piece) = (&sources[pieces[first].source], &pieces[again]);
        let flaw = Flaw::Doubled { of: of.element.clone() };
        faults.push(DrawingFault::warning(&sources[piece.source].element, piece.points[0], flaw));
    }
    let mut gone = vec![false; pieces.len()];
    doubles.iter().for_each(|&(_, again)| gone[again] = true);
    let mut index = 0;
    pieces.retain(|_| {
        index += 1;
        !gone[index - 1]
    });
}

/// Pairs (kept, doubled) of lines that lie on each other within `tolerance`, or a quarter of their size
/// where that is less; candidates by a grid over their bounds' corners.
pub(super) fn doubled(lines: &[&[Point]], tolerance: f64) -> Vec<(usize, usize)> {
    let bounds: Vec<Bounds> = lines.iter().map(|l| Bounds::of(l)).collect();
    let pitch = tolerance.max(EXACT);
    let cell = |p: Point| ((p.x / pitch).floor() as i64, (p.y / pitch).floor() as i64);
    let mut cells: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    let mut found = Vec::new();
    for (j, b) in bounds.iter().enumerate() {
        let reach = pitch.min((b.max - b.min).norm() / 4.0);
        let same = |&i: &usize| {
            let a = bounds[i];
            a.min.distance(b.min).max(a.max.distance(b.max)) <= reach
                && lies_on(lines[i], lines[j], reach)
                && lies_on(lines[j], lines[i], reach)
        };
        let (x, y) = cell(b.min);
        let earlier = (-1..=1)
            .flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)))
            .filter_map(|c| cells.get(&c))
            .find_map(|candidates| candidates.iter().copied().find(same));
        match earlier {
            Some(i) => found.push((i, j)),
            None => cells.entry((x, y)).or_default().push(j),
        }
    }
    found
}

/// Whether every point of `a`, and every middle between, lies within `reach` of the line `b`.
fn lies_on(a: &[Point], b: &[Point], reach: f64) -> bool {
    let near = |p: Point| {
        b.windows(2).any(|w| Segment::new(w[0], w[1]).distance_to_point(p) <= reach)
            || Segment::new(b[b.len() - 1], b[0]).distance_to_point(p) <= reach && b.len() > 2
    };
    a.iter().all(|&p| near(p)) && a.windows(2).all(|w| near(w[0].lerp(w[1], 0.5)))
}

/// Ends of pieces: end `2 i` is piece `i`'s first point, `2 i + 1` its last.
struct Linker<'a> {
    pieces: &'a [SourceLine],
    partner: Vec<Option<usize>>,
    /// Clusters of three or more ends that stay unresolved.
    branches: Vec<Vec<usize>>,
    branched: Vec<bool>,
}

impl<'a> Linker<'a> {
    fn new(pieces: &'a [SourceLine]) -> Self {
        let ends = 2 * pieces.len();
        Linker { pieces, partner: vec![None; ends], branches: vec![], branched: vec![false; ends] }
    }

    fn at(&self, end: usize) -> Point {
        let points = &self.pieces[end / 2].points;
        if end.is_multiple_of(2) { points[0] } else { points[points.len() - 1] }
    }

    /// Links free ends within `reach` of each other.
    fn link(&mut self, reach: f64) {
        let free: Vec<usize> = (0..self.partner.len())
            .filter(|&e| self.partner[e].is_none() && !self.branched[e])
            .collect();
        let places: Vec<Point> = free.iter().map(|&e| self.at(e)).collect();
        let mut crowded = Vec::new();
        for cluster in clusters(&places, reach) {
            let ends: Vec<usize> = cluster.iter().map(|&k| free[k]).collect();
            match ends[..] {
                [_] => {}
                [a, b] => self.couple(a, b),
                _ => crowded.push(ends),
            }
        }
        for ends in crowded {
            self.settle(ends);
        }
    }

    fn couple(&mut self, a: usize, b: usize) {
        (self.partner[a], self.partner[b]) = (Some(b), Some(a));
    }

    /// The other end of the chain that `end` begins.
    fn far_end(&self, end: usize) -> usize {
        let mut here = end ^ 1;
        // A chain visits each piece once at most.
        for _ in 0..self.pieces.len() {
            match self.partner[here] {
                Some(next) => here = next ^ 1,
                None => break,
            }
        }
        here
    }

    /// Closes loops that leave a crowded place and come back to it; the ends left over are a branch.
    fn settle(&mut self, mut ends: Vec<usize>) {
        // A starburst is no outline; looking for loops in it would take its square in time.
        let mut i = if ends.len() > CROWD { ends.len() } else { 0 };
        while i < ends.len() {
            let other = self.far_end(ends[i]);
            if other != ends[i] && ends.contains(&other) {
                self.couple(ends[i], other);
                ends.retain(|&e| self.partner[e].is_none());
            } else {
                i += 1;
            }
        }
        match ends[..] {
            [] | [_] => {}
            [a, b] => self.couple(a, b),
            _ => {
                ends.iter().for_each(|&e| self.branched[e] = true);
                self.branches.push(ends);
            }
        }
    }

    fn report(&self, sources: &[SourceElement], faults: &mut Vec<DrawingFault>) {
        for ends in &self.branches {
            let name = |&e: &usize| sources[self.pieces[e / 2].source].element.as_str();
            let with = ends.iter().skip(1).map(|e| name(e).to_string()).collect();
            let flaw = Flaw::Branch { ends: ends.len(), with };
            faults.push(DrawingFault::error(name(&ends[0]), self.at(ends[0]), flaw));
        }
    }

    /// Follows the links: open chains from their free ends, then the rings.
    fn chains(&self, joined: &mut Joined) {
        let mut used = vec![false; self.pieces.len()];
        for end in 0..self.partner.len() {
            if self.partner[end].is_none() && !used[end / 2] {
                let chain = self.follow(end, &mut used);
                joined.open.push(chain);
            }
        }
        for piece in 0..self.pieces.len() {
            if !used[piece] {
                let mut chain = self.follow(2 * piece, &mut used);
                let (first, last) = (chain.points[0], chain.points[chain.points.len() - 1]);
                chain.points[0] = first.lerp(last, 0.5);
                chain.points.pop();
                joined.closed.push(chain);
            }
        }
    }

    fn follow(&self, start: usize, used: &mut [bool]) -> Chain {
        let mut chain = self.trace(start, used);
        chain.sources.sort_unstable();
        chain.sources.dedup();
        chain
    }

    fn trace(&self, start: usize, used: &mut [bool]) -> Chain {
        let mut chain = Chain { points: vec![], sources: vec![], at_branch: self.branched[start] };
        let mut end = start;
        loop {
            let piece = &self.pieces[end / 2];
            used[end / 2] = true;
            chain.sources.push(piece.source);
            let forward = end.is_multiple_of(2);
            let step: Box<dyn Iterator<Item = &Point>> = if forward {
                Box::new(piece.points.iter())
            } else {
                Box::new(piece.points.iter().rev())
            };
            let mut step = step.copied();
            if let (Some(joint), Some(first)) = (chain.points.last_mut(), step.next()) {
                *joint = joint.lerp(first, 0.5);
            } else {
                chain.points.push(self.at(end));
            }
            chain.points.extend(step);
            match self.partner[end ^ 1] {
                Some(next) if !used[next / 2] => end = next,
                Some(_) => return chain,
                None => {
                    chain.at_branch |= self.branched[end ^ 1];
                    return chain;
                }
            }
        }
    }
}

/// Groups of places, each within `reach` of another place in its group, in the order of their first
/// member; found with a grid of cells of that size.
fn clusters(places: &[Point], reach: f64) -> Vec<Vec<usize>> {
    let reach = reach.max(SAME_POINT);
    let cell = |p: Point| ((p.x / reach).floor() as i64, (p.y / reach).floor() as i64);
    let mut cells: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    for (i, &p) in places.iter().enumerate() {
        cells.entry(cell(p)).or_default().push(i);
    }
    let mut leader: Vec<usize> = (0..places.len()).collect();
    fn root(leader: &mut [usize], mut i: usize) -> usize {
        while leader[i] != i {
            leader[i] = leader[leader[i]];
            i = leader[i];
        }
        i
    }
    for (i, &p) in places.iter().enumerate() {
        let (x, y) = cell(p);
        for dx in -1..=1 {
            for dy in -1..=1 {
                for &j in cells.get(&(x + dx, y + dy)).map_or(&[][..], Vec::as_slice) {
                    if j < i && places[j].distance(p) <= reach {
                        let (a, b) = (root(&mut leader, i), root(&mut leader, j));
                        leader[a.max(b)] = a.min(b);
                    }
                }
            }
        }
    }
    let mut groups: Vec<Vec<usize>> = vec![Vec::new(); places.len()];
    for i in 0..places.len() {
        let r = root(&mut leader, i);
        groups[r].push(i);
    }
    groups.retain(|g| !g.is_empty());
    groups
}
