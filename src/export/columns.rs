//! Text for a terminal: tables with columns as wide as their widest cell, and lines broken at spaces.

/// The side to which a column's cells are aligned.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Align {
    Left,
    Right,
}

/// Rows in columns two spaces apart, each line indented by two; a row of empty cells is a blank line.
pub fn columns(sides: &[Align], rows: &[Vec<String>]) -> String {
    let width = |c: usize| {
        let cells = rows.iter().filter_map(|r| r.get(c));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..sides.len()).map(width).collect();
    let mut out = String::new();
    for row in rows {
        let mut line = String::from(" ");
        for (c, cell) in row.iter().enumerate().take(sides.len()) {
            let pad = " ".repeat(widths[c].saturating_sub(cell.chars().count()));
            line.push(' ');
            if c > 0 {
                line.push(' ');
            }
            match sides[c] {
                Align::Left => line.extend([cell.as_str(), pad.as_str()]),
                Align::Right => line.extend([pad.as_str(), cell.as_str()]),
            }
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

/// Lines of at most `most` characters, broken at spaces; the first is indented by `indents[0]`, the others by `indents[1]`.
pub fn wrap(text: &str, most: usize, indents: [usize; 2]) -> Vec<String> {
    let mut lines = vec![" ".repeat(indents[0])];
    let mut bare = true;
    for word in text.split_whitespace() {
        let last = lines.len() - 1;
        if !bare && lines[last].chars().count() + 1 + word.chars().count() > most {
            lines.push(" ".repeat(indents[1]) + word);
            continue;
        }
        if !bare {
            lines[last].push(' ');
        }
        lines[last].push_str(word);
        bare = false;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces_and_hang() {
        assert_eq!(wrap("one two three", 9, [2, 4]), ["  one two", "    three"]);
        assert_eq!(wrap("one two", 7, [0, 0]), ["one two"]);
        assert_eq!(wrap("a-long-word b", 4, [0, 0]), ["a-long-word", "b"]);
        assert_eq!(wrap("", 4, [1, 0]), [" "]);
    }
}
