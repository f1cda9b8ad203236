//! Where a tab may sit: straight runs, away from corners and tight notches, with stock to land on.

use crate::geometry::{Contour, EdgeIndex, Point, Ring, Segment, Shape, Vector};
use crate::layout::Tab;
use std::cmp::Ordering;

/// A tab's root stays where the outline turns by less than this, radians (25 degrees).
const TURN: f64 = 0.436;

/// Least distance of a tab's root from a line that is to stay clear of tabs, mm (common practice, no source).
const CLEAR: f64 = 0.5;

/// Share of the kerf that a landing's corner may lose to a curved edge of its own part.
const LANDING_SLACK: f64 = 0.1;

/// How far an outline may stand out beyond a site that counts as outside, mm (set by hand).
const PROUD: f64 = 0.3;

/// How much nearer to the part than its radius a bit beside a tab may come, mm: chords of a curve.
const TOUCH: f64 = 0.012;

/// A place on a ring with the widest tab that fits.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Arc length on the ring.
    pub s: f64,
    /// On the edge.
    pub at: Point,
    /// Widest tab that fits, mm.
    pub width: f64,
    /// Half the length over which the outline turns by less than 25 degrees, mm.
    pub run: f64,
}

/// Whether no other part of the outline lies farther out than the place by more than a hair ([`PROUD`]): its edge can be sanded by
/// a block that lies flat on it.
pub fn is_outer(contour: &Contour, s: f64) -> bool {
    let (at, out) = (contour.point(s), contour.out(s, PROUD));
    contour.points().iter().all(|p| (*p - at).dot(out) <= PROUD)
}

/// A tab with its place on the ring.
#[derive(Debug, Clone, PartialEq)]
pub struct SeatedTab {
    /// Arc length on the ring of the middle of its root.
    pub s: f64,
    /// The tab.
    pub tab: Tab,
}

impl SeatedTab {
    /// A tab where it stands on a ring.
    pub fn on(contour: &Contour, tab: &Tab) -> SeatedTab {
        SeatedTab { s: contour.nearest(tab.at), tab: tab.clone() }
    }
}

/// The rules that sites must respect.
pub struct SiteRules<'a> {
    /// The part.
    pub shape: &'a Shape,
    /// The bit's diameter, mm.
    pub kerf: f64,
    /// Lines to keep clear of.
    pub tab_free: &'a [Ring],
    /// Whether a tab lands on stock that stays.
    pub landing_ok: Option<&'a (dyn Fn(&Tab) -> bool + Sync)>,
    /// Widths to try, mm, ascending.
    pub widths: &'a [f64],
    /// Whether only places on the part's outside are wanted ([`is_outer`]).
    pub outer: bool,
}

