//! What is left of finished sheets: for each remnant worth keeping the true free outline round it.

use crate::geometry::{Ring, Shape, Vector, difference, grow, intersection, point, shrink};
use crate::layout::{Layout, Offcut, Sheet};
use std::f64::consts::SQRT_2;

/// Half the width of the narrowest tongue of stock that is worth keeping, mm: half the least side of a remnant, and a hair less,
/// since what is exactly as wide stays.
const HALF_WIDTH: f64 = 19.5;

/// What is left of the sheets, in their order; boards sold by length leave nothing.
pub fn offcuts(layout: &Layout) -> Vec<Offcut> {
    let sheets = layout.sheets.iter().filter(|s| !s.open_length);
    sheets.flat_map(|sheet| of_sheet(sheet, &slug(&layout.title))).collect()
}

/// A job's title as names of its remnants begin with it: `desk-toy`.
pub fn slug(title: &str) -> String {
    let title = title.to_lowercase();
    let words = title.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.collect::<Vec<_>>().join("-")
}

fn of_sheet(sheet: &Sheet, title: &str) -> Vec<Offcut> {
    let mut free = if sheet.remnants.is_empty() { vec![] } else { free(sheet) };
    let mut found = vec![];
    for remnant in &sheet.remnants {
        let rectangle = [Shape::new(remnant.outline.clone(), vec![])];
        let common = |piece: &Shape| -> f64 {
            let both = intersection(std::slice::from_ref(piece), &rectangle);
            both.iter().map(Shape::net_area).sum()
        };
        // All of the remnant lies in one piece; a piece with two remnants is one offcut.
        let at = free.iter().position(|p| common(p) > 0.99 * remnant.outline.area());
        let Some(at) = at else { continue };
        let piece = free.remove(at);
        let origin = piece.bounds().min;
        let home = |ring: &Ring| ring.map(|p| p - origin);
        found.push(Offcut {
            name: format!("{title}-{}-left-{}", sheet.id, found.len() + 1),
            material: if sheet.called.is_empty() {
                sheet.material.clone()
            } else {
                sheet.called.clone()
            },
            thickness: sheet.thickness,
            grain_deg: sheet.grain_deg,
            margin: sheet.margin,
            outline: piece.map(|p| p - origin),
            rectangle: home(&remnant.outline),
        });
    }
    found
}

/// The pieces of stock clear of kerfs and landings, narrow tongues cut off.
fn free(sheet: &Sheet) -> Vec<Shape> {
    let kerf = sheet.bit.diameter;
    let filled: Vec<Shape> =
        sheet.parts.iter().map(|p| Shape::new(p.outline.clone(), vec![])).collect();
    let mut taken = grow(&filled, kerf);
    let tabs = sheet.parts.iter().flat_map(|p| &p.hold.tabs);
    taken.extend(tabs.map(|t| Shape::new(t.landing(kerf), vec![])));
    taken.extend(sheet.keep_clear.iter().map(|r| Shape::new(r.clone(), vec![])));
    let left = difference(&[sheet.shape()], &taken);
    // Grown back far enough for square corners to stay square; what was not free stays so.
    let wide = grow(&shrink(&left, HALF_WIDTH), SQRT_2 * HALF_WIDTH);
    let mut pieces = intersection(&wide, &left);
    pieces.retain(|p| p.net_area() > 0.0 && p.bounds().min.distance(point(0.0, 0.0)).is_finite());
    pieces
}

#[cfg(test)]
mod tests {
    use super::super::small_job::made;
    use super::*;
    use crate::layout::Remnant;

    /// A panel of 200 x 120 mm with one plate of 100 x 60 in its corner: left is an L of 200 x 120 less the plate and its kerf of
    /// 3.175 mm, 24,000 - 103.175 x 63.175 + (1 - pi/4) 3.175^2 = 17,484 mm2; the rectangle in it that was kept is there.
    #[test]
    fn an_offcut_is_all_that_is_free() {
        let mut layout = made().layout;
        let sheet = &mut layout.sheets[0];
        sheet.parts.truncate(1);
        sheet.parts[0].outline = Ring::rectangle(100.0, 60.0);
        sheet.parts[0].hold.tabs.clear();
        let kept = Ring::rectangle(96.0, 120.0).moved(point(104.0, 0.0));
        sheet.remnants = vec![Remnant { outline: kept.clone() }];
        let found = offcuts(&layout);
        assert_eq!(found.len(), 1);
        let left = &found[0];
        assert!((left.outline.net_area() - 17_484.0).abs() < 5.0, "{}", left.outline.net_area());
        // Booleans round to some 1e-7 mm.
        let apart = left.rectangle.0.iter().zip(&kept.0).map(|(p, q)| p.distance(*q));
        assert!(apart.fold(0.0, f64::max) < 1e-5, "{:?}", left.rectangle);
        assert!(left.name.ends_with("-walnut-6mm-1-left-1"), "{}", left.name);
        // What is free touches neither the plate nor its kerf.
        let plate = grow(&[Shape::new(Ring::rectangle(100.0, 60.0), vec![])], 3.17);
        let common = intersection(&plate, std::slice::from_ref(&left.outline));
        assert!(common.iter().map(Shape::net_area).sum::<f64>() < 1e-3, "{common:?}");
        layout.sheets[0].remnants.clear();
        assert_eq!(offcuts(&layout), []);
    }
}
