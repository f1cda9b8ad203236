//! The rules of the house, checked in the sources: which stage uses which, and which touches the outside world.
//!
//! The plan is the table of stages in DEVELOPERS.md, its column `uses`. The sources are parsed (crate `syn`), so that
//! grouped imports, renamed ones, paths written in place and paths inside macros all count, wherever in a file they stand.

mod house_support;

use house_support::circles::{circles, of_files, of_rooms};
use house_support::{Function, Named, Source, program, read};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use tabwright::export::{GLOSSARY, Term};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The program's sources, and the files that only tests use.
fn sources() -> &'static (Vec<Source>, Vec<PathBuf>) {
    static READ: OnceLock<(Vec<Source>, Vec<PathBuf>)> = OnceLock::new();
    READ.get_or_init(|| program(&root().join("src")))
}

/// The stage of a source; `None` for `lib.rs` and `main.rs`.
fn stage(source: &Source) -> Option<&str> {
    source.module.first().map(String::as_str)
}

/// The stage that a path within the crate leads into; `Some("")` if it names the crate's root itself.
fn into_stage(path: &[String]) -> Option<&str> {
    (path[0] == "crate").then(|| path.get(1).map_or("", String::as_str))
}

/// Each stage and those it may use, by the table of DEVELOPERS.md; `all` means every stage above it.
fn plan() -> BTreeMap<String, BTreeSet<String>> {
    let text = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let rows = text.lines().skip_while(|l| !l.starts_with("| folder |")).skip(2);
    let mut plan = BTreeMap::new();
    for row in rows.take_while(|l| l.starts_with('|')) {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        let stage = cells[1].trim_matches('`').trim_end_matches(".rs").to_string();
        let uses = match cells[4] {
            "-" => BTreeSet::new(),
            "all" => plan.keys().cloned().collect(),
            list => list.split(", ").map(String::from).collect(),
        };
        // Rows above only: so no stage is used, however far round, by one that it uses.
        let above = uses.iter().all(|u: &String| plan.contains_key(u));
        assert!(above, "{stage} uses {uses:?}: not all stand above it in the table");
        plan.insert(stage, uses);
    }
    plan
}

/// Each stage that a source uses, except its own, with the first place that names it.
fn used(source: &Source) -> BTreeMap<&str, &Named> {
    let mut used = BTreeMap::new();
    for named in &source.paths {
        if let Some(to) = into_stage(&named.path).filter(|to| Some(*to) != stage(source)) {
            used.entry(to).or_insert(named);
        }
    }
    used
}

/// The uses of stages that the plan does not allow to a source.
fn trespasses(source: &Source, plan: &BTreeMap<String, BTreeSet<String>>) -> Vec<String> {
    let Some(own) = stage(source) else { return vec![] };
    let refused = |to: &str| !plan.get(own).is_some_and(|allowed| allowed.contains(to));
    let words = |n: &Named| format!("{}: {own} uses {}", n.place, n.path.join("::"));
    used(source).into_iter().filter(|u| refused(u.0)).map(|u| words(u.1)).collect()
}

/// Names that read or write the world outside the program: of the standard library, and of crates made for it.
const WORLD: &[&[&str]] = &[
    &["std", "fs"],
    &["std", "env"],
    &["std", "net"],
    &["std", "process"],
    &["std", "os"],
    &["std", "io", "stdin"],
    &["std", "io", "stdout"],
    &["std", "io", "stderr"],
    &["std", "io", "prelude"],
    &["clap"],
    &["ctrlc"],
    &["indicatif"],
    &["tempfile"],
];
const PRINTING: &[&str] = &["print", "println", "eprint", "eprintln", "dbg"];

/// Where a source touches the world.
fn touches(source: &Source) -> Vec<String> {
    let outside = |n: &&Named| {
        WORLD.iter().any(|w| n.path.len() >= w.len() && n.path.iter().zip(*w).all(|(a, b)| a == b))
    };
    let prints = |n: &&Named| n.path.last().is_some_and(|m| PRINTING.contains(&m.as_str()));
    let paths = source.paths.iter().filter(outside);
    let macros = source.macros.iter().filter(prints);
    paths.chain(macros).map(|n| format!("{}: {}", n.place, n.path.join("::"))).collect()
}

