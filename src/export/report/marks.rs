//! How tape, clamps and what is drawn in parts look on the picture.

use crate::layout::FeatureKind;

/// The veil over a spare.
pub const SPARE: &str = "fill=\"#fdfbf6\" fill-opacity=\"0.55\"";
/// Waste that is cleared as pockets.
pub const CLEARED: &str = "fill=\"#2f6f8f\" fill-opacity=\"0.45\"";
/// Where tape goes: light on dark stock, edged on light.
pub const TAPE: &str = "#f2c230";

/// Colour of the marks on loose waste, and on strips under which tape goes.
pub const WASTE: &str = "#8a5a00";
pub const TAPED: &str = "#6b5200";

/// The look of a clamp: filled if the job names it, dashed if there is only room for one.
pub fn clamp_look(named: bool) -> &'static str {
    if named {
        "fill=\"#1f5f4a\" fill-opacity=\"0.55\" stroke=\"#1f5f4a\""
    } else {
        "fill=\"none\" stroke=\"#1f5f4a\" stroke-dasharray=\"3 2\""
    }
}

/// How what is drawn in a part looks: fill, its opacity, line, its width in pixels, dashes.
pub struct FeatureLook {
    pub fill: &'static str,
    pub opacity: f64,
    pub line: &'static str,
    pub width: f64,
    pub dash: &'static [f64],
}

/// The look of a kind of feature.
pub fn feature_look(kind: FeatureKind) -> FeatureLook {
    let look = |fill, opacity, line, width, dash| FeatureLook { fill, opacity, line, width, dash };
    match kind {
        FeatureKind::Pocket => look("#2f6f8f", 0.25, "#2f6f8f", 1.0, &[5.0, 2.0]),
        FeatureKind::Drill => look("#2b2622", 0.55, "#2b2622", 0.9, &[]),
        FeatureKind::Engraving => look("none", 1.0, "#4f632c", 1.3, &[]),
        FeatureKind::Mark => look("none", 1.0, "#6a4881", 1.3, &[2.0, 1.5]),
        FeatureKind::TabFree => look("none", 1.0, "#8c6d1f", 1.4, &[3.0, 1.5, 0.8, 1.5]),
    }
}
