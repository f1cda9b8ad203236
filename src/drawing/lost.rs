//! Parts that a faulty line spoils: the part that it lies in, and the parts that lie in it, would be made wrong.

use super::assemble::DrawnPart;
use super::drawing_fault::{DrawingFault, Flaw};
use super::join::Chain;
use super::ring_check::inner_point;
use super::walk::SourceElement;
use crate::geometry::{Point, Ring, Vector};

/// Free ends nearer than this are a gap in an outline; farther apart they are ends of two lines, mm (set by hand).
const GAP: f64 = 2.0;

/// Most free ends for which the nearest other end is searched; with more, an end is compared only with the other end of its own
/// chain.
const MOST_ENDS: usize = 4000;

/// The faults of open lines: each gap once, between free ends that are nearest to each other; a line that is near to none names
/// the part that it lies in, because it is then more likely a line to engrave than an outline.
pub(super) fn open_faults(
    open: &[Chain],
    sources: &[SourceElement],
    parts: &[DrawnPart],
) -> Vec<DrawingFault> {
    let ends: Vec<(usize, Point)> = open
        .iter()
        .enumerate()
        .flat_map(|(i, c)| [(i, c.points[0]), (i, c.points[c.points.len() - 1])])
        .collect();
    let nearest: Vec<usize> = (0..ends.len()).map(|e| nearest(&ends, e)).collect();
    let apart = |e: usize| ends[e].1.distance(ends[nearest[e]].1);
    let name = |chain: usize| &sources[open[chain].sources[0]].element;
    let mut told = vec![false; open.len()];
    let mut faults = vec![];
    let mut tell = |e: usize, inside: Option<String>| {
        let (chain, at) = ends[e];
        let (other, end) = ends[nearest[e]];
        let other = (other != chain).then(|| name(other).clone());
        // Of a line that looks like the cut edges no colour tells it apart.
        let is_open = |i: usize| open.iter().any(|c| c.sources.contains(&i));
        let colour = sources[open[chain].sources[0]].colour;
        let edge =
            |(i, s): (usize, &SourceElement)| s.kind.is_none() && s.colour == colour && !is_open(i);
        let stroke = colour.filter(|_| !sources.iter().enumerate().any(edge));
        let flaw = Flaw::Open { end: end.into(), gap: at.distance(end), other, inside, stroke };
        faults.push(DrawingFault::error(name(chain), at, flaw));
    };
    for e in 0..ends.len() {
        let n = nearest[e];
        if e < n && nearest[n] == e && apart(e) < GAP {
            tell(e, None);
            (told[ends[e].0], told[ends[n].0]) = (true, true);
        }
    }
    for (i, chain) in open.iter().enumerate().filter(|(i, _)| !told[*i]) {
        let e = if apart(2 * i) <= apart(2 * i + 1) { 2 * i } else { 2 * i + 1 };
        let inside = parts.iter().find(|p| chain.points.iter().all(|&q| lies_in(p, q)));
        tell(e, inside.map(|p| p.name.clone()));
    }
    faults
}

/// The end nearest to end `e`; ends of one chain are numbers `2 i` and `2 i + 1`.
fn nearest(ends: &[(usize, Point)], e: usize) -> usize {
    if ends.len() > MOST_ENDS {
        return e ^ 1;
    }
    let others = (0..ends.len()).filter(|&o| o != e);
    let away = |o: &usize| ends[*o].1.distance(ends[e].1);
    others.min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(e)
}

/// Takes out the parts that a lost line spoils, and reports each: those whose material it lies in, which would miss it, and those
/// that lie in it, which may be its openings.
pub(super) fn take_out_spoiled(
    parts: Vec<DrawnPart>,
    lost: &[Ring],
    faults: &mut Vec<DrawingFault>,
) -> Vec<DrawnPart> {
    let spoils = |part: &DrawnPart, line: &Ring| {
        let middle = inner_point(&part.shape.outline) + part.at;
        line.0.iter().any(|&p| lies_in(part, p)) || (line.0.len() > 2 && line.contains(middle))
    };
    let (bad, good): (Vec<DrawnPart>, Vec<DrawnPart>) =
        parts.into_iter().partition(|p| lost.iter().any(|l| spoils(p, l)));
    for part in bad {
        faults.push(DrawingFault::error(&part.name, part.at, Flaw::Spoiled));
    }
    good
}

/// Whether a place of the drawing lies in the part's material.
fn lies_in(part: &DrawnPart, place: Point) -> bool {
    let p = place - part.at;
    let bounds = part.shape.bounds();
    (bounds.min.x..=bounds.max.x).contains(&p.x)
        && (bounds.min.y..=bounds.max.y).contains(&p.y)
        && part.shape.outline.contains(p)
        && !part.shape.openings.iter().any(|o| o.contains(p))
}
