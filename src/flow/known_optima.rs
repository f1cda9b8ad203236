//! What mixes cost where the optimum is known: strips on boards, and rectangles that fill a larger one.

use super::by_hand::task;
use super::mixes::{Alone, cost, mixes};
use super::stock_bound::Needs;
use crate::job::{Stock, Turns};
use crate::nest::{Budget, Control, Nest, NestTask, Nested};
use std::sync::atomic::AtomicBool;

/// Lengths of stock with their prices, and lengths to cut with their numbers: cutting stock in one dimension, as strips of 20
/// mm.
struct Strips {
    stock: &'static [(usize, f64)],
    lengths: &'static [(usize, usize)],
}

/// The least cost by dynamic programming over what is left to cut: exact, and knows nothing of nests or bounds.
fn optimum(strips: &Strips) -> f64 {
    let wanted: Vec<usize> = strips.lengths.iter().map(|l| l.1).collect();
    let mut patterns: Vec<(f64, Vec<usize>)> = vec![];
    for &(length, price) in strips.stock {
        let mut open = vec![(vec![0; wanted.len()], length, 0)];
        while let Some((pattern, left, from)) = open.pop() {
            for k in from..wanted.len() {
                if strips.lengths[k].0 <= left {
                    let mut more = pattern.clone();
                    more[k] += 1;
                    open.push((more, left - strips.lengths[k].0, k));
                }
            }
            patterns.push((price, pattern));
        }
    }
    let sizes: Vec<usize> = wanted.iter().map(|n| n + 1).collect();
    let states: usize = sizes.iter().product();
    let digits = |mut s: usize| -> Vec<usize> {
        sizes
            .iter()
            .map(|n| {
                let d = s % n;
                s /= n;
                d
            })
            .collect()
    };
    let number = |d: &[usize]| d.iter().zip(&sizes).rev().fold(0, |s, (d, n)| s * n + d);
    // Numbers of less are smaller than numbers of more: each state is known before it is used.
    let mut cost = vec![f64::INFINITY; states];
    cost[0] = 0.0;
    for state in 1..states {
        let left = digits(state);
        for (price, pattern) in &patterns {
            let rest: Vec<usize> =
                left.iter().zip(pattern).map(|(l, p)| l.saturating_sub(*p)).collect();
            let before = number(&rest);
            if before < state {
                cost[state] = cost[state].min(cost[before] + price);
            }
        }
    }
    cost[states - 1]
}

/// The task of strips, 10 mm for each unit of length.
fn as_task(strips: &Strips) -> NestTask {
    let parts: Vec<_> = strips.lengths.iter().map(|l| (l.0 as f64 * 10.0, 20.0, l.1)).collect();
    let sheets: Vec<_> = strips.stock.iter().map(|s| (s.0 as f64 * 10.0, 20.0, s.1)).collect();
    task(&parts, &sheets, 0.0)
}

/// The cheapest single stock, the cheapest of all with mixes, and the bound.
fn found(mut task: NestTask, moves: u64) -> (f64, f64, f64) {
    for (i, sheet) in task.sheets.iter_mut().enumerate() {
        sheet.name = format!("stock {i}");
    }
    let needs = Needs::new(&task);
    let budget = Budget { moves: Some(moves), time: None };
    let stop = AtomicBool::new(false);
    let control = Control { stop: &stop, progress: None };
    let nested = |sheets: Vec<Stock>| {
        let task = NestTask { sheets, ..task.clone() };
        let nest = Nest::new(&task);
        let nested = nest.improve(nest.first(), budget, &control);
        assert!(nested.unplaced.is_empty());
        (cost(&task, &nested), nested)
    };
    let alone: Vec<_> = task.sheets.iter().map(|s| nested(vec![s.clone()])).collect();
    let single = alone.iter().map(|a| a.0).fold(f64::INFINITY, f64::min);
    let least = needs.least_cost(single);
    let nested: Vec<&Nested> = alone.iter().map(|a| &a.1).collect();
    let alone = Alone { nested: &nested, known: single, least };
    let mixes = mixes(&task, &needs, &alone, budget, &control);
    for mix in &mixes.found {
        let mut copies: Vec<(usize, usize)> =
            mix.nested.sheets.iter().flat_map(|s| &s.placed).map(|p| (p.part, p.copy)).collect();
        copies.sort_unstable();
        let all = task.parts.iter().enumerate();
        let all: Vec<_> = all.flat_map(|(k, p)| (1..=p.copies).map(move |c| (k, c))).collect();
        assert_eq!(copies, all, "each copy once");
    }
    let mixed = mixes.found.into_iter().map(|mix| mix.cost).fold(single, f64::min);
    (single, mixed, needs.least_cost(mixed))
}

