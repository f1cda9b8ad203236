//! Builds a checked job from the job file and its drawings; every fault is reported at once.

use super::bed::within_bed;
use super::bit::Bit;
use super::checked::{Group, Job};
use super::checker::{Checker, Drawings};
use super::file::{BitTable, DrawingTable, JobFile, Mark, StockTable};
use super::group::{GroupDraft, SAME_THICKNESS};
use super::holding::{Freeing, Hang, HoldBy, Holding, Prefer};
use super::issue::{Issue, IssueKind, Issues};
use super::material::{Material, stand_in};
use super::part::Part;
use super::refused_part::{Refusal, RefusedPart};
use super::stock::{Stock, stock_of};
use crate::drawing::{DrawingFault, Flaw, MarkRule, MarkedBy, ReadOptions, ScaleSource, Severity};
use crate::layout::{AssumedValue, FeatureKind, HoldDown, Subject};
use std::collections::BTreeMap;
use std::str::FromStr;

/// The key in `[marks]` for lines to leave out.
const IGNORE: &str = "ignore";

/// Checks a job file against its drawings (parts and offcut outlines).
///
/// # Errors
/// Every fault found: unknown names with the nearest known one, bad lengths, drawings' own faults,
/// parts that no bit on hand reaches. What spoils single parts only leaves those out ([`Job::left_out`]), as long as any is left.
pub fn build(file: &JobFile, drawings: &Drawings) -> Result<(Job, Vec<Issue>), Issues> {
    let mut check = Checker::new(file);
    let bits: Vec<(Bit, &BitTable)> = file.bits.iter().map(|b| (check.bit(b), b)).collect();
    check.own_materials(file);
    check.materials_named(file);
    let missing =
        [(bits.is_empty(), IssueKind::NoBits), (file.drawings.is_empty(), IssueKind::NoDrawings)];
    missing.into_iter().filter(|(none, _)| *none).for_each(|(_, kind)| check.fault("job", kind));
    check.drawing_faults(drawings);
    check.rounded("job", file.corners.as_deref());
    check.scales(drawings);
    let (mut parts, groups) = drafts(&mut check, file, drawings);
    if !parts.is_empty() && parts.iter().all(|p| p.quantity.saturating_add(p.spares) == 0) {
        check.fault("job", IssueKind::NothingToMake);
    }
    let whole = drawings.values().all(|d| !d.has_errors());
    // A drawing whose material is not known gives no parts, of which there is nothing more to say.
    if file.drawings.iter().all(|d| parts.iter().any(|p| p.drawing == d.file)) {
        check.overrides_used(&file.parts, &parts, whole);
    }
    check.depths_used(file);
    check.unique_names(&mut parts);
    let bed = check.bed(file);
    let on_hand = file.stock.iter().filter(|s| !s.used);
    let stock: Vec<_> = on_hand.map(|s| (stock_of(&mut check, s, file, drawings), s)).collect();
    let on_bed = within_bed(&mut check, stock.clone(), bed);
    let finished = |draft: GroupDraft| {
        let usable = fitting(&draft, &on_bed, file);
        let off_bed = usable.len() < fitting(&draft, &stock, file).len();
        let none = usable.is_empty() && !off_bed;
        let nearest_thickness = none.then(|| nearest(&draft, &stock, file)).flatten();
        let group = draft.finish(&mut check, file, &bits, &parts, usable)?;
        Some(Group { off_bed, nearest_thickness, ..group })
    };
    let mut built: Vec<Group> = groups.into_iter().filter_map(finished).collect();
    let web = file.web.as_ref().map(|w| check.positive("job", "web", w));
    let holding = check.holding(file);
    if check.bare && file.units.is_none() {
        check.assume(Subject::Job, AssumedValue::Units(file.units()));
    }
    without(&mut parts, &mut built, &check.refused);
    // Where nothing is made, everything that is wrong is told at once.
    if parts.is_empty() || !check.issues.is_empty() {
        check.issues.append(&mut check.left_out);
    }
    let job = Job {
        title: if file.title.is_empty() { "Untitled job".into() } else { file.title.clone() },
        units: file.units(),
        seed: file.seed.unwrap_or(1),
        web,
        bed,
        parts,
        groups: built,
        holding,
        left_out: std::mem::take(&mut check.left_out),
        refused: check.refused.into_values().chain(check.undrawn).collect(),
        assumed: std::mem::take(&mut check.assumed),
    };
    if check.issues.is_empty() { Ok((job, check.warnings)) } else { Err(Issues(check.issues)) }
}

