//! Places on an elastic part as linear forms, and the forces in its sections for a load there.

use crate::geometry::{Point, Vector, point};
use crate::hold::fem::LinearForm;
use crate::hold::fem::compliance::{Compliance, ElasticPart};
use crate::hold::part::sections::Chord;

/// Resultants on a section's side of a unit force at a place, about the section's middle.
pub type Resultant = [f64; 3];

/// Forms of the stations' degrees of freedom, with the compliance between them and to all boundary nodes.
pub struct Places {
    /// Degrees of freedom per station.
    pub each: usize,
    pub forms: Vec<LinearForm>,
    /// Boundary nodes x degrees of freedom: C times each form.
    spread: Vec<f64>,
    pub rigid: Vec<[f64; 3]>,
    /// Compliance between the stations' own degrees of freedom.
    pub own: Vec<f64>,
    /// Number of sections, and the resultant in each for a unit load: by station, section, degree of freedom.
    pub sections: usize,
    pub loads: Vec<Resultant>,
}

impl Places {
    pub fn new(c: &Compliance, forms: Vec<LinearForm>, each: usize) -> Places {
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

    /// Compliance from a form to every degree of freedom of the stations.
    pub fn from(&self, form: &LinearForm) -> Vec<f64> {
        let m = self.forms.len();
        let mut row = vec![0.0; m];
        for &(k, w) in form {
            row.iter_mut().zip(&self.spread[k * m..(k + 1) * m]).for_each(|(r, s)| *r += w * s);
        }
        row
    }

    /// Resultant in a section for a unit load along a degree of freedom.
    pub fn load(&self, column: usize, section: usize) -> &Resultant {
        let (station, dof) = (column / self.each, column % self.each);
        &self.loads[(station * self.sections + section) * self.each + dof]
    }
}

/// The mean displacement along `d` as a linear form.
pub fn along(weights: &[(usize, f64, f64)], d: Point) -> LinearForm {
    weights.iter().flat_map(|&(i, a, _)| [(2 * i, a * d.x), (2 * i + 1, a * d.y)]).collect()
}

/// Resultant of a unit force along `d` at `p`: along the neck, across it, and moment about the section's middle.
pub fn resultant(c: &Chord, p: Point, d: Point) -> Resultant {
    let n = c.normal();
    [d.dot(n), d.dot(n.perp()), (p - c.middle()).cross(d)]
}

/// Resultant of a unit force up at `p`: force up and moment about the section's own line.
pub fn resultant_out(c: &Chord, p: Point) -> Resultant {
    let r = p - c.middle();
    [1.0, point(r.y, -r.x).dot(c.normal().perp()), 0.0]
}

/// Resultant in a ligament for the load of a form; `None` for a section that splits the part.
pub fn ligament(part: &ElasticPart, c: &Chord, form: &LinearForm) -> Option<Resultant> {
    let ligament = part.ligaments.get(c.ligament?)?;
    Some([0, 1, 2].map(|q| form.iter().map(|&(i, w)| w * ligament.plane[q][i]).sum()))
}

/// The same out of the plane: its moment only.
pub fn ligament_out(part: &ElasticPart, c: &Chord, form: &LinearForm) -> Option<Resultant> {
    let ligament = part.ligaments.get(c.ligament?)?;
    Some([0.0, form.iter().map(|&(i, w)| w * ligament.out[i]).sum(), 0.0])
}
