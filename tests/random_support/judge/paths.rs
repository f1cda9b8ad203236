//! The passes as drawn, by distances alone: where the bit's centre runs, what its edge reaches.
//!
//! No swept area is made (the program's own check makes one): a point of an edge is cut if a pass runs by it at the bit's
//! radius, and a part is whole if no pass comes nearer than that.

use super::super::RandomJob;
use super::measure::{Edges, near, rings};
use super::reading::{Placed, Sheet, Tab};
use super::svg::Passes;
use super::{ALLOWED, Faults};
use geo::{BoundingRect, Contains, Distance, Euclidean, Line, Point, Polygon};

/// What a pass may miss or take, mm: its chords (0.005), the file's decimals, and the chords of the edge.
const OFF: f64 = 0.012;
/// How far apart points of an edge are looked at, mm.
const STEP: f64 = 0.7;

pub fn check(job: &RandomJob, sheet: &Sheet, passes: &Passes, faults: &mut Faults) {
    whole(job, sheet, passes, faults);
    let through = Edges::of(passes.through.iter().map(|p| &p.line));
    let upper = Edges::of(passes.upper.iter().map(|p| &p.line));
    for part in &sheet.parts {
        let full = |t: &Tab| t.height >= sheet.thickness - 1e-6;
        match part.method.as_str() {
            "tabs" | "tape" => {
                cut(sheet, part, &through, |_| true, "not cut through", faults);
                // Edges without tabs need no pass above them.
                let lower = |ring: usize| part.tabs.iter().any(|t| t.ring == ring);
                if lower(0) {
                    cut(sheet, part, &upper, full, "upper pass", faults);
                }
            }
            "skin" => cut(sheet, part, &upper, |_| true, "skin pass", faults),
            _ => {}
        }
        for tab in &part.tabs {
            left_standing(sheet, part, tab, &through, faults);
            if full(tab) {
                left_standing(sheet, part, tab, &upper, faults);
            }
        }
    }
}

/// No pass comes nearer to a part than the bit's radius; in a detail narrower than the bit, within the allowance, nearer by half
/// of what it lacks.
fn whole(job: &RandomJob, sheet: &Sheet, passes: &Passes, faults: &mut Faults) {
    let r = sheet.diameter / 2.0;
    for pass in passes.upper.iter().chain(&passes.through) {
        for part in &sheet.parts {
            if !near(pass.line.bounding_rect(), part.shape.bounding_rect(), r) {
                continue;
            }
            let distance = rings(&part.shape)
                .map(|edge| Euclidean.distance(&pass.line, edge))
                .fold(f64::INFINITY, f64::min);
            let drawn = job.parts.iter().find(|p| p.name == part.part);
            let narrowest = drawn.map_or(f64::INFINITY, |p| p.narrowest);
            let lacks = (sheet.diameter - narrowest).clamp(0.0, ALLOWED) / 2.0;
            let inside = pass.line.points().next().is_some_and(|p| part.shape.contains(&p));
            faults.unless(!inside && distance >= r - OFF - lacks, "gouged", || {
                format!("{}: {} runs {distance} from {}", sheet.id, pass.id, part.name)
            });
        }
    }
}

/// Every point of the part's edges that the bit can touch is touched, but where tabs stand.
fn cut(
    sheet: &Sheet,
    part: &Placed,
    passes: &Edges,
    stands: impl Fn(&Tab) -> bool,
    kind: &'static str,
    faults: &mut Faults,
) {
    let r = sheet.diameter / 2.0;
    let own = Edges::of_polygon(&part.shape);
    let bridges: Vec<Polygon> =
        part.tabs.iter().filter(|t| stands(t)).map(|t| t.strip(0.0, sheet.diameter)).collect();
    for (n, ring) in rings(&part.shape).enumerate() {
        // A skin's or an upper pass round an opening is looked at only where the opening has tabs of its own.
        if kind != "not cut through" && n > 0 {
            continue;
        }
        let missed = ring.lines().flat_map(|l| samples(&l)).find(|(p, normals)| {
            // The bit touches p from one side of the edge or the other, where its disc has room and takes no tab.
            let free = normals.iter().any(|&out| {
                let centre = *p + out * r;
                !part.shape.contains(&centre)
                    && own.from(centre) >= r - 0.002
                    && bridges.iter().all(|b| Euclidean.distance(&centre, b) >= r + 0.25)
            });
            free && passes.from(*p) > r + OFF
        });
        if let Some((p, _)) = missed {
            faults.add(
                kind,
                format!(
                    "{}: {} edge {n} at {:.3} {:.3}: the bit comes no nearer than {:.4}",
                    sheet.id,
                    part.name,
                    p.x(),
                    p.y(),
                    passes.from(p) - r
                ),
            );
        }
    }
}

/// Points inside a segment with its two normals.
fn samples(l: &Line) -> Vec<(Point, [Point; 2])> {
    let along = l.end_point() - l.start_point();
    let length = along.x().hypot(along.y());
    if length < 1e-6 {
        return vec![];
    }
    let normal = Point::new(along.y() / length, -along.x() / length);
    let n = (length / STEP).ceil();
    let at = |i: usize| l.start_point() + along * ((i as f64 + 0.5) / n);
    (0..n as usize).map(|i| (at(i), [normal, -normal])).collect()
}

/// The tab keeps its width: from its middle, anywhere over the kerf, the way is free to either side.
fn left_standing(sheet: &Sheet, part: &Placed, tab: &Tab, passes: &Edges, faults: &mut Faults) {
    let r = sheet.diameter / 2.0;
    let side = Point::new(-tab.out.y(), tab.out.x());
    let free = |from: Point, along: Point| {
        // As far as the nearest pass is off, nothing is in the way: step by that.
        let (mut way, most) = (0.0, 2.0 * tab.width + sheet.diameter);
        while way < most {
            let step = passes.from(from + along * way) - r;
            if step < 0.001 {
                break;
            }
            way += step;
        }
        way.min(most)
    };
    let (left, over) = (0..=20)
        .map(|i| sheet.diameter * f64::from(i) / 20.0)
        .map(|y| {
            let middle = tab.at + tab.out * y;
            (free(middle, side) + free(middle, side * -1.0), y)
        })
        .fold((f64::INFINITY, 0.0), |a, b| if b.0 < a.0 { b } else { a });
    // On a bend the narrowest way is not square to the tab; what is left of a whole notch is far wider than this.
    faults.unless(left <= 1.25 * tab.width + 0.5, "tab wide", || {
        format!(
            "{}: a tab of {} at {:.2} {:.2} is left {left:.3} wide, planned {}",
            sheet.id,
            part.name,
            tab.at.x(),
            tab.at.y(),
            tab.width
        )
    });
    // A tenth of a mm off a tab's width is no fault of the plan (common practice, no source).
    faults.unless(left >= tab.width - 0.1, "tab thin", || {
        format!(
            "{}: a tab of {} at {:.2} {:.2} is left {left:.3} wide {over:.2} out, planned {}",
            sheet.id,
            part.name,
            tab.at.x(),
            tab.at.y(),
            tab.width
        )
    });
}
