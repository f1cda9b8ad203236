//! One nest of a group, with its tabs mended: what it lacks, how it ranks, and what it becomes once its cut is planned.

use super::closed_off::StockLink;
use super::group_made::GroupMade;
use super::members::{Member, warnings_of};
use super::mend::{Mended, mend};
use super::placed_sheet::{self, LaidSheet};
use super::rank::Rank;
use super::sheet_prices::paid_for;
use super::{settle::settle, soft};
use crate::geometry::shape_distance;
use crate::job::{Group, Job};
use crate::layout::Warning;
use crate::nest::{CopyOf, Nested, Passage, Rooms, TabRoom};
use std::collections::BTreeSet;

/// Most copies with passages of their own: each is nested as a part of its own, and beyond that webs round copies, which are alike
/// for all copies of a part, cost less time (set by hand).
const MOST_PASSAGES: usize = 120;

/// One nest of the group: its sheets, with tabs mended.
#[derive(Clone)]
pub(super) struct Attempt {
    pub(super) nested: Nested,
    pub(super) sheets: Vec<LaidSheet>,
    /// The result of mending, sheet by sheet.
    pub(super) mended: Vec<Mended>,
    /// What the sheets cost (`Rank`).
    paid: u64,
}

impl Attempt {
    pub(super) fn new(job: &Job, group: &Group, members: &[Member], nested: Nested) -> Self {
        let mut sheets = placed_sheet::sheets_of(job, group, members, &nested);
        let mended = sheets.iter_mut().map(|laid| mend(laid, job, members)).collect();
        let paid = paid_for(&group.stock, sheets.iter().map(|s| &s.sheet));
        Attempt { nested, sheets, mended, paid }
    }

    /// The copies that found no stock for their tabs.
    pub(super) fn without_tabs(&self) -> Vec<CopyOf> {
        self.mended.iter().flat_map(|m| m.lost.iter().copied()).collect()
    }

    /// The room that copies need in addition to what they have. Where islands of stock would hold the copies that lost their tabs,
    /// the passages and webs that tie the islands to the clamped stock. Each other copy that lost its tabs needs room for its
    /// planned tabs where the layout is `tight`; then a web; or, if a web of its own did not help because it is an island too, a
    /// web round the nearest part.
    pub(super) fn rooms_wanted(&self, job: &Job, has: &Rooms, tight: bool) -> Rooms {
        let mut wanted = Rooms::default();
        // A job that asks for a web everywhere has said how much it wants.
        if job.web.is_some() {
            return wanted;
        }
        let mut hang = self.tied_by(has, true, &mut wanted);
        let passages = has.passages.keys().chain(wanted.passages.keys()).collect::<BTreeSet<_>>();
        if passages.len() > MOST_PASSAGES {
            wanted = Rooms::default();
            hang = self.tied_by(has, false, &mut wanted);
        }
        for copy in self.without_tabs().into_iter().filter(|c| !hang.contains(c)) {
            let room =
                |c: &CopyOf| *has.tabs.get(c).max(wanted.tabs.get(c)).unwrap_or(&TabRoom::None);
            let skin_cut = self.mended.iter().any(|m| m.skin_cut.contains(&copy));
            let more = match room(&copy) {
                TabRoom::None | TabRoom::Landings if skin_cut => Some((copy, TabRoom::Kerf)),
                TabRoom::None if tight => Some((copy, TabRoom::Landings)),
                TabRoom::None | TabRoom::Landings | TabRoom::Kerf => Some((copy, TabRoom::Web)),
                TabRoom::Web => {
                    let near = self.nearest(copy, |c| room(c) == TabRoom::Web);
                    near.map(|near| (near, TabRoom::Web))
                }
            };
            wanted.tabs.extend(more);
        }
        wanted
    }

