//! Remnants as files: a drawing of each, a list in the form of the job file's stock, labels to print.

use super::markup::{escape, number, ring_data};
use super::words::{fine, size};
use crate::geometry::{Vector, point};
use crate::job::{Material, find_material};
use crate::layout::Offcut;
use crate::units::{Units, trimmed};
use std::fmt::Write;

/// A remnant whose outline has more than this share beyond its rectangle is kept as drawn, else as a plain rectangle (set by hand).
const MORE: f64 = 0.1;

/// Whether the remnant is kept with its true outline, in a drawing of its own.
fn is_drawn(offcut: &Offcut) -> bool {
    offcut.outline.net_area() > (1.0 + MORE) * offcut.rectangle.area()
}

/// The drawing of a remnant at true scale, as `outline` of a stock reads it; `None` where its size says all.
pub fn remnant_svg(offcut: &Offcut) -> Option<String> {
    if !is_drawn(offcut) {
        return None;
    }
    let b = offcut.outline.bounds();
    let (w, h) = (number(b.width()), number(b.height()));
    let rings: Vec<String> = offcut.outline.rings().map(ring_data).collect();
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n\
         <path id=\"{}\" d=\"{}\" fill=\"none\" stroke=\"#000000\" stroke-width=\"0.2\"/>\n</svg>\n",
        escape(&offcut.name),
        rings.join(" ")
    ))
}

/// Its row in a list of stock, as a job file has it; left on that date (`2026-11-29`).
pub fn remnant_row(offcut: &Offcut, units: Units, date: &str) -> String {
    let b = offcut.rectangle.bounds();
    let what = match is_drawn(offcut) {
        true => format!("outline = \"{}.svg\"", offcut.name),
        false => format!("size = \"{}\"", written(units, &[b.width(), b.height()])),
    };
    let quoted = |text: &str| toml::Value::from(text).to_string();
    format!(
        "[[stock]]\nname = {}\nmaterial = {}\nthickness = \"{}\"\n{what}\ngrain = {}\nmargin = \"{}\"\nquantity = 1\nprice = 0\ndate = {date}\n",
        quoted(&offcut.name),
        quoted(&offcut.material),
        written(units, &[offcut.thickness]),
        number(offcut.grain_deg),
        written(units, &[offcut.margin])
    )
}

/// Lengths as the job file reads them back, to a thousandth of a mm.
fn written(units: Units, lengths: &[f64]) -> String {
    let one = |mm: &f64| match units {
        Units::Mm => number(*mm),
        Units::In => trimmed(mm / units.mm(), 5),
    };
    let unit = if units == Units::Mm { "mm" } else { "in" };
    format!("{} {unit}", lengths.iter().map(one).collect::<Vec<_>>().join(" x "))
}

