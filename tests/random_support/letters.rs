//! Glyph-like outlines: straight strokes, bowls, and counters as openings.

use super::chance::Chance;
use super::curve::{Edge, Loop, P};
use super::shapes::Drawn;

/// A letter `size` mm high whose strokes are at least 3 mm wide and whose counters are wider than `room`.
pub fn letter(size: f64, room: f64, chance: &mut Chance) -> Drawn {
    let stroke = (chance.real(0.14, 0.2) * size).max(3.0);
    let size = size.max(3.2 * stroke + 2.0 * (room + 0.3));
    let width = (0.7 * size).max(2.2 * stroke + room + 0.3);
    match chance.pick(&['A', 'D', 'E', 'H', 'L', 'O', 'T']) {
        'A' if crotch(width.max(0.9 * size), size, stroke) > room + 0.1 => {
            a(width.max(0.9 * size), size, stroke, room)
        }
        'D' => d(width, size, stroke, room),
        'E' => e(width, size, stroke),
        'A' | 'H' => h(width, size, stroke),
        'L' => strokes(&[
            [0.0, 0.0],
            [stroke, 0.0],
            [stroke, size - stroke],
            [width, size - stroke],
            [width, size],
            [0.0, size],
        ]),
        'O' => {
            o(if pointed(width, size, stroke) < room + 0.1 { size } else { width }, size, stroke)
        }
        _ => strokes(&[
            [0.0, 0.0],
            [width, 0.0],
            [width, stroke],
            [(width + stroke) / 2.0, stroke],
            [(width + stroke) / 2.0, size],
            [(width - stroke) / 2.0, size],
            [(width - stroke) / 2.0, stroke],
            [0.0, stroke],
        ]),
    }
}

fn strokes(points: &[P]) -> Drawn {
    Drawn {
        outline: Loop::polygon(points),
        openings: vec![],
        narrowest: f64::INFINITY,
        solid: None,
    }
}

/// Half the inner width of an A at height `y` from its top, its legs being `s` wide along x.
fn inner(w: f64, h: f64, s: f64, y: f64) -> f64 {
    ((w - s) / 2.0 / h * y - s / 2.0).max(0.0)
}

/// How wide the legs of an A stand apart under its bar.
fn crotch(w: f64, h: f64, s: f64) -> f64 {
    2.0 * inner(w, h, s, 0.62 * h + s)
}

/// Two legs, a bar, and a triangle between them where it is wide enough.
fn a(w: f64, h: f64, s: f64, room: f64) -> Drawn {
    let lean = (w - s) / 2.0 / h;
    let inner = |y: f64| inner(w, h, s, y);
    let (bar, low) = (0.62 * h, 0.62 * h + s);
    let middle = w / 2.0;
    let mut letter = strokes(&[
        [middle - s / 2.0, 0.0],
        [middle + s / 2.0, 0.0],
        [w, h],
        [w - s, h],
        [middle + inner(low), low],
        [middle - inner(low), low],
        [s, h],
        [0.0, h],
    ]);
    letter.narrowest = crotch(w, h, s);
    let top = s / 2.0 / lean;
    let (base, height) = (2.0 * inner(bar), bar - top);
    // The circle inside a triangle of base b and height k has radius b k / (b + 2 side).
    let side = (base / 2.0).hypot(height);
    let disc = 2.0 * base * height / (base + 2.0 * side);
    if disc > room + 0.5 {
        letter.openings.push(Loop::polygon(&[
            [middle, top],
            [middle + base / 2.0, bar],
            [middle - base / 2.0, bar],
        ]));
        letter.narrowest = letter.narrowest.min(disc);
    }
    letter
}

/// A stem and a bowl with a counter.
fn d(w: f64, h: f64, s: f64, room: f64) -> Drawn {
    let bowl = |x: f64, y: f64, w: f64, h: f64| {
        let r = (h / 2.0).min(w);
        let edges = vec![
            Edge::Line([x + w - r, y]),
            Edge::Arc { r, right: true, to: [x + w, y + r] },
            Edge::Line([x + w, y + h - r]),
            Edge::Arc { r, right: true, to: [x + w - r, y + h] },
            Edge::Line([x, y + h]),
            Edge::Line([x, y]),
        ];
        Loop { start: [x, y], edges }
    };
    let (inner_w, inner_h) = (w - 2.0 * s, h - 2.0 * s);
    let mut letter = Drawn { outline: bowl(0.0, 0.0, w, h), ..strokes(&[[0.0, 0.0]]) };
    let narrowest = inner_w.min(inner_h);
    if narrowest > room + 0.1 {
        letter.openings.push(bowl(s, s, inner_w, inner_h));
        letter.narrowest = narrowest;
    }
    letter
}

fn e(w: f64, h: f64, s: f64) -> Drawn {
    let gap = (h - 3.0 * s) / 2.0;
    let mut letter = strokes(&[
        [0.0, 0.0],
        [w, 0.0],
        [w, s],
        [s, s],
        [s, s + gap],
        [0.8 * w, s + gap],
        [0.8 * w, 2.0 * s + gap],
        [s, 2.0 * s + gap],
        [s, h - s],
        [w, h - s],
        [w, h],
        [0.0, h],
    ]);
    letter.narrowest = gap;
    letter
}

fn h(w: f64, h: f64, s: f64) -> Drawn {
    let (top, bottom) = ((h - s) / 2.0, (h + s) / 2.0);
    let mut letter = strokes(&[
        [0.0, 0.0],
        [s, 0.0],
        [s, top],
        [w - s, top],
        [w - s, 0.0],
        [w, 0.0],
        [w, h],
        [w - s, h],
        [w - s, bottom],
        [s, bottom],
        [s, h],
        [0.0, h],
    ]);
    letter.narrowest = w - 2.0 * s;
    letter
}

/// The narrowest bit's place in an O: an ellipse's sharpest curve has radius short² / long.
fn pointed(w: f64, h: f64, s: f64) -> f64 {
    let (a, b) = (w / 2.0 - s, h / 2.0 - s);
    2.0 * a.min(b).powi(2) / a.max(b)
}

/// Two ellipses as cubics.
fn o(w: f64, h: f64, s: f64) -> Drawn {
    // Four cubics draw an ellipse to 0.03 % of its radius with this factor (4/3 (sqrt 2 - 1)).
    const K: f64 = 0.552_284_749_8;
    let ellipse = |a: f64, b: f64| {
        let c = |p: P, q: P, to: P| Edge::Cubic(p, q, to);
        let edges = vec![
            c([a, K * b], [K * a, b], [0.0, b]),
            c([-K * a, b], [-a, K * b], [-a, 0.0]),
            c([-a, -K * b], [-K * a, -b], [0.0, -b]),
            c([K * a, -b], [a, -K * b], [a, 0.0]),
        ];
        Loop { start: [a, 0.0], edges }
    };
    let (a, b) = (w / 2.0 - s, h / 2.0 - s);
    Drawn {
        outline: ellipse(w / 2.0, h / 2.0),
        openings: vec![ellipse(a, b)],
        narrowest: pointed(w, h, s),
        solid: None,
    }
}
