//! Anchors: the stock that each tab hangs on stays in place.
//!
//! Stock is judged piece by piece, as the kerfs leave it: farther than the bit's diameter and half the thinnest web from
//! every part (see [`level_lines`](super::level_lines)). A piece **stays** if it is clamped:
//!
//! 1. a clamp that the sheet names touches it; or
//! 2. a disc of 20 mm fits on it at the sheet's edge, its centre 10 to 15 mm from the edge, off what is kept clear; or
//! 3. the sheet lies on tape (`hold_down`) and the piece is 1000 mm² or more;
//!
//! or if it is waste in an opening, tied by tabs, skin or tape to its own part, and that part is held: the opening is cut while
//! the part is still one with the sheet. Waste between parts stays if tabs for it ([`Tab::waste`]) tie it to parts that are all
//! held, its keepers, and no part round it is cut after the last of them, which is the largest. A part is held by tape under it, by
//! a skin that joins it to stock that stays, or by tabs if each of them lands on stock that stays and that the part itself does not
//! keep.
//!
//! Places are sampled on lines 0.05 mm apart, and every distance is eased by half of that in the layout's favour, so that rounding
//! raises no alarm: a disc of 19.8 mm passes, one of 19.5 mm does not; a web of 0.48 mm is stock, one of 0.44 mm is not.
//!
//! [`drawn`] applies the rule to the paths as drawn: to what is left at the bed once they are swept.

use super::copies::rings_differ;
use super::finding::TabFinding;
use super::level_lines::{Cover, Interval, LevelLines, Pieces, less};
use super::numbers::usable;
use super::paths::{DEPTH, Stroke};
use super::prepared::Prepared;
use super::problem::{Problem, What};
use super::rules::Rules;
use crate::geometry::{Bounds, EdgeIndex, Point, Ring, Segment};
use crate::layout::{HoldDown, LANDING_DEPTH, Method, Sheet, Tab};
use std::collections::BTreeMap;
use std::iter::once;

/// A web thinner than this does not count as stock, mm: it crumbles as it is cut (common practice, no source).
const THINNEST_WEB: f64 = 0.5;
/// Radius of the disc that a clamp or screw needs, mm, and how far its centre may be from the sheet's edge (common practice,
/// no source).
const DISC: f64 = 10.0;
const REACH: f64 = 15.0;
/// Least area that tape holds, mm²: at 0.10 MPa and a safety of 3 it bears 33 N.
const TAPED: f64 = 1000.0;
/// How far a disc may fall short, mm, and a taped area as a fraction of it: more than lines a step apart can miss.
const SLACK: f64 = 0.1;
const AREA_SLACK: f64 = 0.01;
/// Parts whose areas differ by less than this share are of one size.
const ALIKE: f64 = 1e-3;
/// Least and greatest distance between lines, mm: in between, an eighth of the bit's diameter, since kerfs are wider. The greatest
/// is a tenth of [`THINNEST_WEB`], so that a web is stock or not to a tenth.
const STEP: (f64, f64) = (0.02, 0.05);

/// The stock that is left of a sheet, and which pieces of it stay.
pub(super) struct Remaining {
    lines: LevelLines,
    /// The pieces between the kerfs.
    pieces: Pieces,
    /// Which pieces stay.
    stays: Vec<bool>,
    /// The parts that keep each piece, by index: for all others it stays. Empty where nothing keeps it.
    keepers: Vec<Vec<usize>>,
    /// The pieces not eased but half a step smaller all round, where parts keep any.
    strict: Option<Pieces>,
    /// The pieces at the bed, with parts, tabs and skins.
    bottom: Pieces,
}

/// Problems of the stock that the sheet's parts hang on; returns what is left of the sheet, if its numbers can be used.
pub(super) fn check(
    sheet: &Sheet,
    parts: &[Prepared],
    rules: &Rules,
    problems: &mut Vec<Problem>,
) -> Option<Remaining> {
    let bit = sheet.bit.diameter;
    let sound = bit > 0.0 && bit <= 200.0 && usable(&sheet.outline).is_ok();
    if !rules.complete || !sound || parts.is_empty() {
        return None;
    }
    let mut stock = Remaining::new(sheet, parts);
    if sheet.hold_down == HoldDown::Clamps && !stock.stays.contains(&true) {
        problems.push(Problem::sheet(What::Anchor, sheet, TabFinding::NoRoomForClamp));
    }
    stock.tie(sheet, parts);
    for number in 0..parts.len() {
        stock.hangs(sheet, parts, number, problems);
    }
    Some(stock)
}

