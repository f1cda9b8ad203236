//! The parts of a job, from its drawings and the job file's tables.

use super::checker::Checker;
use super::file::{Angle, DrawingTable, JobFile, PartTable, PinTable, Spares};
use super::holding::HoldBy;
use super::issue::IssueKind;
use super::near_word::nearest;
use super::part::{Grain, Part};
use super::tab_free::side_of;
use crate::drawing::Drawing;
use crate::geometry::{Pose, Ring, point};
use crate::layout::{Feature, FeatureKind};

/// Most copies of one part that a job may ask for: more is a typing slip, and would take hours (set by hand).
const MOST_COPIES: usize = 20_000;

impl Checker {
    pub(super) fn parts_of(
        &mut self,
        drawing: &Drawing,
        table: &DrawingTable,
        thickness: f64,
        file: &JobFile,
    ) -> Vec<Part> {
        let place = format!("drawing '{}'", table.file);
        self.has_parts(&place, drawing);
        let of_drawing = match table.method.as_deref() {
            None => hold_by(file.holding.method.as_deref()).unwrap_or_default(),
            Some(method) => self.hold_by(&place, method),
        };
        let usual_spares = self.usual_spares(&place, table, file);
        let (mut parts, mut face_up) = (vec![], vec![]);
        for drawn in &drawing.parts {
            let over = override_of(&file.parts, &drawn.name, &table.file);
            let place = format!("part '{}'", drawn.name);
            let grain = over.and_then(|o| o.grain.as_ref()).or(table.grain.as_ref());
            let tolerance = over.and_then(|o| o.grain_tolerance).or(table.grain_tolerance);
            let mut tab_free = drawn.tab_free.clone();
            tab_free.extend(self.tab_free_sides(&place, &drawn.shape.outline, over));
            let pins = over.map_or(vec![], |o| self.pins(&place, &o.pin));
            let drawn_copies = drawn.copies.saturating_mul(table.quantity.unwrap_or(1));
            let quantity = over.and_then(|o| o.quantity).unwrap_or(drawn_copies);
            let own = over.and_then(|o| o.spares.as_ref()).map(|s| self.spares(&place, s));
            let (spares, spare_if_free) = own.unwrap_or(usual_spares);
            self.copies(&place, quantity, spares, pins.len());
            let features = self.deep(&place, &drawn.features, thickness, file, over);
            let has_face = features.iter().any(|f| of_one_face(f, thickness));
            let asked = over.and_then(|o| o.mirror);
            self.flipped(&place, has_face, asked == Some(true), &pins);
            face_up.extend((has_face && table.mirror && asked.is_none()).then_some(&drawn.name));
            parts.push(Part {
                name: drawn.name.clone(),
                drawing: table.file.clone(),
                shape: drawn.shape.clone(),
                features,
                quantity,
                spares,
                spare_if_free,
                grain: self.grain(&place, grain),
                grain_tolerance: self.tolerance(&place, tolerance),
                mirror: asked.unwrap_or(table.mirror && !has_face),
                pins,
                rounded: self.rounded(&place, over.and_then(|o| o.corners.as_deref()))
                    || file.corners.as_deref() == Some("rounded"),
                hold_by: match over.and_then(|o| o.method.as_deref()) {
                    None => of_drawing,
                    Some(method) => self.hold_by(&place, method),
                },
                tab_free,
            });
        }
        if !face_up.is_empty() {
            let parts = face_up.into_iter().cloned().collect();
            self.warn(&place, IssueKind::NotFlipped { parts });
        }
        parts
    }

    /// Notes a part with features in one face whose own table or pin flips copies.
    fn flipped(&mut self, place: &str, has_face: bool, asked: bool, pins: &[(usize, Pose)]) {
        if has_face && (asked || pins.iter().any(|(_, pose)| pose.mirrored)) {
            self.warn(place, IssueKind::FlippedFace);
        }
    }

    /// Reports a drawing that has no part, with what was left out of it: that says why there is none.
    fn has_parts(&mut self, place: &str, drawing: &Drawing) {
        if drawing.parts.is_empty() && !drawing.has_errors() {
            for fault in &drawing.faults {
                self.fault(place, IssueKind::Drawn(Box::new(fault.clone())));
            }
            self.fault(place, IssueKind::NoPart);
        }
    }

