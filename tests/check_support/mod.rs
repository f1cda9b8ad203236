//! Jobs made by the program, sheet by sheet, and what `check` says of each once it is changed by hand.

use rand::{RngExt, rngs::Xoshiro256PlusPlus};
use std::process::Command;
use std::sync::OnceLock;
use tabwright::drawing::read_sheet_file;
use tabwright::export::problem_line;
use tabwright::layout::{Drawn, Layout, Method, PlacedPart, Sheet};
use tabwright::units::Units;
use tabwright::verify::{Problem, Rules, verify};

pub type Rng = Xoshiro256PlusPlus;

/// One sheet alone with its drawing.
#[derive(Clone)]
pub struct Made {
    pub layout: Layout,
    pub svg: String,
}

impl Made {
    pub fn sheet(&mut self) -> &mut Sheet {
        &mut self.layout.sheets[0]
    }

    /// What `check` says of it.
    pub fn problems(&self) -> Vec<String> {
        self.found().iter().map(|p| problem_line(p, Units::Mm)).collect()
    }

    /// The broken rules.
    pub fn found(&self) -> Vec<Problem> {
        let sheet = self.layout.sheets[0].id.clone();
        let drawings = [Drawn { sheet, read: read_sheet_file(&self.svg) }];
        let rules = Rules { drawings: Some(&drawings), complete: true, ..Rules::default() };
        verify(&self.layout, &rules)
    }
}

/// The sheets of a job, each a layout of its own.
pub fn made(args: &[&str]) -> Vec<Made> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let run = Command::new(env!("CARGO_BIN_EXE_tabwright"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("nest")
        .args(args)
        .args(["--moves", "100", "--quiet", "-o"])
        .arg(folder.path())
        .output()
        .expect("the program starts");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("a file");
    let layout: Layout = serde_json::from_str(&read("layout.json")).expect("a layout");
    let of = |sheet: &Sheet| {
        let mut one = Layout::new(&layout.title, layout.seed);
        one.sheets.push(sheet.clone());
        let here = layout.drop_outs.iter().filter(|d| d.sheet == sheet.id);
        one.drop_outs = here.cloned().collect();
        one.total();
        Made { layout: one, svg: read(&format!("{}.svg", sheet.id)) }
    };
    layout.sheets.iter().map(of).collect()
}

/// The sheets of the tide clock, made once for all tests.
pub fn tide_clock() -> &'static [Made] {
    static SHEETS: OnceLock<Vec<Made>> = OnceLock::new();
    SHEETS.get_or_init(|| made(&["samples/tide-clock/job.toml"]))
}

/// A part of the sheet that meets a condition.
pub fn any<'a>(
    sheet: &'a mut Sheet,
    rng: &mut Rng,
    good: impl Fn(&PlacedPart) -> bool,
) -> Option<&'a mut PlacedPart> {
    let all: Vec<usize> = (0..sheet.parts.len()).filter(|i| good(&sheet.parts[*i])).collect();
    let pick = *all.get(rng.random_range(0..all.len().max(1)))?;
    Some(&mut sheet.parts[pick])
}

pub fn tabbed(p: &PlacedPart) -> bool {
    p.hold.method == Method::Tabs
}

/// A change of the layout; `None` where the sheet has nothing of the kind.
pub type Change = fn(&mut Made, &mut Rng) -> Option<()>;
