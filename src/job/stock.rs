//! Stock: what is bought, or on hand.

use super::bit::Bit;
use super::checker::{Checker, Drawings};
use super::file::{Angle, JobFile, KeepClear, StockTable};
use super::issue::IssueKind;
use crate::geometry::{Ring, point};
use crate::layout::{AssumedValue, Subject};
use crate::units::Units;
use std::f64::consts::FRAC_PI_2;

/// Distance of parts from the stock's edge if the job does not say, mm: room for a clamp's nose and a
/// kerf's width of edge (common practice, no source).
const USUAL_MARGIN: f64 = 6.0;
/// The same in diameters of the bit, where that is more: beside the kerf half a diameter of rim ties the frame together (common
/// practice, no source).
const MARGIN_PER_BIT: f64 = 1.5;

/// A kind of sheet or board that a group may use.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Its name in the job.
    pub name: String,
    /// The material's name.
    pub material: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// Its edge, top left of its bounds at the origin. An open-length board is as long along x as it is sold.
    pub outline: Ring,
    /// Whether it is sold by length along x: only the length used counts.
    pub open_length: bool,
    /// How many there are; `None` for as many as needed.
    pub quantity: Option<usize>,
    /// Price of one piece, or of a metre of an open-length board; `None` when unknown or on hand.
    pub price: Option<f64>,
    /// Least distance from a part to the edge, mm.
    pub margin: f64,
    /// Areas to keep clear: clamps, screws, knots.
    pub keep_clear: Vec<Ring>,
    /// Those of them that hold the sheet down.
    pub clamps: Vec<Ring>,
    /// Direction of the grain, radians from +x towards +y.
    pub grain: f64,
}

impl Stock {
    /// As many sheets of that outline as needed, with the usual margin and the grain along the longer side.
    pub fn plain(material: &str, thickness: f64, outline: Ring) -> Stock {
        let grain = along_longer_side(&outline);
        Stock {
            name: String::new(),
            material: material.into(),
            thickness,
            outline,
            open_length: false,
            quantity: None,
            price: None,
            margin: USUAL_MARGIN,
            keep_clear: vec![],
            clamps: vec![],
            grain,
        }
    }
}

/// The stock that a table describes as a group with this bit uses it.
pub(super) fn for_bit(check: &mut Checker, stock: Stock, table: &StockTable, bit: &Bit) -> Stock {
    if table.margin.is_some() {
        return stock;
    }
    let margin = USUAL_MARGIN.max(MARGIN_PER_BIT * bit.diameter);
    check.assume(Subject::Stock(stock.name.clone()), AssumedValue::Margin(margin));
    Stock { margin, ..stock }
}

/// Direction of the longer side, radians; x where they are equal but for rounding. Boards are sawn, and the face veneer of plywood
/// laid, with the grain along it (common practice, no source).
fn along_longer_side(outline: &Ring) -> f64 {
    let bounds = outline.bounds();
    if bounds.height() > 1.001 * bounds.width() { FRAC_PI_2 } else { 0.0 }
}

/// A stock's name: its own, else its material and size, with its thickness too where another has that size.
pub(super) fn name_of(table: &StockTable, all: &[StockTable]) -> String {
    if let Some(name) = &table.name {
        return name.clone();
    }
    let plain = |t: &StockTable| {
        let size = t.size.as_ref().map(|s| s.0.clone()).or(t.outline.clone());
        format!("{} {}", t.material, size.unwrap_or_default())
    };
    let name = plain(table);
    if all.iter().filter(|t| t.name.is_none() && plain(t) == name).count() > 1 {
        return format!("{name}, {} thick", table.thickness.written());
    }
    name
}

/// The length that the price of a board sold by length is for, m: a metre, or a foot in a job in inches.
fn sold_by(units: Units) -> f64 {
    match units {
        Units::Mm => 1.0,
        Units::In => 0.3048,
    }
}

/// The stock that a table of the job file describes; an offcut's openings are places to keep clear.
pub(super) fn stock_of(
    check: &mut Checker,
    table: &StockTable,
    file: &JobFile,
    drawings: &Drawings,
) -> Stock {
    let named = name_of(table, &file.stock);
    let place = format!("stock '{named}'");
    let thickness = check.length(&place, "thickness", &table.thickness);
    check.unmatched_material(&place, &table.material, file);
    let (outline, mut keep_clear) = edge(check, &place, table, drawings);
    let mut clamps = vec![];
    for area in &table.keep_clear {
        let ring = clear_ring(check, &place, area);
        clamps.extend(ring.clone().filter(|_| area.holds));
        keep_clear.extend(ring);
    }
    let margin =
        table.margin.as_ref().map_or(USUAL_MARGIN, |m| check.positive(&place, "margin", m));
    let usual = if table.open_length { 0.0 } else { along_longer_side(&outline) };
    let grained = file.material(&table.material, thickness).is_some_and(|m| m.has_grain());
    if table.grain.is_none() && grained {
        check.assume(Subject::Stock(named.clone()), AssumedValue::GrainDeg(usual.to_degrees()));
    }
    let bounds = outline.bounds();
    let size = [bounds.width(), bounds.height()];
    if table.open_length && size[1] > size[0] {
        check.fault(&place, IssueKind::WiderThanLong { size });
    }
    for area in keep_clear.iter().filter(|a| !a.bounds().touches(bounds)) {
        let at = area.bounds().centre();
        check.fault(&place, IssueKind::ClearsNothing { at: [at.x, at.y], size });
    }
    if 2.0 * margin >= bounds.width().min(bounds.height()) {
        check.warn(&place, IssueKind::NoRoom);
    }
    let grain = grain_of(check, &place, table, usual);
    if table.price.is_some_and(|p| !(p >= 0.0 && p.is_finite())) {
        check.fault(&place, IssueKind::Negative { key: "price".into() });
    }
    Stock {
        name: named,
        material: table.material.clone(),
        thickness,
        outline,
        open_length: table.open_length,
        quantity: table.quantity,
        price: table.price.map(|p| if table.open_length { p / sold_by(check.units) } else { p }),
        margin,
        keep_clear,
        clamps,
        grain,
    }
}

