//! Turns the findings of the simulated cut into the layout's faults.

use super::sheet_cut::drop_outs;
use super::soft;
use crate::cut::{CutFault, CutPlan, Landing, any_clamped};
use crate::geometry::Point;
use crate::layout::{Fault, FaultKind, HoldDown, LandsOn, Layout, Sheet};
use crate::verify::{Rules, verify};

/// Everything that keeps the sheet from being cut as it is; `rounded` tells whether a part's job accepts its corners.
pub(super) fn faults_of(
    sheet: &Sheet,
    cut: &CutPlan,
    rounded: impl Fn(&str) -> bool,
) -> Vec<Fault> {
    let accepted = |f: &&CutFault| match f {
        CutFault::LeftStanding { part, cleft: Some(_), .. } => {
            sheet.parts.get(*part).is_some_and(|p| rounded(&p.part))
        }
        _ => false,
    };
    let of_cut = cut.faults.iter().filter(|f| !accepted(f)).map(|f| of_cut(sheet, f));
    let not_cut = sheet.parts.iter().enumerate().filter(|(_, p)| !p.hold.cuts_free());
    let not_held = not_cut.map(|(part, _)| (FaultKind::NotHeld, Some(part), None));
    let parts = sheet.parts.iter().enumerate();
    let too_weak = parts
        .filter_map(|(i, p)| Some((FaultKind::TooWeak { margin: p.hold.weak()? }, Some(i), None)));
    let soft = (0..sheet.parts.len()).filter_map(|i| {
        let gives_mm = soft::no_firm_landing(sheet, cut, i)?;
        Some((FaultKind::NoFirmLanding { gives_mm }, Some(i), None))
    });
    let no_clamp = (sheet.hold_down == HoldDown::Clamps && !any_clamped(sheet)).then_some((
        FaultKind::NoClamp,
        None,
        None,
    ));
    let told = |(kind, part, at): (FaultKind, Option<usize>, Option<Point>)| {
        let part = part.and_then(|i| sheet.parts.get(i));
        Fault {
            kind,
            sheet: sheet.id.clone(),
            part: part.map(|p| p.part.clone()),
            copy: part.map(|p| p.copy),
            at: at.map(|p| [p.x, p.y]),
            message: String::new(),
        }
    };
    no_clamp
        .into_iter()
        .chain(of_cut)
        .chain(not_held)
        .chain(too_weak)
        .chain(soft)
        .map(told)
        .collect()
}

/// The fault's kind, part and place.
fn of_cut(sheet: &Sheet, fault: &CutFault) -> (FaultKind, Option<usize>, Option<Point>) {
    let name = |i: usize| match sheet.parts.get(i) {
        Some(p) => (p.part.clone(), p.copy),
        None => (String::new(), 0),
    };
    match *fault {
        CutFault::BadSheet => (FaultKind::BadSheet, None, None),
        CutFault::BadPart { part } => (FaultKind::BadPart, Some(part), None),
        CutFault::TooNarrow { part, ring, at } => {
            (FaultKind::NotCut { ring }, Some(part), Some(at))
        }
        CutFault::NotReached { part, ring, width, at } => {
            (FaultKind::NotReached { ring, width_mm: width }, Some(part), Some(at))
        }
        CutFault::LeftStanding { part, area, cleft, at } => {
            (FaultKind::LeftStanding { area_mm2: area, cleft_mm: cleft }, Some(part), Some(at))
        }
        CutFault::LeftUncut { part, ring, at } => {
            (FaultKind::LeftUncut { ring }, Some(part), Some(at))
        }
        CutFault::Gouge { part, by, depth, at } => {
            let (by, by_copy) = name(by);
            (FaultKind::Gouge { by, by_copy, depth_mm: depth }, Some(part), Some(at))
        }
        CutFault::NotSeparated { part, other } => {
            let (other, other_copy) = name(other);
            (FaultKind::NotSeparated { other, other_copy }, Some(part), None)
        }
        CutFault::TabWidth { part, tab, left, planned, at } => {
            let kind = FaultKind::TabWidth { tab: tab + 1, left_mm: left, planned_mm: planned };
            (kind, Some(part), Some(at))
        }
        CutFault::NoAnchor { part, tab, on, at } => {
            let on = match on {
                Landing::Part(other) => {
                    let (part, copy) = name(other);
                    LandsOn::Part { part, copy }
                }
                Landing::Nothing => LandsOn::Nothing,
                Landing::Clamped | Landing::Opening | Landing::Kept(_) | Landing::Waste => {
                    LandsOn::Waste
                }
            };
            (FaultKind::NoAnchor { tab: tab + 1, on }, Some(part), Some(at))
        }
        CutFault::Chain { part } => (FaultKind::Chain, Some(part), None),
        CutFault::Loose { part } => (FaultKind::Loose, Some(part), None),
        CutFault::SkinCut { part, left } => (FaultKind::SkinCut { left }, Some(part), None),
    }
}

/// Whether the sheet passes `verify` by itself.
pub(super) fn is_sound(sheet: &Sheet, cut: &CutPlan) -> bool {
    let mut alone = Layout::of_sheets(std::slice::from_ref(sheet));
    alone.drop_outs = drop_outs(sheet, cut);
    verify(&alone, &Rules { complete: true, ..Rules::default() }).is_empty()
}

