//! The plan of a part: tabs; else holding bridges, a skin or tape; else the reason why nothing holds it.

use super::check::figures::{Figures, Margin};
use super::check::planner::{Care, Planner};
use super::check::tongues::{self, tongues};
use super::methods::fallback::{on_skin, on_tape, without_tabs};
use super::methods::hold_plan::HoldPlan;
use super::methods::tabs::with_tabs;
use super::methods::{held_waste, none::nothing, quick, reasons};
use super::search::by_count::{ANY, GAIN, NEAR_PART, choose, deepest};
use super::search::clean::cleaner;
use super::search::ladder::depths;
use super::search::stance::with_more;
use super::search::tried::Tried;
use super::task::HoldTask;
use crate::geometry::Contour;
use crate::hold::part::sites::SeatedTab;
use crate::job::{HoldBy, Prefer};
use crate::layout::{Because, Governs, Method, Tab, Why};
use crate::mechanics::Load;

/// The holding plan of a part.
///
/// For each count from 2 up, places and widths are searched by exchange on the reported figures, at two or three tab heights; the
/// deepest last pass at which every demand is met is kept. A shallower pass is preferred to a fifth tab. Where no set holds: a
/// skin, then tape, then no hold, with the reason. The same input gives the same plan. It never fails: a shape without area gets
/// method `none`.
pub fn plan(task: &HoldTask) -> HoldPlan {
    planned(task, Care::default(), |planner| wished(planner, best))
}

/// The same plan, with the figures of the same number of evenly spaced tabs beside each count that was tried ([`Tried::even`]).
pub fn plan_compared(task: &HoldTask) -> HoldPlan {
    planned(task, Care { compare: true, ..Care::default() }, best)
}

/// The first plan that holds a part; [`plan`] finds a better one in about twice the time.
pub fn plan_first(task: &HoldTask) -> HoldPlan {
    planned(task, quick::EFFORT, |planner| wished(planner, quick::first))
}

/// The plan of a part on tape, where `reason` rules out tabs and a skin; `None` where tape does not hold it.
pub fn plan_on_tape(task: &HoldTask, reason: &Because) -> Option<HoldPlan> {
    let plan = planned(task, Care::default(), |planner| {
        let plan = nothing(planner.load, reason.clone());
        on_tape(&planner, &Why::because(reason.clone()), &plan).unwrap_or(plan)
    });
    (plan.hold.method == Method::Tape).then_some(plan)
}

/// The plan that `made` makes of the part's outline, with the common additions: drop-outs held, warnings.
fn planned(task: &HoldTask, effort: Care, made: impl FnOnce(Planner) -> HoldPlan) -> HoldPlan {
    let load = Load::new(task.bit, task.material);
    let contours: Option<Vec<Contour>> = task.shape.rings().map(Contour::new).collect();
    let sound = |v: f64| v.is_finite() && v > 0.0;
    let usable = sound(task.shape.net_area())
        && sound(task.thickness)
        && sound(task.bit.diameter)
        && sound(load.nominal);
    let Some(contours) = contours.filter(|_| usable) else {
        return nothing(load, Because::NoSize);
    };
    let sections = task.sections(&contours);
    let planner = Planner::with(task, contours[0].clone(), 0, &sections, effort);
    let necks = planner.chords.clone();
    let mut plan = HoldPlan { necks, ..made(planner) };
    let of_part = plan.figures.as_ref().map(|f| &f.part);
    let weak = of_part.and_then(reasons::weak_section);
    plan.warnings.extend(weak);
    plan.warnings.extend(reasons::slender(&plan.necks));
    let depth = if plan.hold.last_pass > 0.0 { plan.hold.last_pass } else { depths(task)[0] };
    held_waste::hold(task, &contours, depth, &mut plan);
    plan.warnings.extend(tongues::warnings(&tongues(task, &contours, &sections, depth), depth));
    plan
}

