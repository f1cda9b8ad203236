//! `[[drawing]]`, `[[part]]` and its pins.

use super::Row;
use super::case::{Case, bounds, bounds_are, near, page, size_is, tabs};

/// Which way the plate's own x lies on the sheet, degrees of half a turn.
fn lies(run: &super::case::Run) -> f64 {
    let turn = run.parts()[0]["rotation_deg"].as_f64().expect("a turn");
    let half = turn.rem_euclid(180.0);
    if half > 179.999_999 { 0.0 } else { half }
}

#[track_caller]
fn lies_at(run: &super::case::Run, degrees: f64) {
    assert!((lies(run) - degrees).abs() < 1e-6, "{}, not {degrees}", lies(run));
}

/// A square sheet of 100 mm.
fn square() -> Case {
    Case::default().sheet("100x100", 5.0, "grain = 'x'\n")
}

/// A hook whose mirror image no turn makes, and a sheet of its mirror image's shape with 10 mm all round.
fn hook(more: &str) -> super::case::Run {
    let table = "[[stock]]\nmaterial = 'hard maple'\nthickness = 6\noutline = 'left.svg'\nmargin = 8\nquantity = 1\n";
    Case::default()
        .drawn("<path id='plate' d='M0 0 H60 V20 H20 V40 H0 Z'/>")
        .file("left.svg", &page("<path d='M0 0 H80 V60 H40 V40 H0 Z'/>"))
        .stocks(table)
        .drawing("grain = 'x'\n")
        .more(more)
        .nest()
}

/// A slat that fits within 50 mm of 55 askew only: at 45 degrees it takes (60 + 6) / sqrt 2 = 46.7 mm.
fn slat() -> Case {
    square().drawn("<rect id='plate' width='60' height='6'/>").sheet("55x55", 2.5, "grain = 'x'\n")
}

const TWO: &str = "[[drawing]]\nfile = 'p.svg'\nmaterial = 'hard maple'\nthickness = 6\n\
                   [[drawing]]\nfile = 'q.svg'\nmaterial = 'hard maple'\nthickness = 6\n";

/// Two drawings with a plate each, the second 30 x 10 mm.
fn two() -> Case {
    Case::default().drawings(TWO).file("q.svg", &page("<rect id='plate' width='30' height='10'/>"))
}

/// A plate with a square-cornered slot as wide as the stock is thick: a tenon's place.
pub const MORTISE: &str =
    "<rect id='plate' width='60' height='40'/><rect x='20' y='17' width='20' height='6'/>";

