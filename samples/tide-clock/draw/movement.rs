//! The movement, 3 mm hard maple: going train, motion work, tide work and moon work.
//!
//! A geared motor turns once in two minutes. 8:60 and 12:48 bring that to one turn an hour at the
//! centre; the motion work 10:30 and 8:32 to one in twelve hours for the hour pipe. Tide: 57:59 (an
//! idler of 24 between them keeps the direction) turns the tide hand once in 12 h 25 min 15.8 s, and
//! half a lunar day is 12 h 25 min 14.2 s on average: 36 parts in a million slow, which is 19 minutes
//! of the tide, or 9 degrees of the hand, in a year; set it anew at a new moon.
//! Moon: a finger on the hour pipe steps a ratchet of 59 teeth, one tooth in twelve hours.

use super::gear::{self, centre_distance, ratchet, rim, shift};
use super::paper::{Paper, Part};
use super::path::{Loop, P, sector};
use std::f64::consts::{PI, TAU};

/// Bore for 3 mm rod.
pub const BORE: f64 = 3.1;

/// The wheels that run together, pinion first.
pub const PAIRS: [(usize, usize); 6] = [(8, 60), (12, 48), (10, 30), (8, 32), (57, 24), (24, 59)];

/// Where the arbors stand on the plates, centre of the dial at the origin.
pub struct Arbors {
    pub centre: P,
    pub motor: P,
    pub going: P,
    pub motion: P,
    pub idler: P,
    pub tide: P,
    pub moon: P,
}

/// The arbors, from the centre distances of the pairs.
pub fn arbors() -> Arbors {
    let centre = P(0.0, 0.0);
    let going = centre.polar(centre_distance(12, 48), 0.62 * PI);
    let motor = going.polar(centre_distance(8, 60), 0.95 * PI);
    let motion = centre.polar(centre_distance(8, 32), 1.75 * PI);
    let tide = P(0.0, 76.0);
    // The idler stands where circles about the two wheels meet, on the right.
    let (r, s) = (centre_distance(57, 24), centre_distance(24, 59));
    let along = (r * r - s * s + tide.1 * tide.1) / (2.0 * tide.1);
    let idler = P((r * r - along * along).sqrt(), along);
    Arbors { centre, motor, going, motion, idler, tide, moon: P(0.0, -72.0) }
}

/// The teeth of each wheel and the shift it needs to run with its pinion.
pub fn wheel_shift(teeth: usize) -> f64 {
    PAIRS
        .iter()
        .find(|&&(pinion, wheel)| wheel == teeth && shift(pinion) > 0.0)
        .map_or(shift(teeth), |&(pinion, _)| -shift(pinion))
}

/// `wheels.svg`: gears of 8 to 60 teeth.
pub fn wheels() -> String {
    let mut paper = Paper::mm(420.0, 330.0);
    let places: [(usize, f64, f64); 10] = [
        (60, 52.0, 52.0),
        (59, 150.0, 52.0),
        (57, 247.0, 52.0),
        (48, 336.0, 45.0),
        (32, 33.0, 132.0),
        (30, 88.0, 132.0),
        (24, 136.0, 128.0),
        (12, 170.0, 122.0),
        (10, 194.0, 122.0),
        (8, 216.0, 122.0),
    ];
    for (teeth, x, y) in places {
        let id = if teeth < 20 { format!("pinion-{teeth}") } else { format!("wheel-{teeth}") };
        let at = P(x, y);
        paper.part(&id, at, |part| {
            part.edge(&rim(teeth, wheel_shift(teeth)));
            part.hole(P(0.0, 0.0), BORE);
            crossings(part, teeth);
        });
    }
    let at = P(290.0, 150.0);
    paper.part("moon-ratchet", at, |part| {
        part.loose(&ratchet(59, 44.0, 2.6, 0.9));
        part.hole(P(0.0, 0.0), BORE);
        for i in 0..4 {
            let from = TAU * f64::from(i) / 4.0 + 0.1;
            part.edge(&sector(10.0, 35.0, from, from + TAU / 4.0 - 0.2, 2.0));
        }
    });
    paper.finish()
}

