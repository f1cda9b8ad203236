//! Every command of the README, run as a newcomer would run it: on the samples, from the project's folder.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

fn tabwright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A temporary folder of this test, removed at the end.
fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a temporary folder")
}

fn json(path: &Path) -> Value {
    let text = std::fs::read_to_string(path).expect("the file was written");
    serde_json::from_str(&text).expect("it is JSON")
}

fn nest(job: &[&str], out: &Path) -> Output {
    let mut args = vec!["nest"];
    args.extend(job);
    let out = out.display().to_string();
    args.extend(["-o", &out]);
    tabwright(&args)
}

/// The tide clock on two threads with few moves, which several tests look at; `.ci/run` makes it with the usual effort. The folder
/// stays as long as the tests run.
fn tide_clock() -> (&'static Path, &'static Output) {
    static MADE: OnceLock<(tempfile::TempDir, Output)> = OnceLock::new();
    let (out, run) = MADE.get_or_init(|| {
        let out = folder();
        let job = "samples/tide-clock/job.toml";
        let run = nest(&[job, "--threads", "2", "--moves", "300"], out.path());
        (out, run)
    });
    (out.path(), run)
}

#[test]
fn the_tide_clock_is_nested_held_checked_and_drawn() {
    let (out, run) = tide_clock();
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    let layout = json(&out.join("layout.json"));
    assert!(layout["parts_placed"].as_u64() >= Some(90));
    assert_eq!(layout["unplaced"].as_array().map(Vec::len), Some(0));
    assert!(layout.get("faults").is_none(), "{}", layout["faults"]);
    // Parts on loose stock are planned anew with what is left of the sheet before the cut is simulated, and laid elsewhere where
    // that does not help: none is left to be put on tape at the end.
    let taped = text(&run.stdout);
    assert!(
        !taped.contains("held by tape")
            && !taped.contains("stock that it would hang on comes loose"),
        "{taped}"
    );
    for sheet in layout["sheets"].as_array().expect("sheets") {
        let id = sheet["id"].as_str().expect("an id");
        assert!(out.join(format!("{id}.svg")).exists(), "{id}");
        for part in sheet["parts"].as_array().expect("parts") {
            let why = part["hold"]["why"].as_str().expect("a reason");
            assert!(!why.is_empty(), "{}: a hold without a reason", part["part"]);
        }
    }
    // What would come loose between parts is cleared as a pocket where it is small, else kept by a part beside it where that makes
    // no landing softer: here, with few moves, most of it.
    let loose = layout["drop_outs"].as_array().map_or(&[][..], Vec::as_slice);
    let between = loose.iter().filter(|d| d["opening"].is_null()).count();
    let parts = layout["sheets"].as_array().into_iter().flatten().map(|s| &s["parts"]);
    let tabs = parts.filter_map(|p| p.as_array()).flatten().map(|p| &p["hold"]["tabs"]);
    let of_waste = tabs.filter_map(|t| t.as_array()).flatten().filter(|t| t["waste"] == true);
    let kept = of_waste.count();
    assert!(kept > 2 * between && loose.len() < 5, "{kept} kept, {loose:?}");
    let cleared = |s: &serde_json::Value| s["cleared"].as_array().map_or(0, Vec::len);
    let sheets = layout["sheets"].as_array().expect("sheets");
    assert!(sheets.iter().map(cleared).sum::<usize>() > 20);
    // Each part that tabs can hold finds stock for them: where kerfs coincide, webs are left.
    let warnings = layout["warnings"].as_array().expect("warnings");
    assert!(warnings.iter().all(|w| w["kind"] != "no-landing"), "{warnings:?}");
    assert!(out.join("report.html").exists());
    let path = out.join("layout.json").display().to_string();
    let check = tabwright(&["check", &path, "--job", "samples/tide-clock/job.toml"]);
    assert_eq!(check.status.code(), Some(0), "{}", text(&check.stdout));
}

