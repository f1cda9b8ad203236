//! Checks parts and remnants on their sheet: inside its edge, off its keep-clear areas.

use super::copies::rings_differ;
use super::finding::{Edge, Figure, PartFinding, RingFlaw, SheetFinding};
use super::numbers::{GREATEST, good_length, usable};
use super::penetration::{deep_place, greatest_depth};
use super::prepared::{Examined, Prepared};
use super::problem::{Problem, What};
use super::rings;
use super::rules::Rules;
use super::spacing::nearest;
use crate::geometry::{Bounds, EdgeIndex, Point, Ring, Segment};
use crate::layout::Sheet;

/// Problems of the sheet itself, and of its parts and remnants on it.
pub(super) fn check(sheet: &Sheet, parts: &[Prepared], rules: &Rules, problems: &mut Vec<Problem>) {
    numbers(sheet, problems);
    let on = Examined { sheet, parts, rules };
    let (gap, bit) = (sheet.gap, sheet.bit.diameter);
    if rules.complete && good_length(gap) && gap < bit - rules.slack() {
        let problem = Problem::sheet(What::Gap, sheet, SheetFinding::GapUnderBit);
        problems.push(problem.amount(gap, bit));
    }
    let bad_ring = |edge: Edge, flaw: RingFlaw| {
        Problem::sheet(What::Ring, sheet, PartFinding::BadRing { edge, flaw })
    };
    let outline = match usable(&sheet.outline) {
        Ok(()) => Some(SheetEdge::new(&sheet.outline)),
        Err(flaw) => {
            problems.push(bad_ring(Edge::Sheet, flaw));
            None
        }
    };
    if let Some(stock) = &outline {
        if let Some(at) = rings::self_contact(&sheet.outline) {
            problems.push(bad_ring(Edge::Sheet, RingFlaw::Crosses).at(at));
        }
        for part in parts {
            problems.extend(on_stock(sheet, stock, part, rules.tolerance));
        }
    }
    for (i, area) in sheet.keep_clear.iter().enumerate() {
        let edge = Edge::KeepClear(i + 1);
        if let Err(flaw) = usable(area) {
            problems.push(bad_ring(edge, flaw));
            continue;
        }
        if let Some(at) = rings::self_contact(area) {
            problems.push(bad_ring(edge, RingFlaw::Crosses).at(at));
        }
        for part in parts {
            problems.extend(off_keep_clear(sheet, i, area, part, rules.tolerance));
        }
    }
    for (i, clamp) in sheet.clamps.iter().enumerate() {
        let kept = |area: &Ring| rings_differ(area, clamp, rules.slack()).is_none();
        if !sheet.keep_clear.iter().any(kept) {
            let found = SheetFinding::ClampNotKeptClear { clamp: i + 1 };
            problems.push(Problem::sheet(What::KeepClear, sheet, found));
        }
    }
    for (i, remnant) in sheet.remnants.iter().enumerate() {
        check_remnant(&on, outline.as_ref(), i, &remnant.outline, problems);
    }
}

fn numbers(sheet: &Sheet, problems: &mut Vec<Problem>) {
    let mut must = |good: bool, figure: Figure, value: f64| {
        if !good {
            let found = SheetFinding::SheetFigure { figure, value };
            problems.push(Problem::sheet(What::Number, sheet, found));
        }
    };
    let positive = |v: f64| v > 0.0 && v <= GREATEST;
    must(positive(sheet.thickness), Figure::Thickness, sheet.thickness);
    must(positive(sheet.bit.diameter), Figure::BitDiameter, sheet.bit.diameter);
    let bit = if positive(sheet.bit.diameter) { sheet.bit.diameter } else { GREATEST };
    let allowance = sheet.bit.allowance;
    must((0.0..bit).contains(&allowance), Figure::Allowance, allowance);
    must(good_length(sheet.gap), Figure::Gap, sheet.gap);
    must(good_length(sheet.margin), Figure::Margin, sheet.margin);
    must(sheet.grain_deg.is_finite(), Figure::GrainDeg, sheet.grain_deg);
}

/// The sheet's edge, prepared for distance queries.
struct SheetEdge<'a> {
    outline: &'a Ring,
    segments: Vec<Segment>,
    edges: EdgeIndex,
    bounds: Bounds,
}

