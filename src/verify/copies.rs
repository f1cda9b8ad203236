//! Checks that all copies of one part have the same shape and features under their poses, and that each is named once.

use super::copy_name::CopyName;
use super::finding::{Difference, PartFinding, Reference};
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rings;
use super::rules::Rules;
use crate::geometry::{Point, Ring, Segment, Shape, Vector};
use crate::layout::{Feature, FeatureKind, Sheet};
use std::collections::BTreeMap;

/// Problems of all copies of all parts, over all sheets.
///
/// The first copy is the reference; its rings are checked against each other, those of the others only if
/// they differ from it.
pub(super) fn check(
    sheets: &[Sheet],
    prepared: &[(Vec<Prepared>, Vec<Problem>)],
    rules: &Rules,
) -> Vec<Problem> {
    let mut problems = vec![];
    let mut first: BTreeMap<&str, (Shape, Vec<Feature>, CopyName)> = BTreeMap::new();
    let mut seen: BTreeMap<CopyName, &str> = BTreeMap::new();
    for (sheet, (parts, _)) in sheets.iter().zip(prepared) {
        for part in parts {
            let placed = part.placed;
            if let Some(before) = seen.insert(CopyName::of(placed), &sheet.id) {
                let found = PartFinding::PlacedTwice { also_on: before.into() };
                problems.push(Problem::part(What::Count, sheet, placed, found));
            }
            features_on_part(sheet, part, rules, &mut problems);
            let pose = placed.pose();
            let shape = part.shape.map(|p| pose.inverse(p));
            let features: Vec<Feature> =
                placed.features.iter().map(|f| f.map(|p| pose.inverse(p))).collect();
            let Some((reference, drawn, name)) = first.get(placed.part.as_str()) else {
                rings::check(sheet, part, &mut problems);
                against_job(sheet, part, &shape, rules, &mut problems);
                in_its_frame(sheet, part, &shape, rules, &mut problems);
                first.insert(&placed.part, (shape, features, CopyName::of(placed)));
                continue;
            };
            let mut report = |what, found: PartFinding| {
                problems.push(Problem::part(what, sheet, placed, found).at(part.bounds.centre()));
            };
            let than = || Reference::Copy(name.clone());
            match shapes_differ(reference, &shape, rules.slack()) {
                Some(differ) => {
                    report(What::Copies, PartFinding::OtherShape { than: than(), differ });
                    rings::check(sheet, part, &mut problems);
                }
                None if features_differ(drawn, &features, rules.slack()) => {
                    report(What::Feature, PartFinding::OtherFeatures { than: than() });
                }
                None => {}
            }
        }
    }
    problems
}

/// Greatest distance from its part of a line that keeps an edge clear of tabs, mm: it is drawn beside the edge by hand.
const BESIDE: f64 = 3.0;

/// Checks that features moved with their part: some of each lies on the part, or beside the edge that it keeps clear of tabs.
fn features_on_part(sheet: &Sheet, part: &Prepared, rules: &Rules, problems: &mut Vec<Problem>) {
    for (i, feature) in part.placed.features.iter().enumerate() {
        let mut points =
            feature.rings.iter().chain(&feature.lines).flat_map(Ring::points).peekable();
        let Some(&&at) = points.peek() else { continue };
        let beside = if feature.kind == FeatureKind::TabFree { BESIDE } else { 0.0 };
        let on_part = |&p: &Point| {
            let outline = &part.shape.outline;
            outline.contains(p) || outline.edge_distance(p) <= beside + rules.slack()
        };
        // A line may reach past both ends of the edge that it runs along.
        let crosses = || {
            let lines = feature.lines.iter().flat_map(|l| l.0.windows(2));
            let mut lines = lines.map(|w| Segment::new(w[0], w[1]));
            let near = beside + rules.slack();
            lines.any(|l| part.segments.iter().any(|s| s.distance(l) <= near))
        };
        if !points.any(on_part) && !crosses() {
            let found = PartFinding::FeatureOffPart { feature: feature.kind, number: i + 1 };
            problems.push(Problem::part(What::Feature, sheet, part.placed, found).at(at));
        }
    }
}

