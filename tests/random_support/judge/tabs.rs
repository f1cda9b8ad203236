//! Tabs on their edges, landings on whole stock, last passes as shallow as the shallowest part wants.

use super::super::curve::Place;
use super::super::{RandomJob, parts};
use super::Faults;
use super::measure::{Edges, edge_distance, near, rings};
use super::reading::{Placed, Sheet, Tab};
use geo::relate::Relate;
use geo::{
    Area, BooleanOps, BoundingRect, Contains, Distance, Euclidean, Length, LineString,
    MultiLineString, Point,
};

/// Depth of stock that a tab needs beyond the kerf, mm (what the layout's README states).
const LANDING: f64 = 2.0;
/// Rounding of positions on an edge, mm.
const ON: f64 = 1e-4;
/// A landing's corner on a hollow edge may lie in the part's own kerf by a tenth of the bit.
const OWN: f64 = 0.9;

pub fn check(job: &RandomJob, sheet: &Sheet, faults: &mut Faults) {
    faults.unless(sheet.last_pass > 0.0 && sheet.last_pass <= sheet.thickness, "last pass", || {
        format!("{}: {} of {} mm", sheet.id, sheet.last_pass, sheet.thickness)
    });
    for (i, part) in sheet.parts.iter().enumerate() {
        let who = || format!("{}: {}", sheet.id, part.name);
        if part.method == "tabs" {
            faults.unless(sheet.last_pass <= part.last_pass + 1e-9, "last pass", || {
                format!("{} wants {}, the sheet has {}", who(), part.last_pass, sheet.last_pass)
            });
            let outline = part.tabs.iter().filter(|t| t.ring == 0 && !t.waste).count();
            faults.unless(outline > 0, "no tabs", who);
        }
        let skin = part.skin.is_some_and(|s| s > 0.0 && s < sheet.thickness);
        faults.unless(part.method != "skin" || skin, "skin", who);
        for (n, tab) in part.tabs.iter().enumerate() {
            let who = || format!("{}: {} tab {}", sheet.id, part.name, n + 1);
            let sized = tab.width > 0.5 && tab.height > 0.0 && tab.height <= sheet.thickness;
            faults.unless(sized, "tab size", || {
                format!("{} is {} wide and {} high", who(), tab.width, tab.height)
            });
            on_edge(part, tab, faults, &who);
            tab_free(job, part, tab, faults, &who);
            landing(sheet, i, tab, faults, &who);
            for other in part.tabs[n + 1..].iter().filter(|t| t.ring == tab.ring) {
                let (a, b) = (tab.strip(0.0, sheet.diameter), other.strip(0.0, sheet.diameter));
                let between = Euclidean.distance(&a, &b);
                faults.unless(between >= sheet.diameter - ON, "tabs apart", || {
                    format!("{} leaves {between} mm to the next", who())
                });
            }
        }
    }
}

/// On its edge, looking straight away from the part.
fn on_edge(part: &Placed, tab: &Tab, faults: &mut Faults, who: &dyn Fn() -> String) {
    let Some(ring) = rings(&part.shape).nth(tab.ring) else {
        faults.add("tab", format!("{} names ring {}", who(), tab.ring));
        return;
    };
    let edge = Edges::of(std::iter::once(ring));
    let off = edge.from(tab.at);
    faults.unless(off < ON, "tab", || format!("{} is {off} off its edge", who()));
    // A step along the normal takes a point as far from the edge as the step is long; 13 degrees off the normal it falls
    // 2.6 % short, and on an outward bend of radius 2 mm nothing is lost.
    let step = 0.2;
    let beyond = tab.at + tab.out * step;
    let distance = edge.from(beyond);
    let away = !part.shape.contains(&beyond) && distance >= 0.97 * step && distance <= step + ON;
    faults.unless(away, "tab out", || format!("{}: {step} out is {distance} off", who()));
}

/// No part of its root on a side that the job keeps clear.
fn tab_free(
    job: &RandomJob,
    placed: &Placed,
    tab: &Tab,
    faults: &mut Faults,
    who: &dyn Fn() -> String,
) {
    let Some(part) = job.parts.iter().find(|p| p.name == placed.part) else { return };
    let turn = placed.turn_deg.to_radians();
    // Out of the layout's place: back by the move, then by the turn, then by the flip.
    let home = |p: Point| {
        let [x, y] = Place::turned(-turn).apply([p.x() - placed.at[0], p.y() - placed.at[1]]);
        [if placed.mirrored { -x } else { x }, y]
    };
    let side = Point::new(-tab.out.y(), tab.out.x()) * (tab.width / 2.0);
    let (_, high) = parts::bounds(&part.outline);
    for end in [tab.at - side, tab.at, tab.at + side].map(home) {
        for kept in &part.tab_free {
            let off = match *kept {
                "left" => end[0],
                "right" => high[0] - end[0],
                "top" => end[1],
                _ => high[1] - end[1],
            };
            faults.unless(off.abs() > 0.005, "tab-free", || {
                format!("{} sits on the {kept} side", who())
            });
        }
    }
}

/// On stock that no kerf takes: on the sheet, off clamps, a bit's diameter from every other part.
fn landing(sheet: &Sheet, own: usize, tab: &Tab, faults: &mut Faults, who: &dyn Fn() -> String) {
    let bit = sheet.diameter;
    let landing = tab.strip(bit, bit + LANDING);
    let bounds = landing.bounding_rect();
    for (j, other) in sheet.parts.iter().enumerate() {
        if !near(bounds, other.shape.bounding_rect(), bit) {
            continue;
        }
        let need = if j == own { OWN * bit } else { bit };
        let clear = landing.relate(&other.shape).is_disjoint();
        let distance = edge_distance(&landing, &other.shape, bit);
        faults.unless(clear && distance >= need - 1e-5, "landing", || {
            format!("{} lands {distance} from {}, it needs {need}", who(), other.name)
        });
    }
    let off = landing.difference(&sheet.outline).unsigned_area();
    faults.unless(off < 1e-3, "landing", || format!("{} lands off the sheet: {off} mm²", who()));
    // The way over the kerf lies on the sheet as well, a hollow edge of an offcut between them or not.
    let way = MultiLineString::new(vec![LineString::from(vec![
        tab.at,
        tab.at + tab.out * (bit + LANDING),
    ])]);
    let on = Euclidean.length(&sheet.outline.clip(&way, false));
    faults.unless(on >= bit + LANDING - 1e-4, "landing", || {
        format!("{} crosses the sheet's edge", who())
    });
    for area in &sheet.keep_clear {
        let common = landing.intersection(area).unsigned_area();
        faults.unless(common < 1e-4, "landing", || format!("{} lands on a clamp", who()));
    }
}
