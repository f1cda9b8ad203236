//! The sheet as it stands after each tenth of its parts is cut, in small pictures that show what hangs on what.

use super::given::Report;
use super::picture::data;
use super::tone::tone;
use crate::export::lines::{LooseWaste, SheetCut};
use crate::export::markup::number;
use crate::geometry::{Bounds, EdgeIndex, Ring, Segment, Shape};
use crate::layout::{PlacedPart, Sheet};
use std::fmt::Write;
use std::iter::once;

const PICTURES: usize = 10;
/// Fewer parts than this need no pictures; of more they would be as large as the rest of the page.
const FEWEST: usize = 3;
const MOST: usize = 600;
/// Width of a picture, pixels.
const WIDTH: f64 = 200.0;
/// What has just been cut.
const NEW: &str = "#1f5f4a";
/// How much farther from a part's edge than the bit is wide a piece of waste may lie and still border on it, mm: slivers of half a
/// millimetre are not shown as waste.
const BESIDE: f64 = 0.3;

/// What is cut between one picture and the next.
#[derive(Debug, PartialEq)]
struct Step {
    /// Places in the order of cut, from 1: the first and the last.
    numbers: (usize, usize),
    /// The parts, by index.
    parts: Vec<usize>,
    /// The waste that is loose from now on, by index.
    loose: Vec<usize>,
}

fn steps_of(sheet: &Sheet, cut: &SheetCut) -> Vec<Step> {
    let shapes: Vec<Shape> = sheet.parts.iter().map(PlacedPart::shape).collect();
    steps(&shapes, sheet.bit.diameter, cut)
}

/// Parts in the order of cut, a tenth at a time; waste that comes loose in the step that cuts the last part beside it.
fn steps(parts: &[Shape], bit: f64, cut: &SheetCut) -> Vec<Step> {
    let count = parts.len();
    if !(FEWEST..=MOST).contains(&count) {
        return vec![];
    }
    let order = cut.order_of(count);
    let mut place = vec![0; count];
    order.iter().enumerate().for_each(|(at, &part)| place[part] = at);
    let freed = |piece: &LooseWaste| {
        piece
            .comes_loose
            .then(|| beside(parts, bit, &piece.outline).map(|i| place[i]).max())
            .flatten()
    };
    let freed: Vec<Option<usize>> = cut.loose.iter().map(freed).collect();
    let pictures = PICTURES.min(count);
    let step = |k: usize| {
        let (from, to) = (k * count / pictures, (k + 1) * count / pictures);
        let here = |at: &Option<usize>| at.is_some_and(|at| (from..to).contains(&at));
        Step {
            numbers: (from + 1, to),
            parts: order[from..to].to_vec(),
            loose: (0..freed.len()).filter(|&i| here(&freed[i])).collect(),
        }
    };
    (0..pictures).map(step).collect()
}

/// The parts whose kerf a piece of waste borders on.
fn beside<'a>(parts: &'a [Shape], bit: f64, piece: &Ring) -> impl Iterator<Item = usize> + use<'a> {
    let reach = bit + BESIDE;
    let (edges, near) = (EdgeIndex::of_rings(once(piece)), piece.bounds().grown(reach));
    let borders = move |s: Segment| {
        near.touches(Bounds::of(&[s.a, s.b])) && edges.segment_distance(s, reach) < reach
    };
    (0..parts.len()).filter(move |&i| {
        let mut edges = parts[i].rings().flat_map(Ring::segments);
        parts[i].bounds().touches(near) && edges.any(&borders)
    })
}

/// Hidden definitions, made from those of the large pictures: of every sheet the group `s1c0`, nothing cut, and one for each
/// picture, made from the one before.
pub fn definitions(report: &Report) -> String {
    let sheets: String = (0..report.layout.sheets.len()).map(|i| groups(report, i)).collect();
    if sheets.is_empty() {
        return sheets;
    }
    format!(
        "<svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\" focusable=\"false\"><defs>{sheets}\n</defs></svg>\n"
    )
}

fn groups(report: &Report, i: usize) -> String {
    let (sheet, cut, n) = (&report.layout.sheets[i], report.cut(i), i + 1);
    let steps = steps_of(sheet, &cut);
    if steps.is_empty() {
        return String::new();
    }
    let (bit, tone, thin) = (sheet.bit.diameter, tone(sheet), number(0.7 * unit(sheet)));
    let uses = |parts: &[usize]| -> String {
        parts.iter().map(|p| format!("<use href=\"#s{n}p{p}\"/>")).collect()
    };
    let all: Vec<usize> = (0..sheet.parts.len()).collect();
    let mut out = format!(
        "\n<g id=\"s{n}c0\"><path d=\"{}\" fill=\"{}\" stroke=\"#55493c\" stroke-width=\"{thin}\"/>\
         <g fill=\"none\" stroke=\"#8a7c6a\" stroke-width=\"{thin}\">{}</g></g>",
        data([&sheet.outline]),
        tone.stock,
        uses(&all),
    );
    for (k, step) in steps.iter().enumerate() {
        let tabs = step.parts.iter().flat_map(|&p| &sheet.parts[p].hold.tabs);
        let bridges: Vec<Ring> = tabs.map(|t| t.bridge(bit)).collect();
        let uses = uses(&step.parts);
        let _ = write!(
            out,
            "\n<g id=\"s{n}c{}\"><use href=\"#s{n}c{k}\"/>\
             <g fill=\"none\" stroke=\"#fdfbf6\" stroke-width=\"{}\" stroke-linejoin=\"round\">{uses}</g>\
             <g fill=\"{}\" fill-rule=\"evenodd\">{uses}</g><path d=\"{}\" fill=\"#c0392b\"/>",
            k + 1,
            number(2.0 * bit),
            tone.part,
            data(&bridges),
        );
        let loose = data(step.loose.iter().map(|&i| &cut.loose[i].outline));
        if !loose.is_empty() {
            let _ = write!(out, "<path d=\"{loose}\" fill=\"#fdfbf6\"/>");
            let _ = write!(out, "<path d=\"{loose}\" fill=\"#c0392b\" fill-opacity=\"0.35\"/>");
        }
        out.push_str("</g>");
    }
    out
}

