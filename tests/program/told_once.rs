//! What a job is told about its bit, its joints and its units: once, with the part that it is about.

use super::folder::{Answer, Folder, PLATE, page};

/// A plate with a slot of 0.07 in among plain discs: 1/16 in passes there, 1/8 in does not. Its name and place are told, and told
/// no more where every part needs the finer bit, or where there is no wider one.
#[test]
fn the_part_that_needs_the_finer_bit_is_named() {
    let slot = "<path id='plate' d='M.5 .5h3v1.5h-3z M1.5 .8h.07v.9h-.07z'/>";
    let slot_too = "<path id='other' d='M.5 .5h2v1.5h-2z M1.5 .8h.1v.9h-.1z'/>";
    let disc = "<g id='disc'><circle cx='2' cy='1' r='.5'/></g>";
    let job = |files: &[&str], bits: &[&str]| {
        let table = |f: &&str| {
            format!("[[drawing]]\nfile = '{f}.svg'\nmaterial = 'walnut'\nthickness = '1/4'\n")
        };
        let bit = |b: &&str| format!("[[bit]]\nname = '{b}'\ndiameter = '{b}'\nspiral = 'down'\n");
        let of = |text: Vec<String>| text.concat();
        format!(
            "units = 'in'\ncorners = 'rounded'\n[[stock]]\nmaterial = 'walnut'\nthickness = '1/4'\nsize = '12x8'\n{}{}",
            of(bits.iter().map(bit).collect()),
            of(files.iter().map(table).collect())
        )
    };
    let both = ["1/8", "1/16"];
    let folder = Folder::with(&[
        ("slot.svg", &page("in", slot)),
        ("more.svg", &page("in", slot_too)),
        ("disc.svg", &page("in", disc)),
        ("one.toml", &job(&["slot", "disc"], &both)),
        ("two.toml", &job(&["slot", "more", "disc"], &both)),
        ("all.toml", &job(&["slot", "more"], &both)),
        ("only.toml", &job(&["slot", "disc"], &["1/16"])),
    ]);
    let flat = |a: &Answer| a.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let one = folder.nest(&["one.toml"]).code(0);
    let told = "plate: the only part that needs the 1/16 in bit: its narrowest place, ";
    assert!(flat(&one).contains(told), "{}", one.out);
    assert!(
        flat(&one).contains("lets at most 0.07 in pass. Without it the 1/8 in bit"),
        "{}",
        one.out
    );
    let two = folder.nest(&["two.toml"]).code(0);
    assert!(flat(&two).contains("plate: one of 2 parts that need the 1/16 in bit"), "{}", two.out);
    for plain in ["all.toml", "only.toml"] {
        let run = folder.nest(&[plain]).code(0);
        assert!(!run.out.contains("narrowest place"), "{}", run.out);
    }
}

/// What to do about joints is said once, however many there are: two plates with three slots as wide as the stock is thick.
#[test]
fn advice_on_joints_is_given_once() {
    let slots = "<path id='a' d='M.5 .5h3v.8h-3z M1 .8h.5v.25h-.5z M2.5 .8h.5v.25h-.5z'/>\
                 <path id='b' d='M.5 1.6h2v.8h-2z M1 1.9h.6v.25h-.6z'/>";
    let folder = Folder::with(&[("p.svg", &page("in", slots))]);
    let run =
        folder.nest(&["p.svg", "--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/16in"]);
    let run = run.code(1).says(&["3 joints to decide on", "a: 2 joints", "b: 1 joint"]);
    assert_eq!(run.out.matches("relieve each corner").count(), 1, "{}", run.out);
    let page = std::fs::read_to_string(folder.path().join("out/report.html")).expect("a page");
    assert_eq!(page.matches("relieve each corner").count(), 1);
}

/// A drawing with 48 texts says so once, at the first of them: x 1 in, y 2 in.
#[test]
fn texts_left_out_are_one_note() {
    let texts: String =
        (0..48).map(|k| format!("<text x='1' y='2' id='t{k}'>{k}</text>")).collect();
    let folder = Folder::with(&[("t.svg", &page("in", &(PLATE.to_string() + &texts)))]);
    let flags = ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in"];
    let run = folder.nest(&[&["t.svg"], &flags[..]].concat()).code(0);
    assert_eq!(run.err.matches("text element").count(), 1, "{}", run.err);
    run.says(&[
        "#t0 at (1, 2) in: the first of 48 text elements, all left out: convert them to paths",
    ]);
    let page = std::fs::read_to_string(folder.path().join("out/report.html")).expect("a page");
    assert_eq!(page.matches("text element").count(), 1);
}

