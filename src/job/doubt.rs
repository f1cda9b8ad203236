//! Values in a job file that were probably not meant: questioned before anything is computed.
//!
//! Bounds are common practice on desktop routers, no source, unless a line says otherwise. Each value has a usual range,
//! outside of which the user is told, and a wider possible range, outside of which it is refused: no machine, bit or board
//! on sale is like that. A bare number in a job without `units`, whose drawings are in mm, is read as mm; where it would be
//! usual in inches and is not in mm, it is refused until the job says which.

use super::file::{BitTable, DrawingTable, JobFile, PartTable, StockTable};
use super::length::Length;
use super::stock::name_of;
use crate::layout::{Subject, Winding};
use crate::units::Units;

/// How serious a doubt is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grade {
    /// It may be meant: the user is told, and the job goes on.
    Told,
    /// It cannot be meant, or its meaning is unknown: the job stops.
    Refused,
}

/// A value that was probably not meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Whose value it is.
    pub of: Subject,
    /// The key of the job file.
    pub key: &'static str,
    /// What is odd about it.
    pub odd: Odd,
    /// How serious it is.
    pub grade: Grade,
}

/// What is odd about a value.
#[derive(Debug, Clone, PartialEq)]
pub enum Odd {
    /// A bare number, far too small for mm, in a job without `units` whose drawings are in mm.
    Inches {
        /// As written.
        written: String,
    },
    /// A value far from what is usual.
    Unusual {
        /// The value.
        value: Quantity,
        /// Least and greatest usual value.
        usual: (Quantity, Quantity),
    },
    /// The bit's name says which way its flutes wind; the job does not, or says another.
    NameSpiral {
        /// What the name says.
        says: Winding,
        /// What the job says.
        given: Option<Winding>,
    },
    /// The bit's name says compression, for which `spiral` has no word.
    Compression,
    /// The bit's name says another diameter, mm.
    NameDiameter {
        /// What the name says, mm.
        says: f64,
        /// What the job says, mm.
        given: f64,
    },
    /// The bit's name says another number of flutes.
    NameFlutes {
        /// What the name says.
        says: u32,
        /// What the job says.
        given: Option<u32>,
    },
    /// Two tables have the same name: which of them is meant?
    Repeated,
    /// Two tables give one drawing the same material and thickness.
    DrawnTwice,
    /// Two tables of one drawing read it at different scales.
    ScaledTwice,
}

/// A value with its kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Quantity {
    /// mm.
    Length(f64),
    /// mm/min.
    Feed(f64),
    /// mm a tooth.
    Chip(f64),
    /// Turns a minute.
    Rpm(f64),
}

/// The usual range and the possible range; `inches` is the greatest bare number that is read as inches.
struct Span {
    usual: (f64, f64),
    exists: (f64, f64),
    inches: f64,
}

/// The greatest bare diameter that is read as inches: no bit of 1/2 mm and less is common, and 1/2 in is the widest that is.
pub const INCHES_OF_BIT: f64 = 0.5;
/// Bits on sale begin at 0.1 mm; shanks of desktop spindles end at 1/2 in, and no bit wider than 1 in cuts outlines.
const DIAMETER: Span = Span { usual: (0.3, 12.7), exists: (0.1, 25.4), inches: INCHES_OF_BIT };
/// Veneer is 0.5 mm; in inches sheets are 1/16 to 3/4, and no sheet of 1 mm and less is common but veneer. The cutting edges of
/// router bits end at 2 to 3 in: a thickness of 3 in an inch job is 3 mm.
const THICKNESS: Span = Span { usual: (0.3, 50.0), exists: (0.1, 75.0), inches: 0.999 };
/// The longer side. Panels are 8 ft (2,440 mm) to 12 ft long, boards up to 20 ft; a sheet under 100 in is the rule in inches.
const LONG_SIDE: Span = Span { usual: (30.0, 6_100.0), exists: (5.0, 15_000.0), inches: 99.0 };
/// The shorter side. Panels are 4 or 5 ft wide.
const SHORT_SIDE: Span = Span { usual: (10.0, 1_600.0), exists: (2.0, 3_300.0), inches: 0.0 };
/// Desktop routers feed 500 to 5,000 mm/min and move at 10,000; large ones feed up to 25,000. Feeds in in/min are 10 to 200; 1,500
/// in an inch job are mm/min.
const FEED: Span = Span { usual: (100.0, 12_000.0), exists: (5.0, 30_000.0), inches: 250.0 };
/// Trim routers turn 10,000 to 35,000 a minute, spindles 5,000 to 40,000, the fastest 100,000.
const RPM: Span = Span { usual: (5_000.0, 40_000.0), exists: (500.0, 100_000.0), inches: 0.0 };
/// The last pass is 0.2 to 1.5 mm; the whole of a 1/2 in board at once is no pass.
const LAST_PASS: Span = Span { usual: (0.05, 3.0), exists: (0.01, 12.7), inches: 0.0 };
/// A web is 1 to 10 mm; one of 4 in is a board.
const WEB: Span = Span { usual: (0.0, 25.4), exists: (0.0, 101.6), inches: 0.0 };

