//! Problems of tabs, of the stock they land on, and of the figures a hold claims, in words.

use super::told::{Told, copy, ring};
use crate::layout::Method;
use crate::units::trimmed;
use crate::verify::{ClaimFinding, Safety, TabFinding, TabFlaw};

pub(super) fn of_tab(told: &Told, found: &TabFinding) -> String {
    let who = &told.who;
    let (amount, limit) = (told.mm(told.amount), told.mm(told.limit));
    match found {
        TabFinding::NoTabOnOutline => {
            format!("{who} is held by tabs, but none is on its outline")
        }
        TabFinding::SkinThickness => {
            format!("{who}: its skin must be thicker than 0 and thinner than the sheet")
        }
        TabFinding::BadTab { tab, flaw } => {
            format!("{who}: tab {tab} {}", tab_flaw(told, *flaw))
        }
        TabFinding::TabsTooNear { tab, next } => format!(
            "{who}: tabs {tab} and {next} are {amount} apart; the bit needs {limit} between them"
        ),
        TabFinding::LandsInKerf { tab, depth_mm } => {
            let deep = told.mm(*depth_mm);
            match &told.problem.other {
                Some(other) => format!(
                    "{}: tab {tab} lands in the kerf of {}, {deep} deep",
                    told.problem.part.as_ref().map_or(String::new(), copy),
                    copy(other)
                ),
                None => format!("{who}: tab {tab} lands in another part's kerf, {deep} deep"),
            }
        }
        TabFinding::LandsInOwnKerf { tab, depth_mm } => {
            format!("{who}: tab {tab} lands in its own part's kerf, {} deep", told.mm(*depth_mm))
        }
        TabFinding::LandsOffSheet { tab } => format!("{who}: tab {tab} lands off the sheet"),
        TabFinding::LandsOnKeepClear { tab, area } => {
            format!("{who}: tab {tab} lands on keep-clear area {area}")
        }
        TabFinding::NoRoomForClamp => {
            "the sheet is to be clamped, but no piece of its skeleton has a clamp or room for one"
                .into()
        }
        TabFinding::CutOff => {
            format!("{who}: the paths as drawn cut it off from all stock that is held")
        }
        TabFinding::HangsLoose => format!("{who} hangs only on stock that comes loose"),
        TabFinding::NoFirmLanding { gives_mm } => format!(
            "{who}: each of its tabs lands on a strip of stock too slender to hold it; the firmest gives way by {} under the cut",
            told.mm(*gives_mm)
        ),
        TabFinding::TabUnanchored { tab, ring: of, stock } => {
            let on = if *stock { "stock that comes loose" } else { "no stock" };
            format!("{who}: tab {tab} of its {} lands on {on}", ring(*of))
        }
    }
}

fn tab_flaw(told: &Told, flaw: TabFlaw) -> String {
    match flaw {
        TabFlaw::NotFinite => "has a number that is not finite".into(),
        TabFlaw::NoSuchRing(n) => format!("is on opening {n}, which the part does not have"),
        TabFlaw::Width(width) => format!("is {} wide", told.mm(width)),
        TabFlaw::Height { height_mm, thickness_mm } => {
            format!("is {} high; the sheet is {} thick", told.mm(height_mm), told.mm(thickness_mm))
        }
        TabFlaw::Skimmed(short) => format!(
            "is {} lower than the sheet; make it a holding bridge, as high as the sheet, or clearly lower",
            told.mm(short)
        ),
        TabFlaw::OutLength(length) => {
            format!("has a direction of length {}; it must be 1", trimmed(length, 3))
        }
        TabFlaw::OffEdge { ring: of, by_mm } => {
            format!("is {} off the {}", told.mm(by_mm), ring(of))
        }
        TabFlaw::PointsInward => "points into the part".into(),
        TabFlaw::NotSquare(deg) => {
            format!("is {} degrees off square to the edge", trimmed(deg, 3))
        }
        TabFlaw::AcrossCorner(deg) => {
            format!("sits across a corner of {} degrees", trimmed(deg, 3))
        }
        TabFlaw::Bends { by_mm, width_mm } => format!(
            "is {} wide; within that width the part's edge bends away from the tab by {}",
            told.mm(width_mm),
            told.mm(by_mm)
        ),
        TabFlaw::OnTabFreeEdge => "sits on an edge that is to stay free of tabs".into(),
    }
}

