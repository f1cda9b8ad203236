//! The cut of whole sheets that are laid out by hand.

use crate::verify_support::*;
use tabwright::cut::{
    CutFault, Landing, PassKind, Path, Tie, Work, faults_of, landing_on_skeleton, plan_cut,
};
use tabwright::flow::sheet_cut;
use tabwright::geometry::{EdgeIndex, Pose, Ring, Shape, Vector, point};
use tabwright::layout::{FeatureKind, Method, PlacedPart, Sheet, Tab};
use tabwright::verify::{Rules, verify};

fn faults(sheet: &Sheet) -> Vec<String> {
    plan_cut(sheet).faults.iter().map(|f| format!("{f:?}")).collect()
}

/// A rectangle with one tab of 4 mm in the middle of a side: 0 top, 1 right, 2 bottom, 3 left.
fn block(name: &'static str, width: f64, height: f64, sides: &[usize]) -> Kind {
    let shape = Shape::new(Ring::rectangle(width, height), vec![]);
    let (w, h) = (width / 2.0, height / 2.0);
    let middles = [point(w, 0.0), point(width, h), point(w, height), point(0.0, h)];
    let tabs = sides.iter().map(|&s| tab_near(&shape, 0, middles[s], 4.0)).collect();
    Kind { name, shape, tabs, features: vec![] }
}

fn at(x: f64, y: f64) -> Pose {
    Pose::new(point(x, y), 0.0)
}

#[test]
fn a_good_sheet_has_no_fault() {
    let sheet = good_sheet();
    let problems = verify(&layout(vec![sheet.clone()]), &Rules::default());
    assert_eq!(problems, []);
    let plan = plan_cut(&sheet);
    assert_eq!(faults(&sheet), Vec::<String>::new());
    for tie in &plan.ties {
        let held = match sheet.parts[tie.part].part.as_str() {
            "disc" => Tie::Opening,
            "cover" => Tie::Skin,
            _ => Tie::Tabs,
        };
        assert_eq!(tie.tie, held);
        for (tab, left) in sheet.parts[tie.part].hold.tabs.iter().zip(&tie.tabs) {
            assert!((left.width - tab.width).abs() <= 0.05, "{} {}", left.width, tab.width);
        }
    }
    // Six openings' waste, each tied, one with the disc in it; the gears' bores go with the chips.
    assert_eq!(plan.drop_outs.len(), 6);
    assert!(plan.drop_outs.iter().all(|d| d.tied && !d.thrown));
    assert_eq!(plan.drop_outs.iter().filter(|d| d.carries == [3]).count(), 1);
}

#[test]
fn order_is_features_openings_outlines_and_inner_parts_before_outer() {
    let sheet = good_sheet();
    let plan = plan_cut(&sheet);
    let place = |part: usize, work: Work| {
        plan.order.iter().position(|o| o.part == part && o.work == work).unwrap()
    };
    // Edges kept clear of tabs are marks for the plan, nothing to cut.
    let cut = |p: &PlacedPart| p.features.iter().filter(|f| f.kind != FeatureKind::TabFree).count();
    let edges: usize = sheet.parts.iter().map(|p| 1 + p.openings.len() + cut(p)).sum();
    assert_eq!(plan.order.len(), edges);
    for (i, part) in sheet.parts.iter().enumerate() {
        for ring in 1..=part.openings.len() {
            assert!(place(i, Work::Ring(ring)) < place(i, Work::Ring(0)));
            for feature in
                (0..part.features.len()).filter(|&f| part.features[f].kind != FeatureKind::TabFree)
            {
                assert!(place(i, Work::Feature(feature)) < place(i, Work::Ring(ring)));
            }
        }
    }
    // The disc (3) lies in opening 1 of the first plate (0).
    assert!(place(3, Work::Ring(0)) < place(0, Work::Ring(1)));
    // Small before large: every hand before every plate.
    assert!(place(4, Work::Ring(0)) < place(0, Work::Ring(0)));
    assert_eq!(plan.part_order().len(), sheet.parts.len());
}

