//! An SVG file as drawing programs export them: units, nested transforms, elements of every sort.

use super::chance::Chance;
use super::curve::{Edge, Loop, Place};
use std::fmt::Write;

/// What a drawing file says one of its units is.
#[derive(Debug, Clone, Copy)]
struct Page {
    /// Units in a mm.
    per_mm: f64,
    /// What the page's size is stated in, and how many of those make a mm; pixels without a unit if empty.
    suffix: &'static str,
    stated_per_mm: f64,
    decimals: usize,
}

const PAGES: [Page; 5] = [
    Page { per_mm: 1.0, suffix: "mm", stated_per_mm: 1.0, decimals: 4 },
    Page { per_mm: 10.0, suffix: "mm", stated_per_mm: 1.0, decimals: 3 },
    Page { per_mm: 1.0 / 25.4, suffix: "in", stated_per_mm: 1.0 / 25.4, decimals: 6 },
    Page { per_mm: 72.0 / 25.4, suffix: "pt", stated_per_mm: 72.0 / 25.4, decimals: 4 },
    // No physical size: 96 pixels to the inch (W3C CSS Values and Units 3, section 6.2).
    Page { per_mm: 96.0 / 25.4, suffix: "", stated_per_mm: 96.0 / 25.4, decimals: 4 },
];

/// One thing on the page, in mm.
#[derive(Debug, Clone)]
pub struct Item {
    pub name: String,
    pub outline: Loop,
    pub openings: Vec<Loop>,
    /// Features by the stroke's colour, or by the name of the group they lie in.
    pub features: Vec<(Mark, Loop)>,
}

