//! A web of skeleton as a beam: how far a landing on it gives.
//!
//! Handbook beams (Roark, table 8.1) with the shear term of a rectangle added. A web between two kerfs is built in
//! where it joins the rest of the skeleton; one that hangs by a single end is a cantilever.

/// How the ends of a web are held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// Built in at both ends: a web between two places of wide skeleton.
    Fixed,
    /// Built in at one end, propped at the other.
    Propped,
    /// Simply supported at both.
    Supported,
    /// Built in at one end, free at the other; the load's place is measured from the built-in end.
    Cantilever,
}

/// A prismatic web, mm and MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Web {
    /// Length between its ends.
    pub length: f64,
    /// Section across the direction of bending.
    pub breadth: f64,
    /// Section in the direction of bending.
    pub depth: f64,
    /// Young's modulus along it.
    pub e: f64,
    /// Shear modulus; infinite leaves shear out.
    pub g: f64,
    /// How it is held.
    pub ends: Ends,
}

impl Web {
    fn inertia(&self) -> f64 {
        self.breadth * self.depth.powi(3) / 12.0
    }

    /// Deflection under `load` N at `at` mm from the left (built-in) end, mm.
    ///
    /// Bending by Roark's closed forms. Shear, kappa = 5/6: P a b/(kappa G A L) for the two-ended webs (exact for
    /// fixed-fixed and simply supported under a central load, else by a few per cent), P a/(kappa G A) for a cantilever.
    pub fn deflection(&self, load: f64, at: f64) -> f64 {
        let (l, a) = (self.length, at);
        let b = l - a;
        let ei = self.e * self.inertia();
        let ga = 5.0 / 6.0 * self.g * self.breadth * self.depth;
        let bending = match self.ends {
            Ends::Fixed => a.powi(3) * b.powi(3) / (3.0 * ei * l.powi(3)),
            Ends::Supported => a * a * b * b / (3.0 * ei * l),
            Ends::Cantilever => a.powi(3) / (3.0 * ei),
            // Built in at the left, propped at the right.
            Ends::Propped => a.powi(3) * b * b * (4.0 * l - a) / (12.0 * ei * l.powi(3)),
        };
        let shear = if self.ends == Ends::Cantilever { a / ga } else { a * b / (ga * l) };
        load * (bending + shear)
    }

    /// Largest bending moment under the load, N mm.
    pub fn moment(&self, load: f64, at: f64) -> f64 {
        let (l, a) = (self.length, at);
        let b = l - a;
        load * match self.ends {
            Ends::Fixed => (a * b * b).max(a * a * b) / (l * l),
            Ends::Supported => a * b / l,
            Ends::Cantilever => a,
            Ends::Propped => {
                (a * b * (l + b) / (2.0 * l * l)).max(a * a * b * (2.0 * l + b) / (2.0 * l.powi(3)))
            }
        }
    }

    /// Bending stress of that moment, MPa.
    pub fn stress(&self, load: f64, at: f64) -> f64 {
        self.moment(load, at) * 6.0 / (self.breadth * self.depth * self.depth)
    }

    /// Stiffness against a load at `at`, N/mm. A landing on a web softer than its tab is a soft landing.
    pub fn stiffness(&self, at: f64) -> f64 {
        1.0 / self.deflection(1.0, at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    }

    /// Cases B1, B3 to B6 of `tests/data/mechanics` (Roark, Young & Budynas 7th ed., table 8.1), digits as given.
    #[test]
    fn handbook_beams() {
        let b1 = Web {
            length: 20.0,
            breadth: 6.0,
            depth: 3.0,
            e: 1e4,
            g: f64::INFINITY,
            ends: Ends::Cantilever,
        };
        close(b1.deflection(10.0, 20.0), 0.197531, 5e-7);
        close(b1.stress(10.0, 20.0), 22.2222, 5e-5);
        let b3 =
            Web { length: 40.0, breadth: 10.0, depth: 3.0, e: 1e4, g: 700.0, ends: Ends::Fixed };
        let bending = Web { g: f64::INFINITY, ..b3 };
        close(bending.deflection(10.0, 20.0), 0.0148148, 5e-8);
        close(b3.deflection(10.0, 20.0), 0.0205291, 5e-8);
        close(b3.moment(10.0, 20.0), 50.0, 1e-9);
        close(b3.stress(10.0, 20.0), 3.33333, 5e-6);
        // B4: load at 10 of 40.
        close(bending.deflection(10.0, 10.0), 0.00625, 1e-9);
        close(bending.moment(10.0, 10.0), 56.25, 1e-9);
        let b5 = Web { ends: Ends::Propped, ..bending };
        close(b5.deflection(10.0, 20.0), 0.0259259, 5e-8);
        close(b5.moment(10.0, 20.0), 75.0, 1e-9);
        let b6 = Web { ends: Ends::Supported, ..bending };
        close(b6.deflection(10.0, 20.0), 0.0592593, 5e-8);
        close(b6.stiffness(20.0), 10.0 / 0.0592593, 2e-3);
    }
}
