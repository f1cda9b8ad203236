//! Strips: at least one landing of each part is on stock firm enough to hold it, by verify's own estimate.
//!
//! When a part is cut, those before it in the sheet's list are out, with their kerfs, and those after it still stand. The stock
//! under a landing is followed along the part's edge both ways, in steps, always in its middle, to where it is [`WIDENS`] times
//! as wide as at the tab or a [`SOLID`] piece (built in there), or ends (free). Widths come from exact distances: a ray advances
//! by the distance to the nearest kerf until it meets one (sphere tracing; Hart, The Visual Computer 12, 1996).
//!
//! The strip is a beam of varying width, loaded at the tab: bending and shear, by the flexibilities of its two arms as cantilevers
//! (unit loads; Timoshenko, Strength of Materials I), joined at the tab. A strip that turns a corner or meets another counts as
//! built in there, and one longer than [`REACH`] likewise, so that the estimate is on the stiff side.

use super::finding::TabFinding;
use super::numbers::usable;
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rigid_part::StockNumbers;
use super::rules::Rules;
use crate::geometry::{EdgeIndex, Point, Vector};
use crate::layout::{HoldDown, Method, Sheet, Tab};
use std::iter::once;

/// Stock at least this wide is solid, mm: ten of an ordinary tab's landings (set by hand).
const SOLID: f64 = 25.0;
/// Where the strip is this many times as wide as at the tab, it is built in (set by hand).
const WIDENS: f64 = 2.5;
/// Greatest length followed, mm.
const REACH: f64 = 150.0;
/// Length of a step, mm.
const STEP: f64 = 0.5;
/// Nearer than this to a kerf there is no stock, mm.
const NEAR: f64 = 0.01;
/// Most steps of a ray: along a kerf they are short.
const MOST_STEPS: usize = 400;
/// A landing that gives this much holds nothing, mm: twice what the plan may leave, because both are estimates.
const NO_SUPPORT: f64 = 2.0;

/// Problems of parts whose tabs all land on strips that bend away.
pub(super) fn check(sheet: &Sheet, parts: &[Prepared], rules: &Rules, problems: &mut Vec<Problem>) {
    let bit = sheet.bit.diameter;
    let Some(numbers) = StockNumbers::new(sheet) else { return };
    let sound = bit > 0.0 && bit <= 200.0 && usable(&sheet.outline).is_ok();
    if !rules.complete || !sound || sheet.hold_down == HoldDown::Tape {
        return; // on tape the strips lie fast themselves
    }
    let edge = EdgeIndex::of_rings(once(&sheet.outline));
    for (i, part) in parts.iter().enumerate() {
        let hold = &part.placed.hold;
        if hold.method != Method::Tabs {
            continue;
        }
        let reach = part.bounds.grown(REACH + SOLID);
        let near = parts[..=i].iter().filter(|p| p.bounds.touches(reach)).collect();
        let standing = StandingStock { edge: &edge, near, bit };
        let mut least = f64::INFINITY;
        for tab in hold.tabs.iter().filter(|t| t.holds()) {
            least = least.min(standing.gives(&numbers, sheet, tab, hold.load_n));
            if least < NO_SUPPORT {
                break;
            }
        }
        if least >= NO_SUPPORT && least.is_finite() {
            let found = TabFinding::NoFirmLanding { gives_mm: least };
            let problem = Problem::part(What::Anchor, sheet, part.placed, found);
            problems.push(problem.at(part.bounds.centre()).amount(least, NO_SUPPORT));
        }
    }
}

/// The stock that stands while one part is cut.
struct StandingStock<'a> {
    edge: &'a EdgeIndex,
    /// The parts that are cut by then, the part itself last.
    near: Vec<&'a Prepared<'a>>,
    bit: f64,
}