/// The direction of the grain that a table states, radians; `usual` where it states none.
fn grain_of(check: &mut Checker, place: &str, table: &StockTable, usual: f64) -> f64 {
    match &table.grain {
        None => usual,
        Some(Angle::Degrees(d)) if d.is_finite() => d.to_radians(),
        Some(Angle::Word(w)) if w == "x" => 0.0,
        Some(Angle::Word(w)) if w == "y" => FRAC_PI_2,
        Some(other) => {
            let written = match other {
                Angle::Word(word) => Some(word.clone()),
                Angle::Degrees(_) => None,
            };
            let (key, known) = ("grain", &["x", "y", "degrees"][..]);
            check.fault(place, IssueKind::NotOneOf { key, known, written });
            0.0
        }
    }
}

/// The stock's edge, from its size or its drawing, and the areas that the drawing keeps clear.
fn edge(
    check: &mut Checker,
    place: &str,
    table: &StockTable,
    drawings: &Drawings,
) -> (Ring, Vec<Ring>) {
    if let Some(size) = table.size.as_ref().filter(|s| s.is_bare()) {
        check.bare_number(place, "size", size.0.clone());
    }
    match (&table.size, &table.outline) {
        (Some(size), None) => match size.mm(check.units) {
            Ok((length, width)) if length > 0.0 && width > 0.0 => {
                return (Ring::rectangle(length, width), vec![]);
            }
            Ok(_) => check.fault(place, IssueKind::SizeNotPositive),
            Err(e) => check.fault(place, IssueKind::NotSize { written: e.text }),
        },
        (None, Some(file)) => match drawings.get(file).map(|d| d.parts.as_slice()) {
            Some([offcut]) => {
                let marked = offcut.features.iter().flat_map(|f| f.rings.clone());
                let keep = offcut.shape.openings.iter().map(|o| o.clone().positive());
                return (offcut.shape.outline.clone(), keep.chain(marked).collect());
            }
            Some(parts) => {
                let (file, found) = (file.clone(), parts.len());
                check.fault(place, IssueKind::OffcutOutlines { file, found });
            }
            None => check.fault(place, IssueKind::OffcutUnread { file: file.clone() }),
        },
        _ => check.fault(place, IssueKind::SizeOrOutline),
    }
    (Ring::rectangle(1.0, 1.0), vec![])
}

fn clear_ring(check: &mut Checker, place: &str, area: &KeepClear) -> Option<Ring> {
    let corner = point(
        check.signed(place, "keep-clear x", &area.x),
        check.signed(place, "keep-clear y", &area.y),
    );
    match (&area.width, &area.height, &area.radius) {
        (Some(width), Some(height), None) => {
            let width = check.length(place, "keep-clear width", width);
            let height = check.length(place, "keep-clear height", height);
            Some(Ring::rectangle(width, height).moved(corner))
        }
        (None, None, Some(radius)) => {
            let radius = check.length(place, "keep-clear radius", radius);
            Some(Ring::circle_around(corner, radius, crate::geometry::ARC_TOLERANCE))
        }
        _ => {
            check.fault(place, IssueKind::KeepClearShape);
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stock_is_named_by_what_tells_it_apart() {
        let table = |text: &str| -> StockTable { toml::from_str(text).expect("a table") };
        let thin = table("material = 'walnut'\nthickness = 3\nsize = '600 x 300'");
        let thick = table("material = 'walnut'\nthickness = 6\nsize = '600 x 300'");
        let maple = table("material = 'maple'\nthickness = 6\nsize = '600 x 300'");
        let named = table("name = 'shelf'\nmaterial = 'walnut'\nthickness = 6\nsize = '600 x 300'");
        let name =
            |of: &StockTable, beside: &StockTable| name_of(of, &[of.clone(), beside.clone()]);
        assert_eq!(name(&thin, &maple), "walnut 600 x 300");
        assert_eq!(name(&thin, &named), "walnut 600 x 300", "the other has a name");
        assert_eq!(name(&thin, &thick), "walnut 600 x 300, 3 thick");
        assert_eq!(name(&named, &thin), "shelf");
    }
}
