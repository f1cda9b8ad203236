//! The rigid part on its tabs, written from the recipe in the docs of `src/hold` and on nothing but `serde_json`.

mod chain;
mod section;
mod springs;

pub use chain::chain;
pub use section::freeing;
use section::{Section, sections};
use serde_json::Value;
use springs::{floor, springs_with_dent, tab_springs};
use std::f64::consts::PI;

type P = [f64; 2];

fn add(a: P, b: P, k: f64) -> P {
    [a[0] + k * b[0], a[1] + k * b[1]]
}
fn dot(a: P, b: P) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}
fn cross(a: P, b: P) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}
/// A quarter turn from +x towards +y.
fn quarter(a: P) -> P {
    [-a[1], a[0]]
}
fn norm(a: P) -> f64 {
    a[0].hypot(a[1])
}

/// What a sheet of the file says of material, bit and cut.
#[derive(Clone)]
pub struct Sheet {
    pub thickness: f64,
    pub grain: Option<f64>,
    pub diameter: f64,
    pub feed_per_tooth: f64,
    pub kc: f64,
    pub ke: f64,
    pub factor: f64,
    /// Lift over in-plane force.
    pub lift: f64,
    pub constants: Value,
    pub holding: Value,
}

impl Sheet {
    pub fn read(v: &Value) -> Sheet {
        let f = |v: &Value| v.as_f64().expect("a number");
        let cut = &v["cut"];
        let constants = v["material_constants"].clone();
        let grained = constants["has_grain"].as_bool().expect("a yes or no");
        Sheet {
            thickness: f(&v["thickness"]),
            grain: grained.then(|| f(&v["grain_deg"]).to_radians()),
            diameter: f(&v["bit"]["diameter"]),
            feed_per_tooth: f(&cut["feed_per_tooth"]),
            kc: f(&cut["kc"]),
            ke: f(&cut["ke"]),
            factor: f(&cut["factor"]),
            lift: f(&cut["helix_deg"]).max(0.0).to_radians().tan(),
            constants,
            holding: v["holding"].clone(),
        }
    }

    pub fn constant(&self, key: &str) -> f64 {
        self.constants[key].as_f64().unwrap_or_else(|| panic!("material_constants.{key}"))
    }

    pub fn rule(&self, key: &str) -> f64 {
        self.holding[key].as_f64().unwrap_or_else(|| panic!("holding.{key}"))
    }

    /// A factor of the roots' give.
    fn root(&self, key: &str) -> f64 {
        self.holding["roots"][key].as_f64().unwrap_or_else(|| panic!("holding.roots.{key}"))
    }

    /// Angle of a direction to the grain, as lines.
    fn to_grain(&self, d: P) -> f64 {
        let Some(grain) = self.grain else { return 0.0 };
        let a = (d[1].atan2(d[0]) - grain).rem_euclid(PI);
        a.min(PI - a)
    }

    /// Off-axis modulus (Jones, Mechanics of Composite Materials, ch. 2).
    fn modulus(&self, theta: f64) -> f64 {
        let (s, c) = (theta.sin().powi(2), theta.cos().powi(2));
        let (el, et) = (self.constant("e_along_mpa"), self.constant("e_across_mpa"));
        let mixed =
            1.0 / self.constant("shear_modulus_mpa") - 2.0 * self.constant("poisson_lt") / el;
        1.0 / (c * c / el + s * s / et + mixed * s * c)
    }

    /// Hankinson's formula between two constants.
    fn hankinson(&self, along: &str, across: &str, exponent: &str, theta: f64) -> f64 {
        let (p, q, n) = (self.constant(along), self.constant(across), self.constant(exponent));
        p * q / (p * theta.sin().abs().powf(n) + q * theta.cos().abs().powf(n))
    }
}

pub struct Tab {
    pub at: P,
    pub out: P,
    pub width: f64,
    pub height: f64,
}

/// A placed part's outline with its tabs, in the order of the last pass.
pub struct Tabs {
    pub outline: Vec<P>,
    pub openings: Vec<Vec<P>>,
    pub tabs: Vec<Tab>,
    pub depth: f64,
}

impl Tabs {
    pub fn read(part: &Value) -> Tabs {
        let f = |v: &Value| v.as_f64().expect("a number");
        let p = |v: &Value| [f(&v[0]), f(&v[1])];
        let tab = |t: &Value| Tab {
            at: p(&t["at"]),
            out: p(&t["out"]),
            width: f(&t["width"]),
            height: f(&t["height"]),
        };
        let list = part["hold"]["tabs"].as_array().expect("tabs");
        let ring = |v: &Value| -> Vec<P> { v.as_array().expect("a ring").iter().map(p).collect() };
        Tabs {
            outline: ring(&part["outline"]),
            openings: part["openings"].as_array().expect("openings").iter().map(ring).collect(),
            tabs: list.iter().filter(|t| t["ring"].as_u64() == Some(0)).map(tab).collect(),
            depth: f(&part["hold"]["last_pass"]),
        }
    }
}

