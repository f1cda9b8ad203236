//! The program's own sheets, read back as drawings: only parts, openings and features are read; the rest serves the cutting.

use super::names::Name;
use crate::layout::{DEEP_GROUPS, FeatureKind};
use roxmltree::Node;

/// The groups that the drawing of every sheet has.
const GROUPS: [&str; 6] = ["sheet", "parts", "openings", "features", "tabs", "labels"];

/// The groups that hold the parts as they were drawn.
const DRAWN: [&str; 3] = ["parts", "openings", "features"];

/// Whether a document is a sheet's drawing of this program: the root's groups have the names of its format.
pub(super) fn is_own_sheet(root: Node) -> bool {
    let has = |name: &&str| {
        let mut groups = root.children().filter(|n| n.tag_name().name() == "g");
        groups.any(|g| g.attribute("id") == Some(name))
    };
    GROUPS.iter().all(has)
}

/// Whether a child of such a document's root is read.
pub(super) fn is_read(child: Node) -> bool {
    let read = |id: &str| DRAWN.contains(&id) || is_deep(id);
    child.tag_name().name() == "g" && child.attribute("id").is_some_and(read)
}

/// Whether a group has features of one depth.
fn is_deep(id: &str) -> bool {
    DEEP_GROUPS.iter().any(|(_, prefix)| id.starts_with(prefix))
}

/// What a line of the sheet belongs to, by its id: `minute-hand.1.pocket.2` is a pocket of `minute-hand`.
pub(super) fn belongs(node: Node) -> (Option<FeatureKind>, Vec<Name>) {
    let id = node.attribute("id").unwrap_or("");
    let group = node.parent_element().and_then(|g| g.attribute("id"));
    // A part's own name may have dots: copy, noun and number stand at the end.
    let from_end = |n: usize| id.rsplitn(n, '.').collect::<Vec<_>>();
    let (kind, part) = if group.is_some_and(|g| g == "features" || is_deep(g)) {
        let pieces = from_end(4);
        let kind =
            pieces.get(1).and_then(|k| FeatureKind::ALL.into_iter().find(|f| f.name() == *k));
        (kind, pieces.get(3).copied())
    } else {
        (None, from_end(3).get(2).copied())
    };
    let name = part.map(|text| Name { node: node.id().get(), text: text.into() });
    (kind, name.into_iter().collect())
}
