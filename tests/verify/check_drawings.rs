//! Layouts and the drawings beside them, changed in known ways and found by `check`: kinds of mutation, with counts.
//!
//! The jobs are the samples, made here with few moves. Every mutation would harm a maker; each must be
//! found by the rules that `tabwright check` applies, and the unchanged files must pass.

use crate::check_support::{Change, Made, Rng, any, made, tabbed, tide_clock};
use rand::{RngExt, SeedableRng};
use rayon::prelude::*;
use std::collections::BTreeMap;
use tabwright::geometry::{Vector, point};
use tabwright::layout::{HoldFigures, Method};

fn figures(m: &mut Made, rng: &mut Rng, change: impl Fn(&mut HoldFigures)) -> Option<()> {
    let part = any(m.sheet(), rng, |p| p.hold.figures.is_some())?;
    part.hold.figures.as_mut().map(change)
}

const LAYOUT: [(&str, Change); 27] = [
    ("x raised by 30 mm", |m, r| any(m.sheet(), r, |_| true).map(|p| p.x += 30.0)),
    ("y lowered by 0.1 mm", |m, r| any(m.sheet(), r, |_| true).map(|p| p.y -= 0.1)),
    ("turned by 90 degrees", |m, r| any(m.sheet(), r, |_| true).map(|p| p.rotation_deg += 90.0)),
    ("mirrored", |m, r| any(m.sheet(), r, |_| true).map(|p| p.mirrored = !p.mirrored)),
    ("a tab deleted", |m, r| {
        let p = any(m.sheet(), r, tabbed)?;
        let n = r.random_range(0..p.hold.tabs.len());
        p.hold.tabs.remove(n);
        Some(())
    }),
    ("a tab of 0.5 x 0.1 mm", |m, r| {
        let t = any(m.sheet(), r, tabbed)?.hold.tabs.first_mut()?;
        (t.width, t.height) = (0.5, 0.1);
        Some(())
    }),
    ("a tab narrowed by 0.2 mm", |m, r| {
        any(m.sheet(), r, tabbed)?.hold.tabs.first_mut().map(|t| t.width -= 0.2)
    }),
    ("a tab widened by 0.2 mm", |m, r| {
        any(m.sheet(), r, tabbed)?.hold.tabs.first_mut().map(|t| t.width += 0.2)
    }),
    ("a tab lowered by 0.1 mm", |m, r| {
        any(m.sheet(), r, tabbed)?.hold.tabs.first_mut().map(|t| t.height -= 0.1)
    }),
    ("a tab moved by 0.5 mm", |m, r| {
        any(m.sheet(), r, tabbed)?.hold.tabs.first_mut().map(|t| t.at = t.at + t.out.perp() * 0.5)
    }),
    ("safety five times as high", |m, r| any(m.sheet(), r, |_| true).map(|p| p.hold.safety *= 5.0)),
    ("safety and all its figures five times as high", |m, r| {
        let p = any(m.sheet(), r, |p| p.hold.figures.is_some())?;
        p.hold.safety *= 5.0;
        let f = p.hold.figures.as_mut()?;
        f.least_margin *= 5.0;
        for v in [&mut f.tab_safety, &mut f.part_safety] {
            *v = v.map(|v| 5.0 * v);
        }
        Some(())
    }),
    ("movement a tenth", |m, r| {
        let p = any(m.sheet(), r, tabbed)?;
        p.hold.movement_mm /= 100.0;
        Some(())
    }),
    ("a margin under 1", |m, r| figures(m, r, |f| f.least_margin = 0.97)),
    ("one gone under 1", |m, r| figures(m, r, |f| f.one_gone_safety = Some(0.9))),
    ("load halved", |m, r| {
        any(m.sheet(), r, |p| p.hold.load_n > 0.0).map(|p| p.hold.load_n /= 2.0)
    }),
    ("last pass twice as deep", |m, r| {
        any(m.sheet(), r, |p| p.hold.last_pass > 0.0).map(|p| p.hold.last_pass *= 2.0)
    }),
    ("the sheet's last pass the deepest", |m, _| {
        let deepest = m.sheet().parts.iter().map(|p| p.hold.last_pass).fold(0.0, f64::max);
        let own = m.sheet().cut.last_pass;
        m.sheet().cut.last_pass = deepest;
        (deepest > own).then_some(())
    }),
    ("cutting force a tenth", |m, _| {
        m.sheet().cut.kc /= 10.0;
        Some(())
    }),
    ("no wear, no grain", |m, _| {
        m.sheet().cut.factor = 1.0;
        Some(())
    }),
    ("requirements lowered", |m, _| m.sheet().holding.as_mut().map(|h| h.safety_part = 1.0)),
    ("no constants", |m, _| {
        m.sheet().material_constants = None;
        Some(())
    }),
    ("an opening dropped", |m, r| {
        any(m.sheet(), r, |p| !p.openings.is_empty())?.openings.pop().map(|_| ())
    }),
    ("a feature dropped", |m, r| {
        any(m.sheet(), r, |p| !p.features.is_empty())?.features.pop().map(|_| ())
    }),
    ("a thicker sheet", |m, _| {
        m.sheet().thickness += 0.2;
        Some(())
    }),
    ("another bit", |m, _| {
        m.sheet().bit.diameter -= 0.2;
        Some(())
    }),
    ("held by nothing", |m, r| any(m.sheet(), r, tabbed).map(|p| p.hold.method = Method::None)),
];

