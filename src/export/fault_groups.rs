//! A sheet's faults as the summary tells them: faults of one kind on copies of one part are one entry, with the numbers that they
//! have on the sheet's picture.

use super::faults::{fault_place, fault_what, fault_words};
use super::words::count;
use crate::layout::{Fault, FaultKind, Layout};
use crate::units::Units;

/// Faults that one sentence tells.
struct FaultGroup<'a> {
    /// Their numbers on the sheet's picture, from 1.
    numbers: Vec<usize>,
    faults: Vec<&'a Fault>,
}

/// The lines on a sheet's faults: `walnut-6mm-1 faults 1 to 6: gable, 6 places, copies 1 and 2: ...`.
pub fn fault_lines(layout: &Layout, sheet: &str, units: Units) -> Vec<String> {
    let mut groups: Vec<FaultGroup> = vec![];
    for (i, fault) in layout.faults.iter().filter(|f| f.sheet == sheet).enumerate() {
        let like = groups.iter_mut().find(|g| g.faults.iter().any(|f| is_like(f, fault)));
        match like {
            Some(group) => {
                group.numbers.push(i + 1);
                group.faults.push(fault);
            }
            None => groups.push(FaultGroup { numbers: vec![i + 1], faults: vec![fault] }),
        }
    }
    groups.iter().filter_map(|g| line(g, sheet, units)).collect()
}

/// Whether both faults are the same except for figures, on copies of one part.
fn is_like(a: &Fault, b: &Fault) -> bool {
    use FaultKind as F;
    a.part.is_some()
        && a.part == b.part
        && match (&a.kind, &b.kind) {
            (F::LeftStanding { cleft_mm: a, .. }, F::LeftStanding { cleft_mm: b, .. }) => {
                a.is_some() == b.is_some()
            }
            (F::NotReached { ring: a, .. }, F::NotReached { ring: b, .. }) => a == b,
            (F::TooWeak { .. }, F::TooWeak { .. })
            | (F::NoFirmLanding { .. }, F::NoFirmLanding { .. })
            | (F::SkinCut { .. }, F::SkinCut { .. }) => true,
            (a, b) => a == b,
        }
}

/// How bad a fault is among those like it: more is worse.
fn badness(kind: &FaultKind) -> f64 {
    match kind {
        FaultKind::LeftStanding { area_mm2, cleft_mm } => cleft_mm.unwrap_or(*area_mm2),
        FaultKind::NotReached { width_mm, .. } => -width_mm,
        FaultKind::TooWeak { margin } => -margin,
        FaultKind::NoFirmLanding { gives_mm } => *gives_mm,
        FaultKind::SkinCut { left } => -left,
        _ => 0.0,
    }
}

fn line(group: &FaultGroup, sheet: &str, units: Units) -> Option<String> {
    let numbered = || group.numbers.iter().zip(&group.faults);
    if let [only] = group.faults[..] {
        return Some(format!(
            "{sheet} fault {}: {}",
            runs(&group.numbers),
            fault_words(only, units)
        ));
    }
    // Of those that are equally bad the first.
    let worst = numbered().rev().max_by(|a, b| badness(&a.1.kind).total_cmp(&badness(&b.1.kind)));
    let (number, worst) = worst?;
    let what = fault_what(worst, units);
    let alike = group.faults.iter().all(|f| fault_what(f, units) == what);
    let which = if alike { "the first".to_string() } else { format!("the worst, fault {number},") };
    let at = worst.at.map(|at| format!(" ({which} at {})", fault_place(units, at)));
    Some(format!(
        "{sheet} faults {}: {}{}: {what}{}",
        runs(&group.numbers),
        worst.part.as_deref().unwrap_or_default(),
        places(&group.faults),
        at.unwrap_or_default()
    ))
}

/// `, 12 places, copies 1 and 2`.
fn places(faults: &[&Fault]) -> String {
    let mut copies: Vec<usize> = faults.iter().filter_map(|f| f.copy).collect();
    copies.sort_unstable();
    copies.dedup();
    let places = match faults.len() {
        n if n > copies.len() => format!(", {}", count(n, "place")),
        _ => String::new(),
    };
    match copies.len() {
        0 => places,
        1 => format!("{places}, copy {}", runs(&copies)),
        _ => format!("{places}, copies {}", runs(&copies)),
    }
}

