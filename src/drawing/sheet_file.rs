//! Reads our own sheet drawings back: what the machine gets, as plain data.
//!
//! Strict where [`read`](super::read) is generous: these files have one form. Anything else (a transform, a hidden line, a
//! line outside the named groups, a pass without a depth) would not be cut as it appears, so it is refused by name.
//! `width`, `height` and `viewBox` are followed, so that a scaled drawing shows its scale.

use super::affine::Affine;
use super::curve::{Pen, Subpath};
use super::element;
use crate::geometry::{Point, Vector, point};
use crate::layout::{
    DEEP_END, DEEP_GROUPS, DrawnFlaw, DrawnGroup, DrawnKind, DrawnLine, DrawnPass, DrawnSheet,
    FeatureKind,
};
use crate::units::{Units, parse_length};
use roxmltree::{Document, Node, ParsingOptions};
use std::str::FromStr;
use svgtypes::ViewBox;

/// Chord error of curves, mm: a twentieth of what a path may cut into a part.
const CHORD: f64 = 0.0005;
/// Most XML nodes of a sheet's drawing: a sheet has a few lines for each part, each one node.
const MOST_NODES: u32 = 4_000_000;
/// Attributes that change where, or whether, a line is cut; our files have none of them.
const FOREIGN: [&str; 6] = ["transform", "clip-path", "mask", "display", "visibility", "opacity"];

/// Reads a sheet's drawing.
///
/// Coordinates are mm from the page's top left corner.
///
/// # Errors
/// A [`DrawnFlaw`]: how the file departs from the form of our drawings, and where.
pub fn read_sheet_file(text: &str) -> Result<DrawnSheet, DrawnFlaw> {
    let options = ParsingOptions { nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let xml = Document::parse_with_options(text, options)
        .map_err(|e| DrawnFlaw::NotXml(e.to_string()))?;
    let svg = xml.root_element();
    if !svg.has_tag_name(("http://www.w3.org/2000/svg", "svg")) {
        return Err(DrawnFlaw::NotSvg);
    }
    plain(svg)?;
    let map = page(svg)?;
    let mut groups = vec![];
    for node in svg.children().filter(Node::is_element) {
        match node.tag_name().name() {
            "title" | "desc" | "metadata" => {}
            "g" => groups.push(group(node, map)?),
            tag => {
                let (tag, id) = (tag.to_string(), name(node));
                return Err(DrawnFlaw::Misplaced { tag, id, group: None });
            }
        }
    }
    Ok(DrawnSheet { groups })
}

fn name(node: Node) -> Option<String> {
    node.attribute("id").map(String::from)
}

/// User units to mm. Our drawings state a size in mm (or another physical unit) and a viewBox of the same shape.
fn page(svg: Node) -> Result<Affine, DrawnFlaw> {
    let length = |side: &'static str| {
        let text = svg.attribute(side).ok_or(DrawnFlaw::NoAttribute(side))?;
        let bare = text.trim_end().ends_with(|c: char| c.is_ascii_digit() || c == '.');
        match parse_length(text, Units::Mm) {
            Ok(mm) if !bare && mm > 0.0 => Ok(mm),
            _ => Err(DrawnFlaw::NoLength { side, written: text.into() }),
        }
    };
    let (width, height) = (length("width")?, length("height")?);
    let text = svg.attribute("viewBox").ok_or(DrawnFlaw::NoAttribute("viewBox"))?;
    let view = ViewBox::from_str(text).map_err(|_| DrawnFlaw::ViewBox(text.into()))?;
    let (kx, ky) = (width / view.w, height / view.h);
    // One number in four decimals on each side.
    if !(kx.is_finite() && ky.is_finite()) || (kx / ky - 1.0).abs() > 1e-3 {
        let view_box = text.into();
        return Err(DrawnFlaw::PageShape { view_box, width_mm: width, height_mm: height });
    }
    Ok(Affine::scale(kx, ky).after(Affine::translate(-view.x, -view.y)))
}

