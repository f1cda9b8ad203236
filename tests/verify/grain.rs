//! Grain through the whole program: a stock whose grain lies at 30 degrees, parts plain and flipped, against hand
//! calculation (plane geometry) and against the same job on stock whose grain lies along +x.

use std::sync::atomic::AtomicBool;
use tabwright::drawing::read;
use tabwright::flow::{Effort, Watch, asked_of, make, part_hold};
use tabwright::geometry::Vector;
use tabwright::job::{Drawings, Job, JobFile, build, read_options};
use tabwright::layout::{FeatureKind, Layout, PartGrain};
use tabwright::verify::{Rules, What, verify};

/// A wedge of 70 mm whose directions all differ.
const WEDGE: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
    <path id="wedge" d="M5,5 L75,5 L75,17 L5,25 Z" fill="none" stroke="#000"/></svg>"##;

/// Four wedges whose direction at `part` degrees lies along the grain of a stock at `stock` degrees; its margin is stock that
/// tabs stand firm on.
fn job(stock: f64, part: f64, more: &str) -> Job {
    let text = format!(
        "units = 'mm'\n[[bit]]\nname = '1/8'\ndiameter = '1/8in'\nflutes = 2\nspiral = 'down'\n\
         [[stock]]\nname = 'board'\nmaterial = 'walnut'\nthickness = 6\nsize = '300x250'\nmargin = 25\ngrain = {stock}\n\
         [[drawing]]\nfile = 'wedge.svg'\nmaterial = 'walnut'\nthickness = 6\nquantity = 4\ngrain = {part}\n{more}"
    );
    let file = JobFile::parse(&text).expect("a job");
    let options = read_options(&file, None).expect("options");
    let drawing = read(WEDGE, "wedge.svg", &options).expect("a drawing");
    let drawings = Drawings::from([("wedge.svg".to_string(), drawing)]);
    build(&file, &drawings).expect("a sound job").0
}

fn made(job: &Job) -> Layout {
    let effort = Effort { moves: Some(50), time: None, threads: 1 };
    let stop = AtomicBool::new(false);
    make(job, &effort, &Watch { stop: &stop, progress: None }).expect("a layout").layout
}

/// The direction in degrees, from 0 up to 180, at which the wedge's long straight edge (its own +x) lies on the sheet.
fn long_edge(outline: &tabwright::geometry::Ring) -> f64 {
    // The one edge of 70 mm; its neighbour is the square root of 70² + 8² = 70.456 mm.
    let edge = outline.segments().find(|s| (s.length() - 70.0).abs() < 1e-6).expect("its edge");
    (edge.b.y - edge.a.y).atan2(edge.b.x - edge.a.x).to_degrees().rem_euclid(180.0)
}

#[test]
fn plain_and_flipped_parts_lie_along_a_grain_at_30_degrees() {
    // The direction 20 of the part lies at 30: a plain part's own +x then lies at 30 - 20 = 10 degrees, a flipped one's
    // (x becomes -x, the direction 160) at 30 + 20 = 50. Seen in the outline, not in the recorded turn.
    for (more, allowed) in [("", vec![10.0]), ("mirror = true", vec![10.0, 50.0])] {
        let layout = made(&job(30.0, 20.0, more));
        assert_eq!(layout.parts_placed, 4, "{:?}", layout.unplaced);
        for part in layout.sheets.iter().flat_map(|s| &s.parts) {
            let lies = long_edge(&part.outline);
            let wanted = if part.mirrored { 50.0 } else { 10.0 };
            assert!((lies - wanted).abs() < 1e-6 && allowed.contains(&wanted), "{lies}");
            let grain = part.grain.expect("its direction");
            assert!((grain.deg - 20.0).abs() < 1e-9 && grain.tolerance_deg == 0.0, "{grain:?}");
        }
    }
}

