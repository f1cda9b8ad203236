//! A short tour of all stops: small before large, from the middle outward.

use crate::geometry::{Point, Vector};

/// Stops of one class differ in area by less than this factor; classes are visited smallest first.
const CLASS: f64 = 8.0;
/// Travel, mm, that each mm nearer to the middle of the sheet counts as: the stock near the clamps stays stiff longest.
const INWARD: f64 = 0.5;

/// A stop of the tour.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stop {
    /// Where the bit enters and leaves.
    pub at: Point,
    /// Area freed, mm².
    pub area: f64,
    /// Distance to the sheet's edge, mm.
    pub edge: f64,
}

/// The order in which to visit the stops, from `from`.
///
/// One size class after another; within a class the nearest neighbour next, then 2-opt (Croes, Operations Research 6, 1958) until
/// nothing shortens it, at most 60 rounds. Cost: quadratic in a class.
pub(super) fn tour(stops: &[Stop], from: Point) -> Vec<usize> {
    let class = |s: &Stop| (s.area.max(1.0).ln() / CLASS.ln()).floor() as i64;
    let mut classes: Vec<(i64, usize)> =
        stops.iter().enumerate().map(|(i, s)| (class(s), i)).collect();
    classes.sort_unstable();
    let mut order: Vec<usize> = Vec::with_capacity(stops.len());
    let mut at = from;
    for group in classes.chunk_by(|a, b| a.0 == b.0) {
        let mut group: Vec<usize> = group.iter().map(|(_, i)| *i).collect();
        nearest_next(stops, &mut group, at);
        two_opt(stops, &mut group, at);
        at = stops[group[group.len() - 1]].at;
        order.extend(group);
    }
    order
}

/// Cost of going from one stop to the next.
fn step(a: &Stop, b: &Stop) -> f64 {
    a.at.distance(b.at) + INWARD * (b.edge - a.edge).max(0.0)
}

fn nearest_next(stops: &[Stop], group: &mut [usize], from: Point) {
    for k in 0..group.len() {
        let cost = |i: usize| match k {
            0 => from.distance(stops[i].at) - stops[i].edge,
            _ => step(&stops[group[k - 1]], &stops[i]),
        };
        let rest = (k..group.len()).map(|j| (j, cost(group[j])));
        let next =
            rest.fold((k, f64::INFINITY), |best, new| if new.1 < best.1 { new } else { best });
        group.swap(k, next.0);
    }
}

/// Reverses runs of stops while that shortens the tour; the first stop stays.
fn two_opt(stops: &[Stop], group: &mut [usize], _from: Point) {
    let n = group.len();
    for _ in 0..60 {
        let mut improved = false;
        for i in 1..n.saturating_sub(1) {
            for j in i + 1..n {
                let (before, first) = (&stops[group[i - 1]], &stops[group[i]]);
                let last = &stops[group[j]];
                // Inside the stretch the ways stay; moves inward and outward change places, which sums
                // to the difference of its ends.
                let inside = INWARD * (first.edge - last.edge);
                let mut gain = step(before, first) - step(before, last) - inside;
                if let Some(after) = group.get(j + 1).map(|&k| &stops[k]) {
                    gain += step(last, after) - step(first, after);
                }
                if gain > 1e-9 {
                    group[i..=j].reverse();
                    improved = true;
                }
            }
        }
        if !improved {
            break;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;
    use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};

    fn cost(stops: &[Stop], order: &[usize]) -> f64 {
        order.windows(2).map(|w| step(&stops[w[0]], &stops[w[1]])).sum()
    }

    fn random(n: usize, seed: u64) -> Vec<Stop> {
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(seed);
        (0..n)
            .map(|_| {
                let at = point(rng.random_range(0.0..300.0), rng.random_range(0.0..200.0));
                let edge = at.x.min(at.y).min(300.0 - at.x).min(200.0 - at.y);
                Stop { at, area: rng.random_range(100.0..500.0), edge }
            })
            .collect()
    }

    /// Compared with every order of seven stops after the first.
    #[test]
    fn short_tours_are_near_the_best_of_all_orders() {
        for seed in 0..20 {
            let stops: Vec<Stop> =
                random(7, seed).into_iter().map(|s| Stop { area: 100.0, ..s }).collect();
            let found = tour(&stops, point(0.0, 0.0));
            let mut best = f64::INFINITY;
            let mut rest: Vec<usize> = found[1..].to_vec();
            permute(&mut rest, 0, &mut |rest| {
                let whole: Vec<usize> =
                    std::iter::once(found[0]).chain(rest.iter().copied()).collect();
                best = best.min(cost(&stops, &whole));
            });
            assert!(cost(&stops, &found) <= 1.15 * best, "{} {best}", cost(&stops, &found));
        }
    }

    /// Reversing any run of a tour after its first stop shortens nothing (that is what 2-opt promises).
    #[test]
    fn no_stretch_of_a_tour_is_better_the_other_way_round() {
        for seed in 0..10 {
            let stops: Vec<Stop> =
                random(30, seed).into_iter().map(|s| Stop { area: 100.0, ..s }).collect();
            let found = tour(&stops, point(0.0, 0.0));
            for i in 1..found.len() {
                for j in i + 1..found.len() {
                    let mut other = found.clone();
                    other[i..=j].reverse();
                    assert!(
                        cost(&stops, &other) > cost(&stops, &found) - 1e-6,
                        "{seed}: {i} to {j}"
                    );
                }
            }
        }
    }

    /// By hand: 50 mm, and half a millimetre more for each mm inwards, nothing for the way out.
    #[test]
    fn inwards_costs_more_than_outwards() {
        let at = |x: f64, edge: f64| Stop { at: point(x, 40.0), area: 1.0, edge };
        let (out, inside) = (at(10.0, 10.0), at(60.0, 40.0));
        assert_eq!([step(&out, &inside), step(&inside, &out)], [65.0, 50.0]);
    }

    fn permute(items: &mut Vec<usize>, k: usize, visit: &mut impl FnMut(&[usize])) {
        if k == items.len() {
            return visit(items);
        }
        for i in k..items.len() {
            items.swap(k, i);
            permute(items, k + 1, visit);
            items.swap(k, i);
        }
    }

    #[test]
    fn small_ones_come_first_and_every_stop_once() {
        let mut stops = random(40, 3);
        for (i, s) in stops.iter_mut().enumerate() {
            s.area = if i % 2 == 0 { 20.0 } else { 5000.0 };
        }
        let order = tour(&stops, point(0.0, 0.0));
        assert!(order[..20].iter().all(|i| i % 2 == 0));
        let mut all = order.clone();
        all.sort_unstable();
        assert_eq!(all, (0..40).collect::<Vec<_>>());
    }
}
