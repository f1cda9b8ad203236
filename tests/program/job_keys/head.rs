//! The job's own keys, `[reading]`, `[marks]`, `[holding]` and `[[cutting-force]]`.

use super::Row;
use super::case::{Case, bounds, near, page, size_is, tabs};

pub const JOB: &[Row] = &[
    ("title", || {
        let run = Case::default().head("title = 'Shelf of oak'\n").nest().good();
        assert_eq!(run.layout["title"], "Shelf of oak");
    }),
    ("units", || {
        // 8 x 4 in = 203.2 x 101.6 mm; 1/4 in = 6.35 mm; 60 in/min = 1524 mm/min, over 2 x 18,000 = 0.0423 mm.
        let job = Case {
            head: "units = 'in'\n".into(),
            bit: "[[bit]]\nname = 'b'\ndiameter = '1/8'\nspiral = 'down'\npass-depth = 0.05\nfeed = 60\n".into(),
            stock: "[[stock]]\nmaterial = 'hard maple'\nthickness = 0.25\nsize = '8x4'\nmargin = 0.25\n"
                .into(),
            drawing: "[[drawing]]\nfile = 'p.svg'\nmaterial = 'hard maple'\nthickness = '1/4'\n".into(),
            ..Case::default()
        };
        let run = job.nest().good();
        size_is(&run.sheet()["outline"], [203.2, 101.6], 1e-6);
        near(&run.sheet()["thickness"], 6.35);
        near(&run.sheet()["margin"], 6.35);
        near(&run.sheet()["bit"]["diameter"], 3.175);
        near(&run.sheet()["cut"]["feed_per_tooth"], 1524.0 / 36_000.0);
        assert!(run.out.contains("8 × 4 in"), "{}", run.out);
    }),
    ("corners", || {
        let job = || Case::default().drawn(super::parts::MORTISE);
        job().nest().no();
        job().head("corners = 'rounded'\n").nest().good();
        job().head("corners = 'square'\n").nest().refused(&["rounded", "square"]);
    }),
    ("bed", || {
        // A sheet of 200 x 100 mm lies on a bed of 8 x 5 in (203 x 127 mm), turned too; not on one of 7 x 5.
        let job = |bed: &str| Case::default().head(&format!("bed = '{bed}'\n")).nest();
        job("8x5in").good();
        job("5x8in").good();
        let none = job("7x5in").no();
        assert_eq!(none.placed(), 0);
        assert!(
            none.err.contains("it is 200 × 100 mm, and the bed takes 177.8 × 127 mm"),
            "{}",
            none.err
        );
        assert!(none.out.contains("all of it is larger than the machine's bed"), "{}", none.out);
        job("7in").refused(&["not a size"]);
        job("0x5in").refused(&["above zero"]);
    }),
    ("spares", || {
        // The plate of 60 x 20 mm is less than 25 mm wide: fragile enough for a spare. On 100 x 66 mm there is room for one more, and none for a
        // remnant (40 mm wide at least).
        let spares = |head: &str| {
            let job = Case::default().sheet("100x66", 5.0, "").part("pin = [{ x = 18, y = 7 }]\n");
            let run = job.head(head).nest().good();
            (run.parts().iter().filter(|p| p["spare"] == true).count(), run)
        };
        let (none, plain) = spares("");
        let (one, run) = spares("spares = 'auto'\n");
        assert_eq!((none, one), (0, 1), "{}", run.out);
        assert_eq!(run.sheet()["remnants"], plain.sheet()["remnants"]);
        assert_eq!(spares("spares = 'off'\n").0, 0);
        assert_eq!(spares("spares = 1\n").0, 1);
        for wrong in ["-1", "1.5", "'some'"] {
            let job = Case::default().head(&format!("spares = {wrong}\n")).nest();
            assert_eq!(job.err.matches("spares must be").count(), 1, "{}", job.err);
            job.refused(&["spares must be a whole number, auto or off"]);
        }
    }),
    ("stock-from", || {
        // A folder with one remnant of 80 x 40 mm, and one that is used up: the plate goes on the first, and the sheet stays whole.
        let list = "[[stock]]\nname = 'gone'\nmaterial = 'hard maple'\nthickness = '6mm'\nsize = '80x40mm'\nused = true\n\
                    [[stock]]\nname = 'left'\nmaterial = 'hard maple'\nthickness = '6mm'\nsize = '80x40mm'\nmargin = 5\nquantity = 1\n";
        let job = |from: &str| Case::default().head(from).file("stock.toml", list).nest();
        assert_eq!(job("stock-from = '.'\n").good().sheet()["stock"], "left");
        assert_eq!(job("").good().sheet()["stock"], "hard maple 200x100");
        // The folder of a first job's remnants is still empty: that is said, and bought stock is used.
        let none = job("stock-from = 'nowhere'\n").good();
        assert_eq!(none.sheet()["stock"], "hard maple 200x100");
        assert!(none.err.contains("there is no nowhere/stock.toml yet"), "{}", none.err);
    }),
    ("seed", || near(&Case::default().head("seed = 7\n").nest().good().layout["seed"], 7.0)),
    ("web", || {
        // A web of 4 mm stands between two kerfs of 3.175: 10.35 mm from plate to plate.
        let run = Case::default().head("web = 4\n").drawing("quantity = 2\n").nest().good();
        near(&run.sheet()["gap"], 10.35);
        // 8 + 60 + 10.35 + 60 + 8 = 146.35 mm fits 147 and not 146, where one kerf and the web (143.2) would.
        let fits = |length: &str| {
            Case::default()
                .head("web = 4\n")
                .drawing("quantity = 2\n")
                .sheet(length, 8.0, "quantity = 1\n")
                .nest()
        };
        fits("147x37").good();
        fits("146x37").no();
    }),
];

