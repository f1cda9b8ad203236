//! Short grain that the job itself lays across a fragile neck: a warning with what to do, or a refusal.
//!
//! The holding stage cannot warn of it: only the job can turn the part or let its grain run another way.

use crate::hold::{HoldPlan, HoldTask, TurnGain, plan, turn_gain};
use crate::job::{Grain, Part};
use crate::layout::{GrainTurn, Method, UnplacedKind, WarningKind};

/// A change of grain that makes the weakest neck this many times as strong is worth mentioning.
const WORTH: f64 = 1.5;

/// A neck with twice the strength that the cut demands is no trouble while it is cut...
const SOUND: f64 = 2.0;

/// ... unless a change of grain makes it this many times as strong (estimate).
const MUCH: f64 = 3.0;

/// The gain from changing the grain, if the job's grain runs across a fragile neck.
fn gain(task: &HoldTask, part: &Part, held: &HoldPlan) -> Option<TurnGain> {
    if part.grain == Grain::Strong && part.grain_tolerance == 0.0 && part.pins.is_empty() {
        return None;
    }
    let fragile = held.figures.as_ref().is_none_or(|f| f.part.value < SOUND);
    turn_gain(task).filter(|g| g.times > if fragile { WORTH } else { MUCH })
}

/// The warning about a part's short grain.
pub(super) fn warning(task: &HoldTask, part: &Part, held: &HoldPlan) -> Option<WarningKind> {
    let gain = gain(task, part, held)?;
    Some(WarningKind::ShortGrain {
        width_mm: held.necks.first().map(|n| n.width),
        method: held.hold.method,
        turn: turn(part, &gain),
        times: gain.times,
    })
}

/// What to write into the job.
fn turn(part: &Part, gain: &TurnGain) -> GrainTurn {
    // No -0.
    let grain_deg = gain.grain.to_degrees().round().rem_euclid(180.0) + 0.0;
    GrainTurn { grain_deg, pinned: !part.pins.is_empty() }
}

/// Why a part must not be cut with the job's grain: nothing holds it that way, but another grain would let it hold.
pub(super) fn refusal(task: &HoldTask, part: &Part, held: &HoldPlan) -> Option<UnplacedKind> {
    let asked = !part.pins.is_empty() || matches!(part.grain, Grain::Along(_));
    if held.hold.method != Method::None || !asked {
        return None;
    }
    let gain = gain(task, part, held)?;
    let turned = [gain.grain];
    let method = plan(&HoldTask { grain: &turned, ..*task }).hold.method;
    let turn = turn(part, &gain);
    (method != Method::None).then_some(UnplacedKind::ShortGrain { turn, method })
}

#[cfg(test)]
mod tests {
    use super::super::members::{member, task};
    use super::*;
    use crate::job::{Drawings, JobFile, build, read_options};

    /// A bar whose fibres run across it: it bends and breaks under its own cut.
    #[test]
    fn short_grain_that_the_job_asks_for_is_warned_about_and_refused_where_nothing_holds_it() {
        let text = |grain: &str| {
            format!(
                "units = 'mm'\n[[bit]]\nname = 'b'\ndiameter = '1/16in'\n[[stock]]\nmaterial = 'walnut'\nthickness = 3\nsize = '200x120'\n\
                 [[drawing]]\nfile = 'bar.svg'\nmaterial = 'walnut'\nthickness = 3\ngrain = '{grain}'"
            )
        };
        let bar = r#"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="20mm" viewBox="0 0 80 20">
            <rect id="bar" x="5" y="5" width="60" height="3" fill="none" stroke="black"/></svg>"#;
        for (grain, short) in [("y", true), ("x", false), ("strong", false)] {
            let file = JobFile::parse(&text(grain)).expect("a job");
            let options = read_options(&file, None).expect("options");
            let drawing = crate::drawing::read(bar, "bar.svg", &options).expect("a drawing");
            let drawings = Drawings::from([("bar.svg".to_string(), drawing)]);
            let (job, _) = build(&file, &drawings).expect("a sound job");
            let group = &job.groups[0];
            let mut m = member(&job, group, &job.parts[0], plan);
            let along_x = GrainTurn { grain_deg: 0.0, pinned: false };
            let said = m
                .hold
                .warnings
                .iter()
                .any(|w| matches!(w, WarningKind::ShortGrain { turn, .. } if *turn == along_x));
            assert_eq!(said, short, "{grain}: {:?}", m.hold.warnings);
            assert_eq!(m.refused, None, "{grain}: a skin or tabs hold it");
            // As if neither skin nor tape held it either.
            m.hold.hold.method = Method::None;
            let grain_of = m.grain.clone();
            let refused = refusal(&task(&job, group, m.part, &grain_of), m.part, &m.hold);
            assert_eq!(refused.is_some(), short, "{grain}: {refused:?}");
        }
    }

    /// The job of a bar of 60 mm on walnut.
    fn bar(width: &str, grain: &str) -> crate::job::Job {
        let text = format!(
            "units = 'mm'\n[[bit]]\nname = 'b'\ndiameter = '1/16in'\n[[stock]]\nmaterial = 'walnut'\nthickness = 3\nsize = '200x120'\n\
             [[drawing]]\nfile = 'bar.svg'\nmaterial = 'walnut'\nthickness = 3\ngrain = {grain}"
        );
        let bar = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="30mm" viewBox="0 0 80 30">
            <rect id="bar" x="5" y="5" width="60" height="{width}" fill="none" stroke="black"/></svg>"#
        );
        let file = JobFile::parse(&text).expect("a job");
        let options = read_options(&file, None).expect("options");
        let drawing = crate::drawing::read(&bar, "bar.svg", &options).expect("a drawing");
        build(&file, &Drawings::from([("bar.svg".to_string(), drawing)])).expect("a sound job").0
    }

    /// Grain at some angles to a bar gains a factor from [`WORTH`] to [`MUCH`] if turned: that is said of a bar that the cut loads
    /// to more than half of what it bears, and not of a sound one.
    #[test]
    fn a_moderate_gain_matters_to_a_fragile_part_only() {
        let mut judged = 0;
        for degrees in (5..60).step_by(5) {
            let job = bar("8", &degrees.to_string());
            let m = member(&job, &job.groups[0], &job.parts[0], plan);
            let task = task(&job, &job.groups[0], m.part, &m.grain);
            let moderate = |g: &TurnGain| g.times > WORTH && g.times < MUCH;
            if !turn_gain(&task).is_some_and(|g| moderate(&g)) {
                continue;
            }
            let with = |margin: f64| {
                let mut held = m.hold.clone();
                held.figures.as_mut().expect("on tabs").part.value = margin;
                gain(&task, m.part, &held).is_some()
            };
            assert_eq!([1.99, 2.0].map(with), [true, false], "{degrees}");
            judged += 1;
        }
        assert!(judged > 0, "no angle gains moderately");
    }
}
