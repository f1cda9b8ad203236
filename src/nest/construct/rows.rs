//! Forms for copies in rows, as a person would draw them: each kind has one orientation, its tabs on one pair of sides.

use crate::nest::no_fit::no_fit_table::{FormId, NoFitTable};
use crate::nest::placing::sheet_axis::Axis;
use crate::nest::shapes::form::OrientedPart;

/// One kind of row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rows {
    /// Whether the long side lies along the axis, not across it.
    lengthwise: bool,
    /// Whether tabs are at the ends along the axis, not at the sides across it.
    ends: bool,
}

impl Rows {
    /// All kinds of row.
    pub const ALL: [Rows; 4] = [
        Rows { lengthwise: true, ends: true },
        Rows { lengthwise: true, ends: false },
        Rows { lengthwise: false, ends: true },
        Rows { lengthwise: false, ends: false },
    ];

    /// The forms of a kind that such rows allow, or all where there are none.
    pub fn of(self, table: &NoFitTable<'_>, forms: &[FormId], axis: Axis) -> Vec<FormId> {
        let form = |f: &FormId| table.form(*f);
        let area = |f: &FormId| form(f).part_bounds.width() * form(f).part_bounds.height();
        let least = forms.iter().map(area).fold(f64::INFINITY, f64::min);
        // At other turns a part takes more room in a row.
        let level = |f: &&FormId| area(f) <= least * (1.0 + ROUNDING);
        let lies_so = |f: &&FormId| level(f) && self.suits(form(f), axis);
        let chosen: Vec<FormId> = forms.iter().filter(lies_so).copied().collect();
        if chosen.is_empty() { forms.to_vec() } else { chosen }
    }

    fn suits(self, form: &OrientedPart, axis: Axis) -> bool {
        let (p, l) = (form.part_bounds, form.landing_bounds);
        let size = p.max - p.min;
        let (along, across) = (axis.of(size), axis.across().of(size));
        let lies = if self.lengthwise { along >= across } else { along <= across };
        let side = if self.ends { axis.across() } else { axis };
        let bare = side.of(l.min) >= side.of(p.min) - ROUNDING
            && side.of(l.max) <= side.of(p.max) + ROUNDING;
        (lies || (along - across).abs() <= ROUNDING * along) && (form.landings.is_empty() || bare)
    }
}

/// Far below what a router repeats to, far above the rounding of rotated corners: as a share, and in mm.
const ROUNDING: f64 = 1e-6;