pub const READING: &[Row] = &[
    ("[reading] join", || {
        // A plate whose last corner is open by 0.3 mm.
        let open = "<path id='plate' d='M0 0.3 V20 H60 V0 H0'/>";
        Case::default().drawn(open).more("[reading]\njoin = 0.5\n").nest().good();
        Case::default().drawn(open).more("[reading]\njoin = 0.2\n").nest().refused(&["p.svg"]);
    }),
    ("[reading] chord-error", || {
        // Of a circle of radius r, a chord that leaves it by e spans 2 acos(1 - e / r): for r = 15 mm at least 99 chords
        // at 0.01 mm... by hand: acos(1 - 0.0067/10) is 2.09 degrees, 86 chords; at 0.5 mm 14.8 degrees, 12.2 chords.
        let corners = |more: &str| {
            let run = Case::default()
                .drawn("<circle id='disc' cx='20' cy='20' r='15'/>")
                .more(more)
                .nest()
                .good();
            run.parts()[0]["outline"].as_array().expect("a ring").len()
        };
        let (usual, coarse) = (corners(""), corners("[reading]\nchord-error = 0.5\n"));
        assert!(usual >= 86 && (13..=40).contains(&coarse), "{usual} and {coarse} corners");
    }),
    ("[reading] dpi", || {
        // 600 x 200 px at 254 px in an inch: 60 x 20 mm.
        let bare = "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 900 900'><rect id='plate' width='600' height='200'/></svg>";
        let run = Case::default().file("p.svg", bare).more("[reading]\ndpi = 254\n").nest().good();
        size_is(&run.parts()[0]["outline"], [60.0, 20.0], 1e-6);
        assert!(!run.out.contains("pixels per inch"), "{}", run.out);
        // Without, 96 are assumed, and said: 158.75 x 52.9 mm.
        let run = Case::default().file("p.svg", bare).nest().good();
        size_is(&run.parts()[0]["outline"], [158.75, 200.0 * 25.4 / 96.0], 1e-6);
        assert!(run.out.contains("[[drawing]] dpi: 96 pixels per inch"), "{}", run.out);
    }),
    ("[reading] scale", || {
        let run = Case::default().more("[reading]\nscale = 1.5\n").nest().good();
        size_is(&run.parts()[0]["outline"], [90.0, 30.0], 1e-6);
    }),
    ("[reading] min-size", || {
        let two = "<rect id='plate' width='60' height='20'/><rect id='chip' x='70' width='14' height='14'/>";
        assert_eq!(Case::default().drawn(two).nest().good().placed(), 2);
        let run = Case::default().drawn(two).more("[reading]\nmin-size = 15\n").nest().good();
        assert_eq!(run.placed(), 1);
        assert!(run.err.contains("#chip") && run.err.contains("15 mm: left out"), "{}", run.err);
    }),
    ("[marks] stroke", || {
        let inner = "<rect id='plate' width='60' height='20'/><rect x='20' y='6' width='10' height='8' stroke='#ff0000'/>";
        let part =
            |more: &str| Case::default().drawn(inner).more(more).nest().good().parts()[0].clone();
        assert_eq!(part("")["openings"].as_array().map(Vec::len), Some(1));
        let marked = part("[marks]\npocket = { stroke = '#ff0000' }\n");
        assert_eq!(marked["openings"].as_array().map(Vec::len), Some(0));
        assert_eq!(marked["features"][0]["kind"], "pocket");
    }),
    ("[marks] group", || {
        let inner = "<rect id='plate' width='60' height='20'/><g id='holes'><circle cx='20' cy='10' r='3'/></g>";
        let run = Case::default()
            .drawn(inner)
            .more("[marks]\ndrill = { group = 'holes' }\n")
            .nest()
            .good();
        assert_eq!(run.parts()[0]["features"][0]["kind"], "drill");
        assert_eq!(run.parts()[0]["openings"].as_array().map(Vec::len), Some(0));
    }),
    ("[marks] class", || {
        let inner =
            "<rect id='plate' width='60' height='20'/><circle class='spot' cx='20' cy='10' r='3'/>";
        let marks = "[marks]\ndrill = { class = 'spot' }\n";
        let run = Case::default().drawn(inner).more(marks).nest().good();
        assert_eq!(run.parts()[0]["features"][0]["kind"], "drill");
    }),
    ("[marks] layer", || {
        let inner = "<rect id='plate' width='60' height='20'/>\
                     <g xmlns:x='urn:x' x:label='Notes 1'><path d='M10 10 H50'/><circle cx='20' cy='10' r='3'/></g>";
        // Without the mark the open line spoils the part, and the circle would be an opening.
        let run =
            Case::default().drawn(inner).nest().refused(&["open line in part 'plate'", "[marks]"]);
        // To ignore black lines would ignore the plate.
        assert!(
            run.err.contains("a colour of its own") && !run.err.contains("#000000"),
            "{}",
            run.err
        );
        let red = inner.replace("d='M10 10 H50'", "d='M10 10 H50' stroke='#ff0000'");
        let run = Case::default().drawn(&red).nest().refused(&["open line in part 'plate'"]);
        assert!(run.err.contains("ignore = { stroke = \"#ff0000\" }"), "{}", run.err);
        let marks = "[marks]\nignore = { layer = ['other', 'notes-1'] }\n";
        let run = Case::default().drawn(inner).more(marks).nest().good();
        assert_eq!(run.parts()[0]["openings"].as_array().map(Vec::len), Some(0));
    }),
    ("[marks] dash", || {
        let inner = "<rect id='plate' width='60' height='20'/>\
                     <rect x='20' y='6' width='10' height='8' stroke-dasharray='2 1'/>";
        // On their own, dashed lines are construction lines, and said.
        let run = Case::default().drawn(inner).nest().good();
        assert!(run.err.contains("construction line"), "{}", run.err);
        assert_eq!(run.parts()[0]["openings"].as_array().map(Vec::len), Some(0));
        assert!(
            run.parts()[0].get("features").is_none_or(|f| f.as_array().is_none_or(Vec::is_empty))
        );
        let marks = "[marks]\npocket = { dash = true }\n";
        let run = Case::default().drawn(inner).more(marks).nest().good();
        assert_eq!(run.parts()[0]["features"][0]["kind"], "pocket");
        assert_eq!(run.err, "");
        // Where all lines are dashed they are the drawing.
        let dashed = "<rect id='plate' width='60' height='20' stroke-dasharray='2 1'/>";
        Case::default().drawn(dashed).nest().good();
        // By wish: a colour by its name, and by its short form.
        let inner = "<rect id='plate' width='60' height='20'/><path d='M5 5 H50' stroke='#888888'/>\
                     <circle cx='20' cy='10' r='3' stroke='rgb(255,0,0)'/>";
        let marks = "[marks]\nignore = { stroke = ['red', '#888'] }\n";
        let run = Case::default().drawn(inner).more(marks).nest().good();
        assert_eq!(run.parts()[0]["openings"].as_array().map(Vec::len), Some(0));
        Case::default()
            .more("[marks]\nignore = { stroke = 'reddish' }\n")
            .nest()
            .refused(&["'reddish' is not a colour", "#888"]);
    }),
    ("[marks] depth", || {
        let inner = "<rect id='plate' width='60' height='20'/><rect x='20' y='6' width='10' height='8' stroke='#ff0000'/>";
        let marks =
            |depth: &str| format!("[marks]\npocket = {{ stroke = '#ff0000', depth = {depth} }}\n");
        let run = Case::default().drawn(inner).more(&marks("2.5")).nest().good();
        near(&run.parts()[0]["features"][0]["depth"], 2.5);
        Case::default().drawn(inner).more(&marks("6")).nest().refused(&["as deep as the sheet"]);
    }),
];