/// Problems of what the paths as drawn leave at the bed: every part that they cut free must be in one piece with stock that stays.
pub(super) fn drawn(
    sheet: &Sheet,
    parts: &[Prepared],
    stock: &Remaining,
    strokes: &[Stroke],
    problems: &mut Vec<Problem>,
) {
    let mut kerfs = Cover::new(stock.lines);
    let radius = sheet.bit.diameter / 2.0 - stock.lines.slack();
    let through = strokes.iter().filter(|s| s.depth >= sheet.thickness - DEPTH);
    for s in through.flat_map(|s| &s.segments) {
        kerfs.near(*s, radius);
    }
    let left = stock.sheet_less(sheet, &kerfs.merged());
    let bottom = Pieces::of(stock.lines, left);
    for part in parts.iter().filter(|p| needs_stock(p)) {
        if !stock.one_with(&bottom, part) {
            let problem = Problem::part(What::Anchor, sheet, part.placed, TabFinding::CutOff);
            problems.push(problem.at(part.bounds.centre()));
        }
    }
}

/// Whether a part hangs on the sheet at all once it is cut free.
fn needs_stock(part: &Prepared) -> bool {
    part.placed.hold.cuts_free() && part.placed.hold.method != Method::Tape
}

/// A quarter into a tab's landing.
fn landing_place(sheet: &Sheet, tab: &Tab) -> Point {
    tab.at + tab.out * (sheet.bit.diameter + LANDING_DEPTH / 4.0)
}

/// A place well inside a part's material.
fn inside(part: &Prepared) -> Option<Point> {
    use geo::InteriorPoint;
    part.shape.to_geo().interior_point().map(|p| p.0)
}

impl Remaining {
    fn new(sheet: &Sheet, parts: &[Prepared]) -> Remaining {
        let bit = sheet.bit.diameter;
        let lines = LevelLines::over(sheet.outline.bounds(), (bit / 8.0).clamp(STEP.0, STEP.1));
        let mut stock = Remaining {
            lines,
            pieces: Pieces::of(lines, vec![]),
            stays: vec![],
            keepers: vec![],
            strict: None,
            bottom: Pieces::of(lines, vec![]),
        };
        let mut kerfs = Cover::new(lines);
        for part in parts {
            kerfs.inside(part.shape.rings());
            let reach = bit + THINNEST_WEB / 2.0 - lines.slack();
            part.segments.iter().for_each(|s| kerfs.near(*s, reach));
        }
        stock.pieces = Pieces::of(lines, stock.sheet_less(sheet, &kerfs.merged()));
        stock.bottom = Pieces::of(lines, stock.sheet_less(sheet, &stock.cut_through(sheet, parts)));
        stock.stays = vec![false; stock.pieces.areas.len()];
        stock.keepers = vec![vec![]; stock.stays.len()];
        stock.clamp(sheet, parts);
        stock
    }

    /// The stretches of the sheet, grown by half a step, that nothing covers.
    fn sheet_less(&self, sheet: &Sheet, taken: &[Vec<Interval>]) -> Vec<Vec<Interval>> {
        let mut whole = Cover::new(self.lines);
        whole.inside(once(&sheet.outline));
        sheet.outline.segments().for_each(|s| whole.near(s, self.lines.slack()));
        whole.merged().iter().zip(taken).map(|(all, taken)| less(all, taken)).collect()
    }

    /// The kerfs that go through the sheet, open at the tabs, made half a step narrower on either side.
    fn cut_through(&self, sheet: &Sheet, parts: &[Prepared]) -> Vec<Vec<Interval>> {
        let (bit, mut kerfs) = (sheet.bit.diameter, Cover::new(self.lines));
        // A kerf lies beside its own part's material, and keeps off others'.
        let mut stands = Cover::new(self.lines);
        for part in parts {
            let hold = &part.placed.hold;
            stands.inside(part.shape.rings());
            for (ring, edge) in part.shape.rings().enumerate() {
                let tabs = hold.tabs.iter().filter(|t| t.ring == ring);
                tabs.clone().for_each(|t| stands.inside(once(&t.bridge(bit))));
                let floor = hold.method == Method::Skin && tabs.count() == 0;
                if !floor && (ring > 0 || hold.cuts_free()) {
                    edge.segments().for_each(|s| kerfs.near(s, bit - self.lines.slack()));
                }
            }
        }
        let stands = stands.merged();
        kerfs.merged().iter().zip(&stands).map(|(all, stands)| less(all, stands)).collect()
    }

