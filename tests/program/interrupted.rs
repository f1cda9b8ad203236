//! What a run leaves behind that a second Ctrl-C ends.
#![cfg(unix)]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Runs the largest sample into a folder and interrupts it twice as soon as `begun` holds; the exit code.
fn ended_at_once(out: &Path, begun: impl Fn() -> bool) -> Option<i32> {
    let mut run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .args(["nest", "samples/tide-clock/job.toml", "--threads", "1", "-q", "-o"])
        .arg(out)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let start = Instant::now();
    while !begun() && start.elapsed() < Duration::from_secs(60) {
        std::thread::sleep(Duration::from_millis(5));
    }
    loop {
        if let Some(status) = run.try_wait().expect("its state") {
            return status.code();
        }
        let kill = format!("kill -INT {}", run.id());
        Command::new("sh").args(["-c", &kill]).stderr(Stdio::null()).status().expect("a shell");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// Folders that the run has made go again, from the innermost out; those that were there stay.
#[test]
fn a_second_interrupt_leaves_no_folder_of_its_own() {
    let folder = tempfile::tempdir().expect("a folder");
    let there = folder.path().join("there");
    std::fs::create_dir(&there).expect("a folder");
    let made = there.join("new/out");
    assert_eq!(ended_at_once(&made, || made.is_dir()), Some(130));
    assert!(there.is_dir() && !there.join("new").exists());
    // Interrupted only once the drawings are read: half a second is less than the search takes.
    let start = Instant::now();
    assert_eq!(ended_at_once(&there, || start.elapsed() > Duration::from_millis(500)), Some(130));
    assert!(there.is_dir(), "a folder of the user's own");
}

/// Stopped once, `compare` tells what it knows, and says in text, JSON and page that it was stopped.
#[test]
fn a_comparison_stopped_once_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .args(["compare", "samples/tide-clock/job.toml", "--threads", "1", "--json", "-o"])
        .arg(folder.path())
        .args(["--sizes", "8x12in,12x12in,12x24in,6x24in"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    // The drawings are read, and the choices are not worked out: that takes a minute.
    std::thread::sleep(Duration::from_millis(1500));
    let kill = format!("kill -INT {}", run.id());
    Command::new("sh").args(["-c", &kill]).status().expect("a shell");
    let output = run.wait_with_output().expect("its answer");
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(told["interrupted"], true);
    assert!(told["groups"].as_array().is_some_and(|groups| !groups.is_empty()));
    let page = std::fs::read_to_string(folder.path().join("compare.html")).expect("a page");
    assert!(page.contains("Interrupted:"), "the title says it");
}
