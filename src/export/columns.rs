//! Tables of text: columns as wide as their widest cell.

/// Which side a column's cells stand at.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Align {
    Left,
    Right,
}

/// Rows set in columns two spaces apart, each line indented by two; a row of empty cells is a blank line.
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