    /// Which pieces are clamped.
    fn clamp(&mut self, sheet: &Sheet, parts: &[Prepared]) {
        let mut clamps = Cover::new(self.lines);
        let sound = |r: &&Ring| usable(r).is_ok();
        for clamp in sheet.clamps.iter().filter(sound) {
            clamps.inside(once(clamp));
            clamp.segments().for_each(|s| clamps.near(s, SLACK));
        }
        let (clamps, discs) = (clamps.merged(), self.discs(sheet, parts));
        for piece in self.pieces.touched(&clamps).chain(self.pieces.touched(&discs)) {
            self.stays[piece] = true;
        }
        if sheet.hold_down == HoldDown::Tape {
            let large = self.pieces.areas.iter().map(|a| *a >= TAPED * (1.0 - AREA_SLACK));
            self.stays.iter_mut().zip(large).for_each(|(s, large)| *s |= large);
        }
    }

    /// Where the centre of a clamp's disc can be.
    fn discs(&self, sheet: &Sheet, parts: &[Prepared]) -> Vec<Vec<Interval>> {
        let (mut reached, mut taken) = (Cover::new(self.lines), Cover::new(self.lines));
        let edge = || sheet.outline.segments();
        edge().for_each(|s| reached.near(s, REACH + SLACK));
        edge().for_each(|s| taken.near(s, DISC - SLACK));
        let named =
            |area: &Ring| sheet.clamps.iter().any(|c| rings_differ(c, area, 1e-6).is_none());
        let sound = |r: &&Ring| usable(r).is_ok() && !named(r);
        for area in sheet.keep_clear.iter().filter(sound) {
            taken.inside(once(area));
            area.segments().for_each(|s| taken.near(s, DISC - SLACK));
        }
        let off = sheet.bit.diameter + THINNEST_WEB / 2.0 + DISC - SLACK;
        // Only what is near the edge can be in the way.
        let border = EdgeIndex::of_rings(once(&sheet.outline));
        let in_the_way = |s: &&Segment| {
            let near = Bounds::of(&[s.a, s.b]).grown(off + REACH + SLACK);
            border.touching(near).next().is_some()
        };
        for part in parts {
            taken.inside(part.shape.rings());
            part.segments.iter().filter(in_the_way).for_each(|s| taken.near(*s, off));
        }
        // Beyond the sheet's edge there is no disc either.
        let mut on_sheet = Cover::new(self.lines);
        on_sheet.inside(once(&sheet.outline));
        let beyond: Vec<Vec<Interval>> = (reached.merged().iter().zip(&on_sheet.merged()))
            .map(|(all, sheet)| less(all, &less(all, sheet)))
            .collect();
        beyond.iter().zip(&taken.merged()).map(|(all, taken)| less(all, taken)).collect()
    }

    /// Waste in openings stays if it is tied to a part that is held: the outermost parts first, repeated until nothing is added.
    fn tie(&mut self, sheet: &Sheet, parts: &[Prepared]) {
        let openings: Vec<Option<(usize, usize)>> =
            self.pieces.places.iter().map(|p| opening_around(*p, parts)).collect();
        let kept = self.kept_last(sheet, parts);
        loop {
            let before = (self.stays.clone(), self.keepers.clone());
            for (piece, opening) in openings.iter().enumerate() {
                let Some((part, ring)) = *opening else { continue };
                if !self.stays[piece]
                    && self.ties(sheet, &parts[part], ring, piece)
                    && self.is_held(sheet, parts, part)
                {
                    self.stays[piece] = true;
                }
            }
            for (&piece, keepers) in kept.iter().filter(|(piece, _)| openings[**piece].is_none()) {
                let held = |part: &usize| self.is_held(sheet, parts, *part);
                if !self.stays[piece] && keepers.iter().all(held) {
                    self.keepers[piece].clone_from(keepers);
                }
            }
            if (&self.stays, &self.keepers) == (&before.0, &before.1) {
                return;
            }
        }
    }

