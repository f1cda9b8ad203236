//! A job in inches uses inches throughout: the summary, the page, the layout's sentences, notes, errors and the names of files.

use super::folder::{Folder, PLATE, page};
use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

const JOB: &str = "tests/data/inches/job.toml";

fn tabwright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program starts")
}

/// Both outputs of a run: standard output and standard error.
fn said(output: &Output) -> String {
    [&output.stdout, &output.stderr].map(|b| String::from_utf8_lossy(b).into_owned()).concat()
}

/// The places where a text mentions millimetres: `mm` that is not part of a longer word; and newtons: a number, then `N`.
fn millimetres(text: &str) -> Vec<String> {
    let letter = |c: Option<char>| c.is_some_and(|c| c.is_alphabetic() || c == '_');
    let alone = |at: usize| {
        !letter(text[..at].chars().next_back()) && !letter(text[at + 2..].chars().next())
    };
    let around = |at: usize| -> String {
        text[..at].chars().rev().take(60).collect::<Vec<_>>().into_iter().rev().collect()
    };
    let short = text.match_indices("mm").filter(|(at, _)| alone(*at));
    let long = text.match_indices("millimet").chain(text.match_indices("Millimet"));
    let newtons = text.match_indices(" N").filter(|(at, _)| {
        let number = text[..*at].ends_with(|c: char| c.is_ascii_digit());
        number && !letter(text[at + 2..].chars().next())
    });
    short.chain(long).chain(newtons).map(|(at, found)| format!("{}{found}", around(at))).collect()
}

/// Every text of a JSON value, without the names of its keys, which belong to the format.
fn texts(value: &Value, all: &mut Vec<String>) {
    match value {
        Value::String(text) => all.push(text.clone()),
        Value::Array(list) => list.iter().for_each(|v| texts(v, all)),
        Value::Object(fields) => fields.values().for_each(|v| texts(v, all)),
        _ => {}
    }
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).expect("the file was written")
}

#[test]
fn millimetres_are_found_wherever_they_stand() {
    for text in [
        "moves 0.26 mm at the bit",
        "walnut-6.35mm-1",
        "120 mm²",
        "(3, 4) mm: left out",
        "a tenth of a millimetre",
        "load 12.3 N at worst",
    ] {
        assert_eq!(millimetres(text).len(), 1, "{text}");
    }
    assert!(millimetres("a hammer, symmetry, width_mm, 0.26 in").is_empty());
}

/// The job is made so that each kind below is reported.
#[test]
fn a_job_in_inches_shows_no_millimetre() {
    let out = tempfile::tempdir().expect("a temporary folder");
    let folder = out.path().display().to_string();
    let run = tabwright(&["nest", JOB, "-o", &folder, "--moves", "100"]);
    assert_eq!(run.status.code(), Some(1), "{}", said(&run));
    assert_eq!(millimetres(&said(&run)), [""; 0], "{}", said(&run));

    let layout: Value =
        serde_json::from_str(&read(&out.path().join("layout.json"))).expect("it is JSON");
    let kinds = |list: &str| -> Vec<String> {
        let all = layout[list].as_array().expect("a list").iter();
        all.map(|v| v["kind"].as_str().expect("a kind").to_string()).collect()
    };
    for (list, wanted) in [
        ("warnings", &["last-pass-too-deep", "do-not-repeat", "free-with-care", "short-grain"][..]),
        ("warnings", &["nothing-holds"]),
        ("faults", &["no-clamp", "not-held"]),
        ("notes", &["rounded-corners", "joint-corners", "cut-wider"]),
        ("unplaced", &["too-big", "pin-off-sheet"]),
    ] {
        let told = kinds(list);
        assert!(wanted.iter().all(|w| told.contains(&w.to_string())), "{list}: {told:?}");
    }
    let mut sentences = vec![];
    texts(&layout, &mut sentences);
    // Where the material's constants come from is a citation, and the file says that its lengths are mm.
    let known = |s: &&String| s.starts_with("means, not design values") || *s == "mm";
    let sentences: Vec<&String> = sentences.iter().filter(|s| !known(s)).collect();
    assert!(sentences.iter().any(|s| s.contains(" in at the bit")), "{sentences:?}");
    for sentence in sentences {
        assert_eq!(millimetres(sentence), [""; 0], "{sentence}");
    }

    let page = read(&out.path().join("report.html"));
    let style = page.find("<style>").expect("a style")..page.find("</style>").expect("its end");
    let page = [&page[..style.start], &page[style.end..]].concat();
    assert!(page.contains(" in at the bit") && page.contains(" in wide"));
    assert_eq!(millimetres(&page), [""; 0]);

    for file in std::fs::read_dir(out.path()).expect("the folder") {
        let name = file.expect("a file").file_name().to_string_lossy().into_owned();
        assert_eq!(millimetres(&name), [""; 0]);
        if name.ends_with(".svg") {
            // Only its own coordinates are mm: the root's width and height, and what is said of them.
            let svg = read(&out.path().join(&name));
            let (_, drawn) = svg.split_once("</desc>").expect("a description");
            assert_eq!(millimetres(drawn), [""; 0], "{name}");
        }
    }
}

