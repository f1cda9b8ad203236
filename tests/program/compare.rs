//! `tabwright compare` and the prices, through the program, on jobs whose figures are worked out by hand beside them.

use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

/// A job with a bit of 2 mm, the stock given, and bars of 200 x 60 mm of birch plywood that may not be rotated.
fn job(bars: usize, stock: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" width="220mm" height="80mm" viewBox="0 0 220 80">
        <rect id="bar" x="10" y="10" width="200" height="60" fill="none" stroke="#000"/></svg>"##;
    let toml = format!(
        "units = \"mm\"\n[[bit]]\nname = \"2 mm\"\ndiameter = 2\nspiral = \"down\"\nfeed = 800\nrpm = 18000\n{stock}
[[drawing]]\nfile = \"bar.svg\"\nmaterial = \"birch plywood\"\nthickness = 4\nquantity = {bars}\ngrain = \"x\"\n"
    );
    fs::write(folder.path().join("bar.svg"), svg).expect("the drawing is written");
    fs::write(folder.path().join("job.toml"), toml).expect("the job is written");
    folder
}

fn sheet(name: &str, size: &str, rest: &str) -> String {
    format!(
        "[[stock]]\nname = \"{name}\"\nmaterial = \"birch plywood\"\nthickness = 4\nsize = \"{size}\"\n{rest}\n"
    )
}

fn tabwright(folder: &Path, args: &[&str]) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .args(args)
        .args(["--moves", "200"])
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&run.stdout).into_owned();
    assert_eq!(run.status.code(), Some(0), "{said}{}", String::from_utf8_lossy(&run.stderr));
    said
}

fn rows(folder: &Path) -> Vec<Value> {
    let said = tabwright(folder, &["compare", "job.toml", "--json"]);
    let said: Value = serde_json::from_str(&said).expect("JSON");
    said["groups"][0]["rows"].as_array().expect("rows").clone()
}

fn near(value: &Value, wanted: f64, by: f64) {
    let value = value.as_f64().expect("a number");
    assert!((value - wanted).abs() < by, "{value}, not {wanted}");
}

#[test]
fn a_remnant_is_taken_from_the_waste() {
    let folder = job(1, &sheet("panel", "500x100", "margin = 10\nprice = 12.5"));
    let rows = rows(folder.path());
    let [row] = &rows[..] else { panic!("{rows:?}") };
    assert_eq!((&row["stock"], &row["sheets"]), (&"panel".into(), &1.into()));
    // 200 x 60 of 500 x 100.
    near(&row["waste_percent"], 76.0, 1e-9);
    near(&row["price"], 12.5, 1e-9);
    // What is kept: an upright rectangle beside the bar, within the sheet, clear of the bar's kerf. The layout file
    // that `nest` writes names it; the largest counts.
    tabwright(folder.path(), &["nest", "job.toml", "-o", "out"]);
    let text = fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
    let layout: Value = serde_json::from_str(&text).expect("JSON");
    let remnants = layout["sheets"][0]["remnants"].as_array().expect("remnants");
    let largest = remnants.iter().map(|r| shoelace(&r["outline"])).fold(0.0, f64::max);
    // The bar lies 10 mm from an end at least: 500 - 210 less its kerf of 2 mm; a landing may take some of it.
    assert!(largest > 260.0 * 100.0 && largest < 290.0 * 100.0, "{largest}");
    near(&row["waste_after_remnants"], 76.0 - 100.0 * largest / 50_000.0, 1e-9);
    assert!(row["waste_after_remnants"].as_f64() < Some(76.0 - 52.0));
}

/// The area of a ring (surveyor's formula).
fn shoelace(ring: &Value) -> f64 {
    let ring: Vec<[f64; 2]> = serde_json::from_value(ring.clone()).expect("a ring");
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(p, q)| p[0] * q[1] - q[0] * p[1]).sum::<f64>().abs() / 2.0
}

