//! A group's parts as the flow sees them: the grain resolved, the hold planned.

use super::plans::Plans;
use super::short_grain;
use crate::geometry::{Contour, Pose, Shape, Vector, point};
use crate::hold::{
    BodyCache, Chord, HoldPlan, HoldTask, chords, evaluate, plan, plan_compared, plan_first,
    strongest,
};
use crate::job::{Grain, Group, Job, Part, Turns};
use crate::layout::{Hold, HoldFigures, Method, Sheet, Tab, UnplacedKind, Warning, WarningKind};
use crate::memo::Memo;
use crate::nest::Nested;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};
use std::sync::Arc;

/// A part as its group sees it: its grain resolved, its hold planned.
#[derive(Clone)]
pub(super) struct Member<'a> {
    pub(super) part: &'a Part,
    pub(super) group: &'a Group,
    /// Its narrow sections.
    narrow: Vec<Chord>,
    pub(super) turns: Turns,
    /// Directions, in the part's frame, that the grain may take.
    pub(super) grain: Vec<f64>,
    pub(super) hold: HoldPlan,
    /// Other plans that also hold it, with all tabs on one side.
    pub(super) one_sided: Vec<HoldPlan>,
    /// Why it must not be cut.
    pub(super) refused: Option<UnplacedKind>,
    /// Its elastic bodies, once it has been planned again.
    bodies: Arc<BodyCache>,
    /// Its plans, by where tabs may land.
    planned_anew: Arc<Plans<HoldPlan>>,
    /// Its plans' holds, by plan number and the grain each got (see [`judged_at`]).
    judged: Arc<Memo<(usize, u64), Hold>>,
}

/// The parts of all groups, group by group, with their grain resolved and a first hold planned, in parallel.
pub(super) fn members(job: &Job) -> Vec<Member<'_>> {
    let of = |group: usize| job.groups[group].parts.iter().map(move |&i| (group, i));
    let all: Vec<(usize, usize)> = (0..job.groups.len()).flat_map(of).collect();
    all.into_par_iter()
        .map(|(group, i)| member(job, &job.groups[group], &job.parts[i], plan_first))
        .collect()
}

/// One part with its grain resolved and its hold made by `plan`.
pub(super) fn member<'a>(
    job: &Job,
    group: &'a Group,
    part: &'a Part,
    plan: fn(&HoldTask) -> HoldPlan,
) -> Member<'a> {
    // A part without size has none; its plan says so.
    let contours: Option<Vec<Contour>> = part.shape.rings().map(Contour::new).collect();
    let narrow = contours.map_or(vec![], |c| chords(&part.shape, &c));
    let (turns, mut grain) = turns_of(part, group, &narrow);
    if group.material.has_grain() && !part.pins.is_empty() {
        // A pin lays the grain as it likes.
        let sheet = group.stock.first().map_or(0.0, |s| s.grain);
        let pinned = part.pins.iter().map(|(_, pose)| grain_in_part(pose, sheet));
        if part.pins.len() >= part.quantity + part.spares {
            grain.clear();
        }
        grain.extend(pinned);
    }
    held(job, (part, group), (turns, grain), narrow, plan)
}

