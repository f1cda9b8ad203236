//! Springs and figures of the rigid part, worked out by hand.
//!
//! By hand: from the formulas in `hold`'s documentation (steps 2, 3, 5 and 6), with E 10000, G 700, a bit of 3.175 mm in stock
//! of 6 mm and the roots' give 0.57, 0.3, 0.27, 0.45, 2.5, 3.7, 2.5, 6; q = (E/G)^(1/3) = 2.426428. Whole parts: the same
//! formulas in numpy, the bed by scipy's `nnls` in place of the active set, the load's direction by turning it in 20000 steps.

use super::*;
use serde_json::json;

/// A square of 9 mm of a material without grain, held by the tabs, on a sheet that states all that its claims need.
pub(in crate::verify) fn sheet(tabs: &[Tab]) -> Sheet {
    let square = [[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]];
    let constants = json!({
        "kind": "acrylic", "has_grain": false, "density_kg_per_m3": 1190.0, "e_along_mpa": 10000.0, "e_across_mpa": 10000.0,
        "shear_modulus_mpa": 700.0, "poisson_lt": 0.35, "bending_mpa": 60.0, "tension_across_mpa": 60.0,
        "shear_mpa": 8.0, "tab_along_mpa": 60.0, "tab_across_mpa": 60.0, "tab_shear_mpa": 8.0,
        "tab_shear_out_along_mpa": 8.0, "tab_shear_out_across_mpa": 8.0, "section_along_mpa": 60.0,
        "section_across_mpa": 60.0, "hankinson_exponent": 1.5, "hankinson_exponent_shear_out": 2.0,
        "kc_low_n_per_mm2": 40.0, "kc_high_n_per_mm2": 160.0, "ke_low_n_per_mm": 2.0, "ke_high_n_per_mm": 8.0,
        "source": "by hand",
    });
    let holding = json!({
        "freeing": "saw", "prefer": "strong", "min_width_mm": 3.0, "max_width_mm": 10.0,
        "safety_tab_along": 1.35, "safety_tab_across": 1.7, "safety_tab_shear": 1.3, "safety_part": 2.0,
        "movement_limit_mm": 0.05, "movement_limit_lift_mm": 0.1, "movement_limit_repeated_mm": 0.1,
        "overhang_limit_mm": 20.0, "load_patch_mm": 1.5,
        "roots": {"axial": 0.57, "turn": 0.3, "shear": 0.27, "tilt": 0.45, "up": 2.5,
            "floor_axial": 3.7, "floor_shear": 2.5, "floor_up": 6.0},
    });
    let part = json!({
        "part": "square", "copy": 1, "spare": false, "x": 0.0, "y": 0.0, "rotation_deg": 0.0, "mirrored": false,
        "outline": square, "openings": [], "features": [],
        "hold": {"method": "tabs", "why": "", "governs": "", "case": "staged", "load_n": 9.0, "last_pass": 0.5,
            "safety": 10.0, "movement_mm": 0.01, "tabs": tabs},
    });
    // 1.5 x 0.5 x (80 x 0.1 + 4) = 9 N.
    let cut = json!({"last_pass": 0.5, "feed_per_tooth": 0.1, "flutes": 2, "helix_deg": 0.0,
        "kc": 80.0, "ke": 4.0, "factor": 1.5});
    serde_json::from_value(json!({
        "id": "acrylic-6mm-1", "stock": "board", "material": "acrylic", "thickness": 6.0,
        "outline": square, "keep_clear": [], "margin": 0.0, "grain_deg": 30.0, "open_length": false,
        "bit": {"name": "bit", "diameter": 3.175}, "gap": 3.175, "cut": cut, "material_constants": constants,
        "holding": holding, "sheet_area": 81.0, "part_area": 81.0, "waste_percent": 0.0, "remnants": [], "parts": [part],
    }))
    .expect("a sheet")
}

pub(in crate::verify) fn tab(at: [f64; 2], out: [f64; 2], width: f64, height: f64) -> Tab {
    Tab { at: at.into(), out: out.into(), width, height, ring: 0, waste: false }
}

/// Two tabs of full height in the middles of the left and right sides.
pub(in crate::verify) fn opposite() -> Vec<Tab> {
    vec![tab([9.0, 4.5], [1.0, 0.0], 4.0, 6.0), tab([0.0, 4.5], [-1.0, 0.0], 4.0, 6.0)]
}

