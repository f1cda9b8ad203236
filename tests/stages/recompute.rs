//! Figures of holds recomputed from the layout file alone, by separate code: nothing here calls `tabwright`'s library.
//!
//! The recipe is the file's own (module docs of `src/hold`): the load by Altintas' linear-edge model, tabs as Timoshenko
//! beams (Timoshenko & Goodier), the rigid part on springs (Shigley's bolt group in eccentric shear). The
//! reported figures are those of the elastic part, and a part that bends can only move farther under its own load
//! than a rigid one on the same springs: compliance grows when any member is made softer (Rayleigh's theorem on
//! constraints), so the rigid figure is a lower bound, and close for compact parts.

use crate::recompute_support::{Edges, Rigid, Sheet, Tabs, chain, freeing, rigid};
use serde_json::Value;
use std::process::Command;

/// Hard parts first (slender, necks, short grain, teeth, a thin ring, lift), then plain ones.
const PARTS: [&str; 22] = [
    "numeral-0",
    "spacer",
    "moon-pointer",
    "wall-cleat",
    "case-side",
    "minute-hand",
    "hour-hand",
    "tide-hand",
    "sprat",
    "gull",
    "numeral-6",
    "title-e",
    "wheel-59",
    "wheel-32",
    "pinion-8",
    "dial-ring",
    "tide-glass",
    "glass-clip",
    "case-top",
    "corner-block",
    "foot",
    // With lift, and small.
    "droplet",
];

/// Parts that bend little beside their tabs, with the tolerance of the tabs' safety against that of a rigid part that dents at its
/// tabs: thick blocks, and small rings and wheels, which bend a little between tabs and load the nearest tab more (the spacer, a
/// ring of 10 mm: 1.69 by a staged model in scikit-fem, 1.66 in the file; benches/NOTEBOOK.md).
///
/// Neither compact nor slender: sprat, gull, numeral-6, title-e (limbs 3 mm wide that bend between tabs), dial-ring (a ring of
/// 12 mm across 300), wheel-59 and pinion-8 (teeth and spokes), tide-glass, glass-clip, droplet (the bit lifts: plates). For these
/// a rigid part only bounds the figures: it moves less, and its tabs and sections bear no less, than [`UNSAFE`] allows.
const COMPACT: [(&str, f64); 6] = [
    ("case-top", 0.1),
    ("corner-block", 0.1),
    ("foot", 0.1),
    ("spacer", 0.2),
    ("wheel-32", 0.25),
    ("numeral-0", 0.2),
];

/// Parts whose sections are recomputed both ways on the rigid part, with the tolerance: without openings whose walls statics
/// cannot tell (the case-top's two lie off its weakest section), and without pockets.
const SECTIONS: [(&str, f64); 2] = [("foot", 0.1), ("case-top", 0.15)];

/// How far the part's own safety may be from a chain's: sections are oblique where a hand tapers, and at most half a width apart.
const OF_CHAIN: f64 = 0.35;

/// Greatest ratio of the tabs' strength to a rigid part's: loads shift between tabs where the part bends.
const UNSAFE: f64 = 1.2;

/// Greatest ratio of a limb's strength to that by statics: the file's sections are a fifth of a width apart (gull 1.12,
/// sprat 1.11, pinion-8 1.08).
const SAMPLED: f64 = 1.13;

/// Slender parts, recomputed as a chain of beams, with the tolerance of the three figures: bars of one width, and hands
/// that taper from a boss with a bore (the hour hand is pierced). The chain's sections stay plane, even at bosses and webs
/// beside openings, and a tab acts on it at one section: the tolerances follow from that, and are not a wish; a rigid
/// part is off 2 to 100 times. The part's own safety too, unless an opening splits a slice; beside those walls it may be less.
const SLENDER: [(&str, f64); 6] = [
    ("wall-cleat", 0.16),
    ("case-side", 0.16),
    ("minute-hand", 0.33),
    ("hour-hand", 0.33),
    ("tide-hand", 0.33),
    ("moon-pointer", 0.33),
];

/// A part on three tabs or more bends between them, on two also beyond them. Sections stay plane on spans of at least three depths
/// (Timoshenko; common practice for beams): here the shortest between tabs, in widths of the part.
const SPAN: f64 = 3.0;

