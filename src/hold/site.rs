//! Where a tab may sit: straight runs, off corners and tight hollows, with stock to land on.

use super::contour::Contour;
use crate::geometry::{EdgeIndex, Point, Ring, Segment, Shape};
use crate::layout::Tab;
use std::cmp::Ordering;

/// A tab's root stays where the outline turns by less than this, radians (25 degrees).
const TURN: f64 = 0.436;

/// How near a tab's root may come to a line that is to stay clear of tabs, mm (common practice, no source).
const CLEAR: f64 = 0.5;

/// A landing's corner may lose this share of the kerf to a curved edge of its own part.
const LANDING_SLACK: f64 = 0.1;

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

/// What sites must respect.
pub struct Rules<'a> {
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
}

impl Rules<'_> {
    /// The sites of ring number `ring`: even steps of at most `step` mm and the middles of straight runs, the
    /// widest and straightest first, not nearer each other than half a step; at most `most`, by arc length.
    ///
    /// The through pass is open a bit's diameter wider than the tab: `beside` is how much of that must lie on the
    /// run too, all of it for a clean gap, nothing for a tooth's tip.
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
                let run = contour.run(s, TURN, limit);
                let fits = |w: &&f64| {
                    **w + beside <= 2.0 * run
                        && self.fits(&self.tab(contour, ring, s, **w, 1.0), contour, s, &index)
                };
                let width = *self.widths.iter().rev().find(fits)?;
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

    /// Even steps, and the middle of each segment as long as a tab is wide: a short straight run would slip
    /// between the steps.
    fn places(&self, contour: &Contour, step: f64, most: usize) -> Vec<f64> {
        let mut places = contour.spaced(step / 2.0, 24, 2 * most);
        let n = contour.points().len();
        let least = self.widths.first().copied().unwrap_or(f64::INFINITY);
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
        Tab { at: contour.point(s), out: contour.out(s, width / 2.0), width, height, ring }
    }

    fn fits(&self, tab: &Tab, contour: &Contour, s: f64, index: &EdgeIndex) -> bool {
        let half = tab.width / 2.0;
        let root = Segment::new(contour.point(s - half), contour.point(s + half));
        let clear = self.tab_free.iter().all(|line| match line.0.as_slice() {
            [] => true,
            [p] => root.distance_to_point(*p) > CLEAR,
            points => points.windows(2).all(|w| root.distance(Segment::new(w[0], w[1])) > CLEAR),
        });
        if !clear || self.shape.contains(tab.at + tab.out * (self.kerf * 0.5)) {
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
        free && outside && self.landing_ok.is_none_or(|ok| ok(tab))
    }
}

/// Whether two tabs of these widths leave the bit room to come down between them.
pub fn apart(contour: &Contour, a: f64, b: f64, widths: f64, kerf: f64) -> bool {
    contour.apart(a, b) >= widths / 2.0 + 2.0 * kerf
}
