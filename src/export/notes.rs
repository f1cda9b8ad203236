//! Notes on parts in words.

use super::words::{count, exact_width, few, fine, from_corner, hair};
use crate::layout::{Note, NoteKind};
use crate::units::Units;

/// A note with the part, or the parts, that it is about.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldNote {
    /// The part's name; `Accepted as rounded` for corners that the job accepts.
    pub head: String,
    /// What is true of it.
    pub what: String,
    /// Whether the maker must decide before the part is cut.
    pub undecided: bool,
}

/// The notes in words, those to decide on first; corners that the job accepts are one line for all parts.
pub fn told_notes(notes: &[Note], units: Units) -> Vec<ToldNote> {
    let (accepted, mut own): (Vec<&Note>, Vec<&Note>) =
        notes.iter().partition(|n| n.accepts_corners());
    own.sort_by_key(|n| !n.undecided());
    let told = |n: &Note| ToldNote {
        head: n.part.clone(),
        what: note_words(n, units),
        undecided: n.undecided(),
    };
    let mut all: Vec<ToldNote> = own.into_iter().map(told).collect();
    if accepted.windows(2).all(|pair| pair[0].part == pair[1].part) {
        all.extend(accepted.into_iter().map(told));
    } else {
        let what = accepted_words(&accepted, units);
        all.push(ToldNote { head: "Accepted as rounded".into(), what, undecided: false });
    }
    all
}

/// Accepted corners of several parts: how many, how much stays, and the parts, the most stock first.
fn accepted_words(notes: &[&Note], units: Units) -> String {
    let (mut corners, mut joints) = (0, 0);
    let mut by_part: Vec<(&str, f64)> = vec![];
    for note in notes {
        let stands = match &note.kind {
            NoteKind::RoundedCorners { corners: n, stands_mm, .. } => {
                corners += n;
                *stands_mm
            }
            NoteKind::JointCorners { places, stands_mm, .. } => {
                joints += places.len();
                *stands_mm
            }
            _ => 0.0,
        };
        match by_part.iter_mut().find(|(name, _)| *name == note.part) {
            Some((_, most)) => *most = most.max(stands),
            None => by_part.push((&note.part, stands)),
        }
    }
    by_part.sort_by(|a, b| b.1.total_cmp(&a.1));
    let names: Vec<String> = by_part.iter().map(|(name, _)| name.to_string()).collect();
    let of = [(corners, "sharp inside corner"), (joints, "joint")];
    let what: Vec<String> =
        of.iter().filter(|(n, _)| *n > 0).map(|(n, noun)| count(*n, noun)).collect();
    format!(
        "{} of {} keep the bit's radius, the most stock ({}) in {}",
        what.join(" and "),
        count(names.len(), "part"),
        hair(units, by_part.first().map_or(0.0, |p| p.1)),
        few(&names)
    )
}

/// The note in a sentence or two, without the part's name.
pub fn note_words(note: &Note, units: Units) -> String {
    match &note.kind {
        NoteKind::NeedsFinerBit { at, fits_mm, bit_mm, wider_mm, others } => format!(
            "{} the {} bit: its narrowest place, {} from its top left as drawn, lets at most {} pass. Without {} the {} bit would cut \
             everything of this material and thickness",
            match others {
                0 => "the only part that needs".to_string(),
                n => format!("one of {} parts that need", n + 1),
            },
            fine(units, *bit_mm),
            from_corner(units, *at),
            exact_width(units, *fits_mm),
            if *others > 0 { "them" } else { "it" },
            fine(units, *wider_mm),
        ),
        NoteKind::CutWider { places, sheet, at, drawn_mm, wider_mm } => format!(
            "{} drawn narrower than the bit and cut at the bit's width, wider by up to {}: {} as drawn, on {sheet}, \
             {} from the part's top left",
            match places {
                1 => "1 slot, hole or gap is".to_string(),
                n => format!("{n} slots, holes or gaps are"),
            },
            hair(units, *wider_mm),
            exact_width(units, *drawn_mm),
            from_corner(units, *at),
        ),
        NoteKind::RoundedCorners { corners, at, stands_mm, accepted } => format!(
            "{} the bit's radius; {} of stock stays in the deepest, which is {} from the part's top left as drawn{}",
            match corners {
                1 => "1 sharp inside corner keeps".to_string(),
                n => format!("{n} sharp inside corners keep"),
            },
            hair(units, *stands_mm),
            from_corner(units, *at),
            if *accepted { "; accepted as rounded" } else { "" },
        ),
        NoteKind::JointCorners { places, width_mm, fingers, stock_mm, stands_mm, accepted } => {
            let listed: Vec<String> =
                places.iter().take(FEW).map(|at| from_corner(units, *at)).collect();
            let more = if places.len() > FEW { " and more" } else { "" };
            let what = format!(
                "{} as {} ({}) as the stock is thick ({}) with sharp inside corners, where {} of stock stays: {}{more} from \
                 the part's top left as drawn",
                match places.len() {
                    1 => "1 joint".to_string(),
                    n => format!("{n} joints"),
                },
                if *fingers { "deep" } else { "wide" },
                exact_width(units, *width_mm),
                fine(units, *stock_mm),
                hair(units, *stands_mm),
                listed.join("; "),
            );
            if *accepted { format!("{what}; accepted as rounded") } else { what }
        }
    }
}

/// What to do about joints that the maker must decide on, said once for all of them.
pub const DECIDE: &str = "The mating parts do not go all the way in: relieve each corner with a hole of the bit's radius, or round the \
    mating parts' corners and set `corners = \"rounded\"` for the part or the whole job";

/// Most places listed for one part.
const FEW: usize = 4;
