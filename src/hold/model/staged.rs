//! The last pass, stage by stage: stock that is not cut yet still holds.
//!
//! The through pass starts beyond one tab, goes round the outline and ends at the same tab. With the bit at a station, everything
//! behind it is severed; ahead, a floor as high as the last pass still ties the part. Both directions are judged, since a program
//! may cut either.

use crate::geometry::{Contour, Point, Vector};
use crate::hold::part::grained_sheet::GrainedSheet;
use crate::hold::part::sections::Chord;
use crate::job::Material;
use crate::mechanics::{Beam, Stiffness, TabForces, line_angle, modulus_at};

/// A place of the bit on the ring being cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Arc length on the ring.
    pub s: f64,
    /// On the edge.
    pub at: Point,
    /// Unit normal away from the part.
    pub out: Point,
    /// Length of edge it stands for, mm.
    pub share: f64,
    /// Springs of the floor left by the last pass, at its edge (no rotational springs: its neighbours provide them).
    pub floor: [f64; 3],
    /// Young's modulus along `out`, MPa.
    pub modulus: f64,
}

impl Station {
    /// The same place with the floor of a last pass `depth` mm deep, in a sheet `thickness` mm thick.
    pub fn with_floor(
        &self,
        depth: f64,
        kerf: f64,
        thickness: f64,
        material: &Material,
    ) -> Station {
        let (e, g) = (self.modulus, material.shear_modulus);
        let floor = Stiffness::floor(e, g, [self.share, depth], kerf, thickness);
        Station { floor, ..*self }
    }
}

/// Stations of `contour` at `positions` (ascending), with the floor's springs for a last pass of `depth` mm in the sheet.
pub fn stations(
    contour: &Contour,
    positions: &[f64],
    depth: f64,
    kerf: f64,
    sheet: GrainedSheet<'_>,
) -> Vec<Station> {
    let GrainedSheet { thickness, material, grain } = sheet;
    let share = contour.length() / positions.len().max(1) as f64;
    let station = |&s: &f64| {
        let out = contour.out(s, kerf / 4.0);
        let modulus =
            modulus_at(material, grain.map_or(0.0, |g| line_angle(out.y.atan2(out.x), g)));
        let place = Station { s, at: contour.point(s), out, share, floor: [0.0; 3], modulus };
        place.with_floor(depth, kerf, thickness, material)
    };
    positions.iter().map(station).collect()
}

/// On which side of each section each station lies, and the share of the bit's load there that acts on that side.
pub struct Sides {
    chords: usize,
    side: Vec<bool>,
    share: Vec<f64>,
}

impl Sides {
    /// The sides of `chords`, each load spread over `patch` mm of edge.
    pub fn new(contour: &Contour, stations: &[Station], chords: &[Chord], patch: f64) -> Sides {
        let each = || stations.iter().flat_map(|s| chords.iter().map(move |c| (s, c)));
        Sides {
            chords: chords.len(),
            side: each().map(|(s, c)| c.side(contour, s.s)).collect(),
            share: each().map(|(s, c)| c.share(contour, s.s, patch)).collect(),
        }
    }

    /// Whether a station lies on the side from a section's `from` to its `to`.
    pub fn side(&self, station: usize, chord: usize) -> bool {
        self.side[station * self.chords + chord]
    }

    /// Share of the load at a station that acts on that side.
    pub fn share(&self, station: usize, chord: usize) -> f64 {
        self.share[station * self.chords + chord]
    }
}

/// Tabs on the ring being cut, in the order of its arc length.
#[derive(Debug, Clone)]
pub struct TabSet {
    /// Their positions, ascending.
    pub s: Vec<f64>,
    /// The beams, in the same order.
    pub beams: Vec<Beam>,
    /// The tab at which the last pass ends.
    pub end: usize,
    /// Where the last pass starts and ends: the end tab's place, even where that tab is lost.
    pub start: f64,
}

