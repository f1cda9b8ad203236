//! Plans with all tabs on one side, for parts that are made many times.
//!
//! Where kerfs coincide nothing is left between two parts; where a tab lands, a strip is left. With tabs on one side a
//! row can turn its bare side to the next row, and two rows share the strip between them. The nest finds out which
//! side suits which copy.

use super::members::Member;
use crate::geometry::{Point, Ring, Vector};
use crate::hold::{HoldPlan, HoldTask, plan};
use crate::job::{Job, Part};
use crate::layout::{Hold, Method, Tab};
use rayon::prelude::*;
use std::f64::consts::FRAC_1_SQRT_2;

/// Least number of copies of a part whose rows are worth a plan for each side, and their least share of the group's copies: among
/// parts of many kinds a choice of sides saves nothing (the tide clock, seeds 1 to 4) and costs memory.
const ROW: usize = 12;
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
        let known = |p: &HoldPlan| p.hold.tabs == new.tabs;
        if as_good(new, old, group.thickness) && !known(planned) && !plans.iter().any(known) {
            plans.push(found);
        }
    }
    plans
}

/// Whether a hold serves as well as another: with tabs, no more of them and no more to be sawn, the last pass as deep or not too
/// shallow.
fn as_good(new: &Hold, old: &Hold, thickness: f64) -> bool {
    let bridges = |h: &Hold| h.tabs.iter().filter(|t| t.is_holding_bridge(thickness)).count();
    new.method == Method::Tabs
        && new.tabs.len() <= old.tabs.len()
        && new.last_pass >= old.last_pass.min(COMFORT)
        && bridges(new) <= bridges(old)
}

/// Direction of a ring's longest edge.
fn longest_edge(ring: &Ring) -> Option<Point> {
    let longest = ring.segments().max_by(|a, b| a.length().total_cmp(&b.length()))?;
    longest.direction()
}

#[cfg(test)]
mod tests {
    use super::super::members::members;
    use super::super::small_job;
    use super::*;

    /// Each condition alone, broken and just kept: one tab more, a bridge more, a last pass under what is comfortable and under the
    /// other's.
    #[test]
    fn a_plan_for_one_side_costs_no_more_than_the_usual_one() {
        let job = small_job::job();
        let held = members(&job);
        let (hold, thickness) = (held[0].hold.hold.clone(), held[0].group.thickness);
        let old = Hold { last_pass: 0.8, ..hold.clone() };
        let low = |t: &Tab| Tab { height: thickness / 2.0, ..t.clone() };
        let old = Hold { tabs: old.tabs.iter().map(low).collect(), ..old };
        let with = |f: fn(&mut Hold)| {
            let mut new = old.clone();
            f(&mut new);
            as_good(&new, &old, thickness)
        };
        assert_eq!(hold.method, Method::Tabs);
        assert!(with(|_| ()));
        assert!(!with(|h| h.tabs.push(h.tabs[0].clone())));
        assert!(with(|h| h.tabs.truncate(1)));
        assert!(!with(|h| h.tabs[0].height = 6.0));
        assert!(with(|h| h.last_pass = 0.4) && !with(|h| h.last_pass = 0.39));
        assert!(!with(|h| h.method = Method::Skin));
        let shallow = Hold { last_pass: 0.2, ..old.clone() };
        assert!(as_good(&shallow, &shallow, thickness) && !as_good(&shallow, &old, thickness));
    }
}