/// Centre-lines keep a distance of D/2 and at most 0.02 mm more, on straight, round and hollow edges.
#[test]
fn centre_lines_keep_half_a_diameter() {
    let sheet = good_sheet();
    let radius = sheet.bit.diameter / 2.0;
    for paths in plan_cut(&sheet).paths {
        let index = EdgeIndex::new(&sheet.parts[paths.part].shape());
        for path in paths.passes.iter().flat_map(|p| &p.paths) {
            for w in path.points.windows(2) {
                for t in [0.0, 0.37, 0.5, 0.81] {
                    let d = index.nearest(w[0].lerp(w[1], t)).unwrap().distance;
                    assert!(d >= radius - 1e-9 && d <= radius + 0.02, "{d} {radius}");
                }
            }
        }
    }
}

/// The stock left between the gap's ends on round edges of 5 to 80 mm, outside and inside.
#[test]
fn tabs_on_curves_are_left_as_wide_as_planned() {
    for radius in [5.0, 9.0, 20.0, 80.0] {
        for width in [1.0, 2.5, 4.0] {
            let size = 2.0 * radius + 60.0;
            let centre = point(size / 2.0, size / 2.0);
            let round = circle(point(0.0, 0.0), radius, 180);
            let disc = Shape::new(round.clone(), vec![]);
            let frame = Shape::new(
                Ring::rectangle(2.0 * radius + 16.0, 2.0 * radius + 16.0)
                    .moved(point(-radius - 8.0, -radius - 8.0)),
                vec![round],
            );
            for (shape, ring) in [(disc, 0), (frame, 1)] {
                if ring == 1 && radius < 6.0 {
                    continue; // the landing would meet the far side's kerf
                }
                let mut tabs = vec![tab_near(&shape, ring, point(radius, 0.3), width)];
                if ring == 1 {
                    tabs.push(tab_near(&shape, 0, point(0.0, -radius - 8.0), 4.0));
                }
                let kind = Kind { name: "round", shape, tabs, features: vec![] };
                let mut s = sheet(size, size);
                s.parts = vec![place(&kind, 1, Pose::new(centre, 0.4))];
                let plan = plan_cut(&s);
                assert!(plan.faults.is_empty(), "{radius} {width}: {:?}", faults(&s));
                let left = plan.ties[0].tabs[0].width;
                assert!((left - width).abs() < 0.02, "radius {radius}: {left}, planned {width}");
            }
        }
    }
}

#[test]
fn tabs_of_two_heights_get_two_upper_passes() {
    let mut kind = block("block", 60.0, 40.0, &[0, 2]);
    kind.tabs[1].height = 2.5;
    let mut s = sheet(120.0, 100.0);
    s.parts = vec![place(&kind, 1, at(30.0, 30.0))];
    let plan = plan_cut(&s);
    let depths: Vec<(f64, usize)> =
        plan.paths[0].passes.iter().map(|p| (p.depth, p.paths.len())).collect();
    // 6 mm less 2.5: closed; less 1.2: open at the higher tab; through: open at both.
    assert_eq!(depths, [(3.5, 1), (4.8, 1), (6.0, 2)]);
    let closed: Vec<bool> = plan.paths[0].passes.iter().map(|p| p.paths[0].closed).collect();
    assert_eq!(closed, [true, false, false]);
}

