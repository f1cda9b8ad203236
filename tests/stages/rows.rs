//! Rows of copies as a person would draw them, worked by hand: which side the tabs are on, how far apart the rows are.
//!
//! A landing is 2 mm of stock beyond the kerf (the program's own rule), so rows with tabs between them stand two kerfs
//! and 2 mm apart, and rows without one kerf.

use crate::nest_support::*;
use std::path::Path;
use std::process::Command;
use tabwright::geometry::{Point, Ring, point};
use tabwright::job::Turns;

const D: f64 = 3.175;
/// Distance between rows with tabs, mm.
const STRIP: f64 = 2.0 * D + 2.0;

/// Landings of two tabs on each side of a rectangle, side by side.
fn one_side_each(w: f64, h: f64) -> Vec<Vec<Ring>> {
    let landing = |x: f64, y: f64, w: f64, h: f64| Ring::rectangle(w, h).moved(point(x, y));
    let two = [0.25, 0.75];
    vec![
        two.map(|s| landing(s * w - 2.0, -D - 2.0, 4.0, 2.0)).to_vec(),
        two.map(|s| landing(s * w - 2.0, h + D, 4.0, 2.0)).to_vec(),
        two.map(|s| landing(-D - 2.0, s * h - 2.0, 2.0, 4.0)).to_vec(),
        two.map(|s| landing(w + D, s * h - 2.0, 2.0, 4.0)).to_vec(),
    ]
}

#[test]
fn rows_turn_their_bare_sides_to_each_other() {
    // Eight bars in pairs: four kerfs, three strips between the pairs, none at the margins, which hold the outer tabs.
    let height = 12.0 + 8.0 * 10.0 + 4.0 * D + 3.0 * STRIP;
    let mut bar = part("bar", rectangle(80.0, 10.0), 8);
    bar.holds = one_side_each(80.0, 10.0);
    let sheet = stock(92.5, height + 1e-6, 6.0);
    let p = problem(vec![bar.clone()], vec![sheet.clone()], D, 0);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    assert_eq!(nested.sheets.len(), 1, "all on one sheet");
    // With a tab on either side, as it may be planned, each row wants a strip: six, and two on another sheet.
    let both = vec![bar.holds[0][0].clone(), bar.holds[1][1].clone()];
    bar.holds = vec![both];
    let p = problem(vec![bar], vec![sheet], D, 0);
    assert_eq!(run(&p).sheets.len(), 2);
}

#[test]
fn plates_that_may_turn_come_out_as_a_grid() {
    // Four columns of six, lying: the columns in pairs, a strip between the pairs.
    let (w, h) = (70.0, 45.0);
    let size = point(12.0 + 4.0 * w + 2.0 * D + STRIP, 12.0 + 6.0 * h + 5.0 * D);
    let mut plate = part("plate", rectangle(w, h), 24);
    plate.holds = one_side_each(w, h);
    plate.turns = Turns { tolerance: Turns::ANY, ..Turns::steps_deg(&[0.0]) };
    // The panel is 5 mm higher than the rows, less than a strip.
    let p = problem(vec![plate], vec![stock(600.0, size.y + 5.0, 6.0)], D, 2000);
    let nested = run(&p);
    assert_eq!(faults(&p, &nested), Vec::<String>::new());
    let corners: Vec<Point> = nested.sheets[0]
        .placed
        .iter()
        .map(|q| q.pose.apply_ring(&Ring::rectangle(w, h)).bounds().max)
        .collect();
    let used = corners.iter().fold(point(0.0, 0.0), |m, c| point(m.x.max(c.x), m.y.max(c.y)));
    assert!(used.x + 6.0 <= size.x + 1e-6, "{} of {}", used.x + 6.0, size.x);
    assert!(used.y + 6.0 <= size.y + 5.0 + 1e-6, "{} of {}", used.y + 6.0, size.y);
}

