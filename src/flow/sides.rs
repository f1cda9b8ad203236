//! Plans with all tabs on one side, for parts that are made many times.
//!
//! Where kerfs coincide nothing is left between two parts; where a tab lands, a strip is left. With tabs on one side a
//! row can turn its bare side to the next row, and two rows share the strip between them. The nest finds out which
//! side suits which copy.

use super::members::Member;
use crate::geometry::{Point, Ring, Vector};
use crate::hold::{HoldPlan, HoldTask, plan};
use crate::job::{Group, Job, Part};
use crate::layout::{Hold, Method, Tab};
use rayon::prelude::*;
use std::f64::consts::FRAC_1_SQRT_2;

/// Number of copies from which on rows of a part are worth a plan for each side, and least share of the group's copies: among
/// parts of many kinds a choice of sides saves nothing (the tide clock, seeds 1 to 4) and costs memory.
const ROW: usize = 4;
const SHARE: usize = 4;

/// A last pass this deep costs at most one pass more, mm: worth it if rows then lie closer.
const COMFORT: f64 = 0.4;

/// The members with their best holds and other ways to hold them; those for which `enough` is true stay as they are.
pub(super) fn best_members<'a>(
    job: &'a Job,
    first: &[Member<'a>],
    enough: impl Fn() -> bool + Sync,
) -> Vec<Member<'a>> {
    let best = |m: &Member<'a>| {
        if enough() {
            return m.clone();
        }
        let mut best = m.held(job, plan);
        best.one_sided = one_sided(job, &best, &enough);
        best
    };
    first.par_iter().map(best).collect()
}

/// Plans with all tabs on the side that the part's longest edge faces, on the opposite side and on its ends, kept if
/// they hold it as `planned` does: with tabs, no more of them, the last pass as deep or not too shallow. Planning stops when
/// `enough` says so.
fn one_sided(job: &Job, member: &Member, enough: impl Fn() -> bool) -> Vec<HoldPlan> {
    let (group, part, planned) = (member.group, member.part, &member.hold);
    let copies = |p: &Part| p.quantity + p.spares;
    let all: usize = group.parts.iter().map(|&i| copies(&job.parts[i])).sum();
    let copies = copies(part);
    let many = copies >= ROW && copies * SHARE >= all;
    if !many || part.pins.len() >= copies || planned.hold.method != Method::Tabs {
        return vec![];
    }
    let Some(ahead) = longest_edge(&part.shape.outline) else { return vec![] };
    let mut plans: Vec<HoldPlan> = vec![];
    for side in [ahead.perp() * -1.0, ahead.perp(), ahead, ahead * -1.0] {
        if enough() {
            break;
        }
        // Within 45 degrees: the four sides are the whole outline.
        let landing_ok = |tab: &Tab| tab.out.dot(side) >= FRAC_1_SQRT_2;
        let mut found = plan(&HoldTask { landing_ok: Some(&landing_ok), ..member.task(job) });
        if let Some(why) = &mut found.hold.reason {
            why.one_side = true;
        }
        let (new, old) = (&found.hold, &planned.hold);
        let as_good = new.method == Method::Tabs
            && new.tabs.len() <= old.tabs.len()
            && new.last_pass >= old.last_pass.min(COMFORT)
            && bridges(new, group) <= bridges(old, group);
        let known = |p: &HoldPlan| p.hold.tabs == new.tabs;
        if as_good && !known(planned) && !plans.iter().any(known) {
            plans.push(found);
        }
    }
    plans
}

/// How many of the tabs are as high as the sheet is thick, and so must be sawn.
fn bridges(hold: &Hold, group: &Group) -> usize {
    hold.tabs.iter().filter(|t| t.is_holding_bridge(group.thickness)).count()
}

/// Direction of a ring's longest edge.
fn longest_edge(ring: &Ring) -> Option<Point> {
    let longest = ring.segments().max_by(|a, b| a.length().total_cmp(&b.length()))?;
    longest.direction()
}
