//! Drawings read from one-issue files in `tests/data/drawing`, each named for what it shows.
//!
//! Expected areas and places are plane geometry, worked beside each line; lengths with units follow
//! W3C CSS Values and Units 3, section 6.2 (1in = 2.54cm = 25.4mm = 72pt = 6pc = 96px).

use std::f64::consts::PI;
use tabwright::drawing::{
    Drawing, DrawingFault, DrawnPart, Flaw, MarkRule, MarkedBy, ReadOptions, ScaleSource, Severity,
    read,
};
use tabwright::export::{drawing_fault_line, flaw_words, scale_words};
use tabwright::geometry::point;
use tabwright::layout::FeatureKind;
use tabwright::units::Units;

fn text(name: &str) -> String {
    let path = format!("{}/tests/data/drawing/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn sample_with(name: &str, options: &ReadOptions) -> Drawing {
    read(&text(name), name, options).unwrap()
}

fn sample(name: &str) -> Drawing {
    sample_with(name, &ReadOptions::default())
}

/// The part called `name`, checked for the net area within `slack` mm².
#[track_caller]
fn part<'a>(drawing: &'a Drawing, name: &str, area: f64, slack: f64) -> &'a DrawnPart {
    let names: Vec<&str> = drawing.parts.iter().map(|p| p.name.as_str()).collect();
    let found = drawing.parts.iter().find(|p| p.name == name);
    let part = found.unwrap_or_else(|| panic!("no '{name}' among {names:?}, {:?}", drawing.faults));
    let got = part.shape.net_area();
    assert!((got - area).abs() <= slack, "{name}: area {got}, expected {area}");
    part
}

/// Faults as `severity element message`, to compare by their starts.
#[track_caller]
fn faults(drawing: &Drawing, expected: &[(Severity, &str, &str)]) {
    let say = |f: &DrawingFault| format!("{:?} {}", f.severity, drawing_fault_line(f, Units::Mm));
    // A job in inches hears of no millimetre.
    let inches = drawing.faults.iter().map(|f| drawing_fault_line(f, Units::In));
    inches.for_each(|line| assert!(!line.contains("mm"), "{line}"));
    let got: Vec<String> = drawing.faults.iter().map(say).collect();
    assert_eq!(got.len(), expected.len(), "{got:#?}");
    for (severity, element, words) in expected {
        let fits = |f: &&DrawingFault| {
            f.severity == *severity
                && f.element == *element
                && flaw_words(&f.flaw, Units::Mm).contains(words)
        };
        assert!(drawing.faults.iter().any(|f| fits(&f)), "{element} '{words}' not in {got:#?}");
    }
}

use Severity::{Error, Warning};

/// The most area that a chord error of 0.01 mm takes along curves of this length.
fn chords(length: f64) -> f64 {
    0.01 * length
}

#[test]
fn every_unit_gives_the_same_square() {
    // 10 units are one inch, so 5 units are half an inch: 12.7 mm.
    for unit in ["mm", "cm", "in", "pt", "pc", "px", "bare"] {
        let d = sample(&format!("unit-{unit}.svg"));
        let square = part(&d, "square", 12.7 * 12.7, 1e-9);
        assert!((square.at.x - 2.54).abs() < 1e-9 && (square.at.y - 5.08).abs() < 1e-9, "{unit}");
        let physical = matches!(d.scale, ScaleSource::Physical { .. });
        assert_eq!(physical, !matches!(unit, "px" | "bare"), "{unit}");
        assert!((d.scale.mm_per_unit() - 2.54).abs() < 1e-12);
        faults(&d, &[]);
    }
}

#[test]
fn the_assumed_scale_is_said_and_corrected() {
    let assumed = sample("unit-px.svg");
    let words = scale_words(&assumed.scale, Units::Mm);
    assert!(words.contains("96 dpi is assumed") && words.contains("72 or 90"), "{words}");
    // 96 px at 72 dpi are 96 / 72 in, so 5 units of 9.6 px are 16.9333 mm.
    let options = ReadOptions { dpi: Some(72.0), ..ReadOptions::default() };
    let d = sample_with("unit-px.svg", &options);
    part(&d, "square", (48.0 / 72.0 * 25.4f64).powi(2), 1e-9);
    assert!(scale_words(&d.scale, Units::Mm).contains("72 dpi, as given"));
    // A file that states its size keeps it whatever the dpi, and takes the factor.
    let options = ReadOptions { dpi: Some(72.0), scale: 2.0, ..ReadOptions::default() };
    part(&sample_with("unit-mm.svg", &options), "square", 25.4 * 25.4, 1e-9);
}