    /// Adds to `wanted` the links that tie the islands on which copies without tabs would hang; returns the copies that then hang.
    /// `passages` says whether passages may be used instead of webs round copies.
    fn tied_by(&self, has: &Rooms, passages: bool, wanted: &mut Rooms) -> BTreeSet<CopyOf> {
        let usable = |link: &StockLink| {
            let web = has.tabs.get(&link.copy) == Some(&TabRoom::Web);
            let known = |passage: &Passage| {
                has.passages.get(&link.copy).is_some_and(|all| all.iter().any(|p| p.is_at(passage)))
            };
            !web && link.passage.as_ref().is_none_or(|p| passages && !known(p))
        };
        let mut hang = BTreeSet::new();
        for mended in &self.mended {
            let (links, then_hang) = mended.closed_off.ties(&mended.lost, &usable);
            for link in links {
                match link.passage {
                    Some(p) => wanted.passages.entry(link.copy).or_default().push(p),
                    None => {
                        wanted.tabs.insert(link.copy, TabRoom::Web);
                    }
                }
            }
            hang.extend(then_hang);
        }
        hang
    }

    /// The part nearest to a copy on its sheet, other than those left out.
    fn nearest(&self, copy: CopyOf, leave_out: impl Fn(&CopyOf) -> bool) -> Option<CopyOf> {
        let laid = self.sheets.iter().find(|laid| laid.copies().any(|c| c == copy))?;
        let shape =
            |c: CopyOf| laid.copies().position(|o| o == c).map(|i| laid.sheet.parts[i].shape());
        let own = shape(copy)?;
        let distance = |c: &CopyOf| {
            shape(*c).map_or(f64::INFINITY, |s| shape_distance(&own, &s, f64::INFINITY))
        };
        let others = laid.copies().filter(|c| *c != copy && !leave_out(c));
        others.map(|c| (distance(&c), c)).min_by(|a, b| a.0.total_cmp(&b.0)).map(|found| found.1)
    }

    pub(super) fn rank(&self) -> Rank {
        let (left, lost) = (self.nested.unplaced.len(), self.without_tabs().len());
        Rank::of(&self.sheets, self.paid, left, lost)
    }

    /// Puts the parts in the order of cut, plans the cut, and mends the holds that it shows to be loose.
    pub(super) fn finish(self, job: &Job, group: &Group, members: &[Member]) -> GroupMade {
        let (mut warnings, mut of_holds) = (vec![], warnings_of(members, &self.nested));
        let (mut sheets, mut cuts) = (vec![], vec![]);
        for (mut laid, mended) in self.sheets.into_iter().zip(self.mended) {
            of_holds.extend(mended.warnings);
            let cut = settle(&mut laid, job, members, &mut of_holds);
            let LaidSheet { mut sheet, .. } = laid;
            placed_sheet::common_last_pass(&mut sheet);
            placed_sheet::clear_remnants(&mut sheet);
            warnings.extend(soft::warnings(&sheet, &cut));
            sheet.total();
            sheets.push(sheet);
            cuts.push(cut);
        }
        let unplaced = placed_sheet::unplaced_of(group, members, &self.nested);
        warnings.extend(once_each(of_holds));
        GroupMade {
            sheets,
            cuts,
            unplaced,
            warnings,
            holds: members.iter().map(|m| m.hold.clone()).collect(),
            moves: self.nested.moves,
            ended: self.nested.ended,
        }
    }
}

/// Drops warnings that repeat another about the same part with other figures, as copies planned again cause; the first
/// of them then lists the copies of all.
fn once_each(warnings: Vec<Warning>) -> Vec<Warning> {
    let mut once: Vec<Warning> = vec![];
    for warning in warnings {
        let repeats = |w: &Warning| match (&w.kind, &warning.kind) {
            (Some(a), Some(b)) => w.part == warning.part && a.repeats(b),
            _ => false,
        };
        match once.iter_mut().find(|w| repeats(w)) {
            Some(first) => {
                first.copies.extend(&warning.copies);
                first.copies.sort_unstable();
                first.copies.dedup();
            }
            None => once.push(warning),
        }
    }
    once
}

#[cfg(test)]
mod tests {
    use super::super::{members::members, small_job};
    use super::*;
    use crate::geometry::{Pose, point};
    use crate::layout::{Method, WarningKind};
    use crate::nest::{Ended, NestedSheet, Placed};

