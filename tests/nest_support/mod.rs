//! A naive check of nested sheets: true distances of all pairs, nothing shared with the search.
#![allow(dead_code)]

use std::sync::atomic::AtomicBool;
use tabwright::geometry::{Ring, Shape, difference, point, shape_distance};
use tabwright::job::{Stock, Turns};
use tabwright::nest::{Budget, Control, NestPart, NestTask, Nested, nest};

/// Distances may fall short by this much, mm.
pub const TOLERANCE: f64 = 1e-7;

pub fn part(name: &str, shape: Shape, copies: usize) -> NestPart {
    NestPart {
        name: name.into(),
        shape,
        copies,
        spares: 0,
        turns: Turns::steps_deg(&[0.0, 180.0]),
        holds: vec![],
        pins: vec![],
    }
}

pub fn plain(points: &[[f64; 2]]) -> Shape {
    Shape::new(Ring::from(points.to_vec()), vec![])
}

pub fn rectangle(w: f64, h: f64) -> Shape {
    Shape::new(Ring::rectangle(w, h), vec![])
}

pub fn disc(radius: f64, n: usize) -> Shape {
    let at = |i: usize| {
        let a = std::f64::consts::TAU * i as f64 / n as f64;
        point(radius + radius * a.cos(), radius + radius * a.sin())
    };
    Shape::new(Ring((0..n).map(at).collect()), vec![])
}

pub fn stock(width: f64, height: f64, margin: f64) -> Stock {
    Stock {
        name: "sheet".into(),
        material: "walnut".into(),
        thickness: 6.0,
        outline: Ring::rectangle(width, height),
        open_length: false,
        quantity: None,
        price: None,
        margin,
        keep_clear: vec![],
        clamps: vec![],
        grain: 0.0,
    }
}

pub fn problem(parts: Vec<NestPart>, sheets: Vec<Stock>, gap: f64, moves: u64) -> NestTask {
    let budget = Budget { moves: Some(moves), time: None };
    NestTask { parts, sheets, kerf: gap, gap, seed: 7, budget, threads: 2 }
}

pub fn run(problem: &NestTask) -> Nested {
    nest(problem, &Control { stop: &AtomicBool::new(false), progress: None })
}

/// Every fault of the layout in words; empty when it is good.
pub fn faults(problem: &NestTask, nested: &Nested) -> Vec<String> {
    let mut faults = vec![];
    for (s, sheet) in nested.sheets.iter().enumerate() {
        let stock = &problem.sheets[sheet.stock];
        let placed: Vec<(Shape, Vec<Ring>)> = sheet
            .placed
            .iter()
            .map(|p| {
                let part = &problem.parts[p.part];
                let landings = part.holds.get(p.hold).into_iter().flatten();
                let landings = landings.map(|l| p.pose.apply_ring(l)).collect();
                (p.pose.apply_shape(&part.shape), landings)
            })
            .collect();
        let mut edge = stock.outline.clone();
        if let Some(length) = sheet.length {
            edge = edge.map(|p| point(p.x.min(length), p.y));
        }
        for (i, (shape, landings)) in placed.iter().enumerate() {
            let margin = clearance_inside(&edge, &shape.outline);
            if margin < stock.margin - TOLERANCE {
                faults.push(format!("sheet {s} part {i}: {margin} mm from the sheet's edge"));
            }
            for keep in &stock.keep_clear {
                let keep = Shape::new(keep.clone(), vec![]);
                let d = shape_distance(shape, &keep, 2.0 * problem.gap + 1.0);
                if d < problem.gap - TOLERANCE {
                    faults.push(format!("sheet {s} part {i}: {d} mm from keep-clear"));
                }
                for landing in landings {
                    if overlap_area(landing, &keep) > 1e-6 {
                        faults.push(format!("sheet {s} part {i}: lands on keep-clear"));
                    }
                }
            }
            for landing in landings {
                if clearance_inside(&edge, landing) < -TOLERANCE {
                    faults.push(format!("sheet {s} part {i}: lands off the sheet"));
                }
            }
            for (j, (other, others)) in placed.iter().enumerate() {
                if i == j {
                    continue;
                }
                let d = shape_distance(shape, other, 2.0 * problem.gap + 1.0);
                if d < problem.gap - TOLERANCE {
                    faults.push(format!("sheet {s} parts {i} and {j}: {d} mm apart"));
                }
                for landing in others {
                    let d = shape_distance(
                        shape,
                        &Shape::new(landing.clone(), vec![]),
                        2.0 * problem.kerf + 1.0,
                    );
                    if d < problem.kerf - TOLERANCE {
                        faults.push(format!("sheet {s} part {i}: {d} mm from a landing of {j}"));
                    }
                }
            }
        }
    }
    for (k, part) in problem.parts.iter().enumerate() {
        let mut copies: Vec<usize> = nested
            .sheets
            .iter()
            .flat_map(|s| &s.placed)
            .filter(|p| p.part == k && !p.spare)
            .map(|p| p.copy)
            .chain(nested.unplaced.iter().filter(|u| u.part == k).map(|u| u.copy))
            .collect();
        copies.sort_unstable();
        if copies != (1..=part.copies).collect::<Vec<_>>() {
            faults.push(format!("{}: copies {copies:?} accounted for", part.name));
        }
    }
    faults
}

/// Distance of the inner ring from the outer's edge, negative when it pokes out.
fn clearance_inside(outer: &Ring, inner: &Ring) -> f64 {
    let out =
        difference(&[Shape::new(inner.clone(), vec![])], &[Shape::new(outer.clone(), vec![])]);
    let poking: f64 = out.iter().map(Shape::net_area).sum();
    let d = inner
        .segments()
        .flat_map(|s| outer.segments().map(move |t| s.distance(t)))
        .fold(f64::INFINITY, f64::min);
    if poking > 1e-4 { -poking.sqrt() } else { d }
}

fn overlap_area(ring: &Ring, shape: &Shape) -> f64 {
    tabwright::geometry::intersection(
        &[Shape::new(ring.clone(), vec![])],
        std::slice::from_ref(shape),
    )
    .iter()
    .map(Shape::net_area)
    .sum()
}
