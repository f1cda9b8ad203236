//! A piece of waste kept by tabs of several parts: the one that is cut, and others that were cut before.

use super::Planner;
use crate::geometry::Vector;
use crate::hold::check::judge::BOTH;
use crate::hold::check::piece::Way;
use crate::hold::model::staged::{Body, Case, TabSet};
use crate::hold::part::sites::SeatedTab;
use crate::layout::Tab;
use crate::mechanics::{Beam, TabForces};

/// A part that helps to keep a piece of waste by tabs of its own.
///
/// It hangs on its tabs, and gives with them. How far is not known here place by place: so the piece is judged twice, with the
/// helping parts firm and with each giving everywhere as much as where it gives most, and the lesser margin counts. What reaches a
/// helping part may be no more than the load that its own tabs are planned for.
#[derive(Debug, Clone)]
pub struct Helper {
    /// Its tabs for the piece, in the frame of the part that is cut.
    pub tabs: Vec<Tab>,
    /// How far it gives where it gives most, mm/N.
    pub gives: f64,
    /// The load that its own tabs are planned for, N.
    pub load: f64,
    /// From its tabs for the piece to the farthest place of its edge, mm: a moment on it acts like a force there.
    pub reach: f64,
}

impl Planner<'_> {
    /// Margin of `tabs` on a piece of waste with those of the parts that help: of the tabs' strength as in [`Planner::strength`],
    /// and of what the helping parts bear over what reaches them; the worst over the grain's directions.
    pub fn helped(&self, tabs: &[SeatedTab], helpers: &[Helper], depth: f64, start: f64) -> f64 {
        let stiffest = |way: &Way| self.helped_by(way, tabs, (helpers, 0.0), (depth, start));
        let softest = |way: &Way| self.helped_by(way, tabs, (helpers, 1.0), (depth, start));
        let both = |way: &Way| stiffest(way).min(softest(way));
        self.piece.ways.iter().map(both).fold(f64::INFINITY, f64::min)
    }

    /// The same for one direction of the grain, the helping parts giving this share of the most that they do.
    fn helped_by(
        &self,
        way: &Way,
        tabs: &[SeatedTab],
        (helpers, share): (&[Helper], f64),
        (depth, start): (f64, f64),
    ) -> f64 {
        let all = self.piece.ground(&way.all, depth);
        let body = self.piece.rigid(&all, &[], &self.piece.all_sides);
        let mut set = TabSet { start, ..self.set(tabs, way.grain) };
        let task = self.piece.task;
        for helper in helpers {
            for tab in &helper.tabs {
                let (kerf, thickness) = (task.bit.diameter, task.thickness);
                let beam = Beam::new(tab, task.material, way.grain, kerf, thickness);
                set.beams.push(softer(beam, helper.gives * share, helper.reach));
                // On no place of the ring that is cut.
                set.s.push(f64::NAN);
            }
        }
        let judge = self.judge(way, &body, &all, &[], depth);
        let strength = judge.strength(&set, 0.0);
        let force = self.piece.load.worst(depth);
        let Some(held) = body.hold(&set) else { return 0.0 };
        let mut borne = f64::INFINITY;
        for pass in BOTH {
            held.sweep(start, pass, &mut |case: &Case| {
                let mut from = tabs.len();
                for helper in helpers {
                    let to = from + helper.tabs.len();
                    let reaches = |f: &TabForces| passed_on(f, helper.reach);
                    let all: f64 = case.tabs[from..to].iter().map(reaches).sum();
                    borne = borne.min(helper.load / (all * force));
                    from = to;
                }
                true
            });
        }
        strength.min(borne)
    }
}

/// A beam whose far side gives, mm/N: a moment turns it as a force at `reach` mm would.
fn softer(mut beam: Beam, gives: f64, reach: f64) -> Beam {
    let (soft, turns) = (|k: f64| 1.0 / (1.0 / k + gives), gives / (reach * reach));
    let turned = |k: f64| 1.0 / (1.0 / k + turns);
    let k = &mut beam.stiffness;
    (k.axial, k.shear, k.lift) = (soft(k.axial), soft(k.shear), soft(k.lift));
    (k.bend, k.bend_out, k.twist) = (turned(k.bend), turned(k.bend_out), turned(k.twist));
    beam
}

/// The greatest force that a tab passes on for a unit load of any direction, its moment as a force at `reach` mm.
fn passed_on(f: &TabForces, reach: f64) -> f64 {
    let plane = f.axial.dot(f.axial) + f.shear.dot(f.shear) + f.lift * f.lift;
    plane.sqrt() + f.bend.norm() / reach
}