/// The layout's list of tabs is the order of the last pass: it starts just beyond the first and ends at it.
#[test]
fn the_through_pass_starts_beyond_the_first_tab_of_the_list_and_ends_at_it() {
    let kind = block("block", 60.0, 40.0, &[0, 1, 2]);
    for first in 0..3 {
        let mut s = sheet(120.0, 100.0);
        s.parts = vec![place(&kind, 1, at(30.0, 30.0))];
        s.parts[0].hold.tabs.rotate_left(first);
        let plan = plan_cut(&s);
        let through = plan.paths[0].through().next().unwrap();
        assert_eq!(through.paths.len(), 3);
        let nearest = |p: tabwright::geometry::Point| {
            let tabs = s.parts[0].hold.tabs.iter().map(|t| t.at.distance(p));
            tabs.enumerate().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap().0
        };
        assert_eq!(nearest(through.paths[0].start()), 0);
        assert_eq!(nearest(through.paths[2].end()), 0);
    }
}

#[test]
fn parts_that_hang_on_each_other_are_a_chain() {
    // An island between four blocks, kerfs coinciding all round it. The left block ties it outward; cut that
    // free and the top one goes too.
    let long = block("long", 60.0, 30.0, &[2]);
    let mut s = sheet(200.0, 160.0);
    let d = s.bit.diameter;
    // A frame of blocks round an island of 30 x 30.
    let (x, y) = (60.0, 50.0);
    let island = 36.0;
    let left = block("side", 30.0, island, &[1, 3]);
    s.parts = vec![
        place(&long, 1, at(x, y)),
        place(&block("long", 60.0, 30.0, &[2]), 2, at(x, y + 30.0 + d + island + d)),
        place(&left, 1, at(x - 30.0 + 12.0 - d, y + 30.0 + d)),
        place(&block("side", 30.0, island, &[1]), 2, at(x + 60.0 - 12.0 + d, y + 30.0 + d)),
    ];
    let plan = plan_cut(&s);
    assert_eq!(plan.ties[0].tie, Tie::Chain, "{:?}", faults(&s));
    assert_eq!(plan.ties[0].tabs[0].landing, Landing::Waste);
    assert_eq!(plan.ties[1].tie, Tie::Tabs, "its tab looks outward");
    assert_eq!(plan.ties[2].tie, Tie::Tabs, "its other tab looks outward");
    let island = plan.drop_outs.iter().find(|d| d.carries == [0, 2]).unwrap();
    assert!(!island.tied);
    assert!(plan.faults.contains(&CutFault::Chain { part: 0 }));
    // Without the left block's tab nothing holds either.
    let mut alone = s.clone();
    alone.parts[2].hold.tabs.remove(0);
    assert_eq!(plan_cut(&alone).ties[0].tie, Tie::Loose);
    // The predicate for planning again says the same beforehand.
    let skeleton = landing_on_skeleton(&s);
    assert!(!skeleton.accepts(&s.parts[0].hold.tabs[0]));
    assert!(skeleton.accepts(&s.parts[1].hold.tabs[0]));
}

#[test]
fn a_tab_that_lands_on_the_next_part_is_no_anchor_and_is_cut_away() {
    let mut s = sheet(200.0, 120.0);
    let d = s.bit.diameter;
    s.parts = vec![
        place(&block("a", 40.0, 40.0, &[1]), 1, at(30.0, 30.0)),
        place(&block("b", 40.0, 40.0, &[1]), 1, at(70.0 + d, 30.0)),
    ];
    let plan = plan_cut(&s);
    assert_eq!(plan.ties[0].tie, Tie::Loose);
    assert_eq!(plan.ties[0].tabs[0].width, 0.0);
    assert_eq!(plan.ties[1].tie, Tie::Tabs);
    assert!(plan.faults.contains(&CutFault::Loose { part: 0 }));
}