/// A bit of 1/4 in stands (sqrt(2) - 1) / 8 = 0.0518 in from a square corner. Six parts with one such corner, accepted, are one
/// line; a single part is told by itself, as before.
#[test]
fn accepted_corners_are_one_line_for_all_parts() {
    let part = |k: usize| {
        let (x, y) = (0.1 + 1.3 * (k % 3) as f64, 0.1 + 1.4 * (k / 3) as f64);
        let w = 0.7 + 0.05 * k as f64;
        format!("<path id='p{k}' d='M{x} {y}h{w}v.6h-.4v.5h-{}z'/>", w - 0.4)
    };
    let all: String = (0..6).map(part).collect();
    let folder =
        Folder::with(&[("six.svg", &page("in", &all)), ("one.svg", &page("in", &part(0)))]);
    let flags =
        ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/4in", "--corners", "rounded"];
    let nest = |file: &str| folder.nest(&[&[file], &flags[..]].concat()).code(0);
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let six = nest("six.svg");
    let told = "Accepted as rounded: 6 sharp inside corners of 6 parts keep the bit's radius, the most stock (0.052 in) in ";
    assert!(flat(&six.out).contains(told), "{}", six.out);
    assert!(flat(&six.out).contains(" and 2 more"), "{}", six.out);
    assert_eq!(six.out.matches("inside corner").count(), 1, "{}", six.out);
    let page = std::fs::read_to_string(folder.path().join("out/report.html")).expect("a page");
    assert_eq!(page.matches("sharp inside corner").count(), 1);
    assert!(
        flat(&nest("one.svg").out).contains("p0: 1 sharp inside corner keeps the bit's radius")
    );
}

/// Points and picas are a 72nd and a 6th of an inch: a page of 288 pt or 24 pc is 4 in wide, so bare numbers are inches.
#[test]
fn points_and_picas_state_a_size() {
    for (unit, per_inch) in [("pt", 72), ("pc", 6)] {
        let (width, height) = (4 * per_inch, 3 * per_inch);
        let svg = page("", PLATE)
            .replace("width='4'", &format!("width='{width}{unit}'"))
            .replace("height='3' viewBox", &format!("height='{height}{unit}' viewBox"));
        let folder = Folder::with(&[("p.svg", &svg)]);
        let run = folder.run(&["begin", "p.svg", "-o", "job.toml"]).code(0);
        assert!(!run.out.contains("guess"), "{}", run.out);
        let text = std::fs::read_to_string(folder.path().join("job.toml")).expect("a job file");
        assert!(text.contains("units = \"in\"") && text.contains("3 × 1 1/2 in"), "{text}");
    }
}

/// Pixels say nothing about inches or mm; flags that are all in inches do.
#[test]
fn begin_takes_its_units_from_the_flags() {
    let folder = Folder::with(&[(
        "px.svg",
        &page("", PLATE).replace("'4'", "'400'").replace("'3'", "'300'"),
    )]);
    let begun = |name: &str, more: &[&str]| {
        folder.run(&[&["begin", "px.svg", "-o", name], more].concat()).code(0);
        std::fs::read_to_string(folder.path().join(name)).expect("a job file")
    };
    assert!(
        begun("a.toml", &["--thickness", "1/8in", "--sheet", "12x8in"]).contains("units = \"in\"")
    );
    assert!(
        begun("b.toml", &["--thickness", "3mm", "--sheet", "12x8in"]).contains("units = \"mm\"")
    );
    assert!(begun("c.toml", &[]).contains("units = \"mm\""));
}

/// Two plates that cross are both left out, and both are told of; a third that crosses one of them is the third, not the fifth.
#[test]
fn both_of_two_parts_that_cross_are_left_over() {
    let two = "<rect id='a' x='.2' y='.2' width='1' height='1'/><rect id='b' x='1' y='.5' width='1' height='1'/>\
               <rect id='good' x='2.6' y='.2' width='1' height='1'/>";
    let three = format!("{two}<rect id='c' x='1.8' y='.9' width='.5' height='1'/>");
    let folder = Folder::with(&[("two.svg", &page("in", two)), ("three.svg", &page("in", &three))]);
    let flags = ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in"];
    let left = |name: &'static str| {
        let run = folder.nest(&[&[name], &flags[..]].concat()).code(1);
        let layout =
            std::fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
        let layout: serde_json::Value = serde_json::from_str(&layout).expect("JSON");
        let left = layout["unplaced"].as_array().expect("a list").iter();
        let mut names: Vec<String> =
            left.map(|u| u["part"].as_str().expect("a name").into()).collect();
        names.sort_unstable();
        (names, run)
    };
    assert_eq!(left("two.svg").0, ["#a", "#b"]);
    let (names, run) = left("three.svg");
    assert_eq!(names, ["#a", "#b", "#c"], "{}", run.out);
}
