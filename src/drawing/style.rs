//! The few style properties that decide what an element is: paints, visibility, clips.
//!
//! Cascade of CSS 2.1, section 6.4: presentation attributes, style sheet rules by specificity, `style`
//! attribute, `!important` (crate `simplecss`).

use roxmltree::Node;
use simplecss::{DeclarationTokenizer, PseudoClass, StyleSheet};
use std::str::FromStr;
use svgtypes::{Color, Paint};

/// The properties read here that SVG lets a style sheet set.
const PROPERTIES: [&str; 23] = [
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "fill-opacity",
    "stroke-opacity",
    "opacity",
    "display",
    "visibility",
    "clip-path",
    "mask",
    "transform",
    "color",
    "x",
    "y",
    "width",
    "height",
    "r",
    "rx",
    "ry",
    "cx",
    "cy",
    "d",
];

/// The declared values of one element, by name.
#[derive(Debug, Default)]
pub(super) struct Declared<'a> {
    values: Vec<(&'a str, &'a str)>,
}

impl<'a> Declared<'a> {
    /// What `node` declares, after the cascade.
    pub(super) fn of(node: Node<'a, 'a>, sheet: &'a StyleSheet<'a>) -> Self {
        let mut values: Vec<(&str, &str)> = Vec::new();
        for a in node.attributes() {
            if a.namespace().is_none() && a.name() != "style" {
                values.push((a.name(), a.value()));
            }
        }
        let mut important = Vec::new();
        let mut declare = |d: simplecss::Declaration<'a>| {
            if !PROPERTIES.contains(&d.name) {
            } else if d.important {
                important.push((d.name, d.value));
            } else {
                values.push((d.name, d.value));
            }
        };
        for rule in &sheet.rules {
            if rule.selector.matches(&Matched(node)) {
                rule.declarations.iter().for_each(|&d| declare(d));
            }
        }
        if let Some(text) = node.attribute("style") {
            DeclarationTokenizer::from(text).for_each(declare);
        }
        values.extend(important);
        Declared { values }
    }

    /// The winning value of a property or attribute.
    pub(super) fn get(&self, name: &str) -> Option<&'a str> {
        self.values.iter().rev().find(|(n, _)| *n == name).map(|(_, v)| v.trim())
    }
}

/// What children inherit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Inherited {
    fill: Ink,
    stroke: Ink,
    color: [u8; 3],
    stroke_has_width: bool,
    stroke_has_gaps: bool,
    fill_shows: bool,
    stroke_shows: bool,
    pub(super) hidden: bool,
}

/// A paint, in as much detail as is needed here.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Ink {
    None,
    Colour([u8; 3]),
    /// A gradient or pattern.
    Other,
}

impl Inherited {
    /// SVG's initial values: black fill, no stroke.
    pub(super) const INITIAL: Inherited = Inherited {
        fill: Ink::Colour([0, 0, 0]),
        stroke: Ink::None,
        color: [0, 0, 0],
        stroke_has_width: true,
        stroke_has_gaps: false,
        fill_shows: true,
        stroke_shows: true,
        hidden: false,
    };

    /// The values of an element that declares `own`.
    pub(super) fn with(mut self, own: &Declared) -> Self {
        if let Some(Ok(c)) = own.get("color").map(Color::from_str) {
            self.color = [c.red, c.green, c.blue];
        }
        if let Some(text) = own.get("fill") {
            self.fill = ink(text, self.fill, self.color);
        }
        if let Some(text) = own.get("stroke") {
            self.stroke = ink(text, self.stroke, self.color);
        }
        if let Some(w) = own.get("stroke-width").and_then(leading_number) {
            self.stroke_has_width = w > 0.0;
        }
        if let Some(dashes) = own.get("stroke-dasharray") {
            // SVG 2, section 13.5.6: all zeros, and a number that cannot be read, make a solid line.
            let apart = |c: char| c == ',' || c.is_whitespace();
            let mut lengths = dashes.split(apart).filter(|t| !t.is_empty()).map(leading_number);
            self.stroke_has_gaps = lengths.any(|l| l.is_some_and(|l| l > 0.0));
        }
        if let Some(o) = own.get("fill-opacity").and_then(leading_number) {
            self.fill_shows = o > 0.0;
        }
        if let Some(o) = own.get("stroke-opacity").and_then(leading_number) {
            self.stroke_shows = o > 0.0;
        }
        match own.get("visibility") {
            Some("hidden" | "collapse") => self.hidden = true,
            Some("visible") => self.hidden = false,
            _ => {}
        }
        self
    }

    /// Whether a stroke shows.
    pub(super) fn stroked(&self) -> bool {
        self.stroke != Ink::None && self.stroke_has_width && self.stroke_shows
    }

    /// Whether it shows by a dashed stroke only; `encloses` says whether there is anything to fill.
    pub(super) fn dashed(&self, encloses: bool) -> bool {
        self.stroked() && self.stroke_has_gaps && !(encloses && self.filled())
    }

    /// Whether a fill shows.
    pub(super) fn filled(&self) -> bool {
        self.fill != Ink::None && self.fill_shows
    }

    /// The stroke's colour, or the fill's where there is no stroke.
    pub(super) fn colour(&self) -> Option<[u8; 3]> {
        match if self.stroked() { self.stroke } else { self.fill } {
            Ink::Colour(c) => Some(c),
            _ => None,
        }
    }
}

fn ink(text: &str, inherited: Ink, color: [u8; 3]) -> Ink {
    match Paint::from_str(text) {
        Ok(Paint::None) => Ink::None,
        Ok(Paint::Color(c)) if c.alpha == 0 => Ink::None,
        Ok(Paint::Color(c)) => Ink::Colour([c.red, c.green, c.blue]),
        Ok(Paint::CurrentColor) => Ink::Colour(color),
        Ok(Paint::FuncIRI(..)) => Ink::Other,
        // An invalid paint is as if it were not written.
        _ => inherited,
    }
}

/// The number that a value starts with, such as `0.5` in `0.5mm`.
pub(super) fn leading_number(text: &str) -> Option<f64> {
    svgtypes::Length::from_str(text.trim()).ok().map(|l| l.number)
}

/// Lets `simplecss` look at a node.
struct Matched<'a>(Node<'a, 'a>);

impl simplecss::Element for Matched<'_> {
    fn parent_element(&self) -> Option<Self> {
        self.0.parent_element().map(Matched)
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.0.prev_sibling_element().map(Matched)
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.0.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: simplecss::AttributeOperator<'_>) -> bool {
        self.0.attribute(name).is_some_and(|value| operator.matches(value))
    }

    fn pseudo_class_matches(&self, class: PseudoClass<'_>) -> bool {
        matches!(class, PseudoClass::FirstChild) && self.0.prev_sibling_element().is_none()
    }
}