    /// Pieces with tabs for waste on them, each with the tabs' parts, ascending; the last of these is cut after all others round
    /// the piece.
    fn kept_last(&mut self, sheet: &Sheet, parts: &[Prepared]) -> BTreeMap<usize, Vec<usize>> {
        let mut kept: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (number, part) in parts.iter().enumerate() {
            let of_waste = part.placed.hold.tabs.iter().filter(|t| t.waste);
            for piece in of_waste.filter_map(|t| self.under(sheet, t)) {
                let keepers = kept.entry(piece).or_default();
                if keepers.last() != Some(&number) {
                    keepers.push(number);
                }
            }
        }
        if kept.is_empty() {
            return kept;
        }
        // Here the eased pieces would be too large: one may reach through a thin web to what other parts are round. So a piece is
        // taken where it is half a step farther from every kerf, and its edge is on the first line beyond.
        let (reach, slack) = (sheet.bit.diameter + THINNEST_WEB / 2.0, self.lines.slack());
        let mut kerfs = Cover::new(self.lines);
        for part in parts {
            kerfs.inside(part.shape.rings());
            part.segments.iter().for_each(|s| kerfs.near(*s, reach + slack));
        }
        let strict = Pieces::of(self.lines, self.sheet_less(sheet, &kerfs.merged()));
        let mut last: Vec<usize> = vec![0; strict.areas.len()];
        for (number, part) in parts.iter().enumerate() {
            let mut beside = Cover::new(self.lines);
            // A hair more, where a line lies at just that distance.
            part.segments.iter().for_each(|s| beside.near(*s, reach + 3.5 * slack));
            strict.touched(&beside.merged()).for_each(|piece| last[piece] = number);
        }
        kept.retain(|&piece, keepers| {
            // What keeps a piece together is judged while the largest is cut: it must be the last.
            let area = |k: usize| parts[k].shape.outline.area();
            let largest =
                |last: usize| keepers.iter().all(|k| area(*k) <= area(last) * (1.0 + ALIKE));
            if !keepers.last().is_some_and(|last| largest(*last)) {
                return false;
            }
            let of_waste = |k: &usize| parts[*k].placed.hold.tabs.iter().filter(|t| t.waste);
            let there = keepers.iter().flat_map(of_waste);
            let mut there = there.filter(|t| self.under(sheet, t) == Some(piece));
            let latest = keepers.last().copied();
            there
                .all(|t| strict.at(landing_place(sheet, t)).is_none_or(|p| Some(last[p]) <= latest))
        });
        self.strict = Some(strict);
        kept
    }

    /// Whether a part's hold ties the waste in its opening `ring` to it.
    fn ties(&self, sheet: &Sheet, part: &Prepared, ring: usize, piece: usize) -> bool {
        let hold = &part.placed.hold;
        let mut tabs = hold.tabs.iter().filter(|t| t.ring == ring).peekable();
        if hold.method == Method::Tape {
            return true;
        }
        if tabs.peek().is_none() {
            return hold.method == Method::Skin;
        }
        tabs.any(|t| self.under(sheet, t) == Some(piece))
    }

    /// Whether the stock that holds a part stays itself.
    fn is_held(&self, sheet: &Sheet, parts: &[Prepared], number: usize) -> bool {
        let part = &parts[number];
        let hold = &part.placed.hold;
        let mut outline = hold.tabs.iter().filter(|t| t.holds());
        match hold.method {
            _ if !needs_stock(part) => true,
            Method::Skin => self.one_with(&self.bottom, part),
            _ => outline.any(|t| self.bears(sheet, t, number)),
        }
    }

    /// The pieces that nothing keeps in place, each with its area, mm², and a place on it.
    pub fn loose(&self) -> impl Iterator<Item = (usize, f64, Point)> {
        let all = self.pieces.areas.iter().zip(&self.pieces.places).enumerate();
        let loose = all.filter(|(i, _)| !self.stays[*i] && self.keepers[*i].is_empty());
        loose.map(|(i, (area, at))| (i, *area, *at))
    }

