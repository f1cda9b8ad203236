//! Which stock to buy: the race of stock sizes on jobs made from a seed, and what it takes.
//!
//! `cargo bench --bench stock -- [--parts N] [--kinds K] [--sizes S] [--seed S] [--moves M] [--boxes] [--threads N] [--test]`, one
//! row. The parts are plates, polygons and discs of 20 to 180 mm of K kinds in turn (`--boxes`: plates alone), birch plywood of
//! 1/4 in; the sizes are the first S of the list below. Without `--moves` the effort is the program's own.

use std::fmt::Write as _;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::Instant;
use tabwright::drawing::read;
use tabwright::export::CompareRow;
use tabwright::flow::{Effort, Offer, RaceStep, RaceWatch, Size, offers, race};
use tabwright::job::{Drawings, Job, JobFile, build, read_options};

/// Sizes, in, and prices: about 5 cents a square inch, less for larger sheets (made up).
const SIZES: [(f64, f64, f64); 10] = [
    (24.0, 12.0, 14.0),
    (12.0, 12.0, 8.0),
    (18.0, 12.0, 11.0),
    (24.0, 24.0, 26.0),
    (30.0, 12.0, 17.0),
    (48.0, 24.0, 50.0),
    (24.0, 16.0, 19.0),
    (36.0, 18.0, 31.0),
    (16.0, 10.0, 9.0),
    (36.0, 24.0, 39.0),
];

struct Args {
    parts: usize,
    kinds: usize,
    sizes: usize,
    seed: u64,
    moves: Option<u64>,
    boxes: bool,
    threads: usize,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut a =
        Args { parts: 90, kinds: 90, sizes: 8, seed: 1, moves: None, boxes: false, threads: 2 };
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        let mut number = || args.next().and_then(|s| s.parse::<u64>().ok());
        match arg.as_str() {
            "--parts" => a.parts = number().unwrap_or(90) as usize,
            "--kinds" => a.kinds = number().unwrap_or(90) as usize,
            "--sizes" => a.sizes = number().unwrap_or(8) as usize,
            "--seed" => a.seed = number().unwrap_or(1),
            "--moves" => a.moves = number(),
            "--threads" => a.threads = number().unwrap_or(2) as usize,
            "--boxes" => a.boxes = true,
            "--test" => (a.parts, a.kinds, a.sizes, a.moves) = (8, 3, 3, Some(100)),
            _ => {}
        }
    }
    rayon::ThreadPoolBuilder::new().num_threads(a.threads).build_global()?;
    let job = job(&a)?;
    raced(&a, &job)
}

/// Races the sizes and prints a row.
fn raced(a: &Args, job: &Job) -> Result<(), Box<dyn std::error::Error>> {
    let size = |&(length, width, price): &(f64, f64, f64)| Size {
        name: format!("{length}x{width}in"),
        size: [length * 25.4, width * 25.4],
        price: Some(price),
    };
    let sizes: Vec<Size> = SIZES.iter().take(a.sizes).map(size).collect();
    // The job's own stock is the first of them.
    let choices: Vec<(usize, Vec<Offer>)> = vec![(0, offers(job, &job.groups[0], &sizes))];
    let (start, cpu) = (Instant::now(), cpu_seconds());
    let first: Mutex<Option<(Option<f64>, f64, f64)>> = Mutex::new(None);
    let step = |step: RaceStep<'_>| {
        if let RaceStep::First(table) = step {
            let known = (least(&table.rows), start.elapsed().as_secs_f64(), cpu_seconds() - cpu);
            *first.lock().expect("no panic") = Some(known);
        }
    };
    let stop = AtomicBool::new(false);
    let effort = Effort { moves: a.moves, time: None, threads: a.threads };
    let tables = race(job, &choices, None, &effort, &RaceWatch { stop: &stop, step: &step })?;
    let (wall, cpu) = (start.elapsed().as_secs_f64(), cpu_seconds() - cpu);
    let table = &tables[0];
    let single: Vec<CompareRow> =
        table.rows.iter().filter(|r| r.pieces.len() == 1).cloned().collect();
    let first = first.into_inner()?.ok_or("no first answer")?;
    let (alone, best) = (least(&single), least(&table.rows));
    let bound = table.least_cost;
    // A mix is never worse than the best single size, and nothing is cheaper than the bound.
    assert!(best <= alone && bound <= best, "{best:?} {alone:?} {bound:?}");
    let told = |v: Option<f64>| v.map_or("-".into(), |v| format!("{v:.2}"));
    println!(
        "| {} parts, {} kinds, {} sizes, seed {} | single {} | best {} ({}) | bound {} | first {} at {:.1} s, {:.1} CPU-s | {:.1} s, {:.1} CPU-s | cut short: {} |",
        a.parts,
        a.kinds,
        a.sizes,
        a.seed,
        told(alone),
        told(best),
        table.rows.first().map_or("-", |r| &r.stock),
        told(bound),
        told(first.0),
        first.1,
        first.2,
        wall,
        cpu,
        table.mixes_cut_short,
    );
    Ok(())
}

