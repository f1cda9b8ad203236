//! Why a part is held as it is, in words.

use super::words::{area, count, fine, length, movement, pair_of};
use crate::layout::{
    Bears, Because, Freed, FreedBy, Governs, Hold, Input, InputOff, Method, SPUR, SectionAt,
    Shortfall, TabNumber, TabStress, Weakened, Why,
};
use crate::units::Units;

/// What to do where nothing holds a part.
pub const CARRIER: &str = "leave a spur or a carrier strip of extra stock on it and trim that by hand, or make the part another way";

/// Why this method and count; the layout's own sentence if it has no values.
pub fn why_words(hold: &Hold, units: Units) -> String {
    why_but(hold, units, None)
}

/// How much of the cutting force's range the hold bears, where its reason says so.
pub fn borne_by(hold: &Hold) -> Option<Bears> {
    let on_tabs = hold.method == Method::Tabs;
    let why =
        hold.reason.as_ref().filter(|w| on_tabs && !matches!(w.because, Because::Tried { .. }))?;
    Some(why.force?.borne(hold.figures.as_ref()?.least_margin))
}

/// [`why_words`] without how much of the force's range the hold bears, if that is `said` elsewhere.
pub fn why_but(hold: &Hold, units: Units, said: Option<Bears>) -> String {
    let Some(why) = &hold.reason else { return hold.why.clone() };
    let because = || {
        let no_skin = if why.no_skin { "; no skin holds it either" } else { "" };
        format!("{}{no_skin}", because_words(&why.because, units))
    };
    match hold.method {
        Method::Tabs if why.bridges => on_bridges(hold, why, &because(), units, said),
        Method::Tabs => on_tabs(hold, why, &because(), units, said),
        Method::Skin => format!("{}: {}{}", skin(hold, units), because(), break_out(why, units)),
        Method::Tape => {
            let over =
                why.tape_mm2.map_or(String::new(), |a| format!(" over {} of face", area(units, a)));
            format!("tape{over}: {}", because())
        }
        Method::None if why.because == Because::ComesLoose => {
            let under = why
                .tape_mm2
                .map_or(String::new(), |a| format!(" under its {} of face", area(units, a)));
            format!(
                "the stock that it would hang on comes loose, and tape{under} is too weak for the cut: its outline is not cut"
            )
        }
        Method::None => format!("no tabs: {}; {CARRIER}", because()),
    }
}

/// What has the least margin; the layout's own words if it has no values.
pub fn limit_words(hold: &Hold, units: Units) -> String {
    match (&hold.limited_by, &hold.reason) {
        (Some(governs), _) => governs_words(governs, units),
        (None, Some(why)) => because_words(&why.because, units),
        (None, None) => hold.governs.clone(),
    }
}

/// A demand on a hold.
pub fn governs_words(governs: &Governs, units: Units) -> String {
    match governs {
        Governs::Tab { tab, stress } => {
            let how = match stress {
                TabStress::Shear => "in shear",
                TabStress::Bending => "in bending",
                TabStress::Along => "along the grain",
                TabStress::Oblique => "oblique to the grain",
                TabStress::Across => "across the grain",
            };
            format!("{} {how}", tab_name(*tab))
        }
        Governs::Section(section) => {
            format!("the part's own section, {}", section_words(section, units))
        }
        Governs::NoSection => "no narrow section".into(),
        Governs::Movement => "movement at the bit".into(),
        Governs::OneLost(tab) => {
            format!("one {} lost ({})", if tab.bridge { "bridge" } else { "tab" }, tab_name(*tab))
        }
        Governs::HalfLost => "half of the bridge lost".into(),
        Governs::PassRepeated => "the last pass repeated".into(),
        Governs::Overhang { far_mm } => format!("overhang of {}", length(units, far_mm.round())),
        Governs::Freeing { of: Some(freed) } => freed_words(freed, units),
        Governs::Freeing { of: None } => "freeing the part".into(),
        Governs::Skin => "the skin's weakest direction".into(),
        Governs::Tape => "the tape under the part".into(),
    }
}

/// `sawing off tab 2 at 3.1 mm wide ...`.
pub fn freed_words(freed: &Freed, units: Units) -> String {
    format!(
        "{} {} at {}",
        freed_by(freed.how),
        tab_name(freed.tab),
        section_words(&freed.section, units)
    )
}

