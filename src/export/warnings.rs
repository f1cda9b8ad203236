//! Warnings in words: what to mind and to do, and separately what is true of this part alone.

use super::why::{CARRIER, because_words, depth, freed_by, section_words, tab_name};
use super::words::{count, exact_width, from_corner, length, movement, pair_of};
use crate::layout::{FeatureKind, GrainTurn, Method, SoftLanding, Warning, WarningKind, Weakened};
use crate::units::Units;

/// A warning in two pieces: many parts share the first.
pub struct Said {
    /// What to mind, and what to do.
    pub what: String,
    /// Figures and places of this part; empty if there are none.
    pub own: String,
}

/// The warning, without the part's name; its own sentence if it has no value.
pub fn said(warning: &Warning, units: Units) -> Said {
    let Some(kind) = &warning.kind else {
        return Said { what: warning.message.clone(), own: String::new() };
    };
    let mut said = of_kind(kind, units);
    if !warning.copies.is_empty() {
        let own = if said.own.is_empty() { String::new() } else { format!(": {}", said.own) };
        said.own = format!("{}{own}", copies(&warning.copies));
    }
    said
}

/// The warning in one sentence, without the part's name.
pub fn warning_words(warning: &Warning, units: Units) -> String {
    said(warning, units).whole()
}

/// What a warning is about, in one sentence.
pub fn kind_words(kind: &WarningKind, units: Units) -> String {
    of_kind(kind, units).whole()
}

impl Said {
    fn whole(self) -> String {
        if self.own.is_empty() { self.what } else { format!("{} ({})", self.what, self.own) }
    }
}

fn of_kind(kind: &WarningKind, units: Units) -> Said {
    let alone = |what: &str| Said { what: what.into(), own: String::new() };
    let with = |what: &str, own: String| Said { what: what.into(), own };
    match kind {
        WarningKind::LastPassTooDeep { asked_mm, planned_mm } => with(
            "the job's last-pass is too deep: the planned depth is used",
            format!("asked {}, planned {}", depth(units, *asked_mm), depth(units, *planned_mm)),
        ),
        WarningKind::DoNotRepeat { movement_mm, safety } => with(
            &format!("{DO_NOT_REPEAT}: {ALONE}"),
            format!(
                "it moves up to {} at the bit, safety {safety:.1}",
                movement(units, *movement_mm)
            ),
        ),
        WarningKind::FarEdge { far_mm, asked_mm } => with(
            "part of the edge is farther from its nearest tab than the job allows, and no closer set of tabs both holds the part and \
            lands on firm stock: put tape under that edge",
            format!(
                "{}; the limit is {}",
                length(units, far_mm.round()),
                length(units, asked_mm.round())
            ),
        ),
        WarningKind::FreeWithCare(freed) => Said {
            what: format!(
                "{} a tab may break the part: hold the part close to the tab and use a fine saw or a knife",
                freed_by(freed.how)
            ),
            own: format!(
                "{}, where the part is {}",
                tab_name(freed.tab),
                section_words(&freed.section, units)
            ),
        },
        WarningKind::LiftsCorners => alone(
            "an up-spiral bit lifts the free corners of a thin sheet: use a down-spiral bit or tape",
        ),
        WarningKind::CoarseMesh => alone(
            "its outline has more detail than the model resolves, so the part is less stiff than computed: test its hold on scrap first",
        ),
        WarningKind::WeakSection { section, margin } => with(
            match section.weakened {
                Some(Weakened::Drilled) => {
                    "a hole weakens a section of the part: drill it after the part is cut out"
                }
                _ => {
                    "a pocket weakens a section of the part: cut it shallower there, or after the part is cut out and held by \
                     its face"
                }
            },
            format!("{}, margin {margin:.2}", section_words(section, units)),
        ),
        WarningKind::NoBitEnters { feature, at, fits_mm, finest_mm } => with(
            match feature {
                FeatureKind::Drill => {
                    "a hole to drill is smaller than the finest bit on hand: drill it with a bit or drill of its size"
                }
                _ => {
                    "a pocket is narrower than the finest bit on hand: get a bit that enters it, or draw it wider"
                }
            },
            format!(
                "{} wide, {} from its top left as drawn; the finest bit is {}",
                exact_width(units, *fits_mm),
                from_corner(units, *at),
                length(units, *finest_mm)
            ),
        ),
        WarningKind::Slender { width_mm, at } => with(
            "a neck or wall this thin may break when the part is cut, freed or sanded: draw it wider, make a spare, or, if it is left \
             over from drawing, delete it",
            format!("{} wide at {}", exact_width(units, *width_mm), pair_of(units, *at)),
        ),
        WarningKind::LooseDropOut { ring, at } => with(
            "the waste inside an opening comes loose once it is cut: tape it down, or clear the opening as a pocket",
            format!("opening {ring} at {}", pair_of(units, *at)),
        ),
        WarningKind::Tongue { .. } => with(
            "a tongue of the part juts into an opening and bends or breaks while that opening is cut: tape it down, or take \
             shallower last passes round that opening",
            tongue(kind, units),
        ),
        WarningKind::NothingHolds { because, spur_mm, spur_pass_mm } => Said {
            what: format!("nothing holds it while it is cut: {CARRIER}"),
            own: format!(
                "{}; a full-thickness spur {} wide withstands a last pass of {}",
                because_words(because, units),
                length(units, spur_mm.round()),
                depth(units, *spur_pass_mm)
            ),
        },
        WarningKind::ShortGrain { width_mm, method, turn, times } => {
            let wide = width_mm.map_or(String::new(), |w| format!("{} wide; ", length(units, w)));
            Said {
                what: format!(
                    "short grain across its weakest neck: {}; {}",
                    so_held(*method),
                    advice(turn)
                ),
                own: format!(
                    "{wide}{times:.1} times as strong with the grain at {:.0} degrees",
                    turn.grain_deg
                ),
            }
        }
        WarningKind::NoLanding { method } => Said {
            what: format!(
                "where it lies, its tabs have no stock to land on: it is {}",
                held_instead(*method)
            ),
            own: String::new(),
        },
        WarningKind::ComesLoose { method } => Said {
            what: format!(
                "where it lies, the stock that it would hang on comes loose: it is {}",
                held_instead(*method)
            ),
            own: String::new(),
        },
        WarningKind::SoftLanding { landings } => {
            let each: Vec<String> = landings.iter().map(|l| soft(l, units)).collect();
            with(SOFT, each.join("; "))
        }
        WarningKind::Drifts { count: n, even } => with(
            "a set of tabs is not listed, because the part drifts on those tabs",
            format!(
                "{}, {}",
                count(*n, "tab"),
                if *even { "spaced evenly" } else { "the best set found" }
            ),
        ),
    }
}