fn none(found: Vec<String>) {
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}

#[test]
fn every_file_under_src_is_read() {
    let src = root().join("src");
    let (sources, tests) = sources();
    let read: BTreeSet<PathBuf> = sources.iter().map(|s| &s.file).chain(tests).cloned().collect();
    let mut open = vec![src];
    let mut files = BTreeSet::new();
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(&folder).expect("a source folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                files.insert(path);
            }
        }
    }
    assert_eq!(read, files);
}

#[test]
fn each_stage_uses_only_what_the_table_of_stages_gives_it() {
    let (plan, sources) = (plan(), &sources().0);
    let stages: BTreeSet<String> = sources.iter().filter_map(stage).map(String::from).collect();
    assert_eq!(stages, plan.keys().cloned().collect(), "stages in src, and in DEVELOPERS.md");
    none(sources.iter().flat_map(|s| trespasses(s, &plan)).collect());
}

#[test]
fn the_table_of_stages_keeps_its_promises() {
    let plan = plan();
    let uses = |stage: &str| plan[stage].iter().map(String::as_str).collect::<Vec<_>>();
    assert_eq!(uses("geometry"), [""; 0]);
    assert_eq!(uses("verify"), ["geometry", "layout"]);
    for never in ["nest", "flow", "cli"] {
        assert!(!plan["export"].contains(never), "export uses {never}");
    }
}

#[test]
fn only_the_command_line_touches_files_and_the_terminal() {
    let core = |s: &&Source| !["cli"].contains(&stage(s).unwrap_or("cli"));
    none(sources().0.iter().filter(core).flat_map(touches).collect());
}

/// Stages without words for people: `export` makes the words, from values.
const WORDLESS: &[&str] =
    &["hold", "nest", "cut", "flow", "mechanics", "geometry", "verify", "drawing", "job"];
/// Stages in which no decision depends on a sentence.
const DECIDING: &[&str] =
    &["hold", "nest", "cut", "flow", "mechanics", "layout", "export", "verify"];

fn of_stages<'a>(stages: &'a [&str]) -> impl Iterator<Item = &'static Source> + 'a {
    sources().0.iter().filter(|s| stages.contains(&stage(s).unwrap_or("")))
}

#[test]
fn words_for_people_are_made_in_export_alone() {
    let said = |s: &Source| -> Vec<String> {
        s.sentences.iter().map(|n| format!("{}: {}", n.place, n.path.join(" "))).collect()
    };
    // The table of materials holds names and sources, as people buy and cite them.
    let table = |s: &&Source| !s.file.ends_with("job/material.rs");
    none(of_stages(WORDLESS).filter(table).flat_map(said).collect());
}

/// Names that are used in more than one place.
fn shared(named: impl Iterator<Item = (String, String)>) -> Vec<String> {
    let mut places: BTreeMap<String, Vec<String>> = BTreeMap::new();
    named.for_each(|(name, place)| places.entry(name).or_default().push(place));
    let several = places.into_iter().filter(|(_, places)| places.len() > 1);
    several.map(|(name, places)| format!("{name}: {}", places.join(", "))).collect()
}

#[test]
fn each_type_name_stands_for_one_thing() {
    let of = |sources: &[Source]| {
        let types = sources.iter().flat_map(|s| &s.types);
        shared(types.map(|t| (t.path[0].clone(), t.place.clone())).collect::<Vec<_>>().into_iter())
    };
    none(of(&sources().0));
    let twice = "struct Row; mod inner { enum Row {} } #[cfg(test)] mod tests { type Row = u8; }";
    let found = of(&[sample("nest::rows", twice), sample("export::table", "trait Row {}")]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].matches(", ").count(), 2, "{found:?}");
}

