//! A sheet with its placed parts.

use super::{Hold, HoldingRules, MaterialConstants};
use crate::geometry::{Point, Pose, Ring, Shape, point};
use serde::{Deserialize, Serialize};

/// One piece of stock in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sheet {
    /// Its id, from material, thickness and number: `walnut-6.35mm-1`.
    pub id: String,
    /// The stock's name in the job.
    pub stock: String,
    /// The material's name in the table of materials.
    pub material: String,
    /// The material as the job calls it; empty in older files.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub called: String,
    /// Thickness, mm.
    pub thickness: f64,
    /// The sheet's edge; for a board of open length, the length used.
    pub outline: Ring,
    /// Areas to keep clear (clamps, screws, knots): no kerf comes within the gap.
    pub keep_clear: Vec<Ring>,
    /// Those clamps and screws that hold the sheet down, as the job names them; each is kept clear too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub clamps: Vec<Ring>,
    /// What holds the skeleton down.
    #[serde(default, skip_serializing_if = "HoldDown::is_clamps")]
    pub hold_down: HoldDown,
    /// Least distance from a part to the sheet's edge, mm.
    pub margin: f64,
    /// Direction of the grain, degrees from +x towards +y.
    pub grain_deg: f64,
    /// Whether the board is sold by length along x.
    pub open_length: bool,
    /// The bit that cuts the outlines.
    pub bit: BitUsed,
    /// Least distance between parts, mm.
    pub gap: f64,
    /// What the load was computed from.
    pub cut: Cut,
    /// The material's constants that the holds' figures were computed with; absent in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material_constants: Option<MaterialConstants>,
    /// What was asked of the holds; absent in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub holding: Option<HoldingRules>,
    /// Sheet area, mm².
    pub sheet_area: f64,
    /// Sum of the parts' net areas, mm².
    pub part_area: f64,
    /// 100 (1 - part_area / sheet_area).
    pub waste_percent: f64,
    /// Pieces worth keeping, largest first.
    pub remnants: Vec<Remnant>,
    /// Pockets through the sheet, cut first of all, that clear small pieces of waste which would come loose.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cleared: Vec<Ring>,
    /// The parts, in the order of cut.
    pub parts: Vec<PlacedPart>,
}

/// What holds a sheet's skeleton to the bed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoldDown {
    /// Clamps or screws: those that the job names, and others where there is room for them at the sheet's edge.
    #[default]
    Clamps,
    /// Double-sided tape under the whole sheet, and clamps where there is room.
    Tape,
}

impl HoldDown {
    fn is_clamps(&self) -> bool {
        *self == HoldDown::Clamps
    }
}

/// The bit in the spindle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BitUsed {
    /// The bit's name in the job.
    pub name: String,
    /// Diameter, mm.
    pub diameter: f64,
    /// How much narrower than the bit a slot, hole or gap may be drawn and still be cut, at the bit's width, mm.
    #[serde(default = "usual_allowance")]
    pub allowance: f64,
}

/// The allowance of a layout that names none, mm: a desktop router's repeatability (common practice, no source).
pub const ALLOWANCE: f64 = 0.05;

/// The least allowance, mm: chords of curves lie up to 0.01 mm inside their curves, on both sides of a detail.
pub const LEAST_ALLOWANCE: f64 = 0.02;

/// The greatest allowance, mm: half of it is cut into either side, and more than that shows (common practice, no source).
pub const MOST_ALLOWANCE: f64 = 0.25;

fn usual_allowance() -> f64 {
    ALLOWANCE
}

/// The cut that loads the tabs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cut {
    /// Depth of the last pass, mm (a hold may have its own).
    pub last_pass: f64,
    /// Feed per tooth, mm.
    pub feed_per_tooth: f64,
    /// Cutting edges.
    pub flutes: u32,
    /// Helix angle, degrees, negative for a down-spiral, 0 for a straight bit.
    pub helix_deg: f64,
    /// Specific cutting force, N/mm², nominal.
    pub kc: f64,
    /// Edge force, N/mm, nominal.
    pub ke: f64,
    /// Worst load over nominal (grain x wear).
    pub factor: f64,
}

/// A piece of the sheet worth keeping.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Remnant {
    /// Its edge.
    pub outline: Ring,
}

