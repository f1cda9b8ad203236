//! The job file, with lengths written in every way it allows.

use super::chance::Chance;
use super::parts::bounds;
use super::{Grain, KeepClear, Part, RandomJob, Stock};

const INCH: f64 = 25.4;

pub fn job_file(job: &RandomJob, chance: &mut Chance) -> String {
    let mut t = Text { inches: job.inches, out: String::new() };
    t.line(&format!("title = \"Random job {}\"", job.seed));
    t.line(&format!("units = \"{}\"", if job.inches { "in" } else { "mm" }));
    if let Some(web) = job.web {
        t.length("web", web, chance);
    }
    t.line(
        "\n[marks]\npocket = { stroke = \"#1f6f8b\" }\ndrill = { stroke = \"#b5432e\" }\n\
         engraving = { group = \"engrave\" }",
    );
    for bit in &job.bits {
        t.line(&format!("\n[[bit]]\nname = \"{}\"", bit.name));
        t.length("diameter", bit.diameter, chance);
        if let Some(spiral) = bit.spiral {
            t.line(&format!("spiral = \"{spiral}\""));
        }
        if let Some(material) = bit.material {
            t.line(&format!("materials = [\"{material}\"]"));
        }
    }
    // Every fourth job lets parts hang on parts.
    if job.seed % 4 == 3 {
        t.line("\n[holding]\nhang = \"parts\"");
    }
    job.stocks.iter().for_each(|s| t.stock(s, chance));
    let mut drawn: Vec<&str> = vec![];
    for part in &job.parts {
        if !drawn.contains(&part.drawing.as_str()) {
            drawn.push(&part.drawing);
            let (file, material) = (&part.drawing, part.material.name);
            t.line(&format!("\n[[drawing]]\nfile = \"{file}\"\nmaterial = \"{material}\""));
            t.length("thickness", part.thickness, chance);
        }
    }
    job.parts.iter().for_each(|p| t.part(p, chance));
    t.out
}

struct Text {
    inches: bool,
    out: String,
}

impl Text {
    fn line(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    /// A length: bare in the job's units, or with its unit.
    fn written(&self, mm: f64, chance: &mut Chance) -> String {
        match chance.whole(0, 2) {
            0 if self.inches => format!("{}", mm / INCH),
            0 => format!("{mm}"),
            1 => format!("\"{}in\"", mm / INCH),
            _ => format!("\"{mm}mm\""),
        }
    }

    fn length(&mut self, key: &str, mm: f64, chance: &mut Chance) {
        let written = self.written(mm, chance);
        self.line(&format!("{key} = {written}"));
    }

    fn stock(&mut self, stock: &Stock, chance: &mut Chance) {
        let (name, material) = (&stock.name, stock.material.name);
        self.line(&format!("\n[[stock]]\nname = \"{name}\"\nmaterial = \"{material}\""));
        self.length("thickness", stock.thickness, chance);
        let (_, high) = bounds(&stock.outline);
        match &stock.file {
            Some(file) => self.line(&format!("outline = \"{file}\"")),
            None => self.line(&format!("size = \"{}x{}mm\"", high[0], high[1])),
        }
        if stock.open_length {
            self.line("open-length = true");
        }
        match stock.grain_deg {
            0.0 => {}
            90.0 => self.line("grain = \"y\""),
            degrees => self.line(&format!("grain = {degrees}")),
        }
        if let Some(margin) = stock.margin {
            self.length("margin", margin, chance);
        }
        if let Some(quantity) = stock.quantity {
            self.line(&format!("quantity = {quantity}"));
        }
        let areas: Vec<String> =
            stock.keep_clear.iter().filter_map(|k| self.keep_clear(k, chance)).collect();
        if !areas.is_empty() {
            self.line(&format!("keep-clear = [{}]", areas.join(", ")));
        }
    }

    fn keep_clear(&self, area: &KeepClear, chance: &mut Chance) -> Option<String> {
        let mut l = |mm| self.written(mm, chance);
        match *area {
            KeepClear::Circle([x, y], r) => {
                Some(format!("{{ x = {}, y = {}, radius = {} }}", l(x), l(y), l(r)))
            }
            KeepClear::Rectangle([x, y], [w, h]) => Some(format!(
                "{{ x = {}, y = {}, width = {}, height = {} }}",
                l(x),
                l(y),
                l(w),
                l(h)
            )),
            KeepClear::Drawn(_) => None,
        }
    }

    fn part(&mut self, part: &Part, chance: &mut Chance) {
        let before = self.out.len();
        self.line(&format!("\n[[part]]\nname = \"{}\"", part.name));
        let head = self.out.len();
        if part.quantity != part.drawn {
            self.line(&format!("quantity = {}", part.quantity));
        }
        if part.spares > 0 {
            self.line(&format!("spares = {}", part.spares));
        }
        match part.grain {
            Grain::Strong => {}
            Grain::Any => self.line("grain = \"any\""),
            Grain::Along(0.0) => self.line("grain = \"x\""),
            Grain::Along(90.0) => self.line("grain = \"y\""),
            Grain::Along(degrees) => self.line(&format!("grain = {degrees}")),
        }
        if part.tolerance_deg > 0.0 {
            self.line(&format!("grain-tolerance = {}", part.tolerance_deg));
        }
        if part.mirror {
            self.line("mirror = true");
        }
        if let Some(side) = part.tab_free.first() {
            self.line(&format!("tab-free = [\"{side}\"]"));
        }
        if let Some(pin) = part.pin {
            let (x, y) = (self.written(pin.at[0], chance), self.written(pin.at[1], chance));
            let turn = pin.turn_deg;
            self.line(&format!("pin = [{{ x = {x}, y = {y}, turn = {turn} }}]"));
        }
        if self.out.len() == head {
            self.out.truncate(before);
        }
    }
}