/// A file's name says what is in it. A noun's words are in `export` under the noun's name, and `cli` has one file for each
/// command; so these two may repeat a name of the stages.
#[test]
fn each_file_name_stands_for_one_noun() {
    let own = sources().0.iter().filter(|s| !matches!(stage(s), Some("export" | "cli")));
    let named = own.filter(|s| !s.file.ends_with("mod.rs")).map(|s| {
        let name = s.file.file_name().map(|n| n.to_string_lossy().into_owned());
        (name.unwrap_or_default(), s.file.display().to_string())
    });
    none(shared(named));
}

#[test]
fn nothing_is_decided_by_a_sentence() {
    let probes = |s: &Source| -> Vec<String> {
        s.probes.iter().map(|n| format!("{}: {}", n.place, n.path.join("."))).collect()
    };
    none(of_stages(DECIDING).flat_map(probes).collect());
}

#[test]
fn a_sentence_and_a_decision_by_one_are_found_however_they_are_written() {
    let found = |text: &str| {
        let source = sample("hold::judge", text);
        (source.sentences.len(), source.probes.len())
    };
    for (text, sentences, probes) in [
        ("fn f() -> String { \"the part moves too far\".into() }", 1, 0),
        ("fn f(n: u8) -> String { format!(\"{n} tabs hold it so, no more\") }", 1, 0),
        ("const WHY: &str = \"no straight run is long enough\";", 1, 0),
        ("fn f(h: &Hold) -> bool { h.why.contains(&other) }", 0, 1),
        ("fn f(m: &Margin) -> bool { m.what.starts_with(\"movement\") }", 0, 1),
        ("fn f(w: &str) -> bool { matches!(w.split_once(\": \"), Some(_)) }", 0, 1),
        ("fn f(w: &str) { assert!(w.message.replace(a, b) == c); }", 0, 1),
        ("/// Which part moves too far.\nfn f() {}", 0, 0),
        ("#[error(\"the layout did not pass its own check\")] struct E;", 0, 0),
        ("fn f() -> &'static str { \"rolling shear\" }", 0, 0),
        ("fn f() -> String { format!(\"<path d={} stroke={} width={} height={}/>\") }", 0, 0),
        ("fn f(v: &[u8], r: Range) -> bool { v.contains(&1) || r.contains(&2) }", 0, 0),
        ("#[cfg(test)] mod tests { fn f(w: &str) -> bool { w.contains(\"a b c d e\") } }", 0, 0),
    ] {
        assert_eq!(found(text), (sentences, probes), "{text}");
    }
}

/// Widest comment line: comments are read beside one another in two windows (rustfmt's own setting for it is
/// not stable).
const COMMENT: usize = 132;

#[test]
fn no_comment_is_wider_than_a_window() {
    let wide = |s: &Source| -> Vec<String> {
        let text = std::fs::read_to_string(&s.file).expect("a source");
        let lines = text.lines().enumerate();
        let wide =
            lines.filter(|(_, l)| l.trim_start().starts_with("//") && l.chars().count() > COMMENT);
        wide.map(|(i, l)| format!("{}:{}: {}", s.file.display(), i + 1, l.len())).collect()
    };
    none(sources().0.iter().flat_map(wide).collect());
}

/// Most lines of a function, and most arguments beside the receiver.
const LINES: usize = 60;
const ARGUMENTS: usize = 5;

/// The functions of a source that are too long or take too much. A table of words, one row a case, is as long as it has rows.
fn too_large(source: &Source) -> Vec<String> {
    let words = stage(source) == Some("export");
    let lines = |f: &Function| if words { f.lines - f.table } else { f.lines };
    let large = |f: &&Function| lines(f) > LINES || f.arguments > ARGUMENTS;
    let told = |f: &Function| {
        format!("{}: {} has {} lines, {} arguments", f.place, f.name, lines(f), f.arguments)
    };
    source.functions.iter().filter(large).map(told).collect()
}

