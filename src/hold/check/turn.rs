//! The gain from turning a part, and the width of a spur.

use crate::geometry::{Contour, Vector};
use crate::hold::part::sections::Chord;
use crate::hold::part::strongest_grain::{neck_weakness, strongest};
use crate::hold::task::HoldTask;
use crate::mechanics::{Load, section_strength};
use std::f64::consts::FRAC_PI_2;

/// The gain of the recommended turn for the weakest neck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnGain {
    /// Direction of the grain in the part that makes its weakest neck strongest, radians.
    pub grain: f64,
    /// Ratio of the load that its weakest neck then bears to that at the worst of the task's own directions.
    pub times: f64,
}

/// The gain of turning the part; `None` where the material has no grain or the part no neck.
pub fn turn_gain(task: &HoldTask) -> Option<TurnGain> {
    if !task.material.has_grain() || task.grain.is_empty() {
        return None;
    }
    let contours: Vec<Contour> = task.shape.rings().map(Contour::new).collect::<Option<_>>()?;
    turn_gain_of(task, &task.sections(&contours))
}

/// The same with the shape's narrow sections given.
pub fn turn_gain_of(task: &HoldTask, sections: &[Chord]) -> Option<TurnGain> {
    if !task.material.has_grain() || task.grain.is_empty() {
        return None;
    }
    let bounds = task.shape.bounds();
    let most = 0.6 * bounds.width().max(bounds.height());
    let reach = task.bit.diameter / 2.0;
    let necks: Vec<&Chord> =
        sections.iter().filter(|c| c.width < most && (!c.separates() || c.arm > reach)).collect();
    let bears = |grain: f64| {
        1.0 / necks.iter().map(|c| neck_weakness(c, grain, task.material)).fold(0.0, f64::max)
    };
    let grain = strongest(task.shape, sections, task.material);
    let now = task.grain.iter().map(|&g| bears(g)).fold(f64::INFINITY, f64::min);
    let times = bears(grain) / now;
    times.is_finite().then_some(TurnGain { grain, times })
}

/// Depth of the last pass that a spur must bear, mm (common practice, no source).
pub const SPUR_PASS: f64 = 0.2;

/// Width, mm, of a full-thickness spur that holds the part alone at a last pass of 0.2 mm: a cantilever loaded at the farthest
/// point of the part, safety 2, its fibres across it unless the material has none.
pub fn spur_width(task: &HoldTask, load: &Load) -> f64 {
    const SAFETY: f64 = 2.0;
    let b = task.shape.bounds();
    let reach = (b.max - b.min).norm();
    let weak = if task.material.has_grain() { FRAC_PI_2 } else { 0.0 };
    let strength = section_strength(task.material, weak);
    (SAFETY * 6.0 * load.worst(SPUR_PASS) * reach / (task.thickness * strength)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape};
    use crate::job::{Bit, Holding, Spiral, find_material};

    /// A cantilever t thick and w wide, loaded at its end: 6 F l/(t w^2) (any textbook). A plate 30 x 40 of 3 mm acrylic, 70 MPa:
    /// l = 50 mm, F = 1.5 x 0.2 (160 x 0.0625 + 1.5) = 3.45 N, safety 2 at w = sqrt(2 x 6 x 3.45 x 50/(3 x 70)) = 3.1396 mm.
    #[test]
    fn a_spur_by_hand() {
        let acrylic = find_material("acrylic", 3.0).unwrap();
        let bit = Bit {
            name: "1/8 in".into(),
            diameter: 3.175,
            flutes: 1,
            spiral: Spiral::Straight,
            helix: 0.0,
            pass_depth: 1.5,
            feed: 1000.0,
            rpm: 16_000.0,
            allowance: crate::layout::ALLOWANCE,
        };
        let (shape, holding) =
            (Shape::new(Ring::rectangle(30.0, 40.0), vec![]), Holding::default());
        let task = HoldTask {
            shape: &shape,
            thickness: 3.0,
            material: acrylic,
            grain: &[],
            bit: &bit,
            holding: &holding,
            by: Default::default(),
            features: &[],
            tab_free: &[],
            chords: None,
            landing_ok: None,
            bodies: None,
        };
        let width = spur_width(&task, &Load::new(&bit, acrylic));
        assert!((width - 3.1396).abs() < 5e-4, "{width}");
    }
}
