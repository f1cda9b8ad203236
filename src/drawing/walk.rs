//! Walks the document: every shape that shows becomes pieces of line in mm; whatever is left out is reported.

use super::affine::Affine;
use super::clip::{Clip, Hidden};
use super::curve::{Pen, Subpath};
use super::drawing_fault::{DrawingError, DrawingFault, Flaw, Unseen};
use super::element::{SHAPES, draw};
use super::meaning::{Meaning, meaning};
use super::names::{Level, Name};
use super::options::ReadOptions;
use super::own_sheet::{belongs, is_own_sheet, is_read};
use super::style::{Declared, Inherited, leading_number};
use super::viewport::{Along, Page, UnitContext, fit};
use crate::geometry::{Bounds, Point, Vector, point};
use crate::layout::FeatureKind;
use roxmltree::{Document, Node};
use simplecss::StyleSheet;
use std::collections::HashMap;
use std::rc::Rc;
use std::str::FromStr;
use svgtypes::{Length, ViewBox};

/// Deepest nesting of groups and uses that is followed.
const DEEPEST: usize = 96;
/// Most elements visited, each use counted: a guard against uses that multiply.
const MOST_ELEMENTS: usize = 1_000_000;
/// Most points kept.
const MOST_POINTS: usize = 8_000_000;
/// Coordinates beyond this are a mistake, mm: a kilometre.
const FARTHEST: f64 = 1e6;

/// Tags whose content shows only when something else refers to it, or never.
const NOT_DRAWN: [&str; 14] = [
    "defs",
    "symbol",
    "clipPath",
    "mask",
    "pattern",
    "marker",
    "linearGradient",
    "radialGradient",
    "filter",
    "metadata",
    "style",
    "script",
    "title",
    "desc",
];

/// A drawn element that shows.
#[derive(Debug)]
pub(super) struct SourceElement {
    /// The element's name in faults.
    pub(super) element: String,
    /// Names that it may give a part: its own first, then those of the groups around it, nearest first.
    pub(super) names: Vec<Name>,
    /// An id that a program generated.
    pub(super) poor_name: Option<String>,
    /// What it is, when the options' rules mark it.
    pub(super) kind: Option<FeatureKind>,
    /// Whether it shows by its fill only, which SVG closes.
    pub(super) fill_only: bool,
    /// Whether its stroke is dashed.
    pub(super) dashed: bool,
    /// The colour by which marks know it.
    pub(super) colour: Option<[u8; 3]>,
    /// Names of the groups around it, nearest first.
    pub(super) groups: Vec<String>,
}

/// A line of a source.
#[derive(Debug, Clone)]
pub(super) struct SourceLine {
    pub(super) points: Vec<Point>,
    pub(super) closed: bool,
    pub(super) source: usize,
}

/// Everything that shows.
#[derive(Debug, Default)]
pub(super) struct Visible {
    pub(super) sources: Vec<SourceElement>,
    pub(super) pieces: Vec<SourceLine>,
    pub(super) faults: Vec<DrawingFault>,
}

/// Walks `doc`.
///
/// # Errors
/// [`DrawingError::TooLarge`] beyond these limits.
pub(super) fn walk<'a>(
    doc: &'a Document<'a>,
    sheet: &'a StyleSheet<'a>,
    page: &Page,
    options: &'a ReadOptions,
    name: &str,
) -> Result<Visible, DrawingError> {
    let mut ids = HashMap::new();
    for node in doc.descendants().filter(Node::is_element) {
        if let Some(id) = node.attribute("id") {
            ids.entry(id).or_insert(node);
        }
    }
    let mut walker = Walker {
        ids,
        sheet,
        options,
        // The parser's own look-up of a line reads the text from its start each time.
        line_starts: std::iter::once(0)
            .chain(doc.input_text().match_indices('\n').map(|(i, _)| i + 1))
            .collect(),
        levels: Vec::new(),
        out: Visible::default(),
        muted: None,
        first_text: None,
        own_sheet: is_own_sheet(doc.root_element()),
        visited: 0,
        points: 0,
    };
    let place = Place {
        map: page.to_mm,
        style: Inherited::INITIAL,
        units: page.units,
        clips: Vec::new(),
        depth: 0,
    };
    walker.group(doc.root_element(), &place).map_err(|(what, limit)| DrawingError::TooLarge {
        name: name.into(),
        what,
        limit,
    })?;
    Ok(walker.out)
}

