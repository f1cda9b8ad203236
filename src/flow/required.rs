//! The demands of a job on a layout, as plain values for `verify`: straight from the job, not from what the nest was given.

use crate::geometry::Shape;
use crate::hold::strongest_grain;
use crate::job::{Grain, Group, Job, Part, Stock};
use crate::layout::{Feature, FeatureKind, PartGrain};
use crate::verify::{Asked, AskedPart, AskedStock, Rules};
use rayon::prelude::*;

/// Everything that a finished layout of a job is checked against.
pub struct Required {
    counts: Vec<(String, usize)>,
    shapes: Vec<(String, Shape)>,
    asked: Asked,
}

impl Required {
    /// What the job's groups require. Spares are allowed but not required; copies of parts that are left out are still required.
    pub fn of(job: &Job) -> Required {
        let of_groups = job.groups.iter().flat_map(|g| &g.parts).filter_map(|&i| job.parts.get(i));
        let made = of_groups.map(|p| (p.name.clone(), p.quantity));
        let refused = job.refused.iter().map(|p| (p.name.clone(), p.quantity));
        Required {
            counts: made.chain(refused).collect(),
            shapes: job.parts.iter().map(|p| (p.name.clone(), p.shape.clone())).collect(),
            asked: asked_of(job),
        }
    }

    /// The same as rules, without drawings.
    pub fn rules(&self) -> Rules<'_> {
        Rules {
            counts: Some(&self.counts),
            shapes: Some(&self.shapes),
            asked: Some(&self.asked),
            complete: true,
            ..Rules::default()
        }
    }
}

/// What the job asks of parts and stock.
pub fn asked_of(job: &Job) -> Asked {
    let of = |g: usize| job.groups[g].parts.iter().map(move |&i| (g, i));
    let parts: Vec<(usize, usize)> = (0..job.groups.len()).flat_map(of).collect();
    let part = |&(g, i): &(usize, usize)| Some(part_of(job.parts.get(i)?, &job.groups[g]));
    let parts = parts.par_iter().filter_map(part);
    let stock = job.groups.iter().flat_map(|g| g.stock.iter().map(|s| stock_of(job, g, s)));
    Asked { parts: parts.collect(), stock: stock.collect(), hold_down: job.holding.hold_down }
}

fn part_of(part: &Part, group: &Group) -> AskedPart {
    AskedPart {
        name: part.name.clone(),
        material: group.material.name.clone(),
        thickness: group.thickness,
        copies: part.quantity,
        spares: part.spares + usize::from(part.spare_if_free),
        mirror: part.mirror,
        grain: grain_of(part, group),
        pins: part.pins.clone(),
        features: drawn_in(part),
        rounded: part.rounded,
    }
}

fn stock_of(job: &Job, group: &Group, stock: &Stock) -> AskedStock {
    AskedStock {
        name: stock.name.clone(),
        material: group.material.name.clone(),
        thickness: stock.thickness,
        quantity: stock.quantity,
        outline: stock.outline.clone(),
        open_length: stock.open_length,
        margin: stock.margin,
        keep_clear: stock.keep_clear.clone(),
        clamps: stock.clamps.clone(),
        grain_deg: stock.grain.to_degrees(),
        bit: group.bit.diameter,
        gap: group.gap(job.web),
    }
}

/// The direction of the part that must lie along the grain; `None` if any will do: half a turn either way covers all.
fn grain_of(part: &Part, group: &Group) -> Option<PartGrain> {
    let tolerance_deg = part.grain_tolerance.to_degrees();
    if !group.material.has_grain() || tolerance_deg >= 90.0 {
        return None;
    }
    let along = match part.grain {
        Grain::Any => return None,
        Grain::Along(angle) => angle,
        Grain::Strong => strongest_grain(&part.shape, &group.material),
    };
    Some(part_grain(along, tolerance_deg))
}

/// A direction in the form that files have.
pub(super) fn part_grain(along: f64, tolerance_deg: f64) -> PartGrain {
    let deg = along.to_degrees().rem_euclid(180.0);
    // -1e-17 + 180 is 180.
    PartGrain { deg: if deg < 180.0 { deg } else { 0.0 }, tolerance_deg }
}

/// What a placed copy has besides its edges: its features, and the edges to keep clear of tabs.
pub(super) fn drawn_in(part: &Part) -> Vec<Feature> {
    let mut drawn = part.features.clone();
    if !part.tab_free.is_empty() {
        drawn.push(Feature {
            kind: FeatureKind::TabFree,
            name: String::new(),
            depth: None,
            rings: vec![],
            lines: part.tab_free.clone(),
        });
    }
    drawn
}

#[cfg(test)]
mod tests {
    use super::super::small_job::job_with;
    use super::*;

    /// A quarter of a turn either way is every direction, and of `any` none must lie along the grain; else the job's own, or the
    /// part's length, each with the tolerance that the job gives.
    #[test]
    fn a_quarter_turn_of_tolerance_leaves_no_grain_to_keep() {
        let grain = |lines: &str| {
            let job = job_with(lines);
            grain_of(&job.parts[0], &job.groups[0]).map(|g| (g.deg, g.tolerance_deg))
        };
        assert_eq!(grain(""), Some((0.0, 0.0)));
        assert_eq!(grain("grain = 'y'\n"), Some((90.0, 0.0)));
        assert_eq!(grain("grain = 'any'\n"), None);
        assert_eq!(grain("grain = 'y'\ngrain-tolerance = 90\n"), None);
        let nearly = grain("grain = 'y'\ngrain-tolerance = 89\n").expect("a direction");
        assert!(nearly.0 == 90.0 && (nearly.1 - 89.0).abs() < 1e-9, "{nearly:?}");
    }
}
