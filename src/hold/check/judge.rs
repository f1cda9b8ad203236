//! The judge of a tab set: each demand with its own margin.
//!
//! The loss of one tab is judged at the nominal load, and the pass still ends where it ended; for two tabs this is the severest
//! demand and often decides. The pass repeated is demanded at the nominal load; at the worst load it only gives a warning.

use super::by_hand::ByHand;
use super::figures::{Figures, Map, Margin, Margins, SAFETY_PART};
use super::overhang::Overhang;
use crate::geometry::{Contour, Vector};
use crate::hold::model::staged::{Body, Case, ChordForces, FloorTie, Held, Station, TabSet};
use crate::hold::part::sections::Chord;
use crate::job::{Freeing, Material};
use crate::layout::{Freed, FreedBy, Governs, SectionAt, TabStress, is_full};
use crate::mechanics::{Beam, Load, SAFETY_SHEAR, line_angle};
use std::f64::consts::FRAC_PI_4;

/// Greatest movement at the bit in the sheet's plane at the worst load, staged, mm.
pub const MOVEMENT_IN: f64 = 0.05;
/// The same with lift.
pub const MOVEMENT_LIFT: f64 = 0.1;
/// Greatest movement of the part free on its tabs, the pass repeated, nominal load, mm.
pub const MOVEMENT_FREE: f64 = 0.1;

/// The inputs of a judgement: the part's body with its sections, under a load.
pub struct Judge<'a> {
    /// The part on its springs.
    pub body: &'a dyn Body,
    /// Places of the bit.
    pub stations: &'a [Station],
    /// Sections watched, in the body's order.
    pub chords: &'a [Chord],
    /// How many of them, from the first, are checked when the part is freed by hand: beside a wide bridge others would lie under
    /// it.
    pub necks: usize,
    /// Their mean bending strengths, MPa.
    pub strengths: &'a [f64],
    /// Cutting force per mm of depth, N/mm.
    pub load: &'a Load,
    /// Depth of the last pass, mm.
    pub depth: f64,
    /// Thickness of the sheet, mm.
    pub thickness: f64,
    /// Material of the part.
    pub material: &'a Material,
    /// Direction of the grain, radians.
    pub grain: Option<f64>,
    /// The ring being cut.
    pub contour: &'a Contour,
    /// Greatest distance of its edge from a tab.
    pub overhang: &'a Overhang,
    /// How the part is freed afterwards.
    pub freeing: Freeing,
    /// The directions of the pass that a quick look judges.
    pub quick: &'static [FloorTie],
}

/// The worst of one or more sweeps.
struct WorstSweep {
    tab: (f64, f64, usize, bool),
    tab_safety: f64,
    part: (f64, usize),
    movement: (f64, f64),
    in_plane: f64,
}

impl WorstSweep {
    fn new() -> WorstSweep {
        WorstSweep {
            tab: (f64::INFINITY, f64::INFINITY, 0, false),
            tab_safety: f64::INFINITY,
            part: (f64::INFINITY, 0),
            movement: (0.0, 0.0),
            in_plane: 0.0,
        }
    }

    /// The result for a part that can drift.
    fn drifting() -> WorstSweep {
        WorstSweep {
            tab: (0.0, 0.0, 0, false),
            tab_safety: 0.0,
            movement: (f64::INFINITY, 0.0),
            in_plane: f64::INFINITY,
            ..WorstSweep::new()
        }
    }

    /// The least of the margins of tabs, part and movement.
    fn least(&self, judge: &Judge) -> f64 {
        self.tab.0.min(self.part.0 / SAFETY_PART).min(judge.motion(self))
    }
}

/// Both directions of the pass.
pub const BOTH: [FloorTie; 2] = [FloorTie::Forward, FloorTie::Backward];

