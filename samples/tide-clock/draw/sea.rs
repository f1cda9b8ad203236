//! The sea and what lives by it: hands, fish, boats and birds of 1.5 mm cherry, waves, cliff and
//! lighthouse of 3 mm maple.

use super::paper::Paper;
use super::path::{Loop, P, Step};
use std::f64::consts::{PI, TAU};

const O: P = P(0.0, 0.0);

fn line(x: f64, y: f64) -> Step {
    Step::Line(P(x, y))
}

fn curve(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> Step {
    Step::Curve(P(a.0, a.1), P(b.0, b.1), P(c.0, c.1))
}

/// `hands.svg`: hands a few millimetres wide, and the pointer of the moon.
pub fn hands() -> String {
    let mut paper = Paper::mm(170.0, 70.0);
    paper.part("hour-hand", P(25.0, 12.0), |part| {
        part.edge(&hand(64.0, 7.0, 2.6, 1.4, 14.0));
        part.hole(O, 6.1);
        part.edge(&Loop::rounded(&[
            (P(22., 0.), 0.9),
            (P(32., -1.9), 3.0),
            (P(46., 0.), 0.82),
            (P(32., 1.9), 3.0),
        ]));
    });
    paper.part("minute-hand", P(25.0, 32.0), |part| {
        part.edge(&hand(98.0, 6.0, 1.9, 1.0, 18.0));
        part.hole(O, 5.1);
    });
    paper.part("tide-hand", P(25.0, 52.0), |part| {
        part.edge(&tide_hand());
        part.hole(O, 3.1);
    });
    paper.part("moon-pointer", P(95.0, 52.0), |part| {
        part.edge(&hand(24.0, 4.5, 1.5, 1.0, 9.0));
        part.hole(O, 3.1);
    });
    paper.finish()
}

/// A hand along +x: a round boss, a leaf `half` mm half wide at the boss and `tip` at its end, a tail.
fn hand(length: f64, boss: f64, half: f64, tip: f64, tail: f64) -> Loop {
    let right = neck(boss, half * 0.8, 2.5);
    let left = neck(boss, half * 0.7, 2.5);
    let widest = boss + 0.45 * (length - boss);
    let arc = |radius, large, sweep, to| Step::Arc { radius, large, sweep, to };
    let flip = |p: P| P(p.0, -p.1);
    let back = |p: P| P(-p.0, -p.1);
    let end = tip * 0.9;
    let lean = (widest - right.1.0) / 3.0;
    Loop::from_steps(vec![
        // Along the upper side to the tip, back along the lower one.
        Step::Line(flip(right.1)),
        Step::Curve(
            P(right.1.0 + lean, -half * 0.8),
            P(widest - lean, -half - 0.6),
            P(widest, -half - 0.6),
        ),
        Step::Line(P(length - end, -tip)),
        arc(end, false, true, P(length, -tip + end)),
        Step::Line(P(length, tip - end)),
        arc(end, false, true, P(length - end, tip)),
        Step::Line(P(widest, half + 0.6)),
        Step::Curve(P(widest - lean, half + 0.6), P(right.1.0 + lean, half * 0.8), right.1),
        arc(2.5, false, false, right.0),
        arc(boss, false, true, P(-left.0.0, left.0.1)),
        arc(2.5, false, false, P(-left.1.0, left.1.1)),
        Step::Line(P(-tail, half * 0.7)),
        arc(half * 0.7, true, true, P(-tail, -half * 0.7)),
        Step::Line(back(left.1)),
        arc(2.5, false, false, back(left.0)),
        arc(boss, false, true, flip(right.0)),
        arc(2.5, false, false, flip(right.1)),
    ])
}

/// Where a fillet of radius `f` leaves a boss about the origin, and where it meets the line `y = half`, +x side.
fn neck(boss: f64, half: f64, f: f64) -> (P, P) {
    let x = ((boss + f).powi(2) - (half + f).powi(2)).sqrt();
    let centre = P(x, half + f);
    (centre.times(boss / (boss + f)), P(x, half))
}

/// A hand like a swimming eel, 50 mm long and 3 mm wide.
fn tide_hand() -> Loop {
    let (boss, wide, fillet) = (5.6, 1.6, 2.0);
    let (touch, start) = neck(boss, wide, fillet);
    let n = 20;
    let at = |i: u32| f64::from(i) / f64::from(n);
    // The swimming begins at rest, so that the hand leaves its boss straight.
    let spine = |t: f64| {
        P(start.0 + (49.0 - start.0) * t, 2.6 * t * t * (3.0 - 2.0 * t) * (TAU * 1.25 * t).sin())
    };
    let side = |t: f64, s: f64| {
        let d = spine(t + 1e-4).minus(spine(t - 1e-4));
        let half = wide - 0.6 * t;
        spine(t).plus(P(-d.1, d.0).times(s * half / d.norm()))
    };
    let upper: Vec<P> = (0..=n).map(|i| side(at(i), -1.0)).collect();
    let lower: Vec<P> = (0..=n).rev().map(|i| side(at(i), 1.0)).collect();
    let mut steps = vec![Step::Line(upper[0])];
    steps.extend(through(&upper));
    steps.push(Step::Arc { radius: wide - 0.6, large: false, sweep: true, to: lower[0] });
    steps.extend(through(&lower));
    steps.push(Step::Line(start));
    steps.push(Step::Arc { radius: fillet, large: false, sweep: false, to: touch });
    steps.push(Step::Arc { radius: boss, large: true, sweep: true, to: P(touch.0, -touch.1) });
    steps.push(Step::Arc { radius: fillet, large: false, sweep: false, to: P(start.0, -start.1) });
    Loop::from_steps(steps)
}

/// A smooth open curve through the points, from the first.
fn through(points: &[P]) -> Vec<Step> {
    let last = points.len() - 1;
    (0..last)
        .map(|i| {
            let (before, after) = (points[i.saturating_sub(1)], points[(i + 2).min(last)]);
            let (a, b) = (points[i], points[i + 1]);
            let first = a.plus(b.minus(before).times(1.0 / 6.0));
            Step::Curve(first, b.minus(after.minus(a).times(1.0 / 6.0)), b)
        })
        .collect()
}

/// `sea-life.svg`: fish, gulls, starfish, anchor and boats.
pub fn life() -> String {
    let mut paper = Paper::mm(230.0, 130.0);
    for (id, at, length, deep) in [
        ("sprat", P(20., 12.), 18., 6.4),
        ("herring", P(55., 12.), 27., 8.6),
        ("bream", P(100., 16.), 25., 14.),
    ] {
        paper.part(id, at, |part| {
            part.edge(&fish(length, deep));
            part.hole(P(length * 0.27, -deep * 0.1), 1.8);
        });
    }
    paper.part("gull", P(145., 12.), |part| part.edge(&gull(26., 5.5)));
    paper.part("tern", P(185., 12.), |part| part.edge(&gull(17., 4.0)));
    paper.part("starfish", P(20., 45.), |part| {
        let arm = |i: u32| {
            O.polar(if i.is_multiple_of(2) { 9.5 } else { 4.2 }, PI * f64::from(i) / 5.0 - PI / 2.0)
        };
        part.edge(&Loop::eased(&(0..10).map(arm).collect::<Vec<_>>(), 1.2, 1.2));
    });
    paper.part("anchor", P(55., 45.), |part| {
        part.edge(&anchor());
        part.hole(P(0., -10.2), 2.4);
    });
    paper.part("yacht", P(95., 55.), |part| part.edge(&yacht()));
    paper.part("tug", P(150., 50.), |part| {
        part.edge(&tug());
        part.hole(P(-4.5, -4.2), 3.0);
        part.hole(P(1.5, -4.2), 3.0);
    });
    paper.part("buoy", P(200., 50.), |part| {
        let side = [
            P(-1.5, -13.),
            P(1.5, -13.),
            P(3.4, -1.),
            P(8., -1.),
            P(6.5, 6.),
            P(-6.5, 6.),
            P(-8., -1.),
            P(-3.4, -1.),
        ];
        part.edge(&Loop::eased(&side, 1.0, 1.2));
    });
    paper.part("shell", P(30., 100.), |part| part.edge(&shell()));
    paper.finish()
}

/// A fish swimming to the right: body, waist and forked tail.
pub fn fish(length: f64, deep: f64) -> Loop {
    let (l, d) = (length / 2.0, deep / 2.0);
    let waist = (d * 0.26).max(1.1);
    let tail = d * 0.95;
    Loop::from_steps(vec![
        line(l, 0.),
        curve((l * 0.75, d * 0.9), (l * 0.2, d * 1.15), (-l * 0.15, d * 0.8)),
        curve((-l * 0.4, d * 0.55), (-l * 0.5, waist), (-l * 0.62, waist)),
        curve((-l * 0.72, waist), (-l * 0.85, tail * 0.8), (-l, tail)),
        curve((-l * 0.86, tail * 0.35), (-l * 0.86, -tail * 0.35), (-l, -tail)),
        curve((-l * 0.85, -tail * 0.8), (-l * 0.72, -waist), (-l * 0.62, -waist)),
        curve((-l * 0.5, -waist), (-l * 0.4, -d * 0.55), (-l * 0.15, -d * 0.8)),
        curve((l * 0.2, -d * 1.15), (l * 0.75, -d * 0.9), (l, 0.)),
    ])
}

/// A bird in flight: two wings a couple of millimetres thick, the dip between them eased.
fn gull(span: f64, rise: f64) -> Loop {
    let s = span / 2.0;
    let at = |x: f64, y: f64| (x * s, y * rise);
    Loop::from_steps(vec![
        line(-s, 0.4 * rise),
        curve(at(-0.78, -0.7), at(-0.42, -0.75), at(-0.2, -0.28)),
        curve(at(-0.1, -0.08), at(0.1, -0.08), at(0.2, -0.28)),
        curve(at(0.42, -0.75), at(0.78, -0.7), at(1.0, 0.4)),
        curve(at(0.72, 0.0), at(0.4, 0.05), at(0.16, 0.55)),
        curve(at(0.08, 0.75), at(-0.08, 0.75), at(-0.16, 0.55)),
        curve(at(-0.4, 0.05), at(-0.72, 0.0), at(-1.0, 0.4)),
    ])
}

/// An admiralty anchor of 20 x 24 mm: ring, stock, shank and flukes.
fn anchor() -> Loop {
    let right = [
        (P(2.9, -13.4), 2.7),
        (P(2.9, -7.9), 1.8),
        (P(5.8, -7.0), 0.9),
        (P(5.8, -4.4), 0.9),
        (P(1.4, -4.4), 1.1),
        (P(1.4, 5.8), 1.2),
        (P(6.6, 2.6), 2.0),
        (P(5.2, 0.4), 0.5),
        (P(10.4, -2.6), 0.6),
        (P(10.2, 4.4), 0.45),
        (P(8.6, 3.4), 0.9),
        (P(5.8, 9.0), 4.0),
        (P(0.0, 10.6), 1.0),
    ];
    let left = right.iter().rev().skip(1).map(|&(p, r)| (P(-p.0, p.1), r));
    Loop::rounded(&right.iter().copied().chain(left).collect::<Vec<_>>())
}

/// A yacht under sail, one piece: mainsail and jib stand on the hull, a slot of 1.9 mm between them.
fn yacht() -> Loop {
    Loop::rounded(&[
        (P(-1.2, -26.), 0.5),
        (P(0.6, -26.), 0.5),
        (P(1.4, 1.6), 0.95),
        (P(3.3, 1.6), 0.95),
        (P(3.3, -19.), 0.6),
        (P(15., -1.0), 0.5),
        (P(12.0, 1.6), 1.0),
        (P(19., 2.6), 0.6),
        (P(14., 9.), 4.0),
        (P(-12., 9.), 4.0),
        (P(-17., 2.6), 0.6),
        (P(-3.2, 2.2), 1.0),
        (P(-14., 0.0), 0.5),
    ])
}

fn tug() -> Loop {
    Loop::rounded(
        &[
            (P(-8., -8.), 0.8),
            (P(-1., -8.), 0.0),
            (P(-1., -14.), 0.6),
            (P(3.2, -14.), 0.6),
            (P(3.2, -8.), 1.0),
            (P(6., -8.), 0.8),
            (P(6., -0.8), 1.2),
            (P(17., -2.6), 0.8),
            (P(14.5, 7.), 3.0),
            (P(-14., 7.), 3.0),
            (P(-16., -0.8), 0.8),
            (P(-8., -0.8), 1.2),
        ]
        .map(|(p, r)| if p == P(-1., -8.) { (p, 1.0) } else { (p, r) }),
    )
}

/// A scallop: a fan of seven ribs over a hinge.
fn shell() -> Loop {
    let (from, to) = (PI * 1.10, PI * 1.90);
    let n = 7 * 8;
    let rim: Vec<P> = (0..=n)
        .map(|i| {
            let t = f64::from(i) / f64::from(n);
            O.polar(15.0 - 0.72 * (TAU * 7.0 * t).cos(), from + (to - from) * t)
        })
        .collect();
    let mut steps = vec![line(-5.5, 8.6), line(-5.5, 6.6)];
    steps.push(curve((-4.3, 6.2), (-3.6, 5.2), (-4.8, 4.0)));
    steps.push(Step::Line(rim[0]));
    steps.extend(through(&rim));
    steps.push(line(4.8, 4.0));
    steps.push(curve((3.6, 5.2), (4.3, 6.2), (5.5, 6.6)));
    steps.push(line(5.5, 8.6));
    Loop::from_steps(steps)
}

/// `shore.svg`: wave slats, cliff, lighthouse and pier.
pub fn shore() -> String {
    let mut paper = Paper::mm(280.0, 330.0);
    for (id, y, waves, deep, phase) in [
        ("wave-front", 40., 5., 34., 0.0),
        ("wave-middle", 100., 4., 40., 0.35),
        ("wave-back", 165., 6., 46., 0.6),
    ] {
        paper.part(id, P(15.0, y), |part| part.edge(&wave(waves, deep, phase)));
    }
    paper.part("cliff", P(20.0, 265.0), |part| {
        let ridge = [
            P(0., 50.),
            P(2., 22.),
            P(14., 6.),
            P(30., 3.),
            P(42., 12.),
            P(56., 14.),
            P(66., 26.),
            P(82., 32.),
            P(92., 50.),
        ];
        part.edge(&Loop::eased(&ridge, 3.0, 4.0));
    });
    paper.part("lighthouse", P(150.0, 250.0), |part| {
        let right = [
            P(0., -14.),
            P(7.4, -6.),
            P(7.4, -3.6),
            P(5.5, -3.6),
            P(5.5, 6.),
            P(9.5, 6.),
            P(9.5, 9.5),
            P(7., 9.5),
            P(11.5, 62.),
            P(15., 62.),
            P(15., 67.),
        ];
        let left = right.iter().rev().filter(|p| p.0 > 0.0).map(|p| P(-p.0, p.1));
        let all: Vec<P> = right.iter().copied().chain(left).collect();
        part.edge(&Loop::eased(&all, 0.6, 1.0));
        part.edge(&Loop::rect(-2.8, -2.6, 5.6, 6.4, 1.0));
        for y in [18., 34.] {
            part.edge(&Loop::rect(-1.8, y, 3.6, 7.0, 1.5));
        }
        part.edge(&Loop::rounded(&[
            (P(-3., 62.), 0.9),
            (P(-3., 54.), 2.4),
            (P(3., 54.), 2.4),
            (P(3., 62.), 0.9),
        ]));
    });
    paper.part("pier", P(185.0, 265.0), |part| {
        let mut points = vec![P(0., 0.), P(72., 0.), P(72., 26.)];
        for i in (0..3).rev() {
            let x = 8.0 + 22.0 * f64::from(i);
            points.extend([P(x + 14.5, 26.), P(x + 14.5, 6.), P(x, 6.), P(x, 26.)]);
        }
        points.push(P(0., 26.));
        part.edge(&Loop::eased(&points, 0.5, 3.0));
    });
    paper.finish()
}

/// A slat between the box's walls whose upper edge is a swell; tongues at the ends sit in the rails.
fn wave(waves: f64, deep: f64, phase: f64) -> Loop {
    let (length, tongue) = (262.0, 5.5);
    let n = 72;
    let swell = |i: i32| {
        let t = f64::from(i) / f64::from(n);
        let a = TAU * (waves * t + phase);
        // A second harmonic sharpens crests and flattens troughs, as real waves have them (Stokes).
        P(tongue + (length - 2.0 * tongue) * t, -4.5 * a.cos() - 1.1 * (2.0 * a).cos())
    };
    let crest: Vec<P> = (0..=n).map(swell).collect();
    let mut steps = vec![Step::Line(crest[0])];
    steps.extend(through(&crest));
    // Tongues 10 mm deep at the lower corners; their shoulders are eased for the bit.
    let (top, r) = (deep - 10.0, 1.0);
    let arc = |to| Step::Arc { radius: r, large: false, sweep: false, to };
    steps.extend([
        Step::Line(P(length - tongue, top - r)),
        arc(P(length - tongue + r, top)),
        Step::Line(P(length, top)),
        Step::Line(P(length, deep)),
        Step::Line(P(0.0, deep)),
        Step::Line(P(0.0, top)),
        Step::Line(P(tongue - r, top)),
        arc(P(tongue, top - r)),
    ]);
    Loop::from_steps(steps)
}
