//! Each copy is the drawn part, turned and moved as the layout says, and lies as the job allows.

use super::super::curve::{P, Place};
use super::super::{Grain, Part, RandomJob};
use super::Faults;
use super::measure::{closed, hausdorff, rings};
use super::reading::{Layout, Placed, Sheet};
use super::sheets::READ;
use std::collections::BTreeMap;

pub fn check(job: &RandomJob, layout: &Layout, faults: &mut Faults) {
    // Of parts that leave the grain to the program: its direction in the part, degrees, by part and copy.
    let mut chosen: BTreeMap<&str, Vec<(f64, &Placed)>> = BTreeMap::new();
    for (sheet, placed) in layout.sheets.iter().flat_map(|s| s.parts.iter().map(move |p| (s, p))) {
        let Some(part) = job.parts.iter().find(|p| p.name == placed.part) else { continue };
        as_drawn(part, placed, faults);
        faults.unless(part.mirror || !placed.mirrored, "mirrored", || placed.name.clone());
        if !part.material.grain || pinned(part, placed) {
            continue;
        }
        let along = grain_in_part(sheet, placed);
        match part.grain {
            Grain::Any => {}
            Grain::Strong => chosen.entry(&part.name).or_default().push((along, placed)),
            Grain::Along(degrees) => {
                let off = apart(along, degrees);
                faults.unless(off <= part.tolerance_deg + 1e-6, "grain", || {
                    format!("{} lies {off} degrees off its grain", placed.name)
                });
            }
        }
    }
    for (name, copies) in chosen {
        let Some(part) = job.parts.iter().find(|p| p.name == name) else { continue };
        for (along, placed) in &copies[1..] {
            let off = apart(*along, copies[0].0);
            faults.unless(off <= 2.0 * part.tolerance_deg + 1e-6, "grain of copies", || {
                format!("{} and {}: {off} degrees apart", placed.name, copies[0].1.name)
            });
        }
    }
    pins(job, layout, faults);
}

/// The sheet's grain in the part's own frame, degrees.
fn grain_in_part(sheet: &Sheet, placed: &Placed) -> f64 {
    let turned_back = sheet.grain_deg - placed.turn_deg;
    if placed.mirrored { 180.0 - turned_back } else { turned_back }
}

/// The angle between two lines, degrees, 0 to 90.
fn apart(a: f64, b: f64) -> f64 {
    let d = (a - b).rem_euclid(180.0);
    d.min(180.0 - d)
}

fn as_drawn(part: &Part, placed: &Placed, faults: &mut Faults) {
    let turn = placed.turn_deg.to_radians();
    let place = Place { scale: 1.0, flip: placed.mirrored, turn, at: placed.at };
    let laid = |ring: &Vec<P>| closed(&ring.iter().map(|&p| place.apply(p)).collect::<Vec<_>>());
    let drawn: Vec<_> = std::iter::once(&part.outline).chain(&part.openings).map(laid).collect();
    let made: Vec<_> = rings(&placed.shape).collect();
    faults.unless(made.len() == drawn.len(), "openings", || {
        format!("{} has {} edges, {} are drawn", placed.name, made.len(), drawn.len())
    });
    let off = hausdorff(made[0], &drawn[0]);
    faults.unless(off < READ, "shape", || format!("{}: the outline is {off} off", placed.name));
    for opening in &drawn[1..] {
        let off = made[1..].iter().map(|m| hausdorff(m, opening)).fold(f64::INFINITY, f64::min);
        faults.unless(off < READ, "shape", || format!("{}: an opening is {off} off", placed.name));
    }
    let features: Vec<_> = placed
        .features
        .iter()
        .filter(|(kind, _)| kind != "tab-free")
        .flat_map(|(kind, rings)| rings.iter().map(move |r| (kind, r)))
        .collect();
    faults.unless(features.len() == part.features.len(), "features", || {
        format!("{} has {}, {} are drawn", placed.name, features.len(), part.features.len())
    });
    for (kind, edge) in &part.features {
        let near = features.iter().any(|(k, r)| k == kind && hausdorff(r, &laid(edge)) < READ);
        faults.unless(near, "features", || format!("{}: its {kind} is not there", placed.name));
    }
}

/// Whether the copy lies where the job pinned the part.
fn pinned(part: &Part, placed: &Placed) -> bool {
    part.pin.is_some_and(|pin| {
        (0..2).all(|k| (placed.at[k] - pin.at[k]).abs() < 1e-6)
            && (placed.turn_deg - pin.turn_deg)
                .rem_euclid(360.0)
                .min((pin.turn_deg - placed.turn_deg).rem_euclid(360.0))
                < 1e-6
    })
}

/// A pinned copy lies where it was pinned, on the group's first sheet, or is named as left over.
fn pins(job: &RandomJob, layout: &Layout, faults: &mut Faults) {
    for part in job.parts.iter().filter(|p| p.pin.is_some()) {
        let of_group = |s: &&Sheet| s.parts.iter().any(|p| p.part == part.name);
        let first = layout.sheets.iter().find(of_group);
        let lies =
            first.is_some_and(|s| s.parts.iter().any(|p| p.part == part.name && pinned(part, p)));
        let left = layout.unplaced.iter().any(|(name, _)| *name == part.name);
        faults.unless(lies || left, "pin", || format!("{} is not at {:?}", part.name, part.pin));
    }
}