/// Depth of a pass over the bit's diameter: half to once is common, twice in soft stock; the edges end at about five times.
const PASS: ((f64, f64), (f64, f64)) = ((0.02, 2.0), (0.005, 5.0));
/// Feed per tooth over the diameter: 0.5 to 3 % is common, up to 10 % in foam and softwood; past a quarter the bit breaks.
const CHIP: ((f64, f64), (f64, f64)) = ((0.0005, 0.1), (0.0, 0.25));

/// How far a diameter in a bit's name may be from the one given: 3.2 mm is called 1/8 in.
const SAME_DIAMETER: f64 = 0.03;

/// Everything in the file that was probably not meant, in the file's order. Text that is not a length is left to
/// [`build`](super::build).
pub fn question(file: &JobFile) -> Vec<Doubt> {
    let guessed = file.units.is_none() && file.drawn_units == Some(Units::Mm);
    let mut asked = Question { units: file.known_units(), guessed, doubts: vec![] };
    if let Some(web) = &file.web {
        asked.length(&Subject::Job, "web", web, &WEB);
    }
    if let Some(pass) = &file.holding.last_pass {
        asked.length(&Subject::Job, "last-pass", pass, &LAST_PASS);
    }
    file.bits.iter().for_each(|b| asked.bit(b));
    file.stock.iter().for_each(|s| asked.stock(s, &name_of(s, &file.stock)));
    for drawing in &file.drawings {
        let of = Subject::Drawing(drawing.file.clone());
        asked.length(&of, "thickness", &drawing.thickness, &THICKNESS);
    }
    asked.repeats(file);
    asked.doubts
}

struct Question {
    /// The unit of bare numbers; `None` if nothing says it, which is a fault of its own.
    units: Option<Units>,
    /// Whether bare numbers are mm only because the drawings are.
    guessed: bool,
    doubts: Vec<Doubt>,
}

impl Question {
    fn doubt(&mut self, of: &Subject, key: &'static str, grade: Grade, odd: Odd) {
        self.doubts.push(Doubt { of: of.clone(), key, odd, grade });
    }

    fn mm(&self, length: &Length) -> Option<f64> {
        let units = self.units.or((!length.is_bare()).then_some(Units::Mm))?;
        length.mm(units).ok().filter(|mm| *mm > 0.0)
    }

    fn length(&mut self, of: &Subject, key: &'static str, length: &Length, span: &Span) {
        let Some(mm) = self.mm(length) else { return };
        if self.guessed && length.is_bare() && mm <= span.inches {
            let written = length.written();
            return self.doubt(of, key, Grade::Refused, Odd::Inches { written });
        }
        self.span(of, key, mm, span, Quantity::Length);
    }

    fn span(
        &mut self,
        of: &Subject,
        key: &'static str,
        value: f64,
        span: &Span,
        quantity: fn(f64) -> Quantity,
    ) {
        self.within(of, key, (value, 1.0), (span.usual, span.exists), quantity);
    }

    /// Checks a value, in multiples of its measure, against the usual and the possible range.
    fn within(
        &mut self,
        of: &Subject,
        key: &'static str,
        (value, measure): (f64, f64),
        (usual, exists): ((f64, f64), (f64, f64)),
        quantity: fn(f64) -> Quantity,
    ) {
        let outside =
            |(low, high): (f64, f64)| value < low * measure - 1e-9 || value > high * measure + 1e-9;
        let grade = match (outside(exists), outside(usual)) {
            (true, _) => Grade::Refused,
            (false, true) => Grade::Told,
            (false, false) => return,
        };
        let usual = (quantity(usual.0 * measure), quantity(usual.1 * measure));
        self.doubt(of, key, grade, Odd::Unusual { value: quantity(value), usual });
    }