#[cfg(test)]
mod tests {
    use super::super::small_job;
    use super::*;
    use crate::cut::plan_cut;
    use crate::geometry::{Ring, point};
    use crate::layout::{Method, Tab, WarningKind};

    /// The panel of 200 x 120 mm (walnut, 6 mm, grain along x) with rectangles where they are said to lie: x, y, width, height.
    fn panel(long: [f64; 4], short: Option<[f64; 4]>, tabs: [Tab; 2]) -> Sheet {
        let mut sheet = small_job::made().layout.sheets.swap_remove(0);
        sheet.parts.sort_by(|a, b| a.part.cmp(&b.part));
        let mut put = |i: usize, [x, y, width, height]: [f64; 4]| {
            let part = &mut sheet.parts[i];
            part.outline = Ring::rectangle(width, height).moved(point(x, y));
            (part.x, part.y, part.rotation_deg) = (x, y, 0.0);
        };
        put(0, long);
        match short {
            Some(short) => put(1, short),
            None => sheet.parts.truncate(1),
        }
        let hold = &mut sheet.parts[0].hold;
        (hold.method, hold.load_n, hold.tabs) = (Method::Tabs, 5.0, tabs.into());
        sheet
    }

    fn tab(at: (f64, f64), out: (f64, f64)) -> Tab {
        let (at, out) = (point(at.0, at.1), point(out.0, out.1));
        Tab { at, out, width: 4.0, height: 1.5, ring: 0, waste: false }
    }

    fn faults(sheet: &Sheet) -> Vec<FaultKind> {
        faults_of(sheet, &plan_cut(sheet), |_| false).into_iter().map(|f| f.kind).collect()
    }

    /// The second tab lands where the kerf of the next part runs: the fault names tab 2, and no other.
    #[test]
    fn a_fault_of_a_tab_names_it() {
        let tabs = [tab((70.0, 40.0), (0.0, -1.0)), tab((70.0, 60.0), (0.0, 1.0))];
        let mut sheet = panel([40.0, 40.0, 60.0, 20.0], Some([55.0, 63.175, 30.0, 20.0]), tabs);
        sheet.parts[1].hold.method = Method::Tape;
        sheet.parts[1].hold.tabs.clear();
        let found = faults(&sheet);
        let width = |f: &&FaultKind| matches!(f, FaultKind::TabWidth { tab: 2, left_mm, .. } if *left_mm == 0.0);
        let anchor =
            |f: &&FaultKind| matches!(f, FaultKind::NoAnchor { tab: 2, on: LandsOn::Nothing });
        assert_eq!(found.iter().filter(width).count(), 1, "{found:?}");
        assert_eq!(found.iter().filter(anchor).count(), 1, "{found:?}");
        assert_eq!(found.len(), 2, "{found:?}");
    }

    /// A plate of 180 x 60 mm, 2 mm of stock between its kerf and the panel's upper edge: a strip 186 mm long, built in at both
    /// ends, with I = 4 mm4. Tabs at 83 and 103 mm of it: 5 N move it 5 a³ b³/(3 E I L³) = 3.2 mm (Roark, table 8.1, case 1d;
    /// walnut along the grain, E 12760 MPa).
    #[test]
    fn a_part_with_no_firm_landing_has_a_fault() {
        let top = |x: f64| tab((x, 5.175), (0.0, -1.0));
        let plate = [10.0, 5.175, 180.0, 60.0];
        let found = faults(&panel(plate, None, [top(90.0), top(110.0)]));
        let [FaultKind::NoFirmLanding { gives_mm }] = found[..] else { panic!("{found:?}") };
        assert!((gives_mm / 3.2 - 1.0).abs() < 0.15, "{gives_mm}");
        // Below it the stock is solid.
        let firm = panel(plate, None, [top(90.0), tab((100.0, 65.175), (0.0, 1.0))]);
        assert_eq!(faults(&firm), []);
        let mut taped = panel(plate, None, [top(90.0), top(110.0)]);
        taped.parts[0].hold.method = Method::Tape;
        assert_eq!(faults(&taped), []);
        // The warning names the softer of two landings, the one nearer to the strip's middle, 93 mm along it.
        for (tabs, named) in [([50.0, 102.0], 2), ([102.0, 50.0], 1)] {
            let soft = panel(plate, None, tabs.map(top));
            let told = soft::warnings(&soft, &plan_cut(&soft));
            let Some(WarningKind::SoftLanding { landings }) = &told[0].kind else {
                panic!("{told:?}")
            };
            assert_eq!((landings.len(), landings[0].tab), (1, named));
        }
        // On tape the strip lies fast: no fault, and no warning of a soft landing either.
        let soft = panel(plate, None, [top(90.0), top(110.0)]);
        assert_eq!(soft::warnings(&soft, &plan_cut(&soft)).len(), 1);
        let soft = Sheet { hold_down: HoldDown::Tape, ..soft };
        assert_eq!(faults(&soft), []);
        assert_eq!(soft::warnings(&soft, &plan_cut(&soft)), []);
    }
}
