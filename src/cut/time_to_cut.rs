//! How long a sheet takes to cut.
//!
//! Path lengths over the feed, pass by pass, with the plunges at a share of the feed, and an allowance for lifting the bit and
//! moving to the next cut. Pockets that clear waste count by their area. Pockets, drill holes and engravings of parts have no paths
//! here and do not count; nor do changes of bits or sheets.

use super::cut_plan::CutPlan;
use super::path::{Pass, PassKind};
use super::waste_pocket;
use crate::job::Bit;
use crate::layout::{CutTime, Sheet};

/// Feed of a plunge, as a share of the feed (common practice, no source).
const PLUNGE: f64 = 1.0 / 3.0;

/// How high the bit is lifted between cuts, mm (common practice, no source).
const LIFT: f64 = 5.0;

/// Rapid moves of desktop routers, mm/min: fast ones and slow ones (common practice, no source).
const RAPID: [f64; 2] = [5000.0, 1500.0];

/// What slowing down at corners and on curves adds to the time along the paths: nothing, and a quarter (common practice, no
/// source).
const CORNERS: [f64; 2] = [1.0, 1.25];

/// The time to cut a sheet with this bit.
pub fn time_to_cut(sheet: &Sheet, cut: &CutPlan, bit: &Bit) -> CutTime {
    let mut along = 0.0;
    let mut down = 0.0;
    let mut lifts = 0.0;
    for paths in &cut.paths {
        let last_pass = sheet.parts.get(paths.part).map_or(0.0, |p| p.hold.last_pass);
        let mut reached = (usize::MAX, 0.0);
        for pass in &paths.passes {
            let from = if reached.0 == pass.ring { reached.1 } else { 0.0 };
            let rounds = rounds(pass, pass.depth - from, bit.pass_depth, last_pass);
            reached = (pass.ring, pass.depth);
            for path in &pass.paths {
                along += path.length() * rounds;
                // A closed line goes on down where it ends; an open one is begun anew each round, through the kerf that is there.
                let begun = if path.closed || path.points.len() < 2 { 1.0 } else { rounds };
                lifts += begun;
                down += pass.depth - from + begun * LIFT;
            }
        }
    }
    if !sheet.cleared.is_empty() && bit.pass_depth > 0.0 {
        let (count, layers) =
            (sheet.cleared.len() as f64, (sheet.thickness / bit.pass_depth - 1e-9).ceil());
        along += waste_pocket::length(sheet) * layers;
        down += count * (sheet.thickness + LIFT);
        lifts += count;
    }
    let minutes = |i: usize| {
        let feed = along / bit.feed * CORNERS[i] + down / (bit.feed * PLUNGE);
        feed + (cut.travel + lifts * LIFT) / RAPID[i]
    };
    if bit.feed > 0.0 && along + down > 0.0 {
        CutTime { least_min: minutes(0), most_min: minutes(1) }
    } else {
        CutTime::default()
    }
}

/// How often the bit follows a pass to go `depth` mm deeper: the last time through the sheet by the hold's own last pass.
fn rounds(pass: &Pass, depth: f64, pass_depth: f64, last_pass: f64) -> f64 {
    let of = |depth: f64| (depth / pass_depth - 1e-9).ceil().max(0.0);
    let last = last_pass.min(depth);
    match pass.kind {
        PassKind::Through if last > 0.0 => of(depth - last) + 1.0,
        _ => of(depth).max(1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::path::{PartPaths, Path};
    use crate::geometry::point;
    use crate::job::Spiral;

    /// A square plate of 100 mm, cut 1 mm outside with a bit of 2 mm: 4 x 102 mm with sharp corners. Through 6 mm in passes of 2
    /// mm: 3 rounds, 1224 mm at 600 mm/min: 2.04 min. Plunges 6 + 5 mm at 200 mm/min: 0.055 min; a lift of 5 mm at 5000: 0.001
    /// min.
    #[test]
    fn a_square_takes_its_path_over_the_feed() {
        let bit = Bit {
            name: "2 mm".into(),
            diameter: 2.0,
            flutes: 2,
            spiral: Spiral::Down,
            helix: 0.5,
            pass_depth: 2.0,
            feed: 600.0,
            rpm: 18_000.0,
            allowance: 0.05,
        };
        let points = [(0.0, 0.0), (102.0, 0.0), (102.0, 102.0), (0.0, 102.0)];
        let square = Path { points: points.map(|(x, y)| point(x, y)).to_vec(), closed: true };
        let pass = |kind, depth, paths| Pass { kind, ring: 0, depth, paths };
        let plan = |passes| CutPlan {
            order: vec![],
            travel: 0.0,
            paths: vec![PartPaths { part: 0, passes }],
            drop_outs: vec![],
            ties: vec![],
            widened: vec![],
            faults: vec![],
        };
        let sheet = crate::cut::by_hand::sheet(200.0, 200.0);
        let time = |passes| time_to_cut(&sheet, &plan(passes), &bit);
        let whole = time(vec![pass(PassKind::Through, 6.0, vec![square.clone()])]);
        assert!((whole.least_min - (2.04 + 0.055 + 0.001)).abs() < 1e-9, "{whole:?}");
        assert!((whole.most_min - (2.55 + 0.055 + 5.0 / 1500.0)).abs() < 1e-9, "{whole:?}");
        // Down to tabs of 1 mm in 3 rounds, then two halves of 200 mm once: 3 x 408 + 400 mm = 1624 mm: 2.707 min; plunges of
        // 5 + 5, 1 + 5 and 1 + 5 mm at 200: 0.11 min; 3 lifts: 0.003 min.
        let half = |y: f64| Path { points: vec![point(0.0, y), point(200.0, y)], closed: false };
        let tabbed = time(vec![
            pass(PassKind::Upper, 5.0, vec![square]),
            pass(PassKind::Through, 6.0, vec![half(0.0), half(50.0)]),
        ]);
        assert!((tabbed.least_min - (1624.0 / 600.0 + 0.11 + 0.003)).abs() < 1e-9, "{tabbed:?}");
        // A pocket of 12 x 10 mm, its turns 0.8 mm apart: 3 layers of 150 mm at 600 mm/min: 0.75 min, and plunge and lift as above.
        let pocket = crate::geometry::Ring::rectangle(12.0, 10.0);
        let mut sheet = crate::cut::by_hand::sheet(200.0, 200.0);
        (sheet.cleared, sheet.bit.diameter) = (vec![pocket], 2.0);
        let cleared = time_to_cut(&sheet, &plan(vec![]), &bit);
        assert!((cleared.least_min - (0.75 + 0.055 + 0.001)).abs() < 1e-9, "{cleared:?}");
    }

    #[test]
    fn the_last_pass_is_a_round_of_its_own() {
        let pass = |kind| Pass { kind, ring: 0, depth: 6.0, paths: vec![] };
        // 1.2 mm of tab in passes of 3 mm, the last 0.4 mm by itself: two rounds; 0.4 of it alone: one.
        assert_eq!(rounds(&pass(PassKind::Through), 1.2, 3.0, 0.4), 2.0);
        assert_eq!(rounds(&pass(PassKind::Through), 0.4, 3.0, 0.4), 1.0);
        assert_eq!(rounds(&pass(PassKind::Upper), 4.8, 1.6, 0.4), 3.0);
    }
}
