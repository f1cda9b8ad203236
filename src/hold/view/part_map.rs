//! Movement and margins along a part's edge, at its sections and its tabs: for a picture.

use crate::geometry::{Contour, Point};
use crate::hold::check::planner::Planner;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::part::sections::Chord;
use crate::hold::part::sites::SeatedTab;
use crate::hold::task::HoldTask;
use crate::layout::{Method, Tab};

/// A planned part, staged, at the worst load, the grain in its first direction.
#[derive(Debug, Clone, PartialEq)]
pub struct PartMap {
    /// Places of the bit along the outline.
    pub places: Vec<MapPlace>,
    /// Narrow sections with their margins, weakest first.
    pub sections: Vec<(Chord, f64)>,
    /// The outline's tabs with their margins, in the order of the hold's list.
    pub tabs: Vec<(Tab, f64)>,
}

/// A place of the bit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapPlace {
    /// On the outline, in the part's frame.
    pub at: Point,
    /// Unit normal away from the part.
    pub out: Point,
    /// Movement at the bit, mm.
    pub movement: f64,
}

/// The map of a plan; `None` where its outline is not held by tabs.
pub fn part_map(task: &HoldTask, plan: &HoldPlan) -> Option<PartMap> {
    let listed: Vec<&Tab> = plan.hold.tabs.iter().filter(|t| t.holds()).collect();
    if plan.hold.method != Method::Tabs || listed.is_empty() {
        return None;
    }
    let contours: Vec<Contour> = task.shape.rings().map(Contour::new).collect::<Option<_>>()?;
    let sections = task.sections(&contours);
    let planner = Planner::new(task, contours[0].clone(), 0, &sections);
    let contour = &planner.contour;
    let mut placed: Vec<SeatedTab> = listed.iter().map(|t| SeatedTab::on(contour, t)).collect();
    placed.sort_by(|a, b| a.s.total_cmp(&b.s));
    // The first in the hold's list is where the last pass ends.
    let end = placed.iter().position(|p| p.tab == *listed[0]).unwrap_or(0);
    let (places, map) = planner.map(&placed, end, plan.hold.last_pass);
    let place = |(&at, &movement): (&Point, &f64)| {
        let out = contour.out(contour.nearest(at), task.bit.diameter / 4.0);
        MapPlace { at, out, movement }
    };
    let places = places.iter().zip(&map.movement).map(place).collect();
    let finite = planner.chords.iter().cloned().zip(map.sections.iter().copied());
    let mut sections: Vec<(Chord, f64)> = finite.filter(|s| s.1.is_finite()).collect();
    sections.sort_by(|a, b| a.1.total_cmp(&b.1));
    let margin = |tab: &Tab| {
        let number = placed.iter().position(|p| p.tab == *tab).unwrap_or(0);
        map.tabs.get(number).copied().unwrap_or(f64::INFINITY)
    };
    let tabs = listed.into_iter().map(|t| (t.clone(), margin(t))).collect();
    Some(PartMap { places, sections, tabs })
}
