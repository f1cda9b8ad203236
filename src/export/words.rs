//! Figures as a maker reads them, in the job's units.

use crate::geometry::{Bounds, Moments, Ring, Shape, Vector};
use crate::job::{Material, find_material};
use crate::layout::{CutTime, Hold, Method, PlacedPart, Sheet};
use crate::units::{KG_M3_PER_LB_FT3, MPA_PER_PSI, Units, trimmed};

/// What to do with a sheet whose skeleton no clamp holds.
pub const ON_TAPE: &str = "lay the whole sheet on double-sided tape: its skeleton has no room for clamps or has strips too slender for them, or the job asks for tape";

/// `600 x 300 mm`, `11 3/4 x 2 1/2 in`: two lengths with one unit.
pub fn size(units: Units, width: f64, height: f64) -> String {
    times(units, &length(units, width), &length(units, height))
}

/// `300 to 600 mm`: a stretch along a board.
pub fn span(units: Units, from: f64, to: f64) -> String {
    let (from, to) = (length(units, from), length(units, to));
    format!("{} to {to}", from.strip_suffix(unit(units)).unwrap_or(&from))
}

/// A tab's width and height with one unit.
fn pair(units: Units, width: f64, height: f64) -> String {
    times(units, &units.show(width), &units.show(height))
}

/// Two lengths, the first without its unit.
fn times(units: Units, first: &str, second: &str) -> String {
    format!("{} × {second}", first.strip_suffix(unit(units)).unwrap_or(first))
}

/// The unit that follows a length.
fn unit(units: Units) -> &'static str {
    match units {
        Units::Mm => " mm",
        Units::In => " in",
    }
}

/// A length of a part: to 0.1 mm, or as inches are shown.
pub fn length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => units.show((mm * 10.0).round() / 10.0),
        Units::In => units.show(mm),
    }
}

/// A thickness, bit or tab size: to a thousandth of a mm, or a fraction.
pub fn fine(units: Units, mm: f64) -> String {
    match units {
        // What reads 1.5875 in decimal may be a hair less in binary: a picometre more rounds halves up.
        Units::Mm => format!("{} mm", trimmed(mm + 1e-9_f64.copysign(mm), 3)),
        Units::In => units.show(mm),
    }
}

/// A small length with enough digits to compare: to a micrometre, or a hundred-thousandth of an inch.
pub fn precise(units: Units, mm: f64) -> String {
    let digits = if units == Units::In { 5 } else { 3 };
    format!("{}{}", trimmed(mm / units.mm(), digits), unit(units))
}

/// A place: `(12.5, 3) mm`, `(0.492, 0.118) in`.
pub fn pair_of(units: Units, [x, y]: [f64; 2]) -> String {
    let digits = if units == Units::In { 3 } else { 1 };
    let show = |mm: f64| trimmed(mm / units.mm(), digits);
    format!("({}, {}){}", show(x), show(y), unit(units))
}

/// A place in a part, from its top left as drawn: `12.5 mm right, 3 mm down`.
pub fn from_corner(units: Units, [x, y]: [f64; 2]) -> String {
    let show = |mm: f64| match units {
        Units::Mm => format!("{} mm", trimmed(mm, 2)),
        Units::In => format!("{} in", trimmed(mm / units.mm(), 3)),
    };
    format!("{} right, {} down", show(x), show(y))
}

/// A width that differs from a bit's by hundredths: never shown as a fraction.
pub fn exact_width(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{} mm", trimmed(mm, 3)),
        Units::In => format!("{} in", trimmed(mm / units.mm(), 4)),
    }
}

/// An area: `120 mm²`, `0.186 sq in`.
pub fn area(units: Units, mm2: f64) -> String {
    match units {
        Units::Mm => format!("{mm2:.0} mm²"),
        Units::In => format!("{:.3} sq in", mm2 / units.mm().powi(2)),
    }
}

/// A difference between widths: to a hundredth of a mm, or half a thousandth of an inch.
pub fn hair(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{mm:.2} mm"),
        Units::In => format!("{} in", trimmed((mm / units.mm() * 2000.0).round() / 2000.0, 4)),
    }
}

/// How far a part moves at the bit; what would read as nothing at all is less than the last digit.
pub fn moves(units: Units, mm: f64) -> String {
    less_than_last(units, mm).unwrap_or_else(|| movement(units, mm))
}

/// `up to 0.02 mm`, or less than the last digit.
pub fn moves_up_to(units: Units, mm: f64) -> String {
    less_than_last(units, mm).unwrap_or_else(|| format!("up to {}", movement(units, mm)))
}