    /// The spares of a drawing's parts that have no value of their own.
    fn usual_spares(&mut self, place: &str, table: &DrawingTable, file: &JobFile) -> (usize, bool) {
        match (&table.spares, &file.spares) {
            (Some(own), _) => self.spares(place, own),
            (None, Some(general)) => self.spares("job", general),
            (None, None) => (0, false),
        }
    }

    /// The sides of a part that the job keeps clear of tabs: lines along its edge.
    fn tab_free_sides(
        &mut self,
        place: &str,
        outline: &Ring,
        over: Option<&PartTable>,
    ) -> Vec<Ring> {
        let mut lines = vec![];
        for side in over.into_iter().flat_map(|o| &o.tab_free) {
            match side_of(outline, side) {
                Some(side) => lines.extend(side),
                None => {
                    let (key, known) = ("tab-free", &["left", "right", "top", "bottom"][..]);
                    let written = Some(side.clone());
                    self.fault(place, IssueKind::NotOneOf { key, known, written });
                }
            }
        }
        lines
    }

    /// What `spares` says: the number of extra copies, and whether one more is welcome where it costs nothing.
    fn spares(&mut self, place: &str, wish: &Spares) -> (usize, bool) {
        match wish {
            Spares::Word(word) if word == "auto" => (0, true),
            Spares::Word(word) if word == "off" => (0, false),
            Spares::Number(n) if *n >= 0.0 && n.fract() == 0.0 && *n < 1e9 => (*n as usize, false),
            other => {
                let (key, known) = ("spares", &["a whole number", "auto", "off"][..]);
                let written = match other {
                    Spares::Word(word) => word.clone(),
                    Spares::Number(number) => number.to_string(),
                };
                let kind = IssueKind::NotOneOf { key, known, written: Some(written) };
                // The job's own word is read for each drawing, and told once.
                if !self.issues.iter().any(|i| i.place == place && i.kind == kind) {
                    self.fault(place, kind);
                }
                (0, false)
            }
        }
    }

    /// What `method` says.
    pub(super) fn hold_by(&mut self, place: &str, method: &str) -> HoldBy {
        hold_by(Some(method)).unwrap_or_else(|| {
            let (key, known) = ("method", &["tabs", "skin", "tape"][..]);
            let written = Some(method.to_string());
            self.fault(place, IssueKind::NotOneOf { key, known, written });
            HoldBy::Tabs
        })
    }

    /// What `corners` says; the only word is `rounded`.
    pub(super) fn rounded(&mut self, place: &str, corners: Option<&str>) -> bool {
        if let Some(other) = corners.filter(|c| *c != "rounded") {
            let (key, known, written) = ("corners", &["rounded"][..], Some(other.to_string()));
            self.fault(place, IssueKind::NotOneOf { key, known, written });
        }
        corners.is_some()
    }

    /// Refuses numbers of copies that cannot be meant, and pins for copies that are not made.
    fn copies(&mut self, place: &str, quantity: usize, spares: usize, pins: usize) {
        let copies = quantity.saturating_add(spares);
        if copies == 0 {
            self.warn(place, IssueKind::NoneAsked);
        }
        if copies > MOST_COPIES {
            self.fault(place, IssueKind::TooManyCopies { copies, most: MOST_COPIES });
        }
        if pins > copies {
            self.fault(place, IssueKind::TooManyPins { pins, copies });
        }
    }

    fn pins(&mut self, place: &str, pins: &[PinTable]) -> Vec<(usize, Pose)> {
        pins.iter()
            .map(|pin| {
                let offset =
                    point(self.signed(place, "pin x", &pin.x), self.signed(place, "pin y", &pin.y));
                let sheet = pin.sheet.unwrap_or(1);
                if sheet == 0 || !pin.turn.is_finite() {
                    self.fault(place, IssueKind::BadPin);
                }
                let rotation = pin.turn.to_radians();
                (sheet.max(1) - 1, Pose { offset, rotation, mirrored: pin.mirrored })
            })
            .collect()
    }

    fn grain(&mut self, place: &str, angle: Option<&Angle>) -> Grain {
        let (key, known) = ("grain", &["strong", "x", "y", "any", "degrees"][..]);
        match angle {
            None => Grain::Strong,
            Some(Angle::Degrees(d)) if d.is_finite() => Grain::Along(d.to_radians()),
            Some(Angle::Word(word)) => match word.as_str() {
                "strong" => Grain::Strong,
                "any" => Grain::Any,
                "x" => Grain::Along(0.0),
                "y" => Grain::Along(std::f64::consts::FRAC_PI_2),
                other => {
                    let written = Some(other.to_string());
                    self.fault(place, IssueKind::NotOneOf { key, known, written });
                    Grain::Strong
                }
            },
            Some(Angle::Degrees(_)) => {
                self.fault(place, IssueKind::NotOneOf { key, known, written: None });
                Grain::Strong
            }
        }
    }

