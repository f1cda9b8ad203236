//! The signs by which a drawing's lines can be told apart: stroke colours, dashes, groups, with a count of each.

use super::options::MarkedBy;
use super::walk::SourceElement;
use crate::layout::FeatureKind;

/// A sign that elements of a drawing share.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenMark {
    /// The sign.
    pub by: MarkedBy,
    /// Elements that have it.
    pub elements: usize,
    /// Those of them that are lines with open ends.
    pub open: usize,
    /// What the options' rules made of the first of them; `None` for a cut edge.
    pub kind: Option<FeatureKind>,
}

/// The signs in the order of the drawing; `open` are the sources of open lines.
pub(super) fn seen_marks(sources: &[SourceElement], open: &[usize]) -> Vec<SeenMark> {
    let mut seen: Vec<SeenMark> = vec![];
    for (i, source) in sources.iter().enumerate() {
        let stroke = source.colour.map(MarkedBy::Stroke);
        let dash = source.dashed.then_some(MarkedBy::Dash);
        let groups = source.groups.iter().map(|g| MarkedBy::Group(g.clone()));
        for by in stroke.into_iter().chain(dash).chain(groups) {
            let open = usize::from(open.contains(&i));
            match seen.iter_mut().find(|s| s.by == by) {
                Some(sign) => {
                    sign.elements += 1;
                    sign.open += open;
                }
                None => seen.push(SeenMark { by, elements: 1, open, kind: source.kind }),
            }
        }
    }
    seen
}
