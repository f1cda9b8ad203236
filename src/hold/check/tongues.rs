//! Tongues: pieces of the part that stand into an opening, free on all sides but the root once the opening is cut.

use super::figures::SAFETY_PART;
use super::judge::{MOVEMENT_IN, MOVEMENT_LIFT};
use super::offered::directions;
use crate::geometry::{Contour, Point, Ring, Vector};
use crate::hold::part::sections::{Chord, narrowest};
use crate::hold::task::HoldTask;
use crate::layout::WarningKind;
use crate::mechanics::{KAPPA, Load, line_angle, modulus_at, section_strength};

/// A tongue's root is where it is this much wider than its section.
const WIDENS: f64 = 1.02;

/// A tongue at its weakest section, under the last pass round its opening.
#[derive(Debug, Clone, PartialEq)]
pub struct Tongue {
    /// Ring of the opening it stands into, from 1.
    pub ring: usize,
    /// Middle of its weakest section, in the part's frame.
    pub root: Point,
    /// Its width there, mm.
    pub width: f64,
    /// From there to its farthest point, mm.
    pub length: f64,
    /// Strength over stress at the root, with the bit at the tip.
    pub safety: f64,
    /// Movement of the tip in the plane and up, mm.
    pub movement: [f64; 2],
}

impl Tongue {
    /// The least of strength (safety 2) and movement, over what is required of a part: 1.0 or more passes.
    pub fn margin(&self) -> f64 {
        let [plane, up] = self.movement;
        (self.safety / SAFETY_PART).min(MOVEMENT_IN / plane).min(MOVEMENT_LIFT / plane.hypot(up))
    }
}

/// The tongues of a part, each at the section where its margin is least, with a last pass `depth` mm deep at the worst load.
///
/// While its opening is cut the rest of the part still hangs in the sheet, so a tongue is a cantilever from its root. The floor
/// ahead of the bit holds it until the pass closes, and that last moment is judged. It is taken to be as wide all along as at the
/// section: a wider one moves less. F in any direction in the plane at its farthest point, L away: stress
/// F (1/(b t) + 6 L/(t b^2)) + 6 F_z L/(b t^2), movement F (L^3/(3 E I) + L/(5/6 G A)) (Timoshenko, *Strength of Materials* I).
/// The worst of the grain's directions counts.
pub fn tongues(
    task: &HoldTask,
    contours: &[Contour],
    sections: &[Chord],
    depth: f64,
) -> Vec<Tongue> {
    let mut found: Vec<(Tongue, [f64; 2])> = vec![];
    for chord in narrowest(sections).iter().filter(|c| c.separates() && c.from.0 > 0) {
        let contour = &contours[chord.from.0];
        let Some(arc) = arc(contour, chord) else { continue };
        let tongue = judged(task, contour, chord, arc, depth);
        // Sections of one tongue lie inside one another.
        let holds = |a: [f64; 2], b: [f64; 2]| {
            let from = contour.ahead(a[0], b[0]);
            from <= contour.ahead(a[0], b[1])
                && contour.ahead(a[0], b[1]) <= contour.ahead(a[0], a[1])
        };
        let same = |(t, a): &&mut (Tongue, [f64; 2])| {
            t.ring == tongue.ring && (holds(*a, arc) || holds(arc, *a))
        };
        match found.iter_mut().find(same) {
            Some(known) if tongue.margin() < known.0.margin() => *known = (tongue, arc),
            Some(_) => {}
            None => found.push((tongue, arc)),
        }
    }
    found.into_iter().map(|(t, _)| t).collect()
}

/// Where the tongue's edge begins and ends on its opening, if the piece that the section cuts off is a tongue.
fn arc(contour: &Contour, chord: &Chord) -> Option<[f64; 2]> {
    let whole = Ring(contour.points().to_vec()).signed_area();
    let (one, other) = (chord.from.1, chord.to.1);
    // Going round with the void on one hand, the tongue is on the other.
    let is_tongue = |&[from, to]: &[f64; 2]| {
        let (mut ring, reach) = (vec![contour.point(from)], contour.ahead(from, to));
        let corners = (0..contour.points().len()).map(|i| contour.ahead(from, contour.corner(i)));
        let mut on_arc: Vec<f64> = corners.filter(|s| *s < reach).collect();
        on_arc.sort_by(f64::total_cmp);
        ring.extend(on_arc.into_iter().map(|s| contour.point(from + s)));
        ring.push(contour.point(to));
        Ring(ring).signed_area() * whole < 0.0
    };
    [[one, other], [other, one]].into_iter().find(is_tongue)
}

