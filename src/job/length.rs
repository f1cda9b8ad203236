//! Lengths and sizes in the job file: text with a unit, or a bare number in the job's units.

use crate::units::{LengthError, Units, is_bare, parse_length, parse_size};
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

    /// The length in a feed, without the time: that of `1500 mm/min`, `60 in / min`, `60 inches per minute`, `60ipm`, or a bare
    /// number. `None` if there is no time beside a unit of length.
    pub(super) fn a_minute(&self) -> Option<Self> {
        let Value::Text(text) = &self.0 else { return Some(self.clone()) };
        let lower = text.trim().to_lowercase();
        if let Some(inches) = lower.strip_suffix("ipm") {
            return Some(Length(Value::Text(format!("{}in", inches.trim_end()))));
        }
        let time = lower.strip_suffix("minute").or(lower.strip_suffix("min")).map(str::trim_end);
        let length = time.and_then(|t| t.strip_suffix('/').or(t.strip_suffix("per")));
        let bare = || is_bare(text).then(|| self.clone());
        length.map_or_else(bare, |length| Some(Length::text(length.trim_end())))
    }

    /// Whether it is a bare number, whose unit is the job's.
    pub(super) fn is_bare(&self) -> bool {
        match &self.0 {
            Value::Number(_) => true,
            Value::Text(text) => is_bare(text),
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

impl SizeText {
    /// Whether it names no unit, so that the job's applies.
    pub(super) fn is_bare(&self) -> bool {
        is_bare(&self.0)
    }

    /// Length and width in mm.
    ///
    /// # Errors
    /// [`LengthError`] when the text is not two lengths.
    pub fn mm(&self, units: Units) -> Result<(f64, f64), LengthError> {
        parse_size(&self.0, units)
    }
}

/// A figure with its unit, as written: `"70 MPa"`; a bare number is kept so that its unit can be asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct WithUnit(Value);

impl WithUnit {
    /// The text; `None` for a bare number.
    pub(super) fn text(&self) -> Option<&str> {
        match &self.0 {
            Value::Text(text) => Some(text),
            Value::Number(_) => None,
        }
    }

    /// As written.
    pub(super) fn written(&self) -> String {
        match &self.0 {
            Value::Text(text) => text.clone(),
            Value::Number(n) => n.to_string(),
        }
    }
}

impl<'de> Deserialize<'de> for WithUnit {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        number_or_text(d, "a text like \"70 MPa\"").map(WithUnit)
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
