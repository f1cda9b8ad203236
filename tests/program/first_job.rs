//! What someone types on the first day, in inches: nothing is taken for something else, and each message says what to do.
//!
//! 1 in = 25.4 mm, exactly; what is expected of a drawing is reckoned from its coordinates.

use super::folder::{Folder, PLATE, page};
use std::process::Command;

#[test]
fn a_bare_number_follows_one_rule() {
    let mm = "<svg xmlns='http://www.w3.org/2000/svg' width='90mm' height='60mm' viewBox='0 0 90 60'>\
              <rect id='plate' x='5' y='5' width='76' height='38' fill='none' stroke='#000'/></svg>";
    let folder = Folder::with(&[
        ("inch.svg", &page("in", PLATE)),
        ("px.svg", &page("", PLATE)),
        ("mm.svg", mm),
    ]);
    let bare = ["--sheet", "12x8", "--thickness", "1/4", "--bit", "1/8"];
    // The drawing is in inches, so are the numbers, and so is the answer.
    let with =
        |drawing: &'static str, more: &[&'static str]| [&[drawing], &bare[..], more].concat();
    folder.nest(&with("inch.svg", &[])).code(0).says(&["12 × 8 in", "1/8 in"]);
    // Where the flag says inches, the drawing's mm do not matter.
    folder.nest(&with("mm.svg", &["--units", "in"])).code(0).says(&["12 × 8 in", "1/8 in"]);
    // Four pixels wide at 96 to the inch: the size is refused, and the numbers are not asked about.
    folder.nest(&with("px.svg", &["--units", "in"])).refused(&["least size"], &["unit"]);
    // In a drawing in mm they can hardly be meant as mm; where the drawing says nothing, nor can anyone else.
    folder.nest(&with("mm.svg", &[])).refused(
        &["--sheet: 12x8 means 12x8 mm", "add --units in", "12x8in", "--thickness", "--bit"],
        &["job", "key"],
    );
    folder
        .nest(&with("px.svg", &[]))
        .refused(&["--thickness: 1/4 has no unit", "1/4in", "--units in"], &["job"]);
    // The same for what inspect asks about.
    folder
        .run(&["inspect", "inch.svg", "--bits", "1/8"])
        .code(0)
        .says(&["1/8 in bit: cuts every part"]);
    folder
        .run(&["inspect", "mm.svg", "--bits", "1/8", "--units", "in"])
        .code(0)
        .says(&["1/8 in bit: cuts every part"]);
    folder
        .run(&["inspect", "mm.svg", "--bits", "1/8"])
        .refused(&["1/8 means 1/8 mm", "1/8in"], &[]);
    folder
        .run(&["inspect", "px.svg", "--bits", "1/8"])
        .refused(&["--bits: 1/8 has no unit"], &["job"]);
    folder.run(&["inspect", "mm.svg", "--bits", "3"]).code(0).says(&["3 mm bit: cuts every part"]);
}