impl<'a> Member<'a> {
    /// The same part with its hold made by `plan`.
    pub(super) fn held(&self, job: &Job, plan: fn(&HoldTask) -> HoldPlan) -> Member<'a> {
        let turned = (self.turns.clone(), self.grain.clone());
        held(job, (self.part, self.group), turned, self.narrow.clone(), plan)
    }

    /// The holding task for planning it once more.
    pub(super) fn task<'b>(&'b self, job: &'b Job) -> HoldTask<'b> {
        HoldTask {
            bodies: Some(&self.bodies),
            chords: Some(&self.narrow),
            ..task(job, self.group, self.part, &self.grain)
        }
    }

    /// Whether its material has a grain.
    pub(super) fn has_grain(&self) -> bool {
        self.group.material.has_grain()
    }

    /// The plans that hold it, any of which may be used; numbered as in the nest.
    pub(super) fn plans(&self) -> impl Iterator<Item = &HoldPlan> {
        std::iter::once(&self.hold).chain(&self.one_sided)
    }

    /// The hold of plan number `number` with its figures for the grain at `grain`, in the part's frame.
    pub(super) fn judged(&self, job: &Job, number: usize, grain: f64) -> Hold {
        let planned = &self.plans().nth(number).unwrap_or(&self.hold).hold;
        if !self.differs(planned, grain) {
            return planned.clone();
        }
        self.judged.of((number, grain.to_bits()), || {
            let mut hold = planned.clone();
            judged_at(job, self, &mut hold, grain);
            hold
        })
    }

    /// Whether a hold's figures may differ with the grain at `grain`: the plan was made for another direction, or
    /// for several and reports the worst of them.
    fn differs(&self, hold: &Hold, grain: f64) -> bool {
        let as_planned = self.grain.len() < 2
            && self.grain.first().is_none_or(|&g| (g - grain).sin().abs() < 1e-9);
        !as_planned && hold.method == Method::Tabs && self.group.material.has_grain()
    }
}

fn held<'a>(
    job: &Job,
    (part, group): (&'a Part, &'a Group),
    (turns, grain): (Turns, Vec<f64>),
    narrow: Vec<Chord>,
    plan: fn(&HoldTask) -> HoldPlan,
) -> Member<'a> {
    let task = HoldTask { chords: Some(&narrow), ..task(job, group, part, &grain) };
    let hold = plan(&task);
    let (grain, narrow) = (grain.clone(), narrow.clone());
    let mut member = Member {
        part,
        group,
        narrow,
        turns,
        grain,
        hold,
        one_sided: vec![],
        refused: None,
        bodies: Arc::default(),
        planned_anew: Arc::default(),
        judged: Arc::default(),
    };
    let (warning, refused) = (
        short_grain::warning(&task, part, &member.hold),
        short_grain::refusal(&task, part, &member.hold),
    );
    member.hold.warnings.extend(warning);
    member.refused = refused;
    member
}

/// The task for the holding stage to plan a part.
pub(super) fn task<'a>(
    job: &'a Job,
    group: &'a Group,
    part: &'a Part,
    grain: &'a [f64],
) -> HoldTask<'a> {
    HoldTask {
        shape: &part.shape,
        thickness: group.thickness,
        material: &group.material,
        grain,
        bit: &group.bit,
        holding: &job.holding,
        by: part.hold_by,
        features: &part.features,
        tab_free: &part.tab_free,
        chords: None,
        landing_ok: None,
        bodies: None,
    }
}

/// The rotations that a part may have, and its directions that may then lie along the grain.
fn turns_of(part: &Part, group: &Group, narrow: &[Chord]) -> (Turns, Vec<f64>) {
    if !group.material.has_grain() {
        return (Turns::free(part.mirror), vec![]);
    }
    let along = match part.grain {
        Grain::Along(angle) => angle,
        Grain::Strong => strongest(&part.shape, narrow, &group.material),
        // Every eighth of a turn stands for all: strength by angle is smooth between them.
        Grain::Any => {
            return (Turns::free(part.mirror), (0..4).map(|i| FRAC_PI_4 * f64::from(i)).collect());
        }
    };
    let tolerance = part.grain_tolerance;
    if tolerance >= FRAC_PI_2 {
        return (Turns::free(part.mirror), (0..4).map(|i| FRAC_PI_4 * f64::from(i)).collect());
    }
    let grain = match tolerance {
        0.0 => vec![along],
        t => vec![along, along - t, along + t],
    };
    (Turns::along(along, tolerance, part.mirror), grain)
}

