//! The strip of skeleton that a tab lands on: a web between two kerfs bends away when it is slender.
//!
//! A beam estimate. From the landing the web is followed both ways along its middle until it widens
//! into solid skeleton (built in there) or ends (free). Built in both ways it is a beam fixed at both
//! ends with the load at the tab, else a cantilever; bending and shear (Timoshenko), the second moment
//! from the mean of 1/b³ along the way. A web that meets another web, or turns a corner, counts as built in there,
//! so where webs form a net the true stiffness is less.

use super::region::ConnectedPiece;
use crate::geometry::{Bounds, Point, Segment, Vector};
use crate::job::find_material;
use crate::layout::{Sheet, Tab};
use crate::mechanics::{KAPPA, Moduli, Stiffness, line_angle};
use serde::Serialize;

/// A landing wider than this is solid, mm: ten of an ordinary tab's landings.
const SOLID: f64 = 25.0;
/// Where the strip is this many times wider than at the tab, it is built in.
const WIDENS: f64 = 2.5;
/// A landing that moves less than this under the load is no trouble, mm: half the movement that a holding plan allows (`0.05 mm`).
pub(super) const NOTICED: f64 = 0.025;

/// Stock that can list its edges near a place, to follow a ray from a place in it.
pub(super) trait Edged {
    /// Its edges whose bounds touch `bounds`; others that lie beyond its edges do no harm.
    fn edges(&self, bounds: Bounds) -> impl Iterator<Item = Segment>;
}

impl Edged for ConnectedPiece {
    fn edges(&self, bounds: Bounds) -> impl Iterator<Item = Segment> {
        self.edges.touching(bounds)
    }
}

/// A slender strip of skeleton under a landing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Web {
    /// Its width at the tab, mm.
    pub width: f64,
    /// How far it runs to solid skeleton or to its end, both ways, mm.
    pub lengths: [f64; 2],
    /// Whether it ends free, both ways.
    pub free: [bool; 2],
    /// Stiffness in the sheet's plane, along the tab, N/mm.
    pub in_plane: f64,
    /// Stiffness out of the plane, N/mm.
    pub out_of_plane: f64,
    /// Displacement under the part's load, in the plane, or out of it under the lift of an up-spiral, whichever is more, mm.
    pub gives: f64,
    /// Whether the web, as it stands while its part is cut, is softer than the tab and moves more than 0.025 mm: the part then
    /// moves at least twice as far as its tabs alone would let it.
    pub soft: bool,
}

/// The web under a tab's landing; `None` where it is solid.
pub(super) fn under(piece: &impl Edged, tab: &Tab, load: f64, sheet: &Sheet) -> Option<Web> {
    let bit = sheet.bit.diameter;
    let start = tab.at + tab.out * (bit + 0.25);
    let width = 0.25 + to_edge(piece, start, tab.out, SOLID);
    if width >= SOLID {
        return None;
    }
    let middle = tab.at + tab.out * (bit + width / 2.0);
    let along = tab.out.perp();
    let arms = [along, along * -1.0].map(|d| Arm::follow(piece, middle, d, width));
    if arms.iter().all(|a| a.free) {
        // Clamped stock cannot end free both ways: the walk along its middle lost the web. Nothing is said rather than
        // something false.
        return None;
    }
    if arms.iter().all(|a| a.length < width / 2.0 && !a.free) {
        return None; // solid either side: as stiff as the sheet
    }
    let elastic = Elastic::of(sheet, along);
    let h = sheet.thickness;
    let in_plane = stiffness(&arms, elastic, |a| h / 12.0 / a.inverse_cube, |a| a.mean * h);
    let out_of_plane = stiffness(&arms, elastic, |a| a.mean * h.powi(3) / 12.0, |a| a.mean * h);
    let [tab_in_plane, tab_out_of_plane] = Elastic::of(sheet, tab.out).tab(sheet, tab);
    let lift = load * sheet.cut.helix_deg.clamp(0.0, 89.0).to_radians().tan();
    let gives = [load / in_plane, lift / out_of_plane];
    // Springs in series: the web runs along the edge and bends along the tab, so that it gives where the tab pulls.
    let softer = [in_plane < tab_in_plane, out_of_plane < tab_out_of_plane];
    let soft = (0..2).any(|i| softer[i] && gives[i] > NOTICED);
    Some(Web {
        width,
        lengths: [arms[0].length, arms[1].length],
        free: [arms[0].free, arms[1].free],
        in_plane,
        out_of_plane,
        gives: gives[0].max(gives[1]),
        soft,
    })
}