/// The least price of rows that make all parts.
fn least(rows: &[CompareRow]) -> Option<f64> {
    let prices = rows.iter().filter(|r| r.is_whole()).filter_map(|r| r.price);
    prices.min_by(f64::total_cmp)
}

/// A job made from the seed.
fn job(a: &Args) -> Result<Job, Box<dyn std::error::Error>> {
    let (length, width, price) = SIZES[0];
    let mut file = format!(
        "units = \"mm\"\n[[bit]]\nname = \"1/8\"\ndiameter = \"1/8in\"\n[[stock]]\nname = \"{length}x{width}in\"\nmaterial = \"birch plywood\"\n\
         thickness = \"1/4in\"\nsize = \"{length}x{width}in\"\nprice = {price}\n"
    );
    let mut drawings = Drawings::new();
    let mut random = Random(a.seed);
    for kind in 0..a.kinds.min(a.parts) {
        let copies = a.parts / a.kinds + usize::from(kind < a.parts % a.kinds);
        let name = format!("part-{kind}.svg");
        write!(
            file,
            "[[drawing]]\nfile = \"{name}\"\nmaterial = \"birch plywood\"\nthickness = \"1/4in\"\nquantity = {copies}\n"
        )?;
        let parsed = JobFile::parse(&file).map_err(|e| format!("{e:?}"))?;
        let options = read_options(&parsed, None).map_err(|e| format!("{e:?}"))?;
        let drawn = read(&drawing(kind, a.boxes, &mut random), &name, &options);
        drawings.insert(name, drawn.map_err(|e| format!("{e:?}"))?);
    }
    let parsed = JobFile::parse(&file).map_err(|e| format!("{e:?}"))?;
    Ok(build(&parsed, &drawings).map_err(|e| format!("{e:?}"))?.0)
}

/// A plate, a polygon or a disc.
fn drawing(kind: usize, boxes: bool, random: &mut Random) -> String {
    let shape = match if boxes { 0 } else { random.below(3) } {
        0 => {
            let (length, width) = (40.0 + 140.0 * random.share(), 20.0 + 70.0 * random.share());
            format!(
                "<rect id=\"part-{kind}\" x=\"1\" y=\"1\" width=\"{length:.1}\" height=\"{width:.1}\"/>"
            )
        }
        1 => {
            let corners = 3 + random.below(5);
            let radius = 20.0 + 50.0 * random.share();
            let at = |i: usize| std::f64::consts::TAU * i as f64 / corners as f64;
            let corner = |i: usize| {
                let (x, y) = (100.0 + radius * at(i).cos(), 100.0 + radius * at(i).sin());
                format!("{x:.2},{y:.2} ")
            };
            let points: String = (0..corners).map(corner).collect();
            format!("<polygon id=\"part-{kind}\" points=\"{points}\"/>")
        }
        _ => {
            let radius = 12.0 + 38.0 * random.share();
            format!("<circle id=\"part-{kind}\" cx=\"100\" cy=\"100\" r=\"{radius:.1}\"/>")
        }
    };
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"200mm\" height=\"200mm\" viewBox=\"0 0 200 200\" fill=\"none\" stroke=\"#000\">{shape}</svg>"
    )
}

/// SplitMix64 (Steele, Lea & Flood, OOPSLA 2014; constants from memory): the same numbers on any machine.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: u64) -> usize {
        (self.next() % n) as usize
    }

    fn share(&mut self) -> f64 {
        self.below(1 << 30) as f64 / (1u64 << 30) as f64
    }
}

/// Processor time of this process so far, s: user and system, in hundredths (Linux; 0 elsewhere).
fn cpu_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace();
    let ticks: Vec<f64> = fields.skip(11).take(2).filter_map(|t| t.parse().ok()).collect();
    ticks.iter().sum::<f64>() / 100.0
}
