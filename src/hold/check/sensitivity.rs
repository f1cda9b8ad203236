//! Sensitivities: how much of the least margin a plan loses when one input is off by its likely error.

use super::figures::{Figures, Margins};
use super::judge::MOVEMENT_FREE;
use super::piece::Detail;
use super::planner::Planner;
use crate::hold::part::sections::Chord;
use crate::hold::part::sites::SeatedTab;
use crate::job::{Freeing, MaterialKind};
use crate::layout::{Input, InputOff, Tab};
use crate::mechanics::{line_angle, modulus_at};

/// The sheet or the bed out of flat, or the bit set too low or too high, mm (common practice, no source).
const FLAT: f64 = 0.1;
/// Extra width of cut from run-out and bending of the bit, mm over the two ends of a tab (estimate).
const WIDE: f64 = 0.2;
/// Angle of the grain off the drawn direction, radians: 10 degrees (estimate; straight grain is 1 in 20 at best).
const OBLIQUE: f64 = 0.174_532_925;
/// Coefficients of variation of clear wood, bending strength and modulus (Wood Handbook FPL-GTR-282 table 5-6, from memory).
const WOOD: (f64, f64) = (0.16, 0.22);
/// The same for manufactured sheets (estimate).
const MADE: (f64, f64) = (0.10, 0.10);

/// The inputs of a plan of tabs with the margin that each may cost, the costliest first.
///
/// The margins are linear in the load and in the material, so cutting force, strength and stiffness follow in closed form from the
/// `figures`; for depth, sizes and grain each margin changes as the search's own quick one does. Cost: about half a millisecond.
/// Accuracy: a few percentage points against fresh figures.
pub fn sensitivities(planner: &Planner, tabs: &[SeatedTab], figures: &Figures) -> Vec<InputOff> {
    let now = Margins::of(figures);
    let mut list = known(planner, figures, &now);
    list.extend(looked_at(planner, tabs, figures, &now));
    list.retain(|i| i.change.is_finite());
    list.sort_by(|a, b| a.change.total_cmp(&b.change));
    // To a thousandth: it is no more exact.
    list.iter_mut().for_each(|i| i.change = (1000.0 * i.change).round() / 1000.0 + 0.0);
    list
}

/// Cutting force, strength and stiffness.
fn known(planner: &Planner, figures: &Figures, now: &Margins) -> Vec<InputOff> {
    let (m, load) = (planner.task.material, &planner.load);
    let edge = load.nominal * load.edge_share;
    let cut = load.nominal - edge;
    let times = |high: f64, nominal: f64| if nominal > 0.0 { high / nominal } else { 1.0 };
    let chips = edge + cut * times(m.kc.high, m.kc.nominal);
    let edges = cut + edge * times(m.ke.high, m.ke.nominal);
    let (weak, soft) = match m.kind {
        MaterialKind::Wood | MaterialKind::Plywood => WOOD,
        MaterialKind::Mdf | MaterialKind::Acrylic => MADE,
    };
    let (strong, stiff) = (1.0 - weak, 1.0 - soft);
    // What a tab breaks at and what the part does are weaker alike; a saw's load stays.
    let by_hand = if figures.freeing == Freeing::Saw { strong } else { 1.0 };
    let factor = planner.load.factor;
    let (moves, bears) =
        (factor * MOVEMENT_FREE / figures.free_movement, factor * figures.free_safety);
    let weaker = Margins {
        tabs: now.tabs * strong,
        part: now.part * strong,
        gone: now.gone * strong,
        repeat: moves.min(bears * strong),
        by_hand: now.by_hand * by_hand,
        ..*now
    };
    let softer = Margins { motion: now.motion * stiff, repeat: bears.min(moves * stiff), ..*now };
    vec![
        change(Input::ChipForce, now, &now.loaded(chips / load.nominal)),
        change(Input::EdgeForce, now, &now.loaded(edges / load.nominal)),
        change(Input::Strength { weaker: weak }, now, &weaker),
        change(Input::Stiffness { softer: soft }, now, &softer),
    ]
}

