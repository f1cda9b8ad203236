//! Circles: files, or rooms, that use one another.

use super::Source;
use std::collections::{BTreeMap, BTreeSet};

/// Who uses whom, by name; for each use the first place that shows it.
pub type Uses = BTreeMap<String, BTreeMap<String, String>>;

/// Which file of the program uses which.
///
/// A path counts for the file that has what it names: one that a module only hands on (`pub use`) is followed to where it
/// stands, and handing on is no use. Names that stand in no file of the program (other crates') count for nothing.
pub fn of_files(sources: &[Source]) -> Uses {
    let files: BTreeMap<&[String], &Source> = sources
        .iter()
        .filter(|s| !s.file.ends_with("main.rs"))
        .map(|s| (&s.module[..], s))
        .collect();
    let mut uses = Uses::new();
    for source in files.values() {
        let own = source.module.join("::");
        let of_own = uses.entry(own.clone()).or_default();
        for named in source.paths.iter().filter(|n| !n.handed_on) {
            let path = match &named.path[0][..] {
                "crate" => named.path[1..].to_vec(),
                // `mod name;` stands in this file: `name::What`.
                name if named.path.len() > 1 => {
                    let below: Vec<String> =
                        source.module.iter().cloned().chain([name.into()]).collect();
                    if !files.contains_key(&below[..]) {
                        continue;
                    }
                    below.into_iter().chain(named.path[1..].iter().cloned()).collect()
                }
                _ => continue,
            };
            let file = home(&files, path).filter(|f| *f != own);
            if let Some(file) = file {
                of_own.entry(file).or_insert_with(|| named.place.clone());
            }
        }
    }
    uses
}

/// The file in which what a path from the crate's root names stands.
fn home(files: &BTreeMap<&[String], &Source>, mut path: Vec<String>) -> Option<String> {
    // As many doors as there are at most one behind the other.
    for _ in 0..8 {
        let depth = (0..=path.len()).rev().find(|&d| files.contains_key(&path[..d]))?;
        let (module, rest) = path.split_at(depth);
        let source = files[module];
        let Some(name) = rest.first() else { return Some(module.join("::")) };
        let Some((_, behind)) = source.doors.iter().find(|d| d.0 == *name) else {
            return Some(module.join("::"));
        };
        let inside = match &behind[0][..] {
            "crate" => behind[1..].to_vec(),
            _ => module.iter().chain(behind).cloned().collect(),
        };
        path = inside.into_iter().chain(rest[1..].iter().cloned()).collect();
    }
    None
}

/// The same between rooms: each folder of a stage is one, and each file beside them.
pub fn of_rooms(files: &Uses) -> Uses {
    let room = |file: &str| file.split("::").take(2).collect::<Vec<_>>().join("::");
    let mut rooms = Uses::new();
    for (user, used) in files {
        let of_room = rooms.entry(room(user)).or_default();
        for (file, place) in used.iter().filter(|u| room(u.0) != room(user)) {
            of_room.entry(room(file)).or_insert_with(|| place.clone());
        }
    }
    rooms
}

/// Every circle: names that all reach each other, with the places of the uses among them.
pub fn circles(uses: &Uses) -> Vec<(BTreeSet<String>, Vec<String>)> {
    let reached = |from: &str| {
        let mut seen = BTreeSet::new();
        let mut open = vec![from.to_string()];
        while let Some(at) = open.pop() {
            for next in uses.get(&at).into_iter().flat_map(|u| u.keys()) {
                if seen.insert(next.clone()) {
                    open.push(next.clone());
                }
            }
        }
        seen
    };
    let reach: BTreeMap<&String, BTreeSet<String>> = uses.keys().map(|n| (n, reached(n))).collect();
    let mut found: Vec<(BTreeSet<String>, Vec<String>)> = vec![];
    for (name, to) in reach.iter().filter(|(name, to)| to.contains(**name)) {
        if found.iter().any(|c| c.0.contains(*name)) {
            continue;
        }
        let back = |other: &&String| reach.get(other).is_some_and(|r| r.contains(*name));
        let circle: BTreeSet<String> = to.iter().filter(back).cloned().collect();
        let among = |user: &String| {
            let used = uses[user].iter().filter(|u| circle.contains(u.0));
            used.map(|(file, place)| format!("{place}: {user} uses {file}")).collect::<Vec<_>>()
        };
        let places = circle.iter().flat_map(among).collect();
        found.push((circle, places));
    }
    found
}
