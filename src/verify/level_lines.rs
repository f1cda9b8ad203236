//! Stock left standing, row by row: exact stretches on level lines a small step apart.
//!
//! A line is blocked where it comes within a given reach of an edge (two discs and a rectangle, exactly) and inside given
//! areas. Free stretches of neighbouring lines that share an x belong to one piece. No offsets, no booleans.
//!
//! Every place is within half a step of a line. With every reach smaller by that ([`LevelLines::slack`]) than in a rule, a piece
//! that the rule calls one is never split here: a way through such a piece, moved onto the nearest line, stays clear of what
//! blocks that line, and where it goes from one line to the next both are free.

use crate::geometry::{Bounds, Point, Ring, Segment};

/// A stretch of a line: its first and last x.
pub(super) type Interval = (f64, f64);

/// Level lines over a sheet.
#[derive(Clone, Copy)]
pub(super) struct LevelLines {
    first: f64,
    step: f64,
    count: usize,
}

/// Most lines over a sheet: 12.5 m at the usual step.
const MOST_LINES: f64 = 1e5;

impl LevelLines {
    /// Lines over `bounds`, `step` mm apart, or farther if that would be too many.
    pub fn over(bounds: Bounds, step: f64) -> LevelLines {
        let step = step.max(bounds.height() / MOST_LINES);
        let count = (bounds.height() / step).ceil().clamp(1.0, MOST_LINES) as usize;
        LevelLines { first: bounds.min.y + step / 2.0, step, count }
    }

    /// Half the distance between lines, mm: every reach is reduced by it.
    pub fn slack(&self) -> f64 {
        self.step / 2.0
    }

    fn y(&self, line: usize) -> f64 {
        self.first + line as f64 * self.step
    }

    /// The line nearest to a height.
    fn nearest(&self, y: f64) -> usize {
        let line = ((y - self.first) / self.step).round();
        line.clamp(0.0, (self.count - 1) as f64) as usize
    }

    /// The lines from one height to another.
    fn between(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        let from = ((low - self.first) / self.step).ceil().max(0.0);
        let to = ((high - self.first) / self.step).floor() + 1.0;
        from as usize..(to.max(from) as usize).min(self.count)
    }
}

/// The covered parts of the lines: stretches within reach of edges, and insides of areas.
pub(super) struct Cover {
    lines: LevelLines,
    rows: Vec<Vec<Interval>>,
}

impl Cover {
    /// A cover of nothing yet.
    pub fn new(lines: LevelLines) -> Cover {
        Cover { lines, rows: vec![vec![]; lines.count] }
    }

    /// Adds everything within `reach` of a segment.
    pub fn near(&mut self, s: Segment, reach: f64) {
        let b = Bounds::of(&[s.a, s.b]).grown(reach);
        for line in self.lines.between(b.min.y, b.max.y) {
            let Some(stretch) = within(s, reach, self.lines.y(line)) else { continue };
            let row = &mut self.rows[line];
            if row.len() == row.capacity() && row.len() >= 64 {
                merge(row); // most of a curve's stretches overlap
            }
            row.push(stretch);
        }
    }

    /// Adds the inside of an area: the points that lie in an odd number of its rings.
    pub fn inside<'r>(&mut self, rings: impl Iterator<Item = &'r Ring>) {
        let rings: Vec<&Ring> = rings.collect();
        let bounds = rings.iter().map(|r| r.bounds()).reduce(Bounds::join);
        let Some(bounds) = bounds else { return };
        let lines = self.lines.between(bounds.min.y, bounds.max.y);
        let mut crossings: Vec<Vec<f64>> = vec![vec![]; lines.len()];
        for s in rings.iter().flat_map(|r| r.segments()) {
            let (low, high) = (s.a.y.min(s.b.y), s.a.y.max(s.b.y));
            for line in self.lines.between(low, high) {
                let y = self.lines.y(line);
                if (s.a.y > y) != (s.b.y > y) && lines.contains(&line) {
                    let at = s.a.x + (s.b.x - s.a.x) * ((y - s.a.y) / (s.b.y - s.a.y));
                    crossings[line - lines.start].push(at);
                }
            }
        }
        for (line, mut at) in lines.zip(crossings) {
            at.sort_by(f64::total_cmp);
            self.rows[line].extend(at.chunks_exact(2).map(|w| (w[0], w[1])));
        }
    }

    /// The covered stretches of each line, in order, none touching another.
    pub fn merged(mut self) -> Vec<Vec<Interval>> {
        self.rows.iter_mut().for_each(merge);
        self.rows
    }
}

