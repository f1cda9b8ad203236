//! From the job file and its drawings to a checked job; every fault is reported at once.

use super::file::{Angle, BitTable, DrawingTable, JobFile, Mark, PartTable, PinTable, nearest};
use super::group::{Draft, SAME_THICKNESS};
use super::part::{Grain, Part};
use super::stock::stock_of;
use super::{Bit, Freeing, Holding, Issue, Issues, Job, Material, Prefer, Range};
use super::{find_material, materials};
use crate::drawing::{Drawing, MarkRule, MarkedBy, ReadOptions, ScaleSource, Severity};
use crate::geometry::{Pose, Ring, point};
use crate::layout::{Assumed, AssumedValue, FeatureKind, HoldDown, Subject};
use crate::units::Units;
use std::collections::BTreeMap;

/// Drawings by the file name the job gives them.
pub type Drawings = BTreeMap<String, Drawing>;

/// Most copies of one part that a job may ask for: more is a slip of the key, and would take hours (set by hand).
const MOST_COPIES: usize = 20_000;

/// Checks a job file against its drawings (parts and offcut outlines).
///
/// # Errors
/// Every fault found: unknown names with the nearest known one, bad lengths, drawings' own faults,
/// parts that no bit on hand reaches.
pub fn build(file: &JobFile, drawings: &Drawings) -> Result<(Job, Vec<Issue>), Issues> {
    let mut check = Check::new(file);
    let bits: Vec<(Bit, &BitTable)> = file.bits.iter().map(|b| (check.bit(b), b)).collect();
    check.materials_named(file);
    if bits.is_empty() {
        check.fault("job", "no [[bit]] is given: name at least one bit on hand");
    }
    if file.drawings.is_empty() {
        check.fault("job", "no [[drawing]] is given: name at least one drawing");
    }
    check.drawing_faults(drawings);
    check.rounded("job", file.corners.as_deref());
    check.scales(drawings);
    let mut parts = vec![];
    let mut groups: Vec<Draft> = vec![];
    for table in &file.drawings {
        let place = format!("drawing '{}'", table.file);
        let thickness = check.length(&place, "thickness", &table.thickness);
        let material = check.material(&place, &table.material, thickness, file);
        let (Some(drawing), Some(material)) = (drawings.get(&table.file), material) else {
            continue;
        };
        let group = Draft::find(&mut groups, table, material, thickness);
        let first = parts.len();
        parts.extend(check.parts_of(drawing, table, thickness, file));
        group.parts.extend(first..parts.len());
        group.wish_bit(table, &mut check);
    }
    check.overrides_used(&file.parts, &parts);
    check.depths_used(file);
    check.unique_names(&mut parts);
    let stock: Vec<_> =
        file.stock.iter().map(|s| (stock_of(&mut check, s, &file.stock, drawings), s)).collect();
    let mut built = vec![];
    for draft in groups {
        let fitting = stock.iter().filter_map(|(made, table)| {
            let row = find_material(&table.material, made.thickness);
            let same = row.is_some_and(|m| m.name == draft.material.name)
                && (made.thickness - draft.thickness).abs() < SAME_THICKNESS;
            same.then(|| made.clone())
        });
        let fitting = fitting.collect();
        if let Some(group) = draft.finish(&mut check, &bits, &parts, fitting) {
            built.push(group);
        }
    }
    let web = file.web.as_ref().map(|w| check.positive("job", "web", w));
    let holding = check.holding(file);
    if check.bare && file.units.is_none() {
        check.assume(Subject::Job, AssumedValue::Units(file.units()));
    }
    let job = Job {
        title: if file.title.is_empty() { "Untitled job".into() } else { file.title.clone() },
        units: file.units(),
        seed: file.seed.unwrap_or(1),
        web,
        parts,
        groups: built,
        holding,
        assumed: std::mem::take(&mut check.assumed),
    };
    if check.issues.is_empty() { Ok((job, check.warnings)) } else { Err(Issues(check.issues)) }
}

