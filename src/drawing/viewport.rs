//! The page: its size, the length of one user unit in mm, and where that scale comes from.

use super::affine::Affine;
use crate::geometry::{Point, point};
use crate::units::{MM_PER_INCH, Units};
use serde::Serialize;
use std::str::FromStr;
use svgtypes::{Align, AspectRatio, Length, LengthUnit, ViewBox};

/// CSS's reference pixel: 96 to the inch (W3C CSS Values and Units 3, section 6.2).
pub(super) const CSS_DPI: f64 = 96.0;

/// Size of a page whose file states no size, px (CSS 2.1, section 10.3.2: 300 x 150).
const FALLBACK_SIZE: Point = point(300.0, 150.0);

/// Where the drawing's scale comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum ScaleSource {
    /// The file states its size in physical units.
    Physical {
        /// The width or height as written, e.g. `210mm`.
        stated: String,
        /// mm in one user unit, `scale` included.
        mm_per_unit: f64,
    },
    /// The file has pixels or bare numbers only.
    Assumed {
        /// Pixels per inch.
        dpi: f64,
        /// Whether the options gave the dpi.
        given: bool,
        /// mm in one user unit, `scale` included.
        mm_per_unit: f64,
    },
}

impl ScaleSource {
    /// mm in one user unit, `scale` included.
    pub fn mm_per_unit(&self) -> f64 {
        match *self {
            ScaleSource::Physical { mm_per_unit, .. }
            | ScaleSource::Assumed { mm_per_unit, .. } => mm_per_unit,
        }
    }

    /// The unit that the file states its size in, inches for points and picas; `None` for pixels and bare numbers.
    pub fn units(&self) -> Option<Units> {
        match self {
            ScaleSource::Physical { stated, .. } => Length::from_str(stated).ok().and_then(unit_of),
            ScaleSource::Assumed { .. } => None,
        }
    }
}

/// The unit of a length as people measure: points and picas are whole parts of an inch.
fn unit_of(length: Length) -> Option<Units> {
    match length.unit {
        LengthUnit::In | LengthUnit::Pt | LengthUnit::Pc => Some(Units::In),
        LengthUnit::Cm | LengthUnit::Mm => Some(Units::Mm),
        _ => None,
    }
}

/// The page as the root element describes it.
#[derive(Debug, Clone)]
pub(super) struct Page {
    /// User units to mm, page's top left at the origin.
    pub(super) to_mm: Affine,
    /// Its size, mm.
    pub(super) size: Point,
    pub(super) scale: ScaleSource,
    pub(super) units: UnitContext,
}

/// What lengths inside the drawing are resolved against.
#[derive(Debug, Clone, Copy)]
pub(super) struct UnitContext {
    /// User units in an inch, for lengths with a physical unit.
    pub(super) per_inch: f64,
    /// The nearest viewport's size in user units, for percentages.
    pub(super) viewport: Point,
}

/// The direction along which a percentage is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Along {
    X,
    Y,
    /// SVG 2, section 8.9: the diagonal over the square root of 2.
    Diagonal,
}

impl UnitContext {
    /// `length` in user units.
    pub(super) fn resolve(&self, length: Length, along: Along) -> f64 {
        let n = length.number;
        match length.unit {
            LengthUnit::None | LengthUnit::Px => n,
            LengthUnit::Percent => {
                let v = self.viewport;
                n / 100.0
                    * match along {
                        Along::X => v.x,
                        Along::Y => v.y,
                        Along::Diagonal => ((v.x * v.x + v.y * v.y) / 2.0).sqrt(),
                    }
            }
            // CSS's initial font size is 16 px and an ex half of it (CSS Values 3, section 5.1.1).
            LengthUnit::Em => n * 16.0,
            LengthUnit::Ex => n * 8.0,
            unit => n * inches_per(unit).unwrap_or(0.0) * self.per_inch,
        }
    }
}

/// Inches in one physical unit (CSS Values and Units 3, section 6.2: 1in = 2.54cm = 72pt = 6pc).
fn inches_per(unit: LengthUnit) -> Option<f64> {
    match unit {
        LengthUnit::In => Some(1.0),
        LengthUnit::Cm => Some(10.0 / MM_PER_INCH),
        LengthUnit::Mm => Some(1.0 / MM_PER_INCH),
        LengthUnit::Pt => Some(1.0 / 72.0),
        LengthUnit::Pc => Some(1.0 / 6.0),
        _ => None,
    }
}

