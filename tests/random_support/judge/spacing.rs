//! Parts, the sheet's edge, keep-clear areas and remnants: none overlap, each keeps its distance.

use super::super::{KeepClear, RandomJob};
use super::Faults;
use super::measure::{closed, edge_distance, near};
use super::reading::Sheet;
use geo::relate::Relate;
use geo::{Area, BooleanOps, BoundingRect, Contains, Distance, Euclidean, Point, Polygon};

/// Rounding, mm: what a distance may fall short of its limit.
const ROUNDING: f64 = 2e-6;
/// What a chord of 0.01 mm may take from a distance to a true circle, mm.
const CHORD: f64 = 0.011;
/// Area under which an overlap is the rounding of edges that touch, mm².
const SLIVER: f64 = 1e-4;

pub fn check(job: &RandomJob, sheet: &Sheet, faults: &mut Faults) {
    for (i, a) in sheet.parts.iter().enumerate() {
        let own = a.shape.bounding_rect();
        for b in &sheet.parts[i + 1..] {
            if !near(own, b.shape.bounding_rect(), sheet.gap) {
                continue;
            }
            let who = || format!("{}: {} and {}", sheet.id, a.name, b.name);
            let apart = a.shape.relate(&b.shape).is_disjoint();
            faults.unless(apart, "overlap", who);
            let distance = edge_distance(&a.shape, &b.shape, sheet.gap);
            faults.unless(distance >= sheet.gap - ROUNDING, "gap", || {
                format!("{} are {distance} apart, the gap is {}", who(), sheet.gap)
            });
        }
        let who = || format!("{}: {}", sheet.id, a.name);
        let inside = sheet.outline.contains(&a.shape) || off(&a.shape, &sheet.outline) < SLIVER;
        faults.unless(inside, "off the sheet", who);
        let distance = edge_distance(&a.shape, &sheet.outline, sheet.margin);
        faults.unless(distance >= sheet.margin - ROUNDING, "margin", || {
            format!("{} is {distance} from the edge, the margin is {}", who(), sheet.margin)
        });
    }
    keep_clear(job, sheet, faults);
    remnants(sheet, faults);
    cleared(sheet, faults);
}

/// How much of `a` lies outside `b`, mm².
fn off(a: &Polygon, b: &Polygon) -> f64 {
    a.difference(b).unsigned_area()
}

/// Keep-clear areas as the job has them, circles as true circles.
fn keep_clear(job: &RandomJob, sheet: &Sheet, faults: &mut Faults) {
    let areas = job.stocks.iter().filter(|s| s.name == sheet.stock).flat_map(|s| &s.keep_clear);
    for area in areas {
        for part in &sheet.parts {
            let distance = match area {
                KeepClear::Circle([x, y], r) => {
                    Euclidean.distance(&Point::new(*x, *y), &part.shape) - r
                }
                KeepClear::Rectangle([x, y], [w, h]) => {
                    from_area(&[[*x, *y], [x + w, *y], [x + w, y + h], [*x, y + h]], &part.shape)
                }
                KeepClear::Drawn(points) => from_area(points, &part.shape),
            };
            faults.unless(distance >= sheet.gap - CHORD, "keep-clear", || {
                format!("{}: {} is {distance} from {area:?}", sheet.id, part.name)
            });
        }
    }
}

fn from_area(points: &[[f64; 2]], part: &Polygon) -> f64 {
    let area = Polygon::new(closed(points), vec![]);
    if area.relate(part).is_disjoint() { edge_distance(&area, part, f64::INFINITY) } else { 0.0 }
}

/// A remnant is whole stock: on the sheet, out of every kerf, off clamps and off the other remnants. A tab may land on one:
/// it is sawn off before the remnant is put away.
fn remnants(sheet: &Sheet, faults: &mut Faults) {
    for (i, r) in sheet.remnants.iter().enumerate() {
        let who = || format!("{}: remnant {}", sheet.id, i + 1);
        faults.unless(off(r, &sheet.outline) < SLIVER, "remnant", || {
            format!("{} lies off the sheet", who())
        });
        for part in &sheet.parts {
            let clear = r.relate(&part.shape).is_disjoint();
            let distance = edge_distance(r, &part.shape, sheet.diameter);
            faults.unless(clear && distance >= sheet.diameter - 1e-5, "remnant", || {
                format!("{} is {distance} from {}", who(), part.name)
            });
        }
        for other in &sheet.remnants[i + 1..] {
            let common = r.intersection(other).unsigned_area();
            faults.unless(common < SLIVER, "remnant", || format!("{} overlaps another", who()));
        }
        for area in &sheet.keep_clear {
            let common = r.intersection(area).unsigned_area();
            faults.unless(common < SLIVER, "remnant on a clamp", || {
                format!("{} takes {common} mm² of a keep-clear area", who())
            });
        }
    }
}

/// A pocket that clears waste lies on the sheet, half a bit off every part.
fn cleared(sheet: &Sheet, faults: &mut Faults) {
    for (i, pocket) in sheet.cleared.iter().enumerate() {
        let who = || format!("{}: pocket {}", sheet.id, i + 1);
        faults.unless(off(pocket, &sheet.outline) < SLIVER, "cleared", || {
            format!("{} lies off the sheet", who())
        });
        for part in &sheet.parts {
            let clear = pocket.relate(&part.shape).is_disjoint();
            let distance = edge_distance(pocket, &part.shape, sheet.diameter);
            faults.unless(clear && distance >= sheet.diameter / 2.0 - 1e-5, "cleared", || {
                format!("{} is {distance} from {}", who(), part.name)
            });
        }
    }
}
