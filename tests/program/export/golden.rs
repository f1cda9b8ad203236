//! Exports against files that a person has looked at. `TABWRIGHT_REWRITE=1 cargo test --test program export`
//! writes them again; look at the difference before committing it.

use super::{fixture, page};
use tabwright::export::{layout_json, sheet_svg, summary};
use tabwright::units::Units;

/// Compares with `tests/program/export/golden/<name>`, numbers rounded to 0.01 so that only what matters counts.
fn golden(name: &str, text: &str) {
    let path = format!("{}/tests/program/export/golden/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = rounded(text);
    if std::env::var_os("TABWRIGHT_REWRITE").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    let first = text.lines().zip(expected.lines()).position(|(a, b)| a != b);
    assert!(
        text == expected,
        "{path} differs from line {}; see the head of tests/program/export/golden.rs",
        first.map_or(text.lines().count().min(expected.lines().count()), |n| n) + 1
    );
}

/// Every decimal number rounded to two decimals.
fn rounded(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        out.push_str(&rest[..start]);
        let tail = &rest[start..];
        let whole = tail.find(|c: char| !c.is_ascii_digit()).unwrap_or(tail.len());
        let after = &tail[whole..];
        let decimals = match after.strip_prefix('.') {
            Some(d) => d.find(|c: char| !c.is_ascii_digit()).unwrap_or(d.len()),
            None => 0,
        };
        let end = if decimals > 0 { whole + 1 + decimals } else { whole };
        match (decimals > 2, tail[..end].parse::<f64>()) {
            (true, Ok(value)) => out.push_str(&format!("{value:.2}")),
            _ => out.push_str(&tail[..end]),
        }
        rest = &tail[end..];
    }
    out.push_str(rest);
    out
}

#[test]
fn sheet_with_one_of_everything() {
    let (layout, cuts) = fixture::small();
    golden("sheet-with-one-of-everything.svg", &sheet_svg(&layout.sheets[0], &cuts[0], Units::Mm));
}

#[test]
fn offcut_with_a_skin() {
    let (layout, cuts) = fixture::small();
    golden("offcut-with-a-skin.svg", &sheet_svg(&layout.sheets[1], &cuts[1], Units::Mm));
}

#[test]
fn page_in_mm_and_inches() {
    let (layout, cuts) = fixture::small();
    golden("page-in-mm.html", &page(&layout, &cuts, Units::Mm));
    golden("page-in-inches.html", &page(&layout, &cuts, Units::In));
}

#[test]
fn summary_of_a_job_with_parts_left_over() {
    let (layout, cuts) = fixture::small();
    golden("summary.txt", &summary(&layout, &cuts, Units::Mm));
    golden("summary-in-inches.txt", &summary(&layout, &cuts, Units::In));
}

#[test]
fn layout_file() {
    let (layout, _) = fixture::small();
    golden("layout.json", &layout_json(&layout).unwrap());
}
