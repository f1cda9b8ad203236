//! A small job of one's own through the whole program.

use serde_json::Value;
use std::process::Command;

/// A plate of 60 x 20 mm, its corner at the page's top left.
pub const PLATE: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='100mm' viewBox='0 0 100 100'>\
    <rect id='plate' width='60' height='20' fill='none' stroke='#000000'/></svg>";

/// A job file in parts: each is replaced by what a test is about.
pub struct Case {
    pub head: String,
    pub bit: String,
    pub stock: String,
    pub drawing: String,
    pub rest: String,
    pub files: Vec<(String, String)>,
}

impl Default for Case {
    fn default() -> Self {
        Case {
            head: "units = 'mm'\n".into(),
            bit: USUAL_BIT.into(),
            stock: "[[stock]]\nmaterial = 'hard maple'\nthickness = 6\nsize = '200x100'\ngrain = 'x'\nmargin = 5\n".into(),
            drawing: "[[drawing]]\nfile = 'p.svg'\nmaterial = 'hard maple'\nthickness = 6\n".into(),
            rest: String::new(),
            files: vec![("p.svg".into(), PLATE.into())],
        }
    }
}

pub const USUAL_BIT: &str = "[[bit]]\nname = 'eighth'\ndiameter = 3.175\nflutes = 2\nspiral = 'down'\nhelix = 30\n\
    pass-depth = 1.5\nfeed = 1500\nrpm = 18000\n";

/// What came of it.
pub struct Run {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
    pub layout: Value,
    pub page: String,
}

impl Case {
    pub fn head(mut self, text: &str) -> Self {
        self.head += text;
        self
    }
    pub fn bit(mut self, text: &str) -> Self {
        self.bit += text;
        self
    }
    pub fn bits(mut self, text: &str) -> Self {
        self.bit = text.into();
        self
    }
    pub fn stock(mut self, text: &str) -> Self {
        self.stock += text;
        self
    }
    pub fn stocks(mut self, text: &str) -> Self {
        self.stock = text.into();
        self
    }
    /// A sheet of that size with that margin, and more keys.
    pub fn sheet(self, size: &str, margin: f64, more: &str) -> Self {
        self.stocks(&format!(
            "[[stock]]\nmaterial = 'hard maple'\nthickness = 6\nsize = '{size}'\nmargin = {margin}\n{more}"
        ))
    }
    pub fn drawing(mut self, text: &str) -> Self {
        self.drawing += text;
        self
    }
    /// Replaces the drawing tables.
    pub fn drawings(mut self, text: &str) -> Self {
        self.drawing = text.into();
        self
    }
    pub fn part(mut self, text: &str) -> Self {
        self.rest += &format!("[[part]]\nname = 'plate'\n{text}");
        self
    }
    pub fn more(mut self, text: &str) -> Self {
        self.rest += text;
        self
    }
    /// Replaces the drawing's file by what is drawn in a page of 100 x 100 mm.
    pub fn drawn(self, inside: &str) -> Self {
        self.file("p.svg", &page(inside))
    }
    pub fn file(mut self, name: &str, text: &str) -> Self {
        self.files.retain(|(n, _)| n != name);
        self.files.push((name.into(), text.into()));
        self
    }

    pub fn text(&self) -> String {
        let parts = [&self.head, &self.bit, &self.stock, &self.drawing, &self.rest];
        parts.map(String::as_str).concat()
    }

    /// The job nested; a few moves are enough for a part or two.
    pub fn nest(&self) -> Run {
        self.run(&["nest"], &["--moves", "60", "--threads", "1", "-o", "out"])
    }