/// How a drawing of the job is to be read; `None` for the job's general settings.
///
/// # Errors
/// Bad lengths, colours and kinds of marks.
pub fn read_options(file: &JobFile, table: Option<&DrawingTable>) -> Result<ReadOptions, Issues> {
    let mut check = Check::new(file);
    let mut options = ReadOptions::default();
    let reading = &file.reading;
    let place = "reading";
    if let Some(join) = &reading.join {
        options.join = check.positive(place, "join", join);
    }
    if let Some(error) = &reading.chord_error {
        options.chord_error = check.positive(place, "chord-error", error).max(1e-4);
    }
    if let Some(size) = &reading.min_size {
        options.min_size = check.positive(place, "min-size", size);
    }
    options.dpi = table.and_then(|t| t.dpi).or(reading.dpi);
    options.scale = table.and_then(|t| t.scale).or(reading.scale).unwrap_or(1.0);
    for (key, value) in [("dpi", options.dpi.unwrap_or(96.0)), ("scale", options.scale)] {
        if !(value > 0.0 && value.is_finite()) {
            check.fault(place, &format!("{key} must be a positive number, not {value}"));
        }
    }
    options.marks = file.marks.iter().flat_map(|(kind, mark)| check.mark(kind, mark)).collect();
    options.wanted = file.parts.iter().map(|p| p.name.clone()).collect();
    if check.issues.is_empty() { Ok(options) } else { Err(Issues(check.issues)) }
}

/// Collects faults while it turns what was written into checked values.
pub(super) struct Check {
    pub(super) units: Units,
    issues: Vec<Issue>,
    warnings: Vec<Issue>,
    assumed: Vec<Assumed>,
    /// Whether a bare number was read, whose unit is the job's.
    pub(super) bare: bool,
}

impl Check {
    fn new(file: &JobFile) -> Self {
        Check {
            units: file.units(),
            issues: vec![],
            warnings: vec![],
            assumed: vec![],
            bare: false,
        }
    }

    /// Notes what the job leaves open.
    pub(super) fn assume(&mut self, of: Subject, value: AssumedValue) {
        self.assumed.push(Assumed { of, value });
    }

    pub(super) fn fault(&mut self, place: &str, message: &str) {
        self.issues.push(Issue { place: place.into(), message: message.into() });
    }

    pub(super) fn warn(&mut self, place: &str, message: &str) {
        self.warnings.push(Issue { place: place.into(), message: message.into() });
    }

    /// A length in mm that is above zero; 1 stands in for a faulty one so that checking goes on.
    pub(super) fn length(&mut self, place: &str, key: &str, length: &super::Length) -> f64 {
        let mm = self.positive(place, key, length);
        if mm == 0.0 {
            self.fault(place, &format!("{key} must be above zero"));
            return 1.0;
        }
        mm
    }

    /// A length in mm that is not negative.
    pub(super) fn positive(&mut self, place: &str, key: &str, length: &super::Length) -> f64 {
        let mm = self.signed(place, key, length);
        if mm < 0.0 {
            self.fault(place, &format!("{key} must not be negative"));
        }
        mm.max(0.0)
    }

    /// A length in mm of either sign.
    pub(super) fn signed(&mut self, place: &str, key: &str, length: &super::Length) -> f64 {
        self.bare |= length.is_bare();
        length.mm(self.units).unwrap_or_else(|e| {
            self.fault(place, &format!("{key}: {e}"));
            1.0
        })
    }

    /// The material by its name, with the job's own cutting force.
    fn material(
        &mut self,
        place: &str,
        name: &str,
        thickness: f64,
        file: &JobFile,
    ) -> Option<Material> {
        let Some(found) = find_material(name, thickness) else {
            self.unknown_material(place, name);
            return None;
        };
        let mut material = found.clone();
        for force in &file.cutting_force {
            let row = find_material(&force.material, thickness);
            if row.is_some_and(|m| m.name == material.name) {
                let exact = |v: f64| Range { low: v, nominal: v, high: v };
                (material.kc, material.ke) = (exact(force.kc), exact(force.ke));
                material.source += "; cutting force as the job gives it";
                if !(force.kc >= 0.0 && force.ke >= 0.0 && force.kc + force.ke > 0.0) {
                    self.fault("cutting-force", "kc and ke must be positive numbers");
                }
            }
        }
        Some(material)
    }

