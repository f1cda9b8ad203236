//! The bits that pockets and drilled holes need beside the one that cuts the outlines.

use super::bit::Bit;
use super::part::Part;
use crate::drawing::{Reach, feature_reach};
use crate::layout::FeatureKind;

/// A part's pockets, or its holes to drill, that the group's bit is too wide for.
#[derive(Debug, Clone, PartialEq)]
pub struct FeatureBit {
    /// The part's name.
    pub part: String,
    /// Pockets, or holes to drill.
    pub kind: FeatureKind,
    /// What lets the narrowest bit in.
    pub reach: Reach,
    /// The widest bit on hand that enters all of them, or the finest there is.
    pub bit: Bit,
    /// Whether that bit enters.
    pub enters: bool,
}

/// What the parts' features need beside `bit`; `fitting` are the bits on hand for the material, the widest first.
pub(super) fn feature_bits(parts: &[&Part], bit: &Bit, fitting: &[&Bit]) -> Vec<FeatureBit> {
    let kinds = [FeatureKind::Pocket, FeatureKind::Drill];
    let each = parts.iter().flat_map(|p| kinds.into_iter().map(move |k| (*p, k)));
    each.filter_map(|(part, kind)| feature_bit(part, kind, bit, fitting)).collect()
}

fn feature_bit(part: &Part, kind: FeatureKind, bit: &Bit, fitting: &[&Bit]) -> Option<FeatureBit> {
    let of_kind = part.features.iter().filter(|f| f.kind == kind);
    let limits = of_kind
        .flat_map(|f| &f.rings)
        .filter_map(|ring| feature_reach(&part.shape, ring, bit.diameter, bit.allowance));
    let reach = limits.min_by(|a, b| a.diameter.total_cmp(&b.diameter))?;
    let entering = fitting.iter().find(|b| reach.passes(b.diameter, b.allowance));
    let chosen = entering.or(fitting.last())?;
    Some(FeatureBit {
        part: part.name.clone(),
        kind,
        reach,
        bit: (*chosen).clone(),
        enters: entering.is_some(),
    })
}