fn long_spans(tabs: &Tabs) -> bool {
    let across = |axis: usize| {
        let of = |f: fn(f64, f64) -> f64, from| tabs.outline.iter().map(|p| p[axis]).fold(from, f);
        of(f64::max, f64::NEG_INFINITY) - of(f64::min, f64::INFINITY)
    };
    let (axis, width) = if across(0) > across(1) { (0, across(1)) } else { (1, across(0)) };
    let mut at: Vec<f64> = tabs.tabs.iter().map(|t| t.at[axis]).collect();
    at.sort_by(f64::total_cmp);
    at.len() < 3 || at.windows(2).all(|w| w[1] - w[0] >= SPAN * width)
}

const SAMPLE: &str = "samples/tide-clock/job.toml";

/// The layout of the sets tried for a part, which must keep every rule of a layout except that parts are held.
fn tried(job: &str, part: &str) -> Value {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let tabwright = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tabwright"));
        command.current_dir(env!("CARGO_MANIFEST_DIR"));
        command
    };
    let run = tabwright()
        .args(["tabs", job, "--part", part, "-o"])
        .arg(folder.path())
        .output()
        .expect("the program starts");
    assert!(run.status.success(), "{part}: {}", String::from_utf8_lossy(&run.stderr));
    let path = folder.path().join(format!("{part}-tried.json"));
    let check =
        tabwright().arg("check").arg("--json").arg(&path).output().expect("the program starts");
    let verdict: Value = serde_json::from_slice(&check.stdout).expect("JSON");
    // Sets that do not hold are in the table too, and `check` says so of them; nor is it told what waste would come loose.
    let others = |p: &&Value| ["held", "claim", "waste"].iter().all(|what| p["what"] != *what);
    let problem = verdict["problems"].as_array().expect("a list").iter().find(others);
    assert!(problem.is_none(), "{part}: {problem:?}");
    let text = std::fs::read_to_string(path).expect("the layout of the sets tried");
    serde_json::from_str(&text).expect("JSON")
}

fn close(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * a.abs().max(b.abs()).max(1e-12)
}

#[test]
fn every_row_of_the_tables_follows_from_the_file() {
    let (mut rows, mut parts_with_several) = (0, 0);
    let mut off = vec![];
    for part in PARTS {
        let layout = tried(SAMPLE, part);
        let mut sets = 0;
        for sheet in layout["sheets"].as_array().expect("sheets") {
            let constants = Sheet::read(sheet);
            check_constants(&constants);
            for placed in sheet["parts"].as_array().expect("parts") {
                let row = Row { part, sheet: &constants, hold: &placed["hold"] };
                let tabs = Tabs::read(placed);
                row.check(&tabs);
                let slender = SLENDER.iter().find(|s| s.0 == part).filter(|_| long_spans(&tabs));
                if let Some((_, tolerance)) = slender {
                    let thickness = sheet["thickness"].as_f64().expect("mm");
                    off.extend(row.check_against_chain(&tabs, thickness, *tolerance));
                }
                sets += 1;
            }
        }
        rows += sets;
        parts_with_several += usize::from(sets >= 2);
    }
    off.sort_by(f64::total_cmp);
    let median = off[off.len() / 2];
    eprintln!("{} figures of chains, off by a median of {median:.3}", off.len());
    assert!(off.len() >= 30 && median <= 0.12, "{median}");
    eprintln!("{rows} rows of {} parts", PARTS.len());
    assert!(parts_with_several >= 10 && rows >= 30, "{rows} rows, {parts_with_several} parts");
}

/// A strip of veneer 25 x 3 x 0.4 mm and a drop of thin acrylic under a bit that lifts: only bridges hold them.
const ON_BRIDGES: &str = r#"
units = "mm"
[[bit]]
name = "1/32 in"
diameter = "1/32in"
flutes = 2
spiral = "down"
pass-depth = 0.4
feed = 600
rpm = 18000
[[bit]]
name = "1/8 in"
diameter = "1/8in"
flutes = 1
spiral = "up"
helix = 30
pass-depth = 1
feed = 1000
rpm = 16000
[[stock]]
name = "veneer"
material = "hard maple"
thickness = 0.4
size = "200x100"
[[stock]]
name = "acrylic"
material = "acrylic"
thickness = 2
size = "200x100"
[[drawing]]
file = "strip.svg"
material = "hard maple"
thickness = 0.4
bit = "1/32 in"
[[drawing]]
file = "drop.svg"
material = "acrylic"
thickness = 2
bit = "1/8 in"
"#;