#[test]
fn functions_are_short_and_take_few_arguments() {
    let count: usize = sources().0.iter().map(|s| s.functions.len()).sum();
    assert!(count > 1500, "{count} functions that were found");
    none(sources().0.iter().flat_map(too_large).collect());
    let found = |module: &str, text: &str| too_large(&sample(module, text)).len();
    let rows = "\n1 => 1,".repeat(60);
    let table = format!("fn f(n: u8) -> u8 {{ match n {{ {rows}\n _ => 0, }} }}");
    assert_eq!((found("export::words", &table), found("nest::fill", &table)), (0, 1));
    let six = "(a: u8, b: u8, c: u8, d: u8, e: u8, f: u8)";
    for bad in [
        format!("fn f{six} {{}}"),
        format!("struct A; impl A {{ fn f{} {{}} }}", six.replace("(a", "(&self, a")),
        format!("mod inner {{ fn f() {{ fn g() {{ {} }} }} }}", "a();\n".repeat(60)),
    ] {
        assert!(found("nest::fill", &bad) > 0, "{bad}");
    }
    for good in [
        "struct A; impl A { fn f(&self, a: u8, b: u8, c: u8, d: u8, e: u8) {} }".to_string(),
        format!("#[cfg(test)] mod tests {{ fn f{six} {{}} }}"),
        format!("fn f() {{ {} }}", "a();\n".repeat(59)),
    ] {
        assert_eq!(found("nest::fill", &good), 0, "{good}");
    }
}

#[test]
fn files_and_rooms_use_one_another_one_way() {
    let files = of_files(&sources().0);
    assert!(files.values().map(|u| u.len()).sum::<usize>() > 500, "uses that were found");
    let all = circles(&files).into_iter().chain(circles(&of_rooms(&files)));
    none(all.flat_map(|c| c.1).collect());
}

/// A source in the form that this test reads.
fn sample(module: &str, text: &str) -> Source {
    read(text, Path::new("sample.rs"), module.split("::").map(String::from).collect()).0
}

#[test]
fn a_trespass_is_found_however_it_is_written() {
    let plan = plan();
    let found = |text: &str| trespasses(&sample("verify::rings", text), &plan).len();
    for bad in [
        "use crate::nest;",
        "use crate::{geometry::Ring, nest::{self, Problem}};",
        "use crate::hold as anything;",
        "use super::super::cut::plan_cut;",
        "use crate::*;",
        "use crate as all;",
        "fn f() { let x = crate::nest::nest(1); }",
        "fn f(x: &[Box<crate::job::Job>]) {}",
        "fn f() { if let Some(crate::flow::Made { .. }) = x {} }",
        "fn f() { assert!(true, \"{}\", crate::export::summary(1)); }",
        "#[cfg(test)] mod tests { use crate::job::Job; } fn f() -> crate::cli::Answer {}",
        "#[cfg(not(test))] use crate::nest;",
        "mod inner { use super::super::super::nest; }",
        "impl crate::drawing::Read for X {}",
        "macro_rules! m { () => { $crate::nest::nest() }; }",
    ] {
        assert_eq!(found(bad), 1, "{bad}");
    }
    for good in [
        "use crate::{geometry::Ring, layout::{self, Sheet}};",
        "use super::problem::Problem; use super::*; use self::x;",
        "mod inner { use super::super::Rules; }",
        "#[cfg(test)] mod tests { use crate::nest; fn f() { crate::cut::plan_cut(1); } }",
        "#[cfg(all(test, unix))] fn f() { crate::cut::plan_cut(1); }",
        "/// As [`crate::nest`] does.\nfn nest() {} pub(crate) fn f() { let nest = a.nest; nest(); }",
        "fn f() { println!(\"crate::nest {}\", super::rules()); }",
    ] {
        assert_eq!(found(good), 0, "{good}");
    }
}

