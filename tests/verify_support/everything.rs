//! One good sheet with everything that `verify` has a rule for, in round numbers, most of them at a rule's limit.
//!
//! Bit 3 mm, gap 8 mm (two kerfs and a web of 2 mm), margin 10 mm, 6 mm thick, 400 x 300 mm, grain along +x:
//!
//! - two frames, the second flipped, with a tab into the opening, a pocket and an edge kept clear of tabs; x 10 to 110
//!   and 118 to 218, y 10 to 90: 10 from the sheet's edge, 8 apart;
//! - a plug 8 from two sides of the first frame's opening (x 30 to 90, y 25 to 75), x 52 to 82, y 37 to 67; its tab's
//!   landing is 3 from the frame;
//! - a panel on a skin, x 236 to 296, y 10 to 50; a strip on tape, x 314 to 364, y 10 to 22;
//! - a brace on holding bridges, x 236 to 306, y 58 to 78;
//! - blades: one plain, one turned by 180 degrees, a spare flipped; y 110 to 140;
//! - keep-clear: a rectangle 8 right of the strip, a circle of 6 mm round (320, 68), 8 right of the brace;
//! - a remnant, x 100 to 400, y 143 to 243: 3 under a blade, at the sheet's edge.

use super::{circle, hold, sheet};
use tabwright::geometry::{Point, Pose, Ring, Shape, point};
use tabwright::layout::{
    Feature, FeatureKind, Hold, Layout, Method, PartGrain, PlacedPart, Remnant, Sheet, Tab,
};

/// A tab in a part's own frame.
pub fn tab(at: [f64; 2], out: [f64; 2], width: f64, height: f64, ring: usize) -> Tab {
    Tab { at: Point::from(at), out: Point::from(out), width, height, ring, waste: false }
}

pub fn feature(kind: FeatureKind, rings: Vec<Ring>, lines: Vec<Ring>) -> Feature {
    Feature { kind, name: "drawn".into(), depth: None, rings, lines }
}

/// A part in its own frame.
pub struct Own {
    pub name: &'static str,
    pub shape: Shape,
    pub features: Vec<Feature>,
    pub hold: Hold,
    pub grain: Option<PartGrain>,
}

fn own(name: &'static str, outline: Ring, hold: Hold) -> Own {
    Own { name, shape: Shape::new(outline, vec![]), features: vec![], hold, grain: None }
}

/// The parts of the sheet.
pub fn owns() -> Vec<Own> {
    let along = |deg, tolerance_deg| Some(PartGrain { deg, tolerance_deg });
    let opening = Ring::rectangle(60.0, 50.0).moved(point(20.0, 15.0));
    let pocket = Ring::rectangle(8.0, 6.0).moved(point(5.0, 30.0));
    let right = Ring(vec![point(100.0, 0.0), point(100.0, 80.0)]);
    let by = |method| Hold { method, ..hold(vec![]) };
    let blade = [[0.0, 0.0], [60.0, 4.0], [60.0, 14.0], [0.0, 18.0]];
    vec![
        Own {
            name: "frame",
            shape: Shape::new(Ring::rectangle(100.0, 80.0), vec![opening]),
            features: vec![
                feature(FeatureKind::Pocket, vec![pocket], vec![]),
                feature(FeatureKind::TabFree, vec![], vec![right]),
            ],
            hold: hold(vec![
                tab([50.0, 0.0], [0.0, -1.0], 5.0, 1.2, 0),
                tab([50.0, 80.0], [0.0, 1.0], 5.0, 1.2, 0),
                tab([20.0, 40.0], [1.0, 0.0], 3.0, 1.2, 1),
            ]),
            grain: along(0.0, 0.0),
        },
        own(
            "plug",
            Ring::rectangle(30.0, 30.0),
            hold(vec![tab([30.0, 15.0], [1.0, 0.0], 3.0, 1.2, 0)]),
        ),
        Own {
            grain: along(20.0, 20.0),
            ..own(
                "panel",
                Ring::rectangle(60.0, 40.0),
                Hold { skin_mm: Some(0.5), ..by(Method::Skin) },
            )
        },
        own("strip", Ring::rectangle(50.0, 12.0), by(Method::Tape)),
        own(
            "brace",
            Ring::rectangle(70.0, 20.0),
            hold(vec![
                tab([35.0, 20.0], [0.0, 1.0], 4.0, 6.0, 0),
                tab([70.0, 10.0], [1.0, 0.0], 4.0, 6.0, 0),
            ]),
        ),
        Own {
            grain: along(0.0, 5.0),
            ..own(
                "blade",
                Ring::from(blade.to_vec()),
                hold(vec![
                    tab([0.0, 9.0], [-1.0, 0.0], 4.0, 1.2, 0),
                    tab([60.0, 9.0], [1.0, 0.0], 4.0, 1.2, 0),
                ]),
            )
        },
    ]
}

