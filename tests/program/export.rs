//! Output of the program: drawings at true scale, a page that stands alone, words that line up.

mod fixture;
mod golden;
mod large;

use std::collections::BTreeSet;
use tabwright::export::{GLOSSARY, LineKind, Report, layout_json, report_html, sheet_svg, summary};
use tabwright::geometry::{EdgeIndex, Point, Ring, Vector, point};
use tabwright::layout::{
    Because, DropOut, ForceRange, HoldFigures, Layout, Method, PlacedPart, Warning, WarningKind,
    Why,
};
use tabwright::units::Units;
use usvg::roxmltree::{Document, Node};
use usvg::tiny_skia_path::PathSegment;

/// A path by its id: its points in mm, and whether curves were among them.
type Seen = (String, Vec<Point>, bool);

/// Every path of every group, as usvg sees the file (f32 pixels at 96 to the inch: CSS Values and Units, "Absolute Lengths"); a
/// curve as 64 chords.
fn paths(text: &str) -> Vec<Seen> {
    fn walk(group: &usvg::Group, into: &mut Vec<Seen>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(g) => walk(g, into),
                usvg::Node::Path(path) => {
                    let t = path.abs_transform();
                    let mm = |mut p: usvg::tiny_skia_path::Point| {
                        t.map_point(&mut p);
                        point(f64::from(p.x), f64::from(p.y)) * (25.4 / 96.0)
                    };
                    let (mut points, mut curved) = (vec![], false);
                    for segment in path.data().segments() {
                        match segment {
                            PathSegment::MoveTo(p) | PathSegment::LineTo(p) => points.push(mm(p)),
                            PathSegment::Close => {}
                            PathSegment::CubicTo(b, c, d) => {
                                let (a, b) = (points[points.len() - 1], mm(b));
                                let (c, d) = (mm(c), mm(d));
                                for t in (1..=64).map(|i| f64::from(i) / 64.0) {
                                    let (ab, bc, cd) = (a.lerp(b, t), b.lerp(c, t), c.lerp(d, t));
                                    points.push(ab.lerp(bc, t).lerp(bc.lerp(cd, t), t));
                                }
                                curved = true;
                            }
                            PathSegment::QuadTo(..) => panic!("no arc becomes a parabola"),
                        }
                    }
                    into.push((path.id().to_string(), points, curved));
                }
                _ => {}
            }
        }
    }
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap();
    let mut all = vec![];
    walk(tree.root(), &mut all);
    all
}

/// Geometry that went into the drawing comes back from an independent reader within 0.001 mm.
#[test]
fn the_drawing_is_true_to_scale() {
    let (layout, cuts) = fixture::small();
    for (sheet, cut) in layout.sheets.iter().zip(&cuts) {
        let text = sheet_svg(sheet, cut, Units::Mm);
        let found = paths(&text);
        // A sheet that does not start at the origin is drawn from its own corner.
        let corner = sheet.outline.bounds().min;
        let expect = |id: &str, points: &[Point]| {
            let path = found.iter().find(|p| p.0 == id).unwrap_or_else(|| panic!("no {id}"));
            let (_, got, curved) = path;
            if *curved {
                // Arcs run through the points within 0.0025 mm (`tests/stages/arcs.rs`), round corners within 0.0005.
                let edges = EdgeIndex::of_rings(std::iter::once(&Ring(got.clone())));
                let off = |p: &Point| edges.nearest(*p - corner).map_or(1.0, |n| n.distance);
                let worst = points.iter().map(off).fold(0.0, f64::max);
                assert!(worst < 0.003, "{id}: {worst}");
                return;
            }
            assert_eq!(got.len(), points.len(), "{id}");
            for (g, p) in got.iter().zip(points) {
                assert!(g.distance(*p - corner) < 0.001, "{id}: {g:?} for {p:?}");
            }
        };
        expect("sheet.edge", sheet.outline.points());
        for (i, part) in sheet.parts.iter().enumerate() {
            let stem: String = format!("{}.{}", part.part, part.copy);
            let stem = if stem.starts_with("60") { "p60---disc-.1".into() } else { stem };
            expect(&format!("{stem}.outline"), part.outline.points());
            for (k, opening) in part.openings.iter().enumerate() {
                expect(&format!("{stem}.opening.{}", k + 1), opening.points());
            }
            for (k, tab) in part.hold.tabs.iter().enumerate() {
                expect(&format!("{stem}.tab.{}", k + 1), tab.bridge(sheet.bit.diameter).points());
            }
            let lines = cut.lines.iter().filter(|l| l.part == i && l.kind == LineKind::Through);
            for (k, line) in lines.enumerate() {
                expect(&format!("{stem}.through.0.{}", k + 1), &line.points);
            }
        }
    }
}

