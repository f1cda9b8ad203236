//! Waste beyond a part's outline that the part keeps: tabs for it.
//!
//! The part is the last to be cut of those round the piece. While its kerf is cut the bit pushes on the piece too, which then hangs
//! on nothing but these tabs and what is left of the floor; so the piece is judged as a rigid body on them, at the worst load, at
//! every place where the kerf runs along it. Their strength counts, and nothing else: waste may move.

use crate::geometry::{Contour, Point};
use crate::hold::check::planner::Planner;
use crate::hold::part::sites::{SeatedTab, apart};
use crate::hold::search::ladder::{depths, heights};
use crate::hold::task::HoldTask;
use crate::layout::{Hold, Tab};

/// Most tabs for one piece.
const MOST: usize = 4;
/// Most sites that are tried, evenly taken from those there are.
const SITES: usize = 12;

/// Tabs on a part's outline that keep a piece beyond it, in the part's frame, with their least margin: strength over what is
/// required at the worst load, 1 and more bears it. The fewest, and the narrowest, that bear it; else the strongest that were
/// found.
///
/// The task's `landing_ok` says where a tab lands on the piece, `beside` which places of the kerf's far edge the piece
/// lies at. `None` where no tab has room. `hold` is the part's own hold, whose tabs keep their room.
pub fn keep_beyond(
    task: &HoldTask,
    hold: &Hold,
    beside: &dyn Fn(Point) -> bool,
) -> Option<(Vec<Tab>, f64)> {
    let contour = Contour::new(&task.shape.outline)?;
    let planner = Planner::beyond(task, contour, beside);
    let depth = if hold.last_pass > 0.0 { hold.last_pass } else { depths(task)[0] };
    let height = height_of(task, hold)?;
    let start = hold.tabs.iter().find(|t| t.holds()).map_or(0.0, |t| planner.contour.nearest(t.at));
    let room = |s: f64, width: f64, tabs: &[SeatedTab]| {
        let apart = |at: f64, other: f64| {
            apart(&planner.contour, (s, width), (at, other), task.bit.diameter)
        };
        tabs.iter().all(|t| apart(t.s, t.tab.width))
    };
    let own: Vec<SeatedTab> = hold
        .tabs
        .iter()
        .filter(|t| t.ring == 0)
        .map(|t| SeatedTab::on(&planner.contour, t))
        .collect();
    let mut best: Option<(Vec<SeatedTab>, f64)> = None;
    for width in three(planner.widths()) {
        let wide = planner.sites().iter().filter(|s| s.width >= width && room(s.s, width, &own));
        let all: Vec<SeatedTab> = wide.map(|s| planner.seated(s.s, width, height)).collect();
        let sites = all.iter().step_by(all.len().div_ceil(SITES).max(1));
        // One tab, then one more each time where it helps most.
        let mut set: Vec<SeatedTab> = vec![];
        for _ in 0..MOST {
            let mut more: Option<(Vec<SeatedTab>, f64)> = None;
            for site in sites.clone().filter(|s| room(s.s, width, &set)) {
                let mut with = set.clone();
                with.push(site.clone());
                with.sort_by(|a, b| a.s.total_cmp(&b.s));
                let least = more.as_ref().map_or(0.0, |m| m.1);
                let margin = planner.strength(&with, depth, start, least);
                if more.as_ref().is_none_or(|m| margin > m.1) {
                    more = Some((with, margin));
                }
            }
            let Some((with, margin)) = more else { break };
            if best.as_ref().is_none_or(|b| margin > b.1) {
                best = Some((with.clone(), margin));
            }
            if margin >= 1.0 {
                break;
            }
            set = with;
        }
        // A few narrow tabs are better than one wide one: the piece cannot turn about them.
        if best.as_ref().is_some_and(|b| b.1 >= 1.0) {
            break;
        }
    }
    let (tabs, margin) = best?;
    Some((tabs.into_iter().map(|t| Tab { waste: true, ..t.tab }).collect(), margin))
}

/// As high as the part's own tabs, mm: no other upper pass.
fn height_of(task: &HoldTask, hold: &Hold) -> Option<f64> {
    let own = hold.tabs.iter().filter(|t| t.ring == 0).map(|t| t.height);
    let height = own.fold(f64::INFINITY, f64::min);
    if height.is_finite() { Some(height) } else { heights(task.thickness).first().copied() }
}

/// The narrowest, the middle and the widest of some widths.
fn three(widths: &[f64]) -> Vec<f64> {
    let n = widths.len();
    let mut three: Vec<f64> =
        [0, n / 2, n.saturating_sub(1)].iter().filter_map(|&i| widths.get(i).copied()).collect();
    three.dedup();
    three
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape};
    use crate::job::{Bit, Holding, Spiral, find_material};
    use crate::layout::Method;
    use crate::mechanics::{Beam, Load};

    /// A plate of 60 x 20 mm of 3 mm acrylic, cut by a straight bit of 3 mm, with a piece 10 mm wide beyond its upper edge. One tab
    /// in mid edge has room, and holds the piece alone when the pass ends beside the piece's farther end, d along the edge from it:
    /// statics. A force F there, out of the edge by c and along it by s, pulls with F c and bends, at the root, by F (c d + s L).
    /// So the stress is F sqrt((1/A + 6 d/(h w^2))^2 + (6 L/(h w^2))^2) at its worst turn.
    #[test]
    fn one_tab_by_statics() {
        let acrylic = find_material("acrylic", 3.0).unwrap();
        let bit = Bit {
            name: "3 mm".into(),
            diameter: 3.0,
            flutes: 1,
            spiral: Spiral::Straight,
            helix: 0.0,
            pass_depth: 1.5,
            feed: 1000.0,
            rpm: 16_000.0,
            allowance: crate::layout::ALLOWANCE,
        };
        let (shape, holding) =
            (Shape::new(Ring::rectangle(60.0, 20.0), vec![]), Holding::default());
        let landing_ok = |t: &Tab| t.at.y == 0.0 && (t.at.x - 30.0).abs() < 0.5;
        let task = HoldTask {
            shape: &shape,
            thickness: 3.0,
            material: acrylic,
            grain: &[],
            bit: &bit,
            holding: &holding,
            by: Default::default(),
            features: &[],
            tab_free: &[],
            chords: None,
            landing_ok: Some(&landing_ok),
            bodies: None,
        };
        let plan = crate::hold::plan_on_tape(&task, &crate::layout::Because::Minimum);
        let hold = plan.expect("tape holds it").hold;
        let hold = Hold { method: Method::Tabs, last_pass: 0.4, tabs: vec![], ..hold };
        let beside = |p: Point| p.y < 0.0 && (25.0..=35.0).contains(&p.x);
        let (tabs, margin) = keep_beyond(&task, &hold, &beside).expect("a tab");
        assert_eq!((tabs.len(), tabs[0].waste, tabs[0].ring), (1, true, 0));
        let tab = &tabs[0];
        let (w, h, span) = (tab.width, tab.height, 3.0);
        let beam = Beam::new(tab, acrylic, None, span, 3.0);
        let force = Load::new(&bit, acrylic).worst(0.4);
        let bent = 6.0 / (h * w * w);
        let at = |d: f64| {
            let stress = force * (1.0 / (w * h) + bent * d).hypot(bent * span);
            beam.strength.normal / stress / beam.required_normal
        };
        // The last place of the bit beside it lies less than half a bit from its end.
        let far = (tab.at.x - 25.0).max(35.0 - tab.at.x);
        let (least, most) = (at(far), at(far - 1.5));
        assert!((least * 0.999..=most * 1.001).contains(&margin), "{least} {margin} {most}");
    }
}