const DRAWING: [(&str, Change); 26] = [
    ("a through pass shortened by 0.3 mm", |m, r| shortened(m, r, 0.3, true, ".through.")),
    ("a through pass shortened by 3 mm", |m, r| shortened(m, r, 3.0, true, ".through.")),
    ("a through pass begun 1 mm late", |m, r| shortened(m, r, 1.0, false, ".through.")),
    ("a pass run 0.5 mm into a tab", |m, r| {
        lines(m, r, ".through.", |p, closed| {
            let (a, b) = (p[p.len() - 2], p[p.len() - 1]);
            p.push(b + (b - a).unit()? * 0.5);
            (!closed).then_some(())
        })
    }),
    ("a pass closed at a tab", |m, r| {
        // Not the middle of a straight slot as wide as the bit: there and back again is the same cut.
        let straight = |l: &str| l.split(" d=\"").nth(1).is_none_or(|d| d.split(' ').count() <= 8);
        line(m, r, ".through.0", |l| {
            (!l.contains(" Z\"") && !straight(l)).then(|| l.replace("\"/>", " Z\"/>"))
        })
    }),
    ("an upper pass opened by 2 mm", |m, r| shortened(m, r, 2.0, true, ".upper.")),
    ("a through path missing", |m, r| line(m, r, ".through.", |_| Some(String::new()))),
    ("an upper path missing", |m, r| line(m, r, ".upper.", |_| Some(String::new()))),
    ("a path shifted by 0.1 mm", |m, r| {
        lines(m, r, ".through.", |p, _| {
            p.iter_mut().for_each(|q| *q = *q + point(0.1, 0.0));
            Some(())
        })
    }),
    ("a point 0.5 mm off", |m, r| {
        lines(m, r, ".through.", |p, _| {
            let n = p.len() / 2;
            p[n] = p[n] + point(0.36, 0.36);
            Some(())
        })
    }),
    ("a path of another part's name", |m, r| {
        line(m, r, ".through.", |l| Some(l.replacen("id=\"", "id=\"x-", 1)))
    }),
    ("a through pass in an upper group", |m, r| moved(m, r, ".through.", "upper-pass")),
    ("an upper pass in the through group", |m, r| moved(m, r, ".upper.", "through-pass")),
    ("viewBox scaled by 1 %", |m, _| view_box(m, 1.01)),
    ("viewBox in inches", |m, _| view_box(m, 1.0 / 25.4)),
    ("heights swapped", |m, _| {
        let (upper, through) = (group_name(m, "upper-pass-")?, group_name(m, "through-pass-")?);
        m.svg = m.svg.replace(&format!("upper-pass-{upper}\""), "upper-pass-?\"");
        m.svg =
            m.svg.replace(&format!("through-pass-{through}\""), &format!("through-pass-{upper}\""));
        m.svg = m.svg.replace("upper-pass-?\"", &format!("upper-pass-{through}\""));
        Some(())
    }),
    ("through pass 0.05 mm short of the bed", |m, _| renamed(m, "through-pass-", -0.05)),
    ("upper pass 0.05 mm deeper", |m, _| renamed(m, "upper-pass-", 0.05)),
    ("holes 0.05 mm short of the bed", |m, _| renamed(m, "holes-", -0.05)),
    ("a pass without a depth", |m, _| {
        let depth = group_name(m, "through-pass-")?;
        m.svg = m.svg.replace(&format!("through-pass-{depth}\""), "through-pass\"");
        Some(())
    }),
    ("an arc's radius 3 % off", |m, r| {
        line(m, r, ".through.", |l| {
            let (head, rest) = l.split_once(" A")?;
            let (radius, tail) = rest.split_once(' ')?;
            let (_, tail) = tail.split_once(' ')?;
            let (radius, flat) = (radius.parse::<f64>().ok()? * 1.03, arc_rise(l)? < 0.5);
            (!flat).then(|| format!("{head} A{radius:.4} {radius:.4} {tail}"))
        })
    }),
    ("an arc bent the other way", |m, r| {
        line(m, r, ".through.", |l| {
            let (head, rest) = l.split_once(" 0 0 ")?;
            let flag = if rest.starts_with('1') { '0' } else { '1' };
            (arc_rise(l)? > 0.05).then(|| format!("{head} 0 0 {flag}{}", &rest[1..]))
        })
    }),
    ("a circle 0.02 mm larger", |m, r| {
        line(m, r, "<circle", |l| {
            let (head, rest) = l.split_once(" r=\"")?;
            let (radius, tail) = rest.split_once('"')?;
            Some(format!("{head} r=\"{:.4}\"{tail}", radius.parse::<f64>().ok()? + 0.02))
        })
    }),
    ("an outline missing", |m, r| line(m, r, ".outline\"", |_| Some(String::new()))),
    ("a group turned", |m, _| {
        m.svg = m.svg.replacen("<g id=\"through", "<g transform=\"rotate(1)\" id=\"through", 1);
        Some(())
    }),
    ("a torn file", |m, r| {
        let end = r.random_range(m.svg.len() / 10..m.svg.len() * 9 / 10);
        m.svg.truncate((0..=end).rev().find(|i| m.svg.is_char_boundary(*i))?);
        Some(())
    }),
];

