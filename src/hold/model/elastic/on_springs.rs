//! The part held by its tabs' springs, all severed: one small solve.

use super::condensed::Condensed;
use super::places::Places;
use super::seat::SeatSpring;
use crate::hold::fem::dense;
use std::rc::Rc;

/// Springs' forces and rigid motion for a unit load along each degree of freedom of the stations.
pub struct OnSprings<'b> {
    places: &'b Places,
    springs: Vec<Rc<SeatSpring>>,
    /// Forces of the springs, then three rigid motions, by degree of freedom.
    forces: Vec<f64>,
}

impl OnSprings<'_> {
    /// The part on springs of stiffness `k`. `None` where it can drift.
    ///
    /// (C_s + 1/k) f + R a = -C_load, R^T f = -R_load: the springs' extension, and equilibrium.
    pub fn new<'b>(
        places: &'b Places,
        springs: Vec<Rc<SeatSpring>>,
        k: &[f64],
    ) -> Option<OnSprings<'b>> {
        let (n, m) = (springs.len(), places.forms.len());
        let size = n + 3;
        let mut matrix = vec![0.0; size * size];
        let mut forces = vec![0.0; size * m];
        for (i, spring) in springs.iter().enumerate() {
            for (j, other) in springs[..=i].iter().enumerate() {
                let v = spring.between(other);
                (matrix[i * size + j], matrix[j * size + i]) = (v, v);
            }
            matrix[i * size + i] += 1.0 / k[i];
            for (q, r) in spring.rigid.iter().enumerate() {
                matrix[i * size + n + q] = *r;
                matrix[(n + q) * size + i] = *r;
            }
            forces[i * m..(i + 1) * m].iter_mut().zip(&spring.from).for_each(|(f, v)| *f = -v);
        }
        for (j, r) in places.rigid.iter().enumerate() {
            for (q, r) in r.iter().enumerate() {
                forces[(n + q) * m + j] = -r;
            }
        }
        dense::solve(&mut matrix, &mut forces, size, m).then_some(OnSprings {
            places,
            springs,
            forces,
        })
    }

    /// Displacement along degree of freedom `row` for a unit load along degree of freedom `column`.
    pub fn moved(&self, row: usize, column: usize) -> f64 {
        let (n, m) = (self.springs.len(), self.places.forms.len());
        let by_springs =
            self.springs.iter().enumerate().map(|(i, s)| s.from[row] * self.forces[i * m + column]);
        let rigid = self.places.rigid[row]
            .iter()
            .enumerate()
            .map(|(q, r)| r * self.forces[(n + q) * m + column]);
        self.places.own[row * m + column] + by_springs.sum::<f64>() + rigid.sum::<f64>()
    }

    /// Force in spring `row`, or a section's resultant beyond the springs, for a unit load along degree of freedom `column`.
    pub fn carried(&self, row: usize, column: usize) -> f64 {
        let (n, m) = (self.springs.len(), self.places.forms.len());
        if row < n {
            return self.forces[row * m + column];
        }
        let (section, q) = ((row - n) / 3, (row - n) % 3);
        let from_tabs = self
            .springs
            .iter()
            .enumerate()
            .map(|(i, s)| s.sections[section][q] * self.forces[i * m + column]);
        self.places.load(column, section)[q] + from_tabs.sum::<f64>()
    }

    /// The same for the stations of `order` alone, ready for the floor to be added back.
    pub fn condensed(&self, order: &[usize]) -> Condensed {
        let (each, all, n) = (self.places.each, self.places.forms.len(), self.springs.len());
        let columns: Vec<usize> =
            order.iter().flat_map(|&i| (0..each).map(move |d| i * each + d)).collect();
        let m = columns.len();
        let mut rows = vec![0.0; (m + n + 3 * self.places.sections) * m];
        let (moves, carried) = rows.split_at_mut(m * m);
        let mut forces = vec![0.0; (n + 3) * m];
        for (to, from) in forces.chunks_exact_mut(m).zip(self.forces.chunks_exact(all)) {
            to.iter_mut().zip(&columns).for_each(|(t, &c)| *t = from[c]);
        }
        for (r, &row) in columns.iter().enumerate() {
            // Symmetric: the lower triangle is enough.
            let target = &mut moves[r * m..=r * m + r];
            let own = &self.places.own[row * all..(row + 1) * all];
            target.iter_mut().zip(&columns).for_each(|(t, &c)| *t = own[c]);
            let weights = self.springs.iter().map(|s| s.from[row]).chain(self.places.rigid[row]);
            for (w, f) in weights.zip(forces.chunks_exact(m)) {
                target.iter_mut().zip(f).for_each(|(t, f)| *t += w * f);
            }
        }
        let (tabs, sections) = carried.split_at_mut(n * m);
        tabs.copy_from_slice(&forces[..n * m]);
        for (k, target) in sections.chunks_exact_mut(m).enumerate() {
            let (section, q) = (k / 3, k % 3);
            for (t, &c) in target.iter_mut().zip(&columns) {
                *t = self.places.load(c, section)[q];
            }
            for (s, f) in self.springs.iter().zip(forces.chunks_exact(m)) {
                let w = s.sections[section][q];
                if w != 0.0 {
                    target.iter_mut().zip(f).for_each(|(t, f)| *t += w * f);
                }
            }
        }
        Condensed { rows, columns: m, each }
    }
}