#[test]
fn sheets_cost_by_the_piece_and_an_open_board_by_the_metre_used() {
    // Three bars. Panels of 240 x 100 take one each: 3 x 7.00. A board 80 wide, its margin 10, takes them end to end:
    // 10 + 200 + 2 + 200 + 2 + 200 + 10 = 624 mm at 20 a metre = 12.48.
    let stock = sheet("panel", "240x100", "margin = 10\nprice = 7")
        + &sheet("board", "2000x80", "margin = 10\nopen-length = true\nprice = 20");
    let folder = job(3, &stock);
    let rows = rows(folder.path());
    let row = |name: &str| {
        rows.iter().find(|r| r["stock"] == name).unwrap_or_else(|| panic!("{name}: {rows:?}"))
    };
    assert_eq!(row("panel")["sheets"], 3);
    near(&row("panel")["price"], 21.0, 1e-9);
    near(&row("panel")["waste_percent"], 50.0, 1e-9);
    assert_eq!(row("board")["sheets"], 1);
    // Tabs between two bars may want their landing: up to a web of 10 mm at each of the two kerfs.
    let price = row("board")["price"].as_f64().expect("a price");
    assert!(price > 12.479 && price < 12.48 + 20.0 * 0.020, "{price}");
    // Of a board nothing is left over to keep.
    assert_eq!(row("board")["waste_percent"], row("board")["waste_after_remnants"]);
    let used = 1000.0 * price / 20.0;
    near(&row("board")["waste_percent"], 100.0 * (1.0 - 36_000.0 / (80.0 * used)), 1e-6);
}

/// Bars of plywood and of walnut: each group is compared by itself, its layouts checked against what it asks for alone.
#[test]
fn the_groups_of_a_job_are_compared_one_by_one() {
    let walnut =
        "[[stock]]\nname = \"plank\"\nmaterial = \"walnut\"\nthickness = 4\nsize = \"500x100\"\n";
    let folder = job(2, &(sheet("panel", "500x100", "") + walnut));
    let path = folder.path().join("job.toml");
    let of_walnut = "[[drawing]]\nfile = \"other.svg\"\nmaterial = \"walnut\"\nthickness = 4\n";
    let text = fs::read_to_string(&path).expect("the job") + of_walnut;
    fs::write(&path, text).expect("the job is written");
    let svg = fs::read_to_string(folder.path().join("bar.svg")).expect("the drawing");
    let svg = svg.replace("\"bar\"", "\"rail\"");
    fs::write(folder.path().join("other.svg"), svg).expect("the drawing is written");
    let said = tabwright(folder.path(), &["compare", "job.toml", "--json"]);
    let said: Value = serde_json::from_str(&said).expect("JSON");
    let groups = said["groups"].as_array().expect("groups");
    let made = |g: &Value| (g["rows"][0]["stock"].clone(), g["rows"][0]["made"].clone());
    let made: Vec<_> = groups.iter().map(made).collect();
    assert_eq!(made, [("panel".into(), true.into()), ("plank".into(), true.into())]);
    // One group alone is asked for nothing of the other either.
    tabwright(folder.path(), &["compare", "job.toml", "--group", "walnut"]);
}

/// Three bars: a panel of 240 x 200 takes two for 10.00, one of 240 x 100 takes one for 6.00. Two large ones cost 20.00, three
/// small ones 18.00, one of each 16.00.
#[test]
fn a_mix_of_sizes_is_found_where_it_costs_least() {
    let folder = job(3, &sheet("large", "240x200", "margin = 10\nprice = 10"));
    let said =
        tabwright(folder.path(), &["compare", "job.toml", "--json", "--sizes", "240x100mm@6"]);
    let said: Value = serde_json::from_str(&said).expect("JSON");
    assert_eq!(said["by"], "cost");
    let group = &said["groups"][0];
    let rows = group["rows"].as_array().expect("rows");
    let told: Vec<(&str, f64)> = rows
        .iter()
        .map(|r| (r["stock"].as_str().expect("a name"), r["price"].as_f64().expect("a price")))
        .collect();
    assert_eq!(told, [("1 x large + 1 x 240x100mm", 16.0), ("240x100mm", 18.0), ("large", 20.0)]);
    assert_eq!(rows[0]["place"], 1);
    assert_eq!(rows[0]["made"], true);
    near(&rows[0]["price_per_part"], 16.0 / 3.0, 1e-9);
    // Three bars with half a kerf all round need 3 x (202 x 62 - (4 - pi)) = 37,570 mm2; a large panel less 9 mm all round has
    // 222 x 182 = 40,404: by area alone one would do.
    near(&group["least_cost"], 10.0, 1e-9);
    // The text says the same, and the best by sheets.
    let text = tabwright(folder.path(), &["compare", "job.toml", "--sizes", "240x100mm@6"]);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("Best by cost: 1 x large + 1 x 240x100mm, 16.00 for 3 parts."), "{text}");
    assert!(text.contains("cost less than 10.00"), "{text}");
    let by = ["compare", "job.toml", "--sizes", "240x100mm@6", "--by", "sheets"];
    let text = tabwright(folder.path(), &by);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("Fewest sheets: 1 x large + 1 x 240x100mm. It needs 2 sheets, as large does, and costs 16.00 instead of 20.00."), "{text}");
}