pub const DRAWING: &[Row] = &[
    ("[[drawing]] file", || {
        let run = Case::default()
            .file("q.svg", &page("<rect id='lath' width='50' height='15'/>"))
            .drawings("[[drawing]]\nfile = 'q.svg'\nmaterial = 'hard maple'\nthickness = 6\n")
            .nest()
            .good();
        assert_eq!(run.parts()[0]["part"], "lath");
        let gone = "[[drawing]]\nfile = 'gone.svg'\nmaterial = 'hard maple'\nthickness = 6\n";
        Case::default().drawings(gone).nest().refused(&["gone.svg: there is no such file"]);
    }),
    ("[[drawing]] material", || {
        let run = Case::default().nest().good();
        assert_eq!(run.sheet()["material"], "maple, sugar (hard)");
    }),
    ("[[drawing]] thickness", || {
        let both = "[[stock]]\nname = 'thin'\nmaterial = 'hard maple'\nthickness = 4\nsize = '100x50'\n\
                    [[stock]]\nname = 'thick'\nmaterial = 'hard maple'\nthickness = 6\nsize = '100x50'\n";
        let table = "[[drawing]]\nfile = 'p.svg'\nmaterial = 'hard maple'\nthickness = 4\n";
        let run = Case::default().stocks(both).drawings(table).nest().good();
        near(&run.sheet()["thickness"], 4.0);
        assert_eq!(run.sheet()["stock"], "thin");
    }),
    ("[[drawing]] quantity", || {
        assert_eq!(Case::default().drawing("quantity = 3\n").nest().good().placed(), 3);
        // Two drawn, three times.
        let pair = "<rect id='plate' width='60' height='20'/><rect y='30' width='60' height='20'/>";
        let run =
            Case::default().drawn(pair).sheet("200x150", 5.0, "").drawing("quantity = 3\n").nest();
        assert_eq!(run.good().placed(), 6);
    }),
    ("[[drawing]] spares", || {
        let run = Case::default().drawing("spares = 2\n").nest().good();
        let spares = run.parts().iter().filter(|p| p["spare"] == true).count();
        assert_eq!((run.placed(), spares), (3, 2));
        // Where there is room for none, that is said.
        let run = Case::default()
            .sheet("80x40", 5.0, "quantity = 1\n")
            .drawing("spares = 2\n")
            .nest()
            .good();
        assert_eq!(run.layout["unmet"][0]["wish"], "spares");
        assert!(run.out.contains("plate: no room for its 2 spares"), "{}", run.out);
        assert!(run.page.contains("no room for its 2 spares"));
    }),
    ("[[drawing]] grain", || {
        lies_at(&square().drawing("grain = 'x'\n").nest().good(), 0.0);
        lies_at(&square().drawing("grain = 'y'\n").nest().good(), 90.0);
        // The part's direction at 30 degrees is laid along x: the part is turned back by 30.
        lies_at(&square().drawing("grain = 30\n").nest().good(), 150.0);
        let acrylic = |t: &str| t.replace("hard maple", "acrylic");
        let mut job = Case::default().drawing("grain = 'y'\n");
        (job.stock, job.drawing) = (acrylic(&job.stock), acrylic(&job.drawing));
        let run = job.nest().good();
        assert!(run.out.contains("acrylic has no grain"), "{}", run.out);
    }),
    ("[[drawing]] grain-tolerance", || {
        slat().drawing("grain = 'x'\n").nest().no();
        slat().drawing("grain = 'x'\ngrain-tolerance = 45\n").nest().good();
    }),
    ("[[drawing]] mirror", || {
        hook("").no();
        let job = |mirror: &str| {
            let table = format!(
                "[[drawing]]\nfile = 'p.svg'\nmaterial = 'hard maple'\nthickness = 6\ngrain = 'x'\n{mirror}"
            );
            let stock = "[[stock]]\nmaterial = 'hard maple'\nthickness = 6\noutline = 'left.svg'\nmargin = 8\nquantity = 1\n";
            Case::default()
                .drawn("<path id='plate' d='M0 0 H60 V20 H20 V40 H0 Z'/>")
                .file("left.svg", &page("<path d='M0 0 H80 V60 H40 V40 H0 Z'/>"))
                .stocks(stock)
                .drawings(&table)
                .nest()
        };
        assert_eq!(job("mirror = true\n").good().parts()[0]["mirrored"], true);
        job("mirror = false\n").no();
        // With a pocket in its face the flipped hook is another part: only the hook's own table flips it, and says so.
        let pocketed = |more: &str| {
            let table = "[[drawing]]\nfile = 'p.svg'\nmaterial = 'hard maple'\nthickness = 6\ngrain = 'x'\nmirror = true\n";
            let stock = "[[stock]]\nmaterial = 'hard maple'\nthickness = 6\noutline = 'left.svg'\nmargin = 8\nquantity = 1\n";
            Case::default()
                .drawn("<path id='plate' d='M0 0 H60 V20 H20 V40 H0 Z'/><rect x='5' y='5' width='10' height='10' stroke='#0000ff'/>")
                .file("left.svg", &page("<path d='M0 0 H80 V60 H40 V40 H0 Z'/>"))
                .head("[marks]\npocket = { stroke = '#0000ff', depth = 2 }\n")
                .stocks(stock)
                .drawings(table)
                .more(more)
                .nest()
        };
        let kept = pocketed("").no();
        assert!(kept.err.contains("mirror = true does not flip plate"), "{}", kept.err);
        let flipped = pocketed("[[part]]\nname = 'plate'\nmirror = true\n").good();
        assert_eq!(flipped.parts()[0]["mirrored"], true);
        assert!(
            flipped.err.contains("a flipped copy is the part's mirror image"),
            "{}",
            flipped.err
        );
    }),
    ("[[drawing]] method", || {
        // The drawing's goes before the job's, a part's own before both.
        let held = |drawing: &str, part: &str| {
            let job = "[holding]\nmethod = 'tape'\n";
            let run = Case::default().drawing(drawing).part(part).more(job).nest().good();
            run.parts()[0]["hold"]["method"].clone()
        };
        assert_eq!(
            [
                held("", ""),
                held("method = 'skin'\n", ""),
                held("method = 'skin'\n", "method = 'tabs'\n")
            ],
            ["tape", "skin", "tabs"]
        );
        Case::default()
            .drawing("method = 'glue'\n")
            .nest()
            .refused(&["drawing 'p.svg'", "method must be"]);
    }),
    ("[[drawing]] bit", || {
        let bits = format!("{}{}", super::tools::LARGE_BIT, super::case::USUAL_BIT);
        let named = |more: &str| Case::default().bits(&bits).drawing(more).nest();
        assert_eq!(named("").good().sheet()["bit"]["name"], "quarter");
        assert_eq!(named("bit = 'eighth'\n").good().sheet()["bit"]["name"], "eighth");
        named("bit = 'eigth'\n").refused(&["there is no bit 'eigth'"]);
    }),
    ("[[drawing]] dpi", || {
        let bare = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 900 900'><rect id='plate' width='600' height='200'/></svg>";
        // Its own goes before the job's: 600 px at 381 are 40 mm.
        let job = Case::default().file("p.svg", bare).more("[reading]\ndpi = 254\n");
        size_is(
            &job.drawing("dpi = 381\n").nest().good().parts()[0]["outline"],
            [40.0, 40.0 / 3.0],
            1e-6,
        );
    }),
    ("[[drawing]] scale", || {
        let job = Case::default().more("[reading]\nscale = 2\n").drawing("scale = 1.5\n");
        size_is(&job.nest().good().parts()[0]["outline"], [90.0, 30.0], 1e-6);
        let again =
            "[[drawing]]\nfile = 'p.svg'\nmaterial = 'hard maple'\nthickness = 6\nscale = 2\n";
        Case::default()
            .drawing(again)
            .nest()
            .refused(&["drawing 'p.svg'", "different dpi or scale"]);
    }),
];

