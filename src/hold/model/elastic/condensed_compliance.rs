//! Places of the bit on an elastic part: the data that depend on their positions only, kept for all tab sets.

use super::places::{Places, along, ligament, ligament_out, resultant, resultant_out};
use super::seat::{Seat, Seating, Seats};
use crate::geometry::{Contour, Point, Vector};
use crate::hold::fem::compliance::ElasticPart;
use crate::hold::model::staged::{Sides, Station};
use crate::hold::part::sections::Chord;
use crate::mechanics::Beam;
use std::rc::Rc;

/// Compliance between places of the bit, and the section forces for a load there.
pub struct CondensedCompliance {
    pub(super) plane: Places,
    pub(super) out: Places,
    /// Sections watched, both ends on the outline, and ligaments.
    pub(super) chords: Vec<Chord>,
    /// Mean position of each station's load: near a corner a little inside it.
    #[cfg(test)]
    pub(super) means: Vec<Point>,
    /// Cache of the seats of tabs.
    seats: Seats,
}

impl CondensedCompliance {
    /// The compliance between `stations`, each load spread over `patch` mm, with the sections of `chords`.
    pub fn new(
        part: &ElasticPart,
        contour: &Contour,
        stations: &[Station],
        chords: &[Chord],
        patch: f64,
    ) -> CondensedCompliance {
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
                    let given = ligament(part, c, &plane.forms[2 * i + d]).unwrap_or_else(beside);
                    plane.loads.push(given);
                }
                let beside = || resultant_out(c, means[i]).map(|v| v * share);
                out.loads.push(ligament_out(part, c, &out.forms[i]).unwrap_or_else(beside));
            }
        }
        (plane.sections, out.sections) = (chords.len(), chords.len());
        CondensedCompliance {
            plane,
            out,
            chords: chords.to_vec(),
            #[cfg(test)]
            means,
            seats: Seats::default(),
        }
    }

    /// The seat of a tab at arc length `s` of the part's outline.
    pub fn seat(&self, part: &ElasticPart, contour: &Contour, beam: &Beam, s: f64) -> Rc<Seat> {
        let on = Seating { part, contour, places: [&self.plane, &self.out], chords: &self.chords };
        self.seats.seat(&on, beam, s)
    }
}
