//! The job file as written: TOML tables, with only the names and types of keys checked.

use super::issue::Issue;
use super::length::{Length, SizeText};
use super::material_table::MaterialTable;
use super::toml_fault::{ONE_MARK, parsed};
use crate::units::Units;
use serde::Deserialize;
use std::collections::BTreeMap;

/// A job file, word for word. [`super::build`] checks it.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct JobFile {
    /// The title at the head of the page.
    #[serde(default)]
    pub title: String,
    /// The unit of bare numbers; that of the drawings if absent.
    pub units: Option<Units>,
    /// The unit in which the drawings state their size, if they agree: whoever reads them sets it.
    #[serde(skip)]
    pub drawn_units: Option<Units>,
    /// Seed of every random choice; 1 if absent.
    pub seed: Option<u64>,
    /// Stock left between kerfs; kerfs may coincide if absent.
    pub web: Option<Length>,
    /// The machine's bed, length by width; any stock is taken if absent.
    pub bed: Option<SizeText>,
    /// Extra copies of each part whose drawing and own table give no number.
    pub spares: Option<Spares>,
    /// Folders of remnants, whose lists of stock come before the job's own.
    pub stock_from: Option<Names>,
    /// `rounded`: inside corners may keep the bit's radius, including those of joints and sharp clefts.
    pub corners: Option<String>,
    /// How drawings are read.
    #[serde(default)]
    pub reading: Reading,
    /// How drawn features are told apart: for each kind, a group name or a stroke colour.
    #[serde(default, deserialize_with = "one_each")]
    pub marks: BTreeMap<String, Mark>,
    /// How tabs are planned.
    #[serde(default)]
    pub holding: HoldingTable,
    /// Cutting forces to use instead of the table's.
    #[serde(default, rename = "cutting-force")]
    pub cutting_force: Vec<CuttingForce>,
    /// Materials of the user's own.
    #[serde(default, rename = "material")]
    pub materials: Vec<MaterialTable>,
    /// Bits on hand.
    #[serde(default, rename = "bit")]
    pub bits: Vec<BitTable>,
    /// Stock on hand or for sale.
    #[serde(default)]
    pub stock: Vec<StockTable>,
    /// Drawings, each with what its parts are cut from.
    #[serde(default, rename = "drawing")]
    pub drawings: Vec<DrawingTable>,
    /// Overrides for single parts.
    #[serde(default, rename = "part")]
    pub parts: Vec<PartTable>,
}

/// `[reading]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Reading {
    /// Ends nearer than this are joined; 0.05 mm if absent.
    pub join: Option<Length>,
    /// Greatest distance of a chord from its curve; 0.01 mm if absent.
    pub chord_error: Option<Length>,
    /// Pixels per inch for drawings without a physical unit; 96 if absent.
    pub dpi: Option<f64>,
    /// Scale factor of every drawing; 1 if absent.
    pub scale: Option<f64>,
    /// Parts smaller than this in both directions are reported; 1 mm if absent.
    pub min_size: Option<Length>,
}

/// One entry of `[marks]`: `{ stroke = "#1f6f8b" }` or `{ group = ["pockets", "recesses"] }`. Each sign alone is enough.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Mark {
    /// Stroke colours: `red`, `#888`, `#1f6f8b`; for an element without a stroke its fill's.
    pub stroke: Option<Names>,
    /// Ids, labels or titles of an element or of groups around it.
    pub group: Option<Names>,
    /// Classes.
    pub class: Option<Names>,
    /// Names of layers.
    pub layer: Option<Names>,
    /// Whether dashed lines have this mark.
    pub dash: bool,
    /// How deep pockets, or drill holes, of this mark go.
    pub depth: Option<Length>,
}

/// One mark for each kind of line. A list would be read as the values of its keys, in their order.
fn one_each<'de, D: serde::Deserializer<'de>>(d: D) -> Result<BTreeMap<String, Mark>, D::Error> {
    let each = BTreeMap::<String, OneMark>::deserialize(d)?;
    Ok(each.into_iter().map(|(kind, mark)| (kind, mark.0)).collect())
}

/// A mark as a table.
struct OneMark(Mark);

impl<'de> Deserialize<'de> for OneMark {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct Signs;
        impl<'de> serde::de::Visitor<'de> for Signs {
            type Value = OneMark;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str(ONE_MARK)
            }
            fn visit_map<A: serde::de::MapAccess<'de>>(
                self,
                signs: A,
            ) -> Result<OneMark, A::Error> {
                let signs = serde::de::value::MapAccessDeserializer::new(signs);
                Mark::deserialize(signs).map(OneMark)
            }
        }
        d.deserialize_map(Signs)
    }
}

