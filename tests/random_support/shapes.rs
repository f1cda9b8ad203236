//! Shapes that makers cut: each about `size` mm across, no gap, slot or opening narrower than `room` mm.

use super::chance::Chance;
use super::curve::{Edge, Loop, P};
use super::letters;
use std::f64::consts::{PI, TAU};

/// A shape with its openings, wherever it lies.
#[derive(Debug, Clone)]
pub struct Drawn {
    pub outline: Loop,
    pub openings: Vec<Loop>,
    /// The narrowest width that the bit must enter, mm, by construction.
    pub narrowest: f64,
    /// A place where a feature of that radius fits: a pocket, a drill hole.
    pub solid: Option<(P, f64)>,
}

/// Kinds of shapes, by the name their parts get.
pub const KINDS: [&str; 15] = [
    "star", "ring", "comb", "gear", "crescent", "letter", "plate", "frame", "wheel", "pebble",
    "disc", "bar", "joint", "bracket", "arrow",
];

impl Drawn {
    fn plain(outline: Loop) -> Self {
        Drawn { outline, openings: vec![], narrowest: f64::INFINITY, solid: None }
    }

    fn with(self, openings: Vec<Loop>, narrowest: f64) -> Self {
        Drawn { openings, narrowest: self.narrowest.min(narrowest), ..self }
    }
}

/// A shape of that kind.
pub fn draw(kind: &str, size: f64, room: f64, chance: &mut Chance) -> Drawn {
    match kind {
        "star" => star(size, room, chance),
        "ring" => ring(size, room, chance),
        "comb" => comb(size, room, chance),
        "gear" => gear(size, room, chance),
        "crescent" => crescent(size, chance),
        "letter" => letters::letter(size, room, chance),
        "plate" => plate(size, room, chance),
        "frame" => frame(size, room, chance),
        "wheel" => wheel(size, room, chance),
        "pebble" => pebble(size, room, chance),
        "bar" => {
            let w = chance.real(0.08, 0.2) * size;
            let r = chance.pick(&[0.0, 0.25, 0.5]) * w.max(4.0);
            Drawn::plain(Loop::rectangle(0.0, 0.0, size, w.max(4.0), r))
        }
        "joint" => joint(size, room, chance),
        "bracket" => bracket(size, chance),
        "arrow" => arrow(size, room, chance),
        _ => Drawn {
            solid: Some(([0.0, 0.0], size / 6.0)),
            ..Drawn::plain(Loop::circle([0.0, 0.0], size / 2.0))
        },
    }
}

fn polar(r: f64, a: f64) -> P {
    [r * a.cos(), r * a.sin()]
}

fn star(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let (n, inner) = (chance.whole(4, 9), chance.real(0.45, 0.75) * size / 2.0);
    let points: Vec<P> = (0..2 * n)
        .map(|i| polar(if i % 2 == 0 { size / 2.0 } else { inner }, PI * i as f64 / n as f64))
        .collect();
    // A disc in the hollow between two points touches both of its sides, if it is no wider than where they end.
    let (tip, hollow) = (points[0], points[1]);
    let side = [tip[0] - hollow[0], tip[1] - hollow[1]];
    let along = (side[0] * hollow[0] + side[1] * hollow[1]) / hollow[0].hypot(hollow[1]);
    let across = (side[0] * side[0] + side[1] * side[1] - along * along).max(0.0).sqrt();
    let widest = 2.0 * side[0].hypot(side[1]) * across / along.max(1e-9);
    let star = Drawn { narrowest: widest, ..Drawn::plain(Loop::polygon(&points)) };
    let r = 0.4 * inner;
    if r > room / 2.0 + 0.1 && chance.yes(0.3) {
        return star.with(vec![Loop::circle([0.0, 0.0], r)], 2.0 * r);
    }
    Drawn { solid: Some(([0.0, 0.0], 0.5 * inner)), ..star }
}

