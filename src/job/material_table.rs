//! `[[material]]` as written: a material of the user's own.

use super::length::WithUnit;
use serde::Deserialize;

/// `[[material]]`
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct MaterialTable {
    /// What the job calls it.
    pub name: String,
    /// The known material that supplies the figures not given.
    pub like: Option<String>,
    /// `wood`, `plywood`, `board` or `plastic`; that of `like` if absent.
    pub kind: Option<String>,
    /// Bending strength along the grain.
    pub strength: Option<WithUnit>,
    /// Young's modulus along the grain.
    pub stiffness: Option<WithUnit>,
    /// Density.
    pub density: Option<WithUnit>,
}