/// The section moved along both edges to where the tongue begins: as far as it hardly widens.
///
/// Sections are found at samples of the edge and thinned out: the root may lie a width and a sample farther.
fn rooted(contour: &Contour, [from, to]: [f64; 2]) -> [f64; 2] {
    let width = |[a, b]: [f64; 2]| contour.point(a).distance(contour.point(b));
    let (first, step) = (width([from, to]), contour.ahead(from, to) / 100.0);
    let slid = (1..50).map(|k| [from - step * f64::from(k), to + step * f64::from(k)]);
    slid.take_while(|&arc| width(arc) <= WIDENS * first).last().unwrap_or([from, to])
}

fn judged(task: &HoldTask, contour: &Contour, chord: &Chord, arc: [f64; 2], depth: f64) -> Tongue {
    let (m, load) = (task.material, Load::new(task.bit, task.material));
    let arc = rooted(contour, arc);
    let root = (contour.point(arc[0]) + contour.point(arc[1])) / 2.0;
    let (b, t) = (chord.width, task.thickness);
    let reach = contour.ahead(arc[0], arc[1]);
    let length = contour
        .points()
        .iter()
        .enumerate()
        .filter(|(i, _)| contour.ahead(arc[0], contour.corner(*i)) < reach)
        .map(|(_, p)| p.distance(root))
        .fold(b / 2.0, f64::max);
    let force = load.worst(depth);
    let lift = force * load.lift;
    let stress =
        force * (1.0 / (b * t) + 6.0 * length / (t * b * b)) + 6.0 * lift * length / (b * t * t);
    let mut tongue = Tongue {
        ring: chord.from.0,
        root,
        width: b,
        length,
        safety: f64::INFINITY,
        movement: [0.0; 2],
    };
    for grain in directions(task) {
        let theta = grain.map_or(0.0, |g| line_angle(chord.direction(), g));
        let strength = section_strength(m, theta) * chord.share_left();
        tongue.safety = tongue.safety.min(strength / stress);
        let give = |inertia: f64| {
            length.powi(3) / (3.0 * modulus_at(m, theta) * inertia)
                + length / (KAPPA * m.shear_modulus * b * t)
        };
        let moved = [force * give(t * b.powi(3) / 12.0), lift * give(b * t.powi(3) / 12.0)];
        tongue.movement = [0, 1].map(|i| tongue.movement[i].max(moved[i]));
    }
    tongue
}