fn ring(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let outer = (size / 2.0).max(room / 2.0 + 4.0);
    let inner = (chance.real(0.3, 0.85) * outer).clamp(room / 2.0 + 0.1, outer - 3.0);
    let disc = Drawn::plain(Loop::circle([0.0, 0.0], outer));
    disc.with(vec![Loop::circle([0.0, 0.0], inner)], 2.0 * inner)
}

fn comb(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let slot = room + chance.real(0.1, 0.15 * size);
    let tooth = chance.real(3.0, 3.0 + 0.15 * size);
    let n = ((size / (slot + tooth)) as usize).clamp(2, 9);
    let (length, back) = (chance.real(0.2, 0.5) * size, chance.real(4.0, 4.0 + 0.2 * size));
    let width = n as f64 * tooth + (n - 1) as f64 * slot;
    let mut points = vec![[0.0, 0.0], [width, 0.0]];
    for i in (0..n).rev() {
        let x = i as f64 * (tooth + slot);
        let mut tip = vec![[x + tooth, back + length], [x, back + length]];
        if i < n - 1 {
            tip.insert(0, [x + tooth, back]);
        }
        if i > 0 {
            tip.push([x, back]);
        }
        points.extend(tip);
    }
    Drawn { narrowest: slot, ..Drawn::plain(Loop::polygon(&points)) }
}

fn gear(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let outer = (size / 2.0).max(8.0);
    // The floor between two teeth is half a pitch wide at the root.
    let most = (TAU * 0.8 * outer / (2.2 * (room + 0.3))) as usize;
    let n = chance.whole(6, 24).min(most).max(4);
    let root = 0.8 * outer;
    let (floor, tip) = (0.5 * TAU / n as f64, 0.3 * TAU / n as f64);
    let mut points = vec![];
    for i in 0..n {
        let a = TAU * i as f64 / n as f64;
        let rise = TAU / n as f64 - floor;
        points.push(polar(root, a - rise / 2.0));
        points.push(polar(outer, a - tip / 2.0));
        points.push(polar(outer, a + tip / 2.0));
        points.push(polar(root, a + rise / 2.0));
    }
    let chord = 2.0 * root * (floor / 2.0).sin();
    // The widest disc that still touches the floor rests on both flanks: from floor to flank the air is wider than a right
    // angle, so that it is wider than the floor.
    let (foot, top) = (points[3], points[2]);
    let rise = [top[0] - foot[0], top[1] - foot[1]];
    let middle = (TAU / n as f64) / 2.0;
    let along = [-middle.sin(), middle.cos()];
    let cosine = (along[0] * rise[0] + along[1] * rise[1]) / rise[0].hypot(rise[1]);
    let narrowest = chord * (cosine.acos() / 2.0).tan();
    let gear = Drawn { narrowest, ..Drawn::plain(Loop::polygon(&points)) };
    let bore = (chance.real(0.15, 0.4) * outer).max(room / 2.0 + 0.1);
    if bore < root - 3.0 {
        return gear.with(vec![Loop::circle([0.0, 0.0], bore)], 2.0 * bore);
    }
    gear
}

/// A moon: an outer arc of nearly three quarters and an inner one back.
fn crescent(size: f64, chance: &mut Chance) -> Drawn {
    let r = size / 2.0;
    let (top, bottom, left) = ([0.0, -r], [0.0, r], [-r, 0.0]);
    let inner = chance.real(1.15, 1.8) * r;
    let outer = |to| Edge::Arc { r, right: false, to };
    Drawn::plain(Loop {
        start: top,
        edges: vec![outer(left), outer(bottom), Edge::Arc { r: inner, right: true, to: top }],
    })
}