/// Out of time before the best holds are found: every part is placed with its first hold, files are whole, and the check passes.
#[test]
fn a_job_out_of_time_at_once_is_whole() {
    let out = folder();
    let run = nest(&["samples/tide-clock/job.toml", "--seconds", "0.01"], out.path());
    let said = text(&run.stdout);
    assert_eq!(run.status.code(), Some(0), "{said}{}", text(&run.stderr));
    let path = out.path().join("layout.json");
    let layout = json(&path);
    assert_eq!(layout["parts_placed"].as_u64(), Some(153));
    let whys: Vec<String> = layout["sheets"]
        .as_array()
        .expect("sheets")
        .iter()
        .flat_map(|s| s["parts"].as_array().expect("parts"))
        .map(|p| p["hold"]["why"].as_str().expect("a reason").into())
        .collect();
    // Those whose tabs found no landing are planned anew all the same.
    let first = whys.iter().filter(|w| w.contains("a first plan")).count();
    assert!(first > 100, "{first}");
    let check =
        tabwright(&["check", &path.display().to_string(), "--job", "samples/tide-clock/job.toml"]);
    assert_eq!(check.status.code(), Some(0), "{}", text(&check.stdout));
}

#[test]
fn one_and_two_threads_write_the_same_bytes() {
    let one = folder();
    let job = "samples/tide-clock/job.toml";
    nest(&[job, "--threads", "1", "--moves", "300"], one.path());
    let (one, two) = (one.path(), tide_clock().0);
    let names = |dir: &Path| -> Vec<PathBuf> {
        let mut names: Vec<_> = std::fs::read_dir(dir)
            .expect("the folder")
            .map(|e| PathBuf::from(e.expect("an entry").file_name()))
            .collect();
        names.sort();
        names
    };
    assert!(names(one).len() > 5);
    assert_eq!(names(one), names(two));
    for name in names(one) {
        let read = |dir: &Path| std::fs::read(dir.join(&name)).expect("the file");
        assert!(read(one) == read(two), "{} differs", name.display());
    }
}

#[test]
fn a_moved_part_fails_the_check_with_exit_1() {
    let out = folder();
    nest(&["samples/offcut/job.toml", "--moves", "500"], out.path());
    let path = out.path().join("layout.json");
    let mut layout = json(&path);
    let points = layout["sheets"][0]["parts"][0]["outline"].as_array_mut().expect("an outline");
    for point in points {
        let x = point[0].as_f64().expect("a number");
        point[0] = Value::from(x + 500.0);
    }
    std::fs::write(&path, layout.to_string()).expect("written");
    let check = tabwright(&["check", &path.display().to_string()]);
    assert_eq!(check.status.code(), Some(1), "{}", text(&check.stdout));
}

/// Wood is a tenth as strong in bending across its fibres as along them (Wood Handbook, chapter 5: best fit to table 5-12):
/// a thin fork laid across brings a warning; a needle of veneer that would break, though tabs hold it along the grain, is not cut.
#[test]
fn short_grain_is_warned_about_and_refused_where_nothing_holds_it() {
    let out = folder();
    let warned = nest(&["tests/data/holding/short-grain-warned.toml"], out.path());
    assert_eq!(warned.status.code(), Some(0), "{}", text(&warned.stderr));
    let layout = json(&out.path().join("layout.json"));
    assert_eq!(layout["parts_placed"], 1);
    let message = layout["warnings"][0]["message"].as_str().expect("a warning");
    assert!(message.contains("short grain") && message.contains("only a skin does"), "{message}");
    let refused = nest(&["tests/data/holding/short-grain-refused.toml"], out.path());
    assert_eq!(refused.status.code(), Some(1), "{}", text(&refused.stderr));
    let layout = json(&out.path().join("layout.json"));
    assert_eq!(layout["parts_placed"], 0);
    let reason = layout["unplaced"][0]["reason"].as_str().expect("a reason");
    assert!(reason.contains("short grain") && reason.contains("then tabs hold it"), "{reason}");
}

