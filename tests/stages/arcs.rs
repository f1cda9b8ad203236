//! Circles and arcs of a drawing are circles and arcs of the sheet: read back by usvg, kurbo and svgtypes, in inches.

use crate::drawn_support::{circle, contours};
use std::path::Path;
use std::process::Command;
use tabwright::geometry::{EdgeIndex, Point, Ring, point};
use tabwright::layout::Layout;
use usvg::roxmltree::{Document, Node};

/// A plate turned by 17 degrees with 1/4 in holes drawn in three ways and rounded corners of 1/4 in; a rod end with an arc
/// of 240 degrees; a nut, whose corners lie on a circle and whose sides are straight; a hole as wide as the bit.
const DRAWING: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='8in' height='4in' viewBox='0 0 8 4'>
<g fill='none' stroke='#000' stroke-width='.01'>
<g id='plate' transform='rotate(17 2 2)'><rect x='.5' y='1' width='3' height='1.5' rx='.25'/>
<circle cx='1' cy='1.5' r='.125'/>
<path d='M1.625 1.5 C1.625 1.5690356 1.5690356 1.625 1.5 1.625 C1.4309644 1.625 1.375 1.5690356 1.375 1.5
C1.375 1.4309644 1.4309644 1.375 1.5 1.375 C1.5690356 1.375 1.625 1.4309644 1.625 1.5 Z'/>
<path d='M1.875 1.5 a.125 .125 0 1 0 .25 0 a.125 .125 0 1 0 -.25 0'/>
<circle cx='3' cy='2' r='.0625'/></g>
<path id='rod' d='M4.5 1.75 L4.683 1.75 A.5 .5 0 1 1 4.683 2.25 L4.5 2.25 Z'/>
<path id='nut' d='M6.3 1.74 L6.6 1.74 6.75 2 6.6 2.26 6.3 2.26 6.15 2 Z'/>
</g></svg>";

/// The sheet's file and layout, made and checked by the program.
fn made(folder: &Path) -> (String, Layout) {
    std::fs::write(folder.join("parts.svg"), DRAWING).expect("written");
    let run = |args: &[&str]| {
        let run =
            Command::new(env!("CARGO_BIN_EXE_tabwright")).args(args).current_dir(folder).output();
        let run = run.expect("the program starts");
        let said = String::from_utf8_lossy(&run.stdout).into_owned()
            + &String::from_utf8_lossy(&run.stderr);
        assert!(run.status.success(), "{said}");
        said
    };
    let stock =
        ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in", "--material", "walnut"];
    let quick = ["--moves", "50", "--threads", "1", "-q", "-o", "out"];
    run(&[&["nest", "parts.svg"], &stock[..], &quick].concat());
    assert!(run(&["check", "out/layout.json"]).contains("1 drawing"));
    let back = run(&["inspect", "out/walnut-0.25in-1.svg", "--units", "in"]);
    for size in ["1.116 × 1 in", "0.6 × 0.52 in"] {
        assert!(back.contains(size), "{size}: {back}");
    }
    let read = |name: &str| std::fs::read_to_string(folder.join("out").join(name)).expect("a file");
    let layout = serde_json::from_str(&read("layout.json")).expect("a layout");
    (read("walnut-0.25in-1.svg"), layout)
}

/// The arcs' radii in path data, mm.
fn radii(d: &str) -> Vec<f64> {
    d.split('A').skip(1).filter_map(|a| a.split(' ').next()?.parse().ok()).collect()
}

fn near(a: f64, b: f64, by: f64) -> bool {
    (a - b).abs() <= by
}

