//! One SVG shape element as contours: path, rect, circle, ellipse, line, polyline, polygon.

use super::curve::{Pen, rounded_rectangle};
use super::drawing_fault::Flaw;
use super::style::Declared;
use super::viewport::{Along, UnitContext};
use crate::geometry::{Point, point};
use std::str::FromStr;
use svgtypes::{Length, PathParser, PathSegment, PointsParser};

/// Why an element could not be read to its end; what came before is kept, as SVG 2, section 9.5.2 asks.
pub(super) type Broken = Option<Flaw>;

/// Tags of the elements that [`draw`] draws.
pub(super) const SHAPES: [&str; 7] =
    ["path", "rect", "circle", "ellipse", "line", "polyline", "polygon"];

/// Draws the element with the pen.
pub(super) fn draw(tag: &str, own: &Declared, units: UnitContext, pen: &mut Pen) -> Broken {
    let read = Lengths { own, units };
    match tag {
        "path" => path(own.get("d").unwrap_or(""), pen),
        "rect" => read.rect(pen),
        "circle" => read.circle(pen),
        "ellipse" => read.ellipse(pen),
        "line" => {
            let at = |x: &'static str, y: &'static str| -> Result<Point, Flaw> {
                Ok(point(read.or_zero(x, Along::X)?, read.or_zero(y, Along::Y)?))
            };
            match (at("x1", "y1"), at("x2", "y2")) {
                (Ok(a), Ok(b)) => {
                    pen.move_to(a);
                    pen.line_to(b);
                    None
                }
                (Err(e), _) | (_, Err(e)) => Some(e),
            }
        }
        "polyline" | "polygon" => {
            for (i, (x, y)) in PointsParser::from(own.get("points").unwrap_or("")).enumerate() {
                if i == 0 { pen.move_to(point(x, y)) } else { pen.line_to(point(x, y)) }
            }
            if tag == "polygon" {
                pen.close();
            }
            None
        }
        _ => None,
    }
}

/// Length attributes in user units.
struct Lengths<'a> {
    own: &'a Declared<'a>,
    units: UnitContext,
}

impl Lengths<'_> {
    fn get(&self, attribute: &'static str, along: Along) -> Result<Option<f64>, Flaw> {
        let Some(text) = self.own.get(attribute).filter(|t| *t != "auto") else { return Ok(None) };
        let length = Length::from_str(text)
            .map_err(|_| Flaw::NotLength { attribute, written: text.into() })?;
        Ok(Some(self.units.resolve(length, along)))
    }

    fn or_zero(&self, attribute: &'static str, along: Along) -> Result<f64, Flaw> {
        Ok(self.get(attribute, along)?.unwrap_or(0.0))
    }

    fn rect(&self, pen: &mut Pen) -> Broken {
        self.try_rect(pen).err()
    }

    fn try_rect(&self, pen: &mut Pen) -> Result<(), Flaw> {
        let at = point(self.or_zero("x", Along::X)?, self.or_zero("y", Along::Y)?);
        let size = point(self.or_zero("width", Along::X)?, self.or_zero("height", Along::Y)?);
        if size.x <= 0.0 || size.y <= 0.0 {
            return Err(Flaw::Flat { tag: "rect", sizes: vec![size.x, size.y] });
        }
        let (rx, ry) = (self.get("rx", Along::X)?, self.get("ry", Along::Y)?);
        let radii = point(rx.or(ry).unwrap_or(0.0), ry.or(rx).unwrap_or(0.0));
        rounded_rectangle(pen, at, size, radii);
        Ok(())
    }

    fn centre(&self) -> Result<Point, Flaw> {
        Ok(point(self.or_zero("cx", Along::X)?, self.or_zero("cy", Along::Y)?))
    }

    fn circle(&self, pen: &mut Pen) -> Broken {
        let r = match self.or_zero("r", Along::Diagonal) {
            Ok(r) if r > 0.0 => r,
            Ok(r) => return Some(Flaw::Flat { tag: "circle", sizes: vec![r] }),
            Err(e) => return Some(e),
        };
        self.centre().map(|c| pen.ellipse(c, r, r)).err()
    }

    fn ellipse(&self, pen: &mut Pen) -> Broken {
        let radii = self.get("rx", Along::X).and_then(|x| Ok((x, self.get("ry", Along::Y)?)));
        let (rx, ry) = match radii {
            // SVG 2, section 10.4: auto is the other radius.
            Ok((x, y)) => (x.or(y).unwrap_or(0.0), y.or(x).unwrap_or(0.0)),
            Err(e) => return Some(e),
        };
        if rx <= 0.0 || ry <= 0.0 {
            return Some(Flaw::Flat { tag: "ellipse", sizes: vec![rx, ry] });
        }
        self.centre().map(|c| pen.ellipse(c, rx, ry)).err()
    }
}

/// Path data (SVG 2, section 9.3).
pub(super) fn path(data: &str, pen: &mut Pen) -> Broken {
    path_data(data, pen).err().map(|reason| Flaw::PathData { reason })
}

/// Draws the path as far as its data can be read.
///
/// # Errors
/// The reason it ends early, in the parser's words.
pub(super) fn path_data(data: &str, pen: &mut Pen) -> Result<(), String> {
    // The control point that a smooth command mirrors, and the command it came from.
    let (mut cubic, mut quadratic): (Option<Point>, Option<Point>) = (None, None);
    for segment in PathParser::from(data) {
        let segment = match segment {
            Ok(segment) => segment,
            Err(e) => return Err(e.to_string()),
        };
        let from = pen.at();
        let to = |abs: bool, x: f64, y: f64| if abs { point(x, y) } else { from + point(x, y) };
        let (mut next_cubic, mut next_quadratic) = (None, None);
        match segment {
            PathSegment::MoveTo { abs, x, y } => pen.move_to(to(abs, x, y)),
            PathSegment::LineTo { abs, x, y } => pen.line_to(to(abs, x, y)),
            PathSegment::HorizontalLineTo { abs, x } => {
                pen.line_to(point(if abs { x } else { from.x + x }, from.y));
            }
            PathSegment::VerticalLineTo { abs, y } => {
                pen.line_to(point(from.x, if abs { y } else { from.y + y }));
            }
            PathSegment::CurveTo { abs, x1, y1, x2, y2, x, y } => {
                next_cubic = Some(to(abs, x2, y2));
                pen.cubic_to(to(abs, x1, y1), to(abs, x2, y2), to(abs, x, y));
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                next_cubic = Some(to(abs, x2, y2));
                let c1 = cubic.map_or(from, |c| from * 2.0 - c);
                pen.cubic_to(c1, to(abs, x2, y2), to(abs, x, y));
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                next_quadratic = Some(to(abs, x1, y1));
                pen.quadratic_to(to(abs, x1, y1), to(abs, x, y));
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let c = quadratic.map_or(from, |c| from * 2.0 - c);
                next_quadratic = Some(c);
                pen.quadratic_to(c, to(abs, x, y));
            }
            PathSegment::EllipticalArc { abs, rx, ry, x_axis_rotation, large_arc, sweep, x, y } => {
                pen.arc_to(point(rx, ry), x_axis_rotation, large_arc, sweep, to(abs, x, y));
            }
            PathSegment::ClosePath { .. } => pen.close(),
        }
        (cubic, quadratic) = (next_cubic, next_quadratic);
    }
    Ok(())
}