/// Labels to print and cut out: name, material, largest rectangle, date and an arrow along the grain of each.
pub fn remnant_labels(found: &[Offcut], units: Units, date: &str) -> String {
    let mut out = String::from(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>Labels of remnants</title>\n<style>\n\
         body { font: 14px sans-serif; margin: 12mm; }\n\
         .label { display: inline-block; width: 80mm; border: 1px dashed #888; padding: 4mm; margin: 2mm; vertical-align: top; break-inside: avoid; }\n\
         svg { display: block; max-width: 72mm; max-height: 40mm; margin-top: 2mm; }\n</style>\n</head>\n<body>\n",
    );
    for offcut in found {
        let grain = arrow(offcut);
        let (b, r) = (offcut.outline.bounds(), offcut.rectangle.bounds());
        let rings: Vec<String> = offcut.outline.rings().map(ring_data).collect();
        let long = b.width().max(b.height());
        let line = long / 150.0;
        let _ = writeln!(
            out,
            "<div class=\"label\"><b>{}</b><br>{}, {}{}<br>largest rectangle in it: {}; {date}<svg width=\"72mm\" height=\"40mm\" viewBox=\"{:.1} {:.1} {:.1} {:.1}\" role=\"img\" \
             aria-label=\"its outline\"><g fill=\"none\" stroke=\"#000\" stroke-width=\"{line:.2}\">\
             <path d=\"{}\"/>{}</g></svg></div>",
            escape(&offcut.name),
            escape(&offcut.material),
            fine(units, offcut.thickness),
            if grain.is_some() { "; grain along the arrow" } else { "" },
            at_least(units, r.width(), r.height()),
            b.min.x - line,
            b.min.y - line,
            b.width() + 2.0 * line,
            b.height() + 2.0 * line,
            rings.join(" "),
            grain.unwrap_or_default()
        );
    }
    out.push_str("</body>\n</html>\n");
    out
}

/// An arrow along the grain, in the middle of the rectangle; `None` where the material has none.
fn arrow(offcut: &Offcut) -> Option<String> {
    find_material(&offcut.material, offcut.thickness).filter(|m| Material::has_grain(m))?;
    let (b, r) = (offcut.outline.bounds(), offcut.rectangle.bounds());
    let angle = offcut.grain_deg.to_radians();
    let reach = 0.3 * r.width().min(r.height()).max(0.2 * b.width().max(b.height()));
    let along = point(angle.cos(), angle.sin()) * reach;
    let (from, to) = (r.centre() - along, r.centre() + along);
    let barb = |side: f64| to - along * 0.3 + along.perp() * (0.2 * side);
    let (p, q) = (barb(1.0), barb(-1.0));
    Some(format!(
        "<path d=\"M{:.1} {:.1} L{:.1} {:.1} M{:.1} {:.1} L{:.1} {:.1} L{:.1} {:.1}\"/>",
        from.x, from.y, to.x, to.y, p.x, p.y, to.x, to.y, q.x, q.y
    ))
}

/// The size rounded down to what a ruler shows: a millimetre, or a sixteenth of an inch.
fn at_least(units: Units, width: f64, height: f64) -> String {
    let step = match units {
        Units::Mm => 1.0,
        Units::In => units.mm() / 16.0,
    };
    let down = |mm: f64| (mm / step + 1e-6).floor() * step;
    size(units, down(width), down(height))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape};

    fn offcut(name: &str, free: Ring) -> Offcut {
        Offcut {
            name: name.into(),
            material: "birch plywood".into(),
            thickness: 6.35,
            grain_deg: 90.0,
            margin: 6.0,
            outline: Shape::new(free, vec![]),
            rectangle: Ring::rectangle(200.0, 100.0),
        }
    }

    #[test]
    fn a_remnant_is_drawn_where_it_is_more_than_a_rectangle() {
        let plain = offcut("a-left-1", Ring::rectangle(205.0, 100.0));
        let corner = [
            (0.0, 0.0),
            (300.0, 0.0),
            (300.0, 100.0),
            (200.0, 100.0),
            (200.0, 200.0),
            (0.0, 200.0),
        ];
        let drawn = offcut("b-left-1", Ring(corner.map(|(x, y)| point(x, y)).to_vec()));
        let row = "[[stock]]\nname = \"a-left-1\"\nmaterial = \"birch plywood\"\nthickness = \"6.35 mm\"\nsize = \"200 x 100 mm\"\n\
                   grain = 90\nmargin = \"6 mm\"\nquantity = 1\nprice = 0\ndate = 2026-11-29\n";
        assert_eq!(remnant_row(&plain, Units::Mm, "2026-11-29"), row);
        let inches = remnant_row(&plain, Units::In, "2026-11-29");
        // 200 and 100 mm.
        let size = "thickness = \"0.25 in\"\nsize = \"7.87402 x 3.93701 in\"";
        assert!(inches.contains(size) && inches.contains("margin = \"0.23622 in\""), "{inches}");
        assert!(
            remnant_row(&drawn, Units::Mm, "2026-11-29").contains("outline = \"b-left-1.svg\"")
        );
        assert_eq!(remnant_svg(&plain), None);
        let svg = remnant_svg(&drawn).expect("a drawing");
        assert!(svg.contains("width=\"300mm\" height=\"200mm\""), "{svg}");
        let labels = remnant_labels(std::slice::from_ref(&drawn), Units::In, "2026-11-29");
        assert!(labels.contains("birch plywood, 1/4 in") && !labels.contains("mm<"), "{labels}");
        // 200 mm are 7.87 in, 100 mm 3.94: 7 13/16 and 3 7/8 are the sixteenths below.
        let facts =
            "grain along the arrow<br>largest rectangle in it: 7 13/16 × 3 7/8 in; 2026-11-29<svg";
        assert!(labels.contains(facts), "{labels}");
        let clear = Offcut { material: "acrylic".into(), ..drawn };
        assert!(!remnant_labels(&[clear], Units::In, "").contains("arrow"));
    }
}
