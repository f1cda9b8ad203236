//! Warnings as a maker reads them: the same thing said of many parts is said once.

use crate::layout::Warning;

/// A warning with everyone it concerns.
#[derive(Debug, Clone, PartialEq)]
pub struct Warned {
    /// `3 parts: gull, tern 2, yacht`, or the part's name, or nothing for the whole job.
    pub who: String,
    /// What, as said of the first.
    pub what: String,
}

/// The warnings, those that differ in nothing but names and figures gathered, in the order they came.
pub fn warned(warnings: &[Warning]) -> Vec<Warned> {
    let mut kinds: Vec<(String, String, Vec<String>)> = vec![];
    for warning in warnings {
        let (who, what) = parted(warning);
        let kind = without_figures(&what);
        match kinds.iter_mut().find(|(k, _, _)| *k == kind) {
            Some((_, _, names)) if names.contains(&who) => {}
            Some((_, _, names)) => names.push(who),
            None => kinds.push((kind, what, vec![who])),
        }
    }
    let gather = |(_, what, names): (String, String, Vec<String>)| match names.as_slice() {
        [one] => Warned { who: one.clone(), what },
        many => {
            let first = &many[0];
            let who = format!("{} parts: {}", many.len(), many.join(", "));
            Warned { who, what: format!("{what} ({first})") }
        }
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

fn without_figures(text: &str) -> String {
    text.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_in_figures_only_is_said_once() {
        let of = |part: &str, message: &str| Warning { part: part.into(), message: message.into() };
        let all = [
            of("gull", "moves up to 0.13 mm"),
            of("", "tern 2: tab 1 is left 2.1 mm wide"),
            of("yacht", "moves up to 0.25 mm"),
        ];
        let told = warned(&all);
        assert_eq!(told.len(), 2);
        assert_eq!(told[0].who, "2 parts: gull, yacht");
        assert_eq!(told[0].what, "moves up to 0.13 mm (gull)");
        assert_eq!(told[1].who, "tern 2");
    }
}