/// The outline by arc length.
struct Edge<'a> {
    points: &'a [P],
    marks: Vec<f64>,
}

impl Edge<'_> {
    fn new(points: &[P]) -> Edge<'_> {
        let n = points.len();
        let mut marks = vec![0.0];
        for i in 0..n {
            marks.push(marks[i] + norm(add(points[(i + 1) % n], points[i], -1.0)));
        }
        Edge { points, marks }
    }
    fn length(&self) -> f64 {
        self.marks[self.points.len()]
    }
    fn place(&self, s: f64) -> P {
        let s = s.rem_euclid(self.length());
        let i = (0..self.points.len()).rev().find(|&i| self.marks[i] <= s).unwrap_or(0);
        let (a, b) = (self.points[i], self.points[(i + 1) % self.points.len()]);
        let l = self.marks[i + 1] - self.marks[i];
        add(a, add(b, a, -1.0), if l > 0.0 { (s - self.marks[i]) / l } else { 0.0 })
    }
    fn nearest(&self, p: P) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for i in 0..self.points.len() {
            let (a, b) = (self.points[i], self.points[(i + 1) % self.points.len()]);
            let d = add(b, a, -1.0);
            let l = norm(d);
            if l == 0.0 {
                continue;
            }
            let t = (dot(add(p, a, -1.0), d) / (l * l)).clamp(0.0, 1.0);
            let distance = norm(add(p, add(a, d, t), -1.0));
            if distance < best.0 {
                best = (distance, self.marks[i] + t * l);
            }
        }
        best.1
    }
    fn ahead(&self, a: f64, b: f64) -> f64 {
        (b - a).rem_euclid(self.length())
    }
    /// Distance of the edge's farthest point from its nearest tab; to half a millimetre.
    fn overhang(&self, tabs: &[Tab]) -> f64 {
        let n = self.length().ceil() as usize;
        let near = |i: usize| {
            let p = self.place(i as f64 * self.length() / n as f64);
            tabs.iter().map(|t| norm(add(p, t.at, -1.0))).fold(f64::INFINITY, f64::min)
        };
        (0..n).map(near).fold(0.0, f64::max)
    }
    /// Unit normal away from the part; the outline runs clockwise on screen (y down, positive area).
    fn out(&self, s: f64, half: f64) -> P {
        let d = add(self.place(s + half), self.place(s - half), -1.0);
        let l = norm(d);
        [d[1] / l, -d[0] / l]
    }
    /// Mean place of a stretch about `s`.
    fn mean(&self, s: f64, length: f64) -> P {
        const N: usize = 64;
        (0..N).fold([0.0, 0.0], |m, i| {
            add(m, self.place(s + length * ((i as f64 + 0.5) / N as f64 - 0.5)), 1.0 / N as f64)
        })
    }
}

/// A spring: stiffness, and the row that takes the part's motion (two shifts and a turn, or rise and two tilts) to its stretch.
type Spring = (f64, [f64; 3]);

/// Displacement along `d` at `q` of a motion (x, y, turn) about the origin.
fn shift(q: P, d: P) -> [f64; 3] {
    [d[0], d[1], cross(q, d)]
}

/// Rise at `q` of a motion (up, tilt about x, tilt about y).
fn rise(q: P) -> [f64; 3] {
    [1.0, q[1], -q[0]]
}

#[derive(Clone, Copy, Default)]
struct Sum([[f64; 3]; 3]);

impl Sum {
    fn join(&mut self, springs: &[Spring]) {
        for (k, r) in springs {
            for i in 0..3 {
                for j in 0..3 {
                    self.0[i][j] += k * r[i] * r[j];
                }
            }
        }
    }
    /// The load that a motion takes.
    fn times(&self, u: &[f64; 3]) -> [f64; 3] {
        self.0.map(|row| read(&row, u))
    }
    /// The motion under a load, by Cramer's rule.
    fn under(&self, load: [f64; 3]) -> [f64; 3] {
        let det = |m: &[[f64; 3]; 3]| {
            m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
                - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
                + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
        };
        let whole = det(&self.0);
        [0, 1, 2].map(|c| {
            let mut m = self.0;
            for (row, v) in m.iter_mut().zip(load) {
                row[c] = v;
            }
            det(&m) / whole
        })
    }
}

fn read(r: &[f64; 3], u: &[f64; 3]) -> f64 {
    r[0] * u[0] + r[1] * u[1] + r[2] * u[2]
}

