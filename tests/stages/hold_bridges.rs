//! Holding bridges: compared with statics by hand, on pieces that nothing else holds well, and through the whole program.

use crate::hold_parts::{Case, bar, bit};
use serde_json::Value;
use std::process::{Command, Output};
use tabwright::export::{tried_rows, tried_table, why_words};
use tabwright::geometry::{Point, Ring, Shape, Vector, point};
use tabwright::hold::{evaluate, plan};
use tabwright::job::{Freeing, Holding, find_material};
use tabwright::layout::{Governs, Method, Tab};
use tabwright::mechanics::{Beam, Load, TabForces};
use tabwright::units::Units;

fn case(shape: Shape, material: &str, thickness: f64, bit_name: &str) -> Case {
    let material = find_material(material, thickness).unwrap().clone();
    let grain = if material.has_grain() { vec![0.0] } else { vec![] };
    Case { name: "piece", shape, thickness, material, grain, bit: bit(bit_name) }
}

/// A drop 12 mm wide and 19 long, like the tide clock's: a round end and straight flanks to a tip.
fn droplet() -> Shape {
    let round = (0..=40).map(|i| {
        let a = (-28.0 + 236.0 * f64::from(i) / 40.0_f64).to_radians();
        point(6.0 + 6.0 * a.cos(), 13.0 + 6.0 * a.sin())
    });
    Shape::new(Ring(round.chain([point(6.0, 0.0)]).collect()).positive(), vec![])
}

/// The same drop, smaller: ordinary tabs do not hold it under a bit that lifts.
fn small_droplet(scale: f64) -> Shape {
    let smaller = |p: &Point| *p * scale;
    Shape::new(Ring(droplet().outline.0.iter().map(smaller).collect()), vec![])
}

fn full(at: Point, out: Point, width: f64, thickness: f64) -> Tab {
    Tab { at, out, width, height: thickness, ring: 0, waste: false }
}

/// A bar of full height, 4 x 6 over 3.175 mm, as a beam whose roots turn and slip (the recipe's step 2, its factors by hand):
/// E/G = 10000/700, its cube root 2.4264; turn 0.3 q 4 = 2.9117 mm, slip 0.27 q sqrt(24) = 3.2095 mm. L^2 (L + 3 turn)/(12 E I)
/// with I = 32 and (L + slip)/(5/6 G A) make 3.1266e-5 + 4.5604e-4 mm/N: 2052.1 N/mm (the bare beam: 3 x 1417.71 N/mm).
/// Root of a cantilever, 6 P l/(t w^2): 10 N at 20 mm on 4 x 6 make 12.5 MPa.
#[test]
fn a_full_height_beam_by_hand() {
    const BY_HAND: f64 = 2052.1;
    let mut maple = find_material("hard maple", 6.0).unwrap().clone();
    (maple.e_along, maple.shear_modulus) = (10_000.0, 700.0);
    let tab = full(point(0.0, 0.0), point(1.0, 0.0), 4.0, 6.0);
    let beam = Beam::new(&tab, &maple, Some(0.0), 3.175, 6.0);
    assert!((beam.stiffness.shear - BY_HAND).abs() < 0.1, "{}", beam.stiffness.shear);
    let moment = TabForces { bend: point(20.0, 0.0), ..TabForces::default() };
    let sigma = beam.strength.normal / beam.ratios(&moment, 10.0).normal;
    assert!((sigma - 12.5).abs() < 1e-9, "{sigma}");
}