/// What exceeds a limit, and the limit.
type Excess = (&'static str, usize);

/// What an element inherits from those around it.
#[derive(Clone)]
struct Place {
    map: Affine,
    style: Inherited,
    units: UnitContext,
    clips: Vec<Rc<Clip>>,
    depth: usize,
}

struct Walker<'a> {
    ids: HashMap<&'a str, Node<'a, 'a>>,
    sheet: &'a StyleSheet<'a>,
    options: &'a ReadOptions,
    line_starts: Vec<usize>,
    levels: Vec<Level>,
    out: Visible,
    /// Inside something hidden: the number of shapes and their bounds.
    muted: Option<(usize, Bounds)>,
    /// The fault that counts the texts, among the faults.
    first_text: Option<usize>,
    /// Whether the document is a sheet's drawing of this program.
    own_sheet: bool,
    visited: usize,
    points: usize,
}

impl<'a> Walker<'a> {
    fn group(&mut self, node: Node<'a, 'a>, place: &Place) -> Result<(), Excess> {
        let mut switched = false;
        let sheet = self.own_sheet && node == node.document().root_element();
        for child in node.children().filter(Node::is_element) {
            if sheet && !is_read(child) {
                continue;
            }
            if node.tag_name().name() == "switch" {
                // SVG 2, section 5.8.2: only the first that this reader can show.
                if switched || child.attribute("requiredExtensions").is_some() {
                    continue;
                }
                switched = true;
            }
            self.element(child, place)?;
        }
        Ok(())
    }

    fn element(&mut self, node: Node<'a, 'a>, outer: &Place) -> Result<(), Excess> {
        let tag = node.tag_name().name();
        let foreign =
            node.tag_name().namespace().is_some_and(|n| n != "http://www.w3.org/2000/svg");
        if foreign || NOT_DRAWN.contains(&tag) {
            return Ok(());
        }
        self.visited += 1;
        if self.visited > MOST_ELEMENTS {
            return Err(("elements", MOST_ELEMENTS));
        }
        let own = Declared::of(node, self.sheet);
        let mut place = outer.clone();
        place.depth += 1;
        place.style = outer.style.with(&own);
        if place.depth > DEEPEST {
            let at = outer.map.apply(point(0.0, 0.0));
            self.error(node, at, Flaw::Nested { levels: DEEPEST });
            return Ok(());
        }
        if let Some(text) = own.get("transform").filter(|t| *t != "none") {
            match Affine::parse(text) {
                Some(t) => place.map = outer.map.after(t),
                None => {
                    let at = outer.map.apply(point(0.0, 0.0));
                    self.error(node, at, Flaw::Transform { written: text.into() });
                }
            }
        }
        let hidden = match (own.get("display"), own.get("opacity").and_then(leading_number)) {
            (Some("none"), _) => Some(Unseen::Display),
            (_, Some(o)) if o <= 0.0 => Some(Unseen::Opacity),
            _ => None,
        };
        let mutes = hidden.is_some() && self.muted.is_none();
        if mutes {
            self.muted = Some((0, Bounds::EMPTY));
        }
        self.levels.push(Level::of(node));
        self.clip(node, &own, &mut place);
        let done = self.content(node, tag, &own, &place);
        self.levels.pop();
        if mutes
            && let Some((shapes, bounds)) = self.muted.take()
            && let Some(why) = hidden.filter(|_| shapes > 0)
        {
            self.warn(node, bounds.centre(), Flaw::NotShown { why, shapes });
        }
        done
    }

    fn content(
        &mut self,
        node: Node<'a, 'a>,
        tag: &str,
        own: &Declared<'a>,
        place: &Place,
    ) -> Result<(), Excess> {
        match tag {
            "g" | "a" | "switch" => self.group(node, place),
            "svg" => self.viewport(node, own, place),
            "use" => self.reuse(node, own, place),
            "text" => {
                if node.descendants().any(|d| d.text().is_some_and(|t| !t.trim().is_empty())) {
                    self.text(node, self.corner(own, place));
                }
                Ok(())
            }
            "image" | "foreignObject" | "video" => {
                let at = self.corner(own, place);
                self.warn(node, at, Flaw::NotOutline { tag: tag.into() });
                Ok(())
            }
            _ if SHAPES.contains(&tag) => self.shape(node, tag, own, place),
            _ => Ok(()),
        }
    }

    /// Draws what is in a nested `svg`, or in a `symbol` in use.
    fn viewport(
        &mut self,
        node: Node<'a, 'a>,
        own: &Declared<'a>,
        place: &Place,
    ) -> Result<(), Excess> {
        let length = |name, along| {
            let length = Length::from_str(own.get(name)?).ok()?;
            Some(place.units.resolve(length, along))
        };
        let at = point(length("x", Along::X).unwrap_or(0.0), length("y", Along::Y).unwrap_or(0.0));
        let size = point(
            length("width", Along::X).unwrap_or(place.units.viewport.x),
            length("height", Along::Y).unwrap_or(place.units.viewport.y),
        );
        self.framed(node, at, size, place)
    }

