//! Lengths as people write them, read and printed. The only place where units are converted.

use serde::{Deserialize, Serialize};

/// mm in an inch, exact (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// The unit of bare numbers in a job, and of the output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches, printed as binary fractions if they are such a fraction.
    In,
}

/// The unit of the lengths in files for programs: always mm, whatever the unit of their sentences.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FileUnit {
    /// Millimetres.
    #[default]
    Mm,
}

impl Units {
    /// Length of one unit, mm.
    pub fn mm(self) -> f64 {
        match self {
            Units::Mm => 1.0,
            Units::In => MM_PER_INCH,
        }
    }

    /// A length for people: `3.18 mm`, `1/8 in`, `1 1/2 in`, `0.413 in`.
    ///
    /// Inches are printed as a fraction in lowest terms, down to 64ths, where the length is within
    /// 0.0005 in of it.
    pub fn show(self, mm: f64) -> String {
        match self {
            // What reads 3.175 in decimal is a hair less in binary: a picometre more rounds halves up.
            Units::Mm => format!("{} mm", trimmed(mm + 1e-9_f64.copysign(mm), 2)),
            Units::In => format!("{} in", inches(mm / MM_PER_INCH)),
        }
    }
}

/// Newtons in a pound-force (exact: NIST SP 811).
pub const N_PER_LBF: f64 = 4.448_221_615_260_5;

impl Units {
    /// A force for people: `12.3 N`, `2.77 lbf`.
    pub fn force(self, newtons: f64) -> String {
        match self {
            Units::Mm => format!("{newtons:.1} N"),
            Units::In => format!("{:.2} lbf", newtons / N_PER_LBF),
        }
    }
}

impl Units {
    /// A thickness as it stands in file names: `6.35mm`, `0.25in`.
    pub fn slug(self, mm: f64) -> String {
        match self {
            Units::Mm => format!("{}mm", trimmed(mm + 1e-9_f64.copysign(mm), 3)),
            Units::In => format!("{}in", trimmed(mm / MM_PER_INCH, 4)),
        }
    }
}

/// Inches as a fraction if they are one, otherwise with three decimals.
fn inches(value: f64) -> String {
    let sixty_fourths = (value.abs() * 64.0).round();
    let near = (sixty_fourths / 64.0 - value.abs()).abs() < 0.0005;
    if !near || sixty_fourths == 0.0 || sixty_fourths > 64.0 * 1000.0 {
        return trimmed(value, 3);
    }
    let sign = if value < 0.0 { "-" } else { "" };
    let (mut top, mut bottom) = (sixty_fourths as u64, 64);
    while top % 2 == 0 && bottom > 1 {
        (top, bottom) = (top / 2, bottom / 2);
    }
    match (top / bottom, top % bottom) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, part) => format!("{sign}{part}/{bottom}"),
        (whole, part) => format!("{sign}{whole} {part}/{bottom}"),
    }
}

/// `value` with at most `decimals` decimals and no trailing zeros.
pub fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.into() }
}

/// Whether a length or a size names no unit: it has no letter and no inch mark.
pub fn is_bare(text: &str) -> bool {
    !text.chars().any(|c| (c.is_alphabetic() && c != 'x' && c != 'X') || "\"″".contains(c))
}

/// Whether a length or a size names inches.
pub fn is_in_inches(text: &str) -> bool {
    split_unit(text.trim(), Units::Mm).1 == MM_PER_INCH
}

/// Why a length could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("'{text}' is not a length")]
pub struct LengthError {
    /// What was written.
    pub text: String,
}

/// Reads a length; the result is mm.
///
/// Accepts `6.35mm`, `2cm`, `0.25in`, `1/4in`, `1 1/2in`, `1-1/2in`, `1/4"`, and bare numbers and
/// fractions in `units`.
///
/// # Errors
/// [`LengthError`] for anything else, and for numbers that are not finite.
///
/// # Example
/// ```
/// use tabwright::units::{Units, parse_length};
/// assert_eq!(parse_length("1 1/2in", Units::Mm), Ok(38.1));
/// assert_eq!(parse_length("1/16", Units::In), Ok(1.5875));
/// ```
pub fn parse_length(text: &str, units: Units) -> Result<f64, LengthError> {
    let error = || LengthError { text: text.to_string() };
    let lower = text.trim().to_lowercase();
    let (number, unit) = split_unit(&lower, units);
    let value = parse_number(number.trim()).ok_or_else(error)?;
    // 12 x 25.4 is 304.79999999999995 in binary: a picometre keeps such dust out of every file.
    let mm = (value * unit * 1e9).round() / 1e9;
    if mm.is_finite() { Ok(mm) } else { Err(error()) }
}

