//! How tape and clamps look on the picture.

/// Where tape goes: light on dark stock, edged on light.
pub const TAPE: &str = "#f2c230";

/// The look of a clamp: filled if the job names it, dashed if there is only room for one.
pub fn clamp_look(named: bool) -> &'static str {
    if named {
        "fill=\"#1f5f4a\" fill-opacity=\"0.55\" stroke=\"#1f5f4a\""
    } else {
        "fill=\"none\" stroke=\"#1f5f4a\" stroke-dasharray=\"3 2\""
    }
}
