//! Checks what the job file says: lengths, names, ranges.

use super::file::JobFile;
use super::issue::{Issue, IssueKind};
use super::length::Length;
use super::material::{known_words, words};
use super::near_word::nearer;
use super::refused_part::RefusedPart;
use crate::drawing::Drawing;
use crate::layout::{Assumed, AssumedValue, Subject};
use crate::units::Units;
use std::collections::BTreeMap;

/// Drawings by the file name the job gives them.
pub type Drawings = BTreeMap<String, Drawing>;

/// Collects faults while it turns the file's values into checked ones.
pub(super) struct Checker {
    pub(super) units: Units,
    pub(super) issues: Vec<Issue>,
    pub(super) warnings: Vec<Issue>,
    /// What is left out of the job, which goes on without it.
    pub(super) left_out: Vec<Issue>,
    /// Parts left out, by index.
    pub(super) refused: BTreeMap<usize, RefusedPart>,
    /// What never became a part.
    pub(super) undrawn: Vec<RefusedPart>,
    pub(super) assumed: Vec<Assumed>,
    /// Whether a bare number was read, which has the job's unit.
    pub(super) bare: bool,
    /// Whether something says what unit that is.
    unit_known: bool,
}

impl Checker {
    pub(super) fn new(file: &JobFile) -> Self {
        Checker {
            units: file.units(),
            issues: vec![],
            warnings: vec![],
            left_out: vec![],
            refused: BTreeMap::new(),
            undrawn: vec![],
            assumed: vec![],
            bare: false,
            unit_known: file.known_units().is_some(),
        }
    }

    /// Notes a value that the job leaves open.
    pub(super) fn assume(&mut self, of: Subject, value: AssumedValue) {
        self.assumed.push(Assumed { of, value });
    }

    pub(super) fn fault(&mut self, place: &str, kind: IssueKind) {
        self.issues.push(Issue { place: place.into(), kind });
    }

    pub(super) fn leave_out(&mut self, place: &str, kind: IssueKind) {
        self.left_out.push(Issue { place: place.into(), kind });
    }

    pub(super) fn warn(&mut self, place: &str, kind: IssueKind) {
        self.warnings.push(Issue { place: place.into(), kind });
    }

    /// A length in mm that is above zero; 1 stands in for a faulty one so that checking goes on.
    pub(super) fn length(&mut self, place: &str, key: &str, length: &Length) -> f64 {
        let mm = self.positive(place, key, length);
        if mm == 0.0 {
            self.fault(place, IssueKind::NotPositive { key: key.into() });
            return 1.0;
        }
        mm
    }

    /// A length in mm that is not negative.
    pub(super) fn positive(&mut self, place: &str, key: &str, length: &Length) -> f64 {
        let mm = self.signed(place, key, length);
        if mm < 0.0 {
            self.fault(place, IssueKind::Negative { key: key.into() });
        }
        mm.max(0.0)
    }

    /// A length in mm of either sign.
    pub(super) fn signed(&mut self, place: &str, key: &str, length: &Length) -> f64 {
        if length.is_bare() && length.mm(self.units) != Ok(0.0) {
            self.bare_number(place, key, length.written());
        }
        length.mm(self.units).unwrap_or_else(|e| {
            self.fault(place, IssueKind::NotLength { key: key.into(), written: e.text });
            1.0
        })
    }

    /// Notes a bare number; the first one is a fault where nothing says its unit.
    pub(super) fn bare_number(&mut self, place: &str, key: &str, written: String) {
        let first = !std::mem::replace(&mut self.bare, true);
        if first && !self.unit_known {
            self.fault(place, IssueKind::NoUnit { key: key.into(), written });
        }
    }

    /// Reports a material that neither the job nor the table has.
    pub(super) fn unmatched_material(&mut self, place: &str, name: &str, file: &JobFile) {
        if !file.knows(name) {
            self.unknown_material(place, name, file);
        }
    }

    /// Reports an unknown material, each name once, with the known one nearest to it.
    pub(super) fn unknown_material(&mut self, place: &str, name: &str, file: &JobFile) {
        let told =
            |i: &Issue| matches!(&i.kind, IssueKind::UnknownMaterial { name: n, .. } if n == name);
        if !self.issues.iter().any(told) {
            let near = near_material(name, file);
            self.fault(place, IssueKind::UnknownMaterial { name: name.into(), near });
        }
    }
}

/// How near a material's name must be to be meant: a slip of the keys is 0.9 and more, `bamboo` and `basswood` are 0.8.
const MEANT: f64 = 0.88;

/// The known material whose name is nearest: one of the job's own, or the name with each unknown word replaced by the known word
/// nearest to it.
fn near_material(name: &str, file: &JobFile) -> Option<String> {
    if let Some(own) = nearer(name, file.materials.iter().map(|m| m.name.as_str()), MEANT) {
        return Some(own.into());
    }
    let known = known_words();
    let near = |word: String| match known.contains(&word) {
        true => Some(word),
        false => nearer(&word, known.iter().map(String::as_str), MEANT).map(String::from),
    };
    // Sizes do not tell a material.
    let own = words(name).into_iter().filter(|w| !w.starts_with(|c: char| c.is_ascii_digit()));
    let corrected: Vec<String> = own.map(near).collect::<Option<_>>()?;
    Some(corrected.join(" ")).filter(|c| file.knows(c))
}
