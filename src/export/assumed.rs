//! Sentences for assumed values, unmet requests and doubtful values of a job.

use super::words::{self, thousands};
use crate::job::{Doubt, Odd, Quantity};
use crate::layout::{Assumed, AssumedValue, Method, Subject, Unmet, Winding};
use crate::units::{Units, trimmed};

/// What was assumed, one line for each key of the job file: the key, and the value taken; for whom, where the values differ.
pub fn assumed_lines(assumed: &[Assumed], units: Units) -> Vec<String> {
    assumed_keys(assumed, units).into_iter().map(|(key, value)| format!("{key}: {value}")).collect()
}

/// A value in words, and whom it is taken for.
type ValueFor<'a> = (String, Vec<&'a Subject>);

/// The same in two columns.
pub fn assumed_keys(assumed: &[Assumed], units: Units) -> Vec<(String, String)> {
    let mut keys: Vec<(String, Vec<ValueFor>)> = vec![];
    for one in assumed {
        let (key, value) = (key_in_file(one), value(&one.value, units));
        let at = keys.iter().position(|(k, _)| *k == key).unwrap_or_else(|| {
            keys.push((key, vec![]));
            keys.len() - 1
        });
        let values = &mut keys[at].1;
        match values.iter_mut().find(|(v, _)| *v == value) {
            Some((_, of)) => of.push(&one.of),
            None => values.push((value, vec![&one.of])),
        }
    }
    let told = |values: Vec<ValueFor>| {
        let differ = values.len() > 1;
        let one = |(value, of): ValueFor| match names(&of, differ) {
            None => value,
            Some(names) => format!("{value} ({names})"),
        };
        values.into_iter().map(one).collect::<Vec<_>>().join(", ")
    };
    keys.into_iter().map(|(key, values)| (key, told(values))).collect()
}

/// The key with its table, as a job file has them.
fn key_in_file(one: &Assumed) -> String {
    let table = match (&one.of, &one.value) {
        (_, AssumedValue::CuttingForce(_)) | (Subject::Job, _) => "",
        (Subject::Bit(_), _) => "[[bit]] ",
        (Subject::Stock(_), _) => "[[stock]] ",
        (Subject::Drawing(_), _) => "[[drawing]] ",
        (Subject::Part(_), _) => "[[part]] ",
        (Subject::Material(_), _) => "[[material]] ",
    };
    format!("{table}{}", key(&one.value))
}

/// Names of the bits, stock or materials that a value is for: given where values differ, and always for materials, since a job
/// gives only some of their figures.
fn names(of: &[&Subject], differ: bool) -> Option<String> {
    let name = |of: &&Subject| match of {
        Subject::Job => None,
        Subject::Bit(n)
        | Subject::Stock(n)
        | Subject::Drawing(n)
        | Subject::Part(n)
        | Subject::Material(n) => Some(n.clone()),
    };
    let of_material = matches!(of.first(), Some(Subject::Material(_)));
    let names: Vec<String> = of.iter().filter_map(name).filter(|_| differ || of_material).collect();
    (!names.is_empty()).then(|| words::few(&names))
}

/// What the layout has instead of a request that it does not meet.
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
            format!(
                "{part}: the job asks for {}, but that does not hold it; {} does",
                said(wanted),
                said(got)
            )
        }
        Unmet::NoGrain { part, material } => {
            format!("{part}: its grain direction has no effect: {material} has no grain")
        }
        Unmet::PinnedSheet { part, copy, wanted, sheet } => format!(
            "{part} {copy}: its pin names sheet {wanted} of its material, but fewer are used: it lies on {sheet}"
        ),
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
            "{of}: its name says {}, but its diameter is {}: {} is used",
            words::fine(units, *says),
            words::fine(units, *given),
            words::fine(units, *given)
        ),
        Odd::NameFlutes { says, given: None } => format!(
            "{of}: its name says {}, but it has no flutes key: write flutes = {says}",
            words::count(*says as usize, "flute")
        ),
        Odd::NameFlutes { says, given: Some(given) } => format!(
            "{of}: its name says {}, but flutes says {given}: {given} is used",
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
        AssumedValue::Units(Units::Mm) => "mm, for bare numbers".into(),
        AssumedValue::Units(Units::In) => "in, for bare numbers".into(),
        AssumedValue::Material(name) => name.clone(),
        AssumedValue::Strength(mpa) => words::stress(units, *mpa),
        AssumedValue::Stiffness(mpa) => words::stress(units, *mpa),
        AssumedValue::CuttingForce(times) => match trimmed(*times, 2) {
            same if same == "1" => "as that of the material it is like".into(),
            times => format!("{times} times that of the material it is like"),
        },
        AssumedValue::Like(row) => row.clone(),
        AssumedValue::Spiral(Winding::Straight) => "straight, so no lift".into(),
        AssumedValue::Spiral(way) => winding(*way).into(),
        AssumedValue::HelixDeg(deg) => format!("{}°", trimmed(*deg, 1)),
        AssumedValue::Flutes(n) => n.to_string(),
        AssumedValue::PassDepth(mm) => words::fine(units, *mm),
        AssumedValue::Feed(mm) => quantity(Quantity::Feed(*mm), units),
        AssumedValue::Rpm(rpm) => quantity(Quantity::Rpm(*rpm), units),
        AssumedValue::Margin(mm) => words::fine(units, *mm),
        AssumedValue::GrainDeg(deg) if *deg == 0.0 => "along x".into(),
        AssumedValue::GrainDeg(deg) if *deg == 90.0 => "along y".into(),
        AssumedValue::GrainDeg(deg) => format!("at {}°", trimmed(*deg, 1)),
        AssumedValue::Dpi(dpi) => {
            format!(
                "{} pixels per inch, because the drawing states no physical size",
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
    fn one_line_a_key_in_the_users_units() {
        let bit = |name: &str| Subject::Bit(name.into());
        let assumed = [
            Assumed { of: bit("1/8"), value: AssumedValue::Flutes(2) },
            Assumed { of: bit("1/8"), value: AssumedValue::Feed(1524.0) },
            Assumed { of: bit("1/16"), value: AssumedValue::Flutes(2) },
            Assumed { of: bit("1/16"), value: AssumedValue::Feed(762.0) },
            Assumed {
                of: Subject::Material("cork".into()),
                value: AssumedValue::Strength(68.94757),
            },
            Assumed { of: Subject::Job, value: AssumedValue::Units(Units::In) },
        ];
        assert_eq!(
            assumed_lines(&assumed, Units::In),
            [
                "[[bit]] flutes: 2",
                "[[bit]] feed: 60 in/min (1/8), 30 in/min (1/16)",
                "[[material]] strength: 10,000 psi (cork)",
                "units: in, for bare numbers"
            ]
        );
        assert_eq!(
            assumed_lines(&assumed, Units::Mm)[1],
            "[[bit]] feed: 1,524 mm/min (1/8), 762 mm/min (1/16)"
        );
    }
}
