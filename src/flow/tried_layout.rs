//! Every tab count that was tried for a part, as a layout, so that another program can recompute each row.

use super::members::{PartHold, in_order};
use super::placed_sheet::{bare_sheet, common_last_pass};
use crate::export::{TRIED_STOCK, tell, tried_title};
use crate::geometry::{Ring, point};
use crate::hold::{Figures, evaluate};
use crate::job::{Group, Job, Part};
use crate::layout::{
    Because, Hold, HoldFigures, LANDING_DEPTH, Layout, Method, PlacedPart, Tab, Warning,
    WarningKind, Why,
};
use crate::units::Units;

/// Stock beside the sets, mm: room for a clamp, which the part's sheet has in the job.
const FOR_A_CLAMP: f64 = 40.0;

/// One set of tabs that was judged.
struct TriedSet {
    tabs: Vec<Tab>,
    figures: Figures,
    /// Direction of the grain in the part, radians, at which the figures are worst.
    grain: f64,
    /// Whether they are spaced evenly.
    even: bool,
}

/// A layout whose one sheet has the part once for each set of tabs that was judged.
///
/// For every count the best set, then as many tabs spaced evenly, at the depth of the last pass in the table; copies
/// are numbered in that order, and each one's `hold` has the set's own figures, even if it does not hold. The sheet
/// is as large as they need side by side, its grain along +x; each part is rotated so that its grain lies along it (of
/// several directions the worst). Without sheets if nothing was tried. It is a record to recompute from, not a sheet to cut.
pub fn tried_layout(job: &Job, held: &PartHold, units: Units) -> Layout {
    let (group, part) = (held.group(job), held.part(job));
    let mut layout = Layout::new(&tried_title(&job.title, &part.name), job.seed);
    let mut rows = rows(job, held);
    let whole = |r: &TriedSet| {
        let f = &r.figures;
        [f.load, f.depth, f.safety, f.movement, f.least().value].iter().all(|v| v.is_finite())
    };
    for row in rows.iter().filter(|r| !whole(r)) {
        let kind = WarningKind::Drifts { count: row.tabs.len(), even: row.even };
        layout.warnings.push(Warning::of(&part.name, kind));
    }
    rows.retain(whole);
    if !rows.is_empty() {
        layout.sheets.push(sheet(job, group, part, rows));
    }
    layout.total();
    tell(&mut layout, units);
    layout
}

/// The sets in the order of the table.
fn rows(job: &Job, held: &PartHold) -> Vec<TriedSet> {
    let mut rows = vec![];
    for tried in &held.plan.tried {
        let mut add = |tabs: &[Tab], figures: &Figures, even: bool| {
            let (tabs, figures, grain) = worst_grain(job, held, tabs, figures);
            rows.push(TriedSet { tabs, figures, grain, even });
        };
        add(&tried.tabs, &tried.figures, false);
        if let Some(even) = &tried.even {
            add(&tried.even_tabs, even, true);
        }
    }
    rows
}

/// The figures at the direction of the grain where they are worst, and that direction.
fn worst_grain(
    job: &Job,
    held: &PartHold,
    tabs: &[Tab],
    figures: &Figures,
) -> (Vec<Tab>, Figures, f64) {
    let task = held.task(job);
    if !task.material.has_grain() || task.grain.len() < 2 {
        return (tabs.to_vec(), figures.clone(), task.grain.first().copied().unwrap_or(0.0));
    }
    let at = |&g: &f64| {
        let grain = [g];
        let task = crate::hold::HoldTask { grain: &grain, ..held.task(job) };
        Some((evaluate(&task, tabs, Some(figures.depth))?, g))
    };
    let each = task.grain.iter().filter_map(at);
    let worst = each.reduce(|a, b| if b.0.least().value < a.0.least().value { b } else { a });
    match worst {
        Some((f, g)) => (in_order(&held.part(job).shape, tabs, f.end), f, g),
        None => (tabs.to_vec(), figures.clone(), 0.0),
    }
}

/// The sets side by side along x, each with room for its landings.
fn sheet(job: &Job, group: &Group, part: &Part, rows: Vec<TriedSet>) -> crate::layout::Sheet {
    let kerf = group.bit.diameter;
    let room = 2.0 * kerf + LANDING_DEPTH;
    let mut parts = vec![];
    let (mut x, mut width) = (FOR_A_CLAMP, FOR_A_CLAMP);
    for (i, row) in rows.into_iter().enumerate() {
        let mut pose = crate::geometry::Pose::new(point(0.0, 0.0), -row.grain);
        pose.rotation = pose.rotation_deg().to_radians();
        let bounds = pose.apply_shape(&part.shape).bounds();
        pose.offset = point(x + room, room) - bounds.min;
        x += bounds.width() + 2.0 * room;
        width = width.max(bounds.height() + 2.0 * room);
        let shape = pose.apply_shape(&part.shape);
        let f = &row.figures;
        parts.push(PlacedPart {
            part: part.name.clone(),
            copy: i + 1,
            spare: false,
            x: pose.offset.x,
            y: pose.offset.y,
            rotation_deg: pose.rotation_deg(),
            mirrored: false,
            grain: None,
            outline: shape.outline,
            openings: shape.openings,
            features: part.features.iter().map(|f| f.map(|p| pose.apply(p))).collect(),
            hold: Hold {
                method: Method::Tabs,
                why: String::new(),
                governs: String::new(),
                reason: Some(Why {
                    bridges: f.bridged,
                    ..Why::because(Because::Tried { even: row.even })
                }),
                limited_by: Some(f.least().what),
                case: "staged".into(),
                load_n: f.load,
                last_pass: f.depth,
                safety: f.safety,
                movement_mm: f.movement,
                skin_mm: None,
                figures: Some(HoldFigures::from(f)),
                tabs: row.tabs.iter().map(|t| t.placed(&pose)).collect(),
            },
        });
    }
    let outline = Ring::rectangle(x, width);
    let mut sheet = bare_sheet(job, group, format!("{}-tried", part.name), outline);
    sheet.stock = TRIED_STOCK.into();
    sheet.parts = parts;
    common_last_pass(&mut sheet);
    sheet.total();
    sheet
}

#[cfg(test)]
mod tests {
    use super::super::members::part_hold;
    use super::super::small_job::job_with;
    use super::*;
    use crate::hold::HoldTask;

    /// Of a part that may lie at any turn each row has the figures of the turn at which they are worst.
    #[test]
    fn a_row_has_its_worst_grain() {
        let job = job_with("grain = 'any'\n");
        let held = part_hold(&job, 0).expect("a group has it");
        let grains = held.task(&job).grain;
        assert_eq!(grains.len(), 4);
        let rows = rows(&job, &held);
        assert!(!rows.is_empty());
        let mut spread = 0;
        for row in rows {
            let least = |&g: &f64| {
                let task = HoldTask { grain: &[g], ..held.task(&job) };
                evaluate(&task, &row.tabs, Some(row.figures.depth)).expect("tabs").least().value
            };
            let all: Vec<f64> = grains.iter().map(least).collect();
            let (worst, best) = (
                all.iter().copied().fold(f64::INFINITY, f64::min),
                all.iter().copied().fold(0.0, f64::max),
            );
            assert!((row.figures.least().value - worst).abs() < 1e-9, "{all:?}");
            assert!(grains.contains(&row.grain));
            spread += usize::from(best > 1.01 * worst);
        }
        assert!(spread > 0, "no turn matters");
    }
}
