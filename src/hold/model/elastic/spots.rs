//! Places of the bit on an elastic part: what depends on their positions only, kept for all tab sets.

use super::seat::{Seats, wall, wall_out};
use crate::geometry::{Contour, Point, Vector, point};
use crate::hold::fem::compliance::{Compliance, ElasticPart, Form};
use crate::hold::model::staged::{Sides, Station};
use crate::hold::part::sections::Chord;

/// What acts on a section's side when a unit force acts at a place: resultants about the section's middle.
pub type Resultant = [f64; 3];

/// Compliance between places of the bit, and what a load there gives to the sections watched.
pub struct Spots {
    pub(super) plane: Places,
    pub(super) out: Places,
    /// Sections watched, both ends on the outline, and walls.
    pub(super) chords: Vec<Chord>,
    /// Where each station's load acts in the mean: near a corner a little inside it.
    #[cfg(test)]
    pub(super) means: Vec<Point>,
    /// Tabs met before.
    pub(super) seats: Seats,
}

impl Spots {
    /// The compliance between `stations`, each load spread over `patch` mm, with the sections of `chords`.
    pub fn new(
        part: &ElasticPart,
        contour: &Contour,
        stations: &[Station],
        chords: &[Chord],
        patch: f64,
    ) -> Spots {
        let plane = stations
            .iter()
            .flat_map(|s| {
                let w = part.weights(s.s, patch);
                [s.out, s.out.perp()].map(|d| along(&w, d))
            })
            .collect();
        let rise =
            |s: &Station| part.weights(s.s, patch).iter().map(|&(i, a, _)| (3 * i, a)).collect();
        let mut plane = Places::new(&part.plane, plane, 2);
        let mut out = Places::new(&part.out, stations.iter().map(rise).collect(), 1);
        let frame = part.frame;
        let mean = |(i, s): (usize, &Station)| {
            let (a, b) = (plane.rigid[2 * i][2], plane.rigid[2 * i + 1][2]);
            frame.origin + (s.out * b - s.out.perp() * a) * frame.size
        };
        let means: Vec<Point> = stations.iter().enumerate().map(mean).collect();
        let sides = Sides::new(contour, stations, chords, patch);
        for (i, s) in stations.iter().enumerate() {
            for (k, c) in chords.iter().enumerate() {
                let share = sides.share(i, k);
                for (d, dir) in [s.out, s.out.perp()].into_iter().enumerate() {
                    let beside = || resultant(c, means[i], dir).map(|v| v * share);
                    let given = wall(part, c, &plane.forms[2 * i + d]).unwrap_or_else(beside);
                    plane.loads.push(given);
                }
                let beside = || resultant_out(c, means[i]).map(|v| v * share);
                out.loads.push(wall_out(part, c, &out.forms[i]).unwrap_or_else(beside));
            }
        }
        (plane.sections, out.sections) = (chords.len(), chords.len());
        Spots {
            plane,
            out,
            chords: chords.to_vec(),
            #[cfg(test)]
            means,
            seats: Seats::default(),
        }
    }
}

/// Forms of the stations' freedoms with the compliance between them and to all controls.
pub struct Places {
    /// Freedoms a station.
    pub each: usize,
    pub forms: Vec<Form>,
    /// Controls x freedoms: C times each form.
    spread: Vec<f64>,
    pub rigid: Vec<[f64; 3]>,
    /// Freedoms x freedoms.
    pub own: Vec<f64>,
    /// Number of sections, and what a unit load gives to each: by station, section, freedom.
    pub sections: usize,
    loads: Vec<Resultant>,
}

impl Places {
    fn new(c: &Compliance, forms: Vec<Form>, each: usize) -> Places {
        let m = forms.len();
        let mut spread = vec![0.0; c.size * m];
        for i in 0..c.size {
            let row = c.row(i);
            for (j, form) in forms.iter().enumerate() {
                spread[i * m + j] = form.iter().map(|&(k, w)| w * row[k]).sum();
            }
        }
        let mut own = vec![0.0; m * m];
        for (i, form) in forms.iter().enumerate() {
            for &(k, w) in form {
                for j in 0..m {
                    own[i * m + j] += w * spread[k * m + j];
                }
            }
        }
        let rigid = forms.iter().map(|f| ElasticPart::rigid(c, f)).collect();
        Places { each, forms, spread, rigid, own, sections: 0, loads: vec![] }
    }

    /// Compliance from a form to every freedom of the stations.
    pub fn from(&self, form: &Form) -> Vec<f64> {
        let m = self.forms.len();
        let mut row = vec![0.0; m];
        for &(k, w) in form {
            row.iter_mut().zip(&self.spread[k * m..(k + 1) * m]).for_each(|(r, s)| *r += w * s);
        }
        row
    }

    /// What a unit load along a freedom gives to a section.
    pub fn load(&self, column: usize, section: usize) -> &Resultant {
        let (station, freedom) = (column / self.each, column % self.each);
        &self.loads[(station * self.sections + section) * self.each + freedom]
    }
}

/// The mean displacement along `d` as a form.
pub fn along(weights: &[(usize, f64, f64)], d: Point) -> Form {
    weights.iter().flat_map(|&(i, a, _)| [(2 * i, a * d.x), (2 * i + 1, a * d.y)]).collect()
}

/// Along the neck, across it, and moment about the section's middle of a unit force along `d` at `p`.
pub fn resultant(c: &Chord, p: Point, d: Point) -> Resultant {
    let n = c.normal();
    [d.dot(n), d.dot(n.perp()), (p - c.middle()).cross(d)]
}

/// Force up and moment about the section's own line of a unit force up at `p`.
pub fn resultant_out(c: &Chord, p: Point) -> Resultant {
    let r = p - c.middle();
    [1.0, point(r.y, -r.x).dot(c.normal().perp()), 0.0]
}