#[test]
fn a_hold_keeps_the_figures_of_its_plan_however_the_sheet_lies() {
    // The plan was made with the grain along the part's direction 20. Part and grain turn together, so where the tabs are
    // the plan's, every figure is too: a grain taken the wrong way round would change it.
    let mut compared = 0;
    for stock in [0.0, 30.0, 75.0, 150.0] {
        let job = job(stock, 20.0, "[[part]]\nname = 'wedge'\nquantity = 1");
        let plan = part_hold(&job, 0).expect("a plan").plan.hold;
        let layout = made(&job);
        assert_eq!(layout.parts_placed, 1);
        let placed = &layout.sheets[0].parts[0];
        let pose = placed.pose();
        let own: Vec<_> = placed.hold.tabs.iter().map(|t| pose.inverse(t.at)).collect();
        let near = |p: &tabwright::layout::Tab| own.iter().any(|q| q.distance(p.at) < 1e-6);
        if plan.tabs.len() != own.len() || !plan.tabs.iter().all(near) {
            continue; // another of its plans, all tabs on one side
        }
        compared += 1;
        let (a, b) = (&plan, &placed.hold);
        let pairs = [(a.safety, b.safety), (a.load_n, b.load_n), (a.movement_mm, b.movement_mm)];
        for (x, y) in pairs {
            assert!(
                (x - y).abs() <= 1e-6 * x.abs().max(1.0),
                "{stock}: {x} in the plan, {y} placed"
            );
        }
    }
    assert!(compared >= 2, "{compared}");
}

#[test]
fn a_tolerance_lets_parts_lie_off_the_grain_and_no_farther() {
    let job = job(30.0, 20.0, "grain-tolerance = 8");
    let layout = made(&job);
    for part in layout.sheets.iter().flat_map(|s| &s.parts) {
        let off = (long_edge(&part.outline) - 10.0).abs();
        assert!(off <= 8.0 + 1e-4, "{off}");
        assert_eq!(part.grain.map(|g| g.tolerance_deg.round()), Some(8.0));
    }
    // Any direction names none.
    for any in ["grain-tolerance = 90", "[[part]]\nname = 'wedge'\ngrain = 'any'"] {
        let layout = made(&self::job(30.0, 20.0, any));
        assert!(layout.sheets.iter().flat_map(|s| &s.parts).all(|p| p.grain.is_none()), "{any}");
    }
}

#[test]
fn pins_edges_without_tabs_and_the_jobs_own_grain_are_checked() {
    let job_of = |more: &str| job(30.0, 20.0, more);
    let text = "[[part]]\nname = 'wedge'\nmirror = true\ntab-free = ['top']\n\
                pin = [{ x = 100, y = 100, turn = 17, sheet = 2 }]";
    let job = job_of(text);
    let layout = made(&job);
    assert_eq!(layout.parts_placed, 4, "{:?}", layout.unplaced);
    let asked = asked_of(&job);
    let rules = Rules { asked: Some(&asked), ..Rules::default() };
    assert_eq!(verify(&layout, &rules), vec![]);
    let parts: Vec<_> = layout.sheets.iter().flat_map(|s| &s.parts).collect();
    let pinned = parts.iter().find(|p| p.copy == 1).expect("the pinned copy");
    // Turned by 17 degrees, its direction 30 - 17 = 13 lies along the grain.
    let Some(PartGrain { deg, .. }) = pinned.grain else { panic!("a direction") };
    assert!((deg - 13.0).abs() < 1e-9, "{deg}");
    for part in &parts {
        let mark = part.features.iter().find(|f| f.kind == FeatureKind::TabFree).expect("a mark");
        assert_eq!(mark.lines.len(), 1);
    }
    // The same layout for a job that wants the grain elsewhere, or flips nothing, or has no pin there.
    let found = |more: &str, part: f64| {
        let other = asked_of(&self::job(30.0, part, more));
        let mut kinds: Vec<What> =
            verify(&layout, &Rules { asked: Some(&other), ..Rules::default() })
                .iter()
                .map(|p| p.what)
                .collect();
        kinds.dedup();
        kinds
    };
    assert_eq!(found(text, 20.0), vec![]);
    assert_eq!(found(text, 20.01), vec![What::Grain]);
    assert_eq!(found(&text.replace("x = 100", "x = 100.01"), 20.0), vec![What::Pin]);
    assert_eq!(found(&text.replace("turn = 17", "turn = 17.01"), 20.0), vec![What::Pin]);
    assert_eq!(found(&text.replace("'top'", "'left'"), 20.0), vec![What::Feature]);
}
