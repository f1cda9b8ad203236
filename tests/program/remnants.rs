//! What is left of one job is the stock of the next, through the program.

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

const BIT: &str = "units = \"mm\"\n[[bit]]\nname = \"2 mm\"\ndiameter = 2\nspiral = \"down\"\nfeed = 800\nrpm = 18000\n";

/// A job with `bars` bars of 150 x 60 mm of birch plywood, and a panel of 500 x 200 mm to buy for 12.50.
fn job(folder: &Path, name: &str, bars: usize, head: &str) {
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" width="220mm" height="80mm" viewBox="0 0 220 80">
        <rect id="bar" x="10" y="10" width="150" height="60" fill="none" stroke="#000"/></svg>"##;
    let toml = format!(
        "title = \"{name}\"\n{head}{BIT}[[stock]]\nname = \"panel\"\nmaterial = \"birch plywood\"\nthickness = 4\nsize = \"500x200\"\n\
         grain = \"x\"\nmargin = 8\nprice = 12.5\n\
         [[drawing]]\nfile = \"bar.svg\"\nmaterial = \"birch plywood\"\nthickness = 4\nquantity = {bars}\ngrain = \"x\"\n"
    );
    fs::write(folder.join("bar.svg"), svg).expect("the drawing is written");
    fs::write(folder.join(format!("{name}.toml")), toml).expect("the job is written");
}

fn good(folder: &Path, args: &[&str]) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .args(args)
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&run.stdout).into_owned();
    assert_eq!(run.status.code(), Some(0), "{said}{}", String::from_utf8_lossy(&run.stderr));
    said
}

fn nest(folder: &Path, name: &str) -> Value {
    let out = format!("out-{name}");
    good(
        folder,
        &["nest", &format!("{name}.toml"), "-o", &out, "--remnants", "shop", "--moves", "200"],
    );
    let text = fs::read_to_string(folder.join(out).join("layout.json")).expect("a layout");
    serde_json::from_str(&text).expect("JSON")
}

/// A notch as wide as the panel is thick is a joint that the maker has to decide about: nobody should cut that sheet, so nothing is left
/// of it yet. Decided, it is cut, and the rest is recorded.
#[test]
fn a_run_that_is_not_ready_to_cut_leaves_no_remnant() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    job(folder, "notched", 1, "");
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" width="220mm" height="80mm" viewBox="0 0 220 80">
        <path id="bar" d="M10 10H80V30H84V10H160V70H10Z" fill="none" stroke="#000"/></svg>"##;
    fs::write(folder.join("bar.svg"), svg).expect("the drawing is written");
    let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .args(["nest", "notched.toml", "-o", "out", "--remnants", "shop", "--moves", "200"])
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(1), "{said}");
    assert!(
        said.contains("shop: no remnants are recorded, because the job is not ready to cut"),
        "{said}"
    );
    assert!(!folder.join("shop/stock.toml").exists());
    job(folder, "decided", 1, "corners = \"rounded\"\n");
    fs::write(folder.join("bar.svg"), svg).expect("the drawing is written");
    nest(folder, "decided");
    assert!(folder.join("shop/stock.toml").exists());
}

/// One bar leaves most of a panel; the next job's three bars are cut from that, at no cost; then it is marked, and what is left of
/// it is stock again. Each layout passes the independent check with its job, the used remnants included.
#[test]
fn a_series_of_jobs_lives_on_what_the_first_has_left() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    job(folder, "first", 1, "");
    let layout = nest(folder, "first");
    assert_eq!(layout["sheets"][0]["stock"], "panel");
    let list = || fs::read_to_string(folder.join("shop/stock.toml")).expect("a list");
    assert_eq!(list().matches("[[stock]]").count(), 1, "{}", list());
    let left = "first-birch-plywood-4mm-1-left-1";
    assert!(list().contains(left) && !list().contains("used = true"), "{}", list());
    let labels = fs::read_to_string(folder.join("shop/labels-first.html")).expect("labels");
    assert!(labels.contains(left) && labels.contains("birch plywood, 4 mm"), "{labels}");
    for (name, bars) in [("second", 3), ("third", 1)] {
        job(folder, name, bars, "stock-from = \"shop\"\n");
        let before = list();
        let layout = nest(folder, name);
        assert_eq!(layout["sheets"].as_array().map(Vec::len), Some(1), "{name}");
        let stock = layout["sheets"][0]["stock"].as_str().expect("a name");
        assert!(stock.ends_with("-left-1") && before.contains(stock), "{name}: {stock}");
        assert_eq!(layout["to_buy"][0]["price"], 0.0, "{name}");
        let marked = format!("name = \"{stock}\"\nused = true\n");
        assert!(list().contains(&marked), "{}", list());
        good(
            folder,
            &["check", &format!("out-{name}/layout.json"), "--job", &format!("{name}.toml")],
        );
    }
    // What was used is still in the list, and no job takes it again.
    assert!(list().contains(left), "{}", list());
    job(folder, "fourth", 1, "stock-from = \"shop\"\n");
    let layout = nest(folder, "fourth");
    assert_ne!(layout["sheets"][0]["stock"], left);
}

