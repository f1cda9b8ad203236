//! The rules once more, as plainly as they can be written: every segment against every segment, no
//! tree, none of the project's geometry but its types. The oracle of `verify`.

use tabwright::geometry::{Point, Ring};
use tabwright::layout::{FeatureKind, Method, PlacedPart, Sheet, Tab};

type Segment = (Point, Point);

fn segments(ring: &Ring) -> Vec<Segment> {
    (0..ring.0.len()).map(|i| (ring.0[i], ring.0[(i + 1) % ring.0.len()])).collect()
}

fn edges(part: &PlacedPart) -> Vec<Segment> {
    std::iter::once(&part.outline).chain(&part.openings).flat_map(segments).collect()
}

fn dist(p: Point, q: Point) -> f64 {
    ((p.x - q.x).powi(2) + (p.y - q.y).powi(2)).sqrt()
}

fn point_segment(p: Point, s: Segment) -> f64 {
    let (dx, dy) = (s.1.x - s.0.x, s.1.y - s.0.y);
    let len2 = dx * dx + dy * dy;
    let t = if len2 > 0.0 { ((p.x - s.0.x) * dx + (p.y - s.0.y) * dy) / len2 } else { 0.0 };
    let t = t.clamp(0.0, 1.0);
    dist(p, Point { x: s.0.x + t * dx, y: s.0.y + t * dy })
}

fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

fn segment_segment(s: Segment, t: Segment) -> f64 {
    let straddle = |s: Segment, t: Segment| cross(s.0, s.1, t.0) * cross(s.0, s.1, t.1) < 0.0;
    if straddle(s, t) && straddle(t, s) {
        return 0.0;
    }
    point_segment(s.0, t)
        .min(point_segment(s.1, t))
        .min(point_segment(t.0, s))
        .min(point_segment(t.1, s))
}

fn distance(a: &[Segment], b: &[Segment]) -> f64 {
    let mut least = f64::INFINITY;
    for &s in a {
        for &t in b {
            least = least.min(segment_segment(s, t));
        }
    }
    least
}

/// Winding number by angles: slow, and nothing like ray casting.
fn inside(ring: &Ring, p: Point) -> bool {
    let turn: f64 = segments(ring)
        .iter()
        .map(|(a, b)| {
            let (u, v) = ((a.x - p.x, a.y - p.y), (b.x - p.x, b.y - p.y));
            (u.0 * v.1 - u.1 * v.0).atan2(u.0 * v.0 + u.1 * v.1)
        })
        .sum();
    turn.abs() > std::f64::consts::PI
}

fn in_material(part: &PlacedPart, p: Point) -> bool {
    inside(&part.outline, p) && !part.openings.iter().any(|o| inside(o, p))
}