/// The page from the root element's `width`, `height`, `viewBox` and `preserveAspectRatio`.
///
/// A width or height in mm, cm, in, pt or pc together with a viewBox fixes the scale. Without a viewBox
/// one user unit is a CSS pixel; the `dpi` given then replaces 96.
pub(super) fn page(
    attribute: impl Fn(&str) -> Option<String>,
    dpi: Option<f64>,
    scale: f64,
) -> Page {
    let length = |name: &str| {
        let text = attribute(name)?;
        let length = Length::from_str(text.trim()).ok()?;
        (length.number > 0.0 && length.number.is_finite() && length.unit != LengthUnit::Percent)
            .then_some((text, length))
    };
    let (width, height) = (length("width"), length("height"));
    let view_box = attribute("viewBox").and_then(|t| ViewBox::from_str(&t).ok());
    let physical = [&width, &height]
        .into_iter()
        .flatten()
        .find(|(_, l)| inches_per(l.unit).is_some())
        .map(|(text, _)| text.trim().to_string());

    let per_inch = dpi.unwrap_or(CSS_DPI);
    let px = MM_PER_INCH / per_inch;
    let mm = |side: &Option<(String, Length)>| {
        side.as_ref().map(|(_, l)| match inches_per(l.unit) {
            Some(inches) => l.number * inches * MM_PER_INCH,
            None => UnitContext { per_inch, viewport: FALLBACK_SIZE }.resolve(*l, Along::X) * px,
        })
    };
    let size = match (mm(&width), mm(&height), view_box) {
        (Some(w), Some(h), _) => point(w, h),
        (Some(w), None, Some(v)) => point(w, w * v.h / v.w),
        (None, Some(h), Some(v)) => point(h * v.w / v.h, h),
        (w, h, Some(v)) => point(w.unwrap_or(v.w * px), h.unwrap_or(v.h * px)),
        (w, h, None) => point(w.unwrap_or(FALLBACK_SIZE.x * px), h.unwrap_or(FALLBACK_SIZE.y * px)),
    };
    let aspect = attribute("preserveAspectRatio")
        .and_then(|t| AspectRatio::from_str(&t).ok())
        .unwrap_or_default();
    let fitted = match view_box {
        Some(v) => fit(v, size, aspect),
        None => Affine::scale(px, px),
    };
    let to_mm = Affine::scale(scale, scale).after(fitted);
    let mm_per_unit = to_mm.a;
    let source = match physical {
        Some(stated) if view_box.is_some() || dpi.is_none() => {
            ScaleSource::Physical { stated, mm_per_unit }
        }
        _ => ScaleSource::Assumed { dpi: per_inch, given: dpi.is_some(), mm_per_unit },
    };
    let viewport = view_box.map_or(size / px, |v| point(v.w, v.h));
    // A length with a physical unit inside a viewBox is CSS pixels, scaled like everything else.
    let inside = if view_box.is_some() { CSS_DPI } else { per_inch };
    Page {
        to_mm,
        size: size * scale,
        scale: source,
        units: UnitContext { per_inch: inside, viewport },
    }
}

/// The map that fits a viewBox into a viewport of `size` (SVG 2, section 8.2).
pub(super) fn fit(v: ViewBox, size: Point, aspect: AspectRatio) -> Affine {
    let (sx, sy) = (size.x / v.w, size.y / v.h);
    let (kx, ky) = match (aspect.align, aspect.slice) {
        (Align::None, _) => (sx, sy),
        (_, false) => (sx.min(sy), sx.min(sy)),
        (_, true) => (sx.max(sy), sx.max(sy)),
    };
    let (spare_x, spare_y) = (size.x - v.w * kx, size.y - v.h * ky);
    let (fx, fy) = match aspect.align {
        Align::None | Align::XMinYMin => (0.0, 0.0),
        Align::XMidYMin => (0.5, 0.0),
        Align::XMaxYMin => (1.0, 0.0),
        Align::XMinYMid => (0.0, 0.5),
        Align::XMidYMid => (0.5, 0.5),
        Align::XMaxYMid => (1.0, 0.5),
        Align::XMinYMax => (0.0, 1.0),
        Align::XMidYMax => (0.5, 1.0),
        Align::XMaxYMax => (1.0, 1.0),
    };
    Affine::translate(spare_x * fx, spare_y * fy)
        .after(Affine::scale(kx, ky))
        .after(Affine::translate(-v.x, -v.y))
}
