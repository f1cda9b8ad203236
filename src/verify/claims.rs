//! Checks what a hold claims: its load from the stated cut, its figures against each other, and the load its tabs can bear.
//!
//! Nothing here repeats the holding plan: loads follow from the cut by one formula (Altintas, *Manufacturing Automation*,
//! ch. 2), margins from the figures and their requirements, and the load that tabs and skins bear from a rigid part on the stated
//! springs ([`rigid`](super::rigid_part)). The rigid part is the simpler model, so a claim may exceed it by [`TABS`]. Not
//! checked: the part's own sections, except that no margin may exceed what `part_safety` gives.

use super::finding::{ClaimFinding, Safety};
use super::numbers::GREATEST;
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rigid_part::{MeasuredOutline, StockNumbers, WorstMotion};
use super::rules::Rules;
use crate::layout::{Hold, HoldingRules, Method, PlacedPart, Sheet, Tab};

/// Relative error allowed in a figure that follows from others of the file by arithmetic.
const ROUNDING: f64 = 1e-6;
/// Greatest ratio of the tabs' claimed strength to the rigid part's. A part that bends spreads the load differently: up to 1.24
/// times on 732 holds of the tide clock, the offcut and 90 random jobs, and 1.37 times on a wheel of 87 mm on four spokes with
/// three tabs, two of them 55 degrees apart (tide clock, 100 moves).
pub(super) const TABS: f64 = 1.5;
/// The same where all is severed and nothing but the tabs holds: a bracket whose two tabs stand 14 mm apart at a corner bears 1.66
/// times as much as it would if rigid (random seed 6276), by an independent model in plane elements too (notebook).
pub(super) const TABS_ALONE: f64 = 2.0;
/// Least ratio of the claimed movement to the rigid part's: bending only adds to it. The rest is where the bit's patch
/// is sampled.
pub(super) const MOVES: f64 = 0.97;
/// Greatest ratio of a skin's claim to the same model: the only difference is the places of the bit.
pub(super) const SKIN: f64 = 1.25;
/// Lowest requirements that a layout may state: mean strength over stress along, across and in shear, and the part's.
const LEAST: [(&str, f64); 4] = [
    ("safety_tab_along", 1.35),
    ("safety_tab_across", 1.7),
    ("safety_tab_shear", 1.3),
    ("safety_part", 2.0),
];
/// Least safety of a skin (common practice, no source).
const SAFETY_SKIN: f64 = 2.0;
/// Least safety of tape, and its strength in shear, MPa (common practice, no source; makers' data run 0.1 to 0.3).
const TAPE: (f64, f64) = (3.0, 0.3);
/// Highest limits of movement that a layout may state, mm: in the plane, with lift, the pass repeated.
const MOVEMENT: [f64; 3] = [0.05, 0.1, 0.1];
/// Ratio of worst load to nominal: grain 2 x wear 1.5, and wear alone where the material has no grain.
const FACTOR: [f64; 2] = [3.0, 1.5];

/// Problems of the claims of every hold of a sheet.
pub(super) fn check(sheet: &Sheet, parts: &[Prepared], rules: &Rules, problems: &mut Vec<Problem>) {
    if !rules.complete {
        return;
    }
    let Some(stock) = StockNumbers::new(sheet).filter(|_| whole(sheet)) else {
        problems.push(Problem::sheet(What::Claim, sheet, ClaimFinding::NoConstants));
        return;
    };
    of_sheet(sheet, &stock, problems);
    for part in parts {
        let found = Claims { sheet, stock: &stock, part, hold: &part.placed.hold };
        problems.extend(found.all());
    }
}

/// Whether the numbers can be computed with.
pub(super) fn whole(sheet: &Sheet) -> bool {
    let (Some(c), Some(r)) = (&sheet.material_constants, &sheet.holding) else { return false };
    let cut = &sheet.cut;
    let positive = [
        sheet.thickness,
        sheet.bit.diameter,
        cut.feed_per_tooth,
        cut.factor,
        c.e_along_mpa,
        c.e_across_mpa,
        c.shear_modulus_mpa,
        c.tab_along_mpa,
        c.tab_across_mpa,
        c.tab_shear_mpa,
        c.tab_shear_out_along_mpa,
        c.tab_shear_out_across_mpa,
        c.hankinson_exponent,
        c.hankinson_exponent_shear_out,
        r.load_patch_mm,
        r.movement_limit_mm,
        r.movement_limit_lift_mm,
        r.movement_limit_repeated_mm,
        r.safety_part,
        r.safety_tab_shear,
    ];
    let Some(roots) = r.roots else { return false };
    let gives = [
        roots.axial,
        roots.turn,
        roots.shear,
        roots.tilt,
        roots.up,
        roots.floor_axial,
        roots.floor_shear,
        roots.floor_up,
    ];
    let others = [cut.kc, cut.ke, cut.helix_deg, c.poisson_lt, sheet.grain_deg, r.min_width_mm];
    positive.iter().all(|v| *v > 0.0 && *v <= GREATEST)
        && gives.iter().all(|v| (0.0..=GREATEST).contains(v))
        && others.iter().all(|v| v.is_finite())
        && cut.kc + cut.ke > 0.0
        && cut.kc.min(cut.ke) >= 0.0
        && cut.helix_deg.abs() < 89.0
}