/// `sawing off`.
pub fn freed_by(how: FreedBy) -> &'static str {
    match how {
        FreedBy::Sawing => "sawing off",
        FreedBy::Snapping => "snapping off",
    }
}

/// `tab 2`, `bridge 1`.
pub fn tab_name(tab: TabNumber) -> String {
    format!("{} {}", if tab.bridge { "bridge" } else { "tab" }, tab.tab)
}

/// `3.1 mm wide at (12.5, 3) mm, a pocket leaves 2.5 mm there, short grain`.
pub fn section_words(section: &SectionAt, units: Units) -> String {
    let weakened = match section.weakened {
        None => String::new(),
        Some(Weakened::Drilled) => ", drilled through".into(),
        Some(Weakened::Pocket { leaves_mm }) => {
            format!(", where a pocket leaves {}", length(units, leaves_mm))
        }
    };
    let grain = if section.short_grain { ", short grain" } else { "" };
    format!(
        "{} wide at {}{weakened}{grain}",
        length(units, section.width_mm),
        pair_of(units, section.at)
    )
}

/// What decided, in words.
pub fn because_words(because: &Because, units: Units) -> String {
    match because {
        Because::Minimum => "the minimum, so that one is left if the other breaks".into(),
        Because::FewerAreShallow { count, last_pass_mm } => {
            format!(
                "with {count}, the last pass could be only {} deep",
                depth(units, *last_pass_mm)
            )
        }
        Because::FewerStandClose { count } => {
            format!("{count} would hold it too, but only close together")
        }
        Because::FewerFail { count, fails } => format!("with {count}, {}", shortfall(fails, units)),
        Because::Stopped => {
            "a first plan: the job was stopped before a better plan was found".into()
        }
        Because::NoSize => "the part, its thickness or the bit has no size".into(),
        Because::NoSite => {
            "no straight stretch of the outline is long enough for a tab that has stock to land on"
                .into()
        }
        Because::NoRoom => "the outline has no room for 2 tabs".into(),
        Because::Overloaded(fails) => format!(
            "the cut overloads {} (margin {:.2} at a last pass of {}), whatever tabs hold it",
            governs_words(&fails.governs, units),
            fails.margin,
            depth(units, fails.last_pass_mm)
        ),
        Because::TabsFail { count: n, of_bridges, fails } => {
            let noun = if *of_bridges { "holding bridge" } else { "tab" };
            format!("with {}, {}", count(*n, noun), shortfall(fails, units))
        }
        Because::Asked => "the job asks for it".into(),
        Because::ComesLoose => "the stock that tabs or a skin would hang on comes loose".into(),
        Because::Tried { even: true } => "spaced evenly".into(),
        Because::Tried { even: false } => "the best set found".into(),
    }
}

/// The input in a word or two, and how far off it is taken to be; the layout's own words if it has no values.
pub fn input_words(off: &InputOff, units: Units) -> (String, String) {
    let Some(kind) = off.kind else { return (off.input.clone(), off.off.clone()) };
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    let small = |mm: f64| match units {
        Units::Mm => fine(units, mm),
        Units::In => movement(units, mm),
    };
    let (input, off) = match kind {
        Input::ChipForce => ("chip force", "K_c at its high end".into()),
        Input::EdgeForce => ("edge force", "K_e at its high end".into()),
        Input::Strength { weaker } => ("strength", format!("material {} weaker", percent(weaker))),
        Input::Stiffness { softer } => {
            ("stiffness", format!("material {} softer", percent(softer)))
        }
        Input::LastPass { deeper_mm } => {
            ("last pass", format!("last pass {} deeper", small(deeper_mm)))
        }
        Input::TabHeight { lower_mm } => ("tab height", format!("tabs {} lower", small(lower_mm))),
        Input::TabWidth { narrower_mm } => {
            ("tab width", format!("tabs {} narrower", small(narrower_mm)))
        }
        Input::Grain { off_deg } => ("grain", format!("grain {off_deg:.0} degrees off")),
    };
    (input.into(), off)
}