#[test]
fn a_part_that_nothing_holds_is_a_plain_no() {
    let out = folder();
    let run = nest(&["tests/data/holding/nothing-holds.toml"], out.path());
    assert_eq!(run.status.code(), Some(1), "{}", text(&run.stdout));
    let layout = json(&out.path().join("layout.json"));
    assert_eq!(layout["sheets"][0]["parts"][0]["hold"]["method"], "none");
    assert!(text(&run.stdout).contains("spur"), "{}", text(&run.stdout));
    let id = layout["sheets"][0]["id"].as_str().expect("an id").to_string();
    let svg = std::fs::read_to_string(out.path().join(format!("{id}.svg"))).expect("the sheet");
    let through = svg.split("id=\"through-pass-").nth(1).and_then(|s| s.split("</g>").next());
    assert!(!through.unwrap_or("").contains("<path"), "the cutter would throw it: {through:?}");
}

/// A groove 1.2 mm deep leaves 0.3 of the neck's 1.5 mm: its section modulus in the plane falls to a fifth (b h^2/6).
#[test]
fn a_pocket_over_a_neck_is_named_with_what_it_leaves() {
    let out = folder();
    let run = nest(&["tests/data/holding/pocket-over-neck.toml"], out.path());
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    let layout = json(&out.path().join("layout.json"));
    let part = &layout["sheets"][0]["parts"][0];
    assert_eq!(part["features"][0]["depth"], 1.2);
    let governs = part["hold"]["governs"].as_str().expect("what governs");
    assert!(governs.contains("where a pocket leaves 0.3 mm"), "{governs}");
    let warnings = layout["warnings"].as_array().expect("warnings");
    let said = |w: &Value| {
        w["part"] == "link" && w["message"].to_string().contains("cut it shallower there")
    };
    assert!(warnings.iter().any(said), "{warnings:?}");
}

#[test]
fn sheets_left_from_an_earlier_run_are_named() {
    let out = folder();
    let source = ["samples/one-drawing/part.svg", "--thickness", "1/8in", "--bit", "1/16in"];
    let source: Vec<&str> = source.into_iter().chain(["--sheet", "12x24in"]).collect();
    assert!(!text(&nest(&source, out.path()).stderr).contains("earlier run"));
    // As if the run before had needed one sheet more.
    let file = out.path().join("layout.json");
    let mut layout = json(&file);
    let sheets = layout["sheets"].as_array_mut().expect("sheets");
    let mut more = sheets[0].clone();
    more["id"] = "gone-9".into();
    sheets.push(more);
    std::fs::write(&file, layout.to_string()).expect("written");
    std::fs::write(out.path().join("gone-9.svg"), "<svg/>").expect("written");
    let said = text(&nest(&source, out.path()).stderr);
    assert!(said.contains("gone-9.svg: this file is from an earlier run"), "{said}");
    assert!(out.path().join("gone-9.svg").is_file(), "nothing is deleted");
}

#[test]
fn bad_usage_and_bad_input_exit_2_and_write_nothing() {
    let out = folder();
    let target = out.path().join("made");
    for (args, said) in [
        (vec!["nest", "no-such-job.toml"], "no-such-job.toml"),
        (vec!["nest", "samples/one-drawing/part.svg"], "--thickness"),
        (vec!["nest", "samples/tide-clock/job.toml", "--sheet", "1x2in"], "--sheet"),
        (vec!["nest", "Cargo.toml"], "Cargo.toml"),
        (vec!["check", "Cargo.toml"], "Cargo.toml"),
        (vec!["inspect", "Cargo.toml"], "Cargo.toml"),
        (vec!["tabs", "samples/tide-clock/job.toml", "--part", "minute-hnd"], "minute-hand"),
    ] {
        let mut args = args;
        let target = target.display().to_string();
        if args[0] == "nest" {
            args.extend(["-o", &target]);
        }
        let run = tabwright(&args);
        assert_eq!(run.status.code(), Some(2), "{args:?}");
        assert!(text(&run.stderr).contains(said), "{args:?}: {}", text(&run.stderr));
    }
    assert!(!target.exists(), "bad input must not make the output folder");
}

