//! Turns nested poses into layout sheets.

use super::material_constants::{holding_rules, material_constants};
use super::members::{Member, grain_in_part};
use super::required::{drawn_in, part_grain};
use super::stand_off::stood_off;
use crate::cut::main_clamped;
use crate::geometry::Ring;
use crate::job::{Group, Job, Stock};
use crate::layout::{
    BitUsed, Cut, Hold, HoldDown, PartGrain, PlacedPart, Remnant, Sheet, Unplaced, UnplacedKind,
};
use crate::mechanics::load_factor;
use crate::nest::{CopyOf, Nested, NestedSheet, PinFault, Placed, Reason, remnant_clear_of};

/// A sheet with its parts, and the member of the group that each is a copy of.
#[derive(Clone)]
pub(super) struct LaidSheet {
    pub(super) sheet: Sheet,
    /// The member of each part of the sheet.
    pub(super) whose: Vec<usize>,
}

impl LaidSheet {
    /// The copy that a part of the sheet is.
    pub(super) fn copy(&self, part: usize) -> CopyOf {
        (self.whose[part], self.sheet.parts[part].copy)
    }

    /// Puts the parts that `order` lists first, in its order; the others keep theirs, after them.
    pub(super) fn sort(&mut self, order: &[usize]) {
        let parts: Vec<(PlacedPart, usize)> =
            self.sheet.parts.drain(..).zip(self.whose.drain(..)).collect();
        let mut parts: Vec<Option<(PlacedPart, usize)>> = parts.into_iter().map(Some).collect();
        let mut sorted: Vec<_> = order.iter().filter_map(|&i| parts.get_mut(i)?.take()).collect();
        sorted.extend(parts.into_iter().flatten());
        (self.sheet.parts, self.whose) = sorted.into_iter().unzip();
    }

    /// All copies on the sheet.
    pub(super) fn copies(&self) -> impl Iterator<Item = CopyOf> + '_ {
        (0..self.whose.len()).map(|part| self.copy(part))
    }
}

/// The layout's sheets, with each part's hold as planned.
pub(super) fn sheets_of(
    job: &Job,
    group: &Group,
    members: &[Member],
    nested: &Nested,
) -> Vec<LaidSheet> {
    let make = |(i, nested): (usize, &NestedSheet)| {
        let id = format!("{}-{}", group.name, i + 1);
        let whose = nested.placed.iter().map(|p| p.part).collect();
        let stock = &group.stock[nested.stock];
        let nested = stood_off(nested, stock, members, group.bit.diameter);
        LaidSheet { sheet: sheet_of(job, group, members, &nested, id), whose }
    };
    nested.sheets.iter().enumerate().map(make).collect()
}

fn sheet_of(
    job: &Job,
    group: &Group,
    members: &[Member],
    nested: &NestedSheet,
    id: String,
) -> Sheet {
    let stock = &group.stock[nested.stock];
    let outline = match nested.length {
        Some(length) => Ring::rectangle(length, stock.outline.bounds().height()),
        None => stock.outline.clone(),
    };
    let placed = |p: &Placed| placed_part(job, &members[p.part], stock, p);
    let mut sheet = Sheet {
        stock: stock.name.clone(),
        keep_clear: stock.keep_clear.clone(),
        clamps: stock.clamps.clone(),
        hold_down: job.holding.hold_down.unwrap_or_default(),
        margin: stock.margin,
        grain_deg: stock.grain.to_degrees(),
        open_length: stock.open_length,
        remnants: nested.remnants.iter().map(|r| Remnant { outline: r.clone() }).collect(),
        parts: nested.placed.iter().map(placed).collect(),
        ..bare_sheet(job, group, id, outline)
    };
    // Where clamps have no room, tape is all that holds it; the page and the summary say so.
    if job.holding.hold_down.is_none() && !main_clamped(&sheet) {
        sheet.hold_down = HoldDown::Tape;
    }
    sheet
}

/// A sheet of the group without parts, its grain along +x.
pub(super) fn bare_sheet(job: &Job, group: &Group, id: String, outline: Ring) -> Sheet {
    let bit = &group.bit;
    Sheet {
        id,
        stock: String::new(),
        material: group.material.name.clone(),
        called: group.label.clone(),
        thickness: group.thickness,
        outline,
        keep_clear: vec![],
        clamps: vec![],
        hold_down: HoldDown::Clamps,
        margin: 0.0,
        grain_deg: 0.0,
        open_length: false,
        bit: BitUsed { name: bit.name.clone(), diameter: bit.diameter, allowance: bit.allowance },
        gap: group.gap(job.web),
        cut: Cut {
            // Where nothing is held no hold sets it; no pass is deeper than the stock.
            last_pass: bit.pass_depth.min(group.thickness),
            feed_per_tooth: bit.feed_per_tooth(),
            flutes: bit.flutes,
            helix_deg: bit.helix_deg(),
            kc: group.material.kc.nominal,
            ke: group.material.ke.nominal,
            factor: load_factor(&group.material),
        },
        material_constants: Some(material_constants(&group.material)),
        holding: Some(holding_rules(&job.holding, bit)),
        sheet_area: 0.0,
        part_area: 0.0,
        waste_percent: 0.0,
        remnants: vec![],
        cleared: vec![],
        parts: vec![],
    }
}

