//! Draws the samples: the tide clock's SVG files beside this one, and those of the two small samples.
//!
//! `cargo run --example draw-tide-clock`

#[path = "draw/case.rs"]
pub mod case;
#[path = "draw/gear.rs"]
pub mod gear;
#[path = "draw/letters.rs"]
mod letters;
#[path = "draw/movement.rs"]
pub mod movement;
#[path = "draw/paper.rs"]
mod paper;
#[path = "draw/path.rs"]
mod path;
#[path = "draw/sea.rs"]
mod sea;
#[path = "draw/small.rs"]
mod small;
#[path = "draw/stand.rs"]
mod stand;

/// Every drawing: file name, from this folder, and contents.
pub fn drawings() -> Vec<(&'static str, String)> {
    vec![
        ("dial.svg", case::dial()),
        ("case.svg", case::boards()),
        ("plates.svg", case::plates()),
        ("glass.svg", case::glass()),
        ("wheels.svg", movement::wheels()),
        ("movement.svg", movement::small_work()),
        ("stand.svg", stand::stand()),
        ("hands.svg", sea::hands()),
        ("sea-life.svg", sea::life()),
        ("shore.svg", sea::shore()),
        ("numerals.svg", letters::numerals()),
        ("letters.svg", letters::letters()),
        ("../one-drawing/part.svg", small::one_drawing()),
        ("../offcut/offcut.svg", small::offcut()),
        ("../offcut/hooks.svg", small::hooks()),
    ]
}

#[allow(dead_code)] // a test includes this file for its drawings
fn main() -> std::io::Result<()> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/tide-clock");
    for (name, text) in drawings() {
        std::fs::write(folder.join(name), text)?;
    }
    Ok(())
}
