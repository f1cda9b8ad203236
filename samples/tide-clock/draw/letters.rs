//! Numerals and letters, 1.5 mm cherry, 3.6 mm strokes on a height of 20 mm; counters wider than a
//! 1/16 in bit at every size used.

use super::paper::Paper;
use super::path::{Loop, P, Step};
use std::f64::consts::PI;

/// Radius of inside corners, mm: a 1/16 in bit (0.794 mm) passes, also at the smaller size.
const INSIDE: f64 = 1.2;
const O: P = P(0.0, 0.0);
/// Bowls of the numerals: centre above or below the middle, outer and inner radius.
const UPPER: (P, f64, f64) = (P(0.0, -4.4), 5.6, 2.0);
const LOWER: (P, f64, f64) = (P(0.0, 3.8), 6.2, 2.6);

/// `numerals.svg`: what a dial from 1 to 12 needs; a 9 is a 6 turned over.
pub fn numerals() -> String {
    let mut paper = Paper::mm(220.0, 60.0);
    for (i, rings) in (0..9).map(|d| (d, numeral(d))) {
        let at = P(12.0 + 20.0 * f64::from(i), 20.0);
        paper.part(&format!("numeral-{i}"), at, |part| part.cut(&rings));
    }
    paper.finish()
}

/// `letters.svg`: TIDE for the plinth; HIGH and LOW, smaller, for the tide's own dial.
pub fn letters() -> String {
    let mut paper = Paper::mm(240.0, 80.0);
    for (i, c) in "TIDE".chars().enumerate() {
        let id = format!("title-{}", c.to_ascii_lowercase());
        let at = P(16.0 + 26.0 * i as f64, 20.0);
        paper.part(&id, at, |part| part.cut(&letter(c)));
    }
    for (i, c) in "HIGLOW".chars().enumerate() {
        let id = format!("word-{}", c.to_ascii_lowercase());
        let at = P(16.0 + 20.0 * i as f64, 52.0);
        let rings: Vec<Loop> = letter(c).iter().map(|r| scaled(r, 0.75)).collect();
        paper.part(&id, at, |part| part.cut(&rings));
    }
    paper.finish()
}

fn scaled(ring: &Loop, k: f64) -> Loop {
    let step = |s: &Step| match *s {
        Step::Line(p) => Step::Line(p.times(k)),
        Step::Arc { radius, large, sweep, to } => {
            Step::Arc { radius: radius * k, large, sweep, to: to.times(k) }
        }
        Step::Curve(a, b, c) => Step::Curve(a.times(k), b.times(k), c.times(k)),
    };
    Loop { start: ring.start.times(k), steps: ring.steps.iter().map(step).collect(), closed: true }
}

fn line(x: f64, y: f64) -> Step {
    Step::Line(P(x, y))
}

fn arc(radius: f64, large: bool, sweep: bool, x: f64, y: f64) -> Step {
    Step::Arc { radius, large, sweep, to: P(x, y) }
}

fn eased(points: &[(f64, f64)]) -> Loop {
    let points: Vec<P> = points.iter().map(|&(x, y)| P(x, y)).collect();
    Loop::eased(&points, 0.3, INSIDE)
}