impl SiteRules<'_> {
    /// The sites of ring number `ring`: even steps of at most `step` mm and the middles of straight runs, the
    /// widest and straightest first, not nearer each other than half a step; at most `most`, by arc length.
    ///
    /// The through pass is open a bit's diameter wider than the tab. `beside` is how much of that must also lie on the run: all of
    /// it for a clean gap, nothing for a tooth's tip.
    pub fn sites(
        &self,
        contour: &Contour,
        ring: usize,
        step: f64,
        most: usize,
        beside: f64,
    ) -> Vec<Site> {
        let index = EdgeIndex::new(self.shape);
        let limit = self.widths.last().copied().unwrap_or(0.0) * 4.0 + self.kerf;
        let mut found: Vec<Site> = self
            .places(contour, step, most)
            .into_iter()
            .filter_map(|s| {
                if self.outer && !is_outer(contour, s) {
                    return None;
                }
                let run = contour.run(s, TURN, limit);
                let fits = |w: &&f64| {
                    **w + beside <= 2.0 * run
                        && self.fits(&self.tab(contour, ring, s, **w, 1.0), contour, s, &index)
                };
                let widest = *self.widths.iter().rev().find(fits)?;
                // On a bend a narrower tab points another way, and lands elsewhere.
                let out = contour.out(s, widest / 2.0);
                let same = |w: f64| (contour.out(s, w / 2.0) - out).norm() < 1e-12;
                let safe = |w: &&f64| **w <= widest && (same(**w) || fits(w));
                let width = *self.widths.iter().take_while(safe).last()?;
                Some(Site { s, at: contour.point(s), width, run })
            })
            .collect();
        found.sort_by(|a, b| {
            (b.width, b.run)
                .partial_cmp(&(a.width, a.run))
                .unwrap_or(Ordering::Equal)
                .then(a.s.total_cmp(&b.s))
        });
        let mut sites: Vec<Site> = vec![];
        for site in found {
            if sites.len() < most && sites.iter().all(|k| contour.apart(k.s, site.s) >= step / 2.0)
            {
                sites.push(site);
            }
        }
        sites.sort_by(|a, b| a.s.total_cmp(&b.s));
        sites
    }

    /// Even steps, and the middle of each segment as long as a tab is wide: even steps could miss a short straight run.
    fn places(&self, contour: &Contour, step: f64, most: usize) -> Vec<f64> {
        let n = contour.points().len();
        let least = self.widths.first().copied().unwrap_or(f64::INFINITY);
        // A tooth's tip is little wider than a tab.
        let (step, most_even) =
            if self.outer { (least / 2.0, 100 * most) } else { (step / 2.0, 2 * most) };
        let mut places = contour.spaced(step, 24, most_even);
        for i in 0..n {
            let (a, b) = (contour.corner(i), contour.corner(i + 1));
            if b - a >= least && places.len() < 12 * most {
                places.push((a + b) / 2.0);
            }
        }
        places
    }

    /// The tab of `width` at position `s`.
    pub fn tab(&self, contour: &Contour, ring: usize, s: f64, width: f64, height: f64) -> Tab {
        Tab {
            at: contour.point(s),
            out: contour.out(s, width / 2.0),
            width,
            height,
            ring,
            waste: false,
        }
    }

    fn fits(&self, tab: &Tab, contour: &Contour, s: f64, index: &EdgeIndex) -> bool {
        let half = tab.width / 2.0;
        // On a bend the root's chord and the tab's own straight root, which the layout has, are a little apart.
        let along = tab.out.perp() * half;
        let roots = [
            Segment::new(contour.point(s - half), contour.point(s + half)),
            Segment::new(tab.at - along, tab.at + along),
        ];
        let clear = |root: &Segment| {
            self.tab_free.iter().all(|line| match line.0.as_slice() {
                [] => true,
                [p] => root.distance_to_point(*p) > CLEAR,
                points => {
                    points.windows(2).all(|w| root.distance(Segment::new(w[0], w[1])) > CLEAR)
                }
            })
        };
        if !roots.iter().all(clear) || self.shape.contains(tab.at + tab.out * (self.kerf * 0.5)) {
            return false;
        }
        // The landing must not be eaten by the kerf along another edge of the same part.
        let least = self.kerf * (1.0 - LANDING_SLACK);
        let landing = tab.landing(self.kerf);
        let free = landing.segments().all(|edge| index.segment_distance(edge, least) >= least);
        let centre = landing.0.iter().fold(Point { x: 0.0, y: 0.0 }, |m, &p| m + p)
            / landing.0.len().max(1) as f64;
        let outside = if tab.ring == 0 {
            !self.shape.outline.contains(centre)
        } else {
            self.shape.ring(tab.ring).is_some_and(|r| r.contains(centre))
        };
        free && outside
            && self.freed(tab.width, contour, s, index)
            && self.landing_ok.is_none_or(|ok| ok(tab))
    }

    /// Whether the bit reaches the edge on both sides of a tab, half its diameter from the tab or less than a diameter farther. It
    /// does not in a notch narrower than the tab and two diameters: the pass would leave all of the notch standing.
    fn freed(&self, width: f64, contour: &Contour, s: f64, index: &EdgeIndex) -> bool {
        let radius = self.kerf / 2.0;
        let clear = |at: f64| {
            let centre = contour.point(at) + contour.out(at, TOUCH) * radius;
            index.nearest(centre).is_none_or(|n| n.distance >= radius - TOUCH)
        };
        let beside = |side: f64| {
            // Past a corner of the notch it would be clear from 2.8 radii on: the landing keeps 1.8 off its sides.
            let mut steps = (0..8).map(|k| radius * f64::from(k) / 4.0);
            steps.any(|more| clear(s + side * (width / 2.0 + radius + more)))
        };
        beside(-1.0) && beside(1.0)
    }
}

