//! Where tabs can land once a sheet is nested: for planning the holding again with real anchors.

use super::anchor::{Landing, clamped};
use super::hosts::Openings;
use super::region::{Region, interior};
use super::sweep::{THINNEST_WEB, firm};
use crate::geometry::{Bounds, Point, Segment, Vector};
use crate::layout::{LANDING_DEPTH, Method, Sheet, Tab};

/// Slack at a landing's sides, mm: stock loses half the thinnest web at every kerf, and offsets err by
/// 0.02 mm.
const SLACK: f64 = THINNEST_WEB / 2.0 + 0.03;
/// Where the edge bows towards the landing, the kerf's far edge does too: by up to this part of the
/// tab's width.
const BOW: f64 = 0.12;

/// What stays of a sheet when all kerfs are cut, whatever the tabs.
pub struct Skeleton {
    bit: f64,
    stock: Region,
    /// What a tab finds on each piece.
    landing: Vec<Landing>,
}

/// The skeleton of a nested sheet: see [`Skeleton::landing`] and [`Skeleton::accepts`].
///
/// The sheet less every part grown by a bit's diameter and half the thinnest web, so that slivers between
/// kerfs connect nothing. Clamped is what reaches the sheet's edge with
/// room for a clamp. Waste in an opening counts when the sheet's present plan ties it to its part by
/// tabs, skin or tape, and that part is not itself loose. Built once a sheet; then each question costs a
/// few tree look-ups.
pub fn landing_on_skeleton(sheet: &Sheet) -> Skeleton {
    let usable = super::usable(sheet, &mut vec![]);
    if !usable.contains(&true) {
        return Skeleton { bit: 0.0, stock: Region::new(vec![]), landing: vec![] };
    }
    let bit = sheet.bit.diameter;
    let stock = firm(sheet, &usable);
    let held = clamped(sheet, &stock);
    let openings = Openings::new(sheet, &usable);
    let landing = stock
        .pieces
        .iter()
        .zip(&held)
        .map(|(piece, &held)| match interior(&piece.shape).and_then(|p| openings.around(p, None)) {
            _ if held => Landing::Clamped,
            Some(o) => {
                let hold = &sheet.parts[o.part].hold;
                let tabs = hold.tabs.iter().filter(|t| t.ring == o.ring);
                let by_tab =
                    tabs.map(|t| super::anchor::landing_place(t, bit)).any(|p| piece.contains(p));
                let by_floor = matches!(hold.method, Method::Skin | Method::Tape)
                    && !hold.tabs.iter().any(|t| t.ring == o.ring);
                if by_tab || by_floor { Landing::Opening } else { Landing::Waste }
            }
            None => Landing::Waste,
        })
        .collect();
    Skeleton { bit, stock, landing }
}

impl Skeleton {
    /// What a tab (sheet frame) would land on with its whole landing; `Nothing` where a kerf takes any of it.
    pub fn landing(&self, tab: &Tab) -> Landing {
        let near = self.bit + (BOW * tab.width).clamp(SLACK, LANDING_DEPTH * 0.75);
        let far = self.bit + LANDING_DEPTH - SLACK;
        let half = tab.out.perp() * (tab.width / 2.0 - SLACK).max(SLACK);
        let corner = |along: f64, side: f64| tab.at + tab.out * along + half * side;
        let corners = [corner(near, -1.0), corner(far, -1.0), corner(far, 1.0), corner(near, 1.0)];
        if !corners.iter().all(|c| c.finite()) {
            return Landing::Nothing;
        }
        let Some(piece) = self.stock.locate(corners[0]) else { return Landing::Nothing };
        let whole = !self.stock.pieces[piece]
            .edges
            .touching(Bounds::of(&corners))
            .any(|s| meets(s, &corners));
        // No edge of the piece crosses the landing, so one corner stands for all of it.
        if whole { self.landing[piece] } else { Landing::Nothing }
    }

    /// Whether a tab on an outline (sheet frame) lands on an anchor; for a tab of an opening, whether
    /// it lands on that opening's waste at all, since it is the anchor.
    pub fn accepts(&self, tab: &Tab) -> bool {
        match self.landing(tab) {
            Landing::Clamped | Landing::Opening => true,
            Landing::Waste => tab.ring > 0,
            Landing::Part(_) | Landing::Nothing => false,
        }
    }
}

/// Whether a segment meets a rectangle given by its corners.
fn meets(s: Segment, corners: &[Point; 4]) -> bool {
    let sides = (0..4).map(|i| Segment::new(corners[i], corners[(i + 1) % 4]));
    let (u, v) = (corners[1] - corners[0], corners[3] - corners[0]);
    let w = s.a - corners[0];
    let inside = (0.0..=u.dot(u)).contains(&w.dot(u)) && (0.0..=v.dot(v)).contains(&w.dot(v));
    inside || sides.into_iter().any(|side| side.distance(s) == 0.0)
}
