//! Sections that split the part in two, found by trying the edge's places in pairs, and what they bear (recipe, steps 7 and 8).

use super::*;

/// Places of the edge between which sections are looked for.
const PLACES: usize = 240;
/// The edge between a section's ends is at least so many times as long as it: a shorter arc is a bump, not a neck.
const ARC: f64 = 2.0;

/// A straight cut from edge to edge; it cuts off the side from `from` forward to `to`.
pub struct Section {
    from: f64,
    to: f64,
    middle: P,
    width: f64,
    /// Unit vectors along the neck, and along the cut.
    along: P,
    across: P,
}

/// From each place of the edge the nearest place across the material, where what it cuts off reaches `least` mm from it.
pub fn sections(edge: &Edge, openings: &[Vec<P>], least: f64) -> Vec<Section> {
    let step = edge.length() / PLACES as f64;
    let places: Vec<P> = (0..PLACES).map(|i| edge.place(i as f64 * step)).collect();
    let across = |&(i, j): &(usize, usize)| norm(add(places[j], places[i], -1.0));
    let neck = |&(i, j): &(usize, usize)| {
        let arc = i.abs_diff(j).min(PLACES - i.abs_diff(j)) as f64 * step;
        i != j && arc >= ARC * across(&(i, j))
    };
    let nearest = |i: usize| {
        let mut pairs: Vec<_> = (0..PLACES).map(|j| (i, j)).filter(neck).collect();
        pairs.sort_by(|a, b| across(a).total_cmp(&across(b)));
        pairs.into_iter().find(|&(i, j)| within(edge.points, openings, places[i], places[j]))
    };
    let section = |(i, j): (usize, usize)| {
        let (a, width) = (places[i], across(&(i, j)));
        let cut = add(places[j], a, -1.0).map(|v| v / width);
        Section {
            from: i as f64 * step,
            to: j as f64 * step,
            middle: add(a, cut, width / 2.0),
            width,
            along: quarter(cut),
            across: cut,
        }
    };
    let arm = |c: &Section| {
        let side = edge.ahead(c.from, c.to) <= edge.length() / 2.0;
        let far = places.iter().enumerate();
        let far = far.filter(|(i, _)| c.cuts_off(edge, *i as f64 * step) == side);
        far.map(|(_, p)| norm(add(*p, c.middle, -1.0))).fold(0.0, f64::max)
    };
    let all = (0..PLACES).filter_map(nearest).map(section);
    all.filter(|c| arm(c) >= least).collect()
}

/// Whether the straight line from `a` to `b` runs in the material: by even and odd crossings of all rings at points of it.
fn within(outline: &[P], openings: &[Vec<P>], a: P, b: P) -> bool {
    (1..20).all(|k| {
        let p = add(a, add(b, a, -1.0), k as f64 / 20.0);
        let crossings = |ring: &[P]| {
            let n = ring.len();
            let crosses = |i: &usize| {
                let (u, v) = (ring[*i], ring[(*i + 1) % n]);
                (u[1] > p[1]) != (v[1] > p[1])
                    && p[0] < u[0] + (v[0] - u[0]) * (p[1] - u[1]) / (v[1] - u[1])
            };
            (0..n).filter(crosses).count()
        };
        let all: usize = openings.iter().map(|r| crossings(r)).sum();
        (all + crossings(outline)) % 2 == 1
    })
}

impl Section {
    /// Where on the edge it begins and ends.
    pub fn ends(&self) -> [f64; 2] {
        [self.from, self.to]
    }

    /// Whether a place of the edge lies on the side that is cut off.
    pub fn cuts_off(&self, edge: &Edge, s: f64) -> bool {
        edge.ahead(self.from, s) < edge.ahead(self.from, self.to)
    }

    /// Share of a load spread over `patch` mm of edge that acts there.
    pub fn share(&self, edge: &Edge, s: f64, patch: f64) -> f64 {
        const N: usize = 16;
        let at = |i: usize| s + patch * ((i as f64 + 0.5) / N as f64 - 0.5);
        (0..N).filter(|&i| self.cuts_off(edge, at(i))).count() as f64 / N as f64
    }

    /// Force along the neck, across it, and moment, of a load (two forces, and the moment about `about`) on the side.
    pub fn forces(&self, load: [f64; 3], about: P) -> [f64; 3] {
        let force = [load[0], load[1]];
        let moment = load[2] - cross(add(self.middle, about, -1.0), force);
        [dot(force, self.along), dot(force, self.across), moment]
    }

    /// Strength over stress in the worst direction of a unit load, whose forces along x and along y are given.
    pub fn safety(&self, sheet: &Sheet, x: [f64; 3], y: [f64; 3]) -> f64 {
        section_safety(sheet, self.width, self.along, std::array::from_fn(|i| [x[i], y[i]]))
    }
}

/// N/(b t) + 6 M/(t b^2) against bending strength at the neck's angle, 1.5 V/(b t) against shear; per newton.
pub fn section_safety(sheet: &Sheet, width: f64, along: P, [normal, shear, bend]: [P; 3]) -> f64 {
    let (area, modulus) = (width * sheet.thickness, sheet.thickness * width * width / 6.0);
    let stress = |sign: f64| norm(add(normal.map(|v| v / area), bend, sign / modulus));
    let sigma = stress(1.0).max(stress(-1.0));
    let strength = sheet.hankinson(
        "section_along_mpa",
        "section_across_mpa",
        "hankinson_exponent",
        sheet.to_grain(along),
    );
    (strength / sigma).min(sheet.constant("shear_mpa") / (1.5 * norm(shear) / area))
}

/// Least strength over moment of the sections that part a bridge from the rest of a convex outline, when it is sawn off:
/// from each place of the edge to the nearest place across, the edge between them at least twice as long as the cut.
pub fn freeing(sheet: &Sheet, set: &Tabs, thickness: f64) -> f64 {
    const N: usize = 400;
    let edge = Edge::new(&set.outline);
    let step = edge.length() / N as f64;
    let mut least = f64::INFINITY;
    for i in 0..N {
        let from = i as f64 * step;
        let a = edge.place(from);
        let across = |j: usize| add(edge.place(from + j as f64 * step), a, -1.0);
        let neck = |j: &usize| (*j).min(N - *j) as f64 * step >= 2.0 * norm(across(*j));
        let nearest = |x: &usize, y: &usize| norm(across(*x)).total_cmp(&norm(across(*y)));
        let Some(j) = (1..N).filter(neck).min_by(nearest) else { continue };
        let (chord, arc) = (across(j), j as f64 * step);
        let (width, middle) = (norm(chord), add(a, chord, 0.5));
        let modulus = (thickness * width * width).min(width * thickness * thickness) / 6.0;
        let theta = sheet.to_grain(quarter(chord));
        let (along, across) = ("section_along_mpa", "section_across_mpa");
        let strength = sheet.hankinson(along, across, "hankinson_exponent", theta);
        for tab in &set.tabs {
            // The hand holds the larger side.
            let ahead = edge.ahead(from, edge.nearest(tab.at)) < arc;
            if ahead == (2 * j <= N) {
                let lever = norm(add(middle, tab.at, -1.0)).clamp(1.0, 10.0);
                least = least.min(modulus * strength / (2.0 * 5.0 * lever));
            }
        }
    }
    least
}