fn less_than_last(units: Units, mm: f64) -> Option<String> {
    let last = if units == Units::In { 0.001 * units.mm() } else { 0.01 };
    (mm > 0.0 && mm < last / 2.0).then(|| format!("under {}", movement(units, last)))
}

/// A movement: two significant figures, since it is an estimate.
pub fn movement(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{mm:.2} mm"),
        Units::In => format!("{:.3} in", mm / units.mm()),
    }
}

/// A whole number with its thousands separated: `18,000`.
pub fn thousands(value: f64) -> String {
    let digits = trimmed(value, 0);
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// A strength or a modulus to three figures: `70 MPa`, `10,200 psi`.
pub fn stress(units: Units, mpa: f64) -> String {
    let (value, unit) = match units {
        Units::Mm => (mpa, "MPa"),
        Units::In => (mpa / MPA_PER_PSI, "psi"),
    };
    let step = 10f64.powf(value.abs().max(1e-9).log10().floor() - 2.0);
    let figures = (value / step).round() * step;
    let number = if figures < 100.0 { trimmed(figures, 2) } else { thousands(figures) };
    format!("{number} {unit}")
}

/// A density, kg/m³: `600 kg/m³`, `37.5 lb/ft³`.
pub fn density(units: Units, value: f64) -> String {
    match units {
        Units::Mm => format!("{} kg/m³", thousands(value)),
        Units::In => format!("{} lb/ft³", trimmed(value / KG_M3_PER_LB_FT3, 1)),
    }
}

/// A small length given by the user: to a hundredth of a mm, or a tenth of a thousandth of an inch.
pub fn hundredth(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{} mm", trimmed(mm, 2)),
        Units::In => format!("{:.4} in", mm / units.mm()),
    }
}

/// `31.2 %`.
pub fn percent(value: f64) -> String {
    format!("{value:.1} %")
}

/// Bounds of the part as it was drawn: rotated back to its own frame.
pub fn own_size(part: &PlacedPart) -> Bounds {
    let turn = -part.pose().rotation;
    Bounds::of(&part.outline.map(|p| p.turned(turn)).0)
}

/// `walnut, 6 mm`: the material as the job calls it, as thick as the job measured it.
pub fn material(units: Units, sheet: &Sheet) -> String {
    let name = if sheet.called.is_empty() { &sheet.material } else { &sheet.called };
    format!("{name}, {}", fine(units, sheet.thickness))
}

/// The sheet's size; for an offcut, that of its bounds.
pub fn sheet_size(units: Units, sheet: &Sheet) -> String {
    let b = sheet.outline.bounds();
    size(units, b.width(), b.height())
}

/// Most names listed in a sentence.
const FEW_NAMES: usize = 4;

/// `a, b, c, d and 3 more`.
pub fn few(names: &[String]) -> String {
    let more = match names.len().saturating_sub(FEW_NAMES) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    let few: Vec<&str> = names.iter().take(FEW_NAMES).map(String::as_str).collect();
    few.join(", ") + &more
}