/// Distance from `p` to the piece's edge along `d`, mm, or `limit`.
pub(super) fn to_edge(piece: &impl Edged, p: Point, d: Point, limit: f64) -> f64 {
    let ray = Segment::new(p, p + d * limit);
    piece
        .edges(Bounds::of(&[ray.a, ray.b]))
        .filter_map(|s| ray.line_meeting(s))
        .filter(|&(t, u)| (0.0..=1.0).contains(&t) && (-1e-9..=1.0 + 1e-9).contains(&u))
        .map(|(t, _)| t * limit)
        .fold(limit, f64::min)
}

/// The web to one side of the tab.
struct Arm {
    length: f64,
    free: bool,
    /// Mean width, mm.
    mean: f64,
    /// Mean of 1 / width³.
    inverse_cube: f64,
}

/// The place nearest to `at`, across the strip, from which the strip continues for a step: where it narrows to one side, as beside
/// a finger of the next part, its old middle runs into a wall.
fn passage(
    piece: &impl Edged,
    at: Point,
    towards: Point,
    (wide, step): (f64, f64),
) -> Option<Point> {
    let side = towards.perp();
    let aside = (1..=8).flat_map(|k| [side, side * -1.0].map(|d| (d, wide / 16.0 * f64::from(k))));
    aside
        .filter(|&(d, by)| to_edge(piece, at, d, by) >= by)
        .map(|(d, by)| at + d * by)
        .find(|p| to_edge(piece, *p, towards, step * 1.5) >= step)
}

/// Whether a strip `wide` mm across that ends before a wall runs on to one side there.
fn turns_off(piece: &impl Edged, end: Point, towards: Point, wide: f64) -> bool {
    let side = towards.perp();
    let reach = |d: Point| to_edge(piece, end, d, 2.0 * WIDENS * wide);
    reach(side).max(reach(side * -1.0)) >= WIDENS * wide
}

impl Arm {
    /// Follows the middle of the strip from `start` towards `direction`.
    fn follow(piece: &impl Edged, start: Point, direction: Point, width: f64) -> Arm {
        let (mut at, mut towards) = (start, direction);
        let (mut length, mut sum, mut inverse) = (0.0, 0.0, 0.0);
        let mut here = width;
        let mut free = false;
        for _ in 0..500 {
            let step = (here / 2.0).clamp(0.5, 5.0);
            let ahead = to_edge(piece, at, towards, step * 1.5);
            if ahead < step
                && let Some(aside) = passage(piece, at, towards, (here, step))
            {
                at = aside;
            } else if ahead < step {
                // The strip ends here, or bends away: then the leg beyond the corner, pulled along its length, holds the end.
                length += ahead;
                free =
                    !turns_off(piece, at + towards * (ahead - here / 2.0).max(0.0), towards, here);
                break;
            }
            let next = at + towards * step;
            let side = towards.perp();
            let reach = WIDENS * width;
            let (left, right) =
                (to_edge(piece, next, side, reach), to_edge(piece, next, side * -1.0, reach));
            if left + right >= WIDENS * width {
                break;
            }
            // By at most a quarter of the step: where the strip widens to one side its direction stays.
            let off = ((left - right) / 2.0).clamp(-step / 4.0, step / 4.0);
            let centred = next + side * off;
            let Some(turned) = (centred - at).unit() else { break };
            length += centred.distance(at);
            here = (left + right).max(0.1);
            sum += here * centred.distance(at);
            inverse += centred.distance(at) / here.powi(3);
            (at, towards) = (centred, turned);
        }
        if length > 0.0 {
            Arm { length, free, mean: sum / length, inverse_cube: inverse / length }
        } else {
            Arm { length, free, mean: width, inverse_cube: width.powi(-3) }
        }
    }
}