/// Worst over the places of the bit.
#[derive(Clone, Copy)]
pub struct Worst {
    pub movement: f64,
    pub tab_safety: f64,
    /// Of the sections that split the part; with everything severed, of those that have no tab on one side: statics.
    pub part_safety: f64,
}

impl Worst {
    const NONE: Worst =
        Worst { movement: 0.0, tab_safety: f64::INFINITY, part_safety: f64::INFINITY };

    fn join(self, o: Worst) -> Worst {
        Worst {
            movement: self.movement.max(o.movement),
            tab_safety: self.tab_safety.min(o.tab_safety),
            part_safety: self.part_safety.min(o.part_safety),
        }
    }
}

pub struct Rigid {
    pub staged: Worst,
    pub free: Worst,
}

impl Tabs {
    /// Length of all edges, mm.
    pub fn edges(&self) -> f64 {
        std::iter::once(&self.outline).chain(&self.openings).map(|r| Edge::new(r).length()).sum()
    }

    /// How far the outline's farthest point stands from its nearest tab, and the outline's length, mm.
    pub fn overhang(&self) -> (f64, f64) {
        let edge = Edge::new(&self.outline);
        (edge.overhang(&self.tabs), edge.length())
    }
}

/// Where the bit is judged: places by arc length in the order of the last pass, and the edge each stands for.
struct Places {
    places: Vec<f64>,
    share: f64,
}

impl Places {
    fn new(sheet: &Sheet, edge: &Edge, set: &Tabs) -> Places {
        let n = (edge.length() / sheet.diameter.max(0.5)).ceil().clamp(12.0, 72.0) as usize;
        let share = edge.length() / n as f64;
        let at: Vec<f64> = set.tabs.iter().map(|t| edge.nearest(t.at)).collect();
        let mut places: Vec<f64> = (0..n).map(|i| (i as f64 + 0.5) * share).collect();
        places.retain(|&s| {
            set.tabs.iter().zip(&at).all(|(t, &a)| {
                let apart = edge.ahead(a, s).min(edge.ahead(s, a));
                apart >= t.width / 2.0
            })
        });
        places.sort_by(|a, b| edge.ahead(at[0], *a).total_cmp(&edge.ahead(at[0], *b)));
        Places { places, share }
    }
}

/// What a rigid part stands on.
#[derive(Clone, Copy, PartialEq)]
pub enum Edges {
    /// The file's springs as they are: the part moves less than any elastic one.
    Hard,
    /// The part dents at its tabs' roots, as an elastic one does.
    Dented,
}

