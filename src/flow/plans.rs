//! Plans made again for one part, each kept with the questions it asked about the stock round it and the answers.
//!
//! Where a part's tabs may land decides its plan, and in rows many copies have the same answers: such a copy gets the
//! earlier copy's plan, identical to the last digit.

use crate::layout::Tab;
use crate::memo::locked;
use std::sync::{Arc, Mutex};

/// Most plans kept of one part: in rows there are a handful; elsewhere hardly two copies have the same answers.
const MOST: usize = 24;

/// A plan with the tabs asked about (in the part's frame) and whether each lands on stock that stays.
struct PlanOnStock<P> {
    answers: Vec<(Tab, bool)>,
    plan: P,
}

/// The plans of one part so far.
pub(super) struct Plans<P>(Mutex<Vec<Arc<PlanOnStock<P>>>>);

impl<P> Default for Plans<P> {
    fn default() -> Self {
        Plans(Mutex::default())
    }
}

impl<P: Clone> Plans<P> {
    /// The plan that `make` makes when tabs may land where `landing_ok` allows.
    pub(super) fn plan(
        &self,
        landing_ok: &(dyn Fn(&Tab) -> bool + Sync),
        make: impl FnOnce(&(dyn Fn(&Tab) -> bool + Sync)) -> P,
    ) -> P {
        let same = |a: &&Arc<PlanOnStock<P>>| {
            a.answers.iter().all(|(tab, lands)| landing_ok(tab) == *lands)
        };
        let list = locked(&self.0).clone();
        if let Some(asked) = list.iter().find(same) {
            return asked.plan.clone();
        }
        let answers = Mutex::new(vec![]);
        let plan = make(&|tab| {
            let lands = landing_ok(tab);
            locked(&answers).push((tab.clone(), lands));
            lands
        });
        let answers = std::mem::take(&mut *locked(&answers));
        if list.len() < MOST {
            locked(&self.0).push(Arc::new(PlanOnStock { answers, plan: plan.clone() }));
        }
        plan
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;
    use std::cell::Cell;

    /// A plan that is just the number of three tabs that land, made only for new answers.
    #[test]
    fn a_plan_is_made_once_for_the_same_answers() {
        let out = point(0.0, -1.0);
        let tab =
            |x: f64| Tab { at: point(x, 0.0), out, width: 2.0, height: 1.0, ring: 0, waste: false };
        let (plans, made) = (Plans::default(), Cell::new(0));
        let plan = |upto: f64| {
            let landing_ok = move |t: &Tab| t.at.x < upto;
            let landed = plans.plan(&landing_ok, |ok| {
                made.set(made.get() + 1);
                [0.0, 10.0, 20.0].iter().filter(|x| ok(&tab(**x))).count()
            });
            (landed, made.get())
        };
        assert_eq!(plan(15.0), (2, 1));
        assert_eq!(plan(18.0), (2, 1), "the same answers");
        assert_eq!(plan(5.0), (1, 2));
        assert_eq!(plan(15.0), (2, 2));
        assert_eq!(plan(99.0), (3, 3));
    }
}
