//! Tabs for waste beyond a part's outline, by which the part keeps it.
//!
//! The part is cut last of the parts round the piece. While its kerf is cut, the bit also pushes on the piece, which then hangs
//! only on these tabs and on what is left of the floor. So the piece is judged as a rigid body on them, at the worst load, at every
//! place where the kerf runs along it. Only their strength counts: waste may move.
//!
//! Parts that were cut before may help with tabs of their own ([`Helper`]).

use crate::geometry::{Contour, Point};
use crate::hold::check::planner::{Helper, Planner};
use crate::hold::part::sites::{SeatedTab, apart};
use crate::hold::search::ladder::{depths, heights};
use crate::hold::task::HoldTask;
use crate::layout::{Hold, Tab};

/// Most tabs for one piece.
const MOST: usize = 4;
/// Most sites that are tried, evenly taken from those there are.
const SITES: usize = 12;
/// Most tabs that one helping part offers, evenly taken along the piece (set by hand).
const OFFERED: usize = 6;

/// A piece of waste beyond a part's outline.
pub struct WasteBeyond<'a> {
    planner: Planner<'a>,
    /// The tabs that the part has on its outline.
    own: Vec<SeatedTab>,
    /// Of the last pass, mm.
    depth: f64,
    /// Height of the tabs, mm: as high as the part's own, so that there is no further upper pass.
    height: f64,
    /// Where the last pass starts and ends on the outline.
    start: f64,
    kerf: f64,
}

impl<'a> WasteBeyond<'a> {
    /// The piece whose edge `beside` says the far edge of the part's kerf runs along; the task's `landing_ok` says where a tab
    /// lands on it. `hold` is the part's own hold, whose tabs keep their room.
    pub fn new(
        task: &'a HoldTask<'a>,
        hold: &Hold,
        beside: &dyn Fn(Point) -> bool,
    ) -> Option<Self> {
        let contour = Contour::new(&task.shape.outline)?;
        let planner = Planner::beyond(task, contour, beside);
        let on_outline = || hold.tabs.iter().filter(|t| t.ring == 0);
        let own = on_outline().map(|t| SeatedTab::on(&planner.contour, t)).collect();
        let height = on_outline().map(|t| t.height).fold(f64::INFINITY, f64::min);
        let height = if height.is_finite() { height } else { *heights(task.thickness).first()? };
        let depth = if hold.last_pass > 0.0 { hold.last_pass } else { depths(task)[0] };
        let first = hold.tabs.iter().find(|t| t.holds());
        let start = first.map_or(0.0, |t| planner.contour.nearest(t.at));
        Some(WasteBeyond { planner, own, depth, height, start, kerf: task.bit.diameter })
    }

