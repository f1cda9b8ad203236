//! Waste between parts that the part cut last beside it keeps, on a sheet made by hand; bit 3 mm.
//!
//! A block of 60 x 40 mm has a notch 30 mm wide and 30 deep, open at the top; a bar of 60 x 10 mm closes it, one kerf above. The stock
//! in the notch is an island 24 mm wide. The block has a tab of 4 mm on the notch's floor, which lands on the island, and one on
//! the stock below it; the bar hangs on the stock above it by two. While the bar is uncut the island is one with it, so the block may
//! hang on it if the bar, cut after it, keeps the island by a tab of its own.

use crate::verify_support::rule;
use crate::verify_support::{Kind, layout, place, sheet, tab_near};
use tabwright::cut::{CutFault, Landing, Tie, plan_cut};
use tabwright::geometry::{Pose, Ring, Shape, point};
use tabwright::layout::{Sheet, Tab};
use tabwright::verify::{Rules, What, verify};

const BLOCK: usize = 0;
const BAR: usize = 1;

/// The sheet with the block first; tabs for waste on the bar's lower edge where `keeps` says.
fn notched(keeps: bool) -> Sheet {
    let corners = [
        (0.0, 0.0),
        (15.0, 0.0),
        (15.0, 30.0),
        (45.0, 30.0),
        (45.0, 0.0),
        (60.0, 0.0),
        (60.0, 40.0),
        (0.0, 40.0),
    ];
    let ring = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect()).positive();
    let shape = Shape::new(ring, vec![]);
    let tab = |x: f64, y: f64| tab_near(&shape, 0, point(x, y), 4.0);
    let tabs = vec![tab(30.0, 30.0), tab(30.0, 40.0)];
    let block = Kind { name: "block", shape: shape.clone(), tabs, features: vec![] };
    let shape = Shape::new(Ring::rectangle(60.0, 10.0), vec![]);
    let tab = |x: f64, y: f64| tab_near(&shape, 0, point(x, y), 4.0);
    let mut tabs = vec![tab(15.0, 0.0), tab(45.0, 0.0)];
    if keeps {
        tabs.push(Tab { waste: true, ..tab(30.0, 10.0) });
    }
    let bar = Kind { name: "bar", shape: shape.clone(), tabs, features: vec![] };
    let mut s = sheet(140.0, 140.0);
    s.bit.diameter = 3.0;
    s.parts = vec![
        place(&block, 1, Pose::new(point(40.0, 60.0), 0.0)),
        place(&bar, 1, Pose::new(point(40.0, 47.0), 0.0)),
    ];
    s
}

/// What `verify` says about anchors.
fn said(sheet: &Sheet) -> Vec<String> {
    let rules = Rules { complete: true, ..Rules::default() };
    let found = verify(&layout(vec![sheet.clone()]), &rules);
    found.iter().filter(|p| p.what == What::Anchor).map(rule::said).collect()
}

#[test]
fn a_part_hangs_on_what_a_later_one_keeps() {
    let s = notched(true);
    assert_eq!(said(&s), Vec::<String>::new());
    let cut = plan_cut(&s);
    assert_eq!(cut.faults, vec![]);
    assert_eq!(cut.part_order(), [BLOCK, BAR]);
    assert_eq!(cut.ties[BLOCK].tabs[0].landing, Landing::Kept(BAR));
    assert_eq!(cut.ties[BAR].tabs[2].landing, Landing::Kept(BAR));
    assert_eq!((cut.ties[BLOCK].tie, cut.ties[BAR].tie), (Tie::Tabs, Tie::Tabs));
    // The island is the only waste that is not clamped, and it is tied.
    assert_eq!(cut.drop_outs.len(), 1);
    let island = &cut.drop_outs[0];
    assert!(island.tied && !island.thrown && island.carries == [BLOCK], "{island:?}");
    // 24 mm between the notch's kerfs; from the floor's kerf to the bar's, 30 + 3 - 3 - 3 = 27.
    assert!((island.area - 24.0 * 27.0).abs() < 1.0, "{}", island.area);
}

