//! Springs of a tab and of the floor ahead of the bit (recipe, steps 2 and 3).

use super::*;

/// Stiffness of a beam whose ends stay parallel, shear included, on roots that turn and slip as more length would.
fn guided([e, g]: [f64; 2], inertia: f64, area: f64, l: f64, [turn, slip]: [f64; 2]) -> f64 {
    let bends = l * l * (l + 3.0 * turn) / (12.0 * e * inertia);
    1.0 / (bends + (l + slip) / (5.0 / 6.0 * g * area))
}

/// What the part dents at a tab's root in the plane, one over N/mm (along the span, along the edge, turn): half of what the root of
/// a tab as high as the sheet gives. The elastic part does so of itself; a rigid one and a chain of beams do not.
fn dents(sheet: &Sheet, tab: &Tab) -> [f64; 3] {
    let (l, w, t) = (sheet.diameter, tab.width, sheet.thickness);
    let (e, g) = (sheet.modulus(sheet.to_grain(tab.out)), sheet.constant("shear_modulus_mpa"));
    let (ease, area, inertia) = ((e / g).cbrt(), w * t, t * w.powi(3) / 12.0);
    let turn = sheet.root("turn") * ease * w;
    let slip = sheet.root("shear") * ease * area.sqrt();
    [
        0.5 * sheet.root("axial") * ease * area.sqrt() / (e * area),
        0.5 * (slip / (5.0 / 6.0 * g * area) + l * l * 3.0 * turn / (12.0 * e * inertia)),
        0.5 * turn / (e * inertia),
    ]
}

/// A tab's springs on a part that does not dent itself.
pub fn springs_with_dent(sheet: &Sheet, tab: &Tab, about: P) -> [[Spring; 3]; 2] {
    let [mut plane, out] = tab_springs(sheet, tab, about);
    for ((k, _), dent) in plane.iter_mut().zip(dents(sheet, tab)) {
        *k = 1.0 / (1.0 / *k + dent);
    }
    [plane, out]
}

/// A tab's springs in the plane (along the span, along the edge, turn) and out of it (up, tilt about the edge, twist).
pub fn tab_springs(sheet: &Sheet, tab: &Tab, about: P) -> [[Spring; 3]; 2] {
    let (l, w, h) = (sheet.diameter, tab.width, tab.height);
    let e = sheet.modulus(sheet.to_grain(tab.out));
    let g = sheet.constant("shear_modulus_mpa");
    let (area, inertia_in, inertia_out) = (w * h, h * w.powi(3) / 12.0, w * h.powi(3) / 12.0);
    let (long, short) = (w.max(h), w.min(h));
    let r = short / long;
    let torsion = long * short.powi(3) * (1.0 / 3.0 - 0.21 * r * (1.0 - r.powi(4) / 12.0));
    let (ease, middling) = ((e / g).cbrt(), (w * h).sqrt());
    let axial = sheet.root("axial") * ease * (w * sheet.thickness).sqrt();
    let (turn, tilt) = (sheet.root("turn") * ease * w, sheet.root("tilt") * ease * h);
    let slips = [sheet.root("shear") * ease * middling, sheet.root("up") * middling];
    let m = add(add(tab.at, tab.out, l / 2.0), about, -1.0);
    let edge = quarter(tab.out);
    [
        [
            (e * area / (l + axial), shift(m, tab.out)),
            (guided([e, g], inertia_in, area, l, [turn, slips[0]]), shift(m, edge)),
            (e * inertia_in / (l + turn), [0.0, 0.0, 1.0]),
        ],
        [
            (guided([e, g], inertia_out, area, l, [tilt, slips[1]]), rise(m)),
            (e * inertia_out / (l + tilt), [0.0, edge[0], edge[1]]),
            (g * torsion / l, [0.0, tab.out[0], tab.out[1]]),
        ],
    ]
}

/// The floor ahead of the bit at one place.
pub fn floor(
    sheet: &Sheet,
    edge: &Edge,
    s: f64,
    share: f64,
    depth: f64,
    about: P,
) -> [Vec<Spring>; 2] {
    let l = sheet.diameter;
    let out = edge.out(s, l / 4.0);
    let e = sheet.modulus(sheet.to_grain(out));
    let g = sheet.constant("shear_modulus_mpa");
    let q = add(edge.place(s), about, -1.0);
    let area = share * depth;
    let axial = sheet.root("floor_axial") * (depth * sheet.thickness).sqrt();
    let (slip, up) = (sheet.root("floor_shear") * depth, sheet.root("floor_up") * depth);
    let tilt = sheet.root("tilt") * (e / g).cbrt() * depth;
    let inertia = share * depth.powi(3) / 12.0;
    [
        vec![
            (e * area / (l + axial), shift(q, out)),
            (5.0 / 6.0 * g * area / (l + slip), shift(q, quarter(out))),
        ],
        vec![(guided([e, g], inertia, area, l, [tilt, up]), rise(q))],
    ]
}