/// The pictures of sheet `i`, with the numbers of the parts that each has cut; nothing for a sheet of few parts, or of very many.
pub fn pictures(report: &Report, i: usize) -> String {
    let (sheet, n) = (&report.layout.sheets[i], i + 1);
    let steps = steps_of(sheet, &report.cut(i));
    if steps.is_empty() {
        return String::new();
    }
    let mut out = String::from(
        "<p class=\"notes\"><b>As it is cut</b>, a tenth of the parts at a time: green has just been cut, white is cut through, red \
        are tabs, and light red is waste that is loose by then.</p>\n<div class=\"tenths\">\n",
    );
    let (b, edge) = (sheet.outline.bounds(), unit(sheet));
    let view = format!(
        "{:.2} {:.2} {:.2} {:.2}",
        b.min.x - edge,
        b.min.y - edge,
        b.width() + 2.0 * edge,
        b.height() + 2.0 * edge
    );
    for (k, step) in steps.iter().enumerate() {
        let (first, last) = step.numbers;
        let numbers = if first == last { first.to_string() } else { format!("{first}–{last}") };
        let new: String = step.parts.iter().map(|p| format!("<use href=\"#s{n}p{p}\"/>")).collect();
        let _ = writeln!(
            out,
            "<figure><svg viewBox=\"{view}\" role=\"img\" aria-label=\"Sheet {n} once parts {numbers} are cut\">\
             <use href=\"#s{n}c{}\"/><g fill=\"{NEW}\" fill-opacity=\"0.7\" fill-rule=\"evenodd\">{new}</g></svg>\
             <figcaption>{numbers}</figcaption></figure>",
            k + 1,
        );
    }
    out.push_str("</div>\n");
    out
}

/// mm a pixel.
fn unit(sheet: &Sheet) -> f64 {
    sheet.outline.bounds().width().max(1.0) / WIDTH
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    /// Twelve plates of 10 mm, 13 mm apart, cut from the last to the first by a bit of 3 mm; a piece of waste lies a kerf above
    /// plates 4 and 5 of the list, one above plate 0, and one that is tied above plate 11.
    #[test]
    fn each_part_is_cut_once_and_waste_is_loose_when_the_last_part_beside_it_is_cut() {
        let at = |i: usize| 13.0 * i as f64;
        let parts: Vec<Shape> = (0..12).map(|i| plate(at(i))).collect();
        let piece = |from: usize, to: usize, comes_loose: bool| LooseWaste {
            outline: Ring::rectangle(at(to) - at(from) + 10.0, 5.0).moved(point(at(from), 12.0)),
            comes_loose,
        };
        let cut = SheetCut {
            order: (0..12).rev().collect(),
            loose: vec![piece(4, 5, true), piece(0, 0, true), piece(11, 11, false)],
            ..SheetCut::default()
        };
        let steps = steps(&parts, 3.0, &cut);
        assert_eq!(steps.len(), 10);
        let parts: Vec<usize> = steps.iter().flat_map(|s| s.parts.clone()).collect();
        assert_eq!(parts, (0..12).rev().collect::<Vec<_>>());
        // By hand: 12 parts by tenths end at 1, 2, 3, 4, 6, 7, 8, 9, 10 and 12.
        let ends: Vec<usize> = steps.iter().map(|s| s.numbers.1).collect();
        assert_eq!(ends, [1, 2, 3, 4, 6, 7, 8, 9, 10, 12]);
        // Plate 4 is the eighth, plate 0 the twelfth.
        let loose: Vec<(usize, usize)> =
            steps.iter().flat_map(|s| s.loose.iter().map(|l| (s.numbers.1, *l))).collect();
        assert_eq!(loose, [(8, 0), (12, 1)]);
    }

    fn plate(x: f64) -> Shape {
        Shape::new(Ring::rectangle(10.0, 10.0).moved(point(x, 20.0)), vec![])
    }

    #[test]
    fn a_sheet_of_two_parts_needs_no_pictures() {
        assert_eq!(steps(&[plate(0.0), plate(20.0)], 3.0, &SheetCut::default()), vec![]);
    }
}