    fn framed(
        &mut self,
        node: Node<'a, 'a>,
        at: Point,
        size: Point,
        place: &Place,
    ) -> Result<(), Excess> {
        let mut inner = place.clone();
        inner.map = place.map.after(Affine::translate(at.x, at.y));
        inner.units.viewport = size;
        if let Some(v) = node.attribute("viewBox").and_then(|t| ViewBox::from_str(t).ok()) {
            let aspect = node.attribute("preserveAspectRatio").and_then(|t| t.parse().ok());
            inner.map = inner.map.after(fit(v, size, aspect.unwrap_or_default()));
            inner.units.viewport = point(v.w, v.h);
        }
        self.group(node, &inner)
    }

    /// Draws what a `use` refers to, in the place of the `use` (SVG 2, section 5.6).
    fn reuse(
        &mut self,
        node: Node<'a, 'a>,
        own: &Declared<'a>,
        place: &Place,
    ) -> Result<(), Excess> {
        let href = node.attributes().find(|a| a.name() == "href").map_or("", |a| a.value().trim());
        let corner = self.corner(own, place);
        let Some(&target) = href.strip_prefix('#').and_then(|id| self.ids.get(id)) else {
            self.error(node, corner, Flaw::NoTarget { href: href.into() });
            return Ok(());
        };
        if target == node || node.ancestors().any(|n| n == target) {
            self.error(node, corner, Flaw::Circular { href: href.into() });
            return Ok(());
        }
        let length = |name, along| {
            let length = Length::from_str(own.get(name)?).ok()?;
            Some(place.units.resolve(length, along))
        };
        let at = point(length("x", Along::X).unwrap_or(0.0), length("y", Along::Y).unwrap_or(0.0));
        let mut inner = place.clone();
        inner.map = place.map.after(Affine::translate(at.x, at.y));
        if target.tag_name().name() != "symbol" {
            return self.element(target, &inner);
        }
        let declared = Declared::of(target, self.sheet);
        inner.style = inner.style.with(&declared);
        inner.depth += 1;
        let size = point(
            length("width", Along::X).unwrap_or(place.units.viewport.x),
            length("height", Along::Y).unwrap_or(place.units.viewport.y),
        );
        if inner.depth > DEEPEST {
            self.error(node, corner, Flaw::Nested { levels: DEEPEST });
            return Ok(());
        }
        self.levels.push(Level::of(target));
        let done = self.framed(target, point(0.0, 0.0), size, &inner);
        self.levels.pop();
        done
    }

    fn shape(
        &mut self,
        node: Node<'a, 'a>,
        tag: &str,
        own: &Declared<'a>,
        place: &Place,
    ) -> Result<(), Excess> {
        let mut pen = Pen::new(place.map, self.options.chord_error);
        let broken = draw(tag, own, place.units, &mut pen);
        let broken_at = place.map.apply(pen.at());
        let contours = pen.finish();
        self.points += contours.iter().map(|c| c.points.len()).sum::<usize>();
        if self.points > MOST_POINTS {
            return Err(("points", MOST_POINTS));
        }
        if let Some((count, bounds)) = &mut self.muted {
            *count += 1;
            *bounds = contours.iter().fold(*bounds, |b, c| b.join(Bounds::of(&c.points)));
            return Ok(());
        }
        if let Some(flaw) = broken {
            self.error(node, broken_at, flaw);
        }
        let Some(first) = contours.first().map(|c| c.points[0]) else { return Ok(()) };
        if place.style.hidden {
            self.warn(node, first, Flaw::NotShown { why: Unseen::Visibility, shapes: 1 });
            return Ok(());
        }
        if !place.style.stroked() && !place.style.filled() {
            self.warn(node, first, Flaw::NotShown { why: Unseen::Unpainted, shapes: 1 });
            return Ok(());
        }
        let far = |p: &Point| !(p.x.abs() <= FARTHEST && p.y.abs() <= FARTHEST);
        if contours.iter().any(|c| c.points.iter().any(far)) {
            self.error(node, point(0.0, 0.0), Flaw::TooFar);
            return Ok(());
        }
        let shown = contours.into_iter().filter(|c| self.shows(node, c, &place.clips)).collect();
        self.keep(node, shown, &place.style);
        Ok(())
    }

