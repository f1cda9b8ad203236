//! Every key of the job file, one row each, through the whole program: its effect is known by hand beforehand.
//!
//! Arithmetic only: 1 in = 25.4 mm, a feed over flutes times turns, a plate of 60 x 20 mm that fits a sheet or does not.
//! `every_key_has_a_row` asks the parser itself for the keys, so that a new key without a row fails.

mod case;
mod head;
mod material;
mod parts;
mod questions;
mod tools;

use tabwright::job::{IssueKind, JobFile};

/// A key of the job file, and the test that shows its effect.
pub type Row = (&'static str, fn());

/// Runs each row; a failure names the key.
fn run(rows: &[Row]) {
    let mut deaf = vec![];
    for (key, check) in rows {
        if std::panic::catch_unwind(check).is_err() {
            deaf.push(*key);
        }
    }
    assert!(deaf.is_empty(), "these keys do not do what they should: {deaf:?}");
}

#[test]
fn keys_of_the_job() {
    run(head::JOB);
}

#[test]
fn keys_of_reading_and_marks() {
    run(head::READING);
}

#[test]
fn keys_of_holding_and_cutting_force() {
    run(head::HOLDING);
}

#[test]
fn keys_of_materials() {
    run(material::MATERIAL);
}

#[test]
fn keys_of_bits() {
    run(tools::BIT);
}

#[test]
fn keys_of_stock() {
    run(tools::STOCK);
}

#[test]
fn keys_of_drawings() {
    run(parts::DRAWING);
}

#[test]
fn keys_of_parts() {
    run(parts::PART);
}

#[test]
fn keys_of_pins() {
    run(parts::PIN);
}

/// The keys that a table of the job file takes, as the parser lists them for an unknown key.
fn known(table: &str, job: &str) -> Vec<String> {
    let issue = JobFile::parse(job).expect_err("an unknown key is refused");
    let IssueKind::UnknownKey { known, .. } = issue.kind else { panic!("{issue:?}") };
    known.iter().map(|key| format!("{table}{key}")).collect()
}

#[test]
fn every_key_has_a_row() {
    let rows = [
        head::JOB,
        head::READING,
        head::HOLDING,
        material::MATERIAL,
        tools::BIT,
        tools::STOCK,
        parts::DRAWING,
        parts::PART,
        parts::PIN,
    ];
    let rows: Vec<&str> = rows.concat().iter().map(|r| r.0).collect();
    let tables = [
        ("", "0zzq = 1"),
        ("[reading] ", "[reading]\n0zzq = 1"),
        ("[marks] ", "[marks]\npocket = { 0zzq = 1 }"),
        ("[holding] ", "[holding]\n0zzq = 1"),
        ("[[material]] ", "[[material]]\n0zzq = 1"),
        ("[[cutting-force]] ", "[[cutting-force]]\n0zzq = 1"),
        ("[[bit]] ", "[[bit]]\n0zzq = 1"),
        ("[[stock]] ", "[[stock]]\n0zzq = 1"),
        ("keep-clear ", "[[stock]]\nkeep-clear = [{ 0zzq = 1 }]"),
        ("[[drawing]] ", "[[drawing]]\n0zzq = 1"),
        ("[[part]] ", "[[part]]\n0zzq = 1"),
        ("pin ", "[[part]]\npin = [{ 0zzq = 1 }]"),
    ];
    let mut missing = vec![];
    for (table, job) in tables {
        let keys = known(table, job);
        assert!(keys.len() > 2, "{keys:?}");
        // Tables of their own have rows for each of their keys instead.
        let is_table = |k: &String| {
            [
                "reading",
                "marks",
                "holding",
                "material",
                "cutting-force",
                "bit",
                "stock",
                "drawing",
                "part",
            ]
            .contains(&k.as_str())
                || ["[[stock]] keep-clear", "[[part]] pin"].contains(&k.as_str())
        };
        missing.extend(keys.into_iter().filter(|k| !is_table(k) && !rows.contains(&k.as_str())));
    }
    assert!(missing.is_empty(), "keys without a row: {missing:?}");
}
