//! Anchors: what each part and each drop-out hangs on.
//!
//! Only firm waste counts: pieces connected by slivers thinner than half a millimetre are not connected. The rule of
//! [`clamped`](super::clamped) says which skeleton is **clamped**. A tab is anchored when it lands on clamped skeleton. Parts that
//! hang on each other, or on an island of waste that only hangs on parts, have no anchor: cut the neighbour free and they go too.
//!
//! One exception follows from the order of cut. The waste inside an opening is cut before the outline round it, so while its edge
//! is cut the part is still one with the sheet, and tabs across the opening's kerf hold the waste; a small part nested there was
//! cut before either. So waste in an opening that is tied to its own part is as good an anchor as that part's. So is an island
//! between parts that the last part round it keeps, with or without help ([`kept_waste`](super::kept_waste)).

use super::clamped::clamped;
use super::cut_fault::CutFault;
use super::hosts::{Opening, Openings, outermost_first};
use super::kept_waste::kept_waste;
use super::landing::{Landing, landing_place};
use super::path::{PartPaths, PassKind, Path};
use super::ready::Ready;
use super::region::{Region, interior};
use super::standing::Standing;
use super::sweep::{AfterCut, THINNEST_WEB};
use super::web::{self, Web};
use crate::geometry::{Point, Shape, Vector, grow, shrink};
use crate::layout::{Method, Sheet, Tab};
use rayon::prelude::*;
use serde::Serialize;

/// How much wider or narrower than planned a tab may be left, mm.
const TAB_TOLERANCE: f64 = 0.05;
/// Least share of a skin that must be left. A skin that shares kerfs with neighbours loses some of its length to their through
/// passes; it still holds all round unless less than this is left (common practice, no source).
pub const SKIN_LEFT: f64 = 0.75;
/// A loose piece as wide as the bit can be thrown, or jam the bit. So can others from a fingertip's size up: area, mm² (common
/// practice, no source)...
const THROWN_AREA: f64 = 150.0;
/// ... or a strip this long and of this mean width, mm (common practice, no source).
const THROWN_STRIP: (f64, f64) = (25.0, 1.5);

/// A piece of waste that is not clamped.
#[derive(Debug, Clone, PartialEq)]
pub struct WastePiece {
    /// Its shape.
    pub shape: Shape,
    /// Area, mm².
    pub area: f64,
    /// The longer side of its bounds, mm.
    pub length: f64,
    /// The part and the opening (from 1) that it lies in; `None` between parts.
    pub opening: Option<(usize, usize)>,
    /// Whether tabs, a skin or tape tie it to the part round it.
    pub tied: bool,
    /// Parts that hang on it by a tab of their own.
    pub carries: Vec<usize>,
    /// A place well inside it.
    pub at: Point,
    /// Whether it comes loose and is large enough for the bit to throw it or to jam.
    pub thrown: bool,
    /// Whether a pocket clears it before ([`Sheet::cleared`]).
    pub cleared: bool,
}

/// One tab after the cut.
#[derive(Debug, Clone, PartialEq)]
pub struct TabTie {
    /// What it lands on.
    pub landing: Landing,
    /// Its narrowest width after the cut, mm; 0 when it is cut away.
    pub width: f64,
    /// The strip of skeleton it lands on, where it is slender while the part is cut.
    pub web: Option<Web>,
}

/// What holds a part while its outline is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tie {
    /// Tabs on clamped skeleton.
    Tabs,
    /// Tabs on the waste of an opening that the part lies in, tied to the part round it.
    Opening,
    /// A skin.
    Skin,
    /// Tape under its face.
    Tape,
    /// It is not cut out: it is still one with the sheet.
    Uncut,
    /// Only stock that comes loose too: no anchor.
    Chain,
    /// Nothing.
    Loose,
}