/// The warnings of the holding plans: those of each part's first plan, and of the plans that the nest took instead.
pub(super) fn warnings_of(members: &[Member], nested: &Nested) -> Vec<Warning> {
    let placed = nested.sheets.iter().flat_map(|s| &s.placed);
    let taken: BTreeSet<(usize, usize)> = placed.map(|p| (p.part, p.hold)).collect();
    let said = |(number, m): (usize, &Member)| {
        let plans = m.plans().enumerate();
        let used = plans.filter(|(hold, _)| *hold == 0 || taken.contains(&(number, *hold)));
        let of_part = |kind: &WarningKind| Warning::of(&m.part.name, kind.clone());
        used.flat_map(|(_, plan)| &plan.warnings).map(of_part).collect::<Vec<_>>()
    };
    members.iter().enumerate().flat_map(said).collect()
}

/// The part's own direction, radians, that lies along the sheet's grain at this pose.
pub(super) fn grain_in_part(pose: &Pose, sheet_grain: f64) -> f64 {
    // Where it lies does not count, not even by rounding.
    let turn = Pose { offset: point(0.0, 0.0), ..*pose };
    let v = turn.inverse(point(1.0, 0.0).turned(sheet_grain));
    v.y.atan2(v.x)
}

/// Distance that a part's tabs keep from its tabs for waste, as a multiple of the bit's diameter: as tabs keep from one another
/// in the hold.
const KEPT_APART: f64 = 3.0;

/// A part of the sheet planned again, its tabs landing only where `landing_ok` allows (part frame), and put
/// where the part lies.
pub(super) fn planned_anew(
    sheet: &Sheet,
    part: usize,
    job: &Job,
    member: &Member,
    landing_ok: &(dyn Fn(&Tab) -> bool + Sync),
) -> HoldPlan {
    let pose = sheet.parts[part].pose();
    // What it keeps beyond its outline stays kept, and in the order of cut.
    let kept: Vec<&Tab> = sheet.parts[part].hold.tabs.iter().filter(|t| t.waste).collect();
    let clear = |tab: &Tab| {
        let (at, reach) = (pose.apply(tab.at), |t: &Tab| (t.width + tab.width) / 2.0);
        kept.iter().all(|t| t.at.distance(at) > reach(t) + KEPT_APART * sheet.bit.diameter)
    };
    let clear_landing = |tab: &Tab| clear(tab) && landing_ok(tab);
    let landing_ok: &(dyn Fn(&Tab) -> bool + Sync) =
        if kept.is_empty() { landing_ok } else { &clear_landing };
    let mut planned = member.planned_anew.plan(landing_ok, |landing_ok| {
        plan(&HoldTask { landing_ok: Some(landing_ok), ..member.task(job) })
    });
    let grain = grain_in_part(&pose, sheet.grain_deg.to_radians());
    judged_at(job, member, &mut planned.hold, grain);
    if planned.hold.weak().is_some() {
        // Planned for a few directions of the grain, and weaker between them.
        let task = HoldTask { landing_ok: Some(landing_ok), grain: &[grain], ..member.task(job) };
        planned = plan(&task);
    }
    planned.hold.tabs = planned.hold.tabs.iter().map(|t| t.placed(&pose)).collect();
    if planned.hold.cuts_free() {
        planned.hold.tabs.extend(kept.into_iter().cloned());
    }
    planned
}

/// Recomputes the figures of a hold (in the part's frame) for the grain it got, if they differ.
fn judged_at(job: &Job, member: &Member, hold: &mut Hold, grain: f64) {
    if !member.differs(hold, grain) {
        return;
    }
    let grain = [grain];
    let task = task(job, member.group, member.part, &grain);
    let Some(mut figures) = evaluate(&task, &hold.tabs, Some(hold.last_pass)) else { return };
    // Between the directions that it was planned for it may be a little weaker: a shallower last pass makes up for that.
    if !figures.holds()
        && let Some(shallower) = evaluate(&task, &hold.tabs, None).filter(|f| f.holds())
    {
        (hold.last_pass, hold.load_n) = (shallower.depth, shallower.load);
        figures = shallower;
    }
    hold.tabs = in_order(&member.part.shape, &hold.tabs, figures.end);
    hold.limited_by = Some(figures.least().what);
    (hold.safety, hold.movement_mm) = (figures.safety, figures.movement);
    if let Some(force) = hold.reason.as_mut().and_then(|why| why.force.as_mut()) {
        let bears = figures.bears();
        force.bears = bears.is_finite().then_some(bears);
    }
    // What matters most is taken at the plan's own grain.
    let inputs = hold.figures.take().map_or(vec![], |f| f.inputs);
    hold.figures = Some(HoldFigures { inputs, ..HoldFigures::from(&figures) });
}

