//! Warnings as a maker reads them: the same thing said of many parts is said once.

use crate::layout::Warning;

/// A warning with everyone it concerns.
#[derive(Debug, Clone, PartialEq)]
pub struct Warned {
    /// What, as said of the first.
    pub what: String,
    /// Whom: parts, each with what is true of it alone (in brackets at the end of the message) where they are few;
    /// empty for the whole job.
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

/// Of more parts than this only the names are told: what is true of each alone stands in the layout file (set by
/// hand: about what is read, not looked over).
const FEW: usize = 4;

/// The warnings, those that differ in nothing but names and figures gathered, in the order they came.
pub fn warned(warnings: &[Warning]) -> Vec<Warned> {
    struct Kind {
        key: String,
        what: String,
        first: String,
        figures: bool,
        names: Vec<String>,
        who: Vec<String>,
    }
    let mut kinds: Vec<Kind> = vec![];
    for warning in warnings {
        let (name, text) = parted(warning);
        let (what, own) = detail(&text);
        let who = if own.is_empty() { name.clone() } else { format!("{name} ({own})") };
        let key = without_figures(what);
        match kinds.iter_mut().find(|k| k.key == key) {
            Some(kind) => {
                kind.figures |= kind.what != what;
                for (list, one) in [(&mut kind.names, name), (&mut kind.who, who)] {
                    if !list.contains(&one) {
                        list.push(one);
                    }
                }
            }
            None => kinds.push(Kind {
                key,
                what: what.into(),
                first: name.clone(),
                figures: false,
                names: vec![name],
                who: vec![who],
            }),
        }
    }
    let gather = |k: Kind| {
        let what = if k.figures { format!("{} (figures of {})", k.what, k.first) } else { k.what };
        let who = if k.who.len() > FEW { k.names } else { k.who };
        Warned { what, who: who.into_iter().filter(|w| !w.is_empty()).collect() }
    };
    kinds.into_iter().map(gather).collect()
}

/// Whom and what; a cut's fault names its part at the start of the message.
fn parted(warning: &Warning) -> (String, String) {
    if warning.part.is_empty()
        && let Some((who, what)) = warning.message.split_once(": ")
    {
        return (who.into(), what.into());
    }
    (warning.part.clone(), warning.message.clone())
}

/// What is said, and what concerns this part alone: brackets at the end that name copies.
fn detail(text: &str) -> (&str, &str) {
    let open = text.strip_suffix(')');
    let split = open.and_then(|t| t.split_once(" (copy ").or_else(|| t.split_once(" (copies ")));
    match split {
        Some((what, _)) => (what, &text[what.len() + 2..text.len() - 1]),
        None => (text, ""),
    }
}

fn without_figures(text: &str) -> String {
    text.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(part: &str, message: &str) -> Warning {
        Warning { part: part.into(), message: message.into() }
    }

    #[test]
    fn what_differs_in_figures_only_is_said_once() {
        let all = [
            of("gull", "moves up to 0.13 mm"),
            of("", "tern 2: tab 1 is left 2.1 mm wide"),
            of("yacht", "moves up to 0.25 mm"),
        ];
        let told = warned(&all);
        assert_eq!(told.len(), 2);
        assert_eq!(told[0].who(), "2 parts: gull, yacht");
        assert_eq!(told[0].what, "moves up to 0.13 mm (figures of gull)");
        assert_eq!(told[1].who(), "tern 2");
    }

    #[test]
    fn what_concerns_a_part_alone_stays_with_its_name() {
        let all = [
            of("gull", "lands softly (copy 1, tab 2: gives 0.1 mm)"),
            of("tern", "lands softly (copy 1, tab 1: gives 0.2 mm; copy 3, tab 2: gives 0.4 mm)"),
            of("slat", "lands softly (copies 2, 4, tab 1: gives 0.2 mm)"),
        ];
        let told = warned(&all);
        assert_eq!(told.len(), 1);
        assert_eq!(told[0].what, "lands softly");
        assert_eq!(told[0].who[0], "gull (copy 1, tab 2: gives 0.1 mm)");
        assert_eq!(told[0].who[2], "slat (copies 2, 4, tab 1: gives 0.2 mm)");
        assert_eq!(told[0].who.len(), 3);
        // Of more than four the names are enough, each once.
        let names = ["gull", "tern", "gull", "slat", "pier", "gull"];
        let many: Vec<Warning> = (1..)
            .zip(names)
            .map(|(k, name)| of(name, &format!("lands softly (copy {k}, tab 1: gives 0.{k} mm)")))
            .collect();
        assert_eq!(warned(&many)[0].who(), "4 parts: gull, tern, slat, pier");
    }
}
