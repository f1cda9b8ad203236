//! Stock that holds depend on, changed in layouts and drawings that the program made: `check`'s rule of anchors finds each change.

use crate::check_support::{Change, Made, Rng, any, made, tabbed, tide_clock};
use rand::{RngExt, SeedableRng};
use rayon::prelude::*;
use std::path::Path;
use tabwright::cut::{Landing, any_clamped, landing_on_skeleton};
use tabwright::geometry::{Segment, Vector};
use tabwright::layout::{HoldDown, PlacedPart, Sheet, Tab};
use tabwright::verify::{Finding, Problem, SheetFinding, What};

/// Changes to the stock that a hold depends on; the rule of anchors finds each, whatever else is reported, or that of cleared waste.
const ANCHORS: [(&str, Change); 5] = [
    ("the clamps taken away", |m, _| {
        (!m.sheet().clamps.is_empty()).then_some(())?;
        m.sheet().clamps.clear(); // a knot stays where each was
        held_only_so(m)
    }),
    ("clamps instead of tape", |m, _| {
        (m.sheet().hold_down == HoldDown::Tape).then_some(())?;
        m.sheet().hold_down = HoldDown::Clamps;
        held_only_so(m)
    }),
    ("the tie of waste that a part hangs on cut off", |m, r| {
        let ties = ties(m.sheet());
        let (host, ring, _) = *ties.get(r.random_range(0..ties.len().max(1)))?;
        m.sheet().parts[host].hold.tabs.retain(|t| t.ring != ring);
        Some(())
    }),
    ("a tab moved onto stock that comes loose", moved_onto_waste),
    ("the paths closed at every tab of a part", |m, r| {
        let i = r.random_range(0..m.sheet().parts.len());
        let part = &m.layout.sheets[0].parts[i];
        tabbed(part).then_some(())?;
        // The upper pass is closed all round: at the depth of the through pass it cuts the tabs. Round a neck that the bit does
        // not pass it has several lines.
        let stem = format!("id=\"{}.{}.upper.0", part.part, part.copy);
        let upper: Vec<&str> = m.svg.lines().filter(|l| l.contains(&stem)).collect();
        (!upper.is_empty() && upper.iter().all(|l| l.contains(" Z\""))).then_some(())?;
        let through = upper.join("\n").replace(".upper.0", ".through.0.9");
        let start = m.svg.find("<g id=\"through-pass")?;
        let at = start + m.svg[start..].find('\n')?;
        m.svg.insert_str(at, &format!("\n{through}"));
        Some(())
    }),
];

/// Whether nothing else holds the sheet either, by the rule of `cut`.
fn held_only_so(m: &mut Made) -> Option<()> {
    (!any_clamped(m.sheet())).then_some(())
}

/// Parts with a ring whose waste holds a tab of another part: the host, the ring, the other part. Under a host on a skin or on tape
/// such waste stays without tabs, too.
fn ties(sheet: &Sheet) -> Vec<(usize, usize, usize)> {
    let reach = sheet.bit.diameter + 0.5;
    let mut found = vec![];
    for (host, part) in sheet.parts.iter().enumerate() {
        for (k, opening) in part.openings.iter().enumerate() {
            let tied = tabbed(part) && part.hold.tabs.iter().any(|t| t.ring == k + 1);
            let on_it = |p: &PlacedPart| {
                let mut tabs = p.hold.tabs.iter().filter(|t| t.ring == 0);
                tabbed(p) && tabs.any(|t| opening.contains(t.at + t.out * reach))
            };
            let other = sheet.parts.iter().position(on_it).filter(|other| tied && *other != host);
            found.extend(other.map(|other| (host, k + 1, other)));
        }
    }
    found
}

/// Moves a tab along its part's outline to a place where it lands on loose waste by `cut`.
fn moved_onto_waste(m: &mut Made, r: &mut Rng) -> Option<()> {
    let i = r.random_range(0..m.sheet().parts.len());
    let skeleton = landing_on_skeleton(m.sheet());
    let part = any(m.sheet(), &mut Rng::seed_from_u64(i as u64), tabbed)?;
    let first = part.hold.tabs.iter().position(|t| t.ring == 0)?;
    let edges: Vec<Segment> = part.outline.segments().filter(|s| s.length() > 1.2).collect();
    let tab = &mut part.hold.tabs[first];
    let places = edges.iter().flat_map(|s| (1..10).map(move |k| (s, f64::from(k) / 10.0)));
    let mut there = places.map(|(s, k)| Tab {
        at: s.a.lerp(s.b, k),
        out: s.direction().map_or(tab.out, |d| d.perp() * -1.0),
        width: 0.6,
        ..tab.clone()
    });
    *tab = there.find(|t| skeleton.landing(t) == Landing::Waste)?;
    Some(())
}

/// Sheets that are each held by something that can be taken away.
fn anchored() -> Vec<Made> {
    let mut sheets = vec![];
    for (job, svg) in [
        ("clamped", "plate"),
        ("taped", "plate"),
        ("disc-in-ring", "disc-in-ring"),
        ("rings-in-rings", "rings-in-rings"),
    ] {
        let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/holding/loose");
        let folder = tempfile::tempdir().expect("a temporary folder");
        let to = |name: &str| folder.path().join(name);
        std::fs::copy(data.join(format!("{svg}.svg")), to("p.svg")).expect("a drawing");
        std::fs::copy(data.join(format!("{job}.toml")), to("job.toml")).expect("a job");
        sheets.extend(made(&[&to("job.toml").display().to_string()]));
    }
    sheets.extend_from_slice(tide_clock());
    sheets
}

#[test]
fn what_a_hold_hangs_on_is_checked() {
    let sheets = anchored();
    for made in &sheets {
        assert_eq!(made.problems(), Vec::<String>::new(), "as made");
    }
    let mut rng = Rng::seed_from_u64(21);
    for (kind, change) in ANCHORS {
        let mut mutants = vec![];
        for _ in 0..200 {
            if mutants.len() == 9 {
                break;
            }
            let mut mutant = sheets[rng.random_range(0..sheets.len())].clone();
            if change(&mut mutant, &mut rng).is_some() {
                mutants.push(mutant);
            }
        }
        // Closed paths cut the tabs themselves, which other rules may find first.
        let any = kind.starts_with("the paths closed");
        // Loose waste that is cleared as a pocket takes the tab on it along: that is a finding of its own.
        let cleared =
            |p: &Problem| matches!(p.found, Finding::Sheet(SheetFinding::ClearsTab { .. }));
        let about = |p: &Problem| any || p.what == What::Anchor || cleared(p);
        let found = |m: &Made| m.found().iter().any(about);
        let missed = mutants.par_iter().filter(|m| !found(m));
        let missed: Vec<&str> = missed.map(|m| m.layout.sheets[0].id.as_str()).collect();
        let (done, found) = (mutants.len(), mutants.len() - missed.len());
        println!("{done:4} made {found:4} found  {kind}");
        assert!(done > 0 && missed.is_empty(), "{kind}: {done} made, missed on {missed:?}");
    }
}
