//! The depths of pockets and drill holes.

use super::checker::Checker;
use super::file::{JobFile, PartTable};
use super::issue::IssueKind;
use crate::layout::{Feature, FeatureKind};

impl Checker {
    /// A part's features with the depths that the marks, or the part's own table, give them.
    pub(super) fn deep(
        &mut self,
        place: &str,
        features: &[Feature],
        thickness: f64,
        file: &JobFile,
        part: Option<&PartTable>,
    ) -> Vec<Feature> {
        let own = part.and_then(|p| p.pocket_depth.as_ref());
        let mut depth_of = |kind: FeatureKind| {
            let mark = file.marks.get(kind.name()).and_then(|m| m.depth.as_ref());
            let depth = match kind {
                FeatureKind::Pocket => own.or(mark),
                FeatureKind::Drill => mark,
                _ => None,
            }?;
            let depth = self.length(place, "depth", depth);
            if kind == FeatureKind::Pocket && depth >= thickness {
                self.fault(place, IssueKind::PocketThrough);
            }
            Some(depth.min(thickness))
        };
        let deep = |f: &Feature| Feature { depth: depth_of(f.kind), ..f.clone() };
        features.iter().map(deep).collect()
    }

    /// Reports depths given to marks that cannot have one.
    pub(super) fn depths_used(&mut self, file: &JobFile) {
        for (kind, mark) in &file.marks {
            if mark.depth.is_some() && kind != "pocket" && kind != "drill" {
                self.fault(&format!("marks: {kind}"), IssueKind::DepthOfMark);
            }
        }
    }
}