/// Young's modulus along a direction of the sheet, and its shear modulus, MPa.
#[derive(Clone, Copy)]
struct Elastic {
    e: f64,
    g: f64,
}

impl Elastic {
    fn of(sheet: &Sheet, direction: Point) -> Self {
        let grain = sheet.grain_deg.to_radians();
        let moduli = moduli(sheet);
        let e = moduli.at(line_angle(direction.y.atan2(direction.x), grain));
        Elastic { e, g: moduli.shear }
    }

    /// A tab's own springs along its span and up, N/mm, the same as in the holding stage.
    fn tab(self, sheet: &Sheet, tab: &Tab) -> [f64; 2] {
        let size = [tab.width, tab.height];
        let k = Stiffness::on_roots(self.e, self.g, size, sheet.bit.diameter, sheet.thickness);
        [k.axial, k.lift]
    }
}

/// The sheet's own moduli; for an unknown material those of middling hardwood (estimate; only ratios decide).
fn moduli(sheet: &Sheet) -> Moduli {
    const HARDWOOD: Moduli = Moduli { along: 10_000.0, across: 700.0, shear: 800.0, poisson: 0.4 };
    match &sheet.material_constants {
        Some(m) => Moduli {
            along: m.e_along_mpa,
            across: m.e_across_mpa,
            shear: m.shear_modulus_mpa,
            poisson: m.poisson_lt,
        },
        None => find_material(&sheet.material, sheet.thickness).map_or(HARDWOOD, Moduli::of),
    }
}