/// Whether part `i` breaks a rule of spacing or holding, `slack` being the tolerance in mm.
pub fn bad(sheet: &Sheet, i: usize, slack: f64) -> Option<String> {
    let part = &sheet.parts[i];
    let own = edges(part);
    for (j, other) in sheet.parts.iter().enumerate() {
        if j == i {
            continue;
        }
        let apart = distance(&own, &edges(other));
        let nested = in_material(other, part.outline.0[0]) || in_material(part, other.outline.0[0]);
        if apart < sheet.gap - slack || nested {
            return Some(format!("{apart} from {} {}", other.part, other.copy));
        }
    }
    let to_edge = distance(&own, &segments(&sheet.outline));
    if to_edge < sheet.margin - slack || !inside(&sheet.outline, part.outline.0[0]) {
        return Some(format!("{to_edge} from the sheet's edge"));
    }
    for area in &sheet.keep_clear {
        let apart = distance(&own, &segments(area));
        let nested = inside(area, part.outline.0[0]) || in_material(part, area.0[0]);
        if apart < sheet.gap - slack || nested {
            return Some(format!("{apart} from a keep-clear area"));
        }
    }
    // Remnants keep a bit's diameter.
    for remnant in &sheet.remnants {
        let apart = distance(&own, &segments(&remnant.outline));
        let nested =
            inside(&remnant.outline, part.outline.0[0]) || in_material(part, remnant.outline.0[0]);
        if apart < sheet.bit.diameter - 10.0 * slack || nested {
            return Some(format!("{apart} from a remnant"));
        }
    }
    // Pockets that clear waste keep half of it.
    for pocket in &sheet.cleared {
        let apart = distance(&own, &segments(pocket));
        let nested = inside(pocket, part.outline.0[0]) || in_material(part, pocket.0[0]);
        if apart < sheet.bit.diameter / 2.0 - 10.0 * slack || nested {
            return Some(format!("{apart} from a pocket"));
        }
    }
    // A part moved may take another part's landing, so every landing of the sheet is looked at.
    for (j, p) in sheet.parts.iter().enumerate() {
        for (n, tab) in p.hold.tabs.iter().enumerate() {
            if let Some(why) = bad_tab(sheet, j, tab, 10.0 * slack, j == i) {
                return Some(format!("{} {} tab {n}: {why}", p.part, p.copy));
            }
        }
    }
    if part.hold.method == Method::Tabs && !part.hold.tabs.iter().any(|t| t.ring == 0) {
        return Some("no tab".into());
    }
    let skin = part.hold.skin_mm.unwrap_or(0.0);
    if part.hold.method == Method::Skin && !(skin > 0.0 && skin < sheet.thickness) {
        return Some(format!("a skin of {skin} mm"));
    }
    None
}

/// Whether the tab's root comes within half a millimetre of a line that keeps an edge clear of tabs.
fn on_mark(part: &PlacedPart, tab: &Tab, slack: f64) -> bool {
    let root = corners(tab, 0.0, 0.0);
    let root = (root.0[0], root.0[2]);
    let marks = part.features.iter().filter(|f| f.kind == FeatureKind::TabFree);
    let mut lines = marks.flat_map(|m| m.lines.iter().flat_map(|l| l.0.windows(2)));
    lines.any(|w| segment_segment(root, (w[0], w[1])) < 0.5 - slack)
}

fn corners(tab: &Tab, from: f64, to: f64) -> Ring {
    let (ox, oy) = (tab.out.x, tab.out.y);
    let at = |along: f64, side: f64| Point {
        x: tab.at.x + ox * along - oy * side,
        y: tab.at.y + oy * along + ox * side,
    };
    let half = tab.width / 2.0;
    Ring(vec![at(from, -half), at(to, -half), at(to, half), at(from, half)])
}

