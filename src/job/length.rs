//! Lengths and sizes in the job file: text with a unit, or a bare number in the job's units.

use crate::units::{LengthError, Units, parse_length, parse_size};
use serde::de::{Deserialize, Deserializer, Error, Unexpected, Visitor};
use std::fmt;

/// A length as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Length(Value);

/// Two lengths as written: `"300x600"`.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeText(pub String);

/// A number or a text.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A bare number.
    Number(f64),
    /// A text.
    Text(String),
}

impl Length {
    /// A length as a file would have it.
    pub fn text(text: &str) -> Self {
        Length(Value::Text(text.into()))
    }

    /// The length in a feed, without the time: that of `1500 mm/min`, `60 in/min`, `60ipm`.
    pub(super) fn a_minute(&self) -> Self {
        let Value::Text(text) = &self.0 else { return self.clone() };
        let text = text.trim();
        let lower = text.to_lowercase();
        let without = |end: &str| lower.strip_suffix(end).map(str::trim_end);
        match (without("/min"), without("ipm")) {
            (Some(length), _) => Length::text(length),
            (_, Some(inches)) => Length(Value::Text(format!("{inches}in"))),
            _ => self.clone(),
        }
    }

    /// Whether it is a bare number, whose unit is the job's.
    pub(super) fn is_bare(&self) -> bool {
        match &self.0 {
            Value::Number(_) => true,
            Value::Text(text) => bare(text),
        }
    }

    /// As written.
    pub(super) fn written(&self) -> String {
        match &self.0 {
            Value::Number(n) => n.to_string(),
            Value::Text(text) => text.trim().to_string(),
        }
    }

    /// The length in mm, bare numbers in `units`.
    ///
    /// # Errors
    /// [`LengthError`] when the text is no length or the number is not finite.
    pub fn mm(&self, units: Units) -> Result<f64, LengthError> {
        match &self.0 {
            Value::Number(n) => parse_length(&n.to_string(), units),
            Value::Text(text) => parse_length(text, units),
        }
    }
}

/// Whether a text names no unit: it has no letter and no inch mark.
fn bare(text: &str) -> bool {
    !text.chars().any(|c| (c.is_alphabetic() && c != 'x' && c != 'X') || "\"″".contains(c))
}

impl SizeText {
    /// Whether it names no unit, so that the job's applies.
    pub(super) fn is_bare(&self) -> bool {
        bare(&self.0)
    }

    /// Length and width in mm.
    ///
    /// # Errors
    /// [`LengthError`] when the text is not two lengths.
    pub fn mm(&self, units: Units) -> Result<(f64, f64), LengthError> {
        parse_size(&self.0, units)
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        number_or_text(d, "a length like \"1/4in\"").map(Length)
    }
}

/// An example of a size, for errors.
const SIZE: &str = "a size like \"12x24in\"";

impl<'de> Deserialize<'de> for SizeText {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        match number_or_text(d, SIZE)? {
            Value::Text(text) => Ok(SizeText(text)),
            Value::Number(n) => Err(D::Error::invalid_type(Unexpected::Float(n), &SIZE)),
        }
    }
}

/// Reads a number or a text; the error says what was expected.
pub fn number_or_text<'de, D: Deserializer<'de>>(
    d: D,
    expected: &'static str,
) -> Result<Value, D::Error> {
    struct Either(&'static str);
    impl Visitor<'_> for Either {
        type Value = Value;
        fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
            f.write_str(self.0)
        }
        fn visit_i64<E: Error>(self, v: i64) -> Result<Value, E> {
            Ok(Value::Number(v as f64))
        }
        fn visit_u64<E: Error>(self, v: u64) -> Result<Value, E> {
            Ok(Value::Number(v as f64))
        }
        fn visit_f64<E: Error>(self, v: f64) -> Result<Value, E> {
            Ok(Value::Number(v))
        }
        fn visit_str<E: Error>(self, v: &str) -> Result<Value, E> {
            Ok(Value::Text(v.to_string()))
        }
    }
    d.deserialize_any(Either(expected))
}
