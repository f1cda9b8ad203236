//! Layouts made by hand and by a plain shelf packing, so that exports can be tried without a search.

use tabwright::export::{CutLine, LineKind, LooseWaste, SheetCut};
use tabwright::geometry::{Point, Ring, Shape, Vector, grow_ring, point};
use tabwright::layout::{
    BitUsed, Cut, Feature, FeatureKind, Hold, HoldDown, HoldFigures, InputOff, Layout, Method,
    PlacedPart, Remnant, Sheet, Tab, Unplaced, Warning,
};

/// An empty sheet of `width` x `height` mm.
pub fn sheet(id: &str, material: &str, thickness: f64, width: f64, height: f64, bit: f64) -> Sheet {
    Sheet {
        id: id.into(),
        stock: format!("{material} panel"),
        material: material.into(),
        called: String::new(),
        thickness,
        outline: Ring::rectangle(width, height),
        keep_clear: vec![],
        clamps: vec![],
        hold_down: HoldDown::Clamps,
        margin: 5.0,
        grain_deg: 0.0,
        open_length: false,
        bit: BitUsed { name: "down-spiral on hand".into(), diameter: bit, allowance: 0.05 },
        gap: bit,
        cut: Cut {
            last_pass: 0.8,
            feed_per_tooth: 0.04,
            flutes: 2,
            helix_deg: -30.0,
            kc: 25.0,
            ke: 2.5,
            factor: 3.0,
        },
        material_constants: None,
        holding: None,
        sheet_area: 0.0,
        part_area: 0.0,
        waste_percent: 0.0,
        cleared: vec![],
        remnants: vec![],
        parts: vec![],
    }
}

/// A part at its place, held by tabs in the middle of its `n` longest straight runs.
pub fn placed(name: &str, copy: usize, shape: &Shape, n: usize, at: Point) -> PlacedPart {
    let shape = shape.map(|p| p + at);
    let mut runs: Vec<_> = shape.outline.segments().collect();
    runs.sort_by(|a, b| b.length().total_cmp(&a.length()));
    let tabs: Vec<Tab> = runs
        .iter()
        .take(n)
        .map(|s| Tab {
            at: s.a.lerp(s.b, 0.5),
            out: (s.b - s.a).perp().unit().unwrap() * -1.0,
            width: 4.0,
            height: 1.2,
            ring: 0,
            waste: false,
        })
        .collect();
    let method = if tabs.is_empty() { Method::Skin } else { Method::Tabs };
    let why = match method {
        Method::Tabs => format!(
            "{n} tabs: with {}, the far end moves too far while its side is cut",
            n.saturating_sub(1)
        ),
        _ => "no straight run is long enough for a tab".into(),
    };
    PlacedPart {
        part: name.into(),
        copy,
        spare: false,
        x: at.x,
        y: at.y,
        rotation_deg: 0.0,
        mirrored: false,
        grain: None,
        outline: shape.outline,
        openings: shape.openings,
        features: vec![],
        hold: Hold {
            method,
            why,
            governs: "tab 2 across the grain".into(),
            reason: None,
            limited_by: None,
            case: "staged".into(),
            load_n: 7.53,
            last_pass: 0.8,
            safety: 1.64,
            movement_mm: 0.024,
            skin_mm: (method == Method::Skin).then_some(0.3),
            figures: (method == Method::Tabs && n > 2).then(figures),
            tabs,
        },
    }
}

/// Figures behind a hold, with what the inputs may cost.
fn figures() -> HoldFigures {
    let input = |input: &str, off: &str, change: f64| InputOff {
        kind: None,
        input: input.into(),
        off: off.into(),
        change,
    };
    HoldFigures {
        least_margin: 1.21,
        tab_safety: Some(1.64),
        one_gone_safety: Some(1.5),
        inputs: vec![
            input("edge force", "K_e at its high end", -0.414),
            input("grain", "grain 10 degrees aslant", -0.24),
            input("last pass", "last pass 0.1 mm deeper", -0.11),
        ],
        ..HoldFigures::default()
    }
}

/// Centre-lines half a diameter outside the outlines, open at the tabs; parts from the last to the first.
pub fn cut_of(sheet: &Sheet) -> SheetCut {
    let d = sheet.bit.diameter;
    let mut cut = SheetCut { order: (0..sheet.parts.len()).rev().collect(), ..SheetCut::default() };
    for &part in &cut.order {
        let placed = &sheet.parts[part];
        let Some(line) = grow_ring(&placed.outline, d / 2.0).into_iter().next() else { continue };
        let points = line.outline.0;
        let tall = placed.hold.tabs.iter().map(|t| t.height).fold(0.0, f64::max);
        let closed = |kind, depth| CutLine {
            part,
            ring: 0,
            kind,
            depth,
            points: points.clone(),
            closed: true,
        };
        match placed.hold.method {
            Method::Skin => cut.lines.push(closed(LineKind::Skin, sheet.thickness - 0.3)),
            _ => {
                cut.lines.push(closed(LineKind::Upper, sheet.thickness - tall));
                let open = |p: Point| {
                    let tab =
                        |t: &Tab| (t.at + t.out * (d / 2.0)).distance(p) < (t.width + d) / 2.0;
                    !placed.hold.tabs.iter().any(tab)
                };
                for run in stretches(&points, open) {
                    cut.lines.push(CutLine {
                        part,
                        ring: 0,
                        kind: LineKind::Through,
                        depth: sheet.thickness,
                        points: run,
                        closed: false,
                    });
                }
            }
        }
    }
    cut
}

