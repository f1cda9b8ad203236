//! A tab's seat on an elastic part: everything about its springs but their stiffness, cached for the next set with that tab.

use super::places::{Places, Resultant, along, ligament, ligament_out, resultant, resultant_out};
use crate::geometry::{Contour, Point, Vector, point};
use crate::hold::fem::LinearForm;
use crate::hold::fem::compliance::{Compliance, ElasticPart};
use crate::hold::part::sections::Chord;
use crate::mechanics::Beam;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A place where a spring acts: its form, the displacements and the section forces that its force causes.
pub struct SeatSpring {
    pub form: LinearForm,
    /// C times the form, by the boundary nodes' degrees of freedom.
    pub spread: Vec<f64>,
    /// Compliance to the degrees of freedom of the stations.
    pub from: Vec<f64>,
    pub rigid: [f64; 3],
    pub sections: Vec<Resultant>,
}

impl SeatSpring {
    pub fn new(
        c: &Compliance,
        places: &Places,
        form: LinearForm,
        sections: Vec<Resultant>,
    ) -> Rc<SeatSpring> {
        let mut spread = vec![0.0; c.size];
        for &(i, w) in &form {
            spread.iter_mut().zip(c.row(i)).for_each(|(s, v)| *s += w * v);
        }
        let (from, rigid) = (places.from(&form), ElasticPart::rigid(c, &form));
        Rc::new(SeatSpring { form, spread, from, rigid, sections })
    }

    /// Compliance to another spring's form.
    pub fn between(&self, other: &SeatSpring) -> f64 {
        other.form.iter().map(|&(i, w)| w * self.spread[i]).sum()
    }
}

/// Springs of a tab: along the span, along the edge, rotation; rise, bending, torsion.
pub struct Seat {
    pub plane: [Rc<SeatSpring>; 3],
    /// Used only where the bit lifts.
    pub out: [Rc<SeatSpring>; 3],
}

/// Seats by position, width and direction of the tab, compared bit by bit.
#[derive(Default)]
pub struct Seats(RefCell<BTreeMap<[u64; 4], Rc<Seat>>>);

impl Seats {
    /// The seat of a tab at arc length `s`, made where it is not cached.
    pub fn seat(&self, on: &Seating, beam: &Beam, s: f64) -> Rc<Seat> {
        let key = [s, beam.width, beam.out.x, beam.out.y].map(f64::to_bits);
        if let Some(seat) = self.0.borrow().get(&key) {
            return seat.clone();
        }
        let seat = Rc::new(Seat { plane: on.tab_plane(beam, s), out: on.tab_out(beam, s) });
        self.0.borrow_mut().insert(key, seat.clone());
        seat
    }
}

/// The inputs of a seat: the part, and the places and sections that its springs act on.
pub struct Seating<'a> {
    /// The part.
    pub part: &'a ElasticPart,
    /// Its outline.
    pub contour: &'a Contour,
    /// Places of the bit in the plane, and out of it.
    pub places: [&'a Places; 2],
    /// Sections watched.
    pub chords: &'a [Chord],
}

impl Seating<'_> {
    /// Springs of a tab in the plane, all at mid kerf.
    fn tab_plane(&self, beam: &Beam, s: f64) -> [Rc<SeatSpring>; 3] {
        let w = self.part.weights(s, beam.width);
        let (out, edge) = (beam.out, beam.out.perp());
        let m = beam.middle();
        let c = &self.part.plane;
        let mean = |f: &LinearForm| ElasticPart::rigid(c, f);
        let frame = self.part.frame;
        // The turn by least squares, scaled so that a rigid turn reads as itself.
        let mut turn: LinearForm = w
            .iter()
            .flat_map(|&(i, _, b)| [(2 * i, -b * out.x), (2 * i + 1, -b * out.y)])
            .collect();
        let unit = mean(&turn)[2] * frame.size;
        turn.iter_mut().for_each(|t| t.1 /= unit);
        // Where the mean displacement is read: the form's own rigid row says.
        let (x, y) = (along(&w, point(1.0, 0.0)), along(&w, point(0.0, 1.0)));
        let read = frame.origin + point(mean(&y)[2], -mean(&x)[2]) * frame.size;
        let lever = (m - read).perp();
        let with_turn = |d: Point| {
            let mut form = along(&w, d);
            // Both list the same degrees of freedom in the same order.
            form.iter_mut().zip(&turn).for_each(|(f, t)| f.1 += t.1 * lever.dot(d));
            form
        };
        let (places, chords) = (self.places[0], self.chords);
        let on = |c: &Chord| c.side(self.contour, s);
        let force = |d: Point| {
            let form = with_turn(d);
            let beside = |c: &Chord| if on(c) { resultant(c, m, d) } else { [0.0; 3] };
            let given = |c: &Chord| ligament(self.part, c, &form).unwrap_or_else(|| beside(c));
            let sections = chords.iter().map(given).collect();
            SeatSpring::new(c, places, form, sections)
        };
        let couple = |c: &Chord| [0.0, 0.0, if on(c) { 1.0 } else { 0.0 }];
        let given = |c: &Chord| ligament(self.part, c, &turn).unwrap_or_else(|| couple(c));
        let moment = chords.iter().map(given).collect();
        [force(out), force(edge), SeatSpring::new(c, places, turn, moment)]
    }

    /// Springs of a tab out of the plane, at mid kerf.
    fn tab_out(&self, beam: &Beam, s: f64) -> [Rc<SeatSpring>; 3] {
        let w = self.part.weights(s, beam.width);
        let (out, edge) = (beam.out, beam.out.perp());
        let m = beam.middle();
        let c = &self.part.out;
        let frame = self.part.frame;
        let mut rise: LinearForm = w.iter().map(|&(i, a, _)| (3 * i, a)).collect();
        let row = ElasticPart::rigid(c, &rise);
        let read = frame.origin + point(-row[2], row[1]) * frame.size;
        let lever = m - read;
        let tilt = |axis: Point| -> LinearForm {
            w.iter()
                .flat_map(|&(i, a, _)| [(3 * i + 1, a * axis.x), (3 * i + 2, a * axis.y)])
                .collect()
        };
        // w at mid kerf = w + theta_x y - theta_y x.
        rise.extend(tilt(point(lever.y, -lever.x)));
        let (places, chords) = (self.places[1], self.chords);
        let on = |c: &Chord| if c.side(self.contour, s) { 1.0 } else { 0.0 };
        let beside = |c: &Chord| resultant_out(c, m).map(|v| v * on(c));
        let given = |c: &Chord| ligament_out(self.part, c, &rise).unwrap_or_else(|| beside(c));
        let up = chords.iter().map(given).collect();
        let about = |axis: Point| {
            let form = tilt(axis);
            let couple = |c: &Chord| [0.0, axis.dot(c.normal().perp()) * on(c), 0.0];
            let given = |c: &Chord| ligament_out(self.part, c, &form).unwrap_or_else(|| couple(c));
            let sections = chords.iter().map(given).collect();
            SeatSpring::new(c, places, form, sections)
        };
        [SeatSpring::new(c, places, rise, up), about(edge), about(out)]
    }
}