/// How far the first arc of a path rises over its chord, mm.
fn arc_rise(line: &str) -> Option<f64> {
    let (before, rest) = line.split_once(" A")?;
    let number = |n: &str| n.trim_start_matches(['M', 'L']).parse::<f64>().ok();
    let mut back = before.rsplit([' ', '"']).filter_map(number);
    let (y, x) = (back.next()?, back.next()?);
    let n: Vec<f64> = rest.split([' ', '"']).map_while(|n| n.parse().ok()).collect();
    let (r, half) = (*n.first()?, point(x, y).distance(point(*n.get(5)?, *n.get(6)?)) / 2.0);
    Some(r - (r * r - half * half).max(0.0).sqrt())
}

/// Changes one line of the file that contains `word`; a line left empty is removed.
fn line(
    m: &mut Made,
    r: &mut Rng,
    word: &str,
    change: impl Fn(&str) -> Option<String>,
) -> Option<()> {
    let mut lines: Vec<String> = m.svg.lines().map(String::from).collect();
    let all: Vec<usize> = (0..lines.len())
        .filter(|i| {
            (lines[*i].starts_with("<path") || lines[*i].starts_with("<circle"))
                && lines[*i].contains(word)
        })
        .filter(|i| change(&lines[*i]).is_some())
        .collect();
    let pick = *all.get(r.random_range(0..all.len().max(1)))?;
    lines[pick] = change(&lines[pick])?;
    m.svg = lines.join("\n");
    Some(())
}

/// Changes the points of one open or closed line.
fn lines(
    m: &mut Made,
    r: &mut Rng,
    word: &str,
    change: fn(&mut Vec<tabwright::geometry::Point>, bool) -> Option<()>,
) -> Option<()> {
    line(m, r, word, |l| {
        let (head, rest) = l.split_once(" d=\"")?;
        let (data, tail) = rest.split_once('"')?;
        let (points, closed) = crate::drawn_support::contours(data).pop()?;
        let mut points: Vec<_> = points.into_iter().map(|(x, y)| point(x, y)).collect();
        change(&mut points, closed)?;
        let text: Vec<String> = points.iter().map(|p| format!("{:.4} {:.4}", p.x, p.y)).collect();
        let z = if closed { " Z" } else { "" };
        Some(format!("{head} d=\"M{}{z}\"{tail}", text.join(" L")))
    })
}

/// Takes `by` mm off the end or the start of a path that is longer than that; a closed path becomes open.
fn shortened(m: &mut Made, r: &mut Rng, by: f64, end: bool, word: &str) -> Option<()> {
    let cut = |p: &mut Vec<tabwright::geometry::Point>, by: f64| {
        let mut left = by;
        while p.len() > 2 && p[p.len() - 1].distance(p[p.len() - 2]) <= left {
            left -= p[p.len() - 1].distance(p[p.len() - 2]);
            p.pop();
        }
        let n = p.len();
        let length = p[n - 1].distance(p[n - 2]);
        if length > left {
            p[n - 1] = p[n - 1].lerp(p[n - 2], left / length);
        }
    };
    line(m, r, word, |l| {
        let (head, rest) = l.split_once(" d=\"")?;
        let (data, tail) = rest.split_once('"')?;
        let (points, closed) = crate::drawn_support::contours(data).pop()?;
        let mut points: Vec<_> = points.into_iter().map(|(x, y)| point(x, y)).collect();
        // An upper pass is closed, a through pass open at its tabs.
        let length: f64 = points.windows(2).map(|w| w[0].distance(w[1])).sum();
        if closed != (word == ".upper.") || points.len() < 2 || length <= by {
            return None;
        }
        if word == ".upper." {
            points.push(points[0]);
        }
        if !end {
            points.reverse();
        }
        cut(&mut points, by);
        if !end {
            points.reverse();
        }
        let text: Vec<String> = points.iter().map(|p| format!("{:.4} {:.4}", p.x, p.y)).collect();
        Some(format!("{head} d=\"M{}\"{tail}", text.join(" L")))
    })
}