/// The tabs in the order of a last pass that ends at the outline's tab number `end` by arc length.
pub(super) fn in_order(shape: &Shape, tabs: &[Tab], end: usize) -> Vec<Tab> {
    let Some(contour) = Contour::new(&shape.outline) else { return tabs.to_vec() };
    let (mut outline, others): (Vec<Tab>, Vec<Tab>) = tabs.iter().cloned().partition(|t| t.holds());
    outline.sort_by(|a, b| contour.nearest(a.at).total_cmp(&contour.nearest(b.at)));
    let n = outline.len().max(1);
    outline.rotate_left(end % n);
    outline.into_iter().chain(others).collect()
}

/// One part's holding plan, planned on its own.
pub struct PartHold {
    group: usize,
    part: usize,
    grain: Vec<f64>,
    /// The plan.
    pub plan: HoldPlan,
}

/// The holding plan of part number `part` of the job, compared with even spacing; `None` when no group has it.
pub fn part_hold(job: &Job, part: usize) -> Option<PartHold> {
    let group = job.groups.iter().position(|g| g.parts.contains(&part))?;
    let member = member(job, &job.groups[group], job.parts.get(part)?, plan_compared);
    Some(PartHold { group, part, grain: member.grain, plan: member.hold })
}

impl PartHold {
    /// Its group.
    pub(super) fn group<'a>(&self, job: &'a Job) -> &'a Group {
        &job.groups[self.group]
    }

    /// The part.
    pub fn part<'a>(&self, job: &'a Job) -> &'a Part {
        &job.parts[self.part]
    }

    /// The task that the holding stage was given.
    pub fn task<'a>(&'a self, job: &'a Job) -> HoldTask<'a> {
        task(job, &job.groups[self.group], &job.parts[self.part], &self.grain)
    }
}

#[cfg(test)]
mod tests {
    use super::super::small_job::made;
    use super::*;
    use crate::job::{Drawings, JobFile, build, read_options};

    /// The direction that `grain_in_part` gives lies along the sheet's grain once the pose has turned the part: by the
    /// pose itself, at any rotation, flipped or not.
    #[test]
    fn the_grain_in_a_part_is_what_its_pose_lays_along_the_sheets() {
        for sheet in [0.0f64, 30.0, 90.0, 170.0] {
            for rotation in [0.0f64, 20.0, 135.0, 300.0] {
                for mirrored in [false, true] {
                    let pose = Pose {
                        offset: point(7.0, -3.0),
                        rotation: rotation.to_radians(),
                        mirrored,
                    };
                    let grain = grain_in_part(&pose, sheet.to_radians());
                    let laid = pose.apply_vector(point(1.0, 0.0).turned(grain));
                    let along = point(1.0, 0.0).turned(sheet.to_radians());
                    assert!(laid.cross(along).abs() < 1e-9, "{sheet} {rotation} {mirrored}");
                }
            }
        }
        // By hand: a part turned by 20 degrees on a sheet whose grain is x has its -20 degrees along it.
        let pose = Pose::new(point(0.0, 0.0), 20f64.to_radians());
        assert!((grain_in_part(&pose, 0.0).to_degrees() + 20.0).abs() < 1e-9);
    }

