//! The case, 6 mm walnut: a box of 276 x 276 x 60 mm behind the dial ring, its corners finger-jointed.
//!
//! A round bit leaves a round inside corner, so every corner that a square tenon must fill is relieved
//! by a hole of the bit's own size: slots and notches seat without a chisel.

use super::movement::arbors;
use super::paper::Paper;
use super::path::{Loop, P, Step};
use std::f64::consts::{PI, SQRT_2, TAU};

/// Outer size of the square box, mm.
pub const BOX: f64 = 276.0;
/// Depth of the box, front to back, mm.
pub const DEPTH: f64 = 60.0;
/// Thickness of its boards, mm.
pub const BOARD: f64 = 6.0;
/// Width of a finger: five to the depth.
pub const FINGER: f64 = DEPTH / 5.0;
/// Play of a finger in its notch, mm.
pub const PLAY: f64 = 0.15;
/// Radius of corner reliefs, mm: a 1/8 in bit (1.588 mm) passes.
const RELIEF: f64 = 1.65;

/// Tenons of the back plate along each side: centre from the middle, mm.
const TENONS: [f64; 2] = [-70.0, 70.0];
const TENON: f64 = 24.0;

/// A polygon of right angles whose inside corners are relieved; `opening` when it is a hole.
fn relieved(points: &[P], opening: bool) -> Loop {
    let n = points.len();
    let area: f64 = (0..n).map(|i| cross(points[i], points[(i + 1) % n])).sum();
    let mut steps = vec![];
    for i in 0..n {
        let (a, p, b) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
        let bend = cross(p.minus(a), b.minus(p));
        if (bend * area > 0.0) != opening {
            steps.push(Step::Line(p));
            continue;
        }
        let towards = |q: P| p.plus(q.minus(p).times(RELIEF * SQRT_2 / q.minus(p).norm()));
        steps.push(Step::Line(towards(a)));
        steps.push(Step::Arc { radius: RELIEF, large: false, sweep: bend > 0.0, to: towards(b) });
    }
    Loop::from_steps(steps)
}

fn cross(a: P, b: P) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

/// A slot centred at `c` whose corners are relieved.
fn slot(c: P, w: f64, h: f64) -> Loop {
    let (w, h) = (w / 2.0, h / 2.0);
    relieved(&[P(-w, -h), P(w, -h), P(w, h), P(-w, h)].map(|p| p.plus(c)), true)
}

/// A board of the box: its ends have fingers at the odd fifths (`first`) or the even ones.
fn board(first: bool) -> Loop {
    let end = |i: usize| {
        // Both edges of finger i, seen from the top edge down; play is taken off the even boards.
        let play = if first { 0.0 } else { PLAY / 2.0 };
        let out = (i.is_multiple_of(2)) == first;
        let from = FINGER * i as f64
            + if i == 0 {
                0.0
            } else if out {
                play
            } else {
                -play
            };
        let to = FINGER * (i + 1) as f64
            + if i == 4 {
                0.0
            } else if out {
                -play
            } else {
                play
            };
        (if out { 0.0 } else { BOARD }, from, to)
    };
    let right: Vec<P> = (0..5)
        .flat_map(|i| {
            let (inset, from, to) = end(i);
            [P(BOX - inset, from), P(BOX - inset, to)]
        })
        .collect();
    let left = right.iter().rev().map(|p| P(BOX - p.0, p.1));
    relieved(&right.iter().copied().chain(left).collect::<Vec<_>>(), false)
}

/// `case.svg`: the boards of the box as loose lines and arcs, a modeller's way of writing them.
pub fn boards() -> String {
    let mut paper = Paper::mm(320.0, 250.0);
    // The back plate's tenons come through 6 mm from the back edge.
    let mortise = DEPTH - BOARD * 1.5;
    let mortises: Vec<Loop> = TENONS
        .iter()
        .map(|&x| slot(P(BOX / 2.0 + x, mortise), TENON + PLAY, BOARD + PLAY))
        .collect();
    paper.part("case-top", P(20.0, 10.0), |part| {
        part.loose(&board(true));
        mortises.iter().for_each(|m| part.loose(m));
    });
    paper.part("case-bottom", P(20.0, 85.0), |part| {
        part.loose(&board(true));
        mortises.iter().for_each(|m| part.loose(m));
        // Tenons of the brackets, 12 mm stock.
        for x in [-84.0, 84.0] {
            part.loose(&slot(P(BOX / 2.0 + x, 24.0), 12.3, 25.6));
        }
    });
    paper.part("case-side", P(20.0, 160.0), |part| {
        part.loose(&board(false));
        mortises.iter().for_each(|m| part.loose(m));
    });
    paper.finish()
}