/// Depth, sizes and grain.
fn looked_at(
    planner: &Planner,
    tabs: &[SeatedTab],
    figures: &Figures,
    now: &Margins,
) -> Vec<InputOff> {
    let depth = figures.depth;
    let quick = |tabs: &[SeatedTab], depth: f64, detail| {
        planner.margins_ending(tabs, figures.end, depth, detail)
    };
    let resized = |width: f64, height: f64| -> Vec<SeatedTab> {
        let resize = |t: &Tab| Tab {
            width: (t.width - width).max(0.2 * t.width),
            height: (t.height - height).max(0.2 * t.height),
            ..t.clone()
        };
        tabs.iter().map(|t| SeatedTab { s: t.s, tab: resize(&t.tab) }).collect()
    };
    let Some(base) = quick(tabs, depth, Detail::Elastic) else { return vec![] };
    let mut list = vec![];
    let mut add = |input, found: Option<Margins>, base: &Margins| {
        if let Some(found) = found {
            list.push(change(input, now, &now.moved(base, &found)));
        }
    };
    let elastic = Detail::Elastic;
    let deeper = quick(tabs, depth + FLAT, elastic);
    add(Input::LastPass { deeper_mm: FLAT }, deeper, &base);
    if !figures.bridged {
        let lower = quick(&resized(0.0, FLAT), depth, elastic);
        add(Input::TabHeight { lower_mm: FLAT }, lower, &base);
    }
    let narrower = quick(&resized(WIDE, 0.0), depth, elastic);
    add(Input::TabWidth { narrower_mm: WIDE }, narrower, &base);
    if planner.task.material.has_grain()
        && let Some(rigid) = quick(tabs, depth, Detail::Rigid)
    {
        let off_deg = OBLIQUE.to_degrees().round();
        add(Input::Grain { off_deg }, oblique(planner, tabs, figures, [&base, &rigid]), &base);
    }
    list
}

/// Where the part's own bending takes the margin of movement below this share of the rigid part's, it decides, and what the grain
/// changes in it cannot be told this quickly: it was off by 0.07 of the margin on a bar of 60 x 3 mm (set by hand).
const OWN_BENDING: f64 = 0.5;

/// The margins with the grain oblique to either side, the worse of each; `now` has those of the elastic and of the rigid part as
/// drawn.
///
/// Tabs and sections are judged at the turned grain. Of the movement the share from the part's own bending, which is the movement
/// of the elastic part beyond the rigid one, changes with the modulus along its weakest neck. `None` where that share decides.
fn oblique(
    planner: &Planner,
    tabs: &[SeatedTab],
    figures: &Figures,
    now: [&Margins; 2],
) -> Option<Margins> {
    let [elastic, rigid] = now;
    if elastic.motion < OWN_BENDING * rigid.motion {
        return None;
    }
    let turned = |by: f64| {
        let found = planner.margins_turned(tabs, figures.end, figures.depth, by)?;
        let stiff = |g: f64| {
            let neck = planner.chords.first().map_or(g, Chord::direction);
            let at = |g: f64| modulus_at(planner.task.material, line_angle(neck, g));
            at(g + by) / at(g)
        };
        let stiff = planner.grains.iter().flatten().map(|&g| stiff(g)).fold(1.0, f64::min);
        let bent = |elastic: f64, rigid: f64, turned: f64| {
            let tabs = (elastic / rigid).min(1.0);
            if tabs.is_finite() { turned / (tabs + (1.0 - tabs) / stiff) } else { turned }
        };
        Some(Margins {
            motion: bent(elastic.motion, rigid.motion, found.motion),
            repeat: bent(elastic.repeat, rigid.repeat, found.repeat),
            ..found
        })
    };
    Some(turned(OBLIQUE)?.worse(&turned(-OBLIQUE)?))
}

fn change(input: Input, now: &Margins, then: &Margins) -> InputOff {
    let change = then.least() / now.least() - 1.0;
    InputOff { kind: Some(input), input: String::new(), off: String::new(), change }
}

impl Margins {
    /// The margins of some figures.
    fn of(f: &Figures) -> Margins {
        Margins {
            tabs: f.tabs.value,
            part: f.part.value,
            motion: f.motion.value,
            gone: f.gone.value,
            repeat: f.repeat.value,
            reach: f.reach.value,
            by_hand: f.free_by_hand.value,
            snapped: f.bridged || f.freeing == Freeing::Snap,
        }
    }

    /// The margins under `times` the load; freeing by hand does not depend on the bit.
    fn loaded(&self, times: f64) -> Margins {
        self.each(|i, v| if i == BY_HAND { v } else { v / times })
    }

    /// Each margin scaled by the ratio of `then` to `base`.
    fn moved(&self, base: &Margins, then: &Margins) -> Margins {
        let (base, then) = (base.list(), then.list());
        let times = |i: usize| {
            let t = then[i] / base[i];
            if t.is_finite() { t } else { 1.0 }
        };
        self.each(|i, v| v * times(i))
    }

    fn worse(&self, other: &Margins) -> Margins {
        let other = other.list();
        self.each(|i, v| v.min(other[i]))
    }

    fn list(&self) -> [f64; 6] {
        [self.tabs, self.part, self.motion, self.gone, self.repeat, self.by_hand]
    }

    fn each(&self, f: impl Fn(usize, f64) -> f64) -> Margins {
        let v = self.list();
        let [tabs, part, motion, gone, repeat, by_hand] = std::array::from_fn(|i| f(i, v[i]));
        Margins { tabs, part, motion, gone, repeat, by_hand, ..*self }
    }
}

/// Index of freeing by hand in the list of margins.
const BY_HAND: usize = 5;
