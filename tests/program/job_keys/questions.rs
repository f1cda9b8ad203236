//! What can hardly be meant is asked about before anything is computed, and what is assumed is said.
//!
//! Bounds are common practice, no source; 1 in = 25.4 mm.

use super::case::{Case, USUAL_BIT};

/// The usual bit with one line replaced.
fn bit(line: &str, other: &str) -> Case {
    let bit = USUAL_BIT.replace(line, other);
    assert_ne!(bit, USUAL_BIT);
    Case::default().bits(&bit)
}

/// The same job without `units`.
fn without_units(mut job: Case) -> Case {
    job.head = String::new();
    job
}

#[test]
fn a_bare_number_that_would_be_usual_in_inches_is_asked_about() {
    let sheet = without_units(Case::default().sheet("24x15", 1.0, ""));
    sheet.nest().refused(&[
        "stock 'hard maple 24x15': size 24x15 means 24x15 mm",
        "If inches are meant",
        "units = \"mm\"",
    ]);
    without_units(bit("diameter = 3.175", "diameter = 0.125"))
        .nest()
        .refused(&["bit 'eighth': diameter 0.125 means 0.125 mm"]);
    without_units(bit("feed = 1500", "feed = 60"))
        .nest()
        .refused(&["feed 60 means 60 mm", "If inches are meant"]);
    let mut thin = without_units(Case::default());
    thin.drawing = thin.drawing.replace("thickness = 6", "thickness = 0.25");
    thin.nest().refused(&["drawing 'p.svg': thickness 0.25 means 0.25 mm"]);
    // Said, it is taken: the same with units, or with a unit of its own.
    Case::default().sheet("90x60", 5.0, "").nest().good();
    without_units(Case::default().sheet("90x60mm", 5.0, "")).nest().good();
    without_units(Case::default().sheet("90x60", 5.0, "")).nest().refused(&["If inches are meant"]);
}

#[test]
fn what_no_machine_does_is_refused() {
    for (line, other, said) in [
        (
            "feed = 1500",
            "feed = '6000in/min'",
            "feed 152,400 mm/min is far outside the usual range",
        ),
        ("rpm = 18000", "rpm = 180000", "rpm 180,000 rpm is far"),
        ("pass-depth = 1.5", "pass-depth = '3in'", "pass-depth 76.2 mm is far"),
        ("diameter = 3.175", "diameter = '3in'", "diameter 76.2 mm is far"),
        // 11,000 mm/min over 2 x 5,000: 1.1 mm a tooth, a third of the bit.
        ("feed = 1500\nrpm = 18000", "feed = 11000\nrpm = 5000", "feed 1.1 mm per tooth is far"),
    ] {
        bit(line, other).nest().refused(&["job.toml: bit 'eighth'", said]);
    }
    // Stock of three inches, a hair more than 75 mm; 75 mm and 30,000 mm/min are taken.
    let thick = |mm: &str| {
        let mut job = Case::default();
        for text in [&mut job.stock, &mut job.drawing] {
            *text = text.replace("thickness = 6", &format!("thickness = {mm}"));
        }
        job.nest()
    };
    thick("75.1").refused(&["thickness 75.1 mm is far outside"]);
    assert!(!thick("75").err.contains("correct it"), "{}", thick("75").err);
    bit("feed = 1500", "feed = 30001").nest().refused(&["feed 30,001 mm/min is far outside"]);
    Case::default().more("[holding]\nlast-pass = '3in'\n").nest().refused(&["last-pass 76.2 mm"]);
    Case::default().sheet("20000x400", 5.0, "").nest().refused(&["size 20000 mm is far"]);
    // In an inch job it is asked in inches.
    let mut inches = bit("feed = 1500", "feed = 6000");
    inches.head = "units = 'in'\n".into();
    let run = inches
        .nest()
        .refused(&["feed 6000 in/min is far outside the usual range, 3.9 in/min to 472.4 in/min"]);
    assert!(!run.err.lines().any(|l| l.contains("feed") && l.contains("mm")), "{}", run.err);
}

