//! Groups parts by material and thickness, and gives each group its bit.

use super::bit::Bit;
use super::checked::{Group, Tightest};
use super::checker::Checker;
use super::feature_bit::feature_bits;
use super::file::{BitTable, DrawingTable, JobFile, StockTable};
use super::issue::IssueKind;
use super::material::Material;
use super::part::Part;
use super::refused_part::{Refusal, RefusedPart};
use super::stock::{Stock, for_bit};
use crate::drawing::{Reach, largest_bit};

/// Two thicknesses nearer than this are the same stock, mm: rulers and callipers read to 0.05.
pub(super) const SAME_THICKNESS: f64 = 0.05;

/// Greatest ratio of a bit's diameter to the stock's thickness: 1/8 in for 3 mm, 1/4 in for 6 mm (common practice, no source).
const BIT_PER_THICKNESS: f64 = 1.1;

/// A group under construction.
pub(super) struct GroupDraft {
    label: String,
    pub(super) material: Material,
    pub(super) thickness: f64,
    pub(super) parts: Vec<usize>,
    bit: Option<String>,
}

impl GroupDraft {
    pub(super) fn find<'a>(
        drafts: &'a mut Vec<GroupDraft>,
        table: &DrawingTable,
        material: Material,
        thickness: f64,
    ) -> &'a mut GroupDraft {
        let same = |d: &GroupDraft| {
            d.material.name == material.name && (d.thickness - thickness).abs() < SAME_THICKNESS
        };
        let at = drafts.iter().position(same).unwrap_or_else(|| {
            let label = table.material.clone();
            drafts.push(GroupDraft { label, material, thickness, parts: vec![], bit: None });
            drafts.len() - 1
        });
        &mut drafts[at]
    }

    pub(super) fn wish_bit(&mut self, table: &DrawingTable, check: &mut Checker) {
        match (&self.bit, &table.bit) {
            (Some(have), Some(wish)) if have != wish => {
                let kind = IssueKind::TwoBits { wish: wish.clone(), have: have.clone() };
                check.fault(&format!("drawing '{}'", table.file), kind);
            }
            (None, Some(wish)) => self.bit = Some(wish.clone()),
            _ => {}
        }
    }

    pub(super) fn finish(
        self,
        check: &mut Checker,
        file: &JobFile,
        bits: &[(Bit, &BitTable)],
        parts: &[Part],
        stock: Vec<(Stock, &StockTable)>,
    ) -> Option<Group> {
        let (bit, tightest) = self.choose_bit(check, file, bits, parts)?;
        let stock = stock.into_iter().map(|(s, table)| for_bit(check, s, table, &bit)).collect();
        let made = self.parts.iter().filter(|i| !check.refused.contains_key(i));
        let made: Vec<&Part> = made.map(|&i| &parts[i]).collect();
        let feature_bits = feature_bits(&made, &bit, &self.fitting(file, bits));
        let slug = self.label.to_lowercase().replace(|c: char| !c.is_alphanumeric(), "-");
        let name = format!("{slug}-{}", check.units.slug(self.thickness));
        Some(Group {
            name,
            label: self.label,
            material: self.material,
            thickness: self.thickness,
            bit,
            parts: self.parts,
            stock,
            off_bed: false,
            nearest_thickness: None,
            tightest,
            feature_bits,
        })
    }

    /// The bits on hand for its material, the widest first.
    fn fitting<'a>(&self, file: &JobFile, bits: &'a [(Bit, &BitTable)]) -> Vec<&'a Bit> {
        let serves = |table: &BitTable| {
            table.materials.is_empty()
                || table.materials.iter().any(|m| {
                    file.material(m, self.thickness).is_some_and(|m| m.name == self.material.name)
                })
        };
        let mut fitting: Vec<&Bit> =
            bits.iter().filter(|(_, t)| serves(t)).map(|(bit, _)| bit).collect();
        // A bit kept for this material goes before a general one of the same size.
        let named = |bit: &Bit| bits.iter().any(|(b, t)| b == bit && !t.materials.is_empty());
        fitting.sort_by(|a, b| b.diameter.total_cmp(&a.diameter).then(named(b).cmp(&named(a))));
        fitting
    }

    /// The largest bit on hand, not much wider than the stock is thick, that reaches all of every part; with it the part that
    /// keeps a wider one from it.
    fn choose_bit(
        &self,
        check: &mut Checker,
        file: &JobFile,
        bits: &[(Bit, &BitTable)],
        parts: &[Part],
    ) -> Option<(Bit, Option<Tightest>)> {
        let fitting = self.fitting(file, bits);
        let reach: Vec<_> = self.parts.iter().map(|&i| (i, largest_bit(&parts[i].shape))).collect();
        let material = || self.label.clone();
        if let Some(wish) = &self.bit {
            let found = fitting.iter().find(|b| b.name == *wish).map(|b| (*b).clone());
            match &found {
                Some(bit) => self.refuse(check, bit, parts, &reach),
                None => {
                    let (bit, material) = (wish.clone(), material());
                    check.fault("job", IssueKind::BitNotOnHand { bit, material });
                }
            }
            return found.map(|bit| (bit, None));
        }
        let Some(finest) = fitting.last().map(|b| (*b).clone()) else {
            check.fault("job", IssueKind::NoBitFor { material: material() });
            return None;
        };
        self.refuse(check, &finest, parts, &reach);
        let refused = &check.refused;
        let reaches_all =
            |bit: &Bit| reach.iter().all(|(i, r)| refused.contains_key(i) || passes(bit, r));
        let usual = |bit: &&&Bit| bit.diameter <= BIT_PER_THICKNESS * self.thickness;
        let usable: Vec<&Bit> = fitting.iter().filter(usual).copied().collect();
        let chosen = usable.iter().find(|b| reaches_all(b)).map_or(finest, |b| (*b).clone());
        // The bits stand from the widest to the finest.
        let wider = usable.iter().rfind(|b| b.diameter > chosen.diameter);
        let made: Vec<(&Part, Reach)> = reach
            .iter()
            .filter(|(i, _)| !refused.contains_key(i))
            .map(|(i, r)| (&parts[*i], *r))
            .collect();
        let tightest = wider.and_then(|wider| tightest(wider, &made));
        Some((chosen, tightest))
    }

    /// Leaves out the parts that a bit does not cut.
    fn refuse(&self, check: &mut Checker, bit: &Bit, parts: &[Part], reach: &[(usize, Reach)]) {
        for (i, r) in reach.iter().filter(|(_, r)| !passes(bit, r)) {
            let (name, quantity) = (parts[*i].name.clone(), parts[*i].quantity);
            let why = Refusal::Bit { reach: *r, finest: bit.diameter };
            check.refused.insert(*i, RefusedPart { name, quantity, why });
            let (wish, fits, bit) = (self.bit.clone(), r.diameter, bit.diameter);
            let kind = IssueKind::BitTooWide { wish, fits, bit, at: r.at };
            check.leave_out(&format!("part '{}'", parts[*i].name), kind);
        }
    }
}