impl StandingStock<'_> {
    /// How far the stock under a tab gives way under `load` N, mm; 0 where it is solid, or where it cannot be judged.
    fn gives(&self, numbers: &StockNumbers, sheet: &Sheet, tab: &Tab, load: f64) -> f64 {
        let (start, along) = (tab.at + tab.out * (self.bit + 0.25), tab.out.perp());
        if !(tab.at.finite() && self.room(start) > NEAR) || self.in_opening(start) {
            return 0.0;
        }
        let width = 0.25 + self.reach(start, tab.out);
        if width >= SOLID {
            return 0.0;
        }
        let middle = tab.at + tab.out * (self.bit + width / 2.0);
        let arms = [along, along * -1.0].map(|way| self.arm(middle, way, tab.out, width));
        if arms.iter().all(|arm| arm.free) {
            return 0.0; // the way was lost, or the stock is loose: another rule
        }
        let (e, g) = (numbers.modulus(numbers.to_grain(along)), numbers.c.shear_modulus_mpa);
        let h = sheet.thickness;
        let aside = deflection(&arms, |b| (e * h * b.powi(3) / 12.0, g * h * b));
        let up = deflection(&arms, |b| (e * b * h.powi(3) / 12.0, g * h * b));
        (load * aside).max(load * numbers.lift * up)
    }

    /// Distance from a place in the stock to the nearest kerf or the sheet's edge, mm.
    fn room(&self, p: Point) -> f64 {
        let to = |edges: &EdgeIndex| edges.nearest(p).map_or(f64::INFINITY, |n| n.distance);
        // Most parts are too far away to matter, by their bounds alone.
        self.near.iter().fold(to(self.edge), |room, part| {
            let nearer = part.bounds.distance(p) - self.bit < room;
            if nearer { room.min(to(&part.edges) - self.bit) } else { room }
        })
    }

    /// How far the stock goes on from a place along `d`, mm, at most [`SOLID`].
    fn reach(&self, p: Point, d: Point) -> f64 {
        let mut t = 0.0;
        for _ in 0..MOST_STEPS {
            let room = self.room(p + d * t);
            if room < NEAR || t >= SOLID {
                break;
            }
            t += room;
        }
        t.min(SOLID)
    }

    fn in_opening(&self, p: Point) -> bool {
        self.near.iter().any(|part| part.placed.openings.iter().any(|o| o.contains(p)))
    }

    /// The strip from its middle at the tab along `way`.
    fn arm(&self, middle: Point, way: Point, out: Point, width: f64) -> StripArm {
        let (mut widths, mut at, mut across) = (vec![], middle, width);
        while (widths.len() as f64) * STEP < REACH {
            // Where the strip narrows to one side, its middle runs into a wall, and it goes on beside that.
            let beside = (-4..=4).map(|k| at + out * (across * f64::from(k) / 8.5) + way * STEP);
            let ahead = once(at + way * STEP).chain(beside).find(|p| self.room(*p) > NEAR);
            let Some(ahead) = ahead else { return StripArm { widths, free: true } };
            let (far, near) = (self.reach(ahead, out), self.reach(ahead, out * -1.0));
            across = far + near;
            if across >= SOLID || across > WIDENS * width {
                break;
            }
            at = ahead + out * ((far - near) / 2.0);
            widths.push(across);
        }
        StripArm { widths, free: false }
    }
}

/// A strip to one side of a tab: its width at each step, and whether it ends free.
struct StripArm {
    widths: Vec<f64>,
    free: bool,
}

impl StripArm {
    /// Stiffness against a force and a moment at the tab's end: of the force, mixed, of the moment. The far end is built in.
    /// `section` gives the stiffness in bending and in shear for a width.
    fn stiffness(&self, section: &impl Fn(f64) -> (f64, f64)) -> [f64; 3] {
        if self.free {
            return [0.0; 3];
        }
        let (mut force, mut mixed, mut moment) = (0.0, 0.0, 0.0);
        for (i, width) in self.widths.iter().enumerate() {
            let (x, (bending, shear)) = ((i as f64 + 0.5) * STEP, section(*width));
            force += STEP * (x * x / bending + 1.2 / shear);
            mixed += STEP * x / bending;
            moment += STEP / bending;
        }
        let determinant = force * moment - mixed * mixed;
        [moment / determinant, mixed / determinant, force / determinant]
    }
}

/// Movement at the tab under 1 N, mm, of a strip of two arms; 0 where one of them has no length.
fn deflection(arms: &[StripArm; 2], section: impl Fn(f64) -> (f64, f64)) -> f64 {
    if arms.iter().any(|arm| !arm.free && arm.widths.is_empty()) {
        return 0.0;
    }
    // The arms turn opposite ways for the same turn at the tab.
    let [a, b] = [0, 1].map(|i| arms[i].stiffness(&section));
    let (force, mixed, moment) = (a[0] + b[0], a[1] - b[1], a[2] + b[2]);
    moment / (force * moment - mixed * mixed)
}

#[cfg(test)]
mod tests {
    use super::super::prepared::prepare;
    use super::super::rigid_part::tests::{sheet, tab};
    use super::*;
    use crate::geometry::{Ring, point};

    /// A strip 2 mm wide in stock 6 mm thick: E 10000 MPa and G 700 MPa give E I = 40000 N mm² and G A/1.2 = 7000 N.
    fn arm(length: f64, free: bool) -> StripArm {
        StripArm { widths: vec![2.0; (length / STEP) as usize], free }
    }