/// Five bars: a panel of 240 x 200 takes two for 10.00, one of 240 x 100 takes one for 4.00. Two large ones and a small one cost
/// 24.00, five small ones 20.00. With a free piece as large as a large one, as a remnant is, three small ones cost 12.00.
#[test]
fn a_job_is_laid_on_the_cheapest_sheets() {
    let stock = sheet("large", "240x200", "margin = 10\nprice = 10")
        + &sheet("small", "240x100", "margin = 10\nprice = 4");
    let left = sheet("left", "240x200", "margin = 10\nprice = 0\nquantity = 1");
    for (more, small, price) in [("", 5, 20.0), (left.as_str(), 3, 12.0)] {
        let folder = job(5, &(stock.clone() + more));
        tabwright(folder.path(), &["nest", "job.toml", "-o", "out"]);
        let text = fs::read_to_string(folder.path().join("out/layout.json")).expect("a layout");
        let layout: Value = serde_json::from_str(&text).expect("JSON");
        let sheets = layout["sheets"].as_array().expect("sheets");
        let of = |name: &str| sheets.iter().filter(|s| s["stock"] == name).count();
        assert_eq!((of("small"), of("large")), (small, 0), "{more}");
        let bought = layout["to_buy"].as_array().expect("a list");
        let paid: f64 = bought.iter().filter_map(|line| line["price"].as_f64()).sum();
        assert!((paid - price).abs() < 1e-9, "{bought:?}");
    }
}