/// The two inputs that matter most for a hold, with the share of its least margin that each may cost:
/// `edge force −33 %, last pass −25 %`; `None` if none is known to matter.
pub fn most_by(hold: &Hold) -> Option<String> {
    let inputs = hold.figures.as_ref()?.inputs.iter();
    let costly = inputs.filter(|i| i.change <= -LEAST_COST).take(2);
    let said: Vec<String> = costly
        .map(|i| format!("{} −{:.0} %", input_words(i, Units::Mm).0, -100.0 * i.change))
        .collect();
    (!said.is_empty()).then(|| said.join(", "))
}

/// An input that costs a margin less than this is not mentioned.
const LEAST_COST: f64 = 0.03;

/// How much of the cutting force's range a hold bears.
pub fn bears_words(bears: Bears) -> &'static str {
    match bears {
        Bears::High => "holds even at the high end of the cutting force's range",
        Bears::Nominal => {
            "holds at the nominal cutting force, but not at the high end of its range"
        }
        Bears::Low => "holds only at the low end of the cutting force's range",
        Bears::Nothing => "does not hold even at the low end of the cutting force's range",
    }
}

/// A depth of the last pass: to a hundredth of a mm, or a thousandth of an inch.
pub fn depth(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => units.show(mm),
        Units::In => movement(units, mm),
    }
}

fn on_tabs(hold: &Hold, why: &Why, because: &str, units: Units, said: Option<Bears>) -> String {
    let n = count(outline_tabs(hold), "tab");
    if let Because::Tried { .. } = why.because {
        return tried(hold, &n, because, units);
    }
    let one_side = if why.one_side {
        "; all tabs are on one side, so that rows of copies lie closer together"
    } else {
        ""
    };
    format!(
        "{n}, last pass {}: {because}{}{one_side}",
        depth(units, hold.last_pass),
        margin(hold, units, said)
    )
}

fn on_bridges(hold: &Hold, why: &Why, because: &str, units: Units, said: Option<Bears>) -> String {
    let n = count(outline_tabs(hold), "holding bridge");
    if let Because::Tried { .. } = why.because {
        return tried(hold, &n, because, units);
    }
    let spur = hold.tabs.iter().any(|t| t.holds() && t.width >= SPUR);
    let spur = if spur { " (a spur of extra stock)" } else { "" };
    let (s, them) = if outline_tabs(hold) == 1 { ("", "it") } else { ("s", "them") };
    format!(
        "{n} of full thickness{spur}, last pass {}: {because}{}; no pass cuts {them}: finish the part while it hangs on \
         {them}, then saw {them} off (do not snap {them}) and trim the stub{s}",
        depth(units, hold.last_pass),
        margin(hold, units, said)
    )
}

/// The sentence about one of the sets of tabs that were judged.
fn tried(hold: &Hold, n: &str, which: &str, units: Units) -> String {
    let least = hold.figures.as_ref().map_or(0.0, |f| f.least_margin);
    let verdict = if least >= 1.0 { "holds" } else { "does not hold" };
    format!("{n}, {which}: {verdict}, least margin {least:.2}: {}", limit_words(hold, units))
}

/// `; least margin 1.20 (tab 1 in shear); holds even at ...`.
fn margin(hold: &Hold, units: Units, said: Option<Bears>) -> String {
    let Some(least) = hold.figures.as_ref().map(|f| f.least_margin) else { return String::new() };
    let borne = borne_by(hold).filter(|b| Some(*b) != said);
    let force = borne.map_or(String::new(), |b| format!("; {}", bears_words(b)));
    format!("; least margin {least:.2}: {}{force}", limit_words(hold, units))
}

fn outline_tabs(hold: &Hold) -> usize {
    hold.tabs.iter().filter(|t| t.holds()).count()
}

fn skin(hold: &Hold, units: Units) -> String {
    hold.skin_mm.map_or("skin".into(), |mm| format!("skin {}", depth(units, mm)))
}

fn break_out(why: &Why, units: Units) -> String {
    let Some(force) = why.break_out_n_per_mm else { return String::new() };
    let (edge, unit) = match units {
        Units::Mm => (10.0, "cm"),
        Units::In => (units.mm(), "inch"),
    };
    let force = units.force(edge * force);
    format!("; it breaks out at about {force} per {unit} of edge where it is weakest")
}