/// The job with its drawings in a folder of their own, with one text changed.
fn changed(from: &str, to: &str) -> (String, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let job = read(Path::new(JOB));
    assert!(job.contains(from), "{from}");
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    for (file, name) in [
        ("inches/walnut.svg", "walnut.svg"),
        ("inches/acrylic.svg", "acrylic.svg"),
        ("holding/fork.svg", "fork.svg"),
    ] {
        std::fs::copy(data.join(file), folder.path().join(name)).expect("a copy");
    }
    let job = job.replace("../holding/", "").replacen(from, to, 1);
    std::fs::write(folder.path().join("job.toml"), job).expect("a job");
    (folder.path().join("job.toml").display().to_string(), folder)
}

#[test]
fn commands_and_errors_speak_the_jobs_inches() {
    let with = changed;
    let (as_it_is, _kept) = with("title", "title");
    // A bit that cuts neither the fork's slots nor the tee's; an open outline; a bit, a feed and a stock that can hardly be meant.
    let (coarse, _kept_too) = with("diameter = \"1/32in\"", "diameter = \"0.3in\"");
    let (open, folder) = with("title", "title");
    let drawing = folder.path().join("walnut.svg");
    let broken = read(&drawing).replace("h2.4v0.09h-3z", "h2.4v0.09h-2.9");
    std::fs::write(&drawing, broken).expect("a drawing");
    let (fast, _last) = with("feed = 14", "feed = 6000");
    let (bit, walnut) = ("1/8in", "tests/data/inches/walnut.svg");
    for (args, wanted) in [
        (&["tabs", &as_it_is, "--part", "plate", "--why"][..], " in"),
        (&["tabs", &as_it_is, "--all"], " in"),
        (&["compare", &as_it_is, "--moves", "50"], "walnut-0.25in"),
        (&["inspect", walnut, "--units", "in", "--bits", bit], " in"),
        (&["nest", &coarse, "-o", "never", "--strict"], "in right, "),
        (
            &["nest", &open, "-o", "never", "--strict"],
            "open path: its nearest free end is 0.5492 in away",
        ),
        (&["nest", &fast, "-o", "never"], "in/min"),
    ] {
        let run = tabwright(args);
        assert!(said(&run).contains(wanted), "{args:?}: {}", said(&run));
        assert_eq!(millimetres(&said(&run)), [""; 0], "{args:?}");
    }
}

