//! The table of a sheet's parts: like copies in one row, in the order of cut.

use crate::export::lines::SheetCut;
use crate::export::markup::{escape, prose};
use crate::export::why::{bears_words, borne_by, limit_words, most_by, why_but};
use crate::export::words;
use crate::layout::{Bears, Method, PlacedPart, Sheet};
use crate::units::Units;
use std::fmt::Write;

/// The table.
pub fn parts(units: Units, sheet: &Sheet, cut: &SheetCut) -> String {
    let usual = usual(sheet);
    let rows = rows(units, sheet, cut, usual);
    if rows.is_empty() {
        return String::new();
    }
    let mut out = usual.map_or(String::new(), |bears| {
        format!(
            "<p class=\"notes\">Unless its row says otherwise, each part on tabs {}.</p>\n",
            bears_words(bears)
        )
    });
    out.push_str(
        "<table>\n<thead><tr><th scope=\"col\">No.</th><th scope=\"col\">Part</th><th scope=\"col\">Size</th>\
         <th scope=\"col\">Grain</th><th scope=\"col\">Held by <small>width × height</small></th><th scope=\"col\">Load</th>\
         <th scope=\"col\">Safety</th><th scope=\"col\">Moves</th><th scope=\"col\">Why</th></tr></thead>\n<tbody>\n",
    );
    for row in rows {
        let _ = writeln!(
            out,
            "<tr{}><td class=\"nos\">{}</td><th scope=\"row\">{}</th><td class=\"n\">{}</td><td class=\"n\">{}</td><td>{}</td><td class=\"n\">{}</td>\
             <td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"why\">{}</td></tr>",
            if row.method == Method::None { " class=\"bad\"" } else { "" },
            ranges(&row.numbers),
            row.called(),
            row.size,
            row.grain,
            row.held,
            row.load,
            row.safety,
            row.moves,
            row.why,
        );
    }
    out.push_str("</tbody>\n</table>\n");
    out
}

/// How much of the cutting force's range most holds on tabs bear, if there are several such holds: the page says it once.
fn usual(sheet: &Sheet) -> Option<Bears> {
    let all: Vec<Bears> = sheet.parts.iter().filter_map(|p| borne_by(&p.hold)).collect();
    let count = |bears: &Bears| all.iter().filter(|b| *b == bears).count();
    let most = all.iter().max_by_key(|b| count(b))?;
    (count(most) > 2 && 2 * count(most) > all.len()).then_some(*most)
}

/// What a row shows; rows that are equal in all but the numbers become one row.
struct TableRow {
    numbers: Vec<usize>,
    copies: Vec<usize>,
    name: String,
    size: String,
    grain: String,
    held: String,
    load: String,
    safety: String,
    moves: String,
    why: String,
    method: Method,
}

impl TableRow {
    fn of(
        units: Units,
        sheet: &Sheet,
        part: &PlacedPart,
        number: usize,
        usual: Option<Bears>,
    ) -> TableRow {
        let hold = &part.hold;
        let b = words::own_size(part);
        let spare = if part.spare { " <small>spare</small>" } else { "" };
        // The reason of tabs says what decides, and its last pass; a part that is not held has neither.
        let unsaid = matches!(hold.method, Method::Skin | Method::Tape) || hold.reason.is_none();
        let limit = limit_words(hold, units);
        let governs = if unsaid && !limit.is_empty() {
            format!(" <i>Limited by: {}.</i>", escape(limit.trim_end_matches('.')))
        } else {
            String::new()
        };
        let figures = matches!(hold.method, Method::Tabs | Method::Skin | Method::Tape);
        let other_pass = (hold.last_pass - sheet.cut.last_pass).abs() > 1e-9;
        let own_pass = if unsaid && other_pass && hold.last_pass > 0.0 {
            format!(" Last pass {}.", words::fine(units, hold.last_pass))
        } else {
            String::new()
        };
        let most = most_by(hold)
            .map_or(String::new(), |m| format!(" <i>Most sensitive to: {}.</i>", escape(&m)));
        TableRow {
            numbers: vec![number],
            copies: vec![part.copy],
            name: format!("{}{spare}", escape(&part.part)),
            size: words::size(units, b.width(), b.height()),
            grain: words::grain(sheet, part),
            held: words::held(units, hold, sheet.thickness),
            load: if figures { units.force(hold.load_n) } else { "–".into() },
            safety: if figures && hold.safety.is_finite() {
                format!("{:.1}", hold.safety)
            } else {
                "–".into()
            },
            moves: if figures { words::moves(units, hold.movement_mm) } else { "–".into() },
            why: format!(
                "{}.{governs}{own_pass}{most}",
                prose(why_but(hold, units, usual).trim_end_matches('.'))
            ),
            method: hold.method,
        }
    }

    /// The name, with the copies as the sheet's drawing has them.
    fn called(&self) -> String {
        let mut copies = self.copies.clone();
        copies.sort_unstable();
        match copies[..] {
            [1] => self.name.clone(),
            _ => format!("{} <small>{}</small>", self.name, ranges(&copies)),
        }
    }

    fn same(&self, o: &TableRow) -> bool {
        (&self.name, &self.size, &self.grain, &self.held, &self.load)
            == (&o.name, &o.size, &o.grain, &o.held, &o.load)
            && (&self.safety, &self.moves, &self.why) == (&o.safety, &o.moves, &o.why)
    }
}

fn rows(units: Units, sheet: &Sheet, cut: &SheetCut, usual: Option<Bears>) -> Vec<TableRow> {
    let mut rows: Vec<TableRow> = vec![];
    for (k, i) in cut.order_of(sheet.parts.len()).into_iter().enumerate() {
        let row = TableRow::of(units, sheet, &sheet.parts[i], k + 1, usual);
        match rows.iter_mut().find(|r| r.same(&row)) {
            Some(like) => {
                like.numbers.push(k + 1);
                like.copies.extend(row.copies);
            }
            None => rows.push(row),
        }
    }
    rows
}

/// `1, 3–6, 9`.
fn ranges(numbers: &[usize]) -> String {
    let mut spans: Vec<(usize, usize)> = vec![];
    for &n in numbers {
        match spans.last_mut() {
            Some(last) if last.1 + 1 == n => last.1 = n,
            _ => spans.push((n, n)),
        }
    }
    let text = |&(a, b): &(usize, usize)| match b - a {
        0 => a.to_string(),
        1 => format!("{a}, {b}"),
        _ => format!("{a}–{b}"),
    };
    spans.iter().map(text).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    #[test]
    fn runs_of_numbers_are_spans() {
        assert_eq!(super::ranges(&[1, 3, 4, 5, 8, 9]), "1, 3–5, 8, 9");
    }
}
