//! The stage's public function: reads SVG text, returns parts and faults.

use super::assemble::{DrawnPart, FeatureLine, SortedLines, assemble};
use super::drawing_fault::{DrawingError, DrawingFault, Flaw, Severity};
use super::join::{Chain, join};
use super::lost::{open_faults, take_out_spoiled};
use super::names::unique;
use super::options::ReadOptions;
use super::repeats;
use super::ring_check::check;
use super::seen::{SeenMark, seen_marks};
use super::viewport::{ScaleSource, page};
use super::walk::{SourceElement, SourceLine, Visible, walk};
use crate::geometry::{Point, Ring};
use crate::layout::FeatureKind;
use crate::units::Units;
use roxmltree::{Document, ParsingOptions};
use simplecss::StyleSheet;

/// Most XML nodes that are read.
const MOST_NODES: u32 = 4_000_000;

/// A drawing as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The drawing's name, as given to [`read`].
    pub name: String,
    /// Its parts, in the order drawn.
    pub parts: Vec<DrawnPart>,
    /// Everything wrong with it, errors first, in the order drawn.
    pub faults: Vec<DrawingFault>,
    /// The page's width and height, mm.
    pub size: Point,
    /// Where the scale comes from.
    pub scale: ScaleSource,
    /// The signs by which its lines can be told apart.
    pub seen: Vec<SeenMark>,
}

/// Reads an SVG drawing.
///
/// Shapes that show become lines in mm; loose ends within `options.join` are joined; rings become
/// outlines and openings by how deep they are nested; marked features go to the part around
/// them; congruent parts are counted.
///
/// Vertices lie on the drawn curves, coordinates in f64; a chord leaves its curve by at most
/// `options.chord_error`. Joints move by up to half of `options.join`. Lines with faults of
/// [`Severity::Error`] are left out of the parts, and reported. Cost: about linear in segments.
///
/// # Errors
/// [`DrawingError`] when the text is not XML, not SVG, or too large; everything else is a fault.
///
/// # Example
/// ```
/// use tabwright::drawing::{ReadOptions, read};
/// let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
///   <g id="foot"><rect width="30" height="20"/><circle cx="10" cy="10" r="4"/></g></svg>"#;
/// let drawing = read(svg, "feet.svg", &ReadOptions::default()).unwrap();
/// assert_eq!(drawing.parts[0].name, "foot");
/// // 30 x 20 less a circle of radius 4: 600 - 50.27 mm².
/// assert!((drawing.parts[0].shape.net_area() - 549.73).abs() < 0.2);
/// ```
pub fn read(text: &str, name: &str, options: &ReadOptions) -> Result<Drawing, DrawingError> {
    let options = options.sane();
    let parsing =
        ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let text = text.trim_start_matches('\u{feff}').trim_start();
    if !text.starts_with('<') {
        return Err(DrawingError::OtherFormat { name: name.into() });
    }
    let doc = Document::parse_with_options(text, parsing).map_err(|e| match e {
        roxmltree::Error::NodesLimitReached => DrawingError::TooLarge {
            name: name.into(),
            what: "elements",
            limit: MOST_NODES as usize,
        },
        other => {
            let (line, column) = (other.pos().row, other.pos().col);
            let place = format!(" at {line}:{column}");
            let reason = other.to_string().replace(&place, "");
            DrawingError::NotXml { name: name.into(), line, column, reason }
        }
    })?;
    let root = doc.root_element();
    if root.tag_name().name() != "svg" {
        let found = root.tag_name().name().to_string();
        return Err(DrawingError::NotSvg { name: name.into(), found });
    }
    let page = page(|a| root.attribute(a).map(String::from), options.dpi, options.scale);
    let css: String = doc
        .descendants()
        .filter(|n| n.tag_name().name() == "style")
        .flat_map(|n| n.children().filter_map(|c| c.text()).collect::<Vec<_>>())
        .collect::<Vec<_>>()
        .join("\n");
    let sheet = StyleSheet::parse(&css);
    let drawn = walk(&doc, &sheet, &page, &options, name)?;
    let (parts, mut faults, seen) = build(drawn, name, &options);
    faults.sort_by_key(|f| std::cmp::Reverse(f.severity));
    Ok(Drawing { name: name.into(), parts, faults, size: page.size, scale: page.scale, seen })
}

/// The unit in which a drawing states its size, without reading what is drawn; `None` if it states none, or is no SVG.
pub fn stated_units(text: &str) -> Option<Units> {
    let parsing =
        ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let doc = Document::parse_with_options(text.trim_start(), parsing).ok()?;
    let root = doc.root_element();
    page(|a| root.attribute(a).map(String::from), None, 1.0).scale.units()
}

