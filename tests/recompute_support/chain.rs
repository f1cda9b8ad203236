//! A slender part on its tabs as a chain of Timoshenko beams along its long axis, in the plane; from the layout file alone.
//!
//! The part is cut across its axis into slices; each has the net area and second moment of what the outline and the
//! openings leave of it. A place of the edge moves with the middle of its slice, as a plane section does (Timoshenko,
//! *Strength of Materials* I; stiffness of the element with shear: Przemieniecki, *Theory of Matrix Structural
//! Analysis*, ch. 5). No finite elements of the plane and no compliance matrix: each place of the bit is solved anew.

use super::section::section_safety;
use super::*;

/// Slices along the part.
const SLICES: usize = 80;
/// Half the band of the chain's stiffness: a node couples with the next.
const BAND: usize = 6;

/// Nodes in the middles of the slices with the chain's stiffness, three freedoms a node: shifts and turn.
#[derive(Clone)]
struct Chain {
    axis: P,
    from: f64,
    step: f64,
    nodes: Vec<P>,
    /// The upper band, a row a freedom.
    band: Vec<[f64; BAND]>,
    /// The beams whose section is one piece.
    links: Vec<Link>,
}

/// What a beam between two nodes carries: each force is a stiffness times a row of the six motions of its ends.
#[derive(Clone)]
struct Link {
    first: usize,
    width: f64,
    along: P,
    rows: [Spring6; 3],
}

/// A stiffness, and the row of six motions.
type Spring6 = (f64, [f64; 6]);

impl Link {
    /// Force along the beam, across it, and the moment in its middle.
    fn forces(&self, u: &[[f64; 3]]) -> [f64; 3] {
        let ends = [u[self.first], u[self.first + 1]];
        let ends = ends.as_flattened();
        self.rows.map(|(k, row)| k * row.iter().zip(ends).map(|(r, u)| r * u).sum::<f64>())
    }
}

/// Net area, second moment about its middle, and the middle, of a slice.
struct Slice {
    area: f64,
    inertia: f64,
    middle: P,
    /// Its width where no opening splits it.
    whole: Option<f64>,
}

impl Chain {
    fn new(sheet: &Sheet, set: &Tabs, thickness: f64) -> Chain {
        let axis = long_axis(&set.outline);
        let along = || set.outline.iter().map(|p| dot(*p, axis));
        let (from, to) =
            (along().fold(f64::INFINITY, f64::min), along().fold(f64::NEG_INFINITY, f64::max));
        let step = (to - from) / SLICES as f64;
        let at = |i: f64| slice(set, axis, from + i * step, thickness);
        let nodes: Vec<P> = (0..SLICES).map(|i| at(i as f64 + 0.5).middle).collect();
        let band = vec![[0.0; BAND]; 3 * SLICES];
        let mut chain = Chain { axis, from, step, nodes, band, links: vec![] };
        let (e, g) = (sheet.modulus(sheet.to_grain(axis)), sheet.constant("shear_modulus_mpa"));
        for i in 1..SLICES {
            chain.beam(i - 1, &at(i as f64), e, g);
        }
        chain
    }

    /// The beam from node `i` to the next.
    fn beam(&mut self, i: usize, section: &Slice, e: f64, g: f64) {
        let d = add(self.nodes[i + 1], self.nodes[i], -1.0);
        let l = norm(d);
        let (c, s) = (d[0] / l, d[1] / l);
        let phi = 12.0 * e * section.inertia / (5.0 / 6.0 * g * section.area * l * l);
        let k = e * section.inertia / (l.powi(3) * (1.0 + phi));
        // Sums of springs: stretch, and two modes of bending (turns against each other, and both against the chord).
        let stretch = [-c, -s, 0.0, c, s, 0.0];
        let bow = [0.0, 0.0, -1.0, 0.0, 0.0, 1.0];
        let lean = [-2.0 * s / l, 2.0 * c / l, 1.0, 2.0 * s / l, -2.0 * c / l, 1.0];
        self.join(3 * i, e * section.area / l, &stretch);
        self.join(3 * i, e * section.inertia / l, &bow);
        self.join(3 * i, 3.0 * k * l * l, &lean);
        if let Some(width) = section.whole {
            // Shear is both end moments over the length: 2 * 3 k l^2 / l.
            let rows = [
                (e * section.area / l, stretch),
                (6.0 * k * l, lean),
                (e * section.inertia / l, bow),
            ];
            self.links.push(Link { first: i, width, along: [c, s], rows });
        }
    }

    fn join(&mut self, first: usize, k: f64, row: &[f64]) {
        for (i, a) in row.iter().enumerate() {
            for (j, b) in row.iter().enumerate().skip(i) {
                self.band[first + i][j - i] += k * a * b;
            }
        }
    }

    /// The node whose slice the place lies in.
    fn node(&self, q: P) -> usize {
        (((dot(q, self.axis) - self.from) / self.step).max(0.0) as usize).min(SLICES - 1)
    }

    fn springs(&mut self, node: usize, springs: &[Spring]) {
        for (k, row) in springs {
            self.join(3 * node, *k, row);
        }
    }

