//! Strip packing compared with the published table.
//!
//! `cargo bench --bench published -- [--seconds S] [--until D] [--moves N] [--threads N] [--seed N] [--json] FILE...`
//!
//! `--cpu-seconds S` stops at S seconds of processor time instead of wall time (Linux), for a machine
//! with other users. `--until D` stops once a density of D percent is reached: the time for that
//! distinguishes two searches with far fewer runs than the density in a given time. With either, the
//! JSON lines also carry `cpu_seconds`.
//!
//! `--test` is for CI: the instances of [`TESTED`] alone, each with its number of moves, and a density that must be
//! reached. As moves count and not seconds, the answer is the same on any machine.
//!
//! Runs each instance file (those in `tests/data/nesting` by default), has `verify` check the layout and
//! prints density, length, the published densities, the ratio to E13 and places tried a second.
//! Published columns: G06 was read with its layouts (m: from memory); E07, I09, L12, E13 are FROM
//! MEMORY, +-0.1. Sources: Gomes & Oliveira, EJOR 171(3), 2006; Egeblad, Nielsen & Odgaard, EJOR
//! 183(3), 2007; Imamichi, Yagiura & Nagamochi, Discrete Optimization 6(4), 2009; Leung, Lin & Zhang,
//! Computers & OR 39(3), 2012; Elkeran, EJOR 231(3), 2013.

use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use tabwright::export::problem_line;
use tabwright::geometry::{Ring, Shape, point};
use tabwright::job::{Stock, Turns};
use tabwright::layout::Layout;
use tabwright::nest::{Budget, Control, NestPart, NestTask, Nested, NestedSheet, nest};
use tabwright::units::Units;
use tabwright::verify::{Rules, verify};

/// Published densities, percent: name, G06, E07, I09, L12, E13 (see the head of the file).
const PUBLISHED: &[(&str, [f64; 5])] = &[
    ("albano", [87.43, 87.44, 88.16, 88.48, 89.58]),
    ("blaz1", [83.59, 81.21, 84.25, 84.23, 84.84]),
    ("dagli", [87.15, 85.98, 87.40, 88.11, 89.51]),
    ("dighe1", [100.0, 99.86, 99.89, 100.0, 100.0]),
    ("fu", [90.96, 91.84, 90.67, 91.94, 92.41]),
    ("jakobs1", [78.89, 89.07, 86.89, 89.10, 89.10]),
    ("mao", [82.54, 85.15, 83.44, 84.33, 85.44]),
    ("marques", [88.14, 89.17, 89.03, 89.73, 90.59]),
    ("shapes0", [66.50, 67.09, 68.44, 67.63, 68.79]),
    ("shapes1", [71.25, 73.84, 73.84, 75.29, 76.73]),
    ("shirts", [86.79, 86.33, 88.78, 88.40, 88.96]),
];

/// Instance, moves, density that must be reached, percent: G06 of the table above (of jakobs1, where G06 is low, E07),
/// and the perfect packing of Hopper & Turton's C1P1 and C4P1 (EJOR 128(1), 2001).
const TESTED: &[(&str, u64, f64)] = &[
    ("jakobs1", 50_000, 89.07),
    ("marques", 200_000, 88.14),
    ("dighe1", 200_000, 100.0),
    ("C1P1", 50_000, 100.0),
    ("C4P1", 50_000, 100.0),
];
/// Published densities are rounded to 0.01.
const ROUNDING: f64 = 0.005;

/// Greatest penetration that a printed layout may have, as a fraction of the strip's width.
const TOLERANCE: f64 = 1e-6;

#[derive(Clone)]
struct Options {
    test: bool,
    seconds: f64,
    cpu_seconds: Option<f64>,
    until: Option<f64>,
    moves: Option<u64>,
    threads: usize,
    seed: u64,
    json: bool,
    files: Vec<PathBuf>,
}

struct Instance {
    name: String,
    width: f64,
    area: f64,
    /// Length of the known perfect packing.
    optimum: Option<f64>,
    parts: Vec<NestPart>,
}

