//! The plan of a part on tabs.

use super::brief::brief;
use super::reasons;
use crate::hold::check::figures::{Figures, Margins};
use crate::hold::check::piece::Detail;
use crate::hold::check::piece::Pick;
use crate::hold::check::planner::Planner;
use crate::hold::check::sensitivity::sensitivities;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::part::sites::SeatedTab;
use crate::hold::search::by_count::{ANY, Found, listed};
use crate::hold::search::tried::Tried;
use crate::layout::{ForceRange, Hold, InputOff, Method, Why};
use crate::mechanics::Load;

/// A tab is not narrowed below this many times its height: a knock in handling, which the model of the cut does not cover, would
/// break it (common practice, no source).
const SLIMMEST: f64 = 2.0;

/// The plan of a set that holds: tabs narrowed while they keep a reserve, listed from the tab where the pass ends.
pub fn with_tabs(planner: &Planner, found: Found, tried: Vec<Tried>) -> HoldPlan {
    let (height, depth) = (found.height, found.figures.depth);
    // A holding bridge is not made slimmer than it is high; each mm of it is to be sawn, so it keeps less in reserve.
    let (least, still) =
        if found.figures.bridged { (height, 1.2) } else { (SLIMMEST * height, 1.5) };
    let good = |picks: &[Pick]| {
        let tabs = planner.placed(picks, height);
        let reserve = |m: &Margins| m.of_tabs() >= 1.2 && m.motion >= still && m.part >= 1.0;
        planner.margins(&tabs, depth, Detail::Elastic, &reserve).is_some()
            && planner
                .figures(&tabs, depth, 1.0)
                .is_some_and(|f| f.of_tabs() >= 1.2 && f.motion.value >= still)
    };
    let slim = |w: &&f64| **w >= least - 1e-9;
    let widths: Vec<f64> = planner.widths().iter().filter(slim).copied().collect();
    let picks =
        planner.search(height, depth, Detail::Elastic, |s| s.narrow(&found.picks, &widths, &good));
    let tabs = planner.placed(&picks, height);
    let figures = planner.figures(&tabs, depth, ANY).unwrap_or(found.figures);
    let inputs = sensitivities(planner, &tabs, &figures);
    on_tabs(planner, &tabs, figures, inputs, tried)
}

/// The plan of these tabs, unchanged.
pub fn on_tabs(
    planner: &Planner,
    tabs: &[SeatedTab],
    figures: Figures,
    inputs: Vec<InputOff>,
    tried: Vec<Tried>,
) -> HoldPlan {
    let why = Why {
        bridges: figures.bridged,
        force: Some(force_range(&planner.load, &figures)),
        ..Why::because(reasons::why_tabs(&figures, &tried))
    };
    HoldPlan {
        hold: Hold {
            method: Method::Tabs,
            why: String::new(),
            governs: String::new(),
            reason: Some(why),
            limited_by: Some(figures.least().what),
            case: "staged".into(),
            load_n: figures.load,
            last_pass: figures.depth,
            safety: figures.safety,
            movement_mm: figures.movement,
            skin_mm: None,
            figures: Some(brief(&figures, inputs)),
            tabs: listed(tabs, figures.end),
        },
        tried,
        load: planner.load,
        necks: vec![],
        warnings: reasons::warnings(planner, &figures),
        figures: Some(figures),
    }
}

fn force_range(load: &Load, figures: &Figures) -> ForceRange {
    let bears = figures.bears();
    ForceRange {
        high: load.high / load.nominal,
        low: load.low / load.nominal,
        bears: bears.is_finite().then_some(bears),
    }
}