/// Refuses anything that would make a line be cut differently from how it looks.
fn plain(node: Node) -> Result<(), DrawnFlaw> {
    let own = || node.attributes().filter(|a| a.namespace().is_none());
    let foreign = |attribute: &str| DrawnFlaw::Foreign {
        tag: node.tag_name().name().into(),
        id: name(node),
        attribute: attribute.into(),
    };
    if let Some(a) = own().find(|a| FOREIGN.contains(&a.name())) {
        return Err(foreign(a.name()));
    }
    let style = own().find(|a| a.name() == "style").map_or("", |a| a.value());
    match FOREIGN.iter().find(|word| style.contains(**word)) {
        Some(word) => Err(foreign(word)),
        None => Ok(()),
    }
}

fn group(node: Node, map: Affine) -> Result<DrawnGroup, DrawnFlaw> {
    plain(node)?;
    let id = node.attribute("id").ok_or(DrawnFlaw::GroupWithoutId)?.to_string();
    let pass = pass(&id)?;
    // In a pass a circle is a plunge; elsewhere it is a line.
    let whole = pass.is_none();
    let mut lines = vec![];
    for child in node.children().filter(Node::is_element) {
        plain(child)?;
        match child.tag_name().name() {
            "path" => lines.extend(contours(child, map)?),
            "circle" => lines.push(circle(child, map, whole)?),
            "text" | "title" | "desc" => {}
            tag => {
                let (tag, own) = (tag.to_string(), name(child));
                return Err(DrawnFlaw::Misplaced { tag, id: own, group: Some(id) });
            }
        }
    }
    let deep = deep(&id)?;
    Ok(DrawnGroup { id, pass, deep, lines })
}

/// What a group of features is and how deep they go, from its name.
fn deep(id: &str) -> Result<Option<(FeatureKind, f64)>, DrawnFlaw> {
    for (kind, prefix) in DEEP_GROUPS {
        if let Some(depth) = id.strip_prefix(prefix) {
            return Ok(Some((kind, depth_of(id, depth)?)));
        }
    }
    Ok(None)
}

/// A depth with its unit, in a group's name.
fn depth_of(id: &str, depth: &str) -> Result<f64, DrawnFlaw> {
    let depth = depth.strip_suffix(DEEP_END).unwrap_or(depth);
    let unit = depth.ends_with("mm") || depth.ends_with("in");
    let depth = parse_length(depth, Units::Mm).ok().filter(|d| unit && *d > 0.0);
    depth.ok_or_else(|| DrawnFlaw::NoDepth(id.into()))
}

/// What a group of paths does, from its name; a name that begins like a pass must state a depth with a unit.
fn pass(id: &str) -> Result<Option<DrawnPass>, DrawnFlaw> {
    for (kind, prefix, _) in DrawnKind::NAMES {
        let Some(depth) = id.strip_prefix(prefix) else {
            if id.starts_with(prefix.trim_end_matches('-')) {
                return Err(DrawnFlaw::NoDepth(id.into()));
            }
            continue;
        };
        return Ok(Some(DrawnPass { kind, depth: depth_of(id, depth)? }));
    }
    Ok(None)
}

fn contours(node: Node, map: Affine) -> Result<Vec<DrawnLine>, DrawnFlaw> {
    let id = name(node);
    let mut pen = Pen::new(map, CHORD);
    if let Err(reason) = element::path_data(node.attribute("d").unwrap_or(""), &mut pen) {
        return Err(DrawnFlaw::BadPath { id, reason });
    }
    let contours = pen.finish();
    if contours.is_empty() || contours.iter().any(|c| !c.points.iter().all(|p| p.finite())) {
        return Err(DrawnFlaw::NoLine(id));
    }
    let line = |c: Subpath| DrawnLine {
        id: id.clone().unwrap_or_default(),
        closed: c.closed,
        points: without_repeat(c),
        diameter: None,
    };
    Ok(contours.into_iter().map(line).collect())
}

/// The points of a contour; the last of a closed one may be its first, where its last curve ends.
fn without_repeat(mut contour: Subpath) -> Vec<Point> {
    let (first, last) = (contour.points.first(), contour.points.last());
    if contour.closed && contour.points.len() > 1 && first == last {
        contour.points.pop();
    }
    contour.points
}

