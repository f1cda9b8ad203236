//! layout.json as plain geometry, read key by key.

use geo::{Coord, LineString, Point, Polygon};
use serde_json::Value;

pub struct Layout {
    pub sheets: Vec<Sheet>,
    /// Part and copy.
    pub unplaced: Vec<(String, u64)>,
    pub warned: bool,
    /// Whether the layout says that a part or a tab hangs on stock that comes loose, or that nothing clamps a sheet.
    pub loose: bool,
    pub waste: f64,
    pub placed: u64,
}

pub struct Sheet {
    pub id: String,
    pub stock: String,
    pub material: String,
    pub thickness: f64,
    pub outline: Polygon,
    pub keep_clear: Vec<Polygon>,
    pub margin: f64,
    /// Whether tape lies under the whole sheet.
    pub taped: bool,
    pub grain_deg: f64,
    pub open_length: bool,
    pub bit: String,
    pub diameter: f64,
    pub gap: f64,
    pub last_pass: f64,
    pub sheet_area: f64,
    pub part_area: f64,
    pub waste: f64,
    pub remnants: Vec<Polygon>,
    pub cleared: Vec<Polygon>,
    pub parts: Vec<Placed>,
}

pub struct Placed {
    /// Name and copy, for messages.
    pub name: String,
    pub part: String,
    pub copy: u64,
    pub spare: bool,
    pub at: [f64; 2],
    pub turn_deg: f64,
    pub mirrored: bool,
    pub shape: Polygon,
    /// Kind and closed edges.
    pub features: Vec<(String, Vec<LineString>)>,
    pub method: String,
    pub safety: f64,
    pub last_pass: f64,
    pub skin: Option<f64>,
    pub tabs: Vec<Tab>,
}

#[derive(Clone)]
pub struct Tab {
    pub at: Point,
    pub out: Point,
    pub width: f64,
    pub height: f64,
    pub ring: usize,
    /// Whether it keeps waste and does not hold its part.
    pub waste: bool,
}

impl Tab {
    /// The rectangle as wide as the tab between two distances from the part's edge.
    pub fn strip(&self, from: f64, to: f64) -> Polygon {
        let side = Point::new(-self.out.y(), self.out.x()) * (self.width / 2.0);
        let (near, far) = (self.at + self.out * from, self.at + self.out * to);
        Polygon::new(line(&[near - side, far - side, far + side, near + side], true), vec![])
    }
}

fn line(points: &[Point], closed: bool) -> LineString {
    let first = closed.then(|| points.first().copied()).flatten();
    points.iter().copied().chain(first).map(Coord::from).collect()
}

type Read<T> = Result<T, String>;

fn get<'a>(v: &'a Value, key: &str) -> Read<&'a Value> {
    v.get(key)
        .ok_or_else(|| format!("no {key} in {}", &v.to_string()[..60.min(v.to_string().len())]))
}

fn number(v: &Value, key: &str) -> Read<f64> {
    get(v, key)?.as_f64().filter(|n| n.is_finite()).ok_or_else(|| format!("{key} is no number"))
}

fn text(v: &Value, key: &str) -> Read<String> {
    Ok(get(v, key)?.as_str().ok_or_else(|| format!("{key} is no text"))?.to_string())
}

fn flag(v: &Value, key: &str) -> Read<bool> {
    get(v, key)?.as_bool().ok_or_else(|| format!("{key} is neither true nor false"))
}

fn list<'a>(v: &'a Value, key: &str) -> Read<&'a Vec<Value>> {
    get(v, key)?.as_array().ok_or_else(|| format!("{key} is no list"))
}

fn xy(v: &Value) -> Read<Point> {
    match v.as_array().map(Vec::as_slice) {
        Some([x, y]) => match (x.as_f64(), y.as_f64()) {
            (Some(x), Some(y)) if x.is_finite() && y.is_finite() => Ok(Point::new(x, y)),
            _ => Err(format!("{v} is no point")),
        },
        _ => Err(format!("{v} is no point")),
    }
}

fn ring(v: &Value) -> Read<LineString> {
    let points: Vec<Point> =
        v.as_array().ok_or("a ring is no list")?.iter().map(xy).collect::<Read<_>>()?;
    if points.len() < 3 {
        return Err("a ring of fewer than 3 points".into());
    }
    Ok(line(&points, true))
}

