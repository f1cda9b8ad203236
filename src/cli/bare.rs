//! Lengths in flags. A bare number is in the job's units, else in `--units`, else in the unit that the drawings state, else
//! an error that asks: the rule of the job file.

use super::terminal::Failure;
use crate::export::{not_length, not_size};
use crate::job::INCHES_OF_BIT;
use crate::units::{Units, is_bare, parse_length, parse_size};

/// The unit of bare numbers, as the job, `--units` or the drawings state it.
#[derive(Debug, Clone, Copy)]
pub struct Bare {
    /// The unit that the job or `--units` states.
    told: Option<Units>,
    /// The unit that the drawings state.
    drawn: Option<Units>,
}

impl Bare {
    /// The unit that the job or `--units` give, else that of the drawings.
    pub fn new(told: Option<Units>, drawn: Option<Units>) -> Self {
        Bare { told, drawn }
    }

    /// The unit; `None` if nothing states one.
    pub fn units(self) -> Option<Units> {
        self.told.or(self.drawn)
    }

    /// A bit's diameter, mm. A bare number that is usual in inches and rare in mm is refused if only the drawing says mm.
    pub fn bit(self, flag: &str, text: &str) -> Result<f64, Failure> {
        let mm = self.length(flag, text)?;
        let guessed = self.told.is_none() && self.drawn == Some(Units::Mm);
        if guessed && is_bare(text) && mm <= INCHES_OF_BIT {
            let text = text.trim();
            return Err(Failure::Usage(format!(
                "{flag}: {text} means {text} mm, because the drawing is in mm: write {text}in or {text}mm, or add --units"
            )));
        }
        Ok(mm)
    }

    /// The unit shared by all drawings that state one; `None` if they differ or none states one.
    pub fn agreed(stated: impl IntoIterator<Item = Option<Units>>) -> Option<Units> {
        let mut known = stated.into_iter().flatten();
        let first = known.next()?;
        known.all(|units| units == first).then_some(first)
    }

    /// A length above zero, mm.
    pub fn length(self, flag: &str, text: &str) -> Result<f64, Failure> {
        match self.length_or_zero(flag, text)? {
            mm if mm > 0.0 => Ok(mm),
            _ => Err(Failure::Usage(format!("{flag}: '{text}' must be above zero"))),
        }
    }

    /// A length that is not negative, mm.
    pub fn length_or_zero(self, flag: &str, text: &str) -> Result<f64, Failure> {
        let units = self.units().unwrap_or_default();
        let mm = parse_length(text, units)
            .map_err(|e| Failure::Usage(format!("{flag}: {}", not_length(&e.text, units))))?;
        if mm < 0.0 {
            return Err(Failure::Usage(format!("{flag}: '{text}' must not be negative")));
        }
        self.known(flag, text, mm)
    }

    /// Length and width of a sheet, mm.
    pub fn size(self, flag: &str, text: &str) -> Result<(f64, f64), Failure> {
        let units = self.units().unwrap_or_default();
        let (x, y) = parse_size(text, units)
            .map_err(|e| Failure::Usage(format!("{flag}: {}", not_size(&e.text, units))))?;
        if !(x > 0.0 && y > 0.0) {
            return Err(Failure::Usage(format!(
                "{flag}: both lengths of '{text}' must be above zero"
            )));
        }
        self.known(flag, text, x)?;
        Ok((x, y))
    }

    /// Refuses a bare number whose unit nothing says; 0 needs none.
    fn known(self, flag: &str, text: &str, mm: f64) -> Result<f64, Failure> {
        if self.units().is_some() || mm == 0.0 || !is_bare(text) {
            return Ok(mm);
        }
        let text = text.trim();
        Err(Failure::Usage(format!(
            "{flag}: {text} has no unit, and the drawing's file states none: write {text}in or {text}mm, or add --units in or --units mm"
        )))
    }
}