/// The layout of these drawn parts on walnut panels of 600 x 300 mm with that margin, by the program itself.
fn made(svg: &str, parts: &str, margin: usize, args: &[&str]) -> serde_json::Value {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let job = r#"title = "Rows"
units = "mm"
[[bit]]
name = "1/8 in down-spiral"
diameter = "1/8in"
flutes = 2
spiral = "down"
helix = 30
pass-depth = 1.5
feed = 1500
rpm = 18000
[[stock]]
name = "panel"
material = "walnut"
thickness = 6
size = "600x300"
grain = "x"
margin = MARGIN
[[drawing]]
file = "parts.svg"
material = "walnut"
thickness = 6
"#;
    let job = job.replace("MARGIN", &margin.to_string());
    std::fs::write(at("parts.svg"), svg).expect("written");
    std::fs::write(at("job.toml"), format!("{job}{parts}")).expect("written");
    let program = Path::new(env!("CARGO_BIN_EXE_tabwright"));
    let out = Command::new(program)
        .args(["nest", "job.toml", "--output", "out"])
        .args(args)
        .current_dir(folder.path())
        .output()
        .expect("it runs");
    assert!(
        out.status.success(),
        "{}{}",
        String::from_utf8_lossy(&out.stdout),
        String::from_utf8_lossy(&out.stderr)
    );
    let layout = std::fs::read_to_string(at("out/layout.json")).expect("a layout");
    serde_json::from_str(&layout).expect("JSON")
}

/// The number of parts placed, and how many of them are held by tabs.
fn on_tabs(layout: &serde_json::Value) -> (usize, usize) {
    let sheets = layout["sheets"].as_array().expect("sheets");
    let parts = sheets.iter().flat_map(|s| s["parts"].as_array().expect("parts"));
    let held: Vec<bool> = parts.map(|p| p["hold"]["method"] == "tabs").collect();
    (held.len(), held.iter().filter(|h| **h).count())
}

/// From the drawing on: thirty slats of 280 x 12 mm. In two columns of rows of which every other pair has a strip
/// between them 300 mm hold 12 + 15 x 12 + 8 kerfs and 7 strips, 263.9 mm; with a strip between all of them fourteen rows.
#[test]
fn thirty_slats_with_tabs_lie_on_one_panel() {
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="280mm" height="12mm" viewBox="0 0 280 12">
        <rect id="slat" width="280" height="12"/></svg>"#;
    // On tape: between clamps the strips between the rows, 2 mm wide and 280 long, would bend away by 8 mm (F L^3/(192 E I), 5 N), and
    // the sheet would not be ready to cut.
    let slats = "[holding]\nhold-down = \"tape\"\n[[part]]\nname = \"slat\"\nquantity = 30\ngrain = \"x\"\n";
    let layout = made(svg, slats, 6, &["--moves", "500"]);
    assert_eq!(layout["sheets"].as_array().map(Vec::len), Some(1));
    assert_eq!(on_tabs(&layout), (30, 30));
}

/// Plates that fill a panel kerf to kerf: if one finds no stock for its tabs, it moves to where there is room and the
/// others stay. Laid out again with webs, others lost theirs.
#[test]
fn plates_of_thirty_sizes_all_hang_on_tabs() {
    let (mut rects, mut parts, mut count) = (String::new(), String::new(), 0);
    for (i, (w, h, quantity)) in PLATES.into_iter().enumerate() {
        let (x, y) = (120 * (i % 6), 70 * (i / 6));
        rects += &format!(r#"<rect id="q{i}" x="{x}" y="{y}" width="{w}" height="{h}"/>"#);
        parts += &format!("[[part]]\nname = \"q{i}\"\nquantity = {quantity}\n");
        count += quantity;
    }
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="800mm" height="400mm" viewBox="0 0 800 400">{rects}</svg>"#
    );
    let layout = made(&svg, &parts, 8, &["--seed", "3"]);
    assert_eq!(layout["sheets"].as_array().map(Vec::len), Some(2));
    assert_eq!(on_tabs(&layout), (count, count));
}

/// Width, height and quantity, drawn at random once.
const PLATES: [(usize, usize, usize); 30] = [
    (99, 31, 3),
    (65, 59, 3),
    (103, 48, 1),
    (23, 44, 3),
    (51, 56, 1),
    (26, 25, 3),
    (34, 38, 3),
    (80, 30, 3),
    (68, 49, 4),
    (33, 51, 3),
    (51, 15, 2),
    (47, 41, 4),
    (55, 26, 4),
    (69, 25, 2),
    (29, 23, 1),
    (99, 54, 3),
    (76, 23, 1),
    (36, 15, 3),
    (20, 28, 4),
    (47, 25, 1),
    (41, 33, 4),
    (60, 27, 3),
    (89, 58, 4),
    (100, 28, 1),
    (43, 59, 4),
    (45, 39, 1),
    (58, 16, 2),
    (66, 41, 2),
    (41, 24, 1),
    (53, 19, 2),
];
