//! A drawing as a file: parts as named groups, written as plain SVG the way different programs would.

use super::path::{Loop, P, Step};
use std::fmt::Write;

/// Stroke of cut edges.
pub const CUT: &str = "#000000";
/// Stroke of pockets (see `[marks]` in the job).
pub const POCKET: &str = "#1f6f8b";
/// Stroke of holes to drill.
pub const DRILL: &str = "#b5432e";
/// Stroke of edges to keep clear of tabs.
pub const TAB_FREE: &str = "#7a4fa3";

/// A drawing in mm, or in inches on paper.
pub struct Paper {
    width: f64,
    height: f64,
    per_unit: f64,
    unit: &'static str,
    body: String,
}

/// A part under way: its loops are written into one group.
pub struct Part<'a> {
    paper: &'a mut Paper,
    at: P,
}

impl Paper {
    /// A drawing of `width` x `height` mm in mm.
    pub fn mm(width: f64, height: f64) -> Paper {
        Paper { width, height, per_unit: 1.0, unit: "mm", body: String::new() }
    }

    /// A drawing of `width` x `height` inches whose user units are thousandths of an inch.
    pub fn inches(width: f64, height: f64) -> Paper {
        Paper { width, height, per_unit: 25.4 / 1000.0, unit: "in", body: String::new() }
    }

    /// Draws a part as a group named `id`, its own origin at `at`.
    pub fn part(&mut self, id: &str, at: P, draw: impl FnOnce(&mut Part)) {
        let _ = writeln!(self.body, "  <g id=\"{id}\">");
        draw(&mut Part { paper: self, at });
        self.body.push_str("  </g>\n");
    }

    /// Draws part `id` again, moved by `(dx, dy)` mm.
    pub fn copy(&mut self, id: &str, dx: f64, dy: f64) {
        let (dx, dy) = (self.number(dx), self.number(dy));
        let _ = writeln!(self.body, "  <use href=\"#{id}\" x=\"{dx}\" y=\"{dy}\"/>");
    }

    /// The file.
    pub fn finish(self) -> String {
        let scale = if self.unit == "in" { 1000.0 } else { 1.0 };
        let (w, h) = (self.width, self.height);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}{u}\" height=\"{h}{u}\" \
             viewBox=\"0 0 {} {}\">\n  <g fill=\"none\" stroke=\"{CUT}\" stroke-width=\"{}\">\n{}  </g>\n</svg>\n",
            w * scale,
            h * scale,
            short(0.2 / self.per_unit),
            self.body,
            u = self.unit,
        )
    }

    /// mm as the file's units, rounded to 0.1 µm.
    fn number(&self, mm: f64) -> String {
        short(mm / self.per_unit)
    }

    /// Path data of an outline.
    fn data(&self, ring: &Loop) -> String {
        let mut d = format!("M{} {}", self.number(ring.start.0), self.number(ring.start.1));
        for step in &ring.steps {
            d.push_str(&self.step(*step));
        }
        if ring.closed {
            d.push('Z');
        }
        d
    }

    fn step(&self, step: Step) -> String {
        let n = |v| self.number(v);
        match step {
            Step::Line(p) => format!("L{} {}", n(p.0), n(p.1)),
            Step::Arc { radius, large, sweep, to } => {
                let (r, large, sweep) = (n(radius), u8::from(large), u8::from(sweep));
                format!("A{r} {r} 0 {large} {sweep} {} {}", n(to.0), n(to.1))
            }
            Step::Curve(a, b, to) => {
                format!("C{} {} {} {} {} {}", n(a.0), n(a.1), n(b.0), n(b.1), n(to.0), n(to.1))
            }
        }
    }
}