/// A drawing that every maker draws: a slot and a hole for the bit at hand.
fn slotted(folder: &Path, slot: f64, thickness_marks: &str) -> String {
    let path = folder.join("plate.svg");
    let text = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='4.8in' height='2.8in' viewBox='0 0 4.8 2.8'>\
         <g fill='none' stroke='black' stroke-width='0.01'><rect id='plate' width='4.8' height='2.8'/>\
         <rect x='1' y='1' width='2' height='{slot}'/><circle cx='4' cy='2' r='0.0625'/>{thickness_marks}</g></svg>"
    );
    std::fs::write(&path, text).expect("written");
    path.display().to_string()
}

/// A slot and a hole of 1/8 in under a bit of 1/8 in: both are cut, and no note mentions widths. A slot of 0.124 in is cut at the
/// bit's width, 0.001 in wider, and a note says so; one of 0.122 in is refused with its place.
#[test]
fn a_slot_and_a_hole_as_wide_as_the_bit_are_cut() {
    let flags = [
        "--sheet",
        "12x8in",
        "--thickness",
        "1/4in",
        "--bit",
        "1/8in",
        "--units",
        "in",
        "--moves",
        "200",
    ];
    for (width, wider) in [(0.125, false), (0.124, true)] {
        let out = folder();
        let drawing = slotted(out.path(), width, "");
        let inspected = tabwright(&["inspect", &drawing, "--bits", "1/8in", "--units", "in"]);
        assert_eq!(inspected.status.code(), Some(0), "{}", text(&inspected.stdout));
        let said = text(&inspected.stdout);
        assert_eq!(said.contains("up to 0.001 in wider than drawn"), wider, "{said}");
        let job: Vec<&str> = std::iter::once(drawing.as_str()).chain(flags).collect();
        let made = nest(&job, &out.path().join("made"));
        let said = text(&made.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(made.status.code(), Some(0), "{said}{}", text(&made.stderr));
        assert_eq!(said.contains("at the bit's width, wider by up to 0.001 in"), wider, "{said}");
        let page = std::fs::read_to_string(out.path().join("made/report.html")).expect("the page");
        assert_eq!(page.contains("width, wider by up to 0.001 in"), wider);
        let svg =
            std::fs::read_to_string(out.path().join("made/walnut-0.25in-1.svg")).expect("a sheet");
        assert!(
            svg.contains("<g id=\"plunges-0.25in-deep\">\n<circle id=\"plate.1.plunge.2\""),
            "{svg}"
        );
        assert!(svg.contains("r=\"1.5875\"/>") && svg.contains("\"plate.1.through.1.1\""));
        let path = out.path().join("made/layout.json").display().to_string();
        assert_eq!(tabwright(&["check", &path]).status.code(), Some(0));
    }
    let out = folder();
    let drawing = slotted(out.path(), 0.122, "");
    let inspected = tabwright(&["inspect", &drawing, "--bits", "1/8in"]);
    assert_eq!(inspected.status.code(), Some(1), "{}", text(&inspected.stdout));
    // 0.003 in narrower: 0.0762 mm, which an allowance of 0.08 mm takes.
    let more = tabwright(&["inspect", &drawing, "--bits", "1/8in", "--allowance", "0.08mm"]);
    assert_eq!(more.status.code(), Some(0), "{}", text(&more.stdout));
    let job: Vec<&str> = std::iter::once(drawing.as_str()).chain(flags).collect();
    let refused = nest(&job, &out.path().join("made"));
    assert_eq!(refused.status.code(), Some(2), "{}", text(&refused.stdout));
    assert!(text(&refused.stderr).contains("part 'plate': no bit on hand cuts it"));
}

#[test]
fn inspect_of_a_good_file_says_what_is_in_it() {
    let run = tabwright(&["inspect", "samples/one-drawing/part.svg", "--bits", "1/16in"]);
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stdout));
    let run = tabwright(&["inspect", "samples/one-drawing/part.svg", "--bits", "1/16in", "--json"]);
    let all: Value = serde_json::from_slice(&run.stdout).expect("it is JSON");
    let part = &all[0]["parts"][0];
    assert!(part["size"][0].as_f64() > Some(1.0) && part["bits"][0]["cuts"] == true, "{part}");
    // A bit far too wide: the answer is no.
    let run = tabwright(&["inspect", "samples/one-drawing/part.svg", "--bits", "2in"]);
    assert_eq!(run.status.code(), Some(1), "{}", text(&run.stdout));
}

