//! Islands of waste that parts keep (`hang = "parts"`): whatever is taken from an island that a part hangs on, the rules of
//! anchors and of what keeps islands find it.

use crate::check_support::{Made, made};
use rayon::prelude::*;
use std::path::Path;
use tabwright::cut::{Landing, landing_on_skeleton};
use tabwright::layout::Sheet;
use tabwright::verify::{Problem, What};

/// The tide clock's cherry parts, the small ones, nested as tight as if nothing were held.
fn hung_on_parts() -> Vec<Made> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/tide-clock");
    let job = std::fs::read_to_string(sample.join("job.toml")).expect("the sample");
    let mut job: toml::Table = job.parse().expect("TOML");
    let drawings = job["drawing"].as_array_mut().expect("drawings");
    drawings.retain(|d| d["material"].as_str() == Some("cherry"));
    let mut drawn = String::new();
    for drawing in drawings {
        let file = drawing["file"].as_str().expect("a file");
        let text = std::fs::read_to_string(sample.join(file)).expect("a drawing");
        std::fs::write(folder.path().join(file), &text).expect("written");
        drawn.push_str(&text);
    }
    let there = |p: &toml::Value| {
        drawn.contains(&format!("id=\"{}\"", p["name"].as_str().expect("a name")))
    };
    job["part"].as_array_mut().expect("parts").retain(there);
    job["stock"]
        .as_array_mut()
        .expect("stock")
        .retain(|s| s["material"].as_str() == Some("cherry"));
    job["holding"].as_table_mut().expect("holding").insert("hang".into(), "parts".into());
    let path = folder.path().join("job.toml");
    std::fs::write(&path, job.to_string()).expect("written");
    made(&[&path.display().to_string()])
}

/// An island that a part hangs on.
struct Hangs {
    /// The part.
    part: usize,
    /// The parts with tabs for the island, each with the tab; the last of them is cut last.
    kept_by: Vec<(usize, usize)>,
}

/// How much narrower kerfs may be for an island to be one still, mm: `verify` eases every distance by half a line, and a web a
/// little thinner than the thinnest that counts may tie to clamped stock what the cut sees as an island.
const EASED: f64 = 0.04;

/// All islands that parts hang on.
fn hanging(sheet: &Sheet) -> Vec<Hangs> {
    let skeleton = landing_on_skeleton(sheet);
    let mut eased = sheet.clone();
    eased.bit.diameter -= EASED;
    for part in &mut eased.parts {
        part.hold.tabs.retain(|t| !t.waste);
    }
    let eased = landing_on_skeleton(&eased);
    let tabs = sheet.parts.iter().enumerate().flat_map(|(part, placed)| {
        let tabs = placed.hold.tabs.iter().enumerate();
        tabs.map(move |(tab, t)| (part, tab, t))
    });
    let landed: Vec<_> =
        tabs.map(|(part, tab, t)| (part, tab, t.waste, skeleton.piece_under(t))).collect();
    let hangs = |&(part, tab, waste, piece): &(usize, usize, bool, Option<usize>)| {
        let kept = landed.iter().filter(|l| l.2 && l.3 == piece && piece.is_some());
        let kept_by: Vec<(usize, usize)> = kept.map(|l| (l.0, l.1)).collect();
        let island = || eased.landing(&sheet.parts[part].hold.tabs[tab]) == Landing::Waste;
        (!waste && !kept_by.is_empty() && island()).then_some(Hangs { part, kept_by })
    };
    landed.iter().filter_map(hangs).collect()
}

/// One way to take an island from a part that hangs on it; `None` where there is no such thing.
type Taken = fn(&mut Sheet, &Hangs) -> Option<()>;

const WAYS: [(&str, Taken); 5] = [
    ("the ties of an island taken away", |s, h| {
        for &(part, tab) in h.kept_by.iter().rev() {
            s.parts[part].hold.tabs.remove(tab);
        }
        Some(())
    }),
    ("a tie taken for a tab that holds its own part", |s, h| {
        for &(part, tab) in &h.kept_by {
            s.parts[part].hold.tabs[tab].waste = false;
        }
        Some(())
    }),
    ("the ties made a fifth as wide", |s, h| {
        for &(part, tab) in &h.kept_by {
            s.parts[part].hold.tabs[tab].width /= 5.0;
        }
        // A layout may state any least width.
        s.holding.as_mut()?.min_width_mm /= 5.0;
        Some(())
    }),
    ("the keeper cut before what hangs on it", |s, h| {
        let &(keeper, _) = h.kept_by.last()?;
        (keeper > h.part).then(|| s.parts.swap(keeper, h.part))
    }),
    ("the keeper cut first of all", |s, h| {
        let &(keeper, _) = h.kept_by.last()?;
        let keeper = s.parts.remove(keeper);
        s.parts.insert(0, keeper);
        Some(())
    }),
];

#[test]
fn an_island_taken_from_what_hangs_on_it_is_found() {
    let sheets = hung_on_parts();
    let mut changed: Vec<(&str, Made)> = vec![];
    for made in &sheets {
        assert_eq!(made.problems(), Vec::<String>::new(), "as made");
        for hangs in hanging(&made.layout.sheets[0]) {
            for (way, take) in WAYS {
                let mut mutant = made.clone();
                if take(mutant.sheet(), &hangs).is_some() {
                    changed.push((way, mutant));
                }
            }
        }
    }
    let found = |p: &Problem| matches!(p.what, What::Anchor | What::Claim);
    let missed = changed.par_iter().filter(|(_, m)| !m.found().iter().any(found));
    let missed: Vec<&str> = missed.map(|m| m.0).collect();
    println!("{} changes, {} missed", changed.len(), missed.len());
    for (way, _) in WAYS {
        let (all, not) = (
            changed.iter().filter(|c| c.0 == way).count(),
            missed.iter().filter(|m| **m == way).count(),
        );
        println!("{all:4} made {:4} found  {way}", all - not);
        assert!(all > 0, "{way}: none made");
    }
    assert!(missed.is_empty(), "{missed:?}");
}