fn main() -> Result<(), String> {
    let options = options()?;
    let mut instances = vec![];
    for file in &options.files {
        let text = std::fs::read_to_string(file).map_err(|e| format!("{}: {e}", file.display()))?;
        let json: Value =
            serde_json::from_str(&text).map_err(|e| format!("{}: {e}", file.display()))?;
        instances
            .extend(read(&json).ok_or_else(|| format!("{}: not an instance", file.display()))?);
    }
    if !options.json {
        println!(
            "{:<9}{:>8}{:>11}{:>7}{:>7}{:>7}{:>7}{:>7}{:>8}{:>9}{:>9}{:>7}  E07 to E13 from memory, +-0.1",
            "instance",
            "density",
            "length",
            "G06",
            "E07",
            "I09",
            "L12",
            "E13",
            "ratio",
            "places/s",
            "moves/s",
            "s"
        );
    }
    if options.test {
        return tested(&instances, &options);
    }
    let (mut ours, mut theirs) = (vec![], vec![]);
    for instance in &instances {
        let (density, e13) = run(instance, &options)?;
        if let Some(e13) = e13 {
            ours.push(density);
            theirs.push(e13);
        }
    }
    if !options.json && !ours.is_empty() {
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
        println!(
            "mean of {}: {:.2}, E13 {:.2}, difference {:+.2}",
            ours.len(),
            mean(&ours),
            mean(&theirs),
            mean(&ours) - mean(&theirs)
        );
    }
    Ok(())
}

/// Runs each of [`TESTED`] with its number of moves; a density that is not reached is an error.
fn tested(instances: &[Instance], options: &Options) -> Result<(), String> {
    for &(name, moves, least) in TESTED {
        let instance = instances.iter().find(|i| i.name == name);
        let instance = instance.ok_or_else(|| format!("{name}: no such instance"))?;
        let (density, _) = run(instance, &Options { moves: Some(moves), ..options.clone() })?;
        if density < least - ROUNDING {
            return Err(format!("{name}: {density:.4} % after {moves} moves, under {least} %"));
        }
    }
    Ok(())
}

fn options() -> Result<Options, String> {
    let mut o = Options {
        test: false,
        seconds: 10.0,
        cpu_seconds: None,
        until: None,
        moves: None,
        threads: 2,
        seed: 1,
        json: false,
        files: vec![],
    };
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        let mut value = || args.next().ok_or_else(|| format!("{arg} needs a value"));
        let bad = |e: &dyn std::fmt::Display| format!("{arg}: {e}");
        match arg.as_str() {
            "--seconds" => o.seconds = value()?.parse().map_err(|e| bad(&e))?,
            "--cpu-seconds" => o.cpu_seconds = Some(value()?.parse().map_err(|e| bad(&e))?),
            "--until" => o.until = Some(value()?.parse().map_err(|e| bad(&e))?),
            "--moves" => o.moves = Some(value()?.parse().map_err(|e| bad(&e))?),
            "--threads" => o.threads = value()?.parse().map_err(|e| bad(&e))?,
            "--seed" => o.seed = value()?.parse().map_err(|e| bad(&e))?,
            "--json" => o.json = true,
            "--test" => o.test = true,
            "--bench" => {}
            file => o.files.push(file.into()),
        }
    }
    if o.files.is_empty() {
        let dir = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/nesting/instances");
        let entries = std::fs::read_dir(dir).map_err(|e| format!("{dir}: {e}"))?;
        o.files = entries.filter_map(|e| e.ok().map(|e| e.path())).collect();
        o.files.sort();
        o.files.push(
            concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/nesting/rectangles_c.json").into(),
        );
    }
    Ok(o)
}

/// The instances of a file: one irregular instance, or a list of rectangle instances.
fn read(json: &Value) -> Option<Vec<Instance>> {
    if let Some(list) = json.get("instances") {
        return list.as_array()?.iter().map(read_rectangles).collect();
    }
    let turns = turns(json)?;
    let mut parts = vec![];
    for p in json.get("parts")?.as_array()? {
        let holes = p.get("holes").and_then(Value::as_array).cloned().unwrap_or_default();
        let holes = holes.iter().map(ring).collect::<Option<_>>()?;
        let copies = p.get("demand").and_then(Value::as_u64).unwrap_or(1) as usize;
        // Names must tell parts apart: an id may be missing or used twice.
        let id = p.get("id").and_then(Value::as_str).unwrap_or("piece");
        let name = format!("{id} #{}", parts.len() + 1);
        parts.push(part(name, Shape::new(ring(p.get("outline")?)?, holes), copies, &turns));
    }
    Some(vec![instance(json, parts, None)?])
}

fn read_rectangles(json: &Value) -> Option<Instance> {
    let turns = turns(json)?;
    let mut parts = vec![];
    for (i, wh) in json.get("rects_wh")?.as_array()?.iter().enumerate() {
        let rect = Ring::rectangle(wh.get(0)?.as_f64()?, wh.get(1)?.as_f64()?);
        parts.push(part(format!("rect{i}"), Shape::new(rect, vec![]), 1, &turns));
    }
    instance(json, parts, json.get("optimal_height")?.as_f64())
}