/// Ascending numbers: `1 and 2`, `1 to 6 and 9`.
fn runs(numbers: &[usize]) -> String {
    let mut said: Vec<String> = vec![];
    for run in numbers.chunk_by(|a, b| *b == a + 1) {
        match run {
            [first, _, .., last] => said.push(format!("{first} to {last}")),
            few => said.extend(few.iter().map(usize::to_string)),
        }
    }
    match &said[..] {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => said.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(part: &str, copy: usize, kind: FaultKind) -> Fault {
        let at = Some([10.0 * copy as f64, 20.0]);
        let (sheet, part) = ("ply-1".to_string(), Some(part.to_string()));
        Fault { kind, sheet, part, copy: Some(copy), at, message: String::new() }
    }

    fn lines(faults: Vec<Fault>) -> Vec<String> {
        fault_lines(&Layout { faults, ..Layout::new("", 1) }, "ply-1", Units::Mm)
    }

    #[test]
    fn faults_of_one_kind_on_copies_of_a_part_are_one_entry() {
        let cleft = |copy, mm| {
            let kind = FaultKind::LeftStanding { area_mm2: 9.0, cleft_mm: Some(mm) };
            fault("roof-l", copy, kind)
        };
        let mut all: Vec<Fault> = (0..6).map(|_| cleft(1, 3.0)).collect();
        all.push(fault("bar", 1, FaultKind::Loose));
        all.extend((0..6).map(|k| cleft(2, if k == 4 { 3.5 } else { 3.0 })));
        let told = lines(all);
        assert_eq!(told.len(), 2, "{told:?}");
        // The worst is the fifth of copy 2: 6 + 1 + 5 = 12.
        let head = "ply-1 faults 1 to 6 and 8 to 13: roof-l, 12 places, copies 1 and 2: the bit stops 3.50 mm short";
        assert!(told[0].starts_with(head), "{told:?}");
        assert!(told[0].ends_with("(the worst, fault 12, at x 20.0, y 20.0 mm)"), "{told:?}");
        assert!(told[1].starts_with("ply-1 fault 7: bar 1: nothing holds it"), "{told:?}");
    }

    /// One fault a copy needs no number of places; other openings and other parts are other entries.
    #[test]
    fn what_differs_in_more_than_figures_stays_apart() {
        let opening = |copy, ring| fault("lid", copy, FaultKind::NotCut { ring });
        let told = lines(vec![
            opening(1, 1),
            opening(1, 2),
            opening(2, 1),
            fault("tray", 1, FaultKind::NotCut { ring: 1 }),
        ]);
        assert_eq!(told.len(), 3, "{told:?}");
        assert!(
            told[0]
                .starts_with("ply-1 faults 1 and 3: lid, copies 1 and 2: its opening 1 is not cut"),
            "{told:?}"
        );
        assert!(told[0].ends_with("(the first at x 10.0, y 20.0 mm)"), "{told:?}");
        assert!(told[1].starts_with("ply-1 fault 2: lid 1: its opening 2"), "{told:?}");
        assert!(told[2].starts_with("ply-1 fault 4: tray 1: "), "{told:?}");
        assert_eq!(runs(&[1, 2, 3, 5, 7, 8]), "1 to 3, 5, 7 and 8");
    }

    /// A cleft stays with any bit, so no smaller one is advised; other stock that is left can go with one.
    #[test]
    fn a_smaller_bit_is_advised_only_where_it_helps() {
        let left = |cleft_mm| fault("a", 1, FaultKind::LeftStanding { area_mm2: 9.0, cleft_mm });
        let cleft = &lines(vec![left(Some(3.0))])[0];
        assert!(!cleft.contains("use a smaller bit"), "{cleft}");
        assert!(
            cleft.contains("round the corner in the drawing")
                && cleft.contains("corners = \"rounded\""),
            "{cleft}"
        );
        assert!(lines(vec![left(None)])[0].contains("use a smaller bit"));
    }
}