/// Outline and counters of a letter.
fn letter(c: char) -> Vec<Loop> {
    match c {
        'T' => vec![eased(&[
            (-8., -10.),
            (8., -10.),
            (8., -6.4),
            (1.8, -6.4),
            (1.8, 10.),
            (-1.8, 10.),
            (-1.8, -6.4),
            (-8., -6.4),
        ])],
        'I' => vec![eased(&[
            (-4.5, -10.),
            (4.5, -10.),
            (4.5, -7.),
            (1.8, -7.),
            (1.8, 7.),
            (4.5, 7.),
            (4.5, 10.),
            (-4.5, 10.),
            (-4.5, 7.),
            (-1.8, 7.),
            (-1.8, -7.),
            (-4.5, -7.),
        ])],
        'L' => {
            vec![eased(&[(-6., -10.), (-2.4, -10.), (-2.4, 6.4), (6., 6.4), (6., 10.), (-6., 10.)])]
        }
        'E' => vec![eased(&[
            (-6., -10.),
            (6., -10.),
            (6., -6.4),
            (-2.4, -6.4),
            (-2.4, -1.8),
            (4.5, -1.8),
            (4.5, 1.8),
            (-2.4, 1.8),
            (-2.4, 6.4),
            (6., 6.4),
            (6., 10.),
            (-6., 10.),
        ])],
        'H' => vec![eased(&[
            (-7., -10.),
            (-3.4, -10.),
            (-3.4, -1.8),
            (3.4, -1.8),
            (3.4, -10.),
            (7., -10.),
            (7., 10.),
            (3.4, 10.),
            (3.4, 1.8),
            (-3.4, 1.8),
            (-3.4, 10.),
            (-7., 10.),
        ])],
        'W' => vec![eased(&[
            (-12., -10.),
            (-8.2, -10.),
            (-5.4, 2.6),
            (-1.9, -10.),
            (1.9, -10.),
            (5.4, 2.6),
            (8.2, -10.),
            (12., -10.),
            (7.6, 10.),
            (3.8, 10.),
            (0., -3.6),
            (-3.8, 10.),
            (-7.6, 10.),
        ])],
        'D' => vec![
            Loop::from_steps(vec![
                line(-8., -10.),
                line(-2., -10.),
                arc(10., false, true, -2., 10.),
                line(-8., 10.),
            ]),
            Loop::from_steps(vec![
                line(-3.2, -6.4),
                line(-2., -6.4),
                arc(6.4, false, true, -2., 6.4),
                line(-3.2, 6.4),
                arc(INSIDE, false, true, -4.4, 5.2),
                line(-4.4, -5.2),
                arc(INSIDE, false, true, -3.2, -6.4),
            ]),
        ],
        'O' => vec![Loop::circle(O, 10.), Loop::circle(O, 6.4)],
        _ => vec![letter_g()],
    }
}

/// An open bowl with a bar: the mouth lies above the bar, a fillet closes the hollow below it.
fn letter_g() -> Loop {
    let (outer, inner): (f64, f64) = (10.0, 6.4);
    let (bar, low): (f64, f64) = (-0.6, 2.4);
    let lip = -0.24 * PI;
    let across = inner - INSIDE;
    let fillet = P((across * across - (low + INSIDE).powi(2)).sqrt(), low + INSIDE);
    Loop::from_steps(vec![
        Step::Line(O.polar(inner, lip)),
        Step::Arc { radius: inner, large: true, sweep: false, to: fillet.times(inner / across) },
        arc(INSIDE, false, false, fillet.0, low),
        line(0.8, low),
        line(0.8, bar),
        line((outer * outer - bar * bar).sqrt(), bar),
        Step::Arc { radius: outer, large: true, sweep: true, to: O.polar(outer, lip) },
    ])
}

/// Where a fillet of radius `f` touches both bowls on the right, upper touch first.
fn waist(f: f64) -> (P, P) {
    let ((c, r, _), (d, s, _)) = (UPPER, LOWER);
    let apart = d.1 - c.1;
    let (r_f, s_f) = (r + f, s + f);
    let along = (r_f * r_f - s_f * s_f + apart * apart) / (2.0 * apart);
    let centre = P((r_f * r_f - along * along).sqrt(), c.1 + along);
    (c.plus(centre.minus(c).times(r / r_f)), d.plus(centre.minus(d).times(s / s_f)))
}

/// Outline and counters of a numeral.
fn numeral(d: u32) -> Vec<Loop> {
    match d {
        0 => vec![Loop::rect(-6.2, -10., 12.4, 20., 6.2), Loop::rect(-2.6, -6.4, 5.2, 12.8, 2.6)],
        1 => vec![eased(&[
            (-1.4, -10.),
            (1.8, -10.),
            (1.8, 10.),
            (-1.8, 10.),
            (-1.8, -5.6),
            (-5., -4.),
            (-5., -7.8),
        ])],
        2 => vec![numeral_2()],
        3 => vec![numeral_3()],
        4 => vec![
            eased(&[
                (0.4, -10.),
                (4.4, -10.),
                (4.4, 2.6),
                (7., 2.6),
                (7., 6.2),
                (4.4, 6.2),
                (4.4, 10.),
                (0.8, 10.),
                (0.8, 6.2),
                (-7., 6.2),
                (-7., 2.9),
            ]),
            Loop::rounded(&[(P(0.8, -4.6), 0.9), (P(0.8, 2.6), 0.9), (P(-3.1, 2.6), 0.9)]),
        ],
        5 => vec![numeral_5()],
        6 => numeral_6(),
        7 => vec![eased(&[
            (-6., -10.),
            (6.2, -10.),
            (6.2, -6.9),
            (0.6, 10.),
            (-3.3, 10.),
            (2.1, -6.4),
            (-6., -6.4),
        ])],
        _ => numeral_8(),
    }
}

