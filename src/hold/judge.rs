//! What decides whether a tab set holds, each demand with its own margin.

use super::beam::{Beam, SAFETY_SHEAR};
use super::chord::Chord;
use super::contour::Contour;
use super::load::Load;
use super::staged::{Body, Case, ChordForces, Pass, Station, TabSet};
use super::strength::{line_angle, section_strength};
use crate::geometry::Vector;
use crate::job::{Freeing, Material};

/// Least ratio of mean strength to stress of the part's own sections at the worst load.
pub const SAFETY_PART: f64 = 2.0;
/// Greatest movement at the bit in the sheet's plane at the worst load, staged, mm.
pub const MOVEMENT_IN: f64 = 0.05;
/// The same with lift.
pub const MOVEMENT_LIFT: f64 = 0.1;
/// Greatest movement of the part free on its tabs, the pass repeated, nominal load, mm.
pub const MOVEMENT_FREE: f64 = 0.1;

/// Side load of a fine saw or knife on a tab, N (common practice, no source).
const SAW_LOAD: f64 = 5.0;
/// How far from the saw the part is gripped at most, mm (common practice, no source).
const GRIP: f64 = 10.0;
/// How much stronger the part is to be than a tab that is snapped off: hands are not exact (estimate).
const SNAP_RESERVE: f64 = 1.5;

/// A demand and how far it is met: the value over what is required, at least 1 where it holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Margin {
    /// Value over requirement.
    pub value: f64,
    /// What it is, in words: `tab 2 across the grain`.
    pub what: String,
}

/// Everything computed for one tab set at one depth of the last pass.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Worst in-plane load, N.
    pub load: f64,
    /// Depth of the last pass, mm.
    pub depth: f64,
    /// Least ratio of mean strength to stress at the worst load, tabs and part, staged.
    pub safety: f64,
    /// The same, tabs alone.
    pub tab_safety: f64,
    /// The same, the part's sections alone; infinite where it has none.
    pub part_safety: f64,
    /// Greatest movement at the bit, worst load, staged, mm (with the rise where the bit lifts).
    pub movement: f64,
    /// Where the bit is then: arc length on the ring.
    pub movement_at: f64,
    /// Least ratio at the worst load, tabs and part, everything severed and the pass repeated.
    pub free_safety: f64,
    /// Movement then, mm.
    pub free_movement: f64,
    /// Least ratio of the remaining tabs with any one tab gone, nominal load, staged.
    pub one_gone: f64,
    /// The tab (in the set's order) at which the last pass ends.
    pub end: usize,
    /// How many tabs.
    pub count: usize,
    /// Margins of tabs, part, movement and one tab gone, each with what decides it.
    pub tabs: Margin,
    /// The part's own sections.
    pub part: Margin,
    /// The movement.
    pub motion: Margin,
    /// One tab gone, nominal load.
    pub gone: Margin,
    /// How the part is freed.
    pub freeing: Freeing,
    /// Freeing the part: the tab breaks or is sawn before the part is.
    pub free_by_hand: Margin,
    /// All severed and the pass repeated: strength and movement at the nominal load.
    pub repeat: Margin,
}

impl Figures {
    /// The least margin and what it is of. Sawing is left to the maker's care: it is reported, not demanded.
    pub fn least(&self) -> &Margin {
        self.of_choice()
            .chain([&self.part])
            .fold(&self.tabs, |m, x| if x.value < m.value { x } else { m })
    }

    /// Least margin of what the choice of tabs can mend: everything but the part's own strength.
    pub fn of_tabs(&self) -> f64 {
        self.of_choice().fold(self.tabs.value, |m, x| m.min(x.value))
    }

    fn of_choice(&self) -> impl Iterator<Item = &Margin> {
        let snapped = (self.freeing == Freeing::Snap).then_some(&self.free_by_hand);
        [&self.motion, &self.gone, &self.repeat].into_iter().chain(snapped)
    }

    /// Whether every demand is met.
    pub fn holds(&self) -> bool {
        self.least().value >= 1.0
    }
}

/// Movement by place of the bit, and margins by tab and by section, staged, at the worst load.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    /// Movement at the bit, mm, by station.
    pub movement: Vec<f64>,
    /// Margin of each tab's strength, in the order of arc length.
    pub tabs: Vec<f64>,
    /// Margin of each section's strength.
    pub sections: Vec<f64>,
}

