//! Materials of the user's own: the few figures that a `[[material]]` gives, the rest from the row of the table that is most like
//! it.

use super::checker::Checker;
use super::file::JobFile;
use super::issue::IssueKind;
use super::length::WithUnit;
use super::material::{Material, MaterialKind, find_material, materials, same_name};
use super::material_table::MaterialTable;
use crate::layout::{Assumed, AssumedValue, Subject};
use crate::units::{parse_density, parse_stress};

/// Cork bends at about 1 MPa, brass at 400 (orders of size, from memory).
const STRENGTH: (f64, f64) = (0.2, 1_000.0);
/// Foam board has some 5 MPa, steel 210,000 (from memory).
const STIFFNESS: (f64, f64) = (2.0, 300_000.0);
/// Foam has 30 kg/m³, lead 11,300 (from memory).
const DENSITY: (f64, f64) = (20.0, 12_000.0);
/// Strength over stiffness, about the strain at break: 0.006 in the woods of the table, 0.04 in acrylic, 0.1 in cork (from memory).
/// Beyond this range one of the two has a wrong unit.
const STRAIN: (f64, f64) = (0.0005, 0.5);

const KINDS: [(&str, MaterialKind); 4] = [
    ("wood", MaterialKind::Wood),
    ("plywood", MaterialKind::Plywood),
    ("board", MaterialKind::Mdf),
    ("plastic", MaterialKind::Acrylic),
];

impl JobFile {
    /// The material that the job means by `name`: its own, else the table's.
    pub fn material(&self, name: &str, thickness: f64) -> Option<Material> {
        match self.own(name) {
            Some(own) => own.filled(thickness).map(|(material, _)| material),
            None => find_material(name, thickness).cloned(),
        }
    }

    /// Whether the job or the table has a material of that name.
    pub fn knows(&self, name: &str) -> bool {
        self.own(name).is_some() || find_material(name, 6.0).is_some()
    }

    pub(super) fn own(&self, name: &str) -> Option<&MaterialTable> {
        self.materials.iter().find(|m| same_name(&m.name, name))
    }
}

/// The figures that a table gives, where they are figures: strength and stiffness in MPa, density in kg/m³.
struct Given {
    strength: Option<f64>,
    stiffness: Option<f64>,
    density: Option<f64>,
}

impl MaterialTable {
    fn given(&self) -> Given {
        let text = |f: &Option<WithUnit>| f.as_ref().and_then(WithUnit::text).map(String::from);
        let stress = |f: &Option<WithUnit>| text(f).and_then(|t| parse_stress(&t));
        Given {
            strength: stress(&self.strength),
            stiffness: stress(&self.stiffness),
            density: text(&self.density).and_then(|t| parse_density(&t)),
        }
    }

    fn kind(&self) -> Option<MaterialKind> {
        let word = self.kind.as_deref()?;
        KINDS.iter().find(|(name, _)| *name == word).map(|(_, kind)| *kind)
    }

    /// The row of the table that `like` names; else, of its kind and thickness, the one nearest to the figures that are given.
    fn row(&self, thickness: f64) -> Option<&'static Material> {
        if let Some(like) = &self.like {
            return find_material(like, thickness);
        }
        let (kind, given) = (self.kind()?, self.given());
        let off = |ours: Option<f64>, row: f64| ours.map_or(0.0, |v| (v / row).ln().powi(2));
        let far = |m: &Material| {
            off(given.strength, m.bending)
                + off(given.stiffness, m.e_along)
                + off(given.density, m.density)
        };
        let of_kind = materials().iter().filter(|m| m.kind == kind && m.covers(thickness));
        of_kind.min_by(|a, b| far(a).total_cmp(&far(b)))
    }

    /// The material, and the figures that are not given. Strengths change in proportion to the strength given, moduli to the
    /// stiffness. The cutting force changes in proportion to the density, as in the table of woods, and in plastics to the
    /// strength, because a chip shears off there.
    fn filled(&self, thickness: f64) -> Option<(Material, Vec<AssumedValue>)> {
        let row = self.row(thickness)?;
        let given = self.given();
        let over = |ours: Option<f64>, row: f64| ours.map_or(1.0, |v| v / row);
        let strong = over(given.strength, row.bending);
        let stiff = over(given.stiffness, row.e_along);
        let dense = over(given.density, row.density);
        let force = if row.kind == MaterialKind::Acrylic { strong } else { dense };
        let material = row.scaled(&self.name, [strong, stiff, dense, force]);
        let mut assumed = vec![AssumedValue::Like(row.name.clone())];
        if given.strength.is_none() {
            assumed.push(AssumedValue::Strength(material.bending));
        }
        if given.stiffness.is_none() {
            assumed.push(AssumedValue::Stiffness(material.e_along));
        }
        assumed.push(AssumedValue::CuttingForce(force));
        Some((material, assumed))
    }
}