impl TabSet {
    /// Tabs with their places on the ring; the pass ends at the strongest.
    pub fn of(mut tabs: Vec<(f64, Beam)>) -> TabSet {
        tabs.sort_by(|a, b| a.0.total_cmp(&b.0));
        let strong = |b: &Beam| b.stiffness.shear * b.strength.normal;
        let end = (0..tabs.len())
            .fold(0, |m, i| if strong(&tabs[i].1) > strong(&tabs[m].1) { i } else { m });
        let start = tabs.get(end).map_or(0.0, |t| t.0);
        TabSet {
            s: tabs.iter().map(|t| t.0).collect(),
            beams: tabs.into_iter().map(|t| t.1).collect(),
            end,
            start,
        }
    }

    /// The set with tab `gone` lost: the pass still ends where it ended.
    pub fn without(&self, gone: usize) -> TabSet {
        let mut rest = TabSet { end: 0, ..self.clone() };
        rest.s.remove(gone);
        rest.beams.remove(gone);
        rest
    }
}

/// Forces of a section, as in [`TabForces`]: a vector for the in-plane load, a number for the lift.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ChordForces {
    /// Along the neck.
    pub normal: Point,
    /// Across it, in the plane.
    pub shear: Point,
    /// Moment in the plane.
    pub bend: Point,
    /// Across it, out of the plane.
    pub lift: f64,
    /// Moment out of the plane.
    pub bend_out: f64,
}

/// One place of the bit, for a unit load in the plane and the lift that goes with it.
pub struct Case<'a> {
    /// Index of the station.
    pub station: usize,
    /// Displacement at the bit under a unit load along x.
    pub move_x: Point,
    /// The same along y.
    pub move_y: Point,
    /// Rise at the bit under the lift.
    pub rise: f64,
    /// Forces in each tab.
    pub tabs: &'a [TabForces],
    /// Forces in each section.
    pub chords: &'a [ChordForces],
}

impl Case<'_> {
    /// Greatest displacement at the bit under a unit load of any direction in the plane, with its rise.
    pub fn movement(&self) -> f64 {
        (self.in_plane_squared() + self.rise * self.rise).sqrt()
    }

    /// The same in the plane alone.
    pub fn in_plane(&self) -> f64 {
        self.in_plane_squared().sqrt()
    }

    fn in_plane_squared(&self) -> f64 {
        let (x, y) = (self.move_x, self.move_y);
        // Largest singular value of the 2 x 2 matrix [x y].
        let (a, b, c) = (x.dot(x), x.dot(y), y.dot(y));
        (a + c) / 2.0 + (((a - c) / 2.0).powi(2) + b * b).sqrt()
    }
}

/// How much of the ring the floor still ties.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FloorTie {
    /// The bit goes round with rising arc length, severing as it goes.
    Forward,
    /// The bit goes round the other way.
    Backward,
    /// Everything is severed: the pass is repeated.
    Free,
}

/// A part that may be held by tabs.
pub trait Body {
    /// The part on its tabs; `None` where they leave it free to drift.
    fn hold<'b>(&'b self, set: &'b TabSet) -> Option<Box<dyn Held + 'b>>;
}

/// A part on tabs.
pub trait Held {
    /// Calls `visit` for each place of the bit of a pass that starts and ends at `start`, from its end backwards (where
    /// least holds), until it answers `false`.
    fn sweep(&self, start: f64, pass: FloorTie, visit: &mut dyn FnMut(&Case) -> bool);
}

/// The order in which the bit meets the stations that no tab covers, starting beyond `start`.
pub fn travel(
    contour: &Contour,
    stations: &[Station],
    set: &TabSet,
    start: f64,
    pass: FloorTie,
) -> Vec<usize> {
    let covered =
        |s: f64| set.s.iter().zip(&set.beams).any(|(&t, b)| contour.apart(s, t) < b.width / 2.0);
    let first = stations.partition_point(|s| s.s < start);
    let mut order: Vec<usize> =
        (first..stations.len()).chain(0..first).filter(|&i| !covered(stations[i].s)).collect();
    if pass == FloorTie::Backward {
        order.reverse();
    }
    order
}