fn drawing(path: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"40mm\" height=\"40mm\" viewBox=\"0 0 40 40\"><path {path} fill=\"none\" stroke=\"black\"/></svg>"
    )
}

/// Bridges of the sheet's full thickness: the same recipe, with a beam as high as the sheet.
#[test]
fn holding_bridges_follow_from_the_file() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("written");
        path.display().to_string()
    };
    let job = write("job.toml", ON_BRIDGES);
    write("strip.svg", &drawing("id=\"strip\" d=\"M2 2H27V5H2Z\""));
    // A round end of 6 mm and straight flanks to a tip.
    write("drop.svg", &drawing("id=\"drop\" d=\"M8 2L13.298 12.183A6 6 0 1 1 2.702 12.183Z\""));
    for part in ["strip", "drop"] {
        let layout = tried(&job, part);
        let mut bridged = 0;
        for sheet in layout["sheets"].as_array().expect("sheets") {
            let constants = Sheet::read(sheet);
            let thickness = sheet["thickness"].as_f64().expect("mm");
            for placed in sheet["parts"].as_array().expect("parts") {
                let row = Row { part, sheet: &constants, hold: &placed["hold"] };
                let tabs = Tabs::read(placed);
                if tabs.tabs.iter().any(|t| t.height < thickness) {
                    continue;
                }
                bridged += 1;
                row.check(&tabs);
                row.check_freeing(&tabs, thickness);
            }
        }
        assert!(bridged >= 1, "{part} hangs on bridges");
    }
}

/// Strengths at both ends by the recipe's step 6 and 7 (Wood Handbook tables 5-3a, 5-12).
fn check_constants(sheet: &Sheet) {
    let c = |key: &str| sheet.constant(key);
    assert!(sheet.constants["source"].as_str().is_some_and(|s| !s.is_empty()));
    let expected = match sheet.constants["kind"].as_str() {
        Some("wood") => [
            (c("tab_along_mpa"), c("bending_mpa")),
            (c("tab_across_mpa"), c("tension_across_mpa")),
            (c("section_along_mpa"), c("bending_mpa")),
            (c("section_across_mpa"), 0.1 * c("bending_mpa")),
            (c("tab_shear_out_across_mpa"), 0.22 * c("shear_mpa")),
        ],
        Some("acrylic") => {
            let least = c("bending_mpa").min(c("tension_across_mpa"));
            [
                (c("tab_along_mpa"), least / 2.0),
                (c("tab_across_mpa"), least / 2.0),
                (c("section_along_mpa"), least),
                (c("section_across_mpa"), least),
                (c("tab_shear_out_across_mpa"), c("shear_mpa")),
            ]
        }
        other => panic!("the tide clock has no {other:?}"),
    };
    for (given, by_recipe) in expected {
        assert!(close(given, by_recipe, 1e-12), "{given} {by_recipe}");
    }
    // The requirements that the module's docs state (estimates: nobody publishes them for tabs).
    for (key, value) in [
        ("safety_tab_along", 1.35),
        ("safety_tab_across", 1.7),
        ("safety_tab_shear", 1.3),
        ("safety_part", 2.0),
        ("movement_limit_mm", 0.05),
        ("movement_limit_lift_mm", 0.1),
        ("movement_limit_repeated_mm", 0.1),
    ] {
        assert_eq!(sheet.rule(key), value, "{key}");
    }
}

/// One set of tabs with its data from the file.
struct Row<'a> {
    part: &'a str,
    sheet: &'a Sheet,
    hold: &'a Value,
}

