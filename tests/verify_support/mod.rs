//! Hand-made layouts with realistic parts, and the published ones in our format.
#![allow(dead_code)]

pub mod everything;
pub mod naive;
pub mod published;
pub mod rule;

use std::f64::consts::TAU;
use tabwright::geometry::{Point, Pose, Ring, Shape, Vector, point};
use tabwright::layout::{
    BitUsed, Cut, Feature, FeatureKind, Hold, HoldDown, Layout, Method, PlacedPart, Remnant, Sheet,
    Tab,
};

/// A holding plan of these tabs; a plan of none when there are none.
pub fn hold(tabs: Vec<Tab>) -> Hold {
    Hold {
        method: if tabs.is_empty() { Method::None } else { Method::Tabs },
        why: "by hand".into(),
        reason: None,
        limited_by: None,
        governs: String::new(),
        case: "staged".into(),
        load_n: 5.0,
        last_pass: 0.4,
        safety: 2.0,
        movement_mm: 0.02,
        skin_mm: None,
        figures: None,
        tabs,
    }
}

/// An empty sheet of walnut, 6 mm, cut with a 3.175 mm bit, kerfs may coincide.
pub fn sheet(width: f64, height: f64) -> Sheet {
    Sheet {
        id: "walnut-6mm-1".into(),
        stock: "board".into(),
        material: "walnut".into(),
        called: String::new(),
        thickness: 6.0,
        outline: Ring::rectangle(width, height),
        keep_clear: vec![],
        clamps: vec![],
        hold_down: HoldDown::Clamps,
        margin: 6.0,
        grain_deg: 0.0,
        open_length: false,
        bit: BitUsed { name: "1/8".into(), diameter: 3.175, allowance: 0.05 },
        gap: 3.175,
        cut: Cut {
            last_pass: 0.4,
            feed_per_tooth: 0.04,
            flutes: 2,
            helix_deg: -30.0,
            kc: 25.0,
            ke: 2.5,
            factor: 3.0,
        },
        material_constants: None,
        holding: None,
        cleared: vec![],
        sheet_area: 0.0,
        part_area: 0.0,
        waste_percent: 0.0,
        remnants: vec![],
        parts: vec![],
    }
}

/// A part with its tabs and features, in its own frame.
#[derive(Clone)]
pub struct Kind {
    pub name: &'static str,
    pub shape: Shape,
    pub tabs: Vec<Tab>,
    pub features: Vec<Feature>,
}

/// A tab on ring `ring` of `shape`, in the middle of the segment nearest to `near`.
pub fn tab_near(shape: &Shape, ring: usize, near: Point, width: f64) -> Tab {
    let edge = shape.ring(ring).unwrap();
    let s = edge
        .segments()
        .min_by(|a, b| a.distance_to_point(near).total_cmp(&b.distance_to_point(near)))
        .unwrap();
    let at = s.nearest(near);
    // Material lies towards `perp`, so away is the other way.
    let out = s.direction().unwrap().perp() * -1.0;
    Tab { at, out, width, height: 1.2, ring, waste: false }
}

pub fn circle(centre: Point, radius: f64, points: usize) -> Ring {
    Ring(
        (0..points)
            .map(|i| centre + point(radius, 0.0).turned(TAU * i as f64 / points as f64))
            .collect(),
    )
}

/// A plate with a round opening, a pocket and a stretch of edge kept clear of tabs, a disc that fits in the opening, a
/// tapered hand, a gear, and a cover.
pub fn kinds() -> Vec<Kind> {
    let plate = Shape::new(
        Ring::rectangle(90.0, 60.0),
        vec![
            circle(point(30.0, 30.0), 20.0, 96),
            Ring::rectangle(12.0, 40.0).moved(point(65.0, 10.0)),
        ],
    );
    let disc = Shape::new(circle(point(0.0, 0.0), 9.0, 72), vec![]);
    let hand = Shape::new(
        Ring(vec![point(0.0, -4.0), point(60.0, -1.5), point(60.0, 1.5), point(0.0, 4.0)]),
        vec![],
    );
    // 2 mm deep: a bit of 3.175 mm comes down to their floors (3 mm deep, only one of 2.77 mm would).
    let teeth = 16;
    let gear = Shape::new(
        Ring(
            (0..teeth * 4)
                .map(|i| {
                    let r = if i % 4 < 2 { 18.0 } else { 16.0 };
                    point(r, 0.0).turned(TAU * (i as f64 + 0.5) / (teeth * 4) as f64)
                })
                .collect(),
        ),
        vec![circle(point(0.0, 0.0), 4.0, 48)],
    );
    let pocket = Feature {
        kind: FeatureKind::Pocket,
        name: "pocket".into(),
        depth: None,
        rings: vec![Ring::rectangle(5.0, 8.0).moved(point(55.0, 20.0))],
        lines: vec![],
    };
    // Beside the tab on its upper edge.
    let clear = Feature {
        kind: FeatureKind::TabFree,
        name: String::new(),
        depth: None,
        rings: vec![],
        lines: vec![Ring(vec![point(30.0, 0.0), point(50.0, 0.0)])],
    };
    let cover = Shape::new(Ring::rectangle(30.0, 25.0), vec![]);
    vec![
        Kind {
            name: "plate",
            tabs: vec![
                tab_near(&plate, 0, point(20.0, 0.0), 5.0),
                tab_near(&plate, 0, point(90.0, 30.0), 5.0),
                tab_near(&plate, 0, point(0.0, 40.0), 5.0),
                tab_near(&plate, 1, point(10.5, 30.0), 3.0),
                tab_near(&plate, 1, point(49.5, 30.0), 3.0),
                tab_near(&plate, 2, point(65.0, 30.0), 3.0),
            ],
            shape: plate,
            features: vec![pocket, clear],
        },
        Kind {
            name: "disc",
            tabs: vec![tab_near(&disc, 0, point(-8.9, 0.3), 2.0)],
            shape: disc,
            features: vec![],
        },
        Kind {
            name: "hand",
            tabs: vec![
                tab_near(&hand, 0, point(0.0, 0.0), 3.0),
                tab_near(&hand, 0, point(40.0, -2.0), 2.0),
            ],
            shape: hand,
            features: vec![],
        },
        Kind {
            name: "gear",
            tabs: vec![
                tab_near(&gear, 0, point(18.0, 1.7), 1.2),
                tab_near(&gear, 0, point(-18.0, -1.7), 1.2),
            ],
            shape: gear,
            features: vec![],
        },
        Kind { name: "cover", tabs: vec![], shape: cover, features: vec![] },
    ]
}