    /// The piece at a place.
    pub fn piece_at(&self, p: Point) -> Option<usize> {
        self.pieces.at(p)
    }

    /// The pieces between parts that parts keep, each with those parts; the last of them is cut last.
    pub fn kept(&self) -> impl Iterator<Item = (usize, &[usize])> {
        let all = self.keepers.iter().map(Vec::as_slice).enumerate();
        all.filter(|(_, keepers)| !keepers.is_empty())
    }

    /// Whether the piece that a tab lands on borders on the kerf beside a place of a part's edge, `out` being the way out of it.
    pub fn borders(&self, sheet: &Sheet, tab: &Tab, (edge, out): (Point, Point)) -> bool {
        let reach = sheet.bit.diameter + THINNEST_WEB / 2.0 + 2.5 * self.lines.slack();
        let of = |strict: &Pieces| {
            let beside = strict.at(edge + out * reach);
            beside.is_some() && beside == strict.at(landing_place(sheet, tab))
        };
        self.strict.as_ref().is_some_and(of)
    }

    /// The piece that a tab lands on: a quarter into its landing.
    pub fn under(&self, sheet: &Sheet, tab: &Tab) -> Option<usize> {
        self.pieces.at(landing_place(sheet, tab))
    }

    /// Whether a tab lands on stock that stays, and that its own part does not keep.
    fn bears(&self, sheet: &Sheet, tab: &Tab, part: usize) -> bool {
        let kept = |by: &[usize]| !by.is_empty() && !by.contains(&part);
        let stays = |piece: usize| self.stays[piece] || kept(&self.keepers[piece]);
        self.under(sheet, tab).is_some_and(stays)
    }

    /// Whether the part's piece at the bed includes stock that stays.
    fn one_with(&self, bottom: &Pieces, part: &Prepared) -> bool {
        let Some(own) = inside(part).and_then(|p| bottom.at(p)) else { return false };
        let stays = self.pieces.places.iter().zip(&self.stays).filter(|(_, stays)| **stays);
        stays.map(|(p, _)| bottom.at(*p)).any(|piece| piece == Some(own))
    }

    /// Problems of what one part's tabs or skin hang on.
    fn hangs(&self, sheet: &Sheet, parts: &[Prepared], number: usize, problems: &mut Vec<Problem>) {
        let part = &parts[number];
        let hold = &part.placed.hold;
        let mut bad = |found: TabFinding, at: Point| {
            problems.push(Problem::part(What::Anchor, sheet, part.placed, found).at(at));
        };
        let tabs = hold.tabs.iter().enumerate();
        let fails = tabs.filter(|(_, t)| {
            let own = |piece| {
                let around = opening_around(self.pieces.places[piece], std::slice::from_ref(part));
                around.is_some_and(|o| o.1 == t.ring)
            };
            let keeps = |piece: usize| self.keepers[piece].contains(&number) || self.stays[piece];
            let waste = match t.waste {
                true => self.under(sheet, t).is_some_and(keeps),
                false => t.ring > 0 && self.under(sheet, t).is_some_and(own),
            };
            !waste && (t.waste || !self.bears(sheet, t, number))
        });
        let fails: Vec<(usize, &Tab)> = fails.collect();
        if !self.is_held(sheet, parts, number) {
            bad(TabFinding::HangsLoose, part.bounds.centre());
        }
        for (n, tab) in fails {
            let stock = self.under(sheet, tab).is_some();
            bad(TabFinding::TabUnanchored { tab: n + 1, ring: tab.ring, stock }, tab.at);
        }
    }
}

/// The smallest opening that holds a place: its part, by index, and ring.
fn opening_around(p: Point, parts: &[Prepared]) -> Option<(usize, usize)> {
    let mut found: Option<(f64, (usize, usize))> = None;
    for (i, part) in parts.iter().enumerate() {
        if !part.bounds.touches(Bounds::of(&[p])) {
            continue;
        }
        for (k, opening) in part.placed.openings.iter().enumerate() {
            let area = opening.area();
            if found.is_none_or(|f| area < f.0) && opening.contains(p) {
                found = Some((area, (i, k + 1)));
            }
        }
    }
    found.map(|f| f.1)
}
