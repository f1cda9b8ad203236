//! Typical hard parts: hands, fish, gears, rings, plates. Shared by the holding tests and the bench.
#![allow(dead_code)]

use std::f64::consts::{PI, TAU};
use tabwright::geometry::{Ring, Shape, Vector, point};
use tabwright::hold::HoldTask;
use tabwright::job::{Bit, Holding, Material, Spiral, find_material};

pub struct Case {
    pub name: &'static str,
    pub shape: Shape,
    pub thickness: f64,
    pub material: Material,
    pub grain: Vec<f64>,
    pub bit: Bit,
}

impl Case {
    pub fn task<'a>(&'a self, holding: &'a Holding) -> HoldTask<'a> {
        HoldTask {
            shape: &self.shape,
            thickness: self.thickness,
            material: &self.material,
            grain: &self.grain,
            bit: &self.bit,
            holding,
            by: Default::default(),
            features: &[],
            tab_free: &[],
            chords: None,
            landing_ok: None,
            bodies: None,
        }
    }
}

pub fn bit(name: &str) -> Bit {
    let (diameter, flutes, spiral, feed, rpm, pass_depth) = match name {
        "1/32 down" => (0.79375, 2, Spiral::Down, 360.0, 18_000.0, 0.4),
        "1/16 down" => (1.5875, 2, Spiral::Down, 600.0, 18_000.0, 0.8),
        "1/16 up" => (1.5875, 2, Spiral::Up, 600.0, 18_000.0, 0.8),
        "1/8 down" => (3.175, 2, Spiral::Down, 1500.0, 18_000.0, 1.6),
        "1/8 acrylic" => (3.175, 1, Spiral::Straight, 1000.0, 16_000.0, 1.5),
        _ => panic!("no such bit"),
    };
    Bit {
        name: name.into(),
        diameter,
        flutes,
        spiral,
        helix: PI / 6.0,
        pass_depth,
        feed,
        rpm,
        allowance: 0.05,
    }
}

pub fn bar(length: f64, width: f64) -> Shape {
    Shape::new(Ring::rectangle(length, width), vec![])
}

/// A hand: a bar that tapers to a tip, with a boss and a bore at its other end.
pub fn hand(length: f64, width: f64) -> Shape {
    let boss = width * 1.4;
    let mut points = vec![point(length, -width / 6.0), point(length, width / 6.0)];
    let start = (width / 2.0 / boss).asin();
    for i in 0..=40 {
        let a = start + (TAU - 2.0 * start) * i as f64 / 40.0;
        points.push(point(boss, 0.0).turned(a));
    }
    let bore = Ring::circle_around(point(0.0, 0.0), width * 0.5, 0.01);
    Shape::new(Ring(points), vec![bore])
}

/// A fish: a lens with a tail behind a waist.
pub fn fish(length: f64, height: f64) -> Shape {
    let body = length * 0.72;
    let half = |t: f64| height / 2.0 * (PI * t).sin().powf(0.8) + height * 0.11 * t;
    let n = 24;
    let mut points: Vec<_> = (0..=n)
        .map(|i| {
            let t = i as f64 / n as f64;
            point(body * t, -half(t))
        })
        .collect();
    points.push(point(length, -height * 0.45));
    points.push(point(length * 0.93, 0.0));
    points.push(point(length, height * 0.45));
    points.extend((1..=n).rev().map(|i| {
        let t = i as f64 / n as f64;
        point(body * t, half(t))
    }));
    Shape::new(Ring(points), vec![])
}

/// A gear of `teeth` with straight flanks (pitch radius = module teeth / 2) and a bore.
pub fn gear(teeth: usize, module: f64, bore: f64) -> Shape {
    let pitch = module * teeth as f64 / 2.0;
    let (tip, root) = (pitch + module, pitch - 1.25 * module);
    let step = TAU / teeth as f64;
    let mut points = vec![];
    for i in 0..teeth {
        let a = i as f64 * step;
        for (r, f) in
            [(root, -0.33), (pitch, -0.25), (tip, -0.13), (tip, 0.13), (pitch, 0.25), (root, 0.33)]
        {
            points.push(point(r, 0.0).turned(a + f * step));
        }
    }
    Shape::new(Ring(points), vec![Ring::circle_around(point(0.0, 0.0), bore, 0.01)])
}

pub fn annulus(outer: f64, inner: f64) -> Shape {
    let o = point(0.0, 0.0);
    Shape::new(Ring::circle_around(o, outer, 0.01), vec![Ring::circle_around(o, inner, 0.01)])
}

fn material(name: &str, thickness: f64) -> Material {
    find_material(name, thickness).expect("in the table").clone()
}

fn case(
    name: &'static str,
    shape: Shape,
    thickness: f64,
    wood: &str,
    grain: f64,
    cutter: &str,
) -> Case {
    let material = material(wood, thickness);
    let grain = if material.has_grain() { vec![grain] } else { vec![] };
    Case { name, shape, thickness, material, grain, bit: bit(cutter) }
}

/// Parts of the kinds a clock has, and harder ones.
pub fn typical() -> Vec<Case> {
    vec![
        case("hand 60 x 3", hand(60.0, 3.0), 3.0, "walnut", 0.0, "1/16 down"),
        case("bar 60 x 3", bar(60.0, 3.0), 3.0, "walnut", 0.0, "1/16 down"),
        case("bar 60 x 3 across", bar(60.0, 3.0), 3.0, "walnut", PI / 2.0, "1/16 down"),
        case("fish 14 x 6", fish(14.0, 6.0), 1.5875, "maple", 0.0, "1/16 down"),
        case("bar 14 x 5", bar(13.97, 5.0), 1.5875, "walnut", 0.0, "1/16 down"),
        case("fish 40 x 16", fish(40.0, 16.0), 3.0, "cherry", 0.0, "1/16 down"),
        case("gear 24", gear(24, 2.0, 3.0), 6.0, "maple", 0.0, "1/16 down"),
        case("pinion 8", gear(8, 2.0, 2.0), 6.0, "maple", 0.0, "1/16 down"),
        case("ring 200", annulus(100.0, 80.0), 6.0, "walnut", 0.0, "1/8 down"),
        case("plate 150 x 80", bar(150.0, 80.0), 6.0, "walnut", 0.0, "1/8 down"),
        case("plate 150 x 80 thick", bar(150.0, 80.0), 12.0, "oak", 0.0, "1/8 down"),
        case("pane 120 x 90", bar(120.0, 90.0), 3.0, "acrylic", 0.0, "1/8 acrylic"),
        case("bar 60 x 3 up-spiral", bar(60.0, 3.0), 3.0, "walnut", 0.0, "1/16 up"),
        case("plate 100 x 60 up-spiral", bar(100.0, 60.0), 1.5875, "basswood", 0.0, "1/16 up"),
    ]
}
