//! Names of drawn elements: titles, labels and ids, their own and those of the groups around them.

use roxmltree::Node;

/// Words that drawing programs number elements with; `path1234` is not a name.
const GENERATED: [&str; 31] = [
    "",
    "path",
    "rect",
    "rectangle",
    "circle",
    "ellipse",
    "polygon",
    "polyline",
    "line",
    "g",
    "group",
    "use",
    "svg",
    "layer",
    "shape",
    "object",
    "curve",
    "compound path",
    "clip",
    "xmlid",
    "id",
    "svgid",
    "slice",
    "vector",
    "union",
    "subtract",
    "arc",
    "spline",
    "tspan",
    "root",
    "page",
];

/// The generated words that programs also write as labels; all other labels are typed by hand.
const LABELS: [&str; 5] = ["", "layer", "group", "page", "root"];

/// Words that say what a line is for, not what the part is called.
const ROLES: [&str; 14] = [
    "outline", "outlines", "contour", "contours", "outside", "inside", "cut", "cuts", "edge",
    "edges", "part", "parts", "profile", "border",
];

/// One element on the way from the root to a shape.
#[derive(Debug, Clone)]
pub(super) struct Level {
    /// The element's number in the document.
    node: u32,
    /// A name someone gave it.
    name: Option<String>,
    /// An id that a program generated.
    poor: Option<String>,
    /// The names that marks are compared with, folded (see [`fold`]).
    keys: Vec<String>,
}

/// A name for a part, and the element that carries it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Name {
    pub(super) node: u32,
    pub(super) text: String,
}

impl Level {
    pub(super) fn of(node: Node) -> Self {
        let title = node
            .children()
            .find(|c| c.tag_name().name() == "title")
            .and_then(|t| t.text())
            .map(tidy)
            .filter(|t| !t.is_empty());
        // Labels in any namespace; ids escape what XML forbids, `data-name` has it as typed, but names what has none too.
        let labelled = |names: &[&str]| {
            let of = node.attributes().filter(|a| names.contains(&a.name()));
            of.map(|a| tidy(a.value())).find(|t| !t.is_empty())
        };
        let typed = labelled(&["label", "aria-label"]);
        let label = typed.clone().or_else(|| labelled(&["data-name"]));
        let id = node.attribute("id").map(tidy).filter(|t| !t.is_empty());
        let keys = [&title, &label, &id]
            .into_iter()
            .flatten()
            .map(String::as_str)
            .chain(node.attribute("class").unwrap_or("").split_whitespace())
            .map(fold)
            .collect();
        let speaks = |t: &&String| {
            let by_hand = typed.as_ref() == Some(*t) && !LABELS.contains(&word_of(t).as_str());
            !is_role(t) && (by_hand || !is_generated(t))
        };
        let name = [&title, &label, &id].into_iter().flatten().find(speaks).cloned();
        Level { node: node.id().get(), name, poor: id, keys }
    }

    /// Whether the element is called `folded` (see [`fold`]).
    pub(super) fn is_called(&self, folded: &str) -> bool {
        self.keys.iter().any(|k| k == folded)
    }

    pub(super) fn name(&self) -> Option<Name> {
        self.name.clone().map(|text| Name { node: self.node, text })
    }

    pub(super) fn poor_name(&self) -> Option<&str> {
        self.poor.as_deref()
    }
}

/// Text on one line.
fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Lower case without spaces, `-` and `_`, to compare names by.
pub(super) fn fold(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && *c != '-' && *c != '_')
        .flat_map(char::to_lowercase)
        .collect()
}

/// Whether a name is a tag or a word like it with a number: `path1234`, `Layer 1`, `rect-7-2`.
fn is_generated(name: &str) -> bool {
    GENERATED.contains(&word_of(name).as_str()) || is_hash(name)
}

/// A name without the number at its end, in lower case.
fn word_of(name: &str) -> String {
    let word = name.trim_end_matches(|c: char| c.is_ascii_digit() || " -_.".contains(c));
    word.to_lowercase().replace(['-', '_'], " ").trim().into()
}

/// Whether a name has a long run of hexadecimal digits, as unique ids do.
fn is_hash(name: &str) -> bool {
    let digits = name.chars().filter(char::is_ascii_digit).count();
    name.len() >= 16 && digits >= 4 && name.chars().all(|c| c.is_ascii_hexdigit() || c == '-')
}

fn is_role(name: &str) -> bool {
    let word = name.trim_end_matches(|c: char| c.is_ascii_digit() || " -_.".contains(c));
    ROLES.contains(&word.to_lowercase().as_str())
}

/// Makes names unique in order: `fish`, `fish-2`, `fish-3`.
pub(super) fn unique(names: &[String]) -> Vec<String> {
    let mut taken = std::collections::BTreeSet::new();
    let mut next = std::collections::BTreeMap::<&str, usize>::new();
    names
        .iter()
        .map(|name| {
            let mut candidate = name.clone();
            let count = next.entry(name).or_insert(1);
            while !taken.insert(candidate.clone()) {
                *count += 1;
                candidate = format!("{name}-{count}");
            }
            candidate
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn generated_names_are_told_from_given_ones() {
        for poor in ["path1234", "rect7", "Layer 1", "g10-3", "path_12", "12", "use4", "XMLID_7_"] {
            assert!(is_generated(poor), "{poor}");
        }
        for good in ["fish", "hand-2", "gear 60", "foot_left", "cafe", "part 7b"] {
            assert!(!is_generated(good), "{good}");
        }
        assert!(is_role("outline-2") && !is_role("outliner"));
    }

    /// A label that someone typed is a name, though a program would number its elements so; that of a layer is none.
    #[test]
    fn a_typed_label_is_a_name() {
        let name = |attributes: &str| {
            let text = format!("<g xmlns:i='urn:i' {attributes}/>");
            let document = roxmltree::Document::parse(&text).expect("XML");
            Level::of(document.root_element()).name().map(|n| n.text)
        };
        assert_eq!(name("id='rect-7' i:label='rect-7'").as_deref(), Some("rect-7"));
        assert_eq!(name("id='g12' i:label='Circle 9'").as_deref(), Some("Circle 9"));
        assert_eq!(name("id='star-01'").as_deref(), Some("star-01"));
        for poor in [
            "id='g12' i:label='Layer 2'",
            "id='rect-7'",
            "data-name='Path 12'",
            "i:label='outline'",
        ] {
            assert_eq!(name(poor), None, "{poor}");
        }
    }

    #[test]
    fn unique_names_do_not_take_a_name_that_is_drawn() {
        let names = ["fish", "fish-2", "fish", "boat", "fish"].map(String::from);
        assert_eq!(unique(&names), ["fish", "fish-2", "fish-3", "boat", "fish-4"]);
    }
}