/// Warnings of tongues that the last pass round their openings may bend or break.
pub fn warnings(tongues: &[Tongue], depth: f64) -> impl Iterator<Item = WarningKind> {
    tongues.iter().filter(|t| t.margin() < 1.0).map(move |t| {
        let [plane, up] = t.movement;
        WarningKind::Tongue {
            ring: t.ring,
            at: [t.root.x, t.root.y],
            width_mm: t.width,
            length_mm: t.length,
            last_pass_mm: depth,
            movement_mm: plane.hypot(up),
            safety: t.safety,
            bears_mm: depth * t.margin(),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Shape, point};
    use crate::hold::part::sections::chords;
    use crate::job::{Bit, Holding, Spiral, find_material};

    /// A plate with an opening 60 x 40; the outline `notch` stands into it from its lower edge.
    fn plate(notch: &[(f64, f64)]) -> Shape {
        let mut opening = vec![point(20.0, 20.0)];
        opening.extend(notch.iter().map(|&(x, y)| point(x, y)));
        opening.extend([point(80.0, 20.0), point(80.0, 60.0), point(20.0, 60.0)]);
        Shape::new(Ring::rectangle(100.0, 80.0).positive(), vec![Ring(opening)])
    }

    fn found(shape: &Shape, helix: f64, grain: &[f64], material: &str, depth: f64) -> Vec<Tongue> {
        let spiral = if helix > 0.0 { Spiral::Up } else { Spiral::Straight };
        let bit = Bit {
            name: "1/8 in".into(),
            diameter: 3.175,
            flutes: 1,
            spiral,
            helix: helix.to_radians(),
            pass_depth: 1.5,
            feed: 1000.0,
            rpm: 16000.0,
            allowance: crate::layout::ALLOWANCE,
        };
        let task = HoldTask {
            shape,
            thickness: 3.0,
            material: find_material(material, 3.0).unwrap(),
            grain,
            bit: &bit,
            holding: &Holding::default(),
            by: Default::default(),
            features: &[],
            tab_free: &[],
            chords: None,
            landing_ok: None,
            bodies: None,
        };
        let contours: Vec<Contour> = shape.rings().filter_map(Contour::new).collect();
        tongues(&task, &contours, &chords(shape, &contours), depth)
    }

    /// A cantilever 3 x 3 mm and 15 mm long by hand (Timoshenko, *Strength of Materials* I; acrylic E 3000, G 1110 MPa, 70 MPa):
    /// its corner is 15.075 mm from the root's middle. F = 1.5 x 0.4 x (160 x 0.0625 + 1.5) = 6.9 N; stress 6.9 (1/9 +
    /// 6 x 15.075/27) = 23.88 MPa, so safety 2.93; movement 6.9 (15.075^3/(3 x 3000 x 6.75) + 15.075/(5/6 x 1110 x 9)) =
    /// 0.4016 mm.
    #[test]
    fn a_bar_into_an_opening_is_a_cantilever() {
        let shape = plate(&[(48.5, 20.0), (48.5, 35.0), (51.5, 35.0), (51.5, 20.0)]);
        let list = found(&shape, 0.0, &[], "acrylic", 0.4);
        assert_eq!(list.len(), 1, "{list:?}");
        let t = &list[0];
        assert!((t.width - 3.0).abs() < 0.02 && t.ring == 1, "{t:?}");
        assert!((14.8..15.1).contains(&t.length), "{t:?}");
        let force = 6.9;
        let safety = 70.0 / (force * (1.0 / 9.0 + 6.0 * t.length / 27.0));
        let give = t.length.powi(3) / (3.0 * 3000.0 * 6.75) + t.length / (5.0 / 6.0 * 1110.0 * 9.0);
        assert!((t.safety / safety - 1.0).abs() < 0.02, "{} {safety}", t.safety);
        assert!((t.movement[0] / (force * give) - 1.0).abs() < 0.03, "{t:?}");
        assert_eq!(t.movement[1], 0.0);
        assert!(
            (t.safety / 2.93 - 1.0).abs() < 0.03 && (t.movement[0] / 0.4016 - 1.0).abs() < 0.06,
            "{t:?}"
        );
        // Square section: up it gives as much for as much force.
        let lifted = &found(&shape, 20.0, &[], "acrylic", 0.4)[0];
        let tan = 20f64.to_radians().tan();
        assert!((lifted.movement[1] / (lifted.movement[0] * tan) - 1.0).abs() < 0.02, "{lifted:?}");
        assert!(lifted.safety < t.safety);
    }

    /// The load grows with the depth, so the margin falls with it; short grain across the root is the weakest.
    #[test]
    fn margin_is_in_proportion_to_the_pass_and_grain_counts() {
        let shape = plate(&[(46.0, 20.0), (46.0, 32.0), (54.0, 32.0), (54.0, 20.0)]);
        let at = |depth, grain: f64| found(&shape, 0.0, &[grain], "hard maple", depth)[0].clone();
        let (long, short) = (at(0.4, 90f64.to_radians()), at(0.4, 0.0));
        assert!((at(0.2, 0.0).margin() / short.margin() - 2.0).abs() < 1e-9);
        // Bending strength across the grain is a tenth of that along it (Wood Handbook's fit).
        assert!((long.safety / short.safety - 10.0).abs() < 1e-6, "{long:?} {short:?}");
        assert!(long.margin() > short.margin());
    }

    /// A wavy edge has no tongue that moves too far; a T's bar hangs on its stem; two bars are two tongues.
    #[test]
    fn what_counts_as_a_tongue() {
        let wave: Vec<(f64, f64)> = (0..=60)
            .map(|i| (20.0 + f64::from(i), 20.0 + (f64::from(i) * 0.5).sin().abs()))
            .collect();
        assert!(
            found(&plate(&wave[1..60]), 0.0, &[], "acrylic", 0.2).iter().all(|t| t.margin() > 1.0)
        );
        let tee = [
            (48.0, 20.0),
            (48.0, 34.0),
            (40.0, 34.0),
            (40.0, 40.0),
            (60.0, 40.0),
            (60.0, 34.0),
            (52.0, 34.0),
            (52.0, 20.0),
        ];
        let list = found(&plate(&tee), 0.0, &[], "acrylic", 0.4);
        let worst = list.iter().min_by(|a, b| a.margin().total_cmp(&b.margin())).unwrap();
        assert!((worst.width - 4.0).abs() < 0.02 && worst.length > 20.0, "{list:?}");
        assert!(worst.root.distance(point(50.0, 20.0)) < 3.0, "{worst:?}");
        let bars = [
            (30.0, 20.0),
            (30.0, 35.0),
            (33.0, 35.0),
            (33.0, 20.0),
            (60.0, 20.0),
            (60.0, 30.0),
            (63.0, 30.0),
            (63.0, 20.0),
        ];
        assert_eq!(found(&plate(&bars), 0.0, &[], "acrylic", 0.4).len(), 2);
    }
}