    fn keep(&mut self, node: Node, contours: Vec<Subpath>, style: &Inherited) {
        if contours.is_empty() {
            return;
        }
        let encloses = contours.iter().any(|c| c.points.len() > 2);
        let nearest_first = || self.levels.iter().rev();
        let mut names: Vec<Name> = nearest_first().filter_map(Level::name).collect();
        let mut kind = match meaning(&self.levels, (style, encloses), self.options) {
            Meaning::Ignored => return,
            Meaning::Edge => None,
            Meaning::Feature(kind) => Some(kind),
        };
        if self.own_sheet {
            (kind, names) = belongs(node);
        }
        let source = self.out.sources.len();
        self.out.sources.push(SourceElement {
            element: self.call(node),
            names,
            poor_name: nearest_first().find_map(Level::poor_name).map(String::from),
            kind,
            fill_only: !style.stroked(),
            dashed: style.dashed(encloses) && !self.own_sheet,
            colour: style.colour(),
            groups: nearest_first().skip(1).filter_map(|l| l.name().map(|n| n.text)).collect(),
        });
        let piece = |c: Subpath| SourceLine { points: c.points, closed: c.closed, source };
        self.out.pieces.extend(contours.into_iter().map(piece));
    }

    /// Applies the element's own clip path and mask.
    fn clip(&mut self, node: Node<'a, 'a>, own: &Declared<'a>, place: &mut Place) {
        let at = place.map.apply(point(0.0, 0.0));
        if own.get("mask").is_some_and(|m| m != "none") && self.muted.is_none() {
            self.warn(node, at, Flaw::Mask);
        }
        let Some(text) = own.get("clip-path").filter(|c| *c != "none") else { return };
        let id =
            text.trim_start_matches("url(").trim_end_matches(')').trim_matches(['"', '\'', ' ']);
        let Some(&target) = id.strip_prefix('#').and_then(|id| self.ids.get(id)) else { return };
        if target.attribute("clipPathUnits") == Some("objectBoundingBox") {
            self.warn(node, at, Flaw::ClipFractions { clip: id.into() });
            return;
        }
        let (map, error) = (place.map, self.options.chord_error);
        let clip = Clip::read(target, map, place.units, self.sheet, error);
        place.clips.push(Rc::new(clip));
    }

    /// Whether no clip hides the contour; a contour that a clip cuts is a fault.
    fn shows(&mut self, node: Node, contour: &Subpath, clips: &[Rc<Clip>]) -> bool {
        for clip in clips {
            match clip.hides(contour) {
                Hidden::Nothing => continue,
                Hidden::All => {
                    let flaw = Flaw::ClippedAway { clip: clip.element.clone() };
                    self.warn(node, contour.points[0], flaw);
                }
                Hidden::Part(at) => {
                    self.error(node, at, Flaw::ClippedPart { clip: clip.element.clone() });
                }
            }
            return false;
        }
        true
    }

    /// The element's `x` and `y` in mm.
    fn corner(&self, own: &Declared, place: &Place) -> Point {
        let of = |name| own.get(name).and_then(leading_number).unwrap_or(0.0);
        let at = place.map.apply(point(of("x"), of("y")));
        if at.finite() { at } else { point(0.0, 0.0) }
    }

    /// The element's name in faults: `#id`, or the tag with its line.
    fn call(&self, node: Node) -> String {
        match node.attribute("id") {
            Some(id) if !id.trim().is_empty() => format!("#{}", id.trim()),
            _ => {
                let line = self.line_starts.partition_point(|&s| s <= node.range().start);
                format!("<{}> in line {line}", node.tag_name().name())
            }
        }
    }

    fn error(&mut self, node: Node, at: Point, flaw: Flaw) {
        if self.muted.is_none() {
            self.out.faults.push(DrawingFault::error(&self.call(node), at, flaw));
        }
    }

    /// Counts a text that is left out; one fault, at the first text, stands for all.
    fn text(&mut self, node: Node, at: Point) {
        if self.muted.is_some() {
            return;
        }
        let told = self.first_text.and_then(|i| self.out.faults.get_mut(i));
        if let Some(DrawingFault { flaw: Flaw::Text { elements }, .. }) = told {
            *elements += 1;
        } else {
            self.first_text = Some(self.out.faults.len());
            self.warn(node, at, Flaw::Text { elements: 1 });
        }
    }

    fn warn(&mut self, node: Node, at: Point, flaw: Flaw) {
        if self.muted.is_none() {
            self.out.faults.push(DrawingFault::warning(&self.call(node), at, flaw));
        }
    }
}