fn instance(json: &Value, parts: Vec<NestPart>, optimum: Option<f64>) -> Option<Instance> {
    Some(Instance {
        name: json.get("name")?.as_str()?.into(),
        width: json.get("strip_width")?.as_f64()?,
        area: parts.iter().map(|p| p.shape.net_area() * p.copies as f64).sum(),
        optimum,
        parts,
    })
}

fn turns(json: &Value) -> Option<Turns> {
    let degrees: Option<Vec<f64>> =
        json.get("rotations_deg")?.as_array()?.iter().map(Value::as_f64).collect();
    Some(Turns::steps_deg(&degrees?))
}

fn ring(json: &Value) -> Option<Ring> {
    let xy = |p: &Value| Some(point(p.get(0)?.as_f64()?, p.get(1)?.as_f64()?));
    Some(Ring(json.as_array()?.iter().map(xy).collect::<Option<_>>()?))
}

fn part(name: String, shape: Shape, copies: usize, turns: &Turns) -> NestPart {
    NestPart { name, shape, copies, spares: 0, turns: turns.clone(), holds: vec![], pins: vec![] }
}

/// A strip long enough for every part laid end to end at its widest.
fn strip(instance: &Instance) -> Stock {
    let longest = |p: &NestPart| {
        let b = p.shape.bounds();
        b.width().hypot(b.height()) * p.copies as f64
    };
    let length: f64 = instance.parts.iter().map(longest).sum();
    Stock {
        name: "strip".into(),
        material: String::new(),
        thickness: 1.0,
        outline: Ring::rectangle(length, instance.width),
        open_length: true,
        quantity: Some(1),
        price: None,
        margin: 0.0,
        keep_clear: vec![],
        clamps: vec![],
        grain: 0.0,
    }
}

/// Runs one instance and prints it; returns its density and E13's.
fn run(instance: &Instance, options: &Options) -> Result<(f64, Option<f64>), String> {
    let budget = match (options.moves, options.cpu_seconds) {
        (Some(moves), _) => Budget { moves: Some(moves), time: None },
        // The watcher of processor time ends it.
        (None, Some(_)) => Budget { moves: Some(u64::MAX), time: None },
        (None, None) => {
            Budget { moves: None, time: Some(Duration::from_secs_f64(options.seconds)) }
        }
    };
    let problem = NestTask {
        parts: instance.parts.clone(),
        sheets: vec![strip(instance)],
        kerf: 0.0,
        gap: 0.0,
        seed: options.seed,
        budget,
        threads: options.threads,
    };
    let start = Instant::now();
    let log = std::env::var_os("PUBLISHED_LOG").is_some();
    let best = std::sync::Mutex::new(f64::INFINITY);
    let (stop, done) = (AtomicBool::new(false), AtomicBool::new(false));
    let enough = options.until.map(|d| instance.area / (instance.width * d / 100.0));
    let before = cpu_time();
    let progress = |p: tabwright::nest::Progress| {
        if enough.is_some_and(|length| p.length <= length) {
            stop.store(true, Ordering::Relaxed);
        }
        if log
            && let Ok(mut best) = best.lock()
            && p.length < *best
        {
            *best = p.length;
            eprintln!(
                "{:8.2}s {:>9} moves {:.4}",
                start.elapsed().as_secs_f64(),
                p.moves,
                p.length
            );
        }
    };
    let nested = std::thread::scope(|scope| {
        if let Some(limit) = options.cpu_seconds {
            let (stop, done) = (&stop, &done);
            scope.spawn(move || {
                let end = cpu_time() + limit;
                while !done.load(Ordering::Relaxed) && cpu_time() < end {
                    std::thread::sleep(Duration::from_millis(10));
                }
                stop.store(true, Ordering::Relaxed);
            });
        }
        let nested = nest(&problem, &Control { stop: &stop, progress: Some(&progress) });
        done.store(true, Ordering::Relaxed);
        nested
    });
    let seconds = start.elapsed().as_secs_f64();
    check(instance, &nested)?;
    let length = nested.sheets.first().and_then(|s| s.length).unwrap_or(0.0);
    let density = 100.0 * instance.area / (instance.width * length);
    if options.json {
        let mut line = json!({
            "instance": instance.name, "density": density, "length": length,
            "seconds": seconds, "threads": options.threads, "seed": options.seed
        });
        if options.cpu_seconds.is_some() || options.until.is_some() {
            line["cpu_seconds"] = json!(cpu_time() - before);
        }
        println!("{line}");
    }
    let published = PUBLISHED.iter().find(|p| p.0 == instance.name).map(|p| p.1);
    if !options.json {
        let table = match (published, instance.optimum) {
            (Some(p), _) => {
                let columns: String = p.iter().map(|d| format!("{d:7.2}")).collect();
                format!("{columns}{:8.4}", density / p[4])
            }
            (None, Some(optimum)) => {
                format!(
                    "   length over optimum {:+.2} %{:>10}",
                    100.0 * (length / optimum - 1.0),
                    ""
                )
            }
            (None, None) => format!("{:>43}", "-"),
        };
        let rate = |n: u64| n as f64 / seconds;
        println!(
            "{:<9}{density:8.2}{length:11.4}{table}{:9.2e}{:9.2e}{seconds:7.1}",
            instance.name,
            rate(nested.evaluations),
            rate(nested.moves)
        );
    }
    Ok((density, published.map(|p| p[4])))
}

