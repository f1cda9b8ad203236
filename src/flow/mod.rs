//! The whole flow for a job: hold, nest, cut, verify, group by group.
//!
//! Groups never share a sheet, so they run in parallel; results are gathered in the job's order, so
//! that the same job and seed give the same bytes at any number of threads.
//!
//! 1. Each part gets a first hold, and each group a first layout with it: a valid layout of the whole job stands
//!    within about a second. A run that is stopped then makes that layout.
//! 2. Then the best holds, and the first layouts with them, before any group is searched.
//! 3. Each group by itself (`group_task`, `group_search`): the nest, in which each copy needs its tabs' landings too; parts whose
//!    tabs hang on no clamped skeleton are planned again on the real skeleton (`mend`); if a copy finds no
//!    stock for its tabs, the nest again with a web round it. The best layout is kept (`rank`).
//! 4. The order of cut, the simulated cut, soft landings and loose parts (`soft`, `settle`).
//! 5. Spares of fragile parts where they cost nothing (`spare_copies`).
//! 6. The whole layout must pass `verify` but for the faults that it lists itself; parts that are refused are taken out and
//!    listed (`refused`).

mod area_packing;
mod attempt;
#[cfg(test)]
mod by_hand;
mod cheapest_start;
mod closed_off;
mod cover;
mod effort;
mod group_made;
mod group_search;
mod group_task;
mod islands;
mod knapsack;
#[cfg(test)]
mod known_optima;
mod material_constants;
mod members;
mod mend;
mod mixes;
mod offcuts;
mod offer;
mod ordered;
mod part_notes;
mod patterns;
mod placed_sheet;
mod plans;
mod purchases;
mod rank;
mod refused;
mod required;
mod settle;
mod sheet_cut;
mod sheet_faults;
mod sheet_prices;
mod short_grain;
mod sides;
#[cfg(test)]
mod small_job;
mod soft;
mod spare_copies;
mod stand_off;
mod stock_bound;
mod stock_race;
mod tied_waste;
mod tried_layout;
mod unmet;

pub use effort::{Effort, GroupProgress, Watch};
pub use members::{PartHold, part_hold};
pub use offcuts::{offcuts, slug};
pub use offer::{Offer, Size, offers, price};
pub use required::{Required, asked_of};
pub use sheet_cut::sheet_cut;
pub use stock_race::{RaceStep, RaceWatch, race};
pub use tried_layout::tried_layout;

use crate::cut::{CutPlan, pockets, time_to_cut};
use crate::drawing::read_sheet_file;
use crate::export::{sheet_svg, tell};
use crate::hold::HoldPlan;
use crate::job::Job;
use crate::layout::{Drawn, DropOut, Layout, Sheet, SheetTime};
use crate::nest::{Ended, First, Nest};
use crate::units::Units;
use crate::verify::{Problem, Rules, verify};
use group_made::GroupMade;
use group_task::GroupTask;
use members::{Member, members};
use rayon::prelude::*;
use sides::best_members;
use spare_copies::add_spares;
use std::sync::OnceLock;
use std::sync::atomic::Ordering;
use std::time::Instant;
use tied_waste::tie_waste;

/// A finished job: the layout with what was found on the way.
#[derive(Debug, Clone)]
pub struct Made {
    /// The layout; apart from the faults it lists it has passed `verify`.
    pub layout: Layout,
    /// The cut of each sheet, in the layout's order.
    pub cuts: Vec<CutPlan>,
    /// The holding plan of each part of the job, in the job's order.
    pub holds: Vec<HoldPlan>,
    /// Moves tried by the search, over all groups.
    pub moves: u64,
}

/// A layout about to leave the program did not pass `verify`: our fault, never the input's.
#[derive(Debug, Clone, thiserror::Error)]
#[error("the layout did not pass its own check")]
pub struct NotVerified(pub Vec<Problem>);

/// Makes the whole job: plans holds, nests, plans the cut, verifies.
///
/// # Errors
/// [`NotVerified`] when the result fails the independent check even without the parts that the check names; those
/// are listed as not placed.
pub fn make(job: &Job, effort: &Effort, watch: &Watch) -> Result<Made, NotVerified> {
    let start = Instant::now();
    let count = job.groups.len();
    let late = || effort.time.is_some_and(|t| start.elapsed() >= t);
    let enough = || watch.stop.load(Ordering::Relaxed) || late();
    // A valid layout of the whole job soon: first holds and first layouts, shown and kept should it be stopped now.
    let mut held = members(job);
    if !enough() {
        let tasks = group_tasks(job, held.clone(), effort);
        let show = |task: &GroupTask| task.report(watch, task.nest().first().progress());
        tasks.par_iter().for_each(show);
        held = best_members(job, &held, enough);
    }
    // Then the best holds, every group's layout with them, and only then the search.
    let tasks = group_tasks(job, held, effort);
    let nests: Vec<OnceLock<Nest>> = (0..count).map(|_| OnceLock::new()).collect();
    let begin = |i: usize| {
        let task = &tasks[i];
        let nest = nests[i].get_or_init(|| task.nest());
        let first = nest.first();
        task.report(watch, first.progress());
        (task, nest, first)
    };
    let begun: Vec<(&GroupTask, &Nest, First)> = (0..count).into_par_iter().map(begin).collect();
    // What is left of the time is shared by the groups, as many at once as there are threads.
    let turns = count.div_ceil(rayon::current_num_threads()).max(1) as u32;
    let left = effort.time.map(|t| t.saturating_sub(start.elapsed()) / turns);
    let share = Effort { time: left, ..*effort };
    let groups: Vec<GroupMade> = begun
        .into_par_iter()
        .map(|(task, nest, first)| {
            let mut made = task.make(job, nest, first, &share, watch);
            add_spares(&mut made, job, (task.group, &task.members), &enough);
            tie_waste(&mut made, job, &task.members, &enough);
            made
        })
        .collect();
    finished(job, groups)
}