/// What holds a part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartTie {
    /// Index into [`Sheet::parts`].
    pub part: usize,
    /// What holds it.
    pub tie: Tie,
    /// Its tabs in their order.
    pub tabs: Vec<TabTie>,
}

/// The ties of all parts, and the waste that is not clamped.
pub(super) struct Anchors {
    pub drop_outs: Vec<WastePiece>,
    pub ties: Vec<PartTie>,
}

/// Finds the ties of everything that the cut leaves.
pub(super) fn find(
    ready: &Ready,
    left: &AfterCut,
    paths: &[PartPaths],
    order: &[usize],
    faults: &mut Vec<CutFault>,
) -> Anchors {
    let waste = Waste::new(ready, left, order);
    let none = |part| PartTie { part, tie: Tie::Loose, tabs: vec![] };
    let mut ties: Vec<PartTie> = (0..ready.sheet.parts.len()).map(none).collect();
    ties.par_iter_mut()
        .filter(|t| ready.usable[t.part])
        .for_each(|t| t.tabs = tab_ties(ready.sheet, left, &waste, t.part));
    as_it_stands(ready.sheet, order, &mut ties);
    // Hosts first, and keepers of waste: a part asks for the ties of those that it hangs on, which are cut after it.
    let uncut = outermost_first(&ready.hosts).into_iter().filter(|p| !order.contains(p));
    for part in uncut.chain(order.iter().rev().copied()) {
        if ready.usable[part] {
            ties[part].tie = tie(ready, left, &waste, &ties, part);
            faults.extend(faults_of(ready.sheet, left, &waste, &ties, part));
            let whole = skin_left(left, &paths[part]);
            if ties[part].tie == Tie::Skin && whole < SKIN_LEFT {
                faults.push(CutFault::SkinCut { part, left: whole });
            }
        }
    }
    let drop_outs = drop_outs(ready.sheet, left, &waste, &ties);
    Anchors { drop_outs, ties }
}

/// The firm pieces of waste, and what ties them at the bottom.
struct Waste {
    /// Whether it is clamped.
    clamped: Vec<bool>,
    /// The opening it lies in.
    opening: Vec<Option<Opening>>,
    /// Whether it is tied to the part round it, at the bottom or by tape; between parts, to its keeper.
    tied: Vec<bool>,
    /// Between parts, the parts that keep it, the last to be cut at the end; empty where nothing keeps it.
    kept_by: Vec<Vec<usize>>,
    /// Pieces of `bottom` that hold clamped skeleton.
    clamped_bottom: Vec<bool>,
}

impl Waste {
    fn new(ready: &Ready, left: &AfterCut, order: &[usize]) -> Self {
        let sheet = ready.sheet;
        let n = left.firm.pieces.len();
        let clamped = clamped(sheet, &left.firm);
        let openings = Openings::new(sheet, &ready.usable);
        let mut clamped_bottom = vec![false; left.bottom.pieces.len()];
        let (mut opening, mut tied) = (vec![None; n], vec![false; n]);
        let mut kept_by = vec![vec![]; n];
        let place = |part: usize| order.iter().position(|&i| i == part);
        for kept in kept_waste(sheet, &ready.usable, &left.firm) {
            if kept.is_last(place) {
                kept_by[kept.piece] = kept.kept_by();
            }
        }
        for i in 0..n {
            let Some(inside) = interior(&left.firm.pieces[i].shape) else { continue };
            let below = left.bottom.locate(inside);
            if clamped[i] {
                if let Some(b) = below {
                    clamped_bottom[b] = true;
                }
                continue;
            }
            opening[i] = openings.around(inside, None);
            let with = |part: usize| left.inside[part].and_then(|p| left.bottom.locate(p)) == below;
            if let Some(o) = opening[i] {
                kept_by[i].clear();
                tied[i] = sheet.parts[o.part].hold.method == Method::Tape
                    || (below.is_some() && with(o.part));
            } else {
                let ties = below.is_some() && kept_by[i].iter().all(|&k| with(k));
                if !ties {
                    kept_by[i].clear();
                }
                tied[i] = !kept_by[i].is_empty();
            }
        }
        Waste { clamped, opening, tied, kept_by, clamped_bottom }
    }