pub(super) fn placed_part(
    job: &Job,
    member: &Member,
    stock: &Stock,
    placed: &Placed,
) -> PlacedPart {
    let (part, pose) = (member.part, &placed.pose);
    // Taken back from the file's own numbers, so that a reader's sine and cosine meet ours.
    let shape = pose.apply_shape(&part.shape);
    PlacedPart {
        part: part.name.clone(),
        copy: placed.copy,
        spare: placed.spare,
        x: pose.offset.x,
        y: pose.offset.y,
        rotation_deg: pose.rotation_deg(),
        mirrored: pose.mirrored,
        grain: grain_along(member, stock, placed),
        outline: shape.outline,
        openings: shape.openings,
        features: drawn_in(part).iter().map(|f| f.map(|p| pose.apply(p))).collect(),
        hold: placed_hold(job, member, stock, placed),
    }
}

/// The part's own direction along the grain, from the plan or from its pin; `None` if any may lie there.
fn grain_along(member: &Member, stock: &Stock, placed: &Placed) -> Option<PartGrain> {
    if !member.has_grain() {
        return None;
    }
    if placed.copy <= member.part.pins.len() {
        return Some(part_grain(grain_in_part(&placed.pose, stock.grain), 0.0));
    }
    let turns = &member.turns;
    // An orientation that does not flip turns the direction back onto the grain.
    let plain = turns.orientations.iter().find(|o| !o.mirrored).filter(|_| !turns.any())?;
    Some(part_grain(-plain.rotation, turns.tolerance.to_degrees()))
}

/// The part's hold where it lies; if it could have been rotated, with figures for the rotation it got.
fn placed_hold(job: &Job, member: &Member, stock: &Stock, placed: &Placed) -> Hold {
    let mut hold = member.judged(job, placed.hold, grain_in_part(&placed.pose, stock.grain));
    hold.tabs = hold.tabs.iter().map(|t| t.placed(&placed.pose)).collect();
    hold
}

/// The last pass that serves the whole sheet: the shallowest that any of its parts needs.
pub(super) fn common_last_pass(sheet: &mut Sheet) {
    let passes = sheet.parts.iter().map(|p| p.hold.last_pass).filter(|d| *d > 0.0);
    sheet.cut.last_pass = passes.fold(sheet.cut.last_pass, f64::min);
}

/// Cuts the landings of tabs planned again out of the remnants, and drops remnants that become too small.
pub(super) fn clear_remnants(sheet: &mut Sheet) {
    let tabs = sheet.parts.iter().flat_map(|p| &p.hold.tabs);
    let landings: Vec<Ring> = tabs.map(|t| t.landing(sheet.bit.diameter)).collect();
    sheet.remnants = std::mem::take(&mut sheet.remnants)
        .into_iter()
        .filter_map(|r| Some(Remnant { outline: remnant_clear_of(&r.outline, &landings)? }))
        .collect();
    sheet.remnants.sort_by(|a, b| b.outline.area().total_cmp(&a.outline.area()));
}

/// Copies without a place, with the reason.
pub(super) fn unplaced_of(group: &Group, members: &[Member], nested: &Nested) -> Vec<Unplaced> {
    let of = |u: &crate::nest::NotPlaced| {
        Unplaced::of(&members[u.part].part.name, u.copy, kind_of(&u.reason, group, members))
    };
    let refused = members.iter().filter_map(|m| Some((m.part, m.refused.clone()?)));
    let refused = refused.flat_map(|(part, kind)| {
        (1..=part.quantity).map(move |copy| Unplaced::of(&part.name, copy, kind.clone()))
    });
    nested.unplaced.iter().map(of).chain(refused).collect()
}

fn kind_of(reason: &Reason, group: &Group, members: &[Member]) -> UnplacedKind {
    match *reason {
        Reason::TooBig { width, height } => {
            UnplacedKind::TooBig { width_mm: width, height_mm: height }
        }
        Reason::NoStock => {
            let (material, thickness_mm) = (group.label.clone(), group.thickness);
            let (off_bed, nearest_mm) = (group.off_bed, group.nearest_thickness);
            UnplacedKind::NoStock { material, thickness_mm, off_bed, nearest_mm }
        }
        Reason::StockUsedUp => UnplacedKind::StockUsedUp,
        Reason::NoArea => UnplacedKind::NoArea,
        Reason::PinInTheWay { fault } => match fault {
            PinFault::NoSheet { sheet } => UnplacedKind::PinWithoutSheet { sheet: sheet + 1 },
            PinFault::NotFinite => UnplacedKind::PinNotFinite,
            PinFault::OffSheet { at } => UnplacedKind::PinOffSheet { at: [at.x, at.y] },
            PinFault::NearEdge => UnplacedKind::PinNearEdge,
            PinFault::NearPart { part, copy } => UnplacedKind::PinNearPart {
                other: members[part].part.name.clone(),
                other_copy: copy,
            },
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::small_job::made;
    use super::*;
    use crate::geometry::{Shape, intersection, point};

    /// Tabs that land on the left 140 mm of a panel of 200 x 120 mm leave the remnants on its right as they were.
    #[test]
    fn remnants_give_way_to_landings() {
        let mut sheet = made().layout.sheets.swap_remove(0);
        let right = Ring::rectangle(60.0, 120.0).moved(point(140.0, 0.0));
        let outlines = [Ring::rectangle(135.0, 120.0), right.clone()];
        sheet.remnants = outlines.map(|outline| Remnant { outline }).to_vec();
        clear_remnants(&mut sheet);
        assert!(sheet.remnants.iter().any(|r| r.outline == right), "{:?}", sheet.remnants);
        let shape = |r: &Ring| [Shape::new(r.clone(), vec![])];
        for tab in sheet.parts.iter().flat_map(|p| &p.hold.tabs) {
            let landing = shape(&tab.landing(sheet.bit.diameter));
            for remnant in &sheet.remnants {
                let common = intersection(&shape(&remnant.outline), &landing);
                assert!(common.iter().all(|c| c.net_area() < 1e-6), "{remnant:?}");
            }
        }
    }
}