impl<'a> SheetEdge<'a> {
    fn new(outline: &'a Ring) -> Self {
        SheetEdge {
            outline,
            segments: outline.segments().collect(),
            edges: EdgeIndex::of_rings(std::iter::once(outline)),
            bounds: outline.bounds(),
        }
    }
}

fn on_stock(sheet: &Sheet, stock: &SheetEdge, part: &Prepared, tolerance: f64) -> Option<Problem> {
    let margin = if good_length(sheet.margin) { sheet.margin } else { 0.0 };
    let inner = Bounds {
        min: stock.bounds.min + crate::geometry::point(margin, margin),
        max: stock.bounds.max - crate::geometry::point(margin, margin),
    };
    let rectangle = stock.segments.len() == 4
        && stock.segments.iter().all(|s| s.a.x == s.b.x || s.a.y == s.b.y);
    let held = |b: Bounds| {
        b.min.x >= inner.min.x
            && b.min.y >= inner.min.y
            && b.max.x <= inner.max.x
            && b.max.y <= inner.max.y
    };
    if rectangle && held(part.bounds) {
        return None;
    }
    let near = nearest(&stock.segments, part, margin.max(tolerance));
    let outside = !stock.outline.contains(part.shape.outline.0[0]);
    if outside || near.is_some_and(|n| n.distance <= tolerance) {
        let place = |depth| {
            let leaves = |p: Point| !stock.outline.contains(p);
            deep_place(part.segments.iter(), &stock.edges, depth, leaves).or_else(|| {
                let material = |p: Point| part.shape.contains(p);
                deep_place(stock.segments.iter(), &part.edges, depth, material)
            })
        };
        if let Some(at) = place(tolerance) {
            let extent = part.bounds.width().max(part.bounds.height()) + distance_off(stock, part);
            let (depth, at) = greatest_depth(tolerance, at, extent, place);
            let problem = Problem::part(What::OffSheet, sheet, part.placed, PartFinding::OffSheet);
            return Some(problem.at(at).amount(depth, 0.0));
        }
    }
    let near = near.filter(|n| n.distance < margin - tolerance)?;
    let problem = Problem::part(What::Margin, sheet, part.placed, PartFinding::TooNearEdge);
    Some(problem.at(near.middle).amount(near.distance, margin))
}

/// Upper bound of a part's distance off its sheet, mm.
fn distance_off(stock: &SheetEdge, part: &Prepared) -> f64 {
    stock.edges.nearest(part.shape.outline.0[0]).map_or(0.0, |n| n.distance)
}

fn off_keep_clear(
    sheet: &Sheet,
    number: usize,
    area: &Ring,
    part: &Prepared,
    tolerance: f64,
) -> Option<Problem> {
    let gap = if good_length(sheet.gap) { sheet.gap } else { 0.0 };
    if !area.bounds().grown(gap).touches(part.bounds) {
        return None;
    }
    let segments: Vec<Segment> = area.segments().collect();
    let within = part.shape.contains(area.0[0]) || area.contains(part.shape.outline.0[0]);
    let near = nearest(&segments, part, gap.max(tolerance));
    let (distance, at) = if gap <= tolerance {
        // Where no distance is asked for, the two may touch and no more.
        (0.0, common_place(part, area, &segments, tolerance)?)
    } else {
        match near {
            // Nested without a common edge.
            _ if within => (0.0, near.map_or(area.0[0], |n| n.middle)),
            Some(n) if n.distance < gap - tolerance => (n.distance, n.middle),
            _ => return None,
        }
    };
    let found = PartFinding::TooNearKeepClear { area: number + 1 };
    let problem = Problem::part(What::KeepClear, sheet, part.placed, found);
    Some(problem.at(at).amount(distance, gap))
}

/// A place more than `depth` inside a part and a kept-clear area.
fn common_place(part: &Prepared, area: &Ring, edges: &[Segment], depth: f64) -> Option<Point> {
    let index = EdgeIndex::of_rings(std::iter::once(area));
    let in_part = |p: Point| part.shape.contains(p);
    let entered = deep_place(edges.iter(), &part.edges, depth, in_part);
    let enters = || deep_place(part.segments.iter(), &index, depth, |p| area.contains(p));
    // Of two with the same edge neither enters the other.
    let middle = || {
        use geo::InteriorPoint;
        let p = part.shape.to_geo().interior_point()?.0;
        let deep = |edges: &EdgeIndex| edges.nearest(p).is_some_and(|n| n.distance > depth);
        (area.contains(p) && deep(&index) && deep(&part.edges)).then_some(p)
    };
    entered.or_else(enters).or_else(middle)
}