#[test]
fn lengths_without_a_viewbox() {
    let d = sample("no-viewbox-lengths.svg");
    let physical = part(&d, "physical", 25.4 * 12.7, 1e-9);
    assert!((physical.at.x - 10.0).abs() < 1e-9 && (physical.at.y - 10.0).abs() < 1e-9);
    let pixels = part(&d, "pixels", 25.4 * 25.4, 1e-9);
    assert!((pixels.at.x - 50.8).abs() < 1e-9);
}

#[test]
fn viewbox_is_fitted_and_centred() {
    // 100 x 100 units in 200 x 100 mm: 1 mm a unit, 50 mm spare on either side.
    let d = sample("aspect.svg");
    let square = part(&d, "square", 2500.0, 1e-9);
    assert_eq!((square.at.x, square.at.y), (50.0, 0.0));
    let d = sample("nested-viewports.svg");
    // 10 units in 50 mm: 50 % of the viewBox is 5 units, 25 mm; 4 units are 20 mm.
    let inner = part(&d, "inner", 500.0, 1e-9);
    assert_eq!((inner.at.x, inner.at.y), (105.0, 25.0));
    part(&d, "shown", 400.0, 1e-9);
    assert_eq!(d.parts.len(), 2, "a switch shows one child");
}

/// SVG 1.1 (W3C Recommendation 2011), 7.8: `meet` takes the smaller of the two scales and shows all, `slice` the larger and
/// covers the page; what is left over goes before (max), after (min) or on both sides (mid). A square of 20 units at (10, 30) of
/// 100 x 100 in a page of 200 x 100 mm.
#[test]
fn meet_and_slice_and_every_alignment() {
    // Scale 1 and 100 mm to spare across; scale 2 and 100 mm too many down.
    let across = [("xMin", 0.0), ("xMid", 50.0), ("xMax", 100.0)];
    let down = [("YMin", 0.0), ("YMid", -50.0), ("YMax", -100.0)];
    for (x, right) in across {
        for (y, below) in down {
            for (how, k, dx, dy) in [("meet", 1.0, right, 0.0), ("slice", 2.0, 0.0, below)] {
                let text = format!(
                    "<svg xmlns='http://www.w3.org/2000/svg' width='200mm' height='100mm' viewBox='0 0 100 100' \
                     preserveAspectRatio='{x}{y} {how}'><rect id='square' x='10' y='30' width='20' height='20' fill='none' \
                     stroke='black'/></svg>"
                );
                let d = read(&text, "aspect.svg", &ReadOptions::default()).unwrap();
                let square = part(&d, "square", 400.0 * k * k, 1e-9);
                let at = (k * 10.0 + dx, k * 30.0 + dy);
                let off = (square.at.x - at.0).abs().max((square.at.y - at.1).abs());
                assert!(off < 1e-9, "{x}{y} {how}: {:?}, not {at:?}", square.at);
            }
        }
    }
}

/// SVG 1.1, 7.10: a percentage of x or width refers to the viewBox's width, of y or height to its height.
#[test]
fn percentages_are_of_their_own_side() {
    let text = "<svg xmlns='http://www.w3.org/2000/svg' width='200mm' height='50mm' viewBox='0 0 200 50'>\
                <rect id='bar' x='5%' y='20%' width='50%' height='40%' fill='none' stroke='black'/></svg>";
    let d = read(text, "percent.svg", &ReadOptions::default()).unwrap();
    let bar = part(&d, "bar", 100.0 * 20.0, 1e-9);
    let bounds = bar.shape.bounds();
    assert!((bounds.width() - 100.0).abs() < 1e-9 && (bounds.height() - 20.0).abs() < 1e-9);
    assert!((bar.at.x - 10.0).abs() < 1e-9 && (bar.at.y - 10.0).abs() < 1e-9, "{:?}", bar.at);
}