/// Whether two tabs, each a position and a width, leave the bit room to reach the edge between them: along the edge, and straight
/// across where the edge bends back on itself, as in a corner or a notch.
pub fn apart(contour: &Contour, a: (f64, f64), b: (f64, f64), kerf: f64) -> bool {
    let widths = a.1 + b.1;
    if contour.apart(a.0, b.0) < widths / 2.0 + 2.0 * kerf {
        return false;
    }
    let (p, q) = (contour.point(a.0), contour.point(b.0));
    // Neither bridge reaches farther from its root than its half width and the kerf.
    if p.distance(q) >= widths / 2.0 + 3.0 * kerf {
        return true;
    }
    let tab = |(s, width): (f64, f64), at: Point| {
        let out = contour.out(s, width / 2.0);
        Tab { at, out, width, height: 0.0, ring: 0, waste: false }
    };
    tab(a, p).leaves_room(&tab(b, q), kerf)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    /// By hand: a bit of 3 mm on both sides of a tab of 4 mm takes 10 mm of a notch's floor.
    #[test]
    fn a_tab_in_a_notch_leaves_the_bit_room_on_both_sides() {
        let offered = |wide: f64| {
            let (a, b) = (30.0 - wide / 2.0, 30.0 + wide / 2.0);
            let corners = [
                (0.0, 0.0),
                (a, 0.0),
                (a, 12.0),
                (b, 12.0),
                (b, 0.0),
                (60.0, 0.0),
                (60.0, 40.0),
                (0.0, 40.0),
            ];
            let ring = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect()).positive();
            let contour = Contour::new(&ring).expect("a ring with area");
            let shape = Shape::new(ring, vec![]);
            let rules = SiteRules {
                shape: &shape,
                kerf: 3.0,
                tab_free: &[],
                landing_ok: None,
                widths: &[4.0],
                outer: false,
            };
            let floor = |s: &Site| (s.at.y - 12.0).abs() < 1e-9;
            rules.sites(&contour, 0, 2.0, 400, 0.0).iter().any(floor)
        };
        assert!(offered(10.1));
        assert!(!offered(9.9), "its landing fits from 9.4 mm on");
    }

    /// On a disc a tab's straight root lies outside the chord between its ends, by w^2/(8 r): 0.04 mm of 1.5 mm on a radius of
    /// 6.5 mm. It too keeps off a line under the disc.
    #[test]
    fn a_tab_on_a_bend_keeps_off_a_line_by_its_straight_root() {
        let (radius, kerf) = (6.5, 2.0);
        let ring = Ring::circle_around(point(0.0, 0.0), radius, 0.01).positive();
        let contour = Contour::new(&ring).expect("a disc");
        let shape = Shape::new(ring, vec![]);
        let line = Ring(vec![point(-10.0, radius), point(10.0, radius)]);
        let tab_free = std::slice::from_ref(&line);
        let widths = &[1.0, 1.5, 3.0];
        let rules =
            SiteRules { shape: &shape, kerf, tab_free, landing_ok: None, widths, outer: false };
        let nearest = |s: &Site| {
            let tab = rules.tab(&contour, 0, s.s, s.width, 1.0);
            let along = tab.out.perp() * (tab.width / 2.0);
            radius - (tab.at + along).y.max((tab.at - along).y)
        };
        let sites = rules.sites(&contour, 0, 0.05, 4000, 0.0);
        let least = sites.iter().map(nearest).fold(f64::INFINITY, f64::min);
        assert!(least > CLEAR && least < CLEAR + 0.1, "{least}");
    }

    /// A tab of a width that is offered may be made narrower: where the edge bends that one points another way, and must land too.
    /// Here narrower ones land only where they point straight down or up, which on an octagon's bends they do not.
    #[test]
    fn narrower_tabs_of_a_site_land_too() {
        let corner =
            |k: usize| point(20.0, 0.0).turned((k as f64 + 0.5) * std::f64::consts::FRAC_PI_4);
        let ring = Ring((0..8).map(corner).collect()).positive();
        let contour = Contour::new(&ring).expect("a ring with area");
        let shape = Shape::new(ring, vec![]);
        let lands = |t: &Tab| t.width >= 3.0 || t.out.x.abs() < 1e-9;
        let widths = &[2.0, 4.0];
        let rules = SiteRules {
            shape: &shape,
            kerf: 2.0,
            tab_free: &[],
            landing_ok: Some(&lands),
            widths,
            outer: false,
        };
        let sites = rules.sites(&contour, 0, 0.7, 4000, 0.0);
        let turns = |s: &&Site| {
            let out = |w: f64| rules.tab(&contour, 0, s.s, w, 1.0).out;
            (out(4.0) - out(2.0)).norm() > 1e-3
        };
        assert!(sites.iter().all(|s| !turns(&s) || lands(&rules.tab(&contour, 0, s.s, 2.0, 1.0))));
        // On a straight side a narrower tab lands on part of what the wider one lands on: nothing more is asked there.
        assert!(sites.iter().any(|s| s.width == 4.0 && !turns(&s)));
        // The bends are tried: without the rule for landings they are offered.
        let free = SiteRules { landing_ok: None, ..rules };
        assert!(free.sites(&contour, 0, 0.7, 4000, 0.0).iter().any(|s| {
            let out = |w: f64| free.tab(&contour, 0, s.s, w, 1.0).out;
            (out(4.0) - out(2.0)).norm() > 1e-3
        }));
    }

    /// A letter L of the sample once got two tabs whose bridges met across its inside corner.
    #[test]
    fn tabs_across_an_inside_corner_are_not_apart_though_the_edge_between_is_long() {
        let corners = [(0., 0.), (4., 0.), (4., 12.), (14., 12.), (14., 16.), (0., 16.)];
        let ring = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect());
        let contour = Contour::new(&ring).expect("a ring with area");
        let kerf = 1.5875;
        let place = |p: Point| {
            let steps = (contour.length() / 0.01) as usize;
            let away = |s: f64| contour.point(s).distance(p);
            let all = (0..steps).map(|i| i as f64 * 0.01);
            all.min_by(|a, b| away(*a).total_cmp(&away(*b))).unwrap_or(0.0)
        };
        let (a, b) = (place(point(4.0, 9.0)), place(point(7.0, 12.0)));
        assert!(contour.apart(a, b) > 5.9, "6 mm of edge between them");
        assert!(!apart(&contour, (a, 2.0), (b, 2.0), kerf));
        assert!(apart(&contour, (a, 2.0), (place(point(4.0, 2.0)), 2.0), kerf));
    }
}