/// The file's own promise, read from its XML: size in mm, a viewBox in mm, the named groups in order,
/// nothing that an importer might not know.
#[test]
fn the_drawing_is_plain() {
    let (mut layout, cuts) = fixture::small();
    // The pocket is an eighth of an inch deep; the hole goes through 6 mm.
    layout.sheets[0].parts[0].features[0].depth = Some(3.175);
    let text = sheet_svg(&layout.sheets[0], &cuts[0], Units::In);
    let xml = Document::parse(&text).unwrap();
    let svg = xml.root_element();
    assert_eq!(svg.attribute("width"), Some("200mm"));
    assert_eq!(svg.attribute("height"), Some("120mm"));
    assert_eq!(svg.attribute("viewBox"), Some("0 0 200 120"));
    let groups: Vec<_> = svg
        .children()
        .filter(|n| n.has_tag_name("g"))
        .map(|n| n.attribute("id").unwrap())
        .collect();
    // Depths by hand: 6 mm are 0.23622 in, and 6 less the tabs' 1.2 are 0.18898 in.
    let (upper, through) = ("upper-pass-0.18898in", "through-pass-0.23622in");
    let deep = ["pockets-0.125in-deep", "holes-0.23622in-deep"];
    let named = [
        &["sheet", "parts", "openings", "features"][..],
        &deep,
        &["tabs", upper, through, "labels"],
    ]
    .concat();
    assert_eq!(groups, named);
    for node in svg.descendants().filter(Node::is_element) {
        let tag = node.tag_name().name();
        assert!(["svg", "title", "desc", "g", "path", "text"].contains(&tag), "{tag}");
        for attribute in node.attributes() {
            let name = attribute.name();
            assert!(!["transform", "style", "class", "clip-path"].contains(&name), "{tag} {name}");
        }
    }
}

/// Names that XML does not allow as they stand do not break the files.
#[test]
fn ids_are_unique_and_files_are_well_formed() {
    let (layout, cuts) = fixture::small();
    for (sheet, cut) in layout.sheets.iter().zip(&cuts) {
        unique_ids(&sheet_svg(sheet, cut, Units::Mm));
    }
    let page = page(&layout, &cuts, Units::Mm);
    unique_ids(page.strip_prefix("<!DOCTYPE html>\n").unwrap());
}

/// Parses the text as XML and returns its ids, each seen once.
pub fn unique_ids(text: &str) -> BTreeSet<String> {
    // Void elements are the only part of the page's HTML that is not XML.
    let text: String = text
        .lines()
        .map(|l| if l.starts_with("<meta") { l.replace('>', "/>") } else { l.to_string() } + "\n")
        .collect();
    let xml = Document::parse(&text).unwrap();
    let mut ids = BTreeSet::new();
    for id in xml.descendants().filter_map(|n| n.attribute("id")) {
        assert!(ids.insert(id.to_string()), "id {id} twice");
    }
    ids
}