    /// Two bars of 60 x 20 mm, two of 20 x 60, and a peg of 12 x 12.
    const RING: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="80mm" viewBox="0 0 200 80">
        <g fill="none" stroke="#000"><rect id="flat" x="5" y="5" width="60" height="20"/>
        <rect id="tall" x="70" y="5" width="20" height="60"/><rect id="peg" x="100" y="5" width="12" height="12"/></g></svg>"##;

    /// Four bars a kerf apart, each against the next one's side, close a ring round a square of 37 mm; a peg in its middle hangs on
    /// an island. One passage, beside any of the bars, opens it; the peg needs no web. Where one was there already and did not
    /// help, one of the bars gets a web; a job with a web everywhere asks for nothing.
    #[test]
    fn one_passage_opens_a_ring() {
        let job = small_job::job_of(
            RING,
            "[[part]]\nname = \"flat\"\nquantity = 2\n[[part]]\nname = \"tall\"\nquantity = 2\n",
        );
        let (group, held) = (&job.groups[0], members(&job));
        let kerf = group.bit.diameter;
        let part = |name: &str| held.iter().position(|m| m.part.name == name).expect("a member");
        let at = |name: &str, copy: usize, x: f64, y: f64| Placed {
            part: part(name),
            copy,
            spare: false,
            pose: Pose::new(point(30.0 + x, 15.0 + y), 0.0),
            hold: 0,
        };
        let placed = vec![
            at("flat", 1, 0.0, 0.0),
            at("tall", 1, 60.0 + kerf, 0.0),
            at("flat", 2, 20.0 + kerf, 60.0 + kerf),
            at("tall", 2, 0.0, 20.0 + kerf),
            at("peg", 1, 35.0, 35.0),
        ];
        let sheet = NestedSheet { stock: 0, length: None, placed, remnants: vec![] };
        let ended = Ended::Budget;
        let nested =
            Nested { sheets: vec![sheet], unplaced: vec![], ended, moves: 0, evaluations: 0 };
        let attempt = Attempt::new(&job, group, &held, nested);
        assert_eq!(attempt.without_tabs(), [(part("peg"), 1)]);
        let peg = (part("peg"), 1);
        let first = attempt.rooms_wanted(&job, &Rooms::default(), false);
        assert!(first.tabs.is_empty() && !first.passages.contains_key(&peg), "{first:?}");
        assert_eq!(first.passages.values().map(Vec::len).sum::<usize>(), 1, "{first:?}");
        let second = attempt.rooms_wanted(&job, &first, false);
        assert!(second.passages.is_empty(), "{second:?}");
        let webs: Vec<_> = second.tabs.into_iter().collect();
        assert!(matches!(webs[..], [(copy, TabRoom::Web)] if copy != peg), "{webs:?}");
        let everywhere = Job { web: Some(2.0), ..job.clone() };
        assert!(attempt.rooms_wanted(&everywhere, &first, false).is_empty());
    }

    #[test]
    fn a_warning_of_several_copies_is_one_and_other_places_are_others() {
        let lost = |copy: usize, method: Method| Warning {
            copies: vec![copy],
            ..Warning::of("plate", WarningKind::NoLanding { method })
        };
        let loose =
            |ring: usize| Warning::of("plate", WarningKind::LooseDropOut { ring, at: [1.0, 1.0] });
        let moves = |part: &str, movement_mm: f64| {
            Warning::of(part, WarningKind::DoNotRepeat { movement_mm, safety: 1.0 })
        };
        let all = vec![
            moves("plate", 0.2),
            lost(3, Method::Skin),
            loose(1),
            lost(1, Method::Skin),
            loose(2),
            moves("plate", 0.3),
            lost(2, Method::Tape),
            loose(1),
            moves("slat", 0.2),
        ];
        let once = once_each(all);
        let told: Vec<(&str, &[usize])> =
            once.iter().map(|w| (w.part.as_str(), w.copies.as_slice())).collect();
        assert_eq!(
            told,
            [
                ("plate", &[][..]),
                ("plate", &[1, 3]),
                ("plate", &[]),
                ("plate", &[]),
                ("plate", &[2]),
                ("slat", &[])
            ],
            "{once:?}"
        );
        assert_eq!(once[0], moves("plate", 0.2), "the first of each stands");
    }
}
