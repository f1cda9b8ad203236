//! A picture of a part on its tabs: SVG with the tabs, the movement along the edge and the narrow sections.

use super::columns::wrap;
use super::markup::escape;
use super::{warnings, why, words};
use crate::geometry::{Bounds, Point, Ring, Vector};
use crate::hold::{HoldPlan, HoldTask, MapPlace, PartMap, part_map};
use crate::layout::Tab;
use crate::units::Units;
use std::fmt::Write;

/// Our own three steps, distinct in grey too: holds with reserve, holds, fails.
const GOOD: &str = "#3a7d5c";
const FAIR: &str = "#c98a1b";
const BAD: &str = "#9e2a2b";
/// Longest bar that shows movement, as a fraction of the picture.
const BAR: f64 = 0.07;
/// Number of sections drawn, weakest first.
const SECTIONS: usize = 6;

/// The part with its tabs and landings, the movement at the bit as bars off the edge, the weakest sections with
/// their margins and the weakest one named, with a legend in `units`. mm in the SVG's own coordinates.
///
/// Figures are those of the staged last pass at the worst load, with the grain in the first of its directions.
/// An empty picture (the outline alone) where the plan has no tabs.
pub fn held_picture(task: &HoldTask, plan: &HoldPlan, units: Units) -> String {
    let bounds = task.shape.bounds();
    if !bounds.min.finite() || !bounds.max.finite() {
        return String::from("<svg xmlns=\"http://www.w3.org/2000/svg\"/>\n");
    }
    let size = bounds.width().max(bounds.height()).max(1.0);
    let mut out = HeldPicture { text: String::new(), unit: size / 100.0 };
    out.rings(task);
    if let Some(map) = part_map(task, plan) {
        out.figures(task, &map, size, units);
    }
    for t in plan.hold.tabs.iter().filter(|t| t.ring > 0) {
        out.tab(t, task.bit.diameter, GOOD, "");
    }
    let lines = legend(plan, units);
    let view = bounds.grown(task.bit.diameter + 2.5 + size * (BAR + 0.05));
    out.framed(view, &lines)
}

struct HeldPicture {
    text: String,
    /// A hundredth of the part, mm: line widths and letters scale with it.
    unit: f64,
}

impl HeldPicture {
    fn rings(&mut self, task: &HoldTask) {
        let path: String = task.shape.rings().map(path).collect();
        let line = 0.35 * self.unit;
        let _ = writeln!(
            self.text,
            "<path id=\"part\" d=\"{path}\" fill=\"#eadfc9\" fill-rule=\"evenodd\" stroke=\"#3b2f20\" stroke-width=\"{line:.3}\"/>"
        );
        if let Some(&grain) = task.grain.first().filter(|_| task.material.has_grain()) {
            let c = task.shape.bounds().centre();
            let d = Point { x: 12.0 * self.unit, y: 0.0 }.turned(grain);
            let (a, b) = (c - d, c + d);
            let _ = writeln!(
                self.text,
                "<path id=\"grain\" d=\"M{:.3} {:.3}L{:.3} {:.3}\" stroke=\"#8a7350\" stroke-width=\"{line:.3}\" stroke-dasharray=\"{:.3}\"/>",
                a.x,
                a.y,
                b.x,
                b.y,
                2.0 * self.unit
            );
        }
    }

    fn figures(&mut self, task: &HoldTask, map: &PartMap, size: f64, units: Units) {
        let most = map.places.iter().map(|p| p.movement).fold(0.0, f64::max).max(1e-9);
        let _ = writeln!(
            self.text,
            "<g id=\"movement\" stroke=\"#2f5d8a\" stroke-width=\"{:.3}\">",
            0.5 * self.unit
        );
        for MapPlace { at, out, movement } in &map.places {
            let end = *at + *out * (BAR * size * movement / most);
            let _ = writeln!(
                self.text,
                "<path d=\"M{:.3} {:.3}L{:.3} {:.3}\"><title>{}</title></path>",
                at.x,
                at.y,
                end.x,
                end.y,
                words::precise(units, *movement)
            );
        }
        self.text.push_str("</g>\n<g id=\"sections\">\n");
        for (rank, (c, margin)) in map.sections.iter().take(SECTIONS).enumerate() {
            let width = if rank == 0 { 1.0 } else { 0.5 } * self.unit;
            let _ = writeln!(
                self.text,
                "<path d=\"M{:.3} {:.3}L{:.3} {:.3}\" stroke=\"{}\" stroke-width=\"{width:.3}\"><title>section {}, margin {margin:.2}</title></path>",
                c.a.x,
                c.a.y,
                c.b.x,
                c.b.y,
                colour(*margin),
                words::fine(units, c.width)
            );
            if rank == 0 {
                self.label(c.middle(), &format!("neck {margin:.1}"));
            }
        }
        self.text.push_str("</g>\n");
        for (k, (tab, margin)) in map.tabs.iter().enumerate() {
            let label = format!("{} ({margin:.1})", k + 1);
            self.tab(tab, task.bit.diameter, colour(*margin), &label);
        }
    }

