//! Sheets against the stock of the job; copies counted.

use super::super::{KeepClear, RandomJob, Stock, parts, usual_margin};
use super::Faults;
use super::measure::{closed, hausdorff};
use super::reading::{Layout, Sheet};
use geo::{Area, BoundingRect, Centroid, Distance, Euclidean};
use std::collections::BTreeMap;

/// How far the reading of a drawing may leave it, mm: the chord error of 0.01 in x and in y, and as much again for the
/// frame, which starts at the chords' bounds.
pub const READ: f64 = 0.03;

fn stock_of<'a>(job: &'a RandomJob, sheet: &Sheet) -> Option<&'a Stock> {
    job.stocks.iter().find(|s| s.name == sheet.stock)
}

pub fn check(job: &RandomJob, sheet: &Sheet, faults: &mut Faults) {
    let id = &sheet.id;
    let Some(stock) = stock_of(job, sheet) else {
        faults.add("stock", format!("{id}: no stock '{}' in the job", sheet.stock));
        return;
    };
    let mut must = |good: bool, what: &str| {
        faults.unless(good, "stock", || format!("{id}: {what} is not that of '{}'", stock.name));
    };
    must((sheet.thickness - stock.thickness).abs() < 0.05, "the thickness");
    must(
        (sheet.margin - stock.margin.unwrap_or(usual_margin(sheet.diameter))).abs() < 1e-6,
        "the margin",
    );
    must(sheet.open_length == stock.open_length, "open length");
    // A job that gives none leaves it along the longer side.
    let [width, height] = parts::bounds(&stock.outline).1;
    let upright = stock.grain_deg == 0.0 && !stock.open_length && height > 1.001 * width;
    let grain = if upright { 90.0 } else { stock.grain_deg };
    must((sheet.grain_deg - grain).abs() < 1e-6, "the grain");
    let drawn = closed(&stock.outline);
    if stock.open_length {
        let (_, board) = parts::bounds(&stock.outline);
        let used = sheet.outline.bounding_rect().map(|b| (b.width(), b.height()));
        must(
            used.is_some_and(|(w, h)| w <= board[0] + 1e-6 && (h - board[1]).abs() < 1e-6),
            "the length or width",
        );
        must(sheet.outline.exterior().0.len() == 5, "the board's shape");
    } else {
        must(hausdorff(sheet.outline.exterior(), &drawn) < READ, "the edge");
    }
    for area in &stock.keep_clear {
        must(sheet.keep_clear.iter().any(|k| same_area(k, area)), "a keep-clear area");
    }
    for part in &sheet.parts {
        let drawn = job.parts.iter().find(|p| p.name == part.part);
        let same = drawn.is_some_and(|p| {
            p.material.name == stock.material.name && (p.thickness - sheet.thickness).abs() < 0.05
        });
        faults.unless(same, "stock", || format!("{id}: {} is not cut from this", part.name));
    }
    let bit = job.bits.iter().find(|b| b.name == sheet.bit);
    let serves = bit.is_some_and(|b| {
        (b.diameter - sheet.diameter).abs() < 1e-9
            && b.material.is_none_or(|m| m == stock.material.name)
    });
    faults.unless(serves, "bit", || format!("{id}: '{}' of {} mm", sheet.bit, sheet.diameter));
    // Kerfs may coincide unless the job sets a web: then two kerfs and the web.
    let gap = job.web.map_or(sheet.diameter, |w| 2.0 * sheet.diameter + w);
    faults.unless((sheet.gap - gap).abs() < 1e-9, "gap asked", || {
        format!("{id}: {} instead of {gap}", sheet.gap)
    });
}

fn same_area(made: &geo::Polygon, drawn: &KeepClear) -> bool {
    match drawn {
        KeepClear::Drawn(points) => hausdorff(made.exterior(), &closed(points)) < READ,
        KeepClear::Rectangle([x, y], [w, h]) => {
            let ring = closed(&[[*x, *y], [x + w, *y], [x + w, y + h], [*x, y + h]]);
            hausdorff(made.exterior(), &ring) < 1e-6
        }
        KeepClear::Circle([x, y], r) => {
            let c = geo::Point::new(*x, *y);
            let far = |p: geo::Point| (Euclidean.distance(p, c) - r).abs();
            made.centroid().is_some_and(|m| Euclidean.distance(m, c) < 0.01)
                && made.exterior().points().all(|p| far(p) < 0.02)
                && (made.unsigned_area() / (std::f64::consts::PI * r * r) - 1.0).abs() < 0.02
        }
    }
}

/// Every copy that the job asks for is placed or named as left over, once; no more spares than asked; no more sheets than
/// there are.
pub fn counts(job: &RandomJob, layout: &Layout, faults: &mut Faults) {
    let mut seen: BTreeMap<(&str, u64), usize> = BTreeMap::new();
    let mut spares: BTreeMap<&str, usize> = BTreeMap::new();
    for p in layout.sheets.iter().flat_map(|s| &s.parts) {
        *seen.entry((&p.part, p.copy)).or_default() += 1;
        if p.spare {
            *spares.entry(&p.part).or_default() += 1;
        }
    }
    for (part, copy) in &layout.unplaced {
        *seen.entry((part, *copy)).or_default() += 1;
    }
    for ((part, copy), n) in &seen {
        faults.unless(*n == 1, "count", || format!("{part} {copy} is listed {n} times"));
        let known = job.parts.iter().find(|p| p.name == *part);
        faults.unless(known.is_some(), "count", || format!("no part '{part}' in the job"));
    }
    for p in &job.parts {
        let asked = (1..=p.quantity as u64).filter(|c| seen.contains_key(&(p.name.as_str(), *c)));
        let asked = asked.count();
        faults.unless(asked == p.quantity, "count", || {
            format!("{}: {asked} of {} copies are placed or named", p.name, p.quantity)
        });
        let extra = spares.get(p.name.as_str()).copied().unwrap_or(0);
        let all = seen.keys().filter(|(n, _)| *n == p.name).count();
        faults.unless(extra <= p.spares && all - extra == p.quantity, "count", || {
            format!("{}: {all} copies, {extra} of them spares", p.name)
        });
    }
    for stock in &job.stocks {
        let used = layout.sheets.iter().filter(|s| s.stock == stock.name).count();
        faults.unless(stock.quantity.is_none_or(|q| used <= q), "sheets", || {
            format!("{used} sheets of '{}', there are {:?}", stock.name, stock.quantity)
        });
    }
    let names: Vec<&str> = layout.sheets.iter().map(|s| s.id.as_str()).collect();
    let unique: std::collections::BTreeSet<&str> = names.iter().copied().collect();
    faults.unless(unique.len() == names.len(), "sheets", || format!("ids repeat: {names:?}"));
}