/// A place more than `depth` inside both rings.
fn shared_place(a: &Ring, b: &Ring, depth: f64) -> Option<Point> {
    let enters = |from: &Ring, into: &Ring| {
        let edges: Vec<Segment> = from.segments().collect();
        let index = EdgeIndex::of_rings(std::iter::once(into));
        deep_place(edges.iter(), &index, depth, |p| into.contains(p))
    };
    if !a.bounds().touches(b.bounds()) {
        return None;
    }
    enters(a, b).or_else(|| enters(b, a))
}

/// Checks that no tab hangs on a remnant: the tab is sawn off there.
fn on_landings(on: &Examined, number: usize, remnant: &Ring, problems: &mut Vec<Problem>) {
    let Examined { sheet, parts, rules } = *on;
    for part in parts {
        for (n, tab) in part.placed.hold.tabs.iter().enumerate() {
            let landing = tab.landing(sheet.bit.diameter);
            if usable(&landing).is_ok()
                && let Some(at) = shared_place(remnant, &landing, rules.slack())
            {
                let found = SheetFinding::TabOnRemnant { tab: n + 1, remnant: number + 1 };
                problems.push(Problem::part(What::Remnant, sheet, part.placed, found).at(at));
            }
        }
    }
}

/// Checks that no kerf touches a remnant: it is on the sheet, a bit's diameter off every part, off keep-clear areas and off
/// other remnants.
fn check_remnant(
    on: &Examined,
    stock: Option<&SheetEdge>,
    number: usize,
    remnant: &Ring,
    problems: &mut Vec<Problem>,
) {
    let Examined { sheet, parts, rules } = *on;
    let report = |found: SheetFinding| Problem::sheet(What::Remnant, sheet, found);
    let bad_ring = |flaw| {
        let found = PartFinding::BadRing { edge: Edge::Remnant(number + 1), flaw };
        Problem::sheet(What::Remnant, sheet, found)
    };
    if let Err(flaw) = usable(remnant) {
        problems.push(bad_ring(flaw));
        return;
    }
    let segments: Vec<Segment> = remnant.segments().collect();
    if let Some(stock) = stock {
        let leaves = |p: Point| !stock.outline.contains(p);
        if let Some(at) = deep_place(segments.iter(), &stock.edges, rules.slack(), leaves) {
            problems.push(report(SheetFinding::RemnantOffSheet { remnant: number + 1 }).at(at));
        }
    }
    if let Some(at) = rings::self_contact(remnant) {
        problems.push(bad_ring(RingFlaw::Crosses).at(at));
    }
    let areas = sheet.keep_clear.iter().enumerate().map(|(i, a)| (Edge::KeepClear(i + 1), a));
    let before = sheet.remnants[..number].iter().map(|r| &r.outline).enumerate();
    for (on, area) in areas.chain(before.map(|(i, r)| (Edge::Remnant(i + 1), r))) {
        if usable(area).is_ok()
            && let Some(at) = shared_place(remnant, area, rules.slack())
        {
            let found = SheetFinding::RemnantOverlaps { remnant: number + 1, on };
            problems.push(report(found).at(at));
        }
    }
    let kerf = if good_length(sheet.bit.diameter) { sheet.bit.diameter } else { 0.0 };
    let reach = remnant.bounds().grown(kerf);
    on_landings(on, number, remnant, problems);
    for part in parts.iter().filter(|p| p.bounds.touches(reach)) {
        let within = part.shape.contains(remnant.0[0]) || remnant.contains(part.shape.outline.0[0]);
        let near = nearest(&segments, part, kerf);
        let distance = if within { 0.0 } else { near.map_or(kerf, |n| n.distance) };
        if distance < kerf - rules.slack() || (within && kerf <= rules.slack()) {
            let at = near.map_or(remnant.0[0], |n| n.middle);
            let found = SheetFinding::KerfInRemnant { remnant: number + 1 };
            let problem = Problem::part(What::Remnant, sheet, part.placed, found);
            problems.push(problem.at(at).amount(distance, kerf));
        }
    }
}
