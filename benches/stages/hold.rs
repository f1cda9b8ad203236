//! Holding: building a part's compliance, judging tab sets, whole plans. Results are asserted.

use super::hold_parts::typical;
use criterion::Criterion;
use std::hint::black_box;
use tabwright::geometry::Contour;
use tabwright::hold::{Detail, Planner, SeatedTab, chords, plan};
use tabwright::job::Holding;
use tabwright::layout::{Method, Tab};

pub fn judging(c: &mut Criterion) {
    let holding = Holding::default();
    let cases = typical();
    let mut group = c.benchmark_group("hold");
    for name in ["bar 60 x 3", "gear 24", "ring 200"] {
        let case = cases.iter().find(|c| c.name == name).unwrap();
        let task = case.task(&holding);
        let contours: Vec<Contour> = case.shape.rings().map(|r| Contour::new(r).unwrap()).collect();
        let sections = chords(&case.shape, &contours);
        group.bench_function(format!("compliance of {name}"), |b| {
            b.iter(|| {
                let planner = Planner::new(&task, contours[0].clone(), 0, &sections);
                assert!(planner.is_elastic());
                planner
            })
        });
        group.bench_function(format!("sections of {name}"), |b| {
            b.iter(|| chords(&case.shape, &contours))
        });
        let mut planner = Planner::new(&task, contours[0].clone(), 0, &sections);
        if planner.sites().is_empty() {
            planner = planner.cramped();
        }
        let n = planner.sites().len();
        let tab = |i: usize| {
            let (site, contour) = (&planner.sites()[i], &planner.contour);
            let (at, out) = (site.at, contour.out(site.s, 1.0));
            SeatedTab::on(
                contour,
                &Tab { at, out, width: site.width, height: 1.0, ring: 0, waste: false },
            )
        };
        let tabs = [0, n / 3, 2 * n / 3].map(tab);
        for detail in [Detail::Rigid, Detail::Elastic] {
            group.bench_function(format!("{detail:?} set of 3 tabs on {name}"), |b| {
                b.iter(|| {
                    let m = planner.margins(black_box(&tabs), 0.4, detail, &|_| true).unwrap();
                    assert!(m.tabs > 0.0 && m.motion > 0.0);
                    m
                })
            });
        }
        group.bench_function(format!("Full set of 3 tabs on {name}"), |b| {
            b.iter(|| {
                let f = planner.figures(black_box(&tabs), 0.4, 0.0).unwrap();
                assert!(f.safety > 0.0 && f.movement > 0.0);
                f
            })
        });
    }
    group.finish();
}

pub fn plans(c: &mut Criterion) {
    let holding = Holding::default();
    let mut group = c.benchmark_group("plan");
    group.sample_size(10);
    for case in typical() {
        let task = case.task(&holding);
        group.bench_function(case.name, |b| {
            b.iter(|| {
                let p = plan(&task);
                assert!(p.hold.method != Method::None);
                p
            })
        });
    }
    group.finish();
}