pub const PART: &[Row] = &[
    ("[[part]] corners", || {
        let job = || Case::default().drawn(MORTISE);
        job().nest().no();
        job().part("corners = 'rounded'\n").nest().good();
    }),
    ("[[part]] name", || {
        Case::default()
            .more("[[part]]\nname = 'plat'\n")
            .nest()
            .refused(&["part 'plat'", "did you mean 'plate'?"]);
        Case::default()
            .part("quantity = 2\n")
            .part("quantity = 3\n")
            .nest()
            .refused(&["part 'plate'", "two [[part]]"]);
    }),
    ("[[part]] drawing", || {
        // One name in two drawings: which of them is meant must be said.
        two()
            .part("quantity = 2\n")
            .nest()
            .refused(&["several drawings have this part (p.svg, q.svg)", "drawing = \"p.svg\""]);
        let run = two().part("drawing = 'q.svg'\nquantity = 3\n").nest().good();
        let small = run
            .parts()
            .iter()
            .filter(|p| (bounds(&p["outline"])[2] - bounds(&p["outline"])[0] - 30.0).abs() < 1e-6)
            .count();
        assert_eq!((run.placed(), small), (4, 3));
        assert!(run.err.contains("the part in 'q.svg' is listed as 'q-plate'"), "{}", run.err);
        // A table for each, in either order.
        let each =
            two().part("quantity = 2\n").part("drawing = 'q.svg'\nquantity = 3\n").nest().good();
        assert_eq!(each.placed(), 5);
    }),
    ("[[part]] quantity", || {
        assert_eq!(
            Case::default().drawing("quantity = 5\n").part("quantity = 2\n").nest().good().placed(),
            2
        );
        Case::default().part("quantity = 1000000\n").nest().refused(&["part 'plate'", "too many"]);
    }),
    ("[[part]] spares", || {
        let run = Case::default().drawing("spares = 3\n").part("spares = 1\n").nest().good();
        assert_eq!(run.parts().iter().filter(|p| p["spare"] == true).count(), 1);
    }),
    ("[[part]] grain", || {
        lies_at(&square().drawing("grain = 'x'\n").part("grain = 'y'\n").nest().good(), 90.0);
        lies_at(&square().part("grain = 30\n").nest().good(), 150.0);
    }),
    ("[[part]] method", || {
        // The part's own goes before the job's; the sheet then lies on what holds the sheet.
        let held = |part: &str| {
            let run = Case::default().part(part).more("[holding]\nmethod = 'tape'\n").nest().good();
            run.parts()[0]["hold"]["method"].clone()
        };
        assert_eq!(
            [held(""), held("method = 'skin'\n"), held("method = 'tabs'\n")],
            ["tape", "skin", "tabs"]
        );
        Case::default()
            .part("method = 'glue'\n")
            .nest()
            .refused(&["part 'plate'", "method must be"]);
    }),
    ("[[part]] grain-tolerance", || {
        slat().part("grain = 'x'\n").nest().no();
        slat().part("grain = 'x'\ngrain-tolerance = 45\n").nest().good();
    }),
    ("[[part]] mirror", || {
        assert_eq!(
            hook("[[part]]\nname = 'plate'\nmirror = true\n").good().parts()[0]["mirrored"],
            true
        );
    }),
    ("[[part]] pocket-depth", || {
        let inner = "<rect id='plate' width='60' height='20'/><rect x='20' y='6' width='10' height='8' stroke='#ff0000'/>";
        let marks = "[marks]\npocket = { stroke = '#ff0000', depth = 1 }\n";
        let job = || Case::default().drawn(inner).more(marks);
        near(&job().nest().good().parts()[0]["features"][0]["depth"], 1.0);
        near(
            &job().part("pocket-depth = 2.5\n").nest().good().parts()[0]["features"][0]["depth"],
            2.5,
        );
    }),
    ("[[part]] tab-free", || {
        // y runs down, so 90 degrees is the bottom. On its own the plate hangs on both ends.
        let sides = |free: &str| {
            let job =
                Case::default().sheet("200x100", 5.0, "grain = 'x'\n").drawing("grain = 'x'\n");
            let run = job.part(&format!("tab-free = [{free}]\n")).nest().good();
            tabs(run.parts()[0]).iter().map(|t| t.1).collect::<Vec<_>>()
        };
        let only = |free: &str, side: i64| {
            let got = sides(free);
            assert!(!got.is_empty() && got.iter().all(|s| *s == side), "{free}: {got:?}");
        };
        let mut ends = sides("");
        ends.sort_unstable();
        assert_eq!(ends, [0, 180]);
        only("'left', 'top', 'bottom'", 0);
        only("'right', 'top', 'bottom'", 180);
        only("'left', 'right', 'top'", 90);
        only("'left', 'right', 'bottom'", 270);
        assert!(!sides("'right'").contains(&0));
        Case::default().part("tab-free = ['up']\n").nest().refused(&["left, right, top or bottom"]);
    }),
];

