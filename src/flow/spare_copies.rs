//! Spare copies of fragile parts, placed in stock that would be waste: the rest of the layout does not change.
//!
//! A spare goes on a finished sheet, beside its parts. It is kept only where it costs nothing: no other sheet; every part where it
//! was, held as it was; every remnant whole; no shallower last pass; room for clamps as before; no new fault, soft landing or loose
//! waste, except in the spare's own openings. It keeps as far from the sheet's edge as the parts do.

use super::group_made::GroupMade;
use super::group_task::nest_part;
use super::members::Member;
use super::ordered::in_order_of_cut;
use super::placed_sheet::{LaidSheet, placed_part};
use super::sheet_faults::{faults_of, is_sound};
use super::soft;
use crate::cut::{CutPlan, main_clamped};
use crate::geometry::{Ring, Shape, grow};
use crate::job::{Group, Job, Stock};
use crate::layout::{HoldDown, Method, PlacedPart, Sheet};
use crate::nest::{Budget, Control, Nest, NestPart, NestTask};
use std::collections::BTreeSet;
use std::sync::atomic::AtomicBool;

/// Most spares in a group, as a share of its copies, and in any case: each takes a minute of cutting or so (set by hand).
const SHARE: f64 = 0.1;
const MOST: usize = 6;
/// A part is fragile if the margin of its hold, its thinnest neck as a multiple of the thickness, or its lesser extent, mm, is
/// below these: the cutting force is known to a factor of two, a neck of two thicknesses is about as strong as a tab, and what is
/// smaller than a thumb is easily lost (set by hand).
const MARGIN: f64 = 1.5;
const NECK: f64 = 2.0;
const SMALL: f64 = 25.0;
/// Stock left round a spare, mm: first as much as its tabs land on firmly, then less (set by hand).
const WEBS: [f64; 2] = [8.0, 3.0];
/// Kinds of part tried for each spare allowed, and most plans of a sheet's cut with its spares: what bounds the time.
const TRIED: usize = 2;
const CUTS: usize = 3;

/// Adds spares of the group's most fragile parts, as far as the job wants them, to a finished group.
pub(super) fn add_spares(
    made: &mut GroupMade,
    job: &Job,
    (group, members): (&Group, &[Member]),
    stopped: &dyn Fn() -> bool,
) {
    let copies: usize = members.iter().map(|m| m.part.quantity).sum();
    let most = ((copies as f64 * SHARE).ceil() as usize).min(MOST);
    let mut fragile: Vec<(f64, usize)> =
        members.iter().enumerate().filter_map(|(i, m)| Some((frailty(m)?, i))).collect();
    fragile.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut wanted: Vec<usize> = fragile.into_iter().map(|f| f.1).take(TRIED * most).collect();
    let mut left = most;
    for (sheet, cut) in made.sheets.iter_mut().zip(&mut made.cuts) {
        if left == 0 || stopped() {
            return;
        }
        let found = SpareGroup { job, group, members }.on(sheet, cut, &wanted, left);
        let Some((with, after, kinds)) = found else { continue };
        (*sheet, *cut) = (with, after);
        left -= kinds.len();
        wanted.retain(|k| !kinds.contains(k));
    }
}

/// How fragile a part with a wanted spare is: the least of its figures over those that count as fragile, the most fragile first.
/// `None` for sound parts, and for those that are not held by tabs.
fn frailty(member: &Member) -> Option<f64> {
    let plan = &member.hold;
    let wanted = member.part.spare_if_free && member.part.quantity > 0 && member.refused.is_none();
    if !wanted || plan.hold.method != Method::Tabs {
        return None;
    }
    let margin = plan.figures.as_ref()?.least().value / MARGIN;
    let necks = plan.necks.iter().map(|n| n.width);
    let neck = necks.fold(f64::INFINITY, f64::min) / (NECK * member.group.thickness);
    let bounds = member.part.shape.bounds();
    let small = bounds.width().min(bounds.height()) / SMALL;
    Some(margin.min(neck).min(small)).filter(|f| *f < 1.0)
}

/// A group of which spares are made.
struct SpareGroup<'a> {
    job: &'a Job,
    group: &'a Group,
    members: &'a [Member<'a>],
}