/// `1 part`, `3 parts`.
pub fn count(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

/// `24 to 33 min`, from two hours on `2.1 to 2.8 h`: an estimate.
pub fn range_of_time(time: CutTime) -> String {
    let (low, high) = (time.least_min.max(0.0), time.most_min.max(0.0));
    let range =
        |low: String, high: String| if low == high { low } else { format!("{low} to {high}") };
    if high < 120.0 {
        let minutes = |m: f64| trimmed(m.ceil().max(1.0), 0);
        format!("{} min", range(minutes(low), minutes(high)))
    } else {
        let hours = |m: f64| trimmed(m / 60.0, 1);
        format!("{} h", range(hours(low), hours(high)))
    }
}

/// How a part of a sheet of `thickness` mm is held, in a few words: `3 tabs, 4 × 1.2 mm` (width x height),
/// `2 holding bridges, 3 × 3 mm`.
pub fn held(units: Units, hold: &Hold, thickness: f64) -> String {
    match hold.method {
        Method::Tabs => tabs(units, hold, thickness),
        Method::Skin => match hold.skin_mm {
            Some(skin) => format!("skin, {}", fine(units, skin)),
            None => "skin".into(),
        },
        Method::Tape => "tape".into(),
        Method::None => "not held: do not cut".into(),
    }
}

/// What to do where the last part cut round a piece of waste keeps it in place.
pub const IN_ORDER: &str = "cut the parts in the order on the page: the last part cut beside a piece of waste holds that waste, and \
whatever hangs on it, with tabs; \
                            do not let your CAM program sort the paths";

/// Whether the order in which a sheet's outlines are cut is part of what holds its parts.
pub fn in_order(sheet: &Sheet) -> bool {
    sheet.parts.iter().flat_map(|p| &p.hold.tabs).any(|t| t.waste)
}

/// Parts of a sheet that stand on holding bridges.
pub fn bridged(sheet: &Sheet) -> impl Iterator<Item = &PlacedPart> {
    let full = |p: &&PlacedPart| {
        p.hold.tabs.iter().any(|t| t.holds() && t.is_holding_bridge(sheet.thickness))
    };
    sheet.parts.iter().filter(full)
}

/// The tabs that hold the part by size, then those that hold drop-outs, and waste beyond the outline.
fn tabs(units: Units, hold: &Hold, thickness: f64) -> String {
    let mut sizes: Vec<(String, &str, usize)> = vec![];
    for tab in hold.tabs.iter().filter(|t| t.holds()) {
        let size = pair(units, tab.width, tab.height);
        let noun = if tab.is_holding_bridge(thickness) { "holding bridge" } else { "tab" };
        match sizes.iter_mut().find(|s| (&s.0, s.1) == (&size, noun)) {
            Some(like) => like.2 += 1,
            None => sizes.push((size, noun, 1)),
        }
    }
    let mut parts: Vec<String> =
        sizes.iter().map(|(size, noun, n)| format!("{}, {size}", count(*n, noun))).collect();
    let inside = hold.tabs.iter().filter(|t| t.ring > 0).count();
    if inside > 0 {
        parts.push(format!("{} in openings", count(inside, "tab")));
    }
    let waste = hold.tabs.iter().filter(|t| t.waste).count();
    if waste > 0 {
        parts.push(count(waste, "waste tab"));
    }
    if parts.is_empty() { "no tab".into() } else { parts.join("; ") }
}

/// The direction of the grain in a part where it lies.
pub fn grain(sheet: &Sheet, part: &PlacedPart) -> String {
    if !has_grain(sheet) {
        return "none".into();
    }
    let Some(axis) = long_axis(&part.outline) else { return "–".into() };
    let apart = (axis - sheet.grain_deg.to_radians()).sin().abs().asin().to_degrees();
    match apart {
        a if a < 15.0 => "along".into(),
        a if a > 75.0 => "across".into(),
        a => format!("{a:.0}° to length"),
    }
}

/// Whether the sheet's material has a grain.
pub fn has_grain(sheet: &Sheet) -> bool {
    match &sheet.material_constants {
        Some(constants) => constants.has_grain,
        None => find_material(&sheet.material, sheet.thickness).is_none_or(Material::has_grain),
    }
}

/// Direction of the part's length, radians, from the second moments of its area; `None` where the part
/// is as long as it is wide (moments within a quarter).
fn long_axis(ring: &Ring) -> Option<f64> {
    let (_, moments) = Moments::of_area(&Shape::new(ring.clone().positive(), vec![]))?;
    let [least, most] = moments.principal();
    (most.is_finite() && most > 1.25 * least).then(|| moments.direction())
}

/// Waste in percent of the sheet when its largest remnant counts as kept.
pub fn waste_after_remnants(sheet: &Sheet) -> f64 {
    let (kept, area) = kept_and_area(sheet);
    if area > 0.0 { 100.0 * (1.0 - kept / area) } else { 0.0 }
}

/// Area of parts and the largest remnant, and of the sheet, mm².
pub fn kept_and_area(sheet: &Sheet) -> (f64, f64) {
    (sheet.part_area + sheet.kept_area(), sheet.sheet_area)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    /// Second moments of a rectangle w x h about its centroid: w³h/12 and wh³/12 (any text on mechanics).
    #[test]
    fn the_long_axis_of_a_turned_bar() {
        for degrees in [0.0_f64, 30.0, 80.0, -45.0] {
            let turn = degrees.to_radians();
            let bar = Ring::rectangle(50.0, 8.0).map(|p| p.turned(turn) + point(7.0, -3.0));
            let axis = long_axis(&bar).unwrap();
            assert!((axis - turn).sin().abs() < 1e-9, "{degrees}");
        }
        assert!(long_axis(&Ring::rectangle(10.0, 10.0)).is_none());
    }

    #[test]
    fn sizes_in_both_units() {
        assert_eq!(size(Units::Mm, 600.0, 300.04), "600 × 300 mm");
        assert_eq!(size(Units::In, 298.45, 63.5), "11 3/4 × 2 1/2 in");
        assert_eq!(movement(Units::Mm, 0.0231), "0.02 mm");
        assert_eq!(count(1, "tab"), "1 tab");
    }
}
