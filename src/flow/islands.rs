//! Islands of stock between kerfs: which parts keep each, so that others can hang on it and it does not come loose.
//!
//! An island is joined to every part round it that is not cut yet. So the last of these parts keeps it by tabs of its own
//! ([`Tab::waste`]), and every part that hangs on it is cut earlier. The order of cut must have no cycles: each island with a
//! keeper adds to that order, and an island that would close a cycle gets another keeper or none. Where no part bears an island
//! alone, smaller parts that are cut before the keeper help by tabs of their own.

use super::members::{Member, grain_in_part};
use super::placed_sheet::LaidSheet;
use crate::cut::{Skeleton, last_of};
use crate::geometry::{Point, Pose, Vector, point};
use crate::hold::{Helper, HoldTask, WasteBeyond};
use crate::job::Job;
use crate::layout::{Hold, Method, Sheet, Tab};
use std::collections::{BTreeMap, BTreeSet};

/// Most tabs by which others help to keep an island (set by hand).
const MOST_HELP: usize = 3;

/// A piece between parts that no clamp reaches.
struct Island {
    /// Its number in the skeleton.
    piece: usize,
    /// The parts round it.
    around: Vec<usize>,
    /// The parts that keep it: those that help, then the one that is cut last. Empty while nothing keeps it.
    kept_by: Vec<usize>,
}

/// The islands of a nested sheet.
pub(super) struct Islands<'a> {
    skeleton: &'a Skeleton,
    list: Vec<Island>,
    /// By part: the keepers that are cut after it.
    after: Vec<Vec<usize>>,
    /// The margin of the tabs for each island and part that were tried.
    tried: BTreeMap<(usize, usize), f64>,
    /// The parts that could help when each island and part were tried with help, and the margin that was asked.
    tried_with: BTreeMap<(usize, usize), (Vec<usize>, f64)>,
}

/// Where islands are looked for: the job, the group's kinds, which parts are held, and the least margin of what keeps an island.
pub(super) struct Keeping<'a> {
    pub job: &'a Job,
    pub members: &'a [Member<'a>],
    pub held: &'a [bool],
    pub least: f64,
}

/// Tabs for waste of each part that keeps an island, in the sheet's frame, the keeper's last.
type Kept = Vec<(usize, Vec<Tab>)>;