/// The stock of a group's material and thickness.
fn fitting<'a>(
    draft: &GroupDraft,
    stock: &[(Stock, &'a StockTable)],
    file: &JobFile,
) -> Vec<(Stock, &'a StockTable)> {
    let same = |(made, table): &&(Stock, &StockTable)| {
        is_of(made, table, draft, file) && (made.thickness - draft.thickness).abs() < SAME_THICKNESS
    };
    stock.iter().filter(same).cloned().collect()
}

/// The thickness nearest to a group's of the stock of its material, mm.
fn nearest(draft: &GroupDraft, stock: &[(Stock, &StockTable)], file: &JobFile) -> Option<f64> {
    let of_it = stock.iter().filter(|(made, table)| is_of(made, table, draft, file));
    let off = |t: &f64| (t - draft.thickness).abs();
    of_it.map(|(made, _)| made.thickness).min_by(|a, b| off(a).total_cmp(&off(b)))
}

fn is_of(made: &Stock, table: &StockTable, draft: &GroupDraft, file: &JobFile) -> bool {
    let row = file.material(&table.material, made.thickness);
    row.is_some_and(|m| m.name == draft.material.name)
}

/// The parts of all drawings, and the groups that they fall into.
fn drafts(
    check: &mut Checker,
    file: &JobFile,
    drawings: &Drawings,
) -> (Vec<Part>, Vec<GroupDraft>) {
    let mut parts = vec![];
    let mut groups: Vec<GroupDraft> = vec![];
    for table in &file.drawings {
        let place = format!("drawing '{}'", table.file);
        let thickness = check.length(&place, "thickness", &table.thickness);
        let material = check.material(&place, &table.material, thickness, file);
        let (Some(drawing), Some(material)) = (drawings.get(&table.file), material) else {
            continue;
        };
        let group = GroupDraft::find(&mut groups, table, material, thickness);
        let first = parts.len();
        parts.extend(check.parts_of(drawing, table, thickness, file));
        group.parts.extend(first..parts.len());
        group.wish_bit(table, check);
    }
    (parts, groups)
}

/// Takes the refused parts out; groups keep those that they have left.
fn without(parts: &mut Vec<Part>, groups: &mut Vec<Group>, refused: &BTreeMap<usize, RefusedPart>) {
    let kept: Vec<usize> = (0..parts.len()).filter(|i| !refused.contains_key(i)).collect();
    for group in groups.iter_mut() {
        let place = |i: &usize| kept.binary_search(i).ok();
        group.parts = group.parts.iter().filter_map(place).collect();
    }
    groups.retain(|g| !g.parts.is_empty());
    let mut index = 0;
    parts.retain(|_| {
        index += 1;
        !refused.contains_key(&(index - 1))
    });
}

/// The options for reading a drawing of the job; `None` gives the job's general settings.
///
/// # Errors
/// Bad lengths, colours and kinds of marks.
pub fn read_options(file: &JobFile, table: Option<&DrawingTable>) -> Result<ReadOptions, Issues> {
    let mut check = Checker::new(file);
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
            check.fault(place, IssueKind::NotPositive { key: key.into() });
        }
    }
    (options.marks, options.ignore) = check.marks(file);
    options.wanted = file.parts.iter().map(|p| p.name.clone()).collect();
    if check.issues.is_empty() { Ok(options) } else { Err(Issues(check.issues)) }
}

impl Checker {
    /// The material by its name, with the job's own cutting force.
    fn material(
        &mut self,
        place: &str,
        name: &str,
        thickness: f64,
        file: &JobFile,
    ) -> Option<Material> {
        let Some(mut material) = file.material(name, thickness) else {
            self.unmatched_material(place, name, file);
            return None;
        };
        if stand_in(name).is_some_and(|_| file.own(name).is_none()) {
            let kind = IssueKind::StandIn { name: name.into(), row: material.name.clone() };
            self.warn(place, kind);
        }
        self.assume_material(name, thickness, file);
        for force in &file.cutting_force {
            let row = file.material(&force.material, thickness);
            if row.is_some_and(|m| m.name == material.name) {
                material.set_force(force.kc, force.ke);
                if !(force.kc >= 0.0 && force.ke >= 0.0 && force.kc + force.ke > 0.0) {
                    self.fault("cutting-force", IssueKind::BadForce);
                }
            }
        }
        Some(material)
    }

