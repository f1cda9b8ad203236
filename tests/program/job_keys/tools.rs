//! `[[bit]]` and `[[stock]]`.

use super::Row;
use super::case::{Case, USUAL_BIT, bounds_are, near, page, size_is};

/// The sheet's cut with one line of the usual bit replaced.
fn with(line: &str, other: &str) -> serde_json::Value {
    let bit = USUAL_BIT.replace(line, other);
    assert_ne!(bit, USUAL_BIT, "{line} is a line of the bit");
    Case::default().bits(&bit).nest().good().sheet().clone()
}

const BIT_NAME: &str = "name = 'eighth'\n";

pub const BIT: &[Row] = &[
    ("[[bit]] allowance", || {
        // A slot of 3.1 mm is 0.075 mm narrower than the bit of 3.175 mm.
        let slot = "<rect id='plate' width='60' height='40'/><rect x='20' y='17' width='20' height='3.1' rx='1.55'/>";
        Case::default().drawn(slot).nest().refused(&["plate"]);
        let run = Case::default().drawn(slot).bit("allowance = 0.1\n").nest().good();
        near(&run.sheet()["bit"]["allowance"], 0.1);
    }),
    ("[[bit]] name", || {
        assert_eq!(with(BIT_NAME, "name = 'fresh one'\n")["bit"]["name"], "fresh one");
        Case::default().bit(USUAL_BIT).nest().refused(&["bit 'eighth'", "two [[bit]]"]);
    }),
    ("[[bit]] diameter", || {
        let sheet = with("diameter = 3.175\n", "diameter = '1/16in'\n");
        near(&sheet["bit"]["diameter"], 1.5875);
        near(&sheet["gap"], 1.5875);
    }),
    ("[[bit]] flutes", || {
        let sheet = with("flutes = 2\n", "flutes = 1\n");
        near(&sheet["cut"]["flutes"], 1.0);
        near(&sheet["cut"]["feed_per_tooth"], 1500.0 / 18_000.0);
    }),
    ("[[bit]] spiral", || {
        near(&with("spiral = 'down'\n", "spiral = 'up'\n")["cut"]["helix_deg"], 30.0);
        near(&with("rpm = 18000\n", "rpm = 18001\n")["cut"]["helix_deg"], -30.0);
        near(&with("spiral = 'down'\n", "spiral = 'straight'\n")["cut"]["helix_deg"], 0.0);
    }),
    ("[[bit]] helix", || near(&with("helix = 30\n", "helix = 25\n")["cut"]["helix_deg"], -25.0)),
    ("[[bit]] pass-depth", || {
        let last = |sheet: serde_json::Value| sheet["cut"]["last_pass"].as_f64().expect("a depth");
        assert!(last(with("pass-depth = 1.5\n", "pass-depth = 0.25\n")) <= 0.25 + 1e-9);
        assert!(last(with("pass-depth = 1.5\n", "pass-depth = 2\n")) > 0.25);
    }),
    ("[[bit]] feed", || {
        near(&with("feed = 1500\n", "feed = 1800\n")["cut"]["feed_per_tooth"], 0.05);
        // 60 in/min = 1524 mm/min.
        for feed in ["'60 in/min'", "'60ipm'", "'60 IPM'", "'1524 mm/min'"] {
            let sheet = with("feed = 1500\n", &format!("feed = {feed}\n"));
            near(&sheet["cut"]["feed_per_tooth"], 1524.0 / 36_000.0);
        }
    }),
    ("[[bit]] rpm", || {
        near(&with("rpm = 18000\n", "rpm = 15000\n")["cut"]["feed_per_tooth"], 0.05)
    }),
    ("[[bit]] materials", || {
        // The larger bit cuts a plate too, but is kept for acrylic.
        let large = LARGE_BIT;
        let kept = format!("{large}materials = ['acrylic']\n{}", USUAL_BIT);
        assert_eq!(Case::default().bits(&kept).nest().good().sheet()["bit"]["name"], "eighth");
        let free = format!("{large}{}", USUAL_BIT);
        assert_eq!(Case::default().bits(&free).nest().good().sheet()["bit"]["name"], "quarter");
        let slip = format!("{large}materials = ['acrilic']\n{}", USUAL_BIT);
        Case::default()
            .bits(&slip)
            .nest()
            .refused(&["bit 'quarter'", "unknown material 'acrilic'"]);
    }),
];

pub const LARGE_BIT: &str =
    "[[bit]]\nname = 'quarter'\ndiameter = '1/4in'\nspiral = 'down'\nfeed = 2500\nrpm = 18000\n";