#[test]
fn arcs_and_curves_have_the_area_of_their_formulas() {
    let d = sample("arcs-by-flags.svg");
    part(&d, "sector", 0.75 * PI * 900.0, chords(142.0));
    part(&d, "lens", 2.0 * (PI / 4.0 - 0.5) * 400.0, chords(63.0));
    let half = part(&d, "half", PI * 225.0 / 2.0, chords(48.0));
    assert!((half.shape.bounds().width() - 30.0).abs() < 1e-9);
    part(&d, "egg", PI * 200.0, chords(97.0));
    let d = sample("beziers.svg");
    part(&d, "parabola", 2.0 / 3.0 * 20.0 * 5.0, chords(23.0));
    // x = 50 + 20 (3 t² - 2 t³), y = 30 t (1 - t): the integral of y dx is 3600 / 30.
    part(&d, "hump", 120.0, chords(28.0));
    part(&d, "two-humps", 800.0, chords(56.0));
    part(&d, "two-parabolas", 800.0, chords(46.0));
    faults(&d, &[]);
}

#[test]
fn curves_are_exact_to_a_thousandth_however_the_page_is_scaled() {
    // A dial of radius 140 mm drawn in units of a metre: vertices on the circle, extent exact.
    let d = sample("tiny-scale.svg");
    let dial =
        part(&d, "dial", PI * 140.0 * 140.0 - (40.0 * 30.0 - (4.0 - PI) * 25.0), chords(912.0));
    let b = dial.shape.bounds();
    assert!((b.width() - 280.0).abs() < 1e-6 && (b.height() - 280.0).abs() < 1e-6, "{b:?}");
    let centre = point(140.0, 140.0);
    for s in dial.shape.outline.segments() {
        assert!(((s.a.x - centre.x).hypot(s.a.y - centre.y) - 140.0).abs() < 1e-6);
        assert!(s.distance_to_point(centre) > 140.0 - 0.0101);
    }
}

#[test]
fn transforms_nest() {
    let d = sample("nested-transforms.svg");
    let turned = part(&d, "turned", 120.0, 1e-9);
    assert!((turned.at.x - 88.0).abs() < 1e-9 && (turned.at.y - 40.0).abs() < 1e-9);
    let skewed = part(&d, "skewed", 600.0, 1e-9);
    assert!(
        (skewed.at.x - 80.0).abs() < 1e-9 && (skewed.shape.bounds().width() - 50.0).abs() < 1e-9
    );
    let mirrored = part(&d, "mirrored", 200.0, 1e-9);
    assert_eq!((mirrored.at.x, mirrored.at.y), (40.0, 120.0));
}

#[test]
fn uses_are_copies_unless_mirrored() {
    let d = sample("shared-definitions.svg");
    // 25 x 12 less corners, by the shoelace formula over (0,0) (20,0) (30,8) (20,12) (0,12) (5,6).
    let area = 0.5
        * [(0., 0.), (20., 0.), (30., 8.), (20., 12.), (0., 12.), (5., 6.), (0., 0.)]
            .windows(2)
            .map(|w: &[(f64, f64)]| w[0].0 * w[1].1 - w[1].0 * w[0].1)
            .sum::<f64>();
    assert_eq!(part(&d, "fish", area, 1e-9).copies, 3);
    assert_eq!(part(&d, "fish-2", area, 1e-9).copies, 1, "a mirrored fish is another part");
    let tile = part(&d, "tile", 24.0 * 18.0, 1e-9);
    assert_eq!((tile.at.x, tile.at.y), (103.0, 63.0));
    faults(&d, &[(Error, "<use> in line 11", "refers to '#nowhere'")]);
}

#[test]
fn style_sheets_decide_what_shows_and_what_it_is() {
    let rule = MarkRule { by: MarkedBy::Stroke([31, 111, 139]), kind: FeatureKind::Pocket };
    let d =
        sample_with("style-sheet.svg", &ReadOptions { marks: vec![rule], ..Default::default() });
    let lid = part(&d, "Lid", 2000.0, 1e-9);
    assert_eq!(lid.features.len(), 1);
    assert_eq!(lid.features[0].kind, FeatureKind::Pocket);
    // The pocket is in the part's frame: its centre is (30, 30) - (10, 10).
    let centre = lid.features[0].rings[0].centroid();
    assert!((centre.x - 20.0).abs() < 1e-9 && (centre.y - 20.0).abs() < 1e-9);
    faults(
        &d,
        &[
            (Warning, "#aid", "hidden (display: none)"),
            (Warning, "<path> in line 11", "invisible (no stroke, no fill)"),
        ],
    );
}