    fn bit(&mut self, table: &BitTable) {
        let of = Subject::Bit(table.name.clone());
        self.length(&of, "diameter", &table.diameter, &DIAMETER);
        self.name(&of, table);
        if let Some(rpm) = table.rpm.filter(|r| *r > 0.0) {
            self.span(&of, "rpm", rpm, &RPM, Quantity::Rpm);
        }
        let diameter = self.mm(&table.diameter);
        if let (Some(d), Some(pass)) =
            (diameter, table.pass_depth.as_ref().and_then(|p| self.mm(p)))
        {
            self.within(&of, "pass-depth", (pass, d), PASS, Quantity::Length);
        }
        let Some(written) = &table.feed else { return };
        let Some(feed) = written.a_minute().and_then(|l| self.mm(&l)) else { return };
        if self.guessed && written.is_bare() && feed <= FEED.inches {
            let written = written.written();
            return self.doubt(&of, "feed", Grade::Refused, Odd::Inches { written });
        }
        let before = self.doubts.len();
        self.span(&of, "feed", feed, &FEED, Quantity::Feed);
        let turning = table.rpm.unwrap_or(18_000.0) * f64::from(table.flutes.unwrap_or(2));
        // A feed that was doubted is not doubted twice.
        if let (Some(d), true, true) = (diameter, turning > 0.0, self.doubts.len() == before) {
            self.within(&of, "feed", (feed / turning, d), CHIP, Quantity::Chip);
        }
    }

    /// Compares what the bit's name says with what its keys say.
    fn name(&mut self, of: &Subject, table: &BitTable) {
        let given = match table.spiral.as_deref() {
            Some("up") => Some(Winding::Up),
            Some("down") => Some(Winding::Down),
            Some("straight") => Some(Winding::Straight),
            _ => None,
        };
        let says = spiral_in(&table.name);
        if is_compression(&table.name) {
            // Its tip lifts, and the last pass is cut by the tip.
            if given != Some(Winding::Up) {
                self.doubt(of, "spiral", Grade::Refused, Odd::Compression);
            }
        } else if let Some(says) = says.filter(|s| given != Some(*s)) {
            self.doubt(of, "spiral", Grade::Refused, Odd::NameSpiral { says, given });
        }
        if let Some(says) = flutes_in(&table.name).filter(|n| *n != table.flutes.unwrap_or(2)) {
            let grade = if table.flutes.is_some() { Grade::Told } else { Grade::Refused };
            self.doubt(of, "flutes", grade, Odd::NameFlutes { says, given: table.flutes });
        }
        let Some(given) = self.mm(&table.diameter) else { return };
        let named = diameters_in(&table.name);
        let same = |d: &f64| (d - given).abs() <= SAME_DIAMETER * given;
        if let (Some(&says), false) = (named.first(), named.iter().any(same)) {
            self.doubt(of, "diameter", Grade::Told, Odd::NameDiameter { says, given });
        }
    }

    fn stock(&mut self, table: &StockTable, name: &str) {
        let of = Subject::Stock(name.into());
        self.length(&of, "thickness", &table.thickness, &THICKNESS);
        let Some(size) = &table.size else { return };
        let units = self.units.or((!size.is_bare()).then_some(Units::Mm));
        let Some(Ok((x, y))) = units.map(|units| size.mm(units)) else { return };
        let (long, short) = (x.max(y), x.min(y));
        if short <= 0.0 {
            return;
        }
        if self.guessed && size.is_bare() && long <= LONG_SIDE.inches {
            let written = size.0.clone();
            return self.doubt(&of, "size", Grade::Refused, Odd::Inches { written });
        }
        let before = self.doubts.len();
        self.span(&of, "size", long, &LONG_SIDE, Quantity::Length);
        if self.doubts.len() == before {
            self.span(&of, "size", short, &SHORT_SIDE, Quantity::Length);
        }
    }

    /// Reports tables with the same name, of which only the first would be used.
    fn repeats(&mut self, file: &JobFile) {
        let bits = file.bits.iter().map(|b| Subject::Bit(b.name.clone()));
        self.repeated("[[bit]]", bits);
        let stock = file.stock.iter().map(|s| Subject::Stock(name_of(s, &file.stock)));
        self.repeated("[[stock]]", stock);
        let named = |p: &PartTable| match &p.drawing {
            Some(drawing) => format!("{} of {drawing}", p.name),
            None => p.name.clone(),
        };
        self.repeated("[[part]]", file.parts.iter().map(|p| Subject::Part(named(p))));
        let forces = file.cutting_force.iter().map(|f| Subject::Material(f.material.clone()));
        self.repeated("[[cutting-force]]", forces);
        let materials = file.materials.iter().map(|m| Subject::Material(m.name.clone()));
        self.repeated("[[material]]", materials);
        // The same file, however it is written.
        let plain =
            |file: &str| file.split('/').filter(|s| *s != ".").collect::<Vec<_>>().join("/");
        for (i, drawing) in file.drawings.iter().enumerate() {
            let same = |d: &&DrawingTable| {
                (plain(&d.file), &d.material, &d.thickness)
                    == (plain(&drawing.file), &drawing.material, &drawing.thickness)
            };
            if file.drawings[..i].iter().any(|d| same(&d)) {
                let of = Subject::Drawing(drawing.file.clone());
                self.doubt(&of, "[[drawing]]", Grade::Refused, Odd::DrawnTwice);
            }
            let differs = |d: &&DrawingTable| {
                d.file == drawing.file && (d.dpi, d.scale) != (drawing.dpi, drawing.scale)
            };
            if file.drawings[..i].iter().any(|d| differs(&d)) {
                let of = Subject::Drawing(drawing.file.clone());
                self.doubt(&of, "scale", Grade::Refused, Odd::ScaledTwice);
            }
        }
    }

