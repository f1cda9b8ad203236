//! Sharp inside corners that keep more stock than the bit's radius explains: a fault until the job accepts it.

use serde_json::Value;
use std::process::{Command, Output};

/// A heart of two half discs of radius 30 and a triangle; the discs' edges meet at (60, 30) without an angle.
const HEART: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='120mm' height='120mm' viewBox='0 0 120 120'>\
    <path id='heart' fill='none' stroke='#000000' d='M60 30 A30 30 0 0 1 120 30 L60 110 L0 30 A30 30 0 0 1 60 30 Z'/></svg>";

struct Folder(tempfile::TempDir);

impl Folder {
    fn with(drawing: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("part.svg"), drawing).expect("written");
        Folder(folder)
    }

    fn run(&self, args: &[&str]) -> Output {
        let program = env!("CARGO_BIN_EXE_tabwright");
        Command::new(program).args(args).current_dir(self.0.path()).output().expect("it starts")
    }

    /// A job of this part under a bit of 1/4 in.
    fn nest(&self, name: &str, corners: &str) -> (Option<i32>, String, Value) {
        let job = format!(
            "units = 'in'\n[[bit]]\nname = 'b'\ndiameter = '1/4in'\nspiral = 'down'\nfeed = 60\nrpm = 18000\n\
             [[stock]]\nmaterial = 'MDF'\nthickness = '1/4in'\nsize = '12x12'\n\
             [[drawing]]\nfile = 'part.svg'\nmaterial = 'MDF'\nthickness = '1/4in'\n\
             [[part]]\nname = '{name}'\n{corners}"
        );
        std::fs::write(self.0.path().join("job.toml"), job).expect("written");
        let run = self.run(&["nest", "job.toml", "-o", "out", "--moves", "60"]);
        let said = String::from_utf8_lossy(&[run.stdout, run.stderr].concat()).into_owned();
        let layout = std::fs::read_to_string(self.0.path().join("out/layout.json"));
        let layout = layout.map_or(Value::Null, |t| serde_json::from_str(&t).expect("it is JSON"));
        (run.status.code(), said, layout)
    }

    fn check(&self, args: &[&str]) -> (Option<i32>, String) {
        let run = self.run(&[&["check", "out/layout.json"], args].concat());
        (run.status.code(), String::from_utf8_lossy(&run.stdout).into_owned())
    }
}

/// By hand: a disc of radius 3.175 between the lobes stands sqrt(33.175^2 - 30^2) - 3.175 = 10.99 mm = 0.4325 in from their
/// point, and 30 x 14.16 - 900 x 0.4412 - 10.08 x 2.259 / 2 = 16.4 mm2 stay, where a square corner keeps 2.2; the comparison
/// leaves out 0.02 mm beside 30 mm of wall.
#[test]
fn the_cleft_of_a_heart_is_the_makers_to_accept() {
    let folder = Folder::with(HEART);
    let (code, said, layout) = folder.nest("heart", "");
    assert_eq!(code, Some(1), "{said}");
    let fault = &layout["faults"][0];
    assert_eq!(fault["kind"], "left-standing", "{said}");
    assert!((fault["area_mm2"].as_f64().expect("an area") - (16.4 - 0.6)).abs() < 0.2, "{fault}");
    assert!((fault["cleft_mm"].as_f64().expect("a depth") - 10.99).abs() < 0.05, "{fault}");
    for words in ["in short of the point", "round the corner", "corners = \"rounded\""] {
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("smaller bit"), "{said}");
    assert_eq!(folder.check(&[]).0, Some(1));

    let (code, said, layout) = folder.nest("heart", "corners = 'rounded'\n");
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("accepted as rounded"), "{said}");
    assert_eq!(layout["notes"][0]["accepted"], true, "{layout}");
    let good = folder.check(&["--job", "job.toml"]);
    assert_eq!(good.0, Some(0), "{}", good.1);
    // A note alone accepts nothing that the job does not.
    let accepting = std::fs::read(folder.0.path().join("out/layout.json")).expect("a layout");
    folder.nest("heart", "");
    std::fs::write(folder.0.path().join("out/layout.json"), accepting).expect("written");
    assert_eq!(folder.check(&[]).0, Some(0));
    let (code, found) = folder.check(&["--job", "job.toml"]);
    assert!(code == Some(1) && found.contains("does not accept them"), "{found}");
}

/// A slot of 2 mm with a pointed end under a bit of 6.35 mm is not a cleft: it is not cut, whatever the job accepts.
#[test]
fn a_slot_with_a_pointed_end_is_no_cleft() {
    let folder = Folder::with(
        "<svg xmlns='http://www.w3.org/2000/svg' width='120mm' height='120mm' viewBox='0 0 120 120'><path id='slotted' \
         fill='none' stroke='#000000' d='M0 0 H59 V30 L60 34 L61 30 V0 H120 V80 H0 Z'/></svg>",
    );
    let (code, said, _) = folder.nest("slotted", "corners = 'rounded'\n");
    assert!(code == Some(2) && said.contains("slotted"), "{said}");
}