#[test]
fn features_travel_with_the_part_around_them() {
    let marks = vec![
        MarkRule { by: MarkedBy::Group("drill holes".into()), kind: FeatureKind::Drill },
        MarkRule { by: MarkedBy::Group("engraving".into()), kind: FeatureKind::Engraving },
        MarkRule { by: MarkedBy::Stroke([0x1f, 0x6f, 0x8b]), kind: FeatureKind::Pocket },
        MarkRule { by: MarkedBy::Stroke([0, 255, 0]), kind: FeatureKind::TabFree },
    ];
    let d = sample_with("marks.svg", &ReadOptions { marks, ..Default::default() });
    assert_eq!(d.parts.len(), 2);
    let hand = part(&d, "hand", 1200.0 - PI * 16.0, chords(26.0));
    assert_eq!(hand.shape.openings.len(), 1);
    let kinds: Vec<_> =
        hand.features.iter().map(|f| (f.kind, f.rings.len(), f.lines.len())).collect();
    assert_eq!(kinds, [(FeatureKind::Drill, 1, 0)]);
    assert_eq!(hand.features[0].name, "pin");
    assert_eq!(hand.tab_free.len(), 1);
    assert_eq!(hand.tab_free[0].0, [point(20.0, 0.0), point(40.0, 0.0)], "(30, 10) less (10, 10)");
    let face = part(&d, "face", 3600.0, 1e-9);
    let kinds: Vec<_> =
        face.features.iter().map(|f| (f.kind, f.rings.len(), f.lines.len())).collect();
    use FeatureKind::{Engraving, Pocket};
    assert_eq!(kinds, [(Pocket, 1, 0), (Pocket, 1, 0), (Engraving, 0, 1), (Engraving, 0, 1)]);
    assert_eq!(face.features[1].rings[0].0[0], point(40.0, 30.0), "(140, 40) less (100, 10)");
    faults(&d, &[(Error, "#astray", "a pocket that lies in no part")]);
}

#[test]
fn rings_alternate_with_depth() {
    let d = sample("ring-in-ring.svg");
    let inch2 = 25.4 * 25.4;
    let frame = part(&d, "frame", 12.0 * inch2, 1e-9);
    assert_eq!(frame.shape.openings.len(), 1);
    // A part in the opening, with an opening of its own.
    part(&d, "core", (1.0 - PI / 16.0) * inch2, chords(40.0));
    let d = sample("one-subpath-each.svg");
    part(&d, "letters", 200.0, 1e-9);
    part(&d, "letters-2", 184.0, 1e-9);
    part(&d, "letters-3", 500.0, 1e-9);
    part(&d, "letters-4", 100.0, 1e-9);
}

#[test]
fn loose_lines_and_arcs_become_rings() {
    let d = sample("loose-segments.svg");
    // 30 x 30 and a half disc of radius 15; gaps of up to 0.04 mm move the joints.
    let dee = part(&d, "dee", 900.0 + PI * 225.0 / 2.0, 0.05 * 107.0);
    assert_eq!(dee.shape.openings.len(), 0);
    faults(&d, &[]);
    // With a tighter tolerance the gaps are faults, each with its size.
    let d = sample_with("loose-segments.svg", &ReadOptions { join: 0.005, ..Default::default() });
    assert!(d.parts.is_empty() && d.faults.iter().all(|f| matches!(f.flaw, Flaw::Open { .. })));
    let d = sample("short-segments.svg");
    // (2, 2) (7.91, 2) (7.94, 2.01) (7.965, 2.035) (7.98, 2.06) (7.98, 8) (2, 8): 5.98 x 6 less the corner.
    let corner = 0.5 * (0.07 * 0.06) - 0.5 * (0.03 * 0.05 - 0.01 * 0.01);
    assert_eq!(d.parts.len(), 1, "{:?}", d.faults);
    assert!((d.parts[0].shape.net_area() - (5.98 * 6.0 - corner)).abs() < 0.002);
    assert_eq!(d.parts[0].shape.outline.0.len(), 7);
}

#[test]
fn doubled_lines_are_dropped_and_named() {
    let d = sample("doubled-segments.svg");
    assert_eq!(d.parts.len(), 1);
    assert_eq!(d.parts[0].shape.net_area(), 900.0);
    faults(&d, &[(Warning, "#a-again", "drawn twice: lies on #a")]);
}

#[test]
fn branches_are_reported_and_loops_at_a_point_close_on_themselves() {
    let d = sample("branch.svg");
    assert!(d.parts.is_empty());
    let branches = d
        .faults
        .iter()
        .filter(|f| flaw_words(&f.flaw, Units::Mm).contains("3 ends of lines meet"))
        .count();
    assert_eq!((branches, d.faults.len()), (2, 2), "{:?}", d.faults);
    let d = sample("corner-to-corner.svg");
    // The two openings touch at a point, which is no opening that can be cut: said, not guessed, and the plate is not made
    // without them.
    faults(&d, &[(Error, "<path> in line 5", "touches"), (Error, "plate", "left out")]);
    assert!(d.parts.is_empty());
}

