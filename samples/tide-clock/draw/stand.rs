//! The stand, 12 mm walnut, drawn in inches: plinth, feet, brackets, pillars, knobs and a finial.

use super::paper::Paper;
use super::path::{Loop, P, Step, scalloped};

const INCH: f64 = 25.4;

/// Radius of inside corners, mm: a 1/4 in bit (3.175 mm) passes.
const INSIDE: f64 = 3.3;

/// `stand.svg`.
pub fn stand() -> String {
    let mut paper = Paper::inches(16.0, 10.0);
    let o = P(0.0, 0.0);
    paper.part("plinth", P(0.5 * INCH, 0.5 * INCH), |part| {
        let (w, h) = (11.0 * INCH, 3.5 * INCH);
        part.edge(&Loop::rect(0.0, 0.0, w, h, 0.5 * INCH));
        // Mortises for the brackets' lower tenons: round ended, as the bit leaves them.
        for x in [-84.0, 84.0] {
            part.edge(&Loop::rect(w / 2.0 + x - 6.15, h / 2.0 - 20.2, 12.3, 40.4, INSIDE));
        }
        for (x, y) in [(14.0, 14.0), (w - 14.0, 14.0), (w - 14.0, h - 14.0), (14.0, h - 14.0)] {
            part.drill(P(x, y), 4.0);
        }
    });
    paper.part("bracket", P(13.5 * INCH, 0.6 * INCH), |part| {
        part.edge(&bracket());
        // The edge that meets the case stays clear of tabs.
        part.tab_free(&Loop::line(&[P(-30.0, 0.0), P(30.0, 0.0)]));
    });
    paper.part("foot", P(0.6 * INCH, 5.0 * INCH), |part| {
        part.edge(&foot());
        part.drill(P(16.0, 11.0), 3.0);
        part.drill(P(48.0, 11.0), 3.0);
    });
    paper.part("pillar", P(4.5 * INCH, 5.5 * INCH), |part| {
        let side: Vec<(P, f64)> = (0..8)
            .map(|i| (o.polar(13.5, (f64::from(i) + 0.5) * std::f64::consts::FRAC_PI_4), 1.5))
            .collect();
        part.edge(&Loop::rounded(&side));
        part.drill(o, 4.0);
    });
    paper.part("knob", P(6.5 * INCH, 5.6 * INCH), |part| {
        part.edge(&scalloped(17.5, 1.1, 6));
        part.drill(o, 3.0);
    });
    paper.part("finial", P(9.0 * INCH, 6.2 * INCH), |part| part.edge(&finial()));
    paper.finish()
}

/// Holds the case on the plinth: a vase between two tenons, shoulders eased for the bit.
fn bracket() -> Loop {
    let r = INSIDE;
    let arc = |to| Step::Arc { radius: r, large: false, sweep: false, to };
    // The right half from the upper tenon (25 x 6 mm) down to the lower one (40 x 12 mm).
    let right = vec![
        Step::Line(P(12.5, -6.0)),
        Step::Line(P(12.5, -r)),
        arc(P(12.5 + r, 0.0)),
        Step::Line(P(30.0, 0.0)),
        Step::Line(P(30.0, 5.0)),
        Step::Curve(P(30.0, 15.0), P(17.0, 17.0), P(17.0, 28.0)),
        Step::Curve(P(17.0, 40.0), P(35.0, 38.0), P(35.0, 56.0)),
        Step::Line(P(20.0 + r, 56.0)),
        arc(P(20.0, 56.0 + r)),
        Step::Line(P(20.0, 68.0)),
    ];
    Loop::mirrored(&right)
}

/// An ogee foot, 64 x 32 mm.
fn foot() -> Loop {
    Loop::from_steps(vec![
        Step::Line(P(0.0, 0.0)),
        Step::Line(P(64.0, 0.0)),
        Step::Line(P(64.0, 8.0)),
        Step::Curve(P(57.0, 9.0), P(56.0, 15.0), P(56.0, 24.0)),
        Step::Arc { radius: 8.0, large: false, sweep: true, to: P(48.0, 32.0) },
        Step::Curve(P(42.0, 32.0), P(44.0, 22.0), P(32.0, 22.0)),
        Step::Curve(P(20.0, 22.0), P(22.0, 32.0), P(16.0, 32.0)),
        Step::Arc { radius: 8.0, large: false, sweep: true, to: P(8.0, 24.0) },
        Step::Curve(P(8.0, 15.0), P(7.0, 9.0), P(0.0, 8.0)),
    ])
}

/// A ball on a collar, for the top of the case: a fillet of 6 mm joins the two.
fn finial() -> Loop {
    let (ball, fillet, collar) = (18.0, 6.0, 27.0);
    let ball_at = P(0.0, 1.75);
    let y = collar - fillet - ball_at.1;
    let x = ((ball + fillet) * (ball + fillet) - y * y).sqrt();
    let touch = ball_at.plus(P(x, y).times(ball / (ball + fillet)));
    let right = vec![
        Step::Line(P(0.0, ball_at.1 - ball)),
        Step::Arc { radius: ball, large: false, sweep: true, to: P(ball, ball_at.1) },
        Step::Arc { radius: ball, large: false, sweep: true, to: touch },
        Step::Arc { radius: fillet, large: false, sweep: false, to: P(x, collar) },
        Step::Line(P(22.0, collar)),
        Step::Line(P(22.0, 34.0)),
    ];
    Loop::mirrored(&right)
}