/// By hand: between two bars a strip of 3 mm is left, 150 mm long. The thin bar above is cut first, so the strip is slender
/// when the other bar's tab hangs on it: tape goes there, from the far side of the kerf on, a bit beyond the tab either way.
#[test]
fn tape_goes_under_the_strip_that_gives_way() {
    let mut s = sheet(240.0, 140.0);
    let d = s.bit.diameter;
    let below = 40.0 + 10.0 + d + 3.0 + d;
    s.parts = vec![
        place(&block("thin", 150.0, 10.0, &[0]), 1, at(45.0, 40.0)),
        place(&block("bar", 150.0, 30.0, &[0]), 1, at(45.0, below)),
    ];
    let plan = plan_cut(&s);
    assert!(plan.faults.is_empty(), "{:?}", faults(&s));
    assert_eq!(plan.part_order(), [0, 1]);
    let soft = sheet_cut(&s, &plan).soft;
    let [strip] = &soft[..] else { panic!("{} soft landings", soft.len()) };
    let (b, half) = (strip.bounds(), 2.0 + d);
    let found = [b.min.x, b.max.x, b.min.y, b.max.y];
    let expected = [120.0 - half, 120.0 + half, 50.0 + d, 50.0 + d + 3.0];
    // The kerfs' edges are found to 0.02 mm.
    assert!(
        found.iter().zip(expected).all(|(f, e)| (f - e).abs() < 0.02),
        "{found:?} {expected:?}"
    );
    // On a sheet of its own the bar lands on solid stock.
    s.parts.remove(0);
    assert_eq!(sheet_cut(&s, &plan_cut(&s)).soft, Vec::<Ring>::new());
}

#[test]
fn an_openings_waste_without_tabs_comes_loose_and_takes_its_part_along() {
    let mut s = good_sheet();
    s.parts[0].hold.tabs.retain(|t| t.ring == 0);
    let plan = plan_cut(&s);
    // The disc hangs on waste that comes loose; the plate's openings fall out, one is worth a warning.
    assert_eq!(plan.ties[3].tie, Tie::Loose);
    let loose: Vec<_> = plan.drop_outs.iter().filter(|d| !d.tied).collect();
    assert_eq!(loose.len(), 2);
    assert!(loose.iter().all(|d| d.thrown && d.opening.is_some_and(|o| o.0 == 0)));
}

/// An opening of 9.6 mm leaves a disc of 9.6 - 2 D = 3.25 mm, wider than the bit of D = 3.175; an opening of 9.4 mm leaves 3.05.
#[test]
fn loose_waste_as_wide_as_the_bit_is_told() {
    for (across, told) in [(9.6, true), (9.4, false)] {
        let hole = circle(point(20.0, 20.0), across / 2.0, 200);
        let shape = Shape::new(Ring::rectangle(60.0, 40.0), vec![hole]);
        let tabs = vec![tab_near(&shape, 0, point(30.0, 0.0), 4.0)];
        let mut s = sheet(200.0, 120.0);
        s.parts =
            vec![place(&Kind { name: "eye", shape, tabs, features: vec![] }, 1, at(40.0, 30.0))];
        let plan = plan_cut(&s);
        assert_eq!(plan.faults, vec![]);
        assert_eq!(plan.drop_outs.iter().any(|d| d.thrown), told, "{across} mm");
        assert!(plan.drop_outs.iter().all(|d| d.at.distance(point(60.0, 50.0)) < 1.0));
    }
}

#[test]
fn a_skin_ties_a_part_and_its_waste() {
    let mut s = good_sheet();
    for part in &mut s.parts {
        part.hold.tabs.clear();
        part.hold.method = Method::Skin;
        part.hold.skin_mm = Some(0.3);
    }
    let plan = plan_cut(&s);
    assert!(plan.faults.is_empty(), "{:?}", faults(&s));
    assert!(plan.ties.iter().all(|t| t.tie == Tie::Skin));
    assert!(plan.drop_outs.iter().all(|d| d.tied));
    assert!(plan.paths.iter().flat_map(|p| &p.passes).all(|p| (p.depth - 5.7).abs() < 1e-12));
}