    /// Motions of all nodes under a load on one, by elimination in the band.
    fn under(&self, node: usize, load: [f64; 3]) -> Vec<[f64; 3]> {
        let n = self.band.len();
        let (mut a, mut f) = (self.band.clone(), vec![0.0; n]);
        f[3 * node..3 * node + 3].copy_from_slice(&load);
        for i in 0..n {
            for j in 1..BAND.min(n - i) {
                let times = a[i][j] / a[i][0];
                for k in j..BAND {
                    a[i + j][k - j] -= times * a[i][k];
                }
                f[i + j] -= times * f[i];
            }
        }
        for i in (0..n).rev() {
            let known: f64 = (1..BAND.min(n - i)).map(|j| a[i][j] * f[i + j]).sum();
            f[i] = (f[i] - known) / a[i][0];
        }
        f.chunks(3).map(|c| [c[0], c[1], c[2]]).collect()
    }
}

/// Direction of the two outline points farthest apart.
fn long_axis(outline: &[P]) -> P {
    let mut best = (0.0, [1.0, 0.0]);
    for (i, a) in outline.iter().enumerate() {
        for b in &outline[i + 1..] {
            let d = add(*b, *a, -1.0);
            if norm(d) > best.0 {
                best = (norm(d), [d[0] / norm(d), d[1] / norm(d)]);
            }
        }
    }
    best.1
}

/// What the outline and the openings leave at `x` along the axis.
fn slice(set: &Tabs, axis: P, x: f64, thickness: f64) -> Slice {
    let side = quarter(axis);
    let mut cuts: Vec<f64> = vec![];
    for ring in std::iter::once(&set.outline).chain(&set.openings) {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            let (u, v) = (dot(*a, axis) - x, dot(b, axis) - x);
            if (u > 0.0) != (v > 0.0) {
                cuts.push(dot(add(*a, add(b, *a, -1.0), u / (u - v)), side));
            }
        }
    }
    cuts.sort_by(f64::total_cmp);
    let webs: Vec<(f64, f64)> = cuts.chunks_exact(2).map(|c| (c[0], c[1])).collect();
    let width: f64 = webs.iter().map(|(a, b)| b - a).sum();
    let middle = webs.iter().map(|(a, b)| (b - a) * (a + b) / 2.0).sum::<f64>() / width;
    let of =
        |(a, b): &(f64, f64)| (b - a).powi(3) / 12.0 + (b - a) * ((a + b) / 2.0 - middle).powi(2);
    let inertia = thickness * webs.iter().map(of).sum::<f64>();
    let point = [axis[0] * x + side[0] * middle, axis[1] * x + side[1] * middle];
    let whole = (webs.len() == 1).then_some(width);
    Slice { area: thickness * width, inertia, middle: point, whole }
}

/// The chain under `load` N: the last pass staged, the worse of both ways round, and everything severed.
pub fn chain(sheet: &Sheet, set: &Tabs, thickness: f64, load: f64) -> Rigid {
    let edge = Edge::new(&set.outline);
    let bit = Places::new(sheet, &edge, set);
    let mut bare = Chain::new(sheet, set, thickness);
    let mut held_by = vec![];
    for tab in &set.tabs {
        let node = bare.node(tab.at);
        let [plane, _] = springs_with_dent(sheet, tab, bare.nodes[node]);
        bare.springs(node, &plane);
        held_by.push((node, plane));
    }
    let judge = |order: &[f64], staged: bool| {
        let mut held = bare.clone();
        let mut worst = Worst::NONE;
        for &s in order.iter().rev() {
            let at = edge.mean(s, sheet.rule("load_patch_mm"));
            let node = held.node(at);
            let q = add(at, held.nodes[node], -1.0);
            let (rx, ry) = (shift(q, [1.0, 0.0]), shift(q, [0.0, 1.0]));
            let (ux, uy) = (held.under(node, rx), held.under(node, ry));
            let moves = |u: &[[f64; 3]]| [read(&rx, &u[node]), read(&ry, &u[node])];
            worst.movement = worst.movement.max(load * greatest(moves(&ux), moves(&uy)));
            for (tab, (node, plane)) in set.tabs.iter().zip(&held_by) {
                let forces =
                    plane.map(|(k, r)| [k * read(&r, &ux[*node]), k * read(&r, &uy[*node])]);
                worst.tab_safety = worst.tab_safety.min(ratio(sheet, tab, forces, [0.0; 3], load));
            }
            for link in &bare.links {
                let [x, y] = [link.forces(&ux), link.forces(&uy)];
                let both = std::array::from_fn(|i| [x[i], y[i]]);
                let ratio = section_safety(sheet, link.width, link.along, both) / load;
                worst.part_safety = worst.part_safety.min(ratio);
            }
            if staged {
                let node = held.node(edge.place(s));
                let [plane, _] = floor(sheet, &edge, s, bit.share, set.depth, held.nodes[node]);
                held.springs(node, &plane);
            }
        }
        worst
    };
    let back: Vec<f64> = bit.places.iter().rev().copied().collect();
    let staged = judge(&bit.places, true).join(judge(&back, true));
    Rigid { staged, free: judge(&bit.places, false) }
}
