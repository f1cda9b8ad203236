//! Checks the drawing beside the layout: what the machine gets is what the layout says.
//!
//! The drawing's scale, outlines, openings, features and tabs are the layout's; each ring has the passes that its hold
//! requires, at their depths, and no others. Whether those passes cut well is checked in [`paths`](super::paths).

use super::anchors::{self, Remaining};
use super::copies::{lines_differ, rings_differ};
use super::copy_name::CopyName;
use super::finding::{DrawingFinding, Shown};
use super::paths::{self, DEPTH, Stroke};
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rules::Rules;
use crate::geometry::{Bounds, EdgeIndex, Point, Ring, Segment, Vector};
use crate::layout::{
    CLEARED_GROUP, DrawnGroup, DrawnKind, DrawnLine, DrawnSheet, Feature, FeatureKind, Method,
    PlacedPart, Sheet,
};
use std::collections::BTreeMap;

/// How far a drawn point may be off, mm: drawings have four decimals.
const ROUNDING: f64 = 0.0005;
/// How far a point of the layout may lie from an arc of the drawing, mm: an arc is fitted within 0.0025, and is read by chords
/// within 0.0005.
const FITTED: f64 = 0.0025 + 2.0 * ROUNDING;
/// How far an arc may bulge over the layout's chords, mm: by the chord error of drawings, 0.01.
const CHORDS: f64 = 0.01 + FITTED;
/// Groups that are not passes.
const GROUPS: [&str; 7] =
    ["sheet", "parts", "openings", "features", "tabs", "labels", CLEARED_GROUP];

/// A line that the drawing must show: what it is, its points, whether it is closed.
type Wanted = (Shown, Ring, bool);

/// Problems of a sheet's drawing.
pub(super) fn check(
    sheet: &Sheet,
    parts: &[Prepared],
    stock: Option<&Remaining>,
    rules: &Rules,
    problems: &mut Vec<Problem>,
) {
    let Some(drawings) = rules.drawings else { return };
    let of_sheet = |found: DrawingFinding| Problem::sheet(What::Drawing, sheet, found);
    match drawings.iter().find(|d| d.sheet == sheet.id).map(|d| &d.read) {
        None => problems.push(of_sheet(DrawingFinding::NoDrawing)),
        Some(Err(flaw)) => {
            problems.push(of_sheet(DrawingFinding::DrawingUnreadable { flaw: flaw.clone() }));
        }
        Some(Ok(drawn)) => {
            let drawn = placed(sheet, drawn);
            if same_geometry(sheet, &drawn, problems) {
                let strokes = strokes(sheet, &drawn, problems);
                passes(sheet, parts, &strokes, problems);
                paths::check(sheet, parts, &strokes, problems);
                if let Some(stock) = stock {
                    anchors::drawn(sheet, parts, stock, &strokes, problems);
                }
            }
        }
    }
}

/// The drawing in sheet coordinates: its page begins at the top left of the sheet.
fn placed(sheet: &Sheet, drawn: &DrawnSheet) -> DrawnSheet {
    let corner = sheet.outline.bounds().min;
    let mut drawn = drawn.clone();
    for line in drawn.groups.iter_mut().flat_map(|g| &mut g.lines) {
        for p in &mut line.points {
            *p = *p + corner;
        }
    }
    drawn
}

/// Whether everything but the passes is the layout's; reports what is not.
fn same_geometry(sheet: &Sheet, drawn: &DrawnSheet, problems: &mut Vec<Problem>) -> bool {
    let before = problems.len();
    let mut report = |found: DrawingFinding, at: Option<Point>| {
        let problem = Problem::sheet(What::Drawing, sheet, found);
        problems.push(at.map_or(problem.clone(), |p| problem.at(p)));
    };
    let others = |g: &&DrawnGroup| g.pass.is_none() && g.deep.is_none() && !g.lines.is_empty();
    for group in drawn.groups.iter().filter(others) {
        if !GROUPS.contains(&group.id.as_str()) {
            report(DrawingFinding::StrangeGroup { group: group.id.clone() }, None);
        }
    }
    let edge = lines_in(drawn, "sheet");
    let width = edge.first().map(|l| Ring(l.points.clone()).bounds().width());
    let scale = width.map(|w| w / sheet.outline.bounds().width());
    if let Some(scale) = scale.filter(|s| (s - 1.0).abs() > 1e-4) {
        let problem = Problem::sheet(What::Drawing, sheet, DrawingFinding::Scaled);
        problems.push(problem.amount(scale, 1.0));
        return false;
    }
    let wanted = wanted(sheet, drawn);
    for (item, at) in without_group(sheet, drawn) {
        report(DrawingFinding::NotShown { item }, at);
    }
    for (group, wanted) in wanted {
        let lines = lines_in(drawn, group);
        let mut used = vec![false; lines.len()];
        for (item, ring, closed) in wanted {
            let found =
                lines.iter().enumerate().position(|(i, l)| !used[i] && same(l, &ring, closed));
            match found {
                Some(i) => used[i] = true,
                None => report(DrawingFinding::NotShown { item }, ring.0.first().copied()),
            }
        }
        // A holding bridge is crossed out: two open lines more.
        let extra =
            lines.iter().zip(&used).find(|(l, used)| !**used && (group != "tabs" || l.closed));
        if let Some((line, _)) = extra {
            let found = DrawingFinding::StrangeLine { line: line.id.clone() };
            report(found, line.points.first().copied());
        }
    }
    problems.len() == before
}