/// Boards of 17 ft for 25 lengths of 3 ft, 20 of 5 and 15 of 9: Winston, *Operations Research*, on column generation (from
/// memory). 310 ft are 18.2 boards, so 19 by the bound; and 19 is what the exact method gives.
#[test]
fn boards_of_one_length_are_cut_at_the_proven_optimum() {
    let strips = Strips { stock: &[(17, 1.0)], lengths: &[(3, 25), (5, 20), (9, 15)] };
    assert_eq!(optimum(&strips), 19.0);
    assert_eq!(found(as_task(&strips), 2000), (19.0, 19.0, 19.0));
}

/// Boards of 5, 6 and 9 ft at 6, 7 and 10 for 20 lengths of 2 ft, 10 of 3 and 20 of 4: a worked example of texts on column
/// generation with several stock lengths (from memory). The exact method gives 170, and so does the bound.
#[test]
fn lengths_from_several_boards_are_cut_at_the_optimum() {
    let strips =
        Strips { stock: &[(5, 6.0), (6, 7.0), (9, 10.0)], lengths: &[(2, 20), (3, 10), (4, 20)] };
    assert_eq!(optimum(&strips), 170.0);
    let (single, mixed, bound) = found(as_task(&strips), 2000);
    assert!(single > 170.0 && (mixed - 170.0).abs() < 1e-9, "{single}, {mixed}");
    // By area alone 167; no cutting of boards for less than 170 shares the lengths out.
    assert!((bound - 170.0).abs() < 1e-9, "{bound}");
}
/// Rolls of paper 5600 wide, to be cut into 219 of thirteen widths: the example of the article 'Cutting stock problem' of
/// Wikipedia (from memory), which gives 73 rolls as the optimum. All widths together are 72.7 rolls.
#[test]
fn rolls_of_paper_are_cut_near_the_published_optimum() {
    let strips = Strips {
        stock: &[(560, 1.0)],
        lengths: &[
            (138, 22),
            (152, 25),
            (156, 12),
            (171, 14),
            (182, 18),
            (188, 18),
            (193, 20),
            (200, 10),
            (205, 12),
            (210, 14),
            (214, 16),
            (215, 18),
            (220, 20),
        ],
    };
    let (_, mixed, bound) = found(as_task(&strips), 500);
    // Measured: 76. The bound is that of the areas.
    assert!(bound == 73.0 && (73.0..=76.0).contains(&mixed), "{mixed}");
}

/// The rectangles of Hopper & Turton, EJOR 128(1), 2001, 34-57 (`tests/data/nesting`, CC0), cut from a larger one, which they fill:
/// on sheets of its size and of half its height and a whole number more, priced by area, nothing costs less than that one.
fn of_hopper_and_turton(name: &str) -> (f64, f64, f64) {
    let all: serde_json::Value =
        serde_json::from_str(include_str!("../../tests/data/nesting/rectangles_c.json")).unwrap();
    let all = all["instances"].as_array().unwrap();
    let one = all.iter().find(|i| i["name"] == name).unwrap();
    let (width, height) =
        (one["strip_width"].as_f64().unwrap(), one["optimal_height"].as_f64().unwrap());
    let rects: Vec<[f64; 2]> = serde_json::from_value(one["rects_wh"].clone()).unwrap();
    let parts: Vec<_> = rects.iter().map(|r| (r[0] * 10.0, r[1] * 10.0, 1)).collect();
    let sheet = |h: f64| (width * 10.0, h * 10.0, width * h);
    let sheets = [sheet(height), sheet((height / 2.0).floor() + 1.0), sheet(height + 3.0)];
    let mut task = task(&parts, &sheets, 0.0);
    task.parts.iter_mut().for_each(|p| p.turns = Turns::steps_deg(&[0.0, 90.0]));
    let (_, mixed, bound) = found(task, 4000);
    (mixed, bound, width * height)
}

#[test]
fn rectangles_that_fill_a_sheet_cost_that_sheet() {
    for name in ["C1P1", "C2P1", "C3P1"] {
        let (mixed, bound, optimum) = of_hopper_and_turton(name);
        assert!((bound - optimum).abs() < 1e-6, "{name}: {bound} is proven, {optimum} is best");
        assert!(mixed <= 1.1 * optimum, "{name}: {mixed}, {optimum} is best");
    }
}