/// What is lost by a bit of 1/4 in (r = 0.125): three slots 0.05 in wide; in a square window r (sqrt 2 - 1) = 0.052 in at each corner;
/// in a fillet of radius R = 0.04 in (r - R) (sqrt 2 - 1) = 0.035 in (plane geometry). One of 1/32 in (r = 0.0156) only rounds the
/// corners, by 0.0065 in.
#[test]
fn what_is_lost_by_a_bit_is_told_detail_by_detail() {
    let slot = |y: f64| format!("<rect x='.4' y='{y}' width='.8' height='.05'/>");
    let drawn = format!(
        "<path id='plate' d='M.2 .2 H3.8 V1.5 H3.04 A.04 .04 0 0 0 3 1.54 V2.8 H.2 Z'/>\
         <rect x='1.6' y='.6' width='.8' height='.8'/>{}{}{}",
        slot(0.4),
        slot(0.8),
        slot(1.2)
    );
    let folder = Folder::with(&[("plate.svg", &page("in", &drawn))]);
    let told = folder.run(&["inspect", "plate.svg", "--bits", "1/4,1/32"]).code(1).says(&[
        "1/4 in bit: does not cut plate",
        "1/32 in bit: cuts every part",
        "plate, 1/4 in bit: an opening of 0.8 × 0.05 in stays closed, because it takes no bit over 0.05 in, in 3 places, the first at",
        "a hollow curve of 0.04 in radius keeps up to 0.035",
        "1/4 in bit: rounds 4 sharp inside corners; up to 0.052 in of stock stays in them",
        "plate, 1/32 in bit: rounds 16 sharp inside corners; up to 0.0065 in",
    ]);
    assert!(!told.out.contains("mm"), "{}", told.out);
    let json = folder.run(&["inspect", "plate.svg", "--bits", "1/4", "--json"]).code(1);
    let json: serde_json::Value = serde_json::from_str(&json.out).expect("JSON");
    let left = json[0]["parts"][0]["bits"][0]["left"].as_array().expect("a list");
    let slots = left.iter().filter(|l| l["depth"].is_null());
    assert_eq!((slots.count(), left.len()), (3, 4));
    let fillet = left.iter().find(|l| l["limit"] == "inside-radius").expect("the fillet");
    let (depth, by_hand) = (fillet["depth"].as_f64(), 25.4 * 0.085 * (2f64.sqrt() - 1.0));
    // Offsets are made of chords, each up to 0.01 mm off its arc.
    assert!(depth.is_some_and(|d| (d - by_hand).abs() < 0.02), "{fillet}: {by_hand}");
}

#[test]
fn a_job_without_units_takes_those_of_its_drawings_or_asks() {
    let job = |drawing: &str, head: &str| {
        format!(
            "{head}[[bit]]\nname = 'b'\ndiameter = '1/8'\nfeed = 60\n[[stock]]\nmaterial = 'walnut'\nthickness = 0.25\n\
             size = '12x8'\nmargin = 0\n[[drawing]]\nfile = '{drawing}'\nmaterial = 'walnut'\nthickness = '1/4'\n"
        )
    };
    let folder = Folder::with(&[
        ("inch.svg", &page("in", PLATE)),
        ("px.svg", &page("", PLATE)),
        ("inch.toml", &job("inch.svg", "")),
        ("px.toml", &job("px.svg", "")),
        ("mm.toml", &job("inch.svg", "units = 'mm'\n")),
    ]);
    folder.nest(&["inch.toml"]).code(0).says(&["12 × 8 in", "units: in, for bare numbers"]);
    folder
        .nest(&["px.toml"])
        .refused(&["px.toml: bit 'b': diameter 1/8 has no unit", "units = \"in\""], &[]);
    // The job's own unit goes before the flag: an eighth of a millimetre is no bit for this.
    folder
        .nest(&["mm.toml", "--units", "in"])
        .code(1)
        .says(&["diameter 0.005 in is far outside", "Not placed: 1 part"]);
    // px.svg is 4 px wide: too small to be a part. With the unit known, that is what is said.
    folder.nest(&["px.toml", "--units", "in"]).says(&["least size"]);
}

