//! The reasons for a plan and its warnings, as values.

use crate::hold::check::figures::{Figures, Margin};
use crate::hold::check::judge::MOVEMENT_FREE;
use crate::hold::check::planner::Planner;
use crate::hold::part::sections::Chord;
use crate::hold::search::tried::Tried;
use crate::layout::{Because, Governs, WarningKind};

/// Sheets up to this thickness are thin, mm: an up-spiral lifts the corners of larger parts (common practice, no source).
const THIN: f64 = 3.0;
/// Size of a part whose corners lift, mm (common practice, no source).
const FLOPPY: f64 = 60.0;
/// What is narrower than this breaks when it is freed or sanded, mm: 1/32 in; and the least length beyond a neck, mm: what is
/// shorter is the point of a tip (set by hand).
const SLENDER: f64 = 0.8;
const BEYOND: f64 = 5.0;
/// A section weakened by a pocket or a hole needs the maker's care below this margin (estimate).
const IN_HAND: f64 = 2.0;

/// Why fewer tabs were not enough.
pub fn why_tabs(figures: &Figures, tried: &[Tried]) -> Because {
    let fewer = tried.iter().filter(|t| t.count < figures.count).max_by_key(|t| t.count);
    match fewer {
        None => Because::Minimum,
        Some(Tried { count, deepest: Some(d), .. }) if *d < figures.depth => {
            Because::FewerAreShallow { count: *count, last_pass_mm: *d }
        }
        // As many hold as deep, but were not taken: only for their stance.
        Some(Tried { count, deepest: Some(_), .. }) => Because::FewerStandClose { count: *count },
        Some(t) => Because::FewerFail { count: t.count, fails: t.figures.shortfall() },
    }
}

/// Why no set of tabs was taken.
pub fn why_no_tabs(planner: &Planner, tried: &[Tried]) -> Because {
    if planner.sites().is_empty() {
        return Because::NoSite;
    }
    let best =
        tried.iter().max_by(|a, b| a.figures.least().value.total_cmp(&b.figures.least().value));
    let Some(t) = best else { return Because::NoRoom };
    let (f, part) = (&t.figures, &t.figures.part);
    if part.value < 1.0 && part.value <= f.of_tabs() {
        return Because::Overloaded(f.shortfall_of(part));
    }
    Because::TabsFail { count: t.count, of_bridges: f.bridged, fails: f.shortfall() }
}

/// What the maker should know beside the plan.
pub fn warnings(planner: &Planner, figures: &Figures) -> Vec<WarningKind> {
    let mut list = vec![];
    if let Some(asked) = planner.task.holding.last_pass
        && figures.depth < asked - 1e-9
    {
        list.push(WarningKind::LastPassTooDeep { asked_mm: asked, planned_mm: figures.depth });
    }
    if figures.free_safety < 1.0 || figures.free_movement > MOVEMENT_FREE {
        list.push(WarningKind::DoNotRepeat {
            movement_mm: figures.free_movement,
            safety: figures.free_safety,
        });
    }
    let missed = |far: f64| Some((far, planner.overhang().missed(far)?));
    if let Some((far_mm, asked_mm)) = figures.overhang.and_then(missed) {
        list.push(WarningKind::FarEdge { far_mm, asked_mm });
    }
    if let Governs::Freeing { of: Some(freed) } = figures.free_by_hand.what
        && figures.free_by_hand.value < 1.0
    {
        list.push(WarningKind::FreeWithCare(freed));
    }
    let (lift, thin) = (planner.load.lift, planner.task.thickness <= THIN);
    if lift > 0.0 && thin && planner.size() > FLOPPY {
        list.push(WarningKind::LiftsCorners);
    }
    if planner.is_coarse() {
        list.push(WarningKind::CoarseMesh);
    }
    list
}

/// A warning of the thinnest neck or wall, where it is so thin that handling breaks it.
pub fn slender(necks: &[Chord]) -> Option<WarningKind> {
    // At a sharp point a section is as narrow as you like.
    let is_neck = |c: &&Chord| !c.separates() || c.arm >= BEYOND;
    let thin = necks.iter().filter(is_neck).min_by(|a, b| a.width.total_cmp(&b.width))?;
    let at = thin.middle();
    (thin.width < SLENDER)
        .then_some(WarningKind::Slender { width_mm: thin.width, at: [at.x, at.y] })
}

/// A warning where a pocket or a hole leaves the part's weakest section with little margin.
pub fn weak_section(part: &Margin) -> Option<WarningKind> {
    match part.what {
        Governs::Section(section) if section.weakened.is_some() && part.value < IN_HAND => {
            Some(WarningKind::WeakSection { section, margin: part.value })
        }
        _ => None,
    }
}
