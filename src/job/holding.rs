//! How tabs are planned.

use crate::layout::HoldDown;

/// How tabs are planned, for the whole job.
#[derive(Debug, Clone, PartialEq)]
pub struct Holding {
    /// How parts are freed afterwards.
    pub freeing: Freeing,
    /// Which sites are preferred where both kinds hold.
    pub prefer: Prefer,
    /// Depth of the last pass, mm; `None` leaves it to the plan.
    pub last_pass: Option<f64>,
    /// Narrowest tab, mm.
    pub min_width: f64,
    /// Widest tab, mm.
    pub max_width: f64,
    /// Greatest distance of a point of the outline from its nearest tab, mm.
    pub max_overhang: f64,
    /// What holds the sheets down; `None` for clamps where there is room, tape where not.
    pub hold_down: Option<HoldDown>,
    /// What parts may hang on.
    pub hang: Hang,
    /// Whether small waste that would come loose is cleared as pockets first.
    pub clear_waste: bool,
}

impl Default for Holding {
    fn default() -> Self {
        // Widths: 1-3 mm for tiny parts, up to 12 mm for large (common practice, no source).
        Holding {
            freeing: Freeing::Saw,
            prefer: Prefer::Strong,
            last_pass: None,
            min_width: 1.0,
            max_width: 8.0,
            // A tab every 300 mm of edge (common practice, no source).
            max_overhang: 150.0,
            hold_down: None,
            hang: Hang::Stock,
            clear_waste: true,
        }
    }
}

/// How a part is to be held, where that is strong enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HoldBy {
    /// Tabs; another method where tabs do not hold it.
    #[default]
    Tabs,
    /// A skin under the kerf.
    Skin,
    /// Tape under its face.
    Tape,
}

/// What parts may hang on while they are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hang {
    /// Stock that stays by itself: clamped, taped, or tied inside an opening.
    Stock,
    /// Such stock, and also waste between parts that a part cut later keeps. Parts then lie closer, and the order of cut is part of
    /// what holds them.
    Parts,
}

/// How parts are freed from their tabs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Freeing {
    /// Sawn or cut with a knife.
    Saw,
    /// Snapped off by hand.
    Snap,
}

/// Which tab sites are preferred. Clean ones, on long grain, may cost the margin beyond what is required, two more tabs, and a
/// shallower last pass down to 0.4 mm.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prefer {
    /// End-grain edges: strong tabs, rougher to clean.
    Strong,
    /// Long-grain edges: weak tabs, clean to sand.
    Clean,
}