/// `dial.svg`: the ring with its pocket for the pane, and small work drawn inside its opening.
pub fn dial() -> String {
    let mut paper = Paper::mm(300.0, 300.0);
    let o = P(0.0, 0.0);
    paper.part("dial-ring", P(150.0, 150.0), |part| {
        part.edge(&Loop::circle(o, 138.0));
        part.edge(&Loop::circle(o, 104.0));
        part.pocket(&Loop::circle(o, 110.3));
        for i in 0..4 {
            part.drill(o.polar(131.0, PI / 4.0 + TAU * f64::from(i) / 4.0), 3.0);
        }
        // Ticks where the numerals are glued, and long ones at the quarters.
        let ticks: Vec<Loop> = (0..12)
            .map(|i| {
                let a = TAU * f64::from(i) / 12.0;
                let length = if i % 3 == 0 { 5.0 } else { 3.0 };
                Loop::line(&[o.polar(136.0 - length, a), o.polar(136.0, a)])
            })
            .collect();
        part.group("register", &ticks);
    });
    // A separate part inside the opening.
    paper.part("turn-button", P(150.0, 150.0), |part| {
        part.edge(&Loop::rect(-13.0, -5.0, 26.0, 10.0, 4.9));
        part.hole(P(-7.0, 0.0), 3.4);
    });
    paper.copy("turn-button", 0.0, 16.0);
    paper.copy("turn-button", 0.0, 32.0);
    paper.copy("turn-button", 0.0, 48.0);
    paper.finish()
}

/// `plates.svg`: back plate and bridge, which carry the arbors, and what hangs and squares the case.
pub fn plates() -> String {
    let mut paper = Paper::mm(560.0, 420.0);
    let a = arbors();
    let holes = [a.centre, a.motor, a.going, a.motion, a.idler, a.tide, a.moon];
    let inner = BOX - 2.0 * BOARD;
    paper.part("back-plate", P(150.0, 150.0), |part| {
        part.edge(&tenoned(inner - 0.2));
        // A keyhole to hang it by: head 10 mm, shank 4.4 mm.
        part.edge(&keyhole(P(0.0, -118.0)));
        holes.iter().for_each(|&h| part.drill(h, 3.0));
        part.pocket(&Loop::rect(a.motor.0 - 26.0, a.motor.1 - 26.0, 52.0, 52.0, 4.0));
        for (x, y) in PILLARS {
            part.drill(P(x, y), 4.0);
        }
    });
    paper.part("bridge", P(400.0, 110.0), |part| {
        let corners = [P(-86.0, -92.0), P(86.0, -92.0), P(86.0, 98.0), P(-86.0, 98.0)];
        part.edge(&Loop::rounded(&corners.map(|p| (p, 16.0))));
        holes.iter().for_each(|&h| part.drill(h, 3.0));
        for (x, y) in PILLARS {
            part.hole(P(x, y), 4.4);
        }
        // Windows between the arbors, to see the wheels and to save weight.
        part.edge(&Loop::rect(-72.0, -48.0, 56.0, 40.0, 6.0));
        part.edge(&Loop::rect(34.0, -60.0, 38.0, 62.0, 6.0));
        part.edge(&Loop::rect(10.0, 52.0, 30.0, 36.0, 6.0).moved(26.0, 0.0));
    });
    paper.part("spandrel", P(320.0, 235.0), |part| part.edge(&spandrel()));
    paper.part("wall-cleat", P(320.0, 360.0), |part| {
        part.edge(&Loop::rect(0.0, 0.0, 160.0, 28.0, 5.0));
        for x in [20.0, 80.0, 140.0] {
            part.hole(P(x, 14.0), 4.4);
        }
    });
    paper.part("slat-rail", P(500.0, 230.0), |part| part.edge(&rail()));
    paper.part("corner-block", P(430.0, 240.0), |part| {
        let block = [P(0.0, 0.0), P(34.0, 0.0), P(34.0, 12.0), P(12.0, 34.0), P(0.0, 34.0)];
        part.edge(&Loop::eased(&block, 2.0, 2.0));
        part.hole(P(24.0, 6.5), 3.4);
        part.hole(P(6.5, 24.0), 3.4);
    });
    paper.finish()
}

/// Where the pillars between the plates stand, dial centre at the origin.
const PILLARS: [(f64, f64); 4] = [(-76.0, -82.0), (76.0, -82.0), (76.0, 88.0), (-76.0, 88.0)];

/// A square of `side` mm with two tenons to each edge, as long as the boards are thick.
fn tenoned(side: f64) -> Loop {
    let h = side / 2.0;
    let mut points = vec![];
    for edge in 0..4 {
        let a = PI / 2.0 * f64::from(edge);
        let mut along = vec![P(-h, -h)];
        for c in TENONS {
            let (l, r) = (c - TENON / 2.0, c + TENON / 2.0);
            along.extend([P(l, -h), P(l, -h - BOARD), P(r, -h - BOARD), P(r, -h)]);
        }
        points.extend(along.into_iter().map(|p| p.turned(a)));
    }
    relieved(&points, false)
}