    /// Whether a part is among those that keep the piece that its tab lands on.
    fn keeps(&self, left: &AfterCut, sheet: &Sheet, part: usize, tab: &Tab) -> bool {
        let piece = left.firm.locate(landing_place(tab, sheet.bit.diameter));
        piece.is_some_and(|i| self.kept_by[i].contains(&part))
    }
}

/// What each tab lands on, and how wide it is left.
fn tab_ties(sheet: &Sheet, left: &AfterCut, waste: &Waste, part: usize) -> Vec<TabTie> {
    let bit = sheet.bit.diameter;
    let load = sheet.parts[part].hold.load_n;
    let lands = |p: Point| match left.firm.locate(p) {
        Some(i) if waste.clamped[i] => Landing::Clamped,
        Some(i) => match waste.kept_by[i].last() {
            Some(&keeper) => Landing::Kept(keeper),
            None if waste.tied[i] => Landing::Opening,
            None => Landing::Waste,
        },
        None => {
            let piece = left.above.locate(p);
            let owner = piece.and_then(|i| left.piece_of.iter().position(|p| *p == Some(i)));
            match (piece, owner) {
                (_, Some(part)) => Landing::Part(part),
                (Some(_), None) => Landing::Waste, // a sliver between kerfs
                (None, None) => Landing::Nothing,
            }
        }
    };
    let tie = |tab: &Tab| {
        let mut width = left_width(&left.bottom, tab, bit);
        if let Some(upper) = left.upper.as_ref().filter(|_| tab.is_holding_bridge(sheet.thickness))
        {
            // It stands from the bed to the top.
            width = width.min(left_width(upper, tab, bit));
        }
        let place = landing_place(tab, bit);
        let landing = if width > 0.0 { lands(place) } else { Landing::Nothing };
        let web = match (landing, left.above.locate(place)) {
            (Landing::Clamped, Some(i)) => web::under(&left.above.pieces[i], tab, load, sheet),
            _ => None,
        };
        TabTie { landing, width, web }
    };
    sheet.parts[part].hold.tabs.iter().map(tie).collect()
}

/// Measures the strips again where some are slender once all is cut: stock still uncut at that time may support them.
fn as_it_stands(sheet: &Sheet, order: &[usize], ties: &mut [PartTie]) {
    let kept = |t: &TabTie, tab: &Tab| tab.holds() && matches!(t.landing, Landing::Kept(_));
    let tabs_of = |part: usize| &sheet.parts[part].hold.tabs;
    let asks = |t: &PartTie| {
        let on_kept = t.tabs.iter().zip(tabs_of(t.part)).any(|(t, tab)| kept(t, tab));
        on_kept || t.tabs.iter().any(|t| t.web.is_some_and(|w| w.soft))
    };
    let asking: Vec<&mut PartTie> = ties.iter_mut().filter(|t| asks(t)).collect();
    if asking.is_empty() {
        return;
    }
    let standing = Standing::of(sheet, order);
    asking.into_par_iter().for_each(|tie| {
        let beside = standing.beside(tie.part);
        let load = sheet.parts[tie.part].hold.load_n;
        for (tied, tab) in tie.tabs.iter_mut().zip(tabs_of(tie.part)) {
            if tied.web.is_some() || kept(tied, tab) {
                tied.web = beside.web(tab, load);
            }
        }
    });
}