/// Puts stretches in order and joins those that touch.
fn merge(row: &mut Vec<Interval>) {
    row.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut kept: Vec<Interval> = Vec::with_capacity(row.len());
    for &(from, to) in row.iter() {
        match kept.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => kept.push((from, to)),
        }
    }
    *row = kept;
}

/// The stretch of the line at `y` within `reach` of a segment; there is only one, since both are convex.
fn within(s: Segment, reach: f64, y: f64) -> Option<Interval> {
    let mut hull: Option<Interval> = None;
    let mut add = |from: f64, to: f64| {
        hull = Some(hull.map_or((from, to), |(a, b)| (a.min(from), b.max(to))));
    };
    for end in [s.a, s.b] {
        let half = reach * reach - (y - end.y) * (y - end.y);
        if half >= 0.0 {
            add(end.x - half.sqrt(), end.x + half.sqrt());
        }
    }
    if let Some(side) = s.direction().map(|d| Point { x: -d.y * reach, y: d.x * reach }) {
        // The long sides of the rectangle between the discs.
        for side in [side, Point { x: -side.x, y: -side.y }] {
            let (a, b) = (s.a + side, s.b + side);
            if (a.y > y) != (b.y > y) {
                let x = a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y));
                add(x, x);
            }
        }
    }
    hull
}

/// `all` less `taken`, both in order.
pub(super) fn less(all: &[Interval], taken: &[Interval]) -> Vec<Interval> {
    let (mut left, mut next) = (vec![], 0);
    for &(from, to) in all {
        let mut from = from;
        while taken.get(next).is_some_and(|t| t.1 <= from) {
            next += 1;
        }
        for t in taken[next..].iter().take_while(|t| t.0 < to) {
            if t.0 > from {
                left.push((from, t.0));
            }
            from = from.max(t.1);
        }
        if from < to {
            left.push((from, to));
        }
    }
    left
}

/// Pieces of stock.
pub(super) struct Pieces {
    lines: LevelLines,
    /// The free stretches of each line with their piece.
    rows: Vec<Vec<(Interval, usize)>>,
    /// Areas, mm².
    pub areas: Vec<f64>,
    /// One place on each piece.
    pub places: Vec<Point>,
}

impl Pieces {
    /// The pieces formed by the free stretches of each line.
    pub fn of(lines: LevelLines, free: Vec<Vec<Interval>>) -> Pieces {
        let mut sets = Sets::default();
        let mut rows: Vec<Vec<(Interval, usize)>> = Vec::with_capacity(free.len());
        for row in free {
            let row: Vec<(Interval, usize)> = row.into_iter().map(|s| (s, sets.one())).collect();
            let mut next = 0;
            let above = rows.last().map_or(&[][..], Vec::as_slice);
            for (s, set) in &row {
                while above.get(next).is_some_and(|a| a.0.1 < s.0) {
                    next += 1;
                }
                for a in above[next..].iter().take_while(|a| a.0.0 <= s.1) {
                    sets.join(a.1, *set);
                }
            }
            rows.push(row);
        }
        let mut pieces = Pieces { lines, rows, areas: vec![], places: vec![] };
        pieces.number(&mut sets);
        pieces
    }

    /// Numbers the pieces in the order of the lines; notes their areas and places.
    fn number(&mut self, sets: &mut Sets) {
        let mut numbers: Vec<Option<usize>> = vec![None; sets.0.len()];
        let mut widest: Vec<f64> = vec![];
        for (line, row) in self.rows.iter_mut().enumerate() {
            for ((from, to), piece) in row {
                let set = sets.find(*piece);
                let number = *numbers[set].get_or_insert_with(|| {
                    self.areas.push(0.0);
                    self.places.push(Point::default());
                    widest.push(-1.0);
                    widest.len() - 1
                });
                *piece = number;
                let width = *to - *from;
                self.areas[number] += width * self.lines.step;
                if width > widest[number] {
                    widest[number] = width;
                    self.places[number] = Point { x: (*from + *to) / 2.0, y: self.lines.y(line) };
                }
            }
        }
    }

