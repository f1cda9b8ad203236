//! Whether every part comes out whole: no path cuts into it, it is cut free, and no stock is left standing on it.

use super::cut_fault::CutFault;
use super::path::PartPaths;
use super::ready::Ready;
use super::sweep::AfterCut;
use super::upper::closed;
use crate::drawing::{Corner, corners};
use crate::geometry::{Bounds, EdgeIndex, Point, Segment, Shape, difference, grow, shrink};
use std::f64::consts::FRAC_PI_2;

/// How deep a path may cut into a part, mm: where kerfs coincide, each path takes from the neighbour the extra distance that it
/// keeps from its own part (0.0046 mm). A fifth of the 0.05 mm that a desktop router repeats to (common practice, no source).
const GOUGE: f64 = 0.01;

/// An inside corner sharper than this keeps more stock than `left_standing` allows for the bit's radius, radians: 50 degrees, two
/// more than where the stock reaches that limit.
const CLEFT: f64 = 0.873;

/// Stock that a cleft may keep, as a multiple of what straight sides from its point to the bit would leave.
const HOLLOW: f64 = 1.25;

/// Finds paths nearer to a part than the bit's radius: exact distances, worst place of each pair.
///
/// Along the middle of a detail as wide as the bit a path may come nearer to the sides by half the allowance, nowhere else.
pub(super) fn gouges(ready: &Ready, paths: &[PartPaths], faults: &mut Vec<CutFault>) {
    let Ready { sheet, usable, details, .. } = ready;
    let radius = sheet.bit.diameter / 2.0;
    let parts: Vec<Option<(Bounds, EdgeIndex)>> = sheet
        .parts
        .iter()
        .zip(usable)
        .map(|(p, usable)| usable.then(|| (p.outline.bounds(), EdgeIndex::new(&p.shape()))))
        .collect();
    for from in paths {
        let lines: Vec<Segment> =
            closed(sheet, from, &details[from.part]).iter().flat_map(|p| p.segments()).collect();
        let Some(bounds) = lines.iter().map(|s| Bounds::of(&[s.a, s.b])).reduce(Bounds::join)
        else {
            continue;
        };
        for (part, entry) in parts.iter().enumerate() {
            let Some((other, edges)) = entry else { continue };
            let reach = other.grown(radius);
            if !reach.touches(bounds) {
                continue;
            }
            let mut worst: Option<(f64, Point)> = None;
            for s in lines.iter().filter(|s| Bounds::of(&[s.a, s.b]).touches(reach)) {
                let distance = edges.segment_distance(*s, radius - GOUGE);
                let nearer = radius - GOUGE - sheet.bit.allowance / 2.0;
                let centred =
                    part == from.part && distance >= nearer && details[part].hold(s.a, s.b, GOUGE);
                if !centred && distance < worst.map_or(radius - GOUGE, |w| w.0) {
                    worst = Some((distance, s.a));
                }
            }
            if let Some((distance, at)) = worst {
                faults.push(CutFault::Gouge { part, by: from.part, depth: radius - distance, at });
            }
        }
    }
}

/// Finds parts that are not separated, and stock that the bit leaves on a part.
///
/// A round bit leaves a fillet in every sharp inside corner: 0.2 R² in a square one, 1 R² in one of 48
/// degrees. Only more than that in one place is a fault.
pub(super) fn left_standing(ready: &Ready, left: &AfterCut, faults: &mut Vec<CutFault>) {
    let Ready { sheet, usable, .. } = ready;
    let fillet = sheet.bit.diameter * sheet.bit.diameter / 4.0;
    for (part, piece) in left.piece_of.iter().enumerate() {
        let Some(piece) = *piece else { continue };
        if !sheet.parts[part].hold.cuts_free() {
            continue;
        }
        let shared = left.piece_of[..part].iter().position(|p| *p == Some(piece));
        if let Some(other) = shared {
            faults.push(CutFault::NotSeparated { part, other });
            continue;
        }
        let shape = sheet.parts[part].shape();
        let piece = &left.above.pieces[piece];
        if !usable[part] || piece.area - shape.net_area() <= fillet {
            continue;
        }
        // What sticks out of the part by more than the offset's slack.
        let grown = grow(std::slice::from_ref(&shape), 0.02);
        let standing = difference(std::slice::from_ref(&piece.shape), &grown);
        let corners = corners(&shape, sheet.bit.diameter);
        for patch in standing.iter().filter(|s| s.net_area() > fillet) {
            let at = shrink(std::slice::from_ref(patch), 0.05)
                .first()
                .map_or(patch.outline.centroid(), |s| s.outline.0[0]);
            let cleft = cleft(patch, &corners, sheet.bit.diameter / 2.0);
            faults.push(CutFault::LeftStanding { part, area: patch.net_area(), cleft, at });
        }
    }
}

/// Distance from a bit of `radius` mm to the sharp corner that explains the stock left, mm; `None` where none does.
///
/// From the corner its sides open all the way to the bit (the angle between the lines to where the bit touches them is no less than
/// three quarters of the corner's own), and the stock left is no more than lies between those lines.
fn cleft(patch: &Shape, corners: &[Corner], radius: f64) -> Option<f64> {
    let explains = |c: &&Corner| {
        let half = (radius / (radius + c.depth)).asin();
        let straight = radius * radius * (1.0 / half.tan() - (FRAC_PI_2 - half));
        let near = patch.segments().any(|s| s.distance_to_point(c.at) <= c.depth);
        c.angle <= CLEFT
            && 2.0 * half >= 0.75 * c.angle
            && near
            && patch.net_area() <= HOLLOW * straight
    };
    corners.iter().find(explains).map(|c| c.depth)
}
