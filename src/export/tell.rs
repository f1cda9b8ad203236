//! Every sentence of a layout, made from its values.

use super::faults::fault_words;
use super::unplaced::unplaced_words;
use super::warnings::warning_words;
use super::why::{input_words, limit_words, why_words};
use crate::layout::{Hold, Layout};
use crate::units::Units;

/// Fills in the layout's sentences, in these units, so that readers need no program; a sentence without a value stays as it is.
pub fn tell(layout: &mut Layout, units: Units) {
    layout.units = units;
    for part in layout.sheets.iter_mut().flat_map(|s| &mut s.parts) {
        tell_hold(&mut part.hold, units);
    }
    for warning in &mut layout.warnings {
        warning.message = warning_words(warning, units);
    }
    for fault in &mut layout.faults {
        fault.message = fault_words(fault, units);
    }
    for unplaced in &mut layout.unplaced {
        unplaced.reason = unplaced_words(unplaced, units);
    }
}

fn tell_hold(hold: &mut Hold, units: Units) {
    (hold.why, hold.governs) = (why_words(hold, units), limit_words(hold, units));
    for input in hold.figures.iter_mut().flat_map(|f| &mut f.inputs) {
        (input.input, input.off) = input_words(input, units);
    }
}