/// The page for a layout with a note and prices.
pub fn page(layout: &Layout, cuts: &[tabwright::export::SheetCut], units: Units) -> String {
    let prices = vec![Some(12.5); layout.sheets.len()];
    let notes = ["hands.svg carries no unit: 96 dpi was assumed".to_string()];
    report_html(&Report { layout, cuts, units, prices: &prices, notes: &notes })
}

/// The page stands alone: nothing is fetched, no script runs, pictures have titles, and it uses the
/// units that were asked for.
#[test]
fn the_page_stands_alone() {
    let (layout, cuts) = fixture::small();
    let page = page(&layout, &cuts, Units::In);
    for outside in ["src=", "<script", "<link", "@import", "url(http", "<img", "<iframe"] {
        assert!(!page.contains(outside), "{outside}");
    }
    let xml = page
        .replace("<meta charset=\"utf-8\">", "")
        .replace("initial-scale=1\">", "initial-scale=1\"/>");
    let xml = Document::parse(xml.strip_prefix("<!DOCTYPE html>\n").unwrap()).unwrap();
    let pictures =
        xml.descendants().filter(|n| n.has_tag_name("svg") && n.attribute("role") == Some("img"));
    assert!(pictures.clone().count() >= 4);
    assert!(pictures.into_iter().all(|n| n.attribute("aria-label").is_some_and(|l| !l.is_empty())));
    // Every reference inside the page has its target.
    let ids: BTreeSet<&str> = xml.descendants().filter_map(|n| n.attribute("id")).collect();
    for href in xml.descendants().filter_map(|n| n.attribute("href")) {
        assert!(ids.contains(href.trim_start_matches('#')), "{href}");
    }
    let text: String = xml.descendants().filter_map(|n| n.text()).collect::<Vec<_>>().join(" ");
    for words in
        ["1/8 in", "hearing protection", "not a guarantee", "scrap", "plinth", "short grain"]
    {
        assert!(text.contains(words), "{words}");
    }
    assert!(!text.contains(" mm"), "inches were asked for");
    // The words are explained on the page's last lines.
    let last = text.rsplit("Made by Tabwright").next().expect("the foot of the page");
    for term in GLOSSARY {
        assert!(last.contains(term.word) && last.contains(term.means), "{}", term.word);
    }
}

/// The layout file reads back as the layout it came from, and numbers keep every digit.
#[test]
fn the_layout_file_reads_back() {
    let (layout, _) = fixture::small();
    let text = layout_json(&layout).unwrap();
    assert_eq!(serde_json::from_str::<Layout>(&text).unwrap(), layout);
    // A line a field: parts and their geometry are not spread over thousands of lines.
    assert!(text.lines().count() < 150, "{}", text.lines().count());
    let mut broken = layout;
    broken.sheets[0].gap = f64::NAN;
    // serde_json writes null for what is no number; the reader then says where.
    let text = layout_json(&broken).unwrap();
    assert!(serde_json::from_str::<Layout>(&text).is_err());
}

/// A layout with nothing placed still gives a page and a summary, and a layout of nonsense numbers draws something.
#[test]
fn odd_layouts_do_not_break_the_exports() {
    let empty = Layout::new("", 1);
    assert!(page(&empty, &[], Units::Mm).contains("No sheet is used"));
    assert!(summary(&empty, &[], Units::Mm).starts_with("Layout: 0 parts on 0 sheets"));
    let (mut odd, _) = fixture::small();
    odd.sheets[0].outline.0.clear();
    odd.sheets[0].parts[0].outline.0 = vec![point(f64::NAN, 0.0), point(f64::INFINITY, 3.0)];
    odd.sheets[0].parts[1].outline.0.clear();
    odd.sheets[0].parts[2].outline.0[1].x = f64::NAN;
    odd.sheets[0].parts[1].openings = vec![tabwright::geometry::Ring(vec![])];
    odd.sheets[1].bit.diameter = f64::NAN;
    let nothing = tabwright::export::SheetCut {
        order: vec![99, 0, 0],
        lines: vec![tabwright::export::CutLine {
            part: 99,
            ring: 9,
            kind: LineKind::Upper,
            depth: -1.0,
            points: vec![],
            closed: true,
        }],
        ..Default::default()
    };
    unique_ids(&sheet_svg(&odd.sheets[0], &nothing, Units::Mm));
    unique_ids(page(&odd, &[nothing], Units::In).strip_prefix("<!DOCTYPE html>\n").unwrap());
    assert!(!summary(&odd, &[], Units::In).is_empty());
}