/// A job that is cut again from its own remnant: that one is marked, and what is left of it gets a name of its own.
#[test]
fn what_is_left_of_a_remnant_is_another_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    job(folder, "shelf", 1, "");
    nest(folder, "shelf");
    job(folder, "shelf", 1, "stock-from = \"shop\"\n");
    let layout = nest(folder, "shelf");
    let used = layout["sheets"][0]["stock"].as_str().expect("a name");
    assert_eq!(used, "shelf-birch-plywood-4mm-1-left-1");
    let list = fs::read_to_string(folder.join("shop/stock.toml")).expect("a list");
    assert!(list.contains(&format!("name = \"{used}\"\nused = true\n")), "{list}");
    let next = format!("name = \"{used}-left\"\nmaterial");
    assert!(list.contains(&next) && list.matches("[[stock]]").count() == 2, "{list}");
}

/// The true outline of what is left holds the remnant that the layout lists, and none of the bar.
#[test]
fn the_drawing_of_a_remnant_is_what_is_free() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    job(folder, "first", 1, "");
    let layout = nest(folder, "first");
    let svg = fs::read_to_string(folder.join("shop/first-birch-plywood-4mm-1-left-1.svg"))
        .expect("a drawing");
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).expect("usvg reads it");
    // usvg's pixels are 96 to the inch: the other opinion on its size.
    let mm = |pixels: f32| f64::from(pixels) * 25.4 / 96.0;
    let size = tree.size();
    assert!(mm(size.width()) <= 500.01 && mm(size.height()) <= 200.01, "{size:?}");
    let b = tree.root().abs_bounding_box();
    let area = mm(b.width()) * mm(b.height());
    let ring: Vec<[f64; 2]> =
        serde_json::from_value(layout["sheets"][0]["remnants"][0]["outline"].clone())
            .expect("a remnant");
    let next = ring.iter().cycle().skip(1);
    let remnant: f64 =
        ring.iter().zip(next).map(|(p, q)| p[0] * q[1] - q[0] * p[1]).sum::<f64>().abs() / 2.0;
    assert!(area > 1.1 * remnant, "{area} mm² about it, {remnant} mm² the rectangle");
}

/// Four bars and three tags of 40 x 18 mm. With `spares = "auto"` the tags, less than 25 mm wide, get a spare where it costs nothing: the
/// sheets, their remnants and every part asked for are byte for byte what they are without it, and the layout passes the check with
/// its job. Of a panel of 420 x 200 mm all that is free is a remnant: there is none.
#[test]
fn a_spare_takes_nothing_from_what_is_there_without_it() {
    for (panel, expected) in [("400x200", &[("tag", 4)][..]), ("420x200", &[])] {
        spares_on(panel, expected);
    }
}

/// The spares that a panel of that size gets.
fn spares_on(panel: &str, expected: &[(&str, u64)]) {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let made = |name: &str, head: &str| {
        job(folder, name, 4, head);
        let tag = r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
            <rect id="tag" x="5" y="5" width="40" height="18" fill="none" stroke="#000"/></svg>"##;
        fs::write(folder.join("tag.svg"), tag).expect("the drawing is written");
        let file = folder.join(format!("{name}.toml"));
        let text = fs::read_to_string(&file).expect("the job");
        let tags = "[[drawing]]\nfile = \"tag.svg\"\nmaterial = \"birch plywood\"\nthickness = 4\nquantity = 3\ngrain = \"x\"\n";
        fs::write(&file, text.replace("500x200", panel) + tags).expect("the job is written");
        nest(folder, name)
    };
    let (plain, mut with) = (made("plain", ""), made("with", "spares = \"auto\"\n"));
    let layout = "out-with/layout.json";
    good(folder, &["check", layout, "--job", "with.toml"]);
    let mut spares = vec![];
    for (plain, with) in plain["sheets"]
        .as_array()
        .expect("sheets")
        .iter()
        .zip(with["sheets"].as_array_mut().expect("sheets"))
    {
        assert_eq!(plain["remnants"], with["remnants"]);
        assert_eq!(plain["outline"], with["outline"]);
        assert_eq!(plain["cut"], with["cut"]);
        let parts = with["parts"].as_array_mut().expect("parts");
        spares.extend(parts.iter().filter(|p| p["spare"] == true).cloned());
        parts.retain(|p| p["spare"] == false);
        let asked = plain["parts"].as_array().expect("parts");
        assert_eq!(parts.len(), asked.len());
        assert!(asked.iter().all(|p| parts.contains(p)), "{parts:?}");
    }
    let told: Vec<(&str, u64)> = spares
        .iter()
        .map(|s| (s["part"].as_str().expect("a name"), s["copy"].as_u64().expect("a number")))
        .collect();
    assert_eq!(told, expected, "{panel}");
    let svg = fs::read_dir(folder.join("out-with")).expect("files").filter_map(Result::ok);
    let svg = svg.map(|f| f.path()).filter(|p| p.extension().is_some_and(|e| e == "svg"));
    let drawn: String = svg.map(|p| fs::read_to_string(p).expect("a drawing")).collect();
    assert_eq!(drawn.contains("tag 4 (spare)"), !expected.is_empty());
}
