//! The list of keys is the parser's, and all that is said of keys is made from it.
//!
//! With `TABWRIGHT_REWRITE=1` the reference and the README's table are written anew.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;
use tabwright::drawing::{ReadOptions, read};
use tabwright::export::{KEYS, keys_markdown, keys_roff, keys_text, reference_toml};
use tabwright::job::{Drawings, IssueKind, JobFile, build, question, read_options};

/// Each table of the list, with a job file that has an unknown key in it.
const TABLES: [(&str, &str); 13] = [
    ("", "0zzq = 1"),
    ("[reading]", "[reading]\n0zzq = 1"),
    ("a mark", "[marks]\npocket = { 0zzq = 1 }"),
    ("[holding]", "[holding]\n0zzq = 1"),
    ("[[material]]", "[[material]]\n0zzq = 1"),
    ("[[cutting-force]]", "[[cutting-force]]\n0zzq = 1"),
    ("[[bit]]", "[[bit]]\n0zzq = 1"),
    ("[[stock]]", "[[stock]]\n0zzq = 1"),
    ("an area", "[[stock]]\nkeep-clear = [{ 0zzq = 1 }]"),
    ("[[drawing]]", "[[drawing]]\n0zzq = 1"),
    ("[[part]]", "[[part]]\n0zzq = 1"),
    ("a place", "[[part]]\npin = [{ 0zzq = 1 }]"),
    ("[marks]", ""),
];

/// The keys that the parser's own structs have, as it lists them for an unknown one.
fn of_parser(table: &str, job: &str) -> BTreeSet<String> {
    let tables = [
        "reading",
        "marks",
        "holding",
        "material",
        "cutting-force",
        "bit",
        "stock",
        "drawing",
        "part",
    ];
    if table == "[marks]" {
        // Its keys are words that the job's checker knows.
        let file = JobFile::parse("[marks]\nzzq = { dash = true }").expect("a job");
        let issues = read_options(&file, None).expect_err("no such mark").0;
        let IssueKind::UnknownMark { known } = &issues[0].kind else { panic!("{issues:?}") };
        return known.iter().map(|k| k.to_string()).collect();
    }
    let issue = JobFile::parse(job).expect_err("an unknown key is refused");
    let IssueKind::UnknownKey { known, .. } = issue.kind else { panic!("{issue:?}") };
    let own = known.into_iter().filter(|k| !table.is_empty() || !tables.contains(&k.as_str()));
    own.collect()
}

#[test]
fn the_list_of_keys_is_the_parsers() {
    let listed: BTreeSet<&str> = KEYS.iter().map(|k| k.table.as_str()).collect();
    assert_eq!(listed, TABLES.iter().map(|t| t.0).collect());
    for (table, job) in TABLES {
        let told: Vec<&str> =
            KEYS.iter().filter(|k| k.table == table).map(|k| k.name.as_str()).collect();
        let once: BTreeSet<String> = told.iter().map(|k| k.to_string()).collect();
        assert_eq!(once.len(), told.len(), "{table}: each key once");
        assert_eq!(once, of_parser(table, job), "{table}: src/export/keys.csv, and the parser");
    }
    for key in KEYS.iter() {
        let cells = [&key.takes, &key.default, &key.example, &key.means];
        assert!(cells.iter().all(|c| !c.trim().is_empty()), "{key:?}");
    }
}

fn at_home(file: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(file)
}

#[test]
fn the_reference_has_every_key_and_is_a_job() {
    let made = reference_toml();
    let path = at_home("samples/reference.toml");
    if std::env::var_os("TABWRIGHT_REWRITE").is_some() {
        std::fs::write(&path, &made).expect("written");
    }
    let text = std::fs::read_to_string(&path).expect("samples/reference.toml");
    assert!(
        text == made,
        "samples/reference.toml is not what src/export/keys.csv makes: rewrite it"
    );
    // It is a job: nothing in it is refused.
    let file = JobFile::parse(&text).expect("a job");
    let name = "one-drawing/part.svg";
    let svg = std::fs::read_to_string(at_home("samples").join(name)).expect("the sample");
    let options = read_options(&file, file.drawings.first()).expect("options");
    let drawing = read(&svg, name, &options).expect("a drawing");
    let drawings = Drawings::from([(name.to_string(), drawing)]);
    let (job, _) = build(&file, &drawings).unwrap_or_else(|e| panic!("{e:?}"));
    assert!(job.left_out.is_empty() && !job.parts.is_empty(), "{:?}", job.left_out);
    assert_eq!(question(&file), [], "nothing in it is odd");
    // With its comments' keys switched on, too, every key has a value that the parser takes.
    let on: String = text
        .lines()
        .map(|l| match l.strip_prefix("# ").filter(|l| l.contains(" = ") && !l.contains(": ")) {
            Some(key) => format!("{key}\n"),
            None => format!("{l}\n"),
        })
        .collect();
    JobFile::parse(&on).unwrap_or_else(|e| panic!("{e:?}"));
    for key in KEYS.iter() {
        let written = match key.table.starts_with('a') {
            true => text.contains(&format!("# {}: ", key.name)),
            false => on.lines().any(|l| l == format!("{} = {}", key.name, key.example)),
        };
        assert!(written, "{key:?}");
    }
}

#[test]
fn the_readmes_table_is_made_from_the_list() {
    let path = at_home("README.md");
    let text = std::fs::read_to_string(&path).expect("README.md");
    let (start, end) = ("<!-- keys: made by tests/program/keys.rs -->\n", "<!-- end of keys -->");
    let (before, rest) = text.split_once(start).expect("the mark before the table");
    let (table, after) = rest.split_once(end).expect("the mark behind the table");
    let made = keys_markdown();
    if std::env::var_os("TABWRIGHT_REWRITE").is_some() {
        std::fs::write(&path, format!("{before}{start}{made}{end}{after}")).expect("written");
        return;
    }
    assert_eq!(table, made, "the README's table of keys, and src/export/keys.csv: rewrite it");
}

#[test]
fn the_terminal_and_the_man_page_tell_every_key() {
    let (text, man) = (keys_text(None), keys_roff());
    for key in KEYS.iter() {
        let told = format!("  {} = {}\n", key.name, key.example);
        assert!(text.contains(&told), "{told}");
        assert!(man.contains(&key.name.replace('-', "\\-")), "{}", key.name);
    }
    assert!(text.lines().all(|l| l.chars().count() <= 132), "lines for a terminal");
    let some = keys_text(Some("margin"));
    assert!(some.contains("margin") && !some.contains("diameter"), "{some}");
    assert!(keys_text(Some("bit")).contains("diameter"), "a table's keys");
    let run = |args: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_tabwright")).args(args).output();
        output.expect("the program starts")
    };
    let near = run(&["keys", "thicknes-of-it"]);
    assert_eq!(near.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&near.stderr).contains("did you mean 'thickness'"));
    assert_eq!(run(&["keys"]).stdout, text.as_bytes());
    assert!(String::from_utf8_lossy(&run(&["man"]).stdout).contains(&man));
}

/// The options that no file sets are the defaults that the list tells: 0.05 mm, 0.01 mm, 1 mm.
#[test]
fn told_defaults_of_reading_are_those_in_use() {
    let options = ReadOptions::default();
    for (name, mm) in [
        ("join", options.join),
        ("chord-error", options.chord_error),
        ("min-size", options.min_size),
    ] {
        let key = KEYS.iter().find(|k| k.table == "[reading]" && k.name == name).expect("a key");
        assert_eq!(key.default, format!("{mm} mm"), "{name}");
    }
}