fn numeral_2() -> Loop {
    Loop::from_steps(vec![
        line(-6., -4.2),
        arc(6., false, true, 6., -4.2),
        Step::Curve(P(6., 0.2), P(1.6, 2.3), P(0.07, 4.59)),
        arc(1.2, false, false, 1.07, 6.4),
        line(6., 6.4),
        line(6., 10.),
        line(-6., 10.),
        line(-6., 6.6),
        Step::Curve(P(-3.5, 1.2), P(2.4, 0.), P(2.4, -4.2)),
        arc(2.4, false, false, -2.4, -4.2),
    ])
}

fn numeral_3() -> Loop {
    let ((u, ur, ui), (l, lr, li)) = (UPPER, LOWER);
    let (above, below) = waist(1.2);
    Loop::from_steps(vec![
        line(-ur, u.1),
        arc(ur, true, true, above.0, above.1),
        arc(1.2, false, false, below.0, below.1),
        arc(lr, true, true, -lr, l.1),
        line(-li, l.1),
        arc(li, true, false, 0., l.1 - li),
        line(-1.2, l.1 - li),
        line(-1.2, u.1 + ui),
        line(0., u.1 + ui),
        arc(ui, true, false, -ui, u.1),
    ])
}

fn numeral_5() -> Loop {
    let (l, lr, li) = LOWER;
    // The stem's right edge, x = -1.4, runs into the bowl through a fillet.
    let fillet = P(-1.4 + INSIDE, l.1 - ((lr + INSIDE).powi(2) - (INSIDE - 1.4).powi(2)).sqrt());
    let touch = l.plus(fillet.minus(l).times(lr / (lr + INSIDE)));
    Loop::from_steps(vec![
        line(-5., -10.),
        line(5.4, -10.),
        line(5.4, -6.4),
        line(-1.4 + INSIDE, -6.4),
        arc(INSIDE, false, false, -1.4, -6.4 + INSIDE),
        line(-1.4, fillet.1),
        arc(INSIDE, false, false, touch.0, touch.1),
        arc(lr, true, true, -lr, l.1),
        line(-li, l.1),
        arc(li, true, false, 0., l.1 - li),
        line(-5., l.1 - li),
    ])
}

fn numeral_6() -> Vec<Loop> {
    let (l, r, inner) = LOWER;
    vec![
        Loop::from_steps(vec![
            line(0.6, -10.),
            Step::Curve(P(-3.6, -6.4), P(-6.2, -1.6), P(-6.2, 3.8)),
            arc(r, true, false, 1.0, l.1 - (r * r - 1.0).sqrt()),
            Step::Curve(P(-0.5, -2.45), P(-0.9, -3.3), P(-0.1, -4.3)),
            Step::Curve(P(1.4, -6.4), P(3.0, -8.2), P(5.0, -10.)),
        ]),
        Loop::circle(l, inner),
    ]
}

fn numeral_8() -> Vec<Loop> {
    let ((u, ur, ui), (l, lr, li)) = (UPPER, LOWER);
    let (above, below) = waist(1.2);
    vec![
        Loop::from_steps(vec![
            line(-above.0, above.1),
            arc(ur, true, true, above.0, above.1),
            arc(1.2, false, false, below.0, below.1),
            arc(lr, true, true, -below.0, below.1),
            arc(1.2, false, false, -above.0, above.1),
        ]),
        Loop::circle(u, ui),
        Loop::circle(l, li),
    ]
}