/// A slot as wide as the stock is thick, with sharp corners, is a joint: the maker must decide. By hand, under a bit of 1/8 in:
/// 1.5875 (sqrt(2) - 1) = 0.66 mm, 0.026 in, stands in each corner.
#[test]
fn joints_with_round_corners_are_the_makers_to_decide() {
    let out = folder();
    let drawing = slotted(out.path(), 0.25, "");
    let job = |corners: &[&'static str]| {
        let flags =
            ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in", "--moves", "200"];
        let all: Vec<&str> =
            std::iter::once(drawing.as_str()).chain(flags).chain(corners.iter().copied()).collect();
        nest(&all, &out.path().join("made"))
    };
    let undecided = job(&[]);
    let said = text(&undecided.stdout);
    assert_eq!(undecided.status.code(), Some(1), "{said}");
    assert!(said.starts_with("NOT READY TO CUT: 1 joint to decide on"), "{said}");
    let check = tabwright(&["check", &out.path().join("made/layout.json").display().to_string()]);
    assert_eq!(check.status.code(), Some(1), "{}", text(&check.stdout));
    assert!(text(&check.stdout).contains("relieve them"), "{}", text(&check.stdout));
    assert!(
        said.contains("1 joint as wide (0.25 in)") && said.contains("where 0.026 in of"),
        "{said}"
    );
    assert!(said.contains("corners = \"rounded\""), "{said}");
    let layout = json(&out.path().join("made/layout.json"));
    let note = &layout["notes"][0];
    assert!(note["kind"] == "joint-corners" && note["accepted"] == false, "{note}");
    let accepted = job(&["--corners", "rounded"]);
    assert_eq!(accepted.status.code(), Some(0), "{}", text(&accepted.stdout));
    // In a job file: for all, or for the part.
    let text_of = |head: &str, tail: &str| {
        format!(
            "{head}\n[[bit]]\nname = 'b'\ndiameter = '1/8in'\nspiral = 'down'\nfeed = 60\nrpm = 18000\n\
             [[stock]]\nmaterial = 'walnut'\nthickness = '1/4in'\nsize = '300x200'\n\
             [[drawing]]\nfile = 'plate.svg'\nmaterial = 'walnut'\nthickness = '1/4in'\n{tail}"
        )
    };
    let part = "[[part]]\nname = 'plate'\ncorners = 'rounded'";
    for (head, tail, code) in
        [("", "", 1), ("corners = 'rounded'", "", 0), ("", part, 0), ("corners = 'square'", "", 2)]
    {
        let path = out.path().join("job.toml");
        std::fs::write(&path, text_of(head, tail)).expect("written");
        let run =
            nest(&[&path.display().to_string(), "--moves", "100"], &out.path().join("of-job"));
        let said = text(&run.stdout) + &text(&run.stderr);
        assert_eq!(run.status.code(), Some(code), "{head}{tail}: {said}");
    }
}

#[test]
fn completions_and_man_page_are_written() {
    assert!(text(&tabwright(&["completions", "bash"]).stdout).contains("tabwright"));
    let man = text(&tabwright(&["man"]).stdout);
    assert!(man.contains(".TH tabwright") && man.contains("Exit codes"), "{man}");
}