/// `[holding]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct HoldingTable {
    /// `saw` or `snap`.
    pub freeing: Option<String>,
    /// `strong`, or `clean`: tabs on long grain, easy to sand off, as far as there is margin to spare.
    pub prefer: Option<String>,
    /// Depth of the last pass.
    pub last_pass: Option<Length>,
    /// Narrowest tab.
    pub min_width: Option<Length>,
    /// Widest tab.
    pub max_width: Option<Length>,
    /// Greatest distance of a point of a part's edge from its nearest tab; 150 mm if absent.
    pub max_overhang: Option<Length>,
    /// What holds the sheets down, `clamps` or `tape`; if absent, clamps where there is room and tape elsewhere.
    pub hold_down: Option<String>,
    /// How parts are held, where that is strong enough: `tabs`, `skin` or `tape`; `tabs` if absent.
    pub method: Option<String>,
    /// What parts may hang on, `stock` or `parts`; `stock` if absent.
    pub hang: Option<String>,
    /// Whether small waste that would come loose is cleared as pockets first; yes if absent.
    pub clear_waste: Option<bool>,
}

/// `[[cutting-force]]`: the user's own constants for a material.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct CuttingForce {
    /// The material's name.
    pub material: String,
    /// K_c, N/mm².
    pub kc: f64,
    /// K_e, N/mm.
    pub ke: f64,
}

/// `[[bit]]`
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct BitTable {
    /// Its name in the job.
    pub name: String,
    /// Its diameter.
    pub diameter: Length,
    /// Cutting edges; 2 if absent.
    pub flutes: Option<u32>,
    /// `up`, `down` or `straight` (if absent).
    pub spiral: Option<String>,
    /// Helix angle, degrees; 30 for a spiral bit if absent.
    pub helix: Option<f64>,
    /// Greatest depth of a pass; half the diameter if absent.
    pub pass_depth: Option<Length>,
    /// Feed a minute: `1500`, `1500 mm/min`, `60 in/min`, `60ipm`; 2 % of the diameter a tooth if absent.
    pub feed: Option<Length>,
    /// Turns a minute; 18,000 if absent.
    pub rpm: Option<f64>,
    /// How much narrower than the bit a slot, hole or gap may be drawn and still be cut, at the bit's width; 0.05 mm if
    /// absent, from 0.02 to 0.25 mm.
    pub allowance: Option<Length>,
    /// The only materials it is used for; all if absent.
    #[serde(default)]
    pub materials: Vec<String>,
}

/// `[[stock]]`
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct StockTable {
    /// Its name; if absent, made from material and size.
    pub name: Option<String>,
    /// The material.
    pub material: String,
    /// Its thickness.
    pub thickness: Length,
    /// Length along x by width along y.
    pub size: Option<SizeText>,
    /// Or the file of an offcut's drawing.
    pub outline: Option<String>,
    /// Sold by length along x.
    #[serde(default)]
    pub open_length: bool,
    /// `x`, `y` or degrees; `x` if absent.
    pub grain: Option<Angle>,
    /// How many; as many as needed if absent.
    pub quantity: Option<usize>,
    /// Whether it is used up: it is then no stock.
    #[serde(default)]
    pub used: bool,
    /// The day on which a remnant was left.
    pub date: Option<toml::value::Datetime>,
    /// Price of one piece, or of a metre of open length.
    pub price: Option<f64>,
    /// Distance that parts keep from the edge; 6 mm if absent.
    pub margin: Option<Length>,
    /// Areas to keep clear: clamps, screws, knots.
    #[serde(default)]
    pub keep_clear: Vec<KeepClear>,
}

/// A rectangle (`x, y, width, height`) or a circle (`x, y, radius`).
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct KeepClear {
    /// Left edge, or centre.
    pub x: Length,
    /// Top edge, or centre.
    pub y: Length,
    /// Width of a rectangle.
    pub width: Option<Length>,
    /// Height of a rectangle.
    pub height: Option<Length>,
    /// Radius of a circle.
    pub radius: Option<Length>,
    /// Whether it is a clamp or a screw that holds the sheet down.
    #[serde(default)]
    pub holds: bool,
}

/// `[[drawing]]`
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct DrawingTable {
    /// The SVG file, relative to the job file's folder.
    pub file: String,
    /// The material that its parts are cut from.
    pub material: String,
    /// The thickness of that material.
    pub thickness: Length,
    /// Factor on the number of drawn copies; 1 if absent.
    pub quantity: Option<usize>,
    /// Extra copies of each part.
    pub spares: Option<Spares>,
    /// `strong` (if absent), `x`, `y`, degrees, or `any`.
    pub grain: Option<Angle>,
    /// Greatest angle off the grain, degrees; 0 if absent.
    pub grain_tolerance: Option<f64>,
    /// Whether parts may be flipped.
    #[serde(default)]
    pub mirror: bool,
    /// The bit to use, by name.
    pub bit: Option<String>,
    /// How its parts are held, where that is strong enough: `tabs`, `skin` or `tape`; the job's if absent.
    pub method: Option<String>,
    /// Pixels per inch of this drawing.
    pub dpi: Option<f64>,
    /// Scale factor of this drawing.
    pub scale: Option<f64>,
}

