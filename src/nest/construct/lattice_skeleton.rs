//! Whether the tabs of a lattice's copies land on stock that stays connected.
//!
//! Where kerfs meet all round, what is left between copies is an island. A patch of the lattice is cut out of a larger sheet: the
//! landings of a copy in its middle must lie on what still hangs on the sheet's edge, by no web narrower than the lattice's
//! strips, or than a landing is deep.

use super::lattice::Lattice;
use crate::geometry::{
    Bounds, Point, Ring, Shape, Vector, difference, grow_within, point, shrink_within,
};
use crate::nest::no_fit::no_fit_table::NoFitTable;
use crate::nest::placing::sheet_axis::Axis;

/// Cells and copies of a row on each side of those in the middle of the patch.
const PATCH: i32 = 2;
/// How near to half their least width webs are thinned, as a share: those as wide stay. The rest is more than what offsets err by,
/// twice [`CHORD`] and twice 0.0003 mm.
const NEARLY: f64 = 0.9;
const CHORD: f64 = 0.02;
/// Where a landing is looked at, as shares of the way from its middle to its corners.
const SAMPLES: [f64; 3] = [0.0, 0.5, 0.9];

/// Whether every landing outside the outlines, of both rows' copies, hangs on the edge of the patch.
pub fn is_connected(table: &NoFitTable<'_>, lattice: &Lattice, axis: Axis) -> bool {
    let landings = |row: usize| table.form(lattice.forms[row]).filled().1;
    if landings(0).is_empty() && landings(1).is_empty() {
        return true;
    }
    let kerf = table.problem.kerf;
    // Each row's copy with its kerf, grown once.
    let grown = |row: usize| {
        let form = table.form(lattice.forms[row]);
        let outline = &table.kinds[form.kind].as_ref()?.shape.outline;
        let copy = Shape::new(form.orientation.at(point(0.0, 0.0)).apply_ring(outline), vec![]);
        Some(grow_within(&[copy], kerf, CHORD).into_iter().next()?.outline)
    };
    let (Some(first), Some(second)) = (grown(0), grown(1)) else { return false };
    let cell = |cell: i32| {
        let pair = [(0, &first), (1, &second)];
        (-PATCH..=PATCH).flat_map(move |k| {
            pair.map(|(row, kerf)| {
                Shape::new(kerf.moved(lattice.place(row, cell, k, axis)), vec![])
            })
        })
    };
    let cut: Vec<Shape> = (-PATCH..=PATCH).flat_map(cell).collect();
    let bounds = cut.iter().fold(Bounds::EMPTY, |b, s| b.join(s.bounds()));
    let frame = bounds.grown(2.0 * lattice.web());
    let sheet = Shape::new(Ring::rectangle(frame.width(), frame.height()).moved(frame.min), vec![]);
    let left = difference(&[sheet], &cut);
    let thinned = NEARLY * lattice.web() / 2.0;
    let webs = shrink_within(&left, thinned, CHORD);
    let corner = frame.min + point(1.0, 1.0) * lattice.web();
    let Some(firm) = webs.into_iter().find(|s| s.contains(corner)) else { return false };
    let hangs = |p: Point| {
        let near = |ring: &Ring| ring.segments().any(|s| s.distance_to_point(p) <= thinned);
        firm.contains(p) || firm.rings().any(near)
    };
    let held = |landing: &Vec<Point>, at: Point| {
        let middle = landing.iter().fold(point(0.0, 0.0), |m, p| m + *p) / landing.len() as f64;
        let sampled = |p: &Point| SAMPLES.iter().any(|t| hangs(at + middle.lerp(*p, *t)));
        landing.iter().any(sampled)
    };
    [0, 1].iter().all(|&row| {
        let at = lattice.place(row, 0, 0, axis);
        landings(row).iter().all(|landing| held(landing, at))
    })
}