/// One of full height on the left, a lower one on top: the far corner leans out.
pub(in crate::verify) fn aslant() -> Vec<Tab> {
    vec![tab([0.0, 4.5], [-1.0, 0.0], 4.0, 6.0), tab([4.5, 0.0], [0.0, -1.0], 3.0, 2.0)]
}

fn close(found: f64, by_hand: f64) {
    assert!((found / by_hand - 1.0).abs() < 1e-4, "{found} is not {by_hand}");
}

#[test]
fn a_tabs_springs_by_hand() {
    let sheet = sheet(&[]);
    let stock = StockNumbers::new(&sheet).expect("all is stated");
    let tab = tab([10.0, 20.0], [1.0, 0.0], 4.0, 6.0);
    let [flat, up] = stock.tab(&tab, point(4.0, 8.0));
    // x = 6.7757, b = 2.9117, s = 3.2095, c = 6.5514, u = 12.2474; I_in = 32, I_out = 72, J = 75.125.
    // Mid span lies (7.5875, 12) from the point asked about; +x looks out, +y along the edge.
    for ((k, row), (k_by_hand, row_by_hand)) in flat.into_iter().chain(up).zip([
        (24119.0, [1.0, 0.0, -12.0]),
        (2052.1, [0.0, 1.0, 7.5875]),
        (52573.0, [0.0, 0.0, 1.0]),
        (886.34, [1.0, 12.0, -7.5875]),
        (74026.0, [0.0, 0.0, 1.0]),
        (16563.0, [0.0, 1.0, 0.0]),
    ]) {
        close(k, k_by_hand);
        assert!(row.iter().zip(row_by_hand).all(|(a, b)| (a - b).abs() < 1e-9), "{row:?}");
    }
}

#[test]
fn a_floors_springs_by_hand() {
    let sheet = sheet(&[]);
    let stock = StockNumbers::new(&sheet).expect("all is stated");
    // 2 mm of edge, 0.5 mm high, A = 1: 3.175 + 3.7 sqrt(3) = 9.5836, 3.175 + 1.25 = 4.425;
    // 1/up = 3.175^2 (3.175 + 3 x 0.54595)/(12 x 10000/48) + (3.175 + 3)/583.33.
    let [flat, up] = stock.floor(point(5.0, 0.0), point(0.0, 1.0), 2.0, 0.5);
    for ((k, row), (k_by_hand, row_by_hand)) in flat.into_iter().chain(up).zip([
        (1043.45, [0.0, 1.0, 5.0]),
        (131.827, [-1.0, 0.0, 0.0]),
        (33.3419, [1.0, 0.0, -5.0]),
    ]) {
        close(k, k_by_hand);
        assert!(row.iter().zip(row_by_hand).all(|(a, b)| (a - b).abs() < 1e-9), "{row:?}");
    }
}

#[test]
fn the_grain_turns_modulus_and_strength() {
    let mut sheet = sheet(&[]);
    let c = sheet.material_constants.as_mut().expect("they are stated");
    (c.has_grain, c.e_across_mpa, c.tab_along_mpa, c.tab_across_mpa) = (true, 500.0, 100.0, 5.0);
    let stock = StockNumbers::new(&sheet).expect("all is stated");
    // The grain lies at 30 degrees. At 45 to it: 1/E = 1/4 (1/10000 + 1/500 + 1/700 - 0.7/10000);
    // Hankinson 100 x 5/(105 x sin^1.5 45).
    for degrees in [75.0f64, -15.0, 165.0, -105.0] {
        let d = point(degrees.to_radians().cos(), degrees.to_radians().sin());
        close(stock.modulus(stock.to_grain(d)), 1156.55);
        close(stock.strength(stock.to_grain(d)), 8.00854);
    }
    close(stock.modulus(PI / 2.0), 500.0);
    close(stock.strength(0.0), 100.0);
}

