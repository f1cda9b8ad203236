//! What a drawing contains, part by part: the data behind `tabwright inspect` and its `--json`.

use super::drawing_fault::{Flaw, Severity};
use super::limit::{DETAIL, Limit, Reach};
use super::neck::thinnest_neck;
use super::reach::{largest_bit, limits};
use super::read::Drawing;
use super::unreached::{corners, unreached};
use super::{DrawingFault, DrawnPart, ScaleSource};
use crate::geometry::{Point, Vector};
use crate::units::FileUnit;
use rayon::prelude::*;
use serde::Serialize;

/// A detail cut less than this wider than drawn counts as cut as drawn, mm: a tenth of a desktop router's repeatability
/// (common practice, no source).
const WORTH_SAYING: f64 = 0.005;

/// One drawing's report. Lengths are mm, places are in the drawing from the page's top left, x right, y down.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Inspection {
    /// Always `tabwright-inspection`.
    pub format: &'static str,
    /// Version of this structure: 1.
    pub version: u32,
    /// The unit of its lengths.
    pub lengths: FileUnit,
    /// The drawing's name.
    pub drawing: String,
    /// The page's width and height.
    pub page: [f64; 2],
    /// mm in one unit of the drawing.
    pub mm_per_unit: f64,
    /// Where the scale comes from.
    pub scale_source: ScaleSource,
    /// The same in words; empty until [`tell_inspection`](crate::export::tell_inspection) writes them.
    pub scale: String,
    /// The parts, in the order drawn.
    pub parts: Vec<PartReport>,
    /// Everything wrong, errors first.
    pub faults: Vec<FaultReport>,
}

/// The report on one part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartReport {
    /// Its name, unique in the drawing.
    pub name: String,
    /// How many times it is drawn.
    pub copies: usize,
    /// Top left of its bounds (of the first copy).
    pub at: [f64; 2],
    /// Width and height of its bounds as drawn.
    pub size: [f64; 2],
    /// Outline less openings, mm².
    pub net_area: f64,
    /// Number of points of its edges.
    pub points: usize,
    /// How many openings it has.
    pub openings: usize,
    /// Features drawn in it: the kind of each.
    pub features: Vec<&'static str>,
    /// Its thinnest neck; null where no walls face each other.
    pub thinnest_neck: Option<NeckReport>,
    /// The largest bit that reaches all of it, sharp corners rounded; null when any bit does.
    pub largest_bit: Option<LargestBit>,
    /// The bits asked about, in the order asked.
    pub bits: Vec<BitReport>,
}

/// A neck: a narrow place of a part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NeckReport {
    /// Its width.
    pub width: f64,
    /// Its middle.
    pub at: [f64; 2],
    /// Direction of its length, degrees from +x towards +y.
    pub along_deg: f64,
}

/// The largest bit that reaches all of a part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LargestBit {
    /// Its diameter.
    pub diameter: f64,
    /// What limits it: `inside-radius`, `gap` or `run`.
    pub limit: Limit,
    /// The place in the drawing, mm.
    pub at: [f64; 2],
}

/// What one bit does to one part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BitReport {
    /// The bit's diameter.
    pub diameter: f64,
    /// Whether it cuts all of the part: sharp corners rounded, details narrower than it by up to the allowance cut at
    /// its own width.
    pub cuts: bool,
    /// The details that it cuts wider than they are drawn.
    pub wider: Vec<WiderReport>,
    /// How many sharp inside corners it rounds by more than 0.1 mm.
    pub rounded_corners: usize,
    /// Distance of the deepest of them from the bit; 0 if there are none.
    pub deepest_corner: f64,
    /// The place of the deepest of them in the drawing, mm; null if there are none.
    pub deepest_corner_at: Option<[f64; 2]>,
    /// Details that it cannot cut, deepest first; empty when it cuts the part.
    pub left: Vec<LeftReport>,
}

/// A slot, hole or gap that a bit cuts at its own width.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WiderReport {
    /// The place in the drawing, mm.
    pub at: [f64; 2],
    /// Its width as drawn.
    pub drawn: f64,
    /// How much wider it is cut.
    pub wider: f64,
}

/// A detail that a bit leaves standing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftReport {
    /// The point of the edge that is farthest from where the bit cuts.
    pub at: [f64; 2],
    /// Its distance from there; null for an opening that the bit does not enter.
    pub depth: f64,
    /// Width and height of the bounds of what is left.
    pub size: [f64; 2],
    /// What keeps the bit out: `inside-radius`, `gap` or `run`.
    pub limit: Option<Limit>,
    /// The largest bit that enters there, by its diameter.
    pub enters: f64,
    /// Stock left, mm².
    pub area: f64,
}

/// One fault, as reported.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaultReport {
    /// `error` or `warning`.
    pub severity: Severity,
    /// The element: `#its-id`, or its tag and line.
    pub element: String,
    /// The place in the drawing, mm.
    pub at: [f64; 2],
    /// What is wrong.
    pub flaw: Flaw,
    /// The same in words; empty until [`tell_inspection`](crate::export::tell_inspection) writes them.
    pub message: String,
}