/// Checks the cut against the ranges of the material and the strictest demand of the holds on the sheet.
fn of_sheet(sheet: &Sheet, stock: &StockNumbers, problems: &mut Vec<Problem>) {
    let mut bad = |found: ClaimFinding, amount: f64, limit: f64| {
        problems.push(Problem::sheet(What::Claim, sheet, found).amount(amount, limit));
    };
    let (cut, c, r) = (&sheet.cut, stock.c, stock.rules);
    let within =
        |v: f64, low: f64, high: f64| v >= low * (1.0 - ROUNDING) && v <= high * (1.0 + ROUNDING);
    for (constant, v, low, high) in [
        ("kc", cut.kc, c.kc_low_n_per_mm2, c.kc_high_n_per_mm2),
        ("ke", cut.ke, c.ke_low_n_per_mm, c.ke_high_n_per_mm),
    ] {
        if !within(v, low, high) {
            let found = ClaimFinding::ForceConstant { constant, low, high };
            bad(found, v, if v < low { low } else { high });
        }
    }
    let factor = FACTOR[usize::from(!c.has_grain)];
    if !within(cut.factor, factor, factor) {
        bad(ClaimFinding::LoadFactor, cut.factor, factor);
    }
    for ((requirement, least), v) in LEAST.into_iter().zip(required(r)) {
        if v < least * (1.0 - ROUNDING) {
            bad(ClaimFinding::RequiresTooLittle { requirement }, v, least);
        }
    }
    let limits = [r.movement_limit_mm, r.movement_limit_lift_mm, r.movement_limit_repeated_mm];
    for (v, most) in limits.into_iter().zip(MOVEMENT) {
        if v > most * (1.0 + ROUNDING) {
            bad(ClaimFinding::AllowsTooMuch, v, most);
        }
    }
    let own = sheet.parts.iter().map(|p| p.hold.last_pass).filter(|d| *d > 0.0);
    let shallowest = own.fold(f64::INFINITY, f64::min);
    if cut.last_pass > shallowest * (1.0 + ROUNDING) {
        bad(ClaimFinding::LastPassTooDeep, cut.last_pass, shallowest);
    }
}

fn required(r: &HoldingRules) -> [f64; 4] {
    [r.safety_tab_along, r.safety_tab_across, r.safety_tab_shear, r.safety_part]
}

/// One hold, and what it is checked against.
struct Claims<'a> {
    sheet: &'a Sheet,
    stock: &'a StockNumbers<'a>,
    part: &'a Prepared<'a>,
    hold: &'a Hold,
}

