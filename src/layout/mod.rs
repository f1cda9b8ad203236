//! The layout: plain data, written to `layout.json` and read back by `tabwright check`.
//!
//! Everything downstream of the nest reads this and nothing else. Lengths are mm in sheet coordinates (origin
//! at the sheet's top left, x right, y down), angles are degrees as in the file; rings do not
//! repeat their first point. The design describes the file field by field: these structs *are*
//! the format, version [`VERSION`]. Fields added later are optional when read. A sheet's
//! `material_constants` and `holding` and a hold's `figures` let a reader recompute every figure from
//! the file alone, by the recipe in the docs of [`hold`](crate::hold).

mod assumed;
mod constants;
mod cut_time;
mod drawn;
mod drop_out;
mod fault;
mod governs;
mod hold;
mod input;
mod note;
mod offcut;
mod purchase;
mod sheet;
mod unplaced;
mod warning;
mod why;

pub use assumed::{Assumed, AssumedValue, Subject, Unmet, Winding};
pub use constants::{HoldFigures, HoldingRules, MaterialConstants, RootCompliance};
pub use cut_time::{CutTime, SheetTime};
pub use drawn::{
    CLEARED_GROUP, DEEP_END, DEEP_GROUPS, Drawn, DrawnFlaw, DrawnGroup, DrawnKind, DrawnLine,
    DrawnPass, DrawnSheet,
};
pub use drop_out::DropOut;
pub use fault::{Fault, FaultKind, LandsOn};
pub use governs::{Freed, FreedBy, Governs, SectionAt, TabNumber, TabStress, Weakened};
pub(crate) use hold::is_full;
pub use hold::{Hold, LANDING_DEPTH, Method, SPUR, Tab};
pub use input::{Input, InputOff};
pub use note::{Note, NoteKind};
pub use offcut::Offcut;
pub use purchase::{Purchase, PurchaseKind};
pub use sheet::{
    ALLOWANCE, BitUsed, Cut, Feature, FeatureKind, HoldDown, LEAST_ALLOWANCE, MOST_ALLOWANCE,
    PartGrain, PlacedPart, Remnant, Sheet, waste_percent,
};
pub use unplaced::{Unplaced, UnplacedKind};
pub use warning::{GrainTurn, SoftLanding, Warning, WarningKind};
pub use why::{Bears, Because, ForceRange, Shortfall, Why};

use crate::units::{FileUnit, Units};
use serde::{Deserialize, Serialize};

/// The `format` field of every layout file.
pub const FORMAT: &str = "tabwright-layout";
/// The version of the format that this program writes and reads.
pub const VERSION: u32 = 1;

/// A whole job, placed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Layout {
    /// Always [`FORMAT`].
    pub format: String,
    /// [`VERSION`].
    pub version: u32,
    /// The job's title.
    pub title: String,
    /// The units of its sentences. Absent where mm.
    #[serde(default, skip_serializing_if = "is_mm")]
    pub units: Units,
    /// The unit of every length in it; absent in older files, which are in mm too.
    #[serde(default)]
    pub lengths: FileUnit,
    /// The seed of the search.
    pub seed: u64,
    /// The program's version.
    pub program: String,
    /// How the search ended: `budget`, `time-limit` or `interrupted`.
    #[serde(default)]
    pub ended: String,
    /// Waste over all sheets, percent.
    pub waste_percent: f64,
    /// Copies placed.
    pub parts_placed: usize,
    /// The sheets used.
    pub sheets: Vec<Sheet>,
    /// Copies that found no place.
    pub unplaced: Vec<Unplaced>,
    /// What the maker must know.
    pub warnings: Vec<Warning>,
    /// What keeps it from being cut as it is; empty when nothing does, absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub faults: Vec<Fault>,
    /// Waste as wide as the bit or wider that comes loose, sheet by sheet; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drop_outs: Vec<DropOut>,
    /// Estimated time to cut each sheet, without the pockets, drill holes and engravings of parts; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cut_times: Vec<SheetTime>,
    /// What it takes to cut the job: stock and bits; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub to_buy: Vec<Purchase>,
    /// Facts about parts under their bit; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Note>,
    /// Values that the job does not give, each with the usual one taken; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<Assumed>,
    /// Requests of the job that are not met; absent in older files.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unmet: Vec<Unmet>,
}