    pub(super) fn unknown_material(&mut self, place: &str, name: &str) {
        let known: Vec<String> = materials().iter().map(|m| m.name.clone()).collect();
        let words = known.iter().flat_map(|n| n.split([' ', ','])).filter(|w| w.len() > 2);
        let hint = match nearest(name, words) {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("known are {}", known.join("; ")),
        };
        self.fault(place, &format!("material '{name}' is not known; {hint}"));
    }

    /// Materials that bits and cutting forces are kept for: a slip there would be passed over in silence.
    fn materials_named(&mut self, file: &JobFile) {
        let bits = file.bits.iter().flat_map(|b| {
            b.materials.iter().map(move |m| (format!("bit '{}'", b.name), m.as_str()))
        });
        let forces = file.cutting_force.iter();
        let forces = forces.map(|f| ("cutting-force".to_string(), f.material.as_str()));
        for (place, name) in bits.chain(forces) {
            if find_material(name, 6.0).is_none() {
                self.unknown_material(&place, name);
            }
        }
    }

    fn holding(&mut self, file: &JobFile) -> Holding {
        let (table, place) = (&file.holding, "holding");
        let mut holding = Holding::default();
        match table.freeing.as_deref() {
            None | Some("saw") => {}
            Some("snap") => holding.freeing = Freeing::Snap,
            Some(other) => self.fault(place, &format!("freeing is saw or snap, not '{other}'")),
        }
        match table.prefer.as_deref() {
            None | Some("strong") => {}
            Some("clean") => holding.prefer = Prefer::Clean,
            Some(other) => self.fault(place, &format!("prefer is strong or clean, not '{other}'")),
        }
        holding.last_pass = table.last_pass.as_ref().map(|l| self.length(place, "last-pass", l));
        if let Some(width) = &table.min_width {
            holding.min_width = self.length(place, "min-width", width);
        }
        if let Some(width) = &table.max_width {
            holding.max_width = self.length(place, "max-width", width);
        }
        if let Some(overhang) = &table.max_overhang {
            holding.max_overhang = self.length(place, "max-overhang", overhang);
        }
        holding.hold_down = match table.hold_down.as_deref() {
            None => None,
            Some("clamps") => Some(HoldDown::Clamps),
            Some("tape") => Some(HoldDown::Tape),
            Some(_) => {
                self.fault(place, "hold-down is clamps or tape");
                None
            }
        };
        if holding.min_width > holding.max_width {
            self.fault(place, "min-width is above max-width");
        }
        holding
    }

    fn mark(&mut self, kind: &str, mark: &Mark) -> Vec<MarkRule> {
        let place = format!("marks: {kind}");
        let names = FeatureKind::ALL.map(FeatureKind::name);
        let Some(kind) = FeatureKind::ALL.into_iter().find(|k| k.name() == kind) else {
            self.fault(&place, &format!("is no kind of feature; known are {}", names.join(", ")));
            return vec![];
        };
        let mut rules = vec![];
        if let Some(group) = &mark.group {
            rules.push(MarkRule { by: MarkedBy::Group(group.clone()), kind });
        }
        if let Some(stroke) = &mark.stroke {
            match colour(stroke) {
                Some(rgb) => rules.push(MarkRule { by: MarkedBy::Stroke(rgb), kind }),
                None => self.fault(&place, &format!("'{stroke}' is no colour: write #rrggbb")),
            }
        }
        if mark.group.is_none() && mark.stroke.is_none() {
            self.fault(&place, "give a group or a stroke");
        }
        rules
    }

    fn drawing_faults(&mut self, drawings: &Drawings) {
        for (file, drawing) in drawings {
            for fault in &drawing.faults {
                let place = format!("drawing '{file}'");
                let words = fault.words(self.units);
                match fault.severity {
                    Severity::Error => self.fault(&place, &words),
                    Severity::Warning => self.warn(&place, &words),
                }
            }
        }
    }

