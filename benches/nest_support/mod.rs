//! Parts like those of the tide clock, made by formula, for benches of the nest.
#![allow(dead_code)]

use std::f64::consts::TAU;
use tabwright::geometry::{Point, Ring, Shape, Vector, point};
use tabwright::job::{Stock, Turns};
use tabwright::nest::NestPart;

/// Bit and gap, mm: 1/8 in.
pub const D: f64 = 3.175;

/// A gear of that many teeth with module 1 mm: straight flanks, `fine` points to each flank, a bore.
pub fn gear(teeth: usize, fine: usize) -> Shape {
    let pitch = teeth as f64 / 2.0;
    let (root, tip) = (pitch - 1.25, pitch + 1.0);
    let mut ring = vec![];
    for k in 0..teeth {
        let at = |share: f64, r: f64| point(r, 0.0).turned(TAU * (k as f64 + share) / teeth as f64);
        for i in 0..fine {
            let t = i as f64 / fine as f64;
            ring.push(at(0.12 + 0.14 * t, root + (tip - root) * t));
        }
        for i in 0..fine {
            let t = i as f64 / fine as f64;
            ring.push(at(0.50 - 0.0 + 0.14 * t, tip + (root - tip) * t));
        }
        ring.push(at(0.64, root));
    }
    Shape::new(Ring(ring), vec![circle(point(0.0, 0.0), (pitch / 4.0).max(1.5), 48)])
}

pub fn circle(centre: Point, radius: f64, n: usize) -> Ring {
    Ring((0..n).map(|i| centre + point(radius, 0.0).turned(TAU * i as f64 / n as f64)).collect())
}

/// A ring-shaped dial.
pub fn dial(outer: f64, inner: f64) -> Shape {
    Shape::new(circle(point(0.0, 0.0), outer, 256), vec![circle(point(0.0, 0.0), inner, 200)])
}

/// A clock hand: long and thin.
pub fn hand(length: f64, breadth: f64) -> Shape {
    let b = breadth / 2.0;
    let mut ring = vec![point(length, -0.8), point(length, 0.8), point(2.0 * b, b)];
    ring.extend((0..40).map(|i| point(2.0 * b, 0.0).turned(0.6 + (TAU - 1.2) * i as f64 / 39.0)));
    ring.push(point(2.0 * b, -b));
    Shape::new(Ring(ring), vec![circle(point(0.0, 0.0), 1.6, 32)])
}

/// A fish: curved outline with a notched tail.
pub fn fish(length: f64) -> Shape {
    let s = length / 50.0;
    let mut ring: Vec<Point> = (0..80)
        .map(|i| {
            let a = -2.6 + 5.2 * i as f64 / 79.0;
            point(30.0 + 20.0 * a.cos(), 9.0 * a.sin()) * s
        })
        .collect();
    ring.extend([point(0.0, 9.0) * s, point(4.0, 0.0) * s, point(0.0, -9.0) * s]);
    Shape::new(Ring(ring), vec![])
}

/// A letter-like angle, and a slotted box side.
pub fn angle(size: f64) -> Shape {
    let s = size;
    let ring = [
        [0.0, 0.0],
        [s, 0.0],
        [s, 0.25 * s],
        [0.3 * s, 0.25 * s],
        [0.3 * s, 1.3 * s],
        [0.0, 1.3 * s],
    ];
    Shape::new(Ring::from(ring.to_vec()), vec![])
}

pub fn slotted(length: f64, height: f64) -> Shape {
    let fingers = (length / 16.0) as usize * 2 + 1;
    let w = length / fingers as f64;
    let mut ring = vec![];
    for i in 0..fingers {
        let y = if i % 2 == 0 { 0.0 } else { 6.0 };
        ring.extend([point(w * i as f64, y), point(w * (i + 1) as f64, y)]);
    }
    ring.extend([point(length, height), point(0.0, height)]);
    Shape::new(Ring(ring), vec![])
}

/// One of each kind, in the tide clock's mix of sizes.
pub fn kinds() -> Vec<(String, Shape)> {
    let mut kinds: Vec<(String, Shape)> = [8, 10, 12, 16, 20, 24, 30, 36, 48, 60]
        .iter()
        .map(|&t| (format!("gear-{t}"), gear(t, 6)))
        .collect();
    kinds.push(("dial".into(), dial(90.0, 68.0)));
    kinds.push(("hour-hand".into(), hand(55.0, 7.0)));
    kinds.push(("minute-hand".into(), hand(80.0, 6.0)));
    kinds.extend([24.0, 36.0, 50.0].iter().map(|&l| (format!("fish-{l}"), fish(l))));
    kinds.extend([14.0, 20.0, 28.0].iter().map(|&l| (format!("angle-{l}"), angle(l))));
    kinds.push(("side".into(), slotted(140.0, 60.0)));
    kinds
}

/// The part with four landings round its bounds' middles, as tabs would ask for.
pub fn with_landings(name: String, shape: Shape, copies: usize) -> NestPart {
    let b = shape.bounds();
    let c = b.centre();
    let mut landings = vec![];
    for quarter in 0..4 {
        let out = point(1.0, 0.0).turned(TAU * quarter as f64 / 4.0);
        // The farthest vertex that way is where the tab stands.
        let Some(at) =
            shape.outline.0.iter().copied().max_by(|p, q| p.dot(out).total_cmp(&q.dot(out)))
        else {
            continue;
        };
        let _ = c;
        let (side, far) = (out.perp() * 2.0, 2.0);
        landings.push(Ring(vec![
            at + out * D - side,
            at + out * (D + far) - side,
            at + out * (D + far) + side,
            at + out * D + side,
        ]));
    }
    let turns = Turns::steps_deg(&[0.0, 180.0]);
    NestPart { name, shape, copies, spares: 0, turns, holds: vec![landings], pins: vec![] }
}

pub fn sheet(width: f64, height: f64) -> Stock {
    Stock {
        name: "sheet".into(),
        material: "walnut".into(),
        thickness: 6.0,
        outline: Ring::rectangle(width, height),
        open_length: false,
        quantity: None,
        price: None,
        margin: 6.0,
        keep_clear: vec![],
        clamps: vec![],
        grain: 0.0,
    }
}

/// Peak memory of the process, MB (Linux).
pub fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM:")).unwrap_or("");
    line.split_whitespace().nth(1).and_then(|n| n.parse::<f64>().ok()).unwrap_or(0.0) / 1024.0
}