impl Claims<'_> {
    fn all(&self) -> Vec<Problem> {
        let mut found = vec![];
        let hold = self.hold;
        let numbers = [hold.load_n, hold.last_pass, hold.safety, hold.movement_mm];
        let sound = |t: &Tab| {
            let numbers = [t.at.x, t.at.y, t.out.x, t.out.y, t.width, t.height];
            numbers.iter().all(|v| v.abs() <= GREATEST) && t.width > 0.0 && t.height > 0.0
        };
        if !numbers.iter().all(|v| (0.0..=GREATEST).contains(v)) {
            found.push(self.bad(ClaimFinding::HoldNotFinite));
            return found;
        }
        if !hold.tabs.iter().all(sound) {
            return found; // a problem of the tabs already
        }
        match hold.method {
            Method::None => {
                found.push(self.held(ClaimFinding::NotHeld));
            }
            _ => {
                self.load(&mut found);
                self.sizes(&mut found);
                match hold.method {
                    Method::Tabs => self.tabs(&mut found),
                    Method::Skin => self.skin(&mut found),
                    _ => self.tape(&mut found),
                }
            }
        }
        found
    }

    fn bad(&self, found: ClaimFinding) -> Problem {
        Problem::part(What::Claim, self.sheet, self.part.placed, found)
    }

    fn held(&self, found: ClaimFinding) -> Problem {
        Problem::part(What::Held, self.sheet, self.part.placed, found)
    }

    /// Checks the load: F = factor a_p (K_c f_z + K_e).
    fn load(&self, found: &mut Vec<Problem>) {
        let (cut, hold) = (&self.sheet.cut, self.hold);
        let load = cut.factor * hold.last_pass * (cut.kc * cut.feed_per_tooth + cut.ke);
        if !near(hold.load_n, load) {
            found.push(self.bad(ClaimFinding::Load).amount(hold.load_n, load));
        }
        if hold.last_pass <= 0.0 || hold.last_pass > self.sheet.thickness {
            let problem = self.bad(ClaimFinding::LastPass);
            found.push(problem.amount(hold.last_pass, self.sheet.thickness));
        }
    }

    /// Checks that no tab is narrower than the job's least width, or lower than the last pass, which would cut it away.
    fn sizes(&self, found: &mut Vec<Problem>) {
        let least = self.stock.rules.min_width_mm;
        for (i, tab) in self.hold.tabs.iter().enumerate() {
            if tab.width < least * (1.0 - ROUNDING) {
                let problem = self.bad(ClaimFinding::TabTooNarrow { tab: i + 1 });
                found.push(problem.at(tab.at).amount(tab.width, least));
            }
            if tab.height < self.hold.last_pass * (1.0 - ROUNDING) {
                let problem = self.bad(ClaimFinding::TabTooLow { tab: i + 1 });
                found.push(problem.at(tab.at).amount(tab.height, self.hold.last_pass));
            }
        }
    }

    fn tabs(&self, found: &mut Vec<Problem>) {
        let hold = self.hold;
        let tabs: Vec<&Tab> = hold.tabs.iter().filter(|t| t.holds()).collect();
        if tabs.is_empty() {
            return; // a problem of the tabs already
        }
        let bridged = tabs.iter().any(|t| t.is_holding_bridge(self.sheet.thickness));
        if tabs.len() < 2 && !bridged {
            found.push(self.bad(ClaimFinding::SingleTab).at(tabs[0].at));
        }
        self.figures(bridged, found);
        let edge = MeasuredOutline::new(&self.part.placed.outline);
        let of = |staged| self.stock.on_tabs(&edge, &tabs, hold.last_pass, hold.load_n, staged);
        let (staged, free) = (of(true), of(false));
        let figures = hold.figures.as_ref();
        let strength = figures.and_then(|f| f.tab_safety).unwrap_or(hold.safety);
        self.claim(Safety::Tabs, strength, staged.ratio, TABS, found);
        self.moves(false, hold.movement_mm, staged, found);
        if let Some(moved) = figures.and_then(|f| f.free_movement_mm) {
            self.moves(true, moved, free, found);
        }
        if let Some(ratio) = figures.and_then(|f| f.free_safety) {
            self.claim(Safety::TabsRepeated, ratio, free.ratio, TABS_ALONE, found);
        }
        self.overhang(&edge, &tabs, found);
    }

    /// Compares a claimed ratio of strength to stress with what the simple model gives.
    fn claim(&self, safety: Safety, says: f64, rigid: f64, factor: f64, found: &mut Vec<Problem>) {
        if says.is_nan() || rigid.is_nan() || says > factor * rigid {
            let problem = self.bad(ClaimFinding::Claimed { safety, rigid, factor });
            found.push(problem.amount(says, factor * rigid));
        }
    }

    fn moves(&self, repeated: bool, says: f64, rigid: WorstMotion, found: &mut Vec<Problem>) {
        if says.is_nan() || rigid.movement.is_nan() || says < MOVES * rigid.movement {
            found.push(self.bad(ClaimFinding::MovesMore { repeated }).amount(says, rigid.movement));
        }
    }

    /// Checks the figures against each other: the least margin is at most what each of them leaves.
    fn figures(&self, bridged: bool, found: &mut Vec<Problem>) {
        let (hold, r) = (self.hold, self.stock.rules);
        let Some(f) = &hold.figures else { return };
        let worst =
            f.tab_safety.unwrap_or(f64::INFINITY).min(f.part_safety.unwrap_or(f64::INFINITY));
        if !near(hold.safety, worst) {
            found.push(self.bad(ClaimFinding::SafetyOfFigures).amount(hold.safety, worst));
        }
        if f.least_margin.is_nan() || f.least_margin < 1.0 - ROUNDING {
            found.push(self.held(ClaimFinding::DoesNotHold).amount(f.least_margin, 1.0));
        }
        let lifted = self.sheet.cut.helix_deg > 0.0;
        let limit = if lifted { r.movement_limit_lift_mm } else { r.movement_limit_mm };
        let factor = self.sheet.cut.factor;
        let margins = [
            ("tab_safety", f.tab_safety.map(|v| v / r.safety_tab_shear)),
            ("part_safety", f.part_safety.map(|v| v / r.safety_part)),
            ("one_gone_safety", f.one_gone_safety),
            ("free_safety", f.free_safety.map(|v| factor * v)),
            ("movement_mm", Some(limit / hold.movement_mm)),
            (
                "free_movement_mm",
                f.free_movement_mm.map(|v| factor * r.movement_limit_repeated_mm / v),
            ),
            ("freeing_margin", f.freeing_margin.filter(|_| bridged)),
        ];
        for (figure, margin) in margins {
            let Some(margin) =
                margin.filter(|m| m.is_nan() || f.least_margin > m * (1.0 + ROUNDING))
            else {
                continue;
            };
            let problem = self.bad(ClaimFinding::MarginOfFigures { figure });
            found.push(problem.amount(f.least_margin, margin));
        }
    }

    /// Checks that the outline's farthest point is no farther from its nearest tab than stated.
    fn overhang(&self, edge: &MeasuredOutline, tabs: &[&Tab], found: &mut Vec<Problem>) {
        let Some(limit) = self.stock.rules.overhang_limit_mm else { return };
        let limit = limit.max(edge.length() / 12.0);
        let far = edge.overhang(tabs);
        let said = self.hold.figures.as_ref().and_then(|f| f.overhang_mm).unwrap_or(limit);
        // The file's own is sampled; its points may lie this far from ours, mm.
        if far > said.max(limit) + 2.5 {
            found.push(self.bad(ClaimFinding::Overhang).amount(far, said.max(limit)));
        }
    }

    fn skin(&self, found: &mut Vec<Problem>) {
        let hold = self.hold;
        let Some(depth) = hold.skin_mm.filter(|s| *s > 0.0 && *s < self.sheet.thickness) else {
            return;
        };
        self.at_least(SAFETY_SKIN, found);
        let edge = MeasuredOutline::new(&self.part.placed.outline);
        let on = self.stock.on_skin(&edge, depth, hold.load_n);
        self.claim(Safety::Skin, hold.safety, on.ratio, SKIN, found);
    }

    /// Checks that tape bears at most its strength over the whole face.
    fn tape(&self, found: &mut Vec<Problem>) {
        self.at_least(TAPE.0, found);
        let bears = self.part.shape.net_area() * TAPE.1 / self.hold.load_n;
        self.claim(Safety::Tape, self.hold.safety, bears, 1.0, found);
    }

    fn at_least(&self, least: f64, found: &mut Vec<Problem>) {
        if self.hold.safety < least * (1.0 - ROUNDING) {
            let method = self.hold.method;
            let problem = self.bad(ClaimFinding::SafetyTooLow { method });
            found.push(problem.amount(self.hold.safety, least));
        }
    }
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDING * a.abs().max(b.abs())
}