fn plate(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let (w, h) = (size, (size * chance.real(0.35, 1.0)).max(8.0));
    // Round corners of more than this would come near the corners of slots 4 mm from the edges.
    let r = (chance.pick(&[0.0, 0.05, 0.15]) * h).min(8.0);
    let plate = Drawn::plain(Loop::rectangle(0.0, 0.0, w, h, r));
    let (mut openings, mut narrowest, wall) = (vec![], f64::INFINITY, 4.0);
    // Slots in the left two thirds, one under the other; holes and the feature on the right.
    let slot = room + chance.real(0.1, 2.0);
    let rows = (((h - wall) / (slot + wall)) as usize).min(chance.whole(0, 3));
    // Clear of the hole and the feature, which begin at 0.73 w.
    let length = (chance.real(0.3, 0.55) * w).min(0.73 * w - 2.0 * wall);
    for i in 0..rows {
        let y = wall + i as f64 * (slot + wall);
        let r = if chance.yes(0.5) { slot / 2.0 } else { 0.0 };
        if length > slot + 1.0 {
            openings.push(Loop::rectangle(wall, y, length, slot, r));
            narrowest = slot;
        }
    }
    let hole = (room / 2.0 + chance.real(0.05, 1.5)).min(0.1 * w);
    let place = [0.85 * w, 0.25 * h];
    if 2.0 * hole > room + 0.05 && hole + 3.0 < place[1].min(0.15 * w) {
        openings.push(Loop::circle(place, hole));
        narrowest = narrowest.min(2.0 * hole);
    }
    let solid = Some(([0.85 * w, 0.7 * h], (0.12 * w).min(0.2 * h) - 0.5));
    Drawn { solid, ..plate.with(openings, narrowest) }
}

/// A window frame, with room for others inside.
fn frame(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let size = size.max(room + 14.0);
    let (w, h) = (size, (size * chance.real(0.6, 1.0)).max(room + 14.0));
    let wall = chance.real(5.0, 5.0 + 0.1 * size).min((h - room) / 2.0 - 1.0);
    let r = chance.pick(&[0.0, 2.0, 5.0]);
    let hole = Loop::rectangle(wall, wall, w - 2.0 * wall, h - 2.0 * wall, r);
    let narrowest = (h - 2.0 * wall).min(if r > 0.0 { 2.0 * r } else { f64::INFINITY });
    let r = if narrowest < room { 0.0 } else { r };
    let hole = if r == 0.0 {
        Loop::rectangle(wall, wall, w - 2.0 * wall, h - 2.0 * wall, 0.0)
    } else {
        hole
    };
    Drawn::plain(Loop::rectangle(0.0, 0.0, w, h, 3.0))
        .with(vec![hole], if r == 0.0 { h - 2.0 * wall } else { narrowest })
}

/// A wheel: spokes between openings with straight sides.
fn wheel(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let outer = (size / 2.0).max(20.0 + 2.0 * room);
    let (n, rim) = (chance.whole(3, 5), outer - chance.real(4.0, 0.2 * outer));
    let (hub, spoke) = (chance.real(0.25, 0.4) * outer, 4.0);
    let (mut openings, mut narrowest) = (vec![], rim - hub - 0.5);
    for i in 0..n {
        let (from, to) = (TAU * i as f64 / n as f64, TAU * (i + 1) as f64 / n as f64);
        let at = |r: f64| {
            let half = (spoke / 2.0 / r).asin();
            (polar(r, from + half), polar(r, to - half))
        };
        let ((a, b), (c, d)) = (at(hub), at(rim));
        let width = (a[0] - b[0]).hypot(a[1] - b[1]);
        narrowest = narrowest.min(width);
        openings.push(Loop {
            start: a,
            edges: vec![
                Edge::Line(c),
                Edge::Arc { r: rim, right: true, to: d },
                Edge::Line(b),
                Edge::Arc { r: hub, right: false, to: a },
            ],
        });
    }
    let disc = Drawn::plain(Loop::circle([0.0, 0.0], outer));
    if narrowest < room + 0.2 { disc } else { disc.with(openings, narrowest) }
}