/// `[[part]]`: overrides for a part, by its name in the drawing.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct PartTable {
    /// The part's name; of parts drawn alike, those with a name given here are kept apart from the rest.
    pub name: String,
    /// The drawing's file, needed where two drawings have a part of that name.
    pub drawing: Option<String>,
    /// Copies to make.
    pub quantity: Option<usize>,
    /// Extra copies.
    pub spares: Option<Spares>,
    /// Direction of the grain, as in the drawing's table.
    pub grain: Option<Angle>,
    /// Grain tolerance, degrees.
    pub grain_tolerance: Option<f64>,
    /// Whether it may be flipped.
    pub mirror: Option<bool>,
    /// How it is held, where that is strong enough: `tabs`, `skin` or `tape`; the job's if absent.
    pub method: Option<String>,
    /// `rounded`: its inside corners may keep the bit's radius, including those of joints and sharp clefts.
    pub corners: Option<String>,
    /// Depth of its pockets, instead of the mark's.
    pub pocket_depth: Option<Length>,
    /// Sides of its bounds to keep clear of tabs: `left`, `right`, `top`, `bottom`.
    #[serde(default)]
    pub tab_free: Vec<String>,
    /// Where copies must lie.
    #[serde(default)]
    pub pin: Vec<PinTable>,
}

/// A pinned copy, in the terms of `layout.json`: the place of the part's origin, its rotation in degrees.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct PinTable {
    /// Which sheet of the group, from 1.
    pub sheet: Option<usize>,
    /// x of the part's origin on the sheet.
    pub x: Length,
    /// y of the part's origin on the sheet.
    pub y: Length,
    /// Rotation, degrees from +x towards +y.
    #[serde(default)]
    pub turn: f64,
    /// Whether it is flipped before it is rotated.
    #[serde(default)]
    pub mirrored: bool,
}

/// A text, or a list of texts.
#[derive(Debug, Clone, PartialEq)]
pub struct Names(pub Vec<String>);

impl<'de> Deserialize<'de> for Names {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        struct Listed;
        impl<'de> serde::de::Visitor<'de> for Listed {
            type Value = Names;
            fn expecting(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
                f.write_str("a text or a list")
            }
            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Names, E> {
                Ok(Names(vec![text.to_string()]))
            }
            fn visit_seq<A: serde::de::SeqAccess<'de>>(
                self,
                mut list: A,
            ) -> Result<Names, A::Error> {
                let mut names = vec![];
                while let Some(name) = list.next_element()? {
                    names.push(name);
                }
                Ok(Names(names))
            }
        }
        d.deserialize_any(Listed)
    }
}

/// Extra copies: a number or a word.
#[derive(Debug, Clone, PartialEq)]
pub enum Spares {
    /// So many of each part.
    Number(f64),
    /// `auto` or `off`.
    Word(String),
}

impl<'de> Deserialize<'de> for Spares {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        super::length::number_or_text(d, "a number or a word").map(|value| match value {
            super::length::Value::Number(number) => Spares::Number(number),
            super::length::Value::Text(word) => Spares::Word(word),
        })
    }
}

/// An angle in degrees or a word.
#[derive(Debug, Clone, PartialEq)]
pub enum Angle {
    /// Degrees from +x towards +y.
    Degrees(f64),
    /// `x`, `y`, `strong`, `any`.
    Word(String),
}

impl<'de> Deserialize<'de> for Angle {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        super::length::number_or_text(d, "degrees or a word").map(|value| match value {
            super::length::Value::Number(degrees) => Angle::Degrees(degrees),
            super::length::Value::Text(word) => Angle::Word(word),
        })
    }
}

/// A list of stock, as a folder of remnants has it.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct StockList {
    /// The stock.
    #[serde(default)]
    pub stock: Vec<StockTable>,
}

impl StockList {
    /// Reads a list's text.
    ///
    /// # Errors
    /// As [`JobFile::parse`].
    pub fn parse(text: &str) -> Result<Self, Issue> {
        parsed(text)
    }
}

impl JobFile {
    /// The unit of bare numbers: the job's own, else its drawings'; mm where neither says.
    pub fn units(&self) -> Units {
        self.known_units().unwrap_or_default()
    }

    /// The unit of bare numbers; `None` where nothing says it, so that a bare number has no meaning.
    pub(super) fn known_units(&self) -> Option<Units> {
        self.units.or(self.drawn_units)
    }

    /// Reads a job file's text.
    ///
    /// # Errors
    /// One [`Issue`] with the line and column; an unknown key comes with the nearest known one.
    pub fn parse(text: &str) -> Result<Self, Issue> {
        parsed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::IssueKind;

    #[test]
    fn an_unknown_key_is_refused_with_its_place_and_the_nearest() {
        let text = "title = \"x\"\n[[stock]]\nmaterial = \"walnut\"\nthicknes = 3\n";
        let issue = JobFile::parse(text).unwrap_err();
        assert_eq!(issue.place, "line 4, column 1");
        let IssueKind::UnknownKey { key, near, .. } = issue.kind else { panic!("{issue:?}") };
        assert_eq!((key.as_str(), near.as_deref()), ("thicknes", Some("thickness")));
    }
}
