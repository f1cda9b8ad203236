//! The cut of whole sheets.

mod verify_support;

use tabwright::cut::{Tie, plan_cut};
use tabwright::verify::{Rules, verify};
use verify_support::*;

#[test]
fn a_good_sheet_has_no_fault() {
    let sheet = good_sheet();
    let problems = verify(&layout(vec![sheet.clone()]), &Rules::default());
    for p in &problems {
        println!("{p}");
    }
    let plan = plan_cut(&sheet);
    for f in &plan.faults {
        println!("{}", f.describe(&sheet));
    }
    for o in &plan.order {
        println!("{:?} {} {}", o, sheet.parts[o.part].part, sheet.parts[o.part].copy);
    }
    for d in &plan.drop_outs {
        println!(
            "drop {:.1} {:.1} {:?} tied {} carries {:?} thrown {}",
            d.area, d.length, d.opening, d.tied, d.carries, d.thrown
        );
    }
    for t in &plan.ties {
        println!("{:?}", t);
    }
    println!("travel {}", plan.travel);
    assert!(problems.is_empty());
    assert!(plan.faults.is_empty());
    assert!(plan.ties.iter().all(|t| matches!(t.tie, Tie::Tabs | Tie::Opening)));
}

#[test]
fn timing_probe() {
    let sheet = good_sheet();
    let t = std::time::Instant::now();
    let plan = plan_cut(&sheet);
    println!(
        "plan {:?} paths {}",
        t.elapsed(),
        plan.paths
            .iter()
            .flat_map(|p| &p.passes)
            .flat_map(|p| &p.paths)
            .map(|p| p.points.len())
            .sum::<usize>()
    );
    let t = std::time::Instant::now();
    for p in plan.paths.iter().flat_map(|p| &p.passes).flat_map(|p| &p.paths) {
        let t = std::time::Instant::now();
        let s = tabwright::geometry::sweep_within(&p.points, p.closed, 1.5875, 0.001);
        println!(
            "  {} -> {} {:?}",
            p.points.len(),
            s.iter().flat_map(|s| s.rings()).map(|r| r.0.len()).sum::<usize>(),
            t.elapsed()
        );
    }
    println!("sweeps {:?}", t.elapsed());
}