impl Layout {
    /// An empty layout of this program's version.
    pub fn new(title: &str, seed: u64) -> Self {
        Layout {
            format: FORMAT.into(),
            version: VERSION,
            title: title.into(),
            units: Units::Mm,
            lengths: FileUnit::Mm,
            seed,
            program: env!("CARGO_PKG_VERSION").into(),
            ended: "budget".into(),
            waste_percent: 0.0,
            parts_placed: 0,
            sheets: vec![],
            unplaced: vec![],
            warnings: vec![],
            faults: vec![],
            drop_outs: vec![],
            cut_times: vec![],
            to_buy: vec![],
            notes: vec![],
            assumed: vec![],
            unmet: vec![],
        }
    }

    /// A layout of these sheets alone, to be checked by itself.
    pub fn of_sheets(sheets: &[Sheet]) -> Self {
        let mut layout = Layout { sheets: sheets.to_vec(), ..Layout::new("", 0) };
        layout.total();
        layout
    }

    /// The time to cut a sheet, where it is known.
    pub fn time_of(&self, sheet: &str) -> Option<CutTime> {
        self.cut_times.iter().find(|t| t.sheet == sheet).map(|t| t.time)
    }

    /// Recomputes the areas, waste and counts from the placed parts.
    pub fn total(&mut self) {
        for sheet in &mut self.sheets {
            sheet.total();
        }
        let sheets: f64 = self.sheets.iter().map(|s| s.sheet_area).sum();
        let parts: f64 = self.sheets.iter().map(|s| s.part_area).sum();
        self.waste_percent = waste_percent(parts, sheets);
        self.parts_placed = self.sheets.iter().map(|s| s.parts.len()).sum();
    }
}

