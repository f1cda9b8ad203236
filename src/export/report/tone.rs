//! Colours of stock on the page, and how its grain is drawn.

use crate::export::words;
use crate::layout::Sheet;

/// Fills of a sheet's picture. Parts are darker than the sheet in every tone, so that they stay apart in grey.
pub struct Tone {
    /// The sheet and the stock left of it.
    pub stock: &'static str,
    /// Parts.
    pub part: &'static str,
    /// Lines of the grain.
    pub grain: &'static str,
}

/// Tones by a word in the material's name; the first match is used.
const TONES: [(&str, Tone); 8] = [
    ("walnut", Tone { stock: "#d9c4ab", part: "#a98262", grain: "#7d5a3e" }),
    ("maple", Tone { stock: "#f3e8d2", part: "#dcc093", grain: "#b79763" }),
    ("cherry", Tone { stock: "#f0d9c3", part: "#cf9a72", grain: "#a66a44" }),
    ("mahogany", Tone { stock: "#ecd0c0", part: "#bd8066", grain: "#8d4f38" }),
    ("acrylic", Tone { stock: "#e9f1f2", part: "#b5d3d8", grain: "#b5d3d8" }),
    ("pmma", Tone { stock: "#e9f1f2", part: "#b5d3d8", grain: "#b5d3d8" }),
    ("mdf", Tone { stock: "#e6dac6", part: "#bfa780", grain: "#bfa780" }),
    ("ply", Tone { stock: "#f3ead6", part: "#d5bb8c", grain: "#ad9060" }),
];
const OTHER: Tone = Tone { stock: "#efe6d3", part: "#cdb68f", grain: "#a08a61" };

/// The tone of a sheet's material.
pub fn tone(sheet: &Sheet) -> &'static Tone {
    let name = sheet.material.to_lowercase();
    // A material of the user's own has the tone of its kind.
    let kind = sheet.material_constants.as_ref().map_or("", |m| m.kind.as_str());
    let by = |text: &str| TONES.iter().find(|(word, _)| text.contains(word)).map(|(_, tone)| tone);
    by(&name).or_else(|| by(kind)).unwrap_or(&OTHER)
}

/// The patterns of sheet `n`: `g` its grain (long wavering lines along it; nothing without a grain), `k`
/// remnants, `c` areas to keep clear; `unit` is mm a pixel.
pub fn patterns(sheet: &Sheet, n: usize, unit: f64) -> String {
    let grain = if words::has_grain(sheet) {
        format!(
            "<pattern id=\"g{n}\" patternUnits=\"userSpaceOnUse\" width=\"150\" height=\"18\" patternTransform=\"rotate({:.2}) \
             scale({unit:.4})\"><g fill=\"none\" stroke=\"{}\" stroke-width=\"0.8\" stroke-opacity=\"0.36\">\
             <path d=\"M0 2c37 2.6 73-2 150 0\"/><path d=\"M0 6.4c50-1.8 97 2.3 150 0\" stroke-width=\"0.5\"/>\
             <path d=\"M0 10.3c30 1.5 87-1.7 150 0\"/><path d=\"M0 13.3c57 2.1 100-1.5 150 0\" stroke-width=\"0.4\"/>\
             <path d=\"M20 16.3c33 1.2 67-1.2 102 0\" stroke-width=\"0.5\"/></g></pattern>",
            sheet.grain_deg,
            tone(sheet).grain,
        )
    } else {
        format!("<pattern id=\"g{n}\" width=\"1\" height=\"1\"/>")
    };
    format!("{grain}{}", hatches(&format!("k{n}"), &format!("c{n}"), unit))
}

/// A hatch for remnants and a cross-hatch for areas to keep clear.
pub fn hatches(keep: &str, clear: &str, unit: f64) -> String {
    format!(
        "<pattern id=\"{keep}\" patternUnits=\"userSpaceOnUse\" width=\"8\" height=\"8\" patternTransform=\"rotate(45) \
         scale({unit:.4})\"><path d=\"M0 4h8\" stroke=\"#7a6f5f\" stroke-width=\"1.4\"/></pattern>\
         <pattern id=\"{clear}\" patternUnits=\"userSpaceOnUse\" width=\"5\" height=\"5\" patternTransform=\"rotate(45) \
         scale({unit:.4})\"><path d=\"M0 2.5h5M2.5 0v5\" stroke=\"#55493c\" stroke-width=\"0.9\"/></pattern>"
    )
}
