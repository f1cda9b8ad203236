//! The words on standard output after a job.

use super::assumed::{assumed_lines, unmet_line};
use super::buying_list::{BUYING_HEADS, buying_rows, buying_total};
use super::columns::{Align, columns, wrap};
use super::drop_outs::{WHAT_TO_DO, cleared_words, drop_out_lines, smaller_line};
use super::fault_groups::fault_lines;
use super::lines::SheetCut;
use super::notes::{DECIDE, told_notes};
use super::unplaced::{gathered, unplaced_words};
use super::warned::{Warned, warned};
use super::words;
use crate::layout::{
    CutTime, HoldDown, Layout, Method, Note, PlacedPart, Sheet, Unplaced, waste_percent,
};
use crate::units::Units;
use std::fmt::Write;

/// The result of the job: waste by group and sheet, what holds the parts, what was left over, warnings.
pub fn summary(layout: &Layout, cuts: &[SheetCut], units: Units) -> String {
    let mut out = headline(layout);
    out.push_str(&faults(layout, units));
    if !layout.sheets.is_empty() {
        let _ = write!(out, "\n{}", sheets(layout, units));
        out.push('\n');
        if layout.sheets.iter().any(|s| !s.remnants.is_empty()) {
            out.push_str(&wrapped(AFTER_REMNANTS, 0));
        }
        if let Some(line) = time_line(layout) {
            out.push_str(&wrapped(&line, 0));
        }
        out.push_str(&to_buy(layout, units));
        let _ = write!(out, "\n{}", holding(layout, units));
        for sheet in layout.sheets.iter().filter(|s| s.hold_down == HoldDown::Tape) {
            out.push_str(&wrapped(&format!("{}: {}", sheet.id, words::ON_TAPE), 0));
        }
        for sheet in layout.sheets.iter().filter(|s| words::in_order(s)) {
            out.push_str(&wrapped(&format!("{}: {}", sheet.id, words::IN_ORDER), 0));
        }
    }
    out.push_str(&loose_waste(layout, cuts, units));
    if !layout.unplaced.is_empty() {
        let _ = write!(
            out,
            "\nNot placed: {}\n{}",
            words::count(layout.unplaced.len(), "part"),
            unplaced(layout, units)
        );
    }
    if !layout.unmet.is_empty() {
        out.push_str("\nRequests not met\n");
        layout.unmet.iter().for_each(|u| out.push_str(&wrapped(&unmet_line(u), 2)));
    }
    if !layout.assumed.is_empty() {
        out.push_str("\nAssumed, because the job does not say (each line: the key of the job file that sets it, and the value used)\n");
        let lines = assumed_lines(&layout.assumed, units);
        lines.iter().for_each(|line| out.push_str(&wrapped(line, 2)));
    }
    let warnings = warnings(layout, units);
    if !warnings.is_empty() {
        let _ = write!(out, "\nWarnings\n{warnings}");
    }
    out.push_str(&notes(layout, units));
    out
}

/// Joints to decide on, then what else is true of parts.
fn notes(layout: &Layout, units: Units) -> String {
    let told = told_notes(&layout.notes, units);
    let mut out = String::new();
    for (head, undecided) in [("Joints to decide on", true), ("Notes", false)] {
        let mut notes = told.iter().filter(|n| n.undecided == undecided).peekable();
        if notes.peek().is_some() {
            let _ = write!(out, "\n{head}\n");
            if undecided {
                out.push_str(&wrapped(DECIDE, 2));
            }
        }
        for note in notes {
            out.push_str(&wrapped(&format!("{}: {}", note.head, note.what), 2));
        }
    }
    out
}

/// Each warning with those that it is about.
fn warnings(layout: &Layout, units: Units) -> String {
    let lines = |warned: &Warned| match warned.who.as_slice() {
        [] => wrapped(&warned.what, 2),
        [one] => wrapped(&format!("{one}: {}", warned.what), 2),
        _ => wrapped(&warned.what, 2) + &wrapped(&warned.who(), 6),
    };
    warned(layout, units).iter().map(lines).collect()
}

/// Text in lines of at most 110 characters, the first indented by `indent`, the others by two more.
fn wrapped(text: &str, indent: usize) -> String {
    wrap(text, 110, [indent, indent + 2]).into_iter().map(|line| line + "\n").collect()
}

/// What keeps the job from being cut as it is: `NOT READY TO CUT: 2 faults, 1 part left over. `; empty when all is well.
pub fn not_ready(layout: &Layout) -> Option<String> {
    let (faults, left) = (layout.faults.len(), layout.unplaced.len());
    let faults = (faults > 0).then(|| words::count(faults, "fault"));
    let left = (left > 0).then(|| format!("{} left over", words::count(left, "part")));
    let joints: usize = layout.notes.iter().map(Note::joints_to_decide).sum();
    let joints = (joints > 0).then(|| format!("{} to decide on", words::count(joints, "joint")));
    let all: Vec<String> = faults.into_iter().chain(left).chain(joints).collect();
    (!all.is_empty()).then(|| format!("NOT READY TO CUT: {}", all.join(", ")))
}

