//! A part's elastic bodies, kept between plans of the part.

use crate::hold::fem::compliance::ElasticPart;
use crate::memo::Memo;
use std::sync::Arc;

/// The elastic bodies of one part (one shape with its features, one material and thickness, one bit): plans that differ only in
/// where tabs may be, and in the job's wishes, bend alike. Making the body is half of a plan's work.
#[derive(Default)]
pub struct BodyCache(Memo<Key, Option<Arc<ElasticPart>>>);

/// All directions the grain may take (the sections watched depend on them); the body's own direction; triangles.
type Key = (Vec<Option<u64>>, Option<u64>, u64);

impl BodyCache {
    /// The body with its grain at `grain`, one of `grains`, in about `triangles` triangles; made where it is not cached.
    pub fn body(
        &self,
        grains: &[Option<f64>],
        grain: Option<f64>,
        triangles: f64,
        make: impl FnOnce() -> Option<ElasticPart>,
    ) -> Option<Arc<ElasticPart>> {
        let bits = |g: &Option<f64>| g.map(f64::to_bits);
        let key = (grains.iter().map(bits).collect(), bits(&grain), triangles.to_bits());
        self.0.of(key, || make().map(Arc::new))
    }
}