fn bad_tab(sheet: &Sheet, i: usize, tab: &Tab, slack: f64, moved: bool) -> Option<String> {
    let part = &sheet.parts[i];
    let bit = sheet.bit.diameter;
    let landing = corners(tab, bit, bit + 2.0);
    let sides = segments(&landing);
    for (j, other) in sheet.parts.iter().enumerate() {
        if j != i {
            let apart = distance(&sides, &edges(other));
            let nested = in_material(other, landing.0[0]) || inside(&landing, other.outline.0[0]);
            if apart < bit - slack || nested {
                return Some(format!("landing {apart} from {} {}", other.part, other.copy));
            }
        }
    }
    let bridge = segments(&corners(tab, 0.0, bit));
    for pocket in &sheet.cleared {
        let cut = segments(pocket);
        let met = distance(&sides, &cut).min(distance(&bridge, &cut)) <= 0.0;
        if met || inside(pocket, tab.at) || inside(&landing, pocket.0[0]) {
            return Some("stands in a pocket".into());
        }
    }
    if !moved {
        return None;
    }
    let ring = if tab.ring == 0 { &part.outline } else { part.openings.get(tab.ring - 1)? };
    let off =
        segments(ring).iter().map(|s| point_segment(tab.at, *s)).fold(f64::INFINITY, f64::min);
    if off > slack {
        return Some(format!("{off} off its edge"));
    }
    // Away from the part: a step out leaves the material, a step back enters it, and square to the edge.
    let step = |d: f64| Point { x: tab.at.x + tab.out.x * d, y: tab.at.y + tab.out.y * d };
    if in_material(part, step(0.01)) || !in_material(part, step(-0.01)) {
        return Some("points the wrong way".into());
    }
    let square = segments(ring).iter().any(|s| {
        let length = dist(s.0, s.1);
        let along = ((s.1.x - s.0.x) * tab.out.x + (s.1.y - s.0.y) * tab.out.y) / length;
        point_segment(tab.at, *s) <= slack && along.abs() <= 6f64.to_radians().sin()
    });
    if !square {
        return Some("is not square to its edge".into());
    }
    if on_mark(part, tab, slack) {
        return Some("sits on an edge kept clear of tabs".into());
    }
    // Sharp corners inside the width, along straight edges.
    let n = ring.0.len();
    for k in 0..n {
        let (a, b, c) = (ring.0[(k + n - 1) % n], ring.0[k], ring.0[(k + 1) % n]);
        let cos =
            ((b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y)) / (dist(a, b) * dist(b, c));
        if cos < 30f64.to_radians().cos() && dist(tab.at, b) < tab.width / 2.0 {
            return Some("sits across a corner".into());
        }
    }
    let run = bow(ring, tab);
    if run > 0.12 * tab.width + slack {
        return Some(format!("its edge bows by {run}"));
    }
    // Its landing against its own edges: a corner may lose a tenth of the kerf.
    if distance(&sides, &edges(part)) < 0.9 * bit - slack || in_material(part, landing.0[0]) {
        return Some("lands in its own kerf".into());
    }
    // On the sheet's very edge rounding puts a point to either side of it.
    let off = |p: &Point| {
        let to_edge = segments(&sheet.outline).into_iter().map(|s| point_segment(*p, s));
        !inside(&sheet.outline, *p) && to_edge.fold(f64::INFINITY, f64::min) > slack
    };
    if landing.0.iter().any(off) {
        return Some("lands off the sheet".into());
    }
    for area in &sheet.keep_clear {
        if distance(&sides, &segments(area)) == 0.0 || inside(area, landing.0[0]) {
            return Some("lands on a keep-clear area".into());
        }
    }
    for remnant in &sheet.remnants {
        let nested =
            inside(&remnant.outline, landing.0[0]) || inside(&landing, remnant.outline.0[0]);
        if distance(&sides, &segments(&remnant.outline)) == 0.0 || nested {
            return Some("lands on a remnant".into());
        }
    }
    let bridge = corners(tab, 0.0, bit);
    for other in part.hold.tabs.iter().filter(|t| *t != tab) {
        let theirs = corners(other, 0.0, bit);
        let apart = distance(&segments(&bridge), &segments(&theirs));
        let needed = if other.ring == tab.ring { bit } else { 0.0 };
        if apart < needed - slack || inside(&theirs, tab.at) {
            return Some("is too near to another tab".into());
        }
    }
    None
}

/// How far the edge leaves the tab's straight root within its width: the edge walked corner by
/// corner both ways.
fn bow(ring: &Ring, tab: &Tab) -> f64 {
    let n = ring.0.len();
    let nearest = (0..n)
        .min_by(|&a, &b| {
            let d = |k: usize| point_segment(tab.at, (ring.0[k], ring.0[(k + 1) % n]));
            d(a).total_cmp(&d(b))
        })
        .unwrap();
    let mut most: f64 = 0.0;
    for forward in [true, false] {
        let (mut from, mut k, mut left) = (tab.at, nearest, tab.width / 2.0);
        while left > 1e-12 {
            let to = if forward { ring.0[(k + 1) % n] } else { ring.0[k] };
            let length = dist(from, to);
            let go = length.min(left);
            let at = if length > 0.0 {
                Point {
                    x: from.x + (to.x - from.x) * go / length,
                    y: from.y + (to.y - from.y) * go / length,
                }
            } else {
                to
            };
            let height = (at.x - tab.at.x) * tab.out.x + (at.y - tab.at.y) * tab.out.y;
            most = most.max(height.abs());
            left -= go;
            from = to;
            k = if forward { (k + 1) % n } else { (k + n - 1) % n };
        }
    }
    most
}