/// Reads two lengths written `12x24in`, `300 x 600 mm` or `12in x 24in`; a unit at the end serves both.
///
/// # Errors
/// [`LengthError`] when the text is not two lengths.
pub fn parse_size(text: &str, units: Units) -> Result<(f64, f64), LengthError> {
    let error = || LengthError { text: text.to_string() };
    let lower = text.trim().to_lowercase().replace('×', "x");
    let (first, second) = lower.split_once('x').ok_or_else(error)?;
    let shared = match split_unit(second.trim(), units).1 {
        unit if unit == MM_PER_INCH => Units::In,
        _ if second.trim().ends_with("mm") => Units::Mm,
        _ => units,
    };
    let width = parse_length(first, shared).map_err(|_| error())?;
    let height = parse_length(second, units).map_err(|_| error())?;
    Ok((width, height))
}

/// The text before the unit, and the unit in mm.
fn split_unit(text: &str, units: Units) -> (&str, f64) {
    const UNITS: [(&str, f64); 7] = [
        ("mm", 1.0),
        ("cm", 10.0),
        ("inches", MM_PER_INCH),
        ("inch", MM_PER_INCH),
        ("in", MM_PER_INCH),
        ("\"", MM_PER_INCH),
        ("″", MM_PER_INCH),
    ];
    UNITS
        .iter()
        .find_map(|&(suffix, mm)| text.strip_suffix(suffix).map(|rest| (rest, mm)))
        .unwrap_or((text, units.mm()))
}

/// MPa in a pound-force per square inch (NIST SP 811, from memory).
pub const MPA_PER_PSI: f64 = 0.006_894_757;

/// kg/m³ in a pound per cubic foot (NIST SP 811, from memory).
pub const KG_M3_PER_LB_FT3: f64 = 16.018_463;

/// Reads a strength or a modulus, always with its unit: `70 MPa`, `70 N/mm2`, `3 GPa`, `10000 psi`, `10 ksi`; the result is MPa.
pub fn parse_stress(text: &str) -> Option<f64> {
    const UNITS: [(&str, f64); 7] = [
        ("mpa", 1.0),
        ("n/mm2", 1.0),
        ("n/mm²", 1.0),
        ("gpa", 1000.0),
        ("kn/mm2", 1000.0),
        ("psi", MPA_PER_PSI),
        ("ksi", 1000.0 * MPA_PER_PSI),
    ];
    with_unit(text, &UNITS)
}

/// Reads a density, always with its unit: `600 kg/m3`, `0.6 g/cm3`, `37 lb/ft3`; the result is kg/m³.
pub fn parse_density(text: &str) -> Option<f64> {
    const UNITS: [(&str, f64); 5] = [
        ("kg/m3", 1.0),
        ("kg/m³", 1.0),
        ("g/cm3", 1000.0),
        ("g/cm³", 1000.0),
        ("lb/ft3", KG_M3_PER_LB_FT3),
    ];
    with_unit(text, &UNITS)
}

fn with_unit(text: &str, units: &[(&str, f64)]) -> Option<f64> {
    let lower = text.trim().to_lowercase();
    // The longest unit that fits: that of 3 kg/m3 is not g/cm3, that of 3 kn/mm2 not n/mm2.
    let fitting = units.iter().filter(|(unit, _)| lower.ends_with(unit));
    let (unit, factor) = fitting.max_by_key(|(unit, _)| unit.len())?;
    let number = lower.strip_suffix(unit)?.trim();
    Some(parse_number(number)? * factor).filter(|v| v.is_finite())
}