/// The whole job, of its groups.
fn finished(job: &Job, groups: Vec<GroupMade>) -> Result<Made, NotVerified> {
    let mut layout = Layout::new(&job.title, job.seed);
    let (mut cuts, mut moves) = (vec![], 0);
    let mut holds: Vec<Option<HoldPlan>> = vec![None; job.parts.len()];
    let mut ended = Ended::Budget;
    for (group, made) in job.groups.iter().zip(groups) {
        layout.sheets.extend(made.sheets);
        layout.unplaced.extend(made.unplaced);
        layout.warnings.extend(made.warnings);
        layout.warnings.extend(part_notes::no_feature_bit(group));
        cuts.extend(made.cuts);
        moves += made.moves;
        ended = ended.max(made.ended);
        for (&part, hold) in group.parts.iter().zip(made.holds) {
            holds[part] = Some(hold);
        }
    }
    layout.unplaced.extend(job.refused.iter().flat_map(refused::not_made));
    layout.ended = ended.name().into();
    layout.total();
    let holds = holds.into_iter().flatten().collect();
    checked(job, Made { layout, cuts, holds, moves })
}

/// The only way out: a layout that has passed `verify`, with all its notes and faults. Parts that `verify` refuses are
/// taken out and listed.
fn checked(job: &Job, mut made: Made) -> Result<Made, NotVerified> {
    let required = Required::of(job);
    let rules = required.rules();
    // Each round has more waste listed, lower claims, more sheets on tape, or fewer parts.
    let mut loose: Vec<DropOut> = vec![];
    loop {
        clear_waste(job, &mut made);
        told_of_itself(job, &mut made);
        made.layout.drop_outs.extend(loose.iter().cloned());
        let problems = unsaid(&made.layout, &rules);
        let unlisted = loose.len();
        loose.extend(problems.iter().filter_map(refused::unlisted_waste));
        if loose.len() > unlisted {
            continue;
        }
        let (layout, cuts) = (&mut made.layout, &mut made.cuts);
        if problems.is_empty() {
            break;
        }
        let may_tape = job.holding.hold_down.is_none();
        if refused::lower_claims(layout, &problems)
            || may_tape && refused::lay_on_tape(layout, cuts, &problems)
        {
            continue;
        }
        if !refused::take_out(layout, cuts, &problems) {
            return Err(NotVerified(problems));
        }
    }
    let (layout, cuts) = (&mut made.layout, &made.cuts);
    layout.cut_times = cut_times(job, layout, cuts);
    layout.to_buy = purchases::purchases(job, layout);
    layout.assumed = unmet::assumed(job, layout);
    layout.unmet = unmet::unmet(job, layout);
    tell(layout, job.units);
    Ok(made)
}

/// The sheets' drawings as they are to be written, each read back and its paths checked. Parts that are refused are taken out and
/// listed, and their sheets drawn again.
pub fn drawn(job: &Job, mut made: Made, units: Units) -> Result<(Made, Vec<String>), NotVerified> {
    let required = Required::of(job);
    loop {
        let sheets = made.layout.sheets.par_iter().zip(&made.cuts);
        let (drawings, read): (Vec<String>, Vec<Drawn>) = sheets
            .map(|(sheet, cut)| {
                let svg = sheet_svg(sheet, &sheet_cut(sheet, cut), units);
                let read = read_sheet_file(&svg);
                (svg, Drawn { sheet: sheet.id.clone(), read })
            })
            .unzip();
        let rules = Rules { drawings: Some(&read), ..required.rules() };
        let problems = unsaid(&made.layout, &rules);
        if problems.is_empty() {
            return Ok((made, drawings));
        }
        // Each round has fewer parts.
        if !refused::take_out(&mut made.layout, &mut made.cuts, &problems) {
            return Err(NotVerified(problems));
        }
        made = checked(job, made)?;
    }
}

