//! Notes on each part under its bit: details cut wider, corners that keep the bit's radius, joints among them.

use crate::cut::{CutPlan, Widened};
use crate::drawing::{JointEnd, corners, finger_ends, joint_ends};
use crate::geometry::Point;
use crate::job::{Group, Job, Part};
use crate::layout::{FeatureKind, Layout, Note, NoteKind, Warning, WarningKind};

/// A drilled hole this near to a corner takes the stock that the bit leaves in it, mm.
const AT_CORNER: f64 = 0.1;

/// The notes on every part with a copy on a sheet, in the job's order.
pub(super) fn notes(job: &Job, layout: &Layout, cuts: &[CutPlan]) -> Vec<Note> {
    let thicknesses: Vec<f64> = job.groups.iter().map(|g| g.thickness).collect();
    let mut notes = vec![];
    for group in &job.groups {
        for part in group.parts.iter().map(|&i| &job.parts[i]) {
            let add = |kind| Note { part: part.name.clone(), kind };
            notes.extend(cut_wider(part, layout, cuts).map(add));
            let placed = layout.sheets.iter().flat_map(|s| &s.parts).any(|p| p.part == part.name);
            if placed {
                notes.extend(finer_bit(part, group).map(add));
                notes.extend(joint_corners(part, group, &thicknesses).into_iter().map(add));
                notes.extend(rounded_corners(part, group).map(add));
            }
        }
    }
    notes
}

/// The note on the part for which a group gets a finer bit.
fn finer_bit(part: &Part, group: &Group) -> Option<NoteKind> {
    let tightest = group.tightest.as_ref().filter(|t| t.part == part.name)?;
    let at = tightest.reach.at;
    Some(NoteKind::NeedsFinerBit {
        at: [at.x, at.y],
        fits_mm: tightest.reach.diameter,
        bit_mm: group.bit.diameter,
        wider_mm: tightest.wider,
        others: tightest.parts - 1,
    })
}

/// Warnings of pockets and holes to drill that no bit on hand enters.
pub(super) fn no_feature_bit(group: &Group) -> impl Iterator<Item = Warning> + '_ {
    group.feature_bits.iter().filter(|f| !f.enters).map(|f| {
        let at = [f.reach.at.x, f.reach.at.y];
        let (fits_mm, finest_mm) = (f.reach.diameter, f.bit.diameter);
        let kind = WarningKind::NoBitEnters { feature: f.kind, at, fits_mm, finest_mm };
        Warning::of(&f.part, kind)
    })
}

/// The note on what is cut wider on the part's first copy.
fn cut_wider(part: &Part, layout: &Layout, cuts: &[CutPlan]) -> Option<NoteKind> {
    let (sheet, cut, copy) = layout.sheets.iter().zip(cuts).find_map(|(sheet, cut)| {
        let copy = sheet.parts.iter().position(|p| p.part == part.name)?;
        Some((sheet, cut, copy))
    })?;
    let own: Vec<&Widened> = cut.widened.iter().filter(|w| w.part == copy).collect();
    let most = own.iter().max_by(|a, b| a.wider.total_cmp(&b.wider))?;
    Some(NoteKind::CutWider {
        places: own.len(),
        sheet: sheet.id.clone(),
        at: [most.at.x, most.at.y],
        drawn_mm: most.drawn,
        wider_mm: most.wider,
    })
}

/// Whether a drilled hole takes the corner's stock.
fn drilled(part: &Part, corner: Point) -> bool {
    let holes = part.features.iter().filter(|f| f.kind == FeatureKind::Drill);
    let at = |r: &crate::geometry::Ring| r.contains(corner) || r.edge_distance(corner) <= AT_CORNER;
    holes.flat_map(|f| &f.rings).any(at)
}

fn rounded_corners(part: &Part, group: &Group) -> Option<NoteKind> {
    let mut corners = corners(&part.shape, group.bit.diameter);
    corners.retain(|c| !drilled(part, c.at));
    let deepest = corners.first()?;
    Some(NoteKind::RoundedCorners {
        corners: corners.len(),
        at: [deepest.at.x, deepest.at.y],
        stands_mm: deepest.depth,
        accepted: part.rounded,
    })
}

/// Notes on the corners of joints: openings and notches, then fingers.
fn joint_corners(part: &Part, group: &Group, thicknesses: &[f64]) -> Vec<NoteKind> {
    let sharp = |e: &JointEnd| !e.corners.iter().all(|c| drilled(part, *c));
    let mut ends = joint_ends(&part.shape, thicknesses, group.bit.diameter);
    ends.retain(sharp);
    let mut fingers = finger_ends(&part.shape, thicknesses, group.bit.diameter);
    let known =
        |e: &JointEnd| ends.iter().any(|other| e.corners.iter().all(|c| other.corners.contains(c)));
    fingers.retain(|e| sharp(e) && !known(e));
    let told = [(ends, false), (fingers, true)].into_iter();
    told.filter_map(|(ends, fingers)| of_ends(part, &ends, fingers)).collect()
}

fn of_ends(part: &Part, ends: &[JointEnd], fingers: bool) -> Option<NoteKind> {
    // Both ends of an opening are one place.
    let mut places: Vec<JointEnd> = vec![];
    for end in ends {
        if end.ring == 0 || places.iter().all(|p| p.ring != end.ring) {
            places.push(*end);
        }
    }
    let first = places.first()?;
    Some(NoteKind::JointCorners {
        width_mm: first.width,
        fingers,
        stock_mm: first.stock,
        stands_mm: ends.iter().map(|e| e.depth).fold(0.0, f64::max),
        accepted: part.rounded,
        places: places.iter().map(|p| [p.at.x, p.at.y]).collect(),
    })
}