fn is_mm(units: &Units) -> bool {
    *units == Units::Mm
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::de::DeserializeOwned;

    fn survives<T: Serialize + DeserializeOwned + PartialEq + std::fmt::Debug>(value: T) {
        let text = serde_json::to_string(&value).expect("it is written");
        let read: T = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!(read, value, "{text}");
    }

    fn section() -> SectionAt {
        let weakened = Some(Weakened::Pocket { leaves_mm: 2.5 });
        SectionAt { width_mm: 3.0, at: [4.0, 5.5], weakened, short_grain: true }
    }

    fn freed() -> Freed {
        let tab = TabNumber { tab: 2, bridge: true };
        Freed { how: FreedBy::Snapping, tab, section: section() }
    }

    fn shortfall() -> Shortfall {
        Shortfall {
            governs: Governs::Section(section()),
            margin: 0.5,
            movement_mm: 0.02,
            last_pass_mm: 0.2,
        }
    }

    /// Tags and fields of nested values stand side by side in the file: none may hide another.
    #[test]
    fn every_value_survives_the_file() {
        let tab = TabNumber { tab: 1, bridge: false };
        for governs in [
            Governs::Tab { tab, stress: TabStress::Oblique },
            Governs::Section(section()),
            Governs::NoSection,
            Governs::Movement,
            Governs::OneLost(tab),
            Governs::HalfLost,
            Governs::PassRepeated,
            Governs::Overhang { far_mm: 152.0 },
            Governs::Freeing { of: Some(freed()) },
            Governs::Freeing { of: None },
            Governs::Skin,
            Governs::Tape,
        ] {
            survives(governs);
        }
        let becauses = [
            Because::Minimum,
            Because::FewerAreShallow { count: 2, last_pass_mm: 0.3 },
            Because::FewerStandClose { count: 2 },
            Because::FewerFail { count: 2, fails: shortfall() },
            Because::Stopped,
            Because::NoSize,
            Because::NoSite,
            Because::NoRoom,
            Because::Overloaded(shortfall()),
            Because::TabsFail { count: 8, of_bridges: true, fails: shortfall() },
            Because::ComesLoose,
            Because::Tried { even: true },
        ];
        for because in becauses.clone() {
            let force = Some(ForceRange { low: 0.5, high: 2.0, bears: Some(1.2) });
            survives(Why {
                bridges: true,
                no_skin: true,
                one_side: true,
                force,
                break_out_n_per_mm: Some(0.03),
                tape_mm2: Some(120.0),
                ..Why::because(because)
            });
        }
        let turn = GrainTurn { grain_deg: 90.0, pinned: true };
        let landing = SoftLanding { copies: vec![1, 3], tab: 2, width_mm: 4.0, gives_mm: None };
        let nothing =
            |because| WarningKind::NothingHolds { because, spur_mm: 12.0, spur_pass_mm: 0.2 };
        let mut kinds = vec![
            WarningKind::LastPassTooDeep { asked_mm: 1.0, planned_mm: 0.4 },
            WarningKind::DoNotRepeat { movement_mm: 0.26, safety: 1.2 },
            WarningKind::FarEdge { far_mm: 160.0, asked_mm: 150.0 },
            WarningKind::FreeWithCare(freed()),
            WarningKind::LiftsCorners,
            WarningKind::NoBitEnters {
                feature: FeatureKind::Drill,
                at: [4.0, 2.0],
                fits_mm: 3.0,
                finest_mm: 6.35,
            },
            WarningKind::Slender { width_mm: 0.5, at: [12.0, 3.5] },
            WarningKind::WeakSection { section: section(), margin: 1.2 },
            WarningKind::LooseDropOut { ring: 2, at: [1.0, 2.0] },
            WarningKind::Tongue {
                ring: 1,
                at: [1.0, 2.0],
                width_mm: 3.0,
                length_mm: 15.0,
                last_pass_mm: 0.4,
                movement_mm: 0.3,
                safety: 1.1,
                bears_mm: 0.2,
            },
            WarningKind::ShortGrain { width_mm: Some(3.0), method: Method::Skin, turn, times: 3.1 },
            WarningKind::NoLanding { method: Method::Tape },
            WarningKind::ComesLoose { method: Method::None },
            WarningKind::SoftLanding { landings: vec![landing] },
            WarningKind::Drifts { count: 2, even: true },
        ];
        kinds.extend(becauses.map(nothing));
        for kind in kinds {
            survives(Warning { copies: vec![2, 5], ..Warning::of("fork", kind) });
        }
        for kind in [
            UnplacedKind::TooBig { width_mm: 500.0, height_mm: 180.0 },
            UnplacedKind::NoStock {
                material: "walnut".into(),
                thickness_mm: 6.0,
                off_bed: true,
                nearest_mm: Some(5.6),
            },
            UnplacedKind::StockUsedUp,
            UnplacedKind::NoArea,
            UnplacedKind::PinWithoutSheet { sheet: 3 },
            UnplacedKind::PinNotFinite,
            UnplacedKind::PinOffSheet { at: [1.0, 2.0] },
            UnplacedKind::PinNearEdge,
            UnplacedKind::PinNearPart { other: "plate".into(), other_copy: 2 },
            UnplacedKind::ShortGrain { turn, method: Method::Tabs },
            UnplacedKind::Refused { rule: "gap".into(), amount: Some(2.9), limit: Some(3.0) },
        ] {
            survives(Unplaced::of("fork", 1, kind));
        }
        for kind in [
            Input::ChipForce,
            Input::EdgeForce,
            Input::Strength { weaker: 0.16 },
            Input::Stiffness { softer: 0.22 },
            Input::LastPass { deeper_mm: 0.1 },
            Input::TabHeight { lower_mm: 0.1 },
            Input::TabWidth { narrower_mm: 0.2 },
            Input::Grain { off_deg: 10.0 },
        ] {
            let (input, off) = (String::new(), String::new());
            survives(InputOff { kind: Some(kind), input, off, change: -0.3 });
        }
    }

    #[test]
    fn the_list_and_the_times_survive_the_file() {
        let (material, thickness_mm) = ("walnut".to_string(), 6.35);
        for what in [
            PurchaseKind::Sheets {
                material: material.clone(),
                thickness_mm,
                size_mm: [600.0, 300.0],
            },
            PurchaseKind::Board { material, thickness_mm, width_mm: 150.0, length_mm: 381.0 },
            PurchaseKind::Bit { diameter_mm: 3.175, cuts: vec![("walnut".into(), 6.35)] },
        ] {
            survives(Purchase { name: "a".into(), what, count: 2, price: Some(28.4) });
        }
        let time = CutTime { least_min: 12.345, most_min: 15.6 };
        survives(SheetTime { sheet: "walnut-6mm-1".into(), time });
    }

    /// Files of earlier versions have sentences alone.
    #[test]
    fn a_file_of_before_is_read() {
        let warning: Warning =
            serde_json::from_str(r#"{"part": "fork", "message": "short grain"}"#)
                .expect("a warning");
        assert_eq!((warning.kind, warning.copies.len()), (None, 0));
        let left: Unplaced =
            serde_json::from_str(r#"{"part": "fork", "copy": 1, "reason": "no stock left"}"#)
                .expect("a copy left over");
        assert_eq!((left.kind, left.reason.as_str()), (None, "no stock left"));
        let input: InputOff =
            serde_json::from_str(r#"{"input": "grain", "off": "aslant", "change": -0.2}"#)
                .expect("an input");
        assert_eq!(input.kind, None);
    }
}