/// What not to do with a part that its tabs alone do not hold.
pub const DO_NOT_REPEAT: &str = "do not repeat the last pass";
/// The reason not to.
pub const ALONE: &str =
    "once everything around a part is cut, its tabs alone are too weak or too flexible";

/// The meaning of a soft landing, and what to do about it.
const SOFT: &str = "soft landing: a tab lands on a narrow strip of the sheet, marked yellow on the page; put double-sided tape under \
that strip, clamp or screw it down beside the tab, or leave more stock between parts (`web` in a job file)";

/// `copy 3, tab 1: a strip 4 mm wide that gives up to 0.05 mm under the cut`.
fn soft(landing: &SoftLanding, units: Units) -> String {
    let gives = match landing.gives_mm {
        Some(mm) => format!("gives way by up to {} under the cut", movement(units, mm)),
        None => "gives no support".into(),
    };
    format!(
        "{}, tab {}: a strip {} wide that {gives}",
        copies(&landing.copies),
        landing.tab,
        length(units, landing.width_mm)
    )
}

fn tongue(kind: &WarningKind, units: Units) -> String {
    let &WarningKind::Tongue {
        ring,
        at,
        width_mm,
        length_mm,
        last_pass_mm,
        movement_mm,
        safety,
        bears_mm,
    } = kind
    else {
        return String::new();
    };
    format!(
        "opening {ring}, from {}: {} wide and {} long; at the last pass of {} its tip deflects by up to {}, safety {safety:.1}; it \
        withstands last passes of up to {}",
        pair_of(units, at),
        length(units, width_mm),
        length(units, length_mm),
        depth(units, last_pass_mm),
        movement(units, movement_mm),
        depth(units, bears_mm)
    )
}

/// `copy 3`, `copies 1, 3`.
fn copies(copies: &[usize]) -> String {
    let word = if copies.len() == 1 { "copy" } else { "copies" };
    let list: Vec<String> = copies.iter().map(usize::to_string).collect();
    format!("{word} {}", list.join(", "))
}

/// What holds a part whose tabs found no stock to land on.
fn held_instead(method: Method) -> &'static str {
    match method {
        Method::Tabs => "held by other tabs",
        Method::Skin => "held by a skin",
        Method::Tape => "held by tape",
        Method::None => "not held: do not cut it",
    }
}

/// What holds a part with short grain.
fn so_held(method: Method) -> &'static str {
    match method {
        Method::Tabs => "handle it with care once it is free",
        Method::Skin => "tabs do not hold it with this grain, only a skin does",
        Method::Tape => "tabs do not hold it with this grain, only tape does",
        Method::None => "not held: do not cut",
    }
}

/// What to write into the job.
pub fn advice(turn: &GrainTurn) -> String {
    if turn.pinned {
        format!(
            "rotate its pin so that the direction of {:.0} degrees in the part follows the grain",
            turn.grain_deg
        )
    } else {
        format!("set `grain = \"strong\"` (or {:.0}) for the part in the job", turn.grain_deg)
    }
}