fn rings(v: &Value, key: &str) -> Read<Vec<LineString>> {
    list(v, key)?.iter().map(ring).collect()
}

fn plain(ring: LineString) -> Polygon {
    Polygon::new(ring, vec![])
}

pub fn layout(file: &str) -> Read<Layout> {
    let v: Value = serde_json::from_str(file).map_err(|e| e.to_string())?;
    let unplaced = list(&v, "unplaced")?.iter().map(|u| {
        let copy = get(u, "copy")?.as_u64().ok_or("an unplaced copy has no number")?;
        Ok((text(u, "part")?, copy))
    });
    Ok(Layout {
        sheets: list(&v, "sheets")?.iter().map(sheet).collect::<Read<_>>()?,
        unplaced: unplaced.collect::<Read<_>>()?,
        warned: !list(&v, "warnings")?.is_empty(),
        loose: v["faults"].as_array().into_iter().flatten().any(|f| {
            let kind = f["kind"].as_str().unwrap_or("");
            ["no-anchor", "chain", "loose", "no-clamp"].contains(&kind)
        }),
        waste: number(&v, "waste_percent")?,
        placed: get(&v, "parts_placed")?.as_u64().ok_or("parts_placed is no count")?,
    })
}

fn sheet(v: &Value) -> Read<Sheet> {
    let bit = get(v, "bit")?;
    let remnants = list(v, "remnants")?.iter().map(|r| ring(get(r, "outline")?));
    Ok(Sheet {
        id: text(v, "id")?,
        stock: text(v, "stock")?,
        material: text(v, "material")?,
        thickness: number(v, "thickness")?,
        outline: plain(ring(get(v, "outline")?)?),
        keep_clear: rings(v, "keep_clear")?.into_iter().map(plain).collect(),
        margin: number(v, "margin")?,
        taped: v.get("hold_down").and_then(Value::as_str) == Some("tape"),
        grain_deg: number(v, "grain_deg")?,
        open_length: flag(v, "open_length")?,
        bit: text(bit, "name")?,
        diameter: number(bit, "diameter")?,
        gap: number(v, "gap")?,
        last_pass: number(get(v, "cut")?, "last_pass")?,
        sheet_area: number(v, "sheet_area")?,
        part_area: number(v, "part_area")?,
        waste: number(v, "waste_percent")?,
        remnants: remnants.map(|r| Ok(plain(r?))).collect::<Read<_>>()?,
        cleared: match v.get("cleared") {
            Some(_) => rings(v, "cleared")?.into_iter().map(plain).collect(),
            None => vec![],
        },
        parts: list(v, "parts")?.iter().map(placed).collect::<Read<_>>()?,
    })
}

fn placed(v: &Value) -> Read<Placed> {
    let hold = get(v, "hold")?;
    let copy = get(v, "copy")?.as_u64().ok_or("a copy has no number")?;
    let features = list(v, "features")?.iter().map(|f| Ok((text(f, "kind")?, rings(f, "rings")?)));
    Ok(Placed {
        name: format!("{} {copy}", text(v, "part")?),
        part: text(v, "part")?,
        copy,
        spare: flag(v, "spare")?,
        at: [number(v, "x")?, number(v, "y")?],
        turn_deg: number(v, "rotation_deg")?,
        mirrored: flag(v, "mirrored")?,
        shape: Polygon::new(ring(get(v, "outline")?)?, rings(v, "openings")?),
        features: features.collect::<Read<_>>()?,
        method: text(hold, "method")?,
        safety: number(hold, "safety")?,
        last_pass: number(hold, "last_pass")?,
        skin: hold.get("skin_mm").and_then(Value::as_f64),
        tabs: list(hold, "tabs")?.iter().map(tab).collect::<Read<_>>()?,
    })
}

fn tab(v: &Value) -> Read<Tab> {
    Ok(Tab {
        at: xy(get(v, "at")?)?,
        out: xy(get(v, "out")?)?,
        width: number(v, "width")?,
        height: number(v, "height")?,
        ring: get(v, "ring")?.as_u64().ok_or("a tab's ring is no number")? as usize,
        waste: v.get("waste").and_then(Value::as_bool).unwrap_or(false),
    })
}