/// What the job asks for where that holds the part; else what `made` finds.
fn wished(planner: Planner, made: impl FnOnce(Planner) -> HoldPlan) -> HoldPlan {
    let why = Why::because(Because::Asked);
    let plan = nothing(planner.load, Because::Asked);
    let found = match planner.task.by {
        HoldBy::Tabs => None,
        HoldBy::Skin => on_skin(&planner, &why, &plan),
        HoldBy::Tape => on_tape(&planner, &why, &plan),
    };
    found.unwrap_or_else(|| made(planner))
}

fn best(mut planner: Planner) -> HoldPlan {
    let depths = depths(planner.task);
    let mut tried = vec![];
    let mut found = choose(&planner, &depths, &mut tried);
    // What lifts off or breaks of itself does so on whatever sites.
    let lost = |t: &Tried| {
        let least = t.figures.least();
        match least.what {
            Governs::Movement => true,
            Governs::Section(_) | Governs::NoSection => least.value < NEAR_PART,
            _ => false,
        }
    };
    // Held but for its overhang: better far from its tabs than without any, but no farther than it must be.
    let limits = nearest(&tried).map_or(vec![], |far| vec![far, f64::INFINITY]);
    for limit in limits {
        if found.is_none() {
            planner = planner.reaching(limit);
            let mut again = vec![];
            found = choose(&planner, &depths, &mut again);
            if found.is_some() {
                tried = again;
            }
        }
    }
    let cramped = (found.is_none() && !tried.iter().any(lost)).then(|| planner.cramped());
    if let Some(cramped) = cramped.filter(|c| c.sites() != planner.sites()) {
        planner = cramped;
        let mut again = vec![];
        found = choose(&planner, &depths, &mut again);
        if found.is_some() || tried.is_empty() {
            tried = again;
        }
    }
    match found {
        Some(found) if planner.task.holding.prefer == Prefer::Clean => {
            let (planner, found) = cleaner(&planner, &found, &depths);
            with_tabs(&planner, found, tried)
        }
        Some(found) => {
            let found = with_more(&planner, found, &depths, &mut tried);
            with_tabs(&planner, found, tried)
        }
        None => without_tabs(&planner, tried),
    }
}

/// The overhang, mm, of the fewest tabs that meet every other demand, unless more tabs reach markedly nearer; `None` where no set
/// does.
fn nearest(tried: &[Tried]) -> Option<f64> {
    let far_only = |f: &Figures| {
        let others = Figures { reach: Margin { value: f64::INFINITY, ..f.reach }, ..f.clone() };
        !f.holds() && others.holds()
    };
    let far = tried.iter().map(|t| &t.figures).filter(|f| far_only(f)).filter_map(|f| f.overhang);
    far.reduce(|near, more| if more * GAIN < near { more } else { near })
}

/// Figures of a given set of tabs on the outline (tabs on other rings are left out), at the last pass's `depth`, or at the deepest
/// at which they hold. `None` where there is no tab or the part has no size.
pub fn evaluate(task: &HoldTask, tabs: &[Tab], depth: Option<f64>) -> Option<Figures> {
    let contours: Option<Vec<Contour>> = task.shape.rings().map(Contour::new).collect();
    let contours = contours?;
    let sections = task.sections(&contours);
    let planner = Planner::new(task, contours[0].clone(), 0, &sections);
    let outline = tabs.iter().filter(|t| t.holds());
    let placed: Vec<SeatedTab> = outline.map(|t| SeatedTab::on(&planner.contour, t)).collect();
    let least = placed.iter().map(|t| t.tab.height).fold(f64::INFINITY, f64::min);
    if placed.is_empty() || least.is_nan() || least <= 0.0 {
        return None;
    }
    match depth {
        Some(depth) => planner.figures(&placed, depth, ANY),
        None => Some(deepest(&planner, &placed, &depths(task), least)?.1),
    }
}