/// The sign by which a feature is known.
#[derive(Debug, Clone, Copy)]
pub enum Mark {
    Stroke(&'static str),
    Group(&'static str),
}

/// The file's text. Items lie where their curves are.
pub fn svg(items: &[Item], chance: &mut Chance) -> String {
    let page = chance.pick(&PAGES);
    let points = items.iter().flat_map(|i| i.outline.samples());
    let (w, h) = points.fold((1.0, 1.0), |(w, h): (f64, f64), p| (w.max(p[0]), h.max(p[1])));
    let (w, h) = (w + 5.0, h + 5.0);
    let size = |mm: f64| format!("{:.6}{}", mm * page.stated_per_mm, page.suffix);
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" \
         height=\"{}\" viewBox=\"0 0 {:.6} {:.6}\">\n",
        size(w),
        size(h),
        w * page.per_mm,
        h * page.per_mm,
    );
    for item in items {
        write_item(item, &page, chance, &mut out);
    }
    out + "</svg>\n"
}

fn write_item(item: &Item, page: &Page, chance: &mut Chance, out: &mut String) {
    let transform = random_transform(page, chance);
    let back = inverse(&transform);
    let local = |l: &Loop| l.placed(&Place::scaled(page.per_mm)).placed(&back);
    let written = match chance.whole(0, 2) {
        0 if transform.flip => matrix(&transform),
        0 => format!(
            "translate({:.6} {:.6}) rotate({:.8}) scale({:.6})",
            transform.at[0],
            transform.at[1],
            transform.turn.to_degrees(),
            transform.scale
        ),
        _ => matrix(&transform),
    };
    let name = escape(&item.name);
    let plain = item.name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
    let (head, title) = match chance.whole(0, 2) {
        0 if plain => (format!("id=\"{name}\""), String::new()),
        1 => (format!("data-name=\"{name}\""), String::new()),
        _ => (String::new(), format!("<title>{name}</title>")),
    };
    let _ = writeln!(
        out,
        "<g {head} transform=\"{written}\" fill=\"none\" stroke=\"#000000\" stroke-width=\"{:.4}\">{title}",
        0.2 * page.per_mm
    );
    // Under a scale of its own a group needs that many decimals more or fewer; two more serve all.
    let decimals = page.decimals + 2;
    let openings: Vec<Loop> = item.openings.iter().map(local).collect();
    if !openings.is_empty() && chance.yes(0.5) {
        let loops = std::iter::once(local(&item.outline)).chain(openings);
        let data: Vec<String> = loops.map(|l| l.data(decimals)).collect();
        let _ = writeln!(out, "<path fill-rule=\"evenodd\" d=\"{}\"/>", data.join(" "));
    } else {
        element(&local(&item.outline), "", decimals, chance, out);
        openings.iter().for_each(|l| element(l, "", decimals, chance, out));
    }
    for (mark, curve) in &item.features {
        match mark {
            Mark::Stroke(colour) => {
                let style = format!(" style=\"stroke:{colour};fill:none\"");
                element(&local(curve), &style, decimals, chance, out);
            }
            Mark::Group(group) => {
                let _ = writeln!(out, "<g class=\"{group}\">");
                element(&local(curve), "", decimals, chance, out);
                out.push_str("</g>\n");
            }
        }
    }
    out.push_str("</g>\n");
}

/// The curve as the plainest element that draws it, or as a path.
fn element(curve: &Loop, style: &str, decimals: usize, chance: &mut Chance, out: &mut String) {
    let all_lines = curve.edges.iter().all(|e| matches!(e, Edge::Line(_)));
    let n = |v: f64| format!("{v:.decimals$}");
    let _ = match (as_circle(curve), chance.yes(0.5)) {
        (Some((c, r)), true) => {
            let (x, y, r) = (n(c[0]), n(c[1]), n(r));
            writeln!(out, "<circle{style} cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>")
        }
        (None, true) if all_lines => {
            let points: Vec<String> =
                curve.samples().iter().map(|p| format!("{},{}", n(p[0]), n(p[1]))).collect();
            writeln!(out, "<polygon{style} points=\"{}\"/>", points.join(" "))
        }
        _ => writeln!(out, "<path{style} d=\"{}\"/>", curve.data(decimals)),
    };
}

/// Centre and radius of a curve made of four quarters of one circle.
fn as_circle(curve: &Loop) -> Option<([f64; 2], f64)> {
    let arcs: Vec<f64> = curve
        .edges
        .iter()
        .filter_map(|e| if let Edge::Arc { r, .. } = e { Some(*r) } else { None })
        .collect();
    if curve.edges.len() != 4 || arcs.len() != 4 {
        return None;
    }
    // The second stop lies opposite the start.
    let Edge::Arc { to, .. } = curve.edges[1] else { return None };
    Some(([(curve.start[0] + to[0]) / 2.0, (curve.start[1] + to[1]) / 2.0], arcs[0]))
}

fn random_transform(page: &Page, chance: &mut Chance) -> Place {
    if chance.yes(0.4) {
        return Place::HERE;
    }
    let at = [chance.real(-50.0, 50.0) * page.per_mm, chance.real(-50.0, 50.0) * page.per_mm];
    let turn = if chance.yes(0.5) { 0.0 } else { chance.real(-3.0, 3.0) };
    Place { scale: chance.pick(&[1.0, 1.0, 0.5, 2.0]), flip: chance.yes(0.3), turn, at }
}

/// The place that takes back what `place` does.
fn inverse(place: &Place) -> Place {
    let turn = if place.flip { place.turn } else { -place.turn };
    let back = Place { scale: 1.0 / place.scale, flip: place.flip, turn, at: [0.0, 0.0] };
    let moved = back.apply(place.at);
    Place { at: [-moved[0], -moved[1]], ..back }
}

/// SVG's `matrix(a b c d e f)`: the columns are where x, y and the origin go.
fn matrix(place: &Place) -> String {
    let at = place.at;
    let column = |p| {
        let q = place.apply(p);
        [q[0] - at[0], q[1] - at[1]]
    };
    let (x, y) = (column([1.0, 0.0]), column([0.0, 1.0]));
    format!("matrix({:.10} {:.10} {:.10} {:.10} {:.6} {:.6})", x[0], x[1], y[0], y[1], at[0], at[1])
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('"', "&quot;")
}