/// Pockets for the small waste that would come loose, if the job wants them.
fn clear_waste(job: &Job, made: &mut Made) {
    for (sheet, cut) in made.layout.sheets.iter_mut().zip(&mut made.cuts) {
        sheet.cleared = if job.holding.clear_waste { pockets(sheet, cut) } else { vec![] };
        for piece in &mut cut.drop_outs {
            piece.cleared = sheet.cleared.iter().any(|pocket| pocket.contains(piece.at));
        }
    }
}

/// What the layout finds wrong with itself, to be decided by the maker or mended: exit 1.
fn told_of_itself(job: &Job, made: &mut Made) {
    let (layout, cuts) = (&mut made.layout, &made.cuts);
    layout.notes = part_notes::notes(job, layout, cuts);
    let rounded = |part: &str| job.parts.iter().any(|p| p.name == part && p.rounded);
    let wrong = |(sheet, cut)| sheet_faults::faults_of(sheet, cut, rounded);
    layout.faults = layout.sheets.iter().zip(cuts).flat_map(wrong).collect();
    let loose = |(sheet, cut)| sheet_cut::drop_outs(sheet, cut);
    layout.drop_outs = layout.sheets.iter().zip(cuts).flat_map(loose).collect();
}

/// What `verify` finds beyond that.
fn unsaid(layout: &Layout, rules: &Rules) -> Vec<Problem> {
    let mut problems = verify(layout, rules);
    problems.retain(|problem| !refused::is_said(problem, layout));
    problems
}

/// The time that each sheet takes its group's bit.
fn cut_times(job: &Job, layout: &Layout, cuts: &[CutPlan]) -> Vec<SheetTime> {
    let bit = |name: &str| job.groups.iter().map(|g| &g.bit).find(|b| b.name == name);
    let sheets = layout.sheets.iter().zip(cuts);
    let time = |(sheet, cut): (&Sheet, &CutPlan)| {
        let time = time_to_cut(sheet, cut, bit(&sheet.bit.name)?);
        Some(SheetTime { sheet: sheet.id.clone(), time })
    };
    sheets.filter_map(time).collect()
}

/// Every group with its members, which are in the order of the groups.
fn group_tasks<'a>(job: &'a Job, held: Vec<Member<'a>>, effort: &Effort) -> Vec<GroupTask<'a>> {
    let mut held = held.into_iter();
    (0..job.groups.len()).map(|i| GroupTask::new(job, i, &mut held, effort)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;
    use crate::layout::UnplacedKind;
    use crate::verify::{Finding, JobFinding, What};

    /// A layout spoiled by a fault of ours as it left the search. If one part lies 500 mm off its sheet, the rest of the job goes
    /// on without it; a sheet of another size than the job's stock (200 x 120 mm) stops everything, and the
    /// message says so.
    #[test]
    fn what_the_check_refuses_never_leaves() {
        let (job, good) = (small_job::job(), small_job::made());
        assert_eq!(checked(&job, good.clone()).expect("good").layout, good.layout);
        let mut off = good.clone();
        off.layout.sheets[0].parts[1].outline =
            off.layout.sheets[0].parts[1].outline.moved(point(500.0, 0.0));
        let left = checked(&job, off).expect("the other part").layout;
        assert_eq!((left.parts_placed, left.unplaced.len()), (1, 1));
        assert!(matches!(left.unplaced[0].kind, Some(UnplacedKind::Refused { .. })));
        let mut boasting = good.clone();
        let figures = &mut boasting.layout.sheets[0].parts[1].hold.figures;
        let free = figures.as_mut().and_then(|f| f.free_safety.as_mut()).expect("held by tabs");
        *free *= 5.0;
        let left = checked(&job, boasting).expect("the other part").layout;
        assert_eq!((left.parts_placed, left.unplaced.len()), (1, 1));
        let mut larger = good;
        larger.layout.sheets[0].outline = crate::geometry::Ring::rectangle(210.0, 120.0);
        larger.layout.total();
        let NotVerified(found) = checked(&job, larger).expect_err("no such stock");
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].what, What::Stock);
        assert!(matches!(found[0].found, Finding::Job(JobFinding::StockOutline { .. })));
    }

    /// A part whose cut lost its last pass after the search: its drawing, read back, says so, and the rest is drawn without it.
    #[test]
    fn a_part_whose_drawing_does_not_cut_it_is_taken_out() {
        let (job, good) = (small_job::job(), small_job::made());
        let (same, drawings) = drawn(&job, good.clone(), Units::Mm).expect("good");
        assert_eq!((&same.layout, drawings.len()), (&good.layout, 1));
        let mut uncut = good;
        uncut.cuts[0].paths[1].passes.pop();
        let (left, drawings) = drawn(&job, uncut, Units::Mm).expect("the other part");
        assert_eq!((left.layout.parts_placed, left.layout.unplaced.len()), (1, 1));
        let gone = &left.layout.unplaced[0].part;
        assert!(!drawings[0].contains(&format!("{gone}.1.outline")));
    }
}