/// Every kind of error that a job can have: a change of the job, and words that the message must contain.
#[test]
fn no_error_of_a_job_speaks_of_millimetres() {
    let mut wrong = vec![];
    for (from, to, says) in [
        ("title = \"Inches\"", "titel = \"Inches\"", "unknown key 'titel'; did you mean 'title'?"),
        (
            "diameter = \"1/8in\"",
            "diameter = true",
            "diameter takes a length like \"1/4in\", not true",
        ),
        ("diameter = \"1/8in\"", "diameter = \"1/8 foot\"", "is not a length; write it like 0.25"),
        ("diameter = \"1/8in\"", "diameter = 0", "diameter must be above zero"),
        (
            "diameter = \"1/8in\"",
            "diameter = \"3in\"",
            "diameter 3 in is far outside the usual range",
        ),
        ("spiral = \"up\"", "spiral = \"left\"", "spiral must be up, down or straight, not 'left'"),
        ("spiral = \"up\"", "spiral = \"up\"\nhelix = 80", "helix must be from 0 to 60 degrees"),
        ("spiral = \"up\"", "spiral = \"up\"\nflutes = 20", "flutes must be from 1 to 12"),
        ("spiral = \"up\"", "spiral = \"up\"\nallowance = 0.1", "from 0.0008 in to 0.0098 in"),
        ("materials = [\"acrylic\"]", "materials = [\"acrilic\"]", "unknown material 'acrilic'"),
        (
            "materials = [\"hard maple\"]",
            "materials = [\"xyz\"]",
            "unknown material 'xyz'; `tabwright materials`",
        ),
        ("size = \"12x8in\"", "size = \"12in\"", "is not a size; write length x width"),
        ("size = \"12x8in\"", "size = \"0x8in\"", "both lengths of size must be above zero"),
        ("size = \"12x8in\"", "", "give either a size or an outline"),
        ("size = \"12x8in\"", "outline = \"walnut.svg\"", "must have exactly one"),
        ("quantity = 1", "price = -1", "price must not be negative"),
        ("quantity = 1", "margin = \"-1in\"", "margin must not be negative"),
        ("quantity = 1", "grain = \"z\"", "grain must be x, y or degrees, not 'z'"),
        (
            "quantity = 1",
            "keep-clear = [{ x = 1, y = 1, width = 1 }]",
            "keep-clear needs x, y, width",
        ),
        ("quantity = 1", "margin = 5", "its margins leave no room"),
        ("stroke = \"#0000ff\"", "stroke = \"bluish\"", "'bluish' is not a colour"),
        ("pocket = {", "poket = {", "no such kind of feature"),
        ("{ stroke = \"#0000ff\" }", "{ }", "give a stroke, a group"),
        ("{ stroke = \"#0000ff\" }", "{ stroke = \"#0000ff\", depth = 1 }", "as deep as the sheet"),
        ("pocket = {", "mark = { group = \"b\", depth = 0.1 }\npocket = {", "have a depth"),
        ("[holding]", "[holding]\nfreeing = \"cut\"", "freeing must be saw or snap"),
        ("[holding]", "[holding]\nprefer = \"best\"", "prefer must be strong or clean"),
        ("\"clamps\"", "\"glue\"", "hold-down must be clamps or tape, not 'glue'"),
        ("[holding]", "[holding]\nmin-width = 2", "min-width is above max-width"),
        (
            "last-pass = \"0.06in\"",
            "last-pass = 3",
            "last-pass 3 in is far outside the usual range",
        ),
        ("name = \"tee\"", "name = \"teee\"", "no drawing has this part; did you mean 'tee'?"),
        (
            "name = \"tee\"",
            "name = \"tee\"\ntab-free = [\"front\"]",
            "tab-free must be left, right",
        ),
        ("name = \"tee\"", "name = \"tee\"\ncorners = \"square\"", "corners must be rounded"),
        ("name = \"tee\"", "name = \"tee\"\nquantity = 30000", "30000 copies are too many"),
        ("name = \"tee\"", "name = \"tee\"\ngrain-tolerance = 200", "from 0 to 180 degrees"),
        ("grain = \"y\"", "grain = \"z\"", "grain must be strong, x, y, any or degrees, not 'z'"),
        ("quantity = 2\n", "quantity = 1\n", "2 pins for 1 copies"),
        ("pin = [{ sheet = 1", "pin = [{ sheet = 0", "a pin's sheet counts from 1"),
        (
            "walnut.svg\"\n",
            "walnut.svg\"\nbit = \"quarter\"\n",
            "there is no bit 'quarter' for walnut",
        ),
        ("\"1/16in\"\nspiral", "\"1/16in\"\nmaterials = [\"oak\"]\nspiral", "duplicate key"),
        ("units = \"in\"", "units = \"in\"\n[reading]\ndpi = -3", "dpi must be above zero"),
        (
            "units = \"in\"",
            "units = \"in\"\n[reading]\nmin-size = 9",
            "at (13.3, 0.37) in: a pocket that lies in no part",
        ),
        (
            "units = \"in\"",
            "units = \"in\"\n[[cutting-force]]\nmaterial = \"walnut\"\nkc = -1\nke = 0",
            "kc and ke must not be negative",
        ),
        (
            "units = \"in\"",
            "units = \"in\"\n[[material]]\nname = \"purpleheart\"\nlike = \"oak\"\nstrength = \"1 psi\"",
            "strength must be from 29 psi to 145,000 psi",
        ),
    ] {
        let (job, folder) = changed(from, to);
        let out = folder.path().join("out").display().to_string();
        let run = tabwright(&["nest", &job, "-o", &out, "--moves", "1"]);
        let said = said(&run);
        let head: String = said.chars().take(400).collect();
        if !said.contains(says) || !millimetres(&said).is_empty() {
            wrong.push(format!("{to}: {head}"));
        }
    }
    assert_eq!(wrong, [""; 0]);
}

/// A plate 3 in wide is 76.2 mm in the files for programs, which say their unit; a layout of before, without it, is read, and one in
/// another unit is not.
#[test]
fn files_for_programs_say_that_their_lengths_are_mm() {
    let folder = Folder::with(&[("p.svg", &page("in", PLATE))]);
    let flags = ["p.svg", "--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in"];
    folder.nest(&flags).code(0);
    let path = folder.path().join("out/layout.json");
    let text = std::fs::read_to_string(&path).expect("a layout");
    let layout: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!((&layout["units"], &layout["lengths"]), (&"in".into(), &"mm".into()));
    let compare = [&["compare"], &flags[..], &["--moves", "50", "--json"]].concat();
    for args in
        [&["inspect", "p.svg", "--json"][..], &compare, &["check", "out/layout.json", "--json"]]
    {
        let run = folder.run(args).code(0);
        let said: Value = serde_json::from_str(&run.out).expect("JSON");
        let said = said.get(0).unwrap_or(&said);
        assert_eq!(said["lengths"], "mm", "{args:?}: {}", run.out);
        if args[0] == "inspect" {
            let width = said["parts"][0]["size"][0].as_f64().expect("a width");
            assert!((width - 76.2).abs() < 1e-6, "{width}");
        }
    }
    std::fs::write(&path, text.replacen("\"lengths\": \"mm\",", "", 1)).expect("written");
    folder.run(&["check", "out/layout.json"]).code(0);
    std::fs::write(&path, text.replacen("\"lengths\": \"mm\"", "\"lengths\": \"in\"", 1))
        .expect("written");
    folder.run(&["check", "out/layout.json"]).refused(&["layout.json"], &[]);
}