    /// The piece that contains a place.
    pub fn at(&self, p: Point) -> Option<usize> {
        let row = &self.rows[self.lines.nearest(p.y)];
        row.iter().find(|((from, to), _)| (*from..=*to).contains(&p.x)).map(|(_, piece)| *piece)
    }

    /// The pieces that the given stretches of each line touch, one entry for each contact.
    pub fn touched<'a>(&'a self, rows: &'a [Vec<Interval>]) -> impl Iterator<Item = usize> + 'a {
        let meet = |a: Interval, b: Interval| a.0 <= b.1 && b.0 <= a.1;
        self.rows.iter().zip(rows).flat_map(move |(free, row)| {
            row.iter().flat_map(move |s| {
                free.iter().filter(move |(f, _)| meet(*f, *s)).map(|(_, piece)| *piece)
            })
        })
    }
}

/// Disjoint sets, merged as they are found to be one (Galler and Fischer, Comm. ACM 7, 1964).
#[derive(Default)]
struct Sets(Vec<usize>);

impl Sets {
    fn one(&mut self) -> usize {
        self.0.push(self.0.len());
        self.0.len() - 1
    }

    fn find(&mut self, mut i: usize) -> usize {
        while self.0[i] != i {
            self.0[i] = self.0[self.0[i]];
            i = self.0[i];
        }
        i
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.0[a.max(b)] = a.min(b);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point;

    fn cover(lines: LevelLines, f: impl FnOnce(&mut Cover)) -> Vec<Vec<Interval>> {
        let mut cover = Cover::new(lines);
        f(&mut cover);
        cover.merged()
    }

    /// By hand: two rectangles of 10 x 6 mm, 2 mm apart, then joined by a bar of 2 x 1 mm.
    #[test]
    fn pieces_of_rectangles() {
        let lines = LevelLines::over(Bounds::of(&[point(0.0, 0.0), point(22.0, 6.0)]), 0.125);
        let (left, right) =
            (Ring::rectangle(10.0, 6.0), Ring::rectangle(10.0, 6.0).moved(point(12.0, 0.0)));
        let bar = Ring::rectangle(4.0, 1.0).moved(point(9.0, 2.0));
        let of = |rings: &[&Ring]| {
            cover(lines, |c| rings.iter().for_each(|r| c.inside(std::iter::once(*r))))
        };
        let two = of(&[&left, &right]);
        let pieces = Pieces::of(lines, two.clone());
        assert_eq!(pieces.areas, [60.0, 60.0]);
        assert_eq!(pieces.at(point(5.0, 3.0)), Some(0));
        assert_eq!(pieces.at(point(11.0, 2.5)), None);
        let one = of(&[&left, &right, &bar]);
        assert_eq!(Pieces::of(lines, one.clone()).areas, [122.0]);
        let less: Vec<Vec<Interval>> =
            one.iter().zip(&two).map(|(a, b)| super::less(a, b)).collect();
        assert_eq!(Pieces::of(lines, less).areas, [2.0]);
    }

    /// Steiner's formula: the stock within 3 mm of a segment 10 mm long is 2 r l + pi r² at any slope.
    #[test]
    fn what_is_near_a_segment_has_steiners_area() {
        for turn in [0.0, 30.0, 90.0, 123.0f64] {
            let (sin, cos) = turn.to_radians().sin_cos();
            let s = Segment::new(point(20.0, 20.0), point(20.0 + 10.0 * cos, 20.0 + 10.0 * sin));
            let lines = LevelLines::over(Bounds::of(&[point(0.0, 0.0), point(40.0, 40.0)]), 0.01);
            let near = cover(lines, |c| c.near(s, 3.0));
            let area: f64 = Pieces::of(lines, near).areas.iter().sum();
            let exact = 60.0 + 9.0 * std::f64::consts::PI;
            assert!((area - exact).abs() < 0.02, "{turn} degrees: {area}, not {exact}");
        }
    }
}