/// The narrowest width of a tab at the bottom, mm; 0 when it is cut.
///
/// The least uncut way along lines across the tab: nine heights in the kerf by nine directions within
/// 24 degrees of the root's, then twice about the least in steps a third as long. On a straight edge the
/// narrowest place is half-way, where the bit's disc bulges most into the gap; on a curve or beside a bend the gap's ends
/// lie askew, so the narrowest line does too. The first steps alone read up to 0.5 % too wide there.
fn left_width(bottom: &Region, tab: &Tab, bit: f64) -> f64 {
    let reach = tab.width / 2.0 + 2.0 * bit;
    let across = |p: Point, piece: usize, turn: f64| {
        let along = tab.out.perp().turned(turn.to_radians());
        let to_edge = |way| web::to_edge(&bottom.pieces[piece], p, way, reach);
        to_edge(along) + to_edge(along * -1.0)
    };
    // From 0.2 to 0.8 of the kerf: nearer to its sides the cut edge runs along the measure.
    let (mut step, mut rings) = ((0.075, 6.0), 4);
    let mut best = (f64::INFINITY, 0.5, 0.0);
    for _ in 0..3 {
        let (_, height, turn) = best;
        for k in -rings..=rings {
            let height = (height + step.0 * f64::from(k)).clamp(0.2, 0.8);
            let p = tab.at + tab.out * (bit * height);
            let Some(piece) = bottom.locate(p) else { return 0.0 };
            for d in -rings..=rings {
                let turn = turn + step.1 * f64::from(d);
                let width = across(p, piece, turn);
                if width < best.0 {
                    best = (width, height, turn);
                }
            }
        }
        (step, rings) = ((step.0 / 3.0, step.1 / 3.0), 2);
    }
    best.0
}

fn tie(ready: &Ready, left: &AfterCut, waste: &Waste, ties: &[PartTie], part: usize) -> Tie {
    let hold = &ready.sheet.parts[part].hold;
    let anchored = |host: usize| !matches!(ties[host].tie, Tie::Chain | Tie::Loose);
    let stays = |tab: &Tab, landing: Landing| match landing {
        Landing::Clamped => true,
        Landing::Kept(keeper) => !waste.keeps(left, ready.sheet, part, tab) && anchored(keeper),
        _ => false,
    };
    let hosted = ready.hosts[part].is_some_and(|h| anchored(h.part));
    let below = left.inside[part].and_then(|p| left.bottom.locate(p));
    let with_clamped = below.is_some_and(|b| waste.clamped_bottom[b]);
    let mut outline = hold.tabs.iter().zip(&ties[part].tabs).filter(|(t, _)| t.holds());
    match hold.method {
        Method::Tape => Tie::Tape,
        _ if !hold.cuts_free() && with_clamped => Tie::Uncut,
        Method::Skin if with_clamped => Tie::Skin,
        // The bottom must agree: the part's own piece there holds clamped skeleton.
        _ if !with_clamped => Tie::Loose,
        _ if outline.clone().any(|(tab, t)| stays(tab, t.landing)) => Tie::Tabs,
        _ if hosted && outline.any(|(_, t)| t.landing == Landing::Opening) => Tie::Opening,
        _ => Tie::Chain,
    }
}

