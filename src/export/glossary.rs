//! The words that a maker meets on the page, each with its meaning here and the trade's other words for it.
//!
//! Words and their other names are common practice, no source. They contain no lengths, so they read the same in mm and
//! in inches. DEVELOPERS.md has the same list; `tests/house.rs` compares them.

/// A word with its meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Term {
    /// The word as it stands on pages, in messages and in files.
    pub word: &'static str,
    /// Its meaning here: no full stop, no capital.
    pub means: &'static str,
    /// The trade's other words for it; empty if none is usual.
    pub also: &'static str,
}

const fn term(word: &'static str, means: &'static str, also: &'static str) -> Term {
    Term { word, means, also }
}

/// Every word, in alphabetical order.
pub const GLOSSARY: &[Term] = &[
    term(
        "bridge",
        "holding bridge: a tab as high as the sheet is thick, which no pass cuts; saw it off, never snap it; a wide bridge is a spur",
        "full-thickness tab, sprue",
    ),
    term(
        "clamped",
        "said of stock that a clamp, a screw or tape under the whole sheet keeps in place",
        "fixed, secured",
    ),
    term(
        "clean edge",
        "an edge along the grain: a tab there is weaker and easy to sand off",
        "long-grain edge",
    ),
    term(
        "drop-out",
        "waste that a cut leaves loose, such as the middle of an opening",
        "slug, drop",
    ),
    term("hang", "a part hangs on the stock, or the part, that its tabs tie it to", "be tied to"),
    term(
        "high force",
        "the cutting force at the high end of its range, about twice the nominal force; the reason for a hold says whether it \
        withstands that",
        "upper-bound load",
    ),
    term(
        "hold",
        "what keeps a part in place while it is cut free: tabs, bridges, a skin or tape",
        "workholding",
    ),
    term("kerf", "the slot that the bit leaves, as wide as the bit", "slot"),
    term("landing", "the stock at the far end of a tab, beyond the kerf", "tab root, anchor"),
    term(
        "last pass",
        "the cut that goes through the sheet; its depth sets the load on the tabs",
        "final pass",
    ),
    term(
        "margin",
        "of a hold: its strength, or a limit, divided by what is required; 1.0 or more passes",
        "reserve factor",
    ),
    term(
        "margin of the sheet",
        "the distance that parts keep from the sheet's edge",
        "border, edge allowance",
    ),
    term("neck", "a narrow place of a part", "waist"),
    term(
        "nominal force",
        "the cutting force from the mean figures of the material, with a sharp bit",
        "mean load",
    ),
    term(
        "overhang",
        "the greatest distance from a point of a part's edge to the nearest tab",
        "unsupported length",
    ),
    term("remnant", "a rectangle of a sheet that is left over and worth keeping", "offcut"),
    term(
        "safety",
        "the least ratio of mean strength to stress at the worst load, over the tabs and the part",
        "factor of safety",
    ),
    term(
        "short grain",
        "grain that runs across a narrow place, which then snaps easily",
        "cross grain",
    ),
    term("skeleton", "what is left of the sheet round its parts", ""),
    term(
        "skin",
        "a thin floor left under the whole kerf, cut with a knife afterwards",
        "onion skin",
    ),
    term(
        "soft landing",
        "a landing on a strip of stock that gives more than the tab itself; the part then moves at least twice as far",
        "weak support",
    ),
    term(
        "spare",
        "an extra copy of a part, made only where the sheets in use have room",
        "overrun",
    ),
    term(
        "tab",
        "a piece of stock left across the kerf, lower than the sheet is thick; it ties a part to the sheet until you free the part",
        "holding tab, bridge",
    ),
    term("tab-free", "said of an edge that the job keeps clear of tabs", "no-tab edge"),
    term("through pass", "the path right through the sheet, open at the tabs", "breakthrough pass"),
    term(
        "upper pass",
        "the path down to the top of the tabs, open only at bridges",
        "roughing pass",
    ),
    term(
        "waste",
        "the share of a sheet that is not parts; for a board sold by length, the share of the length used",
        "scrap",
    ),
    term(
        "waste after remnants",
        "the waste if the largest rectangle left of each sheet counts as kept",
        "net scrap",
    ),
    term(
        "waste tab",
        "a tab that ties a piece of waste, and whatever hangs on it, to a part beside it; the part itself is held without it",
        "",
    ),
    term("web", "stock left standing between two kerfs", "strip, bridge"),
    term(
        "worst load",
        "the nominal force times the factors for grain and for a worn bit, in its worst direction",
        "design load",
    ),
];