/// What is judged: the part's body with its sections, under a load.
pub struct Judge<'a> {
    /// The part on its springs.
    pub body: &'a dyn Body,
    /// Places of the bit.
    pub stations: &'a [Station],
    /// Sections watched, as the body reports them.
    pub chords: &'a [Chord],
    /// N per mm of depth.
    pub load: &'a Load,
    /// Depth of the last pass, mm.
    pub depth: f64,
    /// mm.
    pub thickness: f64,
    /// What the part is of.
    pub material: &'a Material,
    /// Direction of the grain, radians.
    pub grain: Option<f64>,
    /// The ring being cut.
    pub contour: &'a Contour,
    /// How the part is freed afterwards.
    pub freeing: Freeing,
}

/// The worst of one or more sweeps.
struct Worst {
    tab: (f64, f64, usize, bool),
    tab_safety: f64,
    part: (f64, usize),
    movement: (f64, f64),
    in_plane: f64,
}

impl Worst {
    fn new() -> Worst {
        Worst {
            tab: (f64::INFINITY, f64::INFINITY, 0, false),
            tab_safety: f64::INFINITY,
            part: (f64::INFINITY, 0),
            movement: (0.0, 0.0),
            in_plane: 0.0,
        }
    }
}

impl Judge<'_> {
    /// What every place of the bit, tab and section sees at the worst load, both ways round.
    pub fn map(&self, set: &TabSet) -> Map {
        let (n, c) = (set.beams.len(), self.chords.len());
        let mut map = Map {
            movement: vec![0.0; self.stations.len()],
            tabs: vec![f64::INFINITY; n],
            sections: vec![f64::INFINITY; c],
        };
        let force = self.force();
        for pass in [Pass::Forward, Pass::Backward] {
            self.body.sweep(set, pass, &mut |case| {
                let m = &mut map.movement[case.station];
                *m = m.max(case.movement() * force);
                for (i, (beam, f)) in set.beams.iter().zip(case.tabs).enumerate() {
                    let r = beam.ratios(f, force);
                    map.tabs[i] = map.tabs[i]
                        .min(r.normal / beam.required_normal)
                        .min(r.shear / SAFETY_SHEAR);
                }
                for (i, (chord, f)) in self.chords.iter().zip(case.chords).enumerate() {
                    map.sections[i] =
                        map.sections[i].min(self.section_ratio(chord, f, force) / SAFETY_PART);
                }
            });
        }
        map
    }

    /// Judges quickly, one way round, ending at the tab that `set` says: for the search. `rough` judges what is
    /// left when a tab goes.
    pub fn quick(&self, set: &TabSet, rough: &Judge) -> Figures {
        let staged = self.sweeps(set, &[Pass::Forward], self.force());
        let free = self.sweeps(set, &[Pass::Free], self.force());
        self.figures(set, &staged, Some(&free), rough.one_gone(set, &[Pass::Forward]))
    }

    /// Judges both ways round and the part free on its tabs. The tab to end at and the loss of a tab are judged
    /// by `rough`, the same body at fewer places.
    pub fn full(&self, set: &TabSet, rough: &Judge) -> Figures {
        let both = [Pass::Forward, Pass::Backward];
        let mut best: Option<((f64, f64), TabSet)> = None;
        for end in 0..set.s.len() {
            let set = TabSet { end, start: set.s[end], ..set.clone() };
            let figures = rough.figures(
                &set,
                &rough.sweeps(&set, &both, rough.force()),
                None,
                (f64::INFINITY, 0),
            );
            let rank = (figures.least().value.min(1.5), -figures.movement);
            if best.as_ref().is_none_or(|b| rank > b.0) {
                best = Some((rank, set));
            }
        }
        let Some((_, set)) = best else {
            return self.figures(set, &Worst::new(), None, (0.0, 0));
        };
        let staged = self.sweeps(&set, &both, self.force());
        let free = self.sweeps(&set, &[Pass::Free], self.force());
        self.figures(&set, &staged, Some(&free), rough.one_gone(&set, &both))
    }

    fn force(&self) -> f64 {
        self.load.worst(self.depth)
    }

    fn sweeps(&self, set: &TabSet, passes: &[Pass], force: f64) -> Worst {
        let mut worst = Worst::new();
        for &pass in passes {
            let fixed =
                self.body.sweep(set, pass, &mut |case| self.take(set, case, force, &mut worst));
            if !fixed {
                worst.tab = (0.0, 0.0, 0, false);
                worst.tab_safety = 0.0;
                worst.movement.0 = f64::INFINITY;
                worst.in_plane = f64::INFINITY;
            }
        }
        worst
    }

    fn take(&self, set: &TabSet, case: &Case, force: f64, worst: &mut Worst) {
        for (i, (beam, f)) in set.beams.iter().zip(case.tabs).enumerate() {
            let r = beam.ratios(f, force);
            for (margin, ratio, shear) in [
                (r.normal / beam.required_normal, r.normal, false),
                (r.shear / SAFETY_SHEAR, r.shear, true),
            ] {
                if margin < worst.tab.0 {
                    worst.tab = (margin, ratio, i, shear);
                }
                worst.tab_safety = worst.tab_safety.min(ratio);
            }
        }
        for (i, (chord, f)) in self.chords.iter().zip(case.chords).enumerate() {
            let ratio = self.section_ratio(chord, f, force);
            if ratio < worst.part.0 {
                worst.part = (ratio, i);
            }
        }
        let movement = case.movement() * force;
        let in_plane =
            Case { rise: 0.0, ..Case { tabs: &[], chords: &[], ..*case } }.movement() * force;
        worst.in_plane = worst.in_plane.max(in_plane);
        if movement > worst.movement.0 {
            worst.movement = (movement, self.stations[case.station].s);
        }
    }

    /// Ratio of mean strength to nominal stress at a section: N/bt + 6M/tb^2 + 6M_out/bt^2 by Hankinson
    /// at the section's normal; 1.5 V/bt against shear along the grain.
    pub fn section_ratio(&self, chord: &Chord, f: &ChordForces, force: f64) -> f64 {
        let (b, t) = (chord.width, self.thickness);
        let area = b * t;
        let bend = f.bend * (6.0 / (t * b * b));
        let axial = f.normal / area;
        let in_plane = (axial + bend).norm().max((axial - bend).norm());
        let sigma = force * (in_plane + 6.0 * f.bend_out.abs() / (b * t * t));
        let tau = force * 1.5 * (f.shear.norm() + f.lift.abs()) / area;
        (self.section(chord) / sigma).min(self.material.shear / tau)
    }

    /// Whether the tabs can be broken or sawn without hurting the part.
    ///
    /// Only sections with the tab on the side with the shorter edge bend: the hand holds the larger side. Snapped:
    /// the section's bending strength out of the plane over 1.5 times the tab's own, sigma w h^2/6. Sawn: a side
    /// load of 5 N at the tab on its lever to the section (up to 10 mm, where fingers hold), in the plane and out of it, safety 2.
    fn free_by_hand(&self, set: &TabSet) -> Margin {
        let mut least = Margin { value: f64::INFINITY, what: "freeing the part".into() };
        for (i, (beam, &s)) in set.beams.iter().zip(&set.s).enumerate() {
            for c in self.chords.iter().filter(|c| c.shorter_side(self.contour, s)) {
                let strength = self.section(c);
                let (b, t) = (c.width, self.thickness);
                let lever = beam.root.distance(c.middle()).clamp(1.0, GRIP);
                let value = match self.freeing {
                    Freeing::Snap => {
                        let breaks = beam.strength.normal * beam.width * beam.height.powi(2) / 6.0;
                        strength * b * t * t / 6.0 / (SNAP_RESERVE * breaks)
                    }
                    Freeing::Saw => {
                        let least = (t * b * b).min(b * t * t) / 6.0;
                        strength * least / (SAFETY_PART * SAW_LOAD * lever)
                    }
                };
                if value < least.value {
                    let how = if self.freeing == Freeing::Snap { "snapping" } else { "sawing" };
                    let what = format!(
                        "{how} off tab {} at {}",
                        Self::listed(set, i),
                        self.place_words(c)
                    );
                    least = Margin { value, what };
                }
            }
        }
        least
    }

    /// Mean bending strength of a section, MPa.
    fn section(&self, chord: &Chord) -> f64 {
        let theta = self.grain.map_or(0.0, |g| line_angle(chord.direction(), g));
        section_strength(self.material, theta)
    }

    /// Least ratio, and which tab is missing then. A single tab that goes leaves nothing.
    fn one_gone(&self, set: &TabSet, passes: &[Pass]) -> (f64, usize) {
        let n = set.s.len();
        if n < 2 {
            return (0.0, 0);
        }
        let mut least = (f64::INFINITY, 0);
        for gone in 0..n {
            let keep = |i: &usize| *i != gone;
            let rest = TabSet {
                s: (0..n).filter(keep).map(|i| set.s[i]).collect(),
                beams: (0..n).filter(keep).map(|i| set.beams[i].clone()).collect(),
                end: 0,
                // The pass still ends where it ended, tab or no tab.
                start: set.start,
            };
            let ratio = self.sweeps_tabs(&rest, passes);
            if ratio < least.0 {
                least = (ratio, gone);
            }
        }
        least
    }

    fn sweeps_tabs(&self, set: &TabSet, passes: &[Pass]) -> f64 {
        self.sweeps(set, passes, self.force() / self.load.factor).tab_safety
    }

    fn figures(
        &self,
        set: &TabSet,
        staged: &Worst,
        free: Option<&Worst>,
        gone: (f64, usize),
    ) -> Figures {
        let limit = if self.load.lift > 0.0 { MOVEMENT_LIFT } else { MOVEMENT_IN };
        let motion = (limit / staged.movement.0).min(MOVEMENT_IN / staged.in_plane);
        // All severed and the pass repeated is no part of a good cut: it is judged at the nominal load.
        let free_motion = free.map_or(f64::INFINITY, |f| MOVEMENT_FREE / f.movement.0);
        let free_safety = free.map_or(f64::INFINITY, |f| f.tab_safety.min(f.part.0));
        let motion = if motion.is_nan() { f64::INFINITY } else { motion };
        let part = staged.part.0;
        Figures {
            load: self.force(),
            depth: self.depth,
            safety: staged.tab_safety.min(part),
            tab_safety: staged.tab_safety,
            part_safety: part,
            movement: staged.movement.0,
            movement_at: staged.movement.1,
            free_safety: free.map_or(f64::NAN, |_| free_safety),
            free_movement: free.map_or(f64::NAN, |f| f.movement.0),
            one_gone: gone.0,
            end: set.end,
            count: set.s.len(),
            tabs: Margin {
                value: staged.tab.0,
                what: self.tab_words(set, staged.tab.2, staged.tab.3),
            },
            part: Margin { value: part / SAFETY_PART, what: self.part_words(staged.part.1) },
            motion: Margin { value: motion, what: "movement at the bit".into() },
            freeing: self.freeing,
            free_by_hand: self.free_by_hand(set),
            repeat: Margin {
                value: free_motion.min(free_safety) * self.load.factor,
                what: "the pass repeated".into(),
            },
            gone: Margin {
                value: gone.0,
                what: format!("the others if tab {} goes", Self::listed(set, gone.1)),
            },
        }
    }

    fn tab_words(&self, set: &TabSet, tab: usize, shear: bool) -> String {
        let how = match (shear, set.beams.get(tab), self.grain) {
            (true, ..) => "in shear",
            (_, Some(beam), Some(_)) => grain_words(beam),
            _ => "in bending",
        };
        format!("tab {} {how}", Self::listed(set, tab))
    }

    /// The tab's number in the layout's list, which starts with the tab that the pass ends at.
    fn listed(set: &TabSet, tab: usize) -> usize {
        let n = set.s.len().max(1);
        (tab + n - set.end % n) % n + 1
    }

    fn part_words(&self, chord: usize) -> String {
        let Some(c) = self.chords.get(chord) else { return "no narrow section".into() };
        format!("the part's own section, {}", self.place_words(c))
    }

    fn place_words(&self, c: &Chord) -> String {
        let m = c.middle();
        let short =
            self.grain.is_some_and(|g| line_angle(c.direction(), g) > std::f64::consts::FRAC_PI_4);
        let grain = if short { ", short grain" } else { "" };
        format!("{:.1} mm wide at ({:.1}, {:.1}){grain}", c.width, m.x, m.y)
    }
}

fn grain_words(beam: &Beam) -> &'static str {
    match beam.to_grain.to_degrees() {
        a if a < 30.0 => "along the grain",
        a if a <= 60.0 => "aslant the grain",
        _ => "across the grain",
    }
}