/// A board of 100 x 400 mm sold by length is the wrong way round; an area at 500 mm lies off a sheet of 400 x 300, one at 399 on it.
#[test]
fn stock_that_contradicts_itself_is_refused() {
    Case::default().sheet("100x400", 5.0, "open-length = true\n").nest().refused(&[
        "stock 'hard maple 100x400'",
        "100 × 400 mm is wider than long",
        "write the length first, 400 × 100 mm",
    ]);
    Case::default().sheet("400x100", 5.0, "open-length = true\n").nest().good();
    let clear = |x: f64| {
        let area = format!("keep-clear = [{{ x = {x}, y = 10, width = 20, height = 20 }}]\n");
        Case::default().sheet("400x300", 5.0, &area).nest()
    };
    clear(500.0).refused(&["keep-clear: the area at", "lies off the stock, which is 400 × 300 mm"]);
    clear(399.0).good();
}

#[test]
fn what_may_be_meant_is_told_and_taken() {
    for (line, other, said) in [
        ("rpm = 18000", "rpm = 45000", "rpm 45,000 rpm is far outside the usual range"),
        ("pass-depth = 1.5", "pass-depth = 8", "pass-depth 8 mm is far"),
        ("feed = 1500", "feed = 80", "feed 80 mm/min is far"),
        ("name = 'eighth'", "name = '2 mm'", "its name says 2 mm, but its diameter is 3.175 mm"),
        ("name = 'eighth'", "name = 'three-flute'", "its name says 3 flutes, but flutes says 2"),
    ] {
        let run = bit(line, other).nest().good();
        assert!(run.err.contains(said), "{said}: {}", run.err);
        assert!(run.page.contains("is used"), "the page says it too");
    }
    let usual = Case::default().nest().good();
    assert_eq!(usual.err, "", "nothing is asked of a usual job");
}

#[test]
fn a_bits_name_that_says_otherwise_is_asked_about() {
    let named = |name: &str, spiral: &str| {
        let bit = USUAL_BIT.replace("name = 'eighth'", &format!("name = '{name}'"));
        Case::default().bits(&bit.replace("spiral = 'down'\n", spiral)).nest()
    };
    named("1/8 upcut", "")
        .refused(&["its name says up, but it has no spiral key: write spiral = \"up\""]);
    named("down-cut 1/8", "").refused(&["its name says down"]);
    named("1/8 upcut", "spiral = 'down'\n").refused(&["its name says up, but spiral says down"]);
    named("1/8 compression", "").refused(&["compression", "spiral = \"up\""]);
    named("1/8 compression", "spiral = 'down'\n").refused(&["compression"]);
    named("1/8 compression", "spiral = 'up'\n").good();
    named("1/8 upcut", "spiral = 'up'\n").good();
    let flutes =
        USUAL_BIT.replace("name = 'eighth'", "name = 'single flute'").replace("flutes = 2\n", "");
    Case::default()
        .bits(&flutes)
        .nest()
        .refused(&["its name says 1 flute, but it has no flutes key"]);
}

#[test]
fn what_is_assumed_stands_in_summary_page_and_layout_once() {
    let bare = "[[bit]]\nname = 'b'\ndiameter = 3\n[[bit]]\nname = 'unused'\ndiameter = 1\n";
    let stock = "[[stock]]\nmaterial = 'hard maple'\nthickness = 6\nsize = '200x100'\n";
    let run = without_units(Case::default().bits(bare).stocks(stock)).nest().good();
    // 2 % of 3 mm a tooth, two teeth, 18,000 turns: 2,160 mm/min; half the diameter a pass.
    let line = "[[bit]] spiral: straight, so no lift [[bit]] flutes: 2 [[bit]] pass-depth: 1.5 mm [[bit]] feed: 2,160 mm/min \
                [[bit]] rpm: 18,000 rpm [[stock]] grain: along x [[stock]] margin: 6 mm units: mm, for bare numbers";
    let said = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(said.matches(line).count(), 1, "{}", run.out);
    assert!(!said.contains("unused"), "{said}");
    assert_eq!(run.page.matches("<dt>[[bit]] feed</dt><dd>2,160 mm/min</dd>").count(), 1);
    let assumed = run.layout["assumed"].as_array().expect("a list");
    let feed = assumed.iter().find(|a| a["what"] == "feed").expect("the feed");
    super::case::near(&feed["value"], 2160.0);
    assert_eq!(feed["of"]["name"], "b");
    assert_eq!(assumed.len(), 8, "{assumed:?}");
    // A job that says everything assumes nothing.
    assert!(!Case::default().nest().good().out.contains("Assumed"));
}