/// A smooth closed curve through points about a centre (Catmull and Rom's tangents).
fn pebble(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let n = chance.whole(5, 8);
    let knots: Vec<P> = (0..n)
        .map(|i| polar(size / 2.0 * chance.real(0.75, 1.0), TAU * i as f64 / n as f64))
        .collect();
    let at = |i: usize| knots[i % n];
    let edges = (0..n).map(|i| {
        let (before, from, to, after) = (at(i + n - 1), at(i), at(i + 1), at(i + 2));
        let third = |p: P, a: P, b: P, s: f64| {
            [p[0] + s * (b[0] - a[0]) / 6.0, p[1] + s * (b[1] - a[1]) / 6.0]
        };
        Edge::Cubic(third(from, before, to, 1.0), third(to, from, after, -1.0), to)
    });
    let edges = edges.collect();
    let outline = Loop { start: knots[0], edges };
    let narrowest = 2.0 * outline.tightest_hollow();
    let outline =
        if narrowest < room + 0.2 { Loop::circle([0.0, 0.0], size / 2.0) } else { outline };
    Drawn { solid: Some(([0.0, 0.0], size / 6.0)), narrowest, ..Drawn::plain(outline) }
}

/// A box's side: fingers along two edges.
fn joint(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let size = size.max(3.0 * (room + 1.0));
    let fingers =
        (((size / (room + chance.real(1.0, 10.0))) as usize).clamp(3, 11) - 1) / 2 * 2 + 1;
    let (pitch, depth) = (size / fingers as f64, chance.real(2.0, 6.0));
    let h = (size * chance.real(0.4, 0.9)).max(2.0 * depth + 8.0);
    let mut points = vec![];
    for i in 0..fingers {
        let y = if i % 2 == 0 { 0.0 } else { depth };
        points.push([i as f64 * pitch, y]);
        points.push([(i + 1) as f64 * pitch, y]);
    }
    for i in (0..fingers).rev() {
        let y = if i % 2 == 0 { h } else { h - depth };
        points.push([(i + 1) as f64 * pitch, y]);
        points.push([i as f64 * pitch, y]);
    }
    Drawn {
        // A finger shorter than the bit's radius would have no straight side.
        narrowest: pitch.min(2.0 * depth),
        solid: Some(([size / 2.0, h / 2.0], 0.25 * (h - 2.0 * depth).min(size))),
        ..Drawn::plain(Loop::polygon(&points))
    }
}

/// A shelf bracket: two straight sides and a hollow one.
fn bracket(size: f64, chance: &mut Chance) -> Drawn {
    let (w, h) = (size, size * chance.real(0.5, 1.0));
    let end = (0.15 * size).max(3.0);
    let r = 0.9 * (w - end).hypot(h - end);
    let hollow = Edge::Arc { r, right: false, to: [end, h] };
    let edges = vec![Edge::Line([w, 0.0]), Edge::Line([w, end]), hollow];
    let back = [Edge::Line([0.0, h]), Edge::Line([0.0, 0.0])];
    let edges = edges.into_iter().chain(back).collect();
    Drawn { narrowest: 2.0 * r, ..Drawn::plain(Loop { start: [0.0, 0.0], edges }) }
}

fn arrow(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let (shaft, head) = ((chance.real(0.08, 0.15) * size).max(3.0), chance.real(0.25, 0.4) * size);
    // A barb shorter than the bit's radius would be all inside corner.
    let barb = (0.8 * head - shaft / 2.0).max(room / 2.0 + 0.2);
    let half = barb + shaft / 2.0;
    let arrow = Drawn::plain(Loop::polygon(&[
        [0.0, -shaft / 2.0],
        [size - head, -shaft / 2.0],
        [size - head, -half],
        [size, 0.0],
        [size - head, half],
        [size - head, shaft / 2.0],
        [0.0, shaft / 2.0],
    ]));
    Drawn { narrowest: 2.0 * barb, ..arrow }
}