/// A bar on one bridge is statically determinate once all else is severed: a load F at r from the bridge's middle makes
/// N, V and M = r x F there, and at its roots |N/A +- 6 (M +- V D/2)/(t w^2)| (eccentric load on a cantilever, any
/// textbook of mechanics, e.g. Timoshenko, Strength of Materials I). The worst place and direction by trying them all.
#[test]
fn a_bar_on_a_single_bridge_is_a_cantilever() {
    let c = case(bar(24.0, 14.0), "acrylic", 3.0, "1/8 acrylic");
    let (holding, w, t, d) = (Holding::default(), 6.0, 3.0, 3.175);
    let task = c.task(&holding);
    let tab = full(point(24.0, 7.0), point(1.0, 0.0), w, t);
    let depth = 0.2;
    let found = evaluate(&task, std::slice::from_ref(&tab), Some(depth)).unwrap();
    let force = Load::new(&c.bit, &c.material).worst(depth);
    assert!((found.load / force - 1.0).abs() < 1e-12);
    let middle = tab.at + tab.out * (d / 2.0);
    // The worst over the places of the bit that are asked, not under the tab itself, in every direction.
    let by_hand = |places: &[Point]| {
        let mut most = 0.0_f64;
        for p in places.iter().filter(|p| p.x < 23.9 || (p.y - 7.0).abs() > w / 2.0) {
            for k in 0..360 {
                let f = point(force, 0.0).turned(f64::from(k).to_radians());
                let r = *p - middle;
                let (n, v, m) = (f.x, f.y, r.x * f.y - r.y * f.x);
                for side in [-1.0, 1.0] {
                    // Seen from the middle, a root lies D/2 to either side, and V turns with it.
                    let root = m + side * v * d / 2.0;
                    most = most.max((n / (w * t)).abs() + 6.0 * root.abs() / (t * w * w));
                }
            }
        }
        // Acrylic: half the lesser of bending and tension strength (the recipe's step 6).
        c.material.bending.min(c.material.tension_across) / 2.0 / most
    };
    let along = |s: f64| {
        let mut left = s;
        let on = |e: &tabwright::geometry::Segment| {
            let here = left < e.length();
            left -= if here { 0.0 } else { e.length() };
            here
        };
        let edge = c.shape.outline.segments().find(on).expect("on the outline");
        edge.a.lerp(edge.b, left / edge.length())
    };
    // Everywhere: the program's places stand up to half their spacing off the corners, and its load is spread over D/2 of edge.
    let everywhere: Vec<Point> = (0..7600).map(|i| along(f64::from(i) / 100.0)).collect();
    let off = found.free_safety / by_hand(&everywhere) - 1.0;
    assert!((0.0..0.04).contains(&off), "{} {off}", found.free_safety);
    // At the program's own places, L/D = 23.9: 23 of them from half a spacing on (the recipe's step 5), each load the mean
    // over D/2.
    let places: Vec<Point> = (0..23)
        .map(|i| {
            let s = (f64::from(i) + 0.5) * 76.0 / 23.0;
            let patch = (0..64).map(|k| along(s + ((f64::from(k) + 0.5) / 64.0 - 0.5) * d / 2.0));
            patch.fold(point(0.0, 0.0), |sum, p| sum + p / 64.0)
        })
        .collect();
    let off = found.free_safety / by_hand(&places) - 1.0;
    eprintln!("free safety {:.4}, at its own places {off:+.5}", found.free_safety);
    // Found 0.00002: the patch is summed in 64 places here.
    assert!(off.abs() < 2e-4, "{} {off}", found.free_safety);
    assert!(found.bridged && found.freeing == Freeing::Saw && found.count == 1);
}

/// A single bridge must bear the cut with either half of it lost: judged as a bridge half as wide beside its middle.
#[test]
fn half_of_a_single_bridge_may_go() {
    let c = case(bar(24.0, 14.0), "acrylic", 3.0, "1/8 acrylic");
    let holding = Holding::default();
    let task = c.task(&holding);
    let at = |y: f64, w: f64, h: f64| {
        vec![Tab { height: h, ..full(point(24.0, y), point(1.0, 0.0), w, 3.0) }]
    };
    let whole = evaluate(&task, &at(7.0, 8.0, 3.0), Some(0.2)).unwrap();
    // At the nominal load; acrylic's factor is 1.5.
    let half = |y: f64| 1.5 * evaluate(&task, &at(y, 4.0, 3.0), Some(0.2)).unwrap().tab_safety;
    let halves = half(5.0).min(half(9.0));
    eprintln!("half gone {:.3}, halves {halves:.3}", whole.one_gone);
    // Fewer places of the bit are asked when something is gone, which can only miss a worse one; here they have the worst.
    assert!((whole.one_gone / halves - 1.0).abs() < 1e-6, "{} {halves}", whole.one_gone);
    assert_eq!(whole.gone.what, Governs::HalfLost);
    // A tab that is no bridge leaves nothing when it goes.
    assert_eq!(evaluate(&task, &at(7.0, 8.0, 2.0), Some(0.2)).unwrap().one_gone, 0.0);
}

