//! Islands of stock between kerfs: which part keeps each, so that others can hang on it and it does not come loose.
//!
//! An island is one with every part round it that is not cut yet. So the last of them keeps it by tabs of its own
//! ([`Tab::waste`]), and all that hangs on it is cut before. Who comes before whom must not go round in a circle: each
//! island that is given a keeper adds to that order, and one that would close a circle gets another keeper or none.

use super::members::{Member, grain_in_part};
use super::placed_sheet::LaidSheet;
use crate::cut::Skeleton;
use crate::geometry::{Point, Pose, point};
use crate::hold::{HoldTask, keep_beyond};
use crate::job::Job;
use crate::layout::{Hold, Method, Sheet, Tab};
use std::collections::{BTreeMap, BTreeSet};

/// A piece between parts that no clamp reaches.
struct Island {
    /// Its number in the skeleton.
    piece: usize,
    /// The parts round it.
    around: Vec<usize>,
    keeper: Option<usize>,
}

/// The islands of a nested sheet.
pub(super) struct Islands<'a> {
    skeleton: &'a Skeleton,
    list: Vec<Island>,
    /// By part: the keepers that are cut after it.
    after: Vec<Vec<usize>>,
    /// The margin of the tabs for each island and part that were tried.
    tried: BTreeMap<(usize, usize), f64>,
}

impl<'a> Islands<'a> {
    pub(super) fn new(skeleton: &'a Skeleton, sheet: &Sheet) -> Islands<'a> {
        let island = |piece: usize| {
            let around = skeleton.around(sheet, piece);
            Island { piece, around, keeper: None }
        };
        Islands {
            skeleton,
            list: skeleton.islands().into_iter().map(island).collect(),
            after: vec![vec![]; sheet.parts.len()],
            tried: BTreeMap::new(),
        }
    }

    /// Whether any island has a keeper.
    pub(super) fn any_kept(&self) -> bool {
        self.list.iter().any(|i| i.keeper.is_some())
    }

    /// Whether a tab of a part (sheet frame) lands on an island that another part keeps.
    pub(super) fn bear(&self, part: usize, tab: &Tab) -> bool {
        let kept = |piece: usize| {
            let of = self.list.iter().find(|i| i.piece == piece);
            of.and_then(|i| i.keeper).is_some_and(|keeper| keeper != part)
        };
        tab.ring == 0 && self.any_kept() && self.skeleton.piece_under(tab).is_some_and(kept)
    }

    /// Gives islands a keeper among the parts that are `held`, the largest first, and those the tabs for it, if their margin at the
    /// worst load is `least` or more. Returns the parts round those that got one, which may hang on them now.
    pub(super) fn keep(
        &mut self,
        laid: &mut LaidSheet,
        job: &Job,
        members: &[Member],
        (held, least): (&[bool], f64),
    ) -> BTreeSet<usize> {
        let mut beside = BTreeSet::new();
        for number in 0..self.list.len() {
            let island = &self.list[number];
            if island.keeper.is_some() {
                continue;
            }
            let parts = &laid.sheet.parts;
            let can = |p: &usize| {
                held[*p] && matches!(parts[*p].hold.method, Method::Tabs | Method::Tape)
            };
            let mut keepers: Vec<usize> = island.around.iter().copied().filter(can).collect();
            keepers.sort_by(|a, b| parts[*b].outline.area().total_cmp(&parts[*a].outline.area()));
            for keeper in keepers {
                // What it bore when it was tried before: it may have got more tabs since, and have less room.
                let borne = self.tried.get(&(number, keeper)).copied().unwrap_or(f64::INFINITY);
                if borne < least || self.comes_before(keeper, number) {
                    continue;
                }
                let member = &members[laid.whose[keeper]];
                let tabs = self.tabs_for(number, &laid.sheet, keeper, job, member);
                let margin = tabs.as_ref().map_or(0.0, |t| t.1);
                self.tried.insert((number, keeper), margin);
                let Some((tabs, _)) = tabs.filter(|t| t.1 >= least) else { continue };
                laid.sheet.parts[keeper].hold.tabs.extend(tabs);
                for &other in self.list[number].around.iter().filter(|p| **p != keeper) {
                    self.after[other].push(keeper);
                }
                self.list[number].keeper = Some(keeper);
                beside.extend(self.list[number].around.iter().copied().filter(|p| *p != keeper));
                break;
            }
        }
        beside
    }

    /// Whether a part has to be cut before one of the others round an island already.
    fn comes_before(&self, part: usize, island: usize) -> bool {
        let mut seen = vec![false; self.after.len()];
        let mut next = vec![part];
        while let Some(at) = next.pop() {
            for &later in &self.after[at] {
                if !std::mem::replace(&mut seen[later], true) {
                    next.push(later);
                }
            }
        }
        self.list[island].around.iter().any(|&p| p != part && seen[p])
    }

    /// Tabs of a part for an island beyond its outline (sheet frame), with their margin at the worst load; `None` where none have
    /// room.
    fn tabs_for(
        &self,
        island: usize,
        sheet: &Sheet,
        part: usize,
        job: &Job,
        member: &Member,
    ) -> Option<(Vec<Tab>, f64)> {
        let (skeleton, piece) = (self.skeleton, self.list[island].piece);
        let placed = &sheet.parts[part];
        let pose = placed.pose();
        let landing_ok = |tab: &Tab| skeleton.piece_under(&tab.placed(&pose)) == Some(piece);
        let grain = [grain_in_part(&pose, sheet.grain_deg.to_radians())];
        let grain: &[f64] = if member.has_grain() { &grain } else { &[] };
        let task = HoldTask { landing_ok: Some(&landing_ok), grain, ..member.task(job) };
        let tabs = placed.hold.tabs.iter().map(|t| in_part(t, &pose)).collect();
        let hold = Hold { tabs, ..placed.hold.clone() };
        let beside = |p: Point| skeleton.is_on(piece, pose.apply(p));
        let (tabs, margin) = keep_beyond(&task, &hold, &beside)?;
        Some((tabs.iter().map(|t| t.placed(&pose)).collect(), margin))
    }
}

/// A tab of the sheet's frame in its part's.
fn in_part(tab: &Tab, pose: &Pose) -> Tab {
    let turn = Pose { offset: point(0.0, 0.0), ..*pose };
    Tab { at: pose.inverse(tab.at), out: turn.inverse(tab.out), ..tab.clone() }
}