fn against_job(
    sheet: &Sheet,
    part: &Prepared,
    shape: &Shape,
    rules: &Rules,
    problems: &mut Vec<Problem>,
) {
    let Some(shapes) = rules.shapes else { return };
    if let Some((_, drawn)) = shapes.iter().find(|(name, _)| *name == part.placed.part)
        && let Some(differ) = shapes_differ(drawn, shape, rules.slack())
    {
        let found = PartFinding::OtherShape { than: Reference::Job, differ };
        problems
            .push(Problem::part(What::Copies, sheet, part.placed, found).at(part.bounds.centre()));
    }
}

/// Checks the pose: a part's own frame has its origin at the top left of its bounds, so any other pose is not the outline's.
fn in_its_frame(
    sheet: &Sheet,
    part: &Prepared,
    shape: &Shape,
    rules: &Rules,
    problems: &mut Vec<Problem>,
) {
    let corner = shape.outline.bounds().min;
    let off = corner.x.abs().max(corner.y.abs());
    if rules.complete && off > rules.slack() {
        let problem = Problem::part(What::Copies, sheet, part.placed, PartFinding::NotInFrame);
        problems.push(problem.at(part.bounds.centre()).amount(off, 0.0));
    }
}

/// How two shapes in the same frame differ; `None` when they are the same within `tolerance`.
fn shapes_differ(a: &Shape, b: &Shape, tolerance: f64) -> Option<Difference> {
    if a.openings.len() != b.openings.len() {
        return Some(Difference::Openings(a.openings.len(), b.openings.len()));
    }
    if let Some(by) = rings_differ(&a.outline, &b.outline, tolerance) {
        return Some(by);
    }
    // Openings may come in another order.
    let mut left: Vec<&Ring> = b.openings.iter().collect();
    for opening in &a.openings {
        match left.iter().position(|o| rings_differ(opening, o, tolerance).is_none()) {
            Some(i) => {
                left.swap_remove(i);
            }
            None => return Some(Difference::Opening),
        }
    }
    None
}

/// How two rings differ, regardless of starting point and direction.
pub(super) fn rings_differ(a: &Ring, b: &Ring, tolerance: f64) -> Option<Difference> {
    let (a, b) = (a.points(), b.points());
    let n = a.len();
    if n != b.len() {
        return Some(Difference::Points(n, b.len()));
    }
    let deviation = |start: usize, forward: bool| {
        let mut worst: f64 = 0.0;
        for (i, p) in a.iter().enumerate() {
            let j = if forward { (start + i) % n } else { (start + n - i) % n };
            worst = worst.max(p.distance(b[j]));
            if worst > tolerance {
                break;
            }
        }
        worst
    };
    let starts: Vec<usize> = (0..n).filter(|&j| b[j].distance(a[0]) <= tolerance).collect();
    let same = starts.iter().any(|&j| [true, false].iter().any(|&f| deviation(j, f) <= tolerance));
    if same {
        return None;
    }
    // The farthest that a point of one lies from the other's points: a figure for the message.
    let far = a.iter().map(|p| b.iter().map(|q| p.distance(*q)).fold(f64::INFINITY, f64::min));
    Some(Difference::Distance(far.fold(tolerance, f64::max)))
}

pub(super) fn features_differ(a: &[Feature], b: &[Feature], tolerance: f64) -> bool {
    a.len() != b.len()
        || a.iter().zip(b).any(|(f, g)| {
            f.kind != g.kind
                || f.name != g.name
                || f.depth != g.depth
                || f.rings.len() != g.rings.len()
                || f.lines.len() != g.lines.len()
                || f.rings.iter().zip(&g.rings).any(|(r, s)| {
                    !(r.0.is_empty() && s.0.is_empty()) && rings_differ(r, s, tolerance).is_some()
                })
                || f.lines.iter().zip(&g.lines).any(|(r, s)| lines_differ(r, s, tolerance))
        })
}

pub(super) fn lines_differ(a: &Ring, b: &Ring, tolerance: f64) -> bool {
    let far = |mut pairs: Box<dyn Iterator<Item = (&Point, &Point)> + '_>| {
        pairs.any(|(p, q)| p.distance(*q) > tolerance)
    };
    a.0.len() != b.0.len()
        || (far(Box::new(a.0.iter().zip(&b.0))) && far(Box::new(a.0.iter().zip(b.0.iter().rev()))))
}