fn passes(bit: &Bit, reach: &Reach) -> bool {
    reach.passes(bit.diameter, bit.allowance)
}

/// The part that leaves least room for a bit of those that the bit `wider` does not cut; `None` where it cuts none of them.
fn tightest(wider: &Bit, parts: &[(&Part, Reach)]) -> Option<Tightest> {
    let needs = |(_, r): &&(&Part, Reach)| !passes(wider, r);
    let needing: Vec<&(&Part, Reach)> = parts.iter().filter(needs).collect();
    let (part, reach) =
        needing.iter().min_by(|a, b| a.1.diameter.total_cmp(&b.1.diameter)).copied()?;
    let (part, count) = (part.name.clone(), needing.len());
    let others = count < parts.len();
    others.then_some(Tightest { part, reach: *reach, parts: count, wider: wider.diameter })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::find_material;

    /// Two drawings of one board are one group; another material, or a thickness 0.05 mm off, is another.
    #[test]
    fn parts_of_one_material_and_thickness_are_gathered() {
        let table: DrawingTable =
            toml::from_str("file = 'a.svg'\nmaterial = 'walnut'\nthickness = 6").expect("a table");
        let board = |name: &str| find_material(name, 6.0).expect("it is in the table").clone();
        let mut drafts = vec![];
        for (name, thickness) in [
            ("walnut", 6.0),
            ("hard maple", 6.0),
            ("walnut", 6.04),
            ("walnut", 6.06),
            ("hard maple", 5.97),
        ] {
            let draft = GroupDraft::find(&mut drafts, &table, board(name), thickness);
            assert_eq!(draft.material.name, board(name).name);
            assert!((draft.thickness - thickness).abs() < SAME_THICKNESS);
        }
        let thick: Vec<f64> = drafts.iter().map(|d| d.thickness).collect();
        assert_eq!(thick, [6.0, 6.0, 6.06]);
    }
}
