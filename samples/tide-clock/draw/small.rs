//! The two small samples beside the clock: a single drawing, and parts for an offcut.

use super::paper::Paper;
use super::path::{Loop, P, Step, scalloped, sector};
use super::sea;
use std::f64::consts::TAU;

const O: P = P(0.0, 0.0);

/// `one-drawing/part.svg`: a porthole trivet and what fits inside its rim.
pub fn one_drawing() -> String {
    let mut paper = Paper::mm(220.0, 120.0);
    paper.part("porthole", P(60.0, 60.0), |part| {
        part.edge(&Loop::circle(O, 52.0));
        for i in 0..6 {
            let from = TAU * f64::from(i) / 6.0 + 0.09;
            part.edge(&sector(17.0, 42.0, from, from + TAU / 6.0 - 0.18, 3.0));
        }
        for i in 0..6 {
            part.hole(O.polar(47.0, TAU * f64::from(i) / 6.0), 3.0);
        }
    });
    paper.part("wheel-coaster", P(165.0, 40.0), |part| {
        part.edge(&scalloped(30.0, 2.0, 8));
        part.hole(O, 8.0);
    });
    paper.part("fish-tag", P(140.0, 95.0), |part| {
        part.edge(&sea::fish(44.0, 17.0));
        part.hole(P(12.0, -1.6), 3.0);
    });
    paper.copy("fish-tag", 52.0, 0.0);
    paper.finish()
}

/// `offcut/offcut.svg`: the piece of wood, sawn on three sides, its natural edge below.
pub fn offcut() -> String {
    let mut paper = Paper::mm(430.0, 200.0);
    paper.part("offcut", P(0.0, 0.0), |part| {
        part.edge(&Loop::from_steps(vec![
            Step::Line(P(0.0, 0.0)),
            Step::Line(P(352.0, 0.0)),
            Step::Line(P(424.0, 61.0)),
            Step::Line(P(418.0, 148.0)),
            Step::Curve(P(380.0, 170.0), P(345.0, 138.0), P(300.0, 151.0)),
            Step::Curve(P(255.0, 164.0), P(240.0, 196.0), P(190.0, 188.0)),
            Step::Curve(P(140.0, 180.0), P(118.0, 148.0), P(78.0, 156.0)),
            Step::Curve(P(48.0, 162.0), P(30.0, 176.0), P(0.0, 170.0)),
        ]));
    });
    paper.finish()
}

/// `offcut/hooks.svg`: a row of coat hooks by the sea.
pub fn hooks() -> String {
    let mut paper = Paper::mm(330.0, 180.0);
    paper.part("rail", P(20.0, 15.0), |part| {
        part.edge(&Loop::rect(0.0, 0.0, 240.0, 34.0, 9.0));
        for i in 0..4 {
            part.edge(&Loop::rect(27.0 + 58.0 * f64::from(i), 13.75, 12.3, 6.5, 1.8));
        }
        part.hole(P(12.0, 17.0), 4.5);
        part.hole(P(228.0, 17.0), 4.5);
    });
    paper.part("hook", P(20.0, 70.0), |part| {
        part.edge(&Loop::rounded(&[
            (P(0.0, 3.0), 0.5),
            (P(6.2, 3.0), 1.7),
            (P(6.2, -4.0), 2.0),
            (P(17.0, -4.0), 2.0),
            (P(20.0, 18.0), 6.0),
            (P(34.0, 17.0), 5.0),
            (P(40.0, 1.0), 3.0),
            (P(47.0, 4.0), 3.0),
            (P(41.0, 31.0), 12.0),
            (P(6.2, 29.0), 6.0),
            (P(6.2, 15.0), 1.7),
            (P(0.0, 15.0), 0.5),
        ]));
    });
    paper.part("whale", P(170.0, 95.0), |part| {
        part.edge(&whale());
        part.hole(P(36.0, 3.0), 4.0);
    });
    paper.part("fish", P(270.0, 90.0), |part| {
        part.edge(&sea::fish(58.0, 24.0));
        part.hole(P(16.0, -2.2), 3.6);
    });
    paper.part("knob", P(40.0, 140.0), |part| {
        part.edge(&scalloped(13.0, 0.9, 6));
        part.hole(O, 4.5);
    });
    paper.finish()
}

/// A whale, 120 mm long, its tail raised.
fn whale() -> Loop {
    Loop::smooth(&[
        P(60.0, 6.0),
        P(54.0, -10.0),
        P(34.0, -20.0),
        P(6.0, -21.0),
        P(-18.0, -13.0),
        P(-34.0, -7.0),
        P(-42.0, -14.0),
        P(-56.0, -20.0),
        P(-58.0, -13.0),
        P(-50.0, -4.0),
        P(-54.0, 5.0),
        P(-50.0, 9.0),
        P(-41.0, 2.5),
        P(-30.0, 8.0),
        P(-8.0, 18.0),
        P(22.0, 22.0),
        P(50.0, 18.0),
    ])
}
