//! Why a copy found no place, in words.

use super::warnings::advice;
use super::words::{exact_width, from_corner, length, pair_of, size};
use crate::layout::{Layout, Method, Unplaced, UnplacedKind};
use crate::units::Units;

/// Boards differ from what they are called by up to this share: 5.2 mm plywood is sold as 1/4 in (common practice, no source).
const NOMINAL: f64 = 0.2;

/// The reason in words; the layout's own sentence if it has no value.
pub fn unplaced_words(unplaced: &Unplaced, units: Units) -> String {
    let Some(kind) = &unplaced.kind else { return unplaced.reason.clone() };
    let pin = |what: &str| format!("its pinned place cannot be used: {what}");
    match kind {
        UnplacedKind::TooBig { width_mm, height_mm } => format!(
            "too big for every sheet: in the orientations allowed it needs at least {} within the margins",
            size(units, *width_mm, *height_mm)
        ),
        UnplacedKind::NoStock { material, thickness_mm, off_bed, nearest_mm } => {
            let (no, but) = match (off_bed, nearest_mm) {
                (true, _) => (
                    "no usable stock",
                    ": all of it is larger than the machine's bed (bed)".to_string(),
                ),
                (false, Some(t)) => {
                    let same = (t / thickness_mm - 1.0).abs() < NOMINAL;
                    let if_same = ": if that is the board meant, give the drawing that thickness";
                    let hint = if same { if_same } else { "" };
                    ("no stock", format!("; its nearest is {} thick{hint}", units.show(*t)))
                }
                (false, None) => ("no stock", String::new()),
            };
            format!("the job has {no} of {material} {} thick{but}", units.show(*thickness_mm))
        }
        UnplacedKind::NoBit { at, fits_mm, bit_mm } => format!(
            "no bit on hand cuts it: its narrowest place, {} from its top left as drawn, lets at most {} pass, not {}",
            from_corner(units, *at),
            exact_width(units, *fits_mm),
            units.show(*bit_mm)
        ),
        UnplacedKind::DrawingFault { file, at } => {
            format!("left out because of a fault in {file} at {}", pair_of(units, *at))
        }
        UnplacedKind::StockUsedUp => "no stock left".into(),
        UnplacedKind::NoArea => "its outline encloses no area".into(),
        UnplacedKind::PinWithoutSheet { sheet } => pin(&format!("there is no sheet {sheet}")),
        UnplacedKind::PinNotFinite => pin("it is not a finite number"),
        UnplacedKind::PinOffSheet { at } => {
            pin(&format!("at {} the part leaves the sheet or its margin", pair_of(units, *at)))
        }
        UnplacedKind::PinNearEdge => pin("it comes too near a keep-clear area or the sheet's edge"),
        UnplacedKind::PinNearPart { other, other_copy } => {
            pin(&format!("it comes too near {other} {other_copy}"))
        }
        UnplacedKind::ShortGrain { turn, method } => {
            let then = match method {
                Method::Tabs => "tabs hold it",
                Method::Skin => "a skin holds it",
                Method::Tape => "tape holds it",
                Method::None => "nothing holds it either",
            };
            format!(
                "short grain: with the grain that the job gives it, the cut would break it and nothing holds it; {}, then {then}",
                advice(turn)
            )
        }
        UnplacedKind::Refused { rule, amount, limit } => {
            let measured = match (amount, limit) {
                (Some(amount), Some(limit)) if rule != "claim" && rule != "held" => {
                    format!(" ({}; {} is required)", length(units, *amount), length(units, *limit))
                }
                _ => String::new(),
            };
            let broke = match rule.as_str() {
                "overlap" => "it overlaps another part",
                "gap" => "it is too near to another part",
                "margin" => "it is too near to the sheet's edge",
                "off-sheet" => "it lies off the sheet",
                "keep-clear" => "it is too near to a keep-clear area",
                "feature" => "a feature drawn in it does not lie on it",
                "ring" => "one of its edges crosses itself or is not closed",
                "tab" => "one of its tabs breaks a rule for tabs",
                "landing" => "a tab lands on stock that is cut away",
                "grain" => "its grain does not follow the sheet's",
                "claim" => "its hold is weaker than was planned",
                "held" => "nothing holds it well enough",
                "anchor" => "it hangs on stock that comes loose",
                "gouge" => "a path of the bit cuts into it",
                "uncut" => "the paths do not cut all of its edge",
                "tab-left" => "the paths do not leave its tabs as planned",
                rule => &format!("it breaks the rule `{rule}`"),
            };
            format!("it did not pass the program's own check: {broke}{measured}")
        }
    }
}

/// Copies of a part left over for the same reason, as one entry: the first of them, and how many.
pub fn gathered(layout: &Layout) -> Vec<(&Unplaced, usize)> {
    let mut all: Vec<(&Unplaced, usize)> = vec![];
    for u in &layout.unplaced {
        let same = |o: &Unplaced| (&o.part, &o.kind, &o.reason) == (&u.part, &u.kind, &u.reason);
        match all.iter_mut().find(|(first, _)| same(first)) {
            Some(entry) => entry.1 += 1,
            None => all.push((u, 1)),
        }
    }
    all
}