impl<'a> Islands<'a> {
    pub(super) fn new(skeleton: &'a Skeleton, sheet: &Sheet) -> Islands<'a> {
        let island = |piece: usize| {
            let around = skeleton.around(sheet, piece);
            Island { piece, around, kept_by: vec![] }
        };
        Islands {
            skeleton,
            list: skeleton.islands().into_iter().map(island).collect(),
            after: vec![vec![]; sheet.parts.len()],
            tried: BTreeMap::new(),
            tried_with: BTreeMap::new(),
        }
    }

    /// The islands that contain any of these places.
    pub(super) fn at(skeleton: &'a Skeleton, sheet: &Sheet, at: &[Point]) -> Islands<'a> {
        let mut islands = Islands::new(skeleton, sheet);
        islands.list.retain(|i| at.iter().any(|p| skeleton.is_on(i.piece, *p)));
        islands
    }

    /// Whether any island has a keeper.
    pub(super) fn any_kept(&self) -> bool {
        self.list.iter().any(|i| !i.kept_by.is_empty())
    }

    /// Whether a tab of a part (sheet frame) lands on an island that other parts keep.
    pub(super) fn bear(&self, part: usize, tab: &Tab) -> bool {
        let kept = |piece: usize| {
            let of = self.list.iter().find(|i| i.piece == piece);
            of.is_some_and(|i| !i.kept_by.is_empty() && !i.kept_by.contains(&part))
        };
        tab.ring == 0 && self.any_kept() && self.skeleton.piece_under(tab).is_some_and(kept)
    }

    /// Gives islands a keeper among the parts that are held, the largest first, with helpers where no part bears the island alone,
    /// and gives those parts tabs for it. Returns the parts round the islands that got a keeper: they may now hang on them.
    pub(super) fn keep(&mut self, laid: &mut LaidSheet, keeping: &Keeping) -> BTreeSet<usize> {
        let mut beside = BTreeSet::new();
        for number in 0..self.list.len() {
            let island = &self.list[number];
            if !island.kept_by.is_empty() {
                continue;
            }
            let parts = &laid.sheet.parts;
            let can = |p: &usize| {
                keeping.held[*p] && matches!(parts[*p].hold.method, Method::Tabs | Method::Tape)
            };
            let mut able: Vec<usize> = island.around.iter().copied().filter(can).collect();
            able.sort_by(|a, b| last_of(&laid.sheet, *b, *a));
            let alone = able.iter().find_map(|k| self.kept_alone(laid, keeping, number, *k));
            let together = || {
                let ways = able.iter().enumerate();
                ways.filter(|(i, _)| i + 1 < able.len()).map(|(i, k)| (*k, &able[i + 1..]))
            };
            let kept = match alone {
                Some(kept) => Some(kept),
                None => together().find_map(|(k, smaller)| {
                    self.kept_together(laid, keeping, number, (k, smaller))
                }),
            };
            let Some(kept) = kept else { continue };
            self.list[number].kept_by = kept.iter().map(|k| k.0).collect();
            for (part, tabs) in kept {
                laid.sheet.parts[part].hold.tabs.extend(tabs);
            }
            let island = &self.list[number];
            if let Some(&keeper) = island.kept_by.last() {
                for &other in island.around.iter().filter(|p| **p != keeper) {
                    self.after[other].push(keeper);
                }
            }
            beside.extend(island.around.iter().copied().filter(|p| !island.kept_by.contains(p)));
        }
        beside
    }

    /// The tabs by which a part keeps an island alone.
    fn kept_alone(
        &mut self,
        laid: &LaidSheet,
        keeping: &Keeping,
        number: usize,
        keeper: usize,
    ) -> Option<Kept> {
        // What it bore when it was tried before: it may have got more tabs since, and have less room.
        let borne = self.tried.get(&(number, keeper)).copied().unwrap_or(f64::INFINITY);
        if borne < keeping.least || self.comes_before(keeper, number) {
            return None;
        }
        let piece = self.list[number].piece;
        let (tabs, margin) = beyond(self.skeleton, piece, laid, (keeper, keeping), |waste, _| {
            waste.keep().unwrap_or((vec![], 0.0))
        })?;
        self.tried.insert((number, keeper), margin);
        (margin >= keeping.least).then(|| vec![(keeper, placed(laid, keeper, &tabs))])
    }

    /// The tabs by which a part keeps an island with the help of smaller ones, which are cut before it.
    fn kept_together(
        &mut self,
        laid: &LaidSheet,
        keeping: &Keeping,
        number: usize,
        (keeper, smaller): (usize, &[usize]),
    ) -> Option<Kept> {
        let tried = self.tried_with.get(&(number, keeper));
        let in_vain = tried.is_some_and(|t| t.0 == smaller && t.1 <= keeping.least);
        if in_vain || self.comes_before(keeper, number) {
            return None;
        }
        self.tried_with.insert((number, keeper), (smaller.to_vec(), keeping.least));
        let piece = self.list[number].piece;
        let offer = |&part: &usize| {
            let tabs = beyond(self.skeleton, piece, laid, (part, keeping), |w, _| w.offers());
            (part, placed(laid, part, &tabs.unwrap_or_default()))
        };
        let offers: Kept = smaller.iter().map(offer).filter(|o| !o.1.is_empty()).collect();
        if offers.is_empty() {
            return None;
        }
        beyond(self.skeleton, piece, laid, (keeper, keeping), |waste, pose| {
            let (own, alone) = waste.keep()?;
            let helpers = |picked: &Kept| -> Vec<Helper> {
                picked.iter().map(|(p, tabs)| helper(laid, *p, tabs, pose)).collect()
            };
            let mut best: (Kept, f64) = (vec![], alone);
            for _ in 0..MOST_HELP {
                let picked = best.0.clone();
                for (part, tabs) in &offers {
                    for tab in tabs {
                        let Some(with) = with_tab(&picked, *part, tab, laid.sheet.bit.diameter)
                        else {
                            continue;
                        };
                        let margin = waste.helped(&own, &helpers(&with));
                        if margin > best.1 {
                            best = (with, margin);
                        }
                    }
                }
                if best.1 >= keeping.least || best.0 == picked {
                    break;
                }
            }
            let (mut kept, margin) = best;
            kept.push((keeper, placed(laid, keeper, &own)));
            (margin >= keeping.least).then_some(kept)
        })?
    }

    /// Whether a part must already be cut before one of the other parts round an island.
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
}

/// Calls `f` with a piece beyond a part's outline, in that part's frame, and with the part's pose; returns its result.
fn beyond<T>(
    skeleton: &Skeleton,
    piece: usize,
    laid: &LaidSheet,
    (part, keeping): (usize, &Keeping),
    f: impl FnOnce(&WasteBeyond, &Pose) -> T,
) -> Option<T> {
    let (placed, member) = (&laid.sheet.parts[part], &keeping.members[laid.whose[part]]);
    let pose = placed.pose();
    let landing_ok = |tab: &Tab| skeleton.piece_under(&tab.placed(&pose)) == Some(piece);
    let grain = [grain_in_part(&pose, laid.sheet.grain_deg.to_radians())];
    let grain: &[f64] = if member.has_grain() { &grain } else { &[] };
    let task = HoldTask { landing_ok: Some(&landing_ok), grain, ..member.task(keeping.job) };
    let tabs = placed.hold.tabs.iter().map(|t| in_part(t, &pose)).collect();
    let hold = Hold { tabs, ..placed.hold.clone() };
    let beside = |p: Point| skeleton.is_on(piece, pose.apply(p));
    let waste = WasteBeyond::new(&task, &hold, &beside)?;
    Some(f(&waste, &pose))
}

/// A part that helps, as the keeper with this pose sees it.
fn helper(laid: &LaidSheet, part: usize, tabs: &[Tab], keeper: &Pose) -> Helper {
    let placed = &laid.sheet.parts[part];
    let hold = &placed.hold;
    let farthest = |t: &Tab| {
        let corners = placed.outline.points().iter();
        corners.map(|p| p.distance(t.at)).fold(0.0, f64::max)
    };
    Helper {
        tabs: tabs.iter().map(|t| in_part(t, keeper)).collect(),
        gives: if hold.load_n > 0.0 { hold.movement_mm / hold.load_n } else { 0.0 },
        load: hold.load_n,
        reach: tabs.iter().map(farthest).fold(f64::INFINITY, f64::min),
    }
}

/// Tabs with one more, of `part`; `None` where it has no room beside the others.
fn with_tab(picked: &Kept, part: usize, tab: &Tab, kerf: f64) -> Option<Kept> {
    let mut with = picked.clone();
    match with.iter_mut().find(|(p, _)| *p == part) {
        Some((_, tabs)) => {
            if !tabs.iter().all(|t| t.leaves_room(tab, kerf)) {
                return None;
            }
            tabs.push(tab.clone());
        }
        None => with.push((part, vec![tab.clone()])),
    }
    Some(with)
}

/// A part's tabs in the sheet's frame.
fn placed(laid: &LaidSheet, part: usize, tabs: &[Tab]) -> Vec<Tab> {
    let pose = laid.sheet.parts[part].pose();
    tabs.iter().map(|t| t.placed(&pose)).collect()
}

/// A tab of the sheet's frame in its part's.
fn in_part(tab: &Tab, pose: &Pose) -> Tab {
    let turn = Pose { offset: point(0.0, 0.0), ..*pose };
    Tab { at: pose.inverse(tab.at), out: turn.inverse(tab.out), ..tab.clone() }
}

#[cfg(test)]
mod tests {
    use super::super::{members::members, ordered::in_order_of_cut, small_job};
    use super::*;
    use crate::cut::landing_on_skeleton;
    use crate::geometry::Ring;
    use crate::layout::Layout;
    use crate::verify::{ClaimFinding, Finding, Rules, verify};

    /// A block with a notch, 30 mm wide and deep, and a bar that closes it.
    const NOTCHED: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
        <path id="block" d="M5 5H20V35H50V5H65V45H5Z" fill="none" stroke="#000"/>
        <rect id="bar" x="5" y="60" width="60" height="10" fill="none" stroke="#000"/></svg>"##;

    /// What the parts' own tabs bear, in loads of the cut: enough for any help.
    const LOAD: f64 = 6.0;

    /// On the panel the bar, which hangs on the stock above it, one kerf above the block, which hangs on the stock below.
    fn notched(job: &Job, members: &[Member]) -> LaidSheet {
        let mut sheet = small_job::made_of(job).layout.sheets.swap_remove(0);
        sheet.parts.sort_by(|a, b| a.part.cmp(&b.part));
        let kerf = sheet.bit.diameter;
        let bar = Ring::rectangle(60.0, 10.0);
        let notch = [(15.0, 0.0), (15.0, 30.0), (45.0, 30.0), (45.0, 0.0), (60.0, 0.0)];
        let block = [&[(0.0, 0.0)][..], &notch, &[(60.0, 40.0), (0.0, 40.0)]].concat();
        let block = Ring(block.iter().map(|&(x, y)| point(x, y)).collect());
        for (part, ring, y, tab_y, out) in
            [(0, bar, 30.0, 30.0, -1.0), (1, block, 40.0 + kerf, 80.0 + kerf, 1.0)]
        {
            let placed = &mut sheet.parts[part];
            placed.outline = ring.moved(point(60.0, y));
            (placed.x, placed.y, placed.rotation_deg, placed.mirrored) = (60.0, y, 0.0, false);
            let tab = |x: f64| Tab {
                at: point(x, tab_y),
                out: point(0.0, out),
                width: 6.0,
                height: 2.0,
                ring: 0,
                waste: false,
            };
            placed.hold.tabs = vec![tab(70.0), tab(110.0)];
            placed.hold.load_n *= LOAD;
        }
        let whose = |p: &crate::layout::PlacedPart| {
            members.iter().position(|m| m.part.name == p.part).expect("a member")
        };
        let whose = sheet.parts.iter().map(whose).collect();
        LaidSheet { sheet, whose }
    }

    /// The greatest margin that is asked of what keeps the notch's island and found, and the ratio of strength to stress that
    /// `verify` finds for it under one load; `held` says whether the bar and the block are held.
    fn greatest(held: [bool; 2]) -> (f64, f64) {
        let job = small_job::job_of(NOTCHED, "");
        let members = members(&job);
        let LaidSheet { sheet, whose } = notched(&job, &members);
        let skeleton = landing_on_skeleton(&sheet);
        let kept = |least: f64| {
            let mut laid = LaidSheet { sheet: sheet.clone(), whose: whose.clone() };
            let keeping = Keeping { job: &job, members: &members, held: &held, least };
            let mut islands = Islands::new(&skeleton, &sheet);
            islands.keep(&mut laid, &keeping);
            islands.any_kept().then_some(laid.sheet)
        };
        let (mut low, mut high) = (0.01, 100.0);
        for _ in 0..20 {
            let middle = f64::midpoint(low, high);
            if kept(middle).is_some() { low = middle } else { high = middle }
        }
        let sheet = kept(low).expect("kept");
        let mut laid = LaidSheet { sheet, whose: whose.clone() };
        in_order_of_cut(&mut laid);
        let mut sheet = laid.sheet;
        // More than any tab bears: then the ratio is told.
        sheet.holding.as_mut().expect("stated").safety_tab_shear = 1e6;
        let mut layout = Layout::new("by hand", 0);
        layout.sheets = vec![sheet];
        let rules = Rules { complete: true, ..Rules::default() };
        let weak = Finding::Claim(ClaimFinding::KeepsTooWeakly);
        let ratio = verify(&layout, &rules).into_iter().find(|p| p.found == weak);
        (low, LOAD * ratio.and_then(|p| p.amount).expect("a ratio"))
    }

    /// The margin is the ratio over what is required: 1.3 in shear, up to 1.7 across the grain. `verify` has its own model of the
    /// island, also rigid.
    #[test]
    fn what_keeps_an_island_has_the_margin_that_was_asked() {
        let alone = [[true, false], [false, true]].map(greatest);
        let both = greatest([true, true]);
        for (margin, ratio) in [alone[0], alone[1], both] {
            assert!((1.25..1.8).contains(&(ratio / margin)), "{ratio} {margin}");
        }
        assert!(both.0 > 1.5 * alone[0].0.max(alone[1].0), "{both:?} is not with help");
    }

    /// Part 0 is cut before 2, which is cut before 1: 0 cannot be the last round an island that 1 is beside, and 1 can.
    #[test]
    fn who_comes_before_whom_never_goes_round_in_a_circle() {
        let sheet = small_job::made().layout.sheets.swap_remove(0);
        let skeleton = landing_on_skeleton(&sheet);
        let mut islands = Islands::new(&skeleton, &sheet);
        islands.after = vec![vec![2], vec![], vec![1]];
        islands.list = vec![Island { piece: 0, around: vec![0, 1], kept_by: vec![] }];
        assert_eq!([0, 1, 2].map(|p| islands.comes_before(p, 0)), [true, false, true]);
        islands.list[0].around = vec![0];
        assert!(!islands.comes_before(0, 0));
    }

    /// The notch's island lies beside the bar (0) and the block (1). Each keeps it alone at a small margin, and the block with the
    /// bar's help at one that neither bears. One that has to be cut before the other keeps nothing; whoever is cut before the
    /// keeper is noted, and hangs on the island, which the keeper does not.
    #[test]
    fn a_keeper_is_cut_last() {
        let job = small_job::job_of(NOTCHED, "");
        let members = members(&job);
        let laid = notched(&job, &members);
        let skeleton = landing_on_skeleton(&laid.sheet);
        let small = 0.1;
        let high = 1.2 * greatest([true, false]).0.max(greatest([false, true]).0);
        let on_it = Tab {
            at: point(90.0, 40.0),
            out: point(0.0, 1.0),
            ..laid.sheet.parts[0].hold.tabs[0].clone()
        };
        let kept = |after: [Vec<usize>; 2], held: [bool; 2], least: f64| {
            let mut laid = LaidSheet { sheet: laid.sheet.clone(), whose: laid.whose.clone() };
            let mut islands = Islands::new(&skeleton, &laid.sheet);
            islands.after = after.to_vec();
            islands.keep(&mut laid, &Keeping { job: &job, members: &members, held: &held, least });
            let by = islands.list.iter().map(|i| i.kept_by.clone()).collect::<Vec<_>>().concat();
            (by, islands.after.clone(), [0, 1].map(|part| islands.bear(part, &on_it)))
        };
        let none = || [vec![], vec![]];
        let by_bar = kept(none(), [true, false], small);
        assert_eq!(by_bar, (vec![0], vec![vec![], vec![0]], [false, true]));
        let by_block = kept(none(), [false, true], small);
        assert_eq!(by_block, (vec![1], vec![vec![1], vec![]], [true, false]));
        assert_eq!(kept(none(), [true, true], high).0, [0, 1]);
        assert!(kept([vec![1], vec![]], [true, false], small).0.is_empty());
        assert!(kept([vec![], vec![0]], [false, true], small).0.is_empty());
        assert!(kept([vec![], vec![0]], [true, true], high).0.is_empty());
    }

    /// Two tabs of 4 mm of one part leave a kerf of 3 mm between them: 7 mm from middle to middle. Another part's stand elsewhere.
    #[test]
    fn a_tab_that_helps_stands_off_those_of_its_part() {
        let tab = |x: f64| Tab {
            at: point(x, 0.0),
            out: point(0.0, -1.0),
            width: 4.0,
            height: 2.0,
            ring: 0,
            waste: true,
        };
        let with = |part: usize, x: f64| {
            let found = with_tab(&vec![(1, vec![tab(0.0)])], part, &tab(x), 3.0);
            found.map(|kept| kept.iter().map(|(_, tabs)| tabs.len()).collect::<Vec<_>>())
        };
        assert_eq!(with(1, 6.99), None);
        assert_eq!(with(1, 7.05), Some(vec![2]));
        assert_eq!(with(2, 1.0), Some(vec![1, 1]));
    }
}