/// Reads `1.5`, `1/2`, `1 1/2` or `1-1/2`.
fn parse_number(text: &str) -> Option<f64> {
    if let Ok(value) = text.parse::<f64>() {
        return value.is_finite().then_some(value);
    }
    let (negative, text) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let (whole, fraction) = match text.split_once([' ', '-']) {
        Some((whole, fraction)) => (whole.trim().parse::<u32>().ok()?, fraction.trim()),
        None => (0, text),
    };
    let (top, bottom) = fraction.split_once('/')?;
    let (top, bottom) = (top.trim().parse::<u32>().ok()?, bottom.trim().parse::<u32>().ok()?);
    if bottom == 0 {
        return None;
    }
    let value = f64::from(whole) + f64::from(top) / f64::from(bottom);
    Some(if negative { -value } else { value })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 lbf = 4.4482216152605 N (NIST SP 811, from memory): 1 lb at standard gravity, 0.45359237 x 9.80665.
    #[test]
    fn forces_as_people_read_them() {
        assert!((N_PER_LBF - 0.453_592_37 * 9.806_65).abs() < 1e-12);
        let said = [Units::Mm, Units::In].map(|u| u.force(10.0));
        assert_eq!(said, ["10.0 N", "2.25 lbf"]);
    }

    /// Fractions of an inch in mm are exact arithmetic: 1 in = 25.4 mm (NIST SP 811, from memory).
    #[test]
    fn lengths_as_people_write_them() {
        assert!(
            ["1/4in", "12 x 24 inches", "3/8\"", " 2 inch "].map(is_in_inches).iter().all(|b| *b)
        );
        assert!(!["6mm", "6", "12x24", "300x200mm"].map(is_in_inches).iter().any(|b| *b));
        for (text, units, mm) in [
            ("6.35mm", Units::In, 6.35),
            ("0.25in", Units::Mm, 6.35),
            ("1/4in", Units::Mm, 6.35),
            ("1 1/2in", Units::Mm, 38.1),
            ("1-1/2 in", Units::Mm, 38.1),
            ("1/4\"", Units::Mm, 6.35),
            ("2cm", Units::Mm, 20.0),
            ("3/32", Units::In, 2.38125),
            ("-3", Units::Mm, -3.0),
            ("1/64in", Units::Mm, 0.396875),
        ] {
            let got = parse_length(text, units).unwrap();
            assert!((got - mm).abs() < 1e-12, "{text}: {got}");
        }
        for bad in ["", "mm", "1/0in", "quarter", "1/2/3", "nan", "inf", "1e400", "1 2 3"] {
            assert!(parse_length(bad, Units::Mm).is_err(), "{bad}");
        }
    }

    /// The three factors are NIST SP 811's, from memory; the rest is powers of ten.
    #[test]
    fn strengths_and_densities_need_their_unit() {
        for (text, mpa) in [
            ("70 MPa", 70.0),
            ("70N/mm2", 70.0),
            ("12.5 GPa", 12_500.0),
            ("3 kN/mm2", 3000.0),
            ("10 ksi", 68.947_57),
            ("10000 psi", 68.947_57),
        ] {
            let got = parse_stress(text).unwrap();
            assert!((got - mpa).abs() < 1e-9, "{text}: {got}");
        }
        for (text, kg_m3) in [("600 kg/m3", 600.0), ("0.6 g/cm³", 600.0), ("10 lb/ft3", 160.184_63)]
        {
            let got = parse_density(text).unwrap();
            assert!((got - kg_m3).abs() < 1e-9, "{text}: {got}");
        }
        for bad in ["70", "MPa", "70 kPa", "1,500 psi", "inf MPa", "0.6 kg/cm3", "7 0 psi", ""] {
            assert_eq!((parse_stress(bad), parse_density(bad)), (None, None), "{bad}");
        }
    }

    #[test]
    fn sizes_share_the_last_unit() {
        assert_eq!(parse_size("12x24in", Units::Mm), Ok((304.8, 609.6)));
        assert_eq!(parse_size("300 x 600", Units::Mm), Ok((300.0, 600.0)));
        assert!(parse_size("1ft", Units::Mm).is_err());
    }

    #[test]
    fn inches_are_shown_as_fractions() {
        for (mm, text) in [
            (1.5875, "1/16 in"),
            (2.38125, "3/32 in"),
            (38.1, "1 1/2 in"),
            (10.5, "0.413 in"),
            (0.0, "0 in"),
        ] {
            assert_eq!(Units::In.show(mm), text);
        }
        assert_eq!(Units::Mm.show(3.175), "3.18 mm");
        assert_eq!(Units::Mm.show(6.0), "6 mm");
    }
}