    fn repeated(&mut self, key: &'static str, names: impl Iterator<Item = Subject>) {
        let names: Vec<Subject> = names.collect();
        for (i, of) in names.iter().enumerate() {
            let before = names[..i].iter().filter(|n| *n == of).count();
            if before == 1 {
                self.doubt(of, key, Grade::Refused, Odd::Repeated);
            }
        }
    }
}

/// Lower case, without spaces and hyphens.
fn folded(name: &str) -> String {
    name.to_lowercase().replace([' ', '-', '_'], "")
}

fn is_compression(name: &str) -> bool {
    let name = folded(name);
    name.contains("compression") || name.contains("updown")
}

/// Which way a bit's name says its flutes wind.
fn spiral_in(name: &str) -> Option<Winding> {
    let name = folded(name);
    let says = |words: [&str; 3]| words.iter().any(|w| name.contains(w));
    match (
        says(["upcut", "upspiral", "upshear"]),
        says(["downcut", "downspiral", "downshear"]),
        name.contains("straight") && !name.contains("straightshank"),
    ) {
        (true, false, false) => Some(Winding::Up),
        (false, true, false) => Some(Winding::Down),
        (false, false, true) => Some(Winding::Straight),
        _ => None,
    }
}

/// The words of a bit's name, split at spaces, commas and hyphens.
fn words(name: &str) -> Vec<String> {
    let apart = |c: char| c.is_whitespace() || matches!(c, ',' | '-' | '_' | '(' | ')');
    name.to_lowercase().split(apart).filter(|w| !w.is_empty()).map(str::to_string).collect()
}

/// The number of flutes that a bit's name gives: `single flute`, `2 flutes`, `three-flute`.
fn flutes_in(name: &str) -> Option<u32> {
    let words = words(name);
    let at = words.iter().position(|w| w.starts_with("flute"))?;
    match words.get(at.checked_sub(1)?)?.as_str() {
        "single" | "one" => Some(1),
        "two" | "double" => Some(2),
        "three" => Some(3),
        "four" => Some(4),
        word => word.parse().ok().filter(|n| (1..=12).contains(n)),
    }
}

/// The diameters that a bit's name gives, mm: `1/8`, `1/8in`, `3 mm`, `0.8mm`, `0.25 in`.
fn diameters_in(name: &str) -> Vec<f64> {
    let words = words(name);
    let next = |i: usize| words.get(i + 1).map_or("", String::as_str);
    let of = |(i, word): (usize, &String)| {
        let number = word.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        let unit = ["mm", "in", "inch", "\""].contains(&next(i));
        let has_unit = ["mm", "in", "inch", "\""].iter().any(|u| word.ends_with(u));
        let text = match (number, unit, has_unit || word.contains('/')) {
            (true, true, _) => format!("{word}{}", next(i)),
            (true, false, true) => word.clone(),
            _ => return None,
        };
        crate::units::parse_length(&text, Units::In).ok().filter(|mm| *mm > 0.0)
    };
    words.iter().enumerate().filter_map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_bits_are_called() {
        assert_eq!(spiral_in("1/8 upcut"), Some(Winding::Up));
        assert_eq!(spiral_in("down-cut 1/16"), Some(Winding::Down));
        assert_eq!(spiral_in("1/16 in Down-spiral"), Some(Winding::Down));
        assert_eq!(spiral_in("1/4 two flute"), None);
        assert_eq!(spiral_in("1/4 with straight shank"), None);
        assert!(is_compression("1/4 Compression") && is_compression("up-down 6 mm"));
        assert_eq!(flutes_in("1/8 in single flute"), Some(1));
        assert_eq!(flutes_in("3-flute 6 mm"), Some(3));
        assert_eq!(flutes_in("fluted"), None);
        // 1/16 in = 1.5875 mm, 1/8 in = 3.175 mm.
        assert_eq!(diameters_in("down-cut 1/16, 1/8 in shank"), vec![1.5875, 3.175]);
        assert_eq!(diameters_in("3mm 2-flute"), vec![3.0]);
        assert_eq!(diameters_in("0.8 mm"), vec![0.8]);
        assert_eq!(diameters_in("no. 60 V-bit 90 degrees"), Vec::<f64>::new());
    }
}
