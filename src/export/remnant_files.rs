//! Remnants as files: a drawing of each, a list in the form of the job file's stock, labels to print.

use super::markup::{escape, number, ring_data};
use super::words::{fine, size};
use crate::geometry::Vector;
use crate::layout::Offcut;
use crate::units::Units;
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

/// Its row in a list of stock, as a job file has it.
pub fn remnant_row(offcut: &Offcut) -> String {
    let b = offcut.rectangle.bounds();
    let what = match is_drawn(offcut) {
        true => format!("outline = \"{}.svg\"", offcut.name),
        false => format!("size = \"{} x {} mm\"", number(b.width()), number(b.height())),
    };
    let quoted = |text: &str| toml::Value::from(text).to_string();
    format!(
        "[[stock]]\nname = {}\nmaterial = {}\nthickness = \"{}mm\"\n{what}\ngrain = {}\nmargin = \"{}mm\"\nquantity = 1\nprice = 0\n",
        quoted(&offcut.name),
        quoted(&offcut.material),
        number(offcut.thickness),
        number(offcut.grain_deg),
        number(offcut.margin)
    )
}

/// Labels to print and cut out: name, material, size and an arrow along the grain of each.
pub fn remnant_labels(found: &[Offcut], units: Units) -> String {
    let mut out = String::from(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>Labels of remnants</title>\n<style>\n\
         body { font: 14px sans-serif; margin: 12mm; }\n\
         .label { display: inline-block; width: 80mm; border: 1px dashed #888; padding: 4mm; margin: 2mm; vertical-align: top; break-inside: avoid; }\n\
         svg { display: block; max-width: 72mm; max-height: 40mm; margin-top: 2mm; }\n</style>\n</head>\n<body>\n",
    );
    for offcut in found {
        let (b, r) = (offcut.outline.bounds(), offcut.rectangle.bounds());
        let rings: Vec<String> = offcut.outline.rings().map(ring_data).collect();
        let long = b.width().max(b.height());
        let angle = offcut.grain_deg.to_radians();
        let middle = r.min + (r.max - r.min) * 0.5;
        let reach = 0.3 * r.width().min(r.height()).max(long * 0.2);
        let along = crate::geometry::point(angle.cos(), angle.sin()) * reach;
        let (from, to) = (middle - along, middle + along);
        let barb = |side: f64| to - along * 0.3 + along.perp() * (0.2 * side);
        let (p, q) = (barb(1.0), barb(-1.0));
        let line = long / 150.0;
        let _ = writeln!(
            out,
            "<div class=\"label\"><b>{}</b><br>{}, {}<br>at least {}<svg width=\"72mm\" height=\"40mm\" viewBox=\"{:.1} {:.1} {:.1} {:.1}\" role=\"img\" \
             aria-label=\"outline, with the grain along the arrow\"><g fill=\"none\" stroke=\"#000\" stroke-width=\"{line:.2}\">\
             <path d=\"{}\"/><path d=\"M{:.1} {:.1} L{:.1} {:.1} M{:.1} {:.1} L{:.1} {:.1} L{:.1} {:.1}\"/></g></svg></div>",
            escape(&offcut.name),
            escape(&offcut.material),
            fine(units, offcut.thickness),
            size(units, r.width(), r.height()),
            b.min.x - line,
            b.min.y - line,
            b.width() + 2.0 * line,
            b.height() + 2.0 * line,
            rings.join(" "),
            from.x,
            from.y,
            to.x,
            to.y,
            p.x,
            p.y,
            to.x,
            to.y,
            q.x,
            q.y
        );
    }
    out.push_str("</body>\n</html>\n");
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Ring, Shape, point};

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
        let row = "[[stock]]\nname = \"a-left-1\"\nmaterial = \"birch plywood\"\nthickness = \"6.35mm\"\nsize = \"200 x 100 mm\"\n\
                   grain = 90\nmargin = \"6mm\"\nquantity = 1\nprice = 0\n";
        assert_eq!(remnant_row(&plain), row);
        assert!(remnant_row(&drawn).contains("outline = \"b-left-1.svg\""));
        assert_eq!(remnant_svg(&plain), None);
        let svg = remnant_svg(&drawn).expect("a drawing");
        assert!(svg.contains("width=\"300mm\" height=\"200mm\""), "{svg}");
        let labels = remnant_labels(&[drawn], Units::In);
        assert!(labels.contains("birch plywood, 1/4 in") && !labels.contains("mm<"), "{labels}");
    }
}