impl Part<'_> {
    /// Cut edges as one path, even when there are openings.
    pub fn cut(&mut self, rings: &[Loop]) {
        let d: Vec<String> = rings.iter().map(|r| self.data(r)).collect();
        self.element(&format!("<path fill-rule=\"evenodd\" d=\"{}\"/>", d.join("")));
    }

    /// A cut edge as a closed path of its own.
    pub fn edge(&mut self, ring: &Loop) {
        let d = self.data(ring);
        self.element(&format!("<path d=\"{d}\"/>"));
    }

    /// A cut edge as loose pieces that only meet end to end, in no order and every other one reversed,
    /// as modellers write the edges of a face.
    pub fn loose(&mut self, ring: &Loop) {
        let ring = ring.moved(self.at.0, self.at.1);
        let starts = std::iter::once(ring.start).chain(ring.steps.iter().map(|s| s.end()));
        let mut pieces: Vec<(P, Step)> = starts.zip(ring.steps.iter().copied()).collect();
        let end = ring.steps.last().map_or(ring.start, |s| s.end());
        if ring.closed && end.minus(ring.start).norm() > 1e-6 {
            pieces.push((end, Step::Line(ring.start)));
        }
        pieces.retain(|(from, step)| step.end().minus(*from).norm() > 1e-6);
        let n = pieces.len();
        // A stride that shares no factor with n visits every piece once.
        let stride = (n / 2 + 1..2 * n + 2).find(|&s| gcd(s, n) == 1).unwrap_or(1);
        for i in 0..n {
            let (from, step) = pieces[i * stride % n];
            let (from, step) = if i % 2 == 0 { (from, step) } else { reversed(from, step) };
            let text = self.piece(from, step);
            self.element(&text);
        }
    }

    /// A hole cut through.
    pub fn hole(&mut self, centre: P, diameter: f64) {
        self.round(centre, diameter, CUT);
    }

    /// A hole to drill.
    pub fn drill(&mut self, centre: P, diameter: f64) {
        self.round(centre, diameter, DRILL);
    }

    /// An area to clear to a depth.
    pub fn pocket(&mut self, ring: &Loop) {
        self.coloured(ring, POCKET);
    }

    /// A line along an edge to keep clear of tabs.
    pub fn tab_free(&mut self, line: &Loop) {
        self.coloured(line, TAB_FREE);
    }

    /// Lines of a feature told apart by the name of its group.
    pub fn group(&mut self, name: &str, lines: &[Loop]) {
        self.element(&format!("<g id=\"{name}\">"));
        for line in lines {
            let d = self.data(line);
            self.element(&format!("  <path d=\"{d}\"/>"));
        }
        self.element("</g>");
    }

    fn round(&mut self, centre: P, diameter: f64, stroke: &str) {
        let n = |v| self.paper.number(v);
        let c = centre.plus(self.at);
        let circle =
            format!("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"", n(c.0), n(c.1), n(diameter / 2.0));
        let stroke = if stroke == CUT { String::new() } else { format!(" stroke=\"{stroke}\"") };
        self.element(&format!("{circle}{stroke}/>"));
    }

    fn coloured(&mut self, ring: &Loop, stroke: &str) {
        let d = self.data(ring);
        self.element(&format!("<path stroke=\"{stroke}\" d=\"{d}\"/>"));
    }

    fn piece(&self, from: P, step: Step) -> String {
        let n = |v| self.paper.number(v);
        match step {
            Step::Line(to) => {
                format!(
                    "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
                    n(from.0),
                    n(from.1),
                    n(to.0),
                    n(to.1)
                )
            }
            _ => format!("<path d=\"M{} {}{}\"/>", n(from.0), n(from.1), self.paper.step(step)),
        }
    }

    fn data(&self, ring: &Loop) -> String {
        self.paper.data(&ring.moved(self.at.0, self.at.1))
    }

    fn element(&mut self, text: &str) {
        let _ = writeln!(self.paper.body, "    {text}");
    }
}

/// The same piece run from its other end.
fn reversed(from: P, step: Step) -> (P, Step) {
    let back = match step {
        Step::Line(_) => Step::Line(from),
        Step::Arc { radius, large, sweep, .. } => {
            Step::Arc { radius, large, sweep: !sweep, to: from }
        }
        Step::Curve(a, b, _) => Step::Curve(b, a, from),
    };
    (step.end(), back)
}

fn gcd(a: usize, b: usize) -> usize {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// At most four decimals, no trailing zeros, no negative zero.
fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}