#[test]
fn kerfs_that_coincide_gouge_nobody_and_leave_no_drop_out() {
    let mut s = sheet(200.0, 120.0);
    let d = s.bit.diameter;
    s.parts = vec![
        place(&block("a", 40.0, 40.0, &[3]), 1, at(30.0, 30.0)),
        place(&block("b", 40.0, 40.0, &[1]), 1, at(70.0 + d, 30.0)),
    ];
    let plan = plan_cut(&s);
    assert!(plan.faults.is_empty(), "{:?}", faults(&s));
    assert!(plan.drop_outs.is_empty());
    // A hair nearer than the bit's diameter is a gouge, and says how deep.
    s.parts[1] = place(&block("b", 40.0, 40.0, &[1]), 1, at(70.0 + d - 0.1, 30.0));
    let gouges: Vec<f64> = plan_cut(&s)
        .faults
        .iter()
        .filter_map(|f| if let CutFault::Gouge { depth, .. } = f { Some(*depth) } else { None })
        .collect();
    assert_eq!(gouges.len(), 2);
    assert!(gouges.iter().all(|g| (g - 0.1).abs() < 0.005), "{gouges:?}");
}

#[test]
fn an_opening_that_the_bit_does_not_enter_is_named() {
    let mut s = good_sheet();
    s.bit.diameter = 9.0;
    let plan = plan_cut(&s);
    // The gears' bores are 8 mm wide.
    let named = |part: usize| {
        let bore =
            |f: &&CutFault| matches!(f, CutFault::TooNarrow { part: p, ring: 1, .. } if *p == part);
        plan.faults.iter().filter(bore).count()
    };
    assert_eq!([named(6), named(7), named(8)], [1, 1, 1]);
}

/// The predicate must not accept what `verify` would reject: tabs are tried all round every part.
#[test]
fn what_the_skeleton_accepts_verify_accepts() {
    let mut s = good_sheet();
    s.keep_clear = vec![Ring::rectangle(8.0, 8.0).moved(point(8.0, 120.0))];
    // Crowd the sheet, so that landings meet neighbours.
    s.parts[4] = place(&kinds()[2], 1, at(20.0, 91.0));
    s.parts[5] = place(&kinds()[2], 2, at(24.0, 105.0));
    let skeleton = landing_on_skeleton(&s);
    let (mut yes, mut no) = (0, 0);
    for i in [0, 4, 5, 6] {
        let ring = s.parts[i].shape().outline.clone();
        for (k, segment) in ring.segments().enumerate() {
            for t in [0.3, 0.5, 0.71] {
                let at = segment.a.lerp(segment.b, t);
                let Some(d) = segment.direction() else { continue };
                let tab = Tab {
                    at,
                    out: d.perp() * -1.0,
                    width: 2.0,
                    height: 1.2,
                    ring: 0,
                    waste: false,
                };
                let mut with = s.clone();
                with.parts[i].hold.tabs = vec![tab.clone()];
                let landings = verify(&layout(vec![with]), &Rules::default())
                    .into_iter()
                    .filter(|p| p.what == tabwright::verify::What::Landing)
                    .count();
                let accepted = skeleton.accepts(&tab);
                assert!(!accepted || landings == 0, "part {i} segment {k}");
                if accepted { yes += 1 } else { no += 1 }
            }
        }
    }
    assert!(yes > 50 && no > 20, "{yes} {no}");
}

/// A block of 60 x 40 on two holding bridges of 4 mm, in a sheet of 6 mm.
fn on_bridges() -> Sheet {
    let mut kind = block("block", 60.0, 40.0, &[0, 2]);
    let mut s = sheet(120.0, 100.0);
    kind.tabs.iter_mut().for_each(|t| t.height = s.thickness);
    s.parts = vec![place(&kind, 1, at(30.0, 30.0))];
    s.parts[0].hold.last_pass = 0.5;
    s
}