    fn tab(&mut self, t: &Tab, kerf: f64, fill: &str, label: &str) {
        let line = 0.25 * self.unit;
        let _ = writeln!(
            self.text,
            "<path d=\"{}\" fill=\"none\" stroke=\"#777\" stroke-width=\"{line:.3}\"/>",
            path(&t.landing(kerf))
        );
        let _ = writeln!(self.text, "<path d=\"{}\" fill=\"{fill}\"/>", path(&t.bridge(kerf)));
        if !label.is_empty() {
            self.label(t.at + t.out * (kerf + 2.5 + 2.0 * self.unit), label);
        }
    }

    fn label(&mut self, p: Point, text: &str) {
        let _ = writeln!(
            self.text,
            "<text x=\"{:.3}\" y=\"{:.3}\" font-size=\"{:.3}\" font-family=\"sans-serif\" text-anchor=\"middle\" dominant-baseline=\"middle\">{}</text>",
            p.x,
            p.y,
            3.2 * self.unit,
            escape(text)
        );
    }

    fn framed(mut self, view: Bounds, lines: &[String]) -> String {
        let size = 3.2 * self.unit;
        let top = view.max.y;
        for (i, l) in lines.iter().enumerate() {
            let y = top + size * (1.5 + 1.4 * i as f64);
            let _ = writeln!(
                self.text,
                "<text x=\"{:.3}\" y=\"{y:.3}\" font-size=\"{size:.3}\" font-family=\"sans-serif\">{}</text>",
                view.min.x + size,
                escape(l)
            );
        }
        let longest = lines.iter().map(|l| l.chars().count()).max().unwrap_or(0) as f64;
        let width = view.width().max(longest * size * 0.55 + 2.0 * size);
        let height = view.height() + size * (1.5 + 1.4 * lines.len() as f64);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{:.3} {:.3} {width:.3} {height:.3}\" width=\"{:.0}\" height=\"{:.0}\">\n<rect x=\"{:.3}\" y=\"{:.3}\" width=\"{width:.3}\" height=\"{height:.3}\" fill=\"#fff\"/>\n{}</svg>\n",
            view.min.x,
            view.min.y,
            900.0,
            900.0 * height / width,
            view.min.x,
            view.min.y,
            self.text
        )
    }
}

fn legend(plan: &HoldPlan, units: Units) -> Vec<String> {
    let mut lines = vec![why::why_words(&plan.hold, units)];
    if let Some(f) = &plan.figures {
        lines.push(format!(
            "load {} at worst, last pass {}, least safety {:.2}; bars: movement at the bit, up to {}",
            units.force(f.load),
            words::fine(units, f.depth),
            f.safety,
            words::precise(units, f.movement)
        ));
        lines.push(
            "numbers beside tabs and sections: strength over what is required, 1.0 or more passes; dashes: grain"
                .into(),
        );
    }
    lines.extend(plan.warnings.iter().map(|w| warnings::kind_words(w, units)));
    lines.into_iter().flat_map(|l| wrap(&l, 110, [0, 0])).collect()
}

fn colour(margin: f64) -> &'static str {
    match margin {
        m if m >= 1.5 => GOOD,
        m if m >= 1.0 => FAIR,
        _ => BAD,
    }
}

fn path(ring: &Ring) -> String {
    let mut d = String::new();
    for (i, p) in ring.0.iter().enumerate() {
        let _ = write!(d, "{}{:.3} {:.3}", if i == 0 { "M" } else { "L" }, p.x, p.y);
    }
    d.push('Z');
    d
}