#[test]
fn spikes_and_small_loops_are_cut_off_and_pinches_are_split() {
    let d = sample("spikes-and-loops.svg");
    part(&d, "spike", 400.0, 1e-9);
    part(&d, "loop", 900.0, 1.0);
    part(&d, "pinch", 30.0 * 20.0 - 0.5 * 30.0 * 10.0, 1e-9);
    faults(
        &d,
        &[
            (Warning, "#spike", "runs out and back"),
            (Warning, "#loop", "a loop smaller than"),
            (Warning, "#pinch", "touches itself"),
        ],
    );
    let pinch = d.faults.iter().find(|f| f.element == "#pinch").unwrap();
    assert!((pinch.at.x - 75.0).abs() < 1e-9 && (pinch.at.y - 50.0).abs() < 1e-9);
}

/// Two triangles that meet in their tips at (63.5, 50.8), drawn as one line: four pairs of edges meet there, at one place.
#[test]
fn an_outline_that_touches_itself_names_the_place() {
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='6in' height='4in' viewBox='0 0 6 4'>\
               <path id='eight' fill='none' stroke='#000' d='M1 1 L2.5 2 L4 1 V3 L2.5 2 L1 3 Z'/></svg>";
    let d = read(svg, "eight.svg", &ReadOptions::default()).expect("it is SVG");
    let eight = d.faults.iter().find(|f| f.element == "#eight").expect("a warning");
    // Each triangle is 1.5 in high on a base of 2 in.
    assert_eq!(d.parts.iter().map(|p| p.copies).sum::<usize>(), 2);
    assert!(d.parts.iter().all(|p| (p.shape.net_area() / 645.16 - 1.5).abs() < 1e-9));
    assert!((eight.at.x - 63.5).abs() < 1e-6 && (eight.at.y - 50.8).abs() < 1e-6, "{:?}", eight.at);
    let line = drawing_fault_line(eight, Units::In);
    assert_eq!(
        line,
        "#eight at (2.5, 2) in: touches itself: read as its fill shows it, as 2 lines"
    );
}

/// A frame drawn as one line, as programs write a shape with a hole where they know one contour only: in by a slit, round the
/// hole, and out again; and a washer whose hole touches its rim. Areas by hand; a crossing is still no outline.
#[test]
fn a_line_that_touches_itself_is_read_by_its_fill() {
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='200mm' height='60mm' viewBox='0 0 200 60'><g fill='none' stroke='#000'>\
               <path id='frame' d='M10 10 H50 V30 H40 V20 H20 V40 H40 V30 H50 V50 H10 Z'/>\
               <path id='washer' d='M60 10 H100 V50 H60 V30 L80 40 L80 20 L60 30 Z'/>\
               <path id='crossed' d='M110 10 L150 50 V10 L110 50 Z'/></g></svg>";
    let d = read(svg, "fill.svg", &ReadOptions::default()).expect("it is SVG");
    let frame = part(&d, "frame", 40.0 * 40.0 - 20.0 * 20.0, 1e-9);
    assert_eq!(frame.shape.openings.len(), 1);
    // The hole is drawn back by 0.01 mm where it touches: half of 20 mm times that is stock again.
    let washer = part(&d, "washer", 40.0 * 40.0 - 0.5 * 20.0 * 20.0, 0.11);
    assert_eq!(washer.shape.openings.len(), 1);
    faults(
        &d,
        &[
            (Error, "#crossed", "crosses itself"),
            (Warning, "#frame", "as its fill shows it, as 2 lines"),
            (Warning, "#washer", "a wall of 0.01 mm is left"),
        ],
    );
    let at = |id: &str| d.faults.iter().find(|f| f.element == id).map(|f| (f.at.x, f.at.y));
    assert!(at("#washer").is_some_and(|(x, y)| (x - 60.0).hypot(y - 30.0) < 1e-9));
}