pub(super) fn of_claim(told: &Told, found: &ClaimFinding) -> String {
    let who = &told.who;
    let (amount, limit) = (told.mm(told.amount), told.mm(told.limit));
    let (is, must) = (trimmed(told.amount, 3), trimmed(told.limit, 3));
    match found {
        ClaimFinding::HoldNotFinite => {
            format!("{who}: a figure of its hold is below 0 or not a finite number")
        }
        ClaimFinding::NoConstants => {
            "the sheet lacks a usable cut, material_constants or holding, so its holds cannot be checked"
                .into()
        }
        ClaimFinding::ForceConstant { constant, low, high } => format!(
            "the cut has {constant} {}; the material's is from {low} to {high}",
            told.amount
        ),
        ClaimFinding::LoadFactor => format!("the cut's load factor is {is}; it must be {must}"),
        ClaimFinding::RequiresTooLittle { requirement } => {
            format!("{requirement} is {is}; it must be at least {must}")
        }
        ClaimFinding::AllowsTooMuch => {
            format!("the sheet's limit of movement is {amount}; it must be at most {limit}")
        }
        ClaimFinding::LastPassTooDeep => format!(
            "the sheet's last pass is {amount} deep; a part on it is held for a last pass of {limit}"
        ),
        ClaimFinding::NotHeld => format!("{who} is not held: do not cut it"),
        ClaimFinding::Load => {
            let [is, must] = [told.amount, told.limit].map(|n| told.force(n));
            format!("{who} claims a load of {is}; its cut loads it with {must}")
        }
        ClaimFinding::LastPass => {
            format!("{who} has a last pass of {amount}; the sheet is {limit} thick")
        }
        ClaimFinding::TabTooNarrow { tab } => {
            format!("{who}: tab {tab} is {amount} wide; the narrowest allowed is {limit}")
        }
        ClaimFinding::TabTooLow { tab } => {
            format!("{who}: tab {tab} is {amount} high, lower than the last pass of {limit}")
        }
        ClaimFinding::SingleTab => {
            format!("{who} hangs on a single tab: if it breaks, nothing holds the part")
        }
        ClaimFinding::Claimed { safety, rigid, factor } => {
            let rigid = trimmed(*rigid, 3);
            let safety = match safety {
                Safety::Tabs => "safety of the tabs",
                Safety::TabsRepeated => "safety of the tabs when the pass is repeated",
                Safety::Skin => "safety of the skin",
                Safety::Tape => {
                    return format!(
                        "{who} claims a safety of the tape of {is}; its face gives at most {must}"
                    );
                }
            };
            format!(
                "{who} claims a {safety} of {is}; a rigid part on its springs has {rigid}, and at most {factor} times that, \
                 {must}, is accepted"
            )
        }
        ClaimFinding::MovesMore { repeated } => {
            let when = if *repeated { "when the pass is repeated" } else { "in the last pass" };
            format!("{who} claims to move {amount} {when}; a rigid part on its springs moves {limit}")
        }
        ClaimFinding::SafetyOfFigures => {
            format!("{who} claims a safety of {is}; the least of its figures is {must}")
        }
        ClaimFinding::DoesNotHold => {
            format!("{who} has a least margin of {is}; below 1 it is not held")
        }
        ClaimFinding::MarginOfFigures { figure } => {
            format!("{who} claims a least margin of {is}; its {figure} gives only {must}")
        }
        ClaimFinding::Overhang => {
            format!("{who} has an edge {amount} from its nearest tab; its figures allow {limit}")
        }
        ClaimFinding::KeepsTooWeakly => format!(
            "the tabs with which {who} holds the waste beside it bear {is} times the load of the cut; they must bear {must} times \
            that load"
        ),
        ClaimFinding::HelpsTooMuch => {
            let [is, must] = [told.amount, told.limit].map(|n| told.force(n));
            format!(
                "{who} helps to hold the waste beside it, which loads it with {is}; its tabs are \
                 planned for {must}"
            )
        }
        ClaimFinding::SafetyTooLow { method } => {
            let by = match method {
                Method::Skin => "a skin",
                Method::Tape => "tape",
                Method::Tabs => "tabs",
                Method::None => "nothing",
            };
            format!("{who} is held by {by} with a safety of {is}; it needs at least {must}")
        }
    }
}
