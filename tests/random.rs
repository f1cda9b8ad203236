//! Random jobs through the whole program, judged by a second implementation made of general-purpose libraries.

mod random_support;

use random_support::random_job;

/// The same seed draws the same job: a fault found can be looked at again.
#[test]
fn a_seed_always_draws_the_same_job() {
    for seed in 0..20 {
        assert_eq!(random_job(seed).files, random_job(seed).files);
    }
}
