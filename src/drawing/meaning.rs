//! What a drawn element is by the options' rules: a cut edge, a feature, or nothing that is read.

use super::names::{Level, fold};
use super::options::{MarkedBy, ReadOptions};
use super::style::Inherited;
use crate::layout::FeatureKind;

/// What an element is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meaning {
    /// A cut edge.
    Edge,
    /// A feature of the part around it.
    Feature(FeatureKind),
    /// Left out, as the options ask.
    Ignored,
}

/// The meaning by the first rule that fits. `levels` lead from the root to the element; `encloses` says whether it encloses
/// anything.
pub(super) fn meaning(
    levels: &[Level],
    (style, encloses): (&Inherited, bool),
    options: &ReadOptions,
) -> Meaning {
    let fits = |by: &MarkedBy| match by {
        MarkedBy::Group(name) => {
            let folded = fold(name);
            levels.iter().any(|l| l.is_called(&folded))
        }
        MarkedBy::Stroke(colour) => style.colour() == Some(*colour),
        MarkedBy::Dash => style.dashed(encloses),
    };
    if options.ignore.iter().any(fits) {
        return Meaning::Ignored;
    }
    let rule = options.marks.iter().find(|rule| fits(&rule.by));
    rule.map_or(Meaning::Edge, |rule| Meaning::Feature(rule.kind))
}