/// A plate pinned on 200 x 100 mm.
fn pinned(pin: &str) -> super::case::Run {
    Case::default().part(&format!("grain = 'any'\npin = [{{ {pin} }}]\n")).nest()
}

/// The pinned plate covers this: left, top, right, bottom.
#[track_caller]
fn covers(pin: &str, expected: [f64; 4]) {
    bounds_are(&pinned(pin).good().parts()[0]["outline"], expected, 1e-6);
}

pub const PIN: &[Row] = &[
    ("pin x", || covers("x = 70, y = 40", [70.0, 40.0, 130.0, 60.0])),
    ("pin y", || {
        covers("x = 70, y = 60", [70.0, 60.0, 130.0, 80.0]);
        // Where it cannot lie, that is said.
        let run = pinned("x = 70, y = 90").no();
        assert!(run.out.contains("its pinned place cannot be used"), "{}", run.out);
        let two = "pin = [{ x = 10, y = 10 }, { x = 10, y = 50 }]\n";
        Case::default().part(two).nest().refused(&["2 pins for 1 copies"]);
    }),
    ("pin turn", || {
        // The corner at the pin stays; a quarter turn takes x to y, and y to -x: 20 mm to the left, 60 down.
        covers("x = 100, y = 20, turn = 90", [80.0, 20.0, 100.0, 80.0]);
        covers("x = 100, y = 50, turn = 180", [40.0, 30.0, 100.0, 50.0]);
        // A pin that lays it across the grain it asks for is followed, and said.
        let run = Case::default()
            .part("grain = 'x'\npin = [{ x = 100, y = 20, turn = 90 }]\n")
            .nest()
            .good();
        near(&run.layout["unmet"][0]["off_deg"], 90.0);
        assert!(run.out.contains("plate 1: its pin places it 90° off its grain"), "{}", run.out);
    }),
    ("pin mirrored", || {
        covers("x = 100, y = 20, mirrored = true", [40.0, 20.0, 100.0, 40.0]);
        assert_eq!(pinned("x = 100, y = 20, mirrored = true").parts()[0]["mirrored"], true);
    }),
    ("pin sheet", || {
        let pins = "pin = [{ x = 20, y = 20 }, { x = 50, y = 40, sheet = 2 }]\n";
        let run = Case::default().part(&format!("quantity = 2\n{pins}")).nest().good();
        let on = |i: usize| run.layout["sheets"][i]["parts"][0]["outline"].clone();
        bounds_are(&on(0), [20.0, 20.0, 80.0, 40.0], 1e-6);
        bounds_are(&on(1), [50.0, 40.0, 110.0, 60.0], 1e-6);
        // A sheet that stays empty is not cut: sheet 3 becomes the only one, and that is said.
        let run = Case::default().part("pin = [{ x = 20, y = 20, sheet = 3 }]\n").nest().good();
        let unmet = &run.layout["unmet"][0];
        assert_eq!((&unmet["wish"], &unmet["wanted"]), (&"pinned-sheet".into(), &3.into()));
        assert!(run.out.contains("its pin names sheet 3"), "{}", run.out);
    }),
];