/// The faults sheet by sheet, numbered as on the page's pictures; those alike on copies of a part in one entry.
fn faults(layout: &Layout, units: Units) -> String {
    let mut out = String::new();
    if !layout.faults.is_empty() {
        out.push_str("\nFaults\n");
    }
    for sheet in &layout.sheets {
        let lines = fault_lines(layout, &sheet.id, units);
        lines.iter().for_each(|line| out.push_str(&wrapped(line, 2)));
    }
    out
}

/// `Tide clock: 153 parts on 6 sheets, waste 31.2 %`.
fn headline(layout: &Layout) -> String {
    let title = if layout.title.is_empty() { "Layout" } else { &layout.title };
    let spares = layout.sheets.iter().flat_map(|s| &s.parts).filter(|p| p.spare).count();
    let spares =
        if spares > 0 { format!(" ({})", words::count(spares, "spare")) } else { String::new() };
    let not_ready = not_ready(layout).map_or(String::new(), |n| format!("{n}. "));
    format!(
        "{not_ready}{title}: {}{spares} on {}, waste {}{}\n",
        words::count(layout.parts_placed, "part"),
        words::count(layout.sheets.len(), "sheet"),
        words::percent(layout.waste_percent),
        ended(&layout.ended),
    )
}

/// What the reader must know about how the search ended.
fn ended(how: &str) -> &'static str {
    match how {
        "time-limit" => " (stopped at the time limit: another run may differ)",
        "interrupted" => " (interrupted: the best layout so far)",
        _ => "",
    }
}

fn sheets(layout: &Layout, units: Units) -> String {
    let mut heads =
        vec!["sheet", "stock", "size", "bit", "parts", "tabs", "waste", "after remnants"];
    // Layouts of before have no times.
    if !layout.cut_times.is_empty() {
        heads.push("time to cut");
    }
    let mut rows = vec![heads.iter().map(|h| h.to_string()).collect::<Vec<_>>()];
    let mut from = 0;
    while from < layout.sheets.len() {
        let group = group_of(&layout.sheets[from]);
        let same = |s: &Sheet| group_of(s) == group;
        let until = layout.sheets[from..]
            .iter()
            .position(|s| !same(s))
            .map_or(layout.sheets.len(), |n| from + n);
        let sheets = &layout.sheets[from..until];
        let timed = |mut row: Vec<String>, sheets: &[Sheet]| {
            row.extend(time_of(layout, sheets).map(words::range_of_time));
            row
        };
        rows.extend(sheets.iter().map(|s| timed(sheet_row(s, units), std::slice::from_ref(s))));
        if sheets.len() > 1 {
            rows.push(timed(group_row(sheets), sheets));
        }
        from = until;
    }
    use Align::{Left, Right};
    columns(&[Left, Left, Right, Right, Right, Right, Right, Right, Right], &rows)
}

/// The time to cut these sheets, where all of theirs is known.
pub fn time_of(layout: &Layout, sheets: &[Sheet]) -> Option<CutTime> {
    let mut times = sheets.iter().map(|s| layout.time_of(&s.id));
    times.try_fold(CutTime::default(), |sum, t| Some(sum + t?))
}

/// What a column of the table means, below it.
const AFTER_REMNANTS: &str = "After remnants: the waste if the largest rectangle left of each sheet is kept and counts as used";

/// What the time to cut counts, below the table; the whole job's where it has several sheets.
fn time_line(layout: &Layout) -> Option<String> {
    let time = time_of(layout, &layout.sheets).filter(|_| !layout.sheets.is_empty())?;
    Some(format!("Time to cut, all sheets: {}; {TIME_COUNTS}", words::range_of_time(time)))
}

/// What the estimate of time is made of.
pub const TIME_COUNTS: &str = "an estimate from path lengths, passes and feed, with an allowance for plunges, lifts and rapid \
    moves; without the pockets, drill holes and engravings of parts, and without changing bits and sheets";

/// The waste that is cleared first, and that which comes loose.
fn loose_waste(layout: &Layout, cuts: &[SheetCut], units: Units) -> String {
    let cleared = layout.sheets.iter().filter_map(|s| Some((s, cleared_words(s)?)));
    let mut out: String =
        cleared.map(|(sheet, told)| wrapped(&format!("{}: {told}", sheet.id), 0)).collect();
    let loose = drop_out_lines(layout, units);
    if !loose.is_empty() {
        out.push_str("\nLoose waste at least as wide as the bit\n");
        loose.iter().for_each(|line| out.push_str(&wrapped(line, 2)));
        out.push_str(&wrapped(&format!("The bit can throw it or jam on it: {WHAT_TO_DO}"), 2));
    }
    out + &smaller_line(layout, cuts).map_or(String::new(), |line| wrapped(&line, 0))
}