#[test]
fn stress_in_a_tab_by_hand() {
    let mut sheet = sheet(&[]);
    let tab = tab([9.0, 4.5], [1.0, 0.0], 4.0, 6.0);
    let ratio = |sheet: &Sheet, inside: [[f64; 2]; 3], out: [f64; 3]| {
        let stock = StockNumbers::new(sheet).expect("all is stated");
        stock.tab_ratio(&tab, inside.map(Point::from), out)
    };
    let pulled = [[2.4, 0.0], [4.8, 0.0], [8.38, 0.0]];
    // Shear: 1.5 x 4.8/24 = 0.3 of 8; 1.5 x 3/24 + 12 x 4.2/96 = 0.7125 of 8.
    close(ratio(&sheet, pulled, [3.0, 5.0, 12.0]), 8.0 / 0.3f64.hypot(0.7125));
    let c = sheet.material_constants.as_mut().expect("they are stated");
    (c.tab_along_mpa, c.tab_across_mpa) = (6.0, 6.0);
    // Bending: 2.4/24 + 6 (8.38 + 4.8 x 1.5875)/96 = 1.1, and 6 (5 + 3 x 1.5875)/144 = 0.40677.
    close(ratio(&sheet, pulled, [3.0, 5.0, 12.0]), 6.0 / 1.50677);
    close(ratio(&sheet, pulled, [-3.0, -5.0, -12.0]), 6.0 / 1.50677);
    // Pulled by a load along x, bent by one along y: the root of squares.
    close(ratio(&sheet, [[2.4, 0.0], [0.0, 0.0], [0.0, 16.0]], [0.0; 3]), 6.0 / 1.01f64.sqrt());
    let c = sheet.material_constants.as_mut().expect("they are stated");
    c.tab_pull_mpa = Some(0.5);
    // Torn through the thickness: 0.5 x 4 x 3.175 against 3 N.
    close(ratio(&sheet, pulled, [3.0, 5.0, 12.0]), 6.35 / 3.0);
}

/// Where shear decides, and where bending does: the other strength is ten times as high.
fn one_decides(sheet: &Sheet, worst: impl Fn(&StockNumbers) -> WorstMotion) -> [f64; 3] {
    let (mut shear, mut bending) = (sheet.clone(), sheet.clone());
    if let (Some(s), Some(b)) = (&mut shear.material_constants, &mut bending.material_constants) {
        (s.tab_along_mpa, s.tab_across_mpa) = (600.0, 600.0);
        b.tab_shear_mpa = 80.0;
        (b.tab_shear_out_along_mpa, b.tab_shear_out_across_mpa) = (80.0, 80.0);
    }
    let of = |sheet: &Sheet| worst(&StockNumbers::new(sheet).expect("all is stated"));
    [of(&shear).movement, of(&shear).ratio, of(&bending).ratio]
}

/// Movement under 10 N, ratio where shear decides, ratio where bending does.
fn figures(tabs: &[Tab], helix: f64, staged: bool) -> [f64; 3] {
    let mut sheet = sheet(&[]);
    sheet.cut.helix_deg = helix;
    let tabs: Vec<&Tab> = tabs.iter().collect();
    let edge = MeasuredOutline::new(&sheet.parts[0].outline);
    one_decides(&sheet, |stock| stock.on_tabs(&edge, &tabs, 0.5, 10.0, staged))
}

#[test]
fn a_square_on_two_tabs_by_hand() {
    // All cut, by hand: 12 places of the bit, the worst (4.5, 3) from the middle. K_x = 2 x 24119, K_y = 2 x 2052.1,
    // K_turn = 2 (52573 + 2052.1 x 6.0875^2) = 257238; the greater root of
    // [[1/K_x + 9/K_turn, -13.5/K_turn], [.., 1/K_y + 20.25/K_turn]] is 3.3233e-4 mm/N.
    let cases = [
        (opposite(), 0.0, false, [0.003_323_28, 17.4588, 40.4515]),
        // Lifted, the far side pressed to the bed.
        (opposite(), 30.0, false, [0.003_323_28, 9.315_76, 28.6738]),
        (aslant(), 0.0, false, [0.004_190_09, 16.8522, 14.2984]),
        (aslant(), 30.0, false, [0.004_190_09, 5.823_69, 8.510_66]),
        // Staged: the worse of the two ways round.
        (aslant(), 0.0, true, [0.003_170_40, 19.9535, 17.0733]),
        (aslant(), 30.0, true, [0.003_170_40, 6.495_97, 9.479_91]),
    ];
    for (tabs, helix, staged, by_hand) in cases {
        for (found, by_hand) in figures(&tabs, helix, staged).into_iter().zip(by_hand) {
            close(found, by_hand);
        }
    }
}

