//! From the job file and its drawings to a checked job; every fault is reported at once.

use super::file::{Angle, BitTable, DrawingTable, JobFile, Mark, PartTable, PinTable, nearest};
use super::group::{Draft, SAME_THICKNESS};
use super::part::{Grain, Part};
use super::stock::stock_of;
use super::{Bit, Freeing, Holding, Issue, Issues, Job, Material, Prefer, Range, Spiral};
use super::{find_material, materials};
use crate::drawing::{Drawing, MarkRule, MarkedBy, ReadOptions, Severity};
use crate::geometry::{Pose, Ring, point};
use crate::layout::{ALLOWANCE, FeatureKind, HoldDown, LEAST_ALLOWANCE, MOST_ALLOWANCE};
use crate::units::Units;
use std::collections::BTreeMap;

/// Drawings by the file name the job gives them.
pub type Drawings = BTreeMap<String, Drawing>;

/// Checks a job file against its drawings (parts and offcut outlines).
///
/// # Errors
/// Every fault found: unknown names with the nearest known one, bad lengths, drawings' own faults,
/// parts that no bit on hand reaches.
pub fn build(file: &JobFile, drawings: &Drawings) -> Result<(Job, Vec<Issue>), Issues> {
    let mut check = Check { units: file.units, issues: vec![], warnings: vec![] };
    let bits: Vec<(Bit, &BitTable)> = file.bits.iter().map(|b| (check.bit(b), b)).collect();
    if bits.is_empty() {
        check.fault("job", "no [[bit]] is given: name at least one bit on hand");
    }
    if file.drawings.is_empty() {
        check.fault("job", "no [[drawing]] is given: name at least one drawing");
    }
    check.drawing_faults(drawings);
    check.rounded("job", file.corners.as_deref());
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
    unique_names(&mut parts);
    let stock: Vec<_> = file.stock.iter().map(|s| (stock_of(&mut check, s, drawings), s)).collect();
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
    let job = Job {
        title: if file.title.is_empty() { "Untitled job".into() } else { file.title.clone() },
        units: file.units,
        seed: file.seed.unwrap_or(1),
        web: file.web.as_ref().map(|w| check.positive("job", "web", w)),
        parts,
        groups: built,
        holding: check.holding(file),
    };
    if check.issues.is_empty() { Ok((job, check.warnings)) } else { Err(Issues(check.issues)) }
}

/// How a drawing of the job is to be read; `None` for the job's general settings.
///
/// # Errors
/// Bad lengths, colours and kinds of marks.
pub fn read_options(file: &JobFile, table: Option<&DrawingTable>) -> Result<ReadOptions, Issues> {
    let mut check = Check { units: file.units, issues: vec![], warnings: vec![] };
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
}

impl Check {
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

    fn bit(&mut self, table: &BitTable) -> Bit {
        let place = format!("bit '{}'", table.name);
        let diameter = self.length(&place, "diameter", &table.diameter);
        let spiral = match table.spiral.as_deref() {
            Some("up") => Spiral::Up,
            Some("down") => Spiral::Down,
            None | Some("straight") => Spiral::Straight,
            Some(other) => {
                self.fault(&place, &format!("spiral is up, down or straight, not '{other}'"));
                Spiral::Straight
            }
        };
        let helix = table.helix.unwrap_or(if spiral == Spiral::Straight { 0.0 } else { 30.0 });
        let (flutes, rpm) = (table.flutes.unwrap_or(2), table.rpm.unwrap_or(18_000.0));
        for (key, good) in [
            ("helix (0 to 60 degrees)", (0.0..=60.0).contains(&helix)),
            ("flutes (1 to 12)", (1..=12).contains(&flutes)),
            ("rpm (100 to 200,000)", (100.0..=200_000.0).contains(&rpm)),
        ] {
            if !good {
                self.fault(&place, &format!("{key} is out of range"));
            }
        }
        // 2 % of the diameter a tooth for a small bit in hardwood (common practice, no source).
        let usual_feed = 0.02 * diameter * f64::from(flutes) * rpm;
        let feed = table.feed.as_ref().map_or(usual_feed, |f| self.length(&place, "feed", f));
        let pass_depth = table
            .pass_depth
            .as_ref()
            .map_or(diameter / 2.0, |d| self.length(&place, "pass-depth", d));
        let allowance = match &table.allowance {
            Some(given) => self.length(&place, "allowance", given),
            None => ALLOWANCE,
        };
        if !(LEAST_ALLOWANCE..=MOST_ALLOWANCE).contains(&allowance) {
            let show = |mm: f64| match self.units {
                Units::Mm => self.units.show(mm),
                Units::In => format!("{:.4} in", mm / self.units.mm()),
            };
            let range = (show(LEAST_ALLOWANCE), show(MOST_ALLOWANCE));
            self.fault(&place, &format!("allowance lies between {} and {}", range.0, range.1));
        }
        let helix = helix.to_radians();
        let name = table.name.clone();
        Bit { name, diameter, flutes, spiral, helix, pass_depth, feed, rpm, allowance }
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
                match fault.severity {
                    Severity::Error => self.fault(&place, &fault.to_string()),
                    Severity::Warning => self.warn(&place, &fault.to_string()),
                }
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
            let over = file.parts.iter().find(|o| applies(o, &drawn.name, &table.file));
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
            let drawn_copies = drawn.copies * table.quantity.unwrap_or(1);
            parts.push(Part {
                name: drawn.name.clone(),
                drawing: table.file.clone(),
                shape: drawn.shape.clone(),
                features: self.deep(&place, &drawn.features, thickness, file, over),
                quantity: over.and_then(|o| o.quantity).unwrap_or(drawn_copies),
                spares: over.and_then(|o| o.spares).or(table.spares).unwrap_or(0),
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
            if parts.iter().any(|p| applies(over, &p.name, &p.drawing)) {
                continue;
            }
            let hint = nearest(&over.name, parts.iter().map(|p| p.name.as_str()))
                .map_or(String::new(), |near| format!("; did you mean '{near}'?"));
            self.fault(&format!("part '{}'", over.name), &format!("is in no drawing{hint}"));
        }
    }
}

fn applies(over: &PartTable, name: &str, drawing: &str) -> bool {
    over.name == name && over.drawing.as_ref().is_none_or(|d| d == drawing)
}

/// Two drawings may both have a `washer`: the later one is named for its drawing too.
fn unique_names(parts: &mut [Part]) {
    for i in 1..parts.len() {
        let (before, rest) = parts.split_at_mut(i);
        let taken = |name: &str| before.iter().any(|p| p.name == name);
        let part = &mut rest[0];
        if taken(&part.name) {
            let stem = part.drawing.trim_end_matches(".svg").replace(['/', '\\'], "-");
            let base = format!("{stem}-{}", part.name);
            let numbered = (2..).map(|n| format!("{base}-{n}"));
            part.name =
                std::iter::once(base.clone()).chain(numbered).find(|n| !taken(n)).unwrap_or(base);
        }
    }
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