fn keyhole(at: P) -> Loop {
    let (r, s): (f64, f64) = (5.0, 2.2);
    let y = (r * r - s * s).sqrt();
    let shank = Step::Arc { radius: s, large: false, sweep: true, to: P(s, -9.0) };
    let head = Step::Arc { radius: r, large: true, sweep: true, to: P(-s, -y) };
    let steps = vec![Step::Line(P(-s, -9.0)), shank, Step::Line(P(s, -y)), head];
    Loop::from_steps(steps).moved(at.0, at.1 + 6.0)
}

/// Fills a corner of the square front outside the dial ring, with blunt ends that can be cut.
fn spandrel() -> Loop {
    let (h, r) = (BOX / 2.0, BOX / 2.0 + 0.6);
    let blunt: f64 = 7.0;
    // The ring's edge meets `blunt` mm inside the square's side here, from the ring's centre.
    let x = (r * r - (h - blunt).powi(2)).sqrt();
    let (a, b) = (P(x, h - blunt), P(h - blunt, x));
    let corners = [P(x, h), P(h, h), P(h, x)];
    Loop::from_steps(vec![
        Step::Line(corners[0]),
        Step::Line(P(h - 3.0, h)),
        Step::Arc { radius: 3.0, large: false, sweep: false, to: P(h, h - 3.0) },
        Step::Line(corners[2]),
        Step::Line(b),
        Step::Arc { radius: r, large: false, sweep: true, to: a },
    ])
    .moved(-x, -x)
}

/// A comb whose slots take the ends of the wave slats, 3 mm stock.
fn rail() -> Loop {
    let (w, h, r) = (52.0, 24.0, 1.65);
    let mut steps = vec![Step::Line(P(0.0, 0.0))];
    for x in [9.0, 20.0, 31.0, 42.0] {
        steps.push(Step::Line(P(x - r, 0.0)));
        steps.push(Step::Line(P(x - r, 11.0)));
        steps.push(Step::Arc { radius: r, large: false, sweep: false, to: P(x + r, 11.0) });
        steps.push(Step::Line(P(x + r, 0.0)));
    }
    steps.extend([P(w, 0.0), P(w, h), P(0.0, h)].map(Step::Line));
    Loop::from_steps(steps)
}

/// `glass.svg`: 3 mm acrylic.
pub fn glass() -> String {
    let mut paper = Paper::mm(300.0, 300.0);
    let o = P(0.0, 0.0);
    paper.part("pane", P(120.0, 120.0), |part| part.edge(&Loop::circle(o, 110.0)));
    paper.part("moon-disc", P(265.0, 40.0), |part| {
        part.edge(&Loop::circle(o, 30.0));
        part.hole(o, 4.2);
        part.group("engrave", &[Loop::circle(P(15.0, 0.0), 9.0), Loop::circle(P(-15.0, 0.0), 9.0)]);
    });
    paper.part("tide-glass", P(20.0, 245.0), |part| {
        part.edge(&Loop::rect(0.0, 0.0, 64.0, 26.0, 8.0))
    });
    paper.part("lamp-lens", P(100.0, 250.0), |part| {
        part.edge(&Loop::rect(0.0, 0.0, 14.0, 12.0, 3.0));
    });
    paper.part("glass-clip", P(130.0, 250.0), |part| {
        part.edge(&Loop::rect(0.0, 0.0, 24.0, 11.0, 5.0));
        part.hole(P(6.0, 5.5), 3.4);
    });
    paper.copy("glass-clip", 0.0, 15.0);
    paper.copy("glass-clip", 30.0, 0.0);
    paper.copy("glass-clip", 30.0, 15.0);
    paper.part("glass-washer", P(200.0, 256.0), |part| {
        part.cut(&[Loop::circle(o, 6.0), Loop::circle(o, 2.1)]);
    });
    paper.part("crescent", P(240.0, 255.0), |part| {
        let tip = |y: f64| P(6.0, y);
        part.edge(&Loop::from_steps(vec![
            Step::Line(tip(-11.0)),
            Step::Arc { radius: 13.0, large: true, sweep: false, to: tip(11.0) },
            Step::Arc { radius: 14.0, large: false, sweep: true, to: tip(-11.0) },
        ]));
    });
    paper.part("droplet", P(275.0, 250.0), |part| {
        part.edge(&Loop::from_steps(vec![
            Step::Line(P(0.0, -11.0)),
            Step::Curve(P(1.5, -5.5), P(6.0, -3.0), P(6.0, 2.0)),
            Step::Arc { radius: 6.0, large: true, sweep: true, to: P(-6.0, 2.0) },
            Step::Curve(P(-6.0, -3.0), P(-1.5, -5.5), P(0.0, -11.0)),
        ]));
    });
    paper.finish()
}