    /// Drawings whose scale is not known from the file.
    fn scales(&mut self, drawings: &Drawings) {
        for (file, drawing) in drawings {
            if let ScaleSource::Assumed { dpi, given: false, .. } = drawing.scale {
                self.assume(Subject::Drawing(file.clone()), AssumedValue::Dpi(dpi));
            }
        }
    }

    fn parts_of(
        &mut self,
        drawing: &Drawing,
        table: &DrawingTable,
        thickness: f64,
        file: &JobFile,
    ) -> Vec<Part> {
        let place = format!("drawing '{}'", table.file);
        if drawing.parts.is_empty() {
            self.fault(&place, "holds no part: no closed outline was found");
        }
        let mut parts = vec![];
        for drawn in &drawing.parts {
            let over = override_of(&file.parts, &drawn.name, &table.file);
            let place = format!("part '{}'", drawn.name);
            let grain = over.and_then(|o| o.grain.as_ref()).or(table.grain.as_ref());
            let tolerance = over.and_then(|o| o.grain_tolerance).or(table.grain_tolerance);
            let mut tab_free = drawn.tab_free.clone();
            for side in over.into_iter().flat_map(|o| &o.tab_free) {
                match side_of(drawn.shape.bounds(), side) {
                    Some(line) => tab_free.push(line),
                    None => self.fault(
                        &place,
                        &format!("tab-free sides are left, right, top and bottom, not '{side}'"),
                    ),
                }
            }
            let pins = over.map_or(vec![], |o| self.pins(&place, &o.pin));
            let drawn_copies = drawn.copies.saturating_mul(table.quantity.unwrap_or(1));
            let quantity = over.and_then(|o| o.quantity).unwrap_or(drawn_copies);
            let spares = over.and_then(|o| o.spares).or(table.spares).unwrap_or(0);
            self.copies(&place, quantity, spares, pins.len());
            parts.push(Part {
                name: drawn.name.clone(),
                drawing: table.file.clone(),
                shape: drawn.shape.clone(),
                features: self.deep(&place, &drawn.features, thickness, file, over),
                quantity,
                spares,
                grain: self.grain(&place, grain),
                grain_tolerance: self.tolerance(&place, tolerance),
                mirror: over.and_then(|o| o.mirror).unwrap_or(table.mirror),
                pins,
                rounded: self.rounded(&place, over.and_then(|o| o.corners.as_deref()))
                    || file.corners.as_deref() == Some("rounded"),
                tab_free,
            });
        }
        parts
    }

    /// What `corners` says; the only word is `rounded`.
    fn rounded(&mut self, place: &str, corners: Option<&str>) -> bool {
        if let Some(other) = corners.filter(|c| *c != "rounded") {
            self.fault(place, &format!("corners can be rounded, not '{other}'"));
        }
        corners.is_some()
    }

    /// Refuses numbers of copies that cannot be meant, and pins for copies that are not made.
    fn copies(&mut self, place: &str, quantity: usize, spares: usize, pins: usize) {
        let copies = quantity.saturating_add(spares);
        if copies > MOST_COPIES {
            self.fault(place, &format!("{copies} copies are too many: {MOST_COPIES} at most"));
        }
        if pins > copies {
            let message = format!("has {pins} pins but {copies} copies: a pin places one copy");
            self.fault(place, &message);
        }
    }

    fn pins(&mut self, place: &str, pins: &[PinTable]) -> Vec<(usize, Pose)> {
        pins.iter()
            .map(|pin| {
                let offset =
                    point(self.signed(place, "pin x", &pin.x), self.signed(place, "pin y", &pin.y));
                let sheet = pin.sheet.unwrap_or(1);
                if sheet == 0 || !pin.turn.is_finite() {
                    self.fault(place, "a pin's sheet counts from 1 and its turn is in degrees");
                }
                let rotation = pin.turn.to_radians();
                (sheet.max(1) - 1, Pose { offset, rotation, mirrored: pin.mirrored })
            })
            .collect()
    }