/// Copy number `copy` of a kind where `pose` puts it.
pub fn place(kind: &Kind, copy: usize, pose: Pose) -> PlacedPart {
    let shape = pose.apply_shape(&kind.shape);
    PlacedPart {
        part: kind.name.into(),
        copy,
        spare: false,
        x: pose.offset.x,
        y: pose.offset.y,
        rotation_deg: pose.rotation_deg(),
        mirrored: pose.mirrored,
        grain: None,
        outline: shape.outline,
        openings: shape.openings,
        features: kind.features.iter().map(|f| f.map(|p| pose.apply(p))).collect(),
        hold: hold(kind.tabs.iter().map(|t| t.placed(&pose)).collect()),
    }
}

/// A good sheet: three plates (one flipped, one turned), a disc in an opening, hands and gears with
/// webs between, so that tabs land on skeleton; a cover on a skin, two keep-clear areas and a remnant, all near parts.
pub fn good_sheet() -> Sheet {
    let kinds = kinds();
    let [plate, disc, hand, gear, cover] = [0, 1, 2, 3, 4].map(|i| &kinds[i]);
    let mut s = sheet(320.0, 220.0);
    let at = |x: f64, y: f64, deg: f64, mirrored: bool| Pose {
        offset: point(x, y),
        rotation: deg.to_radians(),
        mirrored,
    };
    s.parts = vec![
        place(plate, 1, at(20.0, 20.0, 0.0, false)),
        place(plate, 2, at(220.0, 20.0, 0.0, true)),
        place(plate, 3, at(310.0, 110.0, 90.0, false)),
        place(disc, 1, at(50.0, 50.0, 0.0, false)),
        place(hand, 1, at(30.0, 100.0, 0.0, false)),
        place(hand, 2, at(90.0, 122.0, 180.0, false)),
        place(gear, 1, at(45.0, 160.0, 0.0, false)),
        place(gear, 2, at(100.0, 165.0, 7.0, false)),
        place(gear, 3, at(150.0, 160.0, 0.0, true)),
        place(cover, 1, at(190.0, 90.0, 0.0, false)),
    ];
    let on_skin = Hold { method: Method::Skin, skin_mm: Some(0.4), ..hold(vec![]) };
    s.parts.iter_mut().filter(|p| p.part == "cover").for_each(|p| p.hold = on_skin.clone());
    // 4 mm under the cover and right of it; 4.5 mm under the second gear.
    s.keep_clear = vec![
        Ring::rectangle(20.0, 12.0).moved(point(195.0, 119.0)),
        circle(point(230.0, 102.5), 6.0, 48),
    ];
    s.remnants = vec![Remnant { outline: Ring::rectangle(110.0, 22.0).moved(point(60.0, 187.5)) }];
    s.total();
    s
}

/// A layout of these sheets, its figures in order.
pub fn layout(sheets: Vec<Sheet>) -> Layout {
    let mut layout = Layout::new("by hand", 1);
    layout.sheets = sheets;
    layout.total();
    layout
}

/// A sheet with `columns` x `rows` gears of `points` points each, as close as the gap and a web allow.
pub fn gears(columns: usize, rows: usize, points: usize) -> Sheet {
    let teeth = points / 8;
    let shape = Shape::new(
        Ring(
            (0..points)
                .map(|i| {
                    // Eight points a tooth: two on the tip, two a flank, two at the root.
                    let phase = [0.0, 0.0, 0.35, 0.65, 1.0, 1.0, 0.65, 0.35][i % 8];
                    point(9.0 - 2.0 * phase, 0.0).turned(TAU * i as f64 / (teeth * 8) as f64)
                })
                .collect(),
        ),
        vec![circle(point(0.0, 0.0), 2.5, 24)],
    );
    let tabs = vec![
        tab_near(&shape, 0, point(9.0, 0.44), 0.5),
        tab_near(&shape, 0, point(-9.0, -0.44), 0.5),
    ];
    let kind = Kind { name: "gear", shape, tabs, features: vec![] };
    let pitch = 18.0 + 2.0 * 3.175 + 2.0;
    let mut s = sheet(40.0 + pitch * columns as f64, 40.0 + pitch * rows as f64);
    s.parts = (0..columns * rows)
        .map(|i| {
            let (x, y) = ((i % columns) as f64, (i / columns) as f64);
            let at = point(20.0 + pitch * (x + 0.5), 20.0 + pitch * (y + 0.5));
            place(&kind, i + 1, Pose::new(at, 0.0))
        })
        .collect();
    s.total();
    s
}