/// Both passes are open at a bridge by its width and a bit's diameter (a round bit cuts half of it at either end), and the cut
/// is good: the bridge stands from bed to top, and counts as sawn off when parts are separated from the skeleton.
#[test]
fn holding_bridges_open_both_passes() {
    let s = on_bridges();
    assert_eq!(verify(&layout(vec![s.clone()]), &Rules::default()), vec![]);
    let plan = plan_cut(&s);
    assert_eq!(faults(&s), Vec::<String>::new());
    let passes: Vec<(PassKind, f64)> =
        plan.paths[0].passes.iter().map(|p| (p.kind, p.depth)).collect();
    assert_eq!(passes, [(PassKind::Upper, 5.5), (PassKind::Through, 6.0)]);
    let whole = 2.0 * (60.0 + 40.0) + std::f64::consts::PI * s.bit.diameter;
    for pass in &plan.paths[0].passes {
        assert!(pass.paths.len() == 2 && pass.paths.iter().all(|p| !p.closed));
        let length: f64 = pass.paths.iter().map(Path::length).sum();
        let open = 2.0 * (4.0 + s.bit.diameter);
        assert!((length - (whole - open)).abs() < 0.02, "{length} of {whole} less {open}");
    }
    assert_eq!(plan.ties[0].tie, Tie::Tabs);
    for tab in &plan.ties[0].tabs {
        assert!((tab.width - 4.0).abs() <= 0.05, "{}", tab.width);
    }
}

/// A lower tab beside a bridge: the upper pass goes down to it, open at the bridge alone.
#[test]
fn a_bridge_beside_a_tab() {
    let mut s = on_bridges();
    s.parts[0].hold.tabs[1].height = 1.2;
    let plan = plan_cut(&s);
    assert_eq!(faults(&s), Vec::<String>::new());
    let passes: Vec<(f64, usize, bool)> =
        plan.paths[0].passes.iter().map(|p| (p.depth, p.paths.len(), p.paths[0].closed)).collect();
    assert_eq!(passes, [(4.8, 1, false), (6.0, 2, false)]);
}

/// Paths changed on purpose: each change is found.
#[test]
fn upper_passes_that_cut_a_bridge_or_leave_more_are_rejected() {
    let s = on_bridges();
    let good = plan_cut(&s).paths;
    assert_eq!(faults_of(&s, &good), vec![]);
    let changed = |change: &dyn Fn(&mut Vec<Path>)| {
        let mut paths = good.clone();
        change(&mut paths[0].passes[0].paths);
        faults_of(&s, &paths)
    };
    // Closed over both bridges: nothing of them is left at the top.
    let closed = changed(&|paths| {
        let points = paths.iter().flat_map(|p| p.points.clone()).collect();
        *paths = vec![Path { points, closed: true }];
    });
    let cut = |f: &&CutFault| matches!(f, CutFault::TabWidth { left, .. } if *left == 0.0);
    assert_eq!(closed.iter().filter(cut).count(), 2, "{closed:?}");
    // Closed over one of them.
    let one = changed(&|paths| {
        let points = paths.iter().flat_map(|p| p.points.clone()).collect();
        *paths = vec![Path { points, closed: false }];
    });
    assert_eq!(one.iter().filter(cut).count(), 1, "{one:?}");
    // A bridge narrowed by 0.11 mm; 0.05 is allowed.
    let nibbled = changed(&|paths| {
        let n = paths[0].points.len();
        let (a, b) = (paths[0].points[n - 1], paths[0].points[n - 2]);
        let on = (a - b).unit().unwrap() * 0.11;
        paths[0].points.push(a + on);
    });
    let less = |f: &CutFault| matches!(f, CutFault::TabWidth { left, .. } if *left < 3.95);
    assert!(nibbled.len() == 1 && less(&nibbled[0]), "{nibbled:?}");
    // A stretch left standing where no bridge is.
    let open = changed(&|paths| {
        let n = paths[1].points.len();
        paths[1].points.truncate(n - 1);
    });
    let uncut = |f: &CutFault| matches!(f, CutFault::LeftUncut { part: 0, ring: 0, .. });
    assert!(open.iter().any(uncut), "{open:?}");
    // One stretch gone altogether, and numbers that are none.
    assert!(changed(&|paths| paths.truncate(1)).iter().any(uncut));
    let bad = changed(&|paths| paths[0].points[0].x = f64::NAN);
    assert!(bad.contains(&CutFault::BadPart { part: 0 }), "{bad:?}");
    // The through pass closed over them: they are cut away below.
    let mut paths = good.clone();
    let points = paths[0].passes[1].paths.iter().flat_map(|p| p.points.clone()).collect();
    paths[0].passes[1].paths = vec![Path { points, closed: true }];
    let below = faults_of(&s, &paths);
    assert_eq!(below.iter().filter(cut).count(), 2, "{below:?}");
}

