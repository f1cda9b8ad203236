//! Problems of the drawings beside a layout, and of the cuts their paths make, in words.

use super::told::{Told, copy, ring};
use crate::layout::{DrawnFlaw, DrawnKind};
use crate::units::trimmed;
use crate::verify::{DrawingFinding, PathFinding, Shown};

pub(super) fn words(told: &Told, found: &DrawingFinding) -> String {
    let who = &told.who;
    let (amount, limit) = (told.mm(told.amount), told.mm(told.limit));
    match found {
        DrawingFinding::NoDrawing => "the sheet has no drawing beside the layout".into(),
        DrawingFinding::DrawingUnreadable { flaw } => {
            format!("its drawing cannot be checked: {}", drawn_flaw(told, flaw))
        }
        DrawingFinding::StrangeGroup { group } => {
            format!("its drawing has a group {group}, which is not a pass")
        }
        DrawingFinding::Scaled => {
            format!("its drawing is {} times the size of the sheet", trimmed(told.amount, 3))
        }
        DrawingFinding::NotShown { item } => {
            format!("its drawing does not show {} where it lies", shown(item))
        }
        DrawingFinding::StrangeLine { line } => {
            format!("its drawing shows {line}, which the layout does not have")
        }
        DrawingFinding::StrangePath { path, group } => {
            format!("path {path} in {group} belongs to no pass of a part on this sheet")
        }
        DrawingFinding::WrongGroup { path, group } => {
            format!("{path} does not belong in {group}: plunges are circles, passes are paths")
        }
        DrawingFinding::PlungeDiameter { path } => {
            format!("plunge {path} is {amount} in diameter; the bit is {limit}")
        }
        DrawingFinding::StrangePass { pass, depth_mm, ring: of } => format!(
            "{who} has {} at {} round its {}, which its hold does not ask for",
            with_article(*pass),
            told.mm(*depth_mm),
            ring(*of)
        ),
        DrawingFinding::PassMissing { pass, depth_mm, ring: of } => {
            format!(
                "{who} has no {} at {} round its {}",
                name(*pass),
                told.mm(*depth_mm),
                ring(*of)
            )
        }
    }
}

pub(super) fn of_path(told: &Told, found: &PathFinding) -> String {
    let who = &told.who;
    let (amount, limit) = (told.mm(told.amount), told.mm(told.limit));
    match found {
        PathFinding::Gouged { path, depth_mm } => {
            format!("{who}: path {path} cuts {} into it", told.mm(*depth_mm))
        }
        PathFinding::PathOpen { path } => {
            format!("{who}: path {path} is open where there is no holding bridge")
        }
        PathFinding::PathDoublesBack { path } => {
            format!("{who}: path {path} runs back along itself")
        }
        PathFinding::PathAstray { path, by_mm } => {
            format!("{who}: path {path} leaves its edge by {}", told.mm(*by_mm))
        }
        PathFinding::NotCut { ring: of, depth_mm, anywhere } => {
            let anywhere = if *anywhere { "" } else { " anywhere" };
            format!("{who}: its {} is not cut to {}{anywhere}", ring(*of), told.mm(*depth_mm))
        }
        PathFinding::StockLeft { ring: of } => format!(
            "{who}: {} of stock stays on its {} where the bit does not reach; the bit's radius explains only {}",
            told.area(told.amount),
            ring(*of),
            told.area(told.limit)
        ),
        PathFinding::TabCutThrough { tab } => {
            format!("{who}: tab {tab} is cut through: a path runs across it")
        }
        PathFinding::TabWidth { tab } => {
            format!("{who}: the paths leave tab {tab} {amount} wide; {limit} is planned")
        }
        PathFinding::TabNotFreed { tab } => {
            format!("{who}: tab {tab} is not cut free at its sides; a width of {limit} is planned")
        }
        PathFinding::SkinCut { left } => format!(
            "{who}: deeper passes cut into its skin and leave {} % of it",
            trimmed((100.0 * left).round(), 0)
        ),
    }
}

fn name(pass: DrawnKind) -> &'static str {
    match pass {
        DrawnKind::Upper => "upper pass",
        DrawnKind::Through => "through pass",
        DrawnKind::Plunge => "plunge",
    }
}

fn with_article(pass: DrawnKind) -> &'static str {
    match pass {
        DrawnKind::Upper => "an upper pass",
        DrawnKind::Through => "a through pass",
        DrawnKind::Plunge => "a plunge",
    }
}

fn shown(item: &Shown) -> String {
    match item {
        Shown::Sheet => "the sheet's edge".into(),
        Shown::KeepClear => "a keep-clear area".into(),
        Shown::Remnant => "a remnant".into(),
        Shown::Cleared => "waste to be cleared".into(),
        Shown::Outline(of) => format!("the outline of {}", copy(of)),
        Shown::Opening(of) => format!("an opening of {}", copy(of)),
        Shown::Tab(of) => format!("a tab of {}", copy(of)),
        Shown::Feature(kind, of) => format!("the {} of {}", kind.name(), copy(of)),
    }
}

fn drawn_flaw(told: &Told, flaw: &DrawnFlaw) -> String {
    let id = |id: &Option<String>| id.clone().unwrap_or_else(|| "without an id".into());
    match flaw {
        DrawnFlaw::Unreadable(why) => why.clone(),
        DrawnFlaw::NotXml(why) => format!("it is not XML: {why}"),
        DrawnFlaw::NotSvg => "its root element is not <svg>".into(),
        DrawnFlaw::NoAttribute(name) => format!("its root element has no {name}"),
        DrawnFlaw::NoLength { side, written } => {
            format!("its {side} is '{written}', not a length with a unit")
        }
        DrawnFlaw::ViewBox(written) => format!("its viewBox '{written}' cannot be read"),
        DrawnFlaw::PageShape { view_box, width_mm, height_mm } => format!(
            "its viewBox '{view_box}' does not have the shape of its page, {} by {}",
            told.mm(*width_mm),
            told.mm(*height_mm)
        ),
        DrawnFlaw::Foreign { tag, id: of, attribute } => {
            format!(
                "{tag} {} has a {attribute}, which no sheet drawing of this program has",
                id(of)
            )
        }
        DrawnFlaw::Misplaced { tag, id: of, group: None } => {
            format!("{tag} {} lies outside the named groups", id(of))
        }
        DrawnFlaw::Misplaced { tag, id: of, group: Some(group) } => {
            format!("group {group} holds a {tag} ({}); only paths and circles belong there", id(of))
        }
        DrawnFlaw::GroupWithoutId => "a group has no id".into(),
        DrawnFlaw::NoDepth(group) => format!("the id of group {group} names no depth with a unit"),
        DrawnFlaw::BadPath { id: of, reason } => format!("path {}: {reason}", id(of)),
        DrawnFlaw::NoLine(of) => format!("path {} has no line", id(of)),
        DrawnFlaw::BadCircle { id: of, attribute } => {
            format!("circle {} has no {attribute}", id(of))
        }
    }
}