    fn tolerance(&mut self, place: &str, degrees: Option<f64>) -> f64 {
        let degrees = degrees.unwrap_or(0.0);
        if !(0.0..=180.0).contains(&degrees) {
            let (key, range, degrees) = ("grain-tolerance", (0.0, 180.0), true);
            self.fault(place, IssueKind::OutOfRange { key, range, degrees });
            return 0.0;
        }
        degrees.to_radians()
    }

    /// Reports tables for parts that no drawing has; where a drawing has faults (`whole` is false) their parts may be left out.
    pub(super) fn overrides_used(&mut self, overrides: &[PartTable], parts: &[Part], whole: bool) {
        for over in overrides {
            let place = format!("part '{}'", over.name);
            let mut of: Vec<&str> = parts
                .iter()
                .filter(|p| applies(over, &p.name, &p.drawing))
                .map(|p| p.drawing.as_str())
                .collect();
            of.dedup();
            // A table for one of the drawings leaves the other to the table that names none.
            let own = |d: &str| {
                overrides.iter().any(|o| o.name == over.name && o.drawing.as_deref() == Some(d))
            };
            if over.drawing.is_none() {
                of.retain(|d| !own(d));
            }
            match of.as_slice() {
                [] => {
                    let near = nearest(&over.name, parts.iter().map(|p| p.name.as_str()));
                    let kind = IssueKind::InNoDrawing { near: near.map(String::from) };
                    if whole { self.fault(&place, kind) } else { self.warn(&place, kind) }
                }
                [_] => {}
                several => {
                    let drawings = several.iter().map(|d| d.to_string()).collect();
                    self.fault(&place, IssueKind::InSeveralDrawings { drawings });
                }
            }
        }
    }

    /// Two drawings may both have a `washer`: the later one is named after its drawing too, and the user is told.
    pub(super) fn unique_names(&mut self, parts: &mut [Part]) {
        for i in 1..parts.len() {
            let (before, rest) = parts.split_at_mut(i);
            let taken = |name: &str| before.iter().any(|p| p.name == name);
            let part = &mut rest[0];
            let Some(other) = before.iter().find(|p| p.name == part.name) else { continue };
            let file = part.drawing.rsplit(['/', '\\']).next().unwrap_or_default();
            let base = format!("{}-{}", file.trim_end_matches(".svg"), part.name);
            let numbered = (2..).map(|n| format!("{base}-{n}"));
            let free = std::iter::once(base.clone()).chain(numbered).find(|n| !taken(n));
            let free = free.unwrap_or(base);
            let (first, second) = (other.drawing.clone(), part.drawing.clone());
            let renamed = IssueKind::Renamed { first, second, name: free.clone() };
            self.warn(&format!("part '{}'", part.name), renamed);
            part.name = free;
        }
    }
}

/// Whether a feature is in one face of a part, so that a flipped copy is the part's mirror image.
fn of_one_face(feature: &Feature, thickness: f64) -> bool {
    match feature.kind {
        FeatureKind::Pocket | FeatureKind::Engraving => true,
        FeatureKind::Drill => feature.depth.is_some_and(|depth| depth < thickness),
        FeatureKind::Mark | FeatureKind::TabFree => false,
    }
}

/// The table for a part; a table that names the part's drawing takes precedence.
fn override_of<'a>(tables: &'a [PartTable], name: &str, drawing: &str) -> Option<&'a PartTable> {
    let mut of = tables.iter().filter(|o| applies(o, name, drawing));
    of.clone().find(|o| o.drawing.is_some()).or_else(|| of.next())
}

fn applies(over: &PartTable, name: &str, drawing: &str) -> bool {
    over.name == name && over.drawing.as_ref().is_none_or(|d| d == drawing)
}

fn hold_by(method: Option<&str>) -> Option<HoldBy> {
    match method? {
        "tabs" => Some(HoldBy::Tabs),
        "skin" => Some(HoldBy::Skin),
        "tape" => Some(HoldBy::Tape),
        _ => None,
    }
}