#[test]
fn touching_the_world_is_found_however_it_is_written() {
    let found = |text: &str| touches(&sample("flow::group", text)).len();
    for bad in [
        "use std::fs;",
        "use std::{fmt, fs::File as Opened};",
        "fn f() { std::env::var(\"X\"); }",
        "use std::io; fn f() { io::stdout(); }",
        "use std::io::{self as pipes}; fn f() { pipes::stderr(); }",
        "fn f() { println!(\"x\"); }",
        "fn f() { assert!(true, \"{}\", { eprintln!(\"x\"); 1 }); }",
        "fn f() { std::process::exit(1); }",
        "#[cfg(test)] mod tests { } fn f() { dbg!(1); }",
    ] {
        assert_eq!(found(bad), 1, "{bad}");
    }
    for good in [
        "use std::io::{self, Write}; fn f(w: &mut dyn Write) -> io::Result<()> { w.flush() }",
        "#[cfg(test)] mod tests { fn f() { println!(\"{}\", std::env::var(\"X\").unwrap()); } }",
        "fn f() { write!(w, \"std::fs\"); }",
    ] {
        assert_eq!(found(good), 0, "{good}");
    }
}

#[test]
fn the_word_list_is_that_of_the_page() {
    let text = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let rows = text.lines().skip_while(|l| !l.starts_with("| word |")).skip(2);
    let told: Vec<&str> = rows.take_while(|l| l.starts_with('|')).collect();
    let row = |t: &Term| {
        format!("| {} | {} | {} |", t.word, t.means, if t.also.is_empty() { "-" } else { t.also })
    };
    let words: Vec<String> = GLOSSARY.iter().map(row).collect();
    assert_eq!(told, words, "DEVELOPERS.md, and src/export/glossary.rs");
    assert!(GLOSSARY.is_sorted_by(|a, b| a.word < b.word), "in alphabetical order, each word once");
    for Term { word, means, also } in GLOSSARY {
        let plain = |c: char| c.is_ascii() && !"|<>&\"`".contains(c) && !c.is_ascii_control();
        let text = [*word, *means, *also].concat();
        assert!(
            text.chars().all(plain),
            "{word}: no marks that a table or a page would take as its own"
        );
        assert!(!means.is_empty() && !means.ends_with('.'), "{word}: {means}");
    }
}

#[test]
fn the_plan_of_the_house_is_read_in_one_sitting() {
    let text = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    assert!(text.lines().count() <= 130, "{} lines", text.lines().count());
    assert!(text.lines().all(|l| l.chars().count() <= 210), "a line of more than 210 characters");
}

#[test]
fn a_circle_is_found_however_it_is_written() {
    let found = |files: &[(&str, &str)]| {
        let sources: Vec<Source> = files.iter().map(|(m, t)| sample(m, t)).collect();
        let files = of_files(&sources);
        (circles(&files).len(), circles(&of_rooms(&files)).len())
    };
    let a = |text| ("hold::part::a", text);
    let b = |text| ("hold::part::b", text);
    let door = ("hold::part", "mod a; mod b; pub use a::A;");
    for bad in [
        [a("use super::b::B;"), b("use super::a::A;")],
        [a("use crate::hold::part::{b::B, c};"), b("use super::A;")],
        [a("use super::b; fn f() { b::f(); }"), b("fn f(x: super::A) {}")],
        [a("fn f() { assert!(crate::hold::part::b::f()); }"), b("use crate::hold::part::A as X;")],
    ] {
        assert_eq!(found(&[door, bad[0], bad[1]]), (1, 0), "{bad:?}");
    }
    for good in [
        [a("use super::b::B;"), b("use crate::geometry::A;")],
        [a("use super::b::B;"), b("#[cfg(test)] mod tests { use super::super::a::A; }")],
        [a("use super::b::B;"), b("/// As [`super::a::A`].\nfn a() { a(); }")],
    ] {
        assert_eq!(found(&[door, good[0], good[1]]), (0, 0), "{good:?}");
    }
    // No file uses itself round any way, but the rooms do.
    let rooms = [
        ("hold::part::a", "use crate::hold::fem::x::X;"),
        ("hold::fem::x", ""),
        ("hold::fem::y", "use crate::hold::part::b::B;"),
        ("hold::part::b", ""),
    ];
    assert_eq!(found(&rooms), (0, 1));
    // A file and those in its own folder.
    let own = [("hold::a", "mod b; use b::B; pub struct A;"), ("hold::a::b", "use super::A;")];
    assert_eq!(found(&own), (1, 0));
}