impl Inspection {
    /// Whether the drawing has parts and no error, and each bit asked about cuts every part.
    pub fn good(&self) -> bool {
        let errors = self.faults.iter().any(|f| f.severity == Severity::Error);
        !errors
            && !self.parts.is_empty()
            && self.parts.iter().all(|p| p.bits.iter().all(|b| b.cuts))
    }
}

/// Reports on every part, in parallel, and on what each of `bits` (diameters, mm) leaves standing; details may be narrower
/// than the bit by `allowance` mm.
///
/// Without `bits` it costs what [`largest_bit`] and [`thinnest_neck`] cost; each bit that does not cut a part
/// adds the cost of an [`unreached`].
pub fn inspect(drawing: &Drawing, bits: &[f64], allowance: f64) -> Inspection {
    Inspection {
        format: "tabwright-inspection",
        version: 1,
        lengths: FileUnit::Mm,
        drawing: drawing.name.clone(),
        page: rounded(drawing.size),
        mm_per_unit: drawing.scale.mm_per_unit(),
        scale_source: drawing.scale.clone(),
        scale: String::new(),
        parts: drawing.parts.par_iter().map(|part| report(part, bits, allowance)).collect(),
        faults: drawing.faults.iter().map(fault).collect(),
    }
}

fn report(part: &DrawnPart, bits: &[f64], allowance: f64) -> PartReport {
    let bounds = part.shape.bounds();
    let reach = largest_bit(&part.shape);
    let place = |p: Point| rounded(p + part.at);
    PartReport {
        name: part.name.clone(),
        copies: part.copies,
        at: rounded(part.at),
        size: rounded(bounds.max - bounds.min),
        net_area: round(part.shape.net_area()),
        points: part.shape.rings().map(|r| r.0.len()).sum(),
        openings: part.shape.openings.len(),
        features: part.features.iter().map(|f| f.kind.name()).collect(),
        thinnest_neck: thinnest_neck(&part.shape).map(|n| NeckReport {
            width: round(n.width),
            at: place(n.at),
            along_deg: round(n.along.to_degrees()),
        }),
        largest_bit: reach.limit.map(|limit| LargestBit {
            diameter: round(reach.diameter),
            limit,
            at: place(reach.at),
        }),
        bits: bits.iter().map(|&d| bit(part, &reach, d, allowance)).collect(),
    }
}

fn bit(part: &DrawnPart, reach: &Reach, diameter: f64, allowance: f64) -> BitReport {
    let cuts = reach.passes(diameter, allowance);
    let mut left = if cuts { vec![] } else { unreached(&part.shape, diameter, allowance) };
    left.retain(|u| !u.is_corner());
    // Corners of what the bit does not cut at all are not rounded.
    let lost = |p: Point| {
        left.iter().any(|u| u.outline.segments().any(|s| s.distance_to_point(p) < DETAIL))
    };
    let mut rounded_corners = corners(&part.shape, diameter);
    rounded_corners.retain(|c| !lost(c.at));
    let narrower = reach.diameter <= diameter - WORTH_SAYING;
    let limits = if narrower { limits(&part.shape, diameter - WORTH_SAYING) } else { vec![] };
    BitReport {
        diameter,
        cuts,
        wider: limits
            .iter()
            .filter(|r| r.passes(diameter, allowance))
            .map(|r| WiderReport {
                at: rounded(r.at + part.at),
                drawn: round(r.diameter),
                wider: round(diameter - r.diameter),
            })
            .collect(),
        rounded_corners: rounded_corners.len(),
        deepest_corner: round(rounded_corners.first().map_or(0.0, |c| c.depth)),
        deepest_corner_at: rounded_corners.first().map(|c| rounded(c.at + part.at)),
        left: left
            .iter()
            .map(|u| {
                let bounds = u.outline.bounds();
                LeftReport {
                    at: rounded(u.at + part.at),
                    depth: round(u.depth),
                    size: rounded(bounds.max - bounds.min),
                    limit: u.limit.and_then(|l| l.limit),
                    enters: round(u.limit.map_or(f64::INFINITY, |l| l.diameter)),
                    area: round(u.area),
                }
            })
            .collect(),
    }
}

fn fault(fault: &DrawingFault) -> FaultReport {
    FaultReport {
        severity: fault.severity,
        element: fault.element.clone(),
        at: if fault.at.finite() { rounded(fault.at) } else { [0.0, 0.0] },
        flaw: fault.flaw.clone(),
        message: String::new(),
    }
}

/// Rounds to 0.0001 mm: finer than any drawing, and the same on every machine.
fn round(v: f64) -> f64 {
    if v.is_finite() { (v * 1e4).round() / 1e4 } else { v }
}

fn rounded(p: Point) -> [f64; 2] {
    [round(p.x), round(p.y)]
}
