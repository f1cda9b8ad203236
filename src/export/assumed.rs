//! Sentences for assumed values, unmet requests and doubtful values of a job.

use super::words::{self, thousands};
use crate::job::{Doubt, Odd, Quantity};
use crate::layout::{Assumed, AssumedValue, Method, Subject, Unmet, Winding};
use crate::units::{Units, trimmed};

/// One line for the job, each bit, stock and drawing: what was assumed, and in brackets the key that sets it.
pub fn assumed_lines(assumed: &[Assumed], units: Units) -> Vec<String> {
    let mut lines: Vec<(&Subject, Vec<String>)> = vec![];
    for one in assumed {
        let value = format!("{} ({})", value(&one.value, units), key(&one.value));
        match lines.iter_mut().find(|(of, _)| **of == one.of) {
            Some((_, values)) => values.push(value),
            None => lines.push((&one.of, vec![value])),
        }
    }
    lines
        .into_iter()
        .map(|(of, values)| format!("{}: {}", subject(of), values.join(", ")))
        .collect()
}

/// What came of a request that is not met.
pub fn unmet_line(unmet: &Unmet) -> String {
    match unmet {
        Unmet::Spares { part, wanted, placed: 0 } => {
            format!("{part}: no room for its {}", words::count(*wanted, "spare"))
        }
        Unmet::Spares { part, wanted, placed } => {
            format!("{part}: room for {placed} of its {wanted} spares")
        }
        Unmet::CleanTabs { part, on_end_grain, tabs } => format!(
            "{part}: {on_end_grain} of its {} stand on end grain, though prefer = \"clean\" asks for long grain",
            words::count(*tabs, "tab")
        ),
        Unmet::HoldBy { part, wanted, got } => {
            let said = |method: &Method| match method {
                Method::Tabs => "tabs",
                Method::Skin => "a skin",
                Method::Tape => "tape",
                Method::None => "nothing",
            };
            format!("{part}: {} asked for does not hold it; {} does", said(wanted), said(got))
        }
        Unmet::NoGrain { part, material } => {
            format!("{part}: its grain direction has no effect: {material} has no grain")
        }
        Unmet::GrainPinned { part, copy, off_deg, tolerance_deg } => format!(
            "{part} {copy}: its pin places it {}° off its grain ({}° allowed)",
            trimmed(*off_deg, 1),
            trimmed(*tolerance_deg, 1)
        ),
    }
}

/// What a message about a job names: the keys of its file, or flags where drawings and flags stand for the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Voice {
    /// Keys of the job file.
    JobFile,
    /// Flags.
    Flags,
}

/// A value that was probably not meant, and what to write instead.
pub fn doubt_line(doubt: &Doubt, units: Units, voice: Voice) -> String {
    if voice == Voice::Flags {
        return doubt_of_flag(doubt, units);
    }
    let (of, key) = (subject(&doubt.of), doubt.key);
    match &doubt.odd {
        Odd::Inches { written } => format!(
            "{of}: {key} {written} means {written} mm, because the job has no units and its drawings are in mm. If inches are meant, write units = \"in\" at the \
             head of the job file; if mm, units = \"mm\"; or give the number its unit ({written}in, {written}mm)"
        ),
        Odd::Unusual { value, usual } => format!(
            "{of}: {key} {} is far outside the usual range, {} to {}{}",
            quantity(*value, units),
            quantity(usual.0, units),
            quantity(usual.1, units),
            if doubt.grade == crate::job::Grade::Refused {
                ": correct it; a bare number is in the job's units"
            } else {
                "; it is used as given"
            }
        ),
        Odd::NameSpiral { says, given: None } => format!(
            "{of}: its name says {0}, but it has no spiral key: write spiral = \"{0}\", or the spiral that it has",
            winding(*says)
        ),
        Odd::NameSpiral { says, given: Some(given) } => format!(
            "{of}: its name says {}, but spiral says {}: correct one of them",
            winding(*says),
            winding(*given)
        ),
        Odd::Compression => format!(
            "{of}: its name says compression: write spiral = \"up\", because its tip cuts the last pass and lifts; \
             or rename it"
        ),
        Odd::NameDiameter { says, given } => format!(
            "{of}: its name says {}, its diameter is {}: {} is used",
            words::fine(units, *says),
            words::fine(units, *given),
            words::fine(units, *given)
        ),
        Odd::NameFlutes { says, given: None } => format!(
            "{of}: its name says {}, but it has no flutes key: write flutes = {says}",
            words::count(*says as usize, "flute")
        ),
        Odd::NameFlutes { says, given: Some(given) } => format!(
            "{of}: its name says {}, flutes says {given}: {given} is used",
            words::count(*says as usize, "flute")
        ),
        Odd::Repeated => {
            format!("{of}: two {key} tables have this name: merge them, or rename one")
        }
        Odd::DrawnTwice => format!(
            "{of}: two {key} tables name it for the same material and thickness: merge them, and write quantity for more copies"
        ),
        Odd::ScaledTwice => {
            format!(
                "{of}: two [[drawing]] tables give it different dpi or scale: use the same in both"
            )
        }
    }
}