    pub fn run(&self, before: &[&str], after: &[&str]) -> Run {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        for (name, text) in &self.files {
            std::fs::write(at(name), text).expect("written");
        }
        std::fs::write(at("job.toml"), self.text()).expect("written");
        let output = Command::new(env!("CARGO_BIN_EXE_tabwright"))
            .args(before)
            .arg("job.toml")
            .args(after)
            .current_dir(folder.path())
            .output()
            .expect("the program starts");
        let read = |name: &str| std::fs::read_to_string(at(name)).unwrap_or_default();
        Run {
            code: output.status.code(),
            out: String::from_utf8_lossy(&output.stdout).into(),
            err: String::from_utf8_lossy(&output.stderr).into(),
            layout: serde_json::from_str(&read("out/layout.json")).unwrap_or_default(),
            page: read("out/report.html"),
        }
    }
}

pub fn page(inside: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='100mm' viewBox='0 0 100 100'>\
         <g fill='none' stroke='#000000'>{inside}</g></svg>"
    )
}

impl Run {
    /// The same run, which must be good.
    pub fn good(self) -> Self {
        assert_eq!(self.code, Some(0), "{}{}", self.out, self.err);
        self
    }
    /// The same run, whose answer must be no.
    pub fn no(self) -> Self {
        assert_eq!(self.code, Some(1), "{}{}", self.out, self.err);
        self
    }
    /// The same run, which must be refused with these words, and must write nothing.
    pub fn refused(self, words: &[&str]) -> Self {
        assert_eq!(self.code, Some(2), "{}{}", self.out, self.err);
        for word in words {
            assert!(self.err.contains(word), "'{word}' is not said: {}", self.err);
        }
        assert_eq!(self.layout, Value::Null, "a refused job writes nothing");
        self
    }
    pub fn sheet(&self) -> &Value {
        &self.layout["sheets"][0]
    }
    pub fn parts(&self) -> Vec<&Value> {
        let sheets = self.layout["sheets"].as_array().expect("sheets");
        sheets.iter().flat_map(|s| s["parts"].as_array().expect("parts")).collect()
    }
    pub fn placed(&self) -> u64 {
        self.layout["parts_placed"].as_u64().expect("a count")
    }
}

/// A number of the layout, near what was reckoned by hand.
#[track_caller]
pub fn near(value: &Value, expected: f64) {
    let got = value.as_f64().expect("a number");
    assert!((got - expected).abs() < 1e-6 * expected.abs().max(1.0), "{got}, not {expected}");
}

/// Least x, least y, greatest x, greatest y of a ring of the layout.
pub fn bounds(ring: &Value) -> [f64; 4] {
    let mut b = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    for p in ring.as_array().expect("a ring") {
        let (x, y) = (p[0].as_f64().expect("x"), p[1].as_f64().expect("y"));
        b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
    }
    b
}

#[track_caller]
pub fn bounds_are(ring: &Value, expected: [f64; 4], within: f64) {
    let got = bounds(ring);
    let off = got.iter().zip(expected).any(|(g, e)| (g - e).abs() > within);
    assert!(!off, "{got:?}, not {expected:?}");
}

/// Width and height of a ring's bounds.
#[track_caller]
pub fn size_is(ring: &Value, expected: [f64; 2], within: f64) {
    let b = bounds(ring);
    let got = [b[2] - b[0], b[3] - b[1]];
    let off = got.iter().zip(expected).any(|(g, e)| (g - e).abs() > within);
    assert!(!off, "{got:?}, not {expected:?}");
}

/// A part's tabs: where, out of which side (degrees, part's own frame, 0 is its right and 90 its bottom), width.
pub fn tabs(part: &Value) -> Vec<([f64; 2], i64, f64)> {
    let turn = part["rotation_deg"].as_f64().expect("a turn");
    let of = |t: &Value| {
        let number = |v: &Value| v.as_f64().expect("a number");
        let out = number(&t["out"][1]).atan2(number(&t["out"][0])).to_degrees() - turn;
        let side = out.rem_euclid(360.0).round() as i64 % 360;
        ([number(&t["at"][0]), number(&t["at"][1])], side, number(&t["width"]))
    };
    part["hold"]["tabs"].as_array().expect("tabs").iter().map(of).collect()
}