/// Bridges on a round edge, where the gap's ends are oblique.
#[test]
fn bridges_on_curves_are_left_as_wide_as_planned() {
    for (radius, width) in [(6.0, 2.5), (9.0, 3.0), (20.0, 6.0)] {
        let round = Shape::new(circle(point(0.0, 0.0), radius, 180), vec![]);
        let mut s = sheet(2.0 * radius + 60.0, 2.0 * radius + 60.0);
        let mut tab = tab_near(&round, 0, point(radius, 0.3), width);
        tab.height = s.thickness;
        let kind = Kind { name: "round", shape: round, tabs: vec![tab], features: vec![] };
        s.parts = vec![place(&kind, 1, at(radius + 30.0, radius + 30.0))];
        s.parts[0].hold.last_pass = 0.3;
        let plan = plan_cut(&s);
        assert!(plan.faults.is_empty(), "{radius} {width}: {:?}", faults(&s));
        let left = plan.ties[0].tabs[0].width;
        assert!((left - width).abs() < 0.02, "radius {radius}: {left}, planned {width}");
    }
}

/// By hand: the bit's discs at both ends of the gap stand a tab's width and a diameter apart, wherever the edge bends. A width read
/// 0.5 % too wide would be a fault of a tab of 11 mm.
#[test]
fn tabs_beside_a_bend_are_left_as_wide_as_planned() {
    let mut wrong = vec![];
    for degrees in [-40.0f64, -30.0, -24.0, 24.0, 30.0, 40.0, 60.0, 90.0] {
        let (sin, cos) = degrees.to_radians().sin_cos();
        for (width, off) in [2.0, 4.0, 8.0, 14.0]
            .into_iter()
            .flat_map(|w| [-0.3, 0.0, 0.05, 0.1, 0.5].map(|o| (w, o)))
        {
            if off < 0.0 && degrees.abs() > 25.0 {
                continue; // no site: the root would lie across the corner
            }
            let far = point(50.0 + 50.0 * cos, 60.0 + 50.0 * sin);
            let ring = Ring(vec![
                point(0.0, 60.0),
                point(50.0, 60.0),
                far,
                point(far.x, 120.0),
                point(0.0, 120.0),
            ]);
            let shape = Shape::new(ring, vec![]);
            let tab = Tab {
                at: point(50.0 - off - width / 2.0, 60.0),
                out: point(0.0, -1.0),
                width,
                height: 1.2,
                ring: 0,
                waste: false,
            };
            let other = tab_near(&shape, 0, point(20.0, 120.0), 4.0);
            let kind = Kind { name: "bent", shape, tabs: vec![tab, other], features: vec![] };
            let mut s = sheet(160.0, 190.0);
            s.parts = vec![place(&kind, 1, at(20.0, 20.0))];
            let plan = plan_cut(&s);
            let left = plan.ties[0].tabs[0].width;
            if !plan.faults.is_empty() || (left - width).abs() > 0.02 {
                wrong.push(format!("{degrees} {width} {off}: {left} {:?}", faults(&s)));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