/// A bridge is always sawn off, even if the job snaps its tabs, and that is a demand: 2 x 5 N on its lever against the
/// section's bending strength (recipe, step 8).
#[test]
fn bridges_are_sawn_whatever_the_job_says() {
    let c = case(droplet(), "acrylic", 3.0, "1/8 acrylic");
    let snap = Holding { freeing: Freeing::Snap, ..Holding::default() };
    let saw = Holding::default();
    let tabs = vec![
        full(point(8.5, 5.0), point(0.88, -0.47).unit().unwrap(), 3.0, 3.0),
        full(point(3.5, 5.0), point(-0.88, -0.47).unit().unwrap(), 3.0, 3.0),
    ];
    let snapped = evaluate(&c.task(&snap), &tabs, Some(0.3)).unwrap();
    let sawn = evaluate(&c.task(&saw), &tabs, Some(0.3)).unwrap();
    assert_eq!(snapped.free_by_hand.value, sawn.free_by_hand.value);
    assert!(snapped.least().value <= snapped.free_by_hand.value);
    assert!(sawn.least().value <= sawn.free_by_hand.value);
    // The same tabs at two thirds of the sheet are snapped where the job snaps.
    let lower: Vec<Tab> = tabs.iter().map(|t| Tab { height: 2.0, ..t.clone() }).collect();
    let low = evaluate(&c.task(&snap), &lower, Some(0.3)).unwrap();
    assert!(!low.bridged && low.freeing == Freeing::Snap);
}

/// The bridges of a plan meet every demand that tabs must meet; the figures are those of a fresh judgement.
fn stands_on_bridges(c: &Case, holding: &Holding, count: usize) -> tabwright::hold::HoldPlan {
    let task = c.task(holding);
    let plan = plan(&task);
    let h = &plan.hold;
    let why = why_words(h, Units::Mm);
    eprintln!("{why}");
    assert_eq!((h.method, h.tabs.len()), (Method::Tabs, count), "{why}");
    assert!(h.tabs.iter().all(|t| t.is_holding_bridge(c.thickness)), "{:?}", h.tabs);
    let again = evaluate(&task, &h.tabs, Some(h.last_pass)).unwrap();
    assert!(again.holds() && again.bridged && again.free_by_hand.value >= 1.0);
    assert!((again.safety / h.safety - 1.0).abs() < 1e-9);
    assert!((again.movement / h.movement_mm - 1.0).abs() < 1e-9);
    // Ordinary tabs were asked first, and none held.
    let ordinary: Vec<_> = plan.tried.iter().filter(|t| !t.figures.bridged).collect();
    assert!(ordinary.iter().all(|t| t.deepest.is_none()), "{why}");
    for words in ["holding bridge", "full thickness", "saw", "trim"] {
        assert!(why.contains(words), "{words}: {why}");
    }
    plan
}

/// A droplet of a thumbnail's size in thin acrylic under a bit that lifts: on tabs it moves 0.12 mm, bridges hold it.
#[test]
fn an_acrylic_droplet_under_a_fingertip() {
    let mut c = case(small_droplet(0.8), "acrylic", 2.0, "1/8 acrylic");
    (c.bit.spiral, c.bit.helix) = (tabwright::job::Spiral::Up, 30.0_f64.to_radians());
    let holding = Holding::default();
    let plan = stands_on_bridges(&c, &holding, 2);
    let tried = tried_rows(&plan, Units::Mm);
    assert_eq!(tried.last().unwrap()[0], "2 holding bridges");
    let text = tried_table(&c.task(&holding), &plan, Units::Mm, true);
    assert!(text.contains("2 holding bridges hold at"), "{text}");
    // A skin would hold it too; a piece this small is wanted with a handle.
    let reason = plan.hold.reason.expect("a reason");
    assert!(!reason.no_skin, "{reason:?}");
}

/// Strips of veneer too thin for any skin: a bridge on either side, or a single bridge if that is enough.
#[test]
fn veneer_too_thin_for_a_skin_gets_a_bridge() {
    let holding = Holding::default();
    let maple = case(bar(25.0, 3.0), "hard maple", 0.4, "1/32 down");
    let two = stands_on_bridges(&maple, &holding, 2);
    let why = why_words(&two.hold, Units::Mm);
    assert!(why.contains("no skin holds it either"), "{why}");
    // Tabs hold shorter strips, tape longer ones: a single bridge is enough for some between.
    let balsa =
        (40..56).map(|half| case(bar(f64::from(half) / 2.0, 3.0), "balsa", 0.4, "1/32 down"));
    let single = |c: &Case| plan(&c.task(&holding)).hold.tabs.len() == 1;
    let strip = balsa.into_iter().find(single).expect("a strip on a single bridge");
    stands_on_bridges(&strip, &holding, 1);
}

