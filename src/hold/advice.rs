//! Which inputs decide a plan, what a turn would gain, and how large a carrier strip must be.

use super::choose::evaluate;
use super::chord::{Chord, chords};
use super::contour::Contour;
use super::grain::{neck_weakness, strongest};
use super::load::Load;
use super::strength::section_strength;
use super::{HoldPlan, HoldTask};
use crate::geometry::Vector;
use crate::job::{Bit, Material};
use crate::layout::Tab;
use std::f64::consts::FRAC_PI_2;

/// How an input's change changes the least margin.
#[derive(Debug, Clone, PartialEq)]
pub struct Influence {
    /// What was changed, by how much: `tabs 10 % higher`.
    pub input: String,
    /// Relative change of the least margin.
    pub change: f64,
}

/// Changes of the least margin by a tenth more of each input, or what it may range over; the largest first.
///
/// Each is a fresh judgement of the plan's own tabs at the plan's own last pass. Empty unless the plan has tabs.
pub fn influences(task: &HoldTask, plan: &HoldPlan) -> Vec<Influence> {
    let Some(figures) = &plan.figures else { return vec![] };
    let (base, depth, tabs) = (figures.least().value, plan.hold.last_pass, &plan.hold.tabs);
    let resized = |f: &dyn Fn(&Tab) -> Tab| tabs.iter().map(f).collect::<Vec<_>>();
    let wider = resized(&|t| Tab { width: 1.1 * t.width, ..t.clone() });
    let higher = resized(&|t| Tab { height: 1.1 * t.height, ..t.clone() });
    let m = task.material;
    let stiff = Material {
        e_along: 1.1 * m.e_along,
        e_across: 1.1 * m.e_across,
        shear_modulus: 1.1 * m.shear_modulus,
        ..m.clone()
    };
    let strong = Material {
        bending: 1.1 * m.bending,
        tension_across: 1.1 * m.tension_across,
        shear: 1.1 * m.shear,
        ..m.clone()
    };
    let faster = Bit { feed: 1.1 * task.bit.feed, ..task.bit.clone() };
    let turned: Vec<f64> = task.grain.iter().map(|g| g + 10f64.to_radians()).collect();
    let mut list = vec![];
    let mut add = |input: &str, task: &HoldTask, tabs: &[Tab], depth: f64| {
        if let Some(f) = evaluate(task, tabs, Some(depth)) {
            list.push(Influence { input: input.into(), change: f.least().value / base - 1.0 });
        }
    };
    // Load enters every margin as its inverse.
    let high = plan.load.nominal / plan.load.high - 1.0;
    add("last pass 10 % deeper", task, tabs, 1.1 * depth);
    add("tabs 10 % wider", task, &wider, depth);
    add("tabs 10 % higher", task, &higher, depth);
    add("feed 10 % faster", &HoldTask { bit: &faster, ..copy(task) }, tabs, depth);
    add("material 10 % stiffer", &HoldTask { material: &stiff, ..copy(task) }, tabs, depth);
    add("material 10 % stronger", &HoldTask { material: &strong, ..copy(task) }, tabs, depth);
    if m.has_grain() && !turned.is_empty() {
        add("grain turned by 10 degrees", &HoldTask { grain: &turned, ..copy(task) }, tabs, depth);
    }
    list.push(Influence { input: "cutting force at its high end".into(), change: high });
    list.sort_by(|a, b| b.change.abs().total_cmp(&a.change.abs()));
    list
}

/// The same task: `HoldTask` holds references only.
fn copy<'a>(t: &HoldTask<'a>) -> HoldTask<'a> {
    HoldTask { ..*t }
}

/// What the recommended turn does for the weakest neck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnGain {
    /// Direction of the grain in the part that makes its weakest neck strongest, radians.
    pub grain: f64,
    /// Load its weakest neck bears then over that at the worst of the task's own directions.
    pub times: f64,
}

/// The gain of turning the part; `None` where the material has no grain or the part no neck.
pub fn turn_gain(task: &HoldTask) -> Option<TurnGain> {
    if !task.material.has_grain() || task.grain.is_empty() {
        return None;
    }
    let contours: Vec<Contour> = task.shape.rings().map(Contour::new).collect::<Option<_>>()?;
    turn_gain_of(task, &chords(task.shape, &contours))
}

/// The same with the shape's narrow sections given.
pub fn turn_gain_of(task: &HoldTask, sections: &[Chord]) -> Option<TurnGain> {
    if !task.material.has_grain() || task.grain.is_empty() {
        return None;
    }
    let bounds = task.shape.bounds();
    let most = 0.6 * bounds.width().max(bounds.height());
    let reach = task.bit.diameter / 2.0;
    let necks: Vec<&Chord> =
        sections.iter().filter(|c| c.width < most && (!c.separates() || c.arm > reach)).collect();
    let bears =
        |grain: f64| 1.0 / necks.iter().map(|c| neck_weakness(c, grain)).fold(0.0, f64::max);
    let grain = strongest(task.shape, sections);
    let now = task.grain.iter().map(|&g| bears(g)).fold(f64::INFINITY, f64::min);
    let times = bears(grain) / now;
    times.is_finite().then_some(TurnGain { grain, times })
}

/// Width, mm, of a full-thickness spur that holds the part alone at a last pass of 0.2 mm: a cantilever from the
/// farthest point of the part, safety 2, its fibres the weak way unless the material has none.
pub fn spur_width(task: &HoldTask, load: &Load) -> f64 {
    const DEPTH: f64 = 0.2;
    const SAFETY: f64 = 2.0;
    let b = task.shape.bounds();
    let reach = (b.max - b.min).norm();
    let weak = if task.material.has_grain() { FRAC_PI_2 } else { 0.0 };
    let strength = section_strength(task.material, weak);
    (SAFETY * 6.0 * load.worst(DEPTH) * reach / (task.thickness * strength)).sqrt()
}
