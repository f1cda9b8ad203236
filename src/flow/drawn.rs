//! What the drawings show of a cut: the plan's lines and loose waste as `export` takes them.

use crate::cut::{CutPlan, DropOut, PassKind};
use crate::export::{self, CutLine, LooseWaste, SheetCut};
use crate::layout::Sheet;

/// The cut of a sheet as plain lines and words.
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
        loose: cut.drop_outs.iter().map(|d| loose(sheet, d)).collect(),
        notes: cut.faults.iter().map(|f| f.describe(sheet)).collect(),
    }
}

fn kind(kind: PassKind) -> export::PassKind {
    match kind {
        PassKind::Upper => export::PassKind::Upper,
        PassKind::Through => export::PassKind::Through,
        PassKind::Skin => export::PassKind::Skin,
    }
}

fn loose(sheet: &Sheet, drop_out: &DropOut) -> LooseWaste {
    let where_from = match drop_out.opening.and_then(|(part, _)| sheet.parts.get(part)) {
        Some(part) => format!("in {} {}", part.part, part.copy),
        None => "between parts".to_string(),
    };
    let fate = match (drop_out.tied, drop_out.thrown) {
        (true, _) => "held by its part",
        (false, true) => "comes loose: stop and take it out, or tape it down",
        (false, false) => "comes loose, small",
    };
    LooseWaste {
        outline: drop_out.shape.outline.clone(),
        what: format!("waste {where_from}, {fate}"),
        comes_loose: !drop_out.tied,
    }
}