#[test]
fn holes_come_back_with_their_diameter_and_the_bit_goes_round_them_on_arcs() {
    let folder = tempfile::tempdir().expect("a folder");
    let (svg, _) = made(folder.path());
    // By usvg, whose f32 pixels hold 0.0001 mm here: the box of a circle, however it is written.
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).expect("an SVG");
    for n in 1..=3 {
        let hole = tree.node_by_id(&format!("plate.1.opening.{n}")).expect("a hole");
        let size = hole.abs_bounding_box();
        let inches = [size.width(), size.height()].map(|px| format!("{:.4}", f64::from(px) / 96.0));
        assert_eq!(inches, ["0.2500", "0.2500"], "hole {n}");
    }
    let xml = Document::parse(&svg).expect("XML");
    let by_id = |id: &str| {
        xml.descendants().find(|n| n.attribute("id") == Some(id)).unwrap_or_else(|| panic!("{id}"))
    };
    let data = |id: &str| by_id(id).attribute("d").unwrap_or("").to_string();
    assert!((1..=4).all(|n| by_id(&format!("plate.1.opening.{n}")).has_tag_name("circle")));
    // A 1/8 in bit goes round a 1/4 in hole on 1/16 in, and round corners of 1/4 in on 5/16 in. Cubics that leave their circle by
    // 0.0009 mm (0.00027 of 3.175) leave the bit's by half of that.
    for n in 1..=3 {
        let on = radii(&data(&format!("plate.1.through.{n}")));
        assert!(on.len() == 3 && on.iter().all(|r| near(*r, 1.5875, 0.0006)), "{on:?}");
    }
    let corners = radii(&data("plate.1.upper.0"));
    assert!(corners.len() >= 4 && corners.iter().all(|r| near(*r, 7.9375, 0.0001)), "{corners:?}");
    assert!(
        svg.contains("<circle id=\"plate.1.plunge.4\""),
        "a hole as wide as the bit is a plunge"
    );
    // The arc of 240 degrees comes in pieces of at most a third of a turn; outside on 1/2 + 1/16 in.
    assert_eq!(radii(&data("rod.1.outline")), [12.7; 3]);
    assert!(radii(&data("rod.1.upper.0")).iter().any(|r| near(*r, 14.2875, 0.0001)));
    // Straight sides stay straight, though six corners lie on a circle; the bit turns round each corner on its radius, which
    // rounding makes up to 0.0046 larger.
    assert!(radii(&data("nut.1.outline")).is_empty());
    let turned = radii(&data("nut.1.upper.0"));
    assert!(
        turned.len() >= 6 && turned.iter().all(|r| near(*r, 1.5875 + 0.0023, 0.0024)),
        "{turned:?}"
    );
}

/// The stated error: points of the layout lie within 0.0025 mm of the drawn line, and the line within the chord error of 0.01
/// and that of the layout's chords. `contours` and `circle` add 0.0005 and 0.0001 of their own.
#[test]
fn arcs_pass_through_the_points_of_the_layout() {
    let folder = tempfile::tempdir().expect("a folder");
    let (svg, layout) = made(folder.path());
    let xml = Document::parse(&svg).expect("XML");
    let drawn = |id: &str| -> Ring {
        let node: Node = xml.descendants().find(|n| n.attribute("id") == Some(id)).expect("a line");
        let number = |name: &str| node.attribute(name).and_then(|v| v.parse::<f64>().ok());
        let points = match (number("cx"), number("cy"), number("r")) {
            (Some(x), Some(y), Some(r)) => circle(x, y, r),
            _ => contours(node.attribute("d").expect("path data")).remove(0).0,
        };
        Ring(points.into_iter().map(|(x, y)| point(x, y)).collect())
    };
    let off = |points: &[Point], on: &Ring| {
        let edges = EdgeIndex::of_rings(std::iter::once(on));
        points.iter().filter_map(|p| edges.nearest(*p)).map(|n| n.distance).fold(0.0, f64::max)
    };
    let mut rings = 0;
    for part in &layout.sheets[0].parts {
        let name = |n: usize| if n == 0 { "outline".into() } else { format!("opening.{n}") };
        for (n, ring) in std::iter::once(&part.outline).chain(&part.openings).enumerate() {
            let drawn = drawn(&format!("{}.{}.{}", part.part, part.copy, name(n)));
            let (points, line) = (off(ring.points(), &drawn), off(drawn.points(), ring));
            assert!(points <= 0.0031 && line <= 0.0131, "{}: {points} and {line} mm", part.part);
            rings += 1;
        }
    }
    assert_eq!(rings, 7, "outlines and holes");
}