/// A plate of 180 x 60 mm whose tabs the tests look at.
fn board(holding: &str) -> super::case::Run {
    let plate = page("<rect id='plate' width='180' height='60'/>").replace("100", "200");
    Case::default().file("p.svg", &plate).sheet("240x120", 5.0, "").more(holding).nest().good()
}

fn slat(holding: &str) -> super::case::Run {
    let slat = page("<rect id='slat' width='380' height='24'/>").replace("100", "400");
    Case::default().file("p.svg", &slat).sheet("480x120", 5.0, "").more(holding).nest().good()
}

pub const HOLDING: &[Row] = &[
    ("[holding] freeing", || {
        assert_eq!(board("").sheet()["holding"]["freeing"], "saw");
        let snapped = board("[holding]\nfreeing = 'snap'\n");
        assert_eq!(snapped.sheet()["holding"]["freeing"], "snap");
        Case::default()
            .more("[holding]\nfreeing = 'pull'\n")
            .nest()
            .refused(&["freeing must be saw or snap"]);
    }),
    ("[holding] prefer", || {
        // Grain along x: end grain is left and right (0 and 180 degrees), long grain top and bottom. Where the load
        // leaves no choice, the tabs that stand on end grain all the same are said.
        let run = |more: &str| Case::default().drawing("grain = 'x'\n").more(more).nest().good();
        assert_eq!(run("").sheet()["holding"]["prefer"], "strong");
        assert_eq!(run("").layout["unmet"], serde_json::Value::Null);
        let clean = run("[holding]\nprefer = 'clean'\n");
        assert_eq!(clean.sheet()["holding"]["prefer"], "clean");
        let on_end = tabs(clean.parts()[0]).iter().filter(|t| t.1 % 180 == 0).count();
        let said = &clean.layout["unmet"][0];
        assert_eq!(said["on_end_grain"].as_u64().unwrap_or(0), on_end as u64, "{said}");
        Case::default()
            .more("[holding]\nprefer = 'tidy'\n")
            .nest()
            .refused(&["prefer must be strong or clean"]);
    }),
    ("[holding] last-pass", || {
        let run = board("[holding]\nlast-pass = 0.35\n");
        near(&run.parts()[0]["hold"]["last_pass"], 0.35);
        near(&run.sheet()["cut"]["last_pass"], 0.35);
    }),
    ("[holding] min-width", || {
        let widths = |more: &str| {
            let run = Case::default().more(more).nest().good();
            tabs(run.parts()[0]).iter().map(|t| t.2).collect::<Vec<_>>()
        };
        let (usual, wide) = (widths(""), widths("[holding]\nmin-width = 7.5\n"));
        assert!(wide.iter().all(|w| *w >= 7.5), "{wide:?}");
        assert!(usual.iter().any(|w| *w < 7.5), "{usual:?}");
    }),
    ("[holding] max-width", || {
        let run = board("[holding]\nmax-width = 2\n");
        assert!(tabs(run.parts()[0]).iter().all(|t| t.2 <= 2.0), "{:?}", tabs(run.parts()[0]));
        Case::default()
            .more("[holding]\nmin-width = 3\nmax-width = 2\n")
            .nest()
            .refused(&["min-width is above"]);
    }),
    ("[holding] hold-down", || {
        // 6 mm of frame round the plate: no disc of 20 mm, the room of a clamp, fits on it.
        let job = |hold: &str| Case::default().sheet("72x32", 6.0, "").more(hold).nest();
        job("[holding]\nhold-down = 'clamps'\n").no();
        let taped = job("[holding]\nhold-down = 'tape'\n");
        assert_eq!(taped.sheet()["hold_down"], "tape");
        // Where clamps have room, it is tape only where the job says so.
        let wide = |hold: &str| Case::default().more(hold).nest().sheet()["hold_down"].clone();
        assert_eq!(wide("[holding]\nhold-down = 'tape'\n"), "tape");
        assert_ne!(wide(""), "tape");
        job("[holding]\nhold-down = 'glue'\n").refused(&["hold-down"]);
    }),
    ("[holding] hang", || {
        // Where no kerfs meet there is no island, and both are the same; what islands do stands in `kept_waste`.
        let job = |hold: &str| Case::default().more(hold).nest();
        let of = |hold: &str| job(hold).sheet()["parts"].clone();
        assert_eq!(of("[holding]\nhang = 'stock'\n"), of(""));
        assert_eq!(of("[holding]\nhang = 'parts'\n").as_array().map(Vec::len), Some(1));
        job("[holding]\nhang = 'air'\n").refused(&["hang must be stock or parts"]);
    }),
    ("[holding] clear-waste", || {
        // A hole of 12 mm: inside its kerf of 3.175 mm a core of 5.65 mm comes loose, too small for a tab.
        let plate =
            page("<rect id='plate' width='60' height='20'/><circle cx='30' cy='10' r='6'/>");
        let job = |hold: &str| Case::default().file("p.svg", &plate).more(hold).nest();
        let cleared = job("").good();
        let pocket = bounds(&cleared.sheet()["cleared"][0]);
        assert!((pocket[2] - pocket[0] - (5.65 + 3.075)).abs() < 0.1, "{pocket:?}");
        assert_eq!(cleared.layout["drop_outs"], serde_json::Value::Null);
        assert!(cleared.page.contains("clear 1 small piece of waste first"));
        let loose = job("[holding]\nclear-waste = false\n");
        assert_eq!(loose.sheet()["cleared"], serde_json::Value::Null);
        assert_eq!(loose.layout["drop_outs"].as_array().map(Vec::len), Some(1));
    }),
    ("[holding] method", || {
        let job = |hold: &str| Case::default().more(hold).nest();
        let held = |hold: &str| {
            let run = job(hold).good();
            (run.parts()[0]["hold"].clone(), run.sheet()["hold_down"].clone())
        };
        assert_eq!(held("[holding]\nmethod = 'tabs'\n"), held(""));
        let (skin, _) = held("[holding]\nmethod = 'skin'\n");
        assert_eq!(
            (&skin["method"], skin["tabs"].as_array().map(Vec::len)),
            (&"skin".into(), Some(0))
        );
        let (tape, down) = held("[holding]\nmethod = 'tape'\n");
        assert_eq!((&tape["method"], &down), (&"tape".into(), &"tape".into()));
        assert_eq!(tape["tabs"].as_array().map(Vec::len), Some(0));
        // 0.1 MPa over 36 mm2, with a safety of 3, are 1.2 N: less than any cut takes. Then tabs hold it, and that is said.
        let small = Case::default().drawn("<rect id='plate' width='6' height='6'/>");
        let run = small.more("[holding]\nmethod = 'tape'\n").nest();
        assert_ne!(run.parts()[0]["hold"]["method"], "tape");
        assert_eq!(run.layout["unmet"][0]["wish"], "hold-by");
        assert!(
            run.out.contains("plate: the job asks for tape, but that does not hold it"),
            "{}",
            run.out
        );
        job("[holding]\nmethod = 'glue'\n").refused(&["method must be tabs, skin or tape"]);
    }),
    ("[holding] max-overhang", || {
        // A plate of 180 x 60 mm: a twelfth of its edge is 40 mm. Two tabs leave 70 mm, four 50; where none reach 40, the next best.
        let plate = board("[holding]\nmax-overhang = 33\n");
        let far = plate.parts()[0]["hold"]["figures"]["overhang_mm"].as_f64().expect("a distance");
        assert!(far < 45.0, "{far}");
        assert!(far <= 40.0 || plate.out.contains("farther from its nearest tab"), "{}", plate.out);
        // Of all points of a slat's long edges, a hundredth of it apart, none stands farther from its tabs than asked.
        let farthest = |more: &str| {
            let run = slat(more);
            let part = run.parts()[0];
            let [left, top, right, bottom] = bounds(&part["outline"]);
            let along = (0..=100).map(|i| left + (right - left) * f64::from(i) / 100.0);
            let nearest = |(x, y): (f64, f64)| {
                let of = |t: &([f64; 2], i64, f64)| (t.0[0] - x).hypot(t.0[1] - y);
                tabs(part).iter().map(of).fold(f64::INFINITY, f64::min)
            };
            along.flat_map(|x| [(x, top), (x, bottom)]).map(nearest).fold(0.0, f64::max)
        };
        let (usual, asked) = (farthest(""), farthest("[holding]\nmax-overhang = 70\n"));
        // Points are known to half the spacing of those asked, 2.5 mm.
        assert!(asked <= 72.5 && usual > 72.5, "{usual}, asked {asked} mm");
    }),
    ("[[cutting-force]] material", || {
        // Hard maple's own are 28 and 2.8 (estimate of 45 and 4.5 times its specific gravity of 0.63).
        let force = "[[cutting-force]]\nmaterial = 'walnut'\nkc = 40\nke = 3.5\n";
        near(&Case::default().more(force).nest().good().sheet()["cut"]["kc"], 28.0);
        let unknown = "[[cutting-force]]\nmaterial = 'wallnut'\nkc = 40\nke = 3.5\n";
        Case::default().more(unknown).nest().refused(&["unknown material 'wallnut'", "walnut"]);
    }),
    ("[[cutting-force]] kc", || {
        let force = "[[cutting-force]]\nmaterial = 'hard maple'\nkc = 40\nke = 3.5\n";
        near(&Case::default().more(force).nest().good().sheet()["cut"]["kc"], 40.0);
        Case::default().more(&format!("{force}{force}")).nest().refused(&["two [[cutting-force]]"]);
    }),
    ("[[cutting-force]] ke", || {
        let force = "[[cutting-force]]\nmaterial = 'maple'\nkc = 40\nke = 3.5\n";
        near(&Case::default().more(force).nest().good().sheet()["cut"]["ke"], 3.5);
    }),
];
