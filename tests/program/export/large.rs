//! The tide clock on shelves: a page of a real job's size, left in the target's folder to be looked at.

use super::{fixture, page, unique_ids};
use crate::sample_tide_clock::reading::{job, parts_of, quantities, text_of};
use tabwright::export::{sheet_svg, summary};
use tabwright::geometry::{Ring, point};
use tabwright::layout::{Layout, Remnant};
use tabwright::units::Units;

/// The whole sample, packed plainly.
fn clock() -> Layout {
    let job = job();
    let quantities = quantities(&job);
    let mut layout = Layout::new("Tide clock", 1);
    let groups = [
        ("walnut", 6.0, 600.0, 300.0, 3.175),
        ("walnut", 12.0, 640.0, 150.0, 6.35),
        ("hard maple", 3.0, 609.6, 304.8, 1.5875),
        ("cherry", 1.5, 900.0, 100.0, 1.5875),
        ("acrylic", 3.0, 304.8, 304.8, 3.175),
    ];
    for (material, thickness, width, height, bit) in groups {
        let template = fixture::sheet(
            &format!("{material}-{thickness}mm"),
            material,
            thickness,
            width,
            height,
            bit,
        );
        let mut shapes = vec![];
        for d in job["drawing"].as_array().unwrap() {
            let t = d["thickness"].as_float().or(d["thickness"].as_integer().map(|i| i as f64));
            if d["material"].as_str() != Some(material) || t != Some(thickness) {
                continue;
            }
            for part in parts_of(&text_of(d["file"].as_str().unwrap())) {
                let n = quantities.get(&part.name).copied().unwrap_or(part.copies);
                shapes.push((part.name, n, part.shape));
            }
        }
        fixture::shelves(&mut layout, &template, &shapes);
    }
    let count = layout.sheets.len();
    for (i, sheet) in layout.sheets.iter_mut().enumerate() {
        sheet.id = format!("{}-{}", sheet.id, i + 1);
        sheet.open_length = sheet.material == "cherry";
        if i == count - 1 {
            sheet
                .remnants
                .push(Remnant { outline: Ring::rectangle(100.0, 40.0).moved(point(190.0, 255.0)) });
        }
    }
    layout.sheets[0].keep_clear = vec![Ring::circle_around(point(592.0, 8.0), 4.0, 0.05)];
    layout.total();
    layout
}

/// 150 parts on a dozen sheets: a well-formed page under 3 MB, with a number for every part.
#[test]
fn a_large_job_makes_a_sound_page() {
    let layout = clock();
    let cuts: Vec<_> = layout.sheets.iter().map(fixture::cut_of).collect();
    let page = page(&layout, &cuts, Units::Mm);
    let out = env!("CARGO_TARGET_TMPDIR");
    std::fs::write(format!("{out}/report.html"), &page).unwrap();
    std::fs::write(format!("{out}/summary.txt"), summary(&layout, &cuts, Units::Mm)).unwrap();
    for (sheet, cut) in layout.sheets.iter().zip(&cuts) {
        let drawing = sheet_svg(sheet, cut, Units::Mm);
        std::fs::write(format!("{out}/{}.svg", sheet.id.replace(' ', "-")), &drawing).unwrap();
        let ids = unique_ids(&drawing);
        assert_eq!(ids.iter().filter(|i| i.ends_with(".outline")).count(), sheet.parts.len());
    }
    unique_ids(page.strip_prefix("<!DOCTYPE html>\n").unwrap());
    assert!(page.len() < 3_000_000, "{} bytes", page.len());
    assert!(layout.parts_placed >= 90);
    for (i, sheet) in layout.sheets.iter().enumerate() {
        let from = page.find(&format!("id=\"sheet-{}\"", i + 1)).unwrap();
        let until = page[from..].find("</figure>").unwrap() + from;
        for k in 1..=sheet.parts.len() {
            let figure = &page[from..until];
            let number = [format!(">{k}</text>"), format!(">{k} <tspan")];
            let seen = number.iter().any(|n| figure.contains(n));
            assert!(seen, "{}: no number {k}", sheet.id);
        }
    }
}

/// The same layout gives the same bytes.
#[test]
fn exports_repeat_byte_for_byte() {
    let (a, b) = (clock(), clock());
    let cuts: Vec<_> = a.sheets.iter().map(fixture::cut_of).collect();
    assert!(page(&a, &cuts, Units::Mm) == page(&b, &cuts, Units::Mm));
}
