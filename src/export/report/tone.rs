//! Colours of stock on the page, and how its grain is drawn.

use crate::export::words;
use crate::layout::Sheet;

/// Fills of a sheet's picture. Parts are darker than the sheet in every tone, so that they stay apart in grey.
pub struct Tone {
    /// The sheet and what is left of it.
    pub stock: &'static str,
    /// Parts.
    pub part: &'static str,
    /// Lines of the grain.
    pub grain: &'static str,
}

/// Tones by a word in the material's name, first match first.
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
    TONES.iter().find(|(word, _)| name.contains(word)).map_or(&OTHER, |(_, tone)| tone)
}

/// A pattern `id` of the sheet's grain: long lines that waver, along the grain. Empty without a grain.
pub fn grain_pattern(sheet: &Sheet, id: &str) -> String {
    if !words::has_grain(sheet) {
        return format!("<pattern id=\"{id}\" width=\"1\" height=\"1\"/>");
    }
    format!(
        "<pattern id=\"{id}\" patternUnits=\"userSpaceOnUse\" width=\"90\" height=\"11\" \
         patternTransform=\"rotate({:.2})\"><g fill=\"none\" stroke=\"{}\" stroke-width=\"0.45\" stroke-opacity=\"0.38\">\
         <path d=\"M0 1.2c22 1.6 44-1.2 90 0\"/><path d=\"M0 3.9c30-1.1 58 1.4 90 0\" stroke-width=\"0.3\"/>\
         <path d=\"M0 6.3c18 .9 52-1 90 0\"/><path d=\"M0 8.1c34 1.3 60-.9 90 0\" stroke-width=\"0.25\"/>\
         <path d=\"M12 9.9c20 .7 40-.7 61 0\" stroke-width=\"0.3\"/></g></pattern>",
        sheet.grain_deg,
        tone(sheet).grain,
    )
}
