//! The figures that go into the layout file.

use crate::hold::check::figures::Figures;
use crate::layout::{HoldFigures, InputOff};

/// The figures, with the possible loss from each input.
pub fn brief(figures: &Figures, inputs: Vec<InputOff>) -> HoldFigures {
    HoldFigures { inputs, ..HoldFigures::from(figures) }
}

impl From<&Figures> for HoldFigures {
    /// The figures as written to the file; those that do not apply (infinite) are left out.
    fn from(f: &Figures) -> HoldFigures {
        let known = |v: f64| v.is_finite().then_some(v);
        HoldFigures {
            least_margin: f.least().value,
            tab_safety: known(f.tab_safety),
            part_safety: known(f.part_safety),
            one_gone_safety: known(f.one_gone),
            free_safety: known(f.free_safety),
            free_movement_mm: known(f.free_movement),
            overhang_mm: f.overhang,
            freeing_margin: known(f.free_by_hand.value),
            inputs: vec![],
        }
    }
}
