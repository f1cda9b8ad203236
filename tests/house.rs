//! What the house's plan promises, read from the sources.

use std::fs;
use std::path::{Path, PathBuf};

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a source folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") && !path.ends_with("tests.rs") {
            found.push(path);
        }
    }
}

fn of(stage: &str) -> Vec<(PathBuf, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(stage);
    let mut paths = vec![];
    sources(&folder, &mut paths);
    assert!(!paths.is_empty(), "{stage} has sources");
    paths.into_iter().map(|p| (p.clone(), fs::read_to_string(p).expect("a source"))).collect()
}

/// The program text of a file without its comments and tests.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]").next().unwrap_or(text);
    let line = |l: &&str| !l.trim_start().starts_with("//");
    text.lines().filter(line).collect::<Vec<_>>().join("\n")
}

fn refuse(stage: &str, forbidden: &[&str]) {
    for (path, text) in of(stage) {
        for word in forbidden {
            assert!(!code(&text).contains(word), "{} uses {word}", path.display());
        }
    }
}

#[test]
fn verify_knows_nothing_of_how_a_layout_was_made() {
    let stages = ["nest", "hold", "cut", "job", "drawing", "export", "flow", "cli"];
    let words: Vec<String> = stages.iter().map(|s| format!("crate::{s}")).collect();
    refuse("verify", &words.iter().map(String::as_str).collect::<Vec<_>>());
}

#[test]
fn export_never_nests_and_later_stages_are_not_used_by_earlier_ones() {
    refuse("export", &["crate::nest", "crate::flow", "crate::cli"]);
    refuse("geometry", &["crate::"]);
    refuse("layout", &["crate::nest", "crate::hold", "crate::cut", "crate::job", "crate::drawing"]);
    refuse("drawing", &["crate::nest", "crate::hold", "crate::cut", "crate::job", "crate::flow"]);
    refuse("job", &["crate::nest", "crate::hold", "crate::cut", "crate::flow"]);
    refuse("hold", &["crate::nest", "crate::cut", "crate::flow"]);
    refuse("nest", &["crate::hold", "crate::cut", "crate::flow", "crate::export"]);
    refuse("cut", &["crate::nest", "crate::hold", "crate::flow", "crate::export"]);
}

#[test]
fn only_the_command_line_touches_files_and_the_terminal() {
    let io = ["std::fs", "std::env", "println!", "eprintln!", "print!(", "stdout()", "stdin()"];
    for stage in
        ["geometry", "layout", "drawing", "job", "hold", "nest", "cut", "verify", "export", "flow"]
    {
        refuse(stage, &io);
    }
}
