//! The materials known, as a table for a terminal.

use super::columns::{Align, columns, wrap};
use crate::job::{Material, MaterialKind, materials};
use crate::units::{KG_M3_PER_LB_FT3, MPA_PER_PSI, Units, trimmed};

/// The rows whose name has `word` in it, with their sources if there is a word; all without.
pub fn materials_table(word: Option<&str>, units: Units) -> String {
    let wanted = word.map(str::to_lowercase);
    let fits =
        |m: &&Material| wanted.as_ref().is_none_or(|w| m.name.to_lowercase().contains(w.as_str()));
    let rows: Vec<&Material> = materials().iter().filter(fits).collect();
    if rows.is_empty() {
        return String::new();
    }
    let [stress, stiff, density] = match units {
        Units::Mm => ["bending, N/mm²", "stiffness along, kN/mm²", "kg/m³"],
        Units::In => ["bending, psi", "stiffness along, 1000 psi", "lb/ft³"],
    };
    let mut table =
        vec![["material", "kind", stress, stiff, density, "grain"].map(String::from).to_vec()];
    table.extend(rows.iter().map(|m| row(m, units)));
    use Align::{Left, Right};
    let mut out = columns(&[Left, Left, Right, Right, Right, Left], &table);
    if word.is_some() {
        for material in rows {
            out.push('\n');
            wrap(&format!("{}: {}", material.name, material.source), 110, [2, 4])
                .into_iter()
                .for_each(|line| out += &(line + "\n"));
        }
    } else {
        out += "\nSome words of a name are enough: walnut, hard maple, red oak, baltic birch, MDF, cast acrylic. If a board has \
        several rows, the\nthickness selects one. `tabwright materials WORD` lists the sources. Figures are means, not design values.\n\
                A material of your own is a [[material]] in the job file: `tabwright keys material` explains it.\n";
    }
    out
}

fn row(m: &Material, units: Units) -> Vec<String> {
    let kind = match m.kind {
        MaterialKind::Wood => "solid wood",
        MaterialKind::Plywood => "plywood",
        MaterialKind::Mdf => "board",
        MaterialKind::Acrylic => "acrylic",
    };
    let (bending, stiff, density) = match units {
        Units::Mm => (trimmed(m.bending, 0), trimmed(m.e_along / 1000.0, 1), trimmed(m.density, 0)),
        Units::In => (
            trimmed(m.bending / MPA_PER_PSI / 10.0, 0) + "0",
            trimmed(m.e_along / MPA_PER_PSI / 1000.0, 0),
            trimmed(m.density / KG_M3_PER_LB_FT3, 0),
        ),
    };
    let grain = if m.has_grain() { "yes" } else { "no" };
    vec![m.name.clone(), kind.into(), bending, stiff, density, grain.into()]
}
