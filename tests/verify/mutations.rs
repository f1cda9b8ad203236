//! Seeded mutations of good layouts, judged by `verify` and by a naive check: they must agree.
//!
//! On sheets made by hand and on a sheet that the program made; `TABWRIGHT_LAYOUT=path/to/layout.json cargo test --test
//! verify_mutations` runs the same on any layout.

use crate::verify_support::{good_sheet, layout, naive};
use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};
use std::collections::BTreeMap;
use tabwright::geometry::{Pose, Vector, point};
use tabwright::layout::{Layout, PlacedPart};
use tabwright::verify::{Rules, verify};

const MUTATIONS: usize = 200;
const TOLERANCE: f64 = 1e-6;

#[test]
fn verify_agrees_with_the_naive_check_on_seeded_mutations() {
    let (bad, good) = agree(&layout(vec![good_sheet(), good_sheet_named("walnut-6mm-2", 10)]), 1);
    // Both kinds must occur, or the test shows nothing.
    assert!(bad >= 60 && good >= 30, "{bad} bad, {good} good");
}

/// The offcut sample as the program lays it, with few moves; another layout where the environment names one.
#[test]
fn verify_agrees_on_a_layout_of_the_program() {
    let text = match std::env::var("TABWRIGHT_LAYOUT") {
        Ok(path) => std::fs::read_to_string(path).unwrap(),
        Err(_) => offcut(),
    };
    let (bad, good) = agree(&serde_json::from_str(&text).unwrap(), 2);
    println!("{bad} bad, {good} good");
    assert!(bad >= 60 && good >= 20, "{bad} bad, {good} good");
}

fn offcut() -> String {
    let folder = tempfile::tempdir().unwrap();
    let run = std::process::Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["nest", "samples/offcut/job.toml", "--moves", "200", "-q", "-o"])
        .arg(folder.path())
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    std::fs::read_to_string(folder.path().join("layout.json")).unwrap()
}

/// A second sheet whose copy numbers continue.
fn good_sheet_named(id: &str, from: usize) -> tabwright::layout::Sheet {
    let mut sheet = good_sheet();
    sheet.id = id.into();
    for part in &mut sheet.parts {
        part.copy += from;
    }
    sheet
}

/// The number of mutations that both call bad, and that both call good.
fn agree(start: &Layout, seed: u64) -> (usize, usize) {
    let rules = Rules { tolerance: TOLERANCE, ..Rules::default() };
    let problems = verify(start, &rules);
    assert_eq!(problems, []);
    for sheet in &start.sheets {
        for i in 0..sheet.parts.len() {
            assert_eq!(naive::bad(sheet, i, TOLERANCE), None, "{}", sheet.parts[i].part);
        }
    }
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut tally: BTreeMap<(&str, bool), usize> = BTreeMap::new();
    for k in 0..MUTATIONS {
        let mut mutant = start.clone();
        // The naive check knows no grain (tests/verify/grain.rs does).
        mutant.sheets.iter_mut().flat_map(|s| &mut s.parts).for_each(|p| p.grain = None);
        let s = rng.random_range(0..mutant.sheets.len());
        let sheet = &mut mutant.sheets[s];
        let (what, changed) = mutate(sheet, k, &mut rng);
        let naive = changed.iter().find_map(|&i| naive::bad(sheet, i, TOLERANCE));
        let found = verify(&mutant, &rules);
        match &naive {
            Some(why) => assert!(!found.is_empty(), "{k} {what}: naive says {why}, verify nothing"),
            None => assert!(found.is_empty(), "{k} {what}: naive says good, verify {:?}", found[0]),
        }
        *tally.entry((what, naive.is_some())).or_default() += 1;
    }
    println!("{tally:?}");
    let count = |bad: bool| tally.iter().filter(|(k, _)| k.1 == bad).map(|(_, n)| n).sum();
    (count(true), count(false))
}

/// Changes one or two parts; returns what was done and to which.
fn mutate(
    sheet: &mut tabwright::layout::Sheet,
    k: usize,
    rng: &mut Xoshiro256PlusPlus,
) -> (&'static str, Vec<usize>) {
    let n = sheet.parts.len();
    let i = rng.random_range(0..n);
    // Half of the moves are small, so that some stay good and some miss by little.
    let size = if rng.random_bool(0.5) { 0.5 } else { 12.0 };
    match k % 4 {
        0 => {
            let d = point(rng.random_range(-size..size), rng.random_range(-size..size));
            move_by(&mut sheet.parts[i], |p| p + d, |v| v, d, 0.0);
            ("shifted", vec![i])
        }
        1 => {
            let angle = rng.random_range(-1.0..1.0) * size / 12.0;
            let part = &mut sheet.parts[i];
            let centre = part.outline.bounds().centre();
            let turn = |p: tabwright::geometry::Point| centre + (p - centre).turned(angle);
            let offset = turn(point(part.x, part.y)) - point(part.x, part.y);
            move_by(part, turn, |v| v.turned(angle), offset, angle);
            ("turned", vec![i])
        }
        2 => {
            let j = rng.random_range(0..n);
            let (a, b) = (
                sheet.parts[i].outline.bounds().centre(),
                sheet.parts[j].outline.bounds().centre(),
            );
            for (part, d) in [(i, b - a), (j, a - b)] {
                move_by(&mut sheet.parts[part], |p| p + d, |v| v, d, 0.0);
            }
            ("swapped", vec![i, j])
        }
        _ => {
            let with_tabs: Vec<usize> =
                (0..n).filter(|&p| !sheet.parts[p].hold.tabs.is_empty()).collect();
            if with_tabs.is_empty() {
                return ("nothing", vec![]);
            }
            let i = with_tabs[rng.random_range(0..with_tabs.len())];
            let tabs = &mut sheet.parts[i].hold.tabs;
            let t = rng.random_range(0..tabs.len());
            let tab = &mut tabs[t];
            match rng.random_range(0..5) {
                0..=2 => {
                    let along = tab.out.perp() * rng.random_range(-size..size);
                    tab.at = tab.at + along;
                }
                3 => tab.out = tab.out.turned(rng.random_range(-0.3..0.3)),
                _ => tab.width *= rng.random_range(0.5..4.0),
            }
            ("tab moved", vec![i])
        }
    }
}

/// Moves a part and everything that moves with it.
fn move_by(
    part: &mut PlacedPart,
    f: impl Fn(tabwright::geometry::Point) -> tabwright::geometry::Point,
    turn: impl Fn(tabwright::geometry::Point) -> tabwright::geometry::Point,
    offset: tabwright::geometry::Point,
    angle: f64,
) {
    part.outline = part.outline.map(&f);
    part.openings = part.openings.iter().map(|o| o.map(&f)).collect();
    part.features = part.features.iter().map(|g| g.map(&f)).collect();
    for tab in &mut part.hold.tabs {
        tab.at = f(tab.at);
        tab.out = turn(tab.out);
    }
    let pose = Pose { offset: point(part.x, part.y) + offset, ..part.pose() };
    (part.x, part.y) = (pose.offset.x, pose.offset.y);
    part.rotation_deg += angle.to_degrees();
}