#[test]
fn what_cannot_be_compared_is_said() {
    let folder = job(1, &sheet("panel", "500x100", "margin = 10"));
    let run = |args: &[&str]| {
        let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
            .args(["compare", "job.toml", "--moves", "50"])
            .args(args)
            .current_dir(folder.path())
            .output()
            .expect("the program starts");
        (run.status.code(), String::from_utf8_lossy(&run.stderr).into_owned())
    };
    for (args, words) in [
        (["--sizes", "12x"], "'12x' is not a size"),
        (["--sizes", "300x0mm"], "must be above zero"),
        (["--sizes", "300x200mm@cheap"], "'cheap' is not a price"),
        (
            ["--group", "walnut"],
            "no group has 'walnut' in its name; the job's groups: birch-plywood-4mm",
        ),
    ] {
        let (code, said) = run(&args);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains(words), "{said}");
    }
    let (code, said) = run(&["--sizes", "300x100mm", "--group", "birch"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("First answer, from quick layouts"), "{said}");
    // A bed of 400 x 300 mm takes neither the panel nor a size of 500 mm.
    let text = fs::read_to_string(folder.path().join("job.toml")).expect("the job");
    fs::write(folder.path().join("job.toml"), format!("bed = '400x300'\n{text}")).expect("written");
    let (code, said) = run(&["--sizes", "500x80mm,300x100mm"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains(
            "500x80mm is not compared: it is larger than the bed, which takes 400 mm by 300 mm"
        ),
        "{said}"
    );
    assert!(
        said.contains("stock 'panel': it is 500 × 100 mm, and the bed takes 400 × 300 mm"),
        "{said}"
    );
}

/// A bar of 200 x 60 mm on a panel of 220 x 100 with a margin of 8: 204 mm of room. At 90 % it is 180 mm long, at 110 % 220: too
/// long. A bit of 6 mm does not pass its slot of 3 mm; one of 2 mm does. A web of 3 mm only matters between parts.
#[test]
fn one_thing_is_changed_at_a_time() {
    let folder = job(1, &sheet("panel", "220x100", "margin = 8\nprice = 5"));
    let path = folder.path().join("job.toml");
    let text = fs::read_to_string(&path).expect("the job");
    fs::write(&path, format!("{text}[[bit]]\nname = \"6 mm\"\ndiameter = 6\n")).expect("written");
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" width="220mm" height="80mm" viewBox="0 0 220 80"><g fill="none" stroke="#000">
        <rect id="bar" x="10" y="10" width="200" height="60"/><rect x="60" y="40" width="30" height="3"/></g></svg>"##;
    fs::write(folder.path().join("bar.svg"), svg).expect("written");
    let vary = |what: &str| -> Vec<(String, u64, bool)> {
        let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
            .args(["compare", "job.toml", "--json", "--moves", "50", "--vary", what])
            .current_dir(folder.path())
            .output()
            .expect("the program starts");
        let said: Value = serde_json::from_slice(&run.stdout).expect("JSON");
        let rows = said["groups"][0]["rows"].as_array().expect("rows");
        let mut told: Vec<_> = rows
            .iter()
            .map(|r| {
                let name = r["stock"].as_str().expect("a name").to_string();
                (name, r["unplaced"].as_u64().expect("a number"), r["place"].is_u64())
            })
            .collect();
        told.sort();
        told
    };
    let row = |name: &str, unplaced: u64| (name.to_string(), unplaced, unplaced == 0);
    assert_eq!(
        vary("scale"),
        [row("100 %: panel", 0), row("110 %: panel", 1), row("90 %: panel", 0)]
    );
    assert_eq!(
        vary("bit"),
        [row("bit '2 mm': panel", 0)],
        "of the other bit it is told that nothing is left to cut"
    );
    assert_eq!(vary("web").len(), 3);
    assert_eq!(vary("hang"), [row("hang on parts: panel", 0), row("hang on stock: panel", 0)]);
    assert_eq!(vary("method"), ["skin", "tabs", "tape"].map(|m| row(&format!("{m}: panel"), 0)));
}

/// A bit of 2.9 mm passes a slot of 3 mm as drawn and 10 % larger, not 10 % smaller (2.7 mm): each row says its bit. A web changes no bit.
#[test]
fn a_row_says_its_bit_where_a_smaller_scale_needs_a_finer_one() {
    let folder = job(1, &sheet("panel", "260x120", "margin = 8\nprice = 5"));
    let path = folder.path().join("job.toml");
    let text = fs::read_to_string(&path).expect("the job");
    fs::write(&path, format!("{text}[[bit]]\nname = \"wide\"\ndiameter = 2.9\n")).expect("written");
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" width="220mm" height="80mm" viewBox="0 0 220 80"><g fill="none" stroke="#000">
        <rect id="bar" x="10" y="10" width="200" height="60"/><rect x="60" y="40" width="30" height="3"/></g></svg>"##;
    fs::write(folder.path().join("bar.svg"), svg).expect("written");
    let stocks = |what: &str| -> Vec<String> {
        let args = ["compare", "job.toml", "--json", "--moves", "50", "--vary", what];
        let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
            .args(args)
            .current_dir(folder.path())
            .output()
            .expect("the program starts");
        let said: Value = serde_json::from_slice(&run.stdout).expect("JSON");
        let rows = said["groups"][0]["rows"].as_array().expect("rows");
        let mut names: Vec<String> =
            rows.iter().map(|r| r["stock"].as_str().expect("a name").to_string()).collect();
        names.sort();
        names
    };
    assert_eq!(
        stocks("scale"),
        ["100 %, bit 'wide': panel", "110 %, bit 'wide': panel", "90 %, bit '2 mm': panel"]
    );
    assert_eq!(stocks("web"), ["no web: panel", "web 1.5mm: panel", "web 3mm: panel"]);
}

/// The page and the comparison give one price for the same sheets.
#[test]
fn the_page_prices_a_board_as_the_comparison_does() {
    let folder = job(1, &sheet("board", "2000x80", "margin = 10\nopen-length = true\nprice = 20"));
    // 10 + 200 + 10 = 220 mm at 20 a metre = 4.40.
    near(&rows(folder.path())[0]["price"], 4.40, 1e-6);
    tabwright(folder.path(), &["nest", "job.toml", "-o", "out"]);
    let page = fs::read_to_string(folder.path().join("out/report.html")).expect("a page");
    assert!(page.contains("<dt>price</dt><dd>4.40</dd>"), "the board's own facts");
}