/// The smaller bar would come first on the way: it waits, whatever the order of the list.
#[test]
fn the_keeper_is_cut_last() {
    let mut s = notched(true);
    s.parts.swap(0, 1);
    let cut = plan_cut(&s);
    assert_eq!((cut.part_order(), cut.faults), (vec![1, 0], vec![]));
    let free = plan_cut(&notched(false));
    assert_eq!(free.part_order(), [BAR, BLOCK], "without a tab for the waste nothing waits");
}

#[test]
fn check_knows_who_keeps_what() {
    // Listed, and so cut, the other way round: the bar keeps an island that the block is still to be cut beside.
    let mut swapped = notched(true);
    swapped.parts.swap(0, 1);
    let found = said(&swapped);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].contains("bar 1: tab 3 of its outline lands on stock that comes loose"));
    assert!(found[1].contains("block 1: tab 1 of its outline lands on stock that comes loose"));
    // Nobody keeps it.
    let found = said(&notched(false));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("block 1: tab 1 of its outline lands on stock that comes loose"));
    // The block's own tab is said to keep it, and the bar's to hold the bar: then both would hang on what they hold.
    let mut own = notched(true);
    own.parts[BLOCK].hold.tabs[0].waste = true;
    own.parts[BAR].hold.tabs[2].waste = false;
    assert!(!said(&own).is_empty());
    // The bar hangs on nothing but its island: it holds itself by its own hair.
    let mut alone = notched(true);
    let tabs = &mut alone.parts[BAR].hold.tabs;
    tabs.drain(..2);
    let at = tabs[0].at + point(-8.0, 0.0);
    tabs.insert(0, Tab { at, waste: false, ..tabs[0].clone() });
    assert!(said(&alone).iter().any(|s| s.contains("bar 1 hangs only on stock that comes loose")));
    // Then the block's tab on what it keeps holds nothing either, in the cut too.
    let faults = plan_cut(&alone).faults;
    let loose = |f: &CutFault| matches!(f, CutFault::NoAnchor { part: BLOCK, tab: 0, .. });
    assert!(faults.iter().any(loose), "{faults:?}");
}

/// The sheet with tabs on the island of both: the block's on the notch's floor is for waste, and it hangs on two others.
fn kept_by_both() -> Sheet {
    let mut s = notched(true);
    let hold = &mut s.parts[BLOCK].hold;
    let below = hold.tabs[1].clone();
    let beside = |dx: f64| Tab { at: below.at + point(dx, 0.0), ..below.clone() };
    let waste = Tab { waste: true, ..hold.tabs[0].clone() };
    hold.tabs = vec![beside(-15.0), beside(15.0), waste];
    s
}

/// The larger of two that keep it is cut last, however the sheet lists them, and both tie it. `verify` reads the order of cut off
/// the list: with the larger first the smaller would be last, for which nothing was judged.
#[test]
fn two_parts_keep_it() {
    for swapped in [false, true] {
        let mut s = kept_by_both();
        let (block, bar) = if swapped { (1, 0) } else { (0, 1) };
        if swapped {
            s.parts.swap(0, 1);
        }
        let cut = plan_cut(&s);
        assert_eq!((cut.part_order(), &cut.faults[..]), (vec![bar, block], &[][..]));
        let landing = |part: usize| cut.ties[part].tabs[2].landing;
        assert_eq!((landing(block), landing(bar)), (Landing::Kept(block), Landing::Kept(block)));
        assert!(cut.drop_outs.len() == 1 && cut.drop_outs[0].tied, "{:?}", cut.drop_outs);
        let loose = said(&s).iter().filter(|m| m.contains("stock that comes loose")).count();
        assert_eq!((loose, said(&s).len()), if swapped { (0, 0) } else { (2, 2) });
    }
}

