//! Bits on hand, and a drawing of a few parts.

use super::chance::Chance;
use super::curve::{Loop, P, Place};
use super::drawing::{Item, Mark, svg};
use super::shapes::{Drawn, KINDS, draw};
use super::{Bit, Grain, Material, Part, RandomJob};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Diameters people own, mm.
const DIAMETERS: [f64; 6] = [1.5875, 2.0, 3.0, 3.175, 3.175, 6.35];

/// One to three bits; the first serves every material.
pub fn bits(chance: &mut Chance) -> Vec<Bit> {
    let mut bits: Vec<Bit> = vec![];
    for _ in 0..chance.whole(1, 3) {
        let diameter = chance.pick(&DIAMETERS);
        if bits.iter().any(|b| b.diameter == diameter) {
            continue;
        }
        let kept = !bits.is_empty() && chance.yes(0.2);
        bits.push(Bit {
            name: format!("bit no. {}", bits.len() + 1),
            diameter,
            spiral: chance.pick(&[Some("down"), Some("down"), Some("up"), Some("straight"), None]),
            material: kept.then(|| chance.pick(&["walnut", "acrylic"])),
        });
    }
    bits
}

/// Largest size of a part, mm: a thumbnail, a hand, a page, a sheet.
fn size(chance: &mut Chance) -> f64 {
    match chance.whole(0, 9) {
        0..=2 => chance.spread(10.0, 20.0),
        3..=7 => chance.spread(20.0, 80.0),
        8 => chance.spread(80.0, 200.0),
        _ => chance.spread(200.0, 500.0),
    }
}

/// A drawing of a group's parts, with its file.
pub fn drawing(
    job: &RandomJob,
    group: usize,
    material: Material,
    thickness: f64,
    chance: &mut Chance,
) -> (Vec<Part>, (String, String)) {
    let file = ["parts.svg", "more parts.svg"][group].to_string();
    let finest = super::finest(&job.bits, material.name);
    let marked = chance.yes(0.5);
    let (mut parts, mut items): (Vec<Part>, Vec<Item>) = (vec![], vec![]);
    let mut x = chance.real(2.0, 30.0);
    for n in 0..chance.whole(1, 5) {
        let kind = chance.pick(&KINDS);
        // Now and then a detail that no bit on hand enters.
        let room = if chance.yes(0.02) { 0.5 * finest } else { 1.03 * finest + 0.05 };
        let shape = draw(kind, size(chance), room, chance);
        let letter = char::from(b'a' + (5 * group + n) as u8);
        let name = match chance.whole(0, 3) {
            0 => format!("{kind} {letter} (loose)"),
            1 => format!("{kind}_{letter} & co"),
            _ => format!("{kind}-{letter}"),
        };
        let any = chance.real(0.0, TAU);
        let turn = chance.pick(&[0.0, 0.0, FRAC_PI_2, any]);
        let drawn = if chance.yes(0.1) { 2 } else { 1 };
        let features = if marked { features(&shape, chance) } else { vec![] };
        for copy in 0..drawn {
            let turn = turn + copy as f64 * chance.real(0.5, 5.0);
            let item = laid(&name, &shape, &features, turn, &mut x, copy);
            if copy == 0 {
                parts.push(part(&item, &shape, &file, material, thickness, drawn, chance));
            }
            items.push(item);
        }
    }
    let text = svg(&items, chance);
    (parts, (file, text))
}

/// Pockets, drill holes and engravings on the shape's solid place.
fn features(shape: &Drawn, chance: &mut Chance) -> Vec<(Mark, Loop)> {
    let Some((c, r)) = shape.solid.filter(|s| s.1 > 1.5) else { return vec![] };
    match chance.whole(0, 3) {
        0 => vec![(
            Mark::Stroke("#1f6f8b"),
            Loop::rectangle(c[0] - 0.6 * r, c[1] - 0.6 * r, r, r, 0.0),
        )],
        1 => vec![(Mark::Stroke("#b5432e"), Loop::circle(c, 0.3 * r))],
        2 => vec![(Mark::Group("engrave"), Loop::circle(c, 0.8 * r))],
        _ => vec![],
    }
}

/// The kind of feature that a mark means; the job file says the same.
pub fn kind_of(mark: Mark) -> &'static str {
    match mark {
        Mark::Stroke("#1f6f8b") => "pocket",
        Mark::Stroke(_) => "drill",
        Mark::Group(_) => "engraving",
    }
}

/// The shape on the page, turned, to the right of what lies there; `x` goes on.
fn laid(
    name: &str,
    shape: &Drawn,
    features: &[(Mark, Loop)],
    turn: f64,
    x: &mut f64,
    copy: usize,
) -> Item {
    let turned = shape.outline.placed(&Place::turned(turn)).samples();
    let (low, high) = bounds(&turned);
    let to = [*x - low[0], 3.0 - low[1]];
    *x += high[0] - low[0] + 4.0;
    let place = Place { turn, at: to, ..Place::HERE };
    Item {
        name: if copy == 0 { name.into() } else { format!("{name} again") },
        outline: shape.outline.placed(&place),
        openings: shape.openings.iter().map(|o| o.placed(&place)).collect(),
        features: features.iter().map(|(m, f)| (*m, f.placed(&place))).collect(),
    }
}

fn part(
    item: &Item,
    shape: &Drawn,
    file: &str,
    material: Material,
    thickness: f64,
    drawn: usize,
    chance: &mut Chance,
) -> Part {
    let outline = item.outline.samples();
    let (low, _) = bounds(&outline);
    let home = |points: Vec<P>| -> Vec<P> {
        points.into_iter().map(|p| [p[0] - low[0], p[1] - low[1]]).collect()
    };
    let grain = match chance.whole(0, 5) {
        0 => Grain::Any,
        1 => Grain::Along(0.0),
        2 => Grain::Along(90.0),
        3 => Grain::Along(f64::from(chance.whole(1, 35) as u32) * 5.0),
        _ => Grain::Strong,
    };
    let tab_free = if chance.yes(0.15) {
        vec![chance.pick(&["left", "right", "top", "bottom"])]
    } else {
        vec![]
    };
    Part {
        name: item.name.clone(),
        drawing: file.into(),
        material,
        thickness,
        outline: home(outline),
        openings: item.openings.iter().map(|o| home(o.samples())).collect(),
        features: item.features.iter().map(|(m, f)| (kind_of(*m), home(f.samples()))).collect(),
        narrowest: shape.narrowest,
        quantity: if chance.yes(0.5) { drawn } else { chance.whole(1, 4) },
        drawn,
        spares: if chance.yes(0.15) { chance.whole(1, 2) } else { 0 },
        grain,
        tolerance_deg: if chance.yes(0.2) { chance.real(1.0, 40.0) } else { 0.0 },
        mirror: chance.yes(0.15),
        tab_free,
        pin: None,
    }
}

/// Least and greatest coordinates.
pub fn bounds(points: &[P]) -> (P, P) {
    let start = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    points.iter().fold(start, |(low, high), p| {
        ([low[0].min(p[0]), low[1].min(p[1])], [high[0].max(p[0]), high[1].max(p[1])])
    })
}