    /// Checks the materials that bits and cutting forces are restricted to: a misspelt one would be ignored without a word.
    fn materials_named(&mut self, file: &JobFile) {
        let bits = file.bits.iter().flat_map(|b| {
            b.materials.iter().map(move |m| (format!("bit '{}'", b.name), m.as_str()))
        });
        let forces = file.cutting_force.iter();
        let forces = forces.map(|f| ("cutting-force".to_string(), f.material.as_str()));
        for (place, name) in bits.chain(forces) {
            self.unmatched_material(&place, name, file);
        }
    }

    fn holding(&mut self, file: &JobFile) -> Holding {
        let (table, place) = (&file.holding, "holding");
        let mut holding = Holding::default();
        match table.freeing.as_deref() {
            None | Some("saw") => {}
            Some("snap") => holding.freeing = Freeing::Snap,
            Some(other) => self.fault(place, not_one_of("freeing", &["saw", "snap"], other)),
        }
        match table.prefer.as_deref() {
            None | Some("strong") => {}
            Some("clean") => holding.prefer = Prefer::Clean,
            Some(other) => self.fault(place, not_one_of("prefer", &["strong", "clean"], other)),
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
            Some(other) => {
                self.fault(place, not_one_of("hold-down", &["clamps", "tape"], other));
                None
            }
        };
        if let Some(method) = table.method.as_deref() {
            // What lies on tape part by part lies on it as a sheet.
            let taped = self.hold_by(place, method) == HoldBy::Tape;
            holding.hold_down = holding.hold_down.or(taped.then_some(HoldDown::Tape));
        }
        match table.hang.as_deref() {
            None | Some("stock") => {}
            Some("parts") => holding.hang = Hang::Parts,
            Some(other) => self.fault(place, not_one_of("hang", &["stock", "parts"], other)),
        }
        holding.clear_waste = table.clear_waste.unwrap_or(true);
        if holding.min_width > holding.max_width {
            self.fault(place, IssueKind::MinAboveMax);
        }
        holding
    }

    /// What `[marks]` says: rules for features, and what is left out.
    fn marks(&mut self, file: &JobFile) -> (Vec<MarkRule>, Vec<MarkedBy>) {
        let (mut rules, mut ignore) = (vec![], vec![]);
        for (written, mark) in &file.marks {
            let place = format!("marks: {written}");
            let kind = FeatureKind::ALL.into_iter().find(|k| k.name() == written);
            match kind {
                _ if written == IGNORE => ignore.extend(self.signs(&place, mark)),
                Some(kind) => {
                    let signs = self.signs(&place, mark).into_iter();
                    rules.extend(signs.map(|by| MarkRule { by, kind }));
                }
                None => {
                    let mut known = FeatureKind::ALL.map(FeatureKind::name).to_vec();
                    known.push(IGNORE);
                    self.fault(&place, IssueKind::UnknownMark { known });
                }
            }
        }
        (rules, ignore)
    }

    /// The signs by which a mark is known; any one is enough.
    fn signs(&mut self, place: &str, mark: &Mark) -> Vec<MarkedBy> {
        let mut signs = vec![];
        for names in [&mark.group, &mark.class, &mark.layer].into_iter().flatten() {
            signs.extend(names.0.iter().map(|n| MarkedBy::Group(n.clone())));
        }
        for stroke in mark.stroke.iter().flat_map(|s| &s.0) {
            match colour(stroke) {
                Some(rgb) => signs.push(MarkedBy::Stroke(rgb)),
                None => self.fault(place, IssueKind::NotColour { written: stroke.clone() }),
            }
        }
        signs.extend(mark.dash.then_some(MarkedBy::Dash));
        if signs.is_empty() && mark.stroke.is_none() {
            self.fault(place, IssueKind::MarkByNothing);
        }
        signs
    }

    fn drawing_faults(&mut self, drawings: &Drawings) {
        for (file, drawing) in drawings {
            for fault in &drawing.faults {
                let place = format!("drawing '{file}'");
                let kind = IssueKind::Drawn(Box::new(fault.clone()));
                match fault.severity {
                    Severity::Error if fault.flaw.is_local() => {
                        self.leave_out(&place, kind);
                        self.undrawn(file, fault);
                    }
                    Severity::Error => self.fault(&place, kind),
                    Severity::Warning => self.warn(&place, kind),
                }
            }
        }
    }