impl Judge<'_> {
    /// Movement and margins at every place of the bit, tab and section at the worst load, both directions.
    pub fn map(&self, set: &TabSet) -> Map {
        let (n, c) = (set.beams.len(), self.chords.len());
        let mut map = Map {
            movement: vec![0.0; self.stations.len()],
            tabs: vec![f64::INFINITY; n],
            sections: vec![f64::INFINITY; c],
        };
        let force = self.force();
        let Some(held) = self.body.hold(set) else { return map };
        for pass in BOTH {
            held.sweep(set.start, pass, &mut |case| {
                let m = &mut map.movement[case.station];
                *m = m.max(case.movement() * force);
                for (i, (beam, f)) in set.beams.iter().zip(case.tabs).enumerate() {
                    let r = beam.ratios(f, force);
                    map.tabs[i] = map.tabs[i]
                        .min(r.normal / beam.required_normal)
                        .min(r.shear / SAFETY_SHEAR);
                }
                for (i, f) in case.chords.iter().enumerate().take(c) {
                    map.sections[i] =
                        map.sections[i].min(self.section_ratio(i, f, force) / SAFETY_PART);
                }
                true
            });
        }
        map
    }

    /// Judges quickly, the pass ending at the tab that `set` names: for the search. `rough` judges the set with a tab lost.
    ///
    /// After each step `worth` decides from the margins so far whether to continue; margins only ever fall. `None` once it says no.
    pub fn quick(
        &self,
        set: &TabSet,
        rough: &Judge,
        mut margins: Margins,
        worth: &dyn Fn(&Margins) -> bool,
    ) -> Option<Margins> {
        let m = &mut margins;
        m.snapped |= self.bridged(set);
        m.by_hand = m.by_hand.min(self.free_by_hand(set).0);
        m.reach = m.reach.min(self.overhang.margin(set));
        if !worth(m) {
            return None;
        }
        let Some(held) = self.body.hold(set) else {
            m.drifting();
            return worth(m).then_some(margins);
        };
        let lower = |m: &mut Margins, next: Margins| {
            let fell = next != *m;
            *m = next;
            !fell || worth(m)
        };
        let (mut going, mut free) = (true, WorstSweep::new());
        held.sweep(set.start, FloorTie::Free, &mut |case| {
            self.take(set, case, self.force(), &mut free);
            let repeat = m.repeat.min(self.repeat(&free));
            going = lower(m, Margins { repeat, ..*m });
            going
        });
        if going {
            m.gone =
                rough.one_gone(set, self.quick, m.gone, &|gone| worth(&Margins { gone, ..*m }))?.0;
            let mut staged = WorstSweep::new();
            for &pass in self.quick {
                if !going {
                    break;
                }
                held.sweep(set.start, pass, &mut |case| {
                    self.take(set, case, self.force(), &mut staged);
                    let next = Margins {
                        tabs: m.tabs.min(staged.tab.0),
                        part: m.part.min(staged.part.0 / SAFETY_PART),
                        motion: m.motion.min(self.motion(&staged)),
                        ..*m
                    };
                    going = lower(m, next);
                    going
                });
            }
        }
        going.then_some(margins)
    }

    /// Judges both directions, and the part free on its tabs. `rough`, the same body at fewer places, judges where to end and the
    /// loss of a tab. `None` as soon as a margin is below `least`.
    pub fn full(&self, set: &TabSet, rough: &Judge, least: f64) -> Option<Figures> {
        if under(self.overhang.margin(set), least) {
            return None;
        }
        let end = rough.best_end(set);
        let set = TabSet { end, start: set.s.get(end).copied().unwrap_or(0.0), ..set.clone() };
        let staged = self.sweeps(&set, &BOTH, least)?;
        let free = match self.body.hold(&set) {
            Some(held) => self.passes(&set, &*held, &[FloorTie::Free], self.force(), &|_| true)?,
            None => WorstSweep::drifting(),
        };
        let gone = rough.one_gone(&set, &BOTH, f64::INFINITY, &|gone| !under(gone, least))?;
        let figures = self.figures(&set, &staged, &free, gone);
        (!under(figures.least().value, least)).then_some(figures)
    }

    /// Margin of the tabs' strength at the worst load, both directions, the pass starting and ending where `set` says; 0 where it
    /// is not above `least`.
    pub fn strength(&self, set: &TabSet, least: f64) -> f64 {
        let Some(held) = self.body.hold(set) else { return 0.0 };
        let worst = self.passes(set, &*held, &BOTH, self.force(), &|w| w.tab.0 > least);
        worst.map_or(0.0, |w| w.tab.0)
    }

    /// The best tab for the pass to end at: greatest least margin up to 1.5, then least movement.
    fn best_end(&self, set: &TabSet) -> usize {
        let Some(held) = self.body.hold(set) else { return 0 };
        let demanded = self.freeing == Freeing::Snap || self.bridged(set);
        let by_hand = if demanded { self.free_by_hand(set).0 } else { f64::INFINITY };
        let mut best: Option<((f64, f64), usize)> = None;
        for end in 0..set.s.len() {
            let set = TabSet { end, start: set.s[end], ..set.clone() };
            let beaten = |w: &WorstSweep| best.is_none_or(|b| w.least(self).min(by_hand) >= b.0.0);
            let Some(worst) = self.passes(&set, &*held, &BOTH, self.force(), &beaten) else {
                continue;
            };
            let rank = (worst.least(self).min(by_hand).min(1.5), -worst.movement.0);
            if best.is_none_or(|b| rank > b.0) {
                best = Some((rank, end));
            }
        }
        best.map_or(0, |b| b.1)
    }

    fn force(&self) -> f64 {
        self.load.worst(self.depth)
    }

    /// The worst of `passes` at the worst load; `None` as soon as a margin is below `least`.
    fn sweeps(&self, set: &TabSet, passes: &[FloorTie], least: f64) -> Option<WorstSweep> {
        let Some(held) = self.body.hold(set) else {
            return (least <= 0.0).then(WorstSweep::drifting);
        };
        self.passes(set, &*held, passes, self.force(), &|w| !under(w.least(self), least))
    }

    /// The worst of the passes; `None` once it is not `worth` continuing.
    fn passes(
        &self,
        set: &TabSet,
        held: &dyn Held,
        passes: &[FloorTie],
        force: f64,
        worth: &dyn Fn(&WorstSweep) -> bool,
    ) -> Option<WorstSweep> {
        let (mut worst, mut going) = (WorstSweep::new(), true);
        for &pass in passes {
            held.sweep(set.start, pass, &mut |case| {
                self.take(set, case, force, &mut worst);
                going = worth(&worst);
                going
            });
            if !going {
                return None;
            }
        }
        Some(worst)
    }

    fn take(&self, set: &TabSet, case: &Case, force: f64, worst: &mut WorstSweep) {
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
        for (i, f) in case.chords.iter().enumerate().take(self.chords.len()) {
            let ratio = self.section_ratio(i, f, force);
            if ratio < worst.part.0 {
                worst.part = (ratio, i);
            }
        }
        let movement = case.movement() * force;
        worst.in_plane = worst.in_plane.max(case.in_plane() * force);
        if movement > worst.movement.0 {
            worst.movement = (movement, self.stations[case.station].s);
        }
    }

    /// Margin of the movement.
    fn motion(&self, staged: &WorstSweep) -> f64 {
        let limit = if self.load.lift > 0.0 { MOVEMENT_LIFT } else { MOVEMENT_IN };
        let motion = (limit / staged.movement.0).min(MOVEMENT_IN / staged.in_plane);
        if motion.is_nan() { f64::INFINITY } else { motion }
    }

    /// Margin with everything severed and the pass repeated: not part of a good cut, so it is judged at the nominal load.
    fn repeat(&self, free: &WorstSweep) -> f64 {
        let safety = free.tab_safety.min(free.part.0);
        (MOVEMENT_FREE / free.movement.0).min(safety) * self.load.factor
    }

    /// Ratio of mean strength to nominal stress at a section: N/bt + 6M/tb^2 + 6M_out/bt^2 by Hankinson
    /// at the section's normal; 1.5 V/bt against shear along the grain.
    fn section_ratio(&self, section: usize, f: &ChordForces, force: f64) -> f64 {
        let (b, t) = (self.chords[section].width, self.thickness);
        let (area, in_plane, out_of_plane, off) = match &self.chords[section].left {
            None => (b * t, t * b * b / 6.0, b * t * t / 6.0, [0.0, 0.0]),
            Some(l) => (l.area, l.in_plane, l.out_of_plane, l.off),
        };
        let bend = f.bend * (1.0 / in_plane);
        let axial = f.normal / area;
        // The longer of axial + bend and axial - bend; a weakened section is pulled off its middle too.
        let pull = f.normal.norm();
        let long = (axial.dot(axial) + bend.dot(bend) + 2.0 * axial.dot(bend).abs()).sqrt();
        let plane = long + pull * off[0] / in_plane;
        let sigma = force * (plane + (f.bend_out.abs() + pull * off[1]) / out_of_plane);
        let tau = force * 1.5 * (f.shear.norm() + f.lift.abs()) / area;
        (self.strengths[section] / sigma).min(self.material.shear / tau)
    }

    /// Whether the tabs can be broken or sawn without damage to the part: the least ratio with its tab and section.
    fn free_by_hand(&self, set: &TabSet) -> (f64, usize, usize) {
        let sections = ByHand {
            necks: &self.chords[..self.necks.min(self.chords.len())],
            strengths: self.strengths,
            thickness: self.thickness,
            contour: self.contour,
            freeing: self.freeing,
        };
        let of = |(i, (s, beam)): (usize, (&f64, &Beam))| {
            let (value, section) = sections.margin(*s, beam);
            (value, i, section)
        };
        let each = set.s.iter().zip(&set.beams).enumerate().map(of);
        each.fold((f64::INFINITY, 0, 0), |least, m| if m.0 < least.0 { m } else { least })
    }

    fn by_hand(&self, set: &TabSet) -> Margin {
        let (value, tab, section) = self.free_by_hand(set);
        let freed = |c: &Chord| {
            let full = |b: &Beam| is_full(b.height, self.thickness);
            let snap = self.freeing == Freeing::Snap && !set.beams.get(tab).is_some_and(full);
            let how = if snap { FreedBy::Snapping } else { FreedBy::Sawing };
            Freed { how, tab: self.numbered(set, tab), section: self.section_at(c) }
        };
        let of = self.chords.get(section).filter(|_| value.is_finite()).map(freed);
        Margin { value, what: Governs::Freeing { of } }
    }

    /// Least ratio at the nominal load, at most `least`, and the tab that is lost then; `None` once it is not `worth` continuing.
    /// The loss of a single tab leaves nothing; a single holding bridge loses half.
    fn one_gone(
        &self,
        set: &TabSet,
        passes: &[FloorTie],
        least: f64,
        worth: &dyn Fn(f64) -> bool,
    ) -> Option<(f64, usize)> {
        let n = set.s.len();
        let rests = match n {
            0 | 1 => self.halves(set),
            _ => (0..n).map(|gone| set.without(gone)).collect(),
        };
        if rests.is_empty() {
            return worth(0.0).then_some((0.0, 0));
        }
        let force = self.force() / self.load.factor;
        let mut least = (least, 0);
        for (gone, rest) in rests.into_iter().enumerate() {
            let ratio = match self.body.hold(&rest) {
                Some(held) => {
                    let worth = |w: &WorstSweep| w.tab_safety >= least.0 || worth(w.tab_safety);
                    self.passes(&rest, &*held, passes, force, &worth)?.tab_safety
                }
                None => 0.0,
            };
            if ratio < least.0 {
                least = (ratio, gone);
                if !worth(ratio) {
                    return None;
                }
            }
        }
        Some(least)
    }

    fn figures(
        &self,
        set: &TabSet,
        staged: &WorstSweep,
        free: &WorstSweep,
        gone: (f64, usize),
    ) -> Figures {
        let part = staged.part.0;
        Figures {
            load: self.force(),
            depth: self.depth,
            safety: staged.tab_safety.min(part),
            tab_safety: staged.tab_safety,
            part_safety: part,
            movement: staged.movement.0,
            movement_at: staged.movement.1,
            free_safety: free.tab_safety.min(free.part.0),
            free_movement: free.movement.0,
            one_gone: gone.0,
            end: set.end,
            count: set.s.len(),
            tabs: Margin {
                value: staged.tab.0,
                what: self.tab_governs(set, staged.tab.2, staged.tab.3),
            },
            part: Margin { value: part / SAFETY_PART, what: self.part_governs(staged.part.1) },
            motion: Margin { value: self.motion(staged), what: Governs::Movement },
            overhang: self.overhang.of(set),
            reach: Margin { value: self.overhang.margin(set), what: self.overhang_governs(set) },
            freeing: if self.bridged(set) { Freeing::Saw } else { self.freeing },
            bridged: self.bridged(set),
            free_by_hand: self.by_hand(set),
            repeat: Margin { value: self.repeat(free), what: Governs::PassRepeated },
            gone: Margin { value: gone.0, what: self.gone_governs(set, gone.1) },
        }
    }

    fn overhang_governs(&self, set: &TabSet) -> Governs {
        Governs::Overhang { far_mm: self.overhang.of(set).unwrap_or(0.0) }
    }

    fn tab_governs(&self, set: &TabSet, tab: usize, shear: bool) -> Governs {
        let stress = match (shear, set.beams.get(tab), self.grain) {
            (true, ..) => TabStress::Shear,
            (_, Some(beam), Some(_)) => bending(beam),
            _ => TabStress::Bending,
        };
        Governs::Tab { tab: self.numbered(set, tab), stress }
    }

    /// The tab's number in the layout's list, which starts with the tab that the pass ends at.
    pub fn listed(set: &TabSet, tab: usize) -> usize {
        let n = set.s.len().max(1);
        (tab + n - set.end % n) % n + 1
    }

    fn part_governs(&self, chord: usize) -> Governs {
        self.chords.get(chord).map_or(Governs::NoSection, |c| Governs::Section(self.section_at(c)))
    }

    fn section_at(&self, c: &Chord) -> SectionAt {
        let m = c.middle();
        SectionAt {
            width_mm: c.width,
            at: [m.x, m.y],
            weakened: c.left.map(|l| l.weakened()),
            short_grain: self.grain.is_some_and(|g| line_angle(c.direction(), g) > FRAC_PI_4),
        }
    }
}

/// Whether a margin is below the limit; NaN is not.
fn under(margin: f64, least: f64) -> bool {
    margin < least
}

/// Kind of a tab's bending stress, by its span's angle to the grain.
fn bending(beam: &Beam) -> TabStress {
    match beam.to_grain.to_degrees() {
        a if a < 30.0 => TabStress::Along,
        a if a <= 60.0 => TabStress::Oblique,
        _ => TabStress::Across,
    }
}