    /// Figures stand for the one direction of the grain that they were made for, half a turn being the same; nothing differs where
    /// there is no grain.
    #[test]
    fn figures_differ_at_another_direction_of_the_grain_only() {
        let job = super::super::small_job::job();
        let member = member(&job, &job.groups[0], &job.parts[0], plan_first);
        let hold = member.hold.hold.clone();
        assert_eq!((hold.method, &member.grain[..]), (Method::Tabs, &[0.0][..]));
        let differs = |deg: f64| member.differs(&hold, deg.to_radians());
        assert_eq!([0.0, 180.0, 1.0, 90.0].map(differs), [false, false, true, true]);
        let skin = Hold { method: Method::Skin, ..hold.clone() };
        assert!(!member.differs(&skin, 1.0));
        let several = Member { grain: vec![0.0, 0.5], ..member.clone() };
        assert!(several.differs(&hold, 0.0), "the worst of two is told");
    }

    /// A part with free rotation is judged at every eighth of a full turn, a part with a tolerance at both of its ends.
    #[test]
    fn a_part_is_judged_at_every_direction_that_its_grain_may_take() {
        let degrees = |grain: &str| -> Vec<f64> {
            let text = format!(
                "units = 'mm'\n[[bit]]\nname = 'b'\ndiameter = '1/8in'\n[[stock]]\nmaterial = 'walnut'\nthickness = 6\nsize = '200x120'\n\
                 [[drawing]]\nfile = 'bar.svg'\nmaterial = 'walnut'\nthickness = 6\n{grain}"
            );
            let bar = r#"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm" viewBox="0 0 80 40">
                <rect id="bar" x="5" y="5" width="60" height="20" fill="none" stroke="black"/></svg>"#;
            let file = JobFile::parse(&text).expect("a job");
            let options = read_options(&file, None).expect("options");
            let drawing = crate::drawing::read(bar, "bar.svg", &options).expect("a drawing");
            let drawings = Drawings::from([("bar.svg".to_string(), drawing)]);
            let (job, _) = build(&file, &drawings).expect("a sound job");
            let member = member(&job, &job.groups[0], &job.parts[0], plan_first);
            let mut found: Vec<f64> =
                member.grain.iter().map(|g| g.to_degrees().round().rem_euclid(180.0)).collect();
            found.sort_by(f64::total_cmp);
            found
        };
        assert_eq!(degrees("grain = 'any'"), [0.0, 45.0, 90.0, 135.0]);
        assert_eq!(degrees("grain = 'x'\ngrain-tolerance = 20"), [0.0, 20.0, 160.0]);
        assert_eq!(degrees("grain = 'y'"), [90.0]);
    }

    /// A small disc with a hole, planned for one direction of the grain: at other rotations its tabs bear less than required, and
    /// there it is planned for that rotation.
    #[test]
    fn a_plan_too_weak_at_its_turn_is_made_for_that_turn() {
        let text = "units = 'mm'\n[[bit]]\nname = 'b'\ndiameter = '1/16in'\nflutes = 2\nspiral = 'down'\nhelix = 30\npass-depth = 0.75\nfeed = 650\nrpm = 18000\n\
                    [[stock]]\nmaterial = 'hard maple'\nthickness = 3\nsize = '200x120'\n\
                    [[drawing]]\nfile = 'spacer.svg'\nmaterial = 'hard maple'\nthickness = 3\ngrain = 'any'\n";
        let spacer = r#"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm" viewBox="0 0 80 40" fill="none" stroke="black">
            <circle id="spacer" cx="20" cy="20" r="5"/><circle cx="20" cy="20" r="1.55"/></svg>"#;
        let file = JobFile::parse(text).expect("a job");
        let options = read_options(&file, None).expect("options");
        let drawing = crate::drawing::read(spacer, "spacer.svg", &options).expect("a drawing");
        let drawings = Drawings::from([("spacer.svg".to_string(), drawing)]);
        let (job, _) = build(&file, &drawings).expect("a sound job");
        let group = &job.groups[0];
        let mut member = member(&job, group, &job.parts[0], plan_first);
        member.grain = vec![0.0];
        let member = member.held(&job, plan);
        assert!(member.hold.hold.weak().is_none(), "{:?}", member.hold.hold.figures);
        let mut sheet = made().layout.sheets.swap_remove(0);
        let mut weak = 0;
        for degrees in (0..180).step_by(10) {
            let grain = -f64::from(degrees).to_radians();
            let mut as_planned = member.hold.hold.clone();
            judged_at(&job, &member, &mut as_planned, grain);
            weak += usize::from(as_planned.weak().is_some());
            sheet.parts[0].rotation_deg = f64::from(degrees);
            let anew = planned_anew(&sheet, 0, &job, &member, &|_| true).hold;
            assert!(anew.weak().is_none(), "{degrees}: {:?}", anew.figures);
        }
        assert!(weak > 0, "no turn is weaker");
    }

