//! Warnings in words: what to mind and to do, and apart from it what is true of this part alone.

use super::why::{CARRIER, because_words, depth, freed_by, section_words, tab_name};
use super::words::{count, length, movement, pair_of};
use crate::layout::{GrainTurn, Method, SoftLanding, Warning, WarningKind, Weakened};
use crate::units::Units;

/// A warning in two pieces: many parts share the first.
pub struct Said {
    /// What to mind, and what to do.
    pub what: String,
    /// Figures and places of this part; empty where there are none.
    pub own: String,
}

/// The warning, without the part's name; its own sentence where it has no value.
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
            "the last pass that the job asks for is too deep",
            format!("asked {}, planned {}", depth(units, *asked_mm), depth(units, *planned_mm)),
        ),
        WarningKind::DoNotRepeat { movement_mm, safety } => with(
            "do not repeat the last pass: with everything severed, its tabs alone are too weak or give too much",
            format!(
                "it moves up to {} at the bit, safety {safety:.1}",
                movement(units, *movement_mm)
            ),
        ),
        WarningKind::FarEdge { far_mm, asked_mm } => with(
            "an edge stands farther from its nearest tab than is asked, and no tabs that hold were found within that: put tape under it \
             there",
            format!(
                "{} from it, {} is asked",
                length(units, far_mm.round()),
                length(units, asked_mm.round())
            ),
        ),
        WarningKind::FreeWithCare(freed) => Said {
            what: format!(
                "{} a tab may break the part: hold the part right beside the tab and use a fine saw or a knife",
                freed_by(freed.how)
            ),
            own: format!("{} at {}", tab_name(freed.tab), section_words(&freed.section, units)),
        },
        WarningKind::LiftsCorners => {
            alone("an up-spiral lifts the free corners of thin sheet: use a down-spiral or tape")
        }
        WarningKind::CoarseMesh => alone(
            "its outline is too fine for the model, which takes the part for stiffer than it is: try its hold on scrap first",
        ),
        WarningKind::WeakSection { section, margin } => with(
            match section.weakened {
                Some(Weakened::Drilled) => {
                    "a hole leaves the part's own section weak: drill it after the part is cut"
                }
                _ => {
                    "a pocket leaves the part's own section weak: clear it less deep there, or after the part is cut, held by \
                     its face"
                }
            },
            format!("{}, margin {margin:.2}", section_words(section, units)),
        ),
        WarningKind::LooseDropOut { ring, at } => with(
            "the waste inside an opening is loose once it is cut: tape it, or clear the opening as a pocket",
            format!("opening {ring} at {}", pair_of(units, *at)),
        ),
        WarningKind::Tongue { .. } => with(
            "a tongue stands into an opening and bends or breaks when that opening is cut: tape it down, or take shallower last \
             passes round that opening",
            tongue(kind, units),
        ),
        WarningKind::NothingHolds { because, spur_mm, spur_pass_mm } => Said {
            what: format!("nothing holds it while it is cut: {CARRIER}"),
            own: format!(
                "{}; a spur of full thickness {} wide bears a last pass of {}",
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
                "there is no stock for its tabs to land on where it lies: {}",
                held_instead(*method)
            ),
            own: String::new(),
        },
        WarningKind::ComesLoose { method } => Said {
            what: format!(
                "what it would hang on comes loose where it lies: {}",
                held_instead(*method)
            ),
            own: String::new(),
        },
        WarningKind::SoftLanding { landings } => {
            let each: Vec<String> = landings.iter().map(|l| soft(l, units)).collect();
            with(SOFT, each.join("; "))
        }
        WarningKind::Drifts { count: n, even } => with(
            "a set of tabs is left out, since the part drifts on it",
            format!(
                "{}, {}",
                count(*n, "tab"),
                if *even { "spaced evenly" } else { "the best set found" }
            ),
        ),
    }
}

/// What a soft landing is and what to do about it.
const SOFT: &str = "soft landing: a tab hangs on a slender strip of the sheet, marked yellow on the page; put double-sided tape under \
that strip, clamp or screw it down beside the tab, or leave more stock between parts (`web` in the job)";

/// `copy 3, tab 1: a strip 4 mm wide that gives up to 0.05 mm under the cut`.
fn soft(landing: &SoftLanding, units: Units) -> String {
    let gives = match landing.gives_mm {
        Some(mm) => format!("gives up to {} under the cut", movement(units, mm)),
        None => "holds nothing".into(),
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
        "opening {ring}, from {}: {} wide and {} long; at the last pass of {} its tip gives up to {}, safety {safety:.1}; it bears \
         last passes up to {}",
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

/// What holds a part whose tabs found no stock.
fn held_instead(method: Method) -> &'static str {
    match method {
        Method::Tabs => "held by other tabs",
        Method::Skin => "held by a skin",
        Method::Tape => "held by tape",
        Method::None => "not held: do not cut",
    }
}

/// What holds a part with short grain.
fn so_held(method: Method) -> &'static str {
    match method {
        Method::Tabs => "handle it with care when it is freed",
        Method::Skin => "no tabs hold it so, only a skin does",
        Method::Tape => "no tabs hold it so, only tape does",
        Method::None => "not held: do not cut",
    }
}

/// What to write into the job.
pub fn advice(turn: &GrainTurn) -> String {
    if turn.pinned {
        format!(
            "turn its pin so that {:.0} degrees of the part lie along the grain",
            turn.grain_deg
        )
    } else {
        format!("give the part `grain = \"strong\"` (or {:.0}) in the job", turn.grain_deg)
    }
}