/// Faults of one part's ties.
fn faults_of(
    sheet: &Sheet,
    left: &AfterCut,
    waste: &Waste,
    ties: &[PartTie],
    part: usize,
) -> Vec<CutFault> {
    let (found, mut faults) = (&ties[part], vec![]);
    let placed = &sheet.parts[part];
    for (number, (tab, tied)) in placed.hold.tabs.iter().zip(&found.tabs).enumerate() {
        let planned = tab.width;
        if (tied.width - planned).abs() > TAB_TOLERANCE {
            let (left, at) = (tied.width, tab.at);
            faults.push(CutFault::TabWidth { part, tab: number, left, planned, at });
        }
        // A tab of an opening lands on the waste that it ties.
        let own_waste = tab.ring > 0 && {
            let piece = left.firm.locate(landing_place(tab, sheet.bit.diameter));
            let opening = Some(Opening { part, ring: tab.ring });
            tied.width > 0.0 && piece.is_some_and(|i| waste.opening[i] == opening)
        };
        let held = match tied.landing {
            Landing::Clamped => true,
            // A tab for waste is one of those that keep it; one that holds hangs on what another part keeps.
            Landing::Kept(_) if tab.waste => true,
            Landing::Kept(keeper) => {
                !waste.keeps(left, sheet, part, tab)
                    && !matches!(ties[keeper].tie, Tie::Chain | Tie::Loose)
            }
            Landing::Opening => tab.ring > 0 || found.tie == Tie::Opening || own_waste,
            Landing::Waste | Landing::Part(_) | Landing::Nothing => own_waste,
        };
        if !held {
            faults.push(CutFault::NoAnchor { part, tab: number, on: tied.landing, at: tab.at });
        }
    }
    match found.tie {
        // Not cut out at all.
        _ if !placed.hold.cuts_free() => {}
        Tie::Chain => faults.push(CutFault::Chain { part }),
        Tie::Loose => faults.push(CutFault::Loose { part }),
        Tie::Tabs | Tie::Opening | Tie::Skin | Tie::Tape | Tie::Uncut => {}
    }
    faults
}

/// How much of a part's skin the other through passes leave, 0 to 1.
fn skin_left(left: &AfterCut, paths: &PartPaths) -> f64 {
    let skins = paths.passes.iter().filter(|p| p.kind == PassKind::Skin);
    let (mut whole, mut all) = (0.0, 0.0);
    for s in skins.flat_map(|p| &p.paths).flat_map(Path::segments) {
        let length = s.length();
        all += length;
        if left.bottom.locate(s.a.lerp(s.b, 0.5)).is_some() {
            whole += length;
        }
    }
    if all > 0.0 { whole / all } else { 1.0 }
}

fn drop_outs(sheet: &Sheet, left: &AfterCut, waste: &Waste, ties: &[PartTie]) -> Vec<WastePiece> {
    // Less than the bit's own disc goes with the chips.
    let chip = sheet.bit.diameter * sheet.bit.diameter / 4.0;
    let mut carries: Vec<Vec<usize>> = vec![vec![]; left.firm.pieces.len()];
    for found in ties {
        let tabs = sheet.parts[found.part].hold.tabs.iter().zip(&found.tabs);
        for (tab, _) in tabs.filter(|(tab, tied)| tab.holds() && tied.width > 0.0) {
            if let Some(i) = left.firm.locate(landing_place(tab, sheet.bit.diameter))
                && carries[i].last() != Some(&found.part)
            {
                carries[i].push(found.part);
            }
        }
    }
    (0..left.firm.pieces.len())
        .filter(|&i| !waste.clamped[i])
        .flat_map(|i| {
            // Back to its size; a piece grown back keeps its number.
            let whole = grow(std::slice::from_ref(&left.firm.pieces[i].shape), THINNEST_WEB / 2.0);
            whole.into_iter().map(move |shape| (i, shape))
        })
        .filter(|(_, shape)| shape.net_area() > chip)
        .map(|(i, shape)| {
            let (area, bounds) = (shape.net_area(), shape.bounds());
            let length = bounds.width().max(bounds.height());
            let strip = length >= THROWN_STRIP.0 && area / length >= THROWN_STRIP.1;
            let as_wide =
                || !shrink(std::slice::from_ref(&shape), sheet.bit.diameter / 2.0).is_empty();
            let at = interior(&shape).unwrap_or(bounds.centre());
            let large = area >= THROWN_AREA || strip || as_wide();
            WastePiece {
                at,
                thrown: !waste.tied[i] && large,
                cleared: sheet.cleared.iter().any(|pocket| pocket.contains(at)),
                shape,
                area,
                length,
                opening: waste.opening[i].map(|o| (o.part, o.ring)),
                tied: waste.tied[i],
                carries: carries[i].clone(),
            }
        })
        .collect()
}