/// Reads a circle: `whole` as a line, else by its middle, as a plunge.
fn circle(node: Node, map: Affine, whole: bool) -> Result<DrawnLine, DrawnFlaw> {
    let number = |attribute: &'static str| {
        let value = node.attribute(attribute).and_then(|v| v.parse::<f64>().ok());
        let bad = || DrawnFlaw::BadCircle { id: name(node), attribute };
        value.filter(|v| v.is_finite()).ok_or_else(bad)
    };
    let (at, r) = (point(number("cx")?, number("cy")?), number("r")?);
    let id = name(node).unwrap_or_default();
    if !whole {
        let diameter = Some(2.0 * r * map.a);
        return Ok(DrawnLine { id, points: vec![map.apply(at)], closed: true, diameter });
    }
    let mut pen = Pen::new(map, CHORD);
    pen.ellipse(at, r, r);
    let points = pen.finish().pop().map_or(vec![], |c| c.points);
    let sound = r > 0.0 && points.iter().all(|p| p.finite());
    let line = DrawnLine { id, points, closed: true, diameter: None };
    if sound { Ok(line) } else { Err(DrawnFlaw::NoLine(name(node))) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(view: &str, inside: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"4in\" height=\"50.8mm\" viewBox=\"{view}\">{inside}</svg>"
        )
    }

    /// By hand: a page of 101.6 x 50.8 mm over 203.2 x 101.6 units halves every coordinate.
    #[test]
    fn scale_depth_and_lines_are_read() {
        let text = sheet(
            "10 0 203.2 101.6",
            "<g id=\"upper-pass-0.191in\"><path id=\"a.1.upper.0\" d=\"M10 0 L 30 0 30 20 Z\"/></g>\
             <g id=\"plunges-6.35mm\"><circle id=\"a.1.plunge.1\" cx=\"20\" cy=\"8\" r=\"3\"/></g>",
        );
        let read = read_sheet_file(&text).unwrap();
        let pass = read.groups[0].pass.unwrap();
        assert_eq!(pass.kind, DrawnKind::Upper);
        assert!((pass.depth - 0.191 * 25.4).abs() < 1e-9);
        let line = &read.groups[0].lines[0];
        assert!(line.closed);
        assert_eq!(line.points, [point(0.0, 0.0), point(10.0, 0.0), point(10.0, 10.0)]);
        let plunge = &read.groups[1].lines[0];
        assert_eq!((plunge.points[0], plunge.diameter), (point(5.0, 4.0), Some(3.0)));
    }

    #[test]
    fn what_would_be_cut_otherwise_is_refused_by_name() {
        let path = "<path id=\"a.1.through.0\" d=\"M0 0 L 9 0\"/>";
        let is_b = Some("b".to_string());
        for (view, inside, flaw) in [
            (
                "0 0 101.6 50.8",
                format!("<g id=\"through-pass\">{path}</g>"),
                DrawnFlaw::NoDepth("through-pass".into()),
            ),
            (
                "0 0 101.6 50.8",
                format!("<g id=\"through-pass-6\">{path}</g>"),
                DrawnFlaw::NoDepth("through-pass-6".into()),
            ),
            (
                "0 0 101.6 50.8",
                path.to_string(),
                DrawnFlaw::Misplaced {
                    tag: "path".into(),
                    id: Some("a.1.through.0".into()),
                    group: None,
                },
            ),
            (
                "0 0 101.6 60",
                String::new(),
                DrawnFlaw::PageShape {
                    view_box: "0 0 101.6 60".into(),
                    width_mm: 101.6,
                    height_mm: 50.8,
                },
            ),
            (
                "0 0 101.6 50.8",
                "<g id=\"g\"><path id=\"b\" transform=\"scale(2)\" d=\"M0 0 L9 0\"/></g>".into(),
                DrawnFlaw::Foreign {
                    tag: "path".into(),
                    id: is_b.clone(),
                    attribute: "transform".into(),
                },
            ),
            (
                "0 0 101.6 50.8",
                "<g id=\"g\"><path id=\"b\" d=\"\"/></g>".into(),
                DrawnFlaw::NoLine(is_b.clone()),
            ),
        ] {
            assert_eq!(read_sheet_file(&sheet(view, &inside)), Err(flaw));
        }
        let cut_short = "<g id=\"g\"><path id=\"b\" d=\"M0 0 L 9\"/></g>";
        let flaw = read_sheet_file(&sheet("0 0 101.6 50.8", cut_short)).unwrap_err();
        assert!(matches!(&flaw, DrawnFlaw::BadPath { id, .. } if *id == is_b), "{flaw:?}");
        assert!(read_sheet_file("<svg").is_err());
    }
}