/// What fails, with its figure.
fn shortfall(fails: &Shortfall, units: Units) -> String {
    let at = depth(units, fails.last_pass_mm);
    match fails.governs {
        Governs::Movement => {
            format!(
                "the part moves {} at the bit at a last pass of {at}",
                movement(units, fails.movement_mm)
            )
        }
        Governs::Overhang { far_mm } => {
            format!("part of the edge is {} from the nearest tab", length(units, far_mm.round()))
        }
        governs => {
            format!(
                "{} has a margin of only {:.2} at a last pass of {at}",
                governs_words(&governs, units),
                fails.margin
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECTION: SectionAt = SectionAt {
        width_mm: 3.175,
        at: [12.7, 25.4],
        weakened: Some(Weakened::Pocket { leaves_mm: 1.5875 }),
        short_grain: true,
    };

    #[test]
    fn what_decides_is_told_in_both_units() {
        let governs = Governs::Section(SECTION);
        assert_eq!(
            governs_words(&governs, Units::Mm),
            "the part's own section, 3.2 mm wide at (12.7, 25.4) mm, where a pocket leaves 1.6 mm, short grain"
        );
        assert_eq!(
            governs_words(&governs, Units::In),
            "the part's own section, 1/8 in wide at (0.5, 1) in, where a pocket leaves 1/16 in, short grain"
        );
        let tab = TabNumber { tab: 1, bridge: false };
        assert_eq!(governs_words(&Governs::OneLost(tab), Units::Mm), "one tab lost (tab 1)");
    }

    #[test]
    fn a_reason_follows_from_the_hold_as_it_is() {
        let tab = |at| crate::layout::Tab {
            at: crate::geometry::point(at, 0.0),
            out: crate::geometry::point(0.0, -1.0),
            width: 4.0,
            height: 1.2,
            ring: 0,
            waste: false,
        };
        let force = Some(crate::layout::ForceRange { low: 0.5, high: 2.0, bears: None });
        let mut hold = Hold {
            method: Method::Tabs,
            why: String::new(),
            governs: String::new(),
            reason: Some(Why { force, ..Why::because(Because::Minimum) }),
            limited_by: Some(Governs::Movement),
            case: "staged".into(),
            load_n: 7.5,
            last_pass: 0.4,
            safety: 1.6,
            movement_mm: 0.02,
            skin_mm: None,
            figures: Some(crate::layout::HoldFigures { least_margin: 1.2, ..Default::default() }),
            tabs: vec![tab(0.0), tab(20.0)],
        };
        assert_eq!(
            why_words(&hold, Units::Mm),
            "2 tabs, last pass 0.4 mm: the minimum, so that one is left if the other breaks; least margin 1.20: movement at the \
             bit; holds at the nominal cutting force, but not at the high end of its range"
        );
        // Judged again with the grain another way: the sentence has the new figures, all of them.
        hold.figures = Some(crate::layout::HoldFigures { least_margin: 2.1, ..Default::default() });
        hold.limited_by = Some(Governs::PassRepeated);
        assert!(why_words(&hold, Units::In).ends_with(
            "least margin 2.10: the last pass repeated; holds even at the high end of the cutting force's range"
        ));
        // A file of before keeps its own.
        hold.reason = None;
        hold.why = "2 tabs".into();
        assert_eq!(why_words(&hold, Units::In), "2 tabs");
    }

    #[test]
    fn what_is_not_held_is_not_called_good() {
        let why = Why::because(Because::NoRoom);
        let hold = Hold {
            method: Method::None,
            why: String::new(),
            governs: String::new(),
            reason: Some(why),
            limited_by: None,
            case: "staged".into(),
            load_n: 0.0,
            last_pass: 0.0,
            safety: 0.0,
            movement_mm: 0.0,
            skin_mm: None,
            figures: None,
            tabs: vec![],
        };
        let said = why_words(&hold, Units::Mm);
        assert!(said.starts_with("no tabs: the outline has no room for 2 tabs"), "{said}");
        assert_eq!(limit_words(&hold, Units::Mm), "the outline has no room for 2 tabs");
    }
}