impl Row<'_> {
    fn of(&self, key: &str) -> f64 {
        self.hold[key].as_f64().unwrap_or_else(|| panic!("{}: hold.{key}", self.part))
    }

    /// A figure; infinite where it does not apply.
    fn figure(&self, key: &str) -> f64 {
        self.hold["figures"][key].as_f64().unwrap_or(f64::INFINITY)
    }

    /// F = factor a_p (K_c f_z + K_e) (Altintas, Manufacturing Automation, ch. 2).
    fn load(&self) -> f64 {
        let s = self.sheet;
        s.factor * self.of("last_pass") * (s.kc * s.feed_per_tooth + s.ke)
    }

    fn check(&self, tabs: &Tabs) {
        self.check_load();
        self.check_margins(tabs);
        self.check_against_rigid(tabs);
    }

    fn check_load(&self) {
        let (load, said) = (self.load(), self.of("load_n"));
        assert!(close(load, said, 1e-9), "{}: load {load}, the file says {said}", self.part);
    }

    /// Checks margins: each is its figure over the requirement (recipe, step 8); the least governs.
    fn check_margins(&self, tabs: &Tabs) {
        let (part, s) = (self.part, self.sheet);
        let safety = self.figure("tab_safety").min(self.figure("part_safety"));
        assert!(close(safety, self.of("safety"), 1e-12), "{part}: safety {safety}");
        let of_part = self.figure("part_safety") / s.rule("safety_part");
        let gone = self.figure("one_gone_safety");
        let limit = if s.lift > 0.0 { "movement_limit_lift_mm" } else { "movement_limit_mm" };
        let motion = s.rule(limit) / self.of("movement_mm");
        let repeated = s.rule("movement_limit_repeated_mm") / self.figure("free_movement_mm");
        let repeated = s.factor * repeated.min(self.figure("free_safety"));
        let reach = self.reach(tabs);
        let least = self.figure("least_margin");
        let known = of_part.min(gone).min(motion).min(repeated).min(reach + 0.01);
        assert!(least <= known * (1.0 + 1e-9), "{part}: least margin {least} of {known}");
        let tabs = |key: &str| self.figure("tab_safety") / s.rule(key);
        assert!(least <= tabs("safety_tab_shear") * (1.0 + 1e-9), "{part}: {least}");
        let governs = self.hold["governs"].as_str().expect("what governs");
        let by = match governs {
            g if g.starts_with("tab ") => {
                // Which tab and stress is not said in figures: its requirement lies between 1.3 and 1.7.
                assert!(least >= tabs("safety_tab_across") * (1.0 - 1e-9), "{part}: {g} {least}");
                return;
            }
            g if g.starts_with("the part's own section") => of_part,
            g if g.starts_with("sawing off bridge ") => self.figure("freeing_margin"),
            g if g.starts_with("one tab lost (") || g.starts_with("one bridge lost (") => gone,
            "half of the bridge lost" => gone,
            "the last pass repeated" => repeated,
            g if g.starts_with("overhang") => {
                assert!(close(least, reach, 0.02), "{part}: {g} {least}, recomputed {reach}");
                return;
            }
            // In the plane alone the limit is 0.05 mm also where the bit lifts.
            "movement at the bit" if s.lift > 0.0 => return,
            "movement at the bit" => motion,
            g => panic!("{part}: '{g}' governs"),
        };
        assert!(close(least, by, 1e-9), "{part}: {governs}: {least}, recomputed {by}");
    }

    /// Sawing a bridge off (recipe, step 8): 2 x 5 N on the section between it and the rest. The program's sections stand
    /// up to a bridge's width apart, those here at every 400th of the edge, so that these may lie on a longer lever.
    fn check_freeing(&self, tabs: &Tabs, thickness: f64) {
        let by = freeing(self.sheet, tabs, thickness);
        let said = self.figure("freeing_margin");
        eprintln!("{:12} freeing {by:.2}, the file says {said:.2}", self.part);
        assert!(by <= said * 1.01 && said <= by * 1.25, "{}: freeing {said}, {by}", self.part);
    }

    /// Limit over overhang if the limit is exceeded (recipe, step 8); the file's own figure is accurate to 2.5 mm.
    fn reach(&self, tabs: &Tabs) -> f64 {
        let said = self.figure("overhang_mm");
        let (far, length) = tabs.overhang();
        let limit = self.sheet.rule("overhang_limit_mm").max(length / 12.0);
        if said.is_infinite() {
            assert!(far <= limit, "{}: {far} from its tabs", self.part);
            return f64::INFINITY;
        }
        assert!((said - far).abs() <= 2.5, "{}: overhang {said}, recomputed {far}", self.part);
        if said > limit { limit / far } else { f64::INFINITY }
    }

    /// Movement (staged, and the pass repeated) and the tabs' strength of a part that bends, as a chain of beams; returns the error
    /// of each.
    fn check_against_chain(&self, tabs: &Tabs, thickness: f64, tolerance: f64) -> [f64; 3] {
        let found = chain(self.sheet, tabs, thickness, self.load());
        let said =
            [self.of("movement_mm"), self.figure("free_movement_mm"), self.figure("tab_safety")];
        let by = [found.staged.movement, found.free.movement, found.staged.tab_safety];
        eprintln!("{:12} as a chain of beams: {by:.4?}, the file says {said:.4?}", self.part);
        let (own, section) = (self.figure("part_safety"), found.staged.part_safety);
        let pierced = tabs.openings.len() > 1;
        eprintln!(
            "{:12} as a chain of beams: part {section:.2}, the file says {own:.2}",
            self.part
        );
        assert!(own <= section * (1.0 + OF_CHAIN), "{}: part {own}, {section}", self.part);
        assert!(pierced || own >= section * (1.0 - OF_CHAIN), "{}: {own} {section}", self.part);
        std::array::from_fn(|i| {
            let (part, a, b) = (self.part, said[i], by[i]);
            assert!(close(a, b, tolerance), "{part}: the file says {a}, a chain of beams {b}");
            (a - b).abs() / a.max(b)
        })
    }

    /// Movement in the plane of the rigid part on the same springs is a lower bound (Rayleigh); tabs of compact parts carry
    /// the same loads as under a rigid part.
    fn check_against_rigid(&self, tabs: &Tabs) {
        let (part, load) = (self.part, self.load());
        // Up and down the bed helps, which the rigid model here leaves out.
        let level = Sheet { lift: 0.0, ..self.sheet.clone() };
        let flat = rigid(&level, tabs, load, Edges::Hard, f64::INFINITY);
        // The file's sections are as far apart as its samples of the edge: near a tip the next may be two of them farther in.
        let arm = self.sheet.diameter / 2.0 + 2.0 * tabs.edges() / 240.0;
        let dented = rigid(&level, tabs, load, Edges::Dented, arm);
        let (staged, free) = (self.of("movement_mm"), self.figure("free_movement_mm"));
        eprintln!(
            "{part:12} {} tabs, last pass {:.2}: moves {staged:.4} mm (rigid {:.4}), repeated {free:.4} mm (rigid {:.4}), tabs' safety {:.2} (rigid {:.2})",
            tabs.tabs.len(),
            tabs.depth,
            flat.staged.movement,
            flat.free.movement,
            self.figure("tab_safety"),
            flat.staged.tab_safety,
        );
        assert!(flat.staged.movement <= staged, "{part}: moves {staged}");
        assert!(flat.free.movement <= free, "{part}: repeated {free}");
        let (by, said) = (dented.staged.tab_safety, self.figure("tab_safety"));
        assert!(said <= UNSAFE * by, "{part}: tabs' safety {said}, rigid {by}");
        if let Some((_, most)) = COMPACT.iter().find(|c| c.0 == part) {
            assert!(close(by, said, *most), "{part}: tabs' safety {said}, rigid {by}");
            let moved = dented.staged.movement;
            assert!(moved >= 0.4 * staged, "{part}: a compact part hardly bends");
        }
        self.check_sections(&dented);
    }

    /// Checks the part's own safety. With all severed, statics gives the load of a tip or a limb, however it bends, so the file may
    /// not claim more; for the last pass staged, only of parts that hardly bend.
    fn check_sections(&self, by: &Rigid) {
        let (part, said) = (self.part, self.figure("part_safety"));
        let (staged, free) = (by.staged.part_safety, by.free.part_safety);
        eprintln!(
            "{part:12} part {said:.2} (rigid {staged:.2}), repeated, tabs too {:.2} (rigid {:.2})",
            self.figure("free_safety"),
            free.min(by.free.tab_safety),
        );
        let most = (SAMPLED * free).min(UNSAFE * by.free.tab_safety);
        assert!(self.figure("free_safety") <= most, "{part}: free safety, rigid {most}");
        if let Some((_, tolerance)) = SECTIONS.iter().find(|s| s.0 == part) {
            assert!(close(staged, said, *tolerance), "{part}: part {said}, rigid {staged}");
        }
    }
}
