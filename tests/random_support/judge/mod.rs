//! A second opinion on what the program wrote, from general-purpose libraries only (geo, rstar, roxmltree, svgtypes,
//! usvg): none of the program's own geometry, checks or reading. Every rule is measured against the job's own meaning.

mod copies;
mod hanging;
mod measure;
mod paths;
mod reading;
mod sheets;
mod spacing;
mod svg;
mod tabs;
mod totals;

use super::RandomJob;
use std::path::Path;

/// What a run of the program left behind.
pub struct Run {
    pub code: Option<i32>,
    pub said: String,
    pub complained: String,
    /// Exit code of `check --job` on the layout, where there is one.
    pub check: Option<i32>,
    /// What `check` says of stock that comes loose.
    pub anchors: Vec<String>,
}

/// A rule that is broken, and where.
#[derive(Debug, Clone)]
pub struct Fault {
    pub kind: &'static str,
    pub what: String,
}

/// Collects faults.
#[derive(Default)]
pub struct Faults(pub Vec<Fault>);

impl Faults {
    pub fn add(&mut self, kind: &'static str, what: String) {
        self.0.push(Fault { kind, what });
    }

    pub fn unless(&mut self, good: bool, kind: &'static str, what: impl FnOnce() -> String) {
        if !good {
            self.add(kind, what());
        }
    }
}

/// How much narrower than the bit a detail may be and still be cut, mm (the design's allowance), and how much wider the
/// reading may take it, twice the chord error.
const ALLOWED: f64 = 0.05 + 0.02;

/// Every fault of a run whose files lie in `folder`.
pub fn faults(job: &RandomJob, run: &Run, folder: &Path) -> Vec<Fault> {
    let mut faults = Faults::default();
    let code = run.code.unwrap_or(-1);
    let panicked = run.complained.contains("panicked") || !(0..=2).contains(&code);
    faults.unless(!panicked, "panic", || format!("exit {code}: {}", run.complained));
    let narrow =
        |by: f64| job.parts.iter().find(move |p| p.narrowest < job.finest(p.material.name) - by);
    if code == 2 {
        match narrow(-ALLOWED) {
            Some(p) => faults.unless(run.complained.contains(&p.name), "unnamed refusal", || {
                format!("'{}' is too narrow: {}", p.name, run.complained)
            }),
            None => faults.add("refused", run.complained.clone()),
        }
    }
    if code == 0
        && let Some(p) = narrow(ALLOWED)
    {
        faults.add("too narrow", format!("{} passes with {} mm", p.name, p.narrowest));
    }
    let text = std::fs::read_to_string(folder.join("layout.json"));
    let Ok(text) = text else {
        faults.unless(code == 2, "no layout", || format!("exit {code}"));
        return faults.0;
    };
    faults.unless(code != 2, "wrote and refused", || "a layout beside exit 2".into());
    let layout = match reading::layout(&text) {
        Ok(layout) => layout,
        Err(why) => {
            faults.add("unreadable", why);
            return faults.0;
        }
    };
    for sheet in &layout.sheets {
        sheets::check(job, sheet, &mut faults);
        spacing::check(job, sheet, &mut faults);
        tabs::check(job, sheet, &mut faults);
        let drawn = svg::check(sheet, folder, &mut faults);
        if let Some(lines) = drawn {
            paths::check(job, sheet, &lines, &mut faults);
            hanging::check(sheet, &lines, &mut faults);
        }
    }
    sheets::counts(job, &layout, &mut faults);
    copies::check(job, &layout, &mut faults);
    totals::check(job, &layout, &mut faults);
    exit_code(code, run, &layout, &mut faults);
    faults.0
}

/// Exit 0 only where everything is placed and held, 1 only for a reason; what is good passes `check`.
fn exit_code(code: i32, run: &Run, layout: &reading::Layout, faults: &mut Faults) {
    let unheld = layout.sheets.iter().flat_map(|s| &s.parts).find(|p| p.method == "none");
    let good = layout.unplaced.is_empty() && unheld.is_none();
    faults.unless(code != 0 || good, "exit 0", || {
        format!("{} unplaced; not held: {:?}", layout.unplaced.len(), unheld.map(|p| &p.name))
    });
    let told = layout.warned || run.said.starts_with("NOT READY TO CUT");
    faults.unless(code != 1 || !good || told, "exit 1", || {
        format!("everything is placed and held, nothing is said: {}", run.said)
    });
    faults.unless(code != 0 || run.check == Some(0), "check", || {
        format!("`check --job` ends with {:?}", run.check)
    });
    // The simulated cut and `check` know nothing of each other.
    faults.unless(run.anchors.is_empty() != layout.loose, "anchors", || {
        let says = if layout.loose { "comes loose" } else { "holds" };
        format!("the cut says that it {says}, `check` says {:?}", run.anchors)
    });
    for p in layout.sheets.iter().flat_map(|s| &s.parts).filter(|p| p.method == "tabs") {
        faults.unless(p.safety >= 1.0, "unsafe", || {
            format!("{} is held at a safety of {}", p.name, p.safety)
        });
    }
}