/// Thirteen plates of 90 mm, by hand: twelve fit on a panel of 450 x 340 mm (4 x 3 with 13 mm and more between and around
/// them), two on a strip of 230 x 120. So panels alone take 2 (60.00), strips alone 7 (56.00), and one of each 38.00.
#[test]
fn compare_finds_that_two_sizes_together_are_cheapest() {
    let out = folder();
    let plate = "<svg xmlns='http://www.w3.org/2000/svg' width='90mm' height='90mm' viewBox='0 0 90 90'>\
                 <rect id='plate' width='90' height='90' fill='none' stroke='black'/></svg>";
    let stock = |name: &str, size: &str, price: &str| {
        format!(
            "[[stock]]\nname = '{name}'\nmaterial = 'hard maple'\nthickness = 6\nsize = '{size}'\n\
             grain = 'x'\nmargin = 8\nprice = {price}\n"
        )
    };
    let job = format!(
        "title = 'Plates'\nunits = 'mm'\nseed = 1\n[[bit]]\nname = 'bit'\ndiameter = '1/8in'\n\
         flutes = 2\nspiral = 'down'\nhelix = 30\npass-depth = 1.5\nfeed = 1500\nrpm = 18000\n{}{}\
         [[drawing]]\nfile = 'plate.svg'\nmaterial = 'hard maple'\nthickness = 6\n\
         [[part]]\nname = 'plate'\nquantity = 13\n",
        stock("strip", "230x120", "8"),
        stock("panel", "450x340", "30"),
    );
    std::fs::write(out.path().join("plate.svg"), plate).expect("written");
    let path = out.path().join("job.toml");
    std::fs::write(&path, job).expect("written");
    let run = tabwright(&["compare", &path.display().to_string(), "--json"]);
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    let said: Value = serde_json::from_slice(&run.stdout).expect("it is JSON");
    let rows = &said["groups"][0]["rows"];
    let row = |r: &Value| {
        let keys = ["stock", "sheets", "price", "unplaced"];
        keys.map(|k| r[k].to_string().trim_matches('"').to_string()).join(", ")
    };
    let said: Vec<String> = rows.as_array().expect("rows").iter().map(row).collect();
    let expected = ["1 x panel + 1 x strip, 2, 38.0, 0", "strip, 7, 56.0, 0", "panel, 2, 60.0, 0"];
    assert_eq!(said, expected);
}

const ONE: [&str; 7] = [
    "samples/one-drawing/part.svg",
    "--thickness",
    "1/8in",
    "--bit",
    "1/16in",
    "--sheet",
    "12x24in",
];

#[test]
fn inspect_tabs_and_compare_answer_yes_on_the_samples() {
    let inspect = tabwright(&["inspect", "samples/one-drawing/part.svg"]);
    assert_eq!(inspect.status.code(), Some(0), "{}", text(&inspect.stderr));
    let json: Value = serde_json::from_slice(
        &tabwright(&["inspect", "--json", "samples/one-drawing/part.svg"]).stdout,
    )
    .expect("it is JSON");
    assert_eq!(json[0]["parts"].as_array().map(Vec::len), Some(3), "porthole, coaster, fish tag");
    let out = folder();
    let dir = out.path().display().to_string();
    let tabs = tabwright(&["tabs", "samples/offcut/job.toml", "--all", "-o", &dir]);
    assert_eq!(tabs.status.code(), Some(0), "{}", text(&tabs.stderr));
    for part in ["rail", "hook", "fish", "knob"] {
        assert!(text(&tabs.stdout).lines().any(|l| l.trim_start().starts_with(part)), "{part}");
        assert!(out.path().join(format!("{part}-tried.json")).is_file(), "{part}");
    }
    let compare = tabwright(&["compare", "samples/offcut/job.toml", "--moves", "100"]);
    assert_eq!(compare.status.code(), Some(0), "{}", text(&compare.stderr));
    assert!(text(&compare.stdout).contains("cherry offcut"), "{}", text(&compare.stdout));
}