/// The buying list; empty where the layout has none.
fn to_buy(layout: &Layout, units: Units) -> String {
    if layout.to_buy.is_empty() {
        return String::new();
    }
    let mut rows = vec![BUYING_HEADS.map(String::from).to_vec()];
    rows.extend(buying_rows(&layout.to_buy, units).into_iter().map(Vec::from));
    use Align::{Left, Right};
    let table = columns(&[Left, Left, Left, Right, Right, Left], &rows);
    let total = buying_total(&layout.to_buy);
    let total = total.map_or(String::new(), |t| format!("  Stock, total: {t}\n"));
    format!("\nWhat you need\n{table}{total}")
}

/// Sheets of one material and thickness are one group.
fn group_of(sheet: &Sheet) -> (&str, u64) {
    (&sheet.material, sheet.thickness.to_bits())
}

fn sheet_row(sheet: &Sheet, units: Units) -> Vec<String> {
    vec![
        sheet.id.clone(),
        sheet.stock.clone(),
        words::sheet_size(units, sheet),
        words::fine(units, sheet.bit.diameter),
        sheet.parts.len().to_string(),
        tabs(sheet).to_string(),
        words::percent(sheet.waste_percent),
        words::percent(words::waste_after_remnants(sheet)),
    ]
}

fn group_row(sheets: &[Sheet]) -> Vec<String> {
    let sum = |of: fn(&Sheet) -> f64| sheets.iter().map(of).sum::<f64>();
    let area = sum(|s| s.sheet_area);
    let kept = sum(|s| words::kept_and_area(s).0);
    vec![
        format!("  together {}", sheets.len()),
        String::new(),
        String::new(),
        String::new(),
        sheets.iter().map(|s| s.parts.len()).sum::<usize>().to_string(),
        sheets.iter().map(tabs).sum::<usize>().to_string(),
        words::percent(waste_percent(sum(|s| s.part_area), area)),
        words::percent(waste_percent(kept, area)),
    ]
}

fn tabs(sheet: &Sheet) -> usize {
    sheet.parts.iter().map(|p| p.hold.tabs.len()).sum()
}

/// How many parts each method holds, with the least margin and the greatest movement among them.
fn holding(layout: &Layout, units: Units) -> String {
    let parts: Vec<&PlacedPart> = layout.sheets.iter().flat_map(|s| &s.parts).collect();
    let mut out = String::new();
    for method in [Method::Tabs, Method::Skin, Method::Tape, Method::None] {
        let held: Vec<&&PlacedPart> = parts.iter().filter(|p| p.hold.method == method).collect();
        let Some(weakest) = held.iter().min_by(|a, b| a.hold.safety.total_cmp(&b.hold.safety))
        else {
            continue;
        };
        let n = words::count(held.len(), "part");
        let _ = match method {
            Method::Tabs => {
                let most = held.iter().map(|p| p.hold.movement_mm).fold(0.0, f64::max);
                let most = words::moves_up_to(units, most);
                let (safety, name) = (weakest.hold.safety, &weakest.part);
                let bridged: Vec<&PlacedPart> =
                    layout.sheets.iter().flat_map(words::bridged).collect();
                let on_bridges = match bridged.iter().collect::<Vec<_>>() {
                    none if none.is_empty() => String::new(),
                    some => format!(
                        "; {} of them by holding bridges of full thickness, to be sawn off: {}",
                        some.len(),
                        names(&some)
                    ),
                };
                writeln!(
                    out,
                    "{n} held by tabs: least safety {safety:.1} ({name}), movement {most}{on_bridges}"
                )
            }
            Method::Skin => writeln!(out, "{n} held by a skin: {}", names(&held)),
            Method::Tape => writeln!(out, "{n} held by tape: {}", names(&held)),
            Method::None => {
                writeln!(out, "{n} not held (do not cut): {}", names(&held))
            }
        };
    }
    out
}

/// Part names once each, in order.
fn names(parts: &[&&PlacedPart]) -> String {
    let mut names: Vec<&str> = vec![];
    for part in parts {
        if !names.contains(&part.part.as_str()) {
            names.push(&part.part);
        }
    }
    names.join(", ")
}

/// One line for the copies of a part that were left over for the same reason.
fn unplaced(layout: &Layout, units: Units) -> String {
    let row = |(u, n): (&Unplaced, usize)| {
        vec![u.part.clone(), format!("{n} ×"), unplaced_words(u, units)]
    };
    let rows: Vec<Vec<String>> = gathered(layout).into_iter().map(row).collect();
    columns(&[Align::Left, Align::Right, Align::Left], &rows)
}