/// Moves one path into the first group whose name begins with `group`.
fn moved(m: &mut Made, r: &mut Rng, word: &str, group: &str) -> Option<()> {
    let before = m.svg.clone();
    line(m, r, word, |_| Some(String::new()))?;
    let gone = before
        .lines()
        .find(|l| l.contains(word) && l.starts_with("<path") && !m.svg.contains(l))?;
    let start = m.svg.find(&format!("<g id=\"{group}"))?;
    let at = start + m.svg[start..].find('\n')?;
    m.svg.insert_str(at, &format!("\n{gone}"));
    Some(())
}

fn view_box(m: &mut Made, by: f64) -> Option<()> {
    let (head, rest) = m.svg.split_once("viewBox=\"")?;
    let (view, tail) = rest.split_once('"')?;
    let mut n: Vec<f64> = view.split(' ').filter_map(|v| v.parse().ok()).collect();
    (n[2], n[3]) = (n[2] * by, n[3] * by);
    m.svg = format!("{head}viewBox=\"{} {} {} {}\"{tail}", n[0], n[1], n[2], n[3]);
    Some(())
}

fn group_name(m: &Made, prefix: &str) -> Option<String> {
    let rest = m.svg.split_once(&format!("<g id=\"{prefix}"))?.1;
    Some(rest.split_once('"')?.0.to_string())
}

fn renamed(m: &mut Made, prefix: &str, by: f64) -> Option<()> {
    let depth = group_name(m, prefix)?;
    let (length, end) = depth.split_once('-').map_or((depth.as_str(), ""), |d| (d.0, "-deep"));
    let (number, unit) = length.split_at(length.len() - 2);
    let unit_mm = if unit == "in" { 25.4 } else { 1.0 };
    let new = number.parse::<f64>().ok()? + by / unit_mm;
    m.svg = m.svg.replace(&format!("{prefix}{depth}\""), &format!("{prefix}{new:.5}{unit}{end}\""));
    Some(())
}

#[test]
fn every_change_by_hand_is_found() {
    let mut sheets = made(&["samples/offcut/job.toml"]);
    let one = [
        "samples/one-drawing/part.svg",
        "--sheet",
        "12x24in",
        "--thickness",
        "1/8in",
        "--bit",
        "1/16in",
        "--units",
        "in",
    ];
    sheets.extend(made(&one));
    let small = sheets.len();
    sheets.extend_from_slice(tide_clock());
    for made in &sheets {
        assert_eq!(made.problems(), Vec::<String>::new(), "as made");
    }
    let mut rng = Rng::seed_from_u64(20);
    let mut mutants: Vec<(&str, Made)> = vec![];
    for (kind, change) in LAYOUT.iter().chain(&DRAWING) {
        let (mut done, mut tries) = (0, 0);
        while done < 9 && tries < 40 {
            tries += 1;
            // A small sheet takes a tenth of the time: two of three are.
            let among = if rng.random_range(0..3) == 0 { sheets.len() } else { small };
            let mut mutant = sheets[rng.random_range(0..among)].clone();
            if change(&mut mutant, &mut rng).is_none() {
                continue;
            }
            mutant.layout.total();
            mutant.sheet().total();
            done += 1;
            mutants.push((kind, mutant));
        }
    }
    let found: Vec<bool> = mutants.par_iter().map(|(_, m)| !m.problems().is_empty()).collect();
    let mut tally: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut missed = vec![];
    for ((kind, mutant), found) in mutants.iter().zip(found) {
        let count = tally.entry(kind).or_default();
        count.0 += 1;
        count.1 += usize::from(found);
        if !found {
            missed.push(format!("{kind} on {}", mutant.layout.sheets[0].id));
        }
    }
    for (kind, (made, found)) in &tally {
        println!("{made:4} made {found:4} found  {kind}");
    }
    println!("{:4} made, {} missed: {missed:?}", mutants.len(), missed.len());
    assert!(mutants.len() >= 400, "{}", mutants.len());
    assert!(missed.is_empty(), "{missed:?}");
}