/// Processor time of this process, s (Linux: fields 14 and 15 of /proc/self/stat, 100 ticks a second).
fn cpu_time() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after = stat.rsplit(')').next().unwrap_or("");
    let ticks: f64 =
        after.split_whitespace().skip(11).take(2).filter_map(|t| t.parse::<f64>().ok()).sum();
    ticks / 100.0
}

/// Every copy placed once and the whole layout passed by [`verify`] with gap 0, from true shapes.
fn check(instance: &Instance, nested: &Nested) -> Result<(), String> {
    let fault = |what: String| Err(format!("{}: {what}", instance.name));
    let demand: usize = instance.parts.iter().map(|p| p.copies).sum();
    let [strip] = nested.sheets.as_slice() else { return fault("not on one strip".into()) };
    if strip.placed.len() != demand || !nested.unplaced.is_empty() {
        return fault(format!("{} of {demand} pieces placed", strip.placed.len()));
    }
    let layout = layout(instance, strip).map_err(|e| format!("{}: {e}", instance.name))?;
    let counts: Vec<_> = instance.parts.iter().map(|p| (p.name.clone(), p.copies)).collect();
    let shapes: Vec<_> = instance.parts.iter().map(|p| (p.name.clone(), p.shape.clone())).collect();
    let rules = Rules {
        tolerance: TOLERANCE * instance.width,
        counts: Some(&counts),
        shapes: Some(&shapes),
        ..Rules::default()
    };
    match verify(&layout, &rules).first() {
        Some(problem) => fault(problem_line(problem, Units::Mm)),
        None => Ok(()),
    }
}

/// The layout in the form of our files: a strip as long as is used, gap and margin 0.
fn layout(instance: &Instance, strip: &NestedSheet) -> Result<Layout, serde_json::Error> {
    let length = strip.length.unwrap_or(0.0);
    let parts: Vec<Value> = strip
        .placed
        .iter()
        .map(|p| {
            let shape = p.pose.apply_shape(&instance.parts[p.part].shape);
            json!({
                "part": instance.parts[p.part].name, "copy": p.copy, "spare": p.spare,
                "x": p.pose.offset.x, "y": p.pose.offset.y,
                "rotation_deg": p.pose.rotation.to_degrees(), "mirrored": p.pose.mirrored,
                "outline": shape.outline, "openings": shape.openings, "features": [],
                "hold": {
                    "method": "tape", "why": "", "governs": "", "case": "", "load_n": 0.0,
                    "last_pass": 1.0, "safety": 1.0, "movement_mm": 0.0, "tabs": []
                }
            })
        })
        .collect();
    let sheet = json!({
        "id": instance.name, "stock": "strip", "material": "", "thickness": 1.0,
        "outline": Ring::rectangle(length, instance.width), "keep_clear": [], "margin": 0.0,
        "grain_deg": 0.0, "open_length": true, "bit": { "name": "", "diameter": 1.0 }, "gap": 0.0,
        "cut": {
            "last_pass": 1.0, "feed_per_tooth": 0.1, "flutes": 1, "helix_deg": 0.0,
            "kc": 1.0, "ke": 1.0, "factor": 1.0
        },
        "sheet_area": 0.0, "part_area": 0.0, "waste_percent": 0.0, "remnants": [], "parts": parts
    });
    let mut layout = Layout::new(&instance.name, 0);
    layout.sheets = vec![serde_json::from_value(sheet)?];
    layout.total();
    Ok(layout)
}