/// Ratio of claimed to believed figures of every hold by tabs or skin, from which the factors are set: part and method, then
/// strength, movement, and both again with all cut (not a number if the hold has no such figure). Empty if the sheet states no
/// stock. Used by `tests/verify/claims.rs`.
#[doc(hidden)]
pub fn calibration(sheet: &Sheet) -> Vec<(String, [f64; 4])> {
    let Some(stock) = StockNumbers::new(sheet) else { return vec![] };
    let of = |p: &PlacedPart| {
        let edge = MeasuredOutline::new(&p.outline);
        let tabs: Vec<&Tab> = p.hold.tabs.iter().filter(|t| t.holds()).collect();
        let (h, f) = (&p.hold, p.hold.figures.clone().unwrap_or_default());
        match h.method {
            Method::Tabs => {
                let [a, b] =
                    [true, false].map(|s| stock.on_tabs(&edge, &tabs, h.last_pass, h.load_n, s));
                Some([
                    f.tab_safety.unwrap_or(h.safety) / a.ratio,
                    h.movement_mm / a.movement,
                    f.free_safety.unwrap_or(f64::NAN) / b.ratio,
                    f.free_movement_mm.unwrap_or(f64::NAN) / b.movement,
                ])
            }
            Method::Skin => {
                let a = stock.on_skin(&edge, h.skin_mm?, h.load_n);
                Some([h.safety / a.ratio, h.movement_mm / a.movement, f64::NAN, f64::NAN])
            }
            _ => None,
        }
    };
    let each = sheet
        .parts
        .iter()
        .filter_map(|p| Some((format!("{} {:?}", p.part, p.hold.method), of(p)?)));
    each.collect()
}

#[cfg(test)]
mod tests;