    /// Notes the elements that a fault leaves out.
    fn undrawn(&mut self, file: &str, fault: &DrawingFault) {
        let (own, once) = match &fault.flaw {
            // A line inside a part spoils that part, which is told of too.
            Flaw::Open { inside: Some(_), .. } => return,
            // Each of two that meet may meet others as well.
            Flaw::Meets { other: Some(other), .. } => (vec![&fault.element, other], true),
            _ => (vec![&fault.element], false),
        };
        for name in own {
            match self.undrawn.iter_mut().find(|u| u.name == *name) {
                Some(same) => same.quantity += usize::from(!once),
                None => {
                    let why = Refusal::Drawing { file: file.into(), at: fault.at };
                    self.undrawn.push(RefusedPart { name: name.clone(), quantity: 1, why });
                }
            }
        }
    }

    /// Notes the drawings whose files do not state their scale.
    fn scales(&mut self, drawings: &Drawings) {
        for (file, drawing) in drawings {
            if let ScaleSource::Assumed { dpi, given: false, .. } = drawing.scale {
                self.assume(Subject::Drawing(file.clone()), AssumedValue::Dpi(dpi));
            }
        }
    }
}

fn not_one_of(key: &'static str, known: &'static [&'static str], written: &str) -> IssueKind {
    IssueKind::NotOneOf { key, known, written: Some(written.into()) }
}

/// A colour as bytes: a name, `#888`, `#1f6f8b`.
fn colour(text: &str) -> Option<[u8; 3]> {
    svgtypes::Color::from_str(text.trim()).ok().map(|c| [c.red, c.green, c.blue])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The issues of a job in walnut with these lines at its head, its drawing not read.
    fn found(head: &str) -> Vec<Issue> {
        let text = format!(
            "{head}\n[[bit]]\nname = 'b'\ndiameter = '1/8in'\n[[stock]]\nmaterial = 'walnut'\nthickness = 6\nsize = '200x120'\n\
             [[drawing]]\nfile = 'bar.svg'\nmaterial = 'walnut'\nthickness = 6\n"
        );
        let file = JobFile::parse(&text).expect("a job");
        let reading = read_options(&file, None).err();
        let building = build(&file, &Drawings::new()).err();
        building.into_iter().chain(reading).flat_map(|issues| issues.0).collect()
    }

    /// A job whose only part has a quantity of 0 once ended well, with nothing made.
    #[test]
    fn a_job_that_makes_nothing_is_refused() {
        let made = |quantity: usize| {
            let job = format!(
                "units = 'mm'\n[[bit]]\nname = 'b'\ndiameter = '1/8in'\n[[stock]]\nmaterial = 'walnut'\nthickness = 6\nsize = '200x120'\n\
                 [[drawing]]\nfile = 'bar.svg'\nmaterial = 'walnut'\nthickness = 6\n[[part]]\nname = 'bar'\nquantity = {quantity}"
            );
            let file = JobFile::parse(&job).expect("a job");
            let bar = "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='60mm' viewBox='0 0 100 60'>\
                       <rect id='bar' x='5' y='5' width='60' height='20' fill='none' stroke='#000'/></svg>";
            let options = read_options(&file, None).expect("options");
            let drawing = crate::drawing::read(bar, "bar.svg", &options).expect("a drawing");
            let built = build(&file, &Drawings::from([("bar.svg".to_string(), drawing)]));
            built.err().map(|issues| issues.0.into_iter().map(|i| i.kind).collect::<Vec<_>>())
        };
        assert_eq!(made(0), Some(vec![IssueKind::NothingToMake]));
        assert_eq!(made(1), None);
    }

    #[test]
    fn forces_and_scales_must_be_above_zero() {
        let force = |kc: f64, ke: f64| {
            let head = format!("[[cutting-force]]\nmaterial = 'walnut'\nkc = {kc:?}\nke = {ke:?}");
            found(&head).iter().filter(|w| w.kind == IssueKind::BadForce).count()
        };
        assert_eq!([force(40.0, 3.5), force(40.0, 0.0), force(0.0, 3.5)], [0, 0, 0]);
        assert_eq!([force(0.0, 0.0), force(-1.0, 3.5), force(40.0, -0.1)], [1, 1, 1]);
        let reading = |key: &str, value: &str| {
            let of_key = |w: &&Issue| {
                w.place == "reading" && w.kind == IssueKind::NotPositive { key: key.into() }
            };
            found(&format!("[reading]\n{key} = {value}")).iter().filter(of_key).count()
        };
        for key in ["dpi", "scale"] {
            let values = ["72.0", "0.0", "-1.0", "inf", "nan"];
            assert_eq!(values.map(|v| reading(key, v)), [0, 1, 1, 1, 1], "{key}");
        }
    }
}