/// The lines of the groups with that id.
fn lines_in<'d>(drawn: &'d DrawnSheet, id: &str) -> Vec<&'d DrawnLine> {
    drawn.groups.iter().filter(|g| g.id == id).flat_map(|g| &g.lines).collect()
}

/// The lines that the drawing must show, by the id of their group.
fn wanted<'d>(sheet: &Sheet, drawn: &'d DrawnSheet) -> Vec<(&'d str, Vec<Wanted>)> {
    let parts = || sheet.parts.iter();
    let bit = sheet.bit.diameter;
    let edges = std::iter::once((Shown::Sheet, sheet.outline.clone(), true));
    let keep = sheet.keep_clear.iter().map(|r| (Shown::KeepClear, r.clone(), true));
    let remnants = sheet.remnants.iter().map(|r| (Shown::Remnant, r.outline.clone(), true));
    let cleared = sheet.cleared.iter().map(|r| (Shown::Cleared, r.clone(), true));
    let outline = |p: &PlacedPart| (Shown::Outline(CopyName::of(p)), p.outline.clone(), true);
    let openings = parts().flat_map(|p| {
        p.openings.iter().map(|o| (Shown::Opening(CopyName::of(p)), o.clone(), true))
    });
    let tabs = parts().flat_map(|p| {
        p.hold.tabs.iter().map(move |t| (Shown::Tab(CopyName::of(p)), t.bridge(bit), true))
    });
    // Pockets and holes lie in groups that are named with their depths.
    let deep = |of: Option<(FeatureKind, f64)>| {
        let own = move |f: &&Feature| match (of, depth_of(f, sheet.thickness)) {
            (Some((kind, depth)), Some(own)) => kind == f.kind && (own - depth).abs() <= DEPTH,
            (None, None) => true,
            _ => false,
        };
        parts().flat_map(move |p| p.features.iter().filter(own).flat_map(|f| shown(p, f)))
    };
    let mut wanted: Vec<(&str, Vec<Wanted>)> = vec![
        ("sheet", edges.chain(keep).chain(remnants).collect()),
        ("parts", parts().map(outline).collect()),
        ("openings", openings.collect()),
        ("features", deep(None).collect()),
        ("tabs", tabs.collect()),
        (CLEARED_GROUP, cleared.collect()),
    ];
    let named = drawn.groups.iter().filter_map(|g| Some((g.id.as_str(), g.deep?)));
    wanted.extend(named.map(|(id, of)| (id, deep(Some(of)).collect())));
    wanted
}

/// Pockets and holes for whose depth the drawing has no group, each with a point of it.
fn without_group(sheet: &Sheet, drawn: &DrawnSheet) -> Vec<(Shown, Option<Point>)> {
    let all = sheet.parts.iter().flat_map(|p| p.features.iter().map(move |f| (p, f)));
    let missing = all.filter(|(_, feature)| {
        let Some(depth) = depth_of(feature, sheet.thickness) else { return false };
        let own = |d: (FeatureKind, f64)| d.0 == feature.kind && (d.1 - depth).abs() <= DEPTH;
        !drawn.groups.iter().any(|g| g.deep.is_some_and(own))
    });
    let lines = missing.flat_map(|(part, feature)| shown(part, feature));
    lines.map(|(item, ring, _)| (item, ring.0.first().copied())).collect()
}

/// The depth at which a feature is drawn: of a pocket its own; a hole without one goes through.
fn depth_of(feature: &Feature, thickness: f64) -> Option<f64> {
    match feature.kind {
        FeatureKind::Pocket => feature.depth,
        FeatureKind::Drill => Some(feature.depth.unwrap_or(thickness)),
        _ => None,
    }
}

