//! Stock for a group: sheets, boards of open length, offcuts, with clamps and knots on them.

use super::chance::Chance;
use super::curve::{Edge, Loop, P, Place};
use super::drawing::{Item, svg};
use super::parts::bounds;
use super::{KeepClear, Part, Pin, RandomJob, Stock};

/// A stock, and the file it is drawn in if it is an offcut.
type Made = (Stock, Option<(String, String)>);

/// One or two kinds of stock that the parts fit on, mostly; may pin a part.
pub fn for_parts(
    job: &RandomJob,
    group: usize,
    parts: &mut [Part],
    chance: &mut Chance,
) -> Vec<Made> {
    let widest = job.bits.iter().map(|b| b.diameter).fold(0.0, f64::max);
    // Across corners, so that the part fits at any turn, with kerf and landing on either side.
    let longest = parts.iter().map(|p| diagonal(&p.outline)).fold(0.0, f64::max);
    let boxes: f64 = parts
        .iter()
        .map(|p| {
            let (_, high) = bounds(&p.outline);
            (p.quantity + p.spares) as f64 * (high[0] + widest) * (high[1] + widest)
        })
        .sum();
    let kinds = if chance.yes(0.25) { 2 } else { 1 };
    let mut made = vec![];
    for n in 0..kinds {
        let margin = chance.pick(&[None, Some(0.0), Some(0.0), Some(1.0), Some(4.0), Some(-1.0)]);
        let margin = margin.map(|m| if m < 0.0 { chance.real(0.0, 6.0) } else { m });
        let edge = 2.0 * (margin.unwrap_or(super::usual_margin(widest)) + 2.0 * widest + 3.0);
        let short = if chance.yes(0.08) { chance.real(0.4, 0.9) } else { 1.0 };
        let aspect = chance.real(0.6, 1.8);
        let room = boxes * chance.real(1.0, 2.5);
        let w = short * (longest + edge).max((room * aspect).sqrt() + edge);
        let h = short * (longest + edge).max((room / aspect).sqrt() + edge);
        let (w, h) = (round(w), round(h));
        let first = &parts[0];
        let mut stock = Stock {
            name: format!("{} no. {}-{}", first.material.name, group + 1, n + 1),
            material: first.material,
            thickness: first.thickness,
            outline: Loop::rectangle(0.0, 0.0, w, h, 0.0).samples(),
            file: None,
            keep_clear: vec![],
            margin,
            open_length: false,
            grain_deg: chance.pick(&[0.0, 0.0, 0.0, 90.0, 30.0]),
            quantity: chance.yes(0.2).then(|| chance.whole(1, 3)),
        };
        let mut file = None;
        match chance.whole(0, 9) {
            0 | 1 => {
                // At most as long as anybody sells.
                stock.outline =
                    Loop::rectangle(0.0, 0.0, round((2.0 * w).max(h)), h, 0.0).samples();
                stock.open_length = true;
            }
            2 | 3 => file = Some(offcut(&mut stock, 1.4 * w, 1.4 * h, n + 2 * group, chance)),
            _ => {}
        }
        if chance.yes(0.25) {
            clamps(&mut stock, chance);
        }
        made.push((stock, file));
    }
    let plain = |s: &Stock| s.file.is_none() && s.keep_clear.is_empty() && !s.open_length;
    if made.len() == 1 && plain(&made[0].0) && chance.yes(0.3) {
        pin(&mut parts[0], &made[0].0, chance);
    }
    made
}

fn round(mm: f64) -> f64 {
    (mm * 2.0).ceil() / 2.0
}

fn diagonal(points: &[P]) -> f64 {
    let (low, high) = bounds(points);
    (high[0] - low[0]).hypot(high[1] - low[1])
}

/// An L, or a board with a natural edge, in a drawing of its own; now and then with a knot hole.
fn offcut(stock: &mut Stock, w: f64, h: f64, n: usize, chance: &mut Chance) -> (String, String) {
    let (bite, depth) = (chance.real(0.1, 0.3), chance.real(0.1, 0.3));
    let edge = if chance.yes(0.5) {
        Loop::polygon(&[
            [0.0, 0.0],
            [w * (1.0 - bite), 0.0],
            [w * (1.0 - bite), h * depth],
            [w, h * depth],
            [w, h],
            [0.0, h],
        ])
    } else {
        let down = |a: f64, b: f64, x: f64, y: f64| {
            Edge::Cubic([w * (x + 0.2), h * a], [w * (x + 0.1), h * b], [w * x, h * y])
        };
        let edges = vec![
            Edge::Line([w, 0.0]),
            Edge::Line([w * (1.0 - 0.3 * bite), 0.9 * h]),
            down(1.0, 0.95, 0.6, 0.9),
            down(0.85, 1.0, 0.3, 0.95),
            Edge::Cubic([0.2 * w, 0.9 * h], [0.1 * w, h], [0.0, 0.9 * h]),
            Edge::Line([0.0, 0.0]),
        ];
        Loop { start: [0.0, 0.0], edges }
    };
    let holes = if chance.yes(0.3) {
        vec![Loop::circle([0.3 * w, 0.4 * h], 0.04 * w.min(h) + 1.0)]
    } else {
        vec![]
    };
    stock.outline = edge.samples();
    stock.keep_clear.extend(holes.iter().map(|o| KeepClear::Drawn(o.samples())));
    let at = Place::moved(chance.real(0.0, 20.0), chance.real(0.0, 20.0));
    let file = format!("offcut-{}.svg", n + 1);
    let item = Item {
        name: "blank".into(),
        outline: edge.placed(&at),
        openings: holes.iter().map(|o| o.placed(&at)).collect(),
        features: vec![],
    };
    stock.file = Some(file.clone());
    (file, svg(&[item], chance))
}

/// Screws in corners and a knot somewhere.
fn clamps(stock: &mut Stock, chance: &mut Chance) {
    let (_, high) = bounds(&stock.outline);
    let (w, h) = (high[0], high[1]);
    for _ in 0..chance.whole(1, 3) {
        let anywhere = chance.real(0.0, w);
        let at = [chance.pick(&[8.0, w - 8.0, anywhere]), chance.pick(&[8.0, h - 8.0])];
        let area = if chance.yes(0.5) {
            KeepClear::Circle(at, chance.real(2.0, 8.0))
        } else {
            KeepClear::Rectangle(at, [chance.real(2.0, 15.0), chance.real(2.0, 15.0)])
        };
        stock.keep_clear.push(area);
    }
}

/// Pins one copy near the sheet's top left, turned as the maker likes.
fn pin(part: &mut Part, stock: &Stock, chance: &mut Chance) {
    let margin = stock.margin.unwrap_or(super::usual_margin(6.35));
    let turn_deg = chance.pick(&[0.0, 90.0, 180.0, 37.0]);
    let turned = Place::turned(f64::to_radians(turn_deg));
    let points: Vec<P> = part.outline.iter().map(|&p| turned.apply(p)).collect();
    let (low, high) = bounds(&points);
    let (_, sheet) = bounds(&stock.outline);
    let from = margin + chance.real(7.0, 12.0);
    let round = |v: f64| (v * 1000.0).round() / 1000.0;
    let fits = (0..2).all(|k| from + high[k] - low[k] + margin + 7.0 < sheet[k]);
    if fits {
        part.pin = Some(Pin { at: [round(from - low[0]), round(from - low[1])], turn_deg });
    }
}