/// A drawing without a job file: `--quantity` makes copies, and values that the flags leave open are listed as assumed. All lengths
/// of the flags are in inches, so everything is told in inches: the usual margin of 6 mm is 0.236 in.
#[test]
fn flags_of_a_single_drawing_are_heard() {
    let out = folder();
    let mut args = ONE.to_vec();
    args.extend(["--quantity", "3", "--moves", "60"]);
    let run = nest(&args, out.path());
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    assert_eq!(
        json(&out.path().join("layout.json"))["parts_placed"],
        12,
        "three of each of the four drawn"
    );
    let said = text(&run.stdout);
    for assumed in [
        "--material: walnut",
        "[[bit]] spiral: down",
        "[[bit]] flutes: 2",
        "[[bit]] feed: ",
        "[[stock]] margin: 0.236 in",
    ] {
        assert!(said.contains(assumed), "{assumed}: {said}");
    }
    assert!(!said.contains(" mm"), "{said}");
}

/// Exit codes 0, 1 and 2 of every command, as the help and the README give them.
#[test]
fn exit_codes_are_those_of_the_table() {
    let out = folder();
    let at = |name: &str| out.path().join(name).display().to_string();
    let open = "<svg xmlns='http://www.w3.org/2000/svg' width='50mm' height='50mm' viewBox='0 0 50 50'>\
                <path id='open' d='M0 0 H30 V30' fill='none' stroke='black'/></svg>";
    std::fs::write(at("open.svg"), open).expect("written");
    let job = std::fs::read_to_string("samples/offcut/job.toml").expect("the sample");
    // The offcut's stock is of another thickness than its drawing asks for.
    let job = job.replacen("thickness = 6", "thickness = 9", 1);
    std::fs::write(at("none.toml"), job).expect("written");
    for file in ["hooks.svg", "offcut.svg"] {
        std::fs::copy(format!("samples/offcut/{file}"), at(file)).expect("copied");
    }
    let good = at("good");
    assert_eq!(
        nest(&["samples/offcut/job.toml", "--moves", "100"], Path::new(&good)).status.code(),
        Some(0)
    );
    let layout = format!("{good}/layout.json");
    let bad = std::fs::read_to_string(&layout).expect("a layout").replacen(
        "\"parts_placed\": ",
        "\"parts_placed\": 9",
        1,
    );
    std::fs::write(at("bad.json"), bad).expect("written");
    let no_stock = at("none.toml");
    let (into, loose) = (at("into"), at("open.svg"));
    let bad = at("bad.json");
    let nothing = "tests/data/holding/nothing-holds.toml";
    let sample = "samples/offcut/job.toml";
    let table: [(i32, &[&str]); 19] = [
        (0, &["inspect", "samples/one-drawing/part.svg"]),
        (1, &["inspect", &loose]),
        (1, &["inspect", "samples/one-drawing/part.svg", "--bits", "2in"]),
        (2, &["inspect", "no-such.svg"]),
        (1, &["nest", nothing, "-o", &into]),
        (1, &["nest", &no_stock, "-o", &into, "--moves", "50"]),
        (2, &["nest", "Cargo.toml", "-o", &into]),
        (0, &["tabs", sample, "--part", "hook"]),
        (1, &["tabs", nothing, "--all"]),
        (2, &["tabs", sample, "--part", "hok"]),
        (1, &["compare", &no_stock, "--moves", "50"]),
        (2, &["compare", "no-such.toml"]),
        (0, &["check", &layout]),
        (1, &["check", &bad]),
        (2, &["check", "Cargo.toml"]),
        (0, &["completions", "fish"]),
        (2, &["completions", "no-such-shell"]),
        (0, &["man"]),
        (2, &["man", "--no-such-flag"]),
    ];
    for (code, args) in table {
        let run = tabwright(args);
        assert_eq!(
            run.status.code(),
            Some(code),
            "{args:?}: {}{}",
            text(&run.stdout),
            text(&run.stderr)
        );
    }
    // The README's table and each command's help tell the same.
    let readme = std::fs::read_to_string("README.md").expect("the README");
    let help = text(&tabwright(&["check", "--help"]).stdout);
    let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
    for code in ["0", "2", "130"] {
        let row = readme.lines().find_map(|l| l.strip_prefix(&format!("| {code} | ")));
        let row = row.and_then(|r| r.strip_suffix(" |")).expect("a row of the table");
        assert!(help.contains(&format!("{code} {row}")), "{code} {row}");
    }
    let row = readme.lines().find(|l| l.starts_with("| 1 | ")).expect("the row of exit code 1");
    for command in ["begin", "inspect", "nest", "tabs", "compare", "check"] {
        let help = text(&tabwright(&[command, "--help"]).stdout);
        let no =
            help.split("the answer is no: ").nth(1).and_then(|s| s.lines().next()).expect("its no");
        assert!(
            row.contains(
                &format!("`{command}`: {no}")
                    .replace("--bits", "`--bits`")
                    .replace("--all", "`--all`")
            ),
            "{command}: {no}"
        );
    }
}