/// Stretches of a closed line where `keep` holds, sampled every half mm.
fn stretches(points: &[Point], keep: impl Fn(Point) -> bool) -> Vec<Vec<Point>> {
    let mut fine = vec![];
    for s in Ring(points.to_vec()).segments() {
        let n = (s.length() / 0.5).ceil().max(1.0) as usize;
        fine.extend((0..n).map(|i| s.a.lerp(s.b, i as f64 / n as f64)));
    }
    let Some(first) = fine.iter().position(|&p| !keep(p)) else { return vec![fine] };
    fine.rotate_left(first);
    let mut runs: Vec<Vec<Point>> = vec![];
    let mut open = false;
    for p in fine {
        match (keep(p), open) {
            (true, true) => runs.last_mut().unwrap().push(p),
            (true, false) => runs.push(vec![p]),
            _ => {}
        }
        open = keep(p);
    }
    runs.retain(|r| r.len() > 1);
    runs
}

/// Two sheets with one of everything a drawing can show, names and texts as hostile as people write them.
pub fn small() -> (Layout, Vec<SheetCut>) {
    let mut layout = Layout::new("Shelf & \"hooks\" <test>", 7);
    let mut first = sheet("walnut-6mm-1", "walnut", 6.0, 200.0, 120.0, 3.175);
    first.keep_clear = vec![Ring::rectangle(12.0, 12.0).moved(point(180.0, 100.0))];
    first.remnants =
        vec![Remnant { outline: Ring::rectangle(60.0, 108.0).moved(point(134.0, 6.0)) }];
    let frame = Shape::new(
        Ring::rectangle(70.0, 60.0),
        vec![Ring::rectangle(40.0, 30.0).moved(point(15.0, 15.0))],
    );
    let mut part = placed("frame", 1, &frame, 3, point(6.0, 6.0));
    part.features = features();
    first.parts.push(part);
    let bar = Shape::new(Ring::rectangle(110.0, 8.0), vec![]);
    first.parts.push(placed("minute-hand", 1, &bar, 2, point(6.0, 80.0)));
    first.parts.push(placed("minute-hand", 2, &bar, 2, point(6.0, 96.0)));
    let mut second = sheet("acrylic-3mm-1", "acrylic", 3.0, 90.0, 60.0, 3.175);
    second.outline =
        Ring(vec![point(0.0, 0.0), point(90.0, 5.0), point(80.0, 60.0), point(4.0, 55.0)]);
    let disc = Shape::new(Ring::circle_around(point(12.0, 12.0), 12.0, 0.05), vec![]);
    let mut drop = placed("60° <disc>", 1, &disc, 0, point(14.0, 14.0));
    drop.spare = true;
    second.parts.push(drop);
    layout.sheets = vec![first, second];
    layout.unplaced = [1, 2]
        .map(|copy| Unplaced {
            part: "plinth".into(),
            copy,
            kind: None,
            reason: "longer than any sheet".into(),
        })
        .to_vec();
    layout.warnings = vec![Warning {
        part: "minute-hand".into(),
        kind: None,
        copies: vec![],
        message: "short grain at (3, 4)".into(),
    }];
    layout.total();
    let mut cuts: Vec<SheetCut> = layout.sheets.iter().map(cut_of).collect();
    cuts[0].loose.push(LooseWaste {
        outline: Ring::rectangle(33.65, 23.65).moved(point(24.175, 24.175)),
        comes_loose: true,
    });
    cuts[0].soft.push(Ring::rectangle(10.35, 3.0).moved(point(50.0, 91.5)));
    (layout, cuts)
}

fn features() -> Vec<Feature> {
    let feature =
        |kind, rings, lines| Feature { kind, name: String::new(), depth: None, rings, lines };
    let line = |a: Point, b: Point| Ring(vec![a, b]);
    vec![
        feature(
            FeatureKind::Pocket,
            vec![Ring::rectangle(20.0, 6.0).moved(point(10.0, 10.0))],
            vec![],
        ),
        feature(
            FeatureKind::Drill,
            vec![Ring::circle_around(point(70.0, 36.0), 1.5, 0.05)],
            vec![],
        ),
        feature(FeatureKind::Engraving, vec![], vec![line(point(12.0, 60.0), point(60.0, 62.0))]),
        feature(FeatureKind::Mark, vec![], vec![line(point(68.0, 12.0), point(72.0, 16.0))]),
        feature(FeatureKind::TabFree, vec![], vec![line(point(6.0, 10.0), point(6.0, 60.0))]),
    ]
}

/// Shapes put side by side in rows; what fits on no further sheet starts a new one.
pub fn shelves(layout: &mut Layout, template: &Sheet, shapes: &[(String, usize, Shape)]) {
    let (b, gap) = (template.outline.bounds(), template.bit.diameter + 4.0);
    let margin = template.margin + 3.0;
    let mut sheet = template.clone();
    let (mut x, mut y, mut row) = (margin, margin, 0.0_f64);
    let mut shapes: Vec<_> = shapes.to_vec();
    shapes.sort_by(|p, q| q.2.bounds().height().total_cmp(&p.2.bounds().height()));
    for (name, copies, shape) in &shapes {
        let size = shape.bounds();
        for copy in 1..=*copies {
            if x + size.width() > b.max.x - margin {
                (x, y, row) = (margin, y + row + gap, 0.0);
            }
            if y + size.height() > b.max.y - margin && !sheet.parts.is_empty() {
                layout.sheets.push(std::mem::replace(&mut sheet, template.clone()));
                (x, y, row) = (margin, margin, 0.0);
            }
            let n = (2 + (shape.outline.perimeter() / 200.0) as usize).min(5);
            sheet.parts.push(placed(name, copy, shape, n, point(x, y) - size.min));
            x += size.width() + gap;
            row = row.max(size.height());
        }
    }
    layout.sheets.push(sheet);
}
