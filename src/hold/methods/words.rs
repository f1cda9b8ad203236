//! The plan's reasons in words.

use super::skin::Skin;
use super::tape::Tape;
use crate::hold::check::figures::{Figures, Margin};
use crate::hold::check::judge::MOVEMENT_FREE;
use crate::hold::check::planner::Planner;
use crate::hold::check::turn::turn_gain_of;
use crate::hold::methods::hold_plan::{HoldPlan, LoadRange};
use crate::hold::part::left::POCKET;
use crate::hold::part::sections::Chord;
use crate::hold::search::tried::Tried;
use crate::hold::task::HoldTask;
use crate::layout::Tab;

/// What is left where nothing holds a part.
pub const CARRIER: &str = "cut it with a spur or a carrier strip of extra stock and trim it by hand, or cut it another way";

/// Stands on every plan.
pub const CAUTION: &str = "An estimate from handbook means, not a guarantee: test on scrap first. Wear eye and hearing protection, \
keep clear of the cutter, follow the machine's manual and your local codes.";

/// `3 tabs, last pass 0.4 mm: with 2, the tip moves ...`.
pub fn why_tabs(figures: &Figures, tried: &[Tried], range: &LoadRange) -> String {
    let count = tried.last().map_or(0, |_| figures.count);
    let fewer = tried.iter().filter(|t| t.count < count).max_by_key(|t| t.count);
    let because = match fewer {
        Some(t) => {
            format!("with {} {}", t.count, falls_short(&t.figures, t.deepest, figures.depth))
        }
        None => "the fewest there may be, since any one may go".into(),
    };
    format!(
        "{count} tabs, last pass {:.2} mm: {because}; least margin {:.2} ({}); {}",
        figures.depth,
        figures.least().value,
        figures.least().what,
        range.words()
    )
}

/// A holding bridge from this width on is a spur, mm: a strip of extra stock (estimate).
const SPUR: f64 = 10.0;

/// `2 holding bridges of full thickness, last pass 0.20 mm: with 2 tabs ...`.
pub fn why_bridges(figures: &Figures, tabs: &[Tab], reason: &str, range: &LoadRange) -> String {
    let spur = if tabs.iter().any(|t| t.ring == 0 && t.width >= SPUR) {
        " (a spur of extra stock)"
    } else {
        ""
    };
    let (s, them) = if figures.count == 1 { ("", "it") } else { ("s", "them") };
    format!(
        "{} holding bridge{s} of full thickness{spur}, last pass {:.2} mm: {reason}; least margin {:.2} ({}); {}; no pass cuts {them}: \
finish the piece while it hangs on {them}, then saw {them} off, never snap {them}, and trim the stub{s}",
        figures.count,
        figures.depth,
        figures.least().value,
        figures.least().what,
        range.words()
    )
}

/// Why a smaller count was not taken.
fn falls_short(f: &Figures, deepest: Option<f64>, depth: f64) -> String {
    match deepest {
        Some(d) if d < depth => format!("the last pass could be only {d:.2} mm deep"),
        _ => decides(f),
    }
}

/// What fails, with its figure.
fn decides(f: &Figures) -> String {
    let least = f.least();
    if least.what.starts_with("movement") {
        format!("the part moves {:.2} mm at the bit, last pass {:.2} mm", f.movement, f.depth)
    } else if least.what.starts_with("overhang") {
        format!("the farthest edge stands {:.0} mm from any tab", f.overhang.unwrap_or(0.0))
    } else {
        format!(
            "{} has a margin of only {:.2}, last pass {:.2} mm",
            least.what, least.value, f.depth
        )
    }
}

/// Why no tab set was taken.
pub fn why_no_tabs(planner: &Planner, tried: &[Tried]) -> String {
    if planner.sites().is_empty() {
        return "no straight run of the outline is long enough for a tab with stock to land on"
            .into();
    }
    let best =
        tried.iter().max_by(|a, b| a.figures.least().value.total_cmp(&b.figures.least().value));
    match best {
        Some(t) if t.figures.part.value < 1.0 && t.figures.part.value <= t.figures.of_tabs() => {
            format!(
                "the cut itself overloads {} (margin {:.2} at a last pass of {:.2} mm), whatever the tabs",
                t.figures.part.what, t.figures.part.value, t.figures.depth
            )
        }
        Some(t) => format!("with {} {}", t.name(), decides(&t.figures)),
        None => "there is room for fewer than 2 tabs on the outline".into(),
    }
}

/// The skin with its figures.
pub fn why_skin(reason: &str, skin: &Skin) -> String {
    format!(
        "skin {:.1} mm: {reason}; it breaks out at about {:.1} N a cm of edge where it is weakest",
        skin.thickness,
        10.0 * skin.break_out
    )
}

/// The tape with its figures.
pub fn why_tape(reason: &str, tape: &Tape) -> String {
    format!("tape over {:.0} mm2 of face: {reason}", tape.area)
}

/// What the maker should know beside the plan.
pub fn warnings(planner: &Planner, figures: &Figures) -> Vec<String> {
    let mut list = vec![];
    if let Some(asked) = planner.task.holding.last_pass
        && figures.depth < asked - 1e-9
    {
        list.push(format!(
            "the last pass asked for ({asked:.2} mm) is too deep; planned {:.2} mm",
            figures.depth
        ));
    }
    if figures.free_safety < 1.0 || figures.free_movement > MOVEMENT_FREE {
        list.push(format!(
            "do not repeat the last pass: with everything severed the part moves up to {:.2} mm at the bit, safety {:.1}",
            figures.free_movement, figures.free_safety
        ));
    }
    if let (true, Some(far)) = (planner.overhang().given_up(), figures.overhang) {
        list.push(format!(
            "its farthest edge stands {far:.0} mm from any tab, and no tabs that hold come nearer: put tape under it there"
        ));
    }
    if figures.free_by_hand.value < 1.0 {
        list.push(format!(
            "{}: hold the part right beside the tab and use a fine saw or a knife",
            figures.free_by_hand.what
        ));
    }
    let (lift, thin) = (planner.load.lift, planner.task.thickness <= 3.0);
    if lift > 0.0 && thin && planner.size() > 60.0 {
        list.push(
            "an up-spiral lifts the free corners of thin sheet: use a down-spiral or tape".into(),
        );
    }
    list
}

/// A warning where the grain runs across a neck that a turn would make much stronger.
pub fn short_grain(task: &HoldTask, plan: &HoldPlan, sections: &[Chord]) -> Option<String> {
    // A neck with twice what it needs is left alone.
    let fragile = plan.figures.as_ref().is_none_or(|f| f.part.value < 2.0);
    if !fragile {
        return None;
    }
    let gain = turn_gain_of(task, sections).filter(|g| g.times > 1.5)?;
    Some(format!(
        "short grain across its weakest neck: turned so that the grain runs at {:.0} degrees in the part, the neck is {:.1} times as strong",
        gain.grain.to_degrees(),
        gain.times
    ))
}

/// A warning where a section that a pocket or a hole weakens has a margin under 2: it is in the maker's hand.
pub fn weak_section(part: &Margin, sections: &[Chord]) -> Option<String> {
    let weak = sections.iter().filter_map(|c| c.left).any(|l| part.what.contains(&l.words()));
    let how = if part.what.contains(POCKET) {
        "clear it less deep there, or after the part is cut, held by its face"
    } else {
        "drill it after the part is cut"
    };
    (weak && part.value < 2.0)
        .then(|| format!("{} has a margin of only {:.2}: {how}", part.what, part.value))
}