/// Spokes of the large wheels, holes of the middle ones, screw holes of none.
fn crossings(part: &mut Part, teeth: usize) {
    let root = gear::MODULE * teeth as f64 / 2.0 - 2.5;
    let (rim_inside, hub) = (root - 5.0, 9.0);
    match teeth {
        40.. => {
            let spokes = 5;
            for i in 0..spokes {
                let middle = TAU * f64::from(i) / f64::from(spokes);
                let half = TAU / f64::from(spokes) / 2.0 - 0.12;
                part.edge(&sector(hub, rim_inside, middle - half, middle + half, 2.5));
            }
        }
        20.. => {
            let around = (rim_inside + 4.0) / 2.0 + 1.0;
            let diameter = (rim_inside - 4.0).min(8.5);
            for i in 0..6 {
                part.hole(P(0.0, 0.0).polar(around, TAU * f64::from(i) / 6.0), diameter);
            }
        }
        _ => {}
    }
}

/// `movement.svg`: click, finger, spacers, washers and the bezel that keeps the pane.
pub fn small_work() -> String {
    let mut paper = Paper::mm(300.0, 200.0);
    paper.part("click", P(12.0, 14.0), |part| {
        let beak = [
            P(-6.0, -6.0),
            P(6.0, -6.0),
            P(34.0, -1.2),
            P(36.0, 3.0),
            P(31.5, 2.6),
            P(6.0, 6.0),
            P(-6.0, 6.0),
        ];
        part.edge(&Loop::eased(&beak, 0.8, 1.0));
        part.hole(P(0.0, 0.0), BORE);
    });
    paper.part("moon-finger", P(62.0, 14.0), |part| {
        let finger = [
            P(-7.0, -7.0),
            P(7.0, -7.0),
            P(9.0, -2.5),
            P(28.5, -1.6),
            P(28.5, 1.6),
            P(9.0, 2.5),
            P(7.0, 7.0),
            P(-7.0, 7.0),
        ];
        part.edge(&Loop::eased(&finger, 1.4, 1.0));
        part.hole(P(0.0, 0.0), 6.1);
    });
    paper.part("spacer", P(112.0, 12.0), |part| {
        part.cut(&[Loop::circle(P(0.0, 0.0), 5.0), Loop::circle(P(0.0, 0.0), BORE / 2.0)]);
    });
    paper.copy("spacer", 14.0, 0.0);
    paper.copy("spacer", 28.0, 0.0);
    paper.part("washer", P(160.0, 12.0), |part| {
        part.cut(&[Loop::circle(P(0.0, 0.0), 4.0), Loop::circle(P(0.0, 0.0), 1.7)]);
    });
    paper.copy("washer", 11.0, 0.0);
    paper.copy("washer", 22.0, 0.0);
    paper.copy("washer", 33.0, 0.0);
    // Four quarters save a whole ring's stock; their ends butt behind the spandrels' screws.
    paper.part("bezel-quarter", P(20.0, 150.0), |part| {
        let (inner, outer) = (102.0, 118.0);
        let o = P(0.0, 0.0);
        let (from, to) = (1.5 * PI + 0.002, TAU - 0.002);
        let arc = |radius, sweep, to| super::path::Step::Arc { radius, large: false, sweep, to };
        part.loose(&Loop::from_steps(vec![
            super::path::Step::Line(o.polar(outer, from)),
            arc(outer, true, o.polar(outer, to)),
            super::path::Step::Line(o.polar(inner, to)),
            arc(inner, false, o.polar(inner, from)),
        ]));
        for angle in [1.58, 1.75, 1.92] {
            part.hole(o.polar(110.0, angle * PI), 3.4);
        }
    });
    paper.finish()
}