/// A part that helps to keep the island may not hang on it, and the island is kept only if all that keep it are held.
#[test]
fn what_keeps_it_hangs_elsewhere() {
    let mut s = kept_by_both();
    s.parts.swap(0, 1);
    let (bar, block) = (0, 1);
    // The bar's own tabs both on the island.
    let tabs = &mut s.parts[bar].hold.tabs;
    tabs.drain(..2);
    let at = |dx: f64| tabs[0].at + point(dx, 0.0);
    let on_island = |dx: f64| Tab { at: at(dx), waste: false, ..tabs[0].clone() };
    *tabs = vec![on_island(-8.0), on_island(8.0), tabs[0].clone()];
    let found = said(&s);
    assert!(found.iter().any(|f| f.contains("bar 1 hangs only on stock that comes loose")));
    let lost = "block 1: tab 3 of its outline lands on stock that comes loose";
    assert!(found.iter().any(|f| f.contains(lost)), "{found:?}");
    let cut = plan_cut(&s);
    assert_eq!(cut.ties[bar].tie, Tie::Chain);
    assert_eq!(cut.ties[block].tie, Tie::Tabs);
}

/// The simulated cut agrees where a tab is missing.
#[test]
fn the_cut_misses_the_tab_that_keeps_it() {
    let cut = plan_cut(&notched(false));
    assert_eq!(cut.ties[BLOCK].tabs[0].landing, Landing::Waste);
    assert!(
        cut.faults
            .iter()
            .any(|f| matches!(f, tabwright::cut::CutFault::NoAnchor { part: BLOCK, tab: 0, .. })),
        "{:?}",
        cut.faults
    );
    assert!(cut.drop_outs.iter().all(|d| !d.tied), "{:?}", cut.drop_outs);
}

/// Two notches in one block, closed by one bar: the bar keeps the one island, the block the other. Neither can be cut after the
/// other round both, so one of the islands comes loose, in the cut and by `verify`.
#[test]
fn no_order_lets_two_parts_each_be_last() {
    let notch = |x: f64| [(x, 0.0), (x, 30.0), (x + 30.0, 30.0), (x + 30.0, 0.0)];
    let corners = [&[(0.0, 0.0)][..], &notch(15.0), &notch(60.0)].concat();
    let corners = [&corners[..], &[(105.0, 0.0), (105.0, 40.0), (0.0, 40.0)]].concat();
    let ring = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect()).positive();
    let block = Shape::new(ring, vec![]);
    let bar = Shape::new(Ring::rectangle(105.0, 10.0), vec![]);
    let on = |shape: &Shape, x: f64, y: f64| tab_near(shape, 0, point(x, y), 4.0);
    let waste = |tab: Tab| Tab { waste: true, ..tab };
    let below = on(&block, 50.0, 40.0);
    let beside = |dx: f64| Tab { at: below.at + point(dx, 0.0), ..below.clone() };
    let tabs = vec![beside(-15.0), beside(15.0), waste(on(&block, 75.0, 30.0))];
    let block = Kind { name: "block", shape: block, tabs, features: vec![] };
    let along = |y: f64, x: f64| Tab { at: point(x, y), ..on(&bar, 50.0, y) };
    let tabs = vec![along(0.0, 30.0), along(0.0, 75.0), waste(along(10.0, 30.0))];
    let bar = Kind { name: "bar", shape: bar, tabs, features: vec![] };
    let mut s = sheet(200.0, 140.0);
    s.bit.diameter = 3.0;
    s.parts = vec![
        place(&block, 1, Pose::new(point(40.0, 60.0), 0.0)),
        place(&bar, 1, Pose::new(point(40.0, 47.0), 0.0)),
    ];
    for swapped in [false, true] {
        if swapped {
            s.parts.swap(0, 1);
        }
        let cut = plan_cut(&s);
        let loose: Vec<bool> = cut.drop_outs.iter().map(|d| d.thrown).collect();
        assert!(loose.len() == 2 && loose[0] != loose[1], "{:?}", cut.drop_outs);
        let lost = |f: &CutFault| matches!(f, CutFault::NoAnchor { tab: 2, .. });
        assert_eq!(cut.faults.iter().filter(|f| lost(f)).count(), 1, "{:?}", cut.faults);
        assert_eq!(said(&s).len(), 1, "{:?}", said(&s));
    }
}