#[test]
fn what_is_wrong_with_a_file_is_said_in_words() {
    let out = folder();
    let at = |name: &str| out.path().join(name);
    std::fs::write(at("taken"), "here first").expect("written");
    std::fs::write(at("latin.toml"), b"title = 'x'\n# caf\xe9\n").expect("written");
    std::fs::write(at("packed.svg"), [0x1f, 0x8b, 8, 0]).expect("written");
    let name = |n: &str| at(n).display().to_string();
    let long = format!("{}/{}", out.path().display(), "x".repeat(300));
    let mut cases = vec![
        (vec!["inspect".into(), name("gone.svg")], "gone.svg: there is no such file"),
        (
            vec!["inspect".into(), out.path().display().to_string()],
            "is a folder: name a file in it",
        ),
        (vec!["inspect".into(), name("packed.svg")], "the file is compressed (gzip)"),
        (vec!["nest".into(), name("latin.toml")], "line 2 is not UTF-8 text"),
    ];
    let into = |folder: &str| {
        let mut args: Vec<String> = vec!["nest".into()];
        args.extend(ONE.map(String::from));
        args.extend(["-o".into(), folder.into()]);
        args
    };
    let (taken, below) = (name("taken"), name("taken/deeper"));
    cases.push((into(&taken), "taken: this is a file: -o needs a folder"));
    cases.push((into(&below), "a part of this path is a file"));
    cases.push((into(&long), "the file system refuses this name"));
    if cfg!(target_os = "linux") {
        cases.push((into("/proc/tabwright"), "/proc/tabwright: "));
    }
    for (args, said) in cases {
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let start = std::time::Instant::now();
        let run = tabwright(&args);
        let err = text(&run.stderr);
        assert_eq!(run.status.code(), Some(2), "{args:?}: {err}");
        assert!(err.contains(said), "{args:?}: {err}");
        assert!(!err.contains("os error"), "{err}");
        assert_eq!(
            text(&run.stdout),
            "",
            "{args:?}: told before anything is made, after {:?}",
            start.elapsed()
        );
    }
    assert_eq!(std::fs::read_to_string(at("taken")).expect("it is there"), "here first");
    // A folder where a file must go is found before any file is replaced, and nothing is left behind.
    let target = at("into");
    std::fs::create_dir_all(target.join("report.html")).expect("made");
    let run = nest(&ONE, &target);
    assert_eq!(run.status.code(), Some(2), "{}", text(&run.stderr));
    assert!(
        text(&run.stderr).contains("report.html: a folder is where this file must go"),
        "{}",
        text(&run.stderr)
    );
    let left: Vec<_> = std::fs::read_dir(&target).expect("the folder").collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

/// Lost output is not a success: standard output on a full disk.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_standard_output_is_exit_2() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("/dev/full");
    let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .arg("man")
        .stdout(full)
        .output()
        .expect("it starts");
    assert_eq!(run.status.code(), Some(2));
    assert!(
        text(&run.stderr).contains("standard output: the disk is full"),
        "{}",
        text(&run.stderr)
    );
}
