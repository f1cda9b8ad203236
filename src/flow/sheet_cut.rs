//! What the drawings show of a cut: the plan's lines and loose waste in the form `export` takes.

use crate::cut::{CutPlan, PassKind, WastePiece, clamp_rooms};
use crate::export::{self, CutLine, LooseWaste, SheetCut};
use crate::geometry::{Ring, Vector};
use crate::layout::{self, Sheet, Tab};

/// The cut of a sheet as plain lines.
pub fn sheet_cut(sheet: &Sheet, cut: &CutPlan) -> SheetCut {
    let lines = cut.paths.iter().flat_map(|paths| {
        paths.passes.iter().flat_map(|pass| {
            pass.paths.iter().map(|path| CutLine {
                part: paths.part,
                ring: pass.ring,
                kind: kind(pass.kind),
                depth: pass.depth,
                points: path.points.clone(),
                closed: path.closed,
            })
        })
    });
    SheetCut {
        lines: lines.collect(),
        order: cut.part_order(),
        loose: cut.drop_outs.iter().map(loose).collect(),
        soft: soft(sheet, cut),
        rooms: clamp_rooms(sheet),
    }
}

/// The strip at each soft landing, as long as the tab plus a bit's diameter to either side.
fn soft(sheet: &Sheet, cut: &CutPlan) -> Vec<Ring> {
    let bit = sheet.bit.diameter;
    let strip = |tab: &Tab, width: f64| {
        let (near, far) = (tab.at + tab.out * bit, tab.at + tab.out * (bit + width));
        let along = tab.out.perp() * (tab.width / 2.0 + bit);
        Ring(vec![near - along, near + along, far + along, far - along])
    };
    let parts = sheet.parts.iter().zip(&cut.ties);
    let landings = parts.flat_map(|(part, ties)| part.hold.tabs.iter().zip(&ties.tabs));
    let webs = landings.filter_map(|(tab, tie)| Some((tab, tie.web.filter(|web| web.soft)?)));
    webs.map(|(tab, web)| strip(tab, web.width)).collect()
}

fn kind(kind: PassKind) -> export::LineKind {
    match kind {
        PassKind::Upper => export::LineKind::Upper,
        PassKind::Through => export::LineKind::Through,
        PassKind::Skin => export::LineKind::Skin,
    }
}

fn loose(drop_out: &WastePiece) -> LooseWaste {
    LooseWaste {
        outline: drop_out.shape.outline.clone(),
        comes_loose: !drop_out.tied && !drop_out.cleared,
    }
}

/// The pieces of waste that the bit can throw or jam on.
pub(super) fn drop_outs(sheet: &Sheet, cut: &CutPlan) -> Vec<layout::DropOut> {
    let of = |d: &WastePiece| {
        let (opening, bounds) = (d.opening, d.shape.bounds());
        let part = opening.and_then(|o| sheet.parts.get(o.0));
        layout::DropOut {
            sheet: sheet.id.clone(),
            at: [d.at.x, d.at.y],
            size_mm: [bounds.width(), bounds.height()],
            part: part.map(|p| p.part.clone()),
            copy: part.map(|p| p.copy),
            opening: opening.map(|o| o.1),
        }
    };
    cut.drop_outs.iter().filter(|d| d.thrown && !d.cleared).map(of).collect()
}
