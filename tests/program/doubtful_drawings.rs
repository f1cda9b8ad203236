//! Drawings that can be cut and still hold something the maker should know before buying or cutting.

use super::folder::{Folder, PLATE, page};
use serde_json::Value;

const FLAGS: [&str; 6] = ["--sheet", "12x8in", "--thickness", "1/4in", "--bit", "1/8in"];

fn layout(folder: &Folder) -> Value {
    let text = std::fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
    serde_json::from_str(&text).expect("JSON")
}

/// The warnings of one kind.
fn warnings(layout: &Value, kind: &str) -> Vec<Value> {
    let all = layout["warnings"].as_array().expect("warnings");
    all.iter().filter(|w| w["kind"] == kind).cloned().collect()
}

/// A dogbone whose neck is 0.02 in wide is a sliver that may break; one of 0.1 in is not.
#[test]
fn a_neck_of_a_fiftieth_of_an_inch_is_warned_of_with_its_place() {
    let neck = |half: f64| {
        let (a, b) = (1.0 - half, 1.0 + half);
        let path =
            format!("<path id='dogbone' d='M.5 .5H1.5V{a}H2.5V.5H3.5V1.5H2.5V{b}H1.5V1.5H.5Z'/>");
        let folder = Folder::with(&[("p.svg", &page("in", &path))]);
        let answer = folder.nest(&[&["p.svg", "--corners", "rounded"], &FLAGS[..]].concat());
        (folder, answer)
    };
    let (folder, answer) = neck(0.01);
    let answer = answer.says(&["a neck or wall this thin may break"]);
    let found = warnings(&layout(&folder), "slender");
    assert_eq!(found.len(), 1, "{}", answer.out);
    // Drawn 0.508 mm wide, from 1 to 2 in across and 0.5 in down the part.
    let near = |value: &Value, low: f64, high: f64| {
        let value = value.as_f64().expect("a number");
        assert!((low..=high).contains(&value), "{value}");
    };
    near(&found[0]["width_mm"], 0.45, 0.56);
    near(&found[0]["at"][0], 0.9 * 25.4, 2.1 * 25.4);
    near(&found[0]["at"][1], 0.45 * 25.4, 0.55 * 25.4);
    let (folder, _) = neck(0.05);
    assert_eq!(warnings(&layout(&folder), "slender"), [] as [Value; 0]);
}

/// A pocket of 3/32 in in a plate that the 1/8 in bit cuts: with no finer bit the pocket is told, with one that bit is bought for it.
#[test]
fn a_pocket_that_no_bit_enters_is_warned_of() {
    let inside = format!("{PLATE}<rect x='1' y='1' width='1.5' height='.09375' stroke='#0000ff'/>");
    let bit =
        |size: &str| format!("[[bit]]\nname = '{size}'\ndiameter = '{size}'\nspiral = 'down'\n");
    let job = |bits: &[&str]| {
        format!(
            "units = 'in'\n[[stock]]\nmaterial = 'walnut'\nthickness = '1/4'\nsize = '12x8'\n{}\
             [[drawing]]\nfile = 'p.svg'\nmaterial = 'walnut'\nthickness = '1/4'\n\
             [marks]\npocket = {{ stroke = ['#0000ff'], depth = '1/16' }}\n",
            bits.iter().map(|b| bit(b)).collect::<String>()
        )
    };
    let folder = Folder::with(&[
        ("p.svg", &page("in", &inside)),
        ("wide.toml", &job(&["1/8"])),
        ("fine.toml", &job(&["1/8", "1/16"])),
    ]);
    folder.nest(&["wide.toml"]).says(&[
        "a pocket is narrower than the finest bit on hand",
        "in wide, 2 in right, 0.547 in down",
        "the finest bit is 1/8 in",
    ]);
    let found = warnings(&layout(&folder), "no-bit-enters");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0]["feature"], "pocket");
    folder.nest(&["fine.toml"]).code(0);
    assert_eq!(warnings(&layout(&folder), "no-bit-enters"), [] as [Value; 0]);
    let bought = std::fs::read_to_string(folder.path().join("out/buy.csv")).expect("the list");
    assert!(bought.contains("\n1/16,bit,1/16 in,1,"), "{bought}");
}

/// Plywood called 1/4 in is 0.205 in thick: a drawing that asks for 1/4 in is told of the board that may be meant. A board of half the
/// thickness is not proposed.
#[test]
fn the_nearest_thickness_is_named() {
    let job = |thickness: &str| {
        format!(
            "units = 'in'\n[[bit]]\nname = 'b'\ndiameter = '1/8'\nspiral = 'down'\n\
             [[stock]]\nmaterial = 'birch plywood'\nthickness = {thickness}\nsize = '12x8'\n\
             [[drawing]]\nfile = 'p.svg'\nmaterial = 'birch plywood'\nthickness = '1/4'\n"
        )
    };
    let folder = Folder::with(&[
        ("p.svg", &page("in", PLATE)),
        ("near.toml", &job("0.205")),
        ("far.toml", &job("'1/8'")),
    ]);
    folder
        .nest(&["near.toml"])
        .code(1)
        .says(&["0.205 in thick", "give the drawing that thickness"]);
    let far = folder.nest(&["far.toml"]).code(1);
    assert!(!far.out.contains("give the drawing"), "{}", far.out);
}

/// Groups called as the trade calls them are proposed as marks by `begin`, and the job runs with them: the pocket is a pocket.
#[test]
fn groups_named_as_marks_are_guessed() {
    let inside = format!(
        "{PLATE}<g id='pockets'><rect x='1' y='.8' width='1' height='.5'/></g>\
         <g id='drill-holes'><circle cx='3' cy='1' r='.1'/></g>"
    );
    let folder = Folder::with(&[("p.svg", &page("in", &inside))]);
    folder.run(&["begin", "p.svg"]).code(0);
    let job = std::fs::read_to_string(folder.path().join("job.toml")).expect("a job");
    for line in ["pocket = { group = [\"pockets\"] }", "drill = { group = [\"drill-holes\"] }"] {
        assert!(job.contains(line), "{line}: {job}");
    }
    folder.nest(&["job.toml"]).code(0);
    let part = &layout(&folder)["sheets"][0]["parts"][0];
    let kinds: Vec<_> = part["features"].as_array().expect("features").iter().collect();
    assert_eq!(kinds.iter().map(|f| &f["kind"]).collect::<Vec<_>>(), ["pocket", "drill"]);
}