/// Larger pieces take a skin before a bridge: pieces that a skin held before still get it.
#[test]
fn a_large_thin_pane_keeps_its_skin() {
    let mut c = case(bar(220.0, 220.0), "acrylic", 3.0, "1/8 acrylic");
    (c.bit.spiral, c.bit.helix) = (tabwright::job::Spiral::Up, 20.0_f64.to_radians());
    let plan = plan(&c.task(&Holding::default()));
    assert_eq!(plan.hold.method, Method::Skin, "{}", why_words(&plan.hold, Units::Mm));
    assert!(
        plan.tried.iter().all(|t| !t.figures.bridged),
        "no bridge is asked for where a skin holds"
    );
}

const JOB: &str = r#"
title = "Drops"
units = "mm"
seed = 1
# Room for clamped stock between the drops.
web = 25

[holding]
freeing = "snap"

[[bit]]
name = "1/8 in single flute"
diameter = "1/8in"
flutes = 1
spiral = "up"
helix = 30
pass-depth = 1
feed = 1000
rpm = 16000

[[stock]]
name = "acrylic offcut"
material = "acrylic"
thickness = 1.5
size = "260x180"
margin = 25

[[drawing]]
file = "drops.svg"
material = "acrylic"
thickness = 1.5

[[part]]
name = "drop"
quantity = 3
"#;

fn tabwright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tabwright")).args(args).output().expect("the program starts")
}

/// From the drawing to a checked sheet: the landings have room in the nest, both passes are open at the bridges in the
/// drawing, the page and the words name them; a file in which a bridge is lowered or moved is refused.
#[test]
fn a_job_with_bridges_is_nested_cut_and_checked() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let d: String = small_droplet(0.9)
        .outline
        .0
        .iter()
        .enumerate()
        .map(|(i, p)| format!("{}{:.4} {:.4}", if i == 0 { "M" } else { "L" }, p.x, p.y))
        .collect();
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"30mm\" height=\"30mm\" viewBox=\"0 0 30 30\"><path id=\"drop\" fill=\"none\" stroke=\"black\" d=\"{d}Z\"/></svg>"
    );
    std::fs::write(path("drops.svg"), svg).unwrap();
    std::fs::write(path("job.toml"), JOB).unwrap();
    let run = tabwright(&["nest", &path("job.toml"), "-o", &path("out"), "--moves", "2000"]);
    let (said, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    assert_eq!(run.status.code(), Some(0), "{said}{err}");
    assert!(
        said.contains("3 of them by holding bridges of full thickness, to be sawn off: drop"),
        "{said}"
    );
    let file = path("out/layout.json");
    let good = tabwright(&["check", &file, "--job", &path("job.toml")]);
    assert_eq!(good.status.code(), Some(0), "{}", String::from_utf8_lossy(&good.stdout));
    let layout: Value = serde_json::from_str(&std::fs::read_to_string(&file).unwrap()).unwrap();
    let sheet = &layout["sheets"][0];
    for part in sheet["parts"].as_array().unwrap() {
        let tabs = part["hold"]["tabs"].as_array().unwrap();
        assert!(
            !tabs.is_empty() && tabs.iter().all(|t| t["height"].as_f64() == Some(1.5)),
            "{part}"
        );
        assert!(part["hold"]["figures"]["freeing_margin"].as_f64().is_some_and(|m| m >= 1.0));
    }
    let drawing =
        std::fs::read_to_string(path(&format!("out/{}.svg", sheet["id"].as_str().unwrap())))
            .unwrap();
    for id in ["drop.1.bridge.1", "drop.1.upper.0.2", "drop.1.through.0.2"] {
        assert!(drawing.contains(&format!("id=\"{id}\"")), "{id}");
    }
    assert!(drawing.contains("Saw it off"));
    let page = std::fs::read_to_string(path("out/report.html")).unwrap();
    assert!(page.contains("holding bridge: full thickness, to be sawn off"));
    // Changed by hand: each must be found.
    let refused = |change: &dyn Fn(&mut Value), what: &str| {
        let mut bad = layout.clone();
        change(&mut bad["sheets"][0]["parts"][0]["hold"]["tabs"][0]);
        std::fs::write(path("bad.json"), bad.to_string()).unwrap();
        let check = tabwright(&["check", &path("bad.json")]);
        let said = String::from_utf8_lossy(&check.stdout);
        assert!(check.status.code() == Some(1) && said.contains(what), "{what}: {said}");
    };
    refused(&|t| t["height"] = 1.45.into(), "lower than the sheet");
    refused(&|t| t["height"] = 1.6.into(), "the sheet is");
    refused(&|t| t["width"] = 30.0.into(), "tab 1");
    refused(&|t| t["at"][0] = (t["at"][0].as_f64().unwrap() + 1.5).into(), "tab 1");
}