/// A stock of a plate's size and a little more.
fn stock(name: &str, material: &str, thickness: &str) -> String {
    format!(
        "[[stock]]\nname = '{name}'\nmaterial = '{material}'\nthickness = {thickness}\nsize = '100x50'\nmargin = 5\n"
    )
}

pub const STOCK: &[Row] = &[
    ("[[stock]] name", || {
        assert_eq!(
            Case::default().stock("name = 'shelf end'\n").nest().good().sheet()["stock"],
            "shelf end"
        );
        let twice = format!("{}{}", stock("a", "hard maple", "6"), stock("a", "hard maple", "6"));
        Case::default().stocks(&twice).nest().refused(&["stock 'a'", "two [[stock]]"]);
        // Without names, sizes alike are told apart by their thickness.
        let bare = |t: &str| stock("", "hard maple", t).replace("name = ''\n", "");
        let both = format!("{}{}", bare("3"), bare("6"));
        let run = Case::default().stocks(&both).nest().good();
        assert_eq!(run.sheet()["stock"], "hard maple 100x50, 6 thick");
    }),
    ("[[stock]] material", || {
        let two = format!("{}{}", stock("w", "walnut", "6"), stock("m", "hard maple", "6"));
        assert_eq!(Case::default().stocks(&two).nest().good().sheet()["stock"], "m");
        Case::default().stocks(&stock("w", "walnut", "6")).nest().no();
    }),
    ("[[stock]] thickness", || {
        let two =
            format!("{}{}", stock("thin", "hard maple", "3"), stock("thick", "hard maple", "6"));
        assert_eq!(Case::default().stocks(&two).nest().good().sheet()["stock"], "thick");
        let run = Case::default().stocks(&stock("thin", "hard maple", "3")).nest().no();
        assert!(run.out.contains("no stock of hard maple 6 mm thick"), "{}", run.out);
    }),
    ("[[stock]] size", || {
        let run = Case::default().sheet("120x70", 5.0, "").nest().good();
        bounds_are(&run.sheet()["outline"], [0.0, 0.0, 120.0, 70.0], 1e-9);
    }),
    ("[[stock]] outline", || {
        let offcut = page("<path d='M0 0 H90 V40 L70 60 H0 Z'/>");
        let table = "[[stock]]\nmaterial = 'hard maple'\nthickness = 6\noutline = 'offcut.svg'\nmargin = 5\n";
        let run = Case::default().file("offcut.svg", &offcut).stocks(table).nest().good();
        assert_eq!(run.sheet()["outline"].as_array().map(Vec::len), Some(5));
        bounds_are(&run.sheet()["outline"], [0.0, 0.0, 90.0, 60.0], 1e-9);
    }),
    ("[[stock]] open-length", || {
        // A plate of 60 mm and two margins of 10: 80 mm of the board are used, at 10.00 a metre 0.80.
        let run =
            Case::default().sheet("900x45", 10.0, "open-length = true\nprice = 10\n").nest().good();
        bounds_are(&run.sheet()["outline"], [0.0, 0.0, 80.0, 45.0], 1e-6);
        assert_eq!(run.sheet()["open_length"], true);
        assert!(run.page.contains("<dt>stock price</dt><dd>0.80</dd>"));
        // In a job in inches of a foot: 304.8 mm, so 80 mm of it at 3.81 cost 1.00 (the units of the drawing are its own).
        let mut inches =
            Case::default().sheet("900mmx45mm", 10.0, "open-length = true\nprice = 3.81\n");
        inches.head = "units = 'in'\n".into();
        for text in [&mut inches.bit, &mut inches.stock, &mut inches.drawing] {
            for (plain, with_unit) in [
                ("thickness = 6", "thickness = '6mm'"),
                ("diameter = 3.175", "diameter = '3.175mm'"),
                ("pass-depth = 1.5", "pass-depth = '1.5mm'"),
                ("feed = 1500", "feed = '1500 mm/min'"),
                ("margin = 10", "margin = '10mm'"),
            ] {
                *text = text.replace(plain, with_unit);
            }
        }
        assert!(inches.nest().good().page.contains("<dt>stock price</dt><dd>1.00</dd>"));
        let run = Case::default().sheet("900x45", 10.0, "").nest().good();
        bounds_are(&run.sheet()["outline"], [0.0, 0.0, 900.0, 45.0], 1e-6);
    }),
    ("[[stock]] grain", || {
        // The part's x runs with the sheet's grain: it stands up where that runs along y.
        let placed = |grain: &str| {
            let run = Case::default()
                .sheet("100x100", 5.0, &format!("grain = {grain}\n"))
                .drawing("grain = 'x'\n")
                .nest()
                .good();
            run.parts()[0].clone()
        };
        size_is(&placed("'y'")["outline"], [20.0, 60.0], 1e-6);
        size_is(&placed("'x'")["outline"], [60.0, 20.0], 1e-6);
        let turn = placed("30")["rotation_deg"].as_f64().expect("a turn").rem_euclid(180.0);
        assert!((turn - 30.0).abs() < 1e-6, "{turn}");
        // Where the job is silent it runs along the longer side, and that is said.
        let upright =
            Case::default().sheet("80x160", 5.0, "").drawing("grain = 'x'\n").nest().good();
        size_is(&upright.parts()[0]["outline"], [20.0, 60.0], 1e-6);
        assert!(upright.out.contains("[[stock]] grain: along y"), "{}", upright.out);
    }),
    ("[[stock]] quantity", || {
        // A sheet takes one plate.
        let job =
            |more: &str| Case::default().sheet("80x40", 5.0, more).drawing("quantity = 2\n").nest();
        assert_eq!(job("").good().layout["sheets"].as_array().map(Vec::len), Some(2));
        assert!(job("quantity = 1\n").no().out.contains("Not placed: 1 part"));
    }),
    ("[[stock]] used", || {
        let job = |more: &str| Case::default().stock(more).nest();
        assert_eq!(job("used = false\n").good().placed(), 1);
        assert_eq!(job("used = true\n").no().placed(), 0);
    }),
    ("[[stock]] date", || {
        let job = |more: &str| Case::default().stock(more).nest();
        assert_eq!(job("date = 2026-11-28\n").good().placed(), 1);
        job("date = 2026-13-28\n").refused(&["13"]);
    }),
    ("[[stock]] price", || {
        let run = Case::default().stock("price = 12.5\n").nest().good();
        assert!(run.page.contains("<dt>stock price</dt><dd>12.50</dd>"));
        assert!(!Case::default().nest().good().page.contains("stock price"));
        // Each stock its own, though another of that size comes first.
        let bare = |t: &str, price: f64| {
            stock("", "hard maple", t).replace("name = ''\n", "") + &format!("price = {price}\n")
        };
        let both = format!("{}{}", bare("3", 7.0), bare("6", 9.0));
        let run = Case::default().stocks(&both).nest().good();
        assert!(run.page.contains("<dt>stock price</dt><dd>9.00</dd>"));
    }),
    ("[[stock]] margin", || {
        // 80 x 40 less twice 10 is the plate; a hair more is too much.
        let run = Case::default().sheet("80x40", 10.0, "").nest().good();
        bounds_are(&run.parts()[0]["outline"], [10.0, 10.0, 70.0, 30.0], 1e-6);
        Case::default().sheet("80x40", 10.05, "").nest().no();
    }),
    ("keep-clear holds", || {
        let clamp = "keep-clear = [{ x = 150, y = 60, radius = 5, holds = true }]\n";
        let run = Case::default().stock(clamp).nest().good();
        size_is(&run.sheet()["clamps"][0], [10.0, 10.0], 0.05);
        let knot = clamp.replace(", holds = true", "");
        assert!(Case::default().stock(&knot).nest().good().sheet().get("clamps").is_none());
    }),
    ("keep-clear x", || {
        keep_clear("x = 30, y = 2, width = 10, height = 36", [30.0, 2.0, 40.0, 38.0])
    }),
    ("keep-clear y", || {
        keep_clear("x = 30, y = 4, width = 10, height = 33", [30.0, 4.0, 40.0, 37.0])
    }),
    ("keep-clear width", || {
        keep_clear("x = 25, y = 0, width = 30, height = 40", [25.0, 0.0, 55.0, 40.0])
    }),
    ("keep-clear height", || {
        keep_clear("x = 30, y = 15, width = 4, height = 9", [30.0, 15.0, 34.0, 24.0])
    }),
    ("keep-clear radius", || keep_clear("x = 40, y = 20, radius = 3", [37.0, 17.0, 43.0, 23.0])),
];

/// On 80 x 40 mm with margins of 5 the plate always covers x 15 to 65, y 15 to 25: what lies there leaves no room. On a
/// sheet twice as wide there is room below.
fn keep_clear(area: &str, covers: [f64; 4]) {
    let table = format!("keep-clear = [{{ {area} }}]\n");
    Case::default().sheet("80x40", 5.0, &table).nest().no();
    let run = Case::default().sheet("80x80", 5.0, &table).nest().good();
    bounds_are(&run.sheet()["keep_clear"][0], covers, 0.02);
}