    fn grain(&mut self, place: &str, angle: Option<&Angle>) -> Grain {
        match angle {
            None => Grain::Strong,
            Some(Angle::Degrees(d)) if d.is_finite() => Grain::Along(d.to_radians()),
            Some(Angle::Word(word)) => match word.as_str() {
                "strong" => Grain::Strong,
                "any" => Grain::Any,
                "x" => Grain::Along(0.0),
                "y" => Grain::Along(std::f64::consts::FRAC_PI_2),
                other => {
                    self.fault(
                        place,
                        &format!("grain is strong, x, y, any or degrees, not '{other}'"),
                    );
                    Grain::Strong
                }
            },
            Some(Angle::Degrees(_)) => {
                self.fault(place, "grain must be a finite number of degrees");
                Grain::Strong
            }
        }
    }

    fn tolerance(&mut self, place: &str, degrees: Option<f64>) -> f64 {
        let degrees = degrees.unwrap_or(0.0);
        if !(0.0..=180.0).contains(&degrees) {
            self.fault(place, "grain-tolerance lies between 0 and 180 degrees");
            return 0.0;
        }
        degrees.to_radians()
    }

    fn overrides_used(&mut self, overrides: &[PartTable], parts: &[Part]) {
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
                    let hint = nearest(&over.name, parts.iter().map(|p| p.name.as_str()))
                        .map_or(String::new(), |near| format!("; did you mean '{near}'?"));
                    self.fault(&place, &format!("is in no drawing{hint}"));
                }
                [_] => {}
                [first, ..] => {
                    let message = format!(
                        "is in more than one drawing ({}): say which with drawing = \"{first}\", \
                         one [[part]] for each",
                        of.join(", ")
                    );
                    self.fault(&place, &message);
                }
            }
        }
    }

    /// Two drawings may both have a `washer`: the later one is named for its drawing too, and that is said.
    fn unique_names(&mut self, parts: &mut [Part]) {
        for i in 1..parts.len() {
            let (before, rest) = parts.split_at_mut(i);
            let taken = |name: &str| before.iter().any(|p| p.name == name);
            let part = &mut rest[0];
            let Some(other) = before.iter().find(|p| p.name == part.name) else { continue };
            let stem = part.drawing.trim_end_matches(".svg").replace(['/', '\\'], "-");
            let base = format!("{stem}-{}", part.name);
            let numbered = (2..).map(|n| format!("{base}-{n}"));
            let free = std::iter::once(base.clone()).chain(numbered).find(|n| !taken(n));
            let free = free.unwrap_or(base);
            let message = format!(
                "is in '{}' and in '{}': the second is listed as '{free}'",
                other.drawing, part.drawing
            );
            self.warn(&format!("part '{}'", part.name), &message);
            part.name = free;
        }
    }
}

/// The table for a part: one that names its drawing before one that does not.
fn override_of<'a>(tables: &'a [PartTable], name: &str, drawing: &str) -> Option<&'a PartTable> {
    let mut of = tables.iter().filter(|o| applies(o, name, drawing));
    of.clone().find(|o| o.drawing.is_some()).or_else(|| of.next())
}

fn applies(over: &PartTable, name: &str, drawing: &str) -> bool {
    over.name == name && over.drawing.as_ref().is_none_or(|d| d == drawing)
}

fn side_of(bounds: crate::geometry::Bounds, side: &str) -> Option<Ring> {
    let (low, high) = (bounds.min, bounds.max);
    let corners = match side {
        "left" => [low, point(low.x, high.y)],
        "right" => [point(high.x, low.y), high],
        "top" => [low, point(high.x, low.y)],
        "bottom" => [point(low.x, high.y), high],
        _ => return None,
    };
    Some(Ring(corners.to_vec()))
}

/// `#rrggbb` as bytes.
fn colour(text: &str) -> Option<[u8; 3]> {
    let hex = text.strip_prefix('#').filter(|h| h.len() == 6 && h.is_ascii())?;
    let byte = |i: usize| u8::from_str_radix(&hex[i..i + 2], 16).ok();
    Some([byte(0)?, byte(2)?, byte(4)?])
}