/// The same where flags gave the value; only lengths of bit and sheet can be odd there.
fn doubt_of_flag(doubt: &Doubt, units: Units) -> String {
    let flag = match doubt.key {
        "diameter" => "--bit",
        "size" => "--sheet",
        "thickness" => "--thickness",
        other => other,
    };
    match &doubt.odd {
        Odd::Inches { written } => format!(
            "{flag}: {written} means {written} mm, because the drawing is in mm. If inches are meant, add --units in; if mm, add \
             --units mm; or give the number its unit ({written}in, {written}mm)"
        ),
        Odd::Unusual { value, usual } => format!(
            "{flag}: {} is far outside the usual range, {} to {}{}",
            quantity(*value, units),
            quantity(usual.0, units),
            quantity(usual.1, units),
            if doubt.grade == crate::job::Grade::Refused {
                ": correct it"
            } else {
                "; it is used as given"
            }
        ),
        _ => doubt_line(doubt, units, Voice::JobFile),
    }
}

fn subject(of: &Subject) -> String {
    match of {
        Subject::Job => "job".into(),
        Subject::Bit(name) => format!("bit '{name}'"),
        Subject::Stock(name) => format!("stock '{name}'"),
        Subject::Drawing(name) => format!("drawing '{name}'"),
        Subject::Part(name) => format!("part '{name}'"),
        Subject::Material(name) => format!("material '{name}'"),
    }
}

fn winding(winding: Winding) -> &'static str {
    match winding {
        Winding::Up => "up",
        Winding::Down => "down",
        Winding::Straight => "straight",
    }
}

fn value(value: &AssumedValue, units: Units) -> String {
    match value {
        AssumedValue::Units(Units::Mm) => "bare numbers are mm".into(),
        AssumedValue::Units(Units::In) => "bare numbers are inches".into(),
        AssumedValue::Material(name) => name.clone(),
        AssumedValue::Strength(mpa) => format!("strength {}", words::stress(units, *mpa)),
        AssumedValue::Stiffness(mpa) => format!("stiffness {}", words::stress(units, *mpa)),
        AssumedValue::CuttingForce(times) => match trimmed(*times, 2) {
            same if same == "1" => "the same cutting force".into(),
            times => format!("{times} times its cutting force"),
        },
        AssumedValue::Like(row) => format!("what is not given is as in {row}"),
        AssumedValue::Spiral(Winding::Straight) => "straight flutes, no lift".into(),
        AssumedValue::Spiral(way) => format!("{}-spiral", winding(*way)),
        AssumedValue::HelixDeg(deg) => format!("helix {}°", trimmed(*deg, 1)),
        AssumedValue::Flutes(n) => words::count(*n as usize, "flute"),
        AssumedValue::PassDepth(mm) => format!("{} per pass", words::fine(units, *mm)),
        AssumedValue::Feed(mm) => quantity(Quantity::Feed(*mm), units),
        AssumedValue::Rpm(rpm) => quantity(Quantity::Rpm(*rpm), units),
        AssumedValue::Margin(mm) => format!("margin {}", words::fine(units, *mm)),
        AssumedValue::GrainDeg(deg) if *deg == 0.0 => "grain along x".into(),
        AssumedValue::GrainDeg(deg) if *deg == 90.0 => "grain along y".into(),
        AssumedValue::GrainDeg(deg) => format!("grain at {}°", trimmed(*deg, 1)),
        AssumedValue::Dpi(dpi) => {
            format!(
                "{} pixels per inch, because the file states no physical size",
                trimmed(*dpi, 3)
            )
        }
    }
}

/// The key of the job file that sets a value, or a flag if only the command line leaves it open.
fn key(value: &AssumedValue) -> &'static str {
    match value {
        AssumedValue::Units(_) => "units",
        AssumedValue::Material(_) => "--material",
        AssumedValue::Strength(_) => "strength",
        AssumedValue::Stiffness(_) => "stiffness",
        AssumedValue::CuttingForce(_) => "[[cutting-force]]",
        AssumedValue::Like(_) => "like",
        AssumedValue::Spiral(_) => "spiral",
        AssumedValue::HelixDeg(_) => "helix",
        AssumedValue::Flutes(_) => "flutes",
        AssumedValue::PassDepth(_) => "pass-depth",
        AssumedValue::Feed(_) => "feed",
        AssumedValue::Rpm(_) => "rpm",
        AssumedValue::Margin(_) => "margin",
        AssumedValue::GrainDeg(_) => "grain",
        AssumedValue::Dpi(_) => "dpi",
    }
}

fn quantity(quantity: Quantity, units: Units) -> String {
    match (quantity, units) {
        (Quantity::Length(mm), _) => words::fine(units, mm),
        (Quantity::Feed(mm), Units::Mm) => format!("{} mm/min", thousands(mm)),
        (Quantity::Feed(mm), Units::In) => format!("{} in/min", trimmed(mm / units.mm(), 1)),
        (Quantity::Chip(mm), Units::Mm) => format!("{} mm per tooth", trimmed(mm, 4)),
        (Quantity::Chip(mm), Units::In) => format!("{} in per tooth", trimmed(mm / units.mm(), 5)),
        (Quantity::Rpm(rpm), _) => format!("{} rpm", thousands(rpm)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_line_a_subject_in_the_users_units() {
        let bit = Subject::Bit("1/8".into());
        let assumed = [
            Assumed { of: bit.clone(), value: AssumedValue::Spiral(Winding::Straight) },
            Assumed { of: bit, value: AssumedValue::Feed(1524.0) },
            Assumed { of: Subject::Job, value: AssumedValue::Units(Units::In) },
        ];
        assert_eq!(
            assumed_lines(&assumed, Units::In),
            [
                "bit '1/8': straight flutes, no lift (spiral), 60 in/min (feed)",
                "job: bare numbers are inches (units)"
            ]
        );
        assert!(assumed_lines(&assumed, Units::Mm)[0].contains("1,524 mm/min (feed)"));
    }
}
