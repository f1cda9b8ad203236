//! Problems of parts where they lie, of edges and of sheets, in words.

use super::told::{Told, copy, ring};
use crate::units::trimmed;
use crate::verify::{Difference, Edge, Figure, PartFinding, Reference, RingFlaw, SheetFinding};

pub(super) fn words(told: &Told, found: &PartFinding) -> String {
    let who = &told.who;
    let (amount, limit) = (told.mm(told.amount), told.mm(told.limit));
    match found {
        PartFinding::PoseNotFinite => format!("{who}: x, y or rotation_deg is not a finite number"),
        PartFinding::FeatureNotFinite => format!("{who}: a point of a feature is not finite"),
        PartFinding::GrainNotFinite { deg, tolerance_deg } => format!(
            "{who}: its grain is {deg} ± {tolerance_deg} degrees; both must be finite, the tolerance from 0 to 180"
        ),
        PartFinding::BadRing { edge, flaw } => {
            let what = format!("{} {}", edge_name(*edge), ring_flaw(*flaw));
            if who.is_empty() { what } else { format!("{who}: {what}") }
        }
        PartFinding::OpeningMeetsEdge { opening } => {
            format!("{who}: opening {opening} meets another edge of the part")
        }
        PartFinding::OpeningOutside { opening } => {
            format!("{who}: opening {opening} lies outside the outline")
        }
        PartFinding::OpeningNested { opening, inside } => {
            format!("{who}: opening {opening} lies inside opening {inside}")
        }
        PartFinding::Overlap { area_mm2 } => {
            format!("{who} overlap by {amount} ({})", told.area(*area_mm2))
        }
        PartFinding::TooNear => {
            format!("{who} are {amount} apart; the gap must be at least {limit}")
        }
        PartFinding::OffSheet => format!("{who} lies off the sheet by {amount}"),
        PartFinding::TooNearEdge => {
            format!("{who} is {amount} from the sheet's edge; the margin must be at least {limit}")
        }
        PartFinding::TooNearKeepClear { area } => {
            format!(
                "{who} is {amount} from keep-clear area {area}; the gap must be at least {limit}"
            )
        }
        PartFinding::PlacedTwice { also_on } => format!("{who} is placed twice, also on {also_on}"),
        PartFinding::OtherShape { than, differ } => {
            let differ = difference(told, *differ);
            match than {
                Reference::Copy(first) => {
                    format!("{who} has a different shape from {}: {differ}", copy(first))
                }
                Reference::Job => {
                    format!("{who} has a different shape from the job's part: {differ}")
                }
            }
        }
        PartFinding::OtherFeatures { than } => match than {
            Reference::Copy(first) => format!("{who} has different features from {}", copy(first)),
            Reference::Job => format!("{who} has different features from the job's part"),
        },
        PartFinding::FeatureOffPart { feature, number } => {
            format!("{who}: its {} (feature {number}) lies off the part", feature.name())
        }
        PartFinding::NotInFrame => format!(
            "{who} lies {amount} from the place that its x, y, rotation_deg and mirrored give it"
        ),
        PartFinding::OffGrain { deg, sheet_deg, of_job } => {
            let by = if *of_job { "; the job asks for that" } else { "" };
            format!(
                "{who} lies {} degrees off the grain: its direction of {} degrees must follow the sheet's grain of {} within {} \
                 degrees{by}",
                trimmed(told.amount, 3),
                trimmed(*deg, 3),
                trimmed(*sheet_deg, 3),
                trimmed(told.limit, 3)
            )
        }
    }
}

pub(super) fn of_sheet(told: &Told, found: &SheetFinding) -> String {
    let who = &told.who;
    let (amount, limit) = (told.mm(told.amount), told.mm(told.limit));
    match found {
        SheetFinding::SheetFigure { figure, value } => {
            let rule = match figure {
                Figure::Thickness | Figure::BitDiameter => "above 0",
                Figure::Allowance => "from 0 to less than the bit's diameter",
                Figure::Gap | Figure::Margin => "0 or more",
                Figure::GrainDeg => "a finite number",
            };
            let value = match figure {
                Figure::GrainDeg => format!("{value} degrees"),
                _ if value.is_finite() => told.mm(*value),
                _ => format!("{value}"),
            };
            format!("the {} is {value}; it must be {rule}", figure_name(*figure))
        }
        SheetFinding::GapUnderBit => {
            format!("the gap is {amount}; it must be at least the bit's {limit}")
        }
        SheetFinding::ClampNotKeptClear { clamp } => {
            format!("clamp {clamp} is not among the keep-clear areas")
        }
        SheetFinding::RemnantOffSheet { remnant } => {
            format!("remnant {remnant} lies off the sheet")
        }
        SheetFinding::RemnantOverlaps { remnant, on } => {
            format!("remnant {remnant} overlaps {}", edge_name(*on))
        }
        SheetFinding::KerfInRemnant { remnant } => format!(
            "{who} is {amount} from remnant {remnant}, less than its kerf of {limit}, which cuts into the remnant"
        ),
        SheetFinding::TabOnRemnant { tab, remnant } => {
            format!("{who}: tab {tab} lands on remnant {remnant}")
        }
        SheetFinding::LooseWaste => format!(
            "a piece of waste of {} comes loose: the layout neither clears nor lists it",
            told.area(told.amount)
        ),
        SheetFinding::ClearsPart { pocket } => format!(
            "pocket {pocket} that clears waste comes within {amount} of {who}; it must stay {limit} away"
        ),
        SheetFinding::ClearsTab { pocket, tab } => {
            format!("{who}: pocket {pocket} that clears waste takes stock from tab {tab}")
        }
        SheetFinding::ClearsOffSheet { pocket } => {
            format!("pocket {pocket} that clears waste reaches off the sheet")
        }
    }
}

pub(super) fn figure_name(figure: Figure) -> &'static str {
    match figure {
        Figure::Thickness => "thickness",
        Figure::BitDiameter => "bit diameter",
        Figure::Allowance => "bit's allowance",
        Figure::Gap => "gap",
        Figure::Margin => "margin",
        Figure::GrainDeg => "direction of the grain",
    }
}

fn edge_name(edge: Edge) -> String {
    match edge {
        Edge::Sheet => "the sheet's outline".into(),
        Edge::KeepClear(n) => format!("keep-clear area {n}"),
        Edge::Remnant(n) => format!("remnant {n}"),
        Edge::Cleared(n) => format!("pocket {n} that clears waste"),
        Edge::Part(n) => format!("its {}", ring(n)),
    }
}

fn ring_flaw(flaw: RingFlaw) -> String {
    match flaw {
        RingFlaw::Points(n) => format!("has {n} points; it needs at least 3"),
        RingFlaw::Beyond(n) => {
            format!(
                "has a point that is not finite or is more than a kilometre away (point {n}, counted from 0)"
            )
        }
        RingFlaw::Repeats => "repeats its first point at the end".into(),
        RingFlaw::NoArea => "has no area".into(),
        RingFlaw::Crosses => "crosses or touches itself".into(),
    }
}

pub(super) fn difference(told: &Told, difference: Difference) -> String {
    match difference {
        Difference::Openings(a, b) => format!("they have {a} and {b} openings"),
        Difference::Points(a, b) => format!("an edge has {a} and {b} points"),
        Difference::Opening => "an opening differs".into(),
        Difference::Distance(mm) => format!("they differ by {}", told.mm(mm)),
    }
}