/// Copy number `copy` of a part where the pose puts it.
fn place(own: &Own, copy: usize, at: [f64; 2], turn: f64, mirrored: bool) -> PlacedPart {
    let pose = Pose { offset: Point::from(at), rotation: turn.to_radians(), mirrored };
    let shape = pose.apply_shape(&own.shape);
    PlacedPart {
        part: own.name.into(),
        copy,
        spare: own.name == "blade" && copy == 3,
        x: at[0],
        y: at[1],
        rotation_deg: turn,
        mirrored,
        grain: own.grain,
        outline: shape.outline,
        openings: shape.openings,
        features: own.features.iter().map(|f| f.map(|p| pose.apply(p))).collect(),
        hold: Hold {
            tabs: own.hold.tabs.iter().map(|t| t.placed(&pose)).collect(),
            ..own.hold.clone()
        },
    }
}

pub fn everything_sheet() -> Sheet {
    let owns = owns();
    let [frame, plug, panel, strip, brace, blade] = owns.as_slice() else { panic!("six parts") };
    let mut s = sheet(400.0, 300.0);
    (s.margin, s.gap, s.bit.diameter) = (10.0, 8.0, 3.0);
    s.keep_clear = vec![
        Ring::rectangle(20.0, 20.0).moved(point(372.0, 10.0)),
        circle(point(320.0, 68.0), 6.0, 64),
    ];
    s.remnants =
        vec![Remnant { outline: Ring::rectangle(300.0, 100.0).moved(point(100.0, 143.0)) }];
    s.parts = vec![
        place(frame, 1, [10.0, 10.0], 0.0, false),
        place(frame, 2, [218.0, 10.0], 0.0, true),
        place(plug, 1, [52.0, 37.0], 0.0, false),
        place(panel, 1, [236.0, 10.0], 0.0, false),
        place(strip, 1, [314.0, 10.0], 0.0, false),
        place(brace, 1, [236.0, 58.0], 0.0, false),
        place(blade, 1, [20.0, 110.0], 0.0, false),
        place(blade, 2, [170.0, 140.0], 180.0, false),
        place(blade, 3, [260.0, 110.0], 0.0, true),
    ];
    s
}

pub fn everything() -> Layout {
    super::layout(vec![everything_sheet()])
}

/// The placed copy.
pub fn part<'a>(layout: &'a mut Layout, name: &str, copy: usize) -> &'a mut PlacedPart {
    let mut parts = layout.sheets.iter_mut().flat_map(|s| &mut s.parts);
    parts.find(|p| p.part == name && p.copy == copy).expect("a part of the sheet")
}

/// Moves a copy with everything that travels with it.
pub fn shift(part: &mut PlacedPart, x: f64, y: f64) {
    let d = point(x, y);
    part.outline = part.outline.moved(d);
    part.openings.iter_mut().for_each(|o| *o = o.moved(d));
    part.features = part.features.iter().map(|f| f.map(|p| point(p.x + x, p.y + y))).collect();
    for tab in &mut part.hold.tabs {
        tab.at = point(tab.at.x + x, tab.at.y + y);
    }
    (part.x, part.y) = (part.x + x, part.y + y);
}