    /// Built in at both ends, loaded at 40 of 100 mm: a³ b³/(3 E I L³) = 0.1152 mm/N; built in at one end, 40 mm away:
    /// L³/(3 E I) = 0.53333 mm/N (Roark, table 8.1, cases 1d and 1a). In shear alone two arms of 40 and 60 mm share the load:
    /// 24/7000 mm/N.
    #[test]
    fn beams_by_hand() {
        let bending = |b: f64| (10_000.0 * 6.0 * b.powi(3) / 12.0, 1e15);
        let shear = |b: f64| (1e15, 700.0 * 6.0 * b);
        let both = [arm(40.0, false), arm(60.0, false)];
        let close =
            |found: f64, by_hand: f64| assert!((found / by_hand - 1.0).abs() < 1e-3, "{found}");
        close(deflection(&both, bending), 0.1152);
        close(deflection(&both, shear), 24.0 * 1.2 / 8400.0);
        close(deflection(&[arm(40.0, false), arm(60.0, true)], bending), 0.533_333);
        assert_eq!(deflection(&[arm(40.0, false), arm(0.0, false)], bending), 0.0);
    }

    /// A plate of 100 x 40 mm, 2 mm of stock between its kerf and the sheet's upper edge, on two tabs that bear `load` N.
    fn beside_a_strip(tabs: [[f64; 4]; 2], load: f64) -> Sheet {
        let tabs = tabs.map(|[x, y, dx, dy]| tab([x, y], [dx, dy], 4.0, 2.0));
        let mut sheet = sheet(&tabs);
        sheet.outline = Ring::rectangle(160.0, 100.0);
        sheet.parts[0].outline = Ring::rectangle(100.0, 40.0).moved(point(30.0, 5.175));
        sheet.parts[0].hold.load_n = load;
        sheet
    }

    /// How far the firmest landing gives, where that is a problem.
    fn found(sheet: &Sheet) -> Vec<f64> {
        let (parts, mut problems) = prepare(sheet, &[]);
        check(sheet, &parts, &Rules { complete: true, ..Rules::default() }, &mut problems);
        problems.iter().filter_map(|p| p.amount).collect()
    }

    const NONE: [f64; 0] = [];
    const TOP: [[f64; 4]; 2] = [[75.0, 5.175, 0.0, -1.0], [85.0, 5.175, 0.0, -1.0]];
    const SIDE: [f64; 4] = [130.0, 25.0, 1.0, 0.0];

    /// The strip is from 100 to 106 mm long (round at its ends), and each tab 5 mm off its middle. By hand, bending and shear:
    /// 20 N move it 2.53 + 0.07 to 3.03 + 0.08 mm, 13 N 1.69 to 2.02 mm.
    #[test]
    fn tabs_on_a_slender_strip_hold_nothing() {
        let soft = found(&beside_a_strip(TOP, 20.0));
        assert!(soft.len() == 1 && (2.55..3.15).contains(&soft[0]), "{soft:?}");
        assert_eq!(found(&beside_a_strip(TOP, 12.0)), NONE);
        assert_eq!(found(&beside_a_strip([TOP[0], SIDE], 20.0)), NONE, "one lands on solid stock");
        let mut taped = beside_a_strip(TOP, 20.0);
        taped.parts[0].hold.method = Method::Tape;
        assert_eq!(found(&taped), NONE);
        let on_tape = Sheet { hold_down: HoldDown::Tape, ..beside_a_strip(TOP, 20.0) };
        assert_eq!(found(&on_tape), NONE);
    }

    /// A strip of 2 mm between two plates is slender for the later one only: the earlier one still has the other beside it.
    #[test]
    fn parts_that_are_cut_later_still_stand() {
        let mut sheet = beside_a_strip(TOP, 20.0);
        sheet.outline = Ring::rectangle(160.0, 200.0);
        let mut plate = sheet.parts.remove(0);
        let mut other = plate.clone();
        plate.outline = plate.outline.moved(point(0.0, 94.825));
        for tab in &mut plate.hold.tabs {
            tab.at.y = 100.0;
        }
        other.part = "other".into();
        other.hold.method = Method::Tape;
        other.hold.tabs.clear();
        // Its kerf ends 2 mm above the plate's.
        other.outline = Ring::rectangle(100.0, 40.0).moved(point(30.0, 100.0 - 2.0 * 3.175 - 42.0));
        sheet.parts = vec![plate.clone(), other.clone()];
        assert_eq!(found(&sheet), NONE);
        sheet.parts = vec![other, plate];
        assert_eq!(found(&sheet).len(), 1);
    }
}