/// The rigid part under `load` N: the last pass staged, the worse of both ways round, and everything severed.
/// Sections are watched where what they cut off reaches `arm` mm.
pub fn rigid(sheet: &Sheet, set: &Tabs, load: f64, edges: Edges, arm: f64) -> Rigid {
    let edge = Edge::new(&set.outline);
    let about =
        set.outline.iter().fold([0.0, 0.0], |m, p| add(m, *p, 1.0 / set.outline.len() as f64));
    let Places { places, share } = Places::new(sheet, &edge, set);
    let springs_of = if edges == Edges::Hard { tab_springs } else { springs_with_dent };
    let springs: Vec<[[Spring; 3]; 2]> =
        set.tabs.iter().map(|t| springs_of(sheet, t, about)).collect();
    let watched = arm.is_finite();
    let mut cuts: Vec<Section> = if watched { sections(&edge, &set.openings, arm) } else { vec![] };
    // A cut that ends under a bridge of the sheet's full thickness goes through the bridge too: it is no section of the part.
    let feet: Vec<(f64, f64)> = set
        .tabs
        .iter()
        .filter(|t| t.height >= sheet.thickness)
        .map(|t| (edge.nearest(t.at), t.width / 2.0))
        .collect();
    let apart = |a: f64, b: f64| edge.ahead(a, b).min(edge.ahead(b, a));
    cuts.retain(|c| feet.iter().all(|(s, half)| c.ends().iter().all(|e| apart(*e, *s) >= *half)));
    let mut tabs = [Sum::default(); 2];
    for s in &springs {
        tabs[0].join(&s[0]);
        tabs[1].join(&s[1]);
    }
    let judge = |order: &[f64], staged: bool| {
        let mut held = tabs;
        let mut worst = Worst::NONE;
        // What holds the side that each section cuts off.
        let mut sides = vec![Sum::default(); cuts.len()];
        let mut between_tabs = vec![false; cuts.len()];
        for ((side, between), cut) in sides.iter_mut().zip(&mut between_tabs).zip(&cuts) {
            let there = |tab: &Tab| cut.cuts_off(&edge, edge.nearest(tab.at));
            let on_side = set.tabs.iter().zip(&springs).filter(|(tab, _)| there(tab));
            on_side.clone().for_each(|(_, springs)| side.join(&springs[0]));
            *between = !matches!(on_side.count(), n if n == 0 || n == set.tabs.len());
        }
        // From the end of the pass backwards: what lies ahead of the bit holds.
        for &s in order.iter().rev() {
            let q = add(edge.mean(s, sheet.rule("load_patch_mm")), about, -1.0);
            let (rx, ry, rz) = (shift(q, [1.0, 0.0]), shift(q, [0.0, 1.0]), rise(q));
            let (ux, uy) = (held[0].under(rx), held[0].under(ry));
            let uz = held[1].under(rz).map(|v| v * sheet.lift);
            let (a, b) = ([read(&rx, &ux), read(&ry, &ux)], [read(&rx, &uy), read(&ry, &uy)]);
            let moved = greatest(a, b).hypot(read(&rz, &uz)) * load;
            worst.movement = worst.movement.max(moved);
            for (tab, springs) in set.tabs.iter().zip(&springs) {
                let in_plane = springs[0].map(|(k, r)| [k * read(&r, &ux), k * read(&r, &uy)]);
                let out = springs[1].map(|(k, r)| k * read(&r, &uz));
                worst.tab_safety = worst.tab_safety.min(ratio(sheet, tab, in_plane, out, load));
            }
            for ((side, cut), between) in sides.iter().zip(&cuts).zip(&between_tabs) {
                if *between && !staged {
                    continue;
                }
                let share = cut.share(&edge, s, sheet.rule("load_patch_mm"));
                let acts = |r: &[f64; 3], u: &[f64; 3]| {
                    let back = side.times(u);
                    std::array::from_fn(|i| share * r[i] - back[i])
                };
                let [fx, fy] = [acts(&rx, &ux), acts(&ry, &uy)].map(|f| cut.forces(f, about));
                let ratio = cut.safety(sheet, fx, fy) / load;
                worst.part_safety = worst.part_safety.min(ratio);
            }
            if staged {
                let [plane, up] = floor(sheet, &edge, s, share, set.depth, about);
                held[0].join(&plane);
                held[1].join(&up);
                for (side, cut) in sides.iter_mut().zip(&cuts) {
                    if cut.cuts_off(&edge, s) {
                        side.join(&plane);
                    }
                }
            }
        }
        worst
    };
    let back: Vec<f64> = places.iter().rev().copied().collect();
    Rigid { staged: judge(&places, true).join(judge(&back, true)), free: judge(&places, false) }
}

/// The greatest stretch of the unit circle under the matrix with columns `a` and `b`.
fn greatest(a: P, b: P) -> f64 {
    let (p, q, r) = (dot(a, a), dot(a, b), dot(b, b));
    ((p + r) / 2.0 + (((p - r) / 2.0).powi(2) + q * q).sqrt()).sqrt()
}

/// Least ratio of a tab's strengths to its stresses under the worst direction of the load.
fn ratio(sheet: &Sheet, tab: &Tab, in_plane: [P; 3], out: [f64; 3], load: f64) -> f64 {
    let [axial, shear, bend] = in_plane;
    let [lift, bend_out, twist] = out;
    let (w, h, l) = (tab.width, tab.height, sheet.diameter);
    let theta = sheet.to_grain(tab.out);
    let mut normal = 0.0f64;
    for side in [-0.5, 0.5] {
        for sign in [-1.0, 1.0] {
            let moment = add(bend, shear, side * l);
            let stress =
                add([axial[0] / (w * h), axial[1] / (w * h)], moment, sign * 6.0 / (h * w * w));
            normal = normal.max(norm(stress));
        }
    }
    let moment_out = bend_out.abs() + (lift * l / 2.0).abs();
    let sigma = load * (normal + 6.0 * moment_out / (w * h * h));
    let (long, short) = (w.max(h), w.min(h));
    let in_shear = load * 1.5 * norm(shear) / (w * h) / sheet.constant("tab_shear_mpa");
    let twisted = twist.abs() * (3.0 + 1.8 * short / long) / (long * short * short);
    let rolling = sheet.hankinson(
        "tab_shear_out_along_mpa",
        "tab_shear_out_across_mpa",
        "hankinson_exponent_shear_out",
        theta,
    );
    let out_shear = load * (1.5 * lift.abs() / (w * h) + twisted) / rolling;
    let strength = sheet.hankinson("tab_along_mpa", "tab_across_mpa", "hankinson_exponent", theta);
    (strength / sigma).min(1.0 / in_shear.hypot(out_shear))
}