#[test]
fn feeds_and_sizes_are_read_as_they_are_said() {
    let job = |feed: &str, size: &str| {
        format!(
            "units = 'mm'\n[[bit]]\nname = 'b'\ndiameter = '1/8in'\nspiral = 'down'\nflutes = 2\nrpm = 18000\nfeed = '{feed}'\n\
             [[stock]]\nmaterial = 'walnut'\nthickness = '1/4in'\nsize = '{size}'\n\
             [[drawing]]\nfile = 'p.svg'\nmaterial = 'walnut'\nthickness = '1/4in'\n"
        )
    };
    for feed in [
        "60ipm",
        "60 ipm",
        "60 in/min",
        "60in / min",
        "60 inches per minute",
        "1524 mm/min",
        "1524",
    ] {
        let folder =
            Folder::with(&[("p.svg", &page("in", PLATE)), ("job.toml", &job(feed, "12x8in"))]);
        folder.nest(&["job.toml"]).code(0);
        let layout =
            std::fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
        let layout: serde_json::Value = serde_json::from_str(&layout).expect("JSON");
        // 60 in/min = 1524 mm/min; over 2 x 18,000 teeth a minute.
        let tooth = layout["sheets"][0]["cut"]["feed_per_tooth"].as_f64().expect("a number");
        assert!((tooth - 1524.0 / 36_000.0).abs() < 1e-9, "{feed}: {tooth}");
    }
    let folder = Folder::with(&[
        ("p.svg", &page("in", PLATE)),
        ("fast.toml", &job("quick", "12x8in")),
        ("long.toml", &job("60 inches", "12x8in")),
        ("by.toml", &job("60ipm", "24 by 15")),
    ]);
    folder.nest(&["fast.toml"]).refused(&["'quick' is not a feed", "60 in/min"], &["1/4in"]);
    folder.nest(&["long.toml"]).refused(&["'60 inches' is not a feed", "60 in/min"], &[]);
    folder.nest(&["by.toml"]).refused(&["'24 by 15' is not a size", "length x width"], &[]);
    folder
        .nest(&["p.svg", "--sheet", "24 by 15", "--thickness", "1/4in", "--bit", "1/8in"])
        .refused(&["--sheet: '24 by 15' is not a size", "12x24in"], &["job", "stock"]);
}

