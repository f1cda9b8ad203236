//! A picture of a part on its tabs: SVG with the tabs, the movement along the edge and the narrow sections.

use super::table::unit_name;
use crate::geometry::{Bounds, Contour, Point, Ring, Vector};
use crate::hold::check::planner::Planner;
use crate::hold::methods::hold_plan::HoldPlan;
use crate::hold::task::HoldTask;
use crate::layout::{Method, Tab};
use crate::units::{Units, trimmed};
use std::fmt::Write;

/// Our own three steps, legible in grey: holds with reserve, holds, fails.
const GOOD: &str = "#3a7d5c";
const FAIR: &str = "#c98a1b";
const BAD: &str = "#9e2a2b";
/// Longest bar that shows movement, as a share of the picture.
const BAR: f64 = 0.07;
/// Sections drawn, weakest first.
const SECTIONS: usize = 6;

/// The part with its tabs and landings, the movement at the bit as bars off the edge, the weakest sections with
/// their margins and the weakest one named, with a legend in `units`. mm in the SVG's own coordinates.
///
/// Figures are those of the staged last pass at the worst load, the grain at the first of its directions.
/// An empty picture (the outline alone) where the plan has no tabs.
pub fn picture(task: &HoldTask, plan: &HoldPlan, units: Units) -> String {
    let bounds = task.shape.bounds();
    if !bounds.min.finite() || !bounds.max.finite() {
        return String::from("<svg xmlns=\"http://www.w3.org/2000/svg\"/>\n");
    }
    let size = bounds.width().max(bounds.height()).max(1.0);
    let mut out = Drawing { text: String::new(), unit: size / 100.0 };
    out.rings(task);
    let outline: Vec<Tab> = plan.hold.tabs.iter().filter(|t| t.ring == 0).cloned().collect();
    if plan.hold.method == Method::Tabs && !outline.is_empty() {
        out.figures(task, plan, &outline, size, units);
    }
    for t in plan.hold.tabs.iter().filter(|t| t.ring > 0) {
        out.tab(t, task.bit.diameter, GOOD, "");
    }
    let lines = legend(plan, units);
    let view = bounds.grown(task.bit.diameter + 2.5 + size * (BAR + 0.05));
    out.framed(view, &lines)
}

struct Drawing {
    text: String,
    /// A hundredth of the part, mm: line widths and letters scale with it.
    unit: f64,
}

impl Drawing {
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

    fn figures(&mut self, task: &HoldTask, plan: &HoldPlan, tabs: &[Tab], size: f64, units: Units) {
        let Some(contours) = task.shape.rings().map(Contour::new).collect::<Option<Vec<_>>>()
        else {
            return;
        };
        let sections = task.sections(&contours);
        let planner = Planner::new(task, contours[0].clone(), 0, &sections);
        let mut placed: Vec<(f64, Tab)> =
            tabs.iter().map(|t| (planner.contour.nearest(t.at), t.clone())).collect();
        placed.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (places, map) = planner.map(&placed, plan.hold.last_pass);
        let most = map.movement.iter().copied().fold(0.0, f64::max).max(1e-9);
        let _ = writeln!(
            self.text,
            "<g id=\"movement\" stroke=\"#2f5d8a\" stroke-width=\"{:.3}\">",
            0.5 * self.unit
        );
        for (p, m) in places.iter().zip(&map.movement) {
            let out = planner.contour.out(planner.contour.nearest(*p), task.bit.diameter / 4.0);
            let end = *p + out * (BAR * size * m / most);
            let _ = writeln!(
                self.text,
                "<path d=\"M{:.3} {:.3}L{:.3} {:.3}\"><title>{} {}</title></path>",
                p.x,
                p.y,
                end.x,
                end.y,
                trimmed(m / units.mm(), 5),
                unit_name(units)
            );
        }
        self.text.push_str("</g>\n<g id=\"sections\">\n");
        let mut order: Vec<usize> =
            (0..planner.chords.len()).filter(|&i| map.sections[i].is_finite()).collect();
        order.sort_by(|&a, &b| map.sections[a].total_cmp(&map.sections[b]));
        for (rank, &i) in order.iter().take(SECTIONS).enumerate() {
            let (c, margin) = (&planner.chords[i], map.sections[i]);
            let width = if rank == 0 { 1.0 } else { 0.5 } * self.unit;
            let _ = writeln!(
                self.text,
                "<path d=\"M{:.3} {:.3}L{:.3} {:.3}\" stroke=\"{}\" stroke-width=\"{width:.3}\"><title>section {} {}, margin {margin:.2}</title></path>",
                c.a.x,
                c.a.y,
                c.b.x,
                c.b.y,
                colour(margin),
                trimmed(c.width / units.mm(), 3),
                unit_name(units)
            );
            if rank == 0 {
                self.label(c.middle(), &format!("neck {margin:.1}"));
            }
        }
        self.text.push_str("</g>\n");
        for (k, t) in tabs.iter().enumerate() {
            let place = placed.iter().position(|p| p.1 == *t).unwrap_or(0);
            let margin = map.tabs.get(place).copied().unwrap_or(f64::INFINITY);
            self.tab(t, task.bit.diameter, colour(margin), &format!("{} ({margin:.1})", k + 1));
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
    let h = &plan.hold;
    let mut lines = vec![h.why.clone()];
    if let Some(f) = &plan.figures {
        lines.push(format!(
            "load {:.1} N at the worst, last pass {}, least safety {:.2}; bars: movement at the bit, up to {} {}",
            f.load, units.show(f.depth), f.safety, trimmed(f.movement / units.mm(), 4), unit_name(units)
        ));
        lines.push("numbers beside tabs and sections: strength over what is required, 1 and up holds; dashes: grain".into());
    }
    lines.extend(plan.warnings.iter().cloned());
    lines.into_iter().flat_map(|l| wrapped(&l, 110)).collect()
}

/// Lines of at most `most` characters, broken at spaces.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let last = lines.len() - 1;
        if !lines[last].is_empty() && lines[last].chars().count() + word.chars().count() >= most {
            lines.push(word.into());
        } else {
            if !lines[last].is_empty() {
                lines[last].push(' ');
            }
            lines[last].push_str(word);
        }
    }
    lines
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

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