/// The lines of a feature.
fn shown(part: &PlacedPart, feature: &Feature) -> Vec<Wanted> {
    let what = Shown::Feature(feature.kind, CopyName::of(part));
    let rings = feature.rings.iter().map(|r| (what.clone(), r.clone(), true));
    let lines = feature.lines.iter().map(|l| (what.clone(), l.clone(), false));
    rings.chain(lines).filter(|(_, r, _)| r.0.len() > 1).collect()
}

fn same(line: &DrawnLine, ring: &Ring, closed: bool) -> bool {
    let drawn = Ring(line.points.clone());
    if line.closed != closed {
        return false;
    }
    let points = match closed {
        true => rings_differ(&drawn, ring, ROUNDING).is_none(),
        false => !lines_differ(&drawn, ring, ROUNDING),
    };
    points || same_curve(line, ring)
}

/// Whether a drawn line with arcs is the layout's line of chords: every point of the layout lies on it, none of its own points
/// leaves the chords by more than chords leave curves, and it is as long.
fn same_curve(drawn: &DrawnLine, ring: &Ring) -> bool {
    let (a, b) = (&drawn.points, ring.points());
    let (whole, chords) = (Bounds::of(a), ring.bounds());
    let apart = (whole.min.distance(chords.min)).max(whole.max.distance(chords.max));
    // A corner of the bounds moves by the error in both coordinates.
    if b.len() < 3 || a.len() < 3 || apart.is_nan() || apart > 2.0 * CHORDS {
        return false;
    }
    let lines = |p: &[Point]| lines_of(p, drawn.closed);
    let (a_lines, b_lines) = (lines(a), lines(b));
    let length = |s: &[Segment]| s.iter().map(|s| s.length()).sum::<f64>();
    // A chord of a sixteenth of a circle, the longest, is 0.6 % shorter than its arc.
    let (drawn_mm, mm) = (length(&a_lines), length(&b_lines));
    if !(drawn_mm - mm).abs().le(&(0.01 * mm + CHORDS)) {
        return false;
    }
    let lies = |p: &Point, on: &EdgeIndex, within: f64| {
        on.nearest(*p).is_some_and(|n| n.distance <= within)
    };
    let (a_edges, b_edges) = (EdgeIndex::of_segments(&a_lines), EdgeIndex::of_segments(&b_lines));
    b.iter().all(|p| lies(p, &a_edges, FITTED)) && a.iter().all(|p| lies(p, &b_edges, CHORDS))
}

/// Every drawn pass, line by line, with the part and ring that its id names.
fn strokes(sheet: &Sheet, drawn: &DrawnSheet, problems: &mut Vec<Problem>) -> Vec<Stroke> {
    let mut stems: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (i, part) in sheet.parts.iter().enumerate() {
        stems.entry(sound(&format!("{}.{}", part.part, part.copy))).or_default().push(i);
    }
    let mut strokes = vec![];
    let pass = |found: DrawingFinding, at: Point| Problem::sheet(What::Pass, sheet, found).at(at);
    for group in &drawn.groups {
        let Some(drawn_pass) = group.pass else { continue };
        for line in &group.lines {
            let at = line.points[0];
            let plunge = drawn_pass.kind == DrawnKind::Plunge;
            let owner = owner(sheet, &stems, line, drawn_pass.kind);
            let (path, of) = (|| line.id.clone(), || group.id.clone());
            if owner.is_none() {
                problems.push(pass(DrawingFinding::StrangePath { path: path(), group: of() }, at));
            }
            if plunge != line.diameter.is_some() {
                problems.push(pass(DrawingFinding::WrongGroup { path: path(), group: of() }, at));
                continue;
            }
            let bit = sheet.bit.diameter;
            if let Some(d) = line.diameter.filter(|d| (d - bit).abs() > 4.0 * ROUNDING) {
                let found = DrawingFinding::PlungeDiameter { path: path() };
                problems.push(pass(found, at).amount(d, bit));
            }
            strokes.push(Stroke {
                id: path(),
                owner,
                kind: drawn_pass.kind,
                depth: drawn_pass.depth,
                closed: line.closed,
                segments: lines_of(&line.points, line.closed),
            });
        }
    }
    strokes
}

fn lines_of(p: &[Point], closed: bool) -> Vec<Segment> {
    let mut all: Vec<Segment> = p.windows(2).map(|w| Segment::new(w[0], w[1])).collect();
    if p.len() == 1 || closed {
        all.push(Segment::new(p[p.len() - 1], p[0]));
    }
    all
}

