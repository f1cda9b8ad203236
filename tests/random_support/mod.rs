//! Random jobs, written as a user would write them (SVG drawings and a job file), with what they mean known by
//! formulas of their own.
//!
//! `random_job(seed)` draws the same job from the same seed on any machine. Nothing here uses the program.

#![allow(dead_code)] // each test uses its own part

pub mod chance;
pub mod curve;
mod drawing;
pub mod judge;
mod letters;
pub mod parts;
mod shapes;
pub mod spoil;
mod stock;
mod toml;

use chance::Chance;
use curve::P;
use std::path::Path;

/// A job: its files, and what they mean in mm.
#[derive(Debug, Clone)]
pub struct RandomJob {
    pub seed: u64,
    /// Name and text of each; `job.toml` is one.
    pub files: Vec<(String, String)>,
    pub inches: bool,
    pub web: Option<f64>,
    pub bits: Vec<Bit>,
    pub stocks: Vec<Stock>,
    pub parts: Vec<Part>,
}

#[derive(Debug, Clone)]
pub struct Bit {
    pub name: String,
    pub diameter: f64,
    pub spiral: Option<&'static str>,
    /// Only for this material.
    pub material: Option<&'static str>,
}

/// What is bought: a name, whether a direction counts in its plane, thicknesses it comes in, mm.
#[derive(Debug, Clone, Copy)]
pub struct Material {
    pub name: &'static str,
    pub grain: bool,
    pub thicknesses: [f64; 3],
}

pub const MATERIALS: [Material; 6] = [
    Material { name: "walnut", grain: true, thicknesses: [3.0, 6.35, 12.0] },
    Material { name: "cherry", grain: true, thicknesses: [1.5, 6.0, 12.7] },
    Material { name: "hard maple", grain: true, thicknesses: [3.175, 6.0, 19.05] },
    Material { name: "birch plywood", grain: true, thicknesses: [4.0, 6.5, 12.0] },
    Material { name: "acrylic", grain: false, thicknesses: [2.0, 3.0, 5.6] },
    Material { name: "MDF", grain: false, thicknesses: [3.0, 6.0, 12.7] },
];

#[derive(Debug, Clone)]
pub struct Stock {
    pub name: String,
    pub material: Material,
    pub thickness: f64,
    /// Its edge, top left of its bounds at the origin.
    pub outline: Vec<P>,
    /// Drawn in this file instead of a rectangle.
    pub file: Option<String>,
    /// Kept clear, an offcut's holes included.
    pub keep_clear: Vec<KeepClear>,
    pub margin: Option<f64>,
    pub open_length: bool,
    pub grain_deg: f64,
    pub quantity: Option<usize>,
}

/// What parts keep from the edge where the job says nothing, mm, with a bit of that diameter (the reference of keys).
pub fn usual_margin(bit: f64) -> f64 {
    f64::max(6.0, 1.5 * bit)
}

#[derive(Debug, Clone)]
pub enum KeepClear {
    Circle(P, f64),
    Rectangle(P, P),
    /// A hole drawn in an offcut.
    Drawn(Vec<P>),
}

#[derive(Debug, Clone)]
pub struct Part {
    pub name: String,
    pub drawing: String,
    pub material: Material,
    pub thickness: f64,
    /// The shape as drawn, top left of its bounds at the origin.
    pub outline: Vec<P>,
    pub openings: Vec<Vec<P>>,
    /// Kind and edge.
    pub features: Vec<(&'static str, Vec<P>)>,
    /// The narrowest width that the bit must enter, mm.
    pub narrowest: f64,
    /// Copies to make.
    pub quantity: usize,
    /// As drawn; the job file says `quantity` where it differs.
    pub drawn: usize,
    pub spares: usize,
    pub grain: Grain,
    pub tolerance_deg: f64,
    pub mirror: bool,
    pub tab_free: Vec<&'static str>,
    pub pin: Option<Pin>,
}

/// Which of the part's own directions runs with the sheet's grain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grain {
    /// The program's choice, the same for every copy.
    Strong,
    Along(f64),
    Any,
}

/// Where a copy must lie: on the group's first sheet.
#[derive(Debug, Clone, Copy)]
pub struct Pin {
    pub at: P,
    pub turn_deg: f64,
}

/// The job of that seed.
pub fn random_job(seed: u64) -> RandomJob {
    let mut chance = Chance::new(seed);
    let mut job = RandomJob {
        seed,
        files: vec![],
        inches: chance.yes(0.4),
        web: chance.yes(0.2).then(|| chance.real(0.0, 6.0)),
        bits: parts::bits(&mut chance),
        stocks: vec![],
        parts: vec![],
    };
    let groups = if chance.yes(0.25) { 2 } else { 1 };
    for group in 0..groups {
        let material = chance.pick(&MATERIALS);
        let thickness = chance.pick(&material.thicknesses);
        let again = job.parts.iter().any(|p| p.material.name == material.name);
        if again {
            continue;
        }
        let (mut made, file) = parts::drawing(&job, group, material, thickness, &mut chance);
        let stocks = stock::for_parts(&job, group, &mut made, &mut chance);
        job.files.push(file);
        for (stock, file) in stocks {
            job.files.extend(file);
            job.stocks.push(stock);
        }
        job.parts.extend(made);
    }
    let text = toml::job_file(&job, &mut chance);
    job.files.push(("job.toml".into(), text));
    job
}

impl RandomJob {
    /// Writes the files into a folder.
    pub fn write(&self, folder: &Path) {
        for (name, text) in &self.files {
            std::fs::write(folder.join(name), text).expect("a file of the job is written");
        }
    }

    /// Diameter of the finest bit that may cut the material, mm.
    pub fn finest(&self, material: &str) -> f64 {
        finest(&self.bits, material)
    }
}

pub fn finest(bits: &[Bit], material: &str) -> f64 {
    bits.iter()
        .filter(|b| b.material.is_none_or(|m| m == material))
        .map(|b| b.diameter)
        .fold(f64::INFINITY, f64::min)
}
