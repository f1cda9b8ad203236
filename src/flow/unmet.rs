//! Assumed values that matter to the layout, and requests that it does not meet.

use super::members::grain_in_part;
use crate::geometry::{Pose, Vector, point};
use crate::job::{Grain, Group, HoldBy, Job, Part, Prefer};
use crate::layout::{Assumed, Layout, Method, PlacedPart, Sheet, Subject, Unmet};
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// What was assumed about the bits and stock that the layout uses, and about the job and its drawings.
pub(super) fn assumed(job: &Job, layout: &Layout) -> Vec<Assumed> {
    let matters = |a: &&Assumed| match &a.of {
        Subject::Bit(name) => job.groups.iter().any(|g| g.bit.name == *name),
        Subject::Stock(name) => layout.sheets.iter().any(|s| s.stock == *name),
        _ => true,
    };
    job.assumed.iter().filter(matters).cloned().collect()
}

/// Requests that the layout does not meet, part by part in the job's order.
pub(super) fn unmet(job: &Job, layout: &Layout) -> Vec<Unmet> {
    let mut unmet = vec![];
    for group in &job.groups {
        for part in group.parts.iter().map(|&i| &job.parts[i]) {
            unmet.extend(spares(part, layout));
            unmet.extend(grain(group, part, layout));
            unmet.extend(clean(job, group, part, layout));
            unmet.extend(hold_by(part, layout));
            unmet.extend(pinned_sheets(group, part, layout));
        }
    }
    unmet
}

fn copies<'a>(
    part: &'a Part,
    layout: &'a Layout,
) -> impl Iterator<Item = (&'a Sheet, &'a PlacedPart)> {
    let on_sheet =
        move |s: &'a Sheet| s.parts.iter().filter(|p| p.part == part.name).map(move |p| (s, p));
    layout.sheets.iter().flat_map(on_sheet)
}

fn spares(part: &Part, layout: &Layout) -> Option<Unmet> {
    let placed = copies(part, layout).filter(|(_, p)| p.spare).count();
    (placed < part.spares).then(|| Unmet::Spares {
        part: part.name.clone(),
        wanted: part.spares,
        placed,
    })
}

/// Tabs on end grain although long grain is preferred: those that leave the part within 45 degrees of the grain.
fn clean(job: &Job, group: &Group, part: &Part, layout: &Layout) -> Option<Unmet> {
    if job.holding.prefer != Prefer::Clean || !group.material.has_grain() {
        return None;
    }
    let tabs = copies(part, layout).flat_map(|(sheet, p)| {
        let along = point(1.0, 0.0).turned(sheet.grain_deg.to_radians());
        let outline = p.hold.tabs.iter().filter(|t| t.holds());
        outline.map(move |t| t.out.dot(along).abs() > FRAC_1_SQRT_2)
    });
    let ends: Vec<bool> = tabs.collect();
    let on_end_grain = ends.iter().filter(|e| **e).count();
    let (part, tabs) = (part.name.clone(), ends.len());
    (on_end_grain > 0).then_some(Unmet::CleanTabs { part, on_end_grain, tabs })
}

fn hold_by(part: &Part, layout: &Layout) -> Option<Unmet> {
    let wanted = match part.hold_by {
        HoldBy::Tabs => return None,
        HoldBy::Skin => Method::Skin,
        HoldBy::Tape => Method::Tape,
    };
    let got = copies(part, layout).map(|(_, p)| p.hold.method).find(|m| *m != wanted)?;
    Some(Unmet::HoldBy { part: part.name.clone(), wanted, got })
}

/// Pinned copies on another sheet than their pin names: a sheet that stays empty is not cut, and the next takes its number.
fn pinned_sheets(group: &Group, part: &Part, layout: &Layout) -> Vec<Unmet> {
    let of_group = |s: &&Sheet| s.material == group.material.name && s.thickness == group.thickness;
    let sheets: Vec<&Sheet> = layout.sheets.iter().filter(of_group).collect();
    let moved = |(k, (wanted, _)): (usize, &(usize, Pose))| {
        let lies = |s: &&&Sheet| s.parts.iter().any(|p| p.part == part.name && p.copy == k + 1);
        let sheet = sheets.iter().enumerate().find(|(_, s)| lies(s));
        let (_, sheet) = sheet.filter(|(i, _)| i != wanted)?;
        let (part, sheet) = (part.name.clone(), sheet.id.clone());
        Some(Unmet::PinnedSheet { part, copy: k + 1, wanted: wanted + 1, sheet })
    };
    part.pins.iter().enumerate().filter_map(moved).collect()
}

fn grain(group: &Group, part: &Part, layout: &Layout) -> Vec<Unmet> {
    let Grain::Along(wish) = part.grain else { return vec![] };
    if !group.material.has_grain() {
        let (part, material) = (part.name.clone(), group.label.clone());
        return vec![Unmet::NoGrain { part, material }];
    }
    // The nest turns a part only as its grain allows; a pin lays it as it likes.
    let pinned = copies(part, layout).filter(|(_, p)| p.copy <= part.pins.len());
    let off = |(sheet, placed): (&Sheet, &PlacedPart)| {
        let lies = grain_in_part(&placed.pose(), sheet.grain_deg.to_radians());
        // Grain runs both ways: half a turn off is none.
        let off = (lies - wish).rem_euclid(PI);
        let off = off.min(PI - off);
        (off > part.grain_tolerance + 1e-6).then(|| Unmet::GrainPinned {
            part: part.name.clone(),
            copy: placed.copy,
            off_deg: off.to_degrees(),
            tolerance_deg: part.grain_tolerance.to_degrees(),
        })
    };
    pinned.filter_map(off).collect()
}

#[cfg(test)]
mod tests {
    use super::super::small_job::{job_with, made_of};
    use super::*;
    use crate::layout::Tab;

    /// The grain runs along x. By hand: a tab that leaves the part along x is on end grain, one along y on long grain, one at 44
    /// degrees to the grain still on end grain.
    #[test]
    fn tabs_on_end_grain_are_told_where_long_grain_is_wanted() {
        let job = job_with("[holding]\nprefer = 'clean'\n");
        let mut layout = made_of(&job).layout;
        let group = &job.groups[0];
        let part = job.parts.iter().find(|p| p.name == "long").expect("drawn");
        let mut told = |degrees: [f64; 2]| {
            let sheet = &mut layout.sheets[0];
            sheet.grain_deg = 0.0;
            let placed = sheet.parts.iter_mut().find(|p| p.part == "long").expect("placed");
            let out = |deg: f64| point(1.0, 0.0).turned(deg.to_radians());
            let tab = placed.hold.tabs[0].clone();
            placed.hold.tabs = degrees.map(|d| Tab { out: out(d), ..tab.clone() }).to_vec();
            match clean(&job, group, part, &layout) {
                Some(Unmet::CleanTabs { on_end_grain, tabs, .. }) => (on_end_grain, tabs),
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(told([0.0, 180.0]), (2, 2));
        assert_eq!(told([90.0, 44.0]), (1, 2));
        assert_eq!(told([46.0, 44.0]), (1, 2));
        let mut plain = job_with("");
        plain.holding.prefer = Prefer::Strong;
        assert_eq!(clean(&plain, group, part, &layout), None);
    }
}