/// Stiffness of the web at the tab, N/mm.
fn stiffness(
    arms: &[Arm; 2],
    elastic: Elastic,
    moment: impl Fn(&Arm) -> f64,
    area: impl Fn(&Arm) -> f64,
) -> f64 {
    let Elastic { e, g } = elastic;
    let shear = |a: &Arm| KAPPA * g * area(a) / a.length.max(0.1);
    let cantilever = |a: &Arm| {
        let l = a.length.max(0.1);
        1.0 / (l.powi(3) / (3.0 * e * moment(a)) + 1.0 / shear(a))
    };
    match (&arms[0], &arms[1]) {
        (a, b) if a.free => cantilever(b),
        (a, b) if b.free => cantilever(a),
        (a, b) => {
            // Fixed at both ends, load at a from one: k = 3 E I L³ / (a³ b³); E I shared by length.
            let (l, m) = (a.length.max(0.1), b.length.max(0.1));
            let i = (l + m) / (l / moment(a) + m / moment(b));
            let bending = 3.0 * e * i * ((l + m) / (l * m)).powi(3);
            1.0 / (1.0 / bending + 1.0 / (shear(a) + shear(b)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::region::Region;
    use super::*;
    use crate::geometry::{Ring, Shape, point};

    fn walnut(grain_deg: f64) -> Sheet {
        Sheet { thickness: 3.0, grain_deg, ..super::super::by_hand::sheet(300.0, 300.0) }
    }

    /// A web 5 mm wide between two blocks, the walk along it ending 10 mm to either side of the tab: a beam built in at both ends
    /// with the load at its middle, 192 E I/L^3 and 4 (5/6 G A)/L in series (Roark, table 8.1, case 1d), L = 20, I = 3 x 5^3/12, A
    /// = 15.
    /// Walnut, E 12760 along and 715 across, G 791: 1639 N/mm along its fibres, 421.9 across.
    /// At 45 degrees by hand: 1/E = 1/4 (1/12760 + 1/715 + 1/791 - 2 x 0.632/12760), E 1513.9, and 721.3 N/mm.
    #[test]
    fn a_web_between_two_blocks_by_hand() {
        let region = between_blocks(5.0);
        let piece = &region.pieces[0];
        for (grain, by_hand) in [(0.0, 1639.0), (45.0, 721.3), (90.0, 421.9)] {
            let web = under(piece, &TAB, 5.0, &walnut(grain)).expect("a web");
            assert!((web.width - 5.0).abs() < 1e-6 && web.free == [false, false], "{web:?}");
            assert!(web.lengths.iter().all(|l| (l - 10.0).abs() < 1e-6), "{web:?}");
            assert!((web.in_plane / by_hand - 1.0).abs() < 2e-3, "{grain}: {web:?}");
            assert!((web.gives * by_hand / 5.0 - 1.0).abs() < 2e-3 && !web.soft, "{web:?}");
        }
        // 20 N move it 0.047 mm, and a tab with its fibres along the pull, E A/D = 16075 N/mm, hardly at all.
        assert!(under(piece, &TAB, 20.0, &walnut(90.0)).is_some_and(|w| w.soft));
    }

    /// Web and tab are springs in series along the tab's pull: a web is called soft where it is softer than the tab. With the
    /// fibres along the pull the tab has E A/(D + x) = 12760 x 4/(3.175 + 4.99) = 6251 N/mm, x = 0.57 (12760/791)^(1/3) sqrt(4 x
    /// 3); without its roots 16075. A web 20 mm wide has 6428 by the beam above, one of 19 mm 5986: stiffer and softer than the tab
    /// on its roots, both softer than the bare tab.
    #[test]
    fn a_web_is_soft_where_it_gives_more_than_its_tab() {
        for (width, stiffness, soft) in [(20.0, 6428.4, false), (19.0, 5985.9, true)] {
            let region = between_blocks(width);
            let web = under(&region.pieces[0], &TAB, 200.0, &walnut(90.0)).expect("a web");
            assert!((web.in_plane / stiffness - 1.0).abs() < 2e-3, "{web:?}");
            assert!(web.gives > NOTICED && web.soft == soft, "{web:?}");
        }
    }

    /// A strip that ends free 30 mm to the right of the tab, and is built in to the left: a cantilever, L^3/(3 E I) + L/(5/6 G A).
    /// The strip is 5 mm wide and 3 mm thick, I = 3 x 5^3/12 and A = 15; the walk ends where the stock widens, 10 mm to the left:
    /// across the fibres 1/(1000/(3 x 715 x 31.25) + 10/(5/6 x 791 x 15)) = 62.78 N/mm.
    #[test]
    fn a_strip_with_a_free_end_is_a_cantilever() {
        let corners = [(-10.5, 3.175), (-10.5, -40.0), (-90.0, -40.0), (-90.0, 90.0)];
        let strip = [(-10.5, 90.0), (-10.5, 8.175), (30.0, 8.175), (30.0, 3.175)];
        let ring = Ring(corners.iter().chain(&strip).map(|&(x, y)| point(x, y)).collect());
        let region = Region::new(vec![Shape::new(ring.positive(), vec![])]);
        let web = under(&region.pieces[0], &TAB, 5.0, &walnut(90.0)).expect("a web");
        let ends = if web.free[0] { [1, 0] } else { [0, 1] };
        assert!(web.free[ends[1]] && !web.free[ends[0]], "{web:?}");
        assert!((web.lengths[ends[0]] - 10.0).abs() < 1e-6, "{web:?}");
        assert!((web.lengths[ends[1]] - 30.0).abs() < 1e-6, "{web:?}");
        assert!((web.in_plane / 62.78 - 1.0).abs() < 2e-3, "{web:?}");
    }

    /// A strip 3 mm wide and 80 long between two blocks, to whose one side a notch 3 mm deep widens it from 10 to 20 mm beside
    /// the tab, as between the fingers of a box: the way along its middle comes to the notch's wall, and the strip goes on beside
    /// it.
    #[test]
    fn a_strip_beside_fingers_is_followed_to_its_ends() {
        let outer = [(-40.0, 3.175), (-40.0, -40.0), (-90.0, -40.0), (-90.0, 90.0), (-40.0, 90.0)];
        let far = [(-40.0, 6.175), (40.0, 6.175), (40.0, 90.0), (90.0, 90.0), (90.0, -40.0)];
        let notch = [(40.0, -40.0), (40.0, 3.175), (20.0, 3.175), (20.0, 0.175), (10.0, 0.175)];
        let corners = outer.into_iter().chain(far).chain(notch).chain([(10.0, 3.175)]);
        let ring = Ring(corners.map(|(x, y)| point(x, y)).collect());
        let region = Region::new(vec![Shape::new(ring.positive(), vec![])]);
        let web = under(&region.pieces[0], &TAB, 5.0, &walnut(90.0)).expect("a web");
        assert!(web.free == [false, false] && web.soft, "{web:?}");
        assert!(web.lengths.iter().all(|l| (l - 40.0).abs() < 3.0), "{web:?}");
    }

    /// A ribbon 3 mm wide round three sides of a hole: it turns a corner 60 mm to either side of the tab, and is held there.
    #[test]
    fn a_ribbon_round_a_corner_is_held_at_the_corner() {
        let outer = [(-60.0, 6.175), (60.0, 6.175), (60.0, -90.0), (-60.0, -90.0)];
        let hole = [(-57.0, 3.175), (57.0, 3.175), (57.0, -50.0), (-57.0, -50.0)];
        let ring = |c: [(f64, f64); 4]| Ring(c.map(|(x, y)| point(x, y)).to_vec());
        let shape = Shape::new(ring(outer).positive(), vec![ring(hole).positive().reversed()]);
        let region = Region::new(vec![shape]);
        let web = under(&region.pieces[0], &TAB, 5.0, &walnut(90.0)).expect("a web");
        assert!(web.free == [false, false] && web.soft, "{web:?}");
        assert!(web.lengths.iter().all(|l| (l - 57.0).abs() < 3.0), "{web:?}");
    }

    /// Stock that goes on to both sides is no web, however near its far edge: a notch 4 mm wide in a board, 6 mm behind the tab.
    #[test]
    fn solid_stock_beside_a_landing_is_no_web() {
        let corners = [(-90.0, 3.175), (90.0, 3.175), (90.0, 90.0), (2.0, 90.0)];
        let notch = [(2.0, 9.175), (-2.0, 9.175), (-2.0, 90.0), (-90.0, 90.0)];
        let ring = Ring(corners.iter().chain(&notch).map(|&(x, y)| point(x, y)).collect());
        let region = Region::new(vec![Shape::new(ring.positive(), vec![])]);
        assert_eq!(under(&region.pieces[0], &TAB, 200.0, &walnut(90.0)), None);
    }

    const TAB: Tab = Tab {
        at: point(0.0, 0.0),
        out: point(0.0, 1.0),
        width: 4.0,
        height: 1.0,
        ring: 0,
        waste: false,
    };

    /// Two blocks with a web `width` mm wide between them, 21 mm long, a kerf away from the tab.
    fn between_blocks(width: f64) -> Region {
        let beyond = 3.175 + width;
        let corners = [
            (-10.5, 3.175),
            (-10.5, -40.0),
            (-90.0, -40.0),
            (-90.0, 90.0),
            (-10.5, 90.0),
            (-10.5, beyond),
            (10.5, beyond),
            (10.5, 90.0),
            (90.0, 90.0),
            (90.0, -40.0),
            (10.5, -40.0),
            (10.5, 3.175),
        ];
        let ring = Ring(corners.iter().map(|&(x, y)| point(x, y)).collect()).positive();
        Region::new(vec![Shape::new(ring, vec![])])
    }
}
