//! Warnings as a maker reads them: a warning that concerns several parts is given once.

use super::warnings::{ALONE, DO_NOT_REPEAT, Said, said, warning_words};
use crate::layout::{Layout, Method, PlacedPart, Warning, WarningKind};
use crate::units::Units;

/// A warning with all the parts it concerns.
#[derive(Debug, Clone, PartialEq)]
pub struct Warned {
    /// What to mind and what to do; with the figures if it concerns one part alone.
    pub what: String,
    /// The parts: of several, each with its own figures in brackets if they are few; empty for the whole job.
    pub who: Vec<String>,
}

impl Warned {
    /// `spandrel`, `3 parts: spandrel, pier, cliff`; empty for the whole job.
    pub fn who(&self) -> String {
        match self.who.as_slice() {
            [one] => one.clone(),
            many => format!("{} parts: {}", many.len(), many.join(", ")),
        }
    }
}

/// For more parts than this only the names are given: each part's own figures are in the layout file (set by
/// hand: about as many as are read, not skimmed).
const FEW: usize = 4;

/// The layout's warnings, those that ask the same of the maker joined into one, in the order they came.
pub fn warned(layout: &Layout, units: Units) -> Vec<Warned> {
    let mut kinds: Vec<(&Warning, Vec<&Warning>)> = vec![];
    for warning in layout.warnings.iter().filter(|w| !left_out(layout, &w.part)) {
        match kinds.iter_mut().find(|(first, _)| is_like(first, warning)) {
            Some((_, all)) => all.push(warning),
            None => kinds.push((warning, vec![warning])),
        }
    }
    let told = |(first, all): (&Warning, Vec<&Warning>)| {
        let gathered = gathered(first, &all, units);
        match first.kind {
            Some(WarningKind::DoNotRepeat { .. }) => but_for(layout, gathered),
            _ => gathered,
        }
    };
    kinds.into_iter().map(told).collect()
}

/// Whether no copy of a part is placed: its warnings then concern nobody.
pub fn left_out(layout: &Layout, part: &str) -> bool {
    layout.unplaced.iter().any(|u| u.part == part)
        && !layout.sheets.iter().flat_map(|s| &s.parts).any(|p| p.part == part)
}

/// Words a warning as one about all parts held by tabs except those that it does not concern, if those are fewer.
fn but_for(layout: &Layout, warned: Warned) -> Warned {
    let on_tabs = |p: &&PlacedPart| p.hold.method == Method::Tabs;
    let mut others: Vec<&str> = vec![];
    for part in layout.sheets.iter().flat_map(|s| &s.parts).filter(on_tabs) {
        let name = part.part.as_str();
        if !others.contains(&name) && !warned.who.iter().any(|who| who == name) {
            others.push(name);
        }
    }
    if warned.who.len() <= FEW.max(others.len()) {
        return warned;
    }
    let whom = if others.is_empty() {
        "any part held by tabs".to_string()
    } else {
        format!("parts held by tabs, except {}", others.join(", "))
    };
    Warned { what: format!("{DO_NOT_REPEAT} on {whom}: {ALONE}"), who: vec![] }
}

fn is_like(a: &Warning, b: &Warning) -> bool {
    match (&a.kind, &b.kind) {
        (Some(a), Some(b)) => a.is_like(b),
        (None, None) => a.message == b.message,
        _ => false,
    }
}

fn gathered(first: &Warning, all: &[&Warning], units: Units) -> Warned {
    if all.len() == 1 {
        let who = Some(first.part.clone()).filter(|part| !part.is_empty());
        return Warned { what: warning_words(first, units), who: who.into_iter().collect() };
    }
    let (mut names, mut who): (Vec<String>, Vec<String>) = (vec![], vec![]);
    for warning in all.iter().filter(|w| !w.part.is_empty()) {
        let Said { own, .. } = said(warning, units);
        let one =
            if own.is_empty() { warning.part.clone() } else { format!("{} ({own})", warning.part) };
        for (list, one) in [(&mut names, warning.part.clone()), (&mut who, one)] {
            if !list.contains(&one) {
                list.push(one);
            }
        }
    }
    Warned { what: said(first, units).what, who: if who.len() > FEW { names } else { who } }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::SoftLanding;

    fn with(warnings: &[Warning]) -> Layout {
        Layout { warnings: warnings.to_vec(), ..Layout::new("", 1) }
    }

    fn moves(part: &str, movement_mm: f64) -> Warning {
        Warning::of(part, WarningKind::DoNotRepeat { movement_mm, safety: 1.5 })
    }

    fn soft(part: &str, copies: &[usize], tab: usize) -> Warning {
        let landing = |copies: &[usize]| SoftLanding {
            copies: copies.into(),
            tab,
            width_mm: 4.0,
            gives_mm: Some(0.1),
        };
        Warning::of(part, WarningKind::SoftLanding { landings: vec![landing(copies)] })
    }

    #[test]
    fn what_differs_in_figures_only_is_said_once() {
        let tape = WarningKind::NoLanding { method: Method::Tape };
        let skin = WarningKind::NoLanding { method: Method::Skin };
        let all = [
            moves("gull", 0.13),
            Warning { copies: vec![2], ..Warning::of("tern", tape) },
            moves("yacht", 0.254),
            Warning::of("slat", skin),
        ];
        let told = warned(&with(&all), Units::Mm);
        assert_eq!(told.len(), 3, "{told:?}");
        assert!(told[0].who().starts_with("2 parts: gull (it moves up to 0.13 mm"), "{told:?}");
        assert!(told[0].who[1].contains("0.25 mm at the bit, safety 1.5"), "{told:?}");
        assert_eq!(told[1].who(), "tern");
        assert!(told[1].what.ends_with("held by tape (copy 2)"), "{told:?}");
        let told = warned(&with(&all), Units::In);
        assert!(told[0].who[1].contains("0.010 in at the bit"), "{told:?}");
    }

    #[test]
    fn what_concerns_a_part_alone_stays_with_its_name() {
        let all = [soft("gull", &[1], 2), soft("tern", &[1], 1), soft("slat", &[2, 4], 1)];
        let told = warned(&with(&all), Units::Mm);
        assert_eq!(told.len(), 1);
        assert!(told[0].what.starts_with("soft landing: ") && !told[0].what.contains("gives up"));
        let strip = "a strip 4 mm wide that gives way by up to 0.10 mm under the cut";
        assert_eq!(told[0].who[0], format!("gull (copy 1, tab 2: {strip})"));
        assert_eq!(told[0].who[2], format!("slat (copies 2, 4, tab 1: {strip})"));
        // Of more than four the names are enough, each once.
        let names = ["gull", "tern", "gull", "slat", "pier", "gull"];
        let many: Vec<Warning> =
            names.iter().enumerate().map(|(k, name)| soft(name, &[k + 1], 1)).collect();
        assert_eq!(warned(&with(&many), Units::Mm)[0].who(), "4 parts: gull, tern, slat, pier");
    }

    /// An older file has sentences alone.
    #[test]
    fn a_warning_without_a_value_is_told_in_its_own_words() {
        let old = |part: &str| Warning {
            part: part.into(),
            kind: None,
            copies: vec![],
            message: "moves up to 0.13 mm".into(),
        };
        let told = warned(&with(&[old("gull"), old("tern")]), Units::Mm);
        assert_eq!(told.len(), 1);
        assert_eq!((told[0].what.as_str(), told[0].who.len()), ("moves up to 0.13 mm", 2));
    }
}