#[test]
fn all_faults_are_reported_together_with_element_and_place() {
    let d = sample("faults.svg");
    faults(
        &d,
        &[
            (Error, "#open", "its nearest free end is 2 mm away, at (10, 12) mm"),
            (Error, "#bow", "crosses itself"),
            (Error, "#left", "crosses #right (2 places)"),
            (Warning, "#again", "drawn twice: lies on #one"),
            (Warning, "#speck", "smaller than the least size"),
            (
                Warning,
                "#label",
                "text is left out: convert it to paths if it is to be cut or engraved",
            ),
            (Warning, "#ghost", "invisible (no stroke, no fill)"),
            (Warning, "#off", "hidden (display: none)"),
            (Warning, "#photo", "<image> is not an outline"),
        ],
    );
    let bow = d.faults.iter().find(|f| f.element == "#bow").unwrap();
    assert!((bow.at.x - 60.0).abs() < 1e-9 && (bow.at.y - 20.0).abs() < 1e-9);
    assert_eq!(drawing_fault_line(bow, Units::Mm), "#bow at (60, 20) mm: crosses itself: left out");
    assert_eq!(part(&d, "one", 400.0, 1e-9).copies, 2, "'good' is the same square");
    assert_eq!(d.parts.len(), 1);
}

#[test]
fn a_copy_that_someone_speaks_of_is_a_part_of_its_own() {
    let listed = |wanted: &[&str]| -> Vec<(String, usize)> {
        let wanted = wanted.iter().map(ToString::to_string).collect();
        let d = sample_with("alike.svg", &ReadOptions { wanted, ..ReadOptions::default() });
        d.parts.into_iter().map(|p| (p.name, p.copies)).collect()
    };
    let is = |parts: &[(&str, usize)]| -> Vec<(String, usize)> {
        parts.iter().map(|&(name, copies)| (name.into(), copies)).collect()
    };
    // Four bars of 30 x 8 under three names, and a plate.
    assert_eq!(listed(&[]), is(&[("stile", 4), ("plate", 1)]));
    assert_eq!(listed(&["stile"]), is(&[("stile", 4), ("plate", 1)]), "already listed");
    assert_eq!(listed(&["rail"]), is(&[("stile", 2), ("rail", 2), ("plate", 1)]));
    let all = [("stile", 1), ("rail", 2), ("brace", 1), ("plate", 1)];
    assert_eq!(listed(&["brace", "rail", "plate", "no such part"]), is(&all));
    // The rail is taken as drawn, 8 wide and 30 high: the job's `left` and `top` mean what was drawn.
    let wanted = vec!["rail".to_string()];
    let d = sample_with("alike.svg", &ReadOptions { wanted, ..ReadOptions::default() });
    let bounds = part(&d, "rail", 240.0, 1e-9).shape.bounds();
    assert!((bounds.width() - 8.0).abs() < 1e-9 && (bounds.height() - 30.0).abs() < 1e-9);
}

#[test]
fn clips_that_hide_something_are_faults() {
    let d = sample("clips.svg");
    part(&d, "whole", 400.0, 1e-9);
    assert_eq!(d.parts.len(), 1);
    faults(
        &d,
        &[
            (Error, "#cut-off", "the clip path #window hides part of it"),
            (Warning, "#away", "the clip path #window hides it"),
        ],
    );
}

#[test]
fn parts_may_touch_side_by_side_but_an_opening_may_not_touch_its_outline() {
    let d = sample("side-by-side.svg");
    part(&d, "left", 400.0, 1e-9);
    part(&d, "right", 600.0, 1e-9);
    assert_eq!(d.parts.len(), 2);
    faults(
        &d,
        &[
            (Error, "#frame", "shares a line with #hole"),
            (Warning, "#left", "shares a line with #right"),
        ],
    );
}

#[test]
fn a_fill_closes_what_a_stroke_does_not() {
    let d = sample("fill-closes.svg");
    part(&d, "wedge", 300.0, 1e-9);
    faults(&d, &[(Warning, "#wedge", "closed by a straight line")]);
}

#[test]
fn entities_of_the_doctype_are_read() {
    // 72 pt are an inch, 30 units of 72 are 10.5833 mm.
    part(&sample("doctype-entities.svg"), "box", (30.0 / 72.0 * 25.4f64).powi(2), 1e-9);
}

#[test]
fn what_is_no_drawing_is_refused() {
    for (text, words) in [
        ("", "not an SVG"),
        ("G0 X0", "not an SVG"),
        ("<svg", "cut short"),
        ("<html/>", "<html>, not <svg>"),
    ] {
        let e = read(text, "odd.svg", &ReadOptions::default()).unwrap_err().to_string();
        assert!(e.starts_with("odd.svg: ") && e.contains(words), "{e}");
    }
}