    /// Tabs on the part's outline that keep the piece, in the part's frame, with their least margin: strength over what is required
    /// at the worst load, 1 and more bears it. The fewest, and the narrowest, that bear it; else the strongest that were found.
    /// `None` where no tab has room.
    pub fn keep(&self) -> Option<(Vec<Tab>, f64)> {
        let mut best: Option<(Vec<SeatedTab>, f64)> = None;
        for width in three(self.planner.widths()) {
            // One tab, then one more each time where it helps most.
            let mut set: Vec<SeatedTab> = vec![];
            let sites = self.sites(width, SITES);
            for _ in 0..MOST {
                let Some((with, margin)) = self.with_one_more(&set, &sites) else { break };
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
        Some((tabs.into_iter().map(for_waste).collect(), margin))
    }

    /// Tabs by which the part may help another to keep the piece, in its own frame: some places, at each width.
    pub fn offers(&self) -> Vec<Tab> {
        let widths = three(self.planner.widths());
        let of = |width: f64| self.sites(width, OFFERED).into_iter().map(for_waste);
        widths.into_iter().flat_map(of).collect()
    }

    /// Margin of the part's `tabs` for the piece with those of other parts that help.
    pub fn helped(&self, tabs: &[Tab], helpers: &[Helper]) -> f64 {
        let seated: Vec<SeatedTab> =
            tabs.iter().map(|t| SeatedTab::on(&self.planner.contour, t)).collect();
        self.planner.helped(&seated, helpers, self.depth, self.start)
    }

    /// The set with one more tab, at the site where the set is strongest, and its margin.
    fn with_one_more(
        &self,
        set: &[SeatedTab],
        sites: &[SeatedTab],
    ) -> Option<(Vec<SeatedTab>, f64)> {
        let mut more: Option<(Vec<SeatedTab>, f64)> = None;
        for site in sites.iter().filter(|s| self.has_room(s, set)) {
            let mut with = set.to_vec();
            with.push(site.clone());
            with.sort_by(|a, b| a.s.total_cmp(&b.s));
            let least = more.as_ref().map_or(0.0, |m| m.1);
            let margin = self.planner.strength(&with, self.depth, self.start, least);
            if more.as_ref().is_none_or(|m| margin > m.1) {
                more = Some((with, margin));
            }
        }
        more
    }

    /// At most `most` tabs of a width beside the part's own, evenly taken from those that have room.
    fn sites(&self, width: f64, most: usize) -> Vec<SeatedTab> {
        let wide = self.planner.sites().iter().filter(|s| s.width >= width);
        let all: Vec<SeatedTab> = wide
            .map(|s| self.planner.seated(s.s, width, self.height))
            .filter(|s| self.has_room(s, &self.own))
            .collect();
        let step = all.len().div_ceil(most).max(1);
        all.into_iter().step_by(step).collect()
    }

    fn has_room(&self, tab: &SeatedTab, beside: &[SeatedTab]) -> bool {
        let place = |t: &SeatedTab| (t.s, t.tab.width);
        let contour = &self.planner.contour;
        beside.iter().all(|t| apart(contour, place(tab), place(t), self.kerf))
    }
}

fn for_waste(seated: SeatedTab) -> Tab {
    Tab { waste: true, ..seated.tab }
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
    use crate::geometry::{Ring, Shape, Vector, point};
    use crate::job::{Bit, Holding, Spiral, find_material};
    use crate::layout::Method;
    use crate::mechanics::{Beam, Load, SAFETY_SHEAR, TabForces};

    /// A plate of 60 x 20 mm of 3 mm acrylic, cut by a straight bit of 3 mm, with a piece 10 mm wide beyond its upper edge, and one
    /// place for a tab, in mid edge. The plate has its `own` tabs.
    fn with_piece<T>(own: Vec<Tab>, f: impl FnOnce(&WasteBeyond, f64) -> T) -> T {
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
        let hold = Hold { method: Method::Tabs, last_pass: 0.4, tabs: own, ..hold };
        let beside = |p: Point| p.y < 0.0 && (25.0..=35.0).contains(&p.x);
        let waste = WasteBeyond::new(&task, &hold, &beside).expect("a piece");
        f(&waste, Load::new(&bit, acrylic).worst(0.4))
    }

    fn beam(tab: &Tab) -> Beam {
        Beam::new(tab, find_material("acrylic", 3.0).unwrap(), None, 3.0, 3.0)
    }

    /// The tab holds the piece alone when the pass ends beside the piece's farther end, d along the edge from it: statics. A
    /// force F there, out of the edge by c and along it by s, pulls with F c and bends, at the root, by F (c d + s L). So the
    /// stress is F sqrt((1/A + 6 d/(h w^2))^2 + (6 L/(h w^2))^2) at its worst turn.
    #[test]
    fn one_tab_by_statics() {
        with_piece(vec![], |waste, force| {
            let (tabs, margin) = waste.keep().expect("a tab");
            assert_eq!((tabs.len(), tabs[0].waste, tabs[0].ring), (1, true, 0));
            let tab = &tabs[0];
            let (w, h, span) = (tab.width, tab.height, 3.0);
            let beam = beam(tab);
            let bent = 6.0 / (h * w * w);
            let at = |d: f64| {
                let stress = force * (1.0 / (w * h) + bent * d).hypot(bent * span);
                beam.strength.normal / stress / beam.required_normal
            };
            // The last place of the bit beside it lies less than half a bit from its end.
            let far = (tab.at.x - 25.0).max(35.0 - tab.at.x);
            let (least, most) = (at(far), at(far - 1.5));
            assert!((least * 0.999..=most * 1.001).contains(&margin), "{least} {margin} {most}");
        });
    }

    /// Where the plate's own tab stands there is no room for another, three bits off there is.
    #[test]
    fn the_parts_own_tabs_keep_their_room() {
        let own = |x: f64| Tab {
            at: point(x, 0.0),
            out: point(0.0, -1.0),
            width: 4.0,
            height: 1.2,
            ring: 0,
            waste: false,
        };
        let kept = |x: f64| with_piece(vec![own(x)], |waste, _| waste.keep().is_some());
        assert_eq!([kept(30.0), kept(50.0)], [false, true]);
    }

    /// The tab and, 20 mm from it on the piece's far side, one of a part that helps: springs by hand. With k_a along each tab's
    /// span, k_s along the edge and k_b against turning, both tabs 10 mm from the piece's middle, a unit force moves it by 1/2k_s
    /// and 1/2k_a and its moment about that middle turns it by M/2(k_b + 100 k_s); with the bit d along the edge and 8.5 mm off
    /// the middle.
    #[test]
    fn two_tabs_by_statics() {
        with_piece(vec![], |waste, force| {
            let (tabs, alone) = waste.keep().expect("a tab");
            let own = Tab { at: point(30.0, 0.0), ..tabs[0].clone() };
            let other = Tab { at: point(30.0, -23.0), out: own.out * -1.0, ..own.clone() };
            let (beam, k) = (beam(&own), beam(&own).stiffness);
            let turn = 2.0 * (k.bend + 100.0 * k.shear);
            // Of the tab on the side `side`, 1 for the part's own: for unit forces along the edge (x) and across it (y).
            let forces = |d: f64, side: f64| TabForces {
                axial: point(0.0, 0.5),
                shear: point(0.5 + side * 85.0 * k.shear / turn, -side * 10.0 * k.shear * d / turn),
                bend: point(-8.5, d) * (k.bend / turn),
                ..TabForces::default()
            };
            let strength = |d: f64| {
                let of = |side: f64| {
                    let r = beam.ratios(&forces(d, side), force);
                    (r.normal / beam.required_normal).min(r.shear / SAFETY_SHEAR)
                };
                of(1.0).min(of(-1.0))
            };
            let helper = Helper { tabs: vec![other], gives: 0.0, load: f64::INFINITY, reach: 50.0 };
            let own = [own];
            let margin = |helper: Helper| waste.helped(&own, &[helper]);
            let within = |least: f64, margin: f64, most: f64| {
                assert!(
                    (least * 0.999..=most * 1.001).contains(&margin),
                    "{least} {margin} {most}"
                );
            };
            within(strength(5.0), margin(helper.clone()), strength(3.5));
            assert!(strength(3.5) > 1.2 * alone);
            // What reaches the helping part: half the force across the edge, its part along it, and the moment.
            let reaches = |d: f64| {
                let f = forces(d, -1.0);
                force * (f.axial.dot(f.axial) + f.shear.dot(f.shear)).sqrt()
                    + force * f.bend.norm() / 50.0
            };
            let borne = margin(Helper { load: 0.1 * force, ..helper.clone() });
            within(0.1 * force / reaches(5.0), borne, 0.1 * force / reaches(3.5));
            // A part that gives without limit helps nothing.
            let gone = margin(Helper { gives: 1e12, ..helper });
            assert!((gone / waste.helped(&own, &[]) - 1.0).abs() < 1e-6, "{gone}");
        });
    }
}