/// Makes parts of lines.
fn build(
    drawn: Visible,
    name: &str,
    options: &ReadOptions,
) -> (Vec<DrawnPart>, Vec<DrawingFault>, Vec<SeenMark>) {
    let Visible { sources, mut pieces, mut faults } = drawn;
    drop_construction(&mut pieces, &sources, &mut faults);
    let (marked, cut): (Vec<SourceLine>, Vec<SourceLine>) =
        pieces.into_iter().partition(|p| sources[p.source].kind.is_some());
    let mut lost = Lost::default();
    let closed = close(cut, &sources, options.join, &mut lost, &mut faults);
    let edges = check(closed, &sources, options.join, &mut lost.rings, &mut faults);
    let features = feature_lines(marked, &sources, options.join, &mut lost, &mut faults);
    let fallback = stem(name);
    let sorted = SortedLines { edges, features };
    let parts = assemble(sorted, &sources, options.min_size, &fallback, &mut faults);
    faults.extend(open_faults(&lost.open, &sources, &parts));
    lost.rings.extend(lost.open.iter().map(|c| Ring(c.points.clone())));
    let parts = take_out_spoiled(parts, &lost.rings, &mut faults);
    let mut parts =
        repeats::count(parts, repeats::SAME_SHAPE.max(2.0 * options.chord_error), &options.wanted);
    let names: Vec<String> = parts.iter().map(|p| p.name.clone()).collect();
    for (part, name) in parts.iter_mut().zip(unique(&names)) {
        part.name = name;
    }
    let open: Vec<usize> = lost.open.iter().flat_map(|c| c.sources.clone()).collect();
    (parts, faults, seen_marks(&sources, &open))
}

/// Lines that did not become edges: open ones, and rings with faults.
#[derive(Default)]
struct Lost {
    open: Vec<Chain>,
    rings: Vec<Ring>,
}

/// Leaves out dashed lines without a mark where there are solid lines without a mark: the dashed ones are construction lines.
fn drop_construction(
    pieces: &mut Vec<SourceLine>,
    sources: &[SourceElement],
    faults: &mut Vec<DrawingFault>,
) {
    let dashed = |p: &SourceLine| sources[p.source].dashed && sources[p.source].kind.is_none();
    let solid = |p: &SourceLine| !sources[p.source].dashed && sources[p.source].kind.is_none();
    if !pieces.iter().any(solid) {
        return;
    }
    let Some(first) = pieces.iter().find(|p| dashed(p)) else { return };
    let (element, at) = (sources[first.source].element.clone(), first.points[0]);
    let elements = sources.iter().filter(|s| s.dashed && s.kind.is_none()).count();
    faults.push(DrawingFault::warning(&element, at, Flaw::Dashed { elements }));
    pieces.retain(|p| !dashed(p));
}

/// Joins pieces; those that stay open are lost, and reported once the parts are known.
fn close(
    pieces: Vec<SourceLine>,
    sources: &[SourceElement],
    tolerance: f64,
    lost: &mut Lost,
    faults: &mut Vec<DrawingFault>,
) -> Vec<Chain> {
    let joined = join(pieces, sources, tolerance);
    faults.extend(joined.faults);
    let mut closed = joined.closed;
    for chain in joined.open {
        let element = &sources[chain.sources[0]].element;
        let area = Ring(chain.points.clone()).area();
        let shown_closed = chain.sources.iter().all(|&s| sources[s].fill_only);
        if chain.at_branch {
            lost.rings.push(Ring(chain.points));
        } else if shown_closed && area > tolerance * tolerance {
            faults.push(DrawingFault::warning(element, chain.points[0], Flaw::FilledShut));
            closed.push(chain);
        } else {
            lost.open.push(chain);
        }
    }
    closed
}

/// The lines of features: those that must enclose an area are joined and closed, the rest stay as drawn.
fn feature_lines(
    pieces: Vec<SourceLine>,
    sources: &[SourceElement],
    tolerance: f64,
    lost: &mut Lost,
    faults: &mut Vec<DrawingFault>,
) -> Vec<FeatureLine> {
    let mut lines = Vec::new();
    for kind in FeatureKind::ALL {
        let of_kind: Vec<SourceLine> =
            pieces.iter().filter(|p| sources[p.source].kind == Some(kind)).cloned().collect();
        if matches!(kind, FeatureKind::Pocket | FeatureKind::Drill) {
            for chain in close(of_kind, sources, tolerance, lost, faults) {
                let source = chain.sources[0];
                lines.push(FeatureLine { points: chain.points, closed: true, source, kind });
            }
        } else {
            lines.extend(of_kind.into_iter().map(|p| FeatureLine {
                points: p.points,
                closed: p.closed,
                source: p.source,
                kind,
            }));
        }
    }
    lines
}

/// A file's name without folder and extension.
fn stem(name: &str) -> String {
    let file = name.rsplit(['/', '\\']).next().unwrap_or(name);
    let stem = file.strip_suffix(".svg").or_else(|| file.strip_suffix(".SVG")).unwrap_or(file);
    if stem.is_empty() { "part".into() } else { stem.into() }
}

impl Drawing {
    /// Whether any fault is an error.
    pub fn has_errors(&self) -> bool {
        self.faults.iter().any(|f| f.severity == Severity::Error)
    }
}