/// A part in its place on a sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlacedPart {
    /// The part's name.
    pub part: String,
    /// Which copy, from 1.
    pub copy: usize,
    /// Whether it is an extra copy.
    pub spare: bool,
    /// x of the part's own origin, mm.
    pub x: f64,
    /// y of the part's own origin, mm.
    pub y: f64,
    /// Rotation in degrees from +x towards +y (as SVG's `rotate`).
    pub rotation_deg: f64,
    /// Flipped (x becomes -x) before it is turned.
    pub mirrored: bool,
    /// The part's own direction that lies along the sheet's grain; absent where any may, and in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grain: Option<PartGrain>,
    /// The placed outline.
    pub outline: Ring,
    /// The placed openings.
    pub openings: Vec<Ring>,
    /// The placed features.
    pub features: Vec<Feature>,
    /// How it is held.
    pub hold: Hold,
}

/// The direction of a part that must lie along its sheet's grain, either way round.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PartGrain {
    /// The direction in the part's own frame, before any flip: degrees from +x towards +y, from 0 up to 180.
    pub deg: f64,
    /// How far it may lie off the sheet's grain, degrees.
    pub tolerance_deg: f64,
}

/// Anything drawn inside a part that is not cut through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Feature {
    /// What the maker does with it.
    pub kind: FeatureKind,
    /// Its name in the drawing, empty when it has none.
    #[serde(default)]
    pub name: String,
    /// Its depth, mm, where the job gives it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<f64>,
    /// Closed edges.
    pub rings: Vec<Ring>,
    /// Open lines.
    #[serde(default)]
    pub lines: Vec<Ring>,
}

/// What a feature is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FeatureKind {
    /// Area cleared to a depth.
    Pocket,
    /// A hole to drill or bore.
    Drill,
    /// Lines cut shallow for show.
    Engraving,
    /// Registration and assembly marks.
    Mark,
    /// An edge that the maker keeps clear of tabs.
    TabFree,
}

impl FeatureKind {
    /// The kind's name as files have it.
    pub fn name(self) -> &'static str {
        match self {
            FeatureKind::Pocket => "pocket",
            FeatureKind::Drill => "drill",
            FeatureKind::Engraving => "engraving",
            FeatureKind::Mark => "mark",
            FeatureKind::TabFree => "tab-free",
        }
    }

    /// Every kind.
    pub const ALL: [FeatureKind; 5] = [
        FeatureKind::Pocket,
        FeatureKind::Drill,
        FeatureKind::Engraving,
        FeatureKind::Mark,
        FeatureKind::TabFree,
    ];
}

impl Feature {
    /// The feature with every point passed through `f`.
    pub fn map(&self, f: impl Fn(Point) -> Point) -> Self {
        Feature {
            kind: self.kind,
            name: self.name.clone(),
            depth: self.depth,
            rings: self.rings.iter().map(|r| r.map(&f)).collect(),
            lines: self.lines.iter().map(|r| r.map(&f)).collect(),
        }
    }
}

impl PlacedPart {
    /// The placed shape.
    pub fn shape(&self) -> Shape {
        Shape::new(self.outline.clone(), self.openings.clone())
    }

    /// The pose that took the part here.
    pub fn pose(&self) -> Pose {
        Pose {
            offset: point(self.x, self.y),
            rotation: self.rotation_deg.to_radians(),
            mirrored: self.mirrored,
        }
    }
}

impl Sheet {
    /// The sheet's shape.
    pub fn shape(&self) -> Shape {
        Shape::new(self.outline.clone(), vec![])
    }

    /// Area of the largest remnant, mm², which counts as kept.
    pub fn kept_area(&self) -> f64 {
        self.remnants.iter().map(|r| r.outline.area()).fold(0.0, f64::max)
    }

    /// Recomputes the areas and the waste from the outline and the parts.
    pub fn total(&mut self) {
        self.sheet_area = self.outline.area();
        self.part_area = self.parts.iter().map(|p| p.shape().net_area()).sum();
        self.waste_percent = waste_percent(self.part_area, self.sheet_area);
    }
}

/// 100 (1 - parts / sheets); 0 for no sheets.
pub fn waste_percent(part_area: f64, sheet_area: f64) -> f64 {
    if sheet_area > 0.0 { 100.0 * (1.0 - part_area / sheet_area) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A layout from before details had an allowance means the usual one.
    #[test]
    fn a_bit_without_an_allowance_has_the_usual_one() {
        let bit: BitUsed =
            serde_json::from_str(r#"{"name": "1/8 in", "diameter": 3.175}"#).unwrap();
        assert_eq!(bit.allowance, 0.05);
    }
}