/// The design's rule: exports are made from the layout and the cut's lines, never by nesting.
#[test]
fn export_never_uses_nest() {
    let mut folders =
        vec![std::path::PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/src/export"))];
    let mut files = 0;
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                files += 1;
                let text = std::fs::read_to_string(&path).unwrap();
                for stage in ["nest::", "hold::plan", "cut::plan", "drawing::read", "std::fs"] {
                    let uses = format!("crate::{stage}");
                    assert!(
                        !text.contains(&uses) && !text.contains("println!"),
                        "{path:?} {stage}"
                    );
                }
            }
        }
    }
    assert!(files > 10, "{files} files");
}

/// Waste that comes loose is numbered in the summary, on its sheet's picture and below it, in the page's units.
#[test]
fn loose_waste_is_numbered_with_what_to_do() {
    let (mut layout, cuts) = fixture::small();
    let plain = page(&layout, &cuts, Units::In);
    let said = summary(&layout, &cuts, Units::In);
    assert!(!plain.contains("loose\"") && !said.contains("w1"));
    // One sliver of the fixture's first sheet comes loose, too narrow to be numbered.
    assert!(
        said.contains(
            "1 smaller piece of waste comes loose (tinted red on the page; walnut-6mm-1)"
        ),
        "{said}"
    );
    assert!(!summary(&layout, &[], Units::In).contains("smaller piece"));
    let id = layout.sheets[0].id.clone();
    let piece = |x: f64, part: Option<&str>| DropOut {
        sheet: id.clone(),
        at: [x, 30.0],
        size_mm: [25.4, 12.7],
        part: part.map(String::from),
        copy: part.map(|_| 2),
        opening: part.map(|_| 1),
    };
    layout.drop_outs = vec![piece(30.0, None), piece(60.0, Some("base"))];
    let said = summary(&layout, &cuts, Units::In);
    for words in [
        "2 pieces (w1 and w2 on its picture), the largest 1 × 1/2 in, in opening 1 of base 2",
        "tape under each",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let page = page(&layout, &cuts, Units::In);
    // The sheet is drawn twice, for a wide screen and for a phone.
    assert_eq!(page.matches("<g class=\"loose\"").count(), 2 * 2);
    assert!(page.contains("<b>w1</b> 1 × 1/2 in, between parts"));
    assert!(page.contains(">w2</text>"));
}

/// Where a hand is needed has a number and a place; the legend has every kind of line that is drawn; names stand on parts that
/// are turned, with their copies; what to mind of a part that is not there is not told.
#[test]
fn the_picture_says_what_is_drawn_and_where() {
    let (mut layout, cuts) = fixture::small();
    layout.sheets[0].parts[0].features[0].depth = Some(3.175);
    let upright = |x: f64| tabwright::geometry::Ring::rectangle(9.0, 34.0).moved(point(x, 70.0));
    let slats = [1, 2].map(|copy| PlacedPart {
        part: "slat".into(),
        copy,
        outline: upright(130.0 + 20.0 * copy as f64),
        ..layout.sheets[0].parts[1].clone()
    });
    layout.sheets[0].parts.extend(slats);
    let careful = |part: &str| Warning::of(part, WarningKind::LiftsCorners);
    layout.warnings = vec![careful("plinth")];
    let page = page(&layout, &cuts, Units::In);
    // The strip of the fixture is 10.35 x 3 mm from (50, 91.5) mm: its middle by hand.
    assert!(page.contains("<b>t1</b> at (2.172, 3.661) in, beside part 1, minute-hand"));
    assert_eq!(page.matches(">t1</text></g>").count(), 2);
    for words in [
        "pocket, 1/8 in deep",
        "drilled hole, right through",
        "engraving",
        "mark: not cut",
        "edge without tabs",
        "strip that gives way: tape under it",
        "waste that comes loose",
    ] {
        assert!(page.contains(&format!("</svg>{words}</span>")), "{words}");
    }
    for copy in ["slat 1", "slat 2"] {
        let line = page.lines().find(|l| l.contains(&format!("{copy}</t"))).expect(copy);
        let of_copy = line.split("<text").filter(|t| t.contains(copy));
        assert!(of_copy.clone().count() > 0 && of_copy.clone().all(|t| t.contains("rotate(-90")));
    }
    assert!(page.contains("<th scope=\"row\">minute-hand <small>1, 2</small></th>"));
    assert!(page.contains("plinth not placed") && !page.contains("lifts the free corners"));
    layout.warnings = vec![careful("slat")];
    assert!(self::page(&layout, &cuts, Units::In).contains("lifts the free corners"));
}

/// How much of the force's range most holds bear is told once, and then of the others.
#[test]
fn what_most_rows_would_say_is_said_once() {
    let (mut layout, cuts) = fixture::small();
    let mut part = layout.sheets[0].parts[1].clone();
    let force = Some(ForceRange { low: 0.5, high: 2.0, bears: None });
    part.hold.reason = Some(Why { force, ..Why::because(Because::Minimum) });
    let with = |name: &str, least: f64| {
        let mut part = PlacedPart { part: name.into(), ..part.clone() };
        part.hold.figures = Some(HoldFigures { least_margin: least, ..HoldFigures::default() });
        part
    };
    layout.sheets.truncate(1);
    layout.sheets[0].parts = vec![with("a", 1.2), with("b", 1.3), with("c", 1.4), with("d", 2.5)];
    let page = page(&layout, &cuts[..1], Units::Mm);
    assert_eq!(page.matches("holds at the nominal cutting force").count(), 1);
    assert_eq!(page.matches("holds even at the high end").count(), 1);
}

/// A warning that concerns most of the parts held by tabs is given once, for all but the others.
#[test]
fn what_concerns_most_parts_is_said_of_all_but_the_others() {
    let said = |warned: &[&str]| {
        let (mut layout, cuts) = fixture::small();
        let part = layout.sheets[0].parts[0].clone();
        assert_eq!(part.hold.method, Method::Tabs);
        layout.sheets.truncate(1);
        let named = |name| PlacedPart { part: name, ..part.clone() };
        let names = ["aa", "bb", "cc", "dd", "ee", "ff"];
        layout.sheets[0].parts = names.map(|n| named(n.to_string())).to_vec();
        let kind = || WarningKind::DoNotRepeat { movement_mm: 0.3, safety: 1.0 };
        layout.warnings = warned.iter().map(|n| Warning::of(n, kind())).collect();
        let said = summary(&layout, &cuts, Units::Mm);
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let most = said(&["aa", "bb", "dd", "ee", "ff"]);
    assert!(
        most.contains("do not repeat the last pass on parts held by tabs, except cc: once"),
        "{most}"
    );
    let all = said(&["aa", "bb", "cc", "dd", "ee", "ff"]);
    assert!(all.contains("do not repeat the last pass on any part held by tabs: once"), "{all}");
    // Of a few each has its own figures.
    let few = said(&["aa", "bb", "cc", "dd"]);
    assert!(
        few.contains("4 parts: aa (it moves up to 0.30 mm at the bit, safety 1.0), bb"),
        "{few}"
    );
}