impl Checker {
    /// Checks every `[[material]]` of the job.
    pub(super) fn own_materials(&mut self, file: &JobFile) {
        for table in &file.materials {
            let place = format!("material '{}'", table.name);
            if table.name.trim().is_empty() {
                self.fault("material", IssueKind::NoName);
            }
            if table.kind.is_some() && table.kind().is_none() {
                let (key, known) = ("kind", &["wood", "plywood", "board", "plastic"][..]);
                self.fault(&place, IssueKind::NotOneOf { key, known, written: table.kind.clone() });
            }
            self.like(&place, table, file);
            let stress = |t: &str| parse_stress(t);
            let strength = self.figure(&place, ("strength", STRENGTH), &table.strength, stress);
            let stiffness = self.figure(&place, ("stiffness", STIFFNESS), &table.stiffness, stress);
            self.figure(&place, ("density", DENSITY), &table.density, parse_density);
            if let (Some(strength), Some(stiffness)) = (strength, stiffness) {
                let strain = strength / stiffness;
                if !(STRAIN.0..=STRAIN.1).contains(&strain) {
                    self.fault(&place, IssueKind::StrengthAndStiffness { strength, stiffness });
                }
            }
        }
    }

    fn like(&mut self, place: &str, table: &MaterialTable, file: &JobFile) {
        let Some(like) = &table.like else {
            let bare =
                [&table.strength, &table.stiffness, &table.density].iter().all(|f| f.is_none());
            // The woods differ too much for any to stand in.
            if table.kind.is_none() || (table.kind() == Some(MaterialKind::Wood) && bare) {
                self.fault(place, IssueKind::LikeWhat);
            }
            return;
        };
        match find_material(like, 6.0) {
            // A material of one's own has figures that are already estimates.
            None if file.materials.iter().any(|m| same_name(&m.name, like)) => {
                self.fault(place, IssueKind::LikeOwn { like: like.clone() });
            }
            None => self.unknown_material(place, like, file),
            Some(row) if table.kind().is_some_and(|kind| kind != row.kind) => {
                let kind = KINDS.iter().find(|(_, kind)| *kind == row.kind).map_or("", |k| k.0);
                self.fault(place, IssueKind::LikeOtherKind { like: like.clone(), kind });
            }
            Some(_) => {}
        }
    }

    /// Checks a figure, its unit and its range.
    fn figure(
        &mut self,
        place: &str,
        (key, range): (&'static str, (f64, f64)),
        written: &Option<WithUnit>,
        parse: impl Fn(&str) -> Option<f64>,
    ) -> Option<f64> {
        let written = written.as_ref()?;
        let value = written.text().and_then(parse);
        match value {
            None => {
                let written = written.written();
                self.fault(place, IssueKind::NotFigure { key, written });
            }
            Some(v) if !(range.0..=range.1).contains(&v) => {
                self.fault(place, IssueKind::FigureOutOfRange { key, range });
            }
            Some(_) => {}
        }
        value
    }

    /// Notes what a material of the job's own leaves open; the cutting force only where no `[[cutting-force]]` gives it.
    pub(super) fn assume_material(&mut self, name: &str, thickness: f64, file: &JobFile) {
        let Some(own) = file.own(name) else { return };
        let forced = file.cutting_force.iter().any(|f| same_name(&f.material, &own.name));
        for value in own.filled(thickness).map_or(vec![], |(_, assumed)| assumed) {
            let given = forced && matches!(value, AssumedValue::CuttingForce(_));
            let one = Assumed { of: Subject::Material(own.name.clone()), value };
            if !given && !self.assumed.contains(&one) {
                self.assumed.push(one);
            }
        }
    }
}