    /// Rings with free rotation are planned for every eighth of a full turn; wherever one lies it holds, between those rotations
    /// by a shallower last pass with a proportionally smaller load.
    #[test]
    fn a_part_that_may_lie_at_any_turn_holds_between_those_it_was_planned_for() {
        let text = "units = 'mm'\n[[bit]]\nname = 'b'\ndiameter = '1/16in'\nspiral = 'down'\nfeed = 650\nrpm = 18000\n\
                    [[stock]]\nmaterial = 'hard maple'\nthickness = 3\nsize = '200x120'\n\
                    [[drawing]]\nfile = 'ring.svg'\nmaterial = 'hard maple'\nthickness = 3\ngrain = 'any'\n";
        let file = JobFile::parse(text).expect("a job");
        let options = read_options(&file, None).expect("options");
        let mut shallower = 0;
        for r in ["4.2", "4.6", "5", "5.5", "6.3"] {
            let ring = format!(
                r#"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">
                <path id="ring" fill="none" stroke="black" d="M{r} 0A{r} {r} 0 1 1 -{r} 0A{r} {r} 0 1 1 {r} 0ZM1.55 0A1.55 1.55 0 1 1 -1.55 0A1.55 1.55 0 1 1 1.55 0Z" transform="translate(10 10)"/></svg>"#
            );
            let drawing = crate::drawing::read(&ring, "ring.svg", &options).expect("a drawing");
            let drawings = Drawings::from([("ring.svg".to_string(), drawing)]);
            let (job, _) = build(&file, &drawings).expect("a sound job");
            let member = member(&job, &job.groups[0], &job.parts[0], plan);
            let planned = &member.hold.hold;
            assert_eq!(planned.method, Method::Tabs);
            for turn in 0..36 {
                let hold = member.judged(&job, 0, f64::from(5 * turn).to_radians());
                let margin = hold.figures.as_ref().map(|f| f.least_margin);
                assert!(margin.is_some_and(|m| m >= 1.0), "{r} {turn}: {margin:?}");
                let (load, depth) =
                    (hold.load_n / planned.load_n, hold.last_pass / planned.last_pass);
                assert!((load - depth).abs() < 1e-9 && depth <= 1.0, "{r} {turn}: {load} {depth}");
                shallower += usize::from(depth < 1.0);
            }
        }
        assert!(shallower > 0, "no turn is weaker than those planned for: draw other rings");
    }

    /// One setting serves the sheet: the shallowest last pass of its parts, never a deeper one.
    #[test]
    fn the_sheets_last_pass_is_the_shallowest_of_its_parts() {
        let mut sheet = made().layout.sheets.swap_remove(0);
        (sheet.parts[0].hold.last_pass, sheet.parts[1].hold.last_pass) = (0.8, 0.3);
        sheet.cut.last_pass = 1.5;
        super::super::placed_sheet::common_last_pass(&mut sheet);
        assert_eq!(sheet.cut.last_pass, 0.3);
    }
}