#[test]
fn a_square_on_a_skin_by_hand() {
    for (helix, by_hand) in
        [(0.0, [0.002_765_07, 17.1451, 30.7332]), (30.0, [0.002_765_07, 3.960_49, 2.787_31])]
    {
        let mut sheet = sheet(&[]);
        sheet.cut.helix_deg = helix;
        let edge = MeasuredOutline::new(&sheet.parts[0].outline);
        let found = one_decides(&sheet, |stock| stock.on_skin(&edge, 0.5, 10.0));
        for (found, by_hand) in found.into_iter().zip(by_hand) {
            close(found, by_hand);
        }
    }
}

#[test]
fn an_outline_by_its_length() {
    let ring = Ring::rectangle(30.0, 10.0);
    let edge = MeasuredOutline::new(&ring);
    assert_eq!((edge.length(), edge.middle), (80.0, point(15.0, 5.0)));
    assert_eq!(edge.nearest(point(31.0, 4.0)), 34.0);
    assert_eq!(edge.nearest(point(12.0, 10.5)), 58.0);
    // About a corner: 8 of 16 places on either side, 0.5 to 7.5 sixteenths of 4 mm away: 1 mm on average.
    let spread = edge.spread(30.0, 4.0);
    assert!(spread.distance(point(29.5, 0.5)) < 1e-12, "{spread:?}");
    assert!(edge.out(34.0, 1.0).distance(point(1.0, 0.0)) < 1e-12);
    let far = tab([0.0, 0.0], [-1.0, 0.0], 4.0, 6.0);
    // The farthest corner from (0, 0) is (30, 10).
    assert_eq!(edge.overhang(&[&far]), 1000f64.sqrt());
}

/// A piece beyond the square's upper edge, cut from the left tab on: the bit's last place beside it, either way round, is 2.25 mm
/// from the tab's middle. Statics as in `hold`'s tests of waste: out of the edge by c and along it by s a unit force pulls with c
/// and bends, at the square's end, by 2.25 c + 3.175 s.
#[test]
fn a_kept_piece_on_one_tab_by_statics() {
    let sheet = sheet(&[]);
    let stock = StockNumbers::new(&sheet).expect("all is stated");
    let tie = tab([4.5, 0.0], [0.0, -1.0], 2.0, 2.0);
    let piece = KeptPiece {
        edge: MeasuredOutline::new(&sheet.parts[0].outline),
        start: point(0.0, 4.5),
        tabs: vec![(7, &tie)],
        borders: &|(at, _)| at.y < 1e-9 && (1.0..8.0).contains(&at.x),
    };
    let loads = piece.under(&stock, 0.5, 9.0);
    let bent = 6.0 / (2.0 * 2.0 * 2.0);
    let stress = (1.0 / 4.0 + bent * 2.25f64).hypot(bent * 3.175);
    close(loads.ratio, 60.0 / stress / 9.0);
    assert_eq!(loads.reach.len(), 1);
    // Where it does not border on the square's kerf the cut does not load it.
    let aside = KeptPiece { borders: &|_| false, ..piece };
    assert!(aside.under(&stock, 0.5, 9.0).ratio.is_infinite());
}

/// The same with another part's tab 14 mm across from it: with k_s along each tab's edge and k_b against turning, both mid spans
/// 7 mm from the middle between them, a unit force at (d, r) from there turns the piece by M/2(k_b + 49 k_s). The other tab gets
/// half the pull, and of the push along the edge half less r 7 k_s/2(k_b + 49 k_s).
#[test]
fn what_reaches_a_helping_part_by_hand() {
    let sheet = sheet(&[]);
    let stock = StockNumbers::new(&sheet).expect("all is stated");
    let own = tab([4.5, 0.0], [0.0, -1.0], 2.0, 2.0);
    let other = tab([4.5, -3.175 - 14.0], [0.0, 1.0], 2.0, 2.0);
    let piece = KeptPiece {
        edge: MeasuredOutline::new(&sheet.parts[0].outline),
        start: point(0.0, 4.5),
        tabs: vec![(3, &other), (7, &own)],
        borders: &|(at, _)| at.y < 1e-9 && (6.0..8.0).contains(&at.x),
    };
    let [flat, _] = stock.tab(&own, point(0.0, 0.0));
    let (shear, turn) = (flat[1].0, 2.0 * (flat[2].0 + 49.0 * flat[1].0));
    let (d, r) = (2.25, 7.0 - 3.175 / 2.0);
    let along = (0.5 - r * 7.0 * shear / turn).hypot(7.0 * d * shear / turn);
    let loads = piece.under(&stock, 0.5, 9.0);
    close(loads.reach[&3], 9.0 * 0.5f64.hypot(along));
}