impl SpareGroup<'_> {
    /// The sheet with as many spares of the kinds wanted as cost nothing, its cut, and the kinds; `None` if there is none.
    fn on(
        &self,
        sheet: &Sheet,
        cut: &CutPlan,
        wanted: &[usize],
        most: usize,
    ) -> Option<(Sheet, CutPlan, Vec<usize>)> {
        let stock = self.group.stock.iter().find(|s| s.name == sheet.stock)?;
        let mut spares: Vec<(usize, PlacedPart)> = vec![];
        let mut filled = sheet.clone();
        for &kind in wanted {
            if spares.len() == most {
                break;
            }
            let free = free_of(sheet, &filled, stock);
            let place = |web: f64| self.placed(&filled, &free, kind, web);
            if let Some(spare) = WEBS.into_iter().find_map(place) {
                filled.parts.push(spare.clone());
                spares.push((kind, spare));
            }
        }
        for _ in 0..CUTS {
            if spares.is_empty() {
                return None;
            }
            let (with, after) = self.with(sheet, &spares)?;
            let bad = self.bad((sheet, cut), (&with, &after));
            let before = spares.len();
            spares.retain(|(_, s)| !bad.contains(&s.part));
            if spares.len() < before {
                continue;
            }
            if bad.is_empty() && is_sound(&with, &after) {
                return Some((with, after, spares.into_iter().map(|s| s.0).collect()));
            }
            // What is wrong names none of them.
            spares.truncate(spares.len() / 2);
        }
        None
    }

    /// A spare of that kind on what is free, with that much stock round it; `None` if there is no place, or it needs a shallower
    /// last pass than the sheet has.
    fn placed(&self, sheet: &Sheet, free: &Stock, kind: usize, web: f64) -> Option<PlacedPart> {
        let (member, kerf) = (&self.members[kind], sheet.bit.diameter);
        let part = NestPart { copies: 1, spares: 0, pins: vec![], ..nest_part(member, kerf) };
        let budget = Budget { moves: Some(0), time: None };
        let task = NestTask {
            parts: vec![part],
            sheets: vec![free.clone()],
            kerf,
            // What is taken is grown by the kerf already.
            gap: (sheet.gap - kerf).max(web),
            seed: self.job.seed,
            budget,
            threads: 1,
        };
        let (nest, stop) = (Nest::new(&task), AtomicBool::new(false));
        let control = Control { stop: &stop, progress: None };
        let mut placed =
            *nest.improve(nest.first(), budget, &control).sheets.first()?.placed.first()?;
        placed.copy = member.part.quantity + member.part.spares + 1;
        placed.spare = true;
        let spare = placed_part(self.job, member, free, &placed);
        let shallow = spare.hold.last_pass < sheet.cut.last_pass - 1e-9;
        let held = spare.hold.method == Method::Tabs && spare.hold.weak().is_none();
        (held && !shallow).then_some(spare)
    }

    /// The sheet with these spares, in the order of cut.
    fn with(&self, sheet: &Sheet, spares: &[(usize, PlacedPart)]) -> Option<(Sheet, CutPlan)> {
        let of = |p: &PlacedPart| self.members.iter().position(|m| m.part.name == p.part);
        let mut with = sheet.clone();
        with.parts.extend(spares.iter().map(|s| s.1.clone()));
        let whose = with.parts.iter().map(of).collect::<Option<Vec<usize>>>()?;
        let mut laid = LaidSheet { sheet: with, whose };
        let cut = in_order_of_cut(&mut laid);
        laid.sheet.total();
        Some((laid.sheet, cut))
    }

    /// The parts with a fault, a soft landing or loose waste that the sheet did not have without its spares; an empty name for what
    /// concerns none.
    fn bad(
        &self,
        (sheet, cut): (&Sheet, &CutPlan),
        (with, after): (&Sheet, &CutPlan),
    ) -> BTreeSet<String> {
        let mut bad = BTreeSet::new();
        let rounded =
            |name: &str| self.members.iter().any(|m| m.part.name == name && m.part.rounded);
        let known = faults_of(sheet, cut, rounded);
        let faults = faults_of(with, after, rounded).into_iter().filter(|f| !known.contains(f));
        bad.extend(faults.map(|f| f.part.unwrap_or_default()));
        let known = soft::warnings(sheet, cut);
        let soft = soft::warnings(with, after).into_iter().filter(|w| !known.contains(w));
        bad.extend(soft.map(|w| w.part));
        let clamped =
            with.hold_down != HoldDown::Clamps || !main_clamped(sheet) || main_clamped(with);
        let loose = |cut: &CutPlan| {
            cut.drop_outs.iter().filter(|d| d.thrown && d.opening.is_none()).count()
        };
        if !clamped || loose(after) > loose(cut) {
            bad.insert(String::new());
        }
        bad
    }
}

/// A sheet as stock: free where, filled with spares so far, it has no part, no landing and no remnant, and as far from the edge as
/// its own parts lie.
fn free_of(sheet: &Sheet, filled: &Sheet, stock: &Stock) -> Stock {
    let kerf = sheet.bit.diameter;
    let landings = filled.parts.iter().flat_map(|p| &p.hold.tabs).map(|t| t.landing(kerf));
    let remnants = sheet.remnants.iter().map(|r| r.outline.clone());
    let outlines = filled.parts.iter().map(|p| p.outline.clone());
    let taken = outlines.chain(landings).chain(remnants).chain(sheet.keep_clear.iter().cloned());
    let grown = |ring: Ring| grow(&[Shape::new(ring, vec![])], kerf).into_iter().map(|s| s.outline);
    let edge = sheet.outline.bounds();
    let off = |p: &PlacedPart| {
        let b = p.outline.bounds();
        let sides = [
            b.min.x - edge.min.x,
            b.min.y - edge.min.y,
            edge.max.x - b.max.x,
            edge.max.y - b.max.y,
        ];
        sides.into_iter().fold(f64::INFINITY, f64::min)
    };
    let margin = sheet.parts.iter().map(off).fold(f64::INFINITY, f64::min);
    Stock {
        outline: sheet.outline.clone(),
        open_length: false,
        quantity: Some(1),
        keep_clear: taken.flat_map(grown).collect(),
        margin: if margin.is_finite() { margin.max(stock.margin) } else { stock.margin },
        ..stock.clone()
    }
}