#[test]
fn errors_of_drawings_and_flags_name_the_flag_and_the_unit() {
    let folder = Folder::with(&[("p.svg", &page("in", PLATE)), ("notes.txt", "x")]);
    let nest = |args: &[&str]| folder.nest(&[&["p.svg"], args].concat());
    nest(&["--sheet", "12x8in"]).refused(&["--thickness"], &["job.toml"]);
    let wide = nest(&["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "400in"]);
    wide.refused(&["--bit: 400 in is far outside"], &["mm", "job", "key"]);
    nest(&[
        "--sheet",
        "12x8in",
        "--thickness",
        "1/4in",
        "--bit",
        "1/8in",
        "--material",
        "unobtanium",
    ])
    .refused(&["unknown material 'unobtanium'"], &["stock '"]);
    folder
        .nest(&["p.svg", "p.svg", "--sheet", "12x8in"])
        .refused(&["named twice", "--quantity"], &[]);
    folder.nest(&["p.svg", "notes.txt"]).refused(&["notes.txt is not an SVG drawing"], &[]);
    folder.run(&["inspect", "p.svg", "p.svg"]).code(0).says(&["1 kind of part, 1 in all"]);
}

#[test]
fn no_message_is_the_systems_or_the_parsers() {
    let job = |line: &str| {
        format!(
            "units = 'in'\n[[bit]]\nname = 'b'\ndiameter = '1/8'\n[[stock]]\nmaterial = 'walnut'\nthickness = 0.25\nsize = '12x8'\n\
             [[drawing]]\nfile = 'p.svg'\nmaterial = 'walnut'\nthickness = '1/4'\n{line}\n"
        )
    };
    let text = "<text x='1' y='1'>Plate</text>";
    let mut latin = b"<svg xmlns='http://www.w3.org/2000/svg'><title>caf".to_vec();
    latin.extend([0xe9, b'<', b'/']);
    let folder = Folder::with(&[
        ("p.svg", &page("in", PLATE)),
        ("text.svg", &page("in", text)),
        ("part.dxf.svg", "  0\nSECTION\n"),
        ("short.svg", "<svg xmlns='http://www.w3.org/2000/svg'><g>"),
        ("count.toml", &job("quantity = 'two'")),
        ("half.toml", &job("quantity = 1.5")),
        ("list.toml", &job("[[part]]\nname = 'plate'\ntab-free = 'left'")),
        ("pin.toml", &job("[[part]]\nname = 'plate'\npin = [3]")),
        ("mirror.toml", &job("mirror = 'no'")),
        ("unit.toml", &job("").replace("units = 'in'", "units = 'inches'")),
        ("bare.toml", &job("").replace("diameter = '1/8'", "diameter = 1/8in")),
        ("key.toml", &job("").replace("diameter = '1/8'\n", "")),
    ]);
    std::fs::write(folder.path().join("latin.svg"), latin).expect("written");
    let never = [
        "os error",
        "usize",
        "struct",
        "sequence",
        "expected",
        "token",
        "stream",
        "invalid type",
        "`",
    ];
    for (file, words) in [
        ("nowhere.toml", "there is no such file"),
        ("count.toml", "quantity takes a whole number, 0 or more, not the text \"two\""),
        ("half.toml", "quantity takes a whole number, 0 or more, not the number 1.5"),
        ("list.toml", "tab-free takes a list in square brackets"),
        ("pin.toml", "takes a table in braces, such as { x = 1, y = 2 }, not the number 3"),
        ("mirror.toml", "mirror takes true or false, not the text \"no\""),
        ("unit.toml", "units takes mm or in, not \"inches\""),
        ("bare.toml", "write diameter = '1/8in'"),
        ("key.toml", "the key 'diameter' is missing"),
    ] {
        let answer = folder.nest(&[file]).refused(&[file, words], &never);
        assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
    }
    for (file, words) in [
        ("nowhere.svg", "there is no such file"),
        ("latin.svg", "line 1 is not UTF-8 text"),
        ("part.dxf.svg", "is not an SVG drawing: export the drawing as plain SVG"),
        ("short.svg", "damaged or cut short"),
        ("text.svg", "convert it to paths"),
    ] {
        let flags = ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in"];
        let answer = folder.nest(&[&[file], &flags[..]].concat());
        let answer = answer.refused(&[file, words], &never[..6]);
        // The file is named once a line.
        answer.err.lines().for_each(|l| assert_eq!(l.matches(file).count(), 1, "{l}"));
    }
    assert!(!folder.path().join("out").exists(), "a refused run writes nothing");
}

#[test]
fn a_begun_job_runs_as_it_stands_and_is_never_overwritten() {
    // A plate with a hole, an engraved line in red, a dashed guide, a group: 3 x 1.5 in.
    let inside = "<g id='plate'><rect x='.5' y='.5' width='3' height='1.5'/><circle cx='1' cy='1' r='.125'/></g>\
                  <path d='M1.5 1 H3' stroke='#ff0000'/><path d='M0 1.25 H4' stroke-dasharray='.1 .05'/>";
    let folder = Folder::with(&[("desk.svg", &page("in", inside)), ("px.svg", &page("", PLATE))]);
    folder.run(&["begin", "desk.svg"]).code(0).says(&[
        "Written: job.toml",
        "1 kind of part in 1 drawing, numbers in inches",
        "nest job.toml",
    ]);
    let job = std::fs::read_to_string(folder.path().join("job.toml")).expect("a job");
    for line in [
        "units = \"in\"",
        "#  stroke = \"#ff0000\"  1 element, 1 with open ends",
        "engraving = { stroke = [\"#ff0000\"] }",
        "dash = true",
        "thickness = \"1/4in\"",
        "plate    1 ×  3 × 1 1/2 in",
    ] {
        assert!(job.contains(line), "{line}: {job}");
    }
    folder.nest(&["job.toml"]).code(0).says(&["1 part on 1 sheet"]);
    let layout = std::fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
    let layout: serde_json::Value = serde_json::from_str(&layout).expect("JSON");
    let part = &layout["sheets"][0]["parts"][0];
    assert_eq!(part["features"][0]["kind"], "engraving");
    assert_eq!(part["openings"].as_array().map(Vec::len), Some(1));
    folder.run(&["begin", "desk.svg"]).refused(&["job.toml", "is not overwritten", "-o"], &[]);
    assert_eq!(std::fs::read_to_string(folder.path().join("job.toml")).expect("it"), job);
    // Beside another folder's drawing the path leads there; what was told is filled in.
    std::fs::create_dir(folder.path().join("jobs")).expect("a folder");
    let told =
        ["--material", "MDF", "--thickness", "1/8in", "--sheet", "8x6in", "-o", "jobs/b.toml"];
    folder.run(&[&["begin", "desk.svg"], &told[..]].concat()).code(0);
    let job = std::fs::read_to_string(folder.path().join("jobs/b.toml")).expect("a job");
    assert!(job.contains("file = \"../desk.svg\"") && job.contains("size = \"8x6in\""), "{job}");
    folder.nest(&["jobs/b.toml"]).code(0).says(&["8 × 6 in", "MDF"]);
    // A drawing without a unit: the guess is said. Four pixels are no part: that is said too, with exit code 1.
    folder.run(&["begin", "px.svg", "-o", "px.toml"]).code(1).says(&["a guess", "least size"]);
}

#[test]
fn a_bad_part_is_left_out_with_its_fault_and_the_rest_is_made() {
    // An outline with a gap of 0.004 in round a hole, a part with an open opening, and a good one.
    let inside = "<g id='lid'><path d='M.2 .2 H1 V1 H.2 V.204'/><circle cx='.6' cy='.6' r='.15'/></g>\
                  <g id='box'><rect x='1.2' y='.2' width='.8' height='.8'/><path d='M1.4 .4 H1.8 V.8 H1.4 V.6'/></g>\
                  <rect id='good' x='2.4' y='.2' width='1' height='.8'/>";
    let folder = Folder::with(&[("p.svg", &page("in", inside))]);
    let flags = ["p.svg", "--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in"];
    let answer = folder.nest(&flags).code(1).says(&[
        // Its two ends are 0.004 in apart, and no other free end is as near.
        "p.svg: <path> in line 1 at (0.2, 0.2) in: open path: its nearest free end is 0.004 in away, at (0.2, 0.204) in",
        "box at (1.2, 0.2) in: left out",
        "NOT ALL PARTS ARE MADE",
        "1 part on 1 sheet",
    ]);
    assert!(answer.err.contains("open line in part 'box'"), "{}", answer.err);
    let layout = std::fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
    let layout: serde_json::Value = serde_json::from_str(&layout).expect("JSON");
    // The lid's hole is no part of its own.
    let parts = layout["sheets"][0]["parts"].as_array().expect("parts");
    assert_eq!(parts.iter().map(|p| &p["part"]).collect::<Vec<_>>(), ["good"]);
    let told = std::fs::read_to_string(folder.path().join("out/report.html")).expect("a page");
    assert!(told.contains("0.004 in away"), "the page says it too");
    // `check` knows it from the files alone.
    let left = layout["unplaced"].as_array().expect("what is left over");
    assert_eq!(
        left.iter().map(|p| &p["part"]).collect::<Vec<_>>(),
        ["<path> in line 1", "lid", "box"]
    );
    let check = folder.run(&["check", "out/layout.json"]).code(1);
    check.says(&[
        "box 1 is not placed: left out because of a fault in p.svg at (1.2, 0.2) in",
        "bad:",
    ]);
    // Asked to be strict, it makes nothing.
    let folder = Folder::with(&[("p.svg", &page("in", inside))]);
    folder.nest(&[&flags[..], &["--strict"]].concat()).refused(&["0.004 in away"], &["NOT ALL"]);
    assert!(!folder.path().join("out").exists());
    // With nothing left, nothing is claimed to be made.
    let folder = Folder::with(&[("p.svg", &page("in", "<path d='M.2 .2 H1 V1 H.2 V.204'/>"))]);
    folder.nest(&flags).refused(&["0.004 in away"], &["the rest"]);
    // A hole that no bit enters spoils its part, not the job.
    let narrow = "<g id='tight'><rect x='.2' y='.2' width='1' height='1'/><circle cx='.7' cy='.7' r='.02'/></g>\
                  <rect id='good' x='2' y='.2' width='1' height='.8'/>";
    let folder = Folder::with(&[("p.svg", &page("in", narrow))]);
    folder.nest(&flags).code(1).says(&[
        "part 'tight'",
        "no bit on hand cuts it",
        "1 part on 1 sheet",
    ]);
}

#[test]
fn a_sheet_is_read_back_as_its_parts() {
    let inside = "<g id='plate'><rect x='.5' y='.5' width='2' height='1.5'/><circle cx='1' cy='1' r='.25'/></g>\
                  <rect id='bar' x='2.7' y='.5' width='1' height='.5'/>";
    let folder = Folder::with(&[("p.svg", &page("in", inside)), ("q.svg", &page("in", PLATE))]);
    let flags = ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in", "--quantity", "2"];
    folder.nest(&[&["p.svg"], &flags[..]].concat()).code(0);
    let sheet = "out/walnut-0.25in-1.svg";
    let read = folder.run(&["inspect", sheet, "--units", "in"]).code(0);
    let squeezed = read.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(squeezed.contains("2 kinds of part, 4 in all"), "{}", read.out);
    assert!(squeezed.contains("plate 2 ") && squeezed.contains("bar 2 "), "{}", read.out);
    // Several drawings make one job.
    folder.nest(&[&["p.svg", "q.svg"], &flags[..]].concat()).code(0).says(&["6 parts on 1 sheet"]);
}

#[test]
fn materials_are_known_by_the_names_that_people_buy_them_by() {
    let job = |material: &str, more: &str| {
        format!(
            "units = 'in'\n[[bit]]\nname = 'b'\ndiameter = '1/8'\nspiral = 'down'\n[[stock]]\nmaterial = '{material}'\nthickness = 0.25\n\
             size = '12x8'\n[[drawing]]\nfile = 'p.svg'\nmaterial = '{material}'\nthickness = 0.25\n{more}"
        )
    };
    let again = "[[drawing]]\nfile = 'p.svg'\nmaterial = 'Baltic birch'\nthickness = 0.25\n";
    let folder = Folder::with(&[
        ("p.svg", &page("in", PLATE)),
        ("birch.toml", &job("Baltic birch", "")),
        ("hard.toml", &job("hardboard", "")),
        ("cork.toml", &job("cork", "")),
        ("wallnut.toml", &job("wallnut", "")),
        ("brich.toml", &job("1/4 Baltc brich", "")),
        ("twice.toml", &job("Baltic birch", again)),
        ("dot.toml", &job("Baltic birch", &again.replace("p.svg", "./p.svg"))),
    ]);
    folder.nest(&["birch.toml"]).code(0);
    let page = std::fs::read_to_string(folder.path().join("out/report.html")).expect("a page");
    assert!(page.contains("Baltic birch, 1/4 in") && !page.contains("(5-ply), 1/4 in"));
    folder
        .nest(&["hard.toml"])
        .code(0)
        .says(&["no figures for hardboard: those of MDF >4-9 mm are used instead"]);
    folder.nest(&["cork.toml"]).refused(
        &["unknown material 'cork'", "tabwright materials", "[[material]]"],
        &["did you mean"],
    );
    folder.nest(&["wallnut.toml"]).refused(&["did you mean 'walnut'?"], &[]);
    // Each slip is told once, though stock and drawing have it; what is near only by chance is not offered.
    let slip = folder.nest(&["brich.toml"]).refused(&["did you mean 'baltic birch'?"], &[]);
    assert_eq!(slip.err.matches("unknown material").count(), 1, "{}", slip.err);
    for twice in ["twice.toml", "dot.toml"] {
        let words = ["two [[drawing]] tables", "quantity"];
        folder.nest(&[twice]).refused(&words, &["both have it"]);
    }
    let table = folder.run(&["materials"]).code(0);
    for name in ["walnut, black", "birch plywood 6.5 mm (5-ply)", "MDF >4-9 mm", "PMMA cast"] {
        assert!(table.out.contains(name), "{name}: {}", table.out);
    }
    // Wood Handbook FPL-GTR-282, table 5-3a: black walnut, 14,600 lbf/in2 or 101 MPa.
    folder.run(&["materials", "walnut"]).code(0).says(&["101", "Wood Handbook"]);
    folder.run(&["materials", "walnut", "--units", "in"]).code(0).says(&["14650"]);
    folder.run(&["materials", "linden"]).code(0).says(&["basswood"]);
    folder
        .run(&["materials", "polycarbonate"])
        .code(0)
        .says(&["those of PMMA cast", "are used instead"]);
    folder
        .run(&["materials", "unobtanium"])
        .refused(&["no known material has 'unobtanium' in its name"], &[]);
}

/// SVG fills a path that says nothing of its fill, open or not (SVG 2, section 13.3): a dashed line with two ends is still a
/// construction line, and so is not a part with a gap in its outline.
#[test]
fn an_open_dashed_line_without_a_fill_is_a_construction_line() {
    let drawing = "<svg xmlns='http://www.w3.org/2000/svg' width='4in' height='3in' viewBox='0 0 4 3'>\
         <rect id='plate' x='.5' y='.5' width='3' height='1.5' fill='none' stroke='#000' stroke-width='.01'/>\
         <path d='M0 1.25 H4' stroke='#000' stroke-width='.01' stroke-dasharray='.1 .05'/></svg>";
    let folder = Folder::with(&[("p.svg", drawing)]);
    let answer = folder.run(&["inspect", "p.svg"]).code(0);
    answer.says(&["1 kind of part, 1 in all", "dashed", "construction"]);
    // Without the plate there is nothing to cut, and the answer is no.
    let empty = drawing.split("<rect").next().unwrap_or_default().to_owned() + "</svg>";
    let folder = Folder::with(&[("empty.svg", &empty)]);
    folder.run(&["inspect", "empty.svg"]).code(1).says(&["no part"]);
}

/// A reader that goes away, as `| head -1` does, changes nothing of the answer: 0 and 1 as ever, and no complaint.
#[test]
fn a_closed_pipe_keeps_the_exit_code() {
    let gap = PLATE.replace("rect", "path").replace("x='.5'", "d='M1 1 H2 V2 H1 V1.2'");
    let folder = Folder::with(&[("good.svg", &page("in", PLATE)), ("open.svg", &page("in", &gap))]);
    for (drawing, code) in [("good.svg", 0), ("open.svg", 1)] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_tabwright"))
            .args(["inspect", drawing])
            .current_dir(folder.path())
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .expect("the program starts");
        drop(child.stdout.take());
        let output = child.wait_with_output().expect("it ends");
        let err = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{drawing}: {err}");
        assert!(!err.contains("pipe") && !err.contains("panick"), "{err}");
    }
}

/// Six dividers of 6 x 1 in with slots to half their depth, one of them amid their length: the commonest joint of a box. Each is held,
/// all on one panel with room to spare.
#[test]
fn dividers_with_a_slot_amid_their_length_are_held() {
    let strip = |y: f64| {
        let low = y + 0.5;
        format!(
            "<path d='M.5 {y}H1.875V{low}H2.125V{y}H3.375V{low}H3.625V{y}H4.875V{low}H5.125V{y}H6.5V{}H.5Z'/>",
            y + 1.0
        )
    };
    let strips: String = (0..6).map(|k| strip(0.5 + 1.4 * f64::from(k))).collect();
    let drawing = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='7in' height='9in' viewBox='0 0 7 9'>\
         <g fill='none' stroke='#000' stroke-width='.01'>{strips}</g></svg>"
    );
    let folder = Folder::with(&[("dividers.svg", &drawing)]);
    let stock = ["--sheet", "24x12in", "--thickness", "1/4in", "--bit", "1/8in"];
    let flags = ["--material", "birch plywood", "--corners", "rounded"];
    let answer = folder.nest(&[&["dividers.svg"], &stock[..], &flags[..]].concat());
    answer.code(0).says(&["6 parts held by tabs"]);
}