/// The part and ring of `PART.COPY.through.RING.N`; if several parts' names are written alike, the one whose edge it follows.
fn owner(
    sheet: &Sheet,
    stems: &BTreeMap<String, Vec<usize>>,
    line: &DrawnLine,
    kind: DrawnKind,
) -> Option<(usize, usize)> {
    let word = format!(".{}.", kind.word());
    let at = line.id.rfind(&word)?;
    let (stem, rest) = (&line.id[..at], &line.id[at + word.len()..]);
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let ring: usize = digits.parse().ok()?;
    let far = |part: &usize| {
        let placed = &sheet.parts[*part];
        let ring = if ring == 0 { Some(&placed.outline) } else { placed.openings.get(ring - 1) };
        ring.map_or(f64::INFINITY, |r| r.edge_distance(line.points[0]))
    };
    let candidates = stems.get(stem)?.iter().filter(|p| far(p).is_finite());
    candidates.min_by(|a, b| far(a).total_cmp(&far(b))).map(|p| (*p, ring))
}

/// A name in the form of an id: characters other than letters, digits, `.`, `_` and `-` become `-`, and a letter comes first.
fn sound(name: &str) -> String {
    let keep = |c: char| c.is_alphabetic() || c.is_ascii_digit() || ".-_".contains(c);
    let id: String = name.chars().map(|c| if keep(c) { c } else { '-' }).collect();
    if id.starts_with(char::is_alphabetic) { id } else { format!("p{id}") }
}

/// Checks that each ring has the passes that its hold requires, at their depths, and no others.
fn passes(sheet: &Sheet, parts: &[Prepared], strokes: &[Stroke], problems: &mut Vec<Problem>) {
    for part in parts {
        let Some(i) = sheet.parts.iter().position(|p| std::ptr::eq(p, part.placed)) else {
            continue;
        };
        for ring in 0..=part.placed.openings.len() {
            let mut wanted = asked(sheet, part.placed, ring);
            let own = strokes.iter().filter(|s| s.owner == Some((i, ring)));
            let mut seen: Vec<(DrawnKind, f64, Point)> =
                own.filter_map(|s| Some((s.kind, s.depth, s.segments.first()?.a))).collect();
            seen.dedup_by(|a, b| a.0 == b.0 && (a.1 - b.1).abs() <= DEPTH);
            let mut report = |found: DrawingFinding, at: Point| {
                let problem = Problem::part(What::Pass, sheet, part.placed, found);
                problems.push(problem.at(at));
            };
            let place =
                |ring: usize| part.shape.ring(ring).map_or(part.bounds.centre(), |r| r.0[0]);
            for (pass, depth_mm, at) in seen {
                // A hole as wide as the bit is plunged instead of cut round.
                let serves = |w: &(DrawnKind, f64)| {
                    (w.0 == pass || pass == DrawnKind::Plunge) && (w.1 - depth_mm).abs() <= DEPTH
                };
                if !asked(sheet, part.placed, ring).iter().any(serves) {
                    report(DrawingFinding::StrangePass { pass, depth_mm, ring }, at);
                }
                wanted.retain(|w| !serves(w));
            }
            for (pass, depth_mm) in wanted {
                report(DrawingFinding::PassMissing { pass, depth_mm, ring }, place(ring));
            }
        }
    }
}

/// The passes that a ring needs: one for each height of its tabs, the highest first, then one through the sheet; beside
/// holding bridges alone, one that leaves the last pass; on a skin, one that leaves the skin; none if nothing holds the part.
fn asked(sheet: &Sheet, part: &PlacedPart, ring: usize) -> Vec<(DrawnKind, f64)> {
    let (hold, t) = (&part.hold, sheet.thickness);
    if ring == 0 && !hold.cuts_free() {
        return vec![];
    }
    let mut tabs = hold.tabs.iter().filter(|t| t.ring == ring).peekable();
    if tabs.peek().is_none() {
        return match (hold.method, hold.skin_mm) {
            (Method::Skin, Some(skin)) => vec![(DrawnKind::Upper, (t - skin).max(0.0))],
            _ => vec![(DrawnKind::Through, t)],
        };
    }
    let mut tops: Vec<f64> =
        tabs.filter(|tab| !tab.is_holding_bridge(t)).map(|tab| tab.height).collect();
    if tops.is_empty() && hold.last_pass > 0.0 && hold.last_pass < t {
        tops.push(hold.last_pass);
    }
    tops.sort_by(|a, b| b.total_cmp(a));
    tops.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let upper = tops.into_iter().map(|h| (DrawnKind::Upper, (t - h).max(0.0)));
    upper.chain([(DrawnKind::Through, t)]).collect()
}
